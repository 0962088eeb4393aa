//! Settings as fields to turn: one row for each setting, its units side by side.

use super::setup::Setup;
use crate::arm::Side;
use crate::report::capital;
use crate::report::sheet::{Language, value_said};
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, SettingKind, unit_and_rest};
use crate::units::{UnitSystem, minus_signs};
use serde::Serialize;

/// A row: one setting, of the line or of both units.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Row {
    /// Path without its unit.
    key: String,
    label: String,
    group: &'static str,
    /// Whether it stands among those that are turned first.
    first: bool,
    in_field: bool,
    range: String,
    step: String,
    cells: Vec<Cell>,
}

/// One setting of one unit, or of the line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Cell {
    path: String,
    /// `left`, `right` or nothing.
    side: &'static str,
    /// The unit in the language asked for.
    said_side: String,
    /// As it is to be read.
    value: String,
    /// In the other unit system.
    other: String,
    /// As written, to be typed over.
    written: String,
    /// Whether a step down or up stays in the range; both false where there are no steps.
    down: bool,
    up: bool,
    /// The words of a choice, as written and as they are to be read.
    choices: Vec<(String, String)>,
    changed: bool,
}

/// A setting that was changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Changed {
    path: String,
    label: String,
    side: String,
    from: String,
    to: String,
}

/// Every setting, those that are turned first before the others.
pub(super) fn rows(setup: &Setup, units: UnitSystem, language: Language) -> Vec<Row> {
    let scenario = &setup.scenario;
    let words = language.words();
    let mut rows: Vec<(Group, Row)> = Vec::new();
    for setting in scenario.settings().iter().filter(|setting| setting.sides.len() < 2) {
        let Some(value) = setting.value(scenario) else { continue };
        let (side, key) = unit_and_rest(&setting.path);
        let said = value_said(setting, &value, units, language);
        let (low, high) = setting.range_si();
        // Without the text that a step would give, which takes longer than all the rest.
        let room = |way: f64| {
            setting.step_si().is_some_and(|step| {
                let to = value.si + way * step;
                to >= low - 1e-9 * step && to <= high + 1e-9 * step
            })
        };
        let (down, up) = (room(-1.0), room(1.0));
        let cell = Cell {
            side: side.map_or("", Side::name),
            said_side: side.map_or(String::new(), |side| capital(words.term(side.name()))),
            value: said.written,
            other: said.other,
            written: value.text,
            down,
            up,
            choices: match &setting.kind {
                SettingKind::Choice(list) => {
                    list.iter().map(|word| (word.clone(), words.term(word).to_owned())).collect()
                }
                _ => Vec::new(),
            },
            changed: setup.changes.iter().any(|(path, _)| *path == setting.path),
            path: setting.path.clone(),
        };
        if let Some((_, row)) = rows.iter_mut().find(|(_, row)| row.key == key) {
            row.cells.push(cell);
            continue;
        }
        let row = Row {
            key: key.to_owned(),
            label: capital(&words.counted_term(&setting.label)),
            group: setting.group.name(),
            first: setting.first,
            in_field: setting.in_field,
            range: minus_signs(&setting.range_text()),
            step: setting.step_text(),
            cells: vec![cell],
        };
        rows.push((setting.group, row));
    }
    for (_, row) in &mut rows {
        // What has nowhere to go is not turned first.
        row.first &= row.in_field && row.cells.iter().all(|cell| cell.up || cell.down);
    }
    // Stable: within a group the order of the table.
    rows.sort_by_key(|(group, row)| (!row.first, !row.in_field, *group));
    rows.into_iter().map(|(_, row)| row).collect()
}

/// What was changed, in the order it was.
pub(super) fn changed(setup: &Setup, base: &Scenario, units: UnitSystem, language: Language) -> Vec<Changed> {
    let words = language.words();
    let of = |(path, text): &(String, String)| {
        let setting = setup.scenario.setting(path).ok()?;
        let said = |scenario: &Scenario| {
            setting.value(scenario).map(|value| value_said(&setting, &value, units, language).written)
        };
        Some(Changed {
            label: capital(&words.counted_term(&setting.label)),
            side: unit_and_rest(path).0.map_or(String::new(), |side| words.term(side.name()).to_owned()),
            from: said(base).unwrap_or_default(),
            to: said(&setup.scenario).unwrap_or_else(|| text.clone()),
            path: path.clone(),
        })
    };
    setup.changes.iter().filter_map(of).collect()
}
