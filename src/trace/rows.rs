//! Rows of numbers out of bytes, many at a time.
//!
//! The bytes are cut into blocks at line ends. A first pass counts the lines of each block, so that every
//! worker of the second pass knows where in the columns its rows go; nothing is copied together afterwards.

use super::columns::{Assigned, Role};
use super::error::TraceError;
use super::layout::{Layout, Separator, cells, excerpt, is_blank, is_comment};
use super::number::{leading_number, trim, whole_number};
use super::source::{Progress, Source, in_parallel};

/// Readings beyond this in SI units are a wrong unit or a wrong calibration, and would spoil sums of squares.
const LARGEST: f64 = 1e15;
/// Bytes a worker takes at a time: small enough to stay in its cache.
const BLOCK: usize = 512 * 1024;

/// A wanted column: which cell, for which part, and its straight line to SI.
#[derive(Clone, Copy, Debug)]
struct Wanted {
    cell: usize,
    slot: usize,
    slope: f64,
    offset: f64,
}

/// The columns as read, and what was left out on the way.
#[derive(Debug, Default)]
pub struct Columns {
    /// Time, thrust, pressure, as far as they were asked for.
    pub values: [Vec<f64>; 3],
    /// Empty cells in each.
    pub missing: [usize; 3],
    /// Comment lines among the rows.
    pub comments: usize,
    /// A last line without its end that is not a whole row.
    pub cut_short: usize,
    /// Row number of the last row of numbers.
    pub last_row: usize,
}

const ROLES: [Role; 3] = [Role::Time, Role::Thrust, Role::Pressure];

/// A stretch of whole lines.
struct Stretch {
    from: usize,
    to: usize,
    lines: usize,
    first_line: usize,
}

/// What a worker found in its stretch.
#[derive(Default)]
struct Found {
    rows: usize,
    missing: [usize; 3],
    comments: usize,
    cut_short: usize,
    first_line: usize,
    last_line: usize,
    first_time: f64,
    last_time: f64,
}

/// Reads all rows. `assigned` is time, thrust, pressure.
pub fn read_rows(
    source: &dyn Source,
    layout: &Layout,
    assigned: &[Option<Assigned>; 3],
    threads: usize,
    progress: &Progress<'_>,
) -> Result<Columns, TraceError> {
    let mut wanted: Vec<Wanted> = assigned
        .iter()
        .enumerate()
        .filter_map(|(slot, a)| {
            a.as_ref().map(|a| Wanted { cell: a.index, slot, slope: a.slope, offset: a.offset })
        })
        .collect();
    wanted.sort_by_key(|w| w.cell);
    let last_cell = wanted.last().map_or(0, |w| w.cell);
    let stretches = stretches(source, layout, threads)?;
    let lines: usize = stretches.iter().map(|s| s.lines).sum();

    let mut columns = Columns::default();
    for w in &wanted {
        columns.values[w.slot] = vec![0.0; lines];
    }
    let [mut time, mut thrust, mut pressure] = columns.values.each_mut().map(Vec::as_mut_slice);
    let mut work = Vec::with_capacity(stretches.len());
    for stretch in &stretches {
        let n = stretch.lines;
        work.push((stretch, [take(&mut time, n), take(&mut thrust, n), take(&mut pressure, n)]));
    }
    let total = source.size() as u64;
    let done = std::sync::atomic::AtomicU64::new(0);
    let found = in_parallel(threads, work, |(stretch, slices), buffer: &mut Vec<u8>| {
        let bytes = source.bytes(stretch.from, stretch.to, buffer)?;
        let reader = Reader { layout, wanted: &wanted, last_cell, open_end: stretch.to == source.size() };
        let found = reader.read(bytes, stretch.first_line, slices)?;
        let add = (stretch.to - stretch.from) as u64;
        let so_far = done.fetch_add(add, std::sync::atomic::Ordering::Relaxed) + add;
        if progress(so_far.min(total), total) { Ok(found) } else { Err(TraceError::Cancelled) }
    })?;

    // Close the gaps that comment lines left, check time across the seams, add up.
    let (mut to, mut before): (usize, Option<f64>) = (0, None);
    let mut from = 0;
    for (stretch, found) in stretches.iter().zip(&found) {
        if found.rows > 0 {
            if let Some(before_s) = before
                && found.first_time < before_s
            {
                return Err(TraceError::Backwards {
                    row: found.first_line,
                    before_s,
                    after_s: found.first_time,
                });
            }
            before = Some(found.last_time);
            columns.last_row = found.last_line;
        }
        if to != from {
            for w in &wanted {
                columns.values[w.slot].copy_within(from..from + found.rows, to);
            }
        }
        to += found.rows;
        from += stretch.lines;
        columns.comments += found.comments;
        columns.cut_short += found.cut_short;
        for slot in 0..3 {
            columns.missing[slot] += found.missing[slot];
        }
    }
    for w in &wanted {
        columns.values[w.slot].truncate(to);
    }
    Ok(columns)
}

