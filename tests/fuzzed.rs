//! What strange inputs once broke, each the smallest of its kind: nothing panics, hangs or says what is not so.

#![allow(clippy::unwrap_used, clippy::panic)]

// The very desk that the targets of `fuzz/` sit at.
#[path = "../fuzz/src/lib.rs"]
#[allow(dead_code)]
mod shared;

use proofmark::book::{Answers, Details, Kind};
use proofmark::desk::Desk;
use proofmark::desk::import::Wish;
use proofmark::quantity::{AbsolutePressure, Typed};
use shared::{still, tell};

#[test]
fn a_day_whose_letters_grow_when_made_small_is_refused() {
    // The capital I with a dot takes two bytes and its small form three: the rest of the text was longer than the text.
    let mut desk = Desk::in_memory(still()).unwrap();
    let wish = Wish { kind: Some(Kind::Note), by: Some("Ann Lee".to_owned()), ..Wish::default() };
    for on in ["~İİ", "circa İ", "ca İİİ"] {
        let tried = desk.try_import("old.csv", format!("on,text\n{on},dry\n").as_bytes(), &wish).unwrap();
        assert!(tried.rows[0].problems[0].message.contains("is not a date"), "{:?}", tried.rows[0].problems);
    }
}

#[test]
fn a_peak_that_says_what_it_is_above_in_any_spelling_keeps_words_that_read_back() {
    for words in [
        "480 psi gage",
        "33 bar g",
        "33 bar (gage)",
        "3.3 MPa a",
        "480 psi",
        "480 psig",
        "3.3 MPa abs",
        "480 psia",
    ] {
        let mut desk = Desk::in_memory(still()).unwrap();
        tell(&mut desk);
        let mut answers = Answers::new();
        for (field, text) in [
            ("by", "Ann Lee"),
            ("casing", "MF-1"),
            ("mode", "static"),
            ("load", "48A"),
            ("peak_pressure", words),
        ] {
            answers.set(field, text);
        }
        let recorded =
            desk.record(Kind::Firing, &answers, None).unwrap_or_else(|error| panic!("{words}: {error:?}"));
        let Details::Firing(firing) = &recorded.entries[0].entry.details else { panic!("no firing") };
        let peak = firing.peak_pressure.as_ref().unwrap();
        let kept = peak.typed.as_deref().unwrap();
        let again =
            Typed::<AbsolutePressure>::parse(kept, None).unwrap_or_else(|error| panic!("{kept}: {error}"));
        assert!((again.si() - peak.si()).abs() < 1e-6, "{kept}");
    }
}
