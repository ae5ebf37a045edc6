//! What bears on a casing: every entry that [`crate::standing::History`] asks for.

use std::collections::BTreeSet;
use std::path::Path;

use rusqlite::Connection;

use super::{COLUMNS, entries, strikes_of};
use crate::book::{Decision, Details, Entry, Subject, SubjectOf};
use crate::store::{Book, StoreError};

/// Every entry that can bear on a casing, as [`crate::standing::History`] asks for them, in order of arrival.
pub(in crate::store) fn history(
    connection: &Connection,
    casing: &str,
    path: &Path,
) -> Result<Vec<Entry>, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let about = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
    let mut found = entries(connection, path, &about, ["casing", casing])?;
    let parts: Vec<String> = connection
        .prepare_cached("SELECT DISTINCT part FROM fit_entry WHERE casing = ?1")
        .and_then(|mut statement| statement.query_map([casing], |row| row.get(0))?.collect())
        .map_err(sql)?;
    if !parts.is_empty() {
        // What a part saw, here (which is known already) or in another casing.
        let seen = format!(
            "SELECT {COLUMNS} FROM entry WHERE number IN (SELECT entry FROM entry_part WHERE part = ?1)
               AND NOT (subject_of = 'casing' AND subject = ?2)"
        );
        for part in &parts {
            found.extend(entries(connection, path, &about, ["part", part])?);
            found.extend(entries(connection, path, &seen, [part.as_str(), casing])?);
        }
        // A part of a retired casing stays that casing's until it is released: its retirement comes along.
        let retired = format!(
            "SELECT {COLUMNS} FROM entry WHERE kind = 'disposition' AND subject_of = 'casing' AND subject IN (
                 SELECT other.casing FROM fit_entry here JOIN fit_entry other ON other.part = here.part
                 WHERE here.casing = ?1 AND other.casing <> ?1)"
        );
        let others = entries(connection, path, &retired, [casing])?;
        found.extend(others.into_iter().filter(|entry| match &entry.entry.details {
            Details::Disposition(decision) => decision.decision == Decision::Retire,
            _ => false,
        }));
        let mut there = BTreeSet::new();
        found.retain(|entry| there.insert(entry.number));
    }
    // What a proof's pressure gauge was worth that day.
    let gauges: BTreeSet<String> = found
        .iter()
        .filter_map(|entry| match &entry.entry.details {
            Details::Proof(proof) if proof.casing == casing => proof.gauge.clone(),
            _ => None,
        })
        .collect();
    for gauge in &gauges {
        let calibrated = format!("{about} AND kind = 'gauge'");
        found.extend(entries(connection, path, &calibrated, ["gauge", gauge])?);
    }
    strikes_of(connection, path, &mut found)?;
    found.sort_by_key(|entry| entry.number);
    Ok(found)
}

impl Book {
    /// Every entry that can bear on a casing.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn history(&self, casing: &str) -> Result<Vec<Entry>, StoreError> {
        history(&self.connection, casing, &self.path)
    }

    /// The casings a subject belongs to: itself, or those a part was ever fitted in.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn casings_of(&self, subject: &Subject) -> Result<Vec<String>, StoreError> {
        match subject.of {
            SubjectOf::Casing => Ok(vec![subject.name.clone()]),
            SubjectOf::Part => self
                .connection
                .prepare_cached("SELECT DISTINCT casing FROM fit_entry WHERE part = ?1 ORDER BY casing")
                .and_then(|mut statement| statement.query_map([&subject.name], |row| row.get(0))?.collect())
                .map_err(|error| self.sql(error)),
            _ => Ok(Vec::new()),
        }
    }
}
