//! Brushes that overlap press on each other.

use crate::common::machine::{setup, unit};
use brusharm::arm::{Media, PushBack, Side, SpinSense, lens_force_n};
use brusharm::geometry::Vec2;
use brusharm::pass::{PassSetup, brush_to_brush, brushes_can_meet, run};
use brusharm::vehicle::fleet;

/// Units opposite each other whose brushes overlap at rest.
fn crowded() -> PassSetup {
    let mut setup = setup(&fleet::sedan(), 100.0);
    setup.units[1].pivot_m = setup.units[0].pivot_m;
    for unit in &mut setup.units {
        unit.inboard_stop.seat_rad -= 0.06;
    }
    // Spinning the same way round in space they rub each other; with opposite senses they would roll.
    setup.units[1].brush.spin_sense = SpinSense::InboardAtNose;
    setup
}

/// Actio = reactio: the forces are opposite, and the moments take from both spindles when they rub.
#[test]
fn verif_brushes_push_each_other_alike() {
    let (mut a, mut b) = (unit(Side::Left).brush, unit(Side::Right).brush);
    (a.radius_m, b.radius_m) = (0.62, 0.55);
    b.media = Media::stiff(PushBack { depth_m: 0.15, force_n: 60.0, height_m: 1.1 });
    let (ca, cb) = (Vec2::new(0.1, 0.5), Vec2::new(0.3, -0.45));
    let velocities = [Vec2::new(0.1, 0.2), Vec2::new(-0.3, 0.05)];
    let [on_a, on_b] = brush_to_brush([&a, &b], [ca, cb], velocities, [9.0, -8.0]).expect("they overlap");
    assert!((on_a.force_n + on_b.force_n).norm() < 1e-12 && on_a.force_n.norm() > 1.0);
    // The push parts them.
    assert!(on_a.force_n.dot(&(ca - cb)) > 0.0);
    // Total moment of the pair about any point is nothing: they act on each other along one chord.
    let about = |p: Vec2| {
        (ca - p).perp(&on_a.force_n) + on_a.moment_n_m + (cb - p).perp(&on_b.force_n) + on_b.moment_n_m
    };
    assert!(about(Vec2::zeros()).abs() < 1e-12 && about(Vec2::new(3.0, -2.0)).abs() < 1e-12);
    // Apart there is nothing.
    assert_eq!(brush_to_brush([&a, &b], [ca, cb - Vec2::new(0.0, 0.5)], velocities, [9.0, -8.0]), None);
}

/// Cloth on cloth pushes by its turning over the ground: with both at twice the turning four times as hard, whichever way round, and the same at twice the mass as
/// at √2 of the turning.
#[test]
fn verif_cloth_pushes_cloth_as_its_turning_squared() {
    let mut brush = unit(Side::Left).brush;
    brush.media = Media::Limp { mass_kg: 25.0 };
    (brush.exponent, brush.stiffening_spin_rad_s) = (1.0, None);
    let push = |brush: &brusharm::arm::Brush, turning: [f64; 2]| {
        let at = [Vec2::new(0.0, 0.5), Vec2::new(0.0, -0.5)];
        let [on_a, _] =
            brush_to_brush([brush, brush], at, [Vec2::zeros(); 2], turning).expect("they overlap");
        on_a.force_n.y
    };
    let once = push(&brush, [6.0, -6.0]);
    assert!(once > 1.0, "{once}");
    for turning in [[12.0, -12.0], [-12.0, 12.0], [12.0, 12.0]] {
        assert!((push(&brush, turning) / once - 4.0).abs() < 1e-9);
    }
    let heavy = brusharm::arm::Brush { media: Media::Limp { mass_kg: 50.0 }, ..brush };
    let faster = 6.0 * 2.0_f64.sqrt();
    assert!((push(&heavy, [6.0, -6.0]) / push(&brush, [faster, -faster]) - 1.0).abs() < 1e-9);
}

