//! Only the first surface on the way of a strip is pressed: against rays cast by brute force.

use super::*;

/// First hit of a ray on any outline, by going through every piece: (distance, outline, piece, local arclength).
fn first_hit(outlines: &[Outline], c: Vec2, ray: Vec2) -> Option<(f64, usize, usize, f64)> {
    let mut best: Option<(f64, usize, usize, f64)> = None;
    for (o, outline) in outlines.iter().enumerate() {
        for (p, piece) in outline.chain.pieces().iter().enumerate() {
            for hit in piece.ray(c, ray).into_iter().flatten() {
                if best.is_none_or(|b| hit.distance_m < b.0) {
                    best = Some((hit.distance_m, o, p, hit.s_m));
                }
            }
        }
    }
    best
}

/// A body with a bump like a mirror, a notch behind it, and a post standing before it.
pub fn cluttered() -> Vec<Outline> {
    let body = Chain::new({
        let line = |ax: f64, ay: f64, bx: f64, by: f64| Piece::Line(Line { a: v(ax, ay), b: v(bx, by) });
        let arc = |x: f64, y: f64, r: f64, start: f64, sweep: f64| {
            Piece::Arc(Arc { center: v(x, y), radius_m: r, start_rad: start, sweep_rad: sweep })
        };
        vec![
            line(0.0, -0.9, 0.0, 0.6),
            arc(-0.3, 0.6, 0.3, 0.0, FRAC_PI_2),
            line(-0.3, 0.9, -1.5, 0.9),
            line(-1.5, 0.9, -1.5, 1.05),
            arc(-1.55, 1.05, 0.05, 0.0, FRAC_PI_2),
            line(-1.55, 1.1, -1.65, 1.1),
            arc(-1.65, 1.05, 0.05, FRAC_PI_2, FRAC_PI_2),
            line(-1.7, 1.05, -1.7, 0.9),
            line(-1.7, 0.9, -2.4, 0.9),
            line(-2.4, 0.9, -2.4, 0.5),
            line(-2.4, 0.5, -2.9, 0.5),
            line(-2.9, 0.5, -2.9, 0.9),
            line(-2.9, 0.9, -4.0, 0.9),
            line(-4.0, 0.9, -4.0, -0.9),
            line(-4.0, -0.9, 0.0, -0.9),
        ]
    })
    .expect("a body");
    let island = Arc { center: v(-0.9, 1.15), radius_m: 0.06, start_rad: 0.0, sweep_rad: PI };
    let back = Arc { start_rad: PI, ..island };
    vec![
        outline(body.pieces().to_vec()),
        Outline { island: true, ..outline(vec![Piece::Arc(island), Piece::Arc(back)]) },
    ]
}

fn spans_at(outlines: &[Outline], c: Vec2, radius_m: f64) -> Vec<Span> {
    find_spans(outlines, c, radius_m, &mut SpanScratch::default()).to_vec()
}

/// Brush centres scattered all round an outline, outside it, from deep contact to none; the first half of them beside its left side.
pub fn centres_around(outlines: &[Outline], count: u32) -> Vec<Vec2> {
    let mut found = Vec::new();
    let mut seed = 1_u64;
    let mut random = || {
        // A plain linear congruence: only to scatter points.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    while found.len() < count as usize {
        let beside = found.len() < count as usize / 2;
        let (x, y) = if beside { (-3.0, 0.85) } else { (-5.0, -1.7) };
        let (wide, high) = if beside { (2.6, 0.75) } else { (6.0, 3.6) };
        let c = v(x + wide * random(), y + high * random());
        if outlines.iter().all(|o| o.chain.nearest(c).distance_m > 0.05) {
            found.push(c);
        }
    }
    found
}

