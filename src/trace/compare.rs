//! Measured against planned, and one firing against another, on a common start.

use serde::Serialize;

use super::channel::ChannelReduction;
use super::curve::Curve;
use super::error::TraceError;
use super::read::ChannelUnit;
use crate::ballistics::{Load, Prediction, predict};
use crate::quantity::Quantity;

/// How both sides are put on one clock, in words.
pub const COMMON_START: &str = "each record's zero of time is its own first crossing of the threshold share of \
     its own peak; a plan is alight at once, so its zero is its first point";

/// Points a comparison looks at.
const POINTS: usize = 600;

/// One side of a comparison: a curve and its numbers.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The tared channel.
    pub curve: &'a Curve,
    /// When the curve crosses the threshold first: its zero of time.
    pub start_s: f64,
    /// Largest reading.
    pub peak: f64,
    /// Integral.
    pub integral: f64,
    /// From the first crossing to the last.
    pub burn_time_s: f64,
    /// Standard uncertainty of the peak; zero of a plan.
    pub peak_uncertainty: f64,
    /// Standard uncertainty of the burn time; zero of a plan.
    pub burn_time_uncertainty_s: f64,
}

impl<'a> Side<'a> {
    /// A measured channel.
    pub fn measured(curve: &'a Curve, numbers: &ChannelReduction) -> Self {
        Self {
            curve,
            start_s: numbers.burn.start_s,
            peak: numbers.peak,
            integral: numbers.integral,
            burn_time_s: numbers.burn.time_s(),
            peak_uncertainty: numbers.peak_uncertainty,
            burn_time_uncertainty_s: numbers.burn_time_uncertainty_s,
        }
    }

    fn mean(&self) -> f64 {
        self.integral / self.burn_time_s
    }
}

/// A firing over what it is held against, number by number. 1 is agreement.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ratios {
    /// Of the peaks.
    pub peak_ratio: f64,
    /// Of the means over the burn.
    pub mean_ratio: f64,
    /// Of the integrals: impulse, or pressure over time.
    pub impulse_ratio: f64,
    /// Of the burn times.
    pub burn_time_ratio: f64,
    /// Largest difference of the two curves on the common start, as a share of the reference's peak; over zero
    /// where the firing is above.
    pub largest_difference_share: f64,
    /// When, since the common start.
    pub largest_difference_at_s: f64,
    /// Root mean square of the difference over the shorter burn, as a share of the reference's peak.
    pub rms_difference_share: f64,
    /// "at least" where the firing's peak is a lower bound, "at most" where the reference's is, "unknown, by readings" where
    /// both are; empty where both are known.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub peak_ratio_is: &'static str,
    /// The same of mean and integral, which a curve that is cut off at its top falls short of too.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub impulse_ratio_is: &'static str,
}

/// What a ratio of two peaks is, where one or both are lower bounds.
pub const fn ratio_is(firing_is_bound: bool, reference_is_bound: bool) -> &'static str {
    match (firing_is_bound, reference_is_bound) {
        (true, false) => "at least",
        (false, true) => "at most",
        (true, true) => "unknown, by readings",
        (false, false) => "",
    }
}

