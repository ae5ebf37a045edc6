//! One channel of a record, from raw readings to its numbers.

use std::borrow::Cow;
use std::ops::Range;

use super::blocks::Blocks;
use super::burn::{Burn, Crossings, moving_average};
use super::curve::Curve;
use super::doubt::PutAside;
use super::error::TraceError;
use super::read::{Channel, ChannelUnit, Rejected};
use super::reduce::{GoOn, going};
use super::region::{Coarse, main_run};
use super::scale::Scale;
use super::spike::{Excursion, FEW, FEWEST, excursions, longest};
use super::stats::{chosen, differences, line, long_extremes, median};
use super::stray::{STRAY, Stray, strays};
use super::tare::{Tare, take};

/// What a channel says.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelReduction {
    /// What the numbers are in.
    pub unit: ChannelUnit,
    /// The column it came from.
    pub column: String,
    /// Its zero line.
    pub tare: Tare,
    /// Largest reading in the burn, spikes put aside, not filtered.
    pub peak: f64,
    /// When.
    pub peak_at_s: f64,
    /// Largest reading of the filtered channel.
    pub peak_filtered: f64,
    /// When.
    pub peak_filtered_at_s: f64,
    /// Width of the filter; zero where nothing was filtered.
    pub filter_s: f64,
    /// Largest reading in the whole file, spikes and all.
    pub largest_reading: f64,
    /// The readings hold (a display on video) or are cut off: the true peak is this or more.
    pub peak_is_lower_bound: bool,
    /// Why the readings are cut off at their top, where they are: nobody knows the peak.
    pub cut_off: Option<String>,
    /// Integral from the first measurable reading to the last.
    pub integral: f64,
    /// First measurable reading.
    pub integral_from_s: f64,
    /// Last measurable reading.
    pub integral_to_s: f64,
    /// At the threshold asked for.
    pub burn: Crossings,
    /// At 5 % of the peak.
    pub at_5_percent: Crossings,
    /// At 10 % of the peak.
    pub at_10_percent: Crossings,
    /// Readings put aside.
    pub rejected: Vec<Rejected>,
    /// The same one by one, with value and time.
    pub put_aside: Vec<PutAside>,
    /// Standard uncertainty of the integral from noise and zero line; the calibration is not in it.
    pub integral_uncertainty: f64,
    /// Standard uncertainty of the peak from noise and zero line.
    pub peak_uncertainty: f64,
    /// Standard uncertainty of the burn time.
    pub burn_time_uncertainty_s: f64,
}

/// A channel measured, with what phases and findings need beside the numbers.
pub struct Measured {
    /// The numbers.
    pub reduction: ChannelReduction,
    /// Seconds of the boiled-down channel.
    pub t: Vec<f64>,
    /// The boiled-down channel, tared, spikes put aside.
    pub y: Vec<f64>,
    /// Cells from the first measurable reading to the last.
    pub cells: Range<usize>,
    /// Noise of a cell.
    pub noise: f64,
    /// The readings are drawn or held: exact, with no noise to judge by.
    pub drawn: bool,
    /// Each reading holds until the next.
    pub holds: bool,
    /// A flat top, where there is one.
    pub clipped: Option<super::clip::FlatTop>,
    /// Pulses that stood apart from the burn and were put aside, in order of time.
    pub strays: Vec<Stray>,
}

impl Measured {
    /// The numbers, and the channel as it is drawn.
    pub fn parted(self) -> (ChannelReduction, Curve) {
        let curve = Curve { unit: self.reduction.unit, time_s: self.t, value: self.y };
        (self.reduction, curve)
    }
}

