//! What a calculator takes, and how what was typed becomes a value.

use std::collections::BTreeMap;

use super::outcome::{Echo, Item, Shows};
use crate::book::Problem;
use crate::design::InputError;
use crate::quantity::blunder::outside_typed;
use crate::quantity::text::quote;
use crate::quantity::units::Reference;
use crate::quantity::{
    BurnRate, Dimension, Quantity, parse_burn_rate, parse_field, parse_number, parse_quantity, parse_ratio,
    parse_whole,
};

/// Which values an input may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// Any finite value of its kind.
    Any,
}

/// What an input takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Takes {
    /// A quantity with its unit.
    Quantity {
        /// Its dimension.
        dimension: Dimension,
        /// For a pressure: measured from vacuum, from the atmosphere, or a stress.
        absolute: Option<bool>,
        /// The suffix of its key.
        key: &'static str,
        /// What it may be.
        sign: Sign,
        /// The unit of a bare number, where one is taken.
        bare: Option<&'static str>,
    },
    /// A plain number.
    Number(Sign),
    /// A number or a percentage.
    Ratio,
    /// A whole number.
    Whole,
    /// A word of a closed list.
    Word(&'static [&'static str]),
    /// A name or size as people write it.
    Text,
    /// Numbers with commas between them.
    List,
    /// A burn rate and its pressure.
    BurnRate,
    /// A length, or the word `none` for one that is not known.
    LengthOrNone,
}

/// Whether an input must be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It must.
    Required,
    /// It may be left out.
    Optional,
    /// One of several, as the words say.
    OneOf(&'static str),
    /// Taken as this when left out.
    Default(&'static str),
}

/// One input of a calculator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// Whether it must be given.
    pub need: Need,
    /// What it is.
    pub help: &'static str,
}

/// A quantity above zero that must be given.
pub(super) const fn of<Q: Quantity>(name: &'static str, help: &'static str) -> Input {
    let takes = Takes::Quantity {
        dimension: Q::DIMENSION,
        absolute: Q::ABSOLUTE,
        key: Q::SI_KEY,
        sign: Sign::Positive,
        bare: None,
    };
    Input { name, takes, need: Need::Required, help }
}

/// Any other input that must be given.
pub(super) const fn takes(name: &'static str, takes: Takes, help: &'static str) -> Input {
    Input { name, takes, need: Need::Required, help }
}

/// A plain number above zero that must be given.
pub(super) const fn number(name: &'static str, help: &'static str) -> Input {
    takes(name, Takes::Number(Sign::Positive), help)
}

impl Input {
    pub(super) const fn optional(self) -> Self {
        Self { need: Need::Optional, ..self }
    }
    pub(super) const fn one_of(self, words: &'static str) -> Self {
        Self { need: Need::OneOf(words), ..self }
    }
    pub(super) const fn or(self, default: &'static str) -> Self {
        Self { need: Need::Default(default), ..self }
    }
    pub(super) const fn sign(self, sign: Sign) -> Self {
        let takes = match self.takes {
            Takes::Quantity { dimension, absolute, key, bare, .. } => {
                Takes::Quantity { dimension, absolute, key, sign, bare }
            }
            Takes::Number(_) => Takes::Number(sign),
            other => other,
        };
        Self { takes, ..self }
    }
    pub(super) const fn bare(self, unit: &'static str) -> Self {
        let takes = match self.takes {
            Takes::Quantity { dimension, absolute, key, sign, .. } => {
                Takes::Quantity { dimension, absolute, key, sign, bare: Some(unit) }
            }
            other => other,
        };
        Self { takes, ..self }
    }

