//! Any bytes as a trace file: no panic, and what is accepted is finite.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let options = proofmark::trace::ReadOptions { threads: 1, ..Default::default() };
    if let Ok(record) = proofmark::trace::read(bytes, &options) {
        assert!(record.time_s.iter().all(|at| at.is_finite()));
    }
});
