//! Write a quantity for a person: a unit of sensible size, and no more digits than the shop can measure.
//!
//! What is shown reads back through [`super::parse`] to the same value within the digits shown. Judge
//! before showing: a limit is compared with the SI value, never with this text.

use super::types::Quantity;
use super::units::{Dimension, Unit, find};

/// The system of units a person reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// Millimetres, megapascals, newtons.
    #[default]
    Si,
    /// Inches, psi, pounds-force.
    Us,
}

/// The units a bare number is offered in, metric and US.
pub(super) const fn input_units(dimension: Dimension) -> (&'static str, &'static str) {
    match dimension {
        Dimension::Length => ("mm", "in"),
        Dimension::Area => ("mm²", "in²"),
        Dimension::Volume => ("mL", "in³"),
        Dimension::Mass => ("g", "lb"),
        Dimension::Force => ("N", "lbf"),
        Dimension::Impulse => ("N·s", "N·s"),
        Dimension::Pressure => ("MPa", "psi"),
        Dimension::Temperature => ("°C", "°F"),
        Dimension::TemperatureDifference => ("K", "°F"),
        Dimension::Time => ("s", "s"),
        Dimension::Speed => ("m/s", "ft/s"),
        Dimension::Density => ("kg/m³", "lb/in³"),
        Dimension::Energy => ("J", "ft·lbf"),
        Dimension::Angle => ("°", "°"),
        Dimension::Resistance => ("Ω", "Ω"),
        Dimension::Voltage => ("V", "V"),
        Dimension::Frequency => ("Hz", "Hz"),
        Dimension::Expansion => ("µm/(m·K)", "µin/(in·°F)"),
        Dimension::Compressibility => ("1/GPa", "1/psi"),
        Dimension::MolarMass => ("g/mol", "g/mol"),
        Dimension::SpecificGasConstant => ("J/(kg·K)", "ft·lbf/(lb·°R)"),
        Dimension::MassFlow => ("kg/s", "lb/s"),
        Dimension::MassPerLength => ("kg/m", "lb/ft"),
        Dimension::PerLength => ("1/mm", "tpi"),
    }
}

/// The unit a bare number is taken in, for a field of this dimension.
///
/// ```
/// use proofmark::quantity::{show::input_unit, Dimension, System};
/// assert_eq!(input_unit(Dimension::Length, System::Si), "mm");
/// assert_eq!(input_unit(Dimension::Pressure, System::Us), "psi");
/// ```
pub const fn input_unit(dimension: Dimension, system: System) -> &'static str {
    let (si, us) = input_units(dimension);
    match system {
        System::Si => si,
        System::Us => us,
    }
}

/// Show a value in the user's system. An absolute pressure says so ("5.80 MPa abs", "841 psia"); a plain
/// one is above the atmosphere.
///
/// ```
/// use proofmark::quantity::{show, GaugePressure, Length, Quantity, System};
/// assert_eq!(show(GaugePressure::mpa(5.7), System::Si), "5.70 MPa");
/// assert_eq!(show(GaugePressure::mpa(5.7), System::Us), "827 psi");
/// assert_eq!(show(Length::mm(66.68), System::Us), "2.6252 in");
/// ```
pub fn show<Q: Quantity>(value: Q, system: System) -> String {
    let shown = show_si(value.si(), Q::DIMENSION, system);
    match Q::ABSOLUTE {
        Some(true) if shown.ends_with(" psi") => shown + "a",
        Some(true) => shown + " abs",
        _ => shown,
    }
}

/// The user's system first, the other in brackets; once where both are the same.
///
/// ```
/// use proofmark::quantity::{show::show_both, GaugePressure, Impulse, Quantity, System};
/// assert_eq!(show_both(GaugePressure::mpa(5.7), System::Si), "5.70 MPa (827 psi)");
/// assert_eq!(show_both(Impulse::from_si(951.2), System::Us), "951 N·s");
/// ```
pub fn show_both<Q: Quantity>(value: Q, system: System) -> String {
    let other = match system {
        System::Si => System::Us,
        System::Us => System::Si,
    };
    let (first, second) = (show(value, system), show(value, other));
    if first == second { first } else { format!("{first} ({second})") }
}

