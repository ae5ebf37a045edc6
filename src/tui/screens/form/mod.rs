//! A form for any kind of entry, made from the kind's table of fields. Everything typed is judged as it is
//! typed and kept as a draft, and nothing typed is lost when saving fails.

mod again;
mod echo;
mod field;
mod save;
mod update;
mod view;

use super::ask::Ask as Question;
use super::read::Read;
use super::trace::TraceScreen;
use super::{Cx, Screen, Step, named};
use crate::book::{Answers, Ask, Form, Kind, Problem, forms};
use crate::desk::Again;
use crate::tui::action::Act;
use field::{Buffer, FormField};

/// A form being filled in.
pub struct FormScreen {
    kind: Kind,
    form: &'static Form,
    /// What its draft is kept under: the casing it was opened for, or nothing.
    subject: String,
    /// The same as its title says it, with the casing's name.
    who: String,
    fields: Vec<FormField>,
    /// The field in focus; one past the last is the Save row.
    focus: usize,
    /// The first line of the body on the screen.
    top: usize,
    initial: Answers,
    /// What the reader finds wrong and odd.
    problems: Vec<Problem>,
    warnings: Vec<Problem>,
    /// What the desk refused on saving, until that field changes.
    refused: Vec<Problem>,
    /// Whether saving was tried: from then on what is missing counts as wrong.
    tried: bool,
    /// Answers whose warnings were read once.
    accepted: Option<Answers>,
    message: Option<String>,
    /// What is said above the fields instead of what the form does.
    note: Option<String>,
    /// A draft from before, not yet taken up.
    offer: Option<Answers>,
    changed: bool,
    understood: bool,
    system: crate::quantity::System,
    /// The real day, while the screens show how things stood on another.
    today: Option<chrono::NaiveDate>,
    /// The entry that is written again, crossed out in the same writing.
    again: Option<Box<Again>>,
}

impl FormScreen {
    /// A form for a casing, with some fields filled in.
    fn new(kind: Kind, casing: Option<&str>, given: &[(&str, &str)], cx: &Cx<'_>) -> Option<Self> {
        let form = forms::form(kind)?;
        let fields: Vec<FormField> =
            forms::HEAD.iter().chain(form.fields).map(|spec| FormField::new(kind, spec, cx.desk)).collect();
        let mut screen = Self {
            kind,
            form,
            subject: casing.unwrap_or("").to_owned(),
            who: casing.map(|serial| named(serial, cx.desk)).unwrap_or_default(),
            fields,
            focus: 0,
            top: 0,
            initial: Answers::new(),
            problems: Vec::new(),
            warnings: Vec::new(),
            refused: Vec::new(),
            tried: false,
            accepted: None,
            message: None,
            note: None,
            offer: None,
            changed: false,
            understood: false,
            system: cx.system,
            today: Some(cx.desk.today()).filter(|today| *today != cx.desk.day()),
            again: None,
        };
        if let Some(by) = cx.by {
            screen.fill("by", by);
        }
        if let Some(casing) = casing
            && form.field("casing").is_some()
        {
            screen.fill("casing", casing);
        }
        for (name, words) in given {
            screen.fill(name, words);
        }
        // What an answer already given makes necessary counts as asked, too.
        screen.problems = cx.desk.check(kind, &screen.answers(), Some(cx.system)).err().unwrap_or_default();
        screen.focus_first_empty();
        screen.initial = screen.everything();
        Some(screen)
    }

    /// Open a form; where a draft of it was kept, it is offered first.
    pub fn open(kind: Kind, casing: Option<&str>, given: &[(&str, &str)], cx: &mut Cx<'_>) {
        Self::begin(kind, casing, given, false, cx);
    }

    /// Open a form where its draft was left.
    pub fn take_up(kind: Kind, casing: Option<&str>, cx: &mut Cx<'_>) {
        Self::begin(kind, casing, &[], true, cx);
    }

    /// Open a form whose given fields are settled and out of sight.
    pub fn open_settled(kind: Kind, casing: &str, given: &[(&str, &str)], note: &str, cx: &mut Cx<'_>) {
        let Some(mut screen) = Self::new(kind, Some(casing), given, cx) else { return };
        screen.note = Some(note.to_owned());
        for field in &mut screen.fields {
            field.given =
                field.spec.name == "casing" || given.iter().any(|(name, _)| *name == field.spec.name);
        }
        screen.focus_first_empty();
        cx.go(Step::Open(Box::new(screen)));
    }

