//! Plane geometry against kurbo (a general-purpose curve library, crate kurbo 0.13), closed forms, and laws.

#[path = "common/cases.rs"]
mod cases;
#[path = "common/residual.rs"]
#[macro_use]
mod residual;

use approx::assert_relative_eq;
use brusharm::geometry::{Arc, Chain, GeometryError, Line, Piece, Vec2, crossings, fillet, rounded_polygon};
use cases::cases;
use kurbo::{ParamCurveNearest, Shape};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn v(x: f64, y: f64) -> Vec2 {
    Vec2::new(x, y)
}

fn line(ax: f64, ay: f64, bx: f64, by: f64) -> Piece {
    Piece::Line(Line { a: v(ax, ay), b: v(bx, by) })
}

fn arc(cx: f64, cy: f64, radius_m: f64, start_rad: f64, sweep_rad: f64) -> Piece {
    Piece::Arc(Arc { center: v(cx, cy), radius_m, start_rad, sweep_rad })
}

/// A stadium: two straights of length 2, two half circles of radius 0.5.
fn stadium() -> Chain {
    Chain::new(vec![
        line(0.0, 0.0, 2.0, 0.0),
        arc(2.0, 0.5, 0.5, -FRAC_PI_2, PI),
        line(2.0, 1.0, 0.0, 1.0),
        arc(0.0, 0.5, 0.5, FRAC_PI_2, PI),
    ])
    .expect("stadium")
}

/// A body with a bump: not convex, with convex arcs, sharp inner corners and one concave arc.
fn bumpy() -> Chain {
    Chain::new(vec![
        line(4.0, 0.0, 4.0, 1.0),
        arc(3.5, 1.0, 0.5, 0.0, FRAC_PI_2),
        line(3.5, 1.5, 2.5, 1.5),
        line(2.5, 1.5, 2.5, 1.7),
        arc(2.4, 1.7, 0.1, 0.0, PI),
        line(2.3, 1.7, 2.3, 1.5),
        line(2.3, 1.5, 1.0, 1.5),
        arc(1.0, 1.0, 0.5, FRAC_PI_2, FRAC_PI_2),
        arc(0.1, 1.0, 0.4, 0.0, -FRAC_PI_2),
        line(0.1, 0.6, 0.1, 0.0),
        line(0.1, 0.0, 4.0, 0.0),
    ])
    .expect("bumpy")
}

/// The same chain as cubic curves, each arc within about 1e-12 m.
fn kurbo_path(chain: &Chain) -> kurbo::BezPath {
    let at = |p: Vec2| kurbo::Point::new(p.x, p.y);
    let mut path = kurbo::BezPath::new();
    path.move_to(at(chain.pieces()[0].start()));
    for piece in chain.pieces() {
        match piece {
            Piece::Line(l) => path.line_to(at(l.b)),
            Piece::Arc(a) => {
                let radii = kurbo::Vec2::new(a.radius_m, a.radius_m);
                let arc = kurbo::Arc::new(at(a.center), radii, a.start_rad, a.sweep_rad, 0.0);
                path.extend(arc.append_iter(1e-12));
            }
        }
    }
    path.close_path();
    path
}

fn samples() -> Vec<Vec2> {
    // An irrational lattice over the shapes and their surroundings.
    (0..400)
        .map(|i| {
            let (a, b) =
                ((f64::from(i) * 0.618_033_988_75).fract(), (f64::from(i) * 0.414_213_562_37).fract());
            v(-2.0 + 8.0 * a, -2.0 + 6.0 * b)
        })
        .collect()
}

#[test]
fn val_perimeter_and_area_match_kurbo() {
    for chain in [stadium(), bumpy()] {
        let path = kurbo_path(&chain);
        assert!(chain.area_m2() > 1.0);
        held!((chain.length_m() / path.perimeter(1e-12) - 1.0).abs(), 1e-10);
        held!((chain.area_m2() / path.area() - 1.0).abs(), 1e-10);
        let (b, k) = (chain.bounds(), path.bounding_box());
        for (ours, theirs) in [(b.min.x, k.x0), (b.min.y, k.y0), (b.max.x, k.x1), (b.max.y, k.y1)] {
            held!((ours - theirs).abs(), 1e-10, "{ours} {theirs}");
        }
    }
}

