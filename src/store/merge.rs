//! Merging: the union of two books' entries. Idempotent, the same from either side and in any order; whole or not
//! at all.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use uuid::Uuid;

use super::append::{Chain, InsertError, casings_changed_by, chains, insert_as_sealed};
use super::backup::{borrow, same_file};
use super::read::{COLUMNS, entries, entry_from, history, rules_on};
use super::standings::keep_standing_by;
use super::{Book, StoreError};
use crate::book::{Details, Entry, SubjectOf};
use crate::standing::{Conflict, conflicts};

/// What merging brought, or would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Merged {
    /// How many entries came.
    pub entries: u64,
    /// How many raw files came.
    pub files: u64,
    /// How many came from each book that wrote some, and by whom.
    pub from: BTreeMap<Uuid, (u64, BTreeSet<String>)>,
    /// Casings whose standing is another now: serial, before, after.
    pub standings: Vec<(String, Option<String>, Option<String>)>,
    /// What the books differ on and nobody has settled, on anything these entries touch.
    pub conflicts: Vec<Conflict>,
    /// The seal of the whole book afterwards.
    pub head_seal: Option<String>,
}

/// An entry in a list, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Its number in its book.
    pub number: i64,
    /// The day it happened.
    pub on: NaiveDate,
    /// Its kind.
    pub kind: String,
    /// What it is about.
    pub subject: String,
    /// Who wrote it.
    pub by: String,
}

/// Two books that went on apart under one identity: a copied file both sides wrote to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fork {
    /// This book.
    pub here: PathBuf,
    /// The other.
    pub there: PathBuf,
    /// The identity both have.
    pub origin: Uuid,
    /// The last entry of it they share; 0 for none.
    pub shared: i64,
    /// How many entries of it only this book has.
    pub only_here: i64,
    /// The entries of it that only the other has, the first hundred.
    pub only_there: Vec<Named>,
    /// How many those are in all.
    pub only_there_in_all: i64,
}

impl std::fmt::Display for Fork {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let clean = crate::book::reading::shorten;
        writeln!(
            out,
            "{} and {} are copies of one book that were both written to: they share {} entries of the book {}, then {} are only here and {} only there. Their seals cannot both go on from one entry, so nothing was taken over",
            self.there.display(),
            self.here.display(),
            self.shared,
            self.origin,
            self.only_here,
            self.only_there_in_all
        )?;
        writeln!(
            out,
            "what to do: keep this book, write into it again what only the other holds (listed below), and put the other file away. On its laptop begin with: proofmark restore BACKUP.db, which gives a copy an identity of its own, so that it merges from then on"
        )?;
        for entry in &self.only_there {
            writeln!(
                out,
                "  entry {} of {}: {} {}, by {}",
                entry.number,
                entry.on,
                clean(&entry.kind),
                clean(&entry.subject),
                clean(&entry.by)
            )?;
        }
        if (self.only_there.len() as i64) < self.only_there_in_all {
            writeln!(out, "  and {} more", self.only_there_in_all - self.only_there.len() as i64)?;
        }
        write!(out, "proofmark --book {} show SERIAL reads them in full", self.there.display())
    }
}

/// The longest body a merged entry may have. The longest this program writes is a trace's reduction.
const LONGEST: usize = 4 << 20;

