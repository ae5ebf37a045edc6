//! The real binary: what goes to stdout, what to stderr, and the exit code.

use assert_cmd::Command;
use proofmark::desk::calculators;
use rstest::rstest;
use serde_json::Value;

fn run(words: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("proofmark")
        .unwrap()
        .env("LC_ALL", "C.UTF-8")
        .env_remove("PROOFMARK_BOOK")
        .args(["--book", "no-such-book.db"])
        .args(words)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn every_calculator_is_listed_and_explains_itself() {
    let (code, list, errors) = run(&["calc"]);
    assert_eq!((code, errors.as_str()), (0, ""));
    for calculator in calculators::list() {
        assert!(list.contains(calculator.name));
        let (code, help, _) = run(&["calc", calculator.name, "--help"]);
        assert_eq!(code, 0);
        for part in [calculator.formula, calculator.range, calculator.outside, calculator.source] {
            assert!(help.contains(part), "{} --help lacks {part}", calculator.name);
        }
        for input in calculator.inputs {
            assert!(help.contains(input.name) && help.contains(&input.accepted()), "{}", input.name);
        }
        for output in calculator.results {
            assert!(help.contains(output.key));
        }
    }
}

#[test]
fn json_is_si_with_the_unit_in_the_key() {
    let words = [
        "calc",
        "cylinder",
        "od=300 mm",
        "id=200 mm",
        "pressure=60 MPa",
        "outside_pressure=30 MPa",
        "--json",
    ];
    let (code, out, _) = run(&words);
    assert_eq!(code, 0);
    let json: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["calculator"], "cylinder");
    assert_eq!(json["inputs"]["pressure_pa"], 60e6);
    assert!((json["results"]["hoop_bore_pa"].as_f64().unwrap() - 48e6).abs() < 1.0);
    assert_eq!(json["warnings"], serde_json::json!([]));
    assert!(json["source"].as_str().unwrap().contains("Lamé"));
}

#[test]
fn the_table_is_in_the_persons_units_with_the_source_below() {
    let words = ["yield-pressure", "od=3.5 in", "wall=0.216 in", "yield=35 ksi"];
    let with = |units: &[&str]| run(&[&["calc"], words.as_slice(), units].concat()).1;
    assert!(with(&["--units", "us"]).contains("4680 psi"), "{}", with(&["--units", "us"]));
    assert!(with(&[]).contains("32.3 MPa"));
    assert!(with(&[]).lines().last().unwrap().starts_with("source: Lamé with von Mises"));
}

#[rstest]
#[case::unknown_calculator(&["calc", "nosuch"], "nosuch", "give cylinder")]
#[case::missing(&["calc", "yield-pressure", "od=3.5 in", "wall=0.2 in"], "yield", "a stress above zero")]
#[case::unknown(&["calc", "repeat-test", "pressure=5 MPa", "times=2"], "times", "give pressure")]
#[case::not_finite(&["calc", "repeat-test", "pressure=inf"], "pressure", "5.2 MPa")]
#[case::nan(&["calc", "proof-factor", "burst_factor=NaN"], "burst_factor", "a plain number")]
#[case::negative(&["calc", "repeat-test", "pressure=-5 MPa"], "pressure", "above zero")]
#[case::wrong_dimension(&["calc", "repeat-test", "pressure=5 mm"], "pressure", "a pressure is asked for")]
#[case::no_unit(&["calc", "repeat-test", "pressure=5"], "pressure", "has no unit")]
#[case::twice(&["calc", "repeat-test", "pressure=5 MPa", "pressure=6 MPa"], "pressure", "give it once")]
#[case::not_a_pair(&["calc", "repeat-test", "5 MPa"], "inputs", "key=value")]
#[case::disagree(&["calc", "thin-wall", "od=3.5 in", "id=3 in", "wall=1 mm", "pressure=5 MPa"], "wall", "two of the three")]
#[case::mixed(&["calc", "convert", "value=1000 psi", "to=mm"], "value", "a length is asked for")]
#[case::word(&["calc", "standoff", "impulse=100 Ns", "table=mine", "arrangement=single"], "table", "one of research, commercial, california")]
#[case::json_too(&["calc", "repeat-test", "pressure=5", "--json"], "pressure", "has no unit")]
fn a_bad_input_exits_one_and_prints_nothing(
    #[case] words: &[&str],
    #[case] names: &str,
    #[case] accepts: &str,
) {
    let (code, out, errors) = run(words);
    assert_eq!((code, out.as_str()), (1, ""), "{errors}");
    assert!(errors.contains(names) && errors.contains(accepts), "{errors}");
}

