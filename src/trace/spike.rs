//! Electrical spikes and drop-outs: readings no stand could have made.

use std::ops::Range;

use super::stats::{by_blocks, median};

/// What a short excursion was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Excursion {
    /// Up and back.
    Spike,
    /// Down and back, inside a burn or below the quiet level.
    DropOut,
}

/// Records shorter than this are drawn by hand or typed from a display: nothing in them is put aside.
pub const FEWEST: usize = 16;
/// The longest excursion, in samples, that is put aside at any rate…
pub const FEW: usize = 3;
/// …and in seconds where the rate is high.
const SHORTEST_MECHANICAL_S: f64 = 1.5e-3;
/// Samples passed over at once while nothing jumps.
const RUN: usize = 64;
/// Samples looked at on either side.
const AROUND: usize = 24;

/// How many samples an excursion may have and still be put aside.
///
/// Three, or what fits into 1.5 ms: a stand with a motor on it has a lowest mode of some tens to hundreds of
/// hertz and cannot move a load cell to several times its reading and back within that.
pub fn longest(interval_s: f64) -> usize {
    let fast = if interval_s > 0.0 { (SHORTEST_MECHANICAL_S / interval_s) as usize } else { 0 };
    fast.clamp(FEW, 16)
}

/// Finds excursions of at most `longest` samples that jump away and jump back to where they came from.
///
/// `rise` is how far the burn stands above the quiet level, `noise` the spread of quiet readings. An
/// excursion counts when it is far above the local roughness (so that ringing and a rough burn are left
/// alone), when at least half of it happens from one sample to the next on both sides, and when the levels
/// before and after agree to a third of its height. An ignition spike goes up from nothing and comes down to
/// a burn, so its levels disagree: it is kept unless it is three times the level behind it and more.
pub fn excursions(y: &[f64], rise: f64, noise: f64, longest: usize) -> Vec<(Range<usize>, Excursion)> {
    if y.len() < FEWEST || rise <= 0.0 {
        return Vec::new();
    }
    let jump = (10.0 * noise).max(0.03 * rise);
    let starts: Vec<usize> = by_blocks(1..y.len(), |block| {
        let mut found = Vec::new();
        // Jumps are rare: runs without one are passed over at vector speed.
        for from in block.clone().step_by(RUN) {
            let to = (from + RUN).min(block.end);
            let (here, before) = (&y[from..to], &y[from - 1..to - 1]);
            let far = here.iter().zip(before).fold(false, |far, (a, b)| far | ((a - b).abs() > jump));
            if far {
                found.extend((from..to).filter(|&i| (y[i] - y[i - 1]).abs() > jump));
            }
        }
        found
    })
    .into_iter()
    .flatten()
    .collect();
    let mut found: Vec<(Range<usize>, Excursion)> = Vec::new();
    let mut free = 0;
    for start in starts {
        if start < free {
            continue;
        }
        if let Some((range, kind)) = judge(y, start, jump, longest) {
            free = range.end;
            found.push((range, kind));
        }
    }
    found
}

