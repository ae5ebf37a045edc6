//! A trace to be read, wherever it is kept, with the plan it belongs to: work that may run on another thread.

use std::path::PathBuf;

use chrono::NaiveDate;

use super::Desk;
use super::after::{AgainstPlan, against_plan};
use super::calculators::plan;
use super::file_source::FileSource;
use super::paths::{home, unreadable};
use super::record::Refusal;
use super::traces::{kept_options, read_options};
use crate::ballistics::Load;
use crate::book::details::{FiringRecord, TraceRecord};
use crate::book::{Details, Entry, EntryId, Kind, Problem};
use crate::quantity::Quantity;
use crate::store::{Book, Filter, StoreError};
use crate::trace::{self, Progress, ReadOptions, ReduceOptions, Reduced};

/// Where the bytes are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TraceFrom {
    /// In a file.
    File(PathBuf),
    /// In a book, by their hash.
    Book(PathBuf, String),
    /// Here.
    Bytes(Vec<u8>),
}

/// What a trace belongs to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TraceOf {
    /// What to call it.
    pub label: String,
    /// The casing, where it is known.
    pub casing: Option<String>,
    /// The load, where it is known.
    pub load: Option<String>,
    /// The entry of its firing, where it is on record.
    pub firing: Option<EntryId>,
}

/// A trace to be read.
#[derive(Clone, Debug)]
pub struct TraceJob {
    /// What it belongs to.
    pub of: TraceOf,
    /// Where its bytes are.
    pub from: TraceFrom,
    /// How its columns are read.
    pub columns: ReadOptions,
    /// How it is reduced.
    pub how: ReduceOptions,
    /// The load to hold it against.
    pub load: Option<Load>,
}

/// A trace read.
#[derive(Clone, Debug)]
pub struct TraceFound {
    /// The numbers and the channels.
    pub reduced: Reduced,
    /// Against its plan, or why not.
    pub plan: Option<Result<AgainstPlan, String>>,
}

impl TraceJob {
    /// A file named as a person types it: its path, and where the file does not say it, the words of the command
    /// line: `stand.csv --column thrust=Load:lbf --calibration thrust=812.5,-203.1`.
    ///
    /// # Errors
    /// Nothing typed, or words that are neither; the problem names the field.
    pub fn typed(words: &str) -> Result<Self, Problem> {
        let mut parts = words.split(" --").map(str::trim);
        let path = parts.next().unwrap_or("").trim_matches(['"', '\'']);
        if path.is_empty() {
            return Err(Problem::new("file", "type the path of a trace file: /home/you/stand.csv"));
        }
        let (mut columns, mut calibrations) = (Vec::new(), Vec::new());
        for part in parts {
            match part.split_once([' ', '=']) {
                Some(("column", rest)) => columns.push(rest.trim()),
                Some(("calibration", rest)) => calibrations.push(rest.trim()),
                _ => {
                    let shown = crate::book::reading::shorten(part);
                    let message = format!(
                        "\"--{shown}\" is not --column ROLE=COL:UNIT or --calibration ROLE=SLOPE,OFFSET"
                    );
                    return Err(Problem::new("file", message));
                }
            }
        }
        let columns = read_options(columns.into_iter(), calibrations.into_iter())?;
        let path = home(path);
        let label =
            path.file_name().map_or_else(|| path.display().to_string(), |it| it.to_string_lossy().into());
        Ok(Self {
            of: TraceOf { label, ..TraceOf::default() },
            from: TraceFrom::File(path),
            columns,
            how: ReduceOptions::default(),
            load: None,
        })
    }

    /// Read it, reduce it, hold it against its plan. `progress` returning false stops it.
    ///
    /// # Errors
    /// Why it cannot be read, in words for a person.
    pub fn run(&self, progress: &Progress<'_>) -> Result<TraceFound, String> {
        let words = |error: &dyn std::fmt::Display| error.to_string();
        let record = match &self.from {
            TraceFrom::File(path) => {
                let source = FileSource::open(path).map_err(|error| unreadable(path, &error))?;
                trace::read_with(&source, &self.columns, progress)
            }
            TraceFrom::Bytes(bytes) => trace::read_with(&bytes.as_slice(), &self.columns, progress),
            TraceFrom::Book(book, sha256) => {
                let bytes = Book::open_reading(book)
                    .and_then(|book| book.raw_file(sha256))
                    .map_err(|error| words(&error))?
                    .ok_or_else(|| format!("the book keeps no file {sha256}"))?;
                trace::read_with(&bytes.as_slice(), &self.columns, progress)
            }
        }
        .map_err(|error| words(&error))?;
        let go_on = || progress(1, 1);
        let reduced = trace::reduce_with(&record, &self.how, &go_on).map_err(|error| words(&error))?;
        let name = self.of.load.as_deref().or_else(|| self.load.as_ref().and_then(|it| it.name.as_deref()));
        let plan = self
            .load
            .as_ref()
            .map(|load| against_plan(&reduced, load, name.unwrap_or("the load")).map_err(|it| it.message));
        Ok(TraceFound { reduced, plan })
    }

