//! What is this file? Looked at before anything opens it as a book: foreign, newer, half written, or with what no
//! book has in it.

use std::io::Read;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, OptionalExtension};

use super::StoreError;
use super::open::{APPLICATION_ID, SCHEMA_VERSION, empty_book, prepare};
use super::regular::other_than_a_file;

/// What the first hundred bytes of a file say, before anything opens it.
pub(super) enum Head {
    Missing,
    Empty,
    Book { schema: u32 },
}

fn look(path: &Path) -> Result<Head, StoreError> {
    let io = |source| StoreError::Io { path: path.to_path_buf(), source };
    let foreign = |why: &str| Err(StoreError::Foreign { path: path.to_path_buf(), why: why.to_owned() });
    // Before anything opens them: a pipe, also in place of the journal that SQLite looks for, would wait for ever.
    for beside in [path.to_path_buf(), journal_of(path), with(path, "-wal")] {
        match std::fs::metadata(&beside).ok().as_ref().and_then(other_than_a_file) {
            None => {}
            Some(what) if beside == path => return foreign(what),
            Some(what) => return foreign(&format!("{} is {what}", beside.display())),
        }
    }
    let mut file = match std::fs::File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Head::Missing),
        Err(error) if error.kind() == std::io::ErrorKind::PermissionDenied => {
            return Err(StoreError::Closed(path.to_path_buf()));
        }
        Err(error) => return Err(io(error)),
    };
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
    if word(60) == 0 {
        return foreign("marked as one, with the schema number 0, which no book has");
    }
    Ok(Head::Book { schema: word(60) })
}

/// The journal SQLite keeps beside a book while a transaction is being written.
pub(super) fn journal_of(path: &Path) -> PathBuf {
    with(path, "-journal")
}

fn with(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Whether a writer was cut off in the middle: its journal is still there and takes back what it had half written.
pub(super) fn cut_off(path: &Path) -> bool {
    std::fs::metadata(journal_of(path)).is_ok_and(|journal| journal.len() > 0)
}

/// What a file is once a writer that was cut off has been taken back. The first hundred bytes alone may be of a
/// transaction that never was.
pub(super) fn look_recovered(path: &Path) -> Result<Head, StoreError> {
    let head = look(path)?;
    if !matches!(head, Head::Book { .. }) || !cut_off(path) {
        return Ok(head);
    }
    let sql = |error| StoreError::from_sql(path, error);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(sql)?;
    prepare(&connection).map_err(sql)?;
    // Reading anything takes the half-written transaction back, where nobody is still writing it.
    let _: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0)).map_err(sql)?;
    drop(connection);
    look(path)
}

/// Whether a file begins as a book does, whatever a writer that was cut off left beside it. Changes nothing.
pub(super) fn looks_like_a_book(path: &Path) -> Result<(), StoreError> {
    match look(path)? {
        Head::Missing | Head::Empty => Err(StoreError::Missing(path.to_path_buf())),
        // The head may be of a transaction that never was; the copy is looked at again.
        Head::Book { schema } if schema > SCHEMA_VERSION && !cut_off(path) => known(path, schema),
        Head::Book { .. } => Ok(()),
    }
}

/// Whether a file is a book of this schema or an older one.
pub(super) fn is_a_book(path: &Path) -> Result<(), StoreError> {
    match look_recovered(path)? {
        Head::Missing | Head::Empty => Err(StoreError::Missing(path.to_path_buf())),
        Head::Book { schema } if schema > SCHEMA_VERSION => known(path, schema),
        Head::Book { .. } => Ok(()),
    }
}

pub(super) fn known(path: &Path, schema: u32) -> Result<(), StoreError> {
    let path = path.to_path_buf();
    match schema.cmp(&SCHEMA_VERSION) {
        std::cmp::Ordering::Equal => Ok(()),
        std::cmp::Ordering::Greater => Err(StoreError::Newer { path, found: schema, known: SCHEMA_VERSION }),
        std::cmp::Ordering::Less => Err(StoreError::Older { path, found: schema, known: SCHEMA_VERSION }),
    }
}

/// Refuse a file whose tables are none, before anything is asked of it: a view in the place of a table, or a virtual
/// table, may have no end.
pub(super) fn plain(connection: &Connection, path: &Path) -> Result<(), StoreError> {
    let odd: Option<(String, String)> = connection
        .query_row(
            "SELECT type, name FROM sqlite_schema
             WHERE type = 'view' OR (type = 'table' AND lower(ltrim(ifnull(sql, ''))) LIKE 'create virtual%')
             LIMIT 1",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .optional()
        .map_err(|error| StoreError::from_sql(path, error))?;
    match odd {
        None => Ok(()),
        Some((kind, name)) => Err(StoreError::Foreign {
            path: path.to_path_buf(),
            why: format!(
                "\"{}\" in it is a {}, which no book has",
                crate::book::reading::shorten(&name),
                if kind == "view" { "view" } else { "virtual table" }
            ),
        }),
    }
}

/// Refuse to write where a trigger would do what no book does.
pub(super) fn own_triggers(connection: &Connection, path: &Path) -> Result<(), StoreError> {
    let own =
        empty_book().and_then(|fresh| triggers(&fresh)).map_err(|error| StoreError::from_sql(path, error))?;
    let found = triggers(connection).map_err(|error| StoreError::from_sql(path, error))?;
    match found.into_iter().find(|it| !own.contains(it)) {
        None => Ok(()),
        Some((name, _)) => Err(StoreError::Foreign {
            path: path.to_path_buf(),
            why: format!(
                "the trigger \"{}\" in it is not one this program makes",
                crate::book::reading::shorten(&name)
            ),
        }),
    }
}

fn triggers(connection: &Connection) -> rusqlite::Result<Vec<(String, String)>> {
    connection
        .prepare("SELECT name, ifnull(sql, '') FROM sqlite_schema WHERE type = 'trigger'")?
        .query_map([], |row| {
            let sql: String = row.get(1)?;
            Ok((row.get(0)?, sql.split_whitespace().collect::<Vec<_>>().join(" ")))
        })?
        .collect()
}
