//! What did the person mean? Units as people type them, typed values, and the other system echoed back.
//!
//! A value inside the program is a newtype over SI: [`Length`] is metres, [`GaugePressure`] and
//! [`AbsolutePressure`] are pascals and cannot be mixed. [`parse`] reads what people type
//! ("1 3/4 in", "#7 drill", "5,2 MPa"); [`mod@show`] writes a value for a person; [`blunder`] recognises the
//! classic slips (psi typed as bar, millimetres as inches, a radius for a diameter) and warns without
//! ever converting.

pub mod blunder;
pub mod burn_rate;
pub mod convert;
pub mod drills;
pub mod number;
pub mod parse;
pub mod show;
pub mod table;
pub mod text;
pub mod typed;
pub mod types;
pub mod units;

pub use blunder::{Suspicion, outside, suspect};
pub use burn_rate::{BurnRate, parse_burn_rate};
pub use convert::convert;
pub use number::{parse_number, parse_ratio, parse_whole};
pub use parse::{Parsed, QuantityError, lowest, parse_field, parse_quantity};
pub use show::{System, counted, input_unit, plural, show, show_both, show_si};
pub use typed::Typed;
pub use types::*;
pub use units::{Dimension, Reference, Unit};
