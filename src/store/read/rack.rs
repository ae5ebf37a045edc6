//! The kept standings: a line of the rack, and why a casing stands as it does, without walking its history.

use chrono::NaiveDate;
use rusqlite::OptionalExtension;

use super::day_text;
use crate::book::Standing;
use crate::standing::{Assessment, Due, Reason};
use crate::store::{Book, StoreError};

/// One line of the rack, from the kept standing.
#[derive(Clone, Debug, PartialEq)]
pub struct RackRow {
    /// The casing.
    pub serial: String,
    /// What people call it.
    pub name: Option<String>,
    /// Its standing on the day asked.
    pub standing: Standing,
    /// Firings.
    pub firings: u32,
    /// The weakest mode on paper.
    pub weakest: Option<String>,
    /// Its factor on the MEOP in force.
    pub factor: Option<f64>,
    /// The last day the proof is good for.
    pub due_on: Option<NaiveDate>,
    /// Firings left before something is due.
    pub firings_left: Option<u32>,
    /// The last firing.
    pub last_fired: Option<NaiveDate>,
}

/// The part of a kept assessment that a list shows.
#[derive(Clone, Debug, serde::Deserialize)]
pub struct KeptWhy {
    /// Every reason, worst first; those of a later day carry it.
    pub reasons: Vec<Reason>,
    /// What is due next.
    pub due: Vec<Due>,
    /// Things every later page must say.
    pub flags: Vec<String>,
}

impl Book {
    /// The rack on a day that is not before anything on record, from the kept standings.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack(&self, day: NaiveDate) -> Result<Vec<RackRow>, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT casing, name, worst, later, firings, weakest, factor, due_on, firings_left, last_fired
                 FROM standing ORDER BY casing",
            )
            .map_err(|error| self.sql(error))?;
        let day = day_text(day);
        let rows = statement
            .query_map([], |row| {
                let text = |at: usize| row.get_ref(at).and_then(|it| it.as_str().map_err(Into::into));
                let standing = standing_at(text(2)?, text(3)?, &day);
                let date = |text: Option<String>| text.and_then(|text| text.parse().ok());
                Ok(RackRow {
                    serial: row.get(0)?,
                    name: row.get(1)?,
                    standing,
                    firings: row.get(4)?,
                    weakest: row.get(5)?,
                    factor: row.get(6)?,
                    due_on: date(row.get(7)?),
                    firings_left: row.get(8)?,
                    last_fired: date(row.get(9)?),
                })
            })
            .map_err(|error| self.sql(error))?;
        rows.collect::<rusqlite::Result<Vec<_>>>().map_err(|error| self.sql(error))
    }

    /// The kept assessment of a casing.
    ///
    /// # Errors
    /// The book cannot be read, or what it keeps is not readable.
    pub fn kept_assessment(&self, casing: &str) -> Result<Option<Assessment>, StoreError> {
        self.kept(casing)
    }

    /// Why a casing stands as it does, from its kept assessment: the rest of it is not taken apart.
    ///
    /// # Errors
    /// The book cannot be read, or what it keeps is not readable.
    pub fn kept_why(&self, casing: &str) -> Result<Option<KeptWhy>, StoreError> {
        self.kept(casing)
    }

    fn kept<T: serde::de::DeserializeOwned>(&self, casing: &str) -> Result<Option<T>, StoreError> {
        let text: Option<String> = self
            .connection
            .prepare_cached("SELECT assessment FROM standing WHERE casing = ?1")
            .and_then(|mut statement| statement.query_row([casing], |row| row.get(0)).optional())
            .map_err(|error| self.sql(error))?;
        text.map(|text| serde_json::from_str(&text)).transpose().map_err(|error| StoreError::Damaged {
            path: self.path.clone(),
            why: format!("the kept standing of {casing}: {error}"),
        })
    }
}

/// The standing of a kept row on a day. Days are compared as they are written, which is in their order.
fn standing_at(worst: &str, later: &str, day: &str) -> Standing {
    let worst = Standing::from_word(worst).unwrap_or(Standing::Hold);
    if later == "[]" {
        return worst;
    }
    let later: Vec<(&str, &str)> = serde_json::from_str(later).unwrap_or_default();
    later
        .into_iter()
        .filter(|(from, _)| day >= *from)
        .filter_map(|(_, standing)| Standing::from_word(standing))
        .min()
        .map_or(worst, |it| it.min(worst))
}
