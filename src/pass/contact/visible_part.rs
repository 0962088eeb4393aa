//! What a brush sees of one piece that stands alone: the stretch within its reach that faces it.
//!
//! Line: u along the tangent from the foot of the normal, d the distance. Arc of radius r about o, seen from c at D = |o − c|: θ is the angle
//! at o from the line of centres, β the angle of incidence of a strip, both along the arc. ρ cos β = D cos θ − r (the **face**) and
//! ρ sin β = D sin θ, so τ = tan(β/2) = D sin θ / (ρ + face) needs no angle; it runs from −1 to 1 over all that faces the brush. The strip of
//! length R meets the arc at cos β = ((D − r)(D + r) − R²)/(2 r R) (cosine rule).

use crate::elementary::Elementary;
use crate::geometry::{Facet, Vec2};

/// A piece as the brush sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum VisiblePart {
    Line(VisibleLine),
    Arc(VisibleArc),
}

impl VisiblePart {
    /// Free length of the shortest strip, m.
    pub fn nearest_m(&self) -> f64 {
        match self {
            VisiblePart::Line(line) => line.nearest_m(),
            VisiblePart::Arc(arc) => arc.nearest_m(),
        }
    }

    /// From the brush toward the start and the end of the stretch, any length.
    pub fn toward_ends(&self) -> [Vec2; 2] {
        match self {
            VisiblePart::Line(VisibleLine { t, d, lo, hi, .. }) => {
                let inward = Vec2::new(-t.y, t.x);
                [*lo, *hi].map(|u| t * u + inward * *d)
            }
            VisiblePart::Arc(arc) => [arc.lo, arc.hi].map(|tau| {
                let sin_psi = arc.r / arc.distance_m * sin_cos_of_half(tau).0;
                arc.e * (1.0 - sin_psi * sin_psi).sqrt() - arc.f * sin_psi
            }),
        }
    }
}

/// A straight stretch that is visible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct VisibleLine {
    /// Unit tangent; the outward normal is that turned right.
    pub t: Vec2,
    /// Distance of the line, m.
    pub d: f64,
    /// Arclength of the foot of the normal, m; may lie outside the piece.
    pub foot_m: f64,
    /// u at both ends, m.
    pub lo: f64,
    pub hi: f64,
}

/// A circular stretch that is visible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct VisibleArc {
    /// From the brush to the arc's centre, and that turned left.
    pub e: Vec2,
    pub f: Vec2,
    /// Radius of the arc, m.
    pub r: f64,
    /// D, m, and D − r.
    pub distance_m: f64,
    pub gap_m: f64,
    /// τ at both ends.
    pub lo: f64,
    pub hi: f64,
    /// The lesser face of the two ends, m.
    pub face_m: f64,
}

/// What is seen of a piece, and whether it is seen to its start and to its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct VisiblePiece {
    pub outline: usize,
    pub piece: usize,
    pub visible: VisiblePart,
    pub at_ends: [bool; 2],
}

