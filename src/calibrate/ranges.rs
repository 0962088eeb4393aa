//! What a reading may be, as written: wide, to catch slips. What is a parameter of a scenario too has the range of its row there.

use crate::scenario::limits::Limits;
use crate::scenario::{
    CONVEYOR_SPEED, LATERAL_OFFSET, OFF_PLUMB, PRESS_DEPTH, PRESS_FORCE, PRESS_HEIGHT, REGULATOR, SCREW_GAP,
    STOP_DISTANCE, WEIGHT, YAW,
};
use crate::units::*;

macro_rules! ranges {
    ($($(#[$doc:meta])* $name:ident: $dim:ty = $ends:expr;)*) => {
        $($(#[$doc])* pub(super) static $name: Limits = Limits::new(Some(<$dim>::INFO), $ends);)*

        #[cfg(test)]
        static ALL: &[(&str, &Limits)] = &[$((stringify!($name), &$name)),*];
    };
}

ranges! {
    /// Brush centre from the lane centreline.
    PLACE: LengthDim = STOP_DISTANCE;
    /// A pull at the spindle.
    PULL: ForceDim = ("-500 lbf", "500 lbf");
    /// How fast somebody walks with an arm.
    WALK: SpeedDim = ("0.1 ft/s", "10 ft/s");
    /// Time of a swing.
    SWING_TIME: TimeDim = ("0 s", "120 s");
    /// Frames a second of a film.
    FRAME_RATE: FractionDim = ("1", "2000");
    /// How deep a board is pressed into a brush.
    DEPTH: LengthDim = PRESS_DEPTH;
    /// Push of the brush on it.
    PUSH: ForceDim = PRESS_FORCE;
    /// Height of media on it.
    HEIGHT: LengthDim = PRESS_HEIGHT;
    /// Electrical power of a spindle motor.
    MOTOR_POWER: PowerDim = ("10 W", "50 hp");
    /// Power factor and efficiency of a motor.
    MOTOR_SHARE: FractionDim = ("10 %", "100 %");
    /// Voltage of a motor between phases.
    MOTOR_VOLTS: VoltageDim = ("10 V", "1000 V");
    /// Gap at a bearing's adjusting screw.
    GAP: LengthDim = SCREW_GAP;
    /// One gap less the other.
    GAPS: LengthDim = OFF_PLUMB;
    /// A level.
    LEVEL: AngleDim = ("-10 deg", "10 deg");
    /// Mass of the counterweight.
    MASS: MassDim = WEIGHT;
    /// Regulator pressure.
    PRESSURE: PressureDim = REGULATOR;
    /// Weight on a piece of media, and the pull that drags it.
    DRAG: ForceDim = ("0.1 lbf", "2000 lbf");
    /// Diameter of a brush.
    DIAMETER: LengthDim = ("4 in", "16 ft");
    /// Speed of the conveyor.
    LINE_SPEED: SpeedDim = CONVEYOR_SPEED;
    /// How far a vehicle sits off the centreline.
    OFFSET: LengthDim = LATERAL_OFFSET;
    /// How far a vehicle is turned on the track.
    TURN: AngleDim = YAW;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_range_reads_and_is_in_order() {
        assert!(ALL.len() > 15);
        for (name, limits) in ALL {
            let (low, high) = limits.si();
            assert!(low.is_finite() && high.is_finite() && low < high, "{name}: {}", limits.text());
            assert!(limits.holds(0.5 * (low + high)) && !limits.holds(high + 0.01 * (high - low)), "{name}");
        }
    }
}
