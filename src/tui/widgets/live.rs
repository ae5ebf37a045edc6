//! Fields whose answer is worked out while they are typed in: the calculators and what-if.

use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::layout::Rect;

use super::field::{LineField, Typed};
use super::scroll::Scroll;
use super::{Paint, keep_in_view, put};
use crate::quantity::{Dimension, System, input_unit, parse_field, show_si};
use crate::tui::action::{Act, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// What stands beside a field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Note {
    /// Nothing.
    #[default]
    None,
    /// What was understood, or what is taken when it stays empty.
    Says(String),
    /// What is wrong with it.
    Wrong(String),
}

/// Columns beside a field in which a long note is still read well; with fewer it goes below.
const ENOUGH: u16 = 30;

/// One field.
#[derive(Clone, Debug)]
pub struct Live {
    /// Its name in the program.
    pub name: String,
    /// Its label.
    pub label: String,
    /// The words it takes; empty: anything typed.
    pub words: Vec<String>,
    /// What is typed.
    pub line: LineField,
    /// What stands beside it.
    pub note: Note,
}

impl Live {
    /// An empty field.
    pub fn new(name: &str, label: &str, words: Vec<String>) -> Self {
        Self {
            name: name.to_owned(),
            label: label.to_owned(),
            words,
            line: LineField::default(),
            note: Note::None,
        }
    }

    /// What is typed, without the space around it.
    pub fn text(&self) -> &str {
        self.line.text().trim()
    }

    fn cycle(&mut self, forward: bool) {
        let typed = self.text().to_lowercase();
        let count = self.words.len();
        let next = match self.words.iter().position(|word| word.to_lowercase() == typed) {
            Some(at) => (at + if forward { 1 } else { count - 1 }) % count,
            None => self.words.iter().position(|word| word.to_lowercase().starts_with(&typed)).unwrap_or(0),
        };
        let word = self.words[next].clone();
        self.line.set(&word);
    }
}

/// Fields, one of them in focus, and how far the answer below them is scrolled.
#[derive(Clone, Debug, Default)]
pub struct LiveFields {
    /// The fields.
    pub fields: Vec<Live>,
    /// The field in focus.
    pub focus: usize,
    /// Whether a note that does not fit beside its field goes on below it, instead of being cut.
    whole: bool,
    /// The first field shown; where notes are whole, the first row.
    top: usize,
    /// Whether the answer is to be worked out again.
    pub changed: bool,
    /// How far the answer is scrolled.
    pub answer: Scroll,
}

impl LiveFields {
    /// Fields, the first in focus.
    pub fn new(fields: Vec<Live>) -> Self {
        Self { fields, changed: true, ..Self::default() }
    }

    /// The same with notes that are never cut.
    pub const fn with_whole_notes(mut self) -> Self {
        self.whole = true;
        self
    }

    /// Take other fields; the one in focus stays so where it is still there, and the answer stays.
    pub fn replace(&mut self, fields: Vec<Live>) {
        let focus = self.current().map(|field| field.name.clone());
        self.focus = focus.and_then(|name| fields.iter().position(|field| field.name == name)).unwrap_or(0);
        (self.fields, self.top) = (fields, 0);
    }

    /// The field in focus.
    pub fn current(&self) -> Option<&Live> {
        self.fields.get(self.focus)
    }

    /// What is typed into the field of a name.
    pub fn text(&self, name: &str) -> &str {
        self.fields.iter().find(|field| field.name == name).map_or("", Live::text)
    }

    /// Put a text into the field of a name.
    pub fn set(&mut self, name: &str, words: &str) {
        if let Some(field) = self.fields.iter_mut().find(|field| field.name == name) {
            field.line.set(words);
        }
    }

    /// Where the keys of the field in focus are declared.
    pub fn context(&self) -> Context {
        match self.current() {
            Some(field) if !field.words.is_empty() => Context::LiveWords,
            _ => Context::Live,
        }
    }

    /// Move, change or scroll as an action says; whether it was one that does.
    pub fn act(&mut self, act: Act) -> bool {
        if self.answer.turn(act) {
            return true;
        }
        let count = self.fields.len().max(1);
        match act {
            Act::NextField => self.focus = (self.focus + 1) % count,
            Act::PreviousField => self.focus = (self.focus + count - 1) % count,
            Act::NextWord | Act::PreviousWord => {
                if let Some(field) = self.fields.get_mut(self.focus).filter(|it| !it.words.is_empty()) {
                    field.cycle(act == Act::NextWord);
                }
            }
            Act::ClearFields => {
                self.fields.iter_mut().for_each(|field| field.line.set(""));
                self.focus = 0;
            }
            _ => return false,
        }
        self.changed = true;
        true
    }

