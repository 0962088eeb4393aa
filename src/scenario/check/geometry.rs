//! Checks of what the built units do together: swing range, struts over the swing, and whether vehicles fit past.

use super::{At, Checker, degrees, inches};
use crate::arm::{Strut, UnitModel};
use crate::elementary::Elementary;
use crate::pass::TrainVehicle;
use crate::scenario::file::ScenarioFile;
use crate::scenario::machine_file::HardwareFile;

/// Least swing between the stops.
const LEAST_SWING_RAD: f64 = 0.05;
/// Two ends of a strut closer than this have met.
const MET_M: f64 = 0.010;
/// Past the full compression of both bumpers, so that their rigid backing does not matter.
const MARGIN_RAD: f64 = 0.01;
/// Places looked at over the swing.
const LOOKS: u32 = 64;

/// Swing from full compression of the inboard bumper to full compression of the outboard one, rad.
pub(in crate::scenario) fn swing_range_rad(unit: &UnitModel) -> (f64, f64) {
    let give = |stop: &crate::arm::BumperStop| stop.full_compression_m / stop.radius_m + MARGIN_RAD;
    (
        unit.inboard_stop.seat_rad - give(&unit.inboard_stop),
        unit.outboard_stop.seat_rad + give(&unit.outboard_stop),
    )
}

/// One unit: stops in order, struts that work over the whole swing.
pub(in crate::scenario) fn unit(
    c: &mut Checker<'_>,
    machine: At<'_>,
    hardware: &HardwareFile,
    unit: &UnitModel,
) {
    let (inboard, outboard) = (unit.inboard_stop.seat_rad, unit.outboard_stop.seat_rad);
    if outboard - inboard < LEAST_SWING_RAD {
        c.sense(
            machine.of("outboard_stop").of("angle"),
            "the outboard stop is inboard of the bumper",
            hardware.outboard_stop.angle.written(),
            format!("more than the angle at the stop pin, {}", degrees(inboard + LEAST_SWING_RAD)),
            "0 is the arm straight across the lane, 90 deg along it: check the stop's angle and the hole of the stop pin",
        );
        return;
    }
    let (low, high) = swing_range_rad(unit);
    let lengths = |strut: &Strut| {
        (0..=LOOKS)
            .map(|i| strut.at(low + (high - low) * f64::from(i) / f64::from(LOOKS)).length_m)
            .fold((f64::INFINITY, 0.0_f64), |(least, most), length| (least.min(length), most.max(length)))
    };
    let mut apart = |at: At<'_>, strut: &Strut, what: &str| {
        if lengths(strut).0 < MET_M {
            c.sense(
                at.of("frame_anchor"),
                format!("both ends of {what} come together as the arm swings"),
                format!("{} apart", inches(lengths(strut).0)),
                format!("at least {} apart over the whole swing", inches(MET_M)),
                "measure both anchors from the pivot: along the lane, toward the wall, along the arm",
            );
        }
    };
    if let Some(weight) = &unit.counterweight {
        apart(machine.of("counterweight"), &weight.strut, "the counterweight's cable");
    }
    let list = machine.of("dampers");
    for (index, damper) in unit.dampers.iter().enumerate() {
        apart(list.item(index), &damper.strut, "the damper");
    }
    let Some(cylinder) = &unit.cylinder else { return };
    let at = machine.of("cylinder");
    apart(at, &cylinder.strut, "the cylinder");
    let (least, most) = lengths(&cylinder.strut);
    let open = cylinder.closed_length_m + cylinder.stroke_m;
    let Some(file) = &hardware.cylinder else { return };
    let swing = format!(
        "over the swing from {} to {} the anchors are {} to {} apart",
        degrees(low),
        degrees(high),
        inches(least),
        inches(most)
    );
    if least < cylinder.closed_length_m {
        c.sense(
            at.of("closed_length"),
            format!("the cylinder bottoms before the arm reaches its stop: {swing}"),
            file.closed_length.written(),
            format!("up to {}", inches(least)),
            "check the anchors, the stops and the cylinder; a bumper is counted as fully compressed",
        );
    }
    if most > open {
        c.sense(
            at.of("stroke"),
            format!("the stroke runs out before the arm reaches its stop: {swing}"),
            file.stroke.written(),
            format!("at least {}", inches(most - cylinder.closed_length_m)),
            "check the anchors, the stops and the cylinder; a bumper is counted as fully compressed",
        );
    }
}

/// The lane between the pivots.
pub(in crate::scenario) fn lane(c: &mut Checker<'_>, file: &ScenarioFile, units: &[UnitModel]) {
    let half = 0.5 * file.line.lane_width.si();
    for unit in units {
        if unit.pivot_m.y < half {
            c.sense(
                At::root(0).of("line").of("lane_width"),
                "the lane reaches past a pivot",
                file.line.lane_width.written(),
                format!(
                    "up to {}, twice the pivot's distance from the centreline",
                    inches(2.0 * unit.pivot_m.y)
                ),
                "measure the clear width between whatever stands beside the lane",
            );
        }
    }
}

/// One vehicle and how it comes through.
pub(in crate::scenario) fn vehicle(
    c: &mut Checker<'_>,
    at: At<'_>,
    name: &str,
    vehicle: &TrainVehicle,
    file: &ScenarioFile,
    units: &[UnitModel],
) {
    let body = &vehicle.shape.real;
    let (sin, cos) = vehicle.yaw_rad.abs().sine_cosine();
    let half = 0.5 * (body.width_m * cos + body.length_m * sin);
    let needs = 2.0 * (half + vehicle.lateral_offset_m.abs());
    if needs > file.line.lane_width.si() {
        c.sense(
            at,
            format!("«{name}» does not fit the lane as it sits"),
            format!("it needs {} of lane", inches(needs)),
            format!("up to line.lane_width, {}", file.line.lane_width.written()),
            "check width, lateral offset and yaw of the vehicle, and the lane",
        );
        return;
    }
    for unit in units {
        // The side of the body that this unit works on, from the centreline.
        let side = 0.5 * body.width_m + unit.side.y_sign() * vehicle.lateral_offset_m;
        let parked = unit.brush_center_m(unit.outboard_stop.seat_rad).y - unit.brush.hub_radius_m;
        if side > parked {
            c.sense(
                at,
                format!("«{name}» does not get past the {} brush, even with the arm at its outboard stop", unit.side.name()),
                format!("its side is {} from the centreline", inches(side)),
                format!("up to {}, where the hub stands", inches(parked)),
                "check the vehicle's width and offset, and pivot, arm length and outboard stop of the machine",
            );
        }
        let reach = unit.brush_center_m(unit.inboard_stop.seat_rad).y - unit.brush.radius_m;
        if side < reach {
            c.sense(
                at,
                format!("the {} brush does not reach «{name}», even with the arm at its bumper", unit.side.name()),
                format!("its side is {} from the centreline", inches(side)),
                format!("at least {}, where the brush ends", inches(reach)),
                "check the vehicle's width and offset, and pivot, arm length, stop pin and brush radius of the machine",
            );
        }
        let low = body.bands.first().map_or(0.0, |band| band.z_low_m);
        if body.height_m <= unit.brush.z_low_m || low >= unit.brush.z_high_m {
            c.sense(
                at,
                format!("the media of the {} brush pass over or under «{name}»", unit.side.name()),
                format!("the body is {} to {} above the floor", inches(low), inches(body.height_m)),
                format!(
                    "some of it between media_bottom and media_top, {} to {}",
                    inches(unit.brush.z_low_m),
                    inches(unit.brush.z_high_m)
                ),
                "check the heights of the media above the floor",
            );
        }
    }
}
