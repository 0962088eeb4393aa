use super::*;
use crate::elementary::Elementary;

/// The curve at places a tenth apart over 0…1, and how often it was asked for more.
fn looked_beyond(f: impl Fn(f64) -> f64) -> (Vec<Node<1>>, usize) {
    let mut nodes: Vec<Node<1>> = (0..=10).map(|i| f64::from(i) / 10.0).map(|x| (x, [f(x)])).collect();
    let mut asked = 0;
    look_beyond(&mut nodes, &mut |x| {
        asked += 1;
        f(x)
    });
    assert!(nodes.is_sorted_by(|a, b| a.0 < b.0), "{nodes:?}");
    assert!(nodes.iter().all(|(x, [value])| (value - f(*x)).abs() < 1e-12), "{nodes:?}");
    (nodes, asked)
}

/// A hump that comes over 1 between two places on this side of it is found wherever it lies, from below and from above: a round one and one
/// with a kink. It must have two places on either side: past an end nothing tells where the curve goes.
#[test]
fn verif_a_short_run_between_two_places_is_found() {
    for k in 0..10 {
        for off in [-0.004, 0.0, 0.004] {
            let c = 0.05 + 0.1 * f64::from(k) + off;
            let round = |x: f64| 0.97 + 0.06 * (-((x - c) / 0.05).powi(2)).exponential();
            let kink = |x: f64| 1.01 - 0.5 * (x - c).abs();
            for (hump, most_asked) in [(&round as &dyn Fn(f64) -> f64, 40), (&kink, 20)] {
                for sense in [1.0, -1.0] {
                    let f = |x: f64| 1.0 + sense * (hump(x) - 1.0);
                    let beyond = |x: f64| sense * (f(x) - 1.0) > 0.0;
                    assert!((0..=10).all(|i| !beyond(f64::from(i) / 10.0)));
                    if k == 0 || k == 9 {
                        continue;
                    }
                    let (nodes, asked) = looked_beyond(f);
                    assert!(nodes.iter().any(|(x, _)| beyond(*x)), "at {c}, {sense}: {nodes:?}");
                    assert!(asked <= most_asked, "at {c}, {sense}: {asked}");
                }
            }
        }
    }
}

/// What cannot come to 1 between its places is not looked at again: far from it, straight, or bent away from it.
#[test]
fn verif_what_keeps_to_its_side_is_not_looked_at_again() {
    assert_eq!(looked_beyond(|x| 0.9 - 0.1 * (x - 0.5).powi(2)).1, 0);
    assert_eq!(looked_beyond(|x| 0.85 + 0.33 * x).1, 0);
    assert_eq!(looked_beyond(|_| 1.3).1, 0);
    // Comes to 1.02 at its lowest, at a place itself: a look or two beside it, not more.
    let (_, asked) = looked_beyond(|x| 1.02 + 0.5 * (x - 0.5).abs());
    assert!(asked < 20, "{asked}");
}

/// Where values are steep, and beside that, places stand no farther apart than 2 mm, evenly; elsewhere none is added.
#[test]
fn verif_steep_parts_are_looked_at_closely() {
    let values = [1.2, 1.2, 0.9, 0.9, 0.9, 0.9];
    let all: Vec<Node<1>> = (0..6).map(|i| (0.009 * f64::from(i), [values[i as usize]])).collect();
    let mut nodes = all.clone();
    look_closely(&mut nodes, |_, _| true, &mut |x| 10.0 + x);
    // Parts 0 to 2 are cut in five each: 9 mm by 2 mm, rounded up.
    assert_eq!(nodes.len(), 6 + 3 * 4, "{nodes:?}");
    for (i, (x, [value])) in nodes.iter().enumerate() {
        let want_m = if i <= 15 { 0.0018 * i as f64 } else { 0.009 * (i - 12) as f64 };
        assert!((x - want_m).abs() < 1e-12, "{i}: {x}");
        if i <= 15 && i % 5 != 0 {
            assert_eq!(*value, 10.0 + x, "{i}");
        } else {
            assert!(all.contains(&(*x, [*value])), "{i}");
        }
    }
    // Only where asked for.
    let mut nodes = all.clone();
    look_closely(&mut nodes, |a, b| a != b, &mut |x| x);
    assert_eq!(nodes.len(), 6 + 4);
    let mut nodes = all;
    look_closely(&mut nodes, |a, b| a < 1.0 && b < 1.0, &mut |x| x);
    assert_eq!(nodes.len(), 6 + 4);
    let mut even: Vec<Node<1>> =
        (0..6).map(|i| (0.009 * f64::from(i), [1.0 + 0.04 * f64::from(i)])).collect();
    look_closely(&mut even, |_, _| true, &mut |x| x);
    assert_eq!(even.len(), 6);
}

