//! One long grain against the same propellant cut up, with the reason.

use serde::Serialize;

use crate::ballistics::{Load, Prediction, room};
use crate::book::Problem;
use crate::desk::calculators::plan;
use crate::quantity::{GaugePressure, Quantity};

/// The same propellant in one grain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OneLong {
    /// Its peak, gauge.
    pub peak_pressure_pa: GaugePressure,
    /// Kn at the start.
    pub kn_start: f64,
    /// The greatest.
    pub kn_max: f64,
    /// At the end.
    pub kn_end: f64,
    /// Why the peaks differ.
    pub reason: String,
}

/// Burn the same propellant in one long grain.
///
/// # Errors
/// There is one segment only, they differ, or the long grain cannot be burned.
pub fn one_long(load: &Load, cut: &Prediction) -> Result<OneLong, Problem> {
    let (Some(long), Some(grain)) = (room::recut(load, 1), load.grain.0.first()) else {
        return Err(Problem::new(
            "grain",
            "segments that differ cannot be put into one: give one [grain] table",
        ));
    };
    if grain.count < 2 {
        return Err(Problem::new("grain.count", "there is one segment only: nothing to compare it with"));
    }
    let long = plan(&long, None)?;
    Ok(OneLong {
        peak_pressure_pa: long.peak_pressure_pa,
        kn_start: long.kn_start,
        kn_max: long.kn_max,
        kn_end: long.kn_end,
        reason: why_one_long(&long, cut, grain.count),
    })
}

/// Why one long grain peaks higher than the same propellant cut up.
pub fn why_one_long(long: &Prediction, cut: &Prediction, count: u32) -> String {
    let rise = |plan: &Prediction| plan.kn_max / plan.kn_start.min(plan.kn_end);
    let ratio = long.peak_pressure_absolute_pa.si() / cut.peak_pressure_absolute_pa.si();
    let faces = "The core's surface grows as it burns outward; burning end faces shorten a segment and take that growth back.";
    if ratio > 1.0 {
        format!(
            "{faces} One long grain has two faces for all of it, so its Kn climbs {:.2} times ({:.0} to {:.0}); cut into {count} it moves only {:.2} times ({:.0} to {:.0}). Same propellant, {ratio:.2} times the peak.",
            rise(long),
            long.kn_start.min(long.kn_end),
            long.kn_max,
            rise(cut),
            cut.kn_start.min(cut.kn_end),
            cut.kn_max
        )
    } else {
        format!(
            "{faces} Here {count} segments begin with so much end face (Kn {:.0}) that they peak as high as one long grain does at its end (Kn {:.0}): they are short for their diameter.",
            cut.kn_start, long.kn_max
        )
    }
}
