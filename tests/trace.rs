//! Traces of many makes and sizes against what they were made from.
//!
//! The files in `tests/traces` and every trace generated here are invented.

#![allow(clippy::unwrap_used)]

use proofmark::trace::{
    Calibration, ColumnChoice, ReadOptions, Record, ReduceOptions, Reduction, TraceError, read, reduce,
};
use proptest::prelude::*;
use rstest::rstest;

fn choice(column: &str, unit: &str) -> Option<ColumnChoice> {
    Some(ColumnChoice { column: column.into(), unit: Some(unit.into()) })
}

fn reduced(bytes: &[u8], options: &ReadOptions) -> Reduction {
    reduce(&read(bytes, options).unwrap(), &ReduceOptions::default()).unwrap()
}

fn auto(text: &str) -> Reduction {
    reduced(text.as_bytes(), &ReadOptions::default())
}

fn error(text: &[u8]) -> TraceError {
    match read(text, &ReadOptions::default()) {
        Err(error) => error,
        Ok(record) => reduce(&record, &ReduceOptions::default()).unwrap_err(),
    }
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{what}: {found}, expected {expected} within {share}"
    );
}

// ---- the demo files, whose truth is known ----

#[test]
fn tidy_header_names_ms_and_lbf() {
    let found = reduced(include_bytes!("traces/stand_a.csv"), &ReadOptions::default());
    let thrust = found.thrust.unwrap();
    close("peak", thrust.peak, 780.0, 0.02);
    close("impulse", thrust.integral, 1186.05, 0.002);
    close("burn time", thrust.at_5_percent.time_s(), 2.036, 0.005);
    close("action time", thrust.at_10_percent.time_s(), 1.9392, 0.005);
    assert!(found.rejected.is_empty(), "{:?}", found.rejected);
    assert_eq!(found.findings[0].pattern, "early spike");
}

#[test]
fn untidy_file_with_drift_and_a_late_spike() {
    let options = ReadOptions {
        time: choice("t_ms", "ms"),
        thrust: choice("bridge_V", "N"),
        thrust_calibration: Some(Calibration { slope: 812.5, offset: -203.1 }),
        ..ReadOptions::default()
    };
    let found = reduced(include_bytes!("traces/stand_b.csv"), &options);
    assert_eq!(found.samples, 21_000);
    let thrust = found.thrust.unwrap();
    close("peak", thrust.peak, 1700.0, 0.005);
    close("impulse", thrust.integral, 3936.5, 0.001);
    close("burn time", thrust.at_5_percent.time_s(), 2.8633, 0.005);
    close("action time", thrust.at_10_percent.time_s(), 2.6661, 0.005);
    assert_eq!(found.rejected.len(), 1);
    assert_eq!(found.rejected[0].count, 2);
    assert!(found.rejected[0].reason.contains("spike"));
}

#[test]
fn a_display_on_video() {
    let options = ReadOptions {
        time: choice("frame", "frames@29.97"),
        thrust: choice("reading_lbf", "lbf"),
        ..ReadOptions::default()
    };
    let found = reduced(include_bytes!("traces/frames_c.csv"), &options);
    let thrust = found.thrust.unwrap();
    close("peak", thrust.peak, 340.0, 0.01);
    close("impulse", thrust.integral, 524.5, 0.01);
    close("burn time", thrust.at_5_percent.time_s(), 1.9515, 0.05);
    assert!(thrust.peak_is_lower_bound);
}

#[test]
fn a_drop_and_a_long_weak_tail_on_a_ringing_stand() {
    let found = reduced(include_bytes!("traces/stand_d.csv"), &ReadOptions::default());
    let thrust = found.thrust.unwrap();
    close("peak", thrust.peak, 1720.0, 0.01);
    close("impulse", thrust.integral, 1886.6, 0.001);
    close("burn time", thrust.at_5_percent.time_s(), 2.3521, 0.005);
    close("action time", thrust.at_10_percent.time_s(), 2.2042, 0.005);
    assert_eq!(found.phases.len(), 2);
    for (phase, (from, to)) in found.phases.iter().zip([(0.08, 1.02), (1.06, 2.2)]) {
        assert!((phase.from_s - from).abs() < 0.02 && (phase.to_s - to).abs() < 0.02, "{phase:?}");
    }
    let patterns: Vec<&str> = found.findings.iter().map(|f| f.pattern.as_str()).collect();
    assert_eq!(patterns, ["sudden drop, long weak tail", "ringing"]);
    assert!((found.findings[0].at_s - 1.04).abs() < 0.01);
    assert!(found.findings[1].evidence.starts_with("47 Hz"), "{}", found.findings[1].evidence);
}

