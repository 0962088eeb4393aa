//! Scenario files.

pub mod diagnostic;
pub mod source_map;
