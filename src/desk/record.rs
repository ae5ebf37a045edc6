//! Record an entry: read the form, put in what only the book knows, refuse what must be refused, write it whole.

use chrono::NaiveDate;

use super::own_plan::object_to_plan;
use super::refuse::{object_to, refuse_rule, refuse_study};
use super::{Desk, slips, traces};
use crate::book::details::FitRecord;
use crate::book::reader::{self, Head, OnRecord, Read};
use crate::book::{
    Answers, Details, Entry, EntryId, FitAction, Kind, NewEntry, Position, Problem, Subject, SubjectOf, seal,
};
use crate::design::Design;
use crate::quantity::System;
use crate::standing::Checklist;
use crate::standing::in_units::in_units;
use crate::store::regular;
use crate::store::{Book, RawFile, StoreError};

/// What came of recording.
#[derive(Clone, Debug)]
pub struct Recorded {
    /// The entries written: one, or a firing with its trace.
    pub entries: Vec<Entry>,
    /// What looked like a slip; it stands as typed.
    pub warnings: Vec<Problem>,
    /// What follows, in sentences.
    pub follows: Vec<Follow>,
}

/// One sentence of what follows from an entry, in metric units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Follow {
    /// The sentence.
    pub text: String,
    /// Whether its quantities are this program's own; words of people and names stay as they are.
    ours: bool,
}

impl From<String> for Follow {
    fn from(text: String) -> Self {
        Self { text, ours: false }
    }
}

impl Follow {
    /// The sentence in the units asked for, for a person to read.
    pub fn shown(&self, system: System) -> String {
        if self.ours { in_units(&self.text, system, false) } else { self.text.clone() }
    }
}

/// Why nothing was recorded.
#[derive(Debug)]
pub enum Refusal {
    /// The form is wrong; every problem at once.
    Form(Vec<Problem>),
    /// The record forbids it: a planned firing on a casing that may not be fired.
    Forbidden {
        /// The checklist that forbids it.
        checklist: Box<Checklist>,
        /// The casing.
        casing: String,
    },
    /// The book cannot be written.
    Store(StoreError),
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl Refusal {
    pub(super) fn field(field: &str, message: impl Into<String>) -> Self {
        Self::Form(vec![Problem::new(field, message)])
    }
}

impl OnRecord for Book {
    fn knows(&self, of: SubjectOf, name: &str) -> bool {
        Book::knows(self, of, name).unwrap_or(false)
    }
    fn nearest(&self, of: SubjectOf, name: &str) -> Option<String> {
        Book::nearest(self, of, name).ok().flatten()
    }
    fn alike(&self, of: SubjectOf, name: &str) -> Option<String> {
        Book::alike(self, of, name).ok().flatten()
    }
    fn entry(&self, text: &str) -> Result<EntryId, String> {
        self.find_entry(text).map_err(|error| error.to_string())?
    }
    fn design(&self, casing: &str) -> Option<Design> {
        self.kept_assessment(casing).ok().flatten().and_then(|it| it.design)
    }
}

/// What comes of an entry beside itself.
#[derive(Default)]
struct Beside {
    files: Vec<RawFile>,
    /// What is written with it: a firing's trace.
    also: Vec<Details>,
    /// The part that leaves a casing, and which.
    leaves: Option<(String, String)>,
    follows: Vec<Follow>,
    warnings: Vec<Problem>,
}

impl Desk {
    /// Judge a form without writing anything: problems, or warnings. For the terminal, on every key.
    ///
    /// # Errors
    /// Every problem of every field.
    pub fn check(
        &self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
    ) -> Result<Vec<Problem>, Vec<Problem>> {
        let mut read = self.read(kind, answers, bare_numbers)?;
        read.warnings.extend(self.odd_gauges(&read.details, read.head.happened_on).unwrap_or_default());
        if let Details::Disposition(record) = &read.details {
            let second = read.head.second.is_some();
            self.warn_of_one_name(record, second, &mut read.warnings).unwrap_or_default();
        }
        if let Details::Firing(record) = &read.details
            && let Some(load) = &record.load
            && let Ok(Some((plan, _))) = self.book().load(load, read.head.happened_on)
        {
            let mut planned = record.clone();
            planned.planned_peak.get_or_insert(plan.peak_pressure.clone());
            planned.planned_thrust = planned.planned_thrust.or(plan.peak_thrust.clone());
            planned.planned_impulse = planned.planned_impulse.or(plan.impulse.clone());
            slips::odd_peaks(&planned, answers, &mut read.warnings);
            slips::odd_against_load(&planned, &plan, answers, &mut read.warnings);
        }
        Ok(read.warnings)
    }

