//! The right unit is the mirror image of the left: a pass and its mirror image give the same bits, sides exchanged.

use crate::common::machine::{criteria, pair, setup, solve};
use brusharm::arm::{Side, SpinSense};
use brusharm::coverage::Outcome;
use brusharm::pass::{PassSetup, Record, TrainVehicle, VehiclePair};
use brusharm::vehicle::{VehicleSpec, fleet};
use std::sync::Arc;

/// The mirror image of a set-up: units change sides, vehicles are mirrored, offsets and yaws change sign.
fn mirrored(setup: &PassSetup) -> PassSetup {
    let mut units: Vec<_> = setup.units.iter().rev().cloned().collect();
    for unit in &mut units {
        unit.side = if unit.side == Side::Left { Side::Right } else { Side::Left };
    }
    let train = setup
        .train
        .iter()
        .map(|vehicle| TrainVehicle {
            shape: Arc::new(VehiclePair {
                real: vehicle.shape.mirrored.clone(),
                mirrored: vehicle.shape.real.clone(),
            }),
            lateral_offset_m: -vehicle.lateral_offset_m,
            yaw_rad: -vehicle.yaw_rad,
        })
        .collect();
    PassSetup { units, train, ..setup.clone() }
}

/// Everything unlike on both sides: units, vehicles (a mast antenna on one side), offset, yaw.
fn lopsided(spec: &VehicleSpec, throughput_per_h: f64) -> PassSetup {
    let mut setup = setup(spec, throughput_per_h);
    setup.units[0].inboard_stop.seat_rad -= 0.04;
    setup.units[0].bearings.lower.toward_wall_m = 0.003;
    setup.units[1].brush.friction = 0.22;
    setup.units[1].brush.radius_m = 0.55;
    setup.units[1].brush.spin_sense = SpinSense::InboardAtNose;
    setup.train[0].shape = pair(&fleet::city_hatch());
    setup.train[0].lateral_offset_m = -0.06;
    setup.train[1].lateral_offset_m = 0.045;
    setup.train[1].yaw_rad = 0.011;
    setup
}

fn assert_same_motion(one: &Record, two: &Record) {
    assert_eq!(one.units.len(), two.units.len());
    for (a, b) in one.units.iter().zip(two.units.iter().rev()) {
        assert_ne!(a.side, b.side);
        assert!(a.steps.len() > 100);
        assert_eq!(a.steps, b.steps, "steps of the {} unit", a.side.name());
        assert_eq!(a.audit, b.audit);
        assert_eq!(a.settled_s.map(f64::to_bits), b.settled_s.map(f64::to_bits));
        assert_eq!(a.rest_phi_rad.to_bits(), b.rest_phi_rad.to_bits());
        assert_eq!(a.next_touch_s.to_bits(), b.next_touch_s.to_bits());
    }
}

