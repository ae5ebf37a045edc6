//! One-dimensional isentropic flow of an ideal gas, forwards and backwards.

use serde::Serialize;

use super::ratio_of_heats;
use crate::design::InputError;
use crate::design::error::within;

/// What is known of the flow; the rest is worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlowKnown {
    /// Mach number.
    Mach(f64),
    /// Area over throat area, on the SUPERSONIC branch.
    AreaRatio(f64),
    /// Static over stagnation pressure, p/p0.
    PressureRatio(f64),
}

/// A state of isentropic flow.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NozzleFlow {
    /// Mach number.
    pub mach: f64,
    /// Area over throat area.
    pub area_ratio: f64,
    /// Static over stagnation pressure.
    pub pressure_ratio: f64,
    /// Static over stagnation temperature.
    pub temperature_ratio: f64,
}

/// Isentropic flow from any one of Mach number, area ratio and pressure ratio.
///
/// Formula: T/T0 = 1/(1 + (k - 1)/2 M^2); p/p0 = (T/T0)^(k/(k - 1));
/// A/A* = (1/M) ((2/(k + 1)) (1 + (k - 1)/2 M^2))^((k + 1)/(2 (k - 1))).
/// Arguments: ratio of heats k, 1.01 to 1.7; what is known: Mach number 1e-6 to 100, area ratio 1 to 1e6,
/// pressure ratio 1e-30 to below 1.
/// Valid for an ideal gas of constant k without shocks or friction; an area ratio is taken on the supersonic
/// branch. The inverse of the area ratio is solved to the last bits of a double. Errors: values outside those.
/// Source: NACA Report 1135 (1953), Eqs. 43, 44, 80 (numbers from memory).
///
/// ```
/// use proofmark::ballistics::flow::{FlowKnown, nozzle_flow};
/// let exit = nozzle_flow(1.2, FlowKnown::AreaRatio(8.0))?;
/// assert!((exit.mach - 3.1219).abs() < 1e-4 && (exit.pressure_ratio - 0.016869).abs() < 1e-6);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn nozzle_flow(ratio_of_heats_k: f64, known: FlowKnown) -> Result<NozzleFlow, InputError> {
    let k = ratio_of_heats("ratio_of_heats", ratio_of_heats_k)?;
    let mach = match known {
        FlowKnown::Mach(mach) => within("mach", mach, 1e-6, 100.0, "a Mach number above zero, up to 100")?,
        FlowKnown::AreaRatio(ratio) => supersonic_mach(
            k,
            within("area_ratio", ratio, 1.0, 1e6, "an area ratio from 1 to 1e6, exit over throat area")?,
        ),
        FlowKnown::PressureRatio(ratio) => {
            let accepted = "a pressure ratio p/p0 above zero and below 1";
            let ratio = within("pressure_ratio", ratio, 1e-30, 1.0 - 1e-12, accepted)?;
            mach_of_pressure(k, ratio)
        }
    };
    Ok(NozzleFlow {
        mach,
        area_ratio: area_ratio(k, mach),
        pressure_ratio: pressure_ratio(k, mach),
        temperature_ratio: 1.0 / (1.0 + (k - 1.0) / 2.0 * mach * mach),
    })
}

/// p/p0 at a Mach number.
pub(super) fn pressure_ratio(k: f64, mach: f64) -> f64 {
    // Through the logarithm, so that a tiny Mach number loses no digits.
    (-k / (k - 1.0) * ((k - 1.0) / 2.0 * mach * mach).ln_1p()).exp()
}

/// The pressure ratio of the throat, below which the flow is choked.
pub(super) fn critical_ratio(k: f64) -> f64 {
    pressure_ratio(k, 1.0)
}

/// The Mach number of a p/p0.
pub(super) fn mach_of_pressure(k: f64, ratio: f64) -> f64 {
    (2.0 / (k - 1.0) * (-(k - 1.0) / k * ratio.ln()).exp_m1()).sqrt()
}

fn log_area_ratio(k: f64, mach: f64) -> f64 {
    let half = (k - 1.0) / 2.0;
    (k + 1.0) / (2.0 * (k - 1.0)) * ((2.0 / (k + 1.0)).ln() + (half * mach * mach).ln_1p()) - mach.ln()
}

pub(super) fn area_ratio(k: f64, mach: f64) -> f64 {
    log_area_ratio(k, mach).exp()
}

/// The supersonic Mach number of an area ratio of one or more: Newton's step on the logarithm, kept inside a
/// bracket that closes on the root. (No root finder is among the libraries kept here, and this is all of one.)
pub(super) fn supersonic_mach(k: f64, ratio: f64) -> f64 {
    let wanted = ratio.ln();
    if wanted <= 0.0 {
        return 1.0;
    }
    let (mut low, mut high) = (1.0_f64, 2.0_f64);
    while log_area_ratio(k, high) < wanted && high < 1e9 {
        low = high;
        high *= 2.0;
    }
    // Close to the throat ln(A/A*) = (M - 1)^2 2/(k + 1).
    let mut mach = (1.0 + (wanted * (k + 1.0) / 2.0).sqrt()).clamp(low, high);
    for _ in 0..100 {
        let over = log_area_ratio(k, mach) - wanted;
        if over > 0.0 {
            high = mach;
        } else {
            low = mach;
        }
        let slope = (mach * mach - 1.0) / (mach * (1.0 + (k - 1.0) / 2.0 * mach * mach));
        let step = mach - over / slope;
        let next = if slope > 0.0 && step > low && step < high { step } else { f64::midpoint(low, high) };
        if (next - mach).abs() <= 1e-15 * mach {
            return next;
        }
        mach = next;
    }
    mach
}
