//! People and instruments as JSON and text.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json::SCHEMA;
use super::text::clean;
use crate::desk::instruments::{GaugeLine, Instruments};
use crate::desk::view::micrometres;
use crate::quantity::{System, show};
use crate::standing::in_units::in_units;

/// As JSON.
pub fn as_json(of: &Instruments) -> Value {
    json!({
        "schema": SCHEMA,
        "as_of": of.day.to_string(),
        "gauges": of.gauges.iter().map(|it| json!({
            "serial": it.record.serial,
            "what": it.record.what.word(),
            "maker": it.record.maker,
            "full_scale_pa": it.record.full_scale.as_ref().map(|it| it.si()),
            "least_m": it.record.least.as_ref().map(|it| it.si()),
            "most_m": it.record.most.as_ref().map(|it| it.si()),
            "calibrated_on": it.record.calibrated_on.map(|day| day.to_string()),
            "calibration_due": it.record.calibration_due.map(|day| day.to_string()),
            "out_of_calibration": it.out,
            "uncertainty_m": it.record.uncertainty.as_ref().map(|it| it.si()),
            "uncertainty_pa": it.record.pressure_uncertainty.as_ref().map(|it| it.si()),
            "uncertainty_m3": it.record.volume_uncertainty.as_ref().map(|it| it.si()),
            "repeatability_m": it.study.as_ref().map(|(study, _)| study.repeatability.si()),
            "readings": it.study.as_ref().map(|(study, _)| study.lengths.len()),
            "studies": it.studies,
            "entry": it.entry.number,
        })).collect::<Vec<_>>(),
        "people": of.people.iter().map(|it| json!({
            "name": it.record.name, "role": it.record.role.word(), "remark": it.record.remark, "entry": it.entry.number,
        })).collect::<Vec<_>>(),
    })
}

/// The range an instrument reads over, in words.
pub fn range(gauge: &GaugeLine, system: System) -> String {
    let record = &gauge.record;
    match (&record.full_scale, &record.least, &record.most) {
        (Some(full), _, _) => format!("to {}", show(full.value, system)),
        (None, Some(least), Some(most)) => {
            format!("{} to {}", show(least.value, system), show(most.value, system))
        }
        (None, None, Some(most)) => format!("to {}", show(most.value, system)),
        _ => String::new(),
    }
}

/// The stated uncertainty of an instrument, in words.
pub fn uncertainty(gauge: &GaugeLine, system: System) -> String {
    let record = &gauge.record;
    match (&record.uncertainty, &record.pressure_uncertainty, &record.volume_uncertainty) {
        (Some(it), _, _) => in_units(&micrometres(it.si()), system, true),
        (None, Some(it), _) => show(it.value, system),
        (None, None, Some(it)) => show(it.value, system),
        _ => String::new(),
    }
}

/// What an instrument repeats to, in words.
pub fn repeats(gauge: &GaugeLine, system: System) -> String {
    gauge.study.as_ref().map_or_else(
        || "no study".to_owned(),
        |(study, _)| {
            let repeats = in_units(&micrometres(study.repeatability.si()), system, true);
            format!("{repeats} over {}", study.lengths.len())
        },
    )
}

/// Whether its calibration holds, in words.
pub fn calibration(gauge: &GaugeLine) -> String {
    match (gauge.out, gauge.record.calibration_due) {
        (true, Some(due)) => format!("! ran out {due}"),
        (false, Some(due)) => format!("good until {due}"),
        _ => "no date".to_owned(),
    }
}

/// As text.
pub fn as_text(of: &Instruments, system: System) -> String {
    let mut out = format!("people and instruments as of {}\n\n", of.day);
    if of.gauges.is_empty() {
        out.push_str("no gauge is on record. Register one: proofmark log gauge --help\n");
    }
    for gauge in &of.gauges {
        let record = &gauge.record;
        let _ = writeln!(
            out,
            "{:8} {:22} {:22} {:22} repeats to {}; stated {}",
            clean(&record.serial),
            record.what,
            range(gauge, system),
            calibration(gauge),
            repeats(gauge, system),
            Some(uncertainty(gauge, system))
                .filter(|it| !it.is_empty())
                .unwrap_or_else(|| "nothing".to_owned()),
        );
    }
    out.push('\n');
    if of.people.is_empty() {
        out.push_str(
            "nobody is on the list of those who sign. Put somebody on it: proofmark log person --help\n",
        );
    }
    for person in &of.people {
        let remark =
            person.record.remark.as_deref().map_or_else(String::new, |it| format!("  {}", clean(it)));
        let _ = writeln!(out, "{:24} {}{remark}", clean(&person.record.name), person.record.role);
    }
    out
}