    /// What would be accepted, in words: `a length above zero, such as "66.68 mm", "2 5/8 in" or "#7 drill"`.
    pub fn accepted(&self) -> String {
        match self.takes {
            Takes::Quantity { dimension, absolute, sign, bare, .. } => {
                let noun = match (dimension, absolute) {
                    (Dimension::Pressure, Some(true)) => "an absolute pressure",
                    (Dimension::Pressure, Some(false)) => "a gauge pressure",
                    (Dimension::Pressure, None) => "a stress",
                    (other, _) => other.noun(),
                };
                let range = match (dimension, sign) {
                    (Dimension::Temperature, _) | (_, Sign::Any) => "",
                    (_, Sign::Positive) => " above zero",
                    (_, Sign::NotNegative) => ", zero or above",
                };
                let [one, two, three] = dimension.examples();
                let bare = bare.map_or_else(String::new, |unit| format!("; a bare number is in {unit}"));
                format!("{noun}{range}, such as \"{one}\", \"{two}\" or \"{three}\"{bare}")
            }
            Takes::Number(Sign::Positive) => "a plain number above zero".to_owned(),
            Takes::Number(Sign::NotNegative) => "a plain number, zero or above".to_owned(),
            Takes::Number(Sign::Any) => "a plain number".to_owned(),
            Takes::Ratio => "a number above zero, or a percentage, such as \"0.85\" or \"85 %\"".to_owned(),
            Takes::Whole => "a whole number, such as \"8\"".to_owned(),
            Takes::Word(words) => format!("one of {}", words.join(", ")),
            Takes::Text => "a name or size".to_owned(),
            Takes::List => "numbers with commas between them, such as \"10,5,100\"".to_owned(),
            Takes::BurnRate => {
                "a burn rate and its absolute pressure, such as \"7.0 mm/s at 5 MPa\"".to_owned()
            }
            Takes::LengthOrNone => "a length above zero, such as \"2.1 mm\", or \"none\"".to_owned(),
        }
    }
}

/// What casings and their parts come in, in SI: far outside it a unit was mistyped more often than not. It is
/// said and worked out all the same.
fn ordinary(name: &str, dimension: Dimension, absolute: Option<bool>, sign: Sign) -> Option<(f64, f64)> {
    match (dimension, absolute) {
        _ if sign == Sign::Any => None,
        (Dimension::Length, _) => Some((1e-7, 20.0)),
        (Dimension::Pressure, Some(_)) => Some((1.0, 100e6)),
        (Dimension::Pressure, None) if name.ends_with("modulus") => Some((1e9, 700e9)),
        (Dimension::Pressure, None) => Some((1e4, 4e9)),
        (Dimension::Density, _) => Some((100.0, 25e3)),
        (Dimension::Volume, _) => Some((1e-12, 10.0)),
        _ => None,
    }
}

#[derive(Clone, Debug)]
enum Value {
    Number(f64),
    Whole(u64),
    Text(String),
    List(Vec<f64>),
    Burn(BurnRate),
}

/// What was typed, read.
#[derive(Default)]
pub(super) struct Values {
    values: BTreeMap<&'static str, Value>,
    /// What goes back to the person, in the order asked.
    pub(super) echo: Vec<Echo>,
    pub(super) warnings: Vec<String>,
}

