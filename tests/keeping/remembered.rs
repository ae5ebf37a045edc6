//! What a book remembers of itself is what is on record: it is forgotten at every writing, one's own or another's.

use proofmark::book::{Answers, Kind, SubjectOf};
use proofmark::desk::Desk;
use proofmark::store::{Book, Filter};

use crate::books::{anns, decide, log};
use crate::common::{casing_fields, still};

#[test]
fn names_are_asked_again_after_somebody_wrote() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let book = Book::open_reading(&ann).unwrap();
    let asked = || {
        (
            book.alike(SubjectOf::Casing, "MF 2").unwrap(),
            book.nearest(SubjectOf::Casing, "MF-22").unwrap(),
            book.alike(SubjectOf::Load, "MF 2").unwrap(),
        )
    };
    let before = (None, Some("MF-1".to_owned()), None);
    assert_eq!(asked(), before);
    assert_eq!(asked(), before, "remembered");
    // Another connection writes.
    let entry =
        log(&ann, Kind::Casing, "2026-01-02", "Ann Lee", &casing_fields("MF-2", "5.0 MPa")).entries[0].number;
    assert_eq!(asked(), (Some("MF-2".to_owned()), Some("MF-2".to_owned()), None));
    let strike =
        [("entry", entry.to_string()), ("reason", "a slip".to_owned()), ("second", "Bo Ray".to_owned())];
    let strike: Vec<(&str, &str)> = strike.iter().map(|(field, text)| (*field, text.as_str())).collect();
    log(&ann, Kind::Strike, "2026-01-03", "Ann Lee", &strike);
    assert_eq!(asked(), before, "a struck serial is not on record");
}

#[test]
fn the_rack_is_read_again_after_somebody_wrote_and_only_then() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let mut desk = Desk::writing(&ann, still(), None).unwrap();
    let first = desk.rack_rows().unwrap();
    assert!(std::sync::Arc::ptr_eq(&first, &desk.rack_rows().unwrap()), "one reading for every list");
    // Its own writing.
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("on", "2026-02-01");
    for (field, text) in casing_fields("MF-2", "5.0 MPa") {
        answers.push(field, text);
    }
    desk.record(Kind::Casing, &answers, None).unwrap();
    assert_eq!((first.len(), desk.rack_rows().unwrap().len()), (1, 2));
    // Another's.
    let before = desk.rack_rows().unwrap()[0].standing;
    decide(&ann, "2026-03-01", "Bo Ray", "retire");
    let after = desk.rack_rows().unwrap()[0].standing;
    assert_eq!(after, proofmark::book::Standing::Retired);
    assert_ne!(after, before);
}

#[test]
fn a_standing_remembered_is_the_one_its_entries_give_now() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let mut desk = Desk::writing(&ann, still(), None).unwrap();
    let today = desk.today();
    let fresh = || {
        let desk = Desk::reading(&ann, still()).unwrap();
        (desk.assess("MF-1", today).unwrap(), desk.casing("MF-1").unwrap().ledger.len())
    };
    let seen = |desk: &Desk| {
        let now = (desk.assess("MF-1", today).unwrap(), desk.casing("MF-1").unwrap().ledger.len());
        assert_eq!(desk.casing("MF-1").unwrap().assessed, now.0);
        assert_eq!(now, fresh());
        now.0.standing(today)
    };
    let proved = seen(&desk);
    let mut decision = Answers::new();
    for (field, text) in
        [("casing", "MF-1"), ("decision", "hold"), ("reason", "looked at it"), ("by", "Ann Lee")]
    {
        decision.set(field, text);
    }
    let held = desk.record(Kind::Disposition, &decision, None).unwrap().entries[0].number;
    assert_ne!(seen(&desk), proved, "its own writing");
    // Another's, on the casing and on a rule that judges it.
    let strike = held.to_string();
    let strike = [("entry", strike.as_str()), ("reason", "a slip"), ("second", "Bo Ray")];
    log(&ann, Kind::Strike, "2026-10-03", "Ann Lee", &strike);
    assert_eq!(seen(&desk), proved);
    let rule = [("rule", "proof-months"), ("value", "1"), ("reason", "salt air"), ("second", "Bo Ray")];
    log(&ann, Kind::Rule, "2026-10-03", "Ann Lee", &rule);
    assert_ne!(seen(&desk), proved, "the proof of January ran out");
}

#[test]
fn strikes_are_found_where_a_book_holds_many_and_where_it_holds_few() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let notes: Vec<i64> = (0..6)
        .map(|at| {
            let text = format!("note {at}");
            let fields = [("casing", "MF-1"), ("text", text.as_str())];
            log(&ann, Kind::Note, "2026-03-01", "Ann Lee", &fields).entries[0].number
        })
        .collect();
    let strike = |number: i64| {
        let number = number.to_string();
        log(&ann, Kind::Strike, "2026-03-02", "Ann Lee", &[("entry", &number), ("reason", "a slip")]).entries
            [0]
        .number
    };
    let first = strike(notes[0]);
    let book = Book::open_reading(&ann).unwrap();
    let day = |text: &str| text.parse().unwrap();
    let struck = |filter: Filter, on: &str| -> Vec<(i64, i64)> {
        let lines = book.lines(&filter, day(on)).unwrap();
        lines.iter().filter_map(|line| Some((line.entry.number, line.struck_by?))).collect()
    };
    let casing = || Filter::CasingAndParts("MF-1".to_owned());
    assert_eq!(struck(casing(), "2026-10-03"), [(notes[0], first)], "fewer strikes than entries");
    assert_eq!(struck(casing(), "2026-03-01"), [], "the strike is of the day after");
    for note in &notes[1..] {
        strike(*note);
    }
    // The load's one entry in a book of six strikes.
    let load = || {
        let of = proofmark::book::SubjectOf::Load;
        Filter::About(proofmark::book::Subject { of, name: "48A".to_owned() })
    };
    assert_eq!(struck(load(), "2026-10-03"), []);
    let seventh = strike(2);
    assert_eq!(struck(load(), "2026-10-03"), [(2, seventh)]);
    assert_eq!(struck(load(), "2026-03-01"), []);
    assert_eq!(struck(casing(), "2026-10-03").len(), 6);
}
