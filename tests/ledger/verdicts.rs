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

/// A welded casing whose weld zone yields at about 7.4 MPa: a proof at 1.5 times its MEOP does not fit under 90 %.
fn welded(meop: &str) -> Bench {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", meop);
    fields.retain(|(name, _)| !name.starts_with("forward.") && !name.starts_with("tube.wall"));
    fields.extend([
        ("forward.kind", "welded plug"),
        ("forward.leg", "2.8 mm"),
        ("tube.wall", "1.65 mm"),
        ("tube.wall_min", "1.6 mm"),
        ("od", "10 mm @ 0: 50.80 mm"),
    ]);
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.load("48A", "4.0 MPa");
    bench
}

fn yields_pa(bench: &Bench) -> f64 {
    bench.assessed("MF-1", "2026-10-03").weakest.unwrap().1
}

#[test]
fn a_proof_is_proposed_as_high_as_the_cap_allows() {
    let bench = welded("5.0 MPa");
    let cap_pa = 0.9 * yields_pa(&bench);
    assert!(cap_pa < 7.5e6 && cap_pa > 6.25e6, "{cap_pa}");
    let plan = bench.desk.proof_plan("MF-1", None, None).unwrap();
    assert!(
        plan.pressure_pa <= cap_pa && plan.pressure_pa > cap_pa - 0.05e6,
        "{} of {cap_pa}",
        plan.pressure_pa
    );
    assert!(plan.pressure_pa >= 6.25e6);
    assert!(plan.objection.is_none());
    assert!(plan.cautions[0].contains("not 7.50 MPa (1.50 times)"), "{:?}", plan.cautions);
    // Well under the cap it is the club's factor, and nothing is said.
    let plan = welded("4.0 MPa").desk.proof_plan("MF-1", None, None).unwrap();
    assert!((plan.pressure_pa - 6.0e6).abs() < 1.0 && plan.cautions.is_empty(), "{:?}", plan.cautions);
    // Where even 1.25 times MEOP does not fit, it objects.
    let plan = welded("5.6 MPa").desk.proof_plan("MF-1", None, None).unwrap();
    assert!(plan.objection.is_some());
    assert!(plan.cautions.iter().any(|it| it.contains("no proof covers MEOP")), "{:?}", plan.cautions);
}

#[test]
fn the_restriction_proposed_lowers_meop_and_its_proof_keeps_the_cap() {
    for meop in ["4.2 MPa", "4.8 MPa", "5.0 MPa", "5.5 MPa", "5.9 MPa"] {
        let bench = welded(meop);
        let cap_pa = 0.9 * yields_pa(&bench);
        let deciding = bench.desk.deciding("MF-1").unwrap();
        let restrict = deciding.proposals.iter().find(|it| it.what == "restrict").unwrap();
        let given = restrict.given.iter().find(|(name, _)| name == "meop");
        let number = |words: &str| {
            words.split_once(" MPa").unwrap().0.rsplit(' ').next().unwrap().parse::<f64>().unwrap()
        };
        match given {
            Some((_, words)) => {
                assert!(number(words) < number(meop), "{words} does not restrict {meop}");
                let (_, proof) = restrict.why.split_once("proof it at ").unwrap();
                let proof = number(proof) * 1e6;
                assert!(proof <= cap_pa + 5e3, "{proof} for {meop}, cap {cap_pa}");
                assert!(proof >= 1.25e6 * number(words) - 5e3, "{proof} covers {words}");
            }
            None => assert!(restrict.why.contains("no mode asks for a MEOP below"), "{}", restrict.why),
        }
        assert_eq!(given.is_none(), meop == "4.2 MPa");
    }
}

#[rstest]
#[case(&[("meop", "5.0 MPa")], "restricts nothing")]
#[case(&[("meop", "725.19 psi")], "restricts nothing")] // the drawing's 5.0 MPa in another unit
#[case(&[("meop", "5.1 MPa"), ("loads", "48A")], "lowers MEOP")]
#[case(&[("expires", "2027-01-01")], "a restriction needs")]
fn a_restriction_that_restricts_nothing_is_refused(#[case] more: &[(&str, &str)], #[case] words: &str) {
    let mut bench = Bench::proved();
    let mut fields =
        vec![("casing", "MF-1"), ("decision", "restrict"), ("reason", "care"), ("second", "Bo Ray")];
    fields.extend_from_slice(more);
    let problems = bench.refused(Kind::Disposition, "2026-02-01", &fields);
    assert!(problems[0].message.contains(words), "{problems:?}");
}

