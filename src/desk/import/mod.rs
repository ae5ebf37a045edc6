//! Old notebooks taken in from CSV: tried out whole on a copy first, then written whole or not at all.
//!
//! An import is one transaction of ordinary entries with a note behind them that counts them. Striking that note
//! strikes every one of them (see [`Desk::record`]): the ledger still only grows.

mod dates;
mod sheet;
mod undo;

use std::path::Path;

use super::record::{Follow, Refusal};
use super::view::sentence;
use super::{Desk, Surroundings};
use crate::book::details::NoteRecord;
use crate::book::{Details, Kind, NewEntry, Problem, Subject, SubjectOf, forms, seal};
use crate::quantity::System;
use crate::store::{Creation, RawFile, StoreError};

pub use dates::DayOrder;
pub use sheet::{Column, Mapping, Sheet, SheetRow};
pub(super) use undo::import_counted_by;

/// What an import is asked to do.
#[derive(Clone, Debug, Default)]
pub struct Wish {
    /// The kind of every row; without it a column named `kind` says it row by row.
    pub kind: Option<Kind>,
    /// Columns as the person maps them.
    pub maps: Vec<Mapping>,
    /// Columns left out on purpose.
    pub skip: Vec<String>,
    /// Fields that are the same in every row that does not say otherwise.
    pub set: Vec<(String, String)>,
    /// Every date is a guess.
    pub approximate: bool,
    /// How dates of numbers are written, where they are not year first.
    pub order: Option<DayOrder>,
    /// Who takes them in.
    pub by: Option<String>,
}

/// What came of one row.
#[derive(Clone, Debug)]
pub struct RowOutcome {
    /// The line of the file it begins on.
    pub line: u64,
    /// What it is, where that is known.
    pub kind: Option<Kind>,
    /// What it would be on record, in a sentence.
    pub says: String,
    /// The day, and whether it is a guess.
    pub on: Option<(chrono::NaiveDate, bool)>,
    /// What looks like a slip.
    pub warnings: Vec<Problem>,
    /// Why it cannot be taken in.
    pub problems: Vec<Problem>,
}

/// An import tried out: what every column is taken for and what every row would be.
#[derive(Debug)]
pub struct Tried {
    /// The file's name, without its folder.
    pub file: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<RowOutcome>,
    /// What is wrong with the file as a whole.
    pub problems: Vec<Problem>,
    entries: Vec<(NewEntry, crate::book::EntryId)>,
    files: Vec<RawFile>,
    /// The head seal of the book it was tried on.
    onto: Option<String>,
}

impl Tried {
    /// Whether every row can be taken in.
    pub fn clean(&self) -> bool {
        self.problems.is_empty() && self.rows.iter().all(|row| row.problems.is_empty())
    }

    /// How many entries it would write, the note that counts them aside.
    pub fn entries(&self) -> usize {
        self.entries.len()
    }
}

/// A book to try rows out on: a copy of the book, or an empty one where none has begun.
///
/// # Errors
/// The book cannot be read.
pub fn bench(book: &Path, surroundings: Box<dyn Surroundings>) -> Result<Desk, StoreError> {
    if book.exists() {
        let desk = Desk::reading(book, surroundings)?;
        let scratch = desk.book().scratch()?;
        return Ok(Desk { book: scratch, ..desk });
    }
    let mut surroundings = surroundings;
    let creation = Creation { origin: surroundings.identity(), at: surroundings.now(), fixed_day: None };
    Ok(Desk { book: crate::store::Book::in_memory(creation)?, surroundings, asked_day: None })
}

impl Desk {
    /// Try an import out on this desk, which must be a [`bench()`]: every row is recorded there, so that a firing finds
    /// the casing of the row above it.
    ///
    /// # Errors
    /// The book cannot be read. What is wrong with the rows is in the answer.
    pub fn try_import(&mut self, file: &str, bytes: &[u8], wish: &Wish) -> Result<Tried, Refusal> {
        let onto = self.book().head_seal()?;
        let sha256 = seal::sha256(bytes);
        let mut tried = Tried {
            file: crate::book::reading::shorten(file),
            sha256,
            columns: Vec::new(),
            rows: Vec::new(),
            problems: Vec::new(),
            entries: Vec::new(),
            files: Vec::new(),
            onto,
        };
        if let Some(number) = self.imported_as(&tried.sha256)? {
            tried.problems.push(Problem::new(
                "file",
                format!("this very file was imported already, as entry {number} counts; strike that entry first to import it again"),
            ));
        }
        let sheet = match Sheet::read(bytes, wish) {
            Ok(sheet) => sheet,
            Err(problems) => {
                tried.problems.extend(problems);
                return Ok(tried);
            }
        };
        tried.columns = sheet.columns;
        for row in sheet.rows {
            let outcome = self.try_row(row, wish, &mut tried.entries, &mut tried.files)?;
            tried.rows.push(outcome);
        }
        if tried.rows.is_empty() {
            tried.problems.push(Problem::new("file", "it holds no row below its header"));
        }
        Ok(tried)
    }

