//! Published values; the source stands beside each. Tolerances follow the digits printed.

use proofmark::design::wall::TubeSize;
use proofmark::design::{PlateEdge, ProductForm, bolt::BoltSize, derate, material, pipe, thread};
use proofmark::quantity::{AbsolutePressure, GaugePressure, Length, Quantity, Stress, Temperature, Volume};
use proofmark::strength::fatigue::FatigueCurve;
use proofmark::strength::fits::{FitLoad, PressFitInput};
use proofmark::strength::growth::{Elastic, WATER_COMPRESSIBILITY_PER_PA};
use proofmark::strength::plate::PlateLoad;
use proofmark::strength::{
    bolted, cylinder, energy, fatigue, fits, growth, plate, proof, ring, threaded, tube,
};

const PSI: f64 = 6_894.757_293_168;
const LBF: f64 = 4.448_221_615_260_5;
const IN: f64 = 0.0254;
const CC: f64 = 1e-6;

fn close(got: f64, wanted: f64, relative: f64) {
    assert!((got - wanted).abs() <= relative * wanted.abs(), "{got} against {wanted}");
}

fn psi(value: f64) -> GaugePressure {
    GaugePressure::from_si(value * PSI)
}

fn inches(value: f64) -> Length {
    Length::inches(value)
}

fn od_wall(od_in: f64, wall_in: f64) -> TubeSize {
    TubeSize::from_two(Some(inches(od_in)), None, Some(inches(wall_in))).unwrap()
}

fn od_id(od: Length, id: Length) -> TubeSize {
    TubeSize::from_two(Some(od), Some(id), None).unwrap()
}

mod cylinders {
    use super::*;

    #[test]
    fn scuba_tank_wall_from_tension() {
        // Gere, Mechanics of Materials 7e, Problem 8.3-1: 0.32 in of wall on the inside radius.
        let tube = TubeSize::from_two(None, Some(inches(7.0)), Some(inches(0.32))).unwrap();
        let load = cylinder::ThinWallLoad::Pressure(psi(1600.0));
        close(cylinder::thin_wall(tube, load).unwrap().hoop_inside_basis_pa.si(), 17_500.0 * PSI, 1e-9);
    }

    #[test]
    fn eight_inch_tube_thin_against_thick() {
        // Shigley, Mechanical Engineering Design, Example 3-14: 774 psi; 12,000, -774, 6390 psi.
        let tube = od_wall(8.0, 0.25);
        let load = cylinder::ThinWallLoad::Allowable(Stress::ksi(12.0));
        let p = cylinder::thin_wall(tube, load).unwrap().pressure_pa;
        close(p.si(), 774.0 * PSI, 5e-3);
        let at = cylinder::cylinder(tube, p, psi(0.0), None).unwrap();
        close(at.hoop_bore_pa.si(), 12_000.0 * PSI, 5e-3);
        close(at.radial_bore_pa.si(), -774.0 * PSI, 5e-3);
        close(at.shear_bore_pa.si(), 6390.0 * PSI, 5e-3);
        assert!(at.hoop_at_radius_pa.is_none());
    }

    #[test]
    fn pressure_on_both_sides() {
        // University thick-cylinder tutorial T2: 48, 18, -60, -30, 54, 24 MPa; 28.56, -40.56 at r = 125 mm.
        let tube = od_id(Length::mm(300.0), Length::mm(200.0));
        let (inside, outside) = (GaugePressure::mpa(60.0), GaugePressure::mpa(30.0));
        let at = cylinder::cylinder(tube, inside, outside, Some(Length::mm(125.0))).unwrap();
        for (got, wanted) in [
            (at.hoop_bore_pa, 48.0),
            (at.hoop_outside_pa, 18.0),
            (at.radial_bore_pa, -60.0),
            (at.radial_outside_pa, -30.0),
            (at.shear_bore_pa, 54.0),
            (at.shear_outside_pa, 24.0),
            (at.axial_closed_pa, -6.0),
            (at.hoop_at_radius_pa.unwrap(), 28.56),
            (at.radial_at_radius_pa.unwrap(), -40.56),
        ] {
            close(got.as_mpa(), wanted, 1e-3);
        }
    }

