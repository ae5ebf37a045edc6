//! Patterns in a trace that ask for a second look at the hardware.

use serde::Serialize;

use super::against::against;
use super::channel::Measured;
use super::phases::Phase;
use super::profile::Profile;
use super::ringing::tone;
use super::shape;
use super::words::figures;

/// A pattern, what speaks for it, and where to look next. A suggestion, never a verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// "early spike", "step down" …
    pub pattern: String,
    /// Where in the record.
    pub at_s: f64,
    /// The numbers that show it.
    pub evidence: String,
    /// What in the record speaks against the first suspect.
    pub evidence_against: String,
    /// What would confirm or exclude it.
    pub look_next: String,
}

impl Finding {
    /// A finding from its parts.
    pub(super) fn new(pattern: &str, at_s: f64, evidence: String, look_next: &str) -> Self {
        Self {
            pattern: pattern.to_owned(),
            at_s,
            evidence,
            evidence_against: String::new(),
            look_next: look_next.to_owned(),
        }
    }
}

/// The patterns, most pressing first.
const RANK: &[&str] = &[
    "pulse apart from the burn",
    "possible hard start",
    "clipped flat top",
    "sudden drop, long weak tail",
    "sudden end",
    "early spike, then a raised level decaying",
    "step up, then back down",
    "step up",
    "chuffing",
    "step down",
    "steady climb",
    "early spike",
    "two humps",
    "pressure slower than thrust",
    "oscillation",
    "baseline shift",
    "record cut off",
    "readings missing",
    "ringing",
];

/// Looks the channel over, and the pressure beside it where there is one.
///
/// Patterns, first suspects and what would confirm them are the trade's (static-test practice; no published
/// limits). The limits are this program's own: a pattern has to stand out of the noise and be at least some
/// per cent of the level it is in.
pub fn findings(
    m: &Measured,
    profile: &Profile,
    phases: &[Phase],
    pressure: Option<&Measured>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(pulse_apart(m, pressure));
    found.extend(hard_start(m, "thrust"));
    found.extend(pressure.and_then(|p| hard_start(p, "pressure")));
    found.extend(clipped(m).map(|flat| in_pressure_too(flat, m, pressure)));
    found.extend(pressure.and_then(clipped));
    found.extend(shape::steps(profile, phases, m));
    if !found.iter().any(|it| it.pattern == "sudden drop, long weak tail") {
        found.extend(super::ending::sudden_end(m, phases));
    }
    found.extend(shape::early_spike(profile, m));
    found.extend(shape::steady_climb(profile, m));
    if let Some((humps, between)) = shape::two_humps(profile, m) {
        // What is wide enough for a hump is no spike.
        found.retain(|f| {
            !(f.pattern == "early spike" && (f.at_s - between.start).abs() < 0.1 * m.reduction.burn.time_s())
        });
        // The way down into the valley and up again is no step.
        found.retain(|f| !(f.pattern.starts_with("step") && between.contains(&f.at_s)));
        found.push(humps);
    }
    found.extend(chuffing(m));
    found.extend(baseline_shift(m));
    found.extend(tones(m, phases));
    found.extend(pressure.and_then(|p| slow_pressure(m, p)));
    found.extend(pressure.and_then(|p| pressure_tone(m, p)));
    found.extend(cut_off(m));
    found.extend(readings_missing(m));
    let rank = |f: &Finding| RANK.iter().position(|p| *p == f.pattern).unwrap_or(RANK.len());
    found.sort_by_key(rank);
    let all: Vec<String> = found.iter().map(|it| it.pattern.clone()).collect();
    for finding in &mut found {
        finding.evidence_against = against(finding, m, profile, pressure, &all);
    }
    found
}

