//! Numbers as people say them: the unit system chosen once, the decimals a person can use.

use super::{Ink, TEXT_WIDTH};
use crate::coverage::{MeasureName, VerdictLine};
use crate::units::contact::{pressure_decimals, pressure_unit};
use crate::units::{
    Dimension, DimensionInfo, EnergyDim, ForceDim, ImpulseDim, LengthDim, PowerDim, PressureDim, SpeedDim,
    TimeDim, UnitSystem, WorkPerAreaDim, format_in, minus_signs, number_in,
};

/// What stands for a number that does not exist.
pub(crate) const NONE: &str = "–";

/// Speaks SI numbers in one unit system.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Words {
    pub units: UnitSystem,
}

/// Unit and decimals of a table column.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
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

impl Words {
    pub fn new(units: UnitSystem) -> Words {
        Words { units }
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
            UnitSystem::Us if m.abs() < 0.91439 => format_in(LengthDim::INFO, m, "in", 1),
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

    /// The column that a measure is shown in; none for shares, which are shown in percent.
    pub fn measure(self, name: MeasureName) -> Option<Column> {
        Some(match name.si_unit() {
            "m" => self.length(),
            "Pa" => self.contact_pressure(),
            "J/m2" => self.rubbing(),
            "N" => self.force(),
            "s" => self.time(),
            "W" => self.power(),
            _ => return None,
        })
    }

    /// Value and limit of a verdict line, with as many decimals as it takes to tell them apart.
    pub fn value_and_limit(self, line: &VerdictLine) -> (String, String) {
        let said = |si: f64, more: usize| match self.measure(line.criterion) {
            Some(column) => Column { decimals: column.decimals + more, ..column }.said(si),
            None => percent_to(si, 1 + more),
        };
        let Some(value) = line.value else { return (NONE.to_owned(), said(line.limit, 0)) };
        let mut pair = (said(value, 0), said(line.limit, 0));
        for more in 1..=4 {
            if pair.0 != pair.1 || value == line.limit {
                break;
            }
            pair = (said(value, more), said(line.limit, more));
        }
        pair
    }
}

fn percent_to(share: f64, decimals: usize) -> String {
    format!("{:.decimals$} %", 100.0 * share)
}

/// A share in percent, one decimal; a dash when there is none.
pub(crate) fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| NONE.to_owned(), |share| percent_to(share, 1))
}

/// A sentence with a capital at its start.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// Breaks a paragraph into lines of at most `width` characters; lines after the first start with `indent` blanks. A number stays with the
/// unit after it; a word longer than a line is broken anywhere. Minus signs are true ones.
pub(crate) fn wrap(text: &str, width: usize, indent: usize) -> String {
    let mut chunks: Vec<String> = Vec::new();
    for word in minus_signs(text).split_whitespace() {
        match chunks.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && !starts_number(word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => chunks.push(word.to_owned()),
        }
    }
    let mut out = String::new();
    let mut column = 0;
    let room = width.saturating_sub(indent).max(1);
    let pieces = chunks.iter().flat_map(|chunk| broken_at(chunk, room));
    for chunk in pieces {
        let length = chunk.chars().count();
        if column > 0 && column + 1 + length > width {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(chunk);
        column += length;
    }
    out.push('\n');
    out
}

/// A text in pieces of at most so many characters.
fn broken_at(text: &str, most: usize) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let end = rest.char_indices().nth(most).map_or(rest.len(), |(at, _)| at);
        let (piece, after) = rest.split_at(end);
        rest = after;
        (!piece.is_empty()).then_some(piece)
    })
}