/// The first `n` of a column that is being handed out, or nothing of a column nobody asked for.
fn take<'a>(column: &mut &'a mut [f64], n: usize) -> &'a mut [f64] {
    let all = std::mem::take(column);
    let (mine, rest) = all.split_at_mut(n.min(all.len()));
    *column = rest;
    mine
}

/// Cuts the source into stretches of whole lines and counts the lines of each.
fn stretches(source: &dyn Source, layout: &Layout, threads: usize) -> Result<Vec<Stretch>, TraceError> {
    let size = source.size();
    let blocks: Vec<(usize, usize)> = (layout.data_start..size)
        .step_by(BLOCK)
        .map(|from| (from, from.saturating_add(BLOCK).min(size)))
        .collect();
    let counted = in_parallel(threads, blocks, |(from, to), buffer: &mut Vec<u8>| {
        let bytes = source.bytes(from, to, buffer)?;
        let last = bytes.iter().rposition(|&b| b == layout.line_end).map(|at| from + at + 1);
        Ok((count(bytes, layout.line_end), last))
    })?;
    let mut stretches = Vec::with_capacity(counted.len() + 1);
    let (mut from, mut line) = (layout.data_start, layout.first_row);
    for (lines, last) in counted {
        if let Some(to) = last {
            stretches.push(Stretch { from, to, lines, first_line: line });
            from = to;
            line += lines;
        }
    }
    if from < size {
        stretches.push(Stretch { from, to: size, lines: 1, first_line: line });
    }
    Ok(stretches)
}

/// How often a byte occurs; in runs short enough for a byte-wide sum, which the compiler turns into vectors.
fn count(bytes: &[u8], wanted: u8) -> usize {
    bytes.chunks(255).map(|run| usize::from(run.iter().map(|&b| u8::from(b == wanted)).sum::<u8>())).sum()
}

struct Reader<'a> {
    layout: &'a Layout,
    wanted: &'a [Wanted],
    last_cell: usize,
    open_end: bool,
}

enum Row {
    Numbers,
    Nothing,
    Comment,
    CutShort,
}

