//! The fields of the load bench, and the load they say.

use crate::ballistics::Load;
use crate::ballistics::load::{Ambient, Grain, Grains, Limits, Nozzle, Propellant};
use crate::ballistics::written::parse_share;
use crate::book::details::LoadRecord;
use crate::book::{Answers, Problem};
use crate::quantity::{
    Dimension, Length, Quantity, System, Typed, parse_burn_rate, parse_field, parse_number, parse_whole,
    show_both,
};
use crate::tui::widgets::live::{self, Live, LiveFields, Note};

/// What a field takes.
#[derive(Clone, Copy, PartialEq)]
enum Takes {
    Words,
    Whole,
    Number,
    Measure(Dimension),
    Rate,
    Share,
}

/// Name (as in a load file), label, what it takes, what stands for it when it is empty.
const FIELDS: &[(&str, &str, Takes, &str)] = &[
    ("load", "load", Takes::Words, "its numbers are put below"),
    ("batch", "batch", Takes::Words, "none: the numbers below as they are"),
    ("grain.count", "segments", Takes::Whole, ""),
    ("grain.length", "each long", Takes::Measure(Dimension::Length), ""),
    ("grain.core", "core dia.", Takes::Measure(Dimension::Length), ""),
    ("grain.outside_diameter", "grain dia.", Takes::Measure(Dimension::Length), ""),
    ("grain.inhibited_ends", "ends inhibited", Takes::Whole, "0, of the whole stack"),
    ("nozzle.throat", "throat dia.", Takes::Measure(Dimension::Length), ""),
    ("nozzle.throat_growth", "throat grows", Takes::Measure(Dimension::Length), "0: what if it erodes?"),
    ("nozzle.throat_deposit", "slag narrows", Takes::Measure(Dimension::Length), "0: what if slag fills it?"),
    ("nozzle.area_ratio", "exit/throat", Takes::Number, "6, areas"),
    ("nozzle.efficiency", "efficiency", Takes::Number, "1"),
    ("ambient.altitude", "altitude", Takes::Measure(Dimension::Length), "sea level"),
    (
        "ambient.grain_temperature",
        "grains at",
        Takes::Measure(Dimension::Temperature),
        "the data's temperature",
    ),
    (
        "propellant.at_temperature",
        "data at",
        Takes::Measure(Dimension::Temperature),
        "needed with \"grains at\"",
    ),
    ("propellant.temperature_sensitivity", "per degC", Takes::Share, "0.067 to 0.278 %, the cautious end"),
    ("propellant.burn_rate", "burn rate", Takes::Rate, ""),
    ("propellant.exponent", "exponent", Takes::Number, ""),
    ("propellant.density", "density", Takes::Measure(Dimension::Density), ""),
    ("propellant.characteristic_velocity", "c*", Takes::Measure(Dimension::Speed), ""),
    ("propellant.ratio_of_heats", "heat ratio", Takes::Number, "1.2"),
];

/// What is supposed here and is no part of a load on record.
pub(super) const SUPPOSED: &[&str] = &[
    "nozzle.throat_growth",
    "nozzle.throat_deposit",
    "ambient.altitude",
    "ambient.grain_temperature",
    "propellant.at_temperature",
    "propellant.temperature_sensitivity",
];

/// The fields of the load form that the bench shares, filled from a load.
pub(super) fn answers_of(load: &Load) -> Answers {
    let mut answers = Answers::new();
    if let Some(grain) = load.grain.0.first() {
        answers.set("grain.count", grain.count.to_string());
        answers.set("grain.length", length(&grain.length));
        answers.set("grain.core", length(&grain.core));
        answers.set("grain.outside_diameter", length(&grain.outside_diameter));
        if grain.inhibited_ends > 0 {
            answers.set("grain.inhibited_ends", grain.inhibited_ends.to_string());
        }
    }
    answers.set("nozzle.throat", length(&load.nozzle.throat));
    if let Some(ratio) = load.nozzle.area_ratio {
        answers.set("nozzle.area_ratio", format!("{ratio}"));
    } else if let Some(exit) = &load.nozzle.exit {
        let ratio = (exit.si() / load.nozzle.throat.si()).powi(2);
        answers.set("nozzle.area_ratio", format!("{ratio:.3}"));
    }
    if let Some(efficiency) = load.nozzle.efficiency {
        answers.set("nozzle.efficiency", format!("{efficiency}"));
    }
    let it = &load.propellant;
    let rate_mm = it.burn_rate.rate.si() * 1e3;
    answers.set(
        "propellant.burn_rate",
        format!("{} mm/s at {} MPa", short(rate_mm), short(it.burn_rate.at.as_mpa())),
    );
    answers.set("propellant.exponent", short(it.exponent));
    answers.set("propellant.density", typed(&it.density, "kg/m3"));
    answers.set("propellant.characteristic_velocity", typed(&it.characteristic_velocity, "m/s"));
    answers.set("propellant.ratio_of_heats", short(it.ratio_of_heats));
    answers
}

