//! The rack: every casing at a glance, the answer first, and why.

mod view;

use std::sync::Arc;

use chrono::NaiveDate;
use ratatui::Frame;
use ratatui::crossterm::event::{KeyEvent, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Rect;

use super::bench::BenchScreen;
use super::big::Said;
use super::calculators::CalculatorsScreen;
use super::casing::CasingScreen;
use super::day::Day;
use super::due::DueScreen;
use super::form::FormScreen;
use super::menu::Menu;
use super::prefire::LoadsScreen;
use super::rules::RulesScreen;
use super::trace::TraceScreen;
use super::{Cx, Screen, Step, form_of};
use crate::book::Kind;
use crate::desk::view::RackLine;
use crate::quantity::System;
use crate::store::RackRow;
use crate::tui::action::{Act, Context};
use crate::tui::widgets::Paint;
use crate::tui::widgets::field::Typed;
use crate::tui::widgets::filter::Filter;
use crate::tui::widgets::table::Place;

/// How the rack is sorted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Order {
    /// By serial.
    Serial,
    /// The worst standing first.
    #[default]
    Worst,
    /// What is due first.
    Due,
    /// The thinnest margin first.
    Margin,
}

impl Order {
    const fn next(self) -> Self {
        match self {
            Self::Worst => Self::Serial,
            Self::Serial => Self::Due,
            Self::Due => Self::Margin,
            Self::Margin => Self::Worst,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Worst => "worst first",
            Self::Serial => "by serial",
            Self::Due => "by what is due next",
            Self::Margin => "by the thinnest margin",
        }
    }
}

/// The rack.
#[derive(Default)]
pub struct RackScreen {
    rows: Arc<Vec<RackRow>>,
    /// What the filter looks at, row by row, in lower case; made when somebody filters.
    texts: Vec<String>,
    /// Every row, in the order asked for.
    sorted: Vec<usize>,
    /// The order they were sorted in, until other rows are read.
    sorted_by: Option<Order>,
    /// Which rows are shown, in order.
    shown: Vec<usize>,
    order: Order,
    place: Place,
    filter: Filter,
    /// Where the selection was before the filter, to go back to.
    before: Option<String>,
    /// The selected casing's reasons.
    line: Option<RackLine>,
    /// The newest half-typed form: its kind and subject.
    draft: Option<(String, String)>,
    drafts: usize,
    writable: bool,
    loaded: bool,
}

impl RackScreen {
    /// The serial of the selected casing.
    pub fn selected(&self) -> Option<&str> {
        self.selected_row().map(|row| row.serial.as_str())
    }

    fn selected_row(&self) -> Option<&RackRow> {
        self.shown.get(self.place.selected).and_then(|at| self.rows.get(*at))
    }

    /// Sort and filter again, and stay on the same casing.
    fn arrange(&mut self, stay_on: Option<String>) {
        self.sort();
        self.shown = if self.filter.is_empty() {
            self.sorted.clone()
        } else {
            if self.texts.len() != self.rows.len() {
                self.texts = self.rows.iter().map(filtered_text).collect();
            }
            let texts = &self.texts;
            self.filter.choose_in_order(&self.sorted, |at| &texts[at])
        };
        self.place.selected = stay_on
            .and_then(|serial| self.shown.iter().position(|at| self.rows[*at].serial == serial))
            .unwrap_or(self.place.selected.min(self.shown.len().saturating_sub(1)));
    }