/// Show an SI number of a known dimension.
///
/// ```
/// use proofmark::quantity::{show::show_si, Dimension, System};
/// assert_eq!(show_si(0.0016, Dimension::Length, System::Si), "1.60 mm");
/// assert_eq!(show_si(293.15, Dimension::Temperature, System::Us), "68 °F");
/// ```
pub fn show_si(si: f64, dimension: Dimension, system: System) -> String {
    if !si.is_finite() {
        return "not a number".to_owned();
    }
    let step = ladder(dimension, system).iter().find(|step| si.abs() >= step.from);
    let fallback = Step { from: 0.0, unit: input_unit(dimension, system), digits: Digits::Sig(3) };
    let step = step.unwrap_or(&fallback);
    match find(step.unit, dimension) {
        Some(unit) => in_unit(si, unit, step.digits),
        None => format!("{} in SI units", digits(si, Digits::Sig(4))),
    }
}

/// The value in a given unit, to so many significant figures; for a message that keeps the typed unit.
pub(super) fn in_unit_sig(si: f64, unit: &Unit, figures: usize) -> String {
    in_unit(si, unit, Digits::Sig(figures))
}

fn in_unit(si: f64, unit: &Unit, how: Digits) -> String {
    let number = digits(unit.from_si(si), how);
    if unit.symbol == "°" { format!("{number}°") } else { format!("{number} {}", unit.symbol) }
}

/// How many digits are kept.
#[derive(Clone, Copy)]
enum Digits {
    /// At least so many significant figures, and every digit before the point.
    Sig(usize),
    /// So many decimals.
    Fixed(usize),
    /// So many decimals, trailing zeros dropped.
    Trim(usize),
}

fn digits(value: f64, how: Digits) -> String {
    // A plain form of 1e300 would be a line of zeros, and of 1e-30 nothing but zeros.
    if value != 0.0 && !(1e-6..1e9).contains(&value.abs()) {
        return format!("{value:.3e}");
    }
    // Half goes up, as a person rounds: 3.175 is kept as a hair less, and would come out as 3.17.
    let value = value * (1.0 + 1e-12);
    let text = match how {
        Digits::Sig(figures) => {
            // The exponent after rounding, so that 9.999 becomes 10.0 and not 10.00.
            let rounded = format!("{:.*e}", figures.saturating_sub(1), value);
            let exponent: i32 = rounded.rsplit('e').next().and_then(|text| text.parse().ok()).unwrap_or(0);
            let before_point = usize::try_from(exponent + 1).unwrap_or(0);
            let leading_zeros = usize::try_from(-(exponent + 1)).unwrap_or(0);
            format!("{value:.*}", figures.saturating_sub(before_point) + leading_zeros)
        }
        Digits::Fixed(decimals) => format!("{value:.decimals$}"),
        Digits::Trim(decimals) => {
            let text = format!("{value:.decimals$}");
            if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.').to_owned()
            } else {
                text
            }
        }
    };
    match text.strip_prefix('-') {
        Some(zero) if !zero.bytes().any(|byte| (b'1'..=b'9').contains(&byte)) => zero.to_owned(),
        _ => text,
    }
}

/// From this SI size upwards, this unit and these digits; the first step that fits is taken.
#[derive(Clone, Copy)]
struct Step {
    from: f64,
    unit: &'static str,
    digits: Digits,
}

const fn step(from: f64, unit: &'static str, digits: Digits) -> Step {
    Step { from, unit, digits }
}

