//! A path being typed, with the files and folders that begin so beside it.

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::Paint;
use super::field::{LineField, Typed};
use crate::desk::paths;
use crate::tui::text;
use crate::tui::theme::Meaning;

/// One line for a path.
#[derive(Clone, Debug)]
pub struct PathField {
    line: LineField,
    names: Vec<String>,
}

impl Default for PathField {
    fn default() -> Self {
        let mut field = Self { line: LineField::default(), names: Vec::new() };
        field.look();
        field
    }
}

impl PathField {
    /// The text.
    pub fn text(&self) -> &str {
        self.line.text()
    }

    /// Take a key as text.
    pub fn key(&mut self, key: &KeyEvent) -> Typed {
        let typed = self.line.key(key);
        if typed == Typed::Changed {
            self.look();
        }
        typed
    }

    /// Take a pasted text.
    pub fn paste(&mut self, words: &str) {
        self.line.paste(words);
        self.look();
    }

    /// Add what is beyond choice; whether there was anything.
    pub fn complete(&mut self) -> bool {
        let completed = completed(self.line.text());
        if let Some(path) = &completed {
            self.line.set(path);
            self.look();
        }
        completed.is_some()
    }

    /// The names that begin so, as many as fit.
    pub fn beside(&self, columns: usize) -> String {
        beside(&self.names, columns)
    }

    /// Draw the line.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        self.line.draw(frame, area, true, paint);
        let typed = u16::try_from(text::width(self.text())).unwrap_or(u16::MAX);
        let at = typed.saturating_add(3);
        if at < area.width {
            let names = self.beside(usize::from(area.width - at));
            super::put(frame, area, 0, at, &names, paint.of(Meaning::Plain));
        }
    }

    fn look(&mut self) {
        self.names = names(self.line.text());
    }
}

/// A path with what is beyond choice added, where there is anything; what follows a path is left alone.
pub fn completed(typed: &str) -> Option<String> {
    if typed.contains(" --") {
        return None;
    }
    let found = paths::complete(typed).path;
    (found != typed).then_some(found)
}

/// The files and folders that begin as the path typed does.
pub fn names(typed: &str) -> Vec<String> {
    if typed.contains(" --") { Vec::new() } else { paths::complete(typed).names }
}

/// Names side by side, as many as fit.
pub fn beside(names: &[String], columns: usize) -> String {
    let mut out = String::new();
    for (at, name) in names.iter().enumerate() {
        let gap = if at == 0 { "" } else { " · " };
        let more = format!(" · +{}", names.len() - at);
        let last = at + 1 == names.len();
        let room = columns.saturating_sub(if last { 0 } else { text::width(&more) });
        if text::width(&out) + text::width(gap) + text::width(name) > room {
            out.push_str(if at == 0 { more.trim_start_matches(" · ") } else { &more });
            break;
        }
        out.push_str(gap);
        out.push_str(name);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::beside;

    #[test]
    fn as_many_names_as_fit_and_how_many_more() {
        let names: Vec<String> = ["a.csv", "b.csv", "stand/"].map(str::to_owned).to_vec();
        assert_eq!(beside(&names, 40), "a.csv · b.csv · stand/");
        assert_eq!(beside(&names, 20), "a.csv · b.csv · +1");
        assert_eq!(beside(&names, 4), "+3");
        assert_eq!(beside(&[], 4), "");
    }
}
