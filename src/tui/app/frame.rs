//! What stands around every screen: the bar above it, what was said, and the keys offered now.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::App;
use crate::quantity::System;
use crate::tui::action::{self, Act};
use crate::tui::theme::Meaning;
use crate::tui::widgets::{Paint, put};
use crate::tui::{ascii, text};

/// The least the screens need.
pub const LEAST: (u16, u16) = (60, 16);

/// One key of the footer: its name, its label, and what it does.
type Hint = (String, String, Act);

/// The way to a screen: whose page it is, is said once.
fn steps_of(titles: &[String]) -> Vec<String> {
    let said_before = |at: usize, title: &str| {
        let before = titles.iter().take(at).filter_map(|it| title.strip_prefix(it)?.strip_prefix(' '));
        before.min_by_key(|rest| rest.len()).map(str::to_owned)
    };
    titles.iter().enumerate().map(|(at, it)| said_before(at, it).unwrap_or_else(|| it.clone())).collect()
}

impl App {
    /// Draw everything.
    pub fn draw(&mut self, frame: &mut Frame<'_>) {
        self.hints.clear();
        self.draw_all(frame);
        ascii::only(frame.buffer_mut(), self.options.signs);
    }

    fn draw_all(&mut self, frame: &mut Frame<'_>) {
        let area = frame.area();
        let paint = Paint { theme: self.theme, system: self.system, keys: &self.options.keys };
        if area.width < LEAST.0 || area.height < LEAST.1 {
            let words = format!("needs {}×{}, have {}×{}", LEAST.0, LEAST.1, area.width, area.height);
            for (row, line) in (0..).zip(text::wrap(&words, usize::from(area.width))) {
                put(frame, area, row, 0, &line, paint.of(Meaning::Strong));
            }
            return;
        }
        let footer = self.footer(usize::from(area.width));
        let message = self.message.as_ref().map(|words| text::wrap(words, usize::from(area.width - 2)));
        let message = message.map(|lines| lines.into_iter().take(3).collect::<Vec<_>>()).unwrap_or_default();
        let below = u16::try_from(footer.len() + message.len()).unwrap_or(0);
        self.draw_bar(frame, area, &paint);
        let body = Rect { y: area.y + 1, height: area.height.saturating_sub(1 + below), ..area };
        let base = self.screens.iter().rposition(|screen| !screen.floats()).unwrap_or(0);
        for screen in self.screens.iter_mut().skip(base) {
            screen.draw(frame, body, &paint);
        }
        let mut row = area.height - below;
        for line in message {
            let line = text::pad(&format!("» {line}"), usize::from(area.width));
            put(frame, area, row, 0, &line, paint.of(Meaning::Strong));
            row += 1;
        }
        for line in footer {
            let mut column = 0;
            for (keys, label, act) in line {
                let wide = text::width(&keys) + text::width(&label) + 1;
                let place = Rect {
                    x: area.x + column.min(area.width),
                    y: area.y + row,
                    width: u16::try_from(wide).unwrap_or(0),
                    height: 1,
                };
                self.hints.push((place, act));
                put(frame, area, row, column, &keys, paint.of(Meaning::Bar));
                column += u16::try_from(text::width(&keys)).unwrap_or(0);
                put(frame, area, row, column, &format!(" {label}"), paint.of(Meaning::Plain));
                column += u16::try_from(text::width(&label)).unwrap_or(0) + 3;
            }
            row += 1;
        }
    }

    /// The bar: where one is, and the day everything is judged on.
    fn draw_bar(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let day = self.desk.day();
        let (why, brief) = if day != self.desk.today() {
            (", asked for", ", asked for")
        } else if self.desk.book().fixed_day().is_some() {
            (", fixed by this demo book", ", demo")
        } else {
            ("", "")
        };
        let units = match self.system {
            System::Si => "metric",
            System::Us => "US units",
        };
        let mut titles: Vec<String> =
            self.screens.iter().map(|screen| text::clean(&screen.title())).collect();
        let mut path = steps_of(&titles);
        // The day is always said; where one is comes before all that is said about the day.
        let ways = [
            format!("as of {}{why} · {units} ", day.format("%a %Y-%m-%d")),
            format!("as of {day}{why} · {units} "),
            format!("as of {day}{brief} · {units} "),
            format!("as of {day}{brief} "),
        ];
        let width = usize::from(area.width);
        let room = |words: &str| width.saturating_sub(text::width(words) + 1);
        let fits = |path: &[String], words: &str| text::width(&path.join(" › ")) + 3 <= room(words);
        let all = ways.iter().skip(if width < 80 { 3 } else { 0 }).find(|words| fits(&path, words));
        let words = all.cloned().unwrap_or_else(|| {
            while titles.len() > 1 && !fits(&path, &ways[3]) {
                titles.remove(0);
                path = steps_of(&titles);
            }
            if fits(&path, &ways[3]) { ways[3].clone() } else { format!("as of {day} ") }
        });
        let room = room(&words);
        let left = text::pad(&format!(" {}", path.join(" › ")), room);
        put(frame, area, 0, 0, &format!("{left} {words}"), paint.of(Meaning::Bar));
    }

    /// The keys offered now, the most wanted first, in as many lines as fit two.
    fn footer(&self, width: usize) -> Vec<Vec<Hint>> {
        let Some(top) = self.screens.last() else { return Vec::new() };
        let mut actions: Vec<&action::Action> =
            action::offered(top.context()).filter(|it| it.bar > 0 && top.offers(it.act)).collect();
        let undone = self.kept.written.iter().any(|(number, casing)| top.takes_back(*number, casing));
        actions.retain(|it| it.act != Act::Undo || undone);
        actions.sort_by_key(|it| top.need(it));
        // The way out and the help are always there, at the end.
        let (last, first): (Vec<_>, Vec<_>) =
            actions.into_iter().partition(|it| matches!(it.act, Act::Back | Act::Quit | Act::Help));
        let hint = |action: &action::Action| {
            let keys = format!(
                " {} ",
                self.options.keys.keys(action).first().map_or_else(String::new, |key| key.name())
            );
            (keys, top.label(action.act).unwrap_or(action.label).to_owned(), action.act)
        };
        let wide = |(keys, label, _): &Hint| text::width(keys) + text::width(label) + 3;
        let last: Vec<Hint> = last.into_iter().map(hint).collect();
        let reserved: usize = last.iter().map(wide).sum();
        let first: Vec<Hint> = first.into_iter().map(hint).collect();
        let room = width + 2;
        let all: usize = first.iter().map(wide).sum::<usize>() + reserved;
        let mut lines = vec![Vec::new()];
        let mut used = 0;
        for hint in first {
            let on_last_line = lines.len() == 2 || all <= room;
            let limit = if on_last_line { room.saturating_sub(reserved) } else { room };
            if used + wide(&hint) > limit {
                if lines.len() == 2 || all <= room {
                    break;
                }
                lines.push(Vec::new());
                used = 0;
            }
            used += wide(&hint);
            if let Some(line) = lines.last_mut() {
                line.push(hint);
            }
        }
        if used + reserved > room && lines.len() < 2 {
            lines.push(Vec::new());
        }
        if let Some(line) = lines.last_mut() {
            line.extend(last);
        }
        lines
    }
}
