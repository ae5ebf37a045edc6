//! The book taken elsewhere: plain CSV, JSON, and traces as Parquet.

mod csv_table;
mod json_book;
mod trace_table;

pub use csv_table::{CsvTable, cell, is_formula};
pub use json_book::JsonBook;
pub use trace_table::{TraceColumns, parquet};
