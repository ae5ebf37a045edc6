//! What a calculator gives back: what it took, what it found, and what to know before relying on it.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::Value as Json;

use super::Calculator;
use super::input::{Input, Values};
use crate::book::Problem;
use crate::quantity::{Dimension, Quantity, System, show_si};

/// How a value is shown to a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shows {
    /// A quantity; for a pressure, what it is measured from.
    Quantity(Dimension, Option<bool>),
    /// A plain number.
    Number,
    /// Words.
    Words,
    /// Yes or no.
    YesNo,
}

/// One result a calculator can give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Its key, unit suffix included.
    pub key: &'static str,
    /// How it is shown.
    pub shows: Shows,
    /// What it is.
    pub help: &'static str,
}

impl Output {
    /// The key without its unit.
    pub fn label(&self) -> &'static str {
        let Shows::Quantity(dimension, _) = self.shows else { return self.key };
        suffixes(dimension)
            .iter()
            .find_map(|suffix| self.key.strip_suffix(suffix)?.strip_suffix('_'))
            .unwrap_or(self.key)
    }
}

const fn suffixes(dimension: Dimension) -> &'static [&'static str] {
    match dimension {
        Dimension::Length => &["m"],
        Dimension::Area => &["m2"],
        Dimension::Volume => &["m3"],
        Dimension::Mass => &["kg"],
        Dimension::Force => &["n"],
        Dimension::Impulse => &["ns"],
        Dimension::Pressure => &["pa"],
        Dimension::Temperature | Dimension::TemperatureDifference => &["k"],
        Dimension::Time => &["s"],
        Dimension::Speed => &["m_s"],
        Dimension::Density => &["kg_m3"],
        Dimension::Energy => &["j"],
        Dimension::MassFlow => &["kg_s"],
        Dimension::MassPerLength => &["kg_m"],
        Dimension::Expansion => &["per_k"],
        _ => &[],
    }
}

/// A result that is a quantity.
pub(super) const fn gives<Q: Quantity>(key: &'static str, help: &'static str) -> Output {
    Output { key, shows: Shows::Quantity(Q::DIMENSION, Q::ABSOLUTE), help }
}

/// A result that is a plain number.
pub(super) const fn plain(key: &'static str, help: &'static str) -> Output {
    Output { key, shows: Shows::Number, help }
}

/// A result that is words.
pub(super) const fn words(key: &'static str, help: &'static str) -> Output {
    Output { key, shows: Shows::Words, help }
}

/// A result that is yes or no.
pub(super) const fn yes_no(key: &'static str, help: &'static str) -> Output {
    Output { key, shows: Shows::YesNo, help }
}

/// A value of an outcome.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Item {
    /// A number, in SI where it has a unit.
    Number(f64),
    /// Words.
    Text(String),
    /// Yes or no.
    YesNo(bool),
    /// Several numbers.
    List(Vec<f64>),
}

impl Item {
    /// The value for a person, in the system of units they read.
    pub fn shown(&self, shows: Shows, system: System) -> String {
        match (self, shows) {
            (Self::Number(si), Shows::Quantity(dimension, absolute)) => {
                let text = show_si(*si, dimension, system);
                match absolute {
                    Some(true) if text.ends_with(" psi") => text + "a",
                    Some(true) => text + " abs",
                    _ => text,
                }
            }
            (Self::Number(value), _) => digits(*value),
            (Self::Text(text), _) => text.clone(),
            (Self::YesNo(yes), _) => if *yes { "yes" } else { "no" }.to_owned(),
            (Self::List(values), _) => values.iter().map(|it| digits(*it)).collect::<Vec<_>>().join(", "),
        }
    }
}

/// A plain number to six figures, without a tail of zeros.
fn digits(value: f64) -> String {
    if value != 0.0 && !(1e-4..1e9).contains(&value.abs()) {
        return format!("{value:.4e}");
    }
    let before = value.abs().max(1.0).log10().floor() as usize + 1;
    let text = format!("{value:.*}", 6usize.saturating_sub(before));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// One input as it was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Echo {
    /// The input's name.
    pub name: &'static str,
    /// The words it was typed in, or its default.
    pub typed: String,
    /// Keys and SI values; a burn rate has two.
    pub values: Vec<(String, Item, Shows)>,
}

impl Echo {
    pub(super) fn new(input: &Input, typed: &str) -> Self {
        Self { name: input.name, typed: typed.trim().to_owned(), values: Vec::new() }
    }

