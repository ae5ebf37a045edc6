//! What can go wrong with a book: what, why, and what to do next.

use std::path::PathBuf;

/// Why a book cannot be opened, read or written. Nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is no file.
    #[error("there is no book at {0}. Start one with: proofmark log casing --help")]
    Missing(PathBuf),
    /// The file is not a book.
    #[error("{path} is not a proofmark book ({why}). It was left as it is; name another file with --book")]
    Foreign {
        /// The file.
        path: PathBuf,
        /// How it is known.
        why: String,
    },
    /// The book was written by a newer program.
    #[error(
        "{path} was written by a newer proofmark (schema {found}; this one knows {known}). It was left as it is; update the program"
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// The schema of the file.
        found: u32,
        /// The schema of this program.
        known: u32,
    },
    /// The book needs a migration, which reading does not do.
    #[error(
        "{path} has the older schema {found}; any writing command brings it to {known}, after a verified copy"
    )]
    Older {
        /// The file.
        path: PathBuf,
        /// The schema of the file.
        found: u32,
        /// The schema of this program.
        known: u32,
    },
    /// Another program holds the book.
    #[error(
        "the book {0} is held by another program and stayed so for five seconds. Nothing was written; close the other one and try again"
    )]
    Locked(PathBuf),
    /// Somebody else wrote into the book after what was to be written had been worked out on it.
    #[error(
        "somebody else wrote into the book {0} meanwhile, so this was tried on another record; nothing was written, run it again"
    )]
    Overtaken(PathBuf),
    /// Another book is where this one was.
    #[error(
        "another book was put in the place of {0} while it was open (a restore, or a file moved there). Nothing was written; look at the book as it is now, then try again"
    )]
    Replaced(PathBuf),
    /// The file or its folder cannot be written.
    #[error(
        "the book {0} cannot be written: the file or its folder is read-only. It can be read; to write, copy it to a folder you may write in"
    )]
    ReadOnly(PathBuf),
    /// The file may not be read.
    #[error(
        "{0} may not be read by you: its owner or its folder keeps it closed. Nothing is wrong with it that this shows; ask for the right to read it, or name another file with --book"
    )]
    Closed(PathBuf),
    /// The disk is full.
    #[error("the disk is full: nothing was written to {0}. Make room and try again")]
    Full(PathBuf),
    /// The disk refused a read or a write.
    #[error(
        "the disk of {path} refused ({source}): it is full, over a limit, or failing. Nothing was written; make room or look at the disk, and try again"
    )]
    Disk {
        /// The file.
        path: PathBuf,
        /// What SQLite said.
        source: rusqlite::Error,
    },
    /// The file is damaged.
    #[error(
        "the book {path} is damaged: {why}. Nothing was written; restore a backup, or run: proofmark verify"
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was seen.
        why: String,
    },
    /// What was to be taken in, or made the book, is none: the book itself is well.
    #[error("{0}")]
    Other(String, u8),
    /// Something is there already.
    #[error(
        "{0} is there already and was left as it is; name another file, or say --replace where a backup may go over it"
    )]
    Exists(PathBuf),
    /// What a copy was to take the place of is no older copy.
    #[error("{path} was left as it is: {why}, or name another file")]
    NotOlder {
        /// The file.
        path: PathBuf,
        /// What it is.
        why: String,
    },
    /// A book is not what was written into it.
    #[error(
        "{path} is not as it was written: {first} ({count} in all). Nothing was taken from it; proofmark --book FILE verify names every difference"
    )]
    Differs {
        /// The file.
        path: PathBuf,
        /// How many differences.
        count: usize,
        /// The first.
        first: String,
    },
    /// Two books went on apart under one identity.
    #[error("{0}")]
    Forked(Box<super::merge::Fork>),
    /// What a book holds cannot have been written by this program.
    #[error("{path} holds what no book writes: {why}. Nothing was taken from it")]
    Hostile {
        /// The file.
        path: PathBuf,
        /// What.
        why: String,
    },
    /// A book was to be copied onto itself.
    #[error("{0} is the book itself: there is nothing to copy. Name another file")]
    OntoItself(PathBuf),
    /// Something that is no file stands where one was to be written.
    #[error("{path} is {what}, not a file, and was left as it is; name another file")]
    NoFile {
        /// Where.
        path: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// A book was to be merged with itself.
    #[error(
        "{0} is the book itself, not another one: there is nothing to merge. Name the other laptop's book"
    )]
    Itself(PathBuf),
    /// The operating system said no.
    #[error("{path}: {source}. Nothing was written")]
    Io {
        /// The file.
        path: PathBuf,
        /// What it said.
        source: std::io::Error,
    },
    /// Anything else SQLite said.
    #[error("{path}: {source}. Nothing was written")]
    Sql {
        /// The file.
        path: PathBuf,
        /// What it said.
        source: rusqlite::Error,
    },
}

