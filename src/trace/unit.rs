//! The units a column of a trace may carry.

use serde::Serialize;

/// What a column measures once its unit is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Measure {
    /// Seconds.
    Time,
    /// Newtons.
    Force,
    /// Pascals, gauge once the tare is off.
    Pressure,
    /// Volts: a channel that was never calibrated.
    Voltage,
}

/// A column unit: what it measures and how many SI units one of it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColumnUnit {
    /// What it measures.
    pub measure: Measure,
    /// SI units in one of it: `si = value * scale`.
    pub scale: f64,
    /// The readings are video frames: each holds until the next change.
    pub frames: bool,
}

/// Newtons in a pound-force (NIST SP 811, Appendix B, exact).
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Newtons in a kilogram-force: the standard acceleration of free fall, exact (NIST SP 811).
const KILOGRAM_FORCE_N: f64 = 9.806_65;
/// Pascals in a pound-force a square inch (NIST SP 811).
const PSI_PA: f64 = 6_894.757_293_168_361;

/// Symbols as people head their columns with them. Those in the first group are told apart by case
/// ("MPa" and "mPa", "N" and "n"); everything else is looked up in lower case.
const EXACT: &[(&str, Measure, f64)] = &[
    ("MPa", Measure::Pressure, 1e6),
    ("mPa", Measure::Pressure, 1e-3),
    ("mN", Measure::Force, 1e-3),
    ("MN", Measure::Force, 1e6),
    ("mV", Measure::Voltage, 1e-3),
];

const FOLDED: &[(&[&str], Measure, f64)] = &[
    (&["s", "sec", "secs", "second", "seconds"], Measure::Time, 1.0),
    (
        &["ms", "msec", "msecs", "millis", "millisec", "millisecs", "millisecond", "milliseconds"],
        Measure::Time,
        1e-3,
    ),
    (&["us", "µs", "μs", "usec", "usecs", "micros", "microsecond", "microseconds"], Measure::Time, 1e-6),
    (&["ns", "nanos", "nanosecond", "nanoseconds"], Measure::Time, 1e-9),
    (&["min", "mins", "minute", "minutes"], Measure::Time, 60.0),
    (&["n", "newton", "newtons"], Measure::Force, 1.0),
    (&["kn", "kilonewton", "kilonewtons"], Measure::Force, 1e3),
    (&["lbf", "lb", "lbs", "pound", "pounds", "pound-force", "lb-f"], Measure::Force, POUND_FORCE_N),
    (&["ozf", "oz", "ounce", "ounces"], Measure::Force, POUND_FORCE_N / 16.0),
    (&["kgf", "kg", "kilogram", "kilograms", "kp", "kilogram-force"], Measure::Force, KILOGRAM_FORCE_N),
    (
        &["g", "gf", "gram", "grams", "gramme", "grammes", "gram-force"],
        Measure::Force,
        KILOGRAM_FORCE_N / 1e3,
    ),
    (&["pa", "pascal", "pascals"], Measure::Pressure, 1.0),
    (&["hpa", "mbar", "millibar"], Measure::Pressure, 1e2),
    (&["kpa"], Measure::Pressure, 1e3),
    (&["mpa"], Measure::Pressure, 1e6),
    (&["bar", "bars", "barg", "bara"], Measure::Pressure, 1e5),
    (&["atm"], Measure::Pressure, 101_325.0),
    (&["psi", "psig", "psia", "lbf/in2", "lb/in2", "lbf/in^2"], Measure::Pressure, PSI_PA),
    (&["ksi"], Measure::Pressure, PSI_PA * 1e3),
    (&["v", "volt", "volts"], Measure::Voltage, 1.0),
    (&["mv", "millivolt", "millivolts"], Measure::Voltage, 1e-3),
    (&["uv", "µv", "μv", "microvolt", "microvolts"], Measure::Voltage, 1e-6),
];

/// Looks a unit up: "ms", "lbf", "MPa", "g" (gram-force, as scales show it), "frames@29.97".
pub fn column_unit(text: &str) -> Option<ColumnUnit> {
    let text = text.trim();
    if let Some(rate) = frame_rate(text) {
        return Some(ColumnUnit { measure: Measure::Time, scale: 1.0 / rate, frames: true });
    }
    if let Some(&(_, measure, scale)) = EXACT.iter().find(|(symbol, ..)| *symbol == text) {
        return Some(ColumnUnit { measure, scale, frames: false });
    }
    let folded = text.to_lowercase();
    FOLDED
        .iter()
        .find(|(names, ..)| names.contains(&folded.as_str()))
        .map(|&(_, measure, scale)| ColumnUnit { measure, scale, frames: false })
}

/// The rate of "frames@29.97", when it is a possible one.
fn frame_rate(text: &str) -> Option<f64> {
    let (name, rate) = text.split_once('@')?;
    if !matches!(name.trim().to_lowercase().as_str(), "frame" | "frames") {
        return None;
    }
    let rate: f64 = rate.trim().replace(',', ".").parse().ok()?;
    (rate.is_finite() && rate > 1e-3 && rate < 1e7).then_some(rate)
}

/// The units that may head a column of this kind, for error texts.
pub fn examples(measure: Measure) -> &'static str {
    match measure {
        Measure::Time => "s, ms, us or frames@29.97",
        Measure::Force => "N, kN, lbf, kgf, g or oz",
        Measure::Pressure => "MPa, kPa, bar or psi",
        Measure::Voltage => "V or mV",
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn units_as_people_write_them() {
        for (text, measure, scale) in [
            ("ms", Measure::Time, 1e-3),
            ("Sec", Measure::Time, 1.0),
            ("LBF", Measure::Force, 4.448_221_615_260_5),
            ("g", Measure::Force, 9.806_65e-3),
            ("kN", Measure::Force, 1e3),
            ("mN", Measure::Force, 1e-3),
            ("MPa", Measure::Pressure, 1e6),
            ("PSI", Measure::Pressure, 6_894.757_293_168_361),
            ("mV", Measure::Voltage, 1e-3),
        ] {
            let unit = column_unit(text).unwrap();
            assert_eq!(unit.measure, measure, "{text}");
            assert!((unit.scale / scale - 1.0).abs() < 1e-12, "{text}");
        }
        assert!(column_unit("frames@29.97").unwrap().frames);
        assert!(column_unit("frames@0").is_none());
        assert!(column_unit("furlong").is_none());
        assert!(column_unit("").is_none());
    }
}
