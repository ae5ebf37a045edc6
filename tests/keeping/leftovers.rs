//! What a killed merge, backup or restore leaves half-made: named by `doctor`, removed by the next one, and never taken
//! from a program that still lives.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use proofmark::store::{Book, examine};

use crate::books::{anns, log, note, said, second};
use crate::faults::proofmark;

/// A book of a merge that lasts long enough to be caught in the middle.
fn bos(folder: &Path, ann: &Path) -> PathBuf {
    let bo = second(folder, "bo.db", ann);
    for at in 0..40 {
        note(&bo, "Bo Ray", &format!("note {at} {}", "x".repeat(3_000)));
    }
    bo
}

fn names(folder: &Path, with: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.contains(with))
        .collect();
    names.sort();
    names
}

fn signal(child: &Child, name: &str) {
    assert!(Command::new("kill").arg(name).arg(child.id().to_string()).status().unwrap().success());
}

/// Wait until a signal to stop has come to every thread: another processor may still be at work when it is sent.
fn stopped(child: &Child) {
    let at = PathBuf::from(format!("/proc/{}/task", child.id()));
    let at_rest = || {
        let Ok(threads) = std::fs::read_dir(&at) else { return true };
        threads.flatten().all(|thread| {
            std::fs::read_to_string(thread.path().join("stat"))
                .ok()
                // The name may hold anything but stands in brackets.
                .and_then(|stat| stat.rsplit_once(") ").map(|(_, state)| !state.starts_with(['R', 'S', 'D'])))
                .unwrap_or(true)
        })
    };
    while !at_rest() {
        std::thread::yield_now();
    }
}

/// Copies and their locks: a journal is there only while it is being written.
fn parts(folder: &Path, with: &str) -> Vec<String> {
    names(folder, with).into_iter().filter(|name| !name.ends_with("-journal")).collect()
}

/// Stop a command (SIGSTOP) while its copy is half-made.
fn caught(folder: &Path, command: impl Fn() -> Command) -> Child {
    // On a busy machine many a copy is made between two looks.
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(120) {
        let mut child = command().stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let part = format!(".part-{}-0", child.id());
        loop {
            if names(folder, &part).iter().any(|name| name.ends_with("-0")) {
                signal(&child, "-STOP");
                stopped(&child);
                if names(folder, &part).iter().any(|name| name.ends_with("-0")) {
                    return child;
                }
                signal(&child, "-CONT");
                break;
            }
            if child.try_wait().unwrap().is_some() {
                break;
            }
        }
        let _ = child.wait();
    }
    panic!("it was never caught in the middle");
}

fn kill(mut child: Child) {
    child.kill().unwrap();
    assert!(!child.wait().unwrap().success());
}

fn copies_of(book: &Path) -> (bool, String, String) {
    let seen = examine(book, "2026-10-03T12:00:00Z".parse().unwrap());
    let it = seen.looked.iter().find(|it| it.at == "copies").unwrap();
    (it.well, it.seen.clone(), it.next.clone().unwrap_or_default())
}

#[test]
fn a_killed_merge_is_named_by_doctor_and_cleared_by_the_next() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = bos(folder.path(), &ann);
    let merge = || {
        let mut command = proofmark(&ann);
        command.arg("merge").arg(&bo);
        command
    };
    kill(caught(folder.path(), merge));
    let left = parts(folder.path(), ".part-");
    assert_eq!(left.len(), 2, "{left:?}");
    let (well, words, next) = copies_of(&ann);
    assert!(!well && words.contains("ann.db.part-") && words.contains("is gone"), "{words}");
    assert!(
        !words.contains(".lock") && next.contains("the next merge, backup or restore"),
        "{words}: {next}"
    );
    let output = proofmark(&ann).arg("doctor").output().unwrap();
    assert_eq!(output.status.code(), Some(4));
    assert!(merge().output().unwrap().status.success());
    assert_eq!(names(folder.path(), ".part-"), [""; 0]);
    assert_eq!(copies_of(&ann), (true, "none beside it".to_owned(), String::new()));
    assert_eq!(said(&ann).0.len(), said(&bo).0.len());
}

