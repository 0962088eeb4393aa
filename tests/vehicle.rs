//! Vehicles: the demo fleet against published sizes, outlines against closed forms, symmetry to the bit, errors that say what to do.

use approx::assert_relative_eq;
use brusharm::geometry::{Piece, Vec2};
use brusharm::vehicle::{
    Band, BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, Vehicle, VehicleError, VehicleSpec,
    Zone, fleet,
};
use proptest::prelude::*;
use std::f64::consts::PI;

const IN: f64 = 0.0254;

fn data() -> serde_json::Value {
    serde_json::from_str(include_str!("validation/data/vehicle_dims.json")).expect("vehicle_dims.json")
}

fn plain_body(z_low_m: f64, z_high_m: f64, width_m: f64) -> BodySpec {
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
fn plain() -> VehicleSpec {
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

fn side(
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

fn at_end(nose: bool, z: (f64, f64), y_m: f64, width_m: f64, reach_m: f64) -> FeatureSpec {
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

fn with(features: Vec<FeatureSpec>) -> VehicleSpec {
    VehicleSpec { features, ..plain() }
}

fn build(spec: &VehicleSpec) -> Vehicle {
    spec.build().unwrap_or_else(|error| panic!("{}: {error}", spec.name))
}

fn band_at(vehicle: &Vehicle, z_m: f64) -> &Band {
    &vehicle.bands[vehicle.band_at(z_m).expect("a band")]
}

// ---- the demo fleet against published sizes ----

/// Source: data sets Cars2020 and Cars2025 of the R package Lock5Data 4.0.1 (statistics in vehicle_dims.json).
#[test]
fn val_fleet_sizes_lie_inside_the_published_class_ranges() {
    let data = data();
    let cases = [
        (fleet::city_hatch(), "hatchback"),
        (fleet::sedan(), "sedan"),
        (fleet::crossover(), "suv"),
        (fleet::large_suv(), "suv"),
        (fleet::pickup(), "pickup"),
        (fleet::minivan(), "minivan"),
    ];
    for (spec, class) in cases {
        let class = &data["classes"][class];
        for (name, value_m) in [("length", spec.length_m), ("width", spec.width_m), ("height", spec.height_m)]
        {
            let bound = |which: &str| class[name][which].as_f64().expect("a number") * IN;
            assert!(bound("min") > 1.0);
            assert!(value_m >= bound("min") && value_m <= bound("max"), "{} {name} {value_m}", spec.name);
        }
        // The note names the very data set and class it is checked against.
        for word in ["data_set", "type"] {
            assert!(spec.note.contains(class[word].as_str().expect("text")), "{}", spec.note);
        }
        assert!(spec.note.contains(&format!("n = {}", class["n"])), "{}", spec.note);
    }
    assert!(fleet::high_roof_van().note.contains("stated assumption"));
    // What is built has the stated size.
    for spec in fleet::library() {
        assert!(spec.note.contains("Invented"));
        let vehicle = build(&spec);
        let bodies = vehicle.bands.iter().filter_map(Band::body).map(|o| o.chain.bounds());
        let bounds = bodies.reduce(|a, b| a.union(&b)).expect("a body");
        let plates = 0.011;
        assert!((bounds.max.x - bounds.min.x - spec.length_m).abs() <= 2.0 * plates + 0.21, "{}", spec.name);
        assert!(bounds.max.y >= 0.5 * spec.width_m - 1e-9);
    }
}

/// Source: AASHTO passenger-car design vehicle P, metric table (see vehicle_dims.json). Overhangs and wheelbase close to the length,
/// and the fleet's cars (all but the van) fit inside its plan.
#[test]
fn val_design_vehicle_closes_and_holds_the_cars() {
    let p = &data()["design_vehicle_p_m"];
    let m = |name: &str| p[name].as_f64().expect("a number");
    assert!((m("front_overhang") + m("wheelbase") + m("rear_overhang") - m("length")).abs() < 1e-12);
    for spec in fleet::library() {
        let fits = spec.length_m <= m("length") && spec.width_m <= m("width");
        assert_eq!(fits, spec.class != "van", "{}", spec.name);
    }
}

#[test]
fn verif_library_shows_every_kind_of_feature() {
    let all = fleet::library();
    assert_eq!(all.len(), 7);
    for kind in FeatureKind::ALL {
        assert!(all.iter().any(|spec| build(spec).features.iter().any(|f| f.kind == kind)), "{kind}");
    }
    for spec in &all {
        assert!((2..=4).contains(&spec.body.len()));
        assert!(build(spec).features.iter().any(|f| f.kind == FeatureKind::Mirror));
    }
}

// ---- closed forms ----

#[test]
fn verif_plain_body_closed_forms() {
    let vehicle = build(&plain());
    assert_eq!(vehicle.bands.len(), 1);
    let outline = vehicle.bands[0].body().expect("body");
    let (a, b, r, q): (f64, f64, f64, f64) = (4.8, 1.8, 0.3, 0.2);
    let round = 2.0 - 0.5 * PI;
    assert_relative_eq!(
        outline.chain.length_m(),
        2.0 * (a + b) - 2.0 * round * (r + q),
        max_relative = 1e-13
    );
    let cut = 2.0 * (1.0 - 0.25 * PI);
    assert_relative_eq!(outline.chain.area_m2(), a * b - cut * (r * r + q * q), max_relative = 1e-13);
    // Zones change at the middle of the corners.
    let nose = (b - 2.0 * r) + 0.5 * PI * r;
    let tail = (b - 2.0 * q) + 0.5 * PI * q;
    let flank = (a - r - q) + 0.25 * PI * (r + q);
    for (zone, length) in
        [(Zone::Nose, nose), (Zone::Tail, tail), (Zone::LeftSide, flank), (Zone::RightSide, flank)]
    {
        assert_relative_eq!(outline.zone_length_m(zone), length, max_relative = 1e-13);
    }
    assert!(outline.chain.is_convex());
}

#[test]
fn verif_swept_and_barrelled_body_closed_forms() {
    let mut spec = plain();
    let (s, t, b) = (0.15, 0.08, 0.03);
    spec.body[0] = BodySpec {
        nose_sweep_m: s,
        tail_sweep_m: t,
        side_barrel_m: b,
        nose_corner_radius_m: 0.0,
        tail_corner_radius_m: 0.0,
        ..spec.body[0]
    };
    let vehicle = build(&spec);
    let chain = &vehicle.bands[0].outlines[0].chain;
    let box_of = chain.bounds();
    for (given, wanted) in
        [(box_of.max.x, 0.0), (box_of.min.x, -4.8), (box_of.max.y, 0.9), (box_of.min.y, -0.9)]
    {
        assert!((given - wanted).abs() < 1e-12, "{given} {wanted}");
    }
    // Circular segment of half chord h and sagitta s: R = (h² + s²)/2s, θ = 2 asin(h/R), area R²(θ − sin θ)/2, arc R θ.
    let segment = |h: f64, s: f64| {
        let r = (h * h + s * s) / (2.0 * s);
        let theta = 2.0 * (h / r).asin();
        (0.5 * r * r * (theta - theta.sin()), r * theta)
    };
    let (y, l) = (0.9 - b, 4.8 - s - t);
    let (nose, tail, flank) = (segment(y, s), segment(y, t), segment(0.5 * l, b));
    assert_relative_eq!(chain.area_m2(), 2.0 * y * l + nose.0 + tail.0 + 2.0 * flank.0, max_relative = 1e-12);
    assert_relative_eq!(chain.length_m(), nose.1 + tail.1 + 2.0 * flank.1, max_relative = 1e-12);
}

#[test]
fn verif_rounded_corners_are_tangent() {
    let vehicle = build(&fleet::sedan());
    let mut joints = 0;
    for outline in vehicle.bands.iter().filter_map(Band::body) {
        let (pieces, tags) = (outline.chain.pieces(), &outline.tags);
        for i in 0..pieces.len() {
            let next = (i + 1) % pieces.len();
            if tags[i].feature.is_none() && tags[next].feature.is_none() {
                let turn = pieces[i].tangent_at(pieces[i].length_m()).perp(&pieces[next].tangent_at(0.0));
                assert!(turn.abs() < 1e-9, "{turn}");
                joints += 1;
            }
        }
    }
    assert!(joints > 30);
}

#[test]
fn verif_mirror_bump_closed_forms() {
    let spec = with(vec![side(FeatureKind::Mirror, FeatureSide::Both, (0.9, 1.05), 1.7, 0.15, 0.2)]);
    let vehicle = build(&spec);
    let edges: Vec<f64> = vehicle.bands.iter().map(|band| band.z_low_m).collect();
    assert_eq!(edges, [0.2, 0.9, 1.05]);
    let (bare, bumped) = (vehicle.bands[0].body().expect("body"), vehicle.bands[1].body().expect("body"));
    let r = 0.02;
    let bump_area = 0.15 * 0.2 - 2.0 * r * r * (1.0 - 0.25 * PI);
    let bump_walk = 2.0 * 0.2 - 2.0 * r * (2.0 - 0.5 * PI);
    assert_relative_eq!(bumped.chain.area_m2(), bare.chain.area_m2() + 2.0 * bump_area, max_relative = 1e-12);
    assert_relative_eq!(
        bumped.chain.length_m(),
        bare.chain.length_m() + 2.0 * bump_walk,
        max_relative = 1e-12
    );
    assert!(!bumped.chain.is_convex() && bare.chain.is_convex());
    assert_relative_eq!(bumped.chain.bounds().max.y, 1.1, max_relative = 1e-14);
    // The widths: body without mirrors, box with them.
    assert_eq!(vehicle.width_m, 1.8);
    assert_relative_eq!(vehicle.bounds().max.y, 1.1, max_relative = 1e-14);
    let names: Vec<&str> = vehicle.features.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["left mirror", "right mirror"]);
    let left = &vehicle.features[0];
    assert_eq!((left.side, left.spec, left.mirror_index), (FeatureSide::Left, 0, 1));
    assert_relative_eq!(left.reach_m, Vec2::new(-1.775, 1.1), max_relative = 1e-14);
    // Front face, corner, outer face, corner, rear face.
    let tagged: Vec<&Piece> = bumped
        .chain
        .pieces()
        .iter()
        .zip(&bumped.tags)
        .filter(|(_, t)| t.feature == Some(0))
        .map(|(p, _)| p)
        .collect();
    assert_eq!(tagged.len(), 5);
    assert_relative_eq!(tagged[0].normal_at(0.0), Vec2::new(1.0, 0.0), epsilon = 1e-12);
    assert_relative_eq!(tagged[4].normal_at(0.0), Vec2::new(-1.0, 0.0), epsilon = 1e-12);
    assert!(bumped.tags.iter().filter(|t| t.feature == Some(1)).all(|t| t.zone == Zone::RightSide));
    assert_eq!(bumped.tags.iter().filter(|t| t.feature == Some(1)).count(), 5);
}

#[test]
fn verif_plates_proud_flush_and_off_centre() {
    let proud = build(&with(vec![
        at_end(true, (0.4, 0.55), 0.0, 0.3, 0.01),
        at_end(false, (0.4, 0.55), 0.0, 0.3, 0.01),
    ]));
    let outline = band_at(&proud, 0.5).body().expect("body");
    assert_relative_eq!(outline.chain.bounds().max.x, 0.01, max_relative = 1e-14);
    assert_relative_eq!(outline.chain.bounds().min.x, -4.81, max_relative = 1e-14);
    // The chain still starts at the middle of the nose, now on the plate, and the first and last pieces are halves of the plate.
    assert_eq!(outline.chain.point_at(0.0), Vec2::new(0.01, 0.0));
    assert_eq!((outline.tags[0].feature, outline.tags.last().expect("tag").feature), (Some(0), Some(0)));
    let bare = band_at(&proud, 0.3).body().expect("body");
    let plate_area = 0.3 * 0.01 - 2.0 * 0.004 * 0.004 * (1.0 - 0.25 * PI);
    assert_relative_eq!(
        outline.chain.area_m2() - bare.chain.area_m2(),
        2.0 * plate_area,
        max_relative = 1e-9
    );

    let flush = build(&with(vec![at_end(true, (0.4, 0.55), 0.0, 0.3, 0.0)]));
    let marked = band_at(&flush, 0.5).body().expect("body");
    assert_relative_eq!(marked.chain.length_m(), bare.chain.length_m(), max_relative = 1e-14);
    let length: f64 = marked
        .chain
        .pieces()
        .iter()
        .zip(&marked.tags)
        .filter(|(_, tag)| tag.feature == Some(0))
        .map(|(piece, _)| piece.length_m())
        .sum();
    assert_relative_eq!(length, 0.3, max_relative = 1e-14);

    // Off centre, across the centreline and clear of it.
    for y in [0.1, 0.3, -0.3] {
        let off = build(&with(vec![at_end(true, (0.4, 0.55), y, 0.3, 0.01)]));
        let outline = band_at(&off, 0.5).body().expect("body");
        assert_relative_eq!(outline.chain.area_m2() - bare.chain.area_m2(), plate_area, max_relative = 1e-9);
        assert_relative_eq!(off.features[0].reach_m, Vec2::new(0.01, y), max_relative = 1e-14);
        let tip = outline.chain.ray(Vec2::new(1.0, y), Vec2::new(-1.0, 0.0)).expect("hit");
        assert_relative_eq!(tip.distance_m, 0.99, max_relative = 1e-12);
        assert_eq!(outline.tags[tip.piece].feature, Some(0));
    }
}

#[test]
fn verif_reach_counts_from_the_outermost_body_behind_it() {
    let mut spec = with(vec![side(FeatureKind::Mirror, FeatureSide::Left, (0.8, 1.1), 1.7, 0.15, 0.1)]);
    spec.body =
        vec![plain_body(0.2, 0.9, 1.8), BodySpec { nose_setback_m: 1.2, ..plain_body(0.9, 1.4, 1.4) }];
    let vehicle = build(&spec);
    let tops: Vec<f64> = vehicle.bands.iter().map(|b| b.outlines[0].chain.bounds().max.y).collect();
    assert_eq!(vehicle.bands.len(), 4);
    for (given, wanted) in tops.iter().zip([0.9, 1.0, 1.0, 0.7]) {
        assert!((given - wanted).abs() < 1e-12, "{given} {wanted}");
    }
    assert_eq!(vehicle.features[0].name, "left mirror");
}

#[test]
fn verif_antenna_and_rack_are_islands() {
    let vehicle = build(&fleet::pickup());
    let low = band_at(&vehicle, 1.1);
    assert!(low.outlines.iter().all(|o| !o.island));
    let beside = band_at(&vehicle, 1.6);
    assert_eq!(beside.outlines.len(), 2);
    let mast = &beside.outlines[1];
    assert!(mast.island);
    assert_relative_eq!(mast.chain.area_m2(), PI * 0.004 * 0.004, max_relative = 1e-6);
    let feature = mast.tags[0].feature.expect("a feature");
    assert_eq!(vehicle.features[feature].name, "right antenna");
    assert!(mast.chain.contains(vehicle.features[feature].reach_m));
    assert!(vehicle.features[feature].reach_m.y < 0.0);
    // Above the cab only the mast is left.
    let above = band_at(&vehicle, 1.95);
    assert!(above.body().is_none() && above.outlines.len() == 1);

    let suv = build(&fleet::large_suv());
    let roof = band_at(&suv, 1.95);
    assert!(roof.body().is_none());
    assert_eq!(roof.outlines.len(), 2);
    for outline in &roof.outlines {
        assert!(outline.island && outline.tags.iter().all(|t| t.feature.is_some()));
        // The island's pieces name the way they face.
        for (piece, tag) in outline.chain.pieces().iter().zip(&outline.tags) {
            let n = piece.normal_at(0.5 * piece.length_m());
            let facing = match tag.zone {
                Zone::Nose => n.x,
                Zone::Tail => -n.x,
                Zone::LeftSide => n.y,
                Zone::RightSide => -n.y,
            };
            assert!(facing > 0.6, "{tag:?} {n}");
        }
    }
}

// ---- order, symmetry, bands ----

fn zone_runs(zones: &[Zone]) -> Vec<Zone> {
    let mut runs: Vec<Zone> = Vec::new();
    for zone in zones {
        if runs.last() != Some(zone) {
            runs.push(*zone);
        }
    }
    runs
}

#[test]
fn verif_walk_starts_at_the_nose_and_zones_partition_the_perimeter() {
    for spec in fleet::library() {
        let vehicle = build(&spec);
        for outline in vehicle.bands.iter().filter_map(Band::body) {
            let chain = &outline.chain;
            assert_eq!(outline.tags.len(), chain.pieces().len());
            let start = chain.point_at(0.0);
            assert_eq!(start.y, 0.0);
            assert!((start.x - chain.bounds().max.x).abs() < 1e-12);
            let zones: Vec<Zone> = outline.tags.iter().map(|t| t.zone).collect();
            assert_eq!(
                zone_runs(&zones),
                [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide, Zone::Nose]
            );
            let sum: f64 = Zone::ALL.iter().map(|z| outline.zone_length_m(*z)).sum();
            assert_relative_eq!(sum, chain.length_m(), max_relative = 1e-12);
            assert!(Zone::ALL.iter().all(|z| outline.zone_length_m(*z) > 0.3));
            assert_eq!(outline.tag_at(1e-6).zone, Zone::Nose);
            assert_eq!(outline.tag_at(-1e-6).zone, Zone::Nose);
            // y = 0 at the tail is a joint too.
            let joint = chain.pieces().iter().any(|p| p.start().y.abs() < 1e-9 && p.start().x < -1.0);
            assert!(joint);
        }
    }
}

#[test]
fn verif_bands_are_contiguous_and_cut_at_every_edge() {
    for spec in fleet::library() {
        let vehicle = build(&spec);
        assert_eq!(vehicle.bands[0].z_low_m, spec.body[0].z_low_m);
        for pair in vehicle.bands.windows(2) {
            assert_eq!(pair[0].z_high_m, pair[1].z_low_m);
        }
        let edges: Vec<f64> = vehicle.bands.iter().flat_map(|b| [b.z_low_m, b.z_high_m]).collect();
        let wanted = spec.body.iter().flat_map(|b| [b.z_low_m, b.z_high_m]);
        for z in wanted.chain(spec.features.iter().flat_map(|f| [f.z_low_m, f.z_high_m])) {
            assert!(edges.iter().any(|e| (e - z).abs() <= 1e-6), "{} {z}", spec.name);
        }
        for band in &vehicle.bands {
            assert!(band.height_m() > 0.0 && !band.outlines.is_empty());
            let z = 0.5 * (band.z_low_m + band.z_high_m);
            assert_eq!(band.body().is_some(), z < spec.height_m);
            // Every feature of this height is marked on some piece, and no other.
            for (index, feature) in vehicle.features.iter().enumerate() {
                let present = feature.z_low_m < z && z < feature.z_high_m;
                let marked = band.outlines.iter().any(|o| o.tags.iter().any(|t| t.feature == Some(index)));
                assert_eq!(present, marked, "{} {} {z}", spec.name, feature.name);
            }
        }
    }
}

fn assert_symmetric(vehicle: &Vehicle) {
    for outline in vehicle.bands.iter().flat_map(|band| &band.outlines).filter(|o| !o.island) {
        let (chain, tags) = (&outline.chain, &outline.tags);
        let n = chain.pieces().len();
        assert_eq!(n % 2, 0);
        for i in 0..n / 2 {
            // To the bit: piece n−1−i is the reflection of piece i.
            assert_eq!(chain.pieces()[n - 1 - i], chain.pieces()[i].mirrored());
            assert_eq!(tags[n - 1 - i].zone, tags[i].zone.mirrored());
            let image = tags[i].feature.map(|f| vehicle.features[f].mirror_index);
            assert_eq!(tags[n - 1 - i].feature, image);
        }
        for k in 0..500 {
            let s = chain.length_m() * (f64::from(k) + 0.37) / 500.0;
            let (p, q) = (chain.point_at(s), chain.point_at(chain.length_m() - s));
            assert!((p.x - q.x).abs() < 1e-12 && (p.y + q.y).abs() < 1e-12, "{p} {q}");
        }
    }
}

#[test]
fn verif_symmetric_specs_build_symmetric_outlines_to_the_bit() {
    let mut count = 0;
    for spec in fleet::library() {
        let symmetric =
            spec.features.iter().all(|f| matches!(f.side, FeatureSide::Both | FeatureSide::Centre));
        if symmetric {
            assert_eq!(spec.mirrored(), spec, "{}", spec.name);
            assert_symmetric(&build(&spec));
            count += 1;
        } else {
            assert_ne!(spec.mirrored(), spec, "{}", spec.name);
            assert_eq!(spec.mirrored().mirrored(), spec);
        }
    }
    assert_eq!(count, 5);
}

#[test]
fn verif_mirrored_spec_builds_the_mirrored_vehicle() {
    let mut lopsided = fleet::pickup();
    lopsided.features.push(at_end(true, (0.33, 0.35), 0.2, 0.1, 0.01));
    lopsided.features.push(side(FeatureKind::Rack, FeatureSide::Left, (0.9, 1.0), 2.5, 0.3, 0.15));
    let (real, image) = (build(&lopsided), build(&lopsided.mirrored()));
    assert_eq!(real.bands.len(), image.bands.len());
    for (a, b) in real.bands.iter().zip(&image.bands) {
        assert_eq!(a.outlines.len(), b.outlines.len());
        for (p, q) in a.outlines.iter().zip(&b.outlines) {
            let n = p.tags.len();
            assert_eq!(n, q.tags.len());
            for i in 0..n {
                let (left, right) = (p.chain.pieces()[i], q.chain.pieces()[n - 1 - i].mirrored());
                assert_relative_eq!(left.start(), right.start(), epsilon = 1e-14);
                assert_relative_eq!(left.end(), right.end(), epsilon = 1e-14);
                assert_eq!(p.tags[i].zone, q.tags[n - 1 - i].zone.mirrored());
                let through = p.tags[i].feature.map(|f| real.features[f].mirror_index);
                assert_eq!(through, q.tags[n - 1 - i].feature);
            }
        }
    }
    for feature in &real.features {
        let other = &image.features[feature.mirror_index];
        assert_eq!((other.spec, other.side), (feature.spec, feature.side.mirrored()));
        assert_eq!(other.reach_m, Vec2::new(feature.reach_m.x, -feature.reach_m.y));
    }
}

#[test]
fn verif_scaled_vehicles() {
    for spec in fleet::library() {
        let same = spec.scaled(spec.length_m, spec.width_m, spec.height_m);
        assert_eq!(same, spec);
        for (kx, ky, kz) in [(1.08, 1.05, 0.95), (0.92, 0.95, 1.06), (1.05, 0.95, 1.0)] {
            let other = spec.scaled(spec.length_m * kx, spec.width_m * ky, spec.height_m * kz);
            let vehicle = build(&other);
            assert_eq!(vehicle.length_m, spec.length_m * kx);
            assert_eq!(vehicle.class, spec.class);
            assert_eq!(vehicle.bands.len(), build(&spec).bands.len(), "{}", spec.name);
            let bounds = vehicle.bounds();
            assert!((bounds.max.x - build(&spec).bounds().max.x).abs() < 1e-9);
        }
        assert!(spec.scaled(f64::NAN, 1.0, 1.0).build().is_err());
        assert!(spec.scaled(0.0, 0.0, 0.0).build().is_err());
    }
}

#[test]
fn verif_names_are_trade_words() {
    assert_eq!(
        format!("{}|{:>12}|{}", Zone::LeftSide, Zone::Tail, FeatureKind::SpareWheel),
        "left side|        tail|spare wheel"
    );
    assert_eq!(FeatureSide::Both.to_string(), "both sides");
}

// ---- errors ----

fn refused(change: impl FnOnce(&mut VehicleSpec)) -> VehicleError {
    let mut spec = fleet::pickup();
    change(&mut spec);
    match spec.build() {
        Ok(_) => panic!("should be refused"),
        Err(error) => error,
    }
}

type Change = Box<dyn Fn(&mut VehicleSpec)>;

#[test]
fn verif_errors_name_the_field_and_what_is_allowed() {
    let cases: Vec<(&str, Change)> = vec![
        ("name", Box::new(|s| s.name.clear())),
        ("length", Box::new(|s| s.length_m = f64::NAN)),
        ("length", Box::new(|s| s.length_m = 0.0)),
        ("length", Box::new(|s| s.length_m = 12.5)),
        ("width", Box::new(|s| s.width_m = 3.2)),
        ("width", Box::new(|s| s.width_m = -1.0)),
        ("height", Box::new(|s| s.height_m = f64::INFINITY)),
        ("body", Box::new(|s| s.body.clear())),
        ("body", Box::new(|s| s.body = vec![s.body[0]; 13])),
        ("features", Box::new(|s| s.features = vec![s.features[0].clone(); 41])),
        ("body[0].z_low", Box::new(|s| s.body[0].z_low_m = -0.1)),
        ("body[0].z_high", Box::new(|s| s.body[0].z_high_m = s.body[0].z_low_m)),
        ("body[1].z_low", Box::new(|s| s.body[1].z_low_m += 0.01)),
        ("body[1].z_low", Box::new(|s| s.body.swap(1, 2))),
        ("body[3].z_high", Box::new(|s| s.body[3].z_high_m -= 0.01)),
        ("body[0].nose_setback", Box::new(|s| s.body[0].nose_setback_m = 0.02)),
        ("body[0].tail_setback", Box::new(|s| s.body[0].tail_setback_m = 0.02)),
        ("body[2].nose_setback", Box::new(|s| s.body[2].nose_setback_m = -0.1)),
        ("body[2].tail_setback", Box::new(|s| s.body[2].tail_setback_m = 4.2)),
        ("body[1].width", Box::new(|s| s.body[1].width_m = 2.02)),
        ("body[0].width", Box::new(|s| s.body[0].width_m = 2.04)),
        ("body[0].nose_sweep", Box::new(|s| s.body[0].nose_sweep_m = 0.6)),
        ("body[0].nose_sweep", Box::new(|s| s.body[0].nose_sweep_m = 1e-5)),
        ("body[0].tail_sweep", Box::new(|s| s.body[0].tail_sweep_m = -0.1)),
        ("body[1].side_barrel", Box::new(|s| s.body[1].side_barrel_m = 0.4)),
        ("body[1].nose_corner_radius", Box::new(|s| s.body[1].nose_corner_radius_m = 1.2)),
        ("body[1].tail_corner_radius", Box::new(|s| s.body[1].tail_corner_radius_m = f64::NAN)),
        ("body[2].tail_corner_radius", Box::new(|s| s.body[2].tail_corner_radius_m = 1.0)),
        ("features[0].name", Box::new(|s| s.features[0].name = "\n".to_owned())),
        ("features[0].z_low", Box::new(|s| s.features[0].z_low_m = 0.1)),
        ("features[0].z_high", Box::new(|s| s.features[0].z_high_m = 2.0)),
        ("features[0].z_high", Box::new(|s| s.features[0].z_high_m = s.features[0].z_low_m)),
        ("features[0].limit_force", Box::new(|s| s.features[0].limit_force_n = Some(0.0))),
        ("features[0].side", Box::new(|s| s.features[0].side = FeatureSide::Centre)),
        ("features[0].behind_nose", side_place(|p| p.0 = 1.5)),
        ("features[0].behind_nose", side_place(|p| p.0 = 9.0)),
        ("features[0].length", side_place(|p| p.1 = 5.0)),
        ("features[0].length", side_place(|p| p.1 = 0.0001)),
        ("features[0].reach", side_place(|p| p.2 = 2.0)),
        ("features[0].reach", side_place(|p| p.2 = -0.1)),
        ("features[0].corner_radius", side_place(|p| p.3 = 0.08)),
        ("features[1].width", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.0, 2.5, 0.01))),
        ("features[1].width", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.9, 0.3, 0.01))),
        ("features[1].y", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.15, 0.3, 0.01))),
        ("features[1].y", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), f64::NAN, 0.3, 0.01))),
        // The hitch comes after the plate it now meets.
        ("features[4]", Box::new(|s| s.features[2] = at_end(false, (0.4, 0.6), 0.0, 0.3, 0.01))),
        // A mast that starts below the hood, or stands in the cab.
        ("features[3]", Box::new(|s| s.features[3].z_low_m = 1.0)),
        ("features[3].z_low", Box::new(|s| s.features[3].z_low_m = 1.95)),
    ];
    assert!(cases.len() > 40);
    for (index, (field, change)) in cases.iter().enumerate() {
        let error = refused(change);
        assert_eq!(&error.field, field, "case {index}: {error}");
        assert!(!error.given.is_empty() && !error.allowed.is_empty() && !error.advice.is_empty());
        assert!(error.to_string().contains(field));
    }
    let text = refused(|s| s.length_m = 12.5).to_string();
    assert_eq!(
        text,
        "length: 12.5 m (492.13 in) given, allowed: 0.5 m (19.69 in) to 12 m (472.44 in); \
         measure the body without mirrors, racks and hitch"
    );
}

