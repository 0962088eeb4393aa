//! Verdicts: pass / marginal / fail for each criterion of the scenario, always with the number and the limit.

use super::table::{Given, LimitSize, Limited, MeasureName, Scope};
use super::{Outcome, UnitTiming};
use crate::arm::Side;
use crate::vehicle::FeatureKind;
use std::collections::BTreeMap;

/// How a number stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Inside the limit with margin.
    Pass,
    /// Inside the limit, within the marginal share of it.
    Marginal,
    /// Past the limit, or not measurable at all.
    Fail,
}

impl Verdict {
    /// `"pass"`, `"marginal"` or `"fail"`.
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Marginal => "marginal",
            Verdict::Fail => "fail",
        }
    }

    /// Verdict for «at most `limit`».
    pub fn at_most(value: f64, limit: f64, marginal_share: f64) -> Verdict {
        let margin = limit - value;
        Self::from_margin(margin, marginal_share * limit.abs())
    }

    /// Verdict for «at least `limit`».
    pub fn at_least(value: f64, limit: f64, marginal_share: f64) -> Verdict {
        let margin = value - limit;
        Self::from_margin(margin, marginal_share * limit.abs())
    }

    /// At the limit itself there is no margin: marginal. What is no number fails, whatever it is compared with.
    fn from_margin(margin: f64, narrow: f64) -> Verdict {
        if !margin.is_finite() || margin < 0.0 {
            Verdict::Fail
        } else if margin > narrow {
            Verdict::Pass
        } else {
            Verdict::Marginal
        }
    }
}

/// Limits of the scenario; what has none is not judged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Criteria {
    /// By what they limit, SI.
    pub limits: BTreeMap<MeasureName, f64>,
    /// Force limits by kind of feature, N; they go before the limits of the vehicle.
    pub feature_limits_n: Vec<(FeatureKind, f64)>,
    /// Within this share of a limit a number is marginal.
    pub marginal_share: f64,
}

impl Criteria {
    /// The limit of a measure, SI; `None` = not judged.
    pub fn limit(&self, name: MeasureName) -> Option<f64> {
        match name.row().limited?.given {
            Given::Scenario(..) => self.limits.get(&name).copied(),
            Given::Always(limit) => Some(limit),
            Given::Feature => None,
        }
    }

    /// Sets the limit of a measure, SI.
    pub fn set(&mut self, name: MeasureName, limit: f64) {
        self.limits.insert(name, limit);
    }

    /// The same with one more limit, SI.
    #[must_use]
    pub fn with(mut self, name: MeasureName, limit: f64) -> Criteria {
        self.set(name, limit);
        self
    }

    /// Limit for a kind of feature, N.
    pub fn feature_limit_n(&self, kind: FeatureKind) -> Option<f64> {
        self.feature_limits_n.iter().find(|(k, _)| *k == kind).map(|(_, limit)| *limit)
    }
}

/// One criterion, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct VerdictLine {
    /// Which criterion.
    pub criterion: MeasureName,
    /// What it is about when there are several: «left», «left mirror».
    pub about: Option<String>,
    /// The unit concerned, if one.
    pub side: Option<Side>,
    /// The number, SI; `None` when it does not exist (judged as fail).
    pub value: Option<f64>,
    /// The limit, SI.
    pub limit: f64,
    /// What margin and being marginal are a share of, SI: the limit, what a washed share may lose, for the hub the free length of the strips, or 0 once it
    /// is struck.
    pub size: f64,
    /// How it stands. A number on an edge that would miss the limit on its other side is marginal at best.
    pub verdict: Verdict,
    /// How much worse the number would be on the other side of an edge it stands on, SI: a recovery margin when the last bounce counts in full.
    /// `None` when it is on none.
    pub edge: Option<f64>,
}

impl VerdictLine {
    /// Key with what it is about: `side_washed.left`.
    pub fn key(&self) -> String {
        match &self.about {
            Some(about) => format!("{}.{}", self.criterion.criterion_key(), about.replace(' ', "_")),
            None => self.criterion.criterion_key().to_owned(),
        }
    }

    /// Plain words: «side washed, left».
    pub fn label(&self) -> String {
        let row = self.criterion.row();
        match &self.about {
            Some(about) if row.scope == Scope::Feature => format!("{} {about}", row.label),
            Some(about) => format!("{}, {about}", row.label),
            None => row.label.to_owned(),
        }
    }

