//! The zero of a channel: from the quiet stretch before ignition, with drift taken off.

use std::ops::Range;

use serde::Serialize;

use super::stats::{Line, line, noise, noise_about_slopes};

/// The zero line of a channel: the level before ignition, a straight line through the burn to the level
/// after it, and that level on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tare {
    /// Level at ignition.
    pub at_ignition: f64,
    /// Level after the burn less the level before; zero where it is not distinguishable from noise.
    pub drift: f64,
    /// Where it was taken from, in words.
    pub basis: String,
    /// Spread of quiet readings (one standard deviation).
    pub noise: f64,
    /// Standard error of the zero line in the burn.
    pub uncertainty: f64,
    #[serde(skip)]
    from_s: f64,
    #[serde(skip)]
    to_s: f64,
    #[serde(skip)]
    slope_before: f64,
    #[serde(skip)]
    slope_after: f64,
    /// Where the stretch after the burn ends that the slope was read off.
    #[serde(skip)]
    known_to_s: f64,
}

impl Tare {
    /// The zero at a time.
    pub fn at(&self, t: f64) -> f64 {
        if t <= self.from_s {
            self.at_ignition + self.slope_before * (t - self.from_s)
        } else if t < self.to_s {
            self.at_ignition + self.drift * ((t - self.from_s) / (self.to_s - self.from_s))
        } else {
            self.at_ignition + self.drift + self.slope_after * (t.min(self.known_to_s) - self.to_s)
        }
    }

    /// How far the level after the burn is off the line the zero was drifting along, and the drift it had of its own,
    /// a second: of the stretch before and the stretch after, where both have one, their mean.
    pub fn shift(&self) -> (f64, f64) {
        let own = match (self.slope_before != 0.0, self.slope_after != 0.0) {
            (true, true) => f64::midpoint(self.slope_before, self.slope_after),
            _ => self.slope_before + self.slope_after,
        };
        (self.drift - own * (self.to_s - self.from_s), own)
    }
}

impl Tare {
    /// Integral of the zero line between two times.
    pub fn integral(&self, from_s: f64, to_s: f64) -> f64 {
        let mut corners = vec![from_s];
        corners.extend(
            [self.from_s, self.to_s, self.known_to_s].into_iter().filter(|c| from_s < *c && *c < to_s),
        );
        corners.push(to_s);
        // Straight between corners: the middle value times the width is exact.
        corners.windows(2).map(|w| self.at(f64::midpoint(w[0], w[1])) * (w[1] - w[0])).sum()
    }

