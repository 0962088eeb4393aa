//! The washed ratio all along the judged part of the perimeter: known at the middles of the stations, looked at between them where it matters.
//!
//! Where it crosses 1 (1 = just enough) what is washed begins or ends; what is missing over a gap is the integral of 1 less the ratio.

use super::CoverageSettings;
use super::find::{crossing, highest, peak};
use super::integral::{Node, curvature, integral};
use super::layout::BandLayout;
use super::stations::{BandCoverage, washed_ratio};
use super::walker::{Scratch, Walker};
use crate::arm::Side;

/// How sharply the edge of what is washed is found, m.
const EDGE_M: f64 = 1e-6;
/// A washed or unwashed run shorter than this is none, m: nobody sees it, and rounding may make it.
const LEAST_RUN_M: f64 = 1e-5;
/// What is missing is summed to this, m for each part that is looked at more closely.
const WITHIN_M: f64 = 2e-5;

/// The ratio on one stretch of judged stations side by side on one piece.
struct Curve {
    piece: usize,
    /// Arclength at which the piece begins on the perimeter, m.
    piece_start_m: f64,
    /// Local arclength on the piece, m, and ratio: both ends, the middles, and where else it was looked at.
    nodes: Vec<Node<1>>,
}

impl Curve {
    fn start_m(&self) -> f64 {
        self.piece_start_m + self.nodes[0].0
    }

    fn end_m(&self) -> f64 {
        self.piece_start_m + self.nodes[self.nodes.len() - 1].0
    }

    /// From what is known at the ends and the middles of the stations, with looks between where it may cross 1.
    fn new(
        piece: usize,
        piece_start_m: f64,
        mut nodes: Vec<Node<1>>,
        mut ratio: impl FnMut(f64) -> f64,
    ) -> Curve {
        let near = |at: f64| (at - 1.0).abs() < NEAR;
        let may_turn = |a: f64, b: f64| (a >= 1.0) != (b >= 1.0) || near(a) || near(b);
        look_closely(&mut nodes, may_turn, &mut ratio);
        look_beyond(&mut nodes, &mut ratio);
        Curve { piece, piece_start_m, nodes }
    }
}

/// The washed ratio of every band of the coverage.
pub(super) struct Between<'a> {
    walkers: Vec<Walker<'a>>,
    layouts: &'a [BandLayout],
    settings: &'a CoverageSettings,
    curves: Vec<Vec<Curve>>,
}

impl<'a> Between<'a> {
    /// From the stations of bands that have got what they get.
    pub fn new(
        walkers: Vec<Walker<'a>>,
        layouts: &'a [BandLayout],
        settings: &'a CoverageSettings,
        bands: &[BandCoverage],
    ) -> Between<'a> {
        let mut between = Between { walkers, layouts, settings, curves: Vec::new() };
        let curves = bands.iter().enumerate().map(|(index, band)| between.curves_of(index, band)).collect();
        between.curves = curves;
        between
    }

    /// The ratio of a spot of the real vehicle: index of the coverage's band, piece, local arclength.
    fn ratio(&self, band: usize, piece: usize, s_m: f64, scratch: &mut Scratch) -> f64 {
        let (mut wipes, mut work) = (0.0, 0.0);
        for walker in &self.walkers {
            let part = &walker.plan.vehicle.bands[self.layouts[band].band].outlines[0].chain;
            let (own_piece, own_s_m) = match walker.side {
                Side::Left => (piece, s_m),
                Side::Right => {
                    let own = part.pieces().len() - 1 - piece;
                    (own, (part.pieces()[own].length_m() - s_m).max(0.0))
                }
            };
            let cell = walker.cell_at(band, own_piece, own_s_m, scratch);
            wipes += cell.wipes;
            work += cell.work_j_m2;
        }
        bounded(washed_ratio(wipes, work, self.settings))
    }

    fn curves_of(&self, index: usize, band: &BandCoverage) -> Vec<Curve> {
        let mut scratch = Scratch::default();
        let layout = &self.layouts[index];
        let mut curves = Vec::new();
        for stretch in layout.judged_stretches() {
            let places = &layout.places[stretch.clone()];
            let (Some(first), Some(last)) = (places.first(), places.last()) else { continue };
            let station = &band.stations[stretch.start];
            let piece = first.piece;
            let mut ratio = |s_m: f64| self.ratio(index, piece, s_m, &mut scratch);
            let mut nodes = vec![(first.from_m, [ratio(first.from_m)])];
            let stations = &band.stations[stretch];
            nodes.extend(
                places
                    .iter()
                    .zip(stations)
                    .map(|(place, s)| (place.middle_m(), [bounded(s.washed_ratio(self.settings))])),
            );
            nodes.push((last.to_m, [ratio(last.to_m)]));
            curves.push(Curve::new(piece, station.s_m - first.middle_m(), nodes, ratio));
        }
        curves
    }

    /// The washed runs of a band: start and end on the perimeter, m, in order.
    pub fn washed_runs_m(&self, index: usize) -> Vec<[f64; 2]> {
        let mut scratch = Scratch::default();
        washed_runs_m(&self.curves[index], |piece, s_m| self.ratio(index, piece, s_m, &mut scratch))
    }

    /// What is missing over a gap of a band, m (ratio 1 missing over its whole length is that length), and the lowest ratio in it. The gap may
    /// start below zero.
    pub fn shortfall(&self, index: usize, perimeter_m: f64, gap_m: (f64, f64)) -> (f64, f64) {
        let mut scratch = Scratch::default();
        let ratio = |piece: usize, s_m: f64| self.ratio(index, piece, s_m, &mut scratch);
        shortfall(&self.curves[index], perimeter_m, gap_m, ratio)
    }
}

