//! Hatches and dashes as plain runs of points, so that every back end draws the same ones.

use super::list::{Hatch, HatchKind, Pos, pos};
use crate::elementary::Elementary;

/// The lines of a hatch inside a closed area, as pairs of end points. A dot is a pair of equal points.
///
/// Lines keep to a grid fixed to the page (multiples of the spacing from the origin), so neighbouring areas with the
/// same hatch join up. The area may be concave; where it crosses itself the even-odd rule decides.
/// A spacing that is not a positive number gives no lines.
pub fn hatch_lines(points: &[Pos], hatch: &Hatch) -> Vec<[Pos; 2]> {
    if points.len() < 3 || !(hatch.spacing.is_finite() && hatch.spacing > 0.0) {
        return Vec::new();
    }
    let quarter = std::f64::consts::FRAC_PI_4;
    match hatch.kind {
        HatchKind::Rising => family(points, -quarter, hatch.spacing),
        HatchKind::Falling => family(points, quarter, hatch.spacing),
        HatchKind::Cross => {
            let mut lines = family(points, -quarter, hatch.spacing);
            lines.extend(family(points, quarter, hatch.spacing));
            lines
        }
        HatchKind::Level => family(points, 0.0, hatch.spacing),
        HatchKind::Upright => family(points, 2.0 * quarter, hatch.spacing),
        HatchKind::Dots => dots(points, hatch.spacing),
    }
}

/// One family of parallel lines at a page angle. Works in axes turned so that the lines are level.
fn family(points: &[Pos], angle_rad: f64, spacing: f64) -> Vec<[Pos; 2]> {
    let (sin, cos) = angle_rad.sine_cosine();
    let turned: Vec<Pos> = points.iter().map(|p| pos(p.x * cos + p.y * sin, p.y * cos - p.x * sin)).collect();
    let low = turned.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = turned.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let (first, last) = ((low / spacing).ceil() as i64, (high / spacing).floor() as i64);
    let mut lines = Vec::new();
    for index in first..=last {
        let level = index as f64 * spacing;
        let back = |x: f64| pos(x * cos - level * sin, x * sin + level * cos);
        for [from, to] in crossings(&turned, level) {
            lines.push([back(from), back(to)]);
        }
    }
    lines
}

fn dots(points: &[Pos], spacing: f64) -> Vec<[Pos; 2]> {
    let low = points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let (first, last) = ((low / spacing).ceil() as i64, (high / spacing).floor() as i64);
    let mut marks = Vec::new();
    for row in first..=last {
        let y = row as f64 * spacing;
        let stagger = if row.rem_euclid(2) == 0 { 0.0 } else { 0.5 };
        for [from, to] in crossings(points, y) {
            let (start, end) =
                ((from / spacing - stagger).ceil() as i64, (to / spacing - stagger).floor() as i64);
            marks.extend((start..=end).map(|column| {
                let at = pos((column as f64 + stagger) * spacing, y);
                [at, at]
            }));
        }
    }
    marks
}

/// Stretches of a level line that lie inside the area, left to right, by the even-odd rule.
fn crossings(points: &[Pos], level: f64) -> Vec<[f64; 2]> {
    let mut at: Vec<f64> = Vec::new();
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        if (a.y > level) != (b.y > level) {
            at.push(a.x + (level - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    }
    at.sort_by(f64::total_cmp);
    at.chunks_exact(2).map(|pair| [pair[0], pair[1]]).filter(|pair| pair[1] > pair[0]).collect()
}

/// A chain of points cut into the runs that a dash pattern draws.
///
/// `pattern` holds lengths drawn and left out in turn; an empty or all-zero pattern gives the chain itself.
pub fn dash_runs(points: &[Pos], pattern: &[f64]) -> Vec<Vec<Pos>> {
    if pattern.is_empty() || pattern.iter().sum::<f64>() <= 0.0 {
        return vec![points.to_vec()];
    }
    let mut runs = Vec::new();
    let (mut index, mut left) = (0_usize, pattern[0]);
    let mut run: Vec<Pos> = points.first().copied().into_iter().collect();
    for pair in points.windows(2) {
        let length = pair[0].distance(pair[1]);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let here = pair[0].towards(pair[1], done / length);
            if index % 2 == 0 {
                run.push(here);
                runs.push(std::mem::take(&mut run));
            } else {
                run = vec![here];
            }
            index = (index + 1) % (pattern.len() + pattern.len() % 2);
            left = pattern[index % pattern.len()];
        }
        left -= length - done;
        if index % 2 == 0 {
            run.push(pair[1]);
        }
    }
    if index % 2 == 0 && run.len() > 1 {
        runs.push(run);
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::palette::Role;

    fn total(lines: &[[Pos; 2]]) -> f64 {
        lines.iter().map(|[a, b]| a.distance(*b)).sum()
    }

    #[test]
    fn verif_hatch_length_times_spacing_is_the_area() {
        // Lines a spacing s apart cover the area A with length A / s as s goes to zero, concave or not.
        let shape = [
            pos(0.0, 0.0),
            pos(100.0, 0.0),
            pos(100.0, 40.0),
            pos(40.0, 40.0),
            pos(40.0, 90.0),
            pos(0.0, 90.0),
        ];
        let area = 100.0 * 40.0 + 40.0 * 50.0;
        for kind in [HatchKind::Rising, HatchKind::Falling, HatchKind::Level, HatchKind::Upright] {
            let lines = hatch_lines(&shape, &Hatch::new(kind, 0.1, Role::Ink));
            assert!((total(&lines) * 0.1 - area).abs() < 0.002 * area, "{kind:?}: {}", total(&lines) * 0.1);
        }
        let dots = hatch_lines(&shape, &Hatch::new(HatchKind::Dots, 0.5, Role::Ink));
        assert!((dots.len() as f64 * 0.25 - area).abs() < 0.01 * area);
    }

    #[test]
    fn verif_hatch_stays_inside_a_concave_area() {
        let shape = [pos(0.0, 0.0), pos(60.0, 0.0), pos(60.0, 60.0), pos(30.0, 20.0), pos(0.0, 60.0)];
        let lines = hatch_lines(&shape, &Hatch::new(HatchKind::Level, 7.0, Role::Ink));
        let low: Vec<_> = lines.iter().filter(|[a, _]| a.y > 40.0).collect();
        assert!(low.len() >= 4, "two legs are hatched apart");
        for [a, b] in low {
            // On a level under the notch no line may cross its middle.
            assert!(b.x <= 30.0 || a.x >= 30.0, "{a:?} {b:?}");
        }
    }

    #[test]
    fn verif_dash_runs_keep_the_lengths() {
        let chain = [pos(0.0, 0.0), pos(30.0, 0.0), pos(30.0, 40.0)];
        let runs = dash_runs(&chain, &[10.0, 5.0]);
        let length: f64 = runs.iter().map(|r| r.windows(2).map(|p| p[0].distance(p[1])).sum::<f64>()).sum();
        // 70 long: four whole cycles of 15 and a last dash of 10.
        assert_eq!(runs.len(), 5);
        assert!((length - 50.0).abs() < 1e-9);
        assert_eq!(runs[2], vec![pos(30.0, 0.0), pos(30.0, 10.0)]);
    }
}
