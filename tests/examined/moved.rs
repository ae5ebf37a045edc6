//! Tubes and parts that move from one casing to another, and what they carry with them.

use proofmark::book::{Kind, Standing};

use super::common::{Bench, casing_fields, proof_fields};

fn tubed() -> Bench {
    let mut bench = Bench::new();
    bench.casing("MF-1", "5.0 MPa");
    bench.log(Kind::Part, "2026-01-02", &[("serial", "T-1"), ("what", "tube")]);
    bench.log(Kind::Part, "2026-01-02", &[("serial", "T-2"), ("what", "tube")]);
    bench.log(Kind::Part, "2026-01-02", &[("serial", "B-1"), ("what", "forward closure")]);
    fit(&mut bench, "2026-01-03", "MF-1", "T-1", "fitted");
    fit(&mut bench, "2026-01-03", "MF-1", "B-1", "fitted");
    bench.load("48A", "4.0 MPa");
    bench.proof("MF-1", "2026-01-05", "7.5 MPa");
    bench
}

fn fit(bench: &mut Bench, on: &str, casing: &str, part: &str, action: &str) {
    bench.log(Kind::Fit, on, &[("casing", casing), ("part", part), ("action", action)]);
}

fn second_casing(bench: &mut Bench, on: &str) {
    let mut fields = casing_fields("MF-2", "5.0 MPa");
    fields.push(("name", "Knot"));
    bench.log(Kind::Casing, on, &fields);
}

#[test]
fn a_tube_that_grew_is_made_into_no_other_casing() {
    let mut bench = tubed();
    bench.fire("MF-1", "2026-02-01", "4.0 MPa");
    bench.log(
        Kind::Strip,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("heat", "good"),
            ("straight_edge", "good"),
            ("bore", "good"),
            ("od", "100 mm @ 0: 50.95 mm"),
            ("od", "100 mm @ 90: 50.95 mm"),
        ],
    );
    assert!(bench.reason("MF-1", "2026-02-01", "growth-yield").is_some());
    second_casing(&mut bench, "2026-02-02");
    let onto = [("casing", "MF-2"), ("part", "T-1"), ("action", "fitted")];
    let problems = bench.refused(Kind::Fit, "2026-02-03", &onto);
    assert!(problems[0].message.contains("had grown 0.30 %"), "{problems:?}");
    // A new tube in the old casing makes the old tube no better.
    fit(&mut bench, "2026-02-03", "MF-1", "T-2", "fitted");
    let problems = bench.refused(Kind::Fit, "2026-02-04", &onto);
    assert!(problems[0].message.contains("had grown 0.30 %"), "{problems:?}");
}

/// A tube that nothing is on record against may become another casing, with a proof of its own.
#[test]
fn a_sound_tube_may_become_another_casing() {
    let mut bench = tubed();
    second_casing(&mut bench, "2026-02-02");
    fit(&mut bench, "2026-02-03", "MF-2", "T-1", "fitted");
    assert!(bench.standing("MF-2", "2026-02-03").forbids());
    bench.log(Kind::Proof, "2026-02-04", &proof_fields("MF-2", "7.5 MPa"));
    assert_eq!(bench.standing("MF-2", "2026-02-04"), Standing::InService);
}

#[test]
fn a_soft_spot_stays_with_its_tube() {
    let mut bench = tubed();
    bench.log(
        Kind::Finding,
        "2026-02-01",
        &[
            ("casing", "MF-1"),
            ("damage", "liner breach"),
            ("percent", "24"),
            ("hardness", "72"),
            ("station", "250 mm"),
            ("evidence", "blue"),
        ],
    );
    let before = bench.assessed("MF-1", "2026-02-01").spots.len();
    assert_eq!(before, 1);
    fit(&mut bench, "2026-02-03", "MF-1", "T-2", "fitted");
    let after = bench.assessed("MF-1", "2026-02-03");
    assert!(after.spots.is_empty(), "the spot was the old tube's: {:?}", after.spots);
    second_casing(&mut bench, "2026-02-02");
    let onto = [("casing", "MF-2"), ("part", "T-1"), ("action", "fitted")];
    let problems = bench.refused(Kind::Fit, "2026-02-04", &onto);
    assert!(problems[0].message.contains("liner breach at station 250 mm"), "{problems:?}");
}

#[test]
fn a_soft_closure_is_no_soft_tube() {
    let mut bench = tubed();
    let before = bench.assessed("MF-1", "2026-02-01").weakest;
    bench.log(
        Kind::Finding,
        "2026-02-01",
        &[
            ("part", "B-1"),
            ("damage", "over-temperature"),
            ("percent", "20"),
            ("hardness", "60"),
            ("evidence", "brown"),
        ],
    );
    let after = bench.assessed("MF-1", "2026-02-01");
    assert_eq!(after.weakest, before, "{:?}", after.spots);
    assert_eq!(after.standing("2026-02-01".parse().unwrap()), Standing::Hold);
}
