//! From the bytes of a logger's file to columns in SI.

use super::clock;
use super::columns::{Assigned, Calibration, ColumnChoice, Role, assign, missing};
use super::error::TraceError;
use super::layout::{as_text, sniff};
use super::rows::{Columns, read_rows};
use super::source::{Progress, Source, all_threads};
use super::unit::Measure;
use serde::Serialize;

/// How a file is to be read; the default works everything out from the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// Which column counts time, and in what (also "frames@29.97").
    pub time: Option<ColumnChoice>,
    /// Which column is thrust.
    pub thrust: Option<ColumnChoice>,
    /// Which column is pressure.
    pub pressure: Option<ColumnChoice>,
    /// The line from raw to real thrust.
    pub thrust_calibration: Option<Calibration>,
    /// The line from raw to real pressure.
    pub pressure_calibration: Option<Calibration>,
    /// How many threads may work; 0 is all there are. The result does not depend on it.
    pub threads: usize,
}

/// What the numbers of a channel are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum ChannelUnit {
    /// Newtons.
    N,
    /// Pascals.
    Pa,
    /// Volts, of a channel without calibration.
    V,
}

impl ChannelUnit {
    /// As text.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::N => "N",
            Self::Pa => "Pa",
            Self::V => "V",
        }
    }

    /// The suffix of a JSON key.
    pub fn key(self) -> &'static str {
        match self {
            Self::N => "n",
            Self::Pa => "pa",
            Self::V => "v",
        }
    }
}

/// One channel of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// As the header calls it, or the number of its column.
    pub column: String,
    /// The unit it was stated in.
    pub stated_unit: String,
    /// What `values` are in.
    pub unit: ChannelUnit,
    /// One a row; NaN where the cell was empty.
    pub values: Vec<f64>,
    /// How many cells were empty.
    pub missing: usize,
}

/// Rows left out, or readings put aside, with the reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Rejected {
    /// Why.
    pub reason: String,
    /// How many.
    pub count: usize,
}

/// A file as read: columns in SI, in the order of the file.
///
/// Times never go backwards; equal stamps are kept as they stand (a step), because a slow clock over a fast
/// converter is common and a drawn vertical edge is meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Seconds, as the file counts them; of a clock, since its first stamp.
    pub time_s: Vec<f64>,
    /// What the clock says at zero seconds, where the time column is one: "12:03:04.125".
    pub clock_zero: Option<String>,
    /// The force channel.
    pub thrust: Option<Channel>,
    /// The pressure channel.
    pub pressure: Option<Channel>,
    /// Each reading holds until the next (a display on video), instead of a straight line between two.
    pub holds: bool,
    /// What was left out in reading.
    pub rejected: Vec<Rejected>,
}

/// Reads a trace.
///
/// Separator (comma, semicolon, tab, bar, runs of blanks), decimal mark, header, comment lines, encoding and
/// line ends are worked out from the file; columns and units from the header, unless `options` names them.
/// A unit that is nowhere stated is an error, never a guess.
///
/// ```
/// use proofmark::trace::{ReadOptions, read};
/// let record = read(b"Time (ms);Load (kgf)\n0;0,0\n100;51,0\n", &ReadOptions::default())?;
/// assert_eq!(record.time_s, [0.0, 0.1]);
/// let thrust = record.thrust.ok_or("no thrust")?;
/// assert!((thrust.values[1] - 51.0 * 9.80665).abs() < 1e-9);
///
/// let error = read(b"Time (s),Load\n0,0\n1,5\n", &ReadOptions::default()).unwrap_err();
/// assert!(error.to_string().contains("give --column thrust=Load:lbf"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Record, TraceError> {
    read_with(&bytes, options, &|_, _| true)
}

/// Reads a trace from a [`Source`], telling how far it is; `progress` returning false stops it.
pub fn read_with(
    source: &dyn Source,
    options: &ReadOptions,
    progress: &Progress<'_>,
) -> Result<Record, TraceError> {
    let mut buffer = Vec::new();
    let head = source.bytes(0, source.size().min(super::layout::SNIFFED), &mut buffer)?;
    let text = as_text(head);
    let cut = head.len() - text.len().min(head.len());
    if matches!(text, std::borrow::Cow::Owned(_)) {
        let mut buffer = Vec::new();
        let text = as_text(source.bytes(0, source.size(), &mut buffer)?).into_owned();
        if let Some(clock) = clock::find(&text[..text.len().min(super::layout::SNIFFED)]) {
            let (text, zero) = clock::in_seconds(&text, clock);
            return read_text(&text.as_slice(), &text, 0, options, Some((clock.column, zero)), progress);
        }
        return read_text(&text.as_slice(), &text, 0, options, None, progress);
    }
    if let Some(clock) = clock::find(&text) {
        let mut buffer = Vec::new();
        let (text, zero) = clock::in_seconds(&as_text(source.bytes(0, source.size(), &mut buffer)?), clock);
        return read_text(&text.as_slice(), &text, 0, options, Some((clock.column, zero)), progress);
    }
    read_text(source, &text, cut, options, None, progress)
}

