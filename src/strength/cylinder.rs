//! Stress in a cylinder: thick-walled (Lamé) and thin-walled.

use serde::Serialize;

use super::InputError;
use crate::design::error::{mpa, not_negative, positive};
use crate::design::wall::TubeSize;
use crate::quantity::{GaugePressure, Length, Quantity, Stress};

/// Stresses in a thick cylinder with closed ends.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CylinderStress {
    /// Hoop stress at the bore.
    pub hoop_bore_pa: Stress,
    /// Hoop stress at the outside.
    pub hoop_outside_pa: Stress,
    /// Radial stress at the bore: minus the inside pressure.
    pub radial_bore_pa: Stress,
    /// Radial stress at the outside: minus the outside pressure.
    pub radial_outside_pa: Stress,
    /// Axial stress, closed ends.
    pub axial_closed_pa: Stress,
    /// Von Mises equivalent stress at the bore.
    pub von_mises_bore_pa: Stress,
    /// Largest shear stress at the bore.
    pub shear_bore_pa: Stress,
    /// Shear stress at the outside.
    pub shear_outside_pa: Stress,
    /// Hoop stress at the radius asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hoop_at_radius_pa: Option<Stress>,
    /// Radial stress at the radius asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub radial_at_radius_pa: Option<Stress>,
}

/// Stresses in a thick cylinder under inside and outside pressure, ends closed (Lamé).
///
/// Formula: hoop = A + B/r^2, radial = A - B/r^2, axial = A, with A = (pi ri^2 - po ro^2)/(ro^2 - ri^2) and
/// B = (pi - po) ri^2 ro^2/(ro^2 - ri^2); shear = |B|/r^2; von Mises = sqrt(3) |B|/r^2 because the axial
/// stress is the mean of the other two.
/// Arguments: the tube; gauge pressure inside and outside; a RADIUS (not a diameter) to report at.
/// Valid while the metal stays elastic and away from ends, welds and holes; above yield the numbers are
/// too high at the bore and are still given. A pressure below zero, or a radius outside the wall, is an error.
/// Source: Lamé 1833, as in Timoshenko, Strength of Materials Part II; closed ends.
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{GaugePressure, Length};
/// let tube = TubeSize::from_two(Some(Length::mm(300.0)), Some(Length::mm(200.0)), None)?;
/// let at = proofmark::strength::cylinder::cylinder(
///     tube, GaugePressure::mpa(60.0), GaugePressure::mpa(30.0), Some(Length::mm(125.0)))?;
/// assert!((at.hoop_bore_pa.as_mpa() - 48.0).abs() < 1e-9);
/// assert!((at.radial_at_radius_pa.ok_or("no radius")?.as_mpa() + 40.56).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn cylinder(
    tube: TubeSize,
    pressure: GaugePressure,
    outside_pressure: GaugePressure,
    radius: Option<Length>,
) -> Result<CylinderStress, InputError> {
    let (ri_m, ro_m) = tube.radii_m();
    let pi_pa = not_negative("pressure", pressure)?;
    let po_pa = not_negative("outside_pressure", outside_pressure)?;
    let ring_m2 = ro_m * ro_m - ri_m * ri_m;
    let a_pa = (pi_pa * ri_m * ri_m - po_pa * ro_m * ro_m) / ring_m2;
    let b_n = (pi_pa - po_pa) * ri_m * ri_m * ro_m * ro_m / ring_m2;
    let hoop = |r_m: f64| Stress::from_si(a_pa + b_n / (r_m * r_m));
    let radial = |r_m: f64| Stress::from_si(a_pa - b_n / (r_m * r_m));
    let shear = |r_m: f64| Stress::from_si(b_n.abs() / (r_m * r_m));
    let radius_m = match radius.map(|it| positive("radius", it)).transpose()? {
        Some(r_m) if r_m < ri_m * (1.0 - 1e-9) || r_m > ro_m * (1.0 + 1e-9) => {
            return Err(InputError::outside(
                "radius",
                format!("{:.4} mm", r_m * 1e3),
                format!("a radius inside the wall, {:.4} to {:.4} mm", ri_m * 1e3, ro_m * 1e3),
            ));
        }
        other => other,
    };
    Ok(CylinderStress {
        hoop_bore_pa: hoop(ri_m),
        hoop_outside_pa: hoop(ro_m),
        radial_bore_pa: Stress::from_si(-pi_pa),
        radial_outside_pa: Stress::from_si(-po_pa),
        axial_closed_pa: Stress::from_si(a_pa),
        von_mises_bore_pa: Stress::from_si(3f64.sqrt() * b_n.abs() / (ri_m * ri_m)),
        shear_bore_pa: shear(ri_m),
        shear_outside_pa: shear(ro_m),
        hoop_at_radius_pa: radius_m.map(hoop),
        radial_at_radius_pa: radius_m.map(radial),
    })
}

