//! `report`: pages for a printer.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgGroup, ArgMatches, Command, value_parser};

use super::arguments::required;
use super::write_file::write;
use super::{Choices, Environment, Fault};
use crate::book::{FiringMode, Kind, SubjectOf, forms, reader};
use crate::desk::Planned;
use crate::desk::paper::Depth;
use crate::report::{paper, text};

pub(super) fn command() -> Command {
    let flag = |name: &'static str, help: &'static str| {
        Arg::new(name).long(name).action(ArgAction::SetTrue).help(help)
    };
    Command::new("report")
        .about("A page to print: a casing's passport, a range card, the rack, a checklist, a blank form")
        .after_help("The page is one HTML file without scripts that loads nothing: any browser prints it. --out - is stdout.")
        .arg(Arg::new("serial").value_name("SERIAL").help("The casing, for its passport, card or checklist"))
        .arg(
            Arg::new("out").long("out").required(true).value_name("FILE.html").value_parser(value_parser!(PathBuf))
                .help("Where the page goes; with --all a folder"),
        )
        .arg(flag("card", "One page for a range safety officer: give --load").requires("serial").requires("load"))
        .arg(Arg::new("load").long("load").value_name("NAME").requires("card").help("The planned load, on record"))
        .arg(Arg::new("batch").long("batch").value_name("NAME").requires("card").help("The batch, on record"))
        .arg(super::arguments::grain_temperature().requires("card"))
        .arg(flag("static", "On the stand (the default)").conflicts_with("flight").requires("card"))
        .arg(flag("flight", "In flight").requires("card"))
        .arg(flag("prefire", "The pre-fire checklist as it was run, the last one").requires("serial"))
        .arg(Arg::new("entry").long("entry").value_name("ENTRY").requires("prefire").help("The checklist of this entry"))
        .arg(flag("rack", "Every casing at a glance"))
        .arg(
            Arg::new("due").long("due").value_name("DATE").num_args(0..=1).default_missing_value("today")
                .help("Who may be fired on a day, and what each other needs"),
        )
        .arg(
            Arg::new("blank").long("blank").value_name("KIND")
                .value_parser(clap::builder::PossibleValuesParser::new(forms::FORMS.iter().map(|form| form.kind.word())))
                .help("A blank form, its fields numbered as on the screen"),
        )
        .arg(flag("all", "Every casing's passport, one file each, into the folder --out"))
        .group(ArgGroup::new("what").args(["serial", "rack", "due", "blank", "all"]).required(true))
}

pub(super) fn report(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(out) = matches.get_one::<PathBuf>("out") else { return Err(Fault::input("out", "name a file")) };
    if let Some(word) = matches.get_one::<String>("blank") {
        let Some(form) = Kind::from_word(word).and_then(forms::form) else {
            return Err(Fault::input("blank", format!("there is no form {word}")));
        };
        return put(out, &paper::blank(form), environment);
    }
    let mut desk = choices.read(environment)?;
    let system = choices.system;
    if matches.get_flag("all") {
        super::export::a_folder(out)?;
        return all(&desk, out, choices, environment);
    }
    let page = if matches.get_flag("rack") {
        paper::rack(&desk.rack_sheet()?.shown(system))
    } else if let Some(day) = matches.get_one::<String>("due") {
        let day = if day == "today" {
            desk.day()
        } else {
            reader::read_date(day, desk.today()).map_err(|why| Fault::input("due", why))?
        };
        desk.ask_for(Some(day));
        paper::due(&desk.rack_sheet()?.shown(system))
    } else {
        let serial = required(matches, "serial");
        if matches.get_flag("card") {
            let mode = if matches.get_flag("flight") { FiringMode::Flight } else { FiringMode::Static };
            let batch = matches.get_one::<String>("batch").map(String::as_str);
            let grain = super::look::grain_temperature(matches)?;
            paper::card(
                &desk
                    .card(serial, Planned { load: required(matches, "load"), batch, mode, grain })?
                    .shown(system),
                system,
            )
        } else if matches.get_flag("prefire") {
            paper::checklist(
                &desk.checklist_sheet(serial, matches.get_one::<String>("entry").map(String::as_str))?,
            )
        } else {
            paper::passport(&desk.passport(serial, Depth::Whole)?.shown(system), system)
        }
    };
    put(out, &page, environment)
}

fn put(out: &Path, page: &str, environment: &mut Environment<'_>) -> Result<(), Fault> {
    write(out, page.as_bytes(), environment)?;
    if out.as_os_str() != "-" {
        writeln!(environment.err, "the page is at {}: open it in a browser and print it", out.display())?;
    }
    Ok(())
}

/// Every casing's passport. A serial may hold what no file name does, so the place in the list comes first.
fn all(
    desk: &crate::desk::Desk,
    folder: &Path,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    std::fs::create_dir_all(folder)
        .map_err(|error| Fault::input("out", format!("{} cannot be made: {error}", folder.display())))?;
    for serial in desk.book().names(SubjectOf::Casing)? {
        let page =
            paper::passport(&desk.passport(&serial, Depth::Whole)?.shown(choices.system), choices.system);
        let path = folder.join(format!("{}.html", file_name(&serial)));
        write(&path, page.as_bytes(), environment)?;
        writeln!(environment.out, "{}", text::clean(&path.display().to_string()))?;
    }
    Ok(())
}

/// A serial as a file name: what is not a letter, a digit, a hyphen or an underscore is written as its code, so
/// that two serials never share a file.
fn file_name(serial: &str) -> String {
    serial
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || c == '-' || c == '_' {
                c.to_string()
            } else {
                format!("%{:x}", c as u32)
            }
        })
        .collect()
}

/// `label`: a serial's label.
pub(super) fn label(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let serial = required(matches, "serial");
    let page = choices.read(environment)?.casing(serial)?;
    let name = page.assessed.name.as_deref();
    let long = || Fault::input("serial", "it is longer than any QR code holds");
    match matches.get_one::<PathBuf>("out") {
        Some(out) => {
            let drawing = paper::label_svg(serial, name).ok_or_else(long)?;
            write(out, drawing.as_bytes(), environment)?;
            if out.as_os_str() != "-" {
                writeln!(
                    environment.err,
                    "the label is at {}: for the box and the rack, never on the stressed wall",
                    out.display()
                )?;
            }
        }
        None if choices.json => writeln!(
            environment.out,
            "{}",
            serde_json::json!({"schema": crate::report::json::SCHEMA, "serial": serial, "name": name})
        )?,
        None => write!(environment.out, "{}", paper::label_text(serial, name).ok_or_else(long)?)?,
    }
    Ok(())
}

pub(super) fn label_command() -> Command {
    Command::new("label")
        .about("A casing's label with its serial as a QR code: text, or a drawing with --out")
        .arg(Arg::new("serial").required(true).value_name("SERIAL"))
        .arg(
            Arg::new("out")
                .long("out")
                .value_name("FILE.svg")
                .value_parser(value_parser!(PathBuf))
                .help("Write a drawing, 60 mm by 25 mm, instead of text; - is stdout"),
        )
}
