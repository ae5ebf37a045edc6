//! Entries for a list, with what crossed them out.

use std::collections::{BTreeSet, HashMap, HashSet};

use chrono::NaiveDate;
use rusqlite::params;

use super::{COLUMNS, day_text, entries};
use crate::book::{Details, Entry, EntryId, Kind, Subject, SubjectOf, in_order};
use crate::store::{Book, StoreError};

/// An entry as a list shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryLine {
    /// The entry.
    pub entry: Entry,
    /// The entry that crossed it out, where one did.
    pub struck_by: Option<i64>,
    /// The entry of another book about the same thing that says otherwise, where nobody has settled it.
    pub differs_from: Option<i64>,
    /// Of a trace: the entry that crossed its firing out, where one did.
    pub firing_struck_by: Option<i64>,
    /// Of a firing: why its peak is known only from below, where its trace is cut off at the top.
    pub peak_cut_off: Option<String>,
}

/// Which entries to list.
#[derive(Clone, Debug)]
pub enum Filter {
    /// Everything about a subject.
    About(Subject),
    /// A casing and every part it has had.
    CasingAndParts(String),
    /// One kind.
    OfKind(Kind),
}

impl Book {
    /// Entries for a list, in the order they happened, with what crossed them out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn lines(&self, filter: &Filter, day: NaiveDate) -> Result<Vec<EntryLine>, StoreError> {
        let found = match filter {
            Filter::About(subject) => {
                let query = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
                let mut about =
                    entries(&self.connection, &self.path, &query, params![subject.of.word(), subject.name])?;
                if subject.of == SubjectOf::Part {
                    let query = format!(
                        "SELECT {COLUMNS} FROM entry WHERE number IN (SELECT entry FROM entry_part WHERE part = ?1)"
                    );
                    about.extend(entries(&self.connection, &self.path, &query, [subject.name.as_str()])?);
                }
                about
            }
            Filter::CasingAndParts(casing) => self.history(casing)?,
            Filter::OfKind(kind) => {
                let query = format!("SELECT {COLUMNS} FROM entry WHERE kind = ?1");
                entries(&self.connection, &self.path, &query, [kind.word()])?
            }
        };
        self.lines_of(found, day)
    }

    /// The same of entries already read.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn lines_of(&self, found: Vec<Entry>, day: NaiveDate) -> Result<Vec<EntryLine>, StoreError> {
        let mut seen = HashSet::new();
        let mut lines = Vec::with_capacity(found.len());
        let struck = self.strikes_on(&found, day).map_err(|error| self.sql(error))?;
        for entry in found.into_iter().filter(|entry| entry.entry.happened_on <= day) {
            if seen.insert(entry.id) {
                let struck_by =
                    if struck.is_empty() { None } else { struck.get(&entry.id.to_string()).copied() };
                let peak_cut_off = match &entry.entry.details {
                    Details::Firing(firing) => self.peak_cut_off(entry.id, firing)?.map(|cut| cut.why),
                    _ => None,
                };
                let firing_struck_by = match &entry.entry.details {
                    Details::Trace(trace) => self.struck_by(trace.firing, day)?,
                    _ => None,
                };
                lines.push(EntryLine {
                    entry,
                    struck_by,
                    firing_struck_by,
                    differs_from: None,
                    peak_cut_off,
                });
            }
        }
        in_order(&mut lines, |line| &line.entry);
        Ok(lines)
    }

    /// Which of some entries are struck by a day, and by which: one statement for all of them, and where the book
    /// has fewer strikes than there are entries, every strike of it.
    fn strikes_on(&self, found: &[Entry], day: NaiveDate) -> rusqlite::Result<HashMap<String, i64>> {
        let day = day_text(day);
        let count = |most: usize| -> rusqlite::Result<usize> {
            self.connection
                .prepare_cached(
                    "SELECT count(*) FROM (SELECT 1 FROM entry WHERE strikes IS NOT NULL LIMIT ?1)",
                )?
                .query_row([most as i64], |row| row.get::<_, i64>(0))
                .map(|count| count as usize)
        };
        let some = "SELECT strikes, min(number) FROM entry WHERE strikes IS NOT NULL AND happened_on <= ?1";
        let pair = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
        if count(found.len() + 1)? <= found.len() {
            self.connection
                .prepare_cached(&format!("{some} GROUP BY strikes"))?
                .query_map([day], pair)?
                .collect()
        } else {
            let ids: Vec<String> = found.iter().map(|entry| format!("\"{}\"", entry.id)).collect();
            self.connection
                .prepare_cached(&format!(
                    "{some} AND strikes IN (SELECT value FROM json_each(?2)) GROUP BY strikes"
                ))?
                .query_map([day, format!("[{}]", ids.join(","))], pair)?
                .collect()
        }
    }

    /// What was written after an entry, and from a day on, in the order it arrived here.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn written_since(&self, after: i64, from: Option<NaiveDate>) -> Result<Vec<Entry>, StoreError> {
        let query =
            format!("SELECT {COLUMNS} FROM entry WHERE number > ?1 AND recorded_at >= ?2 ORDER BY number");
        let from = from.map_or_else(String::new, day_text);
        entries(&self.connection, &self.path, &query, params![after, from])
    }

    /// The entry that crossed one out by a day, where one did.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn struck_by(&self, id: EntryId, day: NaiveDate) -> Result<Option<i64>, StoreError> {
        self.connection
            .prepare_cached("SELECT min(number) FROM entry WHERE strikes = ?1 AND happened_on <= ?2")
            .and_then(|mut statement| {
                statement.query_row(params![id.to_string(), day_text(day)], |row| row.get(0))
            })
            .map_err(|error| self.sql(error))
    }

    /// Which of these entries are crossed out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn struck_among(&self, ids: &[EntryId]) -> Result<BTreeSet<EntryId>, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM entry WHERE strikes = ?1)")
            .map_err(|error| self.sql(error))?;
        let mut struck = BTreeSet::new();
        for id in ids {
            if statement.query_row([id.to_string()], |row| row.get(0)).map_err(|error| self.sql(error))? {
                struck.insert(*id);
            }
        }
        Ok(struck)
    }
}
