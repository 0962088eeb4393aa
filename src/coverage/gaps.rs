//! Washed share, gaps and overlaps from the unrolled map.
//!
//! The end of a gap lies where the washed ratio crosses 1 (1 = just enough), found between the stations, not at a station border.

use super::{BandCoverage, Coverage, CoverageSettings};
use crate::arm::Side;
use crate::vehicle::Zone;

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
    /// Longest gap that lies mostly in this zone, m; `None` when there is none.
    pub longest_gap_m: Option<f64>,
}

/// A maximal unwashed run of one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Zone that holds most of it.
    pub zone: Zone,
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
}

/// Overlap of both brushes, m: how far each touches past the centre, added; negative = a strip at the centre that neither touches. Measured
/// at the height where the vehicle reaches farthest forward (nose) or back (tail). `None` with a single unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Overlap {
    /// At the nose.
    pub nose_m: Option<f64>,
    /// At the tail.
    pub tail_m: Option<f64>,
}

pub(super) fn zone_summaries(
    coverage: &Coverage,
    gaps: &[Gap],
    settings: &CoverageSettings,
) -> Vec<ZoneSummary> {
    ZONES
        .iter()
        .map(|&zone| {
            let (mut area, mut washed, mut work, mut wipes) = (0.0, 0.0, 0.0, 0.0);
            let (mut pressure_time, mut time, mut peak) = (0.0, 0.0, 0.0_f64);
            for band in &coverage.bands {
                for (i, station) in band.stations.iter().enumerate() {
                    if station.zone != zone || !station.judged {
                        continue;
                    }
                    let cell_m2 = station.length_m * band.height_m();
                    area += cell_m2;
                    washed += band.washed_m(i, settings) * band.height_m();
                    work += cell_m2 * station.work_j_m2();
                    wipes += cell_m2 * station.wipes();
                    for cell in &station.cells {
                        pressure_time += cell_m2 * cell.pressure_time_pa_s;
                        time += cell_m2 * cell.contact_s;
                    }
                    peak = peak.max(station.peak_pa());
                }
            }
            let over_area = |x: f64| (area > 0.0).then(|| x / area);
            ZoneSummary {
                zone,
                judged_m2: area,
                washed_fraction: over_area(washed),
                mean_pressure_pa: (time > 0.0).then(|| pressure_time / time),
                peak_pressure_pa: (time > 0.0).then_some(peak),
                rubbing_work_j_m2: over_area(work),
                wipes: over_area(wipes),
                longest_gap_m: gaps.iter().filter(|g| g.zone == zone).map(Gap::length_m).reduce(f64::max),
            }
        })
        .collect()
}

pub(super) fn find_gaps(coverage: &Coverage, settings: &CoverageSettings) -> Vec<Gap> {
    let mut gaps = Vec::new();
    for band in &coverage.bands {
        band_gaps(band, settings, &mut gaps);
    }
    gaps.sort_by(|a, b| {
        b.length_m().total_cmp(&a.length_m()).then(a.band.cmp(&b.band)).then(a.start_m.total_cmp(&b.start_m))
    });
    gaps
}

fn band_gaps(band: &BandCoverage, settings: &CoverageSettings, gaps: &mut Vec<Gap>) {
    let n = band.stations.len();
    let ratio = |i: usize| band.stations[i % n].washed_ratio(settings);
    let open = |i: usize| band.stations[i % n].judged && ratio(i) < 1.0;
    // Start where no gap runs, so that none is cut in two by the nose centre.
    let Some(first) = (0..n).find(|&i| !open(i)) else {
        let short: f64 = (0..n).map(|i| band.stations[i].length_m * (1.0 - ratio(i))).sum();
        gaps.push(Gap {
            zone: Zone::Nose,
            band: band.band,
            z_low_m: band.z_low_m,
            z_high_m: band.z_high_m,
            start_m: 0.0,
            end_m: band.perimeter_m,
            short_by: short / band.perimeter_m,
            lowest_ratio: (0..n).map(ratio).fold(f64::INFINITY, f64::min),
        });
        return;
    };
    let mut i = first;
    while i < first + n {
        if !open(i) {
            i += 1;
            continue;
        }
        let from = i;
        while i < first + n && open(i) {
            i += 1;
        }
        let to = i - 1;
        let (start, end) = (band.edge_after_m(from + n - 1) - band.perimeter_m, band.edge_after_m(to));
        let length = |k: usize| band.stations[k % n].length_m;
        let over = |value: &dyn Fn(usize) -> f64| (from..=to).map(|k| length(k) * value(k)).sum::<f64>();
        let short = over(&|k| 1.0 - ratio(k)) / over(&|_| 1.0);
        let in_zone = |z: Zone| over(&|k| f64::from(u8::from(band.stations[k % n].zone == z)));
        let zone =
            ZONES.iter().copied().max_by(|a, b| in_zone(*a).total_cmp(&in_zone(*b))).unwrap_or(Zone::Nose);
        // Bring the start into [0, perimeter), then let a gap across the nose centre start below zero.
        let turn = if start >= band.perimeter_m { band.perimeter_m } else { 0.0 };
        let (mut start, mut end) = (start - turn, end - turn);
        if end > band.perimeter_m {
            start -= band.perimeter_m;
            end -= band.perimeter_m;
        }
        gaps.push(Gap {
            zone,
            band: band.band,
            z_low_m: band.z_low_m,
            z_high_m: band.z_high_m,
            start_m: start,
            end_m: end,
            short_by: short,
            lowest_ratio: (from..=to).map(ratio).fold(f64::INFINITY, f64::min),
        });
    }
}

pub(super) fn overlap(coverage: &Coverage) -> Overlap {
    let touched = |side: Side| {
        coverage.bands.iter().any(|b| b.stations.iter().any(|s| s.cells[side.index()].contact_s > 0.0))
    };
    if !touched(Side::Left) || !touched(Side::Right) {
        return Overlap::default();
    }
    // The band that reaches farthest forward or back; the lowest of equals.
    let extreme = |sign: f64| {
        coverage.bands.iter().reduce(|best, band| {
            let reach = |b: &BandCoverage| {
                b.stations.iter().map(|s| sign * s.point_m.x).fold(f64::NEG_INFINITY, f64::max)
            };
            if reach(band) > reach(best) + 1e-6 { band } else { best }
        })
    };
    let both = |past: [Option<f64>; 2]| Some(past[0]? + past[1]?);
    Overlap {
        nose_m: extreme(1.0).and_then(|b| both(b.past_nose_m)),
        tail_m: extreme(-1.0).and_then(|b| both(b.past_tail_m)),
    }
}