// ---- exact geometry ----

/// Check T9-18.
#[test]
fn a_trapezoid_is_exact() {
    let found = auto("t_s,thrust_N\n0,0\n0.1,500\n2.1,500\n2.6,0\n");
    let json = serde_json::to_value(&found).unwrap();
    for (key, expected) in [
        ("impulse_ns", 1150.0),
        ("peak_thrust_n", 500.0),
        ("burn_start_s", 0.005),
        ("burn_end_s", 2.575),
        ("burn_time_s", 2.57),
        ("action_time_s", 2.54),
        ("tare_n", 0.0),
        ("threshold", 0.05),
    ] {
        let value = json[key].as_f64().unwrap();
        assert!((value - expected).abs() < 1e-9, "{key} {value}");
    }
    assert_eq!(json["class"], "J");
    assert_eq!(json["designation"], "J447");
    assert!((json["at_thresholds"][0]["impulse_ns"].as_f64().unwrap() - 1149.625).abs() < 1e-9);
    assert!((json["at_thresholds"][1]["impulse_ns"].as_f64().unwrap() - 1148.5).abs() < 1e-9);
    assert!(found.rejected.is_empty());
}

#[rstest]
#[case::triangle(&[(0.0, 0.0), (1.0, 100.0), (2.0, 0.0)], 100.0, 1.9)]
#[case::box_with_vertical_edges(&[(0.0, 0.0), (0.0, 80.0), (2.0, 80.0), (2.0, 0.0)], 160.0, 2.0)]
#[case::quiet_first(&[(-1.0, 0.0), (0.0, 0.0), (0.1, 500.0), (2.1, 500.0), (2.6, 0.0), (4.0, 0.0)], 1150.0, 2.57)]
#[case::offset(&[(-1.0, 7.0), (0.0, 7.0), (0.1, 507.0), (2.1, 507.0), (2.6, 7.0)], 1150.0, 2.57)]
#[case::spike_of_one_point(&[(0.0, 0.0), (0.05, 900.0), (0.1, 500.0), (2.1, 500.0), (2.6, 0.0)], 1182.5, 2.5525)]
fn polygons(#[case] points: &[(f64, f64)], #[case] impulse: f64, #[case] burn: f64) {
    let rows: String = points.iter().map(|(t, f)| format!("{t};{f}\n")).collect();
    let thrust = auto(&format!("t/s;F/N\n{rows}")).thrust.unwrap();
    close("impulse", thrust.integral, impulse, 5e-4);
    close("burn time", thrust.at_5_percent.time_s(), burn, 2e-3);
}

#[test]
fn a_burn_of_two_samples_is_still_a_burn() {
    let rows: String = (0..50)
        .map(|k| {
            format!(
                "{},{}\n",
                f64::from(k) * 0.1,
                [0, 500, 480, 0][usize::from(k == 21) + 2 * usize::from(k == 22)]
            )
        })
        .collect();
    let found = auto(&format!("t_s,F_N\n{rows}"));
    assert!(found.rejected.is_empty());
    assert_eq!(found.phases.len(), 1);
    close("impulse", found.thrust.unwrap().integral, 98.0, 1e-9);
}

#[test]
fn the_threshold_may_be_ten_per_cent() {
    let record = read(b"t_s,thrust_N\n0,0\n0.1,500\n2.1,500\n2.6,0\n", &ReadOptions::default()).unwrap();
    let options = ReduceOptions { threshold: 0.1, propellant_kg: Some(0.6), ..ReduceOptions::default() };
    let json = serde_json::to_value(reduce(&record, &options).unwrap()).unwrap();
    assert!((json["burn_time_s"].as_f64().unwrap() - 2.54).abs() < 1e-9);
    assert!((json["specific_impulse_s"].as_f64().unwrap() - 1150.0 / (0.6 * 9.80665)).abs() < 1e-9);
    let bad = ReduceOptions { threshold: 0.9, ..ReduceOptions::default() };
    assert!(matches!(reduce(&record, &bad), Err(TraceError::BadOption(_))));
}

