//! Wrap-around timing: when the brush touches, turns the corners, loses the tail, comes back, and settles.

use super::find::{change, peak};
use super::path::Course;
use super::samples::{Sample, Sampled, Sampler};
use crate::arm::{BumperStop, Side};
use crate::pass::motion::state::PHI;
use crate::pass::motion::{StopMode, UnitDynamics, compression_m};
use crate::pass::{DenseStep, PassSetup, Record};
use crate::vehicle::{FeatureKind, Zone};

/// The instants of a wrap-around.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EventName {
    /// The brush first touches the vehicle.
    FirstTouch,
    /// The deepest press passes from nose to side.
    NoseCorner,
    /// The brush first touches a mirror.
    Mirror,
    /// The deepest press passes from side to tail.
    TailCorner,
    /// The tail passes the brush centre.
    TailPasses,
    /// The brush presses on the tail.
    BackOnTail,
    /// The brush last touches the vehicle.
    LostTail,
    /// The arm meets its bumper stop.
    Bumper,
    /// The arm has settled where it comes to stand, as [`settled_s`](crate::pass::UnitRecord::settled_s).
    Settled,
    /// The next vehicle's nose would touch the brush at rest.
    NextNose,
}

impl EventName {
    /// Every event in the order a pass usually has them.
    pub const ALL: [EventName; 10] = [
        EventName::FirstTouch,
        EventName::NoseCorner,
        EventName::Mirror,
        EventName::TailCorner,
        EventName::TailPasses,
        EventName::BackOnTail,
        EventName::LostTail,
        EventName::Bumper,
        EventName::Settled,
        EventName::NextNose,
    ];

    /// Plain name.
    pub fn name(self) -> &'static str {
        match self {
            EventName::FirstTouch => "first touch",
            EventName::NoseCorner => "nose corner",
            EventName::Mirror => "mirror",
            EventName::TailCorner => "tail corner",
            EventName::TailPasses => "tail passes brush",
            EventName::BackOnTail => "back on the tail",
            EventName::LostTail => "lost the tail",
            EventName::Bumper => "bumper",
            EventName::Settled => "settled",
            EventName::NextNose => "next nose",
        }
    }
}

/// One instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PassEvent {
    /// What happens.
    pub name: EventName,
    /// When, s; t = 0 when the measured nose is at lane x = 0.
    pub time_s: f64,
    /// Lane x of the measured vehicle's nose, m.
    pub vehicle_position_m: f64,
}

/// Timing of one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitTiming {
    /// Which unit.
    pub side: Side,
    /// Events in time order.
    pub events: Vec<PassEvent>,
    /// From the tail passing the brush to the brush pressing on the tail, s; `None` when it never does.
    pub chase_delay_s: Option<f64>,
    /// From settled to the next nose, s; negative = too late; `None` when the arm does not settle.
    pub recovery_margin_s: Option<f64>,
    /// How much less the recovery margin is when the last bounce counts in full, s: it is on an edge. `None` when it is not.
    pub recovery_edge_s: Option<f64>,
    /// Highest compression of the bumper stop after the tail, m, while the next vehicle is not there; `None` when it is not met.
    pub stop_peak_compression_m: Option<f64>,
    /// Highest power of the spindle motor, W: rubbing, flexing and stirred air together.
    pub spindle_peak_power_w: f64,
    /// What takes that power at that instant.
    pub spindle_peak: super::SpindlePower,
    /// Whether the hub was struck.
    pub hub_struck: bool,
    /// Deepest press, m.
    pub peak_indentation_m: f64,
    /// Free strip length left at the deepest press, m; negative = the hub was struck.
    pub hub_clearance_m: f64,
    /// Whether the arm met its outboard stop.
    pub outboard_stop_met: bool,
    /// Longest time that the brush, having touched the front third of the vehicle, is off it before that third has passed, s; 0 when it stays on.
    pub off_front_s: f64,
}

impl UnitTiming {
    /// Free length of the strips over the hub, m.
    pub(super) fn strips_m(&self) -> f64 {
        self.hub_clearance_m + self.peak_indentation_m
    }

    /// Time of an event, if it happened.
    pub fn time_of(&self, name: EventName) -> Option<f64> {
        self.events.iter().find(|e| e.name == name).map(|e| e.time_s)
    }
}

/// How far the vehicle goes while it is told once which height is pressed deepest, m.
const STEP_M: f64 = 1e-3;
/// How sharply an event is found, s.
const EVENT_SHARP_S: f64 = 1e-9;

