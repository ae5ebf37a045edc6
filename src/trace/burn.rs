//! Burn time, action time, impulse: one channel against its zero line.

use std::ops::Range;

use serde::Serialize;

use super::blocks::Blocks;
use super::region::{Coarse, main_run};
use super::tare::Tare;

/// Times and integral between the two crossings of a threshold.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Crossings {
    /// Share of the peak.
    pub threshold: f64,
    /// First crossing.
    pub start_s: f64,
    /// Last crossing.
    pub end_s: f64,
    /// Integral between them.
    pub integral: f64,
}

impl Crossings {
    /// From the first crossing to the last.
    pub fn time_s(&self) -> f64 {
        self.end_s - self.start_s
    }
}

/// A channel with its zero line, ready to be measured.
pub struct Burn<'a> {
    /// Seconds.
    pub t: &'a [f64],
    /// Readings.
    pub y: &'a [f64],
    /// Zero line.
    pub tare: &'a Tare,
    /// Sums and extremes of the readings by blocks, not tared.
    pub blocks: Blocks,
    /// Boiled down, tared.
    pub coarse: Coarse,
    /// Cells of the burn, roughly.
    pub seed: Range<usize>,
}

impl Burn<'_> {
    /// The tared reading of a sample.
    pub fn value(&self, i: usize) -> f64 {
        self.y[i] - self.tare.at(self.t[i])
    }

    /// Largest tared reading among the samples, and where.
    pub fn peak(&self, samples: Range<usize>) -> (f64, usize) {
        // The zero line is straight in pieces: over the burn it is nowhere lower than the lower of its levels.
        let lowest = self.tare.lowest(self.t[samples.start], self.t[samples.end - 1]);
        let highest = self.tare.highest(self.t[samples.start], self.t[samples.end - 1]);
        let largest = self.blocks.largest(self.y, samples.clone());
        // A block below this cannot hold the peak; the last part keeps rounding from shutting all of them out.
        let reach = largest - (highest - lowest) - 1e-9 * largest.abs();
        let mut best = (f64::NEG_INFINITY, samples.start);
        for stretch in self.blocks.reaching(samples, reach) {
            for i in stretch {
                if self.y[i] - lowest > best.0 {
                    let value = self.value(i);
                    if value > best.0 {
                        best = (value, i);
                    }
                }
            }
        }
        best
    }

    /// Cells above a level, joined as one burn.
    pub fn cells_above(&self, level: f64, peak: f64) -> Option<Range<usize>> {
        let smooth = self.smoothed(level);
        main_run(&self.coarse.t, &smooth, 0.0, level, peak, Some(&self.seed))
    }

    /// The coarse readings, averaged over so many neighbours that noise does not chatter about `level`; as
    /// they are where noise is small beside it.
    fn smoothed(&self, level: f64) -> Vec<f64> {
        let noise = self.tare.noise / (self.coarse.width as f64).sqrt();
        let wanted = (noise / (0.1 * level)).powi(2).ceil();
        let cap = (self.seed.len() / 32).max(1);
        let half = if wanted <= 1.0 || !wanted.is_finite() { 0 } else { (wanted as usize).min(cap) / 2 };
        moving_average(&self.coarse.y, half)
    }

    /// The first and last crossing of `threshold` times `peak`, by straight lines between samples.
    pub fn crossings(&self, threshold: f64, peak: f64) -> Option<Crossings> {
        let level = threshold * peak;
        let smooth = self.smoothed(level);
        let cells = main_run(&self.coarse.t, &smooth, 0.0, level, peak, Some(&self.seed))?;
        let (start_s, end_s) = if self.coarse.width == 1 {
            let cross = |at, rising| cross(&self.coarse.t, &smooth, at, rising, level, 4.0 * self.tare.noise);
            (cross(cells.start, true), cross(cells.end - 1, false))
        } else {
            (self.refine(cells.start, true, level), self.refine(cells.end - 1, false, level))
        };
        (end_s > start_s).then(|| Crossings {
            threshold,
            start_s,
            end_s,
            integral: self.integral_between(start_s, end_s),
        })
    }

    /// The crossing near the edge of a cell, among the samples themselves: half-way between the first and
    /// the last time the level is crossed there.
    fn refine(&self, cell: usize, rising: bool, level: f64) -> f64 {
        let n = self.t.len();
        let near = self.coarse.samples(cell.saturating_sub(1)..(cell + 2).min(self.coarse.y.len()), n);
        let crossed: Vec<f64> = near
            .clone()
            .skip(1)
            .filter_map(|i| {
                let (a, b) = (self.value(i - 1) - level, self.value(i) - level);
                let wanted = if rising { a < 0.0 && b >= 0.0 } else { a >= 0.0 && b < 0.0 };
                wanted.then(|| between(self.t[i - 1], a, self.t[i], b))
            })
            .collect();
        match (crossed.first(), crossed.last()) {
            (Some(first), Some(last)) => f64::midpoint(*first, *last),
            _ => self.t[if rising { near.start } else { near.end - 1 }],
        }
    }

    /// The samples from the first measurable reading to the last: outward from the burn until the mean of a
    /// short stretch is lost in the noise, or zero where there is none.
    pub fn measurable(&self, cells: &Range<usize>) -> Range<usize> {
        let half = (cells.len() / 200).clamp(0, 2000);
        let smooth = moving_average(&self.coarse.y, half);
        let noise = self.tare.noise / ((2 * half + 1) as f64 * self.coarse.width as f64).sqrt();
        let floor = 3.0 * noise;
        let mut from = cells.start;
        while from > 0 && smooth[from] > floor {
            from -= 1;
        }
        let mut to = cells.end - 1;
        while to + 1 < smooth.len() && smooth[to] > floor {
            to += 1;
        }
        self.coarse.samples(from..to + 1, self.t.len())
    }

    /// Integral of the tared readings over samples, by trapezoids.
    pub fn integral(&self, samples: Range<usize>) -> f64 {
        if samples.len() < 2 {
            return 0.0;
        }
        let zero = self.tare.integral(self.t[samples.start], self.t[samples.end - 1]);
        self.blocks.integral(self.t, self.y, samples) - zero
    }

    /// Integral between two times, the ends interpolated.
    fn integral_between(&self, from_s: f64, to_s: f64) -> f64 {
        let first = self.t.partition_point(|&t| t < from_s);
        let last = self.t.partition_point(|&t| t <= to_s);
        if first >= last {
            let (a, b) = (self.interpolated(from_s), self.interpolated(to_s));
            return 0.5 * (a + b) * (to_s - from_s);
        }
        let head = 0.5 * (self.interpolated(from_s) + self.value(first)) * (self.t[first] - from_s);
        let tail = 0.5 * (self.value(last - 1) + self.interpolated(to_s)) * (to_s - self.t[last - 1]);
        head + self.integral(first..last) + tail
    }

    fn interpolated(&self, at: f64) -> f64 {
        let after = self.t.partition_point(|&t| t < at).min(self.t.len() - 1);
        let before = after.saturating_sub(1);
        let span = self.t[after] - self.t[before];
        let (a, b) = (self.value(before), self.value(after));
        if span > 0.0 { a + (b - a) * ((at - self.t[before]) / span).clamp(0.0, 1.0) } else { b }
    }
}

