//! Time series: the moving state, the torque budget and the forces of each unit at any instant, read back from a record.
//!
//! Nothing is stored for this during the run: the equation of motion is evaluated again on the dense output, under the modes the run
//! had there, so a sample is what the run itself used. Forces and torques follow the signs of [`super::motion`]: positive outward.

use super::contact::SpanScratch;
use super::motion::{Forces, Modes, TorqueBudget, UnitDynamics, state};
use super::mutual::other_brushes;
use super::pair::OtherBrush;
use super::{MotionState, PassSetup, Record};
use crate::arm::{QuasiSteady, Side};
use crate::geometry::Vec2;

/// What series of several set-ups are lined up on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Clock {
    /// Seconds; 0 = the measured nose crosses lane x = 0.
    #[default]
    Time,
    /// Lane x of the measured vehicle's nose, m: set-ups with different conveyor speeds line up.
    VehiclePosition,
}

impl Clock {
    /// Reading of this clock at time `t_s` for a conveyor speed, s or m.
    pub fn reading(self, t_s: f64, conveyor_speed_m_s: f64) -> f64 {
        match self {
            Clock::Time => t_s,
            Clock::VehiclePosition => t_s * conveyor_speed_m_s,
        }
    }

    /// Time at a reading of this clock, s.
    pub fn time_s(self, reading: f64, conveyor_speed_m_s: f64) -> f64 {
        match self {
            Clock::Time => reading,
            Clock::VehiclePosition => reading / conveyor_speed_m_s,
        }
    }
}

/// One unit at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitInstant {
    /// Which unit.
    pub side: Side,
    /// When, s; clamped to the run of the unit.
    pub t_s: f64,
    /// The time asked for lies after the unit's own run, which ends when the next nose comes: these are its last values.
    pub ended: bool,
    /// Swing angle, rad.
    pub phi_rad: f64,
    /// Swing rate, rad/s, positive outward.
    pub omega_rad_s: f64,
    /// Swing acceleration, rad/s², positive outward.
    pub alpha_rad_s2: f64,
    /// Torques on the arm by cause.
    pub budget: TorqueBudget,
    /// Cap-end gauge pressure, Pa; `None` without a cylinder.
    pub cap_gauge_pa: Option<f64>,
    /// Rod-end gauge pressure, Pa; `None` without a cylinder.
    pub rod_gauge_pa: Option<f64>,
    /// Force of the vehicles on the brush, N, unit frame.
    pub contact_n: Vec2,
    /// Sum of the pushes of all strips, N: how hard the brush is pressed, whatever the direction.
    pub press_force_n: f64,
    /// Deepest press, m; 0 = no contact.
    pub press_m: f64,
    /// Power of the spindle motor, W; positive = the motor drives.
    pub spindle_power_w: f64,
    /// Force of the bumper stop, N, ≥ 0.
    pub inboard_stop_n: f64,
    /// Force of the outboard stop, N, ≥ 0.
    pub outboard_stop_n: f64,
    /// Compression of the bumper stop, m; negative = clear by that much.
    pub inboard_stop_m: f64,
    /// Tension of the counterweight line at the weight, N; `None` without a counterweight.
    pub tension_n: Option<f64>,
    /// Brush centre at pivot height, unit frame, m.
    pub brush_m: Vec2,
    /// Velocity of the brush centre, unit frame, m/s.
    pub brush_m_s: Vec2,
    /// Modes at the instant.
    pub modes: Modes,
}

/// One unit over the clock.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitSeries {
    /// Which unit.
    pub side: Side,
    /// Samples, one for each entry of [`Series::time_s`].
    pub samples: Vec<UnitInstant>,
}

/// All units over one clock.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Times of the samples, s.
    pub time_s: Vec<f64>,
    /// Lane x of the measured vehicle's nose at each, m.
    pub vehicle_position_m: Vec<f64>,
    /// Units in the order of the set-up.
    pub units: Vec<UnitSeries>,
}

