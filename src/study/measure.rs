//! The numbers every study looks at: one fixed list, in one fixed order, whatever the vehicle.
//!
//! A measure exists whether or not the scenario sets a limit for it; with a limit it has a verdict and room. Loads on features are taken by kind of
//! feature and brush: the one with the least room to its limit (without limits: the highest).

use crate::arm::Side;
use crate::coverage::{CriterionName, Outcome, Verdict, VerdictLine};
use crate::units::{
    Dimension, DimensionInfo, ForceDim, FractionDim, LengthDim, PowerDim, PressureDim, TimeDim,
    WorkPerAreaDim,
};
use crate::vehicle::{FeatureKind, Zone};

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Better {
    /// More is better.
    More,
    /// Less is better.
    Less,
    /// Neither by itself.
    Neither,
}

/// One number of a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Washed share of the nose.
    NoseWashed,
    /// Overlap of the brushes at the nose, m.
    NoseOverlap,
    /// Washed share of a side.
    SideWashed(Side),
    /// Mean contact pressure on a side, Pa.
    SidePressureMean(Side),
    /// Highest contact pressure on a side, Pa.
    SidePressurePeak(Side),
    /// Rubbing work on a side, J/m².
    SideWork(Side),
    /// Washed share of the tail.
    TailWashed,
    /// Longest gap on the tail, m.
    TailGap,
    /// Overlap of the brushes at the tail, m; negative: a strip at the centre nobody touches.
    TailOverlap,
    /// Highest force of one brush on one kind of feature, N.
    FeatureForce(FeatureKind, Side),
    /// Time from the tail passing the brush until the brush is back on the tail, s.
    ChaseDelay(Side),
    /// Time from settled until the next nose, s; negative: too late.
    RecoveryMargin(Side),
    /// Highest compression of the bumper stop, m.
    StopCompression(Side),
    /// Highest power of the spindle motor, W.
    SpindlePower(Side),
    /// Strip length left over the hub at the deepest press, m.
    HubClearance(Side),
}

const BOTH: [Side; 2] = [Side::Left, Side::Right];
const KINDS: [FeatureKind; 7] = [
    FeatureKind::Mirror,
    FeatureKind::Antenna,
    FeatureKind::Plate,
    FeatureKind::Hitch,
    FeatureKind::SpareWheel,
    FeatureKind::Rack,
    FeatureKind::Step,
];

/// Number of measures.
pub const COUNT: usize = 37;

/// Every measure in the order of tables.
pub const ALL: [Measure; COUNT] = all();

const fn all() -> [Measure; COUNT] {
    let mut list = [Measure::NoseWashed; COUNT];
    let mut n = 1;
    macro_rules! add {
        ($($measure:expr),*) => { $( list[n] = $measure; n += 1; )* };
    }
    add!(Measure::NoseOverlap);
    let mut i = 0;
    while i < 2 {
        let side = BOTH[i];
        add!(
            Measure::SideWashed(side),
            Measure::SidePressureMean(side),
            Measure::SidePressurePeak(side),
            Measure::SideWork(side)
        );
        i += 1;
    }
    add!(Measure::TailWashed, Measure::TailGap, Measure::TailOverlap);
    let mut k = 0;
    while k < KINDS.len() {
        add!(Measure::FeatureForce(KINDS[k], Side::Left), Measure::FeatureForce(KINDS[k], Side::Right));
        k += 1;
    }
    i = 0;
    while i < 2 {
        let side = BOTH[i];
        add!(
            Measure::ChaseDelay(side),
            Measure::RecoveryMargin(side),
            Measure::StopCompression(side),
            Measure::SpindlePower(side),
            Measure::HubClearance(side)
        );
        i += 1;
    }
    assert!(n == COUNT);
    list
}

/// Every measure that can stand on an edge, in the order of tables.
pub fn on_edges() -> impl Iterator<Item = Measure> {
    ALL.into_iter().filter(|m| m.can_be_on_edge())
}

/// Key of a kind of feature.
fn kind_key(kind: FeatureKind) -> &'static str {
    match kind {
        FeatureKind::Mirror => "mirror",
        FeatureKind::Antenna => "antenna",
        FeatureKind::Plate => "plate",
        FeatureKind::Hitch => "hitch",
        FeatureKind::SpareWheel => "spare_wheel",
        FeatureKind::Rack => "rack",
        FeatureKind::Step => "step",
    }
}

impl Measure {
    /// The measure in tables by its place in [`ALL`].
    pub fn index(self) -> usize {
        ALL.iter().position(|m| *m == self).unwrap_or(0)
    }

