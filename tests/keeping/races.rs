//! Two who write at once, and a book that is taken for another.

use std::time::Duration;

use proofmark::desk::import::{Wish, bench};
use proofmark::desk::{Desk, Refusal};
use proofmark::store::StoreError;

use crate::books::{anns, said, try_merge};
use crate::common::still;
use crate::faults::proofmark;

const NOTEBOOK: &str = "kind,on,by,casing,text\nnote,2026-02-01,Ann Lee,MF-1,an old note\n";

/// A second program's entry, in the middle of its transaction. (A row as it stands in the file: what matters is that
/// it is there.)
const ENTRY: &str = "BEGIN IMMEDIATE; INSERT INTO entry (id, origin, sequence, kind, subject_of, subject, happened_on,
    date_approximate, recorded_at, recorded_by, second, strikes, body, seal)
    SELECT '01890000-0000-7000-8000-000000000000', origin, sequence + 1, kind, subject_of, subject, happened_on,
    date_approximate, recorded_at, recorded_by, second, strikes, body, 'ff' || substr(seal, 3)
    FROM entry ORDER BY number DESC LIMIT 1";

#[test]
fn an_import_is_refused_where_somebody_writes_between_its_trial_and_its_transaction() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let other = rusqlite::Connection::open(&ann).unwrap();
    let tried =
        bench(&ann, still()).unwrap().try_import("old.csv", NOTEBOOK.as_bytes(), &Wish::default()).unwrap();
    assert!(tried.clean() && tried.entries() == 1, "{tried:?}");
    // The other holds the book with an entry nobody else can see yet: the import begins, waits, and gets its turn.
    let (begin, begun) = (std::sync::Barrier::new(2), std::sync::Barrier::new(2));
    let barriers = std::sync::Arc::new((begin, begun));
    let waiting = std::thread::spawn({
        let (ann, barriers) = (ann.clone(), barriers.clone());
        move || {
            let mut desk = Desk::writing(&ann, still(), None).unwrap();
            barriers.0.wait();
            barriers.1.wait();
            desk.take_import(tried, "Ann Lee").map(|_| ())
        }
    });
    barriers.0.wait();
    other.execute_batch(ENTRY).unwrap();
    barriers.1.wait();
    std::thread::sleep(Duration::from_millis(300));
    assert!(!waiting.is_finished());
    other.execute_batch("COMMIT").unwrap();
    let refused = waiting.join().unwrap();
    assert!(matches!(refused, Err(Refusal::Store(StoreError::Overtaken(_)))), "{refused:?}");
    let there: i64 = other.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).unwrap();
    assert_eq!(there, 4, "three and the other's: nothing of the import");
}

#[test]
fn an_import_that_nobody_disturbs_is_taken_in() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let tried =
        bench(&ann, still()).unwrap().try_import("old.csv", NOTEBOOK.as_bytes(), &Wish::default()).unwrap();
    let mut desk = Desk::writing(&ann, still(), None).unwrap();
    assert_eq!(desk.take_import(tried, "Ann Lee").unwrap().entries.len(), 2);
}

#[test]
fn a_book_is_not_merged_with_itself_under_any_of_its_names() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let before = (std::fs::read(&ann).unwrap(), said(&ann));
    let (link, second) = (folder.path().join("link.db"), folder.path().join("second.db"));
    std::os::unix::fs::symlink(&ann, &link).unwrap();
    std::fs::hard_link(&ann, &second).unwrap();
    for other in [&ann, &link, &second] {
        assert!(matches!(try_merge(&ann, other), Err(StoreError::Itself(_))), "{}", other.display());
        for more in [&[][..], &["--preview"]] {
            let output = proofmark(&ann).arg("merge").arg(other).args(more).output().unwrap();
            let words = String::from_utf8_lossy(&output.stderr).into_owned();
            assert!(words.contains("is the book itself, not another one"), "{words}");
            assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0), "{words}");
        }
    }
    assert!((std::fs::read(&ann).unwrap(), said(&ann)) == before);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3, "no copy is left beside it");
}

#[test]
fn a_book_of_an_older_schema_is_not_brought_up_to_be_told_that_it_is_itself() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("old.db");
    let fixture = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/demo-schema-1.db");
    std::fs::copy(fixture, &book).unwrap();
    let before = std::fs::read(&book).unwrap();
    let output = proofmark(&book).arg("merge").arg(&book).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(std::fs::read(&book).unwrap() == before);
}
