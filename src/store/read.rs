//! Reading the book: histories, lists, one entry.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::io::Read;
use std::path::Path;

use chrono::{DateTime, NaiveDate, Utc};
use flate2::read::ZlibDecoder;
use rusqlite::{Connection, OptionalExtension, Row, params};
use uuid::Uuid;

use super::{Book, StoreError};
use crate::book::details::LoadRecord;
use crate::book::{
    Decision, Details, Entry, EntryId, Kind, NewEntry, Standing, Subject, SubjectOf, in_order,
};
use crate::standing::{Assessment, Conflict, Due, EntryRef, Reason, RuleSet, conflicts, rules::RuleChange};

pub(super) const COLUMNS: &str =
    "number, id, origin, sequence, kind, subject_of, subject, happened_on, date_approximate,
                       recorded_at, recorded_by, second, body, seal";

/// One line of the rack, from the kept standing.
#[derive(Clone, Debug, PartialEq)]
pub struct RackRow {
    /// The casing.
    pub serial: String,
    /// What people call it.
    pub name: Option<String>,
    /// Its standing on the day asked.
    pub standing: Standing,
    /// Firings.
    pub firings: u32,
    /// The weakest mode on paper.
    pub weakest: Option<String>,
    /// Its factor on the MEOP in force.
    pub factor: Option<f64>,
    /// The last day the proof is good for.
    pub due_on: Option<NaiveDate>,
    /// Firings left before something is due.
    pub firings_left: Option<u32>,
    /// The last firing.
    pub last_fired: Option<NaiveDate>,
}

/// An entry as a list shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryLine {
    /// The entry.
    pub entry: Entry,
    /// The entry that crossed it out, where one did.
    pub struck_by: Option<i64>,
    /// The entry of another book about the same thing that says otherwise, where nobody has settled it.
    pub differs_from: Option<i64>,
    /// Of a firing: why its peak is known only from below, where its trace is cut off at the top.
    pub peak_cut_off: Option<String>,
}

/// Which entries to list.
#[derive(Clone, Debug)]
pub enum Filter {
    /// Everything about a subject.
    About(Subject),
    /// A casing and every part it has had.
    CasingAndParts(String),
    /// One kind.
    OfKind(Kind),
}

pub(super) fn entry_from(row: &Row<'_>, path: &Path) -> Result<Entry, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let number: i64 = row.get(0).map_err(sql)?;
    let damaged =
        |why: String| StoreError::Damaged { path: path.to_path_buf(), why: format!("entry {number}: {why}") };
    let text = |at: usize| -> Result<String, StoreError> { row.get(at).map_err(sql) };
    let uuid = |at: usize| -> Result<Uuid, StoreError> {
        Uuid::parse_str(&text(at)?).map_err(|error| damaged(error.to_string()))
    };
    let kind = Kind::from_word(&text(4)?).ok_or_else(|| damaged("unknown kind".to_owned()))?;
    let subject_of = SubjectOf::from_word(&text(5)?).ok_or_else(|| damaged("unknown subject".to_owned()))?;
    let happened_on = text(7)?.parse::<NaiveDate>().map_err(|error| damaged(error.to_string()))?;
    let recorded_at = DateTime::parse_from_rfc3339(&text(9)?).map_err(|error| damaged(error.to_string()))?;
    let body = row.get_ref(12).and_then(|it| it.as_str().map_err(Into::into)).map_err(sql)?;
    let details = Details::from_json(kind, body).map_err(|error| damaged(error.to_string()))?;
    let seen = crate::book::seal::seen_in(body).map_err(|error| damaged(error.to_string()))?;
    Ok(Entry {
        seen,
        number,
        id: EntryId(uuid(1)?),
        origin: uuid(2)?,
        sequence: row.get(3).map_err(sql)?,
        recorded_at: recorded_at.with_timezone(&Utc),
        entry: NewEntry {
            subject: Subject { of: subject_of, name: text(6)? },
            happened_on,
            date_approximate: row.get(8).map_err(sql)?,
            recorded_by: text(10)?,
            second: row.get(11).map_err(sql)?,
            details,
        },
        seal: text(13)?,
    })
}