#[test]
fn val_nearest_point_and_inside_match_kurbo() {
    for chain in [stadium(), bumpy()] {
        let path = kurbo_path(&chain);
        let mut inside_count = 0;
        for p in samples() {
            let q = kurbo::Point::new(p.x, p.y);
            let theirs =
                path.segments().map(|s| s.nearest(q, 1e-12).distance_sq).fold(f64::INFINITY, f64::min).sqrt();
            let ours = chain.nearest(p);
            held!((ours.distance_m.abs() - theirs).abs(), 1e-9, "{p} {} {theirs}", ours.distance_m);
            assert!((p - ours.point).norm() - ours.distance_m.abs() < 1e-12);
            let inside = path.contains(q);
            assert_eq!(chain.contains(p), inside, "{p}");
            assert_eq!(ours.distance_m < 0.0, inside, "{p}");
            inside_count += usize::from(inside);
        }
        assert!(inside_count > 20);
    }
}

#[test]
fn val_ray_hits_match_kurbo() {
    for chain in [stadium(), bumpy()] {
        let path = kurbo_path(&chain);
        let mut hits = 0;
        for (i, p) in samples().into_iter().enumerate() {
            // Aimed roughly at the middle, so that most rays meet something.
            let angle = (0.7 - p.y).atan2(1.5 - p.x) + (i as f64 * 0.7).sin();
            let u = v(angle.cos(), angle.sin());
            let end = p + u * 20.0;
            let probe = kurbo::Line::new((p.x, p.y), (end.x, end.y));
            let theirs = path
                .segments()
                .flat_map(|s| s.intersect_line(probe))
                .map(|hit| hit.line_t * 20.0)
                .fold(f64::INFINITY, f64::min);
            match chain.ray(p, u) {
                None => assert!(theirs.is_infinite(), "missed {p} {angle} at {theirs}"),
                Some(hit) => {
                    hits += 1;
                    held!((hit.distance_m - theirs).abs(), 1e-8, "{p} {angle} {} {theirs}", hit.distance_m);
                    assert!((chain.point_at(hit.s_m) - (p + u * hit.distance_m)).norm() < 1e-9);
                }
            }
        }
        assert!(hits > 100);
    }
}

#[test]
fn val_crossings_of_pieces_match_kurbo() {
    let straight = line(-1.0, 0.3, 3.0, 0.7);
    let round = arc(1.0, 0.2, 0.8, 0.3, 2.8);
    let Piece::Line(l) = straight else { unreachable!() };
    let curve = kurbo::Arc::new((1.0, 0.2), (0.8, 0.8), 0.3, 2.8, 0.0).to_path(1e-12);
    let theirs: Vec<f64> = curve
        .segments()
        .flat_map(|s| s.intersect_line(kurbo::Line::new((l.a.x, l.a.y), (l.b.x, l.b.y))))
        .map(|hit| l.a.x + hit.line_t * (l.b.x - l.a.x))
        .collect();
    let ours = crossings(&straight, &round);
    assert_eq!(ours.len(), 2);
    assert_eq!(theirs.len(), 2);
    for p in &ours {
        let nearest_m = theirs.iter().map(|x| (x - p.x).abs()).fold(f64::INFINITY, f64::min);
        held!(nearest_m, 1e-9, "{p} {theirs:?}");
    }
}