/// Holds a firing against a reference, the plan or another firing, on a common start ([`COMMON_START`]).
///
/// Ratios are the firing over the reference. Mean is integral over burn time on both sides. The largest
/// difference is looked for over the shorter of the two burns, its first and last 5 % left out, where two steep
/// edges a moment apart would differ by the whole peak.
/// `None` where a side has no peak, integral or duration over zero, or the two are in different units.
///
/// ```
/// use proofmark::trace::{Curve, ChannelUnit, compare::{Side, ratios}};
/// let a = Curve::new(ChannelUnit::N, [(0.0, 0.0), (0.0, 100.0), (2.0, 100.0), (2.0, 0.0)]);
/// let b = Curve::new(ChannelUnit::N, [(5.0, 0.0), (5.0, 110.0), (7.0, 110.0), (7.0, 0.0)]);
/// let of = |curve, start_s, peak, integral| Side {
///     curve, start_s, peak, integral, burn_time_s: 2.0, peak_uncertainty: 0.0, burn_time_uncertainty_s: 0.0,
/// };
/// let (plan, fired) = (of(&a, 0.0, 100.0, 200.0), of(&b, 5.0, 110.0, 220.0));
/// let found = ratios(&fired, &plan).ok_or("nothing to compare")?;
/// assert!((found.peak_ratio - 1.1).abs() < 1e-12 && (found.largest_difference_share - 0.1).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ratios(firing: &Side<'_>, reference: &Side<'_>) -> Option<Ratios> {
    let sound = |side: &Side<'_>| {
        [side.peak, side.integral, side.burn_time_s].iter().all(|it| it.is_finite() && *it > 0.0)
    };
    if !sound(firing) || !sound(reference) || firing.curve.unit != reference.curve.unit {
        return None;
    }
    let shorter = firing.burn_time_s.min(reference.burn_time_s);
    let (mut largest, mut at, mut squares) = (0.0f64, 0.0, 0.0);
    for k in 0..POINTS {
        let share = (k as f64 + 0.5) / POINTS as f64;
        let t = shorter * share;
        let off = firing.curve.at(firing.start_s + t) - reference.curve.at(reference.start_s + t);
        if !(0.05..=0.95).contains(&share) {
            continue;
        }
        squares += off * off;
        if off.abs() > largest.abs() {
            (largest, at) = (off, t);
        }
    }
    Some(Ratios {
        peak_ratio: firing.peak / reference.peak,
        mean_ratio: firing.mean() / reference.mean(),
        impulse_ratio: firing.integral / reference.integral,
        burn_time_ratio: firing.burn_time_s / reference.burn_time_s,
        largest_difference_share: largest / reference.peak,
        largest_difference_at_s: at,
        rms_difference_share: (squares / (0.9 * POINTS as f64)).sqrt() / reference.peak,
        peak_ratio_is: "",
        impulse_ratio_is: "",
    })
}

/// What a load's plan says of one channel, as a curve that starts at zero time and falls off at its end as an
/// emptying chamber does.
#[derive(Clone, Debug)]
pub struct PlannedCurve {
    /// Thrust in newtons, or pressure in pascals above the atmosphere.
    pub curve: Curve,
    peak: f64,
    integral: f64,
    burn_time_s: f64,
}

impl PlannedCurve {
    /// The plan's curve of thrust (`N`) or pressure (`Pa`); nothing of it is in volts.
    ///
    /// Tail-off: once the propellant is gone the chamber empties through the throat, `p ~ exp(-t/tau)`, drawn
    /// until it is at a tenth ([`Prediction::tail_off_s`]). Peak, integral and burn time are the plan's own, without
    /// it: by the balance of mass everything has left by then.
    pub fn of(plan: &Prediction, unit: ChannelUnit) -> Option<Self> {
        let value = |point: &crate::ballistics::CurvePoint| match unit {
            ChannelUnit::N => point.thrust_n.si(),
            _ => point.pressure_pa.si(),
        };
        let (peak, mean) = match unit {
            ChannelUnit::N => (plan.peak_thrust_n.si(), plan.mean_thrust_n.si()),
            ChannelUnit::Pa => (plan.peak_pressure_pa.si(), plan.mean_pressure_pa.si()),
            ChannelUnit::V => return None,
        };
        let burn_time_s = plan.burn_time_s.si();
        let last = plan.curve.last().map(|point| (point.time_s.si(), value(point)))?;
        let tail = (1..=12).map(|k| {
            let share = f64::from(k) / 12.0;
            (last.0 + plan.tail_off_s.si() * share, last.1 * 0.1f64.powf(share))
        });
        let points = plan.curve.iter().map(|point| (point.time_s.si(), value(point)));
        let curve = Curve::new(unit, points.chain(tail));
        Some(Self { curve, peak, integral: mean * burn_time_s, burn_time_s })
    }

    /// As one side of a comparison.
    pub fn side(&self) -> Side<'_> {
        Side {
            curve: &self.curve,
            start_s: 0.0,
            peak: self.peak,
            integral: self.integral,
            burn_time_s: self.burn_time_s,
            peak_uncertainty: 0.0,
            burn_time_uncertainty_s: 0.0,
        }
    }
}

