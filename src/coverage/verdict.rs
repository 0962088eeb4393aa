//! Verdicts: pass / marginal / fail for each criterion of the scenario, always with the number and the limit.

use super::Outcome;
use crate::arm::Side;
use crate::vehicle::{FeatureKind, Zone};

/// How a number stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Inside the limit with room.
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
        let room = limit - value;
        Self::from_room(room, marginal_share * limit.abs())
    }

    /// Verdict for «at least `limit`».
    pub fn at_least(value: f64, limit: f64, marginal_share: f64) -> Verdict {
        let room = value - limit;
        Self::from_room(room, marginal_share * limit.abs())
    }

    /// At the limit itself there is no room: marginal. What is no number fails, whatever it is compared with.
    fn from_room(room: f64, narrow: f64) -> Verdict {
        if !room.is_finite() || room < 0.0 {
            Verdict::Fail
        } else if room > narrow {
            Verdict::Pass
        } else {
            Verdict::Marginal
        }
    }
}

/// What is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CriterionName {
    /// Washed share of the nose.
    NoseWashed,
    /// Washed share of a side.
    SideWashed,
    /// Washed share of the tail.
    TailWashed,
    /// Overlap at the nose.
    NoseOverlap,
    /// Longest gap on the tail.
    TailGap,
    /// Mean pressure on a side, not too low.
    SidePressureLow,
    /// Peak pressure on a side, not too high.
    SidePressurePeak,
    /// Peak force on a feature.
    FeatureForce,
    /// Chase delay.
    ChaseDelay,
    /// Recovery margin.
    RecoveryMargin,
    /// Compression of the bumper stop.
    StopCompression,
    /// Power of the spindle motor.
    SpindlePower,
    /// Deepest press against the strips' free length: the hub must not be struck.
    HubClearance,
}

impl CriterionName {
    /// Stable key, as in files and tables.
    pub fn key(self) -> &'static str {
        match self {
            CriterionName::NoseWashed => "nose_washed",
            CriterionName::SideWashed => "side_washed",
            CriterionName::TailWashed => "tail_washed",
            CriterionName::NoseOverlap => "nose_overlap",
            CriterionName::TailGap => "tail_gap",
            CriterionName::SidePressureLow => "side_pressure_low",
            CriterionName::SidePressurePeak => "side_pressure_peak",
            CriterionName::FeatureForce => "feature_force",
            CriterionName::ChaseDelay => "chase_delay",
            CriterionName::RecoveryMargin => "recovery_margin",
            CriterionName::StopCompression => "stop_compression",
            CriterionName::SpindlePower => "spindle_power",
            CriterionName::HubClearance => "hub_clearance",
        }
    }

    /// Plain words.
    pub fn label(self) -> &'static str {
        match self {
            CriterionName::NoseWashed => "nose washed",
            CriterionName::SideWashed => "side washed",
            CriterionName::TailWashed => "tail washed",
            CriterionName::NoseOverlap => "overlap at the nose",
            CriterionName::TailGap => "gap on the tail",
            CriterionName::SidePressureLow => "mean pressure on the side",
            CriterionName::SidePressurePeak => "peak pressure on the side",
            CriterionName::FeatureForce => "force on",
            CriterionName::ChaseDelay => "chase delay",
            CriterionName::RecoveryMargin => "recovery margin",
            CriterionName::StopCompression => "bumper compression",
            CriterionName::SpindlePower => "spindle power",
            CriterionName::HubClearance => "clearance to the hub",
        }
    }

    /// SI unit of value and limit; empty for a share.
    pub fn unit(self) -> &'static str {
        match self {
            CriterionName::NoseWashed | CriterionName::SideWashed | CriterionName::TailWashed => "",
            CriterionName::NoseOverlap
            | CriterionName::TailGap
            | CriterionName::StopCompression
            | CriterionName::HubClearance => "m",
            CriterionName::SidePressureLow | CriterionName::SidePressurePeak => "Pa",
            CriterionName::FeatureForce => "N",
            CriterionName::ChaseDelay | CriterionName::RecoveryMargin => "s",
            CriterionName::SpindlePower => "W",
        }
    }

    /// Whether the value must be at least (not at most) the limit.
    pub fn at_least(self) -> bool {
        matches!(
            self,
            CriterionName::NoseWashed
                | CriterionName::SideWashed
                | CriterionName::TailWashed
                | CriterionName::NoseOverlap
                | CriterionName::SidePressureLow
                | CriterionName::RecoveryMargin
                | CriterionName::HubClearance
        )
    }
}

