//! From an entry's JSON to typed rows: `{"tube":{"od":{"m":0.0508}}}` becomes the column `tube_od_m` of
//! `casing_entry`; a list of records becomes rows of its own table. One function for every kind, so a column
//! can never be written by other means than the sealed value.

use serde_json::{Map, Value};

use crate::book::Kind;

/// A value in a column.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Text.
    Text(String),
    /// A real number.
    Real(f64),
    /// A whole number or a yes (1) or no (0).
    Whole(i64),
}

impl rusqlite::ToSql for Cell {
    fn to_sql(&self) -> rusqlite::Result<rusqlite::types::ToSqlOutput<'_>> {
        match self {
            Self::Text(text) => text.to_sql(),
            Self::Real(number) => number.to_sql(),
            Self::Whole(number) => number.to_sql(),
        }
    }
}

/// One row of a typed table, without the entry's number.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The table.
    pub table: String,
    /// Column and value; a column left out is NULL.
    pub cells: Vec<(String, Cell)>,
}

/// Columns that hold JSON as it is.
const JSON_COLUMNS: &[&str] = &["reduction", "throats"];

/// The typed rows of a record.
pub fn project(kind: Kind, body: &Value) -> Vec<Row> {
    let table = format!("{kind}_entry");
    let mut own = Row { table, cells: Vec::new() };
    let mut rows = Vec::new();
    if let Value::Object(map) = body {
        flatten(kind, "", map, &mut own.cells, &mut rows);
    }
    rows.insert(0, own);
    rows
}

fn flatten(
    kind: Kind,
    prefix: &str,
    map: &Map<String, Value>,
    cells: &mut Vec<(String, Cell)>,
    rows: &mut Vec<Row>,
) {
    for (key, value) in map {
        // The words a quantity was typed in, and what was known of other books, stay in the sealed body.
        if key == "typed" || (prefix.is_empty() && key == crate::book::seal::SEEN) {
            continue;
        }
        let column = if prefix.is_empty() { key.clone() } else { format!("{prefix}_{key}") };
        match value {
            value if JSON_COLUMNS.contains(&column.as_str()) => {
                cells.push((column, Cell::Text(value.to_string())))
            }
            Value::Object(inner) => flatten(kind, &column, inner, cells, rows),
            Value::Array(items) if items.iter().all(Value::is_object) => {
                if let Some(table) = child_table(kind, &column) {
                    for (number, item) in items.iter().enumerate() {
                        let mut row = Row { table: table.to_owned(), cells: Vec::new() };
                        if table != "entry_part" {
                            row.cells.push(("row".to_owned(), Cell::Whole(number as i64)));
                        }
                        if let Value::Object(inner) = item {
                            flatten(kind, "", inner, &mut row.cells, rows);
                        }
                        rows.push(row);
                    }
                }
            }
            Value::Array(items) => {
                let words: Vec<&str> = items.iter().filter_map(Value::as_str).collect();
                cells.push((column, Cell::Text(words.join(", "))));
            }
            Value::String(text) => cells.push((column, Cell::Text(text.clone()))),
            Value::Bool(yes) => cells.push((column, Cell::Whole(i64::from(*yes)))),
            Value::Number(number) => match number.as_i64() {
                Some(whole) if !real_column(&column) => cells.push((column, Cell::Whole(whole))),
                _ => cells.push((column, Cell::Real(number.as_f64().unwrap_or_default()))),
            },
            Value::Null => {}
        }
    }
}

fn child_table(kind: Kind, field: &str) -> Option<&'static str> {
    match (kind, field) {
        (_, "readings") => Some("reading"),
        (_, "parts") => Some("entry_part"),
        (Kind::Strip, "items") => Some("strip_item"),
        (Kind::Prefire, "items") => Some("prefire_item"),
        _ => None,
    }
}

/// Whole JSON numbers that still belong in a REAL column.
fn real_column(column: &str) -> bool {
    !matches!(
        column,
        "forward_count"
            | "aft_count"
            | "life_firings"
            | "firings_before"
            | "grain_count"
            | "grain_inhibited_ends"
            | "bytes"
            | "count"
            | "proof_every"
    )
}
