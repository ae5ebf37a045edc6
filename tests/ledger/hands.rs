//! What the hands and gauges say: gauges and their noise, what an inspection must hold, proofs that are doubted,
//! and the book of an older schema.

use proofmark::book::details::repeatability;
use proofmark::book::{Kind, Standing};
use proofmark::quantity::{GaugePressure, Length, Quantity, Volume};
use proofmark::standing::proof_plan::{self, StepRead};
use proofmark::standing::{RuleSet, growth};
use proofmark::store::Book;
use proofmark::strength::growth::{Elastic, direct_expansion, elastic_growth_outside};

use super::common::{Bench, day, proof_fields, still};

fn gauge(bench: &mut Bench, mark: &str, due: &str) {
    bench.log(
        Kind::Gauge,
        "2026-01-02",
        &[
            ("serial", mark),
            ("what", "micrometer"),
            ("calibrated_on", "2025-12-01"),
            ("calibration_due", due),
        ],
    );
}

fn study(bench: &mut Bench, mark: &str, readings: &str) {
    bench.log(Kind::Study, "2026-01-03", &[("gauge", mark), ("measured", "a rod"), ("lengths", readings)]);
}

// JCGM 100:2008 (GUM) 4.4.3, example of Table 1: twenty temperatures, mean 100.145 and standard deviation 1.489.
#[test]
fn the_published_type_a_evaluation() {
    let readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68,
        100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ];
    let (mean, spread) = repeatability(&readings).unwrap();
    assert!((mean - 100.145).abs() < 5e-4, "{mean}");
    assert!((spread - 1.489).abs() < 5e-4, "{spread}");
    assert_eq!(repeatability(&[1.0]), None);
}

#[test]
fn nothing_below_twice_the_gauges_repeatability_is_growth() {
    let mut bench = Bench::proved();
    gauge(&mut bench, "M-1", "2026-12-01");
    // s = 0.02 mm: nothing up to 0.04 mm is growth with it.
    study(&mut bench, "M-1", "50.00 mm\n50.02 mm\n50.04 mm");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    let fields = |od: &'static str, gauge: &'static str| {
        let mut fields = vec![
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", od),
        ];
        if !gauge.is_empty() {
            fields.push(("od_gauge", gauge));
        }
        fields
    };
    bench.log(Kind::Strip, "2026-02-01", &fields("100 mm @ 0: 50.838 mm", "M-1"));
    let assessed = bench.assessed("MF-1", "2026-02-02");
    assert!(assessed.growth.iter().all(|it| it.noise), "{:?}", assessed.growth);
    bench.log(Kind::Strip, "2026-02-02", &fields("100 mm @ 0: 50.838 mm", ""));
    let assessed = bench.assessed("MF-1", "2026-02-03");
    assert!(assessed.growth.iter().any(|it| !it.noise), "without a gauge the club's 0.03 mm counts");
    // A later study changes no history.
    study(&mut bench, "M-1", "50.00 mm\n50.00 mm\n50.00 mm");
    let before = bench.assessed("MF-1", "2026-02-01");
    assert!(before.growth.iter().all(|it| it.noise), "{:?}", before.growth);
    assert_eq!(bench.desk.book().verify().unwrap(), []);
}

#[test]
fn a_gauge_too_coarse_to_see_the_limit_leaves_the_inspection_open() {
    let rules = RuleSet::new();
    // 0.10 % of 50.8 mm is 0.0508 mm: a gauge that repeats to 0.026 mm cannot see it.
    assert!(growth::blind(&rules, Some(0.026), 50.8));
    assert!(!growth::blind(&rules, Some(0.025), 50.8));
    assert!(!growth::blind(&rules, None, 50.8));
    let mut bench = Bench::proved();
    gauge(&mut bench, "K-1", "2026-12-01");
    study(&mut bench, "K-1", "50.00 mm\n50.05 mm\n50.10 mm");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "100 mm @ 0: 50.80 mm"),
            ("od_gauge", "K-1"),
        ],
    );
    bench.keep("MF-1", "2026-02-02");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::Hold);
    let reason = bench.reason("MF-1", "2026-02-03", "strip-after-firing").unwrap();
    assert!(reason.text.contains("repeats well enough"), "{reason:?}");
}

