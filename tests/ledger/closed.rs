//! Ways to a wrong "nothing forbids", closed one by one: each of these passed once.

use proofmark::book::{Kind, Standing};
use rstest::rstest;

use crate::common::{Bench, casing_fields, proof_fields};

/// Two casings alike; the first has parts, and is retired.
fn with_a_retired_one() -> Bench {
    let mut bench = Bench::proved();
    bench.casing("MF-2", "5.0 MPa");
    for (part, what) in [("T-2", "tube"), ("N-2", "nozzle carrier")] {
        bench.log(Kind::Part, "2026-01-02", &[("serial", part), ("what", what)]);
        bench.log(Kind::Fit, "2026-01-03", &[("casing", "MF-2"), ("part", part)]);
    }
    bench
}

fn retire(bench: &mut Bench, on: &str) {
    bench.log(
        Kind::Disposition,
        on,
        &[
            ("casing", "MF-2"),
            ("decision", "retire"),
            ("reason", "bulged"),
            ("made_unusable", "sawn"),
            ("second", "Bo Ray"),
        ],
    );
}

#[test]
fn a_retired_tube_is_never_fitted_again_and_another_part_only_once_released() {
    let mut bench = with_a_retired_one();
    retire(&mut bench, "2026-02-01");
    for part in ["T-2", "N-2"] {
        let problems = bench.refused(Kind::Fit, "2026-02-02", &[("casing", "MF-1"), ("part", part)]);
        assert!(problems[0].field == "part" && problems[0].message.contains("MF-2"), "{problems:?}");
        // One name takes it out and does not release it.
        bench.log(Kind::Fit, "2026-02-02", &[("casing", "MF-2"), ("part", part), ("action", "removed")]);
        bench.refused(Kind::Fit, "2026-02-03", &[("casing", "MF-1"), ("part", part)]);
        bench.log(
            Kind::Disposition,
            "2026-02-04",
            &[("part", part), ("decision", "keep"), ("reason", "sound"), ("second", "Bo Ray")],
        );
    }
    bench.refused(Kind::Fit, "2026-02-05", &[("casing", "MF-1"), ("part", "T-2")]);
    bench.log(Kind::Fit, "2026-02-05", &[("casing", "MF-1"), ("part", "N-2")]);
    assert!(bench.reason("MF-1", "2026-02-06", "parts-released").is_none());
}

#[test]
fn a_retirement_learned_of_later_holds_the_casing_its_part_went_to() {
    let mut bench = with_a_retired_one();
    let moved = bench.log(Kind::Fit, "2026-02-05", &[("casing", "MF-1"), ("part", "N-2")]);
    assert!(moved.follows.iter().any(|it| it.text == "N-2 left MF-2"), "{:?}", moved.follows);
    assert!(moved.follows.iter().any(|it| it.text.starts_with("MF-2 stands")), "{:?}", moved.follows);
    bench.proof("MF-1", "2026-02-06", "7.5 MPa");
    assert!(!bench.standing("MF-1", "2026-02-07").forbids());
    retire(&mut bench, "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-02-07"), Standing::Hold);
    // The rack goes by what is kept: that was worked out anew as well.
    let kept = bench.desk.book().kept_assessment("MF-1").unwrap().unwrap();
    assert!(kept.reasons.iter().any(|it| it.rule == "parts-released"));
    bench.log(
        Kind::Disposition,
        "2026-02-08",
        &[("part", "N-2"), ("decision", "keep"), ("reason", "sound"), ("second", "Bo Ray")],
    );
    assert!(!bench.standing("MF-1", "2026-02-08").forbids());
}

