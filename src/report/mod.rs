//! How is it shown to other programs and on paper? Takes finished views, never a connection.

pub mod after;
pub mod data;
pub mod json;
pub mod paper;
pub mod picture;
pub mod schema;
pub mod text;
