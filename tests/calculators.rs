//! The shop calculators as a person types them: published values, refusals, and the real binary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "calculators/binary.rs"]
mod binary;
#[path = "calculators/edges.rs"]
mod edges;
#[path = "calculators/published.rs"]
mod published;
#[path = "calculators/published_ends.rs"]
mod published_ends;
#[path = "calculators/published_motor.rs"]
mod published_motor;
#[path = "calculators/refusals.rs"]
mod refusals;

use std::collections::BTreeMap;

use proofmark::book::Problem;
use proofmark::desk::calculators::{self, Outcome};

pub(crate) const PSI: f64 = 6_894.757_293_168;
pub(crate) const LBF: f64 = 4.448_221_615_260_5;
pub(crate) const IN: f64 = 0.0254;
pub(crate) const FT: f64 = 0.3048;

/// Runs a calculator on words, `od=3.5 in` and so on.
pub(crate) fn try_calc(name: &str, words: &[&str]) -> Result<Outcome, Vec<Problem>> {
    let given: BTreeMap<String, String> = words
        .iter()
        .map(|it| it.split_once('=').expect("key=value"))
        .map(|(key, value)| (key.to_owned(), value.to_owned()))
        .collect();
    calculators::run(name, &given)
}

pub(crate) fn calc(name: &str, words: &[&str]) -> Outcome {
    match try_calc(name, words) {
        Ok(outcome) => outcome,
        Err(problems) => panic!("{name} {words:?}: {problems:?}"),
    }
}

/// One number of a run.
pub(crate) fn number(name: &str, words: &[&str], key: &str) -> f64 {
    calc(name, words).number(key).unwrap_or_else(|| panic!("{name} has no number {key}"))
}

/// Within a relative tolerance.
#[track_caller]
pub(crate) fn close(got: f64, wanted: f64, relative: f64) {
    assert!((got - wanted).abs() <= relative * wanted.abs(), "{got} against {wanted}");
}

/// Within an absolute tolerance.
#[track_caller]
pub(crate) fn near(got: f64, wanted: f64, tolerance: f64) {
    assert!((got - wanted).abs() <= tolerance * (1.0 + 1e-9), "{got} against {wanted} within {tolerance}");
}
