//! Washed share, gaps and overlaps from the unrolled map.
//!
//! The end of a gap lies where the washed ratio crosses 1 (1 = just enough), found between the stations, not at a station border.

use super::{BandCoverage, Coverage, CoverageSettings};
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
                longest_gap_m: over_area(0.0)
                    .map(|none| gaps.iter().map(|g| g.in_zone_m(zone)).fold(none, f64::max)),
            }
        })
        .collect()
}

pub(super) fn find_gaps(coverage: &Coverage, vehicle: &Vehicle, settings: &CoverageSettings) -> Vec<Gap> {
    let mut gaps = Vec::new();
    for band in &coverage.bands {
        let Some(outline) = vehicle.bands[band.band].body() else { continue };
        band_gaps(band, &zone_runs(outline), settings, &mut gaps);
    }
    // Gaps of one length to the micrometre stand by height, so that rounding does not shuffle them.
    let length_um = |gap: &Gap| (gap.length_m() * 1e6).round();
    gaps.sort_by(|a, b| {
        length_um(b).total_cmp(&length_um(a)).then(a.band.cmp(&b.band)).then(a.start_m.total_cmp(&b.start_m))
    });
    gaps
}

fn band_gaps(band: &BandCoverage, runs: &[ZoneRun], settings: &CoverageSettings, gaps: &mut Vec<Gap>) {
    let n = band.stations.len();
    let ratio = |i: usize| band.stations[i % n].washed_ratio(settings);
    let open = |i: usize| band.stations[i % n].judged && ratio(i) < 1.0;
    // Start where no gap runs, so that none is cut in two by the nose centre.
    let Some(first) = (0..n).find(|&i| !open(i)) else {
        let short: f64 = (0..n).map(|i| band.stations[i].length_m * (1.0 - ratio(i))).sum();
        let (parts_m, zone) = parts(runs, band.perimeter_m, 0.0, band.perimeter_m);
        gaps.push(Gap {
            zone,
            parts_m,
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
        // Bring the start into [0, perimeter), then let a gap across the nose centre start below zero.
        let turn = if start >= band.perimeter_m { band.perimeter_m } else { 0.0 };
        let (mut start, mut end) = (start - turn, end - turn);
        if end > band.perimeter_m {
            start -= band.perimeter_m;
            end -= band.perimeter_m;
        }
        let (parts_m, zone) = parts(runs, band.perimeter_m, start, end);
        gaps.push(Gap {
            zone,
            parts_m,
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
