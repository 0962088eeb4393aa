//! The path of a brush past the measured vehicle, in the frame of the vehicle: a chain of cubics through the motion of the record, each checked
//! against it, so that instants are found with a few products instead of angles.

use crate::geometry::Vec2;
use crate::pass::UnitRecord;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::{UnitDynamics, VehiclePlan, state};
use wide::f64x2;

/// How far the path may be from the motion, m.
const PATH_ERROR_M: f64 = 1e-5;
/// Shortest leg, s: a blow that bends the path more sharply than its cubic can follow ends the halving here.
const SHORTEST_S: f64 = 2e-4;
/// Longest leg, s.
const LONGEST_S: f64 = 0.25;
/// Places of the two Gauss–Legendre points on 0…1: ½ ± 1/√12 (Abramowitz & Stegun, 25.4.30).
pub(super) const GAUSS: [f64; 2] = [0.211_324_865_405_187_1, 0.788_675_134_594_812_9];

/// The brush at one instant: centre and velocity relative to the vehicle, both in its frame, and how fast the strips turn.
#[derive(Debug, Clone, Copy)]
pub(super) struct BrushAt {
    pub t_s: f64,
    pub c: Vec2,
    pub v: Vec2,
    pub spin_rad_s: f64,
}

/// A short stretch of the path: a cubic in x = 0…1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leg {
    pub start: BrushAt,
    pub end: BrushAt,
    /// At the two Gauss points.
    pub inner: [BrushAt; 2],
    cubic: [Vec2; 4],
}

impl Leg {
    /// The cubic that leaves and arrives with the velocities given; its Gauss points are left to be read.
    pub(super) fn new(start: BrushAt, end: BrushAt) -> Leg {
        let h = end.t_s - start.t_s;
        let (d, v0, v1) = (end.c - start.c, start.v * h, end.v * h);
        let cubic = [start.c, v0, d * 3.0 - v0 * 2.0 - v1, v0 + v1 - d * 2.0];
        Leg { start, end, inner: [start; 2], cubic }
    }

    pub fn length_s(&self) -> f64 {
        self.end.t_s - self.start.t_s
    }

    /// Centre at x and its change with x.
    #[inline]
    pub fn at(&self, x: f64) -> (Vec2, Vec2) {
        let [a, b, c, d] = self.cubic;
        (a + (b + (c + d * x) * x) * x, b + (c * 2.0 + d * (3.0 * x)) * x)
    }

    /// Second derivative of the centre in x.
    pub fn bend(&self, x: f64) -> Vec2 {
        self.cubic[2] * 2.0 + self.cubic[3] * (6.0 * x)
    }

    /// The brush at x, off the cubic.
    pub fn brush(&self, x: f64) -> BrushAt {
        let (c, slope) = self.at(x);
        let h = self.length_s();
        let spin_rad_s = self.start.spin_rad_s + x * (self.end.spin_rad_s - self.start.spin_rad_s);
        BrushAt { t_s: self.start.t_s + x * h, c, v: slope / h, spin_rad_s }
    }
}

/// The two Gauss points of a stretch of the path side by side: what is summed over many spots is read here.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub t_s: [f64; 2],
    pub x: f64x2,
    pub y: f64x2,
    pub v_x: f64x2,
    pub v_y: f64x2,
    pub spin_rad_s: f64x2,
    /// K of the strips as they turn there.
    pub stiffness: f64x2,
}

impl Pair {
    pub fn of(law: &ContactLaw, at: &[BrushAt; 2]) -> Pair {
        let both = |read: &dyn Fn(&BrushAt) -> f64| f64x2::new([read(&at[0]), read(&at[1])]);
        Pair {
            t_s: [at[0].t_s, at[1].t_s],
            x: both(&|at| at.c.x),
            y: both(&|at| at.c.y),
            v_x: both(&|at| at.v.x),
            v_y: both(&|at| at.v.y),
            spin_rad_s: both(&|at| at.spin_rad_s),
            stiffness: both(&|at| law.stiffness_at(at.spin_rad_s)),
        }
    }
}

/// What moves the brush: the record of a unit past one vehicle.
pub(super) struct Course<'a> {
    pub dynamics: &'a UnitDynamics<'a>,
    pub plan: &'a VehiclePlan<'a>,
    pub run: &'a UnitRecord,
}

