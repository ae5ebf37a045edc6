//! Traces: the words that say how a file's columns are read, and a trace taken into the book.

use std::path::Path;

use super::Desk;
use super::record::Refusal;
use crate::book::cut_off::PeakKnown;
use crate::book::details::{FiringRecord, TraceRecord};
use crate::book::reading::shorten;
use crate::book::{Answers, EntryId, PeakFrom, Problem, seal};
use crate::quantity::{Quantity, STANDARD_ATMOSPHERE_PA, System, Typed, show};
use crate::store::RawFile;
use crate::store::regular;
use crate::trace::{self, Calibration, ColumnChoice, ReadOptions, ReduceOptions};

/// Several words in one row, with commas, semicolons or blanks between: `time=t:ms, thrust=Load:lbf`. A name of a
/// column may hold any of them, so a word begins only where its role does.
pub(super) fn several(row: &str) -> Vec<&str> {
    let mut cuts = vec![0, row.len()];
    for role in ["time", "thrust", "pressure"] {
        for (at, _) in row.match_indices(role) {
            let (before, after) = (row.get(..at).unwrap_or(""), row.get(at + role.len()..).unwrap_or(""));
            if before.ends_with([',', ';', ' ', '\t']) && after.trim_start().starts_with('=') {
                cuts.push(at);
            }
        }
    }
    cuts.sort_unstable();
    cuts.windows(2)
        .filter_map(|cut| row.get(*cut.first()?..*cut.last()?))
        .map(|word| word.trim().trim_end_matches([',', ';']).trim())
        .filter(|word| !word.is_empty())
        .collect()
}

/// Read `ROLE=COL:UNIT` and `ROLE=SLOPE,OFFSET` words into reading options.
///
/// # Errors
/// A word of another shape; the problem names `column` or `calibration` and shows an example.
pub fn read_options<'a>(
    columns: impl Iterator<Item = &'a str>,
    calibrations: impl Iterator<Item = &'a str>,
) -> Result<ReadOptions, Problem> {
    let mut options = ReadOptions::default();
    for text in columns.flat_map(several) {
        let wrong = || {
            Problem::new(
                "column",
                format!("\"{}\" is not ROLE=COL:UNIT, for example thrust=Load:lbf", shorten(text)),
            )
        };
        let (role, rest) = text.split_once('=').ok_or_else(wrong)?;
        let (column, unit) = match rest.rsplit_once(':') {
            Some((column, unit)) => (column, Some(unit.trim().to_owned()).filter(|unit| !unit.is_empty())),
            None => (rest, None),
        };
        if column.trim().is_empty() {
            return Err(wrong());
        }
        let choice = Some(ColumnChoice { column: column.trim().to_owned(), unit });
        match role.trim() {
            "time" => options.time = choice,
            "thrust" => options.thrust = choice,
            "pressure" => options.pressure = choice,
            _ => {
                let shown = shorten(role);
                return Err(Problem::new(
                    "column",
                    format!("\"{shown}\" is not one of: time, thrust, pressure"),
                ));
            }
        }
    }
    for text in calibrations.flat_map(several) {
        let wrong = || {
            Problem::new(
                "calibration",
                format!("\"{}\" is not ROLE=SLOPE,OFFSET, for example thrust=812.5,-203.1", shorten(text)),
            )
        };
        let (role, line) = text.split_once('=').ok_or_else(wrong)?;
        let (slope, offset) = line.split_once([',', ';']).ok_or_else(wrong)?;
        let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        let (slope, offset) = number(slope).zip(number(offset)).ok_or_else(wrong)?;
        if slope == 0.0 {
            return Err(Problem::new("calibration", "a slope of nothing makes every reading the same"));
        }
        let calibration = Some(Calibration { slope, offset });
        match role.trim() {
            "thrust" => options.thrust_calibration = calibration,
            "pressure" => options.pressure_calibration = calibration,
            _ => {
                let shown = shorten(role);
                return Err(Problem::new(
                    "calibration",
                    format!("\"{shown}\" is not one of: thrust, pressure"),
                ));
            }
        }
    }
    Ok(options)
}

/// The words kept with a trace on record, as reading options again.
///
/// # Errors
/// Words of another shape.
pub fn kept_options(words: &str) -> Result<ReadOptions, Problem> {
    let line = |word: &&str| {
        let rest = word.split_once('=').map_or("", |(_, rest)| rest);
        let mut numbers = rest.split([',', ';']).map(|part| part.trim().parse::<f64>().is_ok());
        numbers.next() == Some(true) && numbers.next() == Some(true) && numbers.next().is_none()
    };
    let words = words.split("; ").map(str::trim).filter(|word| !word.is_empty());
    let (calibrations, columns): (Vec<&str>, Vec<&str>) = words.partition(line);
    read_options(columns.into_iter(), calibrations.into_iter())
}