    fn try_row(
        &mut self,
        row: SheetRow,
        wish: &Wish,
        entries: &mut Vec<(NewEntry, crate::book::EntryId)>,
        files: &mut Vec<RawFile>,
    ) -> Result<RowOutcome, Refusal> {
        let mut outcome = RowOutcome {
            line: row.line,
            kind: row.kind,
            says: String::new(),
            on: None,
            warnings: Vec::new(),
            problems: row.problems,
        };
        let Some(kind) = row.kind else { return Ok(outcome) };
        if matches!(kind, Kind::Strike | Kind::Prefire | Kind::Rule) || forms::form(kind).is_none() {
            outcome.problems.push(Problem::new(
                "kind",
                format!("a {kind} is never imported: it is written by the person who decides it"),
            ));
        }
        if !outcome.problems.is_empty() {
            return Ok(outcome);
        }
        let mut answers = row.answers;
        if answers.text("by").is_none()
            && let Some(by) = &wish.by
        {
            answers.set("by", by.clone());
        }
        match self.record(kind, &answers, None) {
            Ok(recorded) => {
                for entry in recorded.entries {
                    if outcome.says.is_empty() {
                        outcome.says = sentence(&entry.entry.details, System::Si);
                        outcome.on = Some((entry.entry.happened_on, entry.entry.date_approximate));
                    }
                    if let Details::Trace(trace) = &entry.entry.details
                        && let Some(bytes) = self.book().raw_file(&trace.sha256)?
                    {
                        files.push(RawFile { sha256: trace.sha256.clone(), bytes });
                    }
                    entries.push((entry.entry, entry.id));
                }
                outcome.warnings = recorded.warnings;
            }
            Err(Refusal::Form(problems)) => outcome.problems = problems,
            Err(Refusal::Forbidden { casing, .. }) => {
                outcome.problems.push(Problem::new("casing", format!("the record forbids it for {casing}")));
            }
            Err(Refusal::Store(error)) => return Err(Refusal::Store(error)),
        }
        Ok(outcome)
    }

    /// Write an import that was tried out clean: every entry and the note that counts them, in one transaction.
    ///
    /// # Errors
    /// It is not clean, somebody else wrote meanwhile, or the book cannot be written; then nothing was.
    pub fn take_import(&mut self, tried: Tried, by: &str) -> Result<super::Recorded, Refusal> {
        if !tried.clean() {
            return Err(Refusal::field("file", "it has problems; none of it was taken in"));
        }
        let today = self.today();
        let count = tried.entries.len();
        let note = NoteRecord {
            casing: None,
            part: None,
            event: None,
            text: undo::counting_text(&tried.file, count, &tried.sha256),
        };
        let mut new = tried.entries;
        new.push((
            NewEntry {
                subject: Subject { of: SubjectOf::Book, name: "book".to_owned() },
                happened_on: today,
                date_approximate: false,
                recorded_by: by.to_owned(),
                second: None,
                details: Details::from(note),
            },
            self.next_id(),
        ));
        let at = self.now();
        let written = self.book.append_onto(tried.onto.as_deref(), at, new, &tried.files)?;
        let number = written.entries.last().map_or(0, |entry| entry.number);
        Ok(super::Recorded {
            entries: written.entries,
            warnings: Vec::new(),
            follows: [
                format!(
                    "{} taken in; entry {number} counts them",
                    if count == 1 { "1 entry was".to_owned() } else { format!("{count} entries were") }
                ),
                format!(
                    "to undo all of it: proofmark log strike --entry {number} --reason TEXT --second NAME"
                ),
            ]
            .map(Follow::from)
            .into(),
        })
    }
}
