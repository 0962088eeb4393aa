use super::*;
use crate::elementary::Elementary;

/// cos x = 0 at π/2; x³ = 2 at ∛2; a root with a slope of nothing beside it.
#[test]
fn verif_roots_of_known_functions() {
    let half_turn = root(|x| (x.cosine(), -x.sine()), 0.1, 3.0);
    assert!((half_turn - std::f64::consts::FRAC_PI_2).abs() < 1e-11, "{half_turn}");
    let cube = root(|x| (x * x * x - 2.0, 3.0 * x * x), 0.0, 5.0);
    assert!((cube - 2.0_f64.cbrt()).abs() < 1e-11, "{cube}");
    let steep = root(|x: f64| (x.arctangent(), 1.0 / (1.0 + x * x)), -30.0, 50.0);
    assert!(steep.abs() < 1e-9, "{steep}");
}

#[test]
fn verif_crossings_of_known_functions() {
    let mut count = 0;
    let root = |x: f64| x.max(0.0).sqrt() - 0.5;
    let x = crossing(
        |x| {
            count += 1;
            root(x)
        },
        (0.0, root(0.0)),
        (1.0, root(1.0)),
        1e-6,
    );
    assert!((x - 0.25).abs() < 1e-6 && count < 25, "{x} after {count}");
    let jump = |x: f64| if x < 0.3 { -1.0 } else { 5.0 };
    let x = crossing(jump, (0.0, -1.0), (1.0, 5.0), 1e-6);
    assert!((x - 0.3).abs() < 1e-6, "{x}");
}

#[test]
fn verif_a_change_is_found_to_its_sharpness() {
    let found = change(0.0, 4.0, 1e-9, |x| x * x > 2.0);
    assert!((found - 2.0_f64.sqrt()).abs() <= 1e-9 && found * found > 2.0);
}

/// Peaks of known place and height: a parabola, a sine, a tent.
#[test]
fn verif_peaks_of_known_functions() {
    let mut count = 0;
    let parabola = |x: f64| 3.0 - 2.0 * (x - 0.37) * (x - 0.37);
    let (x, y) = peak(
        |x| {
            count += 1;
            parabola(x)
        },
        (0.0, 0.5, 1.0),
        parabola(0.5),
    );
    assert!((x - 0.37).abs() < 5e-3 && (y - 3.0).abs() < 1e-4, "{x} {y}");
    assert!(count < 15, "{count} readings");
    let (_, y) = peak(f64::sine, (0.9, 1.4, 2.4), 1.4_f64.sine());
    assert!((y - 1.0).abs() < 1e-5, "{y}");
    let tent = |x: f64| 1.0 - (x - 0.2).abs();
    let (_, y) = peak(tent, (0.0, 0.3, 0.5), tent(0.3));
    assert!((y - 1.0).abs() < 2.5e-3, "{y}");
}

/// Two humps of which the sampled values pick the wrong one.
#[test]
fn verif_the_highest_of_several_peaks_is_found() {
    let f = |x: f64| {
        let hump = |at: f64, height: f64| height * (1.0 - ((x - at) / 0.9).powi(2)).max(0.0);
        hump(1.0, 1.0) + hump(3.5, 1.1)
    };
    let times: Vec<f64> = (0..7).map(f64::from).collect();
    let values: Vec<f64> = times.iter().map(|t| f(*t)).collect();
    assert!(values[1] > values[3] && values[1] > values[4]);
    let (t, top) = highest(&times, &values, (0.0, 6.0), |t, _| f(t)).expect("there is one");
    assert!((t - 3.5).abs() < 0.02 && (top - 1.1).abs() < 1e-4, "{t} {top}");
    assert_eq!(highest(&times, &[0.0; 7], (0.0, 6.0), |_, _| 0.0), None);
}

