//! How far round nose and tail the brushes reach, and so how far they overlap.
//!
//! The reach of a brush at an end of a band is the farthest that a strip touches past the middle of that end at any time of the pass,
//! along the perimeter; negative = short of the middle. A brush that touches only its own side has the reach at which it ends there. What
//! counts is the body: the bands without a feature at that end that stand no farther than the judged depth behind the foremost (rearmost)
//! body point. The overlap is that of the band where both reaches together are least, so no height is told better than it is. Where a plate
//! stands out, strips that press on it do not reach the body beside it, and what is touched there jumps with the place of the brush: the
//! plate has a figure of its own.

use crate::arm::Side;
use crate::pass::contact::SpanRoom;
use crate::pass::motion::{BandPlan, UnitDynamics, VehiclePlan, contact_law};
use crate::pass::{PassSetup, Record, UnitRecord};
use crate::vehicle::{Band, FeatureKind, Vehicle, Zone};

use super::CoverageSettings;

/// Overlap of both brushes, m: how far each touches past the centre, added; negative = a strip at the centre that neither touches. `None`
/// with a single unit, or when a brush never touches the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Overlap {
    /// At the nose: the least of the body's bands that stand within the judged depth of its foremost point.
    pub nose_m: Option<f64>,
    /// At the tail: the least of the body's bands that stand within the judged depth of its rearmost point.
    pub tail_m: Option<f64>,
    /// At the height of a plate on the nose, at most its width while nothing beside it is touched; `None` without one.
    pub front_plate_m: Option<f64>,
    /// At the height of a plate on the tail; `None` without one.
    pub rear_plate_m: Option<f64>,
}

/// An end of the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Nose,
    Tail,
}

impl End {
    const fn zone(self) -> Zone {
        match self {
            End::Nose => Zone::Nose,
            End::Tail => Zone::Tail,
        }
    }

    const fn sign(self) -> f64 {
        match self {
            End::Nose => 1.0,
            End::Tail => -1.0,
        }
    }

    /// How far the body itself stands out at this end of a band, m; `None` without a body.
    fn body_m(self, band: &Band) -> Option<f64> {
        let outline = band.body()?;
        let pieces = outline.chain.pieces().iter().zip(&outline.tags);
        let ends = pieces
            .filter(|(_, tag)| tag.feature.is_none())
            .flat_map(|(piece, _)| [piece.point_at(0.0), piece.point_at(piece.length_m())]);
        ends.map(|p| self.sign() * p.x).reduce(f64::max)
    }

    /// Kinds of feature that stand on this end of a band.
    fn has(self, vehicle: &Vehicle, band: &Band, kind: &dyn Fn(FeatureKind) -> bool) -> bool {
        let tags = band.body().map_or(&[][..], |outline| &outline.tags);
        let mut features = tags.iter().filter(|t| t.zone == self.zone()).filter_map(|t| t.feature);
        features.any(|feature| kind(vehicle.features[feature].kind))
    }

    /// How far past the middle of this end a touched stretch of the perimeter reaches, m. In its own handedness a unit stands on the first
    /// half of the perimeter, which starts at the middle of the nose; a touch on the last quarter is one past that middle.
    fn past_m(self, from_m: f64, to_m: f64, perimeter_m: f64) -> f64 {
        match self {
            End::Nose if from_m > 0.75 * perimeter_m => perimeter_m - from_m,
            End::Nose => -from_m,
            End::Tail if to_m > 0.75 * perimeter_m => to_m - 1.5 * perimeter_m,
            End::Tail => to_m - 0.5 * perimeter_m,
        }
    }
}

/// One unit on its way past the measured vehicle.
struct Walk<'a> {
    dynamics: UnitDynamics<'a>,
    plan: VehiclePlan<'a>,
    run: &'a UnitRecord,
    /// Instants close enough that nothing is missed between two, s, and how far the brush centre then stands before the nose, m.
    looks: Vec<(f64, f64)>,
    room: std::cell::RefCell<SpanRoom>,
}

/// Halvings of the stretch in which a reach is greatest.
const SEARCH: u32 = 24;
/// Golden section.
const GOLDEN: f64 = 0.618_033_988_749_895;

impl<'a> Walk<'a> {
    fn new(setup: &'a PassSetup, record: &'a Record, unit: usize, look_m: f64) -> Self {
        let model = &setup.units[unit];
        let run = &record.units[unit];
        let plan = setup.plan(setup.measured, model);
        let law = contact_law(&model.brush);
        let dynamics = UnitDynamics { model, law, vehicles: Vec::new() };
        let reach_m = model.body.length_m + law.radius_m + 0.1;
        let begin_s = plan.pose.nose_time_s(model.pivot_m.x - reach_m).max(run.start_s());
        let end_s = plan.pose.nose_time_s(model.pivot_m.x + reach_m + plan.pose.length_m).min(run.end_s());
        let mut looks = Vec::new();
        let mut t = begin_s;
        while t <= end_s {
            let (c, v) = dynamics.brush_motion(&run.state_at(t).y);
            looks.push((t, plan.pose.vehicle_from_unit(c, t).x));
            let speed = (v - crate::geometry::Vec2::new(plan.pose.speed_m_s, 0.0)).norm();
            t += (look_m / speed.max(1e-6)).clamp(0.004, 0.08);
        }
        Walk { dynamics, plan, run, looks, room: std::cell::RefCell::default() }
    }

