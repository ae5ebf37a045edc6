//! Bits flipped and files cut off anywhere: noticed or harmless, never a crash, and nothing taken for what it is not.

use std::path::Path;

use proofmark::desk::Desk;
use proofmark::quantity::System;
use proofmark::store::Book;
use proptest::prelude::*;

use crate::books::{anns, decide, fire, note, strip};
use crate::common::{day, still};

/// How many times: a few here, thousands with `PROOFMARK_FLIPS=5000`.
fn flips() -> u32 {
    std::env::var("PROOFMARK_FLIPS").ok().and_then(|text| text.parse().ok()).unwrap_or(300)
}

/// What a person would read of a book, where anything can be read.
fn reads(path: &Path) -> Option<String> {
    let desk = Desk::reading(path, still()).ok()?;
    let rack = proofmark::report::text::rack(&desk.rack().ok()?);
    let page = proofmark::report::text::casing(&desk.casing("MF-1").ok()?, System::Si);
    let head = desk.book().head_seal().ok()?;
    Some(format!("{rack}{page}{head:?}"))
}

fn clean(path: &Path) -> bool {
    Book::open_reading(path).is_ok_and(|book| book.verify().is_ok_and(|faults| faults.is_empty()))
}

struct Kept {
    folder: tempfile::TempDir,
    bytes: Vec<u8>,
    honest: String,
}

fn kept() -> &'static Kept {
    static KEPT: std::sync::OnceLock<Kept> = std::sync::OnceLock::new();
    KEPT.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let path = anns(folder.path());
        fire(&path, "2026-02-01", "Ann Lee", "4.0 MPa");
        strip(&path, "2026-02-01", "Ann Lee", "50.81 mm");
        decide(&path, "2026-02-01", "Ann Lee", "keep");
        note(&path, "Ann Lee", "nothing new");
        assert!(clean(&path));
        let honest = reads(&path).unwrap();
        Kept { bytes: std::fs::read(&path).unwrap(), folder, honest }
    })
}

fn tried(bytes: &[u8]) -> (bool, Option<String>) {
    use std::sync::atomic::{AtomicU32, Ordering};
    static NUMBER: AtomicU32 = AtomicU32::new(0);
    let path = kept().folder.path().join(format!("{}.db", NUMBER.fetch_add(1, Ordering::Relaxed)));
    std::fs::write(&path, bytes).unwrap();
    let clean = clean(&path);
    let reads = reads(&path);
    // Writing into it may be refused; it may not crash, and may not make a damaged book look whole.
    if !clean && let Ok(mut desk) = Desk::writing(&path, still(), None) {
        let mut answers = proofmark::book::Answers::new();
        answers.set("by", "Ann Lee").set("text", "hello").set("on", "2026-10-01");
        let _ = desk.record(proofmark::book::Kind::Note, &answers, None);
        let _ = desk.assess("MF-1", day("2026-10-03"));
    }
    let _ = std::fs::remove_file(&path);
    (clean, reads)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: flips(), failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn flipped_bits_are_noticed_or_harmless(spots in proptest::collection::vec((any::<prop::sample::Index>(), 0_u8..8), 1..4)) {
        let mut bytes = kept().bytes.clone();
        for (at, bit) in &spots {
            let at = at.index(bytes.len());
            bytes[at] ^= 1 << bit;
        }
        let (clean, reads) = tried(&bytes);
        if clean {
            prop_assert_eq!(reads.as_deref(), Some(kept().honest.as_str()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: flips() / 4, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_file_cut_off_or_overwritten_is_noticed_or_harmless(
        at in any::<prop::sample::Index>(),
        noise in proptest::option::of(proptest::collection::vec(any::<u8>(), 1..600)),
    ) {
        let mut bytes = kept().bytes.clone();
        let at = at.index(bytes.len());
        match &noise {
            None => bytes.truncate(at),
            Some(noise) => {
                let to = (at + noise.len()).min(bytes.len());
                bytes[at..to].copy_from_slice(&noise[..to - at]);
            }
        }
        let (clean, reads) = tried(&bytes);
        if clean {
            prop_assert_eq!(reads.as_deref(), Some(kept().honest.as_str()));
        }
    }
}

#[test]
fn a_column_whose_name_is_no_text_is_told_and_ends_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    let table = b"CREATE TABLE note_entry";
    let at = bytes.windows(table.len()).position(|it| it == table).unwrap();
    let column =
        bytes[at..].windows(6).position(|it| it == b" text " || it == b"text\tT").map(|it| at + it + 1);
    let column =
        column.or_else(|| bytes[at..].windows(4).position(|it| it == b"text").map(|it| at + it)).unwrap();
    bytes[column] = 0xff;
    std::fs::write(&path, bytes).unwrap();
    for command in ["verify", "doctor", "rack"] {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
            .env("LC_ALL", "C.UTF-8")
            .args(["--book", path.to_str().unwrap(), command])
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(!said.contains("panicked"), "{command}: {said}");
        assert!(matches!(output.status.code(), Some(0 | 3 | 4)), "{command}: {:?}", output.status);
    }
}