    /// The zero at the two times and wherever it bends.
    fn corners(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = f64> {
        [from_s, to_s, self.from_s, self.to_s, self.known_to_s].map(|t| self.at(t)).into_iter()
    }

    /// Lowest zero between two times.
    pub fn lowest(&self, from_s: f64, to_s: f64) -> f64 {
        self.corners(from_s, to_s).fold(f64::INFINITY, f64::min)
    }

    /// Highest zero between two times.
    pub fn highest(&self, from_s: f64, to_s: f64) -> f64 {
        self.corners(from_s, to_s).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// A level read off a quiet stretch.
struct Quiet {
    line: Line,
    noise: f64,
    from_s: f64,
    to_s: f64,
    /// Its last quarter lies on the line through all of it.
    even: bool,
}

impl Quiet {
    /// Standard error of the level.
    fn error(&self) -> f64 {
        self.line.spread / (self.line.points.max(1) as f64).sqrt()
    }
}

/// Takes the zero. `burn` is a rough idea of the samples of the burn, `rise` of its height.
///
/// * Before: at most the last second (or two burn lengths) ahead of ignition. Eight samples, or fewer that
///   agree within half a per cent of the burn. A slope is believed when it is four times its own error.
/// * After: the last third of three burn lengths behind the burn, so that a tail-off is over.
/// * No quiet stretch ahead of the burn: the zero is zero, and the basis says so; unless a quiet level after
///   the burn shows that the channel has an offset, which is then taken off.
pub fn take(t: &[f64], y: &[f64], burn: &Range<usize>, rise: f64) -> Tare {
    let start_s = t.get(burn.start).copied().unwrap_or(0.0);
    let end_s = t.get(burn.end.saturating_sub(1)).copied().unwrap_or(start_s);
    let length = end_s - start_s;
    let before = before(t, y, burn.start, length, rise);
    let after = after(t, y, burn.end, length, rise);
    let rough = if y.len() >= 64 { noise_about_slopes(y) } else { 0.0 };
    match (before, after) {
        (Some(before), after) => {
            let short = after.is_none().then(|| shortly_after(t, y, burn.end, length, rise)).flatten();
            let flat = short.is_some();
            let after =
                after.or_else(|| short.filter(|it| (it.line.level - before.line.level).abs() <= 0.01 * rise));
            let span = before.to_s - before.from_s;
            let believed = before.line.slope.abs() > 4.0 * before.line.slope_error
                && span >= 0.5 * length
                && before.line.points >= 16;
            // The drift in the quiet stretch itself, small beside the burn or it is no zero line at all.
            let slope = if believed && (before.line.slope * span).abs() < 0.1 * rise {
                before.line.slope
            } else {
                0.0
            };
            let gap = start_s - before.to_s;
            let level =
                if slope == 0.0 { before.line.level } else { before.line.at(before.to_s) + slope * gap };
            let mut tare = Tare {
                at_ignition: level,
                drift: 0.0,
                basis: format!(
                    "mean of {} quiet readings over {:.3} s before ignition",
                    before.line.points, span
                ),
                noise: before.noise,
                uncertainty: before.error(),
                from_s: start_s,
                to_s: end_s,
                slope_before: slope,
                slope_after: 0.0,
                known_to_s: end_s,
            };
            match after {
                Some(after) => {
                    // The line behind the burn, carried back to its end where it has a slope worth the name.
                    let sloped = after.line.slope.abs() > 4.0 * after.line.slope_error;
                    let level_after = if sloped { after.line.at(end_s) } else { after.line.level };
                    if sloped && (after.line.slope * (after.to_s - end_s)).abs() < 0.2 * rise {
                        tare.slope_after = after.line.slope;
                        tare.known_to_s = after.to_s;
                    }
                    let error = before.error().hypot(after.error());
                    let drift = level_after - level;
                    if drift.abs() > 4.0 * error {
                        tare.drift = drift;
                        tare.basis
                            .push_str(", drift to the level after the burn taken off along a straight line");
                    }
                    tare.uncertainty = error.max(tare.drift.abs() / 48f64.sqrt());
                }
                None if slope != 0.0 => {
                    tare.drift = slope * length;
                    tare.basis.push_str(", its drift carried on through the burn");
                }
                None if flat => tare.basis.push_str(
                    "; the stretch after the burn is too short to tell a drift from a weak tail by its level",
                ),
                None => tare.basis.push_str("; no quiet stretch after the burn to judge drift by"),
            }
            tare
        }
        (None, after) => {
            let mut tare = Tare {
                at_ignition: 0.0,
                drift: 0.0,
                basis: "zero: the record has no quiet stretch before ignition".to_owned(),
                noise: after.as_ref().map_or(rough.min(0.02 * rise), |a| a.noise),
                uncertainty: 0.0,
                from_s: start_s,
                to_s: end_s,
                slope_before: 0.0,
                slope_after: 0.0,
                known_to_s: end_s,
            };
            if let Some(after) = after {
                let level = after.line.level;
                let offset = level.abs() > (0.005 * rise).max(4.0 * after.error()).max(0.5 * after.noise);
                if offset && after.line.points >= 20 {
                    tare.at_ignition = level;
                    tare.basis = format!(
                        "mean of {} quiet readings after the burn, because the record has no quiet stretch before ignition",
                        after.line.points
                    );
                }
                tare.uncertainty = level.abs().max(after.error());
            }
            tare
        }
    }
}

fn before(t: &[f64], y: &[f64], burn_start: usize, length: f64, rise: f64) -> Option<Quiet> {
    // Half the reach, and half again, where the longer stretch has a step in it: somebody was at the stand.
    // A sensor that wanders all the time has no such stretch; then the longest that is quiet must do, and at
    // last one that ends long before the burn, for an ignition that smoulders.
    let reach_s = (2.0 * length).max(1.0);
    let shares = [1.0, 0.5, 0.25, 0.125, 0.0625, 0.03];
    let within = |walk: f64| {
        move |share: &f64| before_within(t, y, burn_start, length, rise, share * reach_s, walk * length)
    };
    let even = |walk: f64| shares.iter().filter_map(within(walk)).find(|quiet| quiet.even);
    even(0.05)
        .or_else(|| even(0.15))
        .or_else(|| shares.iter().find_map(within(0.15)))
        .or_else(|| shares.iter().find_map(within(f64::INFINITY)))
}

/// The quiet stretch of at most `reach_s` that ends at most `walk_s` ahead of the burn.
fn before_within(
    t: &[f64],
    y: &[f64],
    burn_start: usize,
    length: f64,
    rise: f64,
    reach_s: f64,
    walk_s: f64,
) -> Option<Quiet> {
    // Walk back from the burn until the readings are down at the level they had before.
    let start_s = *t.get(burn_start)?;
    let from = t.partition_point(|&t| t < start_s - reach_s).min(burn_start);
    let early = super::stats::median(&mut super::stats::chosen(&y[from..burn_start]))?;
    let spread = {
        let mut off: Vec<f64> =
            super::stats::chosen(&y[from..burn_start]).iter().map(|v| (v - early).abs()).collect();
        1.4826 * super::stats::median(&mut off)?
    };
    let limit = early + (4.0 * spread).max(0.01 * rise);
    let mut onset = burn_start;
    let mut low = 0;
    while onset > from && low < 3 {
        onset -= 1;
        low = if y[onset] <= limit { low + 1 } else { 0 };
    }
    let onset = onset + low;
    if start_s - t[onset.min(burn_start)] > walk_s {
        return None;
    }
    let guard_s = (0.01 * length).min(0.02);
    let to_s = t.get(onset.checked_sub(1)?)? - if onset >= FEW { guard_s } else { 0.0 };
    let stretch = t.partition_point(|&t| t < to_s - reach_s)..t.partition_point(|&t| t <= to_s).min(onset);
    quiet(t, y, stretch, length, rise)
}

fn after(t: &[f64], y: &[f64], burn_end: usize, length: f64, rise: f64) -> Option<Quiet> {
    let last = *t.last()?;
    let end_s = *t.get(burn_end)?;
    let reach = (last - end_s).min(3.0 * length);
    if reach < 0.5 * length {
        return None;
    }
    // The last third only: a tail-off is over by then.
    let from_s = end_s + reach * 2.0 / 3.0;
    let stretch = t.partition_point(|&t| t < from_s)..t.partition_point(|&t| t <= end_s + reach);
    quiet(t, y, stretch, length, rise)
}

/// The second half of a short stretch behind the burn, where it is flat. A steady weak tail looks the same: only a level
/// that is near the one before the burn may be used.
fn shortly_after(t: &[f64], y: &[f64], burn_end: usize, length: f64, rise: f64) -> Option<Quiet> {
    let (last, end_s) = (*t.last()?, *t.get(burn_end)?);
    let from = t.partition_point(|&t| t < f64::midpoint(end_s, last));
    let found = quiet(t, y, from..t.len(), length, rise)?;
    let (span, slope) = (found.to_s - found.from_s, found.line.slope.abs());
    let level = slope <= 4.0 * found.line.slope_error || slope * span < 0.002 * rise;
    (found.even && level && found.line.points >= FEW && last - end_s >= 0.03 * length).then_some(found)
}

/// Samples needed where readings scatter.
const FEW: usize = 8;

/// A stretch of readings as a level, when they are quiet: enough of them, scattered by less than a twentieth of
/// the burn, and not on their way anywhere (a slope that would make a fifth of the burn over its length is the
/// foot of a ramp).
fn quiet(t: &[f64], y: &[f64], stretch: Range<usize>, length: f64, rise: f64) -> Option<Quiet> {
    let (t, y) = (t.get(stretch.clone())?, y.get(stretch)?);
    let (&from_s, &to_s) = (t.first()?, t.last()?);
    let line = line(t, y)?;
    let agree = y.iter().all(|v| (v - line.level).abs() <= 0.005 * rise);
    let quarter = y.len() - y.len() / 4;
    let last: Vec<f64> = t[quarter..].iter().zip(&y[quarter..]).map(|(t, y)| y - line.at(*t)).collect();
    let off = last.iter().sum::<f64>() / last.len().max(1) as f64;
    let even = off.abs() <= 4.0 * noise(y) / (last.len().max(1) as f64).sqrt() + 0.001 * rise;
    let enough = y.len() >= FEW || (y.len() >= 2 && agree);
    let steady = line.spread < 0.05 * rise && (line.slope * (to_s - from_s).max(length)).abs() < 0.2 * rise;
    (enough && steady && to_s > from_s).then_some(Quiet { noise: line.spread, line, from_s, to_s, even })
}