/// Whether the jump at `start` begins an excursion, and which.
fn judge(y: &[f64], start: usize, jump: f64, longest: usize) -> Option<(Range<usize>, Excursion)> {
    let up = y[start] > y[start - 1];
    let sign = if up { 1.0 } else { -1.0 };
    // The way back: the first step against the jump that undoes half of it or more.
    let mut extreme = sign * y[start];
    let mut end = start + 1;
    loop {
        if end - start > longest {
            return None;
        }
        let value = sign * *y.get(end)?;
        let height = extreme - sign * y[start - 1];
        if extreme - value > 0.5 * height {
            break;
        }
        extreme = extreme.max(value);
        end += 1;
    }
    let before = level(&y[start.saturating_sub(4)..start])?;
    // A step of the way back may have been caught half-way down: it belongs to the excursion. One that is back
    // where it came from is back, whatever comes next.
    let half_way = |i: usize| {
        let falls = y.get(i + 1).is_some_and(|next| sign * (y[i] - next) > jump);
        falls && sign * (y[i] - before) > 0.15 * (extreme - sign * before)
    };
    while end - start < longest && half_way(end) {
        end += 1;
    }
    let after = level(&y[end..(end + 4).min(y.len())])?;
    let height = extreme - (sign * before).max(sign * after);
    let edge = sign * (y[start] - y[start - 1]);
    let back = sign * (y[end - 1] - y[end]);
    if height <= jump || edge < 0.4 * height || back < 0.4 * height {
        return None;
    }
    if (before - after).abs() > 0.35 * height {
        return None;
    }
    let mut steps: Vec<f64> = y[start.saturating_sub(AROUND)..start]
        .windows(2)
        .chain(y[end..(end + AROUND).min(y.len())].windows(2))
        .map(|pair| (pair[1] - pair[0]).abs())
        .collect();
    // Three quarters of the steps around must be small, not only half: ringing turns twice a period.
    let roughness = super::stats::quantile(&mut steps, 0.75)?;
    (height > 8.0 * roughness).then_some((start..end, if up { Excursion::Spike } else { Excursion::DropOut }))
}

fn level(values: &[f64]) -> Option<f64> {
    median(&mut values.to_vec())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn burn() -> Vec<f64> {
        (0..400)
            .map(|i| {
                let t = f64::from(i) * 0.01;
                let wobble = f64::from(i * 7919 % 13) / 13.0 - 0.5;
                wobble + if (1.0..3.0).contains(&t) { 500.0 + 20.0 * (t * 3.0).sin() } else { 0.0 }
            })
            .collect()
    }

    #[test]
    fn spikes_anywhere_are_found() {
        for (from, count, value) in [(20, 1, 4000.0), (350, 2, 2600.0), (200, 3, 2500.0), (150, 1, 600.0)] {
            let mut y = burn();
            y[from..from + count].fill(value);
            let found = excursions(&y, 500.0, 0.4, 3);
            assert_eq!(found, [(from..from + count, Excursion::Spike)], "{from} {value}");
        }
    }

    #[test]
    fn a_spike_is_found_ahead_of_a_drop_out_and_at_the_edge_of_a_tail() {
        let mut y = burn();
        (y[200], y[202]) = (3500.0, -500.0);
        let found = excursions(&y, 500.0, 0.4, 3);
        assert_eq!(found, [(200..201, Excursion::Spike), (202..203, Excursion::DropOut)]);
        let mut tail = burn();
        for (i, value) in tail[300..330].iter_mut().enumerate() {
            *value = 500.0 * 0.88f64.powi(i32::try_from(i).unwrap_or(0));
        }
        tail[299] = 2000.0;
        assert_eq!(excursions(&tail, 500.0, 0.4, 3), [(299..300, Excursion::Spike)]);
    }

    #[test]
    fn drop_outs_inside_the_burn_are_found() {
        let mut y = burn();
        y[180..182].fill(0.0);
        assert_eq!(excursions(&y, 500.0, 0.4, 3), [(180..182, Excursion::DropOut)]);
    }

    #[test]
    fn a_burn_and_its_ignition_spike_are_left_alone() {
        assert!(excursions(&burn(), 500.0, 0.4, 3).is_empty());
        let mut y = burn();
        for (i, extra) in [60.0, 150.0, 260.0, 180.0, 90.0, 40.0].into_iter().enumerate() {
            y[100 + i] += extra;
        }
        assert!(excursions(&y, 500.0, 0.4, 3).is_empty());
        let mut one = burn();
        one[100] = 900.0;
        assert!(excursions(&one, 500.0, 0.4, 3).is_empty());
    }

    #[test]
    fn ringing_is_left_alone() {
        let y: Vec<f64> = (0..400)
            .map(|i| {
                let t = f64::from(i) * 0.001;
                if t > 0.1 { 500.0 + 150.0 * (-(t - 0.1) * 8.0).exp() * (t * 628.0).sin() } else { 0.0 }
            })
            .collect();
        assert!(excursions(&y, 500.0, 0.4, 3).is_empty());
    }
}
