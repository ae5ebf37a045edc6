//! What happens: proofs, firings and their traces, inspections.

use serde::{Deserialize, Serialize};

use super::PartAt;
use crate::book::{EntryId, FiringMode, Landing, Medium, Outcome, PeakFrom, ProofMethod, Reading};
use crate::quantity::{
    AbsolutePressure, Force, GaugePressure, Impulse, Length, Temperature, TimeSpan, Typed, Volume,
};

/// A hydrostatic test.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProofRecord {
    /// The casing.
    pub casing: String,
    /// The parts it was pressed with.
    #[serde(default)]
    pub parts: Vec<PartAt>,
    /// Highest pressure reached.
    pub pressure: Typed<GaugePressure>,
    /// What it was filled with.
    pub medium: Medium,
    /// How long the pressure was held.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hold: Option<Typed<TimeSpan>>,
    /// Whether it was bled until solid.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub bled: Option<bool>,
    /// How growth was measured.
    pub method: ProofMethod,
    /// Total expansion, water compression already taken off.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub total_expansion: Option<Typed<Volume>>,
    /// Permanent expansion.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub permanent_expansion: Option<Typed<Volume>>,
    /// Readings at stations, before, under and after.
    #[serde(default)]
    pub readings: Vec<Reading>,
    /// Whether anything leaked.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub leak: Option<bool>,
    /// Whether the pressure dropped without a wet joint.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pressure_drop: Option<bool>,
    /// The gauge, by its mark.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub gauge: Option<String>,
    /// Water temperature.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub water_temperature: Option<Typed<Temperature>>,
    /// The gauge the diameters were read with.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_gauge: Option<String>,
    /// What that gauge repeats to (one standard deviation), as known when this was written.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_repeatability: Option<Typed<Length>>,
    /// Whether the rig was checked that day.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rig_checked: Option<bool>,
    /// Water inside before pumping.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub water_volume: Option<Typed<Volume>>,
    /// Water forced in up to the proof pressure, its own compression included.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub water_pumped: Option<Typed<Volume>>,
    /// Water given back when the pressure was let off.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub water_returned: Option<Typed<Volume>>,
    /// Pressure against strokes, as pumped.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub steps: Vec<ProofStep>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// One step of a proof.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProofStep {
    /// The pressure reached.
    pub pressure: Typed<GaugePressure>,
    /// Strokes of the pump since the step before.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub strokes: Option<f64>,
}

/// That a casing was fired although the record forbade it, as known when it was written down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Breach {
    /// Why, in the writer's words.
    pub reason: String,
    /// The rules that forbade it.
    pub forbidden_by: Vec<String>,
}

/// A firing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FiringRecord {
    /// The casing.
    pub casing: String,
    /// The parts it was fired with.
    #[serde(default)]
    pub parts: Vec<PartAt>,
    /// Stand or flight.
    pub mode: FiringMode,
    /// The load.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub load: Option<String>,
    /// The plan's peak at that time, so that a later revision of the load does not change history.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub planned_peak: Option<Typed<AbsolutePressure>>,
    /// The plan's peak thrust at that time.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub planned_thrust: Option<Typed<Force>>,
    /// The plan's impulse at that time.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub planned_impulse: Option<Typed<Impulse>>,
    /// The batch.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub batch: Option<String>,
    /// Where.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub place: Option<String>,
    /// Who conducted it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub conductor: Option<String>,
    /// Peak pressure, above vacuum.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub peak_pressure: Option<Typed<AbsolutePressure>>,
    /// Where that number comes from.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub peak_from: Option<PeakFrom>,
    /// Peak thrust.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub peak_thrust: Option<Typed<Force>>,
    /// Total impulse.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub impulse: Option<Typed<Impulse>>,
    /// Burn time.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub burn_time: Option<Typed<TimeSpan>>,
    /// Grain temperature.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub grain_temperature: Option<Typed<Temperature>>,
    /// Ignition delay.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub ignition_delay: Option<Typed<TimeSpan>>,
    /// Throat DIAMETER before.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub throat_before: Option<Typed<Length>>,
    /// Throat DIAMETER after.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub throat_after: Option<Typed<Length>>,
    /// How it came down.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub landing: Option<Landing>,
    /// Written only when the record forbade it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub breach: Option<Breach>,
    /// What was seen and heard.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// The raw file of a firing's trace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TraceRecord {
    /// The casing.
    pub casing: String,
    /// The firing.
    pub firing: EntryId,
    /// The file's name, without its folder.
    pub file: String,
    /// SHA-256 of the raw bytes.
    pub sha256: String,
    /// How many raw bytes.
    pub bytes: u64,
    /// How the columns were read.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub columns: Option<String>,
    /// What it was reduced to, with the definitions used.
    pub reduction: serde_json::Value,
}

/// What one inspection item came to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ItemOutcome {
    /// Which item.
    pub item: String,
    /// What it came to.
    pub outcome: Outcome,
}

/// A strip-down inspection.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StripRecord {
    /// The casing.
    pub casing: String,
    /// The firing it follows, where it follows one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub firing: Option<EntryId>,
    /// Every item with its outcome.
    pub items: Vec<ItemOutcome>,
    /// Readings at stations.
    #[serde(default)]
    pub readings: Vec<Reading>,
    /// Throat DIAMETER at several angles.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub throats: Vec<Typed<Length>>,
    /// Hottest temperature label that turned.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label_temperature: Option<Typed<Temperature>>,
    /// The gauge the outside diameters were read with.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_gauge: Option<String>,
    /// What that gauge repeats to (one standard deviation), as known when this was written.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_repeatability: Option<Typed<Length>>,
    /// What was seen, before what was concluded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}
