//! The usual cautions, word for word the same wherever they are shown.

use super::words::wrap;
use crate::scenario::setting::Group;

/// What to do before a hand goes near the machine. General shop practice; the maker's manual and local codes come first.
pub const CAUTIONS: [&str; 6] = [
    "The maker's manual, local codes and licensed practice come first.",
    "Lock out and tag out all energy: electric, air, water and the conveyor drive.",
    "Bleed the air to zero and prove it at the gauge before you touch a cylinder, hose or pin.",
    "Block the arm. It is a weight on a hinge: it moves when pressure or a pin goes.",
    "Mind the pinch points at pivot, bumper, sheave and cylinder. Never reach in while the conveyor can run.",
    "Wear eye protection, and read the safety data sheet of every chemical.",
];

/// The same in one line, for where a setting of the machine is turned.
pub const CAUTION_LINE: &str = "Before you touch the machine: lock out and tag out, bleed the air and prove it, block the arm. The maker's manual, local codes and licensed practice come first.";

/// What to mind at one part of the machine; nothing where no hand goes near it.
pub const fn caution_of(group: Group) -> Option<&'static str> {
    match group {
        Group::Air => Some(
            "Lock out, and bleed the air to zero, before a hose or a cylinder is touched: the arm moves when pressure goes.",
        ),
        Group::Bearing => Some("Lock out, bleed, and block the arm: the bearings carry it."),
        Group::Pin => Some("Lock out, bleed, and block the arm: it swings when the pin goes."),
        Group::Foam => Some("Wear eye protection, and read the safety data sheet of every chemical."),
        Group::Weight => Some("Lock out, and block arm and weight: either falls when the cable goes."),
        Group::Damper => Some("Lock out, bleed, and block the arm. Mind the pinch points."),
        Group::Brush => Some("Lock out the drive; look at a turning brush only from outside its guard."),
        Group::Line | Group::Vehicle => None,
    }
}

/// What the program is not.
pub const LIMITS: &str = "It predicts how a set-up changes the wash; it does not certify. It is a plan view with height bands: no pitching \
     vehicles, no flexing arm, rigid bodywork. It is no safety case for a mirror.";

/// The cautions as a list for a terminal, `width` columns wide.
pub fn cautions_text(width: usize) -> String {
    let mut text = String::from("Before you touch the machine:\n");
    for caution in CAUTIONS {
        text.push_str(&wrap(&format!("- {caution}"), width, 2));
    }
    text.push_str(&wrap(LIMITS, width, 0));
    text
}