    /// What looks like a slip in a form that is not whole yet.
    pub fn odd(&self, kind: Kind, answers: &Answers, bare_numbers: Option<System>) -> Vec<Problem> {
        let desk = reader::Desk { today: self.today(), bare_numbers, on_record: self.book() };
        reader::odd(kind, answers, &desk)
    }

    pub(super) fn read(
        &self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
    ) -> Result<Read, Vec<Problem>> {
        let desk = reader::Desk { today: self.today(), bare_numbers, on_record: self.book() };
        reader::read(kind, answers, &desk)
    }

    /// Record an entry from a form.
    ///
    /// # Errors
    /// The form is wrong, the record forbids it, or the book cannot be written; then nothing was written.
    pub fn record(
        &mut self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
    ) -> Result<Recorded, Refusal> {
        let read = self.read(kind, answers, bare_numbers).map_err(Refusal::Form)?;
        let Read { head, details, warnings } = read;
        if let Details::Strike(strike) = &details
            && let Some(note) = self.book().entry(strike.strikes)?
            && let Some(count) = super::import::import_counted_by(&note)
        {
            return self.strike_import(&note, count, &strike.reason, &head);
        }
        let id = self.next_id();
        let mut beside = Beside { warnings, ..Beside::default() };
        let mut details = self.complete(details, answers, &head, id, &mut beside)?;
        let Beside { files, also, leaves, mut follows, mut warnings } = beside;
        warnings.extend(self.odd_gauges(&details, head.happened_on)?);
        warnings.extend(self.unlisted(&head.by, head.second.as_deref())?);
        self.inherit_repeatability(&mut details, head.happened_on)?;
        let subject = self.subject_of(&details)?;
        self.warn_of_clock(&subject, head.happened_on, &mut warnings)?;
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
        let at = self.now();
        let written = self.book.append(at, new, &files)?;
        follows.extend(self.what_follows(&subject, &written.entries)?);
        if let Some((part, left)) = leaves {
            follows.push(Follow::from(format!("{part} left {left}")));
            follows.extend(self.stands_now(&left)?);
        }
        Ok(Recorded { entries: written.entries, warnings, follows })
    }

