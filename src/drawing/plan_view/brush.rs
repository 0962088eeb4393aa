//! The brushes: strips at N angles, straight where they are free and laid along the surface where they touch, and the forces on them.

use super::contact::ground_from_unit;
use super::{SPIN_SHOWN, Stage};
use crate::drawing::labels::Label;
use crate::drawing::list::{Dash, Fill, Item, Pos, Rect, Shape, Stroke};
use crate::drawing::palette::Role;
use crate::drawing::words::short_length;
use crate::elementary::Elementary;
use crate::geometry::{Chain, Vec2};
use crate::pass::motion::VehiclePlan;
use crate::units::{AngleDim, Dimension, ForceDim, format, rounded};

/// Colour of a unit.
pub(super) const fn unit_role(side: crate::arm::Side) -> Role {
    match side {
        crate::arm::Side::Left => Role::LeftUnit,
        crate::arm::Side::Right => Role::RightUnit,
    }
}

/// How far a free strip's tip trails its root at [`TRAIL_SPIN_RAD_S`], rad; it trails more the faster it turns. Drawn, not computed.
const TRAIL_RAD: f64 = 0.2;
/// The spin at which a strip trails by [`TRAIL_RAD`], rad/s: 90 rpm.
const TRAIL_SPIN_RAD_S: f64 = 9.42;
/// Strips drawn for each that passes a spot in one turn, with looks: those between lie above and below it on the brush.
const PER_STRIP: u32 = 3;
/// Distance of a laid strip from the surface it lies on, m.
const LIFT_M: f64 = 0.012;

/// A brush smaller than this, page units, is named and no more.
const SMALL: f64 = 36.0;

pub(super) fn draw_brush(stage: &mut Stage<'_>, index: usize) {
    let at = stage.at[index];
    let model = &stage.scene.setup.units[index];
    let role = unit_role(at.side);
    let centre_ground = ground_from_unit(at.side, at.brush_m);
    let centre = stage.frame.page_from_ground([centre_ground.x, centre_ground.y]);
    let radius = stage.frame.length(model.brush.radius_m);
    if at.ended {
        draw_ended(stage, index, centre, radius);
        return;
    }
    let mut items: Vec<Item> = Vec::new();
    items.push(
        Shape::Circle {
            centre,
            radius,
            fill: Fill::solid(role.faint(0.08)),
            stroke: Some(Stroke::new(1.0, role.faint(0.55)).dashed(Dash::Dotted)),
        }
        .into(),
    );
    if stage.options.show.strips {
        items.extend(strips(stage, index));
    }
    let hub = stage.frame.length(model.brush.hub_radius_m);
    items.push(
        Shape::Circle {
            centre,
            radius: hub,
            fill: Fill::solid(Role::Paper),
            stroke: Some(Stroke::new(2.0, role)),
        }
        .into(),
    );
    items.extend(spin_arrow(stage, index, centre, hub));
    let mut item: Item = Shape::Group { clip: None, items }.into();
    item.key = Some(format!("brush:{}", at.side.name()));
    item.tip = Some(headline(stage, index));
    stage.items.push(item);
    let keep = 0.75 * radius;
    stage.shunned.push((Rect::new(centre.x - keep, centre.y - keep, 2.0 * keep, 2.0 * keep), 30.0));
    let outward = stage.frame.page_direction_from_ground([0.3, at.side.y_sign()]);
    let mut label = Label::new(centre, radius, stage.options.size(), String::new()).toward(outward);
    label.lines = lines(stage, index);
    if radius < SMALL {
        // Three lines would hide more than they say; the numbers come on hover.
        label.lines.truncate(1);
    }
    label.paint = Role::Ink.into();
    label.key = Some(format!("brush-label:{}", at.side.name()));
    stage.labels.push((0, label));
}

/// A unit that is on to the next vehicle, which is no part of this pass: where it stood last, pale and without numbers.
fn draw_ended(stage: &mut Stage<'_>, index: usize, centre: Pos, radius: f64) {
    let at = stage.at[index];
    let model = &stage.scene.setup.units[index];
    let pivot = ground_from_unit(at.side, model.pivot_m);
    let stroke = Stroke::new(1.4, Role::Muted).dashed(Dash::Dotted);
    let arm = Stroke::new(stage.frame.length(0.09).clamp(3.0, 9.0), Role::Muted.faint(0.3));
    let from = stage.frame.page_from_ground([pivot.x, pivot.y]);
    let items: Vec<Item> = vec![
        Shape::Polyline { points: vec![from, centre], closed: false, stroke: arm }.into(),
        Shape::Circle { centre, radius, fill: Fill::solid(Role::Muted.faint(0.06)), stroke: Some(stroke) }
            .into(),
    ];
    let mut item: Item = Shape::Group { clip: None, items }.into();
    item.key = Some(format!("brush:{}", at.side.name()));
    item.tip = Some(format!(
        "{} brush: since {} s on to the next vehicle, which is not part of this pass",
        at.side.name(),
        rounded(at.t_s, 2)
    ));
    stage.items.push(item);
    let outward = stage.frame.page_direction_from_ground([0.3, at.side.y_sign()]);
    let mut label = Label::new(centre, radius, stage.options.size(), String::new()).toward(outward);
    label.lines = vec![format!("{} brush", at.side.name()), "on to the next vehicle".to_owned()];
    label.paint = Role::Muted.into();
    stage.labels.push((0, label));
}

