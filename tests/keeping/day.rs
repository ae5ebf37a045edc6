//! The day a demonstration book always is on: nobody moves it, or gives a real book one, without breaking a seal.

use std::path::Path;

use proofmark::desk::Desk;
use proofmark::store::Book;
use rusqlite::Connection;

use crate::books::log;
use crate::common::{casing_fields, day, still};

fn edit(path: &Path, sql: &str) {
    Connection::open(path).unwrap().execute_batch(sql).unwrap();
}

#[test]
fn a_row_beside_the_ledger_does_not_stop_the_clock() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    log(&path, proofmark::book::Kind::Casing, "2026-01-01", "Ann Lee", &casing_fields("MF-1", "5.7 MPa"));
    let today = Desk::reading(&path, still()).unwrap().day();
    edit(&path, "INSERT OR REPLACE INTO book VALUES ('fixed_day', '2025-01-01')");
    let desk = Desk::reading(&path, still()).unwrap();
    assert_eq!((desk.book().fixed_day(), desk.day()), (None, today));
    edit(&path, "INSERT OR REPLACE INTO book VALUES ('day_fixed', '2025-01-01')");
    let faults = Book::open_reading(&path).unwrap().verify().unwrap();
    assert!(faults.iter().any(|it| it.what.contains("day_fixed")), "{faults:?}");
}

#[test]
fn the_day_of_the_demonstration_is_in_its_seals() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let book = Book::open_reading(&path).unwrap();
    assert_eq!(book.fixed_day(), Some(day("2026-10-03")));
    let origin = book.origin().to_string();
    drop(book);
    // The same mark with another day, in the book's own name and in every entry.
    let mut bytes = *uuid::Uuid::parse_str(&origin).unwrap().as_bytes();
    bytes[15] -= 100;
    let other = uuid::Uuid::from_bytes(bytes).to_string();
    edit(&path, &format!("UPDATE book SET value = '{other}' WHERE key = 'origin'"));
    assert_eq!(Book::open_reading(&path).unwrap().fixed_day(), Some(day("2026-10-03")));
    let only = Connection::open(&path).unwrap();
    let moved = only.execute("UPDATE entry SET origin = ?1", [&other]);
    drop(only);
    if moved.is_ok() {
        let faults = Book::open_reading(&path).unwrap().verify().unwrap();
        assert!(faults.iter().any(|it| it.what.contains("seal is broken")), "{faults:?}");
    }
}
