//! The load bench: batches from firings, chances against a casing, planning backwards, warnings before a firing, and
//! the screen.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "bench/chances.rs"]
mod chances;
#[path = "bench/command_line.rs"]
mod command_line;
#[path = "bench/fits.rs"]
mod fits;
#[path = "bench/impossible.rs"]
mod impossible;
#[path = "bench/room.rs"]
mod room;
#[path = "bench/screen.rs"]
mod screen;
#[path = "bench/warmth.rs"]
mod warmth;
#[path = "bench/warnings.rs"]
mod warnings;
#[path = "bench/who.rs"]
mod who;

#[path = "tui/support.rs"]
#[allow(dead_code)]
mod support;

use proofmark::ballistics::Load;

/// Propellant, efficiency and air of the demo club.
pub(crate) fn club_load(grain: &str, nozzle: &str, more: &str) -> Load {
    Load::from_toml(&club_text(grain, nozzle, more)).unwrap()
}

pub(crate) fn club_text(grain: &str, nozzle: &str, more: &str) -> String {
    format!(
        "[grain]\n{grain}\n[propellant]\ndensity = \"1680 kg/m3\"\ncharacteristic_velocity = \"1370 m/s\"\n\
         burn_rate = \"7.0 mm/s at 5 MPa\"\nexponent = 0.36\nratio_of_heats = 1.2\n\
         [nozzle]\nefficiency = 0.95\n{nozzle}\n{more}\n"
    )
}

pub(crate) const GRAIN_48B: &str =
    "count = 4\noutside_diameter = \"43 mm\"\ncore = \"16 mm\"\nlength = \"75 mm\"";
pub(crate) const NOZZLE_48B: &str = "throat = \"27/64 in\"\narea_ratio = 8";

pub(crate) fn forty_eight_b(more: &str) -> Load {
    club_load(GRAIN_48B, NOZZLE_48B, more)
}

#[track_caller]
pub(crate) fn close(got: f64, wanted: f64, relative: f64) {
    assert!((got - wanted).abs() <= relative * wanted.abs(), "{got} against {wanted}");
}
