use super::super::surface_point;
use super::*;
use crate::elementary::Elementary;
use crate::geometry::{Arc, Line};

/// n points integrate x^(2n − 2) exactly, and the next even power not.
#[test]
fn verif_gauss_points() {
    let sum = |rule: &[(f64, f64)], power: i32| {
        rule.iter().map(|(x, w)| w * x.powi(power)).sum::<f64>() * f64::from(power + 1) / 2.0
    };
    for (rule, n) in [(&GAUSS_4[..], 4), (&GAUSS_6[..], 6), (&GAUSS_8[..], 8), (&GAUSS_16[..], 16)] {
        for power in (0..2 * n).step_by(2) {
            assert!((sum(rule, power) - 1.0).abs() < 1e-14, "x^{power} with {n} points");
        }
        assert!((sum(rule, 2 * n) - 1.0).abs() > 1e-11);
    }
    // The stretched points still measure the interval.
    assert!((sum(&SOFT_16, 0) - 1.0).abs() < 1e-14 && (sum(&SOFT_16, 2) - 1.0).abs() < 1e-12);
}

/// How many points a stretch takes, by hand: how far its middle is from tan(π/8) over its half width, 12, 2.6 and 1.7; a post is round
/// enough from a radius of 0.6 of its distance down.
#[test]
fn verif_how_many_points_a_stretch_takes() {
    let arc = |r: f64, distance_m: f64| VisibleArc {
        e: Vec2::new(1.0, 0.0),
        f: Vec2::new(0.0, 1.0),
        r,
        distance_m,
        gap_m: distance_m - r,
        lo: 0.0,
        hi: 0.0,
        face_m: 0.0,
    };
    let count = |stretch: Stretch, r: f64, distance_m: f64| match stretch.points(&arc(r, distance_m)) {
        Points::Four => 4,
        Points::Six => 6,
        Points::Eight => 8,
        Points::Sixteen => 16,
    };
    for mid in [0.0, 0.1, -0.1, 0.3, -0.3] {
        let clear = std::f64::consts::SQRT_2 - 1.0 - f64::abs(mid);
        for (ratio, flat, round) in [
            (12.01, 4, 4),
            (11.99, 6, 6),
            (2.61, 6, 6),
            (2.59, 8, 8),
            (1.71, 8, 8),
            (1.69, 16, 8),
            (0.5, 16, 8),
        ] {
            let stretch = Stretch { mid, half: clear / ratio };
            assert_eq!(count(stretch, 0.61, 1.0), flat, "{mid} {ratio}");
            assert_eq!(count(stretch, 1.3, 2.0), flat, "{mid} {ratio}");
            assert_eq!(count(stretch, 0.59, 1.0), round, "{mid} {ratio}");
            assert_eq!(count(stretch, 1.1, 2.0), round, "{mid} {ratio}");
        }
    }
    let stretch = Stretch::new(-0.1, 0.3);
    assert!((stretch.mid - 0.1).abs() < 1e-15 && (stretch.half - 0.2).abs() < 1e-15);
    assert_eq!(count(Stretch { mid: 0.0, half: 1.0 }, 0.6, 1.0), 16);
}

/// A law with a number of its own for everything.
fn law(exponent: f64, spin_rad_s: f64) -> ContactLaw {
    ContactLaw {
        radius_m: 0.6,
        hub_radius_m: 0.2,
        stiffness: 83.0,
        spin_stiffness: 0.0,
        exponent,
        friction: 0.37,
        lead_m: 0.11,
        rubbing_share: 0.6,
        spin_rad_s,
        hub_stiffness: 700.0,
    }
}