impl Course<'_> {
    /// The brush at a time, off the dense output.
    pub fn brush(&self, t_s: f64) -> BrushAt {
        let y = self.run.state_at(t_s).y;
        let (c, v) = self.dynamics.brush_motion(&y);
        let pose = &self.plan.pose;
        BrushAt {
            t_s,
            c: pose.vehicle_from_unit(c, t_s),
            v: pose.vehicle_from_unit_dir(v - Vec2::new(pose.speed_m_s, 0.0)),
            spin_rad_s: self.dynamics.law.spin_rad_s + y[state::OMEGA],
        }
    }
}

/// The whole path, as far as the brush may touch.
pub(super) struct Path {
    pub legs: Vec<Leg>,
    /// The Gauss points of each.
    pub pairs: Vec<Pair>,
    /// Least x of the centre over this leg and all before it, greatest over this leg and all after it, m.
    least_x_m: Vec<f64>,
    greatest_x_m: Vec<f64>,
    /// Farthest that a place on any leg may be from the nearer end of it, m.
    pub half_leg_m: f64,
    /// Least and greatest y of the centre, m.
    y_range_m: (f64, f64),
}

impl Path {
    /// Follows the record; no leg is longer than `leg_m` of travel over the vehicle.
    pub fn new(course: &Course<'_>, leg_m: f64) -> Path {
        let (plan, run) = (course.plan, course.run);
        let law = &course.dynamics.law;
        let reach = law.radius_m + 0.1;
        let (model, pose) = (course.dynamics.model, &plan.pose);
        let arm = model.body.length_m;
        let begin = pose.nose_time_s(model.pivot_m.x - arm - reach).max(run.start_s());
        let end = pose.nose_time_s(model.pivot_m.x + arm + reach + pose.length_m).min(run.end_s());
        let bounds = plan.vehicle.bounds();
        let (low, high) = (bounds.min.x - reach, bounds.max.x + reach);
        let mut legs: Vec<Leg> = Vec::new();
        if begin >= end {
            return Path::of(law, legs);
        }
        let mut start = course.brush(begin);
        let mut wanted_s = LONGEST_S;
        while start.t_s < end {
            let speed = start.v.norm().max(1e-6);
            let mut h = wanted_s.min(leg_m / speed).min(end - start.t_s);
            let leg = loop {
                let until = if h >= end - start.t_s { end } else { start.t_s + h };
                let mut leg = Leg::new(start, course.brush(until));
                let close = |at: &BrushAt, x: f64| (leg.at(x).0 - at.c).norm() <= PATH_ERROR_M;
                let travel = leg.start.v.norm().max(leg.end.v.norm()) * h;
                if travel <= 1.5 * leg_m || h <= SHORTEST_S {
                    let inner = GAUSS.map(|x| course.brush(start.t_s + x * (until - start.t_s)));
                    let middle = course.brush(start.t_s + 0.5 * (until - start.t_s));
                    let fits = close(&middle, 0.5) && inner.iter().zip(GAUSS).all(|(at, x)| close(at, x));
                    if fits || h <= SHORTEST_S {
                        leg.inner = inner;
                        break leg;
                    }
                }
                h *= 0.5;
            };
            wanted_s = (2.0 * h).min(LONGEST_S);
            start = leg.end;
            let (near, far) = (leg.start.c.x.min(leg.end.c.x), leg.start.c.x.max(leg.end.c.x));
            if far + leg_m > low && near - leg_m < high {
                legs.push(leg);
            }
        }
        Path::of(law, legs)
    }

