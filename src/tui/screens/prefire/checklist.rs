//! Going through the checklist. The record decides its items; a person attests theirs, one key each; and no
//! item after a hold point is attested before everything in front of it is in order.

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::layout::Rect;

use super::view;
use crate::book::{Answers, FiringMode, Kind, Standing};
use crate::desk::Planned;
use crate::quantity::{System, Temperature, Typed};
use crate::standing::prefire::HOLDS;
use crate::standing::{Checklist, ChecklistItem, ItemState};
use crate::tui::action::{Act, Context};
use crate::tui::screens::big::Said;
use crate::tui::screens::form::FormScreen;
use crate::tui::screens::{Cx, Screen, Step};
use crate::tui::widgets::Paint;
use crate::tui::widgets::table::Place;

/// What is planned.
pub(super) struct Run {
    pub serial: String,
    pub name: Option<String>,
    /// How the casing stands on the day.
    pub standing: Standing,
    pub flags: Vec<String>,
    pub load: String,
    pub batch: Option<String>,
    pub mode: FiringMode,
    pub grain: Option<Typed<Temperature>>,
}

impl Run {
    fn planned(&self) -> Planned<'_> {
        Planned {
            load: &self.load,
            batch: self.batch.as_deref(),
            mode: self.mode,
            grain: self.grain.as_ref().map(|it| it.value),
        }
    }

    /// The grain temperature in words that read back.
    fn grain_words(&self) -> String {
        super::in_words(self.grain.as_ref())
    }
}

/// A checklist being run.
pub struct ChecklistScreen {
    pub(super) run: Run,
    pub(super) checklist: Checklist,
    /// The items in the order they are gone through: indices into the checklist.
    pub(super) order: Vec<usize>,
    pub(super) place: Place,
    /// What a person attested: item to in order or not.
    marks: BTreeMap<String, bool>,
    changed: bool,
    written: bool,
}

impl ChecklistScreen {
    pub(super) fn new(run: Run, checklist: Checklist, kept: Option<&Answers>) -> Self {
        let mut screen = Self {
            run,
            order: Vec::new(),
            checklist,
            place: Place::default(),
            marks: BTreeMap::new(),
            changed: false,
            written: false,
        };
        screen.arrange();
        if let Some(kept) = kept {
            let names = |field: &str| -> Vec<String> {
                kept.text(field).unwrap_or("").split(',').map(|id| id.trim().to_owned()).collect()
            };
            // In order, so that a mark behind a hold that no longer holds is not taken over.
            let (yes, no) = (names("yes"), names("no"));
            for at in screen.order.clone() {
                let id = screen.checklist.items[at].id.clone();
                if screen.held(at).is_none()
                    && !screen.checklist.items[at].is_afterwards()
                    && (yes.contains(&id) || no.contains(&id))
                {
                    screen.marks.insert(id.clone(), yes.contains(&id));
                }
            }
        }
        screen.place.selected = screen.first_to_look_at();
        screen
    }

    fn arrange(&mut self) {
        self.order = HOLDS
            .iter()
            .flat_map(|(hold, _)| {
                let items = &self.checklist.items;
                let of = move |record: bool| {
                    (0..items.len()).filter(move |at| {
                        items[*at].hold == *hold && (items[*at].decided_by == "record") == record
                    })
                };
                of(true).chain(of(false))
            })
            .collect();
    }

    /// What forbids comes first; then whatever nobody has looked at yet.
    fn first_to_look_at(&self) -> usize {
        let first = |state: ItemState| self.order.iter().position(|at| self.state(*at) == state);
        // Whoever goes on with a run has read the warnings.
        let warns = if self.marks.is_empty() { first(ItemState::Warns) } else { None };
        first(ItemState::Forbids).or(warns).or_else(|| first(ItemState::ToAttest)).unwrap_or(0)
    }

    /// How an item stands, with what was attested.
    pub(super) fn state(&self, at: usize) -> ItemState {
        let item = &self.checklist.items[at];
        match self.marks.get(&item.id) {
            Some(true) if is_persons(item) => ItemState::Attested,
            Some(false) if is_persons(item) => ItemState::NotInOrder,
            _ => item.state,
        }
    }

    fn is_in_order(&self, at: usize) -> bool {
        matches!(self.state(at), ItemState::InOrder | ItemState::Warns | ItemState::Attested)
    }

    /// The hold point that an item waits at, where something in front of it is not in order.
    pub(super) fn held(&self, at: usize) -> Option<&str> {
        let items = &self.checklist.items;
        // What comes after the firing waits for nothing before it.
        let hold = Some(&items[at]).filter(|item| !item.is_afterwards()).map(|item| &item.hold)?;
        items
            .iter()
            .enumerate()
            .filter(|(other, item)| item.hold < *hold && self.open(*other))
            .map(|(_, item)| item.hold.as_str())
            .min()
    }

