//! The invented club's book. Every name, serial and number is made up; it only shows what the program does.

mod club;
mod firings;
mod history;
mod instruments;
mod large;
mod tales;
mod traces;

use std::path::Path;

pub use large::write_large;

use chrono::{DateTime, Duration, NaiveDate, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use uuid::{Builder, Uuid};

use crate::book::Answers;
use crate::desk::{Desk, Refusal, Surroundings};
use crate::store::{Book, Creation, StoreError};

/// The demo book as it was built, byte for byte what [`build`] makes.
const BUILT: &[u8] = include_bytes!("../../demo.db");

/// The day it always is in the demo book.
pub const DAY: (i32, u32, u32) = (2026, 10, 3);

/// Why the demo book cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The file.
    #[error("the demo book cannot be written to {path}: {source}; name a file in a folder you may write in")]
    Io {
        /// The file.
        path: std::path::PathBuf,
        /// What the operating system said.
        source: std::io::Error,
    },
    /// There is something there already.
    #[error("{0} exists already; name another file")]
    Exists(std::path::PathBuf),
    /// The book.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// An entry of the story is not accepted.
    #[error("the demo's {what} is not accepted: {why}")]
    Refused {
        /// Which entry.
        what: String,
        /// Why.
        why: String,
    },
}

/// Write the demo book to a new file.
///
/// # Errors
/// The file exists or cannot be written.
pub fn write(path: &Path) -> Result<(), DemoError> {
    use std::io::Write;
    let mut file = match std::fs::OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            return Err(DemoError::Exists(path.to_path_buf()));
        }
        Err(source) => return Err(DemoError::Io { path: path.to_path_buf(), source }),
    };
    file.write_all(BUILT).map_err(|source| DemoError::Io { path: path.to_path_buf(), source })
}

/// Build the demo book through the desk, entry by entry, and write it compactly to a file.
///
/// # Errors
/// An entry is refused, or the file cannot be written.
pub fn build(path: &Path) -> Result<(), DemoError> {
    let mut telling = Telling::begin()?;
    club::tell(&mut telling)?;
    history::tell(&mut telling)?;
    traces::tell(&mut telling)?;
    instruments::tell(&mut telling)?;
    if path.exists() {
        std::fs::remove_file(path).map_err(|source| DemoError::Io { path: path.to_path_buf(), source })?;
    }
    telling.desk.book().copy_to(path)?;
    Ok(())
}

/// A clock that stands still and moves on by hand, and identities from a fixed seed.
struct Scripted {
    moment: std::rc::Rc<std::cell::Cell<DateTime<Utc>>>,
    random: ChaCha8Rng,
}

impl Surroundings for Scripted {
    fn now(&self) -> DateTime<Utc> {
        self.moment.get()
    }
    fn today(&self) -> NaiveDate {
        self.moment.get().date_naive()
    }
    fn identity(&mut self) -> Uuid {
        let mut bytes = [0_u8; 10];
        self.random.fill_bytes(&mut bytes);
        let millis = self.moment.get().timestamp_millis().unsigned_abs();
        Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid()
    }
}

/// The story as it is told to the desk: each entry is written on the evening of the day it happened.
pub(crate) struct Telling {
    desk: Desk,
    moment: std::rc::Rc<std::cell::Cell<DateTime<Utc>>>,
}

impl Telling {
    fn begin() -> Result<Self, DemoError> {
        let day = |(year, month, day)| NaiveDate::from_ymd_opt(year, month, day).unwrap_or_default();
        let start = day((2021, 3, 1)).and_time(chrono::NaiveTime::default()).and_utc();
        let moment = std::rc::Rc::new(std::cell::Cell::new(start));
        let mut scripted = Scripted { moment: moment.clone(), random: ChaCha8Rng::seed_from_u64(20_261_003) };
        let creation = Creation { origin: scripted.identity(), at: start, fixed_day: Some(day(DAY)) };
        let book = Book::in_memory(creation)?;
        Ok(Self { desk: Desk::with(book, Box::new(scripted)), moment })
    }

    /// Write an entry on a day.
    fn log(
        &mut self,
        kind: crate::book::Kind,
        on: &str,
        by: &str,
        fields: &[(&str, &str)],
    ) -> Result<(), DemoError> {
        let mut answers = Answers::new();
        answers.set("on", on).set("by", by);
        for (field, text) in fields {
            answers.push(field, *text);
        }
        // Each entry a minute after the last, and never before the evening of its own day.
        let evening =
            on.parse::<NaiveDate>().unwrap_or_default().and_time(chrono::NaiveTime::default()).and_utc()
                + Duration::hours(19);
        self.moment.set((self.moment.get() + Duration::minutes(1)).max(evening));
        self.desk.record(kind, &answers, None).map(|_| ()).map_err(|refusal| DemoError::Refused {
            what: format!("{kind} of {on} {fields:?}"),
            why: match refusal {
                Refusal::Form(problems) => {
                    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
                }
                Refusal::Store(error) => error.to_string(),
                Refusal::Forbidden { .. } => "the record forbids it".to_owned(),
            },
        })
    }
}
