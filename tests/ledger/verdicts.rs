//! Verdicts as the person at the bench reads them: growth over a tube's whole life, a part's last firing, decisions
//! and proofs within the caps, two names where two are asked for, slips that are asked about.

use proofmark::book::{FiringMode, Kind, Standing};
use proofmark::desk::{Planned, Recorded};
use proptest::prelude::*;
use rstest::rstest;

use super::common::{Bench, casing_fields, day, proof_fields};

fn revise(
    bench: &mut Bench,
    on: &str,
    revision: &str,
    changed: &[(&str, &str)],
    births: &[&str],
) -> Recorded {
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.retain(|(name, _)| *name != "od" && changed.iter().all(|(other, _)| other != name));
    fields.push(("revision", revision));
    fields.extend_from_slice(changed);
    fields.extend(births.iter().map(|row| ("od", *row)));
    bench.log(Kind::Casing, on, &fields)
}

fn proof_at(bench: &mut Bench, on: &str, od: &str) {
    let (before, after) = (format!("100 mm @ 0: {od}"), format!("100 mm @ 0: {od}"));
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.retain(|(name, _)| !name.starts_with("od_"));
    fields.extend([("od_before", before.as_str()), ("od_after", after.as_str())]);
    bench.log(Kind::Proof, on, &fields);
}

fn grown(bench: &Bench, on: &str) -> f64 {
    bench.assessed("MF-1", on).growth.iter().map(|it| it.percent).fold(0.0, f64::max)
}

#[rstest]
#[case(&[("service.meop", "4.9 MPa")], &[])]
#[case(&[("aft.edge", "11 mm")], &[])]
#[case(&[("tube.wall_min", "0.064 in")], &[])]
#[case(&[("tube.length", "15.9 in")], &[])]
#[case(&[("service.meop", "4.9 MPa")], &["100 mm @ 0: 50.80 mm", "100 mm @ 90: 50.80 mm"])] // copied by the screen
#[case(&[("service.meop", "4.9 MPa")], &["100 mm @ 0: 50.845 mm"])] // read again for the revision
fn growth_counts_from_birth_through_every_revision_of_the_same_tube(
    #[case] changed: &[(&str, &str)],
    #[case] births: &[&str],
) {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.845 mm");
    bench.keep("MF-1", "2026-02-02");
    revise(&mut bench, "2026-02-05", "B", changed, births);
    assert!((grown(&bench, "2026-02-05") - 0.0886).abs() < 1e-3, "{}", grown(&bench, "2026-02-05"));
    proof_at(&mut bench, "2026-02-06", "50.845 mm");
    bench.fire("MF-1", "2026-03-01", "4.0 MPa");
    bench.strip("MF-1", "2026-03-01", "50.885 mm");
    assert!((grown(&bench, "2026-03-01") - 0.1673).abs() < 1e-3, "{}", grown(&bench, "2026-03-01"));
    bench.keep("MF-1", "2026-03-02");
    assert!(bench.standing("MF-1", "2026-03-02").forbids(), "0.17 % asks for a proof");
    // Another 0.02 mm takes the tube over 0.2 % of what it was born with: that retires it, whatever the drawing.
    proof_at(&mut bench, "2026-03-03", "50.885 mm");
    bench.fire("MF-1", "2026-04-01", "4.0 MPa");
    bench.strip("MF-1", "2026-04-01", "50.905 mm");
    assert!(bench.reason("MF-1", "2026-04-01", "growth-yield").is_some());
}

#[test]
fn a_revision_leaves_the_stations_of_the_birth_record_asked_for() {
    let mut bench = Bench::proved();
    revise(&mut bench, "2026-02-05", "B", &[("service.meop", "4.9 MPa")], &[]);
    proof_at(&mut bench, "2026-02-06", "50.80 mm");
    bench.fire("MF-1", "2026-03-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-03-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "150 mm @ 0: 50.80 mm"),
        ],
    );
    let left_out = bench.reason("MF-1", "2026-03-01", "strip-after-firing").unwrap();
    assert!(left_out.text.contains("outside diameters at station 100 mm"), "{}", left_out.text);
}

