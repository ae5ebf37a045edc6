//! Copies that can be trusted: made on a live book, verified, synced, and only then given their name.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, Utc};
use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags, OptionalExtension, params};
use uuid::Uuid;

use super::append::chains;
use super::head::{cut_off, journal_of};
use super::regular::other_than_a_file;
pub(super) use super::unnamed::Unnamed;
use super::unnamed::{beside, folder_of};
use super::verify::Fault;
use super::{Book, StoreError};

/// What a copy came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Copied {
    /// Where it is.
    pub path: PathBuf,
    /// How many entries it holds.
    pub entries: i64,
    /// The seal of the whole book.
    pub head_seal: Option<String>,
    /// Where the book that was there before is kept now.
    pub kept: Option<PathBuf>,
    /// Where the journal is kept that another book had left beside this name.
    pub journal: Option<PathBuf>,
}

/// Pages copied before a waiting writer gets its turn.
const PAGES_A_STEP: i32 = 4_096;
/// Copies begun again because of writers before they are made to wait.
const PATIENCE: i32 = 3;

/// Copy every page of a book, as it is at one moment, into an empty file.
fn copy_pages(from: &Connection, path: &Path) -> rusqlite::Result<()> {
    let mut to = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    // The file has no name yet and is synced before it gets one.
    to.pragma_update(None, "synchronous", "OFF")?;
    let backup = Backup::new(from, &mut to)?;
    let (mut left, mut again) = (i32::MAX, 0);
    loop {
        let pages = if again > PATIENCE { -1 } else { PAGES_A_STEP };
        match backup.step(pages)? {
            StepResult::Done => return Ok(()),
            StepResult::Busy | StepResult::Locked => std::thread::sleep(Duration::from_millis(20)),
            _ => {}
        }
        let now = backup.progress().remaining;
        again += i32::from(now >= left);
        left = now;
    }
}

fn not_whole(path: &Path, faults: &[Fault]) -> StoreError {
    StoreError::Differs {
        path: path.to_path_buf(),
        count: faults.len(),
        first: faults.first().map_or_else(String::new, Fault::sentence),
    }
}

impl Book {
    /// Copy a live book to a file, verify the copy, and only then give it its name.
    ///
    /// # Errors
    /// The target exists and is not to be replaced, cannot be written, or the book is not what it was.
    pub fn back_up(&self, target: &Path, replace: bool) -> Result<Copied, StoreError> {
        if super::is_itself(target, self.path()) {
            return Err(StoreError::OntoItself(target.to_path_buf()));
        }
        if let Some(what) = std::fs::metadata(target).ok().as_ref().and_then(other_than_a_file) {
            return Err(StoreError::NoFile { path: target.to_path_buf(), what });
        }
        if !replace && target.exists() {
            return Err(StoreError::Exists(target.to_path_buf()));
        }
        self.must_be_older(target)?;
        let unnamed = Unnamed::beside(target)?;
        copy_pages(&self.connection, &unnamed.path).map_err(|error| StoreError::from_sql(target, error))?;
        let copy = Self::open_reading(&unnamed.path).map_err(|error| error.named(self.path()))?;
        let faults = copy.verify().map_err(|error| error.named(self.path()))?;
        if !faults.is_empty() {
            return Err(not_whole(self.path(), &faults));
        }
        let (_, entries) = copy.size()?;
        let head_seal = copy.head_seal()?;
        drop(copy);
        let journal = unnamed.name(target, replace)?;
        Ok(Copied { path: target.to_path_buf(), entries, head_seal, kept: None, journal })
    }

    /// What stands where a copy is to go must be an older copy: every entry of it is here, under the same seal.
    fn must_be_older(&self, target: &Path) -> Result<(), StoreError> {
        let newer = |why: String| StoreError::NotOlder { path: target.to_path_buf(), why };
        match std::fs::metadata(target) {
            Err(_) => return Ok(()),
            Ok(there) if there.is_file() && there.len() == 0 => return Ok(()),
            Ok(there) if !there.is_file() => return Err(newer("it is no file".to_owned())),
            Ok(_) => {}
        }
        super::head::is_a_book(target).map_err(|_| newer("it is no copy of a book".to_owned()))?;
        let sql = |error| StoreError::from_sql(target, error);
        let there = chains(&super::open::reader(target)?).map_err(sql)?;
        for chain in there {
            let here: Option<String> = self
                .connection
                .query_row(
                    "SELECT seal FROM entry WHERE origin = ?1 AND sequence = ?2",
                    params![chain.origin.to_string(), chain.last],
                    |row| row.get(0),
                )
                .optional()
                .map_err(|error| StoreError::from_sql(self.path(), error))?;
            if here.as_ref() != Some(&chain.seal) {
                return Err(newer(format!(
                    "it holds entries of the book {} that this book does not: merge it first",
                    chain.origin
                )));
            }
        }
        Ok(())
    }

