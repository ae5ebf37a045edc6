//! One strike undoes an import: the note that counts its entries says how many there are, and they stand right before
//! it in the chain of the same book, written at the same moment.

use chrono::NaiveDate;

use super::super::Desk;
use super::super::record::{Follow, Recorded, Refusal};
use crate::book::details::StrikeRecord;
use crate::book::{Details, Entry, EntryId, Kind, NewEntry, Subject, SubjectOf};
use crate::standing::{self, History};
use crate::store::{Filter, StoreError};

/// What the note behind an import says.
pub(super) fn counting_text(file: &str, count: usize, sha256: &str) -> String {
    format!(
        "import of {file}: the {count} entries right before this one; striking this strikes them all; SHA-256 {sha256}"
    )
}

/// How many entries a note counts, where it is the note behind an import.
pub(in crate::desk) fn import_counted_by(entry: &Entry) -> Option<i64> {
    let Details::Note(note) = &entry.entry.details else { return None };
    if entry.entry.subject.of != SubjectOf::Book || !note.text.starts_with("import of ") {
        return None;
    }
    let (head, _) = note.text.rsplit_once(" entries right before this one;")?;
    head.rsplit_once(": the ")?.1.parse().ok()
}

/// What the SHA-256 of the imported file was.
fn hash_of(entry: &Entry) -> Option<&str> {
    let Details::Note(note) = &entry.entry.details else { return None };
    note.text.rsplit_once("; SHA-256 ").map(|(_, hash)| hash)
}

impl Desk {
    /// The note behind an import of this very file that was not struck, where there is one.
    pub(super) fn imported_as(&self, sha256: &str) -> Result<Option<i64>, StoreError> {
        let book = Subject { of: SubjectOf::Book, name: "book".to_owned() };
        let lines = self.book().lines(&Filter::About(book), NaiveDate::MAX)?;
        Ok(lines
            .iter()
            .find(|line| {
                line.struck_by.is_none()
                    && import_counted_by(&line.entry).is_some()
                    && hash_of(&line.entry) == Some(sha256)
            })
            .map(|line| line.entry.number))
    }

    /// Strike an import: a strike for each of its entries that is not struck yet, and one for the note, all at once.
    pub(in crate::desk) fn strike_import(
        &mut self,
        note: &Entry,
        count: i64,
        reason: &str,
        head: &crate::book::reader::Head,
    ) -> Result<Recorded, Refusal> {
        let all = self.book().entries_of(note.origin, note.sequence - count, note.sequence)?;
        let mut targets: Vec<Entry> =
            all.into_iter().filter(|it| it.recorded_at == note.recorded_at).collect();
        if targets.len() as i64 != count + 1 {
            return Err(Refusal::field(
                "entry",
                format!(
                    "entry {} says it counts {count} entries, but they do not stand right before it: strike them one by one",
                    note.number
                ),
            ));
        }
        let struck = self.book().struck_among(&targets.iter().map(|it| it.id).collect::<Vec<_>>())?;
        if struck.contains(&note.id) {
            return Err(Refusal::field("entry", format!("entry {} is struck already", note.number)));
        }
        targets.retain(|it| !struck.contains(&it.id));
        let second = head.second.is_some();
        let eases = self.eases_without(&targets)?;
        let lifts = targets.iter().any(lifts_retirement);
        if (eases.is_some() || lifts) && !second {
            let why = eases.unwrap_or_else(|| "it holds a retirement".to_owned());
            return Err(Refusal::field(
                "second",
                format!("striking this import takes two names ({why}): give the second person"),
            ));
        }
        let casings: std::collections::BTreeSet<String> = targets
            .iter()
            .filter(|it| it.entry.subject.of == SubjectOf::Casing)
            .map(|it| it.entry.subject.name.clone())
            .collect();
        let new: Vec<(NewEntry, EntryId)> = targets
            .iter()
            .map(|target| {
                let record = StrikeRecord {
                    strikes: target.id,
                    reason: reason.to_owned(),
                    lifts_retirement: lifts_retirement(target),
                    eases: eases.is_some() && target.kind() != Kind::Note,
                };
                let entry = NewEntry {
                    subject: target.entry.subject.clone(),
                    // An import undone never counted, on no day of the past: each strike bears the day of what it
                    // strikes. When it was written is in recorded_at.
                    happened_on: target.entry.happened_on,
                    date_approximate: target.entry.date_approximate,
                    recorded_by: head.by.clone(),
                    second: head.second.clone(),
                    details: Details::from(record),
                };
                (entry, self.next_id())
            })
            .collect();
        let at = self.now();
        let written = self.book.append(at, new, &[])?;
        let mut follows = vec![Follow::from(format!(
            "{} of the import {} struck, and the note that counted them",
            crate::quantity::counted(targets.len() - 1, "entry"),
            if targets.len() == 2 { "is" } else { "are" }
        ))];
        for casing in casings {
            let assessed = self.assess(&casing, self.today())?;
            follows.push(Follow::from(match assessed.design {
                Some(_) => format!("{casing} stands: {}", assessed.standing(self.today())),
                None => format!("{casing} is no longer on record"),
            }));
        }
        Ok(Recorded { entries: written.entries, warnings: Vec::new(), follows })
    }

    /// Whether a casing would stand better without all of these, in words.
    fn eases_without(&self, targets: &[Entry]) -> Result<Option<String>, StoreError> {
        let mut casings = std::collections::BTreeSet::new();
        for target in targets {
            casings.extend(self.book().casings_of(&target.entry.subject)?);
        }
        let rules = self.book().rules_on(NaiveDate::MAX)?;
        let day = self.today();
        for casing in casings {
            let mut entries = self.book().history(&casing)?;
            let assess = |entries: &[Entry]| {
                standing::assess(History { serial: &casing, entries, rules: &rules }, NaiveDate::MAX)
            };
            let before = assess(&entries).standing(day);
            entries.retain(|it| !targets.iter().any(|target| target.id == it.id));
            let without = assess(&entries);
            if without.design.is_some() && without.standing(day) > before {
                return Ok(Some(format!(
                    "{casing} would stand better without it, {before} to {}",
                    without.standing(day)
                )));
            }
        }
        Ok(None)
    }
}

fn lifts_retirement(entry: &Entry) -> bool {
    matches!(&entry.entry.details, Details::Disposition(decision) if decision.decision == crate::book::Decision::Retire)
}
