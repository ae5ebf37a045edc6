//! What is written in words: texts, names new and on record, one word of a few, days, yes or no.

use chrono::NaiveDate;

use super::Reader;
use crate::book::EntryId;
use crate::book::form::{Ask, nearest};
use crate::book::reading::shorten;
use crate::book::words::SubjectOf;

impl Reader<'_> {
    /// A line or lines of text. What separates without being seen (tabs, carriage returns) becomes one blank, so that
    /// two readings never run into one; line ends stay.
    pub fn text(&mut self, name: &str) -> Option<String> {
        let text = self.raw(name)?;
        if text.chars().count() > 20_000 {
            self.wrong(
                name,
                "longer than 20,000 characters; put the rest in a file and add it as a photo or trace"
                    .to_owned(),
            );
            return None;
        }
        let settled = separated(text, true);
        if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r')) {
            let message = format!(
                "a tab or other unseen mark in it was made a blank: it reads \"{}\"",
                shorten(&settled)
            );
            self.odd(name, message);
        }
        Some(settled)
    }

    /// A new serial or name: short, printable, no spaces at the ends.
    pub fn new_name(&mut self, name: &str) -> Option<String> {
        let text = self.raw(name)?;
        let fits = text.chars().count() <= 40
            && text.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | '+' | ' '));
        if !fits {
            self.wrong(
                name,
                format!(
                    "\"{}\" is no serial or name: up to 40 letters, digits, spaces and - _ . / +",
                    shorten(text)
                ),
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// A new serial: as it is stamped, in plain letters, so that two marks that look alike are one.
    pub fn serial(&mut self, name: &str, of: SubjectOf) -> Option<String> {
        let serial = self.new_name(name)?;
        if !serial.is_ascii() {
            self.wrong(
                name,
                format!(
                    "\"{}\" has letters that look like others: use A to Z, digits and - _ . / +",
                    shorten(&serial)
                ),
            );
            return None;
        }
        if !self.desk.on_record.knows(of, &serial)
            && let Some(like) = self.desk.on_record.alike(of, &serial)
        {
            self.wrong(
                name,
                format!(
                    "{like} is on record, and {} looks like it: use that serial, or another one",
                    shorten(&serial)
                ),
            );
            return None;
        }
        Some(serial)
    }

    /// A name that must be on record.
    pub fn known(&mut self, name: &str, of: SubjectOf) -> Option<String> {
        let text = self.raw(name)?;
        if self.desk.on_record.knows(of, text) {
            return Some(text.to_owned());
        }
        let hint = self.desk.on_record.nearest(of, text).map_or_else(
            || format!("register it first: proofmark log {of}"),
            |near| format!("did you mean {near}?"),
        );
        self.wrong(name, format!("no {of} \"{}\" is on record; {hint}", shorten(text)));
        None
    }

    /// An entry that must be on record.
    pub fn entry(&mut self, name: &str) -> Option<EntryId> {
        let text = self.raw(name)?;
        self.desk.on_record.entry(text).map_err(|message| self.wrong(name, message)).ok()
    }

    /// One word of a closed list.
    pub fn word<W: Copy + 'static>(&mut self, name: &str, from_word: fn(&str) -> Option<W>) -> Option<W> {
        let text = self.raw(name)?;
        let found = from_word(text);
        if found.is_none() {
            let words: &[&str] = match self.spec(name).map(|field| field.ask) {
                Some(Ask::Word(words)) => words,
                _ => &[],
            };
            let hint = nearest(text, words.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean {near}?"));
            self.wrong(name, format!("\"{}\" is not one of: {}{hint}", shorten(text), words.join(", ")));
        }
        found
    }

    /// Yes or no.
    pub fn yes_no(&mut self, name: &str) -> Option<bool> {
        self.raw(name)?;
        self.yes_no_of(name)
    }

    pub(super) fn yes_no_of(&mut self, name: &str) -> Option<bool> {
        let text = self.answers.text(name)?;
        match text.to_lowercase().as_str() {
            "yes" | "y" | "true" => Some(true),
            "no" | "n" | "false" => Some(false),
            _ => {
                self.wrong(name, format!("\"{}\" is neither yes nor no", shorten(text)));
                None
            }
        }
    }

    /// A date.
    pub fn date(&mut self, name: &str) -> Option<NaiveDate> {
        let text = self.raw(name)?;
        read_date(text, self.desk.today).map_err(|message| self.wrong(name, message)).ok()
    }

    /// Names separated by commas or line ends.
    pub fn names(&mut self, name: &str) -> Vec<String> {
        self.answers
            .rows(name)
            .iter()
            .flat_map(|row| row.split(','))
            .map(str::trim)
            .filter(|part| !part.is_empty())
            .map(str::to_owned)
            .collect()
    }

    /// The rows of a field, as typed.
    pub fn rows(&self, name: &str) -> Vec<String> {
        self.answers.rows(name).into_iter().map(str::to_owned).collect()
    }
}

/// Read a date as people write it: 2026-10-03, 3 Oct 2026, 3 October 2026, today, yesterday.
///
/// # Errors
/// The text is not such a date; a date whose day and month could be swapped is refused, not guessed.
pub fn read_date(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let bare = text.trim();
    match bare.to_lowercase().as_str() {
        "today" => return Ok(today),
        "yesterday" => return Ok(today.pred_opt().unwrap_or(today)),
        _ => {}
    }
    let date = ["%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%Y%m%d", "%a %Y-%m-%d", "%a %d %b %Y", "%A %d %B %Y"]
        .iter()
        .find_map(|pattern| NaiveDate::parse_from_str(bare, pattern).ok());
    match date {
        Some(date) if (1900..2200).contains(&chrono::Datelike::year(&date)) => Ok(date),
        Some(date) => Err(format!("the year of {date} is not from 1900 to 2199")),
        None => Err(format!("\"{}\" is not a date; write 2026-10-03 or 3 Oct 2026", shorten(text))),
    }
}

/// A text in which each run of control characters is one blank; with `lines`, line ends stay as they are.
pub(super) fn separated(text: &str, lines: bool) -> String {
    let text = text.replace("\r\n", "\n");
    let mut settled = String::with_capacity(text.len());
    let mut waiting = false;
    for c in text.chars() {
        if c == '\n' && lines {
            waiting = false;
            settled.push(c);
        } else if c.is_control() {
            waiting = true;
        } else {
            if waiting && !c.is_whitespace() && !settled.is_empty() && !settled.ends_with(char::is_whitespace)
            {
                settled.push(' ');
            }
            waiting = false;
            settled.push(c);
        }
    }
    settled
}

/// A name with letter case and blanks evened out, so that one person is not two.
pub fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}
