//! Pressure regulator: holds its set pressure upstream of a line.
//!
//! Relieving: lets air out as well when the chamber is above the set pressure. Non-relieving: only feeds, so a chamber pushed above
//! the set pressure becomes an air spring.

/// A regulator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// Set pressure, Pa gauge.
    pub set_gauge_pa: f64,
    /// Whether it relieves.
    pub relieving: bool,
}