// ---- generated traces ----

/// A generator of scatter that is the same every time.
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

#[derive(Clone, Copy)]
enum Shape {
    Plateau,
    Progressive,
    Regressive,
    IgnitionSpike,
    Tail,
}

impl Shape {
    /// Level at a time from ignition over the burn length, peak near 1.
    fn at(self, x: f64) -> f64 {
        if !(0.0..1.4).contains(&x) {
            return 0.0;
        }
        let rise = (x / 0.03).min(1.0);
        let off = if x < 0.85 { 1.0 } else { (-(x - 0.85) / 0.06).exp() };
        let body = match self {
            Self::Plateau => 1.0,
            Self::Progressive => 0.75 + 0.25 * (x / 0.85).min(1.0),
            Self::Regressive => 1.0 - 0.45 * (x / 0.85).min(1.0),
            Self::IgnitionSpike => 0.72 + 0.28 * (-((x - 0.04) / 0.02).powi(2)).exp(),
            Self::Tail => {
                if x < 0.4 {
                    0.9 + 0.25 * x
                } else if x < 0.42 {
                    1.0 - (x - 0.4) / 0.02 * 0.86
                } else {
                    0.14 - 0.05 * (x - 0.42)
                }
            }
        };
        rise * off * body
    }
}

struct Made {
    text: String,
    peak: f64,
    impulse: f64,
    burn_s: f64,
    action_s: f64,
    start_s: f64,
    rate: f64,
}

/// Spoilers a made trace may have.
#[derive(Default, Clone, Copy)]
struct Spoil {
    offset: f64,
    drift: f64,
    noise: f64,
    no_quiet: bool,
}

fn make(
    shape: Shape,
    peak: f64,
    burn: f64,
    rate: f64,
    spoil: Spoil,
    touch: impl Fn(f64, f64) -> f64,
) -> Made {
    let start_s = if spoil.no_quiet { 0.0 } else { 3.0 };
    let total = start_s + burn * 1.4 + 2.5;
    let mut scatter = Scatter(7);
    let mut text = String::from("time [s],thrust [N]\n");
    let n = (total * rate) as usize;
    for i in 0..n {
        let t = i as f64 / rate;
        let clean = peak * shape.at((t - start_s) / burn);
        let noisy = clean + peak * (spoil.offset + spoil.drift * t / total + spoil.noise * scatter.normal());
        text.push_str(&format!("{t:.6},{:.6}\n", touch(t, noisy)));
    }
    // The truth, on a grid much finer than the samples.
    let fine: Vec<f64> = (0..200_000).map(|k| shape.at(f64::from(k) / 200_000.0 * 1.4)).collect();
    let top = fine.iter().copied().fold(0.0, f64::max);
    let dt = burn * 1.4 / 200_000.0;
    let above = |share: f64| {
        let first = fine.iter().position(|v| *v > share * top).unwrap();
        let last = fine.iter().rposition(|v| *v > share * top).unwrap();
        (last - first) as f64 * dt
    };
    Made {
        text,
        peak: top * peak,
        impulse: fine.iter().sum::<f64>() * dt * peak,
        burn_s: above(0.05),
        action_s: above(0.10),
        start_s,
        rate,
    }
}

#[track_caller]
fn agrees(made: &Made, found: &Reduction, share: f64) {
    let thrust = found.thrust.as_ref().unwrap();
    let coarse = 1.5 / (made.rate * made.burn_s);
    close("peak", thrust.peak, made.peak, share.max(0.02) + coarse);
    close("impulse", thrust.integral, made.impulse, share + 0.3 * coarse);
    close("burn time", thrust.at_5_percent.time_s(), made.burn_s, 2.0 * share + coarse);
    close("action time", thrust.at_10_percent.time_s(), made.action_s, 2.0 * share + coarse);
    assert!((thrust.at_5_percent.start_s - made.start_s).abs() < 0.05 * made.burn_s + 2.0 / made.rate);
}

