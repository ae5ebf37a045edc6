//! The generated book: written whole, varied, the same every time, and verified like any other.

use std::collections::BTreeSet;
use std::process::Command;

use proofmark::store::Book;

use crate::common::day;

#[test]
fn a_generated_book_is_whole_varied_and_the_same_every_time() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.db");
    let made = proofmark::demo::write_large(&path, 200, 2_005).unwrap();
    let book = Book::open_reading(&path).unwrap();
    assert_eq!(book.verify().unwrap(), []);
    let rack = book.rack(day("2026-10-03")).unwrap();
    assert_eq!(rack.len(), 200);
    assert_eq!(rack.iter().map(|row| row.firings).sum::<u32>(), 2_005);
    let standings: BTreeSet<&str> = rack.iter().map(|row| row.standing.word()).collect();
    let all =
        ["retired", "hold", "overdue", "unproved", "restricted", "watch", "in service"].into_iter().collect();
    assert_eq!(standings, all);
    let again = folder.path().join("again.db");
    assert_eq!(proofmark::demo::write_large(&again, 200, 2_005).unwrap().head_seal, made.head_seal);
    let error = proofmark::demo::write_large(&path, 1, 1).unwrap_err().to_string();
    assert!(error.contains("large.db exists already"), "{error}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|it| it.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn a_value_changed_in_a_large_book_is_found_in_whichever_stretch_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.db");
    let made = proofmark::demo::write_large(&path, 100, 3_500).unwrap();
    assert!(made.entries > 10_000, "more than one stretch: {}", made.entries);
    let connection = rusqlite::Connection::open(&path).unwrap();
    connection
        .execute_batch(
            "UPDATE firing_entry SET peak_pressure_pa = 1e6 WHERE entry = (SELECT min(entry) FROM firing_entry WHERE entry > 9990);
             UPDATE strip_item SET outcome = 'finding' WHERE entry = (SELECT min(entry) FROM strip_item WHERE entry > 5000) AND row = 0;
             UPDATE standing SET firings = firings + 1 WHERE casing = 'GN-000099';",
        )
        .unwrap();
    drop(connection);
    let faults = Book::open_reading(&path).unwrap().verify().unwrap();
    assert_eq!(faults.len(), 3, "{faults:?}");
    assert!(faults[0].what.contains("GN-000099"));
    assert!(faults[1].entry.is_some_and(|number| (5_000..5_100).contains(&number)), "{faults:?}");
    assert!(faults[2].entry.is_some_and(|number| (9_990..10_090).contains(&number)), "{faults:?}");
}

#[test]
fn where_the_demo_cannot_be_written_its_path_is_named() {
    let output = Command::new(env!("CARGO_BIN_EXE_proofmark"))
        .env("LC_ALL", "C.UTF-8")
        .args(["demo", "--at", "/no/such/folder/demo.db"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1));
    assert!(said.contains("/no/such/folder/demo.db"), "{said}");
    let output = Command::new(env!("CARGO_BIN_EXE_proofmark"))
        .env("LC_ALL", "C.UTF-8")
        .args(["demo", "--at", "/no/such/folder/demo.db", "--casings", "2", "--firings", "4"])
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&output.stderr).contains("/no/such/folder"));
}
