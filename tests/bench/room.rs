//! Planning backwards: every answer keeps the limit, a little more does not, and one long grain peaks higher.

use proofmark::ballistics::{Load, Prediction, predict, room};
use proofmark::desk::bench::CasingLimits;
use proofmark::desk::bench::room as desk_room;
use proofmark::quantity::{GaugePressure, Length, Quantity};
use proofmark::standing::RuleSet;
use proptest::prelude::*;

use super::{close, club_load, forty_eight_b};

fn plan(load: &Load) -> Prediction {
    predict(load).unwrap()
}

fn peak(load: &Load) -> f64 {
    plan(load).peak_pressure_pa.si()
}

#[test]
fn each_answer_meets_its_limit() {
    let load = forty_eight_b("");
    let limit = GaugePressure::mpa(5.9);
    let factor = room::longest(&load, limit, 3.0).unwrap().unwrap();
    close(peak(&room::with_length(&load, factor)), limit.si(), 1e-9);
    let throat = room::smallest_throat(&load, limit).unwrap().unwrap();
    close(peak(&room::with_throat(&load, throat)), limit.si(), 1e-9);
    assert!(throat.si() < load.nozzle.throat.si());
    let count = room::most_segments(&load, limit, 20).unwrap().unwrap();
    assert!(peak(&room::with_count(&load, count)) <= limit.si());
    assert!(peak(&room::with_count(&load, count + 1)) > limit.si());
    let fewest = room::fewest_segments(&load, limit).unwrap().unwrap();
    assert!(peak(&room::recut(&load, fewest).unwrap()) <= limit.si());
    assert!((1..fewest).all(|fewer| peak(&room::recut(&load, fewer).unwrap()) > limit.si()));
    assert!(fewest > 1);
}

#[test]
fn a_limit_under_the_plan_shortens_and_widens() {
    let load = forty_eight_b("");
    let limit = GaugePressure::mpa(4.0);
    let factor = room::longest(&load, limit, 3.0).unwrap().unwrap();
    assert!(factor < 1.0);
    assert!(room::smallest_throat(&load, limit).unwrap().unwrap().si() > load.nozzle.throat.si());
    // Nothing keeps a limit of next to nothing.
    assert_eq!(room::fewest_segments(&load, GaugePressure::from_si(1e3)).unwrap(), None);
    assert_eq!(room::smallest_throat(&load, GaugePressure::from_si(1e3)).unwrap(), None);
    assert!(room::longest(&load, GaugePressure::from_si(0.0), 3.0).is_err());
    assert!(room::longest(&load, GaugePressure::from_si(f64::NAN), 3.0).is_err());
}

#[test]
fn another_throat_keeps_the_exit() {
    let load = forty_eight_b("");
    let other = room::with_throat(&load, Length::mm(12.0));
    close(other.nozzle.exit.unwrap().si(), 27.0 / 64.0 * 0.0254 * 8f64.sqrt(), 1e-12);
    assert_eq!(other.nozzle.area_ratio, None);
}

#[test]
fn one_long_grain_of_the_same_propellant_peaks_higher_because_its_kn_climbs() {
    let cut = forty_eight_b("");
    let long = room::recut(&cut, 1).unwrap();
    let (cut, long) = (plan(&cut), plan(&long));
    close(long.propellant_kg.si(), cut.propellant_kg.si(), 1e-12);
    assert!(long.peak_pressure_pa.si() > 1.3 * cut.peak_pressure_pa.si());
    // It begins lower and ends at its greatest; the stack stays within a fifth of itself.
    assert!(long.kn_start < cut.kn_start && (long.kn_end / long.kn_max - 1.0).abs() < 0.01);
    assert!(long.kn_max / long.kn_start > 1.8 && cut.kn_max / cut.kn_start < 1.2);
}

#[test]
fn the_lowest_cap_limits_and_is_named() {
    let limits = CasingLimits {
        serial: "X-1".to_owned(),
        meop_pa: Some(5.9e6),
        proof_pa: Some(8.85e6),
        yield_pa: Some(18.6e6),
        weakest: Some("groove bearing, aft end".to_owned()),
        tube_m: Some(0.6),
        ..CasingLimits::default()
    };
    let rules = RuleSet::new();
    let load = forty_eight_b("");
    let found = desk_room::room(&load, &limits, &rules, None).unwrap();
    assert_eq!(found.caps[0].what, "MEOP");
    // 90 % of the proof less two sigma of 6.4 %, both above vacuum.
    let atmosphere = 101_325.0;
    let sigma = proofmark::ballistics::load::Spread::CLUB.peak_sigma(0.36);
    let by_proof = (0.9 * 8.85e6 + atmosphere) / (1.0 + 2.0 * sigma) - atmosphere;
    close(found.caps[1].peak_pa.si(), by_proof, 1e-9);
    for answer in &found.answers {
        assert!(answer.peak_pressure_pa.unwrap().si() <= 5.9e6 * (1.0 + 1e-9), "{answer:?}");
        assert_eq!(answer.limited_by, "MEOP", "{answer:?}");
    }
    // A margin of 4 on the mode takes over, and is named with its mode.
    let tight = desk_room::room(&load, &limits, &rules, Some(4.0)).unwrap();
    assert!(tight.caps[0].what.contains("groove bearing, aft end"));
    close(tight.caps[0].peak_pa.si(), 18.6e6 / 4.0, 1e-12);
    assert!(desk_room::room(&load, &limits, &rules, Some(0.5)).unwrap_err().message.contains("no margin"));
    // A short tube limits before any pressure does.
    let short = CasingLimits { tube_m: Some(0.31), ..limits };
    let found = desk_room::room(&load, &short, &rules, None).unwrap();
    assert!(found.answers[0].limited_by.contains("tube") && found.answers[1].limited_by.contains("tube"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn answers_hold_for_any_load(
        count in 1..6_u32, core in 10.0..25.0_f64, length in 30.0..150.0_f64, share in 0.6..0.95_f64,
        limit in 2.0..9.0_f64,
    ) {
        let load = club_load(
            &format!("count = {count}\noutside_diameter = \"50 mm\"\ncore = \"{core} mm\"\nlength = \"{length} mm\""),
            &format!("throat = \"{} mm\"\narea_ratio = 6", core * share),
            "",
        );
        prop_assume!(predict(&load).is_ok());
        let limit = GaugePressure::mpa(limit);
        if let Some(factor) = room::longest(&load, limit, 5.0).unwrap()
            && let Ok(found) = predict(&room::with_length(&load, factor))
        {
            prop_assert!(found.peak_pressure_pa.si() <= limit.si() * (1.0 + 1e-9));
        }
        if let Some(throat) = room::smallest_throat(&load, limit).unwrap() {
            let found = predict(&room::with_throat(&load, throat)).unwrap();
            prop_assert!(found.peak_pressure_pa.si() <= limit.si() * (1.0 + 1e-9));
        }
        if let Some(pieces) = room::fewest_segments(&load, limit).unwrap()
            && let Ok(found) = predict(&room::recut(&load, pieces).unwrap())
        {
            prop_assert!(found.peak_pressure_pa.si() <= limit.si() * (1.0 + 1e-9));
        }
    }
}
