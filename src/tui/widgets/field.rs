//! One line of text being typed.

use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::layout::{Position, Rect};
use tui_input::{Input, InputRequest};

use super::Paint;
use crate::tui::text;
use crate::tui::theme::Meaning;

/// One line of text.
#[derive(Clone, Debug, Default)]
pub struct LineField {
    input: Input,
}

/// What a key did to a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typed {
    /// It changed the text.
    Changed,
    /// It moved the cursor, or could have.
    Moved,
    /// It is not for a text.
    NotMine,
}

impl LineField {
    /// A field with a text in it.
    pub fn new(words: &str) -> Self {
        Self { input: Input::new(text::one_line(words)) }
    }

    /// The text.
    pub fn text(&self) -> &str {
        self.input.value()
    }

    /// Put a text in place of what is there.
    pub fn set(&mut self, words: &str) {
        self.input = Input::new(text::one_line(words));
    }

    /// Whether the cursor is behind the last character.
    pub fn at_end(&self) -> bool {
        self.input.cursor() >= self.input.value().chars().count()
    }

    /// The cursor, in characters.
    pub fn cursor(&self) -> usize {
        self.input.cursor()
    }

    /// Put the cursor before a character.
    pub fn set_cursor(&mut self, at: usize) {
        self.input.handle(InputRequest::SetCursor(at));
    }

    /// Take a key.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        let ctrl = key.modifiers.contains(KeyModifiers::CONTROL);
        if key.modifiers.contains(KeyModifiers::ALT) {
            return Typed::NotMine;
        }
        let request = match (key.code, ctrl) {
            (KeyCode::Char(c), false) => InputRequest::InsertChar(c),
            (KeyCode::Backspace, false) => InputRequest::DeletePrevChar,
            (KeyCode::Delete, false) => InputRequest::DeleteNextChar,
            (KeyCode::Left, false) => InputRequest::GoToPrevChar,
            (KeyCode::Right, false) => InputRequest::GoToNextChar,
            (KeyCode::Left, true) => InputRequest::GoToPrevWord,
            (KeyCode::Right, true) => InputRequest::GoToNextWord,
            (KeyCode::Home, _) | (KeyCode::Char('a'), true) => InputRequest::GoToStart,
            (KeyCode::End, _) | (KeyCode::Char('e'), true) => InputRequest::GoToEnd,
            (KeyCode::Char('w'), true) | (KeyCode::Backspace, true) => InputRequest::DeletePrevWord,
            (KeyCode::Char('u'), true) => InputRequest::DeleteFromStart,
            (KeyCode::Char('k'), true) => InputRequest::DeleteTillEnd,
            _ => return Typed::NotMine,
        };
        match self.input.handle(request) {
            Some(change) if change.value => Typed::Changed,
            _ => Typed::Moved,
        }
    }

    /// Take a pasted text: line ends become spaces, and nothing in it is a command.
    pub fn paste(&mut self, words: &str) {
        for c in text::one_line(words).chars() {
            self.input.handle(InputRequest::InsertChar(c));
        }
    }

    /// Draw it; where it is being typed in, the terminal's cursor is put into it.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, typing: bool, paint: &Paint) {
        if area.width == 0 || area.height == 0 {
            return;
        }
        let columns = usize::from(area.width);
        if !typing {
            super::put(frame, area, 0, 0, self.text(), paint.of(Meaning::Plain));
            return;
        }
        let scroll = self.input.visual_scroll(columns.saturating_sub(1));
        let mut skipped = 0;
        let shown: String = self
            .text()
            .chars()
            .skip_while(|c| {
                let before = skipped;
                skipped += text::width(c.encode_utf8(&mut [0; 4]));
                before < scroll
            })
            .collect();
        super::put(frame, area, 0, 0, &text::pad("", columns), paint.of(Meaning::Typing));
        super::put(frame, area, 0, 0, &shown, paint.of(Meaning::Typing));
        // What is cut off is marked, on either side.
        if scroll > 0 {
            super::put(frame, area, 0, 0, "…", paint.of(Meaning::Typing));
        }
        let at = self.input.visual_cursor().saturating_sub(scroll).min(columns - 1);
        frame.set_cursor_position(Position::new(area.x + u16::try_from(at).unwrap_or(0), area.y));
    }
}