    /// Put in what only the book knows, refuse what it forbids, and read the files that are named.
    fn complete(
        &self,
        details: Details,
        answers: &Answers,
        head: &Head,
        id: EntryId,
        beside: &mut Beside,
    ) -> Result<Details, Refusal> {
        let Beside { files, also, leaves, follows, warnings } = beside;
        let second = head.second.is_some();
        Ok(match details {
            Details::Casing(record) => {
                self.refuse_same_revision(&record.serial, &record.revision)?;
                self.refuse_before_a_proof(&record, head.happened_on)?;
                self.odd_birth(&record, head.happened_on, warnings)?;
                object_to(&record.design, &self.book().rules_on(NaiveDate::MAX)?, warnings);
                Details::Casing(record)
            }
            Details::Part(record) => {
                self.refuse_same_part(&record.serial)?;
                Details::Part(record)
            }
            Details::Fit(mut record) => {
                if answers.text("position").is_none()
                    && let Some(position) = self.position_of(&record.part, head.happened_on)?
                {
                    record.position = position;
                }
                self.refuse_wrong_place(&record, head.happened_on)?;
                self.refuse_retired_part(&record, second, head.happened_on, warnings)?;
                self.refuse_marked_tube(&record, head.happened_on)?;
                *leaves = self.casing_left(&record, head.happened_on)?;
                Details::Fit(record)
            }
            Details::Load(record) => {
                self.refuse_same_load(&record)?;
                object_to_plan(&record, warnings).map_err(|problem| Refusal::Form(vec![problem]))?;
                Details::Load(record)
            }
            Details::Batch(record) => {
                self.refuse_unfounded_batch(&record, head.happened_on, follows)?;
                Details::Batch(record)
            }
            Details::Proof(mut record) => {
                self.object_to_proof(&record, head.happened_on, warnings)?;
                record.parts = self.fitted(&record.casing, head.happened_on)?;
                Details::Proof(record)
            }
            Details::Firing(mut record) => {
                self.complete_firing(&mut record, answers, head.happened_on)?;
                slips::odd_peaks(&record, answers, warnings);
                if let Some(load) = &record.load
                    && let Some((load, _)) = self.book().load(load, head.happened_on)?
                {
                    slips::odd_against_load(&record, &load, answers, warnings);
                }
                if let Some(path) = answers.text("trace") {
                    let (trace, file) =
                        self.take_trace(&record.casing, id, &super::paths::home(path), answers)?;
                    traces::fill_from_trace(&mut record, &trace, answers, warnings);
                    files.push(file);
                    also.push(Details::from(trace));
                }
                if let Some(breach) = &record.breach {
                    follows.push(Follow::from(format!(
                        "recorded as a breach: the record forbade it ({}). The standing stays what the rules say",
                        breach.forbidden_by.join(", ")
                    )));
                }
                Details::Firing(record)
            }
            Details::Strip(mut record) => {
                if record.firing.is_none() {
                    record.firing = self.last_firing(&record.casing, head.happened_on)?;
                }
                Details::Strip(record)
            }
            Details::Trace(record) => {
                let firing = self.entry_of_firing(&record)?;
                let path = record.file.clone();
                let (trace, file) =
                    self.take_trace(&record.casing, firing, &super::paths::home(&path), answers)?;
                files.push(file);
                Details::from(trace)
            }
            Details::Disposition(record) => {
                self.check_disposition(&record, second)?;
                self.warn_of_one_name(&record, second, warnings)?;
                Details::Disposition(record)
            }
            Details::Photo(mut record) => {
                let path = super::paths::home(&record.path);
                let bytes = regular::read(&path, regular::RAW)
                    .map_err(|error| Refusal::field("path", super::paths::unreadable(&path, &error)))?;
                record.sha256 = seal::sha256(&bytes);
                Details::Photo(record)
            }
            Details::Strike(mut record) => {
                record.lifts_retirement = self.check_strike(record.strikes, second)?;
                record.eases = self.check_easing(record.strikes, second)?;
                Details::Strike(record)
            }
            Details::Prefire(record) => {
                Details::from(self.complete_prefire(*record, head.happened_on, second)?)
            }
            Details::Rule(record) => {
                refuse_rule(&record, second)?;
                Details::Rule(record)
            }
            Details::Study(record) => {
                refuse_study(&record, &self.book().rules_on(NaiveDate::MAX)?)?;
                Details::Study(record)
            }
            Details::Gauge(record) => {
                warnings.extend(self.too_coarse(&record)?);
                Details::Gauge(record)
            }
            other => other,
        })
    }

    pub(super) fn position_of(&self, part: &str, day: NaiveDate) -> Result<Option<Position>, StoreError> {
        Ok(self.book().last_of(Kind::Part, &Subject::part(part), day)?.and_then(|entry| {
            match &entry.entry.details {
                Details::Part(record) => Some(record.what),
                _ => None,
            }
        }))
    }

