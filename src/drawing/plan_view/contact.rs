//! What each brush touches at an instant, on the ground: outline points with their pressure, and the forces.

use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::{ContactLaw, SpanScratch, surface_point};
use crate::pass::motion::{UnitDynamics, VehiclePlan};
use crate::pass::{PassSetup, UnitInstant};

/// A point of an outline that strips press on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressedPoint {
    /// Where, ground frame, m.
    pub ground_m: Vec2,
    /// Outward normal of the surface, ground frame.
    pub normal: Vec2,
    /// Contact pressure, Pa.
    pub pressure_pa: f64,
}

/// A run of one outline under strips.
#[derive(Debug, Clone, PartialEq)]
pub struct PressedRun {
    /// Place of the vehicle in the train.
    pub train_index: usize,
    /// Band of the vehicle.
    pub band: usize,
    /// First and last arclength on the body of the real vehicle, from the nose centre, counterclockwise, m; `None` on islands.
    pub perimeter_m: Option<[f64; 2]>,
    /// Points along the outline.
    pub points: Vec<PressedPoint>,
}

/// A unit's contact at an instant.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitContact {
    /// Runs of outline under strips, vehicle by vehicle, lowest band first.
    pub runs: Vec<PressedRun>,
    /// Push of the vehicles on the brush, N, ground frame.
    pub push_n: Vec2,
    /// Rubbing of the vehicles on the brush, N, ground frame.
    pub friction_n: Vec2,
    /// Force of this brush on each feature of the measured vehicle it touches, by its index: the sum of all forces on it, push and rubbing,
    /// ground frame, N. What a load is elsewhere is the size of this sum.
    pub features: Vec<(usize, Vec2)>,
}

/// Wanted distance between pressed points, m.
pub(super) const SPACING_M: f64 = 0.012;

/// A vector of a unit's frame on the ground: the right unit's frame is the mirror image.
pub fn ground_from_unit(side: Side, v: Vec2) -> Vec2 {
    Vec2::new(v.x, side.y_sign() * v.y)
}

/// Everything unit `unit` touches at the instant `at`.
pub fn unit_contact(setup: &PassSetup, unit: usize, at: &UnitInstant) -> UnitContact {
    let dynamics = setup.dynamics(unit);
    let law = dynamics.law.turned(at.omega_rad_s);
    let mut found = UnitContact {
        runs: Vec::new(),
        push_n: Vec2::zeros(),
        friction_n: Vec2::zeros(),
        features: Vec::new(),
    };
    for plan in &dynamics.vehicles {
        if plan.may_touch(at.brush_m, law.radius_m, at.t_s) {
            vehicle_contact(setup, &dynamics, &law, plan, at, &mut found);
        }
    }
    found
}

fn vehicle_contact(
    setup: &PassSetup,
    dynamics: &UnitDynamics<'_>,
    law: &ContactLaw,
    plan: &VehiclePlan<'_>,
    at: &UnitInstant,
    found: &mut UnitContact,
) {
    let side = dynamics.model.side;
    let mut scratch = SpanScratch::default();
    let velocity = plan.pose.vehicle_from_unit_dir(at.brush_m_s - Vec2::new(plan.pose.speed_m_s, 0.0));
    let ground = |v: Vec2| ground_from_unit(side, plan.pose.unit_from_vehicle_dir(v));
    for band in &plan.bands {
        let local = plan.pose.vehicle_from_unit(at.brush_m + band.shift_m, at.t_s);
        let mut spans = band.near().find_spans(&band.band.outlines, local, &mut scratch).to_vec();
        spans.sort_by(|a, b| {
            (a.outline, a.piece).cmp(&(b.outline, b.piece)).then(a.from_m.total_cmp(&b.from_m))
        });
        let mut run: Option<(usize, PressedRun)> = None;
        for span in &spans {
            let outline = &band.band.outlines[span.outline];
            let piece = &outline.chain.pieces()[span.piece];
            let sum = span.contact(law, velocity);
            found.push_n += ground(sum.push_n_per_m) * band.height_m;
            found.friction_n += ground(sum.friction_n_per_m) * band.height_m;
            if plan.train_index == setup.measured
                && let Some(feature) = outline.tags[span.piece].feature
            {
                let real =
                    if side == Side::Left { feature } else { plan.vehicle.features[feature].mirror_index };
                let force = ground(sum.force_n_per_m()) * band.height_m;
                match found.features.iter_mut().find(|(f, _)| *f == real) {
                    Some((_, sum)) => *sum += force,
                    None => found.features.push((real, force)),
                }
            }
            let count = ((span.to_m - span.from_m) / SPACING_M).ceil().max(1.0) as usize;
            let points = (0..=count).map(|i| {
                let s = span.from_m + (span.to_m - span.from_m) * i as f64 / count as f64;
                let point = surface_point(law, piece, s, local, velocity);
                PressedPoint {
                    ground_m: ground_from_unit(side, plan.pose.unit_from_vehicle(piece.point_at(s), at.t_s)),
                    normal: ground(piece.normal_at(s)),
                    pressure_pa: point.pressure_pa.max(0.0),
                }
            });
            // Spans that follow one another on the same outline make one run.
            let joins = run.as_ref().is_some_and(|(outline, r)| {
                *outline == span.outline
                    && r.points.last().is_some_and(|p| {
                        let first = ground_from_unit(
                            side,
                            plan.pose.unit_from_vehicle(piece.point_at(span.from_m), at.t_s),
                        );
                        (p.ground_m - first).norm() < 1e-6
                    })
            });
            let start = outline.chain.piece_start_m(span.piece);
            let length = outline.chain.length_m();
            // The right unit sees the vehicle mirrored: arclength runs the other way.
            let perimeter_m = (span.outline == 0 && !outline.island).then_some(match side {
                Side::Left => [start + span.from_m, start + span.to_m],
                Side::Right => [length - start - span.to_m, length - start - span.from_m],
            });
            match &mut run {
                Some((_, r)) if joins => {
                    r.points.extend(points);
                    if let (Some(all), Some(more)) = (&mut r.perimeter_m, perimeter_m) {
                        *all = [all[0].min(more[0]), all[1].max(more[1])];
                    }
                }
                _ => {
                    found.runs.extend(run.take().map(|(_, r)| r));
                    let fresh = PressedRun {
                        train_index: plan.train_index,
                        band: band.index,
                        perimeter_m,
                        points: points.collect(),
                    };
                    run = Some((span.outline, fresh));
                }
            }
        }
        found.runs.extend(run.take().map(|(_, r)| r));
    }
}
