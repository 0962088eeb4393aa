//! Checks of the single numbers of a spec, and of the stack of bodies. What only shows when outlines are built is found in `build`.

use super::error::{length_text, range_text};
use super::{BodySpec, FeaturePlace, FeatureSide, FeatureSpec, VehicleError, VehicleSpec};

/// Two heights, widths or setbacks closer than this are the same, m.
pub(super) const SAME_M: f64 = 1.0e-6;

/// Smallest sweep, barrel, radius or reach other than 0, m: less cannot be measured and makes needlessly huge circles.
const LEAST_M: f64 = 1.0e-4;

/// Thinnest body or feature, m.
const THINNEST_M: f64 = 1.0e-3;

const MOST_BODIES: usize = 12;
const MOST_FEATURES: usize = 40;

type Check = Result<(), VehicleError>;

fn between(field: &str, value_m: f64, low_m: f64, high_m: f64, advice: &str) -> Check {
    if value_m >= low_m && value_m <= high_m {
        return Ok(());
    }
    Err(VehicleError::new(field, length_text(value_m), range_text(low_m, high_m), advice))
}

/// 0, or between the least and the most.
fn zero_or_between(field: &str, value_m: f64, high_m: f64, advice: &str) -> Check {
    if value_m == 0.0 || (value_m >= LEAST_M && value_m <= high_m) {
        return Ok(());
    }
    let allowed =
        if high_m >= LEAST_M { format!("0, or {}", range_text(LEAST_M, high_m)) } else { "0".to_owned() };
    Err(VehicleError::new(field, length_text(value_m), allowed, advice))
}

pub(super) fn check_spec(spec: &VehicleSpec) -> Check {
    check_name("name", &spec.name)?;
    let tape = "measure the body without mirrors, racks and hitch";
    between("length", spec.length_m, 0.5, 12.0, tape)?;
    between("width", spec.width_m, 0.3, 3.0, tape)?;
    between("height", spec.height_m, 0.3, 4.5, tape)?;
    check_count("body", spec.body.len(), 1, MOST_BODIES, "describe the body in a few height ranges")?;
    check_count("features", spec.features.len(), 0, MOST_FEATURES, "leave out what a brush does not feel")?;
    for (index, body) in spec.body.iter().enumerate() {
        check_body(spec, index, body)?;
    }
    check_stack(spec)?;
    for (index, feature) in spec.features.iter().enumerate() {
        check_feature(spec, index, feature)?;
    }
    Ok(())
}

fn check_name(field: &str, name: &str) -> Check {
    let count = name.chars().count();
    if name.trim().is_empty() || count > 80 || name.chars().any(char::is_control) {
        let given = if count > 80 { format!("{count} characters") } else { format!("{name:?}") };
        return Err(VehicleError::new(field, given, "1 to 80 printable characters", "give it a short name"));
    }
    Ok(())
}

fn check_count(field: &str, count: usize, low: usize, high: usize, advice: &str) -> Check {
    if (low..=high).contains(&count) {
        return Ok(());
    }
    Err(VehicleError::new(field, format!("{count} entries"), format!("{low} to {high} entries"), advice))
}

