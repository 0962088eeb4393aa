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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    /// Reaches by hand: at every height both brushes reach so far past the middle, and the overlap is the least of the sums. A height that one of them leaves out is missed from
    /// the far end on, half of the perimeter short; a brush that touches nothing at all overlaps with nothing.
    #[test]
    fn verif_a_height_left_out_counts_from_the_far_end() {
        let text = include_str!("../../scenarios/ferry-return.ron");
        let setup = Scenario::read_alone(text, "ferry-return.ron").expect("good").setup();
        let settings = CoverageSettings { judged_depth_m: 9.0, ..CoverageSettings::default() };
        let vehicle = &setup.train[setup.measured].shape.real;
        let with_body: Vec<usize> =
            (0..vehicle.bands.len()).filter(|&i| vehicle.bands[i].body().is_some()).collect();
        let bare = |end: End, i: usize| !end.has(vehicle, &vehicle.bands[i], &|_| true);
        for (end, other) in [(End::Nose, End::Tail), (End::Tail, End::Nose)] {
            let counted: Vec<usize> = with_body.iter().copied().filter(|&i| bare(end, i)).collect();
            assert!(counted.len() >= 2);
            let touched = |of: &dyn Fn(usize) -> Option<f64>| {
                let reach_m = with_body.iter().map(|&i| {
                    let mut both = [Some(9.0); 2];
                    (both[end as usize], both[other as usize]) = (of(i), Some(9.0));
                    (i, both)
                });
                Sampled { reach_m: reach_m.collect(), ..Sampled::none() }
            };
            let told = |right: &dyn Fn(usize) -> Option<f64>| {
                let all =
                    overlap(&setup, &[touched(&|i| Some(0.1 + 0.01 * i as f64)), touched(right)], &settings);
                match end {
                    End::Nose => all.nose_m,
                    End::Tail => all.tail_m,
                }
            };
            let sum = |i: usize| 0.1 + 0.01 * i as f64 - 0.05;
            let least = counted.iter().map(|&i| sum(i)).fold(f64::INFINITY, f64::min);
            assert!((told(&|_| Some(-0.05)).expect("both touch") - least).abs() < 1e-12);
            let out = counted[1];
            let half_m = 0.5 * vehicle.bands[out].body().expect("there").chain.length_m();
            let got = told(&|i| (i != out).then_some(-0.05)).expect("both touch");
            assert!((got - (0.1 + 0.01 * out as f64 - half_m)).abs() < 1e-12 && got < -2.0, "{got}");
            assert_eq!(told(&|_| None), None);
        }
    }
}
