//! A casing's page: its standing with every reason, its ledger, its growth, its parts, its margins.

mod growth;
mod map;
mod margins;
mod panels;
mod view;
mod what_if;

use ratatui::Frame;
use ratatui::layout::Rect;

use super::bench::BenchScreen;
use super::big::Said;
use super::bulge::BulgeScreen;
use super::calculators::CalculatorsScreen;
use super::decide::DecideScreen;
use super::drawing::DrawingScreen;
use super::form::FormScreen;
use super::menu::Menu;
use super::part::PartScreen;
use super::photo::PhotoScreen;
use super::prefire::LoadsScreen;
use super::proof::RigScreen;
use super::rack::open_draft;
use super::read::Read;
use super::rules::RulesScreen;
use super::trace::TraceScreen;
use super::{Cx, Screen, Step, form_of};
use crate::book::{Details, Kind, Reading, Standing};
use crate::desk::Refusal;
use crate::desk::view::{CasingPage, said_of};
use crate::desk::what_if::{answers_of, meop_kept};
use crate::quantity::{GaugePressure, Quantity, System, show};
use crate::standing::growth_map::GrowthMap;
use crate::standing::{EntryRef, RuleSet};
use crate::store::StoreError;
use crate::strength::{Margins, change};
use crate::tui::action::{Act, Action, Context};
use crate::tui::widgets::Paint;
use crate::tui::widgets::table::Place;
use margins::Advice;
use what_if::WhatIfScreen;

/// A panel of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Panel {
    Standing,
    Ledger,
    Growth,
    Parts,
    Margins,
}

impl Panel {
    const ALL: [Self; 5] = [Self::Standing, Self::Ledger, Self::Growth, Self::Parts, Self::Margins];

    const fn word(self) -> &'static str {
        match self {
            Self::Standing => "standing",
            Self::Ledger => "ledger",
            Self::Growth => "growth",
            Self::Parts => "parts",
            Self::Margins => "margins",
        }
    }

    const fn of(act: Act) -> Option<Self> {
        Some(match act {
            Act::Panel1 => Self::Standing,
            Act::Panel2 => Self::Ledger,
            Act::Panel3 => Self::Growth,
            Act::Panel4 => Self::Parts,
            Act::Panel5 => Self::Margins,
            _ => return None,
        })
    }
}

/// A casing's page.
pub struct CasingScreen {
    serial: String,
    page: CasingPage,
    rules: RuleSet,
    margins: Result<Margins, String>,
    advice: Advice,
    map: Option<GrowthMap>,
    /// Whether the growth panel lists every reading instead of drawing the map.
    listed: bool,
    panel: Panel,
    places: [Place; 5],
    writable: bool,
    draft: Option<(String, String)>,
}