#[test]
fn a_gauge_out_of_calibration_is_said_at_the_proof_and_the_strip() {
    let mut bench = Bench::proved();
    gauge(&mut bench, "M-1", "2026-01-31");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.push(("od_gauge", "M-1"));
    fields.push(("gauge", "G-9"));
    let recorded = bench.log(Kind::Proof, "2026-02-05", &fields);
    let said: Vec<&str> = recorded.warnings.iter().map(|it| it.message.as_str()).collect();
    assert!(said.iter().any(|it| it.contains("calibration of M-1 ran out on 2026-01-31")), "{said:?}");
    assert!(said.iter().any(|it| it.contains("G-9 was not on record")), "{said:?}");
    assert_eq!(bench.standing("MF-1", "2026-02-06"), Standing::InService, "said, not judged");
}

#[test]
fn a_hard_landing_is_measured_at_four_angles_or_stays_on_hold() {
    let mut bench = Bench::proved();
    bench.log(
        Kind::Firing,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("mode", "flight"),
            ("load", "48A"),
            ("peak_pressure", "4.0 MPa"),
            ("landing", "hard"),
        ],
    );
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    bench.keep("MF-1", "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-02-02"), Standing::Hold, "one angle is blind to roundness");
    bench.log(
        Kind::Strip,
        "2026-02-03",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "100 mm @ 0: 50.80 mm"),
            ("od", "100 mm @ 45: 50.81 mm"),
            ("od", "100 mm @ 90: 50.80 mm"),
            ("od", "100 mm @ 135: 50.79 mm"),
        ],
    );
    bench.keep("MF-1", "2026-02-03");
    assert_eq!(bench.standing("MF-1", "2026-02-04"), Standing::InService);
}

#[test]
fn penetrant_after_an_over_pressure_is_asked_for_until_it_is_done() {
    let mut bench = Bench::proved();
    let strip = |bench: &mut Bench, on: &str, penetrant: &str| {
        bench.log(
            Kind::Strip,
            on,
            &[
                ("casing", "MF-1"),
                ("heat", "good"),
                ("straight_edge", "good"),
                ("bore", "good"),
                ("penetrant", penetrant),
                ("od", "100 mm @ 0: 50.80 mm"),
            ],
        );
    };
    // Over the proof of 7.5 MPa.
    bench.fire("MF-1", "2026-02-01", "7.9 MPa");
    strip(&mut bench, "2026-02-01", "not measured");
    bench.keep("MF-1", "2026-02-02");
    bench.proof("MF-1", "2026-02-03", "7.5 MPa");
    let reason = bench.reason("MF-1", "2026-02-04", "strip-after-firing").unwrap();
    assert!(reason.text.contains("penetrant"), "{reason:?}");
    strip(&mut bench, "2026-02-04", "good");
    bench.keep("MF-1", "2026-02-04");
    assert_eq!(bench.standing("MF-1", "2026-02-05"), Standing::InService);
}

#[test]
fn heat_found_asks_for_hardness() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    let fields = [
        ("casing", "MF-1"),
        ("heat", "finding"),
        ("straight_edge", "good"),
        ("bore", "good"),
        ("od", "100 mm @ 0: 50.80 mm"),
    ];
    bench.log(Kind::Strip, "2026-02-01", &fields);
    let reason = bench.reason("MF-1", "2026-02-02", "strip-after-firing").unwrap();
    assert!(reason.text.contains("hardness"), "{reason:?}");
    let mut with = fields.to_vec();
    with.push(("hb", "100 mm @ 0: 92"));
    bench.log(Kind::Strip, "2026-02-02", &with);
    assert!(bench.reason("MF-1", "2026-02-03", "strip-after-firing").is_none());
}

// A 2.000 x 0.065 in tube of 6061-T6, 16 in long, expands 2.2 mL at 7.5 MPa.
#[test]
fn a_jacket_proof_with_hardly_any_expansion_is_doubted() {
    for (total, permanent, passes) in [
        ("0.30 mL", "0.01 mL", false),
        ("1.20 mL", "0.01 mL", false),
        ("2.20 mL", "0.02 mL", true),
        ("2.80 mL", "0.02 mL", false),
    ] {
        let mut bench = Bench::new();
        bench.casing("MF-1", "5.0 MPa");
        let mut fields = proof_fields("MF-1", "7.5 MPa");
        fields.retain(|(field, _)| *field != "method");
        fields.extend([
            ("method", "water jacket"),
            ("total_expansion", total),
            ("permanent_expansion", permanent),
        ]);
        bench.log(Kind::Proof, "2026-02-02", &fields);
        let standing = bench.standing("MF-1", "2026-02-03");
        assert_eq!(standing == Standing::InService, passes, "{total}: {standing}");
        assert_eq!(
            bench.reason("MF-1", "2026-02-03", "proof-elastic-agreement").is_none(),
            passes,
            "{total}"
        );
    }
}

