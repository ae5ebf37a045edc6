//! The club's limits as data: each with a value, a unit and where it comes from. A club may change any value
//! by an entry; the identity and the meaning of a rule are the program's.

mod defaults;
mod in_force;
mod stricter;

use std::collections::HashMap;
use std::sync::LazyLock;

pub use defaults::DEFAULTS;
pub use in_force::{Disputed, RuleChange, RuleSet};
pub use stricter::{Stricter, stricter};

/// A rule as the program knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleSpec {
    /// Its id, for entries, JSON and people.
    pub id: &'static str,
    /// What it says; `{}` stands for the value with its unit.
    pub says: &'static str,
    /// The default.
    pub value: f64,
    /// Its unit; empty for a factor.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// A rule by id.
pub fn spec(id: &str) -> Option<&'static RuleSpec> {
    // Asked many times for every firing of a casing.
    static BY_ID: LazyLock<HashMap<&str, &RuleSpec>> =
        LazyLock::new(|| DEFAULTS.iter().map(|rule| (rule.id, rule)).collect());
    BY_ID.get(id).copied()
}

/// A value with a unit, the unit in the singular for one.
pub fn with_unit(value: f64, unit: &str) -> String {
    let unit = if value == 1.0 {
        unit.strip_suffix('s').filter(|_| matches!(unit, "months" | "firings" | "angles")).unwrap_or(unit)
    } else {
        unit
    };
    if unit.is_empty() { format!("{value}") } else { format!("{value} {unit}") }
}

#[cfg(test)]
mod tests;