pub(super) fn entries(
    connection: &Connection,
    path: &Path,
    query: &str,
    with: impl rusqlite::Params,
) -> Result<Vec<Entry>, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let mut statement = connection.prepare_cached(query).map_err(sql)?;
    let mut rows = statement.query(with).map_err(sql)?;
    let mut found = Vec::new();
    while let Some(row) = rows.next().map_err(sql)? {
        found.push(entry_from(row, path)?);
    }
    Ok(found)
}

/// Every entry that can bear on a casing, as [`crate::standing::History`] asks for them, in order of arrival.
pub(super) fn history(connection: &Connection, casing: &str, path: &Path) -> Result<Vec<Entry>, StoreError> {
    let sql = |error| StoreError::from_sql(path, error);
    let about = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
    let mut found = entries(connection, path, &about, ["casing", casing])?;
    let parts: Vec<String> = connection
        .prepare_cached("SELECT DISTINCT part FROM fit_entry WHERE casing = ?1")
        .and_then(|mut statement| statement.query_map([casing], |row| row.get(0))?.collect())
        .map_err(sql)?;
    if !parts.is_empty() {
        // What a part saw, here (which is known already) or in another casing.
        let seen = format!(
            "SELECT {COLUMNS} FROM entry WHERE number IN (SELECT entry FROM entry_part WHERE part = ?1)
               AND NOT (subject_of = 'casing' AND subject = ?2)"
        );
        for part in &parts {
            found.extend(entries(connection, path, &about, ["part", part])?);
            found.extend(entries(connection, path, &seen, [part.as_str(), casing])?);
        }
        // A part of a retired casing stays that casing's until it is released: its retirement comes along.
        let retired = format!(
            "SELECT {COLUMNS} FROM entry WHERE kind = 'disposition' AND subject_of = 'casing' AND subject IN (
                 SELECT other.casing FROM fit_entry here JOIN fit_entry other ON other.part = here.part
                 WHERE here.casing = ?1 AND other.casing <> ?1)"
        );
        let others = entries(connection, path, &retired, [casing])?;
        found.extend(others.into_iter().filter(|entry| match &entry.entry.details {
            Details::Disposition(decision) => decision.decision == Decision::Retire,
            _ => false,
        }));
        let mut there = BTreeSet::new();
        found.retain(|entry| there.insert(entry.number));
    }
    // What a proof's pressure gauge was worth that day.
    let gauges: BTreeSet<String> = found
        .iter()
        .filter_map(|entry| match &entry.entry.details {
            Details::Proof(proof) if proof.casing == casing => proof.gauge.clone(),
            _ => None,
        })
        .collect();
    for gauge in &gauges {
        let calibrated = format!("{about} AND kind = 'gauge'");
        found.extend(entries(connection, path, &calibrated, ["gauge", gauge])?);
    }
    strikes_of(connection, path, &mut found)?;
    found.sort_by_key(|entry| entry.number);
    Ok(found)
}

/// What crosses out any of these entries, whatever it is filed under.
fn strikes_of(connection: &Connection, path: &Path, found: &mut Vec<Entry>) -> Result<(), StoreError> {
    let any: bool = connection
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM entry WHERE strikes IS NOT NULL)")
        .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
        .map_err(|error| StoreError::from_sql(path, error))?;
    if !any {
        return Ok(());
    }
    let mut there: BTreeSet<i64> = found.iter().map(|entry| entry.number).collect();
    let query = format!("SELECT {COLUMNS} FROM entry WHERE strikes = ?1");
    for at in 0..found.len() {
        for strike in entries(connection, path, &query, [found[at].id.to_string()])? {
            if there.insert(strike.number) {
                found.push(strike);
            }
        }
    }
    Ok(())
}

