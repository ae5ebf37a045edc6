//! The invented club's stories and its seven teaching problems, answered by commands alone.

use std::collections::BTreeMap;

use assert_cmd::Command;
use serde_json::Value;

fn demo_db() -> std::path::PathBuf {
    std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo.db")
}

fn run(book: &std::path::Path, arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .arg("--book")
        .arg(book)
        .args(arguments)
        .output()
        .unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let mut all = arguments.to_vec();
    all.push("--json");
    let output = run(&demo_db(), &all);
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{all:?}: {error}: {}", String::from_utf8_lossy(&output.stderr)))
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap()
}

fn texts(value: &Value) -> Vec<&str> {
    list(value).iter().map(|it| it.as_str().unwrap()).collect()
}

/// (a) Who may fly on Saturday 2026-10-17?
#[test]
fn saturday_board() {
    let due = json(&["due", "--on", "2026-10-17"]);
    let standing: BTreeMap<&str, &str> = list(&due["casings"])
        .iter()
        .map(|it| (it["name"].as_str().unwrap(), it["standing"].as_str().unwrap()))
        .collect();
    let free: Vec<&str> =
        standing.iter().filter(|(_, standing)| **standing == "in service").map(|(name, _)| *name).collect();
    assert_eq!(free, ["Marigold", "Patchwork", "Quarry"]);
    assert_eq!(standing["Heron"], "restricted");
    // Quarry has never been fired: the checklist of a flight says it belongs on the stand first.
    let items = |serial: &str, load: &str, mode: &str| {
        let list_of = json(&["prefire", serial, "--load", load, mode, "--on", "2026-10-17"]);
        list(&list_of["items"])
            .iter()
            .filter(|it| it["rule"] == "first-firing")
            .map(|it| it["state"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(items("MF-76-09", "76A", "--flight"), ["warns"]);
    assert!(items("MF-76-09", "76A", "--static").is_empty());
    assert!(items("MF-41-06", "41B", "--flight").is_empty());
    assert!(items("MF-48-08", "48V", "--flight").is_empty());
}

/// (b) Juniper needs a hydro, not a repair; and the plan of that hydro is there.
#[test]
fn juniper_needs_one_hydro() {
    let decide = json(&["decide", "MF-48-04"]);
    let trail = list(&decide["trail"]);
    assert_eq!(trail.len(), 1, "one reason only: {trail:?}");
    assert_eq!(trail[0]["rule"], "proof-months");
    assert!(trail[0]["next"].as_str().unwrap().contains("proof it"), "{trail:?}");
    assert!(
        list(&decide["proposals"])
            .iter()
            .filter(|it| !matches!(it["what"].as_str().unwrap(), "retire" | "hold"))
            .all(|it| it["leads_to"] == "overdue" && it["asked_for"] == false),
        "no decision makes up for a proof: {decide}"
    );
    let plan = json(&["proof", "MF-48-04"]);
    assert!((plan["pressure_pa"].as_f64().unwrap() - 8.85e6).abs() < 1.0);
    assert_eq!(plan["next_due"]["on"], "2028-10-03");
    assert_eq!(plan["next_due"]["firings"], 10);
}

/// (c) Why Bracken's tenth and eleventh firings should have been blocked: the heat of the ninth, with nobody's hold.
#[test]
fn bracken_fired_on_after_the_heat() {
    let page = json(&["show", "MF-60-03"]);
    let breaches = list(&page["breaches"]);
    assert_eq!(breaches.iter().map(|it| it["firing"].as_i64().unwrap()).collect::<Vec<_>>(), [10, 11]);
    for breach in breaches {
        assert!(
            list(&breach["forbidden_by"]).iter().any(|it| it["rule"] == "hardness-restrict"
                && it["entry"]["on"] == "2025-04-12"
                && it["text"].as_str().unwrap().contains("liner breach")),
            "{breach}"
        );
    }
    // The hydro that condemned it, at 16.9 % before rounding.
    let set = list(&page["reasons"]).iter().find(|it| it["rule"] == "permanent-set").unwrap();
    assert!(set["text"].as_str().unwrap().contains("16.9 %"), "{set}");
    assert!(set["source"].as_str().unwrap().contains("49 CFR 180.205"));
    // And what the growth at the hot band argues for.
    let bulge = json(&["bulge", "MF-60-03"]);
    let first: Vec<&str> =
        list(&bulge["bulge"]["causes"]).iter().map(|it| it["cause"].as_str().unwrap()).take(2).collect();
    assert!(first.contains(&"hot spot") && first.contains(&"thin wall"), "{bulge}");
    assert_eq!(bulge["verdict"], Value::Null);
}

/// (d) Thistle's bulge beside the weld with the base wall at half its limit, and who shares its traits.
#[test]
fn thistle_and_those_like_it() {
    let of = json(&["bulge", "MF-48-02"]);
    let bulge = &of["bulge"];
    assert_eq!(bulge["ring"], "a full ring: every angle read grew alike");
    assert!((bulge["from_weld_m"].as_f64().unwrap() - 0.012).abs() < 1e-9);
    assert!((bulge["percent"].as_f64().unwrap() - 0.906).abs() < 0.01);
    let share = |words: &str| {
        list(&bulge["strengths"]).iter().find(|it| it["what"].as_str().unwrap().contains(words)).unwrap()
                ["share"]
                .as_f64()
                .unwrap()
    };
    // Base wall at half its limit; as welded well past it.
    assert!((share("base metal") - 0.51).abs() < 0.01, "{}", share("base metal"));
    assert!(share("as welded") > 1.1 && share("softened") > 1.0);
    let causes = list(&bulge["causes"]);
    assert_eq!(causes[0]["cause"], "softened weld zone");
    assert!(texts(&causes[0]["against"]).is_empty());
    assert_eq!(causes[1]["cause"], "over-pressure");
    assert!(texts(&causes[1]["against"]).iter().any(|it| it.contains("51 %")));
    let shared: BTreeMap<&str, Vec<&str>> = list(&of["sharing"])
        .iter()
        .map(|it| (it["serial"].as_str().unwrap(), texts(&it["traits"])))
        .collect();
    assert!(shared["MF-41-06"].contains(&"batch P24-1"), "Marigold fired the same batch: {shared:?}");
    assert!(shared["MF-48-08"].iter().any(|it| it.starts_with("tube 6061-T6")));
    assert!(texts(&of["traits"]).contains(&"welded plug end"));
    assert!(shared.values().flatten().all(|it| *it != "welded plug end"), "no other casing is welded");
}

/// (e) A pressure typed in psi and called bar; a diameter in inches where millimetres were meant.
#[test]
fn blunders_of_unit_are_caught() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.db");
    std::fs::copy(demo_db(), &book).unwrap();
    let output = run(
        &book,
        &[
            "--by",
            "Ines Varga-Holt",
            "log",
            "proof",
            "casing=MF-48-04",
            "pressure=1284 bar",
            "medium=water",
            "bled=yes",
            "method=diameters only",
            "leak=no",
            "pressure_drop=no",
        ],
    );
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("was it psi?"), "{said}");
    let output = run(
        &book,
        &[
            "--by",
            "Ines Varga-Holt",
            "log",
            "strip",
            "casing=MF-76-09",
            "heat=good",
            "straight_edge=good",
            "bore=good",
            "od=120 mm @ 0: 76.2 in",
        ],
    );
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("was it mm?"), "{said}");
    // It is kept as typed and not believed: the casing is held until it is struck.
    let page = run(&book, &["show", "MF-76-09", "--json"]);
    let page: Value = serde_json::from_slice(&page.stdout).unwrap();
    assert_eq!(page["standing"], "hold");
    assert!(list(&page["reasons"]).iter().any(|it| it["rule"] == "reading-believed"), "{page}");
}

