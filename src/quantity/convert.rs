//! From one unit to another, drills included.

use super::parse::{QuantityError, dimension_of, parse_quantity};
use super::text::{normalise, quote};
use super::types::STANDARD_ATMOSPHERE_PA;
use super::units::{Dimension, Lookup, Reference, look_up};

/// Convert a typed value to a unit; the answer is the number and how the program writes the unit.
///
/// The target decides the dimension. Gauge and absolute convert by one standard atmosphere, and only when
/// the value says which it is; where only the value says, the answer says it too ("MPa abs").
///
/// # Errors
/// The unit is unknown, the value is not of its dimension or below what there is of it (absolute zero, a
/// vacuum), or the answer is not finite.
///
/// ```
/// use proofmark::quantity::convert;
/// let (value, unit) = convert("#7 drill", "mm").unwrap();
/// assert!((value - 5.1054).abs() < 1e-9 && unit == "mm");
/// assert!(convert("1000 psi", "mm").is_err());
/// ```
pub fn convert(value_text: &str, to_unit_text: &str) -> Result<(f64, String), QuantityError> {
    let target = normalise(to_unit_text)?;
    let mut refusal = None;
    for dimension in Dimension::ALL {
        let Lookup::Found(unit, wanted) = look_up(&target, *dimension) else { continue };
        let parsed = match parse_quantity(value_text, *dimension, None) {
            Ok(parsed) => parsed,
            Err(error) => {
                // "20 degC" to "F" fits two dimensions; the first one's refusal speaks for both.
                refusal.get_or_insert(error);
                continue;
            }
        };
        let si = match (parsed.reference, wanted) {
            (Reference::Absolute, Reference::Gauge) => parsed.si - STANDARD_ATMOSPHERE_PA,
            (Reference::Gauge, Reference::Absolute) => parsed.si + STANDARD_ATMOSPHERE_PA,
            (Reference::Unstated, Reference::Gauge | Reference::Absolute) => {
                return Err(QuantityError::new(format!(
                    "{} does not say whether it is gauge or absolute: write it like \"750 psig\" or \"5.2 MPa abs\"",
                    quote(value_text.trim())
                )));
            }
            _ => parsed.si,
        };
        if below_nothing(*dimension, parsed.si, parsed.reference) {
            return Err(QuantityError::new(format!(
                "{} is below {}",
                quote(value_text.trim()),
                if *dimension == Dimension::Temperature { "absolute zero" } else { "a vacuum" }
            )));
        }
        let value = unit.from_si(si);
        if !value.is_finite() {
            return Err(QuantityError::new(format!("{} is too large", quote(value_text.trim()))));
        }
        let said = if wanted == Reference::Unstated { parsed.reference } else { wanted };
        return Ok((value, symbol(unit.symbol, said)));
    }
    Err(refusal.unwrap_or_else(|| unknown(to_unit_text, &target)))
}

/// Whether there is no such temperature or pressure; a pressure that may be a stress can be below zero.
fn below_nothing(dimension: Dimension, si: f64, reference: Reference) -> bool {
    match (dimension, reference) {
        (Dimension::Temperature, _) | (Dimension::Pressure, Reference::Absolute) => si < 0.0,
        (Dimension::Pressure, Reference::Gauge) => si < -STANDARD_ATMOSPHERE_PA,
        _ => false,
    }
}

fn symbol(unit: &str, reference: Reference) -> String {
    match (unit, reference) {
        (_, Reference::Unstated) => unit.to_owned(),
        ("psi" | "bar", Reference::Gauge) => format!("{unit}g"),
        ("psi" | "bar", Reference::Absolute) => format!("{unit}a"),
        (_, Reference::Gauge) => format!("{unit} gauge"),
        (_, Reference::Absolute) => format!("{unit} abs"),
    }
}

fn unknown(text: &str, target: &str) -> QuantityError {
    for dimension in Dimension::ALL {
        match look_up(target, *dimension) {
            Lookup::CaseDoubt(unit) => {
                return QuantityError::new(format!(
                    "{} mixes up milli and mega: was it \"{}\"?",
                    quote(text.trim()),
                    unit.symbol
                ));
            }
            Lookup::Ambiguous(one, two) => {
                return QuantityError::new(format!(
                    "{} could be {} or {}: type the capitals as they are meant",
                    quote(text.trim()),
                    one.symbol,
                    two.symbol
                ));
            }
            Lookup::Found(..) | Lookup::Unknown => {}
        }
    }
    // "25.4 mm" as the target: the value was typed twice.
    let hint =
        target.split_whitespace().last().filter(|word| *word != target && dimension_of(word).is_some());
    QuantityError::new(match hint {
        Some(word) => format!("{} is not a unit: write \"{word}\"", quote(text.trim())),
        None => format!("no unit is called {}; try one like \"mm\", \"psi\" or \"kgf\"", quote(text.trim())),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn near(value: &str, to: &str, expected: f64, symbol: &str) {
        let (got, unit) = convert(value, to).unwrap();
        assert!((got - expected).abs() <= 1e-9 * expected.abs().max(1e-9), "{value} to {to}: {got}");
        assert_eq!(unit, symbol);
    }

    #[test]
    fn every_kind_converts() {
        near("1000 psi", "MPa", 6.894_757_293_168_361, "MPa");
        near("letter U drill", "mm", 9.3472, "mm");
        near("27/64 in", "thou", 421.875, "thou");
        near("20 degC", "F", 68.0, "°F");
        near("10 lb", "kgf", 4.535_923_7, "kgf");
        near("10 lb", "kg", 4.535_923_7, "kg");
        near("1 lb 14 oz", "oz", 30.0, "oz");
        near("20 tpi", "1/mm", 20.0 / 25.4, "1/mm");
        near("1 1/degF", "/K", 1.8, "1/K");
        near("53.35 ft·lbf/(lb·R)", "J/kg/K", 53.35 * 5.380_320_456_35, "J/(kg·K)");
    }

    #[test]
    fn gauge_and_absolute_move_by_an_atmosphere() {
        near("0 psig", "psia", 14.695_948_775_513_2, "psia");
        near("101325 Pa abs", "bar gauge", 0.0, "barg");
        near("5 MPa abs", "kPa", 5000.0, "kPa abs");
        assert!(convert("100 psi", "psia").unwrap_err().message.contains("gauge or absolute"));
    }

    #[test]
    fn mixing_and_nonsense_are_refused() {
        for (value, to, says) in [
            ("1000 psi", "mm", "is a pressure, but a length"),
            ("#7 drill", "MPa", "is a length, but a pressure"),
            ("5 MPa", "furlong", "no unit is called"),
            ("5 bar", "mPa", "milli and mega"),
            ("5 N", "mn", "could be"),
            ("1 in", "25.4 mm", "write \"mm\""),
            ("5", "mm", "has no unit"),
            ("5 mm", "", "no unit is called"),
            ("1e300 km", "µm", "too large"),
        ] {
            let message = convert(value, to).unwrap_err().message;
            assert!(message.contains(says), "{value} to {to}: {message}");
        }
    }
}