    /// Make a verified copy the book. The copy goes on under an identity of its own, so that what the old book held
    /// beyond it can still be merged; the old book is kept beside.
    ///
    /// # Errors
    /// The copy is not whole, the book is in use, or the folder cannot be written; then the book is as it was.
    pub fn restore(from: &Path, book: &Path, origin: Uuid, at: DateTime<Utc>) -> Result<Copied, StoreError> {
        if super::is_itself(from, book) {
            return Err(StoreError::OntoItself(book.to_path_buf()));
        }
        if let Some(what) = std::fs::metadata(book).ok().as_ref().and_then(other_than_a_file) {
            return Err(StoreError::NoFile { path: book.to_path_buf(), what });
        }
        if let Some(folder) = book.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(|source| StoreError::of_file(folder, source))?;
        }
        let unnamed = Unnamed::beside(book)?;
        copy_any(from, &unnamed.path)?;
        let mut copy = open_copy(&unnamed.path).map_err(|error| error.named(from))?;
        let faults = copy.verify().map_err(|error| error.named(from))?;
        if !faults.is_empty() {
            return Err(not_whole(from, &faults));
        }
        copy.rename_origin(origin)?;
        copy.set_setting("restored_at", &crate::book::seal::moment(at))?;
        let (_, entries) = copy.size()?;
        let head_seal = copy.head_seal()?;
        let made = |kept, journal| Copied { path: book.to_path_buf(), entries, head_seal, kept, journal };
        if std::fs::symlink_metadata(book).is_err() {
            drop(copy);
            return Ok(made(None, unnamed.name(book, true)?));
        }
        match Self::open_writing(book, None) {
            Ok(old) => {
                let kept = put_in_its_place(old, &copy, at)?;
                Ok(made(Some(kept), None))
            }
            Err(error @ (StoreError::Locked(_) | StoreError::ReadOnly(_) | StoreError::Full(_))) => {
                Err(error)
            }
            // What is no book any more is nobody's open book.
            Err(_) => {
                drop(copy);
                let kept = keep_old(book, at)?;
                // The journal of the old book is kept with it and means nothing to the new one.
                Ok(made(Some(kept), unnamed.name(book, true)?))
            }
        }
    }
}

/// Write every page of a copy into the file of a book, in one transaction, after keeping the old pages beside it.
///
/// The file is never moved: a program that has it open, as a screen has for hours, goes by its locks and sees one more
/// change. Nobody else writes from before the old pages are kept until the new ones are there.
fn put_in_its_place(mut old: Book, copy: &Book, at: DateTime<Utc>) -> Result<PathBuf, StoreError> {
    let path = old.path.clone();
    let sql = |error| StoreError::from_sql(&path, error);
    // Keeps the lock past the end of a transaction; gone with the connection, whatever happens here.
    old.connection.pragma_update(None, "locking_mode", "EXCLUSIVE").map_err(sql)?;
    old.connection.execute_batch("BEGIN EXCLUSIVE; COMMIT").map_err(sql)?;
    let kept = (1..1_000)
        .map(|number| kept_name(&path, at, number))
        .find(|kept| std::fs::symlink_metadata(kept).is_err())
        .ok_or_else(|| StoreError::Exists(beside(&path, ".before-restore")))?;
    let unnamed = Unnamed::beside(&kept)?;
    copy_pages(&old.connection, &unnamed.path).map_err(|error| StoreError::from_sql(&kept, error))?;
    unnamed.name(&kept, false)?;
    let done = Backup::new(&copy.connection, &mut old.connection).and_then(|pages| pages.step(-1));
    match done.map_err(sql) {
        Ok(StepResult::Done) => Ok(kept),
        done => {
            // The book is as it was, so there is nothing to keep.
            let _ = std::fs::remove_file(&kept);
            done.and(Err(StoreError::Locked(path.clone())))
        }
    }
}

/// Where an old book is kept.
fn kept_name(book: &Path, at: DateTime<Utc>, number: u32) -> PathBuf {
    beside(book, &format!(".before-restore-{}-{number}", at.format("%Y-%m-%d")))
}

/// Open a copy that nobody else knows of, bringing an older schema up to this one.
fn open_copy(path: &Path) -> Result<Book, StoreError> {
    let book = Book::open_writing(path, None);
    // The copy of a copy, made before a migration, is of no use to anybody.
    if let Ok(found) = copies_before_migration(path) {
        for copy in found {
            let _ = std::fs::remove_file(copy);
        }
    }
    book
}

fn copies_before_migration(path: &Path) -> std::io::Result<Vec<PathBuf>> {
    let folder = folder_of(path);
    let name = path.file_name().map(|name| format!("{}.schema-", name.to_string_lossy())).unwrap_or_default();
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        if !name.is_empty() && entry.file_name().to_string_lossy().starts_with(&name) {
            found.push(entry.path());
        }
    }
    Ok(found)
}