/// What is known of f over 0…length at its ends and at the middles of so many equal stations.
fn known(length_m: f64, stations: usize, f: &dyn Fn(f64) -> f64) -> Vec<Node<1>> {
    let middles = (0..stations).map(|i| length_m * (i as f64 + 0.5) / stations as f64);
    [0.0].into_iter().chain(middles).chain([length_m]).map(|s| (s, [f(s)])).collect()
}

/// The places at which more is asked, in that order.
fn asked_beyond(nodes: &[Node<1>], f: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut asked = Vec::new();
    look_beyond(&mut nodes.to_vec(), &mut |x| {
        asked.push(x);
        f(x)
    });
    asked
}

/// A chord of length h on a parabola 1 − d − k (x − c)² stands off the arc by k h² / 4, which is h²/8 of its curvature. Halved is where twice
/// that is more than what is short of 1 at the nearer end; looked beyond is a node where as much again as to its lower neighbour would come
/// to 1. From below and, turned over, from above.
#[test]
fn verif_where_a_curve_is_looked_at_again() {
    for over in [false, true] {
        let turned = |y: f64| if over { 2.0 - y } else { y };
        let asked = |at: &[f64], d: f64| {
            let f = |x: f64| turned(1.0 - d - 0.4 * (x - 11.0) * (x - 11.0));
            let nodes: Vec<Node<1>> = at.iter().map(|x| (*x, [f(*x)])).collect();
            asked_beyond(&nodes, f)
        };
        // Chords of 1 m stand off by 0.1 m: short of twice that both are halved, and then no more.
        assert_eq!(asked(&[10.0, 11.0, 12.0], 0.199), [10.5, 11.5]);
        // Else the top is looked beyond while its neighbours, 0.4 lower, let it come to 1: from the golden section of a side on.
        let around = asked(&[10.0, 11.0, 12.0], 0.201);
        assert!(
            around.len() > 2 && (around[0] - 11.0).abs() > 0.38 && (around[0] - 11.0).abs() < 0.39,
            "{around:?}"
        );
        assert!(around.iter().all(|x| *x > 10.0 && *x < 12.0));
        assert!(!asked(&[10.0, 11.0, 12.0], 0.399).is_empty());
        assert!(asked(&[10.0, 11.0, 12.0], 0.401).is_empty());
        // A chord of 2 m stands off by 0.4 m, one of 1 m beside it is not halved.
        assert_eq!(asked(&[10.0, 11.0, 13.0], 0.45), [12.0]);
        assert_eq!(asked(&[9.0, 11.0, 12.0], 0.45), [10.0]);
        assert!(asked(&[9.0, 11.0, 12.0], 1.61).is_empty());
        // Where a kink is: the parts on both sides of it, while half of its slope times their length is more than what is short.
        let kink = |x: f64| turned(1.0 - (0.05 + 0.75 * (1.0 - x).max(0.0)));
        let nodes: Vec<Node<1>> = [0.0, 1.0, 2.0, 3.0].map(|x| (x, [kink(x)])).to_vec();
        assert_eq!(asked_beyond(&nodes, kink), [0.5, 1.5, 0.75, 1.25]);
        let mirrored = |x: f64| kink(3.0 - x);
        let nodes: Vec<Node<1>> = [0.0, 1.0, 2.0, 3.0].map(|x| (x, [mirrored(x)])).to_vec();
        let asked = asked_beyond(&nodes, mirrored);
        assert_eq!(asked[..4], [1.5, 2.5, 1.75, 2.25]);
        // Of places alike the last may stand out: it is looked at between its neighbours.
        assert!(asked.len() > 5 && asked[4..].iter().all(|x| *x > 1.75 && *x < 2.25), "{asked:?}");
        // Six rounds at most; and none for parts of 10 µm or less.
        let point = |x: f64| turned(1.0 - 1e-7 - x.abs());
        let want: Vec<f64> = (1..=6).map(|k| 0.5_f64.powi(k)).flat_map(|x| [-x, x]).collect();
        let asked = asked_beyond(&[-1.0, 0.0, 1.0].map(|x| (x, [point(x)])), point);
        assert_eq!(asked[..12], want);
        assert!(!asked[12..].iter().any(|x| x.abs() == 0.5_f64.powi(7)));
        let asked = asked_beyond(&[-1.5e-5, 0.0, 1.5e-5].map(|x| (x, [point(x)])), point);
        assert_eq!(asked[..2], [-0.75e-5, 0.75e-5]);
        assert!(!asked[2..].iter().any(|x| x.abs() == 0.375e-5));
    }
    // A millionth is not told from 1.
    for (k, halved) in [(1.9e-6, false), (2.1e-6, true)] {
        let f = |x: f64| 1.0 + k * x * x;
        let asked = asked_beyond(&[-1.0, 0.0, 1.0].map(|x| (x, [f(x)])), f);
        assert_eq!(asked.contains(&0.5), halved, "{k}: {asked:?}");
    }
    // Sides of 1 that differ at the ends are left to the search for the edge; and a node at an end of the stretch has but one neighbour.
    let across = |x: f64| 0.99 + 0.02 * x;
    assert!(asked_beyond(&[0.0, 1.0].map(|x| (x, [across(x)])), across).is_empty());
    let slope = |x: f64| 0.98 + 0.015 * x;
    let asked = asked_beyond(&[0.0, 1.0].map(|x| (x, [slope(x)])), slope);
    assert!(!asked.is_empty() && asked.iter().all(|x| *x > 0.0 && *x <= 1.0), "{asked:?}");
    let slope = |x: f64| 0.98 + 0.009 * x;
    assert!(asked_beyond(&[0.0, 1.0].map(|x| (x, [slope(x)])), slope).is_empty());
}

