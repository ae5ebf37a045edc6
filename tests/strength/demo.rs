//! The nine casings of the invented club: weakest mode and its yield pressure.
//!
//! The club's own table was made with 241/262 MPa; the published minimum is 240/260, so 1 % is allowed.

use proofmark::design::{Design, End, EndKind, Service, Tube};
use proofmark::quantity::{GaugePressure, Length, Quantity, Stress, Typed};
use proofmark::strength::{LocalState, Margins, Mode, margins, proof_objection};

pub fn mm(value: f64) -> Option<Typed<Length>> {
    Some(Typed::computed(Length::mm(value)))
}

pub fn tube(material: &str, od_in: f64, wall_in: f64) -> Tube {
    let wall = Typed::computed(Length::inches(wall_in));
    Tube {
        material: material.into(),
        form: None,
        od: Typed::computed(Length::inches(od_in)),
        wall: wall.clone(),
        wall_min: Some(wall),
        length: None,
        yield_strength: None,
        ultimate_strength: None,
        modulus: None,
        poisson: None,
    }
}

pub fn bolted(count: u32, bolt: &str, edge_mm: f64) -> End {
    End {
        count: Some(count),
        bolt: Some(bolt.into()),
        edge: mm(edge_mm),
        bolt_ultimate: Some(Typed::computed(Stress::ksi(150.0))),
        ..End::bare(EndKind::RadialBolts)
    }
}

pub fn welded(leg_mm: f64) -> End {
    End { leg: mm(leg_mm), ..End::bare(EndKind::WeldedPlug) }
}

pub fn casing(tube: Tube, forward: End, aft: End, meop_mpa: f64) -> Design {
    let meop = Typed::computed(GaugePressure::mpa(meop_mpa));
    Design { tube, forward, aft, service: Service { meop, wall_temperature: None } }
}

pub fn judged(design: &Design) -> Margins {
    margins(design, None, &LocalState::default()).unwrap()
}

pub fn weakest_is(margins: &Margins, mode: Mode, yield_mpa: f64, factor: f64) {
    let thinnest = margins.thinnest().unwrap();
    assert_eq!(thinnest.mode, mode, "{:?}", margins.modes);
    let got = thinnest.yield_pressure_pa.as_mpa();
    assert!((got / yield_mpa - 1.0).abs() < 0.01, "{got} against {yield_mpa}");
    assert!((thinnest.factor / factor - 1.0).abs() < 0.012, "{} against {factor}", thinnest.factor);
}

pub fn thistle() -> Design {
    casing(tube("6061-T6", 2.0, 0.065), welded(2.8), bolted(8, "10-32", 10.0), 5.7)
}

#[test]
fn thistle_is_held_by_the_wall_beside_its_weld() {
    let found = judged(&thistle());
    weakest_is(&found, Mode::WeldZoneWall, 7.62, 1.34);
    assert_eq!(found.thinnest().unwrap().place, "forward end");
    let wall = found.mode(Mode::TubeWall).unwrap().yield_pressure_pa.as_mpa();
    assert!((17.4..17.5).contains(&wall), "{wall}");
    let objection = proof_objection(&found, GaugePressure::mpa(7.12), 0.90).unwrap();
    assert_eq!((objection.fraction * 100.0).round(), 93.0);
    assert!(objection.highest_proof_pa.si() < 6.87e6);
}

pub fn ringed(depth_mm: f64) -> End {
    End {
        groove_depth: mm(depth_mm),
        // Neither is in the club's table: a usual ring of this size, and a land it would not fail by.
        ring_thickness: mm(2.0),
        edge: mm(6.0),
        ..End::bare(EndKind::RetainingRing)
    }
}

pub fn threaded(pitch_mm: f64, relief_mm: f64) -> End {
    End {
        pitch_diameter: mm(pitch_mm),
        engagement: mm(12.0),
        relief_diameter: mm(relief_mm),
        ..End::bare(EndKind::ThreadedCap)
    }
}

fn same_ends(tube: Tube, end: End, meop_mpa: f64) -> Design {
    casing(tube, end.clone(), end, meop_mpa)
}

