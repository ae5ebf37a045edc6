//! Robust statistics for long columns: medians, spread, a straight line, sums by blocks.

use std::ops::Range;

use super::source::{all_threads, in_parallel};

/// At most this many values are looked at for a median; evenly chosen from longer columns.
const CHOSEN: usize = 1 << 16;
/// Values a block of a long column has.
pub const BLOCK: usize = 1 << 16;
/// Columns shorter than this are not worth a second thread.
const LONG: usize = 1 << 19;

/// Median of the values; `None` for an empty slice. Reorders them.
pub fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let (middle, odd) = (values.len() / 2, values.len() % 2 == 1);
    let (below, &mut upper, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    if odd {
        return Some(upper);
    }
    let lower = below.iter().copied().max_by(f64::total_cmp)?;
    Some(f64::midpoint(lower, upper))
}

/// The value below which the given share of the values lies. Reorders them.
pub fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let place = ((values.len() - 1) as f64 * share) as usize;
    Some(*values.select_nth_unstable_by(place.min(values.len() - 1), f64::total_cmp).1)
}

/// Every value of a short column, evenly chosen ones of a long one.
pub fn chosen(values: &[f64]) -> Vec<f64> {
    let step = values.len().div_ceil(CHOSEN).max(1);
    values.iter().copied().step_by(step).collect()
}

/// Least and largest value, in eight lanes at a time; (+∞, −∞) for none. Not-a-numbers are passed over.
pub fn extremes(values: &[f64]) -> (f64, f64) {
    let (mut low, mut high) = ([f64::INFINITY; 8], [f64::NEG_INFINITY; 8]);
    let (lanes, rest) = values.as_chunks::<8>();
    for lane in lanes {
        for k in 0..8 {
            low[k] = if lane[k] < low[k] { lane[k] } else { low[k] };
            high[k] = if lane[k] > high[k] { lane[k] } else { high[k] };
        }
    }
    let all = low.iter().zip(&high).map(|(l, h)| (*l, *h)).chain(rest.iter().map(|v| (*v, *v)));
    all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (l, h)| (low.min(l), high.max(h)))
}

/// [`extremes`] of a long column, on all threads.
pub fn long_extremes(values: &[f64]) -> (f64, f64) {
    by_blocks(0..values.len(), |block| extremes(&values[block]))
        .into_iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (l, h)| (low.min(l), high.max(h)))
}

/// Differences between neighbours, of all or of evenly chosen pairs.
pub fn differences(values: &[f64]) -> Vec<f64> {
    let pairs = values.len().saturating_sub(1);
    let step = pairs.div_ceil(CHOSEN).max(1);
    (0..pairs).step_by(step).map(|i| values[i + 1] - values[i]).collect()
}

/// Standard deviation of noise judged by the median difference between neighbours: blind to what is slow,
/// and to a few outliers.
pub fn noise(values: &[f64]) -> f64 {
    let mut steps: Vec<f64> = differences(values).into_iter().map(f64::abs).collect();
    median(&mut steps).unwrap_or(0.0) * 1.4826 / std::f64::consts::SQRT_2
}

/// Standard deviation of noise judged by the median bend between three neighbours: blind to any even slope, so
/// that a burn that climbs or falls all the way is not taken for noise.
pub fn noise_about_slopes(values: &[f64]) -> f64 {
    let bends = values.len().saturating_sub(2);
    let step = bends.div_ceil(CHOSEN).max(1);
    let mut bends: Vec<f64> =
        (0..bends).step_by(step).map(|i| (values[i] - 2.0 * values[i + 1] + values[i + 2]).abs()).collect();
    median(&mut bends).unwrap_or(0.0) * 1.4826 / 6f64.sqrt()
}

/// A straight line through points, its spread about it and the error of its slope.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Abscissa the line is anchored at: the mean of the points.
    pub at: f64,
    /// Value there.
    pub level: f64,
    /// Rise a unit of abscissa.
    pub slope: f64,
    /// Standard deviation of the points about the line.
    pub spread: f64,
    /// Standard error of the slope.
    pub slope_error: f64,
    /// Points used.
    pub points: usize,
}

impl Line {
    /// The line at an abscissa.
    pub fn at(&self, x: f64) -> f64 {
        self.level + self.slope * (x - self.at)
    }
}

/// Least-squares line through the points that lie within four robust spreads of the median.
pub fn line(x: &[f64], y: &[f64]) -> Option<Line> {
    let step = x.len().min(y.len()).div_ceil(CHOSEN).max(1);
    let points = || x.iter().copied().zip(y.iter().copied()).step_by(step);
    let middle = median(&mut points().map(|(_, y)| y).collect::<Vec<_>>())?;
    let spread = 1.4826 * median(&mut points().map(|(_, y)| (y - middle).abs()).collect::<Vec<_>>())?;
    // A drifting stretch spreads evenly about its median; four robust spreads keep all of it.
    let kept: Vec<(f64, f64)> =
        points().filter(|(_, y)| (y - middle).abs() <= 4.0 * spread + f64::EPSILON).collect();
    let n = kept.len() as f64;
    let at = kept.iter().map(|(x, _)| x).sum::<f64>() / n;
    let level = kept.iter().map(|(_, y)| y).sum::<f64>() / n;
    let sxx: f64 = kept.iter().map(|(x, _)| (x - at).powi(2)).sum();
    let sxy: f64 = kept.iter().map(|(x, y)| (x - at) * (y - level)).sum();
    let slope = if sxx > 0.0 { sxy / sxx } else { 0.0 };
    let residual: f64 = kept.iter().map(|(x, y)| (y - level - slope * (x - at)).powi(2)).sum();
    let spread = if n > 2.0 { (residual / (n - 2.0)).sqrt() } else { 0.0 };
    let slope_error = if sxx > 0.0 { spread / sxx.sqrt() } else { 0.0 };
    Some(Line { at, level, slope, spread, slope_error, points: kept.len() })
}

/// Runs `work` over blocks of `range`; results in order, the same on any number of threads.
pub fn by_blocks<R: Send>(range: Range<usize>, work: impl Fn(Range<usize>) -> R + Sync) -> Vec<R> {
    let threads = if range.len() < LONG { 1 } else { all_threads() };
    let end = range.end;
    let blocks: Vec<Range<usize>> = range.step_by(BLOCK).map(|from| from..(from + BLOCK).min(end)).collect();
    in_parallel(threads, blocks, |block, _: &mut ()| Ok(work(block))).unwrap_or_default()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn medians() {
        assert_eq!(median(&mut []), None);
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&mut [4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(quantile(&mut [4.0, 1.0, 2.0, 3.0, 0.0], 0.25), Some(1.0));
    }

    #[test]
    fn a_line_ignores_an_outlier() {
        let x: Vec<f64> = (0..100).map(f64::from).collect();
        let mut y: Vec<f64> = x.iter().map(|x| 2.0 + 0.5 * x).collect();
        y[40] = 1e6;
        let line = line(&x, &y).unwrap();
        assert!((line.slope - 0.5).abs() < 1e-9 && (line.at(10.0) - 7.0).abs() < 1e-6);
    }

    #[test]
    fn blocks_cover_everything_once() {
        let total: usize = by_blocks(3..1_000_003, |block| block.len()).into_iter().sum();
        assert_eq!(total, 1_000_000);
        assert!(by_blocks(5..5, |block| block.len()).is_empty());
    }
}
