//! Reading the book: an entry out of its row, entries by where they stand, and what is kept beside them.

mod history;
mod in_force;
mod lines;
mod rack;

use std::collections::BTreeSet;
use std::io::Read;
use std::path::Path;

use chrono::{DateTime, NaiveDate, Utc};
use flate2::read::ZlibDecoder;
use rusqlite::{Connection, OptionalExtension, Row, params};
use uuid::Uuid;

pub(super) use history::history;
pub(super) use in_force::rules_on;
pub use lines::{EntryLine, Filter};
pub use rack::{KeptWhy, RackRow};

use super::{Book, StoreError};
use crate::book::{Details, Entry, EntryId, Kind, NewEntry, Subject, SubjectOf};

pub(super) const COLUMNS: &str =
    "number, id, origin, sequence, kind, subject_of, subject, happened_on, date_approximate,
                       recorded_at, recorded_by, second, body, seal";

/// That an entry, named `e` in a query, is not crossed out.
pub(super) const NOT_STRUCK: &str = "NOT EXISTS (SELECT 1 FROM entry s WHERE s.strikes = e.id)";

/// A day as the store writes it; one far in the future has a sign that would sort before every year.
pub(super) fn day_text(day: NaiveDate) -> String {
    day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day)).to_string()
}

pub(super) fn entry_from(row: &Row<'_>, path: &Path) -> Result<Entry, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let number: i64 = row.get(0).map_err(sql)?;
    let damaged =
        |why: String| StoreError::Damaged { path: path.to_path_buf(), why: format!("entry {number}: {why}") };
    let text = |at: usize| -> Result<String, StoreError> { row.get(at).map_err(sql) };
    let uuid = |at: usize| -> Result<Uuid, StoreError> {
        Uuid::parse_str(&text(at)?).map_err(|error| damaged(error.to_string()))
    };
    let kind = Kind::from_word(&text(4)?).ok_or_else(|| damaged("unknown kind".to_owned()))?;
    let subject_of = SubjectOf::from_word(&text(5)?).ok_or_else(|| damaged("unknown subject".to_owned()))?;
    let happened_on = text(7)?.parse::<NaiveDate>().map_err(|error| damaged(error.to_string()))?;
    let recorded_at = DateTime::parse_from_rfc3339(&text(9)?).map_err(|error| damaged(error.to_string()))?;
    let body = row.get_ref(12).and_then(|it| it.as_str().map_err(Into::into)).map_err(sql)?;
    let details = Details::from_json(kind, body).map_err(|error| damaged(error.to_string()))?;
    let seen = crate::book::seal::seen_in(body).map_err(|error| damaged(error.to_string()))?;
    Ok(Entry {
        seen,
        number,
        id: EntryId(uuid(1)?),
        origin: uuid(2)?,
        sequence: row.get(3).map_err(sql)?,
        recorded_at: recorded_at.with_timezone(&Utc),
        entry: NewEntry {
            subject: Subject { of: subject_of, name: text(6)? },
            happened_on,
            date_approximate: row.get(8).map_err(sql)?,
            recorded_by: text(10)?,
            second: row.get(11).map_err(sql)?,
            details,
        },
        seal: text(13)?,
    })
}

pub(super) fn entries(
    connection: &Connection,
    path: &Path,
    query: &str,
    with: impl rusqlite::Params,
) -> Result<Vec<Entry>, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let mut statement = connection.prepare_cached(query).map_err(sql)?;
    let mut rows = statement.query(with).map_err(sql)?;
    let mut found = Vec::new();
    while let Some(row) = rows.next().map_err(sql)? {
        found.push(entry_from(row, path)?);
    }
    Ok(found)
}

/// What crosses out any of these entries, whatever it is filed under.
fn strikes_of(connection: &Connection, path: &Path, found: &mut Vec<Entry>) -> Result<(), StoreError> {
    let any: bool = connection
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM entry WHERE strikes IS NOT NULL)")
        .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
        .map_err(|error| StoreError::from_sql(path, error))?;
    if !any {
        return Ok(());
    }
    let mut there: BTreeSet<i64> = found.iter().map(|entry| entry.number).collect();
    let query = format!("SELECT {COLUMNS} FROM entry WHERE strikes = ?1");
    for at in 0..found.len() {
        for strike in entries(connection, path, &query, [found[at].id.to_string()])? {
            if there.insert(strike.number) {
                found.push(strike);
            }
        }
    }
    Ok(())
}

