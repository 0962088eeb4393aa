//! What makes an outline look like a car: shade, wheels, glass, lamps, an open bed. All of it follows from the outlines of the vehicle's own height
//! bands; nothing of it is a part of the model, and it stays inside the outline that is.

use super::Stage;
use super::placed::Placed;
use crate::drawing::list::{DisplayList, Fill, Hatch, HatchKind, Pos, Stroke};
use crate::drawing::palette::Role;
use crate::drawing::path::straightened;
use crate::geometry::Vec2;
use crate::vehicle::{Outline, Vehicle, Zone};

/// Where the shade falls: downstream and to the right, m.
const SHADE_M: [f64; 2] = [0.05, -0.11];
/// Length and width of a wheel, and how far it stays inside the side, m.
const WHEEL_M: [f64; 3] = [0.64, 0.2, 0.045];
/// Places of the axles behind the nose, as shares of the length.
const AXLES: [f64; 2] = [0.185, 0.79];
/// Depth of a lamp and its distance from the edge, m.
const LAMP_M: [f64; 2] = [0.10, 0.02];
/// A body this much shorter at the tail than the one under it, m, leaves an open bed.
const BED_M: f64 = 1.4;
/// Distance of points along an outline, page units.
const STEP: f64 = 7.0;
const FLAT: f64 = 0.15;

/// A body by itself, without what stands out from it.
struct Body<'a> {
    outline: &'a Outline,
    points: Vec<Pos>,
    tail_x_m: f64,
}

/// The bodies of a vehicle from the floor up, each once.
fn bodies<'a>(stage: &Stage<'_>, placed: &Placed<'_>, vehicle: &'a Vehicle) -> Vec<Body<'a>> {
    let mut found: Vec<Body<'a>> = Vec::new();
    for outline in vehicle.bands.iter().filter_map(|band| band.body()) {
        let own = outline.chain.pieces().iter().zip(&outline.tags).filter(|(_, tag)| tag.feature.is_none());
        let mut points: Vec<Vec2> = Vec::new();
        for (piece, _) in own {
            let long = piece.length_m();
            let steps = (long * stage.frame.scale_per_m / STEP).ceil().clamp(1.0, 12.0) as usize;
            points.extend((0..steps).map(|k| piece.point_at(long * k as f64 / steps as f64)));
        }
        let tail_x_m = points.iter().map(|p| p.x).fold(0.0, f64::min);
        let page = stage.frame.chain(points.into_iter().map(|p| placed.ground(p, stage.t_s)));
        let points = straightened(&page, FLAT);
        if found.iter().all(|body| body.points != points) {
            found.push(Body { outline, points, tail_x_m });
        }
    }
    found
}

fn patch(stage: &Stage<'_>, placed: &Placed<'_>, corners: &[Vec2]) -> Vec<Pos> {
    stage.frame.chain(corners.iter().map(|p| placed.ground(*p, stage.t_s)))
}

/// The shade on the floor, under everything of the vehicle.
pub(super) fn draw_shade(stage: &Stage<'_>, outline: &[Pos], group: &mut DisplayList) {
    let [dx, dy] = stage.frame.page_direction_from_ground(SHADE_M);
    let scale = stage.frame.scale_per_m;
    for (share, opacity) in [(1.6, 0.05), (1.0, 0.09)] {
        let points = outline.iter().map(|p| p.shifted(share * scale * dx, share * scale * dy)).collect();
        group.polygon(points, Fill::solid(Role::Shade.faint(opacity)), None);
    }
}

/// Wheels, glass, roof, lamps: over the outlines.
pub(super) fn draw_car(stage: &Stage<'_>, placed: &Placed<'_>, measured: bool, group: &mut DisplayList) {
    let vehicle = placed.vehicle;
    let bodies = bodies(stage, placed, vehicle);
    let Some(lowest) = bodies.first() else { return };
    let strength = if measured { 1.0 } else { 0.6 };
    draw_wheels(stage, placed, strength, group);
    if let [.., under, glass, roof] = bodies.as_slice() {
        if glass.tail_x_m - under.tail_x_m > BED_M {
            draw_bed(stage, placed, under.tail_x_m, glass.tail_x_m, strength, group);
        }
        let edge = Stroke::new(0.9, Role::VehicleEdge.faint(0.7 * strength));
        group.polygon(glass.points.clone(), Fill::solid(Role::Glass.faint(strength)), Some(edge));
        draw_pillars(stage, placed, glass.outline, roof.outline, strength, group);
        group.polygon(roof.points.clone(), Fill::solid(Role::Vehicle), Some(edge));
    }
    draw_lamps(stage, placed, lowest.outline, strength, group);
}