    #[test]
    fn outside_pressure_worked_back() {
        // Worked example, id 0.4 m, od 0.5 m, 25 MPa inside: 12.4 MPa outside gives 45 MPa at the bore.
        let tube = od_id(Length::mm(500.0), Length::mm(400.0));
        let at = cylinder::cylinder(tube, GaugePressure::mpa(25.0), GaugePressure::mpa(12.4), None).unwrap();
        close(at.hoop_bore_pa.as_mpa(), 45.0, 1e-3);
    }

    #[test]
    fn barlow_on_the_outside_diameter() {
        // 49 CFR 192.105 with F 0.72: 2654.4 psi for 4.5 x 0.237 in of 35,000 psi.
        let at = tube::yield_pressure(od_wall(4.5, 0.237), Stress::ksi(35.0)).unwrap();
        close(at.outside_diameter_pa.si() * 0.72, 2654.4 * PSI, 5e-4);
    }

    #[test]
    fn yield_on_four_bases_and_burst() {
        // Lamé with von Mises 4680.5; Barlow 4320.0, 4604.1, 4928.3; Faupel 1956 5744.4 psi.
        let size = od_id(inches(3.5), inches(3.068));
        let at = tube::yield_pressure(size, Stress::ksi(35.0)).unwrap();
        close(at.von_mises_bore_pa.si(), 4680.5 * PSI, 5e-4);
        close(at.outside_diameter_pa.si(), 4320.0 * PSI, 5e-4);
        close(at.mean_diameter_pa.si(), 4604.1 * PSI, 5e-4);
        close(at.inside_diameter_pa.si(), 4928.3 * PSI, 5e-4);
        let burst = tube::burst_pressure(size, Stress::ksi(35.0), Stress::ksi(38.0)).unwrap();
        close(burst.faupel_pa.si(), 5744.4 * PSI, 5e-4);
        // At that pressure the Lamé stresses do reach the yield strength.
        let stress = cylinder::cylinder(size, at.von_mises_bore_pa, psi(0.0), None).unwrap();
        close(stress.von_mises_bore_pa.si(), 35_000.0 * PSI, 1e-12);
    }
}

mod hydro {
    use super::*;

    #[test]
    fn permanent_set_passes_at_exactly_the_limit() {
        // 49 CFR 180.203 and 180.205: 9, 15 and 15.1 of 150 cc.
        for (permanent, elastic, percent, passes) in
            [(9.0, 141.0, 6.0, true), (15.0, 135.0, 10.0, true), (15.1, 134.9, 10.0667, false)]
        {
            let at =
                proof::permanent_set(Volume::from_si(150.0 * CC), Volume::from_si(permanent * CC)).unwrap();
            close(at.elastic_m3.si(), elastic * CC, 1e-9);
            close(at.percent, percent, 1e-5);
            assert_eq!(at.passes, passes);
        }
        // Bracken's last proof: 0.49 of 2.91 cc.
        let bracken = proof::permanent_set(Volume::from_si(2.91 * CC), Volume::from_si(0.49 * CC)).unwrap();
        assert!(!bracken.passes && (bracken.percent - 16.8).abs() < 0.1);
    }

    #[test]
    fn repeats_and_factors() {
        // 49 CFR 180.205(g)(5): 5000 -> 5100, 800 -> 880 psi.
        close(proof::repeat_test(psi(5000.0)).unwrap().highest_repeat_pa.si(), 5100.0 * PSI, 1e-9);
        close(proof::repeat_test(psi(800.0)).unwrap().highest_repeat_pa.si(), 880.0 * PSI, 1e-9);
        // MIL-STD-1522A: 1.5 -> 1.25, 2.0 -> 1.5.
        assert_eq!(proof::proof_factor(1.5).unwrap().proof_factor, 1.25);
        assert_eq!(proof::proof_factor(2.0).unwrap().proof_factor, 1.5);
        assert_eq!(proof::proof_factor(4.0).unwrap().proof_factor, 1.5);
    }

