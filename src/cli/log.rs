//! `log KIND`: write an entry.

use clap::ArgMatches;

use super::{Choices, Environment, Fault, arguments};
use crate::book::{Kind, cautions, forms};
use crate::desk::bench::shape;
use crate::desk::{Desk, Recorded, Refusal};
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
    let mut answers =
        arguments::answers(form, matches, choices).map_err(|fault| one_size(form.kind, fault))?;
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
    let recorded = match desk.record(form.kind, &answers, None) {
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
    announce(&recorded, choices, environment).map_err(|error| {
        let number = recorded.entries.first().map_or(0, |entry| entry.number);
        Fault::Output(error).unsaid(|| format!("written as entry {number}"))
    })
}

/// Say what was written.
fn announce(
    recorded: &Recorded,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> std::io::Result<()> {
    for warning in &recorded.warnings {
        writeln!(environment.err, "warning: {}", text::clean(&warning.to_string()))?;
    }
    if !recorded.warnings.is_empty() {
        let number = recorded.entries.first().map_or(0, |entry| entry.number);
        writeln!(
            environment.err,
            "it stands as typed; if it was a slip: proofmark log strike --entry {number} --reason TEXT --second NAME, and log it again"
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