/// Steep parts are looked at every 2 mm where the ratio may turn over 1: within 0.3 of it, or on both sides.
#[test]
fn verif_steep_parts_near_just_enough_are_looked_at() {
    for (low, high, looked) in [
        (0.1, 0.69, false),
        (0.1, 0.71, true),
        (0.71, 0.1, true),
        (0.95, 0.955, false),
        (0.9, 0.955, true),
        (0.1, 3.0, true),
        (3.0, 0.1, true),
        (1.29, 3.0, true),
        (1.31, 3.0, false),
        (3.0, 1.29, true),
    ] {
        let f = |s: f64| if s < 0.2 { low } else { high };
        let curve = Curve::new(0, 0.0, vec![(0.1, [low]), (0.3, [high])], f);
        let between = curve.nodes.iter().filter(|(s, _)| *s > 0.1 && *s < 0.3).count();
        assert_eq!(between >= 99, looked, "{low} {high}: {between}");
    }
}

/// Washed is where the ratio is 1 or more. By hand: a ratio 1 + sin(2π s / 0.6 m) / 2 is from 0 to 0.3 m and from 0.6 to 0.9 m, and from where its piece
/// begins on the perimeter.
#[test]
fn verif_washed_runs_by_hand() {
    let near = |got: &[[f64; 2]], want: &[[f64; 2]]| {
        assert_eq!(got.len(), want.len(), "{got:?}");
        for (got, want) in got.iter().flatten().zip(want.iter().flatten()) {
            assert!((got - want).abs() < 1e-6, "{got} {want}");
        }
    };
    let wave = |s: f64| 1.0 + 0.5 * (s * std::f64::consts::TAU / 0.6).sine();
    let runs = |curves: &[Curve], f: &dyn Fn(usize, f64) -> f64| washed_runs_m(curves, f);
    let curve = |piece: usize, start_m: f64, length_m: f64, f: &dyn Fn(f64) -> f64| {
        Curve::new(piece, start_m, known(length_m, 40, f), f)
    };
    let one = curve(3, 2.0, 1.1, &wave);
    assert!((one.start_m() - 2.0).abs() < 1e-15 && (one.end_m() - 3.1).abs() < 1e-15);
    let asked_of = |piece: usize, s: f64| if piece == 3 { wave(s) } else { f64::NAN };
    near(&runs(&[one], &asked_of), &[[2.0, 2.3], [2.6, 2.9]]);
    // Begun before the end, it goes on to the end.
    near(&runs(&[curve(3, 0.0, 0.75, &wave)], &asked_of), &[[0.0, 0.3], [0.6, 0.75]]);
    // Just enough is enough.
    near(&runs(&[curve(0, 1.0, 0.5, &|_| 1.0)], &|_, _| 1.0), &[[1.0, 1.5]]);
    near(&runs(&[curve(0, 1.0, 0.5, &|_| 0.999)], &|_, _| 0.999), &[]);
    // Two pieces side by side make one run; with a centimetre between them that is not judged, two.
    let wide = |_: usize, _: f64| 2.0;
    let piece = |start_m: f64| curve(0, start_m, 0.4, &|_| 2.0);
    near(&runs(&[piece(1.0), piece(1.4)], &wide), &[[1.0, 1.8]]);
    near(&runs(&[piece(1.0), piece(1.4), piece(1.8)], &wide), &[[1.0, 2.2]]);
    near(&runs(&[piece(1.0), piece(1.41)], &wide), &[[1.0, 1.4], [1.41, 1.81]]);
    near(&runs(&[piece(1.0), piece(1.400_009)], &wide), &[[1.0, 1.800_009]]);
    near(&runs(&[piece(1.0), piece(1.400_011)], &wide), &[[1.0, 1.4], [1.400_011, 1.800_011]]);
    // A run of less than 10 µm is none.
    for (half_um, seen) in [(3.0, false), (7.0, true)] {
        let tip = |s: f64| 1.0 + 1e4 * (half_um * 1e-6 - (s - 0.2).abs());
        let tip_curve =
            Curve::new(0, 0.0, vec![(0.0, [tip(0.0)]), (0.2, [tip(0.2)]), (0.4, [tip(0.4)])], tip);
        assert_eq!(runs(&[tip_curve], &|_, s| tip(s)).len(), usize::from(seen), "{half_um}");
    }
    assert_eq!((bounded(f64::INFINITY), bounded(0.3)), (1e6, 0.3));
}

