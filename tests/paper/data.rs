//! The export: every table read back with the same totals, formula-safe, whole or not there.

use std::collections::BTreeMap;

use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::RowAccessor;
use rusqlite::Connection;
use serde_json::Value;

use super::common::{Shop, trace_file};

/// Rows, and the sum of every numeric column.
type Totals = BTreeMap<String, (i64, BTreeMap<String, f64>)>;

fn columns(book: &Connection, table: &str) -> Vec<(String, String)> {
    let mut statement =
        book.prepare(&format!("SELECT name, upper(type) FROM pragma_table_info('{table}')")).unwrap();
    statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap().map(Result::unwrap).collect()
}

fn totals(book: &Connection, tables: &[String]) -> Totals {
    tables
        .iter()
        .map(|table| {
            let rows =
                book.query_row(&format!("SELECT count(*) FROM \"{table}\""), [], |row| row.get(0)).unwrap();
            let sums = columns(book, table)
                .into_iter()
                .map(|(name, kind)| {
                    let what = if matches!(kind.as_str(), "REAL" | "INTEGER") {
                        format!("\"{name}\"")
                    } else {
                        format!("length(\"{name}\")")
                    };
                    let sum = book
                        .query_row(&format!("SELECT total({what}) FROM \"{table}\""), [], |row| row.get(0))
                        .unwrap();
                    (name, sum)
                })
                .collect();
            (table.clone(), (rows, sums))
        })
        .collect()
}

fn filled() -> Shop {
    let shop = Shop::demo();
    shop.done(&["log", "trace", "--casing", "MF-41-06", "--file", &trace_file("stand_a.csv")]);
    for text in ["=HYPERLINK(\"x\")", "+1", "-1", "@x", "'quoted", "two\nlines, \"quoted\"", "naïve ☐"] {
        shop.done(&["log", "note", "--casing", "MF-41-06", &format!("--text={text}")]);
    }
    shop
}

