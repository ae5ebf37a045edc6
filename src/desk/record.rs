//! Record an entry: read the form, put in what only the book knows, refuse what must be refused, write it whole.

use chrono::NaiveDate;
use std::path::Path;

use super::{Desk, Planned, traces};
use crate::book::details::{Breach, FiringRecord, ItemAttested, PartAt, PrefireRecord, TraceRecord};
use crate::book::form::nearest;
use crate::book::reader::{self, OnRecord, Read};
use crate::book::{
    Answers, Attested, Decision, Details, Entry, EntryId, Kind, NewEntry, Position, Problem, Subject,
    SubjectOf, seal,
};
use crate::design::Design;
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::standing::{self, Checklist, EntryRef, ItemState, Reason, prefire::Plan};
use crate::store::{Book, StoreError};
use crate::strength;

/// What came of recording.
#[derive(Clone, Debug)]
pub struct Recorded {
    /// The entries written: one, or a firing with its trace.
    pub entries: Vec<Entry>,
    /// What looked like a slip; it stands as typed.
    pub warnings: Vec<Problem>,
    /// What follows, in sentences.
    pub follows: Vec<String>,
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
    fn field(field: &str, message: impl Into<String>) -> Self {
        Self::Form(vec![Problem::new(field, message)])
    }
}

