//! How far a sound casing grows under pressure, and how much water a proof takes.

use serde::Serialize;

use super::InputError;
use crate::design::error::{not_negative, poissons_ratio, positive, within};
use crate::design::wall::TubeSize;
use crate::quantity::{GaugePressure, Length, Quantity, Stress, Volume};

/// Compressibility of water near 20 degC, per pascal (3.17e-6 per psi; University of Washington
/// pressure-vessel manual).
pub const WATER_COMPRESSIBILITY_PER_PA: f64 = 4.6e-10;

/// The elastic constants of a tube's metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Elastic modulus.
    pub modulus: Stress,
    /// Poisson's ratio.
    pub poisson: f64,
}

impl Elastic {
    fn checked(self) -> Result<(f64, f64), InputError> {
        Ok((positive("modulus", self.modulus)?, poissons_ratio("poisson", self.poisson)?))
    }
}

/// Elastic growth of the OUTSIDE DIAMETER under inside pressure, closed ends.
///
/// Formula: growth = od p id^2 (2 - nu)/(E (od^2 - id^2)).
/// Arguments: the tube; its elastic constants; gauge pressure.
/// Valid while elastic, more than about two times sqrt(radius x wall) from an end, weld or plug (those hold
/// the tube in); a station reading that differs by more than 15 % is itself a finding. Errors: a pressure
/// below zero, constants out of range. Source: Lamé, closed ends (Timoshenko, Strength of Materials Part II).
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{GaugePressure, Length, Stress};
/// use proofmark::strength::growth::{Elastic, elastic_growth_outside};
/// let tube = TubeSize::from_two(Some(Length::inches(3.0)), None, Some(Length::inches(0.125)))?;
/// let metal = Elastic { modulus: Stress::ksi(10_000.0), poisson: 0.33 };
/// let growth = elastic_growth_outside(tube, metal, GaugePressure::mpa(9.45))?;
/// assert!((growth.as_mm() * 1e3 - 91.8).abs() < 0.1); // micrometres
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn elastic_growth_outside(
    tube: TubeSize,
    metal: Elastic,
    pressure: GaugePressure,
) -> Result<Length, InputError> {
    let (e_pa, nu) = metal.checked()?;
    let p_pa = not_negative("pressure", pressure)?;
    let (od_m, id_m) = (tube.od_m.si(), tube.id_m.si());
    let ring_m2 = od_m * od_m - id_m * id_m;
    Ok(Length::from_si(od_m * p_pa * id_m * id_m * (2.0 - nu) / (e_pa * ring_m2)))
}

/// Elastic growth of a bore's volume under inside pressure, closed ends, end caps rigid.
///
/// Formula: dV = V (2 hoop strain + axial strain) at the bore
/// = V p/(E (K^2 - 1)) (3 (1 - 2 nu) + 2 (1 + nu) K^2), K = od/id.
/// Arguments: the tube; its elastic constants; the bore volume under pressure; gauge pressure.
/// Valid while elastic; ends that bulge add to it. Errors as [`elastic_growth_outside`].
/// Source: Lamé, closed ends (Timoshenko, Strength of Materials Part II).
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{GaugePressure, Length, Quantity, Stress, Volume};
/// use proofmark::strength::growth::{Elastic, bore_volume_growth};
/// let tube = TubeSize::from_two(Some(Length::inches(4.0)), None, Some(Length::inches(0.125)))?;
/// let metal = Elastic { modulus: Stress::ksi(10_000.0), poisson: 0.33 };
/// let psi_1500 = GaugePressure::mpa(10.342_135_94);
/// let growth = bore_volume_growth(tube, metal, Volume::from_si(4343.75e-6), psi_1500)?;
/// assert!((growth.si() * 1e6 - 19.136).abs() < 0.01); // cc
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn bore_volume_growth(
    tube: TubeSize,
    metal: Elastic,
    volume: Volume,
    pressure: GaugePressure,
) -> Result<Volume, InputError> {
    let (e_pa, nu) = metal.checked()?;
    let p_pa = not_negative("pressure", pressure)?;
    let v_m3 = positive("volume", volume)?;
    let k2 = (tube.od_m.si() / tube.id_m.si()).powi(2);
    let strain = p_pa / (e_pa * (k2 - 1.0)) * (3.0 * (1.0 - 2.0 * nu) + 2.0 * (1.0 + nu) * k2);
    Ok(Volume::from_si(v_m3 * strain))
}

/// Water taken up by its own compression.
///
/// Formula: V beta p. Arguments: water volume; gauge pressure; compressibility beta per pascal, 1e-10 to
/// 1e-9 ([`WATER_COMPRESSIBILITY_PER_PA`] unless known better).
/// Valid to about 50 MPa and 5 to 40 degC (beta drifts about 5 %), with NO air: trapped air takes up far
/// more. Errors: values out of range. Source: definition of compressibility.
///
/// ```
/// use proofmark::quantity::{GaugePressure, Quantity, Volume};
/// use proofmark::strength::growth::{WATER_COMPRESSIBILITY_PER_PA, water_uptake};
/// let taken = water_uptake(Volume::from_si(1.37e-3), GaugePressure::mpa(9.9), WATER_COMPRESSIBILITY_PER_PA)?;
/// assert!((taken.si() * 1e6 - 6.24).abs() < 0.03); // cc
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn water_uptake(
    volume: Volume,
    pressure: GaugePressure,
    compressibility_per_pa: f64,
) -> Result<Volume, InputError> {
    let v_m3 = positive("volume", volume)?;
    let p_pa = not_negative("pressure", pressure)?;
    Ok(Volume::from_si(v_m3 * compressibility(compressibility_per_pa)? * p_pa))
}

