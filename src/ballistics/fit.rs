//! A batch's burn law from firings: one gives a factor, two or more at different Kn give rate and exponent.

use serde::Serialize;

use crate::design::InputError;
use crate::design::error::{positive, within};
use crate::quantity::{AbsolutePressure, BurnRate, Density, Quantity, Speed};

/// How much the greatest Kn of the firings must exceed the least before a slope says anything.
const LEAST_KN_SPREAD: f64 = 1.05;
/// Beyond the tested range by more than this share counts as outside it.
const TOUCHES: f64 = 0.01;
/// The two-sided 95 % point of the normal.
const NORMAL_95: f64 = 1.960;

/// Two-sided 95 % points of Student's t for 1 to 30 degrees of freedom.
///
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, column 0.975.
#[rustfmt::skip]
const STUDENT_95: [f64; 30] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
    2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
];

/// The two-sided 95 % point of Student's t; beyond 30 degrees of freedom that of 30, which is a little wide.
pub fn student_95(degrees: usize) -> Option<f64> {
    let last = STUDENT_95.len();
    degrees.checked_sub(1).and_then(|at| STUDENT_95.get(at.min(last - 1))).copied()
}

/// One firing as the fit needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shot {
    /// Greatest burning area over throat area of its burn.
    pub kn: f64,
    /// The least.
    pub kn_low: f64,
    /// Density of the propellant.
    pub density: Density,
    /// Characteristic velocity.
    pub characteristic_velocity: Speed,
    /// Measured peak, ABSOLUTE.
    pub peak: AbsolutePressure,
    /// The peak that the batch's numbers before this fit give for the same Kn, ABSOLUTE.
    pub expected: AbsolutePressure,
}

/// A number with its 95 % interval; an end is missing where the firings do not bound it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// The best estimate.
    pub value: f64,
    /// The low end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// The high end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

/// What an interval rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rests {
    /// On how far the firings lie from the fit, by Student's t.
    OnTheFirings,
    /// On the scatter assumed of a peak: there are too few firings to show their own.
    OnAssumedScatter,
}

/// A burn law fitted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Law {
    /// Burn rate at the reference pressure, m/s.
    pub burn_rate_m_s: Estimate,
    /// That pressure, absolute.
    pub at_pa: AbsolutePressure,
    /// Pressure exponent.
    pub exponent: Estimate,
    /// What the intervals rest on.
    pub rests: Rests,
    /// How far the peaks lie from the fit, one sigma, relative; absent for two firings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub residual: Option<f64>,
}

/// What firings say of a batch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// How many firings.
    pub firings: usize,
    /// Burn rate against the numbers before, with the exponent as it was.
    pub factor: Estimate,
    /// What the factor's interval rests on.
    pub factor_rests: Rests,
    /// The law, where the firings give one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub law: Option<Law>,
    /// Why they do not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_law: Option<String>,
    /// The Kn burned through.
    pub kn: [f64; 2],
    /// The pressures burned through, absolute.
    pub pressure_pa: [f64; 2],
}

