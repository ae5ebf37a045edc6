//! What state is a book in, and what is to be done next? Looks at the file from outside first, so that it has
//! something to say of a book that does not open.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Duration, Utc};
use rusqlite::OptionalExtension;

use super::append::chains;
use super::head::{cut_off, journal_of};
use super::unnamed::{Maker, folder_of, is_half_made, maker_of};
use super::{Book, SCHEMA_VERSION, StoreError};
use crate::book::reading::shorten;

/// One thing looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Looked {
    /// What.
    pub at: &'static str,
    /// Whether it is as it should be.
    pub well: bool,
    /// What was seen.
    pub seen: String,
    /// What to do next, where something is to be done.
    pub next: Option<String>,
}

/// What was seen of a book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Examined {
    /// The file.
    pub path: PathBuf,
    /// Everything looked at, in order.
    pub looked: Vec<Looked>,
}

impl Examined {
    /// Whether everything is as it should be.
    pub fn well(&self) -> bool {
        self.looked.iter().all(|it| it.well)
    }

    fn well_at(&mut self, at: &'static str, seen: impl Into<String>) {
        self.looked.push(Looked { at, well: true, seen: seen.into(), next: None });
    }

    fn ill_at(&mut self, at: &'static str, seen: impl Into<String>, next: &str) {
        self.looked.push(Looked { at, well: false, seen: seen.into(), next: Some(next.to_owned()) });
    }
}

/// Room that the journal of the largest write should find on the disk.
const LITTLE_ROOM: u64 = 64 << 20;

/// Look a book over. Changes nothing, unless a writer was cut off: then opening takes its half-written entry back.
pub fn examine(path: &Path, now: DateTime<Utc>) -> Examined {
    let mut seen = Examined { path: path.to_path_buf(), looked: Vec::new() };
    let length = match std::fs::metadata(path) {
        Ok(file) => file.len(),
        Err(error) => {
            seen.ill_at(
                "file",
                format!("{} cannot be looked at: {error}", path.display()),
                "name another with --book, or begin one: proofmark log casing --help",
            );
            return seen;
        }
    };
    let full = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    seen.well_at("file", format!("{}, {length} bytes", full.display()));
    if cut_off(path) {
        seen.ill_at(
            "journal",
            format!("{} is there: a writer was cut off, or is writing now", journal_of(path).display()),
            "never delete it: opening the book takes the half-written entry back by itself",
        );
    } else {
        seen.well_at("journal", "none left behind");
    }
    room(&mut seen, path);
    copies(&mut seen, path);
    let book = match Book::open_reading(path) {
        Ok(book) => book,
        Err(error @ StoreError::Older { .. }) => {
            seen.ill_at("schema", error.to_string(), "any writing command, after a backup of your own");
            return seen;
        }
        Err(error) => {
            let next = match &error {
                StoreError::Newer { .. } => "update the program",
                StoreError::Locked(_) => "close the other program, then look again",
                StoreError::Closed(_) => {
                    "ask its owner for the right to read it, or: chmod u+r FILE where it is yours"
                }
                StoreError::Foreign { .. } => "name another file with --book",
                _ => "restore a backup: proofmark restore BACKUP.db",
            };
            seen.ill_at("schema", error.to_string(), next);
            return seen;
        }
    };
    seen.well_at("schema", format!("{SCHEMA_VERSION}, the one this program writes"));
    writable(&mut seen, path);
    if let Err(error) = inside(&mut seen, &book, now) {
        seen.ill_at("contents", error.to_string(), "restore a backup: proofmark restore BACKUP.db");
    }
    seen
}

fn room(seen: &mut Examined, path: &Path) {
    let folder = folder_of(path);
    #[cfg(unix)]
    match rustix::fs::statvfs(folder) {
        Ok(disk) => {
            let free = disk.f_bavail.saturating_mul(disk.f_frsize);
            let words = format!("{} MiB free on its disk", free >> 20);
            if free < LITTLE_ROOM {
                seen.ill_at("room", words, "make room: a full disk refuses the next entry, and loses none");
            } else {
                seen.well_at("room", words);
            }
        }
        Err(error) => seen.ill_at("room", format!("not known: {error}"), "look at the disk by hand"),
    }
    #[cfg(not(unix))]
    let _ = (seen, folder, LITTLE_ROOM);
}

