//! The pre-fire run: choose a load, then go through the checklist, hold point by hold point.

mod checklist;
mod loads;
mod view;

use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::ask::Ask as Question;
use super::bench::BenchScreen;
use super::read::Read;
use super::{Cx, Screen, Step};
use crate::book::reader::read_grain_temperature;
use crate::book::{Answers, FiringMode, Kind, Standing, SubjectOf};
use crate::desk::{Planned, Refusal};
use crate::quantity::show::input_unit;
use crate::quantity::{Dimension, System, Temperature, Typed, show};
use crate::standing::{Assessment, Checklist};
use crate::store::StoreError;
use crate::tui::action::{Act, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::field::{self, LineField};
use crate::tui::widgets::table::Place;
use crate::tui::widgets::{Paint, put};
use checklist::{ChecklistScreen, Run};

use crate::book::details::LoadRecord;

/// A grain temperature; a bare number is in the units shown.
fn read_soak(words: &str, system: System) -> Result<Typed<Temperature>, String> {
    read_grain_temperature(words, Some(input_unit(Dimension::Temperature, system)))
}

/// A grain temperature in words that read back.
fn in_words(grain: Option<&Typed<Temperature>>) -> String {
    grain.map_or_else(String::new, |it| it.typed.clone().unwrap_or_else(|| show(it.value, System::Si)))
}

/// A load on record, and what the record says of firing it.
struct LoadRow {
    record: LoadRecord,
    checklist: Checklist,
}

/// The grain temperature being typed.
#[derive(Default)]
struct Soak {
    line: LineField,
    wrong: Option<String>,
}

/// Choosing a load.
pub struct LoadsScreen {
    serial: String,
    assessed: Assessment,
    standing: Standing,
    loads: Vec<LoadRow>,
    mode: FiringMode,
    /// The batches on record, the newest first, and the one that is named.
    batches: Vec<String>,
    batch: Option<usize>,
    /// How hot the grains are soaked, where it is known, and that being typed.
    grain: Option<Typed<Temperature>>,
    typing: Option<Soak>,
    place: Place,
    /// A half-run checklist from before.
    offer: Option<Answers>,
    asked: bool,
}

impl LoadsScreen {
    /// Begin a pre-fire run of a casing.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        let mut screen = match Self::load(serial, FiringMode::Static, None, None, cx) {
            Ok(screen) => screen,
            Err(error) => return cx.say(error.to_string()),
        };
        if screen.loads.is_empty() {
            return cx
                .say("No load is on record, and a pre-fire is for one load: record it first (l, load).");
        }
        screen.offer = cx.desk.book().draft(Kind::Prefire.word(), serial).ok().flatten();
        // What was half run can never be released any more.
        if screen.standing == Standing::Retired && screen.offer.take().is_some() {
            let dropped = cx.desk.book().drop_draft(Kind::Prefire.word(), serial);
            cx.say(match dropped {
                Ok(()) => format!("{serial} is retired: the checklist left half run is gone."),
                Err(error) => error.to_string(),
            });
            cx.go(Step::LookAgain);
        }
        cx.go(Step::Open(Box::new(screen)));
    }

    fn load(
        serial: &str,
        mode: FiringMode,
        batch: Option<&str>,
        grain: Option<Typed<Temperature>>,
        cx: &Cx<'_>,
    ) -> Result<Self, StoreError> {
        let day = cx.desk.day();
        let assessed = cx.desk.assess(serial, day)?;
        let mut loads = Vec::new();
        for name in cx.desk.book().names(SubjectOf::Load)? {
            let Some((record, _)) = cx.desk.book().load(&name, day)? else { continue };
            let planned = Planned { load: &name, batch, mode, grain: grain.as_ref().map(|it| it.value) };
            match cx.desk.checklist_of(&assessed, planned, day) {
                Ok(checklist) => loads.push(LoadRow { record, checklist: checklist.shown(cx.system) }),
                Err(Refusal::Store(error)) => return Err(error),
                Err(_) => {}
            }
        }
        // What may be fired comes first.
        loads.sort_by_key(|row| row.checklist.forbidden());
        let mut batches = cx.desk.book().names(SubjectOf::Batch)?;
        batches.reverse();
        let batch = batch.and_then(|named| batches.iter().position(|name| name == named));
        Ok(Self {
            serial: serial.to_owned(),
            standing: assessed.standing(day),
            assessed,
            loads,
            mode,
            batches,
            batch,
            grain,
            typing: None,
            place: Place::default(),
            offer: None,
            asked: false,
        })
    }

    fn batch(&self) -> Option<&str> {
        self.batch.and_then(|at| self.batches.get(at)).map(String::as_str)
    }

    fn reload(&mut self, cx: &mut Cx<'_>) {
        let selected = self.loads.get(self.place.selected).map(|row| row.record.name.clone());
        match Self::load(&self.serial, self.mode, self.batch(), self.grain.clone(), cx) {
            Ok(fresh) => {
                let (place, offer, asked) = (self.place, self.offer.take(), self.asked);
                let typing = self.typing.take();
                *self = Self { place, offer, asked, typing, ..fresh };
                self.place.selected = self
                    .loads
                    .iter()
                    .position(|row| Some(&row.record.name) == selected.as_ref())
                    .unwrap_or(0);
            }
            Err(error) => cx.say(error.to_string()),
        }
    }

    /// Take what was typed: nothing is a temperature nobody knows.
    fn take_soak(&mut self, cx: &mut Cx<'_>) {
        let Some(soak) = &mut self.typing else { return };
        let words = soak.line.text().trim().to_owned();
        if words.is_empty() {
            self.grain = None;
        } else {
            match read_soak(&words, cx.system) {
                Ok(grain) => self.grain = Some(grain),
                Err(message) => {
                    soak.wrong = Some(message);
                    return;
                }
            }
        }
        self.typing = None;
        self.reload(cx);
    }

    fn begin(&self, planned: Planned<'_>, kept: Option<&Answers>, cx: &mut Cx<'_>) {
        let Planned { load, batch, mode, .. } = planned;
        match cx.desk.checklist(&self.serial, planned, cx.desk.day()) {
            Ok(checklist) => {
                let checklist = checklist.shown(cx.system);
                let run = Run {
                    serial: self.serial.clone(),
                    name: self.assessed.name.clone(),
                    standing: self.assessed.standing(cx.desk.day()),
                    flags: self.assessed.flags.clone(),
                    load: load.to_owned(),
                    batch: batch.map(str::to_owned),
                    mode,
                    grain: match (&self.grain, planned.grain) {
                        (Some(typed), Some(grain)) if typed.value == grain => Some(typed.clone()),
                        (_, grain) => grain.map(Typed::computed),
                    },
                };
                let run: Box<dyn Screen> = Box::new(ChecklistScreen::new(run, checklist, kept));
                match Read::cautions(Kind::Prefire, run) {
                    Ok(read) => cx.go(Step::Open(Box::new(read))),
                    Err(run) => cx.go(Step::Open(run)),
                }
            }
            Err(_) => cx.say(format!("Load {load} or its batch is not on record any more.")),
        }
    }
}

