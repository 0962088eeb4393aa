//! The machine: pivot with its bearings, arm, cable and weight, cylinder, dampers, stops and stop-pin holes; ghosts of pinned set-ups.

use super::brush::unit_role;
use super::contact::ground_from_unit;
use super::{Ghost, LEAN_SHOWN, Stage};
use crate::arm::{AirCylinder, BumperStop, Damper, Strut, UnitModel};
use crate::drawing::labels::Label;
use crate::drawing::list::{DisplayList, Fill, Hatch, HatchKind, Item, Pos, Rect, Shape, Stroke, pos};
use crate::drawing::palette::Role;
use crate::drawing::words::{job_length, offset_text, short_length};
use crate::elementary::Elementary;
use crate::geometry::Vec2;
use crate::pass::UnitInstant;
use crate::pass::motion::StopMode;
use crate::units::{Dimension, ForceDim, MassDim, PressureDim, format};

/// Half the width of an arm at the pivot and at the spindle, m.
const ARM_HALF_M: [f64; 2] = [0.055, 0.035];

/// A unit's frame on the page.
struct Unit<'a> {
    model: &'a UnitModel,
    at: UnitInstant,
    frame: crate::drawing::Frame,
}

impl Unit<'_> {
    /// Page position of a point given from the pivot in the unit frame, m.
    fn off_pivot(&self, p: Vec2) -> Pos {
        let g = ground_from_unit(self.at.side, self.model.pivot_m + p);
        self.frame.page_from_ground([g.x, g.y])
    }

    /// Page position of a point `along` the arm and `across` it (positive where the arm moves to when φ grows), m.
    fn on_arm(&self, along: f64, across: f64) -> Pos {
        self.off_pivot(self.arm_point(along, across))
    }

    fn arm_point(&self, along: f64, across: f64) -> Vec2 {
        let (dir, d_dir) = UnitModel::arm_direction(self.at.phi_rad);
        dir * along + d_dir * across
    }

    /// Page direction of a direction of the unit frame.
    fn direction(&self, v: Vec2) -> [f64; 2] {
        let g = ground_from_unit(self.at.side, v);
        self.frame.page_direction_from_ground([g.x, g.y])
    }
}

pub(super) fn draw_unit(stage: &mut Stage<'_>, index: usize) {
    let setup = &stage.scene.setup;
    let unit = Unit { model: &setup.units[index], at: stage.at[index], frame: stage.frame };
    if stage.options.show.fixings {
        draw_stops(stage, &unit, index);
    }
    if stage.options.show.struts && !unit.at.ended {
        draw_struts(stage, &unit);
    }
    if !unit.at.ended {
        draw_arm(stage, &unit);
    }
    draw_pivot(stage, &unit);
}

fn draw_arm(stage: &mut Stage<'_>, unit: &Unit<'_>) {
    let model = unit.model;
    let [near, far] = ARM_HALF_M;
    // Whatever is fixed behind the pivot needs something to be fixed to.
    let anchors = model
        .counterweight
        .iter()
        .map(|c| c.strut.arm_along_m)
        .chain(model.cylinder.iter().map(|c| c.strut.arm_along_m))
        .chain(model.dampers.iter().map(|d| d.strut.arm_along_m));
    let behind = anchors.fold(0.0, f64::min) - 0.04;
    let tip = model.body.length_m;
    let corners =
        [(behind, -0.6 * near), (0.0, -near), (tip, -far), (tip, far), (0.0, near), (behind, 0.6 * near)];
    let points = corners.map(|(a, b)| unit.on_arm(a, b)).to_vec();
    let side = unit.at.side;
    let item = stage.items.polygon(points, Fill::solid(Role::Machine), Some(Stroke::new(1.0, Role::Paper)));
    item.key = Some(format!("arm:{}", side.name()));
    item.tip = Some(format!(
        "{} arm: {} from pivot to spindle, {}",
        side.name(),
        short_length(model.body.length_m, stage.options.units),
        format(MassDim::INFO, model.body.mass_kg, stage.options.units)
    ));
    let spindle = unit.on_arm(tip, 0.0);
    let role = unit_role(side);
    stage.items.circle(spindle, 4.5 * stage.symbol(), Fill::solid(role), Some(Stroke::new(1.5, Role::Paper)));
    let (a, b) = (unit.on_arm(0.0, 0.0), spindle);
    let half = stage.frame.length(near) + 2.0;
    stage.solid_line(a, b, half);
}

