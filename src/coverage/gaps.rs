//! Washed share, gaps and overlaps from the unrolled map.
//!
//! The end of a gap lies where the washed ratio crosses 1 (1 = just enough), found between the stations, not at a station border; what is missing
//! in it is an integral, and its lowest ratio is found.

use super::between::Between;
use super::walker::ZoneSum;
use super::{BandCoverage, Coverage};
use crate::vehicle::{Outline, Vehicle, Zone};

/// Zones in the order of every list.
pub(crate) const ZONES: [Zone; 4] = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide];

/// What was done to one zone, over all judged bands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneSummary {
    /// The zone.
    pub zone: Zone,
    /// Judged area, m².
    pub judged_m2: f64,
    /// Washed share of the judged area; `None` when nothing is judged.
    pub washed_fraction: Option<f64>,
    /// Mean pressure over contact time and touched area, Pa; `None` when never touched.
    pub mean_pressure_pa: Option<f64>,
    /// Highest pressure, Pa; `None` when never touched.
    pub peak_pressure_pa: Option<f64>,
    /// Mean rubbing work over the judged area, J/m²; `None` when nothing is judged.
    pub rubbing_work_j_m2: Option<f64>,
    /// Mean wipes over the judged area.
    pub wipes: Option<f64>,
    /// Longest part of a gap that lies in this zone, m; 0 when everything judged is washed, `None` when nothing is judged.
    pub longest_gap_m: Option<f64>,
}

/// A maximal unwashed run of one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Zone that holds most of it.
    pub zone: Zone,
    /// Longest part of it in each zone, m, in the order nose, left side, tail, right side.
    pub parts_m: [f64; 4],
    /// Index of the band in the vehicle.
    pub band: usize,
    /// Lowest height, m.
    pub z_low_m: f64,
    /// Highest height, m.
    pub z_high_m: f64,
    /// Start on the perimeter from the nose centre, counterclockwise, m. Negative when the gap runs across the nose centre.
    pub start_m: f64,
    /// End on the perimeter, m.
    pub end_m: f64,
    /// Mean share of the needed washing that is missing, 0…1; 1 = never touched.
    pub short_by: f64,
    /// Lowest washed ratio in it.
    pub lowest_ratio: f64,
}

impl Gap {
    /// Length, m.
    pub fn length_m(&self) -> f64 {
        self.end_m - self.start_m
    }

    /// Longest part of it in a zone, m.
    pub fn in_zone_m(&self, zone: Zone) -> f64 {
        ZONES.iter().zip(self.parts_m).find(|(z, _)| **z == zone).map_or(0.0, |(_, part_m)| part_m)
    }
}

/// A stretch of a perimeter in one zone.
struct ZoneRun {
    zone: Zone,
    start_m: f64,
    end_m: f64,
}

/// The stretches of an outline by zone; the one that holds the nose centre starts below zero.
fn zone_runs(outline: &Outline) -> Vec<ZoneRun> {
    let mut runs: Vec<ZoneRun> = Vec::new();
    let mut at_m = 0.0;
    for (piece, tag) in outline.chain.pieces().iter().zip(&outline.tags) {
        let start_m = at_m;
        at_m += piece.length_m();
        match runs.last_mut() {
            Some(last) if last.zone == tag.zone => last.end_m = at_m,
            _ => runs.push(ZoneRun { zone: tag.zone, start_m, end_m: at_m }),
        }
    }
    if runs.len() > 1
        && runs[0].zone == runs[runs.len() - 1].zone
        && let Some(last) = runs.pop()
    {
        runs[0].start_m = last.start_m - at_m;
    }
    runs
}

