//! Why a brush does what it does at an instant: its phase, and the numbers that decide.
//!
//! Behind the tail that is the race: the tail leaves at conveyor speed, the brush swings in, and what is asked is whether the strips come
//! over the middle of the tail, the same point from which the overlap is measured. That is read from the motion of the whole pass, not carried on
//! from the speeds of the instant: an arm that is still gathering speed would be said to lose a race it wins.

use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::SpanScratch;
use crate::pass::motion::{Motion, StopMode, VehiclePlan};
use crate::pass::{PassSetup, Record, UnitInstant, instant};
use crate::vehicle::Zone;

/// What a brush is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// At rest with no vehicle on it.
    Waiting,
    /// On the nose.
    Nose,
    /// On its own side of the vehicle.
    Side,
    /// Behind the tail, not on it.
    Chasing,
    /// On the tail.
    Tail,
    /// On the side across the centreline.
    FarSide,
    /// Pressing its bumper stop while it moves.
    Bumper,
    /// At rest, held by friction away from the stop.
    Stuck,
    /// Swinging inboard with nothing on it.
    SwingingIn,
    /// Swinging outboard with nothing on it.
    SwingingOut,
}

impl Phase {
    /// Plain words.
    pub fn name(self) -> &'static str {
        match self {
            Phase::Waiting => "waiting",
            Phase::Nose => "on the nose",
            Phase::Side => "on the side",
            Phase::Chasing => "chasing the tail",
            Phase::Tail => "on the tail",
            Phase::FarSide => "past the corner",
            Phase::Bumper => "on the bumper",
            Phase::Stuck => "held by friction",
            Phase::SwingingIn => "swinging in",
            Phase::SwingingOut => "swinging out",
        }
    }
}

/// A brush at an instant. [`crate::sentences::why`] says it in words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Explanation {
    /// Which unit.
    pub side: Side,
    /// What it is doing.
    pub phase: Phase,
    /// How it races the tail.
    pub race: Race,
    /// How near its strips come to the middle of the tail, where it chases or wraps the tail.
    pub middle: Option<Middle>,
    /// Everything at the instant.
    pub instant: UnitInstant,
}

/// Under this a brush centre counts as standing still, m/s.
pub const STILL_M_S: f64 = 0.005;

/// Explains every unit at time `t_s` (clamped to the run).
pub fn explain(setup: &PassSetup, record: &Record, t_s: f64) -> Vec<Explanation> {
    instant(setup, record, t_s)
        .into_iter()
        .enumerate()
        .map(|(unit, at)| {
            let plans: Vec<VehiclePlan<'_>> = setup.dynamics(unit).vehicles;
            let touch = deepest(&plans, setup, unit, &at);
            let race = Race::new(setup, &plans[setup.measured], unit, &at);
            let phase = phase(&at, touch, &race);
            let middle = matches!(phase, Phase::Tail | Phase::Chasing)
                .then(|| Middle::of(setup, record, &plans[setup.measured], unit, &at))
                .flatten();
            Explanation { side: at.side, phase, race, middle, instant: at }
        })
        .collect()
}

/// Place in the train and zone of the deepest press.
fn deepest(
    plans: &[VehiclePlan<'_>],
    setup: &PassSetup,
    unit: usize,
    at: &UnitInstant,
) -> Option<(usize, Zone)> {
    let radius_m = setup.units[unit].brush.radius_m;
    let mut scratch = SpanScratch::default();
    let mut found: Option<(f64, usize, Zone)> = None;
    for plan in plans.iter().filter(|plan| plan.may_touch(at.brush_m, radius_m, at.t_s)) {
        for band in &plan.bands {
            let local = plan.pose.vehicle_from_unit(at.brush_m + band.shift_m, at.t_s);
            for span in band.near().find_spans(&band.band.outlines, local, &mut scratch) {
                let press = span.indentation_m(radius_m);
                if found.is_none_or(|(best, ..)| press > best) {
                    found = Some((
                        press,
                        plan.train_index,
                        band.band.outlines[span.outline].tags[span.piece].zone,
                    ));
                }
            }
        }
    }
    found.map(|(_, index, zone)| (index, zone))
}

/// The race behind the tail of the measured vehicle, at the speeds of the instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Race {
    /// How far the tail is downstream of the brush centre, m.
    pub tail_ahead_m: f64,
    /// How fast it leaves, m/s.
    pub tail_m_s: f64,
    /// Inboard speed of the brush centre, m/s.
    pub inboard_m_s: f64,
    /// How far the tail is out of reach, m; negative = in reach.
    pub out_of_reach_m: f64,
}