fn draw_pivot(stage: &mut Stage<'_>, unit: &Unit<'_>) {
    let units = stage.options.units;
    let side = unit.at.side;
    let bearings = &unit.model.bearings;
    let offset = |o: crate::arm::BearingOffsets| Vec2::new(o.downstream_m, o.toward_wall_m);
    let (upper, lower) = (offset(bearings.upper), offset(bearings.lower));
    let pivot = unit.off_pivot(Vec2::zeros());
    let k = stage.symbol();
    let mut items = DisplayList::new(0.0, 0.0);
    // The plate on the wall side that carries the pivot.
    let toward_wall = unit.direction(Vec2::new(0.0, 1.0));
    let along = unit.direction(Vec2::new(1.0, 0.0));
    let foot = |a: f64, w: f64| {
        let (a, w) = (k * a, k * w);
        pos(pivot.x + a * along[0] + w * toward_wall[0], pivot.y + a * along[1] + w * toward_wall[1])
    };
    let plate = vec![foot(-15.0, -3.0), foot(15.0, -3.0), foot(21.0, 20.0), foot(-21.0, 20.0)];
    items.polygon(plate, Fill::solid(Role::Panel), Some(Stroke::new(1.2, Role::Machine)));
    let ground = vec![foot(-25.0, 20.0), foot(25.0, 20.0), foot(25.0, 27.0), foot(-25.0, 27.0)];
    items.polygon(ground, Fill::hatch(Hatch::new(HatchKind::Falling, 4.0, Role::Machine)), None);
    items.line(foot(-25.0, 20.0), foot(25.0, 20.0), Stroke::new(1.8, Role::Machine));
    let lean = lower - upper;
    let page_upper = unit.off_pivot(upper * LEAN_SHOWN);
    let page_lower = unit.off_pivot(lower * LEAN_SHOWN);
    items.circle(page_lower, 8.0 * k, Fill::solid(Role::Paper), Some(Stroke::new(2.0, Role::Ink)));
    items.circle(page_upper, 4.0 * k, Fill::solid(Role::Ink), None);
    if lean.norm() > 1e-6 {
        items.line(page_lower, page_upper, Stroke::new(2.0, Role::Ink));
    }
    let text = lean_text(lean, units);
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    item.key = Some(format!("pivot:{}", side.name()));
    item.tip = Some(format!(
        "{} pivot, bearings {} apart: {text} (ring = lower bearing, dot = upper, offset drawn {LEAN_SHOWN:.0} times)",
        side.name(),
        short_length(bearings.span_m, units)
    ));
    stage.items.push(item);
    let out = [0.4 * along[0] + toward_wall[0], 0.4 * along[1] + toward_wall[1]];
    let lines = if lean.norm() > 1e-6 {
        let rest = text.strip_prefix("lower bearing ").unwrap_or(&text);
        vec!["lower bearing".to_owned(), format!("{rest} (×{LEAN_SHOWN:.0})")]
    } else {
        vec![text]
    };
    let mut label = Label::new(pivot, 29.0 * k, stage.options.size(), String::new()).toward(out);
    label.lines = lines;
    stage.labels.push((2, label));
    if let Some(around) = Rect::around(&[foot(-25.0, -8.0), foot(25.0, 27.0)]) {
        stage.solid.push(around);
    }
}

/// The offset of the lower bearing from the upper one in words.
pub(super) fn lean_text(lower_from_upper_m: Vec2, units: crate::units::UnitSystem) -> String {
    let mut parts = Vec::new();
    for (value, plus, minus) in [
        (lower_from_upper_m.y, "to the wall", "to the lane"),
        (lower_from_upper_m.x, "downstream", "upstream"),
    ] {
        if value.abs() > 1e-6 {
            let way = if value > 0.0 { plus } else { minus };
            parts.push(format!("{} {way}", offset_text(value.abs(), units)));
        }
    }
    if parts.is_empty() { "bearings plumb".to_owned() } else { format!("lower bearing {}", parts.join(", ")) }
}

fn draw_struts(stage: &mut Stage<'_>, unit: &Unit<'_>) {
    for damper in &unit.model.dampers {
        draw_damper(stage, unit, damper);
    }
    if let Some(cylinder) = &unit.model.cylinder {
        draw_cylinder(stage, unit, cylinder);
    }
    draw_cable(stage, unit);
}

