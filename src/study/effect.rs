//! Settings that change nothing where they stand.
//!
//! A change has no effect when the model is the same with and without it, or when every number of the outcome is the same to the last bit. Both are
//! looked at, nothing is guessed; the reason is told where the machine shows it.

use crate::arm::{ChamberLine, ChamberName, Side, ValveConnection};
use crate::coverage::Outcome;
use crate::pass::PassSetup;
use crate::scenario::Scenario;

/// A change that has no effect, and why where that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoEffect {
    /// Its place in the list of changes.
    pub index: usize,
    /// Why.
    pub why: Option<&'static str>,
}

/// Which of some changes to a scenario have no effect, each looked at with all the others made. `changed` is the scenario with all of them, `setup`
/// and `outcome` what came of it.
pub fn without_effect(
    base: &Scenario,
    changes: &[(String, String)],
    changed: &Scenario,
    setup: &PassSetup,
    outcome: &Outcome,
) -> Vec<NoEffect> {
    let mut found = Vec::new();
    for (index, (path, _)) in changes.iter().enumerate() {
        let others: Vec<&(String, String)> =
            changes.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, change)| change).collect();
        let others: Vec<(&str, &str)> = others.iter().map(|(p, v)| (p.as_str(), v.as_str())).collect();
        // Without it the rest may not fit: then it surely has an effect.
        let Ok(before) = (if others.is_empty() { Ok(base.clone()) } else { base.with(&others) }) else {
            continue;
        };
        let same_rules = before.criteria() == changed.criteria()
            && before.coverage_settings() == changed.coverage_settings();
        if same_rules && before.setup() == *setup {
            let why = why(changed, path).or(Some("the model is the same without it"));
            found.push(NoEffect { index, why });
        } else if computed(&before).is_some_and(|same| same == *outcome) {
            found.push(NoEffect { index, why: why(changed, path) });
        }
    }
    found
}

fn computed(scenario: &Scenario) -> Option<Outcome> {
    Some(scenario.solve().ok()?.outcome)
}

/// Why a setting has no effect in a scenario, where the machine shows it.
pub fn why(scenario: &Scenario, path: &str) -> Option<&'static str> {
    let one_side = Side::BOTH.into_iter().find(|side| path.starts_with(&format!("{}.", side.name())));
    let sides: Vec<Side> =
        Side::BOTH.into_iter().filter(|side| one_side.is_none_or(|one| one == *side)).collect();
    let setup = scenario.setup();
    let never_fed = |chamber: ChamberName| {
        setup.units.iter().filter(|unit| sides.contains(&unit.side)).all(|unit| {
            unit.cylinder.as_ref().is_none_or(|cylinder| {
                let line: &ChamberLine = match chamber {
                    ChamberName::Cap => &cylinder.cap.line,
                    ChamberName::Rod => &cylinder.rod.line,
                };
                let switched =
                    cylinder.schedule.iter().filter(|step| step.chamber == chamber).map(|step| step.to);
                std::iter::once(line.initial).chain(switched).all(|on| on != ValveConnection::Supply)
            })
        })
    };
    if path.ends_with(".air.rod") && never_fed(ChamberName::Rod) {
        return Some("the rod end is never connected to its supply");
    }
    if path.ends_with(".air.cap") && never_fed(ChamberName::Cap) {
        return Some("the cap end is never connected to its supply");
    }
    if path.starts_with("foam.") && !Side::BOTH.into_iter().any(|side| scenario.foam_sets_friction(side)) {
        return Some("the friction of the brushes is stated outright");
    }
    None
}
