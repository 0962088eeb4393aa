//! The usual cautions, word for word the same wherever they are shown.

use super::words::wrap;

/// What to do before a hand goes near the machine. General shop practice; the maker's manual and local codes come first.
pub const CAUTIONS: [&str; 6] = [
    "The maker's manual, local codes and licensed practice come first.",
    "Lock out and tag out all energy: electric, air, water and the conveyor drive.",
    "Bleed the air to zero and prove it at the gauge before you touch a cylinder, hose or pin.",
    "Block the arm. It is a weight on a hinge: it moves when pressure or a pin goes.",
    "Mind the pinch points at pivot, bumper, sheave and cylinder. Never reach in while the conveyor can run.",
    "Wear eye protection, and read the safety data sheet of every chemical.",
];

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
