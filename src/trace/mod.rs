//! What did it do? A logger's file read, tared, reduced to the numbers a class is judged by, parted into
//! phases, and looked over for the patterns that ask for a second look at the hardware.
//!
//! | module | the question it answers |
//! |---|---|
//! | [`unit`] | what does a column count in? |
//! | [`layout`] | how is this file laid out? |
//! | [`columns`] | which column is which? |
//! | [`mod@read`] | what are the numbers? |

pub mod columns;
pub mod error;
pub mod layout;
mod number;
pub mod read;
mod rows;
pub mod source;
pub mod unit;

pub use columns::{Calibration, ColumnChoice};
pub use error::TraceError;
pub use read::{Channel, ChannelUnit, ReadOptions, Record, Rejected, read, read_with};
pub use source::{Progress, Source};