impl Race {
    fn new(setup: &PassSetup, plan: &VehiclePlan<'_>, unit: usize, at: &UnitInstant) -> Race {
        let tail_x_m = plan.pose.nose_x_m(at.t_s) - plan.pose.length_m;
        Race {
            tail_ahead_m: tail_x_m - at.brush_m.x,
            tail_m_s: setup.conveyor_speed_m_s,
            inboard_m_s: -at.brush_m_s.y,
            out_of_reach_m: tail_x_m - at.brush_m.x - setup.units[unit].brush.radius_m,
        }
    }
}

/// Seconds between two looks at the motion behind a tail. The brush moves a few centimetres meanwhile, about a nearest place that is flat: the
/// distance found there is right to a fraction of a millimetre.
const LOOK_S: f64 = 0.04;

/// How near the strips come to the middle of the tail in a pass: the point from which the overlap is measured. A distance is from the tips of the
/// strips to that point; negative = the strips lie over it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Middle {
    /// At the instant, m.
    pub now_m: f64,
    /// The least after the instant, m.
    pub ahead_m: f64,
    /// The least before it, m.
    pub behind_m: f64,
    /// When they first lie over it after the instant, s from then.
    pub reached_s: Option<f64>,
}

impl Middle {
    /// Reads it from the motion; `None` when the tail never comes near.
    fn of(
        setup: &PassSetup,
        record: &Record,
        plan: &VehiclePlan<'_>,
        unit: usize,
        at: &UnitInstant,
    ) -> Option<Middle> {
        let model = &setup.units[unit];
        let (radius_m, run) = (model.brush.radius_m, record.units.get(unit)?);
        let points: Vec<(Vec2, Vec2)> = plan
            .bands
            .iter()
            .filter_map(|band| {
                let outline = band.band.outlines.first().filter(|outline| !outline.island)?;
                Some((band.shift_m, outline.chain.point_at(0.5 * outline.chain.length_m())))
            })
            .collect();
        let distance_m = |brush_m: Vec2, t_s: f64| {
            let from = |(shift_m, point): &(Vec2, Vec2)| {
                (plan.pose.vehicle_from_unit(brush_m + shift_m, t_s) - point).norm() - radius_m
            };
            points.iter().map(from).fold(f64::INFINITY, f64::min)
        };
        let dynamics = setup.dynamics(unit);
        let across_m = model.body.length_m + radius_m;
        let begin_s =
            plan.pose.nose_time_s(model.pivot_m.x + plan.pose.length_m - across_m).max(run.start_s());
        let end_s = plan.pose.nose_time_s(model.pivot_m.x + plan.pose.length_m + across_m).min(run.end_s());
        let now_m = distance_m(at.brush_m, at.t_s);
        let mut found = Middle { now_m, ahead_m: now_m, behind_m: now_m, reached_s: None };
        let looks = ((end_s - begin_s) / LOOK_S).ceil();
        for look in 0..=looks.max(0.0) as usize {
            let t_s = (begin_s + look as f64 * LOOK_S).min(end_s);
            let state = run.state_in_step(run.step_index(t_s), t_s);
            let m = distance_m(dynamics.brush_motion(&state.y).0, t_s);
            let least = if t_s < at.t_s { &mut found.behind_m } else { &mut found.ahead_m };
            *least = least.min(m);
            if t_s >= at.t_s && m <= 0.0 && found.reached_s.is_none() {
                found.reached_s = Some(t_s - at.t_s);
            }
        }
        now_m.is_finite().then_some(found)
    }
}

fn phase(at: &UnitInstant, touch: Option<(usize, Zone)>, race: &Race) -> Phase {
    if let Some((_, zone)) = touch {
        return match zone {
            Zone::Nose => Phase::Nose,
            Zone::LeftSide => Phase::Side,
            Zone::Tail => Phase::Tail,
            Zone::RightSide => Phase::FarSide,
        };
    }
    let on_stop = at.modes.inboard == StopMode::Pressed;
    match at.modes.motion {
        Motion::Stick if on_stop => Phase::Waiting,
        Motion::Stick => Phase::Stuck,
        _ if on_stop && at.brush_m_s.norm() > STILL_M_S => Phase::Bumper,
        _ if on_stop => Phase::Waiting,
        Motion::In if race.tail_ahead_m > 0.0 => Phase::Chasing,
        Motion::In => Phase::SwingingIn,
        Motion::Out => Phase::SwingingOut,
    }
}