#[test]
fn verif_stadium_closed_forms() {
    let chain = stadium();
    assert_relative_eq!(chain.length_m(), 4.0 + PI, max_relative = 1e-15);
    assert_relative_eq!(chain.area_m2(), 2.0 + 0.25 * PI, max_relative = 1e-14);
    assert!(chain.is_convex());
    assert!(!bumpy().is_convex());
    assert_relative_eq!(chain.point_at(2.0 + 0.25 * PI), v(2.5, 0.5), epsilon = 1e-15);
    assert_relative_eq!(chain.normal_at(2.0 + 0.25 * PI), v(1.0, 0.0), epsilon = 1e-15);
    assert_relative_eq!(chain.normal_at(1.0), v(0.0, -1.0), epsilon = 1e-15);
    assert_relative_eq!(chain.tangent_at(1.0), v(1.0, 0.0), epsilon = 1e-15);
    // One lap on or back is the same point.
    let lap = chain.length_m();
    assert_relative_eq!(chain.point_at(0.5 + lap), chain.point_at(0.5), epsilon = 1e-14);
    assert_relative_eq!(chain.point_at(0.5 - lap), chain.point_at(0.5), epsilon = 1e-14);
    assert_eq!(chain.locate(2.0), (1, 0.0));
    assert_eq!(chain.locate(-1e-300).0, 0);
    let middle = chain.nearest(v(1.0, 0.4));
    assert_eq!((middle.piece, middle.s_m), (0, 1.0));
    assert_relative_eq!(middle.distance_m, -0.4, max_relative = 1e-15);
}

#[test]
fn verif_full_circle_is_a_chain() {
    let chain = Chain::new(vec![arc(1.0, 2.0, 0.004, 0.3, TAU)]).expect("circle");
    assert_relative_eq!(chain.area_m2(), PI * 0.004 * 0.004, max_relative = 1e-12);
    assert!(chain.is_convex());
    assert!(chain.contains(v(1.003, 2.0)) && !chain.contains(v(1.0041, 2.0)));
    assert_relative_eq!(chain.nearest(v(2.0, 2.0)).distance_m, 0.996, max_relative = 1e-12);
    assert_relative_eq!(chain.nearest(v(1.0, 2.001)).distance_m, -0.003, max_relative = 1e-9);
    let hit = chain.ray(v(0.0, 2.0), v(1.0, 0.0)).expect("hit");
    assert_relative_eq!(hit.distance_m, 0.996, max_relative = 1e-12);
    assert!(chain.ray(v(0.0, 2.0), v(-1.0, 0.0)).is_none());
}

#[test]
fn verif_two_arc_lens_is_a_chain() {
    let half = 0.5_f64.acos();
    let chain =
        Chain::new(vec![arc(-0.5, 0.0, 1.0, -half, 2.0 * half), arc(0.5, 0.0, 1.0, PI - half, 2.0 * half)])
            .expect("lens");
    // Two circles of radius 1, centres 1 apart: area 2π/3 − √3/2 (textbook lens).
    assert_relative_eq!(chain.area_m2(), 2.0 * PI / 3.0 - 0.75_f64.sqrt(), max_relative = 1e-14);
    assert!(chain.is_convex());
    assert!(chain.contains(v(0.0, 0.0)) && !chain.contains(v(0.6, 0.0)));
}

#[test]
fn verif_concave_piece_turns_the_normal_outward() {
    let chain = bumpy();
    let (index, concave) =
        chain.pieces().iter().enumerate().find(|(_, p)| p.curvature_per_m() < 0.0).expect("a concave piece");
    assert_relative_eq!(concave.curvature_per_m(), -2.5);
    let s = chain.piece_start_m(index) + 0.5 * concave.length_m();
    let outside = chain.point_at(s) + chain.normal_at(s) * 0.01;
    assert!(!chain.contains(outside) && chain.contains(chain.point_at(s) - chain.normal_at(s) * 0.01));
}

