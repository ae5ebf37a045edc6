//! Steady stretches of a burn, parted where it changes.

use std::ops::Range;

use serde::Serialize;

use super::profile::Profile;

/// A steady stretch.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Phase {
    /// Begins.
    pub from_s: f64,
    /// Ends.
    pub to_s: f64,
    /// Mean reading, tared.
    pub mean: f64,
    /// Level at its beginning.
    pub first: f64,
    /// Level at its end.
    pub last: f64,
}

/// A change of more than this share of its own level in the time of the whole burn is a transition: a rise
/// to pressure, a drop, a tail-off.
const STEEP: f64 = 3.0;
/// A jump of more than this share of the level parts two phases.
const JUMP: f64 = 0.05;
/// Phases shorter than this share of the burn are not told.
const SHORTEST: f64 = 0.03;

/// A stretch of spans with a straight line through it.
#[derive(Clone, Debug)]
struct Piece {
    spans: Range<usize>,
    first: f64,
    last: f64,
}

/// Parts a burn into phases.
///
/// The profile is cut into straight pieces by optimal partitioning: the cut positions that minimise
/// `Σ (residual²) + β · pieces`, β = 12 s² ln n, s the noise of a span or 0.4 % of the top. Pieces that change
/// by more than three times their level a burn time are transitions; what lies between them are the phases,
/// joined where the level goes on within 5 %.
///
/// Source: optimal partitioning after Jackson et al., IEEE Signal Processing Letters 12 (2005) 105; the
/// limits of steepness and jump are this program's own.
pub fn phases(profile: &Profile) -> Vec<Phase> {
    let n = profile.level.len();
    let top = profile.top();
    if n < 8 || top <= 0.0 {
        return Vec::new();
    }
    let pieces = straight_pieces(profile, (0.004 * top).max(profile.noise));
    let mut groups: Vec<Piece> = Vec::new();
    for piece in pieces {
        if is_transition(&piece, n, top, profile.noise) {
            continue;
        }
        match groups.last_mut() {
            Some(group) if continues(group, &piece, profile.noise) => {
                group.spans.end = piece.spans.end;
                group.last = piece.last;
            }
            _ => groups.push(piece),
        }
    }
    groups.retain(|g| g.spans.len() as f64 >= SHORTEST * n as f64);
    // What was parted by a short piece that is now gone may go on after all.
    let mut joined: Vec<Piece> = Vec::new();
    for group in groups {
        match joined.last_mut() {
            Some(before) if continues(before, &group, profile.noise) => {
                before.spans.end = group.spans.end;
                before.last = group.last;
            }
            _ => joined.push(group),
        }
    }
    joined
        .into_iter()
        .map(|g| Phase {
            from_s: profile.at(g.spans.start),
            to_s: profile.at(g.spans.end),
            mean: profile.mean(g.spans.start, g.spans.end),
            first: g.first,
            last: g.last,
        })
        .collect()
}

fn is_transition(piece: &Piece, n: usize, top: f64, noise: f64) -> bool {
    let level = f64::midpoint(piece.first, piece.last);
    if level < 0.02 * top {
        return true;
    }
    let change = (piece.last - piece.first).abs();
    let steep = change * n as f64 / piece.spans.len() as f64 > STEEP * level;
    steep && change > JUMP * level + 4.0 * noise
}

fn continues(before: &Piece, after: &Piece, noise: f64) -> bool {
    let gap = after.spans.start - before.spans.end;
    let level = before.last.abs().max(after.first.abs());
    let shortest = before.spans.len().min(after.spans.len());
    (before.last - after.first).abs() < JUMP * level + 3.0 * noise && gap <= shortest.max(4)
}

/// Cuts the profile into straight pieces.
fn straight_pieces(profile: &Profile, s: f64) -> Vec<Piece> {
    let level = &profile.level;
    let n = level.len();
    let penalty = 12.0 * s * s * (n as f64).ln();
    let sums = Sums::of(level);
    let mut best = vec![f64::INFINITY; n + 1];
    let mut from = vec![0usize; n + 1];
    best[0] = -penalty;
    for end in 2..=n {
        for start in 0..end - 1 {
            let cost = best[start] + penalty + sums.residual(start, end);
            if cost < best[end] {
                best[end] = cost;
                from[end] = start;
            }
        }
    }
    let mut pieces = Vec::new();
    let mut end = n;
    while end > 0 {
        let start = from[end].min(end - 1);
        let (first, last) = sums.ends(start, end);
        pieces.push(Piece { spans: start..end, first, last });
        end = start;
    }
    pieces.reverse();
    pieces
}

