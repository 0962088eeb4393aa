//! When a spot was touched, or why it was not, in words.

use crate::coverage::{EventName, TouchAnswer};
use crate::units::{Dimension, LengthDim, TimeDim, UnitSystem, format};

/// What a spot of the map has to say, in words.
pub fn touched(answer: &TouchAnswer, system: UnitSystem) -> String {
    match *answer {
        TouchAnswer::Touched { by, wipes, contact_s, washed_ratio, .. } => {
            let contact = format(TimeDim::INFO, contact_s, system);
            let got = format!("{wipes:.0} wipes in {contact} of contact");
            if washed_ratio >= 1.0 {
                format!("washed: {got}, hardest by the {} brush", by.name())
            } else {
                let share = (100.0 * washed_ratio).floor();
                format!("touched, not washed: {got}, {share:.0} % of what is asked")
            }
        }
        TouchAnswer::Never { by, short_m, beside, .. } if short_m > 0.0 => {
            let short = format(LengthDim::INFO, short_m, system);
            format!("never reached: the {} brush was {short} short {}", by.name(), when(beside))
        }
        TouchAnswer::Never { by, .. } => {
            format!("never reached: other bodywork stood before it when the {} brush was nearest", by.name())
        }
    }
}

/// Words for an instant, from the event beside it.
fn when(beside: Option<EventName>) -> &'static str {
    match beside {
        Some(EventName::FirstTouch) => "when it first touched",
        Some(EventName::NoseCorner) => "as it turned the nose corner",
        Some(EventName::Mirror) => "at the mirror",
        Some(EventName::TailCorner) => "as it turned the tail corner",
        Some(EventName::TailPasses) => "as the tail passed it",
        Some(EventName::BackOnTail) => "as it came back on the tail",
        Some(EventName::LostTail) => "when it left the tail",
        Some(EventName::Bumper) => "when it met its bumper",
        Some(EventName::Settled) => "when it had settled",
        Some(EventName::NextNose) | None => "at its nearest",
    }
}
