//! Order of the walk, zones, bands, mirror images, other sizes.

use super::{at_end, build, side};
use approx::assert_relative_eq;
use brusharm::geometry::Vec2;
use brusharm::vehicle::{Band, FeatureKind, FeatureSide, Vehicle, Zone, fleet};

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
