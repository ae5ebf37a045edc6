//! Every index against the table it is of.
//!
//! SQLite's own check looks each row of a table up in each of its indexes, which for a large book takes longer than
//! every seal of it. Here an index is read once from end to end: it must go up in its own order, and the sum of a
//! hash of each of its rows must be the sum over the rows of its table, which are read for their seals anyway. The
//! hash has a key of its own for each run, so that no file can be made to pass it.

use std::hash::{BuildHasher, RandomState};
use std::sync::atomic::{AtomicU64, Ordering};

use rusqlite::Connection;
use rusqlite::types::ValueRef;

use super::Work;

/// An index of a table that is read beside the ledger.
pub(super) struct Index {
    name: String,
    pub(super) table: String,
    /// What it holds of each row, by column: its keys and then what tells rows with the same keys apart.
    pub(super) columns: Vec<String>,
    /// How many of them no two rows may share; all of them where it is not unique.
    alone: usize,
    /// Holds only the rows whose first column says something.
    partial: bool,
    in_table: Sum,
    in_index: Sum,
}

/// Rows and the sum of their hashes, in whichever order they come.
#[derive(Default)]
struct Sum {
    rows: AtomicU64,
    hashes: AtomicU64,
}

/// Rows that one thread has read, not yet added to the whole.
#[derive(Clone, Copy, Default)]
pub(super) struct Part {
    rows: u64,
    hashes: u64,
}

impl Sum {
    fn add(&self, part: Part) {
        self.rows.fetch_add(part.rows, Ordering::Relaxed);
        self.hashes.fetch_add(part.hashes, Ordering::Relaxed);
    }

    fn is(&self, other: &Self) -> bool {
        self.rows.load(Ordering::Relaxed) == other.rows.load(Ordering::Relaxed)
            && self.hashes.load(Ordering::Relaxed) == other.hashes.load(Ordering::Relaxed)
    }
}

/// Put a value after others so that the bytes of two rows stand in the order SQLite has them in: no text is the
/// beginning of another, and nothing comes before numbers, numbers before text.
fn write(value: ValueRef<'_>, row: &mut Vec<u8>) {
    let ended = |kind: u8, bytes: &[u8], row: &mut Vec<u8>| {
        row.push(kind);
        if bytes.contains(&0) {
            bytes.iter().for_each(|byte| match byte {
                0 => row.extend([0, 1]),
                byte => row.push(*byte),
            });
        } else {
            row.extend_from_slice(bytes);
        }
        row.extend([0, 0]);
    };
    match value {
        ValueRef::Null => row.push(1),
        ValueRef::Integer(number) => {
            row.push(2);
            row.extend(((number as u64) ^ (1 << 63)).to_be_bytes());
        }
        ValueRef::Real(number) => {
            row.push(2);
            let bits = number.to_bits();
            let up = if bits >> 63 == 0 { bits | (1 << 63) } else { !bits };
            row.extend(up.to_be_bytes());
        }
        ValueRef::Text(bytes) => ended(3, bytes, row),
        ValueRef::Blob(bytes) => ended(4, bytes, row),
    }
}

/// Adds up what tables hold.
pub(super) struct Adder<'w> {
    index: &'w Index,
    keys: &'w RandomState,
    /// Where the columns of the index stand in the rows of the table.
    places: Vec<usize>,
    part: Part,
    row: Vec<u8>,
}

impl<'w> Adder<'w> {
    /// One for each index of a table whose rows come with these columns.
    pub(super) fn of_table(work: &'w Work<'_>, table: &str, columns: &[String]) -> Vec<Self> {
        let mine = work.indexes.iter().filter(|index| index.table == table);
        mine.map(|index| {
            let place =
                |name: &String| columns.iter().position(|column| column == name).unwrap_or(usize::MAX);
            let places = index.columns.iter().map(place).collect();
            Self { index, keys: work.keys, places, part: Part::default(), row: Vec::new() }
        })
        .collect()
    }

    /// Take in a row of the table.
    pub(super) fn take(&mut self, row: &rusqlite::Row<'_>) -> rusqlite::Result<()> {
        self.row.clear();
        for (at, place) in self.places.iter().enumerate() {
            let value = row.get_ref(*place)?;
            if at == 0 && self.index.partial && value == ValueRef::Null {
                return Ok(());
            }
            write(value, &mut self.row);
        }
        self.part.rows += 1;
        self.part.hashes = self.part.hashes.wrapping_add(self.keys.hash_one(&self.row));
        Ok(())
    }
}

impl Drop for Adder<'_> {
    fn drop(&mut self) {
        self.index.in_table.add(self.part);
    }
}