/// Reduces one channel.
pub fn measure(
    time_s: &[f64],
    channel: &Channel,
    holds: bool,
    threshold: f64,
    role: &'static str,
    go_on: &GoOn<'_>,
) -> Result<Measured, TraceError> {
    let unit = channel.unit;
    let (t, y) = present(time_s, channel);
    let interval_s = median_interval(&t);
    let (t, y) = if holds { steps(&t, &y) } else { (t, y) };
    let drawn = holds || y.len() < FEWEST;
    let (least, largest_reading) = long_extremes(&y);
    let mut scale = Scale::of(&y, (least, largest_reading), drawn, interval_s);
    let jumps = |y: &[f64], scale: &Scale| {
        if drawn || scale.trust_single_samples {
            Vec::new()
        } else {
            excursions(y, scale.rise(), scale.noise, longest(interval_s))
        }
    };
    // Whole pulses first: of a round one the search for jumps would take the top and leave the feet.
    let mut strays = if drawn { Vec::new() } else { strays(&t, &y, interval_s, &scale) };
    let mut aside: Vec<PutAside> = strays.iter().map(|it| PutAside::pulse(&y, it)).collect();
    let (mut t, mut y) = without(t, y, strays.iter().map(|it| &it.range));
    if !strays.is_empty() {
        scale = Scale::of(&y, long_extremes(&y), drawn, interval_s);
    }
    going(go_on)?;
    let found = jumps(&y, &scale);
    let short = FEW;
    let samples =
        |of: &dyn Fn(usize) -> bool| strays.iter().map(|it| it.range.len()).filter(|n| of(*n)).sum();
    let rejected = put_aside(&found, samples(&|n| n <= short), samples(&|n| n > short));
    strays.retain(|it| it.range.len() > short);
    aside.extend(found.iter().map(|(range, kind)| PutAside::jump(&t, &y, range, *kind, interval_s)));
    (t, y) = without(t, y, found.iter().map(|(range, _)| range));
    scale.check(&y, role, unit)?;
    going(go_on)?;

    let mut coarse = Coarse::new(&t, &y);
    let rise = scale.rise();
    let no_burn = || TraceError::NoBurn { role, rise, noise: scale.noise, unit: unit.symbol() };
    let seed = main_run(&coarse.t, &coarse.y, scale.low, scale.low + 0.35 * rise, scale.high, None)
        .ok_or_else(no_burn)?;
    going(go_on)?;
    let rough = skirts(&coarse, &seed, &scale);
    let tare = take(&t, &y, &coarse.samples(rough, t.len()), rise);
    for (t, y) in coarse.t.iter().zip(&mut coarse.y) {
        *y -= tare.at(*t);
    }
    going(go_on)?;
    let burn = Burn { blocks: Blocks::of(&t, &y), t: &t, y: &y, tare: &tare, coarse, seed };
    let guess = scale.high - tare.at_ignition;
    let cells = burn.cells_above(0.05 * guess, guess).ok_or_else(no_burn)?;
    let (peak, peak_at) = burn.peak(burn.coarse.samples(cells, t.len()));
    if !(peak > 0.0 && peak.is_finite()) {
        return Err(no_burn());
    }
    going(go_on)?;
    let at = |threshold: f64| burn.crossings(threshold, peak).ok_or_else(no_burn);
    let (at_5_percent, at_10_percent) = (at(0.05)?, at(0.10)?);
    let at_asked = match [at_5_percent, at_10_percent].into_iter().find(|c| c.threshold == threshold) {
        Some(known) => known,
        None => at(threshold)?,
    };
    let cells = burn.cells_above(0.05 * peak, peak).ok_or_else(no_burn)?;
    let samples = burn.measurable(&cells);
    let integral = burn.integral(samples.clone());
    let (from_s, to_s) = (t[samples.start], t[samples.end - 1]);
    let filter = Filter::of(&burn, drawn, at_asked.time_s());
    let (peak_filtered, peak_filtered_at_s) = filter.peak(&burn, &cells).unwrap_or((peak, t[peak_at]));
    let span = to_s - from_s;
    for it in &mut aside {
        it.settle(tare.at(it.at_s), at_asked.start_s, peak);
    }
    aside.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let clipped = if holds {
        super::clip::held_top(&t, &y, rise)
    } else if drawn {
        None
    } else {
        super::clip::flat_top(&burn, samples.clone(), scale.noise, rise)
    };
    let edge = if holds { interval_s } else { 0.0 };
    let width = burn.coarse.width;
    let reduction = ChannelReduction {
        unit,
        column: channel.column.clone(),
        peak,
        peak_at_s: t[peak_at],
        peak_filtered,
        peak_filtered_at_s,
        filter_s: filter.width_s,
        largest_reading,
        peak_is_lower_bound: holds || clipped.is_some(),
        cut_off: clipped.as_ref().map(|flat| {
            let what = if holds {
                "the display stands still at its top"
            } else {
                "the readings are cut off at their top"
            };
            format!("{what} from {:.3} s to {:.3} s", flat.from_s, flat.to_s)
        }),
        integral,
        integral_from_s: from_s,
        integral_to_s: to_s,
        burn: at_asked,
        at_5_percent,
        at_10_percent,
        rejected,
        put_aside: aside,
        integral_uncertainty: (tare.noise * (span * interval_s).max(0.0).sqrt())
            .hypot(tare.uncertainty * span),
        peak_uncertainty: tare.noise.hypot(tare.uncertainty),
        burn_time_uncertainty_s: (interval_s / 6f64.sqrt()).hypot(edge),
        tare: tare.clone(),
    };
    let cells = samples.start / width..samples.end.div_ceil(width);
    let noise = tare.noise / (width as f64).sqrt();
    let Coarse { t: coarse_t, y: coarse_y, .. } = burn.coarse;
    Ok(Measured { reduction, t: coarse_t, y: coarse_y, cells, noise, drawn, holds, clipped, strays })
}