/// The washed runs of the curves of a band, as [`Between::washed_runs_m`]; `ratio` of a piece and a local arclength.
fn washed_runs_m(curves: &[Curve], mut ratio: impl FnMut(usize, f64) -> f64) -> Vec<[f64; 2]> {
    let mut runs: Vec<[f64; 2]> = Vec::new();
    for curve in curves {
        let start_m = curve.piece_start_m;
        let mut excess = |s_m: f64| ratio(curve.piece, s_m) - 1.0;
        let mut begun = (curve.nodes[0].1[0] >= 1.0).then_some(curve.nodes[0].0);
        for pair in curve.nodes.windows(2) {
            let [(a, [at_a]), (b, [at_b])] = [pair[0], pair[1]];
            if (at_a >= 1.0) == (at_b >= 1.0) {
                continue;
            }
            let edge = crossing(&mut excess, (a, at_a - 1.0), (b, at_b - 1.0), EDGE_M);
            match begun.take() {
                Some(from) => runs.push([start_m + from, start_m + edge]),
                None => begun = Some(edge),
            }
        }
        runs.extend(begun.map(|from| [start_m + from, curve.end_m()]));
    }
    // Pieces meet: what is washed up to the end of one and from the start of the next is one run.
    runs.dedup_by(|next, last| {
        let joins = next[0] - last[1] < LEAST_RUN_M;
        if joins {
            last[1] = next[1];
        }
        joins
    });
    runs.retain(|[from, to]| to - from >= LEAST_RUN_M);
    runs
}

/// What is missing over a gap and the lowest ratio in it, as [`Between::shortfall`]; `ratio` of a piece and a local arclength.
fn shortfall(
    curves: &[Curve],
    perimeter_m: f64,
    (start_m, end_m): (f64, f64),
    mut ratio: impl FnMut(usize, f64) -> f64,
) -> (f64, f64) {
    let (mut missing_m, mut most): (f64, f64) = (0.0, 0.0);
    for turn_m in [-perimeter_m, 0.0] {
        for curve in curves {
            let from_m = start_m.max(curve.start_m() + turn_m) - turn_m - curve.piece_start_m;
            let to_m = end_m.min(curve.end_m() + turn_m) - turn_m - curve.piece_start_m;
            if to_m - from_m < 0.1 * LEAST_RUN_M {
                continue;
            }
            let mut short = |s_m: f64| (1.0 - ratio(curve.piece, s_m)).max(0.0);
            let inside = |s_m: f64| s_m - from_m > 0.1 * EDGE_M && to_m - s_m > 0.1 * EDGE_M;
            let mut nodes = vec![(from_m, [short(from_m)])];
            let known = curve.nodes.iter().filter(|(s_m, _)| inside(*s_m));
            nodes.extend(known.map(|&(s_m, [ratio])| (s_m, [(1.0 - ratio).max(0.0)])));
            nodes.push((to_m, [short(to_m)]));
            let touched = |a: f64, b: f64| a.min(b) < 1.0;
            look_closely(&mut nodes, touched, &mut short);
            let mut seen: Vec<(f64, f64)> = nodes.iter().map(|(s_m, [value])| (*s_m, *value)).collect();
            let [part_m] = integral(&nodes, [WITHIN_M], |s_m| {
                seen.push((s_m, short(s_m)));
                [seen[seen.len() - 1].1]
            });
            missing_m += part_m;
            // Where the integral had to look closely the ratio bends or jumps: the lowest may be there.
            seen.sort_by(|a, b| a.0.total_cmp(&b.0));
            most = seen.iter().map(|(_, value)| *value).fold(most, f64::max);
            if most < 1.0 {
                let (places, values): (Vec<f64>, Vec<f64>) = seen.into_iter().unzip();
                let found = highest(&places, &values, (from_m, to_m), |s_m, _| short(s_m));
                most = most.max(found.map_or(0.0, |(_, value)| value));
            }
        }
    }
    (missing_m, 1.0 - most)
}

