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
    let step = resolution(y, burn.clone());
    // Readings that scatter over several steps of the converter do not repeat by chance, least of all at the top.
    let fine = |steps: f64| step.is_some_and(|step| noise >= steps * step);
    let long = best.len() >= 8.max(burn.len() / 50)
        || (best.len() >= 8 && fine(2.0))
        || (best.len() >= 4 && fine(4.0));
    long.then(|| FlatTop { from_s: t[best.start], to_s: t[best.end - 1], reading: top, samples: best.len() })
}

/// The smallest step from one reading to another, among some thousand of them.
fn resolution(y: &[f64], burn: Range<usize>) -> Option<f64> {
    let from = burn.start;
    let part = y.get(from..burn.end.min(from + 4096))?;
    let steps = part.windows(2).map(|pair| (pair[1] - pair[0]).abs()).filter(|step| *step > 0.0);
    let least = steps.fold(f64::INFINITY, f64::min);
    least.is_finite().then_some(least)
}

/// The same of a display that was filmed: it stands still at its largest reading for three times as long as at others,
/// although it shows steps of less than a two-hundredth of the rise. A display over its range does that.
///
/// `t` and `y` are the readings as steps. The limits are this program's own.
pub fn held_top(t: &[f64], y: &[f64], rise: f64) -> Option<FlatTop> {
    let mut runs: Vec<(f64, f64, f64)> = Vec::new();
    for (&at, &value) in t.iter().zip(y) {
        match runs.last_mut() {
            Some(run) if run.2 == value => run.1 = at,
            _ => runs.push((at, at, value)),
        }
    }
    let top = y.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = y.iter().copied().fold(f64::INFINITY, f64::min);
    let mut values: Vec<f64> = runs.iter().map(|run| run.2).collect();
    values.sort_by(f64::total_cmp);
    let step = values.windows(2).map(|pair| pair[1] - pair[0]).filter(|it| *it > 0.0).fold(rise, f64::min);
    let longest =
        runs.iter().filter(|run| run.2 == top).max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let mut others: Vec<f64> =
        runs.iter().filter(|run| run.2 < top && run.2 > low + 0.1 * rise).map(|run| run.1 - run.0).collect();
    let samples = t.iter().filter(|at| (longest.0..longest.1).contains(*at)).count().div_ceil(2);
    // Where hardly anything of the burn is below its top, the display's own beat is its shortest stay.
    let shortest = || runs.iter().map(|run| run.1 - run.0).filter(|it| *it > 0.0).min_by(f64::total_cmp);
    let usual = super::stats::median(&mut others).filter(|_| others.len() >= 3).or_else(shortest)?;
    (samples >= 3 && step < rise / 200.0 && longest.1 - longest.0 >= 2.9 * usual).then_some(FlatTop {
        from_s: longest.0,
        to_s: longest.1,
        reading: top,
        samples,
    })
}