fn check_body(spec: &VehicleSpec, index: usize, body: &BodySpec) -> Check {
    let field = |name: &str| format!("body[{index}].{name}");
    between(&field("z_low"), body.z_low_m, 0.0, spec.height_m, "heights are measured from the floor")?;
    let least_top = body.z_low_m + 10.0 * THINNEST_M;
    let top = spec.height_m.max(least_top) + SAME_M;
    between(
        &field("z_high"),
        body.z_high_m,
        least_top,
        top,
        "the top lies above the bottom, by at least 10 mm",
    )?;
    between(&field("width"), body.width_m, 0.1, spec.width_m + SAME_M, "no body is wider than the vehicle")?;
    let length = spec.length_m;
    let setback = "a setback is measured from the end of the vehicle to this body";
    between(&field("nose_setback"), body.nose_setback_m, 0.0, length - 0.2, setback)?;
    let most = length - body.nose_setback_m - 0.2;
    if most < LEAST_M && body.tail_setback_m != 0.0 {
        return Err(VehicleError::new(
            field("tail_setback"),
            length_text(body.tail_setback_m),
            "0: the nose setback leaves the body no more than the 0.2 m it is long at least",
            "reduce the nose setback, or leave the tail setback at 0",
        ));
    }
    between(&field("tail_setback"), body.tail_setback_m, 0.0, most.max(0.0), setback)?;
    let own = length - body.nose_setback_m - body.tail_setback_m;
    let bow =
        "a sweep or barrel is the height of a shallow bow, measured from a straight edge across its ends";
    zero_or_between(
        &field("side_barrel"),
        body.side_barrel_m,
        (0.25 * 0.5 * body.width_m).min(0.05 * own),
        bow,
    )?;
    let sweep_most = (0.5 * (0.5 * body.width_m - body.side_barrel_m)).min(0.25 * own);
    zero_or_between(&field("nose_sweep"), body.nose_sweep_m, sweep_most, bow)?;
    zero_or_between(&field("tail_sweep"), body.tail_sweep_m, sweep_most, bow)?;
    // The exact upper limit depends on the pieces beside the corner and is told when the outline is built.
    let corner = "reduce the corner radius";
    let radius_most = (0.5 * body.width_m).max(own);
    zero_or_between(&field("nose_corner_radius"), body.nose_corner_radius_m, radius_most, corner)?;
    zero_or_between(&field("tail_corner_radius"), body.tail_corner_radius_m, radius_most, corner)
}

fn check_stack(spec: &VehicleSpec) -> Check {
    for (index, pair) in spec.body.windows(2).enumerate() {
        if (pair[1].z_low_m - pair[0].z_high_m).abs() > SAME_M {
            return Err(VehicleError::new(
                format!("body[{}].z_low", index + 1),
                length_text(pair[1].z_low_m),
                length_text(pair[0].z_high_m),
                "list the bodies from the lowest to the highest, each starting where the one below ends",
            ));
        }
    }
    let Some(last) = spec.body.last() else { return Ok(()) };
    if (last.z_high_m - spec.height_m).abs() > SAME_M {
        return Err(VehicleError::new(
            format!("body[{}].z_high", spec.body.len() - 1),
            length_text(last.z_high_m),
            length_text(spec.height_m),
            "the highest body ends at the height of the vehicle: change one of the two",
        ));
    }
    // Which body is at fault cannot be known: the field of the first one that comes closest is named.
    let closest = |value: &dyn Fn(&BodySpec) -> f64, name: &str, target_m: f64, advice: &str| -> Check {
        let (mut at, mut best) = (0, f64::INFINITY);
        for (index, body) in spec.body.iter().enumerate() {
            let off = (value(body) - target_m).abs();
            if off < best {
                (at, best) = (index, off);
            }
        }
        if best <= SAME_M {
            return Ok(());
        }
        let given = length_text(value(&spec.body[at]));
        Err(VehicleError::new(format!("body[{at}].{name}"), given, length_text(target_m), advice))
    };
    closest(&|b| b.nose_setback_m, "nose_setback", 0.0, "one body must reach the nose tip (setback 0)")?;
    closest(&|b| b.tail_setback_m, "tail_setback", 0.0, "one body must reach the tail end (setback 0)")?;
    closest(&|b| b.width_m, "width", spec.width_m, "one body must be as wide as the vehicle")
}

