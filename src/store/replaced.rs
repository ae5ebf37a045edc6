//! Is what was opened still the book? Another program may put a copy in its place, or another file under its name,
//! while a screen has it open for hours.
//!
//! `restore` writes into the file that is there, under SQLite's own locks, so that a program that has it open sees one
//! more change. A file that is moved away and another put under its name is seen here: to SQLite the journal beside
//! that name is the opened file's, and it would take back in the one what was half written into the other.

use std::path::Path;

use rusqlite::Connection;
use uuid::Uuid;

use super::{Book, StoreError};

/// Which file it is, whatever its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FileId(u64, u64);

impl FileId {
    /// The file under a name; `None` where there is none, or the system does not tell.
    #[cfg(unix)]
    pub(super) fn of(path: &Path) -> Option<Self> {
        use std::os::unix::fs::MetadataExt;
        std::fs::metadata(path).ok().map(|file| Self(file.dev(), file.ino()))
    }

    /// An open file keeps its name there.
    #[cfg(not(unix))]
    pub(super) fn of(_: &Path) -> Option<Self> {
        None
    }
}

/// The identity a book has now.
fn identity(connection: &Connection) -> rusqlite::Result<Option<Uuid>> {
    let mut statement = connection.prepare_cached("SELECT value FROM book WHERE key = 'origin'")?;
    let mut rows = statement.query([])?;
    let Some(row) = rows.next()? else { return Ok(None) };
    Ok(Uuid::parse_str(&row.get::<_, String>(0)?).ok())
}

impl Book {
    /// Nothing is read or written through a file that has another one under its name.
    pub(super) fn same_file(&self) -> Result<(), StoreError> {
        let moved = !self.in_memory && self.file.is_some() && FileId::of(&self.path) != self.file;
        if moved { Err(StoreError::Replaced(self.path.clone())) } else { Ok(()) }
    }

    /// Nor through what was read from a book that is another one now. Asked while nobody else can write.
    pub(super) fn same_book(&self, connection: &Connection) -> Result<(), StoreError> {
        let now = identity(connection).map_err(|error| StoreError::from_sql(&self.path, error))?;
        if now == Some(self.origin) { Ok(()) } else { Err(StoreError::Replaced(self.path.clone())) }
    }

    /// Open the book anew if another one is in its place; whether it was.
    ///
    /// # Errors
    /// There is another one, and it cannot be opened as this was.
    pub fn look_whether_replaced(&mut self) -> Result<bool, StoreError> {
        if self.same_file().is_ok() {
            // A book that is just being written to says nothing, and is asked again.
            match identity(&self.connection) {
                Ok(now) if now != Some(self.origin) => {}
                _ => return Ok(false),
            }
        }
        let path = self.path.clone();
        *self = if self.writable { Self::open_writing(&path, None)? } else { Self::open_reading(&path)? };
        tracing::info!(path = %path.display(), "another book is in its place; opened that");
        Ok(true)
    }
}
