//! The numbers of a pass that every study looks at: one fixed list, in one fixed order, whatever the vehicle.

use super::table::{Better, MeasureName, MeasureRow, NAMES, ROWS, Scope, unit};
use super::{Outcome, Verdict, VerdictLine};
use crate::arm::Side;
use crate::units::{DimensionInfo, column_name};
use crate::vehicle::FeatureKind;

/// Whom one number is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The pass.
    Pass,
    /// A side or the unit there.
    Side(Side),
    /// A kind of feature, met by one brush.
    Feature(FeatureKind, Side),
}

/// One number of a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Measure {
    /// What is measured.
    pub name: MeasureName,
    /// Whom it is about.
    pub about: About,
}

impl MeasureName {
    /// The measure of the whole pass.
    pub const fn whole(self) -> Measure {
        Measure { name: self, about: About::Pass }
    }

    /// The measure of one side.
    pub const fn of(self, side: Side) -> Measure {
        Measure { name: self, about: About::Side(side) }
    }

    /// The measure of one kind of feature met by one brush.
    pub const fn on(self, feature: FeatureKind, side: Side) -> Measure {
        Measure { name: self, about: About::Feature(feature, side) }
    }
}

const BOTH: [Side; 2] = [Side::Left, Side::Right];

/// Number of measures.
pub const COUNT: usize = count();

/// Every measure in the order of tables: rows about a side that follow each other go side by side.
pub const ALL: [Measure; COUNT] = all();

const fn count() -> usize {
    let (mut n, mut i) = (0, 0);
    while i < ROWS.len() {
        n += match ROWS[i].scope {
            Scope::Pass => 1,
            Scope::Side => BOTH.len(),
            Scope::Feature => FeatureKind::ALL.len() * BOTH.len(),
        };
        i += 1;
    }
    n
}

const fn all() -> [Measure; COUNT] {
    let mut list = [NAMES[0].whole(); COUNT];
    let (mut n, mut i) = (0, 0);
    while i < ROWS.len() {
        match ROWS[i].scope {
            Scope::Pass => {
                list[n] = NAMES[i].whole();
                n += 1;
                i += 1;
            }
            Scope::Feature => {
                let mut k = 0;
                while k < FeatureKind::ALL.len() * BOTH.len() {
                    list[n] = NAMES[i].on(FeatureKind::ALL[k / BOTH.len()], BOTH[k % BOTH.len()]);
                    n += 1;
                    k += 1;
                }
                i += 1;
            }
            Scope::Side => {
                let first = i;
                let mut k = 0;
                while k < BOTH.len() {
                    i = first;
                    while i < ROWS.len() && matches!(ROWS[i].scope, Scope::Side) {
                        list[n] = NAMES[i].of(BOTH[k]);
                        n += 1;
                        i += 1;
                    }
                    k += 1;
                }
            }
        }
    }
    list
}

/// Every measure that can stand on an edge, in the order of tables.
pub fn on_edges() -> impl Iterator<Item = Measure> {
    ALL.into_iter().filter(|m| m.can_be_on_edge())
}

impl Measure {
    /// Everything known about what is measured.
    pub fn row(self) -> &'static MeasureRow {
        self.name.row()
    }

    /// The measure in tables by its place in [`ALL`].
    pub fn index(self) -> usize {
        ALL.iter().position(|m| *m == self).unwrap_or(0)
    }

    /// Stable key without a unit: `side_washed_left`, `force_mirror_right`.
    pub fn key(self) -> String {
        let stem = self.row().key;
        match self.about {
            About::Pass => stem.to_owned(),
            About::Side(side) => format!("{stem}_{}", side.name()),
            About::Feature(kind, side) => {
                format!("{stem}_{}_{}", kind.name().replace(' ', "_"), side.name())
            }
        }
    }

    /// The measure with this key; a key with its unit (`tail_gap_m`) serves as well.
    pub fn from_key(key: &str) -> Option<Measure> {
        ALL.into_iter().find(|m| m.key() == key || m.column() == key)
    }

    /// Key with the SI unit last: `tail_gap_m`.
    pub fn column(self) -> String {
        column_name(&self.key(), self.info().si_unit)
    }

    /// Plain words: «gap on the tail», «force on mirror, left brush».
    pub fn label(self) -> String {
        let label = self.row().label;
        match self.about {
            About::Pass => label.to_owned(),
            About::Side(side) => format!("{label}, {}", side.name()),
            About::Feature(kind, side) => format!("{label} {}, {} brush", kind.name(), side.name()),
        }
    }

    /// The side it is about, if one.
    pub fn side(self) -> Option<Side> {
        match self.about {
            About::Pass => None,
            About::Side(side) | About::Feature(_, side) => Some(side),
        }
    }

    /// Its dimension.
    pub fn info(self) -> &'static DimensionInfo {
        self.row().info
    }

    /// Which way is better. A mean pressure is wanted, a peak pressure is not; rubbing work is neither by itself.
    pub fn better(self) -> Better {
        self.row().better
    }

    /// Whether a scenario can limit it; not the overlap at the tail and the rubbing work.
    pub fn is_judged(self) -> bool {
        self.row().limited.is_some()
    }

    /// Reads it from what a pass came to.
    pub fn read(self, outcome: &Outcome) -> Reading {
        if let About::Feature(kind, side) = self.about {
            return worst_load(outcome, kind, side);
        }
        let line = self.line(outcome);
        let side = self.side().unwrap_or(Side::Left);
        Reading {
            value: self.name.value(outcome, side).filter(|v| v.is_finite()),
            limit: line.map(|l| l.limit),
            verdict: line.map(|l| l.verdict),
            at_least: self.name.at_least(),
            is_share: self.name.is_share(),
            edge: unit(outcome, side).and_then(|unit| self.name.edge(unit)),
        }
    }

    /// Whether it can stand on an edge, so that a little more or less of anything moves it far.
    pub fn can_be_on_edge(self) -> bool {
        self.row().edge.is_some()
    }

    /// Name of the column of its edge: `recovery_margin_left_edge_s`.
    pub fn edge_column(self) -> String {
        column_name(&format!("{}_edge", self.key()), self.info().si_unit)
    }

    fn line(self, outcome: &Outcome) -> Option<&VerdictLine> {
        outcome.verdicts.iter().find(|l| l.criterion == self.name && l.side == self.side())
    }
}

fn worst_load(outcome: &Outcome, kind: FeatureKind, side: Side) -> Reading {
    let share = |load: &super::FeatureLoad| load.limit_n.map(|limit| load.peak_force_n / limit.max(1e-9));
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
    use crate::coverage::MeasureName;
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
            let scope = match measure.about {
                About::Pass => Scope::Pass,
                About::Side(_) => Scope::Side,
                About::Feature(..) => Scope::Feature,
            };
            assert_eq!(scope, measure.row().scope, "{measure:?}");
        }
        assert_eq!(MeasureName::TailGap.whole().column(), "tail_gap_m");
        assert_eq!(Measure::from_key("tail_gap_in"), None);
    }
}
