//! The invented club's book: rebuilt to the byte, and telling its stories.

use std::collections::BTreeMap;

use assert_cmd::Command;
use proofmark::store::Book;
use serde_json::Value;

fn demo_db() -> std::path::PathBuf {
    std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo.db")
}

fn proofmark(arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .arg("--book")
        .arg(demo_db())
        .args(arguments)
        .output()
        .unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let output = proofmark(arguments);
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {}", String::from_utf8_lossy(&output.stderr)))
}

#[test]
fn the_demo_book_is_rebuilt_identically() {
    let folder = tempfile::tempdir().unwrap();
    let again = folder.path().join("again.db");
    proofmark::demo::build(&again).unwrap();
    assert!(
        std::fs::read(&again).unwrap() == std::fs::read(demo_db()).unwrap(),
        "demo.db is not what the desk builds: cargo run -- demo --rebuild --at demo.db"
    );
}

#[test]
fn the_demo_book_holds_together() {
    let book = Book::open_reading(&demo_db()).unwrap();
    assert_eq!(book.verify().unwrap(), []);
}

#[test]
fn the_rack_tells_the_stories() {
    let rack = json(&["rack", "--json"]);
    assert_eq!(rack["schema"], 1);
    assert_eq!(rack["as_of"], "2026-10-03");
    let casings: BTreeMap<&str, &Value> =
        rack["casings"].as_array().unwrap().iter().map(|it| (it["serial"].as_str().unwrap(), it)).collect();
    for (serial, standing, firings) in [
        ("MF-48-01", "retired", 4),
        ("MF-48-02", "retired", 6),
        ("MF-60-03", "retired", 11),
        ("MF-48-04", "overdue", 4),
        ("MF-60-05", "restricted", 8),
        ("MF-41-06", "in service", 17),
        ("MF-41-07", "hold", 5),
        ("MF-48-08", "in service", 3),
        ("MF-76-09", "in service", 0),
    ] {
        let casing = casings[serial];
        assert_eq!(casing["standing"], standing, "{serial}");
        assert_eq!(casing["firings"], firings, "{serial}");
        let reasons = casing["reasons"].as_array().unwrap();
        assert!(!reasons.is_empty());
        for reason in reasons {
            for key in ["rule", "text", "value", "limit", "source"] {
                assert!(
                    reason[key].as_str().is_some_and(|text| !text.is_empty()),
                    "{serial} {key}: {reason}"
                );
            }
            assert!(reason["entry"]["id"].as_str().is_some(), "{serial}: {reason}");
        }
    }
    assert_eq!(casings["MF-41-06"]["next_due"]["on"], "2027-04-05");
    assert_eq!(
        casings["MF-48-04"]["reasons"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|it| it["standing"] != "in service")
            .count(),
        1
    );
    assert_eq!(casings["MF-48-02"]["weakest"], "weld zone wall");
}

#[test]
fn prefire_says_no_where_it_must_and_lists_why() {
    for (serial, load, rule) in [
        ("MF-48-02", "48A", "retirement"),
        ("MF-48-04", "48B", "proof-months"),
        ("MF-60-05", "60A", "restriction"),
        ("MF-41-07", "41B", "thread-damage"),
    ] {
        let output = proofmark(&["prefire", serial, "--load", load, "--json"]);
        assert_eq!(output.status.code(), Some(4), "{serial}");
        let value: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(value["verdict"], "forbidden");
        assert!(
            value["items"]
                .as_array()
                .unwrap()
                .iter()
                .any(|it| it["state"] == "forbids" && it["rule"] == rule && it["decided_by"] == "record"),
            "{serial}: {value}"
        );
    }
    for (serial, load) in [("MF-60-05", "60R"), ("MF-41-06", "41B"), ("MF-48-08", "48V"), ("MF-76-09", "76A")]
    {
        let output = proofmark(&["prefire", serial, "--load", load, "--json", "--on", "2026-10-17"]);
        assert_eq!(output.status.code(), Some(0), "{serial}");
        let value: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(value["verdict"], "nothing forbids");
    }
}

#[test]
fn quarry_keeps_its_distance_and_its_warning() {
    let value = json(&["prefire", "MF-76-09", "--load", "76A", "--json", "--on", "2026-10-17"]);
    // 4152 N s: 300 ft in every table, twice that for metal.
    let standoff = value["standoff_m"].as_f64().unwrap();
    assert!((standoff - 2.0 * 300.0 * 0.3048).abs() < 1e-9, "{standoff}");
    let warned = value["items"]
        .as_array()
        .unwrap()
        .iter()
        .any(|it| it["id"] == "load-meop-scatter" && it["state"] == "warns");
    assert!(warned, "{value}");
}

