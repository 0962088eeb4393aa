//! Sentences about a pass, made of the numbers that [`crate::coverage`] read from it: why a brush does what it does, when a spot was touched.
//!
//! Numbers are printed by [`crate::units`]; what a single number is called stands in its table.

mod touch;
mod why;
mod why_words;

pub use touch::touched;
pub use why::{why, why_in};
pub use why_words::{ENGLISH, FRENCH, SPANISH, WhyWords};