/// What is missing over a gap is ∫ (1 − ratio), by hand, and its lowest ratio is found between the stations: on a slope, a parabola, in a notch with
/// a kink, on a step, over the nose.
#[test]
fn verif_what_is_missing_by_hand() {
    let check = |curves: &[Curve], gap: (f64, f64), f: &dyn Fn(usize, f64) -> f64, want: (f64, f64)| {
        let (missing_m, lowest) = shortfall(curves, 10.0, gap, f);
        assert!((missing_m - want.0).abs() < 6e-5, "missing {missing_m}, {want:?}");
        assert!((lowest - want.1).abs() < 2e-3, "lowest {lowest}, {want:?}");
    };
    let curve =
        |piece: usize, start_m: f64, f: &dyn Fn(f64) -> f64| Curve::new(piece, start_m, known(1.0, 20, f), f);
    // From 4 to 5 m on the perimeter. Untouched: all of it, at two readings.
    let mut asked = 0;
    let none = shortfall(&[curve(2, 4.0, &|_| 0.0)], 10.0, (4.2, 4.7), |piece, s| {
        asked += 1;
        assert!(piece == 2 && ((s - 0.2).abs() < 1e-12 || (s - 0.7).abs() < 1e-12));
        0.0
    });
    assert!((none.0 - 0.5).abs() < 1e-12 && none.1 == 0.0 && asked == 2, "{none:?} after {asked}");
    let slope = |s: f64| 0.9 - 0.5 * s;
    check(&[curve(0, 4.0, &slope)], (4.0, 5.0), &|_, s| slope(s), (0.35, 0.4));
    check(&[curve(0, 4.0, &slope)], (4.2, 4.6), &|_, s| slope(s), (0.4 * 0.3, 0.6));
    // A gap may end at the middle of a station, and reach beyond the stretch.
    check(&[curve(0, 4.0, &slope)], (4.225, 4.625), &|_, s| slope(s), (0.4 * 0.3125, 0.5875));
    check(&[curve(0, 4.0, &slope)], (3.5, 4.5), &|_, s| slope(s), (0.5 * 0.225, 0.65));
    check(&[curve(0, 4.0, &slope)], (4.5, 5.5), &|_, s| slope(s), (0.5 * 0.475, 0.4));
    // A parabola with its lowest at 0.31 m.
    let bowl = |s: f64| 0.3 + (s - 0.31) * (s - 0.31);
    let bowl_missing = |a: f64, b: f64| 0.7 * (b - a) - ((b - 0.31).powi(3) - (a - 0.31).powi(3)) / 3.0;
    check(&[curve(0, 4.0, &bowl)], (4.1, 4.9), &|_, s| bowl(s), (bowl_missing(0.1, 0.9), 0.3));
    // A notch 60 mm wide and 0.6 deep in 0.95.
    let notch = |s: f64| 0.95 - 20.0 * (0.03 - (s - 0.512).abs()).max(0.0);
    check(&[curve(0, 4.0, &notch)], (4.2, 4.8), &|_, s| notch(s), (0.6 * 0.05 + 0.6 * 0.03, 0.35));
    // A step from 0.8 to 0.2; and what is washed in it counts as nothing missing.
    let step = |s: f64| if s < 0.423 { 0.8 } else { 0.2 };
    check(&[curve(0, 4.0, &step)], (4.0, 5.0), &|_, s| step(s), (0.423 * 0.2 + 0.577 * 0.8, 0.2));
    let washed = |s: f64| if s < 0.423 { 1.8 } else { 0.2 };
    check(&[curve(0, 4.0, &washed)], (4.0, 5.0), &|_, s| washed(s), (0.577 * 0.8, 0.2));
    let full = |s: f64| if s < 0.423 { 0.8 } else { 0.0 };
    check(&[curve(0, 4.0, &full)], (4.0, 5.0), &|_, s| full(s), (0.423 * 0.2 + 0.577, 0.0));
    // Over the nose of a perimeter of 10 m: from 9.7 m, which is −0.3, to 0.2 m; what lies elsewhere does not count.
    let parts = [curve(0, 0.0, &|_| 0.5), curve(1, 4.0, &|_| 0.1), curve(2, 9.0, &|_| 0.7)];
    let of = |piece: usize, _: f64| [0.5, 0.1, 0.7][piece];
    check(&parts, (-0.3, 0.2), &of, (0.3 * 0.3 + 0.2 * 0.5, 0.5));
    check(&parts, (-0.3, -0.1), &of, (0.2 * 0.3, 0.7));
    check(&parts, (9.5, 10.0), &of, (0.5 * 0.3, 0.7));
    check(&parts, (0.5, 9.5), &of, (0.5 * 0.5 + 0.9 + 0.5 * 0.3, 0.1));
    // A stretch that begins within its piece, 0.25 m on: from 4.25 to 5 m on the perimeter.
    let within = Curve::new(0, 4.0, known(1.0, 20, &slope)[6..].to_vec(), slope);
    assert!((within.start_m() - (4.0 + within.nodes[0].0)).abs() < 1e-12 && within.nodes[0].0 > 0.2);
    let from = within.nodes[0].0;
    let missing = (1.0 - from) * (1.0 - 0.5 * (slope(from) + slope(1.0)));
    check(&[within], (3.0, 6.0), &|_, s| slope(s), (missing, 0.4));
    // What only meets the gap is not read.
    let other = shortfall(&parts, 10.0, (5.0, 9.0), |_, _| panic!("not in it"));
    assert_eq!(other, (0.0, 1.0));
}

