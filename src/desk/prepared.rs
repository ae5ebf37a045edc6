//! An entry made ready and not written yet: everything that would be said of it is known, and it can still be put
//! right.

use super::Desk;
use super::record::{Beside, Follow, Recorded, Refusal};
use crate::book::reader::Read;
use crate::book::{Answers, Details, Entry, EntryId, Kind, NewEntry, Problem, Subject};
use crate::quantity::System;
use crate::store::RawFile;

/// An entry made ready.
#[derive(Debug)]
pub struct Prepared {
    what: What,
    warnings: Vec<Problem>,
    /// What is said with the entry and keeps nobody from writing it: nothing typed could be put right.
    notices: Vec<Problem>,
}

#[derive(Debug)]
enum What {
    /// One entry, or a firing with its trace.
    Entries {
        subject: Subject,
        new: Vec<(NewEntry, EntryId)>,
        files: Vec<RawFile>,
        follows: Vec<Follow>,
        /// The part that leaves a casing, and which.
        leaves: Option<(String, String)>,
    },
    /// The strike of a whole import.
    Import { note: Box<Entry>, count: i64, reason: String, head: crate::book::reader::Head },
}

impl Prepared {
    /// What is to be looked at before it is written; each stands as typed where it is.
    pub fn warnings(&self) -> &[Problem] {
        &self.warnings
    }
}

impl Desk {
    /// Make an entry ready: read it, put in what only the book knows, refuse what must be refused. Nothing is written.
    ///
    /// # Errors
    /// The form is wrong, the record forbids it, or the book cannot be read.
    pub fn prepare(
        &mut self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
        instead_of: Option<&Entry>,
    ) -> Result<Prepared, Refusal> {
        let Read { head, details, warnings } =
            self.read(kind, answers, bare_numbers).map_err(Refusal::Form)?;
        if let Details::Strike(strike) = &details
            && let Some(note) = self.book().entry(strike.strikes)?
            && let Some(count) = super::import::import_counted_by(&note)
        {
            let what = What::Import { note: Box::new(note), count, reason: strike.reason.clone(), head };
            return Ok(Prepared { what, warnings: Vec::new(), notices: Vec::new() });
        }
        let id = self.next_id();
        let mut beside = Beside { warnings, instead_of: instead_of.cloned(), ..Beside::default() };
        let mut details = self.complete(details, answers, &head, id, &mut beside)?;
        let Beside { files, also, leaves, follows, mut warnings, .. } = beside;
        warnings.extend(self.odd_gauges(&details, head.happened_on)?);
        // Whoever is not on the list would be asked about it at every entry.
        let notices = self.unlisted(&head.by, head.second.as_deref())?;
        self.inherit_repeatability(&mut details, head.happened_on)?;
        let subject = self.subject_of(&details)?;
        // What is written again bears the day it bore before: nobody's clock is wrong for that.
        if instead_of.is_none_or(|old| old.entry.happened_on != head.happened_on) {
            self.warn_of_clock(&subject, head.happened_on, &mut warnings)?;
        }
        let make = |subject: &Subject, details: Details| NewEntry {
            subject: subject.clone(),
            happened_on: head.happened_on,
            date_approximate: head.date_approximate,
            recorded_by: head.by.clone(),
            second: head.second.clone(),
            details,
        };
        let mut new = vec![(make(&subject, details), id)];
        for details in also {
            let id = self.next_id();
            new.push((make(&subject, details), id));
        }
        Ok(Prepared { what: What::Entries { subject, new, files, follows, leaves }, warnings, notices })
    }

    /// Write what was made ready.
    ///
    /// # Errors
    /// The book cannot be written, or a strike is refused; then nothing was written.
    pub fn write(&mut self, prepared: Prepared) -> Result<Recorded, Refusal> {
        let Prepared { what, mut warnings, notices } = prepared;
        warnings.extend(notices);
        let (subject, new, files, mut follows, leaves) = match what {
            What::Import { note, count, reason, head } => {
                return self.strike_import(&note, count, &reason, &head);
            }
            What::Entries { subject, new, files, follows, leaves } => (subject, new, files, follows, leaves),
        };
        let before = match &new[..] {
            [(NewEntry { details: Details::Rule(record), happened_on, .. }, _)] => {
                Some((record.clone(), self.book().rules_on(*happened_on)?, self.standings()?))
            }
            _ => None,
        };
        let at = self.now();
        let written = self.book.append(at, new, &files)?;
        follows.extend(self.what_follows(&subject, &written.entries)?);
        if let Some((record, rules, stood)) = before {
            follows.extend(self.rule_changed(&record, &rules, &stood)?);
        }
        if let Some((part, left)) = leaves {
            follows.push(Follow::from(format!("{part} left {left}")));
            follows.extend(self.stands_now(&left)?);
        }
        Ok(Recorded { entries: written.entries, warnings, follows })
    }
}
