//! Published values of pipe, threads, closures, fits and fatigue; the source stands beside each.

use proofmark::design::{PlateEdge, bolt::BoltSize, pipe, thread};
use proofmark::quantity::{AbsolutePressure, Length, Quantity, Stress, Volume};
use proofmark::strength::fatigue::FatigueCurve;
use proofmark::strength::fits::{FitLoad, PressFitInput};
use proofmark::strength::plate::PlateLoad;
use proofmark::strength::{bolted, energy, fatigue, fits, plate, ring, threaded};

use super::published::{IN, LBF, PSI, close, inches, psi};

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
