//! Writing: the entry, its rows, its seal and the standing it changes, all in one transaction or not at all.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::Path;

use chrono::{DateTime, Utc};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use rusqlite::{Connection, Transaction, TransactionBehavior, params, params_from_iter};
use uuid::Uuid;

use super::memory::Mark;
use super::project::{Cell, Row, project};
use super::standings::keep_standing;
use super::{Book, StoreError};
use crate::book::{Details, Entry, EntryId, NewEntry, SubjectOf, seal};

/// A raw file that goes into the book with its entry.
#[derive(Clone, Debug)]
pub struct RawFile {
    /// Its SHA-256.
    pub sha256: String,
    /// Its bytes as read.
    pub bytes: Vec<u8>,
}

/// Standings remembered at most after a writing.
const FEW: usize = 8;

/// What was written.
#[derive(Clone, Debug)]
pub struct Written {
    /// The entries with their place and seal.
    pub entries: Vec<Entry>,
}

impl Book {
    /// Append entries, each with the identity the desk gave it, in one transaction.
    ///
    /// # Errors
    /// The book cannot be written; then none of it was.
    pub fn append(
        &mut self,
        at: DateTime<Utc>,
        new: Vec<(NewEntry, EntryId)>,
        files: &[RawFile],
    ) -> Result<Written, StoreError> {
        self.append_where(at, new, files, None)
    }

    /// Append entries that were worked out on a book whose head seal was this one: looked at inside the transaction,
    /// where nobody else can write any more.
    ///
    /// # Errors
    /// Somebody wrote meanwhile, or the book cannot be written; then nothing was.
    pub fn append_onto(
        &mut self,
        head_seal: Option<&str>,
        at: DateTime<Utc>,
        new: Vec<(NewEntry, EntryId)>,
        files: &[RawFile],
    ) -> Result<Written, StoreError> {
        self.append_where(at, new, files, Some(head_seal))
    }

    fn append_where(
        &mut self,
        at: DateTime<Utc>,
        new: Vec<(NewEntry, EntryId)>,
        files: &[RawFile],
        onto: Option<Option<&str>>,
    ) -> Result<Written, StoreError> {
        let path = self.path.clone();
        if !self.writable() {
            return Err(StoreError::ReadOnly(path));
        }
        self.same_file()?;
        let sql = |error| StoreError::from_sql(&path, error);
        let connection = &self.connection;
        let writing = Writing::begin(connection).map_err(sql)?;
        self.same_book(connection)?;
        let origin = self.origin;
        if let Some(head_seal) = onto
            && super::read::head_seal(connection).map_err(sql)?.as_deref() != head_seal
        {
            return Err(StoreError::Overtaken(path));
        }
        let mut written = Vec::new();
        for file in files {
            keep_file(connection, file).map_err(sql)?;
        }
        let mut end = ChainEnd::of(connection, origin).map_err(sql)?;
        for (entry, id) in new {
            written.push(insert(connection, &mut end, at, id, entry).map_err(|it| it.told(&path))?);
        }
        let mut changed = BTreeSet::new();
        for entry in &written {
            changed.extend(casings_changed_by(connection, entry).map_err(sql)?);
        }
        let mut judged = Vec::new();
        for casing in &changed {
            let casing = keep_standing(connection, casing, &path)?;
            // A changed rule changes every casing: nobody asks about all of them next.
            if judged.len() < FEW {
                judged.push(casing);
            }
        }
        // Looked at while nobody else can write: what is remembered is of this writing and no later one.
        let mark = Mark::of(connection).map_err(sql)?;
        writing.commit().map_err(sql)?;
        self.memory.begin(mark, judged);
        for entry in &written {
            tracing::info!(number = entry.number, kind = %entry.kind(), subject = %entry.entry.subject.name, "wrote an entry");
        }
        Ok(Written { entries: written })
    }
}

/// One writing: a transaction of its own, or a part of the one that [`Book::hold`] began.
enum Writing<'a> {
    Alone(Transaction<'a>),
    Part(Part<'a>),
}

/// A part of a writing; dropped, it is taken back and the rest stays.
struct Part<'a>(Option<&'a Connection>);

impl Drop for Part<'_> {
    fn drop(&mut self) {
        if let Some(connection) = self.0.take() {
            // What cannot be taken back alone goes with the whole.
            let _ = connection.execute_batch("ROLLBACK TO part; RELEASE part");
        }
    }
}

impl<'a> Writing<'a> {
    fn begin(connection: &'a Connection) -> rusqlite::Result<Self> {
        if connection.is_autocommit() {
            Transaction::new_unchecked(connection, TransactionBehavior::Immediate).map(Self::Alone)
        } else {
            connection.execute_batch("SAVEPOINT part")?;
            Ok(Self::Part(Part(Some(connection))))
        }
    }

