//! Flat end plates: bending stress, deflection, and the thickness of a flat head.

use serde::Serialize;

use super::InputError;
use super::casing::{Casing, Findings, Row, mpa};
use super::margins::Mode;
use crate::design::error::{poissons_ratio, positive, within};
use crate::design::material::{self, Welded};
use crate::design::{End, EndKind, PlateEdge};
use crate::quantity::{GaugePressure, Length, Quantity, Stress};

/// Bending of a flat round plate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlatPlate {
    /// Greatest bending stress: at the rim when clamped, at the centre when supported.
    pub stress_pa: Stress,
    /// Deflection at the centre.
    pub deflection_m: Length,
}

/// A flat round plate under uniform pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateLoad {
    /// RADIUS of the loaded plate.
    pub radius: Length,
    /// Thickness.
    pub thickness: Length,
    /// Gauge pressure.
    pub pressure: GaugePressure,
    /// Elastic modulus.
    pub modulus: Stress,
    /// Poisson's ratio.
    pub poisson: f64,
    /// How the rim is held.
    pub edge: PlateEdge,
}

fn stress_factor(edge: PlateEdge, nu: f64) -> f64 {
    match edge {
        PlateEdge::Clamped => 0.75,
        PlateEdge::Supported => 3.0 * (3.0 + nu) / 8.0,
    }
}

/// Stress and deflection of a flat round plate under uniform pressure.
///
/// Formula: D = E t^3/(12 (1 - nu^2)). Clamped: stress 0.75 p a^2/t^2 at the rim, deflection p a^4/(64 D).
/// Supported: stress 3 (3 + nu)/8 p a^2/t^2 at the centre, deflection (5 + nu) p a^4/(64 (1 + nu) D).
/// Arguments: [`PlateLoad`]; a is the RADIUS.
/// Valid for a plate thinner than about a fifth of its diameter, deflections under half the thickness, no
/// hole; a thicker plate is stiffer against bending but shears. A real rim lies between the two: take the
/// worse. Errors: a value not above zero, a Poisson's ratio outside 0 to 0.5, a plate thicker than its radius.
/// Source: Roark's Formulas for Stress and Strain, Table 11.2 cases 10a and 10b; Timoshenko.
///
/// ```
/// use proofmark::design::PlateEdge;
/// use proofmark::quantity::{GaugePressure, Length, Stress};
/// use proofmark::strength::plate::{PlateLoad, flat_plate};
/// let at = flat_plate(&PlateLoad {
///     radius: Length::inches(2.0), thickness: Length::inches(0.5), pressure: GaugePressure::mpa(6.894_757_293),
///     modulus: Stress::ksi(10_000.0), poisson: 0.33, edge: PlateEdge::Supported,
/// })?;
/// assert!((at.stress_pa.as_mpa() / 6.894_757_293 - 19.98).abs() < 1e-6); // ksi
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn flat_plate(plate: &PlateLoad) -> Result<FlatPlate, InputError> {
    let a_m = positive("radius", plate.radius)?;
    let t_m = positive("thickness", plate.thickness)?;
    let p_pa = positive("pressure", plate.pressure)?;
    let e_pa = positive("modulus", plate.modulus)?;
    let nu = poissons_ratio("poisson", plate.poisson)?;
    if t_m > a_m {
        let accepted =
            format!("a thickness up to the radius, {:.3} mm: beyond that it is no plate", a_m * 1e3);
        return Err(InputError::outside("thickness", format!("{:.3} mm", t_m * 1e3), accepted));
    }
    let d_nm = e_pa * t_m.powi(3) / (12.0 * (1.0 - nu * nu));
    let clamped_m = p_pa * a_m.powi(4) / (64.0 * d_nm);
    let deflection_m = match plate.edge {
        PlateEdge::Clamped => clamped_m,
        PlateEdge::Supported => clamped_m * (5.0 + nu) / (1.0 + nu),
    };
    Ok(FlatPlate {
        stress_pa: Stress::from_si(stress_factor(plate.edge, nu) * p_pa * (a_m / t_m).powi(2)),
        deflection_m: Length::from_si(deflection_m),
    })
}

