//! Laws over random vehicles.

use super::cases::cases;
use super::{at_end, plain_body, side};
use brusharm::vehicle::{
    Band, BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, VehicleSpec, Zone,
};
use proptest::prelude::*;

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![6 => 0.0..2.5_f64, 2 => -1.0..6.0_f64, 1 => Just(0.0), 1 => prop::num::f64::ANY]
}

fn any_feature() -> impl Strategy<Value = FeatureSpec> {
    let sides = prop_oneof![
        Just(FeatureSide::Left),
        Just(FeatureSide::Right),
        Just(FeatureSide::Both),
        Just(FeatureSide::Centre)
    ];
    (0_usize..4, sides, prop::collection::vec(any_number(), 7)).prop_map(|(place, side, n)| FeatureSpec {
        name: "thing".to_owned(),
        kind: FeatureKind::Rack,
        side,
        z_low_m: n[0],
        z_high_m: n[1],
        limit_force_n: None,
        place: match place {
            0 => FeaturePlace::Side {
                behind_nose_m: n[2],
                length_m: n[3],
                reach_m: n[4],
                corner_radius_m: n[5],
            },
            1 => FeaturePlace::Nose { y_m: n[2], width_m: n[3], reach_m: n[4], corner_radius_m: n[5] },
            2 => FeaturePlace::Tail { y_m: n[2], width_m: n[3], reach_m: n[4], corner_radius_m: n[5] },
            _ => FeaturePlace::Standing {
                behind_nose_m: n[2],
                y_m: n[3],
                length_m: n[4],
                width_m: n[5],
                corner_radius_m: n[6],
            },
        },
    })
}

/// A believable vehicle: two bodies, mirrors, a plate.
fn sane_spec() -> impl Strategy<Value = VehicleSpec> {
    let numbers = (3.5..6.5_f64, 1.5..2.2_f64, 0.0..0.2_f64, 0.05..0.4_f64, 0.0..0.1_f64, 0.05..0.3_f64);
    (numbers, 0.0..0.05_f64, 0.2..0.9_f64, 0.05..0.3_f64, 0.06..0.3_f64, -0.3..0.3_f64).prop_map(
        |((length_m, width_m, sweep, r, tail_sweep, q), barrel, setback, reach, long, y)| {
            let tidy = |v: f64| if v < 1e-3 { 0.0 } else { v };
            let lower = BodySpec {
                z_low_m: 0.2,
                z_high_m: 0.9,
                nose_setback_m: 0.0,
                tail_setback_m: 0.0,
                width_m,
                nose_sweep_m: tidy(sweep),
                nose_corner_radius_m: r,
                tail_sweep_m: tidy(tail_sweep),
                tail_corner_radius_m: q,
                side_barrel_m: tidy(barrel),
            };
            let upper = BodySpec {
                z_low_m: 0.9,
                z_high_m: 1.5,
                nose_setback_m: setback,
                tail_setback_m: 0.5 * setback,
                width_m: width_m * 0.85,
                ..lower
            };
            let radius = 0.4 * reach.min(long);
            let mirror = FeaturePlace::Side {
                behind_nose_m: 1.8,
                length_m: long,
                reach_m: reach,
                corner_radius_m: radius,
            };
            VehicleSpec {
                name: "random".to_owned(),
                class: "test".to_owned(),
                note: String::new(),
                length_m,
                width_m,
                height_m: 1.5,
                body: vec![lower, upper],
                features: vec![
                    FeatureSpec {
                        place: mirror,
                        ..side(FeatureKind::Mirror, FeatureSide::Both, (0.8, 1.1), 0.0, 0.1, 0.1)
                    },
                    at_end(true, (0.4, 0.5), (y * 50.0).round() / 50.0, 0.3, 0.012),
                ],
            }
        },
    )
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn verif_believable_vehicles_build_and_hold_the_laws(spec in sane_spec()) {
        let vehicle = spec.build();
        prop_assert!(vehicle.is_ok(), "{}", vehicle.err().map(|e| e.to_string()).unwrap_or_default());
        let vehicle = vehicle.expect("built");
        prop_assert!(vehicle.bands.windows(2).all(|p| p[0].z_high_m == p[1].z_low_m));
        for outline in vehicle.bands.iter().filter_map(Band::body) {
            let sum: f64 = Zone::ALL.iter().map(|z| outline.zone_length_m(*z)).sum();
            prop_assert!((sum - outline.chain.length_m()).abs() < 1e-9);
            prop_assert!(outline.chain.area_m2() > 0.5 * spec.width_m * 0.85 * (spec.length_m - 1.5));
            prop_assert!(outline.chain.point_at(0.0).y.abs() < 1e-12);
        }
        let mirrors = vehicle.bands.iter().flat_map(|b| &b.outlines).filter(|o| o.tags.iter().any(|t| t.feature == Some(0)));
        prop_assert_eq!(mirrors.count(), 2);
        let mirrored = spec.mirrored().build().expect("mirror image");
        for (a, b) in vehicle.bands.iter().zip(&mirrored.bands) {
            let (p, q) = (&a.outlines[0].chain, &b.outlines[0].chain);
            prop_assert!((p.area_m2() - q.area_m2()).abs() < 1e-12);
            prop_assert!((p.length_m() - q.length_m()).abs() < 1e-12);
        }
    }

    #[test]
    fn verif_no_spec_panics(
        sizes in prop::collection::vec(any_number(), 3),
        bodies in prop::collection::vec(prop::collection::vec(any_number(), 10), 0..4),
        features in prop::collection::vec(any_feature(), 0..4),
        tame in any::<bool>(),
    ) {
        let mut spec = VehicleSpec {
            name: "random".to_owned(),
            class: String::new(),
            note: String::new(),
            length_m: sizes[0],
            width_m: sizes[1],
            height_m: sizes[2],
            body: bodies.iter().map(|n| BodySpec {
                z_low_m: n[0], z_high_m: n[1], nose_setback_m: n[2], tail_setback_m: n[3], width_m: n[4],
                nose_sweep_m: n[5], nose_corner_radius_m: n[6], tail_sweep_m: n[7], tail_corner_radius_m: n[8],
                side_barrel_m: n[9],
            }).collect(),
            features,
        };
        // Half of the cases: a good body, so that the features are reached.
        if tame {
            spec.body = vec![plain_body(0.2, 0.9, 1.8), BodySpec { nose_setback_m: 0.8, ..plain_body(0.9, 1.4, 1.5) }];
            (spec.length_m, spec.width_m, spec.height_m) = (4.8, 1.8, 1.4);
        }
        let _ = spec.mirrored().build();
        let _ = spec.scaled(sizes[2], sizes[1], sizes[0]).build();
        if let Ok(vehicle) = spec.build() {
            prop_assert!(vehicle.bands.iter().all(|b| b.outlines.iter().all(|o| o.tags.len() == o.chain.pieces().len())));
        }
    }
}