impl StoreError {
    /// Sort what the operating system said of a file.
    pub(super) fn of_file(path: &std::path::Path, source: std::io::Error) -> Self {
        use std::io::ErrorKind;
        let path = path.to_path_buf();
        match source.kind() {
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => Self::ReadOnly(path),
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => Self::Full(path),
            ErrorKind::NotFound => {
                let folder = super::unnamed::folder_of(&path).display();
                Self::Other(format!("there is no folder {folder}: make it, or name another"), 1)
            }
            _ => Self::Io { path, source },
        }
    }

    /// The same of the file a person named, where it was seen on a copy of it that has no name.
    pub(super) fn named(mut self, by: &std::path::Path) -> Self {
        match &mut self {
            Self::Missing(path)
            | Self::Locked(path)
            | Self::ReadOnly(path)
            | Self::Closed(path)
            | Self::Foreign { path, .. }
            | Self::Newer { path, .. }
            | Self::Older { path, .. }
            | Self::Damaged { path, .. }
            | Self::Differs { path, .. }
            | Self::Hostile { path, .. }
            | Self::Sql { path, .. } => *path = by.to_path_buf(),
            // Where there is no room, or a disk that fails, is where the copy is.
            _ => {}
        }
        self
    }

    /// The same where it is about the file a book was to be merged with or restored from: what to do next is about
    /// that file, not about the book.
    #[must_use]
    pub fn of_the_other(self, other: &std::path::Path) -> Self {
        let code = self.exit_code();
        let words = match &self {
            Self::Missing(path) if path == other => {
                format!("there is no file {}: name the copy or the book to take from", other.display())
            }
            Self::Foreign { path, why } if path == other => {
                format!(
                    "{} is not a proofmark book ({why}). It was left as it is; name another file",
                    other.display()
                )
            }
            Self::Damaged { path, why } if path == other => format!(
                "{0} is damaged: {why}. Nothing was taken from it; take another copy. proofmark --book {0} verify says what differs",
                other.display()
            ),
            _ => return self,
        };
        Self::Other(words, code)
    }

    /// Sort an SQLite error into what a person can do about it.
    pub fn from_sql(path: &std::path::Path, error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        let path = path.to_path_buf();
        let extended = error.sqlite_error().map(|it| it.extended_code);
        if extended == Some(rusqlite::ffi::SQLITE_READONLY_DBMOVED) {
            return Self::Replaced(path);
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked(path),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly(path),
            Some(ErrorCode::DiskFull) => Self::Full(path),
            Some(ErrorCode::SystemIoFailure) => Self::Disk { path, source: error },
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged { path, why: error.to_string() },
            Some(ErrorCode::NotADatabase) => Self::Foreign { path, why: "not an SQLite file".to_owned() },
            _ => match error {
                // The statement is this program's, and long; what does not go with it is the file.
                rusqlite::Error::SqlInputError { msg, .. } => {
                    Self::Damaged { path, why: crate::book::reading::shorten(&msg) }
                }
                rusqlite::Error::FromSqlConversionFailure(_, _, why) => {
                    Self::Damaged { path, why: format!("a value in it is not readable: {why}") }
                }
                rusqlite::Error::Utf8Error(_, why) => {
                    Self::Damaged { path, why: format!("a value in it is no text: {why}") }
                }
                rusqlite::Error::InvalidColumnType(_, column, kind) => Self::Damaged {
                    path,
                    why: format!(
                        "a value in its column {} is {kind}, which no book has there",
                        crate::book::reading::shorten(&column)
                    ),
                },
                error => Self::Sql { path, source: error },
            },
        }
    }

    /// The exit code the command line gives for it.
    pub const fn exit_code(&self) -> u8 {
        match self {
            Self::Missing(_)
            | Self::Exists(_)
            | Self::Overtaken(_)
            | Self::Replaced(_)
            | Self::NotOlder { .. }
            | Self::Io { .. }
            | Self::ReadOnly(_)
            | Self::Closed(_)
            | Self::NoFile { .. }
            | Self::Full(_)
            | Self::Disk { .. } => 1,
            Self::Itself(_) | Self::OntoItself(_) => 2,
            Self::Forked(_) => 4,
            Self::Other(_, code) => *code,
            _ => 3,
        }
    }
}
