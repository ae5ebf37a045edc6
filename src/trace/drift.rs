//! Does a batch drift? Burn-rate factors in the order they were fired, by cumulative sums.

use serde::Serialize;

/// What the sums are held against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CusumPlan {
    /// The value that means no drift.
    pub reference: f64,
    /// Scatter of one value when nothing drifts (one standard deviation).
    pub sigma: f64,
    /// Slack: half the drift worth finding, in sigmas.
    pub slack_sigmas: f64,
    /// A sum beyond this many sigmas says drift.
    pub limit_sigmas: f64,
}

impl Default for CusumPlan {
    /// Factor 1 is the plan itself; 3 % is the scatter of a burn rate (common practice, no source); k = 0.5 and h = 4.
    fn default() -> Self {
        Self { reference: 1.0, sigma: 0.03, slack_sigmas: 0.5, limit_sigmas: 4.0 }
    }
}

/// Which way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Direction {
    /// Above the reference: faster than planned.
    Up,
    /// Below it.
    Down,
}

/// A drift found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Drift {
    /// Which way.
    pub direction: Direction,
    /// Counted from 0: the first value of the run that went over, the one behind the last time the sum was zero.
    pub since: usize,
    /// Counted from 0: the value at which the sum went over.
    pub told_at: usize,
}

/// The sums of a row of values.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cusum {
    /// Upper sum after each value.
    pub up: Vec<f64>,
    /// Lower sum after each value.
    pub down: Vec<f64>,
    /// The first drift, where there is one.
    pub drift: Option<Drift>,
}

/// Tabular cumulative sums of values in the order they came.
///
/// Formula: `up_i = max(0, up_(i-1) + x_i - reference - k sigma)`, `down_i = max(0, down_(i-1) + reference - k sigma - x_i)`;
/// drift where a sum passes `h sigma`. It began behind the last zero of that sum. With k = 0.5 and h = 4 a shift of one
/// sigma is told after about 8 values, and a false alarm comes about once in 168.
/// Values that are not finite are passed over (their sums repeat).
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3 (CUSUM control charts); k, h and run lengths from there.
///
/// ```
/// use proofmark::trace::drift::{CusumPlan, Direction, cusum};
/// let found = cusum(&[1.0, 0.99, 1.01, 1.06, 1.07, 1.06, 1.08], &CusumPlan::default());
/// let drift = found.drift.ok_or("no drift")?;
/// assert_eq!((drift.direction, drift.since), (Direction::Up, 3));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn cusum(values: &[f64], plan: &CusumPlan) -> Cusum {
    let (slack, limit) = (plan.slack_sigmas * plan.sigma, plan.limit_sigmas * plan.sigma);
    let mut found = Cusum { up: Vec::new(), down: Vec::new(), drift: None };
    let (mut up, mut down) = (0.0f64, 0.0f64);
    let (mut up_since, mut down_since) = (0, 0);
    for (i, &x) in values.iter().enumerate() {
        if x.is_finite() {
            if up == 0.0 {
                up_since = i;
            }
            if down == 0.0 {
                down_since = i;
            }
            up = (up + x - plan.reference - slack).max(0.0);
            down = (down + plan.reference - slack - x).max(0.0);
            if found.drift.is_none() && up > limit {
                found.drift = Some(Drift { direction: Direction::Up, since: up_since, told_at: i });
            } else if found.drift.is_none() && down > limit {
                found.drift = Some(Drift { direction: Direction::Down, since: down_since, told_at: i });
            }
        }
        found.up.push(up);
        found.down.push(down);
    }
    found
}
