//! A bulge read, and which other casings share a trait with it.

use super::Desk;
use super::record::Refusal;
use crate::book::details::CasingRecord;
use crate::book::reader::folded;
use crate::book::{Details, Entry, Kind, Standing, Subject, SubjectOf};
use crate::design::EndKind;
use crate::standing::bulge::{self, BulgeReading};
use crate::store::StoreError;

/// Another casing that shares something with this one.
#[derive(Clone, Debug, PartialEq)]
pub struct Sharing {
    /// Its serial.
    pub serial: String,
    /// What people call it.
    pub name: Option<String>,
    /// Its standing on the day asked.
    pub standing: Standing,
    /// What it shares, in words.
    pub traits: Vec<String>,
}

/// A bulge with everything beside it.
#[derive(Clone, Debug)]
pub struct Bulge {
    /// The day asked.
    pub day: chrono::NaiveDate,
    /// The reading; `None` where nothing grew that a gauge could see.
    pub reading: Option<BulgeReading>,
    /// Casings that share a trait, those that share most first.
    pub sharing: Vec<Sharing>,
    /// Traits looked for: what this casing has.
    pub traits: Vec<String>,
}

impl Desk {
    /// Read the bulge of a casing.
    ///
    /// # Errors
    /// The casing is not on record, or the book cannot be read.
    pub fn bulge(&self, serial: &str) -> Result<Bulge, Refusal> {
        let page = self.casing(serial)?;
        let rules = self.book().rules_on(page.day)?;
        let entries: Vec<&Entry> = page
            .ledger
            .iter()
            .filter(|line| line.struck_by.is_none() && line.entry.entry.subject.name == serial)
            .map(|line| &line.entry)
            .collect();
        let map = self.growth_map(&page)?;
        let reading = map.as_ref().and_then(|map| bulge::read(&page.assessed, map, &entries, &rules));
        let batch = reading.as_ref().and_then(|it| it.peak.batch.clone());
        let (traits, sharing) = self.sharing(serial, batch.as_deref())?;
        Ok(Bulge { day: page.day, reading, sharing, traits })
    }

    fn last_record(&self, serial: &str) -> Result<Option<CasingRecord>, StoreError> {
        let last = self.book().last_of(Kind::Casing, &Subject::casing(serial), self.day())?;
        Ok(last.and_then(|entry| match entry.entry.details {
            Details::Casing(record) => Some(*record),
            _ => None,
        }))
    }

    /// What a casing has that others may share, and who shares it.
    fn sharing(&self, serial: &str, batch: Option<&str>) -> Result<(Vec<String>, Vec<Sharing>), StoreError> {
        let Some(own) = self.last_record(serial)? else { return Ok((Vec::new(), Vec::new())) };
        let mut traits = Vec::new();
        if let Some(welder) = &own.welder {
            traits.push(format!("welder {welder}"));
        }
        for end in joints(&own) {
            traits.push(format!("{end} end"));
        }
        if let Some(lot) = &own.tube_lot {
            traits.push(format!("tube lot {lot}"));
        }
        traits.push(tube_words(&own));
        if let Some(batch) = batch {
            traits.push(format!("batch {batch}"));
        }
        let of_batch = match batch {
            Some(batch) => self.book().casings_of_batch(batch, self.day())?,
            None => Vec::new(),
        };
        let mut found = Vec::new();
        for row in self.rack_rows()?.into_iter().filter(|row| row.serial != serial) {
            let Some(other) = self.last_record(&row.serial)? else { continue };
            let mut shared = Vec::new();
            let same = |a: &Option<String>, b: &Option<String>| match (a, b) {
                (Some(a), Some(b)) => folded(a) == folded(b),
                _ => false,
            };
            if same(&own.welder, &other.welder) {
                shared.push(format!("welder {}", own.welder.clone().unwrap_or_default()));
            }
            for end in joints(&own).into_iter().filter(|end| joints(&other).contains(end)) {
                shared.push(format!("{end} end"));
            }
            if same(&own.tube_lot, &other.tube_lot) {
                shared.push(format!("tube lot {}", own.tube_lot.clone().unwrap_or_default()));
            }
            if tube_words(&own) == tube_words(&other) {
                shared.push(tube_words(&own));
            }
            if let Some(batch) = batch.filter(|_| of_batch.contains(&row.serial)) {
                shared.push(format!("batch {batch}"));
            }
            if !shared.is_empty() {
                found.push(Sharing {
                    serial: row.serial,
                    name: row.name,
                    standing: row.standing,
                    traits: shared,
                });
            }
        }
        found.sort_by_key(|it| (std::cmp::Reverse(it.traits.len()), it.serial.clone()));
        Ok((traits, found))
    }

    /// Every part on record, for a list.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn part_names(&self) -> Result<Vec<String>, StoreError> {
        self.book().names(SubjectOf::Part)
    }
}

/// The kinds of its ends, each once.
fn joints(record: &CasingRecord) -> Vec<EndKind> {
    let mut kinds = vec![record.design.forward.kind];
    if record.design.aft.kind != record.design.forward.kind {
        kinds.push(record.design.aft.kind);
    }
    kinds
}

fn tube_words(record: &CasingRecord) -> String {
    let tube = &record.design.tube;
    format!("tube {} {:.2} x {:.2} mm", tube.material, tube.od.value.as_mm(), tube.wall.value.as_mm())
}
