//! Every table of the book, row by row, for taking it elsewhere; and a copy in no file, for trying things out.

use std::path::PathBuf;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;
use rusqlite::types::ValueRef;

use super::{Book, StoreError};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// Text.
    Text,
    /// A whole number.
    Integer,
    /// A real number.
    Real,
    /// Bytes.
    Blob,
}

impl ColumnKind {
    /// As SQL writes it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Text => "TEXT",
            Self::Integer => "INTEGER",
            Self::Real => "REAL",
            Self::Blob => "BLOB",
        }
    }
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub kind: ColumnKind,
}

/// A table of the book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Its name.
    pub name: String,
    /// Its columns, in order.
    pub columns: Vec<Column>,
}

/// One value of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'a> {
    /// Nothing.
    Null,
    /// Text.
    Text(&'a str),
    /// A whole number.
    Integer(i64),
    /// A real number.
    Real(f64),
    /// Bytes.
    Blob(&'a [u8]),
}

/// Why walking a table ended early.
#[derive(Debug)]
pub enum WalkError<E> {
    /// The book.
    Store(StoreError),
    /// Whoever took the rows.
    Taker(E),
}

impl Book {
    /// Every table, in order of name.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn tables(&self) -> Result<Vec<Table>, StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut statement = self
            .connection
            .prepare(
                "SELECT t.name, c.name, upper(c.type) FROM sqlite_schema t, pragma_table_info(t.name) c
                 WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite_%' ORDER BY t.name, c.cid",
            )
            .map_err(sql)?;
        let mut rows = statement.query([]).map_err(sql)?;
        let mut tables: Vec<Table> = Vec::new();
        while let Some(row) = rows.next().map_err(sql)? {
            let table: String = row.get(0).map_err(sql)?;
            let kind: String = row.get(2).map_err(sql)?;
            let column = Column {
                name: row.get(1).map_err(sql)?,
                kind: match kind.as_str() {
                    "INTEGER" => ColumnKind::Integer,
                    "REAL" => ColumnKind::Real,
                    "BLOB" => ColumnKind::Blob,
                    _ => ColumnKind::Text,
                },
            };
            match tables.last_mut() {
                Some(last) if last.name == table => last.columns.push(column),
                _ => tables.push(Table { name: table, columns: vec![column] }),
            }
        }
        Ok(tables)
    }

    /// Every table walked as one moment sees it, whoever else writes meanwhile.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn at_one_moment<T>(&self, read: impl FnOnce() -> T) -> Result<T, StoreError> {
        let transaction = self
            .connection
            .unchecked_transaction()
            .map_err(|error| StoreError::from_sql(self.path(), error))?;
        let result = read();
        drop(transaction);
        Ok(result)
    }

    /// Every row of a table, in the order of its key.
    ///
    /// # Errors
    /// The book cannot be read, or `take` gave an error.
    pub fn walk<E>(
        &self,
        table: &Table,
        mut take: impl FnMut(&[Value<'_>]) -> Result<(), E>,
    ) -> Result<u64, WalkError<E>> {
        let sql = |error| WalkError::Store(StoreError::from_sql(self.path(), error));
        let quoted = |name: &str| format!("\"{}\"", name.replace('"', "\"\""));
        let columns: Vec<String> = table.columns.iter().map(|column| quoted(&column.name)).collect();
        let order = if table.columns.len() > 1 { "1, 2" } else { "1" };
        let query = format!("SELECT {} FROM {} ORDER BY {order}", columns.join(", "), quoted(&table.name));
        let mut statement = self.connection.prepare(&query).map_err(sql)?;
        let mut rows = statement.query([]).map_err(sql)?;
        let mut count = 0;
        while let Some(row) = rows.next().map_err(sql)? {
            let mut values = Vec::with_capacity(table.columns.len());
            for at in 0..table.columns.len() {
                values.push(match row.get_ref(at).map_err(sql)? {
                    ValueRef::Null => Value::Null,
                    ValueRef::Integer(number) => Value::Integer(number),
                    ValueRef::Real(number) => Value::Real(number),
                    ValueRef::Text(bytes) => Value::Text(std::str::from_utf8(bytes).map_err(|_| {
                        WalkError::Store(StoreError::Damaged {
                            path: self.path().to_path_buf(),
                            why: format!(
                                "{}.{} holds text that is not UTF-8",
                                table.name, table.columns[at].name
                            ),
                        })
                    })?),
                    ValueRef::Blob(bytes) => Value::Blob(bytes),
                });
            }
            take(&values).map_err(WalkError::Taker)?;
            count += 1;
        }
        Ok(count)
    }

    /// A copy in no file: what is written there is gone with it. The book itself is only read.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn scratch(&self) -> Result<Book, StoreError> {
        let sql = |error| StoreError::from_sql(self.path(), error);
        let mut connection = Connection::open_in_memory().map_err(sql)?;
        Backup::new(&self.connection, &mut connection)
            .and_then(|backup| backup.run_to_completion(1024, Duration::ZERO, None))
            .map_err(sql)?;
        connection.pragma_update(None, "foreign_keys", true).map_err(sql)?;
        Ok(self.beside(connection, PathBuf::from(":memory:")))
    }
}
