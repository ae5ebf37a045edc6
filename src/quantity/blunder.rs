//! The classic slips, recognised and said, never silently mended.
//!
//! A value typed in the wrong unit is off by a known ratio: psi read as bar is 14.5 times too much,
//! millimetres read as inches 25.4 times, a radius given for a diameter half. [`suspect`] compares with what
//! is expected of this very part; [`outside`] with what is plausible for the field. Both only warn: the value
//! stays as typed until the person changes it.

use super::parse::parse_quantity;
use super::show::{System, in_unit_sig, show_si};
use super::units::{Dimension, Unit, find};

/// A value that looks like a known slip.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspicion {
    /// The whole sentence, ending in a question.
    pub message: String,
    /// What may have been meant: a unit ("psi"), "a radius", "a diameter"; `None` where no slip explains it.
    pub meant: Option<String>,
    /// The SI value it would be then.
    pub would_be_si: Option<f64>,
}

/// How far from the exact ratio still counts, as a factor.
const NEAR: f64 = 1.12;
/// A temperature this close to the expected one counts as explained, in kelvin.
const NEAR_K: f64 = 8.0;
/// A temperature closer than this to the expected one needs no explaining, in kelvin.
const FAR_K: f64 = 15.0;

/// Units that are typed for each other, the commonest slip first.
const PAIRS: &[(Dimension, &str, &str)] = &[
    (Dimension::Pressure, "bar", "psi"),
    (Dimension::Pressure, "MPa", "psi"),
    (Dimension::Pressure, "MPa", "bar"),
    (Dimension::Pressure, "kPa", "psi"),
    (Dimension::Pressure, "kPa", "bar"),
    (Dimension::Pressure, "MPa", "kPa"),
    (Dimension::Pressure, "ksi", "psi"),
    (Dimension::Pressure, "MPa", "ksi"),
    (Dimension::Length, "in", "mm"),
    (Dimension::Length, "cm", "mm"),
    (Dimension::Length, "mm", "thou"),
    (Dimension::Length, "m", "mm"),
    (Dimension::Length, "in", "thou"),
    (Dimension::Length, "ft", "in"),
    (Dimension::Force, "lbf", "N"),
    (Dimension::Force, "kgf", "N"),
    (Dimension::Force, "kgf", "lbf"),
    (Dimension::Force, "kN", "N"),
    (Dimension::Impulse, "lbf·s", "N·s"),
    (Dimension::Impulse, "kN·s", "N·s"),
    (Dimension::Mass, "oz", "g"),
    (Dimension::Mass, "kg", "lb"),
    (Dimension::Mass, "kg", "g"),
    (Dimension::Mass, "lb", "oz"),
    (Dimension::Mass, "lb", "g"),
    (Dimension::Volume, "in³", "mL"),
    (Dimension::Volume, "L", "mL"),
    (Dimension::Area, "in²", "mm²"),
    (Dimension::Area, "cm²", "mm²"),
    (Dimension::Temperature, "°C", "°F"),
    (Dimension::Temperature, "°C", "K"),
    (Dimension::TemperatureDifference, "K", "°F"),
    (Dimension::Density, "g/cm³", "kg/m³"),
    (Dimension::Density, "lb/in³", "g/cm³"),
    (Dimension::Density, "kg/m³", "lb/ft³"),
    (Dimension::Speed, "in/s", "mm/s"),
    (Dimension::Speed, "cm/s", "mm/s"),
    (Dimension::Speed, "m/s", "ft/s"),
    (Dimension::Speed, "m/s", "mm/s"),
    (Dimension::Time, "s", "ms"),
    (Dimension::Time, "min", "s"),
    (Dimension::Angle, "rad", "°"),
    (Dimension::Resistance, "Ω", "mΩ"),
    (Dimension::Voltage, "V", "mV"),
    (Dimension::Energy, "kJ", "J"),
];

/// One way the value may have gone wrong.
struct Slip {
    /// The unit it was read in; `None` for a radius or diameter.
    read: Option<&'static Unit>,
    meant: &'static str,
    si: f64,
}

impl Slip {
    /// "psi", or "psi typed as bar" where the unit typed is not known.
    fn question(&self, unit_known: bool) -> String {
        match self.read {
            Some(read) if !unit_known => format!("{} typed as {}", self.meant, read.symbol),
            _ => self.meant.to_owned(),
        }
    }
}

