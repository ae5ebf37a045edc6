//! `predict`: what a load will do, and how far a firing may lie from it.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::ballistics::{Load, Prediction};
use crate::desk::calculators;
use crate::quantity::{GaugePressure, Length, Quantity, System, Typed, parse_whole, show, show_both};
use crate::report::{json, text};

pub(super) fn command() -> Command {
    let pressure =
        |name: &'static str, help: &'static str| Arg::new(name).long(name).value_name("P").help(help);
    Command::new("predict")
        .about("What will this load do? Kn, pressure, thrust, impulse, class, and with --draws its scatter")
        .arg(Arg::new("file").required(true).value_name("FILE.toml").value_parser(value_parser!(PathBuf)))
        .arg(Arg::new("draws").long("draws").value_name("N").help("Scatter the load this many times"))
        .arg(Arg::new("seed").long("seed").value_name("S").help("Draw from this seed; 1 when left out"))
        .arg(
            Arg::new("throat-growth")
                .long("throat-growth")
                .value_name("D")
                .help("What if the throat's diameter grows this much over the burn?"),
        )
        .arg(pressure("meop", "Give the chance of passing this MEOP, above the atmosphere"))
        .arg(pressure("proof", "Give the chance of passing this proof, above the atmosphere"))
        .arg(pressure("yield", "Give the chance of passing this yield pressure, above the atmosphere"))
}

/// Read a load file.
pub(super) fn load_file(path: &std::path::Path) -> Result<Load, Fault> {
    let shown = text::clean(&path.display().to_string());
    let bytes = std::fs::read(path)
        .map_err(|error| Fault::input("file", format!("{shown} cannot be read: {error}")))?;
    let file = String::from_utf8(bytes)
        .map_err(|_| Fault::input("file", format!("{shown} is not UTF-8 text; save it as UTF-8")))?;
    Load::from_toml(&file).map_err(|error| Fault::input("file", format!("{shown}: {error}")))
}

pub(super) fn predict(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(path) = matches.get_one::<PathBuf>("file") else {
        return Err(Fault::input("file", "name the file"));
    };
    let shown = text::clean(&path.display().to_string());
    let mut load = load_file(path)?;
    if let Some(growth) = typed::<Length>(matches, "throat-growth")? {
        load.nozzle.throat_growth = Some(growth);
    }
    if let Some(meop) = typed::<GaugePressure>(matches, "meop")? {
        load.limits.meop = Some(meop);
    }
    if let Some(proof) = typed::<GaugePressure>(matches, "proof")? {
        load.limits.proof = Some(proof);
    }
    if let Some(yields) = typed::<GaugePressure>(matches, "yield")? {
        load.limits.yield_pressure = Some(yields);
    }
    let seed = whole(matches, "seed")?.unwrap_or(1);
    let draws = whole(matches, "draws")?.map(|draws| (u32::try_from(draws).unwrap_or(u32::MAX), seed));
    let plan = calculators::plan(&load, draws).map_err(|problem| Fault::Input(vec![problem]))?;
    let value = || {
        let mut value = serde_json::to_value(&plan).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
            map.insert("load".to_owned(), load.name.clone().into());
        }
        value
    };
    let title = load.name.as_deref().map_or_else(|| shown.clone(), text::clean);
    print(value, || words(&title, &plan, choices.system), choices, environment)
}

fn typed<Q: Quantity>(matches: &ArgMatches, name: &str) -> Result<Option<Typed<Q>>, Fault> {
    matches
        .get_one::<String>(name)
        .map(|text| Typed::parse(text, None).map_err(|error| Fault::input(name, error.message)))
        .transpose()
}

fn whole(matches: &ArgMatches, name: &str) -> Result<Option<u64>, Fault> {
    matches
        .get_one::<String>(name)
        .map(|text| parse_whole(text).map_err(|error| Fault::input(name, error.message)))
        .transpose()
}

fn words(title: &str, plan: &Prediction, system: System) -> String {
    let mut out = format!("{title}: what to expect, ignition and tail-off left out\n");
    let mut row = |name: &str, value: String, note: String| {
        let line = format!("  {name:18} {value:>22}  {note}");
        let _ = writeln!(out, "{}", line.trim_end());
    };
    let absolute = show(plan.peak_pressure_absolute_pa, system);
    row("peak pressure", show_both(plan.peak_pressure_pa, system), format!("gauge; {absolute}"));
    row("mean pressure", show_both(plan.mean_pressure_pa, system), "gauge, over time".to_owned());
    row("peak thrust", show_both(plan.peak_thrust_n, system), String::new());
    row("mean thrust", show_both(plan.mean_thrust_n, system), String::new());
    let class = plan.class.as_deref().map_or_else(String::new, |class| format!("class {class}"));
    row("impulse", show(plan.impulse_ns, system), class);
    row("burn time", show(plan.burn_time_s, system), String::new());
    row("tail-off", show(plan.tail_off_s, system), "to a tenth of the pressure, after that".to_owned());
    row("propellant", show_both(plan.propellant_kg, system), String::new());
    row("specific impulse", show(plan.specific_impulse_s, system), String::new());
    let kn = format!("{:.0} / {:.0} / {:.0}", plan.kn_start, plan.kn_max, plan.kn_end);
    row("Kn", kn, "start, greatest, end".to_owned());
    row("port over throat", format!("{:.2}", plan.port_to_throat), "areas, at the start".to_owned());
    if let Some(scatter) = &plan.scatter {
        let _ = writeln!(out, "\nscatter of the peak, {} draws from seed {}", scatter.draws, scatter.seed);
        let mut row = |name: &str, value: String| {
            let _ = writeln!(out, "  {name:18} {value:>22}");
        };
        row("mean", show_both(scatter.peak_pressure_mean_pa, system));
        row("one sigma", show_both(scatter.peak_pressure_sd_pa, system));
        for quantile in &scatter.quantiles {
            row(
                &format!("{:.0} % stay under", quantile.share * 100.0),
                show_both(quantile.peak_pressure_pa, system),
            );
        }
        for (name, chance) in [
            ("over MEOP", scatter.chance_over_meop),
            ("over proof", scatter.chance_over_proof),
            ("over yield", scatter.chance_over_yield),
        ] {
            if let Some(chance) = chance {
                let resolved = 10.0 / f64::from(scatter.draws);
                let shown = if chance < resolved {
                    format!("under {:.2} %", resolved * 100.0)
                } else {
                    format!("{:.2} %", chance * 100.0)
                };
                row(name, shown);
            }
        }
    }
    for warning in &plan.warnings {
        let _ = writeln!(out, "! {}", text::clean(warning));
    }
    out.push_str("source: quasi-steady balance (Sutton and Biblarz, Rocket Propulsion Elements 7e, chapters 3 and 11)\n");
    out
}
