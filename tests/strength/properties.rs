//! What must hold for every casing, not only for the printed ones.

use proofmark::design::wall::TubeSize;
use proofmark::design::{Plate, PlateEdge};
use proofmark::quantity::{GaugePressure, Length, Quantity, Stress};
use proofmark::strength::cylinder::{ThinWallLoad, cylinder, cylinder_wall, thin_wall};
use proofmark::strength::fits::{FitLoad, PressFitInput, press_fit};
use proofmark::strength::growth::{Elastic, bore_volume_growth, elastic_growth_outside};
use proofmark::strength::tube::{burst_pressure, yield_pressure};
use proofmark::strength::{LocalSpot, LocalState, Mode, margins};
use proptest::prelude::*;

use super::demo::{bolted, casing, mm, ringed, threaded, tube, welded};

fn size(od_m: f64, wall_share: f64) -> TubeSize {
    let od = Length::from_si(od_m);
    TubeSize::from_two(Some(od), None, Some(Length::from_si(od_m * wall_share))).unwrap()
}

fn near(one: f64, other: f64, relative: f64) -> bool {
    (one - other).abs() <= relative * one.abs().max(other.abs())
}

fn an_end() -> impl Strategy<Value = proofmark::design::End> {
    prop_oneof![
        (1.0..6.0).prop_map(welded),
        (6u32..12, 6.0..20.0).prop_map(|(count, edge)| bolted(count, "10-32", edge)),
        (0.3..1.0).prop_map(ringed),
        (0.1..0.9).prop_map(|share| threaded(49.0, 47.6 + 2.5 * share)),
    ]
}

