//! Where a cause is.

use crate::arm::Side;

/// Where a cause is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Of the line or the whole.
    Line,
    /// Of one side.
    On(Side),
    /// Of both sides alike.
    Both,
}

impl Place {
    /// `left`, `right`, `both` or `line`.
    pub fn name(self) -> &'static str {
        match self {
            Place::Line => "line",
            Place::On(side) => side.name(),
            Place::Both => "both",
        }
    }

    /// What is there, with the side: «left: the arm runs tight».
    pub fn said(self, what: &str) -> String {
        if self == Place::Line { what.to_owned() } else { format!("{}: {what}", self.name()) }
    }

    /// Whether it takes in a side.
    pub fn holds(self, side: Side) -> bool {
        match self {
            Place::On(own) => own == side,
            Place::Line | Place::Both => true,
        }
    }
}
