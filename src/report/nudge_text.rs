//! The one-step table as a person reads it.

use super::measures::{EDGE, change, edge_note, limit, said_marked, said_reading};
use super::table::TextTable;
use super::words::{NONE, Words, capital, heading, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::coverage::table::Better;
use crate::study::nudge::{Nudge, NudgeLine, SideEffect, Trend};
use crate::units::UnitSystem;

/// Settings told in sentences.
const MOST_TOLD: usize = 3;

/// The table as text.
pub fn nudge_text(nudge: &Nudge, title: &str, units: UnitSystem, ink: Ink) -> String {
    let words = Words::new(units);
    let measure = nudge.measure;
    let mut out = heading(title, ink);
    let now = nudge.now.reading(measure);
    let stands = now.map_or_else(
        || format!("{} has no value here", measure.label()),
        |worst| {
            let limit = limit(words, measure, &worst.reading);
            let limit = if limit.is_empty() { "not judged".to_owned() } else { limit };
            format!("{} is {} ({limit})", measure.label(), said_reading(words, measure, &worst.reading))
        },
    );
    let cases = match nudge.cases.as_slice() {
        [only] => format!("on {only}"),
        many => format!("at its worst over {}", many.join(", ")),
    };
    let better = match measure.better() {
        Better::More => "More is better.",
        Better::Less => "Less is better.",
        Better::Neither => "Neither way is better by itself.",
    };
    out.push_str(&wrap(
        &format!("As it stands {cases}: {stands}. {better} The single field steps that help most:"),
        TEXT_WIDTH,
        0,
    ));
    let mut told = 0;
    for line in &nudge.lines {
        let Some((steps, gain)) = line.best_step(measure) else { continue };
        if gain <= 0.0 || change(words, measure, line.change(measure, steps)) == "0" || told == MOST_TOLD {
            continue;
        }
        told += 1;
        out.push_str(&wrap(&sentence(nudge, line, steps, words), TEXT_WIDTH, 3));
    }
    if told == 0 {
        out.push_str(&wrap(&format!("No single step makes {} better.", measure.label()), TEXT_WIDTH, 0));
    }
    let what = format!("{}: what one field step of each setting does to it:", capital(&measure.label()));
    out.push('\n');
    out.push_str(&wrap(&what, TEXT_WIDTH, 0));
    out.push_str(&table(nudge, words));
    out.push_str(&edge_note(&out));
    out
}

/// One setting of the one-step table, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NudgeRow {
    /// Path of the setting.
    pub path: String,
    /// One field step, as written.
    pub step: String,
    /// What one step down does to the measure; a dash where there is no such step.
    pub down: String,
    /// What one step up does to it.
    pub up: String,
    /// How the measure goes over two steps each way.
    pub trend: &'static str,
    /// How many verdicts turn: «2 down, 1 up»; empty when none does.
    pub turns: String,
    /// Whether neither step does anything that can be read to this measure or to a verdict.
    pub does_nothing: bool,
}

/// The one-step table row by row; settings that no number follows, with the reason where it is known, come apart.
pub fn nudge_rows(nudge: &Nudge, units: UnitSystem) -> (Vec<NudgeRow>, Vec<String>) {
    let words = Words::new(units);
    let mut rows = Vec::new();
    let mut at_all: Vec<String> = Vec::new();
    for line in &nudge.lines {
        let at = |steps: i32| match line.at(steps) {
            None => NONE.to_owned(),
            Some(t) if t.worst.failed.is_some() => "fails to run".to_owned(),
            Some(turned) => {
                let text = change(words, nudge.measure, line.change(nudge.measure, steps));
                if turned.worst.edge(nudge.measure).is_some() { text + EDGE } else { text }
            }
        };
        let trend = match line.trend(nudge.measure) {
            Trend::Rises => "rises",
            Trend::Falls => "falls",
            Trend::Flat => "no effect",
            Trend::Turns => "turns round",
            Trend::Unknown => NONE,
        };
        let turns = |steps: i32| line.side_effects(nudge.measure, steps).iter().filter(|e| e.turns()).count();
        let turns = match (turns(-1), turns(1)) {
            (0, 0) => String::new(),
            (down, 0) => format!("{down} down"),
            (0, up) => format!("{up} up"),
            (down, up) => format!("{down} down, {up} up"),
        };
        if line.has_no_effect() {
            let why = line.why.map_or_else(String::new, |why| format!(" ({why})"));
            at_all.push(format!("{}{why}", line.path));
            continue;
        }
        let (down, up) = (at(-1), at(1));
        let nothing = |text: &str| text == "0" || text == NONE;
        let does_nothing = nothing(&down) && nothing(&up) && turns.is_empty();
        let (path, step) = (line.path.clone(), line.step.clone());
        rows.push(NudgeRow { path, step, down, up, trend, turns, does_nothing });
    }
    (rows, at_all)
}

