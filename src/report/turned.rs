//! What was turned between two set-ups, said from the table of settings.

use super::sheet::{Language, value_said};
use crate::arm::Side;
use crate::drawing::words::offset_text;
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, Setting, SettingKind, SettingValue, unit_and_rest};
use crate::units::{UnitSystem, minus_signs};

/// A setting that two set-ups differ by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turned {
    /// Its path; `both.…` where both units were turned alike.
    pub path: String,
    /// The unit, where only one was turned, or the two differently.
    pub side: Option<Side>,
    /// What it is, without what is said about its sign or its choices.
    pub label: String,
    /// What it belongs to.
    pub group: Group,
    /// Value before, as it is to be read.
    pub from: String,
    /// Value after.
    pub to: String,
    /// By how much, with its sign: for an offset of a bearing, which is set by what is added to it.
    pub by: Option<String>,
}

impl Turned {
    /// «left: lower bearing off plumb +1/8 in», «regulator of the cap end 7 → 8 psi».
    pub fn text(&self) -> String {
        let side = self.side.map_or(String::new(), |side| format!("{}: ", side.name()));
        let what = self.by.clone().unwrap_or_else(|| arrow(&self.from, &self.to));
        format!("{side}{} {what}", self.label)
    }
}

/// «7 → 8 psi»: from one value to another, the unit said once where it is the same.
pub fn arrow(from: &str, to: &str) -> String {
    match (from.split_once(' '), to.split_once(' ')) {
        (Some((number, unit)), Some((_, same)))
            if unit == same && !unit.contains(|c: char| c.is_ascii_digit()) =>
        {
            format!("{number} → {to}")
        }
        _ => format!("{from} → {to}"),
    }
}

/// A label without what is said about its sign or its choices.
pub fn short_label(label: &str) -> &str {
    label.split([',', ':']).next().unwrap_or(label)
}

/// Every setting that differs, in the order of the trade. Both units turned alike are one.
pub fn turned(before: &Scenario, after: &Scenario, units: UnitSystem) -> Vec<Turned> {
    turned_of(after.settings(), before, after, units)
}

/// As [`turned`], of the settings with these paths alone: for two set-ups that are known to differ in no others.
pub fn turned_among<'p>(
    paths: impl IntoIterator<Item = &'p String>,
    before: &Scenario,
    after: &Scenario,
    units: UnitSystem,
) -> Vec<Turned> {
    let settings = paths.into_iter().filter_map(|path| after.setting(path).ok()).collect();
    turned_of(settings, before, after, units)
}

fn turned_of(
    mut settings: Vec<Setting>,
    before: &Scenario,
    after: &Scenario,
    units: UnitSystem,
) -> Vec<Turned> {
    settings.retain(|setting| setting.sides.len() < 2);
    settings.sort_by_key(|setting| (!setting.in_field, setting.group));
    let mut found: Vec<Turned> = Vec::new();
    for setting in &settings {
        let Some((old, new)) = values(setting, before, after) else { continue };
        let (side, rest) = unit_and_rest(&setting.path);
        let said = |value: &SettingValue| value_said(setting, value, units, Language::English).written;
        let own = Turned {
            path: setting.path.clone(),
            side,
            label: short_label(&setting.label).to_owned(),
            group: setting.group,
            from: said(&old),
            to: said(&new),
            by: difference(setting, &old, &new, units),
        };
        let twin = found.iter_mut().find(|other| {
            unit_and_rest(&other.path).1 == rest
                && other.side != side
                && (&other.from, &other.to, &other.by) == (&own.from, &own.to, &own.by)
        });
        match twin {
            Some(other) if side.is_some() => {
                (other.side, other.path) = (None, format!("both.{rest}"));
            }
            _ => found.push(own),
        }
    }
    found
}

/// The two values, where they differ.
fn values(setting: &Setting, before: &Scenario, after: &Scenario) -> Option<(SettingValue, SettingValue)> {
    let new = setting.value(after)?;
    let old = before.setting(&setting.path).ok()?.value(before)?;
    let same = match setting.kind {
        SettingKind::Choice(_) => old.text == new.text,
        _ => (old.si - new.si).abs() <= 1e-12 * old.si.abs().max(new.si.abs()),
    };
    (!same).then_some((old, new))
}

fn difference(
    setting: &Setting,
    old: &SettingValue,
    new: &SettingValue,
    units: UnitSystem,
) -> Option<String> {
    (setting.group == Group::Bearing).then(|| {
        let by_m = new.si - old.si;
        let sign = if by_m > 0.0 { "+" } else { "" };
        minus_signs(&format!("{sign}{}", offset_text(by_m, units)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lane() -> Scenario {
        let text = include_str!("../../scenarios/ferry-return.ron");
        Scenario::read_alone(text, "lane.ron").expect("the demo scenario is good")
    }

    fn texts(set: &[(&str, &str)], units: UnitSystem) -> Vec<String> {
        let after = lane().with(set).expect("holds");
        turned(&lane(), &after, units).iter().map(Turned::text).collect()
    }

    #[test]
    fn verif_what_was_turned_is_said_once_for_both_and_in_the_order_of_the_trade() {
        let us = UnitSystem::Us;
        assert!(texts(&[], us).is_empty());
        let path = "left.air.cap".to_owned();
        let after = lane().with(&[("both.air.cap", "8 psi")]).expect("holds");
        let among = turned_among([&path], &lane(), &after, us);
        assert_eq!(
            among.iter().map(Turned::text).collect::<Vec<_>>(),
            ["left: regulator of the cap end 7 → 8 psi"]
        );
        let set = [
            ("line.throughput", "120 veh/h"),
            ("both.air.cap", "8 psi"),
            ("left.bearings.lower_offset", "-1/8 in"),
        ];
        assert_eq!(
            texts(&set, us),
            [
                "regulator of the cap end 7 → 8 psi",
                "left: lower bearing off plumb −1/8 in",
                "throughput of the line 140 → 120 veh/h"
            ]
        );
        // Units turned differently are two.
        let apart = [("left.stop_pin.hole", "1"), ("right.stop_pin.hole", "3")];
        assert_eq!(
            texts(&apart, us),
            ["left: hole of the stop pin 2 → 1", "right: hole of the stop pin 2 → 3"]
        );
        // 1/8 in is 3.175 mm; lengths are shown to the tenth.
        assert_eq!(
            texts(&[("both.bearings.lower_offset", "1/8 in")], UnitSystem::Si),
            ["lower bearing off plumb +3.2 mm"]
        );
        let after = lane().with(&[("both.bearings.lower_offset", "1/8 in")]).expect("holds");
        assert_eq!(turned(&lane(), &after, us)[0].path, "both.bearings.lower_offset");
    }

    #[test]
    fn verif_an_arrow_says_the_unit_once_where_it_is_the_same() {
        assert_eq!(arrow("7 psi", "8 psi"), "7 → 8 psi");
        assert_eq!(arrow("0.1 lbf s/in", "1 lbf s/in"), "0.1 → 1 lbf s/in");
        assert_eq!(arrow("2", "3"), "2 → 3");
        assert_eq!(arrow("4.5 in", "3 ft 0.3 in"), "4.5 in → 3 ft 0.3 in");
        assert_eq!(arrow("1 ft 2 in", "3 ft 2 in"), "1 ft 2 in → 3 ft 2 in");
    }
}
