//! The demo fleet: seven invented vehicles of a rental company whose cars come back through a return lane at a ferry harbour.
//!
//! None of them is a real vehicle. Length, width and height of each lie inside the published range of its class (data set named in
//! the `note` of each); all other measures are assumed, and so are the forces the features may take.

use super::{BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, VehicleSpec};

/// All vehicles of the demo fleet, small to large.
pub fn library() -> Vec<VehicleSpec> {
    vec![city_hatch(), sedan(), crossover(), large_suv(), pickup(), minivan(), high_roof_van()]
}

/// Height range, m.
type Heights = (f64, f64);

/// Setback, sweep and corner radius of a nose or tail, m.
type End = (f64, f64, f64);

fn body(heights: Heights, width_m: f64, barrel_m: f64, nose: End, tail: End) -> BodySpec {
    BodySpec {
        z_low_m: heights.0,
        z_high_m: heights.1,
        nose_setback_m: nose.0,
        tail_setback_m: tail.0,
        width_m,
        nose_sweep_m: nose.1,
        nose_corner_radius_m: nose.2,
        tail_sweep_m: tail.1,
        tail_corner_radius_m: tail.2,
        side_barrel_m: barrel_m,
    }
}

fn feature(
    kind: FeatureKind,
    side: FeatureSide,
    heights: Heights,
    limit_force_n: Option<f64>,
    place: FeaturePlace,
) -> FeatureSpec {
    let name = kind.name().to_owned();
    FeatureSpec { name, kind, side, z_low_m: heights.0, z_high_m: heights.1, limit_force_n, place }
}

fn mirrors(heights: Heights, behind_nose_m: f64, reach_m: f64) -> FeatureSpec {
    let place = FeaturePlace::Side { behind_nose_m, length_m: 0.14, reach_m, corner_radius_m: 0.05 };
    feature(FeatureKind::Mirror, FeatureSide::Both, heights, Some(130.0), place)
}

/// Height of a plate: 12 × 6 in (SAE J686, value from memory).
const PLATE_HEIGHT_M: f64 = 0.1524;

/// A plate with its bottom at a given height.
fn plate(name: &str, z_low_m: f64, on_nose: bool) -> FeatureSpec {
    let (y_m, width_m, reach_m, corner_radius_m) = (0.0, 0.3048, 0.010, 0.004);
    let place = if on_nose {
        FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m }
    } else {
        FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m }
    };
    let heights = (z_low_m, z_low_m + PLATE_HEIGHT_M);
    FeatureSpec {
        name: name.to_owned(),
        ..feature(FeatureKind::Plate, FeatureSide::Centre, heights, Some(220.0), place)
    }
}

fn antenna(side: FeatureSide, heights: Heights, behind_nose_m: f64, y_m: f64) -> FeatureSpec {
    let place = FeaturePlace::Standing {
        behind_nose_m,
        y_m,
        length_m: 0.008,
        width_m: 0.008,
        corner_radius_m: 0.004,
    };
    feature(FeatureKind::Antenna, side, heights, Some(25.0), place)
}

fn steps(heights: Heights, behind_nose_m: f64, length_m: f64, reach_m: f64) -> FeatureSpec {
    let place = FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m: 0.03 };
    feature(FeatureKind::Step, FeatureSide::Both, heights, None, place)
}

fn note(class: &str, count: u32, set: &str) -> String {
    format!(
        "Invented demo vehicle, no real one. Length, width and height lie inside the range of class {class} (n = {count}) in the \
         data set {set} of the R package Lock5Data 4.0.1; every other measure and every force limit is assumed."
    )
}

/// Small five-door with a short nose and an upright tail.
pub fn city_hatch() -> VehicleSpec {
    VehicleSpec {
        name: "city hatch".to_owned(),
        class: "hatchback".to_owned(),
        note: note("Hatchback", 4, "Cars2020"),
        length_m: 4.02,
        width_m: 1.74,
        height_m: 1.48,
        body: vec![
            body((0.18, 0.54), 1.72, 0.03, (0.0, 0.14, 0.35), (0.0, 0.08, 0.28)),
            body((0.54, 0.95), 1.74, 0.03, (0.07, 0.15, 0.40), (0.04, 0.08, 0.25)),
            body((0.95, 1.18), 1.60, 0.03, (0.98, 0.16, 0.30), (0.12, 0.08, 0.25)),
            body((1.18, 1.48), 1.32, 0.02, (1.38, 0.10, 0.25), (0.35, 0.06, 0.25)),
        ],
        features: vec![
            mirrors((0.95, 1.18), 1.35, 0.19),
            plate("front plate", 0.54 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.54, false),
            antenna(FeatureSide::Centre, (1.48, 1.68), 3.25, 0.0),
        ],
    }
}

