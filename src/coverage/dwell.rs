//! What one spot of the perimeter gets from one brush: from touch to leave, found on the path, summed at Gauss points between.
//!
//! A spot p with outward normal n is touched while |p − c| < R, (c − p)·n > 0 and nothing stands before it. Every leg of the path is cut where one
//! of these turns, where the hub begins to press, and where the strip tips turn round; two Gauss points in each part then give sums that do
//! not depend on where the legs happen to end.

use super::hidden::Wedge;
use super::path::{BrushAt, GAUSS, Leg, Pair, Path};
use crate::elementary::Elementary;
use crate::geometry::Vec2;
use crate::pass::contact::ContactLaw;
use wide::f64x2;

/// A spot as one brush meets it.
pub(super) struct Spot<'a> {
    /// In the vehicle frame, less the shift by the lean at its height, m.
    pub p: Vec2,
    /// Outward normal.
    pub n: Vec2,
    /// What stands before it.
    pub hidden_by: &'a [Wedge],
}

/// What it gets; wipes follow from the time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dwell {
    pub contact_s: f64,
    pub pressure_time_pa_s: f64,
    pub work_j_m2: f64,
    /// Highest pressure at a Gauss point, Pa, and when, s.
    pub peak_pa: f64,
    pub peak_s: f64,
    pub first_s: f64,
    pub last_s: f64,
}

impl Dwell {
    pub const NONE: Dwell = Dwell {
        contact_s: 0.0,
        pressure_time_pa_s: 0.0,
        work_j_m2: 0.0,
        peak_pa: 0.0,
        peak_s: f64::NAN,
        first_s: f64::NAN,
        last_s: f64::NAN,
    };
}

/// How a spot sees the brush at one end of a leg.
#[derive(Clone, Copy)]
struct Seen {
    /// From the spot to the centre.
    r: Vec2,
    squared: f64,
    /// Positive while the centre goes away.
    away: f64,
    /// Whether the centre stands before the surface.
    faces: bool,
}

impl Seen {
    #[inline]
    fn of(spot: &Spot<'_>, at: &BrushAt) -> Seen {
        let r = at.c - spot.p;
        Seen { r, squared: r.norm_squared(), away: r.dot(&at.v), faces: r.dot(&spot.n) > 0.0 }
    }
}

/// Sums what a spot gets along the path. `cuts` is scratch.
pub(super) fn dwell(path: &Path, law: &ContactLaw, spot: &Spot<'_>, cuts: &mut Vec<f64>) -> Dwell {
    let mut sum = Dwell::NONE;
    let (reach, hub) = (law.radius_m * law.radius_m, law.hub_radius_m * law.hub_radius_m);
    let near = path.near(spot.p, law.radius_m);
    // A leg whose ends both are farther away than this does not come within reach.
    let far = (law.radius_m + path.half_leg_m).powi(2);
    for (leg, pair) in path.legs[near.clone()].iter().zip(&path.pairs[near]) {
        let (a, b) = (Seen::of(spot, &leg.start), Seen::of(spot, &leg.end));
        if a.squared >= far && b.squared >= far {
            continue;
        }
        let [in_a, in_b] = [a, b].map(|seen| seen.squared < reach);
        // Out at both ends, a leg touches only if its nearest point lies between.
        let passes = a.away < 0.0 && b.away > 0.0;
        if !(in_a || in_b || passes) || !(a.faces || b.faces) {
            continue;
        }
        cuts.clear();
        let turns = (a.away > 0.0) != (b.away > 0.0);
        if in_a != in_b || turns {
            circle_cuts(leg, spot.p, reach, [in_a, in_b], turns, cuts);
        }
        if a.squared.min(b.squared) < 4.0 * hub {
            circle_cuts(leg, spot.p, hub, [a, b].map(|seen| seen.squared < hub), turns, cuts);
        }
        if a.faces != b.faces {
            cuts.push(line_cut(leg, spot.p, spot.n));
        }
        for wedge in spot.hidden_by {
            for edge in [wedge.low, wedge.high] {
                if (edge.perp(&a.r) > 0.0) != (edge.perp(&b.r) > 0.0) {
                    cuts.push(line_cut(leg, spot.p, Vec2::new(-edge.y, edge.x)));
                }
            }
        }
        let hides = |r: Vec2| spot.hidden_by.iter().any(|wedge| wedge.hides(r));
        if cuts.is_empty() {
            if in_a && (spot.hidden_by.is_empty() || !hides(leg.at(0.5).0 - spot.p)) {
                sum.add(law, spot, leg, pair, (0.0, 1.0), true);
            }
            continue;
        }
        cuts.push(1.0);
        cuts.sort_by(f64::total_cmp);
        let mut from = 0.0;
        for &to in cuts.iter() {
            if to > from {
                let middle = leg.at(0.5 * (from + to)).0 - spot.p;
                if middle.norm_squared() < reach && middle.dot(&spot.n) > 0.0 && !hides(middle) {
                    sum.add_part(law, spot, leg, (from, to), true);
                }
                from = to;
            }
        }
    }
    sum
}

