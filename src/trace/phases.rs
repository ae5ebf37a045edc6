//! Steady stretches of a burn, parted where it changes.

use serde::Serialize;

use super::channel::Measured;

/// A steady stretch.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Phase {
    /// Begins.
    pub from_s: f64,
    /// Ends.
    pub to_s: f64,
    /// Mean reading, tared.
    pub mean: f64,
}

/// Parts the burn.
pub fn phases(_: &Measured) -> Vec<Phase> {
    Vec::new()
}
