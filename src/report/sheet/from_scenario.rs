//! A sheet from one or two checked scenarios and their solved passes.

use super::change::{Change, UnitPair, steps};
use super::request::SheetRequest;
use super::row::{Group, Reach, SettingRow, SideCell, Value};
use super::steps::Pull;
use super::uneven::uneven_note;
use super::words::Words;
use super::{Head, Sheet, criteria, numbers, pictures};
use crate::arm::Side;
use crate::scenario::setting::{self, Setting, SettingKind, SettingValue, Standard, unit_and_rest};
use crate::study::tolerance::{self, Turn};
use crate::units::{UnitSystem, converted, format, minus_signs, number_in, unit_label};

/// The sheet.
pub fn sheet<'a>(request: &SheetRequest<'a>) -> Sheet<'a> {
    let words = request.language.words();
    let settings = request.left.scenario.settings();
    let rows = rows(request, &settings, words);
    let still_s = request.left.pass.key_instant_s();
    Sheet {
        language: request.language,
        units: request.units,
        head: head(request),
        found: request.found.map(|f| f.pass),
        left: request.left.pass,
        still_s,
        pictures: pictures::pictures(request, still_s, words),
        settings: rows,
        uneven: uneven_note(
            request.left.scenario,
            request.found.map(|found| found.scenario),
            request.language,
        ),
        steps: changed_steps(request, &settings, words),
        pulls: request.left.pass.setup.units.iter().map(|u| Pull::at(u, Pull::stated_angle_rad(u))).collect(),
        additions: request.additions.clone(),
    }
}

fn head(request: &SheetRequest<'_>) -> Head {
    let file = request.left.scenario.file();
    let title = file.title.trim();
    Head {
        title: if title.is_empty() { request.left.file.to_owned() } else { title.to_owned() },
        note: file.note.trim().to_owned(),
        site: file.sheet.site.trim().to_owned(),
        machine: file.sheet.machine.trim().to_owned(),
        date: request.date.to_owned(),
        who: if request.who.is_empty() { file.sheet.technician.trim() } else { request.who }.to_owned(),
        throughput: file.line.throughput.as_ref().map(|t| t.written().to_owned()),
        file: request.left.file.to_owned(),
        file_from: request.found.map(|f| f.file.to_owned()),
        set: request.set.to_vec(),
    }
}

/// A value as it is to be read: as written when it is written in the system asked for, and in the other system.
pub(super) fn shown(setting: &Setting, value: &SettingValue, units: UnitSystem, words: &Words) -> Value {
    match (&setting.kind, setting.info()) {
        (SettingKind::Number { .. }, Some(info)) => {
            let other = format(info, value.si, numbers::other(units));
            let same_in_both = format(info, value.si, units) == other;
            let written = converted(info, &value.text, value.si, units);
            let written = written.unwrap_or_else(|| minus_signs(&value.text));
            // Zero is zero in any unit.
            let bare = same_in_both || value.si == 0.0;
            Value { written, other: if bare { String::new() } else { other } }
        }
        (SettingKind::Choice(_), _) => {
            Value { written: words.term(&value.text).to_owned(), other: String::new() }
        }
        _ => Value { written: minus_signs(&value.text), other: String::new() },
    }
}

fn group(group: setting::Group) -> Group {
    match group {
        setting::Group::Air => Group::Air,
        setting::Group::Bearing => Group::Bearing,
        setting::Group::Pin => Group::Pin,
        setting::Group::Foam => Group::Foam,
        setting::Group::Weight | setting::Group::Damper | setting::Group::Brush => Group::Other,
        setting::Group::Line | setting::Group::Vehicle => Group::Line,
    }
}

/// A decimal without zeros at its end.
fn without_zeros(text: &str) -> String {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text.to_owned()
    }
}

fn reach(reach: &tolerance::Reach, setting: &Setting, units: UnitSystem, words: &Words) -> Reach {
    let amount = match setting.info() {
        Some(info) => {
            let unit = unit_label(info, units);
            let decimals = if units == UnitSystem::Us { info.us.decimals } else { info.si.decimals };
            // Rounded down: a tolerance is never larger than what was found.
            let factor = info.unit(unit).map_or(1.0, |u| u.factor.to_f64());
            let grain = factor
                * std::f64::consts::PI.powi(info.unit(unit).map_or(0, |u| i32::from(u.pi_power)))
                * 10_f64.powi(-(decimals as i32));
            let down = (reach.distance_si / grain + 1e-6).floor() * grain;
            without_zeros(&number_in(info, down, unit, decimals))
        }
        None => format!("{:.0}", reach.distance_si),
    };
    match &reach.turn {
        Turn::Verdict(line) => Reach { amount, turns: Some(criteria::label(line, words)) },
        Turn::Impossible(_) => Reach { amount, turns: Some(words.impossible.to_owned()) },
        Turn::RangeEnd => Reach { amount, turns: None },
        Turn::Nothing => Reach { amount: format!("≥{amount}"), turns: None },
    }
}

