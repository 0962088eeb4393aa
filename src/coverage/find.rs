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
mod tests;
