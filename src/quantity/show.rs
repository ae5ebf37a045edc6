//! Write a quantity for a person.

use super::types::Quantity;

/// The system of units a person reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// Millimetres, megapascals, newtons.
    #[default]
    Si,
    /// Inches, psi, pounds-force.
    Us,
}

/// Show a value in the user's system.
pub fn show<Q: Quantity>(value: Q, _system: System) -> String {
    format!("{}", value.si())
}
