//! Scenario files.

pub mod diagnostic;
pub mod foam;
pub mod source_map;