#[rstest]
fn sizes_rates_and_shapes(
    #[values(Shape::Plateau, Shape::Progressive, Shape::Regressive, Shape::IgnitionSpike, Shape::Tail)] shape: Shape,
    #[values((20.0, 0.8, 80.0), (300.0, 1.8, 60.0), (780.0, 2.0, 1000.0), (5000.0, 4.0, 200.0), (20_000.0, 6.0, 2000.0), (1500.0, 1.2, 10_000.0))]
    size: (f64, f64, f64),
    #[values(
        Spoil { noise: 0.002, ..Spoil { offset: 0.0, drift: 0.0, noise: 0.0, no_quiet: false } },
        Spoil { noise: 0.004, offset: 0.1, drift: 0.02, no_quiet: false },
        Spoil { noise: 0.002, offset: 0.0, drift: 0.0, no_quiet: true },
        Spoil { noise: 0.0, offset: 0.0, drift: 0.0, no_quiet: false },
    )]
    spoil: Spoil,
) {
    let (peak, burn, rate) = size;
    let made = make(shape, peak, burn, rate, spoil, |_, v| v);
    let found = auto(&made.text);
    agrees(&made, &found, 0.01);
    assert!(found.rejected.is_empty(), "{:?}", found.rejected);
    if let Shape::Tail = shape {
        assert!(found.phases.len() >= 2, "{:?}", found.phases);
        assert_eq!(found.findings[0].pattern, "sudden drop, long weak tail");
    } else {
        assert_eq!(found.phases.len(), 1, "{:?}", found.phases);
        let odd: Vec<_> = found
            .findings
            .iter()
            .filter(|f| {
                !matches!(
                    f.pattern.as_str(),
                    "early spike" | "baseline shift" | "record cut off" | "steady climb"
                )
            })
            .collect();
        assert!(odd.is_empty(), "{odd:?}");
    }
}

#[rstest]
fn spikes_are_put_aside_wherever_they_are(
    #[values(1, 2, 3)] count: usize,
    #[values(1.0, 3.9, 8.0)] at_s: f64,
    #[values(-3.0, 1.6, 5.0, 40.0)] height: f64,
    #[values(80.0, 460.0, 5000.0)] rate: f64,
) {
    let spoil = Spoil { noise: 0.003, ..Spoil::default() };
    let made = make(Shape::Progressive, 900.0, 2.2, rate, spoil, |t, v| {
        let i = ((t - at_s) * rate).round();
        if (0.0..count as f64).contains(&i) { height * 900.0 } else { v }
    });
    let found = auto(&made.text);
    agrees(&made, &found, 0.01);
    let count_found: usize = found.rejected.iter().map(|r| r.count).sum();
    assert_eq!(count_found, count, "{:?}", found.rejected);
}

#[test]
fn a_short_ignition_spike_that_a_stand_can_make_stays() {
    for rate in [80.0, 200.0, 1000.0, 10_000.0] {
        let made = make(
            Shape::IgnitionSpike,
            700.0,
            2.0,
            rate,
            Spoil { noise: 0.002, ..Spoil::default() },
            |t, v| {
                // Half a sine of 30 ms on top, as high as the burn.
                let x = (t - 3.05) / 0.03;
                if (0.0..1.0).contains(&x) { v + 700.0 * (x * std::f64::consts::PI).sin() } else { v }
            },
        );
        let found = auto(&made.text);
        assert!(found.rejected.is_empty(), "{rate} {:?}", found.rejected);
        let thrust = found.thrust.unwrap();
        assert!(thrust.peak > 1.6 * 700.0, "{rate} {}", thrust.peak);
    }
}

#[test]
fn drop_outs_change_nothing() {
    let spoil = Spoil { noise: 0.003, ..Spoil::default() };
    let made = make(Shape::Plateau, 900.0, 2.2, 400.0, spoil, |t, v| {
        if (4.0..4.005).contains(&t) || (4.5..4.505).contains(&t) { 0.0 } else { v }
    });
    let found = auto(&made.text);
    agrees(&made, &found, 0.01);
    assert_eq!(found.rejected.iter().map(|r| r.count).sum::<usize>(), 4, "{:?}", found.rejected);
    // Rows that are missing altogether.
    let thinned: String = made
        .text
        .lines()
        .enumerate()
        .filter(|(i, _)| !(1500..1520).contains(i))
        .map(|(_, line)| format!("{line}\n"))
        .collect();
    let found = auto(&thinned);
    agrees(&made, &found, 0.01);
    assert_eq!(found.gaps.len(), 1);
}