/// Looks at a piece from `c` with reach R.
pub(super) fn visible_part(facet: &Facet, c: Vec2, radius_m: f64) -> Option<(VisiblePart, [bool; 2])> {
    match *facet {
        Facet::Line { a, t, length_m } => {
            let rel = c - a;
            let d = rel.x * t.y - rel.y * t.x;
            if d <= 0.0 || d >= radius_m {
                return None;
            }
            let foot_m = rel.dot(&t);
            let w = ((radius_m - d) * (radius_m + d)).sqrt();
            let (start, end) = (-foot_m, length_m - foot_m);
            let (lo, hi) = (start.max(-w), end.min(w));
            (lo < hi).then_some((
                VisiblePart::Line(VisibleLine { t, d, foot_m, lo, hi }),
                [lo == start, hi == end],
            ))
        }
        Facet::Arc { center, radius_m: r, sweep_rad, ends, .. } => {
            let away = c - center;
            let squared = away.norm_squared();
            let reach = r + radius_m;
            if squared <= r * r || squared >= reach * reach || sweep_rad <= 0.0 {
                return None;
            }
            let distance_m = squared.sqrt();
            let e = -away / distance_m;
            let f = Vec2::new(-e.y, e.x);
            let mut visible =
                VisibleArc { e, f, r, distance_m, gap_m: distance_m - r, lo: 0.0, hi: 0.0, face_m: 0.0 };
            let (limit, limit_face) = visible.limit(radius_m);
            // Both ends out of reach, one on either hand: the commonest view, a long side, needs nothing more.
            let sides = ends.map(|u| Side { sin: -u.dot(&f), cos: -u.dot(&e) });
            let [start_beyond, end_beyond] = sides.map(|side| side.is_beyond(&visible, radius_m));
            if start_beyond && end_beyond && sides[0].sin < 0.0 && sides[1].sin > 0.0 {
                (visible.lo, visible.hi, visible.face_m) = (-limit, limit, limit_face);
                return Some((VisiblePart::Arc(visible), [false, false]));
            }
            let [start, end] = sides.map(|side| visible.end(side.sin, side.cos));
            // An arc whose end comes before its start runs round the far side; one of the two parts in front is visible (sweep ≤ π).
            let (from, to) = match start.0 <= end.0 {
                true => (start, end),
                false if end.0 > -limit => ((f64::NEG_INFINITY, 0.0), end),
                false => (start, (f64::INFINITY, 0.0)),
            };
            let at_ends = [from.0 >= -limit, to.0 <= limit];
            let (lo, lo_face) = if at_ends[0] { from } else { (-limit, limit_face) };
            let (hi, hi_face) = if at_ends[1] { to } else { (limit, limit_face) };
            if lo >= hi {
                return None;
            }
            (visible.lo, visible.hi, visible.face_m) = (lo, hi, lo_face.min(hi_face));
            Some((VisiblePart::Arc(visible), at_ends))
        }
    }
}

/// Where an end of an arc stands: sin θ and cos θ.
#[derive(Clone, Copy)]
struct Side {
    sin: f64,
    cos: f64,
}

impl Side {
    /// Whether the point there is out of reach or on the far side.
    fn is_beyond(&self, arc: &VisibleArc, radius_m: f64) -> bool {
        let (d, r) = (arc.distance_m, arc.r);
        // Cosine rule; near the reach itself rounding may say either, and the slower way decides.
        d * self.cos < r || d * d + r * r - 2.0 * d * r * self.cos > radius_m * radius_m * (1.0 + 1e-9)
    }
}

impl VisibleLine {
    /// Free length of the shortest strip, m.
    pub fn nearest_m(&self) -> f64 {
        let VisibleLine { d, lo, hi, .. } = *self;
        if lo <= 0.0 && hi >= 0.0 { d } else { d.hypotenuse(lo.abs().min(hi.abs())) }
    }
}

impl VisibleArc {
    /// Free length of the shortest strip, m.
    pub fn nearest_m(&self) -> f64 {
        if self.lo > 0.0 {
            self.free_m(self.lo)
        } else if self.hi < 0.0 {
            self.free_m(self.hi)
        } else {
            self.gap_m
        }
    }

    /// Greatest τ within reach R, and its face: where strips just reach the arc or just graze it.
    pub fn limit(&self, radius_m: f64) -> (f64, f64) {
        let cos = (self.gap_m * (self.distance_m + self.r) - radius_m * radius_m) / (2.0 * self.r * radius_m);
        if cos <= 0.0 { (1.0, 0.0) } else { (((1.0 - cos) / (1.0 + cos)).max(0.0).sqrt(), radius_m * cos) }
    }

    /// τ and face of a point at angle θ.
    pub fn end(&self, sin: f64, cos: f64) -> (f64, f64) {
        // 1 − cos θ without cancellation: a flat arc is a small part of a huge circle.
        let rest = if cos > 0.0 { sin * sin / (1.0 + cos) } else { 1.0 - cos };
        let face = self.gap_m - self.distance_m * rest;
        let side = self.distance_m * sin;
        let free = (face * face + side * side).sqrt();
        (if face >= 0.0 { side / (free + face) } else { (free - face) / side }, face)
    }

    /// ρ at τ, m.
    pub fn free_m(&self, tau: f64) -> f64 {
        let (sin, cos) = sin_cos_of_half(tau);
        let sin_psi = self.r / self.distance_m * sin;
        self.distance_m * (1.0 - sin_psi * sin_psi).sqrt() - self.r * cos
    }

