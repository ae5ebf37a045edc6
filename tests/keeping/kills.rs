//! The program killed (SIGKILL) at many random moments while it logs, merges and migrates. A few here; hundreds with
//! `PROOFMARK_KILLS=300 cargo test --test keeping kills`.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use proofmark::store::Book;

use crate::books::{anns, note, second};
use crate::faults::proofmark;

/// How many times each is killed.
fn kills() -> u64 {
    std::env::var("PROOFMARK_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(8)
}

/// Moments spread over a stretch of time, never the same and never by a pattern.
fn moment(at: u64, within: Duration) -> Duration {
    let mut mixed = (at + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    mixed ^= mixed >> 29;
    mixed = mixed.wrapping_mul(0xBF58_476D_1CE4_E5B9);
    within.mul_f64((mixed >> 11) as f64 / (1_u64 << 53) as f64)
}

/// Run a command and kill it after a while; whether it had said yes by then.
fn killed_after(command: &mut Command, wait: Duration) -> bool {
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    std::thread::sleep(wait);
    let _ = child.kill();
    child.wait().unwrap().success()
}

/// How long a command takes when nobody kills it.
fn duration(mut command: Command) -> Duration {
    let start = Instant::now();
    assert!(command.stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success());
    start.elapsed()
}

fn log_note(book: &Path, text: &str) -> Command {
    let mut command = proofmark(book);
    command.args(["log", "note", "--casing", "MF-1", "--text", text]);
    command
}

fn count(book: &Path, what: &str) -> i64 {
    let connection = rusqlite::Connection::open(book).unwrap();
    connection.query_row(what, [], |row| row.get(0)).unwrap()
}

fn whole(book: &Path) {
    let opened = Book::open_reading(book).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(opened.verify().unwrap(), []);
}

#[test]
fn killed_while_logging() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let takes = duration(log_note(&book, "first"));
    let mut acknowledged = vec!["first".to_owned()];
    for at in 0..kills() {
        let text = format!("note {at}");
        if killed_after(&mut log_note(&book, &text), moment(at, takes.mul_f64(1.2))) {
            acknowledged.push(text);
        }
        whole(&book);
        for text in &acknowledged[acknowledged.len().saturating_sub(3)..] {
            assert_eq!(count(&book, &format!("SELECT count(*) FROM note_entry WHERE text = '{text}'")), 1);
        }
    }
    for text in &acknowledged {
        assert_eq!(count(&book, &format!("SELECT count(*) FROM note_entry WHERE text = '{text}'")), 1);
    }
}

#[test]
fn killed_while_beginning_a_book() {
    let folder = tempfile::tempdir().unwrap();
    let begin = |book: &PathBuf| {
        let mut command = proofmark(book);
        command.args(["log", "note", "--text", "the first of all"]);
        command
    };
    let takes = duration(begin(&folder.path().join("whole.db")));
    for at in 0..kills() {
        let book = folder.path().join(format!("{at}.db"));
        let said_yes = killed_after(&mut begin(&book), moment(at, takes.mul_f64(1.1)));
        // Whatever is left there, the next writer goes on from it.
        assert!(begin(&book).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success());
        whole(&book);
        let there = count(&book, "SELECT count(*) FROM entry");
        assert!(there == 2 || (there == 1 && !said_yes), "{there} {said_yes}");
    }
}

#[test]
fn killed_while_merging() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = second(folder.path(), "bo.db", &ann);
    for at in 0..40 {
        note(&bo, "Bo Ray", &format!("note {at} {}", "x".repeat(3_000)));
    }
    let kept = std::fs::read(&ann).unwrap();
    let merge = |book: &Path| {
        let mut command = proofmark(book);
        command.arg("merge").arg(&bo);
        command
    };
    let trial = folder.path().join("trial.db");
    std::fs::write(&trial, &kept).unwrap();
    let takes = duration(merge(&trial));
    for at in 0..kills() {
        std::fs::write(&trial, &kept).unwrap();
        let said_yes = killed_after(&mut merge(&trial), moment(at, takes.mul_f64(1.1)));
        whole(&trial);
        let there = count(&trial, "SELECT count(*) FROM entry");
        assert!(there == 43 || (there == 3 && !said_yes), "{there} {said_yes}");
        let _ = std::fs::remove_file(folder.path().join("trial.db-journal"));
    }
    whole(&bo);
    // A merge that is run again takes in what the killed one had not.
    assert!(merge(&trial).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success());
    assert_eq!(count(&trial, "SELECT count(*) FROM entry"), 43);
}

#[test]
fn killed_while_migrating() {
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/demo-schema-1.db");
    let entries = count(&fixture, "SELECT count(*) FROM entry");
    let folder = tempfile::tempdir().unwrap();
    let log = |book: &Path| {
        let mut command = proofmark(book);
        command.args(["log", "note", "--text", "after migrating"]);
        command
    };
    let whole_run = folder.path().join("whole.db");
    std::fs::copy(&fixture, &whole_run).unwrap();
    let takes = duration(log(&whole_run));
    for at in 0..kills() {
        let book = folder.path().join(format!("{at}.db"));
        std::fs::copy(&fixture, &book).unwrap();
        let said_yes = killed_after(&mut log(&book), moment(at, takes.mul_f64(1.1)));
        let there = count(&book, "SELECT count(*) FROM entry");
        assert!(there == entries + 1 || (there == entries && !said_yes), "{there} {said_yes}");
        // Whatever is left there, the next writer goes on from it.
        assert!(log(&book).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success());
        whole(&book);
        assert_eq!(count(&book, "SELECT count(*) FROM entry"), there + 1);
    }
}
