//! A machine with something wrong: what of it is a setting is set, what is not is changed in what a pass is computed from.

use super::cause::{CAUSES, Cause, Change, reversed, toward};
use super::place::Place;
use crate::arm::{Side, UnitModel};
use crate::pass::PassSetup;
use crate::scenario::Scenario;

/// What is wrong: causes with their places and how bad each is, 0 to 1.
pub type Wrong = [(usize, Place, f64)];

/// The widest vehicle of a scenario that is wider than the measured one and that its lane takes.
pub(super) fn wider(scenario: &Scenario) -> Vec<String> {
    let width = |name: &str| {
        let known = scenario.vehicles().iter().find(|known| &*known.name == name);
        known.map_or(0.0, |known| known.shape.real.width_m)
    };
    let own = width(scenario.measured_vehicle());
    let mut list: Vec<(f64, String)> = scenario
        .vehicles()
        .iter()
        .map(|known| (known.shape.real.width_m, known.name.to_string()))
        .filter(|(width, _)| *width > own + 0.02)
        .collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0));
    list.into_iter().map(|(_, name)| name).collect()
}

/// The scenario with what of the causes is a setting; `None` where the machine has no such part or cannot be set so.
pub(super) fn set(scenario: &Scenario, wrong: &Wrong) -> Option<Scenario> {
    let mut scenario = scenario.clone();
    for &(cause, place, severity) in wrong {
        scenario = set_one(&scenario, CAUSES.get(cause)?, place, severity)?;
    }
    Some(scenario)
}

fn set_one(scenario: &Scenario, cause: &Cause, place: Place, severity: f64) -> Option<Scenario> {
    match cause.change {
        Change::Unit(change) => {
            let mut settings: Vec<(String, f64)> = Vec::new();
            for unit in scenario.unit_models().iter().filter(|u| place.holds(u.side)) {
                let of = |(path, si): (&str, f64)| (format!("{}.{path}", unit.side.name()), si);
                settings.extend(change(unit, severity)?.into_iter().map(of));
            }
            scenario.with_exactly(&settings).ok()
        }
        Change::Reverse => {
            let holds = |u: &&UnitModel| place.holds(u.side);
            let of = |u: &UnitModel| (format!("{}.brush.spin_sense", u.side.name()), reversed(u));
            let settings: Vec<(String, &str)> = scenario.unit_models().iter().filter(holds).map(of).collect();
            scenario.with(&settings).ok()
        }
        Change::Line(change) => {
            let side: Option<Side> = match place {
                Place::On(side) => Some(side),
                Place::Line | Place::Both => None,
            };
            scenario.with_exactly(&change(scenario, severity, toward(side))?).ok()
        }
        Change::Widest => wider(scenario).iter().find_map(|name| scenario.for_vehicle(name).ok()),
        Change::Model(_) | Change::Pass(_) => Some(scenario.clone()),
    }
}

/// Puts into a set-up what of the causes is no setting.
pub(super) fn change(setup: &mut PassSetup, wrong: &Wrong) -> Option<()> {
    for &(cause, place, severity) in wrong {
        match CAUSES.get(cause)?.change {
            Change::Model(change) => {
                for unit in setup.units.iter_mut().filter(|u| place.holds(u.side)) {
                    change(unit, severity)?;
                }
            }
            Change::Pass(change) => change(setup, severity)?,
            _ => {}
        }
    }
    Some(())
}

/// What a pass of the machine with something wrong is computed from; `None` where the machine has no such part or cannot be set so.
pub fn faulty_setup(scenario: &Scenario, wrong: &Wrong) -> Option<PassSetup> {
    let mut setup = set(scenario, wrong)?.setup();
    change(&mut setup, wrong)?;
    Some(setup)
}

/// The scenario with something wrong that none of its settings shows: its passes are those of the faulty machine. `None` as of [`faulty_setup`].
pub fn hiding(scenario: &Scenario, wrong: &Wrong) -> Option<Scenario> {
    faulty_setup(scenario, wrong)?;
    let wrong = wrong.to_vec();
    Some(scenario.with_hidden(move |sound: &Scenario| faulty_setup(sound, &wrong)))
}