    /// θ at τ, rad: β − ψ.
    fn theta_rad(&self, tau: f64) -> f64 {
        2.0 * tau.arctangent() - (self.r / self.distance_m * sin_cos_of_half(tau).0).arcsine()
    }
}

/// sin β and cos β from τ = tan(β/2).
fn sin_cos_of_half(tau: f64) -> (f64, f64) {
    let q = 1.0 / (1.0 + tau * tau);
    (2.0 * tau * q, (1.0 - tau * tau) * q)
}

impl VisiblePiece {
    /// Local arclengths of its ends, m.
    pub fn stretch_m(&self, facet: &Facet) -> (f64, f64) {
        match (&self.visible, facet) {
            (VisiblePart::Line(line), Facet::Line { length_m, .. }) => (
                if self.at_ends[0] { 0.0 } else { line.foot_m + line.lo },
                if self.at_ends[1] { *length_m } else { line.foot_m + line.hi },
            ),
            (VisiblePart::Arc(arc), Facet::Arc { radius_m, sweep_rad, middle, .. }) => {
                if self.at_ends == [true; 2] {
                    return (0.0, sweep_rad * radius_m);
                }
                let toward_rad = 0.5 * sweep_rad + (-middle.perp(&arc.e)).arctangent2(-middle.dot(&arc.e));
                let at =
                    |theta_rad: f64| ((toward_rad + theta_rad) * radius_m).clamp(0.0, sweep_rad * radius_m);
                let hi_rad = if self.at_ends[1] { 0.0 } else { arc.theta_rad(arc.hi) };
                let lo_rad = match self.at_ends[0] {
                    true => 0.0,
                    false if arc.lo == -arc.hi && !self.at_ends[1] => -hi_rad,
                    false => arc.theta_rad(arc.lo),
                };
                (
                    if self.at_ends[0] { 0.0 } else { at(lo_rad) },
                    if self.at_ends[1] { sweep_rad * radius_m } else { at(hi_rad) },
                )
            }
            _ => (0.0, 0.0),
        }
    }
}

/// What lies of a visible part between two local arclengths of its piece: what a shadow leaves of it.
pub(super) fn within(visible: &VisiblePart, facet: &Facet, from_m: f64, to_m: f64) -> VisiblePart {
    match (visible, facet) {
        (VisiblePart::Arc(arc), Facet::Arc { radius_m, sweep_rad, middle, .. }) => {
            let toward_rad = 0.5 * sweep_rad + (-middle.perp(&arc.e)).arctangent2(-middle.dot(&arc.e));
            let at = |s_m: f64| {
                let (sin, cos) = (s_m / radius_m - toward_rad).sine_cosine();
                arc.end(sin, cos)
            };
            let ((lo, lo_face), (hi, hi_face)) = (at(from_m), at(to_m));
            let (lo, hi) = (lo.max(-1.0), hi.min(1.0));
            VisiblePart::Arc(VisibleArc { lo, hi, face_m: lo_face.min(hi_face).max(0.0), ..*arc })
        }
        (VisiblePart::Line(line), _) => {
            VisiblePart::Line(VisibleLine { lo: from_m - line.foot_m, hi: to_m - line.foot_m, ..*line })
        }
        _ => *visible,
    }
}

#[cfg(test)]
mod tests {
    use super::super::chances;
    use super::*;
    use crate::geometry::{Arc, Line, Piece};

    fn direction(angle_rad: f64) -> Vec2 {
        Vec2::new(angle_rad.cosine(), angle_rad.sine())
    }

    fn visible_arc(r: f64, gap_m: f64, toward_rad: f64) -> VisibleArc {
        let e = direction(toward_rad);
        let f = Vec2::new(-e.y, e.x);
        VisibleArc { e, f, r, distance_m: r + gap_m, gap_m, lo: 0.0, hi: 0.0, face_m: 0.0 }
    }

