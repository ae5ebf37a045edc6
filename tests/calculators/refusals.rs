//! Every kind of bad input: which input is named, and what would be accepted.

use super::{calc, try_calc};
use proofmark::desk::calculators::{self, Need, Takes};
use rstest::rstest;

#[rstest]
#[case::missing("yield-pressure", &["od=3.5 in", "wall=0.2 in"], "yield", "is missing: give a stress above zero")]
#[case::missing_of_two("cylinder", &["od=3.5 in", "pressure=5 MPa"], "id", "two of od, id, wall")]
#[case::unknown("cylinder", &["od=3.5 in", "wall=4 mm", "pressure=5 MPa", "colour=red"], "colour", "give od, id, wall")]
#[case::not_finite("repeat-test", &["pressure=inf MPa"], "pressure", "a pressure is typed like")]
#[case::not_a_number("proof-factor", &["burst_factor=nan"], "burst_factor", "a plain number")]
#[case::too_large("repeat-test", &["pressure=1e999 MPa"], "pressure", "5.2 MPa")]
#[case::negative("cylinder", &["od=-3.5 in", "wall=4 mm", "pressure=5 MPa"], "od", "is not above zero: give a length above zero")]
#[case::negative_pressure("cylinder", &["od=3.5 in", "wall=4 mm", "pressure=-5 psi"], "pressure", "is below zero: give a gauge pressure, zero or above")]
#[case::zero_length("bar", &["diameter=0", "length=1 m", "material=6061-T6"], "diameter", "not above zero")]
#[case::wrong_dimension("cylinder", &["od=3.5 psi", "wall=4 mm", "pressure=5 MPa"], "od", "but a length is asked for")]
#[case::no_unit("cylinder", &["od=3.5", "wall=4 mm", "pressure=5 MPa"], "od", "has no unit")]
#[case::no_such_word("flat-plate", &["radius=2 in", "thickness=0.5 in", "pressure=1 MPa", "modulus=69 GPa", "poisson=0.33", "edge=loose"], "edge", "one of clamped, supported")]
#[case::three_disagree("cylinder", &["od=3.5 in", "id=3 in", "wall=4 mm", "pressure=5 MPa"], "wall", "only two of the three")]
#[case::no_bore("cylinder", &["od=20 mm", "wall=10 mm", "pressure=5 MPa"], "wall", "below half the outside diameter")]
#[case::radius_outside("cylinder", &["od=3.5 in", "wall=4 mm", "pressure=5 MPa", "radius=1 mm"], "radius", "inside the wall")]
#[case::both("thin-wall", &["od=3.5 in", "wall=4 mm", "pressure=5 MPa", "allowable=100 MPa"], "allowable", "one of the two")]
#[case::neither("thin-wall", &["od=3.5 in", "wall=4 mm"], "pressure", "either pressure or allowable")]
#[case::no_wall_will_do("cylinder-wall", &["od=3.5 in", "pressure=50 MPa", "allowable=50 MPa"], "allowable", "no wall is thick enough")]
#[case::unlisted("material", &["name=unobtainium"], "name", "6061-T6")]
#[case::unlisted_form("material", &["name=6061-T6", "form=cast"], "form", "drawn tube")]
#[case::too_hot("material", &["name=6061-T6", "temperature=900 degC"], "temperature", "-50 to 371 degC")]
#[case::no_such_pipe("pipe", &["size=2", "schedule=41"], "schedule", "one of 5, 10, 40")]
#[case::uneven_lists("damage-sum", &["counts=1,2", "lives=10"], "lives", "as many lives as counts")]
#[case::not_a_list("damage-sum", &["counts=1,two", "lives=10,10"], "counts", "numbers with commas")]
#[case::whole("radial-bolts", &["pressure=5 MPa", "seal_diameter=44 mm", "count=2.5", "bolt_diameter=5 mm", "wall=2 mm", "edge=10 mm"], "count", "not a whole number")]
#[case::two_curves("fatigue-life", &["material=6061-T6", "amplitude=10 ksi"], "coefficient", "or coefficient, exponent, amplitude")]
#[case::half_a_curve("fatigue-life", &["material=6061-T6", "ratio=0"], "max_stress", "is missing")]
#[case::fits_both("press-fit", &["diameter=50 mm", "hub_od=70 mm", "interference=0.02 mm", "hub_bore_hoop=50 MPa", "hub_modulus=69 GPa", "hub_poisson=0.33", "shaft_modulus=69 GPa", "shaft_poisson=0.33"], "hub_bore_hoop", "one of the two")]
#[case::over_the_table("standoff", &["impulse=50000 Ns", "table=research", "arrangement=single"], "impulse", "research table has a distance for")]
#[case::two_of_flow("nozzle-flow", &["ratio_of_heats=1.2", "mach=2", "area_ratio=4"], "mach", "one of mach, area_ratio, pressure_ratio")]
#[case::subsonic_area("nozzle-flow", &["ratio_of_heats=1.2", "area_ratio=0.5"], "area_ratio", "from 1 to 1e6")]
#[case::not_choked("thrust-coefficient", &["ratio_of_heats=1.2", "area_ratio=4", "chamber_pressure=120 kPa", "ambient=101325 Pa"], "chamber_pressure", "not choked")]
#[case::wide_cone("thrust-coefficient", &["ratio_of_heats=1.2", "area_ratio=4", "chamber_pressure=5 MPa", "ambient=101325 Pa", "half_angle=80 deg"], "half_angle", "0 to 45 deg")]
#[case::no_gas("ideal-motor", &["chamber_pressure=5 MPa", "chamber_temperature=2500 K", "ratio_of_heats=1.2", "ambient=101325 Pa"], "molar_mass", "molar_mass or gas_constant")]
#[case::unstable("chamber-pressure", &["burning_area=0.03 m2", "throat=10 mm", "density=1700 kg/m3", "characteristic_velocity=1400 m/s", "burn_rate=7 mm/s at 5 MPa", "exponent=1"], "exponent", "from -1 to 0.95")]
#[case::half_a_rate("chamber-pressure", &["burning_area=0.03 m2", "throat=10 mm", "density=1700 kg/m3", "characteristic_velocity=1400 m/s", "burn_rate=7 mm/s", "exponent=0.4"], "burn_rate", "at 5 MPa")]
#[case::core_too_wide("bates", &["count=4", "outside_diameter=40 mm", "core=40 mm", "length=70 mm"], "core", "below the outside diameter")]
#[case::too_many_faces("bates", &["count=2", "outside_diameter=40 mm", "core=14 mm", "length=70 mm", "inhibited_ends=5"], "inhibited_ends", "0 to 4")]
#[case::too_high("atmosphere", &["altitude=100 km"], "altitude", "-5 to 80 km")]
#[case::mixed("convert", &["value=1000 psi", "to=mm"], "value", "is a pressure, but a length")]
#[case::no_such_unit("convert", &["value=1000 psi", "to=furlong"], "to", "no unit is called")]
fn a_bad_input_is_named(
    #[case] name: &str,
    #[case] words: &[&str],
    #[case] field: &str,
    #[case] accepted: &str,
) {
    let problems = try_calc(name, words).err().unwrap_or_else(|| panic!("{name} {words:?} was taken"));
    let problem = problems.iter().find(|it| it.field == field);
    let problem = problem.unwrap_or_else(|| panic!("{field} is not named in {problems:?}"));
    assert!(problem.message.contains(accepted), "{}", problem.message);
}