/// The burn-rate factor that explains a firing best.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BurnRateFit {
    /// Multiplies the plan's burn rate at every pressure.
    pub factor: f64,
    /// The channel it was fitted to.
    pub channel: &'static str,
    /// How much later than the measured crossing the whole surface was alight, where the fit is best.
    pub alight_after_s: f64,
    /// Root mean square of what the fit leaves over, as a share of the peak.
    pub residual_share: f64,
    /// Factor that the peak alone asks for.
    pub factor_by_peak: f64,
    /// Factor that the burn time alone asks for: inverse time ratio to the power 1 - n.
    pub factor_by_burn_time: f64,
    /// Two standard uncertainties of the ratio of the two: of the readings, of how long the surface took to light,
    /// and of the tail-off, which the plan's burn time leaves out.
    pub factors_agree_within: f64,
    /// Whether peak and burn time ask for the same, within that: a change of burn rate alone. Where they do not, look
    /// at throat, grain and propellant mass instead.
    pub burn_rate_alone: bool,
    /// In words: that it does, or what differs.
    pub says: String,
    /// Whether the best factor is at the end of what was searched (0.5 to 2).
    pub at_limit: bool,
    /// How it was found.
    pub method: &'static str,
}

/// Factors searched.
const FACTORS: (f64, f64) = (0.5, 2.0);
/// Points of the curve that are fitted.
const FITTED: usize = 400;
/// What the plan's own numbers are worth at best (its steps and its ideal ignition).
const PLAN_SHARE: f64 = 0.003;

const METHOD: &str = "least squares of measured less planned over the curve, 400 even points from the crossing to \
     the later end; the plan burnt anew (quasi-steady) with its burn rate times the factor, and slid by up to a \
     tenth of the burn, because a plan has no ignition; searched from 0.5 to 2";

/// Finds the factor on the plan's burn rate that makes plan and measured curve agree best.
///
/// Formula: minimum over factor f and slide s of `sum (y(t_k) - plan_f(t_k - s))^2`. In the quasi-steady model a
/// factor on the burn rate scales pressure and the speed of the whole burn by `f^(1/(1 - n))` alike, so peak
/// and burn time each ask for a factor of their own: the one whose plan has this peak, and `(time ratio)^(n - 1)`. They
/// are given beside it.
/// Valid for a firing that burnt as the plan's grain does; a step, a leak or a crack shows as a residual and as peak
/// and time that disagree. For thrust the impulse must be the plan's: a nozzle that gives less pulls the factor down.
/// Errors: a plan that cannot be burnt, or a channel in volts.
/// Source: quasi-steady balance (Sutton and Biblarz, Rocket Propulsion Elements 7e, chapters 3 and 11); the method is
/// this program's own.
pub fn fit_burn_rate(
    load: &Load,
    channel: &'static str,
    measured: &Side<'_>,
) -> Result<BurnRateFit, TraceError> {
    let refuse = |why: String| TraceError::BadOption(format!("the plan: {why}"));
    let unit = measured.curve.unit;
    let planned = |factor: f64| -> Result<PlannedCurve, TraceError> {
        let plan = predict(&with_factor(load, factor)).map_err(|error| refuse(error.to_string()))?;
        PlannedCurve::of(&plan, unit)
            .ok_or_else(|| refuse("a channel in volts is no thrust and no pressure; calibrate it".to_owned()))
    };
    let one = planned(1.0)?;
    let exponent = load.propellant.exponent;
    let by_peak = factor_of_peak(measured.peak, |factor| planned(factor).ok().map(|plan| plan.peak));
    let by_time = (one.burn_time_s / measured.burn_time_s).powf(1.0 - exponent);
    let left_over = |factor: f64| -> (f64, f64) {
        // A factor that cannot be burnt explains nothing.
        let Ok(plan) = planned(factor) else { return (f64::INFINITY, 0.0) };
        let end = plan.curve.span().map_or(0.0, |span| span.1).max(measured.burn_time_s);
        let points: Vec<(f64, f64)> = (0..FITTED)
            .map(|k| end * (k as f64 + 0.5) / FITTED as f64)
            .map(|t| (t, measured.curve.at(measured.start_s + t)))
            .collect();
        let squares = |slide: f64| {
            let sum: f64 = points.iter().map(|(t, y)| (y - plan.curve.at(t - slide)).powi(2)).sum();
            sum * end / FITTED as f64
        };
        let reach = 0.1 * measured.burn_time_s;
        least(-0.2 * reach, reach, 24, squares)
    };
    let (low, high) = (FACTORS.0.ln(), FACTORS.1.ln());
    let (best, squares) = {
        let (square, at) = {
            let mut best = (f64::INFINITY, 0.0);
            // A coarse look first, so that a second hollow cannot catch the search.
            for k in 0..=28 {
                let x = low + (high - low) * f64::from(k) / 28.0;
                let found = left_over(x.exp()).0;
                if found < best.0 {
                    best = (found, x);
                }
            }
            best
        };
        let step = (high - low) / 28.0;
        let (refined, x) = least((at - step).max(low), (at + step).min(high), 28, |x| left_over(x.exp()).0);
        if refined <= square { (x, refined) } else { (at, square) }
    };
    if !squares.is_finite() {
        return Err(refuse("no burn rate near the plan's can be burnt".to_owned()));
    }
    let factor = best.exp();
    let (_, alight_after_s) = left_over(factor);
    let end = measured.burn_time_s.max(f64::MIN_POSITIVE);
    let tail_s =
        planned(factor).ok().and_then(|plan| Some(plan.curve.span()?.1 - plan.burn_time_s)).unwrap_or(0.0);
    let edges_s = measured.burn_time_uncertainty_s.hypot(alight_after_s).hypot(tail_s);
    let share = (measured.peak_uncertainty / measured.peak).hypot(edges_s / end).hypot(PLAN_SHARE);
    let within = 2.0 * (1.0 - exponent) * share;
    let apart = (by_peak / by_time).ln();
    let burn_rate_alone = apart.abs() <= within;
    Ok(BurnRateFit {
        factor,
        channel,
        alight_after_s,
        residual_share: (squares / end).sqrt() / measured.peak,
        factor_by_peak: by_peak,
        factor_by_burn_time: by_time,
        factors_agree_within: within,
        burn_rate_alone,
        says: differs(apart, within),
        at_limit: best <= low + 1e-3 || best >= high - 1e-3,
        method: METHOD,
    })
}

