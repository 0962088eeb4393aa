//! Checks of the hardware of one unit, on its own.

use super::{At, Checker, inches};
use crate::scenario::limits;
use crate::scenario::machine_file::*;

/// Ranges of every field.
pub(in crate::scenario) fn ranges(c: &mut Checker<'_>, at: At<'_>, hardware: &HardwareFile) {
    let (a, pivot) = (at.of("pivot"), &hardware.pivot);
    c.range(a.of("from_center"), &pivot.from_center, &limits::PIVOT_FROM_CENTER);
    c.range(a.of("height"), &pivot.height, &limits::PIVOT_HEIGHT);
    c.range(a.of("bearing_span"), &pivot.bearing_span, &limits::BEARING_SPAN);
    c.range(a.of("friction"), &pivot.friction, &limits::FRICTION_TORQUE);
    c.range_if(a.of("breakaway"), pivot.breakaway.as_ref(), &limits::FRICTION_TORQUE);
    c.range(a.of("viscous"), &pivot.viscous, &limits::VISCOUS_FRICTION);
    let (a, arm) = (at.of("arm"), &hardware.arm);
    c.range(a.of("length"), &arm.length, &limits::ARM_LENGTH);
    let list = a.of("parts");
    c.count(list, arm.parts.len(), 1, 50, "list what swings: arm tube, brush, motor, wet media");
    for (index, part) in arm.parts.iter().enumerate() {
        part_ranges(c, list.item(index), part);
    }
    brush_ranges(c, at.of("brush"), &hardware.brush);
    if let Some(cable) = &hardware.counterweight {
        let a = at.of("counterweight");
        anchors(c, a, &cable.frame_anchor, &cable.arm_anchor);
        c.range(a.of("travel_ratio"), &cable.travel_ratio, &limits::TRAVEL_RATIO);
    }
    let list = at.of("dampers");
    c.count(list, hardware.dampers.len(), 0, 10, "list only what is fitted");
    for (index, damper) in hardware.dampers.iter().enumerate() {
        let a = list.item(index);
        anchors(c, a, &damper.frame_anchor, &damper.arm_anchor);
        if let Some(gas) = &damper.gas {
            let a = a.of("gas");
            c.range(a.of("preload"), &gas.preload, &limits::GAS_PRELOAD);
            c.range(a.of("rate"), &gas.rate, &limits::GAS_RATE);
            c.range(a.of("at_length"), &gas.at_length, &limits::STRUT_LENGTH);
        }
    }
    if let Some(cylinder) = &hardware.cylinder {
        cylinder_ranges(c, at.of("cylinder"), cylinder);
    }
    bumper_ranges(c, at.of("bumper"), &hardware.bumper);
    let (a, holes) = (at.of("stop_pin"), &hardware.stop_pin);
    for (index, hole) in holes.brush_center.iter().enumerate() {
        c.range(a.of("brush_center").item(index), hole, &limits::STOP_DISTANCE);
    }
    for (index, hole) in holes.angle.iter().enumerate() {
        c.range(a.of("angle").item(index), hole, &limits::STOP_ANGLE);
    }
    let a = at.of("outboard_stop");
    c.range(a.of("angle"), &hardware.outboard_stop.angle, &limits::STOP_ANGLE);
    bumper_ranges(c, a.of("bumper"), &hardware.outboard_stop.bumper);
}

fn part_ranges(c: &mut Checker<'_>, at: At<'_>, part: &PartFile) {
    let mass = match part {
        PartFile::Rod { mass, from, to, .. } => {
            c.range(at.of("from"), from, &limits::PART_RADIUS);
            c.range(at.of("to"), to, &limits::PART_RADIUS);
            mass
        }
        PartFile::Point { mass, at: place, .. } => {
            c.range(at.of("at"), place, &limits::PART_RADIUS);
            mass
        }
        PartFile::Given { mass, at: place, inertia, .. } => {
            c.range(at.of("at"), place, &limits::PART_RADIUS);
            c.range(at.of("inertia"), inertia, &limits::PART_INERTIA);
            mass
        }
    };
    c.range(at.of("mass"), mass, &limits::PART_MASS);
}