#[test]
fn lapwing_and_patchwork_are_held_by_their_bolt_holes() {
    let design = same_ends(tube("6061-T6", 2.0, 0.065), bolted(8, "10-32", 10.0), 5.9);
    let found = judged(&design);
    weakest_is(&found, Mode::HoleBearing, 13.9, 2.35);
    assert!(found.objections.is_empty() && found.assumed.is_empty(), "{found:?}");
}

#[test]
fn bracken_is_held_by_its_tube_and_loses_most_of_it_in_the_hot_band() {
    let design = same_ends(tube("DOM steel", 2.5, 0.065), threaded(61.0, 61.7), 6.6);
    let found = judged(&design);
    weakest_is(&found, Mode::TubeWall, 24.3, 3.7);
    assert!(!found.assumed.is_empty(), "an uncertified steel must be flagged");
    let band = LocalState {
        spots: vec![proofmark::strength::LocalSpot {
            place: "station 230-320".into(),
            remaining_wall: Some(Length::mm(1.35)),
            yield_strength: Some(Stress::mpa(205.0)),
            beside_weld: false,
        }],
        ..LocalState::default()
    };
    let hurt = margins(&design, None, &band).unwrap();
    // The club's table has 9.2, a thin-wall figure on the inside diameter; its own formula gives 9.85.
    weakest_is(&hurt, Mode::TubeWall, 9.85, 1.49);
    assert_eq!(hurt.thinnest().unwrap().place, "station 230-320");
}

#[test]
fn juniper_heron_and_marigold_are_held_by_their_grooves() {
    for (od_in, wall_in, depth_mm, meop_mpa, yield_mpa, factor) in [
        (2.125, 0.120, 1.2, 5.9, 18.6, 3.15),
        (2.625, 0.125, 1.2, 6.0, 14.7, 2.44),
        (1.750, 0.095, 0.9, 4.9, 16.8, 3.43),
    ] {
        let design = same_ends(tube("6061-T6", od_in, wall_in), ringed(depth_mm), meop_mpa);
        weakest_is(&judged(&design), Mode::GrooveBearing, yield_mpa, factor);
    }
}

#[test]
fn herons_hot_spot_leaves_its_wall_at_18_7() {
    let metal = proofmark::design::material::find("6061-T6").unwrap();
    let spot = proofmark::design::derate::local_strength(metal, Stress::mpa(241.0), 74.0, None).unwrap();
    assert!((spot.fraction - 0.74).abs() < 0.005);
    let local = LocalState {
        spots: vec![proofmark::strength::LocalSpot {
            place: "station 250, 90 deg".into(),
            yield_strength: Some(spot.yield_pa),
            ..Default::default()
        }],
        ..LocalState::default()
    };
    let design = same_ends(tube("6061-T6", 2.625, 0.125), ringed(1.2), 4.0);
    let found = margins(&design, None, &local).unwrap();
    assert_eq!(found.weakest, Mode::GrooveBearing);
    let wall = found.modes.iter().find(|it| it.mode == Mode::TubeWall).unwrap();
    assert_eq!(wall.place, "station 250, 90 deg");
    assert!((wall.yield_pressure_pa.as_mpa() - 18.7).abs() < 0.1);
}

#[test]
fn finch_is_held_by_its_tube_until_gas_passes_the_seal() {
    // Its relief is worked back from the club's 18.4 MPa.
    let found = judged(&same_ends(tube("6061-T6", 1.75, 0.095), threaded(41.0, 41.41), 4.9));
    weakest_is(&found, Mode::TubeWall, 28.6, 5.8);
    let relief = found.contingent.first().unwrap();
    assert_eq!(relief.mode, Mode::ThreadRelief);
    assert!((relief.yield_pressure_pa.as_mpa() / 18.4 - 1.0).abs() < 0.01);
}

#[test]
fn quarry_is_held_by_its_bolt_holes() {
    let design = same_ends(tube("6061-T6", 3.0, 0.125), bolted(10, "1/4-28", 12.7), 6.3);
    weakest_is(&judged(&design), Mode::HoleBearing, 20.3, 3.22);
}