/// Just as near as that counts as not so far: dyadic numbers, by hand. And where nothing comes over 1, no place is added.
#[test]
fn verif_where_a_curve_is_looked_at_again_at_the_edge() {
    let parabola = |d: f64, k: f64, c: f64| move |x: f64| 1.0 - d - k * (x - c) * (x - c);
    let on = |at: &[f64], f: &dyn Fn(f64) -> f64| at.iter().map(|x| (*x, [f(*x)])).collect::<Vec<_>>();
    // Chords of 1 m on ½ x² stand off by ⅛: twice that is what is short, so none is halved.
    let f = parabola(0.25, 0.5, 11.0);
    let asked = asked_beyond(&on(&[10.0, 11.0, 12.0], &f), f);
    assert!(!asked.is_empty() && !asked.contains(&10.5) && !asked.contains(&11.5), "{asked:?}");
    // Half short, and half lower on both sides: as much again comes just to 1.
    let f = parabola(0.5, 0.5, 11.0);
    assert!(!asked_beyond(&on(&[10.0, 11.0, 12.0], &f), f).is_empty());
    // Parts of just 10 µm are not halved.
    let point = |x: f64| 1.0 - 1e-7 - x.abs();
    let asked = asked_beyond(&on(&[-LEAST_RUN_M, 0.0, LEAST_RUN_M], &point), point);
    assert!(!asked.iter().any(|x| x.abs() == 0.5 * LEAST_RUN_M), "{asked:?}");
    // Looked beyond, but short of 1 all the same.
    let f = parabola(0.3, 0.4, 10.9);
    let mut nodes = on(&[10.0, 11.0, 12.0], &f);
    let mut asked = 0;
    look_beyond(&mut nodes, &mut |x| {
        asked += 1;
        f(x)
    });
    assert!(asked > 0 && nodes.len() == 3, "{asked} {nodes:?}");
    // A top a millionth over 1 between two places of the last halving, to the right or to the left of the nearer one.
    for c in [10.8, 11.2] {
        let f = parabola(-1e-6, 0.4, c);
        let mut nodes = on(&[10.0, 11.0, 12.0], &f);
        assert!(nodes.iter().all(|(_, [value])| *value < 1.0));
        look_beyond(&mut nodes, &mut |x| f(x));
        assert!(nodes.iter().any(|(x, [value])| *value >= 1.0 && (x - c).abs() < 2e-3), "{c}");
    }
    // A step of just 0.05 is not steep.
    let mut nodes: Vec<Node<1>> = vec![(0.0, [0.0]), (0.009, [STEEP]), (0.018, [STEEP])];
    look_closely(&mut nodes, |_, _| true, &mut |_| panic!("nothing to look at"));
    assert_eq!(nodes.len(), 3);
}

