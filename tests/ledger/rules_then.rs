//! A firing is judged by the rules of its own day.

use proofmark::book::Kind;

use super::common::Bench;

fn change(bench: &mut Bench, on: &str, months: &str) {
    let fields =
        [("rule", "proof-months"), ("value", months), ("reason", "the club says so"), ("second", "Bo Ray")];
    bench.log(Kind::Rule, on, &fields);
}

#[test]
fn a_rule_made_stricter_later_accuses_no_firing_that_kept_to_it() {
    // Proofed in January and fired in June, when a proof was good for two years.
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-06-01");
    assert_eq!(bench.assessed("MF-1", "2026-10-03").breaches, []);
    change(&mut bench, "2026-07-01", "3");
    let assessed = bench.assessed("MF-1", "2026-10-03");
    assert_eq!(assessed.breaches, [], "by the rule of the first of June nothing forbade it");
    assert!(assessed.standing("2026-10-03".parse().unwrap()).forbids(), "and now it is overdue");
}

#[test]
fn a_rule_made_looser_later_excuses_none_that_broke_it() {
    let mut bench = Bench::proved();
    change(&mut bench, "2026-02-01", "3");
    let fields = [
        ("casing", "MF-1"),
        ("mode", "static"),
        ("load", "48A"),
        ("peak_pressure", "4.0 MPa"),
        ("breach_reason", "nobody looked at the date"),
    ];
    bench.log(Kind::Firing, "2026-06-01", &fields);
    assert_eq!(bench.assessed("MF-1", "2026-10-03").breaches.len(), 1);
    change(&mut bench, "2026-07-01", "24");
    assert_eq!(bench.assessed("MF-1", "2026-10-03").breaches.len(), 1, "it was forbidden on that day");
}
