//! Stations and what they collect.
//!
//! Contact pressure at a station is the radial push per area, p = K δ^p dψ/ds (Pa). Wipes come at N ω/2π per second while touched. Rubbing
//! work per area is ∫ μ p |v_tip| dt (J/m²). A station stands for its middle; stations are laid out piece by piece, the end of what is washed is
//! found between them, and the station under the highest pressure of a zone carries that pressure, so that nothing depends on where stations happen to lie.

use super::CoverageSettings;
use super::dwell::{Dwell, Spot, dwell};
use super::find::crossing;
use super::hidden::{Wedge, wedges};
use super::layout::{BandLayout, lay_out, mirrored};
use super::looks::{Looker, Sights};
use super::path::{Course, Path};
use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::{UnitDynamics, VehiclePlan, contact_law};
use crate::pass::{PassSetup, Record};
use crate::vehicle::Zone;
use rayon::prelude::*;

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

fn washed_ratio(wipes: f64, work: f64, settings: &CoverageSettings) -> f64 {
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
    /// How far the left and the right brush touch past the centre of the nose, measured along the perimeter, m; negative = short of it.
    /// `None` when that brush does not touch this band there at all.
    pub past_nose_m: [Option<f64>; 2],
    /// The same for the tail.
    pub past_tail_m: [Option<f64>; 2],
    /// Where washed turns into unwashed or back between the middles of a station and the next: how far after the border between the two
    /// (negative = before it), m. `None` where both are alike.
    pub edges_m: Vec<Option<f64>>,
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

    /// Where the washed part ends, or begins, between station `index` (which may run on past the last) and the next; their border where both
    /// are alike.
    pub fn edge_after_m(&self, index: usize) -> f64 {
        self.border_m(index + 1) + self.edges_m[index % self.stations.len()].unwrap_or(0.0)
    }

    /// Washed length of station `index`, m.
    pub fn washed_m(&self, index: usize, settings: &CoverageSettings) -> f64 {
        let n = self.stations.len();
        let station = &self.stations[index];
        let before = self.edges_m[(index + n - 1) % n].map_or(0.0, |edge| edge.max(0.0));
        let after = self.edges_m[index].map_or(0.0, |edge| -edge.min(0.0));
        // The edges lie no farther in than its middle; beyond them it is as the next station.
        let other = before + after;
        if station.washed_ratio(settings) >= 1.0 { station.length_m - other } else { other }
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

/// One unit on its way past the measured vehicle.
struct Walker<'a> {
    side: Side,
    law: ContactLaw,
    wipes_per_s: f64,
    plan: VehiclePlan<'a>,
    path: Path,
    /// Layouts in the unit's own vehicle, one for each band of the coverage.
    layouts: &'a [BandLayout],
}

/// Room for what is found of one spot.
#[derive(Default)]
struct Room {
    hidden_by: Vec<Wedge>,
    cuts: Vec<f64>,
}

impl Walker<'_> {
    /// What a spot gets: index of the coverage's band, piece and local arclength in the unit's own vehicle.
    fn dwell_at(&self, band: usize, piece: usize, s_m: f64, room: &mut Room) -> Dwell {
        let index = self.layouts[band].band;
        let Some(part) = self.plan.bands.iter().find(|part| part.index == index) else { return Dwell::NONE };
        let outlines = &part.band.outlines;
        let shape = &outlines[0].chain.pieces()[piece];
        let (p, n) = (shape.point_at(s_m), shape.normal_at(s_m));
        room.hidden_by.clear();
        // Nothing stands before a spot of a convex outline on its own.
        if outlines.len() > 1 || !outlines[0].chain.is_convex() {
            wedges(outlines, (0, piece), (p, n), self.law.radius_m, &mut room.hidden_by);
        }
        let p = p - self.plan.pose.vehicle_from_unit_dir(part.shift_m);
        dwell(&self.path, &self.law, &Spot { p, n, hidden_by: &room.hidden_by }, &mut room.cuts)
    }

    fn cell(&self, dwell: &Dwell) -> Cell {
        let some = |t: f64| (!t.is_nan()).then_some(t);
        Cell {
            contact_s: dwell.contact_s,
            wipes: dwell.contact_s * self.wipes_per_s,
            work_j_m2: dwell.work_j_m2,
            pressure_time_pa_s: dwell.pressure_time_pa_s,
            peak_pa: dwell.peak_pa,
            first_s: some(dwell.first_s),
            last_s: some(dwell.last_s),
            peak_s: some(dwell.peak_s),
        }
    }

    /// Every station of every band, in the unit's own order.
    fn cells(&self) -> Vec<Vec<Cell>> {
        let mut room = Room::default();
        let bands = self.layouts.iter().enumerate();
        bands
            .map(|(band, layout)| {
                let places = layout.places.iter();
                let middles = places.map(|place| (place.piece, 0.5 * (place.from_m + place.to_m)));
                middles.map(|(piece, s)| self.cell(&self.dwell_at(band, piece, s, &mut room))).collect()
            })
            .collect()
    }
}

