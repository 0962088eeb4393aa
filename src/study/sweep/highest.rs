//! The answer of a sweep over throughput: the highest throughput that still passes.
//!
//! A throughput passes when every point of the sweep that has it does. Counted is the run of swept throughputs that pass from the lowest on: what
//! passes again past one that does not is told, not counted. Between the last that passes and the first that does not, the interval is halved until
//! the two lie [`RESOLUTION_PER_H`] apart. Both ends are computed points, so the number is itself one that passes, and it is an edge: the next
//! throughput beyond it does not. Where every swept throughput passes there is no edge, and the highest may lie above.
//!
//! The answer is about every criterion, or about one measure alone: «the gap on the tail fails from here on».

use super::{Role, Sweep};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::error::Refusal;
use crate::study::point::PointResult;
use crate::study::summary::{MOST_VALUES, Summary};
use crate::units::job::per_hour;
use crate::units::{Dimension, ThroughputDim, read};

/// Key of the answer.
pub const KEY: &str = "highest_throughput";
/// What the answer is in plain words.
pub const LABEL: &str = "highest throughput that still passes";
/// How near the answer and the throughput beyond it lie to each other, vehicles per hour.
pub const RESOLUTION_PER_H: f64 = 0.1;

/// Path of the setting that it is about.
pub const PATH: &str = "line.throughput";

/// The lowest throughput found beyond an edge, and why it does not do.
#[derive(Debug, Clone, PartialEq)]
pub struct Beyond {
    /// The throughput, 1/s.
    pub throughput_per_s: f64,
    /// The first of its points that does not do.
    pub point: PointResult,
}

/// Up to where a verdict holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Highest {
    /// The highest throughput, 1/s; none when the lowest of the sweep does not do.
    pub throughput_per_s: Option<f64>,
    /// What stands beyond; none when every throughput of the sweep does, and the highest may lie above.
    pub beyond: Option<Beyond>,
    /// Swept throughputs beyond the edge that do again, 1/s, rising; not counted.
    pub again_per_s: Vec<f64>,
}

/// The answer of a sweep over throughput.
#[derive(Debug, Clone, PartialEq)]
pub struct HighestThroughput {
    /// Up to where every point passes.
    pub passes: Highest,
    /// Up to where every point meets the criteria, marginal ones too.
    pub meets: Highest,
}

/// What a point has to be good at.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Asked {
    /// Every criterion.
    All,
    /// The limit of one measure.
    Of(Measure),
}

/// Whether a point does: it is computed, judged, and no worse than this.
fn does(point: &PointResult, asked: Asked, worst: Verdict) -> bool {
    let verdict = match asked {
        Asked::All => point.verdict(),
        Asked::Of(measure) => point.reading(measure).and_then(|reading| reading.verdict),
    };
    point.reason().is_none() && verdict.is_some_and(|verdict| verdict <= worst)
}

/// A throughput of the sweep or between two of them.
#[derive(Debug, Clone)]
struct Rate {
    /// As the scenario is given it.
    text: String,
    per_s: f64,
}

impl Rate {
    fn read(text: String) -> Option<Rate> {
        let per_s = read(ThroughputDim::INFO, &text).ok()?.si;
        Some(Rate { text, per_s })
    }
}

impl Sweep {
    /// The answer of this sweep, all of whose rows the summary has gathered.
    ///
    /// # Errors
    /// When the sweep has no axis of throughput with a list of values.
    pub fn highest_throughput(&self, summary: &Summary) -> Result<HighestThroughput, Refusal> {
        self.highest(summary, Asked::All)
    }

    /// The same for the limit of the measure that the summary is about, whatever the other criteria say; none where no limit judges it.
    ///
    /// # Errors
    /// When the sweep has no axis of throughput with a list of values.
    pub fn highest_throughput_of_measure(
        &self,
        summary: &Summary,
    ) -> Result<Option<HighestThroughput>, Refusal> {
        let at = self.throughput_axis()?;
        let judged = summary.axes[at].places.iter().any(|place| place.worst.is_some());
        if !judged {
            return Ok(None);
        }
        self.highest(summary, Asked::Of(summary.measure)).map(Some)
    }

    fn highest(&self, summary: &Summary, asked: Asked) -> Result<HighestThroughput, Refusal> {
        let at = self.throughput_axis()?;
        let axis = &self.design.axes()[at];
        let mut swept: Vec<(Rate, Option<Verdict>)> = (0..)
            .map_while(|i| axis.value(i))
            .zip(&summary.axes[at].places)
            .filter_map(|(value, place)| {
                let verdict = match asked {
                    Asked::All => place.counts.worst().filter(|_| place.counts.unjudged == 0),
                    // What could not be computed meets no limit.
                    Asked::Of(_) if place.counts.not_computed > 0 => Some(Verdict::Fail),
                    Asked::Of(_) => place.worst,
                };
                Some((Rate::read(value.text)?, verdict))
            })
            .collect();
        swept.sort_by(|a, b| a.0.per_s.total_cmp(&b.0.per_s));
        let up_to = |worst| self.up_to(at, &swept, asked, worst);
        Ok(HighestThroughput { passes: up_to(Verdict::Pass), meets: up_to(Verdict::Marginal) })
    }

