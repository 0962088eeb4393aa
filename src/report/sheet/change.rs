//! From the difference of two set-ups to the steps between them.

use super::numbers;
use super::row::Group;
use super::steps::Step;
use super::words::{Words, fill};
use crate::arm::{Side, UnitModel};
use crate::units::{Dimension, LengthDim, UnitSystem, write_like};

/// One setting that differs between the set-up found and the one to leave.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Change {
    /// Path without the unit: `bearings.lower_offset`, `line.throughput`.
    pub key: String,
    /// What it is, in the language of the sheet.
    pub label: String,
    /// The unit; `None` for the line.
    pub side: Option<Side>,
    /// Place in the trade order.
    pub group: Group,
    /// As found.
    pub from: String,
    /// As left.
    pub to: String,
    /// As left, in SI or as the whole number it is.
    pub to_si: f64,
    /// As found.
    pub from_si: f64,
    /// The standard hole, for a stop pin.
    pub middle_hole: Option<f64>,
}

/// A unit of both set-ups.
#[derive(Debug, Clone, Copy)]
pub(super) struct UnitPair<'a> {
    pub found: &'a UnitModel,
    pub left: &'a UnitModel,
    /// Gaps at the upper and lower adjusting screw in the set-up to leave, if it is written by tape, as shown.
    pub gaps: Option<(&'a str, &'a str)>,
    /// Distance of the resting brush centre from the lane centreline in the set-up to leave, m.
    pub rest_from_centreline_m: f64,
}

/// Moves smaller than this are no moves, m.
const SMALLEST_MOVE_M: f64 = 1e-7;