// 49 CFR 180.203, direct expansion: 1.366 L of water at 9.9 MPa takes up 6.22 mL of the 9.13 mL pumped in.
#[test]
fn the_waters_own_compression_is_taken_off() {
    let ml = |it: f64| Volume::from_si(it * 1e-6);
    let (total, permanent) =
        direct_expansion(ml(1366.0), ml(9.13), Some(ml(8.638)), GaugePressure::mpa(9.9)).unwrap();
    assert!((total.si() * 1e6 - 2.91).abs() < 0.01, "{total:?}");
    assert!((permanent.unwrap().si() / total.si() - 0.169).abs() < 0.001);
    assert!(
        direct_expansion(ml(1366.0), ml(6.0), None, GaugePressure::mpa(9.9)).is_err(),
        "less than its own"
    );
    assert!(direct_expansion(ml(1366.0), ml(9.0), Some(ml(9.1)), GaugePressure::mpa(9.9)).is_err());
    // Through the book: 720 mL at 7.5 MPa takes up 2.48 mL.
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.retain(|(field, _)| *field != "method");
    fields.extend([
        ("method", "direct expansion"),
        ("water_volume", "0.720 L"),
        ("water_pumped", "4.70 mL"),
        ("water_returned", "4.67 mL"),
    ]);
    let recorded = bench.log(Kind::Proof, "2026-02-02", &fields);
    let json = recorded.entries[0].entry.details.to_json().unwrap();
    let total = json["total_expansion"]["m3"].as_f64().unwrap() * 1e6;
    assert!((total - (4.70 - 720.0 * 4.6e-10 * 7.5e6)).abs() < 1e-6, "{total}");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::InService);
    assert_eq!(bench.desk.book().verify().unwrap(), []);
}

#[test]
fn a_proof_held_too_short_or_whose_pressure_fell_off_does_not_pass() {
    for (field, text, rule) in [
        ("hold", "20 s", "proof-hold-least"),
        ("steps", "0.75 MPa: 9\n3.75 MPa: 12\n5.0 MPa: 5\n6.25 MPa: 9\n7.5 MPa: 20", "proof-stiffness"),
        ("rig_checked", "no", "proof-of-build"),
    ] {
        let mut bench = Bench::new();
        bench.casing("MF-1", "5.0 MPa");
        let mut fields = proof_fields("MF-1", "7.5 MPa");
        fields.push((field, text));
        bench.log(Kind::Proof, "2026-02-02", &fields);
        let reason = bench.reason("MF-1", "2026-02-03", rule).unwrap_or_else(|| panic!("{rule}"));
        assert_eq!(reason.standing, Standing::Hold, "a proof that did not pass is no mere date: {reason:?}");
        assert!(reason.text.contains("did not pass"), "{reason:?}");
    }
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.extend([
        ("hold", "30 s"),
        ("steps", "0.75 MPa: 9\n3.75 MPa: 12\n5.0 MPa: 5\n6.25 MPa: 5\n7.5 MPa: 5"),
    ]);
    bench.log(Kind::Proof, "2026-02-02", &fields);
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::InService);
}

#[test]
fn gas_is_refused_and_a_step_over_the_proof_too() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.retain(|(field, _)| *field != "medium");
    fields.push(("medium", "nitrogen"));
    let problems = bench.refused(Kind::Proof, "2026-02-02", &fields);
    assert!(problems.iter().any(|it| it.message.contains("a thousand times the energy")), "{problems:?}");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.push(("steps", "8.0 MPa: 9"));
    let problems = bench.refused(Kind::Proof, "2026-02-02", &fields);
    assert!(problems.iter().any(|it| it.field == "pressure"), "{problems:?}");
    let mut fields = proof_fields("MF-1", "7.5 MPa");
    fields.push(("steps", "5.0 MPa: 9\n4.0 MPa: 2"));
    assert!(bench.refused(Kind::Proof, "2026-02-02", &fields).iter().any(|it| it.field == "steps"));
}