    /// Stable key without a unit: `side_washed_left`, `force_mirror_right`.
    pub fn key(self) -> String {
        let stem = match self {
            Measure::NoseWashed => "nose_washed",
            Measure::NoseOverlap => "nose_overlap",
            Measure::SideWashed(_) => "side_washed",
            Measure::SidePressureMean(_) => "side_pressure_mean",
            Measure::SidePressurePeak(_) => "side_pressure_peak",
            Measure::SideWork(_) => "side_work",
            Measure::TailWashed => "tail_washed",
            Measure::TailGap => "tail_gap",
            Measure::TailOverlap => "tail_overlap",
            Measure::FeatureForce(kind, _) => {
                return format!("force_{}_{}", kind_key(kind), self.side_name());
            }
            Measure::ChaseDelay(_) => "chase_delay",
            Measure::RecoveryMargin(_) => "recovery_margin",
            Measure::StopCompression(_) => "stop_compression",
            Measure::SpindlePower(_) => "spindle_power",
            Measure::HubClearance(_) => "hub_clearance",
        };
        match self.side() {
            Some(side) => format!("{stem}_{}", side.name()),
            None => stem.to_owned(),
        }
    }

    /// The measure with this key; a key with its unit (`tail_gap_m`) serves as well.
    pub fn from_key(key: &str) -> Option<Measure> {
        ALL.into_iter().find(|m| m.key() == key || m.column() == key)
    }

    /// Key with the SI unit last: `tail_gap_m`.
    pub fn column(self) -> String {
        super::table::named(&self.key(), self.info().si_unit)
    }

    /// Plain words: «gap on the tail», «mirror, left brush».
    pub fn label(self) -> String {
        let of_side = |text: &str| format!("{text}, {}", self.side_name());
        match self {
            Measure::NoseWashed => "nose washed".into(),
            Measure::NoseOverlap => "overlap at the nose".into(),
            Measure::SideWashed(_) => of_side("side washed"),
            Measure::SidePressureMean(_) => of_side("mean pressure on the side"),
            Measure::SidePressurePeak(_) => of_side("peak pressure on the side"),
            Measure::SideWork(_) => of_side("rubbing work on the side"),
            Measure::TailWashed => "tail washed".into(),
            Measure::TailGap => "gap on the tail".into(),
            Measure::TailOverlap => "overlap at the tail".into(),
            Measure::FeatureForce(kind, side) => {
                format!("force on {}, {} brush", kind_key(kind).replace('_', " "), side.name())
            }
            Measure::ChaseDelay(_) => of_side("chase delay"),
            Measure::RecoveryMargin(_) => of_side("recovery margin"),
            Measure::StopCompression(_) => of_side("bumper compression"),
            Measure::SpindlePower(_) => of_side("spindle power"),
            Measure::HubClearance(_) => of_side("clearance to the hub"),
        }
    }

    /// The side it is about, if one.
    pub fn side(self) -> Option<Side> {
        match self {
            Measure::SideWashed(side)
            | Measure::SidePressureMean(side)
            | Measure::SidePressurePeak(side)
            | Measure::SideWork(side)
            | Measure::FeatureForce(_, side)
            | Measure::ChaseDelay(side)
            | Measure::RecoveryMargin(side)
            | Measure::StopCompression(side)
            | Measure::SpindlePower(side)
            | Measure::HubClearance(side) => Some(side),
            Measure::NoseWashed
            | Measure::NoseOverlap
            | Measure::TailWashed
            | Measure::TailGap
            | Measure::TailOverlap => None,
        }
    }

