//! Ask about another day: who may fly on Saturday?

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::{Cx, Screen, Step};
use crate::book::reader::read_date;
use crate::tui::action::{Act, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::field::{LineField, Typed};
use crate::tui::widgets::{Paint, put};

/// Typing a day.
#[derive(Default)]
pub struct Day {
    field: LineField,
    wrong: Option<String>,
}

impl Screen for Day {
    fn context(&self) -> Context {
        Context::Day
    }

    fn title(&self) -> String {
        "as of".to_owned()
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        match act {
            Act::Back => cx.go(Step::Back),
            Act::TakeDay => {
                let words = self.field.text().trim().to_owned();
                if words.is_empty() {
                    cx.desk.ask_for(None);
                } else {
                    match read_date(&words, cx.desk.today()) {
                        Ok(day) => cx.desk.ask_for(Some(day).filter(|day| *day != cx.desk.today())),
                        Err(message) => {
                            self.wrong = Some(message);
                            return;
                        }
                    }
                }
                cx.go(Step::Back);
                cx.go(Step::LookAgain);
            }
            _ => {}
        }
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        let typed = self.field.key(key);
        if typed == Typed::Changed {
            self.wrong = None;
        }
        typed != Typed::NotMine
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        self.field.paste(words);
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        put(frame, area, 1, 2, "Show how every casing stands on which day?", paint.of(Meaning::Heading));
        let line = Rect {
            x: area.x + 2.min(area.width),
            y: area.y + 3.min(area.height.saturating_sub(1)),
            width: area.width.saturating_sub(4).min(24),
            height: area.height.min(1),
        };
        self.field.draw(frame, line, true, paint);
        put(
            frame,
            area,
            5,
            2,
            "2026-10-17, or 17 Oct 2026. Leave it empty for today.",
            paint.of(Meaning::Plain),
        );
        let counts =
            "A later day counts only what is on record now; an earlier one, what had happened by then.";
        let mut row = 6;
        for line in text::wrap(counts, usize::from(area.width.saturating_sub(4))) {
            put(frame, area, row, 2, &line, paint.of(Meaning::Plain));
            row += 1;
        }
        if let Some(wrong) = &self.wrong {
            put(frame, area, row + 1, 2, &format!("! {wrong}"), paint.of(Meaning::Forbids));
        }
    }
}
