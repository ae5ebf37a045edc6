//! How is it shown to other programs and on paper? Takes finished views, never a connection.

pub mod about;
pub mod after;
pub mod ascii;
pub mod bulge;
pub mod data;
pub mod decide;
pub mod growth;
pub mod instruments;
pub mod json;
pub mod paper;
pub mod part;
pub mod picture;
pub mod proof;
pub mod schema;
pub mod text;
pub mod values;
