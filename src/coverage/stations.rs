//! The unrolled map: stations along the perimeter of every band, and what each has got.

use super::CoverageSettings;
use crate::arm::Side;
use crate::geometry::Vec2;
use crate::vehicle::Zone;

/// What one brush did to one station.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cell {
    /// Time in contact, s.
    pub contact_s: f64,
    /// Strip passes.
    pub wipes: f64,
    /// Rubbing work per area, J/m².
    pub work_j_m2: f64,
    /// ∫ pressure dt, Pa s; over the contact time it is the mean pressure.
    pub pressure_time_pa_s: f64,
    /// Highest pressure, Pa.
    pub peak_pa: f64,
    /// First touch, s.
    pub first_s: Option<f64>,
    /// Last touch, s.
    pub last_s: Option<f64>,
    /// When the pressure was highest, s.
    pub peak_s: Option<f64>,
}

impl Cell {
    /// Share of the time between first and last touch that is over at `t_s`, 0…1; 0 when never touched.
    pub fn share_by(&self, t_s: f64) -> f64 {
        match (self.first_s, self.last_s) {
            (Some(first), Some(_)) if t_s <= first => 0.0,
            (Some(first), Some(last)) if t_s < last => (t_s - first) / (last - first),
            (Some(_), Some(_)) => 1.0,
            _ => 0.0,
        }
    }
}

/// A short run of the perimeter of one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Arclength of its middle from the nose centre, counterclockwise, m.
    pub s_m: f64,
    /// Its middle in the vehicle frame, m.
    pub point_m: Vec2,
    /// Its own length, m.
    pub length_m: f64,
    /// Zone.
    pub zone: Zone,
    /// Feature it belongs to, as index into the vehicle's features.
    pub feature: Option<usize>,
    /// Whether it is judged: near enough to the widest outline.
    pub judged: bool,
    /// Left and right brush, indexed by [`Side::index`].
    pub cells: [Cell; 2],
}

impl Station {
    /// Strip passes of both brushes.
    pub fn wipes(&self) -> f64 {
        self.cells[0].wipes + self.cells[1].wipes
    }

    /// Rubbing work of both brushes, J/m².
    pub fn work_j_m2(&self) -> f64 {
        self.cells[0].work_j_m2 + self.cells[1].work_j_m2
    }

    /// Contact time of both brushes, s.
    pub fn contact_s(&self) -> f64 {
        self.cells[0].contact_s + self.cells[1].contact_s
    }

    /// Mean pressure while touched, Pa; `None` when never touched.
    pub fn mean_pressure_pa(&self) -> Option<f64> {
        let t = self.contact_s();
        (t > 0.0).then(|| (self.cells[0].pressure_time_pa_s + self.cells[1].pressure_time_pa_s) / t)
    }

    /// Highest pressure, Pa.
    pub fn peak_pa(&self) -> f64 {
        self.cells[0].peak_pa.max(self.cells[1].peak_pa)
    }

    /// How far the station is washed: 1 = just enough. The lesser of wipes and (if asked) work.
    pub fn washed_ratio(&self, settings: &CoverageSettings) -> f64 {
        washed_ratio(self.wipes(), self.work_j_m2(), settings)
    }

    /// How far the station is washed at time `t_s`: 1 = just enough. A brush's share counts as given evenly between its first and its last
    /// touch, which is exact while it stays on.
    pub fn washed_ratio_at(&self, t_s: f64, settings: &CoverageSettings) -> f64 {
        let done = |amount: fn(&Cell) -> f64| -> f64 {
            self.cells.iter().map(|cell| amount(cell) * cell.share_by(t_s)).sum()
        };
        washed_ratio(done(|c| c.wipes), done(|c| c.work_j_m2), settings)
    }

    /// Last touch by either brush, s; `None` when never touched.
    pub fn last_s(&self) -> Option<f64> {
        self.cells.iter().filter_map(|cell| cell.last_s).reduce(f64::max)
    }

    /// The same for one brush alone.
    pub fn washed_ratio_by(&self, side: Side, settings: &CoverageSettings) -> f64 {
        let cell = &self.cells[side.index()];
        washed_ratio(cell.wipes, cell.work_j_m2, settings)
    }
}

pub(super) fn washed_ratio(wipes: f64, work: f64, settings: &CoverageSettings) -> f64 {
    let by_wipes = if settings.washed_wipes > 0.0 { wipes / settings.washed_wipes } else { f64::INFINITY };
    settings.washed_work_j_m2.map_or(by_wipes, |w| if w > 0.0 { by_wipes.min(work / w) } else { by_wipes })
}

/// One height band of the measured vehicle, unrolled.
#[derive(Debug, Clone, PartialEq)]
pub struct BandCoverage {
    /// Index of the band in the vehicle.
    pub band: usize,
    /// Lowest height the media covers, m.
    pub z_low_m: f64,
    /// Highest height the media covers, m.
    pub z_high_m: f64,
    /// Length of the perimeter, m.
    pub perimeter_m: f64,
    /// Greatest length of a station, m.
    pub station_m: f64,
    /// Stations from the nose centre, counterclockwise.
    pub stations: Vec<Station>,
    /// The judged runs of the perimeter that are washed: start and end from the nose centre, m, in order. One that goes on over the nose
    /// centre is two.
    pub washed_runs_m: Vec<[f64; 2]>,
}

impl BandCoverage {
    /// Arclength at which station `index` begins, m. Indices may run on past the last station: a turn later.
    pub fn border_m(&self, index: usize) -> f64 {
        let n = self.stations.len();
        let station = &self.stations[index % n];
        // The first begins at the nose centre, to the bit.
        let start = if index.is_multiple_of(n) { 0.0 } else { station.s_m - 0.5 * station.length_m };
        start + (index / n) as f64 * self.perimeter_m
    }

    /// Index of the station that holds an arclength, which wraps.
    pub fn station_at(&self, s_m: f64) -> usize {
        let s_m = s_m.rem_euclid(self.perimeter_m);
        self.stations.partition_point(|station| station.s_m - 0.5 * station.length_m <= s_m).saturating_sub(1)
    }

    /// Washed length of station `index`, m.
    pub fn washed_m(&self, index: usize) -> f64 {
        let from_m = self.border_m(index);
        let to_m = from_m + self.stations[index].length_m;
        self.washed_runs_m.iter().map(|run| (run[1].min(to_m) - run[0].max(from_m)).max(0.0)).sum()
    }

    /// Height washed by the media, m.
    pub fn height_m(&self) -> f64 {
        self.z_high_m - self.z_low_m
    }
}

/// The unrolled map: perimeter × height.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Bands that the media reaches, lowest first.
    pub bands: Vec<BandCoverage>,
}