/// (f) Two laptops, two diameters of Heron after its eighth firing: both are kept, side by side.
#[test]
fn two_readings_of_one_thing_stand_side_by_side() {
    let map = json(&["growth", "MF-60-05"]);
    let row = list(&map["stations"]).iter().find(|it| it["station_m"].as_f64() == Some(0.25)).unwrap();
    let apart = list(&row["read_differently"]);
    assert_eq!(apart.len(), 2, "{row}");
    let mut grown: Vec<f64> = apart.iter().map(|it| it["grown_m"].as_f64().unwrap() * 1e3).collect();
    grown.sort_by(f64::total_cmp);
    // 66.63 and 66.68 mm, born at 66.675 mm.
    assert!((grown[0] + 0.045).abs() < 1e-6 && (grown[1] - 0.005).abs() < 1e-6, "{grown:?}");
    let text = String::from_utf8(run(&demo_db(), &["growth", "MF-60-05"]).stdout).unwrap();
    assert!(text.contains("was read differently on 2026-04-18"), "{text}");
    assert!(text.contains("HB 74"), "the hot spot lies over its station: {text}");
}

/// (g) A trace whose cell has reached its end says so, and where to look.
#[test]
fn a_clipped_cell_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("clipped.csv");
    let mut text = String::from("time_s,thrust_n\n");
    for at in 0..3000 {
        let time = f64::from(at) / 1000.0;
        let burn = (time - 0.5) / 2.0;
        let thrust =
            if (0.0..=1.0).contains(&burn) { 900.0 * (std::f64::consts::PI * burn).sin() } else { 0.0 };
        let wander = f64::from((at * 7919) % 13 - 6) * 0.2;
        // The amplifier ends at 640 N.
        text.push_str(&format!("{time:.3},{:.2}\n", (thrust + wander).min(640.0)));
    }
    std::fs::write(&path, text).unwrap();
    let output = Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .args(["trace", path.to_str().unwrap(), "--json"])
        .output()
        .unwrap();
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    let flat = list(&found["findings"]).iter().find(|it| it["pattern"] == "clipped flat top").unwrap();
    assert!(flat["evidence"].as_str().unwrap().contains("640"), "{flat}");
    assert!(!flat["look_next"].as_str().unwrap().is_empty());
}

