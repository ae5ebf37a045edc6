//! Patterns in the shape of a burn: steps, spikes, humps, climbs.

use std::ops::Range;

use super::channel::Measured;
use super::findings::Finding;
use super::phases::Phase;
use super::profile::Profile;
use super::words::figures;

fn percent(part: f64, whole: f64) -> f64 {
    100.0 * part / whole
}

/// Steps from one phase to the next.
pub fn steps(profile: &Profile, phases: &[Phase], m: &Measured) -> Vec<Finding> {
    let burn_s = m.reduction.burn.time_s();
    let peak = m.reduction.peak;
    let unit = m.reduction.unit.symbol();
    let mut found: Vec<Finding> = Vec::new();
    let mut i = 1;
    while i < phases.len() {
        let (before, after) = (&phases[i - 1], &phases[i]);
        i += 1;
        let ratio = after.first / before.last;
        let quick = after.from_s - before.to_s <= 0.15 * burn_s;
        let long_s = after.to_s - after.from_s;
        if !quick || !ratio.is_finite() || before.last < 0.05 * peak {
            continue;
        }
        let evidence = format!(
            "from {} {unit} to {} {unit} ({:+.0} %) between {:.3} s and {:.3} s, then {:.2} s at a mean of {} {unit}",
            figures(before.last),
            figures(after.first),
            percent(ratio - 1.0, 1.0),
            before.to_s,
            after.from_s,
            long_s,
            figures(after.mean)
        );
        let at_s = f64::midpoint(before.to_s, after.from_s);
        if ratio < 0.5 && long_s >= 0.1 * burn_s {
            found.push(Finding::new(
                "sudden drop, long weak tail",
                at_s,
                evidence,
                "nozzle, throat insert and closures in place? Case breach? Video at this moment; unburnt pieces; \
                 pressure falls more than thrust if the throat went",
            ));
        } else if ratio < 0.96 && long_s >= 0.08 * burn_s {
            found.push(Finding::new(
                "step down",
                at_s,
                evidence,
                "leak at a seal or thread (soot track, flame at a joint on video), insert shifted, hot spot venting",
            ));
        } else if ratio > 1.05 {
            let back = phases.get(i).filter(|next| {
                next.from_s - after.to_s <= 0.15 * burn_s
                    && next.first < 0.97 * after.last
                    && long_s < 0.3 * burn_s
            });
            if back.is_some() {
                i += 1;
                found.push(Finding::new(
                    "step up, then back down",
                    at_s,
                    evidence,
                    "slag or debris that plugged the throat and cleared: ejecta, scratches in the throat",
                ));
            } else if before.from_s > profile.from_s + 0.05 * burn_s
                || before.to_s - before.from_s > 0.1 * burn_s
            {
                found.push(Finding::new(
                    "step up",
                    at_s,
                    evidence,
                    "inhibitor or bond peeled, grain broke: does the step in burning area fit one face? Then compare \
                     the peak with MEOP and proof",
                ));
            }
        }
    }
    found
}

/// A peak in the first fifth that stands above what follows; with a raised level behind it or without.
pub fn early_spike(profile: &Profile, m: &Measured) -> Option<Finding> {
    let burn = &m.reduction.burn;
    let span = burn.time_s();
    let at = |share: f64| profile.index(burn.start_s + share * span);
    let (start, end) = (at(0.0), at(0.22));
    let top = (start..=end).max_by(|&a, &b| profile.level[a].total_cmp(&profile.level[b]))?;
    let mut behind: Vec<f64> = profile.level.get(at(0.25)..at(0.5))?.to_vec();
    let reference = super::stats::median(&mut behind)?;
    // The raw peak may stand above the mean over a span.
    let near = (m.reduction.peak_at_s - profile.middle(top)).abs() < 0.05 * span;
    let height = if near { m.reduction.peak.max(profile.level[top]) } else { profile.level[top] };
    // Against the trend behind it as well: a burn that falls all the way has no spike.
    let trend = trend(profile, at(0.22), at(0.5))?;
    let level_at = |k: usize| reference.max(trend(k));
    let excess = height - level_at(top);
    if excess < 0.08 * reference + 4.0 * profile.noise || top >= end {
        return None;
    }
    // It must come down quickly: seven tenths of the excess gone within an eighth of the burn.
    let later = at((profile.middle(top) - burn.start_s) / span + 0.125);
    let down = (top..=later).find(|&k| profile.level[k] < level_at(k) + 0.3 * excess);
    let width_s = profile.middle(down?) - profile.middle(top);
    let raised = profile.mean(at(0.3), at(0.4));
    let late = profile.mean(at(0.6), at(0.75));
    let unit = m.reduction.unit.symbol();
    let evidence = format!(
        "{} {unit} at {:.3} s, {:.0} % above the {} {unit} that follows, down again in {:.0} ms",
        figures(height),
        profile.middle(top),
        percent(height - reference, reference),
        figures(reference),
        width_s * 1e3
    );
    let at_s = profile.middle(top);
    if raised > 1.12 * late && late > 0.3 * m.reduction.peak {
        Some(Finding::new(
            "early spike, then a raised level decaying",
            at_s,
            format!(
                "{evidence}; the level a third through is {:.0} % above that two thirds through",
                percent(raised - late, late)
            ),
            "cracked or voided grain: was the burn shorter with the impulse unchanged? Grain inspection photo; check \
             the peak against MEOP, proof and the weakest yield",
        ))
    } else {
        Some(Finding::new(
            "early spike",
            at_s,
            evidence,
            "igniter mass, port-to-throat ratio (erosive burning), grain cracks: compare the area of the spike with \
             the igniter",
        ))
    }
}

