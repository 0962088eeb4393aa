//! Forces on features, against rays cast from the brush: every strip meets the first face on its way, pushes square to it with K δ^p cos β dψ per
//! height and drags the face along the way its tip slides over it with μ times that. A force is the size of the vector sum over a feature,
//! an impulse ∫|F| dt.

use crate::rig::*;
use brusharm::arm::{Media, Side, SpinSense, UnitModel};
use brusharm::coverage::{Criteria, FeatureLoad, Outcome};
use brusharm::geometry::Vec2;
use brusharm::vehicle::{FeatureKind, FeaturePlace, FeatureSide, VehicleSpec};
use std::f64::consts::{FRAC_PI_2, TAU};

/// As a share of the peak or the impulse, at the fine setting; half of it is the rays'.
const REACHED: f64 = 1e-2;

const HALF_WIDTH_M: f64 = 0.9;

fn v(x: f64, y: f64) -> Vec2 {
    Vec2::new(x, y)
}

/// A face of a vehicle, vehicle frame, and whether it belongs to the feature asked about.
#[derive(Clone, Copy)]
enum Face {
    Wall(Vec2, Vec2, bool),
    Round(Vec2, f64, bool),
}

impl Face {
    fn is_ours(&self) -> bool {
        let (Face::Wall(_, _, ours) | Face::Round(_, _, ours)) = self;
        *ours
    }

    /// Distance to it along a ray, its tangent there, and whose it is.
    fn hit(&self, c: Vec2, ray: Vec2) -> Option<(f64, Vec2, bool)> {
        match *self {
            Face::Wall(a, b, ours) => {
                let along = b - a;
                let cross = ray.x * along.y - ray.y * along.x;
                if cross == 0.0 {
                    return None;
                }
                let to = a - c;
                let distance = (to.x * along.y - to.y * along.x) / cross;
                let share = (to.x * ray.y - to.y * ray.x) / cross;
                (distance > 0.0 && (0.0..=1.0).contains(&share))
                    .then(|| (distance, along / along.norm(), ours))
            }
            Face::Round(o, r, ours) => {
                let to = o - c;
                let ahead = to.dot(&ray);
                let miss = to.norm_squared() - ahead * ahead;
                (ahead > 0.0 && miss < r * r).then(|| {
                    let distance = ahead - (r * r - miss).sqrt();
                    let n = (c + ray * distance - o) / r;
                    (distance, v(-n.y, n.x), ours)
                })
            }
        }
    }
}

/// Walls from corner to corner; those listed are the feature's.
fn walls(corners: &[(f64, f64)], ours: &[usize]) -> Vec<Face> {
    let p = |i: usize| v(corners[i % corners.len()].0, corners[i % corners.len()].1);
    (0..corners.len()).map(|i| Face::Wall(p(i), p(i + 1), ours.contains(&i))).collect()
}

