//! Time series of each unit: motion, torques by cause, pressures and loads at even steps.

use super::PassReport;
use crate::pass::series::Reader;
use serde::{Deserialize, Serialize};

/// The most instants a series may have.
pub const SERIES_LIMIT: usize = 200_000;

/// Time series of one unit; all lists have the same length.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SeriesDocument {
    /// `left` or `right`.
    pub side: String,
    /// Instants, s: start of the run + i · step, and its end.
    pub time_s: Vec<f64>,
    /// Lane x of the measured vehicle's nose, m.
    pub vehicle_position_m: Vec<f64>,
    /// Swing angle φ, rad.
    pub swing_rad: Vec<f64>,
    /// Swing rate, rad/s, positive outward.
    pub swing_rate_rad_s: Vec<f64>,
    /// Torques on the arm by cause, N m, positive outward.
    pub torque_n_m: Vec<TorqueSeries>,
    /// Cap-end chamber, Pa gauge; null without a cylinder.
    pub cap_pressure_pa: Option<Vec<f64>>,
    /// Rod-end chamber, Pa gauge; null without a cylinder.
    pub rod_pressure_pa: Option<Vec<f64>>,
    /// Tension of the counterweight line at the weight, N; null without a counterweight.
    pub counterweight_tension_n: Option<Vec<f64>>,
    /// Magnitude of the force of the vehicles on the brush, N.
    pub contact_force_n: Vec<f64>,
    /// Sum of the pushes of all strips, N: how hard the brush is pressed, whatever the direction.
    pub press_force_n: Vec<f64>,
    /// Deepest press on a vehicle, m; 0 = no contact.
    pub deepest_press_m: Vec<f64>,
    /// Power of the spindle motor, W.
    pub spindle_power_w: Vec<f64>,
    /// Force of the inboard bumper stop, N.
    pub inboard_stop_n: Vec<f64>,
    /// Force of the outboard stop, N.
    pub outboard_stop_n: Vec<f64>,
}

/// Torque of one cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TorqueSeries {
    /// `bearing_lean`, `counterweight`, `air`, `gas_spring`, `damper`, `bumper_stop`, `outboard_stop`, `pivot_friction`, `strip_push`,
    /// `strip_rub` or `other_brush`.
    pub cause: String,
    /// N m, positive outward.
    pub values: Vec<f64>,
}

/// Why a series cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SeriesError {
    /// The step is not a positive number.
    #[error("the step of a series must be a positive time, {step_s} s was given")]
    BadStep {
        /// What was given, s.
        step_s: f64,
    },
    /// Too many instants.
    #[error(
        "a step of {step_s} s makes {count:.0} instants of this pass, {SERIES_LIMIT} are allowed: take a longer step"
    )]
    TooMany {
        /// What was given, s.
        step_s: f64,
        /// Instants it would take.
        count: f64,
    },
}

impl PassReport<'_> {
    /// Time series of each unit, every `step_s` seconds from the start of the run to its end.
    ///
    /// # Errors
    /// [`SeriesError`] when the step is not positive or makes too many instants.
    pub fn series(&self, step_s: f64) -> Result<Vec<SeriesDocument>, SeriesError> {
        if !(step_s.is_finite() && step_s > 0.0) {
            return Err(SeriesError::BadStep { step_s });
        }
        let (start, end) = (self.solved.record.start_s, self.solved.record.end_s);
        let count = ((end - start) / step_s).ceil() + 1.0;
        if count > SERIES_LIMIT as f64 {
            return Err(SeriesError::TooMany { step_s, count });
        }
        let mut reader = Reader::new(&self.solved.setup, &self.solved.record);
        let mut all: Vec<SeriesDocument> = Vec::new();
        for unit in &self.solved.setup.units {
            let (has_air, has_weight) = (unit.cylinder.is_some(), unit.counterweight.is_some());
            all.push(SeriesDocument {
                side: unit.side.name().to_owned(),
                cap_pressure_pa: has_air.then(Vec::new),
                rod_pressure_pa: has_air.then(Vec::new),
                counterweight_tension_n: has_weight.then(Vec::new),
                ..SeriesDocument::default()
            });
        }
        for i in 0..count as usize {
            let t_s = (start + i as f64 * step_s).min(end);
            for (series, instant) in all.iter_mut().zip(reader.read(t_s)) {
                series.time_s.push(t_s);
                series.vehicle_position_m.push(t_s * self.solved.record.conveyor_speed_m_s);
                series.swing_rad.push(instant.phi_rad);
                series.swing_rate_rad_s.push(instant.omega_rad_s);
                for (k, (cause, torque)) in instant.budget.causes().into_iter().enumerate() {
                    if series.torque_n_m.len() <= k {
                        let cause = super::key(cause);
                        series.torque_n_m.push(TorqueSeries { cause, values: Vec::new() });
                    }
                    series.torque_n_m[k].values.push(torque);
                }
                for (list, value) in [
                    (&mut series.cap_pressure_pa, instant.cap_gauge_pa),
                    (&mut series.rod_pressure_pa, instant.rod_gauge_pa),
                    (&mut series.counterweight_tension_n, instant.tension_n),
                ] {
                    if let (Some(list), Some(value)) = (list, value) {
                        list.push(value);
                    }
                }
                series.contact_force_n.push(instant.contact_n.norm());
                series.press_force_n.push(instant.press_force_n);
                series.deepest_press_m.push(instant.press_m);
                series.spindle_power_w.push(instant.spindle_power_w);
                series.inboard_stop_n.push(instant.inboard_stop_n);
                series.outboard_stop_n.push(instant.outboard_stop_n);
            }
        }
        Ok(all)
    }
}
