//! A proof planned, and pumped step by step: every reading is held against the prediction as it is typed.
//!
//! Nothing here is an entry yet. What is typed is kept as a draft at every key, so that a flat battery at the rig
//! loses nothing; at the end it fills in the proof form, which is read over, saved, and judged by the book.

mod given;
mod notes;
mod view;

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::layout::Rect;

use super::ask::Ask;
use super::form::FormScreen;
use super::{Cx, Screen, Step, named};
use crate::book::{Answers, Instrument, Kind};
use crate::desk::Refusal;
use crate::desk::proof::Verdict;
use crate::quantity::{Dimension, GaugePressure, Length, Quantity, System, parse_field, parse_number, show};
use crate::standing::RuleSet;
use crate::standing::proof_plan::{self, Flag, ProofPlan, RIG, Station, StepRead};
use crate::tui::action::{Act, Context};
use crate::tui::widgets::Paint;
use crate::tui::widgets::live::{self, Live, LiveFields, Note};

/// The name its drafts are kept under.
pub const DRAFT: &str = "proof at the rig";

/// A proof at the rig.
pub struct RigScreen {
    serial: String,
    /// Its serial and name.
    who: String,
    plan: ProofPlan,
    rules: RuleSet,
    fields: LiveFields,
    /// What is typed, also of fields that are not shown just now.
    typed: BTreeMap<String, String>,
    dials: Vec<String>,
    gauges: Vec<String>,
    /// What the diameters before and after are read with.
    readers: Vec<String>,
    flags: Vec<Flag>,
    verdict: Option<Verdict>,
    /// What looks like a slip, by field of the proof form.
    odd: Vec<String>,
    by: String,
    /// The step the table was last scrolled to, and the lines it had.
    followed: (Option<usize>, usize),
    /// Whether a draft of what is typed was kept.
    kept: bool,
    /// Whether what was read stands in the book by now, and nothing is left to do here.
    written_up: bool,
    /// What was emptied last, to be brought back as long as nothing else is typed.
    emptied: BTreeMap<String, String>,
}

impl RigScreen {
    /// Open it for a casing, where it was left.
    pub fn open(serial: &str, cx: &mut Cx<'_>) {
        match Self::load(serial, cx) {
            Ok(screen) => {
                let at = screen.fields.current().map(|it| it.label.clone()).unwrap_or_default();
                let resumed = !screen.typed.is_empty();
                cx.go(Step::Open(Box::new(screen)));
                if resumed {
                    cx.say(format!("What was read is taken up again, at: {at}."));
                }
            }
            Err(message) => cx.say(message),
        }
    }

    fn load(serial: &str, cx: &Cx<'_>) -> Result<Self, String> {
        let plan = planned(serial, None, None, cx)?;
        let store = |error: crate::store::StoreError| error.to_string();
        let instruments = cx.desk.instruments().map_err(store)?;
        let of = |what: Instrument| {
            instruments
                .gauges
                .iter()
                .filter(|it| it.record.what == what)
                .map(|it| it.record.serial.clone())
                .collect::<Vec<_>>()
        };
        let mut typed = BTreeMap::new();
        if let Some(draft) = cx.desk.book().draft(DRAFT, serial).map_err(store)? {
            for field in draft.fields() {
                typed.insert(field.to_owned(), draft.text(field).unwrap_or_default().to_owned());
            }
        }
        let rules = cx.desk.book().rules_on(cx.desk.day()).map_err(store)?;
        let mut screen = Self {
            serial: serial.to_owned(),
            who: named(serial, cx.desk),
            plan,
            rules,
            fields: LiveFields::new(Vec::new()).with_whole_notes(),
            typed,
            dials: of(Instrument::DialGauge),
            gauges: of(Instrument::PressureGauge),
            readers: [Instrument::Micrometer, Instrument::Calipers, Instrument::PiTape]
                .into_iter()
                .flat_map(of)
                .collect(),
            flags: Vec::new(),
            verdict: None,
            odd: Vec::new(),
            by: cx.by.unwrap_or("at the rig").to_owned(),
            followed: (None, 0),
            kept: false,
            written_up: false,
            emptied: BTreeMap::new(),
        };
        screen.kept = !screen.typed.is_empty();
        screen.plan_again(cx);
        screen.lay_out();
        screen.focus_first_empty();
        Ok(screen)
    }

