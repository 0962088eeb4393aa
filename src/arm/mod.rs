//! The machine: one file per part, each the fixed data of that part and its law.
//!
//! Everything here is written once, for the **left** unit, in the **unit frame**: x downstream (the way the conveyor
//! carries vehicles), y to the left of travel with the lane centreline at y = 0, z up. The right unit is the exact mirror
//! image (y → −y), so it uses the same code with mirrored vehicles.
//!
//! Swing angle φ (rad): 0 = the arm points straight across the lane, inboard; positive = swung downstream and outboard.
//! The brush centre is c = (x_p + L sin φ, y_p − L cos φ). A positive torque turns the arm outward (φ grows).

mod air_cylinder;
mod bearing;
mod body;
mod brush;
mod bumper_stop;
mod counterweight;
mod damper;
mod media;
mod pivot;
mod regulator;
mod stop_pin;
mod strut;
mod valve;

pub use air_cylinder::{AirCylinder, Chamber, ChamberLine, ChamberRates, QuasiSteady};
pub use bearing::{BearingOffsets, Bearings};
pub use body::{ArmBody, ArmPart};
pub use brush::{Brush, SpinSense};
pub use bumper_stop::BumperStop;
pub use counterweight::Counterweight;
pub use damper::{Damper, GasCharge, StrokeDamping};
pub use media::{
    AIR_DRAG_COEFFICIENT, Blow, Media, PushBack, RUBBING_SHARE, StripOnPost, flat_board_integral,
    lens_force_n,
};
pub use pivot::PivotFriction;
pub use regulator::Regulator;
pub use stop_pin::StopPin;
pub use strut::{Strut, StrutState};
pub use valve::{ChamberName, ValveConnection, ValveStep, VehicleEnd};

use crate::elementary::Elementary;
use crate::geometry::Vec2;

/// Standard gravity, m/s² (exact by definition; NIST SP 811, App. B.8, value from memory).
pub const STANDARD_GRAVITY_M_S2: f64 = 9.80665;

/// The side of the lane a unit stands on, seen in the direction of travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left of travel (y > 0).
    Left,
    /// Right of travel (y < 0).
    Right,
}

impl Side {
    /// Both sides, left first: the order of every per-side list.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// `"left"` or `"right"`.
    pub fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    /// +1 for left, −1 for right: the factor from unit-frame y to ground-frame y.
    pub fn y_sign(self) -> f64 {
        match self {
            Side::Left => 1.0,
            Side::Right => -1.0,
        }
    }

    /// 0 for left, 1 for right.
    pub fn index(self) -> usize {
        self as usize
    }
}

/// One brush unit: every fixed part, in SI and in the unit frame.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitModel {
    /// Which side of the lane it stands on.
    pub side: Side,
    /// Pivot in the unit frame, m; y > 0.
    pub pivot_m: Vec2,
    /// Height of the middle between the two bearings above the floor, m: where the lean shifts nothing.
    pub pivot_height_m: f64,
    /// The rigid body that swings.
    pub body: ArmBody,
    /// Friction of the pivot.
    pub pivot: PivotFriction,
    /// The two bearings and how they are set.
    pub bearings: Bearings,
    /// Counterweight on a cable, if fitted.
    pub counterweight: Option<Counterweight>,
    /// Dampers and gas springs.
    pub dampers: Vec<Damper>,
    /// Air cylinder with its lines and valves, if fitted.
    pub cylinder: Option<AirCylinder>,
    /// Bumper stop that ends the inboard swing, with the seat the stop pin gives it.
    pub inboard_stop: BumperStop,
    /// Stop that ends the outboard swing.
    pub outboard_stop: BumperStop,
    /// The brush.
    pub brush: Brush,
    /// Pressure of the surrounding air, Pa absolute.
    pub atmosphere_pa: f64,
}

impl UnitModel {
    /// Unit vector from the pivot to the brush centre, ĉ = (sin φ, −cos φ), and its derivative dĉ/dφ = (cos φ, sin φ).
    pub fn arm_direction(phi_rad: f64) -> (Vec2, Vec2) {
        let (sin, cos) = phi_rad.sine_cosine();
        (Vec2::new(sin, -cos), Vec2::new(cos, sin))
    }

    /// Brush centre at pivot height, unit frame, m.
    pub fn brush_center_m(&self, phi_rad: f64) -> Vec2 {
        self.pivot_m + Self::arm_direction(phi_rad).0 * self.body.length_m
    }

    /// How far the lean carries the brush centre sideways at height `z_m` above the floor, m (unit frame):
    /// t (z − z_pivot), t = (upper offset − lower offset) / span.
    pub fn lean_shift_m(&self, z_m: f64) -> Vec2 {
        self.bearings.lean() * (z_m - self.pivot_height_m)
    }

    /// Torque of gravity on the leaning arm, N m.
    pub fn lean_torque_n_m(&self, phi_rad: f64) -> f64 {
        self.bearings.lean_torque_n_m(self.body.mass_kg, self.body.cg_radius_m, phi_rad)
    }

    /// Spin of the brush about z in the unit frame, rad/s: positive = counterclockwise seen from above, which drives the
    /// brush outboard at the nose and inboard at the tail.
    pub fn spin_rad_s(&self) -> f64 {
        self.brush.signed_spin_rad_s()
    }
}
