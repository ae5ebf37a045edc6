//! Retaining rings: groove bearing, groove shear, ring shear, and the wall left under the groove.

use std::f64::consts::PI;

use serde::Serialize;

use super::InputError;
use super::casing::{Casing, Findings, Row, first_yield_pa, mpa};
use super::margins::Mode;
use crate::design::End;
use crate::design::error::{positive, within};
use crate::design::wall::TubeSize;
use crate::quantity::{Force, Length, Quantity, Stress};

crate::words! {
    /// Which of ring and groove gives way first.
    pub enum RingLimit {
        /// The groove deforms.
        Groove = "groove",
        /// The ring shears.
        Ring = "ring",
    }
}

/// A retaining ring in a bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RetainingRing {
    /// Bore DIAMETER of the housing.
    pub bore: Length,
    /// Radial groove depth.
    pub groove_depth: Length,
    /// Yield strength of the groove's metal.
    pub groove_yield: Stress,
    /// Ring thickness.
    pub ring_thickness: Length,
    /// Shear strength of the ring's metal.
    pub ring_shear: Stress,
    /// Maker's conversion factor for the groove, 1 for a full ring.
    pub groove_factor: f64,
    /// Maker's conversion factor for the ring, 1 for a full ring.
    pub ring_factor: f64,
    /// Safety factor on the groove, 2 by the makers.
    pub groove_safety: f64,
    /// Safety factor on the ring, 4 by the makers.
    pub ring_safety: f64,
}

/// Allowable thrust of a retaining ring.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RingCapacity {
    /// Allowable on the groove.
    pub groove_load_n: Force,
    /// Allowable on the ring.
    pub ring_load_n: Force,
    /// The lower of the two.
    pub governs: RingLimit,
}

/// Allowable static thrust of an internal retaining ring, as ring makers rate it.
///
/// Formula: groove Pg = Cf B d pi Sy/K, ring Pr = Cf B t pi Ss/K, with B the bore, d the groove depth, t the
/// ring thickness, Cf the maker's conversion factor and K the safety factor (2 groove, 4 ring).
/// Arguments: [`RetainingRing`]; factors 0.1 to 3, safety factors 1 to 20.
/// Valid for a sharp-cornered abutment, static load, a groove well away from the tube end (three groove
/// depths); the ring figure holds only in a hardened housing. Errors: a value not above zero or outside those.
/// Source: ring makers' data sheets (5001-068: 1283 and 3402 lbf); rotorclip.com load capacity formulas.
///
/// ```
/// use proofmark::quantity::{Length, Quantity, Stress};
/// use proofmark::strength::ring::{RetainingRing, retaining_ring};
/// let at = retaining_ring(&RetainingRing {
///     bore: Length::inches(0.688), groove_depth: Length::inches(0.022), groove_yield: Stress::ksi(45.0),
///     ring_thickness: Length::inches(0.035), ring_shear: Stress::ksi(150.0),
///     groove_factor: 1.2, ring_factor: 1.2, groove_safety: 2.0, ring_safety: 4.0,
/// })?;
/// assert!((at.groove_load_n.si() / 4.448_221_615 / 1283.0 - 1.0).abs() < 1e-3);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn retaining_ring(ring: &RetainingRing) -> Result<RingCapacity, InputError> {
    let b_m = positive("bore", ring.bore)?;
    let d_m = positive("groove_depth", ring.groove_depth)?;
    let t_m = positive("ring_thickness", ring.ring_thickness)?;
    let sy_pa = positive("groove_yield", ring.groove_yield)?;
    let ss_pa = positive("ring_shear", ring.ring_shear)?;
    let factor = |input, value| within(input, value, 0.1, 3.0, "the maker's conversion factor, 0.1 to 3");
    let safety = |input, value| within(input, value, 1.0, 20.0, "a safety factor from 1 to 20");
    let groove_n = factor("groove_factor", ring.groove_factor)? * b_m * d_m * PI * sy_pa
        / safety("groove_safety", ring.groove_safety)?;
    let ring_n = factor("ring_factor", ring.ring_factor)? * b_m * t_m * PI * ss_pa
        / safety("ring_safety", ring.ring_safety)?;
    Ok(RingCapacity {
        groove_load_n: Force::from_si(groove_n),
        ring_load_n: Force::from_si(ring_n),
        governs: if ring_n < groove_n { RingLimit::Ring } else { RingLimit::Groove },
    })
}

/// Shear strength assumed of a ring nobody wrote the metal of: carbon spring steel SAE 1070-1090 as a ring
/// maker lists it for a two-turn ring of 1.2 mm, the lowest seen (126 ksi).
const RING_SHEAR_PA: f64 = 126.0 * 6_894_757.293_168;

