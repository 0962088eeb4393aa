//! Numbers as people say them on the job: the unit system chosen once, the decimals a person can use, one form for each quantity.

use super::contact::{pressure_decimals, pressure_unit};
use super::{
    Dimension, DimensionInfo, EnergyDim, ForceDim, ImpulseDim, LengthDim, PowerDim, PressureDim, SpeedDim,
    TimeDim, UnitSystem, WorkPerAreaDim, format, format_in, number_in,
};

/// What stands for a number that does not exist.
pub const NONE: &str = "–";

/// From here on a length is said in feet, m: a yard, but for rounding.
const YARD_M: f64 = 0.914_39;

/// Speaks SI numbers in one unit system.
#[derive(Debug, Clone, Copy)]
pub struct JobWords {
    /// The system.
    pub units: UnitSystem,
}

/// Unit and decimals of a table column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    info: &'static DimensionInfo,
    /// Unit of the column, as shown.
    pub unit: &'static str,
    decimals: usize,
}

impl Column {
    /// The number without its unit; a dash when there is none.
    pub fn number(&self, si: Option<f64>) -> String {
        si.map_or_else(|| NONE.to_owned(), |si| self.plain(si))
    }

    /// The number with its unit; a dash when there is none.
    pub fn with_unit(&self, si: Option<f64>) -> String {
        si.map_or_else(|| NONE.to_owned(), |si| self.said(si))
    }

    fn plain(&self, si: f64) -> String {
        number_in(self.info, si, &self.unit.replace('²', "2"), self.decimals)
    }

    fn said(&self, si: f64) -> String {
        format!("{} {}", self.plain(si), self.unit)
    }
}

impl JobWords {
    /// Speaks this system.
    pub const fn new(units: UnitSystem) -> JobWords {
        JobWords { units }
    }