    fn text(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", |it| it.trim())
    }

    /// A typed quantity in SI, bare numbers in the user's unit.
    fn si(&self, name: &str, dimension: Dimension, system: System) -> Option<f64> {
        let gauge = (dimension == Dimension::Pressure).then_some(false);
        let text = live::with_unit(self.text(name), dimension, gauge, system);
        parse_field(&text, dimension, gauge, None).ok()
    }

    /// The stations with a dial left in place: those named by number, else all.
    fn with_dial(&self) -> Vec<usize> {
        let named: Vec<usize> = self
            .text("dials")
            .split([',', ' '])
            .filter_map(|word| word.trim().parse::<usize>().ok())
            .filter(|at| (1..=self.plan.stations.len()).contains(at))
            .map(|at| at - 1)
            .collect();
        if named.is_empty() { (0..self.plan.stations.len()).collect() } else { named }
    }

    /// The fields, in the order of the work.
    fn lay_out(&mut self) {
        let yes_no = || vec!["yes".to_owned(), "no".to_owned()];
        let mut fields = vec![
            Live::new("pressure", "proof pressure", Vec::new()),
            Live::new("medium", "medium", vec!["water".to_owned()]),
            Live::new("gauge", "pressure gauge", self.gauges.clone()),
            Live::new("dial", "dial gauge", self.dials.clone()),
            Live::new("reader", "diameters with", self.readers.clone()),
        ];
        if self.plan.stations.len() > 1 {
            fields.push(Live::new("dials", "dials at stations", Vec::new()));
        }
        for (id, _) in RIG {
            fields.push(Live::new(&format!("rig.{id}"), &format!("rig: {id}"), yes_no()));
        }
        for (at, station) in self.plan.stations.iter().enumerate() {
            fields.push(Live::new(
                &format!("before.{at}"),
                &format!("before {}", station.mark()),
                Vec::new(),
            ));
        }
        fields.push(Live::new("water", "water inside", Vec::new()));
        let dials = self.with_dial();
        for at in 0..self.plan.steps.len() {
            let number = at + 1;
            fields.push(Live::new(
                &format!("step.{at}.pressure"),
                &format!("{number}: pressure"),
                Vec::new(),
            ));
            fields.push(Live::new(&format!("step.{at}.strokes"), &format!("{number}: strokes"), Vec::new()));
            for station in &dials {
                let mark = self.plan.stations.get(*station).map_or_else(String::new, Station::mark);
                fields.push(Live::new(
                    &format!("step.{at}.dial.{station}"),
                    &format!("{number}: dial {mark}"),
                    Vec::new(),
                ));
            }
        }
        fields.push(Live::new("pumped", "water pumped in", Vec::new()));
        fields.push(Live::new("hold", "held for", Vec::new()));
        fields.push(Live::new("leak", "any leak", yes_no()));
        fields.push(Live::new("drop", "pressure dropped", yes_no()));
        fields.push(Live::new("returned", "water given back", Vec::new()));
        for (at, station) in self.plan.stations.iter().enumerate() {
            fields.push(Live::new(&format!("after.{at}"), &format!("after {}", station.mark()), Vec::new()));
        }
        for field in &mut fields {
            if let Some(words) = self.typed.get(&field.name) {
                field.line.set(words);
            }
        }
        self.fields.replace(fields);
    }

    /// Go on where somebody stopped: the first empty field after the last that is filled in.
    fn focus_first_empty(&mut self) {
        let last = self.fields.fields.iter().rposition(|it| !it.text().is_empty());
        self.fields.focus = last.map_or(0, |at| (at + 1).min(self.fields.fields.len().saturating_sub(1)));
    }

