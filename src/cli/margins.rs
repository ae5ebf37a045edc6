//! `margins`: which failure mode is thinnest, of a casing on record or only on paper, and what if.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgGroup, ArgMatches, Command, value_parser};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::book::{Answers, Problem};
use crate::design::Design;
use crate::desk::what_if::{WhatIf, meop_kept, read_design};
use crate::quantity::{GaugePressure, Length, Quantity, Typed, parse_number};
use crate::report::{json, text};
use crate::standing::RuleSet;
use crate::standing::assessment::Spot;
use crate::strength::{self, LocalState, change};

pub(super) fn command() -> Command {
    Command::new("margins")
        .about("Which failure mode is thinnest, by how much, and which dimension to change")
        .after_help(
            "What if: --set aft.edge=\"10.5 mm\", --pit \"0.3 mm\" --at \"250 mm\", --hardness 74. Nothing is written.",
        )
        .arg(Arg::new("serial").value_name("SERIAL").required_unless_present("design"))
        .arg(
            Arg::new("design")
                .long("design")
                .value_name("FILE.toml")
                .value_parser(value_parser!(PathBuf))
                .conflicts_with("serial")
                .help("A casing on paper"),
        )
        .arg(
            Arg::new("pressure")
                .long("pressure")
                .value_name("P")
                .help("Judge at this pressure above the atmosphere, instead of MEOP"),
        )
        .arg(
            Arg::new("set")
                .long("set")
                .value_name("FIELD=VALUE")
                .action(ArgAction::Append)
                .help("What if this field of the design were another: tube.wall=\"2 mm\""),
        )
        .arg(Arg::new("pit").long("pit").value_name("DEPTH").help("What if there were a pit or gouge of this depth"))
        .arg(Arg::new("hardness").long("hardness").value_name("HB").help("What if a spot had this Brinell hardness"))
        .group(ArgGroup::new("spot").args(["pit", "hardness"]).multiple(true))
        .arg(Arg::new("at").long("at").value_name("STATION").allow_hyphen_values(true).requires("spot").help("Where the pit or spot would be"))
}

pub(super) fn margins(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let pressure = positive::<GaugePressure>(matches, "pressure")?;
    let what_if = what_if(matches)?;
    let Subject { title, design, local, recorded, proof_pa, rules } = subject(matches, choices, environment)?;
    let before = judge(&design, pressure, &local)?;
    let (design, local) = what_if.apply(&design, &local, &recorded).map_err(Fault::Input)?;
    let margins = judge(&design, pressure, &local)?;
    let changes =
        change::changes(&design, &local).map_err(|error| Fault::input("design", error.to_string()))?;
    let kept = meop_kept(&margins, &rules, proof_pa);
    for objection in &margins.objections {
        writeln!(environment.err, "objection: {}", text::clean(objection))?;
    }
    let supposed = !what_if.is_empty();
    let value = || {
        let mut value = serde_json::to_value(&margins).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
            map.insert("meop_kept_pa".to_owned(), serde_json::to_value(kept).unwrap_or_default());
            map.insert("changes".to_owned(), serde_json::to_value(&changes).unwrap_or_default());
            if supposed {
                map.insert("what_if".to_owned(), true.into());
                map.insert("before".to_owned(), serde_json::to_value(&before).unwrap_or_default());
            }
        }
        value
    };
    let words = || {
        let mut out = text::margins(&title, &margins, choices.system);
        out.push_str(&text::margin_advice(
            &margins,
            supposed.then_some(&before),
            kept,
            proof_pa.is_some(),
            &changes,
            choices.system,
        ));
        out
    };
    if let Some(serial) = matches.get_one::<String>("serial") {
        let desk = choices.read(environment)?;
        return super::look::print_of((&desk, serial), value, words, choices, environment);
    }
    print(value, words, choices, environment)
}

fn judge(
    design: &Design,
    pressure: Option<GaugePressure>,
    local: &LocalState,
) -> Result<strength::Margins, Fault> {
    strength::margins(design, pressure, local).map_err(|error| Fault::input("design", error.to_string()))
}

/// What is judged.
struct Subject {
    title: String,
    /// The drawing, with the MEOP in force.
    design: Design,
    local: LocalState,
    recorded: Vec<Spot>,
    proof_pa: Option<f64>,
    rules: RuleSet,
}

fn subject(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<Subject, Fault> {
    if let Some(path) = matches.get_one::<PathBuf>("design") {
        let shown = path.display();
        let bytes = crate::store::regular::read(path, crate::store::regular::TEXT)
            .map_err(|error| Fault::input("design", format!("{shown} cannot be read: {error}")))?;
        let text = String::from_utf8(bytes)
            .map_err(|_| Fault::input("design", format!("{shown} is not UTF-8 text")))?;
        let (design, warnings) = read_design(&Answers::from_toml(&text)?)?;
        for warning in warnings {
            writeln!(environment.err, "warning: {}", text::clean(&warning.to_string()))?;
        }
        return Ok(Subject {
            title: shown.to_string(),
            design,
            local: LocalState::default(),
            recorded: Vec::new(),
            proof_pa: None,
            rules: RuleSet::new(),
        });
    }
    let serial = super::arguments::required(matches, "serial");
    let desk = choices.read(environment)?;
    let page = desk.casing(serial)?;
    let rules = desk.book().rules_on(page.day)?;
    let design = page
        .assessed
        .design_in_force()
        .ok_or_else(|| Fault::input("serial", format!("{serial} was not registered yet on {}", page.day)))?;
    Ok(Subject {
        title: serial.to_owned(),
        design,
        local: page.assessed.local_state(),
        proof_pa: page.assessed.proof_of_build(),
        recorded: page.assessed.spots,
        rules,
    })
}

fn positive<Q: Quantity>(matches: &ArgMatches, name: &str) -> Result<Option<Q>, Fault> {
    let Some(text) = matches.get_one::<String>(name) else { return Ok(None) };
    let typed = Typed::<Q>::parse(text, None).map_err(|error| Fault::input(name, error.to_string()))?;
    if typed.si() > 0.0 {
        Ok(Some(typed.value))
    } else {
        Err(Fault::input(name, "must be more than nothing"))
    }
}

fn what_if(matches: &ArgMatches) -> Result<WhatIf, Fault> {
    let mut set = Vec::new();
    for word in matches.get_many::<String>("set").into_iter().flatten() {
        let (field, value) = word.split_once('=').ok_or_else(|| {
            let shown = crate::book::reading::shorten(word);
            Fault::Input(vec![Problem::new(
                "set",
                format!("\"{shown}\" is not FIELD=VALUE, for example aft.edge=10.5 mm"),
            )])
        })?;
        set.push((field.trim().to_owned(), value.trim().to_owned()));
    }
    let hardness = matches
        .get_one::<String>("hardness")
        .map(|text| parse_number(text).map_err(|error| Fault::input("hardness", error.to_string())))
        .transpose()?;
    Ok(WhatIf {
        set,
        pit: positive::<Length>(matches, "pit")?,
        hardness,
        station: positive::<Length>(matches, "at")?,
    })
}
