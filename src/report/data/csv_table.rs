//! A table as CSV (RFC 4180, UTF-8): a spreadsheet opens it and takes no cell for a formula.

use std::borrow::Cow;
use std::io::Write;

use super::super::text::unseen;
use crate::store::{Table, Value};

/// Whether a spreadsheet could take a text for a formula, or for the mark that keeps it from being one.
///
/// The signs are those of the OWASP page on CSV injection, their full-width forms (which some spreadsheets fold),
/// and the apostrophe itself, so that taking one apostrophe off always gives back what was to be shown.
pub fn is_formula(text: &str) -> bool {
    text.chars().next().is_some_and(|first| {
        matches!(first, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '\'' | '＝' | '＋' | '－' | '＠')
    })
}

/// A text cell: an apostrophe in front where a spreadsheet could take it for a formula, and whatever nobody sees but
/// blanks and line ends as its number, `\u{1b}`: a file is looked at in a terminal, too. `book.json` has it exactly.
pub fn cell(text: &str) -> Cow<'_, str> {
    let hidden = |c: char| unseen(c) && !matches!(c, '\t' | '\r' | '\n');
    let shown = if text.chars().any(hidden) {
        let mut shown = String::with_capacity(text.len() + 8);
        for c in text.chars() {
            if hidden(c) { shown.extend(c.escape_unicode()) } else { shown.push(c) }
        }
        Cow::Owned(shown)
    } else {
        Cow::Borrowed(text)
    };
    if is_formula(&shown) { Cow::Owned(format!("'{shown}")) } else { shown }
}

/// A table on its way into a CSV file. Nothing is written as an empty cell, bytes as their hexadecimal digits.
pub struct CsvTable<W: Write> {
    writer: csv::Writer<W>,
}

impl<W: Write> CsvTable<W> {
    /// Begin with the names of the columns.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn begin(out: W, table: &Table) -> std::io::Result<Self> {
        let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
        writer
            .write_record(table.columns.iter().map(|column| cell(&column.name).into_owned()))
            .map_err(io)?;
        Ok(Self { writer })
    }

    /// A row.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn row(&mut self, values: &[Value<'_>]) -> std::io::Result<()> {
        for value in values {
            let written = match value {
                Value::Null => self.writer.write_field(""),
                Value::Text(text) => self.writer.write_field(cell(text).as_bytes()),
                Value::Integer(number) => self.writer.write_field(number.to_string()),
                Value::Real(number) => self.writer.write_field(number_text(*number)),
                Value::Blob(bytes) => self.writer.write_field(hex(bytes)),
            };
            written.map_err(io)?;
        }
        self.writer.write_record(None::<&[u8]>).map_err(io)
    }

    /// Write out what is left.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn end(self) -> std::io::Result<W> {
        self.writer.into_inner().map_err(|error| std::io::Error::other(error.to_string()))
    }
}

fn io(error: csv::Error) -> std::io::Error {
    std::io::Error::other(error)
}

/// The shortest digits that read back to the same number, always with a point or an exponent.
fn number_text(number: f64) -> String {
    format!("{number:?}")
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_cell_begins_as_a_formula_and_each_can_be_got_back() {
        for text in ["=1+1", "+x", "-x", "@x", "\tx", "\rx", "\nx", "'x", "＝1", "plain", "", "a=b", " =1"] {
            let written = cell(text);
            assert!(
                !written.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']),
                "{text:?}"
            );
            let back = written.strip_prefix('\'').unwrap_or(&written);
            assert_eq!(back, text);
        }
    }
}