    #[test]
    fn elastic_expansion_of_a_closed_cylinder() {
        // Lamé closed ends, water 3.17e-6 per psi: 17.983 thin, 19.136 thick, 20.655 cc water.
        let metal = Elastic { modulus: Stress::ksi(10_000.0), poisson: 0.33 };
        let beta = Some(3.17e-6 / PSI);
        let at =
            growth::water_expansion(od_wall(4.0, 0.125), inches(24.0), psi(1500.0), metal, beta).unwrap();
        close(at.volume_m3.si(), 4343.75 * CC, 1e-3);
        close(at.growth_thin_m3.si(), 17.983 * CC, 1e-3);
        close(at.growth_thick_m3.si(), 19.136 * CC, 1e-3);
        close(at.water_compression_m3.si(), 20.655 * CC, 1e-3);
    }

    #[test]
    fn the_clubs_hydro_figures() {
        // Quarry's predictions at each step, micrometres, from the club's formulas (its modulus 68.9 GPa, rounded).
        let metal = Elastic { modulus: Stress::ksi(10_000.0), poisson: 0.33 };
        for (mpa, micrometres) in
            [(1.0, 9.7), (3.0, 29.1), (4.7, 45.7), (6.3, 61.2), (7.9, 76.8), (9.45, 91.8)]
        {
            let p = GaugePressure::mpa(mpa);
            let grown = growth::elastic_growth_outside(od_wall(3.0, 0.125), metal, p).unwrap();
            assert!((grown.si() * 1e6 - micrometres).abs() < 0.1, "{} at {mpa}", grown.si() * 1e6);
        }
        // Bracken's pump: 6.22 cc of the water pumped was its own compression.
        let water = growth::water_uptake(
            Volume::from_si(1.37e-3),
            GaugePressure::mpa(9.9),
            WATER_COMPRESSIBILITY_PER_PA,
        );
        close(water.unwrap().si(), 6.22 * CC, 5e-3);
    }

    #[test]
    fn gouges() {
        // CGA C-6.1 4.2: 0.15 of the wall, 0.031 in where it is unknown.
        for (wall_in, depth_in) in [(0.471, 0.0707), (0.735, 0.1103)] {
            let depth = fatigue::gouge_limit(Some(inches(wall_in))).unwrap().depth_m;
            assert!((depth.si() / IN - depth_in).abs() < 6e-5);
        }
        assert_eq!(fatigue::gouge_limit(None).unwrap().depth_m, inches(0.031));
    }
}

mod metals {
    use super::*;

    #[test]
    fn minima_by_form() {
        // EN 1999-1-1:2007 Table 3.2b; ASTM B221; ASTM A36; Shigley A-20; ASTM A240; MIL-HDBK-5J.
        let ksi = |it: f64| it * 6.894_757;
        for (name, form, fy, fu) in [
            ("6061-T6", Some(ProductForm::Extruded), 240.0, 260.0),
            ("6061-T6", Some(ProductForm::DrawnTube), 240.0, 260.0),
            ("6063-T6", Some(ProductForm::Extruded), 160.0, 195.0),
            ("6063-T6", Some(ProductForm::DrawnTube), 190.0, 220.0),
            ("6063-T6", None, 160.0, 195.0),
            ("6063-T5", None, ksi(16.0), ksi(22.0)),
            ("6061-T4", None, ksi(16.0), ksi(26.0)),
            ("A36", None, ksi(36.0), ksi(58.0)),
            ("1018 CD", None, ksi(54.0), ksi(64.0)),
            ("1020 HR", None, ksi(30.0), ksi(55.0)),
            ("1020 CD", None, ksi(57.0), ksi(68.0)),
            ("304 annealed", None, ksi(30.0), ksi(75.0)),
            ("4130 normalized", None, ksi(75.0), ksi(95.0)),
        ] {
            let card = material::card(name, form, None).unwrap();
            // ASTM ksi are rounded down to whole MPa.
            close(card.yield_pa.as_mpa(), fy, 4e-3);
            close(card.ultimate_pa.as_mpa(), fu, 5e-3);
            assert_eq!(card.basis, material::StrengthBasis::Minimum);
        }
    }

