//! A form under the keys: what each does, what is worked out after them, and the draft kept.

use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent};
use ratatui::layout::Rect;

use super::field::{Buffer, FormField};
use super::{FormScreen, view};
use crate::book::{Answers, Ask, Kind, Problem};
use crate::design::material;
use crate::quantity::System;
use crate::standing::in_units::in_units;
use crate::tui::action::{Act, Context};
use crate::tui::screens::ask::Ask as Question;
use crate::tui::screens::big::Said;
use crate::tui::screens::{Cx, Screen, Step};
use crate::tui::text;
use crate::tui::widgets::Paint;
use crate::tui::widgets::field::Typed;

impl Screen for FormScreen {
    fn context(&self) -> Context {
        match self.fields.get(self.focus) {
            Some(field) if field.names_file() => Context::FormFile,
            Some(field) if field.chooses() => Context::FormWords,
            Some(FormField { buffer: Buffer::Rows(_), .. }) => Context::FormRows,
            _ => Context::Form,
        }
    }

    fn title(&self) -> String {
        if self.subject.is_empty() { self.kind.to_string() } else { format!("{} {}", self.who, self.kind) }
    }

    fn dirty(&self) -> bool {
        self.everything() != self.initial
    }

    fn offers(&self, act: Act) -> bool {
        act != Act::SeeTrace || self.names_a_trace()
    }

    fn text_to_edit(&self) -> Option<String> {
        self.fields.get(self.focus).filter(|it| matches!(it.buffer, Buffer::Rows(_))).map(FormField::text)
    }

    fn take_edited(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if let Some(field) = self.fields.get_mut(self.focus) {
            field.set(words);
            self.note_change();
        }
    }

    fn read_back(&self, _system: System) -> Vec<Said> {
        // The field in focus first, then every other answer in the order of the form.
        let visible = self.visible();
        let focused = visible.iter().copied().filter(|at| *at == self.focus);
        let others = visible.iter().copied().filter(|at| *at != self.focus);
        focused
            .chain(others)
            .map(|at| &self.fields[at])
            .filter(|field| !field.is_empty())
            .map(|field| (field.spec.label.to_owned(), text::one_line(&field.text())))
            .collect()
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        match act {
            Act::NextField => self.step(true),
            Act::CompletePath => {
                let field = self.focus;
                if self.fields.get_mut(field).is_some_and(FormField::complete_path) {
                    self.fields[field].touched = true;
                    self.note_change();
                } else {
                    self.step(true);
                }
            }
            Act::PreviousField => self.step(false),
            Act::PageDown | Act::PageUp => {
                let down = act == Act::PageDown;
                let first = self.visible().first().copied();
                for _ in 0..10 {
                    // Never round the end: a page stops at the Save row, or at the first field.
                    if (down && self.on_save_row()) || (!down && Some(self.focus) == first) {
                        break;
                    }
                    self.step(down);
                }
            }
            Act::NextWord | Act::PreviousWord => {
                let field = self.focus;
                if self.fields.get_mut(field).is_some_and(|field| field.cycle(act == Act::NextWord)) {
                    self.fields[field].touched = true;
                    self.note_change();
                }
            }
            Act::Save => self.save(cx),
            Act::SeeTrace => self.see_trace(cx),
            Act::Back => {
                if self.offer.is_some() {
                    cx.go(Step::Back);
                } else {
                    self.leave(cx);
                }
            }
            Act::KeepDraft => {
                cx.go(Step::Back);
                cx.go(Step::LookAgain);
                cx.say("Kept as a draft. Press {take-draft} on the rack to go on with it.");
            }
            Act::Discard if self.offer.take().is_some() => self.drop_draft(cx),
            Act::Discard => {
                self.drop_draft(cx);
                cx.go(Step::Back);
                cx.go(Step::LookAgain);
            }
            Act::Yes => {
                if let Some(draft) = self.offer.take() {
                    self.take_draft(&draft, cx);
                }
            }
            Act::Fresh => {
                let typed = self.offer.as_ref().map(|draft| self.typed_in(draft)).unwrap_or_default();
                if typed.is_empty() {
                    self.offer = None;
                    self.drop_draft(cx);
                } else {
                    cx.go(Step::Open(Box::new(Question::forget(&typed))));
                }
            }
            _ => {}
        }
    }

