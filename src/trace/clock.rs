//! Stamps of a clock in the time column: "12:03:04.125", "03:04.125 PM", "2026-01-02T12:03:04.125Z".

use super::layout::{Separator, cells, is_blank, is_comment};
use super::number::trim;

/// Lines looked at to find such a column.
const LOOKED_AT: usize = 200;
/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

/// Where the clock stands in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clock {
    /// Between cells.
    separator: Separator,
    /// Counted from 0.
    pub column: usize,
}

/// A stamp: seconds into its day, and its day where it says one.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stamp {
    second: f64,
    day: Option<i64>,
}

/// Finds a column of clock stamps in the head of a text: two rows or more, and every row behind the first of
/// them. Nothing in a file whose time is plain numbers.
pub(super) fn find(head: &[u8]) -> Option<Clock> {
    let line_end = line_end(head);
    let lines: Vec<&[u8]> = head.split(|&b| b == line_end).take(LOOKED_AT).collect();
    let lines: Vec<&[u8]> = lines.into_iter().filter(|line| !is_comment(line) && !is_blank(line)).collect();
    if !lines.iter().any(|line| line.contains(&b':')) {
        return None;
    }
    for separator in Separator::TRIED {
        let rows: Vec<Vec<&[u8]>> = lines.iter().map(|line| cells(line, separator)).collect();
        let Some((first, column)) = rows.iter().enumerate().find_map(|(row, cells)| {
            cells.iter().position(|cell| stamp(cell).is_some()).map(|column| (row, column))
        }) else {
            continue;
        };
        // The last line may be cut.
        let behind = match &rows[first..] {
            [rest @ .., _] if rest.len() >= 2 => rest,
            all => all,
        };
        let all = behind.iter().all(|cells| cells.get(column).is_some_and(|cell| stamp(cell).is_some()));
        // A row of nothing but a clock is no row of a trace: the separator is another.
        if all && behind.len() >= 2 && behind.iter().all(|cells| cells.len() >= 2) {
            return Some(Clock { separator, column });
        }
    }
    None
}

/// The text with every clock stamp as seconds since the first, and what the clock says there; a clock that passes
/// midnight goes on counting. Rows keep their place, and a cell that is no stamp stays for the reader to refuse.
pub(super) fn in_seconds(text: &[u8], clock: Clock) -> (Vec<u8>, String) {
    let line_end = line_end(text);
    let mut out = Vec::with_capacity(text.len() + text.len() / 8);
    let (mut days, mut before): (f64, Option<Stamp>) = (0.0, None);
    let mut first_day = None;
    let mut zero_s = None;
    let count = text.iter().filter(|&&b| b == line_end).count();
    for (at, line) in text.split(|&b| b == line_end).enumerate() {
        let found = if is_comment(line) || is_blank(line) {
            None
        } else {
            let cells = cells(line, clock.separator);
            cells.get(clock.column).and_then(|cell| stamp(cell).map(|stamp| (*cell, stamp)))
        };
        match found {
            Some((cell, stamp)) => {
                match (stamp.day, before) {
                    (Some(day), _) => days = (day - *first_day.get_or_insert(day)) as f64,
                    (None, Some(before)) if stamp.second < before.second - 0.5 * DAY_S => days += 1.0,
                    _ => {}
                }
                before = Some(stamp);
                // The cell is a part of the line: what stands before and behind it stays.
                let from = (cell.as_ptr() as usize).saturating_sub(line.as_ptr() as usize);
                out.extend_from_slice(&line[..from.min(line.len())]);
                let since = days * DAY_S + stamp.second - *zero_s.get_or_insert(stamp.second);
                out.extend_from_slice(format!("{since:.9}").as_bytes());
                out.extend_from_slice(&line[(from + cell.len()).min(line.len())..]);
            }
            None => out.extend_from_slice(line),
        }
        if at < count {
            out.push(line_end);
        }
    }
    (out, clock_time(zero_s.unwrap_or(0.0)))
}

/// A second of the day as a clock writes it.
fn clock_time(second: f64) -> String {
    let micros = (second.rem_euclid(DAY_S) * 1e6).round() as u64;
    let (whole, part) = (micros / 1_000_000, micros % 1_000_000);
    let text = format!("{:02}:{:02}:{:02}.{part:06}", whole / 3600 % 24, whole / 60 % 60, whole % 60);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn line_end(text: &[u8]) -> u8 {
    if text.contains(&b'\n') || !text.contains(&b'\r') { b'\n' } else { b'\r' }
}

/// Reads a stamp. Three parts are hours, minutes, seconds; two are minutes and seconds, and then with decimals, so
/// that hours and minutes are not taken for them. Three digits behind a last colon are milliseconds.
fn stamp(cell: &[u8]) -> Option<Stamp> {
    let text = std::str::from_utf8(trim(cell)).ok()?.trim_matches('"').trim();
    if text.len() > 48 || !text.contains(':') {
        return None;
    }
    let (date, time) = match text
        .find(['T', 't'])
        .filter(|at| text.as_bytes().get(at + 1).is_some_and(u8::is_ascii_digit))
    {
        Some(at) => (Some(&text[..at]), &text[at + 1..]),
        None => match text.split_once(' ') {
            Some((date, time)) if !date.contains(':') => (Some(date), time.trim()),
            _ => (None, text),
        },
    };
    let day = match date {
        Some(date) => Some(day(date)?),
        None => None,
    };
    let (time, afternoon) = half(time);
    let time = without_zone(time);
    let mut parts: Vec<&str> = time.split(':').map(str::trim).collect();
    let millis = match parts.as_slice() {
        [_, _, _, last] if last.len() == 3 => parts.pop().and_then(whole),
        _ => Some(0),
    }?;
    let (hours, minutes, seconds) = match parts.as_slice() {
        [h, m, s] => (whole(h)?, whole(m)?, *s),
        [m, s] if s.contains(['.', ',']) && day.is_none() && afternoon.is_none() => (0, whole(m)?, *s),
        _ => return None,
    };
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','));
    let seconds: f64 = digits(seconds).then(|| seconds.replace(',', ".").parse().ok()).flatten()?;
    let sound = hours < 24 && (minutes < 60 || parts.len() == 2) && seconds < 61.0;
    let hours = match afternoon {
        Some(later) if (1..=12).contains(&hours) => hours % 12 + if later { 12 } else { 0 },
        Some(_) => return None,
        None => hours,
    };
    sound.then(|| Stamp {
        second: f64::from(hours * 3600 + minutes * 60) + seconds + f64::from(millis) * 1e-3,
        day,
    })
}