fn load_file(text: &str) -> tempfile::NamedTempFile {
    let file = tempfile::Builder::new().suffix(".toml").tempfile().unwrap();
    std::fs::write(file.path(), text).unwrap();
    file
}

const LOAD: &str = r#"
[grain]
count = 4
outside_diameter = "43 mm"
core = "16 mm"
length = "75 mm"
inhibited_ends = 0
[propellant]
density = "1680 kg/m3"
characteristic_velocity = "1370 m/s"
burn_rate = "7.0 mm/s at 5 MPa"
exponent = 0.36
ratio_of_heats = 1.2
[nozzle]
throat = "10.72 mm"
area_ratio = 8
efficiency = 0.95
[ambient]
pressure = "101325 Pa"
[scatter]
burn_rate = 0.03
burning_area = 0.015
characteristic_velocity = 0.01
throat = 0.005
model = 0.03
"#;

#[test]
fn a_load_is_predicted_and_scattered() {
    let file = load_file(LOAD);
    let path = file.path().to_str().unwrap();
    let words = ["predict", path, "--draws", "20000", "--seed", "5", "--meop", "5.9 MPa", "--json"];
    let (code, out, errors) = run(&words);
    assert_eq!(code, 0, "{errors}");
    let json: Value = serde_json::from_str(&out).unwrap();
    let number = |key: &str| json[key].as_f64().unwrap_or_else(|| panic!("{key}"));
    assert_eq!((json["schema"].as_u64(), json["class"].as_str()), (Some(1), Some("J")));
    assert!((number("peak_pressure_absolute_pa") - number("peak_pressure_pa") - 101_325.0).abs() < 1e-6);
    for key in [
        "kn_start",
        "kn_max",
        "kn_end",
        "mean_pressure_pa",
        "peak_thrust_n",
        "mean_thrust_n",
        "impulse_ns",
        "burn_time_s",
        "propellant_kg",
        "specific_impulse_s",
    ] {
        assert!(number(key) > 0.0);
    }
    let scatter = &json["scatter"];
    assert_eq!((scatter["draws"].as_u64(), scatter["seed"].as_u64()), (Some(20_000), Some(5)));
    assert!(scatter["chance_over_meop"].as_f64().unwrap() > 0.01);
    assert!(scatter["chance_over_proof"].is_null());
    // The same seed gives the same answer to the last digit.
    assert_eq!(run(&words).1, out);
}

#[rstest]
#[case::no_unit("core = \"16 mm\"", "core = 16", "a quantity with its unit")]
#[case::wide_core("core = \"16 mm\"", "core = \"50 mm\"", "a core below the outside diameter")]
#[case::negative("throat = \"10.72 mm\"", "throat = \"-1 mm\"", "cannot be negative")]
#[case::exponent("exponent = 0.36", "exponent = 1.5", "an exponent from -1 to 0.95")]
#[case::nan("exponent = 0.36", "exponent = nan", "an exponent from -1 to 0.95")]
#[case::unknown_key("efficiency = 0.95", "efficient = 0.95", "efficient")]
#[case::two_exits("area_ratio = 8", "area_ratio = 8\nexit = \"30 mm\"", "one of the two")]
#[case::no_exit("area_ratio = 8", "", "an area ratio, or exit")]
#[case::sigma("burn_rate = 0.03", "burn_rate = 3", "3 % is 0.03")]
#[case::wide_throat("throat = \"10.72 mm\"", "throat = \"200 mm\"", "a throat no wider than the core")]
#[case::not_toml("[nozzle]", "[nozzle", "TOML parse error")]
fn a_bad_load_exits_one_and_prints_nothing(#[case] from: &str, #[case] to: &str, #[case] accepts: &str) {
    assert!(LOAD.contains(from));
    let file = load_file(&LOAD.replacen(from, to, 1));
    let (code, out, errors) = run(&["predict", file.path().to_str().unwrap(), "--draws", "100"]);
    assert_eq!((code, out.as_str()), (1, ""), "{errors}");
    assert!(errors.contains(accepts), "{errors}");
}