/// Walks the record of every unit past the measured vehicle.
pub(super) fn accumulate(
    setup: &PassSetup,
    record: &Record,
    settings: &CoverageSettings,
) -> (Coverage, Vec<Sights>) {
    let shape = &setup.train[setup.measured].shape;
    let low = setup.units.iter().map(|u| u.brush.z_low_m).fold(f64::INFINITY, f64::min);
    let high = setup.units.iter().map(|u| u.brush.z_high_m).fold(f64::NEG_INFINITY, f64::max);
    let real = lay_out(&shape.real, (low, high), settings);
    let mut seen_mirrored = Vec::new();
    if setup.units.iter().any(|unit| unit.side == Side::Right) {
        // Laid out on its own, so that the right unit computes to the bit what a left one computes on the mirror image.
        seen_mirrored = lay_out(&shape.mirrored, (low, high), settings);
        for (own, other) in seen_mirrored.iter_mut().zip(&real) {
            if own.places.len() != other.places.len() {
                *own = mirrored(other, &shape.mirrored.bands[own.band].outlines[0].chain);
            }
        }
    }
    let mut coverage = Coverage {
        bands: real.iter().map(|layout| band_coverage(setup, layout, (low, high), settings)).collect(),
    };
    let walks: Vec<(Walker<'_>, Sights, Vec<Vec<Cell>>)> = (0..setup.units.len())
        .into_par_iter()
        .map(|unit| {
            let layouts = if setup.units[unit].side == Side::Left { &real } else { &seen_mirrored };
            walk(setup, record, unit, settings, layouts, &coverage)
        })
        .collect();
    for (walker, sights, cells) in &walks {
        let side = walker.side;
        for (band, cells) in coverage.bands.iter_mut().zip(cells) {
            for (i, cell) in cells.iter().enumerate() {
                band.stations[own_index(side, i, cells.len())].cells[side.index()] = *cell;
            }
        }
        for peak in &sights.pressure_peaks {
            let stations = &mut coverage.bands[peak.band].stations;
            let index = own_index(side, peak.station, stations.len());
            let cell = &mut stations[index].cells[side.index()];
            if peak.peak_pa > cell.peak_pa {
                (cell.peak_pa, cell.peak_s) = (peak.peak_pa, Some(peak.peak_s));
            }
        }
        for (band, [nose, tail]) in &sights.reach_m {
            coverage.bands[*band].past_nose_m[side.index()] = *nose;
            coverage.bands[*band].past_tail_m[side.index()] = *tail;
        }
    }
    let walkers: Vec<&Walker<'_>> = walks.iter().map(|(walker, ..)| walker).collect();
    for (index, layout) in real.iter().enumerate() {
        let edges_m = edges(&coverage.bands[index], index, layout, &walkers, settings);
        coverage.bands[index].edges_m = edges_m;
    }
    (coverage, walks.into_iter().map(|(_, sights, _)| sights).collect())
}

/// The right unit sees the vehicle mirrored: its stations run the other way.
fn own_index(side: Side, index: usize, count: usize) -> usize {
    match side {
        Side::Left => index,
        Side::Right => count - 1 - index,
    }
}

/// A band with its stations, nothing collected yet.
fn band_coverage(
    setup: &PassSetup,
    layout: &BandLayout,
    (low, high): (f64, f64),
    settings: &CoverageSettings,
) -> BandCoverage {
    let band = &setup.train[setup.measured].shape.real.bands[layout.band];
    let outline = &band.outlines[0];
    let stations = layout.places.iter().map(|place| {
        let middle_m = 0.5 * (place.from_m + place.to_m);
        let tag = &outline.tags[place.piece];
        Station {
            s_m: outline.chain.piece_start_m(place.piece) + middle_m,
            point_m: outline.chain.pieces()[place.piece].point_at(middle_m),
            length_m: place.to_m - place.from_m,
            zone: tag.zone,
            feature: tag.feature,
            judged: place.judged,
            cells: [Cell::default(); 2],
        }
    });
    BandCoverage {
        band: layout.band,
        z_low_m: band.z_low_m.max(low),
        z_high_m: band.z_high_m.min(high),
        perimeter_m: outline.chain.length_m(),
        station_m: settings.station_m,
        stations: stations.collect(),
        past_nose_m: [None; 2],
        past_tail_m: [None; 2],
        edges_m: Vec::new(),
    }
}

fn walk<'a>(
    setup: &'a PassSetup,
    record: &Record,
    unit: usize,
    settings: &CoverageSettings,
    layouts: &'a [BandLayout],
    coverage: &Coverage,
) -> (Walker<'a>, Sights, Vec<Vec<Cell>>) {
    let model = &setup.units[unit];
    let law = contact_law(&model.brush);
    let plan = setup.plan(setup.measured, model);
    let dynamics = UnitDynamics { model, law, vehicles: Vec::new() };
    let course = Course { dynamics: &dynamics, plan: &plan, run: &record.units[unit] };
    let path = Path::new(&course, settings.look_m);
    let own = |part: usize| layouts.iter().enumerate().find(|(_, layout)| layout.band == part);
    let looker = Looker::new(course, plan.bands.iter().map(|part| own(part.index)).collect());
    let sights = Sights::new(&looker, &path, &coverage.bands);
    let wipes_per_s = model.brush.wipe_rate_per_s();
    let walker = Walker { side: model.side, law, wipes_per_s, plan: plan.clone(), path, layouts };
    let cells = walker.cells();
    (walker, sights, cells)
}

