//! The last instant at which something holds.

/// The last place found between 0 and `upper` at which a value still is 0 or more: within `least` of where it comes below. 0 where it does not hold at
/// once, `upper` where it holds to the end. False position, the value of an end that stays halved (the Illinois rule; Dowell & Jarratt, BIT 11, 1971; from
/// memory), with a least step that closes the bracket from its other side.
pub(super) fn last_held(mut value: impl FnMut(f64) -> f64, upper: f64, least: f64) -> f64 {
    let (mut a, mut b) = (0.0, upper);
    let (mut at_a, mut at_b) = (value(a), value(b));
    if at_a < 0.0 {
        return 0.0;
    }
    if at_b >= 0.0 {
        return b;
    }
    let mut kept_a = 0;
    let mut kept_b = 0;
    while b - a > least {
        let secant = b - at_b * (b - a) / (at_b - at_a);
        // An end that has been kept for long is not believed: halve.
        let x = if kept_a > 3 || kept_b > 3 { 0.5 * (a + b) } else { secant };
        let x = x.clamp(a + 0.5 * least, b - 0.5 * least);
        let at_x = value(x);
        if at_x >= 0.0 {
            (a, at_a) = (x, at_x);
            (kept_a, kept_b) = (0, kept_b + 1);
            if kept_b > 1 {
                at_b *= 0.5;
            }
        } else {
            (b, at_b) = (x, at_x);
            (kept_b, kept_a) = (0, kept_a + 1);
            if kept_a > 1 {
                at_a *= 0.5;
            }
        }
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;

    /// Functions whose zero is known, found from below within what is asked, and at what it costs: both ends, on a straight line the zero and one reading past
    /// it; where false position is slow, every fourth reading and on halves.
    #[test]
    fn verif_the_last_place_that_holds() {
        type Shape = fn(f64) -> f64;
        let shapes: [(&str, Shape, f64, usize); 9] = [
            ("line", |x| 0.3 - x, 0.3, 4),
            ("square", |x| 0.09 - x * x, 0.3, 12),
            ("exponential", |x| 2.0 - x.exponential(), 2.0_f64.log_natural(), 10),
            ("root", |x| 0.5 - x.sqrt(), 0.25, 11),
            ("hyperbola", |x| 1.0 / (x + 0.01) - 1.0 / 0.06, 0.05, 17),
            ("its mirror image", |x| 1.0 / 0.06 - 1.0 / (1.01 - x), 0.95, 17),
            ("ninth power", |x| (0.31 - x).powi(9), 0.31, 105),
            ("jump up", |x| if x < 0.31 { 5.0 } else { -1.0 }, 0.31, 43),
            ("jump down", |x| if x < 0.31 { 1.0 } else { -50.0 }, 0.31, 59),
        ];
        for (name, shape, zero, most) in shapes {
            for (least, fewer) in [(1e-9, 0), (1e-6, 1)] {
                let mut asked = 0;
                let found = last_held(
                    |x| {
                        asked += 1;
                        shape(x)
                    },
                    1.0,
                    least,
                );
                assert!(shape(found) >= 0.0 && found <= zero + 1e-15, "{name}: {found}");
                assert!(zero - found <= least, "{name}: {found} for {zero}");
                assert!(asked <= most.max(4 + fewer) - fewer, "{name} to {least}: {asked} readings");
            }
        }
        // Not at once; to the end, at 0 too; up to where it is just 0.
        assert_eq!(last_held(|x| x - 0.5, 1.0, 1e-9), 0.0);
        assert_eq!(last_held(|x| 0.7 - x, 0.7, 1e-9), 0.7);
        assert_eq!(last_held(|_| 1.0, 0.4, 1e-9), 0.4);
        assert_eq!(last_held(|x| -x, 1.0, 1e-9), 0.0);
        let plateau = |x: f64| (0.4 - x).min(0.0);
        let found = last_held(plateau, 1.0, 1e-9);
        assert!((found - 0.4).abs() <= 1e-9, "{found}");
        // A bracket as narrow as asked is not searched.
        let mut asked = 0;
        let found = last_held(
            |x| {
                asked += 1;
                0.3 - x
            },
            0.5,
            0.5,
        );
        assert_eq!((found, asked), (0.0, 2));
    }
}
