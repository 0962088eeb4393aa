//! Integrals along a stretch of the perimeter from what is known at its stations, looked at more closely where they tell too little.

/// A place on the stretch, m, and the values there.
pub(super) type Node<const N: usize> = (f64, [f64; N]);

/// Halvings of one part, at most: a jump is then known to 5 µm.
const FINEST: u32 = 12;

/// ∫ f over a stretch known at its ends and at places between, in order. Two neighbours stand for what is between them while the curvature on
/// both sides makes no more than `within` of it (then f is taken as bent like that); otherwise f is asked for more.
pub(super) fn integral<const N: usize>(
    nodes: &[Node<N>],
    within: [f64; N],
    mut f: impl FnMut(f64) -> [f64; N],
) -> [f64; N] {
    let mut sum = [0.0; N];
    for i in 1..nodes.len() {
        let (a, b) = (&nodes[i - 1], &nodes[i]);
        let h = b.0 - a.0;
        // What the curvature takes from the trapezium, as seen from each side.
        let before = i.checked_sub(2).map(|k| curvature(&nodes[k], a, b));
        let after = nodes.get(i + 1).map(|c| curvature(a, b, c));
        let known = [before, after].into_iter().flatten();
        let lens = h * h * h / 12.0;
        let (mut straight, mut taken, mut sides) = (true, [0.0; N], 0.0);
        for bent in known {
            sides += 1.0;
            for k in 0..N {
                straight &= (lens * bent[k]).abs() <= within[k];
                taken[k] += lens * bent[k];
            }
        }
        let part = if straight && sides > 0.0 {
            std::array::from_fn(|k| 0.5 * h * (a.1[k] + b.1[k]) - taken[k] / sides)
        } else {
            halved(&mut f, (a, b), &within, FINEST)
        };
        for k in 0..N {
            sum[k] += part[k];
        }
    }
    sum
}

/// Second derivative from three places.
pub(super) fn curvature<const N: usize>(a: &Node<N>, b: &Node<N>, c: &Node<N>) -> [f64; N] {
    let slope = |a: &Node<N>, b: &Node<N>, k: usize| (b.1[k] - a.1[k]) / (b.0 - a.0);
    std::array::from_fn(|k| 2.0 * (slope(b, c, k) - slope(a, b, k)) / (c.0 - a.0))
}

/// Simpson's rule, halved until its trapezia change by no more than `within`.
fn halved<const N: usize>(
    f: &mut impl FnMut(f64) -> [f64; N],
    (a, b): (&Node<N>, &Node<N>),
    within: &[f64; N],
    rounds: u32,
) -> [f64; N] {
    let h = b.0 - a.0;
    let x = a.0 + 0.5 * h;
    let middle = (x, f(x));
    let off: [f64; N] = std::array::from_fn(|k| 0.25 * h * (2.0 * middle.1[k] - a.1[k] - b.1[k]));
    if rounds == 0 || off.iter().zip(within).all(|(off, within)| off.abs() <= *within) {
        return std::array::from_fn(|k| 0.5 * h * (a.1[k] + b.1[k]) + off[k] * (4.0 / 3.0));
    }
    let left = halved(f, (a, &middle), within, rounds - 1);
    let right = halved(f, (&middle, b), within, rounds - 1);
    std::array::from_fn(|k| left[k] + right[k])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;

    /// Values of f at the ends of 0…1 and at the middles of `count` equal parts.
    fn nodes(count: usize, f: impl Fn(f64) -> [f64; 1]) -> Vec<Node<1>> {
        let middles = (0..count).map(|i| (i as f64 + 0.5) / count as f64);
        [0.0].into_iter().chain(middles).chain([1.0]).map(|x| (x, f(x))).collect()
    }

    /// How far an integral over 0…1 is off, and how often f was asked.
    fn off(count: usize, within: f64, want: f64, f: impl Fn(f64) -> f64) -> (f64, usize) {
        let f = |x: f64| [f(x)];
        let mut asked = 0;
        let [got] = integral(&nodes(count, f), [within], |x| {
            asked += 1;
            f(x)
        });
        ((got - want).abs(), asked)
    }

    /// A parabola is told from its nodes alone; so is nothing.
    #[test]
    fn verif_what_bends_evenly_needs_no_more_than_its_nodes() {
        let (error, asked) = off(8, 1e-2, 1.0 / 3.0, |x| x * x);
        assert!(error < 1e-15 && asked == 0, "{error:e} after {asked}");
        assert_eq!(off(5, 0.0, 0.0, |_| 0.0).0, 0.0);
        let (error, asked) = off(1, 1e-9, 1.0 / 3.0, |x| x * x);
        assert!(error < 1e-9, "one part alone: {error:e} after {asked}");
    }

    /// A root that starts between two nodes, ∫√(x − c) = ⅔ (1 − c)^1.5, and a step, 1 − c.
    #[test]
    fn verif_a_root_and_a_jump_between_nodes_are_followed() {
        for c in [0.231, 0.3, 0.449] {
            let (error, asked) =
                off(10, 1e-6, 2.0 / 3.0 * (1.0_f64 - c).power(1.5), |x| (x - c).max(0.0).sqrt());
            assert!(error < 5e-6 && asked > 5 && asked < 150, "root at {c}: {error:e} after {asked}");
            let (error, asked) = off(10, 1e-5, 1.0 - c, |x| f64::from(x > c));
            assert!(error < 5e-5 && asked < 40, "step at {c}: {error:e} after {asked}");
        }
    }

    /// A part that never comes to what is asked is halved twelve times and no more: 2¹³ − 1 looks.
    #[test]
    fn verif_halving_ends() {
        let mut asked = 0;
        let [got] = integral(&[(0.0, [1.0]), (1.0, [1.0])], [-1.0], |_| {
            asked += 1;
            [1.0]
        });
        assert_eq!(asked, (1 << 13) - 1);
        assert!((got - 1.0).abs() < 1e-12);
    }
}
