//! May it be fired again? Standing as a pure function of entries, rules and a day.
//!
//! [`assess`] walks a casing's history in the order things happened and comes back with named reasons, each
//! with its rule, the value, the limit, the limit's source and the entry it rests on. [`prefire()`] asks the
//! same of one load on one day. No SQL, no screen, no clock.

pub mod assessment;
pub mod bulge;
pub mod conflicts;
pub mod damage_limits;
pub mod distances;
pub mod growth;
pub mod growth_map;
pub mod in_units;
pub mod matter;
pub mod planned;
pub mod prefire;
pub mod proof_plan;
pub mod proofs;
pub mod reason;
mod reasons_of;
pub mod rules;
pub mod study;
pub mod timeline;

pub use assessment::{Assessment, Breach, Due, History, PartLife, assess};
pub use conflicts::{Conflict, conflicts};
pub use planned::PlanFacts;
pub use prefire::{Checklist, ChecklistItem, ItemState, prefire};
pub use reason::{EntryRef, Reason};
pub use rules::{Disputed, RuleSet, RuleSpec};

/// Whether a value reaches a limit, exactness of decimal input aside: a reading typed as exactly the limit
/// reaches it although binary arithmetic lands a hair below.
pub fn reaches(value: f64, limit: f64) -> bool {
    value >= limit - 1e-9 * limit.abs()
}

/// Whether a value is over a limit, with the same care: exactly the limit is not over it.
pub fn exceeds(value: f64, limit: f64) -> bool {
    value > limit + 1e-9 * limit.abs()
}
