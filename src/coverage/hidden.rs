//! What stands before a spot of an outline: the directions, seen from the spot, in which a strip from there would meet another surface first.
//!
//! A vehicle is rigid, so this does not change while it passes a brush: found once, it says at any instant whether the spot is in the shadow of a
//! mirror.

use crate::elementary::Elementary;
use crate::geometry::{Piece, Vec2};
use crate::vehicle::Outline;

/// A surface before a spot: from the spot to its two ends as seen from there, the second counterclockwise from the first, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wedge {
    pub low: Vec2,
    pub high: Vec2,
}

impl Wedge {
    /// Whether the surface is between the spot and a brush centre at `r` from the spot.
    pub fn hides(&self, r: Vec2) -> bool {
        self.low.perp(&r) > 0.0
            && self.high.perp(&r) < 0.0
            && (self.high - self.low).perp(&(r - self.low)) < 0.0
    }
}

/// Closer to the tangent plane of the spot than this counts as on it, m.
const FLUSH_M: f64 = 1e-9;

/// Surfaces of a band that stand before the spot `p` (outward normal `n`) of piece `own` (outline, piece) within `reach_m`.
pub(super) fn wedges(
    outlines: &[Outline],
    own: (usize, usize),
    (p, n): (Vec2, Vec2),
    reach_m: f64,
    found: &mut Vec<Wedge>,
) {
    found.clear();
    let t = Vec2::new(-n.y, n.x);
    for (index, outline) in outlines.iter().enumerate() {
        let around = outline.chain.bounds();
        if outside(&around, p, reach_m) {
            continue;
        }
        for (piece, bounds) in outline.chain.piece_bounds().iter().enumerate() {
            if (index, piece) == own || outside(bounds, p, reach_m) {
                continue;
            }
            // Nothing of the box stands before the tangent plane.
            let corner = Vec2::new(
                if n.x > 0.0 { bounds.max.x } else { bounds.min.x },
                if n.y > 0.0 { bounds.max.y } else { bounds.min.y },
            );
            if (corner - p).dot(&n) <= FLUSH_M {
                continue;
            }
            found.extend(wedge(&outline.chain.pieces()[piece], p, n, t));
        }
    }
}

fn outside(b: &crate::geometry::Bounds, p: Vec2, reach_m: f64) -> bool {
    p.x < b.min.x - reach_m || p.x > b.max.x + reach_m || p.y < b.min.y - reach_m || p.y > b.max.y + reach_m
}

