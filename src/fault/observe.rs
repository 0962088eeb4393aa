//! What can be seen of a pass: numbers of each side and of the whole, read from a solved pass.

use crate::arm::{Side, UnitModel};
use crate::coverage::{EventName, Solved, UnitTiming};
use crate::pass::motion::{StopMode, state};
use crate::pass::{DenseStep, UnitRecord};
use crate::vehicle::{FeatureKind, Zone};

/// Which vehicle at which speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ViewName {
    /// The scenario's vehicle as the line is planned.
    Planned,
    /// The same on a slow line.
    Slow,
    /// The same on a busy day.
    Busy,
    /// The widest vehicle that the machine takes, as planned.
    Wide,
}

/// One of the passes that a machine is looked at in.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Which.
    pub name: ViewName,
    /// The vehicle.
    pub vehicle: String,
    /// Conveyor speed over the planned one.
    pub speed: f64,
}

macro_rules! observables {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// A number that is seen.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Observable {
            $($(#[$doc])* $name,)*
        }
        const COUNT: usize = [$(Observable::$name),*].len();
    };
}

observables! {
    /// Unwashed share of the half of the tail on this side.
    TailUnwashed,
    /// Unwashed share of the half of the nose on this side.
    NoseUnwashed,
    /// Unwashed share of the front third of the side.
    FrontUnwashed,
    /// Unwashed share of the rear two thirds of the side.
    RearUnwashed,
    /// Mean pressure on the side, Pa.
    SidePressure,
    /// Highest pressure on the side, Pa.
    SidePeak,
    /// Wipes on the side.
    SideWipes,
    /// Rubbing work on the side, J/m².
    SideWork,
    /// Highest pressure on the half of the nose, Pa.
    NosePeak,
    /// Highest pressure on the half of the tail, Pa.
    TailPeak,
    /// Highest force on a mirror, N.
    Mirror,
    /// From the tail passing the brush to the brush pressing on it, s; 4 s where it never does.
    Chase,
    /// From settled to the next nose, s; −10 s where it does not settle.
    Recovery,
    /// Highest compression of the bumper after the tail, m.
    Compression,
    /// Speed of the brush when its arm meets the bumper after the tail, m/s.
    StopSpeed,
    /// Highest force of the bumper after the tail, without what damps it, N.
    StopForce,
    /// Spin of the brush, rad/s.
    Spin,
    /// Longest time that the brush, having met the nose, is off the front third of the vehicle, s.
    OffFront,
    /// Radius of the spinning media, m.
    Radius,
    /// Strips of the brush.
    Strips,
    /// Mass that swings with the arm, its brush included, kg.
    MovedMass,
    /// Speed of the conveyor, m/s.
    LineSpeed,
    /// From bumper to bumper of two vehicles that follow each other, m.
    Room,
    /// How far the arm swings back out from where it comes to stand, rad.
    Rebound,
    /// From the tail passing the brush until the arm is within 6° of where it comes to stand, s.
    SwingIn,
    /// Where the arm comes to stand, rad.
    Stands,
    /// Where the arm is when the next nose comes, rad.
    AtNext,
    /// Farthest the arm swings out while the brush is on the vehicle, rad.
    Widest,
    /// Times the arm turns round while the brush is on the vehicle.
    Reversals,
    /// Highest power of the spindle, W.
    SpindlePeak,
    /// Mean power of the spindle, W.
    SpindleMean,
    /// Strip length left over the hub at the deepest press, m.
    HubClearance,
    /// Whether the arm meets its outer stop, 0 or 1.
    OuterStop,
    /// Highest pressure of an end of the cylinder over its regulator, Pa; of an end that should have none, over that.
    AirOver,
    /// Deepest that the two brushes reach into each other, m.
    BrushesMeet,
    /// Strip at the middle of the tail that nobody touches, m: the overlap, negative.
    TailMiddle,
    /// Strip at the middle of the nose that nobody touches, m.
    NoseMiddle,
}