fn pulse_apart(m: &Measured, pressure: Option<&Measured>) -> Option<Finding> {
    let on_pressure = pressure.map(|p| p.strays.as_slice()).unwrap_or_default();
    let (strays, of) = if m.strays.is_empty() { (on_pressure, pressure?) } else { (m.strays.as_slice(), m) };
    let tallest = strays.iter().max_by(|a, b| a.height.total_cmp(&b.height))?;
    let burn = &of.reduction.burn;
    let away = if tallest.at_s < burn.start_s {
        format!("{:.3} s before the burn", burn.start_s - tallest.at_s)
    } else {
        format!("{:.3} s after the burn", tallest.at_s - burn.end_s)
    };
    let more = match strays.len() {
        1 => String::new(),
        n => format!(
            "; {n} such pulses, {} samples in all",
            strays.iter().map(|s| s.range.len()).sum::<usize>()
        ),
    };
    Some(Finding::new(
        "pulse apart from the burn",
        tallest.at_s,
        format!(
            "{} {} for {:.1} ms ({} samples), {away}: {:.1} times the burn's height with {:.1} % of its impulse; put \
             aside{more}",
            figures(tallest.height),
            of.reduction.unit.symbol(),
            tallest.length_s * 1e3,
            tallest.range.len(),
            tallest.times_burn,
            100.0 * tallest.share
        ),
        "video and sound at this moment: nothing there, then igniter wiring, shielding or a loose plug; a knock on the \
         stand; if something did happen, take this reading for real and keep the casing from firing",
    ))
}

/// What was put aside although it may have been real: a hard start looks like this.
fn hard_start(m: &Measured, channel: &str) -> Option<Finding> {
    let r = &m.reduction;
    let doubtful: Vec<_> = r.put_aside.iter().filter(|it| it.may_be_real && !it.apart).collect();
    let worst = doubtful.iter().max_by(|a, b| {
        (!a.contradicted, a.value)
            .partial_cmp(&(!b.contradicted, b.value))
            .unwrap_or(std::cmp::Ordering::Equal)
    })?;
    let since = worst.since_ignition_s;
    let more = match doubtful.len() {
        1 => String::new(),
        n => format!("; {n} such jumps in all"),
    };
    Some(Finding::new(
        "possible hard start",
        worst.at_s,
        format!(
            "{channel} {}, {:.3} s {} ignition: put aside as too quick for a stand; if it is real it is the peak, {:.2} \
             times the one given{more}",
            worst.says(r.unit),
            since.abs(),
            if since < 0.0 { "before" } else { "after" },
            worst.value / r.peak
        ),
        "video and sound at this moment, the other channel, the next strip (bolts, closures, first stations): until \
         something speaks against it, take it for real",
    ))
}

fn clipped(m: &Measured) -> Option<Finding> {
    let flat = m.clipped.as_ref()?;
    let unit = m.reduction.unit.symbol();
    let evidence = format!(
        "{} readings on end at {} {unit} (before tare), from {:.3} s to {:.3} s",
        flat.samples,
        figures(flat.reading),
        flat.from_s,
        flat.to_s
    );
    Some(Finding::new(
        "clipped flat top",
        flat.from_s,
        evidence,
        "amplifier gain and converter range: is this reading their limit? Peak and impulse are lower bounds; \
         compare with pressure",
    ))
}

fn in_pressure_too(mut finding: Finding, m: &Measured, pressure: Option<&Measured>) -> Finding {
    if let (Some(p), Some(flat)) = (pressure, &m.clipped) {
        let from = p.t.partition_point(|&t| t < flat.from_s);
        let to = p.t.partition_point(|&t| t <= flat.to_s);
        let part = p.y.get(from..to).unwrap_or_default();
        let (low, high) =
            part.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
        let moves = (high - low) / p.reduction.peak;
        if moves.is_finite() {
            finding
                .evidence
                .push_str(&format!("; pressure moves by {:.1} % of its peak meanwhile", moves * 100.0));
        }
    }
    finding
}

