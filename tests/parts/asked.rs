//! Small laws asked directly, each with numbers worked by hand.

use brusharm::arm::{ArmBody, ArmPart, Chamber, Counterweight, Regulator, Side, SpinSense, Strut};
use brusharm::arm::{ChamberLine, ValveConnection, lens_force_n};
use brusharm::coverage::{BandCoverage, Cell, CoverageSettings, Station};
use brusharm::geometry::Vec2;
use brusharm::pass::{JamCause, TrainVehicle};
use brusharm::vehicle::{Vehicle, Zone};

/// Spin is positive counterclockwise seen from above; the sense that drives the brush inboard at the nose is the other way.
#[test]
fn verif_spin_has_the_sign_of_its_sense() {
    let mut unit = crate::common::bare_unit(100.0);
    unit.brush.spin_rad_s = 9.4;
    unit.brush.spin_sense = SpinSense::OutboardAtNose;
    assert_eq!(unit.spin_rad_s(), 9.4);
    unit.brush.spin_sense = SpinSense::InboardAtNose;
    assert_eq!(unit.spin_rad_s(), -9.4);
}

/// A rod of 12 kg from 0.5 m behind the pivot to 1.5 m before it: 12 (2²/12 + 0.5²) = 7 kg m². No part at all weighs nothing, anywhere.
#[test]
fn verif_a_rod_across_the_pivot_and_no_rod() {
    let rod = ArmPart::Rod { mass_kg: 12.0, from_m: -0.5, to_m: 1.5 };
    assert!((rod.inertia_kg_m2() - 7.0).abs() < 1e-12);
    let nothing = ArmBody::from_parts(2.0, &[]);
    assert_eq!(nothing, ArmBody { length_m: 2.0, mass_kg: 0.0, cg_radius_m: 0.0, inertia_kg_m2: 0.0 });
}

/// A weight that rises 2 m per metre of line has twice the energy of its line: 10 kg · 9.80665 m/s² · 2 · 0.3 m.
#[test]
fn verif_a_geared_counterweight_stores_by_its_own_rise() {
    let strut = Strut { frame_anchor_m: Vec2::new(0.1, -0.7), arm_along_m: 0.4, arm_across_m: 0.0 };
    let weight = Counterweight { mass_kg: 10.0, travel_ratio: 2.0, strut };
    assert!((weight.energy_j(0.3) - 58.8399).abs() < 1e-10);
}

/// Brushes with their spindles in one place, or passed through each other, have no chord.
#[test]
fn verif_no_chord_no_force() {
    for distance in [0.0, -0.1, 1.1, 1.2] {
        assert_eq!(lens_force_n([0.6, 0.5], [500.0, 700.0], [1.0, 1.0], 1.0, distance), 0.0);
    }
    assert!(lens_force_n([0.6, 0.5], [500.0, 700.0], [1.0, 1.0], 1.0, 1.0) > 1.0);
}

/// A chamber follows its source at c p₀/(c + V̇): above it while it shrinks, and not at all when it shrinks as fast as it can let out.
#[test]
fn verif_a_chamber_that_shrinks_as_fast_as_it_exhausts_follows_nothing() {
    let line = ChamberLine {
        regulator: Regulator { set_gauge_pa: 4e4, relieving: true },
        supply_c_m3_s_pa: 6e-9,
        supply_b: 0.28,
        exhaust_c_m3_s_pa: 5e-9,
        exhaust_b: 0.25,
        initial: ValveConnection::Exhaust,
    };
    let chamber = Chamber { area_m2: 2e-3, dead_volume_m3: 2e-4, line };
    let at = |rate_m3_s: f64| {
        chamber.quasi_steady(ValveConnection::Exhaust, 5e-4, rate_m3_s, 1.2, 293.15, 101_325.0)
    };
    let shrinking = at(-1e-4).expect("it follows").pressure_pa;
    // c from one rate, p at another.
    let conductance = 1e-4 * shrinking / (shrinking - 101_325.0);
    let growing = at(1e-4).expect("it follows").pressure_pa;
    assert!((growing - 101_325.0 * conductance / (conductance + 1e-4)).abs() < 1e-3, "{growing}");
    assert!(at(-1.001 * conductance).is_none() && at(-0.999 * conductance).is_some());
}

