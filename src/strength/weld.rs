//! Welded plug: the softened wall beside the weld, and the throat of the fillet.

use super::casing::{Casing, Findings, Row, faupel_pa, first_yield_pa, mpa};
use super::margins::Mode;
use crate::design::End;
use crate::quantity::Typed;

const ZONE_SOURCE: &str = "Lamé with von Mises at the bore, welded strength: EN 1999-1-1 6.1.6 and Aluminum Design Manual, lower pair";
const THROAT_SOURCE: &str = "lower of EN 1999-1-1 8.6.3.3 (transverse fillet), ASME VIII-1 UW-18(d) (0.55 of leg, \
                             from memory) and shear at 0.577 of welded yield (common practice, no source)";

/// Weld zone wall and weld throat of one welded end.
///
/// Weld zone: the tube's first yield with the welded yield, its burst with the welded pair.
/// Throat: end force = pi D 0.707 leg q, with q the lowest of 0.577 Fy (welded), Fy/sqrt2 (EN 1999-1-1
/// 8.6.3.3, the fillet across the force) and 0.55/0.707 Fy (UW-18(d)): the first always governs.
/// An alloy that must not be welded, or one without a published welded strength, carries nothing: both
/// modes come out at zero and an objection says why.
pub(super) fn rows(casing: &Casing, end: &End, place: &str, found: &mut Findings) {
    let Some(leg_m) = end.leg.as_ref().map(Typed::si) else { return };
    let Some((fy_pa, fu_pa, source)) = casing.welded_pa() else {
        let refusal = casing.weld_refusal();
        for mode in [Mode::WeldZoneWall, Mode::WeldThroat] {
            found.rows.push(Row {
                mode,
                place: place.to_owned(),
                yield_pa: 0.0,
                ultimate_pa: None,
                on_ultimate: false,
                basis: format!("nothing may be counted on: {refusal}"),
                source: "EN 1999-1-1 and AWS D1.2 list no welded strength",
            });
        }
        found.objections.push(format!("{place}: {refusal}"));
        return;
    };
    found.rows.push(Row {
        mode: Mode::WeldZoneWall,
        place: place.to_owned(),
        yield_pa: first_yield_pa(casing.size, fy_pa),
        ultimate_pa: Some(faupel_pa(casing.size, fy_pa, fu_pa)),
        on_ultimate: false,
        basis: format!("as welded, yield {} ({source}); {}", mpa(fy_pa), casing.wall_words),
        source: ZONE_SOURCE,
    });
    // The fit of a plug is no seal: the gas reaches the weld, and pushes on the whole bore at least.
    let (_, sealed_m2) = casing.seal(end);
    let area_m2 = sealed_m2.max(std::f64::consts::FRAC_PI_4 * casing.id_m * casing.id_m);
    let throat_m = std::f64::consts::FRAC_1_SQRT_2 * leg_m;
    let per_pa = std::f64::consts::PI * casing.id_m * throat_m / area_m2;
    let share = (1.0 / 3f64.sqrt()).min(std::f64::consts::FRAC_1_SQRT_2).min(0.55 * std::f64::consts::SQRT_2);
    found.rows.push(Row {
        mode: Mode::WeldThroat,
        place: place.to_owned(),
        yield_pa: per_pa * share * fy_pa,
        ultimate_pa: Some(per_pa * share * fu_pa),
        on_ultimate: false,
        basis: format!(
            "throat {:.2} mm = 0.707 leg on diameter {:.2} mm, shear 0.577 of welded yield {}; no radiography allowance",
            throat_m * 1e3,
            casing.id_m * 1e3,
            mpa(fy_pa)
        ),
        source: THROAT_SOURCE,
    });
}
