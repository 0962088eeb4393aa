//! Checks of the hardware of one unit, on its own.

use super::{At, Checker, inches};
use crate::scenario::machine_file::*;

/// What fields of the hardware say about each other.
pub(in crate::scenario) fn relations(c: &mut Checker<'_>, at: At<'_>, hardware: &HardwareFile) {
    if let Some(breakaway) = &hardware.pivot.breakaway
        && breakaway.si() < hardware.pivot.friction.si()
    {
        c.sense(
            at.of("pivot").of("breakaway"),
            "getting the pivot moving takes no less than keeping it moving",
            breakaway.written(),
            format!("at least friction, {}", hardware.pivot.friction.written()),
            "raise breakaway or lower friction",
        );
    }
    for (index, part) in hardware.arm.parts.iter().enumerate() {
        if let PartFile::Rod { from, to, .. } = part
            && from.si() >= to.si()
        {
            c.sense(
                at.of("arm").of("parts").item(index).of("to"),
                "the rod ends before it begins",
                to.written(),
                format!("more than from, {}", from.written()),
                "write the end nearer to the pivot, or behind it, as from",
            );
        }
    }
    brush(c, at.of("brush"), &hardware.brush);
    if let Some(cylinder) = &hardware.cylinder {
        let at = at.of("cylinder");
        if cylinder.rod_diameter.si() >= cylinder.bore.si() {
            c.sense(
                at.of("rod_diameter"),
                "the rod does not fit the bore",
                cylinder.rod_diameter.written(),
                format!("less than bore, {}", cylinder.bore.written()),
                "check both diameters",
            );
        }
        if cylinder.closed_length.si() < cylinder.stroke.si() {
            c.sense(
                at.of("closed_length"),
                "a closed cylinder is at least as long as its stroke",
                cylinder.closed_length.written(),
                format!("at least stroke, {}", cylinder.stroke.written()),
                "measure between the pins with the rod fully in",
            );
        }
    }
    holes(c, at.of("stop_pin"), hardware);
    for (a, bumper) in [
        (at.of("bumper"), &hardware.bumper),
        (at.of("outboard_stop").of("bumper"), &hardware.outboard_stop.bumper),
    ] {
        let (radius, arm) = (bumper.radius.si(), hardware.arm.length.si());
        if radius > arm {
            c.sense(
                a.of("radius"),
                "the bumper is beyond the end of the arm",
                bumper.radius.written(),
                format!("up to the arm length, {}", hardware.arm.length.written()),
                "measure from the pivot to where the arm meets the bumper",
            );
        }
        if bumper.full_compression.si() > 0.5 * radius {
            c.sense(
                a.of("full_compression"),
                "the bumper gives more than half its distance from the pivot",
                bumper.full_compression.written(),
                format!("up to {}", inches(0.5 * radius)),
                "check full_compression and radius",
            );
        }
    }
}

fn brush(c: &mut Checker<'_>, at: At<'_>, brush: &BrushFile) {
    if brush.hub_radius.si() >= brush.radius.si() {
        c.sense(
            at.of("hub_radius"),
            "the hub is as large as the brush",
            brush.hub_radius.written(),
            format!("less than radius, {}", brush.radius.written()),
            "give radii, not diameters, and check which is which",
        );
    }
    if brush.media_bottom.si() >= brush.media_top.si() {
        c.sense(
            at.of("media_top"),
            "the media end below where they begin",
            brush.media_top.written(),
            format!("more than media_bottom, {}", brush.media_bottom.written()),
            "give both heights above the floor",
        );
    }
}

fn holes(c: &mut Checker<'_>, at: At<'_>, hardware: &HardwareFile) {
    let holes = &hardware.stop_pin;
    let (by_distance, by_angle) = (holes.brush_center.len(), holes.angle.len());
    if by_distance > 0 && by_angle > 0 {
        c.sense(
            at.of("angle"),
            "the holes are given twice, by brush centre and by angle",
            format!("{by_distance} and {by_angle} holes"),
            "one of brush_center and angle",
            "remove one of the two lists",
        );
        return;
    }
    if by_distance + by_angle == 0 || by_distance + by_angle > 20 {
        c.sense(
            at,
            "the stop pin has no usable row of holes",
            format!("{} holes", by_distance + by_angle),
            "1 to 20 holes, in brush_center or in angle",
            "give the brush centre's distance from the lane centreline for each hole, outermost first",
        );
        return;
    }
    let (reach, pivot) = (hardware.arm.length.si(), hardware.pivot.from_center.si());
    for (index, hole) in holes.brush_center.iter().enumerate() {
        if (pivot - hole.si()).abs() > reach {
            c.sense(
                at.of("brush_center").item(index),
                "the arm does not reach this place",
                hole.written(),
                format!("{} to {}", inches(pivot - reach), inches(pivot + reach)),
                "check the arm's length, the pivot's distance from the centreline and this hole",
            );
        }
    }
    let mut not_inward = |name: &'static str, values: Vec<(f64, &str)>, more: &str| {
        for index in 1..values.len() {
            if values[index].0 >= values[index - 1].0 {
                c.sense(
                    at.of(name).item(index),
                    "the holes are not in order",
                    values[index].1,
                    format!("less than the hole before it, {}", values[index - 1].1),
                    more,
                );
            }
        }
    };
    let outermost = "list the holes from the outermost (hole 1) to the innermost";
    not_inward("brush_center", holes.brush_center.iter().map(|h| (h.si(), h.written())).collect(), outermost);
    not_inward("angle", holes.angle.iter().map(|h| (h.si(), h.written())).collect(), outermost);
}
