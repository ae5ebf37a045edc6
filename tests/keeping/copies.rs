//! Backups, restoring, and looking a book over.

use chrono::{DateTime, Utc};
use proofmark::store::{Book, StoreError, examine};
use rusqlite::Connection;
use uuid::Uuid;

use crate::books::{anns, merge, note, said, second};

fn at() -> DateTime<Utc> {
    "2026-10-03T12:00:00Z".parse().unwrap()
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_backup_is_verified_whole_and_never_goes_over_anything_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    let book = Book::open_reading(&ann).unwrap();
    let made = book.back_up(&copy, false).unwrap();
    assert_eq!((made.entries, made.head_seal.clone()), (3, book.head_seal().unwrap()));
    assert_eq!(said(&copy), said(&ann));
    note(&ann, "Ann Lee", "later");
    let before = std::fs::read(&copy).unwrap();
    assert!(matches!(book.back_up(&copy, false), Err(StoreError::Exists(_))));
    assert_eq!(std::fs::read(&copy).unwrap(), before);
    assert_eq!(book.back_up(&copy, true).unwrap().entries, 4);
    assert!(matches!(book.back_up(&ann, true), Err(StoreError::OntoItself(_))), "it may not go over itself");
    assert_eq!(names(folder.path()), ["ann.db", "copy.db"]);
}

#[test]
fn a_backup_of_a_book_in_use_holds_whole_entries() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| (0..30).for_each(|at| note(&ann, "Ann Lee", &format!("note {at}"))));
        let mut last = 0;
        for number in 0.. {
            let copy = folder.path().join(format!("copy-{number}.db"));
            let made = Book::open_reading(&ann).unwrap().back_up(&copy, false).unwrap();
            assert!(made.entries >= last);
            last = made.entries;
            if writer.is_finished() {
                break;
            }
        }
    });
    assert_eq!(Book::open_reading(&ann).unwrap().size().unwrap().1, 33);
}

#[test]
fn a_damaged_book_is_not_backed_up_as_if_it_were_whole() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    Connection::open(&ann).unwrap().execute_batch("UPDATE proof_entry SET pressure_pa = 9e6").unwrap();
    let error = Book::open_reading(&ann).unwrap().back_up(&folder.path().join("copy.db"), false).unwrap_err();
    assert!(error.to_string().contains("entry 3: its values in the table proof_entry"), "{error}");
    assert_eq!(names(folder.path()), ["ann.db"]);
}

#[test]
fn restoring_keeps_the_old_book_and_what_it_held_can_be_merged_again() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    Book::open_reading(&ann).unwrap().back_up(&copy, false).unwrap();
    note(&ann, "Ann Lee", "after the backup");
    let with_note = said(&ann);
    let made = Book::restore(&copy, &ann, Uuid::now_v7(), at()).unwrap();
    let kept = made.kept.unwrap();
    assert!(kept.to_string_lossy().ends_with("ann.db.before-restore-2026-10-03-1"), "{}", kept.display());
    assert_eq!(said(&ann), said(&copy));
    assert_eq!(said(&kept), with_note);
    // The restored book goes on as a chain of its own, so that both sides can write and still be merged.
    note(&ann, "Ann Lee", "after restoring");
    assert_eq!(merge(&ann, &kept).entries, 1);
    assert_eq!(said(&ann).0.len(), 4);
    // A second restore on the same day goes over nothing.
    assert_ne!(Book::restore(&copy, &ann, Uuid::now_v7(), at()).unwrap().kept, Some(kept));
}

#[test]
fn restoring_begins_a_second_laptops_book() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    Book::open_reading(&ann).unwrap().back_up(&copy, false).unwrap();
    let bo = folder.path().join("new folder").join("bo.db");
    assert_eq!(Book::restore(&copy, &bo, Uuid::now_v7(), at()).unwrap().kept, None);
    note(&ann, "Ann Lee", "here");
    note(&bo, "Bo Ray", "there");
    assert_eq!((merge(&ann, &bo).entries, merge(&bo, &ann).entries), (1, 1));
    assert_eq!(said(&ann), said(&bo));
}

#[test]
fn what_is_not_whole_is_not_restored() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let before = std::fs::read(&ann).unwrap();
    let bad = folder.path().join("bad.db");
    std::fs::copy(&ann, &bad).unwrap();
    Connection::open(&bad).unwrap().execute_batch("UPDATE proof_entry SET pressure_pa = 9e6").unwrap();
    let half = folder.path().join("half.db");
    std::fs::write(&half, &before[..before.len() / 2]).unwrap();
    for from in [&bad, &half, &folder.path().join("none.db"), &ann] {
        assert!(Book::restore(from, &ann, Uuid::now_v7(), at()).is_err(), "{}", from.display());
        assert_eq!(std::fs::read(&ann).unwrap(), before);
    }
    // A book somebody is writing is not put aside.
    let copy = folder.path().join("copy.db");
    Book::open_reading(&ann).unwrap().back_up(&copy, false).unwrap();
    let holder = Connection::open(&ann).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    assert!(matches!(Book::restore(&copy, &ann, Uuid::now_v7(), at()), Err(StoreError::Locked(_))));
    drop(holder);
    assert_eq!(std::fs::read(&ann).unwrap(), before);
    assert_eq!(names(folder.path()), ["ann.db", "bad.db", "copy.db", "half.db"]);
}

#[test]
fn the_doctor_says_what_it_sees_and_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    second(folder.path(), "bo.db", &ann);
    let ill = |at_time: DateTime<Utc>| -> Vec<(&str, String)> {
        let seen = examine(&ann, at_time);
        assert!(seen.looked.iter().all(|it| it.well == it.next.is_none()), "{seen:?}");
        seen.looked.iter().filter(|it| !it.well).map(|it| (it.at, it.seen.clone())).collect()
    };
    assert_eq!(ill(at() + chrono::Duration::hours(1)), []);
    // A clock set back.
    assert_eq!(ill(at() - chrono::Duration::days(400))[0].0, "clock");
    // Somebody else holds it.
    let holder = Connection::open(&ann).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    assert!(ill(at() + chrono::Duration::hours(1)).iter().any(|(at, _)| *at == "writing"));
    drop(holder);
    // Something changed behind its back.
    Connection::open(&ann).unwrap().execute_batch("UPDATE proof_entry SET pressure_pa = 9e6").unwrap();
    let seen = ill(at() + chrono::Duration::hours(1));
    assert!(seen[0].0 == "contents" && seen[0].1.contains("entry 3"), "{seen:?}");
    // No book at all.
    let none = examine(&folder.path().join("none.db"), at());
    assert!(!none.well() && none.looked[0].next.is_some());
    std::fs::write(folder.path().join("text.db"), "shopping list").unwrap();
    assert!(!examine(&folder.path().join("text.db"), at()).well());
}

#[test]
fn a_folder_that_is_not_there_is_said_to_be_missing() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let nowhere = folder.path().join("nowhere");
    let error = Book::open_reading(&ann).unwrap().back_up(&nowhere.join("copy.db"), false).unwrap_err();
    let wanted = format!("there is no folder {}: make it, or name another", nowhere.display());
    assert_eq!((error.to_string(), error.exit_code()), (wanted, 1));
}
