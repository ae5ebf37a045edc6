//! A load file of `predict` as the answers of the load form, so that one file serves both.

use crate::ballistics::load::Spread;
use crate::ballistics::{Load, Prediction};
use crate::book::{Answers, Problem};
use crate::desk::calculators::plan;
use crate::quantity::{Quantity, parse_number};

/// What a prediction takes that a load on record does not keep.
const NOT_KEPT: &[&str] =
    &["ambient.", "limits.", "service.", "scatter.", "nozzle.throat_growth", "nozzle.throat_deposit"];

/// Turn the answers of a load file into what the load form takes: planned figures that are left out are worked out
/// from the load's own numbers, and what only a prediction takes is left out and named in the warnings.
///
/// `text` is the file as it stands; answers that came from it and from flags are changed in place.
///
/// # Errors
/// The load's own numbers cannot be burned, or its segments differ, which one load on record cannot say.
pub fn adapt(text: Option<&str>, answers: &mut Answers) -> Result<Vec<Problem>, Vec<Problem>> {
    let mut warnings = Vec::new();
    for field in ["nozzle.half_angle"] {
        // The form takes degrees alone.
        if let Some(angle) = answers.text(field)
            && let Some(degrees) = degrees(angle)
        {
            answers.set(field, format!("{degrees}"));
        }
    }
    let only_here: Vec<String> = answers
        .fields()
        .filter(|field| NOT_KEPT.iter().any(|it| field.starts_with(it)))
        .map(str::to_owned)
        .collect();
    if let Some(sigma) = peak_scatter(answers)
        && answers.text("peak_scatter").is_none()
    {
        answers.set("peak_scatter", format!("{:.2} %", 100.0 * sigma));
    }
    for field in &only_here {
        answers.clear(field);
    }
    let left: Vec<&str> =
        only_here.iter().filter(|it| !it.starts_with("scatter.")).map(String::as_str).collect();
    if !left.is_empty() {
        let message = "a load on record does not keep this: it was used for the figures and is left out";
        warnings.push(Problem::new(&left.join(", "), message));
    }
    let wants_figures = answers.text("peak_pressure").is_none() && answers.text("grain.count").is_some();
    if wants_figures && let Some(load) = whole_load(text, answers) {
        let figures = plan(&load?, None).map_err(|problem| vec![problem])?;
        fill(&figures, answers);
    }
    Ok(warnings)
}

/// Put the figures of a prediction into the fields of the load form that are still empty.
pub fn fill(figures: &Prediction, answers: &mut Answers) {
    let mut set = |field: &str, words: String| {
        if answers.text(field).is_none() {
            answers.set(field, words);
        }
    };
    set("peak_pressure", format!("{:.4} MPa abs", figures.peak_pressure_absolute_pa.as_mpa()));
    set("peak_thrust", format!("{:.1} N", figures.peak_thrust_n.si()));
    set("impulse", format!("{:.1} Ns", figures.impulse_ns.si()));
    set("burn_time", format!("{:.3} s", figures.burn_time_s.si()));
    set("propellant_mass", format!("{:.1} g", figures.propellant_kg.si() * 1e3));
    set("planned_by", "quasi-steady calculation".to_owned());
}

/// The load the answers describe, where they hold all of it.
fn whole_load(text: Option<&str>, answers: &Answers) -> Option<Result<Load, Vec<Problem>>> {
    const NEEDED: [&str; 9] = [
        "grain.count",
        "grain.outside_diameter",
        "grain.core",
        "grain.length",
        "propellant.density",
        "propellant.characteristic_velocity",
        "propellant.burn_rate",
        "propellant.exponent",
        "nozzle.throat",
    ];
    if NEEDED.iter().any(|field| answers.text(field).is_none()) {
        return None;
    }
    let mut load = match read(answers) {
        Ok(load) => load,
        // The form's own reader says what is wrong with it, field by field.
        Err(_) => return None,
    };
    // The ambient and the growth of the throat are in the file alone.
    if let Some(file) = text.and_then(|text| Load::from_toml(text).ok()) {
        // A load on record is planned at the temperature of its data.
        load.ambient = crate::ballistics::load::Ambient { grain_temperature: None, ..file.ambient };
        load.nozzle.throat_growth = file.nozzle.throat_growth;
        load.nozzle.throat_deposit = file.nozzle.throat_deposit;
    }
    Some(Ok(load))
}

/// A load from answers to the load form's fields, for the engine.
///
/// # Errors
/// What is missing or no value for its field, in the reader's words.
pub fn read(answers: &Answers) -> Result<Load, String> {
    let mut root = toml::Table::new();
    for field in answers.fields() {
        let (Some(words), Some((table, key))) = (answers.text(field), field.split_once('.')) else {
            continue;
        };
        let inner = root.entry(table).or_insert_with(|| toml::Value::Table(toml::Table::new()));
        if let toml::Value::Table(inner) = inner {
            inner.insert(key.to_owned(), toml::Value::String(words.to_owned()));
        }
    }
    for (table, key, words) in [("propellant", "ratio_of_heats", "1.2"), ("nozzle", "area_ratio", "6")] {
        if let Some(toml::Value::Table(inner)) = root.get_mut(table)
            && !inner.contains_key(key)
            && !inner.contains_key("exit")
        {
            inner.insert(key.to_owned(), toml::Value::String(words.to_owned()));
        }
    }
    if let Some(name) = answers.text("name") {
        root.insert("name".to_owned(), toml::Value::String(name.to_owned()));
    }
    let text = toml::to_string(&root).map_err(|error| error.to_string())?;
    Load::from_toml(&text).map_err(|error| error.to_string())
}

fn degrees(text: &str) -> Option<f64> {
    let bare = text.trim().trim_end_matches('°').trim_end_matches("degrees").trim_end_matches("deg").trim();
    parse_number(bare).ok()
}

/// One sigma of the peak from the causes a prediction's file gives.
fn peak_scatter(answers: &Answers) -> Option<f64> {
    let number = |field: &str| answers.text(field).and_then(|text| parse_number(text).ok()).unwrap_or(0.0);
    if !answers.fields().any(|field| field.starts_with("scatter.")) {
        return None;
    }
    let spread = Spread {
        burn_rate: number("scatter.burn_rate"),
        burning_area: number("scatter.burning_area"),
        characteristic_velocity: number("scatter.characteristic_velocity"),
        throat: number("scatter.throat"),
        model: number("scatter.model"),
        ..Spread::default()
    };
    let sigma = spread.peak_sigma(number("propellant.exponent"));
    (sigma.is_finite() && sigma > 0.0).then_some(sigma)
}