/// Four-door with a long nose and a boot.
pub fn sedan() -> VehicleSpec {
    VehicleSpec {
        name: "sedan".to_owned(),
        class: "sedan".to_owned(),
        note: note("Sedan", 25, "Cars2025"),
        length_m: 4.80,
        width_m: 1.84,
        height_m: 1.45,
        body: vec![
            body((0.18, 0.54), 1.82, 0.03, (0.0, 0.14, 0.38), (0.0, 0.09, 0.32)),
            body((0.54, 0.93), 1.84, 0.03, (0.08, 0.16, 0.42), (0.05, 0.10, 0.32)),
            body((0.93, 1.14), 1.66, 0.03, (1.42, 0.16, 0.30), (0.62, 0.10, 0.30)),
            body((1.14, 1.45), 1.34, 0.02, (1.92, 0.10, 0.25), (1.15, 0.08, 0.25)),
        ],
        features: vec![
            mirrors((0.93, 1.14), 1.78, 0.19),
            plate("front plate", 0.54 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.54, false),
        ],
    }
}

/// Upright crossover with the spare wheel on its tail gate.
pub fn crossover() -> VehicleSpec {
    let wheel = FeaturePlace::Tail { y_m: 0.0, width_m: 0.64, reach_m: 0.20, corner_radius_m: 0.09 };
    VehicleSpec {
        name: "crossover".to_owned(),
        class: "crossover".to_owned(),
        note: note("SUV", 52, "Cars2025"),
        length_m: 4.58,
        width_m: 1.86,
        height_m: 1.70,
        body: vec![
            body((0.24, 0.64), 1.84, 0.03, (0.0, 0.12, 0.34), (0.0, 0.07, 0.26)),
            body((0.64, 1.06), 1.86, 0.03, (0.06, 0.14, 0.38), (0.04, 0.07, 0.24)),
            body((1.06, 1.32), 1.72, 0.03, (1.20, 0.16, 0.30), (0.08, 0.07, 0.22)),
            body((1.32, 1.70), 1.46, 0.02, (1.58, 0.10, 0.25), (0.20, 0.06, 0.22)),
        ],
        features: vec![
            mirrors((1.06, 1.32), 1.58, 0.20),
            plate("front plate", 0.64 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.64 - PLATE_HEIGHT_M, false),
            feature(FeatureKind::SpareWheel, FeatureSide::Centre, (0.64, 1.32), None, wheel),
        ],
    }
}

/// Large three-row wagon with running boards and roof rails.
pub fn large_suv() -> VehicleSpec {
    let rails = FeaturePlace::Standing {
        behind_nose_m: 2.25,
        y_m: 0.66,
        length_m: 2.30,
        width_m: 0.04,
        corner_radius_m: 0.02,
    };
    VehicleSpec {
        name: "large SUV".to_owned(),
        class: "large SUV".to_owned(),
        note: note("SUV", 52, "Cars2025"),
        length_m: 5.34,
        width_m: 2.06,
        height_m: 1.92,
        body: vec![
            body((0.28, 0.70), 2.04, 0.03, (0.0, 0.11, 0.32), (0.0, 0.06, 0.24)),
            body((0.70, 1.20), 2.06, 0.03, (0.05, 0.12, 0.36), (0.04, 0.06, 0.22)),
            body((1.20, 1.48), 1.90, 0.03, (1.48, 0.16, 0.30), (0.10, 0.06, 0.22)),
            body((1.48, 1.92), 1.62, 0.02, (1.86, 0.10, 0.25), (0.24, 0.05, 0.22)),
        ],
        features: vec![
            mirrors((1.20, 1.48), 1.88, 0.23),
            plate("front plate", 0.70 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.70, false),
            steps((0.34, 0.42), 1.45, 2.15, 0.09),
            feature(FeatureKind::Rack, FeatureSide::Both, (1.92, 2.00), None, rails),
        ],
    }
}