    /// Plan again for the pressure and the dial gauge typed, where they can be.
    fn plan_again(&mut self, cx: &Cx<'_>) {
        let pressure = self.si("pressure", Dimension::Pressure, cx.system).filter(|it| *it > 0.0);
        let dial = Some(self.text("dial")).filter(|it| !it.is_empty());
        if let Ok(plan) = planned(&self.serial, pressure, dial, cx) {
            self.plan = plan;
        }
    }

    /// Where pumping stops: the first step that departs so far that the pressure comes off, or whose pressure is
    /// not the one planned; or the rig is not as it must be. No step after it is offered.
    fn stopped(&self, system: System) -> Option<Stopped> {
        let flagged = self.flags.iter().filter(|flag| flag.stop).map(|flag| flag.step).min();
        let doubted = (0..self.plan.steps.len()).find(|at| self.far(*at, system).is_some());
        match (flagged, doubted) {
            (Some(at), _) => Some(Stopped::Stop(at)),
            (None, _) if self.unfit_rig().is_some() => Some(Stopped::Rig),
            (None, Some(at)) => Some(Stopped::Doubt(at)),
            (None, None) => None,
        }
    }

    /// What must not be pumped with: another medium than water, or the first thing of the rig that is not so.
    fn unfit_rig(&self) -> Option<String> {
        let medium = self.text("medium");
        // Half a word is not another medium yet.
        let half = "water".starts_with(&medium.to_lowercase());
        if !half && crate::book::Medium::from_word(medium).is_none() {
            return Some("water only: gas holds about a thousand times the energy".to_owned());
        }
        RIG.iter()
            .find(|(id, _)| given::yes_no(self.text(&format!("rig.{id}"))) == Some(false))
            .map(|(id, words)| format!("rig: {id} is \"no\". Not pumped before it is: {words}"))
    }

    /// The marks typed that no instrument of that use has on record.
    fn unknown_gauges(&self) -> Vec<String> {
        let said = |mark: &str| self.odd.iter().any(|it| it.starts_with(&format!("{mark} was not")));
        ["gauge", "dial", "reader"]
            .into_iter()
            .filter(|field| !said(self.text(field)))
            .filter_map(|field| self.unknown_gauge(field))
            .collect()
    }

    /// What is wrong with the mark of one instrument. While it is typed, the beginning of one on record is no slip;
    /// nor is any mark where nobody registers instruments.
    fn unknown_gauge(&self, field: &str) -> Option<String> {
        let (known, what) = match field {
            "gauge" => (&self.gauges, "pressure gauge"),
            "dial" => (&self.dials, "dial gauge"),
            _ => (&self.readers, "micrometer, calipers or pi tape"),
        };
        let typed = self.text(field);
        let mark = typed.to_lowercase();
        let same = |it: &&String| it.to_lowercase() == mark;
        let nobody_does = [&self.gauges, &self.dials, &self.readers].into_iter().all(Vec::is_empty);
        if typed.is_empty() || nobody_does || known.iter().any(|it| same(&it)) {
            return None;
        }
        let begins = known.iter().any(|it| it.to_lowercase().starts_with(&mark));
        let typing = self.fields.current().is_some_and(|it| it.name == field);
        (!(begins && typing)).then(|| format!("no {what} {typed} is on record"))
    }

    /// The pressure typed at a step, where it is far from the one planned: a step may be rounded to what the
    /// gauge shows; further off is a slip, or another step.
    fn far(&self, at: usize, system: System) -> Option<f64> {
        let planned = self.plan.steps.get(at)?.pressure_pa;
        self.si(&format!("step.{at}.pressure"), Dimension::Pressure, system)
            .filter(|typed| !(0.6..=1.5).contains(&(typed / planned)))
    }

