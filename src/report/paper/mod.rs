//! Pages for a printer: self-contained HTML without scripts, nothing loaded from anywhere, every word from the
//! book escaped and cleaned.

mod blank;
mod card;
mod chart;
mod checklist;
mod label;
mod passport;
mod qr;
mod rack;
mod section;
mod sheet;

pub use blank::blank;
pub use card::card;
pub use checklist::checklist;
pub use label::{label_svg, label_text};
pub use passport::passport;
pub use rack::{due, rack};
