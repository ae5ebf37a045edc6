//! The file: what is refused, what is never lost, what is noticed when changed behind the program's back.

use std::path::Path;

use proofmark::book::{Answers, Kind};
use proofmark::desk::Desk;
use proofmark::store::{Book, StoreError};
use rusqlite::Connection;

use crate::common::{Bench, casing_fields, proof_fields, still};

fn filed(folder: &Path) -> std::path::PathBuf {
    let path = folder.join("book.db");
    let mut desk = Desk::writing(&path, still(), None).unwrap();
    log(&mut desk, Kind::Casing, "2026-01-02", &casing_fields("MF-1", "5.0 MPa"));
    log(&mut desk, Kind::Proof, "2026-01-05", &proof_fields("MF-1", "7.5 MPa"));
    path
}

fn log(desk: &mut Desk, kind: Kind, on: &str, fields: &[(&str, &str)]) {
    let mut answers = Answers::new();
    answers.set("on", on).set("by", "Ann Lee");
    for (field, text) in fields {
        answers.push(field, *text);
    }
    desk.record(kind, &answers, None).unwrap_or_else(|refusal| panic!("{refusal:?}"));
}

#[test]
fn an_honest_book_has_nothing_to_report() {
    let folder = tempfile::tempdir().unwrap();
    let path = filed(folder.path());
    assert!(Book::open_reading(&path).unwrap().verify().unwrap().is_empty());
}

#[test]
fn every_stored_value_changed_behind_its_back_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let path = filed(folder.path());
    let kept = std::fs::read(&path).unwrap();
    for (change, names) in [
        ("UPDATE entry SET recorded_by = 'Mallory' WHERE number = 2", 2),
        ("UPDATE entry SET happened_on = '2026-01-06' WHERE number = 2", 2),
        ("UPDATE entry SET second = NULL WHERE number = 2", 2),
        ("UPDATE entry SET body = replace(body, '7500000.0', '9500000.0') WHERE number = 2", 2),
        ("UPDATE proof_entry SET pressure_pa = 9.5e6", 2),
        ("UPDATE proof_entry SET leak = NULL", 2),
        ("UPDATE casing_entry SET service_meop_pa = 4e6", 1),
        ("UPDATE reading SET value_m = 0.0509 WHERE entry = 2 AND row = 0", 2),
        ("DELETE FROM reading WHERE entry = 1 AND row = 1", 1),
        ("INSERT INTO reading (entry, row, what, phase, station_m) VALUES (2, 9, 'wall', 'after', 0.1)", 2),
        ("DELETE FROM proof_entry", 2),
    ] {
        std::fs::write(&path, &kept).unwrap();
        let connection = Connection::open(&path).unwrap();
        connection
            .execute_batch("DROP TRIGGER entry_is_never_changed; DROP TRIGGER entry_is_never_deleted;")
            .unwrap();
        connection.execute_batch(change).unwrap();
        drop(connection);
        let faults = Book::open_reading(&path).unwrap().verify().unwrap();
        assert!(faults.iter().any(|fault| fault.entry == Some(names)), "{change}: {faults:?}");
    }
    std::fs::write(&path, &kept).unwrap();
    Connection::open(&path)
        .unwrap()
        .execute_batch(
            "UPDATE standing SET assessment = replace(assessment, '\"firings\":0', '\"firings\":3')",
        )
        .unwrap();
    let faults = Book::open_reading(&path).unwrap().verify().unwrap();
    assert!(faults.iter().any(|fault| fault.what.contains("MF-1")), "{faults:?}");
}

#[test]
fn the_ledger_itself_refuses_to_be_changed() {
    let folder = tempfile::tempdir().unwrap();
    let connection = Connection::open(filed(folder.path())).unwrap();
    for statement in ["UPDATE entry SET recorded_by = 'x'", "DELETE FROM entry"] {
        let error = connection.execute_batch(statement).unwrap_err().to_string();
        assert!(error.contains("the ledger only grows"), "{error}");
    }
}