/// How sharply the edge of what is washed is found, m.
const EDGE_M: f64 = 2e-5;

/// The edges of what is washed, between the middles of neighbouring stations of a band.
fn edges(
    band: &BandCoverage,
    index: usize,
    layout: &BandLayout,
    walkers: &[&Walker<'_>],
    settings: &CoverageSettings,
) -> Vec<Option<f64>> {
    let n = band.stations.len();
    let mut room = Room::default();
    let mut excess = |piece: usize, s_m: f64| {
        let (mut wipes, mut work) = (0.0, 0.0);
        for walker in walkers {
            let part = &walker.plan.vehicle.bands[layout.band].outlines[0].chain;
            let (own_piece, own_s_m) = match walker.side {
                Side::Left => (piece, s_m),
                Side::Right => {
                    let own = part.pieces().len() - 1 - piece;
                    (own, (part.pieces()[own].length_m() - s_m).max(0.0))
                }
            };
            let cell = walker.cell(&walker.dwell_at(index, own_piece, own_s_m, &mut room));
            wipes += cell.wipes;
            work += cell.work_j_m2;
        }
        washed_ratio(wipes, work, settings) - 1.0
    };
    let washed = |i: usize| band.stations[i].washed_ratio(settings) >= 1.0;
    let mut edges_m = vec![None; n];
    for (i, edge) in edges_m.iter_mut().enumerate() {
        let j = (i + 1) % n;
        let (a, b) = (&layout.places[i], &layout.places[j]);
        let joined = a.judged && b.judged;
        if washed(i) == washed(j) || !joined {
            continue;
        }
        let middle = |k: usize| band.stations[k].washed_ratio(settings) - 1.0;
        let at_end = excess(a.piece, a.to_m);
        if (at_end >= 0.0) != washed(i) {
            let from_m = 0.5 * (a.from_m + a.to_m);
            let ends = ((from_m, middle(i)), (a.to_m, at_end));
            *edge = Some(crossing(|s| excess(a.piece, s), ends.0, ends.1, EDGE_M) - a.to_m);
            continue;
        }
        // On one piece the border has one ratio; at a corner it may jump.
        let at_start = if a.piece == b.piece { at_end } else { excess(b.piece, b.from_m) };
        if (at_start >= 0.0) == washed(j) {
            *edge = Some(0.0);
            continue;
        }
        let ends = ((b.from_m, at_start), (0.5 * (b.from_m + b.to_m), middle(j)));
        *edge = Some(crossing(|s| excess(b.piece, s), ends.0, ends.1, EDGE_M) - b.from_m);
    }
    edges_m
}
