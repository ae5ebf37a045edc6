//! Typing a filter over a list, and showing what it found.

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::field::{LineField, Typed};
use super::{Paint, put};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// A filter over a list.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    line: LineField,
    /// Whether it is being typed in.
    pub typing: bool,
}

impl Filter {
    /// Whether nothing is typed.
    pub fn is_empty(&self) -> bool {
        self.line.text().trim().is_empty()
    }

    /// The words asked for.
    pub fn words(&self) -> Vec<String> {
        self.line.text().to_lowercase().split_whitespace().map(str::to_owned).collect()
    }

    /// Whether a text holds every word asked for.
    pub fn holds(&self, text: &str) -> bool {
        let text = text.to_lowercase();
        self.words().iter().all(|word| text.contains(word.as_str()))
    }

    /// Forget it.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    /// Take a key as text.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        if self.typing { self.line.key(key) } else { Typed::NotMine }
    }

    /// Take a pasted text.
    pub fn paste(&mut self, words: &str) {
        if self.typing {
            self.line.paste(words);
        }
    }

    /// Draw it into the first row of an area, where there is one; the rows it takes.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, found: usize, of: usize, paint: &Paint) -> u16 {
        if !self.typing && self.is_empty() {
            return 0;
        }
        let lead = format!("find: {found} of {of} ");
        put(frame, area, 0, 0, &lead, paint.of(Meaning::Key));
        let from = u16::try_from(text::width(&lead)).unwrap_or(0).min(area.width);
        let line = Rect { x: area.x + from, width: area.width - from, height: area.height.min(1), ..area };
        self.line.draw(frame, line, self.typing, paint);
        1
    }

    /// Mark what it found in what is drawn.
    pub fn mark(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        for word in self.words() {
            mark(frame, area, &word, paint);
        }
    }
}

/// Mark every place of an area where a word stands, upper case or lower.
fn mark(frame: &mut Frame<'_>, area: Rect, word: &str, paint: &Paint) {
    let wanted: Vec<char> = word.to_lowercase().chars().collect();
    let area = area.intersection(frame.area());
    for y in area.top()..area.bottom() {
        // The characters of the row, each with the column it stands in.
        let mut row: Vec<(char, u16)> = Vec::new();
        for x in area.left()..area.right() {
            let symbol = frame.buffer_mut()[(x, y)].symbol().to_lowercase();
            row.extend(symbol.chars().map(|c| (c, x)));
        }
        for from in 0..row.len().saturating_sub(wanted.len().saturating_sub(1)) {
            let here = &row[from..from + wanted.len()];
            if here.iter().map(|it| it.0).eq(wanted.iter().copied()) {
                for (_, x) in here {
                    let cell = &mut frame.buffer_mut()[(*x, y)];
                    cell.set_style(cell.style().patch(paint.of(Meaning::Found)));
                }
            }
        }
    }
}
