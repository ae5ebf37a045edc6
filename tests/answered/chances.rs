//! A chance never looks best where nothing is known: with no firing on record every line that gives one says that hard
//! starts are not counted.

use std::fs;

use assert_cmd::Command;
use proofmark::book::Kind;
use proofmark::tui::App;

use super::support::{CASING, empty, on_disk, options, press, record, shown};

const LOAD: &[(&str, &str)] = &[
    ("name", "48B"),
    ("on", "2026-08-02"),
    ("grain.count", "4"),
    ("grain.outside_diameter", "43 mm"),
    ("grain.core", "16 mm"),
    ("grain.length", "75 mm"),
    ("propellant.density", "1680 kg/m3"),
    ("propellant.characteristic_velocity", "1370 m/s"),
    ("propellant.burn_rate", "7.0 mm/s at 5 MPa"),
    ("propellant.exponent", "0.36"),
    ("propellant.ratio_of_heats", "1.2"),
    ("nozzle.throat", "27/64 in"),
    ("nozzle.exit", "30 mm"),
    ("peak_pressure", "5.2 MPa"),
];

#[test]
fn every_chance_on_the_command_line_says_that_hard_starts_are_not_counted() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.db");
    {
        let mut desk = on_disk(&book, 1);
        record(&mut desk, Kind::Casing, CASING);
    }
    let plan = "[grain]\ncount = 4\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"75 mm\"\n\
        [propellant]\ndensity = \"1680 kg/m3\"\ncharacteristic_velocity = \"1370 m/s\"\n\
        burn_rate = \"7.0 mm/s at 5 MPa\"\nexponent = 0.36\nratio_of_heats = 1.2\n\
        [nozzle]\nefficiency = 0.95\nthroat = \"27/64 in\"\narea_ratio = 8\n";
    fs::write(folder.path().join("plan.toml"), plan).unwrap();
    let output = Command::cargo_bin("proofmark")
        .unwrap()
        .env("LC_ALL", "C.UTF-8")
        .current_dir(folder.path())
        .args(["--book", "book.db", "predict", "plan.toml", "--casing", "MF-48-10", "--draws", "1000"])
        .output()
        .unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    let named = ["  MEOP", "  yields", "  over MEOP", "  over yield"];
    let chances: Vec<&str> = out.lines().filter(|line| named.iter().any(|it| line.starts_with(it))).collect();
    assert_eq!(chances.len(), 4, "{out}{}", String::from_utf8_lossy(&output.stderr));
    assert!(chances.iter().all(|line| line.contains("hard starts not counted")), "{out}");
}

#[test]
fn every_chance_of_the_bench_says_it_too() {
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    record(&mut desk, Kind::Load, LOAD);
    let mut app = App::new(desk, options());
    press(&mut app, "<F5>");
    let screen = shown(&mut app, 120, 50);
    let chances: Vec<&str> =
        screen.lines().filter(|line| line.contains("passed by") || line.contains("passes it in")).collect();
    assert!(chances.len() >= 2, "{screen}");
    assert!(chances.iter().all(|line| line.contains("hard starts not counted")), "{screen}");
}
