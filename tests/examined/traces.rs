//! Records of thrust with a known truth: how a burn ends, and what a logger leaves out.

use proofmark::trace::{ReadOptions, ReduceOptions, Reduction, read, reduce};
use rstest::rstest;

/// Uniform scatter of one, the same on every run.
struct Scatter(u64);

impl Scatter {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * 2.0 - 1.0
    }
}

/// 500 N falling to 400 N in 2 s from 1 s on, then a tail-off with a time constant of 60 ms.
fn burn(t: f64) -> f64 {
    let x = t - 1.0;
    match x {
        x if x < 0.0 => 0.0,
        x if x < 0.04 => 500.0 * x / 0.04,
        x if x < 2.0 => 500.0 - 50.0 * x,
        x => 400.0 * (-(x - 2.0) / 0.06).exp(),
    }
}

fn recorded(hertz: f64, to_s: f64, thrust: impl Fn(f64) -> Option<f64>) -> Reduction {
    let mut scatter = Scatter(7);
    let mut text = String::from("time_s,thrust_N\n");
    for i in 0..(to_s * hertz) as usize {
        let t = i as f64 / hertz;
        if let Some(value) = thrust(t) {
            text.push_str(&format!("{t:.5},{:.3}\n", value + 1.5 * scatter.next()));
        }
    }
    reduce(&read(text.as_bytes(), &ReadOptions::default()).unwrap(), &ReduceOptions::default()).unwrap()
}

fn patterns(found: &Reduction) -> Vec<&str> {
    found.findings.iter().map(|it| it.pattern.as_str()).collect()
}

#[test]
fn a_burn_with_a_tail_off_is_nothing_to_look_at() {
    for hertz in [400.0, 1000.0, 5000.0] {
        let found = recorded(hertz, 6.0, |t| Some(burn(t)));
        assert!(found.findings.is_empty(), "{hertz} {:?}", found.findings);
    }
    // The quickest that a chamber empties by itself: 6 ms from 80 to 30 %.
    let quick = recorded(1000.0, 6.0, |t| {
        Some(if t < 3.0 { burn(t) } else { 400.0 * (-(t - 3.0) * 0.98 / 0.006).exp() })
    });
    assert!(quick.findings.is_empty(), "{:?}", quick.findings);
}

/// The case bursts at 2.0 s: at 450 N, nothing left two samples later.
#[rstest]
#[case(500.0)]
#[case(1000.0)]
#[case(5000.0)]
fn a_burst_ends_the_burn_at_once(#[case] hertz: f64) {
    let found = recorded(hertz, 6.0, |t| Some(if t < 2.0 { burn(t) } else { 0.0 }));
    assert_eq!(patterns(&found), ["sudden end"], "{:?}", found.findings);
    assert!((found.findings[0].at_s - 2.0).abs() < 0.005, "{:?}", found.findings);
    let thrust = found.thrust.unwrap();
    // 500 x 0.02 + 0.96 x (498 + 450)/2 = 465.04 N s
    assert!((thrust.integral / 465.04 - 1.0).abs() < 0.003, "{}", thrust.integral);
}

/// Too slow to tell: 80 readings a second would see the same of a quick tail-off.
#[test]
fn a_slow_record_says_nothing_of_a_sudden_end() {
    let found = recorded(80.0, 6.0, |t| Some(if t < 2.0 { burn(t) } else { 0.0 }));
    assert!(!patterns(&found).contains(&"sudden end"), "{:?}", found.findings);
}

/// The nozzle goes at 1.8 s: what burns on weakly dies away over seconds.
#[rstest]
#[case(0.12, 1.5, 6.0)]
#[case(0.12, 1.5, 12.0)]
#[case(0.08, 1.5, 12.0)]
#[case(0.12, 0.6, 6.0)]
#[case(0.25, 1.0, 8.0)]
#[case(0.06, 2.0, 12.0)]
#[case(0.20, 100.0, 3.0)]
fn a_lost_nozzle_leaves_a_weak_tail(#[case] share: f64, #[case] tau_s: f64, #[case] to_s: f64) {
    let found = recorded(1000.0, to_s, |t| {
        Some(if t < 1.8 { burn(t) } else { 500.0 * share * (-(t - 1.8) / tau_s).exp() })
    });
    let drop = found.findings.iter().find(|it| it.pattern == "sudden drop, long weak tail");
    assert!(drop.is_some_and(|it| (it.at_s - 1.8).abs() < 0.02), "{:?}", found.findings);
}

/// 0.3 s of a burn of 2.1 s that nobody recorded. What is missing before or after the burn does not matter.
#[test]
fn readings_missing_in_the_burn_are_told() {
    let without = |from: f64, to: f64| recorded(1000.0, 6.0, move |t| (t < from || t > to).then(|| burn(t)));
    let found = without(2.0, 2.3);
    assert_eq!(patterns(&found), ["readings missing"], "{:?}", found.findings);
    assert!(found.findings[0].evidence.contains("0.302 s"), "{:?}", found.findings);
    assert!(without(0.2, 0.5).findings.is_empty());
    assert!(without(4.5, 4.8).findings.is_empty());
}

/// Jumps and pulses that share samples are put aside once; a file like this one stopped the reader.
#[test]
fn pulses_that_share_samples_are_put_aside_once() {
    let mut values = [0.0; 38];
    for (at, value) in [
        (1, -59_782_231_698_607.734),
        (5, 83_274_595_590_438.42),
        (7, 36_498_783_196_209.53),
        (14, -64_684_489_614_932.984),
        (17, -66_074_851_466_723.32),
    ] {
        values[at] = value;
    }
    let mut text = String::from("t_s,thrust_N\n");
    for (i, value) in values.iter().enumerate() {
        let t = if i < 18 { 0.0 } else { 1.956_059_840_229_460_7 };
        text.push_str(&format!("{t},{value}\n"));
    }
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    // Whether it can be reduced does not matter here: it is answered.
    let _ = reduce(&record, &ReduceOptions::default());
}
