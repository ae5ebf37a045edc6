//! What stands in a file's place, and what a stranger's book is made of: nothing waits for ever, and nobody's file but
//! one's own is written.

#![cfg(unix)]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rusqlite::Connection;

use crate::books::{anns, decide, second};

/// Run the program; what it does not answer within some seconds it never will.
pub fn run(folder: &Path, book: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_proofmark"))
        .arg("--book")
        .arg(book)
        .args(arguments)
        .current_dir(folder)
        .env("PROOFMARK_BY", "Ann Lee")
        .env("XDG_CONFIG_HOME", folder)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if begun.elapsed() > Duration::from_secs(20) {
            child.kill().unwrap();
            panic!("{arguments:?} on {} never answers", book.display());
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    let output = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

fn pipe(at: &Path) {
    assert!(Command::new("mkfifo").arg(at).status().unwrap().success());
}

#[test]
fn what_is_no_file_is_refused_wherever_one_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path();
    let ann = anns(here);
    pipe(&here.join("pipe"));
    std::os::unix::fs::symlink("pipe", here.join("link")).unwrap();
    let before = std::fs::read(&ann).unwrap();
    for not_a_file in ["pipe", "link", "/dev/zero", "/dev/null"] {
        for command in [
            &["trace", not_a_file][..],
            &["import", not_a_file, "--kind", "note"],
            &["log", "note", "--from", not_a_file],
            &["log", "load", "--name", "X", "--from", not_a_file],
            &["log", "photo", "--casing", "MF-1", "--path", not_a_file, "--caption", "c"],
            &["log", "trace", "--casing", "MF-1", "--file", not_a_file],
            &["margins", "--design", not_a_file],
            &["predict", not_a_file],
            &["trace", &ann.to_string_lossy(), "--plan", not_a_file],
            &["merge", not_a_file],
            &["merge", not_a_file, "--preview"],
            &["restore", not_a_file],
            &["backup", not_a_file, "--replace"],
        ] {
            let (code, _, err) = run(here, &ann, command);
            assert!(matches!(code, Some(1 | 3)), "{command:?}: {code:?} {err}");
            assert!(!err.is_empty() && !err.contains("fault of the program"), "{command:?}: {err}");
        }
        let book = here.join(not_a_file);
        for command in
            [&["rack"][..], &["doctor"], &["verify"], &["log", "note", "--text", "x"], &["restore", "ann.db"]]
        {
            let (code, out, err) = run(here, &book, command);
            assert!(matches!(code, Some(1 | 3 | 4)), "{command:?}: {code:?} {out} {err}");
        }
    }
    assert_eq!(std::fs::read(&ann).unwrap(), before);
    // A pipe in the place of the journal that SQLite looks for.
    pipe(&here.join("ann.db-journal"));
    let (code, _, err) = run(here, &ann, &["rack"]);
    assert_eq!(code, Some(3));
    assert!(err.contains("ann.db-journal is a pipe"), "{err}");
}

#[test]
fn a_text_without_end_is_not_read_whole() {
    let folder = tempfile::tempdir().unwrap();
    let long = std::fs::File::create(folder.path().join("long.toml")).unwrap();
    long.set_len(3 << 30).unwrap();
    let ann = anns(folder.path());
    for command in
        [&["log", "note", "--from", "long.toml"][..], &["predict", "long.toml"], &["import", "long.toml"]]
    {
        let (code, _, err) = run(folder.path(), &ann, command);
        assert_eq!(code, Some(1), "{err}");
        assert!(err.contains("is it the right file?"), "{command:?}: {err}");
    }
}

const ENDLESS: &str = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS number, '' AS id, '' AS
    origin, 1 AS sequence, 'note' AS kind, '' AS subject, '' AS recorded_at, '' AS seal, '' AS strikes, '' AS body,
    '' AS happened_on, '' AS subject_of FROM n";

#[test]
fn a_book_whose_tables_are_none_is_refused_before_anything_is_asked_of_it() {
    for making in [
        &["ALTER TABLE entry RENAME TO was", "VIEW"][..],
        &["ALTER TABLE book RENAME TO was", "BOOK"],
        &["CREATE VIRTUAL TABLE more USING fts5(x)"],
        &["CREATE TRIGGER ours AFTER INSERT ON entry BEGIN INSERT INTO book (key, value)
             WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i, i FROM n; END"],
    ] {
        let folder = tempfile::tempdir().unwrap();
        let ann = anns(folder.path());
        let bad = second(folder.path(), "bad.db", &ann);
        decide(&bad, "2026-02-01", "Bo Ray", "hold");
        let theirs = Connection::open(&bad).unwrap();
        for statement in making {
            let statement = match *statement {
                "VIEW" => format!("CREATE VIEW entry AS {ENDLESS}"),
                "BOOK" => {
                    "CREATE VIEW book AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)
                    SELECT 'k' || i AS key, i AS value FROM n"
                        .to_owned()
                }
                other => other.to_owned(),
            };
            theirs.execute_batch(&statement).unwrap_or_else(|error| panic!("{statement}: {error}"));
        }
        drop(theirs);
        for (book, command) in [
            (&bad, &["log", "note", "--text", "x"][..]),
            (&bad, &["doctor"]),
            (&bad, &["verify"]),
            (&bad, &["backup", "copy.db"]),
            (&ann, &["merge", "bad.db"]),
            (&ann, &["restore", "bad.db"]),
        ] {
            let (code, out, err) = run(folder.path(), book, command);
            assert!(matches!(code, Some(3 | 4)), "{making:?} {command:?}: {code:?} {out} {err}");
        }
        if making.len() > 1 || making[0].contains("VIRTUAL") {
            let (code, _, err) = run(folder.path(), &bad, &["rack"]);
            assert_eq!(code, Some(3), "{err}");
            assert!(err.contains("which no book has"), "{err}");
        }
    }
}

/// A copy of a book in the middle of a writing, as a killed writer leaves it.
fn cut_off(from: &Path, to: &Path) -> PathBuf {
    let writer = Connection::open(from).unwrap();
    writer
        .execute_batch(
            "PRAGMA cache_size = 2; BEGIN IMMEDIATE; UPDATE standing SET firings = firings + 7;
             UPDATE book SET value = value || ' '; UPDATE person_entry SET name = 'nobody';
             CREATE TABLE filler (x); INSERT INTO filler VALUES (zeroblob(400000));",
        )
        .unwrap();
    let journal = |path: &Path| PathBuf::from(format!("{}-journal", path.display()));
    std::fs::copy(from, to).unwrap();
    std::fs::copy(journal(from), journal(to)).unwrap();
    writer.execute_batch("ROLLBACK").unwrap();
    journal(to)
}

#[test]
fn what_the_other_laptop_had_half_written_is_taken_back_on_a_copy_alone() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    decide(&bo, "2026-02-01", "Bo Ray", "hold");
    let torn = folder.path().join("torn.db");
    let journal = cut_off(&bo, &torn);
    let before = (std::fs::read(&torn).unwrap(), std::fs::read(&journal).unwrap());
    assert_ne!(before.0, std::fs::read(&bo).unwrap(), "nothing was half written");
    for command in [&["merge", "torn.db", "--preview"][..], &["merge", "torn.db"], &["restore", "torn.db"]] {
        let (code, out, err) = run(folder.path(), &ann, command);
        assert_eq!(code, Some(0), "{command:?}: {out} {err}");
        assert_eq!(before, (std::fs::read(&torn).unwrap(), std::fs::read(&journal).unwrap()), "{command:?}");
        let (code, out, _) = run(folder.path(), &ann, &["verify"]);
        assert_eq!(code, Some(0), "{command:?}: {out}");
    }
    let left: Vec<_> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|it| it.unwrap().file_name().into_string().unwrap())
        .filter(|it| it.contains(".part-"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_book_is_not_copied_onto_itself_and_errors_name_what_a_person_named() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let before = std::fs::read(&ann).unwrap();
    for command in [&["restore", "ann.db"][..], &["backup", "ann.db"], &["backup", "ann.db", "--replace"]] {
        let (code, _, err) = run(folder.path(), &ann, command);
        assert_eq!(code, Some(2), "{err}");
        assert!(err.contains("is the book itself") && !err.contains("--replace"), "{err}");
    }
    // Cut in the middle: named as it was given, never as the copy that has no name.
    let cut = folder.path().join("cut.db");
    std::fs::write(&cut, &before[..before.len() / 2 / 4096 * 4096]).unwrap();
    for command in [&["merge", "cut.db"][..], &["restore", "cut.db"]] {
        let (code, _, err) = run(folder.path(), &ann, command);
        assert!(matches!(code, Some(3)), "{code:?} {err}");
        assert!(err.contains("cut.db") && !err.contains(".part-"), "{err}");
    }
    // Marked as a book, with a schema none has.
    let zero = folder.path().join("zero.db");
    std::fs::copy(&ann, &zero).unwrap();
    Connection::open(&zero).unwrap().pragma_update(None, "user_version", 0).unwrap();
    for command in [&["rack"][..], &["log", "note", "--text", "x"], &["verify"]] {
        let (code, _, err) = run(folder.path(), &zero, command);
        assert_eq!((code, err.lines().count()), (Some(3), 1), "{err}");
    }
    assert!(std::fs::read_dir(folder.path()).unwrap().all(|it| {
        let name = it.unwrap().file_name().into_string().unwrap();
        !name.contains(".schema-") && !name.contains(".part-")
    }));
    assert_eq!(std::fs::read(&ann).unwrap(), before);
}