#[test]
fn a_clipped_cell_is_told() {
    let spoil = Spoil { noise: 0.003, offset: 0.02, ..Spoil::default() };
    let made = make(Shape::Progressive, 900.0, 2.2, 500.0, spoil, |_, v| v.min(780.0));
    let found = auto(&made.text);
    assert_eq!(found.findings[0].pattern, "clipped flat top", "{:?}", found.findings);
}

#[test]
fn chuffs_stay_outside_the_burn_time() {
    let spoil = Spoil { noise: 0.002, ..Spoil::default() };
    let made = make(Shape::Plateau, 900.0, 2.2, 500.0, spoil, |t, v| {
        let pulse = [1.8, 2.15, 2.5].iter().any(|at| (0.0..0.06).contains(&(t - at)));
        if pulse { v + 200.0 } else { v }
    });
    let found = auto(&made.text);
    assert_eq!(found.findings[0].pattern, "chuffing", "{:?}", found.findings);
    close("burn time", found.thrust.unwrap().at_5_percent.time_s(), made.burn_s, 0.02);
}

#[rstest]
#[case::step_down(|x: f64| if x > 0.5 { 0.88 } else { 1.0 }, "step down")]
#[case::step_up(|x: f64| if x > 0.45 { 1.25 } else { 1.0 }, "step up")]
#[case::plug(|x: f64| if (0.45..0.55).contains(&x) { 1.4 } else { 1.0 }, "step up, then back down")]
#[case::humps(|x: f64| 1.0 - 0.35 * (-((x - 0.45) / 0.1).powi(2)).exp(), "two humps")]
#[case::climb(|x: f64| 0.7 + 0.7 * x.min(0.8), "steady climb")]
#[case::crack(|x: f64| 0.8 + 0.9 * (-x / 0.04).exp() + 0.5 * (-x / 0.5).exp(), "early spike, then a raised level decaying")]
fn patterns(#[case] factor: fn(f64) -> f64, #[case] pattern: &str) {
    for (peak, burn, rate) in [(500.0, 2.0, 1000.0), (30.0, 0.9, 200.0), (9000.0, 5.0, 100.0)] {
        let spoil = Spoil { noise: 0.002, ..Spoil::default() };
        let made =
            make(Shape::Plateau, peak, burn, rate, spoil, |t, v| v * factor(((t - 3.0) / burn).max(0.0)));
        let found = auto(&made.text);
        assert_eq!(
            found.findings.first().map(|f| f.pattern.as_str()),
            Some(pattern),
            "{rate} {:?}",
            found.findings
        );
    }
}

#[test]
fn thrust_and_pressure_side_by_side() {
    let mut text = String::from("P (psi)\tF (kgf)\tT (ms)\tstate\n");
    let mut scatter = Scatter(3);
    for i in 0..4000 {
        let x = Shape::Plateau.at((f64::from(i) * 1e-3 - 1.0) / 2.0);
        text.push_str(&format!(
            "{:.3}\t{:.4}\t{i}\tok\n",
            14.7 + 700.0 * x + 0.5 * scatter.normal(),
            90.0 * x + 0.05 * scatter.normal()
        ));
    }
    let found = auto(&text);
    let json = serde_json::to_value(&found).unwrap();
    close("pressure", json["peak_pressure_pa"].as_f64().unwrap(), 700.0 * 6894.757, 0.005);
    close("thrust", json["peak_thrust_n"].as_f64().unwrap(), 90.0 * 9.80665, 0.005);
    let ratio = json["pressure_integral_pa_s"].as_f64().unwrap() / json["impulse_ns"].as_f64().unwrap();
    close("ratio", ratio, 700.0 * 6894.757 / (90.0 * 9.80665), 0.002);
    assert!(json["pressure_burn_end_s"].as_f64().unwrap() > json["pressure_burn_start_s"].as_f64().unwrap());
}

