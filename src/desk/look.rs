//! Look things up: the rack, a casing, a checklist. Nothing here writes.

use std::sync::Arc;

use chrono::NaiveDate;

use super::Desk;
use super::record::Refusal;
use super::view::{CasingPage, Rack, RackLine};
use crate::book::{FiringMode, Problem, Subject, SubjectOf};
use crate::quantity::Temperature;
use crate::standing::growth_map::{self, GrowthMap};
use crate::standing::prefire::Plan;
use crate::standing::{self, Assessment, Checklist, Conflict, History};
use crate::store::{EntryLine, KeptWhy, RackRow, StoreError};

/// What is planned for a casing, by the names on record.
#[derive(Clone, Copy, Debug)]
pub struct Planned<'a> {
    /// The load.
    pub load: &'a str,
    /// The batch, where one is named.
    pub batch: Option<&'a str>,
    /// Stand or flight.
    pub mode: FiringMode,
    /// How hot the grains are soaked, where it is known.
    pub grain: Option<Temperature>,
}

impl Desk {
    /// What the book says of a casing, by what had happened on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn assess(&self, casing: &str, day: NaiveDate) -> Result<Assessment, StoreError> {
        let counted = self.counted_until(day);
        let assessed = self.book().assessed(casing, counted, || {
            let entries = self.book().history_kept(casing)?;
            let rules = self.book().rules_on(counted)?;
            Ok(standing::assess(History { serial: casing, entries: &entries, rules: &rules }, counted))
        })?;
        Ok((*assessed).clone())
    }

    /// The last day whose entries count for a question about a day: for today and later every entry does, so that
    /// a retirement dated ahead by a wrong clock is never forgotten; the past is seen as it was.
    fn counted_until(&self, day: NaiveDate) -> NaiveDate {
        if day >= self.today() { NaiveDate::MAX } else { day }
    }

    /// Whether the kept standings answer: they take in every entry.
    fn kept_answers(&self) -> Result<bool, StoreError> {
        let day = self.day();
        Ok(day >= self.today() || self.book().last_day()?.is_none_or(|last| day >= last))
    }

    /// The last day anything on record is dated, where that is after today.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn dated_ahead(&self) -> Result<Option<NaiveDate>, StoreError> {
        Ok(self.book().last_day()?.filter(|last| *last > self.today()))
    }

    /// The rows of the rack on the day asked, without reasons: quick for any number of casings.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack_rows(&self) -> Result<Arc<Vec<RackRow>>, StoreError> {
        let day = self.day();
        if self.kept_answers()? {
            return self.book().rack_shared(day);
        }
        let mut rows = Vec::new();
        for serial in self.book().names(SubjectOf::Casing)? {
            let assessed = self.assess(&serial, day)?;
            if assessed.design.is_some() {
                rows.push(row_of(&assessed, day));
            }
        }
        Ok(Arc::new(rows))
    }

    /// The reasons and dues of one casing of the rack.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack_line(&self, row: RackRow) -> Result<RackLine, StoreError> {
        let day = self.day();
        let kept = if self.kept_answers()? { self.book().kept_why(&row.serial)? } else { None };
        let why = match kept {
            Some(kept) => kept,
            None => {
                let Assessment { reasons, due, flags, .. } = self.assess(&row.serial, day)?;
                KeptWhy { reasons, due, flags }
            }
        };
        let reasons = standing::assessment::counting_on(&why.reasons, day).into_iter().cloned().collect();
        Ok(RackLine { row, reasons, due: why.due, flags: why.flags })
    }

    /// The whole rack with reasons.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack(&self) -> Result<Rack, StoreError> {
        let casings =
            self.rack_rows()?.iter().map(|row| self.rack_line(row.clone())).collect::<Result<Vec<_>, _>>()?;
        Ok(Rack {
            day: self.day(),
            fixed: self.book().fixed_day().is_some(),
            dated_ahead: self.dated_ahead()?,
            casings,
        })
    }

    /// One casing in full.
    ///
    /// # Errors
    /// The casing is not on record, or the book cannot be read.
    pub fn casing(&self, serial: &str) -> Result<CasingPage, Refusal> {
        self.must_know(SubjectOf::Casing, "serial", serial)?;
        let day = self.day();
        // One reading of its history serves the walk and the ledger.
        let counted = self.counted_until(day);
        let entries = self.book().history_kept(serial)?;
        let assessed = self.book().assessed(serial, counted, || {
            let rules = self.book().rules_on(counted)?;
            Ok(standing::assess(History { serial, entries: &entries, rules: &rules }, counted))
        })?;
        let assessed = (*assessed).clone();
        let mut ledger = self.book().lines_of((*entries).clone(), counted)?;
        self.mark_what_differs(serial, counted, &mut ledger)?;
        Ok(CasingPage {
            day,
            fixed: self.book().fixed_day().is_some(),
            standing: assessed.standing(day),
            assessed,
            ledger,
        })
    }

    /// The growth map of a casing's page; none before it is registered.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn growth_map(&self, page: &CasingPage) -> Result<Option<GrowthMap>, StoreError> {
        let rules = self.book().rules_on(self.counted_until(page.day))?;
        Ok(growth_map::map(&page.assessed, &page.own_entries(), &rules))
    }

    /// Say on each line of a ledger which entry of another book it differs from.
    fn mark_what_differs(
        &self,
        serial: &str,
        counted: NaiveDate,
        ledger: &mut [EntryLine],
    ) -> Result<(), StoreError> {
        let first = ledger.first().map(|line| line.entry.origin);
        if ledger.iter().all(|line| Some(line.entry.origin) == first) {
            return Ok(());
        }
        let rules = self.book().rules_on(counted)?;
        let entries: Vec<_> = ledger.iter().map(|line| line.entry.clone()).collect();
        for found in standing::conflicts(&entries, Some(serial), &rules, counted) {
            for (one, other) in [(&found.one, &found.other), (&found.other, &found.one)] {
                for line in ledger.iter_mut().filter(|line| line.entry.id == one.entry.id) {
                    line.differs_from = Some(other.entry.number);
                }
            }
        }
        Ok(())
    }

    /// The checklist of a casing, a load and a day, as far as the record decides it.
    ///
    /// # Errors
    /// The casing, load or batch is not on record, or the book cannot be read.
    pub fn checklist(
        &self,
        casing: &str,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<Checklist, Refusal> {
        self.must_know(SubjectOf::Casing, "casing", casing)?;
        self.must_know(SubjectOf::Load, "load", planned.load)?;
        if let Some(batch) = planned.batch {
            self.must_know(SubjectOf::Batch, "batch", batch)?;
        }
        let assessed = self.assess(casing, day)?;
        self.checklist_of(&assessed, planned, day)
    }

    /// The same of a casing that was assessed on that day already.
    ///
    /// # Errors
    /// The load was not on record by then, or the book cannot be read.
    pub fn checklist_of(
        &self,
        assessed: &Assessment,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<Checklist, Refusal> {
        let Some((record, entry)) = self.book().load(planned.load, day)? else {
            let message = format!("load {} was not on record yet on {day}", planned.load);
            return Err(Refusal::Form(vec![Problem::new("load", message)]));
        };
        let own_batch = match planned.batch {
            Some(batch) => self.book().batch(batch, day)?.map(|(batch, _)| batch),
            None => None,
        };
        let mut facts = self.plan_facts(&record, &assessed.serial, planned, day)?;
        facts.too_large = super::bench::grains_too_large(&record, assessed);
        facts.narrow = super::own_plan::narrowed(&record, own_batch.as_ref(), assessed);
        let record = super::own_plan::as_judged(record, own_batch.as_ref(), facts.hot, facts.narrow);
        let rules = self.book().rules_on(day)?;
        let batch = match planned.batch {
            Some(batch) => Some((batch, self.book().firings_of_batch(batch, day)?)),
            None => None,
        };
        let plan = Plan {
            load: &record,
            load_entry: entry,
            mode: planned.mode,
            batch,
            on: day,
            facts: Some(&facts),
        };
        let mut checklist = standing::prefire(assessed, &plan, &rules);
        checklist.forbid_for(&self.differences(planned, day)?, &rules);
        Ok(checklist)
    }

    /// What merged books differ on about the load and the batch of a plan. What is dated ahead counts today: a clock
    /// that runs ahead hides no difference.
    pub(super) fn differences(
        &self,
        planned: Planned<'_>,
        day: NaiveDate,
    ) -> Result<Vec<Conflict>, StoreError> {
        let counted = self.counted_until(day);
        let load = Subject { of: SubjectOf::Load, name: planned.load.to_owned() };
        let mut found = self.book().conflicts_about(&load, counted)?;
        if let Some(batch) = planned.batch {
            let batch = Subject { of: SubjectOf::Batch, name: batch.to_owned() };
            found.extend(self.book().conflicts_about(&batch, counted)?);
        }
        Ok(found)
    }

    pub(super) fn must_know(&self, of: SubjectOf, field: &str, name: &str) -> Result<(), Refusal> {
        use crate::book::reader::OnRecord;
        if self.book().knows(of, name)? {
            return Ok(());
        }
        if of == SubjectOf::Casing
            && let Some(row) = self
                .rack_rows()?
                .iter()
                .find(|row| row.name.as_ref().is_some_and(|known| known.eq_ignore_ascii_case(name.trim())))
        {
            let shown = crate::book::reading::shorten(name);
            let message = format!("\"{shown}\" is what {} is called: give {}", row.serial, row.serial);
            return Err(Refusal::Form(vec![Problem::new(field, message)]));
        }
        let hint = OnRecord::nearest(self.book(), of, name).map_or_else(
            || format!("proofmark log {of} registers one"),
            |near| format!("did you mean {near}?"),
        );
        let shown = crate::book::reading::shorten(name);
        Err(Refusal::Form(vec![Problem::new(field, format!("no {of} \"{shown}\" is on record; {hint}"))]))
    }
}

fn row_of(assessed: &Assessment, day: NaiveDate) -> RackRow {
    RackRow {
        serial: assessed.serial.clone(),
        name: assessed.name.clone(),
        standing: assessed.standing(day),
        firings: assessed.firings,
        weakest: assessed.weakest.as_ref().map(|(mode, _)| mode.clone()),
        factor: assessed.factor(),
        due_on: assessed.next_due_on(),
        firings_left: assessed.firings_left(),
        last_fired: None,
    }
}