    fn side_name(self) -> &'static str {
        self.side().map_or("", Side::name)
    }

    /// Whether it is a pressure of the media, which is shown in a unit of its own ([`crate::units::contact`]).
    pub fn is_contact_pressure(self) -> bool {
        matches!(self, Measure::SidePressureMean(_) | Measure::SidePressurePeak(_))
    }

    /// Its dimension.
    pub fn info(self) -> &'static DimensionInfo {
        match self {
            Measure::NoseWashed | Measure::SideWashed(_) | Measure::TailWashed => FractionDim::INFO,
            Measure::NoseOverlap
            | Measure::TailGap
            | Measure::TailOverlap
            | Measure::StopCompression(_)
            | Measure::HubClearance(_) => LengthDim::INFO,
            Measure::SidePressureMean(_) | Measure::SidePressurePeak(_) => PressureDim::INFO,
            Measure::SideWork(_) => WorkPerAreaDim::INFO,
            Measure::FeatureForce(..) => ForceDim::INFO,
            Measure::ChaseDelay(_) | Measure::RecoveryMargin(_) => TimeDim::INFO,
            Measure::SpindlePower(_) => PowerDim::INFO,
        }
    }

    /// Which way is better. A mean pressure and the rubbing work are wanted, a peak pressure is not.
    pub fn better(self) -> Better {
        match self {
            Measure::NoseWashed
            | Measure::NoseOverlap
            | Measure::SideWashed(_)
            | Measure::SidePressureMean(_)
            | Measure::TailWashed
            | Measure::TailOverlap
            | Measure::RecoveryMargin(_)
            | Measure::HubClearance(_) => Better::More,
            Measure::SidePressurePeak(_)
            | Measure::TailGap
            | Measure::FeatureForce(..)
            | Measure::ChaseDelay(_)
            | Measure::StopCompression(_)
            | Measure::SpindlePower(_) => Better::Less,
            Measure::SideWork(_) => Better::Neither,
        }
    }

    /// The criterion that limits it; none for the overlap at the tail and the rubbing work, which the scenario does not judge.
    pub fn criterion(self) -> Option<CriterionName> {
        Some(match self {
            Measure::NoseWashed => CriterionName::NoseWashed,
            Measure::NoseOverlap => CriterionName::NoseOverlap,
            Measure::SideWashed(_) => CriterionName::SideWashed,
            Measure::SidePressureMean(_) => CriterionName::SidePressureLow,
            Measure::SidePressurePeak(_) => CriterionName::SidePressurePeak,
            Measure::TailWashed => CriterionName::TailWashed,
            Measure::TailGap => CriterionName::TailGap,
            Measure::FeatureForce(..) => CriterionName::FeatureForce,
            Measure::ChaseDelay(_) => CriterionName::ChaseDelay,
            Measure::RecoveryMargin(_) => CriterionName::RecoveryMargin,
            Measure::StopCompression(_) => CriterionName::StopCompression,
            Measure::SpindlePower(_) => CriterionName::SpindlePower,
            Measure::HubClearance(_) => CriterionName::HubClearance,
            Measure::SideWork(_) | Measure::TailOverlap => return None,
        })
    }

    /// Reads it from what a pass came to.
    pub fn read(self, outcome: &Outcome) -> Reading {
        if let Measure::FeatureForce(kind, side) = self {
            return worst_load(outcome, kind, side);
        }
        let line = self.line(outcome);
        Reading {
            value: self.value(outcome).filter(|v| v.is_finite()),
            limit: line.map(|l| l.limit),
            verdict: line.map(|l| l.verdict),
            at_least: self.better() == Better::More,
            is_share: self.is_share(),
            edge: self.edge(outcome),
        }
    }

    /// Whether it can stand on an edge, so that a little more or less of anything moves it far.
    pub fn can_be_on_edge(self) -> bool {
        matches!(self, Measure::RecoveryMargin(_))
    }

    /// How much worse it is on the other side of the edge it stands on, SI; none when it is on none.
    fn edge(self, outcome: &Outcome) -> Option<f64> {
        let Measure::RecoveryMargin(side) = self else { return None };
        outcome.units.iter().find(|u| u.side == side)?.recovery_edge_s
    }

    /// Name of the column of its edge: `recovery_margin_left_edge_s`.
    pub fn edge_column(self) -> String {
        super::table::named(&format!("{}_edge", self.key()), self.info().si_unit)
    }

    /// Whether it is a share of what could be, from 0 to 1.
    pub fn is_share(self) -> bool {
        matches!(self, Measure::NoseWashed | Measure::SideWashed(_) | Measure::TailWashed)
    }

    fn line(self, outcome: &Outcome) -> Option<&VerdictLine> {
        let criterion = self.criterion()?;
        outcome.verdicts.iter().find(|l| l.criterion == criterion && l.side == self.side())
    }

    fn value(self, outcome: &Outcome) -> Option<f64> {
        let zone = |zone: Zone| outcome.zones.iter().find(|z| z.zone == zone);
        let of_side = |side: Side| zone(if side == Side::Left { Zone::LeftSide } else { Zone::RightSide });
        let unit = |side: Side| outcome.units.iter().find(|u| u.side == side);
        match self {
            Measure::NoseWashed => zone(Zone::Nose)?.washed_fraction,
            Measure::NoseOverlap => outcome.overlap.nose_m,
            Measure::SideWashed(side) => of_side(side)?.washed_fraction,
            Measure::SidePressureMean(side) => of_side(side)?.mean_pressure_pa,
            Measure::SidePressurePeak(side) => of_side(side)?.peak_pressure_pa,
            Measure::SideWork(side) => of_side(side)?.rubbing_work_j_m2,
            Measure::TailWashed => zone(Zone::Tail)?.washed_fraction,
            Measure::TailGap => zone(Zone::Tail)?.longest_gap_m,
            Measure::TailOverlap => outcome.overlap.tail_m,
            Measure::FeatureForce(kind, side) => worst_load(outcome, kind, side).value,
            Measure::ChaseDelay(side) => unit(side)?.chase_delay_s,
            Measure::RecoveryMargin(side) => unit(side)?.recovery_margin_s,
            Measure::StopCompression(side) => unit(side)?.stop_peak_compression_m,
            Measure::SpindlePower(side) => unit(side).map(|u| u.spindle_peak_power_w),
            Measure::HubClearance(side) => unit(side).map(|u| u.hub_clearance_m),
        }
    }
}

