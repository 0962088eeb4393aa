//! How far one setting may drift, all others kept, before the first verdict turns for the worse.
//!
//! From where the setting stands it walks outward in field steps, each a whole pass, and looks at every verdict. When one is worse than it
//! was (pass → marginal counts), the last good and the first bad value are halved until they are a sixteenth of a field step apart; what is
//! told is the good one. A whole number is not halved. A pass that cannot be computed counts as turning.

use crate::coverage::{Outcome, Verdict, VerdictLine, measure};
use crate::pass::run;
use crate::scenario::Scenario;
use crate::scenario::setting::{Setting, SettingKind};
use rayon::prelude::*;

/// How far the walk goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Walk {
    /// Field steps looked at each way.
    pub steps: u32,
    /// Halvings between the last good and the first bad value.
    pub halvings: u32,
}

impl Default for Walk {
    fn default() -> Self {
        Walk { steps: 4, halvings: 4 }
    }
}

/// What ended a walk.
#[derive(Debug, Clone, PartialEq)]
pub enum Turn {
    /// A verdict got worse; of several, the one with the least margin left.
    Verdict(VerdictLine),
    /// The pass could not be computed any more, and why.
    Impossible(String),
    /// Nothing turned up to the end of the setting's range.
    RangeEnd,
    /// Nothing turned as far as the walk went.
    Nothing,
}

/// How far a setting may move one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// Distance over which no verdict is worse, in the SI unit of the setting, not negative.
    pub distance_si: f64,
    /// What lies beyond.
    pub turn: Turn,
}

/// How far a setting may move both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// Path of the setting.
    pub path: String,
    /// Towards lower values.
    pub down: Reach,
    /// Towards higher values.
    pub up: Reach,
}

/// The settings that are walked: those that can be moved in the field and have a step, in the order of the settings; units apart, not as pairs.
pub fn walked(scenario: &Scenario) -> Vec<Setting> {
    let is_walked =
        |s: &Setting| s.in_field && s.sides.len() < 2 && !matches!(s.kind, SettingKind::Choice(_));
    scenario.settings().into_iter().filter(is_walked).collect()
}

/// Tolerances of all settings that are [`walked`]. `base` is the outcome of the scenario as it stands.
pub fn tolerances(scenario: &Scenario, base: &Outcome, walk: Walk) -> Vec<Tolerance> {
    let settings = walked(scenario);
    // Both ways of every setting are walked at once; the order of the results is the order of the settings.
    let ways: Vec<(usize, f64)> = (0..settings.len()).flat_map(|i| [(i, -1.0), (i, 1.0)]).collect();
    let reaches: Vec<Option<Reach>> =
        ways.par_iter().map(|&(i, way)| reach(scenario, &settings[i], base, way, walk)).collect();
    let mut reaches = reaches.into_iter();
    let mut found = Vec::new();
    for setting in &settings {
        if let (Some(Some(down)), Some(Some(up))) = (reaches.next(), reaches.next()) {
            found.push(Tolerance { path: setting.path.clone(), down, up });
        }
    }
    found
}

/// How far one setting may move, `way` −1 or +1; `None` when it has no value or no step.
pub fn reach(scenario: &Scenario, setting: &Setting, base: &Outcome, way: f64, walk: Walk) -> Option<Reach> {
    let (start, step) = (setting.value_si(scenario)?, setting.step_si()?);
    let (low, high) = setting.range_si();
    let margin = (if way < 0.0 { start - low } else { high - start }).max(0.0);
    let turn_at = |distance: f64| turned(scenario, &setting.path, start + way * distance, base);
    let mut good = 0.0;
    for k in 1..=walk.steps {
        let distance = (f64::from(k) * step).min(margin);
        if distance - good <= 1e-9 * step {
            return Some(Reach { distance_si: good, turn: Turn::RangeEnd });
        }
        if let Some(turn) = turn_at(distance) {
            let whole = matches!(setting.kind, SettingKind::Whole { .. });
            let (mut bad, mut turn) = (distance, turn);
            for _ in 0..if whole { 0 } else { walk.halvings } {
                let middle = 0.5 * (good + bad);
                match turn_at(middle) {
                    Some(earlier) => (bad, turn) = (middle, earlier),
                    None => good = middle,
                }
            }
            return Some(Reach { distance_si: good, turn });
        }
        good = distance;
    }
    Some(Reach { distance_si: good, turn: Turn::Nothing })
}

/// What turned for the worse with a setting at another value.
fn turned(scenario: &Scenario, path: &str, value_si: f64, base: &Outcome) -> Option<Turn> {
    let changed = match scenario.with_si(&[(path, value_si)]) {
        Ok(changed) => changed,
        Err(found) => {
            let why = found.0.first().map(|d| d.problem.clone()).unwrap_or_default();
            return Some(Turn::Impossible(why));
        }
    };
    let setup = changed.setup();
    match run(&setup) {
        Ok(record) => {
            let outcome = measure(&setup, &record, &changed.coverage_settings(), &changed.criteria());
            first_worse(base, &outcome).map(|line| Turn::Verdict(line.clone()))
        }
        Err(error) => Some(Turn::Impossible(error.to_string())),
    }
}

/// The line whose verdict is worse than it was; of several, the one with the least margin. A line that was not there before counts as passed.
pub fn first_worse<'a>(before: &Outcome, after: &'a Outcome) -> Option<&'a VerdictLine> {
    let was = |line: &VerdictLine| {
        let same =
            |l: &&VerdictLine| l.criterion == line.criterion && l.about == line.about && l.side == line.side;
        before.verdicts.iter().find(same).map_or(Verdict::Pass, |l| l.verdict)
    };
    let margin = |line: &VerdictLine| line.margin().unwrap_or(f64::NEG_INFINITY);
    after.verdicts.iter().filter(|l| l.verdict > was(l)).min_by(|a, b| margin(a).total_cmp(&margin(b)))
}