pub(super) fn unit_timing(setup: &PassSetup, record: &Record, unit: usize, sampled: &Sampled) -> UnitTiming {
    let samples = &sampled.samples;
    let model = &setup.units[unit];
    let run = &record.units[unit];
    let plan = setup.plan(setup.measured, model);
    // The brush stands on its own side: in the unit frame that is always the vehicle's left side.
    let own_side = Zone::LeftSide;
    let refine = |a: f64, b: f64, is_after: &dyn Fn(f64) -> bool| change(a, b, EVENT_SHARP_S, is_after);
    let dynamics = UnitDynamics::alone(model);
    let sampler = Sampler::new(Course { dynamics: &dynamics, plan: &plan, run }, Vec::new());
    let indentation_at = |t: f64| sampler.indentation(t);
    let previous = |i: usize| if i == 0 { sampled.ends_s.0 } else { samples[i - 1].t_s };

    let last = samples.iter().rposition(|l| l.indentation_m > 0.0);
    let lost = last.map(|i| {
        let end = samples.get(i + 1).map_or(sampled.ends_s.1, |l| l.t_s);
        refine(samples[i].t_s, end, &|t| indentation_at(t).0 <= 0.0)
    });
    let is_mirror = |feature: usize| plan.vehicle.features[feature].kind == FeatureKind::Mirror;
    let mirror = samples
        .iter()
        .position(|l| l.features.iter().any(|(f, _)| is_mirror(*f)))
        .map(|i| refine(previous(i), samples[i].t_s, &|t| sampler.touches(t, &is_mirror)));

    // The tail plane passes the brush centre: vehicle moves steadily, the brush much less.
    let tail_ahead = |t: f64| {
        let (c, _) = dynamics.brush_motion(&run.state_at(t).y);
        plan.pose.nose_x_m(t) - plan.pose.length_m - c.x
    };
    let tail_passes = samples
        .iter()
        .position(|l| tail_ahead(l.t_s) >= 0.0)
        .map(|i| refine(previous(i), samples[i].t_s, &|t| tail_ahead(t) >= 0.0));
    // Farther off than this a brush cannot touch the vehicle, or its tail.
    let reach_m = 2.0 * model.brush.radius_m;
    let near = |zone: Option<Zone>, t: f64| {
        let from_m = if zone == Some(Zone::Tail) { 0.0 } else { plan.pose.length_m };
        (-reach_m..plan.pose.length_m + reach_m).contains(&(tail_ahead(t) + from_m))
    };
    // The deepest press first comes on a zone (`None`: on anything) at some height: for a touch that comes and goes between two samples, every instant
    // at which it is nearest to that is looked at.
    let first_at_a_height = |zone: Option<Zone>, from_s: f64| -> Option<f64> {
        let lead = |t: f64| sampler.lead_m(zone, t);
        let is_on = |t: f64| lead(t) > 0.0;
        if is_on(from_s) {
            return Some(from_s);
        }
        let after = samples.partition_point(|l| l.t_s <= from_s);
        let is_seen = |l: &Sample| {
            if zone == Some(Zone::Tail) {
                l.on_tail
            } else {
                l.zone.is_some() && (zone.is_none() || l.zone == zone)
            }
        };
        let seen = (after..samples.len()).find(|&i| is_seen(&samples[i]));
        let end = seen.map_or(samples.len(), |i| i + 1);
        let times: Vec<f64> = [from_s]
            .into_iter()
            .chain(samples[after..end].iter().map(|l| l.t_s).filter(|t| near(zone, *t)))
            .collect();
        first_above_zero(&times, lead)
    };
    // The deepest of all heights: from there on, by steps of a millimetre, for of two heights pressed nearly alike now the one, now the other is ahead.
    let first_on = |zone: Zone, from_s: f64| -> Option<f64> {
        let is_on = |t: f64| indentation_at(t).1 == Some(zone);
        let mut before_s = first_at_a_height(Some(zone), from_s)?;
        if is_on(before_s) {
            return Some(before_s);
        }
        let end_s = last.and_then(|i| samples.get(i + 1)).map_or(sampled.ends_s.1, |l| l.t_s);
        while before_s < end_s {
            let t = before_s + STEP_M / plan.pose.speed_m_s;
            if is_on(t) {
                return Some(refine(before_s, t, &is_on));
            }
            before_s = t;
        }
        None
    };
    let first_touch = first_at_a_height(None, sampled.ends_s.0);
    let nose_corner = first_touch.and_then(|t| first_on(own_side, t));
    let tail_corner = nose_corner.and_then(|t| first_on(Zone::Tail, t));
    // On the tail again: pressing on the tail zone at or after the tail has passed the brush centre.
    let back = tail_passes.and_then(|passes| match tail_corner {
        Some(corner) if corner >= passes => Some(corner),
        _ => first_on(Zone::Tail, passes),
    });

    let follow_from = tail_passes.or(first_touch).unwrap_or(run.start_s());
    let outboard_from = first_touch.unwrap_or(run.next_touch_s);
    let outboard_stop_met = run.steps.iter().any(|step| {
        let after = step.start_s + step.length_s > outboard_from.min(follow_from);
        step.modes.outboard == StopMode::Pressed && after && step.start_s <= run.next_touch_s
    });
    // A blow in progress when the next vehicle comes is told to its end, as if that vehicle were late.
    let own_steps = run.steps.iter().take_while(|step| step.start_s < run.next_touch_s);
    let late_from = own_steps.clone().last().map_or(f64::INFINITY, |step| step.start_s + step.length_s);
    let late_steps = run.left_alone.iter().skip_while(|step| step.start_s + step.length_s < late_from);
    let blows = blows(&model.inboard_stop, own_steps.chain(late_steps), follow_from);
    let before_next = || blows.iter().filter(|blow| blow.start_s < run.next_touch_s);
    let bumper = before_next().next().map(|blow| blow.start_s);
    let stop_peak = before_next().map(|blow| blow.peak_m).reduce(f64::max);

    // The front third passes the brush centre as the tail does.
    let third_ahead = |t: f64| tail_ahead(t) + 2.0 / 3.0 * plan.pose.length_m;
    let third_passes = samples
        .iter()
        .position(|l| third_ahead(l.t_s) >= 0.0)
        .map(|i| refine(previous(i), samples[i].t_s, &|t| third_ahead(t) >= 0.0));
    let front_s = (first_touch.unwrap_or(f64::INFINITY), third_passes.unwrap_or(f64::INFINITY));
    let off_front_s = longest_off_s(samples, front_s, |t| indentation_at(t).0 > 0.0);

    let deepest = sampled.indentation_m;
    let mut events = Vec::new();
    let mut push = |name: EventName, time: Option<f64>| {
        if let Some(time_s) = time {
            events.push(PassEvent { name, time_s, vehicle_position_m: plan.pose.nose_x_m(time_s) });
        }
    };
    push(EventName::FirstTouch, first_touch);
    push(EventName::NoseCorner, nose_corner);
    push(EventName::Mirror, mirror);
    push(EventName::TailCorner, tail_corner);
    push(EventName::TailPasses, tail_passes);
    push(EventName::BackOnTail, back);
    push(EventName::LostTail, lost);
    push(EventName::Bumper, bumper);
    push(EventName::Settled, run.settled_s);
    push(EventName::NextNose, Some(run.next_touch_s));
    events.sort_by(|a, b| a.time_s.total_cmp(&b.time_s).then(a.name.cmp(&b.name)));
    UnitTiming {
        side: model.side,
        events,
        chase_delay_s: tail_passes.zip(back).map(|(a, b)| b - a),
        recovery_margin_s: run.settled_s.map(|t| run.next_touch_s - t),
        recovery_edge_s: run.settled_s.zip(run.settled_latest_s).map(|(mean, latest)| latest - mean),
        stop_peak_compression_m: stop_peak,
        spindle_peak_power_w: sampled.spindle_peak.total_w().abs(),
        spindle_peak: sampled.spindle_peak,
        hub_struck: deepest > model.brush.radius_m - model.brush.hub_radius_m,
        peak_indentation_m: deepest,
        hub_clearance_m: model.brush.radius_m - model.brush.hub_radius_m - deepest,
        outboard_stop_met,
        off_front_s,
    }
}

