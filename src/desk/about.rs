//! What is on record about anything that has a name, and the whole book as a journal. Nothing here writes.

use chrono::NaiveDate;

use super::Desk;
use super::record::Refusal;
use crate::book::reading::shorten;
use crate::book::{Problem, Subject, SubjectOf, reader, reader::folded};
use crate::standing::rules;
use crate::store::{EntryLine, Filter, StoreError};

/// Everything on record about a load, a batch, a gauge, a person or a rule.
#[derive(Clone, Debug)]
pub struct AboutPage {
    /// The day it is asked for.
    pub day: NaiveDate,
    /// What it is about.
    pub subject: Subject,
    /// Every entry about it, in the order they happened, struck ones included.
    pub lines: Vec<EntryLine>,
    /// What else is on record under the same name.
    pub others: Vec<SubjectOf>,
}

/// Where a journal begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since {
    /// With the first entry.
    Ever,
    /// With what was written down on a day.
    Day(NaiveDate),
    /// After an entry.
    Entry(i64),
}

impl Since {
    /// From the words of a person: a date as people write it, or the number of an entry.
    ///
    /// # Errors
    /// The words are neither.
    pub fn from_words(words: &str, today: NaiveDate) -> Result<Self, String> {
        let bare = words.trim().trim_start_matches('#');
        if bare.len() < 8
            && let Ok(number) = bare.parse::<i64>()
        {
            return Ok(Self::Entry(number));
        }
        reader::read_date(bare, today).map(Self::Day).map_err(|_| {
            format!("\"{}\" is neither a day (2026-10-03) nor the number of an entry", shorten(words))
        })
    }
}

/// The kinds of thing that a name may be of, in the order they are looked through.
const NAMED: &[SubjectOf] = &[
    SubjectOf::Casing,
    SubjectOf::Part,
    SubjectOf::Load,
    SubjectOf::Batch,
    SubjectOf::Gauge,
    SubjectOf::Person,
    SubjectOf::Rule,
];

impl Desk {
    /// Everything on record that bears a name, casings and parts first.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn named(&self, name: &str) -> Result<Vec<Subject>, StoreError> {
        let mut found = Vec::new();
        for of in NAMED {
            let mut name = name.trim().to_owned();
            if *of == SubjectOf::Person {
                let people = self.book().names(*of)?;
                name = people.into_iter().find(|it| folded(it) == folded(&name)).unwrap_or(name);
            }
            let subject = Subject { of: *of, name };
            let known = self.book().knows(*of, &subject.name)?
                || (*of == SubjectOf::Rule && rules::spec(&subject.name).is_some())
                // What was struck altogether is still readable.
                || !self.book().lines(&Filter::About(subject.clone()), NaiveDate::MAX)?.is_empty();
            if known {
                found.push(subject);
            }
        }
        Ok(found)
    }

    /// Everything on record about a thing.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn about(&self, subject: Subject, others: Vec<SubjectOf>) -> Result<AboutPage, StoreError> {
        let day = self.day();
        let until = if day >= self.today() { NaiveDate::MAX } else { day };
        let lines = self.book().lines(&Filter::About(subject.clone()), until)?;
        Ok(AboutPage { day, subject, lines, others })
    }

    /// That nothing bears a name, with what is meant perhaps.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn nothing_named(&self, name: &str) -> Result<Refusal, StoreError> {
        // What a casing is called is no serial: that is said as it is everywhere.
        if let Err(Refusal::Form(problems)) = self.must_know(SubjectOf::Casing, "name", name)
            && problems.iter().any(|it| it.message.contains(" is what "))
        {
            return Ok(Refusal::Form(problems));
        }
        let mut near = None;
        for of in NAMED {
            near = match near {
                None => self.book().nearest(*of, name)?,
                found => found,
            };
        }
        let hint = near.map_or_else(
            || "proofmark rack lists the casings, proofmark journal every entry".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        let message = format!(
            "no casing \"{}\" is on record, and no part, load, batch, gauge, person or rule of that name; {hint}",
            shorten(name)
        );
        Ok(Refusal::Form(vec![Problem::new("name", message)]))
    }

    /// What was written into the book, in the order it arrived, the newest last.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn journal(&self, since: Since) -> Result<Vec<EntryLine>, StoreError> {
        let (after, from) = match since {
            Since::Ever => (0, None),
            Since::Day(day) => (0, Some(day)),
            Since::Entry(number) => (number, None),
        };
        let found = self.book().written_since(after, from)?;
        let mut lines = self.book().lines_of(found, NaiveDate::MAX)?;
        lines.sort_by_key(|line| line.entry.number);
        Ok(lines)
    }
}
