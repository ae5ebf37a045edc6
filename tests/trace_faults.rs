//! Records that misled the reduction: tall pulses apart from the burn, records without a quiet stretch, drifting zeros.

#![allow(clippy::unwrap_used)]

use proofmark::trace::read::Channel;
use proofmark::trace::{ChannelUnit, Record, ReduceOptions, Reduction, reduce};
use rstest::rstest;

/// Scatter of about one, the same every time.
struct Scatter(u64);

impl Scatter {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

fn record(rows: impl IntoIterator<Item = (f64, f64)>) -> Record {
    let (time_s, values): (Vec<f64>, Vec<f64>) = rows.into_iter().unzip();
    let thrust = Channel {
        column: "thrust".into(),
        stated_unit: "N".into(),
        unit: ChannelUnit::N,
        values,
        missing: 0,
    };
    let mut record = proofmark::trace::read(b"t_s,thrust_N\n0,0\n1,1\n", &Default::default()).unwrap();
    (record.time_s, record.thrust) = (time_s, Some(thrust));
    record
}

fn reduced(rows: impl IntoIterator<Item = (f64, f64)>) -> Reduction {
    reduce(&record(rows), &ReduceOptions::default()).unwrap()
}

fn patterns(found: &Reduction) -> Vec<&str> {
    found.findings.iter().map(|it| it.pattern.as_str()).collect()
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, share: f64) {
    assert!((found / expected - 1.0).abs() <= share, "{what}: {found}, not {expected}");
}

/// The burn of a few cored grains: 900 N at its highest, 1.968 s.
fn cored(t: f64) -> f64 {
    let x = t / 1.968;
    let edges = (x / 0.02).min((1.0 - x) / 0.03).clamp(0.0, 1.0);
    900.0 * edges * (0.78 + 0.88 * x * (1.0 - x))
}

/// Its impulse, on a fine grid.
fn cored_impulse() -> f64 {
    (0..20_000).map(|k| cored(1.968 * (f64::from(k) + 0.5) / 20_000.0)).sum::<f64>() * 1.968 / 20_000.0
}

/// The burn at 3.5 s, with a pulse of `samples` samples at `at_s`.
fn with_pulse(rate: f64, at_s: f64, samples: usize, pulse: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let mut scatter = Scatter(3);
    let first = (at_s * rate).round() as usize;
    (0..(9.0 * rate) as usize)
        .map(|i| {
            let t = i as f64 / rate;
            let share = (i + 1).saturating_sub(first) as f64 / (samples + 1) as f64;
            let more = if share > 0.0 && share < 1.0 { pulse(share) } else { 0.0 };
            (t, cored(t - 3.5) + more + scatter.normal())
        })
        .collect()
}

fn boxed(_: f64) -> f64 {
    4500.0
}
fn tall_box(_: f64) -> f64 {
    9000.0
}
fn low_box(_: f64) -> f64 {
    1700.0
}
fn triangle(x: f64) -> f64 {
    6000.0 * (1.0 - (2.0 * x - 1.0).abs())
}
fn round(x: f64) -> f64 {
    4500.0 * (std::f64::consts::PI * x).sin()
}

#[rstest]
#[case(50.0, 4, boxed)]
#[case(100.0, 4, boxed)]
#[case(100.0, 6, tall_box)]
#[case(200.0, 4, boxed)]
#[case(200.0, 4, low_box)]
#[case(200.0, 6, triangle)]
#[case(1000.0, 4, boxed)]
#[case(1000.0, 7, triangle)]
#[case(5000.0, 10, boxed)]
#[case(10_000.0, 30, tall_box)]
#[case(10_000.0, 60, round)]
fn a_tall_pulse_apart_is_not_the_burn(
    #[case] rate: f64,
    #[case] samples: usize,
    #[case] pulse: fn(f64) -> f64,
    #[values(0.5, 2.9, 6.1, 8.5)] at_s: f64,
) {
    let found = reduced(with_pulse(rate, at_s, samples, pulse));
    let thrust = found.thrust.as_ref().unwrap();
    close("peak", thrust.peak, 900.0, 0.01);
    close("impulse", thrust.integral, cored_impulse(), 0.003);
    let finding = &found.findings[0];
    assert_eq!(patterns(&found), ["pulse apart from the burn"]);
    assert!((finding.at_s - at_s).abs() < (samples + 1) as f64 / rate, "{finding:?}");
    assert!(finding.evidence.contains("times the burn's height") && finding.look_next.contains("video"));
    assert!(finding.evidence_against.contains("no pressure channel"), "{finding:?}");
    let counted: usize = found.rejected.iter().map(|it| it.count).sum();
    assert!((samples..=samples + 8).contains(&counted), "{:?}", found.rejected);
}

#[test]
fn several_pulses_are_all_put_aside() {
    let mut rows = with_pulse(200.0, 0.5, 4, boxed);
    for (from, value) in [(300, 3000.0), (1300, 5200.0), (1600, 2000.0)] {
        for row in &mut rows[from..from + 5] {
            row.1 += value;
        }
    }
    let found = reduced(rows);
    close("impulse", found.thrust.as_ref().unwrap().integral, cored_impulse(), 0.003);
    assert!(found.findings[0].evidence.contains("4 such pulses, 19 samples"), "{:?}", found.findings);
}

/// What looks like a pulse but is the burn, or a part of it.
#[rstest]
#[case::short_among_long_quiet(100.0, 900.0, |t: f64| 900.0 * ((t - 3.0) / 0.03).min((3.3 - t) / 0.03).clamp(0.0, 1.0), 60.0)]
#[case::short_then_a_shifted_zero(100.0, 900.0, |t: f64| if t > 3.3 { 15.0 } else { 900.0 * ((t - 3.0) / 0.03).min((3.3 - t) / 0.03).clamp(0.0, 1.0) }, 60.0)]
#[case::hard_start(1000.0, 4500.0, |t: f64| cored(t - 3.0) + 4000.0 * (-((t - 3.03) / 0.006).powi(2)).exp(), 9.0)]
#[case::boost_and_sustain(500.0, 1800.0, |t: f64| if (3.0..3.4).contains(&t) { 1800.0 } else if (3.4..7.0).contains(&t) { 150.0 } else { 0.0 }, 9.0)]
fn a_burn_that_is_short_or_starts_hard_stays(
    #[case] rate: f64,
    #[case] peak: f64,
    #[case] shape: fn(f64) -> f64,
    #[case] length_s: f64,
) {
    let mut scatter = Scatter(5);
    let rows = (0..(length_s * rate) as usize)
        .map(|i| (i as f64 / rate, shape(i as f64 / rate) + scatter.normal()))
        .collect::<Vec<_>>();
    let found = reduced(rows);
    close("peak", found.thrust.as_ref().unwrap().peak, peak, 0.06);
    assert!(!patterns(&found).contains(&"pulse apart from the burn"), "{:?}", found.findings);
}

/// Flat thrust with so many quiet samples at either end.
fn flat(rate: f64, quiet: usize, noise: f64) -> Vec<(f64, f64)> {
    let mut scatter = Scatter(11);
    let from = quiet as f64 / rate;
    (0..=((2.0 + 2.0 * from) * rate).round() as usize)
        .map(|i| {
            let s = i as f64 / rate - from;
            (
                i as f64 / rate,
                900.0 * (s / 0.02).min((2.0 - s) / 0.02).clamp(0.0, 1.0) + noise * scatter.normal(),
            )
        })
        .collect()
}

#[rstest]
#[case(100.0, 2)]
#[case(400.0, 5)]
#[case(1000.0, 5)]
#[case(1000.0, 20)]
#[case(5000.0, 5)]
#[case(5000.0, 20)]
#[case(5000.0, 50)]
fn a_level_burn_that_fills_its_record_is_a_burn(
    #[case] rate: f64,
    #[case] quiet: usize,
    #[values(0.0, 1.0)] noise: f64,
) {
    let found = reduced(flat(rate, quiet, noise));
    let thrust = found.thrust.as_ref().unwrap();
    close("impulse", thrust.integral, 1782.0, 0.005);
    close("peak", thrust.peak, 900.0, 0.01);
}

#[rstest]
fn a_trapezoid_with_a_zero_or_two(#[values(10, 17, 30, 120, 400)] flat: usize, #[values(1, 2)] zeros: usize) {
    let mut values = vec![0.0; zeros];
    values.push(450.0);
    values.extend(vec![900.0; flat]);
    values.push(450.0);
    values.extend(vec![0.0; zeros]);
    let found = reduced(values.into_iter().enumerate().map(|(i, y)| (i as f64 * 0.1, y)));
    close("impulse", found.thrust.unwrap().integral, 90.0 * (flat + 1) as f64, 1e-9);
}

/// A drawn line, sampled.
fn sampled(corners: &[(f64, f64)], rate: f64) -> Vec<(f64, f64)> {
    let end = corners.last().unwrap().0;
    (0..=(end * rate).round() as usize)
        .map(|i| {
            let t = i as f64 / rate;
            let pair = corners.windows(2).find(|pair| t <= pair[1].0 + 1e-9).unwrap();
            (t, pair[0].1 + (pair[1].1 - pair[0].1) * (t - pair[0].0) / (pair[1].0 - pair[0].0))
        })
        .collect()
}

#[rstest]
fn a_triangle_keeps_its_feet(
    #[values(20.0, 40.0, 50.0, 80.0, 100.0, 400.0)] rate: f64,
    #[values(0.0, 0.1)] quiet: f64,
) {
    let mut corners = vec![(quiet, 0.0), (quiet + 1.0, 900.0), (quiet + 2.0, 0.0)];
    if quiet > 0.0 {
        corners.insert(0, (0.0, 0.0));
        corners.push((2.0 + 2.0 * quiet, 0.0));
    }
    let thrust = reduced(sampled(&corners, rate)).thrust.unwrap();
    close("impulse", thrust.integral, 900.0, 5e-4);
    close("burn time", thrust.at_5_percent.time_s(), 1.9, 5e-4);
}

#[rstest]
#[case(&[(0.0, 0.0), (0.05, 900.0), (2.0, 0.0), (2.05, 0.0)], 900.0, 1.9)]
#[case(&[(0.0, 0.0), (0.1, 540.0), (1.7, 900.0), (2.0, 0.0), (2.05, 0.0)], 1314.0, 2.0 - 0.1 / 12.0 - 0.015)]
fn a_lopsided_triangle_keeps_its_feet(
    #[case] corners: &[(f64, f64)],
    #[case] impulse: f64,
    #[case] burn_s: f64,
    #[values(20.0, 40.0, 80.0, 100.0)] rate: f64,
) {
    let thrust = reduced(sampled(corners, rate)).thrust.unwrap();
    close("impulse", thrust.integral, impulse, 5e-4);
    close("burn time", thrust.at_5_percent.time_s(), burn_s, 5e-4);
}

/// Flat 900 N from 4 s to 6 s on a zero that drifts by so much a second.
fn drifting(slope: f64, end_s: f64, step: f64) -> Reduction {
    let mut scatter = Scatter(19);
    reduced((0..(end_s * 200.0) as usize).map(|i| {
        let t = i as f64 / 200.0;
        let thrust = 900.0 * ((t - 4.0) / 0.02).min((6.0 - t) / 0.02).clamp(0.0, 1.0);
        let zero = slope * t + if t > 5.0 { step } else { 0.0 };
        (t, thrust + zero + scatter.normal())
    }))
}

#[rstest]
fn a_steady_drift_is_no_shift_and_no_thrust(
    #[values(-20.0, -10.0, 5.0, 10.0, 20.0)] slope: f64,
    #[values(7.5, 12.0)] end_s: f64,
) {
    let found = drifting(slope, end_s, 0.0);
    close("impulse", found.thrust.as_ref().unwrap().integral, 1782.0, 0.003);
    assert!(patterns(&found).is_empty(), "{:?}", found.findings);
}

#[test]
fn a_shift_on_a_drifting_zero_is_told_against_its_line() {
    let found = drifting(10.0, 12.0, 40.0);
    let shift = found.findings.iter().find(|it| it.pattern == "baseline shift").unwrap();
    assert!(shift.evidence.contains("line the zero drifted along"), "{shift:?}");
    assert!(shift.evidence_against.contains("drifts by"), "{shift:?}");
    let (off, own) = found.thrust.unwrap().tare.shift();
    assert!((off - 40.0).abs() < 2.0 && (own - 10.0).abs() < 0.5, "{off} {own}");
    let steady = drifting(0.0, 12.0, 40.0);
    let shift = steady.findings.iter().find(|it| it.pattern == "baseline shift").unwrap();
    assert!(shift.evidence_against.contains("its zero was steady"), "{shift:?}");
}

#[test]
fn a_record_that_ends_within_the_burn_is_still_told() {
    let mut scatter = Scatter(23);
    let rows =
        (0..1000).map(|i| (f64::from(i) / 200.0, cored(f64::from(i) / 200.0 - 3.5) + scatter.normal()));
    let found = reduced(rows.collect::<Vec<_>>());
    assert!(patterns(&found).contains(&"record cut off"), "{:?}", found.findings);
}