/// Compare a value with the expected one, both in SI; `None` when no classic slip lies between them.
///
/// ```
/// use proofmark::quantity::{suspect, Dimension};
/// let slip = suspect(Dimension::Length, 1.6, 0.063).unwrap();
/// assert_eq!(slip.meant.as_deref(), Some("mm"));
/// assert!(suspect(Dimension::Pressure, 14.8e6, 7.4e6).is_none()); // twice is a load, not a slip
/// ```
pub fn suspect(dimension: Dimension, typed_si: f64, expected_si: f64) -> Option<Suspicion> {
    judge(None, dimension, typed_si, expected_si)
}

/// As [`suspect`], with the words typed: only slips out of that very unit count, and the sentence quotes it.
///
/// ```
/// use proofmark::quantity::{blunder::suspect_typed, Dimension};
/// let slip = suspect_typed("1070 bar", Dimension::Pressure, 107e6, 7.38e6).unwrap();
/// assert_eq!(slip.message, "1070 bar is 14.5 times what is expected (7.38 MPa): was it psi?");
/// ```
pub fn suspect_typed(text: &str, dimension: Dimension, typed_si: f64, expected_si: f64) -> Option<Suspicion> {
    judge(Some(text), dimension, typed_si, expected_si)
}

/// Warn of a value outside the plausible range of its field, ends included, and say which slip would bring
/// it inside; `None` when it is inside.
///
/// ```
/// use proofmark::quantity::{outside, Dimension};
/// assert!(outside(Dimension::Pressure, 5e6, 0.3e6, 25e6).is_none());
/// assert!(outside(Dimension::Pressure, 85e6, 0.3e6, 25e6).unwrap().message.contains("psi typed as bar"));
/// ```
pub fn outside(dimension: Dimension, si: f64, low: f64, high: f64) -> Option<Suspicion> {
    out_of_range(None, dimension, si, low, high)
}

/// As [`outside`], with the words typed.
///
/// ```
/// use proofmark::quantity::{blunder::outside_typed, Dimension};
/// let warning = outside_typed("850 bar", Dimension::Pressure, 85e6, 0.3e6, 25e6).unwrap();
/// assert_eq!(
///     warning.message,
///     "850 bar is above what is plausible (0.300 MPa to 25.0 MPa): was it psi (5.86 MPa) or kPa (0.850 MPa)?"
/// );
/// ```
pub fn outside_typed(text: &str, dimension: Dimension, si: f64, low: f64, high: f64) -> Option<Suspicion> {
    out_of_range(Some(text), dimension, si, low, high)
}

fn judge(text: Option<&str>, dimension: Dimension, typed: f64, expected: f64) -> Option<Suspicion> {
    let mismatch = |si: f64| {
        if dimension == Dimension::Temperature {
            (si - expected).abs() / NEAR_K
        } else {
            (si / expected).ln().abs() / NEAR.ln()
        }
    };
    let worth_asking = if dimension == Dimension::Temperature {
        typed.is_finite() && (typed - expected).abs() >= FAR_K
    } else {
        typed > 0.0 && expected > 0.0 && typed.is_finite() && mismatch(typed) > 1.0
    };
    if !worth_asking {
        return None;
    }
    let unit = typed_unit(text, dimension);
    let slip = slips(dimension, typed, unit)
        .filter(|slip| mismatch(slip.si) <= 1.0)
        .min_by(|one, other| mismatch(one.si).total_cmp(&mismatch(other.si)))?;
    let system = system_of(unit);
    let shown = shown(text, unit, dimension, typed, system);
    let wanted = show_si(expected, dimension, system);
    let compared = if dimension == Dimension::Temperature {
        format!("is far from what is expected ({wanted})")
    } else {
        format!("is {} what is expected ({wanted})", times(typed / expected))
    };
    Some(Suspicion {
        message: format!("{shown} {compared}: was it {}?", slip.question(unit.is_some())),
        meant: Some(slip.meant.to_owned()),
        would_be_si: Some(slip.si),
    })
}

