//! Outlines against closed forms.

use super::{at_end, band_at, build, plain, plain_body, side, with};
use approx::assert_relative_eq;
use brusharm::geometry::{Piece, Vec2};
use brusharm::vehicle::{Band, BodySpec, FeatureKind, FeatureSide, Zone, fleet};
use std::f64::consts::PI;

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