    /// Hold it against a load, and take from it what turns thrust into pressure.
    pub fn with_load(mut self, name: &str, load: Load) -> Self {
        if self.how.throats_m.is_empty() {
            self.how.throats_m = vec![load.nozzle.throat.si()];
        }
        if let Ok(plan) = plan(&load, None) {
            let throat = load.nozzle.throat.si();
            let area = std::f64::consts::FRAC_PI_4 * throat * throat;
            let coefficient = plan.peak_thrust_n.si() / (plan.peak_pressure_absolute_pa.si() * area);
            self.how.thrust_coefficient = Some(coefficient).filter(|it| (0.5..=2.5).contains(it));
            self.how.propellant_kg = self.how.propellant_kg.or(Some(plan.propellant_kg.si()));
        }
        self.of.load = Some(name.to_owned());
        self.load = Some(load);
        self
    }
}

/// A trace on record, as it is chosen from a list.
#[derive(Clone, Debug, PartialEq)]
pub struct TraceOnRecord {
    /// Its entry.
    pub entry: EntryId,
    /// Its number in this book.
    pub number: i64,
    /// When its firing was.
    pub on: NaiveDate,
    /// The casing.
    pub casing: String,
    /// The file's name.
    pub file: String,
    /// What it was reduced to.
    pub designation: String,
}

impl Desk {
    /// Every trace on record that is not struck, the newest first.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn traces(&self) -> Result<Vec<TraceOnRecord>, StoreError> {
        let mut found: Vec<TraceOnRecord> = self
            .book()
            .lines(&Filter::OfKind(Kind::Trace), NaiveDate::MAX)?
            .into_iter()
            .filter(|line| line.struck_by.is_none())
            .filter_map(|line| match &line.entry.entry.details {
                Details::Trace(record) => Some(TraceOnRecord {
                    entry: line.entry.id,
                    number: line.entry.number,
                    on: line.entry.entry.happened_on,
                    casing: record.casing.clone(),
                    file: record.file.clone(),
                    designation: record
                        .reduction
                        .get("designation")
                        .and_then(serde_json::Value::as_str)
                        .unwrap_or("")
                        .to_owned(),
                }),
                _ => None,
            })
            .collect();
        found.reverse();
        Ok(found)
    }

    /// The trace of an entry: a trace, or a firing that has one.
    ///
    /// # Errors
    /// The entry is neither, its firing has no trace on record, or the book cannot be read.
    pub fn trace_job(&self, id: EntryId) -> Result<TraceJob, Refusal> {
        let refuse = |message: &str| Refusal::field("trace", message);
        let entry = self.book().entry(id)?.ok_or_else(|| refuse("that entry is not in this book"))?;
        match &entry.entry.details {
            Details::Trace(record) => self.job_of(record, &entry),
            Details::Firing(_) => {
                let mut of_it = None;
                for line in self.book().lines(&Filter::OfKind(Kind::Trace), NaiveDate::MAX)? {
                    let its =
                        matches!(&line.entry.entry.details, Details::Trace(record) if record.firing == id);
                    if its && line.struck_by.is_none() {
                        of_it = Some(line.entry);
                    }
                }
                match of_it.as_ref().map(|entry| (&entry.entry.details, entry)) {
                    Some((Details::Trace(record), entry)) => self.job_of(record, entry),
                    _ => Err(refuse("no trace of this firing is on record; log one, or open its file")),
                }
            }
            _ => Err(refuse("select a firing or a trace in the ledger")),
        }
    }

    fn job_of(&self, record: &TraceRecord, entry: &Entry) -> Result<TraceJob, Refusal> {
        let columns =
            kept_options(record.columns.as_deref().unwrap_or("")).map_err(|it| Refusal::Form(vec![it]))?;
        let book = self.book();
        let from = if book.path().is_file() {
            TraceFrom::Book(book.path().to_owned(), record.sha256.clone())
        } else {
            let bytes = book.raw_file(&record.sha256)?;
            TraceFrom::Bytes(bytes.ok_or_else(|| Refusal::field("trace", "its raw file is not in the book"))?)
        };
        let firing = match book.entry(record.firing)?.map(|entry| entry.entry.details) {
            Some(Details::Firing(firing)) => Some(*firing),
            _ => None,
        };
        let job = TraceJob {
            of: TraceOf {
                label: format!("{} of {}", record.file, entry.entry.happened_on),
                casing: Some(record.casing.clone()),
                load: firing.as_ref().and_then(|firing| firing.load.clone()),
                firing: Some(record.firing),
            },
            from,
            columns,
            how: how_of(firing.as_ref()),
            load: None,
        };
        self.with_its_load(job, entry.entry.happened_on)
    }

    /// Give a job its load, where that is on record and can be burnt.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn with_its_load(&self, job: TraceJob, day: NaiveDate) -> Result<TraceJob, Refusal> {
        let Some(name) = job.of.load.clone() else { return Ok(job) };
        match self.load_to_burn(&name, day) {
            Ok(load) => Ok(job.with_load(&name, load)),
            Err(Refusal::Store(error)) => Err(Refusal::Store(error)),
            Err(_) => Ok(job),
        }
    }
}

fn how_of(firing: Option<&FiringRecord>) -> ReduceOptions {
    let throats = firing.map(|it| [&it.throat_before, &it.throat_after]).into_iter().flatten();
    let throats_m: Vec<f64> = throats.flatten().map(|throat| throat.si()).collect();
    ReduceOptions { throats_m, ..ReduceOptions::default() }
}
