//! A firing against its plan, against another firing, and what the rules say of its trace before it is logged.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use assert_cmd::Command;
use proofmark::ballistics::{Load, predict};
use proofmark::desk::after::{against_firing, against_plan};
use proofmark::quantity::Quantity;
use proofmark::trace::drift::{CusumPlan, Direction, cusum};
use proofmark::trace::{ReadOptions, ReduceOptions, Reduced, TraceError, read, reduce_with};
use rstest::rstest;

const LOAD: &str = r#"
[grain]
count = 3
outside_diameter = "43 mm"
core = "16 mm"
length = "75 mm"
[propellant]
density = "1680 kg/m3"
characteristic_velocity = "1370 m/s"
burn_rate = "7.0 mm/s at 5 MPa"
exponent = 0.36
ratio_of_heats = 1.2
[nozzle]
throat = "9.35 mm"
area_ratio = 6
efficiency = 0.95
"#;

fn load(factor: f64) -> Load {
    Load::from_toml(&LOAD.replace("7.0 mm/s", &format!("{:.6} mm/s", 7.0 * factor))).unwrap()
}

/// A stand's file of a load burnt `factor` times as fast: two quiet seconds, a rise of 40 ms, the plan, its tail-off.
fn file(factor: f64, rate: f64, pressure: bool) -> String {
    let plan = predict(&load(factor)).unwrap();
    let curve: Vec<(f64, f64, f64)> =
        plan.curve.iter().map(|p| (p.time_s.si(), p.thrust_n.si(), p.pressure_pa.si())).collect();
    let last = *curve.last().unwrap();
    let at = |t: f64| {
        let after = curve.partition_point(|p| p.0 <= t);
        if after >= curve.len() {
            let fall = 0.1f64.powf((t - last.0) / plan.tail_off_s.si());
            return (last.1 * fall, last.2 * fall);
        }
        if after == 0 {
            return (curve[0].1, curve[0].2);
        }
        let (a, b) = (curve[after - 1], curve[after]);
        let share = if b.0 > a.0 { (t - a.0) / (b.0 - a.0) } else { 1.0 };
        (a.1 + (b.1 - a.1) * share, a.2 + (b.2 - a.2) * share)
    };
    let mut text = String::from(if pressure { "time_s,thrust_N,pressure_Pa\n" } else { "time_s,thrust_N\n" });
    for i in 0..((plan.burn_time_s.si() + 5.0) * rate) as u32 {
        let clock = f64::from(i) / rate;
        let t = clock - 2.0;
        let noise = f64::from(i.wrapping_mul(2_654_435_761) >> 16) / 65536.0 - 0.5;
        let (thrust, pascals) = if t > 0.0 { at((t - 0.02).max(0.0)) } else { (0.0, 0.0) };
        let rise = (t / 0.04).clamp(0.0, 1.0);
        text.push_str(&format!("{clock:.5},{:.4}", thrust * rise + 2.0 * noise));
        if pressure {
            text.push_str(&format!(",{:.0}", pascals * rise + 8000.0 * noise));
        }
        text.push('\n');
    }
    text
}

fn reduced(text: &str) -> Reduced {
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    reduce_with(&record, &ReduceOptions::default(), &|| true).unwrap()
}

#[rstest]
fn the_factor_it_was_burnt_with_is_found(
    #[values(0.8, 0.965, 1.0, 1.035, 1.25)] factor: f64,
    #[values(250.0)] rate: f64,
    #[values(false, true)] pressure: bool,
) {
    let found = against_plan(&reduced(&file(factor, rate, pressure)), &load(1.0), "48A").unwrap();
    let fit = found.burn_rate.unwrap();
    assert_eq!(fit.channel, if pressure { "pressure" } else { "thrust" });
    assert!((fit.factor / factor - 1.0).abs() < 0.006, "{factor}: {fit:?}");
    assert!((fit.factor_by_peak / factor - 1.0).abs() < 0.015, "{factor}: {fit:?}");
    assert!((fit.factor_by_burn_time / factor - 1.0).abs() < 0.03, "{factor}: {fit:?}");
    assert!(fit.burn_rate_alone && !fit.at_limit && fit.residual_share < 0.05, "{fit:?}");
    let thrust = found.thrust.unwrap();
    // p ~ f^(1/(1-n)), and so does the speed of the burn.
    let g = factor.powf(1.0 / (1.0 - 0.36));
    assert!((thrust.burn_time_ratio * g - 1.0).abs() < 0.04, "{thrust:?}");
    assert!((thrust.peak_ratio / g - 1.0).abs() < 0.05, "{thrust:?}");
    assert!((thrust.impulse_ratio - 1.0).abs() < 0.06, "{thrust:?}");
}

#[test]
fn half_the_grain_is_no_burn_rate() {
    let mut half = load(1.0);
    half.grain.0[0].count = 2;
    let found = against_plan(&reduced(&file(1.0, 500.0, true)), &half, "two grains").unwrap();
    let fit = found.burn_rate.unwrap();
    assert!(!fit.burn_rate_alone, "{fit:?}");
}

