//! The burn and its parts: the demo club's loads, what must always hold, and what the limits are.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "ballistics/demo_loads.rs"]
mod demo_loads;
#[path = "ballistics/properties.rs"]
mod properties;
#[path = "ballistics/scatter.rs"]
mod scatter;
#[path = "ballistics/what_if.rs"]
mod what_if;

use proofmark::ballistics::{Load, Prediction, predict};

/// A club load: grains, core and throat; the propellant, efficiency and sea level are the club's.
pub(crate) fn load(grains: (u32, f64, f64, f64), throat: &str, area_ratio: f64, more: &str) -> Load {
    let (count, length, outside, core) = grains;
    Load::from_toml(&format!(
        "grain = {{ count = {count}, outside_diameter = \"{outside} mm\", core = \"{core} mm\", length = \"{length} mm\" }}\n\
         [propellant]\n\
         density = \"1680 kg/m3\"\n\
         characteristic_velocity = \"1370 m/s\"\n\
         burn_rate = \"7.0 mm/s at 5 MPa\"\n\
         exponent = 0.36\n\
         ratio_of_heats = 1.20\n\
         [nozzle]\n\
         throat = \"{throat}\"\n\
         area_ratio = {area_ratio}\n\
         efficiency = 0.95\n\
         {more}\n"
    ))
    .unwrap()
}

/// The club's 48B.
pub(crate) fn forty_eight_b(more: &str) -> Load {
    load((4, 75.0, 43.0, 16.0), "27/64 in", 8.0, more)
}

pub(crate) fn plan(load: &Load) -> Prediction {
    predict(load).unwrap()
}

#[track_caller]
pub(crate) fn close(got: f64, wanted: f64, relative: f64) {
    assert!((got - wanted).abs() <= relative * wanted.abs(), "{got} against {wanted}");
}
