//! `predict`: what a load will do, and how far a firing may lie from it, on a casing where one is named.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::ballistics::load::ASSUMED_RATIO_OF_HEATS;
use crate::ballistics::load::Spread;
use crate::ballistics::sensitivity::{Swing, swings};
use crate::ballistics::{Load, Prediction};
use crate::desk::bench::batch::BatchFirings;
use crate::desk::bench::{CasingLimits, HardStartCount, chance_words, compare};
use crate::desk::{Desk, calculators};
use crate::quantity::{
    GaugePressure, Length, Quantity, System, Temperature, Typed, parse_whole, show, show_both,
};
use crate::report::{json, text};
use crate::standing::in_units::in_units;
use crate::store::regular;

pub(super) fn command() -> Command {
    let pressure =
        |name: &'static str, help: &'static str| Arg::new(name).long(name).value_name("P").help(help);
    Command::new("predict")
        .about("What will this load do? Kn, pressure, thrust, impulse, class, and with --draws its scatter")
        .after_help(
            "A file of this command and one of log load --from are the same file. With --casing its MEOP, last proof and\n\
             weakest mode are the limits, and the hard starts on record are in the scatter.",
        )
        .args(subject())
        .arg(Arg::new("casing").long("casing").value_name("SERIAL").help("Hold it against this casing on record"))
        .arg(Arg::new("draws").long("draws").value_name("N").help("Scatter the load this many times"))
        .arg(Arg::new("seed").long("seed").value_name("S").help("Draw from this seed; 1 when left out"))
        .arg(
            Arg::new("throat-growth")
                .long("throat-growth")
                .value_name("D")
                .help("What if the throat's diameter grows this much over the burn?"),
        )
        .arg(
            Arg::new("throat-deposit")
                .long("throat-deposit")
                .value_name("D")
                .conflicts_with("throat-growth")
                .help("What if slag narrows the throat's diameter by this much over the burn?"),
        )
        .arg(
            Arg::new("grain-temperature")
                .long("grain-temperature")
                .value_name("T")
                .allow_hyphen_values(true)
                .help("What if the grains are soaked at this temperature?"),
        )
        .arg(
            Arg::new("one-long")
                .long("one-long")
                .action(ArgAction::SetTrue)
                .help("Compare with the same propellant in one long grain, and say why it peaks higher"),
        )
        .arg(
            Arg::new("drives")
                .long("drives")
                .action(ArgAction::SetTrue)
                .help("Add what small changes of the plan do to the peak"),
        )
        .arg(pressure("meop", "Give the chance of passing this MEOP, above the atmosphere"))
        .arg(pressure("proof", "Give the chance of passing this proof, above the atmosphere"))
        .arg(pressure("yield", "Give the chance of passing this yield pressure, above the atmosphere"))
}

/// The load that is asked about: a file, or a name on record with a batch.
pub(super) fn subject() -> [Arg; 3] {
    [
        Arg::new("file")
            .required_unless_present("load")
            .conflicts_with("load")
            .value_name("FILE.toml")
            .value_parser(value_parser!(PathBuf)),
        Arg::new("load").long("load").value_name("NAME").help("A load on record instead of a file"),
        Arg::new("batch")
            .long("batch")
            .value_name("NAME")
            .requires("load")
            .help("With the numbers of this batch on record"),
    ]
}

/// A load that was asked about.
pub(super) struct Asked {
    /// What to call it.
    pub title: String,
    /// The load.
    pub load: Load,
    /// What its numbers rest on.
    pub basis: Vec<String>,
    /// The firings of its batch, where one was named.
    pub tested: Option<BatchFirings>,
}

/// Find the load; `desk` is there wherever the book is asked for anything.
pub(super) fn asked(matches: &ArgMatches, desk: Option<&Desk>) -> Result<Asked, Fault> {
    if let (Some(name), Some(desk)) = (matches.get_one::<String>("load"), desk) {
        let batch = matches.get_one::<String>("batch").map(String::as_str);
        let planned = desk.planned_load(name, batch, desk.day())?;
        let tested = batch.map(|batch| desk.batch_firings(batch, desk.day())).transpose()?;
        let title = match batch {
            Some(batch) => format!("{name} with batch {batch}"),
            None => name.clone(),
        };
        return Ok(Asked { title, load: planned.load, basis: planned.basis, tested });
    }
    let Some(path) = matches.get_one::<PathBuf>("file") else {
        return Err(Fault::input("file", "name the file, or --load NAME"));
    };
    let load = load_file(path)?;
    let shown = text::clean(&path.display().to_string());
    // The file was read a moment ago; what it leaves out is said.
    let told = regular::read(path, regular::TEXT)
        .is_ok_and(|bytes| String::from_utf8_lossy(&bytes).contains("ratio_of_heats"));
    let basis = if told {
        Vec::new()
    } else {
        vec![format!("ratio of heats not given: {ASSUMED_RATIO_OF_HEATS} assumed; it shapes the thrust only")]
    };
    Ok(Asked { title: load.name.clone().unwrap_or(shown), load, basis, tested: None })
}

