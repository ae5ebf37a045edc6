//! Saving a form: everything wrong at once, everything odd once, then into the book or nothing lost.

use super::FormScreen;
use crate::book::{Answers, Kind, Problem, SubjectOf};
use crate::desk::{Recorded, Refusal};
use crate::standing::ItemState;
use crate::tui::screens::read::Read;
use crate::tui::screens::{Cx, Step};
use crate::tui::widgets::paper::Block;

impl FormScreen {
    pub(super) fn save(&mut self, cx: &mut Cx<'_>) {
        for field in &mut self.fields {
            field.complete();
        }
        self.tried = true;
        let answers = self.answers();
        match cx.desk.check(self.kind, &answers, Some(cx.system)) {
            Err(problems) => {
                self.problems = problems;
                let words = self.what_is_wrong();
                self.stop_at(self.problems.clone(), format!("Not saved: {words}. Nothing typed is lost."));
                return;
            }
            Ok(warnings) => {
                self.problems.clear();
                let read = self.accepted.as_ref() == Some(&answers);
                if !warnings.is_empty() && !read {
                    self.accepted = Some(answers);
                    self.warnings.clone_from(&warnings);
                    let words = self.what_is_odd();
                    self.stop_at(warnings, words);
                    return;
                }
            }
        }
        match cx.desk.record(self.kind, &answers, Some(cx.system)) {
            Ok(recorded) => {
                self.drop_draft(cx);
                self.drop_what_is_over(&answers, cx);
                if let Some(by) = answers.text("by") {
                    cx.go(Step::Remember(by.to_owned()));
                }
                remember(self.kind, &answers, &recorded, cx);
                cx.go(Step::Replace(Box::new(written(self.kind, &recorded, cx))));
                cx.go(Step::LookAgain);
            }
            Err(Refusal::Form(problems)) => {
                self.refused.clone_from(&problems);
                self.stop_at(problems, "Not saved. Nothing typed is lost.".to_owned());
            }
            Err(Refusal::Forbidden { checklist, casing }) => {
                let why: Vec<&str> = checklist
                    .items
                    .iter()
                    .filter(|item| item.state == ItemState::Forbids)
                    .map(|item| item.text.as_str())
                    .collect();
                self.message =
                    Some(format!("Not saved: the record forbids firing {casing}: {}", why.join("; ")));
            }
            Err(Refusal::Store(error)) => {
                self.message = Some(format!("Not saved: {error}. Nothing typed is lost."));
            }
        }
    }

    /// A proof written up is not pumped on; a retired casing is neither pumped nor run through a checklist again.
    fn drop_what_is_over(&self, answers: &Answers, cx: &mut Cx<'_>) {
        let retired = answers.text("decision") == Some(crate::book::Decision::Retire.word());
        let over: &[&str] = match self.kind {
            Kind::Proof => &[crate::tui::screens::proof::DRAFT],
            Kind::Disposition if retired => &[crate::tui::screens::proof::DRAFT, Kind::Prefire.word()],
            _ => &[],
        };
        let Some(casing) = answers.text("casing") else { return };
        for draft in over {
            if let Err(error) = cx.desk.book().drop_draft(draft, casing) {
                cx.say(error.to_string());
            }
        }
    }

    /// What is odd, and what saving again does: what may be left out is no slip.
    fn what_is_odd(&self) -> String {
        let left_out: Option<Vec<&str>> = self
            .warnings
            .iter()
            .map(|it| {
                let field = self.fields.iter().find(|field| field.spec.name == it.field)?;
                field.is_empty().then_some(field.spec.label)
            })
            .collect();
        match left_out {
            Some(labels) => format!("Left out: {}. Save again to leave it so.", labels.join(", ")),
            None => "This looks like a slip. Save again to keep it as typed.".to_owned(),
        }
    }

