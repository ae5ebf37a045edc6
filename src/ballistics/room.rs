//! Planning backwards: the longest segments, the most segments, the smallest throat and the fewest segments whose
//! peak stays under a limit.

use super::burn::{peak_only_pa, predict};
use super::load::Load;
use super::sensitivity::keep_exit;
use crate::design::InputError;
use crate::design::error::positive;
use crate::quantity::{GaugePressure, Length, Quantity, Typed};

/// Halvings of a bracket: 1 part in 10^12 of it.
const HALVINGS: u32 = 40;
/// The most segments asked about.
const MOST_SEGMENTS: u32 = 200;

/// Whether a load stays at or under a limit. One too feeble to choke its throat does; what is found is burned
/// again by whoever shows it, who then hears why.
fn keeps(load: &Load, limit_pa: f64) -> bool {
    peak_only_pa(load).is_ok_and(|peak| peak <= limit_pa * (1.0 + 1e-12))
}

/// The load with every segment so many times as long.
pub fn with_length(load: &Load, factor: f64) -> Load {
    let mut other = load.clone();
    for grain in &mut other.grain.0 {
        grain.length = Typed::computed(Length::from_si(grain.length.si() * factor));
    }
    other
}

/// The load with another throat in the same nozzle: the exit stays as it is.
pub fn with_throat(load: &Load, throat: Length) -> Load {
    let mut other = load.clone();
    other.nozzle.throat = Typed::computed(throat);
    keep_exit(&mut other, load);
    other
}

/// The load with another number of segments of the first kind; inhibited faces grow and fall with them.
pub fn with_count(load: &Load, count: u32) -> Load {
    let mut other = load.clone();
    if let Some(grain) = other.grain.0.first_mut() {
        let share = f64::from(grain.inhibited_ends) / f64::from(grain.count.max(1));
        grain.inhibited_ends = (share * f64::from(count)).round() as u32;
        grain.count = count;
    }
    other
}

/// The same propellant cut into another number of segments: the length of all of them together stays.
pub fn recut(load: &Load, count: u32) -> Option<Load> {
    let mut other = load.clone();
    let [grain] = other.grain.0.as_mut_slice() else { return None };
    let whole_m = grain.length.si() * f64::from(grain.count);
    // The faces of the pieces burn; what was inhibited on all of them stays so, what was on some goes by share.
    let share = f64::from(grain.inhibited_ends) / f64::from(grain.count.max(1));
    grain.inhibited_ends = (share * f64::from(count)).round() as u32;
    grain.length = Typed::computed(Length::from_si(whole_m / f64::from(count.max(1))));
    grain.count = count;
    Some(other)
}

/// By how much every segment may be longer (or must be shorter) for the peak to come to the limit, as a factor on
/// its length up to `most`; `None` where even a tenth of the length peaks higher.
///
/// Method: bisection on the engine's own peak, which rises with the length.
///
/// # Errors
/// The load itself is refused, or the limit is not above zero.
pub fn longest(load: &Load, limit: GaugePressure, most: f64) -> Result<Option<f64>, InputError> {
    predict(load)?;
    let limit_pa = positive("limit", limit)?;
    Ok(greatest(0.1, most, |factor| keeps(&with_length(load, factor), limit_pa)))
}

/// The most segments whose peak stays at or under the limit, up to `most`.
///
/// # Errors
/// As [`longest`].
pub fn most_segments(load: &Load, limit: GaugePressure, most: u32) -> Result<Option<u32>, InputError> {
    predict(load)?;
    let limit_pa = positive("limit", limit)?;
    Ok((1..=most.min(MOST_SEGMENTS)).rev().find(|count| keeps(&with_count(load, *count), limit_pa)))
}

/// The smallest throat whose peak stays at or under the limit; `None` where the widest the core allows does not.
///
/// # Errors
/// As [`longest`].
pub fn smallest_throat(load: &Load, limit: GaugePressure) -> Result<Option<Length>, InputError> {
    predict(load)?;
    let limit_pa = positive("limit", limit)?;
    let core_m = load.grain.0.iter().map(|grain| grain.core.si()).fold(f64::INFINITY, f64::min);
    let exit_m = match (&load.nozzle.exit, load.nozzle.area_ratio) {
        (Some(exit), _) => exit.si(),
        (None, Some(ratio)) => load.nozzle.throat.si() * ratio.sqrt(),
        (None, None) => core_m,
    };
    // A throat so wide that nothing chokes it keeps any limit, but is no answer: the widest that burns is.
    let widest_m = core_m.min(exit_m);
    let burns = |throat_m: f64| predict(&with_throat(load, Length::from_si(throat_m))).is_ok();
    let start_m = load.nozzle.throat.si();
    let top_m =
        if burns(widest_m) { widest_m } else { greatest(start_m, widest_m, burns).unwrap_or(start_m) };
    if !keeps(&with_throat(load, Length::from_si(top_m)), limit_pa) {
        return Ok(None);
    }
    let (mut low_m, mut high_m) = (top_m / 50.0, top_m);
    if keeps(&with_throat(load, Length::from_si(low_m)), limit_pa) {
        return Ok(Some(Length::from_si(low_m)));
    }
    for _ in 0..HALVINGS {
        let middle_m = f64::midpoint(low_m, high_m);
        if keeps(&with_throat(load, Length::from_si(middle_m)), limit_pa) {
            high_m = middle_m;
        } else {
            low_m = middle_m;
        }
    }
    Ok(Some(Length::from_si(high_m)))
}

/// The fewest segments the same propellant may be cut into with its peak at or under the limit; `None` where no
/// cut up to 40 keeps it, or where the segments differ.
///
/// # Errors
/// As [`longest`].
pub fn fewest_segments(load: &Load, limit: GaugePressure) -> Result<Option<u32>, InputError> {
    predict(load)?;
    let limit_pa = positive("limit", limit)?;
    Ok((1..=40).find(|count| recut(load, *count).is_some_and(|other| keeps(&other, limit_pa))))
}

/// The greatest value of a range that holds, where holding stops once and for all somewhere in it.
fn greatest(low: f64, high: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    if !holds(low) {
        return None;
    }
    if holds(high) {
        return Some(high);
    }
    let (mut low, mut high) = (low, high);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if holds(middle) { low = middle } else { high = middle }
    }
    Some(low)
}