/// Longest time between two instants that the brush, on the vehicle at the first, is off it, s. `on` tells whether it is on at an instant.
fn longest_off_s(samples: &[Sample], (from_s, until_s): (f64, f64), on: impl Fn(f64) -> bool) -> f64 {
    let (mut longest_s, mut off_from_s, mut before_s) = (0.0_f64, None, from_s);
    let first = samples.partition_point(|sample| sample.t_s <= from_s);
    for sample in &samples[first..] {
        match (sample.indentation_m > 0.0, off_from_s) {
            (false, None) => off_from_s = Some(change(before_s, sample.t_s, EVENT_SHARP_S, |t| !on(t))),
            (true, Some(off_s)) => {
                let on_s = change(before_s, sample.t_s, EVENT_SHARP_S, &on);
                longest_s = longest_s.max(on_s.min(until_s) - off_s);
                off_from_s = None;
            }
            _ => {}
        }
        before_s = sample.t_s;
        if before_s > until_s {
            break;
        }
    }
    off_from_s.map_or(longest_s, |off_s| longest_s.max(before_s.min(until_s) - off_s))
}

/// The first instant at which a function comes above zero, which it is not at the first of the instants given; for a visit that comes and goes
/// between two of them, every one at which it is nearest to that is looked at.
fn first_above_zero(times: &[f64], value: impl Fn(f64) -> f64) -> Option<f64> {
    let above = |t: f64| value(t) > 0.0;
    let values: Vec<f64> = times.iter().map(|t| value(*t)).collect();
    for (i, &own) in values.iter().enumerate().skip(1) {
        if own > 0.0 {
            return Some(change(times[i - 1], times[i], EVENT_SHARP_S, above));
        }
        let next = values.get(i + 1).copied().unwrap_or(own);
        if own < values[i - 1] || own < next || 2.0 * own < next.min(values[i - 1]) {
            continue;
        }
        let until = times.get(i + 1).copied().unwrap_or(times[i]);
        let (at, most) = peak(&value, (times[i - 1], times[i], until), own);
        if most > 0.0 {
            return Some(change(times[i - 1], at, EVENT_SHARP_S, above));
        }
    }
    None
}