fn lines(stage: &Stage<'_>, index: usize) -> Vec<String> {
    let at = &stage.at[index];
    let units = stage.options.units;
    let press = if at.press_m > 0.0 {
        format!(
            "press {}, {}",
            short_length(at.press_m, units),
            format(ForceDim::INFO, at.press_force_n, units)
        )
    } else {
        "clear".to_owned()
    };
    let swing = format!("swing {}", format_angle(at.phi_rad));
    vec![format!("{} brush", at.side.name()), swing, press]
}

fn format_angle(rad: f64) -> String {
    crate::units::format_in(AngleDim::INFO, rad, "°", 1)
}

/// The hover text of a brush: «left brush: swing 71.2°, press 4.1 in».
fn headline(stage: &Stage<'_>, index: usize) -> String {
    let lines = lines(stage, index);
    format!("{}: {}, {}", lines[0], lines[1], lines[2])
}

/// A small curved arrow round the hub that shows the spin sense.
fn spin_arrow(stage: &Stage<'_>, index: usize, centre: Pos, hub: f64) -> Vec<Item> {
    let model = &stage.scene.setup.units[index];
    let spin = model.spin_rad_s() * model.side.y_sign();
    if spin == 0.0 || hub < 6.0 {
        return Vec::new();
    }
    let radius = 0.58 * hub;
    let (start, sweep) = (0.9, 4.2 * spin.signum());
    let stroke = Stroke::new(1.4, unit_role(model.side));
    let page = |angle: f64| stage.frame.page_angle_from_ground(angle);
    // Frames mirror the ground, so a ground angle that grows is a page angle that falls.
    let arc = Shape::Arc { centre, radius, start_rad: page(start), sweep_rad: -sweep, stroke };
    let end = page(start + sweep);
    let tip = centre.shifted(radius * end.cosine(), radius * end.sine());
    let turn = -spin.signum();
    let along = (-end.sine() * turn, end.cosine() * turn);
    let back = tip.shifted(-along.0 * 3.0, -along.1 * 3.0);
    let head = Shape::Arrow { from: back, to: tip.shifted(along.0 * 4.0, along.1 * 4.0), head: 7.0, stroke };
    vec![arc.into(), head.into()]
}

/// The outline that strips are laid on: of the bands in reach, the one with the largest height times area.
fn laid_on<'a>(plan: &VehiclePlan<'a>) -> Option<(&'a Chain, Vec2)> {
    let weight = |b: &&crate::pass::motion::BandPlan<'_>| {
        b.band.outlines.first().map_or(0.0, |o| if o.island { 0.0 } else { o.chain.area_m2() * b.height_m })
    };
    let best = plan.bands.iter().max_by(|a, b| weight(a).total_cmp(&weight(b)))?;
    let outline = best.band.outlines.first().filter(|o| !o.island)?;
    Some((&outline.chain, best.shift_m))
}

