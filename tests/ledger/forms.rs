//! Forms: one table for flags, TOML and screens; bad input of every kind names its field and stores nothing.

use proofmark::book::{Answers, Kind, forms};
use proptest::prelude::*;
use rstest::rstest;

use crate::common::{Bench, casing_fields, proof_fields};

fn with<'a>(mut fields: Vec<(&'a str, &'a str)>, field: &'a str, text: &'a str) -> Vec<(&'a str, &'a str)> {
    fields.retain(|(name, _)| *name != field);
    fields.push((field, text));
    fields
}

#[rstest]
#[case("tube.od", "50", "no unit")]
#[case("tube.od", "two inches", "two inches")]
#[case("tube.od", "5 MPa", "5 MPa")]
#[case("tube.od", "-2 in", "-2 in")]
#[case("tube.od", "NaN mm", "NaN")]
#[case("tube.od", "1e400 mm", "1e400")]
#[case("tube.wall", "30 mm", "wall")]
#[case("tube.material", "unobtainium", "unobtainium")]
#[case("forward.kind", "glue", "one of")]
#[case("forward.count", "eight", "whole number")]
#[case("forward.count", "-8", "whole number")]
#[case("service.meop", "0 MPa", "more than nothing")]
#[case("serial", "MF\u{1b}[31m", "serial")]
#[case("od", "100 mm 50.8 mm", ":")]
#[case("od", "100 mm @ 400: 50.8 mm", "angle")]
#[case("on", "03/10/2026", "2026-10-03")]
#[case("on", "2027-01-01", "has not come yet")]
#[case("date_approximate", "perhaps", "neither yes nor no")]
#[case("tube.odd", "1", "no such field")]
fn a_bad_field_is_named_with_what_would_be_accepted(
    #[case] field: &str,
    #[case] text: &str,
    #[case] says: &str,
) {
    let mut bench = Bench::new();
    let fields = with(casing_fields("MF-1", "5.0 MPa"), field, text);
    let on = if field == "on" { text } else { "2026-01-02" };
    let fields: Vec<_> = fields.into_iter().filter(|(name, _)| *name != "on").collect();
    let problems = bench.refused(Kind::Casing, on, &fields);
    assert!(problems.iter().any(|problem| problem.message.contains(says)), "{problems:?}");
    assert!(
        problems.iter().any(|problem| problem.field.starts_with(field.split('.').next().unwrap())),
        "{field} is not named: {problems:?}"
    );
    let raw = problems.iter().any(|problem| problem.message.contains('\u{1b}'));
    assert!(!raw, "a control character came through");
}

#[test]
fn gas_is_refused_with_the_reason() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    for medium in ["nitrogen", "air", "CO2", ""] {
        let problems = bench.refused(
            Kind::Proof,
            "2026-01-05",
            &with(proof_fields("MF-1", "7.5 MPa"), "medium", medium),
        );
        assert_eq!(problems[0].field, "medium");
        assert!(problems[0].message.contains("water"), "{problems:?}");
    }
}

#[test]
fn every_problem_is_told_at_once() {
    let mut bench = Bench::new();
    let problems = bench.refused(Kind::Casing, "2026-01-02", &[("tube.od", "50"), ("aft.kind", "rope")]);
    let fields: Vec<&str> = problems.iter().map(|problem| problem.field.as_str()).collect();
    for field in
        ["serial", "tube.material", "tube.od", "tube.wall", "forward.kind", "aft.kind", "service.meop"]
    {
        assert!(fields.contains(&field), "{field} is missing from {fields:?}");
    }
}

#[test]
fn a_slip_of_unit_is_said_and_stands_as_typed() {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let recorded = bench.log(Kind::Proof, "2026-01-05", &proof_fields("MF-1", "1088 bar"));
    let warning =
        recorded.warnings.iter().find(|it| it.field == "pressure").expect("psi typed as bar is noticed");
    assert!(warning.message.contains("psi"), "{warning:?}");
    let stored = recorded.entries[0].entry.details.to_json().unwrap();
    assert_eq!(stored["pressure"]["typed"], "1088 bar");
    assert!(
        (stored["pressure"]["pa"].as_f64().unwrap() - 108.8e6).abs() < 1.0,
        "nothing was converted in silence"
    );
    let assessed = bench.assessed("MF-1", "2026-01-06");
    assert!(assessed.proof.is_none(), "a proof far over yield is no proof: {assessed:?}");
}

#[test]
fn unknown_names_come_back_with_the_nearest() {
    let mut bench = Bench::proved();
    let problems =
        bench.refused(Kind::Firing, "2026-02-01", &[("casing", "MF-l"), ("mode", "static"), ("load", "48B")]);
    assert!(
        problems.iter().any(|it| it.field == "casing" && it.message.contains("did you mean MF-1?")),
        "{problems:?}"
    );
    assert!(
        problems.iter().any(|it| it.field == "load" && it.message.contains("did you mean 48A?")),
        "{problems:?}"
    );
}

#[test]
fn the_second_person_is_another() {
    let mut bench = Bench::new();
    let problems = bench.refused(
        Kind::Casing,
        "2026-01-02",
        &with(casing_fields("MF-1", "5.0 MPa"), "second", "ann lee"),
    );
    assert_eq!(problems[0].field, "second");
}

