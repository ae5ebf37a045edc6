//! Faults of the machine: a full disk, a folder that cannot be written, many writers, a clock set back, a power cut
//! in a form. Nothing acknowledged is lost and the book opens afterwards.

use std::io::Write;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Output};

use proofmark::book::{Answers, Kind, Standing};
use proofmark::desk::Desk;
use proofmark::store::Book;

use crate::books::{anns, decide, fire, log, note, said, strip};
use crate::common::{Still, day};

pub fn proofmark(book: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_proofmark"));
    command.env_clear().env("LC_ALL", "C.UTF-8").arg("--book").arg(book).arg("--by").arg("Ann Lee");
    command
}

fn log_note(book: &Path, text: &str) -> Command {
    let mut command = proofmark(book);
    command.args(["log", "note", "--casing", "MF-1", "--text", text]);
    command
}

fn notes(book: &Path) -> Vec<String> {
    let connection = rusqlite::Connection::open(book).unwrap();
    let mut statement = connection.prepare("SELECT text FROM note_entry").unwrap();
    let mut rows = statement.query([]).unwrap();
    let mut notes = Vec::new();
    while let Some(row) = rows.next().unwrap() {
        notes.push(row.get(0).unwrap());
    }
    notes
}

fn said_of(output: &Output) -> String {
    format!("{:?} {}", output.status.code(), String::from_utf8_lossy(&output.stderr))
}

/// Write until the disk says no; the note refused is not there, every note accepted is.
fn fill(book: &Path, run: impl Fn(&str) -> Output) {
    let mut accepted = Vec::new();
    let long = "x".repeat(6_000);
    for at in 0..2_000 {
        let text = format!("{at} {long}");
        let output = run(&text);
        if output.status.success() {
            accepted.push(text);
            continue;
        }
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains("the disk") && said.to_lowercase().contains("nothing was written"), "{said}");
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert_eq!(notes(book), accepted);
        assert_eq!(Book::open_reading(book).unwrap().verify().unwrap(), []);
        return;
    }
    panic!("the disk never filled");
}

#[test]
fn a_full_disk_refuses_the_next_entry_and_loses_none() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    // No file may grow beyond 300 KiB; what is beyond is refused like a full disk, not by a signal.
    let blocks = 300 * 2;
    fill(&book, |text| {
        Command::new("bash")
            .args(["-c", &format!("trap '' XFSZ; ulimit -f {}; exec \"$@\"", blocks / 2), "bash"])
            .arg(env!("CARGO_BIN_EXE_proofmark"))
            .args(["--book", book.to_str().unwrap(), "--by", "Ann Lee"])
            .args(["log", "note", "--casing", "MF-1", "--text", text])
            .output()
            .unwrap()
    });
    // With room again it goes on.
    note(&book, "Ann Lee", "room again");
}