#[test]
fn a_study_with_a_slip_in_it_is_refused_and_no_gauge_hides_what_asks_for_a_hold() {
    let mut bench = Bench::proved();
    bench.log(Kind::Gauge, "2026-01-03", &[("serial", "M-1"), ("what", "micrometer")]);
    let slip = "50.800 mm\n50.801 mm\n50.803 mm\n2.0001 in\n5.0801 mm";
    let problems = bench.refused(
        Kind::Study,
        "2026-01-03",
        &[("gauge", "M-1"), ("measured", "a rod"), ("lengths", slip)],
    );
    assert!(problems.len() == 1 && problems[0].message.starts_with("5.0801 mm is far"), "{problems:?}");
    // As bad as a study is taken: 0.15 mm, whose double would call 0.30 mm noise.
    let dull = "50.60 mm\n50.75 mm\n50.90 mm";
    bench.log(Kind::Study, "2026-01-03", &[("gauge", "M-1"), ("measured", "a rod"), ("lengths", dull)]);
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "100 mm @ 0: 50.86 mm"),
            ("od_gauge", "M-1"),
        ],
    );
    assert!(bench.reason("MF-1", "2026-02-01", "growth-hold").is_some());
    let coarse = bench.log(
        Kind::Gauge,
        "2026-01-03",
        &[("serial", "K-1"), ("what", "calipers"), ("uncertainty", "0.05 mm")],
    );
    assert!(coarse.warnings.iter().any(|it| it.field == "uncertainty"), "{:?}", coarse.warnings);
}

fn with(fields: &[(&'static str, &'static str)], without: &str) -> Vec<(&'static str, &'static str)> {
    let mut all = proof_fields("MF-1", "7.5 MPa");
    all.retain(|(name, _)| *name != without && fields.iter().all(|(field, _)| field != name));
    all.extend_from_slice(fields);
    all
}

#[test]
fn a_failed_proof_is_forgiven_by_two_people_and_a_proof_of_the_same_stations() {
    let mut bench = Bench::proved();
    let grown = with(&[("od_after", "100 mm @ 0: 50.83 mm")], "");
    bench.log(Kind::Proof, "2026-02-02", &grown);
    // Another station, and lower than the MEOP asks for.
    let elsewhere = with(&[("od_before", "200 mm @ 0: 50.80 mm"), ("od_after", "200 mm @ 0: 50.80 mm")], "");
    bench.log(Kind::Proof, "2026-02-03", &elsewhere);
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::Hold, "another station says nothing");
    bench.keep("MF-1", "2026-02-04");
    assert_eq!(bench.standing("MF-1", "2026-02-04"), Standing::Hold, "decided, and not proved");
    bench.proof("MF-1", "2026-02-05", "6.0 MPa");
    assert_eq!(bench.standing("MF-1", "2026-02-05"), Standing::Hold, "too low");
    bench.proof("MF-1", "2026-02-06", "7.5 MPa");
    assert_eq!(bench.standing("MF-1", "2026-02-06"), Standing::InService);
}

#[test]
fn a_passing_proof_alone_does_not_settle_a_failed_one() {
    let mut bench = Bench::proved();
    bench.log(Kind::Proof, "2026-02-02", &with(&[("leak", "yes")], ""));
    bench.proof("MF-1", "2026-02-03", "7.5 MPa");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::Hold);
    bench.keep("MF-1", "2026-02-03");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::InService);
}

#[rstest]
#[case("hold", "proof-hold-least")]
#[case("second", "proof-second")]
fn what_a_proof_does_not_say_is_not_shown(#[case] without: &str, #[case] rule: &str) {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.log(Kind::Proof, "2026-02-02", &with(&[], without));
    assert!(bench.standing("MF-1", "2026-02-02").forbids());
    assert!(bench.reason("MF-1", "2026-02-02", rule).is_some());
    bench.proof("MF-1", "2026-02-03", "7.5 MPa");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::InService, "shown by the next");
}

#[test]
fn a_welded_end_is_proved_where_it_is_soft() {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.retain(|(field, _)| !field.starts_with("forward."));
    fields.extend([("forward.kind", "welded plug"), ("forward.leg", "2.8 mm")]);
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.proof("MF-1", "2026-01-05", "6.5 MPa");
    assert!(bench.reason("MF-1", "2026-01-05", "proof-weld-zone").is_some());
    let mut near = proof_fields("MF-1", "6.5 MPa");
    near.extend([("od_before", "12 mm @ 0: 50.80 mm"), ("od_after", "12 mm @ 0: 50.80 mm")]);
    bench.log(Kind::Proof, "2026-01-06", &near);
    assert_eq!(bench.standing("MF-1", "2026-01-06"), Standing::InService);
}