impl OnRecord for Book {
    fn knows(&self, of: SubjectOf, name: &str) -> bool {
        Book::knows(self, of, name).unwrap_or(false)
    }
    fn nearest(&self, of: SubjectOf, name: &str) -> Option<String> {
        let names = self.names(of).ok()?;
        nearest(name, names.iter().map(String::as_str)).map(str::to_owned)
    }
    fn entry(&self, text: &str) -> Result<EntryId, String> {
        self.find_entry(text).map_err(|error| error.to_string())?
    }
    fn design(&self, casing: &str) -> Option<Design> {
        self.kept_assessment(casing).ok().flatten().and_then(|it| it.design)
    }
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
        self.read(kind, answers, bare_numbers).map(|read| read.warnings)
    }

    fn read(
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
        let Read { head, details, mut warnings } = read;
        let second = head.second.is_some();
        let mut files = Vec::new();
        let mut follows = Vec::new();
        let id = self.next_id();
        let mut also = Vec::new();
        let details = match details {
            Details::Casing(record) => {
                self.refuse_same_revision(&record.serial, &record.revision)?;
                object_to(
                    &record.design,
                    self.book().rules_on(NaiveDate::MAX)?.value("proof-factor"),
                    &mut warnings,
                );
                Details::Casing(record)
            }
            Details::Part(record) => {
                if self.book().knows(SubjectOf::Part, &record.serial)? {
                    return Err(Refusal::field(
                        "serial",
                        format!(
                            "{} is on record already; a part keeps one serial for life. To correct it, strike that entry first",
                            record.serial
                        ),
                    ));
                }
                Details::Part(record)
            }
            Details::Fit(mut record) => {
                if answers.text("position").is_none()
                    && let Some(position) = self.position_of(&record.part, head.happened_on)?
                {
                    record.position = position;
                }
                self.refuse_retired_part(&record)?;
                Details::Fit(record)
            }
            Details::Load(record) => {
                if let Some((old, _)) = self.book().load(&record.name, NaiveDate::MAX)?
                    && old.revision == record.revision
                {
                    return Err(Refusal::field(
                        "revision",
                        format!(
                            "load {} revision {} is on record; give the next revision, or strike it first",
                            record.name, record.revision
                        ),
                    ));
                }
                Details::Load(record)
            }
            Details::Batch(record) => {
                if self.book().knows(SubjectOf::Batch, &record.name)? {
                    return Err(Refusal::field(
                        "name",
                        format!(
                            "batch {} is on record already; to correct it, strike that entry first",
                            record.name
                        ),
                    ));
                }
                Details::Batch(record)
            }
            Details::Proof(mut record) => {
                self.object_to_proof(&record, head.happened_on, &mut warnings)?;
                record.parts = self.fitted(&record.casing, head.happened_on)?;
                Details::Proof(record)
            }
            Details::Firing(mut record) => {
                self.complete_firing(&mut record, answers, head.happened_on)?;
                if let Some(path) = answers.text("trace") {
                    let (trace, file) = self.take_trace(&record.casing, id, Path::new(path), answers)?;
                    traces::fill_from_trace(&mut record, &trace, answers, &mut warnings);
                    files.push(file);
                    also.push(Details::from(trace));
                }
                if let Some(breach) = &record.breach {
                    follows.push(format!(
                        "recorded as a breach: the record forbade it ({}). The standing stays what the rules say",
                        breach.forbidden_by.join(", ")
                    ));
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
                let (trace, file) = self.take_trace(&record.casing, firing, Path::new(&path), answers)?;
                files.push(file);
                Details::from(trace)
            }
            Details::Disposition(record) => {
                self.check_disposition(&record, second)?;
                Details::Disposition(record)
            }
            Details::Photo(mut record) => {
                let bytes = std::fs::read(&record.path).map_err(|error| {
                    Refusal::field("path", format!("{} cannot be read: {error}", record.path))
                })?;
                record.sha256 = seal::sha256(&bytes);
                Details::Photo(record)
            }
            Details::Strike(mut record) => {
                record.lifts_retirement = self.check_strike(record.strikes, second)?;
                Details::Strike(record)
            }
            Details::Prefire(record) => {
                Details::from(self.complete_prefire(*record, head.happened_on, second)?)
            }
            Details::Rule(record) => {
                if standing::rules::spec(&record.rule).is_none() {
                    let hint = nearest(&record.rule, standing::rules::DEFAULTS.iter().map(|rule| rule.id))
                        .map_or_else(
                            || "proofmark rules lists them".to_owned(),
                            |near| format!("did you mean {near}?"),
                        );
                    return Err(Refusal::field(
                        "rule",
                        format!("there is no rule \"{}\"; {hint}", record.rule),
                    ));
                }
                Details::Rule(record)
            }
            other => other,
        };
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
        Ok(Recorded { entries: written.entries, warnings, follows })
    }

    fn refuse_same_revision(&self, serial: &str, revision: &str) -> Result<(), Refusal> {
        let last = self.book().last_of(Kind::Casing, &Subject::casing(serial), NaiveDate::MAX)?;
        match last.as_ref().map(|entry| &entry.entry.details) {
            Some(Details::Casing(old)) if old.revision == revision => Err(Refusal::field(
                "serial",
                format!(
                    "{serial} is on record already as revision {revision}; give another revision for a changed drawing, or strike that entry first"
                ),
            )),
            _ => Ok(()),
        }
    }

    /// A proof that takes a mode above its share of yield may itself do harm.
    fn object_to_proof(
        &self,
        record: &crate::book::details::ProofRecord,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        let assessed = self.assess(&record.casing, day)?;
        if let Some(Ok(margins)) = assessed.margins(None)
            && let Some(objection) = strength::proof_objection(&margins, record.pressure.value)
        {
            warnings.push(Problem::new("pressure", objection.to_string()));
        }
        Ok(())
    }

    fn position_of(&self, part: &str, day: NaiveDate) -> Result<Option<Position>, StoreError> {
        Ok(self.book().last_of(Kind::Part, &Subject::part(part), day)?.and_then(|entry| {
            match &entry.entry.details {
                Details::Part(record) => Some(record.what),
                _ => None,
            }
        }))
    }

    fn refuse_retired_part(&self, record: &crate::book::details::FitRecord) -> Result<(), Refusal> {
        if record.action == crate::book::FitAction::Removed {
            return Ok(());
        }
        let last = self.book().last_of(Kind::Disposition, &Subject::part(&record.part), NaiveDate::MAX)?;
        match last.as_ref().map(|entry| &entry.entry.details) {
            Some(Details::Disposition(decision)) if decision.decision == Decision::Retire => {
                Err(Refusal::field(
                    "part",
                    format!("{} is retired ({}); fit another", record.part, decision.reason),
                ))
            }
            _ => Ok(()),
        }
    }

    /// The parts fitted in a casing on a day, as they go into an event's record.
    fn fitted(&self, casing: &str, day: NaiveDate) -> Result<Vec<PartAt>, StoreError> {
        let assessed = self.assess(casing, day)?;
        Ok(assessed
            .parts
            .into_iter()
            .map(|life| PartAt { part: life.part, position: life.position })
            .collect())
    }

    fn last_firing(&self, casing: &str, day: NaiveDate) -> Result<Option<EntryId>, StoreError> {
        Ok(self.book().last_of(Kind::Firing, &Subject::casing(casing), day)?.map(|entry| entry.id))
    }

    /// The firing a trace belongs to: the one named, which must be one of this casing, else its last.
    fn entry_of_firing(&self, record: &TraceRecord) -> Result<EntryId, Refusal> {
        if record.firing.0.is_nil() {
            return self.last_firing(&record.casing, NaiveDate::MAX)?.ok_or_else(|| {
                Refusal::field("casing", format!("{} has no firing on record yet", record.casing))
            });
        }
        match self.book().entry(record.firing)?.map(|entry| entry.entry.details) {
            Some(Details::Firing(firing)) if firing.casing == record.casing => Ok(record.firing),
            _ => Err(Refusal::field("firing", format!("that entry is no firing of {}", record.casing))),
        }
    }

    fn complete_firing(
        &self,
        record: &mut FiringRecord,
        answers: &Answers,
        day: NaiveDate,
    ) -> Result<(), Refusal> {
        record.parts = self.fitted(&record.casing, day)?;
        let load = match &record.load {
            Some(name) => self.book().load(name, day)?,
            None => None,
        };
        record.planned_peak = load.as_ref().map(|(load, _)| load.peak_pressure.clone());
        let forbidden = self.forbidding(&record.casing, load.as_ref(), record.mode, day)?;
        if forbidden.is_empty() {
            return Ok(());
        }
        match answers.text("breach_reason") {
            Some(reason) => {
                let mut rules: Vec<String> = forbidden.iter().map(|reason| reason.rule.clone()).collect();
                rules.dedup();
                record.breach = Some(Breach { reason: reason.to_owned(), forbidden_by: rules });
                Ok(())
            }
            None => {
                let why: Vec<String> = forbidden.iter().map(|reason| reason.text.clone()).collect();
                Err(Refusal::field(
                    "breach_reason",
                    format!(
                        "the record forbade firing {} on {day}: {}. If it happened all the same, it is logged: say who decided and why",
                        record.casing,
                        why.join("; ")
                    ),
                ))
            }
        }
    }

    /// What forbade a firing on a day, as the record stands.
    fn forbidding(
        &self,
        casing: &str,
        load: Option<&(crate::book::details::LoadRecord, EntryRef)>,
        mode: crate::book::FiringMode,
        day: NaiveDate,
    ) -> Result<Vec<Reason>, StoreError> {
        let assessed = self.assess(casing, day)?;
        match load {
            Some((load, entry)) => {
                let rules = self.book().rules_on(day)?;
                let plan = Plan { load, load_entry: *entry, mode, batch: None, on: day };
                let checklist = standing::prefire(&assessed, &plan, &rules);
                Ok(checklist
                    .items
                    .iter()
                    .filter(|item| item.state == ItemState::Forbids)
                    .map(|item| Reason {
                        standing: crate::book::Standing::Hold,
                        rule: item.rule.clone().unwrap_or_else(|| item.id.clone()),
                        text: item.text.clone(),
                        value: item.value.clone().unwrap_or_default(),
                        limit: item.limit.clone().unwrap_or_default(),
                        source: item.source.clone().unwrap_or_default(),
                        entry: item.entry,
                        from: None,
                        next: String::new(),
                    })
                    .collect())
            }
            None => {
                Ok(assessed.reasons_on(day).into_iter().filter(|it| it.standing.forbids()).cloned().collect())
            }
        }
    }

    fn check_disposition(
        &self,
        record: &crate::book::details::DispositionRecord,
        second: bool,
    ) -> Result<(), Refusal> {
        if record.lifts_restriction && !second {
            return Err(Refusal::field(
                "second",
                "lifting a restriction takes two names: give the second person",
            ));
        }
        let Some(casing) = &record.casing else { return Ok(()) };
        let assessed = self.assess(casing, NaiveDate::MAX)?;
        if assessed.reasons.iter().any(|it| it.standing == crate::book::Standing::Retired) {
            return Err(Refusal::field(
                "decision",
                format!(
                    "{casing} is retired, and that is final. A note can be added; a wrong retirement is struck, with two names"
                ),
            ));
        }
        Ok(())
    }

    /// Whether the strike lifts a retirement.
    fn check_strike(&self, target: EntryId, second: bool) -> Result<bool, Refusal> {
        let Some(entry) = self.book().entry(target)? else {
            return Err(Refusal::field("entry", "there is no such entry"));
        };
        let lines =
            self.book().lines(&crate::store::Filter::About(entry.entry.subject.clone()), NaiveDate::MAX)?;
        if let Some(by) = lines.iter().find(|line| line.entry.id == target).and_then(|line| line.struck_by) {
            return Err(Refusal::field(
                "entry",
                format!("entry {} is struck already, by entry {by}", entry.number),
            ));
        }
        match &entry.entry.details {
            Details::Strike(_) => {
                Err(Refusal::field("entry", "a strike is not struck: write the entry again as it should be"))
            }
            Details::Disposition(decision) if decision.decision == Decision::Retire => {
                if second {
                    Ok(true)
                } else {
                    Err(Refusal::field(
                        "second",
                        "striking a retirement takes two names: give the second person",
                    ))
                }
            }
            _ => Ok(false),
        }
    }

    fn complete_prefire(
        &self,
        mut record: PrefireRecord,
        day: NaiveDate,
        second: bool,
    ) -> Result<PrefireRecord, Refusal> {
        let mut checklist = self.checklist(
            &record.casing,
            Planned { load: &record.load, batch: record.batch.as_deref(), mode: record.mode },
            day,
        )?;
        if checklist.forbidden() {
            return Err(Refusal::Forbidden { checklist: Box::new(checklist), casing: record.casing });
        }
        let known: Vec<String> =
            checklist.items.iter().filter(|it| it.decided_by == "person").map(|it| it.id.clone()).collect();
        let mut problems = Vec::new();
        for given in &record.items {
            let field = if given.state == Attested::No.word() { "no" } else { "yes" };
            let all = given.item == "all" && field == "yes";
            if !all && !known.contains(&given.item) {
                problems.push(Problem::new(
                    field,
                    format!("no item \"{}\"; they are: {}", given.item, known.join(", ")),
                ));
            }
            for item in checklist.items.iter_mut().filter(|it| it.decided_by == "person") {
                if item.id == given.item || (all && item.state == ItemState::ToAttest) {
                    item.state = if field == "no" { ItemState::NotInOrder } else { ItemState::Attested };
                }
            }
        }
        if checklist.complete() && !second {
            problems.push(Problem::new(
                "second",
                "a release takes two names: give the independent second person",
            ));
        }
        if !problems.is_empty() {
            return Err(Refusal::Form(problems));
        }
        record.parts = self.fitted(&record.casing, day)?;
        record.planned_for = day;
        record.released = if checklist.complete() {
            Attested::Yes
        } else if checklist.items.iter().any(|it| it.state == ItemState::NotInOrder) {
            Attested::No
        } else {
            Attested::Open
        };
        record.items = checklist
            .items
            .into_iter()
            .map(|item| ItemAttested {
                item: item.id,
                text: item.text,
                decided_by: item.decided_by,
                state: item.state.word().to_owned(),
            })
            .collect();
        Ok(record)
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
        })
    }

    /// An entry dated before a later event may be an old notebook, or a wrong clock: said, never refused.
    fn warn_of_clock(
        &self,
        subject: &Subject,
        day: NaiveDate,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        let lines = self.book().lines(&crate::store::Filter::About(subject.clone()), NaiveDate::MAX)?;
        if let Some(last) = lines.last()
            && last.entry.entry.happened_on > day
        {
            warnings.push(Problem::new(
                "on",
                format!(
                    "{day} is before entry {} of {}: right for an old notebook, wrong for a wrong clock",
                    last.entry.number, last.entry.entry.happened_on
                ),
            ));
        }
        Ok(())
    }

    /// What the entry changed, in sentences a person can act on.
    fn what_follows(&self, subject: &Subject, entries: &[Entry]) -> Result<Vec<String>, StoreError> {
        let casing = match (subject.of, entries.first().map(|entry| &entry.entry.details)) {
            (SubjectOf::Casing, _) => subject.name.clone(),
            (_, Some(Details::Fit(fit))) => fit.casing.clone(),
            _ => return Ok(Vec::new()),
        };
        let day = self.today();
        let assessed = self.assess(&casing, day)?;
        let standing = assessed.standing(day);
        let mut follows = vec![format!("{casing} stands: {standing}")];
        if let Some(reason) =
            assessed.reasons_on(day).first().filter(|it| it.standing != crate::book::Standing::InService)
        {
            follows.push(format!("because {}", reason.text));
            if !reason.next.is_empty() {
                follows.push(format!("next: {}", reason.next));
            }
        }
        Ok(follows)
    }
}

/// What the strength core objects to in a drawing, loudly, and whether its planned proof would do harm.
fn object_to(design: &Design, proof_factor: f64, warnings: &mut Vec<Problem>) {
    match strength::margins(design, None, &strength::LocalState::default()) {
        Ok(margins) => {
            warnings.extend(margins.objections.iter().map(|text| Problem::new("design", text.clone())));
            let planned = GaugePressure::from_si(design.service.meop.si() * proof_factor);
            if let Some(objection) = strength::proof_objection(&margins, planned) {
                warnings.push(Problem::new(
                    "service.meop",
                    format!(
                        "a proof at {proof_factor} times MEOP is {}: {objection}",
                        show(planned, System::Si)
                    ),
                ));
            }
        }
        Err(error) => warnings.push(Problem::new("design", format!("no margins: {error}"))),
    }
}