/// What a search costs is part of what it promises. Newton's method doubles its digits with every step; false position on a straight line is there
/// with the first reading, and one just past it is the last; where it is slow the bracket is halved every fourth time, 22 times in all.
#[test]
fn verif_searches_need_few_readings() {
    fn counted<T>(search: impl FnOnce(&dyn Fn()) -> T) -> (T, usize) {
        let count = std::cell::Cell::new(0);
        let found = search(&|| count.set(count.get() + 1));
        (found, count.get())
    }
    for (a, b) in [(0.1, 3.0), (1.5, 1.7)] {
        let (x, asked) = counted(|tick| {
            root(
                |x: f64| {
                    tick();
                    (x.cosine(), -x.sine())
                },
                a,
                b,
            )
        });
        assert!((x - std::f64::consts::FRAC_PI_2).abs() < 1e-11);
        assert!(asked <= 5, "cosine {a} {b}: {asked}");
    }
    for (low, high) in [(0.0, 5.0), (1.0, 1.5)] {
        let (x, asked) = counted(|tick| {
            root(
                |x: f64| {
                    tick();
                    (x * x * x - 2.0, 3.0 * x * x)
                },
                low,
                high,
            )
        });
        assert!((x - 2.0_f64.cbrt()).abs() < 1e-11);
        assert!(asked <= 8, "cube {low} {high}: {asked}");
    }
    let (x, asked) = counted(|tick| {
        root(
            |x: f64| {
                tick();
                (x.arctangent(), 1.0 / (1.0 + x * x))
            },
            -30.0,
            50.0,
        )
    });
    assert!(x.abs() < 1e-9);
    assert!(asked <= 5, "arctangent: {asked}");
    let cross = |f: &dyn Fn(f64) -> f64, a: f64, b: f64| {
        counted(|tick| {
            crossing(
                |x| {
                    tick();
                    f(x)
                },
                (a, f(a)),
                (b, f(b)),
                1e-6,
            )
        })
    };
    for (a, b) in [(-1.0, 2.0), (2.0, -1.0)] {
        let (x, asked) = cross(&|x| 3.0 * (x - 0.7), a, b);
        assert!((x - 0.7).abs() < 1e-6);
        assert!(asked <= 2, "straight {a} {b}: {asked}");
        let (x, asked) = cross(&|x| 0.7 - x, a, b);
        assert!((x - 0.7).abs() < 1e-6);
        assert!(asked <= 2, "falling {a} {b}: {asked}");
        let (x, asked) = cross(&|x| x.exponential() - 2.0, a, b);
        assert!((x - 2.0_f64.log_natural()).abs() < 1e-6);
        assert!(asked <= 14, "exponential {a} {b}: {asked}");
        let (x, asked) = cross(&|x| if x < 0.31 { -1.0 } else { 50.0 }, a, b);
        assert!((x - 0.31).abs() < 1e-6);
        assert!(asked <= 46, "jump {a} {b}: {asked}");
        let (x, asked) = cross(&|x| (x - 0.31).powi(9), a, b);
        assert!((x - 0.31).abs() < 1e-6);
        assert!(asked <= 76, "flat {a} {b}: {asked}");
    }
    let top = |f: &dyn Fn(f64) -> f64, at: (f64, f64, f64)| {
        counted(|tick| {
            peak(
                |x| {
                    tick();
                    f(x)
                },
                at,
                f(at.1),
            )
        })
    };
    for (c, start) in [(0.37, 0.5), (0.37, 0.2), (0.93, 0.6), (0.05, 0.5), (0.5, 0.5)] {
        let ((x, y), asked) = top(&|x| 3.0 - 2.0 * (x - c) * (x - c), (0.0, start, 1.0));
        assert!((x - c).abs() < 5e-3 && (y - 3.0).abs() < 1e-4, "{x} {y}");
        assert!(asked <= 5, "parabola {c} {start}: {asked}");
        let ((x, y), asked) = top(&|x| 1.0 - (x - c).abs(), (0.0, start, 1.0));
        assert!((x - c).abs() < 4e-3 && (y - 1.0).abs() < 4e-3, "{x} {y}");
        assert!(asked <= 10, "tent {c} {start}: {asked}");
        let ((x, _), asked) =
            top(&|x| -(x - c).powi(4) + 0.5 * (x - c).powi(3) - (x - c).powi(2), (0.0, start, 1.0));
        assert!((x - c).abs() < 5e-3, "{x}");
        assert!(asked <= 8, "quartic {c} {start}: {asked}");
    }
}

