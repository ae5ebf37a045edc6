//! Commands that keep the book safe: verify, merge, backup, restore, doctor; and the large generated book.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use serde_json::json;

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::desk::paper::PhotoState;
use crate::report::{json, text};
use crate::standing::Conflict;
use crate::store::{Book, Copied, Merged, StoreError, examine, is_itself};

fn file(name: &'static str, shown: &'static str, help: &'static str) -> Arg {
    Arg::new(name).required(true).value_name(shown).value_parser(value_parser!(PathBuf)).help(help)
}

/// The commands.
pub(super) fn commands() -> Vec<Command> {
    vec![
        Command::new("verify").about("Work out every seal, row, file and standing again. Exit 4 where one differs"),
        Command::new("merge")
            .about("Take in every entry of another book that this one does not hold; what differs is kept and shown")
            .arg(file("other", "OTHER.db", "The other book; it is read and not changed"))
            .arg(
                Arg::new("preview")
                    .long("preview")
                    .action(ArgAction::SetTrue)
                    .help("Say what would come, and take in nothing"),
            ),
        Command::new("backup")
            .about("Copy the book, verify the copy, and only then give it its name; the book may be in use")
            .arg(file("to", "TO.db", "The copy"))
            .arg(
                Arg::new("replace")
                    .long("replace")
                    .action(ArgAction::SetTrue)
                    .help("Put it in the place of an older copy"),
            ),
        Command::new("restore")
            .about("Make a verified copy the book; the book that was there is kept beside it. Also the way to begin a second laptop's book")
            .arg(file("from", "FROM.db", "The copy")),
        Command::new("doctor").about("What state the book is in, and what to do next. Exit 4 where something is to be done"),
    ]
}

/// The flags of `demo` that ask for a large generated book.
pub(super) fn large_arguments() -> [Arg; 2] {
    let count = |name: &'static str, other: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name("N")
            .value_parser(value_parser!(u64).range(1..=100_000_000))
            .requires(other)
            .requires("at")
            .help(help)
    };
    [
        count(
            "casings",
            "firings",
            "With --at: write a large generated book of so many casings, for measuring",
        ),
        count("firings", "casings", "and so many firings in all, each inspected and decided on"),
    ]
}

/// The large generated book asked for.
pub(super) fn large(matches: &ArgMatches) -> Option<(u64, u64)> {
    matches.get_one::<u64>("casings").copied().zip(matches.get_one::<u64>("firings").copied())
}

