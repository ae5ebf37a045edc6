//! Nozzle, chamber, grain and air against published values; the source stands beside each.

use super::{calc, close, near, number};
use proofmark::ballistics::STANDARD_GRAVITY_M_S2;

#[test]
fn isentropic_tables() {
    // NACA Report 1135, ratio of heats 1.4, within 0.05 %.
    for (mach, area, pressure) in [(1.5, 1.1762, 0.2724), (2.0, 1.6875, 0.1278), (3.0, 4.2346, 0.02722)] {
        let at = calc("nozzle-flow", &["ratio_of_heats=1.4", &format!("mach={mach}")]);
        close(at.number("area_ratio").unwrap(), area, 5e-4);
        close(at.number("pressure_ratio").unwrap(), pressure, 5e-4);
    }
    // Isentropic relations at 1.2, root to 1e-12, within 0.02 %.
    for (area, mach, pressure) in [(4, 2.61945, 0.043513), (8, 3.1219, 0.016869)] {
        let at = calc("nozzle-flow", &["ratio_of_heats=1.2", &format!("area_ratio={area}")]);
        close(at.number("mach").unwrap(), mach, 2e-4);
        close(at.number("pressure_ratio").unwrap(), pressure, 2e-4);
    }
}

#[test]
fn sutton_example_3_3() {
    // Sutton and Biblarz 7e, Example 3-3, within 0.2 %.
    let at = calc(
        "ideal-motor",
        &[
            "chamber_pressure=2.068 MPa abs",
            "chamber_temperature=2800 K",
            "gas_constant=355.4 J/(kg·K)",
            "ratio_of_heats=1.3",
            "ambient=0.002549 MPa",
            "throat_area=13.875 cm2",
        ],
    );
    for (key, wanted) in [
        ("exit_velocity_m_s", 2605.0),
        ("characteristic_velocity_m_s", 1495.0),
        ("exit_mach", 4.9611),
        ("area_ratio", 44.18),
        ("thrust_n", 5000.0),
    ] {
        close(at.number(key).unwrap(), wanted, 2e-3);
    }
    // Exit temperature 596.8 K; throat at 1.129 MPa.
    let ratio = format!("pressure_ratio={}", 0.002549 / 2.068);
    let exit = calc("nozzle-flow", &["ratio_of_heats=1.3", &ratio]);
    close(exit.number("temperature_ratio").unwrap() * 2800.0, 596.8, 2e-3);
    close(number("nozzle-flow", &["ratio_of_heats=1.3", "mach=1"], "pressure_ratio") * 2.068, 1.129, 2e-3);
    // Throat velocity 1060 m/s: Mach 1 at the throat's temperature.
    let throat = number("nozzle-flow", &["ratio_of_heats=1.3", "mach=1"], "temperature_ratio");
    close((1.3 * 355.4 * 2800.0 * throat).sqrt(), 1060.0, 2e-3);
}

#[test]
fn sutton_example_3_2() {
    // Sutton and Biblarz 7e, Example 3-2, within 0.2 %: 1827 m/s, 1827 N at 1 kg/s, 186 s.
    let at = calc(
        "ideal-motor",
        &[
            "chamber_pressure=2.068 MPa abs",
            "chamber_temperature=2222 K",
            "gas_constant=345.7 J/(kg·K)",
            "ratio_of_heats=1.3",
            "ambient=0.1013 MPa",
            "mass_flow=1 kg/s",
        ],
    );
    close(at.number("exit_velocity_m_s").unwrap(), 1827.0, 2e-3);
    close(at.number("thrust_n").unwrap(), 1827.0, 2e-3);
    close(at.number("specific_impulse_s").unwrap(), 186.0, 2e-3);
}

#[test]
fn characteristic_velocity_function() {
    // Gamma, within 0.00002; c* = sqrt(R T)/Gamma, here with R T = 400 x 2500.
    for (k, gamma) in [(1.15, 0.63864), (1.2, 0.64853), (1.25, 0.65806), (1.3, 0.66726), (1.4, 0.68473)] {
        let k = format!("ratio_of_heats={k}");
        let words = [
            "chamber_pressure=5 MPa abs",
            "chamber_temperature=2500 K",
            "gas_constant=400 J/(kg·K)",
            "ambient=101325 Pa",
            k.as_str(),
        ];
        near(1000.0 / number("ideal-motor", &words, "characteristic_velocity_m_s"), gamma, 2e-5);
    }
    // A molar mass says the same as its gas constant: 8.314462618/400 kg/mol.
    let words = [
        "chamber_pressure=5 MPa abs",
        "chamber_temperature=2500 K",
        "molar_mass=20.786156545 g/mol",
        "ambient=101325 Pa",
        "ratio_of_heats=1.2",
    ];
    near(1000.0 / number("ideal-motor", &words, "characteristic_velocity_m_s"), 0.64853, 2e-5);
}

#[test]
fn impulse_and_throat_from_coefficient() {
    // Amrita University exam 2018 Q5, within 0.1 %: c* 2000, CF 1.5 give 305.9 s; 5 kN at 10 MPa a 20.6 mm throat.
    close(2000.0 * 1.5 / STANDARD_GRAVITY_M_S2, 305.9, 1e-3);
    let diameter_m: f64 = (5000.0 / (1.5 * 10e6) / std::f64::consts::FRAC_PI_4).sqrt();
    close(diameter_m, 20.6e-3, 1e-3);
}