#[test]
fn a_plan_says_what_to_expect_and_what_departs_is_flagged() {
    let bench = Bench::proved();
    let plan = bench.desk.proof_plan("MF-1", None, None).unwrap();
    assert_eq!(plan.pressure_pa, 7.5e6);
    let shares: Vec<f64> = plan.steps.iter().map(|step| (step.share * 1000.0).round() / 1000.0).collect();
    assert_eq!(shares, [0.1, 0.5, 0.667, 0.75, 0.833, 0.917, 1.0]);
    assert!(plan.steps.iter().all(|step| step.away == (step.pressure_pa > plan.meop_pa)));
    for step in &plan.steps {
        let tube = proofmark::design::wall::TubeSize::from_two(
            Some(Length::inches(2.0)),
            None,
            Some(Length::inches(0.065)),
        )
        .unwrap();
        let metal = proofmark::design::material::find("6061-T6").unwrap();
        let elastic = Elastic { modulus: metal.modulus, poisson: metal.poisson };
        let by_hand =
            elastic_growth_outside(tube, elastic, GaugePressure::from_si(step.pressure_pa)).unwrap();
        assert!((step.growth_mm.unwrap() - by_hand.as_mm()).abs() < 1e-12);
    }
    let rules = RuleSet::new();
    let expected = plan.steps[1].growth_mm.unwrap();
    let read = |grown: f64| {
        vec![
            StepRead::default(),
            StepRead { pressure_pa: None, strokes: None, growth_mm: vec![Some(grown), None] },
        ]
    };
    let flags = |grown: f64| proof_plan::look(&plan, &read(grown), &rules);
    assert!(flags(expected).is_empty());
    // Twice what the dial repeats to is 6 um.
    assert!(flags(expected + 0.0059).is_empty());
    let close = flags(expected + 0.0061);
    assert!(close.len() == 1 && close[0].stop == (0.0061 > 0.15 * expected), "{close:?}");
    assert!(flags(1.2 * expected).iter().any(|flag| flag.stop), "15 % of {expected} mm");
    assert!(flags(0.8 * expected).iter().any(|flag| flag.stop));
}

#[test]
fn a_welded_plug_is_objected_to_and_its_meop_cannot_be_covered() {
    let path = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/book_schema_1.db");
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("book.db");
    std::fs::copy(path, &copy).unwrap();
    let mut desk = proofmark::desk::Desk::writing(&copy, still(), None).unwrap();
    desk.ask_for(Some(day("2026-10-03")));
    // The weld zone yields at 7.62 MPa; 90 % of it is 6.86 MPa.
    let plan = desk.proof_plan("MF-1", Some(GaugePressure::mpa(7.0)), None).unwrap();
    let objection = plan.objection.unwrap();
    assert!((objection.highest_proof_pa.as_mpa() - 6.86).abs() < 0.01, "{objection}");
    assert!(desk.proof_plan("MF-1", Some(GaugePressure::mpa(6.8)), None).unwrap().objection.is_none());
}

/// A book of the first schema opens with nothing lost, is copied first, and is judged by today's rules.
#[test]
fn a_book_of_the_first_schema_opens_with_nothing_lost() {
    let fixture =
        std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/book_schema_1.db");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    std::fs::copy(&fixture, &path).unwrap();
    assert!(matches!(Book::open_reading(&path), Err(proofmark::store::StoreError::Older { .. })));
    let book = Book::open_writing(&path, None).unwrap();
    assert_eq!(book.size().unwrap(), (10, 10));
    assert_eq!(
        book.head_seal().unwrap().unwrap(),
        "90ef91d18ea6e1add3a70fe8a3d71091a97cc21cc02446484fb86e9d6c251baa"
    );
    assert_eq!(book.verify().unwrap(), []);
    let kept = book.kept_assessment("MF-1").unwrap().unwrap();
    assert_eq!(kept.firings, 1);
    assert_eq!(kept.birth.len(), 2);
    drop(book);
    let copies = std::fs::read_dir(folder.path()).unwrap().filter(|it| {
        let name = it.as_ref().unwrap().file_name();
        name.to_string_lossy().contains("schema-1")
    });
    assert_eq!(copies.count(), 1, "the book as it was is kept beside it");
    assert!(Book::open_reading(&path).is_ok());
}