#[test]
fn sqlite_reads_every_table_back_with_the_same_totals() {
    let shop = filled();
    let manifest = shop.json(&["export", "--out", "taken"]);
    let book = Connection::open(shop.path("book.db")).unwrap();
    let tables: Vec<String> = manifest["tables"].as_object().unwrap().keys().cloned().collect();
    let in_book: i64 = book
        .query_row(
            "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(tables.len() as i64, in_book, "every table is exported");
    let wanted = totals(&book, &tables);

    // From the CSV: typed columns, the apostrophes taken off.
    let back = Connection::open_in_memory().unwrap();
    // From the JSON.
    let document: Value = serde_json::from_str(&shop.read("taken/book.json")).unwrap();
    assert_eq!(document["schema"], 1);
    let from_json = Connection::open_in_memory().unwrap();
    for table in &tables {
        let columns = columns(&book, table);
        let make =
            columns.iter().map(|(name, kind)| format!("\"{name}\" {kind}")).collect::<Vec<_>>().join(", ");
        for connection in [&back, &from_json] {
            connection.execute(&format!("CREATE TABLE \"{table}\" ({make})"), []).unwrap();
        }
        let insert = format!("INSERT INTO \"{table}\" VALUES ({})", vec!["?"; columns.len()].join(", "));
        let mut reader = csv::Reader::from_path(shop.path(&format!("taken/csv/{table}.csv"))).unwrap();
        assert_eq!(
            reader.headers().unwrap().iter().collect::<Vec<_>>(),
            columns.iter().map(|it| it.0.as_str()).collect::<Vec<_>>()
        );
        for record in reader.records() {
            let record = record.unwrap();
            let cells: Vec<Option<String>> = record
                .iter()
                .zip(&columns)
                .map(|(cell, (name, kind))| {
                    if kind == "TEXT" {
                        assert!(
                            !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']),
                            "{table}.{name} begins as a formula: {cell}"
                        );
                    } else if kind != "BLOB" && !cell.is_empty() {
                        assert!(cell.parse::<f64>().is_ok(), "{table}.{name} is a number: {cell}");
                    }
                    let cell = if kind == "TEXT" { cell.strip_prefix('\'').unwrap_or(cell) } else { cell };
                    // Bytes are hexadecimal digits, two a byte.
                    let cell = if kind == "BLOB" { &cell[..cell.len() / 2] } else { cell };
                    (!cell.is_empty()).then(|| cell.to_owned())
                })
                .collect();
            back.execute(&insert, rusqlite::params_from_iter(cells)).unwrap();
        }
        for row in document["tables"][table].as_array().unwrap() {
            let cells: Vec<rusqlite::types::Value> = columns
                .iter()
                .map(|(name, kind)| match &row[name] {
                    Value::Null => rusqlite::types::Value::Null,
                    Value::String(text) if kind == "BLOB" => {
                        rusqlite::types::Value::Blob(vec![0; text.len() / 2])
                    }
                    Value::String(text) => rusqlite::types::Value::Text(text.clone()),
                    Value::Number(number) if number.is_i64() => {
                        rusqlite::types::Value::Integer(number.as_i64().unwrap())
                    }
                    other => rusqlite::types::Value::Real(other.as_f64().unwrap()),
                })
                .collect();
            from_json.execute(&insert, rusqlite::params_from_iter(cells)).unwrap();
        }
        assert_eq!(manifest["tables"][table].as_i64().unwrap(), wanted[table].0, "{table}");
    }
    assert_eq!(totals(&back, &tables), wanted, "CSV");
    assert_eq!(totals(&from_json, &tables), wanted, "JSON");
}

#[test]
fn traces_are_parquet_with_every_reading() {
    let shop = filled();
    let manifest = shop.json(&["export", "--out", "taken"]);
    let trace = manifest["traces"].as_array().unwrap().iter().find(|it| it["file"] == "stand_a.csv").unwrap();
    let reduced = shop.json(&["trace", &trace_file("stand_a.csv")]);
    let file = std::fs::File::open(shop.path("taken").join(trace["parquet"].as_str().unwrap())).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let rows = reader.metadata().file_metadata().num_rows();
    assert_eq!((rows, trace["rows"].as_i64().unwrap()), (reduced["samples"].as_i64().unwrap(), rows));
    let (mut largest, mut last) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for row in reader.get_row_iter(None).unwrap() {
        let row = row.unwrap();
        assert_eq!(row.get_string(2).unwrap(), "MF-41-06");
        assert_eq!(row.get_long(0).unwrap(), trace["entry"].as_i64().unwrap());
        let time = row.get_double(3).unwrap();
        assert!(time >= last);
        last = time;
        largest = largest.max(row.get_double(4).unwrap());
    }
    // As read, no tare taken off.
    let wanted = reduced["largest_reading_n"].as_f64().unwrap();
    assert!((largest - wanted).abs() < 0.02 * wanted, "{largest} {wanted}");
    // The raw bytes are there under their hash.
    let raw = std::fs::read(shop.path("taken/raw").join(trace["sha256"].as_str().unwrap())).unwrap();
    assert_eq!(raw, std::fs::read(trace_file("stand_a.csv")).unwrap());
}

#[test]
fn an_export_never_writes_over_anything() {
    let shop = Shop::demo();
    std::fs::create_dir(shop.path("there")).unwrap();
    shop.write("there/mine.txt", "mine");
    let ran = shop.run(&["export", "--out", "there"]);
    assert!(ran.code == 1 && ran.err.contains("is there already"), "{}", ran.err);
    assert_eq!(shop.read("there/mine.txt"), "mine");
    std::fs::create_dir(shop.path("empty")).unwrap();
    shop.done(&["export", "--out", "empty", "--only", "json"]);
    assert!(shop.path("empty/book.json").exists() && !shop.path("empty/csv").exists());
    let left: Vec<_> = std::fs::read_dir(shop.folder.path())
        .unwrap()
        .filter(|it| it.as_ref().unwrap().file_name().to_string_lossy().contains("partial"))
        .collect();
    assert!(left.is_empty());
    for command in [&["export", "--out", "-"][..], &["report", "--all", "--out", "-"]] {
        let ran = shop.run(command);
        assert!(ran.code == 1 && ran.err.contains("name a folder"), "{}", ran.err);
        assert!(!shop.path("-").exists());
    }
    // Every file is named with its hash.
    shop.done(&["export", "--out", "whole"]);
    let manifest: Value = serde_json::from_str(&shop.read("whole/manifest.json")).unwrap();
    for (name, hash) in manifest["files"].as_object().unwrap() {
        let bytes = std::fs::read(shop.path("whole").join(name)).unwrap();
        assert_eq!(proofmark::book::seal::sha256(&bytes), hash.as_str().unwrap(), "{name}");
    }
}
