//! What is measured with, and who signs; the steps of a proof.

use crate::book::details::{GaugeRecord, PersonRecord, ProofStep, StudyRecord};
use crate::book::reader::Reader;
use crate::book::reading::shorten;
use crate::book::{Instrument, Role, SubjectOf};
use crate::quantity::{GaugePressure, Length, Typed, parse_number};

/// Fewer readings than this say nothing of how an instrument repeats.
const LEAST_READINGS: usize = 3;

pub(super) fn gauge(from: &mut Reader<'_>) -> Option<GaugeRecord> {
    let serial = from.serial("serial", SubjectOf::Gauge);
    let what = from.word("what", Instrument::from_word);
    let calibrated_on = from.date("calibrated_on");
    let calibration_due = from.date("calibration_due");
    if let (Some(on), Some(due)) = (calibrated_on, calibration_due)
        && due < on
    {
        from.wrong("calibration_due", format!("{due} is before the calibration of {on}"));
    }
    if calibration_due.is_none() {
        from.odd("calibration_due", "without a date its calibration never runs out in this book".to_owned());
    }
    let (least, most): (Option<Typed<Length>>, Option<Typed<Length>>) =
        (from.quantity("least"), from.positive("most"));
    if let (Some(least), Some(most)) = (&least, &most)
        && least.si() >= most.si()
    {
        from.wrong("most", "a range ends above where it begins".to_owned());
    }
    Some(GaugeRecord {
        maker: from.text("maker"),
        full_scale: from.positive("full_scale"),
        least,
        most,
        calibrated_on,
        calibration_due,
        certificate: from.text("certificate"),
        uncertainty: from.positive("uncertainty"),
        pressure_uncertainty: from.positive("pressure_uncertainty"),
        volume_uncertainty: from.positive("volume_uncertainty"),
        remark: from.text("remark"),
        serial: serial?,
        what: what?,
    })
}

pub(super) fn study(from: &mut Reader<'_>) -> Option<StudyRecord> {
    let gauge = from.known("gauge", SubjectOf::Gauge);
    let measured = from.text("measured");
    let lengths: Vec<Typed<Length>> = from.rows_of("lengths");
    if from.has("lengths") && lengths.len() < LEAST_READINGS {
        from.wrong("lengths", format!("at least {LEAST_READINGS} readings of the same place, one a row"));
        return None;
    }
    let remark = from.text("remark");
    // A reading of another place among them would make the instrument look blind, and growth look like noise.
    let mean = lengths.iter().map(Typed::si).sum::<f64>() / lengths.len().max(1) as f64;
    for length in &lengths {
        if let Some(message) = crate::book::reader::slip(
            crate::quantity::Dimension::Length,
            length.typed.as_deref(),
            length.si(),
            mean,
        ) {
            from.odd("lengths", message);
        } else if (length.si() / mean - 1.0).abs() > 0.01 {
            from.odd(
                "lengths",
                format!(
                    "{} is far from the others: was it the same place?",
                    length.typed.as_deref().unwrap_or("one")
                ),
            );
        }
    }
    StudyRecord::of(&gauge?, &measured?, lengths, remark)
}

pub(super) fn person(from: &mut Reader<'_>) -> Option<PersonRecord> {
    let name = from.text("name").map(|it| it.split_whitespace().collect::<Vec<_>>().join(" "));
    let role = from.word("role", Role::from_word);
    Some(PersonRecord {
        leaves: from.yes_no("leaves").unwrap_or(false),
        remark: from.text("remark"),
        name: name?,
        role: role?,
    })
}

/// Rows of `PRESSURE: STROKES`.
pub(super) fn steps(from: &mut Reader<'_>) -> Vec<ProofStep> {
    let mut steps: Vec<ProofStep> = Vec::new();
    let rows: Vec<String> = from.rows("steps");
    for row in rows {
        let (pressure, strokes) = match row.split_once(':') {
            Some((pressure, strokes)) => (pressure.trim(), Some(strokes.trim())),
            None => (row.trim(), None),
        };
        let pressure = match from.typed_of::<GaugePressure>(pressure) {
            Ok(pressure) if pressure.si() > 0.0 => pressure,
            Ok(_) => {
                from.wrong("steps", format!("\"{}\": a step goes up", shorten(&row)));
                continue;
            }
            Err(message) => {
                from.wrong("steps", format!("\"{}\": {message}; write 0.95 MPa: 6", shorten(&row)));
                continue;
            }
        };
        let bare = strokes.map(|words| words.trim_end_matches("strokes").trim()).filter(|it| !it.is_empty());
        let strokes = match bare.map(parse_number) {
            None => None,
            Some(Ok(count)) if (0.0..=100_000.0).contains(&count) => Some(count),
            Some(_) => {
                from.wrong(
                    "steps",
                    format!("\"{}\": strokes are a number; write 0.95 MPa: 6", shorten(&row)),
                );
                continue;
            }
        };
        if steps.last().is_some_and(|last| pressure.si() < last.pressure.si()) {
            from.wrong("steps", format!("\"{}\": a step is never lower than the one before", shorten(&row)));
        }
        steps.push(ProofStep { pressure, strokes });
    }
    steps
}
