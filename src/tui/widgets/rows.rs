//! Several rows of text being typed: readings, remarks, reasons.

use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::layout::Rect;

use super::field::{LineField, Typed};
use super::{Paint, keep_in_view};

/// Rows of text.
#[derive(Clone, Debug)]
pub struct RowsField {
    rows: Vec<LineField>,
    at: usize,
    top: usize,
}

impl Default for RowsField {
    fn default() -> Self {
        Self { rows: vec![LineField::default()], at: 0, top: 0 }
    }
}

impl RowsField {
    /// Rows from a text.
    pub fn new(words: &str) -> Self {
        let mut rows: Vec<LineField> = words.lines().map(LineField::new).collect();
        if rows.is_empty() {
            rows.push(LineField::default());
        }
        let at = rows.len() - 1;
        Self { rows, at, top: 0 }
    }

    /// The text, one line a row, empty rows at the end left out.
    pub fn text(&self) -> String {
        self.rows.iter().map(LineField::text).collect::<Vec<_>>().join("\n").trim_end_matches('\n').to_owned()
    }

    /// How many rows there are.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Come into the field: from above on its first row, from below on its last.
    pub const fn enter(&mut self, from_above: bool) {
        self.at = if from_above { 0 } else { self.rows.len() - 1 };
    }

    /// Whether nothing is typed.
    pub fn is_empty(&self) -> bool {
        self.text().trim().is_empty()
    }

    /// Take a key. Enter on an empty last row, Up on the first and Down on the last are left to the form.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        let last = self.rows.len() - 1;
        match key.code {
            KeyCode::Enter => {
                if self.at == last && self.rows[self.at].text().trim().is_empty() {
                    if self.rows.len() > 1 {
                        self.rows.pop();
                        self.at = self.rows.len() - 1;
                    }
                    return Typed::NotMine;
                }
                self.split();
                Typed::Changed
            }
            // What empties a field of one line empties every row.
            KeyCode::Char('u') if key.modifiers.contains(KeyModifiers::CONTROL) => {
                let typed = if self.text().is_empty() { Typed::Moved } else { Typed::Changed };
                *self = Self::default();
                typed
            }
            KeyCode::Up if self.at > 0 => {
                self.at -= 1;
                Typed::Moved
            }
            KeyCode::Down if self.at < last => {
                self.at += 1;
                Typed::Moved
            }
            KeyCode::Backspace if self.at > 0 && self.rows[self.at].cursor() == 0 => {
                let tail = self.rows.remove(self.at);
                self.at -= 1;
                let joined = self.rows[self.at].text().chars().count();
                let words = format!("{}{}", self.rows[self.at].text(), tail.text());
                self.rows[self.at].set(&words);
                self.rows[self.at].set_cursor(joined);
                Typed::Changed
            }
            _ => self.rows[self.at].key(key),
        }
    }

    fn split(&mut self) {
        let row = &self.rows[self.at];
        let cursor = row.cursor();
        let head: String = row.text().chars().take(cursor).collect();
        let tail: String = row.text().chars().skip(cursor).collect();
        self.rows[self.at].set(&head);
        let mut next = LineField::new(&tail);
        next.set_cursor(0);
        self.at += 1;
        self.rows.insert(self.at, next);
    }

    /// Take a pasted text, one row a line.
    pub fn paste(&mut self, words: &str) {
        let words = words.replace("\r\n", "\n").replace('\r', "\n");
        for (at, line) in words.split('\n').enumerate() {
            if at > 0 {
                self.split();
            }
            self.rows[self.at].paste(line);
        }
    }

    /// Draw the rows.
    pub fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, typing: bool, paint: &Paint) {
        let height = usize::from(area.height);
        if height == 0 {
            return;
        }
        self.top = keep_in_view(self.top, height, self.at, self.at + 1, self.rows.len());
        for (row, field) in self.rows.iter().skip(self.top).take(height).enumerate() {
            let y = area.y + u16::try_from(row).unwrap_or(0);
            field.draw(frame, Rect { y, height: 1, ..area }, typing && self.top + row == self.at, paint);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(rows: &mut RowsField, code: KeyCode) -> Typed {
        rows.key(&KeyEvent::new(code, KeyModifiers::NONE))
    }

    #[test]
    fn one_key_empties_every_row() {
        let mut rows = RowsField::new("retire\nas entry 55 says\nand entry 57");
        let key = KeyEvent::new(KeyCode::Char('u'), KeyModifiers::CONTROL);
        assert_eq!((rows.key(&key), rows.text().as_str(), rows.len()), (Typed::Changed, "", 1));
    }

    #[test]
    fn rows_split_join_and_let_go() {
        let mut rows = RowsField::default();
        assert_eq!(press(&mut rows, KeyCode::Enter), Typed::NotMine);
        rows.paste("250 mm: 66.68 mm\r\n12 mm: 50.8 mm");
        assert_eq!(rows.len(), 2);
        assert_eq!(press(&mut rows, KeyCode::Enter), Typed::Changed);
        assert_eq!(press(&mut rows, KeyCode::Enter), Typed::NotMine);
        assert_eq!(rows.text(), "250 mm: 66.68 mm\n12 mm: 50.8 mm");
        press(&mut rows, KeyCode::Home);
        press(&mut rows, KeyCode::Backspace);
        assert_eq!(rows.text(), "250 mm: 66.68 mm12 mm: 50.8 mm");
    }
}
