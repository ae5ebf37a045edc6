//! An entry written again, corrected: the old one crossed out and the new one beside it, in one writing.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::Desk;
use super::record::{Recorded, Refusal};
use crate::book::{Answers, Details, Entry, EntryId, Kind, Problem, Standing, SubjectOf, again, corrects};
use crate::quantity::System;
use crate::standing::assessment::struck;
use crate::store::StoreError;

/// An entry that can be written again.
#[derive(Clone, Debug)]
pub struct Again {
    /// The entry.
    pub entry: Entry,
    /// Its answers, to be put right.
    pub answers: Answers,
    /// The entry that crossed it out already, where one did.
    pub struck_by: Option<i64>,
    /// Why crossing it out takes two names, where it does.
    pub takes_two: Option<String>,
}

/// The crossing out of an entry that is written again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Crossing {
    /// Why it is wrong.
    pub reason: String,
    /// The second person who agrees that it is, where one does.
    pub second: Option<String>,
}

/// What came of saving: written, or not yet, because of what is to be looked at first.
#[derive(Debug)]
pub enum Saved {
    /// It is in the book.
    Written(Recorded),
    /// Nothing was written.
    Doubts(Vec<Problem>),
}

impl Desk {
    /// An entry with its answers, to be written again.
    ///
    /// # Errors
    /// There is no such entry, or it is of a kind that is not written again; or the book cannot be read.
    pub fn again(&self, id: EntryId) -> Result<Again, Refusal> {
        let Some(entry) = self.book().entry(id)? else {
            return Err(Refusal::field("again", "there is no such entry"));
        };
        let number = entry.number;
        if entry.kind() == Kind::Strike {
            return Err(Refusal::field(
                "again",
                format!("entry {number} is a strike, which is not written again: write again what it struck"),
            ));
        }
        if super::import::import_counted_by(&entry).is_some() {
            return Err(Refusal::field(
                "again",
                format!("entry {number} counts an import: strike it to undo the import, and import again"),
            ));
        }
        let number_of = |id: EntryId| self.book().entry(id).ok().flatten().map(|entry| entry.number);
        let Some(mut answers) = again::answers_of(&entry.entry, &number_of) else {
            return Err(Refusal::field("again", format!("entry {number} was written by no form")));
        };
        // A name stands for what its bearer looked at, which is not what is put right now.
        answers.clear("second");
        let struck_by = self.book().struck_by(id, NaiveDate::MAX)?;
        if let Some(strike) = struck_by
            && let Some(instead) = self.written_instead(&entry, strike)?
        {
            return Err(Refusal::field(
                "again",
                format!(
                    "entry {number} was struck by entry {strike}, and entry {instead} stands in its place: write that one again, or log a new one"
                ),
            ));
        }
        let takes_two = match struck_by {
            Some(_) => None,
            None => self.crossing_takes_two(id)?,
        };
        Ok(Again { entry, answers, struck_by, takes_two })
    }

    /// The entry that was written in the place of a struck one.
    fn written_instead(&self, old: &Entry, strike: i64) -> Result<Option<i64>, StoreError> {
        let strike = self.book().find_entry(&strike.to_string())?.ok();
        let Some(strike) = strike.map(|id| self.book().entry(id)).transpose()?.flatten() else {
            return Ok(None);
        };
        let next = self.book().entries_of(strike.origin, strike.sequence + 1, strike.sequence + 1)?;
        if let Some(next) = next.into_iter().find(|next| corrects(next, &strike, old)) {
            return Ok(Some(next.number));
        }
        if old.entry.subject.of != SubjectOf::Casing {
            return Ok(None);
        }
        // Struck on its own and written since.
        let history = self.book().history(&old.entry.subject.name)?;
        let crossed_out = struck(&history, NaiveDate::MAX);
        let since = history.iter().find(|it| {
            it.knew(&strike)
                && it.kind() == old.kind()
                && it.entry.subject == old.entry.subject
                && it.entry.happened_on == old.entry.happened_on
                && !crossed_out.contains(&it.id)
        });
        Ok(since.map(|it| it.number))
    }

    /// What of the casings an entry is about must not get better by one name alone.
    fn stands(&self, casings: &BTreeSet<String>) -> Result<Vec<(String, Stands)>, StoreError> {
        let day = self.today();
        let mut stands = Vec::new();
        for casing in casings {
            let assessed = self.assess(casing, day)?;
            let against =
                assessed.reasons_on(day).into_iter().filter(|it| it.standing != Standing::InService);
            let stand = Stands {
                registered: assessed.design.is_some(),
                standing: assessed.standing(day),
                against: against.map(|it| it.rule.clone()).collect(),
                firings: assessed.firings,
                firings_left: assessed.firings_left(),
                due_on: assessed.next_due_on(),
            };
            stands.push((casing.clone(), stand));
        }
        Ok(stands)
    }

    /// Why crossing an entry out takes two names, where it does.
    fn crossing_takes_two(&self, id: EntryId) -> Result<Option<String>, StoreError> {
        let refused = |tried: Result<bool, Refusal>| match tried {
            Err(Refusal::Form(problems)) => {
                Ok(problems.into_iter().find(|it| it.field == "second").map(|it| it.message))
            }
            Err(Refusal::Store(error)) => Err(error),
            _ => Ok(None),
        };
        match refused(self.check_strike(id, false))? {
            Some(why) => Ok(Some(why)),
            None => refused(self.check_easing(id, false)),
        }
    }