impl Values {
    /// Read one input; left out is fine where it need not be given.
    pub(super) fn read(&mut self, input: &Input, text: Option<&str>) -> Result<(), Problem> {
        let text = match (text, input.need) {
            (Some(text), _) => text,
            (None, Need::Default(text)) => text,
            (None, Need::Required) => {
                return Err(Problem::new(input.name, format!("is missing: give {}", input.accepted())));
            }
            (None, Need::Optional | Need::OneOf(_)) => return Ok(()),
        };
        let refuse = |why: String| Problem::new(input.name, why);
        let wrong = |why: &str| refuse(format!("{} {why}: give {}", quote(text.trim()), input.accepted()));
        let checked = |value: f64, sign: Sign| match sign {
            Sign::Positive if value <= 0.0 => Err(wrong("is not above zero")),
            Sign::NotNegative if value < 0.0 => Err(wrong("is below zero")),
            _ => Ok(value),
        };
        let mut echo = Echo::new(input, text);
        let value = match input.takes {
            Takes::Quantity { dimension, absolute, key, sign, bare } => {
                let si = self.quantity(input, text, dimension, absolute, sign, bare).map_err(|message| {
                    let said = message.contains(dimension.examples()[0]);
                    refuse(if said { message } else { format!("{message}; give {}", input.accepted()) })
                })?;
                echo.push(
                    format!("{}_{key}", input.name),
                    Item::Number(si),
                    Shows::Quantity(dimension, absolute),
                );
                let si = checked(si, sign)?;
                self.doubt(input.name, text, dimension, si, ordinary(input.name, dimension, absolute, sign));
                Value::Number(si)
            }
            Takes::Number(sign) => {
                let value = parse_number(text).map_err(|error| refuse(error.message))?;
                echo.push(input.name, Item::Number(value), Shows::Number);
                Value::Number(checked(value, sign)?)
            }
            Takes::Ratio => {
                let value = parse_ratio(text).map_err(|error| refuse(error.message))?;
                echo.push(input.name, Item::Number(value), Shows::Number);
                Value::Number(checked(value, Sign::Positive)?)
            }
            Takes::Whole => {
                let value = parse_whole(text).map_err(|error| refuse(error.message))?;
                echo.push(input.name, Item::Number(value as f64), Shows::Number);
                Value::Whole(value)
            }
            Takes::Word(words) => {
                let wanted = text.trim().to_lowercase().replace(['-', '_'], " ");
                let found = words.iter().find(|it| it.replace('-', " ").to_lowercase() == wanted);
                let word = found.ok_or_else(|| wrong("is not listed"))?;
                echo.push(input.name, Item::Text((*word).to_owned()), Shows::Words);
                Value::Text((*word).to_owned())
            }
            Takes::Text => {
                let text = text.trim();
                if text.is_empty() || text.chars().any(char::is_control) || text.chars().count() > 120 {
                    return Err(wrong("is no name"));
                }
                echo.push(input.name, Item::Text(text.to_owned()), Shows::Words);
                Value::Text(text.to_owned())
            }
            Takes::List => {
                let mut numbers = Vec::new();
                for part in text.split([',', ';']) {
                    numbers.push(
                        parse_number(part).map_err(|error| {
                            refuse(format!("{}; give {}", error.message, input.accepted()))
                        })?,
                    );
                }
                echo.push(input.name, Item::List(numbers.clone()), Shows::Number);
                Value::List(numbers)
            }
            Takes::BurnRate => {
                let burn = parse_burn_rate(text).map_err(|error| refuse(error.message))?;
                let speed = Shows::Quantity(Dimension::Speed, None);
                echo.push(format!("{}_m_s", input.name), Item::Number(burn.rate.si()), speed);
                let at = Shows::Quantity(Dimension::Pressure, Some(true));
                echo.push(format!("{}_at_pa", input.name), Item::Number(burn.at.si()), at);
                Value::Burn(burn)
            }
            Takes::LengthOrNone if matches!(text.trim(), "none" | "unknown") => {
                echo.push(input.name, Item::Text("none".to_owned()), Shows::Words);
                Value::Text("none".to_owned())
            }
            Takes::LengthOrNone => {
                let si = parse_field(text, Dimension::Length, None, None)
                    .map_err(|error| refuse(error.message + ", or \"none\" where it is not known"))?;
                let shows = Shows::Quantity(Dimension::Length, None);
                echo.push(format!("{}_m", input.name), Item::Number(si), shows);
                let si = checked(si, Sign::Positive)?;
                let range = ordinary(input.name, Dimension::Length, None, Sign::Positive);
                self.doubt(input.name, text, Dimension::Length, si, range);
                Value::Number(si)
            }
        };
        self.values.insert(input.name, value);
        self.echo.push(echo);
        Ok(())
    }