fn ends(unit: &Unit<'_>, strut: &Strut) -> (Pos, Pos) {
    (unit.off_pivot(strut.frame_anchor_m), unit.on_arm(strut.arm_along_m, strut.arm_across_m))
}

/// A strip of a given half width between two shares of a line.
fn bar(a: Pos, b: Pos, from: f64, to: f64, half: f64) -> Vec<Pos> {
    let length = a.distance(b).max(1e-9);
    let (nx, ny) = (-(b.y - a.y) / length * half, (b.x - a.x) / length * half);
    let (p, q) = (a.towards(b, from), a.towards(b, to));
    vec![p.shifted(nx, ny), q.shifted(nx, ny), q.shifted(-nx, -ny), p.shifted(-nx, -ny)]
}

fn anchor_mark(items: &mut DisplayList, at: Pos, k: f64) {
    items.circle(at, 3.2 * k, Fill::solid(Role::Paper), Some(Stroke::new(1.5, Role::Machine)));
}

fn draw_cylinder(stage: &mut Stage<'_>, unit: &Unit<'_>, cylinder: &AirCylinder) {
    let (frame, arm) = ends(unit, &cylinder.strut);
    let length_m = cylinder.strut.at(unit.at.phi_rad).length_m;
    let barrel = (0.9 * cylinder.closed_length_m / length_m).clamp(0.1, 1.0);
    let stroke_share = ((length_m - cylinder.closed_length_m) / cylinder.stroke_m).clamp(0.0, 1.0);
    // The piston runs in the barrel between its ends.
    let piston = barrel * (0.12 + 0.76 * stroke_share);
    let bore_m = 2.0 * (cylinder.cap.area_m2 / std::f64::consts::PI).sqrt();
    let half = stage.frame.length(0.5 * bore_m + 0.012).max(2.5);
    let mut items = DisplayList::new(0.0, 0.0);
    items.polygon(bar(frame, arm, piston, 1.0, 1.5), Fill::solid(Role::Machine), None);
    items.polygon(
        bar(frame, arm, 0.06, barrel, half),
        Fill::solid(Role::Paper),
        Some(Stroke::new(1.4, Role::Machine)),
    );
    for (pressure, from, to) in [(unit.at.cap_gauge_pa, 0.06, piston), (unit.at.rod_gauge_pa, piston, barrel)]
    {
        if pressure.is_some_and(|p| p > 1000.0) {
            let fill = Fill::solid(Role::Highlight.faint(0.2)).with_hatch(Hatch::new(
                HatchKind::Dots,
                4.0,
                Role::Highlight.faint(0.9),
            ));
            items.polygon(bar(frame, arm, from, to, (half - 1.5).max(1.5)), fill, None);
        }
    }
    let head = bar(frame, arm, piston, (piston + 0.02).min(1.0), half);
    items.polygon(head, Fill::solid(Role::Ink), None);
    anchor_mark(&mut items, frame, stage.symbol());
    anchor_mark(&mut items, arm, stage.symbol());
    let units = stage.options.units;
    let side = unit.at.side;
    let gauge = |p: Option<f64>| format(PressureDim::INFO, p.unwrap_or(f64::NAN), units);
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    item.key = Some(format!("cylinder:{}", side.name()));
    item.tip = Some(format!(
        "{} air cylinder: cap end {}, rod end {} (gauge)",
        side.name(),
        gauge(unit.at.cap_gauge_pa),
        gauge(unit.at.rod_gauge_pa)
    ));
    stage.items.push(item);
    let middle = frame.towards(arm, 0.5 * barrel);
    stage.solid_line(frame, arm, half + 2.0);
    let text = format!("air {}", gauge(unit.at.cap_gauge_pa));
    let out = unit.direction(Vec2::new(0.6, 1.0));
    stage.labels.push((3, Label::new(middle, half + 3.0, stage.options.size(), text).toward(out)));
}