    /// Margin to the limit as a share of [`Self::size`]: positive = inside. `None` when the number does not exist.
    pub fn margin(&self) -> Option<f64> {
        Some(margin(self.criterion.at_least(), self.value?, self.limit, self.size))
    }
}

/// Margin of a value to a limit as a share of a size: positive = inside.
pub(super) fn margin(at_least: bool, value: f64, limit: f64, size: f64) -> f64 {
    let inward = if at_least { value - limit } else { limit - value };
    inward / size.max(1e-9)
}

/// One criterion judged: the number, what being marginal is a share of, and the verdict.
fn line(
    (criterion, limited): (MeasureName, &Limited),
    about: (Option<String>, Option<&UnitTiming>),
    side: Option<Side>,
    (value, limit): (Option<f64>, f64),
    marginal_share: f64,
) -> VerdictLine {
    let (about, unit) = about;
    let size = limited.size.of(limit, unit.map(UnitTiming::strips_m));
    let inward = |v: f64| if criterion.at_least() { v - limit } else { limit - v };
    let mut verdict = value.map_or(Verdict::Fail, |v| Verdict::from_margin(inward(v), marginal_share * size));
    let edge = unit.and_then(|unit| criterion.edge(unit));
    if let (Some(v), Some(edge), Verdict::Pass) = (value, edge, verdict)
        && inward(v) < edge
    {
        verdict = Verdict::Marginal;
    }
    // A struck hub comes before every other miss: past it strips have no length to take a share of.
    let size = if limited.size == LimitSize::Strips && verdict == Verdict::Fail { 0.0 } else { size };
    VerdictLine { criterion, about, side, value, limit, size, verdict, edge }
}

/// Every criterion in the order of the table; rows about a side that follow each other go side by side.
pub(super) fn judge(outcome: &Outcome, criteria: &Criteria) -> Vec<VerdictLine> {
    let share = criteria.marginal_share;
    let mut lines = Vec::new();
    for rows in MeasureName::ALL.chunk_by(|a, b| a.row().scope == b.row().scope) {
        let judged = rows.iter().filter_map(|&name| Some((name, name.row().limited.as_ref()?)));
        match rows[0].row().scope {
            Scope::Pass => {
                for row in judged {
                    let Some(limit) = criteria.limit(row.0) else { continue };
                    let value = row.0.value(outcome, Side::Left);
                    lines.push(line(row, (None, None), None, (value, limit), share));
                }
            }
            // A side without a unit is not judged.
            Scope::Side => {
                for unit in &outcome.units {
                    for row in judged.clone() {
                        let (value, limit) = (row.0.value(outcome, unit.side), criteria.limit(row.0));
                        let Some(limit) = limit.filter(|_| value.is_some() || row.1.missing.is_some()) else {
                            continue;
                        };
                        let about = (Some(unit.side.name().to_owned()), Some(unit));
                        lines.push(line(row, about, Some(unit.side), (value, limit), share));
                    }
                }
            }
            Scope::Feature => {
                for (row, load) in judged.flat_map(|row| outcome.feature_loads.iter().map(move |l| (row, l)))
                {
                    let Some(limit) = load.limit_n else { continue };
                    let about = if load.feature.contains(load.side.name()) {
                        load.feature.clone()
                    } else {
                        format!("{} ({} brush)", load.feature, load.side.name())
                    };
                    let value = Some(load.peak_force_n);
                    lines.push(line(row, (Some(about), None), Some(load.side), (value, limit), share));
                }
            }
        }
    }
    lines
}

/// Worst verdict of all, and the line that decides it: the failing or marginal one with the least margin, or the tightest pass.
pub fn headline(lines: &[VerdictLine]) -> Option<(Verdict, &VerdictLine)> {
    let worst = lines.iter().map(|l| l.verdict).max()?;
    let margin = |l: &VerdictLine| l.margin().unwrap_or(f64::NEG_INFINITY);
    let of_worst = || lines.iter().filter(|l| l.verdict == worst);
    let least = of_worst().map(margin).fold(f64::INFINITY, f64::min);
    // Mirror images differ by what the steps of the integrator leave: of equals the first.
    let line = of_worst().find(|l| margin(l) <= least + 1e-4)?;
    Some((worst, line))
}
