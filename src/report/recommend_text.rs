//! A recommendation as a person reads it.

use super::measures::{edge_note, limit, said, said_marked, said_reading};
use super::words::{Words, capital, heading, inset, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::scenario::setting::Group;
use crate::study::interval::Share;
use crate::study::recommend::{Answer, ByChance, Chance, Effect, Recommendation, Step};
use crate::study::worst::Worst;
use crate::units::{UnitSystem, counted};

/// One paragraph of what is said of a recommendation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// A heading.
    Heading(String),
    /// Running text.
    Text(String),
    /// A step: what kind, then what is moved.
    Step(String, String),
    /// What a step does.
    Effect(String),
}

/// The recommendation as text.
pub fn recommend_text(r: &Recommendation, title: &str, units: UnitSystem, ink: Ink) -> String {
    let mut out = heading(title, ink);
    for said in recommend_said(r, units) {
        match said {
            Said::Heading(text) => out.push_str(&format!("\n{}\n", ink.strong(&text))),
            Said::Text(text) => out.push_str(&wrap(&text, TEXT_WIDTH, 0)),
            Said::Step(kind, moves) => {
                let (number, name) = kind.split_once(' ').unwrap_or(("", &kind));
                out.push_str(&wrap(&format!("{number} {}: {moves}", ink.strong(name)), TEXT_WIDTH, 3));
            }
            Said::Effect(text) => out.push_str(&inset(&text, 3)),
        }
    }
    out.push_str(&edge_note(&out));
    if !r.nothing_to_do {
        out.push('\n');
        out.push_str(&wrap(RECOMMEND_CAUTION, TEXT_WIDTH, 0));
    }
    out
}

/// What is to be done before any step of a recommendation.
pub const RECOMMEND_CAUTION: &str = "Lock out, bleed the air to zero and prove it, and block the arm before any of this: it moves when pressure or a pin goes. \
                   The maker's manual, local codes and licensed practice come first.";

/// What is said of a recommendation, paragraph by paragraph.
pub fn recommend_said(r: &Recommendation, units: UnitSystem) -> Vec<Said> {
    let words = Words::new(units);
    let mut out = vec![
        Said::Text(format!("Judged over {}.", r.cases.join(", "))),
        Said::Text(format!("As found: {}.", state(&r.as_found, &r.cases, words))),
    ];
    let mut text = |text: String| out.push(Said::Text(text));
    if r.is_interrupted {
        text(format!(
            "Interrupted: {}, of at most {}. This is the best so far; a better one may exist.",
            looked_at(r),
            r.most_sets
        ));
    }
    if r.nothing_to_do {
        let said = if r.as_found.verdict() == Some(Verdict::Marginal) {
            "Marginal: every criterion is met as it stands, but on the edge, and nothing in range gets it past the marginal band. Nothing is turned."
        } else {
            "Nothing to do: every criterion is met as it stands."
        };
        text(said.to_owned());
        return out;
    }
    match (&r.best, &r.in_the_way) {
        (Some(best), _) => {
            let steps = if best.total_steps == 0 {
                "restoring the standard is enough".to_owned()
            } else {
                steps_said(best.total_steps)
            };
            text(format!("Recommended: {steps}. {}.", looked_at(r)));
            if let Some(by) = &r.by_chance {
                text(chosen_said(by));
            }
            if let Some(warning) = warning(best, r) {
                text(warning.to_owned());
            }
            out.extend(answer_said(best, r, words));
            if let Some(chance) = &r.chance {
                out.push(Said::Text(chance_said(chance)));
            }
            if let Some(next) = &r.runner_up {
                out.push(Said::Heading("Runner-up".to_owned()));
                out.extend(answer_said(next, r, words));
            } else {
                out.push(Said::Text("No other set of about as few steps does it.".to_owned()));
            }
        }
        (None, Some(way)) => {
            let none = r.most_steps.map_or_else(
                || if r.is_interrupted { "Nothing seen so far" } else { "Nothing in range" }.to_owned(),
                |most| format!("Nothing of up to {}", steps_said(most)),
            );
            let what = way.criterion.map_or_else(
                || "a pass that cannot be computed".to_owned(),
                |(measure, case)| format!("{} ({})", measure.label(), r.cases.get(case).map_or("", |c| c)),
            );
            text(format!("{none} will do. {}. In the way: {what}.", looked_at(r)));
            match way.without_it {
                Some(true) => text("Without that criterion something in range would do.".to_owned()),
                Some(false) => {
                    text("Without that criterion something else would still be in the way.".to_owned())
                }
                None => {}
            }
            out.push(Said::Heading("Nearest".to_owned()));
            out.extend(answer_said(&way.nearest, r, words));
        }
        (None, None) => {}
    }
    out
}

/// What is said before an answer that does not stand clear of its limits.
fn warning(best: &Answer, r: &Recommendation) -> Option<&'static str> {
    match best.verdict() {
        Some(Verdict::Fail) => {
            Some("It does not hold: a criterion is missed in the check with full passes below.")
        }
        Some(Verdict::Marginal) if best.checked.verdict() == Some(Verdict::Pass) => {
            Some("Marginal: between the throughputs it is on the edge of a limit.")
        }
        Some(Verdict::Marginal) if r.is_interrupted => {
            Some("Marginal: it is on the edge of a limit; small changes can make it miss.")
        }
        Some(Verdict::Marginal) => Some(
            "Marginal: nothing in range gets past the marginal band; this is on the edge of a limit, and small changes can make it miss.",
        ),
        _ => None,
    }
}

