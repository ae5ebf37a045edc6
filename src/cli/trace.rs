//! `trace`: reduce a test-stand file.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::desk::after::{self, AgainstFiring, AgainstPlan, Proposals};
use crate::desk::file_source::FileSource;
use crate::desk::traces::read_options;
use crate::quantity::{Length, Mass, Typed, parse_number};
use crate::report::{after as words, json, text};
use crate::trace::{self, ReadOptions, ReduceOptions, Reduced};

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
        .arg(
            Arg::new("plan")
                .long("plan")
                .value_name("LOAD.toml")
                .value_parser(value_parser!(PathBuf))
                .conflicts_with("load")
                .help("Hold it against this load's plan (the file `predict` takes)"),
        )
        .arg(Arg::new("load").long("load").value_name("NAME").help("Hold it against this load on record"))
        .arg(
            Arg::new("casing")
                .long("casing")
                .value_name("SERIAL")
                .requires("load")
                .help("Say what the rules would say of this casing, fired with --load and this trace; nothing is logged"),
        )
        .arg(
            Arg::new("against")
                .long("against")
                .value_name("OTHER.csv")
                .value_parser(value_parser!(PathBuf))
                .help("Hold it against another firing's file, read the same way"),
        )
}

/// Read and reduce one file.
fn reduced(path: &Path, options: &ReadOptions, how: &ReduceOptions) -> Result<Reduced, Fault> {
    let shown = text::clean(&path.display().to_string());
    let fault = |error: &dyn std::fmt::Display| Fault::input("file", format!("{shown}: {error}"));
    let source = FileSource::open(path)
        .map_err(|error| Fault::input("file", text::clean(&crate::desk::paths::unreadable(path, &error))))?;
    let record = trace::read_with(&source, options, &|_, _| true).map_err(|error| fault(&error))?;
    trace::reduce_with(&record, how, &|| true).map_err(|error| fault(&error))
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
    let threshold = match matches.get_one::<String>("threshold").map(|text| text.trim()) {
        None | Some("5" | "5%" | "5 %") => 0.05,
        Some("10" | "10%" | "10 %") => 0.10,
        Some(other) => {
            return Err(Fault::input(
                "threshold",
                format!("\"{}\" is neither 5% nor 10%", crate::book::reading::shorten(other)),
            ));
        }
    };
    let shown = path.display();
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
    let how = ReduceOptions { threshold, throats_m, propellant_kg, thrust_coefficient };
    let found = reduced(path, &options, &how)?;
    let after = After::of(matches, &found, &options, &how, choices, environment)?;
    let mut value = serde_json::to_value(&found.reduction).unwrap_or_default();
    if let Some(map) = value.as_object_mut() {
        map.insert("schema".to_owned(), json::SCHEMA.into());
        after.put(map);
    }
    print(
        || value.clone(),
        || words::trace(&shown.to_string(), &value, choices.system) + &after.words(choices.system),
        choices,
        environment,
    )
}

/// What the trace is held against.
#[derive(Default)]
struct After {
    plan: Option<AgainstPlan>,
    against: Option<AgainstFiring>,
    proposals: Option<Proposals>,
}

impl After {
    fn of(
        matches: &ArgMatches,
        found: &Reduced,
        options: &ReadOptions,
        how: &ReduceOptions,
        choices: &Choices,
        environment: &Environment<'_>,
    ) -> Result<Self, Fault> {
        let mut after = Self::default();
        let wrong = |problem| Fault::Input(vec![problem]);
        if let Some(path) = matches.get_one::<PathBuf>("plan") {
            let load = super::predict::load_file(path)?;
            let name = load.name.clone().unwrap_or_else(|| path.display().to_string());
            after.plan = Some(after::against_plan(found, &load, &name).map_err(wrong)?);
        }
        if let Some(name) = matches.get_one::<String>("load") {
            let desk = choices.read(environment)?;
            let casing = matches.get_one::<String>("casing");
            if let Some(casing) = casing {
                after.proposals = Some(desk.propose(casing, name, found)?);
            }
            match desk.load_to_burn(name, desk.day()) {
                Ok(load) => after.plan = Some(after::against_plan(found, &load, name).map_err(wrong)?),
                // The rules can be asked of a load that says only its peak; a curve cannot be drawn of it.
                Err(_) if after.proposals.is_some() => {}
                Err(refusal) => return Err(refusal.into()),
            }
        }
        if let Some(path) = matches.get_one::<PathBuf>("against") {
            let other = reduced(path, options, how)?;
            after.against = Some(after::against_firing(found, &other, &path.display().to_string()));
        }
        Ok(after)
    }

    fn put(&self, map: &mut serde_json::Map<String, serde_json::Value>) {
        for (key, value) in [
            ("plan", self.plan.as_ref().map(serde_json::to_value)),
            ("against", self.against.as_ref().map(serde_json::to_value)),
            ("disposition", self.proposals.as_ref().map(serde_json::to_value)),
        ] {
            if let Some(Ok(value)) = value {
                map.insert(key.to_owned(), value);
            }
        }
    }

    fn words(&self, system: crate::quantity::System) -> String {
        let plan = self.plan.as_ref().map(|it| words::against_plan(it, system));
        let against = self.against.as_ref().map(words::against_firing);
        let proposals = self.proposals.as_ref().map(|it| words::proposals(it, system));
        [plan, against, proposals].into_iter().flatten().collect()
    }
}
