//! browser
