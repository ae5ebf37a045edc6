//! What a tube takes along when it is made into another casing.

use chrono::NaiveDate;

use super::Desk;
use super::record::Refusal;
use crate::book::details::FitRecord;
use crate::book::{Details, Entry, FitAction, Position, Standing, Subject, in_order};
use crate::standing::assessment::struck;
use crate::standing::{self, History};

impl Desk {
    /// A tube with something on record against it stays the casing it is: the record of another would not show what it
    /// has grown, nor where it is soft or thin.
    pub(super) fn refuse_marked_tube(&self, record: &FitRecord, day: NaiveDate) -> Result<(), Refusal> {
        let tube =
            record.position == Position::Tube || self.position_of(&record.part, day)? == Some(Position::Tube);
        if !tube || record.action != FitAction::Fitted {
            return Ok(());
        }
        for casing in self.book().casings_of(&Subject::part(&record.part))? {
            if casing == record.casing {
                continue;
            }
            if let Some(what) = self.marks_of(&casing, &record.part, day)? {
                let part = &record.part;
                return Err(Refusal::field(
                    "part",
                    format!(
                        "{part} is the tube of {casing}, where {what}: the record of {} would not show it; keep it as {casing}, or make another tube",
                        record.casing
                    ),
                ));
            }
        }
        Ok(())
    }

    /// What stood against a casing's tube while this part was its tube, in words.
    fn marks_of(&self, casing: &str, part: &str, day: NaiveDate) -> Result<Option<String>, Refusal> {
        let entries = self.book().history(casing)?;
        let crossed_out = struck(&entries, day);
        let mut order: Vec<&Entry> = entries
            .iter()
            .filter(|it| it.entry.happened_on <= day && !crossed_out.contains(&it.id))
            .collect();
        in_order(&mut order, |entry| entry);
        let moves = |entry: &&Entry, in_it: bool| match &entry.entry.details {
            Details::Fit(fit) if fit.part == part => {
                (fit.casing == casing && fit.action == FitAction::Fitted) == in_it
            }
            // Another tube took its place.
            Details::Fit(fit) => {
                !in_it
                    && fit.casing == casing
                    && fit.position == Position::Tube
                    && fit.action == FitAction::Fitted
            }
            _ => false,
        };
        let Some(came) = order.iter().rposition(|entry| moves(entry, true)) else { return Ok(None) };
        let left = order.iter().skip(came).position(|entry| moves(entry, false)).map(|at| came + at);
        let then: Vec<Entry> =
            order.iter().take(left.unwrap_or(order.len())).map(|entry| (*entry).clone()).collect();
        let rules = self.book().rules_on(day)?;
        let assessed = standing::assess(History { serial: casing, entries: &then, rules: &rules }, day);
        let worst = assessed.growth.iter().filter(|it| it.percent > 0.0);
        if let Some(grown) = worst.max_by(|a, b| a.percent.total_cmp(&b.percent)) {
            return Ok(Some(grown.words()));
        }
        if let Some(spot) = assessed.spots.first() {
            return Ok(Some(format!("{} is on record", spot.place)));
        }
        let open = assessed.reasons_on(day).into_iter().find(|it| {
            // Of its parts, its proof and its drawing another casing has its own.
            it.standing == Standing::Hold
                && !matches!(it.rule.as_str(), "part-missing" | "margin-least" | "registered")
        });
        Ok(open.map(|reason| format!("it is on hold: {}", reason.text)))
    }
}
