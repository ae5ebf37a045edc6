//! Published values; the source stands beside each. Tolerances follow the digits printed.

use proofmark::design::wall::TubeSize;
use proofmark::design::{ProductForm, derate, material};
use proofmark::quantity::{GaugePressure, Length, Quantity, Stress, Temperature, Volume};
use proofmark::strength::growth::{Elastic, WATER_COMPRESSIBILITY_PER_PA};
use proofmark::strength::{cylinder, defect, growth, proof, tube};

pub const PSI: f64 = 6_894.757_293_168;
pub const LBF: f64 = 4.448_221_615_260_5;
pub const IN: f64 = 0.0254;
const CC: f64 = 1e-6;

pub fn close(got: f64, wanted: f64, relative: f64) {
    assert!((got - wanted).abs() <= relative * wanted.abs(), "{got} against {wanted}");
}

pub fn psi(value: f64) -> GaugePressure {
    GaugePressure::from_si(value * PSI)
}

pub fn inches(value: f64) -> Length {
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
            let depth = defect::gouge_limit(Some(inches(wall_in))).unwrap().depth_m;
            assert!((depth.si() / IN - depth_in).abs() < 6e-5);
        }
        assert_eq!(defect::gouge_limit(None).unwrap().depth_m, inches(0.031));
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