#[test]
fn thrust_pressure_and_throat_check_each_other() {
    // 1.4 · 4 MPa absolute · π/4 · 10 mm² = 439.8 N over 2 s: C_F 1.4; with 0.45 kg, c* = 1396 m/s.
    let area = std::f64::consts::FRAC_PI_4 * 1e-4;
    let (p, f) = (4e6 - 101_325.0, 1.4 * 4e6 * area);
    let text = format!("t_s,F_N,p_Pa\n-1,0,0\n0,0,0\n0,{f},{p}\n2,{f},{p}\n2,0,0\n3,0,0\n");
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    let options =
        ReduceOptions { throats_m: vec![0.01], propellant_kg: Some(0.45), ..ReduceOptions::default() };
    let nozzle = reduce(&record, &options).unwrap().nozzle.unwrap();
    close("C_F", nozzle.thrust_coefficient.unwrap(), 1.4, 1e-6);
    close("c*", nozzle.characteristic_velocity_m_s.unwrap(), 4e6 * area * 2.0 / 0.45, 1e-6);

    let text = format!("t_s,F_N\n-1,0\n0,0\n0,{f}\n2,{f}\n2,0\n3,0\n");
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    let options = ReduceOptions {
        throats_m: vec![0.01, 0.0102],
        thrust_coefficient: Some(1.4),
        ..ReduceOptions::default()
    };
    let peak = reduce(&record, &options).unwrap().nozzle.unwrap().peak_pressure_from_thrust.unwrap();
    close("upper", peak.upper_pa, 4e6, 1e-6);
    assert!(peak.lower_pa < peak.pressure_pa && peak.pressure_pa < peak.upper_pa);
}

#[test]
fn volts_without_a_calibration() {
    let made = make(Shape::Plateau, 0.9, 2.0, 500.0, Spoil { noise: 0.002, ..Spoil::default() }, |_, v| v);
    let options = ReadOptions { thrust: choice("2", "V"), ..ReadOptions::default() };
    let json = serde_json::to_value(reduced(made.text.as_bytes(), &options)).unwrap();
    close("peak", json["peak_thrust_v"].as_f64().unwrap(), 0.9, 0.02);
    close("integral", json["impulse_v_s"].as_f64().unwrap(), made.impulse, 0.005);
    assert!(json.get("impulse_ns").is_none() && json.get("class").is_none());
    assert!(json["phases"][0]["mean_v"].is_number());
}

/// Check T11-03: a published calibration line.
#[test]
fn a_published_calibration_line() {
    let options = ReadOptions {
        thrust: choice("V", "N"),
        thrust_calibration: Some(Calibration { slope: 32.931, offset: -40.732 }),
        ..ReadOptions::default()
    };
    let record = read(b"t_s,V\n0,1.23689\n1,1.5\n", &options).unwrap();
    let values = record.thrust.unwrap().values;
    assert!(values[0].abs() < 1e-3);
    close("1.5 V", values[1], 8.6645, 5e-4);
}

// ---- files of many makes that say the same ----

fn rows(separator: &str, comma: bool, end: &str) -> String {
    let mut text = String::new();
    for i in 0..300 {
        let t = f64::from(i) * 0.01;
        let f = 400.0 * Shape::Plateau.at((t - 0.8) / 1.2) + 0.1 * f64::from(i * 31 % 7);
        let row = format!("{t:.3}{separator}{f:.3}");
        text.push_str(&if comma { row.replace('.', ",") } else { row });
        text.push_str(end);
    }
    text
}

