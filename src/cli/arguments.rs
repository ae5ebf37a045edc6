//! What can be typed. The `log` commands are made from the form tables, so a flag, a TOML key and a field on
//! the screen can never differ.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::settings::Look;
use super::{Choices, Environment, Fault};
use crate::book::form::{Ask, Field, Form};
use crate::book::{forms, reader};
use crate::quantity::System;

/// Over the flags that every command takes, apart from its own.
const GENERAL: &str = "For every command";

/// Flags whose value is a quantity. One below zero is for the command to refuse in its own words, not a flag that
/// nobody knows.
const QUANTITIES: &[&str] = &[
    "draws",
    "hardness",
    "margin",
    "meop",
    "pit",
    "pressure",
    "proof",
    "propellant",
    "seed",
    "threshold",
    "throat",
    "throat-deposit",
    "throat-growth",
    "thrust-coefficient",
    "yield",
];

/// The whole command line.
pub fn command() -> Command {
    commands().mut_subcommands(|command| {
        command.mut_args(|arg| match arg.get_id().as_str() {
            "serial" if arg.get_help().is_none() => arg.help("The casing's permanent mark"),
            id if arg.get_long().is_some() && QUANTITIES.contains(&id) => arg.allow_hyphen_values(true),
            _ => arg,
        })
    })
}

fn commands() -> Command {
    Command::new("proofmark")
        .version(env!("CARGO_PKG_VERSION"))
        .about("May this casing, by serial, be fired again? A logbook and decision aid for reusable metal rocket-motor casings")
        .after_help(
            "Without a command: the book on the screen, or the rack as text where stdout is no terminal.\n\
             Exit codes: 0 done, 1 input or data wrong, 2 usage, 3 book locked, newer or damaged, 4 a check said no,\n\
             70 a fault of the program itself.",
        )
        .disable_help_subcommand(true)
        .arg(
            Arg::new("book").long("book").global(true).help_heading(GENERAL).value_name("FILE").value_parser(value_parser!(PathBuf))
                .help("The book; else PROOFMARK_BOOK, else the one in your data folder"),
        )
        .arg(Arg::new("units").long("units").global(true).help_heading(GENERAL).value_name("us|si").value_parser(["us", "si"]).help("Units to show"))
        .arg(Arg::new("by").long("by").global(true).help_heading(GENERAL).value_name("NAME").help("Who writes; else PROOFMARK_BY"))
        .arg(Arg::new("on").long("on").global(true).help_heading(GENERAL).value_name("DATE").help("The day asked about, or the day it happened; 2026-10-03"))
        .arg(Arg::new("json").long("json").global(true).help_heading(GENERAL).action(ArgAction::SetTrue).help("Data as JSON, in SI"))
        .arg(Arg::new("theme").long("theme").global(true).help_heading(GENERAL).value_name("THEME").value_parser(super::settings::Look::WORDS.to_vec()).help("The screen's theme: either, dark, light or monochrome"))
        .arg(Arg::new("light").long("light").global(true).help_heading(GENERAL).action(ArgAction::SetTrue).conflicts_with("theme").help("The screen's light theme"))
        .arg(Arg::new("lines").long("lines").global(true).help_heading(GENERAL).action(ArgAction::SetTrue).help("The screens as lines of text: for screen readers and terminals that cannot draw"))
        .subcommand(
            Command::new("demo")
                .about("A scratch copy of the invented demo club's book on the screen")
                .arg(Arg::new("at").long("at").value_name("FILE").value_parser(value_parser!(PathBuf)).help("Just write it here"))
                .args(super::keep::large_arguments())
                .arg(Arg::new("rebuild").long("rebuild").hide(true).action(ArgAction::SetTrue).requires("at")),
        )
        .subcommand(Command::new("rack").about("Every casing: its standing, and why"))
        .subcommand(
            Command::new("show")
                .about("One casing in full, everything about one part, or every entry about a load, batch, gauge, person or rule")
                .arg(Arg::new("serial").required(true).value_name("NAME").help("The permanent mark of a casing or a part, or the name of anything on record"))
                .arg(
                    Arg::new("of")
                        .long("of")
                        .value_name("KIND")
                        .value_parser(["casing", "part", "load", "batch", "gauge", "person", "rule"])
                        .help("Which of them, where several things bear the name"),
                ),
        )
        .subcommand(
            Command::new("journal")
                .about("What was written into the book, one line an entry, the newest last")
                .arg(
                    Arg::new("since")
                        .long("since")
                        .value_name("DATE|ENTRY")
                        .help("Only what was written down from a day on, or after an entry: what changed since"),
                ),
        )
        .subcommand(
            Command::new("due")
                .about("Who may be fired on a day (--on), with one load (--load), and what each other needs")
                .arg(Arg::new("load").long("load").value_name("NAME").help("Which casings may take this load, on record"))
                .arg(Arg::new("batch").long("batch").value_name("NAME").requires("load").help("The batch, on record"))
                .arg(grain_temperature().requires("load"))
                .arg(Arg::new("static").long("static").action(ArgAction::SetTrue).conflicts_with("flight").requires("load").help("On the stand (the default)"))
                .arg(Arg::new("flight").long("flight").action(ArgAction::SetTrue).requires("load").help("In flight")),
        )
        .subcommand(
            Command::new("prefire")
                .about("Does anything on record forbid this casing with this load? Exit 0: nothing forbids, 4: something does")
                .arg(Arg::new("serial").required(true).value_name("SERIAL"))
                .arg(Arg::new("load").long("load").required(true).value_name("NAME").help("The load, on record"))
                .arg(Arg::new("batch").long("batch").value_name("NAME").help("The batch, on record"))
                .arg(grain_temperature())
                .arg(Arg::new("static").long("static").action(ArgAction::SetTrue).conflicts_with("flight").help("On the stand (the default)"))
                .arg(Arg::new("flight").long("flight").action(ArgAction::SetTrue).help("In flight")),
        )
        .subcommands(super::hands::commands())
        .subcommand(super::margins::command())
        .subcommand(super::trace::command())
        .subcommand(super::drift::command())
        .subcommand(super::predict::command())
        .subcommand(super::batch::batch_command())
        .subcommand(super::batch::room_command())
        .subcommand(super::calc::command())
        .subcommand(super::report::command())
        .subcommand(super::report::label_command())
        .subcommand(super::export::command())
        .subcommand(super::import::command())
        .subcommand(Command::new("rules").about("Every limit with its value and source, and who changed it"))
        .subcommands(super::keep::commands())
        .subcommand(Command::new("keys").about("The keys of the screen"))
        .subcommands(super::help::commands())
        .subcommand(log_command())
}

