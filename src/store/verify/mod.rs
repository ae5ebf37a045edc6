//! Can it be trusted? Every seal, every typed row, every raw file and every kept standing, worked out again.
//!
//! The work is cut into pieces that any thread may take: stretches of entries, lists of casings, the file itself.
//! Each thread reads through a connection of its own and keeps no more than the entries of one casing, so memory
//! does not grow with the book.

mod entries;
mod indexes;

use std::collections::BTreeSet;
use std::hash::RandomState;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use chrono::NaiveDate;
use flate2::read::ZlibDecoder;
use rusqlite::{Connection, OptionalExtension};

use super::about;
use super::read::{history, rules_on};
use super::standings::{COLUMNS, Kept};
use super::{Book, StoreError};
use crate::book::seal;
use crate::standing::RuleSet;

/// Something that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The entry, where it is one.
    pub entry: Option<i64>,
    /// What is wrong.
    pub what: String,
}

impl Fault {
    /// As one sentence.
    pub fn sentence(&self) -> String {
        self.entry.map_or_else(|| self.what.clone(), |number| format!("entry {number}: {}", self.what))
    }
}

/// Entries in one piece of work.
const STRETCH: i64 = 5_000;
/// Entries of casings in one piece of work, about; their pages fit into [`CACHE`].
const HANDFUL: u64 = 20_000;
/// Kibibytes of the file that each thread keeps at hand.
const CACHE: i64 = 24_576;
/// Faults after which nobody reads on; the book is beyond doubt not what it was.
const ENOUGH: usize = 1_000;

/// A piece of work.
#[derive(Clone, Debug)]
enum Piece {
    /// The pages of the file.
    File,
    /// An index, by its place in [`Work::indexes`].
    Index(usize),
    /// Tables, each with its constraints and indexes, by SQLite's own check.
    Tables(Vec<String>),
    /// Tables, indexes and triggers against those of a new book.
    Schema,
    /// Rows that belong to no entry.
    Loose,
    /// Every origin's chain, whole from its first entry to its last, and as long as later entries say.
    Chains,
    /// The raw files.
    Files,
    /// Entries by number, both ends in.
    Entries(i64, i64),
    /// Casings.
    Casings(Vec<String>),
}

/// What every piece needs.
struct Work<'a> {
    path: &'a Path,
    rules: &'a RuleSet,
    /// Every casing whose standing is worked out.
    casings: &'a BTreeSet<String>,
    /// The ledger and every table with rows of entries.
    tables: &'a [String],
    /// Every index of those.
    indexes: &'a [indexes::Index],
    /// What their rows are hashed with.
    keys: &'a RandomState,
    faults: &'a Mutex<Vec<Fault>>,
    /// Whether they are enough.
    enough: &'a AtomicBool,
}

impl Work<'_> {
    fn fault(&self, entry: Option<i64>, what: impl Into<String>) {
        if let Ok(mut faults) = self.faults.lock()
            && faults.len() < ENOUGH
        {
            faults.push(Fault { entry, what: what.into() });
            if faults.len() >= ENOUGH {
                self.enough.store(true, Ordering::Relaxed);
            }
        }
    }

    fn enough(&self) -> bool {
        self.enough.load(Ordering::Relaxed)
    }

    fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::from_sql(self.path, error)
    }
}

impl Book {
    /// Work everything out again and report every difference, by entry.
    ///
    /// # Errors
    /// The book cannot be read at all.
    pub fn verify(&self) -> Result<Vec<Fault>, StoreError> {
        let before = self.data_version()?;
        let faults = self.verify_once()?;
        if faults.is_empty() || self.data_version()? == before {
            return Ok(faults);
        }
        // Somebody wrote meanwhile, and what differed may be half of the old and half of the new: look again with
        // writers kept out.
        let held = self
            .connection
            .unchecked_transaction()
            .map_err(|error| StoreError::from_sql(self.path(), error))?;
        let _: i64 = held
            .query_row("SELECT ifnull(max(number), 0) FROM entry", [], |row| row.get(0))
            .map_err(|error| StoreError::from_sql(self.path(), error))?;
        self.verify_once()
    }

