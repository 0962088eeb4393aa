//! From the perimeter of every band to one level axis.
//!
//! The walk goes round the vehicle as someone sees it who walks round it: nose, left side, tail, right side, each whole. It starts in the
//! middle of the right nose corner, where no brush hands over to the other. The level axis is the arclength of the widest band. Every other
//! band is laid under it so that what stands above one another on the vehicle stands above one another on the page: the middles of nose and
//! tail, and the points of its sides, each under the nearest point of the widest band. A mirror's own outline, longer than its root is wide,
//! is squeezed onto its root.

use crate::coverage::BandCoverage;
use crate::geometry::Vec2;
use crate::vehicle::{Outline, Vehicle, Zone};

/// Zones in the order of the walk.
pub const WALK: [Zone; 4] = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide];

/// Where the zones and middles of one outline lie, arclength from the nose centre, m.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Marks {
    left_nose: f64,
    left_tail: f64,
    tail_centre: f64,
    right_tail: f64,
    right_nose: f64,
    length: f64,
}

impl Marks {
    fn new(outline: &Outline, vehicle_length_m: f64) -> Marks {
        let chain = &outline.chain;
        let length = chain.length_m();
        let end = |zone: Zone| {
            // The last piece of the zone in the first half of the walk from the nose centre, or its first in the second half.
            (0..outline.tags.len())
                .filter(|&i| outline.tags[i].zone == zone)
                .map(|i| chain.piece_start_m(i) + chain.pieces()[i].length_m())
                .fold(0.0, f64::max)
        };
        let start = |zone: Zone| {
            (0..outline.tags.len())
                .filter(|&i| outline.tags[i].zone == zone)
                .map(|i| chain.piece_start_m(i))
                .fold(length, f64::min)
        };
        let tail_centre = chain.nearest(Vec2::new(-vehicle_length_m - 5.0, 0.0)).s_m;
        Marks {
            left_nose: start(Zone::LeftSide),
            left_tail: end(Zone::LeftSide),
            tail_centre,
            right_tail: start(Zone::RightSide),
            right_nose: end(Zone::RightSide),
            length,
        }
    }

    /// Walk position of each mark of the list, growing: cut, nose centre, left nose corner, left tail corner, tail centre, right tail
    /// corner, cut again. The cut is the right nose corner.
    fn walked(&self) -> [f64; 7] {
        let from = self.length - self.right_nose;
        [
            0.0,
            from,
            from + self.left_nose,
            from + self.left_tail,
            from + self.tail_centre,
            from + self.right_tail,
            self.length,
        ]
    }
}

/// One band on the common axis.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    length_m: f64,
    /// (arclength, place), both growing by one turn from nose centre to nose centre, m.
    anchors: Vec<[f64; 2]>,
}

/// The common axis of all bands of a map.
#[derive(Debug, Clone, PartialEq)]
pub struct Unroll {
    rows: Vec<Row>,
    places: [f64; 7],
}

/// Roots narrower than their outline by less than this need no anchors, m.
const FLAT_M: f64 = 0.06;
/// Distance of the points of a side that are laid under the widest band, m.
const ANCHOR_M: f64 = 0.1;
/// Anchors nearer to one another than this add nothing, m.
const APART_M: f64 = 0.01;

impl Unroll {
    /// Lines up all bands of a map with band `reference` of it; `None` for an empty map.
    pub fn new(vehicle: &Vehicle, bands: &[BandCoverage], reference: usize) -> Option<Unroll> {
        let outline = |band: &BandCoverage| &vehicle.bands[band.band].outlines[0];
        let widest = outline(bands.get(reference)?);
        let marks = Marks::new(widest, vehicle.length_m);
        let places = marks.walked();
        let rows = bands
            .iter()
            .enumerate()
            .map(|(index, band)| {
                let own = outline(band);
                if index == reference {
                    let anchors = vec![[0.0, places[1]], [marks.length, places[1] + marks.length]];
                    return Row { length_m: marks.length, anchors };
                }
                lay_under(own, widest, &marks, places[1], vehicle.length_m)
            })
            .collect();
        Some(Unroll { rows, places })
    }

    /// Length of the axis, m.
    pub fn length_m(&self) -> f64 {
        self.places[6]
    }

    /// Start and end of a zone of the widest band on the axis, m.
    pub fn zone_m(&self, zone: Zone) -> [f64; 2] {
        match zone {
            Zone::Nose => [self.places[0], self.places[2]],
            Zone::LeftSide => [self.places[2], self.places[3]],
            Zone::Tail => [self.places[3], self.places[5]],
            Zone::RightSide => [self.places[5], self.places[6]],
        }
    }

    /// Middle of nose or tail on the axis, m; of a side, its nose end.
    pub fn zero_m(&self, zone: Zone) -> f64 {
        match zone {
            Zone::Nose => self.places[1],
            Zone::LeftSide => self.places[2],
            Zone::Tail => self.places[4],
            Zone::RightSide => self.places[6],
        }
    }