fn worst_load(outcome: &Outcome, kind: FeatureKind, side: Side) -> Reading {
    let share =
        |load: &crate::coverage::FeatureLoad| load.limit_n.map(|limit| load.peak_force_n / limit.max(1e-9));
    let worst = outcome.feature_loads.iter().filter(|l| l.kind == kind && l.side == side).max_by(|a, b| {
        // One with a limit goes before one without.
        match (share(a), share(b)) {
            (Some(a), Some(b)) => a.total_cmp(&b),
            (Some(_), None) => std::cmp::Ordering::Greater,
            (None, Some(_)) => std::cmp::Ordering::Less,
            (None, None) => a.peak_force_n.total_cmp(&b.peak_force_n),
        }
    });
    Reading {
        value: worst.map(|l| l.peak_force_n),
        limit: worst.and_then(|l| l.limit_n),
        verdict: worst.and_then(|l| l.verdict),
        at_least: false,
        is_share: false,
        edge: None,
    }
}

/// A measure of one pass, with its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The number, SI; none when it does not exist (a judged one then fails).
    pub value: Option<f64>,
    /// The limit, SI; none when it is not judged.
    pub limit: Option<f64>,
    /// How it stands; none when it is not judged.
    pub verdict: Option<Verdict>,
    /// Whether the value must be at least (not at most) the limit.
    pub at_least: bool,
    /// Whether it is a share from 0 to 1.
    pub is_share: bool,
    /// How much worse the number is on the other side of the edge it stands on, SI; none when it is on none.
    pub edge: Option<f64>,
}

impl Reading {
    /// Room to the limit as a share of the limit's size, as [`VerdictLine::room`]: positive = inside; that of a washed share is counted in what the
    /// limit leaves to lose. −∞ when it is judged and has no value, none when it is not judged.
    pub fn room(&self) -> Option<f64> {
        let limit = self.limit?;
        let Some(value) = self.value else { return Some(f64::NEG_INFINITY) };
        let room = if self.at_least { value - limit } else { limit - value };
        let size = if self.is_share { 1.0 - limit } else { limit };
        Some(room / size.abs().max(1e-9))
    }

    /// Room past the marginal band, counted as [`Self::room`]: 0 or more exactly where the verdict is a pass.
    pub fn room_past_band(&self, marginal_share: f64) -> Option<f64> {
        let limit = self.limit?;
        let size = if self.is_share { 1.0 - limit } else { limit };
        let past = self.room()? - marginal_share * limit.abs() / size.abs().max(1e-9);
        // The verdict decides, down to the last digit.
        Some(if self.verdict == Some(Verdict::Pass) { past.max(0.0) } else { past.min(-f64::MIN_POSITIVE) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn verif_every_measure_has_its_own_key_and_comes_back_by_it() {
        let keys: BTreeSet<String> = ALL.into_iter().map(Measure::key).collect();
        let columns: BTreeSet<String> = ALL.into_iter().map(Measure::column).collect();
        let labels: BTreeSet<String> = ALL.into_iter().map(Measure::label).collect();
        assert_eq!((keys.len(), columns.len(), labels.len()), (COUNT, COUNT, COUNT));
        for (i, measure) in ALL.into_iter().enumerate() {
            assert_eq!(measure.index(), i);
            assert_eq!(Measure::from_key(&measure.key()), Some(measure));
            assert_eq!(Measure::from_key(&measure.column()), Some(measure));
            // The way the criterion judges and the way that is better agree.
            if let Some(criterion) = measure.criterion() {
                assert_eq!(criterion.at_least(), measure.better() == Better::More, "{measure:?}");
            }
        }
        assert_eq!(Measure::TailGap.column(), "tail_gap_m");
        assert_eq!(Measure::from_key("tail_gap_in"), None);
    }
}
