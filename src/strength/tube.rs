//! Tube wall and tube burst.

use serde::Serialize;

use super::InputError;
use super::casing::{Casing, Findings, Row, faupel_pa, first_yield_pa, mpa, through_yield_pa};
use super::margins::{LocalSpot, LocalState, Mode};
use crate::design::error::positive;
use crate::design::wall::TubeSize;
use crate::quantity::{GaugePressure, Quantity, Stress};

/// First-yield pressure of a tube on four bases.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YieldPressure {
    /// Lamé and von Mises at the bore, closed ends: the one margins use.
    pub von_mises_bore_pa: GaugePressure,
    /// 2 wall Sy/od (Barlow): lower.
    pub outside_diameter_pa: GaugePressure,
    /// 2 wall Sy/(id + wall).
    pub mean_diameter_pa: GaugePressure,
    /// 2 wall Sy/id: the highest, the least safe.
    pub inside_diameter_pa: GaugePressure,
}

/// The gauge pressure at which a closed tube first yields, on four bases that must not be mixed.
///
/// Formula (margins): P = (Sy/sqrt3)(1 - (id/od)^2); the others are thin-wall, P = 2 wall Sy/d.
/// Arguments: the tube; the least yield strength.
/// Valid away from ends, welds, holes, dents and hot spots, and while yielding is uniform; any wall.
/// Errors: a yield not above zero.
/// Source: Lamé with the von Mises criterion, a standard text result (Timoshenko, Strength of Materials
/// Part II); outside-diameter basis as 49 CFR 192.105.
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{Length, Stress};
/// let tube = TubeSize::from_two(Some(Length::inches(3.5)), Some(Length::inches(3.068)), None)?;
/// let at = proofmark::strength::tube::yield_pressure(tube, Stress::ksi(35.0))?;
/// assert!((at.von_mises_bore_pa.as_mpa() / 0.006_894_757_3 - 4680.5).abs() < 0.1); // psi
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn yield_pressure(tube: TubeSize, yield_strength: Stress) -> Result<YieldPressure, InputError> {
    let fy_pa = positive("yield", yield_strength)?;
    let (od_m, id_m, t_m) = (tube.od_m.si(), tube.id_m.si(), tube.wall_m.si());
    let thin = |d_m: f64| GaugePressure::from_si(2.0 * t_m * fy_pa / d_m);
    Ok(YieldPressure {
        von_mises_bore_pa: GaugePressure::from_si(first_yield_pa(tube, fy_pa)),
        outside_diameter_pa: thin(od_m),
        mean_diameter_pa: thin(id_m + t_m),
        inside_diameter_pa: thin(id_m),
    })
}

/// Burst pressure of a tube.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BurstPressure {
    /// Faupel's burst pressure.
    pub faupel_pa: GaugePressure,
}

/// The gauge pressure at which a sound ductile tube bursts (Faupel).
///
/// Formula: P = (2/sqrt3) Sy ln(od/id) (2 - Sy/Su).
/// Arguments: the tube; least yield; least ultimate, not below the yield.
/// Valid for ductile metal, slow loading, no flaw, weld, heat or joint; tests of ductile cylinders scatter
/// about 15 % around it. Never a permission: a casing is spent long before. Errors: strengths not above
/// zero, a yield above the ultimate.
/// Source: Faupel, Trans. ASME 78 (1956) 1031; reviewed in Brabin et al., Int. J. Pressure Vessels and
/// Piping 88 (2011) 119.
///
/// ```
/// use proofmark::design::wall::TubeSize;
/// use proofmark::quantity::{Length, Stress};
/// let tube = TubeSize::from_two(Some(Length::inches(3.5)), Some(Length::inches(3.068)), None)?;
/// let at = proofmark::strength::tube::burst_pressure(tube, Stress::ksi(35.0), Stress::ksi(38.0))?;
/// assert!((at.faupel_pa.as_mpa() / 0.006_894_757_3 - 5744.4).abs() < 0.1); // psi
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn burst_pressure(
    tube: TubeSize,
    yield_strength: Stress,
    ultimate_strength: Stress,
) -> Result<BurstPressure, InputError> {
    let fy_pa = positive("yield", yield_strength)?;
    let fu_pa = positive("ultimate", ultimate_strength)?;
    if fy_pa > fu_pa {
        return Err(InputError::outside(
            "yield",
            mpa(fy_pa),
            format!("a yield up to the ultimate, {}", mpa(fu_pa)),
        ));
    }
    Ok(BurstPressure { faupel_pa: GaugePressure::from_si(faupel_pa(tube, fy_pa, fu_pa)) })
}

