//! One train of vehicles past the units: set-up in, record out.
//!
//! The fixed side ([`PassSetup`]) and the moving side ([`Record`]) are separate types, so passes share a machine and run in parallel.
//! Ground frame: x downstream, y left of travel, z up, lane centreline y = 0. t = 0 when the nose of the measured vehicle is at x = 0.

pub mod contact;
mod conveyor;
mod integrator;
pub mod motion;
mod mutual;
mod pair;
mod record;
mod run;
mod search;
pub mod series;
mod settle;
mod start;
mod stepper;
mod swing;
mod switching;
mod units;
mod vehicle_plan;

pub use conveyor::{Pose, TrainVehicle, VehiclePair, conveyor_speed_m_s};
pub use integrator::{DormandPrince, dense_value};
pub use pair::{OtherBrush, brush_to_brush, brushes_can_meet};
pub use record::{DenseStep, EnergyAudit, MotionState, Record, UnitRecord};
pub use run::{rest_angles_rad, run};
pub use series::{Clock, Series, UnitInstant, UnitSeries, instant, series};
pub use swing::{SwingStart, hand_torque_n_m, rest_angle_rad, swing};

use crate::arm::{Side, UnitModel};
use crate::units::job::JobWords;
use crate::units::{Dimension, TimeDim, UnitSystem, format_in};
use contact::ContactLaw;
use motion::{UnitDynamics, VehiclePlan};
use thiserror::Error;

/// How finely a pass is computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Numerics {
    /// Error allowed per step, as a share of 1 rad, 1 rad/s, 1 bar and so on.
    pub tolerance: f64,
    /// Longest step, s.
    pub longest_step_s: f64,
}

impl Default for Numerics {
    fn default() -> Self {
        Numerics { tolerance: 1e-6, longest_step_s: 0.25 }
    }
}

/// Everything a pass needs.
#[derive(Debug, Clone, PartialEq)]
pub struct PassSetup {
    /// The units, left before right.
    pub units: Vec<UnitModel>,
    /// The train, foremost first; at least one.
    pub train: Vec<TrainVehicle>,
    /// Index of the measured vehicle in the train.
    pub measured: usize,
    /// Bumper-to-bumper gap, m.
    pub gap_m: f64,
    /// Conveyor speed, m/s.
    pub conveyor_speed_m_s: f64,
    /// How finely it is computed.
    pub numerics: Numerics,
}

/// What keeps the arm from giving way when a brush is jammed, read from the torques on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JamCause {
    /// It stands on its outboard stop.
    OutboardStop,
    /// It swings out, but too slowly.
    TooSlow,
    /// The push of the vehicle does not turn it outward.
    Geometry,
    /// The rubbing of the media holds it.
    Rubbing,
    /// Pivot and seal friction hold it.
    PivotFriction,
    /// Something else, by the name it has in the torque budget.
    Other(&'static str),
}

impl std::fmt::Display for JamCause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            JamCause::OutboardStop => {
                "the arm stands on its outboard stop; check that stop, the reach of the arm and the width of the vehicle"
            }
            JamCause::TooSlow => {
                "the arm swings out too slowly; check its weight, its dampers and the speed of the conveyor"
            }
            JamCause::Geometry => {
                "the push of the vehicle does not turn the arm outward; check where the pivot stands and how far the arm reaches across"
            }
            JamCause::Rubbing => {
                "the rubbing of the media locks the arm against the push; check the friction of the media, the spin and its sense"
            }
            JamCause::PivotFriction => {
                "friction of pivot and seals locks the arm against the push; check the bearings and the cylinder"
            }
            JamCause::Other(name) => return write!(f, "the {name} holds the arm against the push; check it"),
        })
    }
}

/// An instant as errors say it.
fn clock(time_s: f64) -> String {
    format_in(TimeDim::INFO, time_s, "s", 2)
}

/// A place on the lane as errors say it, which do not know in which units they are read: in both.
fn place(x_m: f64) -> String {
    let [us, si] = [UnitSystem::Us, UnitSystem::Si].map(|system| JobWords::new(system).length_text(x_m));
    format!("{us}, {si}")
}

