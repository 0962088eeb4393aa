//! Limits of a description, by hand: the last value that is taken, the first that is refused, and the range that is told.

use super::{at_end, build, plain, plain_body, side, with};
use brusharm::vehicle::{BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, VehicleSpec};

/// Builds with a value, or says which field is refused, what was given and what is allowed.
fn told(spec: &VehicleSpec) -> Result<(), (String, String, String)> {
    spec.build().map(|_| ()).map_err(|e| (e.field, e.given, e.allowed))
}

/// The first value is taken; the second is refused with this field and range.
fn limit(set: impl Fn(f64) -> VehicleSpec, taken: f64, refused: f64, field: &str, allowed: &str) {
    assert_eq!(told(&set(taken)), Ok(()), "{field} {taken}");
    let (got, _, range) = told(&set(refused)).expect_err(field);
    assert_eq!((got.as_str(), range.as_str()), (field, allowed), "{refused}");
}

fn bare(z_low_m: f64, z_high_m: f64) -> BodySpec {
    BodySpec { nose_corner_radius_m: 0.0, tail_corner_radius_m: 0.0, ..plain_body(z_low_m, z_high_m, 1.8) }
}

/// The plain body with another on top of it, which can be anything.
fn on_top(change: impl Fn(&mut BodySpec)) -> VehicleSpec {
    let mut top = bare(0.8, 1.4);
    change(&mut top);
    VehicleSpec { body: vec![bare(0.2, 0.8), top], ..plain() }
}

fn standing(side: FeatureSide, z: (f64, f64), behind_nose_m: f64, y_m: f64, size: [f64; 3]) -> FeatureSpec {
    let [length_m, width_m, corner_radius_m] = size;
    FeatureSpec {
        place: FeaturePlace::Standing { behind_nose_m, y_m, length_m, width_m, corner_radius_m },
        side,
        ..at_end(true, z, 0.0, 0.1, 0.0)
    }
}

