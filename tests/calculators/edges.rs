//! At and beyond the edge of what a formula holds for: an error in units a person reads, a warning, or a number;
//! never a number that cannot be.

use super::{IN, calc, close, number, try_calc};

/// What a run is refused with: the input and the sentence.
#[track_caller]
fn refused(name: &str, words: &[&str]) -> (String, String) {
    match try_calc(name, words) {
        Ok(outcome) => panic!("{name} {words:?} gave {:?}", outcome.results),
        Err(problems) => {
            assert_eq!(problems.len(), 1, "{problems:?}");
            (problems[0].field.clone(), problems[0].message.clone())
        }
    }
}

const HALF_13: [&str; 5] = [
    "engagement=0.36 in",
    "external_major_min=0.4876 in",
    "external_pitch_min=0.4435 in",
    "internal_minor_max=0.434 in",
    "internal_pitch_max=0.4565 in",
];

#[test]
fn a_thread_tooth_is_never_thicker_than_its_pitch() {
    // A tenth of an inch of thread at a thousand threads an inch would carry more than the solid cylinder.
    let mut words = HALF_13.to_vec();
    words.push("tpi=1000");
    let (input, why) = refused("thread-strip", &words);
    assert_eq!(input, "external_pitch_min");
    assert!(why.contains("look at the pitch, 0.0254 mm"), "{why}");
    let mut words = HALF_13.to_vec();
    words.push("tpi=1");
    assert_eq!(refused("thread-strip", &words).0, "engagement");
    // The major diameter of another thread altogether.
    let words =
        ["tpi=13", "engagement=0.36 in", "external_major_min=1 in", HALF_13[2], HALF_13[3], HALF_13[4]];
    let (input, why) = refused("thread-strip", &words);
    assert_eq!(input, "external_major_min");
    assert!(why.contains("internal_pitch_max"), "{why}");
    // The thread itself is still worked out.
    let mut words = HALF_13.to_vec();
    words.push("tpi=13");
    close(number("thread-strip", &words, "external_area_m2") / (IN * IN), 0.7789 * 0.36, 2e-3);
}

#[test]
fn a_seal_is_narrower_than_the_tube_it_is_in() {
    let words = [
        "pressure=1000 psi",
        "seal_diameter=3.068 in",
        "count=8",
        "bolt_diameter=0.25 in",
        "wall=0.216 in",
        "edge=0.5 in",
        "od=0.99 in",
    ];
    let (input, why) = refused("radial-bolts", &words);
    assert_eq!(input, "seal_diameter");
    assert!(why.contains("25.146 mm"), "{why}");
}

#[test]
fn refusals_are_in_units_a_person_reads() {
    for (name, words, says) in [
        (
            "fatigue-life",
            vec!["coefficient=800 MPa", "exponent=-0.1", "amplitude=801 MPa"],
            "801 MPa is outside: give an amplitude up to the coefficient, 800 MPa",
        ),
        (
            "fatigue-life",
            vec!["material=6061-T6", "max_stress=320 MPa", "ratio=0"],
            "320 MPa is outside: give a maximum stress from 1 to 45 ksi (6.89 to 310 MPa)",
        ),
        (
            "permanent-set",
            vec!["total=150 mL", "permanent=151 mL"],
            "151 mL is outside: give a permanent expansion up to the total, 150 mL",
        ),
        (
            "stored-energy",
            vec!["pressure=100 kPa abs", "volume=1 L"],
            "0.1 MPa absolute is outside: give an absolute pressure at or above the ambient 0.101325 MPa",
        ),
        (
            "cylinder-wall",
            vec!["od=2 in", "pressure=5 MPa", "allowable=4 MPa"],
            "4 MPa is outside: give a stress above the pressure, 5 MPa: no wall is thick enough otherwise",
        ),
        (
            "nozzle-flow",
            vec!["ratio_of_heats=1.2", "pressure_ratio=1e-300"],
            "1.0000e-300 is outside: give a pressure ratio p/p0 above zero and below 1",
        ),
        (
            "thrust-coefficient",
            vec![
                "ratio_of_heats=1.2",
                "area_ratio=8",
                "chamber_pressure=0.1 MPa abs",
                "ambient=101325 Pa abs",
            ],
            "0.1 MPa absolute is outside: give an absolute pressure above 0.179503 MPa: below that the throat is not choked",
        ),
    ] {
        let (_, why) = refused(name, &words);
        assert_eq!(why, says);
    }
}

#[test]
fn a_metal_nobody_listed_is_refused_by_the_inputs_name() {
    assert_eq!(refused("material", &["name=unobtainium"]).0, "name");
    assert_eq!(refused("bar", &["diameter=1 in", "length=1 m", "material=unobtainium"]).0, "material");
}

#[test]
fn nothing_is_colder_than_absolute_zero_or_emptier_than_a_vacuum() {
    for (value, to) in [("-300 degC", "degF"), ("-1 K", "degC"), ("-5 psia", "Pa"), ("-2 bar gauge", "kPa")] {
        let (input, why) = refused("convert", &[&format!("value={value}"), &format!("to={to}")]);
        assert_eq!(input, "value");
        assert!(why.contains("is below"), "{why}");
    }
    close(number("convert", &["value=-273.15 degC", "to=K"], "value") + 1.0, 1.0, 1e-9);
    close(number("convert", &["value=-10 degC", "to=degF"], "value"), 14.0, 1e-9);
    // A stress may be compression.
    close(number("convert", &["value=-5 ksi", "to=psi"], "value"), -5000.0, 1e-9);
}

#[test]
fn a_size_that_looks_like_the_wrong_unit_is_said_and_worked_out() {
    let warned = |name: &str, words: &[&str]| calc(name, words).warnings.join("\n");
    let told = warned("cylinder", &["od=2 in", "wall=2 mm", "pressure=1500 bar"]);
    assert!(told.contains("pressure: 1500 bar is above what is plausible") && told.contains("psi"), "{told}");
    let told = warned("yield-pressure", &["od=2 in", "wall=2 mm", "yield=35000 MPa"]);
    assert!(told.contains("yield: 35000 MPa") && told.contains("psi"), "{told}");
    let told = warned(
        "press-fit",
        &[
            "diameter=50 mm",
            "hub_od=80 mm",
            "interference=1 mm",
            "hub_modulus=70 GPa",
            "hub_poisson=0.33",
            "shaft_modulus=200 GPa",
            "shaft_poisson=0.29",
        ],
    );
    assert!(told.contains("more than a hundredth of the diameter"), "{told}");
    let told = warned("gouge-limit", &["wall_min=1650 in"]);
    assert!(told.contains("wall_min: 1650 in is above what is plausible"), "{told}");
    assert_eq!(warned("cylinder", &["od=2 in", "wall=2 mm", "pressure=5 MPa"]), "");
}

#[test]
fn an_unknown_wall_is_no_licence_for_a_gas_cylinders_gouge() {
    assert!(calc("gouge-limit", &[]).warnings.iter().any(|it| it.contains("measure the wall")));
    assert!(calc("gouge-limit", &["wall_min=2 mm"]).warnings.is_empty());
}

#[test]
fn nothing_is_never_minus_nothing() {
    let found = calc("cylinder", &["od=2 in", "wall=2 mm", "pressure=0"]);
    let json = serde_json::to_string(&found).unwrap();
    assert!(!json.contains("-0.0"), "{json}");
}
