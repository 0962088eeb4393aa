//! Naming an instant of a pass: an event («tail corner», «right lost the tail») or a time («41.5 s»).

use super::problem::{Problem, refusal};
use crate::arm::Side;
use crate::coverage::{EventName, Outcome};
use crate::error::nearest;
use crate::pass::Record;
use crate::units::{Time, rounded};

/// The earliest time an event happened, at one unit or at any, s.
fn event(outcome: &Outcome, side: Option<Side>, name: EventName) -> Option<f64> {
    let units = outcome.units.iter().filter(|unit| side.is_none_or(|side| unit.side == side));
    units.filter_map(|unit| unit.time_of(name)).reduce(f64::min)
}

/// Reads what was written after `--at` into a time, s.
pub(crate) fn read(text: &str, outcome: &Outcome, record: &Record) -> Result<f64, Problem> {
    let words = text.trim().to_lowercase().replace(['-', '_', ':', ','], " ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let (side, rest) = match words.split_once(' ') {
        Some(("left", rest)) => (Some(Side::Left), rest),
        Some(("right", rest)) => (Some(Side::Right), rest),
        _ => (None, words.as_str()),
    };
    if let Some(name) = EventName::ALL.into_iter().find(|name| name.name() == rest) {
        return event(outcome, side, name).ok_or_else(|| {
            let happened: Vec<&str> = EventName::ALL
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
    let names = EventName::ALL.map(EventName::name);
    if text.trim().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | '−')) {
        let time = Time::parse(text).map_err(|error| Problem::option("--at", error.refusal()))?;
        let t_s = time.si();
        if !(record.start_s..=record.end_s).contains(&t_s) {
            let range = format!("{} s to {} s", rounded(record.start_s, 2), rounded(record.end_s, 2));
            return Err(Problem::option(
                "--at",
                refusal("the pass does not run at this time", text, &range, "choose a time of the pass"),
            ));
        }
        return Ok(t_s);
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