/// First surface only. 240 brush positions × 240 rays: every ray that meets something within R must lie in exactly one span, on the piece
/// met first; no other ray may lie in any; and every point of a span must be in plain sight.
#[test]
fn verif_first_surface_only_against_brute_force_rays() {
    let outlines = cluttered();
    let sedan = fleet::sedan().build().expect("a sedan");
    let mirror_band = sedan.bands.iter().find(|b| !b.outlines[0].chain.is_convex()).expect("mirrors");
    let (mut rays, mut met, mut shadowed) = (0, 0, 0);
    for outlines in [&outlines[..], &mirror_band.outlines[..]] {
        let radius_m = 0.6;
        for c in centres_around(outlines, 240) {
            let spans = spans_at(outlines, c, radius_m);
            for i in 0..240 {
                let psi = TAU * (f64::from(i) + 0.381) / 240.0;
                let ray = v(psi.cos(), psi.sin());
                rays += 1;
                let Some((distance, o, p, s)) = first_hit(outlines, c, ray).filter(|h| h.0 < radius_m) else {
                    continue;
                };
                met += 1;
                let holds: Vec<&Span> = spans
                    .iter()
                    .filter(|x| x.outline == o && x.piece == p && s >= x.from_m - 1e-9 && s <= x.to_m + 1e-9)
                    .collect();
                let at_edge = spans.iter().any(|x| {
                    x.outline == o && x.piece == p && (s - x.from_m).abs().min((s - x.to_m).abs()) < 1e-7
                });
                assert!(holds.len() == 1 || at_edge, "{c:?}, ray {psi}: {distance} m, {} spans", holds.len());
            }
            for span in &spans {
                let piece = &outlines[span.outline].chain.pieces()[span.piece];
                for k in 0..12 {
                    let s = span.from_m + (span.to_m - span.from_m) * (f64::from(k) + 0.5) / 12.0;
                    let to = piece.point_at(s) - c;
                    let (distance, ..) = first_hit(outlines, c, to / to.norm()).expect("something is there");
                    assert!(
                        (distance - to.norm()).abs() < 1e-9,
                        "{c:?} sees past {distance} m to {}",
                        to.norm()
                    );
                    assert!(to.norm() < radius_m + 1e-12);
                }
            }
            // What lies within reach and faces the brush but is not seen: the shadow.
            for (o, outline) in outlines.iter().enumerate() {
                for (p, piece) in outline.chain.pieces().iter().enumerate() {
                    let n = 40;
                    for k in 0..n {
                        let s = piece.length_m() * (f64::from(k) + 0.5) / f64::from(n);
                        let to = piece.point_at(s) - c;
                        let seen = spans
                            .iter()
                            .any(|x| x.outline == o && x.piece == p && s >= x.from_m && s <= x.to_m);
                        let near = to.norm() < radius_m && to.dot(&piece.normal_at(s)) < 0.0;
                        if near && !seen {
                            shadowed += 1;
                            let first = first_hit(outlines, c, to / to.norm()).expect("hit").0;
                            assert!(first < to.norm() + 1e-9);
                        }
                    }
                }
            }
        }
    }
    assert!(rays > 100_000 && met > 20_000 && shadowed > 250, "{rays} rays, {met} met, {shadowed} in shadow");
}