impl Book {
    /// Take in every entry of another book that this one does not hold. With `preview`, work it all out and take in
    /// nothing.
    ///
    /// # Errors
    /// The other book is not whole, holds what no book writes, or went on apart under one identity with this one; or
    /// this book cannot be written. Then nothing was taken.
    pub fn merge(&mut self, from: &Path, preview: bool) -> Result<Merged, StoreError> {
        let path = self.path.clone();
        if !self.writable() {
            return Err(StoreError::ReadOnly(path));
        }
        if is_itself(from, &path) {
            return Err(StoreError::Itself(from.to_path_buf()));
        }
        // A private copy: what is verified is what is taken, whatever happens to the file meanwhile.
        let borrowed = borrow(from, &path)?;
        let there = &borrowed.book.connection;
        let sql = |error| StoreError::from_sql(&path, error);
        let of_theirs = |error| StoreError::from_sql(from, error);
        self.same_file()?;
        let transaction =
            Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate).map_err(sql)?;
        self.same_book(&transaction)?;
        let here: BTreeMap<Uuid, Chain> =
            chains(&transaction).map_err(sql)?.into_iter().map(|chain| (chain.origin, chain)).collect();
        let mut had = BTreeMap::new();
        for chain in chains(there).map_err(of_theirs)? {
            let ours = here.get(&chain.origin);
            if let Some(ours) = ours {
                same_so_far(&transaction, there, ours, &chain, &path, from)?;
            }
            had.insert(chain.origin.to_string(), ours.map_or(0, |ours| ours.last));
        }
        let mut merged = Merged {
            entries: 0,
            files: 0,
            from: BTreeMap::new(),
            standings: Vec::new(),
            conflicts: Vec::new(),
            head_seal: None,
        };
        let mut changed = BTreeSet::new();
        let mut every_casing = false;
        let query = format!("SELECT {COLUMNS} FROM entry ORDER BY number");
        let mut statement = there.prepare(&query).map_err(of_theirs)?;
        let mut rows = statement.query([]).map_err(of_theirs)?;
        while let Some(row) = rows.next().map_err(of_theirs)? {
            let origin: String = row.get(2).map_err(of_theirs)?;
            let sequence: i64 = row.get(3).map_err(of_theirs)?;
            if had.get(&origin).is_some_and(|last| sequence <= *last) {
                continue;
            }
            let mut entry = entry_from(row, from)?;
            let body: String = row.get(12).map_err(of_theirs)?;
            believable(&entry, &body).map_err(|why| StoreError::Hostile { path: from.to_path_buf(), why })?;
            entry.number = insert_as_sealed(&transaction, &entry, &body).map_err(|error| match error {
                InsertError::Sql(error)
                    if error.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation) =>
                {
                    StoreError::Hostile {
                        path: from.to_path_buf(),
                        why: format!("entry {} does not go with what this book holds: {error}", entry.number),
                    }
                }
                other => other.told(&path),
            })?;
            merged.files += take_file(&transaction, there, &entry).map_err(sql)?;
            merged.entries += 1;
            let from = merged.from.entry(entry.origin).or_default();
            from.0 += 1;
            from.1.insert(entry.entry.recorded_by.clone());
            every_casing |= entry.entry.subject.of == SubjectOf::Rule;
            changed.extend(casings_changed_by(&transaction, &entry).map_err(sql)?);
        }
        drop(rows);
        drop(statement);
        // A part's move may have come after what happened to it, and a rule changes every casing.
        changed.extend(casings_of_parts(&transaction, &had).map_err(sql)?);
        if every_casing {
            changed.extend(every(&transaction).map_err(sql)?);
        }
        let rules = rules_on(&transaction, NaiveDate::MAX, &path)?;
        for casing in &changed {
            let before = standing_word(&transaction, casing).map_err(sql)?;
            keep_standing_by(&transaction, casing, &rules, &path)?;
            let after = standing_word(&transaction, casing).map_err(sql)?;
            if before != after {
                merged.standings.push((casing.clone(), before, after));
            }
            let entries = history(&transaction, casing, &path)?;
            merged.conflicts.extend(conflicts(&entries, Some(casing), &rules, NaiveDate::MAX));
        }
        if merged.entries > 0 {
            merged.conflicts.extend(by_name(&transaction, &path)?);
        }
        merged.head_seal = super::read::head_seal(&transaction).map_err(sql)?;
        if preview || merged.entries == 0 {
            transaction.rollback().map_err(sql)?;
        } else {
            transaction.commit().map_err(sql)?;
            tracing::info!(from = %from.display(), entries = merged.entries, "merged a book");
        }
        Ok(merged)
    }

    /// What books differ on among loads, batches and rules, which belong to no casing.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn conflicts_by_name(&self) -> Result<Vec<Conflict>, StoreError> {
        by_name(&self.connection, &self.path)
    }
}