#[test]
fn every_station_of_the_birth_record_is_read_in_one_day() {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.push(("od", "200 mm @ 0: 50.80 mm"));
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.load("48A", "4.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    bench.keep("MF-1", "2026-02-01");
    let reason = bench.reason("MF-1", "2026-02-01", "strip-after-firing").unwrap();
    assert!(reason.text.contains("station 200 mm"), "{reason:?}");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "200 mm @ 0: 50.80 mm"),
        ],
    );
    bench.keep("MF-1", "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::InService);
}

#[test]
fn a_firing_without_a_peak_is_decided_by_two_and_stays_watched() {
    let mut bench = Bench::proved();
    bench.log(Kind::Firing, "2026-02-01", &[("casing", "MF-1"), ("mode", "static"), ("load", "48A")]);
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "keep"), ("reason", "no reason")],
    );
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::Hold);
    bench.keep("MF-1", "2026-02-02");
    assert_eq!(bench.standing("MF-1", "2026-02-02"), Standing::Watch);
    assert_eq!(bench.reason("MF-1", "2026-02-02", "peak-known").unwrap().value, "peak not known");
}

#[test]
fn a_proof_over_its_share_of_yield_is_decided_by_two() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    // The hole bearing yields at 13.8 MPa.
    bench.proof("MF-1", "2026-01-05", "13.0 MPa");
    assert_eq!(bench.reason("MF-1", "2026-01-05", "proof-yield-share").unwrap().standing, Standing::Hold);
    bench.keep("MF-1", "2026-01-06");
    assert!(bench.reason("MF-1", "2026-01-06", "proof-yield-share").is_none());
}

#[test]
fn a_fatigue_life_used_up_forbids() {
    let mut bench = Bench::proved();
    // Each of them at 99 % of yield, ten ordinary cycles, uses up a tenth of what the bolt holes bear.
    for n in 1..=11 {
        bench.proof("MF-1", &format!("2026-03-{n:02}"), "13.7 MPa");
        bench.keep("MF-1", &format!("2026-03-{n:02}"));
    }
    let reason = bench.reason("MF-1", "2026-03-28", "fatigue-life");
    let used = bench.assessed("MF-1", "2026-03-28").wear;
    assert!(reason.is_some_and(|it| it.standing == Standing::Hold), "{used:?}");
}

// Wall 1.651 mm, diameter 50.8 mm, bolts 10-32 (4.83 mm).
#[rstest]
#[case(&[("damage", "gouge"), ("depth", "0.30 mm")], "gouge-retire")] // 18 %
#[case(&[("damage", "gouge"), ("depth", "0.20 mm")], "gouge-restrict")] // 12 %
#[case(&[("damage", "gouge"), ("depth", "0.10 mm")], "gouge-blend")] // 6 %
#[case(&[("damage", "pitting"), ("wall_left", "1.20 mm")], "pit-retire")] // 27 %
#[case(&[("damage", "dent"), ("depth", "1.2 mm")], "dent")] // 2.4 %
#[case(&[("damage", "over-temperature"), ("hardness", "35")], "hardness-restrict")] // 63 % lost
#[case(&[("damage", "hole elongation"), ("depth", "0.11 mm")], "hole-retire")] // 2.3 % of the hole
fn a_size_is_judged_in_what_its_limit_is_in(#[case] more: &[(&str, &str)], #[case] rule: &str) {
    let mut bench = Bench::proved();
    let mut fields = vec![("casing", "MF-1"), ("evidence", "seen")];
    fields.extend_from_slice(more);
    bench.log(Kind::Finding, "2026-02-01", &fields);
    assert!(
        bench.reason("MF-1", "2026-02-01", rule).is_some(),
        "{:?}",
        bench.assessed("MF-1", "2026-02-01").reasons
    );
}

#[rstest]
#[case("MF 10")]
#[case("MF-1O")]
#[case("MF-I0")]
#[case("mf_l0")]
#[case("MF10")]
fn a_serial_that_looks_like_another_is_that_other(#[case] serial: &str) {
    let mut bench = Bench::new();
    bench.casing("MF-10", "5.0 MPa");
    assert_eq!(
        bench.refused(Kind::Casing, "2026-02-02", &casing_fields(serial, "5.0 MPa"))[0].field,
        "serial"
    );
}