    fn subject_of(&self, details: &Details) -> Result<Subject, StoreError> {
        let either = |casing: &Option<String>, part: &Option<String>| match (casing, part) {
            (Some(casing), _) => Subject::casing(casing),
            (None, Some(part)) => Subject::part(part),
            (None, None) => Subject { of: SubjectOf::Book, name: "book".to_owned() },
        };
        Ok(match details {
            Details::Casing(record) => Subject::casing(&record.serial),
            Details::Part(record) => Subject::part(&record.serial),
            // A part's moves belong to its own history; the casing's finds them by the fit's row.
            Details::Fit(record) => Subject::part(&record.part),
            Details::Proof(record) => Subject::casing(&record.casing),
            Details::Load(record) => Subject { of: SubjectOf::Load, name: record.name.clone() },
            Details::Batch(record) => Subject { of: SubjectOf::Batch, name: record.name.clone() },
            Details::Firing(record) => Subject::casing(&record.casing),
            Details::Trace(record) => Subject::casing(&record.casing),
            Details::Strip(record) => Subject::casing(&record.casing),
            Details::Finding(record) => either(&record.casing, &record.part),
            Details::Disposition(record) => either(&record.casing, &record.part),
            Details::Note(record) => either(&record.casing, &record.part),
            Details::Photo(record) => Subject::casing(&record.casing),
            Details::Strike(record) => match self.book().entry(record.strikes)? {
                Some(struck) => struck.entry.subject,
                None => Subject { of: SubjectOf::Book, name: "book".to_owned() },
            },
            Details::Prefire(record) => Subject::casing(&record.casing),
            Details::Rule(record) => Subject { of: SubjectOf::Rule, name: record.rule.clone() },
            Details::Gauge(record) => Subject { of: SubjectOf::Gauge, name: record.serial.clone() },
            Details::Study(record) => Subject { of: SubjectOf::Gauge, name: record.gauge.clone() },
            Details::Person(record) => Subject { of: SubjectOf::Person, name: record.name.clone() },
        })
    }

    /// What the entry changed, in sentences a person can act on.
    fn what_follows(&self, subject: &Subject, entries: &[Entry]) -> Result<Vec<Follow>, StoreError> {
        let casing = match (subject.of, entries.first().map(|entry| &entry.entry.details)) {
            (SubjectOf::Casing, _) => subject.name.clone(),
            (_, Some(Details::Fit(fit))) => fit.casing.clone(),
            _ => return Ok(Vec::new()),
        };
        self.stands_now(&casing)
    }

    /// The casing a part is taken from by being fitted in another, and the part.
    fn casing_left(
        &self,
        record: &FitRecord,
        day: NaiveDate,
    ) -> Result<Option<(String, String)>, StoreError> {
        if record.action != FitAction::Fitted {
            return Ok(None);
        }
        let last = self.book().last_of(Kind::Fit, &Subject::part(&record.part), day)?;
        Ok(match last.map(|entry| entry.entry.details) {
            Some(Details::Fit(fit)) if fit.action == FitAction::Fitted && fit.casing != record.casing => {
                Some((fit.part, fit.casing))
            }
            _ => None,
        })
    }

    /// How a casing stands today, why, and what comes next.
    fn stands_now(&self, casing: &str) -> Result<Vec<Follow>, StoreError> {
        let day = self.today();
        let assessed = self.assess(casing, day)?;
        if assessed.design.is_none() {
            return Ok(vec![Follow::from(format!(
                "{casing} is not registered any more: no registration of it stands. proofmark log casing registers it again"
            ))]);
        }
        let standing = assessed.standing(day);
        let mut follows = vec![Follow::from(format!("{casing} stands: {standing}"))];
        if let Some(reason) =
            assessed.reasons_on(day).first().filter(|it| it.standing != crate::book::Standing::InService)
        {
            let because = format!("because {}", reason.text);
            follows.push(Follow { text: because, ours: !reason.in_peoples_words() });
            if !reason.next.is_empty() {
                follows.push(Follow { text: format!("next for {casing}: {}", reason.next), ours: true });
            }
        }
        Ok(follows)
    }
}
