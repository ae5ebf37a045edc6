//! The engineering core held against cases that nobody drew it for: odd geometries, readings either side of a limit,
//! events in unusual orders, records made up with a known truth.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[allow(dead_code)]
#[path = "ledger/common.rs"]
mod common;

#[path = "examined/margins.rs"]
mod margins;
#[path = "examined/moved.rs"]
mod moved;
#[path = "examined/standing.rs"]
mod standing;
#[path = "examined/traces.rs"]
mod traces;