fn draw_wheels(stage: &Stage<'_>, placed: &Placed<'_>, strength: f64, group: &mut DisplayList) {
    let [long, wide, inside] = WHEEL_M;
    let half = 0.5 * placed.vehicle.width_m - inside;
    for (axle, side) in AXLES.into_iter().flat_map(|axle| [1.0, -1.0].map(|side| (axle, side))) {
        let x = -axle * placed.vehicle.length_m;
        let corner = 0.05;
        let at = |dx: f64, dy: f64| Vec2::new(x + dx, side * (half - dy));
        let (a, b) = (0.5 * long, wide);
        let corners = [
            at(a - corner, 0.0),
            at(a, corner),
            at(a, b - corner),
            at(a - corner, b),
            at(corner - a, b),
            at(-a, b - corner),
            at(-a, corner),
            at(corner - a, 0.0),
        ];
        let fill = Fill::solid(Role::Shade.faint(0.34 * strength));
        group.polygon(patch(stage, placed, &corners), fill, None);
    }
}

fn draw_bed(
    stage: &Stage<'_>,
    placed: &Placed<'_>,
    tail_x: f64,
    cab_x: f64,
    strength: f64,
    group: &mut DisplayList,
) {
    let half = 0.5 * placed.vehicle.width_m - 0.14;
    let (rear, front) = (tail_x + 0.1, cab_x - 0.08);
    let corners = [(front, half), (rear, half), (rear, -half), (front, -half)].map(|(x, y)| Vec2::new(x, y));
    let fill = Fill::solid(Role::Shade.faint(0.12 * strength)).with_hatch(Hatch {
        kind: HatchKind::Level,
        spacing: 9.0,
        width: 0.8,
        paint: Role::VehicleEdge.faint(0.25 * strength),
    });
    let edge = Stroke::new(0.9, Role::VehicleEdge.faint(0.6 * strength));
    group.polygon(patch(stage, placed, &corners), fill, Some(edge));
}

/// Where the zones of an outline meet on the left: the middle of the nose corner and of the tail corner, arclength, m.
fn corners_m(outline: &Outline) -> [f64; 2] {
    let start = |zone: Zone| {
        let own = (0..outline.tags.len()).filter(|i| outline.tags[*i].zone == zone);
        own.map(|i| outline.chain.piece_start_m(i)).fold(f64::INFINITY, f64::min)
    };
    [start(Zone::LeftSide), start(Zone::Tail)].map(|s| if s.is_finite() { s } else { 0.0 })
}

/// From the corners of the glass to those of the roof, and one over the middle of each side.
fn draw_pillars(
    stage: &Stage<'_>,
    placed: &Placed<'_>,
    glass: &Outline,
    roof: &Outline,
    strength: f64,
    group: &mut DisplayList,
) {
    let width = (0.075 * stage.frame.scale_per_m).clamp(1.2, 9.0);
    let stroke = Stroke::new(width, Role::Vehicle.faint(strength));
    let mut line = |a: Vec2, b: Vec2| {
        let points = patch(stage, placed, &[a, b]);
        group.polyline(points, stroke);
    };
    for (low, high) in corners_m(glass).into_iter().zip(corners_m(roof)) {
        let (a, b) = (glass.chain.point_at(low), roof.chain.point_at(high));
        for side in [1.0, -1.0] {
            line(Vec2::new(a.x, side * a.y), Vec2::new(b.x, side * b.y));
        }
    }
    let bounds = roof.chain.bounds();
    let middle = 0.5 * (bounds.min.x + bounds.max.x);
    for side in [1.0, -1.0] {
        let far = Vec2::new(middle, side * 3.0);
        line(body_point(glass, far), body_point(roof, far));
    }
}

/// The point of a body nearest to another, away from what stands out from it.
fn body_point(outline: &Outline, to: Vec2) -> Vec2 {
    outline.chain.nearest(to).point
}

fn draw_lamps(
    stage: &Stage<'_>,
    placed: &Placed<'_>,
    outline: &Outline,
    strength: f64,
    group: &mut DisplayList,
) {
    let chain = &outline.chain;
    let [nose, tail] = corners_m(outline);
    let [deep, inside] = LAMP_M;
    let lamps = [
        ([nose - 0.30, nose + 0.12], Fill::solid(Role::Paper.faint(strength))),
        ([tail - 0.10, tail + 0.26], Fill::solid(Role::VehicleEdge.faint(0.75 * strength))),
    ];
    let edge = Stroke::new(0.8, Role::VehicleEdge.faint(0.8 * strength));
    for ([from, to], fill) in lamps {
        let count = 6;
        let along: Vec<(Vec2, Vec2)> = (0..=count)
            .map(|i| from + (to - from) * f64::from(i) / f64::from(count))
            .map(|s| (chain.point_at(s), chain.normal_at(s)))
            .collect();
        let outer = along.iter().map(|(p, n)| p - n * inside);
        let inner = along.iter().rev().map(|(p, n)| p - n * (inside + deep));
        let lamp: Vec<Vec2> = outer.chain(inner).collect();
        for side in [1.0, -1.0] {
            let lamp: Vec<Vec2> = lamp.iter().map(|p| Vec2::new(p.x, side * p.y)).collect();
            group.polygon(patch(stage, placed, &lamp), fill, Some(edge));
        }
    }
}
