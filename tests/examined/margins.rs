//! Margins of designs at the edge of what their formulas were thought for.

use proofmark::design::{Design, End, EndKind, Service, Tube};
use proofmark::quantity::{GaugePressure, Length, Quantity, Stress, Typed};
use proofmark::strength::{LocalState, Mode, change::changes, margins};

fn mm(value: f64) -> Typed<Length> {
    Typed::computed(Length::mm(value))
}

/// A tube of 50.8 x 1.651 mm with a snap ring at each end.
fn ringed(forward_depth_mm: f64, aft_depth_mm: f64) -> Design {
    let ring = |depth| End {
        groove_depth: Some(mm(depth)),
        ring_thickness: Some(mm(1.6)),
        edge: Some(mm(8.0)),
        ..End::bare(EndKind::RetainingRing)
    };
    Design {
        tube: Tube {
            material: "6061-T6".into(),
            form: None,
            od: mm(50.8),
            wall: mm(1.651),
            wall_min: Some(mm(1.651)),
            length: None,
            yield_strength: None,
            ultimate_strength: None,
            modulus: None,
            poisson: None,
        },
        forward: ring(forward_depth_mm),
        aft: ring(aft_depth_mm),
        service: Service { meop: Typed::computed(GaugePressure::mpa(5.0)), wall_temperature: None },
    }
}

/// By hand: bore 47.498 mm, groove 1.4 mm deep to 50.298 mm; the wall left is 0.251 mm, and the end force works on
/// pi/4 (50.8^2 - 50.298^2) of it: yield 240 x (50.8^2 - 50.298^2)/47.498^2 = 5.399 MPa; 0.9 of 260 MPa is lower: 5.264.
#[test]
fn a_groove_nearly_through_the_wall_is_weaker_than_its_side_is_strong() {
    let found = margins(&ringed(1.4, 1.0), None, &LocalState::default()).unwrap();
    let weakest = found.thinnest().unwrap();
    assert_eq!((weakest.mode, weakest.place.as_str()), (Mode::NetSection, "forward end"));
    let by_hand = 234.0 * (50.8_f64.powi(2) - 50.298_f64.powi(2)) / 47.498_f64.powi(2);
    assert!((weakest.yield_pressure_pa.as_mpa() - by_hand).abs() < 1e-9, "{weakest:?}");
    assert!((by_hand - 5.2641).abs() < 1e-3, "{by_hand}");
    // Past the seal the thin wall carries the pressure itself: 240/sqrt3 (1 - (50.298/50.8)^2) = 2.725 MPa, unranked.
    let past = found.contingent.iter().find(|it| it.place == "forward end").unwrap();
    assert!((past.yield_pressure_pa.as_mpa() - 2.7249).abs() < 1e-3, "{past:?}");
}

#[test]
fn no_deeper_groove_is_advised_where_the_wall_outside_it_governs() {
    let worth = changes(&ringed(1.4, 1.4), &LocalState::default()).unwrap();
    let best = worth.iter().find(|it| it.field.ends_with("groove_depth")).unwrap();
    assert_eq!((best.field.as_str(), best.to.as_str()), ("both.groove_depth", "1.20 mm"), "{best:?}");
    assert!(best.gain > 0.5, "{best:?}");
    let deeper = worth.iter().find(|it| it.field == "both.groove_depth" && it.to == "1.60 mm").unwrap();
    assert!(deeper.gain < -0.5, "{deeper:?}");
}

/// The usual groove, a third of the wall deep, is governed by its side as before.
#[test]
fn a_shallow_groove_is_governed_by_its_side() {
    let found = margins(&ringed(0.55, 0.55), None, &LocalState::default()).unwrap();
    assert_eq!(found.weakest, Mode::GrooveBearing);
    let net = found.mode(Mode::NetSection).unwrap();
    let by_hand = 234.0 * (50.8_f64.powi(2) - (47.498_f64 + 1.1).powi(2)) / 47.498_f64.powi(2);
    assert!((net.yield_pressure_pa.as_mpa() - by_hand).abs() < 1e-9, "{net:?}");
}