    /// How far past the middle of an end a band is touched at an instant, m; `None` when it is not touched.
    fn reach_at_m(&self, band: &BandPlan<'_>, end: End, t_s: f64) -> Option<f64> {
        let (c, _) = self.dynamics.brush_motion(&self.run.state_at(t_s).y);
        if !self.plan.may_touch(c, self.dynamics.law.radius_m, t_s) {
            return None;
        }
        let local = self.plan.pose.vehicle_from_unit(c + band.shift_m, t_s);
        let outlines = &band.band.outlines;
        let mut room = self.room.borrow_mut();
        let spans = band.near().find_spans(outlines, local, &mut room);
        let on_body = spans.iter().filter(|span| span.outline == 0 && !outlines[0].island);
        let past = on_body.map(|span| {
            let chain = &outlines[0].chain;
            let start_m = chain.piece_start_m(span.piece);
            end.past_m(start_m + span.from_m, start_m + span.to_m, chain.length_m())
        });
        past.reduce(f64::max)
    }

    /// The farthest a band is touched past the middle of an end, m; `None` when it is never touched.
    fn reach_m(&self, band: &BandPlan<'_>, end: End) -> Option<f64> {
        let at = |t: f64| self.reach_at_m(band, end, t);
        let farthest = |looked_at: &dyn Fn(f64) -> bool| {
            let mut best: Option<(usize, f64)> = None;
            for (i, &(t, _)) in self.looks.iter().enumerate().filter(|(_, (_, x_m))| looked_at(*x_m)) {
                if let Some(past_m) = at(t)
                    && best.is_none_or(|(_, most)| past_m > most)
                {
                    best = Some((i, past_m));
                }
            }
            best
        };
        // Farther from the end than this a brush reaches less far round it, if it touches near it at all.
        let near_m = 2.0 * self.dynamics.law.radius_m;
        let near_end = |x_m: f64| match end {
            End::Nose => x_m > -near_m,
            End::Tail => x_m < near_m - self.plan.pose.length_m,
        };
        let (i, mut most_m) = farthest(&near_end).or_else(|| farthest(&|_| true))?;
        let time = |i: usize| self.looks[i.min(self.looks.len() - 1)].0;
        let (mut a, mut b) = (time(i.saturating_sub(1)), time(i + 1));
        let value = |t: f64| at(t).unwrap_or(f64::NEG_INFINITY);
        let (mut c, mut d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        let (mut at_c, mut at_d) = (value(c), value(d));
        for _ in 0..SEARCH {
            most_m = most_m.max(at_c).max(at_d);
            if at_c > at_d {
                (b, d, at_d) = (d, c, at_c);
                c = b - GOLDEN * (b - a);
                at_c = value(c);
            } else {
                (a, c, at_c) = (c, d, at_d);
                d = a + GOLDEN * (b - a);
                at_d = value(d);
            }
        }
        Some(most_m.max(at_c).max(at_d))
    }

    /// Reach in every band of these, by index in the vehicle.
    fn reaches_m(&self, bands: &[usize], end: End) -> Vec<Option<f64>> {
        let plan = |index: &usize| self.plan.bands.iter().find(|b| b.index == *index);
        bands.iter().map(|index| self.reach_m(plan(index)?, end)).collect()
    }
}

/// Overlap of both brushes on the measured vehicle.
pub(super) fn overlap(setup: &PassSetup, record: &Record, settings: &CoverageSettings) -> Overlap {
    let of_side = |side: Side| setup.units.iter().position(|unit| unit.side == side);
    let (Some(left), Some(right)) = (of_side(Side::Left), of_side(Side::Right)) else {
        return Overlap::default();
    };
    let walks = [left, right].map(|unit| Walk::new(setup, record, unit, settings.look_m));
    let vehicle = &setup.train[setup.measured].shape.real;
    let reached = |index: usize| walks.iter().all(|w| w.plan.bands.iter().any(|b| b.index == index));
    let least = |end: End, bands: &[usize]| {
        let [a, b] = walks.each_ref().map(|walk| walk.reaches_m(bands, end));
        // A brush that touches none of them reaches nothing; a height that it leaves out is missed from the far end on.
        let touches = |reach: &[Option<f64>]| reach.iter().any(Option::is_some);
        if !touches(&a) || !touches(&b) {
            return None;
        }
        let both = a.into_iter().zip(b).zip(bands).map(|((a, b), &index)| {
            let none_m = vehicle.bands[index].body().map_or(0.0, |o| -0.5 * o.chain.length_m());
            a.unwrap_or(none_m) + b.unwrap_or(none_m)
        });
        both.reduce(f64::min)
    };
    let body = |end: End| {
        let standing: Vec<(usize, f64)> = (0..vehicle.bands.len())
            .filter(|&i| reached(i))
            .filter_map(|i| Some((i, end.body_m(&vehicle.bands[i])?)))
            .collect();
        let foremost_m = standing.iter().map(|(_, x_m)| *x_m).fold(f64::NEG_INFINITY, f64::max);
        let near: Vec<usize> = standing
            .iter()
            .filter(|(_, x_m)| *x_m >= foremost_m - settings.judged_depth_m)
            .map(|(i, _)| *i)
            .collect();
        let bare: Vec<usize> =
            near.iter().copied().filter(|&i| !end.has(vehicle, &vehicle.bands[i], &|_| true)).collect();
        least(end, if bare.is_empty() { &near } else { &bare })
    };
    let plate = |end: End| {
        let with: Vec<usize> = (0..vehicle.bands.len())
            .filter(|&i| reached(i) && end.has(vehicle, &vehicle.bands[i], &|k| k == FeatureKind::Plate))
            .collect();
        least(end, &with)
    };
    Overlap {
        nose_m: body(End::Nose),
        tail_m: body(End::Tail),
        front_plate_m: plate(End::Nose),
        rear_plate_m: plate(End::Tail),
    }
}
