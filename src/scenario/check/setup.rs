//! Checks of the set-up of one unit: ranges, and whether it fits the hardware.

use super::{At, Checker, inches};
use crate::scenario::limits;
use crate::scenario::machine_file::HardwareFile;
use crate::scenario::setup_file::*;

/// The most lean of the pivot: rise over run.
const MOST_LEAN: f64 = 0.15;

/// The most that the bearings may stand apart over their spacing, m.
pub(in crate::scenario) fn most_lean_m(span_m: f64) -> f64 {
    MOST_LEAN * span_m
}

/// Ranges of every field.
pub(in crate::scenario) fn ranges(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile) {
    c.range(at.of("position"), &unit.position, &limits::POSITION);
    bearings(c, at.of("bearings"), &unit.bearings);
    if let Some(air) = &unit.air {
        let a = at.of("air");
        for (name, pressure) in [("cap", &air.cap), ("rod", &air.rod)] {
            if pressure.is_absolute() && pressure.gauge_pa() < 0.0 {
                c.sense(
                    a.of(name),
                    "this is an absolute pressure, and below that of the air outside",
                    pressure.written(),
                    limits::REGULATOR.text(),
                    "write what the gauge shows, in psi or psig",
                );
            } else {
                c.range(a.of(name), pressure, &limits::REGULATOR);
            }
        }
        let list = a.of("schedule");
        c.count(list, air.schedule.len(), 0, 40, "leave out steps that switch nothing");
        for (index, step) in air.schedule.iter().enumerate() {
            let a = list.item(index);
            c.range(a.of("at"), &step.at, &limits::VALVE_AT);
            c.range(a.of("delay"), &step.delay, &limits::VALVE_DELAY);
        }
    }
    if let Some(weight) = &unit.counterweight {
        c.range(at.of("counterweight").of("mass"), &weight.mass, &limits::COUNTERWEIGHT_MASS);
    }
    for (index, needle) in unit.dampers.iter().enumerate().take(50) {
        let list = at.of("dampers");
        let a = list.item(index);
        c.range(a.of("out_stroke"), &needle.out_stroke, &limits::STROKE_DAMPING);
        c.range(a.of("in_stroke"), &needle.in_stroke, &limits::STROKE_DAMPING);
        c.range(a.of("out_quadratic"), &needle.out_quadratic, &limits::STROKE_QUADRATIC);
        c.range(a.of("in_quadratic"), &needle.in_quadratic, &limits::STROKE_QUADRATIC);
    }
    let (a, brush) = (at.of("brush"), &unit.brush);
    c.range(a.of("spin"), &brush.spin, &limits::SPIN);
    c.range_if(a.of("friction"), brush.friction.as_ref(), &limits::FRICTION);
    let a = a.of("push_back");
    c.range(a.of("depth"), &brush.push_back.depth, &limits::PUSH_BACK_DEPTH);
    c.range(a.of("force"), &brush.push_back.force, &limits::PUSH_BACK_FORCE);
    c.range(a.of("height"), &brush.push_back.height, &limits::PUSH_BACK_HEIGHT);
    found(c, at.of("found"), &unit.found);
}

fn found(c: &mut Checker<'_>, at: At<'_>, found: &FoundFile) {
    c.range_if(at.of("friction"), found.friction.as_ref(), &limits::FRICTION_TORQUE);
    c.range_if(at.of("breakaway_ratio"), found.breakaway_ratio.as_ref(), &limits::BREAKAWAY_RATIO);
    c.range_if(at.of("arm_mass"), found.arm_mass.as_ref(), &limits::ARM_MASS);
    c.range_if(at.of("radius"), found.radius.as_ref(), &limits::BRUSH_RADIUS);
    c.range_if(at.of("exponent"), found.exponent.as_ref(), &limits::EXPONENT);
    c.range_if(at.of("stiffening_spin"), found.stiffening_spin.as_ref(), &limits::STIFFENING_SPIN);
    c.range_if(at.of("seat_shift"), found.seat_shift.as_ref(), &limits::SEAT_SHIFT);
}

fn bearings(c: &mut Checker<'_>, at: At<'_>, bearings: &BearingsFile) {
    c.range_if(at.of("upper_offset"), bearings.upper_offset.as_ref(), &limits::BEARING_OFFSET);
    c.range_if(at.of("lower_offset"), bearings.lower_offset.as_ref(), &limits::BEARING_OFFSET);
    c.range(at.of("upper_along"), &bearings.upper_along, &limits::BEARING_OFFSET);
    c.range(at.of("lower_along"), &bearings.lower_along, &limits::BEARING_OFFSET);
    c.range_if(at.of("upper_gap"), bearings.upper_gap.as_ref(), &limits::BEARING_GAP);
    c.range_if(at.of("lower_gap"), bearings.lower_gap.as_ref(), &limits::BEARING_GAP);
    let offset = [("upper_offset", &bearings.upper_offset), ("lower_offset", &bearings.lower_offset)];
    if bearings.by_tape() {
        for (name, value) in offset {
            if let Some(value) = value {
                c.sense(
                    at.of(name),
                    "the bearings are given twice, by offset and by gap",
                    value.written(),
                    "either upper_gap and lower_gap, or upper_offset and lower_offset",
                    "remove the offsets or the gaps",
                );
            }
        }
        for (name, value) in [("upper_gap", &bearings.upper_gap), ("lower_gap", &bearings.lower_gap)] {
            if value.is_none() {
                c.sense(
                    at,
                    format!("{name} is missing: one gap alone says nothing about plumb"),
                    "one gap",
                    "both upper_gap and lower_gap",
                    format!("measure the other gap and add `{name}: \"… in\",`"),
                );
            }
        }
    }
}

