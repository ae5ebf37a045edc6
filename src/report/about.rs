//! What is on record about anything that has a name, and the journal of the book: as JSON and as text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json::{SCHEMA, entry_line};
use super::text::clean;
use crate::book::{Kind, SubjectOf, again, forms};
use crate::desk::about::{AboutPage, Since};
use crate::desk::view::said_of;
use crate::quantity::{System, counted};
use crate::store::EntryLine;

/// Everything about a thing, as JSON.
pub fn as_json(page: &AboutPage) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": page.day.to_string(),
        "subject": page.subject.name,
        "subject_of": page.subject.of.word(),
        "ledger": page.lines.iter().map(entry_line).collect::<Vec<_>>(),
    })
}

/// Everything about a thing, as text: every entry with what was typed.
pub fn as_text(page: &AboutPage, system: System) -> String {
    let (of, name) = (page.subject.of, clean(&page.subject.name));
    let mut out = format!("{of} {name}: {}, as of {}\n", counted(page.lines.len(), "entry"), page.day);
    if of == SubjectOf::Rule && page.lines.is_empty() {
        out.push_str("nobody changed it: proofmark rules shows its value and source\n");
    }
    for line in &page.lines {
        let entry = &line.entry;
        let _ = writeln!(out, "\n{}", entry_line_text(line, system, false));
        // The numbers of what an entry names are not looked up here: each is on its own line.
        let Some(answers) = again::answers_of(&entry.entry, &|_| None) else { continue };
        let Some(form) = forms::form(entry.kind()) else { continue };
        for field in form.fields.iter().filter(|field| entry.kind() != Kind::Strike || field.name == "reason")
        {
            let rows = answers.rows(field.name);
            if !rows.is_empty() {
                let _ = writeln!(out, "        {}: {}", field.label, clean(&rows.join("; ")));
            }
        }
    }
    for other in &page.others {
        let _ = writeln!(out, "\nalso on record: {other} {name} (--of {})", other.word());
    }
    out
}

/// The journal, as JSON.
pub fn journal_json(since: Since, lines: &[EntryLine]) -> Value {
    let (day, entry) = match since {
        Since::Ever => (None, None),
        Since::Day(day) => (Some(day.to_string()), None),
        Since::Entry(number) => (None, Some(number)),
    };
    json!({
        "schema": SCHEMA,
        "since_day": day,
        "since_entry": entry,
        "entries": lines.iter().map(|line| {
            let mut value = entry_line(line);
            // Whether two books differ is asked of a thing, not of the order in which things were written.
            if let Some(entry) = value.as_object_mut() {
                entry.remove("differs_from");
            }
            value
        }).collect::<Vec<_>>(),
    })
}

/// The journal, as text: one line an entry, the newest last.
pub fn journal_text(since: Since, lines: &[EntryLine], system: System) -> String {
    if lines.is_empty() {
        return match since {
            Since::Ever => "nothing is written in this book yet\n".to_owned(),
            Since::Day(day) => format!("nothing was written since {day}\n"),
            Since::Entry(number) => format!("nothing was written after entry {number}\n"),
        };
    }
    lines.iter().map(|line| entry_line_text(line, system, true) + "\n").collect()
}

/// An entry in one line: number, day, kind, what it is about, what it says, who wrote it.
fn entry_line_text(line: &EntryLine, system: System, named: bool) -> String {
    let it = &line.entry;
    let struck = line.struck_by.map_or_else(String::new, |by| format!(" [struck by entry {by}]"));
    let second =
        it.entry.second.as_ref().map_or_else(String::new, |second| format!(" with {}", clean(second)));
    let subject = if named && it.entry.subject.of != SubjectOf::Book {
        format!("{}: ", clean(&it.entry.subject.name))
    } else {
        String::new()
    };
    format!(
        "{:>5} {}{} {:11} {subject}{}{struck} ({}{second})",
        it.number,
        it.entry.happened_on,
        if it.entry.date_approximate { "~" } else { " " },
        it.kind(),
        clean(&said_of(line, system)).replace('\n', " "),
        clean(&it.entry.recorded_by),
    )
}
