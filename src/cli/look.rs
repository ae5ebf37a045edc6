//! Commands that only read.

use clap::ArgMatches;
use serde_json::Value;

use super::{Choices, Environment, Fault};
use crate::book::reader::read_grain_temperature;
use crate::book::{FiringMode, Standing, SubjectOf};
use crate::desk::about::Since;
use crate::desk::who::nearest_first;
use crate::desk::{Desk, Planned};
use crate::quantity::Temperature;
use crate::report::{json, text};

/// JSON or text to stdout.
pub(super) fn print(
    value: impl FnOnce() -> Value,
    words: impl FnOnce() -> String,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    if choices.json {
        writeln!(environment.out, "{}", json::visible(&value()))?;
    } else {
        // Whatever words of a book went into it, nothing a terminal acts on comes out.
        let words: String =
            words().chars().filter(|c| matches!(c, '\n' | '\t') || !text::unseen(*c)).collect();
        write!(environment.out, "{words}")?;
    }
    Ok(())
}

/// The same for one casing, with what every page must say of it: struck retirements, and what was fired all the same.
pub(super) fn print_of(
    (desk, serial): (&Desk, &str),
    value: impl FnOnce() -> Value,
    words: impl FnOnce() -> String,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let flags = desk.casing(serial)?.assessed.flags;
    let flagged = || {
        let mut value = value();
        if let Some(map) = value.as_object_mut() {
            map.insert("flags".to_owned(), flags.clone().into());
        }
        value
    };
    let said = || {
        let lines = flags.iter().map(|flag| format!("! {}\n", text::clean(flag)));
        lines.chain([words()]).collect()
    };
    print(flagged, said, choices, environment)
}

pub(super) fn rack(choices: &Choices, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let rack = choices.read(environment)?.rack()?.shown(choices.shown());
    print(|| json::rack(&rack), || text::rack(&rack), choices, environment)
}

pub(super) fn show(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let serial = super::arguments::required(matches, "serial");
    let desk = choices.read(environment)?;
    let asked = matches.get_one::<String>("of").and_then(|word| SubjectOf::from_word(word));
    let mut named = desk.named(serial)?;
    if named.is_empty() {
        return Err(desk.nothing_named(serial)?.into());
    }
    if let Some(asked) = asked {
        named.retain(|subject| subject.of == asked);
    }
    let mut named = named.into_iter();
    let Some(subject) = named.next() else {
        let word = asked.map_or("thing", SubjectOf::word);
        return Err(Fault::input("of", format!("no {word} of that name is on record")));
    };
    if !matches!(subject.of, SubjectOf::Casing | SubjectOf::Part) {
        let page = desk.about(subject, named.map(|other| other.of).collect())?;
        return print(
            || crate::report::about::as_json(&page),
            || crate::report::about::as_text(&page, choices.shown()),
            choices,
            environment,
        );
    }
    if subject.of == SubjectOf::Part {
        let page = desk.part(serial)?;
        return print(
            || crate::report::part::as_json(&page),
            || crate::report::part::as_text(&page, choices.system),
            choices,
            environment,
        );
    }
    let page = desk.casing(serial)?.shown(choices.shown());
    print(|| json::casing(&page), || text::casing(&page, choices.system), choices, environment)
}

/// What was written into the book, the newest last.
pub(super) fn journal(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let since = match matches.get_one::<String>("since") {
        Some(words) => {
            Since::from_words(words, desk.today()).map_err(|message| Fault::input("since", message))?
        }
        None => Since::Ever,
    };
    let lines = desk.journal(since)?;
    print(
        || crate::report::about::journal_json(since, &lines),
        || crate::report::about::journal_text(since, &lines, choices.shown()),
        choices,
        environment,
    )
}

