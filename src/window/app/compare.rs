//! The difference table: what the pinned set-ups and the current one come to, in the terms of the job.

use super::App;
use super::solved::SolvedPass;
use crate::coverage::measure::{ALL, Measure};
use crate::coverage::table::Better;
use crate::coverage::{Verdict, headline};
use crate::study::lesson::measure_text;
use crate::units::{Dimension, ForceDim, FractionDim, LengthDim, PowerDim, TimeDim};
use crate::window::pins::Difference;

/// A set-up of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// «A», «B», «C» or «now».
    pub name: String,
    /// What makes it different.
    pub words: String,
    /// Its verdict.
    pub verdict: Option<Verdict>,
}

/// How a value stands against the reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// It is the reference, or there is nothing to hold against it.
    None,
    /// No difference that matters.
    Same,
    /// Better.
    Better,
    /// Worse.
    Worse,
    /// Different; neither is better by itself.
    Other,
}

/// A row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub measure: Measure,
    /// Values as shown, one for each set-up.
    pub values: Vec<String>,
    /// Differences from the reference as shown; empty where there is none.
    pub changes: Vec<(Change, String)>,
    /// Whether any differs by something that matters.
    pub differs: bool,
    /// Whether the set-ups stand differently against its limit.
    pub verdict_changes: bool,
}

/// The table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Set-ups; the first is the reference.
    pub heads: Vec<Head>,
    /// Rows: what changes a verdict, then what differs, then the rest; a row that no set-up has a value for is left out.
    pub rows: Vec<Row>,
}

/// The smallest difference that matters on the job, SI (common practice, no source): half a percent of a share, a quarter inch, a tenth of
/// a second, a quarter pound, a twentieth of what is compared otherwise.
pub(super) fn matters_from(measure: Measure, reference: f64) -> f64 {
    let info = measure.info();
    if std::ptr::eq(info, FractionDim::INFO) {
        0.005
    } else if std::ptr::eq(info, LengthDim::INFO) {
        0.25 * 0.0254
    } else if std::ptr::eq(info, TimeDim::INFO) {
        0.1
    } else if std::ptr::eq(info, ForceDim::INFO) {
        1.1
    } else if std::ptr::eq(info, PowerDim::INFO) {
        20.0
    } else {
        0.05 * reference.abs()
    }
}

/// Makes the table: the pinned set-ups first, then the current one when it is not pinned itself.
pub fn table(app: &App) -> Table {
    let mut heads = Vec::new();
    let mut passes: Vec<&SolvedPass> = Vec::new();
    for (slot, pin) in app.pins.iter() {
        heads.push(head(slot.letter(), pin.name.clone(), &pin.record));
        passes.push(&pin.record);
    }
    if let Some(now) = app.shown()
        && !passes.iter().any(|pass| std::ptr::eq(*pass, &**now))
    {
        heads.push(head("now", super::edits::words(&now.scenario, &now.edits), now));
        passes.push(now);
    }
    let mut rows: Vec<Row> = ALL.into_iter().filter_map(|measure| row(app, measure, &passes)).collect();
    // What changes a verdict comes first, then what differs; within each the fixed order of the measures.
    rows.sort_by_key(|row| (!row.verdict_changes, !row.differs));
    Table { heads, rows }
}

/// How a difference stands: what does not matter on the job is no change.
fn way(measure: Measure, by: f64, matters_from: f64) -> Change {
    if by.abs() < matters_from.max(f64::MIN_POSITIVE) {
        return Change::Same;
    }
    match (measure.better(), by > 0.0) {
        (Better::More, true) | (Better::Less, false) => Change::Better,
        (Better::More, false) | (Better::Less, true) => Change::Worse,
        (Better::Neither, _) => Change::Other,
    }
}

/// How one value of a measure stands against another; nothing where either is missing.
pub(super) fn change_of(measure: Measure, from: Option<f64>, to: Option<f64>) -> Change {
    match (from, to) {
        (Some(from), Some(to)) => way(measure, to - from, matters_from(measure, from)),
        _ => Change::None,
    }
}

fn head(name: &str, words: String, pass: &SolvedPass) -> Head {
    Head { name: name.to_owned(), words, verdict: headline(&pass.outcome.verdicts).map(|(v, _)| v) }
}

fn row(app: &App, measure: Measure, passes: &[&SolvedPass]) -> Option<Row> {
    let values: Vec<Option<f64>> = passes.iter().map(|pass| measure.read(&pass.outcome).value).collect();
    if values.iter().all(Option::is_none) {
        return None;
    }
    let verdicts: Vec<Option<Verdict>> =
        passes.iter().map(|pass| measure.read(&pass.outcome).verdict).collect();
    let reference = values.first().copied().flatten();
    let difference = Difference {
        name: measure.label(),
        matters_from: matters_from(measure, reference.unwrap_or(0.0)),
        values: values.clone(),
    };
    let text = |value: f64| measure_text(measure, value, app.units);
    let changes = difference
        .changes()
        .into_iter()
        .enumerate()
        .map(|(index, change)| match change {
            None => (Change::None, String::new()),
            Some(_) if index == 0 => (Change::None, String::new()),
            Some(by) => {
                let way = way(measure, by, difference.matters_from);
                if way == Change::Same {
                    return (way, String::new());
                }
                let sign = if by > 0.0 { "+" } else { "−" };
                // The unit stands at the value above.
                let size = text(by.abs());
                (way, format!("{sign}{}", size.split(' ').next().unwrap_or_default()))
            }
        })
        .collect();
    Some(Row {
        measure,
        differs: difference.differs(),
        verdict_changes: verdicts.windows(2).any(|pair| pair[0] != pair[1]),
        changes,
        values: values.iter().map(|v| v.map_or_else(|| "–".to_owned(), text)).collect(),
    })
}
