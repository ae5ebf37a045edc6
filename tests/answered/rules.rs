//! A limit is not moved without a word: from what to what, which way, whose standing it changes, and a doubt where it
//! goes far or past what is published.

use proofmark::book::{Answers, Details, Kind, Standing};

use super::common::Bench;

fn change<'a>(rule: &'a str, value: &'a str) -> [(&'a str, &'a str); 4] {
    [("rule", rule), ("value", value), ("reason", "the club says so"), ("second", "Bo Ray")]
}

fn doubts(bench: &Bench, rule: &str, value: &str) -> Vec<String> {
    let mut answers = Answers::new();
    answers.set("on", "2026-02-01").set("by", "Ann Lee");
    for (field, text) in change(rule, value) {
        answers.set(field, text);
    }
    let warnings = bench.desk.check(Kind::Rule, &answers, None).unwrap();
    warnings.into_iter().map(|it| format!("{}: {}", it.field, it.message)).collect()
}

#[test]
fn a_limit_moved_far_or_past_what_is_published_is_asked_about_before_it_is_saved() {
    let bench = Bench::proved();
    let far = doubts(&bench, "growth-yield", "50").join("\n");
    for words in ["value: ", "0.2 % -> 50 %, looser", "ISO 6892-1", "250 times more", "the published 0.2 %"] {
        assert!(far.contains(words), "{words}: {far}");
    }
    let past = doubts(&bench, "growth-yield", "0.3").join("\n");
    assert!(past.contains("looser than the published 0.2 %") && !past.contains("times more"), "{past}");
    assert_eq!(doubts(&bench, "growth-yield", "0.15"), [""; 0], "stricter and near");
    assert_eq!(doubts(&bench, "growth-noise", "0.04"), [""; 0], "a habit moved a little");
    assert!(doubts(&bench, "growth-noise", "0.3").join("").contains("10 times more than now"));
    assert!(doubts(&bench, "proof-hold", "60").join("").contains("5 times less"));
    assert!(doubts(&bench, "crack", "1").join("").contains("looser than the published 0 mm"));
}

#[test]
fn what_follows_says_from_what_to_what_and_whose_standing_it_changes() {
    let mut bench = Bench::proved();
    bench.casing("MF-2", "5.0 MPa");
    bench.proof("MF-2", "2026-09-05", "7.5 MPa");
    let recorded = bench.log(Kind::Rule, "2026-09-06", &change("proof-months", "6 months"));
    let follows = recorded.follows.iter().map(|it| it.text.as_str()).collect::<Vec<_>>().join("\n");
    assert!(
        follows.contains("proof-months: 24 months -> 6 months, stricter; source: common practice"),
        "{follows}"
    );
    assert!(
        follows.contains("1 casing stands differently for it today: MF-1 (in service -> overdue)"),
        "{follows}"
    );
    assert_eq!(bench.standing("MF-1", "2026-10-03"), Standing::Overdue);
    let again = bench.log(Kind::Rule, "2026-09-07", &change("proof-months", "7"));
    assert!(again.follows.iter().any(|it| it.text.contains("source of 24 months")));
    assert!(again.follows.iter().any(|it| it.text.contains("no casing stands differently for it today")));
}

#[test]
fn a_value_is_taken_with_its_unit_or_another_of_its_kind_and_nothing_else() {
    let mut bench = Bench::new();
    for (rule, typed, value) in [
        ("growth-noise", "0.03 mm", 0.03),
        ("growth-noise", "0.001 in", 0.0254),
        ("growth-hold", "0.1 %", 0.1),
        ("proof-hold", "5 min", 300.0),
        ("proof-factor", "1.5 x MEOP", 1.5),
        ("proof-factor", "1.6x", 1.6),
        ("proof-firings", "1 firing", 1.0),
        ("heat-aluminium", "170 °C", 170.0),
        ("proof-months", "12", 12.0),
    ] {
        let recorded = bench.log(Kind::Rule, "2026-02-01", &change(rule, typed));
        let Details::Rule(record) = &recorded.entries[0].entry.details else { panic!("no rule") };
        assert!((record.value - value).abs() < 1e-12, "{rule} {typed}: {}", record.value);
    }
    for (rule, typed) in [("growth-hold", "0.1 mm"), ("growth-noise", "0.03 MPa"), ("proof-months", "12 s")] {
        let problems = bench.refused(Kind::Rule, "2026-02-01", &change(rule, typed));
        assert!(problems.iter().any(|it| it.field == "value" && it.message.contains(rule)), "{problems:?}");
    }
}
