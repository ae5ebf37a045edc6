//! Opening a book: look before touching, refuse what is foreign or newer, read without writing.

use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, OptionalExtension, TransactionBehavior};
use rusqlite_migration::{M, Migrations};
use uuid::Uuid;

use super::StoreError;
use super::about;
use super::head::{Head, known, look_recovered, own_triggers, plain};
use super::memory::Memory;
use super::replaced::FileId;

/// "PFMK": marks an SQLite file as a proofmark book.
pub const APPLICATION_ID: u32 = 0x5046_4D4B;
/// The schema this program writes.
pub const SCHEMA_VERSION: u32 = 3;

/// Which way of working out standings the kept ones are of. Raised when a rule or the walk through a history changes
/// what it gives: the next writer then works every kept standing out again.
const STANDINGS: &str = "4";

const STEPS: &[M<'static>] = &[
    M::up(include_str!("../../migrations/0001_book.sql")),
    M::up(include_str!("../../migrations/0002_instruments_and_indexes.sql")),
    M::up(include_str!("../../migrations/0003_grain_temperature.sql")),
];

/// What a new book is told about itself.
#[derive(Clone, Copy, Debug)]
pub struct Creation {
    /// Its identity among books.
    pub origin: Uuid,
    /// When it was begun.
    pub at: DateTime<Utc>,
    /// For a demonstration: the day it always is in this book.
    pub fixed_day: Option<NaiveDate>,
}

/// Marks an identity that carries the day of a demonstration.
const DAY_MARK: [u8; 4] = *b"DAY=";

impl Creation {
    /// The identity the book gets. A demonstration's carries its day: it is sealed in every entry, so nobody moves
    /// the day of a book without breaking its seals.
    fn identity(&self) -> Uuid {
        let Some(day) = self.fixed_day else { return self.origin };
        let days = (day - NaiveDate::default()).num_days().clamp(0, 0xff_ffff) as u32;
        let mut bytes = *self.origin.as_bytes();
        bytes[9..13].copy_from_slice(&DAY_MARK);
        bytes[13..].copy_from_slice(&days.to_be_bytes()[1..]);
        Uuid::from_bytes(bytes)
    }
}

/// The day an identity carries, if it is a demonstration's.
fn day_of(origin: Uuid) -> Option<NaiveDate> {
    let bytes = origin.as_bytes();
    if bytes[9..13] != DAY_MARK {
        return None;
    }
    let days = u32::from_be_bytes([0, bytes[13], bytes[14], bytes[15]]);
    NaiveDate::default().checked_add_signed(chrono::TimeDelta::days(i64::from(days)))
}

/// An open book.
pub struct Book {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    pub(super) origin: Uuid,
    fixed_day: Option<NaiveDate>,
    pub(super) writable: bool,
    /// Which file was opened.
    pub(super) file: Option<FileId>,
    /// Whether it is in no file.
    pub(super) in_memory: bool,
    /// What was worked out from it and holds until somebody writes.
    pub(super) memory: Memory,
}

/// A connection that only reads, set up like every other.
pub(super) fn reader(path: &Path) -> Result<Connection, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(sql)?;
    prepare(&connection).map_err(sql)?;
    Ok(connection)
}

/// The tables of a new book, in no file.
pub(super) fn empty_book() -> rusqlite::Result<Connection> {
    let mut connection = Connection::open_in_memory()?;
    Migrations::from_slice(STEPS).to_latest(&mut connection).map_err(|error| match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => err,
        other => rusqlite::Error::ToSqlConversionFailure(Box::new(other)),
    })?;
    Ok(connection)
}

impl Book {
    /// Open for reading only. Not one byte of the file or its folder changes, unless a writer was cut off: then its
    /// half-written transaction is taken back first.
    ///
    /// # Errors
    /// The book is missing, foreign, newer, older or damaged.
    pub fn open_reading(path: &Path) -> Result<Self, StoreError> {
        match look_recovered(path)? {
            Head::Missing | Head::Empty => return Err(StoreError::Missing(path.to_path_buf())),
            Head::Book { schema } => known(path, schema)?,
        }
        let connection = reader(path)?;
        plain(&connection, path)?;
        Self::set_up(connection, path, false, None)
    }

    /// Open for writing; begins a new book where there is none and `creation` is given.
    ///
    /// # Errors
    /// The book is missing (and not to be begun), foreign, newer, damaged, locked or read-only.
    pub fn open_writing(path: &Path, creation: Option<Creation>) -> Result<Self, StoreError> {
        Self::open_paged(path, creation, None)
    }

