//! From an entry's JSON to typed rows: `{"tube":{"od":{"m":0.0508}}}` becomes the column `tube_od_m` of
//! `casing_entry`; a list of records becomes rows of its own table. One function for every kind, so a column
//! can never be written by other means than the sealed value.
//!
//! A book is verified by doing this to every entry of it, so the text is walked once and no tree is built of it.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::LazyLock;

use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::body::{Body, Words};
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

/// The typed rows of one record: its own first, then those of its lists.
#[derive(Debug, Default)]
pub(super) struct Projected<'a> {
    /// The name of every cell, one after another.
    names: String,
    cells: Vec<(Range<usize>, Cell<'a>)>,
    rows: Vec<(&'static str, Range<usize>)>,
}

/// One row of a typed table, without the entry's number; a column left out is NULL.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<'p, 'a> {
    names: &'p str,
    cells: &'p [(Range<usize>, Cell<'a>)],
}

impl<'p, 'a> Row<'p, 'a> {
    /// How many columns say something.
    pub(super) fn len(self) -> usize {
        self.cells.len()
    }

    /// Column and value of a cell by its place.
    pub(super) fn cell(self, at: usize) -> Option<(&'p str, &'p Cell<'a>)> {
        let (name, cell) = self.cells.get(at)?;
        Some((self.names.get(name.clone())?, cell))
    }

    /// Column and value of every cell.
    pub(super) fn cells(self) -> impl Iterator<Item = (&'p str, &'p Cell<'a>)> {
        (0..self.len()).filter_map(move |at| self.cell(at))
    }

    /// The value in a column.
    pub(super) fn value(self, column: &str) -> Option<&'p Cell<'a>> {
        self.cells().find(|(name, _)| *name == column).map(|(_, cell)| cell)
    }
}

impl<'a> Projected<'a> {
    /// How many rows there are.
    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    /// The table of a row.
    pub(super) fn table(&self, at: usize) -> &'static str {
        self.rows.get(at).map_or("", |(table, _)| table)
    }

    /// A row by its place.
    pub(super) fn row(&self, at: usize) -> Row<'_, 'a> {
        let cells = self.rows.get(at).and_then(|(_, range)| self.cells.get(range.clone()));
        Row { names: &self.names, cells: cells.unwrap_or_default() }
    }
}

/// Columns that hold JSON as it is.
const JSON_COLUMNS: &[&str] = &["reduction", "throats", "lengths"];

/// The typed rows of a record.
///
/// # Errors
/// The body is not JSON, or is no record.
pub(super) fn project(kind: Kind, body: &str) -> Result<Projected<'_>, serde_json::Error> {
    static OWN: LazyLock<Vec<String>> =
        LazyLock::new(|| Kind::ALL.iter().map(|kind| format!("{kind}_entry")).collect());
    let table = Kind::ALL.iter().position(|it| *it == kind).and_then(|at| OWN.get(at));
    let mut walk = Walk {
        kind,
        out: Projected::default(),
        path: String::with_capacity(64),
        own: Vec::with_capacity(24),
        row: false,
    };
    walk.out.names.reserve(512);
    let mut text = serde_json::Deserializer::from_str(body);
    Record(&mut walk).deserialize(&mut text)?;
    text.end()?;
    let Walk { mut out, own: mut cells, .. } = walk;
    let from = out.cells.len();
    out.cells.append(&mut cells);
    out.rows.insert(0, (table.map_or("", String::as_str), from..out.cells.len()));
    Ok(out)
}

/// Where a record's text is being walked.
struct Walk<'a> {
    kind: Kind,
    out: Projected<'a>,
    /// The column of the value in hand.
    path: String,
    /// The cells of the record's own row.
    own: Vec<(Range<usize>, Cell<'a>)>,
    /// Whether a row of a list is being filled.
    row: bool,
}

impl<'a> Walk<'a> {
    fn put(&mut self, cell: Cell<'a>) {
        let from = self.out.names.len();
        self.out.names.push_str(&self.path);
        let name = from..self.out.names.len();
        if self.row { &mut self.out.cells } else { &mut self.own }.push((name, cell));
    }

