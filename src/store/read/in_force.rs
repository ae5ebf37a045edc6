//! What holds on a day: the rules, the last record of a thing, and what two books differ on about it.

use std::path::Path;

use chrono::NaiveDate;
use rusqlite::{Connection, params};

use super::{COLUMNS, NOT_STRUCK, day_text, entries, strikes_of};
use crate::book::details::LoadRecord;
use crate::book::{Details, Entry, Kind, Subject, SubjectOf, in_order};
use crate::standing::rules::RuleChange;
use crate::standing::{Conflict, EntryRef, RuleSet, conflicts};
use crate::store::{Book, StoreError};

/// The rules in force on a day.
pub(in crate::store) fn rules_on(
    connection: &Connection,
    day: NaiveDate,
    path: &Path,
) -> Result<RuleSet, StoreError> {
    let query = format!(
        "SELECT {COLUMNS} FROM entry WHERE subject_of = 'rule' AND happened_on <= ?1 AND kind = 'rule'
           AND id NOT IN (SELECT strikes FROM entry WHERE strikes IS NOT NULL)"
    );
    let mut rules = RuleSet::new();
    let mut changes = entries(connection, path, &query, [day_text(day)])?;
    in_order(&mut changes, |entry| entry);
    let apart = conflicts(&changes, None, &rules, NaiveDate::MAX);
    for entry in changes {
        let at = EntryRef::from(&entry);
        if let Details::Rule(change) = &entry.entry.details {
            rules.change(
                &change.rule,
                RuleChange {
                    value: change.value,
                    reason: change.reason.clone(),
                    by: entry.entry.recorded_by.clone(),
                    entry: at,
                },
            );
        }
    }
    rules.dispute(apart);
    Ok(rules)
}

impl Book {
    /// The rules in force on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rules_on(&self, day: NaiveDate) -> Result<RuleSet, StoreError> {
        rules_on(&self.connection, day, &self.path)
    }

    /// The last record of a kind about a subject that is not struck, on or before a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_of(
        &self,
        kind: Kind,
        subject: &Subject,
        day: NaiveDate,
    ) -> Result<Option<Entry>, StoreError> {
        let query = format!(
            "WITH unstruck AS (
                 SELECT number, happened_on FROM entry e
                 WHERE subject_of = ?1 AND subject = ?2 AND kind = ?3 AND happened_on <= ?4
                   AND {NOT_STRUCK})
             SELECT {COLUMNS} FROM entry WHERE number IN (
                 SELECT number FROM unstruck WHERE happened_on = (SELECT max(happened_on) FROM unstruck))"
        );
        let mut found = entries(
            &self.connection,
            &self.path,
            &query,
            params![subject.of.word(), subject.name, kind.word(), day_text(day)],
        )?;
        in_order(&mut found, |entry| entry);
        Ok(found.pop())
    }

    /// The last entry about a subject that happened after a day, struck or not.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_after(&self, subject: &Subject, day: NaiveDate) -> Result<Option<Entry>, StoreError> {
        let query = format!(
            "SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2 AND happened_on = (
                 SELECT max(happened_on) FROM entry
                 WHERE subject_of = ?1 AND subject = ?2 AND happened_on > ?3)"
        );
        let mut found = entries(
            &self.connection,
            &self.path,
            &query,
            params![subject.of.word(), subject.name, day_text(day)],
        )?;
        in_order(&mut found, |entry| entry);
        Ok(found.pop())
    }

    /// A load in force on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn load(&self, name: &str, day: NaiveDate) -> Result<Option<(LoadRecord, EntryRef)>, StoreError> {
        let subject = Subject { of: SubjectOf::Load, name: name.to_owned() };
        Ok(self.last_of(Kind::Load, &subject, day)?.and_then(|entry| match &entry.entry.details {
            Details::Load(load) => Some(((**load).clone(), EntryRef::from(&entry))),
            _ => None,
        }))
    }

    /// What books differ on about a load or batch, by what had happened on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn conflicts_about(&self, subject: &Subject, day: NaiveDate) -> Result<Vec<Conflict>, StoreError> {
        let about = format!("{} {} {day}", subject.of.word(), subject.name);
        let found = self.remembered("conflicts about", about, || -> Result<_, StoreError> {
            let query = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
            let mut found =
                entries(&self.connection, &self.path, &query, [subject.of.word(), &subject.name])?;
            strikes_of(&self.connection, &self.path, &mut found)?;
            Ok(conflicts(&found, None, &RuleSet::new(), day))
        })?;
        Ok((*found).clone())
    }
}
