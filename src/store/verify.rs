//! Can it be trusted? Every seal, every typed row, every raw file and every kept standing, worked out again.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde_json::Value;

use super::project::{Cell, project};
use super::{Book, StoreError};
use crate::book::{Kind, seal};
use crate::standing::{self, History};

/// Something that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The entry, where it is one.
    pub entry: Option<i64>,
    /// What is wrong.
    pub what: String,
}

impl Book {
    /// Work everything out again and report every difference.
    ///
    /// # Errors
    /// The book cannot be read at all.
    pub fn verify(&self) -> Result<Vec<Fault>, StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut faults = Vec::new();
        let whole: String =
            self.connection.query_row("PRAGMA integrity_check(5)", [], |row| row.get(0)).map_err(sql)?;
        if whole != "ok" {
            faults.push(Fault { entry: None, what: format!("the file is damaged: {whole}") });
        }
        let loose: i64 = self
            .connection
            .query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| row.get(0))
            .map_err(sql)?;
        if loose > 0 {
            faults.push(Fault { entry: None, what: format!("{loose} rows belong to no entry") });
        }
        self.verify_entries(&mut faults)?;
        self.verify_files(&mut faults)?;
        self.verify_standings(&mut faults)?;
        Ok(faults)
    }

    fn verify_entries(&self, faults: &mut Vec<Fault>) -> Result<(), StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut statement = self
            .connection
            .prepare(
                "SELECT number, id, origin, sequence, kind, subject_of, subject, happened_on, date_approximate,
                        recorded_at, recorded_by, second, strikes, body, seal
                 FROM entry ORDER BY origin, sequence",
            )
            .map_err(sql)?;
        let mut rows = statement.query([]).map_err(sql)?;
        let mut chains: BTreeMap<String, (i64, String)> = BTreeMap::new();
        while let Some(row) = rows.next().map_err(sql)? {
            let number: i64 = row.get(0).map_err(sql)?;
            let text = |at: usize| row.get::<_, String>(at).map_err(sql);
            let origin = text(2)?;
            let sequence: i64 = row.get(3).map_err(sql)?;
            let body = text(13)?;
            let kind_word = text(4)?;
            let (last, previous) = chains.get(&origin).cloned().unwrap_or((0, seal::FIRST.to_owned()));
            if sequence != last + 1 {
                faults.push(Fault {
                    entry: Some(number),
                    what: format!("an entry before it is missing ({} of its origin)", last + 1),
                });
            }
            let stored = text(14)?;
            let second = row.get::<_, Option<String>>(11).map_err(sql)?;
            let sealed = seal::SealedHead {
                date_approximate: row.get(8).map_err(sql)?,
                happened_on: &text(7)?,
                id: &text(1)?,
                kind: &kind_word,
                origin: &origin,
                recorded_at: &text(9)?,
                recorded_by: &text(10)?,
                second: second.as_deref(),
                sequence,
                subject: &text(6)?,
                subject_of: &text(5)?,
            }
            .with_body(&body);
            if seal::seal(&previous, &sealed) != stored {
                faults.push(Fault {
                    entry: Some(number),
                    what: "its seal is broken: something in it was changed".to_owned(),
                });
            }
            chains.insert(origin, (sequence, stored));
            let Some(kind) = Kind::from_word(&kind_word) else {
                faults.push(Fault { entry: Some(number), what: format!("unknown kind {kind_word}") });
                continue;
            };
            let Ok(value) = serde_json::from_str::<Value>(&body) else {
                faults.push(Fault { entry: Some(number), what: "its body is not readable".to_owned() });
                continue;
            };
            let strikes: Option<String> = row.get(12).map_err(sql)?;
            let sealed_strike = value.get("strikes").and_then(Value::as_str).filter(|_| kind == Kind::Strike);
            if strikes.as_deref() != sealed_strike {
                faults.push(Fault { entry: Some(number), what: "what it strikes was changed".to_owned() });
            }
            self.verify_rows(number, kind, &value, faults)?;
        }
        Ok(())
    }

    /// The typed rows of an entry against its sealed body: same tables, same rows, same values, none more.
    fn verify_rows(
        &self,
        number: i64,
        kind: Kind,
        body: &Value,
        faults: &mut Vec<Fault>,
    ) -> Result<(), StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut expected: BTreeMap<String, Vec<Vec<(String, Cell)>>> = BTreeMap::new();
        for row in project(kind, body) {
            expected.entry(row.table).or_default().push(row.cells);
        }
        for child in ["reading", "entry_part", "strip_item", "prefire_item"] {
            expected.entry(child.to_owned()).or_default();
        }
        for (table, rows) in expected {
            let mut statement = self
                .connection
                .prepare_cached(&format!("SELECT * FROM {table} WHERE entry = ?1"))
                .map_err(sql)?;
            let columns: Vec<String> =
                statement.column_names().iter().map(|name| (*name).to_owned()).collect();
            let mut stored = Vec::new();
            let mut found = statement.query([number]).map_err(sql)?;
            while let Some(row) = found.next().map_err(sql)? {
                let mut cells = Vec::new();
                for (at, column) in columns.iter().enumerate().filter(|(_, column)| *column != "entry") {
                    use rusqlite::types::ValueRef;
                    match row.get_ref(at).map_err(sql)? {
                        ValueRef::Null => {}
                        ValueRef::Integer(value) => cells.push((column.clone(), Cell::Whole(value))),
                        ValueRef::Real(value) => cells.push((column.clone(), Cell::Real(value))),
                        ValueRef::Text(value) => {
                            cells.push((
                                column.clone(),
                                Cell::Text(String::from_utf8_lossy(value).into_owned()),
                            ));
                        }
                        ValueRef::Blob(_) => {}
                    }
                }
                cells.sort_by(|a, b| a.0.cmp(&b.0));
                stored.push(cells);
            }
            let mut wanted = rows;
            for cells in &mut wanted {
                cells.sort_by(|a, b| a.0.cmp(&b.0));
            }
            let order = |cells: &Vec<(String, Cell)>| format!("{cells:?}");
            stored.sort_by_key(order);
            wanted.sort_by_key(order);
            if stored != wanted {
                faults.push(Fault {
                    entry: Some(number),
                    what: format!("its values in the table {table} are not the sealed ones"),
                });
            }
        }
        Ok(())
    }

    fn verify_files(&self, faults: &mut Vec<Fault>) -> Result<(), StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut statement =
            self.connection.prepare("SELECT entry, sha256 FROM trace_entry ORDER BY entry").map_err(sql)?;
        let traces: Vec<(i64, String)> = statement
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .and_then(Iterator::collect)
            .map_err(sql)?;
        for (entry, sha256) in traces {
            let what = match self.raw_file(&sha256) {
                Ok(Some(bytes)) if seal::sha256(&bytes) == sha256 => continue,
                Ok(Some(_)) => "the kept bytes of its trace are not the ones read".to_owned(),
                Ok(None) => "the kept bytes of its trace are missing".to_owned(),
                Err(error) => error.to_string(),
            };
            faults.push(Fault { entry: Some(entry), what });
        }
        Ok(())
    }

    fn verify_standings(&self, faults: &mut Vec<Fault>) -> Result<(), StoreError> {
        let rules = self.rules_on(NaiveDate::MAX)?;
        for casing in self.names(crate::book::SubjectOf::Casing)? {
            let entries = self.history(&casing)?;
            let again = standing::assess(
                History { serial: &casing, entries: &entries, rules: &rules },
                NaiveDate::MAX,
            );
            // Held against each other as text: what is kept is the JSON itself.
            let kept = self.kept_assessment(&casing).ok().flatten();
            let same =
                kept.and_then(|kept| serde_json::to_string(&kept).ok()) == serde_json::to_string(&again).ok();
            if !same {
                faults.push(Fault {
                    entry: None,
                    what: format!("the kept standing of {casing} is not what its entries give"),
                });
            }
        }
        Ok(())
    }
}
