//! A book changed behind the program's back, byte by byte or cell by cell. Opening, reading, verifying and examining it
//! never panics; one that verifies holds, word for word, what it held, under the seal it had.
#![no_main]

use std::path::PathBuf;
use std::sync::OnceLock;

use libfuzzer_sys::arbitrary::{self, Arbitrary};
use libfuzzer_sys::fuzz_target;
use proofmark::store::{Book, examine};
use proofmark_fuzz::{honest, today};

#[derive(Debug, Arbitrary)]
enum Cell {
    Nothing,
    Whole(i64),
    Real(f64),
    Text(String),
    Bytes(Vec<u8>),
}

#[derive(Debug, Arbitrary)]
enum Change {
    /// Bytes anywhere in the file.
    Bytes(u32, Vec<u8>),
    /// A cell: table, row, column.
    Cell(u8, u8, u8, Cell),
    /// A few letters within a text cell.
    Letters(u8, u8, u8, u16, String),
    /// A row taken out.
    Row(u8, u8),
    /// The file cut short.
    Short(u32),
}

struct Kept {
    bytes: Vec<u8>,
    seal: Option<String>,
    told: Vec<String>,
    tables: Vec<(String, Vec<String>)>,
    folder: tempfile::TempDir,
}

/// Every cell of what a book keeps, as text.
fn told(book: &Book) -> Option<Vec<String>> {
    let mut all = Vec::new();
    for table in book.tables().ok()? {
        book.walk(&table, |values| -> Result<(), ()> {
            all.push(format!("{} {values:?}", table.name));
            Ok(())
        })
        .ok()?;
    }
    Some(all)
}

fn kept() -> &'static Kept {
    static KEPT: OnceLock<Kept> = OnceLock::new();
    KEPT.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let path = honest(folder.path(), "honest.db");
        let book = Book::open_reading(&path).unwrap();
        let tables = book
            .tables()
            .unwrap()
            .into_iter()
            .map(|it| (it.name, it.columns.into_iter().map(|column| column.name).collect()))
            .collect();
        Kept {
            bytes: std::fs::read(&path).unwrap(),
            seal: book.head_seal().unwrap(),
            told: told(&book).unwrap(),
            tables,
            folder,
        }
    })
}

fn change_rows(path: &PathBuf, changes: &[Change]) {
    let kept = kept();
    let Ok(connection) = rusqlite::Connection::open(path) else { return };
    let _ = connection.pragma_update(None, "journal_mode", "off");
    let _ = connection.pragma_update(None, "synchronous", "off");
    let _ = connection.pragma_update(None, "foreign_keys", false);
    let _ = connection.pragma_update(None, "ignore_check_constraints", true);
    // The triggers that keep the ledger are put back, as whoever covers his tracks would.
    let triggers: Vec<(String, String)> = connection
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .and_then(|mut it| it.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect())
        .unwrap_or_default();
    for (name, _) in &triggers {
        let _ = connection.execute(&format!("DROP TRIGGER \"{name}\""), []);
    }
    for change in changes {
        let at = |table: &u8, row: &u8| {
            let (name, columns) = &kept.tables[usize::from(*table) % kept.tables.len()];
            // By every column: some tables have no row numbers.
            let all = columns.iter().map(|it| format!("\"{it}\"")).collect::<Vec<_>>().join(", ");
            let found = format!(
                "({all}) IS (SELECT {all} FROM \"{name}\" LIMIT 1
                 OFFSET {row} % (SELECT max(count(*), 1) FROM \"{name}\"))"
            );
            (name, columns, found)
        };
        let _ = match change {
            Change::Cell(table, row, column, cell) => {
                let (name, columns, found) = at(table, row);
                let column = &columns[usize::from(*column) % columns.len()];
                let value: rusqlite::types::Value = match cell {
                    Cell::Nothing => rusqlite::types::Value::Null,
                    Cell::Whole(number) => (*number).into(),
                    Cell::Real(number) => (*number).into(),
                    Cell::Text(text) => text.clone().into(),
                    Cell::Bytes(bytes) => bytes.clone().into(),
                };
                connection.execute(&format!("UPDATE \"{name}\" SET \"{column}\" = ?1 WHERE {found}"), [value])
            }
            Change::Letters(table, row, column, place, letters) => {
                let (name, columns, found) = at(table, row);
                let column = &columns[usize::from(*column) % columns.len()];
                connection.execute(
                    &format!(
                        "UPDATE \"{name}\" SET \"{column}\" = substr(\"{column}\", 1, ?1 % (1 + length(\"{column}\"))) || ?2 ||
                         substr(\"{column}\", 1 + length(?2) + ?1 % (1 + length(\"{column}\"))) WHERE {found} AND typeof(\"{column}\") = 'text'"
                    ),
                    rusqlite::params![place, letters],
                )
            }
            Change::Row(table, row) => {
                let (name, _, found) = at(table, row);
                connection.execute(&format!("DELETE FROM \"{name}\" WHERE {found}"), [])
            }
            _ => Ok(0),
        };
    }
    for (_, sql) in &triggers {
        let _ = connection.execute(sql, []);
    }
}

fuzz_target!(|changes: Vec<Change>| {
    let kept = kept();
    let path = kept.folder.path().join("edited.db");
    let mut bytes = kept.bytes.clone();
    for change in &changes {
        match change {
            Change::Bytes(at, with) => {
                let at = *at as usize % bytes.len();
                let to = (at + with.len()).min(bytes.len());
                bytes[at..to].copy_from_slice(&with[..to - at]);
            }
            Change::Short(to) => bytes.truncate((*to as usize % kept.bytes.len()).max(1)),
            _ => {}
        }
    }
    std::fs::write(&path, &bytes).unwrap();
    if changes.iter().any(|it| !matches!(it, Change::Bytes(..) | Change::Short(_))) {
        change_rows(&path, &changes);
    }
    let examined = examine(&path, today().and_hms_opt(12, 0, 0).unwrap().and_utc());
    let Ok(book) = Book::open_reading(&path) else { return assert!(!examined.well()) };
    let _ = book.rack(chrono::NaiveDate::MAX);
    let _ = book.history("MF-1");
    let _ = book.rules_on(today());
    let _ = book.conflicts_by_name();
    if book.verify().is_ok_and(|faults| faults.is_empty()) {
        assert_eq!(book.head_seal().unwrap(), kept.seal);
        assert_eq!(told(&book).as_ref(), Some(&kept.told));
    }
});