    fn verify_once(&self) -> Result<Vec<Fault>, StoreError> {
        let faults = Mutex::new(Vec::new());
        // A rule that cannot be read is reported by its entry; the standings are then judged by what is left.
        let rules = match rules_on(&self.connection, NaiveDate::MAX, self.path()) {
            Ok(rules) => rules,
            Err(error @ StoreError::Damaged { .. }) => {
                if let Ok(mut faults) = faults.lock() {
                    faults.push(Fault { entry: None, what: error.to_string() });
                }
                RuleSet::new()
            }
            Err(error) => return Err(error),
        };
        let casings = self.every_casing().map_err(|error| StoreError::from_sql(self.path(), error))?;
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut tables = entries::tables(&self.connection).map_err(sql)?;
        tables.push(entries::LEDGER.to_owned());
        let (indexes, others) = indexes::of_tables(&self.connection, &tables).map_err(sql)?;
        let keys = RandomState::new();
        let work = Work {
            path: self.path(),
            rules: &rules,
            casings: &casings,
            tables: &tables,
            indexes: &indexes,
            keys: &keys,
            faults: &faults,
            enough: &AtomicBool::new(false),
        };
        let pieces = self.pieces(&work, others).map_err(sql)?;
        let threads = if self.in_memory { 1 } else { threads().min(pieces.len()) };
        let next = AtomicUsize::new(0);
        let path = self.path();
        let run = |connection: &Connection| -> Result<(), StoreError> {
            while let Some(piece) = pieces.get(next.fetch_add(1, Ordering::Relaxed)) {
                if work.enough() {
                    break;
                }
                take(connection, piece, &work)?;
            }
            Ok(())
        };
        if threads < 2 {
            run(&self.connection)?;
        } else {
            let results: Vec<Result<(), StoreError>> = std::thread::scope(|scope| {
                let others: Vec<_> = (0..threads).map(|_| scope.spawn(|| run(&reader(path)?))).collect();
                others
                    .into_iter()
                    .map(|other| {
                        other.join().unwrap_or_else(|_| {
                            Err(StoreError::Damaged {
                                path: path.to_path_buf(),
                                why: "a part of the check gave up".to_owned(),
                            })
                        })
                    })
                    .collect()
            });
            results.into_iter().collect::<Result<Vec<()>, _>>()?;
        }
        if !work.enough() {
            indexes::compare(&work);
        }
        let mut faults = faults.into_inner().unwrap_or_default();
        faults.sort();
        faults.dedup();
        Ok(faults)
    }

    fn every_casing(&self) -> rusqlite::Result<BTreeSet<String>> {
        self.connection
            .prepare(
                "SELECT casing FROM standing UNION SELECT DISTINCT subject FROM entry WHERE kind = 'casing'",
            )?
            // One that is no text is named with its entry.
            .query_map([], |row| Ok(row.get_ref(0)?.as_str().ok().map(str::to_owned)))?
            .filter_map(Result::transpose)
            .collect()
    }

