//! The union of two books: idempotent, the same from either side and in any order, whole or not at all.

use std::path::Path;

use proofmark::book::{Kind, Standing};
use proofmark::desk::Desk;
use proofmark::store::{Book, StoreError};
use proptest::prelude::*;
use rusqlite::Connection;

use crate::books::{anns, decide, fire, log, merge, note, said, second, strip, try_merge};
use crate::common::{casing_fields, day, still};
use crate::faults::proofmark;

fn standing(path: &Path) -> Standing {
    Book::open_reading(path).unwrap().rack(day("2026-10-03")).unwrap().remove(0).standing
}

#[test]
fn merging_is_a_union_from_either_side_and_twice_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    assert_eq!(said(&ann), said(&bo));
    fire(&ann, "2026-02-01", "Ann Lee", "4.0 MPa");
    strip(&ann, "2026-02-01", "Ann Lee", "50.80 mm");
    decide(&ann, "2026-02-01", "Ann Lee", "keep");
    log(&bo, Kind::Casing, "2026-02-02", "Bo Ray", &casing_fields("MF-2", "5.0 MPa"));
    note(&bo, "Bo Ray", "a new box");
    let merged = merge(&ann, &bo);
    assert_eq!((merged.entries, merged.conflicts.len()), (2, 0));
    assert_eq!(merged.standings.len(), 1, "{:?}", merged.standings);
    assert_eq!(merge(&bo, &ann).entries, 3);
    assert_eq!(said(&ann), said(&bo));
    let before = std::fs::read(&ann).unwrap();
    assert_eq!(merge(&ann, &bo).entries, 0);
    assert_eq!(std::fs::read(&ann).unwrap(), before, "merging what is known wrote something");
    assert_eq!(standing(&ann), Standing::InService);
}

#[test]
fn a_preview_says_the_same_and_takes_in_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    decide(&bo, "2026-02-01", "Bo Ray", "hold");
    let before = std::fs::read(&ann).unwrap();
    let preview = Book::open_writing(&ann, None).unwrap().merge(&bo, true).unwrap();
    assert_eq!(std::fs::read(&ann).unwrap(), before);
    assert_eq!(preview.standings[0].2.as_deref(), Some("hold"));
    assert_eq!(merge(&ann, &bo), preview);
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|it| it.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn two_decisions_that_did_not_know_of_each_other_hold_the_casing_until_a_person_settles_it() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    decide(&bo, "2026-02-01", "Bo Ray", "hold");
    // Written later, by somebody who had not seen the hold: it must not lift it.
    let keep = decide(&ann, "2026-02-02", "Ann Lee", "keep");
    let merged = merge(&ann, &bo);
    assert_eq!(merged.conflicts.len(), 1, "{:?}", merged.conflicts);
    assert_eq!(merged.conflicts[0].one.says, "hold");
    assert_eq!(merged.conflicts[0].other.says, "keep");
    merge(&bo, &ann);
    for path in [&ann, &bo] {
        let desk = Desk::reading(path, still()).unwrap();
        let page = desk.casing("MF-1").unwrap();
        assert_eq!(page.standing, Standing::Hold);
        let reason = page.assessed.reasons.iter().find(|it| it.rule == "books-differ").unwrap();
        assert!(reason.text.contains("Bo Ray on 2026-02-01: hold"), "{}", reason.text);
        assert!(reason.text.contains("Ann Lee on 2026-02-02: keep"), "{}", reason.text);
        assert_eq!(page.ledger.iter().filter(|line| line.differs_from.is_some()).count(), 2);
        let text = proofmark::report::text::casing(&page, proofmark::quantity::System::Si);
        assert_eq!(text.matches("written on another laptop").count(), 2, "{text}");
    }
    // A decision made with both at hand settles it.
    let by_decision = folder.path().join("decided.db");
    std::fs::copy(&ann, &by_decision).unwrap();
    decide(&by_decision, "2026-02-03", "Ann Lee", "keep");
    assert_eq!(standing(&by_decision), Standing::InService);
    // So does a strike of one: then the other stands.
    let keep = keep.to_string();
    let fields = [("entry", keep.as_str()), ("reason", "had not seen the hold"), ("second", "Cy Fox")];
    log(&ann, Kind::Strike, "2026-02-03", "Ann Lee", &fields);
    let desk = Desk::reading(&ann, still()).unwrap();
    let assessed = desk.assess("MF-1", day("2026-10-03")).unwrap();
    assert!(assessed.reasons.iter().all(|it| it.rule != "books-differ"));
    assert_eq!(assessed.standing(day("2026-10-03")), Standing::Hold);
}

