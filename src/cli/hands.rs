//! What the hands and gauges say: the plan of a proof, and what was measured.

use clap::{Arg, ArgMatches, Command};

use super::arguments::required;
use super::look::{print, print_of};
use super::{Choices, Environment, Fault};
use crate::quantity::{Dimension, GaugePressure, Quantity, Typed, input_unit};
use crate::report;

fn serial() -> Arg {
    Arg::new("serial").required(true).value_name("SERIAL")
}

/// The commands.
pub(super) fn commands() -> Vec<Command> {
    vec![
        Command::new("decide")
            .about("What waits for a decision: the rule trail, competing causes, and how it would stand after each")
            .arg(serial()),
        Command::new("bulge")
            .about("Read a bulge: stress against strength, what argues for which cause, which casings share a trait")
            .arg(serial()),
        Command::new("instruments").about("People and instruments: calibration, what each gauge repeats to, who signs"),
        Command::new("growth")
            .about("The growth map: stations by clock angles against birth, weld zone and hot spots, trend, roundness, taper")
            .arg(serial()),
        Command::new("proof")
            .about("Plan a proof: pressure, steps, growth to expect at every station, water to pump in (water, never gas)")
            .arg(serial())
            .arg(Arg::new("pressure").long("pressure").value_name("P").help("Another proof pressure: 6.0 MPa, 870 psi"))
            .arg(Arg::new("dial").long("dial").value_name("GAUGE").help("The dial gauge, on record: by what it repeats to")),
    ]
}

pub(super) fn instruments(choices: &Choices, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let of = choices.read(environment)?.instruments()?;
    print(
        || report::instruments::as_json(&of),
        || report::instruments::as_text(&of, choices.system),
        choices,
        environment,
    )
}

pub(super) fn bulge(serial: &str, choices: &Choices, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let of = desk.bulge(serial)?;
    print_of(
        (&desk, serial),
        || report::bulge::as_json(serial, &of),
        || report::bulge::as_text(serial, &of, choices.system),
        choices,
        environment,
    )
}

pub(super) fn decide(
    serial: &str,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let of = desk.deciding(serial)?.shown(choices.shown());
    print_of(
        (&desk, serial),
        || report::decide::as_json(&of),
        || report::decide::as_text(&of),
        choices,
        environment,
    )
}

pub(super) fn growth(
    serial: &str,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let page = desk.casing(serial)?;
    let rules = desk.book().rules_on(desk.day())?;
    let Some(map) = desk.growth_map(&page)? else {
        return Err(Fault::input("serial", format!("{serial} had no drawing on record on {}", page.day)));
    };
    print_of(
        (&desk, serial),
        || report::growth::as_json(&map, page.day, &rules),
        || report::growth::as_text(&map, page.day, &rules, choices.system),
        choices,
        environment,
    )
}

pub(super) fn proof(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let unit = input_unit(Dimension::Pressure, choices.system);
    let pressure = matches
        .get_one::<String>("pressure")
        .map(|text| {
            Typed::<GaugePressure>::parse(text, Some(unit))
                .map_err(|error| Fault::input("pressure", error.to_string()))
        })
        .transpose()?
        .map(|typed| typed.value);
    if pressure.is_some_and(|it| it.si() <= 0.0) {
        return Err(Fault::input("pressure", "must be more than nothing"));
    }
    let dial = matches.get_one::<String>("dial").map(String::as_str);
    let desk = choices.read(environment)?;
    if let Some(mark) = dial
        && desk.gauge(mark, desk.day())?.is_none()
    {
        return Err(Fault::input(
            "dial",
            format!(
                "no gauge \"{}\" is on record: proofmark log gauge registers one",
                crate::book::reading::shorten(mark)
            ),
        ));
    }
    let plan = desk.proof_plan(required(matches, "serial"), pressure, dial)?;
    print_of(
        (&desk, required(matches, "serial")),
        || report::proof::as_json(&plan),
        || report::proof::as_text(&plan, choices.system),
        choices,
        environment,
    )
}
