//! What matters on a screen in big letters, to be read back over a shoulder or across a bench.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Widget;
use tui_big_text::{BigText, PixelSize};

use super::{Cx, Screen, Step};
use crate::quantity::System;
use crate::tui::action::{Act, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::{Paint, put};

/// A label and what is read back.
pub type Said = (String, String);

/// The big letters.
pub struct Big {
    said: Vec<Said>,
    top: usize,
}

/// The rows of one line: its label, its letters, a gap.
const TALL: u16 = 6;

impl Big {
    /// What is read back, the first on top.
    pub const fn new(said: Vec<Said>) -> Self {
        Self { said, top: 0 }
    }
}

/// Text in letters four rows tall, as wide as there is room for: eight columns a letter, else four, else as typed.
pub fn draw(words: &str, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let words = text::clean(words);
    let letters = text::width(&words);
    let room = usize::from(area.width);
    // The letters come from a font of ASCII; anything else is shown as it is.
    let pixels = if !words.is_ascii() || area.height < 4 || letters * 4 > room {
        put(frame, area, 0, 0, &words, paint.of(Meaning::Strong));
        return;
    } else if letters * 8 <= room {
        PixelSize::HalfHeight
    } else {
        PixelSize::Quadrant
    };
    BigText::builder()
        .pixel_size(pixels)
        .style(paint.of(Meaning::Strong))
        .lines(vec![Line::from(words)])
        .build()
        .render(Rect { height: 4, ..area }, frame.buffer_mut());
}

impl Screen for Big {
    fn context(&self) -> Context {
        Context::Read
    }

    fn title(&self) -> String {
        "read back".to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        !matches!(act, Act::Rig | Act::WriteAgain)
    }

    fn copy(&self, _system: System) -> Option<String> {
        Some(
            self.said.iter().map(|(label, value)| format!("{label}\t{value}")).collect::<Vec<_>>().join("\n"),
        )
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        let last = self.said.len().saturating_sub(1);
        match act {
            Act::Back | Act::GoOn => cx.go(Step::Back),
            Act::Up | Act::PageUp => self.top = self.top.saturating_sub(1),
            Act::Down | Act::PageDown => self.top = (self.top + 1).min(last),
            Act::First => self.top = 0,
            Act::Last => self.top = last,
            _ => {}
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let mut row = 0;
        for (label, value) in self.said.iter().skip(self.top) {
            if row + TALL > area.height + 1 {
                break;
            }
            let line = Rect { y: area.y + row, height: area.height - row, ..area };
            put(frame, line, 0, 1, &format!("{label}: {value}"), paint.of(Meaning::Label));
            let letters = Rect {
                x: line.x + 1,
                y: line.y + 1,
                width: line.width.saturating_sub(1),
                height: line.height.saturating_sub(1),
            };
            draw(value, frame, letters, paint);
            row += TALL;
        }
        let shown = usize::from(row / TALL);
        let below = self.said.len().saturating_sub(self.top + shown);
        if below > 0 && area.height > 0 {
            let words = format!("↓ {below} more ");
            let column = area.width.saturating_sub(u16::try_from(text::width(&words)).unwrap_or(0));
            put(frame, area, area.height - 1, column, &words, paint.of(Meaning::Key));
        }
    }
}