/// Every cause of a jam tells where to look.
#[test]
fn verif_a_jam_tells_where_to_look() {
    for (cause, word) in [
        (JamCause::OutboardStop, "outboard stop"),
        (JamCause::TooSlow, "conveyor"),
        (JamCause::Geometry, "pivot"),
        (JamCause::Rubbing, "friction of the media"),
        (JamCause::PivotFriction, "bearings"),
        (JamCause::Other("gas spring"), "the gas spring holds"),
    ] {
        assert!(cause.to_string().contains(word), "{cause}");
    }
}

/// The next vehicle is the one after the measured one; past the end of the train it is like the measured one, length and gap behind it.
#[test]
fn verif_the_next_vehicle() {
    let mut setup = crate::common::machine::setup(&crate::common::machine::plain_spec(1), 80.0);
    let like = setup.train[0].clone();
    let at = |offset_m: f64| TrainVehicle { lateral_offset_m: offset_m, ..like.clone() };
    setup.train = vec![at(0.01), at(0.02), at(0.03)];
    setup.measured = 1;
    assert_eq!(setup.next_vehicle().lateral_offset_m, 0.03);
    setup.measured = 2;
    assert_eq!(setup.next_vehicle().lateral_offset_m, 0.03);
    let spacing_s = (4.8 + 1.5) / setup.conveyor_speed_m_s;
    for (index, turns) in [(0, -2.0), (1, -1.0), (2, 0.0), (3, 1.0)] {
        assert!((setup.nose_at_zero_s(index) - turns * spacing_s).abs() < 1e-12, "{index}");
    }
}

/// Heights of bands by subtraction; an edge belongs to the band above, the top to none. A vehicle without outlines takes its length.
#[test]
fn verif_bands_of_a_vehicle() {
    let pair = crate::common::machine::pair(&crate::common::machine::plain_spec(2));
    let vehicle = &pair.real;
    let edge = vehicle.bands[1].z_low_m;
    assert_eq!(vehicle.bands.len(), 2);
    assert!((vehicle.bands[0].height_m() - 0.55).abs() < 1e-12 && (edge - 0.8).abs() < 1e-12);
    assert_eq!(vehicle.band_at(edge), Some(1));
    assert_eq!(vehicle.band_at(edge - 1e-9), Some(0));
    let (low, high) = (vehicle.bands[0].z_low_m, vehicle.bands[1].z_high_m);
    assert_eq!(
        (vehicle.band_at(low), vehicle.band_at(high), vehicle.band_at(low - 1e-9)),
        (Some(0), None, None)
    );
    let bounds = Vehicle { bands: Vec::new(), ..vehicle.clone() }.bounds();
    assert_eq!((bounds.min, bounds.max), (Vec2::new(-4.8, 0.0), Vec2::zeros()));
}

fn cell(wipes: f64, work_j_m2: f64, contact_s: f64, span_s: Option<(f64, f64)>) -> Cell {
    let (first_s, last_s) = (span_s.map(|s| s.0), span_s.map(|s| s.1));
    let pressure_time_pa_s = 50.0 * contact_s;
    Cell { contact_s, wipes, work_j_m2, pressure_time_pa_s, first_s, last_s, ..Cell::default() }
}

fn station(s_m: f64, length_m: f64, cells: [Cell; 2]) -> Station {
    let point_m = Vec2::new(-s_m, 0.9);
    Station { s_m, point_m, length_m, zone: Zone::LeftSide, feature: None, judged: true, cells }
}

/// A brush's share runs evenly from its first to its last touch.
#[test]
fn verif_shares_of_a_touch() {
    let touched = cell(8.0, 6.0, 4.0, Some((2.0, 6.0)));
    for (t_s, share) in [(1.0, 0.0), (2.0, 0.0), (3.0, 0.25), (5.0, 0.75), (6.0, 1.0), (7.0, 1.0)] {
        assert_eq!(touched.share_by(t_s), share, "{t_s}");
    }
    assert_eq!(cell(0.0, 0.0, 0.0, None).share_by(3.0), 0.0);
    let settings = CoverageSettings { washed_wipes: 10.0, ..CoverageSettings::default() };
    let both = station(1.0, 0.02, [touched, cell(4.0, 1.0, 2.0, Some((4.0, 5.0)))]);
    for (t_s, ratio) in [(1.0, 0.0), (3.0, 0.2), (4.5, 0.7), (9.0, 1.2)] {
        assert!((both.washed_ratio_at(t_s, &settings) - ratio).abs() < 1e-12, "{t_s}");
    }
    assert_eq!(both.last_s(), Some(6.0));
}