#[rstest]
#[case("ann-lee")]
#[case("Ann\u{200b} Lee\u{202e}")]
#[case("\u{410}nn L\u{435}e")] // Cyrillic A and e
#[case("\u{ff21}nn Lee")] // full width
#[case("B")]
#[case("\u{200b}")]
fn one_person_is_not_two_by_spelling(#[case] second: &str) {
    let mut bench = Bench::proved();
    let problems = bench.refused(
        Kind::Disposition,
        "2026-02-01",
        &[("casing", "MF-1"), ("decision", "keep"), ("reason", "fine"), ("second", second)],
    );
    assert_eq!(problems[0].field, "second");
}

#[rstest]
// Plan 1.0 MPa gauge: with the atmosphere in both, 1.21 would read as 1.19 and 0.84 as 0.85.
#[case("1.21 MPa", "peak-far-over-plan", "1.21")]
#[case("0.84 MPa", "peak-under-plan", "0.84")]
#[case("1.2001 MPa", "peak-far-over-plan", "1.2001")]
fn a_peak_is_held_against_its_plan_gauge_against_gauge(
    #[case] peak: &str,
    #[case] rule: &str,
    #[case] shown: &str,
) {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.load("48A", "1.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench.fire("MF-1", "2026-02-01", peak);
    let reason = bench.reason("MF-1", "2026-02-01", rule).unwrap();
    assert_eq!(reason.value, format!("{shown} of the plan"));
}

#[test]
fn a_gauge_out_of_date_stays_in_sight_until_a_proof_with_one_in_date() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.log(
        Kind::Gauge,
        "2026-01-01",
        &[("serial", "G-1"), ("what", "pressure gauge"), ("calibration_due", "2026-01-31")],
    );
    bench.log(Kind::Proof, "2026-02-02", &with(&[("gauge", "G-1")], ""));
    bench.log(Kind::Proof, "2026-02-03", &with(&[("gauge", "G-1")], ""));
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::Watch);
    assert!(bench.reason("MF-1", "2026-02-03", "proof-gauge").is_some());
    bench.log(
        Kind::Gauge,
        "2026-02-03",
        &[("serial", "G-1"), ("what", "pressure gauge"), ("calibration_due", "2027-01-31")],
    );
    bench.log(Kind::Proof, "2026-02-04", &with(&[("gauge", "G-1")], ""));
    assert_eq!(bench.standing("MF-1", "2026-02-04"), Standing::InService);
}

#[test]
fn a_strike_says_the_day_it_was_written() {
    let mut bench = with_a_retired_one();
    retire(&mut bench, "2026-02-01");
    let number = bench.desk.book().size().unwrap().0.to_string();
    bench.log(
        Kind::Strike,
        "2026-02-01",
        &[("entry", &number), ("reason", "wrong casing"), ("second", "Bo Ray")],
    );
    let flags = bench.assessed("MF-2", "2026-10-03").flags;
    assert!(flags.iter().any(|flag| flag.contains("was struck on 2026-10-03")), "{flags:?}");
}

#[test]
fn a_struck_retirement_is_said_wherever_the_casing_is_asked_about() {
    use proofmark::desk::Desk;
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.db");
    let desk = Desk::writing(&book, crate::common::still(), None).unwrap();
    let mut bench = Bench { desk };
    bench.casing("MF-1", "5.0 MPa");
    bench.load("48A", "4.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("decision", "retire"),
            ("reason", "bulged"),
            ("made_unusable", "sawn"),
            ("second", "Bo Ray"),
        ],
    );
    let number = bench.desk.book().size().unwrap().0.to_string();
    bench.log(
        Kind::Strike,
        "2026-02-02",
        &[("entry", &number), ("reason", "wrong casing"), ("second", "Bo Ray")],
    );
    drop(bench);
    let asked: [&[&str]; 8] = [
        &["due"],
        &["prefire", "MF-1", "--load", "48A", "--static"],
        &["margins", "MF-1"],
        &["growth", "MF-1"],
        &["decide", "MF-1"],
        &["proof", "MF-1"],
        &["bulge", "MF-1"],
        &["show", "MF-1"],
    ];
    for words in asked {
        for json in [&[][..], &["--json"][..]] {
            let ran = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
                .env("PROOFMARK_BOOK", &book)
                .args(words)
                .args(json)
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&ran.stdout);
            assert!(said.contains("a retirement was struck on"), "{words:?} {json:?}: {said}");
        }
    }
}
