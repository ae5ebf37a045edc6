//! The main job: the ledger, the standing it gives, the file it is kept in, and the command line over it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "ledger/common.rs"]
mod common;

#[path = "ledger/again.rs"]
mod again;
#[path = "ledger/again_eased.rs"]
mod again_eased;
#[path = "ledger/cli.rs"]
mod cli;
#[path = "ledger/closed.rs"]
mod closed;
#[path = "ledger/demo.rs"]
mod demo;
#[path = "ledger/fooled.rs"]
mod fooled;
#[path = "ledger/forms.rs"]
mod forms;
#[path = "ledger/hands.rs"]
mod hands;
#[path = "ledger/journal.rs"]
mod journal;
#[path = "ledger/reader.rs"]
mod reader;
#[path = "ledger/rules_then.rs"]
mod rules_then;
#[path = "ledger/slips.rs"]
mod slips;
#[path = "ledger/standing.rs"]
mod standing;
#[path = "ledger/store.rs"]
mod store;
#[path = "ledger/teaching.rs"]
mod teaching;
#[path = "ledger/us_units.rs"]
mod us_units;
#[path = "ledger/us_words.rs"]
mod us_words;
#[path = "ledger/verdicts.rs"]
mod verdicts;
