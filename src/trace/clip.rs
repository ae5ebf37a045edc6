//! A flat top: a sensor or converter that has reached its end.

use std::ops::Range;

/// A run of readings that are the same at the top of the channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatTop {
    /// When it begins.
    pub from_s: f64,
    /// When it ends.
    pub to_s: f64,
    /// The reading, before the tare.
    pub reading: f64,
    /// How many samples.
    pub samples: usize,
}

/// The longest run of equal readings at the top of the burn, when it is too long to be chance.
///
/// Eight samples or a fiftieth of the burn, all equal to a millionth of the rise, at the largest reading.
/// A channel that never scatters (computed, or coarser than its noise) says nothing this way.
pub fn flat_top(t: &[f64], y: &[f64], burn: Range<usize>, noise: f64, rise: f64) -> Option<FlatTop> {
    if noise <= 0.0 {
        return None;
    }
    let top = burn.clone().map(|i| y[i]).fold(f64::NEG_INFINITY, f64::max);
    let same = |i: usize| (y[i] - top).abs() <= 1e-6 * rise;
    let mut best: Option<Range<usize>> = None;
    let mut i = burn.start;
    while i < burn.end {
        if !same(i) {
            i += 1;
            continue;
        }
        let start = i;
        while i < burn.end && same(i) {
            i += 1;
        }
        if best.as_ref().is_none_or(|b| b.len() < i - start) {
            best = Some(start..i);
        }
    }
    let best = best?;
    (best.len() >= 8.max(burn.len() / 50)).then(|| FlatTop {
        from_s: t[best.start],
        to_s: t[best.end - 1],
        reading: top,
        samples: best.len(),
    })
}
