//! What drives the peak: which cause of scatter counts most, and what a small change of the plan does.

use serde::Serialize;

use super::burn::predict;
use super::load::{Load, Spread};
use crate::design::InputError;
use crate::quantity::{Length, Quantity, Typed};

/// What a hotter grain does to the pressure, per degree: the low and the high end of what is published.
///
/// Source: Sutton and Biblarz 7e, section 11.1, temperature sensitivity of pressure 0.067 to 0.278 % per degC.
pub const PRESSURE_PER_KELVIN: [f64; 2] = [0.000_67, 0.002_78];

/// What a grain hotter than its numbers does to the absolute peak at most, as a ratio; one where it is no hotter.
///
/// Formula: exp(pi dT), pi the temperature sensitivity of pressure at constant Kn: the high end of
/// [`PRESSURE_PER_KELVIN`], because no batch's own is on record.
/// Arguments: how much hotter, kelvin.
/// Source: Sutton and Biblarz, Rocket Propulsion Elements 7e, section 11.1.
///
/// ```
/// // Twenty degrees: 5.7 % more pressure at most.
/// assert!((proofmark::ballistics::sensitivity::hotter(20.0) - 1.0572).abs() < 1e-4);
/// assert_eq!(proofmark::ballistics::sensitivity::hotter(-20.0), 1.0);
/// ```
pub fn hotter(kelvin: f64) -> f64 {
    (PRESSURE_PER_KELVIN[1] * kelvin.max(0.0)).exp()
}

/// One cause of scatter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cause {
    /// What scatters.
    pub cause: &'static str,
    /// One sigma of it, relative.
    pub sigma: f64,
    /// What that does to the peak, relative.
    pub peak_sigma: f64,
    /// Its share of the variance of an ordinary peak.
    pub share: f64,
}

/// Each cause of scatter, the greatest share first.
///
/// Formula: peak ~ (rate area c*/throat^2)^(1/(1 - n)) (1 + model), so one sigma s of rate, area or c* moves it by
/// s/(1 - n), of the throat's DIAMETER by 2 s/(1 - n), of the model by s; the shares are those of the squares.
/// Source: propagation of independent errors through the balance (Sutton and Biblarz 7e, chapter 11).
pub fn causes(spread: &Spread, exponent: f64) -> Vec<Cause> {
    let parts = spread.parts(exponent);
    let whole: f64 = parts.iter().map(|part| part.powi(2)).sum();
    let named = [
        ("burn rate", spread.burn_rate),
        ("burning area", spread.burning_area),
        ("characteristic velocity", spread.characteristic_velocity),
        ("throat diameter", spread.throat),
        ("the model", spread.model),
    ];
    let mut causes: Vec<Cause> = named
        .into_iter()
        .zip(parts)
        .map(|((cause, sigma), peak_sigma)| Cause {
            cause,
            sigma,
            peak_sigma,
            share: if whole > 0.0 { peak_sigma.powi(2) / whole } else { 0.0 },
        })
        .collect();
    causes.sort_by(|one, other| other.share.total_cmp(&one.share));
    causes
}

/// What a small change of the plan does to the peak.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Swing {
    /// What changes, and by how much.
    pub change: String,
    /// The absolute peak with it over the peak without, less one; the low and high end where it is a range.
    pub peak: [f64; 2],
}

/// What small changes of the plan do to the peak, each worked out by the engine, the greatest first.
///
/// Arguments: the load. The grain's temperature is not in the burn law; what is published of it
/// ([`PRESSURE_PER_KELVIN`]) stands as a range. A change the engine refuses is left out.
///
/// # Errors
/// The load itself is refused.
pub fn swings(load: &Load) -> Result<Vec<Swing>, InputError> {
    let peak = |load: &Load| predict(load).map(|plan| plan.peak_pressure_absolute_pa.si());
    let plain = peak(load)?;
    let mut found = Vec::new();
    let mut see = |change: &str, other: Load| {
        if let Ok(other) = peak(&other) {
            let ratio = other / plain - 1.0;
            found.push(Swing { change: change.to_owned(), peak: [ratio, ratio] });
        }
    };
    let mut other = load.clone();
    other.nozzle.throat = Typed::computed(Length::from_si(load.nozzle.throat.si() - 1e-4));
    keep_exit(&mut other, load);
    see("throat 0.1 mm smaller", other);
    let mut other = load.clone();
    other.propellant.exponent += 0.02;
    see("exponent 0.02 higher", other);
    let mut other = load.clone();
    other.propellant.burn_rate.rate =
        crate::quantity::Speed::from_si(1.01 * load.propellant.burn_rate.rate.si());
    see("burn rate 1 % higher", other);
    let mut other = load.clone();
    for grain in &mut other.grain.0 {
        grain.core = Typed::computed(Length::from_si(grain.core.si() + 5e-4));
    }
    see("core 0.5 mm wider", other);
    let faces: u32 = load.grain.0.iter().map(|grain| grain.inhibited_ends).sum();
    if let (true, Some(first)) = (faces > 0, load.grain.0.iter().position(|grain| grain.inhibited_ends > 0)) {
        let mut other = load.clone();
        if let Some(grain) = other.grain.0.get_mut(first) {
            grain.inhibited_ends -= 1;
        }
        see("one inhibitor lost", other);
    }
    let [low, high] = PRESSURE_PER_KELVIN;
    found.push(Swing { change: "grain 10 degC warmer".to_owned(), peak: [10.0 * low, 10.0 * high] });
    found.sort_by(|one, other| other.peak[1].abs().total_cmp(&one.peak[1].abs()));
    Ok(found)
}

/// Another throat in the same nozzle: the exit stays as it is.
pub(super) fn keep_exit(other: &mut Load, load: &Load) {
    if let (Some(ratio), None) = (load.nozzle.area_ratio, &load.nozzle.exit) {
        let exit_m = load.nozzle.throat.si() * ratio.max(0.0).sqrt();
        if exit_m >= other.nozzle.throat.si() {
            other.nozzle.area_ratio = None;
            other.nozzle.exit = Some(Typed::computed(Length::from_si(exit_m)));
        }
    }
}
