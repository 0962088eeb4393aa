//! Wrap-around timing: when the brush touches, turns the corners, loses the tail, comes back, and settles.

use super::accumulate::{Look, POWER_LOOKS};
use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::{ContactLaw, Span, SpanRoom};
use crate::pass::motion::state::PHI;
use crate::pass::motion::{BandPlan, StopMode, UnitDynamics, VehiclePlan, compression_m, contact_law};
use crate::pass::{MotionState, PassSetup, Record, UnitRecord};
use crate::vehicle::{FeatureKind, PieceTag, Zone};

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
    /// The arm has settled where it comes to stand, as [`UnitRecord::settled_s`].
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
    /// Highest power of the spindle motor, W.
    pub spindle_peak_power_w: f64,
    /// Whether the hub was struck.
    pub hub_struck: bool,
    /// Deepest press, m.
    pub deepest_press_m: f64,
    /// Free strip length left at the deepest press, m; negative = the hub was struck.
    pub hub_clearance_m: f64,
    /// Whether the arm met its outboard stop.
    pub outboard_stop_met: bool,
}

impl UnitTiming {
    /// Time of an event, if it happened.
    pub fn time_of(&self, name: EventName) -> Option<f64> {
        self.events.iter().find(|e| e.name == name).map(|e| e.time_s)
    }
}

/// How sharply an event is found, s.
const EVENT_SHARP_S: f64 = 1e-9;

/// The power of the spindle motor is read at every look beside one with this share of the highest power read so far. Looks are 12 mm apart:
/// over the 24 mm to the nearest that was read the power rises by less than the rest.
const NEAR_PEAK: f64 = 0.95;

/// What it takes to look at the press on the measured vehicle at any instant of a unit's run.
struct Press<'a> {
    dynamics: UnitDynamics<'a>,
    plan: &'a VehiclePlan<'a>,
    run: &'a UnitRecord,
    room: std::cell::RefCell<SpanRoom>,
}

impl Press<'_> {
    /// Deepest press and its zone.
    fn at(&self, t_s: f64) -> (f64, Option<Zone>) {
        let (mut deepest, mut zone) = (0.0, None);
        self.each(t_s, &self.run.state_at(t_s), |span, _, tag| {
            let press = span.deepest_m(self.dynamics.law.radius_m);
            if press > deepest {
                (deepest, zone) = (press, Some(tag.zone));
            }
        });
        (deepest, zone)
    }

    /// Whether strips touch a feature of a kind.
    fn touches(&self, t_s: f64, kind: &dyn Fn(usize) -> bool) -> bool {
        let mut any = false;
        self.each(t_s, &self.run.state_at(t_s), |_, _, tag| any |= tag.feature.is_some_and(kind));
        any
    }

    /// Power that the spindle motor gives to what strips touch, W.
    fn spindle_power_w(&self, t_s: f64) -> f64 {
        let motion = self.run.state_at(t_s);
        let law = self.dynamics.law;
        let spinning = ContactLaw { spin_rad_s: law.spin_rad_s + motion.omega_rad_s(), ..law };
        let (_, v) = self.dynamics.brush_motion(&motion.y);
        let pose = &self.plan.pose;
        let velocity = pose.vehicle_from_unit_dir(v - Vec2::new(pose.speed_m_s, 0.0));
        let mut power_w = 0.0;
        self.each(t_s, &motion, |span, band, _| {
            power_w -= span.contact(&spinning, velocity).moment_n * band.height_m * law.spin_rad_s;
        });
        power_w
    }

    /// Highest power of the spindle motor over all looks, W. Between those at which it was read already it is read wherever it may be higher.
    fn spindle_peak_power_w(&self, looks: &[Look]) -> f64 {
        let known = |i: usize| looks.get(i)?.spindle_power_w.map(f64::abs);
        let highest = (0..looks.len()).filter_map(known).fold(0.0, f64::max);
        let beside_peak = |i: usize| {
            let before = i - i % POWER_LOOKS;
            [before, before + POWER_LOOKS]
                .into_iter()
                .filter_map(known)
                .any(|power| power >= NEAR_PEAK * highest)
        };
        (0..looks.len())
            .filter(|&i| known(i).is_none() && beside_peak(i))
            .map(|i| self.spindle_power_w(looks[i].t_s).abs())
            .fold(highest, f64::max)
    }

    /// Everything strips touch.
    fn each(&self, t_s: f64, motion: &MotionState, mut visit: impl FnMut(&Span, &BandPlan<'_>, &PieceTag)) {
        let (c, _) = self.dynamics.brush_motion(&motion.y);
        let mut room = self.room.borrow_mut();
        for band in &self.plan.bands {
            let local = self.plan.pose.vehicle_from_unit(c + band.shift_m, t_s);
            for span in band.near().find_spans(&band.band.outlines, local, &mut room) {
                visit(span, band, &band.band.outlines[span.outline].tags[span.piece]);
            }
        }
    }
}