#[test]
fn thistle_is_thinnest_beside_its_weld() {
    let margins = json(&["margins", "MF-48-02", "--json"]);
    assert_eq!(margins["weakest"], "weld zone wall");
    let of = |mode: &str| {
        margins["modes"].as_array().unwrap().iter().find(|it| it["mode"] == mode).unwrap()["yield_pressure_pa"].as_f64().unwrap()
    };
    assert!((of("weld zone wall") / 7.62e6 - 1.0).abs() < 0.002);
    assert!((of("tube wall") / 17.5e6 - 1.0).abs() < 0.01);
}

#[test]
fn bracken_should_have_been_stopped_after_its_hot_band() {
    let show = json(&["show", "MF-60-03", "--json"]);
    let breaches = show["breaches"].as_array().unwrap();
    let firings: Vec<i64> = breaches.iter().map(|it| it["firing"].as_i64().unwrap()).collect();
    assert_eq!(firings, [10, 11]);
    assert!(breaches.iter().all(|it| {
        it["forbidden_by"]
            .as_array()
            .unwrap()
            .iter()
            .any(|why| why["text"].as_str().unwrap().contains("liner breach"))
    }));
    assert!(
        show["reasons"]
            .as_array()
            .unwrap()
            .iter()
            .any(|it| it["rule"] == "permanent-set" && it["value"].as_str().unwrap().contains("16.9"))
    );
    // On the day, before anybody condemned it.
    let earlier = json(&["show", "MF-60-03", "--json", "--on", "2025-06-13"]);
    assert_eq!(earlier["standing"], "hold");
}

#[test]
fn nozzle_n_02_is_on_its_third_tube_with_three_firings_left() {
    let show = json(&["show", "MF-48-08", "--json"]);
    let part = |serial: &str| {
        show["parts"].as_array().unwrap().iter().find(|it| it["part"] == serial).unwrap().clone()
    };
    assert_eq!((part("N-02")["firings"].as_i64(), part("N-02")["firings_left"].as_i64()), (Some(9), Some(3)));
    assert_eq!(part("B-01")["firings"], 7);
    assert_eq!(part("T-11")["firings"], 3);
    assert_eq!(show["next_due"]["firings_left"], 3);
}

#[test]
fn juniper_needs_a_hydro_and_nothing_else() {
    let show = json(&["show", "MF-48-04", "--json"]);
    let against: Vec<&Value> =
        show["reasons"].as_array().unwrap().iter().filter(|it| it["standing"] != "in service").collect();
    assert_eq!(against.len(), 1);
    assert!(against[0]["next"].as_str().unwrap().starts_with("proof it"));
    let due: chrono::NaiveDate = "2026-03-16".parse().unwrap();
    let as_of: chrono::NaiveDate = show["as_of"].as_str().unwrap().parse().unwrap();
    assert_eq!((as_of - due).num_days(), 201);
}

#[test]
fn reading_leaves_every_byte_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("copy.db");
    proofmark::demo::write(&path).unwrap();
    let before = std::fs::read(&path).unwrap();
    let read = |arguments: &[&str]| {
        let status = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .arg("--book")
            .arg(&path)
            .args(arguments)
            .output()
            .unwrap()
            .status;
        assert!(matches!(status.code(), Some(0 | 4)), "{arguments:?}: {status}");
        assert!(std::fs::read(&path).unwrap() == before, "{arguments:?} wrote to the book");
        let names: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(names.len(), 1, "{arguments:?} left something beside it: {names:?}");
    };
    read(&["rack"]);
    read(&["rack", "--json", "--on", "2024-01-01"]);
    read(&["show", "MF-48-02"]);
    read(&["due", "--on", "2026-10-17"]);
    read(&["prefire", "MF-48-02", "--load", "48A"]);
    read(&["margins", "MF-60-05"]);
    read(&["rules"]);
    read(&["verify"]);
    read(&[]);
}

#[test]
fn there_are_58_firings() {
    let book = Book::open_reading(&demo_db()).unwrap();
    let lines = book
        .lines(
            &proofmark::store::Filter::OfKind(proofmark::book::Kind::Firing),
            crate::common::day("2026-10-03"),
        )
        .unwrap();
    assert_eq!(lines.len(), 58);
}