/// A body of 4.8 m and a half width of 0.9 m: what may stand back, bow out and be round.
#[test]
fn verif_limits_of_a_body() {
    let front = |x: f64| on_top(|b| b.nose_setback_m = x);
    limit(front, 4.6, 4.601, "body[1].nose_setback", "0 m (0 in) to 4.6 m (181.1 in)");
    let rear = |x: f64| on_top(|b| (b.nose_setback_m, b.tail_setback_m) = (0.5, x));
    limit(rear, 4.1, 4.101, "body[1].tail_setback", "0 m (0 in) to 4.1 m (161.42 in)");
    let rear = |x: f64| on_top(|b| (b.nose_setback_m, b.tail_setback_m) = (4.5, x));
    limit(rear, 0.0999, 0.101, "body[1].tail_setback", "0 m (0 in) to 0.1 m (3.94 in)");
    // Beside a nose that stands back as far as it may there is no room for a tail that does, and no range of lengths to tell.
    let rear = |x: f64| on_top(|b| (b.nose_setback_m, b.tail_setback_m) = (4.6, x));
    assert_eq!(told(&rear(0.0)), Ok(()));
    for given in [0.01, -0.01, 1e-17] {
        let error = rear(given).build().expect_err("no room");
        assert_eq!(error.field, "body[1].tail_setback");
        assert!(error.allowed.starts_with("0: the nose setback leaves"), "{error}");
        assert!(error.advice.starts_with("reduce the nose setback"), "{error}");
    }
    // With 0.2 mm of room there is a range; with a hair less than a tenth of a millimetre there is none.
    let beside = |room: f64| on_top(|b| (b.nose_setback_m, b.tail_setback_m) = (4.6 - room, 0.01));
    assert_eq!(told(&beside(2e-4)).expect_err("too far").2, "0 m (0 in) to 0.0002 m (0.01 in)");
    assert!(told(&beside(0.9e-4)).expect_err("too far").2.starts_with("0: "));
    // A quarter of the half width, or a twentieth of what the setbacks leave.
    let barrel = |x: f64| on_top(|b| b.side_barrel_m = x);
    limit(barrel, 0.225, 0.2251, "body[1].side_barrel", "0, or 0.0001 m (0 in) to 0.225 m (8.86 in)");
    let barrel = |x: f64| on_top(|b| (b.nose_setback_m, b.tail_setback_m, b.side_barrel_m) = (1.0, 1.8, x));
    limit(barrel, 0.0999, 0.1001, "body[1].side_barrel", "0, or 0.0001 m (0 in) to 0.1 m (3.94 in)");
    // Half of what the barrel leaves of the half width, or a quarter of the length.
    for nose in [true, false] {
        let name = if nose { "body[1].nose_sweep" } else { "body[1].tail_sweep" };
        let set = |b: &mut BodySpec, x: f64| {
            if nose { b.nose_sweep_m = x } else { b.tail_sweep_m = x }
        };
        let sweep = |x: f64| on_top(|b| set(b, x));
        limit(sweep, 0.45, 0.4501, name, "0, or 0.0001 m (0 in) to 0.45 m (17.72 in)");
        limit(sweep, 1e-4, 0.9e-4, name, "0, or 0.0001 m (0 in) to 0.45 m (17.72 in)");
        let sweep = |x: f64| {
            on_top(|b| {
                b.side_barrel_m = 0.1;
                set(b, x);
            })
        };
        limit(sweep, 0.3999, 0.4001, name, "0, or 0.0001 m (0 in) to 0.4 m (15.75 in)");
        let sweep = |x: f64| {
            on_top(|b| {
                (b.nose_setback_m, b.tail_setback_m) = (2.0, 1.6);
                set(b, x);
            })
        };
        limit(sweep, 0.2999, 0.3001, name, "0, or 0.0001 m (0 in) to 0.3 m (11.81 in)");
        // No rounder than it is long, or half wide: what is less and does not fit is told otherwise.
        let name = if nose { "body[1].nose_corner_radius" } else { "body[1].tail_corner_radius" };
        let round = |b: &mut BodySpec, x: f64| {
            if nose { b.nose_corner_radius_m = x } else { b.tail_corner_radius_m = x }
        };
        let long = |x: f64| told(&on_top(|b| round(b, x))).expect_err("too round").2;
        assert_eq!(long(4.801), "0, or 0.0001 m (0 in) to 4.8 m (188.98 in)");
        assert!(long(4.799).starts_with("at most 0."));
        let short = |x: f64| {
            let spec = on_top(|b| {
                (b.nose_setback_m, b.tail_setback_m) = (2.0, 2.3);
                round(b, x);
            });
            told(&spec).expect_err(name)
        };
        assert_eq!(short(0.901).2, "0, or 0.0001 m (0 in) to 0.9 m (35.43 in)");
        let (field, _, allowed) = short(0.899);
        assert!(field == name && allowed.starts_with("at most 0."), "{field} {allowed}");
    }
    // Beside a nose that is bowed a corner is less than square; its rounding comes to the centreline at half the width: what is told fits, and no more.
    let bowed = |x: f64| on_top(|b| (b.nose_sweep_m, b.nose_corner_radius_m) = (0.4, x));
    let allowed = told(&bowed(4.0)).expect_err("too round").2;
    let most: f64 =
        allowed.trim_start_matches("at most ").split(' ').next().expect("a number").parse().expect("m");
    assert_eq!(most, 0.9);
    assert_eq!(told(&bowed(most)), Ok(()));
    assert!(told(&bowed(most + 2e-4)).is_err());
    let width = |x: f64| on_top(|b| b.width_m = x);
    limit(width, 0.1, 0.0999, "body[1].width", "0.1 m (3.94 in) to 1.8 m (70.87 in)");
    limit(width, 1.8, 1.8001, "body[1].width", "0.1 m (3.94 in) to 1.8 m (70.87 in)");
}

