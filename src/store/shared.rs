//! What casings have in common: who welded them, the lot of their tube, the batches they fired.

use chrono::NaiveDate;

use super::read::{NOT_STRUCK, day_text};
use super::{Book, StoreError};

/// What a casing may have in common with others, by its last record.
#[derive(Clone, Debug, PartialEq)]
pub struct CasingTraits {
    /// Its serial.
    pub serial: String,
    /// Who welded it.
    pub welder: Option<String>,
    /// Heat or lot of the tube.
    pub tube_lot: Option<String>,
    /// The kinds of its ends, forward and aft.
    pub ends: [String; 2],
    /// The tube: metal, outside diameter and wall in metres.
    pub tube: (String, f64, f64),
}

impl Book {
    /// Every casing's traits by its last record on or before a day, struck ones left out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn casing_traits(&self, day: NaiveDate) -> Result<Vec<CasingTraits>, StoreError> {
        let query = format!(
            "SELECT c.serial, c.welder, c.tube_lot, c.forward_kind, c.aft_kind, c.tube_material, c.tube_od_m,
                    c.tube_wall_m
             FROM entry e JOIN casing_entry c ON c.entry = e.number
             WHERE e.subject_of = 'casing' AND e.kind = 'casing' AND e.happened_on <= ?1 AND {NOT_STRUCK}
             ORDER BY e.subject, e.happened_on, e.number"
        );
        let mut statement = self.connection.prepare_cached(&query).map_err(|error| self.sql(error))?;
        let rows = statement
            .query_map([day_text(day)], |row| {
                Ok(CasingTraits {
                    serial: row.get(0)?,
                    welder: row.get(1)?,
                    tube_lot: row.get(2)?,
                    ends: [row.get(3)?, row.get(4)?],
                    tube: (row.get(5)?, row.get(6)?, row.get(7)?),
                })
            })
            .map_err(|error| self.sql(error))?;
        let mut found: Vec<CasingTraits> = Vec::new();
        for row in rows {
            let row = row.map_err(|error| self.sql(error))?;
            // In order, so the last record of a serial is the one that counts.
            match found.last_mut() {
                Some(last) if last.serial == row.serial => *last = row,
                _ => found.push(row),
            }
        }
        Ok(found)
    }

    /// The casings that had fired a batch by a day, struck firings left out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn casings_of_batch(&self, batch: &str, day: NaiveDate) -> Result<Vec<String>, StoreError> {
        self.connection
            .prepare_cached(&format!(
                "SELECT DISTINCT f.casing FROM firing_entry f JOIN entry e ON e.number = f.entry
                 WHERE f.batch = ?1 AND e.happened_on <= ?2
                   AND {NOT_STRUCK} ORDER BY f.casing"
            ))
            .and_then(|mut statement| {
                statement.query_map([batch, &day_text(day)], |row| row.get(0))?.collect()
            })
            .map_err(|error| self.sql(error))
    }
}