/// Force on the feature when the nose is at lane x, N.
fn force(brush: &Post, faces: &[Face], nose_x_m: f64, height_m: f64) -> Vec2 {
    let c = brush.c - v(nose_x_m, 0.0);
    // A plate that stands out 2 cm is met by a few dozen of them.
    let count = 30_000;
    let step = TAU / f64::from(count);
    let mut sum = Vec2::zeros();
    for i in 0..count {
        let ray = v((f64::from(i) * step).cos(), (f64::from(i) * step).sin());
        if !faces.iter().any(|f| f.is_ours() && f.hit(c, ray).is_some()) {
            continue;
        }
        let first = faces.iter().filter_map(|f| f.hit(c, ray)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((rho, t, true)) = first else { continue };
        if rho >= brush.radius_m {
            continue;
        }
        let push = brush.stiffness * (brush.radius_m - rho).powf(brush.exponent) * step * height_m;
        let tip = v(-ray.y, ray.x) * (rho * brush.spin_rad_s) - v(SPEED_M_S, 0.0);
        // Along the inward normal, by the share of the strip that is square to the surface.
        let inward = v(-t.y, t.x);
        let normal = push * ray.dot(&inward).abs();
        sum += inward * (normal * ray.dot(&inward).signum())
            + t * (brush.friction * normal * tip.dot(&t).signum());
    }
    sum
}

#[derive(Debug)]
struct Want {
    peak_n: f64,
    vector_n: Vec2,
    at_s: f64,
    impulse_n_s: f64,
}

/// Peak and impulse over the time in which the feature, between two places behind the nose, is within reach.
fn by_rays(brush: &Post, faces: &[Face], (front, rear): (f64, f64), height_m: f64) -> Want {
    let (from, to) = (brush.c.x - RADIUS_M + front, brush.c.x + RADIUS_M + rear);
    let count = 500;
    let dx = (to - from) / f64::from(count);
    let mut want = Want { peak_n: 0.0, vector_n: Vec2::zeros(), at_s: 0.0, impulse_n_s: 0.0 };
    for i in 0..count {
        let x = from + (f64::from(i) + 0.5) * dx;
        let f = force(brush, faces, x, height_m);
        want.impulse_n_s += f.norm() * dx / SPEED_M_S;
        if f.norm() > want.peak_n {
            (want.peak_n, want.vector_n, want.at_s) = (f.norm(), f, x / SPEED_M_S);
        }
    }
    want
}

#[track_caller]
fn compare(load: &FeatureLoad, want: &Want, what: &str) {
    assert!(want.peak_n > 0.2, "{what}: {} N", want.peak_n);
    near(load.peak_force_n, want.peak_n, REACHED, &format!("{what}: peak"));
    near(load.impulse_n_s, want.impulse_n_s, REACHED, &format!("{what}: impulse"));
    let off = (load.peak_vector_n - want.vector_n).norm();
    // Where the force is nearly level its direction still turns: a hundredth of a second off turns it a little.
    assert!(off < 0.06 * want.peak_n, "{what}: {:?}, by rays {:?}", load.peak_vector_n, want.vector_n);
    close(load.peak_s, want.at_s, 0.12, &format!("{what}: when"));
}

fn one<'a>(outcome: &'a Outcome, name: &str, side: Side) -> &'a FeatureLoad {
    let mut found = outcome.feature_loads.iter().filter(|l| l.feature == name && l.side == side);
    let load = found.next().unwrap_or_else(|| panic!("no load on {name}: {:?}", outcome.feature_loads));
    assert!(found.next().is_none(), "one load for a feature and a brush");
    load
}

fn with(features: Vec<brusharm::vehicle::FeatureSpec>) -> VehicleSpec {
    VehicleSpec { features, ..plain_box(HALF_WIDTH_M) }
}

/// The outline at the height of a box-shaped mirror; `sign` −1 on the right.
fn mirror_faces(sign: f64, behind: f64, length: f64, reach: f64) -> Vec<Face> {
    let (b, tip) = (sign * HALF_WIDTH_M, sign * (HALF_WIDTH_M + reach));
    let corners = [
        (0.0, 0.0),
        (0.0, b),
        (-behind, b),
        (-behind, tip),
        (-behind - length, tip),
        (-behind - length, b),
        (-LENGTH_M, b),
        (-LENGTH_M, 0.0),
    ];
    walls(&corners, &[2, 3, 4])
}

/// A box-shaped mirror dragged past a locked arm, both sides, both spin senses: three faces whose pushes point three ways.
#[test]
fn verif_force_and_impulse_on_a_box_mirror() {
    let place = FeaturePlace::Side { behind_nose_m: 1.2, length_m: 0.15, reach_m: 0.2, corner_radius_m: 0.0 };
    let mirror = feature(FeatureKind::Mirror, FeatureSide::Both, [0.8, 1.0], place);
    for sense in [SpinSense::OutboardAtNose, SpinSense::InboardAtNose] {
        let mut units = vec![locked(Side::Left, 0.0, 1.35), locked(Side::Right, 3.0, 1.3)];
        for unit in &mut units {
            unit.brush.spin_sense = sense;
        }
        units[1].brush.friction = 0.6;
        let outcome = solve(&pass(units.clone(), &with(vec![mirror.clone()])), &fine());
        assert_eq!(outcome.feature_loads.len(), 2);
        for (unit, name) in units.iter().zip(["left mirror", "right mirror"]) {
            let sign = unit.side.y_sign();
            let faces = mirror_faces(sign, 1.2, 0.15, 0.2);
            let want = by_rays(&Post::of(unit), &faces, (1.2, 1.35), 0.2);
            // Toward the vehicle's middle.
            assert!(want.vector_n.y * sign < 0.0);
            compare(one(&outcome, name, unit.side), &want, name);
        }
    }
}

