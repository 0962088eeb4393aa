//! Numbers of the sheet: the chosen unit system first, the other one beside it.

use crate::coverage::{MeasureName, VerdictLine};
use crate::units::{
    Dimension, DimensionInfo, ForceDim, LengthDim, PowerDim, SpeedDim, TimeDim, UnitSystem,
    contact::pressure_text, format_in,
};

/// The other system.
pub(super) fn other(units: UnitSystem) -> UnitSystem {
    match units {
        UnitSystem::Us => UnitSystem::Si,
        UnitSystem::Si => UnitSystem::Us,
    }
}

fn pick<T>(units: UnitSystem, us: T, si: T) -> T {
    match units {
        UnitSystem::Us => us,
        UnitSystem::Si => si,
    }
}

/// A number with its unit.
fn said(info: &'static DimensionInfo, value: f64, (unit, decimals): (&'static str, usize)) -> String {
    kept_together(&format_in(info, value, unit, decimals))
}

/// A number and its unit in one line.
pub(super) fn kept_together(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// A short length: gaps, overlaps, compressions.
pub(super) fn length(m: f64, units: UnitSystem) -> String {
    said(LengthDim::INFO, m, pick(units, ("in", 1), ("mm", 0)))
}

/// A force.
pub(super) fn force(n: f64, units: UnitSystem) -> String {
    said(ForceDim::INFO, n, pick(units, ("lbf", 1), ("N", 0)))
}

/// A contact pressure, far below what a gauge shows.
pub(super) fn contact_pressure(pa: f64, units: UnitSystem) -> String {
    kept_together(&pressure_text(pa, units))
}

/// A time.
pub(super) fn time(s: f64) -> String {
    said(TimeDim::INFO, s, ("s", 2))
}

/// A conveyor speed.
pub(super) fn speed(m_s: f64, units: UnitSystem) -> String {
    said(SpeedDim::INFO, m_s, pick(units, ("ft/min", 1), ("m/s", 3)))
}

/// A share in percent.
fn percent(share: f64) -> String {
    format!("{:.1}\u{a0}%", 100.0 * share)
}

/// A number of a criterion.
pub(super) fn criterion(name: MeasureName, value: f64, units: UnitSystem) -> String {
    match name.si_unit() {
        "m" => length(value, units),
        "Pa" => contact_pressure(value, units),
        "N" => force(value, units),
        "s" => time(value),
        "W" => said(PowerDim::INFO, value, pick(units, ("hp", 3), ("W", 0))),
        _ => percent(value),
    }
}

/// A verdict line's number; `None` when it does not exist.
pub(super) fn value(line: &VerdictLine, units: UnitSystem) -> Option<String> {
    line.value.map(|v| criterion(line.criterion, v, units))
}
