//! What a pressurised casing holds: gas against water.

use serde::Serialize;

use super::InputError;
use super::growth::{WATER_COMPRESSIBILITY_PER_PA, compressibility};
use crate::design::error::{mpa, positive, within};
use crate::quantity::{AbsolutePressure, Volume};

/// Energy a casing would let go.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StoredEnergy {
    /// Joules in gas at that pressure.
    pub gas_j: f64,
    /// Joules in water at that pressure.
    pub water_j: f64,
}

/// Energy stored in a volume of gas, and in the same volume of water.
///
/// Formula: gas = p1 V/(k - 1) (1 - (pa/p1)^((k-1)/k)), isentropic expansion to the surroundings;
/// water = beta (p1 - pa)^2 V/2.
/// Arguments: ABSOLUTE pressure inside and outside; volume; ratio of heats 1.01 to 1.7; compressibility of
/// water per pascal (`None`: [`WATER_COMPRESSIBILITY_PER_PA`]).
/// Valid for ideal gas; the strain energy of the metal is not in it. Errors: an inside pressure below the
/// outside one, values out of range.
/// Source: isentropic expansion, as UC Berkeley EHS "Calculating stored energy in a pressurized gas vessel".
///
/// ```
/// use proofmark::quantity::{AbsolutePressure, Quantity, Volume};
/// use proofmark::strength::energy::stored_energy;
/// let inside = AbsolutePressure::from_si(1000.0 * 6_894.757_293 + 101_325.0);
/// let volume = Volume::from_si(169.646 * 1.638_706_4e-5);
/// let at = stored_energy(inside, volume, AbsolutePressure::from_si(101_325.0), 1.4, None)?;
/// assert!((at.gas_j / 34_120.0 - 1.0).abs() < 5e-3 && (at.water_j / 30.38 - 1.0).abs() < 5e-3);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn stored_energy(
    pressure: AbsolutePressure,
    volume: Volume,
    ambient: AbsolutePressure,
    ratio_of_heats: f64,
    water_compressibility_per_pa: Option<f64>,
) -> Result<StoredEnergy, InputError> {
    let p1_pa = positive("pressure", pressure)?;
    let pa_pa = positive("ambient", ambient)?;
    let v_m3 = positive("volume", volume)?;
    let k =
        within("ratio_of_heats", ratio_of_heats, 1.01, 1.7, "a ratio of heats from 1.01 to 1.7, air 1.4")?;
    let beta = compressibility(water_compressibility_per_pa.unwrap_or(WATER_COMPRESSIBILITY_PER_PA))?;
    if p1_pa < pa_pa {
        return Err(InputError::outside(
            "pressure",
            format!("{} absolute", mpa(p1_pa)),
            format!("an absolute pressure at or above the ambient {}", mpa(pa_pa)),
        ));
    }
    Ok(StoredEnergy {
        gas_j: p1_pa * v_m3 / (k - 1.0) * (1.0 - (pa_pa / p1_pa).powf((k - 1.0) / k)),
        water_j: 0.5 * beta * (p1_pa - pa_pa).powi(2) * v_m3,
    })
}