/// A ratio of which nothing is asked is without bound.
fn bounded(ratio: f64) -> f64 {
    ratio.min(1e6)
}

/// Where the ratio changes by more than this from node to node it may go up and down between two: two visits of a brush overlap by a few
/// millimetres, a strip lies between two shadows.
const STEEP: f64 = 0.05;
/// There nodes stand no farther apart than this, m.
const CLOSE_M: f64 = 2e-3;
/// How near to 1 the ratio must be for that to matter to what is washed.
const NEAR: f64 = 0.3;

/// Nodes close together wherever values are steep, or steep beside, and `wanted` of both ends says so.
fn look_closely(
    nodes: &mut Vec<Node<1>>,
    wanted: impl Fn(f64, f64) -> bool,
    value: &mut impl FnMut(f64) -> f64,
) {
    let mut more = Vec::new();
    let steep = |i: usize| i + 1 < nodes.len() && (nodes[i + 1].1[0] - nodes[i].1[0]).abs() > STEEP;
    for i in 0..nodes.len() - 1 {
        let ((a, [at_a]), (b, [at_b])) = (nodes[i], nodes[i + 1]);
        if wanted(at_a, at_b) && (i.saturating_sub(1)..i + 2).any(steep) {
            let count = ((b - a) / CLOSE_M).ceil().max(1.0);
            let inner = (1..count as usize).map(|k| a + (b - a) * k as f64 / count);
            more.extend(inner.map(|s_m| (s_m, [value(s_m)])));
        }
    }
    nodes.extend(more);
    nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
}

/// Nearer to 1 than this is not told from it.
const SHORT: f64 = 1e-6;
/// A part between two nodes is halved this often, at most, to see on which side of 1 it is.
const ROUNDS: usize = 6;

/// Between two nodes on one side of 1 the curve may come over to the other and back: where it bends enough for that it is looked at more closely,
/// and every node that stands out toward 1 is looked beyond.
fn look_beyond(nodes: &mut Vec<Node<1>>, ratio: &mut impl FnMut(f64) -> f64) {
    for _ in 0..ROUNDS {
        let between = |i: usize| {
            let ((a, [at_a]), (b, [at_b])) = (nodes[i], nodes[i + 1]);
            let short = (at_a - 1.0).abs().min((at_b - 1.0).abs());
            let bent = [i.checked_sub(1), Some(i)].into_iter().flatten().filter(|k| k + 2 < nodes.len());
            let bent = bent.map(|k| curvature(&nodes[k], &nodes[k + 1], &nodes[k + 2])[0].abs());
            // A bent chord stands out by h²/8 of its curvature.
            let out = (b - a) * (b - a) / 8.0 * bent.fold(0.0, f64::max);
            let may_cross = (at_a >= 1.0) == (at_b >= 1.0) && 2.0 * out > short.max(SHORT);
            (may_cross && b - a > LEAST_RUN_M).then_some(0.5 * (a + b))
        };
        let more: Vec<f64> = (0..nodes.len() - 1).filter_map(between).collect();
        if more.is_empty() {
            break;
        }
        nodes.extend(more.into_iter().map(|s_m| (s_m, [ratio(s_m)])));
        nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    let mut found = Vec::new();
    for i in 0..nodes.len() {
        let (s_m, [own]) = nodes[i];
        // Toward 1 is up.
        let sign = if own < 1.0 { 1.0 } else { -1.0 };
        let rise = |k: usize| nodes.get(k).map(|(_, [value])| sign * (value - 1.0));
        let own = sign * (own - 1.0);
        let (left, right) = (i.checked_sub(1).and_then(rise), rise(i + 1));
        if left.is_some_and(|left| left > own) || right.is_some_and(|right| right >= own) {
            continue;
        }
        let least = [left, right].into_iter().flatten().fold(own, f64::min);
        if own + (own - least) < 0.0 {
            continue;
        }
        let a = nodes[i.saturating_sub(1)].0;
        let b = nodes[(i + 1).min(nodes.len() - 1)].0;
        let (at, top) = peak(|s| sign * (ratio(s) - 1.0), (a, s_m, b), own);
        if (top >= 0.0) != (own >= 0.0) && at != s_m {
            found.push((at, [1.0 + sign * top]));
        }
    }
    nodes.extend(found);
    nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
}

#[cfg(test)]
mod tests;
