//! Round numbers for axes, in the units of the trade.
//!
//! A tick's value is a whole multiple of a round step, computed as index · step, never by repeated addition.

use crate::elementary::Elementary;

/// Which steps count as round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Steps {
    /// 1, 2, 5 and their tens.
    #[default]
    Decimal,
    /// 1, 2, 5 and their tens, but never less than one whole.
    Whole,
    /// Inches: sixteenths to halves, written as fractions, then whole inches and feet.
    Inches,
    /// Degrees: parts of a turn.
    Degrees,
}

/// One tick.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Where, in the axis's unit.
    pub value: f64,
    /// What is written there; with a real minus sign.
    pub label: String,
}

/// The most round ticks from `low` to `high` (both included) that number at most `most`.
///
/// Returns no ticks when the ends are not finite, not in order, or `most` is 0.
pub fn ticks(low: f64, high: f64, most: usize, steps: Steps) -> Vec<Tick> {
    if !(low.is_finite() && high.is_finite() && high > low) || most == 0 {
        return Vec::new();
    }
    let Some(step) =
        candidates(steps, high - low).into_iter().find(|step| count(low, high, *step) <= most as i64)
    else {
        return Vec::new();
    };
    let (first, last) = bounds(low, high, step);
    (first..=last)
        .map(|i| i as f64 * step)
        .map(|value| Tick { value, label: label(value, step, steps) })
        .collect()
}

/// The range widened to the next round step on both sides, so that an axis starts and ends on a tick.
pub fn round_range(low: f64, high: f64, most: usize, steps: Steps) -> [f64; 2] {
    if !(low.is_finite() && high.is_finite()) {
        return [0.0, 1.0];
    }
    let (low, high) = if high > low {
        (low, high)
    } else {
        // One value only: a stretch about it, so that it still shows.
        let around = (low.abs() * 0.1).max(0.5);
        (low.min(high) - around, low.max(high) + around)
    };
    for step in candidates(steps, high - low) {
        let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
        if last - first < most.max(2) as f64 {
            return [first * step, last * step];
        }
    }
    [low, high]
}

/// A number with a real minus sign and a fixed count of decimals; never «−0».
pub fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{:.*}", decimals, value.abs());
    let zero = text.bytes().all(|b| b == b'0' || b == b'.');
    if value < 0.0 && !zero { format!("−{text}") } else { text }
}

/// Inches as a whole number and a fraction in lowest terms, to the nearest sixteenth: «−1 3/8», «5/16», «0».
pub fn inch_fraction(value: f64) -> String {
    let sixteenths = (value * 16.0).round() as i64;
    let sign = if sixteenths < 0 { "−" } else { "" };
    let (whole, mut top, mut bottom) = (sixteenths.abs() / 16, sixteenths.abs() % 16, 16);
    while top > 0 && top % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    match (whole, top) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, top) => format!("{sign}{top}/{bottom}"),
        (whole, top) => format!("{sign}{whole} {top}/{bottom}"),
    }
}

/// The count of decimals that shows every multiple of a decimal step exactly.
pub fn decimals_of(step: f64) -> usize {
    (0..=9)
        .find(|d| ((step * 10_f64.powi(*d)).round() / 10_f64.powi(*d) - step).abs() < step * 1e-6)
        .unwrap_or(9) as usize
}

fn label(value: f64, step: f64, steps: Steps) -> String {
    match steps {
        Steps::Inches if step < 1.0 => inch_fraction(value),
        _ => plain(value, decimals_of(step)),
    }
}

fn bounds(low: f64, high: f64, step: f64) -> (i64, i64) {
    // A hair of slack so that an end that is itself a tick is not lost to rounding.
    ((low / step - 1e-9).ceil() as i64, (high / step + 1e-9).floor() as i64)
}

fn count(low: f64, high: f64, step: f64) -> i64 {
    let (first, last) = bounds(low, high, step);
    last - first + 1
}

