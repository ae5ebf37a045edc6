//! The pressure at which burning and outflow balance.

use serde::Serialize;

use super::thrust::disc_m2;
use crate::design::InputError;
use crate::design::error::{positive, within};
use crate::quantity::{AbsolutePressure, Area, BurnRate, Density, Length, Quantity, Speed};

/// What sets a chamber's pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chamber {
    /// Burning area.
    pub burning_area: Area,
    /// Throat DIAMETER.
    pub throat: Length,
    /// Density of the propellant.
    pub density: Density,
    /// Characteristic velocity.
    pub characteristic_velocity: Speed,
    /// Burn rate at a stated ABSOLUTE pressure.
    pub burn_rate: BurnRate,
    /// Pressure exponent of the burn rate.
    pub exponent: f64,
}

/// A chamber in balance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChamberPressure {
    /// ABSOLUTE pressure.
    pub pressure_pa: AbsolutePressure,
    /// Burn rate at it.
    pub burn_rate_m_s: Speed,
    /// Burning area over throat area, Kn.
    pub area_ratio_kn: f64,
}

/// A pressure exponent the burn law stays stable with.
pub(super) fn exponent(input: &'static str, value: f64) -> Result<f64, InputError> {
    within(
        input,
        value,
        -1.0,
        0.95,
        "an exponent from -1 to 0.95, usually 0.2 to 0.6: at 1 no pressure is stable",
    )
}

/// The burn law and the balance, in SI numbers that have been checked.
#[derive(Clone, Copy, Debug)]
pub(super) struct BurnLaw {
    pub density_kg_m3: f64,
    pub cstar_m_s: f64,
    pub rate_m_s: f64,
    pub at_pa: f64,
    pub exponent: f64,
}

impl BurnLaw {
    pub(super) fn pressure_pa(&self, kn: f64) -> f64 {
        let share = kn * self.density_kg_m3 * self.cstar_m_s * self.rate_m_s / self.at_pa;
        self.at_pa * share.powf(1.0 / (1.0 - self.exponent))
    }

    pub(super) fn rate_m_s(&self, pressure_pa: f64) -> f64 {
        self.rate_m_s * (pressure_pa / self.at_pa).powf(self.exponent)
    }
}

/// The ABSOLUTE chamber pressure at which the propellant burns as much as the throat lets out.
///
/// Formula: r = r1 (p/p1)^n; p = p1 (Kn rho c* r1/p1)^(1/(1 - n)), Kn = burning area over throat area.
/// The burn rate is stored with the pressure it was measured at, so no unit hides in a coefficient.
/// Arguments: [`Chamber`]; throat DIAMETER; exponent -1 to 0.95.
/// Valid in steady burning, where the burn law was measured, without erosive burning; ignition and tail-off
/// are not in it. An error of 1 % in any factor moves the pressure by 1/(1 - n) %. Errors: values outside
/// those, a pressure that is not finite. A burn law is rarely known outside 0.5 to 15 MPa.
/// Source: Saint-Robert/Vieille burn law; Sutton and Biblarz 7e, Eqs. 11-3 and 11-5 (numbers from memory).
///
/// ```
/// use proofmark::ballistics::chamber::{Chamber, equilibrium_pressure};
/// use proofmark::quantity::{Area, Density, Length, Quantity, Speed, parse_burn_rate};
/// let at = equilibrium_pressure(&Chamber {
///     burning_area: Area::from_si(0.314), throat: Length::mm(37.88), density: Density::from_si(1800.0),
///     characteristic_velocity: Speed::from_si(1450.0),
///     burn_rate: parse_burn_rate("6.876 mm/s at 50 bar").map_err(|it| it.message)?, exponent: 0.45,
/// }).map_err(|it| it.to_string())?;
/// assert!((at.pressure_pa.as_mpa() / 5.0 - 1.0).abs() < 2e-3);
/// # Ok::<(), String>(())
/// ```
pub fn equilibrium_pressure(chamber: &Chamber) -> Result<ChamberPressure, InputError> {
    let area_m2 = positive("burning_area", chamber.burning_area)?;
    let throat_m = positive("throat", chamber.throat)?;
    let law = BurnLaw {
        density_kg_m3: positive("density", chamber.density)?,
        cstar_m_s: positive("characteristic_velocity", chamber.characteristic_velocity)?,
        rate_m_s: positive("burn_rate", chamber.burn_rate.rate)?,
        at_pa: positive("burn_rate", chamber.burn_rate.at)?,
        exponent: exponent("exponent", chamber.exponent)?,
    };
    let kn = area_m2 / disc_m2(throat_m);
    let pressure_pa = law.pressure_pa(kn);
    if !pressure_pa.is_finite() || pressure_pa > 1e9 {
        return Err(InputError::outside(
            "throat",
            format!("{:.3} mm", throat_m * 1e3),
            "a larger throat or a smaller burning area: the pressure comes out above 1 GPa",
        ));
    }
    Ok(ChamberPressure {
        pressure_pa: AbsolutePressure::from_si(pressure_pa),
        burn_rate_m_s: Speed::from_si(law.rate_m_s(pressure_pa)),
        area_ratio_kn: kn,
    })
}