    /// The path along legs in the order of time.
    pub(super) fn of(law: &ContactLaw, legs: Vec<Leg>) -> Path {
        let pad = |leg: &Leg| 0.25 * (leg.end.c - leg.start.c).norm() + PATH_ERROR_M;
        let x_range = |leg: &Leg| {
            (leg.start.c.x.min(leg.end.c.x) - pad(leg), leg.start.c.x.max(leg.end.c.x) + pad(leg))
        };
        let y_range_m = legs.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), leg| {
            let (from, to) = (leg.start.c.y.min(leg.end.c.y), leg.start.c.y.max(leg.end.c.y));
            (low.min(from - pad(leg)), high.max(to + pad(leg)))
        });
        let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
        let least_x_m = legs.iter().map(|leg| {
            least = least.min(x_range(leg).0);
            least
        });
        let least_x_m = least_x_m.collect();
        let mut greatest_x_m: Vec<f64> = legs
            .iter()
            .rev()
            .map(|leg| {
                greatest = greatest.max(x_range(leg).1);
                greatest
            })
            .collect();
        greatest_x_m.reverse();
        let half_leg_m =
            legs.iter().map(|leg| 0.5 * (leg.end.c - leg.start.c).norm() + pad(leg)).fold(0.0, f64::max);
        let pairs = legs.iter().map(|leg| Pair::of(law, &leg.inner)).collect();
        Path { legs, pairs, least_x_m, greatest_x_m, half_leg_m, y_range_m }
    }

    /// Legs from which a brush of radius R may reach a spot.
    pub fn near(&self, p: Vec2, radius_m: f64) -> std::ops::Range<usize> {
        if p.y + radius_m < self.y_range_m.0 || p.y - radius_m > self.y_range_m.1 {
            return 0..0;
        }
        let first = self.least_x_m.partition_point(|least| *least > p.x + radius_m);
        let last = self.greatest_x_m.partition_point(|greatest| *greatest >= p.x - radius_m);
        first..last.max(first)
    }

    /// First and last instant.
    pub fn ends_s(&self) -> Option<(f64, f64)> {
        Some((self.legs.first()?.start.t_s, self.legs.last()?.end.t_s))
    }
}

/// The law of the strips as they turn at an instant.
pub(super) fn spinning(law: &ContactLaw, at: &BrushAt) -> ContactLaw {
    law.turned(at.spin_rad_s - law.spin_rad_s)
}

#[cfg(test)]
mod tests {
    use super::super::dwell::tests::law;
    use super::*;

    /// A leg through a motion that is a cubic in time, by hand: c = (1 + 2t − t², 3t³ − t), v its derivative, spin 5 + 4t, from t = 2 to 2.5. Place,
    /// velocity and curvature are the motion's anywhere on it.
    #[test]
    fn verif_a_leg_follows_a_cubic() {
        let at = |t: f64| BrushAt {
            t_s: t,
            c: Vec2::new(1.0 + 2.0 * t - t * t, 3.0 * t * t * t - t),
            v: Vec2::new(2.0 - 2.0 * t, 9.0 * t * t - 1.0),
            spin_rad_s: 5.0 + 4.0 * t,
        };
        let leg = Leg::new(at(2.0), at(2.5));
        assert!((leg.length_s() - 0.5).abs() < 1e-15);
        for x in [0.0, 0.3, 0.5, 0.9, 1.0] {
            let t = 2.0 + 0.5 * x;
            let (got, want) = (leg.brush(x), at(t));
            assert!((got.c - want.c).norm() < 1e-12 && (got.v - want.v).norm() < 1e-12, "{got:?} {want:?}");
            assert!((got.spin_rad_s - want.spin_rad_s).abs() < 1e-12 && (got.t_s - t).abs() < 1e-12);
            let (c, slope) = leg.at(x);
            assert!((c - want.c).norm() < 1e-12 && (slope - want.v * 0.5).norm() < 1e-12);
            // d²c/dx² is h² times the acceleration.
            assert!((leg.bend(x) - Vec2::new(-2.0, 18.0 * t) * 0.25).norm() < 1e-12, "{:?}", leg.bend(x));
        }
    }

    /// The motor rides on the arm: strips turn at the set spin and as fast as the arm swings, by the slope of its angle; and so they press.
    #[test]
    fn verif_strips_turn_with_the_arm() {
        let text = include_str!("../../scenarios/one-unit.ron");
        let setup = crate::scenario::Scenario::read_alone(text, "one-unit.ron").expect("good").setup();
        let record = crate::pass::run(&setup).expect("runs");
        let (dynamics, run) = (setup.dynamics(0), &record.units[0]);
        let plan = setup.plan(setup.measured, &setup.units[0]);
        let course = Course { dynamics: &dynamics, plan: &plan, run };
        let set = dynamics.law.spin_rad_s;
        let mut swings = [0; 2];
        for k in 1..400 {
            let t_s = run.start_s() + (run.end_s() - run.start_s()) * f64::from(k) / 400.0;
            let angle = |t: f64| run.state_at(t).phi_rad();
            let swing_rad_s = (angle(t_s + 1e-5) - angle(t_s - 1e-5)) / 2e-5;
            let at = course.brush(t_s);
            assert!((at.spin_rad_s - set - swing_rad_s).abs() < 1e-2, "{t_s}");
            assert!((spinning(&dynamics.law, &at).spin_rad_s - at.spin_rad_s).abs() < 1e-12);
            swings[0] += usize::from(swing_rad_s > 0.1);
            swings[1] += usize::from(swing_rad_s < -0.1);
        }
        assert!(swings.iter().all(|count| *count > 3) && set.abs() > 1.0, "{swings:?}");
    }

