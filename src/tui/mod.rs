//! The terminal screens (to be merged).

use crate::desk::Desk;
use crate::quantity::System;

/// How the screens are shown.
#[derive(Clone, Debug)]
pub struct Options {
    /// Units.
    pub system: System,
    /// Who writes.
    pub by: Option<String>,
    /// Light theme.
    pub light: Option<bool>,
    /// Colour.
    pub colour: bool,
    /// First run.
    pub first_run: bool,
    /// Demo.
    pub demo: bool,
}

/// What went wrong.
#[derive(Debug, thiserror::Error)]
#[error("the screens are not built into this program yet")]
pub struct TuiError;

/// Run.
///
/// # Errors
/// Always, for now.
pub fn run(_desk: Desk, _options: Options) -> Result<(), TuiError> {
    Err(TuiError)
}

/// Keys.
pub fn key_table() -> String {
    String::new()
}
