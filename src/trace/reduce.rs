//! From a record to the numbers a firing is judged by.

use serde::Serialize;

use super::channel::{ChannelReduction, Measured, measure, median_interval};
use super::curve::Curve;
use super::error::TraceError;
use super::findings::{Finding, findings};
use super::nozzle::{NozzleCheck, check};
use super::phases::{Phase, phases};
use super::profile::Profile;
use super::read::{Record, Rejected};

/// How a record is to be reduced.
#[derive(Clone, Debug, PartialEq)]
pub struct ReduceOptions {
    /// Share of the peak that begins and ends the burn time: 0.05 (NFPA 1125) or 0.10 (action time).
    pub threshold: f64,
    /// Propellant burnt, for the specific impulse.
    pub propellant_kg: Option<f64>,
    /// Throat diameter, or the one before and the one after, in metres.
    pub throats_m: Vec<f64>,
    /// Thrust coefficient, to get the peak pressure from thrust where no pressure was recorded.
    pub thrust_coefficient: Option<f64>,
}

impl Default for ReduceOptions {
    fn default() -> Self {
        Self { threshold: 0.05, propellant_kg: None, throats_m: Vec::new(), thrust_coefficient: None }
    }
}

/// A stretch without rows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gap {
    /// Last stamp before.
    pub from_s: f64,
    /// First stamp after.
    pub to_s: f64,
}

/// What a record says. Serializes with the keys of the `trace` command.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduction {
    /// Rows of numbers.
    pub samples: usize,
    /// What the clock said at zero seconds, where the time column was one.
    pub clock_zero: Option<String>,
    /// Median interval between rows.
    pub sample_interval_s: f64,
    /// Rows that carry the stamp of the row before; they are kept as they stand, as a step.
    pub repeated_stamps: usize,
    /// Stretches of more than ten intervals without a row, at most the twenty longest.
    pub gaps: Vec<Gap>,
    /// Share of the peak that begins and ends the burn.
    pub threshold: f64,
    /// Force channel.
    pub thrust: Option<ChannelReduction>,
    /// Pressure channel.
    pub pressure: Option<ChannelReduction>,
    /// Steady stretches of the burn, of the thrust where there is one.
    pub phases: Vec<Phase>,
    /// Patterns that ask for a second look: suggestions, ranked, never verdicts.
    pub findings: Vec<Finding>,
    /// Everything left out, in reading and in reducing.
    pub rejected: Vec<Rejected>,
    /// As given.
    pub propellant_kg: Option<f64>,
    /// What thrust, pressure and throat say of each other, where a throat was given.
    pub nozzle: Option<NozzleCheck>,
}

/// Reduces a record: tare, peak, impulse, burn and action time, class, phases, findings.
///
/// * Zero: the quiet stretch before ignition, drift to the level after the burn taken off along a straight
///   line (see [`super::tare::take`]); zero where there is no such stretch, and said so.
/// * Peak: the largest reading within the burn that a stand could have made; never filtered.
/// * Impulse: `I = Σ (F_i + F_{i+1})/2 · (t_{i+1} − t_i)` over the tared readings from the first measurable
///   one to the last.
/// * Burn time: between the first and the last crossing of 5 % of the peak, by straight lines between
///   samples (NFPA 1125). Action time: the same at 10 % (Sutton & Biblarz; NASA practice).
/// * Mean thrust: impulse over burn time.
///
/// Valid for two rows and more; a record of fewer than sixteen rows is taken as drawn by hand and nothing in
/// it is filtered or put aside. Outside: an error that says what was found instead of a burn.
///
/// ```
/// use proofmark::trace::{ReadOptions, ReduceOptions, read, reduce};
/// let record = read(b"t_s,thrust_N\n0,0\n0.1,500\n2.1,500\n2.6,0\n", &ReadOptions::default())?;
/// let thrust = reduce(&record, &ReduceOptions::default())?.thrust.ok_or("no thrust")?;
/// assert!((thrust.integral - 1150.0).abs() < 1e-9);
/// assert!((thrust.at_5_percent.time_s() - 2.57).abs() < 1e-9);
/// assert!((thrust.at_10_percent.time_s() - 2.54).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn reduce(record: &Record, options: &ReduceOptions) -> Result<Reduction, TraceError> {
    reduce_with(record, options, &|| true).map(|reduced| reduced.reduction)
}

/// A reduction with the channels it was made from, as they are drawn and compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// The numbers.
    pub reduction: Reduction,
    /// Thrust, tared.
    pub thrust: Option<Curve>,
    /// Pressure, tared.
    pub pressure: Option<Curve>,
}

/// Asked between the steps of a reduction; false stops it.
pub type GoOn<'a> = dyn Fn() -> bool + Sync + 'a;

