//! Radial bolts: hole bearing, bolt shear, tear-out, net section.

use std::f64::consts::{FRAC_PI_4, PI};

use serde::Serialize;

use super::InputError;
use super::casing::{Casing, Findings, Row, mpa};
use super::margins::Mode;
use crate::design::End;
use crate::design::bolt::BoltSize;
use crate::design::error::positive;
use crate::quantity::{Force, GaugePressure, Length, Quantity, Stress};

/// A ring of radial bolts holding a closure against pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RadialBolts {
    /// Gauge pressure inside.
    pub pressure: GaugePressure,
    /// DIAMETER the pressure acts on.
    pub seal_diameter: Length,
    /// How many bolts share the force.
    pub count: u32,
    /// Nominal bolt diameter.
    pub bolt_diameter: Length,
    /// Diameter at the thread root, where the thread lies in the shear plane.
    pub bolt_minor: Option<Length>,
    /// Wall of the tube at the holes.
    pub wall: Length,
    /// Hole centre to tube end.
    pub edge: Length,
    /// Outside diameter of the tube; the seal diameter plus two walls when absent.
    pub od: Option<Length>,
}

/// Stresses at a ring of radial bolts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RadialBoltStress {
    /// Force on the closure.
    pub end_load_n: Force,
    /// Its share on one bolt.
    pub load_per_bolt_n: Force,
    /// Shear in the full shank.
    pub shear_nominal_pa: Stress,
    /// Shear at the thread root.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shear_minor_pa: Option<Stress>,
    /// Bearing on the projected hole, d times wall.
    pub bearing_pa: Stress,
    /// Shear on the two planes out to the tube end, each (edge - d/2) long: the safe plane.
    pub tear_out_pa: Stress,
    /// Axial tension between the holes.
    pub net_section_pa: Stress,
}

/// Stresses in bolts and tube wall of a radially bolted closure.
///
/// Formula: F = (pi/4) Ds^2 p; per bolt F/n; shear F/n over the bolt area; bearing F/(n d t); tear-out
/// F/(2 n t (e - d/2)); net section F/(pi (od - t) t - n d t).
/// Arguments: [`RadialBolts`]; diameters, not radii.
/// Valid for equal sharing by all bolts (close holes, ductile wall) and one row; preload and hole
/// clearance are not in it. Errors: a value not above zero, fewer than 2 bolts, an edge within half a
/// diameter, holes that leave no metal between them, a seal that is not inside the tube.
/// Source: NASA RP-1228 (1990) fastener groups; bearing area as defined in MIL-HDBK-5 1.4.7 (from memory).
///
/// ```
/// use proofmark::quantity::{GaugePressure, Length, Quantity, Stress};
/// use proofmark::strength::bolted::{RadialBolts, radial_bolts};
/// let at = radial_bolts(&RadialBolts {
///     pressure: GaugePressure::mpa(6.894_757_293), seal_diameter: Length::inches(3.068), count: 8,
///     bolt_diameter: Length::inches(0.25), bolt_minor: Some(Length::inches(0.1887)),
///     wall: Length::inches(0.216), edge: Length::inches(0.5), od: Some(Length::inches(3.5)),
/// })?;
/// assert!((at.bearing_pa.si() / Stress::ksi(17.113).si() - 1.0).abs() < 1e-3);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn radial_bolts(bolts: &RadialBolts) -> Result<RadialBoltStress, InputError> {
    let p_pa = positive("pressure", bolts.pressure)?;
    let seal_m = positive("seal_diameter", bolts.seal_diameter)?;
    let d_m = positive("bolt_diameter", bolts.bolt_diameter)?;
    let t_m = positive("wall", bolts.wall)?;
    let e_m = positive("edge", bolts.edge)?;
    if !(2..=1000).contains(&bolts.count) {
        return Err(InputError::outside("count", bolts.count, "2 to 1000 bolts"));
    }
    let n = f64::from(bolts.count);
    if e_m <= d_m / 2.0 {
        let accepted = format!("more than half the bolt diameter, {:.3} mm", d_m * 500.0);
        return Err(InputError::outside("edge", format!("{:.3} mm", e_m * 1e3), accepted));
    }
    let od_m = bolts.od.map(|it| positive("od", it)).transpose()?.unwrap_or(seal_m + 2.0 * t_m);
    if od_m <= 2.0 * t_m {
        let accepted = format!("more than two walls, {:.3} mm", t_m * 2e3);
        return Err(InputError::outside("od", format!("{:.3} mm", od_m * 1e3), accepted));
    }
    if seal_m >= od_m {
        let accepted = format!("a diameter below the outside diameter, {:.3} mm", od_m * 1e3);
        return Err(InputError::outside("seal_diameter", format!("{:.3} mm", seal_m * 1e3), accepted));
    }
    let round_m = PI * (od_m - t_m) - n * d_m;
    if round_m <= 0.0 {
        let accepted = format!("fewer than {:.0} bolts of this diameter", PI * (od_m - t_m) / d_m);
        return Err(InputError::outside("count", bolts.count, accepted));
    }
    let minor = match bolts.bolt_minor {
        None => None,
        Some(minor) => {
            let minor_m = positive("bolt_minor", minor)?;
            if minor_m > d_m {
                let accepted = format!("up to the bolt diameter, {:.3} mm", d_m * 1e3);
                return Err(InputError::outside("bolt_minor", format!("{:.3} mm", minor_m * 1e3), accepted));
            }
            Some(minor_m)
        }
    };
    let end_n = FRAC_PI_4 * seal_m * seal_m * p_pa;
    let each_n = end_n / n;
    Ok(RadialBoltStress {
        end_load_n: Force::from_si(end_n),
        load_per_bolt_n: Force::from_si(each_n),
        shear_nominal_pa: Stress::from_si(each_n / (FRAC_PI_4 * d_m * d_m)),
        shear_minor_pa: minor.map(|m| Stress::from_si(each_n / (FRAC_PI_4 * m * m))),
        bearing_pa: Stress::from_si(each_n / (d_m * t_m)),
        tear_out_pa: Stress::from_si(each_n / (2.0 * t_m * (e_m - d_m / 2.0))),
        net_section_pa: Stress::from_si(end_n / (round_m * t_m)),
    })
}

