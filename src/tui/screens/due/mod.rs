//! Who may be fired on a day, and what each other needs first.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use ratatui::Frame;
use ratatui::layout::Rect;

use super::casing::CasingScreen;
use super::day::Day;
use super::{Cx, Screen, Step};
use crate::book::Standing;
use crate::desk::view::RackLine;
use crate::quantity::System;
use crate::store::RackRow;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column};
use crate::tui::widgets::{Paint, put, reasons};

/// Rows looked into at first, before it is known how many fit.
const AT_FIRST: usize = 64;

/// Every casing on a day.
pub struct DueScreen {
    day: NaiveDate,
    rows: Vec<RackRow>,
    /// What was looked into so far: only rows that are in view are.
    lines: BTreeMap<usize, RackLine>,
    place: Place,
}

impl DueScreen {
    /// Open it for the day asked.
    pub fn open(cx: &mut Cx<'_>) {
        let mut screen =
            Self { day: cx.desk.day(), rows: Vec::new(), lines: BTreeMap::new(), place: Place::default() };
        screen.load(cx);
        cx.go(Step::Open(Box::new(screen)));
    }

    fn load(&mut self, cx: &mut Cx<'_>) {
        let selected = self.rows.get(self.place.selected).map(|row| row.serial.clone());
        self.day = cx.desk.day();
        self.lines.clear();
        match cx.desk.rack_rows() {
            Ok(rows) => self.rows = rows,
            Err(error) => cx.say(error.to_string()),
        }
        // Those that may go first, the freest first; then what can be put right; the retired last.
        fn rank(row: &RackRow) -> (u8, std::cmp::Reverse<Standing>, &str) {
            let group = match row.standing {
                Standing::Retired => 2,
                standing if standing.forbids() => 1,
                _ => 0,
            };
            (group, std::cmp::Reverse(row.standing), &row.serial)
        }
        self.rows.sort_unstable_by(|a, b| rank(a).cmp(&rank(b)));
        self.place.selected =
            selected.and_then(|serial| self.rows.iter().position(|row| row.serial == serial)).unwrap_or(0);
    }

    fn may_go(&self) -> usize {
        self.rows.iter().filter(|row| !row.standing.forbids()).count()
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
            Act::OpenCasing => {
                if let Some(row) = self.rows.get(self.place.selected) {
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
                match cx.desk.rack_line(self.rows[at].clone()) {
                    Ok(line) => {
                        self.lines.insert(at, line);
                    }
                    Err(error) => return cx.say(error.to_string()),
                }
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let title = format!(
            "{}: nothing on record forbids {} of {}",
            self.day.format("%A %-d %B %Y"),
            self.may_go(),
            self.rows.len()
        );
        put(frame, area, 0, 0, &title, paint.of(Meaning::Strong));
        let rest = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
        let below = if area.height >= 26 { 12 } else { 5 };
        let (list, foot) = table::above_and_below(rest, self.rows.len(), below, 2);
        let columns = [
            column("  Standing", 12, 0, 0),
            column("Serial", 9, 0, 0),
            column("Name", 10, 0, 1),
            column("Needs first, must stay within, or is due", 30, 1, 0),
        ];
        let (rows, lines) = (&self.rows, &self.lines);
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, list, &columns, &mut self.place, rows.len(), paint, |at| {
            let row = &rows[at];
            let standing = format!("{} {}", row.standing.sign(), row.standing);
            vec![
                (standing, paint.theme.standing(row.standing)),
                (row.serial.clone(), paint.of(Meaning::Strong)),
                (row.name.clone().unwrap_or_default(), plain),
                (lines.get(&at).map(needs).unwrap_or_default(), plain),
            ]
        });
        let mut paper = Paper::new(usize::from(foot.width));
        if let Some(line) = self.lines.get(&self.place.selected) {
            paper.text(&needs(line), paint.of(Meaning::Strong));
            for reason in &line.reasons {
                reasons::reason(&mut paper, reason, paint);
            }
        }
        paper.draw(frame, foot, 0, paint);
    }
}