    /// The item to settle before one that is held: the first that is not in order, as they are gone through.
    pub(super) fn holding(&self, at: usize) -> Option<&ChecklistItem> {
        let hold = self.held(at)?;
        let items = &self.checklist.items;
        let first = self.order.iter().find(|at| items[**at].hold == hold && !self.is_in_order(**at));
        first.and_then(|at| items.get(*at))
    }

    /// How many of a person's items are attested, and how many there are.
    pub(super) fn progress(&self) -> (usize, usize) {
        let asked = |item: &ChecklistItem| is_persons(item) && !item.is_afterwards();
        let persons = self.checklist.items.iter().enumerate().filter(|(_, item)| asked(item));
        let all = persons.clone().count();
        (persons.filter(|(at, _)| self.state(*at) == ItemState::Attested).count(), all)
    }

    /// How many items the record warns at, in words; none: nothing.
    pub(super) fn warnings(&self) -> Option<String> {
        match self.checklist.items.iter().filter(|item| item.state == ItemState::Warns).count() {
            0 => None,
            1 => Some("1 warning".to_owned()),
            count => Some(format!("{count} warnings")),
        }
    }

    /// The items that a person found not in order, in the order they are gone through.
    pub(super) fn refused(&self) -> Vec<&str> {
        let items = &self.checklist.items;
        let refused = self.order.iter().filter(|at| self.state(**at) == ItemState::NotInOrder);
        refused.map(|at| items[*at].text.as_str()).collect()
    }

    pub(super) fn complete(&self) -> bool {
        (0..self.checklist.items.len())
            .all(|at| self.checklist.items[at].is_afterwards() || self.is_in_order(at))
    }

    pub(super) fn selected(&self) -> Option<usize> {
        self.order.get(self.place.selected).copied()
    }

    fn attest(&mut self, in_order: bool, cx: &mut Cx<'_>) {
        let Some(at) = self.selected() else { return };
        if self.checklist.forbidden() {
            return cx
                .say("The record forbids this firing: there is nothing to attest until that is cleared.");
        }
        let item = &self.checklist.items[at];
        if !is_persons(item) {
            return cx.say("The record decides this one; no key changes it. {next-open-item} goes to the next open item.");
        }
        if item.is_afterwards() {
            return cx.say("This is for after the firing: read it aloud before it. It is not attested here, and no release waits for it.");
        }
        if let Some(hold) = self.held(at) {
            let open = self.holding(at).map_or_else(String::new, |item| format!(": {}", item.text));
            let words = format!("Held: this is open at {hold}{open}. {{first-open-item}} goes to it.");
            return cx.say(words);
        }
        self.marks.insert(item.id.clone(), in_order);
        self.changed = true;
        self.written = false;
        if in_order {
            self.next_open();
        }
    }

    /// Whether an item is not in order yet, of those that are settled before the firing.
    fn open(&self, at: usize) -> bool {
        !self.is_in_order(at) && !self.checklist.items[at].is_afterwards()
    }

    /// Go to the next item that is not in order yet, round the end.
    fn next_open(&mut self) {
        let count = self.order.len();
        let next = (1..=count)
            .map(|step| (self.place.selected + step) % count.max(1))
            .find(|place| self.open(self.order[*place]));
        if let Some(next) = next {
            self.place.selected = next;
        }
    }

    /// Go to the first item that is not in order: everything behind its hold point waits for it.
    fn first_open(&mut self) {
        if let Some(first) = self.order.iter().position(|at| self.open(*at)) {
            self.place.selected = first;
        }
    }

    fn ids(&self, in_order: bool) -> String {
        self.order
            .iter()
            .map(|at| &self.checklist.items[*at].id)
            .filter(|id| self.marks.get(*id) == Some(&in_order))
            .cloned()
            .collect::<Vec<_>>()
            .join(", ")
    }

    fn answers(&self) -> Answers {
        let mut answers = Answers::new();
        answers.set("casing", &self.run.serial).set("load", &self.run.load).set("mode", self.run.mode.word());
        if let Some(batch) = &self.run.batch {
            answers.set("batch", batch);
        }
        if self.run.grain.is_some() {
            answers.set("grain_temperature", self.run.grain_words());
        }
        answers.set("yes", self.ids(true)).set("no", self.ids(false));
        answers
    }

