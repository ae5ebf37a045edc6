//! How much of its fatigue life a casing's history has used, by failure mode.

use serde::{Deserialize, Serialize};

use super::fatigue::{CycleBlock, FatigueCurve, damage_used, fatigue_life};
use super::{Margins, Mode};
use crate::design::material::{TubeMetal, Welded};
use crate::quantity::{GaugePressure, Quantity, Stress};

/// The highest stress the fatigue line was fitted to.
const FITTED_TO: Stress = Stress::ksi(45.0);
/// Elastic modulus of 6061-T6.
const MODULUS: Stress = Stress::ksi(10_000.0);
/// Reduction of area at fracture of 6061-T6, on the low side (from memory; handbooks have 35 to 50 %).
const REDUCTION_OF_AREA: f64 = 0.35;

/// The share of its life one detail has used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wear {
    /// The failure mode whose detail it is.
    pub mode: String,
    /// Where.
    #[serde(rename = "where")]
    pub place: String,
    /// Local stress over the nominal one.
    pub concentration: f64,
    /// Share of the life used, one meaning all of it.
    pub damage: f64,
    /// What went into it.
    pub basis: String,
}

/// Local stress over nominal stress at a mode's detail; `None` where the mode is no fatigue detail of the tube.
///
/// Source: a hole in a plate under tension, 3 (Kirsch 1898, elasticity); weld toe 3, thread root and groove corner
/// 4: common practice, no source (published values run from 3 to 4).
const fn concentration(mode: Mode) -> Option<f64> {
    match mode {
        Mode::TubeWall => Some(1.0),
        Mode::WeldZoneWall | Mode::WeldThroat => Some(3.0),
        Mode::HoleBearing | Mode::TearOut | Mode::NetSection => Some(3.0),
        Mode::ThreadStrip | Mode::ThreadRelief | Mode::GrooveBearing | Mode::GrooveShear => Some(4.0),
        Mode::PlateBending => Some(2.0),
        // Bolts and rings are replaced, not aged; burst is one cycle.
        Mode::TubeBurst | Mode::BoltShear | Mode::RingShear => None,
    }
}

