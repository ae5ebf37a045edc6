//! A flat top: a sensor or converter that has reached its end.

use std::ops::Range;

use super::burn::Burn;

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
pub fn flat_top(channel: &Burn<'_>, burn: Range<usize>, noise: f64, rise: f64) -> Option<FlatTop> {
    if noise <= 0.0 {
        return None;
    }
    let (t, y) = (channel.t, channel.y);
    let top = channel.blocks.largest(y, burn.clone());
    let same = |i: usize| (y[i] - top).abs() <= 1e-6 * rise;
    let mut best: Option<Range<usize>> = None;
    for stretch in channel.blocks.reaching(burn.clone(), top - 1e-6 * rise) {
        // A run may begin in the block before, but then that block reaches the top too and was looked at.
        let mut i = stretch.start;
        while i < stretch.end {
            let Some(start) = (i..stretch.end).find(|&k| same(k)) else { break };
            i = (start..burn.end).find(|&k| !same(k)).unwrap_or(burn.end);
            if best.as_ref().is_none_or(|b| b.len() < i - start) {
                best = Some(start..i);
            }
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