fn out_of_range(text: Option<&str>, dimension: Dimension, si: f64, low: f64, high: f64) -> Option<Suspicion> {
    let side = if si < low {
        "below"
    } else if si > high {
        "above"
    } else {
        return None;
    };
    let unit = typed_unit(text, dimension);
    let system = system_of(unit);
    let mut inside: Vec<Slip> = Vec::new();
    for slip in slips(dimension, si, unit) {
        let known = inside.iter().any(|other| other.meant == slip.meant && other.read == slip.read);
        if (low..=high).contains(&slip.si) && !known && inside.len() < 3 {
            inside.push(slip);
        }
    }
    let named: Vec<String> = inside
        .iter()
        .map(|slip| format!("{} ({})", slip.question(unit.is_some()), show_si(slip.si, dimension, system)))
        .collect();
    let question = match named.as_slice() {
        [] => "is it typed as meant?".to_owned(),
        [one] => format!("was it {one}?"),
        [most @ .., last] => format!("was it {} or {last}?", most.join(", ")),
    };
    let range = format!("({} to {})", show_si(low, dimension, system), show_si(high, dimension, system));
    Some(Suspicion {
        message: format!(
            "{} is {side} what is plausible {range}: {question}",
            shown(text, unit, dimension, si, system)
        ),
        meant: inside.first().map(|slip| slip.meant.to_owned()),
        would_be_si: inside.first().map(|slip| slip.si),
    })
}

/// What the value would be under each slip of its dimension; out of one unit only, where it is known.
fn slips(dimension: Dimension, si: f64, unit: Option<&'static Unit>) -> impl Iterator<Item = Slip> {
    let both_ways = PAIRS
        .iter()
        .filter(move |(of, ..)| *of == dimension)
        .flat_map(|(of, one, other)| [(*of, *one, *other), (*of, *other, *one)]);
    let by_unit = both_ways.filter_map(move |(of, read, meant)| {
        let (read, meant) = (find(read, of)?, find(meant, of)?);
        let applies = unit.is_none_or(|unit| (unit.scale, unit.offset) == (read.scale, read.offset));
        let corrected = meant.to_si(read.from_si(si));
        applies.then_some(Slip { read: Some(read), meant: meant.symbol, si: corrected })
    });
    // Twice is an honest difference for anything but a length.
    let by_shape: &[(&str, f64)] =
        if dimension == Dimension::Length { &[("a radius", 2.0), ("a diameter", 0.5)] } else { &[] };
    by_unit.chain(by_shape.iter().map(move |(meant, times)| Slip { read: None, meant, si: si * times }))
}

fn typed_unit(text: Option<&str>, dimension: Dimension) -> Option<&'static Unit> {
    find(&parse_quantity(text?, dimension, None).ok()?.unit, dimension)
}

/// The value in the person's own words where they can be read, else in the user's units.
fn shown(
    text: Option<&str>,
    unit: Option<&'static Unit>,
    dimension: Dimension,
    si: f64,
    system: System,
) -> String {
    match (text, unit) {
        // A text that was read holds nothing a terminal could act on.
        (Some(text), Some(_)) if text.chars().count() <= 40 => text.trim().to_owned(),
        (_, Some(unit)) => in_unit_sig(si, unit, 4),
        _ => show_si(si, dimension, system),
    }
}

