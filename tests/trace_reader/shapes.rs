//! Two humps, where they are.

use proofmark::trace::{ReadOptions, ReduceOptions, read, reduce};

use super::bench::thrust;

#[test]
fn two_humps_are_where_they_are() {
    let humps = |t: f64| {
        let hump = |at: f64, wide: f64| (-((t - at) / wide).powi(2)).exp();
        if (0.0..2.4).contains(&t) {
            520.0 * hump(0.35, 0.25) + 480.0 * hump(1.6, 0.3) + if t > 0.05 && t < 2.3 { 60.0 } else { 0.0 }
        } else {
            0.0
        }
    };
    let text = thrust(200.0, humps);
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    let found = reduce(&record, &ReduceOptions::default()).unwrap();
    let patterns: Vec<&str> = found.findings.iter().map(|it| it.pattern.as_str()).collect();
    assert!(patterns.contains(&"two humps") && !patterns.contains(&"early spike"), "{:?}", found.findings);
    let told = &found.findings.iter().find(|it| it.pattern == "two humps").unwrap().evidence;
    let numbers: Vec<f64> = told.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    // 580 N at 0.35 s, 540 N at 1.6 s after ignition, and the valley between.
    let expected = [580.0, 1.85, 540.0, 3.10, 66.0];
    for ((found, expected), within) in numbers.iter().zip(expected).zip([12.0, 0.06, 12.0, 0.06, 10.0]) {
        assert!((found - expected).abs() < within, "{told}");
    }
}

#[test]
fn a_spike_ahead_of_a_level_burn_is_no_hump() {
    let text = thrust(500.0, |t| super::bench::burn(t, 500.0) + 300.0 * (-((t - 0.08) / 0.03).powi(2)).exp());
    let record = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    let found = reduce(&record, &ReduceOptions::default()).unwrap();
    let patterns: Vec<&str> = found.findings.iter().map(|it| it.pattern.as_str()).collect();
    assert!(patterns.contains(&"early spike") && !patterns.contains(&"two humps"), "{:?}", found.findings);
}