/// What was seen of one pass: a number for each side, of what is of both the same twice; none where a unit is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    sides: [Option<[f64; COUNT]>; 2],
    /// The side whose brush was jammed, when the pass could not be computed for that.
    pub jammed: Option<Side>,
}

/// Within this of where the arm comes to stand it is in, rad.
const IN_RAD: f64 = 0.105;
/// A brush that never comes back on the tail counts as this late, s.
const NEVER_S: f64 = 4.0;
/// An arm that does not settle counts as this much too late, s.
const NOT_SETTLED_S: f64 = -10.0;
/// Slower than this an arm that turns round is not seen to, rad/s.
const SEEN_RAD_S: f64 = 0.06;

impl Measured {
    /// The machine jammed.
    pub fn jammed(side: Side) -> Measured {
        Measured { sides: [None, None], jammed: Some(side) }
    }

    /// What both sides show at once where each alone shows this: brushes that never touch do nothing to each other, and their reach over the middle adds up. `None` where
    /// they touch, or where the machine jams.
    pub(super) fn beside(left: &Measured, right: &Measured, healthy: &Measured) -> Option<Measured> {
        let [Some(mut l), Some(mut r)] = [left.sides[0], right.sides[1]] else { return None };
        let touch = |m: &Measured| m.value(Observable::BrushesMeet, Side::Left).is_none_or(|deep| deep > 0.0);
        if [left, right, healthy].into_iter().any(touch) {
            return None;
        }
        for of in [Observable::TailMiddle, Observable::NoseMiddle] {
            let [a, b, sound] = [left, right, healthy].map(|m| m.value(of, Side::Left));
            let both = a.zip(b).zip(sound).map_or(f64::NAN, |((a, b), sound)| a + b - sound);
            l[of as usize] = both;
            r[of as usize] = both;
        }
        Some(Measured { sides: [Some(l), Some(r)], jammed: None })
    }

    /// One number of a side; `None` where it does not exist.
    pub fn value(&self, of: Observable, side: Side) -> Option<f64> {
        self.sides[side.index()].as_ref().map(|all| all[of as usize]).filter(|v| v.is_finite())
    }

    /// Everything that is seen of a pass. `should` are the regulators as they should be set, cap and rod, Pa gauge, for each unit.
    pub fn of(solved: &Solved, should: &[[f64; 2]]) -> Measured {
        let mut sides = [None, None];
        let meet = brushes_meet_m(solved);
        for (i, unit) in solved.setup.units.iter().enumerate() {
            sides[unit.side.index()] = Some(of_unit(solved, i, should.get(i).copied(), meet));
        }
        Measured { sides, jammed: None }
    }
}