fn times(ratio: f64) -> String {
    let figure = |value: f64| {
        let text = format!("{value:.*}", if value < 100.0 { 1 } else { 0 });
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    match ratio {
        ratio if ratio >= 1.0 => format!("{} times", figure(ratio)),
        ratio if figure(1.0 / ratio) == "2" => "half".to_owned(),
        ratio => format!("1/{} of", figure(1.0 / ratio)),
    }
}

/// Whoever types in inches reads in inches.
fn system_of(unit: Option<&Unit>) -> System {
    const US: &[&str] =
        &["in", "ft", "thou", "psi", "ksi", "lb", "oz", "lbf", "ozf", "°F", "in³", "in²", "in/s", "ft/s"];
    match unit {
        Some(unit) if US.contains(&unit.symbol) || unit.symbol.starts_with("lb") => System::Us,
        _ => System::Si,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn each_classic_slip_is_named() {
        for (text, dimension, expected, meant) in [
            ("1070 bar", Dimension::Pressure, 7.38e6, "psi"),
            ("827 MPa", Dimension::Pressure, 5.7e6, "psi"),
            ("57 MPa", Dimension::Pressure, 5.7e6, "bar"),
            ("827 kPa", Dimension::Pressure, 5.7e6, "psi"),
            ("5.7 psi", Dimension::Pressure, 5.7e6, "MPa"),
            ("57 psi", Dimension::Pressure, 5.7e6, "bar"),
            ("66.68 in", Dimension::Length, 0.066_68, "mm"),
            ("2.625 mm", Dimension::Length, 0.066_68, "in"),
            ("66.68 cm", Dimension::Length, 0.066_68, "mm"),
            ("33.34 mm", Dimension::Length, 0.066_68, "a radius"),
            ("133.4 mm", Dimension::Length, 0.066_68, "a diameter"),
            ("420 N", Dimension::Force, 1868.0, "lbf"),
            ("1868 lbf", Dimension::Force, 1868.0, "N"),
            ("190 N", Dimension::Force, 1868.0, "kgf"),
            ("30 g", Dimension::Mass, 0.85, "oz"),
            ("850 oz", Dimension::Mass, 0.85, "g"),
            ("1.87 kg", Dimension::Mass, 0.85, "lb"),
            ("68 degC", Dimension::Temperature, 293.15, "°F"),
            ("20 degF", Dimension::Temperature, 293.15, "°C"),
            ("293 degC", Dimension::Temperature, 293.15, "K"),
        ] {
            let si = parse_quantity(text, dimension, None).unwrap().si;
            let slip = suspect_typed(text, dimension, si, expected).unwrap();
            assert_eq!(slip.meant.as_deref(), Some(meant), "{text}: {}", slip.message);
            assert!(slip.message.starts_with(text) && slip.message.ends_with('?'), "{}", slip.message);
        }
    }

    #[test]
    fn honest_values_pass() {
        for (dimension, typed, expected) in [
            (Dimension::Pressure, 14.76e6, 7.38e6),
            (Dimension::Pressure, 3.69e6, 7.38e6),
            (Dimension::Pressure, 7.5e6, 7.38e6),
            (Dimension::Length, 0.0667, 0.066_68),
            (Dimension::Length, 0.1, 0.066_68),
            (Dimension::Temperature, 303.15, 293.15),
            (Dimension::Force, 0.0, 1868.0),
            (Dimension::Force, -5.0, 1868.0),
            (Dimension::Force, f64::NAN, 1868.0),
            (Dimension::Force, 1868.0, f64::NAN),
            (Dimension::Temperature, f64::INFINITY, 293.15),
        ] {
            assert_eq!(suspect(dimension, typed, expected), None, "{typed} for {expected}");
        }
    }

    #[test]
    fn the_edge_of_near_is_twelve_percent() {
        let psi_as_bar = 7.38e6 * 14.503_8;
        assert!(suspect_typed("1 bar", Dimension::Pressure, psi_as_bar * 1.11, 7.38e6).is_some());
        assert!(suspect_typed("1 bar", Dimension::Pressure, psi_as_bar * 1.13, 7.38e6).is_none());
        assert!(suspect_typed("1 bar", Dimension::Pressure, psi_as_bar / 1.11, 7.38e6).is_some());
        assert!(suspect_typed("1 bar", Dimension::Pressure, psi_as_bar / 1.13, 7.38e6).is_none());
    }

    #[test]
    fn a_range_says_what_would_fit() {
        let half = outside_typed("33 mm", Dimension::Length, 0.033, 0.05, 0.08).unwrap();
        assert_eq!(half.meant.as_deref(), Some("a radius"));
        assert!(half.message.contains("below what is plausible (50.00 mm to 80.00 mm)"), "{}", half.message);
        let lost = outside_typed("0.001 psi", Dimension::Pressure, 6.9, 0.3e6, 25e6).unwrap();
        assert_eq!((lost.meant, lost.would_be_si), (None, None));
        assert!(outside(Dimension::Pressure, 0.3e6, 0.3e6, 25e6).is_none());
        assert!(outside(Dimension::Pressure, f64::NAN, 0.3e6, 25e6).is_none());
    }

    #[test]
    fn every_pair_is_known_to_the_unit_table() {
        for (dimension, one, other) in PAIRS {
            assert!(find(one, *dimension).is_some() && find(other, *dimension).is_some(), "{one} {other}");
        }
    }
}
