//! Reasons in US units: every quantity of every reason of the demo book, and never in JSON.

use proofmark::desk::{Desk, Planned};
use proofmark::quantity::units::find;
use proofmark::quantity::{System, parse_quantity};
use proofmark::standing::in_units::quantities;

use super::common::still;

/// The rules whose reason hands on what a person wrote.
const PEOPLES_WORDS: &[&str] = &["disposition", "retirement", "restriction"];

/// Every text of the demo book's reasons and checklists that is rewritten, and whether it is a limit.
fn texts() -> Vec<(String, bool)> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let desk = Desk::reading(&path, still()).unwrap();
    let day = desk.day();
    let mut texts = Vec::new();
    for line in desk.rack().unwrap().casings {
        for reason in line.reasons {
            if !PEOPLES_WORDS.contains(&reason.rule.as_str()) {
                texts.extend([
                    (reason.text, false),
                    (reason.value, false),
                    (reason.next, false),
                    (reason.limit, true),
                ]);
            }
        }
        for load in desk.book().names(proofmark::book::SubjectOf::Load).unwrap() {
            let planned =
                Planned { load: &load, batch: None, mode: proofmark::book::FiringMode::Static, grain: None };
            let Ok(list) = desk.checklist(&line.row.serial, planned, day) else { continue };
            for item in list.items.into_iter().filter(|item| item.decided_by == "record") {
                if item.rule.as_deref().is_some_and(|rule| PEOPLES_WORDS.contains(&rule)) {
                    continue;
                }
                texts.push((item.text, false));
                texts.extend(item.value.map(|it| (it, false)));
                texts.extend(item.limit.map(|it| (it, true)));
            }
        }
    }
    texts
}

#[test]
fn every_quantity_rewritten_reads_back_to_the_same_value() {
    let mut checked = 0;
    for (text, in_a_limit) in texts() {
        for it in quantities(&text, in_a_limit) {
            let (number, symbol) = it.us.rsplit_once(' ').unwrap();
            let read = parse_quantity(&it.us, it.dimension, None).unwrap().si;
            let decimals = number.split_once('.').map_or(0, |(_, digits)| digits.len());
            let step =
                find(symbol, it.dimension).unwrap().scale * 10_f64.powi(-i32::try_from(decimals).unwrap());
            let off = (read - it.si).abs();
            assert!(off <= step / 2.0 * (1.0 + 1e-9), "{text}: {} for {}", it.us, it.si);
            assert!(step <= it.step * (1.0 + 1e-9), "{text}: {} is coarser than it was", it.us);
            // No metric digit is lost: it reads back as what was written.
            assert!(off <= it.step / 2.0, "{text}: {}", it.us);
            checked += 1;
        }
    }
    assert!(checked > 500, "{checked}");
}

#[test]
fn no_metric_unit_is_left_in_a_reason_of_ours() {
    for (text, in_a_limit) in texts() {
        if text.contains(" ft)") {
            continue; // both are written
        }
        let us = proofmark::standing::in_units::in_units(&text, System::Us, in_a_limit);
        for unit in [" MPa", " kPa", " mm", " um", " µm", " N ", " °C", " kg"] {
            assert!(!us.contains(unit), "{us}");
        }
    }
}

#[test]
fn a_persons_words_stay_and_json_stays_metric() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let desk = Desk::reading(&path, still()).unwrap();
    let page = desk.casing("MF-60-05").unwrap();
    let shown = page.clone().shown(System::Us);
    let of = |page: &proofmark::desk::view::CasingPage, rule: &str| {
        page.assessed.reasons.iter().find(|it| it.rule == rule).unwrap().clone()
    };
    let (si, us) = (of(&page, "restriction"), of(&shown, "restriction"));
    assert!(si.text.contains("local yield about 179 MPa") && si.text == us.text, "{}", us.text);
    assert!(us.limit.starts_with("MEOP 580 psi; ") && us.limit.ends_with("at +0.05 mm"), "{}", us.limit);
    let proof = of(&shown, "proof-firings-restricted");
    assert!(proof.text.ends_with("at 870 psi"), "{}", proof.text);
    let run = |arguments: &[&str]| {
        let output = assert_cmd::Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .args(["--book", path.to_str().unwrap()])
            .args(arguments)
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    for command in [&["rack"][..], &["show", "MF-60-05"], &["due"], &["decide", "MF-60-03"]] {
        let json = [command, &["--json"]].concat();
        assert_eq!(run(&json), run(&[&json[..], &["--units", "us"]].concat()));
    }
    assert!(run(&["show", "MF-60-05", "--units", "us"]).contains("870 psi"));
    let page = run(&["report", "MF-60-05", "--units", "us", "--out", "-"]);
    assert!(page.contains("proved on 2025-09-06 at 870 psi"));
}
