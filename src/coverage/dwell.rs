//! What one spot of the perimeter gets from one brush: from touch to leave, found on the path, summed at Gauss points between.
//!
//! A spot p with outward normal n is touched while |p − c| < R, (c − p)·n > 0 and nothing stands before it. Every leg of the path is cut where one
//! of these turns, where the hub begins to press, and where the strip tips turn round; two Gauss points in each part then give sums that do
//! not depend on where the legs happen to end.

use super::hidden::Wedge;
use super::path::{BrushAt, GAUSS, Leg, Path};
use crate::geometry::Vec2;
use crate::pass::contact::ContactLaw;

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

/// Sums what a spot gets along the path. `cuts` is room.
pub(super) fn dwell(path: &Path, law: &ContactLaw, spot: &Spot<'_>, cuts: &mut Vec<f64>) -> Dwell {
    let mut sum = Dwell::NONE;
    let (reach, hub) = (law.radius_m * law.radius_m, law.hub_radius_m * law.hub_radius_m);
    for leg in &path.legs[path.near(spot.p, law.radius_m)] {
        let (a, b) = (leg.start.c - spot.p, leg.end.c - spot.p);
        let (near_a, near_b) = (a.norm_squared(), b.norm_squared());
        let (away_a, away_b) = (a.dot(&leg.start.v), b.dot(&leg.end.v));
        let [in_a, in_b] = [near_a, near_b].map(|squared| squared < reach);
        // Out at both ends, a leg touches only if its nearest point lies between.
        let passes = away_a < 0.0 && away_b > 0.0;
        if !(in_a || in_b || passes) {
            continue;
        }
        let [faces_a, faces_b] = [a, b].map(|r| r.dot(&spot.n) > 0.0);
        if !faces_a && !faces_b {
            continue;
        }
        cuts.clear();
        let turns = (away_a > 0.0) != (away_b > 0.0);
        circle_cuts(leg, spot.p, reach, [in_a, in_b], turns, cuts);
        if near_a.min(near_b) < 4.0 * hub {
            circle_cuts(leg, spot.p, hub, [near_a < hub, near_b < hub], turns, cuts);
        }
        if faces_a != faces_b {
            cuts.push(line_cut(leg, spot.p, spot.n));
        }
        for wedge in spot.hidden_by {
            for edge in [wedge.low, wedge.high] {
                if (edge.perp(&a) > 0.0) != (edge.perp(&b) > 0.0) {
                    cuts.push(line_cut(leg, spot.p, Vec2::new(-edge.y, edge.x)));
                }
            }
        }
        let hides = |r: Vec2| spot.hidden_by.iter().any(|wedge| wedge.hides(r));
        if cuts.is_empty() {
            if in_a && (spot.hidden_by.is_empty() || !hides(leg.at(0.5).0 - spot.p)) {
                sum.add(law, spot, leg, (0.0, 1.0), true);
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
                    sum.add(law, spot, leg, (from, to), true);
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

/// Pressure (Pa) on a spot and speed of the tips over it (m/s).
#[inline]
pub(super) fn press_on(law: &ContactLaw, p: Vec2, n: Vec2, at: &BrushAt) -> (f64, f64) {
    let r = at.c - p;
    let squared = r.norm_squared();
    let rho = squared.sqrt();
    let along = r.dot(&n);
    let press = (law.radius_m - rho).max(0.0);
    let push = if law.exponent == 1.0 { press } else { press.powf(law.exponent) };
    let per_psi =
        law.stiffness_at(at.spin_rad_s) * push + law.hub_stiffness * (law.hub_radius_m - rho).max(0.0);
    let tip = n.x * at.v.y - n.y * at.v.x - at.spin_rad_s * along;
    (if along > 0.0 { per_psi * along * along / (squared * rho) } else { 0.0 }, tip)
}

impl Dwell {
    /// Adds a part of a leg in which nothing turns; where the tips turn round, it is cut once more.
    fn add(&mut self, law: &ContactLaw, spot: &Spot<'_>, leg: &Leg, (from, to): (f64, f64), may_cut: bool) {
        let share = to - from;
        let at = if share == 1.0 { leg.inner } else { GAUSS.map(|x| leg.brush(from + share * x)) };
        let [one, two] = at.map(|at| press_on(law, spot.p, spot.n, &at));
        if may_cut && law.friction > 0.0 && (one.1 > 0.0) != (two.1 > 0.0) {
            let turn = GAUSS[0] + (GAUSS[1] - GAUSS[0]) * one.1 / (one.1 - two.1);
            let cut = from + share * turn;
            self.add(law, spot, leg, (from, cut), false);
            self.add(law, spot, leg, (cut, to), false);
            return;
        }
        let time = share * leg.length_s();
        self.contact_s += time;
        self.pressure_time_pa_s += 0.5 * time * (one.0 + two.0);
        self.work_j_m2 +=
            0.5 * time * law.friction * law.rubbing_share * (one.0 * one.1.abs() + two.0 * two.1.abs());
        for (at, (pressure, _)) in at.iter().zip([one, two]) {
            if pressure > self.peak_pa {
                (self.peak_pa, self.peak_s) = (pressure, at.t_s);
            }
        }
        let start = leg.start.t_s + from * leg.length_s();
        if self.first_s.is_nan() {
            self.first_s = start;
        }
        self.last_s = leg.start.t_s + to * leg.length_s();
    }
}