/// Crew cab with an open bed, a mast antenna on the right front fender, a hitch and steps.
pub fn pickup() -> VehicleSpec {
    let hitch = FeaturePlace::Tail { y_m: 0.0, width_m: 0.07, reach_m: 0.18, corner_radius_m: 0.012 };
    VehicleSpec {
        name: "pickup".to_owned(),
        class: "pickup".to_owned(),
        note: note("Pickup", 13, "Cars2025"),
        length_m: 5.80,
        width_m: 2.03,
        height_m: 1.92,
        body: vec![
            body((0.32, 0.68), 2.01, 0.02, (0.0, 0.10, 0.30), (0.0, 0.03, 0.15)),
            body((0.68, 1.22), 2.03, 0.02, (0.06, 0.10, 0.30), (0.06, 0.03, 0.10)),
            body((1.22, 1.50), 1.86, 0.02, (1.55, 0.14, 0.28), (1.92, 0.03, 0.15)),
            body((1.50, 1.92), 1.58, 0.02, (1.92, 0.10, 0.25), (2.02, 0.03, 0.15)),
        ],
        features: vec![
            mirrors((1.22, 1.50), 1.92, 0.26),
            plate("front plate", 0.68 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.68 - PLATE_HEIGHT_M, false),
            antenna(FeatureSide::Right, (1.22, 1.98), 1.20, 0.84),
            feature(FeatureKind::Hitch, FeatureSide::Centre, (0.38, 0.46), None, hitch),
            steps((0.38, 0.46), 1.70, 2.10, 0.10),
        ],
    }
}

/// Seven-seater with a steep short nose.
pub fn minivan() -> VehicleSpec {
    VehicleSpec {
        name: "minivan".to_owned(),
        class: "minivan".to_owned(),
        note: note("Minivan", 5, "Cars2025"),
        length_m: 5.18,
        width_m: 2.02,
        height_m: 1.76,
        body: vec![
            body((0.20, 0.62), 2.00, 0.03, (0.0, 0.16, 0.40), (0.0, 0.08, 0.30)),
            body((0.62, 1.04), 2.02, 0.03, (0.08, 0.18, 0.45), (0.04, 0.08, 0.28)),
            body((1.04, 1.34), 1.86, 0.03, (1.02, 0.18, 0.32), (0.08, 0.08, 0.26)),
            body((1.34, 1.76), 1.56, 0.02, (1.52, 0.12, 0.28), (0.22, 0.06, 0.25)),
        ],
        features: vec![
            mirrors((1.04, 1.34), 1.52, 0.21),
            plate("front plate", 0.62 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.62, false),
        ],
    }
}

/// High-roof passenger van. No open data set of passenger vehicles has one: its size is a stated assumption.
pub fn high_roof_van() -> VehicleSpec {
    VehicleSpec {
        name: "high-roof van".to_owned(),
        class: "van".to_owned(),
        note: "Invented demo vehicle, no real one. The data sets used for the other classes hold no full-size van, so length 5.98 m, \
               width 2.05 m and height 2.62 m are a stated assumption, as is every other measure and every force limit."
            .to_owned(),
        length_m: 5.98,
        width_m: 2.05,
        height_m: 2.62,
        body: vec![
            body((0.25, 0.68), 2.03, 0.02, (0.0, 0.14, 0.32), (0.0, 0.02, 0.12)),
            body((0.68, 1.20), 2.05, 0.02, (0.08, 0.16, 0.35), (0.02, 0.02, 0.10)),
            body((1.20, 1.70), 1.98, 0.02, (0.62, 0.18, 0.32), (0.03, 0.02, 0.10)),
            body((1.70, 2.62), 1.82, 0.02, (1.18, 0.12, 0.28), (0.05, 0.02, 0.10)),
        ],
        features: vec![
            mirrors((1.20, 1.70), 1.10, 0.26),
            plate("front plate", 0.68 - PLATE_HEIGHT_M, true),
            plate("rear plate", 0.68, false),
            antenna(FeatureSide::Left, (1.20, 1.70), 0.42, 0.72),
        ],
    }
}