/// What a load that does not say enough to be burned does say.
pub(super) fn known_of(record: &LoadRecord) -> Answers {
    let mut answers = Answers::new();
    if let Some(grain) = &record.grain {
        answers.set("grain.count", grain.count.to_string());
        answers.set("grain.length", length(&grain.length));
        answers.set("grain.core", length(&grain.core));
        answers.set("grain.outside_diameter", length(&grain.outside_diameter));
    }
    if let Some(nozzle) = &record.nozzle {
        answers.set("nozzle.throat", length(&nozzle.throat));
        if let Some(ratio) = nozzle.area_ratio {
            answers.set("nozzle.area_ratio", format!("{ratio}"));
        }
    }
    answers
}

fn length(it: &Typed<Length>) -> String {
    it.typed.clone().unwrap_or_else(|| format!("{} mm", short(it.si() * 1e3)))
}

fn typed<Q: Quantity>(it: &Typed<Q>, unit: &str) -> String {
    it.typed.clone().unwrap_or_else(|| format!("{} {unit}", short(it.si())))
}

/// Six figures, without what does not count.
fn short(value: f64) -> String {
    let rounded = format!("{value:.6}");
    let rounded = rounded.trim_end_matches('0').trim_end_matches('.');
    if rounded.is_empty() { "0".to_owned() } else { rounded.to_owned() }
}

/// The fields, empty.
pub(super) fn empty(loads: &[String], batches: &[String]) -> LiveFields {
    let fields = FIELDS
        .iter()
        .map(|(name, label, takes, _)| {
            let words = match (*takes, *name) {
                (Takes::Words, "load") => loads.to_vec(),
                (Takes::Words, _) => {
                    std::iter::once("none".to_owned()).chain(batches.iter().cloned()).collect()
                }
                _ => Vec::new(),
            };
            Live::new(name, label, words)
        })
        .collect();
    LiveFields::new(fields)
}

/// Put a load's numbers into the fields.
pub(super) fn fill(fields: &mut LiveFields, answers: &Answers) {
    for (name, _, takes, _) in FIELDS {
        let kept = SUPPOSED.contains(name);
        if *takes != Takes::Words && !kept {
            fields.set(name, answers.text(name).unwrap_or(""));
        }
    }
}

/// What is typed, as answers to the load form.
pub(super) fn answers(fields: &LiveFields, system: System) -> Answers {
    let mut answers = Answers::new();
    for (name, _, takes, _) in FIELDS {
        let text = fields.text(name);
        if text.is_empty() || *takes == Takes::Words {
            continue;
        }
        let words = match takes {
            Takes::Measure(dimension) => live::with_unit(text, *dimension, None, system),
            _ => text.to_owned(),
        };
        answers.set(name, words);
    }
    answers
}

/// The load the fields say.
///
/// # Errors
/// Each field that is no value of its kind, or is needed and empty.
pub(super) fn read(fields: &LiveFields, system: System) -> Result<Load, Vec<Problem>> {
    let mut reader = Reader { fields, system, problems: Vec::new() };
    let grain = (
        reader.whole("grain.count"),
        reader.measure("grain.outside_diameter"),
        reader.measure("grain.core"),
        reader.measure("grain.length"),
    );
    let inhibited_ends = reader.may("grain.inhibited_ends", Reader::whole).unwrap_or(0);
    let throat = reader.measure("nozzle.throat");
    let throat_growth = reader.may("nozzle.throat_growth", Reader::measure);
    let throat_deposit = reader.may("nozzle.throat_deposit", Reader::measure);
    let area_ratio = reader.may("nozzle.area_ratio", Reader::number).or(Some(6.0));
    let efficiency = reader.may("nozzle.efficiency", Reader::number);
    let altitude = reader.may("ambient.altitude", Reader::measure);
    let grain_temperature = reader.may("ambient.grain_temperature", Reader::measure);
    let at_temperature = reader.may("propellant.at_temperature", Reader::measure);
    let temperature_sensitivity = reader.may("propellant.temperature_sensitivity", Reader::share);
    let burn_rate = reader.rate("propellant.burn_rate");
    let exponent = reader.number("propellant.exponent");
    let density = reader.measure("propellant.density");
    let cstar = reader.measure("propellant.characteristic_velocity");
    let ratio_of_heats = reader.may("propellant.ratio_of_heats", Reader::number).unwrap_or(1.2);
    let problems = reader.problems;
    let (
        (Some(count), Some(outside_diameter), Some(core), Some(length)),
        Some(throat),
        Some(burn_rate),
        Some(exponent),
        Some(density),
        Some(characteristic_velocity),
    ) = (grain, throat, burn_rate, exponent, density, cstar)
    else {
        return Err(problems);
    };
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(Load {
        name: None,
        grain: Grains(vec![Grain { count, outside_diameter, core, length, inhibited_ends }]),
        propellant: Propellant {
            density,
            characteristic_velocity,
            burn_rate,
            exponent,
            ratio_of_heats,
            at_temperature,
            temperature_sensitivity,
        },
        nozzle: Nozzle {
            throat,
            area_ratio,
            exit: None,
            half_angle: None,
            efficiency,
            throat_growth,
            throat_deposit,
        },
        ambient: Ambient { pressure: None, altitude, grain_temperature },
        scatter: None,
        limits: Limits::default(),
    })
}

