//! Instants found, not sampled: roots, changes and peaks of functions of one variable.

/// Root of a function between `a` and `b`, where its signs differ: Newton's method, kept in the bracket by halving it. `f` gives value and slope.
pub(super) fn root(f: impl Fn(f64) -> (f64, f64), a: f64, b: f64) -> f64 {
    let (mut low, mut high) = (a, b);
    let rising = f(b).0 > 0.0;
    let mut x = 0.5 * (a + b);
    for _ in 0..60 {
        let (value, slope) = f(x);
        if (value > 0.0) == rising {
            high = x
        } else {
            low = x
        }
        let next = x - value / slope;
        // At the root rounding may put the next step out of a bracket that ends there.
        if (next - x).abs() <= 1e-12 * (b - a).abs() {
            return next.clamp(low, high);
        }
        // A step that leaves the bracket, or is no number, halves it instead.
        x = if next > low && next < high { next } else { 0.5 * (low + high) };
    }
    x
}

/// Zero of a function between two points where its signs differ, given with its values there; of one that jumps, where it jumps. Within half of
/// `sharp`. False position, the value of an end that stays halved (the Illinois rule; Dowell & Jarratt, BIT 11, 1971; from memory), with a halving
/// every fourth time, and never nearer to an end than half of `sharp`: once an end is at the zero, a reading just past it is the last.
pub(super) fn crossing(mut f: impl FnMut(f64) -> f64, a: (f64, f64), b: (f64, f64), sharp: f64) -> f64 {
    let ((mut a, mut fa), (mut b, mut fb)) = (a, b);
    let mut last = 0;
    for round in 0..240 {
        let (low, high) = (a.min(b), a.max(b));
        if high - low <= sharp {
            break;
        }
        let straight = b - (b - a) * (fb / (fb - fa));
        let x = if straight.is_finite() && round % 4 != 3 {
            straight.clamp(low + 0.5 * sharp, high - 0.5 * sharp)
        } else {
            0.5 * (a + b)
        };
        let fx = f(x);
        if (fx >= 0.0) == (fb >= 0.0) {
            (b, fb) = (x, fx);
            if last == 1 {
                fa *= 0.5;
            }
            last = 1;
        } else {
            (a, fa) = (x, fx);
            if last == 2 {
                fb *= 0.5;
            }
            last = 2;
        }
    }
    0.5 * (a + b)
}

/// Where `is_after` turns true between `a` (where it is false) and `b`, to within `sharp`.
pub(super) fn change(a: f64, b: f64, sharp: f64, mut is_after: impl FnMut(f64) -> bool) -> f64 {
    let (mut a, mut b) = (a, b);
    while b - a > sharp {
        let mid = 0.5 * (a + b);
        if mid <= a || mid >= b {
            break;
        }
        if is_after(mid) { b = mid } else { a = mid }
    }
    b
}

/// Share of a bracket at which a golden section cuts it.
const GOLDEN: f64 = 0.381_966_011_250_105;
/// How narrow a peak is bracketed, as a share of the first bracket: a smooth one is then known to a few millionths of its rise, one with a
/// kink to two thousandths of it.
const NARROW: f64 = 2e-3;

