//! Why a trace could not be read or reduced, where, and what to do next.

use thiserror::Error;

/// A trace that cannot be used as it stands. Rows are counted from 1 as a text editor counts lines.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TraceError {
    /// Nothing but blanks.
    #[error("the file is empty: record at least two rows of time and thrust or pressure")]
    Empty,
    /// Text but no numbers.
    #[error(
        "no row of numbers: row {row} reads \"{text}\"; a trace needs rows with a time and a reading, \
         separated by commas, semicolons, tabs or spaces"
    )]
    NoNumbers {
        /// The first row that should have been numbers.
        row: usize,
        /// What it says.
        text: String,
    },
    /// Commas are both decimal marks and separators.
    #[error(
        "row {row} has {found} cells under {expected} names: the comma seems to be both decimal mark and separator; \
         save the file with semicolons or decimal points"
    )]
    AmbiguousComma {
        /// Where.
        row: usize,
        /// Cells in the row.
        found: usize,
        /// Names in the header.
        expected: usize,
    },
    /// A single row.
    #[error("only {rows} row of numbers (row {row}): a trace needs at least two")]
    TooFewRows {
        /// How many.
        rows: usize,
        /// Where the last of them is.
        row: usize,
    },
    /// Nobody knows which column is which.
    #[error("no column is named as {role}: {found}; give --column {role}=NAME:UNIT (UNIT is {units})")]
    NoColumn {
        /// time, thrust or pressure.
        role: &'static str,
        /// The columns there are.
        found: String,
        /// Units that would do.
        units: &'static str,
    },
    /// Two columns could be the one.
    #[error("{role} could be column \"{first}\" or column \"{second}\": give --column {role}=NAME:UNIT")]
    TwoColumns {
        /// time, thrust or pressure.
        role: &'static str,
        /// One.
        first: String,
        /// The other.
        second: String,
    },
    /// The asked column is not there.
    #[error("there is no column \"{asked}\" for {role}: {found}")]
    UnknownColumn {
        /// time, thrust or pressure.
        role: &'static str,
        /// What was asked.
        asked: String,
        /// The columns there are.
        found: String,
    },
    /// No unit in the header and none given.
    #[error(
        "{role} column \"{column}\" has no unit: give --column {role}={column}:{example} (UNIT is {units})"
    )]
    NoUnit {
        /// time, thrust or pressure.
        role: &'static str,
        /// The column.
        column: String,
        /// A unit that would do.
        example: &'static str,
        /// All that would do.
        units: &'static str,
    },
    /// A unit nobody knows, or one of another kind.
    #[error("\"{unit}\" is no unit of {role} (column \"{column}\"): use {units}")]
    WrongUnit {
        /// time, thrust or pressure.
        role: &'static str,
        /// The column.
        column: String,
        /// What was given.
        unit: String,
        /// What would do.
        units: &'static str,
    },
    /// A calibrated channel is still in volts.
    #[error(
        "{role} column \"{column}\" has a calibration but its unit is {unit}: say what the calibrated value is in, \
         as --column {role}={column}:{example}"
    )]
    CalibratedVolts {
        /// thrust or pressure.
        role: &'static str,
        /// The column.
        column: String,
        /// V or mV.
        unit: String,
        /// A unit that would do.
        example: &'static str,
    },
    /// A calibration that flattens or blows up the channel.
    #[error(
        "the calibration of {role} (slope {slope}, offset {offset}) must be two finite numbers, slope not zero"
    )]
    BadCalibration {
        /// thrust or pressure.
        role: &'static str,
        /// As given.
        slope: f64,
        /// As given.
        offset: f64,
    },
    /// A cell that is no number.
    #[error(
        "row {row}: the {role} cell (column {column}) reads \"{text}\", which is not a number; correct the row, \
         or put # in front of it to leave it out"
    )]
    NotANumber {
        /// Where.
        row: usize,
        /// time, thrust or pressure.
        role: &'static str,
        /// Counted from 1.
        column: usize,
        /// What it says.
        text: String,
    },
    /// The row ends before the needed column.
    #[error(
        "row {row} has {found} cells but {role} is in column {column}; complete the row or put # in front of it"
    )]
    ShortRow {
        /// Where.
        row: usize,
        /// Cells in it.
        found: usize,
        /// time, thrust or pressure.
        role: &'static str,
        /// Counted from 1.
        column: usize,
    },
    /// Time went backwards.
    #[error(
        "row {row}: time goes backwards, from {before_s} s to {after_s} s; if the logger was restarted, keep one \
         run of it; if rows are out of order, sort them by time"
    )]
    Backwards {
        /// Where.
        row: usize,
        /// The stamp before.
        before_s: f64,
        /// The stamp of this row.
        after_s: f64,
    },
    /// All stamps are the same.
    #[error(
        "all {rows} rows carry the same time {at_s} s: give the column that counts time as --column time=NAME:UNIT"
    )]
    NoDuration {
        /// How many.
        rows: usize,
        /// The time.
        at_s: f64,
    },
    /// A number too large to work with.
    #[error(
        "row {row}: the {role} reading is beyond {limit:e} in SI units; check the unit and the calibration"
    )]
    OutOfRange {
        /// Where.
        row: usize,
        /// time, thrust or pressure.
        role: &'static str,
        /// The bound.
        limit: f64,
    },
    /// No burn in the record.
    #[error(
        "no burn in the {role} channel: the highest level it holds is {rise:.3} {unit} above the quiet level and \
         its noise is {noise:.3} {unit}; check that this is the right column and that its sensor was connected"
    )]
    NoBurn {
        /// thrust or pressure.
        role: &'static str,
        /// How far it rises.
        rise: f64,
        /// How noisy it is.
        noise: f64,
        /// N, Pa or V.
        unit: &'static str,
    },
    /// The sensor pulls the other way.
    #[error(
        "the {role} channel falls by {fall:.3} {unit} and rises by only {rise:.3} {unit}: the sensor seems to read \
         the other way round; give --calibration {role}=-1,0"
    )]
    Inverted {
        /// thrust or pressure.
        role: &'static str,
        /// How far it falls.
        fall: f64,
        /// How far it rises.
        rise: f64,
        /// N, Pa or V.
        unit: &'static str,
    },
    /// An option that makes no sense.
    #[error("{0}")]
    BadOption(String),
    /// The caller stopped it.
    #[error("reading was cancelled; nothing was kept")]
    Cancelled,
}
