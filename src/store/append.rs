//! Writing: the entry, its rows, its seal and the standing it changes, all in one transaction or not at all.

use std::collections::BTreeSet;
use std::io::Write;

use chrono::{DateTime, NaiveDate, Utc};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use rusqlite::{OptionalExtension, Transaction, TransactionBehavior, params, params_from_iter};
use uuid::Uuid;

use super::project::{Cell, Row, project};
use super::read::{history, rules_on};
use super::{Book, StoreError};
use crate::book::{Details, Entry, EntryId, NewEntry, SubjectOf, seal};
use crate::standing::{self, History};

/// A raw file that goes into the book with its entry.
#[derive(Clone, Debug)]
pub struct RawFile {
    /// Its SHA-256.
    pub sha256: String,
    /// Its bytes as read.
    pub bytes: Vec<u8>,
}

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
        let path = self.path.clone();
        if !self.writable() {
            return Err(StoreError::ReadOnly(path));
        }
        let sql = |error| StoreError::from_sql(&path, error);
        let origin = self.origin;
        let transaction =
            self.connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        let mut written = Vec::new();
        for file in files {
            keep_file(&transaction, file).map_err(sql)?;
        }
        for (entry, id) in new {
            let entry = insert(&transaction, origin, at, id, entry).map_err(|error| match error {
                InsertError::Sql(error) => StoreError::from_sql(&path, error),
                InsertError::Json(error) => {
                    StoreError::Damaged { path: path.clone(), why: error.to_string() }
                }
            })?;
            written.push(entry);
        }
        let mut changed = BTreeSet::new();
        for entry in &written {
            changed.extend(casings_changed_by(&transaction, entry).map_err(sql)?);
        }
        for casing in &changed {
            keep_standing(&transaction, casing, &path)?;
        }
        transaction.commit().map_err(sql)?;
        for entry in &written {
            tracing::info!(number = entry.number, kind = %entry.kind(), subject = %entry.entry.subject.name, "wrote an entry");
        }
        Ok(Written { entries: written })
    }
}

