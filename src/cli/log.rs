//! `log KIND`: write an entry.

use clap::ArgMatches;

use super::{Choices, Environment, Fault, arguments};
use crate::book::{Details, Kind, cautions, forms};
use crate::desk::again::new_entry;
use crate::desk::bench::shape;
use crate::desk::{Again, Crossing, Desk, Recorded, Refusal, Saved};
use crate::report::{json, text};
use crate::store::regular;

pub(super) fn log(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some((word, matches)) = matches.subcommand() else {
        return Err(Fault::input("kind", "say what to log: proofmark log --help"));
    };
    let Some(form) = Kind::from_word(word).and_then(forms::form) else {
        return Err(Fault::input("kind", format!("{word} is not logged by hand")));
    };
    let again = written_again(form.kind, matches, choices, environment)?;
    let filled = again.as_ref().map(|again| &again.answers);
    let mut answers =
        arguments::answers(form, matches, choices, filled).map_err(|fault| one_size(form.kind, fault))?;
    if form.kind == Kind::Load {
        let file = matches
            .get_one::<std::path::PathBuf>("from")
            .and_then(|path| regular::read(path, regular::TEXT).ok())
            .and_then(|bytes| String::from_utf8(bytes).ok());
        for warning in shape::adapt(file.as_deref(), &mut answers)? {
            writeln!(environment.err, "warning: {}", text::clean(&warning.to_string()))?;
        }
    }
    let book = choices.named_book()?;
    let begins = !book.exists();
    // A form that cannot be right must not leave an empty book behind: only a casing, a part, a load, a batch, a
    // note or a rule can be the first entry.
    if begins
        && !matches!(
            form.kind,
            Kind::Casing | Kind::Part | Kind::Load | Kind::Batch | Kind::Note | Kind::Rule
        )
    {
        return Err(Fault::Store(crate::store::StoreError::Missing(book.to_path_buf())));
    }
    let mut desk = if begins {
        // Judged against an empty book first, so that a bad first form begins nothing.
        Desk::in_memory((environment.surroundings)())?.record(form.kind, &answers, None)?;
        for line in cautions::all() {
            writeln!(environment.err, "{line}")?;
        }
        let begun = Desk::writing(book, (environment.surroundings)(), None)?;
        writeln!(environment.err, "a new book begins at {}", book.display())?;
        begun
    } else {
        Desk::writing(book, (environment.surroundings)(), None)?
    };
    match form.kind {
        Kind::Proof => cautions::BEFORE_A_PROOF
            .iter()
            .try_for_each(|line| writeln!(environment.err, "caution: {line}"))?,
        Kind::Firing | Kind::Prefire => {
            cautions::BEFORE_A_FIRING
                .iter()
                .try_for_each(|line| writeln!(environment.err, "caution: {line}"))?;
        }
        _ => {}
    }
    let text_of = |name: &str| matches.try_get_one::<String>(name).ok().flatten().cloned();
    let crossing = Crossing { reason: text_of("because").unwrap_or_default(), second: text_of("agreed") };
    let saved = desk.save(form.kind, &answers, None, again.as_ref().map(|it| (it, &crossing)), true);
    let saved = saved.map(|saved| match saved {
        Saved::Written(recorded) => recorded,
        // What is to be looked at is said with the entry: nobody is asked here.
        Saved::Doubts(warnings) => Recorded { entries: Vec::new(), warnings, follows: Vec::new() },
    });
    let recorded = match saved {
        Err(Refusal::Forbidden { checklist, casing }) => {
            let load = answers.text("load").unwrap_or_default();
            let mode = answers.text("mode").unwrap_or_default();
            write!(environment.err, "{}", text::checklist(&casing, load, mode, desk.day(), &checklist))?;
            writeln!(
                environment.err,
                "error: the record forbids it, so it is not released; nothing was stored"
            )?;
            return Err(Fault::CheckSaidNo);
        }
        other => other?,
    };
    let struck = match recorded.entries.first().map(|entry| &entry.entry.details) {
        Some(Details::Strike(strike)) if form.kind == Kind::Strike => desk.again(strike.strikes).ok(),
        _ => None,
    };
    announce(&recorded, struck.as_ref(), choices, environment).map_err(|error| {
        let number = recorded.entries.first().map_or(0, |entry| entry.number);
        Fault::Output(error).unsaid(|| format!("written as entry {number}"))
    })
}

