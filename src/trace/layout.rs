//! How a file of unknown make is laid out: encoding, line ends, separator, header, first row of numbers.

use std::borrow::Cow;

use super::error::TraceError;
use super::number::{trim, whole_number};

/// How many bytes are looked at to find the layout.
pub(super) const SNIFFED: usize = 256 * 1024;
/// How many rows of numbers settle the separator.
const ROWS: usize = 200;

/// What separates two cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// One byte: `,` `;` tab or `|`.
    Byte(u8),
    /// Runs of blanks.
    Blanks,
}

impl Separator {
    /// Those a file is tried with, in this order.
    pub(super) const TRIED: [Self; 5] =
        [Self::Byte(b'\t'), Self::Byte(b';'), Self::Byte(b'|'), Self::Byte(b','), Self::Blanks];
}

/// How the file is laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Between cells.
    pub separator: Separator,
    /// `\n`, or `\r` in files of a very old make.
    pub line_end: u8,
    /// Where the first row of numbers starts.
    pub data_start: usize,
    /// The row, counted from 1, of the first numbers.
    pub first_row: usize,
    /// One name a column, where there is a header.
    pub names: Vec<String>,
    /// How many cells the rows of numbers have.
    pub cells: usize,
}

/// The bytes as UTF-8 or another superset of ASCII: UTF-16 is converted, a byte order mark is cut off.
pub fn as_text(bytes: &[u8]) -> Cow<'_, [u8]> {
    let wide = |bytes: &[u8], big: bool| {
        let units = bytes
            .as_chunks::<2>()
            .0
            .iter()
            .map(|pair| if big { u16::from_be_bytes(*pair) } else { u16::from_le_bytes(*pair) });
        let text: String =
            char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect();
        Cow::Owned(text.into_bytes())
    };
    match bytes {
        [0xFF, 0xFE, rest @ ..] => wide(rest, false),
        [0xFE, 0xFF, rest @ ..] => wide(rest, true),
        [0xEF, 0xBB, 0xBF, rest @ ..] => Cow::Borrowed(rest),
        // No mark, but every other byte is zero: digits and separators in UTF-16.
        [a, 0, b, 0, ..] if *a != 0 && *b != 0 => wide(bytes, false),
        [0, a, 0, b, ..] if *a != 0 && *b != 0 => wide(bytes, true),
        _ => Cow::Borrowed(bytes),
    }
}

/// Whether a line says nothing to the reader: `#`, `//`, `%` or `'` in front.
pub fn is_comment(line: &[u8]) -> bool {
    matches!(trim(line), [b'#' | b'%' | b'\'', ..] | [b'/', b'/', ..])
}

/// Whether a line is empty or holds nothing but blanks and separators.
pub fn is_blank(line: &[u8]) -> bool {
    line.iter().all(|b| matches!(b, b' ' | b'\t' | b'\r' | b',' | b';' | b'|'))
}

/// The cells of a line. A separator inside double quotes belongs to the cell.
pub fn cells(line: &[u8], separator: Separator) -> Vec<&[u8]> {
    let line = match line {
        [rest @ .., b'\r'] => rest,
        other => other,
    };
    match separator {
        Separator::Blanks => {
            line.split(|b| matches!(b, b' ' | b'\t' | b'\r')).filter(|cell| !cell.is_empty()).collect()
        }
        Separator::Byte(mark) => {
            let mut quoted = false;
            line.split(|&b| {
                quoted ^= b == b'"';
                b == mark && !quoted
            })
            .map(trim)
            .collect()
        }
    }
}