/// Why a pass could not be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PassError {
    /// Nothing to simulate.
    #[error("a pass needs at least one unit and one vehicle, and the measured vehicle must be in the train")]
    Empty,
    /// The arm has no angle at which it rests with no vehicle near.
    #[error(
        "the {} arm does not come to rest between its stops: the torques on it never change sign; check the stop seats, the counterweight and the air",
        side.name()
    )]
    NoRest {
        /// Which unit.
        side: Side,
    },
    /// A vehicle presses the brush flat to its hub and the arm cannot give way.
    #[error(
        "the vehicle jams the {} brush at {} (nose at {}): it is pressed flat to the hub, and {cause}",
        side.name(),
        clock(*time_s),
        place(*nose_x_m)
    )]
    Jammed {
        /// Which unit.
        side: Side,
        /// When, s.
        time_s: f64,
        /// Lane x of the vehicle's nose, m.
        nose_x_m: f64,
        /// What keeps the arm from giving way.
        cause: JamCause,
    },
    /// Too many steps.
    #[error("the {} arm needs more than {limit} steps (at {}): its parts are too stiff or the conveyor too slow for a pass", side.name(), clock(*time_s))]
    TooManySteps {
        /// Which unit.
        side: Side,
        /// Where it gave up, s.
        time_s: f64,
        /// The limit.
        limit: usize,
    },
    /// The motion stopped being a number.
    #[error("the motion of the {} arm is no longer finite at {}: a value of the machine is out of all proportion", side.name(), clock(*time_s))]
    NotFinite {
        /// Which unit.
        side: Side,
        /// When, s.
        time_s: f64,
    },
}

impl PassSetup {
    /// Time at which the nose of train vehicle `index` (may be one past the end: the next vehicle, like the measured one) is at lane x = 0, s.
    pub fn nose_at_zero_s(&self, index: usize) -> f64 {
        let length = |i: usize| self.train[i].shape.real.length_m;
        let mut distance = 0.0;
        if index >= self.measured {
            for i in self.measured..index {
                distance += length(i) + self.gap_m;
            }
        } else {
            for i in index..self.measured {
                distance -= length(i) + self.gap_m;
            }
        }
        distance / self.conveyor_speed_m_s
    }

    /// The vehicle that follows the measured one: the next in the train, or another like the measured one.
    pub fn next_vehicle(&self) -> &TrainVehicle {
        self.train.get(self.measured + 1).unwrap_or(&self.train[self.measured])
    }

    /// Pose of a vehicle in a unit's frame.
    pub fn pose(&self, vehicle: &TrainVehicle, nose_at_zero_s: f64, side: Side) -> Pose {
        let sign = side.y_sign();
        Pose::new(
            nose_at_zero_s,
            self.conveyor_speed_m_s,
            vehicle.shape.real.length_m,
            sign * vehicle.lateral_offset_m,
            sign * vehicle.yaw_rad,
        )
    }

    /// Plan of train vehicle `index` (or of the one that follows the train) for a unit.
    pub fn plan<'a>(&'a self, index: usize, unit: &UnitModel) -> VehiclePlan<'a> {
        let vehicle = if index <= self.measured { &self.train[index] } else { self.next_vehicle() };
        let shape = match unit.side {
            Side::Left => &vehicle.shape.real,
            Side::Right => &vehicle.shape.mirrored,
        };
        VehiclePlan::new(index, shape, self.pose(vehicle, self.nose_at_zero_s(index), unit.side), unit)
    }

    /// One unit with the train up to and including the vehicle after the measured one.
    pub fn dynamics(&self, unit: usize) -> UnitDynamics<'_> {
        let model = &self.units[unit];
        let vehicles = (0..=self.measured + 1).map(|i| self.plan(i, model)).collect();
        UnitDynamics { model, law: ContactLaw::of(&model.brush), vehicles }
    }
}