fn table(nudge: &Nudge, words: Words) -> String {
    let mut table = TextTable::new(&["Setting", "Step", ">One down", ">One up", "Over ±2 steps", "Turns"]);
    let (rows, at_all) = nudge_rows(nudge, words.units);
    let (without, rows): (Vec<NudgeRow>, Vec<NudgeRow>) = rows.into_iter().partition(|row| row.does_nothing);
    for row in rows {
        table.row(&[row.path, row.step, row.down, row.up, row.trend.to_owned(), row.turns]);
    }
    let without: Vec<&str> = without.iter().map(|row| row.path.as_str()).collect();
    let mut text = table.text();
    if !without.is_empty() {
        text.push_str(&wrap(&format!("No effect on it: {}.", without.join(", ")), TEXT_WIDTH, 0));
    }
    if !at_all.is_empty() {
        let said = format!("No effect here on any number: {}.", at_all.join(", "));
        text.push_str(&wrap(&said, TEXT_WIDTH, 0));
    }
    text
}

/// What one or two field steps of a setting do besides, in a sentence: the value it comes to, verdicts that turn, what gets worse. None where there is no
/// such step.
pub fn nudge_step_said(nudge: &Nudge, path: &str, steps: i32, units: UnitSystem) -> Option<String> {
    let line = nudge.lines.iter().find(|line| line.path == path)?;
    let turned = line.at(steps)?;
    if let Some((_, reason)) = &turned.worst.failed {
        return Some(format!("{path} from {} to {}: fails to run: {reason}.", line.now, turned.text));
    }
    let said = sentence(nudge, line, steps, Words::new(units));
    Some(said.trim_start_matches("• ").to_owned())
}

fn sentence(nudge: &Nudge, line: &NudgeLine, steps: i32, words: Words) -> String {
    let measure = nudge.measure;
    let to = line.at(steps).map_or("", |t| &t.text);
    let value = line.at(steps).and_then(|t| t.worst.value(measure));
    let on_edge = line.at(steps).is_some_and(|t| t.worst.edge(measure).is_some());
    let effects = line.side_effects(measure, steps);
    let turns: Vec<String> = effects.iter().filter(|e| e.turns()).map(turned).collect();
    let worse: Vec<String> = effects
        .iter()
        .filter(|e| !e.turns())
        .take(3)
        .filter_map(|e| {
            let text = change(words, e.measure, e.change);
            (text != "0").then(|| format!("{} {text}", e.measure.label()))
        })
        .collect();
    let mut text = format!(
        "• {} from {} to {to}: {} {} to {}.",
        line.path,
        line.now,
        measure.label(),
        change(words, measure, line.change(measure, steps)),
        said_marked(words, measure, value, on_edge)
    );
    if !turns.is_empty() {
        text.push_str(&format!(" Verdicts that turn: {}.", turns.join("; ")));
    }
    if !worse.is_empty() {
        text.push_str(&format!(" It costs: {}.", worse.join("; ")));
    }
    text
}

fn turned(effect: &SideEffect) -> String {
    let (before, after) = effect.verdicts.map_or(("", ""), |(a, b)| (a.name(), b.name()));
    format!("{} from {before} to {after}", effect.measure.label())
}