fn log_command() -> Command {
    let mut log = Command::new("log")
        .about("Write an entry into the book")
        .subcommand_required(true)
        .arg_required_else_help(true)
        .after_help(
            "Fields are flags (--casing MF-48-10), words (casing=MF-48-10) or a TOML file (--from FILE.toml).\n\
             Quantities carry their unit: 1 3/4 in, 27/64 in, #7 drill, 5,2 MPa, 420 lbf, 176 degC.",
        );
    for form in forms::FORMS {
        log = log.subcommand(form_command(form));
    }
    log
}

fn form_command(form: &'static Form) -> Command {
    let mut command = Command::new(form.kind.word())
        .about(form.does)
        .arg(
            Arg::new("from")
                .long("from")
                .value_name("FILE.toml")
                .value_parser(value_parser!(PathBuf))
                .help("Read the fields from a TOML file; flags override it"),
        )
        .arg(Arg::new("fields").value_name("field=value").action(ArgAction::Append).help("Fields as words"));
    if form.kind != crate::book::Kind::Strike {
        command = command.args(again_arguments());
    }
    for field in forms::HEAD.iter().filter(|field| !matches!(field.name, "on" | "by")) {
        command = command.arg(field_argument(field));
    }
    for field in form.fields {
        command = command.arg(field_argument(field));
    }
    command
}

/// What writes an entry again, corrected.
fn again_arguments() -> [Arg; 3] {
    [
        Arg::new("again").long("again").value_name("ENTRY").help(
            "Write this entry again, corrected: its answers are filled in, flags change them, and it is struck in the same writing",
        ),
        Arg::new("because")
            .long("because")
            .value_name("TEXT")
            .requires("again")
            .help("Why that entry is wrong (needed unless it is struck already)"),
        Arg::new("agreed")
            .long("agreed")
            .value_name("NAME")
            .requires("again")
            .help("The second person who agrees that it is wrong, where striking it takes two names"),
    ]
}

/// The flag of a field: dots and underscores become hyphens.
fn flag_of(field: &str) -> String {
    field.replace(['.', '_'], "-")
}

/// The id of a field's argument, apart from those every form has.
fn id_of(field: &str) -> String {
    format!("field:{field}")
}

fn field_argument(field: &'static Field) -> Arg {
    let takes = match field.ask {
        Ask::Word(words) => format!(" [{}]", words.join(", ")),
        Ask::YesNo => " [yes, no]".to_owned(),
        _ => String::new(),
    };
    let needed = if field.required { " (needed)" } else { "" };
    let only = field
        .when
        .map_or_else(String::new, |(other, words)| format!(" ({}: {})", flag_of(other), words.join(", ")));
    Arg::new(id_of(field.name))
        .long(flag_of(field.name))
        .value_name("TEXT")
        .action(ArgAction::Append)
        .allow_hyphen_values(true)
        .help(format!("{}{takes}{only}{needed}", field.help))
}

