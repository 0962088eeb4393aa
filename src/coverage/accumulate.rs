//! Stations and what they collect.
//!
//! Contact pressure at a station is the radial push per area, p = K δ^p dψ/ds (Pa). Wipes come at N ω/2π per second while touched. Rubbing
//! work per area is ∫ μ p |v_tip| dt (J/m²). A station stands for its middle; stations are laid out piece by piece, and the station under the highest
//! pressure of a zone carries that pressure. Sums over a zone look between the middles wherever those tell too little, so that nothing depends on where
//! stations happen to lie.

use super::CoverageSettings;
use super::between::Between;
use super::dwell::{Dwell, Spot, dwell};
use super::hidden::{Wedge, wedges};
use super::integral::integral;
use super::layout::{BandLayout, lay_out, mirrored};
use super::looks::{Looker, Sights};
use super::path::{Course, Path};
use super::stations::{BandCoverage, Cell, Coverage, Station};
use crate::arm::Side;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::{UnitDynamics, VehiclePlan, contact_law};
use crate::pass::{PassSetup, Record};
use crate::vehicle::Zone;
use rayon::prelude::*;

/// One unit on its way past the measured vehicle.
pub(super) struct Walker<'a> {
    pub side: Side,
    law: ContactLaw,
    wipes_per_s: f64,
    pub plan: VehiclePlan<'a>,
    path: Path,
    /// Layouts in the unit's own vehicle, one for each band of the coverage.
    layouts: &'a [BandLayout],
}

/// Room for what is found of one spot.
#[derive(Default)]
pub(super) struct Room {
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

    /// What a spot gets, as a station holds it.
    pub fn cell_at(&self, band: usize, piece: usize, s_m: f64, room: &mut Room) -> Cell {
        let dwell = self.dwell_at(band, piece, s_m, room);
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
                places.map(|place| self.cell_at(band, place.piece, place.middle_m(), &mut room)).collect()
            })
            .collect()
    }

    /// What the judged part of each zone (of the unit's own vehicle) gets, from what its stations got and looks between them. `heights_m` of
    /// the bands of the coverage.
    fn sums(&self, cells: &[Vec<Cell>], heights_m: &[f64]) -> [ZoneSum; 4] {
        let mut room = Room::default();
        let amounts = |cell: &Cell| [cell.contact_s, cell.pressure_time_pa_s, cell.work_j_m2];
        let zone = |layout: &BandLayout, piece: usize| {
            self.plan.vehicle.bands[layout.band].outlines[0].tags[piece].zone.index()
        };
        let mut rough = [[0.0; 3]; 4];
        for ((layout, cells), height_m) in self.layouts.iter().zip(cells).zip(heights_m) {
            for (place, cell) in layout.places.iter().zip(cells).filter(|(place, _)| place.judged) {
                let area_m2 = height_m * (place.to_m - place.from_m);
                for (sum, amount) in rough[zone(layout, place.piece)].iter_mut().zip(amounts(cell)) {
                    *sum += area_m2 * amount;
                }
            }
        }
        let mut sums = [ZoneSum::default(); 4];
        for (band, (layout, height_m)) in self.layouts.iter().zip(heights_m).enumerate() {
            if !self.plan.bands.iter().any(|part| part.index == layout.band) {
                continue;
            }
            for stretch in layout.judged_stretches() {
                let places = &layout.places[stretch.clone()];
                let (Some(first), Some(last)) = (places.first(), places.last()) else { continue };
                let piece = first.piece;
                let mut at = |s_m: f64| amounts(&self.cell_at(band, piece, s_m, &mut room));
                let mut nodes = vec![(first.from_m, at(first.from_m))];
                let middles = places.iter().zip(&cells[band][stretch]);
                nodes.extend(middles.map(|(place, cell)| (place.middle_m(), amounts(cell))));
                nodes.push((last.to_m, at(last.to_m)));
                let zone = zone(layout, piece);
                let within = rough[zone].map(|sum| WITHIN * sum / height_m);
                let [time, pressure_time, work] = integral(&nodes, within, at);
                sums[zone].add(&ZoneSum {
                    time_m2_s: height_m * time,
                    pressure_time_n_s: height_m * pressure_time,
                    work_j: height_m * work,
                    wipes_m2: height_m * time * self.wipes_per_s,
                });
            }
        }
        sums
    }
}

/// What is taken as nothing between two stations, as a share of what a zone gets.
const WITHIN: f64 = 2e-5;