/// A mirror half as high has half the force; one that crosses a body edge is the sum of both parts, as vectors, and of what the media cover.
#[test]
fn verif_force_goes_with_the_height_the_media_cover() {
    let place = FeaturePlace::Side { behind_nose_m: 1.2, length_m: 0.15, reach_m: 0.2, corner_radius_m: 0.0 };
    let tier = |z_m| Tier { z_m, half_width_m: HALF_WIDTH_M, setback_m: 0.0 };
    let two = body(&[tier([0.3, 0.9]), tier([0.9, 1.2])], 0.0);
    let unit = locked(Side::Left, 0.0, 1.35);
    let want = by_rays(&Post::of(&unit), &mirror_faces(1.0, 1.2, 0.15, 0.2), (1.2, 1.35), 1.0);
    for (z, top, height) in [([0.8, 0.9], 1.4, 0.1), ([0.8, 1.0], 1.4, 0.2), ([0.7, 1.1], 0.95, 0.25)] {
        let mirror = feature(FeatureKind::Mirror, FeatureSide::Left, z, place);
        let mut unit = unit.clone();
        unit.brush.z_high_m = top;
        let spec = VehicleSpec { features: vec![mirror], ..two.clone() };
        let outcome = solve(&pass(vec![unit], &spec), &fine());
        let load = one(&outcome, "left mirror", Side::Left);
        near(load.peak_force_n, want.peak_n * height, REACHED, "peak");
        near(load.impulse_n_s, want.impulse_n_s * height, REACHED, "impulse");
    }
}

/// Beside the steady force a blow is told, of the strip that reaches deepest over the mirror: by hand that of a post 0.05 m round, over the height of the mirror,
/// as far from the spindle as its tip. Of plates and where the mass of the media is not known there is none.
#[test]
fn verif_a_blow_is_that_of_the_deepest_strip() {
    let place = FeaturePlace::Side { behind_nose_m: 1.2, length_m: 0.15, reach_m: 0.2, corner_radius_m: 0.0 };
    let mirror = feature(FeatureKind::Mirror, FeatureSide::Left, [0.8, 1.0], place);
    let mut unit = locked(Side::Left, 0.0, 1.6);
    let without = solve(&pass(vec![unit.clone()], &with(vec![mirror.clone()])), &fine());
    assert_eq!(one(&without, "left mirror", Side::Left).blow, None);
    let mass_kg = 20.0;
    unit.brush.media = Media::Limp { mass_kg };
    let plate = feature(FeatureKind::Plate, FeatureSide::Left, [0.5, 0.6], place);
    let outcome = solve(&pass(vec![unit.clone()], &with(vec![mirror, plate])), &fine());
    let blow = one(&outcome, "left mirror", Side::Left).blow.expect("the mass is known");
    near(blow.per_s, wipe_rate_per_s(), 1e-12, "blows a second");
    // λ ω ((R² − ρ²) + held (ρ² − R₀²))/2 of the share of a strip that is as high as the mirror, 0.2 of 1.2 m; half a post is π/2 · 0.05 m twice.
    let (rho, hub, quarter) = (1.6 - HALF_WIDTH_M - 0.2, unit.brush.hub_radius_m, FRAC_PI_2 * 0.05);
    // Held in part: less than half round the post.
    let held = ((RADIUS_M - rho - quarter) / quarter).clamp(0.0, 1.0);
    assert!(held > 0.1 && held < 0.9);
    let per_m = mass_kg / (RADIUS_M - hub) / f64::from(STRIPS) * 0.2 / 1.2;
    let want = 0.5 * per_m * SPIN_RAD_S * (RADIUS_M.powi(2) - rho * rho + held * (rho * rho - hub * hub));
    near(blow.impulse_n_s, want, 1e-6, "impulse");
    let plates = outcome.feature_loads.iter().filter(|l| l.kind == FeatureKind::Plate);
    assert!(plates.clone().count() > 0 && plates.clone().all(|l| l.blow.is_none() && l.peak_force_n > 0.0));
}

