//! Who may be fired on a day, and what each other needs first.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::NaiveDate;
use ratatui::Frame;
use ratatui::layout::Rect;

use super::casing::CasingScreen;
use super::day::Day;
use super::{Cx, Screen, Step};
use crate::book::{FiringMode, Standing, SubjectOf};
use crate::desk::view::RackLine;
use crate::desk::who::{Answer, Candidate, nearest_first};
use crate::desk::{Planned, Refusal};
use crate::quantity::System;
use crate::store::RackRow;
use crate::tui::action::{Act, Action, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column};
use crate::tui::widgets::{Paint, put, reasons};

/// Rows looked into at first, before it is known how many fit.
const AT_FIRST: usize = 64;

/// Every casing on a day.
pub struct DueScreen {
    day: NaiveDate,
    rows: Arc<Vec<RackRow>>,
    /// Which row stands where.
    order: Vec<usize>,
    /// What was looked into so far: only rows that are in view are.
    lines: BTreeMap<usize, RackLine>,
    /// The load every casing is held against, where one is named, and what came of it so far.
    named: Option<String>,
    mode: FiringMode,
    candidates: BTreeMap<usize, Candidate>,
    place: Place,
}

impl DueScreen {
    /// Open it for the day asked.
    pub fn open(cx: &mut Cx<'_>) {
        let mut screen = Self {
            day: cx.desk.day(),
            rows: Arc::default(),
            order: Vec::new(),
            lines: BTreeMap::new(),
            named: None,
            mode: FiringMode::Static,
            candidates: BTreeMap::new(),
            place: Place::default(),
        };
        screen.load(cx);
        cx.go(Step::Open(Box::new(screen)));
    }

    fn load(&mut self, cx: &mut Cx<'_>) {
        let selected = self.row(self.place.selected).map(|row| row.serial.clone());
        self.day = cx.desk.day();
        self.lines.clear();
        self.candidates.clear();
        match cx.desk.rack_rows() {
            Ok(rows) => self.rows = rows,
            Err(error) => cx.say(error.to_string()),
        }
        self.order = nearest_first(&self.rows);
        self.place.selected = selected
            .and_then(|serial| self.order.iter().position(|at| self.rows[*at].serial == serial))
            .unwrap_or(0);
    }

    fn row(&self, at: usize) -> Option<&RackRow> {
        self.order.get(at).and_then(|at| self.rows.get(*at))
    }

    /// Hold every casing against the next load on record; after the last, against none.
    fn next_load(&mut self, cx: &mut Cx<'_>) {
        let loads = match cx.desk.book().names(SubjectOf::Load) {
            Ok(loads) => loads,
            Err(error) => return cx.say(error.to_string()),
        };
        if loads.is_empty() {
            return cx.say("No load is on record. It is recorded on the rack with {log-anything}, load.");
        }
        let next = match &self.named {
            None => 0,
            Some(load) => loads.iter().position(|name| name == load).map_or(0, |at| at + 1),
        };
        self.named = loads.into_iter().nth(next);
        self.candidates.clear();
    }

    /// Hold the casing of a row against the load that is named; whether to go on.
    fn hold_against(&mut self, at: usize, cx: &mut Cx<'_>) -> bool {
        let (Some(load), Some(row), None) = (&self.named, self.row(at), self.candidates.get(&at)) else {
            return true;
        };
        if row.standing == Standing::Retired {
            return true;
        }
        let planned = Planned { load, batch: None, mode: self.mode, grain: None };
        match cx.desk.candidate(row.clone(), planned, self.day) {
            Ok(mut found) => {
                found.checklist = found.checklist.shown(cx.system);
                self.candidates.insert(at, found);
                true
            }
            Err(refusal) => {
                cx.say(match refusal {
                    Refusal::Store(error) => error.to_string(),
                    _ => format!("Load {} was not on record yet on {}.", text::clean(load), self.day),
                });
                self.named = None;
                self.candidates.clear();
                false
            }
        }
    }

    fn may_go(&self) -> usize {
        self.rows.iter().filter(|row| !row.standing.forbids()).count()
    }
}

/// What a casing's record says of a load, in one line.
fn answers(found: &Candidate) -> String {
    let why = found.why();
    let first = why.first().map_or_else(String::new, |words| format!(": {words}"));
    format!("{} {}{first}", found.answer().sign(found.warns()), found.answer().word())
}

/// The same in full.
fn answers_in_full(found: &Candidate, load: &str, paper: &mut Paper, paint: &Paint) {
    let (load, serial) = (text::clean(load), &found.row.serial);
    let (meaning, words) = match found.answer() {
        Answer::NothingForbids => (
            if found.warns() { Meaning::Warns } else { Meaning::InOrder },
            format!("nothing on record forbids {load} in {serial}; its pre-fire comes first"),
        ),
        Answer::Forbidden => (Meaning::Forbids, format!("the record forbids {load} in {serial}")),
        Answer::DoesNotFit => (Meaning::Forbids, format!("{load} does not go into {serial}")),
    };
    let sign = found.answer().sign(found.warns());
    paper.hang(&format!("{sign} "), paint.of(meaning), &words, paint.of(meaning));
    let because = if found.answer() == Answer::NothingForbids { "  warns    " } else { "  because  " };
    for words in found.why() {
        paper.hang(because, paint.of(Meaning::Strong), words, paint.of(Meaning::Plain));
    }
}