impl CasingScreen {
    /// Open the page of a casing.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        match Self::load(serial, cx) {
            Ok(mut screen) => {
                screen.places[1].selected = screen.page.ledger.len().saturating_sub(1);
                // The map opens on what grew most.
                if let Some(map) = &screen.map
                    && let Some(worst) = &map.worst
                {
                    let at = map.rows.iter().position(|row| (row.station_mm - worst.station_mm).abs() < 0.5);
                    screen.places[Panel::Growth as usize].selected = at.unwrap_or(0);
                }
                cx.go(Step::Open(Box::new(screen)));
            }
            Err(message) => cx.say(message),
        }
    }

    fn load(serial: &str, cx: &Cx<'_>) -> Result<Self, String> {
        let page = cx.desk.casing(serial).map_err(|refusal| match refusal {
            Refusal::Form(problems) => {
                problems.first().map_or_else(String::new, |problem| problem.message.clone())
            }
            Refusal::Store(error) => error.to_string(),
            Refusal::Forbidden { casing, .. } => format!("{casing} cannot be shown"),
        })?;
        let store = |error: StoreError| error.to_string();
        let rules = cx.desk.book().rules_on(page.day).map_err(store)?;
        let assessed = &page.assessed;
        let margins = match assessed.margins(None) {
            Some(margins) => margins.map_err(|error| error.to_string()),
            None => Err("no drawing is on record".to_owned()),
        };
        let changes = assessed
            .design_in_force()
            .and_then(|design| change::changes(&design, &assessed.local_state()).ok())
            .unwrap_or_default();
        let proof = assessed.proof_of_build();
        let kept = margins.as_ref().ok().and_then(|margins| meop_kept(margins, &rules, proof));
        let drafts = cx.desk.book().drafts().map_err(store)?;
        let map = cx.desk.growth_map(&page).map_err(store)?;
        Ok(Self {
            serial: serial.to_owned(),
            rules,
            margins,
            advice: Advice { kept, proved: proof.is_some(), changes },
            map: map.filter(|map| !map.rows.is_empty()),
            listed: false,
            panel: Panel::Standing,
            places: [Place::default(); 5],
            writable: cx.desk.book().writable(),
            draft: drafts.into_iter().find(|(_, subject)| subject == serial),
            page: page.shown(cx.system),
        })
    }

    const fn place(&mut self) -> &mut Place {
        &mut self.places[self.panel as usize]
    }

    fn count(&self) -> usize {
        match self.panel {
            Panel::Standing => self.page.assessed.reasons_on(self.page.day).len(),
            Panel::Ledger => self.page.ledger.len(),
            Panel::Growth => match &self.map {
                Some(map) if !self.listed => map.rows.len(),
                _ => self.page.assessed.growth.len(),
            },
            Panel::Parts => self.page.assessed.parts.len(),
            Panel::Margins => {
                self.margins.as_ref().map_or(0, |margins| margins.modes.len() + margins.contingent.len())
            }
        }
    }

    /// The trace of the selected firing; on any other line, a file is asked for.
    fn open_trace(&self, cx: &mut Cx<'_>) {
        let selected = match self.panel {
            Panel::Ledger => self.page.ledger.get(self.places[1].selected),
            _ => None,
        };
        match selected.map(|line| (&line.entry.entry.details, line.entry.id)) {
            Some((Details::Trace(_) | Details::Firing(_), id)) => TraceScreen::of_entry(id, cx),
            _ => TraceScreen::ask(Some(self.serial.clone()), cx),
        }
    }

    /// A new revision, filled in from the last record: only what is different has to be typed.
    fn revise(&self, cx: &mut Cx<'_>) {
        let last = self.page.ledger.iter().rev().find_map(|line| match &line.entry.entry.details {
            Details::Casing(record) if line.struck_by.is_none() => Some(record),
            _ => None,
        });
        let Some(record) = last else {
            cx.say("No record of this casing is left to revise.");
            return;
        };
        let answers = answers_of(&record.design);
        let mut given = vec![("serial", record.serial.as_str())];
        let design = crate::book::forms::DESIGN.iter();
        given.extend(design.filter_map(|field| Some((field.name, answers.text(field.name)?))));
        let own = [
            ("name", &record.name),
            ("machinist", &record.machinist),
            ("welder", &record.welder),
            ("tube_lot", &record.tube_lot),
            ("drawing", &record.drawing),
            ("od_gauge", &record.od_gauge),
        ];
        given.extend(own.iter().filter_map(|(name, words)| Some((*name, words.as_deref()?))));
        // The birth record holds for as long as the tube does; a revision without one adds nothing to it.
        let born = self.page.ledger.iter().rev().find_map(|line| match &line.entry.entry.details {
            Details::Casing(record) if line.struck_by.is_none() && !record.readings.is_empty() => {
                Some(record.readings.iter().map(Reading::as_typed).collect::<Vec<_>>().join("\n"))
            }
            _ => None,
        });
        given.extend(born.as_deref().map(|rows| ("od", rows)));
        let next = next_revision(&record.revision);
        given.push(("revision", &next));
        FormScreen::open(Kind::Casing, Some(&self.serial), &given, cx);
    }

    /// The entry that the selected line rests on.
    fn entry(&self) -> Option<i64> {
        let at = self.places[self.panel as usize].selected;
        let number = |entry: &EntryRef| entry.number;
        match self.panel {
            Panel::Standing => self
                .page
                .assessed
                .reasons_on(self.page.day)
                .get(at)
                .and_then(|reason| reason.entry.as_ref())
                .map(number),
            Panel::Ledger => self.page.ledger.get(at).map(|line| line.entry.number),
            Panel::Growth => match &self.map {
                Some(map) if !self.listed => {
                    map.rows.get(at).and_then(|row| row.worst()).map(|growth| growth.entry.number)
                }
                _ => self.page.assessed.growth.get(at).map(|growth| growth.entry.number),
            },
            Panel::Parts | Panel::Margins => None,
        }
    }

    fn show_entry(&self, cx: &mut Cx<'_>) {
        if self.panel == Panel::Parts {
            match self.page.assessed.parts.get(self.places[Panel::Parts as usize].selected) {
                Some(part) => PartScreen::open(&part.part, cx),
                None => cx.say("No part is fitted."),
            }
            return;
        }
        if self.panel == Panel::Margins {
            if let Some(read) = margins::in_full(self, cx.system) {
                cx.go(Step::Open(Box::new(read)));
            }
            return;
        }
        let Some(number) = self.entry() else {
            cx.say("This line rests on no single entry.");
            return;
        };
        match self.page.ledger.iter().find(|line| line.entry.number == number) {
            Some(line) => match &line.entry.entry.details {
                Details::Photo(record) => {
                    let photo = PhotoScreen::new(line, record, cx);
                    cx.go(Step::Open(Box::new(photo)));
                }
                _ => cx.go(Step::Open(Box::new(Read::entry(line, cx)))),
            },
            None => cx.say(format!("Entry {number} is about something else than this casing.")),
        }
    }
}

