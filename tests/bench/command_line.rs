//! The real binary: loads on record against a casing, batches, room, and one file for `predict` and `log load`.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

use super::{GRAIN_48B, NOZZLE_48B, close, club_text};

/// Run the binary on the book `book.db` of a folder.
pub(crate) fn run(folder: &Path, words: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("proofmark")
        .unwrap()
        .env("LC_ALL", "C.UTF-8")
        .env_remove("PROOFMARK_BOOK")
        .env("PROOFMARK_BY", "Ines")
        .current_dir(folder)
        .args(["--book", "book.db"])
        .args(words)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn demo() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    proofmark::demo::write(&folder.path().join("book.db")).unwrap();
    folder
}

fn json(folder: &Path, words: &[&str]) -> Value {
    let mut all = words.to_vec();
    all.push("--json");
    let (code, out, errors) = run(folder, &all);
    assert_eq!(code, 0, "{words:?}: {errors}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn a_load_on_record_against_a_casing() {
    let folder = demo();
    let words = ["predict", "--load", "76A", "--casing", "MF-76-09", "--draws", "60000"];
    let found = json(folder.path(), &words);
    let number = |value: &Value| value.as_f64().unwrap();
    close(number(&found["peak_pressure_absolute_pa"]), 5.68e6, 0.002);
    // The count is the book's own: one hard start in 58 firings.
    assert_eq!(
        (found["hard_starts"]["count"]["firings"].as_u64(), found["hard_starts"]["count"]["hard"].as_u64()),
        (Some(58), Some(1))
    );
    assert!(found["hard_starts"]["how"].as_str().unwrap().contains("1 of 58"));
    // Limits are above the atmosphere and so is the peak: an atmosphere more room than the club's table, which held
    // absolute peaks against them (7.5 %, 0.60 %).
    close(number(&found["scatter"]["chance_over_meop"]), 0.053, 0.08);
    close(number(&found["scatter"]["worked_out"]["over_proof"]["chance"]), 0.0056, 0.04);
    assert!(number(&found["scatter"]["worked_out"]["over_proof"]["ordinary"]) < 1e-14);
    assert_eq!(found["casing"]["serial"], "MF-76-09");
    assert!(found["casing"]["weakest"].as_str().unwrap().contains("hole bearing"));
    let (_, text, _) = run(folder.path(), &words);
    for part in ["against the limits of MF-76-09", "hole bearing", "what drives the scatter", "burn rate"] {
        assert!(text.contains(part), "{part} in {text}");
    }
}

#[test]
fn a_batch_changes_the_plan_and_its_range_is_said() {
    let folder = demo();
    let plain = json(folder.path(), &["predict", "--load", "48A"]);
    let with = json(folder.path(), &["predict", "--load", "48A", "--batch", "P24-1"]);
    let peak = |value: &Value| value["peak_pressure_absolute_pa"].as_f64().unwrap();
    close(peak(&with) / peak(&plain), 1.035_f64.powf(1.0 / 0.64), 1e-9);
    assert!(with["basis"].to_string().contains("burn rate x 1.035"));
    let beyond = json(folder.path(), &["predict", "--load", "76A", "--batch", "P26-1"]);
    assert!(beyond["warnings"].to_string().contains("carried on beyond the data"));
    let (code, _, errors) = run(folder.path(), &["predict", "--load", "48A", "--batch", "P99"]);
    assert!(code == 1 && errors.contains("no batch"), "{errors}");
    let (code, _, errors) = run(folder.path(), &["predict", "--load", "48X"]);
    assert!(code == 1 && errors.contains("did you mean"), "{errors}");
    assert_eq!(run(folder.path(), &["predict"]).0, 2);
}

#[test]
fn a_forbidden_casing_is_said_to_be_one() {
    let folder = demo();
    for words in [
        ["predict", "--load", "48A", "--casing", "MF-48-02"],
        ["room", "--load", "48A", "--casing", "MF-48-02"],
    ] {
        let (code, out, errors) = run(folder.path(), &words);
        assert!(code == 0 && out.contains("forbids firing it, whatever the load"), "{out}{errors}");
    }
    let (_, out, _) = run(folder.path(), &["room", "--load", "60A", "--casing", "MF-60-05"]);
    assert!(out.contains("restricted to 60R"), "{out}");
}

#[test]
fn a_batch_page_fits_and_proposes_and_only_an_entry_takes_it_up() {
    let folder = demo();
    let page = json(folder.path(), &["batch", "P24-1"]);
    // The hard start is left out, and said.
    let left: Vec<&str> =
        page["firings"].as_array().unwrap().iter().filter_map(|it| it["left_out"].as_str()).collect();
    assert!(left.len() == 1 && left[0].contains("hard start, 1.74 x plan"), "{left:?}");
    let factor = &page["fit"]["factor"];
    assert!(factor["low"].as_f64().unwrap() < 1.035 && factor["high"].as_f64().unwrap() > 1.035, "{factor}");
    let before = json(folder.path(), &["predict", "--load", "48B", "--batch", "P25-1"]);
    let page = json(folder.path(), &["batch", "P25-1"]);
    let command = page["command"].as_str().unwrap();
    assert!(command.starts_with("proofmark log batch --name \"P25-1\""), "{command}");
    // Asking changed nothing; the printed command, taken as it stands, does.
    assert_eq!(json(folder.path(), &["predict", "--load", "48B", "--batch", "P25-1"]), before);
    let words: Vec<&str> = command
        .trim_start_matches("proofmark ")
        .split('"')
        .flat_map(|part| {
            if part.starts_with("log") || part.starts_with(" --") {
                part.split_whitespace().collect()
            } else {
                vec![part]
            }
        })
        .filter(|it| !it.is_empty())
        .collect();
    let (code, out, errors) = run(folder.path(), &words);
    assert_eq!(code, 0, "{errors}");
    assert!(out.contains("now burns by these numbers"), "{out}");
    let after = json(folder.path(), &["predict", "--load", "48B", "--batch", "P25-1"]);
    assert_ne!(after["peak_pressure_pa"], before["peak_pressure_pa"]);
    let exponent = page["fit"]["law"]["exponent"]["value"].as_f64().unwrap();
    assert!(
        after["basis"]
            .to_string()
            .contains(&format!("exponent {exponent:.3}").trim_end_matches('0').to_owned())
    );
    // New numbers without a word of where they come from are refused.
    let (code, _, errors) =
        run(folder.path(), &["log", "batch", "--name", "P25-1", "--burn-rate-factor", "1.2"]);
    assert!(code == 1 && errors.contains("where they come from"), "{errors}");
    // The day before, the old numbers count.
    let day = ["predict", "--load", "48B", "--batch", "P25-1", "--on", "2026-10-01"];
    assert_eq!(json(folder.path(), &day)["peak_pressure_pa"], before["peak_pressure_pa"]);
    assert_eq!(run(folder.path(), &["verify"]).0, 0);
}

#[test]
fn one_file_serves_prediction_and_record() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).unwrap();
    };
    // The shape of a prediction, with what a load on record does not keep.
    let plan = club_text(
        GRAIN_48B,
        &format!("{NOZZLE_48B}\nhalf_angle = \"12 deg\""),
        "[ambient]\naltitude = \"500 m\"\n[scatter]\nburn_rate = 0.03\nmodel = 0.03\n[limits]\nmeop = \"5.9 MPa\"",
    );
    at("plan.toml", &format!("name = \"48B\"\n{plan}"));
    let (code, _, errors) = run(folder.path(), &["log", "load", "--from", "plan.toml"]);
    assert_eq!(code, 0, "{errors}");
    assert!(
        errors.contains("ambient.altitude, limits.meop: a load on record does not keep this"),
        "{errors}"
    );
    let file = json(folder.path(), &["predict", "plan.toml"]);
    let record = json(folder.path(), &["predict", "--load", "48B"]);
    let number = |value: &Value, key: &str| value[key].as_f64().unwrap();
    for key in ["peak_pressure_absolute_pa", "kn_max", "burn_time_s", "propellant_kg"] {
        close(number(&record, key), number(&file, key), 1e-12);
    }
    // The half angle is on record: only the altitude parts the thrusts.
    assert!(number(&file, "peak_thrust_n") > number(&record, "peak_thrust_n"));
    close(number(&file, "peak_thrust_n"), number(&record, "peak_thrust_n"), 0.02);

    // The shape of a record, every quantity quoted, every figure planned.
    let text = club_text(GRAIN_48B, "throat = \"27/64 in\"\narea_ratio = \"8\"\nhalf_angle = 12", "")
        .replace("exponent = 0.36", "exponent = \"0.36\"")
        .replace("count = 4", "count = \"4\"");
    at(
        "record.toml",
        &format!(
            "name = \"48B\"\nrevision = \"B\"\npeak_pressure = \"5.27 MPa abs\"\npeak_thrust = \"705 N\"\nimpulse = \"1272 Ns\"\n\
             burn_time = \"1.94 s\"\npropellant_mass = \"631 g\"\npeak_scatter = \"6.4 %\"\nplanned_by = \"me\"\non = \"2026-10-03\"\n\
             remark = \"as before\"\n{text}"
        ),
    );
    let (code, _, errors) = run(folder.path(), &["log", "load", "--from", "record.toml"]);
    assert_eq!(code, 0, "{errors}");
    let found = json(folder.path(), &["predict", "record.toml", "--draws", "20000", "--seed", "3"]);
    close(number(&found, "peak_pressure_absolute_pa"), 5.27e6, 0.002);
    let sd = found["scatter"]["peak_pressure_sd_pa"].as_f64().unwrap();
    close(sd / number(&found, "peak_pressure_absolute_pa"), 0.064, 0.03);
}

