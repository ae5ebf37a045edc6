//! What is this casing, on paper? The tube, its ends, the pressure it is meant for.
//!
//! These are plain records as a person writes them in a design file (`margins --design FILE.toml`) or a
//! casing entry. Every length says whether it is a diameter, a wall or an edge distance; a wall says
//! whether it is the least one measured.

pub mod bolt;
pub mod derate;
pub mod error;
pub mod material;
mod metals;
pub mod pipe;
pub mod problems;
pub mod thread;
pub mod wall;

pub use error::InputError;
pub use problems::Problem;

use serde::{Deserialize, Serialize};

use crate::quantity::{GaugePressure, Length, Stress, Temperature, Typed};

/// A closed list of words: an enum whose variants are the words people type, the JSON and the SQL values.
#[macro_export]
macro_rules! words {
    ($($(#[$doc:meta])* pub enum $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),* $(,)? })*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name { $($(#[$vdoc])* #[serde(rename = $word)] $variant),* }

        impl $name {
            /// Every variant, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// Every word, in order.
            pub const WORDS: &'static [&'static str] = &[$($word),*];
            /// The word for it.
            pub const fn word(self) -> &'static str { match self { $(Self::$variant => $word),* } }
            /// The variant for a word, letter case, hyphens and underscores aside.
            pub fn from_word(text: &str) -> Option<Self> {
                // As the book itself writes it, most often.
                if let Some(found) = Self::ALL.iter().copied().find(|it| it.word() == text) {
                    return Some(found);
                }
                let wanted = text.trim().to_lowercase().replace(['-', '_'], " ");
                Self::ALL.iter().copied().find(|it| it.word().replace('-', " ").to_lowercase() == wanted)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { formatter.pad(self.word()) }
        }
    )*};
}

words! {
    /// How the metal was made, which decides its published minimum.
    pub enum ProductForm {
        /// Drawn seamless tube.
        DrawnTube = "drawn tube",
        /// Extruded tube or profile.
        Extruded = "extruded",
        /// Pipe to a schedule.
        Pipe = "pipe",
        /// Sheet or plate.
        Plate = "plate",
        /// Bar or rod.
        Bar = "bar",
    }

    /// How an end of the tube is closed.
    pub enum EndKind {
        /// A plug welded in; softens the tube beside it.
        WeldedPlug = "welded plug",
        /// A cap or plug held by radial bolts.
        RadialBolts = "radial bolts",
        /// A threaded cap.
        ThreadedCap = "threaded cap",
        /// A snap ring in a groove.
        RetainingRing = "retaining ring",
    }

    /// How the rim of a flat end plate is held.
    pub enum PlateEdge {
        /// Rim cannot turn.
        Clamped = "clamped",
        /// Rim free to turn.
        Supported = "supported",
    }
}

/// A tube.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tube {
    /// Alloy and temper, e.g. `6061-T6`; a listed one has published minima.
    pub material: String,
    /// Product form, where the minimum depends on it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub form: Option<ProductForm>,
    /// Outside DIAMETER.
    pub od: Typed<Length>,
    /// Nominal wall.
    pub wall: Typed<Length>,
    /// Least wall MEASURED; without it the mill tolerance comes off the nominal wall.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wall_min: Option<Typed<Length>>,
    /// Cut length.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length: Option<Typed<Length>>,
    /// Least yield of an unlisted metal; shown as assumed everywhere.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub yield_strength: Option<Typed<Stress>>,
    /// Least ultimate of an unlisted metal.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub ultimate_strength: Option<Typed<Stress>>,
    /// Elastic modulus of an unlisted metal.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub modulus: Option<Typed<Stress>>,
    /// Poisson's ratio of an unlisted metal.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub poisson: Option<f64>,
}

/// A flat end plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plate {
    /// Plate thickness.
    pub thickness: Typed<Length>,
    /// How its rim is held.
    pub edge: PlateEdge,
    /// Alloy and temper; the tube's when absent.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub material: Option<String>,
}

/// One end of the casing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct End {
    /// How it is closed.
    pub kind: EndKind,
    /// Welded plug: leg of the fillet.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub leg: Option<Typed<Length>>,
    /// Radial bolts: how many.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub count: Option<u32>,
    /// Radial bolts: size, e.g. `10-32`, `1/4-28`, `M5x0.8`.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub bolt: Option<String>,
    /// Radial bolts: hole centre to tube end. Retaining ring: groove to tube end.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub edge: Option<Typed<Length>>,
    /// Radial bolts: least ultimate strength of the bolt.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub bolt_ultimate: Option<Typed<Stress>>,
    /// Threaded cap: pitch DIAMETER.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pitch_diameter: Option<Typed<Length>>,
    /// Threaded cap: engaged length.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub engagement: Option<Typed<Length>>,
    /// Threaded cap: bore DIAMETER at the thread relief.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub relief_diameter: Option<Typed<Length>>,
    /// Retaining ring: groove depth (radial).
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub groove_depth: Option<Typed<Length>>,
    /// Retaining ring: ring thickness.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub ring_thickness: Option<Typed<Length>>,
    /// Seal DIAMETER the pressure acts on; the bore when absent.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub seal_diameter: Option<Typed<Length>>,
    /// A flat end plate, where there is one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub plate: Option<Plate>,
}

impl End {
    /// An end of a kind with nothing else said of it.
    pub const fn bare(kind: EndKind) -> Self {
        Self {
            kind,
            leg: None,
            count: None,
            bolt: None,
            edge: None,
            bolt_ultimate: None,
            pitch_diameter: None,
            engagement: None,
            relief_diameter: None,
            groove_depth: None,
            ring_thickness: None,
            seal_diameter: None,
            plate: None,
        }
    }
}

/// What the casing is meant for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Service {
    /// Highest pressure the owner says a load may reach.
    pub meop: Typed<GaugePressure>,
    /// Hottest the wall is expected to be while under pressure.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wall_temperature: Option<Typed<Temperature>>,
}

/// A whole casing on paper.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Design {
    /// The tube.
    pub tube: Tube,
    /// The forward end, away from the nozzle.
    pub forward: End,
    /// The aft end, at the nozzle.
    pub aft: End,
    /// What it is meant for.
    pub service: Service,
}
