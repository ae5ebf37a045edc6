//! What is refused, and whether the message says what would be accepted.

use proofmark::design::wall::{TubeSize, least_wall};
use proofmark::design::{End, EndKind, ProductForm};
use proofmark::quantity::{GaugePressure, Length, Quantity, Stress, Temperature, Typed, Volume};
use proofmark::strength::{InputError, LocalSpot, LocalState, Mode, margins};
use proofmark::strength::{cylinder, defect, energy, fatigue, fits, growth, plate, proof, tube as tubes};

use super::demo::{bolted, casing, judged, mm, ringed, thistle, threaded, tube, welded};

fn fields(design: &proofmark::design::Design) -> Vec<String> {
    design.problems().into_iter().map(|it| it.field).collect()
}

#[test]
fn a_sound_design_has_no_problems() {
    assert!(thistle().problems().is_empty());
}

#[test]
fn each_kind_of_end_asks_for_its_own_fields() {
    for (kind, wanted) in [
        (EndKind::WeldedPlug, vec!["forward.leg"]),
        (EndKind::RadialBolts, vec!["forward.count", "forward.edge", "forward.bolt"]),
        (
            EndKind::ThreadedCap,
            vec!["forward.pitch_diameter", "forward.engagement", "forward.relief_diameter"],
        ),
        (EndKind::RetainingRing, vec!["forward.groove_depth", "forward.ring_thickness", "forward.edge"]),
    ] {
        let mut design = thistle();
        design.forward = End::bare(kind);
        assert_eq!(fields(&design), wanted);
        assert!(design.problems().iter().all(|it| it.message.contains("give ")), "{:?}", design.problems());
        let error = margins(&design, None, &LocalState::default()).unwrap_err();
        assert!(matches!(&error, InputError::Design(found) if found.len() == wanted.len()));
        assert!(error.to_string().contains(wanted[0]));
    }
}

#[test]
fn slips_and_nonsense_are_found_by_field() {
    let spoil = |change: &dyn Fn(&mut proofmark::design::Design)| {
        let mut design = thistle();
        change(&mut design);
        fields(&design)
    };
    assert_eq!(spoil(&|it| it.tube.wall = mm(-1.0).unwrap()), ["tube.wall", "tube.wall_min"]);
    assert_eq!(spoil(&|it| it.tube.wall_min = mm(30.0)).first().unwrap(), "tube.wall_min");
    assert_eq!(spoil(&|it| it.tube.od = mm(f64::NAN).unwrap()).first().unwrap(), "tube.od");
    assert_eq!(spoil(&|it| it.tube.material = "mystery".into()), ["tube.material"]);
    assert_eq!(
        spoil(&|it| {
            it.tube.material = "6063-T5".into();
            it.tube.form = Some(ProductForm::Plate)
        }),
        ["tube.form"]
    );
    assert_eq!(spoil(&|it| it.tube.poisson = Some(0.7)), ["tube.poisson"]);
    assert_eq!(spoil(&|it| it.service.meop = Typed::computed(GaugePressure::mpa(0.0))), ["service.meop"]);
    assert_eq!(spoil(&|it| it.service.meop = Typed::computed(GaugePressure::mpa(5700.0))), ["service.meop"]);
    assert_eq!(spoil(&|it| it.aft.bolt = Some("10-33".into())), ["aft.bolt"]);
    assert_eq!(spoil(&|it| it.aft.edge = mm(2.0)), ["aft.edge"]);
    assert_eq!(spoil(&|it| it.aft.count = Some(60)), ["aft.count"]);
    assert_eq!(spoil(&|it| it.aft.count = Some(1)), ["aft.count"]);
    assert_eq!(spoil(&|it| it.aft = ringed(1.7)), ["aft.groove_depth"]);
    assert_eq!(spoil(&|it| it.aft = threaded(49.0, 51.0)), ["aft.relief_diameter"]);
    assert_eq!(spoil(&|it| it.aft = threaded(24.0e-3, 48.0)), ["aft.pitch_diameter"]);
    assert_eq!(spoil(&|it| it.aft.seal_diameter = mm(60.0)), ["aft.seal_diameter"]);
}

#[test]
fn a_metal_that_must_not_be_welded_carries_nothing_and_says_so() {
    for material in ["7075-T6", "2024-T3"] {
        let found = judged(&casing(tube(material, 2.0, 0.065), welded(2.8), bolted(8, "10-32", 10.0), 5.7));
        assert_eq!(found.weakest, Mode::WeldZoneWall);
        assert_eq!(found.thinnest().unwrap().factor, 0.0);
        assert!(found.objections.iter().any(|it| it.contains("must not be fusion welded")), "{found:?}");
    }
}