#[test]
fn verif_rounded_rectangle_closed_forms() {
    let (a, b, r) = (4.8, 1.8, 0.3);
    let corners = [(v(0.0, 0.0), r), (v(a, 0.0), r), (v(a, b), r), (v(0.0, b), r)];
    let chain = rounded_polygon(&corners).expect("rounded");
    assert_eq!(chain.pieces().len(), 8);
    assert_relative_eq!(chain.length_m(), 2.0 * (a + b) - (8.0 - TAU) * r, max_relative = 1e-14);
    assert_relative_eq!(chain.area_m2(), a * b - (4.0 - PI) * r * r, max_relative = 1e-14);
    let sharp = rounded_polygon(&corners.map(|(p, _)| (p, 0.0))).expect("sharp");
    assert_relative_eq!(sharp.area_m2(), a * b, max_relative = 1e-15);
    // Roundings that just use up a side leave no straight there.
    let capsule = rounded_polygon(&corners.map(|(p, _)| (p, 0.9))).expect("capsule");
    assert_eq!(capsule.pieces().len(), 6);
    let error = rounded_polygon(&corners.map(|(p, _)| (p, 0.91))).expect_err("too round");
    assert_eq!(error, GeometryError::RadiusTooLarge { corner: 1, radius_m: 0.91 });
}

#[test]
fn verif_fillets_are_tangent_to_both_pieces() {
    let cases = [
        // Line to line at a right angle, line to a large convex arc, arc to arc, and a right turn (concave fillet).
        (line(0.0, 0.0, 2.0, 0.0), line(2.0, 0.0, 2.0, 2.0), 1.0),
        (line(0.0, 0.0, 2.0, 0.0), arc(-1.0, 0.0, 3.0, 0.0, 1.0), 1.0),
        (
            arc(0.0, 2.0, 2.0, -2.5, 2.5 - FRAC_PI_2 + 0.5),
            {
                let start = v(0.0, 2.0) + v((-FRAC_PI_2 + 0.5_f64).cos(), (-FRAC_PI_2 + 0.5_f64).sin()) * 2.0;
                arc(start.x - 5.0, start.y, 5.0, 0.0, 0.3)
            },
            1.0,
        ),
        (line(0.0, 0.0, 2.0, 0.0), line(2.0, 0.0, 2.0, -2.0), -1.0),
    ];
    for (first, second, side) in cases {
        let r = 0.15;
        let found = fillet(&first, &second, r).expect("fits");
        let (a, arc, b) = (found.first.expect("left"), Piece::Arc(found.arc), found.second.expect("left"));
        assert_relative_eq!(found.arc.radius_m, r);
        assert_eq!(found.arc.sweep_rad.signum(), side);
        assert!(found.arc.sweep_rad.abs() < PI);
        assert_relative_eq!(a.end(), arc.start(), epsilon = 1e-12);
        assert_relative_eq!(arc.end(), b.start(), epsilon = 1e-12);
        assert_relative_eq!(a.tangent_at(a.length_m()), arc.tangent_at(0.0), epsilon = 1e-12);
        assert_relative_eq!(arc.tangent_at(arc.length_m()), b.tangent_at(0.0), epsilon = 1e-12);
        assert_relative_eq!(a.start(), first.start());
        assert_relative_eq!(b.end(), second.end(), epsilon = 1e-12);
    }
    // Between perpendicular lines the cut is exactly the radius.
    let right = fillet(&line(0.0, 0.0, 2.0, 0.0), &line(2.0, 0.0, 2.0, 2.0), 0.5).expect("fits");
    assert_relative_eq!(right.first.expect("left").length_m(), 1.5, max_relative = 1e-15);
    assert_relative_eq!(right.arc.center, v(1.5, 0.5), epsilon = 1e-15);
}