#[rstest]
#[case(&[("tube.od", "50.6 mm")], "outside diameter 50.80 mm to 50.60 mm")]
#[case(&[("tube.wall", "0.060 in"), ("tube.wall_min", "0.060 in")], "wall 1.65 mm to 1.52 mm")]
#[case(&[("tube_lot", "H7")], "lot h4 to h7")]
fn another_tube_has_its_own_birth_and_what_the_old_one_grew_is_said(
    #[case] changed: &[(&str, &str)],
    #[case] what: &str,
) {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.push(("tube_lot", "H4"));
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.load("48A", "4.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.87 mm");
    revise(&mut bench, "2026-02-05", "B", changed, &["100 mm @ 0: 50.61 mm"]);
    let assessed = bench.assessed("MF-1", "2026-02-05");
    assert_eq!(assessed.birth, [(100.0, Some(0.0), 50.61)]);
    let said: Vec<_> = assessed.reasons.iter().filter(|it| it.text.contains(what)).collect();
    assert_eq!(said.len(), 1, "{:?}", assessed.reasons);
    assert!(said[0].text.contains("station 100 mm / 0 deg had grown 0.14 %"), "{}", said[0].text);
    assert_eq!(said[0].standing, Standing::Hold);
    bench.keep("MF-1", "2026-02-06");
    let later = bench.assessed("MF-1", "2026-02-06");
    assert!(!later.reasons.iter().any(|it| it.text.contains(what)), "two people answered for it");
}

#[test]
fn birth_diameters_copied_onto_another_tube_are_asked_about() {
    let mut bench = Bench::proved();
    let copied = ["100 mm @ 0: 50.80 mm", "100 mm @ 90: 50.80 mm"];
    let same = revise(&mut bench, "2026-02-05", "B", &[("service.meop", "4.9 MPa")], &copied);
    assert!(!same.warnings.iter().any(|it| it.field == "od"), "{:?}", same.warnings);
    let other = revise(&mut bench, "2026-02-06", "C", &[("tube.od", "50.6 mm")], &copied);
    assert!(
        other.warnings.iter().any(|it| it.message.contains("of the tube before")),
        "{:?}",
        other.warnings
    );
}

#[test]
fn another_tube_part_is_another_tube() {
    let mut bench = Bench::proved();
    for tube in ["T-1", "T-2"] {
        bench.log(Kind::Part, "2026-01-02", &[("serial", tube), ("what", "tube")]);
    }
    bench.log(Kind::Fit, "2026-01-03", &[("casing", "MF-1"), ("part", "T-1")]);
    assert_eq!(bench.assessed("MF-1", "2026-01-06").birth.len(), 2);
    bench.log(Kind::Fit, "2026-02-03", &[("casing", "MF-1"), ("part", "T-1"), ("action", "removed")]);
    bench.log(Kind::Fit, "2026-02-03", &[("casing", "MF-1"), ("part", "T-1")]);
    assert_eq!(bench.assessed("MF-1", "2026-02-03").birth.len(), 2, "the same tube is back");
    bench.log(Kind::Fit, "2026-02-04", &[("casing", "MF-1"), ("part", "T-2")]);
    assert!(bench.assessed("MF-1", "2026-02-04").birth.is_empty());
    proof_at(&mut bench, "2026-02-05", "50.77 mm");
    assert_eq!(bench.assessed("MF-1", "2026-02-05").birth, [(100.0, Some(0.0), 50.77)]);
}

#[test]
fn a_parts_last_permitted_firing_is_no_breach() {
    proptest!(ProptestConfig::with_cases(10), |(life in 1_u32..=4, before in 0_u32..=3, fired in 1_u32..=5)| {
        let mut bench = Bench::proved();
        let (life_text, before_text) = (life.to_string(), before.to_string());
        bench.log(
            Kind::Part,
            "2026-01-02",
            &[
                ("serial", "N-1"),
                ("what", "nozzle carrier"),
                ("life_firings", life_text.as_str()),
                ("firings_before", before_text.as_str()),
            ],
        );
        bench.log(Kind::Fit, "2026-01-03", &[("casing", "MF-1"), ("part", "N-1")]);
        bench.proof("MF-1", "2026-01-05", "7.5 MPa");
        for number in 1..=fired {
            let on = format!("2026-02-{number:02}");
            let allowed = before + number <= life;
            // The pre-fire, the logging and the walk give one answer.
            let planned = Planned { load: "48A", batch: None, mode: FiringMode::Static, grain: None };
            let answer = bench.desk.checklist("MF-1", planned, day(&on)).unwrap();
            prop_assert_eq!(!answer.forbidden(), allowed, "pre-fire {} of life {} after {}", number, life, before);
            let plain = [("casing", "MF-1"), ("mode", "static"), ("load", "48A"), ("peak_pressure", "4.0 MPa")];
            let logged = bench.try_log(Kind::Firing, &on, &plain);
            prop_assert_eq!(logged.is_ok(), allowed, "logging {} of life {} after {}", number, life, before);
            if logged.is_err() {
                let mut with_reason = plain.to_vec();
                with_reason.push(("breach_reason", "it was fired"));
                bench.log(Kind::Firing, &on, &with_reason);
            }
            bench.strip("MF-1", &on, "50.80 mm");
            bench.keep("MF-1", &on);
            let assessed = bench.assessed("MF-1", &on);
            let over = (before + number).saturating_sub(life).min(number);
            prop_assert_eq!(assessed.breaches.len() as u32, over, "walk {} of life {} after {}", number, life, before);
        }
    });
}
