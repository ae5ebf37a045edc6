//! What only the book knows of an entry: the parts fitted, the plan of that day, what forbade it.

use chrono::NaiveDate;

use super::record::Refusal;
use super::{Desk, Planned};
use crate::book::details::{Breach, FiringRecord, ItemAttested, PartAt, PrefireRecord, TraceRecord};
use crate::book::{Answers, Attested, Details, Entry, EntryId, Kind, Problem, Subject};
use crate::quantity::Quantity;
use crate::standing::prefire::Plan;
use crate::standing::{self, EntryRef, ItemState, Reason};
use crate::store::StoreError;

impl Desk {
    pub(super) fn complete_firing(
        &self,
        record: &mut FiringRecord,
        answers: &Answers,
        day: NaiveDate,
        instead_of: Option<&Entry>,
    ) -> Result<(), Refusal> {
        record.parts = self.fitted(&record.casing, day)?;
        let load = match &record.load {
            Some(name) => self.book().load(name, day)?,
            None => None,
        };
        record.planned_peak = load.as_ref().map(|(load, _)| load.peak_pressure.clone());
        record.planned_thrust = load.as_ref().and_then(|(load, _)| load.peak_thrust.clone());
        record.planned_impulse = load.as_ref().and_then(|(load, _)| load.impulse.clone());
        // It was allowed when it was written, and what the same day brought after it does not forbid it now.
        if instead_of.is_some_and(|old| allowed_as_planned(old, record, day)) {
            return Ok(());
        }
        let planned = Planned {
            load: record.load.as_deref().unwrap_or_default(),
            batch: record.batch.as_deref(),
            mode: record.mode,
            grain: record.grain_temperature.as_ref().map(|it| it.value),
        };
        let forbidden = self.forbidding(&record.casing, load.as_ref(), planned, day)?;
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
    pub(super) fn forbidding(
        &self,
        casing: &str,
        load: Option<&(crate::book::details::LoadRecord, EntryRef)>,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<Vec<Reason>, StoreError> {
        let assessed = self.assess(casing, day)?;
        match load {
            Some((load, entry)) => {
                let own = match planned.batch {
                    Some(batch) => self.book().batch(batch, day)?.map(|(batch, _)| batch),
                    None => None,
                };
                let hot = match (planned.batch, planned.grain) {
                    (Some(batch), Some(grain)) => {
                        self.batch_remembered(batch, day)?.hot(own.as_ref(), grain.si())
                    }
                    _ => None,
                };
                let narrow = super::own_plan::narrowed(load, own.as_ref(), &assessed);
                let load = &super::own_plan::as_judged(load.clone(), own.as_ref(), hot, narrow);
                let rules = self.book().rules_on(day)?;
                let mode = planned.mode;
                let plan = Plan { load, load_entry: *entry, mode, batch: None, on: day, facts: None };
                let mut checklist = standing::prefire(&assessed, &plan, &rules);
                checklist.forbid_for(&self.differences(planned, day)?, &rules);
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

    pub(super) fn complete_prefire(
        &self,
        mut record: PrefireRecord,
        day: NaiveDate,
        second: bool,
    ) -> Result<PrefireRecord, Refusal> {
        let mut checklist = self.checklist(
            &record.casing,
            Planned {
                load: &record.load,
                batch: record.batch.as_deref(),
                mode: record.mode,
                grain: record.grain_temperature.as_ref().map(|it| it.value),
            },
            day,
        )?;
        if checklist.forbidden() {
            return Err(Refusal::Forbidden { checklist: Box::new(checklist), casing: record.casing });
        }
        let known: Vec<String> =
            checklist.items.iter().filter(|it| it.decided_by == "person").map(|it| it.id.clone()).collect();
        let afterwards: Vec<String> =
            checklist.items.iter().filter(|it| it.is_afterwards()).map(|it| it.id.clone()).collect();
        let mut problems = Vec::new();
        for given in &record.items {
            let field = if given.state == Attested::No.word() { "no" } else { "yes" };
            let all = given.item == "all" && field == "yes";
            if afterwards.contains(&given.item) {
                problems.push(Problem::new(
                    field,
                    format!(
                        "{} is for after the firing: read it aloud before it; it is not attested here",
                        given.item
                    ),
                ));
            }
            if !all && !known.contains(&given.item) {
                problems.push(Problem::new(
                    field,
                    format!("no item \"{}\"; they are: {}", given.item, known.join(", ")),
                ));
            }
            for item in checklist.items.iter_mut().filter(|it| it.decided_by == "person") {
                if item.id == given.item
                    || (all && item.state == ItemState::ToAttest && !item.is_afterwards())
                {
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

    /// The parts fitted in a casing on a day, as they go into an event's record.
    pub(super) fn fitted(&self, casing: &str, day: NaiveDate) -> Result<Vec<PartAt>, StoreError> {
        let assessed = self.assess(casing, day)?;
        Ok(assessed
            .parts
            .into_iter()
            .map(|life| PartAt { part: life.part, position: life.position })
            .collect())
    }

    pub(super) fn last_firing(&self, casing: &str, day: NaiveDate) -> Result<Option<EntryId>, StoreError> {
        Ok(self.book().last_of(Kind::Firing, &Subject::casing(casing), day)?.map(|entry| entry.id))
    }

    /// The firing a trace belongs to: the one named, which must be one of this casing, else its last.
    pub(super) fn entry_of_firing(&self, record: &TraceRecord) -> Result<EntryId, Refusal> {
        if record.firing.0.is_nil() {
            return self.last_firing(&record.casing, NaiveDate::MAX)?.ok_or_else(|| {
                Refusal::field("casing", format!("{} has no firing on record yet", record.casing))
            });
        }
        self.a_firing_of(&record.casing, record.firing)
    }

    /// An entry that must be a firing of a casing.
    pub(super) fn a_firing_of(&self, casing: &str, firing: EntryId) -> Result<EntryId, Refusal> {
        match self.book().entry(firing)?.map(|entry| entry.entry.details) {
            Some(Details::Firing(of)) if of.casing == casing => Ok(firing),
            _ => Err(Refusal::field("firing", format!("that entry is no firing of {casing}"))),
        }
    }
}

/// Whether a firing of the same day, casing and plan was no breach.
fn allowed_as_planned(old: &Entry, new: &FiringRecord, day: NaiveDate) -> bool {
    let Details::Firing(was) = &old.entry.details else { return false };
    was.breach.is_none()
        && old.entry.happened_on == day
        && (&was.casing, &was.load, &was.batch, was.mode) == (&new.casing, &new.load, &new.batch, new.mode)
        && was.grain_temperature.as_ref().map(|it| it.value)
            == new.grain_temperature.as_ref().map(|it| it.value)
}