fn assert_same_coverage(one: &Outcome, two: &Outcome) {
    let mut touched = 0;
    for (a, b) in one.coverage.bands.iter().zip(&two.coverage.bands) {
        let n = a.stations.len();
        assert_eq!(n, b.stations.len());
        for (i, station) in a.stations.iter().enumerate() {
            let image = &b.stations[n - 1 - i];
            assert_eq!(station.zone.mirrored(), image.zone);
            assert_eq!(station.judged, image.judged, "{:?}", station.point_m);
            for side in [0, 1] {
                assert_eq!(station.cells[side], image.cells[1 - side], "station {i}");
                touched += usize::from(station.cells[side].contact_s > 0.0);
            }
        }
    }
    assert!(touched > 500, "{touched}");
    for (a, b) in one.units.iter().zip(two.units.iter().rev()) {
        assert_eq!(a.events, b.events);
        assert_eq!(a.chase_delay_s, b.chase_delay_s);
        assert_eq!(a.recovery_margin_s, b.recovery_margin_s);
        assert_eq!(a.stop_peak_compression_m, b.stop_peak_compression_m);
        assert_eq!(a.spindle_peak_power_w, b.spindle_peak_power_w);
        assert_eq!(a.peak_indentation_m, b.peak_indentation_m);
    }
    // Loads: the same feature from the other brush, its force mirrored.
    assert_eq!(one.feature_loads.len(), two.feature_loads.len());
    assert!(one.feature_loads.len() > 3);
    for load in &one.feature_loads {
        let image = two
            .feature_loads
            .iter()
            .find(|x| x.side != load.side && x.peak_force_n.to_bits() == load.peak_force_n.to_bits())
            .unwrap_or_else(|| panic!("no image of {load:?}"));
        assert_eq!(image.kind, load.kind);
        assert_eq!(image.impulse_n_s, load.impulse_n_s);
        assert_eq!(image.peak_vector_n.x, load.peak_vector_n.x);
        assert_eq!(image.peak_vector_n.y, -load.peak_vector_n.y);
    }
    // Sums over stations run the other way round: equal to rounding.
    for zone in &one.zones {
        let image = two.zones.iter().find(|z| z.zone == zone.zone.mirrored()).expect("the zone");
        let close = |a: Option<f64>, b: Option<f64>| {
            let (a, b) = (a.expect("judged"), b.expect("judged"));
            assert!((a - b).abs() <= 1e-12 * a.abs() && a > 0.0, "{:?}: {a} {b}", zone.zone);
        };
        close(zone.washed_fraction, image.washed_fraction);
        close(zone.mean_pressure_pa, image.mean_pressure_pa);
        close(zone.rubbing_work_j_m2, image.rubbing_work_j_m2);
        assert_eq!(zone.peak_pressure_pa, image.peak_pressure_pa);
    }
    let close = |a: Option<f64>, b: Option<f64>| {
        let (a, b) = (a.expect("both touch"), b.expect("both touch"));
        assert!((a - b).abs() < 1e-12, "overlap {a} {b}");
    };
    close(one.overlap.nose_m, two.overlap.nose_m);
    close(one.overlap.tail_m, two.overlap.tail_m);
}

#[test]
fn verif_mirror_image_gives_the_same_bits() {
    let _ = criteria();
    for spec in [fleet::pickup(), fleet::sedan()] {
        for throughput in [70.0, 130.0] {
            let setup = lopsided(&spec, throughput);
            let ((record, outcome), (image, image_outcome)) = (solve(&setup), solve(&mirrored(&setup)));
            assert_ne!(record.units[0].steps, record.units[1].steps, "the sides differ");
            assert_same_motion(&record, &image);
            assert_same_coverage(&outcome, &image_outcome);
        }
    }
}

/// A symmetric machine (units opposite, alike) and vehicle: both sides do the same, to the bit.
#[test]
fn verif_symmetric_set_up_washes_both_sides_alike() {
    let mut setup = setup(&fleet::sedan(), 100.0);
    setup.units[1].pivot_m = setup.units[0].pivot_m;
    for vehicle in &mut setup.train {
        vehicle.lateral_offset_m = 0.0;
        vehicle.yaw_rad = 0.0;
    }
    let (record, outcome) = solve(&setup);
    assert_eq!(record.units[0].steps, record.units[1].steps);
    assert_eq!(outcome.units[0].events, outcome.units[1].events);
    let nose = outcome.overlap.nose_m.expect("both touch");
    assert!(nose.abs() > 1e-6);
}

/// Brushes that overlap are integrated together; the mirror image still gives the same bits, with unlike brushes.
#[test]
fn verif_overlapping_brushes_keep_the_mirror_law() {
    let mut setup = lopsided(&fleet::city_hatch(), 90.0);
    setup.units[1].pivot_m = setup.units[0].pivot_m;
    setup.units[1].pivot_m.x += 0.3;
    for unit in &mut setup.units {
        unit.inboard_stop.seat_rad -= 0.05;
    }
    assert!(brusharm::pass::brushes_can_meet(&setup.units));
    let ((record, _), (image, _)) = (solve(&setup), solve(&mirrored(&setup)));
    assert!(record.units[0].audit.brushes_j.abs() > 1.0, "{:?}", record.units[0].audit);
    assert_same_motion(&record, &image);
}