    /// The work, longest pieces first; `others` are tables whose indexes are checked by SQLite.
    fn pieces(&self, work: &Work<'_>, mut others: Vec<String>) -> rusqlite::Result<Vec<Piece>> {
        let mut pieces = vec![Piece::File, Piece::Schema, Piece::Loose, Piece::Chains, Piece::Files];
        let every: Vec<String> = self
            .connection
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")?
            .query_map([], |row| row.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        others.extend(every.into_iter().filter(|table| !work.tables.contains(table)));
        pieces.push(Piece::Tables(others));
        pieces.extend((0..work.indexes.len()).map(Piece::Index));
        let (first, last): (i64, i64) = self.connection.query_row(
            "SELECT ifnull((SELECT min(number) FROM entry), 1), ifnull((SELECT max(number) FROM entry), 0)",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?;
        let casings: Vec<&String> = work.casings.iter().collect();
        // Entries of casings that are fired on the same days stand on the same pages.
        let each = last.saturating_sub(first).unsigned_abs() / casings.len().max(1) as u64 + 1;
        let handful = usize::try_from(HANDFUL / each).unwrap_or(1).clamp(1, 1_000);
        pieces.extend(
            casings
                .chunks(handful)
                .map(|handful| Piece::Casings(handful.iter().map(|it| (*it).clone()).collect())),
        );
        let stretches = (last.saturating_sub(first) / STRETCH).clamp(0, 100_000);
        for at in 0..=stretches {
            // The ends reach as far as numbers do, so that a row of no entry is in some stretch.
            let from = if at == 0 { i64::MIN } else { first.saturating_add(at * STRETCH) };
            let to = if at == stretches { i64::MAX } else { first.saturating_add((at + 1) * STRETCH - 1) };
            pieces.push(Piece::Entries(from, to));
        }
        Ok(pieces)
    }
}

fn reader(path: &Path) -> Result<Connection, StoreError> {
    let connection = super::open::reader(path)?;
    connection
        .pragma_update(None, "cache_size", -CACHE)
        .map_err(|error| StoreError::from_sql(path, error))?;
    Ok(connection)
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from).clamp(2, 16)
}

fn take(connection: &Connection, piece: &Piece, work: &Work<'_>) -> Result<(), StoreError> {
    let done = match piece {
        Piece::File => file(connection, work),
        Piece::Tables(tables) => check_tables(connection, tables, work),
        Piece::Index(at) => match work.indexes.get(*at) {
            Some(index) => indexes::read(connection, index, work),
            None => Ok(()),
        },
        Piece::Schema => schema(connection, work),
        Piece::Loose => loose(connection, work),
        Piece::Chains => whole_chains(connection, work),
        Piece::Files => files(connection, work),
        Piece::Entries(from, to) => return entries::check(connection, *from, *to, work),
        Piece::Casings(casings) => return standings(connection, casings, work),
    };
    match done {
        // A value that is not what a book writes there; its entry is named where the entries are checked.
        Err(error) if error.sqlite_error_code().is_none() => {
            work.fault(None, format!("something in it is not readable: {error}"));
            Ok(())
        }
        done => done.map_err(|error| work.sql(error)),
    }
}

fn file(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    // Constraints of the ledger and of what is read beside it are met where every value is the sealed one.
    connection.pragma_update(None, "ignore_check_constraints", true)?;
    let whole: String = connection.query_row("PRAGMA quick_check(5)", [], |row| row.get(0))?;
    connection.pragma_update(None, "ignore_check_constraints", false)?;
    if whole != "ok" {
        work.fault(None, format!("the file is damaged: {whole}"));
    }
    // What stands after the last page is read by nobody and is no part of the book. (A book in memory has no file.)
    let pages: i64 = connection.query_row("PRAGMA page_count", [], |row| row.get(0))?;
    let each: i64 = connection.query_row("PRAGMA page_size", [], |row| row.get(0))?;
    let more = std::fs::metadata(work.path)
        .map_or(0, |file| file.len().saturating_sub(pages.saturating_mul(each).unsigned_abs()));
    if more > 0 {
        work.fault(None, format!("{more} bytes stand after the last page of the file, which no book has; a backup leaves them out"));
    }
    Ok(())
}

fn check_tables(connection: &Connection, tables: &[String], work: &Work<'_>) -> rusqlite::Result<()> {
    for table in tables {
        let quoted = table.replace('"', "\"\"");
        let query = format!("PRAGMA integrity_check(\"{quoted}\")");
        let whole: String = connection.query_row(&query, [], |row| row.get(0))?;
        if whole != "ok" {
            work.fault(None, format!("the table {table} is damaged: {whole}"));
        }
    }
    Ok(())
}

/// Name and making of every table, index and trigger, white space aside.
fn objects(connection: &Connection) -> rusqlite::Result<Vec<(String, String)>> {
    connection
        .prepare("SELECT type || ' ' || name, ifnull(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY 1")?
        .query_map([], |row| {
            let sql: String = row.get(1)?;
            Ok((row.get(0)?, sql.split_whitespace().collect::<Vec<_>>().join(" ")))
        })?
        .collect()
}

fn schema(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    let here = objects(connection)?;
    let mut wanted = super::open::empty_book().and_then(|fresh| objects(&fresh))?;
    for (name, sql) in here {
        match wanted.iter().position(|(known, _)| *known == name) {
            Some(at) => {
                if wanted.remove(at).1 != sql {
                    work.fault(None, format!("the {name} is not made as this program makes it"));
                }
            }
            None => work.fault(None, format!("the {name} is none of this program's")),
        }
    }
    for (name, _) in wanted {
        work.fault(None, format!("the {name} is missing"));
    }
    Ok(())
}

/// What the book says of itself: nothing a standing or a seal rests on may hide there.
fn of_itself(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    let mut statement = connection.prepare("SELECT key, value FROM book")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let (key, value): (String, String) = (row.get(0)?, row.get(1)?);
        let readable = match key.as_str() {
            "origin" => uuid::Uuid::parse_str(&value).is_ok(),
            "begun_at" | "restored_at" => chrono::DateTime::parse_from_rfc3339(&value).is_ok(),
            "standings" => value.parse::<u32>().is_ok(),
            // Books of the first schema say it here; it is not gone by any more.
            "fixed_day" => value.parse::<NaiveDate>().is_ok(),
            about::SUM => true,
            _ => false,
        };
        if !readable {
            let key = crate::book::reading::shorten(&key);
            work.fault(
                None,
                format!("what the book says of itself under \"{key}\" is nothing a book writes"),
            );
        }
    }
    drop(rows);
    if about::kept_sum(connection)?.as_ref() != Some(&about::sum_of(connection)?) {
        work.fault(
            None,
            "what the book says of itself (its identity, when it was begun) was changed behind its back",
        );
    }
    Ok(())
}

