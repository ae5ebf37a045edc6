//! readme