/// Bearing yield as a multiple of tensile yield, by edge distance over diameter.
///
/// 1.6 from e/d = 2 up and 1.4 at e/d = 1.5 are the MIL-HDBK-5 pairs of 6061-T6 over its tensile yield
/// (56 and 50 ksi over 35 ksi, from memory), straight between; below 1.5 the handbook gives none, and
/// the factor falls in proportion to e/d (common practice, no source).
fn bearing_yield_factor(edge_ratio: f64) -> f64 {
    if edge_ratio >= 2.0 {
        1.6
    } else if edge_ratio >= 1.5 {
        1.4 + 0.2 * (edge_ratio - 1.5) / 0.5
    } else {
        1.4 * edge_ratio / 1.5
    }
}

/// Bearing strength at rupture as a multiple of the tensile ultimate: k1 alpha_b of EN 1999-1-1 8.5.5 and
/// EN 1993-1-8 Table 3.4, without its partial factor; the hole is taken as the bolt diameter.
fn bearing_rupture_factor(edge_ratio: f64, spacing_ratio: f64) -> f64 {
    let alpha = (edge_ratio / 3.0).min(1.0);
    let k = (1.4 * spacing_ratio - 1.7).clamp(0.0, 2.5);
    k * alpha
}

/// Least ultimate strength assumed of a bolt nobody wrote the class of: ISO 898-1 class 4.6.
const UNKNOWN_BOLT_PA: f64 = 400e6;

/// (shear at rupture, shear at yield) over the bolt's ultimate strength.
///
/// Rupture: 0.6, and 0.5 above class 8.8 (EN 1993-1-8 Table 3.4, 10.9). Yield: 1/sqrt3 of the least yield
/// ratio of ISO 898-1, 0.6 under 800 MPa, and 0.75 from there up (A4-80 of ISO 3506-1), from memory.
fn bolt_shear_shares(fub_pa: f64) -> (f64, f64) {
    let rupture = if fub_pa > 840e6 { 0.5 } else { 0.6 };
    let yield_ratio = if fub_pa < 800e6 { 0.6 } else { 0.75 };
    (rupture, yield_ratio / 3f64.sqrt())
}