impl Reader<'_> {
    fn read(&self, bytes: &[u8], first_line: usize, slices: [&mut [f64]; 3]) -> Result<Found, TraceError> {
        match self.layout.separator {
            Separator::Byte(b',') => self.read_with::<false, false>(bytes, first_line, slices),
            Separator::Byte(_) => self.read_with::<true, false>(bytes, first_line, slices),
            Separator::Blanks => self.read_with::<true, true>(bytes, first_line, slices),
        }
    }

    fn read_with<const COMMA: bool, const BLANKS: bool>(
        &self,
        bytes: &[u8],
        first_line: usize,
        slices: [&mut [f64]; 3],
    ) -> Result<Found, TraceError> {
        let mut found = Found { first_time: f64::NAN, last_time: f64::NEG_INFINITY, ..Found::default() };
        let line_end = self.layout.line_end;
        let [time_out, thrust_out, pressure_out] = slices;
        let (mut at, mut line) = (0, first_line);
        let mut values = [0.0; 3];
        while at < bytes.len() {
            let start = at;
            let row = if self.fast_row::<COMMA, BLANKS>(bytes, &mut at, &mut values) {
                Row::Numbers
            } else {
                let length = bytes[start..].iter().position(|&b| b == line_end);
                let end = length.map_or(bytes.len(), |n| start + n);
                at = end + 1;
                let last = self.open_end && length.is_none();
                self.slow_row(&bytes[start..end], line, last, &mut values, &mut found.missing)?
            };
            match row {
                Row::Numbers => {
                    let [time, thrust, pressure] = values;
                    if time.abs() > LARGEST || thrust.abs() > LARGEST || pressure.abs() > LARGEST {
                        return Err(out_of_range(line, &values));
                    }
                    if time < found.last_time {
                        return Err(TraceError::Backwards {
                            row: line,
                            before_s: found.last_time,
                            after_s: time,
                        });
                    }
                    if found.rows == 0 {
                        found.first_time = time;
                        found.first_line = line;
                    }
                    found.last_time = time;
                    found.last_line = line;
                    for (out, value) in
                        [(&mut *time_out, time), (&mut *thrust_out, thrust), (&mut *pressure_out, pressure)]
                    {
                        if let Some(cell) = out.get_mut(found.rows) {
                            *cell = value;
                        }
                    }
                    found.rows += 1;
                }
                Row::Nothing => {}
                Row::Comment => found.comments += 1,
                Row::CutShort => found.cut_short += 1,
            }
            line += 1;
        }
        Ok(found)
    }

    /// A row of everyday numbers. False leaves the row to [`Self::slow_row`]; `at` is then of no use.
    #[inline]
    fn fast_row<const COMMA: bool, const BLANKS: bool>(
        &self,
        bytes: &[u8],
        at: &mut usize,
        values: &mut [f64; 3],
    ) -> bool {
        let line_end = self.layout.line_end;
        let separator = match self.layout.separator {
            Separator::Byte(mark) => mark,
            Separator::Blanks => b' ',
        };
        let is_separator = |b: u8| if BLANKS { b == b' ' || b == b'\t' } else { b == separator };
        let mut p = *at;
        let mut cell = 0;
        for wanted in self.wanted {
            while cell < wanted.cell {
                if BLANKS {
                    while bytes.get(p).is_some_and(|&b| is_separator(b)) {
                        p += 1;
                    }
                }
                loop {
                    match bytes.get(p) {
                        Some(&b) if is_separator(b) => break,
                        Some(&b) if b == line_end || b == b'"' || (cell == 0 && is_mark(b)) => return false,
                        Some(_) => p += 1,
                        None => return false,
                    }
                }
                p += 1;
                cell += 1;
            }
            while bytes.get(p).is_some_and(|&b| b == b' ' || (BLANKS && b == b'\t')) {
                p += 1;
            }
            let Some((value, used)) = leading_number(&bytes[p.min(bytes.len())..], COMMA) else {
                return false;
            };
            p += used;
            match bytes.get(p) {
                Some(&b) if is_separator(b) => {}
                Some(&b) if b == line_end || b == b'\r' => {}
                _ => return false,
            }
            values[wanted.slot] = value * wanted.slope + wanted.offset;
            if wanted.cell != cell {
                return false;
            }
            // The next wanted cell starts behind this separator.
            if wanted.cell < self.last_cell {
                if !bytes.get(p).is_some_and(|&b| is_separator(b)) {
                    return false;
                }
                p += 1;
                cell += 1;
            }
        }
        loop {
            match bytes.get(p) {
                Some(&b) if b == line_end => {
                    *at = p + 1;
                    return true;
                }
                Some(_) => p += 1,
                None => return false,
            }
        }
    }

    /// Any other row: comments, quotes, empty cells, rows that are no rows.
    #[cold]
    fn slow_row(
        &self,
        line: &[u8],
        row: usize,
        last: bool,
        values: &mut [f64; 3],
        missing: &mut [usize; 3],
    ) -> Result<Row, TraceError> {
        if is_blank(line) {
            return Ok(Row::Nothing);
        }
        if is_comment(line) {
            return Ok(Row::Comment);
        }
        let comma = self.layout.separator != Separator::Byte(b',');
        let cells = cells(line, self.layout.separator);
        if last && cells.len() < self.layout.cells {
            return Ok(Row::CutShort);
        }
        for wanted in self.wanted {
            let role = ROLES[wanted.slot].word();
            let column = wanted.cell + 1;
            let Some(cell) = cells.get(wanted.cell) else {
                return Err(TraceError::ShortRow { row, found: cells.len(), role, column });
            };
            values[wanted.slot] = match whole_number(cell, comma) {
                Some(value) => value * wanted.slope + wanted.offset,
                None if trim(cell).is_empty() && wanted.slot != 0 => {
                    missing[wanted.slot] += 1;
                    f64::NAN
                }
                None => return Err(TraceError::NotANumber { row, role, column, text: excerpt(cell) }),
            };
        }
        Ok(Row::Numbers)
    }
}

/// Whether a byte may start a comment.
fn is_mark(byte: u8) -> bool {
    matches!(byte, b'#' | b'%' | b'\'' | b'/')
}

fn out_of_range(row: usize, values: &[f64; 3]) -> TraceError {
    let slot = values.iter().position(|v| v.abs() > LARGEST).unwrap_or(0);
    TraceError::OutOfRange { row, role: ROLES[slot].word(), limit: LARGEST }
}