/// Fit a batch's burn law to firings.
///
/// Formula: at its peak a firing is in balance, r = p/(Kn rho c*), and r = r1 (p/p1)^n, so
/// ln p = (ln(Kn rho c*) + ln a)/(1 - n): a straight line of ln p on ln(Kn rho c*) with slope b = 1/(1 - n).
/// Least squares; standard errors and t from the residuals (n - 2 degrees of freedom); the exponent's interval is
/// that of b carried through n = 1 - 1/b, the rate's at p1 by first-order propagation of the line's inverse. Two
/// firings show no scatter of their own: the interval rests on `assumed`, the club's one sigma of a peak.
/// The factor keeps the exponent: mean of ((p/expected)^(1 - n)), on its logarithm.
/// Arguments: the shots, the exponent before, the pressure to give the rate at, the assumed sigma.
/// Valid for peaks of the steady burn: a hard start or a leak must be left out before.
///
/// # Errors
/// No shot, or a number that is not above zero. Kn that hardly differ give a factor and the reason for no law.
///
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, sections 4.1.4.1 and 4.4.3 (least squares, intervals of
/// its parameters), 2.3.6.7 (propagation for a line used backwards); the balance from Sutton and Biblarz, Rocket
/// Propulsion Elements 7e, section 11.1.
///
/// ```
/// use proofmark::ballistics::fit::{Shot, fit};
/// use proofmark::quantity::{AbsolutePressure, Density, Quantity, Speed};
/// let shot = |kn: f64| {
///     let peak = 5e6 * (kn * 1680.0 * 1370.0 * 0.007 / 5e6_f64).powf(1.0 / 0.6); // n = 0.4
///     Shot {
///         kn, kn_low: 0.9 * kn, density: Density::from_si(1680.0), characteristic_velocity: Speed::from_si(1370.0),
///         peak: AbsolutePressure::from_si(peak), expected: AbsolutePressure::from_si(peak),
///     }
/// };
/// let found = fit(&[shot(250.0), shot(300.0), shot(350.0)], 0.4, AbsolutePressure::mpa(5.0), 0.064)?;
/// let law = found.law.ok_or_else(|| proofmark::design::InputError::Missing { input: "law".into(), accepted: "".into() })?;
/// assert!((law.exponent.value - 0.4).abs() < 1e-9 && (law.burn_rate_m_s.value - 0.007).abs() < 1e-12);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn fit(
    shots: &[Shot],
    exponent: f64,
    reference: AbsolutePressure,
    assumed: f64,
) -> Result<Fit, InputError> {
    let reference_pa = positive("reference", reference)?;
    super::chamber::exponent("exponent", exponent)?;
    within("assumed", assumed, 0.0, 1.0, "one sigma of a peak as a share, 0 to 1")?;
    if shots.is_empty() {
        return Err(InputError::missing("firings", "one firing or more with a measured peak"));
    }
    let mut points = Vec::new();
    let mut factors = Vec::new();
    let (mut kn, mut pressure_pa) = ([f64::INFINITY, 0.0], [f64::INFINITY, 0.0]);
    for shot in shots {
        let accepted = "a burning area over throat area above zero, with its least not above its greatest";
        within("kn", shot.kn, f64::MIN_POSITIVE, 1e6, accepted)?;
        within("kn_low", shot.kn_low, f64::MIN_POSITIVE, shot.kn * (1.0 + 1e-9), accepted)?;
        let drive = shot.kn
            * positive("density", shot.density)?
            * positive("characteristic_velocity", shot.characteristic_velocity)?;
        let peak_pa = positive("peak", shot.peak)?;
        points.push((drive.ln(), peak_pa.ln()));
        factors.push((1.0 - exponent) * (peak_pa / positive("expected", shot.expected)?).ln());
        let low_pa = peak_pa * (shot.kn_low / shot.kn).powf(1.0 / (1.0 - exponent));
        kn = [kn[0].min(shot.kn_low), kn[1].max(shot.kn)];
        pressure_pa = [pressure_pa[0].min(low_pa), pressure_pa[1].max(peak_pa)];
    }
    let (factor, factor_rests) = factor_of(&factors, (1.0 - exponent) * assumed);
    let (law, no_law) = match law_of(&points, reference_pa, assumed) {
        Ok(law) => (Some(law), None),
        Err(why) => (None, Some(why)),
    };
    Ok(Fit { firings: shots.len(), factor, factor_rests, law, no_law, kn, pressure_pa })
}

/// The mean of logarithms as a factor.
fn factor_of(logs: &[f64], assumed: f64) -> (Estimate, Rests) {
    let count = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let (half, rests) = match student_95(logs.len().saturating_sub(1)) {
        Some(point) => {
            let square = logs.iter().map(|it| (it - mean).powi(2)).sum::<f64>() / (count - 1.0);
            (point * (square / count).sqrt(), Rests::OnTheFirings)
        }
        None => (NORMAL_95 * assumed, Rests::OnAssumedScatter),
    };
    (around(mean, half), rests)
}