    #[test]
    fn welded_strength_is_the_lower_pair_or_refused() {
        let welded = |name| {
            let card = material::card(name, None, None).unwrap();
            (card.welded_yield_pa.map(Stress::as_mpa), card.welded_ultimate_pa.map(Stress::as_mpa))
        };
        // EN gives 115/175; the Aluminum Design Manual's yield and AWS D1.2's 24 ksi are lower.
        assert_eq!(welded("6061-T6"), (Some(105.0), Some(165.0)));
        // EN 1999-1-1:2007 Table 3.2b.
        assert_eq!(welded("6063-T6"), (Some(65.0), Some(110.0)));
        for name in ["7075-T6", "2024-T3"] {
            assert_eq!(welded(name), (None, None));
            assert!(!material::card(name, None, None).unwrap().warnings.is_empty());
        }
        let json = serde_json::to_value(material::card("7075-T6", None, None).unwrap()).unwrap();
        assert!(json.get("welded_yield_pa").is_none() && json["basis"] == "minimum");
    }

    #[test]
    fn typical_values_stay_apart() {
        // Aluminum Association: 40/45 ksi typical, 14 % above the minimum.
        let metal = material::find("6061-T6").unwrap();
        let (typical, _, _) = metal.typical.unwrap();
        assert!(typical.si() > metal.minimum(None).unwrap().yield_strength.si() * 1.14);
        close(metal.modulus.si(), 1e7 * PSI, 1e-9);
        close(metal.density_kg_m3, 0.0975 * 27_679.904_71, 1e-9);
        assert_eq!((metal.expansion_per_k, metal.poisson), (2.36e-5, 0.33));
    }

    #[test]
    fn strength_at_temperature() {
        // Aluminum Standards and Data, 6061-T6 typical yield after 10,000 h.
        let metal = material::find("6061-T6").unwrap();
        for (fahrenheit, fraction) in [
            (75.0, 1.0),
            (212.0, 0.95),
            (300.0, 0.775),
            (400.0, 0.375),
            (500.0, 0.125),
            (600.0, 0.0675),
            (700.0, 0.045),
        ] {
            let at = Temperature::celsius((fahrenheit - 32.0) / 1.8);
            close(derate::yield_fraction(metal, at).unwrap().fraction, fraction, 1e-9);
        }
        assert!(derate::yield_fraction(metal, Temperature::celsius(400.0)).is_err());
        // 49 CFR 180.203.
        assert!(derate::overheated(material::Family::Aluminium, Temperature::celsius(176.0)));
        assert!(!derate::overheated(material::Family::Aluminium, Temperature::celsius(175.9)));
        assert!(derate::overheated(material::Family::Steel, Temperature::celsius(343.0)));
    }

    #[test]
    fn names_are_forgiven_but_tempers_are_not_guessed() {
        for name in ["6061-T6", "6061 T6", "6061t6", "AW-6061 T6", "EN AW-6061-T6", "AA6061-T6"] {
            assert_eq!(material::find(name).unwrap().name, "6061-T6", "{name}");
        }
        assert_eq!(material::find("dom").unwrap().name, "DOM steel");
        assert_eq!(material::find("1018").unwrap().name, "1018 HR");
        for name in ["6061", "", "T6", "unobtainium", "6061-T66"] {
            assert!(material::find(name).is_none(), "{name}");
        }
    }
}

mod pipe_and_threads {
    use super::*;

