//! The use cases the two faces share: record an entry, look at the rack, run a pre-fire, read a trace.
//!
//! A [`Desk`] is an open book with a clock, a source of identities and a person. Both faces hand it text
//! ([`crate::book::Answers`]) and get views back; neither knows the other's.

pub mod about;
pub mod after;
pub mod again;
pub mod batches;
pub mod bench;
pub mod bulge;
pub mod calculators;
mod complete;
mod counts;
pub mod decide;
pub mod file_source;
mod fired;
pub mod import;
mod inherited;
pub mod instruments;
mod look;
mod own_plan;
pub mod paper;
pub mod part;
pub mod paths;
mod prepared;
pub mod proof;
mod record;
mod refuse;
mod rule_change;
mod slips;
pub mod trace_job;
pub mod traces;
mod tried;
pub mod view;
pub mod what_if;
pub mod who;

use std::path::Path;

use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

pub use again::{Again, Crossing, Saved};
pub use look::Planned;
pub use prepared::Prepared;
pub use record::{Follow, Recorded, Refusal};

use crate::book::EntryId;
use crate::store::{Book, Creation, StoreError};

/// What time it is and what identity comes next. The real ones live in `main`, fixed ones in the demo.
pub trait Surroundings {
    /// The moment.
    fn now(&self) -> DateTime<Utc>;
    /// The day where the person is.
    fn today(&self) -> NaiveDate;
    /// A new identity (UUID version 7) for something written now.
    fn identity(&mut self) -> Uuid;
}

/// An open book and its surroundings.
pub struct Desk {
    book: Book,
    surroundings: Box<dyn Surroundings>,
    /// The day a question is asked for, where it is not today.
    asked_day: Option<NaiveDate>,
}

impl Desk {
    /// Sit down with a book for reading.
    ///
    /// # Errors
    /// As [`Book::open_reading`].
    pub fn reading(path: &Path, surroundings: Box<dyn Surroundings>) -> Result<Self, StoreError> {
        Ok(Self { book: Book::open_reading(path)?, surroundings, asked_day: None })
    }

    /// Sit down with a book for writing, beginning one where there is none.
    ///
    /// # Errors
    /// As [`Book::open_writing`].
    pub fn writing(
        path: &Path,
        mut surroundings: Box<dyn Surroundings>,
        fixed_day: Option<NaiveDate>,
    ) -> Result<Self, StoreError> {
        let creation = Creation { origin: surroundings.identity(), at: surroundings.now(), fixed_day };
        let book = Book::open_writing(path, Some(creation))?;
        Ok(Self { book, surroundings, asked_day: None })
    }

    /// Sit down with a book that is in no file, to try an entry out.
    ///
    /// # Errors
    /// As [`Book::in_memory`].
    pub fn in_memory(mut surroundings: Box<dyn Surroundings>) -> Result<Self, StoreError> {
        let creation = Creation { origin: surroundings.identity(), at: surroundings.now(), fixed_day: None };
        Ok(Self { book: Book::in_memory(creation)?, surroundings, asked_day: None })
    }

    /// Sit down with an open book.
    pub fn with(book: Book, surroundings: Box<dyn Surroundings>) -> Self {
        Self { book, surroundings, asked_day: None }
    }

    /// Ask about another day than today.
    pub fn ask_for(&mut self, day: Option<NaiveDate>) {
        self.asked_day = day;
    }

    /// The day it is in this book: fixed in a demonstration, else today.
    pub fn today(&self) -> NaiveDate {
        self.book.fixed_day().unwrap_or_else(|| self.surroundings.today())
    }

    /// The day questions are asked for.
    pub fn day(&self) -> NaiveDate {
        self.asked_day.unwrap_or_else(|| self.today())
    }

    /// The moment.
    pub fn now(&self) -> DateTime<Utc> {
        self.surroundings.now()
    }

    /// The book.
    pub fn book(&self) -> &Book {
        &self.book
    }

    /// Open the book anew if another one was put in its place; whether it was.
    ///
    /// # Errors
    /// As [`Book::look_whether_replaced`].
    pub fn look_whether_replaced(&mut self) -> Result<bool, StoreError> {
        self.book.look_whether_replaced()
    }

    fn next_id(&mut self) -> EntryId {
        EntryId(self.surroundings.identity())
    }
}