/// A contact from its words, strip by strip along the surface: at p with normal n and tangent t, ρ = |p − c|, cos β = (c − p)·n/ρ, the strips on ds push with
/// K (R − ρ)^p cos² β/ρ ds along n and rub against the speed of their tips over the surface, (v + ω ẑ × (p − c))·t; of the push beyond the hub all
/// rubs, and it has no lead. By the midpoint rule.
fn by_strips(law: &ContactLaw, piece: &Piece, (from_m, to_m): (f64, f64), c: Vec2, v: Vec2) -> ContactSum {
    let count = 4000;
    let mut sum = ContactSum { indentation_m: f64::NEG_INFINITY, ..ContactSum::default() };
    for k in 0..count {
        // Close together toward both ends, where a push may start like a root.
        let turn = std::f64::consts::PI * (f64::from(k) + 0.5) / f64::from(count);
        let half = 0.5 * (to_m - from_m);
        let s_m = from_m + half * (1.0 - turn.cosine());
        let ds = half * turn.sine() * std::f64::consts::PI / f64::from(count);
        let (p, n) = (piece.point_at(s_m), piece.normal_at(s_m));
        let (arm, t) = (p - c, Vec2::new(-n.y, n.x));
        let rho = arm.norm();
        let seen = (arm.dot(&n) / rho).powi(2) / rho * ds;
        let press = (law.radius_m - rho).max(0.0);
        let strips = law.stiffness * press.power(law.exponent) * seen;
        let hub = law.hub_stiffness * (law.hub_radius_m - rho).max(0.0) * seen;
        let tip = (v + Vec2::new(-arm.y, arm.x) * law.spin_rad_s).dot(&t);
        let sense = (tip / FRICTION_FADE_M_S).clamp(-1.0, 1.0);
        let rub = -t * (law.friction * sense * (strips + hub));
        sum.push_n_per_m += n * (strips + hub);
        sum.friction_n_per_m += rub;
        sum.push_moment_n += arm.perp(&n) * (strips + hub) + sense * law.lead_m * strips;
        sum.friction_moment_n += arm.perp(&rub);
        sum.normal_sum_n_per_m += strips + hub;
        sum.rubbing_w_per_m += law.friction * (law.rubbing_share * strips + hub) * sense * tip;
        sum.indentation_m = sum.indentation_m.max(law.radius_m - rho);
    }
    let force = sum.push_n_per_m + sum.friction_n_per_m;
    sum.absorbed_w_per_m = -force.dot(&v) - (sum.push_moment_n + sum.friction_moment_n) * law.spin_rad_s;
    sum
}

