//! Nothing that was measured is asked for again, and no record is a dead end.

use proofmark::book::{Kind, Standing};

use super::common::{Bench, casing_fields, proof_fields};

/// A casing with two stations, fired once.
fn fired() -> Bench {
    let mut bench = Bench::new();
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.push(("od", "380 mm @ 0: 50.80 mm"));
    bench.log(Kind::Casing, "2026-01-02", &fields);
    bench.load("48A", "4.0 MPa");
    let mut proof = proof_fields("MF-1", "7.5 MPa");
    proof.extend([("od_before", "380 mm @ 0: 50.80 mm"), ("od_after", "380 mm @ 0: 50.80 mm")]);
    bench.log(Kind::Proof, "2026-01-05", &proof);
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench
}

fn strip(bench: &mut Bench, on: &str, fields: &[(&str, &str)]) {
    let all: Vec<(&str, &str)> = [("casing", "MF-1")].into_iter().chain(fields.iter().copied()).collect();
    bench.log(Kind::Strip, on, &all);
}

fn left_out(bench: &Bench) -> Option<String> {
    bench.reason("MF-1", "2026-03-01", "strip-after-firing").map(|it| it.text)
}

#[test]
fn a_second_inspection_of_a_firing_keeps_what_the_first_answered() {
    let mut bench = fired();
    strip(
        &mut bench,
        "2026-02-01",
        &[("heat", "good"), ("straight_edge", "good"), ("bore", "good"), ("od", "100 mm @ 0: 50.80 mm")],
    );
    assert!(left_out(&bench).unwrap().ends_with("left out: outside diameters at station 380 mm"));
    // The next day, with nothing but the station that was missing.
    strip(&mut bench, "2026-02-02", &[("od", "380 mm @ 0: 50.80 mm")]);
    assert_eq!(left_out(&bench), None);
}

#[test]
fn what_no_inspection_answered_is_still_missing_and_another_firing_begins_anew() {
    let mut bench = fired();
    strip(&mut bench, "2026-02-01", &[("heat", "good"), ("straight_edge", "not measured")]);
    strip(
        &mut bench,
        "2026-02-01",
        &[("bore", "good"), ("od", "100 mm @ 0: 50.80 mm"), ("od", "380 mm @ 0: 50.80 mm")],
    );
    let text = left_out(&bench).unwrap();
    assert!(text.to_lowercase().contains("straight-edge") && !text.to_lowercase().contains("bore"), "{text}");
    strip(&mut bench, "2026-02-01", &[("straight_edge", "good")]);
    assert_eq!(left_out(&bench), None);
    bench.keep("MF-1", "2026-02-01");
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    strip(&mut bench, "2026-02-01", &[("heat", "good")]);
    let text = left_out(&bench).unwrap().to_lowercase();
    assert!(text.contains("bore") && text.contains("station 100 mm, 380 mm"), "{text}");
}

#[test]
fn a_finding_is_not_hidden_by_an_inspection_that_leaves_it_out() {
    let mut bench = fired();
    strip(
        &mut bench,
        "2026-02-01",
        &[("heat", "finding"), ("straight_edge", "good"), ("bore", "good"), ("od", "100 mm @ 0: 50.80 mm")],
    );
    strip(&mut bench, "2026-02-01", &[("od", "380 mm @ 0: 50.80 mm")]);
    assert!(
        left_out(&bench).unwrap().contains("hardness at the reference"),
        "asked for until it is measured"
    );
    assert!(bench.reason("MF-1", "2026-03-01", "decision-after-finding").is_some());
    // A finding with its size: what is left to do is the decision.
    let finding = [
        ("casing", "MF-1"),
        ("damage", "over-temperature"),
        ("percent", "5 %"),
        ("station", "100 mm"),
        ("evidence", "paint browned"),
    ];
    bench.log(Kind::Finding, "2026-02-01", &finding);
    let asks = bench.reason("MF-1", "2026-03-01", "decision-after-finding").unwrap();
    assert_eq!(asks.next, "decide with two names");
}

fn failed() -> Bench {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    let mut proof = proof_fields("MF-1", "7.5 MPa");
    proof.retain(|(field, _)| *field != "leak");
    proof.push(("leak", "yes"));
    proof.extend([("od_after", "100 mm @ 90: 50.80 mm"), ("od_before", "100 mm @ 90: 50.80 mm")]);
    bench.log(Kind::Proof, "2026-02-01", &proof);
    bench
}

fn revision(bench: &mut Bench, on: &str) {
    let mut fields = casing_fields("MF-1", "5.0 MPa");
    fields.retain(|(field, _)| *field != "aft.edge");
    fields.extend([("aft.edge", "12 mm"), ("revision", "B")]);
    bench.log(Kind::Casing, on, &fields);
}

#[test]
fn a_repair_on_the_day_of_a_failed_proof_goes_on_to_the_new_revision_and_its_proof() {
    let mut bench = failed();
    let decided = bench.log(
        Kind::Disposition,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("decision", "repair"),
            ("repair", "new aft holes"),
            ("reason", "it leaked"),
            ("second", "Bo Ray"),
        ],
    );
    let all: Vec<String> = bench
        .assessed("MF-1", "2026-02-01")
        .reasons
        .iter()
        .map(|it| it.next.clone())
        .chain(decided.follows.iter().map(|it| it.text.clone()))
        .collect();
    assert!(
        all.iter().any(|it| it.contains("new revision") && it.contains("proofmark log casing")),
        "{all:?}"
    );
    assert!(!all.iter().any(|it| it.contains("100 mm, 100 mm")), "a station is named once: {all:?}");
    revision(&mut bench, "2026-02-01");
    assert!(bench.standing("MF-1", "2026-02-01").forbids(), "nothing has proved it");
    bench.proof("MF-1", "2026-02-01", "7.5 MPa");
    bench.keep("MF-1", "2026-02-01");
    assert_eq!(bench.standing("MF-1", "2026-02-01"), Standing::InService);
}

#[test]
fn a_proof_of_the_day_written_before_the_revision_does_not_cover_it_and_a_later_one_says_the_way_out() {
    let mut bench = Bench::proved();
    revision(&mut bench, "2026-01-05");
    assert_eq!(bench.standing("MF-1", "2026-01-06"), Standing::Unproved);
    let mut bench = Bench::proved();
    let mut fields = casing_fields("MF-1", "5.5 MPa");
    fields.push(("revision", "B"));
    let problems = bench.refused(Kind::Casing, "2026-01-04", &fields);
    assert!(problems[0].message.contains("date the change 2026-01-05 or later"), "{problems:?}");
}

#[test]
fn a_watch_names_its_check_or_says_that_none_was_named() {
    for (check, says) in [
        (Some("read station 100 mm"), "the extra check: read station 100 mm"),
        (None, "no extra check was named: decide again and name one, or keep it"),
    ] {
        let mut bench = Bench::proved();
        let mut fields =
            vec![("casing", "MF-1"), ("decision", "watch"), ("reason", "odd"), ("second", "Bo Ray")];
        fields.extend(check.map(|it| ("extra_checks", it)));
        bench.log(Kind::Disposition, "2026-02-01", &fields);
        assert_eq!(bench.reason("MF-1", "2026-02-02", "disposition").unwrap().next, says);
    }
}
