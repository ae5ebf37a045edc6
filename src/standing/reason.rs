//! A reason: why a casing stands as it does.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::book::{Entry, EntryId, Standing};

/// An entry as a reason points at it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EntryRef {
    /// Its identity.
    pub id: EntryId,
    /// Its number in this book.
    pub number: i64,
    /// The day it happened.
    pub on: NaiveDate,
}

impl From<&Entry> for EntryRef {
    fn from(entry: &Entry) -> Self {
        Self { id: entry.id, number: entry.number, on: entry.entry.happened_on }
    }
}

/// One reason for a standing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reason {
    /// What it makes the casing.
    pub standing: Standing,
    /// The rule it rests on.
    pub rule: String,
    /// One sentence for a person.
    pub text: String,
    /// What was measured or counted.
    pub value: String,
    /// What it was held against.
    pub limit: String,
    /// Where that limit comes from.
    pub source: String,
    /// The entry it rests on.
    pub entry: Option<EntryRef>,
    /// The first day it counts; `None`: always.
    pub from: Option<NaiveDate>,
    /// What would clear it.
    pub next: String,
}

impl Reason {
    /// Whether it counts on a day.
    pub fn counts_on(&self, day: NaiveDate) -> bool {
        self.from.is_none_or(|from| day >= from)
    }
}

/// The standing that reasons give on a day: the worst that counts.
pub fn standing_on(reasons: &[Reason], day: NaiveDate) -> Standing {
    reasons
        .iter()
        .filter(|reason| reason.counts_on(day))
        .map(|reason| reason.standing)
        .min()
        .unwrap_or(Standing::InService)
}
