//! Kinds of settings.

/// What a setting belongs to, in the order the trade goes about it. «Restore the standard» comes before all: see
/// [`super::Setting::standard`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Regulators and valve timing.
    Air,
    /// Bearing offsets.
    Bearing,
    /// Stop pin.
    Pin,
    /// Friction, which the foam decides.
    Foam,
    /// Counterweight.
    Weight,
    /// Damper needles.
    Damper,
    /// Spin and media.
    Brush,
    /// Conveyor and spacing.
    Line,
    /// Which vehicle, and how it sits.
    Vehicle,
}

impl Group {
    /// Trade word.
    pub fn name(self) -> &'static str {
        match self {
            Group::Air => "air",
            Group::Bearing => "bearing",
            Group::Pin => "stop pin",
            Group::Foam => "foam",
            Group::Weight => "counterweight",
            Group::Damper => "damper",
            Group::Brush => "brush",
            Group::Line => "line",
            Group::Vehicle => "vehicle",
        }
    }
}