/// What a zone gets: integrals over its judged area.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct ZoneSum {
    pub time_m2_s: f64,
    pub pressure_time_n_s: f64,
    pub work_j: f64,
    pub wipes_m2: f64,
}

impl ZoneSum {
    fn add(&mut self, other: &ZoneSum) {
        self.time_m2_s += other.time_m2_s;
        self.pressure_time_n_s += other.pressure_time_n_s;
        self.work_j += other.work_j;
        self.wipes_m2 += other.wipes_m2;
    }
}

/// The vehicle laid out in stations: as it is, and as a right unit has it.
pub(super) struct Layouts {
    pub real: Vec<BandLayout>,
    seen_mirrored: Vec<BandLayout>,
    /// Lowest and highest height that any brush covers, m.
    heights_m: (f64, f64),
}

impl Layouts {
    pub fn new(setup: &PassSetup, settings: &CoverageSettings) -> Layouts {
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
        Layouts { real, seen_mirrored, heights_m: (low, high) }
    }
}

/// What is found of a record.
pub(super) struct Survey<'a> {
    pub coverage: Coverage,
    /// What each zone gets from all brushes.
    pub sums: [ZoneSum; 4],
    pub sights: Vec<Sights>,
    pub between: Between<'a>,
}

/// Walks the record of every unit past the measured vehicle.
pub(super) fn survey<'a>(
    setup: &'a PassSetup,
    record: &Record,
    settings: &'a CoverageSettings,
    layouts: &'a Layouts,
) -> Survey<'a> {
    let real = &layouts.real;
    let mut coverage = Coverage {
        bands: real.iter().map(|layout| band_coverage(setup, layout, layouts.heights_m, settings)).collect(),
    };
    let heights_m: Vec<f64> = coverage.bands.iter().map(BandCoverage::height_m).collect();
    let walks: Vec<Walk<'_>> = (0..setup.units.len())
        .into_par_iter()
        .map(|unit| {
            let layouts = if setup.units[unit].side == Side::Left { real } else { &layouts.seen_mirrored };
            walk(setup, record, unit, settings, layouts, &heights_m)
        })
        .collect();
    let mut sums = [ZoneSum::default(); 4];
    for Walk { walker, sights, cells, sums: of_unit } in &walks {
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
        for zone in Zone::ALL {
            let own = if side == Side::Left { zone } else { zone.mirrored() };
            sums[zone.index()].add(&of_unit[own.index()]);
        }
    }
    let (walkers, sights): (Vec<_>, Vec<_>) =
        walks.into_iter().map(|walk| (walk.walker, walk.sights)).unzip();
    let between = Between::new(walkers, real, settings, &coverage.bands);
    for (index, band) in coverage.bands.iter_mut().enumerate() {
        band.washed_runs_m = between.washed_runs_m(index);
    }
    Survey { coverage, sums, sights, between }
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
        let middle_m = place.middle_m();
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
        washed_runs_m: Vec::new(),
    }
}

/// What is found of one unit.
struct Walk<'a> {
    walker: Walker<'a>,
    sights: Sights,
    /// Of every station of every band, in the unit's own order.
    cells: Vec<Vec<Cell>>,
    /// Of the zones of the unit's own vehicle.
    sums: [ZoneSum; 4],
}

fn walk<'a>(
    setup: &'a PassSetup,
    record: &Record,
    unit: usize,
    settings: &CoverageSettings,
    layouts: &'a [BandLayout],
    heights_m: &[f64],
) -> Walk<'a> {
    let model = &setup.units[unit];
    let law = contact_law(&model.brush);
    let plan = setup.plan(setup.measured, model);
    let dynamics = UnitDynamics { model, law, vehicles: Vec::new() };
    let course = Course { dynamics: &dynamics, plan: &plan, run: &record.units[unit] };
    let path = Path::new(&course, settings.look_m);
    let own = |part: usize| layouts.iter().enumerate().find(|(_, layout)| layout.band == part);
    let looker = Looker::new(course, plan.bands.iter().map(|part| own(part.index)).collect());
    let sights = Sights::new(&looker, &path);
    let wipes_per_s = model.brush.wipe_rate_per_s();
    let walker = Walker { side: model.side, law, wipes_per_s, plan: plan.clone(), path, layouts };
    let cells = walker.cells();
    let sums = walker.sums(&cells, heights_m);
    Walk { walker, sights, cells, sums }
}