/// Bodies stand on one another to a micrometre, the last ends at the height, one reaches each end and the width.
#[test]
fn verif_limits_of_a_stack() {
    let stacked = |low: f64, high: f64, from: f64| {
        let body = vec![bare(0.2, low), BodySpec { z_low_m: from, z_high_m: high, ..bare(0.8, 1.4) }];
        told(&VehicleSpec { body, ..plain() })
    };
    assert_eq!(stacked(0.8, 1.4, 0.8 + 0.9e-6), Ok(()));
    assert_eq!(stacked(0.8, 1.4, 0.8 - 0.9e-6), Ok(()));
    let fault = |field: &str, given: &str, allowed: &str| {
        Err((field.to_owned(), given.to_owned(), allowed.to_owned()))
    };
    assert_eq!(stacked(0.8, 1.4, 0.81), fault("body[1].z_low", "0.81 m (31.89 in)", "0.8 m (31.5 in)"));
    assert!(stacked(0.8, 1.4, 0.8 + 1.2e-6).is_err() && stacked(0.8, 1.4, 0.8 - 1.2e-6).is_err());
    assert_eq!(stacked(0.8, 1.4 + 0.9e-6, 0.8), Ok(()));
    assert_eq!(stacked(0.8, 1.4 - 0.9e-6, 0.8), Ok(()));
    assert_eq!(stacked(0.8, 1.39, 0.8), fault("body[1].z_high", "1.39 m (54.72 in)", "1.4 m (55.12 in)"));
    assert!(stacked(0.8, 1.4 - 1.2e-6, 0.8).is_err());
    let range = "0.81 m (31.89 in) to 1.4 m (55.12 in)";
    assert_eq!(stacked(0.8, 1.41, 0.8), fault("body[1].z_high", "1.41 m (55.51 in)", range));
    assert_eq!(stacked(0.8, 0.809, 0.8), fault("body[1].z_high", "0.809 m (31.85 in)", range));
    // A body is 10 mm thick at least, though it would stand out over the height.
    let range = "1.405 m (55.31 in) to 1.405 m (55.31 in)";
    assert_eq!(stacked(1.395, 1.4, 1.395), fault("body[1].z_high", "1.4 m (55.12 in)", range));
    // The one that comes closest is named, of two alike the first.
    let ends = |a: f64, b: f64| {
        let mut spec = on_top(|top| top.nose_setback_m = b);
        spec.body[0].nose_setback_m = a;
        told(&spec)
    };
    assert_eq!(ends(0.02, 0.01), fault("body[1].nose_setback", "0.01 m (0.39 in)", "0 m (0 in)"));
    assert_eq!(ends(0.02, 0.02), fault("body[0].nose_setback", "0.02 m (0.79 in)", "0 m (0 in)"));
    assert_eq!(ends(0.02, 0.9e-6), Ok(()));
    let widths = |a: f64, b: f64| {
        let mut spec = on_top(|top| top.width_m = b);
        spec.body[0].width_m = a;
        told(&spec)
    };
    assert_eq!(widths(1.7, 1.75), fault("body[1].width", "1.75 m (68.9 in)", "1.8 m (70.87 in)"));
    assert_eq!(widths(1.7, 1.8), Ok(()));
}

/// Where there is no body behind a feature, the height is told: the middle of the body that is missed, or of a feature over all of them.
#[test]
fn verif_a_feature_beside_the_body_is_told_where() {
    let beside = told(&with(vec![at_end(true, (0.5, 0.6), 0.9, 0.3, 0.01)])).expect_err("beside");
    assert_eq!(beside.1, "a place with no body behind it at 0.8 m (31.5 in)");
    let over = side(FeatureKind::Mirror, FeatureSide::Left, (1.4, 1.401), 1.7, 0.15, 0.2);
    let over = told(&with(vec![over])).expect_err("over the body");
    assert_eq!(
        (&*over.0, &*over.1),
        ("features[0].behind_nose", "a place with no body behind it at 1.4005 m (55.14 in)")
    );
    // Demo vehicles name what is fitted to them.
    let names: Vec<String> =
        build(&brusharm::vehicle::fleet::sedan()).features.into_iter().map(|f| f.name).collect();
    assert!(
        names.iter().any(|name| name.contains("plate")) && names.iter().all(|name| name.len() > 4),
        "{names:?}"
    );
}

