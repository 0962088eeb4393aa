//! One stop at an instant.

use super::{StopMode, compression_m};
use crate::arm::BumperStop;

/// Compression, force and loss of a stop.
pub(super) struct StopState {
    pub x_m: f64,
    pub raw_n: f64,
    pub torque_n_m: f64,
    pub loss_w: f64,
}

impl StopState {
    pub fn new(stop: &BumperStop, phi_rad: f64, omega_rad_s: f64, sense: f64, mode: StopMode) -> Self {
        let x_m = compression_m(stop, phi_rad, sense);
        let rate_m_s = sense * omega_rad_s * stop.radius_m;
        let raw_n = stop.raw_force_n(x_m, rate_m_s);
        let (force_n, loss_w) = match mode {
            StopMode::Clear => (0.0, 0.0),
            StopMode::Pressed => (raw_n, stop.damping_n_s_per_m * rate_m_s * rate_m_s),
            StopMode::Released => (0.0, -stop.elastic_n(x_m) * rate_m_s),
        };
        StopState { x_m, raw_n, torque_n_m: -sense * force_n * stop.radius_m, loss_w }
    }
}