fn brush_ranges(c: &mut Checker<'_>, at: At<'_>, brush: &BrushFile) {
    c.range(at.of("radius"), &brush.radius, &limits::BRUSH_RADIUS);
    c.range(at.of("hub_radius"), &brush.hub_radius, &limits::HUB_RADIUS);
    c.range(at.of("media_bottom"), &brush.media_bottom, &limits::MEDIA_HEIGHT);
    c.range(at.of("media_top"), &brush.media_top, &limits::MEDIA_HEIGHT);
    c.range_if(at.of("exponent"), brush.exponent.as_ref(), &limits::EXPONENT);
    c.range_if(at.of("air_drag"), brush.air_drag.as_ref(), &limits::AIR_DRAG);
    c.range_if(at.of("stiffening_spin"), brush.stiffening_spin.as_ref(), &limits::STIFFENING_SPIN);
    if !(1..=10_000).contains(&brush.strips) {
        c.sense(
            at.of("strips"),
            "strips is out of range",
            brush.strips.to_string(),
            "1 to 10000",
            "count the strips around the brush at one height",
        );
    }
}

fn anchors(c: &mut Checker<'_>, at: At<'_>, frame: &FrameAnchorFile, arm: &ArmAnchorFile) {
    let a = at.of("frame_anchor");
    c.range(a.of("downstream"), &frame.downstream, &limits::ANCHOR);
    c.range(a.of("toward_wall"), &frame.toward_wall, &limits::ANCHOR);
    let a = at.of("arm_anchor");
    c.range(a.of("along"), &arm.along, &limits::ANCHOR);
    c.range(a.of("across"), &arm.across, &limits::ANCHOR);
}

fn cylinder_ranges(c: &mut Checker<'_>, at: At<'_>, cylinder: &CylinderFile) {
    anchors(c, at, &cylinder.frame_anchor, &cylinder.arm_anchor);
    c.range(at.of("bore"), &cylinder.bore, &limits::BORE);
    c.range(at.of("rod_diameter"), &cylinder.rod_diameter, &limits::ROD_DIAMETER);
    c.range(at.of("stroke"), &cylinder.stroke, &limits::STROKE);
    c.range(at.of("closed_length"), &cylinder.closed_length, &limits::STRUT_LENGTH);
    c.range(at.of("seal_friction"), &cylinder.seal_friction, &limits::SEAL_FRICTION);
    c.range(at.of("polytropic_index"), &cylinder.polytropic_index, &limits::POLYTROPIC_INDEX);
    c.range(at.of("valve_pull_in"), &cylinder.valve_pull_in, &limits::PULL_IN);
    for (name, chamber) in [("cap", &cylinder.cap), ("rod", &cylinder.rod)] {
        let a = at.of(name);
        c.range(a.of("dead_volume"), &chamber.dead_volume, &limits::DEAD_VOLUME);
        for (name, path) in [("supply", &chamber.supply), ("exhaust", &chamber.exhaust)] {
            let a = a.of(name);
            c.range(a.of("c"), &path.c, &limits::CONDUCTANCE);
            c.range(a.of("b"), &path.b, &limits::CRITICAL_RATIO);
        }
    }
}

fn bumper_ranges(c: &mut Checker<'_>, at: At<'_>, bumper: &BumperFile) {
    c.range(at.of("radius"), &bumper.radius, &limits::STOP_RADIUS);
    c.range(at.of("linear"), &bumper.linear, &limits::BUMPER_LINEAR);
    c.range(at.of("cubic"), &bumper.cubic, &limits::BUMPER_CUBIC);
    c.range(at.of("damping"), &bumper.damping, &limits::BUMPER_DAMPING);
    c.range(at.of("full_compression"), &bumper.full_compression, &limits::FULL_COMPRESSION);
    c.range(at.of("rigid"), &bumper.rigid, &limits::BUMPER_RIGID);
}

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
