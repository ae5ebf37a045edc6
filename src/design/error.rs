//! Why a calculation was refused: which input, what it was, and what would be accepted.

use std::borrow::Cow;

use super::problems::Problem;
use crate::quantity::{Dimension, Quantity};

/// A refused input. Every variant names the input and says what would be accepted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InputError {
    /// Something needed was not given.
    #[error("{input} is missing: give {accepted}")]
    Missing {
        /// The input.
        input: Cow<'static, str>,
        /// What would be accepted.
        accepted: Cow<'static, str>,
    },
    /// A value outside the range the formula holds in.
    #[error("{input} is {given}: give {accepted}")]
    Outside {
        /// The input.
        input: Cow<'static, str>,
        /// The value as it was.
        given: String,
        /// What would be accepted.
        accepted: Cow<'static, str>,
    },
    /// A word that is in no list.
    #[error("{input} \"{given}\" is not listed: give {accepted}")]
    Unlisted {
        /// The input.
        input: Cow<'static, str>,
        /// The word as it was.
        given: String,
        /// What would be accepted.
        accepted: Cow<'static, str>,
    },
    /// A design with faults; each says which field and what would be accepted.
    #[error("the design cannot be worked with: {}", list(.0))]
    Design(Vec<Problem>),
}

fn list(problems: &[Problem]) -> String {
    problems.iter().map(|it| format!("{}: {}", it.field, it.message)).collect::<Vec<_>>().join("; ")
}

impl InputError {
    /// The input at fault; the first field at fault for a whole design.
    pub fn input(&self) -> &str {
        match self {
            Self::Missing { input, .. } | Self::Outside { input, .. } | Self::Unlisted { input, .. } => input,
            Self::Design(problems) => problems.first().map_or("design", |it| it.field.as_str()),
        }
    }

    pub(crate) fn missing(
        input: impl Into<Cow<'static, str>>,
        accepted: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self::Missing { input: input.into(), accepted: accepted.into() }
    }

    pub(crate) fn outside(
        input: impl Into<Cow<'static, str>>,
        given: impl std::fmt::Display,
        accepted: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self::Outside { input: input.into(), given: given.to_string(), accepted: accepted.into() }
    }

    pub(crate) fn unlisted(
        input: impl Into<Cow<'static, str>>,
        given: &str,
        accepted: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self::Unlisted { input: input.into(), given: given.to_owned(), accepted: accepted.into() }
    }
}

/// A number of a message: as it is, but six figures or a power of ten where its digits would fill the line.
fn figures(value: f64) -> String {
    let whole = format!("{value}");
    if whole.len() <= 12 || value == 0.0 || !value.is_finite() {
        return whole;
    }
    let size = value.abs().log10().floor() as i32;
    if !(-5..9).contains(&size) {
        return format!("{value:.4e}");
    }
    let text = format!("{value:.*}", usize::try_from(5 - size).unwrap_or(0));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A pressure or stress as a message shows it: "5.2 MPa".
pub(crate) fn mpa(pressure_pa: f64) -> String {
    format!("{} MPa", figures(pressure_pa / 1e6))
}

/// A volume as a message shows it: "150 mL".
pub(crate) fn ml(volume_m3: f64) -> String {
    format!("{} mL", figures(volume_m3 * 1e6))
}

fn shown<Q: Quantity>(quantity: Q) -> String {
    if Q::DIMENSION == Dimension::Pressure {
        return mpa(quantity.si());
    }
    format!("{} {}", figures(quantity.si()), Q::SI_KEY)
}

/// The SI number of a quantity that must be finite and above zero.
pub(crate) fn positive<Q: Quantity>(input: &'static str, quantity: Q) -> Result<f64, InputError> {
    if quantity.si().is_finite() && quantity.si() > 0.0 {
        Ok(quantity.si())
    } else {
        Err(InputError::outside(input, shown(quantity), "a finite value above zero"))
    }
}

/// The SI number of a quantity that must be finite and not below zero.
pub(crate) fn not_negative<Q: Quantity>(input: &'static str, quantity: Q) -> Result<f64, InputError> {
    if quantity.si().is_finite() && quantity.si() >= 0.0 {
        Ok(quantity.si())
    } else {
        Err(InputError::outside(input, shown(quantity), "a finite value, zero or above"))
    }
}

/// A plain number that must lie in a closed range.
pub(crate) fn within(
    input: &'static str,
    value: f64,
    low: f64,
    high: f64,
    accepted: &'static str,
) -> Result<f64, InputError> {
    if value.is_finite() && (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(InputError::outside(input, figures(value), accepted))
    }
}

/// Poisson's ratio: 0 to 0.5 (an isotropic solid that does not grow sideways when stretched).
pub(crate) fn poissons_ratio(input: &'static str, value: f64) -> Result<f64, InputError> {
    within(input, value, 0.0, 0.5, "a ratio from 0 to 0.5, about 0.33 for aluminium and 0.29 for steel")
}
