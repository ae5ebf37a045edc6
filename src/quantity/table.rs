//! Every unit, with the spellings people use, in canonical form (see [`super::units::canonical`]).
//!
//! Factors follow NIST Special Publication 811 (2008), Appendix B. The inch, foot, pound, US gallon, standard
//! gravity (9.80665 m/s², so the pound-force and kilogram-force) and standard atmosphere are exact there;
//! units built from those are computed here, so they keep every digit. The conventional millimetre of
//! mercury, 133.3224 Pa in that table, is carried as 133.322387415 Pa (13 595.1 kg/m³ under standard gravity;
//! the density from memory, the product agrees with the table's seven digits).

use super::units::Dimension::{self, *};
use super::units::Unit;

/// Metres in an inch, exactly.
pub const INCH_M: f64 = 0.0254;
/// Metres in a foot, exactly.
pub const FOOT_M: f64 = 0.3048;
/// Kilograms in an avoirdupois pound, exactly.
pub const POUND_KG: f64 = 0.453_592_37;
/// Standard gravity in metres a second squared, exactly.
pub const GRAVITY: f64 = 9.806_65;
/// Newtons in a pound-force, exactly.
pub const POUND_FORCE_N: f64 = POUND_KG * GRAVITY;
/// Pascals in a pound-force a square inch.
pub const PSI_PA: f64 = POUND_FORCE_N / (INCH_M * INCH_M);
/// Pascals in a standard atmosphere, exactly.
const ATM_PA: f64 = super::types::STANDARD_ATMOSPHERE_PA;
const MM_HG_PA: f64 = 133.322_387_415;
/// Kelvin in a Fahrenheit degree.
const F_DEGREE: f64 = 5.0 / 9.0;
const FT_LBF_J: f64 = FOOT_M * POUND_FORCE_N;
const IN3: f64 = INCH_M * INCH_M * INCH_M;
const FT3: f64 = FOOT_M * FOOT_M * FOOT_M;