/// Limits of the scenario; `None` = not judged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Criteria {
    /// Least washed share of the nose.
    pub nose_washed_min: Option<f64>,
    /// Least washed share of each side.
    pub side_washed_min: Option<f64>,
    /// Least washed share of the tail.
    pub tail_washed_min: Option<f64>,
    /// Least overlap at the nose, m.
    pub nose_overlap_min_m: Option<f64>,
    /// Longest gap allowed on the tail, m.
    pub tail_gap_max_m: Option<f64>,
    /// Least mean pressure on each side, Pa.
    pub side_pressure_min_pa: Option<f64>,
    /// Highest pressure on each side, Pa.
    pub side_pressure_max_pa: Option<f64>,
    /// Longest chase delay, s.
    pub chase_delay_max_s: Option<f64>,
    /// Least recovery margin, s.
    pub recovery_margin_min_s: Option<f64>,
    /// Highest compression of the bumper stop, m.
    pub stop_compression_max_m: Option<f64>,
    /// Highest power of a spindle motor, W.
    pub spindle_power_max_w: Option<f64>,
    /// Force limits by kind of feature, N; they go before the limits of the vehicle.
    pub feature_limits_n: Vec<(FeatureKind, f64)>,
    /// Within this share of a limit a number is marginal.
    pub marginal_share: f64,
}

impl Criteria {
    /// Limit for a kind of feature, N.
    pub fn feature_limit_n(&self, kind: FeatureKind) -> Option<f64> {
        self.feature_limits_n.iter().find(|(k, _)| *k == kind).map(|(_, limit)| *limit)
    }
}

/// One criterion, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct VerdictLine {
    /// Which criterion.
    pub criterion: CriterionName,
    /// What it is about when there are several: «left», «left mirror».
    pub about: Option<String>,
    /// The unit concerned, if one.
    pub side: Option<Side>,
    /// The number, SI; `None` when it does not exist (judged as fail).
    pub value: Option<f64>,
    /// The limit, SI.
    pub limit: f64,
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
            Some(about) => format!("{}.{}", self.criterion.key(), about.replace(' ', "_")),
            None => self.criterion.key().to_owned(),
        }
    }

    /// Plain words: «side washed, left».
    pub fn label(&self) -> String {
        match (&self.about, self.criterion) {
            (Some(about), CriterionName::FeatureForce) => format!("force on {about}"),
            (Some(about), c) => format!("{}, {about}", c.label()),
            (None, c) => c.label().to_owned(),
        }
    }

    /// Room to the limit in units of the limit's size: positive = inside. A washed share can never exceed 1, so its room is counted in what
    /// the limit leaves to lose. `None` when the number does not exist.
    pub fn room(&self) -> Option<f64> {
        let value = self.value?;
        let room = if self.criterion.at_least() { value - self.limit } else { self.limit - value };
        let size = if self.criterion.unit().is_empty() { 1.0 - self.limit } else { self.limit };
        Some(room / size.abs().max(1e-9))
    }
}

/// A limit on the overlap below this is judged marginal as if it were this, m.
const LEAST_OVERLAP_M: f64 = 0.05;
/// A limit on the recovery margin below this is judged marginal as if it were this, s.
const LEAST_MARGIN_S: f64 = 1.0;