#[test]
fn a_load_that_cannot_burn_is_not_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let text = club_text(GRAIN_48B, "throat = \"17 mm\"\narea_ratio = 8", "");
    std::fs::write(folder.path().join("wide.toml"), format!("name = \"W\"\n{text}")).unwrap();
    let (code, out, errors) = run(folder.path(), &["log", "load", "--from", "wide.toml"]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(errors.contains("a throat no wider than the core"), "{errors}");
    let with_peak = ["log", "load", "--from", "wide.toml", "--peak-pressure", "4 MPa"];
    let (code, _, errors) = run(folder.path(), &with_peak);
    assert!(code == 1 && errors.contains("a throat no wider than the core"), "{errors}");
    // Segments that differ are burned, but one load on record has one size.
    let text = text.replace("17 mm", "10 mm").replace(
        "[grain]",
        "[[grain]]\ncount = 1\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"50 mm\"\n[[grain]]",
    );
    std::fs::write(folder.path().join("two.toml"), format!("name = \"T\"\n{text}")).unwrap();
    assert_eq!(run(folder.path(), &["predict", "two.toml"]).0, 0);
    let (code, _, errors) = run(folder.path(), &["log", "load", "--from", "two.toml"]);
    assert!(code == 1 && errors.contains("one size of segment"), "{errors}");
}

#[test]
fn room_keeps_what_the_casing_leaves() {
    let folder = demo();
    let found = json(folder.path(), &["room", "--casing", "MF-48-08", "--load", "48V", "--margin", "2.5"]);
    assert!(found["caps"][0]["what"].as_str().unwrap().contains("hole bearing"));
    let cap = found["caps"][0]["peak_pa"].as_f64().unwrap();
    for answer in found["answers"].as_array().unwrap() {
        assert!(answer["peak_pressure_pa"].as_f64().unwrap() <= cap * (1.0 + 1e-9), "{answer}");
    }
    let (code, _, errors) =
        run(folder.path(), &["room", "--casing", "MF-48-08", "--load", "48V", "--margin", "0"]);
    assert!(code == 1 && errors.contains("no margin"), "{errors}");
    let (code, _, errors) = run(folder.path(), &["room", "--casing", "MF-1", "--load", "48V"]);
    assert!(code == 1 && errors.contains("no casing"), "{errors}");
}
