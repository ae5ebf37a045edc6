//! A sheet of wrapped lines that scrolls: reasons, entries, cautions, help.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};

use super::Paint;
use crate::tui::text;
use crate::tui::theme::Meaning;

/// A block of a text, before it is known how wide it will be.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A paragraph that must not be missed.
    Strong(String),
    /// A paragraph.
    Text(String),
    /// A label and its value.
    Labelled(String, String),
    /// A sign and a paragraph hanging beside it.
    Point(String, String),
    /// An empty line.
    Gap,
}

/// Lines, wrapped to a width.
#[derive(Debug)]
pub struct Paper {
    width: usize,
    /// The lines so far.
    pub lines: Vec<Line<'static>>,
}

impl Paper {
    /// An empty sheet.
    pub const fn new(width: usize) -> Self {
        Self { width, lines: Vec::new() }
    }

    /// The columns a line may take.
    pub const fn width(&self) -> usize {
        self.width
    }

    /// How many lines there are.
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    /// Whether there is nothing on it.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// An empty line.
    pub fn gap(&mut self) {
        self.lines.push(Line::default());
    }

    /// One line of columns, cut to the width and never wrapped.
    pub fn line(&mut self, words: &str, style: Style) {
        let words = text::fit(&text::clean(words), self.width);
        self.lines.push(Line::styled(words, style));
    }

    /// A paragraph.
    pub fn text(&mut self, words: &str, style: Style) {
        self.hang("", style, words, style);
    }

    /// A paragraph that hangs beside a lead.
    pub fn hang(&mut self, lead: &str, lead_style: Style, words: &str, style: Style) {
        let lead = text::clean(lead);
        let indent = text::width(&lead).min(self.width / 2);
        let wrapped = text::wrap(words, self.width.saturating_sub(indent));
        for (at, line) in wrapped.into_iter().enumerate() {
            let lead = if at == 0 { text::pad(&lead, indent) } else { " ".repeat(indent) };
            self.lines.push(Line::from(vec![Span::styled(lead, lead_style), Span::styled(line, style)]));
        }
    }

    /// A label in a column of its own, and its value.
    pub fn labelled(&mut self, label: &str, value: &str, paint: &Paint) {
        if value.trim().is_empty() {
            return;
        }
        let gap = if text::width(label) < 8 { "" } else { " " };
        let lead = format!("  {}{gap}", text::pad(label, 8.max(text::width(label))));
        self.hang(&lead, paint.of(Meaning::Label), value, paint.of(Meaning::Plain));
    }

    /// Blocks.
    pub fn blocks(&mut self, blocks: &[Block], paint: &Paint) {
        let labels = blocks
            .iter()
            .filter_map(|block| match block {
                Block::Labelled(label, _) => Some(text::width(label)),
                _ => None,
            })
            .max()
            .unwrap_or(0)
            .min(24);
        for block in blocks {
            match block {
                Block::Heading(words) => self.text(words, paint.of(Meaning::Heading)),
                Block::Strong(words) => self.text(words, paint.of(Meaning::Strong)),
                Block::Text(words) => self.text(words, paint.of(Meaning::Plain)),
                Block::Labelled(label, value) => {
                    let lead = format!("{}  ", text::pad(label, labels));
                    self.hang(&lead, paint.of(Meaning::Key), value, paint.of(Meaning::Plain));
                }
                Block::Point(sign, words) => {
                    self.hang(
                        &format!("{sign} "),
                        paint.of(Meaning::Strong),
                        words,
                        paint.of(Meaning::Plain),
                    );
                }
                Block::Gap => self.gap(),
            }
        }
    }

    /// Draw from a line on; a mark at the right says where more is above or below.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, top: usize, paint: &Paint) {
        let height = usize::from(area.height);
        for (at, line) in self.lines.iter().skip(top).take(height).enumerate() {
            let row = area.y + u16::try_from(at).unwrap_or(0);
            frame.buffer_mut().set_line(area.x, row, line, area.width);
        }
        if area.width < 12 || height == 0 {
            return;
        }
        let more = |frame: &mut Frame<'_>, row: u16, words: &str| {
            let at = area.width.saturating_sub(u16::try_from(text::width(words)).unwrap_or(0));
            // Half a word, or half a number, reads as another: it goes whole, and "…" stands for it.
            let symbol = |frame: &mut Frame<'_>, at: u16| {
                let cell = frame.buffer_mut().cell((area.x + at, area.y + row));
                cell.is_some_and(|cell| cell.symbol() != " ")
            };
            if at > 0 && symbol(frame, at) {
                let mut from = at;
                while from > 0 && symbol(frame, from - 1) {
                    from -= 1;
                }
                if at - from < 24 && at > from {
                    let gone = "…".to_owned() + &" ".repeat(usize::from(at - from - 1));
                    super::put(frame, area, row, from, &gone, paint.of(Meaning::Plain));
                }
            }
            super::put(frame, area, row, at, words, paint.of(Meaning::Key));
        };
        if top > 0 {
            more(frame, 0, &format!(" ↑ {top} more"));
        }
        let below = self.lines.len().saturating_sub(top + height);
        if below > 0 {
            more(frame, area.height - 1, &format!(" ↓ {below} more"));
        }
    }
}