    fn commit(self) -> rusqlite::Result<()> {
        match self {
            Self::Alone(transaction) => transaction.commit(),
            Self::Part(mut part) => match part.0.take() {
                Some(connection) => connection.execute_batch("RELEASE part"),
                None => Ok(()),
            },
        }
    }
}

impl Book {
    /// Begin a writing of several steps: what is appended from here on is in the book, for everybody, only when
    /// [`Book::settle`] keeps it, and then all of it at once. Nobody else can write meanwhile.
    ///
    /// # Errors
    /// The book cannot be written.
    pub fn hold(&mut self) -> Result<(), StoreError> {
        if !self.writable() {
            return Err(StoreError::ReadOnly(self.path.clone()));
        }
        self.same_file()?;
        self.connection.execute_batch("BEGIN IMMEDIATE").map_err(|error| self.sql(error))
    }

    /// End what [`Book::hold`] began: keep all of it, or none.
    ///
    /// # Errors
    /// It cannot be kept; then none of it was.
    pub fn settle(&mut self, keep: bool) -> Result<(), StoreError> {
        if keep {
            match self.connection.execute_batch("COMMIT") {
                Ok(()) => return Ok(()),
                Err(error) => {
                    let error = self.sql(error);
                    // What could not be kept must not stay open either.
                    let _ = self.connection.execute_batch("ROLLBACK");
                    return Err(error);
                }
            }
        }
        self.connection.execute_batch("ROLLBACK").map_err(|error| self.sql(error))
    }
}

pub(super) enum InsertError {
    Sql(rusqlite::Error),
    Json(serde_json::Error),
}

impl InsertError {
    pub(super) fn told(self, path: &Path) -> StoreError {
        match self {
            Self::Sql(error) => StoreError::from_sql(path, error),
            Self::Json(error) => StoreError::Damaged { path: path.to_path_buf(), why: error.to_string() },
        }
    }
}

impl From<rusqlite::Error> for InsertError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<serde_json::Error> for InsertError {
    fn from(error: serde_json::Error) -> Self {
        Self::Json(error)
    }
}

/// Where a book's own chain ends, and how much it holds of every other.
pub(super) struct ChainEnd {
    origin: Uuid,
    sequence: i64,
    seal: String,
    seen: BTreeMap<Uuid, i64>,
}

impl ChainEnd {
    pub(super) fn of(connection: &Connection, origin: Uuid) -> rusqlite::Result<Self> {
        let mut end = Self { origin, sequence: 0, seal: seal::FIRST.to_owned(), seen: BTreeMap::new() };
        for chain in chains(connection)? {
            if chain.origin == origin {
                (end.sequence, end.seal) = (chain.last, chain.seal);
            } else {
                end.seen.insert(chain.origin, chain.last);
            }
        }
        Ok(end)
    }
}

/// The chain of one origin, as far as a book holds it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Chain {
    pub origin: Uuid,
    pub last: i64,
    pub seal: String,
}

/// Every chain in a book, by origin; a few look-ups each, however long they are.
pub(super) fn chains(connection: &Connection) -> rusqlite::Result<Vec<Chain>> {
    connection
        .prepare_cached(
            "WITH RECURSIVE known(origin) AS (
                 SELECT min(origin) FROM entry
                 UNION ALL SELECT (SELECT min(e.origin) FROM entry e WHERE e.origin > known.origin)
                 FROM known WHERE known.origin IS NOT NULL)
             SELECT e.origin, e.sequence, e.seal FROM known JOIN entry e ON e.origin = known.origin
                AND e.sequence = (SELECT max(l.sequence) FROM entry l WHERE l.origin = known.origin)
             ORDER BY e.origin",
        )?
        .query_map([], |row| {
            let origin: String = row.get(0)?;
            let origin = Uuid::parse_str(&origin).map_err(|error| {
                rusqlite::Error::FromSqlConversionFailure(0, rusqlite::types::Type::Text, Box::new(error))
            })?;
            Ok(Chain { origin, last: row.get(1)?, seal: row.get(2)? })
        })?
        .collect()
}

pub(super) fn insert(
    connection: &Connection,
    end: &mut ChainEnd,
    at: DateTime<Utc>,
    id: EntryId,
    entry: NewEntry,
) -> Result<Entry, InsertError> {
    // Milliseconds are what is sealed and stored; finer time would not survive the round trip.
    let recorded_at = DateTime::from_timestamp_millis(at.timestamp_millis()).unwrap_or(at);
    let mut entry = Entry {
        number: 0,
        id,
        origin: end.origin,
        sequence: end.sequence + 1,
        recorded_at,
        entry,
        seen: end.seen.clone(),
        seal: String::new(),
    };
    let mut value = entry.entry.details.to_json()?;
    seal::say_seen(&mut value, &entry.seen);
    let body = value.to_string();
    entry.seal = seal::seal(&end.seal, &entry, &body);
    (end.sequence, end.seal) = (entry.sequence, entry.seal.clone());
    entry.number = insert_as_sealed(connection, &entry, &body)?;
    Ok(entry)
}

