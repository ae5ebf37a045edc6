//! Proof arithmetic: factors, permanent set, repeats, and what one proof may be followed by.

use serde::Serialize;

use super::InputError;
use crate::design::error::{ml, not_negative, positive, within};
use crate::quantity::{GaugePressure, Quantity, Volume};

/// Proof factor.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProofFactor {
    /// Proof pressure over MEOP.
    pub proof_factor: f64,
}

/// The proof factor that goes with a burst factor.
///
/// Formula: (1 + BF)/2 below a burst factor of 2, else 1.5.
/// Arguments: burst pressure over MEOP, 1 to 20. Errors: outside that.
/// Valid for metal pressure vessels proofed once; a club may ask for more, never less.
/// Source: MIL-STD-1522A and AFSPCMAN 91-710 (from memory).
///
/// ```
/// assert_eq!(proofmark::strength::proof::proof_factor(1.5)?.proof_factor, 1.25);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn proof_factor(burst_factor: f64) -> Result<ProofFactor, InputError> {
    let bf = within("burst_factor", burst_factor, 1.0, 20.0, "burst pressure over MEOP, 1 to 20")?;
    Ok(ProofFactor { proof_factor: if bf < 2.0 { f64::midpoint(1.0, bf) } else { 1.5 } })
}

/// The most of the total expansion that may stay behind, in percent (49 CFR 180.205).
pub const PERMANENT_SET_LIMIT_PERCENT: f64 = 10.0;

/// The verdict of a volumetric test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PermanentSet {
    /// Total less permanent expansion.
    pub elastic_m3: Volume,
    /// Permanent expansion in percent of the TOTAL EXPANSION, not of the volume.
    pub percent: f64,
    /// Whether it is within the limit; judged before any rounding, exactly the limit passes.
    pub passes: bool,
    /// The limit.
    pub limit_percent: f64,
}

/// Judges permanent set against 10 % of the total expansion.
///
/// Formula: elastic = total - permanent; percent = 100 permanent/total; passes when permanent <= 0.10 total.
/// Arguments: total and permanent expansion as volumes in the same test.
/// The comparison allows 1e-12 of the total for binary arithmetic, so 15.0 of 150 passes and 15.1 fails.
/// Errors: a total not above zero, a permanent expansion below zero or above the total.
/// Source: 49 CFR 180.203 (definitions), 180.205 (condemned above 10 % of total expansion).
///
/// ```
/// use proofmark::quantity::{Quantity, Volume};
/// let cc = |it: f64| Volume::from_si(it * 1e-6);
/// let at = proofmark::strength::proof::permanent_set(cc(150.0), cc(15.0))?;
/// assert!(at.passes);
/// assert!(!proofmark::strength::proof::permanent_set(cc(150.0), cc(15.1))?.passes);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn permanent_set(total: Volume, permanent: Volume) -> Result<PermanentSet, InputError> {
    let total_m3 = positive("total", total)?;
    let permanent_m3 = not_negative("permanent", permanent)?;
    if permanent_m3 > total_m3 {
        return Err(InputError::outside(
            "permanent",
            ml(permanent_m3),
            format!("a permanent expansion up to the total, {}", ml(total_m3)),
        ));
    }
    let limit_m3 = PERMANENT_SET_LIMIT_PERCENT / 100.0 * total_m3;
    Ok(PermanentSet {
        elastic_m3: Volume::from_si(total_m3 - permanent_m3),
        percent: 100.0 * permanent_m3 / total_m3,
        passes: permanent_m3 <= limit_m3 + 1e-12 * total_m3,
        limit_percent: PERMANENT_SET_LIMIT_PERCENT,
    })
}

/// The highest pressure of a repeated proof.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RepeatTest {
    /// The lower of 1.1 times the first pressure and that pressure plus 100 psi.
    pub highest_repeat_pa: GaugePressure,
}

/// The highest pressure a proof may be repeated at after the TEST EQUIPMENT failed, not the part.
///
/// Formula: min(1.1 p, p + 100 psi). Arguments: the gauge pressure of the first proof.
/// Valid once, for a repeat owed to the equipment; the 90 % cap on every mode still holds. Errors: a
/// pressure not above zero. Source: 49 CFR 180.205(g)(5) (from memory).
///
/// ```
/// use proofmark::quantity::{GaugePressure, Quantity};
/// const PSI: f64 = 6_894.757_293_168;
/// let at = proofmark::strength::proof::repeat_test(GaugePressure::from_si(800.0 * PSI))?;
/// assert!((at.highest_repeat_pa.si() / PSI - 880.0).abs() < 1e-9);
/// # Ok::<(), proofmark::strength::InputError>(())
/// ```
pub fn repeat_test(pressure: GaugePressure) -> Result<RepeatTest, InputError> {
    let p_pa = positive("pressure", pressure)?;
    let highest_pa = (1.1 * p_pa).min(p_pa + 100.0 * 6_894.757_293_168);
    Ok(RepeatTest { highest_repeat_pa: GaugePressure::from_si(highest_pa) })
}
