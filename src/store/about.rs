//! What a book says of itself, which no seal of an entry covers: its identity, when it was begun, which way its
//! standings were worked out. A sum over all of it stands beside, so that a value edited by hand is noticed.

use rusqlite::{Connection, OptionalExtension};

/// The key the sum stands under.
pub(super) const SUM: &str = "sum";

/// The sum as the values now are.
pub(super) fn sum_of(connection: &Connection) -> rusqlite::Result<String> {
    let lines: Vec<String> = connection
        .prepare_cached("SELECT key, value FROM book WHERE key <> ?1 ORDER BY key")?
        .query_map([SUM], |row| {
            let (key, value): (String, String) = (row.get(0)?, row.get(1)?);
            Ok(format!("{key}\n{value}\n"))
        })?
        .collect::<rusqlite::Result<_>>()?;
    Ok(crate::book::seal::sha256(lines.concat().as_bytes()))
}

/// The sum as it is kept; none in a book that was never written by a program that keeps one.
pub(super) fn kept_sum(connection: &Connection) -> rusqlite::Result<Option<String>> {
    connection.query_row("SELECT value FROM book WHERE key = ?1", [SUM], |row| row.get(0)).optional()
}

/// Change what the book says of itself, and its sum with it. A sum that was wrong before stays wrong: what was edited
/// by hand is not made good by the next change.
pub(super) fn change(
    connection: &Connection,
    with: impl FnOnce(&Connection) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    connection.execute_batch("SAVEPOINT about")?;
    let changed = (|| {
        // Taking the writer's lock first: what is read next is then what is changed.
        connection.execute("DELETE FROM book WHERE key = ''", [])?;
        let right = match kept_sum(connection)? {
            Some(kept) => kept == sum_of(connection)?,
            None => true,
        };
        with(connection)?;
        if right {
            let sum = sum_of(connection)?;
            connection.execute("INSERT OR REPLACE INTO book (key, value) VALUES (?1, ?2)", [SUM, &sum])?;
        }
        Ok(())
    })();
    match changed {
        Ok(()) => connection.execute_batch("RELEASE about"),
        Err(error) => {
            connection.execute_batch("ROLLBACK TO about; RELEASE about")?;
            Err(error)
        }
    }
}

/// Keep a value under a key.
pub(super) fn keep(connection: &Connection, key: &str, value: &str) -> rusqlite::Result<()> {
    change(connection, |connection| {
        connection
            .execute("INSERT OR REPLACE INTO book (key, value) VALUES (?1, ?2)", [key, value])
            .map(|_| ())
    })
}
