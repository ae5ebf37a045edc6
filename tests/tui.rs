//! The terminal UI without a terminal: keys in, screens out.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "tui/actions.rs"]
mod actions;
#[path = "tui/again.rs"]
mod again;
#[path = "tui/answers.rs"]
mod answers;
#[path = "tui/calculators.rs"]
mod calculators;
#[path = "tui/drafts.rs"]
mod drafts;
#[path = "tui/first_use.rs"]
mod first_use;
#[path = "tui/hands.rs"]
mod hands;
#[path = "tui/hostile.rs"]
mod hostile;
#[path = "tui/looking.rs"]
mod looking;
#[path = "tui/photo.rs"]
mod photo;
#[path = "tui/reader.rs"]
mod reader;
#[path = "tui/rig.rs"]
mod rig;
#[path = "tui/screens.rs"]
mod screens;
#[path = "tui/settings.rs"]
mod settings;
#[path = "tui/support.rs"]
mod support;
#[path = "tui/sweep.rs"]
mod sweep;
#[path = "tui/traces.rs"]
mod traces;
#[path = "tui/verdicts.rs"]
mod verdicts;
#[path = "tui/whole_cycle.rs"]
mod whole_cycle;
#[path = "tui/words.rs"]
mod words;