/// Every index of some tables, and the tables with an index that is made in no way known here.
pub(super) fn of_tables(
    connection: &Connection,
    tables: &[String],
) -> rusqlite::Result<(Vec<Index>, Vec<String>)> {
    let (mut indexes, mut others) = (Vec::new(), Vec::new());
    for table in tables {
        let own: Option<String> = connection
            .prepare("SELECT name FROM pragma_table_info(?1) WHERE pk = 1 AND type = 'INTEGER'")?
            .query_map([table], |row| row.get(0))?
            .next()
            .transpose()?;
        let found: Vec<(String, bool, String, bool)> = connection
            .prepare(
                "SELECT i.name, i.\"unique\", i.origin, i.partial FROM pragma_index_list(?1) i ORDER BY i.name",
            )?
            .query_map([table], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?
            .collect::<rusqlite::Result<_>>()?;
        for (name, unique, origin, partial) in found {
            // The primary key of a table without row numbers is the table itself.
            if origin == "pk" {
                continue;
            }
            match made(connection, table, own.as_deref(), &name, unique, partial)? {
                Some(index) => indexes.push(index),
                None => others.push(table.clone()),
            }
        }
    }
    others.dedup();
    Ok((indexes, others))
}

fn made(
    connection: &Connection,
    table: &str,
    own: Option<&str>,
    name: &str,
    unique: bool,
    partial: bool,
) -> rusqlite::Result<Option<Index>> {
    let columns: Vec<(i64, Option<String>, bool, String, bool)> = connection
        .prepare("SELECT cid, name, \"desc\", coll, key FROM pragma_index_xinfo(?1) ORDER BY seqno")?
        .query_map([name], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let mut names = Vec::new();
    for (at, column, down, order, _) in &columns {
        match (column.as_deref().or(own.filter(|_| *at == -1)), down, order.as_str()) {
            (Some(column), false, "BINARY") => names.push(column.to_owned()),
            _ => return Ok(None),
        }
    }
    if partial {
        let made: String = connection.query_row(
            "SELECT ifnull(sql, '') FROM sqlite_schema WHERE type = 'index' AND name = ?1",
            [name],
            |row| row.get(0),
        )?;
        if !made.ends_with(&format!("WHERE {} IS NOT NULL", names.first().map_or("", String::as_str))) {
            return Ok(None);
        }
    }
    let keys = columns.iter().filter(|(.., key)| *key).count();
    Ok(Some(Index {
        name: name.to_owned(),
        table: table.to_owned(),
        alone: if unique { keys } else { names.len() },
        columns: names,
        partial,
        in_table: Sum::default(),
        in_index: Sum::default(),
    }))
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// Read an index from end to end.
pub(super) fn read(connection: &Connection, index: &Index, work: &Work<'_>) -> rusqlite::Result<()> {
    let columns: Vec<String> = index.columns.iter().map(|name| quoted(name)).collect();
    let mut query = format!(
        "SELECT {} FROM {} INDEXED BY {}",
        columns.join(", "),
        quoted(&index.table),
        quoted(&index.name)
    );
    if let (true, Some(first)) = (index.partial, columns.first()) {
        query.push_str(&format!(" WHERE {first} IS NOT NULL"));
    }
    let mut statement = connection.prepare(&query)?;
    let mut rows = statement.query([])?;
    let (mut before, mut row_bytes) = (Vec::new(), Vec::new());
    let mut part = Part::default();
    let (mut before_alone, mut ordered) = (0, true);
    while let Some(row) = rows.next()? {
        row_bytes.clear();
        let mut alone = 0;
        for at in 0..index.columns.len() {
            write(row.get_ref(at)?, &mut row_bytes);
            if at + 1 == index.alone {
                alone = row_bytes.len();
            }
        }
        ordered &= part.rows == 0 || before[..before_alone] < row_bytes[..alone];
        part.rows += 1;
        part.hashes = part.hashes.wrapping_add(work.keys.hash_one(&row_bytes));
        std::mem::swap(&mut before, &mut row_bytes);
        before_alone = alone;
    }
    index.in_index.add(part);
    if !ordered {
        work.fault(None, format!("the index {} of {} is out of order", index.name, index.table));
    }
    Ok(())
}

/// What was read of each index against what was read of its table, when both are read to the end.
pub(super) fn compare(work: &Work<'_>) {
    for index in work.indexes {
        if !index.in_index.is(&index.in_table) {
            work.fault(
                None,
                format!("the index {} does not hold what is in the table {}", index.name, index.table),
            );
        }
    }
}
