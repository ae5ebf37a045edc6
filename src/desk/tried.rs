//! A decision tried on the record, with one name and with two: nothing is written.

use super::Desk;
use crate::book::details::DispositionRecord;
use crate::book::{Decision, Details, Entry, EntryId, NewEntry, Problem, Standing, Subject};
use crate::standing::{self, History, Reason};
use crate::store::StoreError;

/// How a casing would stand with one more entry.
#[derive(Clone, Debug)]
pub(super) struct Tried {
    /// Its standing.
    pub standing: Standing,
    /// What would forbid a firing, worst first.
    pub open: Vec<Reason>,
}

impl Tried {
    /// The first thing left open.
    pub fn left(&self) -> Option<&str> {
        self.open
            .iter()
            .find(|reason| reason.standing != Standing::Retired)
            .map(|reason| reason.text.as_str())
    }
}

impl Desk {
    /// How the casing would stand with one more entry by one person or by two.
    pub(super) fn tried(
        &self,
        serial: &str,
        details: Details,
        two: bool,
    ) -> Result<Option<Tried>, StoreError> {
        let day = self.day();
        let mut entries = self.book().history(serial)?;
        let Some(last) = entries.iter().max_by_key(|entry| entry.timeline_key()) else { return Ok(None) };
        let trial = Entry {
            number: last.number + 1,
            id: EntryId(uuid::Uuid::nil()),
            origin: last.origin,
            sequence: i64::MAX,
            recorded_at: chrono::DateTime::<chrono::Utc>::MAX_UTC,
            entry: NewEntry {
                subject: Subject::casing(serial),
                happened_on: day.max(last.entry.happened_on),
                date_approximate: false,
                recorded_by: String::new(),
                second: two.then(String::new),
                details,
            },
            seal: String::new(),
            // Decided with everything on record at hand, whichever book it came from.
            seen: entries.iter().map(|entry| (entry.origin, i64::MAX)).collect(),
        };
        entries.push(trial);
        let rules = self.book().rules_on(chrono::NaiveDate::MAX)?;
        let history = History { serial, entries: &entries, rules: &rules };
        let assessed = standing::assess(history, chrono::NaiveDate::MAX);
        let open = assessed.reasons_on(day).into_iter().filter(|it| it.standing.forbids()).cloned().collect();
        Ok(Some(Tried { standing: assessed.standing(day), open }))
    }

    /// The first thing a decision leaves open with one name that it settles with two.
    pub(super) fn left_by_one_name(
        &self,
        serial: &str,
        details: &Details,
    ) -> Result<Option<Reason>, StoreError> {
        let (Some(one), Some(two)) =
            (self.tried(serial, details.clone(), false)?, self.tried(serial, details.clone(), true)?)
        else {
            return Ok(None);
        };
        let settled = |reason: &Reason| {
            !two.open.iter().any(|it| {
                (&it.rule, &it.text, it.entry, it.standing)
                    == (&reason.rule, &reason.text, reason.entry, reason.standing)
            })
        };
        Ok(one.open.into_iter().find(settled))
    }

    /// Say before it is written what a decision by one person will not settle.
    pub(super) fn warn_of_one_name(
        &self,
        record: &DispositionRecord,
        second: bool,
        warnings: &mut Vec<Problem>,
    ) -> Result<(), StoreError> {
        if second || matches!(record.decision, Decision::Hold | Decision::Retire) {
            return Ok(());
        }
        let casings = match (&record.casing, &record.part) {
            (Some(casing), _) => vec![casing.clone()],
            (None, Some(part)) => self.book().casings_of(&Subject::part(part))?,
            (None, None) => Vec::new(),
        };
        let details = Details::from(record.clone());
        for casing in casings {
            if let Some(left) = self.left_by_one_name(&casing, &details)? {
                warnings.push(Problem::new(
                    "second",
                    format!(
                        "with one name this does not settle \"{}\" on {casing}: it stands until two people decide; give the second person",
                        left.text
                    ),
                ));
            }
        }
        Ok(())
    }
}