    fn column(
        self,
        info: &'static DimensionInfo,
        us: (&'static str, usize),
        si: (&'static str, usize),
    ) -> Column {
        let (unit, decimals) = match self.units {
            UnitSystem::Us => us,
            UnitSystem::Si => si,
        };
        Column { info, unit, decimals }
    }

    /// Short lengths: gaps, overlaps, compressions.
    pub fn length(self) -> Column {
        self.column(LengthDim::INFO, ("in", 1), ("mm", 0))
    }

    /// Distances along the lane.
    pub fn distance(self) -> Column {
        self.column(LengthDim::INFO, ("ft", 2), ("m", 3))
    }

    /// Contact pressures: far below what a gauge shows.
    pub fn contact_pressure(self) -> Column {
        let of = |system| (pressure_unit(system), pressure_decimals(system));
        self.column(PressureDim::INFO, of(UnitSystem::Us), of(UnitSystem::Si))
    }

    /// Forces.
    pub fn force(self) -> Column {
        self.column(ForceDim::INFO, ("lbf", 1), ("N", 1))
    }

    /// Impulses.
    pub fn impulse(self) -> Column {
        self.column(ImpulseDim::INFO, ("lbf s", 1), ("N s", 1))
    }

    /// Times.
    pub fn time(self) -> Column {
        self.column(TimeDim::INFO, ("s", 2), ("s", 2))
    }

    /// Motor power.
    pub fn power(self) -> Column {
        self.column(PowerDim::INFO, ("hp", 3), ("W", 0))
    }

    /// Rubbing work.
    pub fn rubbing(self) -> Column {
        self.column(WorkPerAreaDim::INFO, ("ft lbf/ft²", 0), ("J/m²", 0))
    }

    /// Energy.
    pub fn energy(self) -> Column {
        self.column(EnergyDim::INFO, ("ft lbf", 1), ("J", 1))
    }

    /// Conveyor speed.
    pub fn speed(self) -> Column {
        self.column(SpeedDim::INFO, ("ft/min", 1), ("m/s", 3))
    }

    /// A length in running text: short ones to a tenth of an inch or a millimetre, long ones in feet and whole inches or metres.
    pub fn length_text(self, m: f64) -> String {
        match self.units {
            UnitSystem::Us if m.abs() < YARD_M => format_in(LengthDim::INFO, m, "in", 1),
            UnitSystem::Us => {
                let inches = (m.abs() / 0.0254).round();
                let sign = if m < 0.0 { "−" } else { "" };
                format!("{sign}{:.0} ft {:.0} in", (inches / 12.0).floor(), inches % 12.0)
            }
            UnitSystem::Si if m.abs() < 0.9995 => format_in(LengthDim::INFO, m, "mm", 0),
            UnitSystem::Si => format_in(LengthDim::INFO, m, "m", 2),
        }
    }

    /// A height range above the floor.
    pub fn heights(self, low_m: f64, high_m: f64) -> String {
        let (unit, decimals) = match self.units {
            UnitSystem::Us => ("in", 0),
            UnitSystem::Si => ("m", 2),
        };
        let low = number_in(LengthDim::INFO, low_m, unit, decimals);
        format!("{low} to {}", format_in(LengthDim::INFO, high_m, unit, decimals))
    }

    /// The column that a measure of this SI unit is shown in; none for shares, which are shown in percent.
    pub fn of_unit(self, si_unit: &str) -> Option<Column> {
        Some(match si_unit {
            "m" => self.length(),
            "Pa" => self.contact_pressure(),
            "J/m2" => self.rubbing(),
            "N" => self.force(),
            "s" => self.time(),
            "W" => self.power(),
            _ => return None,
        })
    }

    /// A value and its limit, both of this SI unit and in one form, with as many decimals as it takes to tell them apart; a dash for no value.
    pub fn value_and_limit(self, si_unit: &str, value: Option<f64>, limit: f64) -> (String, String) {
        let said = |si: f64, more: usize| match self.of_unit(si_unit) {
            Some(column) => Column { decimals: column.decimals + more, ..column }.said(si),
            None => percent_to(si, 1 + more),
        };
        let Some(value) = value else { return (NONE.to_owned(), said(limit, 0)) };
        let mut pair = (said(value, 0), said(limit, 0));
        for more in 1..=4 {
            if pair.0 != pair.1 || value == limit {
                break;
            }
            pair = (said(value, more), said(limit, more));
        }
        pair
    }
}

/// Throughput per hour, as people and documents say it, from that per second.
pub fn per_hour(per_s: f64) -> f64 {
    3600.0 * per_s
}

/// A share in percent with so many decimals.
pub fn percent_to(share: f64, decimals: usize) -> String {
    format!("{:.decimals$} %", 100.0 * share)
}

/// A length of the job, always in inches or always in millimetres, so that two of them can be held against each other.
pub fn job_length(length_m: f64, system: UnitSystem) -> String {
    JobWords::new(system).length().with_unit(Some(length_m))
}

/// A length for a label or a sentence: as [`JobWords::length_text`], but for the tenths of an inch that stand behind whole feet.
pub fn short_length(length_m: f64, system: UnitSystem) -> String {
    match system {
        UnitSystem::Us if length_m.abs() >= YARD_M => format(LengthDim::INFO, length_m, system),
        _ => JobWords::new(system).length_text(length_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_a_value_and_its_limit_have_one_form() {
        let (us, si) = (JobWords::new(UnitSystem::Us), JobWords::new(UnitSystem::Si));
        // 36.3 in is over three feet, its limit is not: neither turns to feet.
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(us.value_and_limit("m", Some(36.3 * 0.0254), 12.0 * 0.0254), pair("36.3 in", "12.0 in"));
        assert_eq!(si.value_and_limit("m", Some(1.2), 0.3), pair("1200 mm", "300 mm"));
        assert_eq!(us.value_and_limit("m", Some(2.54 * 0.0254), 0.0), pair("2.5 in", "0.0 in"));
        assert_eq!(us.value_and_limit("", Some(0.9799), 0.98), pair("97.99 %", "98.00 %"));
        assert_eq!(us.value_and_limit("s", None, 3.0), pair(NONE, "3.00 s"));
    }
}