/// Reads every unit at time `t_s` (clamped to the run).
pub fn instant(setup: &PassSetup, record: &Record, t_s: f64) -> Vec<UnitInstant> {
    Reader::new(setup, record).read(t_s)
}

/// Reads every unit from the start to the end of the record, every `step_s` (at least 1 ms) and at the end.
pub fn series(setup: &PassSetup, record: &Record, step_s: f64) -> Series {
    series_between(setup, record, record.start_s, record.end_s, step_s)
}

/// Reads every unit from `from_s` to `to_s`, every `step_s` (at least 1 ms) and at the end.
pub fn series_between(setup: &PassSetup, record: &Record, from_s: f64, to_s: f64, step_s: f64) -> Series {
    let span = (to_s - from_s).max(0.0);
    let count = (span / step_s.max(1e-3)).ceil() as usize;
    let mut reader = Reader::new(setup, record);
    let time_s: Vec<f64> =
        (0..=count).map(|i| if i == count { from_s + span } else { from_s + i as f64 * step_s }).collect();
    let mut units: Vec<UnitSeries> = setup
        .units
        .iter()
        .map(|unit| UnitSeries { side: unit.side, samples: Vec::with_capacity(time_s.len()) })
        .collect();
    for &t in &time_s {
        for (unit, sample) in units.iter_mut().zip(reader.read(t)) {
            unit.samples.push(sample);
        }
    }
    let vehicle_position_m = time_s.iter().map(|t| t * record.conveyor_speed_m_s).collect();
    Series { time_s, vehicle_position_m, units }
}

/// A record opened for reading: the train is planned once.
pub struct Reader<'a> {
    setup: &'a PassSetup,
    record: &'a Record,
    dynamics: Vec<UnitDynamics<'a>>,
    scratch: SpanScratch,
}

impl<'a> Reader<'a> {
    /// Opens a record of a set-up.
    pub fn new(setup: &'a PassSetup, record: &'a Record) -> Self {
        let dynamics = (0..setup.units.len()).map(|unit| setup.dynamics(unit)).collect();
        Reader { setup, record, dynamics, scratch: SpanScratch::default() }
    }

    /// Every unit at time `t_s` (clamped to the run).
    pub fn read(&mut self, t_s: f64) -> Vec<UnitInstant> {
        let t_s = t_s.clamp(self.record.start_s, self.record.end_s);
        let states: Vec<MotionState> = self.record.units.iter().map(|unit| unit.state_at(t_s)).collect();
        let others = match (self.dynamics.as_slice(), states.as_slice()) {
            ([a, b], [ya, yb]) => other_brushes([a, b], [&ya.y, &yb.y]),
            _ => None,
        };
        let mut found = Vec::with_capacity(states.len());
        for (index, motion) in states.iter().enumerate() {
            let run = &self.record.units[index];
            let own_s = t_s.clamp(run.start_s(), run.end_s());
            let mut sample = self.unit(index, own_s, motion, others.map(|o| o[index]));
            sample.ended = t_s > run.end_s();
            found.push(sample);
        }
        found
    }

