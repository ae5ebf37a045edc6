//! What is on record? The entries of the ledger as plain types, the forms that read them, their seals.
//!
//! Nothing here knows SQL, a screen or a clock. An [`Entry`] is one line of the ledger: who wrote what,
//! about which subject, when it happened and when it was written. It is never changed; a correction is
//! another entry that strikes it.

pub mod again;
pub mod alike;
pub mod answers;
pub mod cautions;
pub mod cut_off;
pub mod damage;
pub mod details;
pub mod form;
pub mod forms;
pub mod inspection;
mod order;
pub mod reader;
pub mod reading;
pub mod seal;
pub mod words;

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

pub use answers::Answers;
pub use details::Details;
pub use form::{Ask, Field, Form, Problem};
pub use order::{corrects, in_order, in_place_of_what_they_correct};
pub use reading::{Phase, Reading, What};
pub use words::*;

/// The identity of an entry, the same in every book that holds it (UUID version 7).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EntryId(pub Uuid);

impl std::fmt::Display for EntryId {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{}", self.0)
    }
}

impl EntryId {
    /// A short mark, the same on every laptop, where the numbers of two merged books differ: `~` and the last six
    /// digits, which are random (the first ones are the time). Within a book of hundreds of entries it is one entry's.
    pub fn mark(&self) -> String {
        let text = self.0.simple().to_string();
        format!("~{}", text.get(26..).unwrap_or(&text))
    }
}

/// What an entry is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Subject {
    /// Which kind of thing.
    pub of: SubjectOf,
    /// Its serial or name.
    pub name: String,
}

impl Subject {
    /// A casing by serial.
    pub fn casing(serial: &str) -> Self {
        Self { of: SubjectOf::Casing, name: serial.to_owned() }
    }
    /// A part by serial.
    pub fn part(serial: &str) -> Self {
        Self { of: SubjectOf::Part, name: serial.to_owned() }
    }
}

/// An entry as somebody hands it in, before the book gives it a place and a seal.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEntry {
    /// What it is about.
    pub subject: Subject,
    /// The day it happened.
    pub happened_on: NaiveDate,
    /// Whether that day is a guess, as in a back-entered notebook.
    pub date_approximate: bool,
    /// Who writes it.
    pub recorded_by: String,
    /// The independent second person, where one stood by it.
    pub second: Option<String>,
    /// What it says.
    pub details: Details,
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its place in this book, in order of arrival; a person says "entry 41". Not part of the seal.
    pub number: i64,
    /// Its identity everywhere.
    pub id: EntryId,
    /// The book that wrote it.
    pub origin: Uuid,
    /// Its place among the entries of that book.
    pub sequence: i64,
    /// When it was written down.
    pub recorded_at: DateTime<Utc>,
    /// The entry as handed in.
    pub entry: NewEntry,
    /// How much of every other book its book held when it was written: the last sequence of each origin. Empty in a
    /// book that was never merged. Sealed with the entry.
    pub seen: BTreeMap<Uuid, i64>,
    /// SHA-256 over the canonical JSON of this entry and the seal before it in its origin.
    pub seal: String,
}

impl Entry {
    /// Which kind it is.
    pub fn kind(&self) -> Kind {
        self.entry.details.kind()
    }

    /// Whether its writer's book held another entry when it was written. Two entries of which neither knew the
    /// other were written on two laptops apart.
    pub fn knew(&self, other: &Self) -> bool {
        if self.origin == other.origin {
            other.sequence < self.sequence
        } else {
            self.seen.get(&other.origin).is_some_and(|last| other.sequence <= *last)
        }
    }

    /// By day, then by when and where it was written. [`in_order`] also heeds what was known.
    pub fn timeline_key(&self) -> (NaiveDate, DateTime<Utc>, Uuid, i64) {
        (self.entry.happened_on, self.recorded_at, self.origin, self.sequence)
    }
}