#[rstest]
#[case(&[("meop", "4.9 MPa")])]
#[case(&[("loads", "48A")])]
#[case(&[("proof_every", "2")])]
#[case(&[("meop", "5.0 MPa"), ("proof_every", "2")])]
fn a_restriction_that_restricts_something_stands(#[case] more: &[(&str, &str)]) {
    let mut bench = Bench::proved();
    let mut fields =
        vec![("casing", "MF-1"), ("decision", "restrict"), ("reason", "care"), ("second", "Bo Ray")];
    fields.extend_from_slice(more);
    bench.log(Kind::Disposition, "2026-02-01", &fields);
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::Restricted);
}

#[test]
fn a_restriction_is_not_loosened_by_one() {
    let mut bench = Bench::proved();
    let to = |meop| [("casing", "MF-1"), ("decision", "restrict"), ("reason", "care"), ("meop", meop)];
    bench.log(Kind::Disposition, "2026-02-01", &[&to("4.0 MPa")[..], &[("second", "Bo Ray")]].concat());
    let problems = bench.refused(Kind::Disposition, "2026-02-02", &to("4.5 MPa"));
    assert_eq!(problems[0].field, "second");
    bench.log(Kind::Disposition, "2026-02-03", &[&to("4.5 MPa")[..], &[("second", "Bo Ray")]].concat());
    assert!((bench.assessed("MF-1", "2026-02-03").meop_pa.unwrap() - 4.5e6).abs() < 1.0);
}

fn decide<'a>(decision: &'a str, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![("casing", "MF-1"), ("decision", decision), ("reason", "looked at it")];
    fields.extend_from_slice(more);
    fields
}

fn warned_of_one_name(bench: &Bench, fields: &[(&str, &str)]) -> bool {
    let mut answers = proofmark::book::Answers::new();
    answers.set("by", "Ann Lee");
    for (field, text) in fields {
        answers.push(field, *text);
    }
    let warnings = bench.desk.check(Kind::Disposition, &answers, None).unwrap();
    warnings.iter().any(|it| it.field == "second" && it.message.contains("until two people decide"))
}

#[test]
fn one_name_is_told_what_it_does_not_settle_before_it_is_written() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.861 mm");
    let restrict = decide("restrict", &[("meop", "4.9 MPa")]);
    for fields in [decide("keep", &[]), restrict.clone()] {
        assert!(warned_of_one_name(&bench, &fields), "{fields:?}");
        let two = [fields.as_slice(), &[("second", "Bo Ray")]].concat();
        assert!(!warned_of_one_name(&bench, &two), "{two:?}");
    }
    assert!(
        !warned_of_one_name(&bench, &decide("retire", &[("made_unusable", "holed")])),
        "the careful side"
    );
    assert!(!warned_of_one_name(&bench, &decide("hold", &[])));
    let deciding = bench.desk.deciding("MF-1").unwrap();
    for it in &deciding.proposals {
        assert_eq!(it.two_names, !matches!(it.what.as_str(), "hold" | "retire"), "{}", it.what);
        assert_eq!(it.why.contains("takes two names"), it.two_names, "{}", it.why);
    }
    // Written all the same, it settles nothing, and neither does the proof after it: growth of 0.12 % is for two.
    let written = bench.log(Kind::Disposition, "2026-02-02", &decide("keep", &[]));
    assert!(written.warnings.iter().any(|it| it.field == "second"), "{:?}", written.warnings);
    proof_at(&mut bench, "2026-02-03", "50.861 mm");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::Hold);
    bench.keep("MF-1", "2026-02-04");
    assert!(!bench.standing("MF-1", "2026-02-04").forbids());
}

#[test]
fn nothing_promises_two_people_where_one_settles_it() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.80 mm");
    let deciding = bench.desk.deciding("MF-1").unwrap();
    assert!(!deciding.two_names(), "{:?}", deciding.proposals);
    assert!(!proofmark::report::decide::as_text(&deciding).contains("writes it, with two names"));
    assert!(!warned_of_one_name(&bench, &decide("keep", &[])));
    bench.log(Kind::Disposition, "2026-02-02", &decide("keep", &[]));
    assert!(!bench.standing("MF-1", "2026-02-02").forbids());
}

