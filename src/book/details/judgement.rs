//! What is judged: findings, dispositions, notes, photographs, strikes, checklists, club rules.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::PartAt;
use crate::book::damage::Damage;
use crate::book::{Attested, Decision, EntryId, Event, FiringMode};
use crate::quantity::{GaugePressure, Length, Temperature, Typed};

/// Damage, with place, size and evidence.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FindingRecord {
    /// The casing it was found on.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub casing: Option<String>,
    /// The part it was found on.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub part: Option<String>,
    /// What kind.
    pub damage: Damage,
    /// Axial distance from the forward seal face.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub station: Option<Typed<Length>>,
    /// Clock angle, degrees.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock_deg: Option<f64>,
    /// The share in per cent that the damage is measured by.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub percent: Option<f64>,
    /// The depth, length or size.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub depth: Option<Typed<Length>>,
    /// The temperature reached.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub temperature: Option<Typed<Temperature>>,
    /// How many.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub count: Option<u32>,
    /// Hardness at the place (HB), which gives its local strength.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hardness: Option<f64>,
    /// Least wall left at the place.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wall_left: Option<Typed<Length>>,
    /// How it was found.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub found_by: Option<String>,
    /// What was seen.
    pub evidence: String,
}

/// A decision on a casing or a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DispositionRecord {
    /// The casing.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub casing: Option<String>,
    /// The part.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub part: Option<String>,
    /// The decision.
    pub decision: Decision,
    /// Why, with what argued for and against.
    pub reason: String,
    /// Restriction: the lower MEOP.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub meop: Option<Typed<GaugePressure>>,
    /// Restriction: the only loads allowed.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub loads: Vec<String>,
    /// Restriction: firings between proofs.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub proof_every: Option<u32>,
    /// Restriction: the day it ends, when a new decision is due.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub expires: Option<NaiveDate>,
    /// Restriction: times the table distance.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub standoff_multiplier: Option<f64>,
    /// Keep or watch: whether it lifts the restriction in force, which takes two names.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub lifts_restriction: bool,
    /// What else must be looked at, every firing.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub extra_checks: Option<String>,
    /// Retirement: how it was made unusable.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub made_unusable: Option<String>,
    /// Repair: what was or is to be done.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub repair: Option<String>,
}

/// Anything else worth a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NoteRecord {
    /// The casing, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub casing: Option<String>,
    /// The part, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub part: Option<String>,
    /// An event that counts, where it was one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub event: Option<Event>,
    /// The note.
    pub text: String,
}

/// A photograph by reference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PhotoRecord {
    /// The casing.
    pub casing: String,
    /// Where the file was.
    pub path: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// What it shows.
    pub caption: String,
    /// Where on the casing.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub station: Option<Typed<Length>>,
    /// Clock angle, degrees.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock_deg: Option<f64>,
}

/// A correction: crosses out an earlier entry and leaves it readable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StrikeRecord {
    /// The entry crossed out.
    pub strikes: EntryId,
    /// Why.
    pub reason: String,
    /// Whether it crossed out a retirement, which every later page must show.
    #[serde(default)]
    pub lifts_retirement: bool,
    /// Whether the casing stood better for it, which every later page must show.
    #[serde(default)]
    pub eases: bool,
}

/// One checklist item as it came out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ItemAttested {
    /// Which item.
    pub item: String,
    /// What it says.
    pub text: String,
    /// Who decides it: the record or a person.
    pub decided_by: String,
    /// How it came out, in a word.
    pub state: String,
}

/// A pre-fire checklist as it was run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrefireRecord {
    /// The casing.
    pub casing: String,
    /// The parts fitted.
    #[serde(default)]
    pub parts: Vec<PartAt>,
    /// The load.
    pub load: String,
    /// The batch.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub batch: Option<String>,
    /// Stand or flight.
    pub mode: FiringMode,
    /// How hot the grains are soaked.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub grain_temperature: Option<Typed<Temperature>>,
    /// The day it is planned for.
    pub planned_for: NaiveDate,
    /// Every item.
    pub items: Vec<ItemAttested>,
    /// Whether every item was in order and both names given.
    pub released: Attested,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// A change of a club limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleRecord {
    /// Which rule.
    pub rule: String,
    /// Its new value, in the rule's unit.
    pub value: f64,
    /// Why.
    pub reason: String,
}
