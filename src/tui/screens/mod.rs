//! The screens, one folder each, and what every screen can do.
//!
//! A screen takes an action or a key, changes its own state, and leaves steps for the app to take. Drawing
//! changes nothing but what is scrolled into view.

pub mod ask;
pub mod bench;
pub mod big;
pub mod bulge;
pub mod calculators;
pub mod casing;
pub mod day;
pub mod decide;
pub mod drawing;
pub mod due;
pub mod find;
pub mod form;
pub mod instruments;
pub mod menu;
pub mod part;
pub mod photo;
pub mod prefire;
pub mod proof;
pub mod rack;
pub mod read;
pub mod rules;
pub mod trace;

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::crossterm::event::{KeyEvent, MouseEvent};
use ratatui::layout::Rect;

use super::action::{Act, Action, Context};
use super::keymap::Keymap;
use super::widgets::Paint;
use super::widgets::field::Typed;
use super::widgets::live::LiveFields;
use super::widgets::table::Place;
use super::work::Waker;
use crate::book::{Details, Kind, Subject};
use crate::desk::Desk;
use crate::quantity::System;

/// What is kept while the program runs and written nowhere.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// What was typed into each calculator.
    pub typed: BTreeMap<&'static str, BTreeMap<String, String>>,
    /// The calculator used last.
    pub calculator: Option<&'static str>,
    /// The entries written here, the newest last, each with the casing it is about.
    pub written: Vec<(i64, String)>,
    /// The casing that the last entry is about, until the rack has gone to it.
    pub about: Option<String>,
}

/// What a screen is given to work with.
pub struct Cx<'a> {
    /// The book and its use cases.
    pub desk: &'a mut Desk,
    /// The units shown, and taken for bare numbers.
    pub system: System,
    /// Who is writing, where it is known.
    pub by: Option<&'a str>,
    /// What is kept while the program runs.
    pub kept: &'a mut Kept,
    /// The keys in force.
    pub keys: &'a Keymap,
    /// Who wakes the loop when work on another thread has something to show.
    pub waker: &'a Waker,
    /// The steps the app is to take.
    pub steps: Vec<Step>,
}

impl Cx<'_> {
    /// Leave a step for the app.
    pub fn go(&mut self, step: Step) {
        self.steps.push(step);
    }

    /// Show a message until the next key; `{name-of-an-action}` in it is written as that action's key.
    pub fn say(&mut self, words: impl Into<String>) {
        self.steps.push(Step::Say(words.into()));
    }
}

/// A step the app takes for a screen.
pub enum Step {
    /// Put a screen on top.
    Open(Box<dyn Screen>),
    /// Put a screen in place of this one.
    Replace(Box<dyn Screen>),
    /// Take this screen away.
    Back,
    /// Take this screen away and let the one below do an action.
    BackWith(Act),
    /// Show a message until the next key.
    Say(String),
    /// The book, the day or the units changed: every screen looks again.
    LookAgain,
    /// Whoever wrote an entry is offered as the writer of the next.
    Remember(String),
    /// Hand a text to the terminal's clipboard.
    Copy(String),
    /// Leave the program.
    Quit,
}

/// One screen.
pub trait Screen {
    /// Where its keys are declared.
    fn context(&self) -> Context;

    /// Its name in the bar.
    fn title(&self) -> String;

    /// Whether it is drawn over the screen below.
    fn floats(&self) -> bool {
        false
    }

    /// Whether something typed would be lost by leaving.
    fn dirty(&self) -> bool {
        false
    }

    /// Whether an action makes sense now; the footer leaves it out otherwise.
    fn offers(&self, _act: Act) -> bool {
        true
    }

    /// An action's place in the footer just now, small first.
    fn need(&self, action: &Action) -> u8 {
        action.bar
    }

    /// The casing that is selected or shown.
    fn serial(&self) -> Option<&str> {
        None
    }

    /// Whether an entry written here may be taken back from this screen: its number, and the casing it is about.
    fn takes_back(&self, _number: i64, _casing: &str) -> bool {
        true
    }