/// Thickness of a flat head.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlatHead {
    /// Thickness needed.
    pub thickness_m: Length,
}

/// The thickness of an unstayed flat round head.
///
/// Formula: t = d sqrt(C P/(S E)).
/// Arguments: DIAMETER d as the sketch of UG-34 takes it; gauge pressure; allowable stress, safety factor
/// already off; C 0.05 to 0.5 from the sketch (0.1875 is a clamped plate, 0.309 a supported one); joint
/// efficiency, above 0 to 1.
/// Valid for heads without openings or edge moments from bolts. Errors: a value outside those.
/// Source: ASME BPVC VIII-1 UG-34(c)(2).
///
/// ```
/// use proofmark::quantity::{GaugePressure, Length, Stress};
/// let head = proofmark::strength::plate::flat_head(
///     Length::inches(4.0), GaugePressure::mpa(6.894_757_293), Stress::ksi(10.0), 0.33, 1.0)?;
/// assert!((head.thickness_m.as_mm() / 25.4 - 0.7266).abs() < 1e-4);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn flat_head(
    diameter: Length,
    pressure: GaugePressure,
    allowable: Stress,
    factor: f64,
    efficiency: f64,
) -> Result<FlatHead, InputError> {
    let d_m = positive("diameter", diameter)?;
    let p_pa = positive("pressure", pressure)?;
    let s_pa = positive("allowable", allowable)?;
    let c = within("factor", factor, 0.05, 0.5, "the C of UG-34, 0.05 to 0.5")?;
    let e = within("efficiency", efficiency, 0.01, 1.0, "a joint efficiency from 0.01 to 1")?;
    Ok(FlatHead { thickness_m: Length::from_si(d_m * (c * p_pa / (s_pa * e)).sqrt()) })
}

/// Bending of the flat plate of one end, where it has one.
///
/// A plate in a welded end is judged with welded strength: on casings this size the softened band reaches
/// the middle.
pub(super) fn rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) -> Result<(), InputError> {
    let Some(plate) = &end.plate else { return Ok(()) };
    let (seal_m, _) = casing.seal(end);
    let (a_m, t_m) = (seal_m / 2.0, plate.thickness.si());
    let welded = end.kind == EndKind::WeldedPlug;
    let (fy_pa, nu, words) = match &plate.material {
        Some(name) => {
            let metal = material::get(name)?;
            let minimum = metal
                .minimum(Some(crate::design::ProductForm::Plate))
                .or_else(|| metal.minimum(None))
                .ok_or_else(|| InputError::unlisted("plate.material", name, material::names()))?;
            let fy_pa = match metal.welded {
                Welded::Strength { yield_strength, .. } if welded => yield_strength.si(),
                Welded::Refused { .. } if welded => 0.0,
                _ => minimum.yield_strength.si(),
            };
            let heat = match casing.temperature {
                Some(temperature) => crate::design::derate::yield_fraction(metal, temperature)?.fraction,
                None => 1.0,
            };
            (fy_pa * heat, metal.poisson, metal.name.to_owned())
        }
        None => {
            let fy_pa = if welded { casing.welded_pa().map_or(0.0, |it| it.0) } else { casing.fy_pa };
            // The least favourable ratio where none is known.
            (fy_pa, casing.metal.poisson.unwrap_or(0.5), casing.metal.name.clone())
        }
    };
    if t_m > a_m {
        found
            .objections
            .push(format!("{place}: the plate is thicker than its radius: bending does not govern it"));
    }
    found.rows.push(Row {
        mode: Mode::PlateBending,
        place: place.to_owned(),
        yield_pa: fy_pa * (t_m / a_m).powi(2) / stress_factor(plate.edge, nu),
        ultimate_pa: None,
        on_ultimate: false,
        basis: format!(
            "{} plate {:.2} mm on seal diameter {:.2} mm, {words} {}yield {}",
            plate.edge,
            t_m * 1e3,
            seal_m * 1e3,
            if welded { "as welded, " } else { "" },
            mpa(fy_pa)
        ),
        source: "Roark's Formulas for Stress and Strain, Table 11.2 cases 10a and 10b",
    });
    Ok(())
}