    /// Take a key as text.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        let typed = self.key_into_field(key);
        self.changed |= typed == Typed::Changed;
        typed
    }

    fn key_into_field(&mut self, key: &KeyEvent) -> Typed {
        let Some(field) = self.fields.get_mut(self.focus) else { return Typed::NotMine };
        if !field.words.is_empty() {
            if matches!(key.code, KeyCode::Left | KeyCode::Right) {
                return Typed::NotMine;
            }
            // A letter typed over a whole word begins another word, unless a longer word goes on that way.
            if let (KeyCode::Char(letter), false) = (key.code, key.modifiers.contains(KeyModifiers::CONTROL))
            {
                let longer = format!("{}{letter}", field.line.text());
                let whole = field.words.iter().any(|word| word == field.line.text());
                if whole && !field.words.iter().any(|word| word.starts_with(&longer)) {
                    field.line.set("");
                }
            }
        }
        field.line.key(key)
    }

    /// Take a pasted text.
    pub fn paste(&mut self, words: &str) {
        if let Some(field) = self.fields.get_mut(self.focus) {
            field.line.paste(words);
        }
        self.changed = true;
    }

    /// The columns the labels take.
    fn labels(&self) -> u16 {
        let widest = self.fields.iter().map(|field| text::width(&field.label)).max().unwrap_or(0);
        u16::try_from(widest + 2).unwrap_or(20).clamp(8, 28)
    }

    /// The columns that are typed in.
    fn typed(width: u16) -> u16 {
        (width / 4).clamp(16, 26)
    }

    /// Draw as many rows as there is room for, the one in focus among them.
    pub fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let height = usize::from(area.height);
        if height == 0 {
            return;
        }
        if self.whole {
            return self.draw_whole(frame, area, paint);
        }
        self.top = keep_in_view(self.top, height, self.focus, self.focus + 1, self.fields.len());
        let label = self.labels();
        let typed = Self::typed(area.width);
        for (at, field) in self.fields.iter().enumerate().skip(self.top).take(height) {
            let row = u16::try_from(at - self.top).unwrap_or(0);
            self.draw_field(frame, area, (at, row), (label, typed), paint);
            let beside = label + typed + 2;
            match &field.note {
                Note::None => {}
                Note::Says(words) => put(frame, area, row, beside, words, paint.of(Meaning::Plain)),
                Note::Wrong(words) => {
                    put(frame, area, row, beside, &format!("! {words}"), paint.of(Meaning::Forbids));
                }
            }
        }
    }

    /// Label and typed text of a field on a row.
    fn draw_field(
        &self,
        frame: &mut Frame<'_>,
        area: Rect,
        (at, row): (usize, u16),
        (label, typed): (u16, u16),
        paint: &Paint,
    ) {
        let field = &self.fields[at];
        let focused = at == self.focus;
        let style = paint.of(if focused { Meaning::Selected } else { Meaning::Label });
        let name = text::pad(&field.label, usize::from(label.saturating_sub(2)));
        put(frame, area, row, 0, &name, style);
        let line = Rect {
            x: area.x + label.min(area.width),
            y: area.y + row,
            width: typed.min(area.width.saturating_sub(label)),
            height: 1,
        };
        field.line.draw(frame, line, focused, paint);
    }

    /// The lines of a field's note, the column they begin in, and whether the first stands beside the field.
    fn note_lines(&self, field: &Live, width: u16) -> (Vec<String>, u16, bool) {
        let words = match &field.note {
            Note::None => return (Vec::new(), 0, true),
            Note::Says(words) => words.clone(),
            Note::Wrong(words) => format!("! {words}"),
        };
        let column = self.labels() + Self::typed_into(field, width) + 2;
        let room = width.saturating_sub(column);
        if room >= ENOUGH || text::width(&words) <= usize::from(room) {
            return (text::wrap(&words, usize::from(room.max(1))), column, true);
        }
        (text::wrap(&words, usize::from(width.saturating_sub(2).max(1))), 2, false)
    }

    /// The columns a field is typed in: a yes or a no needs few, which its note can use.
    fn typed_into(field: &Live, width: u16) -> u16 {
        let short = !field.words.is_empty() && field.words.iter().all(|word| text::width(word) <= 5);
        if short { 6 } else { Self::typed(width) }
    }

    /// Draw with every note whole: fields of as many rows as their notes need.
    fn draw_whole(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let height = usize::from(area.height);
        let notes: Vec<_> = self.fields.iter().map(|field| self.note_lines(field, area.width)).collect();
        let mut begins = Vec::with_capacity(notes.len());
        let mut rows = 0;
        for (lines, _, beside) in &notes {
            begins.push(rows);
            rows += if *beside { lines.len().max(1) } else { 1 + lines.len() };
        }
        let ends = begins.get(self.focus + 1).copied().unwrap_or(rows);
        let from = begins.get(self.focus).copied().unwrap_or(0);
        let top = keep_in_view(self.top, height, from, ends, rows);
        // No note without its field: the first row is a label.
        self.top = begins.iter().copied().find(|begin| *begin >= top).unwrap_or(top).min(from);
        let row_of = |at: usize| at.checked_sub(self.top).and_then(|row| u16::try_from(row).ok());
        for (at, (lines, column, beside)) in notes.iter().enumerate() {
            if let Some(row) = row_of(begins[at]).filter(|row| *row < area.height) {
                let typed = Self::typed_into(&self.fields[at], area.width);
                self.draw_field(frame, area, (at, row), (self.labels(), typed), paint);
            }
            let wrong = matches!(self.fields[at].note, Note::Wrong(_));
            let style = paint.of(if wrong { Meaning::Forbids } else { Meaning::Plain });
            for (line, words) in lines.iter().enumerate() {
                if let Some(row) = row_of(begins[at] + line + usize::from(!beside)) {
                    put(frame, area, row, *column, words, style);
                }
            }
        }
    }
}

