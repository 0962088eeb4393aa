//! Results as text.

pub mod sheet;