#[test]
fn a_full_file_system_refuses_the_next_entry_and_loses_none() {
    let folder = tempfile::tempdir().unwrap();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=700k", "tmpfs"])
        .arg(folder.path())
        .output()
        .is_ok_and(|output| output.status.success());
    if !mounted {
        // Past the capture of the test's own output: a skipped test must be seen.
        let _ = writeln!(
            std::io::stderr(),
            "SKIPPED a_full_file_system_refuses_the_next_entry_and_loses_none: no small file system can be mounted here (not root)"
        );
        return;
    }
    let result = std::panic::catch_unwind(|| {
        let book = anns(folder.path());
        fill(&book, |text| log_note(&book, text).output().unwrap());
        // Neither does a copy that has no room leave half of itself behind.
        let output = proofmark(&book).arg("backup").arg(folder.path().join("copy.db")).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{}", said_of(&output));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    });
    let freed = Command::new("umount").arg(folder.path()).status().unwrap().success();
    assert!(freed);
    result.unwrap();
}

#[test]
fn a_read_only_folder_or_file_is_read_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let mode =
        |path: &Path, mode| std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    mode(&book, 0o444);
    mode(folder.path(), 0o555);
    // Root may write anyway; another user may not. Where this runs as root, an immutable mount stands in for it.
    let root = std::fs::File::create(folder.path().join("probe")).is_ok();
    if root {
        let _ = std::fs::remove_file(folder.path().join("probe"));
        let bind = Command::new("mount").arg("--bind").arg(folder.path()).arg(folder.path()).status();
        let read_only = Command::new("mount").args(["-o", "remount,ro,bind"]).arg(folder.path()).status();
        if !(bind.is_ok_and(|it| it.success()) && read_only.is_ok_and(|it| it.success())) {
            let _ = writeln!(
                std::io::stderr(),
                "SKIPPED a_read_only_folder_or_file_is_read_and_says_so: this is root, and nothing can be mounted read-only"
            );
            return;
        }
    }
    let result = std::panic::catch_unwind(|| {
        let before = std::fs::read(&book).unwrap();
        let rack = proofmark(&book).arg("rack").output().unwrap();
        assert!(rack.status.success(), "{}", said_of(&rack));
        let verify = proofmark(&book).arg("verify").output().unwrap();
        assert!(verify.status.success(), "{}", said_of(&verify));
        let output = log_note(&book, "no").output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{}", said_of(&output));
        assert!(String::from_utf8_lossy(&output.stderr).contains("read-only"), "{}", said_of(&output));
        let doctor = proofmark(&book).arg("doctor").output().unwrap();
        assert_eq!(doctor.status.code(), Some(4));
        assert!(String::from_utf8_lossy(&doctor.stdout).contains("read-only"));
        assert_eq!(std::fs::read(&book).unwrap(), before);
    });
    if root {
        assert!(Command::new("umount").arg(folder.path()).status().unwrap().success());
    }
    mode(folder.path(), 0o755);
    result.unwrap();
}

#[test]
fn two_and_twenty_four_writers_at_once_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    for writers in [2, 24] {
        // None of them finds a book: one begins it, the rest write into the same one.
        let book = folder.path().join(format!("{writers}.db"));
        let mut running: Vec<_> = (0..writers)
            .map(|at| {
                let mut command = proofmark(&book);
                command.args(["log", "note", "--text", &format!("writer {at}")]);
                command.stdout(std::process::Stdio::null()).stderr(std::process::Stdio::piped());
                (at, command.spawn().unwrap())
            })
            .collect();
        let mut accepted = Vec::new();
        for (at, child) in running.drain(..) {
            let output = child.wait_with_output().unwrap();
            // A writer may give up waiting, and then says so; it may not be told yes and lost.
            match output.status.code() {
                Some(0) => accepted.push(format!("writer {at}")),
                Some(3) => {
                    assert!(String::from_utf8_lossy(&output.stderr).contains("held by another program"))
                }
                _ => panic!("{}", said_of(&output)),
            }
        }
        let mut there = notes(&book);
        there.sort();
        accepted.sort();
        assert_eq!(there, accepted);
        assert!(accepted.len() >= writers / 2, "{} of {writers}", accepted.len());
        assert_eq!(Book::open_reading(&book).unwrap().verify().unwrap(), []);
    }
}

#[test]
fn a_clock_set_back_changes_no_order_and_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    fire(&book, "2026-02-01", "Ann Lee", "4.0 MPa");
    strip(&book, "2026-02-01", "Ann Lee", "50.80 mm");
    decide(&book, "2026-02-01", "Ann Lee", "keep");
    // The clock is two months behind when the hold of the same day is written: it is still the later decision.
    let earlier = Box::new(Still { today: day("2026-02-01"), count: Default::default() });
    let mut desk = Desk::writing(&book, earlier, None).unwrap();
    let mut answers = Answers::new();
    for (field, text) in [
        ("on", "2026-02-01"),
        ("by", "Ann Lee"),
        ("casing", "MF-1"),
        ("decision", "hold"),
        ("reason", "odd sound"),
    ] {
        answers.set(field, text);
    }
    desk.record(Kind::Disposition, &answers, None).unwrap();
    assert_eq!(desk.assess("MF-1", day("2026-10-03")).unwrap().standing(day("2026-10-03")), Standing::Hold);
    drop(desk);
    said(&book);
}

#[test]
fn a_power_cut_in_a_form_leaves_what_was_typed() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let mut answers = Answers::new();
    for length in 1..=12 {
        // Each key is kept at once, by a program that is gone a moment later.
        let open = Book::open_writing(&book, None).unwrap();
        answers.set("text", &"half a sentence"[..length]);
        open.keep_draft("note", "MF-1", &answers, chrono::DateTime::UNIX_EPOCH).unwrap();
        std::mem::forget(open);
        let again = Book::open_writing(&book, None).unwrap();
        assert_eq!(again.draft("note", "MF-1").unwrap().as_ref(), Some(&answers));
    }
    log(&book, Kind::Note, "2026-03-01", "Ann Lee", &[("casing", "MF-1"), ("text", "a whole one")]);
    assert_eq!(said(&book).0.len(), 3);
}
