//! Paths with no more points than the eye can tell. Here a point may be missed by a distance; lines of a chart (`chart/line.rs`) may miss a value.

use super::list::Pos;
use crate::elementary::Elementary;

/// The points of a path that matter: from each kept point the directions are followed that pass every later point within `tolerance`; the last
/// point that lies in one of them is kept next. First and last point stay.
pub fn straightened(points: &[Pos], tolerance: f64) -> Vec<Pos> {
    let mut kept = Vec::new();
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return kept };
    kept.push(*first);
    let mut wedge = Wedge::new(*first);
    for pair in points.windows(2) {
        if !wedge.takes(pair[1], tolerance) {
            kept.push(pair[0]);
            wedge = Wedge::new(pair[0]);
            wedge.takes(pair[1], tolerance);
        }
    }
    if points.len() > 1 {
        kept.push(*last);
    }
    kept
}

/// Directions from a point that pass all points taken so far.
struct Wedge {
    from: Pos,
    /// Clockwise and counterclockwise end (as cross products have it), unit vectors; `None` while every direction will do.
    ends: Option<[[f64; 2]; 2]>,
    farthest: f64,
}

impl Wedge {
    const fn new(from: Pos) -> Wedge {
        Wedge { from, ends: None, farthest: 0.0 }
    }

    /// Whether a line from the wedge's point to `to` passes all points taken so far; then `to` is taken too.
    fn takes(&mut self, to: Pos, tolerance: f64) -> bool {
        let (dx, dy) = (to.x - self.from.x, to.y - self.from.y);
        let far = dx.hypotenuse(dy);
        if far + tolerance < self.farthest {
            return false;
        }
        self.farthest = self.farthest.max(far);
        if far <= tolerance {
            return true;
        }
        let own = [dx / far, dy / far];
        let sin = tolerance / far;
        let cos = (1.0 - sin * sin).sqrt();
        let turned = |sin: f64| [own[0] * cos - own[1] * sin, own[0] * sin + own[1] * cos];
        let [low, high] = [turned(-sin), turned(sin)];
        let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
        let along = |a: [f64; 2]| a[0] * own[0] + a[1] * own[1] > 0.0;
        self.ends = match self.ends {
            None => Some([low, high]),
            Some([a, b]) if along(a) && along(b) && cross(a, own) >= 0.0 && cross(own, b) >= 0.0 => {
                Some([if cross(a, low) > 0.0 { low } else { a }, if cross(b, high) < 0.0 { high } else { b }])
            }
            Some(_) => return false,
        };
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::list::pos;

    fn distance(p: Pos, a: Pos, b: Pos) -> f64 {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let share = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy).max(1e-300);
        p.distance(a.towards(b, share.clamp(0.0, 1.0)))
    }

    #[test]
    fn verif_no_point_of_a_path_is_missed_by_more_than_the_tolerance() {
        // A straight, a square corner, a quarter of a circle of radius 20, a cusp that turns straight back.
        let mut points: Vec<Pos> = (0..=100).map(|i| pos(f64::from(i), 0.0)).collect();
        points.extend((1..=50).map(|i| pos(100.0, f64::from(i))));
        points.extend((0..=40).map(|i| {
            let at = f64::from(i) / 40.0 * std::f64::consts::FRAC_PI_2;
            pos(80.0 + 20.0 * at.cosine(), 50.0 + 20.0 * at.sine())
        }));
        points.extend((1..=30).map(|i| pos(80.0, 70.0 + f64::from(i))));
        points.extend((1..=30).map(|i| pos(80.0, 100.0 - f64::from(i))));
        for tolerance in [0.05, 0.2, 1.0] {
            let kept = straightened(&points, tolerance);
            assert!(kept.len() >= 6 && kept.len() < points.len() / 5, "{tolerance}: {}", kept.len());
            assert!(kept.contains(&pos(100.0, 0.0)) || tolerance > 0.5);
            let mut next = 0;
            for pair in kept.windows(2) {
                let end = (next..points.len()).find(|&i| points[i] == pair[1]).expect("kept in order");
                for point in &points[next..=end] {
                    let off = distance(*point, pair[0], pair[1]);
                    assert!(off <= 1.5 * tolerance, "{tolerance}: {point:?} is off by {off}");
                }
                next = end;
            }
            assert_eq!(next, points.len() - 1);
        }
    }

    #[test]
    fn verif_paths_of_few_points_stay() {
        let [a, b] = [pos(1.0, 2.0), pos(3.0, 4.0)];
        assert!(straightened(&[], 0.1).is_empty());
        assert_eq!(straightened(&[a], 0.1), [a]);
        assert_eq!(straightened(&[a, b], 0.1), [a, b]);
        assert_eq!(straightened(&[a, a, a, b], 0.1), [a, b]);
    }
}