#[test]
fn verif_fillet_refuses_what_does_not_fit() {
    let (a, b) = (line(0.0, 0.0, 2.0, 0.0), line(2.0, 0.0, 2.0, 2.0));
    assert_eq!(fillet(&a, &b, 2.5), Err(GeometryError::RadiusTooLarge { corner: 0, radius_m: 2.5 }));
    assert_eq!(fillet(&a, &line(2.0, 0.0, 3.0, 0.0), 0.1), Err(GeometryError::NoCorner));
    assert_eq!(fillet(&a, &line(2.5, 0.0, 3.0, 1.0), 0.1), Err(GeometryError::NoCorner));
    assert_eq!(fillet(&a, &b, 0.0), Err(GeometryError::BadRadius { piece: 0, radius_m: 0.0 }));
    assert!(fillet(&a, &b, f64::NAN).is_err());
    assert!(fillet(&a, &line(2.0, 0.0, f64::NAN, 0.0), 0.1).is_err());
}

#[test]
fn verif_bad_chains_are_named() {
    let square = |mut pieces: Vec<Piece>, change: &dyn Fn(&mut Vec<Piece>)| {
        change(&mut pieces);
        Chain::new(pieces)
    };
    let good = vec![
        line(0.0, 0.0, 1.0, 0.0),
        line(1.0, 0.0, 1.0, 1.0),
        line(1.0, 1.0, 0.0, 1.0),
        line(0.0, 1.0, 0.0, 0.0),
    ];
    assert!(Chain::new(good.clone()).is_ok());
    assert_eq!(Chain::new(Vec::new()), Err(GeometryError::TooFew { given: 0, needed: 1 }));
    let open = square(good.clone(), &|p| p[1] = line(1.0, 0.0, 1.0, 0.9));
    assert!(matches!(open, Err(GeometryError::Open { piece: 1, gap_m }) if (gap_m - 0.1).abs() < 1e-12));
    let nan = square(good.clone(), &|p| p[2] = line(1.0, f64::NAN, 0.0, 1.0));
    assert_eq!(nan, Err(GeometryError::NotFinite { piece: 2 }));
    let short = square(good.clone(), &|p| p.insert(1, line(1.0, 0.0, 1.0, 0.0)));
    assert_eq!(short, Err(GeometryError::ZeroLength { piece: 1 }));
    let clockwise = Chain::new(good.iter().rev().map(line_back).collect());
    assert!(
        matches!(clockwise, Err(GeometryError::NotCounterclockwise { area_m2 }) if (area_m2 + 1.0).abs() < 1e-12)
    );
    let spike = square(good.clone(), &|p| {
        p[0] = line(0.0, 0.0, 2.0, 0.0);
        p.insert(1, line(2.0, 0.0, 1.0, 0.0));
    });
    assert_eq!(spike, Err(GeometryError::DoublesBack { piece: 0 }));
    // A figure of eight, a corner that touches the opposite side, and two turns round the same square.
    let eight = Chain::new(vec![
        line(0.0, 0.0, 2.0, 1.0),
        line(2.0, 1.0, 2.0, 0.0),
        line(2.0, 0.0, 0.0, 1.0),
        line(0.0, 1.0, 0.0, 0.0),
    ]);
    assert_eq!(eight, Err(GeometryError::SelfIntersection { first: 0, second: 2 }));
    let touching = square(good.clone(), &|p| {
        p[2] = line(1.0, 1.0, 0.5, 0.0);
        p.insert(3, line(0.5, 0.0, 0.0, 1.0));
    });
    assert!(matches!(touching, Err(GeometryError::SelfIntersection { first: 0, .. })));
    let twice = Chain::new(good.iter().chain(&good).copied().collect());
    assert!(matches!(twice, Err(GeometryError::SelfIntersection { .. })));
    // An arc that swings out through its own neighbour.
    let through = Chain::new(vec![
        line(0.0, 0.0, 2.0, 0.0),
        arc(1.0, -0.5, 1.25_f64.sqrt(), (0.5_f64).atan2(1.0), PI - 2.0 * (0.5_f64).atan2(1.0)),
    ]);
    assert!(through.is_ok(), "{through:?}");
    let around = Chain::new(vec![
        arc(0.0, 0.0, 1.0, 0.0, 1.5 * PI),
        line(0.0, -1.0, -2.0, 1.0),
        line(-2.0, 1.0, -2.0, -3.0),
        line(-2.0, -3.0, 1.0, 0.0),
    ]);
    assert!(matches!(around, Err(GeometryError::SelfIntersection { .. })), "{around:?}");
    let radius = Chain::new(vec![arc(0.0, 0.0, -1.0, 0.0, TAU)]);
    assert_eq!(radius, Err(GeometryError::BadRadius { piece: 0, radius_m: -1.0 }));
    let sweep = Chain::new(vec![arc(0.0, 0.0, 1.0, 0.0, 7.0)]);
    assert_eq!(sweep, Err(GeometryError::BadSweep { piece: 0, sweep_rad: 7.0 }));
}

