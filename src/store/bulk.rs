//! A large book written at once: the same projection and the same seals as an entry written by hand, in one
//! transaction, into a file that gets its name when it is whole.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, NaiveDate, Utc};

use super::append::{ChainEnd, insert};
use super::backup::Unnamed;
use super::read::{history, rules_on};
use super::standings::Kept;
use super::{Book, Copied, Creation, StoreError};
use crate::book::{Entry, EntryId, NewEntry};

/// Pages twice as large as an ordinary book's: half as many to fetch where a million entries are read.
const PAGE_BYTES: u32 = 8_192;

/// A book being written at once.
pub struct Bulk {
    book: Book,
    end: ChainEnd,
    file: Unnamed,
    target: PathBuf,
}

impl Bulk {
    /// Begin one that is to be at a path where nothing is yet.
    ///
    /// # Errors
    /// Something is there, or the folder cannot be written.
    pub fn begin(target: &Path, creation: Creation) -> Result<Self, StoreError> {
        if target.exists() {
            return Err(StoreError::Exists(target.to_path_buf()));
        }
        let file = Unnamed::beside(target)?;
        let book = Book::open_paged(&file.path, Some(creation), Some(PAGE_BYTES))?;
        let sql = |error| StoreError::from_sql(target, error);
        // Nobody else knows the file, and it is synced whole before it gets its name.
        book.connection
            .execute_batch(
                "PRAGMA synchronous = OFF; PRAGMA locking_mode = EXCLUSIVE; PRAGMA cache_size = -262144;
                 BEGIN IMMEDIATE",
            )
            .map_err(sql)?;
        let end = ChainEnd::of(&book.connection, book.origin()).map_err(sql)?;
        Ok(Self { book, end, file, target: target.to_path_buf() })
    }

    /// Write the next entry.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn write(&mut self, at: DateTime<Utc>, id: EntryId, entry: NewEntry) -> Result<Entry, StoreError> {
        insert(&self.book.connection, &mut self.end, at, id, entry).map_err(|error| error.told(&self.target))
    }

    /// Work out every standing, sync the file and give it its name.
    ///
    /// # Errors
    /// The file cannot be written, or something got its name meanwhile.
    pub fn finish(self) -> Result<Copied, StoreError> {
        let Self { book, file, target, .. } = self;
        let sql = |error| StoreError::from_sql(&target, error);
        book.connection
            .execute_batch("COMMIT; PRAGMA locking_mode = NORMAL; SELECT count(*) FROM book")
            .map_err(sql)?;
        let kept = standings(&book, &file.path)?;
        book.connection.execute_batch("BEGIN IMMEDIATE").map_err(sql)?;
        for kept in kept {
            kept.write(&book.connection).map_err(sql)?;
        }
        book.connection.execute_batch("COMMIT").map_err(sql)?;
        let (_, entries) = book.size()?;
        let head_seal = book.head_seal()?;
        drop(book);
        let journal = file.name(&target, false)?;
        Ok(Copied { path: target, entries, head_seal, kept: None, journal })
    }
}

/// Every standing, worked out by as many threads as there are cores.
fn standings(book: &Book, path: &Path) -> Result<Vec<Kept>, StoreError> {
    let casings = book.names(crate::book::SubjectOf::Casing)?;
    let rules = rules_on(&book.connection, NaiveDate::MAX, path)?;
    let (next, kept, failed) = (AtomicUsize::new(0), Mutex::new(Vec::new()), Mutex::new(None));
    let run = || -> Result<(), StoreError> {
        let connection = super::open::reader(path)?;
        while let Some(casing) = casings.get(next.fetch_add(1, Ordering::Relaxed)) {
            let entries = history(&connection, casing, path)?;
            let one = Kept::of(casing, &entries, &rules)
                .map_err(|error| StoreError::Damaged { path: path.to_path_buf(), why: error.to_string() })?;
            if let (Some(one), Ok(mut kept)) = (one, kept.lock()) {
                kept.push(one);
            }
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                if let (Err(error), Ok(mut failed)) = (run(), failed.lock()) {
                    *failed = Some(error);
                }
            });
        }
    });
    if let Some(error) = failed.into_inner().unwrap_or_default() {
        return Err(error);
    }
    let mut kept = kept.into_inner().unwrap_or_default();
    kept.sort_by(|a, b| a.casing.cmp(&b.casing));
    Ok(kept)
}
