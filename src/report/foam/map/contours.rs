//! Contours of the expansion ratio on the map of a foam maker.

use super::{Frame, at};
use crate::drawing::{Anchor, Baseline, DisplayList, Fill, Pos, Rect, Role, Shape, Stroke, Text};
use crate::foam::regime::Regime;
use crate::foam::regime_map::RegimeMap;

/// Expansion ratios drawn as contours.
const LEVELS: [f64; 6] = [2.0, 3.0, 5.0, 8.0, 12.0, 20.0];
/// Contours of the expansion ratio, by marching squares over cells that all have one.
pub(super) fn contours(page: &mut DisplayList, map: &RegimeMap, frame: Frame) {
    let mut items = Vec::new();
    let mut labels: Vec<Rect> = Vec::new();
    for level in LEVELS {
        let mut best: Option<Pos> = None;
        for j in 0..map.air_pa.len() - 1 {
            for i in 0..map.liquid_pa.len() - 1 {
                let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
                let values: Vec<f64> = corners.iter().filter_map(|&(i, j)| value(map, i, j)).collect();
                if values.len() < 4 {
                    continue;
                }
                let mut cuts = Vec::new();
                for k in 0..4 {
                    let (a, b) = (values[k], values[(k + 1) % 4]);
                    if (a > level) != (b > level) {
                        let t = (level - a) / (b - a);
                        let place = |(i, j): (usize, usize)| at(frame, map.liquid_pa[i], map.air_pa[j]);
                        cuts.push(place(corners[k]).towards(place(corners[(k + 1) % 4]), t));
                    }
                }
                for pair in cuts.chunks_exact(2) {
                    items.push(
                        Shape::Polyline {
                            points: pair.to_vec(),
                            closed: false,
                            stroke: Stroke::new(1.1, Role::Ink.faint(0.8)).round(),
                        }
                        .into(),
                    );
                    // The name stands where the contour is furthest out along the diagonal that leaves the plot top right.
                    let reach = |p: Pos| p.x - 0.35 * p.y;
                    let inside = frame.plot.inset(18.0).contains(pair[0]);
                    if inside && best.is_none_or(|b| reach(pair[0]) > reach(b)) {
                        best = Some(pair[0]);
                    }
                }
            }
        }
        if let Some(place) = best {
            let text = Text::new(place, 12.0, Role::Ink, format!("{level:.0}:1"))
                .anchored(Anchor::Middle, Baseline::Middle)
                .with_halo(Role::Paper);
            if labels.iter().all(|taken| !taken.overlaps(&text.bounds())) {
                let points = text.bounds().inset(-1.0).corners().to_vec();
                items.push(
                    Shape::Polygon { points, fill: Fill::solid(Role::Paper.faint(0.9)), stroke: None }.into(),
                );
                labels.push(text.bounds());
                items.push(text.into());
            }
        }
    }
    page.clipped(frame.plot, items);
}

fn value(map: &RegimeMap, i: usize, j: usize) -> Option<f64> {
    map.cell(i, j).filter(|cell| !matches!(cell.regime, Regime::Off | Regime::AirLocked))?.expansion_ratio
}
