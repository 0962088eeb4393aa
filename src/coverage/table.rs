//! One table of the numbers a pass is judged and compared by.
//!
//! A row says a measure once: its key, its words, its dimension, which way is better, whom it is about, how a scenario may limit it, and how it is
//! read from an outcome. Criteria, files, verdicts, studies, tables, pictures and the window take it from here. A measure exists whether or not the
//! scenario sets a limit for it; with a limit it has a verdict and margin. Loads on features are taken by kind of feature and brush: the one with the
//! least margin to its limit (without limits: the highest).

use super::{Outcome, UnitTiming, ZoneSummary};
use crate::arm::Side;
use crate::units::{
    Dimension, DimensionInfo, ForceDim, FractionDim, LengthDim, PowerDim, PressureDim, TimeDim,
    WorkPerAreaDim,
};
use crate::vehicle::Zone;

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

/// Whom a measure is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// The pass as a whole: one number.
    Pass,
    /// A side of the vehicle or the unit there: a number for each.
    Side,
    /// A kind of feature met by a brush: a number for each of both.
    Feature,
}

/// Where the limit of a measure comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Given {
    /// The scenario's criteria, within a range in the units of the trade.
    Scenario(&'static str, &'static str),
    /// The vehicle, or the scenario for a kind of feature.
    Feature,
    /// Always this, SI.
    Always(f64),
}

/// What being marginal is a share of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LimitSize {
    /// The limit.
    Own,
    /// What the limit leaves to lose of 1: a washed share can never exceed it.
    Rest,
    /// The limit, or this where that is smaller: a limit of zero has no size of its own, SI.
    AtLeast(f64),
    /// The free length of the strips.
    Strips,
}

impl LimitSize {
    /// What being marginal is a share of, SI, for a limit and the free length of the strips, m.
    pub(super) fn of(self, limit: f64, strips_m: Option<f64>) -> f64 {
        match self {
            LimitSize::Own => limit.abs(),
            LimitSize::Rest => (1.0 - limit).abs(),
            LimitSize::AtLeast(least) => limit.abs().max(least),
            LimitSize::Strips => strips_m.unwrap_or(limit).abs(),
        }
    }
}

/// How a measure is judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limited {
    /// Key of the criterion, as in files and verdicts.
    pub key: &'static str,
    /// Where the limit comes from.
    pub given: Given,
    /// What being marginal is a share of.
    pub size: LimitSize,
    /// Why there may be no number, which then fails; `None`: with no number there is nothing to judge.
    pub missing: Option<&'static str>,
}

/// Everything known about a measure.
#[derive(Debug)]
pub struct MeasureRow {
    /// Stable key, without side and unit.
    pub key: &'static str,
    /// Plain words, without the side.
    pub label: &'static str,
    /// What it is, in a sentence.
    pub says: &'static str,
    /// Its dimension.
    pub info: &'static DimensionInfo,
    /// Whether it is a pressure of the media, which is shown in a unit of its own ([`crate::units::contact`]).
    pub is_contact_pressure: bool,
    /// Which way is better.
    pub better: Better,
    /// Whom it is about.
    pub scope: Scope,
    /// How it is judged; `None`: the scenario does not judge it.
    pub limited: Option<Limited>,
    /// Reads it; the side is that of a measure of [`Scope::Side`]. Loads on features are found elsewhere.
    read: fn(&Outcome, Side) -> Option<f64>,
    /// For one that can stand on an edge: how much worse it is on the other side of it, SI.
    pub(super) edge: Option<fn(&UnitTiming) -> Option<f64>>,
}

const fn row(
    key: &'static str,
    label: &'static str,
    info: &'static DimensionInfo,
    better: Better,
    scope: Scope,
    read: fn(&Outcome, Side) -> Option<f64>,
) -> MeasureRow {
    MeasureRow {
        key,
        label,
        says: "",
        info,
        is_contact_pressure: false,
        better,
        scope,
        limited: None,
        read,
        edge: None,
    }
}

impl MeasureRow {
    const fn says(mut self, says: &'static str) -> MeasureRow {
        self.says = says;
        self
    }

    const fn contact_pressure(mut self) -> MeasureRow {
        self.is_contact_pressure = true;
        self
    }

    const fn on_edge(mut self, edge: fn(&UnitTiming) -> Option<f64>) -> MeasureRow {
        self.edge = Some(edge);
        self
    }

    const fn limited(mut self, key: &'static str, given: Given, size: LimitSize) -> MeasureRow {
        self.limited = Some(Limited { key, given, size, missing: Some("there is nothing to judge") });
        self
    }

    /// Why there may be no number; `None`: it is then not judged.
    const fn missing(mut self, why: Option<&'static str>) -> MeasureRow {
        if let Some(limited) = &mut self.limited {
            limited.missing = why;
        }
        self
    }
}

