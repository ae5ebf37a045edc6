//! A book that is put in another's place while a program has that one open, as a screen has for hours.

use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use chrono::DateTime;
use proofmark::book::Kind;
use proofmark::desk::{Desk, Refusal};
use proofmark::store::{Book, Creation, StoreError};
use rusqlite::Connection;
use uuid::Uuid;

use crate::books::{Said, anns, merge, note, said};
use crate::common::{day, still};
use crate::faults::proofmark;

fn note_at(desk: &mut Desk, text: &str) -> Result<(), Refusal> {
    let mut answers = proofmark::book::Answers::new();
    answers.set("on", "2026-03-02").set("by", "Ann Lee").set("casing", "MF-1");
    answers.push("text", text);
    desk.record(Kind::Note, &answers, None).map(|_| ())
}

/// What a screen does at every key.
fn look(desk: &mut Desk) -> bool {
    let replaced = desk.look_whether_replaced().unwrap();
    desk.book().rack(day("2026-10-03")).unwrap();
    replaced
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_restore_under_an_open_screen_spoils_neither_the_book_nor_the_kept_one() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    let mut screen = Desk::writing(&ann, still(), None).unwrap();
    screen.book().back_up(&copy, false).unwrap();
    note_at(&mut screen, "after the backup").unwrap();
    let with_note = said(&ann);
    let restored = proofmark(&ann).arg("restore").arg(&copy).output().unwrap();
    assert!(restored.status.success(), "{}", String::from_utf8_lossy(&restored.stderr));
    let kept = folder
        .path()
        .join(names(folder.path()).into_iter().find(|name| name.contains(".before-restore-")).unwrap());
    // Nothing goes on from what was read before: its chain would be the kept book's.
    let refused = note_at(&mut screen, "too late").unwrap_err();
    assert!(matches!(refused, Refusal::Store(StoreError::Replaced(_))), "{refused:?}");
    assert!(look(&mut screen) && !look(&mut screen));
    // While others write, the screen looks, and writes itself.
    for at in 0..3 {
        let mut writer = proofmark(&ann)
            .args(["log", "note", "--casing", "MF-1", "--by", "Bo Ray", "--text"])
            .arg(format!("note {at}"))
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        while writer.try_wait().unwrap().is_none() {
            look(&mut screen);
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(writer.wait().unwrap().success());
        note_at(&mut screen, "from the screen").unwrap();
    }
    assert_eq!(said(&kept), with_note);
    assert_eq!(said(&ann).0.len(), said(&copy).0.len() + 6);
    // What only the kept one holds comes back.
    assert_eq!(merge(&ann, &kept).entries, 1);
    said(&ann);
}

#[test]
fn a_book_that_somebody_reads_at_that_moment_is_read_whole() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    let reader = Book::open_reading(&ann).unwrap();
    reader.back_up(&copy, false).unwrap();
    note(&ann, "Ann Lee", "after the backup");
    Book::restore(&copy, &ann, Uuid::now_v7(), DateTime::UNIX_EPOCH).unwrap();
    assert_eq!(reader.verify().unwrap(), []);
    assert_eq!(reader.size().unwrap().1, 3);
}

#[test]
fn another_file_moved_under_the_name_is_noticed_before_anything_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let other = folder.path().join("other.db");
    std::fs::copy(&ann, &other).unwrap();
    let mut screen = Desk::writing(&ann, still(), None).unwrap();
    let aside = folder.path().join("aside.db");
    std::fs::rename(&ann, &aside).unwrap();
    std::fs::rename(&other, &ann).unwrap();
    let before = (std::fs::read(&ann).unwrap(), std::fs::read(&aside).unwrap());
    let refused = note_at(&mut screen, "into neither").unwrap_err();
    assert!(matches!(refused, Refusal::Store(StoreError::Replaced(_))), "{refused:?}");
    assert_eq!((std::fs::read(&ann).unwrap(), std::fs::read(&aside).unwrap()), before);
    assert!(screen.look_whether_replaced().unwrap());
    note_at(&mut screen, "into the one under the name").unwrap();
    assert_eq!(said(&ann).0.len(), 3);
    assert_eq!(std::fs::read(&aside).unwrap(), before.1);
    // One that is only gone is said, and nothing is begun in its place.
    std::fs::remove_file(&ann).unwrap();
    assert!(matches!(screen.look_whether_replaced(), Err(StoreError::Missing(_))));
    assert!(note_at(&mut screen, "nowhere").is_err());
    assert!(!ann.exists());
}

