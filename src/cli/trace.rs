//! `trace`: reduce a test-stand file.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::report::{json, text};
use crate::trace::{self, Calibration, ColumnChoice, ReadOptions, ReduceOptions};

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
}

pub(super) fn trace(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(path) = matches.get_one::<PathBuf>("file") else {
        return Err(Fault::input("file", "name the file"));
    };
    let mut options = ReadOptions::default();
    for text in matches.get_many::<String>("column").into_iter().flatten() {
        let wrong = || {
            Fault::input(
                "column",
                format!(
                    "\"{}\" is not ROLE=COL:UNIT, for example thrust=Load:lbf",
                    crate::book::reading::shorten(text)
                ),
            )
        };
        let (role, rest) = text.split_once('=').ok_or_else(wrong)?;
        let (column, unit) = match rest.rsplit_once(':') {
            Some((column, unit)) => (column, Some(unit.trim().to_owned()).filter(|unit| !unit.is_empty())),
            None => (rest, None),
        };
        if column.trim().is_empty() {
            return Err(wrong());
        }
        let choice = Some(ColumnChoice { column: column.trim().to_owned(), unit });
        match role.trim() {
            "time" => options.time = choice,
            "thrust" => options.thrust = choice,
            "pressure" => options.pressure = choice,
            _ => {
                return Err(Fault::input(
                    "column",
                    format!(
                        "\"{}\" is not one of: time, thrust, pressure",
                        crate::book::reading::shorten(role)
                    ),
                ));
            }
        }
    }
    for text in matches.get_many::<String>("calibration").into_iter().flatten() {
        let wrong = || {
            Fault::input(
                "calibration",
                format!(
                    "\"{}\" is not ROLE=SLOPE,OFFSET, for example thrust=812.5,-203.1",
                    crate::book::reading::shorten(text)
                ),
            )
        };
        let (role, line) = text.split_once('=').ok_or_else(wrong)?;
        let (slope, offset) = line.split_once([',', ';']).ok_or_else(wrong)?;
        let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        let (slope, offset) = number(slope).zip(number(offset)).ok_or_else(wrong)?;
        if slope == 0.0 {
            return Err(Fault::input("calibration", "a slope of nothing makes every reading the same"));
        }
        let calibration = Some(Calibration { slope, offset });
        match role.trim() {
            "thrust" => options.thrust_calibration = calibration,
            "pressure" => options.pressure_calibration = calibration,
            _ => {
                return Err(Fault::input(
                    "calibration",
                    format!("\"{}\" is not one of: thrust, pressure", crate::book::reading::shorten(role)),
                ));
            }
        }
    }
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
    let bytes = std::fs::read(path)
        .map_err(|error| Fault::input("file", format!("{shown} cannot be read: {error}")))?;
    let record =
        trace::read(&bytes, &options).map_err(|error| Fault::input("file", format!("{shown}: {error}")))?;
    let reduction = trace::reduce(&record, &ReduceOptions { threshold, ..ReduceOptions::default() })
        .map_err(|error| Fault::input("file", format!("{shown}: {error}")))?;
    let mut value = serde_json::to_value(&reduction).unwrap_or_default();
    if let Some(map) = value.as_object_mut() {
        map.insert("schema".to_owned(), json::SCHEMA.into());
    }
    let words = || {
        let mut out = format!("{}\n", text::clean(&shown.to_string()));
        if let Some(map) = value.as_object() {
            for (key, value) in map.iter().filter(|(key, value)| *key != "schema" && !value.is_null()) {
                let shown = match value {
                    serde_json::Value::String(text) => text::clean(text),
                    serde_json::Value::Number(number) => {
                        number.as_f64().map_or_else(|| number.to_string(), short)
                    }
                    other => text::clean(&other.to_string()),
                };
                out.push_str(&format!("  {key:28} {shown}\n"));
            }
        }
        out
    };
    print(|| value.clone(), words, choices, environment)
}

/// Six significant figures at most.
fn short(number: f64) -> String {
    let whole = number.abs().log10().floor().max(0.0) as usize;
    let text = format!("{number:.*}", 6usize.saturating_sub(whole + 1));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