fn of_unit(solved: &Solved, i: usize, should: Option<[f64; 2]>, meet_m: f64) -> [f64; COUNT] {
    let (setup, outcome, run) = (&solved.setup, &solved.outcome, &solved.record.units[i]);
    let unit = &setup.units[i];
    let mut all = [f64::NAN; COUNT];
    let mut set = |of: Observable, value: Option<f64>| all[of as usize] = value.unwrap_or(f64::NAN);
    surfaces(solved, unit.side, &mut set);
    let zone = if unit.side == Side::Left { Zone::LeftSide } else { Zone::RightSide };
    if let Some(side) = outcome.zones.iter().find(|z| z.zone == zone) {
        set(Observable::SidePressure, side.mean_pressure_pa.or(Some(0.0)));
        set(Observable::SidePeak, side.peak_pressure_pa.or(Some(0.0)));
        set(Observable::SideWipes, side.wipes);
        set(Observable::SideWork, side.rubbing_work_j_m2);
    }
    let mirror = outcome
        .feature_loads
        .iter()
        .filter(|load| load.side == unit.side && load.kind == FeatureKind::Mirror)
        .map(|load| load.peak_force_n)
        .reduce(f64::max);
    set(Observable::Mirror, mirror);
    set(Observable::Spin, Some(unit.brush.spin_rad_s));
    set(Observable::Radius, Some(unit.brush.radius_m));
    set(Observable::Strips, Some(f64::from(unit.brush.strips)));
    set(Observable::MovedMass, Some(unit.body.mass_kg));
    set(Observable::LineSpeed, Some(setup.conveyor_speed_m_s));
    set(Observable::Room, Some(setup.gap_m));
    set(Observable::BrushesMeet, Some(meet_m));
    set(Observable::TailMiddle, outcome.overlap.tail_m.map(|m| -m));
    set(Observable::NoseMiddle, outcome.overlap.nose_m.map(|m| -m));
    if let Some(timing) = outcome.units.iter().find(|t| t.side == unit.side) {
        set(Observable::Chase, Some(timing.chase_delay_s.unwrap_or(NEVER_S).min(NEVER_S)));
        set(Observable::Recovery, Some(timing.recovery_margin_s.unwrap_or(NOT_SETTLED_S).max(NOT_SETTLED_S)));
        set(Observable::Compression, Some(timing.stop_peak_compression_m.unwrap_or(0.0)));
        set(
            Observable::StopForce,
            Some(unit.inboard_stop.elastic_n(timing.stop_peak_compression_m.unwrap_or(0.0))),
        );
        set(Observable::SpindlePeak, Some(timing.spindle_peak_power_w));
        set(Observable::OffFront, Some(timing.off_front_s));
        set(Observable::HubClearance, Some(timing.hub_clearance_m));
        set(Observable::OuterStop, Some(f64::from(u8::from(timing.outboard_stop_met))));
        let watched = run.end_s() - run.start_s();
        set(Observable::SpindleMean, (watched > 0.0).then(|| run.audit.spindle_j / watched));
        moves(unit, run, timing, &mut set);
    }
    set(Observable::AirOver, should.and_then(|should| air_over_pa(unit, run, should)));
    all
}

/// Shares of the surfaces on this side that are not washed, and the highest pressures.
fn surfaces(solved: &Solved, side: Side, set: &mut impl FnMut(Observable, Option<f64>)) {
    let vehicle = &solved.setup.train[solved.setup.measured].shape.real;
    let third_m = -vehicle.length_m / 3.0;
    let own = if side == Side::Left { Zone::LeftSide } else { Zone::RightSide };
    // Judged and unwashed area of tail, nose, front and rear of the side; highest pressure on nose and tail.
    let mut area = [[0.0_f64; 2]; 4];
    let mut peak = [0.0_f64; 2];
    for band in &solved.outcome.coverage.bands {
        for (index, station) in band.stations.iter().enumerate() {
            let on_side = station.point_m.y * side.y_sign() > 0.0;
            let place = match station.zone {
                Zone::Tail if on_side => 0,
                Zone::Nose if on_side => 1,
                zone if zone == own => 2 + usize::from(station.point_m.x < third_m),
                _ => continue,
            };
            if place < 2 {
                peak[place] = peak[place].max(station.cells[side.index()].peak_pa);
            }
            if station.judged {
                let washed_m = band.washed_m(index).min(station.length_m);
                area[place][0] += station.length_m * band.height_m();
                area[place][1] += (station.length_m - washed_m) * band.height_m();
            }
        }
    }
    let share = |[all, unwashed]: [f64; 2]| (all > 0.0).then(|| unwashed / all);
    set(Observable::TailUnwashed, share(area[0]));
    set(Observable::NoseUnwashed, share(area[1]));
    set(Observable::FrontUnwashed, share(area[2]));
    set(Observable::RearUnwashed, share(area[3]));
    set(Observable::TailPeak, Some(peak[0]));
    set(Observable::NosePeak, Some(peak[1]));
}

/// Steps of the run up to the next vehicle, then as if that were late.
fn whole_run(run: &UnitRecord) -> impl Iterator<Item = &DenseStep> {
    let until = run.left_alone.first().map_or(f64::INFINITY, |s| s.start_s);
    run.steps.iter().filter(move |s| s.start_s < until - 1e-9).chain(&run.left_alone)
}

