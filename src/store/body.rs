//! A part of an entry's body as JSON that borrows from its text and is written again as it was read.

use std::borrow::Cow;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::Number;

/// A value that keeps its keys in the order they are written in.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Body<'a> {
    Null,
    Bool(bool),
    Number(Number),
    Text(Cow<'a, str>),
    List(Vec<Body<'a>>),
    Map(Vec<(Cow<'a, str>, Body<'a>)>),
}

/// A text that borrows where it holds no escapes.
pub(super) struct Words<'a>(pub Cow<'a, str>);

impl<'de> Deserialize<'de> for Words<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Take;
        impl<'de> Visitor<'de> for Take {
            type Value = Words<'de>;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a text")
            }
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Self::Value, E> {
                Ok(Words(Cow::Borrowed(text)))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Self::Value, E> {
                Ok(Words(Cow::Owned(text.to_owned())))
            }
        }
        deserializer.deserialize_str(Take)
    }
}

impl<'de> Deserialize<'de> for Body<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Take;
        impl<'de> Visitor<'de> for Take {
            type Value = Body<'de>;
            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a value")
            }
            fn visit_unit<E: Error>(self) -> Result<Self::Value, E> {
                Ok(Body::Null)
            }
            fn visit_bool<E: Error>(self, yes: bool) -> Result<Self::Value, E> {
                Ok(Body::Bool(yes))
            }
            fn visit_i64<E: Error>(self, number: i64) -> Result<Self::Value, E> {
                Ok(Body::Number(number.into()))
            }
            fn visit_u64<E: Error>(self, number: u64) -> Result<Self::Value, E> {
                Ok(Body::Number(number.into()))
            }
            fn visit_f64<E: Error>(self, number: f64) -> Result<Self::Value, E> {
                Number::from_f64(number).map(Body::Number).ok_or_else(|| E::custom("a number must be finite"))
            }
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Self::Value, E> {
                Ok(Body::Text(Cow::Borrowed(text)))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Self::Value, E> {
                Ok(Body::Text(Cow::Owned(text.to_owned())))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Self::Value, A::Error> {
                let mut list = Vec::new();
                while let Some(item) = items.next_element()? {
                    list.push(item);
                }
                Ok(Body::List(list))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut pairs: A) -> Result<Self::Value, A::Error> {
                let mut map = Vec::new();
                while let Some((Words(key), value)) = pairs.next_entry()? {
                    map.push((key, value));
                }
                Ok(Body::Map(map))
            }
        }
        deserializer.deserialize_any(Take)
    }
}

impl Serialize for Body<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => serializer.serialize_unit(),
            Self::Bool(yes) => serializer.serialize_bool(*yes),
            Self::Number(number) => number.serialize(serializer),
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(items) => serializer.collect_seq(items),
            Self::Map(pairs) => {
                let mut map = serializer.serialize_map(Some(pairs.len()))?;
                for (key, value) in pairs {
                    map.serialize_entry(key, value)?;
                }
                map.end()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::Body;

    #[test]
    fn a_body_is_written_as_it_was_read() {
        let text = r#"{"a":[1,-2,3.5,1e300,true,null],"b":{"c":"d\n\"e\"","f":{}},"g":0.1}"#;
        let body: Body<'_> = serde_json::from_str(text).unwrap();
        let again = serde_json::to_string(&body).unwrap();
        assert_eq!(again, serde_json::from_str::<serde_json::Value>(text).unwrap().to_string());
    }
}