#[test]
fn foreign_newer_and_damaged_files_are_refused_and_left_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("notes.txt");
    std::fs::write(
        &text,
        "shopping list, long enough to be looked at by anybody who reads a hundred bytes of a file first",
    )
    .unwrap();
    let other = folder.path().join("other.db");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE t (a); PRAGMA application_id = 7").unwrap();
    let newer = filed(folder.path());
    Connection::open(&newer).unwrap().execute_batch("PRAGMA user_version = 99").unwrap();
    let cut = folder.path().join("cut.db");
    std::fs::write(&cut, &std::fs::read(&newer).unwrap()[..90]).unwrap();
    for path in [&text, &other, &newer, &cut] {
        let before = std::fs::read(path).unwrap();
        for error in
            [Book::open_reading(path).err().unwrap(), Desk::writing(path, still(), None).err().unwrap()]
        {
            assert!(matches!(error, StoreError::Foreign { .. } | StoreError::Newer { .. }), "{error}");
            assert_eq!(error.exit_code(), 3);
            assert!(
                error.to_string().contains("left as it is") || error.to_string().contains("left as it was"),
                "{error}"
            );
        }
        assert_eq!(std::fs::read(path).unwrap(), before);
    }
}

#[test]
fn bits_flipped_anywhere_are_noticed_or_harmless_and_never_a_crash() {
    let folder = tempfile::tempdir().unwrap();
    let path = filed(folder.path());
    let kept = std::fs::read(&path).unwrap();
    let honest: Vec<String> = {
        let book = Book::open_reading(&path).unwrap();
        vec![book.head_seal().unwrap().unwrap()]
    };
    for at in (0..kept.len()).step_by(kept.len() / 150) {
        let mut bytes = kept.clone();
        bytes[at] ^= 0x10;
        std::fs::write(&path, &bytes).unwrap();
        let Ok(book) = Book::open_reading(&path) else { continue };
        let Ok(faults) = book.verify() else { continue };
        if faults.is_empty() {
            assert_eq!(vec![book.head_seal().unwrap().unwrap()], honest, "byte {at}");
        }
    }
}

#[test]
fn a_locked_book_is_read_and_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = filed(folder.path());
    let holder = Connection::open(&path).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    assert!(Book::open_reading(&path).unwrap().rack(crate::common::day("2026-10-03")).is_ok());
    let mut desk = Desk::writing(&path, still(), None).unwrap();
    let mut answers = Answers::new();
    answers.set("by", "Ann Lee").set("text", "hello").set("casing", "MF-1");
    let error = match desk.record(Kind::Note, &answers, None) {
        Err(proofmark::desk::Refusal::Store(error)) => error,
        other => panic!("{other:?}"),
    };
    assert!(matches!(error, StoreError::Locked(_)) && error.exit_code() == 3, "{error}");
    holder.execute_batch("ROLLBACK").unwrap();
    desk.record(Kind::Note, &answers, None).unwrap_or_else(|refusal| panic!("{refusal:?}"));
}

#[test]
fn a_missing_book_is_not_begun_by_looking() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("none.db");
    assert!(matches!(Book::open_reading(&path), Err(StoreError::Missing(_))));
    assert!(!path.exists());
}

#[test]
fn drafts_are_kept_and_forgotten() {
    let folder = tempfile::tempdir().unwrap();
    let path = filed(folder.path());
    let book = Book::open_writing(&path, None).unwrap();
    let mut answers = Answers::new();
    answers.set("text", "half a sen");
    book.keep_draft("note", "MF-1", &answers, chrono::DateTime::UNIX_EPOCH).unwrap();
    drop(book);
    let book = Book::open_writing(&path, None).unwrap();
    assert_eq!(book.draft("note", "MF-1").unwrap(), Some(answers));
    book.drop_draft("note", "MF-1").unwrap();
    assert_eq!(book.draft("note", "MF-1").unwrap(), None);
}

#[test]
fn kept_standings_are_what_their_entries_give_on_any_day() {
    let mut bench = Bench::proved();
    bench.cycle("MF-1", "2026-02-01");
    for on in ["2026-10-03", "2028-01-05", "2028-01-06", "2040-01-01"] {
        let day = crate::common::day(on);
        let row = bench.desk.book().rack(day).unwrap().remove(0);
        assert_eq!(row.standing, bench.standing("MF-1", on), "{on}");
    }
}