/// «When things spread … 62 of 100 passes meet every criterion: 62 %, 52 to 71 % at 95 % confidence».
fn chance_said(chance: &Chance) -> String {
    let Share { hits, cases, share, low, high } = chance.all_met;
    let about = match chance.cases.as_slice() {
        [only] => only.clone(),
        all => format!("each of the {} cases in turn", all.len()),
    };
    let percent = |x: f64| 100.0 * x;
    format!(
        "When things spread as the scenario says, about {about}, {hits} of {cases} passes meet every criterion: {:.0} % ({:.0} to {:.0} % at {:.0} % confidence, seed {}).",
        percent(share),
        percent(low),
        percent(high),
        percent(chance.confidence),
        chance.seed
    )
}

/// «Chosen by chance: of 12 sets of the fewest steps or up to two more, all 12 compared, it meets …; the next does in 70 passes.»
fn chosen_said(by: &ByChance) -> String {
    let ByChance { sets, compared, next_hits } = by;
    let Some(next) = next_hits else {
        return "Chosen by chance: no other set of so few steps or up to two more does it, so there was nothing to compare."
            .to_owned();
    };
    let of = if compared < sets {
        format!(
            "of the {compared} with the most room among {sets} sets of the fewest steps or up to two more"
        )
    } else {
        format!("of {sets} sets of the fewest steps or up to two more, all compared,")
    };
    let passes = counted(*next, "pass", "passes");
    format!(
        "Chosen by chance: {of} it meets every criterion most often when things spread; the next does in {passes}."
    )
}

fn looked_at(r: &Recommendation) -> String {
    let sets = if r.looked_at == 1 { "step set was" } else { "step sets were" };
    let passes = if r.passes == 1 { "pass" } else { "passes" };
    format!("{} {sets} looked at, with {} {passes}", r.looked_at, r.passes)
}

fn steps_said(total: u32) -> String {
    if total == 1 { "one field step".to_owned() } else { format!("{total} field steps") }
}

fn answer_said(answer: &Answer, r: &Recommendation, words: Words) -> Vec<Said> {
    let mut out = Vec::new();
    for (i, step) in answer.steps.iter().enumerate() {
        let moves: Vec<String> =
            step.moves.iter().map(|m| format!("{} from {} to {}", m.path, m.from, m.to)).collect();
        out.push(Said::Step(format!("{}. {}", i + 1, step_name(step)), format!("{}.", moves.join("; "))));
        for (label, effects) in [("It buys", &step.buys), ("It costs", &step.costs)] {
            // What reads the same before and after is no effect to a reader.
            let read = |e: &&Effect| said(words, e.measure, e.before) != said(words, e.measure, e.after);
            let said: Vec<String> =
                effects.iter().filter(read).take(4).map(|e| effect_said(e, words)).collect();
            if !said.is_empty() {
                out.push(Said::Effect(format!("{label}: {}.", said.join("; "))));
            }
        }
    }
    out.push(Said::Text(format!("Checked with full passes: {}.", state(&answer.checked, &r.cases, words))));
    if let Some(between) = &answer.between {
        out.push(Said::Text(if between.verdict() == Some(Verdict::Marginal) {
            format!("Half-way between the throughputs it {}.", state(between, &[], words))
        } else if between.tightest().0 >= 0.0 {
            "Half-way between the throughputs every criterion is met too.".to_owned()
        } else {
            format!("Half-way between the throughputs it does not hold: {}.", state(between, &[], words))
        }));
    }
    out
}

fn step_name(step: &Step) -> String {
    match step.group {
        None => "Restore the standard".to_owned(),
        Some(Group::Foam) => "Foam, so that the brush grabs less".to_owned(),
        Some(Group::Pin) => "Stop pin, one side only".to_owned(),
        Some(group) => capital(group.name()),
    }
}

fn effect_said(effect: &Effect, words: Words) -> String {
    let value = |v, edge: Option<f64>| said_marked(words, effect.measure, v, edge.is_some());
    let [before, after] = effect.edges;
    format!("{} {} to {}", effect.measure.label(), value(effect.before, before), value(effect.after, after))
}

/// Where a set-up stands at its worst: «fails recovery margin, left, 0.4 s (at least 1.0 s) on the sedan».
fn state(worst: &Worst, cases: &[String], words: Words) -> String {
    if let Some((case, reason)) = &worst.failed {
        let on = cases.get(*case).map_or_else(String::new, |name| format!(" on {name}"));
        return format!("a pass cannot be computed{on}: {reason}");
    }
    let (margin, Some((measure, case))) = worst.tightest() else { return "nothing is judged".to_owned() };
    let on = cases.get(case).map_or_else(String::new, |name| format!(", {name}"));
    let Some(at) = worst.reading(measure) else { return String::new() };
    let number = format!(
        "{} {} ({}{on})",
        measure.label(),
        said_reading(words, measure, &at.reading),
        limit(words, measure, &at.reading)
    );
    if margin < 0.0 {
        let others = worst
            .readings()
            .filter(|(m, w)| *m != measure && w.reading.margin().is_some_and(|r| r < 0.0))
            .count();
        let also = if others > 0 { format!(", and {others} more") } else { String::new() };
        format!("misses {number}{also}")
    } else {
        let edge = if worst.verdict() == Some(Verdict::Marginal) { ", but marginally" } else { "" };
        format!("meets every criterion{edge}; tightest is {number}")
    }
}

/// Keys of the criteria missed at the worst, for tests and summaries.
pub fn missed(worst: &Worst) -> Vec<Measure> {
    worst.readings().filter(|(_, w)| w.reading.margin().is_some_and(|r| r < 0.0)).map(|(m, _)| m).collect()
}