    #[test]
    fn schedule_40() {
        // ASME B36.10M sizes and weights in pounds a foot.
        for (size, od, wall, id, lb_ft) in [
            ("1", 1.315, 0.133, 1.049, 1.68),
            ("1.5", 1.9, 0.145, 1.61, 2.72),
            ("2", 2.375, 0.154, 2.067, 3.66),
            ("3", 3.5, 0.216, 3.068, 7.58),
            ("4", 4.5, 0.237, 4.026, 10.8),
        ] {
            let at = pipe::pipe(size, "40", None).unwrap();
            for (got, wanted) in [(at.od_m, od), (at.wall_m, wall), (at.id_m, id)] {
                assert!((got.si() / IN - wanted).abs() < 5e-4, "{size}");
            }
            close(at.mass_per_length_kg_m, lb_ft * 0.453_592_37 / 0.3048, 2.5e-3);
        }
        // ASTM A53, A106, B241: 12.5 % off.
        for (size, least) in [("2", 0.1348), ("4", 0.2074)] {
            let wall = pipe::pipe(size, "STD", None).unwrap().wall_min_m;
            assert!((wall.si() / IN - least).abs() < 1e-4);
        }
        assert!(pipe::pipe("2", "41", None).unwrap_err().to_string().contains("40, 80"));
        assert_eq!(
            pipe::pipe("NPS 1 1/4 in", "10S", None).unwrap(),
            pipe::pipe("1-1/4", "10", None).unwrap()
        );
    }

    #[test]
    fn npt() {
        // ASME B1.20.1.
        for (size, l1, l2, e0, e1) in [
            ("1", 0.4, 0.6828, 1.21363, 1.23863),
            ("2", 0.436, 0.7565, 2.26902, 2.29627),
            ("3", 0.766, 1.2, 3.34063, 3.3885),
        ] {
            let at = thread::pipe_thread(size).unwrap();
            for (got, wanted) in [
                (at.hand_tight_l1_m, l1),
                (at.effective_l2_m, l2),
                (at.pitch_diameter_e0_m, e0),
                (at.pitch_diameter_e1_m, e1),
            ] {
                assert!((got.si() / IN - wanted).abs() < 1e-4, "{size}");
            }
        }
    }

    #[test]
    fn unified_basics() {
        // ASME B1.1.
        for (d, n, area, pitch, minor) in [
            (0.5, 13.0, 0.1419, 0.45, 0.4167),
            (0.75, 10.0, 0.334, 0.685, 0.6417),
            (1.0, 8.0, 0.606, 0.9188, 0.8647),
        ] {
            let at = thread::basic_thread(inches(d), inches(1.0 / n)).unwrap();
            assert!((at.stress_area_m2.si() / IN.powi(2) - area).abs() < 5e-4);
            assert!((at.pitch_diameter_m.si() / IN - pitch).abs() < 5e-4);
            assert!((at.minor_internal_m.si() / IN - minor).abs() < 5e-4);
        }
        // ASME B1.1 1/4-20: stress area 0.0318, minor area 0.0269 in2; ISO 898-1 M6: 20.1 mm2.
        let quarter = BoltSize::from_text("1/4-20 UNC").unwrap();
        close(quarter.stress_area_m2.si() / IN.powi(2), 0.0318, 2e-3);
        close(quarter.minor_area_m2.si() / IN.powi(2), 0.0269, 2e-3);
        close(BoltSize::from_text("M6").unwrap().stress_area_m2.si(), 20.1e-6, 2e-3);
    }

    #[test]
    fn bolt_names() {
        for text in ["10-32", "#10-32", "No. 10-32", "# 10 - 32 UNF", "10-32unf"] {
            assert_eq!(BoltSize::from_text(text).unwrap(), BoltSize::from_text("10-32").unwrap(), "{text}");
        }
        assert_eq!(BoltSize::from_text("m5").unwrap(), BoltSize::from_text("M5 x 0.8").unwrap());
        for text in ["", "10", "10-31", "M5x0.7", "M7", "1/4", "1/4-", "-", "Mx", "m", "é-32"] {
            assert!(BoltSize::from_text(text).unwrap_err().to_string().contains("1/4-28"), "{text}");
        }
    }

