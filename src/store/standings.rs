//! The kept row of a casing: what its entries give, worked out once and written with the entry that changed it.

use std::path::Path;

use chrono::NaiveDate;
use rusqlite::{Connection, params};

use super::StoreError;
use super::memory::Judged;
use super::read::{history, rules_on};
use crate::book::{Details, Entry, Kind, SubjectOf};
use crate::standing::{self, Assessment, History, RuleSet};

/// Every column of a kept standing.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Kept {
    pub casing: String,
    pub name: Option<String>,
    pub worst: String,
    pub later: String,
    pub firings: u32,
    pub weakest: Option<String>,
    pub factor: Option<f64>,
    pub due_on: Option<String>,
    pub firings_left: Option<u32>,
    pub last_fired: Option<String>,
    pub assessment: String,
    pub through: i64,
}

/// The columns, in the order of [`Kept`].
pub(super) const COLUMNS: &str = "casing, name, worst, later, firings, weakest, factor, due_on, firings_left,
                                  last_fired, assessment, through";

impl Kept {
    /// As a row of [`COLUMNS`].
    pub(super) fn from_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            casing: row.get(0)?,
            name: row.get(1)?,
            worst: row.get(2)?,
            later: row.get(3)?,
            firings: row.get(4)?,
            weakest: row.get(5)?,
            factor: row.get(6)?,
            due_on: row.get(7)?,
            firings_left: row.get(8)?,
            last_fired: row.get(9)?,
            assessment: row.get(10)?,
            through: row.get(11)?,
        })
    }

    /// What the entries of a casing give; nothing before it is registered.
    pub(super) fn of(
        casing: &str,
        entries: &[Entry],
        rules: &RuleSet,
    ) -> Result<Option<Self>, serde_json::Error> {
        Self::of_assessed(
            casing,
            entries,
            &standing::assess(History { serial: casing, entries, rules }, NaiveDate::MAX),
        )
    }

    fn of_assessed(
        casing: &str,
        entries: &[Entry],
        assessed: &Assessment,
    ) -> Result<Option<Self>, serde_json::Error> {
        if assessed.design.is_none() {
            return Ok(None);
        }
        let now: Vec<_> = assessed.reasons.iter().filter(|it| it.from.is_none()).cloned().collect();
        let worst = standing::reason::standing_on(&now, NaiveDate::MIN);
        let later: Vec<(NaiveDate, &str)> =
            assessed.reasons.iter().filter_map(|it| it.from.map(|from| (from, it.standing.word()))).collect();
        let last_fired = entries
            .iter()
            .filter(|it| matches!(&it.entry.details, Details::Firing(firing) if firing.casing == casing))
            .map(|it| it.entry.happened_on)
            .max();
        Ok(Some(Self {
            casing: casing.to_owned(),
            worst: worst.word().to_owned(),
            later: serde_json::to_string(&later)?,
            firings: assessed.firings,
            factor: assessed.factor(),
            due_on: assessed.next_due_on().map(|day| day.to_string()),
            firings_left: assessed.firings_left(),
            last_fired: last_fired.map(|day| day.to_string()),
            assessment: serde_json::to_string(assessed)?,
            // What a part saw in another casing comes with its history and changes nothing here.
            through: entries
                .iter()
                .filter(|it| {
                    let subject = &it.entry.subject;
                    subject.of != SubjectOf::Casing || subject.name == casing || it.kind() == Kind::Strike
                })
                .map(|it| it.number)
                .max()
                .unwrap_or_default(),
            weakest: assessed.weakest.as_ref().map(|(mode, _)| mode.clone()),
            name: assessed.name.clone(),
        }))
    }

    pub(super) fn write(&self, connection: &Connection) -> rusqlite::Result<()> {
        connection
            .prepare_cached(&format!(
                "INSERT OR REPLACE INTO standing ({COLUMNS})
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"
            ))?
            .execute(params![
                self.casing,
                self.name,
                self.worst,
                self.later,
                self.firings,
                self.weakest,
                self.factor,
                self.due_on,
                self.firings_left,
                self.last_fired,
                self.assessment,
                self.through,
            ])
            .map(|_| ())
    }
}

/// Work out a casing's standing from its entries and keep it; what it was worked out to comes back.
pub(super) fn keep_standing(
    connection: &Connection,
    casing: &str,
    path: &Path,
) -> Result<Judged, StoreError> {
    let rules = rules_on(connection, NaiveDate::MAX, path)?;
    keep_standing_by(connection, casing, &rules, path)
}

/// The same under rules already read.
pub(super) fn keep_standing_by(
    connection: &Connection,
    casing: &str,
    rules: &RuleSet,
    path: &Path,
) -> Result<Judged, StoreError> {
    let entries = history(connection, casing, path)?;
    let assessed = standing::assess(History { serial: casing, entries: &entries, rules }, NaiveDate::MAX);
    let kept = Kept::of_assessed(casing, &entries, &assessed)
        .map_err(|error| StoreError::Damaged { path: path.to_path_buf(), why: error.to_string() })?;
    match kept {
        Some(kept) => kept.write(connection),
        None => connection.execute("DELETE FROM standing WHERE casing = ?1", [casing]).map(|_| ()),
    }
    .map_err(|error| StoreError::from_sql(path, error))?;
    Ok(Judged { casing: casing.to_owned(), assessed, entries })
}
