//! What one brush gives to the spots of the perimeter: to each station, and in all to each zone.

use super::dwell::{Dwell, Spot, dwell};
use super::hidden::{Wedge, wedges};
use super::integral::integral;
use super::layout::BandLayout;
use super::path::Path;
use super::stations::Cell;
use crate::arm::Side;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::VehiclePlan;

/// One unit on its way past the measured vehicle.
pub(super) struct Walker<'a> {
    pub side: Side,
    pub law: ContactLaw,
    pub wipes_per_s: f64,
    pub plan: VehiclePlan<'a>,
    pub path: Path,
    /// Layouts in the unit's own vehicle, one for each band of the coverage.
    pub layouts: &'a [BandLayout],
}

/// Scratch for what is found of one spot.
#[derive(Default)]
pub(super) struct Scratch {
    hidden_by: Vec<Wedge>,
    cuts: Vec<f64>,
}

impl Walker<'_> {
    /// What a spot gets: index of the coverage's band, piece and local arclength in the unit's own vehicle.
    fn dwell_at(&self, band: usize, piece: usize, s_m: f64, scratch: &mut Scratch) -> Dwell {
        let index = self.layouts[band].band;
        let Some(part) = self.plan.bands.iter().find(|part| part.index == index) else { return Dwell::NONE };
        let outlines = &part.band.outlines;
        let shape = &outlines[0].chain.pieces()[piece];
        let (p, n) = (shape.point_at(s_m), shape.normal_at(s_m));
        scratch.hidden_by.clear();
        // Nothing stands before a spot of a convex outline on its own.
        if outlines.len() > 1 || !outlines[0].chain.is_convex() {
            wedges(outlines, (0, piece), (p, n), self.law.radius_m, &mut scratch.hidden_by);
        }
        let p = p - self.plan.pose.vehicle_from_unit_dir(part.shift_m);
        dwell(&self.path, &self.law, &Spot { p, n, hidden_by: &scratch.hidden_by }, &mut scratch.cuts)
    }

    /// What a spot gets, as a station holds it.
    pub fn cell_at(&self, band: usize, piece: usize, s_m: f64, scratch: &mut Scratch) -> Cell {
        let dwell = self.dwell_at(band, piece, s_m, scratch);
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
    pub fn cells(&self) -> Vec<Vec<Cell>> {
        let mut scratch = Scratch::default();
        let bands = self.layouts.iter().enumerate();
        bands
            .map(|(band, layout)| {
                let places = layout.places.iter();
                places.map(|place| self.cell_at(band, place.piece, place.middle_m(), &mut scratch)).collect()
            })
            .collect()
    }

    /// What the judged part of each zone (of the unit's own vehicle) gets, from what its stations got and looks between them. `heights_m` of
    /// the bands of the coverage.
    pub fn sums(&self, cells: &[Vec<Cell>], heights_m: &[f64]) -> [ZoneSum; 4] {
        let mut scratch = Scratch::default();
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
                let mut at = |s_m: f64| amounts(&self.cell_at(band, piece, s_m, &mut scratch));
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
    pub fn add(&mut self, other: &ZoneSum) {
        self.time_m2_s += other.time_m2_s;
        self.pressure_time_n_s += other.pressure_time_n_s;
        self.work_j += other.work_j;
        self.wipes_m2 += other.wipes_m2;
    }
}