/// A stretch of the side, flush and longer than the chord: while all of the chord is on it, the push is 2 K H (R sin a − d a) square to it and
/// the drag μ times that along it, forward where ω d outruns the travel.
#[test]
fn verif_peak_force_on_a_flat_stretch_in_closed_form() {
    let d: f64 = 0.45;
    let a = (d / RADIUS_M).acos();
    let push = 2.0 * stiffness() * 0.3 * (RADIUS_M * a.sin() - d * a);
    let drag = FRICTION * push;
    assert!(push > 5.0 && drag > 2.0);
    let place = FeaturePlace::Side { behind_nose_m: 1.2, length_m: 1.2, reach_m: 0.0, corner_radius_m: 0.0 };
    for (sense, forward) in [(SpinSense::OutboardAtNose, 1.0), (SpinSense::InboardAtNose, -1.0)] {
        for (side, sides, name) in
            [(Side::Left, FeatureSide::Left, "left step"), (Side::Right, FeatureSide::Right, "right step")]
        {
            let step = feature(FeatureKind::Step, sides, [0.5, 0.8], place);
            let mut unit = locked(side, 0.0, HALF_WIDTH_M + d);
            unit.brush.spin_sense = sense;
            let outcome = solve(&pass(vec![unit], &with(vec![step])), &fine());
            let load = one(&outcome, name, side);
            near(load.peak_force_n, push.hypot(drag), 1e-6, "force");
            near(load.peak_vector_n.x, forward * drag, 1e-5, "along the vehicle");
            near(load.peak_vector_n.y, -side.y_sign() * push, 1e-5, "into the vehicle");
        }
    }
}

/// A round mirror standing free above a low body.
#[test]
fn verif_force_and_impulse_on_a_round_one() {
    let place = FeaturePlace::Standing {
        behind_nose_m: 1.2,
        y_m: 0.75,
        length_m: 0.12,
        width_m: 0.12,
        corner_radius_m: 0.06,
    };
    for (side, sides, name) in
        [(Side::Left, FeatureSide::Left, "left antenna"), (Side::Right, FeatureSide::Right, "right antenna")]
    {
        let mut spec = body(&[Tier { z_m: [0.3, 0.8], half_width_m: HALF_WIDTH_M, setback_m: 0.0 }], 0.0);
        spec.features = vec![feature(FeatureKind::Antenna, sides, [0.8, 1.3], place)];
        let mut unit = locked(side, 0.0, 1.1);
        unit.brush.exponent = 1.5;
        let k = unit.brush.stiffness();
        let outcome = solve(&pass(vec![unit.clone()], &spec), &fine());
        let o = v(-1.26, side.y_sign() * 0.75);
        let brush = Post { stiffness: k, ..Post::of(&unit) };
        let want = by_rays(&brush, &[Face::Round(o, 0.06, true)], (1.2, 1.32), 0.5);
        compare(one(&outcome, name, side), &want, name);
    }
}

/// Plates: the front one is on the nose and met before the nose has passed the brush, the rear one on the tail and met after.
#[test]
fn verif_front_and_rear_plates() {
    let mut spec = plain_box(0.35);
    let size = |y_m| (y_m, 0.3, 0.02);
    let (y_m, width_m, reach_m) = size(0.02);
    let side = FeatureSide::Centre;
    let nose = FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m: 0.0 };
    let tail = FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m: 0.0 };
    let named = |name: &str, z, place| brusharm::vehicle::FeatureSpec {
        name: name.to_owned(),
        ..feature(FeatureKind::Plate, side, z, place)
    };
    spec.features = vec![named("front plate", [0.5, 0.62], nose), named("rear plate", [0.7, 0.8], tail)];
    let units: Vec<UnitModel> = vec![locked(Side::Left, 0.0, 0.55), locked(Side::Right, 3.0, 0.5)];
    let outcome = solve(&pass(units.clone(), &spec), &fine());
    assert_eq!(outcome.feature_loads.len(), 4);
    let (low, high) = (0.02 - 0.15, 0.02 + 0.15);
    let front = walls(
        &[
            (0.0, low),
            (0.02, low),
            (0.02, high),
            (0.0, high),
            (0.0, 0.35),
            (-4.0, 0.35),
            (-4.0, -0.35),
            (0.0, -0.35),
        ],
        &[0, 1, 2],
    );
    let rear = walls(
        &[
            (-4.0, high),
            (-4.02, high),
            (-4.02, low),
            (-4.0, low),
            (-4.0, -0.35),
            (0.0, -0.35),
            (0.0, 0.35),
            (-4.0, 0.35),
        ],
        &[0, 1, 2],
    );
    for unit in &units {
        let brush = Post::of(unit);
        let want = by_rays(&brush, &front, (-0.02, 0.0), 0.12);
        assert!(want.at_s * SPEED_M_S < brush.c.x, "{want:?}");
        compare(one(&outcome, "front plate", unit.side), &want, "front plate");
        let want = by_rays(&brush, &rear, (4.0, 4.02), 0.1);
        assert!(want.at_s * SPEED_M_S > brush.c.x + 4.0, "{want:?}");
        compare(one(&outcome, "rear plate", unit.side), &want, "rear plate");
    }
}

