//! Photographs by reference: whether the file is still there, and still the one that was logged.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::super::Desk;
use super::super::view::CasingPage;
use crate::book::details::PhotoRecord;
use crate::book::{Details, Kind, seal};
use crate::store::{EntryLine, Filter, StoreError};

/// A picture larger than this is named, not carried inside a page.
const CARRIED_BYTES: u64 = 8 << 20;
/// A file larger than this is taken for no picture and not read.
const READ_BYTES: u64 = 256 << 20;

/// How a photograph's file stands against its entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PhotoState {
    /// The file is there, byte for byte.
    AsLogged,
    /// A file is there, but not the one that was logged.
    Changed,
    /// No file is there.
    Missing,
    /// It is there and cannot be read.
    Unreadable(String),
}

impl PhotoState {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::AsLogged => "is as logged".to_owned(),
            Self::Changed => "is not the file that was logged: its SHA-256 differs".to_owned(),
            Self::Missing => "is missing; put it back where it was or beside the book, copy it from the laptop that logged it, or run from the folder it was logged from".to_owned(),
            Self::Unreadable(why) => format!("cannot be read: {why}"),
        }
    }
}

/// One photograph held against its file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoCheck {
    /// Its entry.
    pub number: i64,
    /// Where the file was.
    pub path: String,
    /// How it stands.
    pub state: PhotoState,
}

/// A photograph for a page.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Its entry.
    pub number: i64,
    /// The day.
    pub on: NaiveDate,
    /// What was logged.
    pub record: PhotoRecord,
    /// How the file stands.
    pub state: PhotoState,
    /// PNG or JPEG bytes to carry inside the page, where the file is as logged and not too large.
    pub carried: Option<(&'static str, Vec<u8>)>,
    /// The entry that crossed it out, where one did.
    pub struck_by: Option<i64>,
}

/// The picture's media type by its first bytes; anything else is not shown.
fn media_type(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(b"\xff\xd8\xff") {
        Some("image/jpeg")
    } else {
        None
    }
}

/// Look at a file that was logged with a hash: how it stands, and its bytes where they are as logged.
pub fn look_at_file(path: &Path, sha256: &str) -> (PhotoState, Option<Vec<u8>>) {
    match std::fs::metadata(path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return (PhotoState::Missing, None),
        Err(error) => return (PhotoState::Unreadable(error.to_string()), None),
        Ok(about) if !about.is_file() => {
            return (PhotoState::Unreadable("it is no file".to_owned()), None);
        }
        Ok(about) if about.len() > READ_BYTES => {
            return (PhotoState::Unreadable(format!("{} bytes are no photograph", about.len())), None);
        }
        Ok(_) => {}
    }
    match crate::store::regular::read(path, READ_BYTES) {
        Ok(bytes) if seal::sha256(&bytes) == sha256 => (PhotoState::AsLogged, Some(bytes)),
        Ok(_) => (PhotoState::Changed, None),
        Err(error) => (PhotoState::Unreadable(error.to_string()), None),
    }
}

impl Desk {
    /// Where a logged path leads: as written, else beside the book.
    pub fn photo_path(&self, path: &str) -> PathBuf {
        let path = Path::new(path);
        if path.exists() || path.is_absolute() {
            return path.to_path_buf();
        }
        match self.book().path().parent().map(|folder| folder.join(path)) {
            Some(beside) if beside.exists() => beside,
            _ => path.to_path_buf(),
        }
    }

    /// Look at a photograph's file: how it stands, and its bytes where they are as logged.
    fn look_at_photo(&self, record: &PhotoRecord) -> (PhotoState, Option<Vec<u8>>) {
        look_at_file(&self.photo_path(&record.path), &record.sha256)
    }

    /// Every photograph on record held against its file. A missing file is no fault of the book.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn check_photos(&self) -> Result<Vec<PhotoCheck>, StoreError> {
        let lines = self.book().lines(&Filter::OfKind(Kind::Photo), NaiveDate::MAX)?;
        Ok(lines
            .into_iter()
            .filter(|line| line.struck_by.is_none())
            .filter_map(|line| match line.entry.entry.details {
                Details::Photo(record) => Some(PhotoCheck {
                    number: line.entry.number,
                    state: self.look_at_photo(&record).0,
                    path: record.path,
                }),
                _ => None,
            })
            .collect())
    }

    pub(super) fn pictures_of(&self, page: &CasingPage) -> Vec<Picture> {
        page.ledger.iter().filter_map(|line| self.picture(line)).collect()
    }

    fn picture(&self, line: &EntryLine) -> Option<Picture> {
        let Details::Photo(record) = &line.entry.entry.details else { return None };
        let (state, bytes) = self.look_at_photo(record);
        let carried = bytes
            .filter(|bytes| bytes.len() as u64 <= CARRIED_BYTES)
            .and_then(|bytes| media_type(&bytes).map(|media| (media, bytes)));
        Some(Picture {
            number: line.entry.number,
            on: line.entry.entry.happened_on,
            record: (**record).clone(),
            state,
            carried,
            struck_by: line.struck_by,
        })
    }
}
