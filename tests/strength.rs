//! Strength and design against published values and the demo club's casings.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "strength/demo.rs"]
mod demo;
#[path = "strength/properties.rs"]
mod properties;
#[path = "strength/published.rs"]
mod published;
#[path = "strength/published_joints.rs"]
mod published_joints;
#[path = "strength/refusals.rs"]
mod refusals;
