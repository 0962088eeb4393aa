//! The one-step table: what one field step of each setting does to every number, here and now.
//!
//! Each setting that a technician can move is turned one and two field steps each way, the others left alone. A step that leaves the range of
//! the setting does not exist. Several cases (vehicles, throughputs) are taken at their worst, measure by measure ([`super::worst`]). Both stop
//! pins together are not turned: common practice (no source) moves one side only.

use super::point::{PointResult, evaluate, reason};
use super::table::{Cell, Column, Row, Table};
use super::worst::Worst;
use crate::coverage::measure::Measure;
use crate::coverage::table::Better;
use crate::coverage::{MeasureName, Verdict};
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, Reading as SettingReading, Setting};
use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};

/// The steps tried, in order.
pub const STEPS: [i32; 5] = [-2, -1, 0, 1, 2];

/// A setting at some steps from where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Turned {
    /// Steps from where it stands.
    pub steps: i32,
    /// What it is set to, as written; left and right when they differ.
    pub text: String,
    /// What it comes to.
    pub worst: Worst,
}

/// How a number goes with a setting over the steps tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Trend {
    /// Every step up raises it or leaves it.
    Rises,
    /// Every step up lowers it or leaves it.
    Falls,
    /// No step changes it.
    Flat,
    /// It turns round within the steps tried.
    Turns,
    /// Too few of the steps have a number.
    Unknown,
}

/// One setting, turned.
#[derive(Debug, Clone, PartialEq)]
pub struct NudgeLine {
    /// Path of the setting.
    pub path: String,
    /// What it is.
    pub label: String,
    /// Its place in the trade order.
    pub group: Group,
    /// One field step, as written.
    pub step: String,
    /// What it stands at, as written.
    pub now: String,
    /// The steps that exist, in order; 0 among them.
    pub turned: Vec<Turned>,
    /// Why it has no effect at all, where it has none and the machine shows why.
    pub why: Option<&'static str>,
}

/// What a step does that was not asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct SideEffect {
    /// The measure.
    pub measure: Measure,
    /// Change of its worst value, SI; none when it gains or loses its value.
    pub change: Option<f64>,
    /// Verdicts before and after, where the scenario judges it.
    pub verdicts: Option<(Verdict, Verdict)>,
}

impl SideEffect {
    /// Whether its verdict changes.
    pub fn turns(&self) -> bool {
        self.verdicts.is_some_and(|(before, after)| before != after)
    }

    /// Whether its verdict changes for the worse.
    pub fn turns_bad(&self) -> bool {
        self.verdicts.is_some_and(|(before, after)| after > before)
    }
}

impl NudgeLine {
    /// The setting at so many steps, if that exists.
    pub fn at(&self, steps: i32) -> Option<&Turned> {
        self.turned.iter().find(|t| t.steps == steps)
    }

    /// Whether every step leaves every number as it is, to the last bit.
    pub fn has_no_effect(&self) -> bool {
        let Some(now) = self.at(0) else { return false };
        self.turned.len() > 1 && self.turned.iter().all(|turned| turned.worst == now.worst)
    }

    /// Change of a measure's worst value from where it stands, SI.
    pub fn change(&self, measure: Measure, steps: i32) -> Option<f64> {
        Some(self.at(steps)?.worst.value(measure)? - self.at(0)?.worst.value(measure)?)
    }

    /// How much better a measure gets, in its unit: positive = better. A measure where neither way is better counts by its size.
    pub fn gain(&self, measure: Measure, steps: i32) -> Option<f64> {
        let change = self.change(measure, steps)?;
        Some(match measure.better() {
            Better::More => change,
            Better::Less => -change,
            Better::Neither => change.abs(),
        })
    }

    /// The better of one step down and one step up for a measure.
    pub fn best_step(&self, measure: Measure) -> Option<(i32, f64)> {
        let gain = |steps| self.gain(measure, steps).map(|gain| (steps, gain));
        match (gain(-1), gain(1)) {
            (Some(down), Some(up)) => Some(if down.1 > up.1 { down } else { up }),
            (down, up) => down.or(up),
        }
    }

    /// How a measure goes with the setting over the steps tried; changes below a ten-thousandth of its size are none.
    pub fn trend(&self, measure: Measure) -> Trend {
        let values: Vec<f64> = self.turned.iter().filter_map(|t| t.worst.value(measure)).collect();
        if values.len() < 3 {
            return Trend::Unknown;
        }
        let size = values.iter().fold(0.0, |size: f64, v| size.max(v.abs()));
        let steps = || values.windows(2).map(|pair| pair[1] - pair[0]);
        let (up, down) = (steps().any(|d| d > 1e-4 * size), steps().any(|d| d < -1e-4 * size));
        match (up, down) {
            (true, true) => Trend::Turns,
            (true, false) => Trend::Rises,
            (false, true) => Trend::Falls,
            (false, false) => Trend::Flat,
        }
    }

