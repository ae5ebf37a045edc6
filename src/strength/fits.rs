//! Interference fits and shrinking.

use serde::Serialize;

use super::InputError;
use crate::design::error::{not_negative, poissons_ratio, positive};
use crate::quantity::{Length, Quantity, Stress};

/// What is known of a fit; the rest is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FitLoad {
    /// The DIAMETRAL interference (twice the radial one).
    Interference(Length),
    /// The hoop stress wanted at the hub's bore.
    HubBoreHoop(Stress),
}

/// A hub pressed or shrunk on a shaft or sleeve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressFitInput {
    /// Diameter of the joint.
    pub diameter: Length,
    /// Outside diameter of the hub.
    pub hub_od: Length,
    /// Bore of the shaft; zero when solid.
    pub shaft_id: Length,
    /// What is known.
    pub load: FitLoad,
    /// Modulus of the hub.
    pub hub_modulus: Stress,
    /// Poisson's ratio of the hub.
    pub hub_poisson: f64,
    /// Modulus of the shaft.
    pub shaft_modulus: Stress,
    /// Poisson's ratio of the shaft.
    pub shaft_poisson: f64,
}

/// Pressure and stresses of a fit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PressFit {
    /// Contact pressure.
    pub contact_pressure_pa: Stress,
    /// DIAMETRAL interference.
    pub interference_m: Length,
    /// Hoop stress at the hub's bore (tension).
    pub hub_bore_hoop_pa: Stress,
    /// Hoop stress at the shaft's bore, or in a solid shaft (compression, negative).
    pub shaft_bore_hoop_pa: Stress,
}

/// Contact pressure and stresses of an interference fit, unlike metals allowed.
///
/// Formula: with d the joint, D the hub outside, b the shaft bore,
/// interference = p d ((1/Eh)((D^2 + d^2)/(D^2 - d^2) + nuh) + (1/Es)((d^2 + b^2)/(d^2 - b^2) - nus));
/// hub bore hoop = p (D^2 + d^2)/(D^2 - d^2); shaft bore hoop = -2 p d^2/(d^2 - b^2), or -p when solid.
/// Arguments: [`PressFitInput`]; the interference is DIAMETRAL.
/// Valid while both stay elastic, open ends, same length; roughness loss and spin are not in it.
/// Errors: diameters out of order, values not above zero.
/// Source: Lamé, built-up cylinders (Timoshenko, Strength of Materials Part II).
///
/// ```
/// use proofmark::quantity::{Length, Quantity, Stress};
/// use proofmark::strength::fits::{FitLoad, PressFitInput, press_fit};
/// let at = press_fit(&PressFitInput { // radii 4, 6, 8 in; 0.005 in radial
///     diameter: Length::inches(12.0), hub_od: Length::inches(16.0), shaft_id: Length::inches(8.0),
///     load: FitLoad::Interference(Length::inches(0.010)),
///     hub_modulus: Stress::ksi(30_000.0), hub_poisson: 0.3,
///     shaft_modulus: Stress::ksi(30_000.0), shaft_poisson: 0.3,
/// })?;
/// assert!((at.contact_pressure_pa.as_mpa() / 6.894_757 - 4.0509).abs() < 1e-3); // ksi
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn press_fit(fit: &PressFitInput) -> Result<PressFit, InputError> {
    let d_m = positive("diameter", fit.diameter)?;
    let hub_m = positive("hub_od", fit.hub_od)?;
    let bore_m = not_negative("shaft_id", fit.shaft_id)?;
    let (hub_pa, shaft_pa) =
        (positive("hub_modulus", fit.hub_modulus)?, positive("shaft_modulus", fit.shaft_modulus)?);
    let hub_nu = poissons_ratio("hub_poisson", fit.hub_poisson)?;
    let shaft_nu = poissons_ratio("shaft_poisson", fit.shaft_poisson)?;
    if hub_m <= d_m {
        let accepted = format!("an outside diameter above the joint, {:.4} mm", d_m * 1e3);
        return Err(InputError::outside("hub_od", format!("{:.4} mm", hub_m * 1e3), accepted));
    }
    if bore_m >= d_m {
        let accepted = format!("a bore below the joint, {:.4} mm; 0 for a solid shaft", d_m * 1e3);
        return Err(InputError::outside("shaft_id", format!("{:.4} mm", bore_m * 1e3), accepted));
    }
    let (d2, hub2, bore2) = (d_m * d_m, hub_m * hub_m, bore_m * bore_m);
    let hub_ratio = (hub2 + d2) / (hub2 - d2);
    let shaft_ratio = (d2 + bore2) / (d2 - bore2);
    let per_pa_m = d_m * ((hub_ratio + hub_nu) / hub_pa + (shaft_ratio - shaft_nu) / shaft_pa);
    let p_pa = match fit.load {
        FitLoad::Interference(interference) => positive("interference", interference)? / per_pa_m,
        FitLoad::HubBoreHoop(hoop) => positive("hub_bore_hoop", hoop)? / hub_ratio,
    };
    let shaft_hoop_pa = if bore_m > 0.0 { -2.0 * p_pa * d2 / (d2 - bore2) } else { -p_pa };
    Ok(PressFit {
        contact_pressure_pa: Stress::from_si(p_pa),
        interference_m: Length::from_si(p_pa * per_pa_m),
        hub_bore_hoop_pa: Stress::from_si(p_pa * hub_ratio),
        shaft_bore_hoop_pa: Stress::from_si(shaft_hoop_pa),
    })
}

/// Temperature rise that opens a fit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShrinkTemperature {
    /// Kelvin above the other part.
    pub temperature_rise_k: f64,
}

/// The temperature difference that lets a hub slip over its shaft.
///
/// Formula: rise = (interference + clearance)/(alpha d), interference DIAMETRAL.
/// Arguments: joint diameter; diametral interference; expansion per kelvin, 1e-7 to 1e-4; clearance wanted
/// on diameter. Valid for even heating and an expansion that holds over the rise; a heat-treated aluminium
/// part must stay below its over-heat threshold. Errors: values out of range.
/// Source: definition of thermal expansion.
///
/// ```
/// use proofmark::quantity::Length;
/// let at = proofmark::strength::fits::shrink_temperature(
///     Length::mm(250.0), Length::mm(0.09588), 1.17e-5, Length::mm(0.0))?;
/// assert!((at.temperature_rise_k - 32.8).abs() < 0.05);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn shrink_temperature(
    diameter: Length,
    interference: Length,
    expansion_per_k: f64,
    clearance: Length,
) -> Result<ShrinkTemperature, InputError> {
    let d_m = positive("diameter", diameter)?;
    let gap_m = positive("interference", interference)? + not_negative("clearance", clearance)?;
    let alpha = crate::design::error::within(
        "expansion",
        expansion_per_k,
        1e-7,
        1e-4,
        "an expansion per kelvin from 1e-7 to 1e-4, aluminium 2.36e-5, steel 1.17e-5",
    )?;
    Ok(ShrinkTemperature { temperature_rise_k: gap_m / (alpha * d_m) })
}
