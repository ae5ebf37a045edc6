//! Everything about one part, wherever it was fitted.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::read::Read;
use super::{Cx, Screen, Step};
use crate::desk::part::PartPage;
use crate::desk::view::said_of;
use crate::quantity::{Length, Quantity, System, show};
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column, numbers};

/// A part's page.
pub struct PartScreen {
    page: PartPage,
    place: Place,
}

impl PartScreen {
    /// Open the page of a part.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        match cx.desk.part(serial) {
            Ok(page) => {
                let place = Place { selected: page.lines.len().saturating_sub(1), ..Place::default() };
                cx.go(Step::Open(Box::new(Self { page, place })));
            }
            Err(_) => cx.say(format!("No part {serial} is on record: register it with {{log-anything}}.")),
        }
    }
}

impl Screen for PartScreen {
    fn context(&self) -> Context {
        Context::Part
    }

    fn title(&self) -> String {
        self.page.record.serial.clone()
    }

    fn copy(&self, system: System) -> Option<String> {
        Some(crate::report::part::as_text(&self.page, system))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.page.lines.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::OpenEntry => {
                if let Some((line, _)) = self.page.lines.get(self.place.selected) {
                    cx.go(Step::Open(Box::new(Read::entry(line, cx))));
                }
            }
            Act::WriteAgain => {
                if let Some((line, _)) = self.page.lines.get(self.place.selected) {
                    FormScreen::write_again(line.entry.id, cx);
                }
            }
            _ => {}
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        if let Ok(page) = cx.desk.part(&self.page.record.serial) {
            self.page = page;
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let plain = paint.of(Meaning::Plain);
        let mut head = Paper::new(usize::from(area.width));
        let answer = format!("{} {}: {}", self.page.record.what, self.page.record.serial, self.page.answer());
        let style = match (self.page.retired.is_some(), self.page.left()) {
            (true, _) | (_, Some(0)) => Meaning::Forbids,
            (_, Some(1)) => Meaning::Warns,
            _ => Meaning::Strong,
        };
        head.text(&answer, paint.of(style));
        for stay in &self.page.stays {
            let until = stay.until.map_or_else(|| "now".to_owned(), |day| day.to_string());
            let throat = stay.throat_m.map_or_else(String::new, |it| {
                format!(", throat {}", show(Length::from_si(it), paint.system))
            });
            let words = format!(
                "{} to {until}: {}, {}, {}{throat}",
                stay.from.on,
                stay.casing,
                crate::quantity::counted(stay.firings, "firing"),
                crate::quantity::counted(stay.proofs, "proof")
            );
            head.hang("  ", plain, &words, plain);
        }
        if let Some(throat) = self.page.throat_m {
            head.labelled("throat", &show(Length::from_si(throat), paint.system), paint);
        }
        let tall = u16::try_from(head.len()).unwrap_or(u16::MAX).min(area.height / 2);
        head.draw(frame, Rect { height: tall, ..area }, 0, paint);
        let list = Rect {
            y: area.y + (tall + 1).min(area.height),
            height: area.height.saturating_sub(tall + 1),
            ..area
        };
        let columns = [
            numbers("Entry", 5, 3),
            column("Date", 10, 0, 0),
            column("Kind", 11, 0, 1),
            column("In", 9, 0, 0),
            column("What it says", 20, 1, 0),
        ];
        let lines = &self.page.lines;
        table::draw(frame, list, &columns, &mut self.place, lines.len(), paint, |at| {
            let (line, casing) = &lines[at];
            let style = if line.struck_by.is_some() { paint.of(Meaning::Struck) } else { plain };
            let said = said_of(line, paint.system).replace('\n', " ");
            // In words, too: not every terminal strikes through.
            let words = line.struck_by.map_or_else(|| said.clone(), |by| format!("struck by {by}: {said}"));
            vec![
                (line.entry.number.to_string(), style),
                (line.entry.entry.happened_on.to_string(), style),
                (line.entry.kind().to_string(), style),
                (casing.clone().unwrap_or_default(), style),
                (words, style),
            ]
        });
    }
}