/// Foreign keys by another column than `entry`; those by `entry` are checked row by row with the entries.
fn loose(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    of_itself(connection, work)?;
    let tables: Vec<String> = connection
        .prepare(
            "SELECT DISTINCT m.name FROM sqlite_schema m JOIN pragma_foreign_key_list(m.name) f
             WHERE m.type = 'table' AND f.\"from\" <> 'entry'",
        )?
        .query_map([], |row| row.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for table in tables {
        let count: i64 =
            connection
                .query_row("SELECT count(*) FROM pragma_foreign_key_check(?1)", [&table], |row| row.get(0))?;
        if count > 0 {
            work.fault(
                None,
                format!("{} of {table} without what it belongs to", crate::quantity::counted(count, "row")),
            );
        }
    }
    Ok(())
}

fn whole_chains(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    let (first, last, count): (i64, i64, i64) = connection.query_row(
        "SELECT ifnull(min(number), 1), ifnull(max(number), 0), count(*) FROM entry",
        [],
        |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
    )?;
    if (first, last) != (1, count) {
        work.fault(
            None,
            format!(
                "{count} entries are numbered from {first} to {last}: some were renumbered or are missing"
            ),
        );
    }
    // As they are written: an origin that is not readable is named with its entry, and the others are still looked at.
    let chains: Vec<(String, i64, i64)> = connection
        .prepare("SELECT origin, max(sequence), count(*) FROM entry GROUP BY origin ORDER BY origin")?
        .query_map([], |row| {
            let origin = row.get_ref(0)?.as_bytes().map(|it| String::from_utf8_lossy(it).into_owned());
            Ok((origin.unwrap_or_default(), row.get(1)?, row.get(2)?))
        })?
        .collect::<rusqlite::Result<_>>()?;
    for (origin, last, there) in chains {
        if there != last {
            let origin = crate::book::reading::shorten(&origin);
            work.fault(
                None,
                format!("{} of {last} entries of the book {origin} are missing", last.saturating_sub(there)),
            );
        }
    }
    Ok(())
}

fn files(connection: &Connection, work: &Work<'_>) -> rusqlite::Result<()> {
    let mut traces = connection.prepare("SELECT entry, sha256, bytes FROM trace_entry ORDER BY entry")?;
    let mut kept = connection.prepare("SELECT bytes, compressed FROM raw_file WHERE sha256 = ?1")?;
    let mut rows = traces.query([])?;
    while let Some(row) = rows.next()? {
        let (entry, sha256, bytes): (i64, String, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let found: Option<(i64, Vec<u8>)> =
            kept.query_row([&sha256], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
        let what = match found {
            None => "the kept bytes of its trace are missing",
            Some((length, packed)) => match seal::sha256_of(ZlibDecoder::new(packed.as_slice())) {
                Ok((hash, read)) if hash == sha256 && read == length.unsigned_abs() && length == bytes => {
                    continue;
                }
                Ok(_) => "the kept bytes of its trace are not the ones read",
                Err(_) => "the kept bytes of its trace do not unpack",
            },
        };
        work.fault(Some(entry), what);
    }
    let strays: i64 = connection.query_row(
        "SELECT count(*) FROM raw_file WHERE sha256 NOT IN (SELECT sha256 FROM trace_entry)",
        [],
        |row| row.get(0),
    )?;
    if strays > 0 {
        work.fault(None, format!("{strays} raw files belong to no trace"));
    }
    Ok(())
}

fn standings(connection: &Connection, casings: &[String], work: &Work<'_>) -> Result<(), StoreError> {
    let query = format!("SELECT {COLUMNS} FROM standing WHERE casing = ?1");
    for casing in casings {
        let kept = connection
            .prepare_cached(&query)
            .and_then(|mut statement| statement.query_row([casing], Kept::from_row).optional());
        let kept = match kept {
            Ok(kept) => kept,
            Err(error) => {
                work.fault(None, format!("the kept standing of {casing} is not readable: {error}"));
                continue;
            }
        };
        let again = match history(connection, casing, work.path) {
            Ok(entries) => Kept::of(casing, &entries, work.rules),
            // The entry itself is named where the entries are checked.
            Err(StoreError::Damaged { why, .. }) => {
                work.fault(None, format!("the standing of {casing} cannot be worked out: {why}"));
                continue;
            }
            Err(error) => return Err(error),
        };
        if again.ok() != Some(kept) {
            work.fault(None, format!("the kept standing of {casing} is not what its entries give"));
        }
    }
    Ok(())
}
