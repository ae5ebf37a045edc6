//! Any text as what is typed into a calculator: the first byte chooses which, and each line begins with a letter that
//! chooses its input. No panic; what it finds has no number that is none, is shown in both systems, and the words it
//! echoes give the same again. Every line is taken as `name=value`, too.
#![no_main]

use std::collections::BTreeMap;

use libfuzzer_sys::fuzz_target;
use proofmark::desk::calculators::{list, run};
use proofmark::quantity::System;
use proofmark_fuzz::assert_finite;

fn work(name: &str, given: &BTreeMap<String, String>) {
    match run(name, given) {
        Ok(outcome) => {
            let json = serde_json::to_value(&outcome).unwrap();
            assert_finite(&json, name);
            for finding in &outcome.results {
                for system in [System::Si, System::Us] {
                    let shown = finding.value.shown(finding.output.shows, system);
                    assert!(!shown.contains("not a number"), "{name} {}", finding.output.key);
                }
            }
        }
        Err(problems) => {
            assert!(!problems.is_empty());
            for problem in problems {
                assert!(problem.message.chars().count() < 2_000, "{problem:?}");
                assert!(!problem.message.chars().any(char::is_control), "{problem:?}");
            }
        }
    }
}

fuzz_target!(|text: &str| {
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return };
    let all: Vec<_> = list().collect();
    let calculator = all[first as usize % all.len()];
    let mut given = BTreeMap::new();
    let mut named = BTreeMap::new();
    for line in letters.as_str().lines() {
        let mut letters = line.chars();
        let Some(letter) = letters.next() else { continue };
        let input = &calculator.inputs[letter as usize % calculator.inputs.len()];
        given.insert(input.name.to_owned(), letters.as_str().to_owned());
        if let Some((name, value)) = line.split_once('=') {
            named.insert(name.to_owned(), value.to_owned());
        }
    }
    work(calculator.name, &given);
    work(calculator.name, &named);
    if let Some((name, _)) = text.split_once('\n') {
        work(name, &named);
    }
});
