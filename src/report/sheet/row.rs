//! What stands in a row of the table of settings, and where a setting has its place in the trade's order.

use super::words::Words;

/// Place of a setting in the order in which the trade adjusts: restore the standard, air, bearing, pin on one side only, foam (common
/// practice, no source); then what is set elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Back to the standard: plumb bearings, middle pin.
    Standard,
    /// Regulators and valves.
    Air,
    /// Bearings.
    Bearing,
    /// Stop pin.
    Pin,
    /// Foam, and the friction it gives.
    Foam,
    /// Counterweight, dampers, brush.
    Other,
    /// The line.
    Line,
}

impl Group {
    /// Its name in the language of the sheet.
    pub(super) fn name(self, words: &Words) -> &'static str {
        match self {
            Group::Standard => words.group_standard,
            Group::Air => words.group_air,
            Group::Bearing => words.group_bearing,
            Group::Pin => words.group_pin,
            Group::Foam => words.group_foam,
            Group::Other => words.group_other,
            Group::Line => words.group_line,
        }
    }
}

/// A value as written, and in the other unit system.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Value {
    /// As it is to be read first.
    pub written: String,
    /// In the other system; empty when it would say the same.
    pub other: String,
}

/// How far a setting may move one way before a verdict turns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reach {
    /// The distance without its unit, rounded down; «≥» before it when nothing turned that far.
    pub amount: String,
    /// The criterion that turns first, in the language of the sheet; `None` when none did.
    pub turns: Option<String>,
}

impl Reach {
    /// Whether it may not move at all this way.
    pub(super) fn is_nothing(&self) -> bool {
        self.amount.chars().all(|c| matches!(c, '0' | '.'))
    }
}

/// One setting of one unit, or of the whole line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SideCell {
    /// As found; `None` when not known.
    pub found: Option<Value>,
    /// As left.
    pub left: Value,
    /// Whether the two differ.
    pub changed: bool,
    /// How far it may go down.
    pub down: Option<Reach>,
    /// How far it may go up.
    pub up: Option<Reach>,
    /// Unit of both distances; may be empty.
    pub unit: String,
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingRow {
    /// What is set, in the language of the sheet.
    pub label: String,
    /// Its place in the trade order.
    pub group: Group,
    /// Left and right unit.
    pub sides: [Option<SideCell>; 2],
    /// Whether a technician sets it in the field.
    pub in_field: bool,
    /// A setting of the line, not of a unit.
    pub whole: Option<SideCell>,
}

impl SettingRow {
    fn cells(&self) -> impl Iterator<Item = &SideCell> {
        self.sides.iter().flatten().chain(&self.whole)
    }

    /// Whether any part of it was changed.
    pub fn changed(&self) -> bool {
        self.cells().any(|c| c.changed)
    }

    /// One cell that stands for both sides, when both say the same.
    pub(super) fn common<T: PartialEq>(&self, part: impl Fn(&SideCell) -> T) -> Option<T> {
        if let Some(whole) = &self.whole {
            return Some(part(whole));
        }
        match &self.sides {
            [Some(left), Some(right)] if part(left) == part(right) => Some(part(left)),
            _ => None,
        }
    }

    /// What each side may move by, as long as it is printed, where the sides say it apart.
    pub(super) fn tolerances_apart(&self) -> impl Iterator<Item = String> {
        let apart = self.common(|c| (c.down.clone(), c.up.clone(), c.unit.clone())).is_none();
        let reach =
            |reach: &Option<Reach>| reach.as_ref().map_or(String::new(), |r| format!("+{} a", r.amount));
        self.sides
            .iter()
            .flatten()
            .filter(move |_| apart)
            .map(move |c| format!("{} {}", reach(&c.down), reach(&c.up)))
    }

    /// Whether any of its cells shows both sides apart: such a row is taller in print.
    pub(super) fn is_split(&self) -> bool {
        self.common(|c| (c.found.clone(), c.left.clone())).is_none()
    }
}
