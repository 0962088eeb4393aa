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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Line;
    use crate::vehicle::{Band, PieceTag, Zone};

    /// A box from x = −tail to −nose and y from right to left, from the middle of its nose.
    fn outline(nose: f64, tail: f64, right: f64, left: f64) -> Outline {
        let middle = 0.5 * (right + left);
        let corners = [(-nose, middle), (-nose, left), (-tail, left), (-tail, right), (-nose, right)];
        let point = |i: usize| Vec2::new(corners[i % 5].0, corners[i % 5].1);
        let pieces = (0..5).map(|i| Piece::Line(Line { a: point(i), b: point(i + 1) }));
        let tags = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide, Zone::Nose];
        Outline {
            chain: Chain::new(pieces.collect()).expect("it closes"),
            tags: tags.map(|zone| PieceTag { zone, feature: None }).to_vec(),
            island: false,
        }
    }

    fn of_bands(bands: Vec<(f64, f64, Vec<Outline>)>) -> Vehicle {
        Vehicle {
            name: "boxes".to_owned(),
            class: "test body".to_owned(),
            length_m: 4.0,
            width_m: 2.0,
            height_m: 2.0,
            bands: bands
                .into_iter()
                .map(|(z_low_m, z_high_m, outlines)| Band { z_low_m, z_high_m, outlines })
                .collect(),
            features: Vec::new(),
        }
    }

    /// A body 4 m by 2 m up to 0.5 m, over it one that stands 0.3 m back at nose and tail and 0.2 m at the sides, which is moved 0.05 m to the left.
    fn stepped(sense: f64) -> Vehicle {
        let (right, left) = if sense > 0.0 { (-0.75, 0.85) } else { (-0.85, 0.75) };
        of_bands(vec![
            (0.0, 0.5, vec![outline(0.0, 4.0, -1.0, 1.0)]),
            (0.5, 1.0, vec![outline(0.3, 3.7, right, left)]),
        ])
    }

    /// How much deeper than 0.25 m a point lies in another band's box, by hand; exactly as long as that matters.
    #[test]
    fn verif_how_deep_a_point_lies() {
        let vehicle = stepped(1.0);
        for (own, x, y, excess) in [
            (1, -0.3, 0.0, 0.05),
            (1, -0.2, 0.0, -0.05),
            (1, -2.0, 0.85, -0.10),
            (1, -2.0, -0.75, 0.0),
            (1, -3.9, 0.5, -0.15),
            (1, -2.0, 0.0, 0.75),
            (1, -0.3, 0.9, -0.15),
            // Outside: as far as it is to the box, diagonally from a corner.
            (1, 0.3, 0.0, -0.55),
            (1, 0.3, 1.4, -0.75),
            (1, -4.3, -1.4, -0.75),
            (0, -2.0, 0.80, -0.20),
            (0, -2.0, 0.0, 0.50),
        ] {
            let got = excess_depth_m(&vehicle, own, Vec2::new(x, y), 0.25, 9.0);
            assert!((got - excess).abs() < 1e-12, "{own} {x} {y}: {got}");
            // Where that is enough it is told to be no deeper than in the rectangle around.
            let rough = excess_depth_m(&vehicle, own, Vec2::new(x, y), 0.25, 0.0);
            assert!(
                rough >= got - 1e-12 && (rough > 0.0) == (got > 1e-15) || got.abs() < 1e-12,
                "{x} {y}: {rough}"
            );
        }
        // The deepest of several counts; its own band does not, nor one with nothing but an island, nor an empty one.
        let mast = Outline { island: true, ..outline(0.0, 4.0, -2.0, 2.0) };
        let mut more = stepped(1.0);
        more.bands.push(Band { z_low_m: 1.0, z_high_m: 1.2, outlines: vec![outline(-0.5, 4.5, -1.1, 1.1)] });
        more.bands.push(Band { z_low_m: 1.2, z_high_m: 1.4, outlines: vec![mast] });
        more.bands.push(Band { z_low_m: 1.4, z_high_m: 1.6, outlines: Vec::new() });
        let got = excess_depth_m(&more, 1, Vec2::new(-0.3, 0.0), 0.25, 9.0);
        assert!((got - 0.55).abs() < 1e-12, "{got}");
        let got = excess_depth_m(&more, 2, Vec2::new(-0.1, 0.0), 0.25, 9.0);
        assert!((got + 0.15).abs() < 1e-12, "{got}");
        assert_eq!(excess_depth_m(&vehicle_of_one(), 0, Vec2::zeros(), 0.25, 9.0), f64::NEG_INFINITY);
        // A round outline is less deep than the square around it: 0.1 m in from the corner of the square is 0.273 m outside of a circle of 1 m.
        let round = crate::geometry::Arc {
            center: Vec2::zeros(),
            radius_m: 1.0,
            start_rad: 0.0,
            sweep_rad: std::f64::consts::PI,
        };
        let halves = vec![
            Piece::Arc(round),
            Piece::Arc(crate::geometry::Arc { start_rad: std::f64::consts::PI, ..round }),
        ];
        let chain = Chain::new(halves).expect("it closes");
        let disc =
            Outline { chain, tags: vec![PieceTag { zone: Zone::Nose, feature: None }; 2], island: false };
        let disc = of_bands(vec![(0.0, 0.5, vec![disc]), (0.5, 1.0, vec![outline(0.0, 1.0, -0.1, 0.1)])]);
        let corner = Vec2::new(0.9, 0.9);
        let got = excess_depth_m(&disc, 1, corner, 0.05, 9.0);
        assert!((got - (1.0 - 0.9 * 2.0_f64.sqrt() - 0.05)).abs() < 1e-12, "{got}");
        // Told roughly, it is told as the square has it: 0.1 m deep is 0.05 m too deep; within 0.1 m that is looked at.
        let inside = excess_depth_m(&disc, 1, Vec2::new(0.6, 0.6), 0.5, 0.05);
        assert!((inside + 0.1).abs() < 1e-12, "{inside}");
        let inside = excess_depth_m(&disc, 1, Vec2::new(0.6, 0.6), 0.5, 0.2);
        assert!((inside - (1.0 - 0.6 * 2.0_f64.sqrt() - 0.5)).abs() < 1e-12, "{inside}");
        // So near as that to the edge, it is looked at.
        let inside = excess_depth_m(&disc, 1, Vec2::new(0.5, 0.5), 0.75, 0.25);
        assert!((inside - (1.0 - 0.5 * 2.0_f64.sqrt() - 0.75)).abs() < 1e-12, "{inside}");
        // Nearer to the right side of a box that is moved to the left; of two boxes the one it is less far out of, whichever comes first.
        let right = excess_depth_m(&stepped(-1.0), 0, Vec2::new(-2.0, -0.8), 0.02, 0.0);
        assert!((right - 0.03).abs() < 1e-12, "{right}");
        for (one, other) in [(0.97, 1.0), (1.0, 0.97)] {
            let wide = |left: f64| vec![outline(0.0, 4.0, -1.0, left)];
            let boxes = of_bands(vec![(0.0, 0.5, wide(one)), (0.5, 1.0, wide(other)), (1.0, 1.5, wide(1.1))]);
            let out = excess_depth_m(&boxes, 2, Vec2::new(-2.0, 1.1), 0.25, 9.0);
            assert!((out + 0.35).abs() < 1e-12, "{out}");
        }
    }

    fn vehicle_of_one() -> Vehicle {
        of_bands(vec![(0.0, 0.5, vec![outline(0.0, 4.0, -1.0, 1.0)])])
    }

    /// Judged is what lies no deeper than 0.25 m behind another band: of the upper nose, 0.3 m back, what lies nearer than that to a side; its sides, 0.15
    /// and 0.25 m in, whole, the right one just so.
    #[test]
    fn verif_judged_runs_by_hand() {
        let vehicle = stepped(1.0);
        let runs = |piece: usize, depth_m: f64| {
            let shape = &vehicle.bands[1].outlines[0].chain.pieces()[piece];
            judged_runs(&vehicle, 1, shape, depth_m)
        };
        let near = |got: &[(f64, f64, bool)], want: &[(f64, f64, bool)]| {
            assert_eq!(got.len(), want.len(), "{got:?}");
            for (got, want) in got.iter().zip(want) {
                let off = (got.0 - want.0).abs().max((got.1 - want.1).abs());
                assert!(off < 1e-9 && got.2 == want.2, "{got:?} {want:?}");
            }
        };
        // From the middle at y = 0.05 to the left corner at 0.85: judged from 0.75 on. From the right corner at −0.75 nothing.
        near(&runs(0, 0.25), &[(0.0, 0.7, false), (0.7, 0.8, true)]);
        near(&runs(4, 0.25), &[(0.0, 0.8, false)]);
        near(&runs(4, 0.27), &[(0.0, 0.02, true), (0.02, 0.8, false)]);
        near(&runs(1, 0.25), &[(0.0, 3.4, true)]);
        near(&runs(3, 0.26), &[(0.0, 3.4, true)]);
        // A right side 0.25 m in and an end 0.3 m in, of which 0.22 m are judged: nothing.
        near(&runs(3, 0.22), &[(0.0, 3.4, false)]);
        near(&runs(2, 0.25), &[(0.0, 0.1, true), (0.1, 1.6, false)]);
        near(&runs(2, 0.31), &[(0.0, 1.6, true)]);
        // A slanting line from y = 0.5 to 0.9 comes to 0.75 at five eighths of its length.
        let slant = Piece::Line(Line { a: Vec2::new(-1.0, 0.5), b: Vec2::new(-3.0, 0.9) });
        let length_m = slant.length_m();
        near(
            &judged_runs(&vehicle, 1, &slant, 0.25),
            &[(0.0, 0.625 * length_m, false), (0.625 * length_m, length_m, true)],
        );
    }

    /// Stations are as even as they can be on each run and no longer than asked; a whole number is not one more. What lies between two heights is laid out.
    #[test]
    fn verif_stations_by_hand() {
        let vehicle = stepped(1.0);
        let settings =
            CoverageSettings { station_m: 0.1, judged_depth_m: 0.25, ..CoverageSettings::default() };
        let laid = lay_out(&vehicle, (0.0, 1.0), &settings);
        assert_eq!(laid.iter().map(|layout| layout.band).collect::<Vec<_>>(), [0, 1]);
        // The lower body: 1 + 4 + 2 + 4 + 1 m.
        let counts =
            |layout: &BandLayout| (0..5).map(|piece| layout.of_piece(piece).len()).collect::<Vec<_>>();
        assert_eq!(counts(&laid[0]), [10, 40, 20, 40, 10]);
        // The upper nose: 0.7 m not judged and 0.1 m judged; to the tail 0.1 m judged and 1.5 m not.
        assert_eq!(counts(&laid[1]), [8, 34, 16, 34, 8]);
        let ends: Vec<usize> = (0..5).map(|piece| laid[1].first_of_piece(piece)).collect();
        assert_eq!(ends, [0, 8, 42, 58, 92]);
        for layout in &laid {
            for piece in 0..5 {
                let places = layout.of_piece(piece);
                let length_m = vehicle.bands[layout.band].outlines[0].chain.pieces()[piece].length_m();
                assert_eq!((places[0].from_m, places[places.len() - 1].to_m), (0.0, length_m));
                assert!(places.iter().all(|place| place.piece == piece));
                assert!(places.windows(2).all(|pair| pair[0].to_m == pair[1].from_m));
                for place in places {
                    assert!((place.to_m - place.from_m - 0.1).abs() < 1e-9, "{place:?}");
                    assert!((place.middle_m() - place.from_m - 0.05).abs() < 1e-9);
                }
            }
        }
        let judged: Vec<bool> = laid[1].of_piece(0).iter().map(|place| place.judged).collect();
        assert_eq!(judged, [false, false, false, false, false, false, false, true]);
        let stretches: Vec<std::ops::Range<usize>> = laid[1].judged_stretches().take(3).collect();
        assert_eq!(stretches, [7..8, 8..42, 42..43]);
        // 0.23 m: eighteen stations on 4 m, one on 0.1.
        let coarse = CoverageSettings { station_m: 0.23, ..settings };
        assert_eq!(counts(&lay_out(&vehicle, (0.0, 1.0), &coarse)[1]), [5, 15, 8, 15, 4]);
        for (heights, bands) in [
            ((0.5, 2.0), vec![1]),
            ((0.1, 0.5), vec![0]),
            ((0.5 - 1e-10, 0.8), vec![1]),
            ((0.49, 0.8), vec![0, 1]),
            ((1.0, 2.0), vec![]),
            ((-1.0, 1e-9), vec![]),
            ((0.2, 0.3), vec![0]),
        ] {
            let laid = lay_out(&vehicle, heights, &settings);
            assert_eq!(laid.iter().map(|layout| layout.band).collect::<Vec<_>>(), bands, "{heights:?}");
        }
    }

    /// The layout of a mirrored vehicle is the mirror image of that of the vehicle.
    #[test]
    fn verif_a_mirrored_layout() {
        let settings =
            CoverageSettings { station_m: 0.07, judged_depth_m: 0.27, ..CoverageSettings::default() };
        let (here, there) = (stepped(1.0), stepped(-1.0));
        let (own, other) = (lay_out(&there, (0.0, 1.0), &settings), lay_out(&here, (0.0, 1.0), &settings));
        for (own, other) in own.iter().zip(&other) {
            let image = mirrored(other, &there.bands[own.band].outlines[0].chain);
            assert_eq!((image.band, &image.firsts), (own.band, &own.firsts));
            assert_eq!(image.places.len(), own.places.len());
            for (a, b) in image.places.iter().zip(&own.places) {
                assert!(a.piece == b.piece && a.judged == b.judged, "{a:?} {b:?}");
                assert!((a.from_m - b.from_m).abs() < 1e-9 && (a.to_m - b.to_m).abs() < 1e-9, "{a:?} {b:?}");
            }
        }
        assert!(other[1].places.iter().any(|p| p.judged) && other[1].places.iter().any(|p| !p.judged));
    }
}
