//! One calculator: its inputs as fields, its answer worked out again at every key.

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::view;
use crate::book::Problem;
use crate::desk::calculators::{Calculator, Input, Need, Outcome, Takes};
use crate::quantity::{Dimension, System, parse_burn_rate, show_both};
use crate::tui::action::{Act, Context};
use crate::tui::screens::{Cx, Screen, Step};
use crate::tui::widgets::Paint;
use crate::tui::widgets::field::Typed;
use crate::tui::widgets::live::{self, Live, LiveFields, Note};

/// A calculator being used.
pub(super) struct SheetScreen {
    pub(super) of: &'static Calculator,
    pub(super) fields: LiveFields,
    pub(super) outcome: Result<Outcome, Vec<Problem>>,
}

impl SheetScreen {
    /// A calculator with what was typed into it before.
    pub(super) fn new(of: &'static Calculator, cx: &Cx<'_>) -> Self {
        let kept = cx.kept.typed.get(of.name);
        let fields = of
            .inputs
            .iter()
            .map(|input| {
                let words = match input.takes {
                    Takes::Word(words) => words.iter().map(|word| (*word).to_owned()).collect(),
                    _ => Vec::new(),
                };
                let mut field = Live::new(input.name, &input.name.replace('_', " "), words);
                if let Some(typed) = kept.and_then(|kept| kept.get(input.name)) {
                    field.line.set(typed);
                }
                field
            })
            .collect();
        Self { of, fields: LiveFields::new(fields), outcome: Err(Vec::new()) }
    }

    /// The input in focus.
    pub(super) fn input(&self) -> Option<&'static Input> {
        self.of.inputs.get(self.fields.focus)
    }

    /// What is wrong with nothing that has a field.
    pub(super) fn homeless(&self) -> Vec<&Problem> {
        let problems = self.outcome.as_ref().err().map_or(&[][..], Vec::as_slice);
        problems.iter().filter(|it| self.of.input(&it.field).is_none()).collect()
    }

    fn work_out(&mut self, system: System) {
        let mut given = BTreeMap::new();
        for (input, field) in self.of.inputs.iter().zip(&self.fields.fields) {
            if !field.text().is_empty() {
                given.insert(input.name.to_owned(), in_users_units(input, field.text(), system));
            }
        }
        self.outcome = self.of.run(&given);
        let problems = self.outcome.as_ref().err().map_or(&[][..], Vec::as_slice);
        for (input, field) in self.of.inputs.iter().zip(&mut self.fields.fields) {
            let problem = problems.iter().find(|it| it.field == input.name);
            field.note = note(input, field.text(), problem, system);
        }
    }
}

/// A bare number is in the user's units, unless the calculator says which unit it means.
fn in_users_units(input: &Input, typed: &str, system: System) -> String {
    match input.takes {
        Takes::Quantity { dimension, absolute, bare: None, .. } => {
            live::with_unit(typed, dimension, absolute, system)
        }
        Takes::LengthOrNone => live::with_unit(typed, Dimension::Length, None, system),
        _ => typed.to_owned(),
    }
}

fn note(input: &Input, typed: &str, problem: Option<&Problem>, system: System) -> Note {
    if typed.is_empty() {
        return match (input.need, problem) {
            (_, Some(problem)) if !problem.message.starts_with("is missing") => {
                Note::Wrong(problem.message.clone())
            }
            (Need::Required, _) | (_, Some(_)) => Note::Says("needed".to_owned()),
            (Need::Optional, _) => Note::Says("may be left out".to_owned()),
            (Need::OneOf(words), _) => Note::Says(words.to_owned()),
            (Need::Default(words), _) => Note::Says(format!("{words} when left out")),
        };
    }
    if let Some(problem) = problem {
        return Note::Wrong(problem.message.clone());
    }
    let understood = match input.takes {
        Takes::Quantity { dimension, absolute, bare, .. } => {
            let typed = match bare {
                Some(unit) if crate::quantity::parse_number(typed).is_ok() => format!("{typed} {unit}"),
                _ => typed.to_owned(),
            };
            live::understood(&typed, dimension, absolute, system)
        }
        Takes::LengthOrNone => live::understood(typed, Dimension::Length, None, system),
        Takes::BurnRate => parse_burn_rate(typed)
            .ok()
            .map(|rate| format!("= {} at {}", show_both(rate.rate, system), show_both(rate.at, system))),
        _ => None,
    };
    understood.map_or(Note::None, Note::Says)
}

impl Screen for SheetScreen {
    fn context(&self) -> Context {
        self.fields.context()
    }

    fn title(&self) -> String {
        self.of.name.to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::Copy => self.outcome.is_ok(),
            Act::ClearFields => self.fields.fields.iter().any(|field| !field.text().is_empty()),
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let outcome = self.outcome.as_ref().ok()?;
        let mut lines = vec![self.of.name.to_owned()];
        for input in &outcome.inputs {
            lines.push(format!("{}\t{}", input.name, input.typed));
        }
        for it in &outcome.results {
            lines.push(format!("{}\t{}", it.output.label(), it.value.shown(it.output.shows, system)));
        }
        lines.push(format!("source\t{}", outcome.source));
        Some(lines.join("\n"))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.fields.act(act) {
            return;
        }
        if act == Act::Back {
            cx.go(Step::Back);
        }
    }

    fn live(&mut self) -> Option<&mut LiveFields> {
        Some(&mut self.fields)
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        let typed = self.fields.key(key);
        if typed == Typed::Changed {
            self.fields.answer.top = 0;
        }
        typed != Typed::NotMine
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if !std::mem::take(&mut self.fields.changed) {
            return;
        }
        self.work_out(cx.system);
        let typed: BTreeMap<String, String> = self
            .fields
            .fields
            .iter()
            .filter(|field| !field.text().is_empty())
            .map(|field| (field.name.clone(), field.line.text().to_owned()))
            .collect();
        if typed.is_empty() {
            cx.kept.typed.remove(self.of.name);
        } else {
            cx.kept.typed.insert(self.of.name, typed);
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
