//! The stop pin: a pin in one of several holes sets where the inboard bumper stop sits.
//!
//! Holes are numbered from 1, outermost first; each hole further in lets the arm swing further inboard. The middle hole is the
//! standard setting (common practice, no source). A hole is described by the swing angle at which the arm touches the bumper.

/// The row of holes and the one in use.
#[derive(Debug, Clone, PartialEq)]
pub struct StopPin {
    /// Seat angle of each hole, rad, outermost first (decreasing).
    pub seat_rad: Vec<f64>,
    /// The hole in use, from 1.
    pub hole: usize,
}

impl StopPin {
    /// Seat angle of the hole in use; `None` when there is no such hole.
    pub fn seat(&self) -> Option<f64> {
        self.hole.checked_sub(1).and_then(|i| self.seat_rad.get(i)).copied()
    }

    /// The middle hole (the lower middle of an even number), from 1.
    pub fn middle_hole(&self) -> usize {
        self.seat_rad.len().div_ceil(2)
    }
}