    /// Walk the pairs of a map, each under its key.
    fn pairs<A: MapAccess<'a>>(&mut self, mut pairs: A) -> Result<(), A::Error> {
        while let Some(Words(key)) = pairs.next_key()? {
            // The words a quantity was typed in, and what was known of other books, stay in the sealed body.
            if key == "typed" || (self.path.is_empty() && key == crate::book::seal::SEEN) {
                pairs.next_value::<IgnoredAny>()?;
                continue;
            }
            let before = self.path.len();
            if before > 0 {
                self.path.push('_');
            }
            self.path.push_str(&key);
            if JSON_COLUMNS.contains(&self.path.as_str()) {
                let value: Body<'a> = pairs.next_value()?;
                // A body that was read can be written again.
                self.put(Cell::Text(Cow::Owned(serde_json::to_string(&value).unwrap_or_default())));
            } else {
                pairs.next_value_seed(Value(self))?;
            }
            self.path.truncate(before);
        }
        Ok(())
    }

    fn number(&mut self, whole: Option<i64>, real: f64) {
        match whole {
            Some(whole) if !real_column(&self.path) => self.put(Cell::Whole(whole)),
            _ => self.put(Cell::Real(real)),
        }
    }
}

/// The whole record.
struct Record<'w, 'a>(&'w mut Walk<'a>);

impl<'de> DeserializeSeed<'de> for Record<'_, 'de> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Record<'_, 'de> {
    type Value = ();
    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("a record")
    }
    fn visit_map<A: MapAccess<'de>>(self, pairs: A) -> Result<(), A::Error> {
        self.0.pairs(pairs)
    }
}

/// A value under the path in hand.
struct Value<'w, 'a>(&'w mut Walk<'a>);

impl<'de> DeserializeSeed<'de> for Value<'_, 'de> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Value<'_, 'de> {
    type Value = ();
    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("a value")
    }
    fn visit_unit<E: Error>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_bool<E: Error>(self, yes: bool) -> Result<(), E> {
        self.0.put(Cell::Whole(i64::from(yes)));
        Ok(())
    }
    fn visit_i64<E: Error>(self, number: i64) -> Result<(), E> {
        self.0.number(Some(number), number as f64);
        Ok(())
    }
    fn visit_u64<E: Error>(self, number: u64) -> Result<(), E> {
        self.0.number(i64::try_from(number).ok(), number as f64);
        Ok(())
    }
    fn visit_f64<E: Error>(self, number: f64) -> Result<(), E> {
        self.0.number(None, number);
        Ok(())
    }
    fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<(), E> {
        self.0.put(Cell::Text(Cow::Borrowed(text)));
        Ok(())
    }
    fn visit_str<E: Error>(self, text: &str) -> Result<(), E> {
        self.0.put(Cell::Text(Cow::Owned(text.to_owned())));
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, pairs: A) -> Result<(), A::Error> {
        self.0.pairs(pairs)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        let walk = self.0;
        let table = if !walk.row { child_table(walk.kind, &walk.path) } else { None };
        let (rows, cells) = (walk.out.rows.len(), walk.out.cells.len());
        let mut words: Option<Vec<Cow<'de, str>>> = None;
        let mut number = 0;
        while let Some(record) = items.next_element_seed(Item { walk, table, number, words: &mut words })? {
            number += i64::from(record);
        }
        // A list of anything but records is one text, whatever else is in it.
        if let Some(words) = words {
            walk.out.rows.truncate(rows);
            walk.out.cells.truncate(cells);
            walk.put(Cell::Text(Cow::Owned(words.join(", "))));
        }
        Ok(())
    }
}

/// One item of a list: whether it is a record comes back.
struct Item<'w, 'a> {
    walk: &'w mut Walk<'a>,
    table: Option<&'static str>,
    number: i64,
    /// The texts, once anything in the list is no record.
    words: &'w mut Option<Vec<Cow<'a, str>>>,
}

impl<'a> Item<'_, 'a> {
    fn word(self, word: Option<Cow<'a, str>>) -> bool {
        self.words.get_or_insert_default().extend(word);
        false
    }
}

