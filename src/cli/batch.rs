//! `batch`: what a batch's firings say of its burn law. `room`: what a casing leaves room for.

use std::fmt::Write as _;

use clap::{Arg, ArgMatches, Command};

use super::look::print;
use super::predict::{asked, subject};
use super::{Choices, Environment, Fault};
use crate::ballistics::fit::{Estimate, Rests};
use crate::desk::bench::batch::{BatchPage, trusted};
use crate::desk::bench::room::{Room, room};
use crate::quantity::{
    AbsolutePressure, Impulse, Quantity, System, Temperature, parse_number, show, show_both,
};
use crate::report::{json, text};

pub(super) fn batch_command() -> Command {
    Command::new("batch")
        .about(
            "What do a batch's firings say of its burn law? Nothing is changed: the entry to log is printed",
        )
        .arg(Arg::new("name").required(true).value_name("NAME"))
}

pub(super) fn room_command() -> Command {
    Command::new("room")
        .about("How much room does this casing leave this load? Longest and most segments, smallest throat, fewest pieces")
        .arg(Arg::new("casing").long("casing").required(true).value_name("SERIAL").help("The casing on record"))
        .args(subject())
        .arg(
            Arg::new("margin")
                .long("margin")
                .value_name("X")
                .help("Keep the weakest mode's yield this many times the planned peak; the club's least when left out"),
        )
}

pub(super) fn batch(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let page = desk.batch_page(super::arguments::required(matches, "name"), desk.day())?;
    let value = || {
        let mut value = serde_json::to_value(&page).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
        }
        value
    };
    print(value, || batch_words(&page, choices.system), choices, environment)
}

fn batch_words(page: &BatchPage, system: System) -> String {
    let mut out = format!("{}\n", text::clean(&page.numbers));
    if let Some(from) = &page.numbers_from {
        let _ = writeln!(out, "  from {}", text::clean(from));
    }
    let _ = writeln!(out, "  fired {}", crate::quantity::counted(page.fired, "time"));
    for firing in &page.firings {
        let kn = firing.kn.map_or_else(|| "    -".to_owned(), |kn| format!("{:5.0}", kn[1]));
        let peak = firing
            .peak_pa
            .map_or_else(|| "-".to_owned(), |pascals| show(AbsolutePressure::from_si(pascals), system));
        let against = match (firing.peak_pa, firing.expected_pa) {
            (Some(peak), Some(expected)) => format!("{:.3} x the load's numbers", peak / expected),
            _ => String::new(),
        };
        let left = firing.left_out.as_ref().map_or_else(String::new, |why| format!("; left out: {why}"));
        let _ = writeln!(
            out,
            "  {} entry {:4} {:10} {:6} Kn {kn}  peak {peak:>13}  {against}{}",
            firing.entry.on,
            firing.entry.number,
            text::clean(&firing.casing),
            text::clean(firing.load.as_deref().unwrap_or("-")),
            text::clean(&left)
        );
    }
    if let Some(why) = &page.no_fit {
        let _ = writeln!(out, "no fit: {}", text::clean(why));
    }
    let Some(fit) = &page.fit else { return out };
    let _ = writeln!(out, "\nwhat {} of them say, with 95 % intervals", fit.firings);
    let _ = writeln!(
        out,
        "  burn-rate factor   {}  one fit of all their peaks, against the load's own numbers; {}",
        estimate(&fit.factor, 3, ""),
        rests(fit.factor_rests)
    );
    match (&fit.law, &fit.no_law) {
        (Some(law), _) => {
            let mm = Estimate {
                value: law.burn_rate_m_s.value * 1e3,
                low: law.burn_rate_m_s.low.map(|it| it * 1e3),
                high: law.burn_rate_m_s.high.map(|it| it * 1e3),
            };
            let _ = writeln!(
                out,
                "  burn rate          {}  at {}; {}",
                estimate(&mm, 2, " mm/s"),
                show(law.at_pa, system),
                rests(law.rests)
            );
            let _ = writeln!(out, "  exponent           {}", estimate(&law.exponent, 3, ""));
            if let Some(residual) = law.residual {
                let _ =
                    writeln!(out, "  scatter about it   {:.1} % of the peak, one sigma", 100.0 * residual);
            }
            if !trusted(law) {
                out.push_str(
                    "  the exponent is not bounded well enough to be taken up: only the factor is proposed\n",
                );
            }
        }
        (None, Some(why)) => {
            let _ = writeln!(out, "  no exponent: {why}");
        }
        (None, None) => {}
    }
    let _ = writeln!(
        out,
        "  holds for          Kn {:.0} to {:.0}, {} to {}; beyond that a plan extrapolates",
        fit.kn[0],
        fit.kn[1],
        show(AbsolutePressure::from_si(fit.pressure_pa[0]), system),
        show(AbsolutePressure::from_si(fit.pressure_pa[1]), system)
    );
    let _ = match page.data_k {
        Some([low, high]) if high - low < 0.05 => {
            writeln!(out, "  grain temperature  {}", show(Temperature::from_si(low), system))
        }
        Some([low, high]) => writeln!(
            out,
            "  grain temperature  {} to {}",
            show(Temperature::from_si(low), system),
            show(Temperature::from_si(high), system)
        ),
        None => writeln!(out, "  grain temperature  not on record: say it with every firing"),
    };
    if let Some(command) = &page.command {
        let _ = writeln!(
            out,
            "\nnothing is changed by this. To take it up, log a new entry of the batch:\n  {}",
            text::clean(command)
        );
    }
    out.push_str("source: least squares of ln p on ln Kn (NIST/SEMATECH e-Handbook, sections 4.1.4.1 and 4.4.3); balance (Sutton and Biblarz 7e, section 11.1)\n");
    out
}