const fn u(dimension: Dimension, symbol: &'static str, scale: f64, also: &'static [&'static str]) -> Unit {
    Unit { symbol, also, dimension, scale, offset: 0.0 }
}

const fn t(symbol: &'static str, scale: f64, offset: f64, also: &'static [&'static str]) -> Unit {
    Unit { symbol, also, dimension: Temperature, scale, offset }
}

/// Every unit the program knows. A symbol is how the program writes it; the first row of a dimension is its
/// SI unit.
#[rustfmt::skip] // a table reads better one unit a line
pub const UNITS: &[Unit] = &[
    u(Length, "m", 1.0, &["metre", "metres", "meter", "meters"]),
    u(Length, "mm", 1e-3, &["millimetre", "millimetres", "millimeter", "millimeters"]),
    u(Length, "cm", 1e-2, &["centimetre", "centimetres", "centimeter", "centimeters"]),
    u(Length, "µm", 1e-6, &["um", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"]),
    u(Length, "km", 1e3, &["kilometre", "kilometres", "kilometer", "kilometers"]),
    u(Length, "in", INCH_M, &["inch", "inches", "\"", "ins"]),
    u(Length, "ft", FOOT_M, &["foot", "feet", "'"]),
    u(Length, "yd", 3.0 * FOOT_M, &["yard", "yards"]),
    u(Length, "thou", INCH_M * 1e-3, &["thous", "mil", "mils"]),
    u(Length, "mi", 5280.0 * FOOT_M, &["mile", "miles"]),

    u(Area, "m²", 1.0, &["m2", "sq·m"]),
    u(Area, "mm²", 1e-6, &["mm2", "sq·mm"]),
    u(Area, "cm²", 1e-4, &["cm2", "sq·cm"]),
    u(Area, "in²", INCH_M * INCH_M, &["in2", "sq·in", "sqin", "square·inch", "square·inches"]),
    u(Area, "ft²", FOOT_M * FOOT_M, &["ft2", "sq·ft", "sqft"]),

    u(Volume, "m³", 1.0, &["m3", "cu·m"]),
    u(Volume, "mL", 1e-6, &["ml", "millilitre", "millilitres", "milliliter", "milliliters"]),
    u(Volume, "L", 1e-3, &["l", "litre", "litres", "liter", "liters", "dm3"]),
    u(Volume, "cL", 1e-5, &["cl"]),
    u(Volume, "cm³", 1e-6, &["cm3", "cc", "ccm", "cu·cm"]),
    u(Volume, "mm³", 1e-9, &["mm3", "cu·mm"]),
    u(Volume, "µL", 1e-9, &["uL", "ul"]),
    u(Volume, "in³", IN3, &["in3", "cu·in", "cuin", "ci", "cubic·inch", "cubic·inches"]),
    u(Volume, "ft³", FT3, &["ft3", "cu·ft", "cuft", "cubic·foot", "cubic·feet"]),
    u(Volume, "gal", 231.0 * IN3, &["US·gal", "gallon", "gallons"]),
    u(Volume, "fl oz", 231.0 / 128.0 * IN3, &["fl·oz", "floz", "US·fl·oz"]),

    u(Mass, "kg", 1.0, &["kilogram", "kilograms", "kgs", "kilo", "kilos"]),
    u(Mass, "g", 1e-3, &["gram", "grams", "gramme", "grammes"]),
    u(Mass, "mg", 1e-6, &["milligram", "milligrams"]),
    u(Mass, "t", 1e3, &["tonne", "tonnes"]),
    u(Mass, "lb", POUND_KG, &["lbm", "lbs", "pound", "pounds"]),
    u(Mass, "oz", POUND_KG / 16.0, &["ounce", "ounces", "ozm"]),
    u(Mass, "gr", POUND_KG / 7000.0, &["grain", "grains"]),

    u(Force, "N", 1.0, &["newton", "newtons"]),
    u(Force, "kN", 1e3, &["kilonewton", "kilonewtons"]),
    u(Force, "MN", 1e6, &[]),
    u(Force, "mN", 1e-3, &[]),
    u(Force, "lbf", POUND_FORCE_N, &["lb", "lbs", "pound", "pounds", "pound-force", "lb-f"]),
    u(Force, "kgf", GRAVITY, &["kp", "kilogram-force", "kg-f"]),
    u(Force, "gf", GRAVITY * 1e-3, &["gram-force"]),
    u(Force, "ozf", POUND_FORCE_N / 16.0, &["oz", "ounce-force"]),

    u(Impulse, "N·s", 1.0, &["Ns", "N-s", "N-sec", "N·sec", "newton·second", "newton·seconds"]),
    u(Impulse, "kN·s", 1e3, &["kNs", "kN-s"]),
    u(Impulse, "lbf·s", POUND_FORCE_N, &["lbfs", "lbf-s", "lbf·sec", "lbf-sec", "lb·s", "lbs·s", "lb-s", "lb·sec", "lb-sec"]),
    u(Impulse, "kgf·s", GRAVITY, &["kgfs", "kgf-s"]),

    u(Pressure, "Pa", 1.0, &["N/m2", "pascal", "pascals"]),
    u(Pressure, "hPa", 1e2, &[]),
    u(Pressure, "kPa", 1e3, &["kN/m2"]),
    u(Pressure, "MPa", 1e6, &["N/mm2", "MN/m2", "megapascal", "megapascals"]),
    u(Pressure, "GPa", 1e9, &["kN/mm2"]),
    u(Pressure, "bar", 1e5, &["bars"]),
    u(Pressure, "mbar", 1e2, &["millibar", "millibars"]),
    u(Pressure, "psi", PSI_PA, &["lbf/in2", "lb/in2", "lbf/sq·in", "lb/sq·in", "lbs/in2"]),
    u(Pressure, "ksi", PSI_PA * 1e3, &["kpsi"]),
    u(Pressure, "Msi", PSI_PA * 1e6, &["msi", "Mpsi"]),
    u(Pressure, "psf", POUND_FORCE_N / (FOOT_M * FOOT_M), &["lbf/ft2", "lb/ft2"]),
    u(Pressure, "atm", ATM_PA, &["atmosphere", "atmospheres"]),
    u(Pressure, "kgf/cm²", GRAVITY * 1e4, &["kgf/cm2", "kg/cm2", "at", "kp/cm2"]),
    u(Pressure, "mmHg", MM_HG_PA, &["mm·Hg"]),
    u(Pressure, "Torr", ATM_PA / 760.0, &["torr"]),
    u(Pressure, "inHg", 25.4 * MM_HG_PA, &["in·Hg", "\"Hg"]),
    // Conventional water, 1000 kg/m³ at standard gravity.
    u(Pressure, "inH2O", 25.4 * GRAVITY, &["in·H2O", "inWC", "in·WC"]),
    u(Pressure, "mmH2O", GRAVITY, &["mm·H2O"]),

    t("K", 1.0, 0.0, &["kelvin", "kelvins", "°K", "degK"]),
    t("°C", 1.0, 273.15, &["degC", "C", "deg·C", "celsius", "Celsius", "centigrade", "degrees·C", "degrees·celsius"]),
    t("°F", F_DEGREE, 459.67 * F_DEGREE, &["degF", "F", "deg·F", "fahrenheit", "Fahrenheit", "degrees·F", "degrees·fahrenheit"]),
    t("°R", F_DEGREE, 0.0, &["degR", "R", "deg·R", "rankine", "Rankine"]),

    u(TemperatureDifference, "K", 1.0, &["kelvin", "kelvins", "°C", "degC", "C", "deg·C", "celsius", "degrees·C"]),
    u(TemperatureDifference, "°F", F_DEGREE, &["degF", "F", "deg·F", "°R", "degR", "R", "fahrenheit", "degrees·F"]),

    u(Time, "s", 1.0, &["sec", "secs", "second", "seconds"]),
    u(Time, "ms", 1e-3, &["msec", "millisecond", "milliseconds"]),
    u(Time, "µs", 1e-6, &["us", "usec", "microsecond", "microseconds"]),
    u(Time, "min", 60.0, &["mins", "minute", "minutes"]),
    u(Time, "h", 3600.0, &["hr", "hrs", "hour", "hours"]),
    u(Time, "day", 86_400.0, &["d", "days"]),
    u(Time, "week", 604_800.0, &["wk", "weeks"]),

    u(Speed, "m/s", 1.0, &["mps", "m/sec"]),
    u(Speed, "mm/s", 1e-3, &["mm/sec"]),
    u(Speed, "cm/s", 1e-2, &["cm/sec"]),
    u(Speed, "km/s", 1e3, &[]),
    u(Speed, "mm/min", 1e-3 / 60.0, &[]),
    u(Speed, "in/s", INCH_M, &["in/sec", "ips", "\"/s", "inch/s", "inches/s", "inches/second", "inch/second"]),
    u(Speed, "in/min", INCH_M / 60.0, &["ipm"]),
    u(Speed, "ft/s", FOOT_M, &["ft/sec", "fps", "feet/s", "feet/second"]),
    u(Speed, "ft/min", FOOT_M / 60.0, &["fpm", "sfm"]),
    u(Speed, "km/h", 1.0 / 3.6, &["kph", "kmh", "km/hr"]),
    u(Speed, "mph", 5280.0 * FOOT_M / 3600.0, &["mi/h", "miles/hour"]),

    u(Density, "kg/m³", 1.0, &["kg/m3", "g/L", "g/l"]),
    u(Density, "g/cm³", 1e3, &["g/cm3", "g/cc", "g/mL", "g/ml", "kg/L", "kg/l"]),
    u(Density, "lb/in³", POUND_KG / IN3, &["lb/in3", "lbm/in3", "lb/cu·in", "lb/cuin"]),
    u(Density, "lb/ft³", POUND_KG / FT3, &["lb/ft3", "lbm/ft3", "pcf", "lb/cu·ft"]),
    u(Density, "oz/in³", POUND_KG / 16.0 / IN3, &["oz/in3", "oz/cu·in"]),

    u(Energy, "J", 1.0, &["joule", "joules", "N·m", "Nm"]),
    u(Energy, "kJ", 1e3, &["kilojoule", "kilojoules"]),
    u(Energy, "MJ", 1e6, &[]),
    u(Energy, "mJ", 1e-3, &[]),
    u(Energy, "ft·lbf", FT_LBF_J, &["ft·lb", "ft-lbf", "ft-lb", "ftlbf", "ftlb", "lbf·ft", "lb·ft"]),

    u(Angle, "rad", 1.0, &["radian", "radians"]),
    u(Angle, "°", std::f64::consts::PI / 180.0, &["deg", "degs", "degree", "degrees"]),

    u(Resistance, "Ω", 1.0, &["ohm", "ohms", "Ohm", "R"]),
    u(Resistance, "mΩ", 1e-3, &["mohm", "mohms", "milliohm", "milliohms", "mOhm"]),
    u(Resistance, "kΩ", 1e3, &["kohm", "kohms", "kilohm", "kOhm"]),
    u(Resistance, "MΩ", 1e6, &["Mohm", "Mohms", "megohm", "MOhm"]),

    u(Voltage, "V", 1.0, &["volt", "volts"]),
    u(Voltage, "mV", 1e-3, &["millivolt", "millivolts"]),
    u(Voltage, "µV", 1e-6, &["uV", "microvolt", "microvolts"]),
    u(Voltage, "kV", 1e3, &[]),

    u(Frequency, "Hz", 1.0, &["1/s", "/s", "hertz", "sps", "S/s", "samples/s", "samples/second"]),
    u(Frequency, "kHz", 1e3, &["ksps", "kS/s"]),
    u(Frequency, "MHz", 1e6, &[]),

    u(Expansion, "1/K", 1.0, &["/K", "K-1", "m/m/K", "m/(m·K)", "1/°C", "1/degC", "/°C", "/degC", "1/C", "/C"]),
    u(Expansion, "µm/(m·K)", 1e-6, &["um/(m·K)", "um/m/K", "um/m·K", "um/m/°C", "um/m/degC", "um/m°C", "um/(m°C)", "ppm/K", "ppm/°C", "ppm/degC", "ppm/C"]),
    u(Expansion, "1/°F", 1.0 / F_DEGREE, &["/°F", "1/degF", "/degF", "1/F", "/F", "in/in/°F", "in/in/degF", "in/in/F"]),
    u(Expansion, "µin/(in·°F)", 1e-6 / F_DEGREE, &["uin/(in°F)", "uin/in/°F", "uin/in/degF", "uin/in/F", "ppm/°F", "ppm/degF", "ppm/F"]),

    u(Compressibility, "1/Pa", 1.0, &["/Pa", "Pa-1"]),
    u(Compressibility, "1/kPa", 1e-3, &["/kPa"]),
    u(Compressibility, "1/MPa", 1e-6, &["/MPa"]),
    u(Compressibility, "1/GPa", 1e-9, &["/GPa"]),
    u(Compressibility, "1/bar", 1e-5, &["/bar"]),
    u(Compressibility, "1/psi", 1.0 / PSI_PA, &["/psi"]),
    u(Compressibility, "1/atm", 1.0 / ATM_PA, &["/atm"]),

    u(MolarMass, "kg/mol", 1.0, &[]),
    u(MolarMass, "g/mol", 1e-3, &["kg/kmol", "lb/lbmol"]),

    u(SpecificGasConstant, "J/(kg·K)", 1.0, &["J/kg/K", "J/kg·K", "J/kgK", "J/(kgK)", "m2/s2/K", "N·m/(kg·K)"]),
    u(SpecificGasConstant, "kJ/(kg·K)", 1e3, &["kJ/kg/K", "kJ/kg·K", "kJ/kgK", "kJ/(kgK)"]),
    u(SpecificGasConstant, "ft·lbf/(lb·°R)", FT_LBF_J / POUND_KG / F_DEGREE, &["ft·lbf/(lb°R)", "ft·lbf/(lb·R)", "ft·lbf/lb/R", "ft·lbf/lb·R", "ft·lbf/(lbm·R)", "ft·lbf/lbm/R", "ft-lbf/(lb·R)", "ft-lbf/lb/R"]),

    u(MassFlow, "kg/s", 1.0, &["kg/sec"]),
    u(MassFlow, "g/s", 1e-3, &["g/sec"]),
    u(MassFlow, "kg/min", 1.0 / 60.0, &[]),
    u(MassFlow, "kg/h", 1.0 / 3600.0, &["kg/hr"]),
    u(MassFlow, "lb/s", POUND_KG, &["lb/sec", "lbm/s", "lbm/sec", "pps"]),
    u(MassFlow, "oz/s", POUND_KG / 16.0, &[]),

    u(MassPerLength, "kg/m", 1.0, &["g/mm"]),
    u(MassPerLength, "g/m", 1e-3, &[]),
    u(MassPerLength, "g/cm", 0.1, &[]),
    u(MassPerLength, "lb/ft", POUND_KG / FOOT_M, &["lbm/ft", "plf"]),
    u(MassPerLength, "lb/in", POUND_KG / INCH_M, &["lbm/in"]),
    u(MassPerLength, "oz/in", POUND_KG / 16.0 / INCH_M, &[]),

    u(PerLength, "1/m", 1.0, &["/m"]),
    u(PerLength, "1/mm", 1e3, &["/mm", "threads/mm"]),
    u(PerLength, "1/cm", 1e2, &["/cm"]),
    u(PerLength, "tpi", 1.0 / INCH_M, &["TPI", "1/in", "/in", "1/inch", "/inch", "threads/inch", "threads/in"]),
    u(PerLength, "1/ft", 1.0 / FOOT_M, &["/ft"]),
];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::show::{System, input_unit};
    use super::super::units::{Lookup, canonical, find, look_up};
    use super::super::{Dimension, parse_quantity};
    use super::UNITS;

    fn same(got: f64, expected: f64, what: &str) {
        assert!((got - expected).abs() <= 1e-9 * expected.abs(), "{what}: {got}, not {expected}");
    }

    // Published values: NIST SP 811 (2008), Appendix B.8 and B.9.

    #[test]
    fn factors_agree_with_nist() {
        use Dimension as D;
        // Exact in the guide, or built from its exact factors.
        for (dimension, unit, factor) in [
            (D::Length, "in", 0.0254),
            (D::Length, "ft", 0.3048),
            (D::Length, "yd", 0.9144),
            (D::Length, "mil", 2.54e-5),
            (D::Length, "mi", 1609.344),
            (D::Area, "in2", 6.4516e-4),
            (D::Volume, "in3", 1.638_706_4e-5),
            (D::Volume, "gal", 3.785_411_784e-3),
            (D::Volume, "fl oz", 2.957_352_956_25e-5),
            (D::Mass, "lb", 0.453_592_37),
            (D::Mass, "oz", 0.028_349_523_125),
            (D::Mass, "grain", 6.479_891e-5),
            (D::Force, "lbf", 4.448_221_615_260_5),
            (D::Force, "kgf", 9.806_65),
            (D::Pressure, "psi", 6_894.757_293_168),
            (D::Pressure, "atm", 101_325.0),
            (D::Pressure, "bar", 1e5),
            (D::Pressure, "kgf/cm2", 98_066.5),
            (D::Speed, "mph", 0.447_04),
            (D::Density, "lb/in3", 27_679.904_710_203),
            (D::Energy, "ft lbf", 1.355_817_948_331_4),
            (D::MassPerLength, "lb/ft", 1.488_163_943_569_55),
        ] {
            same(find(unit, dimension).unwrap().scale, factor, unit);
        }
        // Given to seven digits there.
        for (dimension, unit, factor) in [
            (D::Density, "lb/ft3", 16.018_46),
            (D::Pressure, "mmHg", 133.3224),
            (D::Pressure, "inHg", 3386.389),
            (D::Pressure, "torr", 133.3224),
            (D::Pressure, "psf", 47.880_26),
            (D::Angle, "deg", 1.745_329e-2),
            (D::SpecificGasConstant, "ft·lbf/(lb·R)", 5.380_320),
        ] {
            let scale = find(unit, dimension).unwrap().scale;
            assert!((scale / factor - 1.0).abs() < 4e-7, "{unit}: {scale}");
        }
        for (text, kelvin) in
            [("32 degF", 273.15), ("212 °F", 373.15), ("-40 F", 233.15), ("491.67 degR", 273.15)]
        {
            same(parse_quantity(text, D::Temperature, None).unwrap().si, kelvin, text);
        }
    }

    #[test]
    fn the_table_is_sound() {
        for unit in UNITS {
            assert!(unit.scale.is_finite() && unit.scale > 0.0, "{}", unit.symbol);
            for spelling in std::iter::once(&unit.symbol).chain(unit.also) {
                assert_eq!(find(spelling, unit.dimension), Some(unit), "{spelling} of {:?}", unit.dimension);
            }
            for spelling in unit.also {
                assert_eq!(&canonical(spelling), spelling, "an alias is kept in canonical form");
            }
        }
        for dimension in Dimension::ALL {
            for example in dimension.examples() {
                assert!(parse_quantity(example, *dimension, None).is_ok(), "{example}");
            }
            for system in [System::Si, System::Us] {
                assert!(find(input_unit(*dimension, system), *dimension).is_some(), "{dimension:?}");
            }
        }
    }

    #[test]
    fn milli_is_never_taken_for_mega() {
        // Here the letter is no prefix, or the pair is one that nobody could mean otherwise.
        let harmless = ["m", "m²", "m³", "m/s", "min", "mi", "mph", "mmHg", "mmH2O", "Msi", "mm/min"];
        for unit in UNITS.iter().filter(|unit| !harmless.contains(&unit.symbol)) {
            let swapped = match unit.symbol.chars().next() {
                Some('m') => unit.symbol.replacen('m', "M", 1),
                Some('M') => unit.symbol.replacen('M', "m", 1),
                _ => continue,
            };
            // Refused, or a unit in its own right, such as mN beside MN.
            if let Lookup::Found(found, _) = look_up(&swapped, unit.dimension) {
                assert_ne!(found.symbol, unit.symbol, "{swapped} was taken for it");
            }
        }
    }
}
