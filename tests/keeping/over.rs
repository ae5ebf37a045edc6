//! Nothing the program writes takes the place of a book, and nothing an old book left is rolled into a new one.

use std::path::Path;
use std::process::{Command, Output};

use proofmark::store::{Book, StoreError};

use crate::books::{anns, note};

fn run(book: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_proofmark")).arg("--book").arg(book).args(arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

#[test]
fn a_page_is_never_written_over_a_book_or_anything_that_is_no_page() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let before = std::fs::read(&book).unwrap();
    let photo = folder.path().join("crack.jpg");
    std::fs::write(&photo, b"\xff\xd8\xff\xe0 a photograph").unwrap();
    let page = folder.path().join("page.html");
    for target in [&book, &photo] {
        let out = target.to_str().unwrap();
        let kept = std::fs::read(target).unwrap();
        for arguments in [
            vec!["report", "MF-1", "--out", out],
            vec!["report", "--rack", "--out", out],
            vec!["label", "MF-1", "--out", out],
        ] {
            let ran = run(&book, &arguments);
            assert_eq!(ran.status.code(), Some(1), "{arguments:?}: {}", said(&ran));
            assert!(said(&ran).contains("is no page"), "{}", said(&ran));
            assert_eq!(std::fs::read(target).unwrap(), kept, "{arguments:?}");
        }
    }
    assert_eq!(std::fs::read(&book).unwrap(), before);
    // An older page is what one writes anew.
    for _ in 0..2 {
        let ran = run(&book, &["report", "MF-1", "--out", page.to_str().unwrap()]);
        assert!(ran.status.success(), "{}", said(&ran));
    }
}

/// A journal as a killed writer leaves it: of the pages a transaction was about to change.
fn cut_off(folder: &Path) -> (std::path::PathBuf, Vec<u8>, Vec<u8>) {
    let book = anns(folder);
    let journal = folder.join("ann.db-journal");
    let connection = rusqlite::Connection::open(&book).unwrap();
    connection
        .execute_batch("PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN IMMEDIATE; DROP TRIGGER entry_is_never_changed;")
        .unwrap();
    // Enough to spill pages into the file while the transaction is open.
    connection.execute_batch("UPDATE entry SET recorded_by = recorded_by || hex(randomblob(2000))").unwrap();
    let left = std::fs::read(&journal).unwrap();
    let half = std::fs::read(&book).unwrap();
    drop(connection);
    (book, half, left)
}

#[test]
fn a_journal_left_by_another_book_is_set_aside_and_not_rolled_in() {
    let folder = tempfile::tempdir().unwrap();
    let (book, half, journal) = cut_off(folder.path());
    assert!(journal.len() > 512, "a journal with pages in it");
    let whole = folder.path().join("whole.db");
    Book::open_reading(&book).unwrap().back_up(&whole, false).unwrap();
    let seal = Book::open_reading(&whole).unwrap().head_seal().unwrap();
    // The book looks broken, so it is moved away; its journal stays.
    std::fs::write(folder.path().join("moved.db"), &half).unwrap();
    std::fs::remove_file(&book).unwrap();
    let left = folder.path().join("ann.db-journal");
    std::fs::write(&left, &journal).unwrap();
    let ran = run(&book, &["restore", whole.to_str().unwrap()]);
    assert!(ran.status.success(), "{}", said(&ran));
    assert!(said(&ran).contains("set aside"), "{}", said(&ran));
    assert!(!left.exists());
    let restored = Book::open_reading(&book).unwrap();
    assert_eq!(restored.verify().unwrap(), []);
    assert_eq!(restored.head_seal().unwrap(), seal);
    // Not one byte of it is lost: it is what the moved book needs.
    assert_eq!(std::fs::read(folder.path().join("ann.db-journal.left-1")).unwrap(), journal);
    // The same beside the name of a backup.
    let copy = folder.path().join("copy.db");
    std::fs::write(folder.path().join("copy.db-journal"), &journal).unwrap();
    restored.back_up(&copy, false).unwrap();
    assert_eq!(Book::open_reading(&copy).unwrap().verify().unwrap(), []);
}

#[test]
fn a_backup_takes_the_place_of_an_older_copy_only() {
    let folder = tempfile::tempdir().unwrap();
    let path = anns(folder.path());
    let copy = folder.path().join("copy.db");
    let book = Book::open_reading(&path).unwrap();
    book.back_up(&copy, false).unwrap();
    note(&path, "Ann Lee", "one more");
    book.back_up(&copy, true).unwrap();
    // Another laptop wrote into the copy: it holds what this book does not.
    Book::restore(&copy, &folder.path().join("other.db"), uuid::Uuid::now_v7(), chrono::DateTime::UNIX_EPOCH)
        .unwrap();
    let other = folder.path().join("other.db");
    note(&other, "Bo Ray", "only here");
    let before = std::fs::read(&other).unwrap();
    let error = book.back_up(&other, true).unwrap_err();
    assert!(matches!(error, StoreError::NotOlder { .. }), "{error}");
    assert_eq!(std::fs::read(&other).unwrap(), before);
    let photo = folder.path().join("crack.jpg");
    std::fs::write(&photo, b"a photograph").unwrap();
    let error = book.back_up(&photo, true).unwrap_err().to_string();
    assert!(error.contains("no copy of a book"), "{error}");
    assert_eq!(std::fs::read(&photo).unwrap(), b"a photograph");
}

#[test]
fn a_name_another_book_would_refuse_is_never_written() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let long = "A".repeat(5_000);
    for name in ["-", "x", "\u{200b}", "\u{202e}", long.as_str()] {
        for flag in ["--by", "--second"] {
            let flag = format!("{flag}={name}");
            let by = if flag.starts_with("--second") { "--by=Ann Lee" } else { "--on=2026-02-01" };
            let ran = run(&book, &["log", "note", "--casing", "MF-1", "--text", "t", by, &flag]);
            assert_eq!(ran.status.code(), Some(1), "{flag:?}: {}", said(&ran));
        }
    }
    // Room of any kind is one blank, and what nobody can see is taken out.
    for name in ["Ann\t \nLee", "Ann\u{1b}[31mLee", "A\u{7f}nn Lee"] {
        let by = format!("--by={name}");
        let ran = run(&book, &["log", "note", "--casing", "MF-1", "--text", "t", &by]);
        assert!(ran.status.success(), "{}", said(&ran));
    }
    let other = folder.path().join("other.db");
    drop(Book::restore(&book, &other, uuid::Uuid::now_v7(), chrono::DateTime::UNIX_EPOCH).unwrap());
    note(&other, "Bo Ray", "mine");
    Book::open_writing(&other, None).unwrap().merge(&book, false).unwrap();
}
