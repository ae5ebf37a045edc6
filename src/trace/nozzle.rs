//! What thrust, pressure and throat say of each other.

use serde::Serialize;

use super::channel::ChannelReduction;
use super::error::TraceError;
use super::pressure::{BracketedPressure, PressureFromThrust, pressure_from_thrust};
use super::read::ChannelUnit;

/// The standard atmosphere, exact (ISO 2533).
const ATMOSPHERE_PA: f64 = 101_325.0;

/// Cross-checks of a firing whose throat is known.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NozzleCheck {
    /// Mean of the throat areas given.
    pub throat_area_m2: f64,
    /// Impulse over (absolute pressure integral times throat area); sound between about 1.2 and 1.65.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thrust_coefficient: Option<f64>,
    /// Absolute pressure integral times throat area over propellant mass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub characteristic_velocity_m_s: Option<f64>,
    /// Peak pressure (absolute) from peak thrust, where there is no pressure channel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_pressure_from_thrust: Option<BracketedPressure>,
    /// How it was worked out.
    pub basis: String,
}

/// Checks thrust, pressure, throat and propellant mass against each other.
///
/// With a pressure channel: `C_F = ∫F dt / (A_t ∫p dt)`, `c* = A_t ∫p dt / m`, p absolute: the measured
/// gauge integral plus one standard atmosphere over the 5 % burn time. Without: peak pressure from peak thrust
/// by [`pressure_from_thrust`], where a thrust coefficient is given.
///
/// `throats_m` is one diameter, or the one before and the one after. Valid for calibrated channels only;
/// nothing is given for volts.
///
/// Source: Sutton & Biblarz, Rocket Propulsion Elements, ch. 3 (definitions of C_F and c*).
pub fn check(
    thrust: Option<&ChannelReduction>,
    pressure: Option<&ChannelReduction>,
    throats_m: &[f64],
    thrust_coefficient: Option<f64>,
    propellant_kg: Option<f64>,
) -> Result<Option<NozzleCheck>, TraceError> {
    let Some((&before, rest)) = throats_m.split_first() else { return Ok(None) };
    if rest.len() > 1 || !throats_m.iter().all(|d| (1e-4..2.0).contains(d)) {
        return Err(TraceError::BadOption(
            "give one throat diameter, or the one before and the one after, each between 0.1 mm and 2 m"
                .to_owned(),
        ));
    }
    let after = rest.first().copied();
    let area = |d: f64| std::f64::consts::FRAC_PI_4 * d * d;
    let throat_area_m2 = f64::midpoint(area(before), area(after.unwrap_or(before)));
    let thrust = thrust.filter(|c| c.unit == ChannelUnit::N);
    let pressure = pressure.filter(|c| c.unit == ChannelUnit::Pa);
    let mut found = NozzleCheck { throat_area_m2, ..NozzleCheck::default() };
    if let Some(p) = pressure {
        let integral = p.integral + ATMOSPHERE_PA * p.at_5_percent.time_s();
        found.thrust_coefficient = thrust.map(|f| f.integral / (throat_area_m2 * integral));
        found.characteristic_velocity_m_s = propellant_kg.map(|m| throat_area_m2 * integral / m);
        "pressure integral made absolute with one standard atmosphere; mean of the throat areas"
            .clone_into(&mut found.basis);
    } else if let (Some(f), Some(coefficient)) = (thrust, thrust_coefficient) {
        let nozzle = PressureFromThrust {
            throat_before_m: before,
            throat_after_m: after,
            thrust_coefficient: coefficient,
            thrust_uncertainty: if f.peak_is_lower_bound { 0.08 } else { 0.025 },
            throat_uncertainty_m: 0.05e-3f64.min(0.1 * before),
            coefficient_uncertainty: 0.045,
        };
        found.peak_pressure_from_thrust = Some(pressure_from_thrust(f.peak, &nozzle)?);
        found.basis = format!(
            "p = F / (C_F A_t) at the peak, absolute, C_F = {coefficient:.4} as given; one standard deviation of thrust \
             {:.1} %, throat 0.05 mm, C_F 4.5 % (common practice, no source){}",
            nozzle.thrust_uncertainty * 100.0,
            if f.peak_is_lower_bound { "; the peak is a lower bound" } else { "" }
        );
    } else {
        "a throat alone says nothing: add a pressure channel, or a thrust coefficient"
            .clone_into(&mut found.basis);
    }
    Ok(Some(found))
}