    fn begin(kind: Kind, casing: Option<&str>, given: &[(&str, &str)], take_up: bool, cx: &mut Cx<'_>) {
        if !cx.desk.book().writable() {
            cx.say("This book is open for reading only: nothing can be written into it.");
            return;
        }
        let Some(mut screen) = Self::new(kind, casing, given, cx) else { return };
        match cx.desk.book().draft(kind.word(), &screen.subject) {
            Ok(Some(draft)) if take_up => screen.take_draft(&draft, cx),
            Ok(Some(draft)) if draft != screen.initial => screen.offer = Some(draft),
            Ok(_) => {}
            Err(error) => cx.say(error.to_string()),
        }
        let screen: Box<dyn Screen> = Box::new(screen);
        let screen = match Read::cautions(kind, screen) {
            Ok(read) => match casing {
                Some(casing) if kind == Kind::Proof => {
                    Box::new(read.or_at_the_rig(casing)) as Box<dyn Screen>
                }
                _ => Box::new(read) as Box<dyn Screen>,
            },
            Err(screen) => screen,
        };
        cx.go(Step::Open(screen));
    }

    fn fill(&mut self, name: &str, words: &str) {
        if let Some(field) = self.fields.iter_mut().find(|field| field.spec.name == name) {
            field.set(words);
        }
    }

    fn take_draft(&mut self, draft: &Answers, cx: &Cx<'_>) {
        for field in &mut self.fields {
            field.set(&draft.rows(field.spec.name).join("\n"));
            field.touched = !field.is_empty();
        }
        self.changed = true;
        // Where something is wrong or odd already, that is what to go on with.
        let answers = self.answers();
        let mut faulty =
            cx.desk.check(self.kind, &answers, Some(cx.system)).unwrap_or_else(|problems| problems);
        faulty.extend(cx.desk.odd(self.kind, &answers, Some(cx.system)));
        let at = |place: usize| {
            let field = &self.fields[place];
            !field.is_empty() && faulty.iter().any(|it| it.field == field.spec.name)
        };
        match self.visible().into_iter().find(|place| at(*place)) {
            Some(place) => self.focus = place,
            None => self.focus_first_empty(),
        }
    }

    /// Begin where a person has something to say: the first empty field of the form's own.
    fn focus_first_empty(&mut self) {
        let own = forms::HEAD.len();
        let visible = self.visible();
        let first = |test: &dyn Fn(&FormField) -> bool| {
            visible.iter().copied().find(|at| *at >= own && test(&self.fields[*at]))
        };
        let missing = |field: &FormField| self.problems.iter().any(|it| it.field == field.spec.name);
        self.focus = first(&|field| field.is_empty() && (field.spec.required || missing(field)))
            .or_else(|| first(&|field| field.is_empty() && field.spec.ask != Ask::Entry))
            .or_else(|| {
                visible
                    .iter()
                    .copied()
                    .find(|at| self.fields[*at].is_empty() && self.fields[*at].spec.required)
            })
            .or_else(|| visible.first().copied())
            .unwrap_or(self.fields.len());
    }

    fn value(&self, name: &str) -> String {
        self.fields.iter().find(|field| field.spec.name == name).map(FormField::text).unwrap_or_default()
    }

    /// Whether a field's condition holds.
    fn asked(&self, field: &FormField) -> bool {
        field.spec.when.is_none_or(|(other, words)| {
            let said = self.value(other).trim().to_lowercase().replace(['-', '_'], " ");
            words.iter().any(|word| word.replace('-', " ") == said)
        })
    }

    /// The fields shown, by index.
    fn visible(&self) -> Vec<usize> {
        (0..self.fields.len()).filter(|at| !self.fields[*at].given && self.asked(&self.fields[*at])).collect()
    }

    /// Everything typed, for a draft.
    fn everything(&self) -> Answers {
        let mut answers = Answers::new();
        for field in self.fields.iter().filter(|field| !field.is_empty()) {
            answers.set(field.spec.name, field.text());
        }
        answers
    }

    /// What is handed in: what is asked and answered.
    fn answers(&self) -> Answers {
        let mut answers = Answers::new();
        let own = |field: &&FormField| !forms::CROSSING.iter().any(|it| it.name == field.spec.name);
        for field in self.fields.iter().filter(own).filter(|field| !field.is_empty() && self.asked(field)) {
            answers.set(field.spec.name, field.text());
        }
        answers
    }

