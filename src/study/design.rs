//! The points of a sweep: the full grid of its axes or an evenly spread sample, and any share of it.
//!
//! Grid: the last axis turns fastest, as digits of a number. Sample: Sobol points ([`super::sobol`]), one dimension for each axis. Row numbers are
//! those of the whole design, also in a share.

use super::axis::{Axis, AxisValue};
use super::sobol::{MAX_DIMENSIONS, Sobol};
use crate::error::Refusal;
use std::ops::Range;

/// A share of the rows: `3/16` is the third of sixteen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    number: u64,
    of: u64,
}

impl Part {
    /// Everything.
    pub const WHOLE: Part = Part { number: 1, of: 1 };

    /// The rows of this share of `count` rows: shares are runs of rows in order, differ in length by one at most, and together are the whole.
    pub fn rows(self, count: u64) -> Range<u64> {
        let at = |k: u64| (u128::from(count) * u128::from(k) / u128::from(self.of)) as u64;
        at(self.number - 1)..at(self.number)
    }
}

impl std::str::FromStr for Part {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Part, Refusal> {
        let parts =
            text.split_once('/').and_then(|(k, n)| Some((k.trim().parse().ok()?, n.trim().parse().ok()?)));
        match parts {
            Some((number, of)) if number >= 1 && number <= of => Ok(Part { number, of }),
            _ => Err(Refusal {
                problem: "a share is its number and how many there are".into(),
                given: text.into(),
                allowed: "1/N to N/N".into(),
                advice: "write 3/16 for the third of sixteen".into(),
            }),
        }
    }
}

impl std::fmt::Display for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

/// The points of a sweep.
#[derive(Debug, Clone)]
pub struct Design {
    axes: Vec<Axis>,
    rows: u64,
    sample: Option<(Sobol, u64)>,
}

impl Design {
    /// Every combination of the axes' values.
    ///
    /// # Errors
    /// When an axis takes any value of a range, when two axes have the same path, or when there are more than 2^53 points.
    pub fn grid(axes: Vec<Axis>) -> Result<Design, Refusal> {
        let mut rows = 1_u64;
        for axis in &axes {
            let Some(count) = axis.count() else {
                return Err(Refusal {
                    problem: format!("{}: a range without a step has no countable values", axis.path()),
                    given: axis.summary(),
                    allowed: "FIRST..LAST:STEP".into(),
                    advice: "give a step, or ask for a sample with --sample".into(),
                });
            };
            rows = rows.checked_mul(count).filter(|rows| *rows <= 1 << 53).ok_or_else(|| Refusal {
                problem: "the grid has too many points".into(),
                given: format!("{} axes", axes.len()),
                allowed: "at most 2^53 points".into(),
                advice: "take fewer values, or a sample with --sample".into(),
            })?;
        }
        Design { axes, rows, sample: None }.checked()
    }

    /// An evenly spread sample of `rows` points.
    ///
    /// # Errors
    /// When two axes have the same path, there are no axes or more than [`MAX_DIMENSIONS`], or not 1 to 2^32 points.
    pub fn sample(axes: Vec<Axis>, rows: u64, seed: u64) -> Result<Design, Refusal> {
        let refusal = |problem: &str, given: String, allowed: String| Refusal {
            problem: problem.into(),
            given,
            allowed,
            advice: "change --over or --sample".into(),
        };
        if axes.is_empty() {
            return Err(refusal("a sample needs an axis", "none".into(), "at least one --over".into()));
        }
        if rows == 0 || rows > 1 << 32 {
            return Err(refusal(
                "a sample has from one to 2^32 points",
                rows.to_string(),
                "1 to 4294967296".into(),
            ));
        }
        let Some(sobol) = Sobol::new(axes.len()) else {
            let allowed = format!("at most {MAX_DIMENSIONS} axes");
            return Err(refusal("a sample has too many axes", axes.len().to_string(), allowed));
        };
        Design { axes, rows, sample: Some((sobol.shifted(seed), seed)) }.checked()
    }

    fn checked(self) -> Result<Design, Refusal> {
        for (i, axis) in self.axes.iter().enumerate() {
            if self.axes[..i].iter().any(|earlier| earlier.path() == axis.path()) {
                return Err(Refusal {
                    problem: format!("{} is swept twice", axis.path()),
                    given: axis.summary(),
                    allowed: "each setting once".into(),
                    advice: "leave one of them out".into(),
                });
            }
        }
        Ok(self)
    }