/// The rules in force on a day.
pub(super) fn rules_on(connection: &Connection, day: NaiveDate, path: &Path) -> Result<RuleSet, StoreError> {
    let query = format!(
        "SELECT {COLUMNS} FROM entry WHERE subject_of = 'rule' AND happened_on <= ?1 AND kind = 'rule'
           AND id NOT IN (SELECT strikes FROM entry WHERE strikes IS NOT NULL)"
    );
    // A day far in the future is written with a sign that would sort before every year.
    let day = day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day));
    let mut rules = RuleSet::new();
    let mut changes = entries(connection, path, &query, [day.to_string()])?;
    in_order(&mut changes, |entry| entry);
    let apart = conflicts(&changes, None, &rules, NaiveDate::MAX);
    for entry in changes {
        let at = EntryRef::from(&entry);
        if let Details::Rule(change) = &entry.entry.details {
            rules.change(
                &change.rule,
                RuleChange {
                    value: change.value,
                    reason: change.reason.clone(),
                    by: entry.entry.recorded_by.clone(),
                    entry: at,
                },
            );
        }
    }
    rules.dispute(apart);
    Ok(rules)
}

/// The seal of the whole book.
pub(super) fn head_seal(connection: &Connection) -> rusqlite::Result<Option<String>> {
    let chains = super::append::chains(connection)?;
    Ok(match chains.as_slice() {
        [] => None,
        [one] => Some(one.seal.clone()),
        several => {
            let lines: String =
                several.iter().map(|it| format!("{} {} {}\n", it.origin, it.last, it.seal)).collect();
            Some(crate::book::seal::sha256(lines.as_bytes()))
        }
    })
}

/// The part of a kept assessment that a list shows.
#[derive(Clone, Debug, serde::Deserialize)]
pub struct KeptWhy {
    /// Every reason, worst first; those of a later day carry it.
    pub reasons: Vec<Reason>,
    /// What is due next.
    pub due: Vec<Due>,
    /// Things every later page must say.
    pub flags: Vec<String>,
}