/// What it needs first, or what it must stay within.
fn needs(line: &RackLine) -> String {
    let standing = line.row.standing;
    if standing == Standing::Retired {
        return "never again".to_owned();
    }
    let worst = line.reasons.first();
    let next = worst.map_or("", |reason| reason.next.as_str());
    if standing.forbids() || standing != Standing::InService {
        let text = worst.map_or_else(String::new, |reason| reason.text.clone());
        return if next.is_empty() { text } else { next.to_owned() };
    }
    let due: Vec<String> = line
        .due
        .iter()
        .map(|due| match (due.on, due.firings_left) {
            (Some(on), Some(left)) => {
                format!("{} by {on} or in {}", due.what, crate::quantity::counted(left, "firing"))
            }
            (Some(on), None) => format!("{} by {on}", due.what),
            (None, Some(left)) => format!("{} in {}", due.what, crate::quantity::counted(left, "firing")),
            (None, None) => due.what.clone(),
        })
        .collect();
    due.join("; ")
}

impl Screen for DueScreen {
    fn context(&self) -> Context {
        Context::Due
    }

    fn title(&self) -> String {
        "who may go".to_owned()
    }

    fn need(&self, action: &Action) -> u8 {
        match action.act {
            // They are asked of a load, which is named first.
            Act::Static | Act::Flight => 3,
            _ => action.bar,
        }
    }

    fn copy(&self, _system: System) -> Option<String> {
        let line = self.lines.get(&self.place.selected)?;
        Some(format!("{}\t{}\t{}\t{}", self.day, line.row.serial, line.row.standing, needs(line)))
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.rows.len()))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.rows.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::Day => cx.go(Step::Open(Box::new(Day::default()))),
            Act::NextLoad => self.next_load(cx),
            Act::Static | Act::Flight => {
                self.mode = if act == Act::Static { FiringMode::Static } else { FiringMode::Flight };
                self.candidates.clear();
                // Both are asked of a load.
                if self.named.is_none() {
                    self.next_load(cx);
                }
            }
            Act::OpenCasing => {
                if let Some(row) = self.row(self.place.selected) {
                    let serial = row.serial.clone();
                    CasingScreen::open(&serial, cx);
                }
            }
            _ => {}
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        self.load(cx);
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        let page = self.place.page.max(AT_FIRST);
        let from = self.place.selected.saturating_sub(page);
        for at in from..(self.place.selected + page).min(self.rows.len()) {
            if !self.lines.contains_key(&at) {
                let Some(row) = self.row(at).cloned() else { return };
                match cx.desk.rack_line(row) {
                    Ok(line) => {
                        self.lines.insert(at, line.shown(cx.system));
                    }
                    Err(error) => return cx.say(error.to_string()),
                }
            }
            if !self.hold_against(at, cx) {
                return;
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let day = self.day.format("%A %-d %B %Y");
        let title = match &self.named {
            None => format!("{day}: nothing on record forbids {} of {}", self.may_go(), self.rows.len()),
            Some(load) => {
                let how = match self.mode {
                    FiringMode::Static => "on the stand",
                    FiringMode::Flight => "in flight",
                };
                format!("{day}, {} {how}: what the record says", text::clean(load))
            }
        };
        put(frame, area, 0, 0, &title, paint.of(Meaning::Strong));
        let rest = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
        let below = if area.height >= 26 { 12 } else { 5 };
        let (list, foot) = table::above_and_below(rest, self.rows.len(), below, 2);
        let gap = Rect { y: list.bottom(), height: 1.min(rest.bottom() - list.bottom()), ..list };
        let columns = [
            column("  Standing", 12, 0, 0),
            column("Serial", 9, 0, 0),
            column("Name", 10, 0, 1),
            column(
                if self.named.is_some() {
                    "With this load"
                } else {
                    "Needs first, must stay within, or is due"
                },
                30,
                1,
                0,
            ),
        ];
        let (rows, order, lines, candidates) = (&self.rows, &self.order, &self.lines, &self.candidates);
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, list, &columns, &mut self.place, rows.len(), paint, |at| {
            let row = &rows[order[at]];
            let standing = format!("{} {}", row.standing.sign(), row.standing);
            vec![
                (standing, paint.theme.standing(row.standing)),
                (row.serial.clone(), paint.of(Meaning::Strong)),
                (row.name.clone().unwrap_or_default(), plain),
                (
                    match candidates.get(&at) {
                        Some(found) => answers(found),
                        None => lines.get(&at).map(needs).unwrap_or_default(),
                    },
                    plain,
                ),
            ]
        });
        table::out_of_view(frame, gap, &self.place, rows.len(), paint);
        let mut paper = Paper::new(usize::from(foot.width));
        if let (Some(found), Some(load)) = (self.candidates.get(&self.place.selected), &self.named) {
            answers_in_full(found, load, &mut paper, paint);
        } else if let Some(line) = self.lines.get(&self.place.selected) {
            paper.text(&needs(line), paint.of(Meaning::Strong));
            for reason in &line.reasons {
                reasons::reason(&mut paper, reason, paint);
            }
        }
        paper.draw(frame, foot, 0, paint);
    }
}
