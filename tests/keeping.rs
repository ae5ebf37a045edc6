//! A book that cannot be lost or quietly changed: merging, copies, faults of the machine, and text from strangers.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "ledger/common.rs"]
#[allow(dead_code, reason = "shared with the ledger's tests, which use more of it")]
mod common;

#[path = "keeping/adversary.rs"]
mod adversary;
#[path = "keeping/books.rs"]
mod books;
#[path = "keeping/copies.rs"]
mod copies;
#[path = "keeping/day.rs"]
mod day;
#[path = "keeping/edited.rs"]
mod edited;
#[path = "keeping/faults.rs"]
mod faults;
#[path = "keeping/flips.rs"]
mod flips;
#[path = "keeping/indexes.rs"]
mod indexes;
#[path = "keeping/kills.rs"]
mod kills;
#[path = "keeping/large.rs"]
mod large;
#[path = "keeping/leftovers.rs"]
mod leftovers;
#[path = "keeping/merging.rs"]
mod merging;
#[path = "keeping/outside.rs"]
mod outside;
#[path = "keeping/over.rs"]
mod over;
#[path = "keeping/races.rs"]
mod races;
#[path = "keeping/remembered.rs"]
mod remembered;
#[path = "keeping/replaced.rs"]
mod replaced;
#[path = "keeping/schemas.rs"]
mod schemas;
#[path = "keeping/strangers.rs"]
mod strangers;
