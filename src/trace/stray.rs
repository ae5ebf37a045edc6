//! Pulses that stand apart from the burn, far higher and with hardly any impulse: electricity, or a knock.

use std::borrow::Cow;
use std::ops::Range;

use super::region::{Coarse, main_run};
use super::scale::Scale;
use super::stats::{long_extremes, median};

/// Why their samples are put aside.
pub const STRAY: &str = "pulse apart from the burn: far higher, short, and with a small share of the impulse";

/// A pulse put aside.
#[derive(Clone, Debug, PartialEq)]
pub struct Stray {
    /// Its samples, foot to foot.
    pub range: Range<usize>,
    /// Its highest sample.
    pub at_s: f64,
    /// From foot to foot.
    pub length_s: f64,
    /// Above the level around it.
    pub height: f64,
    /// Its height over the burn's.
    pub times_burn: f64,
    /// Its area over the burn's.
    pub share: f64,
    area: f64,
    base: (f64, f64),
}

/// At most so many are looked for.
const MOST: usize = 32;
/// A pulse counts as short up to this long at half its height, or eight samples up to [`FEW_SAMPLES_S`].
const SHORT_S: f64 = 0.02;
/// Eight samples of a slow logger are no longer short.
const FEW_SAMPLES_S: f64 = 0.1;
/// So much higher than the burn, or it is left alone.
const HIGHER: f64 = 1.5;
/// At most this share of the burn's area.
const SMALL_SHARE: f64 = 0.5;
/// A burn lower than this share of the pulse is none to judge a pulse by.
const LOWEST_BURN: f64 = 0.04;

/// Finds the pulses that stand apart from the burn.
///
/// The burn is what has the impulse, not what is highest. The tallest pulses that are short are set aside one after
/// the other until the tallest thing left is not short; the run with the largest area in what is left is the burn. A
/// pulse is put aside for good when it is half as high again as that burn, has at most half of its area, is
/// at most a third as long, and a gap of twice its own length, and a hundredth of the burn, lies between them. An ignition
/// spike or a hard start touches its burn and stays, whatever its height.
///
/// The limits are this program's own.
pub fn strays(t: &[f64], y: &[f64], interval_s: f64, rough: &Scale) -> Vec<Stray> {
    let short_s = (8.5 * interval_s).clamp(SHORT_S, FEW_SAMPLES_S);
    let mut rest = Cow::Borrowed(y);
    let mut found: Vec<Stray> = Vec::new();
    while found.len() < MOST {
        let Some(pulse) = tallest(t, &rest, rough, short_s) else { break };
        if found.first().is_some_and(|first| pulse.height < LOWEST_BURN * first.height) {
            break;
        }
        let (from, to) = pulse.base;
        let steps = (pulse.range.len() + 1) as f64;
        for (k, value) in rest.to_mut()[pulse.range.clone()].iter_mut().enumerate() {
            *value = from + (to - from) * (k + 1) as f64 / steps;
        }
        found.push(pulse);
    }
    if found.is_empty() {
        return found;
    }
    let scale = Scale::of(&rest, long_extremes(&rest), false, interval_s);
    let rise = scale.rise();
    if rise.is_nan() || rise <= 10.0 * scale.noise {
        return Vec::new();
    }
    let coarse = Coarse::new(t, &rest);
    let run = |share: f64, seed: Option<&Range<usize>>| {
        main_run(&coarse.t, &coarse.y, scale.low, scale.low + share * rise, scale.high, seed)
    };
    let Some(burn) = run(0.35, None) else { return Vec::new() };
    let whole = run(0.1, Some(&burn)).unwrap_or_else(|| burn.clone());
    let inside = burn.start > 0 && burn.end < coarse.y.len();
    let burn_s = coarse.t[burn.end - 1] - coarse.t[burn.start];
    let (from_s, to_s) = (coarse.t[whole.start], coarse.t[whole.end - 1]);
    let area = area(&coarse.t, &coarse.y, &burn, scale.low);
    for pulse in &mut found {
        pulse.times_burn = pulse.height / rise;
        pulse.share = pulse.area / area;
    }
    found.retain(|pulse| {
        let gap_s = (from_s - t[pulse.range.end - 1]).max(t[pulse.range.start] - to_s);
        // A level far below the pulse that runs to an end of the record is a shift, and then the pulse is the burn.
        let lowest = if inside { LOWEST_BURN } else { 0.2 };
        pulse.times_burn >= HIGHER
            && rise >= lowest * pulse.height
            && pulse.share <= SMALL_SHARE
            && pulse.length_s <= burn_s / 3.0
            && gap_s >= (2.0 * pulse.length_s).max(0.01 * burn_s)
    });
    found.sort_by_key(|pulse| pulse.range.start);
    found.dedup_by(|next, before| before.takes_in(next));
    found
}

impl Stray {
    /// Pulses whose feet overlap are one disturbance, told by the taller; whether the next is one with this.
    fn takes_in(&mut self, next: &Self) -> bool {
        if next.range.start >= self.range.end {
            return false;
        }
        let range = self.range.start..self.range.end.max(next.range.end);
        let (area, share) = (self.area + next.area, self.share + next.share);
        let length_s = self.length_s + next.length_s;
        if next.height > self.height {
            *self = next.clone();
        }
        *self = Self { range, area, share, length_s, ..self.clone() };
        true
    }
}

/// The highest thing in the column, if it is short and the level on both sides of it is far below.
fn tallest(t: &[f64], y: &[f64], rough: &Scale, short_s: f64) -> Option<Stray> {
    let (_, most) = long_extremes(y);
    let top = y.iter().position(|v| *v == most)?;
    let half = f64::midpoint(most, rough.low);
    if most - rough.low <= 10.0 * rough.noise {
        return None;
    }
    let (mut from, mut to) = (top, top + 1);
    while from > 0 && y[from - 1] > half && t[top] - t[from - 1] <= short_s {
        from -= 1;
    }
    while to < y.len() && y[to] > half && t[to] - t[top] <= short_s {
        to += 1;
    }
    if t[to - 1] - t[from] > short_s {
        return None;
    }
    let width = to - from;
    let (near, far) = (width + 2, 3 * width + 12);
    let level = |from: usize, to: usize| median(&mut y.get(from..to).unwrap_or_default().to_vec());
    let before = level(from.saturating_sub(far), from.saturating_sub(near));
    let after = level((to + near).min(y.len()), (to + far).min(y.len()));
    let base = (before.or(after)?, after.or(before)?);
    let height = most - base.0.max(base.1);
    if height < 0.75 * (most - rough.low) {
        return None;
    }
    let foot = (5.0 * rough.noise).max(0.005 * height);
    let (first, last) = (from.saturating_sub(near), (to + near).min(y.len()));
    while from > first && y[from - 1] > base.0 + foot {
        from -= 1;
    }
    while to < last && y[to] > base.1 + foot {
        to += 1;
    }
    let range = from..to;
    let length_s = t[to.min(y.len() - 1)] - t[from.saturating_sub(1)];
    let area = area(t, y, &range, base.0.max(base.1));
    Some(Stray { at_s: t[top], length_s, height, times_burn: 0.0, share: 0.0, area, base, range })
}

/// Area of some readings above a level.
fn area(t: &[f64], y: &[f64], range: &Range<usize>, level: f64) -> f64 {
    range
        .clone()
        .map(|i| (y[i] - level).max(0.0) * (t[(i + 1).min(t.len() - 1)] - t[i.saturating_sub(1)]) / 2.0)
        .sum()
}