pub(super) fn unit_timing(setup: &PassSetup, record: &Record, unit: usize, looks: &[Look]) -> UnitTiming {
    let model = &setup.units[unit];
    let run = &record.units[unit];
    let plan = setup.plan(setup.measured, model);
    // The brush stands on its own side: in the unit frame that is always the vehicle's left side.
    let own_side = Zone::LeftSide;
    let refine = |a: f64, b: f64, is_after: &dyn Fn(f64) -> bool| -> f64 {
        let (mut a, mut b) = (a, b);
        while b - a > EVENT_SHARP_S {
            let mid = 0.5 * (a + b);
            if is_after(mid) { b = mid } else { a = mid }
        }
        b
    };
    let looker = Press {
        dynamics: UnitDynamics { model, law: contact_law(&model.brush), vehicles: Vec::new() },
        plan: &plan,
        run,
        room: std::cell::RefCell::default(),
    };
    let press = |t: f64| looker.at(t);
    let previous = |i: usize| if i == 0 { looks[0].t_s } else { looks[i - 1].t_s };

    let first = looks.iter().position(|l| l.deepest_m > 0.0);
    let first_touch = first.map(|i| refine(previous(i), looks[i].t_s, &|t| press(t).0 > 0.0));
    let last = looks.iter().rposition(|l| l.deepest_m > 0.0);
    let lost = last.map(|i| {
        let end = looks.get(i + 1).map_or(looks[i].t_s, |l| l.t_s);
        refine(looks[i].t_s, end, &|t| press(t).0 <= 0.0)
    });
    let zone_change = |from: usize, to: Zone| -> Option<(usize, f64)> {
        let i = (from..looks.len()).find(|&i| looks[i].zone == Some(to))?;
        Some((i, refine(previous(i), looks[i].t_s, &|t| press(t).1 == Some(to))))
    };
    let nose_corner = first.and_then(|i| zone_change(i, own_side));
    let tail_corner = nose_corner.and_then(|(i, _)| zone_change(i, Zone::Tail));
    let is_mirror = |feature: usize| plan.vehicle.features[feature].kind == FeatureKind::Mirror;
    let mirror = looks
        .iter()
        .position(|l| l.features.iter().any(|(f, _)| is_mirror(*f)))
        .map(|i| refine(previous(i), looks[i].t_s, &|t| looker.touches(t, &is_mirror)));

    // The tail plane passes the brush centre: vehicle moves steadily, the brush much less.
    let tail_ahead = |t: f64| {
        let (c, _) = looker.dynamics.brush_motion(&run.state_at(t).y);
        plan.pose.nose_x_m(t) - plan.pose.length_m - c.x
    };
    let tail_passes = looks
        .iter()
        .position(|l| tail_ahead(l.t_s) >= 0.0)
        .map(|i| refine(previous(i), looks[i].t_s, &|t| tail_ahead(t) >= 0.0));
    // On the tail again: pressing on the tail zone at or after the tail has passed the brush centre.
    let back = tail_passes.and_then(|passes| {
        let i = looks.iter().position(|l| l.t_s >= passes && l.zone == Some(Zone::Tail))?;
        let start = previous(i).max(passes);
        if press(start).1 == Some(Zone::Tail) {
            return Some(start);
        }
        Some(refine(start, looks[i].t_s, &|t| press(t).1 == Some(Zone::Tail)))
    });

    let follow_from = tail_passes.or(first_touch).unwrap_or(run.start_s());
    let mut bumper = None;
    let mut stop_peak: Option<f64> = None;
    let mut outboard_stop_met = false;
    for step in &run.steps {
        let end = step.start_s + step.length_s;
        if end < follow_from || step.start_s > run.next_touch_s {
            outboard_stop_met |= step.modes.outboard == StopMode::Pressed
                && first_touch.is_some_and(|t| end > t)
                && step.start_s <= run.next_touch_s;
            continue;
        }
        outboard_stop_met |= step.modes.outboard == StopMode::Pressed;
        if step.modes.inboard == StopMode::Pressed {
            bumper = bumper.or(Some(step.start_s.max(follow_from)));
            // The arm turns only where a step ends, so the highest compression of a step is at one of its ends.
            for t in [step.start_s.max(follow_from), end.min(run.next_touch_s)] {
                let x = compression_m(&model.inboard_stop, run.state_at(t).phi_rad(), -1.0);
                stop_peak = Some(stop_peak.map_or(x, |p: f64| p.max(x)));
            }
        }
    }

    // An arm that still swings when the next vehicle comes may be compressing its bumper yet.
    for step in run.left_alone.iter().filter(|step| step.modes.inboard == StopMode::Pressed) {
        bumper = bumper.or(Some(step.start_s));
        for t in [step.start_s, step.start_s + step.length_s] {
            let x = compression_m(&model.inboard_stop, step.value_at(PHI, t), -1.0);
            stop_peak = Some(stop_peak.map_or(x, |p: f64| p.max(x)));
        }
    }

    let deepest = looks.iter().map(|l| l.deepest_m).fold(0.0, f64::max);
    let mut events = Vec::new();
    let mut push = |name: EventName, time: Option<f64>| {
        if let Some(time_s) = time {
            events.push(PassEvent { name, time_s, vehicle_position_m: plan.pose.nose_x_m(time_s) });
        }
    };
    push(EventName::FirstTouch, first_touch);
    push(EventName::NoseCorner, nose_corner.map(|(_, t)| t));
    push(EventName::Mirror, mirror);
    push(EventName::TailCorner, tail_corner.map(|(_, t)| t));
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
        spindle_peak_power_w: looker.spindle_peak_power_w(looks),
        hub_struck: deepest > model.brush.radius_m - model.brush.hub_radius_m,
        deepest_press_m: deepest,
        hub_clearance_m: model.brush.radius_m - model.brush.hub_radius_m - deepest,
        outboard_stop_met,
    }
}
