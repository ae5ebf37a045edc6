//! A load file as people write it: for `predict`, or the very file `log load --from` takes.
//!
//! Both are the same tables. What a load on record says beside them (revision, planned figures, who planned it)
//! is read past here, because a prediction works those figures out itself; its scatter of the peak is taken.

use serde::de::{Error as _, IgnoredAny, Visitor};
use serde::{Deserialize, Deserializer};

use super::load::{Ambient, Grains, Limits, Load, Nozzle, Propellant, Spread};
use crate::quantity::{Angle, Quantity, Typed, parse_number, parse_whole};

/// Everything a load file may hold.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Written {
    #[serde(default)]
    name: Option<String>,
    grain: Grains,
    propellant: Propellant,
    nozzle: Nozzle,
    #[serde(default)]
    ambient: Ambient,
    #[serde(default)]
    scatter: Option<Spread>,
    #[serde(default, alias = "service")]
    limits: Limits,
    #[serde(default, deserialize_with = "percent")]
    peak_scatter: Option<f64>,
    #[serde(default, rename = "revision")]
    _revision: IgnoredAny,
    #[serde(default, rename = "peak_pressure")]
    _peak_pressure: IgnoredAny,
    #[serde(default, rename = "peak_thrust")]
    _peak_thrust: IgnoredAny,
    #[serde(default, rename = "impulse")]
    _impulse: IgnoredAny,
    #[serde(default, rename = "burn_time")]
    _burn_time: IgnoredAny,
    #[serde(default, rename = "propellant_mass")]
    _propellant_mass: IgnoredAny,
    #[serde(default, rename = "planned_by")]
    _planned_by: IgnoredAny,
    #[serde(default, rename = "remark")]
    _remark: IgnoredAny,
    #[serde(default, rename = "on")]
    _on: IgnoredAny,
    #[serde(default, rename = "date_approximate")]
    _date_approximate: IgnoredAny,
    #[serde(default, rename = "by")]
    _by: IgnoredAny,
    #[serde(default, rename = "second")]
    _second: IgnoredAny,
}

impl From<Written> for Load {
    fn from(written: Written) -> Self {
        let Written { name, grain, propellant, nozzle, ambient, scatter, limits, peak_scatter, .. } = written;
        let exponent = propellant.exponent;
        let of_peak = || peak_scatter.map(|sigma| Spread::of_peak(sigma, exponent));
        Self { name, grain, propellant, nozzle, ambient, scatter: scatter.or_else(of_peak), limits }
    }
}

/// A number, in quotes or not.
#[derive(Clone, Copy)]
struct Lenient(f64);

impl<'de> Deserialize<'de> for Lenient {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl Visitor<'_> for Either {
            type Value = Lenient;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a number")
            }
            fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Lenient, E> {
                Ok(Lenient(number))
            }
            fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Lenient, E> {
                Ok(Lenient(number as f64))
            }
            fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Lenient, E> {
                Ok(Lenient(number as f64))
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Lenient, E> {
                parse_number(text).map(Lenient).map_err(|error| E::custom(error.message))
            }
        }
        deserializer.deserialize_any(Either)
    }
}

/// A number, in quotes or not.
pub(super) fn number<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    Lenient::deserialize(deserializer).map(|it| it.0)
}

/// The same, where it may be left out.
pub(super) fn maybe_number<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<f64>, D::Error> {
    number(deserializer).map(Some)
}

/// A whole number, in quotes or not.
pub(super) fn whole<'de, D: Deserializer<'de>>(deserializer: D) -> Result<u32, D::Error> {
    struct Either;
    impl Visitor<'_> for Either {
        type Value = u32;
        fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            formatter.write_str("a whole number, 0 or more")
        }
        fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<u32, E> {
            let why = if number < 0 { "is no whole number, 0 or more" } else { "is too many" };
            u32::try_from(number).map_err(|_| E::custom(format!("{number} {why}")))
        }
        fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<u32, E> {
            u32::try_from(number).map_err(|_| E::custom(format!("{number} is too many")))
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<u32, E> {
            let number = parse_whole(text).map_err(|error| E::custom(error.message))?;
            self.visit_u64(number)
        }
    }
    deserializer.deserialize_any(Either)
}

/// An angle with its unit, or a bare number of degrees as the load form takes it.
pub(super) fn angle<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Typed<Angle>>, D::Error> {
    struct Either;
    impl Visitor<'_> for Either {
        type Value = Typed<Angle>;
        fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            formatter.write_str("an angle such as \"12 deg\", or a number of degrees")
        }
        fn visit_f64<E: serde::de::Error>(self, degrees: f64) -> Result<Typed<Angle>, E> {
            Ok(Typed { value: Angle::from_si(degrees.to_radians()), typed: Some(format!("{degrees} deg")) })
        }
        fn visit_i64<E: serde::de::Error>(self, degrees: i64) -> Result<Typed<Angle>, E> {
            self.visit_f64(degrees as f64)
        }
        fn visit_u64<E: serde::de::Error>(self, degrees: u64) -> Result<Typed<Angle>, E> {
            self.visit_f64(degrees as f64)
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Typed<Angle>, E> {
            match parse_number(text) {
                Ok(degrees) => self.visit_f64(degrees),
                Err(_) => Typed::parse(text, None).map_err(E::custom),
            }
        }
    }
    deserializer.deserialize_any(Either).map(Some)
}

/// A share: 0.002, or "0.2 %".
pub(super) fn share<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<f64>, D::Error> {
    struct Either;
    impl Visitor<'_> for Either {
        type Value = f64;
        fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            formatter.write_str("a share such as 0.002 or \"0.2 %\"")
        }
        fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<f64, E> {
            Ok(number)
        }
        fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<f64, E> {
            Ok(number as f64)
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<f64, E> {
            parse_share(text).map_err(E::custom)
        }
    }
    deserializer.deserialize_any(Either).map(Some)
}

/// Read a share: "0.002" or "0.2 %".
///
/// # Errors
/// It is no number.
pub fn parse_share(text: &str) -> Result<f64, String> {
    let bare = text.trim();
    match bare.strip_suffix('%') {
        Some(percent) => parse_number(percent).map(|it| it / 100.0),
        None => parse_number(bare),
    }
    .map_err(|error| error.message)
}

/// "6.4 %" or 6.4, as a share.
fn percent<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<f64>, D::Error> {
    struct Either;
    impl Visitor<'_> for Either {
        type Value = f64;
        fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            formatter.write_str("a percentage such as \"6.4 %\"")
        }
        fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<f64, E> {
            Ok(number)
        }
        fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<f64, E> {
            Ok(number as f64)
        }
        fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<f64, E> {
            Ok(number as f64)
        }
        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<f64, E> {
            parse_number(text.trim().trim_end_matches('%')).map_err(|error| E::custom(error.message))
        }
    }
    let given = deserializer.deserialize_any(Either)?;
    if (0.0..=60.0).contains(&given) {
        Ok(Some(given / 100.0))
    } else {
        Err(D::Error::custom(format!("{given} % is outside 0 to 60 %")))
    }
}