#[test]
fn two_firings_start_together_whatever_their_clocks() {
    let one = reduced(&file(1.0, 500.0, false));
    let late: String = {
        let text = file(1.0, 500.0, false);
        let rows = text.lines().skip(1).map(|line| {
            let (t, f) = line.split_once(',').unwrap();
            format!("{:.5},{f}\n", t.parse::<f64>().unwrap() + 1234.5)
        });
        "time_s,thrust_N\n".to_owned() + &rows.collect::<String>()
    };
    let found = against_firing(&one, &reduced(&late), "late").thrust.unwrap();
    for ratio in [found.peak_ratio, found.mean_ratio, found.impulse_ratio, found.burn_time_ratio] {
        assert!((ratio - 1.0).abs() < 1e-3, "{found:?}");
    }
    assert!(found.largest_difference_share.abs() < 0.01, "{found:?}");
    let hot = against_firing(&reduced(&file(1.1, 500.0, false)), &one, "planned").thrust.unwrap();
    assert!(hot.largest_difference_share > 0.1 && hot.peak_ratio > 1.12, "{hot:?}");
}

/// A file whose thrust, and whose pressure, fall to these shares from 3 s on.
fn stepped(thrust: f64, pressure: f64) -> String {
    file(1.0, 500.0, true)
        .lines()
        .map(|line| {
            let cells: Vec<Option<f64>> = line.split(',').map(|cell| cell.parse().ok()).collect();
            match cells.as_slice() {
                [Some(t), Some(f), Some(p)] if *t > 3.0 => format!("{t},{},{}\n", f * thrust, p * pressure),
                _ => format!("{line}\n"),
            }
        })
        .collect()
}

#[rstest]
#[case(0.88, 0.88, "a lost throat")]
#[case(0.88, 1.0, "the stand or the cell first")]
#[case(0.60, 0.40, "a leak alone")]
fn a_step_is_held_against_the_other_channel(
    #[case] thrust: f64,
    #[case] pressure: f64,
    #[case] against: &str,
) {
    let found = reduced(&stepped(thrust, pressure)).reduction.findings;
    let step = found.iter().find(|it| it.pattern.contains("drop") || it.pattern == "step down").unwrap();
    assert!(step.evidence_against.contains(against), "{step:?}");
    assert!(!step.evidence.is_empty() && !step.look_next.is_empty());
}

#[test]
fn a_reduction_can_be_stopped() {
    let record = read(file(1.0, 500.0, true).as_bytes(), &ReadOptions::default()).unwrap();
    assert_eq!(
        reduce_with(&record, &ReduceOptions::default(), &|| false).unwrap_err(),
        TraceError::Cancelled
    );
}

/// The worked table of the NIST/SEMATECH e-Handbook, 6.3.2.3: twenty means about 325, k = 0.3175 and h = 4.1959 in the
/// units of the means (the table's figures from memory; the sums follow from them).
#[test]
fn the_published_table_of_cumulative_sums() {
    let means = [
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625,
        325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ];
    let plan = CusumPlan {
        reference: 325.0,
        sigma: 0.635,
        slack_sigmas: 0.3175 / 0.635,
        limit_sigmas: 4.1959 / 0.635,
    };
    let found = cusum(&means, &plan);
    // "S_hi" after the 13th, 14th and 20th group, and the group that signals.
    for (i, sum) in [(12, 3.0075), (13, 4.94), (14, 7.4475)] {
        assert!((found.up[i] - sum).abs() < 1e-9, "{i}: {} {sum}", found.up[i]);
    }
    let drift = found.drift.unwrap();
    assert_eq!((drift.direction, drift.told_at, drift.since), (Direction::Up, 13, 12));
}

#[test]
fn values_that_are_no_numbers_are_passed_over() {
    let found = cusum(&[f64::NAN, 1.0, f64::INFINITY, 0.9, 0.9, 0.9], &CusumPlan::default());
    assert_eq!(found.up.len(), 6);
    let drift = found.drift.unwrap();
    assert_eq!((drift.direction, drift.since), (Direction::Down, 3));
}

// ---- the command line over the demonstration book ----

struct Bench(tempfile::TempDir);

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::copy("demo.db", folder.path().join("book.db")).unwrap();
        std::fs::write(folder.path().join("load.toml"), LOAD).unwrap();
        Self(folder)
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.0.path().join(name), text).unwrap();
    }

    fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        let output = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .env("PROOFMARK_BOOK", self.0.path().join("book.db"))
            .current_dir(self.0.path())
            .args(arguments)
            .output()
            .unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
    }

    fn json(&self, arguments: &[&str]) -> serde_json::Value {
        let (code, out, err) = self.run(&[arguments, &["--json"]].concat());
        assert_eq!(code, 0, "{err}");
        serde_json::from_str(&out).unwrap()
    }
}