/// The mark that a conflict's words give the entry of somebody.
fn mark_of(path: &Path, by: &str) -> String {
    let desk = Desk::reading(path, still()).unwrap();
    let page = desk.casing("MF-1").unwrap();
    let line = page
        .ledger
        .iter()
        .find(|it| it.entry.kind() == Kind::Disposition && it.entry.entry.recorded_by == by);
    line.unwrap().entry.id.mark()
}

#[test]
fn a_mark_means_the_same_entry_on_both_laptops_where_its_number_does_not() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    let bos = decide(&bo, "2026-02-01", "Bo Ray", "hold");
    let anns = decide(&ann, "2026-02-02", "Ann Lee", "keep");
    assert_eq!(bos, anns, "the two numbers are one");
    let preview = proofmark(&ann).arg("merge").arg(&bo).arg("--preview").output().unwrap();
    let words = String::from_utf8(preview.stdout).unwrap();
    merge(&ann, &bo);
    merge(&bo, &ann);
    let mark = mark_of(&ann, "Bo Ray");
    assert_eq!(mark, mark_of(&bo, "Bo Ray"));
    assert!(words.contains(&format!("({mark}) of 2026-02-01 by Bo Ray")), "{words}");
    for path in [&ann, &bo] {
        let strike = [("entry", mark.as_str()), ("reason", "had not seen the other"), ("second", "Cy Fox")];
        log(path, Kind::Strike, "2026-02-03", "Ann Lee", &strike);
        let desk = Desk::reading(path, still()).unwrap();
        let page = desk.casing("MF-1").unwrap();
        let struck: Vec<_> = page.ledger.iter().filter(|it| it.struck_by.is_some()).collect();
        assert_eq!(
            struck.iter().map(|it| it.entry.entry.recorded_by.as_str()).collect::<Vec<_>>(),
            ["Bo Ray"]
        );
    }
    for text in ["~", "~12345", "~zzzzzz", "~000000", &format!("{mark}0")] {
        let found = Book::open_reading(&ann).unwrap().find_entry(text).unwrap();
        assert!(found.is_err(), "{text}: {found:?}");
    }
}

#[test]
fn a_decision_made_knowing_the_other_is_no_difference() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    decide(&bo, "2026-02-01", "Bo Ray", "hold");
    merge(&ann, &bo);
    decide(&ann, "2026-02-02", "Ann Lee", "keep");
    assert!(merge(&bo, &ann).conflicts.is_empty());
    assert_eq!(standing(&bo), Standing::InService);
    assert_eq!(said(&ann), said(&bo));
}

#[test]
fn two_readings_of_one_inspection_are_both_kept_and_shown() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    fire(&ann, "2026-02-01", "Ann Lee", "4.0 MPa");
    let bo = second(folder.path(), "bo.db", &ann);
    strip(&ann, "2026-02-01", "Ann Lee", "50.80 mm");
    strip(&bo, "2026-02-01", "Bo Ray", "50.84 mm");
    let merged = merge(&ann, &bo);
    assert_eq!(merged.conflicts.len(), 1, "{:?}", merged.conflicts);
    let both = merged.conflicts[0].sentence();
    assert!(both.contains("50.800 mm") && both.contains("50.840 mm"), "{both}");
    // Within what an instrument can see they do not differ.
    let cy = second(folder.path(), "cy.db", &bo);
    strip(&cy, "2026-02-01", "Cy Fox", "50.85 mm");
    let dee = second(folder.path(), "dee.db", &bo);
    strip(&dee, "2026-02-01", "Dee Poe", "50.86 mm");
    assert!(merge(&cy, &dee).conflicts.is_empty());
}

#[test]
fn names_given_twice_are_shown_where_they_say_different_things() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    let load = |path: &Path, name: &str, peak: &str, by: &str| {
        log(path, Kind::Load, "2026-02-02", by, &[("name", name), ("peak_pressure", peak)]);
    };
    load(&ann, "60R", "3.0 MPa", "Ann Lee");
    load(&bo, "60R", "3.5 MPa", "Bo Ray");
    load(&ann, "60S", "3.0 MPa", "Ann Lee");
    load(&bo, "60S", "3.00 MPa", "Bo Ray");
    let merged = merge(&ann, &bo);
    assert_eq!(merged.conflicts.len(), 1, "{:?}", merged.conflicts);
    assert_eq!((merged.conflicts[0].about.as_str(), merged.conflicts[0].what), ("60R", "the load"));
    assert_eq!(Book::open_reading(&ann).unwrap().conflicts_by_name().unwrap(), merged.conflicts);
}