    pub(super) fn push(&mut self, key: impl Into<String>, item: Item, shows: Shows) {
        self.values.push((key.into(), item, shows));
    }
}

/// One result with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is.
    pub output: &'static Output,
    /// Its value.
    pub value: Item,
}

/// What a calculator found.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Which calculator.
    pub calculator: &'static Calculator,
    /// What it took, defaults included.
    pub inputs: Vec<Echo>,
    /// What it found, in order.
    pub results: Vec<Finding>,
    /// What to know before relying on it.
    pub warnings: Vec<String>,
    /// Where the formula or the number stands.
    pub source: String,
}

impl Outcome {
    /// The value of a result by key.
    pub fn get(&self, key: &str) -> Option<&Item> {
        self.results.iter().find(|it| it.output.key == key).map(|it| &it.value)
    }

    /// The number of a result by key.
    pub fn number(&self, key: &str) -> Option<f64> {
        match self.get(key) {
            Some(Item::Number(value)) => Some(*value),
            _ => None,
        }
    }
}

struct Pairs<'a, I>(I, std::marker::PhantomData<&'a ()>);

impl<'a, K: Serialize + 'a, I: Iterator<Item = (K, &'a Item)> + Clone> Serialize for Pairs<'a, I> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.clone())
    }
}

/// `{"schema":1,"calculator":…,"inputs":{…},"results":{…},"warnings":[…],"source":…}`, keys in order.
impl Serialize for Outcome {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let inputs = self.inputs.iter().flat_map(|it| it.values.iter().map(|(key, item, _)| (key, item)));
        let results = self.results.iter().map(|it| (it.output.key, &it.value));
        let mut map = serializer.serialize_map(Some(6))?;
        map.serialize_entry("schema", &1)?;
        map.serialize_entry("calculator", self.calculator.name)?;
        map.serialize_entry("inputs", &Pairs(inputs, std::marker::PhantomData))?;
        map.serialize_entry("results", &Pairs(results, std::marker::PhantomData))?;
        map.serialize_entry("warnings", &self.warnings)?;
        map.serialize_entry("source", &self.source)?;
        map.end()
    }
}

/// What the library said, before it is put in order.
pub(super) struct Answer {
    found: serde_json::Map<String, Json>,
    warnings: Vec<String>,
    source: Option<String>,
}

impl Answer {
    /// The results of a library function, by the names of its fields.
    pub(super) fn of(found: &impl Serialize) -> Self {
        let found = match serde_json::to_value(found) {
            Ok(Json::Object(map)) => map,
            _ => serde_json::Map::new(),
        };
        Self { found, warnings: Vec::new(), source: None }
    }

    /// Something to know, where it holds.
    pub(super) fn warn_if(mut self, holds: bool, words: impl Into<String>) -> Self {
        if holds {
            self.warnings.push(words.into());
        }
        self
    }

    /// More things to know.
    pub(super) fn warn_all(mut self, words: impl IntoIterator<Item = String>) -> Self {
        self.warnings.extend(words);
        self
    }

    /// A source of its own, instead of the calculator's.
    pub(super) fn source(mut self, source: impl Into<String>) -> Self {
        self.source = Some(source.into());
        self
    }
}

/// The outcome, results in the order of the table; a number that is not finite is a refusal.
pub(super) fn assemble(
    calculator: &'static Calculator,
    values: Values,
    mut answer: Answer,
) -> Result<Outcome, Vec<Problem>> {
    let mut results = Vec::new();
    for output in calculator.results {
        let value = match answer.found.remove(output.key) {
            // Minus nothing is nothing.
            Some(Json::Number(number)) => number.as_f64().map(|it| Item::Number(it + 0.0)),
            Some(Json::String(text)) => Some(Item::Text(text)),
            Some(Json::Bool(yes)) => Some(Item::YesNo(yes)),
            // JSON has no word for what is not finite.
            Some(Json::Null) => {
                return Err(vec![Problem::new(
                    output.label(),
                    "does not come out as a finite number: give inputs of an ordinary size",
                )]);
            }
            _ => None,
        };
        results.extend(value.map(|value| Finding { output, value }));
    }
    debug_assert!(answer.found.is_empty(), "{}: {:?} is not in the table", calculator.name, answer.found);
    let mut warnings = values.warnings;
    warnings.append(&mut answer.warnings);
    let source = answer.source.unwrap_or_else(|| calculator.source.to_owned());
    Ok(Outcome { calculator, inputs: values.echo, results, warnings, source })
}
