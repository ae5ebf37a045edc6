//! What was crossed out and eased a casing: said on every later page, until the entry is written as it should be.

use std::collections::BTreeSet;

use super::Timeline;
use crate::book::details::StrikeRecord;
use crate::book::{Details, Entry, EntryId};

/// An entry that was crossed out.
#[derive(Clone, Debug)]
pub(super) struct CrossedOut {
    /// In words: "entry 12, the proof of 2026-02-01".
    what: String,
    /// Whether it was written again as it should be: then it was a slip of the pen, and nothing is hidden.
    again: bool,
}

/// Whether an entry says the same thing of the same day as one that was crossed out, as it should be.
fn stands_for(other: &Entry, struck: &Entry) -> bool {
    let same_thing = match (&other.entry.details, &struck.entry.details) {
        (Details::Proof(_), Details::Proof(_))
        | (Details::Firing(_), Details::Firing(_))
        | (Details::Strip(_), Details::Strip(_)) => true,
        (Details::Finding(one), Details::Finding(another)) => {
            one.damage == another.damage && one.part == another.part
        }
        _ => false,
    };
    same_thing
        && other.entry.subject == struck.entry.subject
        && other.entry.happened_on == struck.entry.happened_on
        && other.recorded_at >= struck.recorded_at
}

impl Timeline<'_> {
    /// Be told what was crossed out, for the strikes that come.
    pub fn crossed_out(&mut self, entries: &[Entry], struck: &BTreeSet<EntryId>) {
        for entry in entries.iter().filter(|entry| struck.contains(&entry.id)) {
            let again = entries
                .iter()
                .any(|it| it.id != entry.id && !struck.contains(&it.id) && stands_for(it, entry));
            let which =
                format!("entry {}, the {} of {}", entry.number, entry.kind(), entry.entry.happened_on);
            // What somebody found or decided spoke against the casing; anything else may as well be a slip of the pen.
            let what = match entry.entry.details {
                Details::Finding(_) | Details::Disposition(_) => {
                    format!("an entry that stood against it ({which})")
                }
                _ => format!("{which},"),
            };
            self.crossed_out.insert(entry.id, CrossedOut { what, again });
        }
    }

    pub(super) fn struck(&mut self, record: &StrikeRecord, entry: &Entry) {
        let of = self.crossed_out.get(&record.strikes);
        if !record.lifts_retirement && of.is_some_and(|of| of.again) {
            return;
        }
        let what = match of {
            Some(of) if !record.lifts_retirement => of.what.as_str(),
            _ if record.lifts_retirement => "a retirement",
            _ => "an entry",
        };
        self.flags.push(format!(
            "{what} was struck on {} by {} with {} (entry {}): {}",
            // The day it was written: a strike may carry the day of what it crosses out.
            entry.recorded_at.date_naive(),
            entry.entry.recorded_by,
            entry.entry.second.as_deref().unwrap_or("nobody"),
            entry.number,
            record.reason
        ));
    }
}