    /// The same, with pages of another size than SQLite's own where the book is new.
    pub(super) fn open_paged(
        path: &Path,
        creation: Option<Creation>,
        page_bytes: Option<u32>,
    ) -> Result<Self, StoreError> {
        let head = look_recovered(path)?;
        let flags = match (&head, creation) {
            (Head::Missing, None) | (Head::Empty, None) => {
                return Err(StoreError::Missing(path.to_path_buf()));
            }
            (Head::Missing, Some(_)) => {
                if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
                    std::fs::create_dir_all(folder)
                        .map_err(|source| StoreError::Io { path: folder.to_path_buf(), source })?;
                }
                OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE
            }
            (Head::Empty, Some(_)) => OpenFlags::SQLITE_OPEN_READ_WRITE,
            (Head::Book { schema }, _) => {
                if *schema > SCHEMA_VERSION {
                    known(path, *schema)?;
                }
                OpenFlags::SQLITE_OPEN_READ_WRITE
            }
        } | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let sql = |error| StoreError::from_sql(path, error);
        let mut connection = Connection::open_with_flags(path, flags).map_err(|error| {
            if std::fs::metadata(path).is_ok_and(|file| file.permissions().readonly()) {
                return StoreError::ReadOnly(path.to_path_buf());
            }
            StoreError::from_sql(path, error)
        })?;
        if let Some(bytes) = page_bytes {
            connection.pragma_update(None, "page_size", bytes).map_err(sql)?;
        }
        prepare(&connection).map_err(sql)?;
        if connection.is_readonly("main").map_err(sql)? {
            return Err(StoreError::ReadOnly(path.to_path_buf()));
        }
        if matches!(head, Head::Book { .. }) {
            plain(&connection, path)?;
            own_triggers(&connection, path)?;
        }
        match head {
            Head::Book { schema } if schema < SCHEMA_VERSION => {
                super::backup::copy_before_migration(&connection, path, schema, creation.map(|it| it.at))?;
                migrate(&mut connection, path)?;
            }
            Head::Book { .. } => {}
            Head::Missing | Head::Empty => migrate(&mut connection, path)?,
        }
        let mut book = Self::set_up(connection, path, true, creation)?;
        if book.setting("standings")?.as_deref() != Some(STANDINGS) {
            book.work_out_standings()?;
        }
        // A book that was brought here from an older schema has no sum yet.
        if book.setting(about::SUM)?.is_none() {
            about::change(&book.connection, |_| Ok(())).map_err(|error| StoreError::from_sql(path, error))?;
        }
        Ok(book)
    }

    /// Work out every kept standing again, as this program does.
    fn work_out_standings(&mut self) -> Result<(), StoreError> {
        let path = self.path.clone();
        let sql = |error| StoreError::from_sql(&path, error);
        let transaction =
            self.connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        let casings: Vec<String> = transaction
            .prepare("SELECT DISTINCT subject FROM entry WHERE kind = 'casing'")
            .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect())
            .map_err(sql)?;
        let rules = super::read::rules_on(&transaction, NaiveDate::MAX, &path)?;
        for casing in casings {
            super::standings::keep_standing_by(&transaction, &casing, &rules, &path)?;
        }
        about::keep(&transaction, "standings", STANDINGS).map_err(sql)?;
        transaction.commit().map_err(sql)
    }

    /// A new book that is in no file and is gone with this value: to try an entry out.
    ///
    /// # Errors
    /// SQLite cannot begin one.
    pub fn in_memory(creation: Creation) -> Result<Self, StoreError> {
        let path = Path::new(":memory:");
        let sql = |error| StoreError::from_sql(path, error);
        let mut connection = Connection::open_in_memory().map_err(sql)?;
        prepare(&connection).map_err(sql)?;
        migrate(&mut connection, path)?;
        Ok(Self { in_memory: true, file: None, ..Self::set_up(connection, path, true, Some(creation))? })
    }

    fn set_up(
        connection: Connection,
        path: &Path,
        writable: bool,
        creation: Option<Creation>,
    ) -> Result<Self, StoreError> {
        let sql = |error| StoreError::from_sql(path, error);
        let read = |key: &str| -> Result<Option<String>, StoreError> {
            connection
                .query_row("SELECT value FROM book WHERE key = ?1", [key], |row| row.get(0))
                .optional()
                .map_err(sql)
        };
        let damaged = |why: &str| StoreError::Damaged { path: path.to_path_buf(), why: why.to_owned() };
        tracing::info!(path = %path.display(), writable, "opened the book");
        let origin = match (read("origin")?, creation) {
            (Some(origin), _) => origin,
            // New, or begun by a writer that was cut off before it gave the book its identity. Where several begin
            // it at once, the first identity stays.
            (None, Some(creation)) if writable => {
                begin(&connection, creation).map_err(sql)?;
                read("origin")?.ok_or_else(|| damaged("it has no identity"))?
            }
            (None, _) => {
                return Err(damaged(
                    "it was begun and has no identity yet; any writing command gives it one",
                ));
            }
        };
        let origin = Uuid::parse_str(&origin).map_err(|_| damaged("its identity is not readable"))?;
        // The first entry says it; a book without one, its own identity.
        let first: Option<String> = connection
            .query_row("SELECT origin FROM entry ORDER BY number LIMIT 1", [], |row| {
                // One that is no text is for verify to name.
                Ok(row.get_ref(0)?.as_str().ok().map(str::to_owned))
            })
            .optional()
            .map_err(sql)?
            .flatten();
        let fixed_day = day_of(first.and_then(|text| Uuid::parse_str(&text).ok()).unwrap_or(origin));
        Ok(Self {
            connection,
            path: path.to_path_buf(),
            origin,
            fixed_day,
            writable,
            file: FileId::of(path),
            in_memory: false,
            memory: Memory::default(),
        })
    }

    /// The same book on another connection, which may be written.
    pub(super) fn beside(&self, connection: Connection, path: PathBuf) -> Self {
        Self {
            connection,
            path,
            origin: self.origin,
            fixed_day: self.fixed_day,
            writable: true,
            file: None,
            in_memory: true,
            memory: Memory::default(),
        }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Its identity among books.
    pub fn origin(&self) -> Uuid {
        self.origin
    }

    /// The day it always is in this book, for a demonstration.
    pub fn fixed_day(&self) -> Option<NaiveDate> {
        self.fixed_day
    }

    /// Whether it may be written.
    pub fn writable(&self) -> bool {
        self.writable
    }

    /// A number that changes when another connection has written.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn data_version(&self) -> Result<i64, StoreError> {
        self.connection
            .pragma_query_value(None, "data_version", |row| row.get(0))
            .map_err(|error| StoreError::from_sql(&self.path, error))
    }

    /// A value the book keeps about itself.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.connection
            .query_row("SELECT value FROM book WHERE key = ?1", [key], |row| row.get(0))
            .optional()
            .map_err(|error| StoreError::from_sql(&self.path, error))
    }

    /// Keep a value about the book itself (never about a casing: that is an entry).
    ///
    /// # Errors
    /// The book cannot be written.
    pub fn set_setting(&self, key: &str, value: &str) -> Result<(), StoreError> {
        about::keep(&self.connection, key, value).map_err(|error| StoreError::from_sql(&self.path, error))
    }

    /// Give the book another identity, so that what it writes from now on is a chain of its own. For a copy that
    /// lives on beside its original.
    ///
    /// # Errors
    /// The book cannot be written.
    pub(super) fn rename_origin(&mut self, origin: Uuid) -> Result<(), StoreError> {
        self.set_setting("origin", &origin.to_string())?;
        self.origin = origin;
        Ok(())
    }

    /// Write a compact copy to a new file.
    ///
    /// # Errors
    /// The target exists or cannot be written.
    pub fn copy_to(&self, target: &Path) -> Result<(), StoreError> {
        self.connection
            .execute("VACUUM INTO ?1", [target.to_string_lossy()])
            .map(|_| ())
            .map_err(|error| StoreError::from_sql(target, error))
    }
}

