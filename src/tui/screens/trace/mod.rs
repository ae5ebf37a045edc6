//! What did it do? A trace as curves that fill the window, with a cursor, its phases, its plan and what asks for a
//! second look.

mod choose;
mod read_out;
mod side;
mod view;
mod window;

use ratatui::Frame;
use ratatui::crossterm::event::{KeyEvent, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Rect;

use super::read::Read;
use super::{Cx, Screen, Step};
use crate::book::{EntryId, SubjectOf};
use crate::desk::Refusal;
use crate::desk::after::{AgainstFiring, Proposals, Recorded, against_firing};
use crate::desk::trace_job::{TraceFound, TraceJob, TraceOf};
use crate::quantity::System;
use crate::tui::action::{Act, Context};
use crate::tui::screens::big::Said;
use crate::tui::widgets::Paint;
use crate::tui::widgets::field::Typed;
use crate::tui::widgets::path::PathField;
use crate::tui::widgets::plot::Field;
use crate::tui::widgets::scroll::Scroll;
use crate::tui::widgets::table::Place;
use crate::tui::work::{Progress, Work};
use choose::Asked;
use window::{Shown, Window};

/// What a reading on another thread comes to.
type Reading = Work<Result<TraceFound, String>>;

/// How far the screen is.
enum State {
    /// Nothing is open yet.
    Empty,
    /// Being read on another thread.
    Reading(Reading),
    /// It cannot be read, and why.
    Wrong(String),
    /// There it is.
    Open(Box<Shown>),
}

/// Which channels are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Channels {
    Both,
    Thrust,
    Pressure,
}

/// A trace on the screen.
pub struct TraceScreen {
    of: TraceOf,
    job: Option<TraceJob>,
    state: State,
    asked: Option<Asked>,
    /// Another firing being read, to be held against this one.
    other: Option<(String, Reading)>,
    channels: Channels,
    /// What the rules say, where casing and load are known.
    proposals: Option<Proposals>,
    /// What the record says of it, where its firing is on record.
    recorded: Option<Recorded>,
    /// How far the side is scrolled.
    scroll: Scroll,
    fields: Vec<Field>,
    /// Where a drag began: the time under it and the window then.
    dragged: Option<f64>,
}

impl TraceScreen {
    fn new(of: TraceOf) -> Self {
        Self {
            of,
            job: None,
            state: State::Empty,
            asked: None,
            other: None,
            channels: Channels::Both,
            proposals: None,
            recorded: None,
            scroll: Scroll::default(),
            fields: Vec::new(),
            dragged: None,
        }
    }

    /// Ask for a file, for a casing where one is selected.
    pub fn ask(casing: Option<String>, cx: &mut Cx<'_>) {
        let mut screen = Self::new(TraceOf { label: "a file".to_owned(), casing, ..TraceOf::default() });
        screen.asked = Some(Asked::Path(PathField::default(), false, None));
        cx.go(Step::Open(Box::new(screen)));
    }

    /// Open the trace of an entry: a trace, or a firing that has one.
    pub fn of_entry(id: EntryId, cx: &mut Cx<'_>) {
        match cx.desk.trace_job(id) {
            Ok(job) => {
                let mut screen = Self::new(job.of.clone());
                screen.begin(job, cx);
                cx.go(Step::Open(Box::new(screen)));
            }
            Err(refusal) => cx.say(words_of(refusal)),
        }
    }

    /// Open the file a form names, with the casing and load the form names.
    pub fn of_form(words: &str, casing: Option<String>, load: Option<String>, cx: &mut Cx<'_>) {
        match TraceJob::typed(words) {
            Ok(mut job) => {
                job.of.casing = casing;
                job.of.load = load;
                let mut screen = Self::new(job.of.clone());
                screen.begin_with_load(job, cx);
                cx.go(Step::Open(Box::new(screen)));
            }
            Err(problem) => cx.say(problem.message),
        }
    }

    fn begin_with_load(&mut self, job: TraceJob, cx: &mut Cx<'_>) {
        let day = cx.desk.day();
        match cx.desk.with_its_load(job.clone(), day) {
            Ok(job) => self.begin(job, cx),
            Err(_) => self.begin(job, cx),
        }
    }

    /// Read it on another thread.
    fn begin(&mut self, job: TraceJob, cx: &Cx<'_>) {
        self.of = job.of.clone();
        self.job = Some(job.clone());
        self.proposals = None;
        self.recorded = None;
        self.scroll.top = 0;
        self.state = State::Reading(start(job, cx));
    }

    fn open(&self) -> Option<&Shown> {
        match &self.state {
            State::Open(shown) => Some(shown),
            _ => None,
        }
    }

    fn window(&mut self) -> Option<&mut Window> {
        match &mut self.state {
            State::Open(shown) => Some(&mut shown.window),
            _ => None,
        }
    }

    /// What the rules say of it, where the casing and the load are on record.
    fn propose(&mut self, cx: &Cx<'_>) {
        let (Some(casing), Some(load), State::Open(shown)) = (&self.of.casing, &self.of.load, &self.state)
        else {
            return;
        };
        self.recorded = self.of.firing.and_then(|firing| cx.desk.recorded(casing, firing).ok());
        let known = |of, name: &str| cx.desk.book().knows(of, name).unwrap_or(false);
        if known(SubjectOf::Casing, casing) && known(SubjectOf::Load, load) {
            self.proposals = cx.desk.propose(casing, load, &shown.found.reduced).ok();
        }
    }