    /// Where the axis of throughput stands.
    ///
    /// # Errors
    /// When there is none, or its values are no list.
    pub fn throughput_axis(&self) -> Result<usize, Refusal> {
        let refused = |problem: &str| Refusal {
            problem: problem.to_owned(),
            given: self.design.summary(),
            allowed: format!("a grid with up to {MOST_VALUES} throughputs"),
            advice: "add --over throughput=60..140:10, or leave --highest out".to_owned(),
        };
        let at = self
            .design
            .axes()
            .iter()
            .zip(&self.roles)
            .position(|(axis, role)| *role == Role::Setting && axis.path() == PATH)
            .ok_or_else(|| refused("the sweep is not over throughput"))?;
        let listed = self.design.axes()[at].count().is_some_and(|count| count <= MOST_VALUES);
        if self.design.is_sample() || !listed {
            return Err(refused("the throughputs of the sweep are no list"));
        }
        Ok(at)
    }

    fn up_to(&self, at: usize, swept: &[(Rate, Option<Verdict>)], asked: Asked, worst: Verdict) -> Highest {
        let fine = |verdict: &Option<Verdict>| verdict.is_some_and(|verdict| verdict <= worst);
        let run = swept.iter().take_while(|(_, verdict)| fine(verdict)).count();
        let again_per_s =
            swept[run..].iter().filter(|(_, verdict)| fine(verdict)).map(|(rate, _)| rate.per_s).collect();
        let mut low = swept[..run].last().map(|(rate, _)| rate.clone());
        let mut high = swept.get(run).map(|(rate, _)| rate.clone());
        let mut missed = None;
        if let (Some(low), Some(high)) = (&mut low, &mut high) {
            while let Some(middle) = between(low.per_s, high.per_s) {
                match self.first_miss(at, &middle, asked, worst) {
                    None => *low = middle,
                    miss => (*high, missed) = (middle, miss),
                }
            }
        }
        let beyond = high.and_then(|rate| {
            let point = missed.or_else(|| self.first_miss(at, &rate, asked, worst))?;
            Some(Beyond { throughput_per_s: rate.per_s, point })
        });
        Highest { throughput_per_s: low.map(|rate| rate.per_s), beyond, again_per_s }
    }

    /// The first point at a throughput that does not do; the other axes as in the sweep.
    fn first_miss(&self, at: usize, rate: &Rate, asked: Asked, worst: Verdict) -> Option<PointResult> {
        let first = self.design.axes()[at].value(0)?;
        (0..self.design.rows())
            .filter_map(|row| self.design.point(row))
            .filter(|values| values[at] == first)
            .map(|mut values| {
                values[at].text.clone_from(&rate.text);
                self.computed(&values)
            })
            .find(|point| !does(point, asked, worst))
    }
}

/// The multiple of the resolution in the middle of two throughputs, 1/s; none when none lies between.
fn between(low_per_s: f64, high_per_s: f64) -> Option<Rate> {
    let parts = |per_s: f64| per_hour(per_s) / RESOLUTION_PER_H;
    // What is a multiple itself, but for rounding, does not lie between.
    let first = (parts(low_per_s) + 1e-6).floor() + 1.0;
    let last = (parts(high_per_s) - 1e-6).ceil() - 1.0;
    let middle = ((first + last) / 2.0).floor();
    if first > last {
        return None;
    }
    Rate::read(format!("{:.1} veh/h", middle * RESOLUTION_PER_H))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_halving_ends_within_the_resolution() {
        for (low, high, edge) in [(80.0, 90.0, 84.23), (80.0, 80.25, 80.21), (79.96, 81.0, 80.0)] {
            let (mut a, mut b, mut looks) = (low / 3600.0, high / 3600.0, 0);
            while let Some(middle) = between(a, b) {
                let middle = middle.per_s;
                assert!(a < middle && middle < b);
                if 3600.0 * middle <= edge {
                    a = middle
                } else {
                    b = middle
                }
                looks += 1;
            }
            assert!((1..9).contains(&looks), "{looks}");
            assert!(3600.0 * (b - a) < RESOLUTION_PER_H * (1.0 + 1e-6), "{a} {b}");
            assert!(3600.0 * a <= edge + 1e-9 && edge < 3600.0 * b);
        }
        assert!(between(80.0 / 3600.0, 80.1 / 3600.0).is_none());
    }
}
