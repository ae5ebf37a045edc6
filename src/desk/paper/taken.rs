//! Traces taken out of the book: as columns, and as the bytes that were read.

use chrono::NaiveDate;

use super::super::Desk;
use crate::book::{Details, Kind};
use crate::store::{Filter, StoreError};
use crate::trace::Record;

/// A trace on record, read again.
#[derive(Clone, Debug)]
pub struct KeptTrace {
    /// Its entry.
    pub number: i64,
    /// The entry of its firing; nothing where that is not in this book.
    pub firing: Option<i64>,
    /// The casing.
    pub casing: String,
    /// What the file was called.
    pub file: String,
    /// SHA-256 of the raw bytes.
    pub sha256: String,
    /// The raw bytes as read, where the book has them.
    pub raw: Option<Vec<u8>>,
    /// The columns, or why they cannot be read again.
    pub record: Result<Record, String>,
}

impl Desk {
    /// Every trace on record, one at a time.
    ///
    /// # Errors
    /// The book cannot be read, or `take` gave an error.
    pub fn each_trace<E: From<StoreError>>(
        &self,
        mut take: impl FnMut(KeptTrace) -> Result<(), E>,
    ) -> Result<(), E> {
        for line in self.book().lines(&Filter::OfKind(Kind::Trace), NaiveDate::MAX)? {
            let Details::Trace(kept) = &line.entry.entry.details else { continue };
            take(KeptTrace {
                number: line.entry.number,
                firing: self.book().entry(kept.firing)?.map(|firing| firing.number),
                casing: kept.casing.clone(),
                file: kept.file.clone(),
                sha256: kept.sha256.clone(),
                raw: self.book().raw_file(&kept.sha256)?,
                record: self.kept_trace(kept)?,
            })?;
        }
        Ok(())
    }
}
