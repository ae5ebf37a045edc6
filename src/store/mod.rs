//! Where is it kept, and can it be trusted? One SQLite file, opened with care, written in whole transactions.
//!
//! A foreign or newer file is refused before a byte of it is touched. Reading opens it read-only. Every write
//! is one `BEGIN IMMEDIATE` transaction that holds the entry, its typed rows, its seal and the standing of every
//! casing it changes, synced to disk before it is acknowledged.

mod about;
mod append;
mod backup;
mod body;
mod bulk;
mod doctor;
mod draft;
mod error;
mod fired;
mod head;
mod memory;
mod merge;
mod names;
mod open;
mod project;
mod read;
pub mod regular;
mod replaced;
mod shared;
mod standings;
mod tables;
mod unnamed;
mod verify;

pub use append::{RawFile, Written};
pub use backup::Copied;
pub use bulk::Bulk;
pub use doctor::{Examined, Looked, examine};
pub use error::StoreError;
pub use fired::PeakCount;
pub use merge::{Fork, Merged, Named, is_itself};
pub use open::{APPLICATION_ID, Book, Creation, SCHEMA_VERSION};
pub use read::{EntryLine, Filter, KeptWhy, RackRow};
pub use shared::CasingTraits;
pub use tables::{Column, ColumnKind, Table, Value, WalkError};
pub use verify::Fault;
