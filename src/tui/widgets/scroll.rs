//! How far a sheet is scrolled that holds more lines than there is room for.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::Paint;
use super::paper::Paper;
use crate::tui::action::Act;

/// The first line shown, how many lines there were when last drawn, and how many had room.
#[derive(Clone, Debug)]
pub struct Scroll {
    /// The first line shown.
    pub top: usize,
    longest: usize,
    /// How many lines had room.
    pub page: usize,
}

impl Default for Scroll {
    fn default() -> Self {
        Self { top: 0, longest: 0, page: 1 }
    }
}

impl Scroll {
    fn lowest(&self) -> usize {
        self.longest.saturating_sub(self.page)
    }

    /// Turn a page as an action says; whether it was one that does.
    pub fn turn(&mut self, act: Act) -> bool {
        match act {
            Act::PageUp => self.top = self.top.saturating_sub(self.page),
            Act::PageDown => self.top = (self.top + self.page).min(self.lowest()),
            _ => return false,
        }
        true
    }

    /// Go by a page, a line or to an end, as an action says; whether it was one that does.
    pub fn act(&mut self, act: Act) -> bool {
        match act {
            Act::Up => self.top = self.top.saturating_sub(1),
            Act::Down => self.top = (self.top + 1).min(self.lowest()),
            Act::First => self.top = 0,
            Act::Last => self.top = self.lowest(),
            _ => return self.turn(act),
        }
        true
    }

    /// Take the room there is, before anything is drawn in it.
    pub fn fit(&mut self, lines: usize, area: Rect) {
        self.page = usize::from(area.height).max(1);
        self.longest = lines;
        self.top = self.top.min(self.lowest());
    }

    /// Draw a sheet from its first line shown.
    pub fn draw(&mut self, paper: &Paper, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        self.fit(paper.len(), area);
        paper.draw(frame, area, self.top, paint);
    }
}
