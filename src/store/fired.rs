//! Reading the firings on record as a plan needs them: a batch's, and the count of hard starts.

use chrono::NaiveDate;
use rusqlite::params;

use super::read::{COLUMNS, NOT_STRUCK, day_text, entries};
use super::{Book, StoreError};
use crate::book::cut_off::{CutOff, PeakKnown};
use crate::book::details::{BatchRecord, FiringRecord, TraceRecord};
use crate::book::{Details, Entry, EntryId, Kind, Subject, SubjectOf};
use crate::standing::EntryRef;

/// The firings on record, by their peak against the plan of their day.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PeakCount {
    /// With a measured peak and a plan to hold it against.
    pub counted: u32,
    /// Those of them whose peak passed so many times the plan.
    pub over: u32,
    /// Without one or the other.
    pub left_out: u32,
    /// The entries that passed, the newest first, at most twenty.
    pub which: Vec<i64>,
}

impl Book {
    /// A batch in force on a day: its last entry that is not struck.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn batch(&self, name: &str, day: NaiveDate) -> Result<Option<(BatchRecord, EntryRef)>, StoreError> {
        let subject = Subject { of: SubjectOf::Batch, name: name.to_owned() };
        Ok(self.last_of(Kind::Batch, &subject, day)?.and_then(|entry| match &entry.entry.details {
            Details::Batch(batch) => Some(((**batch).clone(), EntryRef::from(&entry))),
            _ => None,
        }))
    }

    /// The batches that any firing names, in order.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn batches_fired(&self) -> Result<Vec<String>, StoreError> {
        self.connection
            .prepare_cached("SELECT DISTINCT batch FROM firing_entry WHERE batch IS NOT NULL ORDER BY batch")
            .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect())
            .map_err(|error| self.sql(error))
    }

    /// The firings of a batch until a day, struck ones left out, in the order they were written.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn fired_of_batch(&self, batch: &str, day: NaiveDate) -> Result<Vec<Entry>, StoreError> {
        let query = format!(
            "SELECT {COLUMNS} FROM entry e WHERE number IN (SELECT entry FROM firing_entry WHERE batch = ?1)
               AND happened_on <= ?2 AND {NOT_STRUCK} ORDER BY happened_on, number"
        );
        entries(&self.connection, &self.path, &query, params![batch, day_text(day)])
    }

    /// How often a batch had been fired by a day, struck firings left out; counting stops at a thousand.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn firings_of_batch(&self, batch: &str, day: NaiveDate) -> Result<u32, StoreError> {
        self.connection
            .prepare_cached(&format!(
                "SELECT count(*) FROM (
                     SELECT 1 FROM firing_entry f JOIN entry e ON e.number = f.entry
                     WHERE f.batch = ?1 AND e.happened_on <= ?2
                       AND {NOT_STRUCK} LIMIT 1000)"
            ))
            .and_then(|mut statement| statement.query_row([batch, &day_text(day)], |row| row.get(0)))
            .map_err(|error| self.sql(error))
    }

    /// The traces of a firing, struck ones left out, in the order they were written.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn traces_of(&self, firing: EntryId) -> Result<Vec<TraceRecord>, StoreError> {
        let query = format!(
            "SELECT {COLUMNS} FROM entry e WHERE number IN (SELECT entry FROM trace_entry WHERE firing = ?1)
               AND {NOT_STRUCK} ORDER BY number"
        );
        let found = entries(&self.connection, &self.path, &query, [firing.to_string()])?;
        Ok(found
            .into_iter()
            .filter_map(|entry| match entry.entry.details {
                Details::Trace(trace) => Some(*trace),
                _ => None,
            })
            .collect())
    }

    /// Whether the traces of a firing say of its peak only that it was this or more.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn peak_cut_off(&self, id: EntryId, firing: &FiringRecord) -> Result<Option<CutOff>, StoreError> {
        let traced = self
            .connection
            .prepare_cached("SELECT 1 FROM trace_entry WHERE firing = ?1 LIMIT 1")
            .and_then(|mut statement| statement.exists([id.to_string()]))
            .map_err(|error| StoreError::from_sql(&self.path, error))?;
        if !traced {
            return Ok(None);
        }
        let known = PeakKnown::of(firing);
        Ok(self.traces_of(id)?.iter().find_map(|trace| known.only_from_below(trace)))
    }

    /// Every firing until a day by its peak over the plan's: how many, and how many passed `ratio` times it.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn peak_count(&self, ratio: f64, day: NaiveDate) -> Result<PeakCount, StoreError> {
        let sql = |error| StoreError::from_sql(&self.path, error);
        let from = format!(
            "FROM firing_entry f JOIN entry e ON e.number = f.entry WHERE e.happened_on <= ?1 AND {NOT_STRUCK}"
        );
        let known = "f.peak_pressure_pa > 0 AND f.planned_peak_pa > 0";
        let over = "f.peak_pressure_pa > ?2 * f.planned_peak_pa";
        let mut found = self
            .connection
            .prepare_cached(&format!(
                "SELECT ifnull(sum({known}), 0), ifnull(sum({known} AND {over}), 0), count(*) {from}"
            ))
            .and_then(|mut statement| {
                statement.query_row(params![day_text(day), ratio], |row| {
                    let (counted, over, all): (u32, u32, u32) = (row.get(0)?, row.get(1)?, row.get(2)?);
                    let left_out = all.saturating_sub(counted);
                    Ok(PeakCount { counted, over, left_out, which: Vec::new() })
                })
            })
            .map_err(sql)?;
        if found.over > 0 {
            let query = format!(
                "SELECT e.number {from} AND {known} AND {over} ORDER BY e.happened_on DESC, e.number DESC LIMIT 20"
            );
            found.which = self
                .connection
                .prepare_cached(&query)
                .and_then(|mut statement| {
                    statement.query_map(params![day_text(day), ratio], |row| row.get(0))?.collect()
                })
                .map_err(sql)?;
        }
        Ok(found)
    }
}
