//! What no seal of an entry covers is noticed too: the order and the numbers of entries, and what the book says of itself.

use proofmark::store::Book;
use rusqlite::Connection;

use crate::books::{anns, log, note};

fn faults_after(sql: &str) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = anns(folder.path());
    log(
        &path,
        proofmark::book::Kind::Person,
        "2026-02-01",
        "Ann Lee",
        &[("name", "Bo Ray"), ("role", "second inspector")],
    );
    log(
        &path,
        proofmark::book::Kind::Person,
        "2026-02-01",
        "Ann Lee",
        &[("name", "Cy Fox"), ("role", "second inspector")],
    );
    assert_eq!(Book::open_reading(&path).unwrap().verify().unwrap(), []);
    let connection = Connection::open(&path).unwrap();
    let trigger: String = connection
        .query_row("SELECT sql FROM sqlite_schema WHERE name = 'entry_is_never_changed'", [], |row| {
            row.get(0)
        })
        .unwrap();
    connection
        .execute_batch(&format!(
            "PRAGMA foreign_keys = OFF; DROP TRIGGER entry_is_never_changed; {sql}; {trigger};"
        ))
        .unwrap();
    drop(connection);
    let faults: Vec<String> =
        Book::open_reading(&path).unwrap().verify().unwrap().iter().map(|it| it.sentence()).collect();
    // Writing on does not make good what was edited, unless it works the very value out again.
    note(&path, "Ann Lee", "nothing new");
    let now = Book::open_reading(&path).unwrap().verify().unwrap();
    assert_eq!(now.is_empty(), faults.is_empty() || sql.contains("'standings'"), "{sql}: {now:?}");
    faults
}

#[test]
fn entries_that_change_places_are_named() {
    let swap = "UPDATE entry SET number = 900 WHERE number = 4; UPDATE entry SET number = 4 WHERE number = 5;
                UPDATE entry SET number = 5 WHERE number = 900; UPDATE person_entry SET entry = 900 WHERE entry = 4;
                UPDATE person_entry SET entry = 4 WHERE entry = 5; UPDATE person_entry SET entry = 5 WHERE entry = 900";
    let said = faults_after(swap);
    assert!(said.iter().any(|it| it.starts_with("entry 4:") && it.contains("stands before")), "{said:?}");
    let away = "UPDATE entry SET number = 100000 WHERE number = 5; UPDATE person_entry SET entry = 100000 WHERE entry = 5";
    let said = faults_after(away);
    assert!(said.iter().any(|it| it.contains("numbered from 1 to 100000")), "{said:?}");
}

#[test]
fn what_the_book_says_of_itself_is_noticed_when_edited() {
    for sql in [
        "UPDATE book SET value = '2020-01-01T00:00:00.000Z' WHERE key = 'begun_at'",
        "DELETE FROM book WHERE key = 'begun_at'",
        "UPDATE book SET value = '0197b1a2-0000-7000-8000-000000000001' WHERE key = 'origin'",
        "UPDATE book SET value = '99' WHERE key = 'standings'",
        "UPDATE book SET value = 'abc' WHERE key = 'sum'",
        "INSERT INTO book VALUES ('restored_at', '2020-01-01T00:00:00.000Z')",
    ] {
        let said = faults_after(sql);
        assert!(said.iter().any(|it| it.contains("says of itself")), "{sql}: {said:?}");
    }
    assert_eq!(faults_after("SELECT 1"), Vec::<String>::new());
}