/// Read a load file.
pub(super) fn load_file(path: &std::path::Path) -> Result<Load, Fault> {
    let shown = text::clean(&path.display().to_string());
    let bytes = regular::read(path, regular::TEXT)
        .map_err(|error| Fault::input("file", format!("{shown} cannot be read: {error}")))?;
    let file = String::from_utf8(bytes)
        .map_err(|_| Fault::input("file", format!("{shown} is not UTF-8 text; save it as UTF-8")))?;
    Load::from_toml(&file).map_err(|error| Fault::input("file", format!("{shown}: {error}")))
}

/// What the book adds to a prediction.
#[derive(Default)]
struct FromTheBook {
    limits: Option<CasingLimits>,
    hard: Option<HardStartCount>,
    notes: Vec<String>,
}

pub(super) fn predict(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let casing = matches.get_one::<String>("casing");
    let needs_book = casing.is_some() || matches.contains_id("load");
    let desk = if needs_book { Some(choices.read(environment)?) } else { None };
    let mut asked = asked(matches, desk.as_ref())?;
    let mut from = FromTheBook::default();
    if let Some(desk) = &desk {
        let rules = desk.book().rules_on(desk.day())?;
        if let Some(serial) = casing {
            let limits = desk.casing_limits(serial, desk.day())?;
            asked.load.limits = limits.as_limits();
            from.notes = limits.standing.iter().cloned().chain(limits.misfits(&asked.load)).collect();
            from.limits = Some(limits);
        }
        // A file that says how hard starts go is believed; without a word of it, the book's own count is taken.
        let stated = asked.load.scatter.is_some_and(|spread| spread.hard_start_chance > 0.0);
        if !stated || matches.contains_id("load") {
            let count = desk.hard_starts(&rules, desk.day())?;
            let spread = match asked.load.scatter {
                Some(spread) => spread,
                None => desk.spread_of(&asked.load, None, &rules, desk.day())?,
            };
            asked.load.scatter = Some(count.tail_on(spread));
            from.hard = Some(count);
        }
    }
    let Asked { title, mut load, mut basis, tested } = asked;
    if load.scatter.is_none() && matches.contains_id("draws") {
        load.scatter = Some(Spread::CLUB);
        basis.push("no [scatter] given: burn rate 3 %, area 1.5 %, c* 1 %, throat 0.5 %, model 3 % taken (common practice, no source)".to_owned());
    }
    take_flags(matches, &mut load)?;
    let seed = whole(matches, "seed")?.unwrap_or(1);
    let draws = whole(matches, "draws")?
        .map(|draws| {
            u32::try_from(draws)
                .map(|draws| (draws, seed))
                .map_err(|_| Fault::input("draws", format!("{draws} is outside: give 1 to 10,000,000 draws")))
        })
        .transpose()?;
    let mut plan = calculators::plan(&load, draws).map_err(|problem| Fault::Input(vec![problem]))?;
    plan.warnings.append(&mut from.notes);
    if let Some(words) = tested.as_ref().and_then(|tested| beyond(tested, &plan)) {
        plan.warnings.push(words);
    }
    let one_long = if matches.get_flag("one-long") {
        Some(compare::one_long(&load, &plan).map_err(|problem| Fault::Input(vec![problem]))?)
    } else {
        None
    };
    let drives = if matches.get_flag("drives") {
        swings(&load).map_err(|error| Fault::input(error.input(), error.to_string()))?
    } else {
        Vec::new()
    };
    let value = || {
        let mut value = serde_json::to_value(&plan).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
            map.insert("load".to_owned(), load.name.clone().into());
            let mut add = |key: &str, value: Option<serde_json::Value>| {
                if let Some(value) = value {
                    map.insert(key.to_owned(), value);
                }
            };
            add("basis", (!basis.is_empty()).then(|| basis.clone().into()));
            add("casing", from.limits.as_ref().and_then(|it| serde_json::to_value(it).ok()));
            add("hard_starts", from.hard.as_ref().and_then(|it| serde_json::to_value(it).ok()));
            add("one_long", one_long.as_ref().and_then(|it| serde_json::to_value(it).ok()));
            add("drives", (!drives.is_empty()).then(|| serde_json::to_value(&drives).unwrap_or_default()));
        }
        value
    };
    let title = text::clean(&title);
    let words = || {
        let mut out = words(&title, &plan, choices.system);
        limits_words(&mut out, &load, &plan, &from, choices.system);
        if let Some(long) = &one_long {
            let peak = show_both(long.peak_pressure_pa, choices.system);
            let _ = writeln!(out, "\none long grain     {peak:>22}  gauge\n  {}", long.reason);
        }
        drives_words(&mut out, &plan, &drives, choices.system);
        for line in &basis {
            let _ = writeln!(out, "basis: {}", text::clean(line));
        }
        for warning in &plan.warnings {
            let _ = writeln!(out, "! {}", text::clean(warning));
        }
        out.push_str("source: quasi-steady balance (Sutton and Biblarz, Rocket Propulsion Elements 7e, chapters 3 and 11)\n");
        out
    };
    print(value, words, choices, environment)
}

