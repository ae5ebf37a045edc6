//! The app: a stack of screens over one desk. Events come in, screens leave steps, the top is drawn.
//!
//! Nothing here knows a terminal, so all of it is tested without one.

mod frame;

use ratatui::crossterm::event::{KeyCode, KeyEvent, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::Rect;

use super::Options;
use super::action::{self, Act, Context, Key};
use super::event::Event;
use super::screens::ask::Ask;
use super::screens::big::Big;
use super::screens::find::Find;
use super::screens::rack::RackScreen;
use super::screens::read::Read;
use super::screens::{Cx, Kept, Screen, Step};
use super::text;
use super::theme::Theme;
use crate::desk::Desk;
use crate::quantity::System;

pub use frame::LEAST;

/// What the loop around the app is to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Hand a text to the terminal's clipboard.
    Copy(String),
    /// Go to the shell for a while.
    Suspend,
    /// Draw everything again.
    Repaint,
    /// Take the mouse, or leave it to the terminal.
    Mouse(bool),
    /// Let the person edit a text in an editor.
    Edit(String),
}

/// The whole state of the terminal UI.
pub struct App {
    desk: Desk,
    options: Options,
    kept: Kept,
    waker: super::work::Waker,
    system: System,
    theme: Theme,
    screens: Vec<Box<dyn Screen>>,
    message: Option<String>,
    quitting: bool,
    asked_to_quit: bool,
    wish: Option<Wish>,
    data_version: Option<i64>,
    /// Where the footer's keys were drawn last.
    hints: Vec<(Rect, Act)>,
}

impl App {
    /// The rack over a desk.
    pub fn new(desk: Desk, options: Options) -> Self {
        let mut screens: Vec<Box<dyn Screen>> = vec![Box::new(RackScreen::default())];
        if options.first_run {
            screens.push(Box::new(Read::first_run()));
        }
        let data_version = desk.book().data_version().ok();
        let mut app = Self {
            system: options.system,
            theme: Theme::choose(options.colour, options.light),
            desk,
            options,
            kept: Kept::default(),
            waker: super::work::Waker::default(),
            screens,
            message: None,
            quitting: false,
            asked_to_quit: false,
            wish: None,
            data_version,
            hints: Vec::new(),
        };
        app.settle();
        app.greet();
        app
    }

    /// Say what a person coming back should know.
    fn greet(&mut self) {
        if !self.options.said.is_empty() {
            self.message = Some(self.options.said.join(" · "));
            return;
        }
        let drafts = self.desk.book().drafts().unwrap_or_default();
        if !self.desk.book().writable() {
            self.message = Some("This book is open for reading only.".to_owned());
        } else if self.options.demo {
            let words = "A scratch copy of an invented club's book: try anything, nothing is kept.";
            self.message = Some(words.to_owned());
        } else if let Some((form, subject)) = drafts.first() {
            let of = if subject.is_empty() { String::new() } else { format!(" of {subject}") };
            self.say(&format!(
                "A half-typed {form}{of} was kept. Press {{take-draft}} on the rack to go on with it."
            ));
        }
    }

    fn say(&mut self, words: &str) {
        self.message = Some(self.options.keys.fill(words));
    }

    /// Whether the program is to end.
    pub const fn quitting(&self) -> bool {
        self.quitting
    }

    /// What the loop is to do before drawing, once.
    pub fn take_wish(&mut self) -> Option<Wish> {
        self.wish.take()
    }

    /// The context of the screen on top.
    pub fn context(&self) -> Context {
        self.screens.last().map_or(Context::Rack, |screen| screen.context())
    }

    /// The keys in force.
    pub const fn keys(&self) -> &super::Keymap {
        &self.options.keys
    }

    /// Whether the mouse is taken.
    pub const fn mouse_taken(&self) -> bool {
        self.options.mouse
    }

    /// Who wakes the loop when work on another thread has something to show.
    pub fn set_waker(&mut self, waker: super::work::Waker) {
        self.waker = waker;
    }

    /// The desk, for tests that look at what was written.
    pub const fn desk(&self) -> &Desk {
        &self.desk
    }

    /// The title of the terminal's window: the rack, or whose page is open.
    pub fn window_title(&self) -> String {
        let screen = self.screens.get(1).filter(|it| !it.floats()).or(self.screens.first());
        let here = screen.map_or_else(String::new, |screen| text::one_line(&screen.title()));
        self.options.signs.text(&format!("proofmark: {}", text::fit(&here, 60)))
    }

