//! Everything on record can be read back by its name, and the whole book in the order it was written; and an entry is
//! written again from the command line.

use std::path::Path;

use assert_cmd::Command;

fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .env("PROOFMARK_BOOK", folder.join("book.db"))
        .env("PROOFMARK_BY", "Ann Lee")
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

fn done(folder: &Path, arguments: &[&str]) -> (String, String) {
    let (code, out, err) = run(folder, arguments);
    assert_eq!(code, 0, "{arguments:?}: {out}{err}");
    (out, err)
}

fn book() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    done(at, &["log", "load", "--name", "54A", "--peak-pressure", "726 psi", "--on", "2026-01-02"]);
    done(
        at,
        &[
            "log",
            "gauge",
            "--serial",
            "MIC-1",
            "--what",
            "micrometer",
            "--least",
            "25 mm",
            "--most",
            "75 mm",
            "--calibration-due",
            "2027-01-01",
        ],
    );
    done(at, &["log", "person", "--name", "Bo Ray", "--role", proofmark::book::Role::WORDS[0]]);
    done(
        at,
        &[
            "log",
            "rule",
            "--rule",
            "margin-least",
            "--value",
            "1.3",
            "--reason",
            "careful",
            "--second",
            "Bo Ray",
        ],
    );
    folder
}

#[test]
fn whatever_has_a_name_is_shown_as_it_was_typed() {
    let folder = book();
    let at = folder.path();
    for (name, of, words) in [
        ("54A", "load", "726 psi"),
        ("MIC-1", "gauge", "75 mm"),
        ("bo ray", "person", "Bo Ray"),
        ("margin-least", "rule", "careful"),
    ] {
        let (out, _) = done(at, &["show", name]);
        assert!(out.starts_with(of) && out.contains(words) && out.contains("Ann Lee"), "{out}");
        let (json, _) = done(at, &["show", name, "--json"]);
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(value["subject_of"], of);
        assert_eq!(value["ledger"].as_array().unwrap().len(), 1);
    }
    let (code, _, err) = run(at, &["show", "54B"]);
    assert!(code == 1 && err.contains("did you mean 54A?"), "{err}");
}

#[test]
fn the_journal_tells_what_was_written_since() {
    let folder = book();
    let at = folder.path();
    let (out, _) = done(at, &["journal"]);
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines.len(), 4, "{out}");
    assert!(lines[0].contains("54A") && lines[3].contains("margin-least"), "{out}");
    let (out, _) = done(at, &["journal", "--since", "3"]);
    assert_eq!(out.lines().count(), 1, "{out}");
    // By when it was written, whatever day it is dated.
    let (out, _) = done(at, &["journal", "--since", "yesterday"]);
    assert!(out.contains("2026-01-02") && out.lines().count() == 4, "{out}");
    let (json, _) = done(at, &["journal", "--since", "2", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(value["entries"].as_array().unwrap().len(), 2);
    let (code, _, err) = run(at, &["journal", "--since", "whenever"]);
    assert!(code == 1 && err.contains("neither a day"), "{err}");
}

#[test]
fn an_entry_is_written_again_with_what_changes() {
    let folder = book();
    let at = folder.path();
    let (code, _, err) = run(at, &["log", "load", "--again", "1", "--impulse", "951 Ns"]);
    assert!(code == 1 && err.contains("--because"), "{err}");
    let (code, _, err) = run(at, &["log", "gauge", "--again", "1", "--because", "x"]);
    assert!(code == 1 && err.contains("is a load"), "{err}");
    let (out, _) =
        done(at, &["log", "load", "--again", "1", "--impulse", "951 Ns", "--because", "impulse forgotten"]);
    assert!(out.contains("entry 5: strike") && out.contains("entry 6: load"), "{out}");
    let (out, _) = done(at, &["show", "54A"]);
    assert!(out.contains("[struck by entry 5]") && out.matches("726 psi").count() == 2, "{out}");
    assert!(out.contains("951 Ns"), "{out}");
    // A strike says how what it struck is written again.
    let (_, err) = done(at, &["log", "strike", "--entry", "6", "--reason", "after all"]);
    assert!(err.contains("proofmark log load --again 6"), "{err}");
    done(at, &["log", "load", "--again", "6", "--revision", "B"]);
    let (out, _) = done(at, &["show", "54A"]);
    assert!(out.contains("Revision: B"), "{out}");
}
