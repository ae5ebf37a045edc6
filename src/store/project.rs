//! From an entry's JSON to typed rows: `{"tube":{"od":{"m":0.0508}}}` becomes the column `tube_od_m` of
//! `casing_entry`; a list of records becomes rows of its own table. One function for every kind, so a column
//! can never be written by other means than the sealed value.

use std::borrow::Cow;

use super::body::Body;
use crate::book::Kind;

/// A value in a column.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell<'a> {
    /// Text.
    Text(Cow<'a, str>),
    /// A real number.
    Real(f64),
    /// A whole number or a yes (1) or no (0).
    Whole(i64),
}

impl rusqlite::ToSql for Cell<'_> {
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
pub(super) struct Row<'a> {
    /// The table.
    pub table: Cow<'static, str>,
    /// Column and value; a column left out is NULL.
    pub cells: Vec<(Cow<'a, str>, Cell<'a>)>,
}

/// Columns that hold JSON as it is.
const JSON_COLUMNS: &[&str] = &["reduction", "throats", "lengths"];

/// The typed rows of a record: its own first.
pub(super) fn project<'a>(kind: Kind, body: &'a Body<'a>) -> Vec<Row<'a>> {
    let mut own = Row { table: Cow::Owned(format!("{kind}_entry")), cells: Vec::with_capacity(12) };
    let mut rows = Vec::new();
    if let Body::Map(map) = body {
        flatten(kind, "", map, &mut own.cells, &mut rows);
    }
    rows.insert(0, own);
    rows
}

fn flatten<'a>(
    kind: Kind,
    prefix: &str,
    map: &'a [(Cow<'a, str>, Body<'a>)],
    cells: &mut Vec<(Cow<'a, str>, Cell<'a>)>,
    rows: &mut Vec<Row<'a>>,
) {
    for (key, value) in map {
        // The words a quantity was typed in, and what was known of other books, stay in the sealed body.
        if key == "typed" || (prefix.is_empty() && key == crate::book::seal::SEEN) {
            continue;
        }
        let column: Cow<'a, str> = if prefix.is_empty() {
            Cow::Borrowed(key.as_ref())
        } else {
            Cow::Owned([prefix, "_", key].concat())
        };
        match value {
            value if JSON_COLUMNS.contains(&column.as_ref()) => {
                // A body that was read can be written again.
                let json = serde_json::to_string(value).unwrap_or_default();
                cells.push((column, Cell::Text(Cow::Owned(json))));
            }
            Body::Map(inner) => flatten(kind, &column, inner, cells, rows),
            Body::List(items) if items.iter().all(|item| matches!(item, Body::Map(_))) => {
                if let Some(table) = child_table(kind, &column) {
                    for (number, item) in items.iter().enumerate() {
                        let mut row = Row { table: Cow::Borrowed(table), cells: Vec::with_capacity(8) };
                        if table != "entry_part" {
                            row.cells.push((Cow::Borrowed("row"), Cell::Whole(number as i64)));
                        }
                        if let Body::Map(inner) = item {
                            flatten(kind, "", inner, &mut row.cells, rows);
                        }
                        rows.push(row);
                    }
                }
            }
            Body::List(items) => {
                let words = items.iter().filter_map(|item| match item {
                    Body::Text(text) => Some(text.as_ref()),
                    _ => None,
                });
                cells.push((column, Cell::Text(Cow::Owned(words.collect::<Vec<_>>().join(", ")))));
            }
            Body::Text(text) => cells.push((column, Cell::Text(Cow::Borrowed(text.as_ref())))),
            Body::Bool(yes) => cells.push((column, Cell::Whole(i64::from(*yes)))),
            Body::Number(number) => match number.as_i64() {
                Some(whole) if !real_column(&column) => cells.push((column, Cell::Whole(whole))),
                _ => cells.push((column, Cell::Real(number.as_f64().unwrap_or_default()))),
            },
            Body::Null => {}
        }
    }
}

fn child_table(kind: Kind, field: &str) -> Option<&'static str> {
    match (kind, field) {
        (_, "readings") => Some("reading"),
        (_, "parts") => Some("entry_part"),
        (Kind::Strip, "items") => Some("strip_item"),
        (Kind::Proof, "steps") => Some("proof_step"),
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
