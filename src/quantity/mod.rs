//! What did the person mean? Units as people type them, typed values, and the other system echoed back.
//!
//! A value inside the program is a newtype over SI: [`Length`] is metres, [`GaugePressure`] and
//! [`AbsolutePressure`] are pascals and cannot be mixed. [`parse`] reads what people type
//! ("1 3/4 in", "#7 drill", "5,2 MPa"); [`show`] writes a value for a person; [`blunder`] recognises the
//! classic slips (psi typed as bar, millimetres as inches, a radius for a diameter) and warns without
//! ever converting.

pub mod blunder;
pub mod parse;
pub mod show;
pub mod typed;
pub mod types;
pub mod units;

pub use parse::{Parsed, QuantityError, parse_quantity};
pub use show::{System, show};
pub use typed::Typed;
pub use types::*;
pub use units::{Dimension, Reference, Unit};
