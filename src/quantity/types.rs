//! Newtypes over SI values, one for each thing that must not be mistaken for another.

use serde::{Deserialize, Serialize};

use super::units::Dimension;

/// A physical quantity held in SI.
///
/// Every value read by [`super::parse`] is finite; arithmetic is done on `si()` inside formulas, where
/// local names carry the unit (`p_pa`, `t_m`).
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// What kind of unit may be typed for it.
    const DIMENSION: Dimension;
    /// The unit suffix of its JSON key and SQL column: `pa`, `m`, `kg`.
    const SI_KEY: &'static str;
    /// Whether a typed pressure is measured from the atmosphere or from vacuum; `None` for all else.
    const ABSOLUTE: Option<bool> = None;
    /// From the SI value.
    fn from_si(si: f64) -> Self;
    /// The SI value.
    fn si(self) -> f64;
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident : $dimension:ident, $key:literal $(, absolute = $absolute:literal)?;)*) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
            #[serde(transparent)]
            pub struct $name(f64);

            impl Quantity for $name {
                const DIMENSION: Dimension = Dimension::$dimension;
                const SI_KEY: &'static str = $key;
                $(const ABSOLUTE: Option<bool> = Some($absolute);)?
                fn from_si(si: f64) -> Self { Self(si) }
                fn si(self) -> f64 { self.0 }
            }
        )*
    };
}

quantities! {
    /// A length in metres.
    Length: Length, "m";
    /// An area in square metres.
    Area: Area, "m2";
    /// A volume in cubic metres.
    Volume: Volume, "m3";
    /// A mass in kilograms.
    Mass: Mass, "kg";
    /// A force in newtons.
    Force: Force, "n";
    /// A total impulse in newton seconds.
    Impulse: Impulse, "ns";
    /// A pressure above the surrounding atmosphere, in pascals: what a gauge reads and what a wall carries.
    GaugePressure: Pressure, "pa", absolute = false;
    /// A pressure above vacuum, in pascals: what the burn law and the nozzle work with.
    AbsolutePressure: Pressure, "pa", absolute = true;
    /// A stress or strength in pascals.
    Stress: Pressure, "pa";
    /// An absolute temperature in kelvin.
    Temperature: Temperature, "k";
    /// A span of time in seconds.
    TimeSpan: Time, "s";
    /// A speed in metres a second.
    Speed: Speed, "m_s";
    /// A density in kilograms a cubic metre.
    Density: Density, "kg_m3";
    /// A plane angle in radians.
    Angle: Angle, "rad";
    /// An electrical resistance in ohms.
    Resistance: Resistance, "ohm";
    /// A voltage in volts.
    Voltage: Voltage, "v";
    /// A frequency in hertz.
    Frequency: Frequency, "hz";
    /// An energy in joules.
    Energy: Energy, "j";
    /// A difference of two temperatures in kelvin; 18 degF of it are 10 K.
    TemperatureDifference: TemperatureDifference, "k";
    /// A linear thermal expansion per kelvin.
    Expansion: Expansion, "per_k";
    /// A compressibility per pascal.
    Compressibility: Compressibility, "per_pa";
    /// A molar mass in kilograms a mole.
    MolarMass: MolarMass, "kg_mol";
    /// A specific gas constant in joules a kilogram kelvin.
    SpecificGasConstant: SpecificGasConstant, "j_kg_k";
    /// A mass flow in kilograms a second.
    MassFlow: MassFlow, "kg_s";
    /// A mass per length in kilograms a metre.
    MassPerLength: MassPerLength, "kg_m";
    /// A count of threads per metre, typed as threads per inch.
    ThreadCount: PerLength, "per_m";
}

/// The standard atmosphere, exactly (ISO 2533:1975; NIST SP 811 Appendix B).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

impl Length {
    /// From millimetres.
    pub const fn mm(value: f64) -> Self {
        Self(value / 1e3)
    }
    /// From inches, exactly 25.4 mm each.
    pub const fn inches(value: f64) -> Self {
        Self(value * 0.0254)
    }
    /// In millimetres.
    pub const fn as_mm(self) -> f64 {
        self.0 * 1e3
    }
}

impl Stress {
    /// From megapascals.
    pub const fn mpa(value: f64) -> Self {
        Self(value * 1e6)
    }
    /// From thousands of pounds-force a square inch.
    pub const fn ksi(value: f64) -> Self {
        Self(value * (super::table::PSI_PA * 1e3))
    }
    /// In megapascals.
    pub const fn as_mpa(self) -> f64 {
        self.0 * 1e-6
    }
}

impl GaugePressure {
    /// From megapascals above the atmosphere.
    pub const fn mpa(value: f64) -> Self {
        Self(value * 1e6)
    }
    /// In megapascals above the atmosphere.
    pub const fn as_mpa(self) -> f64 {
        self.0 * 1e-6
    }
    /// The same pressure above vacuum, under the given atmosphere in pascals.
    pub const fn absolute_under(self, atmosphere_pa: f64) -> AbsolutePressure {
        AbsolutePressure(self.0 + atmosphere_pa)
    }
}

impl AbsolutePressure {
    /// From megapascals above vacuum.
    pub const fn mpa(value: f64) -> Self {
        Self(value * 1e6)
    }
    /// In megapascals above vacuum.
    pub const fn as_mpa(self) -> f64 {
        self.0 * 1e-6
    }
    /// The same pressure above the given atmosphere in pascals.
    pub const fn gauge_under(self, atmosphere_pa: f64) -> GaugePressure {
        GaugePressure(self.0 - atmosphere_pa)
    }
}

impl Temperature {
    /// From degrees Celsius.
    pub const fn celsius(value: f64) -> Self {
        Self(value + 273.15)
    }
    /// In degrees Celsius.
    pub const fn as_celsius(self) -> f64 {
        self.0 - 273.15
    }
}