/// Longest part of a stretch of the perimeter in each zone, and the zone that holds most of it.
fn parts(runs: &[ZoneRun], perimeter_m: f64, start_m: f64, end_m: f64) -> ([f64; 4], Zone) {
    let (mut longest, mut whole) = ([0.0_f64; 4], [0.0_f64; 4]);
    let all_round = end_m - start_m > perimeter_m - 1e-9;
    for run in runs {
        let Some(index) = ZONES.iter().position(|z| *z == run.zone) else { continue };
        for turn in [-1.0, 0.0, 1.0] {
            let part_m = if all_round && turn == 0.0 {
                run.end_m - run.start_m
            } else if all_round {
                0.0
            } else {
                let by = turn * perimeter_m;
                ((run.end_m + by).min(end_m) - (run.start_m + by).max(start_m)).max(0.0)
            };
            longest[index] = longest[index].max(part_m);
            whole[index] += part_m;
        }
    }
    let most = (1..4).fold(0, |best, i| if whole[i] > whole[best] { i } else { best });
    (longest, ZONES[most])
}

pub(super) fn zone_summaries(coverage: &Coverage, sums: &[ZoneSum; 4], gaps: &[Gap]) -> Vec<ZoneSummary> {
    ZONES
        .iter()
        .map(|&zone| {
            let (mut area, mut washed, mut peak) = (0.0, 0.0, 0.0_f64);
            for band in &coverage.bands {
                for (i, station) in band.stations.iter().enumerate() {
                    if station.zone != zone || !station.judged {
                        continue;
                    }
                    area += station.length_m * band.height_m();
                    washed += band.washed_m(i) * band.height_m();
                    peak = peak.max(station.peak_pa());
                }
            }
            let sum = &sums[zone.index()];
            let over_area = |x: f64| (area > 0.0).then(|| x / area);
            ZoneSummary {
                zone,
                judged_m2: area,
                washed_fraction: over_area(washed),
                mean_pressure_pa: (sum.time_m2_s > 0.0).then(|| sum.pressure_time_n_s / sum.time_m2_s),
                peak_pressure_pa: (peak > 0.0).then_some(peak),
                rubbing_work_j_m2: over_area(sum.work_j),
                wipes: over_area(sum.wipes_m2),
                longest_gap_m: over_area(0.0)
                    .map(|none| gaps.iter().map(|g| g.in_zone_m(zone)).fold(none, f64::max)),
            }
        })
        .collect()
}

pub(super) fn find_gaps(coverage: &Coverage, between: &Between<'_>, vehicle: &Vehicle) -> Vec<Gap> {
    let mut gaps = Vec::new();
    for (index, band) in coverage.bands.iter().enumerate() {
        let Some(outline) = vehicle.bands[band.band].body() else { continue };
        let runs = zone_runs(outline);
        for (start_m, end_m) in unwashed_runs_m(band) {
            let (parts_m, zone) = parts(&runs, band.perimeter_m, start_m, end_m);
            let (missing_m, lowest_ratio) = between.shortfall(index, band.perimeter_m, (start_m, end_m));
            gaps.push(Gap {
                zone,
                parts_m,
                band: band.band,
                z_low_m: band.z_low_m,
                z_high_m: band.z_high_m,
                start_m,
                end_m,
                short_by: missing_m / (end_m - start_m),
                lowest_ratio,
            });
        }
    }
    // Gaps of one length to the micrometre stand by height, so that rounding does not shuffle them.
    let length_um = |gap: &Gap| (gap.length_m() * 1e6).round();
    gaps.sort_by(|a, b| {
        length_um(b).total_cmp(&length_um(a)).then(a.band.cmp(&b.band)).then(a.start_m.total_cmp(&b.start_m))
    });
    gaps
}

/// An unwashed run shorter than this is none, m.
const LEAST_GAP_M: f64 = 1e-5;

