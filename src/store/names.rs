//! The names on record: which there are, which look alike.

use std::collections::BTreeSet;

use super::{Book, StoreError};
use crate::book::form::nearest;
use crate::book::{SubjectOf, alike};

impl Book {
    /// Serials or names on record of a kind, in order.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn names(&self, of: SubjectOf) -> Result<Vec<String>, StoreError> {
        let kind = match of {
            SubjectOf::Casing => "casing",
            SubjectOf::Part => "part",
            SubjectOf::Load => "load",
            SubjectOf::Batch => "batch",
            SubjectOf::Gauge => "gauge",
            SubjectOf::Person => "person",
            SubjectOf::Rule | SubjectOf::Book => return Ok(Vec::new()),
        };
        let list = |query: &str| -> Result<Vec<String>, StoreError> {
            self.connection
                .prepare_cached(query)
                .and_then(|mut statement| statement.query_map([kind], |row| row.get(0))?.collect())
                .map_err(|error| self.sql(error))
        };
        // A record is always about the thing it registers, so the index by kind alone answers.
        let mut names = list("SELECT DISTINCT subject FROM entry WHERE kind = ?1 ORDER BY subject")?;
        let struck = list(
            // CROSS: from the few strikes to what they strike, never from every record of the kind to its strike.
            "SELECT DISTINCT e.subject FROM entry s CROSS JOIN entry e ON e.id = s.strikes
             WHERE s.strikes IS NOT NULL AND e.kind = ?1",
        )?;
        let mut gone = BTreeSet::new();
        for name in struck {
            if !self.knows(of, &name)? {
                gone.insert(name);
            }
        }
        names.retain(|name| !gone.contains(name));
        Ok(names)
    }

    /// A serial or name on record that is the same but for letter case and blanks.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn alike(&self, of: SubjectOf, name: &str) -> Result<Option<String>, StoreError> {
        let answer = self.remembered("alike", format!("{of} {name}"), || self.find_alike(of, name))?;
        Ok((*answer).clone())
    }

    /// The serial or name on record nearest to a mistyped one.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn nearest(&self, of: SubjectOf, name: &str) -> Result<Option<String>, StoreError> {
        let answer = self.remembered("nearest", format!("{of} {name}"), || {
            let names = self.names(of)?;
            Ok::<_, StoreError>(nearest(name, names.iter().map(String::as_str)).map(str::to_owned))
        })?;
        Ok((*answer).clone())
    }

    fn find_alike(&self, of: SubjectOf, name: &str) -> Result<Option<String>, StoreError> {
        let (wanted, upper) = (alike::mark(name), alike::mark(&name.to_uppercase()));
        let mut statement = self
            .connection
            .prepare_cached("SELECT DISTINCT subject FROM entry WHERE kind = ?1 ORDER BY subject")
            .map_err(|error| self.sql(error))?;
        let mut rows = statement.query([of.word()]).map_err(|error| self.sql(error))?;
        while let Some(row) = rows.next().map_err(|error| self.sql(error))? {
            let known = row
                .get_ref(0)
                .and_then(|it| it.as_str().map_err(Into::into))
                .map_err(|error| self.sql(error))?;
            let looks = alike::mark(known) == wanted || alike::mark(&known.to_uppercase()) == upper;
            if looks && self.knows(of, known)? {
                return Ok(Some(known.to_owned()));
            }
        }
        Ok(None)
    }

    /// Whether a serial or name is on record and not struck.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn knows(&self, of: SubjectOf, name: &str) -> Result<bool, StoreError> {
        self.connection
            .prepare_cached(
                "SELECT EXISTS (SELECT 1 FROM entry e WHERE e.subject_of = ?1 AND e.subject = ?2 AND e.kind = ?1
                   AND NOT EXISTS (SELECT 1 FROM entry s WHERE s.strikes = e.id))",
            )
            .and_then(|mut statement| statement.query_row([of.word(), name], |row| row.get(0)))
            .map_err(|error| self.sql(error))
    }
}