#[test]
fn a_killed_backup_is_cleared_by_one_of_another_name_in_that_folder() {
    let folder = tempfile::tempdir().unwrap();
    let ann = bos(folder.path(), &anns(folder.path()));
    let kept = folder.path().join("kept");
    std::fs::create_dir(&kept).unwrap();
    // What only has such a name is somebody's own.
    for name in ["my.part-1-2", "my.part-1-2.lock", "my.part-1-x.lock", "mine.lock"] {
        std::fs::write(kept.join(name), "mine").unwrap();
    }
    let backup = |name: &'static str| {
        // One that was made between two looks would be in the way of the next.
        let _ = std::fs::remove_file(kept.join(name));
        let mut command = proofmark(&ann);
        command.arg("backup").arg(kept.join(name));
        command
    };
    kill(caught(&kept, || backup("monday.db")));
    let left = parts(&kept, "monday.db.part-");
    assert_eq!(left.len(), 2, "{left:?}");
    assert!(backup("tuesday.db").output().unwrap().status.success());
    assert_eq!(
        names(&kept, ""),
        ["mine.lock", "my.part-1-2", "my.part-1-2.lock", "my.part-1-x.lock", "tuesday.db"]
    );
    assert_eq!(Book::open_reading(&kept.join("tuesday.db")).unwrap().verify().unwrap(), []);
}

#[test]
fn a_killed_restore_of_an_older_book_leaves_nothing_once_it_is_run_again() {
    let folder = tempfile::tempdir().unwrap();
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/demo-schema-1.db");
    let book = folder.path().join("book.db");
    let restore = || {
        let _ = std::fs::remove_file(&book);
        let mut command = proofmark(&book);
        command.arg("restore").arg(&fixture);
        command
    };
    kill(caught(folder.path(), restore));
    assert!(!names(folder.path(), ".part-").is_empty());
    assert!(restore().output().unwrap().status.success());
    assert_eq!(names(folder.path(), ""), ["book.db"]);
}

#[test]
fn a_copy_that_is_being_made_is_left_to_its_maker() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let bo = bos(folder.path(), &ann);
    let backup = |name: &'static str| {
        let _ = std::fs::remove_file(folder.path().join(name));
        let mut command = proofmark(&bo);
        command.arg("backup").arg(folder.path().join(name));
        command
    };
    let mut slow = caught(folder.path(), || backup("bo.db.slow.db"));
    let before = names(folder.path(), ".part-");
    assert!(backup("quick.db").output().unwrap().status.success());
    assert_eq!(names(folder.path(), ".part-"), before, "the slow one's is still there");
    signal(&slow, "-CONT");
    assert!(slow.wait().unwrap().success());
    assert_eq!(said(&folder.path().join("bo.db.slow.db")), said(&bo));
    assert_eq!(names(folder.path(), ".part-"), [""; 0]);
    // Doctor calls a copy in the making no fault.
    let mut slow = caught(folder.path(), || {
        let mut command = proofmark(&ann);
        command.arg("merge").arg(&bo).arg("--preview");
        command
    });
    assert_eq!(copies_of(&ann), (true, "none beside it".to_owned(), String::new()));
    signal(&slow, "-CONT");
    assert!(slow.wait().unwrap().success());
}

#[test]
fn a_copy_without_a_lock_is_named_and_left() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    log(&ann, proofmark::book::Kind::Note, "2026-03-01", "Ann Lee", &[("text", "a word")]);
    std::fs::write(folder.path().join("ann.db.part-12-0"), "half").unwrap();
    let (well, words, next) = copies_of(&ann);
    assert!(!well && words == "half-made: ann.db.part-12-0", "{words}");
    assert_eq!(next, "delete them where no proofmark is running");
    assert!(
        proofmark(&ann).arg("backup").arg(folder.path().join("copy.db")).output().unwrap().status.success()
    );
    assert!(folder.path().join("ann.db.part-12-0").exists());
}