#[test]
fn the_same_trace_in_many_coats() {
    let plain = auto(&format!("t_s,F_N\n{}", rows(",", false, "\n")));
    let expected = plain.thrust.unwrap();
    let utf16: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain(format!("t_s,F_N\n{}", rows(",", false, "\n")).encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    let coats: Vec<Vec<u8>> = vec![
        format!("t_s;F_N\n{}", rows(";", true, "\r\n")).into_bytes(),
        format!("t_s\tF_N\r{}", rows("\t", true, "\r")).into_bytes(),
        format!("  t_s   F_N\n{}", rows("   ", false, " \n")).into_bytes(),
        format!("// a\n% b\n' c\n\n# d\n\"t_s\",\"F_N\"\n{}", rows(",", false, ",,\n")).into_bytes(),
        format!("\u{feff}Time, Load\n[s], [N]\n{}", rows(", ", false, "\n\n")).into_bytes(),
        format!("# t_s | F_N\n{}# stopped\n", rows(" | ", false, "\n")).into_bytes(),
        format!("t_s,F_N\n{}2.99", rows(",", false, "\n")).into_bytes(),
        utf16,
    ];
    for coat in coats {
        let found = reduced(&coat, &ReadOptions::default());
        assert_eq!(found.samples, 300);
        let thrust = found.thrust.unwrap();
        assert_eq!(
            (thrust.integral, thrust.burn, thrust.peak),
            (expected.integral, expected.burn, expected.peak)
        );
    }
}

#[test]
fn any_number_of_threads_gives_the_same() {
    let made =
        make(Shape::Regressive, 900.0, 40.0, 10_000.0, Spoil { noise: 0.01, ..Spoil::default() }, |_, v| v);
    let one = read(made.text.as_bytes(), &ReadOptions { threads: 1, ..ReadOptions::default() }).unwrap();
    let many = read(made.text.as_bytes(), &ReadOptions { threads: 7, ..ReadOptions::default() }).unwrap();
    assert_eq!(one, many);
    let found = reduce(&one, &ReduceOptions::default()).unwrap();
    close("impulse", found.thrust.unwrap().integral, made.impulse, 0.002);
}

#[test]
fn a_missing_reading_is_counted_and_not_a_zero() {
    let text = format!("t_s;F_N\n{}", rows(";", false, "\n"));
    let holed: String = text
        .lines()
        .enumerate()
        .map(|(i, line)| {
            if i % 10 == 5 { format!("{};\n", line.split(';').next().unwrap()) } else { format!("{line}\n") }
        })
        .collect();
    let (whole, holed) = (auto(&text), auto(&holed));
    close("impulse", holed.thrust.unwrap().integral, whole.thrust.unwrap().integral, 0.01);
    assert_eq!(holed.rejected[0].count, 30);
}

// ---- files that cannot be used ----

#[rstest]
#[case::empty(b"", "the file is empty")]
#[case::blanks(b"\n \r\n", "the file is empty")]
#[case::header_only(b"time_s,thrust_N\n", "row 1")]
#[case::one_row(b"time_s,thrust_N\n0,1\n", "row 2")]
#[case::words(b"time_s,thrust_N\na,b\nc,d\n", "row 2 reads \"a,b\"")]
#[case::a_word_among_numbers(b"time_s,thrust_N\n0,1\n1,2\n2,over\n3,4\n", "row 4")]
#[case::nan(b"time_s,thrust_N\n0,1\n1,NaN\n2,2\n", "row 3")]
#[case::infinite(b"time_s,thrust_N\n0,1\n1,inf\n2,2\n", "row 3")]
#[case::short_row(b"time_s,thrust_N\n0,1\n1\n2,2\n", "row 3")]
#[case::backwards(b"time_s,thrust_N\n0,1\n1,2\n0.5,3\n2,4\n", "row 4")]
#[case::huge(b"time_s,thrust_N\n0,1\n1,2e300\n2,3\n", "row 3")]
#[case::no_unit(b"time_s,Load\n0,1\n1,2\n", "give --column thrust=Load:lbf")]
#[case::no_time_unit(b"Time,Load_N\n0,1\n1,2\n", "give --column time=Time:ms")]
#[case::no_header(b"0,1\n1,2\n", "give --column time=NAME:UNIT")]
#[case::frozen_clock(b"time_s,thrust_N\n5,1\n5,2\n5,1\n", "same time 5 s")]
#[case::both_commas(b"time_s,thrust_N\n0,5,1,5\n0,6,2,5\n", "decimal mark and separator")]
#[case::no_burn(b"time_s,thrust_N\n0,1\n1,1\n2,1\n", "no burn")]
fn errors_say_where_why_and_what_next(#[case] text: &[u8], #[case] part: &str) {
    let message = error(text).to_string();
    assert!(message.contains(part), "{message}");
}

#[test]
fn backwards_across_the_seam_of_two_blocks() {
    let mut text = String::from("time_s,thrust_N\n");
    for i in 0..200_000 {
        let t = if i == 120_000 { 3.0 } else { f64::from(i) };
        text.push_str(&format!("{t},{}\n", i % 7));
    }
    assert!(matches!(error(text.as_bytes()), TraceError::Backwards { row: 120_002, .. }));
}

#[test]
fn noise_is_no_burn() {
    let mut scatter = Scatter(11);
    let mut text = String::from("time_s,thrust_N\n");
    for i in 0..5000 {
        text.push_str(&format!("{},{}\n", f64::from(i) * 0.001, scatter.normal()));
    }
    assert!(matches!(error(text.as_bytes()), TraceError::NoBurn { .. }));
}

#[test]
fn a_sensor_the_other_way_round_is_told() {
    let made = make(Shape::Plateau, 900.0, 2.0, 500.0, Spoil { noise: 0.002, ..Spoil::default() }, |_, v| -v);
    assert!(matches!(error(made.text.as_bytes()), TraceError::Inverted { .. }));
    let options = ReadOptions {
        thrust_calibration: Some(Calibration { slope: -1.0, offset: 0.0 }),
        ..ReadOptions::default()
    };
    agrees(&made, &reduced(made.text.as_bytes(), &options), 0.01);
}

#[test]
fn reading_can_be_stopped() {
    let made = make(Shape::Plateau, 900.0, 2.0, 500.0, Spoil::default(), |_, v| v);
    let bytes = made.text.as_bytes();
    let stopped = proofmark::trace::read_with(&bytes, &ReadOptions::default(), &|_, _| false);
    assert_eq!(stopped.unwrap_err(), TraceError::Cancelled);
}

// ---- nothing whatever may panic or give what is not a number ----

fn all_finite(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::Array(all) => all.iter().all(all_finite),
        serde_json::Value::Object(map) => map.iter().all(|(key, v)| {
            let optional = matches!(key.as_str(), "class" | "class_range" | "designation");
            (optional || !v.is_null()) && all_finite(v)
        }),
        _ => true,
    }
}