/// What the flags say over the load.
fn take_flags(matches: &ArgMatches, load: &mut Load) -> Result<(), Fault> {
    if let Some(growth) = typed::<Length>(matches, "throat-growth")? {
        load.nozzle.throat_growth = Some(growth);
        load.nozzle.throat_deposit = None;
    }
    if let Some(deposit) = typed::<Length>(matches, "throat-deposit")? {
        load.nozzle.throat_deposit = Some(deposit);
        load.nozzle.throat_growth = None;
    }
    if let Some(grain) = typed::<Temperature>(matches, "grain-temperature")? {
        load.ambient.grain_temperature = Some(grain);
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
    Ok(())
}

/// In what respect a plan goes beyond what its batch was fired at.
fn beyond(tested: &BatchFirings, plan: &Prediction) -> Option<String> {
    use crate::ballistics::fit::{Beyond, beyond};
    let Some((range, firings)) = tested.tested_kn() else {
        return Some("the batch has not been fired: every figure rests on its numbers alone".to_owned());
    };
    let side = match beyond(range, [plan.kn_start.min(plan.kn_end), plan.kn_max])? {
        Beyond::Above => "above",
        Beyond::Below => "below",
    };
    Some(format!(
        "the plan's Kn goes {side} the {:.0} to {:.0} the batch was fired at ({}): it is carried on beyond the data",
        range[0],
        range[1],
        crate::quantity::counted(firings, "firing")
    ))
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
                let counted = if scatter.hard_start_chance > 0.0 { "" } else { "  hard starts not counted" };
                row(name, format!("{shown:>22}{counted}"));
            }
        }
    }
    out
}

/// The limits of the casing with the chance of passing each.
fn limits_words(out: &mut String, load: &Load, plan: &Prediction, from: &FromTheBook, system: System) {
    let Some(spread) = load.scatter else { return };
    let over = crate::ballistics::scatter::worked_out(load, plan, &spread);
    let limits = [
        ("MEOP", &load.limits.meop, over.over_meop),
        ("last proof", &load.limits.proof, over.over_proof),
        ("yields", &load.limits.yield_pressure, over.over_yield),
    ];
    if limits.iter().all(|it| it.1.is_none()) {
        return;
    }
    let of = from.limits.as_ref().map_or_else(String::new, |it| format!(" of {}", text::clean(&it.serial)));
    let _ = writeln!(out, "\nagainst the limits{of}: the chance of passing each, worked out");
    for (name, limit, chance) in limits {
        let (Some(limit), Some(chance)) = (limit, chance) else { continue };
        let weakest = from.limits.as_ref().and_then(|it| it.weakest.as_deref()).filter(|_| name == "yields");
        let _ = writeln!(
            out,
            "  {name:18} {:>22}  {}{}",
            show_both(limit.value, system),
            // A chance that leaves hard starts out never stands without these words: it would look best where
            // nothing is known.
            if spread.hard_start_chance > 0.0 {
                format!(
                    "{}; an ordinary firing {}",
                    chance_words(chance.chance),
                    chance_words(chance.ordinary)
                )
            } else {
                format!("an ordinary firing {}; hard starts not counted", chance_words(chance.ordinary))
            },
            weakest.map_or_else(String::new, |mode| format!("; {}", text::clean(mode)))
        );
    }
    let sigma = spread.peak_sigma(load.propellant.exponent);
    let _ = writeln!(out, "  ordinary scatter   {:>21.1} %  one sigma of the peak", 100.0 * sigma);
    match &from.hard {
        Some(hard) => {
            let chance = hard.chance.map_or_else(String::new, |chance| format!("{:.2} %", 100.0 * chance));
            let _ = writeln!(out, "  hard starts        {chance:>23}  {}", hard.how);
        }
        None if spread.hard_start_chance > 0.0 => {
            let _ =
                writeln!(out, "  hard starts        {:>21.2} %  as stated", 100.0 * spread.hard_start_chance);
        }
        None => {
            let _ = writeln!(out, "  hard starts        {:>23}  not in these figures", "none");
        }
    }
}

/// What drives the peak.
fn drives_words(out: &mut String, plan: &Prediction, drives: &[Swing], system: System) {
    if let Some(scatter) = &plan.scatter {
        out.push_str("\nwhat drives the scatter\n");
        for cause in &scatter.causes {
            let _ = writeln!(
                out,
                "  {:24} {:>5.1} % of it: {:.1} % one sigma moves the peak by {:.1} %",
                cause.cause,
                100.0 * cause.share,
                100.0 * cause.sigma,
                100.0 * cause.peak_sigma
            );
        }
    }
    if !drives.is_empty() {
        out.push_str("\nwhat small changes do to the peak\n");
        for swing in drives {
            let [low, high] = swing.peak;
            let by = if low == high {
                format!("{:+.1} %", 100.0 * high)
            } else {
                format!("{:+.1} to {:+.1} %, as published", 100.0 * low, 100.0 * high)
            };
            let _ = writeln!(out, "  {:24} {by}", in_units(&swing.change, system, true));
        }
    }
}