    /// What else a step does: every verdict that turns, and every measure that gets worse by more than a thousandth of its limit (of its size
    /// without a limit; against a limit of nothing, as for the hub, only a turned verdict counts). Turned verdicts first, then by the share of the limit lost.
    pub fn side_effects(&self, but: Measure, steps: i32) -> Vec<SideEffect> {
        let (Some(turned), Some(now)) = (self.at(steps), self.at(0)) else { return Vec::new() };
        let mut found: Vec<(f64, SideEffect)> = Vec::new();
        for (measure, before) in now.worst.readings() {
            let Some(after) = turned.worst.reading(measure) else { continue };
            if measure == but {
                continue;
            }
            let verdicts = before.reading.verdict.zip(after.reading.verdict);
            let change = after.reading.value.zip(before.reading.value).map(|(a, b)| a - b);
            let worse = match measure.better() {
                Better::More => change.map_or(0.0, |c| -c),
                Better::Less => change.map_or(0.0, |c| c),
                Better::Neither => 0.0,
            };
            let size = before.reading.limit.or(before.reading.value).unwrap_or(1.0).abs();
            let effect = SideEffect { measure, change, verdicts };
            // A limit of nothing has no share to lose: there only the verdict tells.
            let loses = size > 0.0 && worse > 1e-3 * size;
            if effect.turns() || loses {
                found.push((worse / size.max(1e-12), effect));
            }
        }
        found.sort_by(|a, b| b.1.turns().cmp(&a.1.turns()).then(b.0.total_cmp(&a.0)));
        found.into_iter().map(|(_, effect)| effect).collect()
    }
}

/// The one-step table.
#[derive(Debug, Clone, PartialEq)]
pub struct Nudge {
    /// The measure that lines are ranked by.
    pub measure: Measure,
    /// What the set-up comes to as it stands.
    pub now: Worst,
    /// Names of the cases.
    pub cases: Vec<String>,
    /// One line for each setting, the most helpful first; those without effect or number last, in the order of the settings.
    pub lines: Vec<NudgeLine>,
}

/// Turns every setting that a technician can move. `cases` are the scenarios to look at, with names; each is the same set-up. `measure` is the one
/// to rank by: the one that decides when not given.
pub fn nudge(cases: &[(String, Scenario)], measure: Option<Measure>) -> Option<Nudge> {
    nudge_until(cases, measure, &|| false, &|_, _| {})
}