    /// Sort every row, where they are not in that order already.
    fn sort(&mut self) {
        if self.sorted_by == Some(self.order) {
            return;
        }
        self.sorted_by = Some(self.order);
        let (order, rows) = (self.order, &self.rows);
        let mut sorted: Vec<usize> = (0..rows.len()).collect();
        // Retired casings are out of the race: what somebody can still act on comes first.
        sorted.sort_unstable_by(|one, other| {
            let (one, other) = (&rows[*one], &rows[*other]);
            let retired = |row: &RackRow| row.standing == crate::book::Standing::Retired;
            let by_order = match order {
                Order::Serial => return one.serial.cmp(&other.serial),
                Order::Worst => one.standing.cmp(&other.standing),
                Order::Due => {
                    let left = |row: &RackRow| (row.due_on.unwrap_or(NaiveDate::MIN), row.firings_left);
                    left(one).cmp(&left(other))
                }
                Order::Margin => one.factor.unwrap_or(f64::MAX).total_cmp(&other.factor.unwrap_or(f64::MAX)),
            };
            retired(one).cmp(&retired(other)).then(by_order).then_with(|| one.serial.cmp(&other.serial))
        });
        self.sorted = sorted;
    }

    fn load(&mut self, cx: &mut Cx<'_>) {
        let mut selected = self.selected().map(str::to_owned);
        match cx.desk.rack_rows() {
            Ok(rows) => {
                // The casing just written about is the one somebody goes on with: what the entry says comes next
                // is of it, and the keys must be, too.
                if let Some(about) = cx.kept.about.take()
                    && rows.iter().any(|row| row.serial == about)
                {
                    selected = Some(about);
                }
                self.rows = rows;
                self.texts.clear();
                self.sorted_by = None;
            }
            Err(error) => cx.say(error.to_string()),
        }
        self.writable = cx.desk.book().writable();
        let drafts = cx.desk.book().drafts().unwrap_or_default();
        self.drafts = drafts.len();
        self.draft = drafts.into_iter().next();
        self.line = None;
        self.loaded = true;
        self.arrange(selected.clone());
        if selected.as_deref().is_some_and(|wanted| self.selected() != Some(wanted)) && !self.filter.typing {
            self.filter.clear();
            self.arrange(selected);
        }
    }

    /// Open the newest half-typed form.
    fn take_draft(&self, cx: &mut Cx<'_>) {
        let Some((form, subject)) = self.draft.clone() else { return };
        open_draft(&form, &subject, cx);
    }
}

/// What a filter looks at in a row.
fn filtered_text(row: &RackRow) -> String {
    let name = row.name.as_deref().unwrap_or("");
    let weakest = row.weakest.as_deref().unwrap_or("");
    format!("{} {name} {} {weakest}", row.serial, row.standing).to_lowercase()
}

/// Open a half-typed form where it was left.
pub fn open_draft(form: &str, subject: &str, cx: &mut Cx<'_>) {
    let subject = Some(subject).filter(|subject| !subject.is_empty());
    match (Kind::from_word(form), subject) {
        (Some(Kind::Prefire), Some(casing)) => LoadsScreen::open(casing, cx),
        (Some(kind), subject) => FormScreen::take_up(kind, subject, cx),
        (None, Some(casing)) if form == super::proof::DRAFT => super::proof::RigScreen::open(casing, cx),
        (None, _) => cx.say("that draft is of a form this program does not know"),
    }
}

impl Screen for RackScreen {
    fn context(&self) -> Context {
        if self.filter.typing { Context::Filter } else { Context::Rack }
    }

    fn title(&self) -> String {
        "rack".to_owned()
    }

