//! Words: one batch's factors each say what they are of, and one of a thing is one thing.

use super::bench::{Bench, burn, thrust};

#[test]
fn each_factor_of_a_batch_says_what_it_is_of() {
    let bench = Bench::new();
    let trace = thrust(200.0, |t| burn(t, 500.0));
    bench.fire("02-01", &trace, "--peak-pressure|4.0 MPa|--peak-from|pressure channel|");
    let drift = bench.good("drift");
    assert!(
        drift.contains("mean factor") && drift.contains("of 1 of 1 firing, each judged alone"),
        "{drift}"
    );
    let batch = bench.good("batch B1");
    assert!(batch.contains("one fit of all their peaks, against the load's own numbers"), "{batch}");
    let page = bench.good("trace 02-01.csv --load 500");
    assert!(page.contains("by the thrust curve of this firing alone"), "{page}");
}

#[test]
fn one_firing_is_one_firing() {
    let bench = Bench::new();
    bench.fire("02-01", &thrust(200.0, |t| burn(t, 500.0)), "");
    for line in ["show TR-1", "drift", "batch B1", "rack", "verify"] {
        let said = bench.run(line).1;
        for wrong in ["1 firings", "1 entries", "1 proofs", "1 times", "1 readings"] {
            let alone = format!(" {said}").replace('\n', " ");
            assert!(!alone.contains(&format!(" {wrong}")), "{line}: {wrong}\n{said}");
        }
    }
}