/// A wall chosen for a hoop stress.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CylinderWall {
    /// Wall needed.
    pub wall_m: Length,
    /// Inside diameter that leaves.
    pub id_m: Length,
    /// Hoop stress at the outside of that wall.
    pub hoop_outside_pa: Stress,
}

/// The wall that keeps the Lamé hoop stress at the bore to an allowable.
///
/// Formula: with K = od/id, S = P (K^2 + 1)/(K^2 - 1), so K = sqrt((S + P)/(S - P)); id = od/K; hoop at the
/// outside = 2P/(K^2 - 1) = S - P.
/// Arguments: OUTSIDE diameter; gauge pressure; allowable stress, any safety factor already taken off.
/// Valid for an allowable above the pressure; at or below it no wall is thick enough and an error says so.
/// No allowance for mill tolerance, corrosion or welds. Source: Lamé, as for [`cylinder`].
///
/// ```
/// use proofmark::quantity::{GaugePressure, Length, Stress};
/// use proofmark::strength::cylinder::cylinder_wall;
/// let wall = cylinder_wall(Length::mm(100.0), GaugePressure::mpa(10.0), Stress::mpa(50.0))?;
/// assert!((wall.hoop_outside_pa.as_mpa() - 40.0).abs() < 1e-9);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn cylinder_wall(
    od: Length,
    pressure: GaugePressure,
    allowable: Stress,
) -> Result<CylinderWall, InputError> {
    let (od_m, p_pa, s_pa) =
        (positive("od", od)?, positive("pressure", pressure)?, positive("allowable", allowable)?);
    if s_pa <= p_pa {
        return Err(InputError::outside(
            "allowable",
            mpa(s_pa),
            format!("a stress above the pressure, {}: no wall is thick enough otherwise", mpa(p_pa)),
        ));
    }
    let id_m = od_m / ((s_pa + p_pa) / (s_pa - p_pa)).sqrt();
    Ok(CylinderWall {
        wall_m: Length::from_si((od_m - id_m) / 2.0),
        id_m: Length::from_si(id_m),
        hoop_outside_pa: Stress::from_si(s_pa - p_pa),
    })
}

/// What is known of a thin wall; the other is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ThinWallLoad {
    /// A gauge pressure: the stresses are wanted.
    Pressure(GaugePressure),
    /// An allowable hoop stress on the mean diameter: the pressure is wanted.
    Allowable(Stress),
}

/// Thin-wall hoop stress on three bases.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThinWall {
    /// The pressure, given or solved.
    pub pressure_pa: GaugePressure,
    /// p (id + wall)/(2 wall).
    pub hoop_mean_pa: Stress,
    /// p od/(2 wall): Barlow, as pipeline rules have it; the highest of the three.
    pub hoop_outside_basis_pa: Stress,
    /// p id/(2 wall): the lowest of the three.
    pub hoop_inside_basis_pa: Stress,
}

/// Thin-wall hoop stress from pressure, or pressure from an allowable on the mean diameter.
///
/// Formula: hoop = p d/(2 wall), with d the mean, the outside or the inside DIAMETER.
/// Valid for any wall; it is within 1 % of the Lamé hoop at the bore (mean basis) only while the wall is
/// under about a tenth of the bore radius, and low at the bore beyond that: use [`cylinder`].
/// Errors: a pressure or allowable not above zero.
/// Source: Shigley, Mechanical Engineering Design, Eq. 3-53 (mean); 49 CFR 192.105 (outside diameter).
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{Length, Stress};
/// use proofmark::strength::cylinder::{ThinWallLoad, thin_wall};
/// let tube = TubeSize::from_two(Some(Length::inches(8.0)), None, Some(Length::inches(0.25)))?;
/// let at = thin_wall(tube, ThinWallLoad::Allowable(Stress::ksi(12.0)))?;
/// assert!((at.pressure_pa.as_mpa() / 0.006_894_757 - 774.2).abs() < 0.1); // psi
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn thin_wall(tube: TubeSize, load: ThinWallLoad) -> Result<ThinWall, InputError> {
    let (od_m, id_m, t_m) = (tube.od_m.si(), tube.id_m.si(), tube.wall_m.si());
    let mean_m = id_m + t_m;
    let p_pa = match load {
        ThinWallLoad::Pressure(pressure) => positive("pressure", pressure)?,
        ThinWallLoad::Allowable(allowable) => positive("allowable", allowable)? * 2.0 * t_m / mean_m,
    };
    let hoop = |d_m: f64| Stress::from_si(p_pa * d_m / (2.0 * t_m));
    Ok(ThinWall {
        pressure_pa: GaugePressure::from_si(p_pa),
        hoop_mean_pa: hoop(mean_m),
        hoop_outside_basis_pa: hoop(od_m),
        hoop_inside_basis_pa: hoop(id_m),
    })
}
