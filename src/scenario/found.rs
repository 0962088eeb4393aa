//! What can be found of a unit by measuring, stated as the machine has it.

use super::machine_file::HardwareFile;
use super::setup_file::UnitFile;
use super::written::ron_text;
use crate::arm::Side;
use crate::units::{Dimension, Fraction, Length, Quantity};

/// Fills what was not found yet with what the machine says, and tells what to write where.
pub(super) fn fill(side: Side, hardware: &HardwareFile, unit: &mut UnitFile) -> Vec<(String, String)> {
    let (brush, found) = (&unit.brush, &mut unit.found);
    let mut edits = Vec::new();
    let pivot = &hardware.pivot;
    let friction = pivot.friction.si();
    let breakaway = pivot.breakaway.as_ref().unwrap_or(&pivot.friction).si();
    let ratio = if friction > 0.0 { (breakaway / friction).clamp(1.0, 4.0) } else { 1.0 };
    let parsed = |text: &str| Fraction::parse(text).unwrap_or_else(|_| Fraction::from_si(1.0));
    set(side, "friction", &mut found.friction, Some(pivot.friction.clone()), &mut edits);
    let ratio = parsed(&format!("{ratio:.9}"));
    set(side, "breakaway_ratio", &mut found.breakaway_ratio, Some(ratio), &mut edits);
    set(side, "arm_mass", &mut found.arm_mass, Some(parsed("100 %")), &mut edits);
    set(side, "push", &mut found.push, Some(parsed("100 %")), &mut edits);
    let radius = hardware.brush.radius.set_like(hardware.brush.radius.si() - brush.worn.si()).ok();
    set(side, "radius", &mut found.radius, radius, &mut edits);
    // The exponent of the media's own law is no guess of this machine; one that was written down is.
    set(side, "exponent", &mut found.exponent, hardware.brush.exponent.clone(), &mut edits);
    let stiffening = hardware.brush.stiffening_spin.clone();
    set(side, "stiffening_spin", &mut found.stiffening_spin, stiffening, &mut edits);
    let seat = Length::parse("0 in").ok();
    set(side, "seat_shift", &mut found.seat_shift, seat, &mut edits);
    edits
}

fn set<D: Dimension>(
    side: Side,
    name: &str,
    field: &mut Option<Quantity<D>>,
    described: Option<Quantity<D>>,
    edits: &mut Vec<(String, String)>,
) {
    if field.is_none() && described.is_some() {
        *field = described;
        let text = field.as_ref().map(|value| ron_text(value.written())).unwrap_or_default();
        edits.push((format!("{}.found.{name}", side.name()), text));
    }
}
