//! Patterns in a trace that ask for a second look at the hardware.

use serde::Serialize;

use super::channel::Measured;
use super::phases::Phase;

/// A pattern, what speaks for it, and where to look next. A suggestion, never a verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// "early spike", "step down" …
    pub pattern: String,
    /// Where in the record.
    pub at_s: f64,
    /// The numbers that show it.
    pub evidence: String,
    /// What would confirm or exclude it.
    pub look_next: String,
}

/// Looks a channel over.
pub fn findings(_: &Measured, _: Option<&Measured>, _: &[Phase]) -> Vec<Finding> {
    Vec::new()
}