fn rows(request: &SheetRequest<'_>, settings: &[Setting], words: &Words) -> Vec<SettingRow> {
    let found_settings = request.found.map(|f| f.scenario.settings()).unwrap_or_default();
    let mut rows: Vec<(String, SettingRow)> = Vec::new();
    for setting in settings.iter().filter(|s| s.sides.len() < 2) {
        let Some(value) = setting.value(request.left.scenario) else { continue };
        let before = request.found.and_then(|found| {
            let same = found_settings.iter().find(|s| s.path == setting.path)?;
            Some((same, same.value(found.scenario)?))
        });
        let tolerance = request.tolerances.iter().find(|t| t.path == setting.path);
        let found = before.as_ref().map(|(s, v)| shown(s, v, request.units, words));
        let left = shown(setting, &value, request.units, words);
        let cell = SideCell {
            changed: before.as_ref().is_some_and(|(_, v)| differs(setting, v, &value)),
            found,
            left,
            down: tolerance.map(|t| reach(&t.down, setting, request.units, words)),
            up: tolerance.map(|t| reach(&t.up, setting, request.units, words)),
            unit: setting.info().map_or("", |info| unit_label(info, request.units)).to_owned(),
        };
        let (side, key) = unit_and_rest(&setting.path);
        let place = rows.iter().position(|(k, _)| k == key);
        let row = match place {
            Some(i) => &mut rows[i].1,
            None => {
                let label = words.counted_term(&setting.label);
                let row = SettingRow {
                    label,
                    group: group(setting.group),
                    sides: [None, None],
                    in_field: setting.in_field,
                    whole: None,
                };
                rows.push((key.to_owned(), row));
                let last = rows.len() - 1;
                &mut rows[last].1
            }
        };
        match side {
            Some(side) => row.sides[side.index()] = Some(cell),
            None => row.whole = Some(cell),
        }
    }
    let mut rows: Vec<SettingRow> = rows.into_iter().map(|(_, row)| row).collect();
    rows.sort_by_key(|row| row.group);
    rows
}

fn differs(setting: &Setting, before: &SettingValue, after: &SettingValue) -> bool {
    match setting.kind {
        SettingKind::Choice(_) => before.text != after.text,
        _ => (before.si - after.si).abs() > 1e-9 * before.si.abs().max(after.si.abs()),
    }
}

/// Whether a change goes back to the standard.
fn restores(setting: &Setting, before: &SettingValue, after: &SettingValue) -> bool {
    let number = |text: &str| setting.number(text).ok();
    match &setting.standard {
        Some(Standard::Value(text)) => {
            number(text).is_some_and(|s| (after.si - s).abs() < 1e-9 && (before.si - s).abs() > 1e-9)
        }
        Some(Standard::Within(low, high)) => match (number(low), number(high)) {
            (Some(low), Some(high)) => {
                let inside = |v: &SettingValue| v.si >= low - 1e-9 && v.si <= high + 1e-9;
                inside(after) && !inside(before)
            }
            _ => false,
        },
        None => false,
    }
}

fn changed_steps(request: &SheetRequest<'_>, settings: &[Setting], words: &Words) -> Vec<super::Step> {
    let Some(found) = request.found else { return Vec::new() };
    let found_settings = found.scenario.settings();
    let mut changes = Vec::new();
    for setting in settings.iter().filter(|s| s.sides.len() < 2) {
        let Some(before_setting) = found_settings.iter().find(|s| s.path == setting.path) else { continue };
        let (Some(before), Some(after)) =
            (before_setting.value(found.scenario), setting.value(request.left.scenario))
        else {
            continue;
        };
        if !differs(setting, &before, &after) {
            continue;
        }
        let (side, key) = unit_and_rest(&setting.path);
        let said = |value: &SettingValue| {
            let shown = shown(setting, value, request.units, words);
            if shown.other.is_empty() {
                shown.written
            } else {
                format!("{} ({})", shown.written, shown.other)
            }
        };
        let middle_hole = match (&setting.standard, &setting.kind) {
            (Some(Standard::Value(text)), SettingKind::Whole { .. }) => text.parse().ok(),
            _ => None,
        };
        changes.push(Change {
            key: key.to_owned(),
            label: words.counted_term(&setting.label),
            side,
            group: if restores(setting, &before, &after) { Group::Standard } else { group(setting.group) },
            from: said(&before),
            to: said(&after),
            from_si: before.si,
            to_si: after.si,
            middle_hole,
        });
    }
    let gaps: Vec<Option<(String, String)>> =
        request.left.pass.setup.units.iter().map(|unit| gaps(request, settings, unit.side, words)).collect();
    let mut pairs = Vec::new();
    for (i, unit) in request.left.pass.setup.units.iter().enumerate() {
        if let Some(before) = found.pass.setup.units.iter().find(|u| u.side == unit.side) {
            pairs.push(UnitPair {
                found: before,
                left: unit,
                gaps: gaps[i].as_ref().map(|(a, b)| (a.as_str(), b.as_str())),
                rest_from_centreline_m: unit.brush_center_m(request.left.pass.record.units[i].rest_phi_rad).y,
            });
        }
    }
    steps(&changes, &pairs, request.units, words)
}

/// Gaps at the upper and lower adjusting screw of a unit, when the set-up to leave is written by tape.
fn gaps(
    request: &SheetRequest<'_>,
    settings: &[Setting],
    side: Side,
    words: &Words,
) -> Option<(String, String)> {
    let gap = |name: &str| {
        let path = format!("{}.bearings.{name}_gap", side.name());
        let setting = settings.iter().find(|s| s.path == path)?;
        let value = shown(setting, &setting.value(request.left.scenario)?, request.units, words);
        Some(if value.other.is_empty() {
            value.written
        } else {
            format!("{} ({})", value.written, value.other)
        })
    };
    Some((gap("upper")?, gap("lower")?))
}
