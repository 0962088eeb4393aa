//! What every written value may be: the closed range of each field, in the units of the trade.
//!
//! One table for files and for the settings of [`super::setting`], so a file cannot hold a value that a setting refuses. The ranges are
//! wide: they catch slips (feet for inches, a missing decimal point), not bad set-ups. Bad set-ups are what the simulation is for.

use crate::coverage::MeasureName;
use crate::coverage::table::Given;
use crate::units::*;
use std::sync::{LazyLock, OnceLock};

/// A closed range of a quantity, as written.
#[derive(Debug)]
pub struct Limits {
    /// The dimension.
    pub info: &'static DimensionInfo,
    /// Lowest value allowed, as written.
    pub low: &'static str,
    /// Highest value allowed, as written.
    pub high: &'static str,
    si: OnceLock<(f64, f64)>,
}

impl Limits {
    const fn of<D: Dimension>(low: &'static str, high: &'static str) -> Limits {
        Limits { info: D::INFO, low, high, si: OnceLock::new() }
    }

    /// Both ends in SI (a pressure: gauge).
    pub fn si(&self) -> (f64, f64) {
        *self.si.get_or_init(|| {
            let end = |text, unread: f64| read(self.info, text).map_or(unread, |reading| reading.si);
            (end(self.low, f64::NEG_INFINITY), end(self.high, f64::INFINITY))
        })
    }

    /// Whether a SI value lies inside, to the last few digits.
    pub fn holds(&self, si: f64) -> bool {
        let (low, high) = self.si();
        let slack = 1e-12 * low.abs().max(high.abs());
        si >= low - slack && si <= high + slack
    }

    /// «1 ft to 16 ft».
    pub fn text(&self) -> String {
        format!("{} to {}", self.low, self.high)
    }
}

