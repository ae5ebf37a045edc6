//! Read a quantity as a person types it.

use super::Typed;
use super::types::Quantity;
use super::units::{Dimension, Reference};

/// What was read: the SI value, with what was said about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// The value in SI.
    pub si: f64,
    /// The symbol of the (first) unit typed, or of the default that was taken.
    pub unit: String,
    /// For pressures, what it was said to be measured from.
    pub reference: Reference,
}

/// Why a text is not the quantity asked for. The message says what was read and what would be accepted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct QuantityError {
    /// The whole message.
    pub message: String,
}

/// Read a quantity of the given dimension.
///
/// # Errors
/// The text is not one finite quantity of that dimension.
pub fn parse_quantity(
    _text: &str,
    _dimension: Dimension,
    _default_unit: Option<&str>,
) -> Result<Parsed, QuantityError> {
    Err(QuantityError { message: String::new() })
}

impl<Q: Quantity> Typed<Q> {
    /// Read a typed quantity; a pressure said to be absolute where gauge is asked (or the reverse) is
    /// moved by one standard atmosphere, because the person said so.
    ///
    /// # Errors
    /// As [`parse_quantity`].
    pub fn parse(text: &str, default_unit: Option<&str>) -> Result<Self, QuantityError> {
        let parsed = parse_quantity(text, Q::DIMENSION, default_unit)?;
        Ok(Self { value: Q::from_si(parsed.si), typed: Some(text.trim().to_owned()) })
    }
}
