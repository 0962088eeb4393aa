//! Results as text.

pub mod foam;
mod table;
