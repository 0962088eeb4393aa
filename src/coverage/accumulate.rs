//! Stations and what they collect.
//!
//! Contact pressure at a station is the radial push per area, p = K δ^p dψ/ds (Pa). Wipes come at N ω/2π per second while touched. Rubbing
//! work per area is ∫ μ p |v_tip| dt (J/m²). A station stands for its middle; stations are laid out piece by piece, and the station under the highest
//! pressure of a zone carries that pressure. Sums over a zone sample between the middles wherever those tell too little, so that nothing depends on where
//! stations happen to lie.

use super::CoverageSettings;
use super::between::Between;
use super::layout::{BandLayout, lay_out, mirrored};
use super::path::{Course, Path};
use super::samples::{Sampled, Sampler};
use super::stations::{BandCoverage, Cell, Coverage, Station};
use super::walker::{Walker, ZoneSum};
use crate::arm::Side;
use crate::pass::contact::ContactLaw;
use crate::pass::motion::UnitDynamics;
use crate::pass::{PassSetup, Record};
use crate::vehicle::Zone;
use rayon::prelude::*;

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
    pub sampled: Vec<Sampled>,
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
    for Walk { walker, sampled, cells, sums: of_unit } in &walks {
        let side = walker.side;
        for (band, cells) in coverage.bands.iter_mut().zip(cells) {
            for (i, cell) in cells.iter().enumerate() {
                band.stations[own_index(side, i, cells.len())].cells[side.index()] = *cell;
            }
        }
        for peak in &sampled.pressure_peaks {
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
    let (walkers, sampled): (Vec<_>, Vec<_>) =
        walks.into_iter().map(|walk| (walk.walker, walk.sampled)).unzip();
    let between = Between::new(walkers, real, settings, &coverage.bands);
    for (index, band) in coverage.bands.iter_mut().enumerate() {
        band.washed_runs_m = between.washed_runs_m(index);
    }
    Survey { coverage, sums, sampled, between }
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
    sampled: Sampled,
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
    let law = ContactLaw::of(&model.brush);
    let plan = setup.plan(setup.measured, model);
    let dynamics = UnitDynamics { model, law, vehicles: Vec::new() };
    let course = Course { dynamics: &dynamics, plan: &plan, run: &record.units[unit] };
    let path = Path::new(&course, settings.look_m);
    let own = |part: usize| layouts.iter().enumerate().find(|(_, layout)| layout.band == part);
    let sampler = Sampler::new(course, plan.bands.iter().map(|part| own(part.index)).collect());
    let sampled = Sampled::new(&sampler, &path);
    let wipes_per_s = model.brush.wipe_rate_per_s();
    let walker = Walker { side: model.side, law, wipes_per_s, plan: plan.clone(), path, layouts };
    let cells = walker.cells();
    let sums = walker.sums(&cells, heights_m);
    Walk { walker, sampled, cells, sums }
}

#[cfg(test)]
mod tests {
    use super::super::walker::Scratch;
    use super::*;
    use crate::pass::run;
    use crate::scenario::Scenario;

    /// What a zone gets in all is what its judged perimeter gets, spot by spot, two millimetres each, times the height of the band.
    #[test]
    fn verif_sums_of_a_zone_are_those_of_its_spots() {
        let text = include_str!("../../scenarios/one-unit.ron");
        let setup = Scenario::read_alone(text, "one-unit.ron").expect("good").setup();
        let record = run(&setup).expect("runs");
        let settings = CoverageSettings::default();
        let layouts = Layouts::new(&setup, &settings);
        let bands = survey(&setup, &record, &settings, &layouts).coverage.bands;
        let heights_m: Vec<f64> = bands.iter().map(BandCoverage::height_m).collect();
        let Walk { walker, sums: got, .. } = walk(&setup, &record, 0, &settings, &layouts.real, &heights_m);
        let vehicle = &setup.train[setup.measured].shape.real;
        let mut scratch = Scratch::default();
        let mut sums = [[0.0; 4]; 4];
        for (index, (layout, height_m)) in layouts.real.iter().zip(&heights_m).enumerate() {
            for place in layout.places.iter().filter(|place| place.judged) {
                let zone = vehicle.bands[layout.band].outlines[0].tags[place.piece].zone;
                let count = ((place.to_m - place.from_m) / 2e-3).ceil();
                let each_m = (place.to_m - place.from_m) / count;
                for k in 0..count as usize {
                    let s_m = place.from_m + each_m * (k as f64 + 0.5);
                    let cell = walker.cell_at(index, place.piece, s_m, &mut scratch);
                    let amounts = [cell.contact_s, cell.pressure_time_pa_s, cell.work_j_m2, cell.wipes];
                    for (sum, amount) in sums[zone.index()].iter_mut().zip(amounts) {
                        *sum += each_m * height_m * amount;
                    }
                }
            }
        }
        for zone in [Zone::Nose, Zone::LeftSide, Zone::Tail] {
            let got = &got[zone.index()];
            let got = [got.time_m2_s, got.pressure_time_n_s, got.work_j, got.wipes_m2];
            for (k, (got, want)) in got.into_iter().zip(sums[zone.index()]).enumerate() {
                assert!(
                    want > 0.0 && (got / want - 1.0).abs() < 2e-3,
                    "{zone:?} {k}: {got}, spot by spot {want}"
                );
            }
        }
    }
}
