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

// ---- words ----

/// A plan of three grains, and a channel that is its thrust, higher and longer by a share each.
fn against_its_plan(higher: f64, longer: f64) -> proofmark::trace::compare::BurnRateFit {
    use proofmark::quantity::Quantity;
    let load = proofmark::ballistics::Load::from_toml(
        "[grain]\ncount = 3\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"75 mm\"\n[propellant]\n\
         density = \"1680 kg/m3\"\ncharacteristic_velocity = \"1370 m/s\"\nburn_rate = \"7.0 mm/s at 5 MPa\"\n\
         exponent = 0.36\nratio_of_heats = 1.2\n[nozzle]\nthroat = \"9.35 mm\"\narea_ratio = 6\nefficiency = 0.95\n",
    )
    .unwrap();
    let plan = proofmark::ballistics::predict(&load).unwrap();
    let points: Vec<(f64, f64)> = plan.curve.iter().map(|p| (p.time_s.si(), p.thrust_n.si())).collect();
    let at = |t: f64| {
        let after = points.partition_point(|p| p.0 <= t);
        if after == 0 || after >= points.len() {
            return 0.0;
        }
        let (a, b) = (points[after - 1], points[after]);
        a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0).max(1e-9)
    };
    let mut scatter = Scatter(29);
    let rows = (0..8000).map(|i| {
        let t = f64::from(i) / 1000.0;
        (t, higher * at((t - 2.0) / longer) + 0.3 * scatter.normal())
    });
    let record = record(rows.collect::<Vec<_>>());
    let found = proofmark::trace::reduce_with(&record, &ReduceOptions::default(), &|| true).unwrap();
    proofmark::desk::after::against_plan(&found, &load, "48A").unwrap().burn_rate.unwrap()
}

#[test]
fn one_burn_rate_is_said_only_within_the_uncertainty() {
    let same = against_its_plan(1.0, 1.0);
    assert!(same.burn_rate_alone && same.says.starts_with("a burn rate explains both"), "{same:?}");
    // 1.017^0.64 = 1.011 by the peak, 1.034^-0.64 = 0.979 by the time.
    let more = against_its_plan(1.017, 1.034);
    assert!((more.factor_by_peak - 1.011).abs() < 0.004, "{more:?}");
    assert!((more.factor_by_burn_time - 0.979).abs() < 0.004, "{more:?}");
    assert!(!more.burn_rate_alone && more.says.contains("the peak is higher or the burn longer"), "{more:?}");
    let less = against_its_plan(0.97, 0.96);
    assert!(!less.burn_rate_alone && less.says.contains("the peak is lower or the burn shorter"), "{less:?}");
    assert!(less.says.contains("would be within their uncertainty"), "{less:?}");
}