fn draw_damper(stage: &mut Stage<'_>, unit: &Unit<'_>, damper: &Damper) {
    let (frame, arm) = ends(unit, &damper.strut);
    let mut items = DisplayList::new(0.0, 0.0);
    items.polygon(bar(frame, arm, 0.4, 1.0, 1.2), Fill::solid(Role::Machine), None);
    let fill = if damper.gas.is_some() {
        Fill::solid(Role::Panel).with_hatch(Hatch::new(HatchKind::Dots, 4.0, Role::Machine))
    } else {
        Fill::solid(Role::Vehicle)
    };
    items.polygon(
        bar(frame, arm, 0.06, 0.62, 3.6 * stage.symbol()),
        fill,
        Some(Stroke::new(1.2, Role::Machine)),
    );
    anchor_mark(&mut items, frame, stage.symbol());
    anchor_mark(&mut items, arm, stage.symbol());
    let push_n = damper.damping_push_n(&damper.strut.at(unit.at.phi_rad), unit.at.omega_rad_s);
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    let kind = if damper.gas.is_some() { "gas spring and damper" } else { "damper" };
    item.key = Some(format!("damper:{}", unit.at.side.name()));
    item.tip = Some(format!(
        "{} {kind}: {} against the swing",
        unit.at.side.name(),
        format(ForceDim::INFO, push_n.abs(), stage.options.units)
    ));
    stage.items.push(item);
    stage.solid_line(frame, arm, 4.5);
}

fn draw_cable(stage: &mut Stage<'_>, unit: &Unit<'_>) {
    let Some(weight) = &unit.model.counterweight else { return };
    let (sheave, arm) = ends(unit, &weight.strut);
    let mut items = DisplayList::new(0.0, 0.0);
    let stroke = Stroke::new(1.6, Role::Ink);
    if unit.at.modes.slack {
        // A slack line sags to one side in waves.
        let length = sheave.distance(arm).max(1e-9);
        let (nx, ny) = (-(arm.y - sheave.y) / length, (arm.x - sheave.x) / length);
        let points = (0..=24)
            .map(|i| {
                let t = f64::from(i) / 24.0;
                let off = 4.0 * (t * 6.0 * std::f64::consts::PI).sine();
                sheave.towards(arm, t).shifted(off * nx, off * ny)
            })
            .collect();
        items.polyline(points, stroke);
    } else {
        items.line(sheave, arm, stroke);
    }
    // The weight hangs out of the plane of the picture: it is shown beside its sheave.
    let out = unit.direction(Vec2::new(-0.8, 0.6));
    let k = stage.symbol();
    let at = pos(sheave.x + 22.0 * k * out[0], sheave.y + 22.0 * k * out[1]);
    items.line(sheave, at, Stroke::new(1.2, Role::Ink));
    items.circle(sheave, 6.0 * k, Fill::solid(Role::Paper), Some(Stroke::new(1.8, Role::Ink)));
    items.circle(sheave, 1.4 * k, Fill::solid(Role::Ink), None);
    let corner = |x: f64, y: f64| at.shifted(k * x, k * y);
    let block = vec![corner(-5.0, -7.0), corner(5.0, -7.0), corner(8.0, 7.0), corner(-8.0, 7.0)];
    items.polygon(block, Fill::solid(Role::Machine), Some(Stroke::new(1.2, Role::Ink)));
    anchor_mark(&mut items, arm, stage.symbol());
    let units = stage.options.units;
    let side = unit.at.side;
    let mass = format(MassDim::INFO, weight.mass_kg, units);
    let state = if unit.at.modes.slack {
        "cable slack".to_owned()
    } else {
        format!("line tension {}", format(ForceDim::INFO, unit.at.tension_n.unwrap_or(f64::NAN), units))
    };
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    item.key = Some(format!("counterweight:{}", side.name()));
    item.tip = Some(format!("{} counterweight {mass}: {state}", side.name()));
    stage.items.push(item);
    let slack = if unit.at.modes.slack { ", slack" } else { "" };
    let label = Label::new(at, 11.0 * k, stage.options.size(), format!("weight {mass}{slack}")).toward(out);
    stage.labels.push((4, label));
    stage.solid.push(Rect::new(at.x - 9.0 * k, at.y - 8.0 * k, 18.0 * k, 16.0 * k));
    stage.solid_line(sheave, arm, 2.5);
    stage.solid.push(Rect::new(sheave.x - 7.0 * k, sheave.y - 7.0 * k, 14.0 * k, 14.0 * k));
}

fn draw_stops(stage: &mut Stage<'_>, unit: &Unit<'_>, index: usize) {
    draw_stop(stage, unit, &unit.model.outboard_stop, 1.0, unit.at.modes.outboard);
    draw_stop(stage, unit, &unit.model.inboard_stop, -1.0, unit.at.modes.inboard);
    draw_pin(stage, unit, index);
}

