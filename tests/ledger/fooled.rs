//! Ways to fool it: each of these once ended with "nothing forbids", and must not again.

use proofmark::book::{Answers, Kind, Standing};
use rstest::rstest;

use crate::common::{Bench, proof_fields};

fn firing<'a>(on: &'a str, more: &[(&'a str, &'a str)]) -> (Kind, &'a str, Vec<(&'a str, &'a str)>) {
    let mut fields = vec![("casing", "MF-1"), ("mode", "static"), ("load", "48A")];
    fields.extend_from_slice(more);
    (Kind::Firing, on, fields)
}

#[test]
fn a_trace_attached_later_is_judged_though_somebody_kept_it_already() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hi.csv");
    // Peaks at 8.0 MPa gauge: over the proof of 7.5 MPa.
    std::fs::write(&file, "time (s),pressure (MPa)\n0,0\n0.1,8.0\n1.5,7.0\n1.6,0\n2.0,0\n").unwrap();
    for typed in [None, Some("4.0 MPa")] {
        let mut bench = Bench::proved();
        let more: Vec<(&str, &str)> = typed.map(|peak| ("peak_pressure", peak)).into_iter().collect();
        let (kind, on, fields) = firing("2026-02-01", &more);
        bench.log(kind, on, &fields);
        bench.strip("MF-1", "2026-02-01", "50.80 mm");
        bench.keep("MF-1", "2026-02-01");
        assert!(!bench.standing("MF-1", "2026-02-01").forbids());
        bench.log(Kind::Trace, "2026-02-02", &[("casing", "MF-1"), ("file", file.to_str().unwrap())]);
        assert!(bench.reason("MF-1", "2026-02-02", "peak-over-proof").is_some(), "{typed:?}");
    }
}

#[rstest]
#[case(&[("peak_thrust", "900 N")], "peak-far-over-plan")] // 1.8 times the planned thrust: the pressure went with it
#[case(&[("peak_thrust", "900 N"), ("peak_pressure", "4.0 MPa")], "peak-far-over-plan")] // a typed peak does not outvote it
#[case(&[("impulse", "3277 Ns")], "peak-far-over-plan")]
#[case(&[("peak_thrust", "350 N")], "peak-under-plan")]
fn thrust_and_impulse_are_held_against_the_plan(#[case] more: &[(&str, &str)], #[case] rule: &str) {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.log(
        Kind::Load,
        "2026-01-02",
        &[("name", "48A"), ("peak_pressure", "4.0 MPa"), ("peak_thrust", "500 N"), ("impulse", "950 Ns")],
    );
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    let (kind, on, fields) = firing("2026-02-01", more);
    bench.log(kind, on, &fields);
    assert!(bench.reason("MF-1", "2026-02-01", rule).is_some());
}

#[rstest]
#[case("100 mm @ 45: 51.15 mm")] // a clock angle without a birth reading, 0.7 % over
#[case("150 mm @ 0: 51.15 mm")] // a station without one
#[case("150 mm @ 0: 50.80 mm")] // not grown, but nothing says what it was: no reading for the rule
fn a_reading_where_nothing_was_read_at_birth_is_no_free_pass(#[case] od: &str) {
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-01-20");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[("casing", "MF-1"), ("heat", "good"), ("straight_edge", "good"), ("bore", "good"), ("od", od)],
    );
    bench.keep("MF-1", "2026-02-01");
    assert!(bench.standing("MF-1", "2026-02-01").forbids());
}

#[test]
fn a_wall_does_not_shrink() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.20 mm");
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "keep"), ("reason", "fine")],
    );
    assert!(bench.reason("MF-1", "2026-02-01", "shrink").is_some());
    bench.keep("MF-1", "2026-02-02");
    assert_eq!(bench.standing("MF-1", "2026-02-02"), Standing::InService, "two people settle it");
}

#[test]
fn a_proof_read_only_where_nothing_was_read_at_birth_does_not_hide_a_swollen_tube() {
    let mut bench = Bench::proved();
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.retain(|(field, _)| !field.starts_with("od_"));
    fields.extend([("od_before", "150 mm @ 0: 51.40 mm"), ("od_after", "150 mm @ 0: 51.40 mm")]);
    bench.log(Kind::Proof, "2026-02-01", &fields);
    assert!(bench.standing("MF-1", "2026-02-01").forbids());
}

#[test]
fn a_measured_throat_is_the_throat() {
    let mut bench = Bench::proved();
    bench.log(
        Kind::Part,
        "2026-01-02",
        &[("serial", "I-1"), ("what", "throat insert"), ("throat", "9.35 mm")],
    );
    bench.log(Kind::Fit, "2026-01-03", &[("casing", "MF-1"), ("part", "I-1")]);
    let (kind, on, fields) = firing("2026-02-01", &[("throat_after", "7.00 mm")]);
    bench.log(kind, on, &fields);
    let throat = bench.assessed("MF-1", "2026-02-01").parts[0].throat_m.unwrap();
    assert!((throat - 0.007).abs() < 1e-9);
}