fn chuffing(m: &Measured) -> Option<Finding> {
    let r = &m.reduction;
    let level = (0.03 * r.peak).max(8.0 * m.noise);
    let burn_s = r.burn.time_s();
    let pulses: Vec<_> = super::region::pulses_before(&m.t, &m.y, 0.0, level, &m.cells)
        .into_iter()
        .filter(|p| m.t[p.end - 1] > r.burn.start_s - 10.0 * burn_s.max(1.0) && (p.len() >= 3 || m.drawn))
        .collect();
    let (first, last) = (pulses.first()?, pulses.last()?);
    let top = |p: &std::ops::Range<usize>| m.y[p.clone()].iter().copied().fold(0.0, f64::max);
    let highest = pulses.iter().map(top).fold(0.0, f64::max);
    let delay = r.burn.start_s - m.t[first.start];
    let rate = if pulses.len() > 1 {
        format!(", about {:.1} a second", (pulses.len() - 1) as f64 / (m.t[last.start] - m.t[first.start]))
    } else {
        String::new()
    };
    (pulses.len() >= 2 || top(first) > 0.05 * r.peak).then(|| {
        Finding::new(
            "chuffing",
            m.t[first.start],
            format!(
                "{} pulse{} of up to {:.0} % of the peak in the {:.2} s before ignition{rate}",
                pulses.len(),
                if pulses.len() == 1 { "" } else { "s" },
                100.0 * highest / r.peak,
                delay
            ),
            "igniter mass and fit, throat diameter, damp or cold grain; or somebody touched the stand (video). \
             Treat a chuff as a hang-fire",
        )
    })
}

fn baseline_shift(m: &Measured) -> Option<Finding> {
    let r = &m.reduction;
    // A zero that drifts all the time has not shifted: what counts is the step off its line.
    let (shift, own) = r.tare.shift();
    (shift.abs() > (0.01 * r.peak).max(3.0 * r.tare.noise)).then(|| {
        Finding::new(
            "baseline shift",
            r.burn.end_s,
            format!(
                "the level after the burn is {} {} off the {} before ({:+.1} % of the peak)",
                figures(shift),
                r.unit.symbol(),
                if own == 0.0 { "level" } else { "line the zero drifted along" },
                100.0 * shift / r.peak
            ),
            "re-calibrate the cell with known masses; a stuck stand, an overloaded or heated cell; on a vertical \
             stand, the propellant that is gone",
        )
    })
}

fn tones(m: &Measured, phases: &[Phase]) -> Option<Finding> {
    let r = &m.reduction;
    let burn_s = r.burn.time_s();
    let reach = (0.25 * burn_s).min(0.4);
    let mut starts: Vec<(f64, f64)> =
        phases.iter().map(|p| (p.from_s, p.to_s.min(p.from_s + reach))).collect();
    starts.push((r.integral_to_s, r.integral_to_s + reach));
    starts.push((r.burn.end_s, r.burn.end_s + reach));
    let best = starts
        .into_iter()
        .filter_map(|(from, to)| tone(m, from, to))
        .max_by(|a, b| a.amplitude.total_cmp(&b.amplitude))?;
    let text = format!(
        "{:.0} Hz, {:.1} % of the peak after {:.3} s, {:.0} % of that half a stretch later",
        best.hertz,
        100.0 * best.amplitude / r.peak,
        best.at_s,
        100.0 * best.kept
    );
    (best.amplitude > 0.002 * r.peak).then(|| {
        if best.kept < 0.75 {
            Finding::new(
                "ringing",
                best.at_s,
                text,
                "tap the stand with the logger running: the same frequency? Raw and filtered peak are both given",
            )
        } else {
            Finding::new(
                "oscillation",
                best.at_s,
                text,
                "mains hum, a loose mount, or the chamber: does pressure show it too? A tap test tells the stand's \
                 own frequency",
            )
        }
    })
}

