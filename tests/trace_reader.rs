//! A trace as a careful reader takes it: cut off at its top, with jumps put aside, with two humps, already on record.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "trace_reader/bench.rs"]
mod bench;
#[path = "trace_reader/doubts.rs"]
mod doubts;
#[path = "trace_reader/screen.rs"]
mod screen;
#[path = "trace_reader/shapes.rs"]
mod shapes;
#[allow(dead_code)]
#[path = "tui/support.rs"]
mod support;
#[path = "trace_reader/words.rs"]
mod words;