/// The crossing beside sample `at`, which is the first (or last) above the level.
///
/// Noise makes a slow edge cross several times; the outermost crossing alone would be late (or early), so
/// the answer is half-way between the outermost and the innermost one of those the readings make while they
/// stay within `noise` of the level.
fn cross(t: &[f64], y: &[f64], at: usize, rising: bool, level: f64, noise: f64) -> f64 {
    let outward = |i: usize| if rising { i.checked_sub(1) } else { Some(i + 1).filter(|&i| i < t.len()) };
    let inward = |i: usize| if rising { Some(i + 1).filter(|&i| i < t.len()) } else { i.checked_sub(1) };
    let Some(outside) = outward(at) else { return t[at] };
    let outermost = between(t[outside], y[outside] - level, t[at], y[at] - level);
    let mut innermost = outermost;
    let mut i = at;
    while (y[i] - level).abs() <= noise
        && let Some(next) = inward(i)
    {
        if y[i] <= level && y[next] > level {
            innermost = between(t[i], y[i] - level, t[next], y[next] - level);
        }
        i = next;
    }
    f64::midpoint(outermost, innermost)
}

/// Where the straight line between two points of opposite sign is zero.
fn between(t0: f64, y0: f64, t1: f64, y1: f64) -> f64 {
    if y1 == y0 { t1 } else { t0 + (t1 - t0) * (-y0 / (y1 - y0)).clamp(0.0, 1.0) }
}

/// Mean over `half` neighbours on either side (fewer at the ends).
pub fn moving_average(y: &[f64], half: usize) -> Vec<f64> {
    if half == 0 {
        return y.to_vec();
    }
    let mut sums = Vec::with_capacity(y.len() + 1);
    sums.push(0.0);
    let mut sum = 0.0;
    for value in y {
        sum += value;
        sums.push(sum);
    }
    (0..y.len())
        .map(|i| {
            let reach = half.min(i).min(y.len() - 1 - i);
            (sums[i + reach + 1] - sums[i - reach]) / (2 * reach + 1) as f64
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_keeps_a_straight_line() {
        let y: Vec<f64> = (0..50).map(|i| 3.0 + 2.0 * f64::from(i)).collect();
        for (smooth, raw) in moving_average(&y, 4).iter().zip(&y) {
            assert!((smooth - raw).abs() < 1e-9);
        }
    }
}