impl Desk {
    /// Read and reduce a trace file, and make its record and the bytes to keep.
    pub(super) fn take_trace(
        &self,
        casing: &str,
        firing: EntryId,
        path: &Path,
        answers: &Answers,
    ) -> Result<(TraceRecord, RawFile), Refusal> {
        let field = if answers.text("file").is_some() { "file" } else { "trace" };
        let refuse = |message: String| Refusal::Form(vec![Problem::new(field, message)]);
        let shown = path.display();
        let columns: Vec<&str> = answers.rows("column").into_iter().flat_map(several).collect();
        let calibrations: Vec<&str> = answers.rows("calibration").into_iter().flat_map(several).collect();
        let options = read_options(columns.iter().copied(), calibrations.iter().copied())
            .map_err(|problem| Refusal::Form(vec![problem]))?;
        let bytes = regular::read(path, regular::RAW)
            .map_err(|error| refuse(super::paths::unreadable(path, &error)))?;
        let record = trace::read(&bytes, &options).map_err(|error| refuse(format!("{shown}: {error}")))?;
        let reduction = trace::reduce(&record, &ReduceOptions::default())
            .map_err(|error| refuse(format!("{shown}: {error}")))?;
        let reduction = serde_json::to_value(&reduction)
            .map_err(|error| refuse(format!("{shown}: its reduction cannot be kept: {error}")))?;
        let sha256 = seal::sha256(&bytes);
        let words: Vec<&str> = columns.into_iter().chain(calibrations).collect();
        let trace = TraceRecord {
            casing: casing.to_owned(),
            firing,
            file: path
                .file_name()
                .map_or_else(|| shown.to_string(), |name| name.to_string_lossy().into_owned()),
            sha256: sha256.clone(),
            bytes: bytes.len() as u64,
            columns: (!words.is_empty()).then(|| words.join("; ")),
            reduction,
        };
        Ok((trace, RawFile { sha256, bytes }))
    }
}

/// Put into a firing what its trace says and nobody typed; warn where the two differ by more than 2 %.
pub(super) fn fill_from_trace(
    firing: &mut FiringRecord,
    trace: &TraceRecord,
    answers: &Answers,
    warnings: &mut Vec<Problem>,
) {
    let number = |key: &str| trace.reduction.get(key).and_then(serde_json::Value::as_f64);
    if let Some(peak) = number("peak_thrust_n") {
        fill(&mut firing.peak_thrust, peak, "peak_thrust", answers, warnings);
    }
    if let Some(impulse) = number("impulse_ns") {
        fill(&mut firing.impulse, impulse, "impulse", answers, warnings);
    }
    if let Some(cut) = PeakKnown::of(firing).only_from_below(trace) {
        warnings.push(Problem::new(
            "trace",
            format!(
                "its peak is a lower bound ({}): the peak counts as not known, and neither drift nor the batch's fit uses it",
                cut.why
            ),
        ));
    }
    if let Some(which) = ["peak_if_real", "peak_pressure_if_real"].iter().find_map(|key| trace.words(key)) {
        warnings.push(Problem::new(
            "trace",
            format!(
                "put aside, though it may have been a hard start: {which}; it is judged as if it were real"
            ),
        ));
    }
    if let Some(burn) = number("burn_time_s") {
        fill(&mut firing.burn_time, burn, "burn_time", answers, warnings);
    }
    if let Some(peak) = number("peak_pressure_pa") {
        // A pressure channel reads above the atmosphere; the firing keeps its peak above vacuum.
        let absolute = peak + STANDARD_ATMOSPHERE_PA;
        fill(&mut firing.peak_pressure, absolute, "peak_pressure", answers, warnings);
        firing.peak_from.get_or_insert(PeakFrom::Pressure);
    }
}

fn fill<Q: Quantity>(
    field: &mut Option<Typed<Q>>,
    si: f64,
    name: &str,
    answers: &Answers,
    warnings: &mut Vec<Problem>,
) {
    match field {
        None => *field = Some(Typed::computed(Q::from_si(si))),
        Some(typed) if (typed.si() / si - 1.0).abs() > 0.02 => warnings.push(Problem::new(
            name,
            format!(
                "\"{}\" as typed stands, but the trace gives {}",
                shorten(answers.text(name).unwrap_or_default()),
                show(Q::from_si(si), System::Si)
            ),
        )),
        Some(_) => {}
    }
}