/// Whether two paths name one book: the same path, a symbolic link to it, or a second name of the file.
pub fn is_itself(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        if let (Ok(one), Ok(other)) = (std::fs::metadata(one), std::fs::metadata(other)) {
            return (one.dev(), one.ino()) == (other.dev(), other.ino());
        }
    }
    same_file(one, other)
}

fn by_name(connection: &Connection, path: &Path) -> Result<Vec<Conflict>, StoreError> {
    let query = format!(
        "SELECT {COLUMNS} FROM entry WHERE kind IN ('load', 'batch', 'rule')
            OR strikes IN (SELECT id FROM entry WHERE kind IN ('load', 'batch', 'rule')) ORDER BY number"
    );
    let named = entries(connection, path, &query, [])?;
    let rules = rules_on(connection, NaiveDate::MAX, path)?;
    Ok(conflicts(&named, None, &rules, NaiveDate::MAX))
}

/// Two chains of one origin must be the same as far as the shorter goes.
fn same_so_far(
    ours: &Connection,
    theirs: &Connection,
    here: &Chain,
    there: &Chain,
    path: &Path,
    from: &Path,
) -> Result<(), StoreError> {
    let seal = |connection: &Connection, sequence: i64, of: &Path| -> Result<Option<String>, StoreError> {
        connection
            .prepare_cached("SELECT seal FROM entry WHERE origin = ?1 AND sequence = ?2")
            .and_then(|mut statement| {
                statement.query_row(params![here.origin.to_string(), sequence], |row| row.get(0)).optional()
            })
            .map_err(|error| StoreError::from_sql(of, error))
    };
    let same = |sequence: i64| -> Result<bool, StoreError> {
        Ok(seal(ours, sequence, path)? == seal(theirs, sequence, from)?)
    };
    // Each seal holds the one before it, so chains that agree in one place agree in every place before it.
    let (mut shared, mut apart) = (0, here.last.min(there.last) + 1);
    if same(apart - 1)? {
        return Ok(());
    }
    while apart - shared > 1 {
        let middle = shared + (apart - shared) / 2;
        if same(middle)? {
            shared = middle;
        } else {
            apart = middle;
        }
    }
    let mut statement = theirs
        .prepare(
            "SELECT number, happened_on, kind, subject, recorded_by FROM entry
             WHERE origin = ?1 AND sequence > ?2 ORDER BY sequence LIMIT 100",
        )
        .map_err(|error| StoreError::from_sql(from, error))?;
    let only_there = statement
        .query_map(params![here.origin.to_string(), shared], |row| {
            let on: String = row.get(1)?;
            Ok(Named {
                number: row.get(0)?,
                on: on.parse().unwrap_or_default(),
                kind: row.get(2)?,
                subject: row.get(3)?,
                by: row.get(4)?,
            })
        })
        .and_then(Iterator::collect)
        .map_err(|error| StoreError::from_sql(from, error))?;
    Err(StoreError::Forked(Box::new(Fork {
        here: path.to_path_buf(),
        there: from.to_path_buf(),
        origin: here.origin,
        shared,
        only_here: here.last - shared,
        only_there,
        only_there_in_all: there.last - shared,
    })))
}

