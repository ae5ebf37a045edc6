//! Fatigue life and the damage sum.

use serde::Serialize;

use super::InputError;
use crate::design::error::{mpa, positive, within};
use crate::design::material;
use crate::quantity::{GaugePressure, Quantity, Stress};

/// How the life is to be found.
#[derive(Clone, Debug, PartialEq)]
pub enum FatigueCurve {
    /// The published line of a listed metal: maximum stress and stress ratio R = min/max.
    Listed {
        /// 6061-T6 alone has a line here.
        material: String,
        /// Maximum stress of the cycle.
        max_stress: Stress,
        /// Minimum over maximum stress; 0 for a firing.
        ratio: f64,
    },
    /// Stress-life in REVERSALS: amplitude = coefficient (2 N)^exponent.
    StressLife {
        /// Fatigue strength coefficient.
        coefficient: Stress,
        /// Fatigue strength exponent, below zero.
        exponent: f64,
        /// Stress amplitude, half the range.
        amplitude: Stress,
    },
}

/// Cycles to failure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FatigueLife {
    /// Cycles (not reversals).
    pub cycles: f64,
}

/// Cycles to failure of smooth metal at a stress.
///
/// Formula, 6061-T6: log10 N = 20.68 - 9.84 log10 Seq, Seq = Smax (1 - R)^0.63 in ksi.
/// Formula, stress-life: N = (amplitude/coefficient)^(1/exponent)/2.
/// Arguments: [`FatigueCurve`]. Valid for SMOOTH metal: thread roots, weld toes and groove corners live far
/// shorter (stress there is 3 to 4 times the nominal); take a life factor of 4 ([`LIFE_FACTOR`]). The 6061
/// line is fitted between about 1e3 and 1e8 cycles; a stress above the typical ultimate (45 ksi), a ratio
/// outside -1 to below 1, and an exponent outside -1 to below 0 are errors.
/// Source: MIL-HDBK-5 6061-T6 best-fit S/N line (from memory, not confirmed); Basquin.
///
/// ```
/// use proofmark::quantity::Stress;
/// use proofmark::strength::fatigue::{FatigueCurve, fatigue_life};
/// let life = fatigue_life(&FatigueCurve::Listed {
///     material: "6061-T6".into(), max_stress: Stress::ksi(40.0), ratio: 0.0 })?;
/// assert!((life.cycles / 82_360.0 - 1.0).abs() < 0.01);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn fatigue_life(curve: &FatigueCurve) -> Result<FatigueLife, InputError> {
    match curve {
        FatigueCurve::Listed { material, max_stress, ratio } => {
            if material::get(material)?.name != "6061-T6" {
                return Err(InputError::unlisted(
                    "material",
                    material,
                    "6061-T6, or coefficient, exponent, amplitude",
                ));
            }
            let max_ksi = positive("max_stress", *max_stress)? / Stress::ksi(1.0).si();
            if !(1.0..=45.0).contains(&max_ksi) {
                return Err(InputError::outside(
                    "max_stress",
                    mpa(max_stress.si()),
                    "a maximum stress from 1 to 45 ksi (6.89 to 310 MPa)",
                ));
            }
            let r = within(
                "ratio",
                *ratio,
                -1.0,
                0.999,
                "minimum over maximum stress, from -1 to below 1; 0 for a firing",
            )?;
            let equivalent_ksi = max_ksi * (1.0 - r).powf(0.63);
            Ok(FatigueLife { cycles: 10f64.powf(20.68 - 9.84 * equivalent_ksi.log10()) })
        }
        FatigueCurve::StressLife { coefficient, exponent, amplitude } => {
            let c_pa = positive("coefficient", *coefficient)?;
            let a_pa = positive("amplitude", *amplitude)?;
            let b = within("exponent", *exponent, -1.0, -1e-3, "an exponent from -1 to -0.001")?;
            if a_pa > c_pa {
                return Err(InputError::outside(
                    "amplitude",
                    mpa(a_pa),
                    format!("an amplitude up to the coefficient, {}", mpa(c_pa)),
                ));
            }
            let cycles = (a_pa / c_pa).powf(1.0 / b) / 2.0;
            if cycles.is_finite() {
                Ok(FatigueLife { cycles })
            } else {
                Err(InputError::outside(
                    "amplitude",
                    mpa(a_pa),
                    "a larger amplitude: this one gives no finite life",
                ))
            }
        }
    }
}

/// The stress amplitude, fully reversed, that does the same harm as a cycle about a mean (Goodman).
///
/// Formula: Sar = Sa/(1 - Sm/Su). Arguments: amplitude, mean and ultimate as stresses; the mean below the
/// ultimate. A firing or proof is 0 to maximum: Sa = Sm = Smax/2. Errors: a mean below zero or not below the
/// ultimate. Source: Goodman relation, Shigley, Mechanical Engineering Design.
///
/// ```
/// use proofmark::quantity::Stress;
/// let half = Stress::ksi(12.5);
/// let reversed = proofmark::strength::fatigue::goodman(half, half, Stress::ksi(45.0))?;
/// assert!((reversed.as_mpa() / 6.894_757_293 - 17.308).abs() < 1e-3);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn goodman(amplitude: Stress, mean: Stress, ultimate: Stress) -> Result<Stress, InputError> {
    let (sa_pa, su_pa) = (positive("amplitude", amplitude)?, positive("ultimate", ultimate)?);
    let sm_pa = crate::design::error::not_negative("mean", mean)?;
    if sm_pa >= su_pa {
        return Err(InputError::outside(
            "mean",
            mpa(sm_pa),
            format!("a mean below the ultimate, {}", mpa(su_pa)),
        ));
    }
    Ok(Stress::from_si(sa_pa / (1.0 - sm_pa / su_pa)))
}