/// What two factors say of each other. Their ratio is the impulse's, to the power 1 - n.
fn differs(apart: f64, within: f64) -> String {
    let how = format!(
        "{:.1} % apart, {:.1} % would be within their uncertainty",
        100.0 * apart.abs(),
        100.0 * within
    );
    if apart.abs() <= within {
        format!("a burn rate explains both ({how})")
    } else if apart > 0.0 {
        format!(
            "no burn rate explains both ({how}): the peak is higher or the burn longer than one rate gives; look for more \
             grain than planned, a slow ignition or a weak tail in the time, a spike in the peak, the calibration"
        )
    } else {
        format!(
            "no burn rate explains both ({how}): the peak is lower or the burn shorter than one rate gives; look for less \
             grain than planned, a leak, a wider throat, the calibration"
        )
    }
}

/// The factor whose plan has this peak, by halving: a peak rises with the burn rate.
fn factor_of_peak(peak: f64, of: impl Fn(f64) -> Option<f64>) -> f64 {
    let (mut low, mut high) = (0.2f64.ln(), 5f64.ln());
    for _ in 0..48 {
        let middle = f64::midpoint(low, high);
        // Too slow to choke the nozzle, or too fast to burn at all.
        let below = of(middle.exp()).map_or(middle < 0.0, |found| found < peak);
        if below {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high).exp()
}

/// The same load with another burn rate.
fn with_factor(load: &Load, factor: f64) -> Load {
    let mut load = load.clone();
    let rate = &mut load.propellant.burn_rate.rate;
    *rate = crate::quantity::Speed::from_si(rate.si() * factor);
    load
}

/// Smallest value of a function with one hollow between two ends, and where: golden section.
/// Source: Kiefer, Proceedings of the AMS 4 (1953) 502.
fn least(mut low: f64, mut high: f64, rounds: u32, f: impl Fn(f64) -> f64) -> (f64, f64) {
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (high - golden * (high - low), low + golden * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    for _ in 0..rounds {
        if fa <= fb {
            (high, b, fb) = (b, a, fa);
            a = high - golden * (high - low);
            fa = f(a);
        } else {
            (low, a, fa) = (a, b, fb);
            b = low + golden * (high - low);
            fb = f(b);
        }
    }
    if fa <= fb { (fa, a) } else { (fb, b) }
}
