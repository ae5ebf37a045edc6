//! Write a quantity for a person.

use super::types::Quantity;
use super::units::Dimension;

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

/// Show a value in the user's system.
pub fn show<Q: Quantity>(value: Q, system: System) -> String {
    let unit = input_unit(Q::DIMENSION, system);
    let shown = super::units::find(unit, Q::DIMENSION).map_or(value.si(), |unit| unit.from_si(value.si()));
    format!("{shown} {unit}")
}