/// Calculated lives are divided by this before they are used (space practice, from memory).
pub const LIFE_FACTOR: f64 = 4.0;
/// Above this share of the local yield pressure a cycle counts as [`HARD_CYCLE_WEIGHT`] ordinary ones.
const HARD_CYCLE_SHARE: f64 = 0.90;
/// How many ordinary cycles a hard one counts as (club rule; common practice, no source).
const HARD_CYCLE_WEIGHT: f64 = 10.0;

/// How many ordinary cycles a firing or proof counts as: the low-cycle rule.
///
/// Formula: 10 when the peak is above 90 % of the yield pressure of the mode, else 1; exactly 90 % is 1.
/// Arguments: gauge pressures. Errors: a peak below zero, a yield pressure not above zero.
/// Source: club rule; common practice, no source.
///
/// ```
/// use proofmark::quantity::GaugePressure;
/// use proofmark::strength::fatigue::cycle_weight;
/// assert_eq!(cycle_weight(GaugePressure::mpa(7.12), GaugePressure::mpa(7.62))?, 10.0);
/// assert_eq!(cycle_weight(GaugePressure::mpa(5.7), GaugePressure::mpa(7.62))?, 1.0);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn cycle_weight(peak: GaugePressure, yield_pressure: GaugePressure) -> Result<f64, InputError> {
    let p_pa = crate::design::error::not_negative("peak", peak)?;
    let y_pa = positive("yield_pressure", yield_pressure)?;
    Ok(if p_pa > HARD_CYCLE_SHARE * y_pa * (1.0 + 1e-12) { HARD_CYCLE_WEIGHT } else { 1.0 })
}

/// A damage sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DamageSum {
    /// Share of the life used: 1 is failure by the rule, tests fail between 0.33 and 3.
    pub damage: f64,
    /// How often the same history could be repeated to reach 1; absent when nothing was counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub repeats_to_failure: Option<f64>,
}

/// Palmgren-Miner damage sum.
///
/// Formula: D = sum n/N; repeats = 1/D.
/// Arguments: cycles counted at each level, and cycles to failure at each level, in the same order.
/// Valid as a rule of thumb: tests fail at D from 0.33 to 3, so retire by 0.25 to 0.33. No life factor is
/// inside. Errors: none given, lists of different lengths, a count below zero, a life not above zero.
/// Source: Palmgren 1924, Miner 1945.
///
/// ```
/// let sum = proofmark::strength::fatigue::damage_sum(&[10.0, 5.0, 100.0], &[1e3, 200.0, 1e4])?;
/// assert!((sum.damage - 0.045).abs() < 1e-12);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn damage_sum(counts: &[f64], lives: &[f64]) -> Result<DamageSum, InputError> {
    if counts.is_empty() {
        return Err(InputError::missing("counts", "one count or more, e.g. 10,5,100"));
    }
    if counts.len() != lives.len() {
        let accepted = format!("as many lives as counts, {}", counts.len());
        return Err(InputError::outside("lives", format!("{} of them", lives.len()), accepted));
    }
    let mut damage = 0.0;
    for (count, life) in counts.iter().zip(lives) {
        if !count.is_finite() || *count < 0.0 {
            return Err(InputError::outside("counts", count, "counts of zero or above"));
        }
        if !life.is_finite() || *life <= 0.0 {
            return Err(InputError::outside("lives", life, "lives above zero"));
        }
        damage += count / life;
    }
    Ok(DamageSum { damage, repeats_to_failure: (damage > 0.0).then(|| 1.0 / damage) })
}

/// Firings or proofs at one peak pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CycleBlock {
    /// Peak gauge pressure.
    pub peak: GaugePressure,
    /// How many.
    pub count: f64,
    /// Calculated cycles to failure of the detail at that peak, no life factor taken off.
    pub life: f64,
}

/// The share of a part's life its history has used, by one failure mode.
///
/// Formula: sum of weight x count x 4/life, with the weight of [`cycle_weight`] and the life factor of
/// [`LIFE_FACTOR`].
/// Arguments: the blocks; the yield pressure of the mode. A proof counts like a firing, at its own peak.
/// Valid as [`damage_sum`]. Errors: as [`cycle_weight`] and [`damage_sum`].
/// Source: Palmgren-Miner; life factor from memory; weight common practice, no source.
///
/// ```
/// use proofmark::quantity::GaugePressure;
/// use proofmark::strength::fatigue::{CycleBlock, damage_used};
/// let block = |mpa, count| CycleBlock { peak: GaugePressure::mpa(mpa), count, life: 10_000.0 };
/// let used = damage_used(&[block(5.2, 5.0), block(7.12, 2.0)], GaugePressure::mpa(7.62))?;
/// assert!((used.damage - (5.0 + 20.0) * 4.0 / 10_000.0).abs() < 1e-12);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn damage_used(blocks: &[CycleBlock], yield_pressure: GaugePressure) -> Result<DamageSum, InputError> {
    let mut counts = Vec::with_capacity(blocks.len());
    let mut lives = Vec::with_capacity(blocks.len());
    for block in blocks {
        counts.push(block.count * cycle_weight(block.peak, yield_pressure)?);
        lives.push(block.life / LIFE_FACTOR);
    }
    damage_sum(&counts, &lives)
}