    /// Take one event and settle.
    pub fn handle(&mut self, event: Event) {
        self.handle_all([event]);
    }

    /// Take a batch of events, then settle once.
    pub fn handle_all(&mut self, events: impl IntoIterator<Item = Event>) {
        self.look_for_changes();
        for event in events {
            match event {
                Event::Key(key) => self.key(&key),
                Event::Paste(words) => self.paste(&words),
                Event::Mouse(mouse) => self.mouse(&mouse),
                Event::Written | Event::Redraw | Event::Woke => {}
            }
        }
        self.settle();
    }

    /// Another program may have written into the book meanwhile.
    fn look_for_changes(&mut self) {
        match self.desk.look_whether_replaced() {
            Ok(false) => {}
            Ok(true) => {
                self.data_version = self.desk.book().data_version().ok();
                self.look_again();
                self.message = Some(
                    "Another book was put in this one's place (a restore); this shows it as it is now."
                        .to_owned(),
                );
            }
            Err(error) => self.message = Some(error.to_string()),
        }
        // A book that is just being written to says nothing; it will be heard of again.
        let Ok(version) = self.desk.book().data_version() else { return };
        if self.data_version.is_some_and(|known| known != version) {
            self.message = Some("The book was written to elsewhere; this shows it as it is now.".to_owned());
            self.look_again();
        }
        self.data_version = Some(version);
    }