    /// Say of a size outside the ordinary which slip of unit it may be.
    fn doubt(&mut self, name: &str, text: &str, dimension: Dimension, si: f64, range: Option<(f64, f64)>) {
        if let Some((low, high)) = range
            && si != 0.0
            && let Some(doubt) = outside_typed(text.trim(), dimension, si, low, high)
        {
            self.warnings.push(format!("{name}: {}", doubt.message));
        }
    }

    fn quantity(
        &mut self,
        input: &Input,
        text: &str,
        dimension: Dimension,
        absolute: Option<bool>,
        sign: Sign,
        bare: Option<&str>,
    ) -> Result<f64, String> {
        // Nothing is nothing in every unit but those of temperature.
        if dimension != Dimension::Temperature && parse_number(text) == Ok(0.0) {
            return Ok(0.0);
        }
        if sign == Sign::Any && dimension == Dimension::Length {
            return parse_quantity(text, dimension, bare).map(|it| it.si).map_err(|error| error.message);
        }
        let raw = parse_quantity(text, dimension, bare).map_err(|error| error.message)?;
        if raw.si < 0.0 && raw.reference == Reference::Unstated && sign != Sign::Any {
            // Below zero as typed: the range of this input says more than "below a vacuum".
            return Ok(raw.si);
        }
        let si = parse_field(text, dimension, absolute, bare).map_err(|error| error.message)?;
        if absolute == Some(true) && input.name.ends_with("pressure") && raw.reference == Reference::Unstated
        {
            self.warnings.push(format!(
                "{} {} is taken as absolute; a gauge reading is written like \"750 psig\" or \"5.2 MPa gauge\"",
                input.name,
                quote(text.trim())
            ));
        }
        Ok(si)
    }

    /// Whether an input was given or has a default.
    pub(super) fn has(&self, name: &str) -> bool {
        self.values.contains_key(name)
    }

    /// A quantity, where there is one.
    pub(super) fn opt<Q: Quantity>(&self, name: &str) -> Option<Q> {
        self.opt_number(name).map(Q::from_si)
    }

    /// A quantity that must be there.
    pub(super) fn get<Q: Quantity>(&self, name: &'static str) -> Result<Q, InputError> {
        self.opt(name).ok_or_else(|| InputError::missing(name, Q::DIMENSION.noun()))
    }

    /// A number, where there is one.
    pub(super) fn opt_number(&self, name: &str) -> Option<f64> {
        match self.values.get(name) {
            Some(Value::Number(value)) => Some(*value),
            _ => None,
        }
    }

    /// A number that must be there.
    pub(super) fn number(&self, name: &'static str) -> Result<f64, InputError> {
        self.opt_number(name).ok_or_else(|| InputError::missing(name, "a number"))
    }

    /// A whole number that must be there; what does not fit is as good as too many.
    pub(super) fn whole(&self, name: &'static str) -> Result<u32, InputError> {
        match self.values.get(name) {
            Some(Value::Whole(value)) => Ok(u32::try_from(*value).unwrap_or(u32::MAX)),
            _ => Err(InputError::missing(name, "a whole number")),
        }
    }

    /// Words, where there are some.
    pub(super) fn opt_text(&self, name: &str) -> Option<&str> {
        match self.values.get(name) {
            Some(Value::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// Words that must be there.
    pub(super) fn text(&self, name: &'static str) -> Result<&str, InputError> {
        self.opt_text(name).ok_or_else(|| InputError::missing(name, "a word"))
    }

    /// A list of numbers that must be there.
    pub(super) fn list(&self, name: &'static str) -> Result<&[f64], InputError> {
        match self.values.get(name) {
            Some(Value::List(list)) => Ok(list),
            _ => Err(InputError::missing(name, "numbers with commas between them")),
        }
    }

    /// A burn rate that must be there.
    pub(super) fn burn(&self, name: &'static str) -> Result<BurnRate, InputError> {
        match self.values.get(name) {
            Some(Value::Burn(burn)) => Ok(*burn),
            _ => Err(InputError::missing(name, "a burn rate such as \"7.0 mm/s at 5 MPa\"")),
        }
    }
}