/// Who may be fired on the day, and what each other needs.
pub(super) fn due(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    if let Some(load) = matches.get_one::<String>("load") {
        return due_with(load, matches, choices, environment);
    }
    let rack = choices.read(environment)?.rack()?.shown(choices.shown());
    let words = || {
        use std::fmt::Write as _;
        let rows: Vec<_> = rack.casings.iter().map(|line| line.row.clone()).collect();
        let free = rows.iter().filter(|row| !row.standing.forbids()).count();
        let mut out = format!("on {}: nothing on record forbids {free} of {}\n", rack.day, rows.len());
        for line in nearest_first(&rows).into_iter().filter_map(|at| rack.casings.get(at)) {
            let standing = line.row.standing;
            let _ = write!(
                out,
                "{} {:11} {} {}",
                standing.sign(),
                standing,
                text::clean(&line.row.serial),
                text::clean(line.row.name.as_deref().unwrap_or(""))
            );
            let _ = match line.reasons.first() {
                Some(reason) if standing.forbids() => {
                    writeln!(out, ": {}; needs: {}", text::clean(&reason.text), text::clean(&reason.next))
                }
                Some(reason) if standing != Standing::InService => {
                    writeln!(out, ": nothing forbids it within its terms: {}", text::clean(&reason.text))
                }
                _ => writeln!(out, ": nothing on record forbids it"),
            };
            for flag in &line.flags {
                let _ = writeln!(out, "      ! {}", text::clean(flag));
            }
            // Everything else it needs, each said once.
            let mut said: Vec<&str> = line.reasons.first().map(|it| it.next.as_str()).into_iter().collect();
            let others = line.reasons.iter().skip(1).filter(|it| it.standing.forbids());
            for reason in others.filter(|_| standing.forbids() && standing != Standing::Retired) {
                if !said.contains(&reason.next.as_str()) {
                    said.push(&reason.next);
                    let _ = writeln!(
                        out,
                        "      also: {}; needs: {}",
                        text::clean(&reason.text),
                        text::clean(&reason.next)
                    );
                }
            }
            for due in &line.due {
                if standing == Standing::Retired {
                    continue;
                }
                let on = due.on.map_or_else(String::new, |on| format!(" by {on}"));
                let left = due.firings_left.map_or_else(String::new, |left| {
                    format!(", {} left", crate::quantity::counted(left, "firing"))
                });
                let _ = writeln!(out, "      {}{on}{left}", due.what);
            }
        }
        out
    };
    print(|| json::rack(&rack), words, choices, environment)
}

/// Which casings may be fired with one load, and what each other needs.
fn due_with(
    load: &str,
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let mode = if matches.get_flag("flight") { FiringMode::Flight } else { FiringMode::Static };
    let batch = matches.get_one::<String>("batch").map(String::as_str);
    let planned = Planned { load, batch, mode, grain: grain_temperature(matches)? };
    let day = desk.day();
    let found = desk.who_may_fire(planned, day)?;
    print(
        || json::candidates(planned, day, &found),
        || text::candidates(planned, day, &found, choices.shown()),
        choices,
        environment,
    )
}

/// How hot the grains are soaked, where it was given.
pub(super) fn grain_temperature(matches: &ArgMatches) -> Result<Option<Temperature>, Fault> {
    matches
        .get_one::<String>("grain-temperature")
        .map(|text| read_grain_temperature(text, None).map(|typed| typed.value))
        .transpose()
        .map_err(|message| Fault::input("grain-temperature", message))
}

pub(super) fn prefire(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<u8, Fault> {
    let serial = super::arguments::required(matches, "serial");
    let load = super::arguments::required(matches, "load");
    let mode = if matches.get_flag("flight") { FiringMode::Flight } else { FiringMode::Static };
    let desk: Desk = choices.read(environment)?;
    let day = desk.day();
    let batch = matches.get_one::<String>("batch").map(String::as_str);
    let grain = grain_temperature(matches)?;
    let list = desk.checklist(serial, Planned { load, batch, mode, grain }, day)?.shown(choices.shown());
    print_of(
        (&desk, serial),
        || json::checklist(serial, load, mode.word(), day, &list),
        || text::checklist(serial, load, mode.word(), day, &list),
        choices,
        environment,
    )?;
    Ok(if list.forbidden() { 4 } else { 0 })
}

pub(super) fn rules(choices: &Choices, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let rules = desk.book().rules_on(desk.day())?;
    print(|| json::rules(&rules), || text::rules(&rules, choices.system), choices, environment)
}