/// The steps of a dimension, from large to small; zero takes the last that starts at zero.
const fn ladder(dimension: Dimension, system: System) -> &'static [Step] {
    use Digits::{Fixed, Sig, Trim};
    use Dimension as D;
    use System::{Si, Us};
    match (dimension, system) {
        (D::Length, Si) => {
            const {
                &[
                    step(10.0, "m", Sig(4)),
                    step(1e-3, "mm", Fixed(2)),
                    step(1e-5, "mm", Fixed(3)),
                    step(1e-12, "µm", Sig(3)),
                    step(0.0, "mm", Fixed(2)),
                ]
            }
        }
        (D::Length, Us) => {
            const {
                &[
                    step(10.0, "ft", Sig(4)),
                    step(2.54e-5, "in", Fixed(4)),
                    step(1e-12, "in", Sig(3)),
                    step(0.0, "in", Fixed(4)),
                ]
            }
        }
        (D::Area, Si) => const { &[step(1.0, "m²", Sig(4)), step(0.0, "mm²", Sig(4))] },
        (D::Area, Us) => const { &[step(0.0, "in²", Sig(4))] },
        (D::Volume, Si) => const { &[step(0.01, "L", Sig(4)), step(0.0, "mL", Sig(4))] },
        (D::Volume, Us) => const { &[step(0.0, "in³", Sig(4))] },
        (D::Mass, Si) => const { &[step(1.0, "kg", Sig(4)), step(0.0, "g", Sig(4))] },
        (D::Mass, Us) => const { &[step(0.453_592_37, "lb", Sig(4)), step(0.0, "oz", Sig(4))] },
        (D::Force, Si) => const { &[step(1e4, "kN", Sig(3)), step(0.0, "N", Sig(3))] },
        (D::Force, Us) => const { &[step(0.0, "lbf", Sig(3))] },
        (D::Impulse, _) => const { &[step(0.0, "N·s", Sig(3))] },
        (D::Pressure, Si) => {
            const {
                &[
                    step(1e10, "GPa", Sig(3)),
                    step(1e5, "MPa", Sig(3)),
                    step(100.0, "kPa", Sig(3)),
                    step(1e-300, "Pa", Sig(3)),
                    step(0.0, "MPa", Sig(3)),
                ]
            }
        }
        (D::Pressure, Us) => {
            const {
                &[
                    step(6.894_757_293e9, "Msi", Sig(3)),
                    step(6.894_757_293e7, "ksi", Sig(3)),
                    step(0.0, "psi", Sig(3)),
                ]
            }
        }
        (D::Temperature, Si) => const { &[step(0.0, "°C", Trim(1))] },
        (D::Temperature, Us) => const { &[step(0.0, "°F", Trim(1))] },
        (D::TemperatureDifference, Si) => const { &[step(0.0, "K", Sig(3))] },
        (D::TemperatureDifference, Us) => const { &[step(0.0, "°F", Sig(3))] },
        (D::Time, _) => {
            const {
                &[
                    step(172_800.0, "day", Sig(3)),
                    step(7200.0, "h", Sig(3)),
                    step(600.0, "min", Sig(3)),
                    step(0.1, "s", Sig(3)),
                    step(1e-9, "ms", Sig(3)),
                    step(0.0, "s", Sig(3)),
                ]
            }
        }
        (D::Speed, Si) => {
            const { &[step(0.5, "m/s", Sig(3)), step(1e-9, "mm/s", Sig(3)), step(0.0, "m/s", Sig(3))] }
        }
        (D::Speed, Us) => {
            const { &[step(0.5, "ft/s", Sig(3)), step(1e-9, "in/s", Sig(3)), step(0.0, "ft/s", Sig(3))] }
        }
        (D::Density, Si) => const { &[step(0.0, "kg/m³", Sig(4))] },
        (D::Density, Us) => const { &[step(0.0, "lb/in³", Sig(4))] },
        (D::Energy, Si) => {
            const { &[step(1e7, "MJ", Sig(3)), step(1e4, "kJ", Sig(3)), step(0.0, "J", Sig(3))] }
        }
        (D::Energy, Us) => const { &[step(0.0, "ft·lbf", Sig(3))] },
        (D::Angle, _) => const { &[step(0.0, "°", Trim(2))] },
        (D::Resistance, _) => {
            const {
                &[
                    step(1e6, "MΩ", Sig(3)),
                    step(1e3, "kΩ", Sig(3)),
                    step(0.1, "Ω", Sig(3)),
                    step(1e-9, "mΩ", Sig(3)),
                    step(0.0, "Ω", Sig(3)),
                ]
            }
        }
        (D::Voltage, _) => {
            const { &[step(0.5, "V", Sig(3)), step(1e-9, "mV", Sig(3)), step(0.0, "V", Sig(3))] }
        }
        (D::Frequency, _) => const { &[step(1e4, "kHz", Sig(3)), step(0.0, "Hz", Sig(3))] },
        (D::MassFlow, Si) => {
            const { &[step(1.0, "kg/s", Sig(3)), step(1e-9, "g/s", Sig(3)), step(0.0, "kg/s", Sig(3))] }
        }
        (D::SpecificGasConstant, _) => const { &[step(0.0, "J/(kg·K)", Sig(4))] },
        (D::MolarMass, _) => const { &[step(0.0, "g/mol", Sig(4))] },
        // The rest take the unit a bare number is typed in, to three figures.
        _ => const { &[] },
    }
}