#[test]
fn growth_accepted_below_the_limit_is_not_accepted_at_it() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.845 mm");
    bench.keep("MF-1", "2026-02-02");
    // 0.09 % was seen and kept; 0.11 % is within the noise of it, and over the limit that asks for a hold.
    bench.fire("MF-1", "2026-03-01", "4.0 MPa");
    bench.strip("MF-1", "2026-03-01", "50.856 mm");
    bench.log(Kind::Disposition, "2026-03-02", &decide("keep", &[]));
    assert_eq!(bench.standing("MF-1", "2026-03-02"), Standing::Hold);
    assert!(bench.reason("MF-1", "2026-03-02", "growth-hold").is_some());
}

#[rstest]
#[case(&[("aft.bolt_ultimate", "-"), ("forward.bolt_ultimate", "-")], "bolt shear", "weakest class is assumed")]
#[case(&[("aft.bolt_ultimate", "45 ksi")], "bolt shear", "stronger, more or larger bolts")]
#[case(&[("aft.edge", "4 mm")], "tear-out", "more edge distance")]
#[case(&[("tube.wall", "0.035 in"), ("tube.wall_min", "0.035 in")], "hole bearing", "more or larger bolts, or a thicker wall")]
fn the_advice_fits_the_weakest_mode(
    #[case] changed: &[(&str, &str)],
    #[case] mode: &str,
    #[case] advice: &str,
) {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "9.9 MPa");
    fields.retain(|(name, _)| changed.iter().all(|(other, _)| other != name));
    fields.extend(changed.iter().filter(|(_, words)| *words != "-"));
    bench.log(Kind::Casing, "2026-01-02", &fields);
    assert_eq!(bench.assessed("MF-1", "2026-01-02").weakest.unwrap().0, mode);
    let thin = bench.reason("MF-1", "2026-01-02", "margin-least").unwrap();
    assert!(thin.next.starts_with("restrict it to a lower MEOP; "), "{}", thin.next);
    assert!(thin.next.contains(advice), "{}", thin.next);
}

fn asked(bench: &mut Bench, kind: Kind, fields: &[(&str, &str)], field: &str) -> String {
    let written = bench.log(kind, "2026-02-01", fields);
    let about: Vec<String> =
        written.warnings.iter().filter(|it| it.field == field).map(|it| it.message.clone()).collect();
    about.join("; ")
}

#[rstest]
#[case("peak_pressure", "9999 psi", "above what is plausible")]
#[case("peak_pressure", "42 MPa", "was it bar")]
#[case("peak_thrust", "5000 N", "times the plan")]
#[case("burn_time", "201 s", "above what is plausible")]
#[case("burn_time", "20.1 s", "10.1 times the plan")]
#[case("throat_after", "95.8 mm", "wider than the bore")]
#[case("throat_before", "40 mm", "4.3 times the plan")]
fn what_a_firing_cannot_have_been_is_asked_about(
    #[case] field: &str,
    #[case] text: &str,
    #[case] words: &str,
) {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.log(
        Kind::Load,
        "2026-01-02",
        &[
            ("name", "48A"),
            ("peak_pressure", "4.7 MPa"),
            ("peak_thrust", "500 N"),
            ("burn_time", "2.0 s"),
            ("impulse", "950 Ns"),
            ("nozzle.throat", "9.35 mm"),
        ],
    );
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    let mut fields = vec![("casing", "MF-1"), ("mode", "static"), ("load", "48A")];
    fields.push((field, text));
    let said = asked(&mut bench, Kind::Firing, &fields, field);
    assert!(said.contains(words), "{text}: {said:?}");
}

#[test]
fn an_honest_firing_is_not_asked_about() {
    let mut bench = Bench::proved();
    let fields = [
        ("casing", "MF-1"),
        ("mode", "static"),
        ("load", "48A"),
        ("peak_pressure", "4.1 MPa"),
        ("burn_time", "1.97 s"),
        ("throat_before", "9.35 mm"),
        ("throat_after", "9.42 mm"),
    ];
    let written = bench.log(Kind::Firing, "2026-02-01", &fields);
    assert_eq!(written.warnings, []);
}

#[rstest]
#[case("65 MPa", "was it bar")]
#[case("1090 bar", "was it psi")]
#[case("20 MPa", "above what is plausible")]
fn a_proof_of_the_wrong_unit_is_asked_about(#[case] pressure: &str, #[case] words: &str) {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let said = asked(&mut bench, Kind::Proof, &proof_fields("MF-1", pressure), "pressure");
    assert!(said.contains(words), "{said}");
}