enum InsertError {
    Sql(rusqlite::Error),
    Json(serde_json::Error),
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

fn insert(
    transaction: &Transaction<'_>,
    origin: Uuid,
    at: DateTime<Utc>,
    id: EntryId,
    entry: NewEntry,
) -> Result<Entry, InsertError> {
    let last: Option<(i64, String)> = transaction
        .prepare_cached("SELECT sequence, seal FROM entry WHERE origin = ?1 ORDER BY sequence DESC LIMIT 1")?
        .query_row([origin.to_string()], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let (sequence, previous) =
        last.map_or((1, seal::FIRST.to_owned()), |(sequence, seal)| (sequence + 1, seal));
    // Milliseconds are what is sealed and stored; finer time would not survive the round trip.
    let recorded_at = DateTime::from_timestamp_millis(at.timestamp_millis()).unwrap_or(at);
    let mut entry = Entry { number: 0, id, origin, sequence, recorded_at, entry, seal: String::new() };
    let value = entry.entry.details.to_json()?;
    let body = value.to_string();
    entry.seal = seal::seal(&previous, &seal::sealed_text(&entry, &body));
    let strikes = match &entry.entry.details {
        Details::Strike(strike) => Some(strike.strikes.to_string()),
        _ => None,
    };
    transaction
        .prepare_cached(
            "INSERT INTO entry (id, origin, sequence, kind, subject_of, subject, happened_on, date_approximate,
                                recorded_at, recorded_by, second, strikes, body, seal)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
        )?
        .execute(params![
            entry.id.to_string(),
            origin.to_string(),
            sequence,
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
    entry.number = transaction.last_insert_rowid();
    for row in project(entry.kind(), &value) {
        insert_row(transaction, entry.number, &row)?;
    }
    Ok(entry)
}

fn insert_row(transaction: &Transaction<'_>, number: i64, row: &Row) -> rusqlite::Result<()> {
    use std::fmt::Write as _;
    let mut columns = String::from("entry");
    let mut places = String::from("?1");
    for (at, (column, _)) in row.cells.iter().enumerate() {
        let _ = write!(columns, ", \"{column}\"");
        let _ = write!(places, ", ?{}", at + 2);
    }
    let statement = format!("INSERT INTO {} ({columns}) VALUES ({places})", row.table);
    let number = Cell::Whole(number);
    let values = std::iter::once(&number).chain(row.cells.iter().map(|(_, cell)| cell));
    transaction.prepare_cached(&statement)?.execute(params_from_iter(values)).map(|_| ())
}

fn keep_file(transaction: &Transaction<'_>, file: &RawFile) -> rusqlite::Result<()> {
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
fn casings_changed_by(transaction: &Transaction<'_>, entry: &Entry) -> rusqlite::Result<BTreeSet<String>> {
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
        SubjectOf::Load | SubjectOf::Batch | SubjectOf::Gauge | SubjectOf::Person | SubjectOf::Book => {}
    }
    // A struck firing or proof also gives its parts, wherever they are now, their life back.
    if let Details::Strike(strike) = &entry.entry.details {
        let of_parts = "SELECT DISTINCT f.casing FROM fit_entry f JOIN entry_part p ON p.part = f.part
                        JOIN entry e ON e.number = p.entry WHERE e.id = ?1";
        casings.extend(list(transaction, of_parts, &strike.strikes.to_string())?);
    }
    Ok(casings)
}

fn list(transaction: &Transaction<'_>, query: &str, with: &str) -> rusqlite::Result<Vec<String>> {
    transaction.prepare_cached(query)?.query_map([with], |row| row.get(0))?.collect()
}

/// Work out every kept standing again: after a migration the program may judge by more than it did.
pub(super) fn keep_every_standing(
    connection: &mut rusqlite::Connection,
    path: &std::path::Path,
) -> Result<(), StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
    let casings = list(&transaction, "SELECT casing FROM standing WHERE ?1 = ''", "").map_err(sql)?;
    for casing in &casings {
        keep_standing(&transaction, casing, path)?;
    }
    transaction.commit().map_err(sql)
}

/// Work out a casing's standing from its entries and keep it.
fn keep_standing(
    transaction: &Transaction<'_>,
    casing: &str,
    path: &std::path::Path,
) -> Result<(), StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let entries = history(transaction, casing, path)?;
    let rules = rules_on(transaction, NaiveDate::MAX, path)?;
    let assessed =
        standing::assess(History { serial: casing, entries: &entries, rules: &rules }, NaiveDate::MAX);
    if assessed.design.is_none() {
        return transaction
            .execute("DELETE FROM standing WHERE casing = ?1", [casing])
            .map(|_| ())
            .map_err(sql);
    }
    let now: Vec<_> = assessed.reasons.iter().filter(|it| it.from.is_none()).cloned().collect();
    let worst = standing::reason::standing_on(&now, NaiveDate::MIN);
    let later: Vec<(NaiveDate, &str)> =
        assessed.reasons.iter().filter_map(|it| it.from.map(|from| (from, it.standing.word()))).collect();
    let last_fired: Option<String> = entries
        .iter()
        .filter(|it| matches!(&it.entry.details, Details::Firing(firing) if firing.casing == casing))
        .map(|it| it.entry.happened_on)
        .max()
        .map(|day| day.to_string());
    let through = entries.iter().map(|it| it.number).max().unwrap_or_default();
    let json = |value: serde_json::Result<String>| {
        value.map_err(|error| StoreError::Damaged { path: path.to_path_buf(), why: error.to_string() })
    };
    transaction
        .prepare_cached(
            "INSERT OR REPLACE INTO standing
                (casing, name, worst, later, firings, weakest, factor, due_on, firings_left, last_fired, assessment, through)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )
        .map_err(sql)?
        .execute(params![
            casing,
            assessed.name,
            worst.word(),
            json(serde_json::to_string(&later))?,
            assessed.firings,
            assessed.weakest.as_ref().map(|(mode, _)| mode),
            assessed.factor(),
            assessed.next_due_on().map(|day| day.to_string()),
            assessed.firings_left(),
            last_fired,
            json(serde_json::to_string(&assessed))?,
            through,
        ])
        .map(|_| ())
        .map_err(sql)
}
