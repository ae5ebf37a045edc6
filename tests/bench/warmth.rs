//! The grain's temperature as a what-if, and one long grain on the command line.

use proofmark::ballistics::{Load, predict};
use proofmark::quantity::Quantity;
use serde_json::Value;

use super::command_line::run;
use super::{GRAIN_48B, NOZZLE_48B, close, club_text};

fn load(propellant: &str, ambient: &str) -> Load {
    let text = club_text(GRAIN_48B, NOZZLE_48B, ambient)
        .replace("ratio_of_heats = 1.2", &format!("ratio_of_heats = 1.2\n{propellant}"));
    Load::from_toml(&text).unwrap()
}

fn peak(propellant: &str, ambient: &str) -> f64 {
    predict(&load(propellant, ambient)).unwrap().peak_pressure_absolute_pa.si()
}

#[test]
fn pressure_follows_the_sensitivity() {
    let plain = peak("", "");
    let at = "at_temperature = \"20 degC\"";
    let given = format!("{at}\ntemperature_sensitivity = \"0.2 %\"");
    let hot = "[ambient]\ngrain_temperature = \"35 degC\"";
    close(peak(&given, hot) / plain, (0.002_f64 * 15.0).exp(), 1e-12);
    close(peak(&format!("{at}\ntemperature_sensitivity = 0.002"), hot), peak(&given, hot), 1e-12);
    // Not given: the end of the published range that gives the higher pressure.
    close(peak(at, hot) / plain, (0.002_78_f64 * 15.0).exp(), 1e-12);
    close(peak(at, "[ambient]\ngrain_temperature = \"5 degC\"") / plain, (-0.000_67_f64 * 15.0).exp(), 1e-12);
    // At the temperature of the data nothing changes, and impulse hardly ever does.
    close(peak(at, "[ambient]\ngrain_temperature = \"20 degC\""), plain, 1e-12);
    let warm = predict(&load(&given, hot)).unwrap();
    close(warm.impulse_ns.si(), predict(&load("", "")).unwrap().impulse_ns.si(), 0.01);
    assert!(warm.warnings.iter().any(|it| it.contains("15.0 degC hotter") && it.contains("as given")));
}

#[test]
fn what_is_no_temperature_is_refused() {
    let refused =
        |propellant: &str, ambient: &str| predict(&load(propellant, ambient)).unwrap_err().to_string();
    let hot = "[ambient]\ngrain_temperature = \"35 degC\"";
    assert!(refused("", hot).contains("propellant.at_temperature is missing"));
    let at = "at_temperature = \"20 degC\"";
    assert!(refused(at, "[ambient]\ngrain_temperature = \"150 degC\"").contains("-40 to 80 degC"));
    assert!(refused(&format!("{at}\ntemperature_sensitivity = 0.2"), hot).contains("0.2 % is 0.002"));
    assert!(refused(&format!("{at}\ntemperature_sensitivity = -0.001"), hot).contains("0 to 0.02"));
}

#[test]
fn one_long_grain_is_compared_with_its_reason() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("load.toml"), club_text(GRAIN_48B, NOZZLE_48B, "")).unwrap();
    let (code, out, errors) = run(folder.path(), &["predict", "load.toml", "--one-long", "--json"]);
    assert_eq!(code, 0, "{errors}");
    let found: Value = serde_json::from_str(&out).unwrap();
    let long = &found["one_long"];
    assert!(long["peak_pressure_pa"].as_f64().unwrap() > 1.3 * found["peak_pressure_pa"].as_f64().unwrap());
    assert!(long["reason"].as_str().unwrap().contains("its Kn climbs"));
    let (_, text, _) = run(folder.path(), &["predict", "load.toml", "--one-long"]);
    assert!(text.contains("one long grain") && text.contains("its Kn climbs"), "{text}");
    let one = club_text(&GRAIN_48B.replace("count = 4", "count = 1"), NOZZLE_48B, "");
    std::fs::write(folder.path().join("one.toml"), one).unwrap();
    let (code, _, errors) = run(folder.path(), &["predict", "one.toml", "--one-long"]);
    assert!(code == 1 && errors.contains("one segment only"), "{errors}");
}
