//! A stretch of entries against their seals, and every typed row against what its entry says.
//!
//! Every table with rows of entries is read in the order of its entries beside the ledger itself, so that a row
//! that is changed, missing, one too many or of no entry is met on the way.

use std::borrow::Cow;
use std::ops::Range;

use chrono::{DateTime, NaiveDate};
use rusqlite::fallible_streaming_iterator::FallibleStreamingIterator;
use rusqlite::types::{FromSqlError, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, Rows, params};
use uuid::Uuid;

use super::Work;
use super::indexes::Adder;
use crate::book::{Details, Kind, SubjectOf, seal};
use crate::store::StoreError;
use crate::store::project::{Cell, Projected, Row as Wanted, project};

/// The ledger.
pub(super) const LEDGER: &str = "entry";
/// Its columns as they are read here.
const COLUMNS: [&str; 15] = [
    "number",
    "id",
    "origin",
    "sequence",
    "kind",
    "subject_of",
    "subject",
    "happened_on",
    "date_approximate",
    "recorded_at",
    "recorded_by",
    "second",
    "strikes",
    "body",
    "seal",
];

/// A table read in step with the ledger.
struct Beside<'s> {
    table: String,
    columns: Vec<String>,
    indexes: Vec<Adder<'s>>,
    /// Where `entry` stands among them.
    entry_at: usize,
    rows: Rows<'s>,
    /// The entry of the row in hand; `None` at the end.
    at: Option<i64>,
    /// Which of the rows wanted for an entry were met.
    met: Vec<bool>,
}

impl Beside<'_> {
    fn advance(&mut self) -> rusqlite::Result<()> {
        self.rows.advance()?;
        self.at = match self.rows.get() {
            Some(row) => {
                for index in &mut self.indexes {
                    index.take(row)?;
                }
                Some(row.get(self.entry_at)?)
            }
            None => None,
        };
        Ok(())
    }

    /// Rows before the next entry belong to none.
    fn pass_over(&mut self, number: i64, work: &Work<'_>) -> rusqlite::Result<()> {
        while let Some(at) = self.at.filter(|at| *at < number) {
            work.fault(Some(at), format!("a row in the table {} belongs to no entry", self.table));
            self.advance()?;
        }
        Ok(())
    }

    /// The rows for one entry against those it should have, in any order.
    fn hold_against(
        &mut self,
        number: i64,
        projected: &Projected<'_>,
        wanted: Range<usize>,
        work: &Work<'_>,
    ) -> rusqlite::Result<()> {
        self.met.clear();
        self.met.resize(wanted.len(), false);
        let (mut same, mut next) = (true, 0);
        while self.at == Some(number) {
            if let Some(row) = self.rows.get() {
                // Most often they stand in the order they are said in.
                let places = (next..wanted.len()).chain(0..next.min(wanted.len()));
                let found = places
                    .into_iter()
                    .find(|at| !self.met[*at] && self.is_row(row, projected.row(wanted.start + at)));
                match found {
                    Some(at) => {
                        self.met[at] = true;
                        next = at + 1;
                    }
                    None => same = false,
                }
            }
            self.advance()?;
        }
        if !same || self.met.contains(&false) {
            work.fault(
                Some(number),
                format!("its values in the table {} are not the sealed ones", self.table),
            );
        }
        Ok(())
    }

    fn is_row(&self, row: &Row<'_>, wanted: Wanted<'_, '_>) -> bool {
        let (mut filled, mut next) = (0, 0);
        for (at, column) in self.columns.iter().enumerate() {
            let stored = match row.get_ref(at) {
                Ok(ValueRef::Null) => continue,
                Ok(_) if at == self.entry_at => continue,
                Ok(stored) => stored,
                Err(_) => return false,
            };
            // Most often the cells stand in the order of the columns.
            let mut places = (next..wanted.len()).chain(0..next.min(wanted.len()));
            let found = places.find_map(|place| {
                wanted.cell(place).filter(|(name, _)| name == column).map(|(_, cell)| (place, cell))
            });
            let Some((place, cell)) = found else { return false };
            next = place + 1;
            let same = match (cell, stored) {
                (Cell::Text(text), ValueRef::Text(stored)) => text.as_bytes() == stored,
                (Cell::Real(number), ValueRef::Real(stored)) => number.to_bits() == stored.to_bits(),
                (Cell::Whole(number), ValueRef::Integer(stored)) => *number == stored,
                _ => false,
            };
            if !same {
                return false;
            }
            filled += 1;
        }
        filled == wanted.len()
    }
}

/// Every table whose rows belong to entries.
pub(super) fn tables(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    connection
        .prepare(
            "SELECT m.name FROM sqlite_schema m WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%'
               AND EXISTS (SELECT 1 FROM pragma_table_info(m.name) c WHERE c.name = 'entry') ORDER BY m.name",
        )?
        .query_map([], |row| row.get(0))?
        .collect()
}

