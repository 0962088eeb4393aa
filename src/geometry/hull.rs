//! Which pieces of closed chains lie on the convex hull of them all.
//!
//! A piece lies on the hull when nothing stands out beyond its tangent anywhere along it. By the support function h(n) = max p · n over all points p: a line
//! with normal n lies on the hull when h(n) = a · n; an arc about o of radius r when h(n) = o · n + r for every normal n that it takes. Nothing can stand
//! between such a piece and a point outside its tangent.

use super::{Chain, Facet, Vec2};

/// What stands out by less than this does not stand out, m: rounding, where pieces join smoothly.
const FLUSH_M: f64 = 1.0e-9;

/// The same for directions: slack of the cosine.
const FLUSH_COS: f64 = 1.0e-12;

/// For each piece of each chain, whether it lies on the convex hull of all chains together. Concave arcs do not.
pub fn on_hull<'a>(chains: impl IntoIterator<Item = &'a Chain>) -> Vec<Vec<bool>> {
    let chains: Vec<&Chain> = chains.into_iter().collect();
    if let [only] = chains[..]
        && only.is_convex()
    {
        return vec![vec![true; only.facets().len()]];
    }
    let facets: Vec<&Facet> = chains.iter().flat_map(|chain| chain.facets()).collect();
    let all = |facet: &Facet| facets.iter().all(|other| is_behind(other, facet));
    chains.iter().map(|chain| chain.facets().iter().map(all).collect()).collect()
}

/// An arc that stands out, as a fan of normals.
#[derive(Clone, Copy)]
struct Fan {
    center: Vec2,
    radius_m: f64,
    middle: Vec2,
    cos_half: f64,
    ends: [Vec2; 2],
}

impl Fan {
    fn holds(&self, normal: Vec2) -> bool {
        normal.dot(&self.middle) >= self.cos_half - FLUSH_COS
    }
}

/// The start of a piece, and its fan where it is a convex arc.
fn parts(facet: &Facet) -> (Vec2, Option<Fan>) {
    match *facet {
        Facet::Line { a, .. } => (a, None),
        Facet::Arc { center, radius_m, sweep_rad, middle, cos_half, ends } => {
            let fan = Fan { center, radius_m, middle, cos_half, ends };
            (center + ends[0] * radius_m, (sweep_rad > 0.0).then_some(fan))
        }
    }
}

