//! Traces kept in the book, read again for drawing.

use super::super::Desk;
use super::super::traces::read_options;
use super::super::view::CasingPage;
use crate::book::Details;
use crate::book::details::TraceRecord;
use crate::store::StoreError;
use crate::trace::{self, ChannelUnit, ReadOptions, Record, ReduceOptions};

/// How many points a drawn line has at most: the least and the greatest of every bin are kept, so no peak is lost.
const BINS: usize = 700;

/// One channel over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it is: thrust or pressure.
    pub what: &'static str,
    /// Its unit: N, Pa or V.
    pub unit: ChannelUnit,
    /// Seconds and values, the zero taken off.
    pub points: Vec<(f64, f64)>,
    /// The peak of the reduction and when it was.
    pub peak: Option<(f64, f64)>,
}

/// A trace ready to be drawn.
#[derive(Clone, Debug)]
pub struct Plot {
    /// The entry of the trace.
    pub number: i64,
    /// The day of the firing.
    pub on: chrono::NaiveDate,
    /// What the file was called.
    pub file: String,
    /// What it was reduced to when it was kept.
    pub reduction: serde_json::Value,
    /// Its lines, or why it cannot be drawn.
    pub lines: Result<Vec<Line>, String>,
    /// Whether the entry was crossed out.
    pub struck_by: Option<i64>,
}

/// The words a trace was read by, as they were typed when it was kept.
pub(in crate::desk) fn kept_options(record: &TraceRecord) -> Result<ReadOptions, String> {
    let words: Vec<&str> = record
        .columns
        .as_deref()
        .unwrap_or("")
        .split(';')
        .map(str::trim)
        .filter(|it| !it.is_empty())
        .collect();
    // Calibrations are kept behind the columns: their right side is two numbers.
    let is_line = |word: &&str| {
        word.split_once('=').and_then(|(_, line)| line.split_once(',')).is_some_and(|(slope, offset)| {
            slope.trim().parse::<f64>().is_ok() && offset.trim().parse::<f64>().is_ok()
        })
    };
    let (lines, columns): (Vec<&str>, Vec<&str>) = words.into_iter().partition(is_line);
    read_options(columns.into_iter(), lines.into_iter()).map_err(|problem| problem.to_string())
}

impl Desk {
    /// A kept trace, read again from its raw bytes.
    pub(in crate::desk) fn kept_trace(
        &self,
        record: &TraceRecord,
    ) -> Result<Result<Record, String>, StoreError> {
        let Some(bytes) = self.book().raw_file(&record.sha256)? else {
            return Ok(Err("its raw file is not in the book".to_owned()));
        };
        Ok(kept_options(record)
            .and_then(|options| trace::read(&bytes, &options).map_err(|error| error.to_string())))
    }

    pub(super) fn plots_of(&self, page: &CasingPage) -> Result<Vec<Plot>, StoreError> {
        let mut plots = Vec::new();
        for line in &page.ledger {
            let Details::Trace(record) = &line.entry.entry.details else { continue };
            if record.casing != page.assessed.serial {
                continue;
            }
            plots.push(Plot {
                number: line.entry.number,
                on: line.entry.entry.happened_on,
                file: record.file.clone(),
                reduction: record.reduction.clone(),
                lines: self.kept_trace(record)?.and_then(|record| lines_of(&record)),
                struck_by: line.struck_by,
            });
        }
        Ok(plots)
    }
}

fn lines_of(record: &Record) -> Result<Vec<Line>, String> {
    let reduced = trace::reduce(record, &ReduceOptions::default()).map_err(|error| error.to_string())?;
    let mut lines = Vec::new();
    for (what, channel, reduction) in [
        ("thrust", record.thrust.as_ref(), reduced.thrust.as_ref()),
        ("pressure", record.pressure.as_ref(), reduced.pressure.as_ref()),
    ] {
        let Some(channel) = channel else { continue };
        let zero = |t: f64| reduction.map_or(0.0, |reduction| reduction.tare.at(t));
        let points: Vec<(f64, f64)> = record
            .time_s
            .iter()
            .zip(&channel.values)
            .filter(|(t, value)| t.is_finite() && value.is_finite())
            .map(|(t, value)| (*t, value - zero(*t)))
            .collect();
        lines.push(Line {
            what,
            unit: channel.unit,
            points: thin(&points),
            peak: reduction.map(|reduction| (reduction.peak_at_s, reduction.peak)),
        });
    }
    Ok(lines)
}

/// The least and the greatest of every bin, in the order they came.
fn thin(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if points.len() <= 2 * BINS {
        return points.to_vec();
    }
    let size = points.len().div_ceil(BINS);
    let mut thinned = Vec::with_capacity(2 * BINS + 2);
    for bin in points.chunks(size) {
        let least = bin.iter().enumerate().min_by(|a, b| a.1.1.total_cmp(&b.1.1));
        let most = bin.iter().enumerate().max_by(|a, b| a.1.1.total_cmp(&b.1.1));
        if let (Some((i, low)), Some((j, high))) = (least, most) {
            if i < j {
                thinned.extend([*low, *high]);
            } else if j < i {
                thinned.extend([*high, *low]);
            } else {
                thinned.push(*low);
            }
        }
    }
    thinned
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn thinning_keeps_the_peak_and_the_order() {
        let mut points: Vec<(f64, f64)> = (0..100_000).map(|i| (f64::from(i), f64::from(i % 7))).collect();
        points[54_321].1 = 999.0;
        let thinned = thin(&points);
        assert!(thinned.len() <= 2 * BINS + 2);
        assert!(thinned.contains(&(54_321.0, 999.0)));
        assert!(thinned.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    }

    #[test]
    fn kept_words_are_parted_into_columns_and_calibrations() {
        let record = TraceRecord {
            casing: "X".into(),
            firing: crate::book::EntryId(uuid::Uuid::nil()),
            file: "f".into(),
            sha256: String::new(),
            bytes: 0,
            columns: Some("thrust=Load, raw:V; time=t:ms; thrust=812.5,-203.1".into()),
            reduction: serde_json::Value::Null,
        };
        let options = kept_options(&record).unwrap();
        assert_eq!(options.thrust.unwrap().column, "Load, raw");
        assert_eq!(options.thrust_calibration.unwrap().offset, -203.1);
        assert_eq!(options.time.unwrap().unit.unwrap(), "ms");
    }
}
