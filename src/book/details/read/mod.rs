//! One reader a kind: the form's fields into the record.

mod build;
mod drawing;
mod event;
mod instrument;
mod judgement;

pub use drawing::design;

use super::Details;
use crate::book::Kind;
use crate::book::reader::Reader;
use build::{batch, casing, fit, load, part};
use event::{firing, prefire, proof, strip, trace};
use instrument::{gauge, person, study};
use judgement::{disposition, finding, note, photo, rule, strike};

/// Read the record of a kind; problems stay with the reader.
pub fn read(kind: Kind, from: &mut Reader<'_>) -> Option<Details> {
    match kind {
        Kind::Casing => casing(from).map(Details::from),
        Kind::Part => part(from).map(Details::from),
        Kind::Fit => fit(from).map(Details::from),
        Kind::Proof => proof(from).map(Details::from),
        Kind::Load => load(from).map(Details::from),
        Kind::Batch => batch(from).map(Details::from),
        Kind::Firing => firing(from).map(Details::from),
        Kind::Strip => strip(from).map(Details::from),
        Kind::Finding => finding(from).map(Details::from),
        Kind::Disposition => disposition(from).map(Details::from),
        Kind::Note => note(from).map(Details::from),
        Kind::Photo => photo(from).map(Details::from),
        Kind::Strike => strike(from).map(Details::from),
        Kind::Prefire => prefire(from).map(Details::from),
        Kind::Rule => rule(from).map(Details::from),
        Kind::Trace => trace(from).map(Details::from),
        Kind::Gauge => gauge(from).map(Details::from),
        Kind::Study => study(from).map(Details::from),
        Kind::Person => person(from).map(Details::from),
    }
}
