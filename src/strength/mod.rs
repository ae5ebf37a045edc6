//! Will it hold? Margins by failure mode, proof, growth, fits and fatigue.
//!
//! [`margins()`] is the one question the rest of the program asks; the other functions are the shop
//! calculators behind it. Every function takes typed quantities, returns a record whose field names are
//! the JSON keys, and refuses what its formula does not hold for with an [`InputError`] that names the
//! input and says what would be accepted.
//!
//! | file | failure modes or calculators |
//! |---|---|
//! | [`tube`] | tube wall, tube burst; `yield-pressure`, `burst-pressure` |
//! | [`weld`] | weld zone wall, weld throat |
//! | [`bolted`] | hole bearing, bolt shear, tear-out, net section; `radial-bolts` |
//! | [`threaded`] | thread strip, thread relief; `thread-strip` |
//! | [`ring`] | groove bearing, groove shear, ring shear; `retaining-ring` |
//! | [`plate`] | plate bending; `flat-plate`, `flat-head` |
//! | [`cylinder`] | `cylinder`, `cylinder-wall`, `thin-wall` |
//! | [`proof`] | `proof-factor`, `permanent-set`, `repeat-test` |
//! | [`growth`] | `water-expansion`, elastic growth of a station |
//! | [`energy`] | `stored-energy` |
//! | [`fits`] | `press-fit`, `shrink-temperature` |
//! | [`fatigue`] | `fatigue-life`, `damage-sum` |
//! | [`defect`] | `gouge-limit` |
//!
//! Convention: `yield_pressure_pa` of a mode is the gauge pressure at which that part first yields or
//! crushes, with no safety factor inside; the factor is against the pressure asked.

pub mod bolted;
mod casing;
pub mod change;
pub mod cylinder;
pub mod defect;
pub mod energy;
pub mod fatigue;
pub mod fits;
pub mod growth;
pub mod margins;
pub mod plate;
pub mod proof;
pub mod ring;
pub mod threaded;
pub mod tube;
pub mod wear;
pub mod weld;

pub use crate::design::InputError;
pub use crate::design::InputError as StrengthError;
pub use margins::{
    LocalSpot, LocalState, Margins, Mode, ModeMargin, ProofObjection, margins, proof_objection,
};
