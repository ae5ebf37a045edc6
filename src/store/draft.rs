//! Half-typed forms: kept on every change, offered back after a crash, forgotten once the entry is written.

use chrono::{DateTime, Utc};
use rusqlite::OptionalExtension;

use super::{Book, StoreError};
use crate::book::Answers;

impl Book {
    /// Keep a draft.
    ///
    /// # Errors
    /// The book cannot be written.
    pub fn keep_draft(
        &self,
        form: &str,
        subject: &str,
        answers: &Answers,
        at: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT OR REPLACE INTO draft (form, subject, answers, changed_at) VALUES (?1, ?2, ?3, ?4)",
            )
            .and_then(|mut statement| {
                statement.execute([form, subject, &answers.to_json(), &at.to_rfc3339()])
            })
            .map(|_| ())
            .map_err(|error| StoreError::from_sql(&self.path, error))
    }

    /// A draft, where one was kept.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn draft(&self, form: &str, subject: &str) -> Result<Option<Answers>, StoreError> {
        let text: Option<String> = self
            .connection
            .query_row("SELECT answers FROM draft WHERE form = ?1 AND subject = ?2", [form, subject], |row| {
                row.get(0)
            })
            .optional()
            .map_err(|error| StoreError::from_sql(&self.path, error))?;
        Ok(text.as_deref().and_then(Answers::from_json))
    }

    /// Every draft: form and subject.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn drafts(&self) -> Result<Vec<(String, String)>, StoreError> {
        self.connection
            .prepare_cached("SELECT form, subject FROM draft ORDER BY changed_at DESC")
            .and_then(|mut statement| {
                statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect()
            })
            .map_err(|error| StoreError::from_sql(&self.path, error))
    }

    /// Forget a draft.
    ///
    /// # Errors
    /// The book cannot be written.
    pub fn drop_draft(&self, form: &str, subject: &str) -> Result<(), StoreError> {
        self.connection
            .execute("DELETE FROM draft WHERE form = ?1 AND subject = ?2", [form, subject])
            .map(|_| ())
            .map_err(|error| StoreError::from_sql(&self.path, error))
    }
}