struct Reader<'a> {
    fields: &'a LiveFields,
    system: System,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn wrong(&mut self, name: &str, message: String) {
        self.problems.push(Problem::new(name, message));
    }

    fn needed(&mut self, name: &str) -> Option<String> {
        let text = self.fields.text(name).to_owned();
        if text.is_empty() {
            self.wrong(name, "needed".to_owned());
            return None;
        }
        Some(text)
    }

    /// A field that may stay empty.
    fn may<T>(&mut self, name: &str, read: impl Fn(&mut Self, &str) -> Option<T>) -> Option<T> {
        if self.fields.text(name).is_empty() { None } else { read(self, name) }
    }

    fn whole(&mut self, name: &str) -> Option<u32> {
        let text = self.needed(name)?;
        match parse_whole(&text).map(u32::try_from) {
            Ok(Ok(number)) => Some(number),
            Ok(Err(_)) => {
                self.wrong(name, "too many".to_owned());
                None
            }
            Err(error) => {
                self.wrong(name, error.message);
                None
            }
        }
    }

    fn number(&mut self, name: &str) -> Option<f64> {
        let text = self.needed(name)?;
        parse_number(&text).map_err(|error| self.wrong(name, error.message)).ok()
    }

    fn share(&mut self, name: &str) -> Option<f64> {
        let text = self.needed(name)?;
        parse_share(&text).map_err(|message| self.wrong(name, message)).ok()
    }

    fn measure<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let text = self.needed(name)?;
        let words = live::with_unit(&text, Q::DIMENSION, None, self.system);
        match parse_field(&words, Q::DIMENSION, None, None) {
            Ok(si) => Some(Typed { value: Q::from_si(si), typed: Some(words) }),
            Err(error) => {
                self.wrong(name, error.message);
                None
            }
        }
    }

    fn rate(&mut self, name: &str) -> Option<crate::quantity::BurnRate> {
        let text = self.needed(name)?;
        parse_burn_rate(&text).map_err(|error| self.wrong(name, error.message)).ok()
    }
}

/// What stands beside each field: what is wrong with it, what was understood, or what an empty one means.
pub(super) fn write_notes(
    fields: &mut LiveFields,
    problems: &[Problem],
    batch: Option<&str>,
    system: System,
) {
    let named = fields.text("load").to_owned();
    for (field, (name, _, takes, when_empty)) in fields.fields.iter_mut().zip(FIELDS) {
        let text = field.text();
        field.note = if let Some(problem) = problems.iter().find(|it| it.field == *name) {
            Note::Wrong(problem.message.clone())
        } else if text.is_empty() {
            match (*name, *when_empty) {
                (_, "") => Note::Says("needed".to_owned()),
                (_, words) => Note::Says(words.to_owned()),
            }
        } else {
            match takes {
                Takes::Measure(dimension) => {
                    live::understood(text, *dimension, None, system).map_or(Note::None, Note::Says)
                }
                Takes::Rate => parse_burn_rate(text).map_or(Note::None, |rate| {
                    Note::Says(format!(
                        "= {} at {}",
                        show_both(rate.rate, system),
                        show_both(rate.at, system)
                    ))
                }),
                Takes::Words if *name == "load" && field.words.contains(&named) => {
                    Note::Says("on record; change what you like below".to_owned())
                }
                Takes::Words if *name == "load" => {
                    Note::Says("no such load: Right goes through them".to_owned())
                }
                Takes::Words => {
                    Note::Says(batch.unwrap_or("no such batch: Right goes through them").to_owned())
                }
                _ => Note::None,
            }
        };
    }
}
