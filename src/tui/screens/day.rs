//! Ask about another day: who may fly on Saturday?

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use chrono::{Datelike, Days, NaiveDate, Weekday};

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
    /// The day that what is typed means.
    meant: Option<NaiveDate>,
}

/// A day as a person asks about one: a date, a day from now, or the next day of a name.
fn day_asked(words: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let words = words.trim().to_lowercase();
    let words = words.strip_prefix("next ").or_else(|| words.strip_prefix("on ")).unwrap_or(&words);
    let from_now = |days: u64| {
        let day = today.checked_add_days(Days::new(days)).filter(|day| day.year() < 2200);
        day.ok_or_else(|| format!("{days} days from now is too far"))
    };
    if words == "tomorrow" {
        return from_now(1);
    }
    if let Some(days) = words.strip_prefix('+').and_then(|days| days.trim().parse().ok()) {
        return from_now(days);
    }
    if let Ok(named) = words.parse::<Weekday>() {
        let ahead = named.days_since(today.weekday());
        return from_now(if ahead == 0 { 7 } else { ahead.into() });
    }
    read_date(words, today).map_err(|wrong| format!("{wrong}, saturday, tomorrow, +7"))
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
                    match day_asked(&words, cx.desk.today()) {
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

    fn settle(&mut self, cx: &mut Cx<'_>) {
        self.meant = day_asked(self.field.text(), cx.desk.today()).ok();
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
        if let Some(day) = self.meant {
            let words = format!("= {}", day.format("%A %-d %B %Y"));
            put(frame, area, 3, line.width + 4, &words, paint.of(Meaning::Strong));
        }
        put(
            frame,
            area,
            5,
            2,
            "saturday, tomorrow, +7, 2026-10-17 or 17 Oct 2026. Leave it empty for today.",
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