#[test]
fn an_unlisted_metal_is_taken_on_its_owners_word_and_flagged() {
    let mut design =
        casing(tube("bed frame", 2.0, 0.065), bolted(8, "10-32", 10.0), bolted(8, "10-32", 10.0), 5.7);
    design.tube.yield_strength = Some(Typed::computed(Stress::mpa(200.0)));
    assert_eq!(fields(&design), ["tube.material"]);
    design.tube.ultimate_strength = Some(Typed::computed(Stress::mpa(300.0)));
    let found = judged(&design);
    assert!(found.assumed.iter().any(|it| it.contains("bed frame")));
    assert!(found.modes.iter().any(|it| it.basis.contains("assumed")));
    design.forward = welded(3.0);
    assert!(judged(&design).objections.iter().any(|it| it.contains("nothing may be counted on")));
}

#[test]
fn a_listed_metal_is_never_made_stronger_by_the_design() {
    let mut design = thistle();
    let before = judged(&design);
    design.tube.yield_strength = Some(Typed::computed(Stress::mpa(400.0)));
    assert_eq!(judged(&design), before);
    design.tube.yield_strength = Some(Typed::computed(Stress::mpa(90.0)));
    let weaker = judged(&design);
    assert!(weaker.thinnest().unwrap().yield_pressure_pa < before.thinnest().unwrap().yield_pressure_pa);
    assert!(!weaker.assumed.is_empty());
}

#[test]
fn an_unmeasured_wall_loses_the_mill_tolerance() {
    let mut design = thistle();
    design.tube.wall_min = None;
    for (form, left) in [
        (Some(ProductForm::DrawnTube), 0.9),
        (Some(ProductForm::Extruded), 0.9),
        (Some(ProductForm::Pipe), 0.875),
        (Some(ProductForm::Bar), 1.0),
        (None, 0.875),
    ] {
        design.tube.form = form;
        let (wall, words) = least_wall(&design.tube);
        assert!((wall.as_mm() - 1.651 * left).abs() < 1e-9);
        assert!(words.contains("nominal"));
        assert!(judged(&design).assumed.iter().any(|it| it.contains("not measured")));
    }
}

#[test]
fn heat_is_taken_off_and_overheating_is_objected_to() {
    let mut design = thistle();
    design.service.wall_temperature = Some(Typed::computed(Temperature::celsius(100.0)));
    let warm = judged(&design);
    assert!(warm.objections.is_empty());
    assert!((warm.thinnest().unwrap().yield_pressure_pa.as_mpa() / (7.625 * 0.95) - 1.0).abs() < 2e-3);
    let hotter = LocalState { wall_temperature: Some(Temperature::celsius(180.0)), ..LocalState::default() };
    let hot = margins(&design, None, &hotter).unwrap();
    assert!(hot.objections.iter().any(|it| it.contains("over-heated")));
    let absurd = LocalState { wall_temperature: Some(Temperature::celsius(500.0)), ..LocalState::default() };
    assert_eq!(margins(&design, None, &absurd).unwrap_err().input(), "temperature");
}

#[test]
fn a_pit_beside_the_weld_is_judged_with_welded_strength() {
    let spot = LocalSpot {
        place: "station 6".into(),
        remaining_wall: Some(Length::mm(1.4)),
        yield_strength: None,
        beside_weld: true,
    };
    let local = LocalState { spots: vec![spot], ..LocalState::default() };
    let found = margins(&thistle(), None, &local).unwrap();
    let thinnest = found.thinnest().unwrap();
    assert_eq!((thinnest.mode, thinnest.place.as_str()), (Mode::TubeWall, "station 6"));
    assert!(thinnest.yield_pressure_pa.as_mpa() < 6.6);
}

#[test]
fn joints_near_the_tube_end_are_objected_to() {
    let found = judged(&casing(tube("6061-T6", 2.0, 0.065), bolted(8, "10-32", 8.0), ringed(1.0), 5.0));
    assert!(found.objections.iter().any(|it| it.contains("1.66 bolt diameters")), "{:?}", found.objections);
    let mut close = ringed(1.0);
    close.edge = mm(2.0);
    let found = judged(&casing(tube("6061-T6", 2.0, 0.065), close.clone(), close, 5.0));
    assert!(found.objections.iter().any(|it| it.contains("2.00 groove depths")), "{:?}", found.objections);
}

#[test]
fn the_json_has_the_keys_it_promises() {
    let json = serde_json::to_value(judged(&thistle())).unwrap();
    assert_eq!(json["weakest"], "weld zone wall");
    assert_eq!(json["pressure_pa"], 5.7e6);
    assert_eq!(json["meop_pa"], 5.7e6);
    let first = &json["modes"][0];
    for key in ["mode", "where", "yield_pressure_pa", "ultimate_pressure_pa", "factor", "basis", "source"] {
        assert!(first.get(key).is_some(), "{key}");
    }
    assert_eq!(first["where"], "forward end");
}