/// Running sums, from which the line through any stretch follows at once.
struct Sums {
    y: Vec<f64>,
    xy: Vec<f64>,
    yy: Vec<f64>,
}

impl Sums {
    fn of(level: &[f64]) -> Self {
        let running = |term: &dyn Fn(usize, f64) -> f64| {
            let mut sum = 0.0;
            let mut sums = vec![0.0];
            for (i, value) in level.iter().enumerate() {
                sum += term(i, *value);
                sums.push(sum);
            }
            sums
        };
        Self { y: running(&|_, y| y), xy: running(&|i, y| i as f64 * y), yy: running(&|_, y| y * y) }
    }

    /// n, Σ(x−x̄)², mean of y, Σ(x−x̄)y over a stretch.
    fn moments(&self, start: usize, end: usize) -> (f64, f64, f64, f64) {
        let n = (end - start) as f64;
        let middle = f64::midpoint(start as f64, end as f64 - 1.0);
        let sum_y = self.y[end] - self.y[start];
        let sxy = self.xy[end] - self.xy[start] - middle * sum_y;
        (n, n * (n * n - 1.0) / 12.0, sum_y / n, sxy)
    }

    fn residual(&self, start: usize, end: usize) -> f64 {
        let (n, sxx, mean, sxy) = self.moments(start, end);
        let syy = self.yy[end] - self.yy[start] - n * mean * mean;
        let explained = if sxx > 0.0 { sxy * sxy / sxx } else { 0.0 };
        (syy - explained).max(0.0)
    }

    fn ends(&self, start: usize, end: usize) -> (f64, f64) {
        let (n, sxx, mean, sxy) = self.moments(start, end);
        let half = if sxx > 0.0 { sxy / sxx * (n - 1.0) / 2.0 } else { 0.0 };
        (mean - half, mean + half)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(shape: impl Fn(f64) -> f64) -> Profile {
        let level = (0..400).map(|k| shape((f64::from(k) + 0.5) / 400.0)).collect();
        Profile { from_s: 0.0, span_s: 1.0 / 400.0, level, noise: 0.0 }
    }

    #[test]
    fn a_trapezoid_is_one_phase() {
        let found = phases(&profile(|x| (x / 0.04).min(1.0).min((1.0 - x) / 0.2) * 500.0));
        assert_eq!(found.len(), 1);
        assert!((found[0].from_s - 0.04).abs() < 0.01 && (found[0].to_s - 0.8).abs() < 0.01, "{found:?}");
        assert!((found[0].mean - 500.0).abs() < 5.0);
    }

    #[test]
    fn a_drop_parts_two_phases() {
        let found = phases(&profile(|x| match x {
            x if x < 0.03 => 1600.0 * x / 0.03,
            x if x < 0.42 => 1600.0 + 200.0 * x,
            x if x < 0.44 => 1600.0 - 1370.0 * (x - 0.42) / 0.02,
            x if x < 0.9 => 230.0 - 60.0 * (x - 0.44),
            x => 200.0 * (1.0 - x) / 0.1,
        }));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0].to_s - 0.42).abs() < 0.01 && (found[1].from_s - 0.44).abs() < 0.01);
    }

    #[test]
    fn a_curved_burn_is_one_phase() {
        let found = phases(&profile(|x| {
            500.0 * (x / 0.03).min(1.0).min((1.0 - x) / 0.05) * (0.7 + 1.2 * x * (1.0 - x))
        }));
        assert_eq!(found.len(), 1, "{found:?}");
    }

    #[test]
    fn a_small_step_parts_two_phases() {
        let found = phases(&profile(|x| {
            let step = if x < 0.5 { 1.0 } else { 0.88 };
            500.0 * (x / 0.03).min(1.0).min((1.0 - x) / 0.05) * step
        }));
        assert_eq!(found.len(), 2, "{found:?}");
    }
}