/// An edge on a straight slope costs two readings: the first is on it, the second just past it. Runs just 10 µm apart are two.
#[test]
fn verif_edges_cost_two_readings() {
    for (low, high) in [(0.4, 1.3), (1.6, 0.9)] {
        let slope = |s: f64| low + (high - low) * s;
        let curve = Curve { piece: 0, piece_start_m: 5.0, nodes: vec![(0.0, [low]), (1.0, [high])] };
        let mut asked = 0;
        let runs = washed_runs_m(&[curve], |_, s| {
            asked += 1;
            slope(s)
        });
        let edge = 5.0 + (1.0 - low) / (high - low);
        let want = if low < 1.0 { [edge, 6.0] } else { [5.0, edge] };
        assert!(runs.len() == 1 && asked <= 2, "{runs:?} after {asked}");
        assert!(runs[0].iter().zip(want).all(|(got, want)| (got - want).abs() < 1e-6), "{runs:?}");
    }
    let full = |start_m: f64, from: f64, to: f64| Curve {
        piece: 0,
        piece_start_m: start_m,
        nodes: vec![(from, [2.0]), (to, [2.0])],
    };
    let runs = washed_runs_m(&[full(0.0, -1.0, 0.0), full(LEAST_RUN_M, 0.0, 1.0)], |_, _| 2.0);
    assert_eq!(runs, [[-1.0, 0.0], [LEAST_RUN_M, 1.0 + LEAST_RUN_M]]);
}

