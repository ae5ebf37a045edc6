//! Typing a filter over a list, and showing what it found.

use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::layout::Rect;

use super::field::{LineField, Typed};
use super::{Paint, put};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// A filter over a list: the lines that hold every word typed. Where none does, the lines that hold the letters of
/// every word in order, within one word of theirs: `4801` finds MF-48-01.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    line: LineField,
    /// Whether it is being typed in.
    pub typing: bool,
    /// Whether only the letters in order were found.
    loose: bool,
    /// Whether what stands there was kept from an earlier search: the first letter typed begins another.
    kept: bool,
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

    /// Which of some texts hold what is asked for, in their order.
    pub fn choose(&mut self, texts: impl IntoIterator<Item = String>) -> Vec<usize> {
        let texts: Vec<String> = texts.into_iter().map(|text| text.to_lowercase()).collect();
        self.choose_in_order(&(0..texts.len()).collect::<Vec<_>>(), |at| &texts[at])
    }

    /// Which of some numbered texts in lower case hold what is asked for, in the order given: for a long list whose
    /// texts are kept from one key to the next.
    pub fn choose_in_order<'a>(&mut self, order: &[usize], text: impl Fn(usize) -> &'a str) -> Vec<usize> {
        let words = self.words();
        let every = |test: fn(&str, &str) -> bool| -> Vec<usize> {
            order.iter().copied().filter(|at| words.iter().all(|word| test(text(*at), word))).collect()
        };
        let exact = every(|text, word| text.contains(word));
        self.loose = exact.is_empty();
        if self.loose {
            every(|text, word| text.split_whitespace().any(|part| has_letters(part, word)))
        } else {
            exact
        }
    }

    /// Type in it; what was kept from before stands until a letter is typed, and a key that edits goes on with it.
    pub fn begin(&mut self) {
        self.typing = true;
        self.kept = !self.is_empty();
    }

    /// Forget it.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    /// Take a key as text.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        if !self.typing {
            return Typed::NotMine;
        }
        let held = key.modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT);
        if std::mem::take(&mut self.kept) && matches!(key.code, KeyCode::Char(_)) && !held {
            self.line.set("");
        }
        self.line.key(key)
    }

    /// Take a pasted text.
    pub fn paste(&mut self, words: &str) {
        if self.typing {
            if std::mem::take(&mut self.kept) {
                self.line.set("");
            }
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
            mark(frame, area, &word, self.loose, paint);
        }
    }
}

/// Whether the letters of a word stand in a text, in order.
fn has_letters(text: &str, word: &str) -> bool {
    let mut letters = text.chars();
    word.chars().all(|wanted| letters.any(|c| c == wanted))
}

/// Where the letters of a word stand in a text, in order and as close together as the first fit from the left.
fn letters_in_order(text: &str, word: &str) -> Option<Vec<usize>> {
    let mut found = Vec::new();
    let mut letters = text.chars().enumerate();
    for wanted in word.chars() {
        found.push(letters.find(|(_, c)| *c == wanted)?.0);
    }
    Some(found)
}

/// Mark every place of an area where a word stands, upper case or lower; loosely, where its letters do.
pub fn mark(frame: &mut Frame<'_>, area: Rect, word: &str, loose: bool, paint: &Paint) {
    let wanted: Vec<char> = word.to_lowercase().chars().collect();
    let area = area.intersection(frame.area());
    for y in area.top()..area.bottom() {
        // The characters of the row, each with the column it stands in.
        let mut row: Vec<(char, u16)> = Vec::new();
        for x in area.left()..area.right() {
            let symbol = frame.buffer_mut()[(x, y)].symbol().to_lowercase();
            row.extend(symbol.chars().map(|c| (c, x)));
        }
        let mut columns: Vec<u16> = Vec::new();
        if loose {
            for part in row.split(|it| it.0 == ' ') {
                let text: String = part.iter().map(|it| it.0).collect();
                columns
                    .extend(letters_in_order(&text, word).unwrap_or_default().iter().map(|at| part[*at].1));
            }
        } else {
            for here in row.windows(wanted.len().max(1)) {
                if here.iter().map(|it| it.0).eq(wanted.iter().copied()) {
                    columns.extend(here.iter().map(|it| it.1));
                }
            }
        }
        for x in columns {
            let cell = &mut frame.buffer_mut()[(x, y)];
            cell.set_style(cell.style().patch(paint.of(Meaning::Found)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_first_and_letters_in_order_where_no_word_is() {
        let list =
            ["MF-48-01 Lapwing retired", "MF-41-06 Marigold in service", "MF-48-08 Patchwork in service"];
        let mut filter = Filter { typing: true, ..Filter::default() };
        let mut found = |words: &str| {
            filter.line.set(words);
            filter.choose(list.map(str::to_owned))
        };
        assert_eq!(found("ma"), [1]);
        assert_eq!(found("service 48"), [2]);
        assert_eq!(found("4801"), [0]);
        assert_eq!(found("ptchwrk"), [2]);
        assert!(found("zz").is_empty());
        assert_eq!(found(""), [0, 1, 2]);
    }
}