    /// A point at θ on an arc about o = c + D e is c + D e − r (e cos θ + f sin θ); a strip meets it at β with ρ cos β = (c − p)·n. By that, of posts and of
    /// flat bows: its τ, its face, its free length, and back to θ.
    #[test]
    fn verif_a_point_of_an_arc_and_its_strip() {
        for r in [0.02, 0.3, 2.0, 50.0, 1e4] {
            for gap_m in [0.05, 0.3, 0.55] {
                let arc = visible_arc(r, gap_m, 0.7);
                let d = r + gap_m;
                // As far as strips graze it.
                let most = (r / d).arccosine();
                for share in [-1.0, -0.9, -0.5, -0.01, 0.0, 0.2, 0.7, 0.99] {
                    let theta = share * most * (1.0 - 1e-12);
                    let to = arc.e * d - (arc.e * theta.cosine() + arc.f * theta.sine()) * r;
                    let n = -(arc.e * theta.cosine() + arc.f * theta.sine());
                    let (free, face) = (to.norm(), -to.dot(&n));
                    // The strip comes in from the side to which θ is counted.
                    let incidence = (d * theta.sine()).arctangent2(face);
                    let (tau, got_face) = arc.end(theta.sine(), theta.cosine());
                    let hair = 1e-12 * (1.0 + d);
                    assert!((got_face - face).abs() < hair, "{r} {gap_m} {theta}: {got_face} {face}");
                    assert!(
                        (tau - (0.5 * incidence).tangent()).abs() < hair / free,
                        "{r} {gap_m} {theta}: {tau}"
                    );
                    assert!(
                        (arc.free_m(tau) - free).abs() < hair,
                        "{r} {gap_m} {theta}: {}",
                        arc.free_m(tau)
                    );
                    assert!((arc.theta_rad(tau) - theta).abs() < 1e-11, "{r} {gap_m} {theta}");
                }
            }
        }
        // On the far side: D cos θ − r is less than nothing, all the way round.
        let arc = visible_arc(0.5, 0.25, 0.0);
        for (theta, face) in [(2.0_f64, 0.75 * 2.0_f64.cosine() - 0.5), (std::f64::consts::PI, -1.25)] {
            let (tau, got) = arc.end(theta.sine(), theta.cosine());
            assert!((got - face).abs() < 1e-15 && tau > 1.0, "{theta}: {tau} {got}");
        }
        // A flat bow, 0.2 m off the foot: 1 − cos θ = 2 sin² (θ/2), without loss.
        let bow = VisibleArc { distance_m: 1e6 + 0.3, gap_m: 0.3, ..visible_arc(1e6, 0.3, 0.0) };
        let theta = 2e-7_f64;
        let face = 0.3 - bow.distance_m * 2.0 * (0.5 * theta).sine().powi(2);
        assert!((bow.end(theta.sine(), theta.cosine()).1 - face).abs() < 1e-13);
        // Next to the foot τ is as small as half of its angle, to the last digits.
        let (tau, face) = arc.end(1e-7_f64.sine(), 1e-7_f64.cosine());
        let want = (0.5 * (0.75 * 1e-7_f64.sine()).arctangent2(face)).tangent();
        assert!((tau / want - 1.0).abs() < 1e-12, "{tau} {want}");
    }

    /// Beyond is what lies on the far side, D cos θ < r, or farther than R; within a hair of the reach it is not beyond.
    #[test]
    fn verif_beyond_by_its_words() {
        let mut by = chances();
        let (mut far, mut behind, mut near) = (0, 0, 0);
        for _ in 0..4000 {
            let (r, gap_m, radius_m) = (by(0.02, 3.0), by(0.01, 1.0), by(0.2, 1.5));
            let (arc, theta) = (visible_arc(r, gap_m, 0.0), by(-3.1, 3.1));
            let (sin, cos) = theta.sine_cosine();
            let away = (Vec2::new(r + gap_m, 0.0) - Vec2::new(cos, sin) * r).norm();
            if (away - radius_m).abs() < 1e-6 || ((r + gap_m) * cos - r).abs() < 1e-6 {
                continue;
            }
            let is_behind = (r + gap_m) * cos < r;
            let got = Side { sin, cos }.is_beyond(&arc, radius_m);
            assert_eq!(got, is_behind || away > radius_m, "{r} {gap_m} {radius_m} {theta}");
            *(match (is_behind, away > radius_m) {
                (true, _) => &mut behind,
                (false, true) => &mut far,
                (false, false) => &mut near,
            }) += 1;
        }
        assert!(far > 100 && behind > 1000 && near > 100, "{far} {behind} {near}");
        let arc = visible_arc(0.5, 0.25, 0.0);
        for (share, beyond) in [(1.0 - 2e-10, false), (1.0 + 5e-9, true)] {
            let away: f64 = 0.4 * share;
            let cos: f64 = (0.75 * 0.75 + 0.25 - away * away) / (2.0 * 0.75 * 0.5);
            let sin = (1.0 - cos * cos).sqrt();
            assert_eq!(Side { sin, cos }.is_beyond(&arc, 0.4), beyond, "{share}");
        }
    }

