//! A book with bytes of it overwritten anywhere: opening, reading and verifying it never panic, and one that verifies
//! still has the seal it had.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use proofmark::store::Book;

fn honest() -> &'static (Vec<u8>, Option<String>, tempfile::TempDir) {
    static HONEST: OnceLock<(Vec<u8>, Option<String>, tempfile::TempDir)> = OnceLock::new();
    HONEST.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("honest.db");
        proofmark::demo::write_large(&path, 2, 4).unwrap();
        let seal = Book::open_reading(&path).unwrap().head_seal().unwrap();
        (std::fs::read(&path).unwrap(), seal, folder)
    })
}

fuzz_target!(|edits: Vec<(u32, Vec<u8>)>| {
    let (bytes, seal, folder) = honest();
    let mut bytes = bytes.clone();
    for (at, with) in &edits {
        let at = *at as usize % bytes.len();
        let to = (at + with.len()).min(bytes.len());
        bytes[at..to].copy_from_slice(&with[..to - at]);
    }
    let path = folder.path().join("edited.db");
    std::fs::write(&path, &bytes).unwrap();
    let Ok(book) = Book::open_reading(&path) else { return };
    let _ = book.rack(chrono::NaiveDate::MAX);
    let _ = book.history("GN-000001");
    if book.verify().is_ok_and(|faults| faults.is_empty()) {
        assert_eq!(book.head_seal().ok().flatten(), *seal);
    }
});
