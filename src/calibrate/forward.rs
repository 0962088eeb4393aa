//! What the engine says a reading would be: statics of the arm, its swing, whole passes.

use super::readings_file::{AirWord, ReadingFile, WayWord};
use crate::arm::{Media, Side, UnitModel, flat_board_integral};
use crate::coverage::MeasureName;
use crate::elementary::Elementary;
use crate::pass::motion::state;
use crate::pass::{Numerics, SwingStart, UnitRecord, hand_torque_n_m, rest_angle_rad, swing};
use crate::scenario::Scenario;
use crate::study::point::{PointResult, evaluate};

/// A swing is followed this much longer than the longest time read.
const LONGER: f64 = 1.6;
/// Swings are computed this finely, so that differences between near machines are theirs and not the integrator's.
const FINE: Numerics = Numerics { tolerance: 1e-8, longest_step_s: 0.1 };

/// Whether predictions follow the parameters smoothly. The gap on a tail and the chase are jagged: they jump with every bounce.
pub fn is_smooth(reading: &ReadingFile) -> bool {
    !matches!(reading, ReadingFile::Strip { .. } | ReadingFile::Chase { .. })
}

/// Swing angle with the brush centre this far from the lane centreline, rad: d = y_p − L cos φ. `None` out of reach.
pub fn angle_rad(unit: &UnitModel, brush_center_m: f64) -> Option<f64> {
    let cos = (unit.pivot_m.y - brush_center_m) / unit.body.length_m;
    (-1.0..=1.0).contains(&cos).then(|| cos.arccosine())
}

/// How a vehicle was seen on the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    vehicle: String,
    speed_m_s: f64,
    lateral_offset_m: f64,
    yaw_rad: f64,
}

impl Seat {
    /// That of a reading of a pass; `None` of any other.
    pub fn of(reading: &ReadingFile) -> Option<Seat> {
        let (ReadingFile::Strip { vehicle, conveyor_speed, lateral_offset, yaw, .. }
        | ReadingFile::Chase { vehicle, conveyor_speed, lateral_offset, yaw, .. }) = reading
        else {
            return None;
        };
        Some(Seat {
            vehicle: vehicle.clone(),
            speed_m_s: conveyor_speed.si(),
            lateral_offset_m: lateral_offset.as_ref().map_or(0.0, |o| o.si()),
            yaw_rad: yaw.as_ref().map_or(0.0, |y| y.si()),
        })
    }

    /// The scenario with the vehicle as it was seen.
    pub fn put(&self, scenario: &Scenario) -> Option<Scenario> {
        let of = scenario.for_vehicle(&self.vehicle).ok()?;
        let speed = if of.setting("line.conveyor_speed").is_ok() {
            ("line.conveyor_speed", self.speed_m_s)
        } else {
            // Throughput and conveyor speed go together.
            ("line.throughput", of.throughput_per_s() * self.speed_m_s / of.conveyor_speed_m_s())
        };
        let changes =
            [speed, ("vehicle.lateral_offset", self.lateral_offset_m), ("vehicle.yaw", self.yaw_rad)];
        of.with_si(&changes).ok()
    }
}

/// The pass of a machine with a vehicle as it was seen.
pub fn passed(seated: &Scenario) -> PointResult {
    evaluate(seated)
}

/// What a reading of a pass would be; `None` of any other, or where the pass does not tell.
pub fn of_pass(reading: &ReadingFile, side: Side, pass: &PointResult) -> Option<f64> {
    match reading {
        // A tail that is washed whole has no strip.
        ReadingFile::Strip { .. } => {
            pass.reason().is_none().then(|| pass.value(MeasureName::TailGap.whole()).unwrap_or(0.0))
        }
        ReadingFile::Chase { .. } => pass.value(MeasureName::ChaseDelay.of(side)),
        _ => None,
    }
}

/// The unit with its brush stopped, as it is when somebody pulls at the arm or lets it go.
fn stopped(unit: &UnitModel) -> UnitModel {
    let mut unit = unit.clone();
    unit.brush.spin_rad_s = 0.0;
    unit
}