fn check_feature(spec: &VehicleSpec, index: usize, feature: &FeatureSpec) -> Check {
    let field = |name: &str| format!("features[{index}].{name}");
    check_name(&field("name"), &feature.name)?;
    let bottom = spec.body[0].z_low_m;
    let within = "a feature begins on the body: between its underside and its top";
    between(&field("z_low"), feature.z_low_m, bottom, spec.height_m, within)?;
    let standing = matches!(feature.place, FeaturePlace::Standing { .. });
    let top = if standing { spec.height_m + 3.0 } else { spec.height_m };
    let top_advice = if standing {
        "the top lies above the bottom, at most 3 m above the body"
    } else {
        "the top lies above the bottom and not above the body it is on"
    };
    let least_top = feature.z_low_m + THINNEST_M;
    between(&field("z_high"), feature.z_high_m, least_top, top.max(least_top) + SAME_M, top_advice)?;
    if let Some(force_n) = feature.limit_force_n
        && !(force_n > 0.0 && force_n <= 1.0e5)
    {
        let advice = "state a force the part may take, or leave the limit out";
        return Err(VehicleError::new(
            field("limit_force"),
            format!("{force_n} N"),
            "above 0, up to 100000 N",
            advice,
        ));
    }
    let side_given = |allowed: &str, advice: &str| {
        Err(VehicleError::new(field("side"), feature.side.name(), allowed, advice))
    };
    let offset = |y_m: f64, width_m: f64| -> Check {
        let most = 0.5 * spec.width_m + 0.5;
        let advice =
            "measured from the centreline; left or right is said by the side, a centre feature takes a sign";
        match feature.side {
            FeatureSide::Centre => between(&field("y"), y_m, -most, most, advice),
            // A pair, or one side, stands clear of the centreline.
            _ => between(&field("y"), y_m, 0.5 * width_m + 2.0 * THINNEST_M, most, advice),
        }
    };
    match feature.place {
        FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m } => {
            if feature.side == FeatureSide::Centre {
                return side_given(
                    "left, right or both sides",
                    "a feature on a side panel cannot be at the centre",
                );
            }
            let on = "it must lie beside the body";
            between(&field("behind_nose"), behind_nose_m, 0.0, spec.length_m, on)?;
            between(
                &field("length"),
                length_m,
                THINNEST_M,
                (spec.length_m - behind_nose_m).max(THINNEST_M),
                on,
            )?;
            check_bump(&field, reach_m, corner_radius_m, length_m)
        }
        FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m }
        | FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m } => {
            between(&field("width"), width_m, THINNEST_M, spec.width_m, "it is no wider than the vehicle")?;
            offset(y_m, width_m)?;
            check_bump(&field, reach_m, corner_radius_m, width_m)?;
            check_centreline(&field, y_m, width_m, corner_radius_m)
        }
        FeaturePlace::Standing { behind_nose_m, y_m, length_m, width_m, corner_radius_m } => {
            let on = "it must stand over the vehicle's length";
            between(&field("behind_nose"), behind_nose_m, 0.0, spec.length_m, on)?;
            let most = (spec.length_m - behind_nose_m + 1.0).max(THINNEST_M);
            between(&field("length"), length_m, THINNEST_M, most, on)?;
            between(&field("width"), width_m, THINNEST_M, spec.width_m, "it is no wider than the vehicle")?;
            offset(y_m, width_m)?;
            let most = 0.5 * length_m.min(width_m);
            let advice = "half of the smaller of length and width makes it round, more is not possible";
            zero_or_between(&field("corner_radius"), corner_radius_m, most, advice)
        }
    }
}

fn check_bump(field: &dyn Fn(&str) -> String, reach_m: f64, radius_m: f64, along_m: f64) -> Check {
    zero_or_between(&field("reach"), reach_m, 1.5, "0 means flush with the body")?;
    if reach_m == 0.0 {
        return zero_or_between(
            &field("corner_radius"),
            radius_m,
            0.0,
            "a flush feature has no corners to round",
        );
    }
    let most = (0.5 * along_m).min(reach_m - 2.0 * SAME_M);
    zero_or_between(
        &field("corner_radius"),
        radius_m,
        most,
        "reduce the corner radius below reach and half width",
    )
}

/// Nose and tail outlines are cut at the centreline: no end or rounding of a feature may fall on it.
fn check_centreline(field: &dyn Fn(&str) -> String, y_m: f64, width_m: f64, radius_m: f64) -> Check {
    let (low, high) = (y_m - 0.5 * width_m, y_m + 0.5 * width_m);
    let clear = 2.0 * THINNEST_M;
    let need = if low < 0.0 && high > 0.0 { radius_m + clear } else { clear };
    let nearest = low.abs().min(high.abs());
    if nearest >= need {
        return Ok(());
    }
    Err(VehicleError::new(
        field("y"),
        format!("an end {} from the centreline", length_text(nearest)),
        format!("at least {}", length_text(need)),
        "move it a little, or centre it",
    ))
}