fn pressure_tone(m: &Measured, p: &Measured) -> Option<Finding> {
    let (from, to) = (p.reduction.burn.start_s, p.reduction.burn.end_s);
    let best = tone(p, from + 0.3 * (to - from), to - 0.2 * (to - from))?;
    let on_thrust = tone(m, from + 0.3 * (to - from), to - 0.2 * (to - from))
        .is_some_and(|t| (t.hertz - best.hertz).abs() < 0.1 * best.hertz);
    (best.hertz >= 100.0 && !on_thrust && best.amplitude > 0.01 * p.reduction.peak).then(|| {
        Finding::new(
            "oscillation",
            best.at_s,
            format!(
                "{:.0} Hz on pressure, {:.1} % of its peak, not on thrust",
                best.hertz,
                100.0 * best.amplitude / p.reduction.peak
            ),
            "combustion instability: marks of vibration on the case, bore erosion; sample faster than four times \
             the frequency to be sure of it",
        )
    })
}

pub(super) fn slow_pressure(m: &Measured, p: &Measured) -> Option<Finding> {
    let half = |m: &Measured| {
        let level = 0.5 * m.reduction.peak;
        let at = m.cells.clone().find(|&i| m.y[i] >= level)?;
        m.t.get(at).copied()
    };
    let (thrust_s, pressure_s) = (half(m)?, half(p)?);
    let late = pressure_s - thrust_s;
    (late > 0.04 * m.reduction.burn.time_s() && late > 0.005).then(|| {
        Finding::new(
            "pressure slower than thrust",
            thrust_s,
            format!("pressure is at half its peak {:.0} ms after thrust is at half of its own", late * 1e3),
            "plugged tap, air in the line, a long line: step response against an earlier firing",
        )
    })
}

/// A stretch of the burn without a reading: whatever happened in it is drawn straight across.
fn readings_missing(m: &Measured) -> Option<Finding> {
    let burn = &m.reduction.burn;
    let interval_s = super::channel::median_interval(&m.t);
    let long = |pair: &&[f64]| {
        let wide = pair[1] - pair[0];
        wide > 10.0 * interval_s
            && wide > 0.01 * burn.time_s()
            && pair[1] > burn.start_s
            && pair[0] < burn.end_s
    };
    let gaps: Vec<&[f64]> = m.t.windows(2).filter(long).collect();
    let widest = gaps.iter().max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
    let more = if gaps.len() > 1 { format!("; {} such gaps in the burn", gaps.len()) } else { String::new() };
    (!m.drawn).then(|| {
        Finding::new(
            "readings missing",
            widest[0],
            format!(
                "{:.3} s without a reading, from {:.3} s to {:.3} s: drawn straight across{more}",
                widest[1] - widest[0],
                widest[0],
                widest[1]
            ),
            "logger, card or cable; the other channel, video: a spike in the gap would not be seen, so the peak is a \
             lower bound",
        )
    })
}

fn cut_off(m: &Measured) -> Option<Finding> {
    let r = &m.reduction;
    let level = r.at_5_percent.threshold * r.peak;
    let (first, last) = (*m.y.first()?, *m.y.last()?);
    // The burn itself must reach the end of the record: a zero that has drifted off by then is no thrust.
    let step_s = 2.0 * super::channel::median_interval(&m.t);
    let at_first = r.at_5_percent.start_s <= m.t.first()? + step_s;
    let at_last = r.at_5_percent.end_s >= m.t.last()? - step_s;
    let words = match (first > level && at_first, last > level && at_last) {
        (true, true) => "begins and ends",
        (true, false) => "begins",
        (false, true) => "ends",
        (false, false) => return None,
    };
    Some(Finding::new(
        "record cut off",
        if first > level && at_first { *m.t.first()? } else { *m.t.last()? },
        format!("the record {words} within the burn: thrust is above 5 % of the peak there"),
        "trigger and length of the record; burn time and impulse are lower bounds",
    ))
}