    /// The axes, slowest first.
    pub fn axes(&self) -> &[Axis] {
        &self.axes
    }

    /// Number of points.
    pub fn rows(&self) -> u64 {
        self.rows
    }

    /// Whether the points are a sample, not a grid.
    pub fn is_sample(&self) -> bool {
        self.sample.is_some()
    }

    /// The values of point `row`, one for each axis; none past the end.
    pub fn point(&self, row: u64) -> Option<Vec<AxisValue>> {
        if row >= self.rows {
            return None;
        }
        if let Some((sobol, _)) = &self.sample {
            return self.axes.iter().enumerate().map(|(d, axis)| axis.at(sobol.coordinate(row, d))).collect();
        }
        let mut rest = row;
        let mut values = Vec::with_capacity(self.axes.len());
        for axis in self.axes.iter().rev() {
            let count = axis.count()?;
            values.push(axis.value(rest % count)?);
            rest /= count;
        }
        values.reverse();
        Some(values)
    }

    /// One line on how the points were chosen, for headers and fingerprints.
    pub fn summary(&self) -> String {
        match &self.sample {
            Some((_, seed)) => format!("sample of {} Sobol points, seed {seed}", self.rows),
            None => format!("grid of {}", crate::units::counted(self.rows, "point", "points")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Dimension, FractionDim, LengthDim};

    fn axes() -> Vec<Axis> {
        vec![
            Axis::quantity("a", "1,2", FractionDim::INFO, None).unwrap(),
            Axis::words("b", ["x".to_owned(), "y".to_owned(), "z".to_owned()]).unwrap(),
        ]
    }

    #[test]
    fn verif_the_last_axis_turns_fastest() {
        let grid = Design::grid(axes()).unwrap();
        assert_eq!(grid.rows(), 6);
        let all: Vec<String> = (0..6)
            .map(|row| grid.point(row).unwrap().iter().map(|v| v.text.clone()).collect::<Vec<_>>().join(""))
            .collect();
        assert_eq!(all, ["1x", "1y", "1z", "2x", "2y", "2z"]);
        assert!(grid.point(6).is_none());
        assert_eq!(Design::grid(Vec::new()).unwrap().rows(), 1);
    }

    #[test]
    fn verif_shares_together_are_the_whole() {
        for count in [0_u64, 1, 6, 17, 1_000_003, u64::MAX] {
            for of in [1_u64, 2, 3, 7, 16] {
                let mut next = 0;
                for number in 1..=of {
                    let rows = Part { number, of }.rows(count);
                    assert_eq!(rows.start, next);
                    assert!((rows.end - rows.start).abs_diff(count / of) <= 1);
                    next = rows.end;
                }
                assert_eq!(next, count);
            }
        }
        assert_eq!("3/16".parse::<Part>().unwrap(), Part { number: 3, of: 16 });
        for bad in ["0/4", "5/4", "3", "a/b", "-1/4", "1/0"] {
            assert!(bad.parse::<Part>().is_err(), "{bad}");
        }
    }

    #[test]
    fn verif_a_sample_takes_ranges_and_lists() {
        let axes = vec![
            Axis::quantity("o", "-1in..1in", LengthDim::INFO, None).unwrap(),
            Axis::quantity("p", "1,2", FractionDim::INFO, None).unwrap(),
        ];
        assert!(Design::grid(axes.clone()).unwrap_err().problem.contains("without a step"));
        let sample = Design::sample(axes.clone(), 64, 0).unwrap();
        let points: Vec<Vec<AxisValue>> = (0..64).map(|r| sample.point(r).unwrap()).collect();
        assert_eq!(points.iter().filter(|p| p[1].number == Some(1.0)).count(), 32);
        let mean: f64 = points.iter().map(|p| p[0].number.unwrap()).sum::<f64>() / 64.0;
        assert!((mean + 1.0 / 64.0).abs() < 1e-12, "{mean}");
        let other = Design::sample(axes, 64, 5).unwrap();
        assert_ne!(other.point(3), sample.point(3));
    }

    #[test]
    fn verif_a_setting_is_swept_once() {
        let axis = || Axis::quantity("p", "1,2", FractionDim::INFO, None).unwrap();
        assert!(Design::grid(vec![axis(), axis()]).unwrap_err().problem.contains("twice"));
        assert!(Design::sample(Vec::new(), 4, 0).is_err());
        assert!(Design::sample(vec![axis()], 0, 0).is_err());
    }
}