/// Every number of a contact by name, over what is natural for it: newtons, newton metres, watts of the push.
fn compared(got: &ContactSum, want: &ContactSum, v: Vec2, law: &ContactLaw) -> [(&'static str, f64); 10] {
    let push = want.normal_sum_n_per_m;
    let tip = (v.norm() + law.spin_rad_s.abs() * law.radius_m).max(FRICTION_FADE_M_S);
    [
        ("push x", (got.push_n_per_m.x - want.push_n_per_m.x) / push),
        ("push y", (got.push_n_per_m.y - want.push_n_per_m.y) / push),
        ("friction x", (got.friction_n_per_m.x - want.friction_n_per_m.x) / push),
        ("friction y", (got.friction_n_per_m.y - want.friction_n_per_m.y) / push),
        ("moment of the push", (got.push_moment_n - want.push_moment_n) / (push * law.radius_m)),
        ("moment of friction", (got.friction_moment_n - want.friction_moment_n) / (push * law.radius_m)),
        ("normal", got.normal_sum_n_per_m / push - 1.0),
        ("rubbing", (got.rubbing_w_per_m - want.rubbing_w_per_m) / (push * tip)),
        ("absorbed", (got.absorbed_w_per_m - want.absorbed_w_per_m) / (push * tip)),
        ("deepest", (got.indentation_m - want.indentation_m) / law.radius_m),
    ]
}

/// Contacts by chance: along lines and arcs, posts and bows, from grazing to pressed on the hub, with spin and travel of any sense, at rest, and turning round on
/// the surface; linear, constant and other pushes. Each against its strips, and against the sum of its parts.
#[test]
fn verif_contacts_against_their_strips_and_their_parts() {
    let mut by = super::super::chances();
    let (mut touched, mut hub, mut turned) = (0, 0, 0);
    for case in 0..600 {
        let unit = |angle: f64| Vec2::new(angle.cosine(), angle.sine());
        let c = Vec2::new(by(-2.0, 2.0), by(-2.0, 2.0));
        let out = by(0.08, 0.59);
        let bearing = by(-3.1, 3.1);
        let piece = match case % 4 {
            0 => {
                let foot = c + unit(bearing) * out;
                // Outward normal toward the brush: the tangent turned right.
                let t = Vec2::new(unit(bearing).y, -unit(bearing).x);
                Piece::Line(Line { a: foot - t * by(-0.2, 0.8), b: foot + t * by(0.25, 0.8) })
            }
            kind => {
                let r = [0.0, by(0.02, 0.2), by(0.3, 1.5), by(3.0, 40.0)][kind];
                let center = c + unit(bearing) * (r + out);
                let toward = bearing + std::f64::consts::PI;
                let reach = (0.8 / r).min(0.5 * std::f64::consts::PI);
                let start_rad = toward - reach * by(-0.2, 1.0);
                Piece::Arc(Arc { center, radius_m: r, start_rad, sweep_rad: reach * by(0.3, 1.0) })
            }
        };
        let exponent = [1.0, 1.0, 0.0, 1.6][(case / 4) % 4];
        let spin_rad_s = [by(-12.0, 12.0), by(-0.8, 0.8), 0.0][(case / 16) % 3];
        let v = unit(by(-3.1, 3.1)) * [by(0.0, 0.4), 0.0, by(0.0, 0.2)][(case / 48) % 3];
        let law = law(exponent, spin_rad_s);
        let facet = Facet::of(&piece);
        let Some((visible, at_ends)) = visible_part(&facet, c, law.radius_m) else { continue };
        let stretch = super::super::visible_part::VisiblePiece { outline: 0, piece: 0, visible, at_ends }
            .stretch_m(&facet);
        let got = contact(&law, &visible, v);
        if got.normal_sum_n_per_m < 1e-3 {
            continue;
        }
        touched += 1;
        hub += usize::from(got.indentation_m > law.radius_m - law.hub_radius_m);
        let want = by_strips(&law, &piece, stretch, c, v);
        // What rubs turns round where the friction is less than the push would give.
        let full = law.friction * want.normal_sum_n_per_m;
        turned += usize::from(want.friction_n_per_m.norm() < 0.9 * full && v.norm() + spin_rad_s.abs() > 0.0);
        // Where tips turn round, or hardly move, the fade of a millimetre a second lies between few points: friction and what follows from it.
        let slowest = (0..=200).fold(f64::INFINITY, |slowest: f64, k| {
            let s_m = stretch.0 + (stretch.1 - stretch.0) * f64::from(k) / 200.0;
            slowest.min(surface_point(&law, &piece, s_m, c, v).tip_m_s.abs())
        });
        let soft = |what: &str| slowest < 1e-2 && !matches!(what, "push x" | "push y" | "normal" | "deepest");
        let within = |what: &str, sharp: f64| match (soft(what), exponent == 1.6) {
            (true, _) => 6e-3,
            (false, true) => 3e-4,
            (false, false) => sharp,
        };
        for (what, off) in compared(&got, &want, v, &law) {
            assert!(off.abs() < within(what, 6e-5), "{case}: {what} is off by {off:e}: {got:?} {want:?}");
        }
        // In twenty parts, the whole over again.
        let mut sum = ContactSum { indentation_m: f64::NEG_INFINITY, ..ContactSum::default() };
        for k in 0..20 {
            let at = |k: i32| stretch.0 + (stretch.1 - stretch.0) * f64::from(k) / 20.0;
            sum.add(&contact(&law, &super::within(&visible, &facet, at(k), at(k + 1)), v));
        }
        for (what, off) in compared(&sum, &got, v, &law) {
            assert!(off.abs() < within(what, 1e-5), "{case}: {what} of the parts is off by {off:e}");
        }
        // At one point: pressure and tip.
        let s_m = 0.37 * stretch.0 + 0.63 * stretch.1;
        let point = surface_point(&law, &piece, s_m, c, v);
        let (arm, n) = (piece.point_at(s_m) - c, piece.normal_at(s_m));
        let rho = arm.norm();
        let push = law.stiffness * (0.6 - rho).max(0.0).power(exponent) + 700.0 * (0.2 - rho).max(0.0);
        let tip = (v + Vec2::new(-arm.y, arm.x) * spin_rad_s).dot(&Vec2::new(-n.y, n.x));
        assert!((point.press_m - (0.6 - rho)).abs() < 1e-12);
        assert!((point.pressure_pa - push * arm.dot(&n).powi(2) / rho.powi(3)).abs() < 1e-9, "{case}");
        assert!((point.tip_m_s - tip).abs() < 1e-11, "{case}");
    }
    assert!(touched > 400 && hub > 20 && turned > 15, "{touched} {hub} {turned}");
}