impl Screen for CasingScreen {
    fn context(&self) -> Context {
        Context::Casing
    }

    fn title(&self) -> String {
        self.page
            .assessed
            .name
            .as_ref()
            .map_or_else(|| self.serial.clone(), |name| format!("{} {name}", self.serial))
    }

    fn serial(&self) -> Option<&str> {
        Some(&self.serial)
    }

    fn takes_back(&self, _number: i64, casing: &str) -> bool {
        casing.is_empty() || casing == self.serial
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::ShowEntry => {
                self.entry().is_some()
                    || (self.panel == Panel::Margins && self.margins.is_ok())
                    || (self.panel == Panel::Parts && !self.page.assessed.parts.is_empty())
            }
            Act::WhatIf => self.margins.is_ok(),
            Act::Revise => self.writable && self.page.assessed.design.is_some(),
            Act::Bulge => self.page.assessed.growth.iter().any(|it| !it.noise && it.percent > 0.0),
            Act::MapOrList => self.panel == Panel::Growth && self.map.is_some(),
            Act::Strike | Act::WriteAgain => self.writable && self.panel == Panel::Ledger,
            Act::Draft => self.draft.is_some(),
            Act::LogMenu | Act::Rig => self.writable,
            other => form_of(other).is_none() || self.writable,
        }
    }

    fn need(&self, action: &Action) -> u8 {
        // What clears a casing that must not be fired comes before what it cannot do.
        let needed = match self.page.standing {
            Standing::Hold => &[Act::Bulge, Act::LogDecision, Act::LogFinding, Act::LogStrip][..],
            Standing::Unproved | Standing::Overdue => &[Act::LogProof, Act::Rig, Act::LogStrip][..],
            Standing::Retired => &[Act::Bulge][..],
            _ => &[][..],
        };
        match action.act {
            act if needed.contains(&act) => 2,
            Act::Prefire | Act::LogFiring if self.page.standing.forbids() => 12,
            _ => action.bar,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let number = self.entry()?;
        let reasons = self.page.assessed.reasons_on(self.page.day);
        if self.panel == Panel::Standing {
            let reason = reasons.get(self.places[0].selected)?;
            return Some(format!(
                "{}\t{}\t{}\trule {}",
                self.serial, reason.standing, reason.text, reason.rule
            ));
        }
        let line = self.page.ledger.iter().find(|line| line.entry.number == number)?;
        let (entry, said) = (&line.entry, said_of(line, system));
        Some(format!(
            "{number}\t{}\t{}\t{}\t{said}",
            entry.entry.happened_on,
            entry.kind(),
            entry.entry.recorded_by
        ))
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        let count = self.count();
        Some((self.place(), count))
    }

    fn read_back(&self, system: System) -> Vec<Said> {
        let assessed = &self.page.assessed;
        let shown = |pa: f64| show(GaugePressure::from_si(pa), system);
        let mut said = vec![
            ("casing".to_owned(), self.serial.clone()),
            ("standing".to_owned(), self.page.standing.to_string()),
        ];
        said.extend(assessed.meop_pa.map(|pa| ("MEOP".to_owned(), shown(pa))));
        said.extend(assessed.proof.as_ref().map(|(_, pa, _)| ("proved".to_owned(), shown(*pa))));
        said.extend(assessed.next_due_on().map(|day| ("next due".to_owned(), day.to_string())));
        said
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        let count = self.count();
        if self.place().act(act, count) {
            return;
        }
        if let Some(panel) = Panel::of(act) {
            self.panel = panel;
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::NextPanel => self.panel = Panel::ALL[(self.panel as usize + 1) % 5],
            Act::PreviousPanel => self.panel = Panel::ALL[(self.panel as usize + 4) % 5],
            Act::ShowEntry => self.show_entry(cx),
            Act::MapOrList if self.panel == Panel::Growth => {
                self.listed = !self.listed;
                self.place().selected = 0;
            }
            Act::OpenTrace => self.open_trace(cx),
            Act::Rules => RulesScreen::open(cx),
            Act::Drawing => cx.go(Step::Open(Box::new(DrawingScreen::new(&self.page, &self.rules)))),
            Act::Calculators => CalculatorsScreen::open(cx),
            Act::OpenBench => BenchScreen::open(Some(&self.serial), None, None, cx),
            Act::WhatIf => match &self.margins {
                Ok(before) => {
                    let changes = &self.advice.changes;
                    let what_if = WhatIfScreen::new(&self.page.assessed, &self.rules, before, changes);
                    cx.go(Step::Open(Box::new(what_if)));
                }
                Err(error) => cx.say(format!("No margin can be worked out: {error}")),
            },
            Act::Revise => self.revise(cx),
            Act::Prefire => LoadsScreen::open(&self.serial, cx),
            Act::Rig => RigScreen::open(&self.serial, cx),
            Act::Bulge => BulgeScreen::open(&self.serial, cx),
            Act::LogDecision => DecideScreen::open(&self.serial, cx),
            Act::LogMenu => Menu::open(Some(&self.serial), cx),
            Act::Draft => {
                if let Some((form, subject)) = self.draft.clone() {
                    open_draft(&form, &subject, cx);
                }
            }
            Act::Strike => match (self.panel, self.entry()) {
                (Panel::Ledger, Some(number)) => {
                    let number = number.to_string();
                    FormScreen::open(Kind::Strike, Some(&self.serial), &[("entry", &number)], cx);
                }
                _ => cx.say("Go to the ledger ({panel-ledger}) and select the entry to strike."),
            },
            Act::WriteAgain => match self.page.ledger.get(self.places[Panel::Ledger as usize].selected) {
                Some(line) if self.panel == Panel::Ledger => {
                    let id = match &line.entry.entry.details {
                        Details::Strike(strike) => strike.strikes,
                        _ => line.entry.id,
                    };
                    FormScreen::write_again(id, cx);
                }
                _ => cx.say("Go to the ledger ({panel-ledger}) and select the entry to write again."),
            },
            other => {
                if let Some(kind) = form_of(other) {
                    let serial = self.serial.clone();
                    FormScreen::open(kind, Some(&serial), &[], cx);
                }
            }
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        let on_last = self.places[1].selected + 1 >= self.page.ledger.len();
        let entry = self.page.ledger.get(self.places[1].selected).map(|line| line.entry.id);
        match Self::load(&self.serial, cx) {
            Ok(fresh) => {
                let (panel, places, listed) = (self.panel, self.places, self.listed);
                *self = fresh;
                self.listed = listed;
                self.panel = panel;
                self.places = places;
                let same = self.page.ledger.iter().position(|line| Some(line.entry.id) == entry);
                let last = self.page.ledger.len().saturating_sub(1);
                self.places[1].selected = if on_last { last } else { same.unwrap_or(last) };
            }
            Err(message) => cx.say(message),
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}

/// The revision after one: B after A, 3 after 2; nothing where nobody can say.
fn next_revision(revision: &str) -> String {
    if let Ok(number) = revision.parse::<u32>() {
        return number.saturating_add(1).to_string();
    }
    let mut letters: Vec<char> = revision.chars().collect();
    match letters.last_mut() {
        Some(last) if last.is_ascii_alphabetic() && !matches!(*last, 'z' | 'Z') => {
            *last = char::from_u32(*last as u32 + 1).unwrap_or(*last);
            letters.into_iter().collect()
        }
        _ => String::new(),
    }
}