/// What was typed into a `log` command, as answers: the file first, words and flags over it.
pub(super) fn answers(
    form: &'static Form,
    matches: &ArgMatches,
    choices: &Choices,
    filled: Option<&crate::book::Answers>,
) -> Result<crate::book::Answers, Fault> {
    let mut answers = filled.cloned().unwrap_or_default();
    answers.overlay(&match matches.get_one::<PathBuf>("from") {
        Some(path) => {
            let bytes = crate::store::regular::read(path, crate::store::regular::TEXT).map_err(|error| {
                Fault::input("from", format!("{} cannot be read: {error}", path.display()))
            })?;
            let text = String::from_utf8(bytes).map_err(|_| {
                Fault::input("from", format!("{} is not UTF-8 text; save it as UTF-8", path.display()))
            })?;
            crate::book::Answers::from_toml(&text)?
        }
        None => crate::book::Answers::new(),
    });
    let mut words = crate::book::Answers::new();
    for word in matches.get_many::<String>("fields").into_iter().flatten() {
        let Some((field, value)) = word.split_once('=') else {
            let shown = crate::book::reading::shorten(word);
            return Err(Fault::input("fields", format!("\"{shown}\" is neither a flag nor field=value")));
        };
        let name = field.trim();
        let known = form
            .fields
            .iter()
            .chain(forms::HEAD)
            .map(|field| field.name)
            .find(|known| flag_of(known) == flag_of(name));
        words.push(known.unwrap_or(name), value);
    }
    for field in forms::HEAD.iter().chain(form.fields) {
        if let Ok(Some(values)) = matches.try_get_many::<String>(&id_of(field.name)) {
            for value in values {
                words.push(field.name, value.clone());
            }
        }
    }
    answers.overlay(&words);
    if let Some(on) = choices.on {
        answers.set("on", on.to_string());
    }
    if let Some(by) = &choices.by
        && answers.text("by").is_none()
    {
        answers.set("by", by.clone());
    }
    Ok(answers)
}

/// A required argument's text.
pub(super) fn required<'a>(matches: &'a ArgMatches, name: &str) -> &'a str {
    matches.get_one::<String>(name).map_or("", String::as_str)
}

pub(super) fn choices(matches: &ArgMatches, environment: &Environment<'_>) -> Result<Choices, Fault> {
    let settings = &environment.settings;
    // A global flag may stand before or after the command.
    let at = deepest(matches);
    let text = |name: &str| {
        at.try_get_one::<String>(name).ok().flatten().or_else(|| matches.get_one::<String>(name)).cloned()
    };
    let flag = |name: &str| {
        at.try_get_one::<bool>(name)
            .ok()
            .flatten()
            .or_else(|| matches.get_one::<bool>(name))
            .copied()
            .unwrap_or(false)
    };
    let book = at
        .try_get_one::<PathBuf>("book")
        .ok()
        .flatten()
        .or_else(|| matches.get_one::<PathBuf>("book"))
        .cloned()
        .or_else(|| environment.book.clone())
        .or_else(|| settings.book.clone())
        .or_else(|| environment.data_folder.as_ref().map(|folder| folder.join("book.db")))
        .unwrap_or_default();
    let today = (environment.surroundings)().today();
    let on = text("on")
        .map(|text| reader::read_date(&text, today).map_err(|message| Fault::input("on", message)))
        .transpose()?;
    Ok(Choices {
        book,
        system: match text("units").as_deref() {
            Some("us") => System::Us,
            Some(_) => System::Si,
            None => settings.units.unwrap_or_default(),
        },
        by: text("by").or_else(|| environment.by.clone()).or_else(|| settings.by.clone()),
        on,
        json: flag("json"),
        theme: flag("light")
            .then_some(Look::Light)
            .or_else(|| text("theme").and_then(|word| Look::from_word(&word)))
            .or(settings.theme),
        lines: flag("lines"),
    })
}

/// Whether JSON was asked for, before or after the command.
pub(super) fn asks_for_json(matches: &ArgMatches) -> bool {
    [matches, deepest(matches)].iter().any(|at| at.try_get_one::<bool>("json").ok().flatten() == Some(&true))
}

fn deepest(matches: &ArgMatches) -> &ArgMatches {
    match matches.subcommand() {
        Some((_, inner)) => deepest(inner),
        None => matches,
    }
}

/// How hot the grains of a plan are soaked.
pub(super) fn grain_temperature() -> Arg {
    Arg::new("grain-temperature")
        .long("grain-temperature")
        .value_name("T")
        .allow_hyphen_values(true)
        .help("How hot the grains are soaked, 17 degC")
}