    /// How many fields want an answer, and how many want another one.
    fn what_is_wrong(&self) -> String {
        let mut fields: Vec<&str> = self.problems.iter().map(|it| it.field.as_str()).collect();
        fields.sort_unstable();
        fields.dedup();
        let empty = |name: &&str| self.value(name).trim().is_empty();
        let missing = fields.iter().filter(|name| empty(name)).count();
        let wrong = fields.len() - missing;
        let of = |count: usize, one: &str, many: &str| match count {
            0 => None,
            1 => Some(format!("1 field {one}")),
            _ => Some(format!("{count} fields {many}")),
        };
        let parts = [
            of(missing, "needs an answer", "need an answer"),
            of(wrong, "is to be put right", "are to be put right"),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    /// Go to the first field that has something against it; what belongs to no field on the screen is said.
    fn stop_at(&mut self, problems: Vec<Problem>, message: String) {
        let visible = self.visible();
        let first = visible
            .iter()
            .copied()
            .find(|at| problems.iter().any(|problem| problem.field == self.fields[*at].spec.name));
        let homeless = problems
            .iter()
            .find(|problem| !visible.iter().any(|at| self.fields[*at].spec.name == problem.field));
        if let Some(first) = first {
            self.focus = first;
        }
        self.message = Some(match homeless {
            Some(problem) if first.is_none() => format!("{message} {}: {}", problem.field, problem.message),
            _ => message,
        });
    }
}

/// Keep in mind what can be taken back: the entries written here that no strike has crossed out.
fn remember(kind: Kind, answers: &Answers, recorded: &Recorded, cx: &mut Cx<'_>) {
    let subject = recorded.entries.first().map(|entry| &entry.entry.subject);
    cx.kept.about = match subject {
        Some(subject) if subject.of == SubjectOf::Casing => Some(subject.name.clone()),
        _ => answers.text("casing").map(str::to_owned),
    };
    let struck = answers.text("entry").and_then(|number| number.trim().parse::<i64>().ok());
    if kind == Kind::Strike {
        cx.kept.written.retain(|(number, _)| Some(*number) != struck);
        return;
    }
    let casing = answers.text("casing").or_else(|| answers.text("serial")).unwrap_or("");
    cx.kept.written.extend(recorded.entries.iter().map(|entry| (entry.number, casing.to_owned())));
}

/// What was written and what follows from it.
fn written(kind: Kind, recorded: &Recorded, cx: &Cx<'_>) -> Read {
    let (keys, system, asked) = (cx.keys, cx.system, cx.desk.day());
    let numbers: Vec<String> = recorded.entries.iter().map(|entry| entry.number.to_string()).collect();
    let plural = if numbers.len() == 1 { "Entry" } else { "Entries" };
    let mut blocks =
        vec![Block::Strong(format!("{plural} {} written: {kind}.", numbers.join(", "))), Block::Gap];
    for line in &recorded.follows {
        blocks.push(Block::Point("→".to_owned(), line.shown(system)));
    }
    let later = recorded.entries.iter().map(|it| it.entry.happened_on).filter(|on| *on > asked).max();
    if let Some(on) = later {
        let words = format!(
            "Not shown for now: it is of {on}, and the screens show how things stood on {asked}, as asked with \
             {{as-of}}. {{as-of}} on the rack, then {{take-day}} on an empty line, goes back to today."
        );
        blocks.extend([Block::Gap, Block::Strong(keys.fill(&words))]);
    }
    if !recorded.warnings.is_empty() {
        blocks.push(Block::Gap);
        blocks.push(Block::Heading("Kept as typed, though it looks odd".to_owned()));
        for warning in &recorded.warnings {
            blocks.push(Block::Point("~".to_owned(), format!("{}: {}", warning.field, warning.message)));
        }
    }
    blocks.push(Block::Gap);
    // A strike is final: there is nothing to take back.
    if kind == Kind::Strike {
        let words = "The entry stays readable and no longer counts. A strike is not taken back: where the entry \
                     was right after all, write it again.";
        blocks.push(Block::Text(words.to_owned()));
        return Read::new("written", blocks);
    }
    blocks.push(Block::Text(keys.fill(
        "An entry is never changed. If it is wrong, take it back ({undo}, or {strike} in the ledger) and write it again.",
    )));
    Read::new("written", blocks).about(recorded.entries.iter().map(|entry| entry.number).collect())
}