/// The straight line through some spans, as a function of the span.
fn trend(profile: &Profile, from: usize, to: usize) -> Option<impl Fn(usize) -> f64> {
    let x: Vec<f64> = (from..to).map(|k| k as f64).collect();
    let line = super::stats::line(&x, profile.level.get(from..to)?)?;
    Some(move |k: usize| line.at(k as f64))
}

/// A climb through most of the burn to a peak late in it.
pub fn steady_climb(profile: &Profile, m: &Measured) -> Option<Finding> {
    let burn = &m.reduction.burn;
    let at = |share: f64| profile.index(burn.start_s + share * burn.time_s());
    let top = (at(0.0)..=at(1.0)).max_by(|&a, &b| profile.level[a].total_cmp(&profile.level[b]))?;
    let place = (profile.middle(top) - burn.start_s) / burn.time_s();
    let early = profile.mean(at(0.12), at(0.2).max(at(0.12) + 1));
    let climb = profile.level[top] / early - 1.0;
    if !(climb.is_finite() && place >= 0.6 && climb >= 0.2 && early > 0.2 * m.reduction.peak) {
        return None;
    }
    let (mut rises, mut steps) = (0usize, 0usize);
    let stride = ((top - at(0.15).min(top)) / 12).max(1);
    let mut k = at(0.15);
    while k + stride <= top {
        steps += 1;
        rises += usize::from(profile.mean(k, k + stride) < profile.mean(k + stride, k + 2 * stride));
        k += stride;
    }
    (steps >= 4 && rises * 5 >= steps * 4).then(|| {
        Finding::new(
            "steady climb",
            profile.middle(top),
            format!(
                "up by {:.0} % from a sixth of the burn to its peak at {:.0} % of it",
                climb * 100.0,
                place * 100.0
            ),
            "throat before and after (slag), bond failure exposing the outside of the grain, an inhibited end that \
             burned: compare with the planned curve",
        )
    })
}

/// Two maxima with a valley between, and the time from one to the other.
///
/// A hump is a local maximum of the smoothed profile whose prominence (how far it stands above the higher of the two
/// lowest levels that part it from anything higher) is a tenth of its height and out of the noise. A narrow first one,
/// less than a tenth of the burn wide half-way down to the valley, is an early spike and no hump.
pub fn two_humps(profile: &Profile, m: &Measured) -> Option<(Finding, Range<f64>)> {
    let burn = &m.reduction.burn;
    let at = |share: f64| profile.index(burn.start_s + share * burn.time_s());
    let smooth = super::burn::moving_average(&profile.level, (profile.level.len() / 80).min(5));
    let mut humps: Vec<Hump> = (at(0.03)..at(0.97).min(smooth.len()))
        .filter_map(|k| Hump::at(&smooth, k))
        .filter(|it| {
            let height = smooth[it.at];
            it.prominence > 0.1 * height + 4.0 * profile.noise && height > 0.3 * m.reduction.peak
        })
        .collect();
    let (a, valley, b) = loop {
        // The most prominent is the highest of all; of the others the most prominent one far enough from it.
        let first = humps.iter().max_by(|a, b| a.prominence.total_cmp(&b.prominence))?;
        let away = |it: &Hump| (profile.middle(it.at) - profile.middle(first.at)).abs();
        let far = humps.iter().filter(|it| away(it) >= 0.15 * burn.time_s());
        let second = far.max_by(|a, b| a.prominence.total_cmp(&b.prominence))?;
        let (a, b) = (first.at.min(second.at), first.at.max(second.at));
        let valley = (a..=b).min_by(|&x, &y| smooth[x].total_cmp(&smooth[y]))?;
        let half = f64::midpoint(smooth[a], smooth[valley]);
        let from = (0..a).rev().find(|&i| smooth[i] < half).map_or(0, |i| i + 1);
        let to = (a..valley).find(|&i| smooth[i] < half).unwrap_or(valley);
        let narrow = (to - from) as f64 * profile.span_s < 0.1 * burn.time_s();
        if narrow && profile.middle(a) - burn.start_s < 0.22 * burn.time_s() {
            humps.retain(|it| it.at != a);
        } else {
            break (a, valley, b);
        }
    };
    let unit = m.reduction.unit.symbol();
    let finding = Finding::new(
        "two humps",
        profile.middle(valley),
        format!(
            "{} {unit} at {:.3} s and {} {unit} at {:.3} s with {} {unit} between",
            figures(smooth[a]),
            profile.middle(a),
            figures(smooth[b]),
            profile.middle(b),
            figures(smooth[valley])
        ),
        "segments not lit together, batches mixed, spacing closed: segment sheet and batch numbers",
    );
    Some((finding, profile.middle(a)..profile.middle(b)))
}

/// A local maximum.
struct Hump {
    at: usize,
    prominence: f64,
}

impl Hump {
    /// The hump at a place of the profile, where that is a local maximum.
    fn at(level: &[f64], k: usize) -> Option<Self> {
        let here = *level.get(k)?;
        // Of equal neighbours the first is the maximum.
        let higher = |i: usize| if i < k { level[i] >= here } else { level[i] > here };
        let beside = [k.checked_sub(1), Some(k + 1)].into_iter().flatten().filter(|i| *i < level.len());
        if beside.into_iter().any(higher) {
            return None;
        }
        let lowest = |range: &mut dyn Iterator<Item = usize>| {
            let mut least = here;
            for i in range {
                if higher(i) {
                    break;
                }
                least = least.min(level[i]);
            }
            least
        };
        let left = lowest(&mut (0..k).rev());
        let right = lowest(&mut (k + 1..level.len()));
        Some(Self { at: k, prominence: here - left.max(right) })
    }
}