/// Names of 1 to 80 characters; lengths are told to a tenth of a millimetre, beyond what that shows as they are.
#[test]
fn verif_names_and_lengths_as_told() {
    let named = |name: &str| told(&VehicleSpec { name: name.to_owned(), ..plain() });
    assert_eq!((named("x"), named(&"é".repeat(80))), (Ok(()), Ok(())));
    let given = |name: &str| named(name).expect_err("refused").1;
    assert_eq!(given(&"x".repeat(81)), "81 characters");
    assert_eq!(given("a\nb"), "\"a\\nb\"");
    assert_eq!(given(&format!("a\n{}", "x".repeat(78))), format!("\"a\\n{}\"", "x".repeat(78)));
    assert_eq!(given("  "), "\"  \"");
    for (length_m, text) in [
        (0.0, "0 m (0 in)"),
        (0.4121, "0.4121 m (16.22 in)"),
        (12.5, "12.5 m (492.13 in)"),
        (1e-4, "0.0001 m (0 in)"),
        (0.9e-4, "9e-5 m"),
        (-0.9e-4, "-9e-5 m"),
        (999_999.0, "999999 m (39370039.37 in)"),
        (1e6, "1e6 m"),
        (-2.5e7, "-2.5e7 m"),
        (f64::NAN, "NaN"),
        (f64::NEG_INFINITY, "-inf"),
    ] {
        let spec = VehicleSpec { length_m, ..plain() };
        if length_m == 0.4121 || length_m == 999_999.0 || !(0.5..=12.0).contains(&length_m) {
            assert_eq!(told(&spec).expect_err("refused").1, text);
        }
    }
}

