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
            edge: unit(outcome, side).and_then(|unit| self.name.edge(unit)),
            size: line.map(|l| l.size),
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
        edge: None,
        size: worst.and_then(|l| l.limit_n),
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
    /// How much worse the number is on the other side of the edge it stands on, SI; none when it is on none.
    pub edge: Option<f64>,
    /// What margin and being marginal are a share of, SI, as [`VerdictLine::size`]; none when it is not judged.
    pub size: Option<f64>,
}

impl Reading {
    /// Margin to the limit as a share of its size, as [`VerdictLine::margin`]: positive = inside. −∞ when it is judged and has no value, none when it is
    /// not judged.
    pub fn margin(&self) -> Option<f64> {
        let (limit, size) = (self.limit?, self.size?);
        Some(
            self.value
                .map_or(f64::NEG_INFINITY, |value| super::verdict::margin(self.at_least, value, limit, size)),
        )
    }

    /// Margin past the marginal band, counted as [`Self::margin`]: 0 or more exactly where the verdict is a pass.
    pub fn margin_past_band(&self, marginal_share: f64) -> Option<f64> {
        let past = self.margin()? - marginal_share;
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

    /// A measure reads its number, and the limit and verdict of its own line: that of its side, or of the pass. Of the loads on a kind of feature by a
    /// brush it reads the one nearest to its limit, those with a limit before those without.
    #[test]
    fn verif_a_measure_reads_its_own_line() {
        use MeasureName::*;
        let mut outcome = crate::coverage::invented::invented();
        let criteria = crate::coverage::Criteria::default().with(ChaseDelay, 2.5).with(TailGap, 0.2);
        outcome.verdicts = crate::coverage::verdict::judge(&outcome, &criteria);
        let read = |measure: Measure, outcome: &Outcome| {
            let r = measure.read(outcome);
            (r.value, r.limit, r.verdict, r.at_least)
        };
        let (left, right) = (Side::Left, Side::Right);
        assert_eq!(read(ChaseDelay.of(left), &outcome), (Some(2.0), Some(2.5), Some(Verdict::Pass), false));
        assert_eq!(read(ChaseDelay.of(right), &outcome), (Some(3.0), Some(2.5), Some(Verdict::Fail), false));
        assert_eq!(read(TailGap.whole(), &outcome), (Some(0.13), Some(0.2), Some(Verdict::Pass), false));
        let washed = SideWashed.of(right).read(&outcome);
        assert!((washed.value.expect("a share") - 0.94).abs() < 1e-12);
        assert!(
            washed.limit.is_none() && washed.verdict.is_none() && washed.at_least && washed.size.is_none()
        );
        assert_eq!(read(SpindlePower.of(right), &outcome), (Some(102.0), None, None, false));
        outcome.units[1].spindle_peak_power_w = f64::INFINITY;
        assert_eq!(SpindlePower.of(right).read(&outcome).value, None);
        // Edges: only a margin has them, and only its own unit's.
        outcome.units[1].recovery_edge_s = Some(0.7);
        assert_eq!(RecoveryMargin.of(right).read(&outcome).edge, Some(0.7));
        assert_eq!(RecoveryMargin.of(left).read(&outcome).edge, None);
        assert_eq!(ChaseDelay.of(right).read(&outcome).edge, None);
        let on: Vec<String> = on_edges().map(Measure::edge_column).collect();
        assert_eq!(on, ["recovery_margin_left_edge_s", "recovery_margin_right_edge_s"]);
        let judged = |name: MeasureName| name.whole().is_judged();
        assert!(judged(TailGap) && !judged(TailOverlap) && !judged(SideWork));
        // Mirrors, all on the left brush: 51 of 60 N; then 40 of 45 N, then 90 N without a limit, then 46 of 45 N.
        let mirror = |force: f64, limit: Option<f64>| crate::coverage::FeatureLoad {
            peak_force_n: force,
            limit_n: limit,
            ..outcome.feature_loads[0].clone()
        };
        let more =
            [mirror(40.0, Some(45.0)), mirror(90.0, None), mirror(46.0, Some(45.0)), mirror(95.0, None)];
        let force = FeatureForce.on(FeatureKind::Mirror, left);
        let mut seen = Vec::new();
        for load in more {
            outcome.feature_loads.insert(0, load);
            seen.push(force.read(&outcome).value);
        }
        assert_eq!(seen, [Some(40.0), Some(40.0), Some(46.0), Some(46.0)]);
        assert_eq!(force.read(&outcome).limit, Some(45.0));
        assert_eq!(FeatureForce.on(FeatureKind::Mirror, right).read(&outcome).value, None);
        assert_eq!(FeatureForce.on(FeatureKind::Antenna, right).read(&outcome).value, Some(52.0));
        let plate = FeatureForce.on(FeatureKind::Plate, right).read(&outcome);
        assert_eq!((plate.value, plate.limit, plate.edge), (Some(53.0), None, None));
        outcome.feature_loads.push(crate::coverage::FeatureLoad {
            peak_force_n: 54.0,
            limit_n: None,
            ..outcome.feature_loads[outcome.feature_loads.len() - 1].clone()
        });
        assert_eq!(FeatureForce.on(FeatureKind::Plate, right).read(&outcome).value, Some(54.0));
        assert_eq!(force.label(), "force on mirror, left brush");
        assert_eq!((force.side(), TailGap.whole().side()), (Some(left), None));
        assert_eq!(
            (force.key(), TailGap.whole().label()),
            ("force_mirror_left".into(), "gap on the tail".into())
        );
        assert_eq!(SideWashed.of(left).label(), "side washed, left");
    }

    /// Margin as a share of what the limit's size is. Without a number there is none, without a limit nothing to say.
    #[test]
    fn verif_margin_of_a_reading() {
        let reading = |value: Option<f64>, limit: Option<f64>, at_least: bool, size: f64| Reading {
            value,
            limit,
            verdict: None,
            at_least,
            edge: None,
            size: limit.map(|_| size),
        };
        for (value, limit, at_least, size, margin) in [
            (0.94, 0.9, true, 0.1, 0.4),
            (0.85, 0.9, true, 0.1, -0.5),
            (15.0, 10.0, true, 10.0, 0.5),
            (2.0, 3.0, false, 3.0, 1.0 / 3.0),
            (4.5, 3.0, false, 3.0, -0.5),
            (-0.25, -0.2, true, 0.2, -0.25),
            // Three of twenty centimetres of strip left before the hub, whose limit is nothing.
            (0.03, 0.0, true, 0.2, 0.15),
        ] {
            let got = reading(Some(value), Some(limit), at_least, size).margin().expect("judged");
            assert!((got - margin).abs() < 1e-12, "{value} {limit}: {got}");
        }
        assert_eq!(reading(None, Some(1.0), true, 1.0).margin(), Some(f64::NEG_INFINITY));
        assert_eq!(reading(Some(1.0), None, true, 1.0).margin(), None);
    }

    /// Margin past the marginal band of a tenth, by hand: of 0.92 washed where 0.9 are asked, 0.01 of the tenth that may be lost is marginal and 0.01 is past it; of
    /// a margin of 0.7 s where half a second is asked, 0.1 s of the second that such a limit counts at least; of 3.3 s where 3.5 s are allowed, 0.35 s of 0.2 are short. Where it passes it is 0
    /// or more, where not, less.
    #[test]
    fn verif_margin_past_the_band() {
        use MeasureName::*;
        let left = Side::Left;
        let judged = |change: &dyn Fn(&mut Outcome), name: MeasureName, limit: f64, measure: Measure| {
            let mut outcome = crate::coverage::invented::invented();
            change(&mut outcome);
            let criteria =
                crate::coverage::Criteria { marginal_share: 0.1, ..Default::default() }.with(name, limit);
            outcome.verdicts = crate::coverage::verdict::judge(&outcome, &criteria);
            let reading = measure.read(&outcome);
            let past = reading.margin_past_band(0.1).expect("judged");
            assert_eq!(past >= 0.0, reading.verdict == Some(Verdict::Pass), "{name:?}: {past} {reading:?}");
            past
        };
        let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-9, "{got}, not {want}");
        let washed = |share: f64| {
            judged(&|o| o.zones[1].washed_fraction = Some(share), SideWashed, 0.9, SideWashed.of(left))
        };
        near(washed(0.92), 0.1);
        near(washed(0.905), -0.05);
        near(washed(0.89), -0.2);
        let margin = |s: f64, limit: f64| {
            judged(
                &|o| o.units[0].recovery_margin_s = Some(s),
                RecoveryMargin,
                limit,
                RecoveryMargin.of(left),
            )
        };
        near(margin(0.7, 0.5), 0.1);
        near(margin(0.55, 0.5), -0.05);
        near(margin(2.5, 2.0), 0.15);
        // At the edge of the band itself there is none, and the verdict is marginal: 11 s against 10 s, a tenth of which is marginal.
        near(margin(11.0, 10.0), 0.0);
        let overlap = |m: f64, limit: f64| {
            judged(&|o| o.overlap.nose_m = Some(m), NoseOverlap, limit, NoseOverlap.whole())
        };
        near(overlap(0.03, 0.02), 0.1);
        near(overlap(0.3, 0.2), 0.4);
        let delay =
            |s: f64| judged(&|o| o.units[0].chase_delay_s = Some(s), ChaseDelay, 3.5, ChaseDelay.of(left));
        near(delay(3.3), -0.15 / 3.5);
        near(delay(2.8), 0.1);
        // Strips of 0.32 m, nothing over the hub asked: counted in strips.
        for clearance_m in [0.031, 0.033] {
            let past = judged(
                &|o| {
                    (o.units[0].hub_clearance_m, o.units[0].peak_indentation_m) =
                        (clearance_m, 0.32 - clearance_m)
                },
                SideWork,
                0.0,
                HubClearance.of(left),
            );
            near(past, clearance_m / 0.32 - 0.1);
        }
        // A mirror that takes 60 N is loaded with 51 N: 9 of 60, less 6.
        near(judged(&|_| (), SideWork, 0.0, FeatureForce.on(FeatureKind::Mirror, left)), 0.05);
    }
}
