//! Trade quantities and SI.
//!
//! A [`Quantity`] is a number in SI that keeps the text it was written as. People write `7/8 in`, `3'6-1/2"`,
//! `5 psi`, `100 veh/h`; the core works in SI and radians; what a person wrote is what they are shown back.
//!
//! - A written number is an exact ratio, its unit's factor is an exact ratio, and the product is rounded once: the
//!   stored value is the double nearest to what was written. Angles use π to 60 decimals.
//! - A number without a unit is refused, except for plain numbers ([`Fraction`]).
//! - `lb` is a mass and `lbf` a force. Pressures are gauge unless they say `psia` or `abs`.
//! - SI symbols are read exactly as written (`mPa s` is not `MPa s`); US trade symbols in any case.
//!
//! ```
//! use brusharm::units::{Length, Pressure, UnitSystem, format, Dimension, LengthDim};
//!
//! let shim: Length = Length::parse("1/8 in").unwrap();
//! assert_eq!(shim.si(), 0.003175);
//! assert_eq!(shim.written(), "1/8 in");
//! assert_eq!(shim.set_like(shim.si() + 0.0254 / 16.0).unwrap().written(), "3/16 in");
//! assert_eq!(format(LengthDim::INFO, 2.3, UnitSystem::Us), "7 ft 6.6 in");
//! let air = Pressure::parse("7 psi").unwrap();
//! assert!((air.absolute_pa(101_325.0) - 149_588.3).abs() < 0.01);
//! assert!(Length::parse("5").unwrap_err().to_string().starts_with("a length needs its unit"));
//! ```

mod column;
pub mod contact;
pub mod job;
mod parse;
mod print;
mod quantity;
mod ratio;
mod table;
mod unit_error;

pub use column::{column_name, column_parts};
pub use parse::{Reading, read, write_like};
pub use print::{
    UnitSystem, converted, counted, format, format_in, minus_signs, number, number_in, rounded, unit_label,
    value_in,
};
pub use quantity::{Quantity, Written, WrittenIn};
pub use ratio::Ratio;
pub use table::*;
pub use unit_error::{NumberFault, UnitError, Wanted};

/// The standard atmosphere in pascals: what a gauge reads against when nobody says otherwise.
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// A kind of quantity, as a marker type.
pub trait Dimension: Copy + std::fmt::Debug + Send + Sync + 'static {
    /// Everything known about the dimension: its names, units and printing.
    const INFO: &'static DimensionInfo;
}

/// Everything known about one dimension. The same data serves typed quantities and tables of settings.
#[derive(Debug)]
pub struct DimensionInfo {
    /// The quantity with its article: «a length».
    pub quantity: &'static str,
    /// The symbol of its SI unit; empty for plain numbers.
    pub si_unit: &'static str,
    /// The units allowed, as a list for people.
    pub allowed: &'static str,
    /// One good example.
    pub example: &'static str,
    /// Its units; the first is the SI unit.
    pub units: &'static [Unit],
    /// Pairs of units that may be written together, larger first: feet and inches.
    pub pairs: &'static [(&'static str, &'static str)],
    /// Symbols often written here that mean something else, and what to write instead.
    pub hints: &'static [(&'static [&'static str], &'static str)],
    /// How it is printed in US units.
    pub us: Show,
    /// How it is printed in SI units.
    pub si: Show,
    /// Whether a number without a unit is allowed.
    pub bare_number: bool,
}

impl DimensionInfo {
    /// The name without its article: «length».
    pub fn name(&self) -> &'static str {
        self.quantity.split_once(' ').map_or(self.quantity, |(_, name)| name)
    }

    /// The unit with this symbol or name, if the dimension has it.
    pub fn unit(&self, symbol: &str) -> Option<&'static Unit> {
        let symbol = parse::normal_unit(symbol);
        self.units.iter().find(|unit| unit.is_called(&symbol))
    }

    /// What errors say was wanted.
    pub fn wanted(&self) -> Wanted {
        Wanted { quantity: self.quantity, allowed: self.allowed, example: self.example }
    }
}