    /// The field that names a trace file.
    const fn trace_field(&self) -> Option<&'static str> {
        match self.kind {
            Kind::Firing => Some("trace"),
            Kind::Trace => Some("file"),
            _ => None,
        }
    }

    /// Whether a trace file is named.
    fn names_a_trace(&self) -> bool {
        self.trace_field().is_some_and(|field| self.everything().text(field).is_some())
    }

    /// The trace file named, read as the form says, before anything is written.
    fn see_trace(&self, cx: &mut Cx<'_>) {
        let answers = self.everything();
        let Some(path) = self.trace_field().and_then(|field| answers.text(field)) else {
            cx.say("Name the trace file first.");
            return;
        };
        let mut words = path.to_owned();
        for (field, rows) in
            [("column", answers.rows("column")), ("calibration", answers.rows("calibration"))]
        {
            for row in rows {
                words.push_str(&format!(" --{field} {row}"));
            }
        }
        let of = |field: &str| answers.text(field).map(str::to_owned);
        TraceScreen::of_form(&words, of("casing"), of("load"), cx);
    }

    /// The trouble with a field: what is wrong, where it is time to say so.
    fn problem(&self, field: &FormField) -> Option<String> {
        let of = |problems: &[Problem]| {
            problems.iter().find(|it| it.field == field.spec.name).map(|it| it.message.clone())
        };
        if let Some(message) = of(&self.refused) {
            return Some(message);
        }
        if self.half_typed(field) {
            return None;
        }
        if !self.tried && (field.is_empty() || !field.touched) {
            return None;
        }
        let message = of(&self.problems)?;
        if !field.is_empty() {
            return Some(message);
        }
        // The reader's words for what is missing speak of flags; on a screen the field itself is asked.
        Some(match field.spec.ask {
            _ if field.spec.name == "by" => "every entry has a writer: type a name".to_owned(),
            Ask::Word(_) | Ask::YesNo => format!("needs an answer: {}", field.choices.join(", ")),
            _ => format!("needs an answer: {}", field.spec.help),
        })
    }

    /// Everything that looks like a slip in a field.
    fn warning(&self, field: &FormField) -> Option<String> {
        if self.half_typed(field) {
            return None;
        }
        let of_it = self.warnings.iter().filter(|it| it.field == field.spec.name);
        of_it.map(|it| it.message.clone()).reduce(|all, more| format!("{all}; {more}"))
    }

    /// Whether a field is still being typed: what begins one of its words or names is no error yet.
    fn half_typed(&self, field: &FormField) -> bool {
        let focused = self.fields.get(self.focus).is_some_and(|it| it.spec.name == field.spec.name);
        let whole = field.choices.iter().any(|word| word == field.text().trim());
        focused && !field.is_empty() && !whole && !field.matching().is_empty()
    }

    fn on_save_row(&self) -> bool {
        self.focus >= self.fields.len()
    }

    /// Go to the next or previous field, round the end.
    fn step(&mut self, forward: bool) {
        let changed = self.fields.get_mut(self.focus).is_some_and(|field| {
            field.touched = true;
            field.complete()
        });
        self.changed |= changed;
        // The field left behind is judged.
        self.understood = false;
        let mut stops = self.visible();
        stops.push(self.fields.len());
        let at = stops.iter().position(|stop| *stop == self.focus).unwrap_or(0);
        let next = if forward { at + 1 } else { at + stops.len() - 1 };
        self.focus = stops[next % stops.len()];
        if let Some(FormField { buffer: Buffer::Rows(rows), .. }) = self.fields.get_mut(self.focus) {
            rows.enter(forward);
        }
    }

    fn note_change(&mut self) {
        self.changed = true;
        self.message = None;
        if let Some(field) = self.fields.get_mut(self.focus) {
            let name = field.spec.name;
            self.refused.retain(|problem| problem.field != name);
        }
    }

    fn leave(&mut self, cx: &mut Cx<'_>) {
        if !self.dirty() {
            cx.go(Step::Back);
            return;
        }
        if self.again.is_some() {
            // It is filled in from the old entry at any time: no draft of it is kept.
            cx.go(Step::Open(Box::new(Question::new(
                "leave the form?",
                "Nothing is written yet, and the entry stands as it was.",
                &[(Act::Discard, "leave, and forget what was changed")],
            ))));
            return;
        }
        let question = format!("This {} is not written into the book yet.", self.kind);
        cx.go(Step::Open(Box::new(Question::new(
            "leave the form?",
            &question,
            &[
                (Act::KeepDraft, "leave, and keep what is typed for later"),
                (Act::Discard, "leave, and forget what is typed"),
            ],
        ))));
    }

    fn drop_draft(&self, cx: &mut Cx<'_>) {
        if self.again.is_some() {
            return;
        }
        if let Err(error) = cx.desk.book().drop_draft(self.kind.word(), &self.subject) {
            cx.say(error.to_string());
        }
    }
}