/// The time column: as asked or as the header claims it; a column of clock stamps is in seconds whatever is said.
fn time_column(
    layout: &super::layout::Layout,
    options: &ReadOptions,
    clock: Option<usize>,
) -> Result<Assigned, TraceError> {
    let Some(column) = clock else {
        return assign(Role::Time, layout, options.time.as_ref(), None)?
            .ok_or_else(|| missing(Role::Time, layout));
    };
    let asked = options.time.as_ref().map_or_else(|| (column + 1).to_string(), |it| it.column.clone());
    let in_seconds = ColumnChoice { column: asked, unit: Some("s".to_owned()) };
    match assign(Role::Time, layout, Some(&in_seconds), None)? {
        Some(found) if found.index == column => Ok(found),
        _ => assign(Role::Time, layout, options.time.as_ref(), None)?
            .ok_or_else(|| missing(Role::Time, layout)),
    }
}

/// `head` is the start of the text and begins `cut` bytes into the source.
fn read_text(
    source: &dyn Source,
    head: &[u8],
    cut: usize,
    options: &ReadOptions,
    clock: Option<(usize, String)>,
    progress: &Progress<'_>,
) -> Result<Record, TraceError> {
    let mut layout = sniff(head)?;
    layout.data_start += cut;
    let time = time_column(&layout, options, clock.as_ref().map(|(column, _)| *column))?;
    let clock_zero = clock.filter(|(column, _)| *column == time.index).map(|(_, zero)| zero);
    let thrust = assign(Role::Thrust, &layout, options.thrust.as_ref(), options.thrust_calibration)?;
    let pressure = assign(Role::Pressure, &layout, options.pressure.as_ref(), options.pressure_calibration);
    let (pressure, unused) = match pressure {
        // Nobody asked for it and thrust is there: a column that looks like pressure is left out, and said so.
        Err(error @ TraceError::NoUnit { .. }) if options.pressure.is_none() && thrust.is_some() => {
            (None, Some(error.to_string()))
        }
        other => (other?, None),
    };
    if thrust.is_none() && pressure.is_none() {
        return Err(missing(Role::Thrust, &layout));
    }
    let assigned = [Some(time), thrust, pressure];
    distinct(&assigned)?;
    let threads = if options.threads == 0 { all_threads() } else { options.threads };
    let columns = read_rows(source, &layout, &assigned, threads, progress)?;
    let rows = columns.values[0].len();
    let mut record = record(columns, assigned)?;
    record.clock_zero = clock_zero;
    record.rejected.extend(unused.map(|reason| Rejected { reason, count: rows }));
    Ok(record)
}

fn distinct(assigned: &[Option<Assigned>; 3]) -> Result<(), TraceError> {
    let [time, thrust, pressure] = assigned;
    for (first, second, words) in [
        (time, thrust, "time and thrust"),
        (time, pressure, "time and pressure"),
        (thrust, pressure, "thrust and pressure"),
    ] {
        if let (Some(first), Some(second)) = (first, second)
            && first.index == second.index
        {
            return Err(TraceError::BadOption(format!(
                "{words} are both taken from column \"{}\": give --column for each",
                first.name
            )));
        }
    }
    Ok(())
}

fn record(columns: Columns, assigned: [Option<Assigned>; 3]) -> Result<Record, TraceError> {
    let [time_s, thrust_values, pressure_values] = columns.values;
    let rows = time_s.len();
    let (Some(&first), Some(&last)) = (time_s.first(), time_s.last()) else {
        return Err(TraceError::TooFewRows { rows, row: columns.last_row });
    };
    if rows < 2 {
        return Err(TraceError::TooFewRows { rows, row: columns.last_row });
    }
    if last <= first {
        return Err(TraceError::NoDuration { rows, at_s: first });
    }
    let [time, thrust, pressure] = assigned;
    let channel = |assigned: Option<Assigned>, values: Vec<f64>, missing: usize| {
        assigned.map(|a| Channel {
            column: a.name,
            stated_unit: a.unit_text,
            unit: match a.unit.measure {
                Measure::Force => ChannelUnit::N,
                Measure::Pressure => ChannelUnit::Pa,
                _ => ChannelUnit::V,
            },
            values,
            missing,
        })
    };
    let mut rejected = Vec::new();
    let mut put_aside = |reason: &str, count: usize| {
        if count > 0 {
            rejected.push(Rejected { reason: reason.to_owned(), count });
        }
    };
    put_aside("the thrust cell of the row is empty", columns.missing[1]);
    put_aside("the pressure cell of the row is empty", columns.missing[2]);
    put_aside("comment line among the rows", columns.comments);
    put_aside("the last row is cut short", columns.cut_short);
    Ok(Record {
        time_s,
        clock_zero: None,
        thrust: channel(thrust, thrust_values, columns.missing[1]),
        pressure: channel(pressure, pressure_values, columns.missing[2]),
        holds: time.is_some_and(|t| t.unit.frames),
        rejected,
    })
}