fn run(text: &str, more: &[&str]) -> (String, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fired.csv");
    std::fs::write(&path, text).unwrap();
    let output = assert_cmd::Command::cargo_bin("proofmark")
        .unwrap()
        .env_clear()
        .env("LC_ALL", "C.UTF-8")
        .current_dir(folder.path())
        .args([&["trace", "fired.csv"], more].concat())
        .output()
        .unwrap();
    (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_clock_is_told_once_and_times_since_its_first_stamp() {
    let text: String = std::iter::once("time,thrust (N)\n".to_owned())
        .chain((0..1000).map(|i| {
            let t = f64::from(i) / 200.0;
            let clock = 86_398.0 + t;
            let clock = if clock < 86_400.0 { clock } else { clock - 86_400.0 };
            let (h, m, s) = ((clock / 3600.0) as u32, (clock / 60.0) as u32 % 60, clock % 60.0);
            format!("{h:02}:{m:02}:{s:06.3},{:.3}\n", cored(t - 2.0))
        }))
        .collect();
    let (out, err) = run(&text, &[]);
    assert!(err.is_empty() && out.contains("0 s is 23:59:58, its first stamp"), "{out}{err}");
    let burn = out.lines().find(|line| line.contains("burn time")).unwrap();
    assert!(burn.contains("from 2.0") && burn.contains("to 3.9") && !out.contains("8640"), "{out}");
    let json: serde_json::Value = serde_json::from_str(&run(&text, &["--json"]).0).unwrap();
    assert_eq!(json["clock_at_zero"], "23:59:58");
    assert!((json["burn_start_s"].as_f64().unwrap() - 2.003).abs() < 0.01, "{json}");
    assert!(json["definitions"]["times"].as_str().unwrap().contains("which reads 23:59:58"));
    let plain: String = std::iter::once("t_s,thrust_N\n".to_owned())
        .chain(
            (0..1000).map(|i| format!("{},{:.3}\n", f64::from(i) / 200.0, cored(f64::from(i) / 200.0 - 2.0))),
        )
        .collect();
    let (out, _) = run(&plain, &[]);
    assert!(!out.contains("clock"), "{out}");
}

#[test]
fn phases_of_a_pressure_alone_are_in_its_unit() {
    let rows: String = (0..1200)
        .map(|i| {
            format!("{:.3},{:.0}\n", f64::from(i) / 200.0, 5e6 / 900.0 * cored(f64::from(i) / 200.0 - 2.0))
        })
        .collect();
    let (out, err) = run(&format!("t_s,pressure_Pa\n{rows}"), &[]);
    assert!(out.contains(" MPa gauge") && !out.contains("mean 0 N"), "{out}{err}");
    let phase = out.lines().find(|line| line.contains("phases")).unwrap();
    assert!(phase.contains("mean 4.") || phase.contains("mean 5."), "{out}");
    assert!(out.trim_end().ends_with("never verdicts."), "{out}");
    let (out, _) = run(&format!("t_s,thrust_N\n{}", rows.replace("5e6", "")), &[]);
    assert!(out.lines().any(|line| line.contains("phases") && line.ends_with(" N")), "{out}");
}

#[rstest]
#[case("time_s,thrust_N\na,b\nc,d\n", "row 2 reads \"a,b\"")]
#[case("# logger\ntime_s,thrust_N\n\nover,over\n", "row 4 reads \"over,over\"")]
#[case("nothing here at all\n", "row 1 reads")]
fn a_file_without_numbers_names_the_first_row_that_should_have_some(#[case] text: &str, #[case] part: &str) {
    let (_, err) = run(text, &[]);
    assert!(err.contains(part), "{err}");
}

/// Flat 900 N for four seconds, so long a record behind it at so high a level.
fn with_end(after_s: f64, level: f64) -> Reduction {
    let mut scatter = Scatter(31);
    reduced((0..((6.0 + after_s) * 200.0) as usize).map(|i| {
        let t = i as f64 / 200.0;
        let thrust = 900.0 * ((t - 2.0) / 0.02).min((6.0 - t) / 0.02).clamp(0.0, 1.0);
        (t, if t > 6.0 { level } else { thrust } + scatter.normal())
    }))
}

#[test]
fn a_short_flat_stretch_after_the_burn_is_seen() {
    for after_s in [0.5, 1.3, 3.0] {
        let basis = with_end(after_s, 4.0).thrust.unwrap().tare.basis;
        assert!(basis.contains("drift to the level after the burn taken off"), "{after_s}: {basis}");
        let basis = with_end(after_s, 0.0).thrust.unwrap().tare.basis;
        assert!(!basis.contains("no quiet stretch after"), "{after_s}: {basis}");
    }
    // Three hundredths of the peak for a moment may be a tail.
    let basis = with_end(1.3, 30.0).thrust.unwrap().tare.basis;
    assert!(basis.contains("too short to tell a drift from a weak tail"), "{basis}");
    let basis = with_end(0.02, 0.0).thrust.unwrap().tare.basis;
    assert!(basis.contains("no quiet stretch after"), "{basis}");
}