/// Finds the layout from the head of the file. `text` must have gone through [`as_text`].
pub fn sniff(text: &[u8]) -> Result<Layout, TraceError> {
    let head = &text[..text.len().min(SNIFFED)];
    let line_end = if head.contains(&b'\n') || !head.contains(&b'\r') { b'\n' } else { b'\r' };
    let lines: Vec<&[u8]> = head.split(|&b| b == line_end).take(ROWS * 8).collect();
    let speaking = |line: &[u8]| !is_comment(line) && !is_blank(line);
    if !lines.iter().any(|line| !is_blank(line)) {
        return Err(TraceError::Empty);
    }

    let mut best: Option<(Separator, usize)> = None;
    for separator in Separator::TRIED {
        // Rows of nothing but numbers count most: "0,5 1,5" is two numbers between blanks, not three cells
        // between commas.
        let rows = lines
            .iter()
            .filter(|l| speaking(l) && is_data(l, separator))
            .take(ROWS)
            .map(|l| if words(l, separator) == 0 { ROWS + 1 } else { 1 })
            .sum();
        if rows > best.map_or(0, |(_, rows)| rows) {
            best = Some((separator, rows));
        }
    }
    let Some((separator, _)) = best else {
        // Behind the names of the columns, where there are any: that is the row that should have been numbers.
        let mut rows = lines.iter().enumerate().filter(|(_, l)| speaking(l));
        let first = rows.next();
        let (row, line) = rows
            .next()
            .filter(|_| first.is_some_and(|(_, l)| !l.first().is_some_and(u8::is_ascii_digit)))
            .or(first)
            .or_else(|| lines.iter().enumerate().find(|(_, l)| !is_blank(l)))
            .unwrap_or((0, &(&[] as &[u8])));
        return Err(TraceError::NoNumbers { row: row + 1, text: excerpt(line) });
    };
    let Some(first) = lines.iter().position(|l| !is_comment(l) && !is_blank(l) && is_data(l, separator))
    else {
        return Err(TraceError::Empty);
    };
    let data_start = lines[..first].iter().map(|l| l.len() + 1).sum();
    let data_cells = without_trailing(cells(lines[first], separator)).len();
    let names = header(&lines[..first], separator, data_cells);
    if separator == Separator::Byte(b',') && names.len() >= 2 && data_cells == 2 * names.len() {
        return Err(TraceError::AmbiguousComma { row: first + 1, found: data_cells, expected: names.len() });
    }
    Ok(Layout { separator, line_end, data_start, first_row: first + 1, names, cells: data_cells })
}

/// Whether a line is a row of numbers: two or more, and nothing that is neither a number nor empty, save
/// that a cell of words may follow two numbers (a remark, a state).
fn is_data(line: &[u8], separator: Separator) -> bool {
    let comma = separator != Separator::Byte(b',');
    let numbers = cells(line, separator).iter().filter(|c| whole_number(c, comma).is_some()).count();
    numbers >= 2 && words(line, separator) < numbers
}

/// Cells that are neither empty nor numbers.
fn words(line: &[u8], separator: Separator) -> usize {
    let comma = separator != Separator::Byte(b',');
    cells(line, separator).iter().filter(|c| !c.is_empty() && whole_number(c, comma).is_none()).count()
}

fn without_trailing(mut cells: Vec<&[u8]>) -> Vec<&[u8]> {
    while cells.last().is_some_and(|cell| cell.is_empty()) {
        cells.pop();
    }
    cells
}

/// The names over the columns: the last line of words before the numbers, joined with a line of units
/// where one stands between; failing that, a comment line with as many cells as the numbers have.
fn header(before: &[&[u8]], separator: Separator, data_cells: usize) -> Vec<String> {
    let texts = |line: &[u8]| -> Vec<String> {
        let separators: &[Separator] = match separator {
            Separator::Blanks => &[Separator::Byte(b'\t'), Separator::Byte(b','), Separator::Byte(b';')],
            Separator::Byte(_) => &[],
        };
        // A file of blank-separated numbers may have "Time (s)   Load (lbf)" above: two blanks or a tab part
        // names there.
        for other in separators {
            let parts = without_trailing(cells(line, *other));
            if parts.len() >= 2 {
                return parts.into_iter().map(plain).collect();
            }
        }
        if separator == Separator::Blanks {
            return blank_names(line, data_cells);
        }
        without_trailing(cells(line, separator)).into_iter().map(plain).collect()
    };
    let words: Vec<&&[u8]> = before.iter().filter(|l| !is_comment(l) && !is_blank(l)).collect();
    if let Some((last, rest)) = words.split_last() {
        let names = texts(last);
        let units = names.iter().all(|n| n.is_empty() || super::columns::is_unit_only(n));
        if let (true, Some(above)) = (units, rest.last()) {
            let above = texts(above);
            if above.len() >= names.len().min(2) && !above.iter().all(|n| super::columns::is_unit_only(n)) {
                return above
                    .iter()
                    .enumerate()
                    .map(|(i, name)| {
                        match names.get(i).map(|u| u.trim_matches(['(', ')', '[', ']', '{', '}'])) {
                            Some(unit) if !unit.is_empty() => format!("{name} [{unit}]"),
                            _ => name.clone(),
                        }
                    })
                    .collect();
            }
        }
        return names;
    }
    before
        .iter()
        .rev()
        .filter(|l| is_comment(l))
        .map(|l| texts(without_mark(l)))
        .find(|names| names.len() == data_cells && names.iter().any(|n| super::columns::speaks(n)))
        .unwrap_or_default()
}

