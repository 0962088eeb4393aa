//! How far round nose and tail the brushes reach, and so how far they overlap.
//!
//! The reach of a brush at an end of a band is the farthest that a strip touches past the middle of that end at any time of the pass,
//! along the perimeter; negative = short of the middle. A brush that touches only its own side has the reach at which it ends there. What
//! counts is the body: the bands without a feature at that end that stand no farther than the judged depth behind the foremost (rearmost)
//! body point. The overlap is that of the band where both reaches together are least, so no height is told better than it is. Where a plate
//! stands out, strips that press on it do not reach the body beside it, and what is touched there jumps with the place of the brush: the
//! plate has a figure of its own.

use super::CoverageSettings;
use super::end::End;
use super::samples::Sampled;
use crate::arm::Side;
use crate::pass::PassSetup;
use crate::vehicle::FeatureKind;

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

/// Overlap of both brushes on the measured vehicle.
pub(super) fn overlap(setup: &PassSetup, sampled: &[Sampled], settings: &CoverageSettings) -> Overlap {
    let of_side = |side: Side| setup.units.iter().position(|unit| unit.side == side);
    let (Some(left), Some(right)) = (of_side(Side::Left), of_side(Side::Right)) else {
        return Overlap::default();
    };
    let vehicle = &setup.train[setup.measured].shape.real;
    let of_band = |unit: usize, index: usize| sampled[unit].reach_m.iter().find(|(band, _)| *band == index);
    let reached = |index: usize| [left, right].iter().all(|&unit| of_band(unit, index).is_some());
    let least = |end: End, bands: &[usize]| {
        let [a, b] = [left, right].map(|unit| {
            let reach = bands.iter().map(|&index| of_band(unit, index)?.1[end as usize]);
            reach.collect::<Vec<Option<f64>>>()
        });
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
