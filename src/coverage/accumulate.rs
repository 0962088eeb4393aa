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
use super::stations::{BandCoverage, Cell, Coverage, Station, washed_ratio};
use crate::arm::Side;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::{UnitDynamics, VehiclePlan, contact_law};
use crate::pass::{PassSetup, Record};
use rayon::prelude::*;

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