fn whole(text: &str) -> Option<u32> {
    (!text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

/// Without "AM" or "PM", and whether it was after noon.
fn half(time: &str) -> (&str, Option<bool>) {
    let cut = |mark: &str| {
        let at = time.len().checked_sub(mark.len())?;
        (time.is_char_boundary(at) && time[at..].eq_ignore_ascii_case(mark)).then(|| time[..at].trim_end())
    };
    if let Some(rest) = cut("pm") {
        (rest, Some(true))
    } else if let Some(rest) = cut("am") {
        (rest, Some(false))
    } else {
        (time, None)
    }
}

/// Without a zone behind it: one clock wrote all the stamps, so it makes no difference.
fn without_zone(time: &str) -> &str {
    let time = time.trim_end_matches(['Z', 'z']);
    match time.rfind(['+', '-']) {
        Some(at) if at >= 5 => time[..at].trim_end(),
        _ => time,
    }
}

/// The number of a day, by the proleptic Gregorian calendar; "2026-01-02", "02.01.2026", "1/2/2026". Where the year
/// stands last nobody knows which of the others is the month; over a midnight both readings go on by one.
fn day(date: &str) -> Option<i64> {
    let parts: Vec<&str> = date.split(['-', '/', '.']).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    let (a_len, c_len) = (a.len(), c.len());
    let (a, b, c) = (whole(a)?, whole(b)?, whole(c)?);
    let (year, month, date) = match (a_len, c_len) {
        (4, _) => (a, b, c),
        (_, 4) if b > 12 => (c, a, b),
        (_, 4) => (c, b, a),
        _ => return None,
    };
    if !(1..=12).contains(&month) && !(1..=12).contains(&date) {
        return None;
    }
    let (month, date) = if month > 12 { (date, month) } else { (month, date) };
    chrono::NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, date)
        .map(|day| i64::from(chrono::Datelike::num_days_from_ce(&day)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn stamps_as_loggers_write_them() {
        for (text, second) in [
            ("12:03:04.125", 43384.125),
            ("0:00:01", 1.0),
            ("12:03:04,125", 43384.125),
            ("12:03:04:125", 43384.125),
            ("03:04.125", 184.125),
            ("12:03:04.125 PM", 43384.125),
            ("12:00:01 am", 1.0),
            ("1:00:00PM", 46800.0),
            ("2026-01-02T12:03:04.125Z", 43384.125),
            ("2026-01-02T12:03:04.125+01:00", 43384.125),
            ("2026-01-02 12:03:04.125", 43384.125),
            ("\"02.01.2026 12:03:04\"", 43384.0),
        ] {
            assert!((stamp(text.as_bytes()).unwrap().second - second).abs() < 1e-9, "{text}");
        }
        for text in [
            "",
            ":",
            "12:03",
            "25:00:00",
            "12:60:00",
            "13:00:00 PM",
            "a:b:c",
            "1:2:3:4",
            "12.5",
            "x 12:03:04",
        ] {
            assert_eq!(stamp(text.as_bytes()), None, "{text}");
        }
        let day_of = |text: &str| stamp(text.as_bytes()).unwrap().day.unwrap();
        assert_eq!(day_of("2026-03-01 0:00:00") - day_of("2026-02-28 0:00:00"), 1);
    }

    #[test]
    fn a_clock_that_passes_midnight_goes_on() {
        let text = b"time,thrust (N)\n23:59:59.5,1\n# a remark\n00:00:00.5,2\n";
        let clock = find(b"time,thrust (N)\n23:59:59.5,1\n00:00:00.5,2\n").unwrap();
        let (found, zero) = in_seconds(text, clock);
        let found = String::from_utf8(found).unwrap();
        assert_eq!(found, "time,thrust (N)\n0.000000000,1\n# a remark\n1.000000000,2\n");
        assert_eq!(zero, "23:59:59.5");
    }

    proptest! {
        #[test]
        fn any_bytes(bytes in proptest::collection::vec(prop_oneof![any::<u8>(), Just(b':'), Just(b'1'), Just(b','), Just(b'\n')], 0..200)) {
            if let Some(clock) = find(&bytes) {
                let lines = |text: &[u8]| text.iter().filter(|&&b| b == b'\n').count();
                prop_assert_eq!(lines(&in_seconds(&bytes, clock).0), lines(&bytes));
            }
        }
    }
}