    /// Gauss's two points sum a cubic exactly: ∫ x³ = 1/4.
    #[test]
    fn verif_gauss_points_of_a_leg() {
        let sum: f64 = GAUSS.iter().map(|x| 0.5 * x * x * x).sum();
        assert!((sum - 0.25).abs() < 1e-15);
    }

    /// The legs from which a brush may reach a spot are those that come within its radius along the vehicle, and all between them; by hand on a way
    /// along x at 0.1 m a leg, there and back, and on one above and below.
    #[test]
    fn verif_legs_near_a_spot_by_hand() {
        let way = |places: &[(f64, f64)]| {
            let at = |i: usize| {
                let (x, y) = places[i];
                let (t_s, c) = (i as f64, Vec2::new(x, y));
                BrushAt { t_s, c, v: Vec2::zeros(), spin_rad_s: 0.0 }
            };
            Path::of(&law(), (1..places.len()).map(|i| Leg::new(at(i - 1), at(i))).collect())
        };
        let forth: Vec<(f64, f64)> = (0..=20).map(|i| (0.1 * f64::from(i), 0.0)).collect();
        let back: Vec<(f64, f64)> = forth.iter().rev().copied().collect();
        // A leg counts as 25 mm longer at both ends than it is: a cubic may stand out of its chord.
        let p = |x: f64, y: f64| Vec2::new(x, y);
        assert_eq!(way(&back).near(p(1.03, 0.0), 0.3), 6..13);
        assert_eq!(way(&back).near(p(1.03, 0.1), 0.24), 7..13);
        assert_eq!(way(&back).near(p(0.95, 0.0), 0.174_9), 8..13);
        assert_eq!(way(&back).near(p(-0.31, 0.0), 0.3), 19..20);
        assert_eq!(way(&back).near(p(-0.33, 0.0), 0.3), 20..20);
        assert_eq!(way(&back).near(p(2.31, 0.0), 0.3), 0..1);
        assert_eq!(way(&back).near(p(2.33, 0.0), 0.3), 0..0);
        // The other way the first leg that is near is the first of all, for what came before is no farther back.
        assert_eq!(way(&forth).near(p(1.03, 0.0), 0.3), 0..20);
        // There and back: all between the first and the last that come near.
        let both: Vec<(f64, f64)> = back.iter().chain(&forth[1..]).copied().collect();
        assert_eq!(way(&both).near(p(1.03, 0.0), 0.3), 6..40);
        let both: Vec<(f64, f64)> = back[..11].iter().chain(&forth[11..]).copied().collect();
        assert_eq!(way(&both).near(p(0.5, 0.0), 0.3), 20..20);
        // Across: nothing is near beyond the radius, with half a leg to spare.
        let high: Vec<(f64, f64)> =
            (0..=4).map(|i| (-0.1 * f64::from(i), 3.0 + 0.2 * f64::from(i))).collect();
        let reach = |y: f64| !way(&high).near(p(-0.2, y), 0.3).is_empty();
        let pad = 0.25 * (0.1_f64 * 0.1 + 0.2 * 0.2).sqrt();
        for (y, near) in
            [(2.7 - pad - 0.001, false), (2.7 - pad, true), (4.1 + pad, true), (4.1 + pad + 0.001, false)]
        {
            assert_eq!(reach(y), near, "{y}");
        }
        let path = way(&back);
        assert_eq!(path.ends_s(), Some((0.0, 20.0)));
        // Half of 0.1 m and the 25 mm; the longest leg counts.
        assert!((path.half_leg_m - 0.075 - PATH_ERROR_M).abs() < 1e-12, "{}", path.half_leg_m);
        let uneven = way(&[(0.0, 0.0), (0.1, 0.0), (0.5, 0.3)]);
        assert!((uneven.half_leg_m - 0.375 - PATH_ERROR_M).abs() < 1e-12, "{}", uneven.half_leg_m);
        let none = Path::of(&law(), Vec::new());
        assert_eq!((none.ends_s(), none.near(p(0.0, 0.0), 1e9)), (None, 0..0));
    }
}