/// Brent's rule in his own words, for the reading after those given (place and value, in the order they were taken). Of the best reading x, the
/// second best w and the one that was second best before, v: the vertex of the parabola through them, by divided differences, if it lies in
/// the bracket and is nearer to x than half of the move before the last; no nearer to an end than twice `sharp`, else `sharp` from x toward the
/// middle. If there is none, the golden section of the wider side of x. Never nearer to x than `sharp`. `None` when the bracket is narrow. A vertex
/// within `hair` of an end counts as in the bracket: the last vertex comes out again when its reading was of no use, and rounding decides.
fn next_reading(readings: &[(f64, f64)], (low, high): (f64, f64), sharp: f64, hair: f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let [mut best, mut second, mut third] = [readings[0]; 3];
    let (mut move_before, mut last_move) = (0.0, 0.0);
    for taken in readings[1..].iter().map(Some).chain([None]) {
        let (x, middle) = (best.0, 0.5 * (a + b));
        if (x - a).max(b - x) <= 2.0 * sharp {
            return None;
        }
        let slope = |p: (f64, f64), q: (f64, f64)| (q.1 - p.1) / (q.0 - p.0);
        let (near, far) = (slope(best, second), slope(second, third));
        let bend = (far - near) / (third.0 - best.0);
        let vertex = 0.5 * (best.0 + second.0 - near / bend);
        let within = vertex.is_finite() && vertex > a - hair && vertex < b + hair;
        let mut go =
            if f64::abs(move_before) > sharp && within && (vertex - x).abs() < 0.5 * f64::abs(move_before) {
                move_before = last_move;
                last_move = vertex - x;
                if vertex - a < 2.0 * sharp || b - vertex < 2.0 * sharp {
                    last_move = if middle >= x { sharp } else { -sharp };
                }
                last_move
            } else {
                move_before = if x < middle { b - x } else { a - x };
                last_move = move_before * (3.0 - 5.0_f64.sqrt()) / 2.0;
                last_move
            };
        if go.abs() < sharp {
            go = if go >= 0.0 { sharp } else { -sharp };
        }
        let Some(&new) = taken else { return Some(x + go) };
        // The old best, or the new reading if it is lower, is the new end on its side.
        let (kept, end) = if new.1 >= best.1 { (new, best) } else { (best, new) };
        if end.0 < kept.0 {
            a = end.0;
        } else {
            b = end.0;
        }
        if new.1 >= best.1 {
            (third, second, best) = (second, best, new);
        } else if new.1 >= second.1 || second.0 == best.0 {
            (third, second) = (second, new);
        } else if new.1 >= third.1 || third.0 == best.0 || third.0 == second.0 {
            third = new;
        }
    }
    unreachable!("the last has no reading")
}

/// Every reading of a peak's search is where Brent's rule says, until the bracket is narrow; what is found is the highest reading.
#[test]
fn verif_a_peak_is_sought_by_brents_rule() {
    let shapes: [fn(f64) -> f64; 11] = [
        |x| (3.0 * x).cosine(),
        |x| 1.0 / (1.0 + 25.0 * x * x),
        |x| (2.0 * x).exponential() - (3.0 * x).exponential(),
        |x| 1.0 - x.abs(),
        |x| if x < 0.0 { x } else { -5.0 * x },
        |x| if x < 0.0 { 7.0 * x } else { -x },
        |x| -x.abs().sqrt(),
        |x| -x.powi(4),
        |x| (8.0 * (1.0 - x * x)).floor(),
        |x| x,
        |x| -x,
    ];
    let (mut searches, mut by_vertex) = (0, 0);
    for (k, shape) in shapes.iter().enumerate() {
        for c in [0.07, 0.3, 0.37, 0.53, 0.71, 0.96] {
            for (a, b) in [(0.0, 1.0), (-2.0, 1.0), (10.0, 10.5)] {
                for start in [0.0, 0.1, 0.25, 0.5, 0.62, 0.9, 1.0] {
                    let f = |x: f64| shape((x - a) / (b - a) - c);
                    let x = a + start * (b - a);
                    let sharp = 2e-3 * (b - a);
                    let mut readings = vec![(x, f(x))];
                    let found = peak(
                        |u| {
                            readings.push((u, f(u)));
                            f(u)
                        },
                        (a, x, b),
                        f(x),
                    );
                    let follows = |hair: f64| {
                        let next = |n: usize| next_reading(&readings[..n], (a, b), sharp, hair);
                        let close =
                            |n: usize| next(n).is_some_and(|x| (x - readings[n].0).abs() < 1e-6 * (b - a));
                        (1..readings.len()).all(close) && next(readings.len()).is_none()
                    };
                    let hair = 1e-9 * (b - a);
                    assert!(follows(hair) || follows(-hair), "{k} {c} {a} {start}: {readings:?}");
                    let top = readings.iter().map(|(_, y)| *y).fold(f64::NEG_INFINITY, f64::max);
                    assert_eq!(found.1, top);
                    let last = readings.iter().rfind(|(_, y)| *y == top);
                    assert_eq!(found.0, last.expect("one").0, "of equals the last");
                    searches += 1;
                    by_vertex += usize::from(readings.len() < 9);
                }
            }
        }
    }
    // Golden sections alone take 13 readings to narrow a bracket to a two hundred and fiftieth.
    assert!(searches == 1386 && by_vertex > 200, "{by_vertex} of {searches}");
}