/// Copy a book of this or an older schema into an empty file.
fn copy_any(from: &Path, to: &Path) -> Result<(), StoreError> {
    super::head::looks_like_a_book(from)?;
    let copied = super::open::reader(from).and_then(|connection| {
        copy_pages(&connection, to).map_err(|error| StoreError::from_sql(from, error))
    });
    match copied {
        // A writer was cut off, and taking back what it had half written would change the other's file: that is done
        // on the copy.
        Err(StoreError::ReadOnly(_)) if cut_off(from) => {
            let journal = journal_of(to);
            let copied = std::fs::copy(from, to)
                .and_then(|_| std::fs::copy(journal_of(from), &journal))
                .map_err(|source| StoreError::of_file(to, source))
                .and_then(|_| super::head::is_a_book(to));
            if copied.is_err() {
                let _ = std::fs::remove_file(journal);
            }
            copied.map_err(|error| error.named(from))
        }
        other => other,
    }
}

/// A copy of another person's book that may be written: brought to this schema, verified, removed with this value.
pub(super) struct Borrowed {
    /// The copy.
    pub book: Book,
    _file: Unnamed,
}

/// Copy a book beside another one, bring it to this schema and verify it.
pub(super) fn borrow(from: &Path, beside: &Path) -> Result<Borrowed, StoreError> {
    let file = Unnamed::beside(beside)?;
    copy_any(from, &file.path)?;
    let book = open_copy(&file.path).map_err(|error| error.named(from))?;
    let faults = book.verify().map_err(|error| error.named(from))?;
    if faults.is_empty() { Ok(Borrowed { book, _file: file }) } else { Err(not_whole(from, &faults)) }
}

/// Give what cannot be opened a second name beside the book that takes its place.
fn keep_old(book: &Path, at: DateTime<Utc>) -> Result<PathBuf, StoreError> {
    for number in 1..1_000 {
        let kept = kept_name(book, at, number);
        // Its own journal, where a writer was cut off and nobody could take it back, goes with it.
        match std::fs::hard_link(book, &kept).or_else(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => Err(error),
            _ => std::fs::copy(book, &kept).and_then(|_| File::open(&kept)?.sync_all()),
        }) {
            Ok(()) => {
                let journal = journal_of(book);
                if journal.exists() {
                    std::fs::rename(&journal, journal_of(&kept))
                        .map_err(|source| StoreError::of_file(&journal, source))?;
                }
                return Ok(kept);
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(source) => return Err(StoreError::of_file(&kept, source)),
        }
    }
    Err(StoreError::Exists(beside(book, ".before-restore")))
}

/// Whether two paths are one file.
pub(super) fn same_file(one: &Path, other: &Path) -> bool {
    match (std::fs::canonicalize(one), std::fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => false,
    }
}

/// Keep a verified copy beside the book before its schema changes: `book.db.schema-1.2026-10-03.copy`.
pub(super) fn copy_before_migration(
    connection: &Connection,
    path: &Path,
    schema: u32,
    at: Option<DateTime<Utc>>,
) -> Result<(), StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let last: Option<String> =
        connection.query_row("SELECT max(recorded_at) FROM entry", [], |row| row.get(0)).map_err(sql)?;
    let day = match (at, last) {
        (Some(at), _) => at.format("%Y-%m-%d").to_string(),
        (None, Some(last)) => last.chars().take(10).filter(|c| c.is_ascii_digit() || *c == '-').collect(),
        (None, None) => "empty".to_owned(),
    };
    for number in 1..1_000 {
        let more = if number == 1 { String::new() } else { format!("-{number}") };
        let copy = beside(path, &format!(".schema-{schema}.{day}{more}.copy"));
        if copy.exists() {
            // A migration that was cut off earlier that day left a good one.
            if holds_the_same(connection, &copy).unwrap_or(false) {
                return Ok(());
            }
            continue;
        }
        let unnamed = Unnamed::beside(&copy)?;
        copy_pages(connection, &unnamed.path).map_err(|error| StoreError::from_sql(&copy, error))?;
        if !holds_the_same(connection, &unnamed.path).map_err(sql)? {
            return Err(StoreError::Damaged {
                path: path.to_path_buf(),
                why: "a copy made before the migration is not whole".to_owned(),
            });
        }
        return unnamed.name(&copy, false).map(|_| ());
    }
    Err(StoreError::Exists(beside(path, ".copy")))
}

/// Whether a copy is whole and ends every chain as the book does. (Its seals and rows are checked by the program
/// after the migration; here it matters that it is the same.)
fn holds_the_same(book: &Connection, copy: &Path) -> rusqlite::Result<bool> {
    let copy = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let whole: String = copy.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    let count = |of: &Connection| of.query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0));
    Ok(whole == "ok" && chains(book)? == chains(&copy)? && count(book)? == count(&copy)?)
}