#[test]
fn a_copied_file_that_both_sides_wrote_to_is_refused_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    std::fs::copy(&ann, &copy).unwrap();
    // Only one side wrote: it is simply further on.
    note(&ann, "Ann Lee", "after the copy");
    assert_eq!(merge(&copy, &ann).entries, 1);
    note(&ann, "Ann Lee", "here");
    note(&copy, "Bo Ray", "there");
    note(&copy, "Bo Ray", "there again");
    let before = std::fs::read(&ann).unwrap();
    let error = try_merge(&ann, &copy).unwrap_err();
    let StoreError::Forked(fork) = &error else { panic!("{error}") };
    assert_eq!((fork.shared, fork.only_here, fork.only_there_in_all), (4, 1, 2));
    let words = error.to_string();
    for word in ["what to do", "by Bo Ray", "proofmark restore", "nothing was taken over"] {
        assert!(words.contains(word), "{words}");
    }
    assert_eq!(error.exit_code(), 4);
    assert_eq!(std::fs::read(&ann).unwrap(), before);
}

/// A statement that makes a book one that nobody may take anything from.
const HOSTILE: &[&str] = &[
    "UPDATE entry SET recorded_by = 'Mallory' WHERE number = 2",
    "UPDATE proof_entry SET pressure_pa = 9e6",
    "DELETE FROM reading WHERE entry = 1",
    "UPDATE standing SET worst = 'retired'",
    "UPDATE book SET value = 'none of yours' WHERE key = 'origin'",
    "CREATE TRIGGER more AFTER INSERT ON note_entry BEGIN DELETE FROM standing; END",
    "CREATE TABLE more (a TEXT)",
    "DROP INDEX entry_by_subject",
    "DELETE FROM entry WHERE number = 4",
    "UPDATE entry SET body = '{}' WHERE number = 4",
    "UPDATE entry SET kind = 'gizmo' WHERE number = 4",
    "UPDATE entry SET body = json_set(body, '$.text', 'other') WHERE number = 4",
];

#[test]
fn hostile_and_damaged_books_are_rejected_whole_and_the_own_book_is_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    note(&bo, "Bo Ray", "a note");
    note(&bo, "Bo Ray", "another note");
    let (mine, theirs) = (std::fs::read(&ann).unwrap(), std::fs::read(&bo).unwrap());
    for statement in HOSTILE {
        std::fs::write(&bo, &theirs).unwrap();
        Connection::open(&bo)
            .unwrap()
            .execute_batch(&format!(
                "PRAGMA foreign_keys = OFF; DROP TRIGGER entry_is_never_changed; DROP TRIGGER entry_is_never_deleted;
                 {statement};
                 CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
                 BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;
                 CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
                 BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;"
            ))
            .unwrap();
        let error = try_merge(&ann, &bo).unwrap_err();
        assert_eq!(error.exit_code(), 3, "{statement}: {error}");
        assert_eq!(std::fs::read(&ann).unwrap(), mine, "{statement}");
    }
    for bytes in [&theirs[..theirs.len() / 2], &theirs[..50], b"not a book at all".as_slice(), b""] {
        std::fs::write(&bo, bytes).unwrap();
        assert!(try_merge(&ann, &bo).is_err());
        assert_eq!(std::fs::read(&ann).unwrap(), mine);
    }
    assert!(try_merge(&ann, &ann).is_err());
    assert!(try_merge(&ann, folder.path()).is_err());
    assert!(try_merge(&ann, &folder.path().join("none.db")).is_err());
    assert_eq!(std::fs::read(&ann).unwrap(), mine);
}