/// What a reading would be on this machine, one value for each that was read, SI, before the errors of instruments. `None` where the engine has no
/// answer.
pub fn predicted(
    scenario: &Scenario,
    side: Side,
    reading: &ReadingFile,
    read_si: &[f64],
) -> Option<Vec<f64>> {
    if let Some(seat) = Seat::of(reading) {
        let value = of_pass(reading, side, &passed(&seat.put(scenario)?))?;
        return Some(vec![value; read_si.len()]);
    }
    let unit = scenario.unit_models().iter().find(|u| u.side == side)?;
    let alike = |value: f64| Some(vec![value; read_si.len()]);
    // Read to a share of itself: nothing is no such reading.
    let positive = |value: f64| alike(value).filter(|_| value > 0.0);
    match reading {
        ReadingFile::Pull { way, brush_center, air, walk, .. } => {
            let phi = angle_rad(unit, brush_center.si())?;
            let outward = matches!(way, WayWord::Out | WayWord::StartOut);
            let from_rest = matches!(way, WayWord::StartOut | WayWord::StartIn);
            // A scale that lets the arm back inboard still pulls outboard.
            let sign = if *way == WayWord::StartIn { -1.0 } else { 1.0 };
            let turns = if outward { 1.0 } else { -1.0 };
            let omega = turns * walk.as_ref().map_or(0.0, |w| w.si()) / unit.body.length_m;
            let on = *air == AirWord::On;
            let unit = &stopped(unit);
            alike(sign * hand_torque_n_m(unit, phi, omega, outward, from_rest, on) / unit.body.length_m)
        }
        ReadingFile::Swing { from, to, air, .. } => {
            let to = angle_rad(unit, to.si())?;
            let longest = read_si.iter().fold(0.5, |a: f64, b| a.max(*b));
            let record = released(unit, angle_rad(unit, from.si())?, *air, LONGER * longest)?;
            alike(arrival_s(&record, to, LONGER * longest))
        }
        ReadingFile::Film { from, air, marks, .. } => {
            let longest = read_si.iter().fold(0.5, |a: f64, b| a.max(*b));
            let record = released(unit, angle_rad(unit, from.si())?, *air, LONGER * longest)?;
            marks
                .iter()
                .map(|(place, _)| Some(arrival_s(&record, angle_rad(unit, place.si())?, LONGER * longest)))
                .collect()
        }
        ReadingFile::PushBack { depth, height, spinning, .. } => {
            alike(push_back_n(unit, depth.si(), height.si(), *spinning))
        }
        ReadingFile::Gaps { .. } => {
            let b = &unit.bearings;
            alike(b.lower.toward_wall_m - b.upper.toward_wall_m)
        }
        ReadingFile::Level { .. } => alike(unit.bearings.lean().x.arctangent()),
        ReadingFile::Weight { .. } => alike(unit.counterweight.as_ref()?.mass_kg),
        ReadingFile::Gauge { .. } => alike(unit.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa),
        ReadingFile::WetDrag { load, .. } => positive(unit.brush.friction * load.si()),
        ReadingFile::Diameter { .. } => alike(2.0 * unit.brush.radius_m),
        ReadingFile::Rest { .. } => {
            let phi = rest_angle_rad(unit).ok()?;
            alike(unit.pivot_m.y - unit.body.length_m * phi.cosine())
        }
        ReadingFile::Board { depth, height, efficiency, .. } => {
            let efficiency = efficiency.as_ref().map_or(EFFICIENCY, |e| e.si());
            positive(board_power_w(unit, depth.si(), height.si()) / efficiency)
        }
        // Readings of a pass: above.
        ReadingFile::Strip { .. } | ReadingFile::Chase { .. } => None,
    }
}

/// Force of a flat board pressed into the brush, N.
pub fn push_back_n(unit: &UnitModel, depth_m: f64, height_m: f64, spinning: bool) -> f64 {
    let brush = &unit.brush;
    let stiffness = match (spinning, brush.media) {
        (true, _) => brush.stiffness(),
        // Cloth that does not turn hangs.
        (false, Media::Limp { .. }) => 0.0,
        (false, _) => brush.rest_stiffness(),
    };
    stiffness * height_m * flat_board_integral(brush.radius_m, brush.radius_m - depth_m, brush.exponent)
}

/// Share of the electrical power that comes to the spindle where nobody says more: motor and gears.
pub const EFFICIENCY: f64 = 0.75;

/// Power that the spindle takes when the turning brush leans on a flat board, W: F (μ d + ℓ) Ω and the air (`arm/media.rs`).
pub fn board_power_w(unit: &UnitModel, depth_m: f64, height_m: f64) -> f64 {
    let brush = &unit.brush;
    let push_n = push_back_n(unit, depth_m, height_m, true);
    let moment_n_m = push_n * (brush.friction * (brush.radius_m - depth_m) + brush.lead_m());
    let spin = brush.spin_rad_s;
    moment_n_m * spin + brush.air_drag_n_m_s2 * spin * spin * spin
}

/// Friction of pivot and seals together half way between where the arm rests and its outboard stop, N m: half the difference of pulling it out and letting
/// it back there. `None` where the arm has no rest.
pub fn friction_sum_n_m(unit: &UnitModel) -> Option<f64> {
    let unit = &stopped(unit);
    let phi = 0.5 * (rest_angle_rad(unit).ok()? + unit.outboard_stop.seat_rad);
    let pull = |outward| hand_torque_n_m(unit, phi, 0.0, outward, false, false);
    Some(0.5 * (pull(true) - pull(false)))
}

fn released(unit: &UnitModel, phi_rad: f64, air: AirWord, duration_s: f64) -> Option<UnitRecord> {
    let pressures_pa = match air {
        AirWord::On => None,
        AirWord::Off => Some((unit.atmosphere_pa, unit.atmosphere_pa)),
    };
    // Bled air stays bled: both chambers stand open while the arm swings.
    let mut bled = stopped(unit);
    if let (AirWord::Off, Some(cylinder)) = (air, &mut bled.cylinder) {
        cylinder.cap.line.initial = crate::arm::ValveConnection::Exhaust;
        cylinder.rod.line.initial = crate::arm::ValveConnection::Exhaust;
    }
    swing(&bled, &SwingStart { phi_rad, omega_rad_s: 0.0, pressures_pa }, duration_s, &FINE).ok()
}

/// When the arm first passes an angle, s. An arm that does not get there counts as later than it was watched, the later the farther off it stays.
fn arrival_s(record: &UnitRecord, to_rad: f64, watched_s: f64) -> f64 {
    let Some(first) = record.steps.first() else { return watched_s };
    let off = |step: &crate::pass::DenseStep, t: f64| step.value_at(state::PHI, t) - to_rad;
    let start = off(first, first.start_s);
    let mut nearest = start.abs();
    for step in &record.steps {
        let (mut a, mut b) = (step.start_s, step.start_s + step.length_s);
        let end = off(step, b);
        nearest = nearest.min(end.abs());
        if end * start <= 0.0 {
            for _ in 0..60 {
                let middle = 0.5 * (a + b);
                if off(step, middle) * start > 0.0 { a = middle } else { b = middle }
            }
            return 0.5 * (a + b);
        }
    }
    watched_s * (1.0 + nearest / start.abs().max(1e-9))
}
