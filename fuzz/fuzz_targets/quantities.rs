//! Any text as a quantity of any dimension: no panic, and what is accepted is finite.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::quantity::{Dimension, parse_quantity};

fuzz_target!(|text: &str| {
    for dimension in
        [Dimension::Length, Dimension::Area, Dimension::Volume, Dimension::Mass, Dimension::Force, Dimension::Impulse, Dimension::Pressure, Dimension::Temperature]
    {
        for unit in [None, Some("mm"), Some("psi")] {
            if let Ok(parsed) = parse_quantity(text, dimension, unit) {
                assert!(parsed.si.is_finite());
            }
        }
    }
});
