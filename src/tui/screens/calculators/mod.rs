//! The shop calculators: a list to choose from, and a sheet that works out its answer at every key.

mod sheet;
mod view;

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::{Cx, Screen, Step};
use crate::desk::calculators::{self, Calculator};
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::Paint;
use crate::tui::widgets::field::Typed;
use crate::tui::widgets::filter::Filter;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column};
use sheet::SheetScreen;

/// The list of calculators.
pub struct CalculatorsScreen {
    all: Vec<&'static Calculator>,
    shown: Vec<usize>,
    place: Place,
    filter: Filter,
    before: Option<&'static str>,
    /// Those with something typed into them in this run.
    begun: Vec<&'static str>,
}

impl CalculatorsScreen {
    /// Open the list, on the calculator used last.
    pub fn open(cx: &mut Cx<'_>) {
        let mut screen = Self {
            all: calculators::list().collect(),
            shown: Vec::new(),
            place: Place::default(),
            filter: Filter::default(),
            before: None,
            begun: Vec::new(),
        };
        screen.arrange(cx.kept.calculator);
        cx.go(Step::Open(Box::new(screen)));
    }

    fn selected(&self) -> Option<&'static Calculator> {
        self.shown.get(self.place.selected).and_then(|at| self.all.get(*at)).copied()
    }

    fn arrange(&mut self, stay_on: Option<&str>) {
        let text = |it: &Calculator| {
            let results: Vec<&str> = it.results.iter().map(|it| it.help).collect();
            format!("{} {} {}", it.name, it.purpose, results.join(" "))
        };
        self.shown = self.filter.choose(self.all.iter().map(|it| text(it)));
        // What the names hold comes before what only the results hold.
        let words = self.filter.words();
        self.shown.sort_by_key(|at| {
            let name = self.all[*at].name;
            !words.iter().any(|word| name.contains(word.as_str()))
        });
        self.place.selected =
            stay_on.and_then(|name| self.shown.iter().position(|at| self.all[*at].name == name)).unwrap_or(0);
    }
}

impl Screen for CalculatorsScreen {
    fn context(&self) -> Context {
        if self.filter.typing { Context::Filter } else { Context::Calculators }
    }

    fn title(&self) -> String {
        "calculators".to_owned()
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
                self.before = self.selected().map(|it| it.name);
            }
            Act::KeepFilter => self.filter.typing = false,
            Act::ClearFilter => {
                self.filter.clear();
                let before = self.before.take();
                self.arrange(before);
            }
            Act::OpenCalculator => {
                if let Some(calculator) = self.selected() {
                    cx.kept.calculator = Some(calculator.name);
                    cx.go(Step::Open(Box::new(SheetScreen::new(calculator, cx))));
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

    fn settle(&mut self, cx: &mut Cx<'_>) {
        self.begun = cx.kept.typed.keys().copied().collect();
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let top = self.filter.draw(frame, area, self.shown.len(), self.all.len(), paint);
        let below = if area.height >= 26 { 9 } else { 5 };
        let rest = Rect { y: area.y + top.min(area.height), height: area.height.saturating_sub(top), ..area };
        let (list, foot) = table::above_and_below(rest, self.shown.len(), below, 2);
        let columns = [column("Calculator", 19, 0, 0), column("What it is for", 40, 1, 1)];
        let (all, shown, begun) = (&self.all, &self.shown, &self.begun);
        table::draw(frame, list, &columns, &mut self.place, shown.len(), paint, |at| {
            let it = all[shown[at]];
            let mark = if begun.contains(&it.name) { " *" } else { "" };
            vec![
                (format!("{}{mark}", it.name), paint.of(Meaning::Strong)),
                (it.purpose.to_owned(), paint.of(Meaning::Plain)),
            ]
        });
        if shown.is_empty() {
            let words = "No calculator holds these words.";
            crate::tui::widgets::put(frame, list, 1, 0, words, paint.of(Meaning::Plain));
        }
        self.filter.mark(frame, Rect { y: list.y + 1, height: list.height.saturating_sub(1), ..list }, paint);
        let mut paper = Paper::new(usize::from(foot.width));
        if let Some(it) = self.selected() {
            let takes: Vec<String> = it.inputs.iter().map(|it| it.name.replace('_', " ")).collect();
            paper.labelled("takes", &takes.join(", "), paint);
            paper.labelled("formula", it.formula, paint);
            paper.labelled("source", it.source, paint);
        }
        paper.draw(frame, foot, 0, paint);
    }
}
