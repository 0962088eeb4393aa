//! Results as text.

pub mod row_log;
pub mod rows;