#[test]
fn a_prefire_release_takes_every_item_and_two_names() {
    let mut bench = Bench::proved();
    let fields = [("casing", "MF-1"), ("load", "48A"), ("mode", "static"), ("yes", "all")];
    let problems = bench.refused(Kind::Prefire, "2026-02-01", &fields);
    assert_eq!(problems[0].field, "second");
    let mut two = fields.to_vec();
    two.push(("second", "Bo Ray"));
    bench.log(Kind::Prefire, "2026-02-01", &two);
    let problems = bench.refused(
        Kind::Prefire,
        "2026-02-01",
        &[("casing", "MF-1"), ("load", "48A"), ("mode", "static"), ("yes", "boar")],
    );
    assert!(problems[0].message.contains("bore"), "{problems:?}");
    let page = bench.desk.casing("MF-1").unwrap();
    let released = page.ledger.last().unwrap().entry.entry.details.to_json().unwrap();
    assert_eq!(released["released"], "yes");
    assert!(released["items"].as_array().unwrap().len() > 15, "each item's outcome is kept");
}

#[test]
fn a_planned_firing_that_the_record_forbids_is_refused() {
    let mut bench = Bench::proved();
    bench.log(Kind::Note, "2026-02-01", &[("casing", "MF-1"), ("event", "heat"), ("text", "blue band")]);
    let refusal = bench.try_log(
        Kind::Prefire,
        "2026-02-02",
        &[("casing", "MF-1"), ("load", "48A"), ("mode", "static"), ("yes", "all"), ("second", "Bo Ray")],
    );
    assert!(matches!(refusal, Err(proofmark::desk::Refusal::Forbidden { .. })), "{refusal:?}");
}

#[test]
fn a_load_over_meop_or_near_the_proof_is_forbidden() {
    let mut bench = Bench::proved();
    bench.load("51A", "5.1 MPa");
    let over = bench.desk.checklist("MF-1", planned("51A"), crate::common::day("2026-02-01")).unwrap();
    assert!(over.items.iter().any(|it| it.id == "load-meop" && it.state.word() == "forbids"));
    bench.log(
        Kind::Load,
        "2026-01-02",
        &[("name", "49W"), ("peak_pressure", "4.9 MPa"), ("peak_scatter", "25 %")],
    );
    let wide = bench.desk.checklist("MF-1", planned("49W"), crate::common::day("2026-02-01")).unwrap();
    assert!(wide.items.iter().any(|it| it.id == "load-proof" && it.state.word() == "forbids"), "{wide:?}");
}

#[test]
fn an_unstated_peak_is_a_gauge_reading() {
    let mut bench = Bench::proved();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    let (gauge, _) = bench.assessed("MF-1", "2026-02-01").highest_peak.unwrap();
    assert!((gauge - 4.0e6).abs() < 1e-6);
    bench.fire_breach("MF-1", "2026-02-02", "4.5 MPa abs");
    let (gauge, _) = bench.assessed("MF-1", "2026-02-02").highest_peak.unwrap();
    assert!((gauge - (4.5e6 - 101_325.0)).abs() < 1e-6);
}

impl Bench {
    fn fire_breach(&mut self, casing: &str, on: &str, peak: &str) {
        self.log(
            Kind::Firing,
            on,
            &[
                ("casing", casing),
                ("mode", "static"),
                ("load", "48A"),
                ("peak_pressure", peak),
                ("breach_reason", "test"),
            ],
        );
    }
}

#[test]
fn toml_and_fields_are_the_same_answers() {
    let toml = Answers::from_toml("serial = \"X\"\nod = [\"1 mm: 2 mm\", \"2 mm: 3 mm\"]\n[tube]\nod = \"2 in\"\n[forward]\ncount = 8\n").unwrap();
    assert_eq!(toml.text("tube.od"), Some("2 in"));
    assert_eq!(toml.text("forward.count"), Some("8"));
    assert_eq!(toml.rows("od"), ["1 mm: 2 mm", "2 mm: 3 mm"]);
    let broken = Answers::from_toml("serial = \"X\"\ntube = [\n").unwrap_err();
    assert!(broken[0].message.contains("not TOML"), "{broken:?}");
}

#[test]
fn every_word_a_form_offers_is_accepted_by_its_reader() {
    // Every closed list reads its own words back; a form's list is the enum's.
    for form in forms::FORMS {
        for field in form.fields {
            if let proofmark::book::Ask::Word(words) = field.ask {
                assert!(!words.is_empty(), "{} {}", form.kind, field.name);
            }
            assert!(!field.help.is_empty() && !field.label.is_empty(), "{} {}", form.kind, field.name);
        }
    }
}

fn planned(load: &str) -> proofmark::desk::Planned<'_> {
    proofmark::desk::Planned { load, batch: None, mode: proofmark::book::FiringMode::Static, grain: None }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn no_text_in_any_field_makes_a_form_panic(text in "\\PC{0,60}", pick in 0usize..400) {
        let mut bench = Bench::new();
        bench.casing("MF-1", "5.0 MPa");
        let all: Vec<_> = forms::FORMS.iter().flat_map(|form| form.fields.iter().map(move |field| (form.kind, field.name))).collect();
        let (kind, field) = all[pick % all.len()];
        if kind != Kind::Photo {
            let _ = bench.try_log(kind, "2026-02-01", &[("casing", "MF-1"), (field, &text)]);
        }
    }

    #[test]
    fn no_bytes_make_the_toml_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        if let Ok(text) = String::from_utf8(bytes) {
            let _ = Answers::from_toml(&text);
        }
    }
}
