//! The units the program knows.

/// A kind of quantity; two dimensions never convert into each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Metres.
    Length,
    /// Square metres.
    Area,
    /// Cubic metres.
    Volume,
    /// Kilograms.
    Mass,
    /// Newtons.
    Force,
    /// Newton seconds.
    Impulse,
    /// Pascals: pressure, stress, modulus.
    Pressure,
    /// Kelvin, with an offset for degrees Celsius and Fahrenheit.
    Temperature,
    /// Kelvin of difference.
    TemperatureDifference,
    /// Seconds.
    Time,
    /// Metres a second.
    Speed,
    /// Kilograms a cubic metre.
    Density,
    /// Joules.
    Energy,
    /// Radians.
    Angle,
    /// Ohms.
    Resistance,
    /// Volts.
    Voltage,
    /// Hertz.
    Frequency,
    /// Per kelvin (thermal expansion).
    Expansion,
    /// Per pascal (compressibility).
    Compressibility,
    /// Kilograms a mole.
    MolarMass,
    /// Joules a kilogram kelvin (specific gas constant).
    SpecificGasConstant,
    /// Kilograms a second.
    MassFlow,
    /// Kilograms a metre.
    MassPerLength,
    /// Threads a metre (thread pitch given as threads per inch).
    PerLength,
}

/// What a typed pressure was said to be measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// "5 MPa": the field decides.
    Unstated,
    /// "5 MPa gauge", "750 psig", "50 barg".
    Gauge,
    /// "5 MPa abs", "750 psia", "50 bara".
    Absolute,
}

/// One unit: `si = value * scale + offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How the program writes it.
    pub symbol: &'static str,
    /// Other ways people type it.
    pub also: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// SI units in one of it.
    pub scale: f64,
    /// SI value at zero of it (temperatures only).
    pub offset: f64,
}