/// One unit: SI value = number × `factor` × π^`pi_power` + `shift`.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    /// The symbol it is printed with.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub names: &'static [&'static str],
    /// The exact factor to SI, apart from π.
    pub factor: Ratio,
    /// The power of π in the factor: 1 for degrees.
    pub pi_power: i8,
    /// Added after the factor: the offset of °F and °C, or minus one standard atmosphere for absolute pressures.
    pub shift: Ratio,
    /// An absolute pressure.
    pub absolute: bool,
    /// Whether capitals do not matter.
    pub any_case: bool,
}

impl Unit {
    /// Whether a normalised unit text is this unit.
    fn is_called(&self, text: &str) -> bool {
        std::iter::once(&self.symbol)
            .chain(self.names)
            .any(|name| if self.any_case { name.eq_ignore_ascii_case(text) } else { *name == text })
    }

    /// The factor as a double, for display.
    fn factor_f64(&self) -> f64 {
        self.factor.to_f64() * std::f64::consts::PI.powi(i32::from(self.pi_power))
    }
}

/// How a dimension is printed in one unit system.
#[derive(Debug)]
pub struct Show {
    /// The unit of a table column.
    pub unit: &'static str,
    /// Decimals in a table column.
    pub decimals: usize,
    /// Units by size for running text, smallest first.
    pub rungs: &'static [Rung],
}

/// A unit for values from some size up.
#[derive(Debug, Clone, Copy)]
pub struct Rung {
    /// Used from this absolute value (SI) upwards.
    pub from: f64,
    /// The unit printed.
    pub unit: &'static str,
    /// Decimals printed.
    pub decimals: usize,
    /// Whether zeros at the end of the decimals are dropped.
    pub trim: bool,
    /// Whether the value is written as feet and inches (`unit` is then the inch).
    pub feet_inches: bool,
}

/// A distance.
pub type Length = Quantity<LengthDim>;
/// A plane angle.
pub type Angle = Quantity<AngleDim>;
/// A mass.
pub type Mass = Quantity<MassDim>;
/// A force.
pub type Force = Quantity<ForceDim>;
/// A torque.
pub type Torque = Quantity<TorqueDim>;
/// A pressure, gauge unless written as absolute.
pub type Pressure = Quantity<PressureDim>;
/// A speed.
pub type Speed = Quantity<SpeedDim>;
/// An acceleration.
pub type Acceleration = Quantity<AccelerationDim>;
/// A count per time.
pub type Rate = Quantity<RateDim>;
/// A volume flow.
pub type Flow = Quantity<FlowDim>;
/// A volume.
pub type Volume = Quantity<VolumeDim>;
/// A temperature.
pub type Temperature = Quantity<TemperatureDim>;
/// A power.
pub type Power = Quantity<PowerDim>;
/// A voltage in volts.
pub type Voltage = Quantity<VoltageDim>;
/// An electric current in amperes.
pub type Current = Quantity<CurrentDim>;
/// A signed speed of turning.
pub type Spin = Quantity<SpinDim>;
/// Vehicles per time.
pub type Throughput = Quantity<ThroughputDim>;
/// A moment of inertia.
pub type Inertia = Quantity<InertiaDim>;
/// A time.
pub type Time = Quantity<TimeDim>;
/// A stiffness.
pub type Stiffness = Quantity<StiffnessDim>;
/// A cubic stiffness.
pub type CubicStiffness = Quantity<CubicStiffnessDim>;
/// A damping.
pub type Damping = Quantity<DampingDim>;
/// A quadratic damping.
pub type QuadraticDamping = Quantity<QuadraticDampingDim>;
/// An angular stiffness.
pub type AngularStiffness = Quantity<AngularStiffnessDim>;
/// An angular damping.
pub type AngularDamping = Quantity<AngularDampingDim>;
/// A sonic conductance.
pub type Conductance = Quantity<ConductanceDim>;
/// A dynamic viscosity.
pub type Viscosity = Quantity<ViscosityDim>;
/// A density.
pub type Density = Quantity<DensityDim>;
/// An area.
pub type Area = Quantity<AreaDim>;
/// An energy or work.
pub type Energy = Quantity<EnergyDim>;
/// Work per area.
pub type WorkPerArea = Quantity<WorkPerAreaDim>;
/// An impulse.
pub type Impulse = Quantity<ImpulseDim>;
/// A plain number or percentage.
pub type Fraction = Quantity<FractionDim>;