fn line_back(piece: &Piece) -> Piece {
    let (a, b) = (piece.end(), piece.start());
    Piece::Line(Line { a, b })
}

#[test]
fn verif_polyline_keeps_its_tolerance_at_every_decade() {
    let chain = bumpy();
    let mut before = 0.0;
    for decade in 2..8 {
        let tolerance = 10.0_f64.powi(-decade);
        let points = chain.to_polyline(tolerance);
        let worst = (0..points.len())
            .map(|i| chain.nearest((points[i] + points[(i + 1) % points.len()]) * 0.5).distance_m.abs())
            .fold(0.0, f64::max);
        assert!(worst <= tolerance * (1.0 + 1e-6) && worst > 0.0, "{tolerance} {worst}");
        assert!(points.len() as f64 > before);
        before = points.len() as f64;
        let area: f64 =
            (0..points.len()).map(|i| 0.5 * points[i].perp(&points[(i + 1) % points.len()])).sum();
        assert!((area - chain.area_m2()).abs() < chain.length_m() * tolerance);
    }
}

#[test]
fn verif_mirrored_piece_is_the_same_curve_backwards() {
    for piece in bumpy().pieces() {
        let image = piece.mirrored();
        let length = piece.length_m();
        assert_eq!(image.length_m(), length);
        for i in 0..=10 {
            let s = length * f64::from(i) / 10.0;
            let (p, q) = (piece.point_at(s), image.point_at(length - s));
            assert_relative_eq!(p, v(q.x, -q.y), epsilon = 1e-14);
        }
    }
}

#[test]
fn verif_ray_along_a_straight_piece() {
    let straight = line(1.0, 0.0, 3.0, 0.0);
    let hit = |x: f64, u: f64| straight.ray(v(x, 0.0), v(u, 0.0))[0].map(|h| (h.distance_m, h.s_m));
    assert_eq!(hit(0.0, 1.0), Some((1.0, 0.0)));
    assert_eq!(hit(5.0, -1.0), Some((2.0, 2.0)));
    assert_eq!(hit(2.0, 1.0), Some((0.0, 1.0)));
    assert_eq!(hit(0.0, -1.0), None);
    assert_eq!(straight.ray(v(0.0, 0.1), v(1.0, 0.0)), [None, None]);
    let both = arc(0.0, 0.0, 1.0, 0.0, TAU).ray(v(-3.0, 0.0), v(1.0, 0.0));
    assert_relative_eq!(both[0].expect("near").distance_m, 2.0);
    assert_relative_eq!(both[1].expect("far").distance_m, 4.0);
}

fn any_polygon() -> impl Strategy<Value = Chain> {
    // Star-shaped: radii around a centre, each corner with a rounding; those that do not fit are dropped.
    (3_usize..10, prop::collection::vec((0.5..2.0_f64, 0.0..0.3_f64), 10), -3.0..3.0_f64, -3.0..3.0_f64)
        .prop_filter_map("roundings that fit", |(n, radii, x, y)| {
            let corners: Vec<(Vec2, f64)> = (0..n)
                .map(|i| {
                    let angle = TAU * i as f64 / n as f64;
                    (v(x + radii[i].0 * angle.cos(), y + radii[i].0 * angle.sin()), radii[i].1)
                })
                .collect();
            rounded_polygon(&corners).ok()
        })
}