#[test]
fn pages_of_any_size_go_over_pages_of_any_other() {
    for (of_copy, of_book) in [("8192", "4096"), ("4096", "8192"), ("1024", "65536")] {
        let folder = tempfile::tempdir().unwrap();
        let paged = |name: &str, bytes: &str| {
            let path = folder.path().join(name);
            let creation = Creation { origin: Uuid::now_v7(), at: DateTime::UNIX_EPOCH, fixed_day: None };
            drop(Book::open_writing(&path, Some(creation)).unwrap());
            let connection = Connection::open(&path).unwrap();
            connection.execute_batch(&format!("PRAGMA page_size = {bytes}; VACUUM")).unwrap();
            path
        };
        let (copy, book) = (paged("copy.db", of_copy), paged("book.db", of_book));
        merge(&copy, &anns(folder.path()));
        let screen = Book::open_reading(&book).unwrap();
        assert_eq!(screen.size().unwrap().1, 0);
        let made = Book::restore(&copy, &book, Uuid::now_v7(), DateTime::UNIX_EPOCH).unwrap();
        assert_eq!(said(&book), said(&copy));
        assert_eq!(Book::open_reading(&made.kept.unwrap()).unwrap().verify().unwrap(), []);
        assert_eq!(screen.size().unwrap().1, 3);
        note(&book, "Ann Lee", "goes on");
        said(&book);
    }
}

/// What a book says. Cut off between the end of the transaction and the file's getting shorter, old pages stand after
/// its last one: verify names them, and a backup leaves them out.
fn whole_of(book: &Path) -> Said {
    let faults = Book::open_reading(book).unwrap().verify().unwrap();
    let [fault] = &faults[..] else { return said(book) };
    assert!(fault.what.contains("stand after the last page"), "{faults:?}");
    let clean = book.with_extension("clean");
    Book::open_reading(book).unwrap().back_up(&clean, false).unwrap();
    let said = said(&clean);
    std::fs::remove_file(clean).unwrap();
    said
}

#[test]
fn a_restore_killed_at_any_point_leaves_the_old_book_or_the_copy() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let copy = folder.path().join("copy.db");
    Book::open_reading(&ann).unwrap().back_up(&copy, false).unwrap();
    for at in 0..60 {
        note(&ann, "Ann Lee", &format!("note {at} {}", "x".repeat(2_000)));
    }
    let old = said(&ann);
    let whole = std::fs::read(&ann).unwrap();
    let restore = || proofmark(&ann).arg("restore").arg(&copy).stdout(Stdio::null()).spawn().unwrap();
    let begun = Instant::now();
    assert!(restore().wait().unwrap().success());
    let takes = begun.elapsed();
    std::fs::write(&ann, &whole).unwrap();
    let (mut olds, mut news) = (0, 0);
    for at in 0..24 {
        let mut child = restore();
        std::thread::sleep(takes * at / 16);
        let _ = child.kill();
        child.wait().unwrap();
        // Opened for writing, what was cut off is taken back.
        drop(Book::open_writing(&ann, None).unwrap());
        let now = whole_of(&ann);
        if now == old {
            olds += 1;
            continue;
        }
        news += 1;
        assert_eq!(now, said(&copy));
        let kept = names(folder.path()).into_iter().filter(|name| name.contains(".before-restore-"));
        let kept = kept.filter(|name| !name.contains(".part-"));
        assert!(kept.map(|name| folder.path().join(name)).any(|kept| said(&kept) == old));
        std::fs::write(&ann, &whole).unwrap();
    }
    assert!(olds > 0 && news > 0, "{olds} old, {news} new");
}
