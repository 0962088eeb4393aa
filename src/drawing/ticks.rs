//! Ticks.