/// Two brushes add up; wipes and work must both reach, where work is asked for; nothing asked for is washed.
#[test]
fn verif_ratios_of_a_station() {
    let both =
        station(1.0, 0.02, [cell(8.0, 6.0, 4.0, Some((2.0, 6.0))), cell(4.0, 1.0, 2.0, Some((4.0, 5.0)))]);
    assert_eq!((both.wipes(), both.work_j_m2(), both.contact_s()), (12.0, 7.0, 6.0));
    assert_eq!(both.mean_pressure_pa(), Some(50.0));
    let ask = |wipes: f64, work: Option<f64>| CoverageSettings {
        washed_wipes: wipes,
        washed_work_j_m2: work,
        ..CoverageSettings::default()
    };
    for (wipes, work, ratio) in [
        (6.0, None, 2.0),
        (6.0, Some(14.0), 0.5),
        (6.0, Some(1.0), 2.0),
        (6.0, Some(0.0), 2.0),
        (0.0, Some(14.0), 0.5),
    ] {
        assert_eq!(both.washed_ratio(&ask(wipes, work)), ratio);
    }
    assert_eq!(both.washed_ratio_by(Side::Left, &ask(4.0, Some(12.0))), 0.5);
    assert_eq!(both.washed_ratio_by(Side::Right, &ask(4.0, None)), 1.0);
    let untouched = station(2.0, 0.02, [Cell::default(); 2]);
    assert_eq!((untouched.mean_pressure_pa(), untouched.last_s()), (None, None));
    assert_eq!(untouched.washed_ratio(&ask(0.0, None)), f64::INFINITY);
}

/// A perimeter of 1.0 m in stations of 0.2, 0.3, 0.1 and 0.4 m, the second and third washed. The washed part begins 0.05 m before the second and ends
/// 0.02 m before the end of the third: 0.05, 0.3, 0.08 and 0 m of the four are washed.
#[test]
fn verif_lengths_of_stations_by_hand() {
    let (washed, not) = (cell(20.0, 0.0, 3.0, Some((1.0, 4.0))), cell(2.0, 0.0, 1.0, Some((1.0, 2.0))));
    let none = Cell::default();
    let mut band = BandCoverage {
        band: 0,
        z_low_m: 0.3,
        z_high_m: 0.9,
        perimeter_m: 1.0,
        station_m: 0.4,
        stations: vec![
            station(0.1, 0.2, [not, none]),
            station(0.35, 0.3, [washed, none]),
            station(0.55, 0.1, [none, washed]),
            station(0.8, 0.4, [none, not]),
        ],
        washed_runs_m: vec![[0.15, 0.58]],
    };
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
    near(band.height_m(), 0.6);
    for (index, border) in [(0, 0.0), (1, 0.2), (2, 0.5), (3, 0.6), (4, 1.0), (5, 1.2), (9, 2.2)] {
        near(band.border_m(index), border);
    }
    let longer = BandCoverage { perimeter_m: 1.25, ..band.clone() };
    for (index, border) in [(0, 0.0), (3, 0.6), (4, 1.25), (9, 2.7)] {
        near(longer.border_m(index), border);
    }
    for (s_m, index) in
        [(0.0, 0), (0.19, 0), (0.21, 1), (0.49, 1), (0.55, 2), (0.61, 3), (0.99, 3), (1.3, 1), (-0.1, 3)]
    {
        assert_eq!(band.station_at(s_m), index, "{s_m}");
    }
    for (index, length) in [(0, 0.05), (1, 0.3), (2, 0.08), (3, 0.0)] {
        near(band.washed_m(index), length);
    }
    // The other way round: the washed part begins 0.04 m into the second and runs on 0.03 m into the fourth.
    band.washed_runs_m = vec![[0.24, 0.63]];
    for (index, length) in [(0, 0.0), (1, 0.26), (2, 0.1), (3, 0.03)] {
        near(band.washed_m(index), length);
    }
    // Over the nose centre, and two runs on one station.
    band.washed_runs_m = vec![[0.0, 0.06], [0.1, 0.12], [0.96, 1.0]];
    near(band.washed_m(0), 0.08);
    near(band.washed_m(3), 0.04);
}