/// [`reduce`], with the tared channels, and a way to stop: `go_on` returning false ends it with
/// [`TraceError::Cancelled`].
///
/// # Errors
/// As [`reduce`], and when it was stopped.
pub fn reduce_with(
    record: &Record,
    options: &ReduceOptions,
    go_on: &GoOn<'_>,
) -> Result<Reduced, TraceError> {
    if !(options.threshold > 0.0 && options.threshold < 0.5) {
        return Err(TraceError::BadOption(format!(
            "a threshold of {} % cannot bound a burn: use 5% (NFPA 1125) or 10% (action time)",
            options.threshold * 100.0
        )));
    }
    let side = |channel: Option<&super::read::Channel>, role| {
        channel.map(|c| measure(&record.time_s, c, record.holds, options.threshold, role, go_on)).transpose()
    };
    // Side by side: each goes through its own column.
    let (thrust, pressure) = std::thread::scope(|scope| {
        let pressure = scope.spawn(|| side(record.pressure.as_ref(), "pressure"));
        let thrust = side(record.thrust.as_ref(), "thrust");
        let pressure = pressure.join().unwrap_or_else(|fault| std::panic::resume_unwind(fault));
        (thrust, pressure)
    });
    let thrust = thrust?;
    let pressure = match (pressure, &thrust) {
        // A dead pressure channel beside a good thrust channel is left out, and said so below.
        (Err(TraceError::NoBurn { .. }), Some(_)) => None,
        (result, _) => result?,
    };
    going(go_on)?;
    let (mut thrust, mut pressure) = (thrust, pressure);
    if let (Some(m), Some(p)) = (&mut thrust, &mut pressure) {
        // A line that answers late cannot speak against a moment.
        let late = super::findings::slow_pressure(m, p).is_some();
        if let Some(channel) = record.pressure.as_ref().filter(|_| !late) {
            m.reduction.contradict(&record.time_s, channel, &p.reduction);
        }
        if let Some(channel) = &record.thrust {
            p.reduction.contradict(&record.time_s, channel, &m.reduction);
        }
    }
    let sample_interval_s = median_interval(&record.time_s);
    let mut rejected = record.rejected.clone();
    if pressure.is_none() && record.pressure.is_some() {
        rejected.push(Rejected {
            reason: "pressure channel without a burn in it: look at its column, its sensor and its tap"
                .to_owned(),
            count: record.time_s.len(),
        });
    }
    for measured in [&thrust, &pressure].into_iter().flatten() {
        for more in &measured.reduction.rejected {
            match rejected.iter_mut().find(|r| r.reason == more.reason) {
                Some(known) => known.count += more.count,
                None => rejected.push(more.clone()),
            }
        }
    }
    let (repeated_stamps, gaps) = stamps(&record.time_s, sample_interval_s);
    let main: Option<&Measured> = thrust.as_ref().or(pressure.as_ref());
    let profile = main.and_then(Profile::of);
    let phases = profile.as_ref().map(phases).unwrap_or_default();
    going(go_on)?;
    // Too short, or nowhere steady: then the burn is its one phase.
    let phases = match main.map(|m| &m.reduction.burn) {
        Some(burn) if phases.is_empty() => {
            let mean = burn.integral / burn.time_s();
            vec![Phase { from_s: burn.start_s, to_s: burn.end_s, mean, first: mean, last: mean }]
        }
        _ => phases,
    };
    let findings = match (main, &profile) {
        (Some(main), Some(profile)) => {
            findings(main, profile, &phases, pressure.as_ref().filter(|_| thrust.is_some()))
        }
        _ => Vec::new(),
    };
    let propellant_kg = options.propellant_kg;
    if let Some(mass) = propellant_kg.filter(|m| !(*m > 0.0 && m.is_finite())) {
        return Err(TraceError::BadOption(format!(
            "a propellant mass of {mass} kg cannot be: give it over zero, or leave it out"
        )));
    }
    let (thrust, thrust_curve) = thrust.map(Measured::parted).unzip();
    let (pressure, pressure_curve) = pressure.map(Measured::parted).unzip();
    let nozzle = check(
        thrust.as_ref(),
        pressure.as_ref(),
        &options.throats_m,
        options.thrust_coefficient,
        propellant_kg,
    )?;
    let reduction = Reduction {
        samples: record.time_s.len(),
        clock_zero: record.clock_zero.clone(),
        sample_interval_s,
        repeated_stamps,
        gaps,
        threshold: options.threshold,
        phases,
        findings,
        rejected,
        propellant_kg,
        nozzle,
        thrust,
        pressure,
    };
    Ok(Reduced { reduction, thrust: thrust_curve, pressure: pressure_curve })
}

/// An error once the caller has had enough.
pub(super) fn going(go_on: &GoOn<'_>) -> Result<(), TraceError> {
    if go_on() { Ok(()) } else { Err(TraceError::Cancelled) }
}

/// How many stamps repeat, and the longest gaps.
fn stamps(t: &[f64], interval_s: f64) -> (usize, Vec<Gap>) {
    let limit = 10.0 * interval_s;
    let parts = super::stats::by_blocks(1..t.len(), |block| {
        let (mut repeated, mut gaps) = (0usize, Vec::new());
        for i in block {
            let step = t[i] - t[i - 1];
            repeated += usize::from(step == 0.0);
            if step > limit {
                gaps.push(Gap { from_s: t[i - 1], to_s: t[i] });
            }
        }
        (repeated, gaps)
    });
    let repeated = parts.iter().map(|(n, _)| n).sum();
    let mut gaps: Vec<Gap> = parts.into_iter().flat_map(|(_, gaps)| gaps).collect();
    gaps.sort_by(|a, b| (b.to_s - b.from_s).total_cmp(&(a.to_s - a.from_s)));
    gaps.truncate(20);
    gaps.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    (repeated, gaps)
}