/// Where features may be, on a body 4.8 m long, 1.8 m wide, from 0.2 to 1.4 m.
#[test]
fn verif_limits_of_features() {
    let mirror = |change: &dyn Fn(&mut FeatureSpec)| {
        let mut feature = side(FeatureKind::Mirror, FeatureSide::Left, (0.9, 1.05), 1.7, 0.15, 0.2);
        change(&mut feature);
        with(vec![feature])
    };
    let low = |z: f64| mirror(&|f| f.z_low_m = z);
    limit(low, 0.2, 0.199, "features[0].z_low", "0.2 m (7.87 in) to 1.4 m (55.12 in)");
    let high = |z: f64| mirror(&|f| f.z_high_m = z);
    limit(high, 0.901, 0.9009, "features[0].z_high", "0.901 m (35.47 in) to 1.4 m (55.12 in)");
    limit(high, 1.4, 1.401, "features[0].z_high", "0.901 m (35.47 in) to 1.4 m (55.12 in)");
    let thin = told(&mirror(&|f| (f.z_low_m, f.z_high_m) = (1.3995, 1.5))).expect_err("above the body");
    assert_eq!(thin.2, "1.4005 m (55.14 in) to 1.4005 m (55.14 in)");
    let mast = |z: f64| with(vec![standing(FeatureSide::Centre, (1.4, z), 1.0, 0.0, [0.1, 0.1, 0.05])]);
    limit(mast, 4.4, 4.401, "features[0].z_high", "1.401 m (55.16 in) to 4.4 m (173.23 in)");
    let force = |n: f64| mirror(&|f| f.limit_force_n = Some(n));
    limit(force, 1e5, 100_001.0, "features[0].limit_force", "above 0, up to 100000 N");
    limit(force, 1e-3, 0.0, "features[0].limit_force", "above 0, up to 100000 N");
    // Beside the body: what is left of its length behind the front of the feature.
    let place = |behind_nose_m: f64, length_m: f64, reach_m: f64, corner_radius_m: f64| {
        mirror(&|f| f.place = FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m })
    };
    let refused = |spec: &VehicleSpec| told(spec).expect_err("refused");
    let (field, _, allowed) = refused(&place(4.0, 0.801, 0.2, 0.02));
    assert_eq!((&*field, &*allowed), ("features[0].length", "0.001 m (0.04 in) to 0.8 m (31.5 in)"));
    let (field, _, allowed) = refused(&place(4.8, 0.002, 0.2, 0.0));
    assert_eq!((&*field, &*allowed), ("features[0].length", "0.001 m (0.04 in) to 0.001 m (0.04 in)"));
    limit(
        |x| place(1.7, 0.15, x, 0.0),
        1.5,
        1.501,
        "features[0].reach",
        "0, or 0.0001 m (0 in) to 1.5 m (59.06 in)",
    );
    // Corners: half of its length, or a hair less than it stands out; none when flush.
    limit(
        |x| place(1.7, 0.15, 0.2, x),
        0.075,
        0.0751,
        "features[0].corner_radius",
        "0, or 0.0001 m (0 in) to 0.075 m (2.95 in)",
    );
    limit(
        |x| place(1.7, 0.15, 0.05, x),
        0.049_997,
        0.049_999,
        "features[0].corner_radius",
        "0, or 0.0001 m (0 in) to 0.05 m (1.97 in)",
    );
    limit(|x| place(1.7, 0.15, 0.0, x), 0.0, 0.01, "features[0].corner_radius", "0");
    // A plate's ends keep 2 mm from the centreline, where a plate over it has its rounding besides: 0.3 m wide, 4 mm round.
    let plate = |y: f64| with(vec![at_end(true, (0.5, 0.6), y, 0.3, 0.01)]);
    for sign in [1.0, -1.0] {
        for (y, need) in [
            (0.1435, None),
            (0.1445, Some("0.006 m (0.24 in)")),
            (0.1525, None),
            (0.1515, Some("0.002 m (0.08 in)")),
        ] {
            match need {
                None => assert_eq!(told(&plate(sign * y)), Ok(()), "{y}"),
                Some(need) => {
                    let (field, given, allowed) = refused(&plate(sign * y));
                    assert_eq!((&*field, allowed), ("features[0].y", format!("at least {need}")), "{y}");
                    assert!(given.starts_with("an end 0.00"), "{given}");
                }
            }
        }
    }
    // An end on the centreline itself has the plate beside it, not over it.
    for y in [0.15, -0.15] {
        assert_eq!(refused(&plate(y)).2, "at least 0.002 m (0.08 in)");
    }
    assert_eq!(refused(&plate(0.145)).1, "an end 0.005 m (0.2 in) from the centreline");
    // Things that stand free: a metre behind the tail at most, half a metre beside the body; of a pair neither on the centreline.
    let rack = |behind: f64, length: f64| {
        with(vec![standing(FeatureSide::Centre, (1.4, 1.5), behind, 0.0, [length, 0.2, 0.0])])
    };
    limit(|x| rack(4.0, x), 1.7999, 1.801, "features[0].length", "0.001 m (0.04 in) to 1.8 m (70.87 in)");
    limit(|x| rack(x, 0.1), 4.8, 4.801, "features[0].behind_nose", "0 m (0 in) to 4.8 m (188.98 in)");
    let beside = |side: FeatureSide, y: f64| with(vec![standing(side, (1.4, 1.5), 1.0, y, [0.4, 0.2, 0.0])]);
    limit(
        |y| beside(FeatureSide::Centre, y),
        1.4,
        1.401,
        "features[0].y",
        "-1.4 m (-55.12 in) to 1.4 m (55.12 in)",
    );
    limit(
        |y| beside(FeatureSide::Centre, y),
        -1.4,
        -1.401,
        "features[0].y",
        "-1.4 m (-55.12 in) to 1.4 m (55.12 in)",
    );
    for one in [FeatureSide::Left, FeatureSide::Right, FeatureSide::Both] {
        limit(|y| beside(one, y), 0.103, 0.101, "features[0].y", "0.102 m (4.02 in) to 1.4 m (55.12 in)");
    }
    let round = |x: f64| with(vec![standing(FeatureSide::Centre, (1.4, 1.5), 1.0, 0.0, [0.4, 0.2, x])]);
    limit(round, 0.1, 0.101, "features[0].corner_radius", "0, or 0.0001 m (0 in) to 0.1 m (3.94 in)");
    let round = |x: f64| with(vec![standing(FeatureSide::Centre, (1.4, 1.5), 1.0, 0.0, [0.1, 0.2, x])]);
    limit(round, 0.05, 0.051, "features[0].corner_radius", "0, or 0.0001 m (0 in) to 0.05 m (1.97 in)");
}

