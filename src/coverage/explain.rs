//! Why a brush does what it does at an instant: its phase, and one plain sentence with the numbers that decide.
//!
//! Behind the tail the sentence is the race: the tail leaves at conveyor speed, the brush swings in, and what is asked is whether the strips come
//! over the middle of the tail, the same point from which the overlap is measured. That is read from the motion of the whole pass, not carried on
//! from the speeds of the instant: an arm that is still gathering speed would be said to lose a race it wins. Elsewhere the sentence names the
//! strongest torque outward and inward.

use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::SpanRoom;
use crate::pass::motion::{Motion, StopMode, VehiclePlan};
use crate::pass::{PassSetup, Record, UnitInstant, instant};
use crate::units::{Dimension, ForceDim, LengthDim, SpeedDim, TimeDim, TorqueDim, UnitSystem, format};
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

/// A brush at an instant, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Which unit.
    pub side: Side,
    /// What it is doing.
    pub phase: Phase,
    /// One sentence.
    pub sentence: String,
    /// Everything it was made from.
    pub instant: UnitInstant,
}

/// Under this a brush centre counts as standing still, m/s.
const STILL_M_S: f64 = 0.005;

/// Explains every unit at time `t_s` (clamped to the run).
pub fn explain(setup: &PassSetup, record: &Record, t_s: f64, system: UnitSystem) -> Vec<Explanation> {
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
            let sentence = sentence(phase, &at, &race, middle.as_ref(), system);
            Explanation { side: at.side, phase, sentence, instant: at }
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
    let mut room = SpanRoom::default();
    let mut found: Option<(f64, usize, Zone)> = None;
    for plan in plans.iter().filter(|plan| plan.may_touch(at.brush_m, radius_m, at.t_s)) {
        for band in &plan.bands {
            let local = plan.pose.vehicle_from_unit(at.brush_m + band.shift_m, at.t_s);
            for span in band.near().find_spans(&band.band.outlines, local, &mut room) {
                let press = span.deepest_m(radius_m);
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
struct Race {
    /// How far the tail is downstream of the brush centre, m.
    tail_ahead_m: f64,
    tail_m_s: f64,
    /// Inboard speed of the brush centre, m/s.
    inboard_m_s: f64,
    /// How far the tail is out of reach, m; negative = in reach.
    out_of_reach_m: f64,
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
struct Middle {
    /// At the instant, m.
    now_m: f64,
    /// The least after the instant, m.
    ahead_m: f64,
    /// The least before it, m.
    behind_m: f64,
    /// When they first lie over it after the instant, s from then.
    reached_s: Option<f64>,
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

fn sentence(
    phase: Phase,
    at: &UnitInstant,
    race: &Race,
    middle: Option<&Middle>,
    system: UnitSystem,
) -> String {
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let torque = |t: f64| format(TorqueDim::INFO, t.abs(), system);
    let force = |f: f64| format(ForceDim::INFO, f, system);
    let length = |l: f64| format(LengthDim::INFO, l, system);
    let brush = format!("{} brush", at.side.name());
    // The strongest torque each way, with pivot friction only where it decides.
    let strongest = |sign: f64| {
        at.budget
            .causes()
            .into_iter()
            .filter(|(_, t)| sign * t > 0.5)
            .max_by(|a, b| (sign * a.1).total_cmp(&(sign * b.1)))
    };
    let pull_in =
        strongest(-1.0).map_or("nothing".to_owned(), |(name, t)| format!("{name} ({} inward)", torque(t)));
    let push_out =
        strongest(1.0).map_or("nothing".to_owned(), |(name, t)| format!("{name} ({} outward)", torque(t)));
    let swing = at.brush_m_s.norm();
    match phase {
        Phase::Tail | Phase::Chasing => race_sentence(&brush, at, race, middle, system),
        Phase::Nose => {
            let moves = if at.omega_rad_s > 0.0 { "drives the" } else { "presses on the" };
            format!(
                "The nose {moves} {brush} outboard at {}: {push_out} works against {pull_in}.",
                speed(at.brush_m_s.y.max(0.0))
            )
        }
        Phase::Side | Phase::FarSide => format!(
            "The {brush} rides the {} pressed in {} with {}: {pull_in} holds it against {push_out}.",
            if phase == Phase::Side { "side" } else { "far side" },
            length(at.press_m),
            force(at.press_force_n),
        ),
        Phase::Waiting => format!(
            "The {brush} waits on its bumper, pressed {} into it: {pull_in} is held by {push_out}.",
            length(at.inboard_stop_m.max(0.0)),
        ),
        Phase::Bumper => format!(
            "The {brush} meets its bumper at {} and is {} into it: {push_out} brakes {pull_in}.",
            speed(swing),
            length(at.inboard_stop_m.max(0.0)),
        ),
        Phase::Stuck => format!(
            "The {brush} stands still away from its bumper: friction ({}) holds what is left between {pull_in} and {push_out}.",
            torque(at.budget.friction_n_m),
        ),
        Phase::SwingingIn => {
            format!(
                "The {brush} swings in at {} with nothing on it: {pull_in} against {push_out}.",
                speed(swing)
            )
        }
        Phase::SwingingOut => {
            format!(
                "The {brush} swings out at {} with nothing on it: {push_out} against {pull_in}.",
                speed(swing)
            )
        }
    }
}

fn race_sentence(
    brush: &str,
    at: &UnitInstant,
    race: &Race,
    middle: Option<&Middle>,
    system: UnitSystem,
) -> String {
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let length = |l: f64| format(LengthDim::INFO, l, system);
    let time = |t: f64| format(TimeDim::INFO, t, system);
    let tail = format!("The tail leaves at {}", speed(race.tail_m_s));
    let moves = if race.inboard_m_s >= STILL_M_S {
        format!("the {brush} swings in at {}", speed(race.inboard_m_s))
    } else if at.brush_m_s.norm() < STILL_M_S {
        format!("the {brush} stands still")
    } else {
        format!("the {brush} still swings out at {}", speed(-race.inboard_m_s))
    };
    let gone = if race.out_of_reach_m > 0.0 {
        format!(" and is already {} out of reach", length(race.out_of_reach_m))
    } else {
        String::new()
    };
    let comes = middle.map_or_else(String::new, |middle| {
        let over = "the middle of the tail";
        match middle.reached_s {
            _ if middle.now_m <= 0.0 => format!(": its strips lie over {over}"),
            Some(wait_s) => format!(": its strips come over {over} in {}", time(wait_s)),
            None if middle.behind_m <= 0.0 => format!(": its strips were over {over}"),
            None if middle.ahead_m < middle.behind_m => {
                format!(": its strips end {} short of {over}", length(middle.ahead_m))
            }
            None => format!(": its strips came no nearer to {over} than {}", length(middle.behind_m)),
        }
    });
    format!("{tail}{gone}; {moves}{comes}.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vec2;
    use crate::pass::motion::{Modes, TorqueBudget};

    fn at(velocity: Vec2, budget: TorqueBudget) -> UnitInstant {
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
            modes: Modes::clear(Motion::In),
        }
    }

    #[test]
    fn verif_the_race_sentence_says_what_the_motion_comes_to() {
        let race = Race { tail_ahead_m: 0.3, tail_m_s: 0.25, inboard_m_s: 0.2, out_of_reach_m: -0.3 };
        let short = Middle { now_m: 0.6, ahead_m: 0.4, behind_m: 0.6, reached_s: None };
        let instant = at(Vec2::new(-0.05, -0.2), TorqueBudget::default());
        let said = |race: &Race, middle: &Middle| {
            sentence(Phase::Chasing, &instant, race, Some(middle), UnitSystem::Si)
        };
        assert_eq!(
            said(&race, &short),
            "The tail leaves at 0.250 m/s; the left brush swings in at 0.200 m/s: its strips end 400.0 mm short of the middle of the tail."
        );
        let won = Middle { ahead_m: -0.1, reached_s: Some(1.5), ..short };
        assert!(said(&race, &won).ends_with(": its strips come over the middle of the tail in 1.50 s."));
        assert!(said(&race, &Middle { now_m: -0.1, ..won }).contains("lie over"));
        assert!(said(&race, &Middle { behind_m: -0.1, ..short }).contains("were over"));
        assert!(said(&race, &Middle { behind_m: 0.2, ..short }).ends_with("than 200.0 mm."));
        let gone = Race { out_of_reach_m: 0.1, ..race };
        assert!(said(&gone, &short).contains("already 100.0 mm out of reach"));
        let still = Race { inboard_m_s: -0.1, ..race };
        assert!(said(&still, &short).contains("still swings out at 0.100 m/s"));
    }

    #[test]
    fn verif_other_phases_name_the_strongest_torque_each_way() {
        let budget = TorqueBudget {
            counterweight_n_m: -75.0,
            tilt_n_m: -20.0,
            push_n_m: 120.0,
            rub_n_m: 12.0,
            ..TorqueBudget::default()
        };
        let race = Race { tail_ahead_m: -3.0, tail_m_s: 0.2, inboard_m_s: 0.0, out_of_reach_m: -2.0 };
        let nose = at(Vec2::new(0.05, 0.3), budget);
        let text = sentence(Phase::Nose, &nose, &race, None, UnitSystem::Si);
        assert!(
            text.contains("strip push (120.0 N m outward)")
                && text.contains("counterweight (75.0 N m inward)"),
            "{text}"
        );
        assert!(text.contains("0.300 m/s"), "{text}");
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

    /// Where one phase or wording gives way to the next, to the last digit: at rest is up to 5 mm/s and including it, a tail beside the brush is not ahead,
    /// one just in reach is not out of it, half a newton metre is no torque to name.
    #[test]
    fn verif_words_at_their_edges() {
        let race = Race { tail_ahead_m: 0.0, tail_m_s: 0.2, inboard_m_s: 0.1, out_of_reach_m: 0.0 };
        let swinging = at(Vec2::new(0.0, -0.1), TorqueBudget::default());
        assert_eq!(phase(&swinging, None, &race), Phase::SwingingIn);
        assert_eq!(phase(&swinging, None, &Race { tail_ahead_m: 1e-9, ..race }), Phase::Chasing);
        let mut pressed = at(Vec2::new(STILL_M_S, 0.0), TorqueBudget::default());
        pressed.modes.inboard = StopMode::Pressed;
        assert_eq!(phase(&pressed, None, &race), Phase::Waiting);
        pressed.brush_m_s.x = 1.001 * STILL_M_S;
        assert_eq!(phase(&pressed, None, &race), Phase::Bumper);
        let named = |push_n_m: f64, tilt_n_m: f64| {
            let budget = TorqueBudget { push_n_m, tilt_n_m, ..TorqueBudget::default() };
            sentence(Phase::SwingingIn, &at(Vec2::new(0.0, -0.1), budget), &race, None, UnitSystem::Si)
        };
        assert_eq!(
            named(0.5, -0.5),
            "The left brush swings in at 0.100 m/s with nothing on it: nothing against nothing."
        );
        let both = named(0.6, -0.6);
        assert!(both.contains("(0.6 N m inward) against strip push (0.6 N m outward)"), "{both}");
        // On the nose it is driven outboard, or it presses on what comes.
        for (omega_rad_s, words) in [
            (0.1, "The nose drives the left brush"),
            (0.0, "The nose presses on the left brush"),
            (-0.1, "presses on"),
        ] {
            let mut nose = at(Vec2::new(0.05, 0.3), TorqueBudget::default());
            nose.omega_rad_s = omega_rad_s;
            let text = sentence(Phase::Nose, &nose, &race, None, UnitSystem::Si);
            assert!(text.contains(words) && text.contains("outboard at 0.300 m/s"), "{text}");
        }
        let tail = |race: &Race, velocity: Vec2, middle: Option<&Middle>| {
            sentence(Phase::Tail, &at(velocity, TorqueBudget::default()), race, middle, UnitSystem::Si)
        };
        // In reach by nothing is in reach; without a middle nothing is said of it.
        let slow = Race { inboard_m_s: STILL_M_S, ..race };
        assert_eq!(
            tail(&slow, Vec2::new(0.0, -STILL_M_S), None),
            "The tail leaves at 0.200 m/s; the left brush swings in at 0.005 m/s."
        );
        let slower = Race { inboard_m_s: 0.9 * STILL_M_S, ..race };
        let still = tail(&slower, Vec2::new(0.0, -0.9 * STILL_M_S), None);
        assert!(still.ends_with("the left brush stands still."), "{still}");
        // Across the lane it is slow, along it not: it still swings.
        let along = tail(&Race { inboard_m_s: -0.004, ..race }, Vec2::new(STILL_M_S, 0.004), None);
        assert!(along.contains("still swings out at 0.004 m/s"), "{along}");
        let at_edge = tail(&Race { inboard_m_s: 0.0, ..race }, Vec2::new(STILL_M_S, 0.0), None);
        assert!(at_edge.contains("still swings out"), "{at_edge}");
        let middle = Middle { now_m: 0.3, ahead_m: 0.3, behind_m: 0.3, reached_s: None };
        let said = |middle: Middle| tail(&race, Vec2::new(0.0, -0.1), Some(&middle));
        assert!(said(middle).ends_with("came no nearer to the middle of the tail than 300.0 mm."));
        assert!(
            said(Middle { ahead_m: 0.29, ..middle })
                .ends_with("end 290.0 mm short of the middle of the tail.")
        );
        assert!(said(Middle { behind_m: 0.0, ..middle }).ends_with("were over the middle of the tail."));
        assert!(said(Middle { now_m: 0.0, ..middle }).ends_with("lie over the middle of the tail."));
        // What else is told, each with its own numbers.
        let mut instant =
            at(Vec2::new(0.03, -0.04), TorqueBudget { friction_n_m: -7.0, ..TorqueBudget::default() });
        (instant.press_m, instant.press_force_n, instant.inboard_stop_m) = (0.12, 80.0, 0.015);
        let text = |phase: Phase| sentence(phase, &instant, &race, None, UnitSystem::Si);
        for (phase, words) in [
            (Phase::Side, "rides the side pressed in 120.0 mm with 80.0 N"),
            (Phase::FarSide, "rides the far side pressed in 120.0 mm"),
            (Phase::Waiting, "waits on its bumper, pressed 15.0 mm into it"),
            (Phase::Bumper, "meets its bumper at 0.050 m/s and is 15.0 mm into it"),
            (Phase::Stuck, "friction (7.0 N m) holds"),
            (Phase::SwingingOut, "0.050 m/s"),
        ] {
            assert!(text(phase).contains(words), "{}", text(phase));
        }
        instant.inboard_stop_m = -0.2;
        let waiting = sentence(Phase::Waiting, &instant, &race, None, UnitSystem::Si);
        assert!(waiting.contains("pressed 0.0 mm into it"), "{waiting}");
    }
}
