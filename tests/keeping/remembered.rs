//! What a book remembers of itself is what is on record: it is forgotten at every writing, one's own or another's.

use proofmark::book::{Answers, Kind, SubjectOf};
use proofmark::desk::Desk;
use proofmark::store::Book;

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