/// A feature stands out from the outermost point behind it, by hand on a body whose faces are bows: sagitta s over half chord h is a circle of radius
/// (h² + s²)/2s. The side is bowed from x = −0.5 to −4.2 (setbacks and sweeps taken off), farthest at −2.35.
#[test]
fn verif_reach_on_bowed_faces_by_hand() {
    let bowed = |features: Vec<FeatureSpec>| {
        let mut spec = on_top(|b| {
            (b.nose_setback_m, b.tail_setback_m) = (0.3, 0.5);
            (b.nose_sweep_m, b.tail_sweep_m, b.side_barrel_m) = (0.2, 0.1, 0.04);
        });
        spec.features = features;
        build(&spec)
    };
    let circle = |h: f64, s: f64| (h * h + s * s) / (2.0 * s);
    let off = |radius: f64, at: f64| radius - (radius * radius - at * at).sqrt();
    let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-9, "{got} {want}");
    let z = (0.9, 1.0);
    let flank = circle(1.85, 0.04);
    for (behind, length, nearest) in [(1.0, 0.5, -0.85), (2.0, 0.6, 0.0), (3.0, 0.5, 0.65)] {
        for (one, sign) in [(FeatureSide::Left, 1.0), (FeatureSide::Right, -1.0)] {
            let vehicle = bowed(vec![side(FeatureKind::Mirror, one, z, behind, length, 0.2)]);
            let reach = vehicle.features[0].reach_m;
            near(reach.x, -(behind + 0.5 * length));
            near(sign * reach.y, 0.9 - off(flank, nearest) + 0.2);
            let band = super::band_at(&vehicle, 0.95);
            near(
                sign * reach.y,
                if sign > 0.0 {
                    band.outlines[0].chain.bounds().max.y
                } else {
                    -band.outlines[0].chain.bounds().min.y
                },
            );
        }
    }
    for (y, width, nearest) in [(0.3, 0.2, 0.2), (-0.3, 0.2, 0.2), (0.0, 0.4, 0.0), (0.1, 0.5, 0.0)] {
        let vehicle = bowed(vec![at_end(true, z, y, width, 0.05), at_end(false, z, y, width, 0.06)]);
        let (front, rear) = (vehicle.features[0].reach_m, vehicle.features[1].reach_m);
        near(front.x, -0.3 - off(circle(0.86, 0.2), nearest) + 0.05);
        near(rear.x, -4.3 + off(circle(0.86, 0.1), nearest) - 0.06);
        near(front.y, y);
        near(rear.y, y);
    }
    // Over both bodies the lower one, which reaches the ends, counts.
    let vehicle =
        bowed(vec![at_end(true, (0.7, 0.9), 0.3, 0.2, 0.05), at_end(false, (0.7, 0.9), 0.3, 0.2, 0.06)]);
    near(vehicle.features[0].reach_m.x, 0.05);
    near(vehicle.features[1].reach_m.x, -4.86);
    // Only up to where they meet, it does not.
    let vehicle = bowed(vec![at_end(true, (0.8, 0.9), 0.0, 0.2, 0.05)]);
    near(vehicle.features[0].reach_m.x, -0.25);
    // What stands free is told by its middle.
    let vehicle = bowed(vec![standing(FeatureSide::Both, (1.4, 1.6), 1.0, 0.5, [0.4, 0.2, 0.0])]);
    for (feature, sign) in vehicle.features.iter().zip([1.0, -1.0]) {
        near(feature.reach_m.x, -1.2);
        near(feature.reach_m.y, sign * 0.5);
    }
    assert_eq!((vehicle.features[0].mirror_index, vehicle.features[1].mirror_index), (1, 0));
    let bounds = super::band_at(&vehicle, 1.5).outlines[1].chain.bounds();
    near(bounds.max.x, -1.0);
    near(bounds.min.x, -1.4);
    near(bounds.max.y, -0.4);
    near(bounds.min.y, -0.6);
}