/// The four modes of one ringed end.
///
/// Net section: the end force on the wall left outside the groove, axial, the lower of yield and 0.9 of ultimate as for
/// the wall between bolt holes. The groove lies outside the seal: only if gas passes it does the thin wall carry the
/// pressure itself, which is reported as contingent, as at a thread relief.
/// Groove bearing: the makers' relation without its safety factor gives pi B d Fy; the club takes 1.5 Fy on
/// the mean groove diameter, halved because a tilting ring bears on half the groove. The lower of the two
/// is used (for any groove shallower than a third of the bore that is the club's).
/// Groove shear: 0.577 Fy over the land, halved for tilt; the makers' edge rule takes a third of the yield
/// (from memory). The lower is used.
/// Ring shear: the makers' relation without its safety factor, halved for tilt; spring steel shears with
/// little yield before, so yield and rupture are one.
pub(super) fn rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) -> Result<(), InputError> {
    let (Some(depth), Some(thickness), Some(edge)) = (&end.groove_depth, &end.ring_thickness, &end.edge)
    else {
        return Ok(());
    };
    let (_, area_m2) = casing.seal(end);
    let (b_m, d_m, t_m, e_m) = (casing.id_m, depth.si(), thickness.si(), edge.si());
    let fy_pa = casing.fy_pa;
    let maker_pa = PI * b_m * d_m * fy_pa / area_m2;
    let club_pa = 0.5 * 1.5 * PI * (b_m + d_m) * d_m * fy_pa / area_m2;
    let allowed_pa = maker_pa / 2.0;
    let ring_pa = PI * b_m * t_m * RING_SHEAR_PA / area_m2;
    found.assumed.push(format!(
        "{place}: ring metal not given, carbon spring steel of {} shear strength is taken",
        mpa(RING_SHEAR_PA)
    ));
    let mut push = |mode, yield_pa, basis, source| {
        found.rows.push(Row {
            mode,
            place: place.to_owned(),
            yield_pa,
            ultimate_pa: None,
            on_ultimate: false,
            basis,
            source,
        });
    };
    push(
        Mode::GrooveBearing,
        club_pa.min(maker_pa),
        format!(
            "groove {:.3} mm deep, 1.5 Fy on the mean diameter halved for ring tilt: lower than the makers' relation at safety factor 1 ({}); the makers allow {} at their factor 2; {}",
            d_m * 1e3,
            mpa(maker_pa),
            mpa(allowed_pa),
            casing.strength_words
        ),
        "common practice, no source (bearing 1.5 Fy, half for tilt) against ring makers' Pg = B d pi Sy/K",
    );
    let land_m2 = PI * (b_m + 2.0 * d_m) * e_m / area_m2;
    push(
        Mode::GrooveShear,
        land_m2 * fy_pa * (0.5 / 3f64.sqrt()).min(1.0 / 3.0),
        format!(
            "land {:.2} mm long beyond the groove, 0.577 Fy halved for ring tilt; {}",
            e_m * 1e3,
            casing.strength_words
        ),
        "common practice, no source; lower than ring makers' edge margin rule, a third of the yield (from memory)",
    );
    push(
        Mode::RingShear,
        ring_pa / 2.0,
        format!(
            "ring {:.2} mm thick, shear strength {} assumed, halved for tilt; the makers allow {} at their factor 4",
            t_m * 1e3,
            mpa(RING_SHEAR_PA),
            mpa(ring_pa / 4.0)
        ),
        "ring makers' Pr = B t pi Ss/K at K = 1, halved for tilt (common practice, no source)",
    );
    let groove_m = b_m + 2.0 * d_m;
    let net_m2 = std::f64::consts::FRAC_PI_4 * (casing.od_m.powi(2) - groove_m.powi(2)) / area_m2;
    let rupture_pa = 0.9 * casing.fu_pa;
    let left = format!("wall of {:.3} mm left outside the groove", (casing.od_m - groove_m) / 2.0 * 1e3);
    found.rows.push(Row {
        mode: Mode::NetSection,
        place: place.to_owned(),
        yield_pa: net_m2 * fy_pa.min(rupture_pa),
        ultimate_pa: Some(net_m2 * rupture_pa),
        on_ultimate: false,
        basis: format!(
            "{left}, seal holding, the lower of yield and 0.9 of ultimate ({}); {}",
            mpa(rupture_pa),
            casing.strength_words
        ),
        source: "end force over net area (statics); rupture 0.9 Anet fu: EN 1999-1-1 6.2.3 without partial factor",
    });
    let at_groove = TubeSize::from_two(Some(casing.size.od_m), Some(Length::from_si(groove_m)), None)?;
    found.contingent.push(Row {
        mode: Mode::NetSection,
        place: place.to_owned(),
        yield_pa: first_yield_pa(at_groove, fy_pa),
        ultimate_pa: None,
        on_ultimate: false,
        basis: format!("only if gas passes the seal: full pressure on the {left}; {}", casing.strength_words),
        source: "Lamé with von Mises at the groove, closed ends",
    });
    let meop_pa = casing.design.service.meop.si();
    if meop_pa > allowed_pa.min(ring_pa / 4.0) {
        found.objections.push(format!(
            "{place}: the MEOP is above what ring makers allow with their own safety factors ({})",
            mpa(allowed_pa.min(ring_pa / 4.0))
        ));
    }
    if e_m < 3.0 * d_m * (1.0 - 1e-9) {
        found.objections.push(format!(
            "{place}: the groove is {:.2} groove depths from the tube end, at least 3 is common practice",
            e_m / d_m
        ));
    }
    Ok(())
}