fn no_nonsense(record: &Record) -> Result<(), TestCaseError> {
    if let Ok(found) = reduce(record, &ReduceOptions::default()) {
        let json = serde_json::to_value(&found).unwrap();
        prop_assert!(all_finite(&json), "{json}");
    }
    Ok(())
}

proptest! {
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(record) = read(&bytes, &ReadOptions::default()) {
            no_nonsense(&record)?;
        }
    }

    #[test]
    fn bytes_that_look_like_a_trace(
        text in "(time|t_s|F_N|[ ,;\t#]){0,6}\n([-0-9.,;e \t\r\n]{0,300})",
        threads in 1usize..4,
    ) {
        let options = ReadOptions {
            time: choice("1", "s"),
            thrust: choice("2", "N"),
            threads,
            ..ReadOptions::default()
        };
        if let Ok(record) = read(text.as_bytes(), &options) {
            no_nonsense(&record)?;
        }
    }

    #[test]
    fn any_readings(
        steps in proptest::collection::vec((0.0f64..2.0, prop_oneof![-1e3f64..1e3, Just(0.0), -1e14f64..1e14]), 2..300),
        holds: bool,
    ) {
        let mut t = 0.0;
        let mut text = String::from("t_s,thrust_N\n");
        for (step, value) in steps {
            t += step;
            text.push_str(&format!("{t},{value}\n"));
        }
        let options = if holds {
            ReadOptions { time: choice("1", "frames@30"), ..ReadOptions::default() }
        } else {
            ReadOptions::default()
        };
        if let Ok(record) = read(text.as_bytes(), &options) {
            no_nonsense(&record)?;
        }
    }

    #[test]
    fn twice_the_force_is_twice_the_impulse(scale in 0.01f64..1e4) {
        let with = |scale: f64| {
            let body: String = (0..400)
                .map(|i| {
                    let t = f64::from(i) * 0.01;
                    format!("{t},{}\n", scale * (100.0 * Shape::Progressive.at(t - 1.0) + 0.1 * f64::from(i * 31 % 7)))
                })
                .collect();
            auto(&format!("t_s,F_N\n{body}")).thrust.unwrap()
        };
        let (one, other) = (with(1.0), with(scale));
        prop_assert!((other.integral / (one.integral * scale) - 1.0).abs() < 1e-9);
        prop_assert!((other.at_5_percent.time_s() - one.at_5_percent.time_s()).abs() < 1e-9);
    }
}