proptest! {
    #![proptest_config(cases(256))]

    #[test]
    fn verif_nearest_is_no_further_than_any_point(chain in any_polygon(), x in -6.0..6.0_f64, y in -6.0..6.0_f64) {
        let p = v(x, y);
        let near = chain.nearest(p);
        prop_assert!(near.distance_m.is_finite());
        for i in 0..200 {
            let s = chain.length_m() * f64::from(i) / 200.0;
            prop_assert!((chain.point_at(s) - p).norm() >= near.distance_m.abs() - 1e-9);
        }
        prop_assert!((chain.point_at(near.s_m) - near.point).norm() < 1e-9);
        if near.distance_m.abs() > 1e-9 {
            prop_assert_eq!(near.distance_m < 0.0, chain.contains(p));
        }
    }

    #[test]
    fn verif_ray_hit_lies_on_the_chain(chain in any_polygon(), x in -6.0..6.0_f64, y in -6.0..6.0_f64, angle in 0.0..TAU) {
        let (p, u) = (v(x, y), v(angle.cos(), angle.sin()));
        match chain.ray(p, u) {
            Some(hit) => {
                let q = p + u * hit.distance_m;
                prop_assert!(chain.nearest(q).distance_m.abs() < 1e-9);
                prop_assert!((chain.point_at(hit.s_m) - q).norm() < 1e-9);
                // Nothing lies before the hit: its middle is on the same side as the origin.
                if hit.distance_m > 1e-6 {
                    prop_assert_eq!(chain.contains(p + u * (0.5 * hit.distance_m)), chain.contains(p));
                }
            }
            None => prop_assert!(!chain.contains(p)),
        }
    }

    #[test]
    fn verif_arclength_round_trip(chain in any_polygon(), part in 0.0..1.0_f64) {
        let s = part * chain.length_m();
        let (piece, local) = chain.locate(s);
        prop_assert!((chain.piece_start_m(piece) + local - s).abs() < 1e-12);
        let p = chain.point_at(s);
        let near = chain.nearest(p);
        let apart = (near.s_m - s).abs();
        prop_assert!(apart.min(chain.length_m() - apart) < 1e-7, "{} {}", near.s_m, s);
        prop_assert!(near.distance_m.abs() < 1e-12);
        let (t, n) = (chain.tangent_at(s), chain.normal_at(s));
        prop_assert!((t.norm() - 1.0).abs() < 1e-14 && t.dot(&n).abs() < 1e-14 && t.perp(&n) < 0.0);
    }

    #[test]
    fn verif_divergence_theorem_gives_the_area(chain in any_polygon()) {
        // ∮ p·n ds = 2 area, by the midpoint rule on a fine walk.
        let n = 40_000;
        let step = chain.length_m() / f64::from(n);
        let sum: f64 = (0..n)
            .map(|i| {
                let s = (f64::from(i) + 0.5) * step;
                chain.point_at(s).dot(&chain.normal_at(s)) * step
            })
            .sum();
        prop_assert!((0.5 * sum - chain.area_m2()).abs() < 1e-3 * chain.area_m2());
    }

    #[test]
    fn verif_no_input_panics(numbers in prop::collection::vec(prop_oneof![
        4 => -3.0..3.0_f64, 1 => prop::num::f64::ANY, 1 => Just(0.0)], 24)) {
        let pieces: Vec<Piece> = numbers.chunks(6).map(|c| if c[0] > 0.0 {
            line(c[1], c[2], c[3], c[4])
        } else {
            arc(c[1], c[2], c[3], c[4], c[5])
        }).collect();
        let _ = Chain::new(pieces.clone());
        let _ = fillet(&pieces[0], &pieces[1], numbers[0]);
        let corners: Vec<(Vec2, f64)> = numbers.chunks(3).map(|c| (v(c[0], c[1]), c[2])).collect();
        let _ = rounded_polygon(&corners);
    }
}