proptest! {
    #[test]
    fn a_thin_wall_is_the_limit_of_a_thick_one(od_m in 0.02..0.5, p in 1e5..1e7) {
        let tube = size(od_m, 1e-4);
        let p = GaugePressure::from_si(p);
        let thick = cylinder(tube, p, GaugePressure::mpa(0.0), None).unwrap();
        let thin = thin_wall(tube, ThinWallLoad::Pressure(p)).unwrap();
        prop_assert!(near(thick.hoop_bore_pa.si(), thin.hoop_mean_pa.si(), 1e-3));
        prop_assert!(near(thick.axial_closed_pa.si(), thin.hoop_mean_pa.si() / 2.0, 2e-3));
    }

    #[test]
    fn stresses_scale_with_pressure_and_not_with_size(od_m in 0.01..0.5, share in 0.01..0.4, k in 0.1..10.0) {
        let zero = GaugePressure::mpa(0.0);
        let one = cylinder(size(od_m, share), GaugePressure::mpa(5.0), zero, None).unwrap();
        let scaled = cylinder(size(od_m * k, share), GaugePressure::mpa(5.0 * k), zero, None).unwrap();
        prop_assert!(near(one.hoop_bore_pa.si() * k, scaled.hoop_bore_pa.si(), 1e-9));
        prop_assert!(near(one.von_mises_bore_pa.si() * k, scaled.von_mises_bore_pa.si(), 1e-9));
    }

    #[test]
    fn more_wall_is_never_weaker_and_burst_never_comes_before_yield(
        od_m in 0.01..0.5, share in 0.005..0.35, more in 0.001..0.1, fy in 30.0..900.0, ratio in 0.3..1.0,
    ) {
        let (fy, fu) = (Stress::mpa(fy), Stress::mpa(fy / ratio));
        let thin = yield_pressure(size(od_m, share), fy).unwrap();
        let thick = yield_pressure(size(od_m, share + more), fy).unwrap();
        prop_assert!(thick.von_mises_bore_pa > thin.von_mises_bore_pa);
        let burst = burst_pressure(size(od_m, share), fy, fu).unwrap().faupel_pa;
        prop_assert!(burst.si() >= thin.von_mises_bore_pa.si() * (1.0 - 1e-12));
        prop_assert!(thin.inside_diameter_pa >= thin.mean_diameter_pa);
        prop_assert!(thin.mean_diameter_pa >= thin.outside_diameter_pa);
    }

    #[test]
    fn a_wall_solved_for_a_stress_gives_that_stress(od_m in 0.01..0.5, p in 1e5..5e7, above in 1.1..50.0) {
        let (p, allowable) = (GaugePressure::from_si(p), Stress::from_si(p * above));
        let wall = cylinder_wall(Length::from_si(od_m), p, allowable).unwrap();
        let tube = TubeSize::from_two(Some(Length::from_si(od_m)), Some(wall.id_m), None).unwrap();
        let back = cylinder(tube, p, GaugePressure::mpa(0.0), None).unwrap();
        prop_assert!(near(back.hoop_bore_pa.si(), allowable.si(), 1e-6));
        prop_assert!(near(back.hoop_outside_pa.si(), wall.hoop_outside_pa.si(), 1e-6));
    }

    #[test]
    fn thin_wall_goes_there_and_back(od_m in 0.01..0.5, share in 0.005..0.4, s in 1e6..5e8) {
        let tube = size(od_m, share);
        let p = thin_wall(tube, ThinWallLoad::Allowable(Stress::from_si(s))).unwrap().pressure_pa;
        prop_assert!(near(thin_wall(tube, ThinWallLoad::Pressure(p)).unwrap().hoop_mean_pa.si(), s, 1e-12));
    }

    #[test]
    fn a_fit_goes_there_and_back(d in 0.01..0.3, hub in 1.05..3.0, bore in 0.0..0.9, gap in 1e-6..1e-3) {
        let mut fit = PressFitInput {
            diameter: Length::from_si(d), hub_od: Length::from_si(d * hub), shaft_id: Length::from_si(d * bore),
            load: FitLoad::Interference(Length::from_si(gap)),
            hub_modulus: Stress::mpa(70_000.0), hub_poisson: 0.33,
            shaft_modulus: Stress::mpa(200_000.0), shaft_poisson: 0.29,
        };
        let there = press_fit(&fit).unwrap();
        fit.load = FitLoad::HubBoreHoop(there.hub_bore_hoop_pa);
        prop_assert!(near(press_fit(&fit).unwrap().interference_m.si(), gap, 1e-9));
    }

    #[test]
    fn growth_is_linear_and_volume_follows_the_diameters(od_m in 0.02..0.3, share in 0.01..0.2, p in 1e5..2e7) {
        let metal = Elastic { modulus: Stress::mpa(70_000.0), poisson: 0.33 };
        let (tube, p1) = (size(od_m, share), GaugePressure::from_si(p));
        let one = elastic_growth_outside(tube, metal, p1).unwrap().si();
        let two = elastic_growth_outside(tube, metal, GaugePressure::from_si(2.0 * p)).unwrap().si();
        prop_assert!(near(2.0 * one, two, 1e-12));
        // dV/V = 2 hoop strain + axial strain, from the Lamé stresses at the bore.
        let at = cylinder(tube, p1, GaugePressure::mpa(0.0), None).unwrap();
        let (hoop, axial, radial) = (at.hoop_bore_pa.si(), at.axial_closed_pa.si(), at.radial_bore_pa.si());
        let (e, nu) = (70e9, 0.33);
        let strain = 2.0 * (hoop - nu * (axial + radial)) / e + (axial - nu * (hoop + radial)) / e;
        let volume = proofmark::quantity::Volume::from_si(1e-3);
        let grown = bore_volume_growth(tube, metal, volume, p1).unwrap().si();
        prop_assert!(near(grown, 1e-3 * strain, 1e-9));
    }

    #[test]
    fn margins_are_sorted_finite_and_fall_with_pressure(forward in an_end(), aft in an_end(), p in 1.0..30.0) {
        let design = casing(tube("6061-T6", 2.125, 0.120), forward, aft, 5.0);
        let at = margins(&design, Some(GaugePressure::mpa(p)), &LocalState::default()).unwrap();
        prop_assert!(at.modes.windows(2).all(|it| it[0].yield_pressure_pa <= it[1].yield_pressure_pa));
        prop_assert!(at.modes.iter().all(|it| it.factor.is_finite() && it.factor > 0.0));
        prop_assert!(at.modes.iter().all(|it| it.ultimate_pressure_pa.is_none_or(|u| u >= it.yield_pressure_pa)));
        prop_assert!(at.modes.iter().all(|it| !it.basis.is_empty() && !it.source.is_empty()));
        prop_assert_eq!(at.weakest, at.modes[0].mode);
        prop_assert_ne!(at.weakest, Mode::TubeBurst);
        let harder = margins(&design, Some(GaugePressure::mpa(p * 2.0)), &LocalState::default()).unwrap();
        for (one, other) in at.modes.iter().zip(&harder.modes) {
            prop_assert!(near(one.factor, other.factor * 2.0, 1e-12));
        }
    }

    #[test]
    fn nothing_gets_stronger_from_heat_loss_of_wall_or_softening(
        forward in an_end(), celsius in 20.0..300.0, wall in 0.5..3.0, fy in 20.0..300.0,
    ) {
        let mut design = casing(tube("6061-T6", 2.125, 0.120), forward.clone(), forward, 5.0);
        design.aft.plate = Some(Plate { thickness: mm(8.0).unwrap(), edge: PlateEdge::Supported, material: None });
        let sound = margins(&design, None, &LocalState::default()).unwrap();
        let hurt = margins(&design, None, &LocalState {
            spots: vec![LocalSpot {
                place: "station 100".into(),
                remaining_wall: Some(Length::mm(wall)),
                yield_strength: Some(Stress::mpa(fy)),
                beside_weld: false,
            }],
            wall_temperature: Some(proofmark::quantity::Temperature::celsius(celsius)),
        }).unwrap();
        for mode in &hurt.modes {
            let before = sound.modes.iter().filter(|it| it.mode == mode.mode);
            let most = before.map(|it| it.yield_pressure_pa.si()).fold(0.0, f64::max);
            prop_assert!(mode.yield_pressure_pa.si() <= most * (1.0 + 1e-12), "{:?}", mode);
        }
    }

    #[test]
    fn no_text_is_too_strange(text in ".{0,24}") {
        let _ = proofmark::design::bolt::BoltSize::from_text(&text);
        let _ = proofmark::design::material::find(&text);
        let _ = proofmark::design::pipe::pipe(&text, &text, Some(&text));
        let _ = proofmark::design::thread::pipe_thread(&text);
    }

    #[test]
    fn a_tube_has_the_same_margins_in_any_size(k in 0.3..4.0) {
        // Every mode is a ratio of lengths, so a casing scaled as a whole keeps its pressures.
        let scaled = |it: f64| mm(it * k);
        let make = |one: bool| {
            let s = |it| if one { mm(it) } else { scaled(it) };
            let mut design = casing(tube("6061-T6", 2.0, 0.1), ringed(1.0), threaded(47.0, 47.5), 5.0);
            design.tube.od = s(50.8).unwrap();
            design.tube.wall = s(2.54).unwrap();
            design.tube.wall_min = s(2.54);
            design.forward.groove_depth = s(1.0);
            design.forward.ring_thickness = s(2.0);
            design.forward.edge = s(6.0);
            design.aft.pitch_diameter = s(47.0);
            design.aft.engagement = s(12.0);
            design.aft.relief_diameter = s(47.5);
            margins(&design, None, &LocalState::default()).unwrap()
        };
        for (one, other) in make(true).modes.iter().zip(&make(false).modes) {
            prop_assert!(one.mode == other.mode && near(one.yield_pressure_pa.si(), other.yield_pressure_pa.si(), 1e-9));
        }
    }
}

#[test]
fn the_more_metal_a_joint_has_the_more_it_carries() {
    let yields = |end: proofmark::design::End, mode| {
        let design = casing(tube("6061-T6", 2.125, 0.120), end, welded(3.0), 5.0);
        margins(&design, None, &LocalState::default()).unwrap().mode(mode).unwrap().yield_pressure_pa.as_mpa()
    };
    for edge in [4.0, 6.0, 7.0, 8.0, 9.0, 9.6] {
        let (less, more) = (bolted(8, "10-32", edge), bolted(8, "10-32", edge + 0.3));
        assert!(yields(less.clone(), Mode::HoleBearing) <= yields(more.clone(), Mode::HoleBearing));
        assert!(yields(less, Mode::TearOut) < yields(more, Mode::TearOut));
    }
    assert!(
        yields(bolted(8, "10-32", 10.0), Mode::NetSection)
            > yields(bolted(10, "10-32", 10.0), Mode::NetSection)
    );
    assert!(yields(ringed(0.8), Mode::GrooveBearing) < yields(ringed(0.9), Mode::GrooveBearing));
}
