//! An entry opened to be written again: every answer filled in, only what was wrong is typed.

use super::FormScreen;
use super::field::FormField;
use crate::book::{Ask, EntryId, Problem, SubjectOf, forms};
use crate::desk::{Crossing, Refusal};
use crate::tui::screens::{Cx, Step};

impl FormScreen {
    /// Open the form of an entry with all its answers. Saving crosses the old entry out, where it is not struck yet,
    /// and writes the new one, both or neither.
    pub fn write_again(id: EntryId, cx: &mut Cx<'_>) {
        if !cx.desk.book().writable() {
            cx.say("This book is open for reading only: nothing can be written into it.");
            return;
        }
        let again = match cx.desk.again(id) {
            Ok(again) => again,
            Err(Refusal::Form(problems)) => {
                cx.say(problems.first().map_or_else(String::new, |it| it.message.clone()));
                return;
            }
            Err(Refusal::Store(error)) => {
                cx.say(error.to_string());
                return;
            }
            Err(Refusal::Forbidden { casing, .. }) => {
                cx.say(format!("{casing} cannot be shown"));
                return;
            }
        };
        let subject = &again.entry.entry.subject;
        let casing = (subject.of == SubjectOf::Casing).then(|| subject.name.clone());
        let filled: Vec<(String, String)> = again
            .answers
            .fields()
            .map(|field| {
                // Names stand on one line of the form.
                let one_line =
                    forms::form(again.entry.kind()).and_then(|form| form.field(field)).map(|it| it.ask)
                        == Some(Ask::Names);
                (field.to_owned(), again.answers.rows(field).join(if one_line { "; " } else { "\n" }))
            })
            .collect();
        let given: Vec<(&str, &str)> =
            filled.iter().map(|(name, words)| (name.as_str(), words.as_str())).collect();
        let Some(mut screen) = Self::new(again.entry.kind(), casing.as_deref(), &given, cx) else { return };
        let number = again.entry.number;
        screen.note = Some(match again.struck_by {
            Some(by) => {
                format!("Entry {number} again, which entry {by} struck: put right what was wrong, and save.")
            }
            None => format!(
                "Entry {number} again: put right what is wrong, say why in the last field, and save. Entry {number} is struck in the same writing."
            ),
        });
        if let (Some(note), Some(second)) = (&mut screen.note, &again.entry.entry.second) {
            note.push_str(&format!(" {second} signed it as it was: whoever looks at it now signs again."));
        }
        if again.struck_by.is_none() {
            let asked = forms::CROSSING.iter();
            screen.fields.extend(asked.map(|spec| FormField::new(screen.kind, spec, cx.desk)));
        }
        // Where the old one was wrong or odd is the first thing to look at.
        let answers = screen.answers();
        let odd = cx.desk.check(screen.kind, &answers, Some(cx.system)).unwrap_or_else(|problems| problems);
        let own = forms::HEAD.len();
        let visible = screen.visible();
        let odd_at = |at: &usize| odd.iter().any(|it| it.field == screen.fields[*at].spec.name);
        screen.focus = visible
            .iter()
            .copied()
            .find(|at| odd_at(at))
            .or_else(|| visible.iter().copied().find(|at| *at >= own))
            .unwrap_or(0);
        screen.again = Some(Box::new(again));
        screen.initial = screen.everything();
        cx.go(Step::Open(Box::new(screen)));
    }

    /// What is missing of the crossing out.
    pub(super) fn missing_of_crossing(&self) -> Vec<Problem> {
        self.fields
            .iter()
            .filter(|field| match field.spec.name {
                "because" => field.is_empty(),
                "agreed" => {
                    field.is_empty() && self.again.as_ref().is_some_and(|again| again.takes_two.is_some())
                }
                _ => false,
            })
            .map(|field| Problem::new(field.spec.name, format!("missing; it takes {}", field.spec.help)))
            .collect()
    }

    /// The crossing out as typed.
    pub(super) fn crossing(&self) -> Crossing {
        let second = self.value("agreed").trim().to_owned();
        Crossing {
            reason: self.value("because").trim().to_owned(),
            second: Some(second).filter(|it| !it.is_empty()),
        }
    }
}
