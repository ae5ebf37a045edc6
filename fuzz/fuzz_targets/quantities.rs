//! Any text as what a person types: a quantity of any dimension, a number, a ratio, a count, a burn rate, a day, a
//! reading at a station. No panic; what is taken is finite, not under what nature allows, and the words kept beside it
//! read back as the same value; a refusal is short and holds nothing a terminal acts on.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::book::{Phase, Reading, What, reader::read_date};
use proofmark::quantity::*;
use proofmark_fuzz::today;

fn refused(error: &QuantityError) {
    said(&error.message);
}

fn said(message: &str) {
    assert!(!message.is_empty() && message.chars().count() < 1_000, "{message}");
    assert!(!message.chars().any(char::is_control), "{message:?}");
}

/// The words kept read back, through the book's JSON too, and what is shown is read again.
fn kept<Q: Quantity>(text: &str) {
    for default in [None, Some("mm"), Some("in"), Some("psi"), Some("degC")] {
        let typed = match Typed::<Q>::parse(text, default) {
            Ok(typed) => typed,
            Err(error) => {
                refused(&error);
                continue;
            }
        };
        assert!(typed.si().is_finite());
        if let Some(least) = lowest(Q::DIMENSION, Q::ABSOLUTE) {
            assert!(typed.si() >= least);
        }
        let words = typed.typed.as_deref().unwrap();
        let again = Typed::<Q>::parse(words, None).unwrap_or_else(|error| panic!("{words:?}: {error}"));
        assert_eq!(again.si(), typed.si(), "{words:?}");
        let json = serde_json::to_string(&typed).unwrap();
        assert_eq!(serde_json::from_str::<Typed<Q>>(&json).unwrap(), typed, "{json}");
        for system in [System::Si, System::Us] {
            let shown = show(typed.value, system);
            let read = Typed::<Q>::parse(&shown, None);
            // A value of twenty digits, or one that rounds to nothing, is shown for the eye alone.
            if (1e-3..1e9).contains(&typed.si().abs()) {
                let read = read.unwrap_or_else(|error| panic!("{shown:?}: {error}")).si();
                // A temperature is shown to a tenth or a whole degree, whatever its kelvin are.
                let least = if Q::DIMENSION == Dimension::Temperature { 0.6 } else { 1e-3 };
                let near = (0.02 * typed.si().abs()).max(least);
                assert!((read - typed.si()).abs() <= near, "{shown:?} of {}", typed.si());
            }
        }
    }
}

fuzz_target!(|text: &str| {
    // Longer ones are all refused alike.
    if text.chars().count() > 220 {
        return;
    }
    for dimension in Dimension::ALL {
        for unit in [None, Some("mm"), Some("psi")] {
            let _ = parse_quantity(text, *dimension, unit)
                .map(|it| assert!(it.si.is_finite()))
                .map_err(|error| refused(&error));
        }
    }
    kept::<Length>(text);
    kept::<GaugePressure>(text);
    kept::<AbsolutePressure>(text);
    kept::<Stress>(text);
    kept::<Temperature>(text);
    kept::<TimeSpan>(text);
    kept::<Mass>(text);
    kept::<Force>(text);
    kept::<Impulse>(text);
    for number in [parse_number(text), parse_ratio(text)] {
        number.map(|it| assert!(it.is_finite())).unwrap_or_else(|error| refused(&error));
    }
    match parse_whole(text) {
        Ok(count) => assert_eq!(parse_whole(&count.to_string()).unwrap(), count),
        Err(error) => refused(&error),
    }
    let _ = proofmark::ballistics::written::parse_share(text).map(|it| assert!(it.is_finite()));
    match parse_burn_rate(text) {
        Ok(rate) => {
            assert!(rate.rate.si() > 0.0 && rate.at.si() > 0.0);
            let json = serde_json::to_string(&rate).unwrap();
            assert_eq!(serde_json::from_str::<BurnRate>(&json).unwrap(), rate);
        }
        Err(error) => refused(&error),
    }
    if let Some((value, unit)) = text.split_once('|') {
        match convert(value, unit) {
            Ok((number, _)) => assert!(number.is_finite()),
            Err(error) => refused(&error),
        }
    }
    match read_date(text, today()) {
        Ok(date) => assert_eq!(read_date(&date.to_string(), today()), Ok(date)),
        Err(message) => said(&message),
    }
    for what in [What::OutsideDiameter, What::Wall, What::Hardness] {
        for unit in [None, Some("mm")] {
            match Reading::parse(text, what, Phase::After, unit) {
                Ok(reading) => {
                    assert!(reading.station.si() >= 0.0);
                    assert!(reading.clock_deg.is_none_or(|it| (0.0..360.0).contains(&it)));
                    assert!(reading.value.as_ref().is_none_or(|it| it.si() > 0.0 && it.si().is_finite()));
                    assert!(reading.hardness.is_none_or(f64::is_finite));
                    let json = serde_json::to_string(&reading).unwrap();
                    assert_eq!(serde_json::from_str::<Reading>(&json).unwrap(), reading);
                }
                Err(message) => said(&message),
            }
        }
    }
});
