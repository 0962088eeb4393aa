//! Checks of the set-up of one unit: what fields say about each other, and whether it fits the hardware.

use super::{At, Checker, inches};
use crate::scenario::machine_file::{BrushFile, HardwareFile};
use crate::scenario::media_file::*;
use crate::scenario::setup_file::*;

/// The most lean of the pivot: rise over run.
const MOST_LEAN: f64 = 0.15;

/// The most that the bearings may stand apart over their spacing, m.
pub(in crate::scenario) fn most_lean_m(span_m: f64) -> f64 {
    MOST_LEAN * span_m
}

/// The most that may be worn off strips, as a share of what stands out from the hub.
pub(in crate::scenario) const MOST_WORN: f64 = 0.9;

/// How far new strips stand out from the hub, m.
pub(in crate::scenario) fn free_strip_m(brush: &BrushFile) -> f64 {
    brush.radius.si() - brush.hub_radius.si()
}

/// What fields of the set-up say about each other.
pub(in crate::scenario) fn relations(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile) {
    bearings(c, at.of("bearings"), &unit.bearings);
    let (a, brush) = (at.of("brush"), &unit.brush);
    match (&brush.media, &brush.push_back) {
        (Some(_), Some(test)) => c.sense(
            a.of("push_back"),
            "what the strips are is given twice, by media and by a push-back test of its own",
            test.force.written(),
            "one of media and push_back",
            "move the test into media: Stiff(push_back: (…)), or remove one of the two",
        ),
        (None, None) => c.sense(
            a,
            "nothing says how the strips push",
            "neither media nor push_back",
            "media: Limp(mass: \"55 lb\") or media: Stiff(push_back: (…), measured_at: \"90 rpm\")",
            "weigh the wet strips of cloth, or press the turning brush into a board and read the force",
        ),
        _ => {}
    }
}

/// Looks at the push-back test of a brush where it stands.
fn at_test(at: At<'_>, brush: &BrushSetFile, look: &mut dyn FnMut(At<'_>, &PushBackFile)) {
    if let Some(test) = &brush.push_back {
        look(at.of("push_back"), test);
    } else if let Some(test) = brush.media.as_ref().and_then(MediaFile::push_back) {
        look(at.of("media").of("push_back"), test);
    }
}

fn bearings(c: &mut Checker<'_>, at: At<'_>, bearings: &BearingsFile) {
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
    at_test(at.of("brush"), &unit.brush, &mut |place, test| push_back(c, place, test, hardware));
    media(c, at.of("brush"), unit, hardware);
}

/// Whether the strips and what the machine says of their law belong together.
fn media(c: &mut Checker<'_>, at: At<'_>, unit: &UnitFile, hardware: &HardwareFile) {
    let (set, brush) = (&unit.brush, &hardware.brush);
    let free = free_strip_m(brush);
    if free > 0.0 && set.worn.si() >= MOST_WORN * free {
        c.sense(
            at.of("worn"),
            "that leaves no strips on the hub",
            set.worn.written(),
            format!("less than {}, nine tenths of what stands out from the hub", inches(MOST_WORN * free)),
            "measure how much shorter the strips are than radius says",
        );
    }
    if let Some(MediaFile::Limp { mass }) = &set.media {
        let measured = [
            ("exponent", brush.exponent.as_ref().map(crate::units::Fraction::written)),
            ("stiffening_spin", brush.stiffening_spin.as_ref().map(crate::units::Spin::written)),
        ];
        for (name, written) in measured {
            if let Some(written) = written {
                c.sense(
                    at.of("media"),
                    format!("the machine gives {name}, which belongs to a push-back test"),
                    format!("Limp(mass: \"{}\") with {name}: {written}", mass.written()),
                    format!("{name} with Stiff(…), Between(…) or push_back"),
                    format!("remove {name} from the machine's brush: limp strips push by mass and spin"),
                );
            }
        }
    }
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

fn push_back(c: &mut Checker<'_>, at: At<'_>, test: &PushBackFile, hardware: &HardwareFile) {
    let brush = &hardware.brush;
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
