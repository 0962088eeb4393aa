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
        // A step that leaves the bracket, or is no number, halves it instead.
        let next = if next > low && next < high { next } else { 0.5 * (low + high) };
        if (next - x).abs() <= 1e-12 * (b - a).abs() || next == x {
            return next;
        }
        x = next;
    }
    x
}

/// Zero of a continuous function between two points where its signs differ, given with its values there: false position, the value of an end that
/// stays halved (the Illinois rule; Dowell & Jarratt, BIT 11, 1971; from memory), with a halving whenever that is slow.
pub(super) fn crossing(mut f: impl FnMut(f64) -> f64, a: (f64, f64), b: (f64, f64), sharp: f64) -> f64 {
    let ((mut a, mut fa), (mut b, mut fb)) = (a, b);
    let mut last = 0;
    for round in 0..60 {
        if (b - a).abs() <= sharp {
            break;
        }
        let straight = b - (b - a) * (fb / (fb - fa));
        let inside = straight > a.min(b) && straight < a.max(b) && round % 4 != 3;
        let x = if inside { straight } else { 0.5 * (a + b) };
        let fx = f(x);
        if (fx >= 0.0) == (fb >= 0.0) {
            if (x - b).abs() <= 0.5 * sharp {
                return x;
            }
            (b, fb) = (x, fx);
            if last == 1 {
                fa *= 0.5;
            }
            last = 1;
        } else {
            if (x - a).abs() <= 0.5 * sharp {
                return x;
            }
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
}