/// A fork whose prongs stand in each other's shadow: small pieces, each seen whole or hidden whole, with nothing else in reach that would tell that
/// something is hidden. What the strips press on is what rays to the first surface press on, wherever the brush stands.
#[test]
fn verif_prongs_of_a_fork_hide_each_other() {
    let corners = [
        (0.0, 0.0),
        (0.12, 0.0),
        (0.12, 0.2),
        (0.09, 0.2),
        (0.09, 0.03),
        (0.07, 0.03),
        (0.07, 0.2),
        (0.05, 0.2),
        (0.05, 0.03),
        (0.03, 0.03),
        (0.03, 0.2),
        (0.0, 0.2),
    ];
    let law = law(1.0);
    let rays = 20_000;
    for turn in [0, 5, 9] {
        // The same outline, told from another corner on.
        let at = |i: usize| v(corners[(i + turn) % 12].0, corners[(i + turn) % 12].1);
        let outlines = [outline((0..12).map(|i| Piece::Line(Line { a: at(i), b: at(i + 1) })).collect())];
        let mut hidden = 0;
        for k in 0..72 {
            let angle = TAU * (f64::from(k) + 0.3) / 72.0;
            for distance in [0.25, 0.4] {
                let c = v(0.06, 0.1) + v(angle.cos(), angle.sin()) * distance;
                let got = contact(&outlines, &law, c, Vec2::zeros());
                let mut want = Vec2::zeros();
                for i in 0..rays {
                    let psi = TAU * (f64::from(i) + 0.5) / f64::from(rays);
                    let ray = v(psi.cos(), psi.sin());
                    if let Some((rho, o, p, s_m)) =
                        first_hit(&outlines, c, ray).filter(|h| h.0 < law.radius_m)
                    {
                        let inward = -outlines[o].chain.pieces()[p].normal_at(s_m);
                        let push = law.stiffness * (law.radius_m - rho) * inward.dot(&ray);
                        want -= inward * (push * TAU / f64::from(rays));
                    }
                }
                assert!(
                    (got.push_n_per_m - want).norm() < 5e-3 * want.norm(),
                    "{c:?}: {got:?}, by rays {want:?}"
                );
                let all: f64 = outlines[0].chain.pieces().iter().map(|p| p.length_m()).sum();
                let seen: f64 = spans_at(&outlines, c, law.radius_m).iter().map(|s| s.to_m - s.from_m).sum();
                hidden += usize::from(seen < 0.5 * all);
            }
        }
        assert!(hidden > 100, "{hidden}");
    }
}

/// Two faces alone in sight, each seen whole, one before the other: the prongs of a fork of two, and two posts of square section, the outlines told from each
/// of their corners on. From the side the strips press on the nearer face alone.
#[test]
fn verif_of_two_faces_in_a_row_the_nearer_is_pressed() {
    let told = |corners: &[(f64, f64)], turn: usize| {
        let at = |i: usize| v(corners[(i + turn) % corners.len()].0, corners[(i + turn) % corners.len()].1);
        outline((0..corners.len()).map(|i| Piece::Line(Line { a: at(i), b: at(i + 1) })).collect())
    };
    let fork = [
        (0.0, 0.0),
        (0.12, 0.0),
        (0.12, 0.2),
        (0.09, 0.2),
        (0.09, 0.03),
        (0.03, 0.03),
        (0.03, 0.2),
        (0.0, 0.2),
    ];
    let square = |x: f64| [(x, 0.0), (x + 0.05, 0.0), (x + 0.05, 0.2), (x, 0.2)];
    let mut scenes: Vec<Vec<Outline>> = (0..8).map(|turn| vec![told(&fork, turn)]).collect();
    for turns in 0..16 {
        let pair = [told(&square(0.07), turns % 4), told(&square(-0.05), turns / 4)];
        scenes.push(pair.to_vec());
        scenes.push(pair.into_iter().rev().collect());
    }
    // K ∫ (R − d/cos ψ) cos ψ dψ over the face at d = 0.3 m, from 15 mm above its lower end to 185 mm below its upper one.
    let (law, c) = (law(1.0), v(0.42, 0.015));
    let part = |h: f64| {
        let psi = (h / 0.3_f64).atan();
        law.radius_m * psi.sin() - 0.3 * psi
    };
    let want = law.stiffness * (part(0.015) + part(0.185));
    for (index, outlines) in scenes.iter().enumerate() {
        let got = contact(outlines, &law, c, Vec2::zeros());
        assert!(
            (got.push_n_per_m.x / want - 1.0).abs() < 1e-9,
            "scene {index}: {} for {want}",
            got.push_n_per_m.x
        );
        let seen_m: f64 = spans_at(outlines, c, law.radius_m).iter().map(|s| s.to_m - s.from_m).sum();
        assert!((seen_m - 0.2).abs() < 1e-12, "scene {index}: {seen_m}");
    }
}