/// Whether a piece stays behind every tangent of another. Its end is the start of the next one.
fn is_behind(piece: &Facet, tangents: &Facet) -> bool {
    let (start, fan) = parts(piece);
    match *tangents {
        Facet::Line { a, t, .. } => {
            let normal = Vec2::new(t.y, -t.x);
            let beyond_m = |p: Vec2| (p - a).dot(&normal);
            beyond_m(start) <= FLUSH_M
                && fan.is_none_or(|fan| !fan.holds(normal) || beyond_m(fan.center) + fan.radius_m <= FLUSH_M)
        }
        Facet::Arc { .. } => {
            let (_, Some(own)) = parts(tangents) else { return false };
            // v · n over normals n of a fan, or of two fans, is greatest at an end of them or along v.
            let most = |v: Vec2, holds: &dyn Fn(Vec2) -> bool, ends: &[Vec2]| {
                let along = v.try_normalize(FLUSH_M);
                let normals = ends.iter().copied().chain(along).filter(|n| holds(*n));
                normals.map(|n| v.dot(&n)).fold(f64::NEG_INFINITY, f64::max)
            };
            if most(start - own.center, &|n| own.holds(n), &own.ends) > own.radius_m + FLUSH_M {
                return false;
            }
            fan.is_none_or(|fan| {
                let ends = [own.ends[0], own.ends[1], fan.ends[0], fan.ends[1]];
                let both = |n: Vec2| own.holds(n) && fan.holds(n);
                // Round the same centre v is nothing, and the ends say whether they share a normal.
                most(fan.center - own.center, &both, &ends) <= own.radius_m - fan.radius_m + FLUSH_M
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Arc, Line, Piece, rounded_polygon};
    use super::*;

    fn box_of(corners: &[(f64, f64)]) -> Chain {
        let point = |i: usize| Vec2::new(corners[i % corners.len()].0, corners[i % corners.len()].1);
        let line = |i: usize| Piece::Line(Line { a: point(i), b: point(i + 1) });
        Chain::new((0..corners.len()).map(line).collect()).expect("closes")
    }

    /// By hand: of a block with a bay all but the bay is on the hull; with a box over the bay, the box's top is, and the lips of the bay no longer are.
    #[test]
    fn verif_hull_of_a_bay_by_hand() {
        let bay = box_of(&[
            (-2.0, 0.0),
            (2.0, 0.0),
            (2.0, 1.0),
            (0.5, 1.0),
            (0.5, 0.5),
            (-0.5, 0.5),
            (-0.5, 1.0),
            (-2.0, 1.0),
        ]);
        let wanted = [true, true, true, false, false, false, true, true];
        assert_eq!(on_hull([&bay]), [wanted.to_vec()]);
        let over = box_of(&[(-0.4, 1.5), (-0.2, 1.5), (-0.2, 1.7), (-0.4, 1.7)]);
        let mut lips = wanted;
        (lips[2], lips[6]) = (false, false);
        assert_eq!(on_hull([&bay, &over]), [lips.to_vec(), vec![false, false, true, false]]);
        // Within the block nothing of the box shows.
        let inside = box_of(&[(-1.4, 0.2), (-1.2, 0.2), (-1.2, 0.4), (-1.4, 0.4)]);
        assert_eq!(on_hull([&bay, &inside]), [wanted.to_vec(), vec![false; 4]]);
    }

    /// Against the definition: nothing else stands out beyond a piece of the hull, seen along its own normals; beyond every other piece something does. Rounded
    /// blocks with a bump of any size, and discs beside them.
    #[test]
    fn verif_hull_by_support_in_every_direction() {
        let mut x: u32 = 7;
        let mut by = |a: f64, b: f64| {
            x = x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            a + (b - a) * f64::from(x) / f64::from(u32::MAX)
        };
        let (mut on, mut off) = (0, 0);
        for _ in 0..40 {
            let (w, h, out) = (by(0.1, 0.6), by(0.5, 1.0), by(0.02, 0.2));
            let corners = [
                (-2.0, -h),
                (2.0, -h),
                (2.0 + by(-0.2, 0.2), -w),
                (2.0 + out, -w),
                (2.0 + out, w),
                (2.0, w),
                (2.0, h),
                (-2.0, h),
            ]
            .map(|(x, y)| (Vec2::new(x, y), 0.01));
            let Ok(block) = rounded_polygon(&corners) else { continue };
            let (center, r) = (Vec2::new(by(-2.0, 2.0), by(0.5, 1.6)), by(0.1, 0.6));
            let half = |start_rad: f64| {
                Piece::Arc(Arc { center, radius_m: r, start_rad, sweep_rad: std::f64::consts::PI })
            };
            let disc = Chain::new(vec![half(0.3), half(0.3 + std::f64::consts::PI)]).expect("a disc");
            let chains = [&block, &disc];
            let points: Vec<Vec2> = chains.iter().flat_map(|c| c.to_polyline(1e-7)).collect();
            for (chain, hull) in chains.iter().zip(on_hull(chains)) {
                for (piece, is_on) in chain.pieces().iter().zip(hull) {
                    let length_m = piece.length_m();
                    let beyond_m = (0..=64)
                        .map(|k| {
                            let s_m = length_m * f64::from(k) / 64.0;
                            let (at, n) = (piece.point_at(s_m), piece.normal_at(s_m));
                            points.iter().map(|p| (p - at).dot(&n)).fold(f64::NEG_INFINITY, f64::max)
                        })
                        .fold(f64::NEG_INFINITY, f64::max);
                    assert!(!is_on || beyond_m < 1e-6, "{piece:?} is not on the hull: {beyond_m}");
                    assert!(is_on || beyond_m > 1e-6 || is_concave(piece), "{piece:?} is: {beyond_m}");
                    on += usize::from(is_on);
                    off += usize::from(!is_on);
                }
            }
        }
        assert!(on > 100 && off > 100, "{on} {off}");
    }

    fn is_concave(piece: &Piece) -> bool {
        matches!(piece, Piece::Arc(arc) if arc.sweep_rad < 0.0)
    }
}