fn strips(stage: &Stage<'_>, index: usize) -> Vec<Item> {
    let at = &stage.at[index];
    let setup = &stage.scene.setup;
    let dynamics = setup.dynamics(index);
    let brush = &setup.units[index].brush;
    let role = unit_role(at.side);
    let near: Vec<(&VehiclePlan<'_>, &Chain, Vec2)> = dynamics
        .vehicles
        .iter()
        .filter(|plan| plan.may_touch(at.brush_m, brush.radius_m, at.t_s))
        .filter_map(|plan| {
            laid_on(plan)
                .map(|(chain, shift)| (plan, chain, plan.pose.vehicle_from_unit(at.brush_m + shift, at.t_s)))
        })
        .collect();
    let spin = setup.units[index].spin_rad_s();
    let sense = if spin == 0.0 { 0.0 } else { spin.signum() };
    let turned = SPIN_SHOWN * spin * at.t_s;
    let to_page = |p: Vec2| {
        let g = ground_from_unit(at.side, p);
        stage.frame.page_from_ground([g.x, g.y])
    };
    let trail = TRAIL_RAD * (spin.abs() / TRAIL_SPIN_RAD_S).min(1.6);
    let per_strip = if stage.options.show.looks { PER_STRIP } else { 1 };
    let count = brush.strips * per_strip;
    // Those between first, so that the others lie over them.
    let between = (0..count).filter(|k| k % per_strip != 0);
    between
        .chain((0..count).filter(|k| k % per_strip == 0))
        .map(|k| {
            let own = k % per_strip == 0;
            let psi = turned + std::f64::consts::TAU * f64::from(k) / f64::from(count.max(1));
            let direction = Vec2::new(psi.cosine(), psi.sine());
            let met = near
                .iter()
                .filter_map(|(plan, chain, local)| {
                    let hit = chain.ray(*local, plan.pose.vehicle_from_unit_dir(direction))?;
                    (hit.distance_m < brush.radius_m && !chain.contains(*local))
                        .then_some((hit, plan, chain, local))
                })
                .min_by(|a, b| a.0.distance_m.total_cmp(&b.0.distance_m));
            let root = at.brush_m + direction * brush.hub_radius_m;
            let (points, width, opacity) = match met {
                None => {
                    let (bend, tip) = (psi - 0.2 * sense * trail, psi - sense * trail);
                    let middle = at.brush_m + Vec2::new(bend.cosine(), bend.sine()) * (0.6 * brush.radius_m);
                    let end = at.brush_m + Vec2::new(tip.cosine(), tip.sine()) * brush.radius_m;
                    (curve(root, middle, end, 5), if own { 1.3 } else { 1.0 }, if own { 0.65 } else { 0.3 })
                }
                Some((hit, plan, chain, local)) => {
                    let spare = brush.radius_m - hit.distance_m.max(brush.hub_radius_m);
                    let tangent = chain.tangent_at(hit.s_m);
                    let ray = plan.pose.vehicle_from_unit_dir(direction);
                    let moving = Vec2::new(-ray.y, ray.x) * sense;
                    let way = if sense == 0.0 {
                        // Pressed without spin: away from the foot of the brush.
                        (chain.point_at(hit.s_m) - chain.nearest(*local).point).dot(&tangent).signum()
                    } else {
                        -moving.dot(&tangent).signum()
                    };
                    let on = |s: f64| {
                        let p = chain.point_at(s) + chain.normal_at(s) * LIFT_M;
                        plan.pose.unit_from_vehicle(p, at.t_s)
                    };
                    let lay = |share: f64| on(hit.s_m + way * spare * share);
                    let bend = on(hit.s_m);
                    let mut points = curve(root, bend, lay(0.45), 6);
                    points.extend((1..=4).map(|i| lay(0.45 + 0.55 * f64::from(i) / 4.0)));
                    (points, if own { 1.6 } else { 1.1 }, if own { 0.95 } else { 0.5 })
                }
            };
            let points: Vec<Pos> = points.into_iter().map(to_page).collect();
            Shape::Polyline { points, closed: false, stroke: Stroke::new(width, role.faint(opacity)).round() }
                .into()
        })
        .collect()
}

/// Points of a quadratic curve from `a` to `c` that leaves toward `b`.
fn curve(a: Vec2, b: Vec2, c: Vec2, pieces: u32) -> Vec<Vec2> {
    (0..=pieces)
        .map(|i| {
            let t = f64::from(i) / f64::from(pieces);
            a * ((1.0 - t) * (1.0 - t)) + b * (2.0 * t * (1.0 - t)) + c * (t * t)
        })
        .collect()
}

/// Longest force arrow, page units; a force of a pass that is twice another is drawn twice as long up to here.
const LONGEST_ARROW: f64 = 150.0;
/// Page units per newton, for symbols of size 1.
const ARROW_PER_N: f64 = 3.0;

pub(super) fn draw_forces(stage: &mut Stage<'_>, index: usize) {
    let at = stage.at[index];
    if at.ended {
        return;
    }
    let contact = stage.contacts[index].clone();
    let ground = ground_from_unit(at.side, at.brush_m);
    let centre = stage.frame.page_from_ground([ground.x, ground.y]);
    let units = stage.options.units;
    for (name, role, dash, force) in [
        ("push", Role::Force, Dash::Solid, contact.push_n),
        ("rub", Role::Friction, Dash::Dashed, contact.friction_n),
    ] {
        let size = force.norm();
        if size < 1.0 {
            continue;
        }
        let long = (size * ARROW_PER_N).clamp(18.0, LONGEST_ARROW) * stage.symbol();
        let [dx, dy] = stage.frame.page_direction_from_ground([force.x / size, force.y / size]);
        let tip = centre.shifted(dx * long, dy * long);
        let text = format!("{name} {}", format(ForceDim::INFO, size, units));
        let item = stage.items.arrow(centre, tip, Stroke::new(3.0, role).dashed(dash));
        item.key = Some(format!("force:{}:{name}", at.side.name()));
        item.tip = Some(format!("{} brush: {text}", at.side.name()));
        stage.shun_line(centre, tip, 5.0, 120.0);
        let label = Label::new(tip, 2.0, stage.options.size(), text).painted(role).toward([dx, dy]);
        stage.labels.push((1, label));
    }
}