/// The judged runs of a perimeter less what is washed of them: start and end, m. One that goes on over the nose centre starts below zero.
fn unwashed_runs_m(band: &BandCoverage) -> Vec<(f64, f64)> {
    let n = band.stations.len();
    let border = |i: usize| if i == n { band.perimeter_m } else { band.border_m(i) };
    let mut open: Vec<(f64, f64)> = Vec::new();
    let mut next = 0;
    for run in band.stations.chunk_by(|a, b| a.judged == b.judged) {
        let (start_m, end_m) = (border(next), border(next + run.len()));
        next += run.len();
        if !run[0].judged {
            continue;
        }
        let mut from_m = start_m;
        for [washed_m, until_m] in &band.washed_runs_m {
            if *until_m > start_m && *washed_m < end_m {
                open.push((from_m, *washed_m));
                from_m = *until_m;
            }
        }
        open.push((from_m, end_m));
    }
    open.retain(|(from_m, to_m)| to_m - from_m >= LEAST_GAP_M);
    // What ends at the nose centre and what begins there is one.
    let all_round = n > 0 && band.stations[0].judged && band.stations[n - 1].judged;
    if all_round
        && open.len() > 1
        && open[0].0 == 0.0
        && open[open.len() - 1].1 == band.perimeter_m
        && let Some((from_m, _)) = open.pop()
    {
        open[0].0 = from_m - band.perimeter_m;
    }
    open
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::{Cell, Station};
    use crate::geometry::{Chain, Line, Piece, Vec2};
    use crate::vehicle::PieceTag;

    /// Ten stations of 1 m round a perimeter of 10 m; which are judged, and what is washed.
    fn band(judged: impl Fn(usize) -> bool, washed_runs_m: &[[f64; 2]]) -> BandCoverage {
        let station = |i: usize| Station {
            s_m: i as f64 + 0.5,
            point_m: Vec2::zeros(),
            length_m: 1.0,
            zone: [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide]
                [[0, 1, 1, 1, 2, 2, 3, 3, 3, 0][i]],
            feature: None,
            judged: judged(i),
            cells: [Cell::default(); 2],
        };
        BandCoverage {
            band: 0,
            z_low_m: 0.4,
            z_high_m: 0.9,
            perimeter_m: 10.0,
            station_m: 1.0,
            stations: (0..10).map(station).collect(),
            washed_runs_m: washed_runs_m.to_vec(),
        }
    }

    /// What is judged less what is washed, by hand; over the nose centre it is one.
    #[test]
    fn verif_unwashed_runs_by_hand() {
        let all = |_: usize| true;
        let front = |i: usize| i >= 3;
        let ends = |i: usize| !(3..7).contains(&i);
        let runs = |band: BandCoverage| unwashed_runs_m(&band);
        assert_eq!(runs(band(all, &[])), [(0.0, 10.0)]);
        assert_eq!(runs(band(all, &[[2.0, 5.0]])), [(-5.0, 2.0)]);
        assert_eq!(runs(band(all, &[[0.0, 3.0]])), [(3.0, 10.0)]);
        assert_eq!(runs(band(all, &[[0.0, 3.0], [8.0, 10.0]])), [(3.0, 8.0)]);
        assert_eq!(runs(band(all, &[[0.5, 10.0]])), [(0.0, 0.5)]);
        assert_eq!(runs(band(all, &[[1.0, 3.0], [4.0, 8.0]])), [(-2.0, 1.0), (3.0, 4.0)]);
        assert_eq!(runs(band(all, &[[0.0, 3.0], [4.0, 8.0]])), [(3.0, 4.0), (8.0, 10.0)]);
        assert_eq!(runs(band(all, &[[1.0, 3.0], [4.0, 10.0]])), [(0.0, 1.0), (3.0, 4.0)]);
        assert_eq!(runs(band(all, &[[0.0, 10.0]])), []);
        assert_eq!(runs(band(front, &[[5.0, 6.0]])), [(3.0, 5.0), (6.0, 10.0)]);
        // What is washed up to where judging begins, or from where it ends, takes nothing from it.
        assert_eq!(runs(band(front, &[[1.0, 3.0], [5.0, 6.0]])), [(3.0, 5.0), (6.0, 10.0)]);
        assert_eq!(runs(band(|i| i < 3, &[[1.0, 2.0], [3.0, 4.0]])), [(0.0, 1.0), (2.0, 3.0)]);
        assert_eq!(runs(band(ends, &[])), [(-3.0, 3.0)]);
        assert_eq!(runs(band(ends, &[[2.0, 8.0]])), [(-2.0, 2.0)]);
        assert_eq!(runs(band(|i| i < 7, &[[2.0, 3.0]])), [(0.0, 2.0), (3.0, 7.0)]);
        assert_eq!(runs(band(|_| false, &[])), []);
        // Less than 10 µm is none.
        assert_eq!(runs(band(front, &[[3.0, 5.0], [5.000_009, 10.0]])), []);
        assert_eq!(runs(band(front, &[[3.0, 5.0], [5.000_011, 10.0]])).len(), 1);
    }

    /// A box 4 m long and 2 m wide, from the middle of its nose: the nose to 1 m and from 11 to 12, the left side to 5, the tail to 7, the right side.
    #[test]
    fn verif_parts_of_a_gap_by_hand() {
        let corners = [(0.0, 0.0), (0.0, 1.0), (-4.0, 1.0), (-4.0, -1.0), (0.0, -1.0)];
        let point = |i: usize| Vec2::new(corners[i % 5].0, corners[i % 5].1);
        let pieces = (0..5).map(|i| Piece::Line(Line { a: point(i), b: point(i + 1) }));
        let tag = |zone: Zone| PieceTag { zone, feature: None };
        let outline = Outline {
            chain: Chain::new(pieces.collect()).expect("it closes"),
            tags: [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide, Zone::Nose].map(tag).to_vec(),
            island: false,
        };
        let runs = zone_runs(&outline);
        let told: Vec<(Zone, f64, f64)> = runs.iter().map(|r| (r.zone, r.start_m, r.end_m)).collect();
        assert_eq!(
            told,
            [
                (Zone::Nose, -1.0, 1.0),
                (Zone::LeftSide, 1.0, 5.0),
                (Zone::Tail, 5.0, 7.0),
                (Zone::RightSide, 7.0, 11.0)
            ]
        );
        let of = |start_m: f64, end_m: f64| {
            let (parts_m, zone) = parts(&runs, 12.0, start_m, end_m);
            (parts_m.map(|m| (m * 1e9).round() / 1e9), zone)
        };
        assert_eq!(of(4.5, 7.5), ([0.0, 0.5, 2.0, 0.5], Zone::Tail));
        assert_eq!(of(4.5, 5.25), ([0.0, 0.5, 0.25, 0.0], Zone::LeftSide));
        assert_eq!(of(4.9, 5.25), ([0.0, 0.1, 0.25, 0.0], Zone::Tail));
        assert_eq!(of(-0.5, 0.2), ([0.7, 0.0, 0.0, 0.0], Zone::Nose));
        assert_eq!(of(11.5, 11.75), ([0.25, 0.0, 0.0, 0.0], Zone::Nose));
        assert_eq!(of(-2.5, 3.0), ([2.0, 2.0, 0.0, 1.5], Zone::Nose));
        assert_eq!(of(-5.5, -4.5), ([0.0, 0.0, 0.5, 0.5], Zone::Tail));
        // Round to the nose again: its longest part is the second, and together they are the most of what is there.
        assert_eq!(of(0.5, 6.0), ([0.5, 4.0, 1.0, 0.0], Zone::LeftSide));
        assert_eq!(of(6.5, 12.9), ([1.9, 0.0, 0.5, 4.0], Zone::RightSide));
        assert_eq!(of(0.5, 12.3), ([1.3, 4.0, 2.0, 4.0], Zone::LeftSide));
        // All round every zone is in it once.
        assert_eq!(of(-6.0, 6.0), ([2.0, 4.0, 2.0, 4.0], Zone::LeftSide));
        assert_eq!(of(0.0, 12.0), ([2.0, 4.0, 2.0, 4.0], Zone::LeftSide));
        let gap = Gap {
            zone: Zone::Tail,
            parts_m: [0.1, 0.2, 0.3, 0.4],
            band: 0,
            z_low_m: 0.0,
            z_high_m: 1.0,
            start_m: -0.4,
            end_m: 0.6,
            short_by: 0.5,
            lowest_ratio: 0.2,
        };
        assert_eq!(ZONES.map(|zone| gap.in_zone_m(zone)), [0.1, 0.2, 0.3, 0.4]);
        assert_eq!(gap.length_m(), 1.0);
        // An outline in one zone is one run.
        let one = Outline { tags: [Zone::Nose; 5].map(tag).to_vec(), ..outline };
        let runs = zone_runs(&one);
        assert_eq!((runs.len(), runs[0].start_m, runs[0].end_m), (1, 0.0, 12.0));
    }

    /// Two bands, 0.5 and 0.2 m high, of which the left side is judged over 3 and 2 m, washed over 1.5 and 0.25 m of that: 1.9 m², 0.8 of it.
    #[test]
    fn verif_summary_of_a_zone_by_hand() {
        let mut low = band(|_| true, &[[1.5, 3.0], [4.0, 4.5]]);
        let mut high = band(|i| i >= 2, &[[1.0, 2.25]]);
        (high.z_low_m, high.z_high_m) = (0.9, 1.1);
        low.stations[2].cells[1].peak_pa = 7.0;
        high.stations[3].cells[0].peak_pa = 9.0;
        high.stations[1].cells[0].peak_pa = 50.0;
        let coverage = Coverage { bands: vec![low, high] };
        let mut sums = [ZoneSum::default(); 4];
        sums[Zone::LeftSide.index()] =
            ZoneSum { time_m2_s: 4.0, pressure_time_n_s: 10.0, work_j: 5.7, wipes_m2: 38.0 };
        let zones = zone_summaries(&coverage, &sums, &[]);
        let left = &zones[1];
        assert_eq!((zones[0].zone, left.zone, zones[3].zone), (Zone::Nose, Zone::LeftSide, Zone::RightSide));
        let near = |got: Option<f64>, want: f64| {
            assert!((got.expect("there") - want).abs() < 1e-12, "{got:?} {want}")
        };
        near(Some(left.judged_m2), 1.9);
        near(left.washed_fraction, 0.8 / 1.9);
        near(left.mean_pressure_pa, 2.5);
        near(left.peak_pressure_pa, 9.0);
        near(left.rubbing_work_j_m2, 3.0);
        near(left.wipes, 20.0);
        near(left.longest_gap_m, 0.0);
        // Judged, never touched.
        near(zones[3].washed_fraction, 0.0);
        assert_eq!((zones[3].mean_pressure_pa, zones[3].peak_pressure_pa), (None, None));
        // Nothing judged.
        let none = zone_summaries(&Coverage { bands: vec![band(|i| i > 5, &[])] }, &sums, &[]);
        let left = &none[1];
        assert_eq!((left.judged_m2, left.washed_fraction, left.longest_gap_m), (0.0, None, None));
        assert_eq!((left.rubbing_work_j_m2, left.wipes), (None, None));
        let mut sum = ZoneSum { time_m2_s: 1.0, pressure_time_n_s: 2.0, work_j: 3.0, wipes_m2: 4.0 };
        sum.add(&ZoneSum { time_m2_s: 0.5, pressure_time_n_s: 0.25, work_j: 0.125, wipes_m2: 2.0 });
        assert_eq!(sum, ZoneSum { time_m2_s: 1.5, pressure_time_n_s: 2.25, work_j: 3.125, wipes_m2: 6.0 });
    }
}
