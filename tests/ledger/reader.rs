//! What a fresh reader of the command line stumbled over, and no longer does.

use std::path::Path;

fn run(arguments: &[&str]) -> (String, String) {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo.db");
    let output = assert_cmd::Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .args(["--book", book.to_str().unwrap()])
        .args(arguments)
        .output()
        .unwrap();
    (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn the_rack_is_in_the_order_of_the_screen() {
    let (text, _) = run(&["rack"]);
    let at = |serial: &str| text.find(serial).unwrap();
    let order =
        ["MF-41-07", "MF-48-04", "MF-60-05", "MF-41-06", "MF-48-08", "MF-76-09", "MF-48-01", "MF-48-02"];
    assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{text}");
}

#[test]
fn the_flags_of_every_command_stand_apart_from_the_fields() {
    let (help, _) = run(&["log", "firing", "--help"]);
    let general = help.find("For every command:").unwrap();
    let fields = help.find("--peak-pressure").unwrap();
    assert!(fields < general, "{help}");
    for flag in ["--book", "--units", "--theme", "--light", "--lines", "--json"] {
        assert!(help.find(&format!(" {flag}")).unwrap() > general, "{flag}\n{help}");
    }
}

#[test]
fn a_wrong_answer_is_not_called_missing_too() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.db");
    let output = assert_cmd::Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .args(["--book", book.to_str().unwrap(), "log", "casing", "--by", "Ann", "--serial", "T-1"])
        .args(["--tube-material", "6061-T6", "--tube-od", "2 in", "--tube-wall", "0.065 in"])
        .args(["--forward-kind", "welded plug", "--forward-leg", "2.8 mm"])
        .args([
            "--aft-kind",
            "radial bolts",
            "--aft-count",
            "8.5",
            "--aft-bolt",
            "10-32",
            "--aft-edge",
            "10 mm",
        ])
        .args(["--service-meop", "5 MPa"])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("aft.count") && said.contains("8.5") && !said.contains("is missing"), "{said}");
}

#[test]
fn a_bare_half_angle_is_in_degrees_as_in_a_load_file() {
    let of = |angle: &str| {
        run(&[
            "calc",
            "thrust-coefficient",
            "ratio_of_heats=1.13",
            "ambient=0.1 MPa abs",
            "area_ratio=5",
            "chamber_pressure=5 MPa abs",
            &format!("half_angle={angle}"),
            "--json",
        ])
    };
    let ((bare, said), (unit, _)) = (of("12"), of("12 deg"));
    let value = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap()["results"].clone();
    assert!(!bare.is_empty(), "{said}");
    assert_eq!(value(&bare), value(&unit));
    assert!(!value(&bare).is_null(), "{bare}");
}

#[test]
fn the_margin_of_burst_stands_beside_the_pressure_it_is_of() {
    let (text, _) = run(&["margins", "MF-41-06"]);
    let row = text.lines().find(|line| line.contains("tube burst")).unwrap();
    assert!(row.contains(" bursts "), "{row}");
    let words: Vec<&str> = row.split_whitespace().collect();
    let after = |word: &str| {
        let at = words.iter().position(|it| *it == word).unwrap();
        words[at + 1].parse::<f64>().unwrap()
    };
    assert!((after("bursts") / 4.9 - after("factor")).abs() < 0.02, "{row}");
}