/// Outer corners of a bump: sharp, round, and so round that no outer face is left.
#[test]
fn verif_corners_of_a_bump_by_hand() {
    let bare = build(&plain()).bands[0].outlines[0].chain.area_m2();
    for (radius, count) in [(0.0, 3), (0.02, 5), (0.0749, 5), (0.075, 4)] {
        for one in [FeatureSide::Left, FeatureSide::Right] {
            let mut feature = side(FeatureKind::Mirror, one, (0.9, 1.05), 1.7, 0.15, 0.2);
            feature.place = FeaturePlace::Side {
                behind_nose_m: 1.7,
                length_m: 0.15,
                reach_m: 0.2,
                corner_radius_m: radius,
            };
            let vehicle = build(&with(vec![feature]));
            let outline = super::band_at(&vehicle, 1.0).body().expect("body");
            let area = 0.15 * 0.2 - 2.0 * radius * radius * (1.0 - 0.25 * std::f64::consts::PI);
            assert!((outline.chain.area_m2() - bare - area).abs() < 1e-9);
            assert_eq!(outline.tags.iter().filter(|tag| tag.feature == Some(0)).count(), count, "{radius}");
        }
    }
}

/// Twice as long, half as wide again and half as high, by hand. Radii and bows go with the smaller of length and width; a rack grows along, a plate does not.
#[test]
fn verif_scaled_by_hand() {
    let mut spec = on_top(|b| {
        (b.nose_setback_m, b.tail_setback_m) = (0.3, 0.5);
        (b.nose_sweep_m, b.tail_sweep_m, b.side_barrel_m) = (0.2, 0.1, 0.04);
        (b.nose_corner_radius_m, b.tail_corner_radius_m) = (0.06, 0.08);
    });
    let kind = |kind: FeatureKind, feature: FeatureSpec| FeatureSpec { kind, ..feature };
    let free = || standing(FeatureSide::Centre, (1.4, 1.6), 1.0, 0.5, [0.4, 0.2, 0.1]);
    spec.features = vec![
        side(FeatureKind::Mirror, FeatureSide::Left, (0.9, 1.1), 1.7, 0.15, 0.2),
        side(FeatureKind::Step, FeatureSide::Left, (0.3, 0.4), 1.7, 0.15, 0.2),
        at_end(true, (0.4, 0.5), 0.3, 0.2, 0.01),
        kind(FeatureKind::Step, at_end(false, (0.4, 0.5), 0.3, 0.2, 0.01)),
        kind(FeatureKind::Antenna, free()),
        kind(FeatureKind::Rack, free()),
    ];
    let big = spec.scaled(9.6, 2.7, 0.7);
    assert_eq!((big.length_m, big.width_m, big.height_m), (9.6, 2.7, 0.7));
    let near = |got: &[f64], want: &[f64]| {
        assert_eq!(got.len(), want.len());
        assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12), "{got:?} {want:?}");
    };
    let b = big.body[1];
    near(&[b.z_low_m, b.z_high_m, b.nose_setback_m, b.tail_setback_m, b.width_m], &[0.4, 0.7, 0.6, 1.0, 2.7]);
    near(
        &[b.nose_sweep_m, b.nose_corner_radius_m, b.tail_sweep_m, b.tail_corner_radius_m, b.side_barrel_m],
        &[0.3, 0.09, 0.15, 0.12, 0.06],
    );
    let plan = |index: usize| match big.features[index].place {
        FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m } => {
            vec![behind_nose_m, length_m, reach_m, corner_radius_m]
        }
        FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m }
        | FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m } => {
            vec![y_m, width_m, reach_m, corner_radius_m]
        }
        FeaturePlace::Standing { behind_nose_m, y_m, length_m, width_m, corner_radius_m } => {
            vec![behind_nose_m, y_m, length_m, width_m, corner_radius_m]
        }
    };
    near(&plan(0), &[3.4, 0.15, 0.2, 0.02]);
    near(&plan(1), &[3.4, 0.3, 0.2, 0.02]);
    near(&plan(2), &[0.45, 0.2, 0.01, 0.004]);
    near(&plan(3), &[0.45, 0.3, 0.01, 0.004]);
    near(&plan(4), &[2.0, 0.75, 0.4, 0.2, 0.1]);
    near(&plan(5), &[2.0, 0.75, 0.8, 0.3, 0.15]);
    near(&[big.features[0].z_low_m, big.features[0].z_high_m], &[0.45, 0.55]);
}

