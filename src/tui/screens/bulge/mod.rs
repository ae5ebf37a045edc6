//! A bulge as read: stress against strength, what argues for which cause, and who shares the trait.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::casing::CasingScreen;
use super::decide::DecideScreen;
use super::{Cx, Screen, Step};
use crate::desk::bulge::Bulge;
use crate::quantity::System;
use crate::report::bulge as words;
use crate::standing::in_units::in_units;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::scroll::Scroll;
use crate::tui::widgets::table::{self, Place, column};

/// A bulge.
pub struct BulgeScreen {
    serial: String,
    of: Bulge,
    writable: bool,
    place: Place,
    scroll: Scroll,
}

impl BulgeScreen {
    /// Open it for a casing; where nothing grew, that is said instead.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        match cx.desk.bulge(serial) {
            Ok(of) if of.reading.is_some() => cx.go(Step::Open(Box::new(Self {
                serial: serial.to_owned(),
                of,
                writable: cx.desk.book().writable(),
                place: Place::default(),
                scroll: Scroll::default(),
            }))),
            Ok(_) => cx.say("Nothing on record has grown that a gauge could see."),
            Err(_) => cx.say("The bulge cannot be read."),
        }
    }
}

impl Screen for BulgeScreen {
    fn context(&self) -> Context {
        Context::Bulge
    }

    fn title(&self) -> String {
        "bulge".to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::OpenShared => !self.of.sharing.is_empty(),
            Act::LogDecision => self.writable,
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        Some(words::as_text(&self.serial, &self.of, system))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.scroll.turn(act) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::LogDecision => DecideScreen::open(&self.serial, cx),
            Act::OpenShared => {
                if let Some(it) = self.of.sharing.get(self.place.selected) {
                    let serial = it.serial.clone();
                    CasingScreen::open(&serial, cx);
                }
            }
            other => {
                self.place.act(other, self.of.sharing.len());
            }
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        if let Ok(of) = cx.desk.bulge(&self.serial) {
            self.of = of;
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let rows = u16::try_from(self.of.sharing.len() + 1).unwrap_or(u16::MAX).min(area.height / 3).max(2);
        let upper = Rect { height: area.height.saturating_sub(rows + 1), ..area };
        let lower =
            Rect { y: area.y + upper.height + 1.min(area.height), height: rows.min(area.height), ..area };
        let mut paper = Paper::new(usize::from(area.width));
        self.write(&mut paper, paint);
        self.scroll.draw(&paper, frame, upper, paint);
        let columns = [
            column("Shares a trait", 14, 0, 0),
            column("Name", 10, 0, 1),
            column("Standing", 13, 0, 0),
            column("What", 24, 1, 0),
        ];
        let sharing = &self.of.sharing;
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, lower, &columns, &mut self.place, sharing.len(), paint, |at| {
            let it = &sharing[at];
            vec![
                (it.serial.clone(), paint.of(Meaning::Strong)),
                (it.name.clone().unwrap_or_default(), plain),
                (format!("{} {}", it.standing.sign(), it.standing), paint.theme.standing(it.standing)),
                (in_units(&it.traits.join(", "), paint.system, false), plain),
            ]
        });
    }
}

impl BulgeScreen {
    fn write(&self, paper: &mut Paper, paint: &Paint) {
        let Some(reading) = &self.of.reading else { return };
        let plain = paint.of(Meaning::Plain);
        let ours = |words: &str| in_units(words, paint.system, true);
        paper.text(&words::place(reading, paint.system), paint.of(Meaning::Strong));
        paper.labelled("peak", &words::stress(reading, paint.system), paint);
        for (line, strength) in words::strengths(reading, paint.system).into_iter().zip(&reading.strengths) {
            let over = strength.share >= 1.0;
            let style = if over { paint.of(Meaning::Forbids) } else { plain };
            paper.hang(if over { "  ! " } else { "    " }, style, &line, style);
        }
        paper.text(words::NO_VERDICT, paint.of(Meaning::Heading));
        for (at, cause) in reading.causes.iter().enumerate() {
            paper.text(
                &format!(
                    "{}. {}: {} for, {} against",
                    at + 1,
                    cause.cause,
                    cause.argues_for.len(),
                    cause.argues_against.len()
                ),
                paint.of(Meaning::Strong),
            );
            for words in &cause.argues_for {
                paper.hang("   + ", paint.of(Meaning::Key), &ours(words), plain);
            }
            for words in &cause.argues_against {
                paper.hang("   - ", paint.of(Meaning::Key), &ours(words), plain);
            }
            paper.hang("   next: ", paint.of(Meaning::Label), cause.look_next, plain);
        }
    }
}