/// The entry that is to be written again, where one is named.
fn written_again(
    kind: Kind,
    matches: &ArgMatches,
    choices: &Choices,
    environment: &Environment<'_>,
) -> Result<Option<Again>, Fault> {
    let Ok(Some(named)) = matches.try_get_one::<String>("again") else { return Ok(None) };
    let desk = Desk::reading(choices.named_book()?, (environment.surroundings)())?;
    let id = desk.book().find_entry(named)?.map_err(|message| Fault::input("again", message))?;
    let again = desk.again(id)?;
    let reason = matches.get_one::<String>("because").is_some_and(|reason| !reason.trim().is_empty());
    if again.entry.kind() == kind && again.struck_by.is_none() && !reason {
        return Err(Fault::input(
            "because",
            format!(
                "entry {} is struck by being written again: say why it is wrong, --because TEXT{}",
                again.entry.number,
                if again.takes_two.is_some() { ", and who agrees, --agreed NAME" } else { "" }
            ),
        ));
    }
    Ok(Some(again))
}

/// Say what was written.
fn announce(
    recorded: &Recorded,
    struck: Option<&Again>,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> std::io::Result<()> {
    for warning in &recorded.warnings {
        writeln!(environment.err, "warning: {}", text::clean(&warning.to_string()))?;
    }
    if !recorded.warnings.is_empty() {
        let new = new_entry(recorded).or(recorded.entries.first());
        let number = new.map_or(0, |entry| entry.number);
        let kind = new.map_or(Kind::Note, |entry| entry.kind());
        writeln!(
            environment.err,
            "it stands as typed; if it was a slip, write it again with what changes: proofmark log {kind} --again {number} --because TEXT --agreed NAME"
        )?;
    }
    if let Some(again) = struck {
        writeln!(
            environment.err,
            "to write it again, corrected: proofmark log {} --again {} and the flags that change",
            again.entry.kind(),
            again.entry.number
        )?;
    }
    if choices.json {
        let entries: Vec<_> = recorded
            .entries
            .iter()
            .map(|entry| {
                json::entry_line(&crate::store::EntryLine {
                    entry: entry.clone(),
                    struck_by: None,
                    firing_struck_by: None,
                    peak_cut_off: None,
                    differs_from: None,
                })
            })
            .collect();
        let value = serde_json::json!({
            "schema": json::SCHEMA,
            "entries": entries,
            "warnings": recorded.warnings,
            "follows": recorded.follows.iter().map(|it| &it.text).collect::<Vec<_>>(),
        });
        writeln!(environment.out, "{}", json::visible(&value))?;
    } else {
        for entry in &recorded.entries {
            writeln!(
                environment.out,
                "entry {}: {} of {} recorded, seal {}",
                entry.number,
                entry.kind(),
                text::clean(&entry.entry.subject.name),
                &entry.seal[..12]
            )?;
        }
        for line in &recorded.follows {
            writeln!(environment.out, "{}", text::clean(&line.shown(choices.system)))?;
        }
    }
    Ok(())
}

/// A load file with `[[grain]]` is a load of segments that differ, which a form cannot say.
fn one_size(kind: Kind, fault: Fault) -> Fault {
    match fault {
        Fault::Input(problems) if kind == Kind::Load && problems.iter().any(|it| it.field == "grain") => {
            Fault::input(
                "grain",
                "a load on record has one size of segment: give one [grain] table; predict takes segments that differ",
            )
        }
        other => other,
    }
}
