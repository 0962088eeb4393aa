//! Where the stations lie: piece by piece, so that none straddles a corner, a feature, a zone or the border of what is judged.

use super::CoverageSettings;
use crate::geometry::{Chain, Piece, Vec2};
use crate::vehicle::{Outline, Vehicle};

/// One station on one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub piece: usize,
    /// Local arclengths on the piece, m.
    pub from_m: f64,
    pub to_m: f64,
    pub judged: bool,
}

impl Place {
    /// Local arclength of its middle, m.
    pub fn middle_m(&self) -> f64 {
        0.5 * (self.from_m + self.to_m)
    }
}

/// Stations of one band of a vehicle, counterclockwise.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BandLayout {
    /// Index of the band in the vehicle.
    pub band: usize,
    pub places: Vec<Place>,
    /// Where each piece's stations begin; one more than there are pieces.
    firsts: Vec<usize>,
}

impl BandLayout {
    /// Stations of a piece.
    pub fn of_piece(&self, piece: usize) -> &[Place] {
        &self.places[self.firsts[piece]..self.firsts[piece + 1]]
    }

    /// The runs of judged stations that stand side by side on one piece.
    pub fn judged_stretches(&self) -> impl Iterator<Item = std::ops::Range<usize>> {
        let runs = self.places.chunk_by(|a, b| a.piece == b.piece && a.judged == b.judged);
        runs.scan(0, |next, run| {
            let start = *next;
            *next += run.len();
            Some((run[0].judged, start..*next))
        })
        .filter_map(|(judged, run)| judged.then_some(run))
    }

    pub fn first_of_piece(&self, piece: usize) -> usize {
        self.firsts[piece]
    }
}

/// Stations are refined to find where judging begins down to this, m; a narrower tongue may be overlooked.
const TONGUE_M: f64 = 4e-3;
/// How sharply the border of what is judged is found, m.
const BORDER_M: f64 = 1e-13;

/// Lays out the stations of every band with body between two heights.
pub(super) fn lay_out(
    vehicle: &Vehicle,
    (low_m, high_m): (f64, f64),
    settings: &CoverageSettings,
) -> Vec<BandLayout> {
    let bands = vehicle.bands.iter().enumerate().filter_map(|(index, band)| {
        let outline = band.outlines.first().filter(|o| !o.island)?;
        (band.z_high_m.min(high_m) - band.z_low_m.max(low_m) > 1e-9)
            .then(|| lay_out_band(vehicle, index, outline, settings))
    });
    bands.collect()
}

fn lay_out_band(
    vehicle: &Vehicle,
    band: usize,
    outline: &Outline,
    settings: &CoverageSettings,
) -> BandLayout {
    let (mut places, mut firsts) = (Vec::new(), Vec::new());
    for (piece, shape) in outline.chain.pieces().iter().enumerate() {
        firsts.push(places.len());
        for (from, to, judged) in judged_runs(vehicle, band, shape, settings.judged_depth_m) {
            // A hair less, so that a whole number of stations is not one more by rounding.
            let count = ((to - from) / settings.station_m - 1e-6).ceil().max(1.0) as usize;
            let border =
                |i: usize| if i == count { to } else { from + (to - from) * i as f64 / count as f64 };
            places.extend((0..count).map(|i| Place {
                piece,
                from_m: border(i),
                to_m: border(i + 1),
                judged,
            }));
        }
    }
    firsts.push(places.len());
    BandLayout { band, places, firsts }
}

/// The runs of a piece that are judged and those that are not: start, end (local arclength, m).
fn judged_runs(vehicle: &Vehicle, band: usize, piece: &Piece, depth_m: f64) -> Vec<(f64, f64, bool)> {
    let length = piece.length_m();
    // How much deeper than allowed a point is changes by no more than the point moves.
    let excess =
        |s_m: f64, within_m: f64| excess_depth_m(vehicle, band, piece.point_at(s_m), depth_m, within_m);
    let mut runs: Vec<(f64, f64, bool)> = Vec::new();
    let mut to_do = vec![(0.0, length)];
    while let Some((from, to)) = to_do.pop() {
        let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
        let at = excess(mid, half);
        if at.abs() < half && half > TONGUE_M {
            to_do.extend([(mid, to), (from, mid)]);
            continue;
        }
        let judged = at <= 0.0;
        match runs.last_mut() {
            Some(last) if last.2 == judged => last.1 = to,
            _ => runs.push((from, to, judged)),
        }
    }
    for i in 1..runs.len() {
        let judged = runs[i].2;
        let reach = 2.0 * TONGUE_M;
        let (low, high) = ((runs[i].0 - reach).max(runs[i - 1].0), (runs[i].0 + reach).min(runs[i].1));
        let is_after = |s: f64| (excess(s, BORDER_M) <= 0.0) == judged;
        if !is_after(low) && is_after(high) {
            let border = super::find::change(low, high, BORDER_M, is_after);
            runs[i - 1].1 = border;
            runs[i].0 = border;
        }
    }
    runs
}

/// How much deeper than `depth_m` a point of one band lies inside the outline of another, m; negative = not so deep. Exact only between
/// −`within_m` and more.
fn excess_depth_m(vehicle: &Vehicle, own: usize, p: Vec2, depth_m: f64, within_m: f64) -> f64 {
    let mut most = f64::NEG_INFINITY;
    for (index, band) in vehicle.bands.iter().enumerate() {
        let Some(outline) = band.outlines.first().filter(|o| !o.island && index != own) else { continue };
        // No point is deeper inside an outline than inside the rectangle around it.
        let b = outline.chain.bounds();
        let boxed = (p.x - b.min.x).min(b.max.x - p.x).min(p.y - b.min.y).min(b.max.y - p.y);
        if boxed - depth_m <= most {
            continue;
        }
        let excess = if boxed - depth_m < -within_m {
            boxed - depth_m
        } else {
            -outline.chain.nearest(p).distance_m - depth_m
        };
        most = most.max(excess);
    }
    most
}

/// The layout as the mirrored vehicle has it, for a mirror image whose own layout came out with another number of stations.
pub(super) fn mirrored(layout: &BandLayout, chain: &Chain) -> BandLayout {
    let pieces = chain.pieces();
    let mut places = Vec::with_capacity(layout.places.len());
    let mut firsts = Vec::with_capacity(pieces.len() + 1);
    for (piece, shape) in pieces.iter().enumerate() {
        firsts.push(places.len());
        let length = shape.length_m();
        places.extend(layout.of_piece(pieces.len() - 1 - piece).iter().rev().map(|place| Place {
            piece,
            from_m: (length - place.to_m).max(0.0),
            to_m: length - place.from_m,
            judged: place.judged,
        }));
    }
    firsts.push(places.len());
    BandLayout { band: layout.band, places, firsts }
}