/// A point at a radius from the pivot, in the direction of swing angle `phi_rad`, moved `across_m` towards growing angles.
fn at_angle(unit: &Unit<'_>, radius_m: f64, phi_rad: f64, across_m: f64) -> Pos {
    let (dir, d_dir) = UnitModel::arm_direction(phi_rad);
    unit.off_pivot(dir * radius_m + d_dir * across_m)
}

/// Half the width of the arm at a radius, m.
fn arm_half_m(unit: &Unit<'_>, radius_m: f64) -> f64 {
    let share = (radius_m / unit.model.body.length_m).clamp(0.0, 1.0);
    ARM_HALF_M[0] + (ARM_HALF_M[1] - ARM_HALF_M[0]) * share
}

fn draw_stop(stage: &mut Stage<'_>, unit: &Unit<'_>, stop: &BumperStop, sense: f64, mode: StopMode) {
    // The face gives way with the arm; the backing stays.
    let seat = stop.seat_rad;
    let phi = unit.at.phi_rad;
    let pressed = sense * (phi - seat) > 0.0;
    let face = if pressed { phi } else { seat };
    let half = arm_half_m(unit, stop.radius_m);
    let thick = (1.8 * stop.full_compression_m).max(0.05);
    let across = sense * half;
    let give_m = if pressed { sense * (phi - seat) * stop.radius_m } else { 0.0 };
    let back = across + sense * (thick - give_m).max(0.01);
    let wide = 0.05;
    let corner = |r: f64, a: f64| at_angle(unit, stop.radius_m + r, face, a);
    let mut items = DisplayList::new(0.0, 0.0);
    let block = vec![
        corner(-wide, across),
        corner(wide, across),
        corner(1.25 * wide, back),
        corner(-1.25 * wide, back),
    ];
    let fill = if mode == StopMode::Pressed {
        Fill::solid(Role::Warn.faint(0.35)).with_hatch(Hatch::new(HatchKind::Cross, 4.0, Role::Warn))
    } else {
        Fill::solid(Role::Panel).with_hatch(Hatch::new(HatchKind::Rising, 4.0, Role::Machine))
    };
    items.polygon(block, fill, Some(Stroke::new(1.4, Role::Machine)));
    let plate = back + sense * 0.012;
    items.line(corner(-0.08, plate), corner(0.08, plate), Stroke::new(3.0, Role::Machine));
    let box_at = corner(0.0, 0.5 * (across + back));
    let half = (0.7 * stage.frame.length(wide)).max(5.0);
    stage.solid.push(Rect::new(box_at.x - half, box_at.y - half, 2.0 * half, 2.0 * half));
    let name = if sense < 0.0 { "bumper stop" } else { "outboard stop" };
    let units = stage.options.units;
    let state = if mode == StopMode::Pressed {
        let force = if sense < 0.0 { unit.at.inboard_stop_n } else { unit.at.outboard_stop_n };
        format!("pressed {}, {}", job_length(give_m, units), format(ForceDim::INFO, force, units))
    } else {
        let away = (phi - seat).abs().to_degrees();
        format!("clear by {away:.1}°")
    };
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    item.key =
        Some(format!("stop:{}:{}", unit.at.side.name(), if sense < 0.0 { "inboard" } else { "outboard" }));
    item.tip = Some(format!("{} {name}: {state}", unit.at.side.name()));
    stage.items.push(item);
    if mode == StopMode::Pressed {
        let at = corner(0.0, 0.5 * (across + back));
        let label =
            Label::new(at, 8.0, stage.options.size(), format!("{name} {}", job_length(give_m, units)));
        stage.labels.push((3, label));
    }
}

