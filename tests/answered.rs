//! Answers that a newcomer must be able to trust: a limit is not moved without a word, a chance never looks best where
//! nothing is known, nothing that was measured is asked for again, and no record is a dead end.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "ledger/common.rs"]
#[allow(dead_code)]
mod common;

#[path = "tui/support.rs"]
#[allow(dead_code)]
mod support;

#[path = "answered/chances.rs"]
mod chances;
#[path = "answered/checklists.rs"]
mod checklists;
#[path = "answered/figures.rs"]
mod figures;
#[path = "answered/rules.rs"]
mod rules;
#[path = "answered/strips.rs"]
mod strips;