/// Heron's hot spot keeps it under its own terms, and planning 60A is refused.
#[test]
fn heron_stays_within_its_restriction() {
    let page = json(&["show", "MF-60-05"]);
    let reason = list(&page["reasons"]).iter().find(|it| it["rule"] == "restriction").unwrap();
    for words in ["4.00 MPa", "only 60R", "every 3 firings", "2 x distance", "HB 65"] {
        assert!(reason["limit"].as_str().unwrap().contains(words), "{words}: {reason}");
    }
    let output = run(&demo_db(), &["prefire", "MF-60-05", "--load", "60A"]);
    assert_eq!(output.status.code(), Some(4));
    // A restriction proposed now is never looser than the one in force.
    let decide = json(&["decide", "MF-60-05"]);
    let restrict = list(&decide["proposals"]).iter().find(|it| it["what"] == "restrict").unwrap();
    assert_eq!(restrict["fields"]["meop"], "4.00 MPa");
    assert_eq!(restrict["fields"]["loads"], "60R");
}

/// The nozzle on its third tube with three firings left, and what happened to it elsewhere.
#[test]
fn everything_about_nozzle_n_02() {
    let part = json(&["show", "N-02"]);
    assert_eq!(part["what"], "nozzle carrier");
    assert_eq!(part["firings"], 9);
    assert_eq!(part["life_firings"], 12);
    assert_eq!(part["firings_left"], 3);
    assert_eq!(part["fitted_in"], "MF-48-08");
    let stays: Vec<(&str, i64)> = list(&part["stays"])
        .iter()
        .map(|it| (it["casing"].as_str().unwrap(), it["firings"].as_i64().unwrap()))
        .collect();
    assert_eq!(stays, [("MF-48-02", 6), ("MF-48-08", 3)]);
    assert!(list(&part["ledger"]).iter().any(|it| it["casing"] == "MF-48-02" && it["kind"] == "firing"));
    // Its later life stands labelled in the ledger of the casing it left.
    let thistle = json(&["show", "MF-48-02"]);
    let later = list(&thistle["ledger"])
        .iter()
        .filter(|it| it["kind"] == "firing" && it["on"].as_str().unwrap() > "2025")
        .collect::<Vec<_>>();
    assert_eq!(later.len(), 3);
    assert!(later.iter().all(|it| it["belongs_to"] == "N-02 elsewhere, in MF-48-08"), "{later:?}");
}

/// Finch waits: what is on record against it, and that no rule settles it for the two who decide.
#[test]
fn finch_waits_for_two_people() {
    let decide = json(&["decide", "MF-41-07"]);
    assert_eq!(decide["standing"], "hold");
    let rules: Vec<&str> = list(&decide["trail"]).iter().map(|it| it["rule"].as_str().unwrap()).collect();
    assert!(rules.contains(&"thread-damage") && rules.contains(&"seal-damage"), "{rules:?}");
    let leads: BTreeMap<&str, &str> = list(&decide["proposals"])
        .iter()
        .map(|it| (it["what"].as_str().unwrap(), it["leads_to"].as_str().unwrap()))
        .collect();
    assert!(list(&decide["proposals"]).iter().all(|it| it["asked_for"] == false), "{decide}");
    // A proof is due after the thread damage, whatever is decided short of retiring it.
    assert_eq!(leads["keep"], "overdue");
    assert_eq!(leads["hold"], "hold");
    assert_eq!(leads["retire"], "retired");
}

/// People and instruments: the calipers are out of calibration and can see nothing under 56 micrometres.
#[test]
fn the_gauges_say_what_they_can_see() {
    let of = json(&["instruments"]);
    let gauges: BTreeMap<&str, &Value> =
        list(&of["gauges"]).iter().map(|it| (it["serial"].as_str().unwrap(), it)).collect();
    assert_eq!(gauges["K-01"]["out_of_calibration"], true);
    assert_eq!(gauges["M-02"]["out_of_calibration"], false);
    // By hand, JCGM 100:2008 4.2.2: six readings 66.68 66.65 66.71 66.69 66.64 66.70.
    let repeats = gauges["K-01"]["repeatability_m"].as_f64().unwrap() * 1e3;
    assert!((repeats - 0.027_869).abs() < 1e-5, "{repeats}");
    assert_eq!(list(&of["people"]).len(), 5);
}