/// The share of its life each detail has used after firings and proofs at the given peaks, the most used first.
///
/// Formula: the local stress of a cycle is concentration x yield strength x peak / yield pressure of the mode; its
/// life N is the 6061-T6 line of [`fatigue_life`] at R = 0; used = sum of weight x 4 / N ([`damage_used`]: life
/// factor 4, ten ordinary cycles for one above 90 % of local yield). Above 45 ksi, where the line ends and the corner flows,
/// the strain there counts: de = local^2/(E Su) (Neuber, the stress range held to Su, which makes the strain greater), and
/// de = 3.5 Su/E N^-0.12 + (D/N)^0.6, D = -ln(1 - reduction of area); never longer than the line's own end.
/// Arguments: the margins; the metal they rest on; the peak of every firing and proof, gauge, above zero.
/// Valid for 6061-T6; any other metal gives an empty list, because no line is listed for it. The published scatter of
/// the sum at failure is 0.33 to 3: retire by 0.25.
/// Source: Palmgren-Miner; MIL-HDBK-5 6061-T6 line from memory; Neuber 1961; universal slopes, Manson, Experimental
/// Mechanics 5 (1965) 193, from memory; concentrations as said in the code.
///
/// ```
/// use proofmark::design::{Design, End, EndKind, Service, Tube, material::tube_metal};
/// use proofmark::quantity::{GaugePressure, Length, Typed};
/// use proofmark::strength::{LocalState, margins, wear::wear};
/// let mm = |value| Typed::computed(Length::mm(value));
/// let plug = End { leg: Some(mm(2.8)), ..End::bare(EndKind::WeldedPlug) };
/// let design = Design {
///     tube: Tube { material: "6061-T6".into(), form: None, od: mm(50.8), wall: mm(1.651), wall_min: Some(mm(1.651)),
///         length: None, yield_strength: None, ultimate_strength: None, modulus: None, poisson: None },
///     forward: plug.clone(), aft: plug,
///     service: Service { meop: Typed::computed(GaugePressure::mpa(5.7)), wall_temperature: None } };
/// let found = margins(&design, None, &LocalState::default())?;
/// let used = wear(&found, &tube_metal(&design.tube)?, &[GaugePressure::mpa(5.2); 10]);
/// assert_eq!(used[0].mode, "weld zone wall"); // the weld toe ages, the plain wall hardly does
/// assert!(used[0].damage < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn wear(margins: &Margins, metal: &TubeMetal, peaks: &[GaugePressure]) -> Vec<Wear> {
    if metal.name != "6061-T6" {
        return Vec::new();
    }
    let welded = match metal.metal.map(|metal| metal.welded) {
        Some(Welded::Strength { yield_strength, .. }) => yield_strength,
        _ => metal.yield_strength,
    };
    let mut used: Vec<Wear> = margins
        .modes
        .iter()
        .filter_map(|row| {
            // The corner of a groove is one detail: the bearing of its side stands for it.
            let grooved = |it: &super::ModeMargin| it.mode == Mode::GrooveBearing && it.place == row.place;
            if row.mode == Mode::NetSection && margins.modes.iter().any(grooved) {
                return None;
            }
            let concentration = concentration(row.mode)?;
            let yields = row.yield_pressure_pa;
            if !(yields.si() > 0.0 && yields.si().is_finite()) {
                return None;
            }
            let strength = if matches!(row.mode, Mode::WeldZoneWall | Mode::WeldThroat) {
                welded
            } else {
                metal.yield_strength
            };
            let blocks: Vec<CycleBlock> = peaks
                .iter()
                .filter(|peak| peak.si() > 0.0)
                .map(|peak| {
                    let local = Stress::from_si(concentration * strength.si() * peak.si() / yields.si());
                    CycleBlock { peak: *peak, count: 1.0, life: life(local) }
                })
                .collect();
            let damage = if blocks.is_empty() { 0.0 } else { damage_used(&blocks, yields).ok()?.damage };
            Some(Wear {
                mode: row.mode.word().to_owned(),
                place: row.place.clone(),
                concentration,
                damage,
                basis: format!(
                    "{}, local stress {concentration} times nominal, life factor 4",
                    crate::quantity::counted(blocks.len(), "cycle")
                ),
            })
        })
        .collect();
    used.sort_by(|a, b| b.damage.total_cmp(&a.damage));
    used
}

fn life(local: Stress) -> f64 {
    let on_line = |stress: Stress| {
        fatigue_life(&FatigueCurve::Listed { material: "6061-T6".to_owned(), max_stress: stress, ratio: 0.0 })
            .map(|life| life.cycles)
    };
    let ksi = local.si() / Stress::ksi(1.0).si();
    if ksi > 45.0 {
        by_strain(local).min(on_line(FITTED_TO).unwrap_or(1.0))
    } else {
        on_line(Stress::ksi(ksi.max(1.0))).unwrap_or(1.0)
    }
}

/// Cycles to failure by universal slopes at the strain range that a corner of this elastic stress sees. The least
/// published typical ultimate stands for Su: the end of the line.
fn by_strain(local: Stress) -> f64 {
    let (e, su) = (MODULUS.si(), FITTED_TO.si());
    let range = local.si().powi(2) / (e * su);
    let ductility = -(1.0 - REDUCTION_OF_AREA).ln();
    let at = |cycles: f64| 3.5 * su / e * cycles.powf(-0.12) + (ductility / cycles).powf(0.6);
    // It falls all the way: halve the span of the logarithm.
    let (mut low, mut high) = (0.0_f64, 20.0_f64);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if at(middle.exp()) > range { low = middle } else { high = middle }
    }
    low.exp()
}