#[rstest]
#[case(&[("damage", "gouge"), ("depth", "0.2 mm"), ("station", "900 mm")], "station", "is not on this tube")]
#[case(&[("damage", "gouge"), ("depth", "0.2 mm"), ("station", "120 in")], "station", "was it mm")]
#[case(&[("damage", "gouge"), ("depth", "5 mm"), ("station", "120 mm")], "depth", "deeper than the wall")]
#[case(&[("damage", "pitting"), ("depth", "2 mm")], "depth", "deeper than the wall")]
#[case(&[("damage", "dent"), ("depth", "60 mm")], "depth", "deeper than the tube")]
fn damage_lies_on_the_tube_and_in_its_wall(
    #[case] more: &[(&str, &str)],
    #[case] field: &str,
    #[case] words: &str,
) {
    let mut bench = Bench::proved();
    let fields = [&[("casing", "MF-1"), ("evidence", "photo")], more].concat();
    let problems = bench.refused(Kind::Finding, "2026-02-01", &fields);
    assert_eq!(problems[0].field, field);
    assert!(problems[0].message.contains(words), "{problems:?}");
}

#[test]
fn damage_at_the_ends_and_right_through_is_taken() {
    let mut bench = Bench::proved();
    // The tube is 406.4 mm long; a crack is longer than the wall is thick.
    for more in [
        [("damage", "gouge"), ("depth", "1.65 mm"), ("station", "410 mm")],
        [("damage", "crack"), ("depth", "6 mm"), ("station", "0 mm")],
        [("damage", "dent"), ("depth", "5 mm"), ("station", "100 mm")],
    ] {
        bench.log(
            Kind::Finding,
            "2026-02-01",
            &[&[("casing", "MF-1"), ("evidence", "photo")], &more[..]].concat(),
        );
    }
    let problems = bench.refused(
        Kind::Strip,
        "2026-02-02",
        &[("casing", "MF-1"), ("heat", "good"), ("od", "900 mm @ 0: 50.80 mm")],
    );
    assert!(problems[0].message.contains("is not on this tube"), "{problems:?}");
}

#[test]
fn a_station_a_little_smaller_than_born_is_watched_until_somebody_says_why() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.755 mm");
    let shrunk = bench.reason("MF-1", "2026-02-01", "shrink").unwrap();
    assert_eq!(shrunk.standing, Standing::Watch);
    assert!(shrunk.text.contains("smaller than it was born") && shrunk.value.contains("-0.0"), "{shrunk:?}");
    bench.log(Kind::Disposition, "2026-02-02", &decide("keep", &[]));
    assert!(bench.reason("MF-1", "2026-02-02", "shrink").is_none());
    // The same reading again is known; a smaller one is not.
    bench.fire("MF-1", "2026-03-01", "4.0 MPa");
    bench.strip("MF-1", "2026-03-01", "50.755 mm");
    bench.keep("MF-1", "2026-03-01");
    assert!(bench.reason("MF-1", "2026-03-01", "shrink").is_none());
    bench.fire("MF-1", "2026-04-01", "4.0 MPa");
    bench.strip("MF-1", "2026-04-01", "50.71 mm");
    assert_eq!(bench.reason("MF-1", "2026-04-01", "shrink").unwrap().standing, Standing::Hold);
}

#[test]
fn growth_that_was_accepted_is_still_said() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.strip("MF-1", "2026-02-01", "50.861 mm");
    bench.keep("MF-1", "2026-02-02");
    proof_at(&mut bench, "2026-02-03", "50.861 mm");
    assert_eq!(bench.standing("MF-1", "2026-02-03"), Standing::InService);
    let said = bench.reason("MF-1", "2026-02-03", "growth-hold").unwrap();
    assert_eq!(said.standing, Standing::InService);
    assert_eq!(
        said.text,
        "it has grown 0.12 % at station 100 mm / 0 deg since birth, accepted on 2026-02-02"
    );
    let load = Planned { load: "48A", batch: None, mode: FiringMode::Static, grain: None };
    let card = bench.desk.card("MF-1", load).unwrap();
    let card = proofmark::report::paper::card(&card, proofmark::quantity::System::Si);
    assert!(card.contains("0.12 % at station 100 mm / 0 deg, +0.06 mm"), "{card}");
}

#[test]
fn a_proof_dated_before_the_registration_says_why_it_does_not_count() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let early = bench.log(Kind::Proof, "2025-12-30", &proof_fields("MF-1", "7.5 MPa"));
    assert!(early.warnings.iter().any(|it| it.field == "on" && it.message.contains("does not count")));
    let why = bench.reason("MF-1", "2026-02-01", "proof-of-build").unwrap();
    assert!(why.text.contains("the proof of 2025-12-30 (entry 2) does not count"), "{}", why.text);
    assert!(why.text.contains("registered only on 2026-01-02"), "{}", why.text);
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    assert!(bench.reason("MF-1", "2026-02-01", "proof-of-build").is_none());
}