    /// Place on the axis of arclength `s_m` (wraps) of the `band`-th band of the map, m.
    pub fn place_m(&self, band: usize, s_m: f64) -> f64 {
        let row = &self.rows[band];
        interpolate(&row.anchors, s_m.rem_euclid(row.length_m), 0, 1).rem_euclid(self.length_m())
    }

    /// Arclength on the `band`-th band of the map at a place of the axis, m.
    pub fn arclength_m(&self, band: usize, place_m: f64) -> f64 {
        let row = &self.rows[band];
        let place = place_m.clamp(0.0, self.length_m());
        let place = if place < self.places[1] { place + self.length_m() } else { place };
        interpolate(&row.anchors, place, 1, 0).rem_euclid(row.length_m)
    }

    /// The stretches of the axis between two arclengths of a band (`to_m` ≥ `from_m`; either may run past the nose centre): one, or two
    /// when the stretch runs across the cut.
    pub fn stretches_m(&self, band: usize, from_m: f64, to_m: f64) -> Vec<[f64; 2]> {
        let row = &self.rows[band];
        let turn = self.length_m();
        if to_m - from_m >= row.length_m - 1e-9 {
            return vec![[0.0, turn]];
        }
        // Places counted on past the cut.
        let place = |s: f64| {
            let turns = (s / row.length_m).floor();
            interpolate(&row.anchors, s - turns * row.length_m, 0, 1) + turns * turn
        };
        let start = place(from_m);
        // What begins at the cut begins the axis, and what ends at it ends the axis, on whichever side of it rounding has put them.
        let back = ((start + AT_CUT_M) / turn).floor() * turn;
        let (start, end) = ((start - back).max(0.0), place(to_m) - back);
        if end <= turn + AT_CUT_M {
            vec![[start, end.min(turn)]]
        } else {
            vec![[start, turn], [0.0, end - turn]]
        }
    }
}

/// Nearer to the cut than this is at the cut, m.
const AT_CUT_M: f64 = 1e-9;

/// Lays a band under the widest one. `nose_m` is the place of the nose centre.
fn lay_under(
    own: &Outline,
    widest: &Outline,
    widest_marks: &Marks,
    nose_m: f64,
    vehicle_length_m: f64,
) -> Row {
    let marks = Marks::new(own, vehicle_length_m);
    let turn = widest_marks.length;
    // Place of the point at arclength s, counted from the nose centre's place on.
    let under = |s: f64| nose_m + widest.chain.nearest(own.chain.point_at(s)).s_m;
    let outstanding = roots(own);
    let on_root = |s: f64| outstanding.iter().any(|[from, to]| s > *from && s < *to);
    let mut wanted: Vec<[f64; 2]> = Vec::new();
    for [from, to] in [[marks.left_nose, marks.left_tail], [marks.right_tail, marks.right_nose]] {
        let count = ((to - from) / ANCHOR_M).ceil().max(1.0) as usize;
        let along = (0..=count).map(|i| from + (to - from) * i as f64 / count as f64);
        wanted.extend(along.filter(|s| !on_root(*s)).map(|s| [s, under(s)]));
    }
    wanted.extend(outstanding.iter().flatten().map(|s| [*s, under(*s)]));
    wanted.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let tail = [marks.tail_centre, nose_m + widest_marks.tail_centre];
    let end = [marks.length, nose_m + turn];
    let mut anchors = vec![[0.0, nose_m]];
    // Keep both growing, on either half apart: the middles of nose and tail are fixed.
    for (half, limit) in [(&[0.0, tail[0]], tail), (&[tail[0], end[0]], end)] {
        for pair in wanted.iter().filter(|p| p[0] > half[0] && p[0] < half[1]) {
            let last = anchors[anchors.len() - 1];
            let grows = |i: usize| pair[i] > last[i] + APART_M && pair[i] < limit[i] - APART_M;
            if grows(0) && grows(1) {
                anchors.push(*pair);
            }
        }
        anchors.push(limit);
    }
    Row { length_m: marks.length, anchors }
}

fn interpolate(anchors: &[[f64; 2]], at: f64, from: usize, to: usize) -> f64 {
    let next = anchors.partition_point(|a| a[from] <= at).clamp(1, anchors.len() - 1);
    let (a, b) = (anchors[next - 1], anchors[next]);
    let span = b[from] - a[from];
    let share = if span > 0.0 { ((at - a[from]) / span).clamp(0.0, 1.0) } else { 0.0 };
    a[to] + (b[to] - a[to]) * share
}