/// What a form of this program would never have let through.
fn believable(entry: &Entry, body: &str) -> Result<(), String> {
    let number = entry.number;
    if body.len() > LONGEST {
        return Err(format!("entry {number} has {} bytes", body.len()));
    }
    let names = [&entry.entry.subject.name, &entry.entry.recorded_by].into_iter().chain(&entry.entry.second);
    for name in names {
        if name.trim().is_empty() || name.chars().count() > 400 || name.chars().any(char::is_control) {
            return Err(format!("entry {number} has a name that is empty, endless or not printable"));
        }
    }
    let subject = &entry.entry.subject;
    let of = |of: SubjectOf, name: &str| subject.of == of && subject.name == name;
    let either = |casing: &Option<String>, part: &Option<String>| match (casing, part) {
        (Some(casing), _) => of(SubjectOf::Casing, casing),
        (None, Some(part)) => of(SubjectOf::Part, part),
        (None, None) => subject.of == SubjectOf::Book,
    };
    let its_own = match &entry.entry.details {
        Details::Casing(record) => of(SubjectOf::Casing, &record.serial),
        Details::Part(record) => of(SubjectOf::Part, &record.serial),
        Details::Fit(record) => of(SubjectOf::Part, &record.part),
        Details::Proof(record) => of(SubjectOf::Casing, &record.casing),
        Details::Load(record) => of(SubjectOf::Load, &record.name),
        Details::Batch(record) => of(SubjectOf::Batch, &record.name),
        Details::Firing(record) => of(SubjectOf::Casing, &record.casing),
        Details::Trace(record) => of(SubjectOf::Casing, &record.casing),
        Details::Strip(record) => of(SubjectOf::Casing, &record.casing),
        Details::Finding(record) => either(&record.casing, &record.part),
        Details::Disposition(record) => either(&record.casing, &record.part),
        Details::Note(record) => either(&record.casing, &record.part),
        Details::Photo(record) => of(SubjectOf::Casing, &record.casing),
        Details::Prefire(record) => of(SubjectOf::Casing, &record.casing),
        Details::Rule(record) => of(SubjectOf::Rule, &record.rule),
        Details::Gauge(record) => of(SubjectOf::Gauge, &record.serial),
        Details::Study(record) => of(SubjectOf::Gauge, &record.gauge),
        Details::Person(record) => of(SubjectOf::Person, &record.name),
        // A strike is about what the struck entry is about.
        Details::Strike(_) => true,
    };
    if its_own {
        Ok(())
    } else {
        Err(format!("entry {number} is filed under another name than it speaks of"))
    }
}

/// The raw file of a trace, where this book has it not yet; how many came.
fn take_file(here: &Connection, there: &Connection, entry: &Entry) -> rusqlite::Result<u64> {
    let Details::Trace(trace) = &entry.entry.details else { return Ok(0) };
    let file: Option<(i64, Vec<u8>)> = there
        .prepare_cached("SELECT bytes, compressed FROM raw_file WHERE sha256 = ?1")?
        .query_row([&trace.sha256], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let Some((bytes, compressed)) = file else { return Ok(0) };
    here.prepare_cached("INSERT OR IGNORE INTO raw_file (sha256, bytes, compressed) VALUES (?1, ?2, ?3)")?
        .execute(params![trace.sha256, bytes, compressed])
        .map(|count| count as u64)
}

/// The casings that any part named in the new entries was ever in.
fn casings_of_parts(
    connection: &Connection,
    had: &BTreeMap<String, i64>,
) -> rusqlite::Result<BTreeSet<String>> {
    let mut casings = BTreeSet::new();
    let mut statement = connection.prepare(
        "WITH new(number, subject) AS (
             SELECT number, CASE subject_of WHEN 'part' THEN subject END FROM entry WHERE origin = ?1 AND sequence > ?2)
         SELECT DISTINCT f.casing FROM fit_entry f WHERE f.part IN (
             SELECT subject FROM new WHERE subject IS NOT NULL
             UNION SELECT p.part FROM entry_part p WHERE p.entry IN (SELECT number FROM new))",
    )?;
    for (origin, last) in had {
        let found = statement.query_map(params![origin, last], |row| row.get(0))?;
        casings.extend(found.collect::<rusqlite::Result<Vec<String>>>()?);
    }
    Ok(casings)
}

fn every(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    connection.prepare("SELECT casing FROM standing")?.query_map([], |row| row.get(0))?.collect()
}

fn standing_word(connection: &Connection, casing: &str) -> rusqlite::Result<Option<String>> {
    connection
        .prepare_cached("SELECT worst FROM standing WHERE casing = ?1")?
        .query_row([casing], |row| row.get(0))
        .optional()
}