/// Notches 40 mm wide and 0.6 deep, a few centimetres from the ends of a gap: what is known beside its ends counts.
#[test]
fn verif_what_is_missing_beside_the_ends_of_a_gap() {
    for at in [0.075, 0.925] {
        let notch = |s: f64| 0.95 - 30.0 * (0.02 - (s - at).abs()).max(0.0);
        let curve = Curve::new(0, 4.0, known(1.0, 20, &notch), notch);
        let (missing_m, lowest) = shortfall(&[curve], 10.0, (4.0, 5.0), |_, s| notch(s));
        assert!((missing_m - (0.05 + 30.0 * 0.02 * 0.02)).abs() < 6e-5, "{at}: {missing_m}");
        assert!((lowest - 0.35).abs() < 2e-3, "{at}: {lowest}");
    }
    // A stretch of a micrometre that is missing is told.
    let least = 0.1 * LEAST_RUN_M;
    let curve = Curve { piece: 0, piece_start_m: 0.0, nodes: vec![(0.0, [0.0]), (1.0, [0.0])] };
    let (missing_m, lowest) = shortfall(&[curve], 10.0, (0.0, least), |_, _| 0.0);
    assert!((missing_m / least - 1.0).abs() < 1e-9 && lowest == 0.0, "{missing_m}");
}

/// Between two untouched stations there is nothing to see, though the ratio is steep next to them: a reading or two, not one every 2 mm.
#[test]
fn verif_untouched_parts_are_not_looked_at_closely() {
    let step = |s: f64| if s < 0.423 { 0.8 } else { 0.0 };
    let curve = Curve { piece: 0, piece_start_m: 4.0, nodes: known(1.0, 20, &step) };
    let mut asked = 0;
    let (missing_m, _) = shortfall(&[curve], 10.0, (4.0, 5.0), |_, s| {
        asked += usize::from(s > 0.4751 && s < 0.5249);
        step(s)
    });
    assert!((missing_m - (0.423 * 0.2 + 0.577)).abs() < 6e-5 && asked <= 3, "{missing_m} after {asked}");
}

/// A stretch that begins in the middle of a piece is washed from where its ratio comes to 1 to where it leaves it, and what is missing counts from where it begins: by hand on a
/// piece that begins at 5 m, judged from 0.5 m of it on.
#[test]
fn verif_a_stretch_within_a_piece() {
    for (name, ratio, runs, missing_m) in [
        ("falling", (|s: f64| 1.75 - 0.5 * s) as fn(f64) -> f64, [5.5, 6.5], 0.25 * 0.25),
        ("rising", |s: f64| 0.25 + 0.5 * s, [6.5, 7.0], 0.25),
    ] {
        let nodes = [0.5, 0.75, 1.25, 1.75, 2.0].map(|s| (s, [ratio(s)])).to_vec();
        let curve = Curve { piece: 3, piece_start_m: 5.0, nodes };
        assert_eq!((curve.start_m(), curve.end_m()), (5.5, 7.0));
        let own = |piece: usize, s: f64| {
            assert_eq!(piece, 3);
            ratio(s)
        };
        let found = washed_runs_m(std::slice::from_ref(&curve), own);
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        for (got, want) in found[0].iter().zip(runs) {
            assert!((got - want).abs() < 1e-6, "{name}: {found:?}");
        }
        // Over 4 to 8 m only what is judged counts: ∫ (1 − ratio) where that is above nothing.
        let (missing, lowest) = shortfall(&[curve], 20.0, (4.0, 8.0), own);
        assert!((missing - missing_m).abs() < 1e-4, "{name}: {missing}");
        assert!((lowest - ratio(if name == "falling" { 2.0 } else { 0.5 })).abs() < 1e-9, "{name}: {lowest}");
    }
}