/// The four modes of one bolted end.
pub(super) fn rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) -> Result<(), InputError> {
    let (Some(count), Some(edge), Some(text)) = (end.count, &end.edge, &end.bolt) else { return Ok(()) };
    let bolt = BoltSize::from_text(text)?;
    let (n, d_m, e_m, t_m) = (f64::from(count), bolt.diameter_m.si(), edge.si(), casing.t_m);
    let (_, area_m2) = casing.seal(end);
    let edge_ratio = e_m / d_m;
    if edge_ratio < 2.0 - 1e-9 {
        found.objections.push(format!(
            "{place}: edge distance is {edge_ratio:.2} bolt diameters, at least 2 is common practice (EN 1999-1-1 Table 8.2 stops at 1.2)"
        ));
    }
    let mut push = |mode, yield_pa: f64, ultimate_pa: f64, basis: String, source| {
        found.rows.push(Row {
            mode,
            place: place.to_owned(),
            yield_pa,
            ultimate_pa: Some(ultimate_pa),
            on_ultimate: false,
            basis,
            source,
        });
    };
    let seat_m2 = n * d_m * t_m / area_m2;
    let spacing_ratio = PI * (casing.od_m - t_m) / n / d_m;
    let yields_pa = bearing_yield_factor(edge_ratio) * casing.fy_pa;
    let ruptures_pa = bearing_rupture_factor(edge_ratio, spacing_ratio) * casing.fu_pa;
    let (lower_pa, which) = if ruptures_pa < yields_pa {
        (ruptures_pa, "EN bearing resistance without partial factor, the lower of the two")
    } else {
        (yields_pa, "handbook bearing yield, the lower of the two")
    };
    push(
        Mode::HoleBearing,
        seat_m2 * lower_pa,
        seat_m2 * ruptures_pa.max(lower_pa),
        format!(
            "{count} x {text}, d t of {:.3} mm wall, bearing {} ({which}) at e/d {edge_ratio:.2}; {}",
            t_m * 1e3,
            mpa(lower_pa),
            casing.strength_words
        ),
        "MIL-HDBK-5 bearing yield ratio of 6061-T6 (from memory) against EN 1999-1-1 8.5.5 and EN 1993-1-8 Table 3.4",
    );
    let planes_m2 = 2.0 * n * t_m * (e_m - d_m / 2.0) / area_m2;
    let shear = 1.0 / 3f64.sqrt();
    push(
        Mode::TearOut,
        planes_m2 * shear * casing.fy_pa,
        planes_m2 * shear * casing.fu_pa,
        format!(
            "two planes of e - d/2 = {:.2} mm, shear 0.577 of yield; {}",
            (e_m - d_m / 2.0) * 1e3,
            casing.strength_words
        ),
        "NASA RP-1228 (1990) shear tear-out, the shorter plane; von Mises shear",
    );
    let net_m2 = (PI * (casing.od_m - t_m) * t_m - n * d_m * t_m).max(0.0) / area_m2;
    let rupture_pa = 0.9 * casing.fu_pa;
    push(
        Mode::NetSection,
        net_m2 * casing.fy_pa.min(rupture_pa),
        net_m2 * rupture_pa,
        format!(
            "wall between {count} holes of {:.2} mm, the lower of yield and 0.9 of ultimate ({}); {}",
            d_m * 1e3,
            mpa(rupture_pa),
            casing.strength_words
        ),
        "axial tension on the net area (statics); rupture 0.9 Anet fu: EN 1999-1-1 6.2.3 without partial factor",
    );
    let fub_pa = match &end.bolt_ultimate {
        Some(strength) => strength.si(),
        None => {
            found.assumed.push(format!(
                "{place}: bolt strength not given, the lowest class is taken: 400 MPa (ISO 898-1 class 4.6)"
            ));
            UNKNOWN_BOLT_PA
        }
    };
    let (rupture, yielding) = bolt_shear_shares(fub_pa);
    // The more careful of RP-1228 (0.6 on the root area) and EN 1993-1-8 (alpha_v on the stress area).
    let rupture_n = (0.6 * bolt.minor_area_m2.si()).min(rupture * bolt.stress_area_m2.si()) * fub_pa;
    let yield_n = (yielding * bolt.minor_area_m2.si() * fub_pa).min(rupture_n);
    found.rows.push(Row {
        mode: Mode::BoltShear,
        place: place.to_owned(),
        yield_pa: n * yield_n / area_m2,
        ultimate_pa: Some(n * rupture_n / area_m2),
        on_ultimate: false,
        basis: format!(
            "{count} x {text}, thread in the shear plane, bolt ultimate {}; its yield taken from the lowest listed yield ratio",
            mpa(fub_pa)
        ),
        source: "lower of NASA RP-1228 (1990) 0.6 Fu on the root area and EN 1993-1-8 Table 3.4; yield ratio ISO 898-1, ISO 3506-1 (from memory)",
    });
    Ok(())
}