    fn serial(&self) -> Option<&str> {
        self.selected()
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::Draft => self.draft.is_some(),
            Act::Register | Act::LogMenu => self.writable,
            Act::OpenCasing | Act::Filter | Act::Sort => !self.rows.is_empty(),
            Act::Day | Act::Due => !self.rows.is_empty(),
            Act::Prefire => self.selected().is_some(),
            Act::Rig => self.writable && self.selected().is_some(),
            other if form_of(other).is_some() => self.writable && self.selected().is_some(),
            _ => true,
        }
    }

    fn copy(&self, _system: System) -> Option<String> {
        self.line.as_ref().map(view::as_text)
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.shown.len()))
    }

    fn read_back(&self, _system: System) -> Vec<Said> {
        let Some(row) = self.selected_row() else { return Vec::new() };
        vec![
            ("casing".to_owned(), row.serial.clone()),
            ("standing".to_owned(), row.standing.to_string()),
            ("next due".to_owned(), view::due(row)),
        ]
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.shown.len()) {
            return;
        }
        let selected = self.selected().map(str::to_owned);
        match (act, selected) {
            (Act::Quit | Act::Back, _) => cx.go(Step::Quit),
            (Act::Filter, selected) => {
                self.filter.begin();
                self.before = selected;
            }
            (Act::KeepFilter, _) => self.filter.typing = false,
            (Act::ClearFilter, _) => {
                self.filter.clear();
                let before = self.before.take();
                self.arrange(before);
            }
            (Act::Sort, selected) => {
                self.order = self.order.next();
                self.arrange(selected);
                cx.say(format!("Sorted {}.", self.order.word()));
            }
            (Act::Rules, _) => RulesScreen::open(cx),
            (Act::Due, _) => DueScreen::open(cx),
            (Act::Calculators, _) => CalculatorsScreen::open(cx),
            (Act::OpenBench, selected) => BenchScreen::open(selected.as_deref(), None, None, cx),
            (Act::Instruments, _) => super::instruments::InstrumentsScreen::open(cx),
            (Act::TraceFile, _) => TraceScreen::ask(None, cx),
            (Act::Day, _) => cx.go(Step::Open(Box::new(Day::default()))),
            (Act::Draft, _) => self.take_draft(cx),
            (Act::LogMenu, selected) => Menu::open(selected.as_deref(), cx),
            (Act::OpenCasing, Some(serial)) => CasingScreen::open(&serial, cx),
            (Act::Prefire, Some(serial)) => LoadsScreen::open(&serial, cx),
            (Act::Rig, Some(serial)) => super::proof::RigScreen::open(&serial, cx),
            (Act::LogDecision, Some(serial)) => super::decide::DecideScreen::open(&serial, cx),
            (Act::Register, _) => FormScreen::open(Kind::Casing, None, &[], cx),
            (act, Some(serial)) => {
                if let Some(kind) = form_of(act) {
                    FormScreen::open(kind, Some(&serial), &[], cx);
                }
            }
            (act, None) => {
                if form_of(act).is_some() || matches!(act, Act::Prefire | Act::Rig) {
                    cx.say(if self.rows.is_empty() {
                        "No casing is selected. Press {register-casing} to register one."
                    } else {
                        "No casing holds the words of the search. Press {filter} and type others."
                    });
                }
            }
        }
    }

    fn mouse(&mut self, mouse: &MouseEvent, cx: &mut Cx<'_>) -> bool {
        // A press on the titles sorts.
        let pressed = matches!(mouse.kind, MouseEventKind::Down(MouseButton::Left));
        let titles = mouse.row + 1 == self.place.rows.y && self.place.rows.width > 0;
        if pressed && titles && !self.filter.typing {
            self.act(Act::Sort, cx);
        }
        pressed && titles
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        match self.filter.key(key) {
            Typed::Changed => {
                let selected = self.selected().map(str::to_owned);
                self.arrange(selected);
                true
            }
            Typed::Moved => true,
            Typed::NotMine => false,
        }
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if self.filter.typing {
            self.filter.paste(words);
            let selected = self.selected().map(str::to_owned);
            self.arrange(selected);
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        self.load(cx);
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if !self.loaded {
            self.load(cx);
        }
        let Some(row) = self.selected_row().cloned() else {
            self.line = None;
            return;
        };
        if self.line.as_ref().is_none_or(|line| line.row.serial != row.serial) {
            match cx.desk.rack_line(row) {
                Ok(line) => self.line = Some(line.shown(cx.system)),
                Err(error) => {
                    self.line = None;
                    cx.say(error.to_string());
                }
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