#[test]
fn one_person_does_not_strike_what_stands_against_a_casing() {
    let mut bench = Bench::proved();
    let recorded = bench.log(
        Kind::Finding,
        "2026-02-01",
        &[("casing", "MF-1"), ("damage", "crack"), ("depth", "6 mm"), ("evidence", "dye")],
    );
    let number = recorded.entries[0].number.to_string();
    let problems = bench.refused(Kind::Strike, "2026-02-02", &[("entry", &number), ("reason", "oops")]);
    assert_eq!(problems[0].field, "second");
    let problems = bench.refused(
        Kind::Strike,
        "2026-02-02",
        &[("entry", &number), ("reason", "oops"), ("second", "ann  LEE")],
    );
    assert_eq!(problems[0].field, "second", "one person is not two by a blank");
    bench.log(
        Kind::Strike,
        "2026-02-02",
        &[("entry", &number), ("reason", "a scratch in the dye"), ("second", "Bo Ray")],
    );
    let assessed = bench.assessed("MF-1", "2026-02-02");
    assert!(assessed.flags.iter().any(|flag| flag.contains("stood against it")), "{:?}", assessed.flags);
}

#[test]
fn an_inspection_of_an_old_firing_does_not_stand_for_a_new_one() {
    let mut bench = Bench::proved();
    let old = bench.fire("MF-1", "2026-02-01", "4.0 MPa").entries[0].number.to_string();
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    bench.keep("MF-1", "2026-02-01");
    bench.fire("MF-1", "2026-02-05", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-06",
        &[
            ("casing", "MF-1"),
            ("firing", &old),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "100 mm @ 0: 50.80 mm"),
        ],
    );
    bench.keep("MF-1", "2026-02-06");
    assert!(bench.reason("MF-1", "2026-02-06", "strip-after-firing").is_some());
}

#[test]
fn a_casing_without_its_nozzle_is_not_whole_even_with_a_proof() {
    let mut bench = Bench::proved();
    bench.log(Kind::Part, "2026-01-02", &[("serial", "N-1"), ("what", "nozzle carrier")]);
    bench.log(Kind::Fit, "2026-01-03", &[("casing", "MF-1"), ("part", "N-1")]);
    bench.log(Kind::Fit, "2026-02-01", &[("casing", "MF-1"), ("part", "N-1"), ("action", "removed")]);
    bench.proof("MF-1", "2026-02-02", "7.5 MPa");
    assert!(bench.reason("MF-1", "2026-02-02", "part-missing").is_some());
}

#[test]
fn what_an_inspection_found_is_not_kept_by_one_person() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "finding"),
            ("bore", "finding"),
            ("seals", "finding"),
            ("od", "100 mm @ 0: 50.80 mm"),
        ],
    );
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "keep"), ("reason", "fine")],
    );
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::Hold);
}

#[test]
fn a_restriction_is_never_looser_than_the_drawing() {
    let mut bench = Bench::proved();
    let problems = bench.refused(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "restrict"), ("meop", "13.8 MPa"), ("reason", "strong")],
    );
    assert_eq!(problems[0].field, "meop");
}

#[test]
fn an_empty_form_is_empty() {
    let mut answers = Answers::new();
    assert!(answers.is_empty());
    answers.set("text", "  ");
    assert!(answers.is_empty() && answers.text("text").is_none());
}

#[test]
fn a_plan_typed_under_its_own_numbers_is_judged_by_them() {
    let mut bench = Bench::proved();
    let recorded = bench.log(
        Kind::Load,
        "2026-01-20",
        &[
            ("name", "X7"),
            ("peak_pressure", "1.4 MPa"),
            ("grain.count", "3"),
            ("grain.outside_diameter", "44 mm"),
            ("grain.core", "13 mm"),
            ("grain.length", "76 mm"),
            ("propellant.density", "1680 kg/m3"),
            ("propellant.characteristic_velocity", "1370 m/s"),
            ("propellant.burn_rate", "7 mm/s at 5 MPa"),
            ("propellant.exponent", "0.36"),
            ("nozzle.throat", "5.1 mm"),
        ],
    );
    assert!(recorded.warnings.iter().any(|it| it.field == "peak_pressure"), "{:?}", recorded.warnings);
    let planned = proofmark::desk::Planned {
        load: "X7",
        batch: None,
        mode: proofmark::book::FiringMode::Static,
        grain: None,
    };
    let list = bench.desk.checklist("MF-1", planned, crate::common::day("2026-02-01")).unwrap();
    assert!(list.forbidden(), "{list:?}");
}

#[test]
fn a_finding_with_its_size_takes_the_place_of_the_one_without() {
    let mut bench = Bench::proved();
    bench.log(
        Kind::Finding,
        "2026-02-01",
        &[("casing", "MF-1"), ("damage", "bulge"), ("evidence", "a glint")],
    );
    bench.keep("MF-1", "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::Hold);
    bench.log(
        Kind::Finding,
        "2026-02-02",
        &[("casing", "MF-1"), ("damage", "bulge"), ("percent", "0.05"), ("evidence", "measured")],
    );
    bench.keep("MF-1", "2026-02-02");
    assert_eq!(bench.standing("MF-1", "2026-02-02"), Standing::InService);
}

#[test]
fn one_person_does_not_change_a_limit() {
    let mut bench = Bench::proved();
    let problems = bench.refused(
        Kind::Rule,
        "2026-02-01",
        &[("rule", "growth-yield"), ("value", "50"), ("reason", "x")],
    );
    assert_eq!(problems[0].field, "second");
}

#[rstest]
#[case("mf-1")]
#[case("\u{41c}F-1")] // a Cyrillic letter that looks like M
fn a_retired_casing_is_not_born_again_by_spelling(#[case] serial: &str) {
    let mut bench = Bench::proved();
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "retire"), ("reason", "bulged"), ("made_unusable", "sawn")],
    );
    let fields = crate::common::casing_fields(serial, "5.0 MPa");
    assert_eq!(bench.refused(Kind::Casing, "2026-02-02", &fields)[0].field, "serial");
}