/// Settings of every connection. EXTRA is FULL and also syncs the folder after the journal is unlinked, so that
/// an acknowledged entry survives a power cut straight after.
pub(super) fn prepare(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(Duration::from_secs(5))?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true)?;
    connection.pragma_update(None, "synchronous", "EXTRA")?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(())
}

fn begin(connection: &Connection, creation: Creation) -> rusqlite::Result<()> {
    about::change(connection, |connection| {
        let mut set = connection.prepare("INSERT OR IGNORE INTO book (key, value) VALUES (?1, ?2)")?;
        set.execute(["origin", &creation.identity().to_string()])?;
        set.execute(["standings", STANDINGS])?;
        set.execute(["begun_at", &crate::book::seal::moment(creation.at)])?;
        Ok(())
    })
}

fn migrate(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    tracing::info!(path = %path.display(), to = SCHEMA_VERSION, "migrating");
    let error = match Migrations::from_slice(STEPS).to_latest(connection) {
        Ok(()) => return Ok(()),
        Err(error) => error,
    };
    // Another program may have taken the same steps a moment earlier.
    let version: rusqlite::Result<u32> =
        connection.pragma_query_value(None, "user_version", |row| row.get(0));
    if version.is_ok_and(|version| version == SCHEMA_VERSION) {
        return Ok(());
    }
    Err(match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => StoreError::from_sql(path, err),
        other => StoreError::Damaged { path: path.to_path_buf(), why: other.to_string() },
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    #[test]
    fn the_steps_are_valid_and_end_at_the_schema_version() {
        let steps = rusqlite_migration::Migrations::from_slice(super::STEPS);
        steps.validate().unwrap();
        assert_eq!(super::STEPS.len() as u32, super::SCHEMA_VERSION);
    }
}