    #[test]
    fn thread_shear_areas() {
        // FED-STD-H28/2B for 1/2-13 UNC-2A/2B: 0.7789 and 1.1235 in2 an inch.
        let pair = threaded::ThreadPair {
            pitch: inches(1.0 / 13.0),
            engagement: inches(1.0),
            external_major_min: inches(0.4876),
            external_pitch_min: inches(0.4435),
            internal_minor_max: inches(0.434),
            internal_pitch_max: inches(0.4565),
            external_shear: Some(Stress::mpa(300.0)),
            internal_shear: Some(Stress::mpa(140.0)),
        };
        let at = threaded::thread_strip(&pair).unwrap();
        close(at.external_area_m2.si() / IN.powi(2), 0.7789, 2e-3);
        close(at.internal_area_m2.si() / IN.powi(2), 1.1235, 2e-3);
        assert_eq!(at.governs, Some(threaded::Thread::Internal));
        // NASA RP-1228: 4712.4 lbf.
        let pull = threaded::pull_out(inches(0.45), inches(0.5), Stress::ksi(20.0)).unwrap();
        close(pull.si(), 4712.4 * LBF, 5e-4);
    }
}

mod closures {
    use super::*;

    #[test]
    fn flat_plates_and_heads() {
        // Roark Table 11.2 cases 10a, 10b: 12,000 psi and 0.0021386 in; 19,980 psi and 0.0085706 in.
        for (edge, stress_psi, deflection_in) in
            [(PlateEdge::Clamped, 12_000.0, 0.002_138_6), (PlateEdge::Supported, 19_980.0, 0.008_570_6)]
        {
            let at = plate::flat_plate(&PlateLoad {
                radius: inches(2.0),
                thickness: inches(0.5),
                pressure: psi(1000.0),
                modulus: Stress::ksi(10_000.0),
                poisson: 0.33,
                edge,
            })
            .unwrap();
            close(at.stress_pa.si(), stress_psi * PSI, 5e-4);
            close(at.deflection_m.si(), deflection_in * IN, 5e-4);
        }
        // ASME VIII-1 UG-34(c)(2): 0.7266 in.
        let head = plate::flat_head(inches(4.0), psi(1000.0), Stress::ksi(10.0), 0.33, 1.0).unwrap();
        close(head.thickness_m.si(), 0.7266 * IN, 5e-4);
    }

    #[test]
    fn retaining_rings() {
        // Ring maker's sheet 5001-068: 1283 and 3402 lbf; another's 1.969 in ring: 4729 lbf (pi as 3.14).
        let small = ring::RetainingRing {
            bore: inches(0.688),
            groove_depth: inches(0.022),
            groove_yield: Stress::ksi(45.0),
            ring_thickness: inches(0.035),
            ring_shear: Stress::ksi(150.0),
            groove_factor: 1.2,
            ring_factor: 1.2,
            groove_safety: 2.0,
            ring_safety: 4.0,
        };
        let at = ring::retaining_ring(&small).unwrap();
        close(at.groove_load_n.si(), 1283.0 * LBF, 1e-3);
        close(at.ring_load_n.si(), 3402.0 * LBF, 1e-3);
        assert_eq!(at.governs, ring::RingLimit::Groove);
        let large = ring::RetainingRing {
            bore: inches(1.969),
            groove_depth: inches(0.034),
            groove_factor: 1.0,
            ring_factor: 1.0,
            ..small
        };
        close(ring::retaining_ring(&large).unwrap().groove_load_n.si(), 4729.0 * LBF, 1e-3);
    }

    #[test]
    fn radial_bolts() {
        // Standard bolted-joint relations (NASA RP-1228; MIL-HDBK-5 bearing).
        let at = bolted::radial_bolts(&bolted::RadialBolts {
            pressure: psi(1000.0),
            seal_diameter: inches(3.068),
            count: 8,
            bolt_diameter: inches(0.25),
            bolt_minor: Some(inches(0.1887)),
            wall: inches(0.216),
            edge: inches(0.5),
            od: Some(inches(3.5)),
        })
        .unwrap();
        close(at.end_load_n.si(), 7392.7 * LBF, 1e-3);
        close(at.load_per_bolt_n.si(), 924.1 * LBF, 1e-3);
        close(at.shear_minor_pa.unwrap().si(), 33_043.0 * PSI, 1e-3);
        close(at.shear_nominal_pa.si(), 18_825.0 * PSI, 1e-3);
        close(at.bearing_pa.si(), 17_113.0 * PSI, 1e-3);
        close(at.tear_out_pa.si(), 5704.0 * PSI, 1e-3);
        close(at.net_section_pa.si(), 4115.0 * PSI, 1e-3);
    }
}