/// The cells of the burn with its skirts, before the zero is known: what stands a twentieth of the rise above
/// a rough zero line, from the level just ahead of the burn to the level at the end of the record.
///
/// A step long before the burn (the motor is put on the stand) or a shift after it must not count as thrust;
/// a weak tail that ends within the record must. An end level more than a tenth of the rise off is no shift
/// but thrust that the record does not see the end of.
fn skirts(coarse: &Coarse, seed: &Range<usize>, scale: &Scale) -> Range<usize> {
    let (t, y, rise) = (&coarse.t, &coarse.y, scale.rise());
    let (start_s, end_s) = (t[seed.start], t[seed.end - 1]);
    let reach_s = (2.0 * (end_s - start_s)).max(1.0);
    let ahead = level_ahead(t, y, seed.start, reach_s, rise).unwrap_or(scale.low);
    let last_s = t[t.len() - 1];
    // Where the zero drifted ahead of the burn, the end may lie on its line, however far that has gone.
    let own = drift_ahead(t, y, seed.start, reach_s, rise).filter(|_| end_s > start_s);
    let behind = steady(&y[t.partition_point(|&t| t < last_s - 0.1 * (last_s - end_s))..], 0.03 * rise);
    let near = |off: f64| off.abs() < 0.1 * rise;
    let (slope, behind) = match (behind, own) {
        (Some(behind), _) if near(behind - ahead) => (0.0, behind),
        (Some(behind), Some(slope)) if near(behind - ahead - slope * (last_s - start_s)) => {
            (slope, behind - slope * (last_s - start_s))
        }
        _ => (0.0, ahead),
    };
    let zero = |at: f64| {
        let share = if end_s > start_s { ((at - start_s) / (end_s - start_s)).clamp(0.0, 1.0) } else { 0.0 };
        ahead + (behind - ahead) * share + slope * (at - start_s)
    };
    let above: Vec<f64> = t.iter().zip(y).map(|(t, y)| y - zero(*t)).collect();
    let limit = (0.05 * rise + 4.0 * scale.noise / (coarse.width as f64).sqrt()).min(0.2 * rise);
    main_run(t, &above, 0.0, limit, rise, Some(seed)).unwrap_or_else(|| seed.clone())
}

/// The slope of the zero ahead of the burn, where it is beyond doubt and small beside the burn.
fn drift_ahead(t: &[f64], y: &[f64], start: usize, reach_s: f64, rise: f64) -> Option<f64> {
    let stretch = t.partition_point(|&x| x < t[start] - reach_s).min(start)..start;
    let (t, y) = (&t[stretch.clone()], &y[stretch]);
    let line = line(t, y)?;
    let span = t.last()? - t.first()?;
    let certain = line.points >= 16 && line.slope.abs() > 8.0 * line.slope_error;
    (certain && span >= 0.25 * reach_s && (line.slope * span).abs() < 0.2 * rise).then_some(line.slope)
}

/// The level just ahead of the burn: the median of a stretch whose halves agree, the longest of six; where
/// none do, of a short one.
fn level_ahead(t: &[f64], y: &[f64], start: usize, reach_s: f64, rise: f64) -> Option<f64> {
    let stretch = |share: f64| &y[t.partition_point(|&x| x < t[start] - share * reach_s).min(start)..start];
    [1.0, 0.5, 0.25, 0.125, 0.0625, 0.03]
        .iter()
        .find_map(|share| {
            let part = stretch(*share);
            let (first, last) = part.split_at(part.len() / 2);
            let (first, last) = (steady(first, 0.03 * rise)?, steady(last, 0.03 * rise)?);
            ((first - last).abs() < 0.01 * rise).then_some(last)
        })
        .or_else(|| steady(stretch(0.125), f64::INFINITY))
}

/// The median of eight readings or more that scatter by less than `spread` (median deviation).
fn steady(y: &[f64], spread: f64) -> Option<f64> {
    let mut part = chosen(y);
    let middle = median(&mut part).filter(|_| part.len() >= 8)?;
    let mut off: Vec<f64> = part.iter().map(|v| (v - middle).abs()).collect();
    median(&mut off).filter(|found| *found < spread).map(|_| middle)
}

