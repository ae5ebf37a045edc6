//! The chance that a firing's peak passes a limit: a narrow body of ordinary firings, and a rare tail of hard
//! starts taken from a count of them.

use serde::Serialize;

use super::load::Spread;
use crate::quantity::{AbsolutePressure, Quantity};

/// Firings counted, and those of them that started hard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct HardStarts {
    /// Firings with a measured peak and a plan to hold it against.
    pub firings: u32,
    /// Those that started hard.
    pub hard: u32,
}

impl HardStarts {
    /// Median peak of a hard start over the plan.
    ///
    /// Source: common practice, no source; one club's single hard start (1.74) and reports of others.
    const RATIO: f64 = 1.45;
    /// One sigma of the logarithm of that ratio. Source: as [`HardStarts::RATIO`].
    const SIGMA: f64 = 0.18;

    /// The chance that the next firing starts hard.
    ///
    /// Formula: (k + 1/2)/(N + 1), k hard starts in N firings: the mean of the Beta(k + 1/2, N - k + 1/2) that
    /// follows from Jeffreys' prior, so that a club without one yet does not believe in none.
    /// Valid for any count. Source: Jeffreys' prior for a proportion (Brown, Cai and DasGupta, Statistical
    /// Science 16(2), 2001, from memory).
    ///
    /// ```
    /// use proofmark::ballistics::HardStarts;
    /// let chance = HardStarts { firings: 58, hard: 1 }.chance();
    /// assert!((chance - 1.5 / 59.0).abs() < 1e-15);
    /// ```
    pub fn chance(self) -> f64 {
        (f64::from(self.hard.min(self.firings)) + 0.5) / (f64::from(self.firings) + 1.0)
    }

    /// A spread with this tail.
    pub fn with(self, spread: Spread) -> Spread {
        Spread {
            hard_start_chance: self.chance(),
            hard_start_ratio: Self::RATIO,
            hard_start_sigma: Self::SIGMA,
            ..spread
        }
    }
}

/// The chance of passing one limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// With the tail of hard starts.
    pub chance: f64,
    /// Of an ordinary firing alone.
    pub ordinary: f64,
}

/// The chance that a peak passes a limit, worked out instead of drawn.
///
/// Formula: the peak of an ordinary firing is log-normal about the plan with sigma s; a hard start is that, times
/// a log-normal ratio of median R and sigma h, with chance q:
/// (1 - q) Q(ln(limit/plan)/s) + q Q(ln(limit/(R plan))/sqrt(s^2 + h^2)), Q the upper tail of the normal.
/// Arguments: planned peak and limit, both ABSOLUTE; spread; exponent. Against the draws it differs by what a
/// log-normal differs from a product of normals, to the cautious side: at s of 6 % and a chance near 1 in 20 it is
/// about a twentieth of itself higher.
/// Valid for s up to about 0.2. Without any scatter the answer is 0 or 1.
/// Source: propagation of independent errors; the two parts are club practice, no source.
///
/// ```
/// use proofmark::ballistics::chance::{HardStarts, chance_over};
/// use proofmark::ballistics::load::Spread;
/// use proofmark::quantity::{AbsolutePressure, Quantity};
/// let spread = HardStarts { firings: 58, hard: 1 }.with(Spread::of_peak(0.064, 0.36));
/// let (plan, proof) = (AbsolutePressure::mpa(5.68), AbsolutePressure::mpa(9.45));
/// let over = chance_over(plan, proof, &spread, 0.36);
/// assert!((over.chance - 0.0060).abs() < 0.0002 && over.ordinary < 1e-14);
/// ```
pub fn chance_over(
    plan: AbsolutePressure,
    limit: AbsolutePressure,
    spread: &Spread,
    exponent: f64,
) -> Chance {
    let sigma = spread.peak_sigma(exponent);
    let away = (limit.si() / plan.si()).ln();
    let ordinary = upper_tail(away, sigma);
    let rate = spread.hard_start_chance;
    let tail = if rate > 0.0 {
        upper_tail(away - spread.hard_start_ratio.ln(), sigma.hypot(spread.hard_start_sigma))
    } else {
        0.0
    };
    Chance { chance: (1.0 - rate) * ordinary + rate * tail, ordinary }
}

/// The chance that a normal value of this sigma lies further up than that.
fn upper_tail(away: f64, sigma: f64) -> f64 {
    if sigma > 0.0 {
        0.5 * libm::erfc(away / (sigma * std::f64::consts::SQRT_2))
    } else if away < 0.0 {
        1.0
    } else {
        0.0
    }
}