fn estimate(it: &Estimate, digits: usize, unit: &str) -> String {
    let end = |end: Option<f64>| end.map_or_else(|| "open".to_owned(), |end| format!("{end:.digits$}"));
    format!("{:.digits$}{unit} ({} to {})", it.value, end(it.low), end(it.high))
}

const fn rests(on: Rests) -> &'static str {
    match on {
        Rests::OnTheFirings => "interval from their own scatter",
        Rests::OnAssumedScatter => "too few to show their own scatter: interval from the club's",
    }
}

pub(super) fn room_of(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let mut asked = asked(matches, Some(&desk))?;
    let rules = desk.book().rules_on(desk.day())?;
    let limits = desk.casing_limits(super::arguments::required(matches, "casing"), desk.day())?;
    let margin = matches
        .get_one::<String>("margin")
        .map(|text| parse_number(text).map_err(|error| Fault::input("margin", error.message)))
        .transpose()?;
    if asked.load.scatter.is_none() {
        asked.load.scatter = Some(desk.spread_of(&asked.load, None, &rules, desk.day())?);
    }
    let found = room(&asked.load, &limits, &rules, margin).map_err(|problem| Fault::Input(vec![problem]))?;
    let misfits: Vec<String> = limits.standing.iter().cloned().chain(limits.misfits(&asked.load)).collect();
    let value = || {
        let mut value = serde_json::to_value(&found).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
            map.insert("casing".to_owned(), limits.serial.clone().into());
            map.insert("load".to_owned(), asked.title.clone().into());
            map.insert("notes".to_owned(), misfits.clone().into());
        }
        value
    };
    let words = || {
        let title = format!("{} on {}", asked.title, limits.serial);
        let mut out = room_words(&text::clean(&title), &found, choices.system);
        for line in &misfits {
            let _ = writeln!(out, "! {}", text::clean(line));
        }
        for line in &asked.basis {
            let _ = writeln!(out, "basis: {}", text::clean(line));
        }
        out
    };
    super::look::print_of((&desk, limits.serial.as_str()), value, words, choices, environment)
}

fn room_words(title: &str, found: &Room, system: System) -> String {
    let mut out = format!(
        "{title}: planned peak {} gauge\n  it may come up to\n",
        show_both(found.peak_pressure_pa, system)
    );
    for cap in &found.caps {
        let _ = writeln!(
            out,
            "    {:>22}  {} ({})",
            show_both(cap.peak_pa, system),
            text::clean(&cap.what),
            cap.rule
        );
    }
    for answer in &found.answers {
        let _ = writeln!(out, "  {}: {}", answer.asked, text::clean(&answer.words));
        if let (Some(peak), Some(impulse)) = (answer.peak_pressure_pa, answer.impulse_ns) {
            let _ = writeln!(
                out,
                "      then {} gauge, {}",
                show_both(peak, system),
                show(Impulse::from_si(impulse), system)
            );
        }
        let _ = writeln!(out, "      limited by {}", text::clean(&answer.limited_by));
    }
    out.push_str("each answer changes one thing and leaves the rest; it was burned again to check it. Nothing is written\n");
    out
}
