//! Everything about one part, wherever it was fitted.

use chrono::NaiveDate;

use super::Desk;
use super::record::Refusal;
use crate::book::details::PartRecord;
use crate::book::{Decision, Details, FitAction, Kind, Subject, SubjectOf};
use crate::standing::EntryRef;
use crate::store::{EntryLine, Filter};

/// Where a part was for a while.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    /// The casing.
    pub casing: String,
    /// From when.
    pub from: EntryRef,
    /// Until when; `None`: still there.
    pub until: Option<NaiveDate>,
    /// Firings there.
    pub firings: u32,
    /// Proofs there.
    pub proofs: u32,
    /// Its throat as fitted, metres.
    pub throat_m: Option<f64>,
}

/// Everything about one part.
#[derive(Clone, Debug)]
pub struct PartPage {
    /// The day asked.
    pub day: NaiveDate,
    /// Its record.
    pub record: PartRecord,
    /// Firings in all, those before the book included.
    pub firings: u32,
    /// Proofs in all.
    pub proofs: u32,
    /// Whether it is retired, and why.
    pub retired: Option<(EntryRef, String)>,
    /// The last throat on record, metres.
    pub throat_m: Option<f64>,
    /// Where it was, in order.
    pub stays: Vec<Stay>,
    /// Every entry about it, each with the casing it was in.
    pub lines: Vec<(EntryLine, Option<String>)>,
}

impl PartPage {
    /// Firings left of its life.
    pub fn left(&self) -> Option<u32> {
        self.record.life_firings.map(|life| life.saturating_sub(self.firings))
    }

    /// Where it is now.
    pub fn here(&self) -> Option<&Stay> {
        self.stays.last().filter(|stay| stay.until.is_none())
    }

    /// The answer in one line.
    pub fn answer(&self) -> String {
        let place = match (&self.retired, self.here()) {
            (Some((at, why)), _) => return format!("retired on {}: {why}", at.on),
            (None, Some(stay)) => format!("in {} since {}", stay.casing, stay.from.on),
            (None, None) => "on the shelf".to_owned(),
        };
        match (self.record.life_firings, self.left()) {
            (Some(life), Some(left)) => format!(
                "{place}; {} of {}, {left} left",
                self.firings,
                crate::quantity::counted(life, "firing")
            ),
            _ => format!("{place}; {}, no limit on record", crate::quantity::counted(self.firings, "firing")),
        }
    }
}

impl Desk {
    /// Everything about a part.
    ///
    /// # Errors
    /// The part is not on record, or the book cannot be read.
    pub fn part(&self, serial: &str) -> Result<PartPage, Refusal> {
        self.must_know(SubjectOf::Part, "serial", serial)?;
        let day = self.day();
        let until = if day >= self.today() { NaiveDate::MAX } else { day };
        let subject = Subject::part(serial);
        let record = match self.book().last_of(Kind::Part, &subject, until)?.map(|entry| entry.entry.details)
        {
            Some(Details::Part(record)) => *record,
            _ => return Err(Refusal::field("serial", format!("{serial} was not on record yet on {day}"))),
        };
        let lines = self.book().lines(&Filter::About(subject), until)?;
        let mut page = PartPage {
            day,
            firings: record.firings_before,
            proofs: 0,
            retired: None,
            throat_m: record.throat.as_ref().map(|throat| throat.si()),
            stays: Vec::new(),
            lines: Vec::new(),
            record,
        };
        for line in lines {
            let casing = page.take(&line, serial);
            page.lines.push((line, casing));
        }
        Ok(page)
    }
}

impl PartPage {
    /// Take in an entry; the casing it happened in.
    fn take(&mut self, line: &EntryLine, serial: &str) -> Option<String> {
        let at = EntryRef::from(&line.entry);
        let stands = line.struck_by.is_none();
        match &line.entry.entry.details {
            Details::Fit(fit) => {
                if stands {
                    match fit.action {
                        FitAction::Fitted => {
                            self.leave(at.on);
                            self.stays.push(Stay {
                                casing: fit.casing.clone(),
                                from: at,
                                until: None,
                                firings: 0,
                                proofs: 0,
                                throat_m: fit.throat.as_ref().map(|throat| throat.si()),
                            });
                            if let Some(throat) = &fit.throat {
                                self.throat_m = Some(throat.si());
                            }
                        }
                        FitAction::Removed => self.leave(at.on),
                    }
                }
                Some(fit.casing.clone())
            }
            Details::Firing(it) => {
                if stands {
                    self.firings += 1;
                    if let Some(stay) = self.stay(&it.casing) {
                        stay.firings += 1;
                    }
                    let holds_throat =
                        it.parts.iter().any(|part| part.part == serial) && self.throat_m.is_some();
                    if let Some(throat) = it.throat_after.as_ref().filter(|_| holds_throat) {
                        self.throat_m = Some(throat.si());
                    }
                }
                Some(it.casing.clone())
            }
            Details::Proof(it) => {
                if stands {
                    self.proofs += 1;
                    if let Some(stay) = self.stay(&it.casing) {
                        stay.proofs += 1;
                    }
                }
                Some(it.casing.clone())
            }
            Details::Prefire(it) => Some(it.casing.clone()),
            Details::Disposition(it) => {
                if stands && it.decision == Decision::Retire && it.part.as_deref() == Some(serial) {
                    self.retired = Some((at, it.reason.clone()));
                }
                it.casing.clone()
            }
            Details::Finding(it) => it.casing.clone(),
            Details::Note(it) => it.casing.clone(),
            _ => None,
        }
    }

    fn leave(&mut self, on: NaiveDate) {
        if let Some(stay) = self.stays.last_mut().filter(|stay| stay.until.is_none()) {
            stay.until = Some(on);
        }
    }

    fn stay(&mut self, casing: &str) -> Option<&mut Stay> {
        self.stays.iter_mut().rev().find(|stay| stay.casing == casing)
    }
}