    fn unit(
        &mut self,
        index: usize,
        t_s: f64,
        motion: &MotionState,
        other: Option<OtherBrush>,
    ) -> UnitInstant {
        let model = &self.setup.units[index];
        let dynamics = &self.dynamics[index];
        let mut rates = [0.0; state::COUNT];
        let forces: Forces =
            dynamics.evaluate(t_s, &motion.y, &motion.modes, other, &mut self.scratch, &mut rates);
        let (brush_m, brush_m_s) = dynamics.brush_motion(&motion.y);
        // A quasi-steady chamber has its pressure from there, not from the state.
        let gauge = |component: usize, is_quasi_steady: bool, chamber: Option<QuasiSteady>| {
            let own = motion.y[component];
            let p = chamber.filter(|_| is_quasi_steady).map_or(own, |f| f.pressure_pa);
            model.cylinder.as_ref().map(|_| p - model.atmosphere_pa)
        };
        UnitInstant {
            side: model.side,
            t_s,
            ended: false,
            phi_rad: motion.phi_rad(),
            omega_rad_s: motion.omega_rad_s(),
            alpha_rad_s2: forces.alpha_rad_s2,
            budget: forces.budget,
            cap_gauge_pa: gauge(state::P_CAP, motion.modes.cap_quasi_steady, forces.cap),
            rod_gauge_pa: gauge(state::P_ROD, motion.modes.rod_quasi_steady, forces.rod),
            contact_n: Vec2::new(forces.contact_n[0], forces.contact_n[1]),
            press_force_n: forces.normal_sum_n,
            press_m: forces.indentation_m,
            spindle_power_w: forces.spindle_power_w,
            inboard_stop_n: forces.budget.inboard_stop_n_m.abs() / model.inboard_stop.radius_m,
            outboard_stop_n: forces.budget.outboard_stop_n_m.abs() / model.outboard_stop.radius_m,
            inboard_stop_m: forces.inboard_x_m,
            tension_n: model.counterweight.as_ref().map(|_| forces.tension_n),
            brush_m,
            brush_m_s,
            modes: motion.modes,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pass::run;
    use crate::scenario::Scenario;

    /// Chambers start at what the regulator gives over the air around, 7 psi of 6894.757 Pa (NIST SP 811, B.8) and nothing; a stop pushes with its torque over its lever, the outboard one where
    /// the arm is thrown out against it.
    #[test]
    fn verif_gauge_pressures_and_pushes_of_stops() {
        let mut text = include_str!("../../scenarios/one-unit.ron").to_owned();
        for (from, to) in [
            ("throughput: \"100 veh/h\"", "throughput: \"140 veh/h\""),
            ("mass: \"26 lb\"", "mass: \"5 lb\""),
            (
                "out_stroke: \"3 lbf s/in\", in_stroke: \"0.2 lbf s/in\"",
                "out_stroke: \"0 lbf s/in\", in_stroke: \"9 lbf s/in\"",
            ),
            ("angle: \"100 deg\"", "angle: \"90 deg\""),
        ] {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        let setup = Scenario::read_alone(&text, "changed.ron").expect("good").setup();
        let record = run(&setup).expect("runs");
        let model = &setup.units[0];
        let start = instant(&setup, &record, record.start_s)[0];
        assert!((start.cap_gauge_pa.expect("a cylinder") / (7.0 * 6894.757) - 1.0).abs() < 0.05);
        assert!(start.rod_gauge_pa.expect("a cylinder").abs() < 500.0);
        let (mut inboard, mut outboard) = (0, 0);
        for at in &series(&setup, &record, 0.01).units[0].samples {
            let pushes = [
                at.inboard_stop_n * model.inboard_stop.radius_m,
                at.outboard_stop_n * model.outboard_stop.radius_m,
            ];
            assert!((pushes[0] - at.budget.inboard_stop_n_m.abs()).abs() < 1e-9);
            assert!((pushes[1] - at.budget.outboard_stop_n_m.abs()).abs() < 1e-9);
            inboard += usize::from(pushes[0] > 1.0);
            outboard += usize::from(pushes[1] > 1.0);
        }
        assert!(inboard > 3 && outboard > 3 && model.outboard_stop.radius_m != 1.0, "{inboard} {outboard}");
    }

    /// Brushes that lean on each other hold each other outward while both stand, and one alone is held by none.
    #[test]
    fn verif_brushes_that_lean_hold_each_other() {
        let text = include_str!("../../scenarios/ferry-return.ron");
        let scenario = Scenario::read_alone(text, "ferry-return.ron").expect("good");
        for (position, lean) in [("8 in", true), ("120 in", false)] {
            let change = ("right.position".to_owned(), position.to_owned());
            let setup = scenario.with(&[change]).expect("good").setup();
            let record = run(&setup).expect("runs");
            let mut seen = 0;
            for at in &series(&setup, &record, 0.1).units[0].samples {
                seen += usize::from(at.budget.other_brush_n_m > 0.5);
            }
            assert_eq!(seen > 3, lean, "{position}: {seen}");
        }
    }
}