/// Whether set-up and hardware belong together.
pub(in crate::scenario) fn fits(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile, hardware: &HardwareFile) {
    if let Some(radius) = &unit.found.radius
        && radius.si() <= hardware.brush.hub_radius.si()
    {
        c.sense(
            at.of("found").of("radius"),
            "the brush is no larger than its hub",
            radius.written(),
            format!("more than hub_radius, {}", hardware.brush.hub_radius.written()),
            "give the radius of the spinning media, and check which is which",
        );
    }
    match (&hardware.cylinder, &unit.air) {
        (Some(_), None) => c.sense(
            at,
            "the machine has an air cylinder, and this unit says nothing about air",
            "no field air",
            "air: (cap: \"7 psi\")",
            "add the regulator settings, or take the cylinder out of the machine",
        ),
        (None, Some(_)) => c.sense(
            at.of("air"),
            "this unit has air settings, and the machine has no cylinder",
            "air",
            "air only where the machine has a cylinder",
            "remove air, or add cylinder to the machine",
        ),
        _ => {}
    }
    match (&hardware.counterweight, &unit.counterweight) {
        (Some(_), None) => c.sense(
            at,
            "the machine has a counterweight cable, and this unit does not say what hangs on it",
            "no field counterweight",
            "counterweight: (mass: \"26 lb\")",
            "add the mass, or take counterweight out of the machine",
        ),
        (None, Some(_)) => c.sense(
            at.of("counterweight"),
            "this unit has a weight, and the machine has no cable to hang it on",
            "counterweight",
            "counterweight only where the machine has one",
            "remove it here, or add counterweight to the machine",
        ),
        _ => {}
    }
    let (needles, dampers) = (unit.dampers.len(), hardware.dampers.len());
    if needles != dampers {
        let place = if unit.dampers.is_empty() { at } else { at.of("dampers") };
        c.sense(
            place,
            "each damper of the machine needs one needle setting",
            format!("settings for {needles}, dampers on the machine: {dampers}"),
            dampers.to_string(),
            "add or remove entries of dampers, in the order of the machine's list",
        );
    }
    let holes = hardware.stop_pin.brush_center.len().max(hardware.stop_pin.angle.len());
    let hole = unit.stop_pin.hole;
    if holes > 0 && (hole == 0 || hole as usize > holes) {
        c.sense(
            at.of("stop_pin").of("hole"),
            "the stop pin has no such hole",
            hole.to_string(),
            format!("1 to {holes}"),
            "count the holes from the outermost, which is 1",
        );
    }
    lean(c, at.of("bearings"), unit, hardware);
    push_back(c, at.of("brush").of("push_back"), unit, hardware);
}

fn lean(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile, hardware: &HardwareFile) {
    let span = hardware.pivot.bearing_span.si();
    let bearings = super::super::build::bearings(&unit.bearings, span);
    let lean = bearings.lean().norm();
    if lean > MOST_LEAN {
        let place = if bearings.upper.toward_wall_m.abs() > bearings.lower.toward_wall_m.abs()
            && !unit.bearings.by_tape()
        {
            at.of("upper_offset")
        } else if unit.bearings.by_tape() {
            at.of("lower_gap")
        } else {
            at.of("lower_offset")
        };
        c.sense(
            place,
            "the pivot leans too far",
            format!("{} apart over a span of {}", inches(lean * span), hardware.pivot.bearing_span.written()),
            format!("up to {} apart", inches(most_lean_m(span))),
            "an eighth of an inch is a big move: check the offsets, the gaps and bearing_span",
        );
    }
}

fn push_back(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile, hardware: &HardwareFile) {
    let (test, brush) = (&unit.brush.push_back, &hardware.brush);
    let free = brush.radius.si() - brush.hub_radius.si();
    if free > 0.0 && test.depth.si() >= free {
        c.sense(
            at.of("depth"),
            "the push-back test presses the hub into the board",
            test.depth.written(),
            format!("less than {}, from the radius to the hub", inches(free)),
            "press less deep and read the force there",
        );
    }
    let media = brush.media_top.si() - brush.media_bottom.si();
    if media > 0.0 && test.height.si() > media * (1.0 + 1e-9) {
        c.sense(
            at.of("height"),
            "more height of media is on the board than the brush has",
            test.height.written(),
            format!("up to {}, from media_bottom to media_top", inches(media)),
            "give the height of media that touched the board",
        );
    }
}