fn moves(
    unit: &UnitModel,
    run: &UnitRecord,
    timing: &UnitTiming,
    set: &mut impl FnMut(Observable, Option<f64>),
) {
    let stands = run.stands_phi_rad.unwrap_or(run.rest_phi_rad);
    set(Observable::Stands, Some(stands));
    set(Observable::AtNext, Some(run.state_at(run.end_s().min(run.next_touch_s)).phi_rad()));
    let touch = timing.time_of(EventName::FirstTouch).unwrap_or(f64::NEG_INFINITY);
    let tail = timing.time_of(EventName::TailPasses).unwrap_or(f64::INFINITY);
    let (mut widest, mut reversals, mut sense) = (f64::NEG_INFINITY, 0.0, 0.0);
    let (mut swing_in, mut before) = (None, StopMode::Clear);
    let (mut met, mut speed, mut rebound) = (false, 0.0_f64, 0.0_f64);
    for step in whole_run(run) {
        let end = step.start_s + step.length_s;
        for part in 0..3 {
            let t = step.start_s + f64::from(part) / 3.0 * step.length_s;
            let (phi, omega) = (step.value_at(state::PHI, t), step.value_at(state::OMEGA, t));
            if t >= touch && t <= tail {
                widest = widest.max(phi);
                if omega.abs() > SEEN_RAD_S {
                    reversals += f64::from(u8::from(sense * omega < 0.0));
                    sense = omega.signum();
                }
            }
            if t > tail {
                if swing_in.is_none() && phi - stands < IN_RAD {
                    swing_in = Some(t - tail);
                }
                if met {
                    rebound = rebound.max(phi - stands);
                }
            }
        }
        if end > tail {
            if step.modes.inboard == StopMode::Pressed && before == StopMode::Clear {
                speed = speed.max(-step.value_at(state::OMEGA, step.start_s) * unit.body.length_m);
            }
            // From the deepest point on it comes back.
            met |= step.modes.inboard == StopMode::Pressed && step.value_at(state::OMEGA, end) >= 0.0;
        }
        before = step.modes.inboard;
    }
    set(Observable::Widest, Some(widest));
    set(Observable::Reversals, Some(reversals));
    set(Observable::SwingIn, Some(swing_in.unwrap_or(2.0 * NEVER_S).min(2.0 * NEVER_S)));
    set(Observable::StopSpeed, Some(speed));
    set(Observable::Rebound, Some(rebound));
}

fn air_over_pa(unit: &UnitModel, run: &UnitRecord, should: [f64; 2]) -> Option<f64> {
    let cap_pa = unit.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa.max(should[0]);
    let over = |step: &DenseStep| {
        let gauge = |of| step.value_at(of, step.start_s + step.length_s) - unit.atmosphere_pa;
        (gauge(state::P_CAP) - cap_pa).max(gauge(state::P_ROD) - should[1])
    };
    run.steps.iter().map(over).reduce(f64::max)
}

/// How deep the brushes reach into each other at their nearest, m; 0 for one alone.
fn brushes_meet_m(solved: &Solved) -> f64 {
    let ([a, b], [run_a, run_b]) = (solved.setup.units.as_slice(), solved.record.units.as_slice()) else {
        return 0.0;
    };
    let end = run_a.end_s().min(run_b.end_s());
    let mut deepest = 0.0_f64;
    for step in &run_a.steps {
        let t = step.start_s + step.length_s;
        if t > end {
            break;
        }
        let p = a.brush_center_m(step.value_at(state::PHI, t));
        let q = b.brush_center_m(run_b.state_at(t).phi_rad());
        let apart = (p.x - q.x).hypot(p.y + q.y);
        deepest = deepest.max(a.brush.radius_m + b.brush.radius_m - apart);
    }
    deepest
}