/// Highest value of a function around `x` (its value there is `at_x`) between `a` and `b`: successive parabolas with golden sections where
/// they do not help (Brent, Algorithms for Minimization without Derivatives, 1973, ch. 5; from memory). Gives place and value.
pub(super) fn peak(mut f: impl FnMut(f64) -> f64, (a, x, b): (f64, f64, f64), at_x: f64) -> (f64, f64) {
    let (mut a, mut b) = (a, b);
    let sharp = NARROW * (b - a);
    let (mut x, mut fx) = (x, at_x);
    let (mut w, mut fw, mut v, mut fv) = (x, fx, x, fx);
    let (mut step, mut before) = (0.0_f64, 0.0_f64);
    for _ in 0..40 {
        let mid = 0.5 * (a + b);
        if (x - mid).abs() + 0.5 * (b - a) <= 2.0 * sharp {
            break;
        }
        let mut golden = true;
        if before.abs() > sharp {
            let r = (x - w) * (fx - fv);
            let q = (x - v) * (fx - fw);
            let mut p = (x - v) * q - (x - w) * r;
            let mut q = 2.0 * (q - r);
            if q > 0.0 {
                p = -p;
            }
            q = q.abs();
            let last = before;
            before = step;
            if p.abs() < (0.5 * q * last).abs() && p > q * (a - x) && p < q * (b - x) {
                step = p / q;
                let to = x + step;
                if to - a < 2.0 * sharp || b - to < 2.0 * sharp {
                    step = sharp.copysign(mid - x);
                }
                golden = false;
            }
        }
        if golden {
            before = if x < mid { b - x } else { a - x };
            step = GOLDEN * before;
        }
        let u = if step.abs() >= sharp { x + step } else { x + sharp.copysign(step) };
        let fu = f(u);
        if fu >= fx {
            if u < x {
                b = x
            } else {
                a = x
            }
            (v, fv, w, fw, x, fx) = (w, fw, x, fx, u, fu);
        } else {
            if u < x {
                a = u
            } else {
                b = u
            }
            if fu >= fw || w == x {
                (v, fv, w, fw) = (w, fw, u, fu);
            } else if fu >= fv || v == x || v == w {
                (v, fv) = (u, fu);
            }
        }
    }
    (x, fx)
}

/// Highest value of a function that was read at `times` as `values`: every sample that may stand beside the peak is refined between its
/// neighbours. `f` gets a time and the index of the sample it is refined from. `ends` bracket the first and the last sample. `None` when no
/// value is above zero.
pub(super) fn highest(
    times: &[f64],
    values: &[f64],
    ends: (f64, f64),
    mut f: impl FnMut(f64, usize) -> f64,
) -> Option<(f64, f64)> {
    let n = times.len();
    let top = values.iter().copied().fold(0.0, f64::max);
    if top <= 0.0 {
        return None;
    }
    let value = |i: Option<usize>| i.and_then(|i| values.get(i)).copied().unwrap_or(0.0).max(0.0);
    let mut best: Option<(f64, f64)> = None;
    for i in 0..n {
        let (left, own, right) = (value(i.checked_sub(1)), value(Some(i)), value(Some(i + 1)));
        if own <= 0.0 || own < left || own <= right {
            continue;
        }
        // Between two samples a peak, smooth or with a kink, stands out by less than this.
        if own + 0.6 * (own - left.min(right)) < top {
            continue;
        }
        let a = if i == 0 { ends.0.min(times[0]) } else { times[i - 1] };
        let b = times.get(i + 1).copied().unwrap_or(ends.1.max(times[i]));
        let found = if b > a { peak(|t| f(t, i), (a, times[i], b), own) } else { (times[i], own) };
        if best.is_none_or(|(_, v)| found.1 > v) {
            best = Some(found);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    /// cos x = 0 at π/2; x³ = 2 at ∛2; a root with a slope of nothing beside it.
    #[test]
    fn verif_roots_of_known_functions() {
        let half_turn = root(|x| (x.cos(), -x.sin()), 0.1, 3.0);
        assert!((half_turn - std::f64::consts::FRAC_PI_2).abs() < 1e-11, "{half_turn}");
        let cube = root(|x| (x * x * x - 2.0, 3.0 * x * x), 0.0, 5.0);
        assert!((cube - 2.0_f64.cbrt()).abs() < 1e-11, "{cube}");
        let steep = root(|x: f64| (x.atan(), 1.0 / (1.0 + x * x)), -30.0, 50.0);
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
        let (_, y) = peak(f64::sin, (0.9, 1.4, 2.4), 1.4_f64.sin());
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
                        (x.cos(), -x.sin())
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
                    (x.atan(), 1.0 / (1.0 + x * x))
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
            let (x, asked) = cross(&|x| x.exp() - 2.0, a, b);
            assert!((x - 2.0_f64.ln()).abs() < 1e-6);
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
}