    /// The step the table is scrolled to: the one being typed, else where it stopped, else the next.
    fn looked_at(&self, system: System) -> Option<usize> {
        let typed = self.fields.current().and_then(|it| it.name.strip_prefix("step."));
        typed
            .and_then(|it| it.split('.').next())
            .and_then(|it| it.parse().ok())
            .or_else(|| self.stopped(system).and_then(Stopped::step))
            .or_else(|| self.now())
    }

    /// What has been read, step by step.
    fn read(&self, system: System) -> Vec<StepRead> {
        (0..self.plan.steps.len())
            .map(|at| {
                let strokes = parse_number(self.text(&format!("step.{at}.strokes"))).ok();
                let growth_mm = (0..self.plan.stations.len())
                    .map(|station| {
                        self.si(&format!("step.{at}.dial.{station}"), Dimension::Length, system)
                            .map(|si| si * 1e3)
                    })
                    .collect();
                let pressure_pa = self.si(&format!("step.{at}.pressure"), Dimension::Pressure, system);
                StepRead { pressure_pa, strokes, growth_mm }
            })
            .collect()
    }

    /// The step being pumped: the first without anything read.
    fn now(&self) -> Option<usize> {
        (0..self.plan.steps.len()).find(|at| {
            let begun = format!("step.{at}.");
            !self.typed.iter().any(|(name, words)| name.starts_with(&begun) && !words.trim().is_empty())
        })
    }

    fn work_out(&mut self, cx: &Cx<'_>) {
        let stations = (self.plan.stations.len(), self.plan.steps.len());
        let dials = self.with_dial();
        for field in &self.fields.fields {
            self.typed.insert(field.name.clone(), field.line.text().to_owned());
        }
        self.typed.retain(|_, words| !words.trim().is_empty());
        self.plan_again(cx);
        if stations != (self.plan.stations.len(), self.plan.steps.len()) || dials != self.with_dial() {
            self.lay_out();
        }
        self.flags = proof_plan::look(&self.plan, &self.read(cx.system), &self.rules);
        let answers = self.answers(cx.system);
        self.verdict = self.after_read().then(|| cx.desk.verdict(&answers, Some(cx.system))).flatten();
        self.odd = cx
            .desk
            .check(Kind::Proof, &answers, Some(cx.system))
            .map(|odd| odd.into_iter().map(|it| it.message).collect())
            .unwrap_or_default();
        let notes: Vec<Note> = self.fields.fields.iter().map(|field| self.note(field, cx.system)).collect();
        for (field, note) in self.fields.fields.iter_mut().zip(notes) {
            field.note = note;
        }
    }

    /// Ask before every reading is emptied; with nothing typed, bring back what was emptied last.
    fn ask_or_bring_back(&mut self, cx: &mut Cx<'_>) {
        if self.typed.is_empty() {
            self.typed = std::mem::take(&mut self.emptied);
            self.plan_again(cx);
            self.lay_out();
            self.focus_first_empty();
            self.keep(cx);
            self.fields.changed = true;
            return cx.say("Everything is back.");
        }
        let count = match self.typed.len() {
            1 => "What is typed in 1 field".to_owned(),
            many => format!("What is typed in {many} fields"),
        };
        let question = format!("{count} goes from the screen and from the draft.");
        let answers = [(Act::Yes, "keep it and go on"), (Act::Discard, "empty every field")];
        cx.go(Step::Open(Box::new(Ask::new("empty every field?", &question, &answers))));
    }

    fn empty(&mut self, cx: &mut Cx<'_>) {
        self.emptied = std::mem::take(&mut self.typed);
        self.plan_again(cx);
        self.lay_out();
        self.fields.act(Act::ClearFields);
        self.keep(cx);
        self.fields.changed = true;
        cx.say("Emptied. {clear-fields} brings everything back until you type or leave.");
    }

    fn after_read(&self) -> bool {
        self.typed.keys().any(|name| name.starts_with("after.") || name == "returned")
    }