#[test]
fn a_part_sits_where_it_was_made_to_sit() {
    let mut bench = Bench::proved();
    bench.log(Kind::Part, "2026-01-02", &[("serial", "N-1"), ("what", "nozzle carrier")]);
    let problems =
        bench.refused(Kind::Fit, "2026-01-03", &[("casing", "MF-1"), ("part", "N-1"), ("position", "tube")]);
    assert!(problems[0].message.contains("on record as a nozzle carrier"), "{problems:?}");
    bench.log(
        Kind::Fit,
        "2026-01-03",
        &[("casing", "MF-1"), ("part", "N-1"), ("position", "nozzle carrier")],
    );
}

#[test]
fn a_revision_is_not_dated_before_the_proof_of_the_drawing_it_changes() {
    let mut bench = Bench::proved();
    let mut fields = super::common::casing_fields("MF-1", "5.0 MPa");
    fields.push(("revision", "B"));
    for (name, words) in &mut fields {
        if *name == "tube.wall" || *name == "tube.wall_min" {
            *words = "0.055 in";
        }
    }
    let problems = bench.refused(Kind::Casing, "2026-01-04", &fields);
    assert!(problems[0].field == "on" && problems[0].message.contains("strike that proof"), "{problems:?}");
    bench.log(Kind::Casing, "2026-01-06", &fields);
    assert_eq!(bench.standing("MF-1", "2026-01-07"), Standing::Unproved);
}

#[test]
fn a_repair_is_finished_before_it_is_proofed() {
    let mut bench = Bench::proved();
    bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("decision", "repair"),
            ("reason", "thread blow-by"),
            ("repair", "part off 14 mm and recut"),
            ("second", "Bo Ray"),
        ],
    );
    let reason = bench.reason("MF-1", "2026-02-02", "rebuild-proof").unwrap();
    assert!(
        reason.text.contains("part off 14 mm") && reason.next.starts_with("finish the repair"),
        "{reason:?}"
    );
    bench.log(
        Kind::Note,
        "2026-02-03",
        &[("casing", "MF-1"), ("event", "machining"), ("text", "parted off and recut")],
    );
    let reason = bench.reason("MF-1", "2026-02-04", "rebuild-proof").unwrap();
    assert!(
        reason.text.contains("repaired on 2026-02-03") && reason.next.starts_with("proof it"),
        "{reason:?}"
    );
    bench.proof("MF-1", "2026-02-05", "7.5 MPa");
    assert_eq!(bench.standing("MF-1", "2026-02-06"), Standing::InService);
}

// CGA C-6.1 4.2 as the cylinder shops quote it: 15 % of the least wall, under 6 in; 0.031 in where unknown.
#[test]
fn the_published_gouge_limits() {
    let limit = proofmark::strength::defect::gouge_limit(Some(Length::inches(0.471))).unwrap();
    assert!((limit.depth_m.as_mm() / 25.4 - 0.0707).abs() < 1e-4);
    let unknown = proofmark::strength::defect::gouge_limit(None).unwrap();
    assert!((unknown.depth_m.as_mm() / 25.4 - 0.031).abs() < 1e-9);
    let rules = RuleSet::new();
    assert_eq!(rules.value("gouge-retire"), 15.0);
}

#[test]
fn the_rules_ask_for_retirement_or_for_nothing_but_a_decision() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    let asked = |bench: &Bench| {
        let of = bench.desk.deciding("MF-1").unwrap();
        of.proposals.into_iter().find(|it| it.asked_for).map(|it| (it.what, it.leads_to))
    };
    assert_eq!(asked(&bench), Some(("keep".to_owned(), Some(Standing::InService))));
    // A wall grown by 0.3 % has yielded, whoever would like to keep it.
    bench.strip("MF-1", "2026-02-02", "50.96 mm");
    let (what, leads_to) = asked(&bench).unwrap();
    assert_eq!((what.as_str(), leads_to), ("retire", Some(Standing::Retired)));
    let of = bench.desk.deciding("MF-1").unwrap();
    let keep = of.proposals.iter().find(|it| it.what == "keep").unwrap();
    assert_eq!(keep.leads_to, Some(Standing::Hold));
    assert!(keep.why.contains("yielded"), "{}", keep.why);
}