/// Features of one side only, listed so that the mirrored vehicle counts them otherwise: each load has the name, the place in the list and the
/// limit of its own feature, and only the brush of its side.
#[test]
fn verif_right_hand_features_come_out_on_the_right() {
    let place = |behind_nose_m: f64, reach_m: f64| FeaturePlace::Side {
        behind_nose_m,
        length_m: 0.15,
        reach_m,
        corner_radius_m: 0.0,
    };
    let limited = |n: f64, f: brusharm::vehicle::FeatureSpec| brusharm::vehicle::FeatureSpec {
        limit_force_n: Some(n),
        ..f
    };
    let spec = with(vec![
        limited(11.0, feature(FeatureKind::Mirror, FeatureSide::Right, [0.8, 1.0], place(1.0, 0.2))),
        limited(22.0, feature(FeatureKind::Step, FeatureSide::Both, [0.4, 0.5], place(2.0, 0.1))),
        limited(33.0, feature(FeatureKind::Antenna, FeatureSide::Left, [0.8, 0.9], place(3.0, 0.15))),
    ]);
    let units = vec![locked(Side::Left, 0.0, 1.35), locked(Side::Right, 3.0, 1.35)];
    let setup = pass(units.clone(), &spec);
    let criteria = Criteria { feature_limits_n: vec![(FeatureKind::Antenna, 44.0)], ..Criteria::default() };
    let (_, outcome) = solve_with(&setup, &fine(), &criteria);
    let all: Vec<(&str, Side, usize, Option<f64>)> =
        outcome.feature_loads.iter().map(|l| (l.feature.as_str(), l.side, l.index, l.limit_n)).collect();
    // The scenario's limit of a kind goes before the vehicle's.
    assert_eq!(
        all,
        [
            ("left step", Side::Left, 1, Some(22.0)),
            ("left antenna", Side::Left, 3, Some(44.0)),
            ("right mirror", Side::Right, 0, Some(11.0)),
            ("right step", Side::Right, 2, Some(22.0)),
        ]
    );
    for (name, side, behind, reach, height) in [
        ("left step", Side::Left, 2.0, 0.1, 0.1),
        ("left antenna", Side::Left, 3.0, 0.15, 0.1),
        ("right mirror", Side::Right, 1.0, 0.2, 0.2),
        ("right step", Side::Right, 2.0, 0.1, 0.1),
    ] {
        let faces = mirror_faces(side.y_sign(), behind, 0.15, reach);
        let brush = Post::of(&units[side.index()]);
        compare(one(&outcome, name, side), &by_rays(&brush, &faces, (behind, behind + 0.15), height), name);
    }
    // Stations of the right mirror are touched by the right brush and lie on the right.
    let vehicle = &setup.train[0].shape.real;
    let band = outcome.coverage.bands.iter().find(|b| (b.z_low_m, b.z_high_m) == (0.8, 0.9)).expect("a band");
    let on = band.stations.iter().filter(|s| s.feature == Some(0) && s.point_m.y < -1.0);
    let mut count = 0;
    for s in on {
        assert_eq!(vehicle.features[0].name, "right mirror");
        assert!(s.cells[1].contact_s > 0.0 && s.cells[0].contact_s == 0.0);
        count += 1;
    }
    assert!(count > 10);
}
