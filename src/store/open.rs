//! Opening a book: look before touching, refuse what is foreign or newer, read without writing.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, OptionalExtension};
use rusqlite_migration::{M, Migrations};
use uuid::Uuid;

use super::StoreError;

/// "PFMK": marks an SQLite file as a proofmark book.
pub const APPLICATION_ID: u32 = 0x5046_4D4B;
/// The schema this program writes.
pub const SCHEMA_VERSION: u32 = 2;

const STEPS: &[M<'static>] = &[
    M::up(include_str!("../../migrations/0001_book.sql")),
    M::up(include_str!("../../migrations/0002_instruments.sql")),
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

/// An open book.
pub struct Book {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    pub(super) origin: Uuid,
    fixed_day: Option<NaiveDate>,
    writable: bool,
}

/// What the first hundred bytes of a file say, before anything opens it.
enum Head {
    Missing,
    Empty,
    Book { schema: u32 },
}

fn look(path: &Path) -> Result<Head, StoreError> {
    let io = |source| StoreError::Io { path: path.to_path_buf(), source };
    let foreign = |why: &str| Err(StoreError::Foreign { path: path.to_path_buf(), why: why.to_owned() });
    let mut file = match std::fs::File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Head::Missing),
        Err(error) => return Err(io(error)),
    };
    if file.metadata().map_err(io)?.is_dir() {
        return foreign("a folder");
    }
    let mut head = Vec::with_capacity(100);
    file.by_ref().take(100).read_to_end(&mut head).map_err(io)?;
    if head.is_empty() {
        return Ok(Head::Empty);
    }
    // SQLite file format, section 1.3: magic at 0, user version at 60, application id at 68, big-endian.
    if !head.starts_with(b"SQLite format 3\0") || head.len() < 100 {
        return foreign("not an SQLite file");
    }
    let word = |at: usize| u32::from_be_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    if word(68) != APPLICATION_ID {
        return foreign("an SQLite file of another program");
    }
    Ok(Head::Book { schema: word(60) })
}

