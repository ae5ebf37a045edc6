//! Deciding: the rule trail, the competing causes, and every decision tried on the record. Enter opens the form
//! filled in, to be read over and signed: by two people where the record asks for two.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::{Cx, Screen, Step, named};
use crate::book::Standing;
use crate::desk::decide::Deciding;
use crate::quantity::System;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::scroll::Scroll;
use crate::tui::widgets::table::{self, Place, column};
use crate::tui::widgets::{Paint, put, reasons};

/// What waits for a decision.
pub struct DecideScreen {
    of: Deciding,
    /// The casing's serial and name.
    who: String,
    place: Place,
    scroll: Scroll,
}

impl DecideScreen {
    /// Open it for a casing.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        match cx.desk.deciding(serial) {
            Ok(of) => {
                let of = of.shown(cx.system);
                let who = named(serial, cx.desk);
                let (place, scroll) = (Place::default(), Scroll::default());
                cx.go(Step::Open(Box::new(Self { of, who, place, scroll })));
            }
            Err(_) => cx.say("What waits for a decision cannot be read."),
        }
    }
}

impl Screen for DecideScreen {
    fn context(&self) -> Context {
        Context::Decide
    }

    fn title(&self) -> String {
        format!("{} deciding", self.who)
    }

    fn offers(&self, act: Act) -> bool {
        act != Act::ChooseDecision || !self.of.proposals.is_empty()
    }

    fn copy(&self, _system: System) -> Option<String> {
        Some(crate::report::decide::as_text(&self.of))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.scroll.turn(act) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::ChooseDecision => {
                if let Some(it) = self.of.proposals.get(self.place.selected) {
                    let given: Vec<(&str, &str)> =
                        it.given.iter().map(|(name, words)| (name.as_str(), words.as_str())).collect();
                    // A decision on a part, and a part's release, are about the part.
                    let of_part = it.given.iter().any(|(name, _)| name == "part");
                    let casing = (!of_part).then_some(self.of.serial.as_str());
                    FormScreen::open(it.form, casing, &given, cx);
                }
            }
            other => {
                if self.place.act(other, self.of.proposals.len()) {
                    self.scroll.top = 0;
                }
            }
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        if let Ok(of) = cx.desk.deciding(&self.of.serial) {
            self.of = of.shown(cx.system);
            self.place.selected = self.place.selected.min(self.of.proposals.len().saturating_sub(1));
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let asked = self.of.proposals.iter().find(|it| it.asked_for);
        // Promised only where one name would leave something open.
        let two = if self.of.two_names() { " Two people decide." } else { "" };
        let answer = match (self.of.standing, asked) {
            (Standing::Retired, _) => {
                "Retired, and final. Release or retire its parts one by one.".to_owned()
            }
            (_, Some(it)) => format!("The rules ask for: {}.{two}", it.what),
            (standing, None) if standing.forbids() => {
                format!("It stands {standing}; no rule asks for one decision.{two}")
            }
            _ => "Nothing waits for a decision.".to_owned(),
        };
        put(frame, area, 0, 0, &answer, paint.of(Meaning::Strong));
        let rest = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
        let rows = u16::try_from(self.of.proposals.len() + 1).unwrap_or(u16::MAX).min(rest.height / 2).max(2);
        let list = Rect { height: rows.min(rest.height), ..rest };
        let foot = Rect {
            y: rest.y + (rows + 1).min(rest.height),
            height: rest.height.saturating_sub(rows + 1),
            ..rest
        };
        let columns = [
            column("  What", 15, 0, 0),
            column("It would stand", 14, 0, 0),
            column("Why, and what stays open", 30, 1, 0),
        ];
        let of = &self.of;
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, list, &columns, &mut self.place, of.proposals.len(), paint, |at| {
            let it = &of.proposals[at];
            let leads =
                it.leads_to.map_or_else(String::new, |standing| format!("{} {standing}", standing.sign()));
            vec![
                (format!("{} {}", if it.asked_for { ">" } else { " " }, it.what), paint.of(Meaning::Strong)),
                (leads, it.leads_to.map_or(plain, |standing| paint.theme.standing(standing))),
                (it.why.clone(), plain),
            ]
        });
        let mut paper = Paper::new(usize::from(foot.width));
        if let Some(it) = of.proposals.get(self.place.selected) {
            paper.labelled("why", &it.why, paint);
            let shown = it
                .given
                .iter()
                .filter(|(name, _)| !matches!(name.as_str(), "decision" | "reason" | "casing"));
            for (name, words) in shown {
                let lead = format!("  {}: ", name.replace('_', " "));
                paper.hang(&lead, paint.of(Meaning::Label), words, plain);
            }
        }
        if !of.trail.is_empty() {
            paper.text("The rule trail", paint.of(Meaning::Heading));
        }
        for reason in &of.trail {
            reasons::reason(&mut paper, reason, paint);
        }
        if !of.causes.is_empty() {
            paper.text("Competing causes, the most argued for first; no verdict", paint.of(Meaning::Heading));
        }
        for cause in &of.causes {
            paper.hang("  ", plain, cause, plain);
        }
        self.scroll.draw(&paper, frame, foot, paint);
    }
}