    fn keep(&mut self, cx: &mut Cx<'_>) {
        if !cx.desk.book().writable() {
            return;
        }
        let mut answers = Answers::new();
        for (name, words) in &self.typed {
            answers.set(name, words.clone());
        }
        let book = cx.desk.book();
        let kept = if answers.is_empty() {
            book.drop_draft(DRAFT, &self.serial)
        } else {
            book.keep_draft(DRAFT, &self.serial, &answers, cx.desk.now())
        };
        self.kept = kept.is_ok();
        if let Err(error) = kept {
            cx.say(error.to_string());
        }
    }
}

/// Why pumping stopped, and at which step.
#[derive(Clone, Copy, Debug)]
enum Stopped {
    /// Something departs: the pressure comes off.
    Stop(usize),
    /// The pressure typed is not the one planned: it is read again before anything else.
    Doubt(usize),
    /// The rig is not fit to pump with.
    Rig,
}

impl Stopped {
    const fn step(self) -> Option<usize> {
        match self {
            Self::Stop(at) | Self::Doubt(at) => Some(at),
            Self::Rig => None,
        }
    }
}

fn planned(
    serial: &str,
    pressure_pa: Option<f64>,
    dial: Option<&str>,
    cx: &Cx<'_>,
) -> Result<ProofPlan, String> {
    cx.desk.proof_plan(serial, pressure_pa.map(GaugePressure::from_si), dial).map_err(|refusal| match refusal
    {
        Refusal::Form(problems) => problems.first().map_or_else(String::new, |it| it.message.clone()),
        Refusal::Store(error) => error.to_string(),
        Refusal::Forbidden { casing, .. } => format!("{casing} cannot be proofed"),
    })
}

impl Screen for RigScreen {
    fn context(&self) -> Context {
        match self.fields.context() {
            Context::LiveWords => Context::RigWords,
            _ => Context::Rig,
        }
    }

    fn title(&self) -> String {
        format!("{} at the rig", self.who)
    }

    fn offers(&self, act: Act) -> bool {
        act != Act::ClearFields || !self.typed.is_empty() || !self.emptied.is_empty()
    }

    fn label(&self, act: Act) -> Option<&'static str> {
        (act == Act::ClearFields && self.typed.is_empty()).then_some("bring back")
    }

    fn copy(&self, system: System) -> Option<String> {
        Some(crate::report::proof::as_text(&self.plan, system))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        // Readings of a casing under pressure are never taken again: nothing goes with one key.
        if act == Act::ClearFields {
            return self.ask_or_bring_back(cx);
        }
        if act == Act::Discard {
            return self.empty(cx);
        }
        if self.fields.act(act) {
            return;
        }
        match act {
            Act::Back => {
                if !self.typed.is_empty() {
                    cx.say("What was read is kept: press {take-draft} on the casing's page to go on.");
                }
                cx.go(Step::Back);
            }
            Act::Save => {
                let answers = self.answers(cx.system);
                let given: Vec<(&str, String)> = answers
                    .fields()
                    .filter(|it| *it != "by")
                    .map(|it| (it, answers.rows(it).join("\n")))
                    .collect();
                let given: Vec<(&str, &str)> =
                    given.iter().map(|(name, words)| (*name, words.as_str())).collect();
                FormScreen::open(Kind::Proof, Some(&self.serial), &given, cx);
            }
            _ => {}
        }
    }

    fn live(&mut self) -> Option<&mut LiveFields> {
        Some(&mut self.fields)
    }

    fn spent(&self) -> bool {
        self.written_up
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        // The draft goes when its proof is written.
        let draft = cx.desk.book().draft(DRAFT, &self.serial);
        self.written_up = self.kept && !self.typed.is_empty() && matches!(draft, Ok(None));
        self.fields.changed = true;
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if std::mem::take(&mut self.fields.changed) {
            let before = self.typed.clone();
            self.work_out(cx);
            if before != self.typed {
                self.emptied.clear();
                self.written_up = false;
                self.keep(cx);
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