/// Copies kept beside the book, and half-made ones.
fn copies(seen: &mut Examined, path: &Path) {
    let folder = folder_of(path);
    let Some(name) = path.file_name().map(|name| name.to_string_lossy().into_owned()) else { return };
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|other| {
            other.strip_prefix(&name).is_some_and(|rest| {
                [".schema-", ".before-restore-", ".part-"].iter().any(|more| rest.starts_with(more))
            })
        })
        .collect();
    found.sort();
    let (half_made, kept): (Vec<String>, Vec<String>) =
        found.into_iter().partition(|it| it.contains(".part-"));
    let mut left = Vec::new();
    let (mut gone, mut unknown) = (false, false);
    for part in half_made.iter().filter(|it| is_half_made(it)) {
        let maker = maker_of(&folder.join(part));
        gone |= maker == Maker::Gone;
        unknown |= maker == Maker::Unknown;
        left.push(match maker {
            Maker::Alive => continue,
            Maker::Gone => format!("{} (whoever made it is gone)", shorten(part)),
            Maker::Unknown => shorten(part),
        });
    }
    if left.is_empty() {
        let words = if kept.is_empty() { "none beside it".to_owned() } else { kept.join(", ") };
        return seen.well_at("copies", words);
    }
    let next = match (gone, unknown) {
        (true, false) => {
            "the next merge, backup or restore into this folder removes them; or delete them now"
        }
        (true, true) => {
            "the next merge, backup or restore into this folder removes those whose maker is gone; delete the others where no proofmark is running"
        }
        _ => "delete them where no proofmark is running",
    };
    seen.ill_at("copies", format!("half-made: {}", left.join(", ")), next);
}

fn writable(seen: &mut Examined, path: &Path) {
    match Book::open_writing(path, None) {
        Ok(mut book) => {
            let free = book
                .connection
                .busy_timeout(std::time::Duration::from_millis(200))
                .and_then(|()| {
                    book.connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
                })
                .and_then(rusqlite::Transaction::rollback);
            match free.map_err(|error| StoreError::from_sql(path, error)) {
                Ok(()) => seen.well_at("writing", "it may be written, and nobody holds it"),
                Err(error @ StoreError::Locked(_)) => {
                    seen.ill_at(
                        "writing",
                        error.to_string(),
                        "close the other program; entries wait five seconds for it",
                    );
                }
                Err(error) => seen.ill_at("writing", error.to_string(), "look at the folder's permissions"),
            }
        }
        Err(error) => seen.ill_at("writing", error.to_string(), "copy it to a folder you may write in"),
    }
}

fn inside(seen: &mut Examined, book: &Book, now: DateTime<Utc>) -> Result<(), StoreError> {
    let sql = |error| StoreError::from_sql(book.path(), error);
    let chains = chains(&book.connection).map_err(sql)?;
    let own = chains.iter().find(|chain| chain.origin == book.origin());
    seen.well_at(
        "origin",
        format!(
            "{}, {} of its own, {} of {} other books",
            book.origin(),
            crate::quantity::counted(own.map_or(0, |chain| chain.last), "entry"),
            chains.iter().filter(|it| it.origin != book.origin()).map(|it| it.last).sum::<i64>(),
            chains.len() - usize::from(own.is_some())
        ),
    );
    let last: Option<String> = book
        .connection
        .query_row("SELECT recorded_at FROM entry ORDER BY number DESC LIMIT 1", [], |row| row.get(0))
        .optional()
        .map_err(sql)?;
    let last = last.and_then(|text| DateTime::parse_from_rfc3339(&text).ok());
    match last {
        Some(last) if last.to_utc() > now + Duration::minutes(5) && book.fixed_day().is_none() => seen
            .ill_at(
                "clock",
                format!(
                    "this computer says {}, the last entry was written {}",
                    now.format("%F %R UTC"),
                    last.format("%F %R UTC")
                ),
                "set the clock: entries written now would seem older than they are",
            ),
        Some(last) => seen.well_at("clock", format!("last entry written {}", last.format("%F %R UTC"))),
        None => seen.well_at("clock", "no entry yet"),
    }
    let drafts = book.drafts()?;
    if drafts.is_empty() {
        seen.well_at("drafts", "no half-typed form");
    } else {
        let words: Vec<String> =
            drafts.iter().map(|(form, subject)| format!("{} {}", shorten(form), shorten(subject))).collect();
        seen.well_at("drafts", format!("half-typed: {}; the screen offers them", words.join(", ")));
    }
    let named = book.conflicts_by_name()?;
    if named.is_empty() {
        seen.well_at("differences", "no load, batch or rule on which merged books differ");
    } else {
        let words: Vec<String> = named.iter().map(|it| format!("{}: {}", it.about, it.sentence())).collect();
        seen.ill_at(
            "differences",
            words.join("; "),
            "strike the one that is wrong, or write the next revision",
        );
    }
    let faults = book.verify()?;
    match faults.first() {
        None => seen.well_at(
            "contents",
            format!("as they were written, head seal {}", book.head_seal()?.as_deref().unwrap_or("none yet")),
        ),
        Some(first) => seen.ill_at(
            "contents",
            format!("{}, the first: {}", crate::quantity::counted(faults.len(), "difference"), first.sentence()),
            "proofmark verify names them all; restore a backup, and merge this book's own entries if they verify",
        ),
    }
    Ok(())
}