/// Where a leg passes in or out of a circle around a spot.
fn circle_cuts(leg: &Leg, p: Vec2, squared: f64, [in_a, in_b]: [bool; 2], turns: bool, cuts: &mut Vec<f64>) {
    let off = |x: f64| {
        let (c, slope) = leg.at(x);
        let r = c - p;
        (r.norm_squared() - squared, 2.0 * r.dot(&slope))
    };
    if in_a != in_b {
        cuts.push(super::find::root(off, 0.0, 1.0));
    } else if turns {
        // Nearest or farthest point inside the leg.
        let turn = super::find::root(
            |x| {
                let (c, slope) = leg.at(x);
                ((c - p).dot(&slope), slope.norm_squared() + (c - p).dot(&leg.bend(x)))
            },
            0.0,
            1.0,
        );
        if (off(turn).0 < 0.0) != in_a {
            cuts.push(super::find::root(off, 0.0, turn));
            cuts.push(super::find::root(off, turn, 1.0));
        }
    }
}

/// Where a leg passes through the line through a spot with a normal.
fn line_cut(leg: &Leg, p: Vec2, normal: Vec2) -> f64 {
    super::find::root(
        |x| {
            let (c, slope) = leg.at(x);
            ((c - p).dot(&normal), slope.dot(&normal))
        },
        0.0,
        1.0,
    )
}

/// Pressure (Pa) on a spot and speed of the tips over it (m/s), at both points of a pair.
#[inline]
fn press_on(law: &ContactLaw, p: Vec2, n: Vec2, at: &Pair) -> [[f64; 2]; 2] {
    let all = f64x2::splat;
    let (x, y) = (at.x - all(p.x), at.y - all(p.y));
    let squared = x * x + y * y;
    let rho = squared.sqrt();
    let along = x * all(n.x) + y * all(n.y);
    let press = (all(law.radius_m) - rho).fast_max(f64x2::ZERO);
    let push = if law.exponent == 1.0 {
        press
    } else {
        f64x2::new(press.to_array().map(|press| press.power(law.exponent)))
    };
    let per_psi =
        at.stiffness * push + all(law.hub_stiffness) * (all(law.hub_radius_m) - rho).fast_max(f64x2::ZERO);
    let tip = all(n.x) * at.v_y - all(n.y) * at.v_x - at.spin_rad_s * along;
    let pressure = per_psi * along * along / (squared * rho);
    [along.simd_gt(f64x2::ZERO).select(pressure, f64x2::ZERO).to_array(), tip.to_array()]
}