/// Steps for every change; `units` holds both set-ups of each unit.
pub(super) fn steps(
    changes: &[Change],
    pairs: &[UnitPair<'_>],
    units: UnitSystem,
    words: &Words,
) -> Vec<Step> {
    let mut steps: Vec<(Group, usize, Step)> = Vec::new();
    let mut place = 0;
    let mut add = |step: Step| {
        steps.push((step.group, place, step));
        place += 1;
    };
    for bearing in merged_moves(pairs) {
        add(bearing_step(&bearing, pairs, units, words));
    }
    let both_inward = both_pins_inward(changes);
    for (change, sides) in merged_changes(changes) {
        let unit = if sides.is_empty() { words.line.to_lowercase() } else { words.units(&sides).to_owned() };
        if let Some(step) = setting_step(change, &unit, &sides, both_inward, pairs, units, words) {
            add(step);
        }
    }
    steps.sort_by_key(|(group, place, _)| (*group, *place));
    steps.into_iter().map(|(_, _, step)| step).collect()
}

/// A bearing that has to move along one axis.
#[derive(Debug, Clone, PartialEq)]
struct Move {
    upper: bool,
    along: bool,
    /// Toward the wall or downstream, m.
    by_m: f64,
    to_m: f64,
    sides: Vec<Side>,
}

/// Moves of the bearings of all units; the same move on both sides is one.
fn merged_moves(pairs: &[UnitPair<'_>]) -> Vec<Move> {
    let mut moves: Vec<Move> = Vec::new();
    for pair in pairs {
        let (a, b) = (&pair.found.bearings, &pair.left.bearings);
        for (upper, from, to) in [(false, a.lower, b.lower), (true, a.upper, b.upper)] {
            for (along, from, to) in
                [(false, from.toward_wall_m, to.toward_wall_m), (true, from.downstream_m, to.downstream_m)]
            {
                let by_m = to - from;
                if by_m.abs() < SMALLEST_MOVE_M {
                    continue;
                }
                let same = |m: &&mut Move| {
                    m.upper == upper
                        && m.along == along
                        && (m.by_m - by_m).abs() < SMALLEST_MOVE_M
                        && (m.to_m - to).abs() < SMALLEST_MOVE_M
                };
                match moves.iter_mut().find(same) {
                    Some(known) => known.sides.push(pair.left.side),
                    None => moves.push(Move { upper, along, by_m, to_m: to, sides: vec![pair.left.side] }),
                }
            }
        }
    }
    moves
}

/// A short length as the trade writes it, with the other system beside it.
fn distance(m: f64, units: UnitSystem) -> String {
    let us = write_like(LengthDim::INFO, "1/16 in", m).unwrap_or_else(|_| numbers::length(m, UnitSystem::Us));
    let si = crate::units::format_in(LengthDim::INFO, m, "mm", 1);
    match units {
        UnitSystem::Us => format!("{us} ({si})"),
        UnitSystem::Si => format!("{si} ({us})"),
    }
}

fn bearing_step(bearing: &Move, pairs: &[UnitPair<'_>], units: UnitSystem, words: &Words) -> Step {
    let unit = words.units(&bearing.sides);
    let name = if bearing.upper { words.upper_bearing } else { words.lower_bearing };
    let toward = match (bearing.along, bearing.by_m > 0.0) {
        (false, true) => words.toward_wall,
        (false, false) => words.toward_lane,
        (true, true) => words.downstream,
        (true, false) => words.upstream,
    };
    // A bearing that moves toward the wall closes the gap between frame and block by as much.
    let gap_change =
        format!("{}{}", if bearing.by_m > 0.0 { "−" } else { "+" }, distance(bearing.by_m.abs(), units));
    let gap = pairs.iter().find(|p| bearing.sides.contains(&p.left.side)).and_then(|p| p.gaps);
    let done = match gap {
        Some((upper, lower)) if !bearing.along => {
            fill(words.done_bearing_gap, &[if bearing.upper { upper } else { lower }])
        }
        _ => fill(words.done_bearing, &[&gap_change]),
    };
    let plumb = bearing.to_m.abs() < SMALLEST_MOVE_M;
    Step {
        group: if plumb { Group::Standard } else { Group::Bearing },
        what: fill(words.do_bearing, &[name, unit, &distance(bearing.by_m.abs(), units), toward]),
        how: words.how_bearing.to_owned(),
        done,
        lock: words.lock_bearing.to_owned(),
    }
}

/// Changes of the settings; the same change on both sides is one.
fn merged_changes(changes: &[Change]) -> Vec<(&Change, Vec<Side>)> {
    let mut merged: Vec<(&Change, Vec<Side>)> = Vec::new();
    for change in changes {
        let same = |(known, _): &&mut (&Change, Vec<Side>)| {
            known.key == change.key
                && known.from == change.from
                && known.to == change.to
                && change.side.is_some()
        };
        match merged.iter_mut().find(same) {
            Some((_, sides)) => sides.extend(change.side),
            None => merged.push((change, change.side.into_iter().collect())),
        }
    }
    merged
}

/// Whether both pins end further in than the middle hole and one of them is moved.
fn both_pins_inward(changes: &[Change]) -> bool {
    let inward = |c: &&Change| c.key == "stop_pin.hole" && c.middle_hole.is_some_and(|m| c.to_si > m);
    changes.iter().filter(inward).count() > 1
}

fn setting_step(
    change: &Change,
    unit: &str,
    sides: &[Side],
    both_inward: bool,
    pairs: &[UnitPair<'_>],
    units: UnitSystem,
    words: &Words,
) -> Option<Step> {
    let key = change.key.as_str();
    if key.starts_with("bearings.") || key.starts_with("vehicle.") {
        // Bearings are moved by where they end up, however that is written; a vehicle is nothing to set.
        return None;
    }
    let (from, to) = (change.from.as_str(), change.to.as_str());
    let generic = || fill(words.do_change, &[&super::words::capital(&change.label), unit, from, to]);
    let other = |done: String| (generic(), String::new(), done, words.lock_other.to_owned());
    let (what, how, done, lock) = if let Some(end) =
        key.strip_prefix("air.").filter(|e| matches!(*e, "cap" | "rod"))
    {
        (
            fill(words.do_air, &[words.term(end), unit, from, to]),
            words.how_air.to_owned(),
            fill(words.done_air, &[to]),
            words.lock_air.to_owned(),
        )
    } else if key.starts_with("air.") {
        other(words.done_valve.to_owned())
    } else if key == "stop_pin.hole" {
        let rest =
            pairs.iter().find(|p| sides.contains(&p.left.side)).map_or(0.0, |p| p.rest_from_centreline_m);
        let rest =
            format!("{} ({})", numbers::length(rest, units), numbers::length(rest, numbers::other(units)));
        let how = if both_inward {
            format!("{} {}", words.how_pin, words.both_pins)
        } else {
            words.how_pin.to_owned()
        };
        (
            fill(words.do_pin, &[unit, from, to]),
            how,
            fill(words.done_pin, &[to, &rest]),
            words.lock_pin.to_owned(),
        )
    } else if key == "brush.friction" {
        (generic(), words.how_foam.to_owned(), words.done_foam.to_owned(), words.lock_foam.to_owned())
    } else if key.starts_with("counterweight.") {
        (generic(), words.how_weight.to_owned(), fill(words.done_weight, &[to]), words.lock_weight.to_owned())
    } else if key.starts_with("dampers[") {
        other(words.done_damper.to_owned())
    } else if key == "brush.spin" {
        other(fill(words.done_spin, &[to]))
    } else if key == "brush.spin_sense" {
        other(words.done_sense.to_owned())
    } else if change.side.is_none() {
        let done = if key == "line.throughput" { words.done_line } else { words.done_other };
        (generic(), words.how_line.to_owned(), fill(done, &[to]), words.lock_line.to_owned())
    } else {
        other(fill(words.done_other, &[to]))
    };
    Some(Step { group: change.group, what, how, done, lock })
}