/// A count and its noun: 1 firing, 2 firings; 1 entry, 2 entries.
///
/// ```
/// use proofmark::quantity::counted;
/// assert_eq!((counted(1, "firing").as_str(), counted(3, "entry").as_str()), ("1 firing", "3 entries"));
/// ```
pub fn counted(count: impl std::fmt::Display, noun: &str) -> String {
    let count = count.to_string();
    format!("{count} {}", plural(&count, noun))
}

/// The noun alone, as it stands behind a count.
pub fn plural(count: impl std::fmt::Display, noun: &str) -> String {
    match (count.to_string().as_str(), noun.strip_suffix('y')) {
        ("1", _) => noun.to_owned(),
        (_, Some(stem)) if !noun.ends_with("ay") => format!("{stem}ies"),
        _ => format!("{noun}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::types::*;
    use super::*;

    #[test]
    fn shown_for_a_person() {
        use System::{Si, Us};
        assert_eq!(show(Length::mm(66.68), Si), "66.68 mm");
        assert_eq!(show(Length::inches(0.125), Si), "3.18 mm");
        assert_eq!(show(Length::mm(0.1234), Si), "0.123 mm");
        assert_eq!(show(Length::mm(66.68), Us), "2.6252 in");
        assert_eq!(show(Length::mm(12_340.0), Si), "12.34 m");
        assert_eq!(show(Length::mm(0.0), Si), "0.00 mm");
        assert_eq!(show(GaugePressure::mpa(0.05), Si), "50.0 kPa");
        assert_eq!(show(GaugePressure::mpa(7.38), Us), "1070 psi");
        assert_eq!(show(Stress::mpa(240.0), Us), "34.8 ksi");
        assert_eq!(show(Stress::mpa(68_900.0), Si), "68.9 GPa");
        assert_eq!(show(AbsolutePressure::mpa(5.8), Si), "5.80 MPa abs");
        assert_eq!(show(AbsolutePressure::mpa(5.8), Us), "841 psia");
        assert_eq!(show_both(AbsolutePressure::mpa(5.8), Us), "841 psia (5.80 MPa abs)");
        assert_eq!(show_both(Force::from_si(1868.25), Si), "1868 N (420 lbf)");
        assert_eq!(show(Mass::from_si(0.8123), Si), "812.3 g");
        assert_eq!(show(Mass::from_si(0.8123), Us), "1.791 lb");
        assert_eq!(show(Impulse::from_si(951.0), Us), "951 N·s");
        assert_eq!(show(Temperature::celsius(20.0), Us), "68 °F");
        assert_eq!(show(Temperature::celsius(-0.01), Si), "0 °C");
        assert_eq!(show(Volume::from_si(8.12e-4), Si), "812.0 mL");
        assert_eq!(show(Speed::from_si(0.007), Si), "7.00 mm/s");
        assert_eq!(show(Angle::from_si(12.0_f64.to_radians()), Si), "12°");
        assert_eq!(show(Length::from_si(f64::NAN), Si), "not a number");
        assert!(show(Length::from_si(1e300), Si).len() < 20);
        assert_eq!(show_si(9.999, Dimension::Force, Si), "10.0 N");
    }
}