/// What was typed with the user's unit behind it, where it is a bare number that needs one.
pub fn with_unit(typed: &str, dimension: Dimension, absolute: Option<bool>, system: System) -> String {
    let unit = input_unit(dimension, system);
    let bare = parse_field(typed, dimension, absolute, None).is_err()
        && parse_field(typed, dimension, absolute, Some(unit)).is_ok();
    if bare { format!("{} {unit}", typed.trim()) } else { typed.trim().to_owned() }
}

/// An SI number in the user's units, with the other system's behind it.
pub fn both(si: f64, dimension: Dimension, system: System) -> String {
    let (first, second) = (show_si(si, dimension, system), show_si(si, dimension, other(system)));
    if first == second { first } else { format!("{first} ({second})") }
}

/// The other system of units.
pub const fn other(system: System) -> System {
    match system {
        System::Si => System::Us,
        System::Us => System::Si,
    }
}

/// What was understood of a typed quantity, in both systems.
pub fn understood(
    typed: &str,
    dimension: Dimension,
    absolute: Option<bool>,
    system: System,
) -> Option<String> {
    let si = parse_field(&with_unit(typed, dimension, absolute, system), dimension, absolute, None).ok()?;
    Some(format!("= {}", both(si, dimension, system)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_is_in_the_users_units() {
        assert_eq!(with_unit("2", Dimension::Length, None, System::Us), "2 in");
        assert_eq!(with_unit("2,5", Dimension::Length, None, System::Si), "2,5 mm");
        assert_eq!(with_unit("1 3/4 in", Dimension::Length, None, System::Si), "1 3/4 in");
        assert_eq!(with_unit("pipe", Dimension::Length, None, System::Si), "pipe");
    }

    #[test]
    fn words_go_round_and_begin_anew() {
        let words = vec!["clamped".to_owned(), "supported".to_owned()];
        let mut fields = LiveFields::new(vec![Live::new("edge", "edge", words)]);
        fields.act(Act::NextWord);
        assert_eq!(fields.text("edge"), "clamped");
        fields.act(Act::PreviousWord);
        assert_eq!(fields.text("edge"), "supported");
        fields.key(&KeyEvent::new(KeyCode::Char('c'), KeyModifiers::NONE));
        assert_eq!(fields.text("edge"), "c");
        fields.act(Act::NextWord);
        assert_eq!(fields.text("edge"), "clamped");
    }
}
