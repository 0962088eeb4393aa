//! Vehicles: the demo fleet against published sizes, outlines against closed forms, symmetry to the bit, errors that say what to do.

#[path = "../common/residual.rs"]
#[macro_use]
mod residual;
#[path = "../common/cases.rs"]
mod cases;
mod errors;
mod fleet_sizes;
mod laws;
mod limits;
mod outlines;
mod symmetry;

use brusharm::vehicle::{
    Band, BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, Vehicle, VehicleSpec,
};

pub(crate) fn plain_body(z_low_m: f64, z_high_m: f64, width_m: f64) -> BodySpec {
    BodySpec {
        z_low_m,
        z_high_m,
        nose_setback_m: 0.0,
        tail_setback_m: 0.0,
        width_m,
        nose_sweep_m: 0.0,
        nose_corner_radius_m: 0.3,
        tail_sweep_m: 0.0,
        tail_corner_radius_m: 0.2,
        side_barrel_m: 0.0,
    }
}

/// One body, 4.8 × 1.8 m, 0.2 to 1.4 m high, straight faces.
pub(crate) fn plain() -> VehicleSpec {
    VehicleSpec {
        name: "box".to_owned(),
        class: "test".to_owned(),
        note: "invented".to_owned(),
        length_m: 4.8,
        width_m: 1.8,
        height_m: 1.4,
        body: vec![plain_body(0.2, 1.4, 1.8)],
        features: Vec::new(),
    }
}

pub(crate) fn side(
    kind: FeatureKind,
    side: FeatureSide,
    z: (f64, f64),
    behind_nose_m: f64,
    length_m: f64,
    reach_m: f64,
) -> FeatureSpec {
    let corner_radius_m = if reach_m == 0.0 { 0.0 } else { 0.02 };
    let place = FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m };
    FeatureSpec {
        name: kind.name().to_owned(),
        kind,
        side,
        z_low_m: z.0,
        z_high_m: z.1,
        limit_force_n: None,
        place,
    }
}

pub(crate) fn at_end(nose: bool, z: (f64, f64), y_m: f64, width_m: f64, reach_m: f64) -> FeatureSpec {
    let corner_radius_m = if reach_m == 0.0 { 0.0 } else { 0.004 };
    let place = if nose {
        FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m }
    } else {
        FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m }
    };
    FeatureSpec {
        name: "plate".to_owned(),
        kind: FeatureKind::Plate,
        side: FeatureSide::Centre,
        z_low_m: z.0,
        z_high_m: z.1,
        limit_force_n: Some(200.0),
        place,
    }
}

pub(crate) fn with(features: Vec<FeatureSpec>) -> VehicleSpec {
    VehicleSpec { features, ..plain() }
}

pub(crate) fn build(spec: &VehicleSpec) -> Vehicle {
    spec.build().unwrap_or_else(|error| panic!("{}: {error}", spec.name))
}

pub(crate) fn band_at(vehicle: &Vehicle, z_m: f64) -> &Band {
    &vehicle.bands[vehicle.band_at(z_m).expect("a band")]
}
