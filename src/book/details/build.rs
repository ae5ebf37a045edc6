//! What is built: casings, parts and how they are fitted, loads, batches.

use serde::{Deserialize, Serialize};

use crate::book::{FitAction, Position, Reading};
use crate::design::Design;
use crate::quantity::{
    AbsolutePressure, BurnRate, Density, Force, Impulse, Length, Mass, Speed, Temperature, TimeSpan, Typed,
};

/// A casing's build record, or a new revision of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CasingRecord {
    /// Its permanent mark.
    pub serial: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub name: Option<String>,
    /// Which build of it: a changed dimension is a new revision, never an overwrite.
    pub revision: String,
    /// The casing on paper.
    #[serde(flatten)]
    pub design: Design,
    /// Who turned it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub machinist: Option<String>,
    /// Who welded it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub welder: Option<String>,
    /// Heat or lot of the tube.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tube_lot: Option<String>,
    /// Drawing and its revision.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub drawing: Option<String>,
    /// Readings taken before anything happened to it.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub readings: Vec<Reading>,
    /// The gauge those were read with.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_gauge: Option<String>,
    /// What that gauge repeats to (one standard deviation), as known when this was written.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub od_repeatability: Option<Typed<Length>>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// A part with a life of its own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartRecord {
    /// Its permanent mark.
    pub serial: String,
    /// What it is.
    pub what: Position,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub material: Option<String>,
    /// Who made it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub maker: Option<String>,
    /// Heat, lot or order.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lot: Option<String>,
    /// Firings it may see in all.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub life_firings: Option<u32>,
    /// Firings it saw before this book began.
    #[serde(default)]
    pub firings_before: u32,
    /// Throat DIAMETER of a nozzle part.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub throat: Option<Typed<Length>>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// A part put into a casing or taken out of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FitRecord {
    /// The casing.
    pub casing: String,
    /// The part.
    pub part: String,
    /// Where it sits.
    pub position: Position,
    /// Put in or taken out.
    pub action: FitAction,
    /// Throat DIAMETER as fitted, where it was reamed.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub throat: Option<Typed<Length>>,
    /// What was looked at on the way in, and why it was moved.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// The grain of a load: straight cylindrical segments.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grain {
    /// How many segments.
    pub count: u32,
    /// Outside DIAMETER.
    pub outside_diameter: Typed<Length>,
    /// Core DIAMETER.
    pub core: Typed<Length>,
    /// Length of one segment.
    pub length: Typed<Length>,
    /// End faces of the whole stack that cannot burn.
    #[serde(default)]
    pub inhibited_ends: u32,
}

/// What a propellant does, by its numbers only. Never what it is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Propellant {
    /// Density.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub density: Option<Typed<Density>>,
    /// Characteristic velocity.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub characteristic_velocity: Option<Typed<Speed>>,
    /// Burn rate at a stated absolute pressure.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub burn_rate: Option<BurnRate>,
    /// Pressure exponent.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub exponent: Option<f64>,
    /// Ratio of specific heats.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub ratio_of_heats: Option<f64>,
}

/// A nozzle as a load needs it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Nozzle {
    /// Throat DIAMETER.
    pub throat: Typed<Length>,
    /// Exit area over throat area.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub area_ratio: Option<f64>,
    /// Exit DIAMETER.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub exit: Option<Typed<Length>>,
    /// Half angle of the cone, degrees.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub half_angle_deg: Option<f64>,
    /// Share of the ideal thrust coefficient.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub efficiency: Option<f64>,
}

/// A load: what goes in and what it is planned to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoadRecord {
    /// Its name.
    pub name: String,
    /// Which version of it.
    pub revision: String,
    /// Planned peak pressure, above vacuum.
    pub peak_pressure: Typed<AbsolutePressure>,
    /// Planned peak thrust.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub peak_thrust: Option<Typed<Force>>,
    /// Planned total impulse.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub impulse: Option<Typed<Impulse>>,
    /// Planned burn time.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub burn_time: Option<Typed<TimeSpan>>,
    /// Propellant mass.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub propellant_mass: Option<Typed<Mass>>,
    /// The grain.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub grain: Option<Grain>,
    /// The propellant's numbers.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub propellant: Option<Propellant>,
    /// The nozzle.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub nozzle: Option<Nozzle>,
    /// Scatter of the peak, one sigma, relative; the club rule's when absent.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub peak_scatter: Option<f64>,
    /// How the plan was made.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub planned_by: Option<String>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}

/// A batch of propellant, by its numbers only.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatchRecord {
    /// Its name.
    pub name: String,
    /// Its numbers.
    #[serde(flatten)]
    pub propellant: Propellant,
    /// Burn rate against the club's nominal.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub burn_rate_factor: Option<f64>,
    /// Grain temperature the numbers are for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at_temperature: Option<Typed<Temperature>>,
    /// Where the numbers came from.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub numbers_from: Option<String>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub remark: Option<String>,
}
