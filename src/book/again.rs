//! An entry as the answers that would write it again: whoever puts one right types only what was wrong.

use serde_json::Value;

use super::details::{BatchRecord, Details};
use super::form::Field;
use super::reading::{Phase, Reading, What};
use super::{Answers, Attested, EntryId, Kind, NewEntry, forms};
use crate::quantity::{BurnRate, Quantity};

/// The answers a form needs to write an entry again, in the words it was typed in; nothing for a kind that no form
/// writes. `number_of` gives the number a person says for an entry that is named. Who wrote it is left out: whoever
/// writes it again signs for it.
pub fn answers_of(entry: &NewEntry, number_of: &dyn Fn(EntryId) -> Option<i64>) -> Option<Answers> {
    let form = forms::form(entry.details.kind())?;
    let record = entry.details.to_json().ok()?;
    let mut answers = Answers::new();
    answers.set("on", entry.happened_on.to_string());
    if entry.date_approximate {
        answers.set("date_approximate", "yes");
    }
    if let Some(second) = &entry.second {
        answers.set("second", second.as_str());
    }
    for field in form.fields {
        let rows = match by_hand(&entry.details, field, number_of) {
            Some(rows) => rows,
            None => words_at(&record, &key_of(entry.details.kind(), field.name)).into_iter().collect(),
        };
        if !rows.is_empty() {
            answers.set_rows(field.name, rows);
        }
    }
    Some(answers)
}

/// Where the record keeps what a field asks, where that is not under the field's own name.
fn key_of(kind: Kind, field: &str) -> String {
    match (kind, field) {
        (_, "clock") => "clock_deg".to_owned(),
        (_, "nozzle.half_angle") => "nozzle.half_angle_deg".to_owned(),
        (_, "tube.yield" | "tube.ultimate") => format!("{field}_strength"),
        (Kind::Batch, field) => field.strip_prefix("propellant.").unwrap_or(field).to_owned(),
        (Kind::Firing, "breach_reason") => "breach.reason".to_owned(),
        _ => field.to_owned(),
    }
}

/// What is kept in another shape than it is asked for; an empty list where nothing is to be filled in.
fn by_hand(
    details: &Details,
    field: &Field,
    number_of: &dyn Fn(EntryId) -> Option<i64>,
) -> Option<Vec<String>> {
    let numbered = |id: EntryId| number_of(id).map_or_else(|| id.to_string(), |number| number.to_string());
    let readings = |readings: &[Reading], what: What, phase: Phase| -> Vec<String> {
        readings.iter().filter(|it| it.what == what && it.phase == phase).map(Reading::as_typed).collect()
    };
    Some(match (details, field.name) {
        (Details::Casing(it), "od") => readings(&it.readings, What::OutsideDiameter, Phase::Birth),
        (Details::Proof(it), "od_before") => readings(&it.readings, What::OutsideDiameter, Phase::Before),
        (Details::Proof(it), "od_under") => readings(&it.readings, What::OutsideDiameter, Phase::Under),
        (Details::Proof(it), "od_after") => readings(&it.readings, What::OutsideDiameter, Phase::After),
        // What the water gave is worked out again.
        (Details::Proof(it), "total_expansion" | "permanent_expansion")
            if it.water_pumped.is_some()
                && it.total_expansion.as_ref().is_some_and(|total| total.typed.is_none()) =>
        {
            Vec::new()
        }
        (Details::Proof(it), "steps") => it
            .steps
            .iter()
            .map(|step| {
                let strokes = step.strokes.map_or_else(String::new, |count| format!(": {count}"));
                let pressure = step.pressure.typed.clone();
                format!("{}{strokes}", pressure.unwrap_or_else(|| format!("{} Pa", step.pressure.si())))
            })
            .collect(),
        (Details::Load(it), "peak_scatter") => {
            it.peak_scatter.map(|share| tidy(100.0 * share)).into_iter().collect()
        }
        (Details::Load(it), "propellant.burn_rate") => {
            rate(it.propellant.as_ref().and_then(|it| it.burn_rate))
        }
        (Details::Batch(it), "propellant.burn_rate") => {
            let BatchRecord { propellant, .. } = &**it;
            rate(propellant.burn_rate)
        }
        // What the trace said is taken from the trace again.
        (Details::Firing(it), "peak_pressure") if computed(&it.peak_pressure) => Vec::new(),
        (Details::Firing(it), "peak_thrust") if computed(&it.peak_thrust) => Vec::new(),
        (Details::Firing(it), "impulse") if computed(&it.impulse) => Vec::new(),
        (Details::Firing(it), "burn_time") if computed(&it.burn_time) => Vec::new(),
        (Details::Trace(it), "firing") => vec![numbered(it.firing)],
        (Details::Trace(it), "column" | "calibration") => it
            .columns
            .iter()
            .flat_map(|words| words.split("; "))
            .filter(|word| is_line(word) == (field.name == "calibration"))
            .map(str::to_owned)
            .collect(),
        (Details::Strip(it), "firing") => it.firing.map(numbered).into_iter().collect(),
        (Details::Strip(it), "od") => readings(&it.readings, What::OutsideDiameter, Phase::After),
        (Details::Strip(it), "id") => readings(&it.readings, What::InsideDiameter, Phase::After),
        (Details::Strip(it), "hb") => readings(&it.readings, What::Hardness, Phase::After),
        (Details::Strip(it), "throats") => it
            .throats
            .iter()
            .map(|throat| throat.typed.clone().unwrap_or_else(|| format!("{} mm", throat.value.as_mm())))
            .collect(),
        (Details::Strip(it), name) if it.items.iter().any(|item| item.item == name) => it
            .items
            .iter()
            .filter(|item| item.item == name)
            .map(|item| item.outcome.word().to_owned())
            .collect(),
        (Details::Disposition(it), "loads") => joined(&it.loads),
        (Details::Disposition(it), "lifts_restriction") if !it.lifts_restriction => Vec::new(),
        (Details::Person(it), "leaves") if !it.leaves => Vec::new(),
        (Details::Part(it), "firings_before") if it.firings_before == 0 => Vec::new(),
        (Details::Study(it), "lengths") => it
            .lengths
            .iter()
            .map(|length| length.typed.clone().unwrap_or_else(|| format!("{} mm", length.value.as_mm())))
            .collect(),
        (Details::Prefire(it), "yes" | "no") => {
            let wanted = if field.name == "yes" { "attested" } else { "not in order" };
            let of_people = it.items.iter().filter(|item| item.decided_by == "person");
            let state = |item: &str| item.replace('_', " ");
            let no = Attested::No.word();
            joined(
                &of_people
                    .filter(|item| state(&item.state) == wanted || (wanted != "attested" && item.state == no))
                    .map(|item| item.item.clone())
                    .collect::<Vec<_>>(),
            )
        }
        _ => return None,
    })
}