/// The same; `tell` hears how many of how many steps were tried, on whichever thread tried them. None once `stop` says so: a table that lacks steps
/// would rank what is left wrongly.
pub fn nudge_until(
    cases: &[(String, Scenario)],
    measure: Option<Measure>,
    stop: &(dyn Fn() -> bool + Sync),
    tell: &(dyn Fn(u64, u64) + Sync),
) -> Option<Nudge> {
    let (_, first) = cases.first()?;
    let settings: Vec<Setting> = first
        .settings()
        .into_iter()
        .filter(|s| s.in_field && s.step_si().is_some() && !is_pair_of_pins(s))
        .collect();
    let jobs: Vec<(usize, i32)> = (0..settings.len())
        .flat_map(|i| STEPS.into_iter().filter(|n| *n != 0).map(move |n| (i, n)))
        .filter(|(i, n)| settings[*i].step(first, *n).is_some())
        .collect();
    let now_results: Vec<PointResult> = cases.par_iter().map(|(_, scenario)| evaluate(scenario)).collect();
    let now = Worst::of(&now_results);
    let done = AtomicU64::new(0);
    let turned: Option<Vec<Turned>> = jobs
        .par_iter()
        .map(|(i, n)| {
            if stop() {
                return None;
            }
            let setting = &settings[*i];
            let results: Vec<PointResult> = cases
                .par_iter()
                .map(|(_, scenario)| {
                    match setting.step(scenario, *n).map(|changes| scenario.with(&changes)) {
                        Some(Ok(changed)) => evaluate(&changed),
                        Some(Err(diagnostics)) => PointResult::failed(&reason(&diagnostics)),
                        None => PointResult::failed("the step leaves the range"),
                    }
                })
                .collect();
            let changes = setting.step(first, *n).unwrap_or_default();
            let texts: Vec<&str> = changes.iter().map(|(_, text)| text.as_str()).collect();
            tell(1 + done.fetch_add(1, Ordering::Relaxed), jobs.len() as u64);
            Some(Turned { steps: *n, text: texts.join(" and "), worst: Worst::of(&results) })
        })
        .collect();
    let turned = turned?;
    let decided = || now.tightest().1.map(|(measure, _)| measure);
    let measure = measure.or_else(decided).unwrap_or(MeasureName::TailGap.whole());
    let mut lines: Vec<NudgeLine> = settings
        .iter()
        .map(|setting| {
            let text = match setting.read(first) {
                Some(SettingReading::Value(value)) => value.text,
                Some(SettingReading::Differs { left, right }) => format!("{} and {}", left.text, right.text),
                None => String::new(),
            };
            NudgeLine {
                path: setting.path.clone(),
                label: setting.label.clone(),
                group: setting.group,
                step: setting.step_text(),
                now: text.clone(),
                turned: vec![Turned { steps: 0, text, worst: now.clone() }],
                why: None,
            }
        })
        .collect();
    for ((i, _), turned) in jobs.iter().zip(turned) {
        lines[*i].turned.push(turned);
    }
    lines.iter_mut().for_each(|line| line.turned.sort_by_key(|t| t.steps));
    lines
        .iter_mut()
        .filter(|line| line.has_no_effect())
        .for_each(|line| line.why = super::effect::why(first, &line.path));
    // Stable: equals stay in the order of the settings.
    let gain = |line: &NudgeLine| line.best_step(measure).map_or(f64::NEG_INFINITY, |(_, gain)| gain);
    lines.sort_by(|a, b| gain(b).total_cmp(&gain(a)));
    Some(Nudge { measure, now, cases: cases.iter().map(|(name, _)| name.clone()).collect(), lines })
}

fn is_pair_of_pins(setting: &Setting) -> bool {
    setting.group == Group::Pin && setting.sides.len() > 1
}

impl Nudge {
    /// The table for machines: a row for each setting and step, every measure at its worst and its change, SI.
    pub fn table(&self) -> Table {
        let mut columns = vec![
            Column::count("rank"),
            Column::text("setting"),
            Column::text("group"),
            Column::text("step"),
            Column::number("steps"),
            Column::text("value"),
            Column::text("trend"),
            Column::text("turned"),
            Column::text("reason"),
        ];
        columns.extend(crate::coverage::measure::ALL.into_iter().map(|m| Column::number(m.column())));
        columns.extend(crate::coverage::measure::ALL.into_iter().map(|m| {
            Column::number(crate::units::column_name(&format!("{}_change", m.key()), m.info().si_unit))
        }));
        columns.extend(crate::coverage::measure::on_edges().map(|m| Column::number(m.edge_column())));
        let mut rows = Vec::new();
        for (rank, line) in self.lines.iter().enumerate() {
            for turned in &line.turned {
                rows.push(self.row(rank, line, turned));
            }
        }
        Table { columns, rows }
    }

    fn row(&self, rank: usize, line: &NudgeLine, turned: &Turned) -> Row {
        let trend = match line.trend(self.measure) {
            Trend::Rises => "rises",
            Trend::Falls => "falls",
            Trend::Flat => "flat",
            Trend::Turns => "turns",
            Trend::Unknown => "",
        };
        let turns: Vec<String> = line
            .side_effects(self.measure, turned.steps)
            .iter()
            .filter_map(|effect| {
                let (before, after) = effect.verdicts.filter(|(a, b)| a != b)?;
                Some(format!("{} {} to {}", effect.measure.key(), before.name(), after.name()))
            })
            .collect();
        let mut row = vec![
            Cell::Count(rank as u64 + 1),
            Cell::text(&line.path),
            Cell::text(line.group.name()),
            Cell::text(&line.step),
            Cell::Number(f64::from(turned.steps)),
            Cell::text(&turned.text),
            Cell::text(trend),
            Cell::text(&turns.join("; ")),
            Cell::text(turned.worst.failed.as_ref().map_or("", |(_, reason)| reason)),
        ];
        row.extend(crate::coverage::measure::ALL.into_iter().map(|m| Cell::number(turned.worst.value(m))));
        row.extend(
            crate::coverage::measure::ALL.into_iter().map(|m| Cell::number(line.change(m, turned.steps))),
        );
        row.extend(crate::coverage::measure::on_edges().map(|m| Cell::number(turned.worst.edge(m))));
        row
    }
}
