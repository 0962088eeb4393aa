//! The bay: wet floor, walls, the track of the conveyor. Drawn to say where one looks; none of it is in the model but the conveyor's speed.

use super::Stage;
use super::ground::half_width_m;
use crate::drawing::list::{Dash, Fill, Hatch, HatchKind, Item, Rect, Shape, Stroke};
use crate::drawing::palette::Role;

/// How far the walls stand inside the widest view of the lane, m.
const WALL_INSIDE_M: f64 = 0.14;
/// How thick they are drawn, m.
const WALL_THICK_M: f64 = 0.6;
/// Half the width of the track, and the distance of its rollers, m.
const TRACK_M: [f64; 2] = [0.14, 1.2];
/// Distance of the gleams on the wet floor, m.
const GLEAM_M: f64 = 0.85;
/// More things than this are left out: from so far away they are no help.
const MOST: i64 = 160;

pub(super) fn draw_floor(stage: &mut Stage<'_>) {
    let area = stage.area;
    let corners = area.corners().map(|corner| stage.frame.ground_from_page(corner));
    let range = |axis: usize| {
        let of = corners.iter().map(|corner| corner[axis]);
        [of.clone().fold(f64::INFINITY, f64::min), of.fold(f64::NEG_INFINITY, f64::max)]
    };
    let (along, across) = (range(0), range(1));
    stage.items.rect(area, Fill::solid(Role::Floor), None);
    let wall = half_width_m(&stage.scene.setup) - WALL_INSIDE_M;
    gleams(stage, along, [across[0].max(-wall), across[1].min(wall)]);
    track(stage, along);
    for side in [1.0, -1.0] {
        let (face, back) = (side * wall, side * (wall + WALL_THICK_M));
        let corners = [[along[0], face], [along[1], face], [along[1], back], [along[0], back]];
        let points = corners.map(|corner| stage.frame.page_from_ground(corner)).to_vec();
        let Some(around) = Rect::around(&points).filter(|wall| wall.overlaps(&area)) else { continue };
        stage.solid.push(around.inset(-2.0));
        let hatch =
            Hatch { kind: HatchKind::Falling, spacing: 9.0, width: 0.8, paint: Role::Machine.faint(0.28) };
        let (a, b) = (points[0], points[1]);
        stage.items.polygon(points, Fill::solid(Role::Panel).with_hatch(hatch), None);
        let item = stage.items.line(a, b, Stroke::new(1.6, Role::Machine.faint(0.7)));
        item.tip = Some("wall of the bay (drawn, not modelled)".to_owned());
    }
}

/// Short gleams that stay where they are on the floor.
fn gleams(stage: &mut Stage<'_>, along: [f64; 2], across: [f64; 2]) {
    let cells = |range: [f64; 2]| ((range[0] / GLEAM_M).floor() as i64, (range[1] / GLEAM_M).ceil() as i64);
    let (columns, rows) = (cells(along), cells(across));
    if (columns.1 - columns.0) * (rows.1 - rows.0) > MOST {
        return;
    }
    let stroke = Stroke::new(1.3, Role::Glass.faint(0.38)).round();
    let mut items: Vec<Item> = Vec::new();
    for (column, row) in (columns.0..columns.1).flat_map(|c| (rows.0..rows.1).map(move |r| (c, r))) {
        let [x, y, long] = scattered(column, row);
        let (x, y) = (GLEAM_M * (column as f64 + x), GLEAM_M * (row as f64 + y));
        if y < across[0] || y > across[1] {
            continue;
        }
        let half = 0.06 + 0.11 * long;
        let points = [[x - half, y], [x + half, y]].map(|p| stage.frame.page_from_ground(p)).to_vec();
        items.push(Shape::Polyline { points, closed: false, stroke }.into());
    }
    stage.items.push(Shape::Group { clip: None, items });
}

/// Three shares that look like chance and are the same each time.
fn scattered(column: i64, row: i64) -> [f64; 3] {
    let mut state = (column as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (row as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F);
    [(); 3].map(|()| {
        state = (state ^ (state >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        state ^= state >> 32;
        (state % 1000) as f64 / 1000.0
    })
}

/// The track under the wheels on the left, its rollers moving with the conveyor.
fn track(stage: &mut Stage<'_>, along: [f64; 2]) {
    let setup = &stage.scene.setup;
    let [half, pitch] = TRACK_M;
    let middle = 0.5 * setup.train[setup.measured].shape.real.width_m - 0.15;
    let moved = (setup.conveyor_speed_m_s * stage.t_s).rem_euclid(pitch);
    let (first, last) =
        (((along[0] - moved) / pitch).ceil() as i64, ((along[1] - moved) / pitch).floor() as i64);
    let page = |x: f64, y: f64| stage.frame.page_from_ground([x, y]);
    let mut items: Vec<Item> = Vec::new();
    for edge in [middle - half, middle + half] {
        let points = vec![page(along[0], edge), page(along[1], edge)];
        items.push(
            Shape::Polyline { points, closed: false, stroke: Stroke::new(1.2, Role::Machine.faint(0.4)) }
                .into(),
        );
    }
    let centre = vec![page(along[0], middle), page(along[1], middle)];
    let chain = Stroke::new(1.0, Role::Machine.faint(0.35)).dashed(Dash::Dotted);
    items.push(Shape::Polyline { points: centre, closed: false, stroke: chain }.into());
    let roller = Stroke::new((0.07 * stage.frame.scale_per_m).clamp(1.5, 9.0), Role::Machine.faint(0.55));
    if last - first <= MOST {
        for k in first..=last {
            let x = moved + pitch * k as f64;
            let points = vec![page(x, middle - 0.8 * half), page(x, middle + 0.8 * half)];
            items.push(Shape::Polyline { points, closed: false, stroke: roller }.into());
        }
    }
    let mut item: Item = Shape::Group { clip: None, items }.into();
    item.tip = Some("conveyor (drawn at its speed; where it lies is not modelled)".to_owned());
    stage.items.push(item);
}
