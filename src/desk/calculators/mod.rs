//! The shop calculators: one table of names, inputs, results and sources over the library's functions.
//!
//! A calculator is a thin face. It reads text, hands typed quantities to a public function of
//! [`crate::design`], [`crate::strength`], [`crate::ballistics`], [`crate::trace`] or [`crate::standing`],
//! and names the results. The command line and the screen both go through [`run`], so that a number typed
//! in either means the same; [`run`] is cheap enough to be called at every key.
//!
//! ```
//! use std::collections::BTreeMap;
//! use proofmark::desk::calculators;
//! let given = BTreeMap::from([("burst_factor".to_owned(), "1.5".to_owned())]);
//! let outcome = calculators::run("proof-factor", &given).map_err(|problems| format!("{problems:?}"))?;
//! assert_eq!(outcome.number("proof_factor"), Some(1.25));
//! # Ok::<(), String>(())
//! ```

mod cylinders;
mod input;
mod joints;
mod life;
mod motor;
mod outcome;
mod plan;
mod proofs;
mod range;
mod stock;

use std::collections::BTreeMap;

pub use input::{Input, Need, Sign, Takes};
pub use outcome::{Echo, Finding, Item, Outcome, Output, Shows};
pub use plan::plan;

use crate::book::Problem;
use crate::design::InputError;
use input::Values;
use outcome::Answer;

/// One calculator, as it is listed, explained and run.
pub struct Calculator {
    /// What it is called, e.g. `yield-pressure`.
    pub name: &'static str,
    /// One line: what it is for.
    pub purpose: &'static str,
    /// The formula in plain text.
    pub formula: &'static str,
    /// What it takes, in the order it is asked for.
    pub inputs: &'static [Input],
    /// What it gives, in the order it is shown.
    pub results: &'static [Output],
    /// Where it holds.
    pub range: &'static str,
    /// What happens outside that.
    pub outside: &'static str,
    /// Where the formula stands.
    pub source: &'static str,
    work: fn(&Values) -> Result<Answer, Refused>,
}

/// Why a calculator would not.
enum Refused {
    /// The library refused an input.
    Input(InputError),
    /// An input and the whole sentence.
    Said(&'static str, String),
}

impl From<InputError> for Refused {
    fn from(error: InputError) -> Self {
        Self::Input(error)
    }
}

impl From<Refused> for Problem {
    fn from(refused: Refused) -> Self {
        match refused {
            Refused::Input(error) => Self::new(&printable(error.input()), words_of(&error)),
            Refused::Said(input, sentence) => Self::new(input, sentence),
        }
    }
}

impl std::fmt::Debug for Calculator {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("Calculator").field("name", &self.name).finish_non_exhaustive()
    }
}

impl Calculator {
    /// The input of a name, hyphens and letter case aside.
    pub fn input(&self, name: &str) -> Option<&'static Input> {
        let wanted = plain(name);
        self.inputs.iter().find(|it| it.name == wanted)
    }

    fn input_names(&self) -> String {
        self.inputs.iter().map(|it| it.name).collect::<Vec<_>>().join(", ")
    }

    /// Work it out from what was typed.
    ///
    /// # Errors
    /// One problem for every input that is unknown, missing, not of its kind or outside its range; each says
    /// what would be accepted.
    pub fn run(&'static self, given: &BTreeMap<String, String>) -> Result<Outcome, Vec<Problem>> {
        let mut problems = Vec::new();
        let mut texts: BTreeMap<&'static str, &str> = BTreeMap::new();
        for (name, text) in given {
            match self.input(name) {
                Some(input) if texts.insert(input.name, text).is_some() => {
                    problems.push(Problem::new(input.name, "is given twice: give it once"));
                }
                Some(_) => {}
                None => problems.push(Problem::new(
                    &printable(name),
                    format!("is not an input of {}: give {}", self.name, self.input_names()),
                )),
            }
        }
        let mut values = Values::default();
        for input in self.inputs {
            let text = texts.get(input.name).copied();
            if let Err(problem) = values.read(input, text) {
                problems.push(problem);
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let answer = (self.work)(&values).map_err(|refused| vec![Problem::from(refused)])?;
        outcome::assemble(self, values, answer)
    }
}

/// The sentence of a refusal without the input's name, which stands before it already.
fn words_of(error: &InputError) -> String {
    match error {
        InputError::Missing { accepted, .. } => format!("is missing: give {accepted}"),
        InputError::Outside { given, accepted, .. } => format!("{given} is outside: give {accepted}"),
        InputError::Unlisted { given, accepted, .. } => {
            format!("{} is not listed: give {accepted}", crate::quantity::text::quote(given))
        }
        InputError::Design(_) => error.to_string(),
    }
}

/// A name as it may be printed: what a terminal could act on is dropped.
fn printable(name: &str) -> String {
    let kept: String =
        name.chars().filter(|it| it.is_alphanumeric() || matches!(it, '_' | '-' | '.')).take(40).collect();
    if kept.is_empty() { "input".to_owned() } else { kept }
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace(['-', ' '], "_")
}

/// Every calculator, in the order of a job: the wall, the metal, the ends, fits, life and proof, nozzle and
/// grain, class and distance, units.
pub fn list() -> impl Iterator<Item = &'static Calculator> {
    [cylinders::ALL, stock::ALL, joints::ALL, life::ALL, proofs::ALL, motor::ALL, range::ALL]
        .into_iter()
        .flat_map(<[Calculator]>::iter)
}

/// The calculator of a name, underscores and letter case aside.
pub fn find(name: &str) -> Option<&'static Calculator> {
    let wanted = plain(name);
    list().find(|it| plain(it.name) == wanted)
}

/// Run a calculator by name on what was typed.
///
/// # Errors
/// No calculator has that name, or as [`Calculator::run`].
pub fn run(name: &str, given: &BTreeMap<String, String>) -> Result<Outcome, Vec<Problem>> {
    match find(name) {
        Some(calculator) => calculator.run(given),
        None => {
            let names: Vec<_> = list().map(|it| it.name).collect();
            Err(vec![Problem::new(
                "calculator",
                format!(
                    "{} is not one of them: give {}",
                    crate::quantity::text::quote(name.trim()),
                    names.join(", ")
                ),
            )])
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_table_is_sound() {
        let mut names: Vec<_> = list().map(|it| it.name).collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count, "a name is taken twice");
        for calculator in list() {
            for text in [
                calculator.purpose,
                calculator.formula,
                calculator.range,
                calculator.outside,
                calculator.source,
            ] {
                assert!(!text.trim().is_empty(), "{} explains itself", calculator.name);
            }
            assert!(find(calculator.name).is_some());
            for input in calculator.inputs {
                assert_eq!(plain(input.name), input.name);
                if let Need::Default(text) = input.need {
                    let mut values = Values::default();
                    assert!(values.read(input, Some(text)).is_ok(), "{} {}", calculator.name, input.name);
                }
            }
            assert!(!calculator.results.is_empty());
        }
    }
}