    /// Whether nothing is left to go back to here; it is taken away once it comes to the top.
    fn spent(&self) -> bool {
        false
    }

    /// What an action does here, where that is another thing than its name says.
    fn label(&self, _act: Act) -> Option<&'static str> {
        None
    }

    /// What is selected, as text to copy.
    fn copy(&self, _system: System) -> Option<String> {
        None
    }

    /// The long text being typed, to go on with in an editor.
    fn text_to_edit(&self) -> Option<String> {
        None
    }

    /// Take that text back.
    fn take_edited(&mut self, _words: &str, _cx: &mut Cx<'_>) {}

    /// What matters here, to be read back in big letters.
    fn read_back(&self, _system: System) -> Vec<big::Said> {
        Vec::new()
    }

    /// Do an action.
    fn act(&mut self, act: Act, cx: &mut Cx<'_>);

    /// The fields whose answer is worked out at every key: what is typed and pasted goes to them.
    fn live(&mut self) -> Option<&mut LiveFields> {
        None
    }

    /// Take a key as text, before it is looked up as an action; whether it was taken.
    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        self.live().is_some_and(|fields| fields.key(key) != Typed::NotMine)
    }

    /// Take a press, a drag or a turn of the wheel, at the cells of the last frame; whether it was taken. What is
    /// not taken scrolls the list, selects in it, or presses a key of the footer.
    fn mouse(&mut self, _mouse: &MouseEvent, _cx: &mut Cx<'_>) -> bool {
        false
    }

    /// The list a mouse selects in, and how many rows it has.
    fn list(&mut self) -> Option<(&mut Place, usize)> {
        None
    }

    /// Take a pasted text.
    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if let Some(fields) = self.live() {
            fields.paste(words);
        }
    }

    /// The book changed, or the day, or the units: look again, and stay on the same record.
    fn refresh(&mut self, _cx: &mut Cx<'_>) {
        if let Some(fields) = self.live() {
            fields.changed = true;
        }
    }

    /// Once after every batch of keys, before drawing.
    fn settle(&mut self, _cx: &mut Cx<'_>) {}

    /// Draw.
    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint);
}

/// A casing as a title says it: its serial, and its name where it has one.
pub fn named(serial: &str, desk: &Desk) -> String {
    let last = desk.book().last_of(Kind::Casing, &Subject::casing(serial), desk.today());
    match last.ok().flatten().map(|entry| entry.entry.details) {
        Some(Details::Casing(it)) => it.name.as_ref().map_or_else(
            || serial.to_owned(),
            |name| format!("{serial} {}", super::text::fit(&super::text::one_line(name), 20)),
        ),
        _ => serial.to_owned(),
    }
}

/// The form that an action opens.
pub const fn form_of(act: Act) -> Option<Kind> {
    Some(match act {
        Act::LogFiring => Kind::Firing,
        Act::LogProof => Kind::Proof,
        Act::LogStrip => Kind::Strip,
        Act::LogFinding => Kind::Finding,
        Act::LogDecision => Kind::Disposition,
        Act::LogNote => Kind::Note,
        Act::LogFit => Kind::Fit,
        Act::Register => Kind::Casing,
        Act::Strike => Kind::Strike,
        _ => return None,
    })
}

/// Offer to cross out the entry written last, of those that a screen is about: its strike, with the number filled in.
pub fn undo(screen: &dyn Screen, cx: &mut Cx<'_>) {
    let newest_first = cx.kept.written.iter().rev();
    match newest_first.clone().find(|(number, casing)| screen.takes_back(*number, casing)).cloned() {
        Some((number, casing)) => {
            let casing = Some(casing).filter(|it| !it.is_empty());
            form::FormScreen::open(Kind::Strike, casing.as_deref(), &[("entry", &number.to_string())], cx);
        }
        None if !cx.kept.written.is_empty() => {
            cx.say("Nothing this page is about was written since the program was opened; the rack takes back the rest.");
        }
        None => cx
            .say("Nothing was written since the program was opened. Older entries are struck in the ledger."),
    }
}