/// The directions a piece fills, seen from p over its tangent plane.
fn wedge(piece: &Piece, p: Vec2, n: Vec2, t: Vec2) -> Option<Wedge> {
    let mut ends: Option<[(f64, Vec2); 2]> = None;
    let mut note = |q: Vec2| {
        let r = q - p;
        let distance = r.norm();
        if r.dot(&n) < -FLUSH_M || distance <= FLUSH_M {
            return;
        }
        // The sine of the angle from the normal, which grows counterclockwise all over the half-plane.
        let turn = r.dot(&t) / distance;
        let [low, high] = ends.get_or_insert([(turn, r), (turn, r)]);
        if turn < low.0 {
            *low = (turn, r);
        }
        if turn > high.0 {
            *high = (turn, r);
        }
    };
    match piece {
        Piece::Line(line) => {
            let (a, b) = ((line.a - p).dot(&n), (line.b - p).dot(&n));
            note(line.a);
            note(line.b);
            if a * b < 0.0 {
                note(line.a + (line.b - line.a) * (a / (a - b)));
            }
        }
        Piece::Arc(arc) => {
            note(piece.start());
            note(piece.end());
            let half = 0.5 * arc.sweep_rad.abs();
            let middle = arc.start_rad + 0.5 * arc.sweep_rad;
            let toward = Vec2::new(middle.cosine(), middle.sine());
            let on_arc = |u: Vec2| u.dot(&toward) >= half.cosine();
            let away = p - arc.center;
            let (d, r) = (away.norm(), arc.radius_m);
            if d > r {
                // Touching points of the tangents from p.
                let (cos, sin) = (r / d, ((d - r) * (d + r)).sqrt() / d);
                let e = away / d;
                for sin in [sin, -sin] {
                    let u = Vec2::new(e.x * cos - e.y * sin, e.y * cos + e.x * sin);
                    if on_arc(u) {
                        note(arc.center + u * r);
                    }
                }
            }
            // Where the arc passes through the tangent plane.
            let height = away.dot(&n);
            if height.abs() < r {
                let side = ((r - height) * (r + height)).sqrt();
                for side in [side, -side] {
                    let u = (n * height + t * side) / r;
                    if on_arc(u) {
                        note(arc.center + u * r);
                    }
                }
            }
        }
    }
    let [(_, low), (_, high)] = ends?;
    (low.perp(&high) > 0.0).then_some(Wedge { low, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, Line};
    use crate::pass::contact::chances;
    use crate::pass::contact::tests::{BAY, BOX, bay_and_box, outline};

    /// A wall 1 m before the spot, from 0.5 m on one side to 2 m on the other: by hand.
    #[test]
    fn verif_a_wall_hides_what_is_behind_it() {
        let (p, n, t) = (Vec2::new(3.0, 1.0), Vec2::new(0.0, 1.0), Vec2::new(-1.0, 0.0));
        let wall = Piece::Line(Line { a: Vec2::new(2.5, 2.0), b: Vec2::new(5.0, 2.0) });
        let wedge = wedge(&wall, p, n, t).expect("before it");
        for (x, y, hidden) in [
            (0.0, 1.5, true),
            (0.0, 0.9, false),
            (-0.74, 1.5, true),
            (-0.76, 1.5, false),
            (2.9, 1.5, true),
            (3.1, 1.5, false),
        ] {
            assert_eq!(wedge.hides(Vec2::new(x, y)), hidden, "{x} {y}");
        }
    }

    /// A post of radius 0.1 m, 0.5 m before the spot: tangents at asin(0.2) to both sides. A wall half below the plane counts from the plane.
    #[test]
    fn verif_a_post_hides_between_its_tangents() {
        let (p, n, t) = (Vec2::zeros(), Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
        let arc = |start_rad: f64| {
            let center = Vec2::new(0.5, 0.0);
            Piece::Arc(Arc { center, radius_m: 0.1, start_rad, sweep_rad: std::f64::consts::PI })
        };
        let edge = 0.2_f64.arcsine();
        // The two halves of it, cut along the line of sight: each one side.
        let halves =
            [wedge(&arc(0.0), p, n, t).unwrap(), wedge(&arc(std::f64::consts::PI), p, n, t).unwrap()];
        for (share, hidden) in [(0.98, true), (1.02, false), (-0.98, true), (-1.02, false), (0.5, true)] {
            let r = Vec2::new((share * edge).cosine(), (share * edge).sine());
            assert_eq!(halves.iter().any(|w| w.hides(r)), hidden, "{share}");
        }
        let low = Piece::Line(Line { a: Vec2::new(0.4, 0.3), b: Vec2::new(-0.4, 0.3) });
        let low = wedge(&low, p, n, t).unwrap();
        assert!(low.hides(Vec2::new(0.05, 0.9)) && !low.hides(Vec2::new(0.9, 0.6)));
    }

    /// A post that stands half before a spot and half behind its plane hides what is beyond it, whichever way the spot faces and wherever it is.
    #[test]
    fn verif_a_post_across_the_plane_hides() {
        for p in [Vec2::new(-7.0, 4.0), Vec2::new(5.0, -3.0)] {
            for n in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.6, 0.8), (-0.8, 0.6)] {
                let n = Vec2::new(n.0, n.1);
                let t = Vec2::new(-n.y, n.x);
                // From 0.1 m behind the plane to 0.2 m before it, 0.3 to 0.4 m beside the spot.
                let corners = [(-0.1, 0.3), (0.2, 0.3), (0.2, 0.4), (-0.1, 0.4)];
                let post = outline(&corners, |v| p + n * v.x + t * v.y);
                let mut found = Vec::new();
                wedges(&[post], (9, 0), (p, n), 1.0, &mut found);
                let hides = |x: f64, y: f64| found.iter().any(|w| w.hides(n * x + t * y));
                assert!(hides(0.1, 0.6) && hides(0.3, 0.8), "{p} {n}");
                assert!(!hides(0.6, 0.6) && !hides(0.1, -0.6) && !hides(0.05, 0.2), "{p} {n}");
            }
        }
    }

    /// A box grown by a reach to all four sides: by hand.
    #[test]
    fn verif_outside_a_box_by_more_than_a_reach() {
        let b = Piece::Line(Line { a: Vec2::new(1.0, 3.0), b: Vec2::new(2.0, 5.0) }).bounds();
        for (x, y, out) in [
            (1.5, 4.0, false),
            (0.51, 4.0, false),
            (0.49, 4.0, true),
            (2.49, 4.0, false),
            (2.51, 4.0, true),
            (1.5, 2.51, false),
            (1.5, 2.49, true),
            (1.5, 5.49, false),
            (1.5, 5.51, true),
        ] {
            assert_eq!(outside(&b, Vec2::new(x, y), 0.5), out, "{x} {y}");
        }
    }

    /// Whether a line of sight from p along u meets a piece, its crossing worked out here: with the line by the sides its ends lie on, with the circle by
    /// the square roots, and whether that is on the arc by turning back to its middle.
    fn meets(piece: &Piece, p: Vec2, u: Vec2) -> bool {
        match piece {
            Piece::Line(line) => {
                let (a, b) = (line.a - p, line.b - p);
                let (side_a, side_b) = (u.perp(&a), u.perp(&b));
                (side_a > 0.0) != (side_b > 0.0) && {
                    let at = a + (b - a) * (side_a / (side_a - side_b));
                    at.dot(&u) > 0.0
                }
            }
            Piece::Arc(arc) => {
                let to = p - arc.center;
                let (b, c) = (to.dot(&u), to.norm_squared() - arc.radius_m * arc.radius_m);
                let root = (b * b - c).sqrt();
                [-b - root, -b + root].into_iter().any(|far| {
                    let q = to + u * far;
                    let middle = arc.start_rad + 0.5 * arc.sweep_rad;
                    let turned = Vec2::new(
                        q.x * middle.cosine() + q.y * middle.sine(),
                        q.y * middle.cosine() - q.x * middle.sine(),
                    );
                    far > 0.0 && turned.y.arctangent2(turned.x).abs() <= 0.5 * arc.sweep_rad.abs()
                })
            }
        }
    }

    /// A far brush centre before the surface is hidden by a piece exactly when the line of sight to it meets the piece: a thousand pieces and spots
    /// by chance, lines and arcs, near and far, before the tangent plane, behind it and through it.
    #[test]
    fn verif_hidden_is_what_a_line_of_sight_meets() {
        let mut by = chances();
        let (mut hidden, mut seen) = (0, 0);
        for case in 0..1000 {
            let p = Vec2::new(by(-1.0, 1.0), by(-1.0, 1.0));
            let turn = by(-3.1, 3.1);
            let n = Vec2::new(turn.cosine(), turn.sine());
            let t = Vec2::new(-n.y, n.x);
            let piece = if case % 2 == 0 {
                let mut point = || p + Vec2::new(by(-1.0, 1.0), by(-1.0, 1.0));
                Piece::Line(Line { a: point(), b: point() })
            } else {
                let radius_m = by(0.05, 0.6);
                // As vehicles have them: seen from outside.
                let from = by(-3.1, 3.1);
                let center = p + Vec2::new(from.cosine(), from.sine()) * (radius_m + by(0.01, 0.8));
                Piece::Arc(Arc { center, radius_m, start_rad: by(-3.1, 3.1), sweep_rad: by(0.1, 3.0) })
            };
            let wedge = wedge(&piece, p, n, t);
            for k in 1..90 {
                let angle = turn + (f64::from(k) / 45.0 - 1.0) * std::f64::consts::FRAC_PI_2;
                let u = |off: f64| Vec2::new((angle + off).cosine(), (angle + off).sine());
                // Too near to an end for a pencil and a protractor.
                if meets(&piece, p, u(-1e-7)) != meets(&piece, p, u(1e-7)) {
                    continue;
                }
                let want = meets(&piece, p, u(0.0));
                let got = wedge.is_some_and(|wedge| wedge.hides(u(0.0) * 9.0));
                assert_eq!(got, want, "{case}, {k}: {piece:?} from {p:?}, {n:?}");
                *(if want { &mut hidden } else { &mut seen }) += 1;
            }
        }
        assert!(hidden > 10_000 && seen > 10_000, "{hidden} {seen}");
    }

    /// A spot on a bay sees what its own outline and another leave free; a thing behind it, out of reach, or the piece it is on is passed over.
    #[test]
    fn verif_what_stands_before_a_spot_on_a_bay() {
        // A block 4 m wide with a bay in its upper face, 1 m wide and 0.5 m deep; a box 0.2 m wide stands over it.
        let outlines = bay_and_box();
        // The fifth piece is the floor of the bay.
        let floor = 4;
        let up = Vec2::new(0.0, 1.0);
        let mut found = Vec::new();
        let p = Vec2::new(0.1, 0.5);
        wedges(&outlines, (0, floor), (p, up), 2.0, &mut found);
        let hidden = |found: &[Wedge], x: f64, y: f64| found.iter().any(|w| w.hides(Vec2::new(x, y) - p));
        // Seen along a height of 2.5 m: the walls of the bay leave from −0.6 · 4 to 0.4 · 4 beside the spot, the box hides from −0.5 · 2 (its near corner
        // below) to −0.3 · 5/3 (its near corner above).
        for (x, is_hidden) in [
            (-2.4, true),
            (-2.2, false),
            (-0.95, false),
            (-0.85, true),
            (-0.45, true),
            (-0.35, false),
            (1.6, false),
            (1.8, true),
        ] {
            assert_eq!(hidden(&found, x, 2.5), is_hidden, "{x}: {found:?}");
        }
        // Between the spot and the box, nothing hides.
        assert!(!hidden(&found, -0.2, 1.3));
        // The two walls, the upper face on both sides of the bay, four sides of the box, and the right side of the block, 1.9 m off: nothing else is before it.
        assert_eq!(found.len(), 2 + 2 + 4 + 1);
        // Within 0.7 m of it are the walls and the upper face, within 0.45 m one wall, within 0.3 m nothing.
        wedges(&outlines, (0, floor), (p, up), 0.7, &mut found);
        assert_eq!(found.len(), 4);
        wedges(&outlines, (0, floor), (p, up), 0.45, &mut found);
        assert_eq!(found.len(), 1);
        wedges(&outlines, (0, floor), (p, up), 0.3, &mut found);
        assert_eq!(found.len(), 0);
        // From outside the block nothing of it stands before a spot on its upper face; the box does.
        let face = (0..8)
            .find(|&i| (outlines[0].chain.pieces()[i].point_at(0.1) - Vec2::new(-0.6, 1.0)).norm() < 1e-9);
        wedges(&outlines, (0, face.expect("the left part")), (Vec2::new(-1.0, 1.0), up), 9.0, &mut found);
        assert_eq!(found.len(), 4);
        assert!(found.iter().all(|w| w.low.y > 0.4 && w.high.y > 0.4), "{found:?}");
        wedges(&outlines, (0, 0), (Vec2::new(-1.0, 0.0), -up), 9.0, &mut found);
        assert_eq!(found.len(), 0);
        for (n, p) in
            [(Vec2::new(1.0, 0.0), Vec2::new(2.0, 0.3)), (Vec2::new(-1.0, 0.0), Vec2::new(-2.0, 0.3))]
        {
            wedges(&outlines, (0, if n.x > 0.0 { 1 } else { 7 }), (p, n), 9.0, &mut found);
            assert_eq!(found.len(), 0);
        }
    }

    /// Along an edge of a shadow, and in the surface itself, one is not behind it; a wall seen from its end hides nothing. By hand.
    #[test]
    fn verif_edges_of_a_shadow_are_seen() {
        let wedge_of = Wedge { low: Vec2::new(1.0, 1.0), high: Vec2::new(-1.0, 1.0) };
        for (x, y, hidden) in [
            (2.0, 2.0, false),
            (1.75, 2.0, true),
            (-2.0, 2.0, false),
            (-1.75, 2.0, true),
            (0.5, 1.0, false),
            (0.5, 1.25, true),
        ] {
            assert_eq!(wedge_of.hides(Vec2::new(x, y)), hidden, "{x} {y}");
        }
        let end_on = Piece::Line(Line { a: Vec2::new(0.0, 1.0), b: Vec2::new(0.0, 2.0) });
        assert_eq!(wedge(&end_on, Vec2::zeros(), Vec2::new(0.0, 1.0), Vec2::new(-1.0, 0.0)), None);
    }

    /// What stands before a spot turns and moves with the vehicle: a bay with a box over it, turned by quarters and moved, has the shadows it had.
    #[test]
    fn verif_shadows_turn_and_move_with_the_outline() {
        let turned = |v: Vec2, quarters: usize| (0..quarters).fold(v, |v, _| Vec2::new(-v.y, v.x));
        let seen = |quarters: usize, by: Vec2| {
            let place = |v: Vec2| turned(v, quarters) + by;
            let outlines = [outline(&BAY, place), outline(&BOX, place)];
            // The floor of the bay is the fifth piece.
            let (p, n) = (place(Vec2::new(0.1, 0.5)), turned(Vec2::new(0.0, 1.0), quarters));
            let mut found = Vec::new();
            wedges(&outlines, (0, 4), (p, n), 2.0, &mut found);
            // Back to how the first one stands.
            let back = |v: Vec2| turned(v, (4 - quarters) % 4);
            found.iter().map(|w| [back(w.low), back(w.high)]).collect::<Vec<_>>()
        };
        let first = seen(0, Vec2::zeros());
        // Two walls, the upper face on both sides, four sides of the box; and of the right side of the block what stands before the floor.
        assert_eq!(first.len(), 9);
        for quarters in 0..4 {
            for by in [(0.0, 0.0), (30.0, 20.0), (-30.0, 20.0), (30.0, -20.0), (-30.0, -20.0)] {
                let got = seen(quarters, Vec2::new(by.0, by.1));
                assert_eq!(got.len(), first.len(), "{quarters} {by:?}");
                for (got, want) in got.iter().flatten().zip(first.iter().flatten()) {
                    assert!((got - want).norm() < 1e-12, "{quarters} {by:?}: {got:?} {want:?}");
                }
            }
        }
    }
}
