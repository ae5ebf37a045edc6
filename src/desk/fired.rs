//! What a batch has been fired with: each firing beside its load as that stood on the day, and whether its peak is known.

use std::collections::HashMap;
use std::rc::Rc;

use chrono::NaiveDate;

use super::Desk;
use crate::book::details::{FiringRecord, LoadRecord};
use crate::book::{Details, in_order};
use crate::standing::EntryRef;
use crate::store::StoreError;

/// A load as it stood on a day, and the entry that says so.
type Planned = Rc<(LoadRecord, EntryRef)>;

/// One firing of a batch.
pub(super) struct Fired {
    /// Its entry.
    pub at: EntryRef,
    /// What is on record of it.
    pub firing: FiringRecord,
    /// Its load, where it names one on record.
    pub load: Option<Planned>,
    /// Why its peak is only a lower bound, where its trace is cut off at the top.
    pub peak_cut_off: Option<String>,
}

impl Desk {
    /// The firings of a batch until a day, struck ones left out, in the order they happened.
    pub(super) fn fired(&self, batch: &str, day: NaiveDate) -> Result<Vec<Fired>, StoreError> {
        let mut entries = self.book().fired_of_batch(batch, day)?;
        in_order(&mut entries, |entry| entry);
        // A batch of thousands of firings has a handful of loads.
        let mut loads: HashMap<(String, NaiveDate), Option<Planned>> = HashMap::new();
        let mut found = Vec::with_capacity(entries.len());
        for entry in entries {
            let at = EntryRef::from(&entry);
            let Details::Firing(firing) = entry.entry.details else { continue };
            let load = match &firing.load {
                None => None,
                Some(name) => {
                    let key = (name.clone(), at.on);
                    match loads.get(&key) {
                        Some(known) => known.clone(),
                        None => {
                            let load = self.book().load(name, at.on)?.map(Rc::new);
                            loads.entry(key).or_insert(load).clone()
                        }
                    }
                }
            };
            let peak_cut_off = self
                .book()
                .peak_cut_off(entry.id, &firing)?
                .map(|cut| format!("its trace is cut off, its peak a lower bound ({})", cut.why));
            found.push(Fired { at, firing: *firing, load, peak_cut_off });
        }
        Ok(found)
    }
}
