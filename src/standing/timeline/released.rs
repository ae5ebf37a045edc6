//! Where parts come from: a part of a retired casing is that casing's until two people release it, and its tube
//! for good.

use chrono::NaiveDate;

use super::Timeline;
use crate::book::details::{DispositionRecord, FitRecord};
use crate::book::{Decision, Entry, FitAction, Position, in_order};
use crate::standing::assessment::struck;
use crate::standing::reason::EntryRef;
use crate::standing::rules::RuleSet;

/// A part that a retired casing has not let go of.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// The retired casing.
    pub casing: String,
    /// Its retirement.
    pub retirement: EntryRef,
    /// Whether the part is its tube, which is never released.
    pub tube: bool,
}

/// Whether a part belongs to a retired casing on a day, going by the entries about it and the casings it was in.
pub fn bound(entries: &[Entry], part: &str, rules: &RuleSet, as_of: NaiveDate) -> Option<Bound> {
    let struck = struck(entries, as_of);
    let mut order: Vec<&Entry> =
        entries.iter().filter(|it| it.entry.happened_on <= as_of && !struck.contains(&it.id)).collect();
    in_order(&mut order, |entry| entry);
    order.dedup_by_key(|entry| entry.id);
    let mut timeline = Timeline::new("", rules);
    for entry in order {
        timeline.take(entry);
    }
    let state = timeline.parts.get(part)?;
    let (casing, retirement) = state.bound.clone()?;
    let tube = state.record.as_ref().is_some_and(|record| record.what == Position::Tube);
    Some(Bound { casing, retirement, tube })
}

impl Timeline<'_> {
    /// A part goes in or out, here or in another casing.
    pub(super) fn move_part(&mut self, record: &FitRecord, second: bool) {
        let state = self.parts.entry(record.part.clone()).or_default();
        let tube = record.position == Position::Tube
            || state.record.as_ref().is_some_and(|record| record.what == Position::Tube);
        match record.action {
            FitAction::Fitted => state.home = Some(record.casing.clone()),
            FitAction::Removed => {
                if state.home.as_deref() == Some(record.casing.as_str()) {
                    state.home = None;
                }
                let of_it = state.bound.as_ref().is_some_and(|(casing, _)| *casing == record.casing);
                if of_it && second && !tube {
                    state.bound = None;
                }
            }
        }
    }

    /// A casing is retired: every part that sits in it now goes with it.
    pub(super) fn bind_parts(&mut self, casing: &str, at: EntryRef) {
        for state in self.parts.values_mut().filter(|it| it.home.as_deref() == Some(casing)) {
            state.bound = Some((casing.to_owned(), at));
        }
    }

    /// A decision on a part that lets it live on releases it, where two people made it.
    pub(super) fn release_part(&mut self, record: &DispositionRecord, second: bool) {
        let Some(part) = &record.part else { return };
        let fitted_as_tube = self.fitted.get(&Position::Tube).is_some_and(|(fitted, _)| fitted == part);
        let state = self.parts.entry(part.clone()).or_default();
        let tube =
            fitted_as_tube || state.record.as_ref().is_some_and(|record| record.what == Position::Tube);
        if second && !tube && matches!(record.decision, Decision::Keep | Decision::Watch) {
            state.bound = None;
        }
    }
}
