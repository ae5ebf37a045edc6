//! What will this load do? Nozzle flow, thrust, chamber pressure, grains, the burn and its scatter.
//!
//! | file | what it answers |
//! |---|---|
//! | [`flow`] | isentropic flow and its inverses; `nozzle-flow` |
//! | [`thrust`] | thrust coefficient, ideal motor; `thrust-coefficient`, `ideal-motor` |
//! | [`chamber`] | equilibrium pressure; `chamber-pressure` |
//! | [`grain`] | BATES stacks: area, volume, web; `bates` |
//! | [`atmosphere`] | US Standard Atmosphere 1976; `atmosphere` |
//! | [`load`] | a load as a person writes it, checked |
//! | [`written`] | the one file shape of `predict` and `log load` |
//! | [`burn`] | the quasi-steady burn: [`predict`] |
//! | [`scatter`](mod@scatter) | how far a real firing may lie from the plan |
//! | [`chance`] | the chance of passing a limit: ordinary firings and hard starts |
//! | [`sensitivity`] | what drives the peak |
//! | [`fit`] | a batch's burn law from firings |
//! | [`room`] | the largest load and the smallest throat a limit leaves room for |
//!
//! Convention: the burn law, the nozzle and everything inside work with ABSOLUTE pressure; a prediction
//! gives gauge pressure, because that is what a wall carries, and says where it is absolute.

pub mod atmosphere;
pub mod burn;
pub mod chamber;
pub mod chance;
pub mod fit;
pub mod flow;
pub mod grain;
pub mod load;
pub mod room;
pub mod scatter;
pub mod sensitivity;
pub mod thrust;
pub mod written;

pub use burn::{CurvePoint, Prediction, predict};
pub use chance::HardStarts;
pub use load::{Load, LoadError};
pub use scatter::{Scatter, scatter};

use crate::design::InputError;
use crate::design::error::within;

/// Standard gravity, exactly (ISO 80000-3), which turns exhaust velocity into specific impulse.
pub const STANDARD_GRAVITY_M_S2: f64 = 9.80665;

/// A ratio of specific heats, 1.01 to 1.7.
fn ratio_of_heats(input: &'static str, value: f64) -> Result<f64, InputError> {
    within(
        input,
        value,
        1.01,
        1.7,
        "a ratio of heats from 1.01 to 1.7; 1.1 to 1.3 for rocket exhaust, air 1.4",
    )
}
