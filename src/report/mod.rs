//! How is it shown to other programs and on paper? Takes finished views, never a connection.

pub mod after;
pub mod bulge;
pub mod decide;
pub mod growth;
pub mod instruments;
pub mod json;
pub mod part;
pub mod proof;
pub mod text;
