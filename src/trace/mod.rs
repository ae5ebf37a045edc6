//! What did it do? A logger's file read, tared, reduced to the numbers a class is judged by, parted into
//! phases, and looked over for the patterns that ask for a second look at the hardware.
//!
//! | module | the question it answers |
//! |---|---|
//! | [`mod@unit`] | what does a column count in? |
//! | [`layout`] | how is this file laid out? |
//! | [`columns`] | which column is which? |
//! | [`mod@read`] | what are the numbers? |
//! | [`spike`] | which readings could no stand have made? |
//! | [`region`] | where is the burn? |
//! | [`tare`] | what is zero? |
//! | [`burn`] | how long, how much? |
//! | [`channel`] | one channel, from readings to numbers |
//! | [`clip`] | did the sensor reach its end? |
//! | [`phases`] | where does the burn change? |
//! | [`findings`] | what asks for a second look? |
//! | [`class`] | which letter? |
//! | [`PutAside`] | could what was put aside have been real? |
//! | [`mod@reduce`] | all of it |
//! | [`curve`] | what does it look like? |
//! | [`compare`] | how far from the plan, or from another firing? |
//! | [`drift`] | does a batch drift? |
//! | [`pressure`] | what was the chamber at, by thrust alone? |
//! | [`nozzle`] | do thrust, pressure and throat agree? |

mod against;
mod blocks;
pub mod burn;
pub mod channel;
pub mod class;
pub mod clip;
mod clock;
pub mod columns;
pub mod compare;
pub mod curve;
mod doubt;
pub mod drift;
pub mod ending;
mod error;
pub mod findings;
mod json;
pub mod layout;
pub mod nozzle;
mod number;
pub mod phases;
pub mod pressure;
mod profile;
pub mod read;
pub mod reduce;
pub mod region;
mod ringing;
mod rows;
mod scale;
mod shape;
pub mod source;
pub mod spike;
mod stats;
mod stray;
pub mod tare;
pub mod unit;
mod words;

pub use channel::ChannelReduction;
pub use class::{ImpulseClass, impulse_class};
pub use columns::{Calibration, ColumnChoice};
pub use curve::Curve;
pub use doubt::PutAside;
pub use error::TraceError;
pub use findings::Finding;
pub use nozzle::NozzleCheck;
pub use phases::Phase;
pub use pressure::{BracketedPressure, PressureFromThrust, pressure_from_thrust};
pub use read::{Channel, ChannelUnit, ReadOptions, Record, Rejected, read, read_with};
pub use reduce::{Gap, ReduceOptions, Reduced, Reduction, reduce, reduce_with};
pub use source::{Progress, Source};
