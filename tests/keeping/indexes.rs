//! An index that tells another story than its table is found, whichever index it is: a question asked through it would
//! be answered wrongly while every seal is whole.

use std::path::Path;

use proofmark::book::Kind;
use proofmark::store::Book;
use rusqlite::Connection;
use rusqlite::config::DbConfig;

use crate::books::log;

/// A connection that may edit the schema.
fn loose(path: &Path) -> Connection {
    let connection = Connection::open(path).unwrap();
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, false).unwrap();
    connection.pragma_update(None, "writable_schema", true).unwrap();
    connection
}

fn faults(path: &Path) -> Vec<String> {
    Book::open_reading(path).unwrap().verify().unwrap().iter().map(|fault| fault.sentence()).collect()
}

#[test]
fn an_index_that_is_not_of_its_table_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let honest = folder.path().join("honest.db");
    proofmark::demo::write(&honest).unwrap();
    let fields = [("casing", "MF-41-06"), ("text", "a slip")];
    let slip = log(&honest, Kind::Note, "2026-03-01", "Ann Lee", &fields).entries[0].number.to_string();
    log(&honest, Kind::Strike, "2026-03-01", "Ann Lee", &[("entry", &slip), ("reason", "a slip of the pen")]);
    let path = folder.path().join("edited.db");
    let indexes: Vec<(String, String)> = Connection::open(&honest)
        .unwrap()
        .prepare("SELECT name, tbl_name FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    assert!(indexes.len() > 8, "{indexes:?}");
    for (index, table) in &indexes {
        // Its last key goes another way while the table stays as it is: the key is changed with the index there,
        // and changed back with the index hidden.
        std::fs::copy(&honest, &path).unwrap();
        let connection = loose(&path);
        connection.execute_batch("PRAGMA foreign_keys = OFF; DROP TRIGGER entry_is_never_changed").unwrap();
        let (key, unique): (String, String) = connection
            .query_row(
                "SELECT (SELECT name FROM pragma_index_info(?1) WHERE seqno = 0),
                        (SELECT group_concat(quote(name)) FROM pragma_table_info(?2) WHERE pk > 0)",
                [index, table],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .unwrap();
        let unique = unique.replace('\'', "\"");
        let found: rusqlite::Result<(rusqlite::types::Value, String)> = connection.query_row(
            &format!(
                "SELECT \"{key}\", json_array({unique}) FROM \"{table}\" WHERE \"{key}\" IS NOT NULL LIMIT 1"
            ),
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        );
        let Ok((before, which)) = found else { panic!("the demo has nothing in {table}.{key}") };
        let set = format!("UPDATE \"{table}\" SET \"{key}\" = ?1 WHERE json_array({unique}) = ?2");
        // Another value of the same type, as far from the first as the table's own constraints let it be.
        let other = match key.as_str() {
            "happened_on" | "due_on" => "1999-12-31".to_owned(),
            _ => "elsewhere".to_owned(),
        };
        assert_eq!(connection.execute(&set, (&other, &which)).unwrap(), 1, "{index}");
        let row: (String, String, String, i64, String) = connection
            .query_row(
                "SELECT type, name, tbl_name, rootpage, sql FROM sqlite_schema WHERE name = ?1",
                [index],
                |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?)),
            )
            .unwrap();
        connection.execute("DELETE FROM sqlite_schema WHERE name = ?1", [index]).unwrap();
        drop(connection);
        let connection = loose(&path);
        let which = if unique.contains(&format!("\"{key}\"")) {
            connection
                .query_row(
                    &format!("SELECT json_array({unique}) FROM \"{table}\" WHERE \"{key}\" = ?1"),
                    [&other],
                    |row| row.get::<_, String>(0),
                )
                .unwrap()
        } else {
            which
        };
        assert_eq!(connection.execute(&set, (&before, &which)).unwrap(), 1, "{index}");
        connection
            .execute(
                "INSERT INTO sqlite_schema (type, name, tbl_name, rootpage, sql) VALUES (?1, ?2, ?3, ?4, ?5)",
                (&row.0, &row.1, &row.2, row.3, &row.4),
            )
            .unwrap();
        connection
            .execute_batch(
                "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;",
            )
            .unwrap();
        drop(connection);
        let said = faults(&path);
        assert!(said.iter().any(|fault| fault.contains(index.as_str())), "{index}: {said:?}");
        assert!(said.iter().all(|fault| !fault.starts_with("entry ")), "the table is honest: {said:?}");
    }
}

#[test]
fn an_index_out_of_its_order_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("edited.db");
    proofmark::demo::write(&path).unwrap();
    let connection = loose(&path);
    // Two indexes of one table trade their pages: each is whole, and neither is what it is said to be.
    connection
        .execute_batch(
            "CREATE TEMP TABLE kept AS SELECT name, rootpage FROM sqlite_schema WHERE name LIKE 'firing_by_%';
             UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM kept WHERE kept.name <> sqlite_schema.name)
             WHERE name IN (SELECT name FROM kept)",
        )
        .unwrap();
    drop(connection);
    let said = faults(&path).join("\n");
    assert!(said.contains("firing_by_batch") && said.contains("firing_by_load"), "{said}");
}
