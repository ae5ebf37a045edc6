//! The rules: each with its value, where that comes from, and who changed it.

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::{Cx, Screen, Step};
use crate::book::Kind;
use crate::quantity::System;
use crate::standing::RuleSet;
use crate::standing::distances;
use crate::standing::in_units::in_units;
use crate::standing::rules::{DEFAULTS, RuleSpec, with_unit};
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::field::Typed;
use crate::tui::widgets::filter::Filter;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column};
use crate::tui::widgets::{Paint, put};

/// The rules.
pub struct RulesScreen {
    rules: RuleSet,
    shown: Vec<&'static RuleSpec>,
    place: Place,
    filter: Filter,
    before: Option<&'static str>,
    writable: bool,
}

impl RulesScreen {
    /// Open the list.
    pub fn open(cx: &mut Cx<'_>) {
        match cx.desk.book().rules_on(cx.desk.day()) {
            Ok(rules) => {
                let mut screen = Self {
                    rules,
                    shown: Vec::new(),
                    place: Place::default(),
                    filter: Filter::default(),
                    before: None,
                    writable: cx.desk.book().writable(),
                };
                screen.arrange(None);
                cx.go(Step::Open(Box::new(screen)));
            }
            Err(error) => cx.say(error.to_string()),
        }
    }

    fn selected(&self) -> Option<&'static RuleSpec> {
        self.shown.get(self.place.selected).copied()
    }

    fn arrange(&mut self, stay_on: Option<&str>) {
        let text = |rule: &RuleSpec| {
            let changed = if self.rules.changed(rule.id).is_some() { "changed" } else { "" };
            format!("{} {} {} {changed}", rule.id, self.rules.says(rule.id), self.rules.source(rule.id))
        };
        let found = self.filter.choose(DEFAULTS.iter().map(text).collect::<Vec<_>>());
        self.shown = found.into_iter().filter_map(|at| DEFAULTS.get(at)).collect();
        self.place.selected =
            stay_on.and_then(|id| self.shown.iter().position(|rule| rule.id == id)).unwrap_or(0);
    }

    fn write(&self, rule: &RuleSpec, paper: &mut Paper, paint: &Paint) {
        let system = paint.system;
        let worth = |value: f64| in_units(&with_unit(value, rule.unit), system, true);
        paper.text(
            &format!("{}: {}", rule.id, self.rules.says_in(rule.id, system)),
            paint.of(Meaning::Strong),
        );
        match self.rules.changed(rule.id) {
            Some(change) => {
                let entry = change.entry;
                let words = format!("{} by entry {} on {}", change.by, entry.number, entry.on);
                paper.labelled("changed", &words, paint);
                paper.labelled("why", &change.reason, paint);
                let before = self.rules.history(rule.id).iter().rev().skip(1);
                for earlier in before {
                    let value = worth(earlier.value);
                    let words = format!(
                        "{value} by {}, entry {}: {}",
                        earlier.by, earlier.entry.number, earlier.reason
                    );
                    paper.labelled("before", &words, paint);
                }
                let default = worth(rule.value);
                paper.labelled("before", &format!("{default}; {}", rule.source), paint);
            }
            None => {
                paper.labelled("source", rule.source, paint);
                paper.labelled("changed", "never by this club", paint);
            }
        }
        if rule.id == "standoff-metal" {
            for table in distances::tables() {
                paper.labelled("table", &table, paint);
            }
        }
        // A change is typed in the unit the rule is kept in.
        let kept = self.rules.limit(rule.id);
        if self.rules.limit_in(rule.id, system) != kept {
            paper.labelled("kept as", &format!("{kept}; a change is typed in {}", rule.unit), paint);
        }
    }
}

impl Screen for RulesScreen {
    fn context(&self) -> Context {
        if self.filter.typing { Context::Filter } else { Context::Rules }
    }

    fn title(&self) -> String {
        "rules".to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::ChangeRule => self.writable && self.selected().is_some(),
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let rule = self.selected()?;
        let id = rule.id;
        let (limit, says) = (self.rules.limit_in(id, system), self.rules.says_in(id, system));
        Some(format!("{id}\t{limit}\t{says}\t{}", self.rules.source(id)))
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.shown.len()))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.shown.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::Filter => {
                self.filter.begin();
                self.before = self.selected().map(|rule| rule.id);
            }
            Act::KeepFilter => self.filter.typing = false,
            Act::ClearFilter => {
                self.filter.clear();
                let before = self.before.take();
                self.arrange(before);
            }
            Act::ChangeRule => {
                if let Some(rule) = self.selected() {
                    FormScreen::open(Kind::Rule, None, &[("rule", rule.id)], cx);
                }
            }
            _ => {}
        }
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        let typed = self.filter.key(key);
        if typed == Typed::Changed {
            self.arrange(None);
        }
        typed != Typed::NotMine
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        self.filter.paste(words);
        self.arrange(None);
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        match cx.desk.book().rules_on(cx.desk.day()) {
            Ok(rules) => {
                self.rules = rules;
                let selected = self.selected().map(|rule| rule.id);
                self.arrange(selected);
            }
            Err(error) => cx.say(error.to_string()),
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let top = self.filter.draw(frame, area, self.shown.len(), DEFAULTS.len(), paint);
        let rest = Rect { y: area.y + top.min(area.height), height: area.height.saturating_sub(top), ..area };
        let below = if area.height >= 26 { 8 } else { 5 };
        let (list, foot) = table::above_and_below(rest, self.shown.len(), below, 2);
        let columns = [
            column("Rule", 27, 0, 0),
            column("Value", 13, 0, 0),
            column("What it says", 30, 1, 1),
            column("Changed by", 22, 0, 2),
        ];
        let (rules, shown) = (&self.rules, &self.shown);
        table::draw(frame, list, &columns, &mut self.place, shown.len(), paint, |at| {
            let rule = shown[at];
            let changed = rules.changed(rule.id);
            let style = paint.of(if changed.is_some() { Meaning::Strong } else { Meaning::Plain });
            let mark = if changed.is_some() { "* " } else { "" };
            vec![
                (rule.id.to_owned(), paint.of(Meaning::Strong)),
                (format!("{mark}{}", rules.limit_in(rule.id, paint.system)), style),
                (rules.says_in(rule.id, paint.system), style),
                (
                    changed.map_or_else(String::new, |it| format!("{}, entry {}", it.by, it.entry.number)),
                    style,
                ),
            ]
        });
        if shown.is_empty() {
            put(frame, list, 1, 0, "No rule holds these words.", paint.of(Meaning::Plain));
        }
        let rows = Rect { y: list.y + 1.min(list.height), height: list.height.saturating_sub(1), ..list };
        self.filter.mark(frame, rows, paint);
        let mut paper = Paper::new(usize::from(foot.width));
        if let Some(rule) = self.selected() {
            self.write(rule, &mut paper, paint);
        }
        paper.draw(frame, foot, 0, paint);
    }
}