/// What the limit of a measure may be, as its row says; anything where no scenario limits it.
pub fn of_measure(name: MeasureName) -> &'static Limits {
    static TABLE: LazyLock<Vec<Limits>> = LazyLock::new(|| {
        let limits = |name: MeasureName| {
            let row = name.row();
            let (low, high) = match row.limited.map(|limited| limited.given) {
                Some(Given::Scenario(low, high)) => (low, high),
                _ => ("", ""),
            };
            Limits { info: row.info, low, high, si: OnceLock::new() }
        };
        MeasureName::ALL.into_iter().map(limits).collect()
    });
    &TABLE[name as usize]
}

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident: $dim:ty = $low:literal, $high:literal;)*) => {
        $($(#[$doc])* pub static $name: Limits = Limits::of::<$dim>($low, $high);)*

        #[cfg(test)]
        static ALL: &[(&str, &Limits)] = &[$((stringify!($name), &$name)),*];
    };
}

limits! {
    /// Throughput of the line.
    THROUGHPUT: ThroughputDim = "1 veh/h", "400 veh/h";
    /// Speed of the conveyor.
    CONVEYOR_SPEED: SpeedDim = "1 ft/min", "200 ft/min";
    /// Bumper-to-bumper gap.
    GAP: LengthDim = "3 in", "100 ft";
    /// Clear width of the lane.
    LANE_WIDTH: LengthDim = "6 ft", "20 ft";
    /// Air temperature.
    AIR_TEMPERATURE: TemperatureDim = "-40 °F", "140 °F";
    /// Atmospheric pressure.
    ATMOSPHERE: PressureDim = "8 psia", "16 psia";
    /// How far a vehicle sits off the centreline.
    LATERAL_OFFSET: LengthDim = "-4 ft", "4 ft";
    /// How far a vehicle is turned on the track.
    YAW: AngleDim = "-20 deg", "20 deg";

    /// Pivot to lane centreline.
    PIVOT_FROM_CENTER: LengthDim = "2 ft", "15 ft";
    /// Height of the middle between the bearings.
    PIVOT_HEIGHT: LengthDim = "0 in", "12 ft";
    /// Vertical spacing of the bearings.
    BEARING_SPAN: LengthDim = "2 in", "8 ft";
    /// Friction torque of the pivot.
    FRICTION_TORQUE: TorqueDim = "0 lbf ft", "200 lbf ft";
    /// Viscous friction of the pivot.
    VISCOUS_FRICTION: AngularDampingDim = "0 N m s/rad", "2000 N m s/rad";
    /// Pivot to spindle.
    ARM_LENGTH: LengthDim = "1 ft", "16 ft";
    /// Mass of a part.
    PART_MASS: MassDim = "0.01 lb", "1000 lb";
    /// Place of a part along the arm.
    PART_RADIUS: LengthDim = "-10 ft", "16 ft";
    /// Inertia of a part about its own centre of gravity.
    PART_INERTIA: InertiaDim = "0 kg m2", "5000 kg m2";

    /// Outer radius of the spinning brush.
    BRUSH_RADIUS: LengthDim = "4 in", "5 ft";
    /// Radius of the hub.
    HUB_RADIUS: LengthDim = "1/2 in", "3 ft";
    /// Heights of the media.
    MEDIA_HEIGHT: LengthDim = "0 in", "16 ft";
    /// Exponent of the push-back law.
    EXPONENT: FractionDim = "0", "3";
    /// Drag coefficient of the strips.
    AIR_DRAG: FractionDim = "0", "2";
    /// Spin at which the strips are twice as stiff.
    STIFFENING_SPIN: SpinDim = "1 rpm", "10000 rpm";

    /// A coordinate of an anchor.
    ANCHOR: LengthDim = "-16 ft", "16 ft";
    /// Rise of the counterweight for each inch of cable.
    TRAVEL_RATIO: FractionDim = "0.1", "4";
    /// Gas preload.
    GAS_PRELOAD: ForceDim = "0 lbf", "2000 lbf";
    /// Gas rate.
    GAS_RATE: StiffnessDim = "0 lbf/in", "2000 lbf/in";
    /// Length of a strut.
    STRUT_LENGTH: LengthDim = "1 in", "16 ft";
    /// Bore of a cylinder.
    BORE: LengthDim = "1/4 in", "12 in";
    /// Diameter of its rod.
    ROD_DIAMETER: LengthDim = "1/16 in", "8 in";
    /// Stroke.
    STROKE: LengthDim = "1/2 in", "8 ft";
    /// Dead volume of a chamber with its hose.
    DEAD_VOLUME: VolumeDim = "0.01 in3", "1000 in3";
    /// Sonic conductance.
    CONDUCTANCE: ConductanceDim = "0.001 dm3/(s bar)", "100 dm3/(s bar)";
    /// Critical pressure ratio.
    CRITICAL_RATIO: FractionDim = "0", "0.99";
    /// Friction of the cylinder's seals.
    SEAL_FRICTION: ForceDim = "0 lbf", "200 lbf";
    /// Polytropic index.
    POLYTROPIC_INDEX: FractionDim = "1", "1.4";
    /// Pull-in time of a valve.
    PULL_IN: TimeDim = "0 s", "5 s";

    /// Radius of a stop from the pivot.
    STOP_RADIUS: LengthDim = "1 in", "16 ft";
    /// k₁ of a bumper.
    BUMPER_LINEAR: StiffnessDim = "1 lbf/in", "100000 lbf/in";
    /// k₃ of a bumper.
    BUMPER_CUBIC: CubicStiffnessDim = "0 lbf/in3", "1000000 lbf/in3";
    /// Damping of a bumper.
    BUMPER_DAMPING: DampingDim = "0 lbf s/in", "10000 lbf s/in";
    /// Compression at which a bumper is full.
    FULL_COMPRESSION: LengthDim = "1/16 in", "12 in";
    /// Stiffness past full compression.
    BUMPER_RIGID: StiffnessDim = "100 lbf/in", "1000000 lbf/in";
    /// Swing angle of a stop.
    STOP_ANGLE: AngleDim = "-30 deg", "170 deg";
    /// Brush centre from the lane centreline at a stop.
    STOP_DISTANCE: LengthDim = "-15 ft", "15 ft";

    /// Place of a unit along the lane.
    POSITION: LengthDim = "-100 ft", "100 ft";
    /// Offset of a bearing from plumb.
    BEARING_OFFSET: LengthDim = "-2 in", "2 in";
    /// Gap at a bearing's adjusting screw.
    BEARING_GAP: LengthDim = "0 in", "24 in";
    /// Regulator pressure.
    REGULATOR: PressureDim = "0 psi", "60 psi";
    /// Where a valve step happens, from the pivot.
    VALVE_AT: LengthDim = "-100 ft", "100 ft";
    /// Delay of a valve step.
    VALVE_DELAY: TimeDim = "0 s", "60 s";
    /// Mass of the counterweight.
    COUNTERWEIGHT_MASS: MassDim = "0.1 lb", "500 lb";
    /// Damping of one stroke.
    STROKE_DAMPING: DampingDim = "0 lbf s/in", "200 lbf s/in";
    /// Quadratic damping of one stroke.
    STROKE_QUADRATIC: QuadraticDampingDim = "0 N s2/m2", "100000 N s2/m2";
    /// Spin.
    SPIN: SpinDim = "0 rpm", "300 rpm";
    /// Friction coefficient of media on paint.
    FRICTION: FractionDim = "0", "2";
    /// Mass of all strips.
    MEDIA_MASS: MassDim = "1 lb", "500 lb";
    /// How much shorter strips are than new.
    WORN: LengthDim = "0 in", "2 ft";
    /// Depth of the push-back test.
    PUSH_BACK_DEPTH: LengthDim = "1/4 in", "4 ft";
    /// Force of the push-back test.
    PUSH_BACK_FORCE: ForceDim = "0.1 lbf", "500 lbf";
    /// Height of media pressed in the push-back test.
    PUSH_BACK_HEIGHT: LengthDim = "1 in", "16 ft";

    /// Breakaway of the pivot over its friction.
    BREAKAWAY_RATIO: FractionDim = "1", "4";
    /// Masses of the arm over what is described.
    ARM_MASS: FractionDim = "20 %", "500 %";
    /// Push of the media over what their law says.
    PUSH: FractionDim = "5 %", "2000 %";
    /// Brush at the stop farther out than its hole says.
    SEAT_SHIFT: LengthDim = "-6 in", "6 in";

    /// A pull at the spindle.
    PULL_FORCE: ForceDim = "-500 lbf", "500 lbf";
    /// How fast somebody walks with an arm.
    WALK: SpeedDim = "0.1 ft/s", "10 ft/s";
    /// Electrical power of a spindle motor.
    MOTOR_POWER: PowerDim = "10 W", "50 hp";
    /// Power factor and efficiency of a motor.
    MOTOR_SHARE: FractionDim = "10 %", "100 %";
    /// Voltage of a motor between phases.
    MOTOR_VOLTS: VoltageDim = "10 V", "1000 V";
    /// Time of a swing.
    SWING_TIME: TimeDim = "0 s", "120 s";
    /// Frames a second of a film.
    FRAME_RATE: FractionDim = "1", "2000";
    /// A level.
    LEVEL: AngleDim = "-10 deg", "10 deg";
    /// Diameter of a brush.
    BRUSH_DIAMETER: LengthDim = "4 in", "16 ft";

    /// Water supply of the foam station.
    FOAM_SUPPLY: PressureDim = "0 psi", "290 psi";
    /// Liquid or air regulator of the foam maker.
    FOAM_REGULATOR: PressureDim = "0 psi", "159 psi";
    /// Needle valve of the foam maker, steps.
    FOAM_NEEDLE: FractionDim = "0", "200";
    /// Injector above the concentrate.
    FOAM_LIFT: LengthDim = "-5 m", "10 m";
    /// Share of something that is blocked.
    FOAM_BLOCKAGE: FractionDim = "0 %", "99.9 %";
    /// Viscosity of the concentrate over that described.
    FOAM_THICKENING: FractionDim = "0.1", "100";

    /// A share.
    SHARE: FractionDim = "0 %", "100 %";
    /// Force on a feature.
    FEATURE_FORCE: ForceDim = "0.1 lbf", "2000 lbf";
    /// Wipes that make a point washed.
    WIPES: FractionDim = "0.01", "1000000";
    /// Rubbing work that makes a point washed.
    WORK: WorkPerAreaDim = "0 J/m2", "1000000 J/m2";
    /// How far behind the widest outline a surface is judged.
    JUDGED_DEPTH: LengthDim = "0.1 in", "10 ft";
    /// Length of a station.
    STATION: LengthDim = "1 mm", "1 ft";
    /// Farthest the brush moves while it is looked at twice.
    LOOK: LengthDim = "1 mm", "1 ft";
    /// Error allowed per step.
    TOLERANCE: FractionDim = "1e-12", "0.01";
    /// Longest step.
    LONGEST_STEP: TimeDim = "1 ms", "10 s";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_range_reads_and_is_in_order() {
        assert!(ALL.len() > 70);
        for (name, limits) in ALL {
            let ends = [limits.low, limits.high].map(|text| read(limits.info, text));
            assert!(ends.iter().all(Result::is_ok), "{name}: {}", limits.text());
            let (low, high) = limits.si();
            assert!(low < high && low.is_finite() && high.is_finite(), "{name}: {}", limits.text());
            assert!(limits.holds(low) && limits.holds(high) && limits.holds(0.5 * (low + high)));
            assert!(!limits.holds(high + 0.01 * (high - low)) && !limits.holds(low - 0.01 * (high - low)));
            assert!(!limits.holds(f64::NAN));
        }
    }
}
