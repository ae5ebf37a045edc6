//! help