#[test]
fn thrust_coefficients() {
    // Sutton Eq. 3-30, k 1.2, area ratio 8, pc/pa 70, within 0.05 %.
    let words = ["ratio_of_heats=1.2", "area_ratio=8", "chamber_pressure=7 MPa abs", "ambient=0.1 MPa"];
    close(number("thrust-coefficient", &words, "thrust_coefficient"), 1.599, 5e-4);
    close(number("thrust-coefficient", &words, "vacuum_coefficient"), 1.7133, 5e-4);
    // Sutton Table 3-3, within 0.0001.
    for (degrees, factor) in [(0, 1.0), (10, 0.9924), (15, 0.983), (20, 0.9698)] {
        let angle = format!("half_angle={degrees} deg");
        let words: Vec<&str> = words.iter().copied().chain([angle.as_str()]).collect();
        near(number("thrust-coefficient", &words, "divergence_factor"), factor, 1e-4);
    }
    // Over-expanded: 0.4 of the ambient at the exit is the line (Summerfield 1954).
    let low = ["ratio_of_heats=1.2", "area_ratio=20", "chamber_pressure=3 MPa abs", "ambient=101325 Pa"];
    assert!(calc("thrust-coefficient", &low).warnings.iter().any(|it| it.contains("leave the wall")));
    assert!(calc("thrust-coefficient", &words).warnings.is_empty());
}

#[test]
fn equilibrium_pressure_of_an_exam_question() {
    // GATE aerospace: r = 6.65e-3 p^0.45 mm/s, p in Pa, is 6.876 mm/s at 50 bar; throat 37.88 mm, within 0.1 %.
    close(6.65e-3 * 5e6_f64.powf(0.45), 6.876, 1e-3);
    let rate = format!("burn_rate={} mm/s at 50 bar", 6.65e-3 * 5e6_f64.powf(0.45));
    let with_throat = |throat: &str| {
        calc(
            "chamber-pressure",
            &[
                "burning_area=0.314 m2",
                throat,
                "density=1800 kg/m3",
                "characteristic_velocity=1450 m/s",
                &rate,
                "exponent=0.45",
            ],
        )
    };
    // The pressure goes with the throat to the power -2/(1 - n): 0.1 % of throat is 0.36 % of pressure.
    let at = with_throat("throat=37.88 mm");
    close(at.number("pressure_pa").unwrap(), 5e6, 4e-3);
    close(at.number("burn_rate_m_s").unwrap(), 6.876e-3, 2e-3);
    close(
        at.number("area_ratio_kn").unwrap(),
        0.314 / (std::f64::consts::FRAC_PI_4 * 0.03788_f64.powi(2)),
        1e-12,
    );
}

#[test]
fn a_neutral_grain() {
    // Geometry, ends burning, outside inhibited, within 0.01 %.
    let at = calc("bates", &["count=4", "outside_diameter=75 mm", "core=25 mm", "length=125 mm"]);
    for (key, wanted) in [
        ("area_start_m2", 70_685.8e-6),
        ("area_end_m2", 70_685.8e-6),
        ("area_max_m2", 82_466.8e-6),
        ("web_at_max_m", 12.5e-3),
        ("web_m", 25e-3),
        ("neutral_length_m", 125e-3),
        ("volume_m3", 1_963_495.4e-9),
    ] {
        close(at.number(key).unwrap(), wanted, 1e-4);
    }
    close(at.number("area_max_m2").unwrap() / at.number("area_start_m2").unwrap(), 7.0 / 6.0, 1e-4);
    let inhibited = ["count=1", "outside_diameter=75 mm", "core=25 mm", "length=125 mm", "inhibited_ends=2"];
    let inhibited = calc("bates", &inhibited);
    assert!(inhibited.get("neutral_length_m").is_none());
    close(inhibited.number("area_end_m2").unwrap(), 3.0 * inhibited.number("area_start_m2").unwrap(), 1e-12);
}

#[test]
fn standard_atmosphere_at_geometric_altitude() {
    // U.S. Standard Atmosphere 1976, within 2 Pa; 11 km and 20 km from its Table I, within 0.1 %.
    for (altitude, pascals) in [(0, 101_325.0), (500, 95_461.0), (1000, 89_876.0), (2000, 79_501.0)] {
        let words = [format!("altitude={altitude} m")];
        near(number("atmosphere", &[&words[0]], "pressure_pa"), pascals, 2.0);
    }
    // From memory: 22,700 Pa and 216.77 K at 11 km; 5529 Pa and 216.65 K at 20 km; 287.1 Pa and 250.35 K at 40 km.
    for (altitude, pascals, kelvin) in [(11, 22_700.0, 216.77), (20, 5_529.3, 216.65), (40, 287.14, 250.35)] {
        let at = calc("atmosphere", &[&format!("altitude={altitude} km")]);
        close(at.number("pressure_pa").unwrap(), pascals, 1e-3);
        near(at.number("temperature_k").unwrap(), kelvin, 0.01);
    }
    close(number("atmosphere", &["altitude=-400 m"], "pressure_pa"), 106_223.0, 1e-3);
}