    fn leave(&mut self, cx: &mut Cx<'_>) {
        let nothing_open = matches!(self.state, State::Empty);
        if self.asked.take().is_some() && !nothing_open {
            return;
        }
        if self.other.take().is_some() {
            cx.say("Stopped; the other trace was not read.");
            return;
        }
        if matches!(self.state, State::Reading(_)) {
            cx.say("Stopped; nothing of the trace was kept.");
        }
        // Dropping the work stops it.
        self.state = State::Empty;
        cx.go(Step::Back);
    }

    fn in_full(&self, system: System) -> Option<Read> {
        let shown = self.open()?;
        Some(Read::new(
            &self.of.label,
            side::in_full(shown, self.proposals.as_ref(), self.recorded.as_ref(), system),
        ))
    }
}

/// Start reading.
fn start(job: TraceJob, cx: &Cx<'_>) -> Reading {
    Work::start(cx.waker, move |teller| job.run(&|done, all| teller.tell(done, all)))
}

fn words_of(refusal: Refusal) -> String {
    match refusal {
        Refusal::Form(problems) => problems.into_iter().next().map_or_else(String::new, |it| it.message),
        Refusal::Store(error) => error.to_string(),
        Refusal::Forbidden { casing, .. } => format!("{casing} cannot be shown"),
    }
}

impl Screen for TraceScreen {
    fn context(&self) -> Context {
        match &self.asked {
            Some(Asked::Path(..)) => Context::TraceFile,
            Some(Asked::List(..)) => Context::TraceList,
            None => Context::Trace,
        }
    }

    fn title(&self) -> String {
        format!("trace {}", self.of.label)
    }

    fn offers(&self, act: Act) -> bool {
        let open = self.open();
        match act {
            Act::Channels => open.is_some_and(Shown::has_both),
            Act::Back | Act::Help | Act::TraceFile | Act::ChooseTrace | Act::TakeFile | Act::Units => true,
            _ => open.is_some() || self.asked.is_some(),
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let shown = self.open()?;
        Some(read_out::as_text(shown, system))
    }

    fn read_back(&self, system: System) -> Vec<Said> {
        let parts = self.open().map(|shown| read_out::parts(shown, system)).unwrap_or_default();
        parts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect()
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        match &mut self.asked {
            Some(Asked::List(place, choices)) => Some((place, choices.len())),
            _ => None,
        }
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if let Some(Asked::List(place, choices)) = &mut self.asked
            && place.act(act, choices.len())
        {
            return;
        }
        match act {
            Act::Back => self.leave(cx),
            Act::FullTrace | Act::ChooseTrace | Act::TakeFile => self.answer(cx),
            Act::TraceFile => self.asked = Some(Asked::Path(PathField::default(), false, None)),
            Act::CompletePath => {
                if let Some(Asked::Path(field, _, wrong)) = &mut self.asked
                    && field.complete()
                {
                    *wrong = None;
                }
            }
            Act::AgainstTrace => self.choose_other(cx),
            Act::PlanOf => self.choose_load(cx),
            Act::Channels => {
                self.channels = match self.channels {
                    Channels::Both => Channels::Thrust,
                    Channels::Thrust => Channels::Pressure,
                    Channels::Pressure => Channels::Both,
                }
            }
            Act::Up | Act::Down | Act::PageUp | Act::PageDown => {
                self.scroll.act(act);
            }
            other => {
                if let State::Open(shown) = &mut self.state {
                    shown.act(other);
                }
            }
        }
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        let Some(Asked::Path(field, _, wrong)) = &mut self.asked else { return false };
        let typed = field.key(key);
        if typed == Typed::Changed {
            *wrong = None;
        }
        typed != Typed::NotMine
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if let Some(Asked::Path(field, _, wrong)) = &mut self.asked {
            field.paste(words);
            *wrong = None;
        }
    }

    fn mouse(&mut self, mouse: &MouseEvent, _cx: &mut Cx<'_>) -> bool {
        if self.asked.is_some() {
            return false;
        }
        let at = self.fields.iter().find_map(|field| field.at(mouse.column, mouse.row));
        let Some(at) = at else { return false };
        let begun = self.dragged;
        let Some(window) = self.window() else { return false };
        match mouse.kind {
            MouseEventKind::ScrollUp => window.zoom(at, 0.7),
            MouseEventKind::ScrollDown => window.zoom(at, 1.0 / 0.7),
            MouseEventKind::Down(MouseButton::Left) => {
                window.put_cursor(at);
                self.dragged = Some(at);
            }
            // What was taken hold of stays under the mouse.
            MouseEventKind::Drag(MouseButton::Left) => {
                if let Some(begun) = begun {
                    window.slide(begun - at);
                }
            }
            _ => return false,
        }
        true
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        self.propose(cx);
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if let State::Reading(work) = &mut self.state {
            match work.poll() {
                Progress::Busy(..) => {}
                Progress::Done(Ok(found)) => {
                    self.state = State::Open(Box::new(Shown::new(found)));
                    self.propose(cx);
                }
                Progress::Done(Err(why)) => self.state = State::Wrong(why),
                Progress::Lost => self.state = State::Wrong("reading it ended without a result".to_owned()),
            }
        }
        // The other is taken when there is one to hold it against: it may have been read sooner.
        if !matches!(self.state, State::Reading(_))
            && let Some((label, work)) = &mut self.other
        {
            let label = label.clone();
            match work.poll() {
                Progress::Busy(..) => {}
                Progress::Done(Ok(found)) => {
                    self.other = None;
                    if let State::Open(shown) = &mut self.state {
                        let against: AgainstFiring =
                            against_firing(&shown.found.reduced, &found.reduced, &label);
                        shown.hold_against(label, found, against);
                        self.scroll.top = 0;
                    }
                }
                Progress::Done(Err(why)) => {
                    self.other = None;
                    cx.say(format!("{label}: {why}"));
                }
                Progress::Lost => self.other = None,
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
