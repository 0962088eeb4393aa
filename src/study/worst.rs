//! The worst of several passes: what a set-up comes to over vehicles and throughputs.
//!
//! For each measure the worst case is the one with the least margin to its limit; without a limit, the value farthest from better (for a measure
//! where neither way is better, the highest). A judged measure without a value is worse than any value.

use super::point::PointResult;
use crate::coverage::Verdict;
use crate::coverage::measure::{self, Measure, Reading};
use crate::coverage::table::Better;

/// One measure at its worst.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstReading {
    /// The reading.
    pub reading: Reading,
    /// Which case it is from.
    pub case: usize,
}

/// Several passes at their worst.
#[derive(Debug, Clone, PartialEq)]
pub struct Worst {
    /// One for each of [`measure::ALL`]; none where no case has it.
    readings: Vec<Option<WorstReading>>,
    /// The first case that could not be computed, and why.
    pub failed: Option<(usize, String)>,
}

impl Worst {
    /// The worst of these cases.
    pub fn of<'r>(results: impl IntoIterator<Item = &'r PointResult>) -> Worst {
        let mut worst = Worst { readings: vec![None; measure::COUNT], failed: None };
        for (case, result) in results.into_iter().enumerate() {
            if let Some(reason) = result.reason() {
                worst.failed.get_or_insert((case, reason.to_owned()));
            }
            for ((measure, reading), slot) in result.readings().zip(&mut worst.readings) {
                if reading.value.is_none() && reading.limit.is_none() {
                    continue;
                }
                let is_worse = slot
                    .as_ref()
                    .is_none_or(|kept| badness(measure, reading) > badness(measure, &kept.reading));
                if is_worse {
                    *slot = Some(WorstReading { reading: *reading, case });
                }
            }
        }
        worst
    }

    /// One measure at its worst.
    pub fn reading(&self, measure: Measure) -> Option<&WorstReading> {
        self.readings.get(measure.index())?.as_ref()
    }

    /// Its value, SI.
    pub fn value(&self, measure: Measure) -> Option<f64> {
        self.reading(measure)?.reading.value
    }

    /// How much worse it is on the other side of the edge it stands on, SI; none when it is on none.
    pub fn edge(&self, measure: Measure) -> Option<f64> {
        self.reading(measure)?.reading.edge
    }

    /// Margin at the tightest judged measure, which that is, and in which case. −∞ and no measure when a case could not be computed; +∞ and no
    /// measure when nothing is judged.
    pub fn tightest(&self) -> (f64, Option<(Measure, usize)>) {
        self.tightest_of(|_| true)
    }

    /// The same over the measures that `counts` says.
    pub fn tightest_of(&self, counts: impl Fn(Measure) -> bool) -> (f64, Option<(Measure, usize)>) {
        if self.failed.is_some() {
            return (f64::NEG_INFINITY, None);
        }
        let mut tightest = (f64::INFINITY, None);
        for (measure, slot) in measure::ALL.into_iter().zip(&self.readings) {
            let Some(worst) = slot.as_ref().filter(|_| counts(measure)) else { continue };
            let Some(margin) = worst.reading.margin() else { continue };
            if margin < tightest.0 || tightest.1.is_none() {
                tightest = (margin, Some((measure, worst.case)));
            }
        }
        tightest
    }

    /// The worst verdict; a fail when a case could not be computed, none when nothing is judged.
    pub fn verdict(&self) -> Option<Verdict> {
        if self.failed.is_some() {
            return Some(Verdict::Fail);
        }
        self.readings().filter_map(|(_, worst)| worst.reading.verdict).max()
    }

    /// Margin past the marginal band at the tightest judged measure: 0 or more exactly where the verdict is a pass. −∞ when a case could not be
    /// computed, +∞ when nothing is judged.
    pub fn margin_past_band(&self, marginal_share: f64) -> f64 {
        if self.failed.is_some() {
            return f64::NEG_INFINITY;
        }
        self.readings()
            .filter_map(|(_, worst)| worst.reading.margin_past_band(marginal_share))
            .fold(f64::INFINITY, f64::min)
    }

    /// Every measure that has a worst case, in order.
    pub fn readings(&self) -> impl Iterator<Item = (Measure, &WorstReading)> {
        measure::ALL.into_iter().zip(&self.readings).filter_map(|(m, slot)| Some((m, slot.as_ref()?)))
    }
}

/// Larger is worse.
fn badness(measure: Measure, reading: &Reading) -> f64 {
    if let Some(margin) = reading.margin() {
        return -margin;
    }
    let value = reading.value.unwrap_or(f64::NAN);
    if measure.better() == Better::More { -value } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::MeasureName;
    use crate::study::point::tests::point;

    #[test]
    fn verif_each_measure_is_taken_where_it_is_worst() {
        let cases = [
            point(&[
                (MeasureName::TailGap.whole(), Some(0.1), 0.3),
                (MeasureName::NoseOverlap.whole(), Some(0.05), 0.05),
            ]),
            point(&[
                (MeasureName::TailGap.whole(), Some(0.25), 0.3),
                (MeasureName::NoseOverlap.whole(), Some(0.2), 0.05),
            ]),
        ];
        let worst = Worst::of(&cases);
        assert_eq!(
            worst.reading(MeasureName::TailGap.whole()).map(|w| (w.case, w.reading.value)),
            Some((1, Some(0.25)))
        );
        assert_eq!(worst.reading(MeasureName::NoseOverlap.whole()).map(|w| w.case), Some(0));
        assert_eq!(worst.tightest(), (0.0, Some((MeasureName::NoseOverlap.whole(), 0))));
        assert_eq!(worst.reading(MeasureName::NoseWashed.whole()), None);
    }

    #[test]
    fn verif_a_missing_value_and_a_failed_case_are_the_worst() {
        let cases = [
            point(&[(MeasureName::TailGap.whole(), None, 0.3)]),
            point(&[(MeasureName::TailGap.whole(), Some(9.0), 0.3)]),
        ];
        let worst = Worst::of(&cases);
        assert_eq!(worst.reading(MeasureName::TailGap.whole()).map(|w| w.case), Some(0));
        assert_eq!(worst.tightest().0, f64::NEG_INFINITY);
        let worst = Worst::of(&[
            point(&[(MeasureName::TailGap.whole(), Some(0.1), 0.3)]),
            PointResult::failed("jams"),
        ]);
        assert_eq!(worst.failed, Some((1, "jams".to_owned())));
        assert_eq!(worst.tightest().0, f64::NEG_INFINITY);
    }
}
