//! Making the model this machine: what readings of the arm and the wash say about the settings, with honest uncertainty.

pub mod fit;

/// How far a parameter is moved to either side for a derivative of readings that follow it smoothly, in units of its size (NIST: of itself; a machine:
/// of what was assumed about it).
pub const SMOOTH_STEP: f64 = 1e-3;
