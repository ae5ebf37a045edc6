//! A record's number as a person reads it: the unit out of its key, the value in the units asked for.

use crate::quantity::show::show_si;
use crate::quantity::{Dimension, System};

/// Units by the end of a key, the longest first.
const UNITS: &[(&str, Dimension)] = &[
    ("kg_m3", Dimension::Density),
    ("m_s", Dimension::Speed),
    ("pa", Dimension::Pressure),
    ("ns", Dimension::Impulse),
    ("kg", Dimension::Mass),
    ("m3", Dimension::Volume),
    ("m2", Dimension::Area),
    ("n", Dimension::Force),
    ("s", Dimension::Time),
    ("m", Dimension::Length),
    ("k", Dimension::Temperature),
];

/// What a unit key of a sealed record stands for.
pub fn dimension(unit: &str) -> Option<Dimension> {
    UNITS.iter().find(|(key, _)| *key == unit).map(|(_, dimension)| *dimension)
}

/// A key of a record and its number, in words: `burn_time_s` and 1.9512 are "burn time" and "1.95 s".
pub fn said(key: &str, number: f64, system: System) -> (String, String) {
    // Slopes and products bear units of their own, which nothing here turns.
    let alone = !key.ends_with("_pa_s") && !key.ends_with("_v_s");
    let unit =
        UNITS.iter().find(|(unit, _)| alone && key.strip_suffix(unit).is_some_and(|it| it.ends_with('_')));
    match unit {
        Some((unit, dimension)) => {
            let label = key.strip_suffix(unit).unwrap_or(key).replace('_', " ");
            (label.trim().to_owned(), show_si(number, *dimension, system))
        }
        None => (key.replace('_', " "), short(number)),
    }
}

/// A plain number with as many digits as anybody reads.
pub fn short(number: f64) -> String {
    if number == 0.0 || !number.is_finite() || (number.fract() == 0.0 && number.abs() < 1e9) {
        return format!("{number}");
    }
    let before = number.abs().log10().floor() as i32 + 1;
    let digits = usize::try_from(5 - before).unwrap_or(0).min(9);
    let long = format!("{number:.digits$}");
    if long.contains('.') { long.trim_end_matches('0').trim_end_matches('.').to_owned() } else { long }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_has_its_unit_and_no_more_digits_than_it_is_worth() {
        assert_eq!(
            said("burn_time_s", 1.951_234_5, System::Si),
            ("burn time".to_owned(), "1.95 s".to_owned())
        );
        let (label, value) = said("peak_pressure_pa", 4_297_380.871_283_812, System::Si);
        assert_eq!((label.as_str(), value.contains("MPa")), ("peak pressure", true), "{value}");
        assert!(said("peak_pressure_pa", 4_297_380.871_283_812, System::Us).1.contains("psi"));
        assert_eq!(said("thrust_coefficient", 1.509_634_709_231_755_2, System::Si).1, "1.5096");
        assert_eq!(said("samples", 4000.0, System::Si), ("samples".to_owned(), "4000".to_owned()));
        assert_eq!(short(1.509_634e-7), "0.000000151");
        assert_eq!(short(f64::NAN), "NaN");
    }
}
