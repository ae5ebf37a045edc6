//! A peak that differs from the plan by just what one unit differs from another: asked about, never converted.

use crate::book::details::{FiringRecord, LoadRecord};
use crate::book::reading::shorten;
use crate::book::{Answers, Problem};
use crate::quantity::blunder::suspect_typed;
use crate::quantity::show::show_si;
use crate::quantity::{Dimension, Length, STANDARD_ATMOSPHERE_PA, System, Typed};

/// Warn where a firing's peak pressure, thrust or impulse looks typed in another unit than meant.
pub(super) fn odd_peaks(record: &FiringRecord, answers: &Answers, warnings: &mut Vec<Problem>) {
    let gauge = |absolute: f64| absolute - STANDARD_ATMOSPHERE_PA;
    let pairs = [
        (
            "peak_pressure",
            Dimension::Pressure,
            record.peak_pressure.as_ref().map(|it| gauge(it.si())),
            record.planned_peak.as_ref().map(|it| gauge(it.si())),
        ),
        (
            "peak_thrust",
            Dimension::Force,
            record.peak_thrust.as_ref().map(|it| it.si()),
            record.planned_thrust.as_ref().map(|it| it.si()),
        ),
        (
            "impulse",
            Dimension::Impulse,
            record.impulse.as_ref().map(|it| it.si()),
            record.planned_impulse.as_ref().map(|it| it.si()),
        ),
    ];
    for (field, dimension, typed, planned) in pairs {
        if let (Some(words), Some(typed), Some(planned)) = (answers.text(field), typed, planned) {
            far_from_plan(field, words, dimension, (typed, planned), warnings);
        }
    }
}

/// How far from its plan something goes before it is asked about, though no unit explains it.
const FAR: f64 = 3.0;

/// Warn where a firing's burn time or throat is not what its load says.
pub(super) fn odd_against_load(
    record: &FiringRecord,
    load: &LoadRecord,
    answers: &Answers,
    warnings: &mut Vec<Problem>,
) {
    let throat = load.nozzle.as_ref().map(|it| it.throat.si());
    let length = |it: &Option<Typed<Length>>| it.as_ref().map(|it| it.si());
    let times = (record.burn_time.as_ref().map(|it| it.si()), load.burn_time.as_ref().map(|it| it.si()));
    for (field, dimension, (typed, planned)) in [
        ("burn_time", Dimension::Time, times),
        ("throat_before", Dimension::Length, (length(&record.throat_before), throat)),
        ("throat_after", Dimension::Length, (length(&record.throat_after), throat)),
    ] {
        if let (Some(words), Some(typed), Some(planned)) = (answers.text(field), typed, planned) {
            far_from_plan(field, words, dimension, (typed, planned), warnings);
        }
    }
}

fn far_from_plan(
    field: &str,
    words: &str,
    dimension: Dimension,
    (typed, planned): (f64, f64),
    warnings: &mut Vec<Problem>,
) {
    let asked = warnings.iter().any(|it| it.field == field);
    let slip = suspect_typed(words, dimension, typed, planned).filter(|slip| slip.meant.is_some());
    let ratio = typed / planned;
    if let Some(slip) = slip {
        warnings.push(Problem::new(field, format!("{} (expected is the plan)", slip.message)));
    } else if !asked && !(0.1..=FAR).contains(&ratio) {
        let times =
            if ratio > 1.0 { format!("{ratio:.1} times") } else { format!("1/{:.0} of", 1.0 / ratio) };
        warnings.push(Problem::new(
            field,
            format!(
                "{} is {times} the plan ({}): is it typed as meant?",
                shorten(words.trim()),
                show_si(planned, dimension, System::Si)
            ),
        ));
    }
}
