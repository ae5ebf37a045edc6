//! What each kind of entry says. One plain record a kind; every quantity keeps the words it was typed in.

mod build;
mod event;
mod instrument;
mod judgement;
mod read;

use serde::{Deserialize, Serialize};

pub use build::*;
pub use event::*;
pub use instrument::*;
pub use judgement::*;
pub use read::{design, read};

use super::words::Kind;

macro_rules! details {
    ($($variant:ident($record:ident)),* $(,)?) => {
        /// What an entry says.
        #[derive(Clone, Debug, PartialEq)]
        #[allow(missing_docs, reason = "each variant is the record of the kind it is named after")]
        pub enum Details { $($variant(Box<$record>)),* }

        impl Details {
            /// Which kind it is.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$variant(_) => Kind::$variant),* }
            }

            /// As JSON, keys in alphabetical order.
            ///
            /// # Errors
            /// A value that JSON cannot hold.
            pub fn to_json(&self) -> Result<serde_json::Value, serde_json::Error> {
                match self { $(Self::$variant(record) => serde_json::to_value(record)),* }
            }

            /// From the JSON of a kind.
            ///
            /// # Errors
            /// The JSON is not a record of that kind.
            pub fn from_json(kind: Kind, text: &str) -> Result<Self, serde_json::Error> {
                match kind { $(Kind::$variant => serde_json::from_str(text).map(|record| Self::$variant(Box::new(record)))),* }
            }
        }
        $(impl From<$record> for Details { fn from(record: $record) -> Self { Self::$variant(Box::new(record)) } })*
    };
}

details! {
    Casing(CasingRecord), Part(PartRecord), Fit(FitRecord), Proof(ProofRecord), Load(LoadRecord), Batch(BatchRecord),
    Firing(FiringRecord), Trace(TraceRecord), Strip(StripRecord), Finding(FindingRecord),
    Disposition(DispositionRecord), Note(NoteRecord), Photo(PhotoRecord), Strike(StrikeRecord),
    Prefire(PrefireRecord), Rule(RuleRecord), Gauge(GaugeRecord), Study(StudyRecord), Person(PersonRecord),
}

/// A part as it sat in a casing when something happened to both.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartAt {
    /// The part's serial.
    pub part: String,
    /// Where it sat.
    pub position: super::Position,
}