/// The row of stop-pin holes beside the bumper stop, spread apart so that they can be told from one another.
fn draw_pin(stage: &mut Stage<'_>, unit: &Unit<'_>, index: usize) {
    let Some(Some(pin)) = stage.options.stop_pins.get(index) else { return };
    let stop = &unit.model.inboard_stop;
    let count = pin.seat_rad.len();
    if count == 0 {
        return;
    }
    // Clear of the arm at its seat, whichever hole is in use.
    let k = stage.symbol();
    let spacing = 10.0 * k;
    let used = pin.hole.clamp(1, count);
    let off_m = (spacing * (used as f64 - 1.0) + 12.0 * k) / stage.frame.scale_per_m;
    let half = arm_half_m(unit, stop.radius_m);
    let middle = at_angle(unit, stop.radius_m + 0.17, stop.seat_rad, -half - off_m);
    let (dir, d_dir) = UnitModel::arm_direction(stop.seat_rad);
    let step = unit.direction(d_dir * -1.0);
    let side_way = unit.direction(dir);
    // Hole 1 is outermost; the seat in use stays beside its stop.
    let place = |hole: usize| {
        let off = spacing * (hole as f64 - used as f64);
        pos(middle.x + off * step[0], middle.y + off * step[1])
    };
    let mut items = DisplayList::new(0.0, 0.0);
    let (first, last) = (place(1), place(count));
    let pad = |p: Pos, along: f64, across: f64| {
        let (along, across) = (k * along, k * across);
        pos(p.x + along * step[0] + across * side_way[0], p.y + along * step[1] + across * side_way[1])
    };
    let plate =
        vec![pad(first, -7.0, -6.5), pad(last, 7.0, -6.5), pad(last, 7.0, 6.5), pad(first, -7.0, 6.5)];
    items.polygon(plate, Fill::solid(Role::Paper), Some(Stroke::new(1.2, Role::Machine)));
    for hole in 1..=count {
        let at = place(hole);
        if hole == pin.hole {
            items.circle(at, 3.8 * k, Fill::solid(Role::Ink), None);
        } else {
            items.circle(at, 3.2 * k, Fill::default(), Some(Stroke::new(1.2, Role::Machine)));
        }
    }
    let mut item: Item = Shape::Group { clip: None, items: items.items }.into();
    item.key = Some(format!("stop-pin:{}", unit.at.side.name()));
    item.tip = Some(format!(
        "{} stop pin in hole {} of {count}, counted from the wall side (holes drawn apart)",
        unit.at.side.name(),
        pin.hole
    ));
    stage.items.push(item);
    let text = format!("pin in hole {} of {count}", pin.hole);
    let label = Label::new(place(used), 9.0 + 0.5 * spacing * count as f64, stage.options.size(), text);
    stage.labels.push((2, label.toward(side_way)));
    if let Some(rect) = Rect::around(&[first, last]) {
        stage.solid.push(rect.inset(-7.0 * k));
    }
}

/// Arm and brush of a pinned set-up at the same vehicle position, as outlines in its own dashes.
pub(super) fn draw_ghost(stage: &mut Stage<'_>, ghost: &Ghost<'_>) {
    let position = stage.t_s * stage.scene.record.conveyor_speed_m_s;
    let t_s = (position / ghost.solved.record.conveyor_speed_m_s)
        .clamp(ghost.solved.record.start_s, ghost.solved.record.end_s);
    let style = ghost.role.style();
    for (model, run) in ghost.solved.setup.units.iter().zip(&ghost.solved.record.units) {
        let phi = run.state_at(t_s).phi_rad();
        let page = |p: Vec2| {
            let g = ground_from_unit(model.side, p);
            stage.frame.page_from_ground([g.x, g.y])
        };
        let (pivot, centre) = (page(model.pivot_m), page(model.brush_center_m(phi)));
        let radius = stage.frame.length(model.brush.radius_m);
        let items: Vec<Item> = vec![
            Shape::Polyline { points: vec![pivot, centre], closed: false, stroke: style.stroke(2.0) }.into(),
            Shape::Circle { centre, radius, fill: Fill::default(), stroke: Some(style.stroke(1.8)) }.into(),
        ];
        let mut item: Item = Shape::Group { clip: None, items }.into();
        item.key = Some(format!("ghost:{}:{}", ghost.name, model.side.name()));
        item.tip = Some(format!(
            "set-up {}, {} brush: swing {:.1}°",
            ghost.name,
            model.side.name(),
            phi.to_degrees()
        ));
        stage.items.push(item);
        stage.items.mark(centre, style.marker, 9.0, ghost.role);
        // On the rim, on the inboard and upstream side, where the drawn brush is least in the way.
        let rim = page(model.brush_center_m(phi) + Vec2::new(-0.6, -0.8) * model.brush.radius_m);
        let away = [rim.x - centre.x, rim.y - centre.y];
        let label = Label::new(rim, 2.0, stage.options.size() + 2.0, ghost.name);
        let label = label.painted(ghost.role).toward(away);
        stage.labels.push((3, label));
    }
}