impl Screen for LoadsScreen {
    fn context(&self) -> Context {
        if self.typing.is_some() { Context::Soak } else { Context::Loads }
    }

    fn title(&self) -> String {
        match &self.assessed.name {
            Some(name) => format!("{} {} pre-fire", self.serial, text::fit(&text::one_line(name), 20)),
            None => format!("{} pre-fire", self.serial),
        }
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.loads.len()))
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        let Some(soak) = &mut self.typing else { return false };
        let typed = soak.line.key(key);
        if typed == field::Typed::Changed {
            soak.wrong = None;
        }
        typed != field::Typed::NotMine
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if let Some(soak) = &mut self.typing {
            soak.line.paste(words);
        }
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.loads.len()) {
            return;
        }
        match act {
            Act::Back if self.typing.is_some() => self.typing = None,
            Act::Back => cx.go(Step::Back),
            Act::GrainTemperature => {
                let words = in_words(self.grain.as_ref());
                self.typing = Some(Soak { line: LineField::new(&words), wrong: None });
            }
            Act::TakeSoak => self.take_soak(cx),
            Act::Static | Act::Flight => {
                self.mode = if act == Act::Static { FiringMode::Static } else { FiringMode::Flight };
                self.reload(cx);
            }
            Act::OpenBench => {
                let load = self.loads.get(self.place.selected).map(|row| row.record.name.clone());
                BenchScreen::open(Some(&self.serial), load.as_deref(), self.batch(), cx);
            }
            Act::Batch if self.batches.is_empty() => {
                cx.say("No batch is on record. It is recorded with {log-anything}, batch.");
            }
            Act::Batch => {
                let next = self.batch.map_or(0, |at| at + 1);
                self.batch = Some(next).filter(|at| *at < self.batches.len());
                self.reload(cx);
            }
            Act::ChooseLoad => {
                if let Some(row) = self.loads.get(self.place.selected) {
                    let load = row.record.name.clone();
                    let grain = self.grain.as_ref().map(|it| it.value);
                    let planned = Planned { load: &load, batch: self.batch(), mode: self.mode, grain };
                    self.begin(planned, None, cx);
                }
            }
            Act::Yes => {
                if let Some(kept) = self.offer.take() {
                    let mode = kept.text("mode").and_then(FiringMode::from_word).unwrap_or(self.mode);
                    let load = kept.text("load").unwrap_or("").to_owned();
                    let grain = kept.text("grain_temperature").and_then(|it| read_soak(it, cx.system).ok());
                    self.grain = grain.or_else(|| self.grain.take());
                    let grain = self.grain.as_ref().map(|it| it.value);
                    let planned = Planned { load: &load, batch: kept.text("batch"), mode, grain };
                    self.begin(planned, Some(&kept), cx);
                }
            }
            // A checklist is kept only once something in it was answered.
            Act::Fresh => {
                let kept = self.offer.iter();
                let typed: Vec<String> = kept
                    .flat_map(|kept| ["yes", "no", "second"].map(|field| (field, kept.rows(field))))
                    .flat_map(|(field, rows)| rows.into_iter().map(move |row| format!("{row} {field}")))
                    .collect();
                if typed.is_empty() {
                    self.act(Act::Discard, cx);
                } else {
                    cx.go(Step::Open(Box::new(Question::forget(&typed))));
                }
            }
            Act::Discard => {
                self.offer = None;
                if let Err(error) = cx.desk.book().drop_draft(Kind::Prefire.word(), &self.serial) {
                    cx.say(error.to_string());
                }
                cx.go(Step::LookAgain);
            }
            _ => {}
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        self.reload(cx);
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if let Some(offer) = &self.offer
            && !self.asked
        {
            self.asked = true;
            let question = format!(
                "A checklist of {} with {} ({}) was left half run.",
                self.serial,
                text::clean(offer.text("load").unwrap_or("no load")),
                text::clean(offer.text("mode").unwrap_or("static")),
            );
            cx.go(Step::Open(Box::new(
                Question::new(
                    "half run",
                    &question,
                    &[(Act::Yes, "go on with it"), (Act::Fresh, "forget it and choose a load")],
                )
                .through(),
            )));
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let style = paint.theme.standing(self.standing);
        let words = if self.standing.forbids() {
            format!(
                "{} {} is {}: the record forbids every load.",
                self.standing.sign(),
                self.serial,
                self.standing
            )
        } else {
            format!("{} {} is {}. Which load?", self.standing.sign(), self.serial, self.standing)
        };
        put(frame, area, 0, 0, &words, style);
        let (stand, flight) = match self.mode {
            FiringMode::Static => ("[static]", " flight "),
            FiringMode::Flight => (" static ", "[flight]"),
        };
        let batch = text::clean(self.batch().unwrap_or("not named"));
        let key = |act| paint.keys.first(act, Context::Loads);
        let grain =
            self.grain.as_ref().map_or_else(|| "not known".to_owned(), |it| show(it.value, paint.system));
        let planned = format!(
            "Planned: {stand} ({})  {flight} ({})  batch: {batch} ({})  grain: {grain} ({})",
            key(Act::Static),
            key(Act::Flight),
            key(Act::Batch),
            key(Act::GrainTemperature)
        );
        match &mut self.typing {
            None => put(frame, area, 1, 0, &planned, paint.of(Meaning::Strong)),
            Some(soak) => {
                const LABEL: &str = "How hot are the grains soaked? ";
                put(frame, area, 1, 0, LABEL, paint.of(Meaning::Strong));
                let at = (LABEL.len() as u16).min(area.width);
                let line = Rect {
                    x: area.x + at,
                    y: area.y + 1.min(area.height.saturating_sub(1)),
                    width: (area.width - at).min(14),
                    height: area.height.min(1),
                };
                soak.line.draw(frame, line, true, paint);
                let hint = match &soak.wrong {
                    Some(wrong) => (format!("! {wrong}"), paint.of(Meaning::Forbids)),
                    None => ("17 degC; empty: not known".to_owned(), paint.of(Meaning::Plain)),
                };
                put(frame, area, 1, at + 16, &hint.0, hint.1);
            }
        }
        for (row, flag) in (2..).zip(self.assessed.flags.iter().take(1)) {
            put(frame, area, row, 0, &format!("!! {flag}"), paint.of(Meaning::Forbids));
        }
        let below = Rect { y: area.y + 3.min(area.height), height: area.height.saturating_sub(3), ..area };
        loads::draw(&self.loads, &mut self.place, frame, below, paint);
    }
}