    /// What is visible of a piece is every point within reach that faces the brush, and nothing else: two thousand lines and arcs by chance, each looked at in two
    /// hundred places; the shortest strip is the nearest of these.
    #[test]
    fn verif_the_stretch_in_sight_is_what_faces_within_reach() {
        let mut by = chances();
        let (mut none, mut part_seen, mut whole) = (0, 0, 0);
        for case in 0..2000 {
            let radius_m = by(0.3, 0.9);
            let c = Vec2::new(by(-2.0, 2.0), by(-2.0, 2.0));
            let piece = match case % 3 {
                0 => {
                    let a = c + direction(by(-3.2, 3.2)) * by(0.05, 1.2);
                    let b = a + direction(by(-3.2, 3.2)) * by(0.1, 1.5);
                    Piece::Line(Line { a, b })
                }
                kind => {
                    let r = if kind == 1 { by(0.03, 0.4) } else { by(0.5, 30.0) };
                    let center = c + direction(by(-3.2, 3.2)) * (r + by(0.02, 1.0));
                    let sweep_rad = if kind == 1 { by(0.2, std::f64::consts::PI) } else { by(0.1, 2.0) / r };
                    let toward = (c - center).y.arctangent2((c - center).x);
                    Piece::Arc(Arc {
                        center,
                        radius_m: r,
                        start_rad: toward + by(-2.0, 1.0) / r.max(1.0),
                        sweep_rad,
                    })
                }
            };
            let facet = Facet::of(&piece);
            let length_m = piece.length_m();
            let seen = visible_part(&facet, c, radius_m).map(|(visible, at_ends)| VisiblePiece {
                outline: 0,
                piece: 0,
                visible,
                at_ends,
            });
            let stretch = seen.map(|piece_seen| piece_seen.stretch_m(&facet));
            let mut shortest = f64::INFINITY;
            for k in 0..200 {
                let s_m = length_m * (f64::from(k) + 0.5) / 200.0;
                let to = c - piece.point_at(s_m);
                let (away, facing) = (to.norm(), to.dot(&piece.normal_at(s_m)));
                if (away - radius_m).abs() < 1e-7 || facing.abs() < 1e-7 {
                    continue;
                }
                let visible = away < radius_m && facing > 0.0;
                if visible {
                    shortest = shortest.min(away);
                }
                let near_end = |(from, to): (f64, f64)| (s_m - from).abs() < 1e-6 || (s_m - to).abs() < 1e-6;
                if stretch.is_some_and(near_end) {
                    continue;
                }
                let told = stretch.is_some_and(|(from, to)| from < s_m && s_m < to);
                assert_eq!(
                    told, visible,
                    "{case} at {s_m} of {length_m}: {piece:?} from {c:?}: {seen:?} {stretch:?}"
                );
            }
            match (seen, stretch) {
                (Some(piece_seen), Some((from, to))) => {
                    assert_eq!(
                        piece_seen.at_ends,
                        [from == 0.0, to == length_m],
                        "{case}: {piece_seen:?} {from} {to}"
                    );
                    let nearest = piece_seen.visible.nearest_m();
                    assert!(nearest <= shortest + 1e-12, "{case}: {nearest} {shortest}");
                    let ends = [from, to].map(|s_m| (c - piece.point_at(s_m)).norm());
                    let place = piece.nearest(c);
                    let foot =
                        if place.s_m > from && place.s_m < to { place.distance_m } else { f64::INFINITY };
                    let want = foot.min(ends[0]).min(ends[1]);
                    assert!((nearest - want).abs() < 1e-9, "{case}: {nearest} {want}");
                    *(if piece_seen.at_ends == [true; 2] { &mut whole } else { &mut part_seen }) += 1;
                }
                _ => none += 1,
            }
        }
        assert!(none > 200 && part_seen > 500 && whole > 100, "{none} {part_seen} {whole}");
    }
}
