//! A value together with the words it was typed in, so that the book keeps both.

use serde::de::{Error as _, MapAccess, Visitor};
use serde::ser::SerializeMap;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::types::Quantity;

/// A quantity as typed: the SI value and, where a person wrote it, their own words.
///
/// In JSON it is `{"pa": 7380000.0, "typed": "7.38 MPa"}`: the unit is the key, so a stored number can
/// never lose its unit. A file a person writes may give the words alone, `"7.38 MPa"`, which are read as
/// [`Typed::parse`] reads them; a bare number is refused.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed<Q> {
    /// The value.
    pub value: Q,
    /// The words it was typed in; `None` when the program worked it out.
    pub typed: Option<String>,
}

impl<Q: Quantity> Typed<Q> {
    /// A value that was computed, not typed.
    pub fn computed(value: Q) -> Self {
        Self { value, typed: None }
    }

    /// The SI number.
    pub fn si(&self) -> f64 {
        self.value.si()
    }
}

impl<Q: Quantity> Serialize for Typed<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry(Q::SI_KEY, &self.value.si())?;
        if let Some(typed) = &self.typed {
            map.serialize_entry("typed", typed)?;
        }
        map.end()
    }
}

impl<'de, Q: Quantity> Deserialize<'de> for Typed<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct TypedVisitor<Q>(std::marker::PhantomData<Q>);
        impl<'de, Q: Quantity> Visitor<'de> for TypedVisitor<Q> {
            type Value = Typed<Q>;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(formatter, "a quantity with its unit, such as \"{}\"", Q::DIMENSION.examples()[0])
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Self::Value, E> {
                Typed::parse(text, None).map_err(E::custom)
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let (mut si, mut typed) = (None, None);
                while let Some(key) = map.next_key::<String>()? {
                    if key == Q::SI_KEY {
                        si = Some(map.next_value::<f64>()?);
                    } else if key == "typed" {
                        typed = Some(map.next_value::<String>()?);
                    } else {
                        return Err(A::Error::custom(format!(
                            "unknown key \"{key}\" in a quantity in {}",
                            Q::SI_KEY
                        )));
                    }
                }
                match si {
                    Some(si) if si.is_finite() => Ok(Typed { value: Q::from_si(si), typed }),
                    Some(_) => Err(A::Error::custom("a quantity must be finite")),
                    None => Err(A::Error::custom(format!("a quantity needs the key \"{}\"", Q::SI_KEY))),
                }
            }
        }
        deserializer.deserialize_any(TypedVisitor(std::marker::PhantomData))
    }
}