/// Ends of the runs of an outline that stand out from it, arclength, m.
fn roots(outline: &Outline) -> Vec<[f64; 2]> {
    let chain = &outline.chain;
    let mut found: Vec<(usize, [f64; 2])> = Vec::new();
    for (i, tag) in outline.tags.iter().enumerate() {
        let Some(feature) = tag.feature else { continue };
        let (start, end) = (chain.piece_start_m(i), chain.piece_start_m(i) + chain.pieces()[i].length_m());
        match found.last_mut() {
            Some((f, run)) if *f == feature && (run[1] - start).abs() < 1e-9 => run[1] = end,
            _ => found.push((feature, [start, end])),
        }
    }
    found
        .into_iter()
        .map(|(_, run)| run)
        .filter(|[from, to]| (to - from) - (chain.point_at(*to) - chain.point_at(*from)).norm() > FLAT_M)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::BandCoverage;
    use crate::vehicle::fleet;

    fn bands(vehicle: &Vehicle) -> Vec<BandCoverage> {
        (0..vehicle.bands.len())
            .filter(|&i| vehicle.bands[i].body().is_some())
            .map(|i| BandCoverage {
                band: i,
                z_low_m: vehicle.bands[i].z_low_m,
                z_high_m: vehicle.bands[i].z_high_m,
                perimeter_m: vehicle.bands[i].outlines[0].chain.length_m(),
                station_m: 0.02,
                stations: Vec::new(),
                washed_runs_m: Vec::new(),
            })
            .collect()
    }

    #[test]
    fn verif_unrolling_and_back_is_the_same_spot() {
        for spec in fleet::library() {
            let vehicle = spec.build().unwrap();
            let bands = bands(&vehicle);
            let unroll = Unroll::new(&vehicle, &bands, 1).unwrap();
            for (index, band) in bands.iter().enumerate() {
                let mut last: Option<f64> = None;
                let mut turned = 0.0;
                for i in 0..400 {
                    let place = unroll.length_m() * (f64::from(i) + 0.5) / 400.0;
                    let s = unroll.arclength_m(index, place);
                    let back = unroll.place_m(index, s);
                    assert!((back - place).abs() < 1e-9, "{} {index}: {place} {s} {back}", vehicle.name);
                    // Round the vehicle once, always the same way.
                    if let Some(before) = last {
                        let step: f64 = (s - before).rem_euclid(band.perimeter_m);
                        assert!(step > 0.0 && step < 0.5 * band.perimeter_m);
                        turned += step;
                    }
                    last = Some(s);
                }
                assert!(turned < band.perimeter_m && turned > 0.95 * band.perimeter_m);
            }
        }
    }

    #[test]
    fn verif_what_stands_above_one_another_stays_so() {
        let vehicle = fleet::sedan().build().unwrap();
        let bands = bands(&vehicle);
        let reference = 1;
        let unroll = Unroll::new(&vehicle, &bands, reference).unwrap();
        let widest = &vehicle.bands[bands[reference].band].outlines[0].chain;
        let mut seen = 0;
        for (index, band) in bands.iter().enumerate() {
            let outline = &vehicle.bands[band.band].outlines[0];
            assert!((unroll.place_m(index, 0.0) - unroll.zero_m(Zone::Nose)).abs() < 1e-9);
            for (i, tag) in outline.tags.iter().enumerate() {
                // Sides away from their ends; mirrors stand out on purpose.
                let middle = outline.chain.piece_start_m(i) + 0.5 * outline.chain.pieces()[i].length_m();
                let point = outline.chain.point_at(middle);
                if tag.zone == Zone::LeftSide && tag.feature.is_none() && point.x < -1.0 && point.x > -3.5 {
                    let on_widest = unroll.arclength_m(reference, unroll.place_m(index, middle));
                    assert!((widest.point_at(on_widest).x - point.x).abs() < 0.03, "band {index} piece {i}");
                    seen += 1;
                }
            }
        }
        assert!(seen >= 4, "{seen}");
        let lengths = WALK.iter().map(|z| unroll.zone_m(*z)).map(|[a, b]| b - a).sum::<f64>();
        assert!((lengths - unroll.length_m()).abs() < 1e-9);
    }

    #[test]
    fn verif_a_stretch_across_the_cut_comes_in_two() {
        let vehicle = fleet::sedan().build().unwrap();
        let bands = bands(&vehicle);
        let unroll = Unroll::new(&vehicle, &bands, 1).unwrap();
        let cut = unroll.arclength_m(1, 0.0);
        let two = unroll.stretches_m(1, cut - 0.1, cut + 0.2);
        assert_eq!(two.len(), 2);
        assert!((two[0][1] - unroll.length_m()).abs() < 1e-12 && two[1][0] == 0.0);
        assert!((two[0][1] - two[0][0] - 0.1).abs() < 1e-9 && (two[1][1] - 0.2).abs() < 1e-9);
        // The nose centre is inside the picture, so a gap across it stays in one piece.
        let one = unroll.stretches_m(1, -0.3, 0.3);
        assert_eq!(one.len(), 1);
        assert!((one[0][1] - one[0][0] - 0.6).abs() < 1e-9);
    }
}
