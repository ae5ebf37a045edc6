//! The whole book as one JSON document, written as it is read: `{"schema":1, …, "tables":{NAME:[{…}, …]}}`.

use std::io::Write;

use serde_json::{Map, Number, Value as Json, json};

use super::super::json::{SCHEMA, visible};
use crate::store::{Table, Value};

/// A book on its way into a JSON file. Text is exact; bytes are hexadecimal digits; nothing is `null`.
pub struct JsonBook<W: Write> {
    out: W,
    tables: usize,
    rows: usize,
}

impl<W: Write> JsonBook<W> {
    /// Begin with what the book is.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn begin(mut out: W, book: &Json, tables: &[Table]) -> std::io::Result<Self> {
        let columns: Map<String, Json> = tables
            .iter()
            .map(|table| {
                let columns: Vec<Json> = table
                    .columns
                    .iter()
                    .map(|column| json!({"name": column.name, "type": column.kind.word()}))
                    .collect();
                (table.name.clone(), columns.into())
            })
            .collect();
        write!(
            out,
            "{{\"schema\":{SCHEMA},\"book\":{},\"columns\":{},\"tables\":{{",
            visible(book),
            visible(&Json::Object(columns))
        )?;
        Ok(Self { out, tables: 0, rows: 0 })
    }

    /// Begin a table; the one before is ended.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn table(&mut self, table: &Table) -> std::io::Result<()> {
        if self.tables > 0 {
            write!(self.out, "\n],")?;
        }
        self.tables += 1;
        self.rows = 0;
        write!(self.out, "\n{}:[", visible(&Json::String(table.name.clone())))
    }

    /// A row.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn row(&mut self, table: &Table, values: &[Value<'_>]) -> std::io::Result<()> {
        let row: Map<String, Json> = table
            .columns
            .iter()
            .zip(values)
            .map(|(column, value)| (column.name.clone(), json_of(value)))
            .collect();
        write!(self.out, "{}\n{}", if self.rows > 0 { "," } else { "" }, visible(&Json::Object(row)))?;
        self.rows += 1;
        Ok(())
    }

    /// End the document.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn end(mut self) -> std::io::Result<W> {
        if self.tables > 0 {
            write!(self.out, "\n]")?;
        }
        writeln!(self.out, "\n}}}}")?;
        Ok(self.out)
    }
}

fn json_of(value: &Value<'_>) -> Json {
    match value {
        Value::Null => Json::Null,
        Value::Text(text) => Json::String((*text).to_owned()),
        Value::Integer(number) => (*number).into(),
        Value::Real(number) => Number::from_f64(*number).map_or(Json::Null, Json::Number),
        Value::Blob(bytes) => {
            use std::fmt::Write as _;
            Json::String(bytes.iter().fold(String::new(), |mut out, byte| {
                let _ = write!(out, "{byte:02x}");
                out
            }))
        }
    }
}