/// Round steps for a range, smallest first.
fn candidates(steps: Steps, span: f64) -> Vec<f64> {
    let decimal = |lowest: i32| -> Vec<f64> {
        let top = span.log_10().floor() as i32 + 2;
        ((top - 6).max(lowest)..=top.max(lowest))
            .flat_map(|tens| [1.0, 2.0, 5.0].map(|digit| power_of_ten(digit, tens)))
            .collect()
    };
    match steps {
        Steps::Decimal => decimal(i32::MIN),
        Steps::Whole => decimal(0),
        Steps::Inches => {
            let mut all =
                vec![1.0 / 16.0, 1.0 / 8.0, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 36.0, 60.0, 120.0];
            all.extend(
                (1..7).flat_map(|tens| [240.0, 600.0, 1200.0].map(|inches| power_of_ten(inches, tens - 1))),
            );
            all
        }
        Steps::Degrees => {
            let mut all = decimal(i32::MIN);
            let turns: Vec<f64> = all.iter().copied().filter(|step| *step > 3600.0).collect();
            all.retain(|step| *step < 10.0);
            all.extend([10.0, 15.0, 30.0, 45.0, 90.0, 180.0, 360.0, 720.0, 1800.0, 3600.0]);
            all.extend(turns);
            all
        }
    }
}

/// digit · 10^tens, as the nearest double for negative powers too.
fn power_of_ten(digit: f64, tens: i32) -> f64 {
    if tens >= 0 { digit * 10_f64.powi(tens) } else { digit / 10_f64.powi(-tens) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(low: f64, high: f64, most: usize, steps: Steps) -> Vec<String> {
        ticks(low, high, most, steps).into_iter().map(|tick| tick.label).collect()
    }

    #[test]
    fn verif_decimal_ticks() {
        assert_eq!(labels(0.0, 1.0, 6, Steps::Decimal), ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]);
        assert_eq!(labels(-0.3, 0.3, 4, Steps::Decimal), ["−0.2", "0.0", "0.2"]);
        assert_eq!(labels(60.0, 140.0, 5, Steps::Whole), ["60", "80", "100", "120", "140"]);
        assert_eq!(labels(0.0, 3.0, 20, Steps::Whole), ["0", "1", "2", "3"]);
        assert_eq!(labels(f64::NAN, 1.0, 5, Steps::Decimal), Vec::<String>::new());
        assert_eq!(labels(1.0, 1.0, 5, Steps::Decimal), Vec::<String>::new());
    }

    #[test]
    fn verif_inch_ticks_are_fractions() {
        assert_eq!(labels(-0.25, 0.25, 5, Steps::Inches), ["−1/4", "−1/8", "0", "1/8", "1/4"]);
        assert_eq!(labels(0.0, 1.5, 4, Steps::Inches), ["0", "1/2", "1", "1 1/2"]);
        assert_eq!(labels(0.0, 190.0, 5, Steps::Inches), ["0", "60", "120", "180"]);
        assert_eq!(inch_fraction(-1.375), "−1 3/8");
        assert_eq!(inch_fraction(0.3125), "5/16");
        assert_eq!(inch_fraction(-0.001), "0");
    }

    #[test]
    fn verif_degree_ticks_part_a_turn() {
        assert_eq!(labels(0.0, 180.0, 5, Steps::Degrees), ["0", "45", "90", "135", "180"]);
        assert_eq!(labels(50.0, 100.0, 6, Steps::Degrees), ["50", "60", "70", "80", "90", "100"]);
    }

    #[test]
    fn verif_ticks_are_exact_multiples_and_few_enough() {
        for (low, high) in [(0.0, 0.7), (-12.3, 45.6), (1e-7, 3e-6), (0.0, 9.9e6), (999.0, 1001.0)] {
            for most in 2..12 {
                for steps in [Steps::Decimal, Steps::Degrees] {
                    let found = ticks(low, high, most, steps);
                    assert!(
                        !found.is_empty() && found.len() <= most,
                        "{low} {high} {most} {steps:?}: {found:?}"
                    );
                    assert!(
                        found
                            .iter()
                            .all(|t| t.value >= low - 1e-12 && t.value <= high * (1.0 + 1e-12) + 1e-12)
                    );
                }
            }
        }
        // 0.3 must be the nearest double to 0.3, not 3 · 0.1.
        assert!((ticks(0.0, 0.5, 6, Steps::Decimal)[3].value - 0.3).abs() < 1e-15);
    }

    #[test]
    fn verif_round_range_holds_the_data() {
        for (low, high) in [(0.13, 0.88), (-5.0, 5.0), (61.0, 139.0), (2.0, 2.0)] {
            let [a, b] = round_range(low, high, 6, Steps::Decimal);
            assert!(a <= low && b >= high && b > a, "{low} {high}: {a} {b}");
            assert!((b - a) < 3.0 * (high - low).max(0.5));
        }
    }
}