impl Book {
    /// Open for reading only. Not one byte of the file or its folder changes.
    ///
    /// # Errors
    /// The book is missing, foreign, newer, older or damaged.
    pub fn open_reading(path: &Path) -> Result<Self, StoreError> {
        match look(path)? {
            Head::Missing | Head::Empty => return Err(StoreError::Missing(path.to_path_buf())),
            Head::Book { schema } => known(path, schema)?,
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection =
            Connection::open_with_flags(path, flags).map_err(|error| StoreError::from_sql(path, error))?;
        Self::set_up(connection, path, false)
    }

    /// Open for writing; begins a new book where there is none and `creation` is given.
    ///
    /// # Errors
    /// The book is missing (and not to be begun), foreign, newer, damaged, locked or read-only.
    pub fn open_writing(path: &Path, creation: Option<Creation>) -> Result<Self, StoreError> {
        let head = look(path)?;
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
        let mut connection = Connection::open_with_flags(path, flags).map_err(sql)?;
        prepare(&connection).map_err(sql)?;
        if connection.is_readonly("main").map_err(sql)? {
            return Err(StoreError::ReadOnly(path.to_path_buf()));
        }
        match head {
            Head::Book { schema } if schema < SCHEMA_VERSION => {
                copy_before_migration(&connection, path, schema)?;
                migrate(&mut connection, path)?;
                super::append::keep_every_standing(&mut connection, path)?;
            }
            Head::Book { .. } => {}
            Head::Missing | Head::Empty => {
                if let Some(creation) = creation {
                    migrate(&mut connection, path)?;
                    begin(&connection, creation).map_err(sql)?;
                }
            }
        }
        Self::set_up(connection, path, true)
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
        begin(&connection, creation).map_err(sql)?;
        Self::set_up(connection, path, true)
    }

    fn set_up(connection: Connection, path: &Path, writable: bool) -> Result<Self, StoreError> {
        let sql = |error| StoreError::from_sql(path, error);
        if !writable {
            prepare(&connection).map_err(sql)?;
        }
        let read = |key: &str| -> Result<Option<String>, StoreError> {
            connection
                .query_row("SELECT value FROM book WHERE key = ?1", [key], |row| row.get(0))
                .optional()
                .map_err(sql)
        };
        let damaged = |why: &str| StoreError::Damaged { path: path.to_path_buf(), why: why.to_owned() };
        tracing::info!(path = %path.display(), writable, "opened the book");
        let origin = read("origin")?.ok_or_else(|| damaged("it has no identity"))?;
        let origin = Uuid::parse_str(&origin).map_err(|_| damaged("its identity is not readable"))?;
        let fixed_day = read("fixed_day")?
            .map(|text| text.parse::<NaiveDate>().map_err(|_| damaged("its fixed day is not a date")))
            .transpose()?;
        Ok(Self { connection, path: path.to_path_buf(), origin, fixed_day, writable })
    }

    /// The same book on another connection, which may be written.
    pub(super) fn beside(&self, connection: Connection, path: PathBuf) -> Self {
        Self { connection, path, origin: self.origin, fixed_day: self.fixed_day, writable: true }
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
        self.connection
            .execute("INSERT OR REPLACE INTO book (key, value) VALUES (?1, ?2)", [key, value])
            .map(|_| ())
            .map_err(|error| StoreError::from_sql(&self.path, error))
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

fn known(path: &Path, schema: u32) -> Result<(), StoreError> {
    let path = path.to_path_buf();
    match schema.cmp(&SCHEMA_VERSION) {
        std::cmp::Ordering::Equal => Ok(()),
        std::cmp::Ordering::Greater => Err(StoreError::Newer { path, found: schema, known: SCHEMA_VERSION }),
        std::cmp::Ordering::Less => Err(StoreError::Older { path, found: schema, known: SCHEMA_VERSION }),
    }
}

/// Settings of every connection. EXTRA is FULL and also syncs the folder after the journal is unlinked, so that
/// an acknowledged entry survives a power cut straight after.
fn prepare(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(Duration::from_secs(5))?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true)?;
    connection.pragma_update(None, "synchronous", "EXTRA")?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(())
}

fn begin(connection: &Connection, creation: Creation) -> rusqlite::Result<()> {
    let mut set = connection.prepare("INSERT OR IGNORE INTO book (key, value) VALUES (?1, ?2)")?;
    set.execute(["origin", &creation.origin.to_string()])?;
    set.execute(["begun_at", &crate::book::seal::moment(creation.at)])?;
    if let Some(day) = creation.fixed_day {
        set.execute(["fixed_day", &day.to_string()])?;
    }
    Ok(())
}

fn migrate(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    tracing::info!(path = %path.display(), to = SCHEMA_VERSION, "migrating");
    Migrations::from_slice(STEPS).to_latest(connection).map_err(|error| match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => StoreError::from_sql(path, err),
        other => StoreError::Damaged { path: path.to_path_buf(), why: other.to_string() },
    })
}

/// Keep a verified copy beside the book before its schema changes.
fn copy_before_migration(connection: &Connection, path: &Path, schema: u32) -> Result<(), StoreError> {
    let mut copy = path.as_os_str().to_owned();
    copy.push(format!(".schema-{schema}.copy"));
    let copy = PathBuf::from(copy);
    if copy.exists() {
        return Ok(());
    }
    connection
        .execute("VACUUM INTO ?1", [copy.to_string_lossy()])
        .map_err(|error| StoreError::from_sql(&copy, error))?;
    let check = Connection::open_with_flags(&copy, OpenFlags::SQLITE_OPEN_READ_ONLY)
        .and_then(|connection| {
            connection.query_row("PRAGMA integrity_check", [], |row| row.get::<_, String>(0))
        })
        .map_err(|error| StoreError::from_sql(&copy, error))?;
    if check == "ok" { Ok(()) } else { Err(StoreError::Damaged { path: path.to_path_buf(), why: check }) }
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