/// Readings of the rows that have one.
fn present<'a>(time_s: &'a [f64], channel: &'a Channel) -> (Cow<'a, [f64]>, Cow<'a, [f64]>) {
    if channel.missing == 0 {
        return (Cow::Borrowed(time_s), Cow::Borrowed(&channel.values));
    }
    let (t, y): (Vec<f64>, Vec<f64>) =
        time_s.iter().zip(&channel.values).filter(|(_, y)| y.is_finite()).map(|(t, y)| (*t, *y)).unzip();
    (Cow::Owned(t), Cow::Owned(y))
}

/// Held readings as a line with vertical edges: each value until the stamp of the next.
fn steps<'a>(t: &[f64], y: &[f64]) -> (Cow<'a, [f64]>, Cow<'a, [f64]>) {
    let (mut st, mut sy) = (Vec::with_capacity(2 * t.len()), Vec::with_capacity(2 * t.len()));
    for i in 0..t.len() {
        if i > 0 {
            st.push(t[i]);
            sy.push(y[i - 1]);
        }
        st.push(t[i]);
        sy.push(y[i]);
    }
    (Cow::Owned(st), Cow::Owned(sy))
}

/// Median interval between stamps; where most stamps repeat, the mean one.
pub fn median_interval(t: &[f64]) -> f64 {
    let middle = median(&mut differences(t)).unwrap_or(0.0);
    match (middle > 0.0, t.first(), t.last()) {
        (false, Some(first), Some(last)) => (last - first) / (t.len().max(2) - 1) as f64,
        _ => middle,
    }
}

/// What was put aside, and how many samples: of excursions, and of pulses apart from the burn, short ones and longer.
fn put_aside(found: &[(Range<usize>, Excursion)], short: usize, longer: usize) -> Vec<Rejected> {
    let count = |kind| found.iter().filter(|(_, k)| *k == kind).map(|(range, _)| range.len()).sum::<usize>();
    [
        (
            "electrical spike: up and back within a few samples, faster than a stand can move",
            count(Excursion::Spike) + short,
        ),
        (
            "drop-out: down and back within a few samples, faster than a stand can move",
            count(Excursion::DropOut),
        ),
        (STRAY, longer),
    ]
    .into_iter()
    .filter(|(_, count)| *count > 0)
    .map(|(reason, count)| Rejected { reason: reason.to_owned(), count })
    .collect()
}

/// The samples that were not put aside.
fn without<'a, 'r>(
    t: Cow<'a, [f64]>,
    y: Cow<'a, [f64]>,
    ranges: impl Iterator<Item = &'r Range<usize>>,
) -> (Cow<'a, [f64]>, Cow<'a, [f64]>) {
    let mut ranges: Vec<&Range<usize>> = ranges.collect();
    if ranges.is_empty() {
        return (t, y);
    }
    // Two of them may share samples.
    ranges.sort_by_key(|range| range.start);
    let keep = |values: &[f64]| {
        let mut kept = Vec::with_capacity(values.len());
        let mut from = 0;
        for range in &ranges {
            kept.extend_from_slice(values.get(from..range.start).unwrap_or_default());
            from = from.max(range.end);
        }
        kept.extend_from_slice(values.get(from..).unwrap_or_default());
        kept
    };
    (Cow::Owned(keep(&t)), Cow::Owned(keep(&y)))
}

/// The moving average behind the filtered peak.
struct Filter {
    half: usize,
    width_s: f64,
}

impl Filter {
    /// Twenty milliseconds or a hundredth of the burn, whichever is less; nothing for drawn records.
    fn of(burn: &Burn<'_>, drawn: bool, burn_s: f64) -> Self {
        let cell_s = median_interval(&burn.coarse.t);
        let wanted = (0.01 * burn_s).min(0.02) / cell_s.max(f64::MIN_POSITIVE);
        if drawn || wanted < 3.0 || !wanted.is_finite() {
            return Self { half: 0, width_s: 0.0 };
        }
        let half = (wanted / 2.0) as usize;
        Self { half, width_s: (2 * half + 1) as f64 * cell_s }
    }

    fn peak(&self, burn: &Burn<'_>, cells: &Range<usize>) -> Option<(f64, f64)> {
        if self.half == 0 {
            return None;
        }
        let smooth = moving_average(&burn.coarse.y, self.half);
        let at = cells.clone().max_by(|&a, &b| smooth[a].total_cmp(&smooth[b]))?;
        Some((smooth[at], burn.coarse.t[at]))
    }
}
