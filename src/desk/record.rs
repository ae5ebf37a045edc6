//! Record an entry: read the form, put in what only the book knows, refuse what must be refused, write it whole.

use chrono::NaiveDate;

use super::own_plan::object_to_plan;
use super::refuse::{object_to, refuse_rule, refuse_study};
use super::{Desk, rule_change, slips, traces};
use crate::book::details::{FitRecord, TraceRecord};
use crate::book::reader::{self, Head, OnRecord, Read};
use crate::book::{
    Answers, Details, Entry, EntryId, FitAction, Kind, Position, Problem, Subject, SubjectOf, seal,
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
    /// A sentence whose quantities are this program's own.
    pub(super) const fn ours(text: String) -> Self {
        Self { text, ours: true }
    }

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
pub(super) struct Beside {
    pub(super) files: Vec<RawFile>,
    /// What is written with it: a firing's trace.
    pub(super) also: Vec<Details>,
    /// The part that leaves a casing, and which.
    pub(super) leaves: Option<(String, String)>,
    pub(super) follows: Vec<Follow>,
    pub(super) warnings: Vec<Problem>,
    /// The entry that this one is written instead of.
    pub(super) instead_of: Option<Entry>,
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
        let second = read.head.second.is_some();
        match &read.details {
            Details::Disposition(record) => {
                self.warn_of_one_name(record, second, &mut read.warnings).unwrap_or_default();
            }
            Details::Rule(record) => {
                read.warnings.extend(self.odd_rule(record, read.head.happened_on).unwrap_or_default());
            }
            // Whether the rules will take it as a proof is said while it can still be put right.
            Details::Proof(record) => self
                .object_to_proof(record, second, read.head.happened_on, &mut read.warnings)
                .unwrap_or_default(),
            Details::Casing(record) => {
                if let Ok(rules) = self.book().rules_on(NaiveDate::MAX) {
                    object_to(&record.design, &rules, &mut read.warnings);
                }
            }
            Details::Firing(record) => {
                if let Some(load) = &record.load
                    && let Ok(Some((plan, _))) = self.book().load(load, read.head.happened_on)
                {
                    let mut planned = record.clone();
                    planned.planned_peak.get_or_insert(plan.peak_pressure.clone());
                    planned.planned_thrust = planned.planned_thrust.or(plan.peak_thrust.clone());
                    planned.planned_impulse = planned.planned_impulse.or(plan.impulse.clone());
                    slips::odd_peaks(&planned, answers, &mut read.warnings);
                    slips::odd_against_load(&planned, &plan, answers, &mut read.warnings);
                }
            }
            _ => {}
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
        if kind != Kind::Rule {
            return reader::read(kind, answers, &desk);
        }
        match rule_change::in_its_unit(answers) {
            Ok(plain) => reader::read(kind, &plain, &desk),
            // Everything else that is wrong is said with it.
            Err(problem) => {
                let mut problems = reader::read(kind, answers, &desk).err().unwrap_or_default();
                problems.retain(|it| it.field != problem.field);
                problems.push(problem);
                Err(problems)
            }
        }
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
        let prepared = self.prepare(kind, answers, bare_numbers, None)?;
        self.write(prepared)
    }

    /// Put in what only the book knows, refuse what it forbids, and read the files that are named.
    pub(super) fn complete(
        &self,
        details: Details,
        answers: &Answers,
        head: &Head,
        id: EntryId,
        beside: &mut Beside,
    ) -> Result<Details, Refusal> {
        let Beside { files, also, leaves, follows, warnings, instead_of } = beside;
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
                self.object_to_proof(&record, second, head.happened_on, warnings)?;
                record.parts = self.fitted(&record.casing, head.happened_on)?;
                Details::Proof(record)
            }
            Details::Firing(mut record) => {
                self.complete_firing(&mut record, answers, head.happened_on, instead_of.as_ref())?;
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
                } else if let Some(old) = instead_of {
                    // What is kept of the firing goes with it: the file itself is in the book already.
                    for trace in self.book().traces_of(old.id)? {
                        let trace = TraceRecord { casing: record.casing.clone(), firing: id, ..trace };
                        traces::fill_from_trace(&mut record, &trace, answers, warnings);
                        also.push(Details::from(trace));
                    }
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
                match record.firing {
                    None => record.firing = self.last_firing(&record.casing, head.happened_on)?,
                    Some(firing) => {
                        self.a_firing_of(&record.casing, firing)?;
                    }
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
                warnings.extend(self.odd_rule(&record, head.happened_on)?);
                Details::Rule(record)
            }
            Details::Study(record) => {
                refuse_study(&record, &self.book().rules_on(NaiveDate::MAX)?)?;
                Details::Study(record)
            }
            Details::Gauge(record) => {
                warnings.extend(self.too_coarse(&record)?);
                warnings.extend(self.known_gauge(&record)?);
                Details::Gauge(record)
            }
            Details::Person(record) => {
                warnings.extend(self.known_person(&record)?);
                Details::Person(record)
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

    pub(super) fn subject_of(&self, details: &Details) -> Result<Subject, StoreError> {
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
    pub(super) fn what_follows(
        &self,
        subject: &Subject,
        entries: &[Entry],
    ) -> Result<Vec<Follow>, StoreError> {
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
    pub(super) fn stands_now(&self, casing: &str) -> Result<Vec<Follow>, StoreError> {
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