mod fits_and_life {
    use super::*;

    #[test]
    fn interference_fits() {
        let fit = |diameter, hub_od, shaft_id, load, e_pa, nu| PressFitInput {
            diameter,
            hub_od,
            shaft_id,
            load,
            hub_modulus: e_pa,
            hub_poisson: nu,
            shaft_modulus: e_pa,
            shaft_poisson: nu,
        };
        // Timoshenko, Strength of Materials Part II: 4050 psi from 0.005 in RADIAL.
        let load = FitLoad::Interference(inches(0.010));
        let at =
            fits::press_fit(&fit(inches(12.0), inches(16.0), inches(8.0), load, Stress::ksi(30_000.0), 0.3))
                .unwrap();
        close(at.contact_pressure_pa.si(), 4050.0 * PSI, 1e-3);
        // Textbook sleeve opened 0.2 mm: 88.9 MPa, 175.11 MPa; a shaft that does not give.
        let mut stiff = fit(
            Length::mm(200.0),
            Length::mm(350.0),
            Length::mm(0.0),
            FitLoad::Interference(Length::mm(0.2)),
            Stress::mpa(200_000.0),
            0.28,
        );
        stiff.shaft_modulus = Stress::mpa(1e15);
        let at = fits::press_fit(&stiff).unwrap();
        close(at.contact_pressure_pa.as_mpa(), 88.9, 1e-3);
        close(at.hub_bore_hoop_pa.as_mpa(), 175.11, 1e-3);
        // Compound cylinder, 0.09588 mm diametral on 250 mm: 32.8 K.
        let rise = fits::shrink_temperature(Length::mm(250.0), Length::mm(0.09588), 1.17e-5, Length::mm(0.0));
        close(rise.unwrap().temperature_rise_k, 32.8, 2e-3);
    }

    #[test]
    fn lives_and_damage() {
        // MIL-HDBK-5 6061-T6 line: 82,360 at 40 ksi, 1.397e6 at 30 ksi, R = 0.
        for (ksi, cycles) in [(40.0, 82_360.0), (30.0, 1.397e6)] {
            let curve =
                FatigueCurve::Listed { material: "6061 T6".into(), max_stress: Stress::ksi(ksi), ratio: 0.0 };
            close(fatigue::fatigue_life(&curve).unwrap().cycles, cycles, 0.01);
        }
        // Palmgren-Miner: 0.045, 22.22.
        let sum = fatigue::damage_sum(&[10.0, 5.0, 100.0], &[1000.0, 200.0, 10_000.0]).unwrap();
        close(sum.damage, 0.045, 1e-12);
        close(sum.repeats_to_failure.unwrap(), 22.22, 1e-3);
        // Goodman: 17.308.
        let half = Stress::ksi(12.5);
        close(fatigue::goodman(half, half, Stress::ksi(45.0)).unwrap().si(), 17_308.0 * PSI, 5e-4);
    }

    #[test]
    fn stored_energy() {
        // Isentropic expansion (UC Berkeley EHS) and water: 34.12 kJ against 30.38 J.
        let volume = Volume::from_si(169.646 * IN.powi(3));
        let ambient = AbsolutePressure::from_si(101_325.0);
        let inside = psi(1000.0).absolute_under(101_325.0);
        let at = energy::stored_energy(inside, volume, ambient, 1.4, None).unwrap();
        close(at.gas_j, 34_120.0, 5e-3);
        close(at.water_j, 30.38, 5e-3);
    }
}
