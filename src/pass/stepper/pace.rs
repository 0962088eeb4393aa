//! How long steps are: by the error of the last one, by what is allowed, by what is left until the next switch.

use crate::elementary::Elementary;

/// How steps grow: the error of the last one kept, and whether one was tried in vain since.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace {
    last_error: f64,
    pub rejected: bool,
}

impl Pace {
    pub const START: Pace = Pace { last_error: 1e-4, rejected: false };

    /// By what a step with this error may grow: proportional–integral control, which keeps steps from running into rejection time and again
    /// (Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations II, 2nd ed., IV.2, eq. 2.43c and the constants of DOPRI5; from memory).
    pub fn growth(&mut self, error: f64) -> f64 {
        let error = error.max(1e-10);
        let grow = (0.9 * error.power(-0.17) * self.last_error.power(0.04)).clamp(0.2, 2.5);
        self.last_error = error.max(1e-4);
        if std::mem::take(&mut self.rejected) { grow.min(1.0) } else { grow }
    }
}

/// How long a step is, of one that may be `wanted_s` long, s: no longer than any may be, nor than there is room for; a crumb of room that it would leave it
/// takes too.
pub(super) fn length_s(wanted_s: f64, longest_s: f64, room_s: f64) -> f64 {
    let h = wanted_s.min(longest_s).min(room_s);
    if room_s - h < 0.05 * h { room_s } else { h }
}

/// By what a step tried in vain is shortened.
pub(super) fn shrinkage(error: f64) -> f64 {
    if error.is_finite() { (0.9 * error.power(-0.2)).clamp(0.1, 0.9) } else { 0.1 }
}

/// What the next step may be after one of length `h`, where `wanted_s` was allowed, s. One cut short to end at a switch says little about the next.
pub(super) fn next_s(h: f64, wanted_s: f64, grow: f64) -> f64 {
    if h < wanted_s { wanted_s.max(h * grow).min(wanted_s * 2.0) } else { h * grow }
}
