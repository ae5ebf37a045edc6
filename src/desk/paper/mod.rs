//! What goes on paper: views gathered from the book, whole, so that a report needs no connection.

mod photos;
mod plots;
mod taken;

use chrono::{DateTime, NaiveDate, Utc};

pub use photos::{PhotoCheck, PhotoState, Picture, look_at_file};
pub use plots::Plot;
pub use taken::KeptTrace;

use super::record::Refusal;
use super::view::{CasingPage, Rack};
use super::{Desk, Planned};
use crate::book::details::{CasingRecord, LoadRecord, PrefireRecord};
use crate::book::{Details, Entry, FiringMode};
use crate::design::material::{self, TubeMetal};
use crate::quantity::System;
use crate::standing::{Checklist, RuleSet};
use crate::store::StoreError;
use crate::strength::Margins;

/// What every sheet says of itself.
#[derive(Clone, Debug)]
pub struct Imprint {
    /// When it was made.
    pub at: DateTime<Utc>,
    /// The day it is asked for.
    pub day: NaiveDate,
    /// Whether the book always is on that day (a demonstration).
    pub fixed: bool,
    /// How many entries the book holds.
    pub entries: i64,
    /// The seal of the last entry this book wrote; `None` in a book without entries.
    pub head_seal: Option<String>,
}

/// A casing's passport.
#[derive(Clone, Debug)]
pub struct Passport {
    /// The sheet.
    pub imprint: Imprint,
    /// What the book says of it, with its ledger.
    pub page: CasingPage,
    /// Its registration in force, and the entry of it.
    pub record: Option<(CasingRecord, Entry)>,
    /// The metal of its tube, or why none is known.
    pub metal: Option<Result<TubeMetal, String>>,
    /// Its margins on the MEOP in force, or why there are none.
    pub margins: Option<Result<Margins, String>>,
    /// The rules in force.
    pub rules: RuleSet,
    /// Its traces, drawn.
    pub plots: Vec<Plot>,
    /// Its photographs.
    pub photos: Vec<Picture>,
}

/// The card for whoever is in charge of the range.
#[derive(Clone, Debug)]
pub struct Card {
    /// The casing.
    pub passport: Passport,
    /// The load as planned.
    pub load: LoadRecord,
    /// Stand or flight.
    pub mode: FiringMode,
    /// The checklist as far as the record decides it.
    pub checklist: Checklist,
}

/// The rack on paper.
#[derive(Clone, Debug)]
pub struct RackSheet {
    /// The sheet.
    pub imprint: Imprint,
    /// The casings.
    pub rack: Rack,
}

/// A checklist as it was run.
#[derive(Clone, Debug)]
pub struct ChecklistSheet {
    /// The sheet.
    pub imprint: Imprint,
    /// The run.
    pub run: PrefireRecord,
    /// Its entry.
    pub entry: Entry,
    /// The entry that crossed it out, where one did.
    pub struck_by: Option<i64>,
}

/// How much of a passport is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// With its traces and photographs.
    Whole,
    /// Without them.
    Facts,
}

impl Passport {
    /// The same with the quantities of its reasons in the units asked for.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.page = self.page.shown(system);
        self
    }
}

impl Card {
    /// The same with the quantities of its reasons and items in the units asked for.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.passport = self.passport.shown(system);
        self.checklist = self.checklist.shown(system);
        self
    }
}

impl RackSheet {
    /// The same with the quantities of its reasons in the units asked for.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.rack = self.rack.shown(system);
        self
    }
}

impl Desk {
    /// What every sheet says of itself.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn imprint(&self) -> Result<Imprint, StoreError> {
        let (_, entries) = self.book().size()?;
        Ok(Imprint {
            at: self.now(),
            day: self.day(),
            fixed: self.book().fixed_day().is_some(),
            entries,
            head_seal: self.book().head_seal()?,
        })
    }

    /// A casing's passport on the day asked.
    ///
    /// # Errors
    /// The casing is not on record, or the book cannot be read.
    pub fn passport(&self, serial: &str, depth: Depth) -> Result<Passport, Refusal> {
        let page = self.casing(serial)?;
        let record = page.ledger.iter().rev().filter(|line| line.struck_by.is_none()).find_map(|line| {
            match &line.entry.entry.details {
                Details::Casing(record) if record.serial == page.assessed.serial => {
                    Some(((**record).clone(), line.entry.clone()))
                }
                _ => None,
            }
        });
        let metal = page
            .assessed
            .design
            .as_ref()
            .map(|design| material::tube_metal(&design.tube).map_err(|error| error.to_string()));
        let margins = page.assessed.margins(None).map(|margins| margins.map_err(|error| error.to_string()));
        let (plots, photos) = match depth {
            Depth::Whole => (self.plots_of(&page)?, self.pictures_of(&page)),
            Depth::Facts => (Vec::new(), Vec::new()),
        };
        Ok(Passport {
            imprint: self.imprint()?,
            rules: self.book().rules_on(page.day)?,
            page,
            record,
            metal,
            margins,
            plots,
            photos,
        })
    }

    /// The card for a planned firing.
    ///
    /// # Errors
    /// The casing, load or batch is not on record, or the book cannot be read.
    pub fn card(&self, serial: &str, planned: Planned<'_>) -> Result<Card, Refusal> {
        let day = self.day();
        let checklist = self.checklist(serial, planned, day)?;
        let Some((load, _)) = self.book().load(planned.load, day)? else {
            return Err(Refusal::field(
                "load",
                format!("load {} was not on record yet on {day}", planned.load),
            ));
        };
        Ok(Card { passport: self.passport(serial, Depth::Facts)?, load, mode: planned.mode, checklist })
    }

    /// The rack as a sheet.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack_sheet(&self) -> Result<RackSheet, StoreError> {
        Ok(RackSheet { imprint: self.imprint()?, rack: self.rack()? })
    }

    /// The last checklist run for a casing, or the one of an entry.
    ///
    /// # Errors
    /// The casing is not on record, no checklist was run, or the book cannot be read.
    pub fn checklist_sheet(&self, serial: &str, entry: Option<&str>) -> Result<ChecklistSheet, Refusal> {
        let page = self.casing(serial)?;
        let wanted = entry
            .map(|text| self.book().find_entry(text)?.map_err(|why| Refusal::field("entry", why)))
            .transpose()?;
        let found = page.ledger.iter().rev().find_map(|line| match &line.entry.entry.details {
            Details::Prefire(run) if wanted.is_none_or(|id| id == line.entry.id) => {
                Some(((**run).clone(), line.entry.clone(), line.struck_by))
            }
            _ => None,
        });
        let Some((run, entry, struck_by)) = found else {
            return Err(Refusal::field(
                "serial",
                format!(
                    "no pre-fire checklist of {serial} is on record; proofmark log prefire, or w on the pre-fire screen, writes one"
                ),
            ));
        };
        Ok(ChecklistSheet { imprint: self.imprint()?, run, entry, struck_by })
    }
}
