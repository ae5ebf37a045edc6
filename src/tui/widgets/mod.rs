//! What screens are drawn with.

pub mod field;
pub mod filter;
pub mod live;
pub mod paper;
pub mod path;
pub mod plot;
pub mod reasons;
pub mod rows;
pub mod scroll;
pub mod section;
pub mod table;

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::keymap::Keymap;
use super::text;
use super::theme::{Meaning, Theme};
use crate::quantity::System;

/// What drawing needs to know.
#[derive(Clone, Copy, Debug)]
pub struct Paint<'a> {
    /// The styles.
    pub theme: Theme,
    /// The units shown.
    pub system: System,
    /// The keys in force, for texts that name one.
    pub keys: &'a Keymap,
}

impl Paint<'_> {
    /// The style of a meaning.
    pub const fn of(&self, meaning: Meaning) -> Style {
        self.theme.of(meaning)
    }
}

/// Write one cleaned line into an area's row, cut to its width; rows outside the area are left out.
pub fn put(frame: &mut Frame<'_>, area: Rect, row: u16, column: u16, words: &str, style: Style) {
    if row >= area.height || column >= area.width {
        return;
    }
    let words = text::fit(&text::clean(words), usize::from(area.width - column));
    frame.buffer_mut().set_string(area.x + column, area.y + row, words, style);
}

/// An area cut into parts of so many rows, from the top; what finds no room is empty.
pub fn stacked<const N: usize>(area: Rect, rows: [u16; N]) -> [Rect; N] {
    let mut y = 0;
    rows.map(|height| {
        let part = Rect {
            y: area.y + y.min(area.height),
            height: height.min(area.height.saturating_sub(y)),
            ..area
        };
        y += height;
        part
    })
}

/// The first line to show so that a span of lines is in view, moving as little as possible.
pub fn keep_in_view(top: usize, height: usize, from: usize, to: usize, count: usize) -> usize {
    let highest = count.saturating_sub(height);
    let mut top = top;
    if to > top + height {
        top = to.saturating_sub(height);
    }
    if from < top {
        top = from;
    }
    top.min(highest)
}
