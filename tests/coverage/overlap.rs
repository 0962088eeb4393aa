//! Overlap at nose and tail. A brush centre c out touches a flat nose (or tail) at last as far in as c − R, when it stands beside the face: R − c
//! past the centreline, of both brushes together 2R − c_left − c_right. One tier, so that every band says the same.

use crate::rig::*;
use brusharm::arm::Side;
use brusharm::coverage::CoverageSettings;

/// How near a reach comes, m: it is found between looks; the worst here is 2e-10 m.
const REACHED_M: f64 = 1e-6;

#[test]
fn verif_overlap_is_signed_at_nose_and_tail() {
    for (half_width, left, right) in [(0.35, 0.55, 0.50), (0.4, 0.85, 0.75), (0.5, 0.62, 0.75)] {
        for settings in [fine(), CoverageSettings::default()] {
            let units = vec![locked(Side::Left, 0.0, left), locked(Side::Right, 3.0, right)];
            let setup = pass(units, &plain_box(half_width));
            let overlap = solve(&setup, &settings).overlap;
            let want = 2.0 * RADIUS_M - left - right;
            assert!(want.abs() > 0.1);
            close(overlap.nose_m.expect("two brushes"), want, REACHED_M, "nose");
            close(overlap.tail_m.expect("two brushes"), want, REACHED_M, "tail");
        }
    }
}

/// A vehicle to the left of the middle is nearer to the left brush by what it is farther from the right one.
#[test]
fn verif_overlap_does_not_depend_on_where_between_the_brushes_the_vehicle_stands() {
    for offset in [-0.04, 0.03] {
        let units = vec![locked(Side::Left, 0.0, 0.55), locked(Side::Right, 3.0, 0.50)];
        let mut setup = pass(units, &plain_box(0.35));
        setup.train[0].lateral_offset_m = offset;
        let overlap = solve(&setup, &fine()).overlap;
        close(overlap.nose_m.expect("two brushes"), 0.15, REACHED_M, "nose");
        close(overlap.tail_m.expect("two brushes"), 0.15, REACHED_M, "tail");
    }
}

#[test]
fn verif_no_overlap_with_one_unit_or_one_that_touches() {
    let alone = solve(&pass(vec![locked(Side::Left, 0.0, 0.55)], &plain_box(0.35)), &fine());
    assert_eq!((alone.overlap.nose_m, alone.overlap.tail_m), (None, None));
    let units = vec![locked(Side::Left, 0.0, 0.55), locked(Side::Right, 3.0, 2.0)];
    let one_touches = solve(&pass(units, &plain_box(0.35)), &fine());
    assert_eq!((one_touches.overlap.nose_m, one_touches.overlap.tail_m), (None, None));
}