#[test]
fn a_casing_whose_registration_was_struck_is_not_to_be_proofed() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let struck = bench.log(
        Kind::Strike,
        "2026-02-01",
        &[("entry", "1"), ("reason", "wrong serial"), ("second", "Bo Ray")],
    );
    let said = struck.follows.iter().map(|it| it.text.as_str()).collect::<Vec<_>>().join(" ");
    assert!(said.contains("MF-1 is not registered any more") && !said.contains("proof it"), "{said}");
    let assessed = bench.assessed("MF-1", "2026-02-01");
    assert!(assessed.standing(day("2026-02-01")).forbids());
    assert!(assessed.reasons.iter().all(|it| !it.next.contains("proof it")), "{:?}", assessed.reasons);
}

#[test]
fn one_bulge_is_one_line_with_the_worst_place_and_the_count() {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.extend([("od", "150 mm @ 0: 50.80 mm"), ("od", "200 mm @ 0: 50.80 mm")]);
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.load("48A", "4.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    // Read twice, each time another place is the worst.
    for rows in [["50.92 mm", "50.95 mm", "50.93 mm"], ["50.99 mm", "50.95 mm", "50.93 mm"]] {
        let rows: Vec<String> =
            [100, 150, 200].iter().zip(rows).map(|(at, od)| format!("{at} mm @ 0: {od}")).collect();
        let mut fields =
            vec![("casing", "MF-1"), ("heat", "good"), ("straight_edge", "good"), ("bore", "good")];
        fields.extend(rows.iter().map(|row| ("od", row.as_str())));
        bench.log(Kind::Strip, "2026-02-01", &fields);
    }
    let assessed = bench.assessed("MF-1", "2026-02-01");
    let lines: Vec<&str> =
        assessed.reasons.iter().filter(|it| it.rule == "growth-yield").map(|it| it.text.as_str()).collect();
    assert_eq!(
        lines,
        ["bulge at station 100 mm / 0 deg: the wall has yielded; the rule retires it, worst of 3 places"]
    );
}

#[test]
fn a_struck_slip_is_no_accusation_once_it_is_written_again() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let slip = bench.log(Kind::Proof, "2026-02-01", &proof_fields("MF-1", "65 MPa"));
    let number = slip.entries[0].number.to_string();
    let strike = [("entry", number.as_str()), ("reason", "65 bar, not MPa"), ("second", "Bo Ray")];
    bench.log(Kind::Strike, "2026-02-01", &strike);
    let flags = bench.assessed("MF-1", "2026-02-02").flags;
    assert_eq!(flags.len(), 1, "{flags:?}");
    assert!(flags[0].starts_with("entry 2, the proof of 2026-02-01, was struck on"), "{flags:?}");
    assert!(flags[0].ends_with("65 bar, not MPa"), "{flags:?}");
    // A proof of another day does not stand for it; the same one as it should be does.
    bench.proof("MF-1", "2026-02-02", "6.5 MPa");
    assert_eq!(bench.assessed("MF-1", "2026-02-02").flags.len(), 1);
    bench.proof("MF-1", "2026-02-01", "6.5 MPa");
    assert_eq!(bench.assessed("MF-1", "2026-02-02").flags, [] as [String; 0]);
}

#[test]
fn a_struck_crack_is_said_for_as_long_as_no_crack_stands_for_it() {
    let mut bench = Bench::proved();
    let crack = |depth| [("casing", "MF-1"), ("damage", "crack"), ("depth", depth), ("evidence", "dye")];
    let found = bench.log(Kind::Finding, "2026-02-01", &crack("60 mm"));
    let number = found.entries[0].number.to_string();
    let strike = [("entry", number.as_str()), ("reason", "not there"), ("second", "Bo Ray")];
    bench.log(Kind::Strike, "2026-02-02", &strike);
    let dent = [("casing", "MF-1"), ("damage", "dent"), ("depth", "0.1 mm"), ("evidence", "photo")];
    bench.log(Kind::Finding, "2026-02-01", &dent);
    assert_eq!(bench.assessed("MF-1", "2026-02-03").flags.len(), 1, "a dent is no crack");
    bench.log(Kind::Finding, "2026-02-01", &crack("6 mm"));
    assert_eq!(bench.assessed("MF-1", "2026-02-03").flags, [] as [String; 0]);
}
