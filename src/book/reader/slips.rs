//! What looks like a slip: a value far from what the record leads one to expect. It stands as typed, with a warning.

use super::Reader;
use crate::quantity::{self, Quantity, Typed};

impl Reader<'_> {
    /// Warn where a value is far from what the record leads one to expect, naming the slip it looks like.
    pub fn hold_against<Q: Quantity>(&mut self, name: &str, typed: &Typed<Q>, expected_si: f64) {
        if let Some(message) = slip(Q::DIMENSION, typed.typed.as_deref(), typed.si(), expected_si) {
            self.odd(name, message);
        }
    }

    /// Warn where a value looks like a slip of what is expected, or lies outside what goes with it.
    pub fn expect_between<Q: Quantity>(
        &mut self,
        name: &str,
        typed: &Typed<Q>,
        expected_si: f64,
        (low_si, high_si): (f64, f64),
    ) {
        match slip(Q::DIMENSION, typed.typed.as_deref(), typed.si(), expected_si) {
            Some(message) => self.odd(name, message),
            None => self.plausible(name, typed, low_si, high_si),
        }
    }

    /// Warn where a value is outside what anybody builds; refuse one a hundred times beyond it.
    pub fn plausible<Q: Quantity>(&mut self, name: &str, typed: &Typed<Q>, low_si: f64, high_si: f64) {
        let suspicion = match &typed.typed {
            Some(text) => quantity::blunder::outside_typed(text, Q::DIMENSION, typed.si(), low_si, high_si),
            None => quantity::outside(Q::DIMENSION, typed.si(), low_si, high_si),
        };
        if let Some(suspicion) = suspicion {
            if typed.si() > 100.0 * high_si {
                self.wrong(name, suspicion.message);
            } else {
                self.odd(name, suspicion.message);
            }
        }
    }
}

/// The sentence for a classic slip, where a value looks like one.
pub fn slip(
    dimension: quantity::Dimension,
    typed: Option<&str>,
    typed_si: f64,
    expected_si: f64,
) -> Option<String> {
    match typed {
        Some(text) => quantity::blunder::suspect_typed(text, dimension, typed_si, expected_si),
        None => quantity::suspect(dimension, typed_si, expected_si),
    }
    .map(|suspicion| suspicion.message)
}
