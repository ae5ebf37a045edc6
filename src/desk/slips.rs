//! A peak that differs from the plan by just what one unit differs from another: asked about, never converted.

use crate::book::details::FiringRecord;
use crate::book::{Answers, Problem};
use crate::quantity::blunder::suspect_typed;
use crate::quantity::{Dimension, STANDARD_ATMOSPHERE_PA};

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
        if let (Some(words), Some(typed), Some(planned)) = (answers.text(field), typed, planned)
            && let Some(slip) = suspect_typed(words, dimension, typed, planned)
            && slip.meant.is_some()
        {
            warnings.push(Problem::new(field, format!("{} (expected is the plan)", slip.message)));
        }
    }
}