#[test]
fn calculators_name_the_input_they_refuse() {
    let (l, g, s) = (Length::mm, GaugePressure::mpa, Stress::mpa);
    let size = TubeSize::from_two(Some(l(50.0)), Some(l(46.0)), None).unwrap();
    let metal = growth::Elastic { modulus: s(70_000.0), poisson: 0.33 };
    let refused: Vec<(InputError, &str)> = vec![
        (TubeSize::from_two(Some(l(50.0)), None, None).unwrap_err(), "id"),
        (TubeSize::from_two(None, Some(l(50.0)), None).unwrap_err(), "wall"),
        (TubeSize::from_two(Some(l(50.0)), Some(l(50.0)), None).unwrap_err(), "id"),
        (TubeSize::from_two(Some(l(50.0)), None, Some(l(25.0))).unwrap_err(), "wall"),
        (TubeSize::from_two(Some(l(50.0)), Some(l(46.0)), Some(l(3.0))).unwrap_err(), "wall"),
        (TubeSize::from_two(Some(l(f64::INFINITY)), Some(l(46.0)), None).unwrap_err(), "od"),
        (cylinder::cylinder(size, g(-1.0), g(0.0), None).unwrap_err(), "pressure"),
        (cylinder::cylinder(size, g(1.0), g(0.0), Some(l(50.0))).unwrap_err(), "radius"),
        (cylinder::cylinder_wall(l(50.0), g(10.0), s(10.0)).unwrap_err(), "allowable"),
        (tubes::burst_pressure(size, s(300.0), s(200.0)).unwrap_err(), "yield"),
        (proof::proof_factor(0.9).unwrap_err(), "burst_factor"),
        (proof::permanent_set(Volume::from_si(1e-6), Volume::from_si(2e-6)).unwrap_err(), "permanent"),
        (proof::permanent_set(Volume::from_si(0.0), Volume::from_si(0.0)).unwrap_err(), "total"),
        (growth::water_expansion(size, l(0.0), g(1.0), metal, None).unwrap_err(), "length"),
        (
            growth::water_expansion(size, l(9.0), g(1.0), metal, Some(1.0)).unwrap_err(),
            "water_compressibility",
        ),
        (
            growth::elastic_growth_outside(size, growth::Elastic { poisson: 0.6, ..metal }, g(1.0))
                .unwrap_err(),
            "poisson",
        ),
        (
            energy::stored_energy(
                proofmark::quantity::AbsolutePressure::mpa(0.05),
                Volume::from_si(1e-3),
                proofmark::quantity::AbsolutePressure::mpa(0.1),
                1.4,
                None,
            )
            .unwrap_err(),
            "pressure",
        ),
        (plate::flat_head(l(50.0), g(1.0), s(100.0), 0.33, 1.2).unwrap_err(), "efficiency"),
        (fits::shrink_temperature(l(50.0), l(0.1), 2.3, l(0.0)).unwrap_err(), "expansion"),
        (fatigue::damage_sum(&[], &[]).unwrap_err(), "counts"),
        (fatigue::damage_sum(&[1.0], &[1.0, 2.0]).unwrap_err(), "lives"),
        (fatigue::damage_sum(&[1.0], &[0.0]).unwrap_err(), "lives"),
        (fatigue::cycle_weight(g(f64::NAN), g(1.0)).unwrap_err(), "peak"),
        (defect::gouge_limit(Some(l(0.0))).unwrap_err(), "wall_min"),
    ];
    for (error, input) in refused {
        assert_eq!(error.input(), input, "{error}");
        assert!(error.to_string().contains("give "), "{error}");
    }
}

#[test]
fn a_pressure_of_zero_or_less_is_refused() {
    for pressure in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let error =
            margins(&thistle(), Some(GaugePressure::mpa(pressure)), &LocalState::default()).unwrap_err();
        assert_eq!(error.input(), "pressure");
    }
}

#[test]
fn a_diameter_in_the_wrong_unit_is_the_only_thing_blamed() {
    let blamed = |mut design: proofmark::design::Design, od: f64| {
        design.tube.od = mm(od).unwrap();
        fields(&design)
    };
    let with = |aft| casing(tube("6061-T6", 2.0, 0.125), welded(2.8), aft, 5.0);
    let designs = [thistle(), with(ringed(1.0)), with(threaded(47.0, 48.5))];
    for design in designs {
        assert!(design.problems().is_empty(), "{:?}", design.problems());
        // Metres for millimetres, millimetres for inches, thousandths for millimetres.
        for od in [50_800.0, 2.0, 0.0508, -50.8] {
            assert_eq!(blamed(design.clone(), od), ["tube.od"], "{od} mm");
        }
        // What is wrong whatever the diameter is stays wrong.
        let mut leg = design.clone();
        leg.forward.leg = mm(2_800.0);
        assert_eq!(blamed(leg, 50_800.0), ["tube.od", "forward.leg"]);
        let mut wall = design.clone();
        (wall.tube.wall, wall.tube.wall_min) = (mm(1_651.0).unwrap(), None);
        assert_eq!(fields(&wall), ["tube.wall"], "a wall in the wrong unit blames no end either");
    }
    // In range, and yet less than the leg: the message says that either may be the slip.
    let mut small = thistle();
    small.tube.od = mm(5.08).unwrap();
    let found = small.problems();
    let leg = found.iter().find(|it| it.field == "forward.leg").unwrap();
    assert!(leg.message.contains("under half the outside diameter (2.540 mm)"), "{}", leg.message);
}