/// Forces on a cluttered outline against the sum over 20 000 strips, each a ray to the first surface: push, friction, moment, rubbing,
/// and Σ (p − P) × F about a pivot.
#[test]
fn verif_forces_against_twenty_thousand_strips() {
    let outlines = cluttered();
    let mut law = law(1.0);
    law.friction = 0.35;
    law.hub_stiffness = 2e5;
    let strips = 20_000;
    let mut touched = 0;
    for c in centres_around(&outlines, 60) {
        let (velocity, pivot) = (v(-0.25, 0.12), v(-2.0, 1.4));
        let got = contact(&outlines, &law, c, velocity);
        let mut want = ContactSum::default();
        let mut torque = 0.0;
        for i in 0..strips {
            let psi = TAU * (f64::from(i) + 0.5) / f64::from(strips);
            let ray = v(psi.cos(), psi.sin());
            let Some((rho, o, p, s)) = first_hit(&outlines, c, ray).filter(|h| h.0 < law.radius_m) else {
                continue;
            };
            let hub = law.hub_stiffness * (law.hub_radius_m - rho).max(0.0);
            let (t, n) =
                (outlines[o].chain.pieces()[p].tangent_at(s), outlines[o].chain.pieces()[p].normal_at(s));
            let width = -ray.dot(&n) * TAU / f64::from(strips);
            let (strip, hub) = (law.stiffness * (law.radius_m - rho) * width, hub * width);
            let d_n = strip + hub;
            let slide = (velocity + v(-ray.y, ray.x) * (law.spin_rad_s * rho)).dot(&t);
            let sense = (slide / FRICTION_FADE_M_S).clamp(-1.0, 1.0);
            let friction = -t * (law.friction * d_n * sense);
            // The hub has no lead, and all of its friction rubs.
            let lead = (t * (-sense * law.lead_m)).perp(&(n * strip));
            want.push_n_per_m += n * d_n;
            want.friction_n_per_m += friction;
            want.friction_moment_n += (ray * rho).perp(&friction);
            want.push_moment_n += (ray * rho).perp(&(n * d_n)) + lead;
            want.normal_sum_n_per_m += d_n;
            want.rubbing_w_per_m -= friction.dot(&t) * slide * (law.rubbing_share * strip + hub) / d_n;
            torque += (c + ray * rho - pivot).perp(&(friction + n * d_n)) + lead;
        }
        let scale = want.normal_sum_n_per_m.max(1.0);
        // A shadow edge falls between two strips: an error of about one strip in the few thousand that touch.
        let close = |a: f64, b: f64| (a - b).abs() < 1e-3 * scale;
        assert!(
            close(got.push_n_per_m.x, want.push_n_per_m.x) && close(got.push_n_per_m.y, want.push_n_per_m.y),
            "{c:?} {got:?} {want:?}"
        );
        assert!(
            close(got.friction_n_per_m.x, want.friction_n_per_m.x)
                && close(got.friction_n_per_m.y, want.friction_n_per_m.y)
        );
        assert!(close(got.friction_moment_n, want.friction_moment_n));
        assert!(close(got.push_moment_n, want.push_moment_n), "{c:?} {got:?} {want:?}");
        assert!(close(got.normal_sum_n_per_m, want.normal_sum_n_per_m));
        assert!((got.rubbing_w_per_m - want.rubbing_w_per_m).abs() < 6e-3 * scale);
        // As the arm feels it: force through the brush centre, plus the moment of the rubbing.
        let arm_torque = (c - pivot).perp(&got.force_n_per_m()) + got.moment_n();
        assert!((arm_torque - torque).abs() < 3e-3 * scale, "{arm_torque} {torque}");
        touched += usize::from(want.normal_sum_n_per_m > 1.0);
    }
    assert!(touched > 20, "{touched} positions touch");
}