impl<'de> DeserializeSeed<'de> for Item<'_, 'de> {
    type Value = bool;
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Item<'_, 'de> {
    type Value = bool;
    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("an item of a list")
    }
    fn visit_unit<E: Error>(self) -> Result<bool, E> {
        Ok(self.word(None))
    }
    fn visit_bool<E: Error>(self, _: bool) -> Result<bool, E> {
        Ok(self.word(None))
    }
    fn visit_i64<E: Error>(self, _: i64) -> Result<bool, E> {
        Ok(self.word(None))
    }
    fn visit_u64<E: Error>(self, _: u64) -> Result<bool, E> {
        Ok(self.word(None))
    }
    fn visit_f64<E: Error>(self, _: f64) -> Result<bool, E> {
        Ok(self.word(None))
    }
    fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<bool, E> {
        Ok(self.word(Some(Cow::Borrowed(text))))
    }
    fn visit_str<E: Error>(self, text: &str) -> Result<bool, E> {
        Ok(self.word(Some(Cow::Owned(text.to_owned()))))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<bool, A::Error> {
        while items.next_element::<IgnoredAny>()?.is_some() {}
        Ok(self.word(None))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut pairs: A) -> Result<bool, A::Error> {
        let (Some(table), walk) = (self.table, self.walk) else {
            while pairs.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
            return Ok(true);
        };
        let from = walk.out.cells.len();
        let list = std::mem::take(&mut walk.path);
        walk.row = true;
        if table != "entry_part" {
            walk.path.push_str("row");
            walk.put(Cell::Whole(self.number));
            walk.path.clear();
        }
        walk.pairs(pairs)?;
        walk.row = false;
        walk.path = list;
        walk.out.rows.push((table, from..walk.out.cells.len()));
        Ok(true)
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::{Cell, project};
    use crate::book::Kind;

    fn told(kind: Kind, body: &str) -> Vec<String> {
        let projected = project(kind, body).unwrap();
        (0..projected.len())
            .map(|at| {
                let cells: Vec<String> =
                    projected.row(at).cells().map(|(name, cell)| format!("{name}={cell:?}")).collect();
                format!("{}: {}", projected.table(at), cells.join(" "))
            })
            .collect()
    }

    #[test]
    fn nested_values_become_columns_and_lists_of_records_rows() {
        let body = r#"{"casing":"A\n1","items":[{"item":"heat","outcome":"good"},{"item":"bore","outcome":"good"}],
            "readings":[{"clock_deg":null,"station":{"m":0.03,"typed":"30 mm"}}],"seen":{"x":3},"throats":[{"m":9e-3}]}"#;
        assert_eq!(
            told(Kind::Strip, body),
            [
                r#"strip_entry: casing=Text("A\n1") throats=Text("[{\"m\":0.009}]")"#,
                r#"strip_item: row=Whole(0) item=Text("heat") outcome=Text("good")"#,
                r#"strip_item: row=Whole(1) item=Text("bore") outcome=Text("good")"#,
                "reading: row=Whole(0) station_m=Real(0.03)",
            ]
        );
        let body = r#"{"loads":["a","b"],"meop":{"pa":5},"parts":[{"part":"I-1","position":"tube"}],"proof_every":3,"second":true}"#;
        assert_eq!(
            told(Kind::Disposition, body),
            [
                r#"disposition_entry: loads=Text("a, b") meop_pa=Real(5.0) proof_every=Whole(3) second=Whole(1)"#,
                r#"entry_part: part=Text("I-1") position=Text("tube")"#,
            ]
        );
        assert_eq!(
            project(Kind::Note, r#"{"text":"x"}"#).unwrap().row(0).value("text"),
            Some(&Cell::Text("x".into()))
        );
    }

    #[test]
    fn what_is_no_record_is_refused_and_a_strange_list_is_one_text() {
        for body in ["[]", "3", "", "{", "{}x", r#"{"a":1e999}"#] {
            assert!(project(Kind::Note, body).is_err(), "{body}");
        }
        assert_eq!(
            told(Kind::Strip, r#"{"items":[{"item":"heat"},"b",3,["c"]],"odd":[{"x":1}],"none":[]}"#),
            [r#"strip_entry: items=Text("b")"#]
        );
    }
}
