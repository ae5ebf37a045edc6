//! How the batches burn: the burn-rate factor of every firing on record, and whether a batch drifts.

use chrono::NaiveDate;
use serde::Serialize;

use super::Desk;
use super::fired::Fired;
use crate::store::StoreError;
use crate::trace::drift::{Cusum, CusumPlan, Direction, cusum};

/// Where the sums come from.
const SOURCE: &str = "NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3, tabular CUSUM";

/// One firing's factor.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FiredFactor {
    /// The firing's entry.
    pub entry: i64,
    /// When.
    pub on: NaiveDate,
    /// In which casing.
    pub casing: String,
    /// With which load.
    pub load: String,
    /// The burn-rate factor it speaks of; nothing where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// By its peak alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_peak: Option<f64>,
    /// By its burn time alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_burn_time: Option<f64>,
    /// Why it is left out of the sums.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_out: Option<String>,
}

/// One batch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BatchFactors {
    /// The batch.
    pub batch: String,
    /// Its firings in the order they happened.
    pub firings: Vec<FiredFactor>,
    /// Mean factor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_factor: Option<f64>,
    /// The sums, over the firings that are not left out.
    pub cusum: Cusum,
    /// What they say, in a sentence.
    pub says: String,
    /// The entry of the firing a drift began with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drifting_since_entry: Option<i64>,
}

/// Every batch, and how it was judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BatchReport {
    /// How a factor is worked out.
    pub method: String,
    /// What the sums are held against.
    pub chart: CusumPlan,
    /// Where that comes from.
    pub source: &'static str,
    /// The batches, by name.
    pub batches: Vec<BatchFactors>,
}

impl Desk {
    /// The burn-rate factors of every batch on record, or of one.
    ///
    /// A firing's factor is the mean (of logarithms) of what its peak and its burn time ask for, by the plan it was
    /// fired under: `(peak/planned)^(1-n)` and `(planned time/time)^(1-n)`, absolute pressures, n the load's exponent.
    /// A peak over the far-over-plan limit is a hard start and no burn rate, and is left out of the sums.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn batch_factors(&self, only: Option<&str>) -> Result<BatchReport, StoreError> {
        let chart = CusumPlan::default();
        let rules = self.book().rules_on(NaiveDate::MAX)?;
        let far = rules.value("peak-far-over-plan");
        let names = match only {
            Some(only) => vec![only.to_owned()],
            None => self.book().batches_fired()?,
        };
        let mut batches = Vec::new();
        for batch in names {
            let fired = self.fired(&batch, NaiveDate::MAX)?;
            let firings: Vec<FiredFactor> = fired.into_iter().filter_map(|it| factor_of(it, far)).collect();
            if !firings.is_empty() {
                batches.push(judged(batch, firings, &chart));
            }
        }
        Ok(BatchReport {
            method: format!(
                "burn-rate factor of each firing alone, against the plan it was fired under: geometric mean of (peak/planned peak)^(1-n) and (planned burn time/burn \
                 time)^(1-n), or the one there is; peaks over {far} x plan are hard starts and left out"
            ),
            chart,
            source: SOURCE,
            batches,
        })
    }
}

/// The factor a firing speaks of, against the plan it was fired under; `None` where nobody says with which load.
fn factor_of(fired: Fired, far: f64) -> Option<FiredFactor> {
    let Fired { at, firing, load: planned, peak_cut_off } = fired;
    let load = firing.load?;
    let planned = planned.as_deref().map(|(load, _)| load);
    let exponent = planned
        .and_then(|load| load.propellant.as_ref())
        .and_then(|propellant| propellant.exponent)
        .filter(|n| (0.0..0.95).contains(n));
    let ratio = firing.peak_pressure.as_ref().zip(firing.planned_peak.as_ref()).map(|(a, b)| a.si() / b.si());
    let time = firing
        .burn_time
        .as_ref()
        .zip(planned.and_then(|load| load.burn_time.as_ref()))
        .map(|(a, b)| b.si() / a.si());
    let powered =
        |ratio: Option<f64>| Some(ratio?.powf(1.0 - exponent?)).filter(|f| f.is_finite() && *f > 0.0);
    let (by_peak, by_burn_time) = (powered(ratio), powered(time));
    let left_out = if peak_cut_off.is_some() {
        peak_cut_off
    } else if exponent.is_none() {
        Some(format!("load {load} has no burn-rate exponent on record"))
    } else if ratio.is_some_and(|ratio| ratio > far) {
        Some("a hard start: its peak is no measure of the burn rate".to_owned())
    } else if by_peak.is_none() && by_burn_time.is_none() {
        Some("neither peak nor burn time against a plan".to_owned())
    } else {
        None
    };
    let factor = match (by_peak, by_burn_time) {
        (Some(a), Some(b)) => Some((a * b).sqrt()),
        (a, b) => a.or(b),
    };
    Some(FiredFactor {
        entry: at.number,
        on: at.on,
        casing: firing.casing,
        load,
        factor: factor.filter(|_| left_out.is_none()),
        by_peak,
        by_burn_time,
        left_out,
    })
}

fn judged(batch: String, firings: Vec<FiredFactor>, chart: &CusumPlan) -> BatchFactors {
    let kept: Vec<&FiredFactor> = firings.iter().filter(|it| it.factor.is_some()).collect();
    let values: Vec<f64> = kept.iter().filter_map(|it| it.factor).collect();
    let cusum = cusum(&values, chart);
    let mean_factor = (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
    let since = cusum.drift.and_then(|drift| kept.get(drift.since));
    let says = match (cusum.drift, since, mean_factor) {
        (Some(drift), Some(since), _) => format!(
            "drifting {} the plan since the firing of {} in {} (entry {})",
            if drift.direction == Direction::Up { "above" } else { "below" },
            since.on,
            since.casing,
            since.entry
        ),
        (_, _, Some(_)) => "no drift told".to_owned(),
        _ => "nothing to judge".to_owned(),
    };
    let drifting_since_entry = since.map(|it| it.entry);
    BatchFactors { batch, firings, mean_factor, cusum, says, drifting_since_entry }
}
