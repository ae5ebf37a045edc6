//! proofmark answers one question before every firing of a reusable metal rocket-motor casing:
//! *does anything on record forbid this serial, with the parts fitted to it, with this load, today,
//! and which margin is thinnest?*
//!
//! The folders are the parts of that answer, in the order the data flows. Each may use only the ones
//! above it; `tests/architecture.rs` fails on any other arrow.
//!
//! | folder | the question it answers |
//! |---|---|
//! | [`quantity`] | what did the person mean by "27/64 in"? |
//! | [`design`] | what is this casing, on paper? |
//! | [`strength`] | will it hold? |
//! | [`ballistics`] | what will this load do? |
//! | [`trace`] | what did it do? |
//! | [`book`] | what is on record? |
//! | [`standing`] | may it be fired again? |
//! | [`store`] | where is it kept, and can it be trusted? |
//! | [`desk`] | the use cases the two faces share |
//! | [`report`] | how is it shown on paper and to other programs? |
//! | [`cli`] | the command line |
//! | [`tui`] | the terminal screens |
//! | [`demo`] | the invented club's book |

pub mod ballistics;
pub mod book;
pub mod cli;
pub mod demo;
pub mod design;
pub mod desk;
pub mod quantity;
pub mod report;
pub mod standing;
pub mod store;
pub mod strength;
pub mod trace;
pub mod tui;