/// Lens contact: grows with overlap, from nothing; alike whichever brush is named first.
#[test]
fn verif_lens_force_grows_with_overlap() {
    let force = |d: f64| lens_force_n([0.6, 0.5], [500.0, 700.0], [1.0, 1.3], 1.1, d);
    assert_eq!(force(1.1), 0.0);
    let mut last = 0.0;
    for i in 1..40 {
        let now = force(1.1 - 0.01 * f64::from(i));
        assert!(now > last);
        last = now;
    }
    let turned = lens_force_n([0.5, 0.6], [700.0, 500.0], [1.3, 1.0], 1.1, 0.9);
    assert!((turned / force(0.9) - 1.0).abs() < 1e-12);
}

/// A whole pass of a crowded pair: the audit of the pair closes, the brushes take work from each other's spindles, and they hold each
/// other off: both rest further out than alone.
#[test]
fn verif_crowded_pair_closes_its_audit() {
    let setup = crowded();
    assert!(brushes_can_meet(&setup.units));
    let record = run(&setup).expect("runs");
    let total = record.audit();
    assert!(total.brushes_j > 100.0, "{total:?}");
    assert!(total.residual_fraction().expect("work").abs() < 1e-6, "{total:?}");
    for unit in &record.units {
        assert!(unit.audit.residual_fraction().expect("work").abs() < 1e-6, "{:?}", unit.audit);
    }
    // Alone it would rest further in; where the pair comes to rest is what it settles at.
    let alone = brusharm::pass::rest_angle_rad(&setup.units[0]).expect("rests");
    let unit = &record.units[0];
    let last = unit.left_alone.last().expect("followed on");
    let stands = last.value_at(brusharm::pass::motion::state::PHI, last.start_s + last.length_s);
    assert!(stands > alone + 1e-3 && unit.rest_phi_rad > alone + 1e-3, "{stands} {alone}");
    assert!((unit.rest_phi_rad - stands).abs() < 0.01, "{} {stands}", unit.rest_phi_rad);
    assert!(unit.settled_s.is_some());
}

/// Integrated together or apart makes no difference as long as the brushes never touch.
#[test]
fn verif_coupling_does_nothing_to_brushes_apart() {
    // No vehicle ahead: every unit starts from rest, whenever that is.
    let mut apart = setup(&fleet::sedan(), 100.0);
    apart.train.truncate(1);
    apart.measured = 0;
    assert!(!brushes_can_meet(&apart.units));
    let mut close = apart.clone();
    close.units[1].pivot_m.x = 1.1;
    for unit in &mut close.units {
        // Soft stops that could give way far enough, but do not.
        unit.inboard_stop.full_compression_m = 0.12;
        unit.inboard_stop.seat_rad += 0.06;
    }
    assert!(brushes_can_meet(&close.units));
    let together = run(&close).expect("runs");
    assert_eq!(together.audit().brushes_j, 0.0, "they never touch");
    for index in [0, 1] {
        let single = PassSetup { units: vec![close.units[index].clone()], ..close.clone() };
        let single = run(&single).expect("runs");
        for i in 0..400 {
            let t = 0.1 * f64::from(i);
            let (a, b) = (&together.units[index], &single.units[0]);
            let off = a.state_at(t).phi_rad() - b.state_at(t).phi_rad();
            assert!(off.abs() < 2e-5, "{off} rad at {t} s");
        }
    }
}

/// The rest told of a leaning pair is where its run starts, further out than either stands alone; of a pair that cannot meet it is each one's own.
#[test]
fn verif_rest_of_a_leaning_pair_is_where_it_starts() {
    let mut setup = crowded();
    setup.train.truncate(1);
    setup.measured = 0;
    let record = run(&setup).expect("runs");
    let rests = brusharm::pass::rest_angles_rad(&setup);
    for ((unit, model), rest) in record.units.iter().zip(&setup.units).zip(&rests) {
        let rest = *rest.as_ref().expect("it rests");
        assert_eq!(rest, unit.state_at(unit.start_s()).phi_rad());
        let alone = brusharm::pass::rest_angle_rad(model).expect("it rests");
        assert!(rest > alone + 1e-3, "{rest} {alone}");
    }
    for unit in &mut setup.units {
        unit.inboard_stop.seat_rad += 0.5;
    }
    assert!(!brushes_can_meet(&setup.units));
    for (model, rest) in setup.units.iter().zip(brusharm::pass::rest_angles_rad(&setup)) {
        assert_eq!(rest, brusharm::pass::rest_angle_rad(model));
    }
}