/// e to the power of a logarithm and of both ends about it.
fn around(log: f64, half: f64) -> Estimate {
    Estimate { value: log.exp(), low: Some((log - half).exp()), high: Some((log + half).exp()) }
}

fn law_of(points: &[(f64, f64)], reference_pa: f64, assumed: f64) -> Result<Law, String> {
    if points.len() < 2 {
        return Err("one firing gives a factor; the exponent needs a second one at another Kn".to_owned());
    }
    let count = points.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x_mean, y_mean) = (mean(|it| it.0), mean(|it| it.1));
    let least = points.iter().map(|it| it.0).fold(f64::INFINITY, f64::min);
    let most = points.iter().map(|it| it.0).fold(f64::NEG_INFINITY, f64::max);
    if (most - least).exp() < LEAST_KN_SPREAD {
        return Err(format!(
            "the firings' Kn differ by {:.1} %: under {:.0} % their scatter hides the exponent",
            100.0 * ((most - least).exp() - 1.0),
            100.0 * (LEAST_KN_SPREAD - 1.0)
        ));
    }
    let sxx = points.iter().map(|it| (it.0 - x_mean).powi(2)).sum::<f64>();
    let sxy = points.iter().map(|it| (it.0 - x_mean) * (it.1 - y_mean)).sum::<f64>();
    let slope = sxy / sxx;
    if slope <= 0.0 {
        return Err(
            "the peaks do not rise with Kn, so no burn law describes them: one of them is odd".to_owned()
        );
    }
    let degrees = points.len() - 2;
    let left = |it: &(f64, f64)| (it.1 - y_mean - slope * (it.0 - x_mean)).powi(2);
    let (sigma, point, rests) = match student_95(degrees) {
        Some(point) => {
            let square = points.iter().map(left).sum::<f64>() / degrees as f64;
            (square.sqrt(), point, Rests::OnTheFirings)
        }
        None => (assumed, NORMAL_95, Rests::OnAssumedScatter),
    };
    let slope_half = point * sigma / sxx.sqrt();
    let exponent_of = |slope: f64| (slope > 0.0).then(|| 1.0 - 1.0 / slope);
    // Where the line meets the reference pressure.
    let away = (reference_pa.ln() - y_mean) / slope;
    let log_rate = reference_pa.ln() - (x_mean + away);
    let rate_half = point * sigma / slope * (1.0 / count + away.powi(2) / sxx).sqrt();
    Ok(Law {
        burn_rate_m_s: around(log_rate, rate_half),
        at_pa: AbsolutePressure::from_si(reference_pa),
        exponent: Estimate {
            value: 1.0 - 1.0 / slope,
            low: exponent_of(slope - slope_half),
            high: exponent_of(slope + slope_half),
        },
        rests,
        residual: (degrees > 0).then_some(sigma),
    })
}

impl Law {
    /// Whether a batch may be given this law: an exponent from 0 to 0.95.
    pub fn believable(&self) -> bool {
        (0.0..=0.95).contains(&self.exponent.value)
    }

    /// The rate with the pressure it holds at.
    pub fn burn_rate(&self) -> BurnRate {
        BurnRate { rate: Speed::from_si(self.burn_rate_m_s.value), at: self.at_pa }
    }
}

/// In what respect a plan goes beyond what was tested; nothing where it does not.
pub fn beyond(tested: [f64; 2], planned: [f64; 2]) -> Option<Beyond> {
    if planned[1] > tested[1] * (1.0 + TOUCHES) {
        Some(Beyond::Above)
    } else if planned[0] < tested[0] * (1.0 - TOUCHES) {
        Some(Beyond::Below)
    } else {
        None
    }
}

/// On which side of what was tested.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// Above it.
    Above,
    /// Below it.
    Below,
}