macro_rules! measures {
    ($($(#[$doc:meta])* $name:ident = $row:expr;)*) => {
        /// What is measured, whomever it is about.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum MeasureName {
            $($(#[$doc])* $name,)*
        }

        pub(super) const NAMES: [MeasureName; [$(stringify!($name)),*].len()] = [$(MeasureName::$name),*];
        pub(super) const ROWS: [MeasureRow; NAMES.len()] = [$($row),*];
    };
}

const SHARE: Given = Given::Scenario("0 %", "100 %");
const CONTACT_PRESSURE: Given = Given::Scenario("0 psi", "100 psi");

measures! {
    /// Washed share of the nose.
    NoseWashed = row("nose_washed", "nose washed", FractionDim::INFO, Better::More, Scope::Pass, |o, _| nose(o)?.washed_fraction)
        .limited("nose_washed", SHARE, LimitSize::Rest)
        .says("Share of the nose's area that got as many strip passes as are asked for.");
    /// Overlap of the brushes at the nose, m.
    NoseOverlap = row("nose_overlap", "overlap at the nose", LengthDim::INFO, Better::More, Scope::Pass, |o, _| o.overlap.nose_m)
        .limited("nose_overlap", Given::Scenario("-4 ft", "4 ft"), LimitSize::AtLeast(0.05))
        .missing(Some("there is no pair of brushes on the nose"))
        .says("How far the two brushes reach past each other at the middle of the nose; negative: a strip there that neither touches.");
    /// Washed share of a side.
    SideWashed = row("side_washed", "side washed", FractionDim::INFO, Better::More, Scope::Side, |o, s| side(o, s)?.washed_fraction)
        .limited("side_washed", SHARE, LimitSize::Rest)
        .says("Share of the side's area that got as many strip passes as are asked for.");
    /// Mean contact pressure on a side, Pa. Wanted: not too low.
    SidePressureMean =
        row("side_pressure_mean", "mean pressure on the side", PressureDim::INFO, Better::More, Scope::Side, |o, s| {
            side(o, s)?.mean_pressure_pa
        })
        .contact_pressure()
        .limited("side_pressure_low", CONTACT_PRESSURE, LimitSize::Own)
        .missing(Some("it is never touched"))
        .says("Push of the strips on the side per area, on average where they touch; too little cleans nothing.");
    /// Highest contact pressure on a side, Pa. Not too high.
    SidePressurePeak =
        row("side_pressure_peak", "peak pressure on the side", PressureDim::INFO, Better::Less, Scope::Side, |o, s| {
            side(o, s)?.peak_pressure_pa
        })
        .contact_pressure()
        .limited("side_pressure_peak", CONTACT_PRESSURE, LimitSize::Own)
        .missing(Some("it is never touched"))
        .says("Highest push of the strips per area anywhere on the side; too much marks paint.");
    /// Rubbing work on a side, J/m².
    SideWork =
        row("side_work", "rubbing work on the side", WorkPerAreaDim::INFO, Better::Neither, Scope::Side, |o, s| {
            side(o, s)?.rubbing_work_j_m2
        })
        .says("Work of the strips that slide over the side, per area.");
    /// Washed share of the tail.
    TailWashed = row("tail_washed", "tail washed", FractionDim::INFO, Better::More, Scope::Pass, |o, _| tail(o)?.washed_fraction)
        .limited("tail_washed", SHARE, LimitSize::Rest)
        .says("Share of the tail's area that got as many strip passes as are asked for.");
    /// Longest gap on the tail, m.
    TailGap = row("tail_gap", "gap on the tail", LengthDim::INFO, Better::Less, Scope::Pass, |o, _| tail(o)?.longest_gap_m)
        .limited("tail_gap", Given::Scenario("0 in", "20 ft"), LimitSize::Own)
        .says("Longest stretch across the tail that got fewer strip passes than are asked for.");
    /// Overlap of the brushes at the tail, m; negative: a strip at the centre nobody touches.
    TailOverlap = row("tail_overlap", "overlap at the tail", LengthDim::INFO, Better::More, Scope::Pass, |o, _| o.overlap.tail_m)
        .says("How far the two brushes reach past each other at the middle of the tail; negative: a strip there that neither touches.");
    /// Highest force of one brush on one kind of feature, N.
    FeatureForce = row("force", "force on", ForceDim::INFO, Better::Less, Scope::Feature, |_, _| None)
        .limited("feature_force", Given::Feature, LimitSize::Own)
        .says("Highest steady push of one brush on such a part; the blow of a single strip comes on top.");
    /// Time from the tail passing the brush until the brush is back on the tail, s.
    ChaseDelay = row("chase_delay", "chase delay", TimeDim::INFO, Better::Less, Scope::Side, |o, s| unit(o, s)?.chase_delay_s)
        .limited("chase_delay", Given::Scenario("0 s", "600 s"), LimitSize::Own)
        .missing(Some("the brush never comes back on the tail"))
        .says("Time from the tail passing the brush until the brush presses on the tail.");
    /// Time from settled until the next nose, s; negative: too late.
    RecoveryMargin =
        row("recovery_margin", "recovery margin", TimeDim::INFO, Better::More, Scope::Side, |o, s| unit(o, s)?.recovery_margin_s)
        .on_edge(|unit| unit.recovery_edge_s)
        .limited("recovery_margin", Given::Scenario("-600 s", "600 s"), LimitSize::AtLeast(1.0))
        .missing(Some("the arm does not settle"))
        .says("Time left from the arm coming to rest until the next nose would touch the brush; negative: too late.");
    /// Highest compression of the bumper stop, m; none where the bumper is not met.
    StopCompression =
        row("stop_compression", "bumper compression", LengthDim::INFO, Better::Less, Scope::Side, |o, s| {
            unit(o, s)?.stop_peak_compression_m
        })
        .limited("stop_compression", Given::Scenario("0 in", "24 in"), LimitSize::Own)
        .missing(None)
        .says("How far the bumper is squeezed when the arm runs into it.");
    /// Highest power of the spindle motor, W.
    SpindlePower =
        row("spindle_power", "spindle power", PowerDim::INFO, Better::Less, Scope::Side, |o, s| {
            Some(unit(o, s)?.spindle_peak_power_w)
        })
        .limited("spindle_power", Given::Scenario("0 hp", "100 hp"), LimitSize::Own)
        .says("Most power that the motor of the spindle gives in the pass.");
    /// Strip length left over the hub at the deepest press, m: the hub must not be struck.
    HubClearance =
        row("hub_clearance", "clearance to the hub", LengthDim::INFO, Better::More, Scope::Side, |o, s| {
            Some(unit(o, s)?.hub_clearance_m)
        })
        .limited("hub_clearance", Given::Always(0.0), LimitSize::Strips)
        .says("Length of strip left between bodywork and hub at the deepest press; at nothing the hub strikes.");
}

static TABLE: [MeasureRow; NAMES.len()] = ROWS;

fn zone(outcome: &Outcome, zone: Zone) -> Option<&ZoneSummary> {
    outcome.zones.iter().find(|z| z.zone == zone)
}

fn nose(outcome: &Outcome) -> Option<&ZoneSummary> {
    zone(outcome, Zone::Nose)
}

fn tail(outcome: &Outcome) -> Option<&ZoneSummary> {
    zone(outcome, Zone::Tail)
}

fn side(outcome: &Outcome, side: Side) -> Option<&ZoneSummary> {
    zone(outcome, if side == Side::Left { Zone::LeftSide } else { Zone::RightSide })
}

pub(super) fn unit(outcome: &Outcome, side: Side) -> Option<&UnitTiming> {
    outcome.units.iter().find(|u| u.side == side)
}

impl MeasureName {
    /// Every one, in the order of tables.
    pub const ALL: [MeasureName; NAMES.len()] = NAMES;

    /// Everything known about it.
    pub fn row(self) -> &'static MeasureRow {
        &TABLE[self as usize]
    }

    /// Key of its criterion, as in files and verdicts; its own key where the scenario does not judge it.
    pub fn criterion_key(self) -> &'static str {
        self.row().limited.map_or(self.row().key, |limited| limited.key)
    }

    /// The one that a criterion of this key limits.
    pub fn from_criterion_key(key: &str) -> Option<MeasureName> {
        NAMES.into_iter().find(|name| name.row().limited.is_some_and(|limited| limited.key == key))
    }

    /// SI unit of value and limit; empty for a share.
    pub fn si_unit(self) -> &'static str {
        self.row().info.si_unit
    }

    /// Whether the value must be at least (not at most) a limit.
    pub fn at_least(self) -> bool {
        self.row().better == Better::More
    }

    /// How much worse the number of a unit would be on the other side of the edge it stands on, SI; none when it is on none.
    pub(super) fn edge(self, unit: &UnitTiming) -> Option<f64> {
        self.row().edge.and_then(|edge| edge(unit))
    }

    /// Reads it from an outcome; the side does not matter to a measure of the whole pass.
    pub(super) fn value(self, outcome: &Outcome, side: Side) -> Option<f64> {
        (self.row().read)(outcome, side)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_rows_are_found_by_their_names() {
        for name in MeasureName::ALL {
            let limited = name.row().limited;
            assert_eq!(limited.and_then(|l| MeasureName::from_criterion_key(l.key)), limited.map(|_| name));
            assert!(limited.is_none() || name.row().better != Better::Neither, "{name:?}");
        }
        // Every one is explained, in one sentence that is its own.
        for (i, name) in MeasureName::ALL.into_iter().enumerate() {
            let says = name.row().says;
            assert!(says.len() > 30 && says.ends_with('.') && !says.contains(". "), "{name:?}: {says}");
            assert!(MeasureName::ALL[..i].iter().all(|other| other.row().says != says), "{name:?}");
        }
        assert_eq!(MeasureName::HubClearance.row().key, "hub_clearance");
        assert_eq!(MeasureName::SidePressureMean.criterion_key(), "side_pressure_low");
    }
}