fn computed<Q: Quantity>(value: &Option<crate::quantity::Typed<Q>>) -> bool {
    value.as_ref().is_some_and(|value| value.typed.is_none())
}

fn joined(names: &[String]) -> Vec<String> {
    if names.is_empty() { Vec::new() } else { vec![names.join(", ")] }
}

/// Whether a word of a trace is `ROLE=SLOPE,OFFSET` and not a column.
fn is_line(word: &str) -> bool {
    let rest = word.split_once('=').map_or("", |(_, rest)| rest);
    let mut numbers = rest.split([',', ';']).map(|part| part.trim().parse::<f64>().is_ok());
    numbers.next() == Some(true) && numbers.next() == Some(true) && numbers.next().is_none()
}

/// A number without the last digits that a change of unit leaves behind.
fn tidy(number: f64) -> String {
    let rounded = format!("{number:.9}");
    let short = rounded.trim_end_matches('0').trim_end_matches('.');
    if short.parse::<f64>().is_ok_and(|it| (it - number).abs() <= 1e-12 * number.abs()) {
        short.to_owned()
    } else {
        number.to_string()
    }
}

fn rate(rate: Option<BurnRate>) -> Vec<String> {
    let words = |it: BurnRate| format!("{} mm/s at {} MPa", tidy(it.rate.si() * 1e3), tidy(it.at.si() / 1e6));
    rate.map(words).into_iter().collect()
}

/// The words of a record's value under a dotted key.
fn words_at(record: &Value, key: &str) -> Option<String> {
    let value = key.split('.').try_fold(record, |value, part| value.get(part))?;
    match value {
        Value::Object(inner) => match inner.get("typed").and_then(Value::as_str) {
            Some(typed) => Some(typed.to_owned()),
            None => {
                let (unit, number) = inner.iter().next().filter(|_| inner.len() == 1)?;
                let number = number.as_f64()?;
                Some(match unit.as_str() {
                    "pa" if key == "peak_pressure" => format!("{number} Pa abs"),
                    "pa" => format!("{number} Pa"),
                    "k" => format!("{number} K"),
                    "n" => format!("{number} N"),
                    "ns" => format!("{number} Ns"),
                    "m" => format!("{} mm", tidy(number * 1e3)),
                    "m3" => format!("{} mL", tidy(number * 1e6)),
                    "m_s" => format!("{number} m/s"),
                    "kg_m3" => format!("{number} kg/m3"),
                    other => format!("{number} {other}"),
                })
            }
        },
        Value::String(words) => Some(words.clone()),
        Value::Bool(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => Some(number.to_string()),
        Value::Null | Value::Array(_) => None,
    }
}