/// Samples that cannot stand beside the highest value are not refined: a smooth peak or a kink between two samples stands out by less than 0.6
/// of the drop to the lower neighbour. Each is refined between its neighbours, the first and the last up to the ends.
#[test]
fn verif_which_samples_are_refined() {
    let times = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
    let refined = |values: [f64; 6], ends: (f64, f64)| {
        let mut seen: Vec<(usize, f64, f64)> = Vec::new();
        let found = highest(&times, &values, ends, |t, i| {
            match seen.last_mut().filter(|(last, ..)| *last == i) {
                Some((_, least, most)) => (*least, *most) = (least.min(t), most.max(t)),
                None => seen.push((i, t, t)),
            }
            values[i] - (t - times[i]).abs()
        });
        (found, seen)
    };
    let who = |seen: &[(usize, f64, f64)]| seen.iter().map(|s| s.0).collect::<Vec<_>>();
    // 10 is the top. 7.0 with a lower neighbour of 2.1 may hide 7 + 0.6 · 4.9 = 9.94, with one of 1.9 it may hide 10.06.
    let (found, seen) = refined([2.1, 7.0, 5.0, 10.0, 0.0, 0.0], (1.0, 6.0));
    assert_eq!((found, who(&seen)), (Some((4.0, 10.0)), vec![3]));
    let (found, seen) = refined([1.9, 7.0, 5.0, 10.0, 0.0, 0.0], (1.0, 6.0));
    assert_eq!((found, who(&seen)), (Some((4.0, 10.0)), vec![1, 3]));
    let (_, seen) = refined([5.0, 7.0, 1.9, 10.0, 0.0, 0.0], (1.0, 6.0));
    assert_eq!(who(&seen), [1, 3]);
    for (i, least, most) in seen {
        assert!(least > times[i] - 1.0 && most < times[i] + 1.0);
    }
    // Below zero is nothing: 7 over −50 stands out no more than over 0.
    let (_, seen) = refined([-50.0, 7.0, 5.0, 12.0, 0.0, 0.0], (1.0, 6.0));
    assert_eq!(who(&seen), [3]);
    // Of samples alike that stand side by side one is refined; of peaks alike the first is told.
    let (found, seen) = refined([0.0, 3.0, 3.0, 0.0, 3.0, 0.0], (1.0, 6.0));
    assert_eq!((found, who(&seen)), (Some((3.0, 3.0)), vec![2, 4]));
    // A slope is no peak: each but the highest has a higher one beside it.
    assert_eq!(who(&refined([5.0, 6.0, 7.0, 8.0, 9.0, 10.0], (1.0, 6.0)).1), [5]);
    assert_eq!(refined([5.0, 6.0, 7.0, 8.0, 9.0, 10.0], (1.0, 6.0)).0, Some((6.0, 10.0)));
    assert_eq!(refined([10.0, 6.0, 5.0, 4.0, 3.0, 2.0], (1.0, 6.0)).0, Some((1.0, 10.0)));
    assert_eq!(refined([-1.0, 0.0, -1.0, -2.0, 0.0, 0.0], (1.0, 6.0)), (None, vec![]));
    assert_eq!(refined([-1.0, 1e-3, -1.0, -2.0, 0.0, 0.0], (1.0, 6.0)).0, Some((2.0, 1e-3)));
    // Beyond the first and the last sample up to the ends, by hand: tents that stand between.
    for (ends, peak_at) in [((0.5, 6.0), 0.8), ((1.0, 6.9), 6.4)] {
        let tent = |t: f64| 1.0 - (t - peak_at).abs();
        let values = times.map(tent);
        let (t, top) = highest(&times, &values, ends, |t, _| tent(t)).expect("there is one");
        assert!((t - peak_at).abs() < 0.01 && top > 0.99, "{t} {top}");
    }
    // Ends inside of the samples add nothing.
    assert_eq!(refined([10.0, 6.0, 5.0, 4.0, 3.0, 2.0], (1.5, 5.5)).0, Some((1.0, 10.0)));
    assert_eq!(highest(&[2.0], &[3.0], (2.0, 2.0), |_, _| panic!("nothing to read")), Some((2.0, 3.0)));
    assert_eq!(highest(&[], &[], (0.0, 0.0), |_, _| 0.0), None);
}