pub(super) fn compressibility(per_pa: f64) -> Result<f64, InputError> {
    within(
        "water_compressibility",
        per_pa,
        1e-10,
        1e-9,
        "a compressibility from 1e-10 to 1e-9 per pascal, water 4.6e-10",
    )
}

/// What a water proof should show.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WaterExpansion {
    /// Bore volume.
    pub volume_m3: Volume,
    /// Growth of the bore by the thin-wall formula on the INSIDE radius: low.
    pub growth_thin_m3: Volume,
    /// Growth of the bore by Lamé at the bore: the one to compare with.
    pub growth_thick_m3: Volume,
    /// Water taken up by its own compression: as large as the growth.
    pub water_compression_m3: Volume,
    /// Growth of the outside diameter.
    pub outside_growth_m: Length,
}

/// The expansion a sound tube should show in a water proof, and the water's own share.
///
/// Formula: thin dV = V (p r/(E t)) (5/2 - 2 nu) with r the inside RADIUS; thick as [`bore_volume_growth`];
/// water as [`water_uptake`]; outside diameter as [`elastic_growth_outside`].
/// Arguments: the tube; inside length under pressure; gauge pressure; elastic constants; compressibility of
/// water (`None`: [`WATER_COMPRESSIBILITY_PER_PA`]).
/// Valid while elastic, end caps rigid, no air. Errors as the parts. A pump reading is growth PLUS water.
/// Source: Lamé, closed ends; thin wall as Timoshenko.
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{GaugePressure, Length, Quantity, Stress};
/// use proofmark::strength::growth::{Elastic, water_expansion};
/// let tube = TubeSize::from_two(Some(Length::inches(4.0)), None, Some(Length::inches(0.125)))?;
/// let metal = Elastic { modulus: Stress::ksi(10_000.0), poisson: 0.33 };
/// let at = water_expansion(tube, Length::inches(24.0), GaugePressure::mpa(10.342_135_94), metal, None)?;
/// assert!((at.growth_thin_m3.si() * 1e6 - 17.983).abs() < 0.01);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn water_expansion(
    tube: TubeSize,
    length: Length,
    pressure: GaugePressure,
    metal: Elastic,
    water_compressibility_per_pa: Option<f64>,
) -> Result<WaterExpansion, InputError> {
    let (e_pa, nu) = metal.checked()?;
    let p_pa = positive("pressure", pressure)?;
    let length_m = positive("length", length)?;
    let (r_m, t_m) = (tube.id_m.si() / 2.0, tube.wall_m.si());
    let v_m3 = std::f64::consts::PI * r_m * r_m * length_m;
    let volume_m3 = Volume::from_si(v_m3);
    let beta = water_compressibility_per_pa.unwrap_or(WATER_COMPRESSIBILITY_PER_PA);
    Ok(WaterExpansion {
        volume_m3,
        growth_thin_m3: Volume::from_si(v_m3 * p_pa * r_m / (e_pa * t_m) * (2.5 - 2.0 * nu)),
        growth_thick_m3: bore_volume_growth(tube, metal, volume_m3, pressure)?,
        water_compression_m3: water_uptake(volume_m3, pressure, beta)?,
        outside_growth_m: elastic_growth_outside(tube, metal, pressure)?,
    })
}

/// Total and permanent expansion from the water forced in and given back: direct expansion.
///
/// Formula: total = pumped - V beta p; permanent = pumped - returned (at no pressure no water is compressed).
/// Arguments: water inside before pumping; water forced in up to the pressure; water given back after it was
/// let off (`None`: permanent not measured); gauge pressure of the proof; beta =
/// [`WATER_COMPRESSIBILITY_PER_PA`]. Valid without air, one temperature, ends that do not move in their seals.
/// Errors: less water pumped than its own compression takes up, or more given back than went in.
/// Source: 49 CFR 180.203 and CGA C-1 (direct expansion method), from memory.
///
/// ```
/// use proofmark::quantity::{GaugePressure, Quantity, Volume};
/// let cc = |it: f64| Volume::from_si(it * 1e-6);
/// let (total, permanent) = proofmark::strength::growth::direct_expansion(
///     cc(1366.0), cc(9.13), Some(cc(8.638)), GaugePressure::mpa(9.9))?;
/// assert!((total.si() * 1e6 - 2.91).abs() < 0.01); // 6.22 cc was the water's own
/// let permanent = permanent.ok_or("not measured")?;
/// assert!((permanent.si() / total.si() - 0.169).abs() < 0.001);
/// # Ok::<(), String>(())
/// ```
pub fn direct_expansion(
    water: Volume,
    pumped: Volume,
    returned: Option<Volume>,
    pressure: GaugePressure,
) -> Result<(Volume, Option<Volume>), String> {
    let own =
        water_uptake(water, pressure, WATER_COMPRESSIBILITY_PER_PA).map_err(|error| error.to_string())?;
    let total_m3 = pumped.si() - own.si();
    if total_m3 <= 0.0 {
        return Err(format!(
            "{:.2} mL is less than the {:.2} mL that the water's own compression takes up: a slip, or a leak back through the pump",
            pumped.si() * 1e6,
            own.si() * 1e6
        ));
    }
    let permanent = match returned {
        Some(returned) if returned.si() > pumped.si() * (1.0 + 1e-9) => {
            return Err("more water came back than went in: a slip, or the water warmed up".to_owned());
        }
        Some(returned) => Some(Volume::from_si((pumped.si() - returned.si()).max(0.0))),
        None => None,
    };
    Ok((Volume::from_si(total_m3), permanent))
}