/// A left brush at an instant, moving so under these torques, clear of its stops.
#[cfg(test)]
pub(crate) fn instant_with(velocity: Vec2, budget: crate::pass::motion::TorqueBudget) -> UnitInstant {
    UnitInstant {
        side: Side::Left,
        t_s: 0.0,
        ended: false,
        phi_rad: 1.3,
        omega_rad_s: -0.1,
        alpha_rad_s2: 0.0,
        budget,
        cap_gauge_pa: None,
        rod_gauge_pa: None,
        contact_n: Vec2::zeros(),
        press_force_n: 0.0,
        press_m: 0.0,
        spindle_power_w: 0.0,
        inboard_stop_n: 0.0,
        outboard_stop_n: 0.0,
        inboard_stop_m: -0.1,
        tension_n: None,
        brush_m: Vec2::new(2.0, 0.6),
        brush_m_s: velocity,
        modes: crate::pass::motion::Modes::clear(Motion::In),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pass::motion::TorqueBudget;

    fn at(velocity: Vec2) -> UnitInstant {
        instant_with(velocity, TorqueBudget::default())
    }

    #[test]
    fn verif_the_phase_of_a_brush() {
        let race = Race { tail_ahead_m: -3.0, tail_m_s: 0.2, inboard_m_s: 0.0, out_of_reach_m: -2.0 };
        let nose = at(Vec2::new(0.05, 0.3));
        assert_eq!(phase(&nose, Some((1, Zone::Nose)), &race), Phase::Nose);
        let mut resting = nose;
        resting.modes.motion = Motion::Stick;
        assert_eq!(phase(&resting, None, &race), Phase::Stuck);
        resting.modes.inboard = StopMode::Pressed;
        assert_eq!(phase(&resting, None, &race), Phase::Waiting);
        let behind = Race { tail_ahead_m: 0.2, ..race };
        assert_eq!(phase(&nose, None, &behind), Phase::Chasing);
        assert_eq!(phase(&nose, None, &race), Phase::SwingingIn);
        let mut out = nose;
        out.modes.motion = Motion::Out;
        assert_eq!(phase(&out, None, &behind), Phase::SwingingOut);
        // Pressing its stop it is on it while it moves, faster than one sees; else it waits there, whichever way it creeps.
        out.modes.inboard = StopMode::Pressed;
        assert_eq!(phase(&out, None, &behind), Phase::Bumper);
        for motion in [Motion::In, Motion::Out] {
            out.modes.motion = motion;
            out.brush_m_s = Vec2::new(0.8 * STILL_M_S, 0.0);
            assert_eq!(phase(&out, None, &behind), Phase::Waiting);
            out.brush_m_s = Vec2::new(0.8 * STILL_M_S, -0.8 * STILL_M_S);
            assert_eq!(phase(&out, None, &behind), Phase::Bumper);
        }
        // What it touches goes before all that.
        for (zone, told) in
            [(Zone::LeftSide, Phase::Side), (Zone::Tail, Phase::Tail), (Zone::RightSide, Phase::FarSide)]
        {
            assert_eq!(phase(&out, Some((0, zone)), &behind), told);
        }
    }

    /// At rest is up to 5 mm/s and including it, a tail beside the brush is not ahead.
    #[test]
    fn verif_phases_at_their_edges() {
        let race = Race { tail_ahead_m: 0.0, tail_m_s: 0.2, inboard_m_s: 0.1, out_of_reach_m: 0.0 };
        let swinging = at(Vec2::new(0.0, -0.1));
        assert_eq!(phase(&swinging, None, &race), Phase::SwingingIn);
        assert_eq!(phase(&swinging, None, &Race { tail_ahead_m: 1e-9, ..race }), Phase::Chasing);
        let mut pressed = at(Vec2::new(STILL_M_S, 0.0));
        pressed.modes.inboard = StopMode::Pressed;
        assert_eq!(phase(&pressed, None, &race), Phase::Waiting);
        pressed.brush_m_s.x = 1.001 * STILL_M_S;
        assert_eq!(phase(&pressed, None, &race), Phase::Bumper);
    }
}
