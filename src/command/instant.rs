//! Naming an instant of a pass: an event («tail corner», «right lost the tail») or a time («41.5 s»).

use super::problem::{Problem, refusal};
use crate::arm::Side;
use crate::coverage::{EventName, Outcome};
use crate::error::nearest;
use crate::pass::Record;
use crate::units::Time;

/// Every event that can be named.
const EVENTS: [EventName; 10] = [
    EventName::FirstTouch,
    EventName::NoseCorner,
    EventName::Mirror,
    EventName::TailCorner,
    EventName::TailPasses,
    EventName::BackOnTail,
    EventName::LostTail,
    EventName::Bumper,
    EventName::Settled,
    EventName::NextNose,
];

/// An instant of a pass.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Instant {
    /// When, s.
    pub t_s: f64,
    /// Its name, if it has one.
    pub name: Option<String>,
}

/// The instant to show when none was named: the tail passing the first brush, else the middle of the pass.
pub(crate) fn usual(outcome: &Outcome, record: &Record) -> Instant {
    event(outcome, None, EventName::TailPasses)
        .unwrap_or(Instant { t_s: 0.5 * (record.start_s + record.end_s), name: None })
}

/// The earliest time an event happened, at one unit or at any.
fn event(outcome: &Outcome, side: Option<Side>, name: EventName) -> Option<Instant> {
    let units = outcome.units.iter().filter(|unit| side.is_none_or(|side| unit.side == side));
    let (t_s, at) =
        units.filter_map(|u| Some((u.time_of(name)?, u.side))).min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Instant { t_s, name: Some(format!("{}, {}", name.name(), at.name())) })
}

/// Reads what was written after `--at`.
pub(crate) fn read(text: &str, outcome: &Outcome, record: &Record) -> Result<Instant, Problem> {
    let words = text.trim().to_lowercase().replace(['-', '_', ':', ','], " ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let (side, rest) = match words.split_once(' ') {
        Some(("left", rest)) => (Some(Side::Left), rest),
        Some(("right", rest)) => (Some(Side::Right), rest),
        _ => (None, words.as_str()),
    };
    if let Some(name) = EVENTS.into_iter().find(|name| name.name() == rest) {
        return event(outcome, side, name).ok_or_else(|| {
            let happened: Vec<&str> = EVENTS
                .into_iter()
                .filter(|e| event(outcome, side, *e).is_some())
                .map(EventName::name)
                .collect();
            Problem::option(
                "--at",
                refusal(
                    "this did not happen in this pass",
                    text,
                    &happened.join(", "),
                    "name one that happened",
                ),
            )
        });
    }
    let names = EVENTS.map(EventName::name);
    if text.trim().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | '−')) {
        let time = Time::parse(text).map_err(|error| Problem::option("--at", error.refusal()))?;
        let t_s = time.si();
        if !(record.start_s..=record.end_s).contains(&t_s) {
            let range = format!("{:.2} s to {:.2} s", record.start_s, record.end_s);
            return Err(Problem::option(
                "--at",
                refusal("the pass does not run at this time", text, &range, "choose a time of the pass"),
            ));
        }
        return Ok(Instant { t_s, name: None });
    }
    let advice = match nearest(rest, names) {
        Some(likely) => format!("write \"{likely}\" if that is what you mean"),
        None => {
            "name an event, or give a time such as \"41.5 s\"; \"left\" or \"right\" before it picks the unit"
                .to_owned()
        }
    };
    Err(Problem::option("--at", refusal("there is no such event", text, &names.join(", "), &advice)))
}
