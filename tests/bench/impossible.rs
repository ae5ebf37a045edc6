//! Loads that cannot be: refused with the reason, by the real binary, exit 1 and nothing on stdout.

use rstest::rstest;

use super::command_line::run;
use super::{GRAIN_48B, NOZZLE_48B, club_text};
use proofmark::ballistics::{Load, predict};

#[rstest]
#[case::core_over_diameter("core = \"16 mm\"", "core = \"44 mm\"", "a core below the outside diameter")]
#[case::core_is_diameter("core = \"16 mm\"", "core = \"43 mm\"", "a core below the outside diameter")]
#[case::no_segment("count = 4", "count = 0", "1 to 200 grains")]
#[case::half_a_segment("count = 4", "count = 2.5", "whole number")]
#[case::fewer_than_none("count = 4", "count = -4", "whole number")]
#[case::wild_count("count = 4", "count = 99999999999", "too many")]
#[case::too_many("count = 4", "count = 201", "1 to 200 grains")]
#[case::exponent_of_one("exponent = 0.36", "exponent = 1", "at 1 no pressure is stable")]
#[case::infinite("exponent = 0.36", "exponent = inf", "an exponent from -1 to 0.95")]
#[case::worded("exponent = 0.36", "exponent = \"about a third\"", "number")]
#[case::wide_throat("throat = \"27/64 in\"", "throat = \"16.1 mm\"", "a throat no wider than the core")]
#[case::no_throat("throat = \"27/64 in\"", "throat = \"0 mm\"", "above zero")]
#[case::absurd_unit("throat = \"27/64 in\"", "throat = \"3 kg\"", "length")]
#[case::rate_without_pressure("7.0 mm/s at 5 MPa", "7.0 mm/s", "at what pressure")]
#[case::still_rate("7.0 mm/s at 5 MPa", "0 mm/s at 5 MPa", "above zero")]
#[case::light("1680 kg/m3", "0 kg/m3", "above zero")]
#[case::faces("length = \"75 mm\"", "length = \"75 mm\"\ninhibited_ends = 9", "0 to 8")]
#[case::narrow_exit("area_ratio = 8", "exit = \"5 mm\"", "an exit from the throat")]
#[case::heat_ratio("ratio_of_heats = 1.2", "ratio_of_heats = 0.9", "a ratio of heats")]
#[case::wide_growth(
    "area_ratio = 8",
    "area_ratio = 8\nthroat_growth = \"20 mm\"",
    "a growth up to the throat"
)]
#[case::clogged("area_ratio = 8", "area_ratio = 8\nthroat_deposit = \"9 mm\"", "a deposit up to half")]
#[case::both(
    "area_ratio = 8",
    "area_ratio = 8\nthroat_deposit = \"0.1 mm\"\nthroat_growth = \"0.1 mm\"",
    "one of the two"
)]
#[case::tiny_throat("throat = \"27/64 in\"", "throat = \"0.05 mm\"", "above 1 GPa")]
fn it_is_refused_with_the_reason(#[case] from: &str, #[case] to: &str, #[case] accepts: &str) {
    let text = club_text(GRAIN_48B, NOZZLE_48B, "");
    assert!(text.contains(from));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("load.toml");
    std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
    let (code, out, errors) = run(folder.path(), &["predict", path.to_str().unwrap()]);
    assert_eq!((code, out.as_str()), (1, ""), "{errors}");
    assert!(errors.contains(accepts), "{errors}");
}

#[test]
fn a_chamber_too_feeble_to_choke_its_throat_is_refused() {
    let text = club_text(
        "count = 1\noutside_diameter = \"30 mm\"\ncore = \"26 mm\"\nlength = \"10 mm\"",
        "throat = \"26 mm\"\narea_ratio = 2",
        "",
    );
    let refused = predict(&Load::from_toml(&text).unwrap()).unwrap_err();
    assert!(refused.to_string().contains("does not choke"), "{refused}");
}

#[test]
fn a_throat_as_wide_as_the_core_burns_with_a_warning() {
    let text = club_text(GRAIN_48B, "throat = \"16 mm\"\narea_ratio = 8", "");
    let plan = predict(&Load::from_toml(&text).unwrap()).unwrap();
    assert!(plan.warnings.iter().any(|it| it.contains("erosive")));
}

#[test]
fn slag_raises_what_erosion_lowers() {
    use proofmark::quantity::Quantity;
    let of = |more: &str| {
        let text = club_text(GRAIN_48B, &format!("{NOZZLE_48B}\n{more}"), "");
        predict(&Load::from_toml(&text).unwrap()).unwrap()
    };
    let (steady, slag, eroded) =
        (of(""), of("throat_deposit = \"0.3 mm\""), of("throat_growth = \"0.3 mm\""));
    assert_eq!(slag.kn_start, steady.kn_start);
    assert!(
        slag.peak_pressure_pa > steady.peak_pressure_pa && eroded.peak_pressure_pa < steady.peak_pressure_pa
    );
    assert!(slag.burn_time_s < steady.burn_time_s);
    let throat_mm = 27.0 / 64.0 * 25.4_f64;
    super::close(slag.kn_end / steady.kn_end, (throat_mm / (throat_mm - 0.3)).powi(2), 1e-9);
    // Impulse hardly changes: the same propellant leaves.
    super::close(slag.impulse_ns.si(), steady.impulse_ns.si(), 0.02);
}