#[test]
fn all_faults_are_told_at_once() {
    let problems = try_calc("cylinder", &["od=3.5", "wall=-4 mm", "shape=round"]).unwrap_err();
    let fields: Vec<_> = problems.iter().map(|it| it.field.as_str()).collect();
    assert_eq!(fields, ["shape", "od", "wall", "pressure"]);
}

#[test]
fn an_unknown_calculator_lists_them_all() {
    let problems = try_calc("cylindre", &[]).unwrap_err();
    for calculator in calculators::list() {
        assert!(problems[0].message.contains(calculator.name));
    }
}

#[test]
fn names_are_forgiving_and_values_are_echoed_in_si() {
    let outcome = calc("Yield_Pressure", &["OD=3.5 in", "wall=0.216 in", "Yield=35 ksi"]);
    let json = serde_json::to_value(&outcome).unwrap();
    assert_eq!(json["calculator"], "yield-pressure");
    assert_eq!(json["inputs"]["od_m"], 3.5 * 0.0254);
    assert!((json["inputs"]["yield_pa"].as_f64().unwrap() / 35e3 - 6_894.757_293_168).abs() < 1e-6);
}

#[test]
fn an_unstated_pressure_where_absolute_is_asked_is_said_to_be_absolute() {
    let said = |pressure: &str| {
        let outcome = calc("stored-energy", &[pressure, "volume=1 L"]);
        outcome.warnings.iter().any(|it| it.contains("taken as absolute"))
    };
    assert!(said("pressure=1000 psi"));
    assert!(!said("pressure=1000 psia") && !said("pressure=1000 psig"));
}

/// Whatever is typed into any input of any calculator, it is answered or refused, never a fault, and no
/// result is without a finite number.
#[test]
fn nothing_typed_is_a_fault() {
    let texts = [
        "",
        " ",
        "0",
        "-1",
        "1e308",
        "-1e308 m",
        "1e-320 Pa",
        "nan",
        "∞",
        "7 mm/s at 5 MPa",
        "none",
        "6061-T6",
        "1,2,,3",
        "\u{1b}[31m",
        "1 mm",
        "1 Pa",
        "1 m2",
        "1e300 km",
        "single",
        "40",
        "2",
    ];
    for calculator in calculators::list() {
        for input in calculator.inputs {
            for text in texts {
                let mut given = std::collections::BTreeMap::new();
                for other in calculator.inputs.iter().filter(|it| it.need == Need::Required) {
                    given.insert(other.name.to_owned(), plausible(other.takes));
                }
                given.insert(input.name.to_owned(), text.to_owned());
                match calculator.run(&given) {
                    Ok(outcome) => {
                        let json = serde_json::to_string(&outcome).unwrap();
                        assert!(!json.contains("null"), "{} {}={text}: {json}", calculator.name, input.name);
                    }
                    Err(problems) => {
                        assert!(!problems.is_empty());
                        for problem in problems {
                            assert!(!problem.message.contains('\u{1b}') && !problem.field.is_empty());
                        }
                    }
                }
            }
        }
    }
}

fn plausible(takes: Takes) -> String {
    match takes {
        Takes::Quantity { dimension, .. } => dimension.examples()[0].to_owned(),
        Takes::Number(_) | Takes::Ratio => "0.3".to_owned(),
        Takes::Whole => "8".to_owned(),
        Takes::Word(words) => words[0].to_owned(),
        Takes::Text => "6061-T6".to_owned(),
        Takes::List => "1,2".to_owned(),
        Takes::BurnRate => "7 mm/s at 5 MPa".to_owned(),
        Takes::LengthOrNone => "2 mm".to_owned(),
    }
}