const YIELD_SOURCE: &str =
    "Lamé with von Mises at the bore, closed ends (Timoshenko, Strength of Materials Part II)";
const BURST_SOURCE: &str = "Faupel, Trans. ASME 78 (1956) 1031";

/// Tube wall and burst of the sound tube, and of every spot on record as thin or soft.
pub(super) fn rows(casing: &Casing, local: &LocalState, found: &mut Findings) -> Result<(), InputError> {
    let words = format!("{}; {}", casing.strength_words, casing.wall_words);
    push(found, "tube", casing.size, (casing.fy_pa, casing.fu_pa), &words);
    for spot in &local.spots {
        spot_rows(casing, spot, found)?;
    }
    Ok(())
}

fn push(found: &mut Findings, place: &str, size: TubeSize, (fy_pa, fu_pa): (f64, f64), words: &str) {
    found.rows.push(Row {
        mode: Mode::TubeWall,
        place: place.to_owned(),
        yield_pa: first_yield_pa(size, fy_pa),
        ultimate_pa: None,
        on_ultimate: false,
        basis: format!("first yield at the bore; {words}"),
        source: YIELD_SOURCE,
    });
    found.rows.push(Row {
        mode: Mode::TubeBurst,
        place: place.to_owned(),
        yield_pa: through_yield_pa(size, fy_pa),
        ultimate_pa: Some(faupel_pa(size, fy_pa, fu_pa)),
        on_ultimate: true,
        basis: format!(
            "factor on burst; yield pressure is where the whole wall has yielded, which ranks it; {words}; ultimate {}",
            mpa(fu_pa)
        ),
        source: BURST_SOURCE,
    });
}

fn spot_rows(casing: &Casing, spot: &LocalSpot, found: &mut Findings) -> Result<(), InputError> {
    let mut words = Vec::new();
    let size = match spot.remaining_wall {
        Some(wall) => {
            words.push(format!("remaining wall {:.3} mm, the loss taken from the bore", wall.as_mm()));
            casing.thinned(wall)?
        }
        None => {
            words.push(casing.wall_words.clone());
            casing.size
        }
    };
    let (mut fy_pa, mut fu_pa) = (casing.fy_pa, casing.fu_pa);
    if spot.beside_weld {
        let Some((welded_fy_pa, welded_fu_pa, _)) = casing.welded_pa() else {
            found.objections.push(casing.weld_refusal());
            return Ok(());
        };
        (fy_pa, fu_pa) = (welded_fy_pa, welded_fu_pa);
        words.push(format!("as welded, yield {}", mpa(fy_pa)));
    }
    if let Some(local) = spot.yield_strength {
        let hot_pa = positive("local yield", local)? * casing.heat;
        if hot_pa < fy_pa {
            // The ultimate is taken down in the same proportion: it falls less in truth.
            fu_pa *= hot_pa / fy_pa;
            fy_pa = hot_pa;
        }
        words.push(format!("local yield {}", mpa(fy_pa)));
    } else if !spot.beside_weld {
        words.push(casing.strength_words.clone());
    }
    let place = if spot.place.trim().is_empty() { "spot" } else { spot.place.trim() };
    push(found, place, size, (fy_pa, fu_pa), &words.join("; "));
    Ok(())
}
