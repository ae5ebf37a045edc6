//! Paper and data: reports, labels, export, import, the described JSON, and the walk the README takes.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "paper/browser.rs"]
mod browser;
#[path = "paper/common.rs"]
mod common;
#[path = "paper/contract.rs"]
mod contract;
#[path = "paper/data.rs"]
mod data;
#[path = "paper/help.rs"]
mod help;
#[path = "paper/import.rs"]
mod import;
#[path = "paper/readme.rs"]
mod readme;
#[path = "paper/reports.rs"]
mod reports;
#[path = "paper/schema.rs"]
mod schema;
