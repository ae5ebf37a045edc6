//! What if: a casing with another dimension, a pit, or a soft spot, without writing anything.

use crate::book::details;
use crate::book::form::Problem;
use crate::book::reader::{self, OnRecord, Reader};
use crate::book::{Answers, EntryId, SubjectOf, forms};
use crate::design::derate::local_strength;
use crate::design::wall::least_wall;
use crate::design::{Design, material};
use crate::quantity::{GaugePressure, Length, Quantity, Stress};
use crate::standing::RuleSet;
use crate::standing::assessment::{Spot, local_state};
use crate::strength::{LocalSpot, LocalState, Margins};

/// A design stands alone: nothing is on record for it.
pub struct OnPaper;

impl OnRecord for OnPaper {
    fn knows(&self, _: SubjectOf, _: &str) -> bool {
        false
    }
    fn nearest(&self, _: SubjectOf, _: &str) -> Option<String> {
        None
    }
    fn alike(&self, _: SubjectOf, _: &str) -> Option<String> {
        None
    }
    fn entry(&self, _: &str) -> Result<EntryId, String> {
        Err("a design names no entry".to_owned())
    }
    fn design(&self, _: &str) -> Option<Design> {
        None
    }
}

/// Read a design from answers to the design fields.
///
/// # Errors
/// Every problem of every field.
pub fn read_design(answers: &Answers) -> Result<(Design, Vec<Problem>), Vec<Problem>> {
    let desk = reader::Desk { today: chrono::NaiveDate::MIN, bare_numbers: None, on_record: &OnPaper };
    let mut reader = Reader::new(forms::DESIGN, answers, &desk);
    reader.refuse_unknown("a design", forms::DESIGN);
    let design = details::design(&mut reader);
    match design {
        Some(design) if reader.problems.is_empty() => Ok((design, reader.warnings)),
        _ => Err(reader.problems),
    }
}

/// What is supposed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WhatIf {
    /// Design fields with other words: `aft.edge` → `10.5 mm`.
    pub set: Vec<(String, String)>,
    /// A pit or gouge of this depth.
    pub pit: Option<Length>,
    /// A spot of this Brinell hardness.
    pub hardness: Option<f64>,
    /// Where the pit or spot is.
    pub station: Option<Length>,
}

impl WhatIf {
    /// Whether anything is supposed at all.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The design and its state with what is supposed.
    ///
    /// # Errors
    /// A field that is none, words that are no value for it, a pit through the wall, a hardness out of range.
    pub fn apply(
        &self,
        design: &Design,
        local: &LocalState,
        recorded: &[Spot],
    ) -> Result<(Design, LocalState), Vec<Problem>> {
        let mut answers = answers_of(design);
        for (field, text) in &self.set {
            match field.strip_prefix("both.") {
                Some(name) => {
                    answers.set(&format!("forward.{name}"), text.as_str());
                    answers.set(&format!("aft.{name}"), text.as_str());
                }
                None => {
                    answers.set(field, text.as_str());
                }
            }
        }
        let design = if self.set.is_empty() { design.clone() } else { read_design(&answers)?.0 };
        let mut local = local.clone();
        if self.pit.is_some() || self.hardness.is_some() {
            local.spots.push(self.spot(&design, recorded)?);
        }
        Ok((design, local))
    }

    fn spot(&self, design: &Design, recorded: &[Spot]) -> Result<LocalSpot, Vec<Problem>> {
        let wrong = |field: &str, message: String| vec![Problem::new(field, message)];
        let place = match self.station {
            Some(station) => format!("supposed at station {:.0} mm", station.as_mm()),
            None => "supposed".to_owned(),
        };
        let (wall, _) = least_wall(&design.tube);
        let remaining_wall = match self.pit {
            Some(pit) if pit.si() >= wall.si() => {
                let message =
                    format!("{:.2} mm is through the least wall of {:.2} mm", pit.as_mm(), wall.as_mm());
                return Err(wrong("pit", message));
            }
            Some(pit) => Some(Length::from_si(wall.si() - pit.si())),
            None => None,
        };
        let yield_strength = match self.hardness {
            Some(hardness) => {
                let metal =
                    material::tube_metal(&design.tube).map_err(|error| wrong("design", error.to_string()))?;
                let listed = material::get(&design.tube.material)
                    .map_err(|error| wrong("hardness", error.to_string()))?;
                let soft = local_strength(listed, metal.yield_strength, hardness, None)
                    .map_err(|error| wrong("hardness", error.to_string()))?;
                Some(soft.yield_pa)
            }
            None => None,
        };
        let supposed = LocalSpot { place, remaining_wall, yield_strength, beside_weld: false };
        Ok(self.with_what_is_there(supposed, design, recorded))
    }