fn side_place(change: impl Fn(&mut (f64, f64, f64, f64)) + 'static) -> Change {
    Box::new(move |spec| {
        if let FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m } =
            spec.features[0].place
        {
            let mut p = (behind_nose_m, length_m, reach_m, corner_radius_m);
            change(&mut p);
            spec.features[0].place =
                FeaturePlace::Side { behind_nose_m: p.0, length_m: p.1, reach_m: p.2, corner_radius_m: p.3 };
        }
    })
}

#[test]
fn verif_the_largest_corner_radius_told_is_the_one_that_fits() {
    for index in 0..4 {
        for nose in [true, false] {
            let set = |spec: &mut VehicleSpec, value: f64| {
                let body = &mut spec.body[index];
                if nose { body.nose_corner_radius_m = value } else { body.tail_corner_radius_m = value }
            };
            let mut spec = fleet::sedan();
            spec.features.clear();
            set(&mut spec, 1.6);
            let error = spec.build().expect_err("too round");
            let told = error
                .allowed
                .strip_prefix("at most ")
                .or(error.allowed.rsplit(" to ").next())
                .expect("a limit");
            let limit: f64 = told.split(' ').next().expect("a number").parse().expect("a number");
            assert!(limit > 0.3 && limit < 1.6, "{error}");
            set(&mut spec, limit);
            spec.build().unwrap_or_else(|e| panic!("{index} {nose}: {e}"));
            set(&mut spec, limit + 2e-4);
            assert!(spec.build().is_err());
        }
    }
}

// ---- laws over random vehicles ----

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
    #![proptest_config(ProptestConfig::with_cases(300))]

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