#[test]
fn an_entry_sealed_rightly_but_filed_under_another_name_is_rejected() {
    use proofmark::book::seal;
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    note(&bo, "Bo Ray", "a note");
    for (subject, by) in [("MF-9", "Bo Ray"), ("MF-1", "Bo\u{1b}[2JRay"), ("MF-1", "  ")] {
        let connection = Connection::open(&bo).unwrap();
        let (id, origin, on, at, body): (String, String, String, String, String) = connection
            .query_row(
                "SELECT id, origin, happened_on, recorded_at, body FROM entry ORDER BY number DESC LIMIT 1",
                [],
                |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?)),
            )
            .unwrap();
        let sealed = seal::SealedHead {
            date_approximate: false,
            happened_on: &on,
            id: &id,
            kind: "note",
            origin: &origin,
            recorded_at: &at,
            recorded_by: by,
            second: None,
            sequence: 1,
            subject,
            subject_of: "casing",
        }
        .seal(seal::FIRST, &body);
        connection.execute_batch("DROP TRIGGER entry_is_never_changed").unwrap();
        connection
            .execute(
                "UPDATE entry SET subject = ?1, recorded_by = ?2, seal = ?3 WHERE id = ?4",
                [subject, by, &sealed, &id],
            )
            .unwrap();
        connection
            .execute_batch(
                "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
                 BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;",
            )
            .unwrap();
        drop(connection);
        let error = try_merge(&ann, &bo).unwrap_err();
        assert!(matches!(error, StoreError::Hostile { .. } | StoreError::Differs { .. }), "{error}");
        assert!(!error.to_string().contains('\u{1b}'));
    }
}

/// What a laptop does next.
#[derive(Clone, Debug)]
enum Step {
    Note,
    Fire,
    Strip(u8),
    Decide(u8),
    Strike,
    MergeFrom(usize),
}

fn steps() -> impl Strategy<Value = Vec<(usize, u8, Step)>> {
    let step = prop_oneof![
        Just(Step::Note),
        Just(Step::Fire),
        (0_u8..3).prop_map(Step::Strip),
        (0_u8..4).prop_map(Step::Decide),
        Just(Step::Strike),
        (0_usize..3).prop_map(Step::MergeFrom),
    ];
    proptest::collection::vec((0_usize..3, 1_u8..6, step), 1..14)
}

fn take(path: &Path, of: &[std::path::PathBuf], who: usize, month: u8, step: &Step) {
    use crate::books::try_log;
    let by = ["Ann Lee", "Bo Ray", "Cy Fox"][who];
    let on = format!("2026-0{}-1{who}", month + 1);
    // What the forms refuse is no step at all.
    match step {
        Step::Note => note(path, by, "seen"),
        Step::Fire => {
            let fields = [
                ("casing", "MF-1"),
                ("mode", "static"),
                ("load", "48A"),
                ("peak_pressure", "4.0 MPa"),
                ("breach_reason", "asked to"),
            ];
            let _ = try_log(path, Kind::Firing, &on, by, &fields);
        }
        Step::Strip(od) => strip(path, &on, by, ["50.80 mm", "50.84 mm", "50.90 mm"][usize::from(*od)]),
        Step::Decide(decision) => {
            let decision = ["keep", "watch", "hold", "restrict"][usize::from(*decision)];
            let fields = [
                ("casing", "MF-1"),
                ("decision", decision),
                ("reason", "looked at it"),
                ("second", "Dee Poe"),
                ("meop", if decision == "restrict" { "4.2 MPa" } else { "" }),
            ];
            let _ = try_log(path, Kind::Disposition, &on, by, &fields);
        }
        Step::Strike => {
            let last = Book::open_reading(path).unwrap().size().unwrap().0.to_string();
            let fields = [("entry", last.as_str()), ("reason", "a slip"), ("second", "Dee Poe")];
            let _ = try_log(path, Kind::Strike, &on, by, &fields);
        }
        Step::MergeFrom(other) if *other != who => {
            merge(path, &of[*other]);
        }
        Step::MergeFrom(_) => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]
    #[test]
    fn whatever_three_laptops_do_any_order_of_merging_ends_in_one_book(steps in steps()) {
        let folder = tempfile::tempdir().unwrap();
        let ann = anns(folder.path());
        let books =
            vec![ann.clone(), second(folder.path(), "bo.db", &ann), second(folder.path(), "cy.db", &ann)];
        for (who, month, step) in &steps {
            take(&books[*who], &books, *who, *month, step);
        }
        let mut ends = Vec::new();
        for order in [[0, 1, 2], [1, 0, 2], [2, 1, 0], [1, 2, 0]] {
            let end = folder.path().join(format!("{order:?}.db"));
            drop(Desk::writing(&end, still(), None).unwrap());
            for at in order {
                merge(&end, &books[at]);
            }
            ends.push(said(&end));
        }
        for end in &ends[1..] {
            prop_assert_eq!(end, &ends[0]);
        }
    }
}