pub(super) fn run(
    name: &str,
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<u8, Fault> {
    let path = |name: &str| matches.get_one::<PathBuf>(name).cloned().unwrap_or_default();
    match name {
        "merge" => merge(&path("other"), matches.get_flag("preview"), choices, environment),
        "backup" => backup(&path("to"), matches.get_flag("replace"), choices, environment),
        "restore" => restore(&path("from"), choices, environment),
        "doctor" => doctor(choices, environment),
        _ => verify(choices, environment),
    }
}

fn verify(choices: &Choices, environment: &mut Environment<'_>) -> Result<u8, Fault> {
    let desk = choices.read(environment)?;
    let faults = desk.book().verify()?;
    let (_, count) = desk.book().size()?;
    // Where the book differs, these may not be readable: what differs is said all the same.
    let seal = match desk.book().head_seal() {
        Err(_) if !faults.is_empty() => None,
        seal => seal?,
    };
    let photos = match desk.check_photos() {
        Err(_) if !faults.is_empty() => Vec::new(),
        photos => photos?,
    };
    let changed = photos.iter().any(|photo| photo.state == PhotoState::Changed);
    let value = || {
        let faults: Vec<_> =
            faults.iter().map(|fault| json!({"entry": fault.entry, "what": fault.what})).collect();
        let photo = |photo: &crate::desk::paper::PhotoCheck| {
            json!({
                "entry": photo.number, "path": photo.path, "state": photo.state.words(),
                "as_logged": photo.state == PhotoState::AsLogged,
            })
        };
        let photos: Vec<_> = photos.iter().map(photo).collect();
        json!({"schema": json::SCHEMA, "entries": count, "head_seal": seal, "faults": faults, "photos": photos})
    };
    let words = || {
        let mut out = String::new();
        for fault in &faults {
            let _ = writeln!(out, "{}", text::clean(&fault.sentence()));
        }
        for photo in photos.iter().filter(|photo| photo.state != PhotoState::AsLogged) {
            let (path, state) = (text::clean(&photo.path), text::clean(&photo.state.words()));
            let _ = writeln!(out, "entry {}: photo {path} {state}", photo.number);
        }
        if !photos.is_empty() {
            let there = photos.iter().filter(|photo| photo.state == PhotoState::AsLogged).count();
            let _ = writeln!(out, "{there} of {} photographs are there as logged", photos.len());
            if photos.iter().any(|photo| photo.state == PhotoState::Missing) {
                let _ = writeln!(
                    out,
                    "a missing photograph is no fault of the book, which holds its path and SHA-256: what you copy there is checked by the next verify"
                );
            }
        }
        let _ = writeln!(
            out,
            "{}, {}, head seal {}",
            crate::quantity::counted(count, "entry"),
            crate::quantity::counted(faults.len(), "difference"),
            seal.as_deref().unwrap_or(if faults.is_empty() { "none yet" } else { "not readable" })
        );
        out
    };
    print(value, words, choices, environment)?;
    Ok(if faults.is_empty() && !changed { 0 } else { 4 })
}

fn merge(
    other: &Path,
    preview: bool,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<u8, Fault> {
    let path = choices.named_book()?;
    // Before it is opened: a book of an older schema stays as it is too.
    if is_itself(other, path) {
        return Err(Fault::Store(StoreError::Itself(other.to_path_buf())));
    }
    let mut book = Book::open_writing(path, None)?;
    let merged = book.merge(other, preview).map_err(|error| error.of_the_other(other))?;
    print(|| merged_json(&merged, preview), || merged_text(&merged, preview), choices, environment).map_err(
        |fault| {
            if preview {
                fault
            } else {
                fault.unsaid(|| format!("merged: {} entries came in", merged.entries))
            }
        },
    )?;
    Ok(0)
}

fn merged_json(merged: &Merged, preview: bool) -> serde_json::Value {
    let side = |side: &crate::standing::conflicts::Side| json!({"entry": side.entry.number, "id": side.entry.id.to_string(), "on": side.entry.on.to_string(), "by": side.by, "says": side.says});
    let conflict = |it: &Conflict| json!({"about": it.about, "what": it.what, "one": side(&it.one), "other": side(&it.other)});
    json!({
        "schema": json::SCHEMA,
        "preview": preview,
        "entries": merged.entries,
        "files": merged.files,
        "from": merged.from.iter().map(|(origin, (entries, by))| json!({
            "origin": origin.to_string(), "entries": entries, "by": by,
        })).collect::<Vec<_>>(),
        "standings": merged.standings.iter().map(|(serial, before, after)| json!({
            "serial": serial, "before": before, "after": after,
        })).collect::<Vec<_>>(),
        "conflicts": merged.conflicts.iter().map(conflict).collect::<Vec<_>>(),
        "head_seal": merged.head_seal,
    })
}

fn merged_text(merged: &Merged, preview: bool) -> String {
    let mut out = String::new();
    if merged.entries == 0 {
        out.push_str("nothing new: every entry of the other book is in this one\n");
    }
    let verb = if preview { "would come" } else { "came" };
    for (origin, (entries, by)) in &merged.from {
        let by: Vec<String> = by.iter().map(|name| text::clean(name)).collect();
        let _ = writeln!(
            out,
            "{} {verb} from the book {origin}, by {}",
            crate::quantity::counted(entries, "entry"),
            by.join(", ")
        );
    }
    if merged.files > 0 {
        let _ = writeln!(out, "{} {verb} with them", crate::quantity::counted(merged.files, "raw trace"));
    }
    if !merged.standings.is_empty() {
        out.push_str("standings that change\n");
    }
    for (serial, before, after) in &merged.standings {
        let _ = writeln!(
            out,
            "  {}: {} to {}",
            text::clean(serial),
            before.as_deref().unwrap_or("not on record"),
            after.as_deref().unwrap_or("not on record")
        );
    }
    if !merged.conflicts.is_empty() {
        out.push_str(
            "the books differ; both entries are kept, and somebody has to settle each by a new entry\n",
        );
    }
    for conflict in &merged.conflicts {
        let _ = writeln!(out, "  {}: {}", text::clean(&conflict.about), conflict.what);
        for side in [&conflict.one, &conflict.other] {
            let _ = writeln!(
                out,
                "    entry {} ({}) of {} by {}: {}",
                side.entry.number,
                side.entry.id.mark(),
                side.entry.on,
                text::clean(&side.by),
                text::clean(&side.says)
            );
        }
    }
    if !merged.conflicts.is_empty() {
        out.push_str(
            "  strike the one that is wrong (proofmark log strike --entry N --reason TEXT), or decide with both at hand (proofmark log disposition)\n  each book numbers its entries itself; the mark behind a number is the same on every laptop and does for N\n",
        );
    }
    if preview {
        out.push_str("a preview: nothing was taken in\n");
    }
    let _ = writeln!(out, "head seal {}", merged.head_seal.as_deref().unwrap_or("none yet"));
    out
}

fn copied(
    copied: &Copied,
    what: &str,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let value = || {
        json!({
            "schema": json::SCHEMA,
            "path": copied.path.to_string_lossy(),
            "entries": copied.entries,
            "head_seal": copied.head_seal,
            "kept": copied.kept.as_ref().map(|kept| kept.to_string_lossy()),
            "journal": copied.journal.as_ref().map(|journal| journal.to_string_lossy()),
        })
    };
    let words = || {
        let mut out = format!(
            "{what} {}: {}, verified, head seal {}\n",
            copied.path.display(),
            crate::quantity::counted(copied.entries, "entry"),
            copied.head_seal.as_deref().unwrap_or("none yet")
        );
        if let Some(kept) = &copied.kept {
            let _ = writeln!(
                out,
                "the book that was there is kept at {}; what it held beyond the copy comes back with: proofmark merge {}",
                kept.display(),
                kept.display()
            );
        }
        if let Some(journal) = &copied.journal {
            let _ = writeln!(
                out,
                "! a journal that another book left beside this name was set aside: {}. It belongs to the book that stood here before and takes back what that one had half written; put it beside it under that book's name with -journal behind",
                journal.display()
            );
        }
        out
    };
    print(value, words, choices, environment)
        .map_err(|fault| fault.unsaid(|| format!("{what} {}", copied.path.display())))
}

fn backup(
    to: &Path,
    replace: bool,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<u8, Fault> {
    let made = Book::open_reading(choices.named_book()?)?.back_up(to, replace)?;
    copied(&made, "backed up to", choices, environment)?;
    Ok(0)
}

fn restore(from: &Path, choices: &Choices, environment: &mut Environment<'_>) -> Result<u8, Fault> {
    let mut surroundings = (environment.surroundings)();
    let (origin, now) = (surroundings.identity(), surroundings.now());
    let made =
        Book::restore(from, choices.named_book()?, origin, now).map_err(|error| error.of_the_other(from))?;
    copied(&made, "restored to", choices, environment)?;
    Ok(0)
}

fn doctor(choices: &Choices, environment: &mut Environment<'_>) -> Result<u8, Fault> {
    let now = (environment.surroundings)().now();
    let seen = examine(choices.named_book()?, now);
    let value = || {
        let looked: Vec<_> = seen
            .looked
            .iter()
            .map(|it| json!({"at": it.at, "well": it.well, "seen": it.seen, "next": it.next}))
            .collect();
        json!({"schema": json::SCHEMA, "path": seen.path.to_string_lossy(), "well": seen.well(), "looked": looked})
    };
    let words = || {
        let mut out = String::new();
        for it in &seen.looked {
            let _ =
                writeln!(out, "{} {:12} {}", if it.well { "=" } else { "!" }, it.at, text::clean(&it.seen));
            if let Some(next) = &it.next {
                let _ = writeln!(out, "  {:12} next: {}", "", text::clean(next));
            }
        }
        out
    };
    print(value, words, choices, environment)?;
    Ok(if seen.well() { 0 } else { 4 })
}