    /// A supposed spot on a place that is on record as soft or thin is that as well.
    fn with_what_is_there(&self, mut supposed: LocalSpot, design: &Design, recorded: &[Spot]) -> LocalSpot {
        let Some(station) = self.station else { return supposed };
        for spot in recorded {
            let near = spot.station_mm.is_some_and(|it| (it - station.as_mm()).abs() <= SAME_PLACE_MM);
            for there in local_state(design, std::slice::from_ref(spot)).spots.iter().filter(|_| near) {
                let lower = |a: Option<f64>, b: Option<f64>| match (a, b) {
                    (Some(a), Some(b)) => Some(a.min(b)),
                    (a, b) => a.or(b),
                };
                let si = |it: &Option<Stress>| it.as_ref().map(|it| it.si());
                supposed.yield_strength =
                    lower(si(&supposed.yield_strength), si(&there.yield_strength)).map(Stress::from_si);
                supposed.remaining_wall =
                    lower(supposed.remaining_wall.map(Length::si), there.remaining_wall.map(Length::si))
                        .map(Length::from_si);
                supposed.place = format!("{}, on {}", supposed.place, there.place);
            }
        }
        supposed
    }
}

/// Two places closer than this along the tube are taken as one.
const SAME_PLACE_MM: f64 = 30.0;

/// The highest MEOP that the margins bear: every mode keeps the club's least factor, and the least proof that would
/// cover it takes no mode above its share of yield; where a proof has passed, what that proof covers.
pub fn meop_kept(margins: &Margins, rules: &RuleSet, proof_pa: Option<f64>) -> Option<GaugePressure> {
    let yields_pa = margins.thinnest()?.yield_pressure_pa.si();
    let by_factor = yields_pa / rules.value("margin-least");
    let by_proof = yields_pa * rules.value("proof-yield-share") / 100.0 / rules.value("proof-factor-least");
    let proved = proof_pa.map_or(f64::INFINITY, |proof| proof / rules.value("proof-factor-least"));
    Some(GaugePressure::from_si(by_factor.min(by_proof).min(proved)))
}

/// Said of a MEOP that no proof stands behind.
pub const ON_PAPER: &str = "on paper, without a proof";

/// What the highest MEOP that is kept rests on, in the words every screen and page uses.
pub fn kept_by(proved: bool) -> String {
    if proved { "margins and proof cover".to_owned() } else { format!("margins bear {ON_PAPER}") }
}

/// A design as the answers that would give it, in the words it was typed in.
pub fn answers_of(design: &Design) -> Answers {
    let mut answers = Answers::new();
    if let Ok(serde_json::Value::Object(map)) = serde_json::to_value(design) {
        put("", &map, &mut answers);
    }
    answers
}

fn put(prefix: &str, map: &serde_json::Map<String, serde_json::Value>, answers: &mut Answers) {
    use serde_json::Value;
    for (key, value) in map {
        let field = if prefix.is_empty() { key.clone() } else { format!("{prefix}.{key}") };
        // The form says "yield" where the record says "yield_strength".
        let field = field.replace("_strength", "");
        match value {
            Value::Object(inner) => match (inner.get("typed").and_then(Value::as_str), inner.iter().next()) {
                (Some(typed), _) => {
                    answers.set(&field, typed);
                }
                (None, Some((unit, Value::Number(number)))) if inner.len() == 1 => {
                    let unit = match unit.as_str() {
                        "pa" => "Pa",
                        "k" => "K",
                        other => other,
                    };
                    answers.set(&field, format!("{number} {unit}"));
                }
                _ => put(&field, inner, answers),
            },
            Value::String(text) => {
                answers.set(&field, text.as_str());
            }
            Value::Null => {}
            other => {
                answers.set(&field, other.to_string());
            }
        }
    }
}