    /// Save a form: an entry, or with `again` an old entry crossed out and the new one, all at once. What is to be
    /// looked at first keeps it from being written, unless it was looked at (`looked`).
    ///
    /// # Errors
    /// As [`Desk::record`]; a problem of the crossing out names `because` or `agreed`. Then nothing was written.
    pub fn save(
        &mut self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
        again: Option<(&Again, &Crossing)>,
        looked: bool,
    ) -> Result<Saved, Refusal> {
        let Some((old, crossing)) = again else {
            return self.save_alone(kind, answers, bare_numbers, None, looked);
        };
        if old.entry.kind() != kind {
            return Err(Refusal::field(
                "again",
                format!(
                    "entry {} is a {}, and is written again as one: log {}",
                    old.entry.number,
                    old.entry.kind(),
                    old.entry.kind()
                ),
            ));
        }
        if old.struck_by.is_some() {
            return self.save_alone(kind, answers, bare_numbers, Some(&old.entry), looked);
        }
        // The new entry is judged as if the old one were crossed out already, and neither is there without the other.
        self.book.hold()?;
        let saved = self.strike_then(kind, answers, bare_numbers, old, crossing, looked);
        self.book.settle(matches!(saved, Ok(Saved::Written(_))))?;
        saved
    }

    fn strike_then(
        &mut self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
        old: &Again,
        crossing: &Crossing,
        looked: bool,
    ) -> Result<Saved, Refusal> {
        let mut strike = Answers::new();
        strike.set("entry", old.entry.number.to_string()).set("reason", crossing.reason.as_str());
        // What is written again never counted as it was, on no day of the past: otherwise the two would stand beside
        // each other until today, and a firing would be forbidden by itself. When it was written is in recorded_at.
        strike.set("on", old.entry.entry.happened_on.to_string());
        if let Some(second) = &crossing.second {
            strike.set("second", second.as_str());
        }
        if let Some(by) = answers.text("by") {
            strike.set("by", by);
        }
        let mut casings: BTreeSet<String> =
            self.book().casings_of(&old.entry.entry.subject)?.into_iter().collect();
        let named = answers
            .text("casing")
            .filter(|casing| self.book().knows(SubjectOf::Casing, casing).unwrap_or(false));
        casings.extend(named.map(str::to_owned));
        let before = self.stands(&casings)?;
        let struck = self.record(Kind::Strike, &strike, None).map_err(in_its_fields)?;
        let mut saved = self.save_alone(kind, answers, bare_numbers, Some(&old.entry), looked)?;
        if let Saved::Written(recorded) = &mut saved {
            let two = crossing.second.is_some() || answers.text("second").is_some();
            for ((casing, was), (_, is)) in before.iter().zip(&self.stands(&casings)?) {
                if let Some(what) = is.better_than(was).filter(|_| !two) {
                    return Err(Refusal::field(
                        "agreed",
                        format!(
                            "{casing} would stand better for it ({what}): that takes two names, give who agrees"
                        ),
                    ));
                }
            }
            // How it stood in between concerns nobody.
            recorded.entries.splice(0..0, struck.entries);
        }
        Ok(saved)
    }

    fn save_alone(
        &mut self,
        kind: Kind,
        answers: &Answers,
        bare_numbers: Option<System>,
        instead_of: Option<&Entry>,
        looked: bool,
    ) -> Result<Saved, Refusal> {
        let prepared = self.prepare(kind, answers, bare_numbers, instead_of)?;
        if !looked && !prepared.warnings().is_empty() {
            return Ok(Saved::Doubts(prepared.warnings().to_vec()));
        }
        Ok(Saved::Written(self.write(prepared)?))
    }
}

/// How a casing stands, as far as one name alone must not better it.
struct Stands {
    registered: bool,
    standing: Standing,
    /// The rules that say something against it.
    against: BTreeSet<String>,
    firings: u32,
    firings_left: Option<u32>,
    due_on: Option<NaiveDate>,
}

impl Stands {
    /// What is better than it was, in words.
    fn better_than(&self, was: &Self) -> Option<String> {
        if !self.registered || !was.registered {
            return None;
        }
        if self.standing > was.standing {
            return Some(format!("{} to {}", was.standing, self.standing));
        }
        if let Some(rule) = was.against.difference(&self.against).next() {
            return Some(format!("{rule} no longer speaks against it"));
        }
        if self.firings < was.firings {
            return Some(format!("{} firings to {}", was.firings, self.firings));
        }
        // None is without end.
        let left = |it: &Self| it.firings_left.map_or(u64::MAX, u64::from);
        if left(self) > left(was) {
            return Some("more firings are left".to_owned());
        }
        let due = |it: &Self| it.due_on.unwrap_or(NaiveDate::MAX);
        (due(self) > due(was)).then(|| "it is due later".to_owned())
    }
}

/// The problems of a crossing out, named as its own fields are and not as those of the entry beside it.
fn in_its_fields(refusal: Refusal) -> Refusal {
    let Refusal::Form(problems) = refusal else { return refusal };
    let of = |field: &str| match field {
        "second" => "agreed".to_owned(),
        "reason" => "because".to_owned(),
        "entry" => "again".to_owned(),
        other => other.to_owned(),
    };
    Refusal::Form(problems.into_iter().map(|it| Problem::new(&of(&it.field), it.message)).collect())
}

/// The first entry of what was saved that is no crossing out.
pub fn new_entry(recorded: &Recorded) -> Option<&Entry> {
    recorded.entries.iter().find(|entry| !matches!(entry.entry.details, Details::Strike(_)))
}
