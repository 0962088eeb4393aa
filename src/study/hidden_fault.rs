//! A fault that a step of a lesson hides: no setting shows it.

use crate::arm::Side;
use crate::error::Refusal;
use crate::fault::cause::{CAUSES, Cause, Change};
use crate::fault::{Place, hiding, no_cause};
use crate::scenario::Scenario;
use crate::scenario::lesson::{HiddenFaultFile, OnWord};

/// What a hidden fault is, and where.
fn cause_of(fault: &HiddenFaultFile) -> Option<(usize, Place)> {
    let place = match fault.on {
        OnWord::Left => Place::On(Side::Left),
        OnWord::Right => Place::On(Side::Right),
        OnWord::Both => Place::Both,
        OnWord::Line => Place::Line,
    };
    Some((Cause::named(fault.cause.trim())?, place))
}

/// What a hidden fault is and where, in words.
pub(super) fn name_of(fault: &HiddenFaultFile) -> Option<String> {
    let (cause, place) = cause_of(fault)?;
    Some(place.said(CAUSES[cause].name))
}

/// The scenario with a fault that its settings do not show; else the field that is wrong, and why.
pub(super) fn hidden(
    scenario: &Scenario,
    fault: &HiddenFaultFile,
) -> Result<Scenario, (&'static str, Refusal)> {
    let refuse = |problem: &str, given: &str, allowed: String, advice: &str| Refusal {
        problem: problem.to_owned(),
        given: given.to_owned(),
        allowed,
        advice: advice.to_owned(),
    };
    let Some((cause, place)) = cause_of(fault) else {
        return Err(("cause", no_cause(&fault.cause)));
    };
    let bad = fault.how_bad.as_ref().map_or(0.5, crate::units::Fraction::si);
    if !(0.0..=1.0).contains(&bad) {
        let told = refuse(
            "a share of a range is asked for",
            &bad.to_string(),
            "0 % to 100 %".to_owned(),
            "write \"50 %\" for half",
        );
        return Err(("how_bad", told));
    }
    let sided = CAUSES[cause].sided;
    let fits = match place {
        Place::Line => !sided,
        Place::Both => sided,
        Place::On(side) => {
            sided
                && (scenario.unit_models().iter().any(|u| u.side == side)
                    || matches!(CAUSES[cause].change, Change::Line(_)))
        }
    };
    let made = if fits { hiding(scenario, &[(cause, place, bad)]) } else { None };
    made.ok_or_else(|| {
        let allowed = if sided { "Left, Right or Both, with such a part there" } else { "Line" };
        (
            "on",
            refuse(
                "the machine cannot have this fault there",
                place.name(),
                allowed.to_owned(),
                "choose another place or another cause",
            ),
        )
    })
}