/// Whether a word is a number of its own, which no number before it takes for its unit.
fn starts_number(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// A heading in strong ink, broken into lines that fit.
pub(crate) fn heading(text: &str, ink: Ink) -> String {
    wrap(text, TEXT_WIDTH, 0).lines().map(|line| ink.strong(line) + "\n").collect()
}

/// A paragraph that stands in by this many blanks as a whole.
pub(crate) fn inset(text: &str, indent: usize) -> String {
    let lines = wrap(text, TEXT_WIDTH - indent, 0);
    lines.lines().map(|line| " ".repeat(indent) + line + "\n").collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::Verdict;

    fn line(criterion: MeasureName, value: Option<f64>, limit: f64) -> VerdictLine {
        VerdictLine {
            criterion,
            about: None,
            side: None,
            value,
            limit,
            size: limit,
            verdict: Verdict::Fail,
            edge: None,
        }
    }

    #[test]
    fn verif_value_and_limit_can_be_told_apart() {
        let us = Words::new(UnitSystem::Us);
        let inch = 0.0254;
        let pair = us.value_and_limit(&line(MeasureName::TailGap, Some(17.2 * inch), 12.0 * inch));
        assert_eq!(pair, ("17.2 in".to_owned(), "12.0 in".to_owned()));
        let pair = us.value_and_limit(&line(MeasureName::TailGap, Some(12.003 * inch), 12.0 * inch));
        assert_eq!(pair, ("12.003 in".to_owned(), "12.000 in".to_owned()));
        let pair = us.value_and_limit(&line(MeasureName::SideWashed, Some(0.9999), 1.0));
        assert_eq!(pair, ("99.99 %".to_owned(), "100.00 %".to_owned()));
        let pair = us.value_and_limit(&line(MeasureName::ChaseDelay, None, 3.0));
        assert_eq!(pair, (NONE.to_owned(), "3.00 s".to_owned()));
    }

    #[test]
    fn verif_areas_in_both_systems() {
        let (us, si) = (Words::new(UnitSystem::Us), Words::new(UnitSystem::Si));
        // 1 psi is 144 lbf/ft².
        assert_eq!(us.contact_pressure().with_unit(Some(6894.757)), "144.0 lbf/ft²");
        assert_eq!(si.contact_pressure().with_unit(Some(119.6)), "120 Pa");
        assert_eq!(us.rubbing().with_unit(Some(14.593_903 * 20.0)), "20 ft lbf/ft²");
        assert_eq!(si.rubbing().number(Some(266.2)), "266");
        assert_eq!(us.rubbing().number(None), NONE);
    }

    #[test]
    fn verif_lengths_in_running_text() {
        let (us, si) = (Words::new(UnitSystem::Us), Words::new(UnitSystem::Si));
        assert_eq!(us.length_text(0.0508), "2.0 in");
        assert_eq!(us.length_text(0.9144), "3 ft 0 in");
        assert_eq!(us.length_text(23.6 * 0.3048), "23 ft 7 in");
        assert_eq!(us.length_text(11.99 * 12.0 * 0.0254), "12 ft 0 in");
        assert_eq!(si.length_text(0.0508), "51 mm");
        assert_eq!(si.length_text(1.25), "1.25 m");
        assert_eq!(si.length_text(0.9997), "1.00 m");
        assert_eq!(us.heights(12.0 * 0.0254, 20.0 * 0.0254), "12 to 20 in");
    }

    #[test]
    fn verif_wrap_keeps_every_word() {
        let text = "one two three four five six seven eight";
        let wrapped = wrap(text, 14, 2);
        assert!(wrapped.lines().all(|l| l.chars().count() <= 14) && wrapped.lines().count() > 2);
        assert_eq!(wrapped.split_whitespace().collect::<Vec<_>>().join(" "), text);
        assert_eq!(wrap("a gap of 12 in here", 11, 0), "a gap of\n12 in here\n");
        assert_eq!(wrap("a -1 b", 11, 0), "a −1 b\n");
        let long = wrap("see abcdefghijklmnopqrstuvwxyz then 1 2 3 4 5 6 7 8 9", 12, 2);
        assert!(long.lines().all(|l| l.chars().count() <= 12), "{long}");
        let joined: String = long.split_whitespace().collect();
        assert_eq!(joined, "seeabcdefghijklmnopqrstuvwxyzthen123456789");
    }
}