impl Dwell {
    /// Adds a part of a leg in which nothing turns. Rare beside whole legs: out of the way of their loop.
    #[inline(never)]
    fn add_part(
        &mut self,
        law: &ContactLaw,
        spot: &Spot<'_>,
        leg: &Leg,
        (from, to): (f64, f64),
        may_cut: bool,
    ) {
        let pair = Pair::of(law, &GAUSS.map(|x| leg.brush(from + (to - from) * x)));
        self.add(law, spot, leg, &pair, (from, to), may_cut);
    }

    /// Adds a leg or a part of one by its pair of Gauss points; where the tips turn round, it is cut once more. In line, so that the sums of a spot stay in registers.
    #[inline(always)]
    fn add(
        &mut self,
        law: &ContactLaw,
        spot: &Spot<'_>,
        leg: &Leg,
        pair: &Pair,
        (from, to): (f64, f64),
        may_cut: bool,
    ) {
        let [pressure, tip] = press_on(law, spot.p, spot.n, pair);
        if may_cut && law.friction > 0.0 && (tip[0] > 0.0) != (tip[1] > 0.0) {
            let turn = GAUSS[0] + (GAUSS[1] - GAUSS[0]) * tip[0] / (tip[0] - tip[1]);
            let cut = from + (to - from) * turn;
            self.add_part(law, spot, leg, (from, cut), false);
            self.add_part(law, spot, leg, (cut, to), false);
            return;
        }
        let time = (to - from) * leg.length_s();
        self.contact_s += time;
        self.pressure_time_pa_s += 0.5 * time * (pressure[0] + pressure[1]);
        self.work_j_m2 += 0.5
            * time
            * law.friction
            * law.rubbing_share
            * (pressure[0] * tip[0].abs() + pressure[1] * tip[1].abs());
        for (t_s, pressure) in pair.t_s.into_iter().zip(pressure) {
            if pressure > self.peak_pa {
                (self.peak_pa, self.peak_s) = (pressure, t_s);
            }
        }
        let start = leg.start.t_s + from * leg.length_s();
        if self.first_s.is_nan() {
            self.first_s = start;
        }
        self.last_s = leg.start.t_s + to * leg.length_s();
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::geometry::{Line, Piece};
    use crate::pass::contact::{chances, surface_point};

    pub(in crate::coverage) fn law() -> ContactLaw {
        ContactLaw {
            radius_m: 0.5,
            hub_radius_m: 0.1,
            stiffness: 80.0,
            spin_stiffness: 0.0,
            exponent: 1.0,
            friction: 0.4,
            lead_m: 0.0,
            rubbing_share: 1.0,
            spin_rad_s: 0.0,
            hub_stiffness: 5000.0,
        }
    }

    /// A motion of a brush in time, and how fast its strips turn.
    type Motion<'a> = &'a dyn Fn(f64) -> (Vec2, Vec2, f64);

    /// Legs through a motion between instants.
    fn path(motion: Motion<'_>, instants: &[f64]) -> Path {
        let at = |t_s: f64| {
            let (c, v, spin_rad_s) = motion(t_s);
            BrushAt { t_s, c, v, spin_rad_s }
        };
        let legs = instants.windows(2).map(|pair| {
            let mut leg = Leg::new(at(pair[0]), at(pair[1]));
            leg.inner = GAUSS.map(|x| leg.brush(x));
            leg
        });
        Path::of(&law(), legs.collect())
    }

    fn even(from: f64, to: f64, count: usize) -> Vec<f64> {
        (0..=count).map(|i| from + (to - from) * i as f64 / count as f64).collect()
    }

    /// Pressure and speed of the tips at one instant.
    fn press_at(law: &ContactLaw, p: Vec2, n: Vec2, at: BrushAt) -> (f64, f64) {
        let [pressure, tip] = press_on(law, p, n, &Pair::of(law, &[at, at]));
        (pressure[0], tip[1])
    }

    fn walk(law: &ContactLaw, path: &Path, p: Vec2, n: Vec2, hidden_by: &[Wedge]) -> Dwell {
        dwell(path, law, &Spot { p, n, hidden_by }, &mut Vec::new())
    }

    /// ∫ p dt and ∫ μ p |v| dt over stretches of time, by the midpoint rule in steps so fine that it is exact to 1e-7.
    fn summed(
        law: &ContactLaw,
        motion: Motion<'_>,
        (p, n): (Vec2, Vec2),
        stretches: &[(f64, f64)],
    ) -> (f64, f64) {
        let (mut pressure_time, mut work) = (0.0, 0.0);
        for &(from, to) in stretches {
            let count = 20_000;
            let dt = (to - from) / f64::from(count);
            for i in 0..count {
                let t_s = from + (f64::from(i) + 0.5) * dt;
                let (c, v, spin_rad_s) = motion(t_s);
                let (pressure, tip) = press_at(law, p, n, BrushAt { t_s, c, v, spin_rad_s });
                pressure_time += dt * pressure;
                work += dt * law.friction * pressure * tip.abs();
            }
        }
        (pressure_time, work)
    }

    /// What a spot gets is what the motion comes to over the stretches of time given, found by hand.
    fn check(
        law: &ContactLaw,
        motion: Motion<'_>,
        (p, n): (Vec2, Vec2),
        got: &Dwell,
        stretches: &[(f64, f64)],
        within: f64,
    ) {
        let time: f64 = stretches.iter().map(|(from, to)| to - from).sum();
        assert!((got.contact_s - time).abs() < 1e-9, "time {} not {time}", got.contact_s);
        let (pressure_time, work) = summed(law, motion, (p, n), stretches);
        let off = (got.pressure_time_pa_s / pressure_time - 1.0, got.work_j_m2 / work - 1.0);
        assert!(off.0.abs() < within && off.1.abs() < within, "{off:?} of {pressure_time} and {work}");
        let (first, last) = (stretches[0].0, stretches[stretches.len() - 1].1);
        assert!((got.first_s - first).abs() < 1e-9 && (got.last_s - last).abs() < 1e-9, "{got:?}");
        assert!(got.peak_s > first && got.peak_s < last);
        let (c, v, spin_rad_s) = motion(got.peak_s);
        let there = press_at(law, p, n, BrushAt { t_s: got.peak_s, c, v, spin_rad_s }).0;
        assert!((got.peak_pa / there - 1.0).abs() < 1e-9, "{} not {there}", got.peak_pa);
    }

    /// Past a spot on a straight line 0.3 m away a brush of 0.5 m touches it from 0.4 m before to 0.4 m behind: at 0.2 m/s for 4 s, wherever the legs
    /// of its path end, in any direction. Its highest pressure is next to it.
    #[test]
    fn verif_a_straight_way_past_a_spot() {
        for turn in [0.0_f64, 0.7, 2.0, 3.5, 5.0] {
            let (t, n) = (Vec2::new(turn.cosine(), turn.sine()), Vec2::new(-turn.sine(), turn.cosine()));
            let p = Vec2::new(0.4, -1.3);
            // Next to the spot at 7 s.
            let motion = move |time: f64| (p + n * 0.3 + t * (0.2 * (time - 7.0)), t * 0.2, -3.0);
            for (from, to, legs) in [(0.0, 14.0, 140), (0.03, 14.0, 197), (2.0, 11.0, 87)] {
                let path = path(&motion, &even(from, to, legs));
                let got = walk(&law(), &path, p, n, &[]);
                check(&law(), &motion, (p, n), &got, &[(5.0, 9.0)], 2e-6);
                assert!((got.peak_s - 7.0).abs() < 0.1, "{}", got.peak_s);
            }
            // Begun and ended within reach.
            let got = walk(&law(), &path(&motion, &even(6.0, 8.5, 50)), p, n, &[]);
            check(&law(), &motion, (p, n), &got, &[(6.0, 8.5)], 2e-6);
            // One leg over all of it, in and out.
            let got = walk(&law(), &path(&motion, &[0.0, 14.5]), p, n, &[]);
            assert!((got.contact_s - 4.0).abs() < 1e-9 && (got.first_s - 5.0).abs() < 1e-9);
            // From behind the surface, or farther away than it reaches, nothing.
            assert_eq!(walk(&law(), &path(&motion, &even(0.0, 14.0, 140)), p, -n, &[]).contact_s, 0.0);
            let beside = walk(&law(), &path(&motion, &even(0.0, 14.0, 140)), p - n * 0.201, n, &[]);
            assert!(beside.contact_s == 0.0 && beside.first_s.is_nan() && beside.peak_s.is_nan());
            let hair = walk(&law(), &path(&motion, &even(0.0, 14.0, 1)), p - n * 0.1999, n, &[]);
            assert!((hair.contact_s - 2.0 * (0.25_f64 - 0.4999 * 0.4999).sqrt() / 0.2).abs() < 1e-9);
        }
    }

    /// Where the hub begins to press, the pressure has a kink: a hub of 0.35 m on the way 0.3 m away. And other exponents.
    #[test]
    fn verif_a_hub_that_presses_and_other_exponents() {
        let (p, n) = (Vec2::new(0.4, -1.3), Vec2::new(0.0, -1.0));
        let motion = move |time: f64| (p + Vec2::new(0.2 * (time - 7.0), -0.3), Vec2::new(0.2, 0.0), -3.0);
        for hub_radius_m in [0.29, 0.31, 0.35, 0.45] {
            for exponent in [1.0, 1.5] {
                let law = ContactLaw { hub_radius_m, exponent, ..law() };
                for (legs, shift) in [(140, 0.0), (140, 0.043), (131, 0.0)] {
                    let got = walk(&law, &path(&motion, &even(shift, 14.0, legs)), p, n, &[]);
                    check(&law, &motion, (p, n), &got, &[(5.0, 9.0)], 2e-5);
                }
            }
        }
    }

    /// Tips that turn round on the spot rub before and after: a brush at 0.2 m/s whose spin goes through −v/h, where they stand.
    #[test]
    fn verif_tips_that_turn_round() {
        let (p, n) = (Vec2::new(0.4, -1.3), Vec2::new(0.0, 1.0));
        for (rate, off) in [(3.0, 0.25), (-3.0, 0.35), (10.0, 0.45)] {
            let motion = move |time: f64| {
                let spin = -0.2 / 0.3 + rate * (time - 7.0 - off);
                (p + Vec2::new(0.2 * (time - 7.0), 0.3), Vec2::new(0.2, 0.0), spin)
            };
            // In the leg from 7.15 to 7.55 s, between its two Gauss points.
            let got = walk(&law(), &path(&motion, &even(0.35, 13.95, 34)), p, n, &[]);
            check(&law(), &motion, (p, n), &got, &[(5.0, 9.0)], 1e-4);
            let smooth = ContactLaw { friction: 0.0, ..law() };
            let got = walk(&smooth, &path(&motion, &even(0.0, 14.0, 113)), p, n, &[]);
            assert!(got.work_j_m2 == 0.0 && (got.contact_s - 4.0).abs() < 1e-9);
        }
        // Strips that stand on a brush that stands rub nothing.
        let motion = move |_: f64| (p + Vec2::new(0.0, 0.3), Vec2::zeros(), 0.0);
        let got = walk(&law(), &path(&motion, &[1.0, 3.0]), p, n, &[]);
        assert_eq!((got.contact_s, got.work_j_m2), (2.0, 0.0));
        // Of instants at which the pressure is as high the first is told.
        assert!((got.peak_s - (1.0 + 2.0 * GAUSS[0])).abs() < 1e-12, "{}", got.peak_s);
    }

    /// A way that bends within one leg: x = v t, y = h + a t² comes within R where (v t)² + (h + a t²)² = R², a quadratic in t². In and out of reach on
    /// one leg; and away and back, y = h + a (T² − t²) on the spot, out while that is more than R.
    #[test]
    fn verif_a_way_that_bends_within_a_leg() {
        let (p, n) = (Vec2::new(-2.0, 0.5), Vec2::new(0.0, 1.0));
        let (v, h, a, r) = (0.2, 0.3, 0.05, 0.5_f64);
        let b = v * v + 2.0 * a * h;
        let t = ((-b + (b * b + 4.0 * a * a * (r * r - h * h)).sqrt()) / (2.0 * a * a)).sqrt();
        let motion = move |time: f64| {
            (p + Vec2::new(v * time, h + a * time * time), Vec2::new(v, 2.0 * a * time), -3.0)
        };
        for ends in [(-3.0, 4.0), (-t - 0.01, t + 0.01), (-t + 0.01, t + 0.7), (-9.0, t - 0.01)] {
            let stretch = (ends.0.max(-t), ends.1.min(t));
            let got = walk(&law(), &path(&motion, &[ends.0, ends.1]), p, n, &[]);
            assert!((got.contact_s - (stretch.1 - stretch.0)).abs() < 1e-9, "{ends:?}: {got:?}");
            assert!((got.first_s - stretch.0).abs() < 1e-9 && (got.last_s - stretch.1).abs() < 1e-9);
        }
        let got = walk(&law(), &path(&motion, &even(-3.0, 4.0, 200)), p, n, &[]);
        check(&law(), &motion, (p, n), &got, &[(-t, t)], 1e-5);
        let motion = move |time: f64| {
            (p + Vec2::new(0.0, 0.3 + 0.1 * (4.0 - time * time)), Vec2::new(0.0, -0.2 * time), -3.0)
        };
        let out = 2.0_f64.sqrt();
        for count in [1, 2, 7] {
            let got = walk(&law(), &path(&motion, &even(-2.0, 1.9, count)), p, n, &[]);
            assert!((got.contact_s - (3.9 - 2.0 * out)).abs() < 1e-9, "{count}: {got:?}");
            assert!((got.first_s + 2.0).abs() < 1e-9 && (got.last_s - 1.9).abs() < 1e-9);
        }
        let got = walk(&law(), &path(&motion, &even(-2.0, 1.9, 150)), p, n, &[]);
        check(&law(), &motion, (p, n), &got, &[(-2.0, -out), (out, 1.9)], 1e-5);
        // It turns just within reach: at 0.499 m it is in all the time.
        let near = move |time: f64| {
            (p + Vec2::new(0.0, 0.099 + 0.1 * (4.0 - time * time)), Vec2::new(0.0, -0.2 * time), -3.0)
        };
        assert!((walk(&law(), &path(&near, &[-1.5, 1.5]), p, n, &[]).contact_s - 3.0).abs() < 1e-9);
    }

    /// Beside the edge of a surface the brush touches only from where it stands before the surface: crossing its plane 0.2 m from the spot, on to
    /// √(0.5² − 0.2²) m over it.
    #[test]
    fn verif_only_from_before_the_surface() {
        let (p, n) = (Vec2::new(1.0, 2.0), Vec2::new(0.0, 1.0));
        let far = (0.25_f64 - 0.04).sqrt();
        for (sense, legs) in [(1.0, 1), (1.0, 17), (-1.0, 1), (-1.0, 18), (1.0, 200)] {
            let motion =
                move |time: f64| (p + Vec2::new(0.2, 0.1 * sense * time), Vec2::new(0.0, 0.1 * sense), 2.0);
            let stretch = if sense > 0.0 { (0.0, far / 0.1) } else { (-far / 0.1, 0.0) };
            let got = walk(&law(), &path(&motion, &even(-9.0, 8.0, legs)), p, n, &[]);
            assert!((got.contact_s - far / 0.1).abs() < 1e-9, "{sense} {legs}: {got:?}");
            if legs == 200 {
                check(&law(), &motion, (p, n), &got, &[stretch], 1e-4);
            }
        }
    }

    /// What stands before a spot hides the brush while it is in its shadow: a wall 0.1 m over the spot, from 0.05 to 0.08 m beside it, hides on the way 0.3 m
    /// away what lies from 0.15 to 0.24 m; two walls hide both.
    #[test]
    fn verif_what_stands_before_a_spot_hides_it() {
        let (p, n) = (Vec2::new(1.0, 2.0), Vec2::new(0.0, 1.0));
        let wall = |right: f64, left: f64| Wedge { low: Vec2::new(right, 0.1), high: Vec2::new(left, 0.1) };
        let motion = move |time: f64| (p + Vec2::new(0.2 * time, 0.3), Vec2::new(0.2, 0.0), 2.0);
        for legs in [1, 2, 9, 50, 400] {
            let path = path(&motion, &even(-3.1, 3.0, legs));
            let got = walk(&law(), &path, p, n, &[wall(0.08, 0.05)]);
            let seen = [(-2.0, 0.75), (1.2, 2.0)];
            assert!((got.contact_s - 3.55).abs() < 1e-9, "{legs}: {got:?}");
            if legs == 400 {
                check(&law(), &motion, (p, n), &got, &seen, 1e-5);
            }
            let got = walk(&law(), &path, p, n, &[wall(0.08, 0.05), wall(-0.02, -0.04)]);
            assert!((got.contact_s - (4.0 - 0.45 - 0.3)).abs() < 1e-9, "{legs}: {got:?}");
            // Over all of it; and from the right of the spot on.
            assert_eq!(walk(&law(), &path, p, n, &[wall(0.5, -0.5)]).contact_s, 0.0);
            let got = walk(&law(), &path, p, n, &[wall(0.5, 0.0)]);
            assert!((got.contact_s - 2.0).abs() < 1e-9 && got.last_s.abs() < 1e-9, "{legs}: {got:?}");
            // The other way round the same spots are seen, as late as they were seen early.
            let back = move |time: f64| (p + Vec2::new(-0.2 * time, 0.3), Vec2::new(-0.2, 0.0), 2.0);
            let back = self::path(&back, &even(-3.1, 3.0, legs));
            let got = walk(&law(), &back, p, n, &[wall(0.08, 0.05)]);
            assert!((got.contact_s - 3.55).abs() < 1e-9, "{legs}: {got:?}");
            assert!((got.first_s + 2.0).abs() < 1e-9 && (got.last_s - 2.0).abs() < 1e-9);
            let got = walk(&law(), &back, p, n, &[wall(0.5, 0.0)]);
            assert!((got.contact_s - 2.0).abs() < 1e-9 && got.first_s.abs() < 1e-9, "{legs}: {got:?}");
            // A wall that stands there twice hides no more and tells no more.
            for one in [wall(0.08, 0.05), wall(0.5, 0.0), wall(0.0, -0.5), wall(0.03, -0.03)] {
                for path in [&path, &back] {
                    let [once, twice] = [&[one][..], &[one, one]].map(|by| walk(&law(), path, p, n, by));
                    assert_eq!(once, twice, "{legs}: {one:?}");
                }
            }
            // What stands behind the way hides nothing.
            let beyond = Wedge { low: Vec2::new(0.5, 0.4), high: Vec2::new(-0.5, 0.4) };
            assert!((walk(&law(), &path, p, n, &[beyond]).contact_s - 4.0).abs() < 1e-9);
        }
    }

    /// Pressure and speed of the tips at the two points of a pair are those of a point of the surface for a brush that turns as it does there: within reach, at
    /// the hub, out of reach; nothing from behind.
    #[test]
    fn verif_a_pair_is_two_points_of_the_surface() {
        let mut by = chances();
        let (mut pressed, mut struck, mut none) = (0, 0, 0);
        for round in 0..400 {
            let exponent = if round % 2 == 0 { 1.0 } else { 1.5 };
            let spin_stiffness = if round % 3 == 0 { 0.0 } else { 2.0 };
            let law = ContactLaw { hub_radius_m: 0.3, exponent, spin_stiffness, spin_rad_s: 7.0, ..law() };
            let turn = by(0.0, 6.2);
            let (t, n) = (Vec2::new(-turn.sine(), turn.cosine()), Vec2::new(turn.cosine(), turn.sine()));
            let p = Vec2::new(by(-2.0, 2.0), by(-2.0, 2.0));
            let piece = Piece::Line(Line { a: p - t, b: p + t });
            let at = [0, 1].map(|_| BrushAt {
                t_s: 0.0,
                c: p + n * by(-0.1, 0.5) + t * by(-0.4, 0.4),
                v: Vec2::new(by(-1.0, 1.0), by(-1.0, 1.0)),
                spin_rad_s: by(-9.0, 9.0),
            });
            let [pressure, tip] = press_on(&law, p, n, &Pair::of(&law, &at));
            for i in 0..2 {
                let turned = law.turned(at[i].spin_rad_s - law.spin_rad_s);
                let want = surface_point(&turned, &piece, 1.0, at[i].c, at[i].v);
                let before = (at[i].c - p).dot(&n) > 0.0;
                let want_pa = if before { want.pressure_pa } else { 0.0 };
                assert!(
                    (pressure[i] - want_pa).abs() <= 1e-9 * want_pa,
                    "{round}: {} {want_pa}",
                    pressure[i]
                );
                assert!((tip[i] - want.tip_m_s).abs() < 1e-12, "{round}: {} {}", tip[i], want.tip_m_s);
                pressed += usize::from(want_pa > 0.0);
                struck += usize::from(want_pa > 0.0 && want.press_m > 0.2);
                none += usize::from(want_pa == 0.0);
            }
        }
        assert!(pressed > 200 && struck > 50 && none > 50, "{pressed} {struck} {none}");
    }

    /// Where nothing turns, a leg counts by its own two Gauss points, half each; strips that only come along the surface, with the spindle in its plane, are
    /// not before it.
    #[test]
    fn verif_a_leg_counts_by_its_gauss_points() {
        let (p, n) = (Vec2::new(1.0, 2.0), Vec2::new(0.0, 1.0));
        // Tips at −0.15 − 0.09 (t − 7) m/s, which do not turn round.
        let motion = move |time: f64| {
            let spin = -0.2 / 0.3 + 0.5 + 0.3 * (time - 7.0);
            (p + Vec2::new(0.2 * (time - 7.0), 0.3), Vec2::new(0.2, 0.0), spin)
        };
        let path_of = path(&motion, &[7.0, 7.4]);
        let got = walk(&law(), &path_of, p, n, &[]);
        let inner = path_of.legs[0].inner;
        let [one, two] = inner.map(|at| press_at(&law(), p, n, at));
        assert!((one.1 + 0.15 + 0.09 * 0.4 * GAUSS[0]).abs() < 1e-12 && two.1 < one.1);
        let near = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-12, "{got} {want}");
        near(got.contact_s, 0.4);
        near(got.pressure_time_pa_s, 0.2 * (one.0 + two.0));
        near(got.work_j_m2, 0.2 * 0.4 * (one.0 * one.1.abs() + two.0 * two.1.abs()));
        assert_eq!((got.peak_pa, got.peak_s), (one.0, inner[0].t_s));
        assert!((got.first_s, got.last_s) == (7.0, 7.4));
        let along = move |time: f64| (p + Vec2::new(0.2 * time, 0.0), Vec2::new(0.2, 0.0), 2.0);
        let got = walk(&law(), &path(&along, &even(0.5, 2.0, 10)), p, n, &[]);
        assert!(got.contact_s == 0.0 && got.first_s.is_nan(), "{got:?}");
    }
}