    /// Let the screens from one of the stack upwards do something; what each asks for next.
    fn let_screens(&mut self, from: usize, mut work: impl FnMut(&mut dyn Screen, &mut Cx<'_>)) -> Vec<Step> {
        let mut steps = Vec::new();
        for screen in self.screens.iter_mut().skip(from) {
            let mut cx = Cx {
                desk: &mut self.desk,
                system: self.system,
                by: self.options.by.as_deref(),
                kept: &mut self.kept,
                waker: &self.waker,
                keys: &self.options.keys,
                steps: Vec::new(),
            };
            work(screen.as_mut(), &mut cx);
            steps.extend(cx.steps);
        }
        steps
    }

    fn with_top(&mut self, work: impl FnMut(&mut dyn Screen, &mut Cx<'_>)) {
        let steps = self.let_screens(self.screens.len().saturating_sub(1), work);
        self.take(steps);
    }

    fn key(&mut self, event: &KeyEvent) {
        self.message = None;
        let context = self.context();
        if context.typing() {
            let mut taken = false;
            self.with_top(|screen, cx| taken = screen.type_key(event, cx));
            if taken {
                return;
            }
        }
        let Some(key) = Key::of(event) else { return };
        if let Some(action) = self.options.keys.find(context, key) {
            self.act(action.act);
        }
    }

    fn paste(&mut self, words: &str) {
        self.message = None;
        if self.context().typing() {
            self.with_top(|screen, cx| screen.paste(words, cx));
        } else {
            self.message = Some("Nothing is being typed here, so what was pasted is left out.".to_owned());
        }
    }

    /// The mouse is a bonus: nothing can be done with it that a key does not do.
    fn mouse(&mut self, event: &MouseEvent) {
        self.message = None;
        let (column, row) = (event.column, event.row);
        let mut taken = false;
        self.with_top(|screen, cx| taken = screen.mouse(event, cx));
        if taken {
            return;
        }
        match event.kind {
            MouseEventKind::ScrollUp | MouseEventKind::ScrollDown => {
                let act = if event.kind == MouseEventKind::ScrollUp { Act::Up } else { Act::Down };
                if action::offered(self.context()).any(|it| it.act == act) {
                    for _ in 0..3 {
                        self.act(act);
                    }
                }
            }
            MouseEventKind::Down(MouseButton::Left) => {
                let position = ratatui::layout::Position { x: column, y: row };
                if let Some((_, act)) = self.hints.iter().find(|(area, _)| area.contains(position)) {
                    return self.act(*act);
                }
                // A press selects; a press on what is selected does what Enter does.
                let context = self.context();
                let Some((place, count)) = self.screens.last_mut().and_then(|it| it.list()) else { return };
                let Some(at) = place.row_at(column, row, count) else { return };
                if place.selected != at {
                    place.selected = at;
                } else if let Some(action) =
                    self.options.keys.find(context, Key { code: KeyCode::Enter, ctrl: false })
                {
                    self.act(action.act);
                }
            }
            _ => {}
        }
    }

    fn act(&mut self, act: Act) {
        match act {
            Act::Mouse => {
                self.options.mouse = !self.options.mouse;
                self.wish = Some(Wish::Mouse(self.options.mouse));
                self.say(if self.options.mouse {
                    "The mouse selects and scrolls here; hold Shift to select text."
                } else {
                    "The mouse is left to the terminal."
                });
            }
            Act::QuitNow => self.ask_to_quit(),
            Act::Suspend => self.wish = Some(Wish::Suspend),
            Act::Repaint => self.wish = Some(Wish::Repaint),
            Act::Copy => match self.screens.last().and_then(|screen| screen.copy(self.system)) {
                Some(words) => {
                    self.wish = Some(Wish::Copy(text::clean_lines(&words)));
                    self.message = Some("Copied, where your terminal allows it.".to_owned());
                }
                None => self.message = Some("Nothing is selected.".to_owned()),
            },
            Act::Editor => self.wish = self.screens.last().and_then(|it| it.text_to_edit()).map(Wish::Edit),
            Act::ReadBack => {
                let said = self.screens.last().map(|it| it.read_back(self.system)).unwrap_or_default();
                if said.is_empty() {
                    self.say("There is nothing to read back here yet.");
                } else {
                    self.screens.push(Box::new(Big::new(said)));
                }
            }
            Act::Undo => self.with_top(|screen, cx| super::screens::undo(screen, cx)),
            Act::Help => {
                let help = Read::help(self.context(), &self.options.keys);
                self.screens.push(Box::new(help));
            }
            Act::Find => {
                let serial = self.screens.iter().rev().find_map(|screen| screen.serial());
                let find = Find::new(self.context(), serial);
                self.screens.push(Box::new(find));
            }
            Act::Units => {
                self.system = match self.system {
                    System::Si => System::Us,
                    System::Us => System::Si,
                };
                self.message = Some(
                    match self.system {
                        System::Si => "Metric units.",
                        System::Us => "US units.",
                    }
                    .to_owned(),
                );
                self.look_again();
            }
            _ => self.with_top(|screen, cx| screen.act(act, cx)),
        }
    }

    /// A text came back from the editor, or why it did not.
    pub fn edited(&mut self, words: Result<String, String>) {
        match words {
            Ok(words) => self.with_top(|screen, cx| screen.take_edited(&words, cx)),
            Err(why) => self.message = Some(why),
        }
        self.settle();
    }

    fn ask_to_quit(&mut self) {
        if self.asked_to_quit || !self.screens.iter().any(|screen| screen.dirty()) {
            self.quitting = true;
            return;
        }
        self.asked_to_quit = true;
        self.screens.push(Box::new(Ask::new(
            "quit?",
            "A form is not written into the book yet. What is typed is kept as a draft.",
            &[(Act::Yes, "quit, and go on with it next time")],
        )));
    }

    fn take(&mut self, steps: Vec<Step>) {
        for step in steps {
            match step {
                Step::Open(screen) => self.screens.push(screen),
                Step::Replace(screen) => {
                    self.screens.pop();
                    self.screens.push(screen);
                }
                Step::Back => self.back(),
                Step::BackWith(act) => {
                    let quit = self.asked_to_quit;
                    self.back();
                    if quit {
                        self.quitting |= act == Act::Yes;
                    } else {
                        self.act(act);
                    }
                }
                Step::Say(words) => self.say(&words),
                Step::LookAgain => self.look_again(),
                Step::Remember(by) => self.options.by = Some(by),
                Step::Copy(words) => self.wish = Some(Wish::Copy(text::clean_lines(&words))),
                Step::Quit => self.quitting = true,
            }
        }
    }

    fn back(&mut self) {
        self.asked_to_quit = false;
        self.screens.pop();
        while self.screens.last().is_some_and(|below| below.spent()) {
            self.screens.pop();
        }
        if self.screens.is_empty() {
            self.quitting = true;
        }
    }

    fn look_again(&mut self) {
        let mut said = self.let_screens(0, |screen, cx| screen.refresh(cx));
        said.retain(|step| matches!(step, Step::Say(_)));
        self.take(said);
    }

    /// After a batch: every screen works out what it shows, the one on top may go on from there.
    fn settle(&mut self) {
        let steps = self.let_screens(0, |screen, cx| screen.settle(cx));
        let opened = !steps.is_empty();
        self.take(steps);
        if opened && self.screens.len() < 64 {
            self.settle();
        }
    }
}