/// A root of the third order is come to by steps a third shorter each: the search goes on until they are nothing against the bracket, wherever
/// on the axis it lies.
#[test]
fn verif_a_flat_root_far_from_zero() {
    for at in [-1e4, 1e4] {
        for c in [0.3, 0.8] {
            let x = root(|x| ((x - at - c).powi(3), 3.0 * (x - at - c).powi(2)), at, at + 1.0);
            assert!((x - at - c).abs() < 1e-9, "{at} {c}: {:e}", x - at - c);
        }
    }
}

/// Halving costs one reading for each doubling of bracket over sharpness, and ends where no number lies between, by hand: 4 by 1 twice, 4 by 1e-9 32 times, 2⁻⁵²
/// of a unit 52 times.
#[test]
fn verif_a_change_costs_a_reading_for_each_halving() {
    let counted = |a: f64, b: f64, sharp: f64, at: f64| {
        let mut count = 0;
        let found = change(a, b, sharp, |x| {
            count += 1;
            x >= at
        });
        (found, count)
    };
    assert_eq!(counted(0.0, 4.0, 1.0, 2.5), (3.0, 2));
    let (found, count) = counted(0.0, 4.0, 1e-9, 2.0_f64.sqrt());
    assert!((found - 2.0_f64.sqrt()).abs() <= 1e-9 && count == 32, "{found} after {count}");
    let at = 1.5 + f64::EPSILON;
    let (found, count) = counted(1.0, 2.0, 0.0, at);
    assert!(found == at && count <= 53, "{found} after {count}");
}

/// A root is found as sharply for its bracket on a short one as on a long one: one of the third order, to a billionth. And one that lies at the end.
#[test]
fn verif_a_root_is_as_sharp_as_its_bracket_is_long() {
    for length in [1e-3, 1.0, 1e3] {
        for c in [0.3 * length, 0.77 * length] {
            let x = root(|x| ((x - c).powi(3), 3.0 * (x - c).powi(2)), 0.0, length);
            assert!((x - c).abs() < 1e-9 * length, "{length} {c}: {:e}", x - c);
        }
    }
    assert_eq!(root(|x| (1.0 - x, -1.0), 0.0, 1.0), 1.0);
}

/// What may just come to the top is refined, 5 + 0.6 · 5 = 8; what has a higher one on one side is not, however low the other is.
#[test]
fn verif_which_samples_are_refined_at_the_edge() {
    let times = [1.0, 2.0, 3.0, 4.0, 5.0];
    let who = |values: [f64; 5]| {
        let mut seen = Vec::new();
        highest(&times, &values, (1.0, 5.0), |t, i| {
            seen.push(i);
            values[i] - (t - times[i]).abs()
        });
        seen.dedup();
        seen
    };
    assert_eq!(who([0.0, 5.0, 0.0, 8.0, 0.0]), [1, 3]);
    assert_eq!(who([0.0, 9.0, 10.0, 0.0, 0.0]), [2]);
    assert_eq!(who([0.0, 0.0, 10.0, 9.0, 0.0]), [2]);
}

/// A narrow bracket is searched as sharply as a wide one: x³ = 0.1 in millionths.
#[test]
fn verif_a_root_in_a_narrow_bracket() {
    let x = root(|x| ((x * 1e6).powi(3) - 0.1, 3e6 * (x * 1e6).powi(2)), 0.0, 1e-6);
    assert!((x * 1e6 - 0.1_f64.cbrt()).abs() < 1e-11, "{x}");
}

/// A change on either side of nothing, and one asked for more sharply than numbers stand: to the last bit, and it ends.
#[test]
fn verif_a_change_over_nothing_and_to_the_last_bit() {
    let found = change(-1.0, 2.0, 1e-9, |x| x > 0.3);
    assert!((found - 0.3).abs() <= 1e-9, "{found}");
    let found = change(-3.0, -1.0, 1e-9, |x| x > -2.5);
    assert!((found + 2.5).abs() <= 1e-9, "{found}");
    let mut asked = 0;
    let found = change(1e6, 1e6 + 1.0, 0.0, |x| {
        asked += 1;
        assert!(asked < 100);
        x >= 1e6 + 0.25
    });
    assert_eq!(found, 1e6 + 0.25);
}
