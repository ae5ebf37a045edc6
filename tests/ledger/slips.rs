//! A firing's peak typed in the wrong unit is asked about, on the command line and on the screen.

use proofmark::book::{Answers, Kind};

use crate::common::Bench;

#[test]
fn psi_typed_as_bar_is_asked_about() {
    let bench = Bench::proved();
    let desk = &bench.desk;
    let warned = |peak: &str| {
        let mut answers = Answers::new();
        answers.set("on", "2026-01-20").set("by", "Ann Lee").set("casing", "MF-1").set("mode", "static");
        answers.set("load", "48A").set("peak_pressure", peak);
        let warnings = desk.check(Kind::Firing, &answers, None).unwrap_or_default();
        warnings.into_iter().any(|it| it.field == "peak_pressure" && it.message.contains("was it"))
    };
    assert!(!warned("580 psi"));
    assert!(warned("580 bar"));
    assert!(!warned("700 psi"), "a load over its plan is no slip");
}
