//! One field of a form while it is being filled in.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::echo;
use crate::book::{Ask, Field, Instrument, Kind, SubjectOf};
use crate::desk::Desk;
use crate::quantity::System;
use crate::tui::widgets::field::{LineField, Typed};
use crate::tui::widgets::path;
use crate::tui::widgets::rows::RowsField;

/// What is typed.
#[derive(Clone, Debug)]
pub(super) enum Buffer {
    /// One line.
    Line(LineField),
    /// Several rows.
    Rows(RowsField),
}

/// A field being filled in.
#[derive(Clone, Debug)]
pub(super) struct FormField {
    /// What it asks.
    pub spec: &'static Field,
    /// What is typed.
    pub buffer: Buffer,
    /// Whether the person has been in it.
    pub touched: bool,
    /// The words or names it can be filled with.
    pub choices: Vec<String>,
    /// The files and folders that begin as the path typed does.
    pub names: Vec<String>,
    /// What was understood, in both unit systems.
    pub echo: Option<String>,
    /// Filled in by the program and not shown.
    pub given: bool,
}

/// The instruments on record that read what a field asks.
fn gauges(kind: Kind, field: &str, desk: &Desk) -> Vec<String> {
    let of_use: fn(Instrument) -> bool = match (kind, field) {
        (_, "od_gauge") => {
            |it| matches!(it, Instrument::Micrometer | Instrument::Calipers | Instrument::PiTape)
        }
        (Kind::Proof, _) => |it| it == Instrument::PressureGauge,
        _ => |_| true,
    };
    let all = desk.instruments().map(|it| it.gauges).unwrap_or_default();
    all.into_iter().filter(|it| of_use(it.record.what)).map(|it| it.record.serial).collect()
}

impl FormField {
    pub(super) fn new(kind: Kind, spec: &'static Field, desk: &Desk) -> Self {
        let names = |of| desk.book().names(of).unwrap_or_default();
        let choices = match spec.ask {
            Ask::Word(words) => words.iter().map(|word| (*word).to_owned()).collect(),
            Ask::YesNo => vec!["yes".to_owned(), "no".to_owned()],
            Ask::Casing => names(SubjectOf::Casing),
            Ask::Part => names(SubjectOf::Part),
            Ask::Load => names(SubjectOf::Load),
            Ask::Batch => names(SubjectOf::Batch),
            Ask::Gauge => gauges(kind, spec.name, desk),
            _ => Vec::new(),
        };
        let buffer = match spec.ask {
            Ask::LongText | Ask::Readings | Ask::Hardness => Buffer::Rows(RowsField::default()),
            _ => Buffer::Line(LineField::default()),
        };
        Self { spec, buffer, touched: false, choices, names: Vec::new(), echo: None, given: false }
    }

    /// The text.
    pub(super) fn text(&self) -> String {
        match &self.buffer {
            Buffer::Line(line) => line.text().to_owned(),
            Buffer::Rows(rows) => rows.text(),
        }
    }

    /// Put a text in place of what is there.
    pub(super) fn set(&mut self, words: &str) {
        match &mut self.buffer {
            Buffer::Line(line) => line.set(words),
            Buffer::Rows(rows) => *rows = RowsField::new(words),
        }
    }

    /// Whether nothing is typed.
    pub(super) fn is_empty(&self) -> bool {
        self.text().trim().is_empty()
    }

    /// Whether it takes one of a list.
    pub(super) fn chooses(&self) -> bool {
        !self.choices.is_empty()
    }

    /// Whether it takes a path.
    pub(super) const fn names_file(&self) -> bool {
        matches!(self.spec.ask, Ask::File)
    }

    /// Complete a path; whether there was anything to add.
    pub(super) fn complete_path(&mut self) -> bool {
        let Some(path) = path::completed(&self.text()).filter(|_| self.names_file() && !self.is_empty())
        else {
            return false;
        };
        self.set(&path);
        true
    }

    fn closed_list(&self) -> bool {
        matches!(self.spec.ask, Ask::Word(_) | Ask::YesNo)
    }

    /// Take a key as text.
    pub(super) fn key(&mut self, key: &KeyEvent) -> Typed {
        let chooses = self.chooses();
        let whole_word = self.closed_list() && self.choices.iter().any(|word| *word == self.text());
        match &mut self.buffer {
            Buffer::Rows(rows) => rows.key(key),
            Buffer::Line(line) => {
                if chooses && matches!(key.code, KeyCode::Left | KeyCode::Right) {
                    return Typed::NotMine;
                }
                let plain = !key.modifiers.contains(KeyModifiers::CONTROL);
                // A letter typed over a whole word of a closed list begins another word.
                if whole_word && plain && matches!(key.code, KeyCode::Char(_)) {
                    line.set("");
                }
                line.key(key)
            }
        }
    }

    /// Take a pasted text.
    pub(super) fn paste(&mut self, words: &str) {
        match &mut self.buffer {
            Buffer::Line(line) => line.paste(words),
            Buffer::Rows(rows) => rows.paste(words),
        }
    }

    /// The choices that begin as what is typed does.
    pub(super) fn matching(&self) -> Vec<&str> {
        let typed = self.text().trim().to_lowercase();
        // Letter by letter: ten thousand serials are not written out in lower case at every key.
        let begins = |word: &str| {
            let mut letters = word.chars().flat_map(char::to_lowercase);
            typed.chars().all(|wanted| letters.next() == Some(wanted))
        };
        self.choices.iter().map(String::as_str).filter(|word| begins(word)).collect()
    }

    /// Take the next or previous choice; whether the text changed.
    pub(super) fn cycle(&mut self, forward: bool) -> bool {
        let typed = self.text().trim().to_owned();
        let count = self.choices.len();
        if count == 0 {
            return false;
        }
        let next =
            match self.choices.iter().position(|word| *word == typed) {
                Some(at) if forward => (at + 1) % count,
                Some(at) => (at + count - 1) % count,
                None => {
                    let wanted = self.matching().first().map(|word| (*word).to_owned());
                    wanted
                        .and_then(|word| self.choices.iter().position(|it| *it == word))
                        .unwrap_or(if forward { 0 } else { count - 1 })
                }
            };
        let word = self.choices[next].clone();
        self.set(&word);
        true
    }

    /// On leaving: a beginning that only one choice has is written out.
    pub(super) fn complete(&mut self) -> bool {
        if !self.chooses() || self.is_empty() {
            return false;
        }
        let typed = self.text().trim().to_owned();
        if self.choices.contains(&typed) {
            return false;
        }
        let matching = self.matching();
        if let [only] = matching.as_slice() {
            let only = (*only).to_owned();
            self.set(&only);
            return true;
        }
        false
    }

    /// Work out again what was understood.
    pub(super) fn understand(&mut self, desk: &Desk, system: System) {
        let text = self.text();
        if self.names_file() {
            self.names = path::names(&text);
        }
        self.echo = if text.trim().is_empty() { None } else { echo::echo(self.spec, &text, desk, system) };
    }
}