impl Book {
    pub(super) fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::from_sql(&self.path, error)
    }

    /// Every entry that can bear on a casing.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn history(&self, casing: &str) -> Result<Vec<Entry>, StoreError> {
        history(&self.connection, casing, &self.path)
    }

    /// The rules in force on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rules_on(&self, day: NaiveDate) -> Result<RuleSet, StoreError> {
        rules_on(&self.connection, day, &self.path)
    }

    /// The last day anything on record happened.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_day(&self) -> Result<Option<NaiveDate>, StoreError> {
        let day: Option<String> = self
            .connection
            .query_row("SELECT max(happened_on) FROM entry", [], |row| row.get(0))
            .map_err(|error| self.sql(error))?;
        Ok(day.and_then(|day| day.parse().ok()))
    }

    /// The number of the last entry and how many there are.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn size(&self) -> Result<(i64, i64), StoreError> {
        self.connection
            .query_row("SELECT ifnull(max(number), 0), count(*) FROM entry", [], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .map_err(|error| self.sql(error))
    }

    /// The seal of the whole book: the last seal of its chain, or, where it holds the chains of several books, the
    /// hash of all their last seals. Two books with the same entries have the same.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn head_seal(&self) -> Result<Option<String>, StoreError> {
        head_seal(&self.connection).map_err(|error| self.sql(error))
    }

    /// The rack on a day that is not before anything on record, from the kept standings.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn rack(&self, day: NaiveDate) -> Result<Vec<RackRow>, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT casing, name, worst, later, firings, weakest, factor, due_on, firings_left, last_fired
                 FROM standing ORDER BY casing",
            )
            .map_err(|error| self.sql(error))?;
        let day = day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day)).to_string();
        let rows = statement
            .query_map([], |row| {
                let text = |at: usize| row.get_ref(at).and_then(|it| it.as_str().map_err(Into::into));
                let standing = standing_at(text(2)?, text(3)?, &day);
                let date = |text: Option<String>| text.and_then(|text| text.parse().ok());
                Ok(RackRow {
                    serial: row.get(0)?,
                    name: row.get(1)?,
                    standing,
                    firings: row.get(4)?,
                    weakest: row.get(5)?,
                    factor: row.get(6)?,
                    due_on: date(row.get(7)?),
                    firings_left: row.get(8)?,
                    last_fired: date(row.get(9)?),
                })
            })
            .map_err(|error| self.sql(error))?;
        rows.collect::<rusqlite::Result<Vec<_>>>().map_err(|error| self.sql(error))
    }

    /// The kept assessment of a casing.
    ///
    /// # Errors
    /// The book cannot be read, or what it keeps is not readable.
    pub fn kept_assessment(&self, casing: &str) -> Result<Option<Assessment>, StoreError> {
        self.kept(casing)
    }

    /// Why a casing stands as it does, from its kept assessment: the rest of it is not taken apart.
    ///
    /// # Errors
    /// The book cannot be read, or what it keeps is not readable.
    pub fn kept_why(&self, casing: &str) -> Result<Option<KeptWhy>, StoreError> {
        self.kept(casing)
    }

    fn kept<T: serde::de::DeserializeOwned>(&self, casing: &str) -> Result<Option<T>, StoreError> {
        let text: Option<String> = self
            .connection
            .prepare_cached("SELECT assessment FROM standing WHERE casing = ?1")
            .and_then(|mut statement| statement.query_row([casing], |row| row.get(0)).optional())
            .map_err(|error| self.sql(error))?;
        text.map(|text| serde_json::from_str(&text)).transpose().map_err(|error| StoreError::Damaged {
            path: self.path.clone(),
            why: format!("the kept standing of {casing}: {error}"),
        })
    }

    /// The last record of a kind about a subject that is not struck, on or before a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_of(
        &self,
        kind: Kind,
        subject: &Subject,
        day: NaiveDate,
    ) -> Result<Option<Entry>, StoreError> {
        let day = day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day));
        let query = format!(
            "WITH unstruck AS (
                 SELECT number, happened_on FROM entry e
                 WHERE subject_of = ?1 AND subject = ?2 AND kind = ?3 AND happened_on <= ?4
                   AND NOT EXISTS (SELECT 1 FROM entry s WHERE s.strikes = e.id))
             SELECT {COLUMNS} FROM entry WHERE number IN (
                 SELECT number FROM unstruck WHERE happened_on = (SELECT max(happened_on) FROM unstruck))"
        );
        let mut found = entries(
            &self.connection,
            &self.path,
            &query,
            params![subject.of.word(), subject.name, kind.word(), day.to_string()],
        )?;
        in_order(&mut found, |entry| entry);
        Ok(found.pop())
    }

    /// The last entry about a subject that happened after a day, struck or not.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn last_after(&self, subject: &Subject, day: NaiveDate) -> Result<Option<Entry>, StoreError> {
        let day = day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day));
        let query = format!(
            "SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2 AND happened_on = (
                 SELECT max(happened_on) FROM entry
                 WHERE subject_of = ?1 AND subject = ?2 AND happened_on > ?3)"
        );
        let mut found = entries(
            &self.connection,
            &self.path,
            &query,
            params![subject.of.word(), subject.name, day.to_string()],
        )?;
        in_order(&mut found, |entry| entry);
        Ok(found.pop())
    }

    /// A load in force on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn load(&self, name: &str, day: NaiveDate) -> Result<Option<(LoadRecord, EntryRef)>, StoreError> {
        let subject = Subject { of: SubjectOf::Load, name: name.to_owned() };
        Ok(self.last_of(Kind::Load, &subject, day)?.and_then(|entry| match &entry.entry.details {
            Details::Load(load) => Some(((**load).clone(), EntryRef::from(&entry))),
            _ => None,
        }))
    }

    /// What books differ on about a load or batch, by what had happened on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn conflicts_about(&self, subject: &Subject, day: NaiveDate) -> Result<Vec<Conflict>, StoreError> {
        let about = format!("{} {} {day}", subject.of.word(), subject.name);
        let found = self.remembered("conflicts about", about, || -> Result<_, StoreError> {
            let query = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
            let mut found =
                entries(&self.connection, &self.path, &query, [subject.of.word(), &subject.name])?;
            strikes_of(&self.connection, &self.path, &mut found)?;
            Ok(conflicts(&found, None, &RuleSet::new(), day))
        })?;
        Ok((*found).clone())
    }

    /// The casings a subject belongs to: itself, or those a part was ever fitted in.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn casings_of(&self, subject: &Subject) -> Result<Vec<String>, StoreError> {
        match subject.of {
            SubjectOf::Casing => Ok(vec![subject.name.clone()]),
            SubjectOf::Part => self
                .connection
                .prepare_cached("SELECT DISTINCT casing FROM fit_entry WHERE part = ?1 ORDER BY casing")
                .and_then(|mut statement| statement.query_map([&subject.name], |row| row.get(0))?.collect())
                .map_err(|error| self.sql(error)),
            _ => Ok(Vec::new()),
        }
    }

    /// How often a batch had been fired by a day, struck firings left out; counting stops at a thousand.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn firings_of_batch(&self, batch: &str, day: NaiveDate) -> Result<u32, StoreError> {
        self.connection
            .prepare_cached(
                "SELECT count(*) FROM (
                     SELECT 1 FROM firing_entry f JOIN entry e ON e.number = f.entry
                     WHERE f.batch = ?1 AND e.happened_on <= ?2
                       AND NOT EXISTS (SELECT 1 FROM entry s WHERE s.strikes = e.id) LIMIT 1000)",
            )
            .and_then(|mut statement| statement.query_row([batch, &day.to_string()], |row| row.get(0)))
            .map_err(|error| self.sql(error))
    }

    /// One entry by its id.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn entry(&self, id: EntryId) -> Result<Option<Entry>, StoreError> {
        let query = format!("SELECT {COLUMNS} FROM entry WHERE id = ?1");
        Ok(entries(&self.connection, &self.path, &query, [id.to_string()])?.into_iter().next())
    }

    /// The entries of an origin from one place in its chain to another, both included.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn entries_of(&self, origin: Uuid, from: i64, to: i64) -> Result<Vec<Entry>, StoreError> {
        let query = format!(
            "SELECT {COLUMNS} FROM entry WHERE origin = ?1 AND sequence BETWEEN ?2 AND ?3 ORDER BY sequence"
        );
        entries(&self.connection, &self.path, &query, params![origin.to_string(), from, to])
    }

    /// Which of these entries are crossed out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn struck_among(&self, ids: &[EntryId]) -> Result<BTreeSet<EntryId>, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM entry WHERE strikes = ?1)")
            .map_err(|error| self.sql(error))?;
        let mut struck = BTreeSet::new();
        for id in ids {
            if statement.query_row([id.to_string()], |row| row.get(0)).map_err(|error| self.sql(error))? {
                struck.insert(*id);
            }
        }
        Ok(struck)
    }

    /// The entry a person means by a number or the start of an id.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn find_entry(&self, text: &str) -> Result<Result<EntryId, String>, StoreError> {
        let text = text.trim().trim_start_matches('#');
        let shown = crate::book::reading::shorten(text);
        let by_number = text.parse::<i64>().ok();
        let prefix: String = text.to_lowercase();
        let looks_like_id = prefix.len() >= 6 && prefix.chars().all(|c| c.is_ascii_hexdigit() || c == '-');
        let query = "SELECT id FROM entry WHERE number = ?1 OR (?2 AND id >= ?3 AND id < ?3 || 'g') LIMIT 3";
        let mut statement = self.connection.prepare_cached(query).map_err(|error| self.sql(error))?;
        let ids: Vec<String> = statement
            .query_map(params![by_number, looks_like_id && by_number.is_none(), prefix], |row| row.get(0))
            .and_then(Iterator::collect)
            .map_err(|error| self.sql(error))?;
        Ok(match ids.as_slice() {
            [id] => Uuid::parse_str(id).map(EntryId).map_err(|error| error.to_string()),
            [] => Err(format!(
                "no entry \"{shown}\" is on record; give its number or the start of its id (proofmark show lists them)"
            )),
            _ => Err(format!("more than one entry begins with \"{shown}\"; give more of its id")),
        })
    }

    /// Entries for a list, in the order they happened, with what crossed them out.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn lines(&self, filter: &Filter, day: NaiveDate) -> Result<Vec<EntryLine>, StoreError> {
        let found = match filter {
            Filter::About(subject) => {
                let query = format!("SELECT {COLUMNS} FROM entry WHERE subject_of = ?1 AND subject = ?2");
                let mut about =
                    entries(&self.connection, &self.path, &query, params![subject.of.word(), subject.name])?;
                if subject.of == SubjectOf::Part {
                    let query = format!(
                        "SELECT {COLUMNS} FROM entry WHERE number IN (SELECT entry FROM entry_part WHERE part = ?1)"
                    );
                    about.extend(entries(&self.connection, &self.path, &query, [subject.name.as_str()])?);
                }
                about
            }
            Filter::CasingAndParts(casing) => self.history(casing)?,
            Filter::OfKind(kind) => {
                let query = format!("SELECT {COLUMNS} FROM entry WHERE kind = ?1");
                entries(&self.connection, &self.path, &query, [kind.word()])?
            }
        };
        self.lines_of(found, day)
    }

    /// The same of entries already read.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn lines_of(&self, found: Vec<Entry>, day: NaiveDate) -> Result<Vec<EntryLine>, StoreError> {
        let mut seen = HashSet::new();
        let mut lines = Vec::with_capacity(found.len());
        let struck = self.strikes_on(&found, day).map_err(|error| self.sql(error))?;
        for entry in found.into_iter().filter(|entry| entry.entry.happened_on <= day) {
            if seen.insert(entry.id) {
                let struck_by =
                    if struck.is_empty() { None } else { struck.get(&entry.id.to_string()).copied() };
                let peak_cut_off = match &entry.entry.details {
                    Details::Firing(firing) => self.peak_cut_off(entry.id, firing)?.map(|cut| cut.why),
                    _ => None,
                };
                lines.push(EntryLine { entry, struck_by, differs_from: None, peak_cut_off });
            }
        }
        in_order(&mut lines, |line| &line.entry);
        Ok(lines)
    }

    /// Which of some entries are struck by a day, and by which: one statement for all of them, and where the book
    /// has fewer strikes than there are entries, every strike of it.
    fn strikes_on(&self, found: &[Entry], day: NaiveDate) -> rusqlite::Result<HashMap<String, i64>> {
        let day = day.min(NaiveDate::from_ymd_opt(9999, 12, 31).unwrap_or(day)).to_string();
        let count = |most: usize| -> rusqlite::Result<usize> {
            self.connection
                .prepare_cached(
                    "SELECT count(*) FROM (SELECT 1 FROM entry WHERE strikes IS NOT NULL LIMIT ?1)",
                )?
                .query_row([most as i64], |row| row.get::<_, i64>(0))
                .map(|count| count as usize)
        };
        let some = "SELECT strikes, min(number) FROM entry WHERE strikes IS NOT NULL AND happened_on <= ?1";
        let pair = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
        if count(found.len() + 1)? <= found.len() {
            self.connection
                .prepare_cached(&format!("{some} GROUP BY strikes"))?
                .query_map([day], pair)?
                .collect()
        } else {
            let ids: Vec<String> = found.iter().map(|entry| format!("\"{}\"", entry.id)).collect();
            self.connection
                .prepare_cached(&format!(
                    "{some} AND strikes IN (SELECT value FROM json_each(?2)) GROUP BY strikes"
                ))?
                .query_map([day, format!("[{}]", ids.join(","))], pair)?
                .collect()
        }
    }

    /// The raw bytes kept under a hash.
    ///
    /// # Errors
    /// The book cannot be read or the kept bytes do not unpack.
    pub fn raw_file(&self, sha256: &str) -> Result<Option<Vec<u8>>, StoreError> {
        let packed: Option<Vec<u8>> = self
            .connection
            .query_row("SELECT compressed FROM raw_file WHERE sha256 = ?1", [sha256], |row| row.get(0))
            .optional()
            .map_err(|error| self.sql(error))?;
        packed
            .map(|packed| {
                let mut bytes = Vec::new();
                ZlibDecoder::new(packed.as_slice()).read_to_end(&mut bytes).map(|_| bytes)
            })
            .transpose()
            .map_err(|error| StoreError::Damaged {
                path: self.path.clone(),
                why: format!("raw file {sha256}: {error}"),
            })
    }
}

/// The standing of a kept row on a day. Days are compared as they are written, which is in their order.
fn standing_at(worst: &str, later: &str, day: &str) -> Standing {
    let worst = Standing::from_word(worst).unwrap_or(Standing::Hold);
    if later == "[]" {
        return worst;
    }
    let later: Vec<(&str, &str)> = serde_json::from_str(later).unwrap_or_default();
    later
        .into_iter()
        .filter(|(from, _)| day >= *from)
        .filter_map(|(_, standing)| Standing::from_word(standing))
        .min()
        .map_or(worst, |it| it.min(worst))
}
