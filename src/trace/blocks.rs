//! Sums and extremes of a long channel by blocks, so that no question about it needs all of it again.

use std::ops::Range;

use super::stats::{BLOCK, by_blocks, extremes};

/// What is known of each block of samples.
#[derive(Debug)]
pub struct Blocks {
    known: Vec<(f64, f64)>,
}

impl Blocks {
    /// Goes through the channel once.
    pub fn of(t: &[f64], y: &[f64]) -> Self {
        let known = by_blocks(0..y.len(), |block| {
            // The trapezoid to the first sample of the next block belongs to this one.
            let area = trapezoids(t, y, block.start..(block.end + 1).min(y.len()));
            (area, extremes(&y[block]).1)
        });
        Self { known }
    }

    /// Parts of `samples` that lie in one block each, with the block's number when it is covered whole.
    fn parts(samples: Range<usize>) -> impl Iterator<Item = (Range<usize>, Option<usize>)> {
        let first = samples.start / BLOCK;
        let last = samples.end.div_ceil(BLOCK);
        (first..last).map(move |k| {
            let part = (k * BLOCK).max(samples.start)..((k + 1) * BLOCK).min(samples.end);
            let whole = part.len() == BLOCK;
            (part, whole.then_some(k))
        })
    }

    /// Largest reading among the samples.
    pub fn largest(&self, y: &[f64], samples: Range<usize>) -> f64 {
        Self::parts(samples)
            .map(|(part, whole)| match whole.and_then(|k| self.known.get(k)) {
                Some((_, largest)) => *largest,
                None => extremes(&y[part]).1,
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The stretches of `samples` whose block has a reading of `level` or more.
    pub fn reaching(&self, samples: Range<usize>, level: f64) -> impl Iterator<Item = Range<usize>> {
        Self::parts(samples)
            .filter(move |(part, _)| {
                self.known.get(part.start / BLOCK).is_none_or(|(_, largest)| *largest >= level)
            })
            .map(|(part, _)| part)
    }

    /// Integral over the samples by trapezoids, not tared.
    pub fn integral(&self, t: &[f64], y: &[f64], samples: Range<usize>) -> f64 {
        let end = samples.end;
        Self::parts(samples)
            .map(|(part, whole)| match whole.and_then(|k| self.known.get(k)) {
                Some((area, _)) if part.end < end => *area,
                _ => trapezoids(t, y, part.start..(part.end + 1).min(end)),
            })
            .sum()
    }
}

fn trapezoids(t: &[f64], y: &[f64], samples: Range<usize>) -> f64 {
    let (t, y) = (&t[samples.clone()], &y[samples]);
    let twice: f64 = t
        .windows(2)
        .zip(y.windows(2))
        .map(|(t, y)| match (t, y) {
            ([t0, t1], [y0, y1]) => (y0 + y1) * (t1 - t0),
            _ => 0.0,
        })
        .sum();
    0.5 * twice
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_agree_with_going_through_everything() {
        let n = 3 * BLOCK + 1234;
        let t: Vec<f64> = (0..n).map(|i| i as f64 * 1e-3).collect();
        let y: Vec<f64> = (0..n).map(|i| (i as f64 * 0.37).sin() + i as f64 * 1e-5).collect();
        let blocks = Blocks::of(&t, &y);
        for samples in [0..n, 5..n - 7, 0..BLOCK, BLOCK..2 * BLOCK, 10..20, BLOCK - 1..BLOCK + 1] {
            let direct = trapezoids(&t, &y, samples.clone());
            assert!((blocks.integral(&t, &y, samples.clone()) - direct).abs() < 1e-9 * direct.abs().max(1.0));
            let top = y[samples.clone()].iter().copied().fold(f64::NEG_INFINITY, f64::max);
            assert_eq!(blocks.largest(&y, samples.clone()), top);
            assert!(blocks.reaching(samples, top).any(|part| y[part].contains(&top)));
        }
    }
}