    fn type_key(&mut self, key: &KeyEvent, cx: &mut Cx<'_>) -> bool {
        if self.on_save_row() {
            if key.code == KeyCode::Enter {
                self.save(cx);
                return true;
            }
            return false;
        }
        match self.fields[self.focus].key(key) {
            Typed::Changed => {
                self.fields[self.focus].touched = true;
                self.note_change();
                true
            }
            Typed::Moved => true,
            Typed::NotMine => {
                // Enter on an empty last row goes on, as it does on a field of one line.
                if key.code == KeyCode::Enter && self.context() == Context::FormRows {
                    self.step(true);
                    return true;
                }
                false
            }
        }
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        if let Some(field) = self.fields.get_mut(self.focus) {
            field.paste(words);
            field.touched = true;
            self.note_change();
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        for field in self
            .fields
            .iter_mut()
            .filter(|it| matches!(it.spec.ask, Ask::Casing | Ask::Part | Ask::Load | Ask::Batch | Ask::Gauge))
        {
            field.choices = FormField::new(self.kind, field.spec, cx.desk).choices;
        }
        self.today = Some(cx.desk.today()).filter(|today| *today != cx.desk.day());
        self.understood = false;
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if self.offer.is_some() && !self.understood {
            cx.go(Step::Open(Box::new(
                Question::new(
                    "a draft is kept",
                    &format!("A {} was left half typed here.", self.kind),
                    &[(Act::Yes, "go on with it"), (Act::Fresh, "forget it and start fresh")],
                )
                .through(),
            )));
        }
        if !self.changed && self.understood {
            return;
        }
        for field in &mut self.fields {
            field.understand(cx.desk, cx.system);
        }
        if self.kind == Kind::Rule {
            self.echo_rule(cx);
        }
        (self.problems, self.warnings) = match cx.desk.check(self.kind, &self.answers(), Some(cx.system)) {
            Ok(warnings) => (Vec::new(), warnings),
            // Each field is judged once it is left, not only when all of them are answered.
            Err(problems) => {
                let mut odd = cx.desk.odd(self.kind, &self.answers(), Some(cx.system));
                odd.extend(self.odd_metal());
                let left = |it: &Problem| {
                    self.fields.get(self.focus).is_none_or(|field| field.spec.name != it.field)
                        && !problems.iter().any(|problem| problem.field == it.field)
                };
                odd.retain(left);
                (problems, odd)
            }
        };
        self.problems.extend(self.missing_of_crossing());
        if self.changed && self.offer.is_none() && self.again.is_none() {
            let kept = if self.dirty() {
                cx.desk.book().keep_draft(self.kind.word(), &self.subject, &self.everything(), cx.desk.now())
            } else {
                cx.desk.book().drop_draft(self.kind.word(), &self.subject)
            };
            if let Err(error) = kept {
                cx.say(format!("The draft could not be kept: {error}"));
            }
        }
        self.changed = false;
        self.understood = true;
        self.system = cx.system;
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}

impl FormScreen {
    /// What somebody typed into a draft, beyond what the form fills in by itself.
    fn typed_in(&self, draft: &Answers) -> Vec<String> {
        self.fields
            .iter()
            .filter_map(|field| {
                let words = draft.rows(field.spec.name).join(", ");
                let filled_in = self.initial.rows(field.spec.name).join(", ");
                (!words.trim().is_empty() && words != filled_in)
                    .then(|| format!("{} {words}", field.spec.label.to_lowercase()))
            })
            .collect()
    }

    /// Beside a rule what it is now, beside its new value what that changes.
    fn echo_rule(&mut self, cx: &Cx<'_>) {
        let would = cx.desk.rule_would(&self.answers());
        for field in &mut self.fields {
            match field.spec.name {
                "rule" => field.echo = cx.desk.rule_now(&field.text()),
                "value" => field.echo.clone_from(&would),
                _ => {}
            }
            field.echo = field.echo.take().map(|words| in_units(&words, cx.system, true));
        }
    }

    /// A tube's metal that is not listed, while its own strengths are not typed.
    fn odd_metal(&self) -> Option<Problem> {
        let typed = self.value("tube.material");
        let own = !self.value("tube.yield").is_empty() && !self.value("tube.ultimate").is_empty();
        let known = typed.trim().is_empty() || material::find(&typed).is_some();
        (self.kind == Kind::Casing && !known && !own).then(|| {
            let words = format!(
                "\"{}\" is not listed: give one of {}, or its own yield and ultimate strength",
                typed.trim(),
                material::names()
            );
            Problem::new("tube.material", words)
        })
    }
}