pub(super) fn check(connection: &Connection, from: i64, to: i64, work: &Work<'_>) -> Result<(), StoreError> {
    let sql = |error| work.sql(error);
    let names: Vec<&String> = work.tables.iter().filter(|table| *table != LEDGER).collect();
    let mut statements = Vec::new();
    for name in &names {
        let quoted = name.replace('"', "\"\"");
        let query = format!("SELECT * FROM \"{quoted}\" WHERE entry BETWEEN ?1 AND ?2 ORDER BY entry");
        statements.push(connection.prepare(&query).map_err(sql)?);
    }
    let mut beside = Vec::new();
    for (name, statement) in names.iter().zip(&mut statements) {
        // Asked as values: a name that is no text is an error here, and would end the program as a name.
        let columns: Vec<String> = connection
            .prepare("SELECT name FROM pragma_table_info(?1) ORDER BY cid")
            .and_then(|mut info| info.query_map([name], |row| row.get(0))?.collect())
            .map_err(sql)?;
        let entry_at = columns.iter().position(|column| column == "entry").unwrap_or_default();
        let rows = statement.query(params![from, to]).map_err(sql)?;
        let indexes = Adder::of_table(work, name, &columns);
        let mut table =
            Beside { table: (*name).clone(), columns, indexes, entry_at, rows, at: None, met: Vec::new() };
        table.advance().map_err(sql)?;
        beside.push(table);
    }
    let query =
        format!("SELECT {} FROM entry WHERE number BETWEEN ?1 AND ?2 ORDER BY number", COLUMNS.join(", "));
    let mut statement = connection.prepare(&query).map_err(sql)?;
    let mut rows = statement.query(params![from, to]).map_err(sql)?;
    let mut indexes = Adder::of_table(work, LEDGER, &COLUMNS.map(str::to_owned));
    let mut before = Before::default();
    while let Some(row) = rows.next().map_err(sql)? {
        let number: i64 = row.get(0).map_err(sql)?;
        for index in &mut indexes {
            index.take(row).map_err(sql)?;
        }
        for table in &mut beside {
            table.pass_over(number, work).map_err(sql)?;
        }
        match one(connection, row, number, &mut before, &mut beside, work) {
            Ok(()) => {}
            // A value of another type than the book writes, or text that is not text.
            Err(error) if error.sqlite_error_code().is_none() => {
                work.fault(Some(number), format!("it is not readable: {error}"));
            }
            Err(error) => return Err(sql(error)),
        }
        for table in beside.iter_mut().filter(|table| table.at == Some(number)) {
            work.fault(
                Some(number),
                format!("its values in the table {} are not the sealed ones", table.table),
            );
            while table.at == Some(number) {
                table.advance().map_err(sql)?;
            }
        }
        if work.enough() {
            return Ok(());
        }
    }
    for table in &mut beside {
        while let Some(at) = table.at {
            work.fault(Some(at), format!("a row in the table {} belongs to no entry", table.table));
            if work.enough() {
                return Ok(());
            }
            table.advance().map_err(sql)?;
        }
    }
    Ok(())
}

/// Whether a text is an identity as the book writes it: lower case, with hyphens. The shape is looked at first, since
/// writing a million identities out again to compare them takes longer than their seals.
fn is_identity(text: &str) -> bool {
    text.len() == 36
        && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f' | b'-'))
        && Uuid::parse_str(text).is_ok()
}

/// Whether a text is a day as the book writes it.
fn is_day(text: &str) -> bool {
    let shape =
        |(at, byte): (usize, u8)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() };
    // Days beyond the year 9999 carry a sign.
    (text.len() == 10 && text.bytes().enumerate().all(shape) && text.parse::<NaiveDate>().is_ok())
        || (text.len() != 10 && text.parse::<NaiveDate>().is_ok_and(|it| it.to_string() == text))
}

/// Whether a text is a moment as the book writes it: UTC, to the millisecond.
fn is_moment(text: &str) -> bool {
    let shape = |(at, byte): (usize, u8)| match at {
        4 | 7 => byte == b'-',
        10 => byte == b'T',
        13 | 16 => byte == b':',
        19 => byte == b'.',
        23 => byte == b'Z',
        _ => byte.is_ascii_digit(),
    };
    let plain = text.len() == 24 && text.bytes().enumerate().all(shape) && text.get(17..19) != Some("60");
    match DateTime::parse_from_rfc3339(text) {
        Ok(_) if plain => true,
        Ok(it) => seal::moment(it.to_utc()) == text,
        Err(_) => false,
    }
}

/// The entry met before, which is most often the one before in its chain too.
#[derive(Default)]
struct Before {
    origin: String,
    sequence: i64,
    seal: String,
}

