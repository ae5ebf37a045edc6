//! From text to a record: reads a form's answers field by field, collects every problem at once, and warns
//! where a number looks like a classic slip. Nothing is converted in silence and nothing typed is thrown away.

mod head;
mod measures;
mod slips;
mod words;

use chrono::NaiveDate;

pub use measures::read_grain_temperature;
pub use slips::slip;
pub use words::{folded, read_date};

use super::EntryId;
use super::answers::Answers;
use super::details::Details;
use super::form::{Ask, Field, Form, Problem, nearest};
use super::forms;
use super::reading::shorten;
use super::words::{Kind, SubjectOf};
use crate::design::Design;
use crate::quantity::System;

/// What the reader needs to know of the book: whether a name is on record, and what to expect of it.
pub trait OnRecord {
    /// Whether a subject is on record.
    fn knows(&self, of: SubjectOf, name: &str) -> bool;
    /// The name on record nearest to a mistyped one.
    fn nearest(&self, of: SubjectOf, name: &str) -> Option<String>;
    /// A name on record that differs from this only in letter case or blanks.
    fn alike(&self, of: SubjectOf, name: &str) -> Option<String>;
    /// The entry a person means by a number or the start of an id.
    ///
    /// # Errors
    /// No entry, or more than one, answers to it.
    fn entry(&self, text: &str) -> Result<EntryId, String>;
    /// A casing on paper, for the guard against slips.
    fn design(&self, casing: &str) -> Option<Design>;
}

/// What the reader takes from its surroundings.
pub struct Desk<'a> {
    /// The day it is.
    pub today: NaiveDate,
    /// The units a bare number is taken in; `None` refuses a bare number.
    pub bare_numbers: Option<System>,
    /// What is on record.
    pub on_record: &'a dyn OnRecord,
}

/// The head of an entry as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The day it happened.
    pub happened_on: NaiveDate,
    /// Whether that day is a guess.
    pub date_approximate: bool,
    /// Who writes it.
    pub by: String,
    /// The second person.
    pub second: Option<String>,
}

/// An entry as read, with what looked odd about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The head.
    pub head: Head,
    /// The record; the desk fills in what only the book knows.
    pub details: Details,
    /// What looks like a slip. The value stands as typed.
    pub warnings: Vec<Problem>,
}

/// Read a form.
///
/// # Errors
/// Every problem of every field, each naming the field, the reason and what would be accepted.
pub fn read(kind: Kind, answers: &Answers, desk: &Desk<'_>) -> Result<Read, Vec<Problem>> {
    let Some(form) = forms::form(kind) else {
        return Err(vec![Problem::new("kind", format!("a {kind} entry is not written by hand"))]);
    };
    let mut reader = Reader::new(form.fields, answers, desk);
    reader.refuse_unknown_fields(form);
    let head = reader.head();
    let details = super::details::read(kind, &mut reader);
    match (reader.problems.is_empty(), head, details) {
        (true, Some(head), Some(details)) => Ok(Read { head, details, warnings: reader.warnings }),
        _ => Err(reader.problems),
    }
}

/// What looks like a slip in a form that is not whole yet: each field is judged as soon as it is answered.
pub fn odd(kind: Kind, answers: &Answers, desk: &Desk<'_>) -> Vec<Problem> {
    let Some(form) = forms::form(kind) else { return Vec::new() };
    let mut reader = Reader::new(form.fields, answers, desk);
    let _ = super::details::read(kind, &mut reader);
    reader.warnings
}

/// Reads one form's fields and collects what is wrong with them.
pub struct Reader<'a> {
    fields: &'static [Field],
    answers: &'a Answers,
    desk: &'a Desk<'a>,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// What looks odd.
    pub warnings: Vec<Problem>,
}

impl<'a> Reader<'a> {
    /// A reader over a table of fields.
    pub fn new(fields: &'static [Field], answers: &'a Answers, desk: &'a Desk<'a>) -> Self {
        Self { fields, answers, desk, problems: Vec::new(), warnings: Vec::new() }
    }

    /// What is on record.
    pub fn on_record(&self) -> &'a dyn OnRecord {
        self.desk.on_record
    }

    fn refuse_unknown_fields(&mut self, form: &Form) {
        for field in self.answers.fields() {
            if form.field(field).is_none() && !forms::HEAD.iter().any(|head| head.name == field) {
                let known = form.fields.iter().chain(forms::HEAD).map(|field| field.name);
                let hint = nearest(field, known).map_or_else(
                    || format!("see proofmark log {} --help", form.kind),
                    |near| format!("did you mean {near}?"),
                );
                self.problems.push(Problem::new(
                    &shorten(field),
                    format!("a {} has no such field; {hint}", form.kind),
                ));
            }
        }
    }

    /// Refuse answers that are no field of a table.
    pub fn refuse_unknown(&mut self, what: &str, fields: &[Field]) {
        for field in self.answers.fields() {
            if fields.iter().all(|known| known.name != field) {
                let hint = nearest(field, fields.iter().map(|known| known.name))
                    .map_or_else(String::new, |near| format!("; did you mean {near}?"));
                self.problems.push(Problem::new(&shorten(field), format!("{what} has no such field{hint}")));
            }
        }
    }

    /// Note a problem.
    pub fn wrong(&mut self, field: &str, message: String) {
        self.problems.push(Problem::new(field, message));
    }

    /// Note something odd.
    pub fn odd(&mut self, field: &str, message: String) {
        self.warnings.push(Problem::new(field, message));
    }

    fn spec(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// Whether a field has an answer.
    pub fn has(&self, name: &str) -> bool {
        self.answers.text(name).is_some()
    }

    /// Whether any field under a prefix has an answer.
    pub fn has_any(&self, prefix: &str) -> bool {
        self.answers.fields().any(|field| field.starts_with(prefix) && self.answers.text(field).is_some())
    }

    /// The text of a field; missing is a problem where the field is required.
    fn raw(&mut self, name: &str) -> Option<&'a str> {
        let text = self.answers.text(name);
        if text.is_none() && self.spec(name).is_some_and(|field| field.required) {
            let help = self.spec(name).map_or("", |field| field.help);
            let accepted = match self.spec(name).map(|field| field.ask) {
                Some(Ask::Word(words)) => format!("one of: {}", words.join(", ")),
                Some(Ask::YesNo) => "yes or no".to_owned(),
                _ => help.to_owned(),
            };
            self.wrong(name, format!("missing; it takes {accepted}"));
        }
        text
    }
}