/// Flush marks that meet are two, in whatever order they are listed; a bump on either of them, or beside a bump with nothing between, is refused. By hand along
/// the side of the plain body: a nose corner rounded up to x = −0.3, a tail corner from x = −4.6 on.
#[test]
fn verif_features_that_meet_by_hand() {
    let mark = |behind: f64, length: f64| {
        side(FeatureKind::Step, FeatureSide::Left, (0.9, 1.05), behind, length, 0.0)
    };
    let length_of = |spec: &VehicleSpec, index: usize| -> (usize, f64) {
        let vehicle = build(spec);
        let outline = super::band_at(&vehicle, 1.0).body().expect("body").clone();
        let pieces = outline.chain.pieces().iter().zip(&outline.tags);
        let own: Vec<f64> =
            pieces.filter(|(_, tag)| tag.feature == Some(index)).map(|(piece, _)| piece.length_m()).collect();
        (own.len(), own.iter().sum())
    };
    for features in [vec![mark(1.0, 0.5), mark(1.5, 0.7)], vec![mark(1.5, 0.7), mark(1.0, 0.5)]] {
        let lengths: Vec<f64> = features
            .iter()
            .map(|f| match f.place {
                FeaturePlace::Side { length_m, .. } => length_m,
                _ => f64::NAN,
            })
            .collect();
        let spec = with(features);
        for (index, want) in lengths.iter().enumerate() {
            let (count, length) = length_of(&spec, index);
            assert!(count == 1 && (length - want).abs() < 1e-9, "{index}: {count} {length}");
        }
    }
    // From corner to corner, and up to either: one piece each, for the rounding only meets it.
    for (behind, length) in [(0.3, 4.3), (0.3, 1.0), (3.6, 1.0)] {
        let (count, got) = length_of(&with(vec![mark(behind, length)]), 0);
        assert!(count == 1 && (got - length).abs() < 1e-9, "{behind}: {count} {got}");
    }
    // Into the rounding: 0.1 m along the vehicle from its end is an arc of 0.3 m · asin(1/3).
    let (count, got) = length_of(&with(vec![mark(0.2, 0.6)]), 0);
    assert!(count == 2 && (got - 0.5 - 0.3 * (1.0_f64 / 3.0).asin()).abs() < 1e-9, "{count} {got}");
    // Marks that share a stretch, and bumps that share a face.
    let refused = |features: Vec<FeatureSpec>| told(&with(features)).expect_err("they meet").1;
    assert!(refused(vec![mark(1.0, 0.5), mark(1.499, 0.7)]).contains("on «left step»"));
    let bump = |behind: f64| side(FeatureKind::Mirror, FeatureSide::Left, (0.9, 1.05), behind, 0.15, 0.2);
    for (one, other) in [(1.7, 1.85), (1.85, 1.7)] {
        let fault = told(&with(vec![bump(one), bump(other)])).expect_err("they share a face");
        assert!(fault.0.starts_with("features[1]"), "{fault:?}");
    }
    assert_eq!(told(&with(vec![bump(1.7), bump(1.86)])), Ok(()));
}

/// A thing that stands free beside a rounded corner, inside of the square around it, does not touch it; one that reaches over the rounding does. By hand: the
/// corner is a circle of 0.3 m about (−0.3, 0.6), the thing 10 mm by 8 mm.
#[test]
fn verif_beside_a_rounded_corner_there_is_room() {
    let beside = |behind: f64, y: f64| {
        told(&with(vec![standing(FeatureSide::Left, (0.5, 0.6), behind, y, [0.01, 0.008, 0.0])]))
    };
    // Its inner corner is 0.195 and 0.289 m off the centre: 0.349 m.
    assert_eq!(beside(0.095, 0.893), Ok(()));
    // 0.15 and 0.256 m: 0.297 m.
    assert!(beside(0.14, 0.86).expect_err("touches").1.contains("in the body"));
    // On the centreline, a thing is its own mirror image: it stands over the middle, as far on both sides.
    let vehicle = build(&with(vec![standing(FeatureSide::Centre, (1.4, 1.5), 1.0, 0.0, [0.4, 0.2, 0.05])]));
    let bounds = super::band_at(&vehicle, 1.45).outlines[0].chain.bounds();
    assert!((bounds.max.y - 0.1).abs() < 1e-12 && (bounds.min.y + 0.1).abs() < 1e-12);
}
