//! What was worked out from a book and holds until somebody writes into it: a screen asks the same at every key.

use std::any::Any;
use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

use chrono::NaiveDate;
use rusqlite::{Connection, OptionalExtension};

use super::{Book, RackRow, StoreError};
use crate::book::Entry;
use crate::standing::Assessment;

/// Answers kept at most: a screen asks of a few things, and a person types on.
const MOST: usize = 256;

/// Which writing of a book something was worked out from: what others wrote, and the last entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Mark {
    /// Changes with what another connection writes, whatever it is.
    others: i64,
    /// The last entry, which changes with what this one writes. (Drafts are no entries.)
    last: Option<(i64, String)>,
}

impl Mark {
    pub(super) fn of(connection: &Connection) -> rusqlite::Result<Self> {
        Ok(Self {
            others: connection.prepare_cached("PRAGMA data_version")?.query_row([], |row| row.get(0))?,
            last: connection
                .prepare_cached("SELECT number, seal FROM entry ORDER BY number DESC LIMIT 1")?
                .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
                .optional()?,
        })
    }
}

#[derive(Default)]
struct Remembered {
    mark: Option<Mark>,
    answers: HashMap<(&'static str, String), Arc<dyn Any + Send + Sync>>,
}

/// What is remembered of a book.
#[derive(Default)]
pub(super) struct Memory(RefCell<Remembered>);

impl Memory {
    /// What is known of a question and still holds; with the writing an answer would be of.
    fn look(
        &self,
        connection: &Connection,
        question: &(&'static str, String),
    ) -> rusqlite::Result<(Mark, Option<Arc<dyn Any + Send + Sync>>)> {
        let mark = Mark::of(connection)?;
        let mut remembered = self.0.borrow_mut();
        if remembered.mark.as_ref() != Some(&mark) {
            *remembered = Remembered { mark: Some(mark.clone()), ..Remembered::default() };
        }
        Ok((mark, remembered.answers.get(question).cloned()))
    }

    /// Forget everything and begin with what a writing worked out.
    pub(super) fn begin(&self, mark: Mark, judged: Vec<Judged>) {
        let mut answers: HashMap<_, Arc<dyn Any + Send + Sync>> = HashMap::new();
        for Judged { casing, assessed, entries } in judged {
            answers.insert((ASSESSED, about_assessed(&casing, NaiveDate::MAX)), Arc::new(assessed));
            answers.insert(last_history(), Arc::new(KeptHistory { casing, entries: Arc::new(entries) }));
        }
        *self.0.borrow_mut() = Remembered { mark: Some(mark), answers };
    }

    /// Keep what was worked out after a look. Where somebody wrote in between, the next look sees that and forgets.
    fn keep(&self, mark: &Mark, question: (&'static str, String), answer: Arc<dyn Any + Send + Sync>) {
        let mut remembered = self.0.borrow_mut();
        if remembered.mark.as_ref() == Some(mark) {
            if remembered.answers.len() >= MOST {
                remembered.answers.clear();
            }
            remembered.answers.insert(question, answer);
        }
    }
}

/// A casing as a writing left it.
pub(super) struct Judged {
    /// Its serial.
    pub casing: String,
    /// How it stands when every entry counts.
    pub assessed: Assessment,
    /// Every entry that can bear on it.
    pub entries: Vec<Entry>,
}

/// The history read last.
struct KeptHistory {
    casing: String,
    entries: Arc<Vec<Entry>>,
}

/// Not by casing: only the last one is kept.
fn last_history() -> (&'static str, String) {
    ("history", String::new())
}

const ASSESSED: &str = "assessment";

fn about_assessed(casing: &str, counted: NaiveDate) -> String {
    format!("{counted} {casing}")
}

impl Book {
    /// What the entries of a casing until a day give, walked once; `walk` does it where nobody did since the last
    /// writing.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn assessed(
        &self,
        casing: &str,
        counted: NaiveDate,
        walk: impl FnOnce() -> Result<Assessment, StoreError>,
    ) -> Result<Arc<Assessment>, StoreError> {
        self.remembered(ASSESSED, about_assessed(casing, counted), walk)
    }

    /// Every entry that can bear on a casing, as [`Book::history`] reads them. The last one asked for is kept: a page,
    /// the forms over it and the plan after it ask again, and a long history takes longer to read than to judge.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn history_kept(&self, casing: &str) -> Result<Arc<Vec<Entry>>, StoreError> {
        let (mark, known) =
            self.memory.look(&self.connection, &last_history()).map_err(|error| self.sql(error))?;
        if let Some(kept) = known.and_then(|known| known.downcast::<KeptHistory>().ok())
            && kept.casing == casing
        {
            return Ok(kept.entries.clone());
        }
        let entries = Arc::new(self.history(casing)?);
        let kept = KeptHistory { casing: casing.to_owned(), entries: entries.clone() };
        self.memory.keep(&mark, last_history(), Arc::new(kept));
        Ok(entries)
    }

    /// The answer to a question about what is on record, worked out once and again only after somebody wrote. The
    /// question is what is asked and about what; it must name all that the answer rests on beside the book.
    ///
    /// # Errors
    /// The book cannot be read, or what working it out gives.
    pub fn remembered<T: Send + Sync + 'static, E: From<StoreError>>(
        &self,
        asked: &'static str,
        about: String,
        work_out: impl FnOnce() -> Result<T, E>,
    ) -> Result<Arc<T>, E> {
        let question = (asked, about);
        let (mark, known) = self.memory.look(&self.connection, &question).map_err(|error| self.sql(error))?;
        if let Some(known) = known.and_then(|known| known.downcast().ok()) {
            return Ok(known);
        }
        let answer = Arc::new(work_out()?);
        self.memory.keep(&mark, question, answer.clone());
        Ok(answer)
    }

    /// The rack on a day, read once for every screen that lists it.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack_shared(&self, day: NaiveDate) -> Result<Arc<Vec<RackRow>>, StoreError> {
        self.remembered("rack", day.to_string(), || self.rack(day))
    }
}
