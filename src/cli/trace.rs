//! `trace`: reduce a test-stand file.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::file_source::FileSource;
use super::look::print;
use super::{Choices, Environment, Fault};
use crate::desk::traces::read_options;
use crate::quantity::{Length, Mass, Typed, parse_number};
use crate::report::{json, text};
use crate::trace::{self, ReduceOptions};

pub(super) fn command() -> Command {
    Command::new("trace")
        .about("What did it do? Reduce a test-stand file: tare, peak, impulse, burn time, class")
        .arg(Arg::new("file").required(true).value_name("FILE.csv").value_parser(value_parser!(PathBuf)))
        .arg(
            Arg::new("column").long("column").value_name("ROLE=COL:UNIT").action(ArgAction::Append)
                .help("Which column is time, thrust or pressure, by name or number, and its unit: thrust=Load:lbf, time=frame:frames@29.97"),
        )
        .arg(
            Arg::new("calibration").long("calibration").value_name("ROLE=SLOPE,OFFSET").action(ArgAction::Append)
                .allow_hyphen_values(true)
                .help("Raw to real: value = SLOPE * raw + OFFSET, in the column's unit"),
        )
        .arg(Arg::new("threshold").long("threshold").value_name("5%|10%").help("Share of the peak that begins and ends the burn; 5% when left out"))
        .arg(
            Arg::new("throat")
                .long("throat")
                .value_name("D")
                .action(ArgAction::Append)
                .help("Throat DIAMETER, once, or before and after: U drill, 9.40 mm"),
        )
        .arg(
            Arg::new("propellant")
                .long("propellant")
                .value_name("MASS")
                .help("Propellant burnt, for the specific impulse: 473 g"),
        )
        .arg(
            Arg::new("thrust-coefficient")
                .long("thrust-coefficient")
                .value_name("CF")
                .help("For the chamber pressure from thrust and throat"),
        )
}

pub(super) fn trace(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(path) = matches.get_one::<PathBuf>("file") else {
        return Err(Fault::input("file", "name the file"));
    };
    let words = |name: &str| matches.get_many::<String>(name).into_iter().flatten().map(String::as_str);
    let options =
        read_options(words("column"), words("calibration")).map_err(|problem| Fault::Input(vec![problem]))?;
    let threshold =
        match matches.get_one::<String>("threshold").map(|text| text.trim().trim_end_matches('%').trim()) {
            None | Some("5") => 0.05,
            Some("10") => 0.10,
            Some(other) => {
                return Err(Fault::input(
                    "threshold",
                    format!("\"{}\" is neither 5% nor 10%", crate::book::reading::shorten(other)),
                ));
            }
        };
    let shown = path.display();
    let source = FileSource::open(path)
        .map_err(|error| Fault::input("file", format!("{shown} cannot be read: {error}")))?;
    let record = trace::read_with(&source, &options, &|_, _| true)
        .map_err(|error| Fault::input("file", format!("{shown}: {error}")))?;
    let throats_m = words("throat")
        .map(|text| {
            Typed::<Length>::parse(text, None)
                .map(|throat| throat.si())
                .map_err(|error| Fault::input("throat", error.to_string()))
        })
        .collect::<Result<Vec<_>, _>>()?;
    let propellant_kg = words("propellant")
        .next()
        .map(|text| {
            Typed::<Mass>::parse(text, None).map_err(|error| Fault::input("propellant", error.to_string()))
        })
        .transpose()?
        .map(|mass| mass.si());
    let thrust_coefficient = words("thrust-coefficient")
        .next()
        .map(|text| parse_number(text).map_err(|error| Fault::input("thrust-coefficient", error.to_string())))
        .transpose()?;
    let options = ReduceOptions { threshold, throats_m, propellant_kg, thrust_coefficient };
    let reduction = trace::reduce(&record, &options)
        .map_err(|error| Fault::input("file", format!("{shown}: {error}")))?;
    let mut value = serde_json::to_value(&reduction).unwrap_or_default();
    if let Some(map) = value.as_object_mut() {
        map.insert("schema".to_owned(), json::SCHEMA.into());
    }
    print(|| value.clone(), || text::trace(&shown.to_string(), &value), choices, environment)
}