/// One meeting of the arm with its bumper stop.
#[derive(Debug, PartialEq)]
struct Blow {
    start_s: f64,
    /// Highest compression, m.
    peak_m: f64,
}

/// The meetings with a bumper stop from `from_s` on, each to its end.
fn blows<'s>(stop: &BumperStop, steps: impl Iterator<Item = &'s DenseStep>, from_s: f64) -> Vec<Blow> {
    let mut blows: Vec<Blow> = Vec::new();
    let mut touching = false;
    for step in steps {
        let end_s = step.start_s + step.length_s;
        if end_s < from_s || step.modes.inboard != StopMode::Pressed {
            touching = false;
            continue;
        }
        let start_s = step.start_s.max(from_s);
        // The arm turns only where a step ends, so the highest compression of a step is at one of its ends.
        for t in [start_s, end_s] {
            let peak_m = compression_m(stop, step.value_at(PHI, t), -1.0);
            match blows.last_mut().filter(|_| touching) {
                Some(blow) => blow.peak_m = blow.peak_m.max(peak_m),
                None => blows.push(Blow { start_s, peak_m }),
            }
            touching = true;
        }
    }
    blows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pass::motion::{Modes, Motion, state};

    /// Where a wave comes above zero, by hand: where it crosses between two instants; where it comes and goes between two; not where it only comes near, and
    /// not where it was lower still beside. It is asked where it may be, and nowhere else.
    #[test]
    fn verif_the_first_time_above_zero() {
        let times: Vec<f64> = (0..=8).map(f64::from).collect();
        let first = |f: &dyn Fn(f64) -> f64| first_above_zero(&times, f);
        let found = first(&|t| t - 2.3).expect("it comes");
        assert!((found - 2.3).abs() < 2e-9, "{found}");
        assert_eq!(first(&|_| -1.0), None);
        // A parabola over 5.2 ± 0.3, seen at 5 alone, or at none.
        let hump = |c: f64, top: f64| move |t: f64| top - (t - c) * (t - c);
        for c in [0.5, 4.6, 5.0, 5.2, 5.45] {
            let found = first(&hump(c, 0.09)).expect("it comes");
            assert!((found - (c - 0.3)).abs() < 2e-9, "{c}: {found}");
            assert_eq!(first(&hump(c, -0.01)), None, "{c}");
        }
        // What comes just to zero, at an instant or between two, does not come above it.
        assert_eq!(first(&hump(5.0, 0.0)), None);
        assert_eq!(first(&|t| -(t - 5.0).abs()), None);
        // In the last stretch, past the last but one instant.
        let found = first(&hump(7.6, 0.09)).expect("it comes");
        assert!((found - 7.3).abs() < 2e-9, "{found}");
        // Two humps: the first that comes above zero, though the second is higher.
        let two = |t: f64| hump(2.5, 0.04)(t).max(hump(6.0, 2.0)(t));
        let found = first(&two).expect("it comes");
        assert!((found - 2.3).abs() < 2e-9, "{found}");
        let two = |t: f64| hump(2.5, -0.04)(t).max(hump(6.0, 2.25)(t));
        let found = first(&two).expect("it comes");
        assert!((found - 4.5).abs() < 2e-9, "{found}");
        // A lowest place is not looked at, nor a slope, nor what would have to rise more than it does to either neighbour.
        let asked = |values: [f64; 4]| {
            let asked = std::cell::RefCell::new(Vec::new());
            let found = first_above_zero(&[0.0, 1.0, 2.0, 3.0], |t| {
                let i = (t.round() as usize).min(3);
                if (t - t.round()).abs() > 1e-12 {
                    asked.borrow_mut().push(t);
                }
                values[i] - 0.1 * (t - t.round()).abs()
            });
            assert_eq!(found, None);
            let asked = asked.into_inner();
            let between = |a: f64, b: f64| asked.iter().any(|t| *t > a && *t < b);
            [between(0.0, 1.0), between(1.0, 2.0), between(2.0, 3.0)]
        };
        assert_eq!(asked([-1.0, -2.0, -1.9, -1.8]), [false, false, false]);
        // 1 below zero with the lower neighbour at 1.9: as much again would not bring it there; with 2.1 it may.
        assert_eq!(asked([-1.9, -1.0, -1.8, -4.0]), [false, false, false]);
        assert_eq!(asked([-1.8, -1.0, -1.9, -4.0]), [false, false, false]);
        for values in [[-2.1, -1.0, -1.8, -4.0], [-1.8, -1.0, -2.1, -4.0]] {
            let looked = asked(values);
            assert!((looked[0] || looked[1]) && !looked[2], "{looked:?}");
        }
        // At 2 as much again brings it just there.
        let looked = asked([-2.0, -1.0, -1.8, -4.0]);
        assert!(looked[0] || looked[1], "{looked:?}");
        // The last may have its highest before it.
        assert_eq!(asked([-1.0, -4.0, -3.0, -1.1]), [false, false, true]);
        // Of places alike every one may stand beside the highest.
        let looked = asked([-2.1, -1.0, -1.0, -4.0]);
        assert!(looked[0] || looked[1] || looked[2]);
    }

    /// Meetings with the stop: pressed steps that follow one another are one, a step free between them makes two; told from an instant on; the highest compression of
    /// each at an end of a step. A stop of radius 0.5 m seated at 1 rad.
    #[test]
    fn verif_blows_on_the_stop_by_hand() {
        let stop = BumperStop {
            seat_rad: 1.0,
            radius_m: 0.5,
            linear_n_per_m: 1e4,
            cubic_n_per_m3: 0.0,
            damping_n_s_per_m: 0.0,
            full_compression_m: 0.1,
            rigid_n_per_m: 0.0,
        };
        // From φ to φ, in a second.
        let step = |start_s: f64, from: f64, to: f64, inboard: StopMode| {
            let mut coefficients = [[0.0; 5]; state::MOTION];
            coefficients[PHI] = [from, to - from, 0.0, 0.0, 0.0];
            let modes = Modes { inboard, ..Modes::clear(Motion::In) };
            DenseStep { start_s, length_s: 1.0, coefficients, modes }
        };
        use StopMode::{Clear, Pressed};
        let steps = [
            step(0.0, 1.2, 1.0, Clear),
            step(1.0, 1.0, 0.96, Pressed),
            step(2.0, 0.96, 0.98, Pressed),
            step(3.0, 0.98, 1.0, Pressed),
            step(4.0, 1.0, 1.0, Clear),
            step(5.0, 0.999, 0.97, Pressed),
            step(6.0, 0.97, 0.95, Clear),
        ];
        let told = |from_s: f64| -> Vec<(f64, f64)> {
            let round = |x: f64| (x * 1e9).round() / 1e9;
            blows(&stop, steps.iter(), from_s).iter().map(|b| (b.start_s, round(b.peak_m))).collect()
        };
        assert_eq!(told(0.0), [(1.0, 0.02), (5.0, 0.015)]);
        // From within the first: as compressed as it is then, 0.5 · 0.03, or at the end of that step.
        assert_eq!(told(1.5), [(1.5, 0.02), (5.0, 0.015)]);
        assert_eq!(told(2.5), [(2.5, 0.015), (5.0, 0.015)]);
        assert_eq!(told(3.5), [(3.5, 0.005), (5.0, 0.015)]);
        // A step that ends then still counts; a later one does not.
        assert_eq!(told(4.0), [(4.0, 0.0), (5.0, 0.015)]);
        assert_eq!(told(4.5), [(5.0, 0.015)]);
        assert_eq!(told(6.5), []);
        assert_eq!(blows(&stop, steps[..1].iter(), 0.0), []);
    }

    /// Names are told apart, and the event that is asked for is the one found.
    #[test]
    fn verif_events_by_their_names() {
        let names: std::collections::BTreeSet<&str> = EventName::ALL.iter().map(|name| name.name()).collect();
        assert!(names.len() == EventName::ALL.len() && names.iter().all(|name| name.len() > 5));
    }
}
