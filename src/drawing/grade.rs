//! How a result stands against its limit, as colour, word, sign and hatch together.

use super::palette::{Paint, Role};
use super::pen::{Fill, Hatch, HatchKind};

/// How a result stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Grade {
    /// Inside the limit.
    Pass,
    /// Close to the limit.
    Marginal,
    /// Past the limit.
    Fail,
}

impl Grade {
    /// All grades, best first.
    pub const ALL: [Grade; 3] = [Grade::Pass, Grade::Marginal, Grade::Fail];

    /// The colour role.
    pub const fn role(self) -> Role {
        match self {
            Grade::Pass => Role::Pass,
            Grade::Marginal => Role::Marginal,
            Grade::Fail => Role::Fail,
        }
    }

    /// The word that goes with the colour.
    pub const fn word(self) -> &'static str {
        match self {
            Grade::Pass => "pass",
            Grade::Marginal => "marginal",
            Grade::Fail => "fail",
        }
    }

    /// The sign that goes with the colour.
    pub const fn sign(self) -> &'static str {
        match self {
            Grade::Pass => "✓",
            Grade::Marginal => "≈",
            Grade::Fail => "✗",
        }
    }

    /// The hatch that goes with the colour: none, rising lines, crossed lines.
    pub fn hatch(self, paint: impl Into<Paint>) -> Option<Hatch> {
        match self {
            Grade::Pass => None,
            Grade::Marginal => Some(Hatch::new(HatchKind::Rising, 8.0, paint)),
            Grade::Fail => Some(Hatch::new(HatchKind::Cross, 8.0, paint)),
        }
    }

    /// A light area in the grade's colour and hatch.
    pub fn fill(self) -> Fill {
        Fill { paint: Some(self.role().faint(0.14)), hatch: self.hatch(self.role().faint(0.55)) }
    }
}
