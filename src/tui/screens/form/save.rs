//! Saving a form: everything wrong at once, everything odd once, then into the book or nothing lost.

use super::FormScreen;
use crate::book::{Answers, Details, Kind, Problem, Subject, SubjectOf};
use crate::desk::{Recorded, Refusal, Saved};
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
        let mut problems = cx.desk.check(self.kind, &answers, Some(cx.system)).err().unwrap_or_default();
        problems.extend(self.missing_of_crossing());
        if !problems.is_empty() {
            self.problems = problems;
            let words = self.what_is_wrong();
            self.stop_at(self.problems.clone(), format!("Not saved: {words}. Nothing typed is lost."));
            return;
        }
        self.problems.clear();
        let looked = self.accepted.as_ref() == Some(&self.everything());
        let crossing = self.crossing();
        let again = self.again.as_deref().map(|again| (again, &crossing));
        match cx.desk.save(self.kind, &answers, Some(cx.system), again, looked) {
            Ok(Saved::Doubts(warnings)) => {
                self.accepted = Some(self.everything());
                self.warnings.clone_from(&warnings);
                self.look_first(warnings);
            }
            Ok(Saved::Written(recorded)) => {
                self.drop_draft(cx);
                self.drop_what_is_over(&answers, cx);
                if let Some(by) = answers.text("by") {
                    cx.go(Step::Remember(by.to_owned()));
                }
                let old = self.again.as_deref().map(|again| again.entry.number);
                remember(self.kind, &answers, old, &recorded, cx);
                cx.go(Step::Replace(Box::new(written(self.kind, old, &recorded, cx))));
                cx.go(Step::LookAgain);
            }
            Err(Refusal::Form(mut problems)) => {
                problems.iter_mut().for_each(for_the_form);
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
            Kind::Proof if self.again.is_none() => &[crate::tui::screens::proof::DRAFT],
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

    /// What was left out, where that is all there is to look at: what may be left out is no slip.
    fn left_out(&self, warnings: &[Problem]) -> Option<String> {
        let labels: Option<Vec<&str>> = warnings
            .iter()
            .map(|it| {
                let field = self.fields.iter().find(|field| field.spec.name == it.field)?;
                field.is_empty().then_some(field.spec.label)
            })
            .collect();
        labels.map(|labels| format!("Left out: {}. Save again to leave it so.", labels.join(", ")))
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

    /// Say what is to be looked at before it is written: beside its field, and above the form where it has none.
    fn look_first(&mut self, warnings: Vec<Problem>) {
        let visible = self.visible();
        let shown = |it: &&Problem| !visible.iter().any(|at| self.fields[*at].spec.name == it.field);
        let homeless: Vec<&str> = warnings.iter().filter(shown).map(|it| it.message.as_str()).collect();
        let uncounted = |it: &Problem| it.message.contains("does not count");
        let (what, keep) = match (warnings.iter().any(uncounted), warnings.iter().all(uncounted)) {
            (true, true) => ("It would not count as it is typed", "Save again to write it all the same."),
            (true, false) => (
                "This looks like a slip, and would not count as it is typed",
                "Save again to write it all the same.",
            ),
            _ => ("This looks like a slip", "Save again to keep it as typed."),
        };
        if !warnings.iter().any(uncounted)
            && let Some(words) = self.left_out(&warnings)
        {
            return self.stop_at(warnings, words);
        }
        let also = homeless.join("; ");
        let message =
            if also.is_empty() { format!("{what}. {keep}") } else { format!("{what}: {also}. {keep}") };
        self.stop_at(warnings, message);
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

/// A message of the command line, in the words of the form: what is a flag there is a field here.
fn for_the_form(problem: &mut Problem) {
    if problem.message.contains("--column ") && matches!(problem.field.as_str(), "trace" | "file" | "column")
    {
        problem.field = "column".to_owned();
        problem.message = problem.message.replace("give --column ", "write here ");
        problem.message = problem.message.replace("--column ", "");
    }
}

/// Keep in mind what can be taken back: the entries written here that no strike has crossed out.
fn remember(kind: Kind, answers: &Answers, old: Option<i64>, recorded: &Recorded, cx: &mut Cx<'_>) {
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
    cx.kept.written.retain(|(number, _)| Some(*number) != old);
    let casing = answers.text("casing").or_else(|| answers.text("serial")).unwrap_or("");
    let new = recorded.entries.iter().filter(|entry| entry.kind() != Kind::Strike);
    cx.kept.written.extend(new.map(|entry| (entry.number, casing.to_owned())));
}

/// What was written and what follows from it.
fn written(kind: Kind, old: Option<i64>, recorded: &Recorded, cx: &Cx<'_>) -> Read {
    let (keys, system, asked) = (cx.keys, cx.system, cx.desk.day());
    let numbers: Vec<String> = recorded.entries.iter().map(|entry| entry.number.to_string()).collect();
    let plural = if numbers.len() == 1 { "Entry" } else { "Entries" };
    let new = recorded.entries.iter().find(|entry| kind == Kind::Strike || entry.kind() != Kind::Strike);
    let what = new.map_or_else(|| kind.to_string(), |entry| named(kind, &entry.entry.subject));
    let strike = recorded.entries.iter().find_map(|entry| match &entry.entry.details {
        Details::Strike(strike) => Some((entry.number, strike.strikes)),
        _ => None,
    });
    let mut blocks = vec![
        Block::Strong(match (old, strike) {
            (Some(old), Some((by, _))) => {
                format!(
                    "{plural} {} written: entry {by} strikes entry {old}, and the {what} is written again.",
                    numbers.join(", ")
                )
            }
            _ => format!("{plural} {} written: {what}.", numbers.join(", ")),
        }),
        Block::Gap,
    ];
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
    let (again, words) = match strike {
        Some((_, struck)) if kind == Kind::Strike => (
            Some(struck),
            "The entry stays readable and no longer counts. A strike is not taken back, but what was struck can be written again, corrected: {write-again-read} opens its form filled in.",
        ),
        _ => (
            new.map(|entry| entry.id),
            "An entry is never changed. If it is wrong, write it again, corrected ({write-again-read}), which strikes it, or only take it back ({undo}, or {strike} in the ledger).",
        ),
    };
    blocks.push(Block::Text(keys.fill(words)));
    // A strike is final: there is nothing to take back.
    let back = recorded.entries.iter().filter(|entry| entry.kind() != Kind::Strike);
    Read::new("written", blocks).or_again(again).about(back.map(|entry| entry.number).collect())
}

/// An entry by its kind and what it is about: "proof of MF-48-10", "person Bo Ray".
fn named(kind: Kind, subject: &Subject) -> String {
    if subject.of == SubjectOf::Book {
        kind.to_string()
    } else if kind.word() == subject.of.word() {
        format!("{kind} {}", subject.name)
    } else {
        format!("{kind} of {}", subject.name)
    }
}
