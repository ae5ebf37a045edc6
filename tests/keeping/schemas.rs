//! Every schema a book was ever written in opens with nothing lost. To add one: before a migration, keep a small book
//! written by the program as it is, as `tests/fixtures/*-schema-N.db`; these tests take every file they find there.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use proofmark::store::{Book, SCHEMA_VERSION, StoreError};
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags};

use crate::books::log;

fn fixtures() -> Vec<(u32, PathBuf)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut found: Vec<(u32, PathBuf)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter_map(|path| {
            let stem = path.file_stem()?.to_string_lossy().into_owned();
            let (_, number) = stem.rsplit_once("-schema-")?;
            Some((number.parse().unwrap(), path))
        })
        .collect();
    found.sort();
    found
}

type Rows = Vec<Vec<(String, Value)>>;

/// Every value of every table, by column; a column or table added later is not in an older book.
fn contents(path: &Path) -> BTreeMap<String, Rows> {
    let connection = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    let tables: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let mut all = BTreeMap::new();
    for table in tables {
        let mut statement = connection.prepare(&format!("SELECT * FROM {table}")).unwrap();
        let columns: Vec<String> = statement.column_names().iter().map(|name| (*name).to_owned()).collect();
        let rows = statement
            .query_map([], |row| {
                columns.iter().enumerate().map(|(at, column)| Ok((column.clone(), row.get(at)?))).collect()
            })
            .unwrap()
            .map(Result::unwrap)
            .collect();
        all.insert(table, rows);
    }
    all
}

fn schema_of(path: &Path) -> u32 {
    Connection::open(path).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
}

#[test]
fn every_older_schema_has_a_fixture() {
    let found: Vec<u32> = fixtures().into_iter().map(|(schema, _)| schema).collect();
    for schema in 1..SCHEMA_VERSION {
        assert!(found.contains(&schema), "no fixture of schema {schema} in tests/fixtures");
    }
    for (schema, path) in fixtures() {
        assert_eq!(schema_of(&path), schema, "{}", path.display());
    }
}

#[test]
fn every_older_book_opens_with_nothing_lost_after_a_copy() {
    for (schema, fixture) in fixtures() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.db");
        std::fs::copy(&fixture, &path).unwrap();
        let before = contents(&path);
        assert!(before["entry"].len() > 1, "a fixture with nothing in it shows nothing");
        if schema < SCHEMA_VERSION {
            // Looking does not migrate, and says what does.
            let error = Book::open_reading(&path).err().unwrap();
            assert!(matches!(error, StoreError::Older { .. }), "{error}");
            assert_eq!(schema_of(&path), schema);
        }
        log(
            &path,
            proofmark::book::Kind::Note,
            "2026-10-02",
            "Ann Lee",
            &[("text", "opened by a later program")],
        );
        assert_eq!(schema_of(&path), SCHEMA_VERSION);
        let mut after = contents(&path);
        assert_eq!(after.get_mut("entry").unwrap().pop().unwrap()[4].1, Value::Text("note".to_owned()));
        after.get_mut("note_entry").unwrap().pop();
        // What is worked out may be worked out otherwise by a later program; what was written may not.
        for (table, rows) in before.iter().filter(|(table, _)| table.as_str() != "standing") {
            // Which way of working out the kept standings are of is no more than they are.
            let of_standings = |row: &&Vec<(String, Value)>| {
                table == "book" && row.iter().any(|cell| cell.1 == Value::Text("standings".to_owned()))
            };
            for row in rows.iter().filter(|row| !of_standings(row)) {
                let still_there =
                    after[table].iter().any(|again| row.iter().all(|cell| again.contains(cell)));
                assert!(still_there, "{table}: {row:?} is lost or changed");
            }
            // A book may say more about itself; of what was logged nothing is there twice.
            assert!(table == "book" || rows.len() == after[table].len(), "{table}");
        }
        assert_eq!(Book::open_reading(&path).unwrap().verify().unwrap(), [], "{}", fixture.display());
        if schema < SCHEMA_VERSION {
            let copies: Vec<PathBuf> = std::fs::read_dir(folder.path())
                .unwrap()
                .map(|entry| entry.unwrap().path())
                .filter(|it| it.to_string_lossy().contains(&format!(".schema-{schema}.2026-10-03.copy")))
                .collect();
            assert_eq!(copies.len(), 1, "one copy, named with the schema and the day");
            assert_eq!(contents(&copies[0]), before);
        }
    }
}

#[test]
fn an_older_book_is_merged_restored_and_left_as_it_is() {
    for (_, fixture) in fixtures() {
        let folder = tempfile::tempdir().unwrap();
        let old = folder.path().join("old.db");
        std::fs::copy(&fixture, &old).unwrap();
        let before = std::fs::read(&old).unwrap();
        let path = folder.path().join("book.db");
        log(&path, proofmark::book::Kind::Note, "2026-10-02", "Ann Lee", &[("text", "mine")]);
        let merged = Book::open_writing(&path, None).unwrap().merge(&old, false).unwrap();
        assert_eq!(merged.entries as usize, contents(&old)["entry"].len());
        assert_eq!(Book::open_reading(&path).unwrap().verify().unwrap(), []);
        let restored = folder.path().join("restored.db");
        Book::restore(&old, &restored, uuid::Uuid::now_v7(), chrono::DateTime::UNIX_EPOCH).unwrap();
        assert_eq!(Book::open_reading(&restored).unwrap().verify().unwrap(), []);
        assert_eq!(std::fs::read(&old).unwrap(), before);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3, "nothing half-made is left");
    }
}