#[test]
fn a_plan_from_a_file_and_from_the_book_say_the_same() {
    let bench = Bench::new();
    bench.write("fired.csv", &file(1.05, 500.0, true));
    let by_file = bench.json(&["trace", "fired.csv", "--plan", "load.toml"]);
    let by_name = bench.json(&["trace", "fired.csv", "--load", "48A"]);
    for found in [&by_file, &by_name] {
        let factor = found["plan"]["burn_rate"]["factor"].as_f64().unwrap();
        assert!((factor - 1.05).abs() < 0.01, "{factor}");
        assert!(found["plan"]["pressure"]["peak_ratio"].as_f64().unwrap() > 1.05);
        assert!(found["plan"]["planned"]["impulse_ns"].as_f64().unwrap() > 900.0);
    }
    let (code, out, _) = bench.run(&["trace", "fired.csv", "--plan", "load.toml"]);
    assert!(code == 0 && out.contains("fits best, by the pressure curve"), "{out}");
    let (code, _, err) = bench.run(&["trace", "fired.csv", "--load", "48Z"]);
    assert!(code == 1 && err.contains("no load"), "{err}");
}

#[test]
fn the_rules_speak_before_anything_is_logged() {
    let bench = Bench::new();
    let before = bench.run(&["show", "MF-48-04", "--json"]).1;
    let rules = |text: &str| -> Vec<String> {
        bench.write("fired.csv", text);
        let found = bench.json(&["trace", "fired.csv", "--load", "48A", "--casing", "MF-48-04"]);
        let list = found["disposition"]["proposals"].as_array().unwrap().clone();
        for item in &list {
            for key in ["rule", "value", "limit", "source", "next", "text", "standing"] {
                assert!(!item[key].as_str().unwrap().is_empty(), "{key} of {item}");
            }
        }
        assert!(!found["disposition"]["always"].as_array().unwrap().is_empty());
        list.iter().map(|item| item["rule"].as_str().unwrap().to_owned()).collect()
    };
    assert!(rules(&file(1.0, 500.0, true)).is_empty());
    assert!(rules(&file(1.0, 500.0, false)).is_empty());
    assert_eq!(rules(&file(0.88, 500.0, true)), ["peak-under-plan"]);
    // 1.12^(1/0.64) = 1.19 of the plan, and 6.05 MPa over a MEOP of 5.9.
    assert_eq!(rules(&file(1.12, 500.0, true)), ["peak-over-plan", "peak-over-meop"]);
    assert_eq!(rules(&file(1.16, 500.0, false))[0], "peak-far-over-plan");
    // 1.4^(1/0.64) = 1.69: 8.6 MPa, over 90 % of its proof of 8.85.
    let hard = rules(&file(1.4, 500.0, true));
    assert!(hard.contains(&"peak-share-of-proof".to_owned()), "{hard:?}");
    // A fifth of the thrust goes at half time, in a moment.
    let leaking: String = file(1.0, 500.0, false)
        .lines()
        .map(|line| match line.split_once(',').map(|(t, f)| (t.parse::<f64>(), f.parse::<f64>())) {
            Some((Ok(t), Ok(f))) if t > 3.0 => format!("{t},{}\n", f * 0.88),
            _ => format!("{line}\n"),
        })
        .collect();
    assert!(rules(&leaking).contains(&"sudden-drop".to_owned()), "{:?}", rules(&leaking));
    assert_eq!(bench.run(&["show", "MF-48-04", "--json"]).1, before, "nothing was written");
    let (code, _, err) = bench.run(&["trace", "fired.csv", "--casing", "MF-48-04"]);
    assert!(code == 2 && err.contains("--load"), "{err}");
}

#[test]
fn a_batch_that_drifts_is_told_with_the_firing_it_began_with() {
    let bench = Bench::new();
    let found = bench.json(&["drift"]);
    let batches = found["batches"].as_array().unwrap();
    let of = |name: &str| batches.iter().find(|it| it["batch"] == name).unwrap();
    // The club's sheets: P25-2 came out slow from its first firing on.
    assert_eq!(of("P25-2")["drifting_since_entry"], of("P25-2")["firings"][0]["entry"]);
    assert!(of("P25-2")["says"].as_str().unwrap().contains("below the plan since the firing of 2025-08-16"));
    assert_eq!(of("P23-1")["says"], "no drift told");
    // The cracked grain is no measure of its batch.
    let cracked =
        of("P24-1")["firings"].as_array().unwrap().iter().find(|it| it["casing"] == "MF-48-02").unwrap();
    assert!(cracked["factor"].is_null() && cracked["left_out"].as_str().unwrap().contains("hard start"));
    let (code, _, err) = bench.run(&["drift", "--batch", "P99-9"]);
    assert!(code == 1 && err.contains("P24-1"), "{err}");
}
