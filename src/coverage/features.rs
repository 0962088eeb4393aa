//! Loads on mirrors, antennas, plates and the like: peak force and impulse by each brush, against their limits.
//!
//! A load is **steady**: the mean over the blows of single strips, as the law of the media has it. It is the size of the vector sum of all forces of one brush on a feature, push and rubbing, over every band and piece of it. Pictures,
//! texts and documents have no other.

use super::samples::Sampled;
use super::{Criteria, Verdict};
use crate::arm::{Blow, Side};
use crate::geometry::Vec2;
use crate::pass::{PassSetup, VehiclePair};
use crate::vehicle::FeatureKind;

/// Load of one brush on one feature.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureLoad {
    /// Name of the feature on the vehicle: «left mirror».
    pub feature: String,
    /// Kind of feature.
    pub kind: FeatureKind,
    /// Index into the measured vehicle's features.
    pub index: usize,
    /// The brush that loads it.
    pub side: Side,
    /// Highest steady force, N.
    pub peak_force_n: f64,
    /// When, s.
    pub peak_s: f64,
    /// Direction of the highest force in the vehicle frame (x forward, y left), N.
    pub peak_vector_n: Vec2,
    /// Impulse ∫|F| dt, N s.
    pub impulse_n_s: f64,
    /// One strip's blow on a mirror or an antenna at the deepest press, beside the steady force: engineering estimate. `None` for other features, and where
    /// the mass of the media is not known.
    pub blow: Option<Blow>,
    /// Limit of the steady force, N, if the scenario or the vehicle states one.
    pub limit_n: Option<f64>,
    /// Verdict against the limit; `None` without a limit.
    pub verdict: Option<Verdict>,
}

/// Index in the real vehicle of a feature a unit sees under `index` in its own.
fn real_index(shape: &VehiclePair, index: usize, side: Side) -> usize {
    match side {
        Side::Left => index,
        Side::Right => shape.mirrored.features[index].mirror_index,
    }
}

/// What a strip meets of a thing that stands in its way, as a round post, m; `None` for what lies flat on the body. Half of how thick housings of mirrors and
/// masts of antennas are (engineering estimate).
fn post_radius_m(kind: FeatureKind) -> Option<f64> {
    match kind {
        FeatureKind::Mirror => Some(0.05),
        FeatureKind::Antenna => Some(0.005),
        _ => None,
    }
}

pub(super) fn feature_loads(setup: &PassSetup, sampled: &[Sampled], criteria: &Criteria) -> Vec<FeatureLoad> {
    let shape = &setup.train[setup.measured].shape;
    let mut loads: Vec<FeatureLoad> = Vec::new();
    for (unit, sampled) in setup.units.iter().zip(sampled) {
        for load in &sampled.loads {
            let index = real_index(shape, load.feature, unit.side);
            let feature = &shape.real.features[index];
            let peak_force_n = load.peak_n.norm();
            let limit_n = criteria.feature_limit_n(feature.kind).or(feature.limit_force_n);
            loads.push(FeatureLoad {
                feature: feature.name.clone(),
                kind: feature.kind,
                index,
                side: unit.side,
                peak_force_n,
                peak_s: load.peak_s,
                peak_vector_n: Vec2::new(load.peak_n.x, unit.side.y_sign() * load.peak_n.y),
                impulse_n_s: load.impulse_n_s,
                blow: post_radius_m(feature.kind).and_then(|post_m| {
                    unit.brush.blow(unit.brush.radius_m - load.indentation_m, post_m, load.height_m)
                }),
                limit_n,
                verdict: limit_n.map(|limit| Verdict::at_most(peak_force_n, limit, criteria.marginal_share)),
            });
        }
    }
    loads.sort_by_key(|l| (l.side, l.index));
    loads
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    /// What the right unit sees, in its mirror image of a vehicle, is told as what stands there on the vehicle itself: on the other side of its middle line.
    #[test]
    fn verif_features_are_those_of_the_vehicle_itself() {
        let text = include_str!("../../scenarios/ferry-return.ron");
        let setup = Scenario::read_alone(text, "ferry-return.ron").expect("good").setup();
        let shape = &setup.train[setup.measured].shape;
        let count = shape.real.features.len();
        assert!(count >= 4);
        let mut others = 0;
        for index in 0..count {
            assert_eq!(real_index(shape, index, Side::Left), index);
            let real = real_index(shape, index, Side::Right);
            let [own, seen] =
                [&shape.real.features[real], &shape.mirrored.features[index]].map(|f| f.reach_m);
            assert!((own.x - seen.x).abs() < 1e-12 && (own.y + seen.y).abs() < 1e-12, "{own} {seen}");
            others += usize::from(real != index);
        }
        assert!(others >= 2);
    }

    /// A mast of 10 mm, a housing of 100 mm; what lies flat stands in no strip's way (engineering estimate).
    #[test]
    fn verif_what_strips_strike_as_a_post() {
        assert_eq!(post_radius_m(FeatureKind::Antenna), Some(0.005));
        assert_eq!(post_radius_m(FeatureKind::Mirror), Some(0.05));
        assert_eq!(post_radius_m(FeatureKind::Plate), None);
    }
}
