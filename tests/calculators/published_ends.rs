//! Ends, fits, class, distance and units against published values; the source stands beside each.

use super::{FT, IN, LBF, PSI, calc, close, near, number, try_calc};
use proofmark::desk::calculators::Item;

fn half_inch_thread(more: &[&'static str]) -> Vec<&'static str> {
    let mut words = vec![
        "tpi=13",
        "engagement=1 in",
        "external_major_min=0.4876 in",
        "external_pitch_min=0.4435 in",
        "internal_minor_max=0.434 in",
        "internal_pitch_max=0.4565 in",
    ];
    words.extend(more);
    words
}

#[test]
fn thread_shear_areas_of_a_half_inch_bolt() {
    // FED-STD-H28/2B, 1/2-13 UNC-2A/2B, one inch engaged, within 0.2 %.
    let at = calc("thread-strip", &half_inch_thread(&[]));
    close(at.number("external_area_m2").unwrap() / IN.powi(2), 0.7789, 2e-3);
    close(at.number("internal_area_m2").unwrap() / IN.powi(2), 1.1235, 2e-3);
    assert!(at.get("governs").is_none());
    // Engagement for twice the stress area of 0.1419 in2: 0.3643 in.
    close(2.0 * 0.1419 / (at.number("external_area_m2").unwrap() / IN.powi(2)), 0.3643, 2e-3);
    // With strengths the loads follow, and a weak bore governs.
    let loaded = calc("thread-strip", &half_inch_thread(&["external_shear=75 ksi", "internal_shear=20 ksi"]));
    close(loaded.number("external_load_n").unwrap() / LBF, 0.7789 * 75e3, 2e-3);
    close(loaded.number("internal_load_n").unwrap() / LBF, 1.1235 * 20e3, 2e-3);
    assert_eq!(loaded.get("governs"), Some(&Item::Text("internal".to_owned())));
}

#[test]
fn flat_plates_of_both_edges() {
    // Roark Table 11.2 cases 10a and 10b, within 0.05 %.
    for (edge, stress, deflection) in
        [("edge=clamped", 12_000.0, 0.0021386), ("edge=supported", 19_980.0, 0.0085706)]
    {
        let at = calc(
            "flat-plate",
            &[
                "radius=2 in",
                "thickness=0.5 in",
                "pressure=1000 psi",
                "modulus=10e6 psi",
                "poisson=0.33",
                edge,
            ],
        );
        close(at.number("stress_pa").unwrap() / PSI, stress, 5e-4);
        close(at.number("deflection_m").unwrap() / IN, deflection, 5e-4);
    }
    // ASME BPVC VIII-1 UG-34(c)(2), within 0.05 %.
    let head = ["diameter=4 in", "pressure=1000 psi", "allowable=10 ksi", "factor=0.33"];
    close(number("flat-head", &head, "thickness_m") / IN, 0.7266, 5e-4);
}

#[test]
fn retaining_rings_as_their_makers_rate_them() {
    // Ring data sheet 5001-068, within 0.1 % (it takes pi as 3.14): 1283 and 3402 lbf.
    let at = calc(
        "retaining-ring",
        &[
            "bore=0.688 in",
            "groove_depth=0.022 in",
            "groove_yield=45 ksi",
            "ring_thickness=0.035 in",
            "ring_shear=150 ksi",
            "groove_factor=1.2",
            "ring_factor=1.2",
        ],
    );
    close(at.number("groove_load_n").unwrap() / LBF, 1283.0, 1e-3);
    close(at.number("ring_load_n").unwrap() / LBF, 3402.0, 1e-3);
    assert_eq!(at.get("governs"), Some(&Item::Text("groove".to_owned())));
    // Two-turn spiral ring, 1.969 in: 4729 lbf on the groove, within 0.1 %; the ring is any ring.
    let words = [
        "bore=1.969 in",
        "groove_depth=0.034 in",
        "groove_yield=45 ksi",
        "ring_thickness=0.05 in",
        "ring_shear=126 ksi",
    ];
    close(number("retaining-ring", &words, "groove_load_n") / LBF, 4729.0, 1e-3);
}

#[test]
fn eight_bolts_in_three_inch_pipe() {
    // NASA RP-1228 and the bearing definition of MIL-HDBK-5, within 0.1 %.
    let at = calc(
        "radial-bolts",
        &[
            "pressure=1000 psi",
            "seal_diameter=3.068 in",
            "count=8",
            "bolt_diameter=0.25 in",
            "bolt_minor=0.1887 in",
            "wall=0.216 in",
            "edge=0.5 in",
            "od=3.5 in",
        ],
    );
    close(at.number("end_load_n").unwrap() / LBF, 7392.7, 1e-3);
    close(at.number("load_per_bolt_n").unwrap() / LBF, 924.1, 1e-3);
    for (key, psi) in [
        ("shear_minor_pa", 33_043.0),
        ("shear_nominal_pa", 18_825.0),
        ("bearing_pa", 17_113.0),
        ("tear_out_pa", 5_704.0),
        ("net_section_pa", 4_115.0),
    ] {
        close(at.number(key).unwrap() / PSI, psi, 1e-3);
    }
}

#[test]
fn interference_fits() {
    let steel = |modulus: &str, poisson: &str| {
        [
            format!("hub_modulus={modulus}"),
            format!("shaft_modulus={modulus}"),
            format!("hub_poisson={poisson}"),
            format!("shaft_poisson={poisson}"),
        ]
    };
    let run = |own: &[&str], metal: &[String; 4]| {
        let words: Vec<&str> = own.iter().copied().chain(metal.iter().map(String::as_str)).collect();
        calc("press-fit", &words)
    };
    // Timoshenko, built-up cylinder: radii 4, 6, 8 in, 0.005 in RADIAL: 4050 psi, within 0.1 %.
    let joint = ["diameter=12 in", "hub_od=16 in", "shaft_id=8 in", "interference=0.010 in"];
    let built_up = run(&joint, &steel("30e6 psi", "0.3"));
    close(built_up.number("contact_pressure_pa").unwrap() / PSI, 4050.0, 1e-3);
    // Compound cylinder 150/250/300 mm at 10 MPa (textbook problem): 0.09588 mm DIAMETRAL, within 0.2 %. The hub
    // alone at that pressure has a bore hoop of 10 (300^2 + 250^2)/(300^2 - 250^2) MPa.
    let hoop = 10.0 * (300f64.powi(2) + 250f64.powi(2)) / (300f64.powi(2) - 250f64.powi(2));
    let wanted = format!("hub_bore_hoop={hoop} MPa");
    let joint = ["diameter=250 mm", "hub_od=300 mm", "shaft_id=150 mm", wanted.as_str()];
    let compound = run(&joint, &steel("200 GPa", "0.3"));
    close(compound.number("contact_pressure_pa").unwrap(), 10e6, 1e-9);
    close(compound.number("interference_m").unwrap(), 0.09588e-3, 2e-3);
    let words = ["diameter=250 mm", "interference=0.09588 mm", "expansion=1.17e-5"];
    close(number("shrink-temperature", &words, "temperature_rise_k"), 32.8, 2e-3);
    // Sleeve 200/350 mm opened by 0.2 mm on diameter (textbook problem): 88.9 MPa, 175.11 MPa, within 0.1 %. A shaft
    // a million times stiffer leaves all of it to the sleeve.
    let sleeve = calc(
        "press-fit",
        &[
            "diameter=200 mm",
            "hub_od=350 mm",
            "interference=0.2 mm",
            "hub_modulus=200 GPa",
            "hub_poisson=0.28",
            "shaft_modulus=2e8 GPa",
            "shaft_poisson=0.28",
        ],
    );
    close(sleeve.number("contact_pressure_pa").unwrap(), 88.9e6, 1e-3);
    close(sleeve.number("hub_bore_hoop_pa").unwrap(), 175.11e6, 1e-3);
}

#[test]
fn letters_by_impulse() {
    // NFPA 1125, upper bound inclusive, exact.
    for (impulse, letter) in [
        ("1.25", "1/2A"),
        ("1.26", "A"),
        ("2.5", "A"),
        ("2.51", "B"),
        ("160", "G"),
        ("160.01", "H"),
        ("640", "I"),
        ("640.01", "J"),
        ("10240", "M"),
        ("10240.01", "N"),
    ] {
        let at = calc("impulse-class", &[&format!("impulse={impulse} N·s")]);
        assert_eq!(at.get("letter"), Some(&Item::Text(letter.to_owned())), "{impulse}");
    }
    let o = calc("impulse-class", &["impulse=40960 Ns"]);
    assert_eq!((o.number("lower_ns"), o.number("upper_ns")), (Some(20_480.0), Some(40_960.0)));
    assert_eq!(o.number("percent_of_class"), Some(100.0));
}

#[test]
fn distances_of_two_tables() {
    let feet = |table: &str, arrangement: &str, impulse: &str| {
        let words =
            [format!("impulse={impulse} Ns"), format!("table={table}"), format!("arrangement={arrangement}")];
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        number("standoff", &words, "distance_m") / FT
    };
    // Tripoli Rocketry Association, Research Safety Code, May 2016: A-J, L, M, N, O.
    for (impulse, single, complex) in [
        ("1280", 200.0, 250.0),
        ("5120", 300.0, 500.0),
        ("10240", 500.0, 1000.0),
        ("20480", 1000.0, 1500.0),
        ("40960", 1500.0, 2000.0),
    ] {
        near(feet("research", "single", impulse), single, 1e-9);
        near(feet("research", "complex", impulse), complex, 1e-9);
    }
    // NFPA 1127: H, I, J, K, L, M, N, O.
    for (impulse, single, complex) in [
        ("320", 100.0, 200.0),
        ("640", 100.0, 200.0),
        ("1280", 100.0, 200.0),
        ("2560", 200.0, 300.0),
        ("5120", 300.0, 500.0),
        ("10240", 500.0, 1000.0),
        ("20480", 1000.0, 1500.0),
        ("40960", 1500.0, 2000.0),
    ] {
        near(feet("commercial", "single", impulse), single, 1e-9);
        near(feet("commercial", "complex", impulse), complex, 1e-9);
    }
    let doubled = ["impulse=4152 Ns", "table=research", "arrangement=single", "multiplier=2"];
    let at = calc("standoff", &doubled);
    near(at.number("distance_m").unwrap() / FT, 600.0, 1e-9);
    assert_eq!(at.get("edition"), Some(&Item::Text("May 2016".to_owned())));
    assert!(matches!(at.get("source"), Some(Item::Text(text)) if text.contains("Tripoli")));
    let over = ["impulse=20481 Ns", "table=california", "arrangement=single"];
    assert_eq!(try_calc("standoff", &over).unwrap_err()[0].field, "impulse");
}

#[test]
fn exact_conversions() {
    // NIST SP 811 Appendix B, within 1e-9.
    for (value, to, si) in [
        ("1 lbf", "N", 4.448_221_615_260_5),
        ("1 psi", "Pa", 6_894.757_293_168),
        ("1 in", "m", 0.0254),
        ("1 lb", "kg", 0.453_592_37),
        ("1 oz", "kg", 0.028_349_523_125),
        ("1 atm", "Pa", 101_325.0),
        ("1 lbf·s", "N·s", 4.448_221_615_260_5),
        ("1 in3", "m3", 1.638_706_4e-5),
        ("1 ft", "m", 0.3048),
        ("1000 psi", "MPa", 6.894_757_293_168),
        ("#7 drill", "mm", 5.1054),
        ("U drill", "in", 0.368),
    ] {
        close(number("convert", &[&format!("value={value}"), &format!("to={to}")], "value"), si, 1e-9);
    }
}