/// A thin place beside a weld has the strength of the weld: Lamé with von Mises on the wall that is left.
#[test]
fn a_spot_beside_a_weld_yields_at_the_welded_strength() {
    let local = LocalState {
        spots: vec![proofmark::strength::LocalSpot {
            place: "pit".into(),
            remaining_wall: Some(Length::mm(1.4)),
            yield_strength: None::<Stress>,
            beside_weld: true,
        }],
        wall_temperature: None,
    };
    let mut design = ringed(0.55, 0.55);
    design.forward = End { leg: Some(mm(2.8)), ..End::bare(EndKind::WeldedPlug) };
    let found = margins(&design, None, &local).unwrap();
    let pit = found.modes.iter().find(|it| it.place == "pit" && it.mode == Mode::TubeWall).unwrap();
    let by_hand = 105.0 / 3f64.sqrt() * (1.0 - (48.0_f64 / 50.8).powi(2));
    assert!((pit.yield_pressure_pa.si() * 1e-6 - by_hand).abs() < 1e-9, "{pit:?}");
}

/// Groove corners are strained past yield in every proof near the cap; that ages them, and does not use them up at once.
/// By hand at 88 % of yield: 4 x 240 x 0.88 = 844.8 MPa elastic; range 844.8^2/(68948 x 310.3) = 3.336 %;
/// 3.5 x 310.3/68948 = 1.575 %, D = 0.4308: 1.575 % N^-0.12 + (D/N)^0.6 = 3.336 % at N = 201.2, so 4/201.2 = 1.988 % a cycle.
#[test]
fn a_proof_within_the_cap_ages_a_groove_by_little() {
    use proofmark::design::material::tube_metal;
    let design = ringed(0.55, 0.55);
    let found = margins(&design, None, &LocalState::default()).unwrap();
    let yields = found.mode(Mode::GrooveBearing).unwrap().yield_pressure_pa.as_mpa();
    let metal = tube_metal(&design.tube).unwrap();
    let used = |share: f64, cycles: usize| {
        let peaks = vec![GaugePressure::mpa(share * yields); cycles];
        proofmark::strength::wear::wear(&found, &metal, &peaks)
            .into_iter()
            .filter(|it| it.mode == "groove bearing")
            .map(|it| it.damage)
            .fold(0.0, f64::max)
    };
    assert!((used(0.88, 1) - 0.019_88).abs() < 0.000_01, "{}", used(0.88, 1));
    // Below the end of the line, 45 ksi local, nothing has changed: 4 x 240 x 0.3 = 288 MPa.
    let line = 10f64.powf(20.68 - 9.84 * (288.0_f64 / 6.894_757_293).log10());
    assert!((used(0.3, 1) / (4.0 / line) - 1.0).abs() < 1e-6, "{}", used(0.3, 1));
    // More pressure never ages less.
    let steps: Vec<f64> = (1..=30).map(|i| used(0.03 * f64::from(i), 1)).collect();
    assert!(steps.windows(2).all(|pair| pair[1] >= pair[0]), "{steps:?}");
}

/// A spot of another alloy read soft is judged soft: 7075-T6 at HB 120 of 150, (103 + 400 x 60/90)/503 = 0.7349 of yield.
#[test]
fn a_soft_spot_of_another_alloy_has_its_own_line() {
    use proofmark::design::{derate::local_strength, material::find};
    for (name, hardness, fraction) in [
        ("7075-T6", 120.0, 0.7349),
        ("7075-T6", 150.0, 1.0),
        ("7075-T6", 40.0, 103.0 / 503.0),
        ("6063-T6", 50.0, (48.0 + 166.0 * 25.0 / 48.0) / 214.0),
        ("2024-T3", 100.0, (76.0 + 269.0 * 53.0 / 73.0) / 345.0),
        ("6061-T6", 74.0, 0.7413),
    ] {
        let found = local_strength(find(name).unwrap(), Stress::mpa(200.0), hardness, None).unwrap();
        assert!((found.fraction - fraction).abs() < 1e-4, "{name} {hardness} {}", found.fraction);
    }
    let none = local_strength(find("304").unwrap(), Stress::mpa(200.0), 120.0, None).unwrap_err();
    assert!(none.to_string().contains("no hardness line"), "{none}");
}