/// The seal of the whole book.
pub(super) fn head_seal(connection: &Connection) -> rusqlite::Result<Option<String>> {
    let chains = super::append::chains(connection)?;
    Ok(match chains.as_slice() {
        [] => None,
        [one] => Some(one.seal.clone()),
        several => {
            let lines: String =
                several.iter().map(|it| format!("{} {} {}\n", it.origin, it.last, it.seal)).collect();
            Some(crate::book::seal::sha256(lines.as_bytes()))
        }
    })
}

impl Book {
    pub(super) fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::from_sql(&self.path, error)
    }

    /// The last day anything on record happened.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_day(&self) -> Result<Option<NaiveDate>, StoreError> {
        let day: Option<String> = self
            .connection
            .query_row("SELECT max(happened_on) FROM entry", [], |row| row.get(0))
            .map_err(|error| self.sql(error))?;
        Ok(day.and_then(|day| day.parse().ok()))
    }

    /// The number of the last entry and how many there are.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn size(&self) -> Result<(i64, i64), StoreError> {
        self.connection
            .query_row("SELECT ifnull(max(number), 0), count(*) FROM entry", [], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .map_err(|error| self.sql(error))
    }

    /// The seal of the whole book: the last seal of its chain, or, where it holds the chains of several books, the
    /// hash of all their last seals. Two books with the same entries have the same.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn head_seal(&self) -> Result<Option<String>, StoreError> {
        head_seal(&self.connection).map_err(|error| self.sql(error))
    }

    /// One entry by its id.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn entry(&self, id: EntryId) -> Result<Option<Entry>, StoreError> {
        let query = format!("SELECT {COLUMNS} FROM entry WHERE id = ?1");
        Ok(entries(&self.connection, &self.path, &query, [id.to_string()])?.into_iter().next())
    }

    /// The entries of an origin from one place in its chain to another, both included.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn entries_of(&self, origin: Uuid, from: i64, to: i64) -> Result<Vec<Entry>, StoreError> {
        let query = format!(
            "SELECT {COLUMNS} FROM entry WHERE origin = ?1 AND sequence BETWEEN ?2 AND ?3 ORDER BY sequence"
        );
        entries(&self.connection, &self.path, &query, params![origin.to_string(), from, to])
    }

    /// The entry a person means by a number, a mark or the start of an id.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn find_entry(&self, text: &str) -> Result<Result<EntryId, String>, StoreError> {
        let text = text.trim().trim_start_matches('#');
        let shown = crate::book::reading::shorten(text);
        let hex = |text: &str| text.len() >= 6 && text.chars().all(|c| c.is_ascii_hexdigit() || c == '-');
        let mark = text.strip_prefix('~').map(str::to_lowercase).filter(|it| it.len() <= 36 && hex(it));
        let by_number = text.parse::<i64>().ok();
        let start = text.to_lowercase();
        let query = match mark {
            Some(_) => "SELECT id FROM entry WHERE substr(id, -length(?3)) = ?3 LIMIT 3",
            None => "SELECT id FROM entry WHERE number = ?1 OR (?2 AND id >= ?3 AND id < ?3 || 'g') LIMIT 3",
        };
        let by_start = by_number.is_none() && hex(&start);
        let mut statement = self.connection.prepare_cached(query).map_err(|error| self.sql(error))?;
        let ids: Vec<String> = statement
            .query_map(params![by_number, by_start, mark.unwrap_or(start)], |row| row.get(0))
            .and_then(Iterator::collect)
            .map_err(|error| self.sql(error))?;
        Ok(match ids.as_slice() {
            [id] => Uuid::parse_str(id).map(EntryId).map_err(|error| error.to_string()),
            [] => Err(format!(
                "no entry \"{shown}\" is on record; give its number (proofmark journal lists them), its mark (~ and six digits, as a merge says it) or the start of its id"
            )),
            _ => Err(format!("\"{shown}\" is more than one entry; give its number or more of its id")),
        })
    }

    /// The raw bytes kept under a hash.
    ///
    /// # Errors
    /// The book cannot be read or the kept bytes do not unpack.
    pub fn raw_file(&self, sha256: &str) -> Result<Option<Vec<u8>>, StoreError> {
        let packed: Option<Vec<u8>> = self
            .connection
            .query_row("SELECT compressed FROM raw_file WHERE sha256 = ?1", [sha256], |row| row.get(0))
            .optional()
            .map_err(|error| self.sql(error))?;
        packed
            .map(|packed| {
                let mut bytes = Vec::new();
                ZlibDecoder::new(packed.as_slice()).read_to_end(&mut bytes).map(|_| bytes)
            })
            .transpose()
            .map_err(|error| StoreError::Damaged {
                path: self.path.clone(),
                why: format!("raw file {sha256}: {error}"),
            })
    }
}
