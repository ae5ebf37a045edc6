//! Where in the record the burn is.

use std::ops::Range;

/// Cells a long record is boiled down to for finding things in it.
const CELLS: usize = 1 << 17;

/// A record boiled down to at most 131,072 means; short records as they are.
#[derive(Debug)]
pub struct Coarse {
    /// Seconds, mean of each cell.
    pub t: Vec<f64>,
    /// Mean reading of each cell.
    pub y: Vec<f64>,
    /// Samples a cell.
    pub width: usize,
}

impl Coarse {
    /// Boils a record down.
    pub fn new(t: &[f64], y: &[f64]) -> Self {
        let width = if t.len() <= CELLS { 1 } else { t.len().div_ceil(CELLS / 2) };
        if width == 1 {
            return Self { t: t.to_vec(), y: y.to_vec(), width };
        }
        let mean = |cell: &[f64]| cell.iter().sum::<f64>() / cell.len() as f64;
        let both = super::stats::by_blocks(0..t.len().div_ceil(width), |cells| {
            let samples = cells.start * width..(cells.end * width).min(t.len());
            let t: Vec<f64> = t[samples.clone()].chunks(width).map(mean).collect();
            let y: Vec<f64> = y[samples].chunks(width).map(mean).collect();
            (t, y)
        });
        let (mut coarse_t, mut coarse_y) = (Vec::with_capacity(CELLS), Vec::with_capacity(CELLS));
        for (t, y) in both {
            coarse_t.extend(t);
            coarse_y.extend(y);
        }
        Self { t: coarse_t, y: coarse_y, width }
    }

    /// The samples that cells stand for.
    pub fn samples(&self, cells: Range<usize>, n: usize) -> Range<usize> {
        (cells.start * self.width).min(n)..(cells.end * self.width).min(n)
    }
}

/// A stretch of cells above a level, with the area above the floor.
#[derive(Clone, Debug)]
struct Run {
    cells: Range<usize>,
    area: f64,
}

/// The stretch of cells that is the burn at this level: the run with the largest area (or, with a seed, the
/// runs that touch it), joined with neighbours across short gaps.
///
/// A gap is bridged when it is short beside the burn (a drop-out, a dip), or when both sides are substantial
/// (two humps). A small pulse ahead of the burn with a gap longer than itself is a chuff and stays outside.
/// Areas count no higher than `cap`, so that no spike can outweigh a burn.
pub fn main_run(
    t: &[f64],
    y: &[f64],
    floor: f64,
    level: f64,
    cap: f64,
    seed: Option<&Range<usize>>,
) -> Option<Range<usize>> {
    let runs = runs(t, y, floor, level, cap);
    let (mut first, mut last) = match seed {
        Some(seed) => {
            let touching = |run: &Run| run.cells.start < seed.end && seed.start < run.cells.end;
            (runs.iter().position(touching)?, runs.iter().rposition(touching)?)
        }
        None => {
            let best = (0..runs.len()).max_by(|&a, &b| runs[a].area.total_cmp(&runs[b].area))?;
            (best, best)
        }
    };
    let span = |first: usize, last: usize| t[runs[last].cells.end - 1] - t[runs[first].cells.start];
    loop {
        let length = span(first, last);
        let area: f64 = runs[first..=last].iter().map(|r| r.area).sum();
        if let Some(next) = runs.get(last + 1) {
            let gap = t[next.cells.start] - t[runs[last].cells.end - 1];
            let close = gap <= 0.02 * length || (gap <= 0.15 * length && next.area >= 0.003 * area);
            if close || (next.area >= 0.1 * area && gap <= length) {
                last += 1;
                continue;
            }
        }
        if let Some(before) = first.checked_sub(1).and_then(|i| runs.get(i)) {
            let gap = t[runs[first].cells.start] - t[before.cells.end - 1];
            let own = t[before.cells.end - 1] - t[before.cells.start];
            let close = gap <= 0.02 * length || (gap <= 0.15 * length && gap <= own);
            if close || (before.area >= 0.1 * area && gap <= length) {
                first -= 1;
                continue;
            }
        }
        return Some(runs[first].cells.start..runs[last].cells.end);
    }
}

/// Pulses ahead of the burn that rise over the level: chuffs, or somebody at the stand.
pub fn pulses_before(t: &[f64], y: &[f64], floor: f64, level: f64, burn: &Range<usize>) -> Vec<Range<usize>> {
    runs(t, y, floor, level, f64::INFINITY)
        .into_iter()
        .map(|r| r.cells)
        .filter(|r| r.end <= burn.start)
        .collect()
}

fn runs(t: &[f64], y: &[f64], floor: f64, level: f64, cap: f64) -> Vec<Run> {
    let n = t.len().min(y.len());
    let mut runs: Vec<Run> = Vec::new();
    let mut open: Option<Run> = None;
    for i in 0..n {
        if y[i] > level {
            let before = t[i.saturating_sub(1)];
            let after = t[(i + 1).min(n - 1)];
            let area = (y[i].min(cap) - floor).max(0.0) * (after - before) / 2.0;
            match &mut open {
                Some(run) => {
                    run.cells.end = i + 1;
                    run.area += area;
                }
                None => open = Some(Run { cells: i..i + 1, area }),
            }
        } else if let Some(run) = open.take() {
            runs.push(run);
        }
    }
    runs.extend(open);
    runs
}

/// The highest level held for `width` samples on end, and the lowest: no spike shorter than that can move
/// them.
pub fn held_extremes(y: &[f64], width: usize) -> (f64, f64) {
    let width = width.clamp(1, y.len().max(1));
    let step = if y.len() > 1 << 17 { (width / 2).max(1) } else { 1 };
    let last = y.len() + 1 - width;
    let parts = super::stats::by_blocks(0..last.div_ceil(step), |block| {
        let (mut high, mut low) = (f64::NEG_INFINITY, f64::INFINITY);
        for k in block {
            let window = &y[k * step..k * step + width];
            let (least, most) = super::stats::extremes(window);
            high = high.max(least);
            low = low.min(most);
        }
        (high, low)
    });
    parts
        .into_iter()
        .fold((f64::NEG_INFINITY, f64::INFINITY), |(high, low), (h, l)| (high.max(h), low.min(l)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn held_levels_ignore_spikes() {
        let mut y = vec![0.0; 100];
        y[40..60].fill(5.0);
        y[10..13].fill(900.0);
        y[80..83].fill(-900.0);
        assert_eq!(held_extremes(&y, 4), (5.0, 0.0));
        assert_eq!(held_extremes(&[1.0], 4), (1.0, 1.0));
    }

    #[test]
    fn a_drop_out_is_bridged_and_a_chuff_is_not() {
        let t: Vec<f64> = (0..400).map(|i| f64::from(i) * 0.01).collect();
        let mut y = vec![0.0; 400];
        y[100..300].fill(10.0);
        y[150..153].fill(0.0);
        y[70..75].fill(6.0);
        let run = main_run(&t, &y, 0.0, 2.0, 10.0, None).unwrap();
        assert_eq!(run, 100..300);
        let pulses = pulses_before(&t, &y, 0.0, 2.0, &run);
        assert_eq!((pulses.len(), pulses[0].clone()), (1, 70..75));
    }

    #[test]
    fn two_humps_are_one_burn() {
        let t: Vec<f64> = (0..400).map(|i| f64::from(i) * 0.01).collect();
        let mut y = vec![0.0; 400];
        y[100..150].fill(10.0);
        y[180..240].fill(10.0);
        assert_eq!(main_run(&t, &y, 0.0, 2.0, 10.0, None).unwrap(), 100..240);
    }
}
