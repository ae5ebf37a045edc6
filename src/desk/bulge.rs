//! A bulge read, and which other casings share a trait with it.

use std::collections::BTreeMap;

use super::Desk;
use super::record::Refusal;
use super::view::CasingPage;
use crate::book::Standing;
use crate::book::reader::folded;
use crate::standing::bulge::{self, BulgeReading};
use crate::store::{CasingTraits, StoreError};

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
        let reading = self.bulge_reading(&page)?;
        let batch = reading.as_ref().and_then(|it| it.peak.batch.clone());
        let (traits, sharing) = self.sharing(serial, batch.as_deref())?;
        Ok(Bulge { day: page.day, reading, sharing, traits })
    }

    /// The reading alone, without looking at other casings.
    pub(super) fn bulge_reading(&self, page: &CasingPage) -> Result<Option<BulgeReading>, StoreError> {
        let rules = self.book().rules_on(page.day)?;
        let map = self.growth_map(page)?;
        Ok(map.as_ref().and_then(|map| bulge::read(&page.assessed, map, &page.own_entries(), &rules)))
    }

    /// What a casing has that others may share, and who shares it.
    fn sharing(&self, serial: &str, batch: Option<&str>) -> Result<(Vec<String>, Vec<Sharing>), StoreError> {
        let all = self.book().casing_traits(self.day())?;
        let Some(own) = all.iter().find(|it| it.serial == serial) else {
            return Ok((Vec::new(), Vec::new()));
        };
        let mut traits = words_of(own);
        let of_batch = match batch {
            Some(batch) => {
                traits.push(format!("batch {batch}"));
                self.book().casings_of_batch(batch, self.day())?
            }
            None => Vec::new(),
        };
        let mut shared: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for other in all.iter().filter(|other| other.serial != serial) {
            let theirs = words_of(other);
            let mut same: Vec<String> = traits
                .iter()
                .filter(|it| theirs.iter().any(|their| folded(their) == folded(it)))
                .cloned()
                .collect();
            if let Some(batch) = batch.filter(|_| of_batch.contains(&other.serial)) {
                same.push(format!("batch {batch}"));
            }
            if !same.is_empty() {
                shared.insert(&other.serial, same);
            }
        }
        let mut found: Vec<Sharing> = self
            .rack_rows()?
            .iter()
            .filter_map(|row| {
                let traits = shared.remove(row.serial.as_str())?;
                let (serial, name) = (row.serial.clone(), row.name.clone());
                Some(Sharing { serial, name, standing: row.standing, traits })
            })
            .collect();
        found.sort_by_key(|it| (std::cmp::Reverse(it.traits.len()), it.serial.clone()));
        Ok((traits, found))
    }
}

/// What a casing has, each trait in words.
fn words_of(of: &CasingTraits) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(welder) = &of.welder {
        words.push(format!("welder {welder}"));
    }
    words.push(format!("{} end", of.ends[0]));
    if of.ends[1] != of.ends[0] {
        words.push(format!("{} end", of.ends[1]));
    }
    if let Some(lot) = of.tube_lot.as_ref().filter(|lot| folded(lot) != "unknown") {
        words.push(format!("tube lot {lot}"));
    }
    let (metal, od, wall) = &of.tube;
    words.push(format!("tube {metal} {:.2} x {:.2} mm", od * 1e3, wall * 1e3));
    words
}