fn without_mark(line: &[u8]) -> &[u8] {
    let mut line = trim(line);
    while let [b'#' | b'%' | b'\'' | b'/', rest @ ..] = line {
        line = rest;
    }
    trim(line)
}

/// Names above blank-separated numbers: as many words as columns, or else words joined to the bracketed unit
/// behind them.
fn blank_names(line: &[u8], data_cells: usize) -> Vec<String> {
    let words: Vec<String> = cells(line, Separator::Blanks).into_iter().map(plain).collect();
    if words.len() == data_cells {
        return words;
    }
    let mut names: Vec<String> = Vec::new();
    for word in words {
        match names.last_mut() {
            Some(name) if word.starts_with(['(', '[', '{']) => {
                name.push(' ');
                name.push_str(&word);
            }
            _ => names.push(word),
        }
    }
    names
}

/// A header cell as text: UTF-8, else byte for byte as Latin-1; without quotes and control characters.
fn plain(cell: &[u8]) -> String {
    let text = match std::str::from_utf8(cell) {
        Ok(text) => text.to_owned(),
        Err(_) => cell.iter().map(|&b| char::from(b)).collect(),
    };
    text.trim().trim_matches('"').trim().chars().filter(|c| !c.is_control()).take(80).collect()
}

/// The start of a line for an error text.
pub fn excerpt(line: &[u8]) -> String {
    let text = plain(trim(line));
    if text.chars().count() > 40 { text.chars().take(40).chain(['…']).collect() } else { text }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn layout(text: &str) -> Layout {
        sniff(text.as_bytes()).unwrap()
    }

    #[test]
    fn separators() {
        assert_eq!(layout("t,f\n1,2\n").separator, Separator::Byte(b','));
        assert_eq!(layout("t;f\n1;2\n0,5;2,5\n").separator, Separator::Byte(b';'));
        assert_eq!(layout("t\tf\n1\t2,5\n").separator, Separator::Byte(b'\t'));
        assert_eq!(layout("t f\n 1   2\n 2   3\n").separator, Separator::Blanks);
        assert_eq!(layout("t f\n0,5 1,5\n1,0 2,0\n").separator, Separator::Blanks);
        assert_eq!(layout("t, f\n0.5, 1.5\n1.0, 2.0\n").separator, Separator::Byte(b','));
    }

    #[test]
    fn headers() {
        assert_eq!(layout("# a\n\nTime (ms),Load\n1,2\n").names, ["Time (ms)", "Load"]);
        assert_eq!(layout("Time,Load\n(ms),[lbf]\n1,2\n").names, ["Time [ms]", "Load [lbf]"]);
        assert_eq!(layout("Time (ms)  Load (lbf)\n1 2\n").names, ["Time (ms)", "Load (lbf)"]);
        assert_eq!(layout("# t_ms, load_lbf\n1,2\n").names, ["t_ms", "load_lbf"]);
        assert_eq!(layout("1,2\n").names, Vec::<String>::new());
        assert_eq!(layout("# x\n\"Time, s\",\"F, N\"\n1,2\n").names, ["Time, s", "F, N"]);
    }

    #[test]
    fn first_row_and_start() {
        let found = layout("# a\r\nt,f\r\n1,2\r\n");
        assert_eq!((found.first_row, found.data_start), (3, 10));
        let old = layout("t,f\r1,2\r3,4\r");
        assert_eq!((old.line_end, old.first_row), (b'\r', 2));
    }

    #[test]
    fn files_without_numbers() {
        assert_eq!(sniff(b""), Err(TraceError::Empty));
        assert_eq!(sniff(b"\r\n \n;;\n"), Err(TraceError::Empty));
        assert!(matches!(sniff(b"time,thrust\n"), Err(TraceError::NoNumbers { row: 1, .. })));
        assert!(matches!(
            sniff(b"t,f\n0,5,1,5\n0,6,2,5\n"),
            Err(TraceError::AmbiguousComma { row: 2, found: 4, expected: 2 })
        ));
    }

    #[test]
    fn wide_text_and_marks() {
        let wide: Vec<u8> =
            [0xFF, 0xFE].into_iter().chain("t,f\n1,2\n".encode_utf16().flat_map(u16::to_le_bytes)).collect();
        assert_eq!(as_text(&wide).as_ref(), b"t,f\n1,2\n");
        assert_eq!(as_text(&wide[2..]).as_ref(), b"t,f\n1,2\n");
        assert_eq!(as_text(b"\xEF\xBB\xBFt").as_ref(), b"t");
    }
}
