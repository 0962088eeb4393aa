//! Signs by what they are of, for who looks for one among many.

use super::observe::Observable as O;
use super::sign::{SignRow, Test};

/// What a sign is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SignGroup {
    /// The tail.
    Tail,
    /// The nose.
    Nose,
    /// The side, with its mirror.
    Side,
    /// How the arm moves and where it stands.
    Arm,
    /// The brush, its drive and its air.
    Brush,
    /// The line; where, when and since when.
    When,
}

impl SignGroup {
    /// Every group, in the order along a vehicle.
    pub const ALL: [SignGroup; 6] = [
        SignGroup::Tail,
        SignGroup::Nose,
        SignGroup::Side,
        SignGroup::Arm,
        SignGroup::Brush,
        SignGroup::When,
    ];

    /// In plain words; `src/report/sheet/words/fault.tsv` has the other languages.
    pub fn words(self) -> &'static str {
        match self {
            SignGroup::Tail => "At the tail",
            SignGroup::Nose => "At the nose",
            SignGroup::Side => "Along the side",
            SignGroup::Arm => "How the arm moves",
            SignGroup::Brush => "Brush, spindle and air",
            SignGroup::When => "The line, where and since when",
        }
    }

    /// That of a sign.
    pub fn of(row: &SignRow) -> SignGroup {
        match row.test {
            Test::Rise(of, ..) | Test::Fall(of, ..) | Test::RiseShare(of, ..) | Test::FallShare(of, ..) => {
                of_number(of)
            }
            Test::Comes(_) | Test::OnlyBusy | Test::OnlyWide | Test::OneSide => SignGroup::When,
        }
    }
}

fn of_number(of: O) -> SignGroup {
    match of {
        O::TailUnwashed | O::TailPeak | O::Chase | O::TailMiddle => SignGroup::Tail,
        O::NoseUnwashed | O::NosePeak | O::NoseMiddle | O::OffFront => SignGroup::Nose,
        O::FrontUnwashed
        | O::RearUnwashed
        | O::SidePressure
        | O::SidePeak
        | O::SideWipes
        | O::SideWork
        | O::Mirror => SignGroup::Side,
        O::Recovery
        | O::Compression
        | O::StopSpeed
        | O::StopForce
        | O::Rebound
        | O::SwingIn
        | O::Stands
        | O::AtNext
        | O::Widest
        | O::Reversals
        | O::OuterStop
        | O::BrushesMeet => SignGroup::Arm,
        O::Spin
        | O::Radius
        | O::SpindlePeak
        | O::SpindleMean
        | O::HubClearance
        | O::AirOver
        | O::Strips
        | O::MovedMass => SignGroup::Brush,
        O::LineSpeed | O::Room => SignGroup::When,
    }
}