pub(super) fn judge(outcome: &Outcome, criteria: &Criteria) -> Vec<VerdictLine> {
    let share = criteria.marginal_share;
    let mut lines = Vec::new();
    let mut add = |criterion: CriterionName,
                   about: Option<String>,
                   side: Option<Side>,
                   value: Option<f64>,
                   limit: Option<f64>| {
        let Some(limit) = limit else { return };
        let unit = outcome.units.iter().find(|u| Some(u.side) == side);
        // What being marginal is a share of. A washed share can never exceed 1: there it is what the limit leaves to lose. A limit of zero
        // has no size of its own.
        let size = match criterion {
            CriterionName::NoseWashed | CriterionName::SideWashed | CriterionName::TailWashed => 1.0 - limit,
            CriterionName::NoseOverlap => limit.abs().max(LEAST_OVERLAP_M),
            CriterionName::RecoveryMargin => limit.abs().max(LEAST_MARGIN_S),
            CriterionName::HubClearance => unit.map_or(limit, |u| u.hub_clearance_m + u.deepest_press_m),
            _ => limit,
        };
        let room = |v: f64| if criterion.at_least() { v - limit } else { limit - v };
        let mut verdict = value.map_or(Verdict::Fail, |v| Verdict::from_room(room(v), share * size.abs()));
        let edge =
            unit.filter(|_| criterion == CriterionName::RecoveryMargin).and_then(|u| u.recovery_edge_s);
        if let (Some(v), Some(edge), Verdict::Pass) = (value, edge, verdict)
            && room(v) < edge
        {
            verdict = Verdict::Marginal;
        }
        lines.push(VerdictLine { criterion, about, side, value, limit, verdict, edge });
    };
    let zone = |zone: Zone| outcome.zones.iter().find(|z| z.zone == zone);
    let sides = [(Zone::LeftSide, Side::Left), (Zone::RightSide, Side::Right)];
    let named = |side: Side| Some(side.name().to_owned());

    add(
        CriterionName::NoseWashed,
        None,
        None,
        zone(Zone::Nose).and_then(|z| z.washed_fraction),
        criteria.nose_washed_min,
    );
    add(CriterionName::NoseOverlap, None, None, outcome.overlap.nose_m, criteria.nose_overlap_min_m);
    for (z, side) in sides {
        let Some(summary) = zone(z) else { continue };
        // A side without a unit is not judged.
        if !outcome.units.iter().any(|u| u.side == side) {
            continue;
        }
        let about = || named(side);
        add(
            CriterionName::SideWashed,
            about(),
            Some(side),
            summary.washed_fraction,
            criteria.side_washed_min,
        );
        add(
            CriterionName::SidePressureLow,
            about(),
            Some(side),
            summary.mean_pressure_pa,
            criteria.side_pressure_min_pa,
        );
        add(
            CriterionName::SidePressurePeak,
            about(),
            Some(side),
            summary.peak_pressure_pa,
            criteria.side_pressure_max_pa,
        );
    }
    add(
        CriterionName::TailWashed,
        None,
        None,
        zone(Zone::Tail).and_then(|z| z.washed_fraction),
        criteria.tail_washed_min,
    );
    add(
        CriterionName::TailGap,
        None,
        None,
        zone(Zone::Tail).and_then(|z| z.longest_gap_m),
        criteria.tail_gap_max_m,
    );
    for load in &outcome.feature_loads {
        let about = if load.feature.contains(load.side.name()) {
            load.feature.clone()
        } else {
            format!("{} ({} brush)", load.feature, load.side.name())
        };
        add(CriterionName::FeatureForce, Some(about), Some(load.side), Some(load.peak_force_n), load.limit_n);
    }
    for unit in &outcome.units {
        let (about, side) = (|| named(unit.side), Some(unit.side));
        add(CriterionName::ChaseDelay, about(), side, unit.chase_delay_s, criteria.chase_delay_max_s);
        add(
            CriterionName::RecoveryMargin,
            about(),
            side,
            unit.recovery_margin_s,
            criteria.recovery_margin_min_s,
        );
        if let Some(x) = unit.stop_peak_compression_m {
            add(CriterionName::StopCompression, about(), side, Some(x), criteria.stop_compression_max_m);
        }
        add(
            CriterionName::SpindlePower,
            about(),
            side,
            Some(unit.spindle_peak_power_w),
            criteria.spindle_power_max_w,
        );
        add(CriterionName::HubClearance, about(), side, Some(unit.hub_clearance_m), Some(0.0));
    }
    lines
}

/// Worst verdict of all, and the line that decides it: the failing or marginal one with the least room, or the tightest pass.
pub fn headline(lines: &[VerdictLine]) -> Option<(Verdict, &VerdictLine)> {
    let worst = lines.iter().map(|l| l.verdict).max()?;
    let room = |l: &VerdictLine| l.room().unwrap_or(f64::NEG_INFINITY);
    let of_worst = || lines.iter().filter(|l| l.verdict == worst);
    let least = of_worst().map(room).fold(f64::INFINITY, f64::min);
    // Mirror images differ by what the steps of the integrator leave: of equals the first.
    let line = of_worst().find(|l| room(l) <= least + 1e-4)?;
    Some((worst, line))
}