impl Before {
    fn is_now(&mut self, origin: &str, sequence: i64, seal: &str) {
        for (kept, new) in [(&mut self.origin, origin), (&mut self.seal, seal)] {
            kept.clear();
            kept.push_str(new);
        }
        self.sequence = sequence;
    }
}

/// Check one entry and the rows it should have.
fn one(
    connection: &Connection,
    row: &Row<'_>,
    number: i64,
    before: &mut Before,
    beside: &mut [Beside<'_>],
    work: &Work<'_>,
) -> rusqlite::Result<()> {
    let no_text = |at: usize, error: FromSqlError| {
        rusqlite::Error::FromSqlConversionFailure(at, rusqlite::types::Type::Text, Box::new(error))
    };
    let text = |at: usize| row.get_ref(at)?.as_str().map_err(|error| no_text(at, error));
    let text_or_null = |at: usize| row.get_ref(at)?.as_str_or_null().map_err(|error| no_text(at, error));
    let fault = |what: String| work.fault(Some(number), what);
    let (origin, kind_word, body, stored) = (text(2)?, text(4)?, text(13)?, text(14)?);
    let sequence: i64 = row.get(3)?;
    let (second, strikes) = (text_or_null(11)?, text_or_null(12)?);
    let head = seal::SealedHead {
        date_approximate: match row.get(8)? {
            0_i64 => false,
            1 => true,
            other => return Err(rusqlite::Error::IntegralValueOutOfRange(8, other)),
        },
        happened_on: text(7)?,
        id: text(1)?,
        kind: kind_word,
        origin,
        recorded_at: text(9)?,
        recorded_by: text(10)?,
        second,
        sequence,
        subject: text(6)?,
        subject_of: text(5)?,
    };
    let mut stands_at = None;
    let previous: Option<Cow<'_, str>> = if sequence == 1 {
        Some(Cow::Borrowed(seal::FIRST))
    } else if before.origin == origin && before.sequence == sequence - 1 {
        Some(Cow::Borrowed(before.seal.as_str()))
    } else {
        connection
            .prepare_cached("SELECT seal, number FROM entry WHERE origin = ?1 AND sequence = ?2")?
            .query_row(params![origin, sequence - 1], |row| {
                stands_at = Some(row.get::<_, i64>(1)?);
                row.get(0)
            })
            .optional()?
            .map(Cow::Owned)
    };
    if let Some(at) = stands_at.filter(|at| *at > number) {
        fault(format!("it stands before the entry written before it, which is entry {at} now"));
    }
    match previous {
        None => fault(format!("the entry before it is missing ({} of its origin)", sequence - 1)),
        Some(previous) if head.seal(&previous, body) != stored => {
            fault("its seal is broken: something in it was changed".to_owned());
        }
        Some(_) => {}
    }
    let ids = [head.id, head.origin].iter().all(|id| is_identity(id));
    let dates = is_day(head.happened_on) && is_moment(head.recorded_at);
    if !ids || !dates || SubjectOf::from_word(head.subject_of).is_none() {
        fault("its identity, its dates or what it is about are not readable".to_owned());
    }
    before.is_now(origin, sequence, stored);
    let Some(kind) = Kind::from_word(kind_word) else {
        fault(format!("unknown kind {}", crate::book::reading::shorten(kind_word)));
        return Ok(());
    };
    let Ok(expected) = project(kind, body) else {
        fault("its body is not readable".to_owned());
        return Ok(());
    };
    // What is about a casing is read in full where the casing's standing is worked out.
    if !(head.subject_of == "casing" && work.casings.contains(head.subject))
        && let Err(error) = Details::from_json(kind, body)
    {
        fault(format!("its body is not a {kind}: {error}"));
    }
    match seal::seen_in(body) {
        Ok(seen) => {
            for (other, last) in seen {
                let there: Option<i64> = connection
                    .prepare_cached("SELECT max(sequence) FROM entry WHERE origin = ?1")?
                    .query_row([other.to_string()], |row| row.get(0))?;
                let there = there.unwrap_or(0);
                if there < last {
                    fault(format!(
                        "it was written with {last} entries of the book {other} at hand; {there} are here"
                    ));
                }
            }
        }
        Err(error) => fault(format!("what it says of other books is not readable: {error}")),
    }
    let sealed_strike = match expected.row(0).value("strikes").filter(|_| kind == Kind::Strike) {
        Some(Cell::Text(text)) => Some(text.as_ref()),
        _ => None,
    };
    if strikes != sealed_strike {
        fault("what it strikes was changed".to_owned());
    }
    let mut from = 0;
    while from < expected.len() {
        let name = expected.table(from);
        let to = (from..expected.len()).find(|at| expected.table(*at) != name).unwrap_or(expected.len());
        match beside.iter_mut().find(|table| table.table == name) {
            Some(table) => table.hold_against(number, &expected, from..to, work)?,
            None => fault(format!("the table {name} for its values is missing")),
        }
        from = to;
    }
    Ok(())
}