    fn release(&mut self, cx: &mut Cx<'_>) {
        if self.checklist.forbidden() {
            return cx.say("The record forbids this firing: it cannot be released.");
        }
        if cx.desk.day() != cx.desk.today() {
            return cx.say(
                "This asks about another day: a checklist is written up on the day itself (a on the rack).",
            );
        }
        let (done, all) = self.progress();
        let note = if self.complete() {
            "Release: every item up to the firing is in order. Two names, and it is written into the book."
                .to_owned()
        } else {
            let refused = match self.refused().as_slice() {
                [] => String::new(),
                refused => format!("NOT IN ORDER: {}. ", refused.join("; ")),
            };
            format!(
                "NOT a release. {refused}{done} of {all} items are attested. It is written up as it stands."
            )
        };
        let (yes, no) = (self.ids(true), self.ids(false));
        let grain = self.run.grain_words();
        let given = [
            ("load", self.run.load.as_str()),
            ("batch", self.run.batch.as_deref().unwrap_or("")),
            ("mode", self.run.mode.word()),
            ("grain_temperature", grain.as_str()),
            ("yes", yes.as_str()),
            ("no", no.as_str()),
        ];
        FormScreen::open_settled(Kind::Prefire, &self.run.serial, &given, &note, cx);
    }
}

fn is_persons(item: &ChecklistItem) -> bool {
    item.decided_by == "person"
}

impl Screen for ChecklistScreen {
    fn context(&self) -> Context {
        Context::Checklist
    }

    fn title(&self) -> String {
        format!("{} {}", self.run.load, self.run.mode)
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::InOrder
            | Act::NotInOrder
            | Act::OpenAgain
            | Act::NextOpen
            | Act::FirstOpen
            | Act::Release => !self.checklist.forbidden(),
            _ => true,
        }
    }

    fn read_back(&self, system: System) -> Vec<Said> {
        let (done, all) = self.progress();
        let warned = self.warnings().unwrap_or_else(|| "no warnings".to_owned());
        let attested = format!("{done} of {all} attested");
        // What is read first must never sound like leave to fire.
        let refused = self.refused();
        let mut said = vec![if self.checklist.forbidden() {
            (format!("by the record, {warned}"), "FORBIDDEN".to_owned())
        } else if let Some(first) = refused.first() {
            let more =
                if refused.len() > 1 { format!(", and {} more", refused.len() - 1) } else { String::new() };
            (format!("do not fire: {first}{more}"), "NOT IN ORDER".to_owned())
        } else if self.complete() {
            (format!("record: nothing forbids, {warned}"), attested)
        } else {
            (format!("{attested}, {warned}"), "NOT RELEASED".to_owned())
        }];
        if let Some((metres, _)) = &self.checklist.standoff {
            said.push((
                "nobody nearer".to_owned(),
                match system {
                    System::Si => format!("{metres:.0} m"),
                    System::Us => format!("{:.0} ft", metres / 0.3048),
                },
            ));
        }
        said.push(("casing and load".to_owned(), format!("{} {}", self.run.serial, self.run.load)));
        said
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.order.len()) {
            return;
        }
        match act {
            Act::Back => {
                cx.go(Step::Back);
                if !self.marks.is_empty() {
                    // Past the list of loads, too: choosing another would begin another run.
                    cx.go(Step::Back);
                    cx.go(Step::LookAgain);
                    if !self.written {
                        cx.say("What was attested is kept. Press {prefire} to go on with it.");
                    }
                }
            }
            Act::InOrder => self.attest(true, cx),
            Act::NotInOrder => self.attest(false, cx),
            Act::OpenAgain => {
                if let Some(at) = self.selected() {
                    self.changed |= self.marks.remove(&self.checklist.items[at].id).is_some();
                }
            }
            Act::NextOpen => self.next_open(),
            Act::FirstOpen => self.first_open(),
            Act::Release => self.release(cx),
            _ => {}
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        match cx.desk.checklist(&self.run.serial, self.run.planned(), cx.desk.day()) {
            Ok(checklist) => {
                self.checklist = checklist.shown(cx.system);
                self.arrange();
            }
            Err(_) => cx.say("This load or casing is not on record any more."),
        }
        // The draft is forgotten once the entry is written.
        let kept = cx.desk.book().draft(Kind::Prefire.word(), &self.run.serial).ok().flatten();
        self.written = !self.marks.is_empty() && kept.is_none();
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if !std::mem::take(&mut self.changed) {
            return;
        }
        let book = cx.desk.book();
        let kept = if self.marks.is_empty() {
            book.drop_draft(Kind::Prefire.word(), &self.run.serial)
        } else {
            book.keep_draft(Kind::Prefire.word(), &self.run.serial, &self.answers(), cx.desk.now())
        };
        if let Err(error) = kept {
            cx.say(format!("What was attested could not be kept: {error}"));
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