/// Put a sealed entry and its typed rows in as they are; its number here comes back.
pub(super) fn insert_as_sealed(
    connection: &Connection,
    entry: &Entry,
    body: &str,
) -> Result<i64, InsertError> {
    let strikes = match &entry.entry.details {
        Details::Strike(strike) => Some(strike.strikes.to_string()),
        _ => None,
    };
    connection
        .prepare_cached(
            "INSERT INTO entry (id, origin, sequence, kind, subject_of, subject, happened_on, date_approximate,
                                recorded_at, recorded_by, second, strikes, body, seal)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
        )?
        .execute(params![
            entry.id.to_string(),
            entry.origin.to_string(),
            entry.sequence,
            entry.kind().word(),
            entry.entry.subject.of.word(),
            entry.entry.subject.name,
            entry.entry.happened_on.to_string(),
            entry.entry.date_approximate,
            seal::moment(entry.recorded_at),
            entry.entry.recorded_by,
            entry.entry.second,
            strikes,
            body,
            entry.seal,
        ])?;
    let number = connection.last_insert_rowid();
    let projected = project(entry.kind(), body)?;
    for at in 0..projected.len() {
        insert_row(connection, number, projected.table(at), projected.row(at))?;
    }
    Ok(number)
}

fn insert_row(connection: &Connection, number: i64, table: &str, row: Row<'_, '_>) -> rusqlite::Result<()> {
    let mut statement = String::with_capacity(400);
    statement.push_str("INSERT INTO ");
    statement.push_str(table);
    statement.push_str(" (entry");
    for (column, _) in row.cells() {
        statement.push_str(", \"");
        statement.push_str(column);
        statement.push('"');
    }
    statement.push_str(") VALUES (?");
    statement.push_str(&", ?".repeat(row.len()));
    statement.push(')');
    let number = Cell::Whole(number);
    let values = std::iter::once(&number).chain(row.cells().map(|(_, cell)| cell));
    connection.prepare_cached(&statement)?.execute(params_from_iter(values)).map(|_| ())
}

fn keep_file(transaction: &Connection, file: &RawFile) -> rusqlite::Result<()> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(6));
    // Writing into memory fails only where memory does.
    let compressed = encoder
        .write_all(&file.bytes)
        .and_then(|()| encoder.finish())
        .map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))?;
    transaction
        .execute(
            "INSERT OR IGNORE INTO raw_file (sha256, bytes, compressed) VALUES (?1, ?2, ?3)",
            params![file.sha256, file.bytes.len() as i64, compressed],
        )
        .map(|_| ())
}

/// The casings whose standing an entry may change.
pub(super) fn casings_changed_by(
    transaction: &Connection,
    entry: &Entry,
) -> rusqlite::Result<BTreeSet<String>> {
    let mut casings = BTreeSet::new();
    let subject = &entry.entry.subject;
    match subject.of {
        SubjectOf::Casing => {
            casings.insert(subject.name.clone());
        }
        SubjectOf::Part => {
            casings.extend(list(
                transaction,
                "SELECT DISTINCT casing FROM fit_entry WHERE part = ?1",
                &subject.name,
            )?);
        }
        SubjectOf::Rule => {
            casings.extend(list(transaction, "SELECT casing FROM standing WHERE ?1 <> ''", &subject.name)?)
        }
        SubjectOf::Gauge => casings.extend(list(
            transaction,
            "SELECT DISTINCT casing FROM proof_entry WHERE gauge = ?1",
            &subject.name,
        )?),
        SubjectOf::Load | SubjectOf::Batch | SubjectOf::Person | SubjectOf::Book => {}
    }
    // A retirement, or its strike, also binds or frees the parts it was built of, wherever they are now.
    if subject.of == SubjectOf::Casing
        && matches!(&entry.entry.details, Details::Disposition(_) | Details::Strike(_))
    {
        casings.extend(list(
            transaction,
            "SELECT DISTINCT other.casing FROM fit_entry here JOIN fit_entry other ON other.part = here.part
             WHERE here.casing = ?1",
            &subject.name,
        )?);
    }
    // A struck firing or proof also gives its parts, wherever they are now, their life back.
    if let Details::Strike(strike) = &entry.entry.details {
        let of_parts = "SELECT DISTINCT f.casing FROM fit_entry f JOIN entry_part p ON p.part = f.part
                        JOIN entry e ON e.number = p.entry WHERE e.id = ?1";
        casings.extend(list(transaction, of_parts, &strike.strikes.to_string())?);
    }
    Ok(casings)
}

fn list(transaction: &Connection, query: &str, with: &str) -> rusqlite::Result<Vec<String>> {
    transaction.prepare_cached(query)?.query_map([with], |row| row.get(0))?.collect()
}
