//! A burn rate and the pressure it was measured at: "7.0 mm/s at 5 MPa".

use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::parse::QuantityError;
use super::text::{normalise, quote};
use super::typed::Typed;
use super::types::{AbsolutePressure, Quantity, Speed};

/// A burn rate at a stated ABSOLUTE pressure, both above zero.
///
/// In JSON it is `{"rate_m_s": 0.007, "at_pa": 5000000.0}`; a file may give the words instead.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BurnRate {
    /// How fast the surface recedes.
    #[serde(rename = "rate_m_s")]
    pub rate: Speed,
    /// The absolute pressure it was measured at.
    #[serde(rename = "at_pa")]
    pub at: AbsolutePressure,
}

/// Read "7.0 mm/s at 5 MPa" or "0.28 in/s @ 725 psia".
///
/// A pressure that does not say is absolute, as the burn law takes it; "gauge" adds one standard atmosphere.
///
/// # Errors
/// Either half is missing, not its quantity, or not above zero.
///
/// ```
/// use proofmark::quantity::{parse_burn_rate, Quantity};
/// let rate = parse_burn_rate("7.0 mm/s at 5 MPa").unwrap();
/// assert_eq!((rate.rate.si(), rate.at.si()), (0.007, 5e6));
/// ```
pub fn parse_burn_rate(text: &str) -> Result<BurnRate, QuantityError> {
    const ACCEPTED: &str = "a burn rate is typed like \"7.0 mm/s at 5 MPa\" or \"0.28 in/s at 725 psia\"";
    let clean = normalise(text)?;
    let wrong = |why: &str| QuantityError::new(format!("{} {why}; {ACCEPTED}", quote(text.trim())));
    let lower = clean.to_ascii_lowercase();
    let (cut, mark) = match (lower.find(" at "), lower.find('@')) {
        (Some(cut), _) => (cut, " at ".len()),
        (None, Some(cut)) => (cut, 1),
        (None, None) => return Err(wrong("does not say at what pressure")),
    };
    let rate = clean.get(..cut).unwrap_or_default();
    let at = clean.get(cut + mark..).unwrap_or_default();
    let rate = Typed::<Speed>::parse(rate, None)?.value;
    let at = Typed::<AbsolutePressure>::parse(at, None)?.value;
    checked(rate, at).ok_or_else(|| wrong("needs a rate and a pressure above zero"))
}

fn checked(rate: Speed, at: AbsolutePressure) -> Option<BurnRate> {
    let above_zero = |si: f64| si.is_finite() && si > 0.0;
    (above_zero(rate.si()) && above_zero(at.si())).then_some(BurnRate { rate, at })
}

impl<'de> Deserialize<'de> for BurnRate {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = BurnRate;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a burn rate such as \"7.0 mm/s at 5 MPa\"")
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<BurnRate, E> {
                parse_burn_rate(text).map_err(E::custom)
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<BurnRate, A::Error> {
                let (mut rate, mut at) = (None, None);
                while let Some(key) = map.next_key::<String>()? {
                    match key.as_str() {
                        "rate_m_s" => rate = Some(map.next_value::<Speed>()?),
                        "at_pa" => at = Some(map.next_value::<AbsolutePressure>()?),
                        _ => return Err(A::Error::unknown_field(&key, &["rate_m_s", "at_pa"])),
                    }
                }
                rate.zip(at).and_then(|(rate, at)| checked(rate, at)).ok_or_else(|| {
                    A::Error::custom("a burn rate needs \"rate_m_s\" and \"at_pa\", both above zero")
                })
            }
        }
        deserializer.deserialize_any(Either)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_ways_a_burn_rate_is_typed() {
        for text in ["7.0 mm/s at 5 MPa", "7,0 mm/s @ 5 MPa abs", "7mm/s@50 bara", "0.7 cm/s AT 5000 kPa"] {
            let read = parse_burn_rate(text).unwrap();
            assert!((read.rate.si() - 0.007).abs() < 1e-15 && (read.at.si() - 5e6).abs() < 1e-6, "{text}");
        }
        assert_eq!(parse_burn_rate("7 mm/s at 5 MPa gauge").unwrap().at.si(), 5_101_325.0);
    }

    #[test]
    fn half_a_burn_rate_is_refused() {
        for text in
            ["", "7 mm/s", "7 mm/s at", "at 5 MPa", "7 mm at 5 MPa", "-7 mm/s at 5 MPa", "7 mm/s at 0 Pa"]
        {
            assert!(!parse_burn_rate(text).unwrap_err().message.is_empty(), "{text}");
        }
        assert!(parse_burn_rate("7 mm/s").unwrap_err().message.contains("at what pressure"));
    }

    #[test]
    fn it_survives_json_and_reads_words() {
        let rate: BurnRate = serde_json::from_str("\"7.0 mm/s at 5 MPa\"").unwrap();
        let json = serde_json::to_string(&rate).unwrap();
        assert_eq!(json, r#"{"rate_m_s":0.007,"at_pa":5000000.0}"#);
        assert_eq!(serde_json::from_str::<BurnRate>(&json).unwrap(), rate);
        assert!(serde_json::from_str::<BurnRate>(r#"{"rate_m_s":0.007,"at_pa":-1.0}"#).is_err());
        assert!(serde_json::from_str::<BurnRate>(r#"{"rate_m_s":0.007}"#).is_err());
    }
}
