//! Everything that can be set in a scenario, as text, data and table: path, value, unit, range, field step, group.

use super::csv_text::cell;
use super::words::wrap;
use super::{Ink, ScenarioDocument, TEXT_WIDTH};
use crate::scenario::Scenario;
use crate::scenario::setting::{Reading, Setting, SettingKind, Standard};
use serde::{Deserialize, Serialize};

/// Name and version of the document.
pub const SETTINGS_SCHEMA: &str = "brusharm/settings/1";

/// All settings of a scenario.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SettingsDocument {
    /// `brusharm/settings/1`.
    pub schema: String,
    /// Version of the program.
    pub brusharm: String,
    /// What the scenario is and what was changed for this run.
    pub scenario: ScenarioDocument,
    /// Line, vehicle, left, right, both.
    pub settings: Vec<SettingDocument>,
}

/// One setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SettingDocument {
    /// Its path, as `--set` takes it.
    pub path: String,
    /// What it is, in trade words.
    pub label: String,
    /// What it belongs to: air, bearing, stop pin …
    pub group: String,
    /// `left`, `right`, both or none.
    pub sides: Vec<String>,
    /// Whether a technician can move it in the field.
    pub in_field: bool,
    /// `number`, `whole` or `choice`.
    pub kind: String,
    /// The value as written; null for a pair whose sides differ.
    pub value: Option<String>,
    /// The value in SI (a choice: its place in the list, from 0); null for a pair whose sides differ.
    pub value_si: Option<f64>,
    /// SI unit; empty for plain numbers and choices.
    pub unit: String,
    /// Lowest value in SI; null for a choice.
    pub low_si: Option<f64>,
    /// Highest value in SI; null for a choice.
    pub high_si: Option<f64>,
    /// What is allowed, as written.
    pub range: String,
    /// What limits it besides, which depends on other settings; null where nothing does.
    #[serde(default)]
    pub also_limited: Option<String>,
    /// One field step as written; null for a choice.
    pub step: Option<String>,
    /// One field step in SI; null for a choice.
    pub step_si: Option<f64>,
    /// The words of a choice; null otherwise.
    pub choices: Option<Vec<String>>,
    /// The standard set-up, as written; null when there is none.
    pub standard: Option<String>,
}

impl SettingDocument {
    /// One setting of a scenario.
    pub fn new(scenario: &Scenario, setting: &Setting) -> SettingDocument {
        let reading = setting.read(scenario);
        let value = match &reading {
            Some(Reading::Value(value)) => Some(value),
            _ => None,
        };
        let choices = match &setting.kind {
            SettingKind::Choice(words) => Some(words.clone()),
            _ => None,
        };
        let (low, high) = setting.range_si();
        let numeric = choices.is_none();
        SettingDocument {
            path: setting.path.clone(),
            label: setting.label.clone(),
            group: setting.group.name().to_owned(),
            sides: setting.sides.iter().map(|side| side.name().to_owned()).collect(),
            in_field: setting.in_field,
            kind: match setting.kind {
                SettingKind::Number { .. } => "number",
                SettingKind::Whole { .. } => "whole",
                SettingKind::Choice(_) => "choice",
            }
            .to_owned(),
            value: value.map(|v| v.text.clone()),
            value_si: value.map(|v| v.si),
            unit: setting.info().map_or("", |info| info.si_unit).to_owned(),
            low_si: numeric.then_some(low),
            high_si: numeric.then_some(high),
            range: setting.range_text(),
            also_limited: setting.also_limited(scenario),
            step: setting.step_si().map(|_| setting.step_text()),
            step_si: setting.step_si(),
            choices,
            standard: setting.standard.as_ref().map(|standard| match standard {
                Standard::Value(value) => value.clone(),
                Standard::Within(low, high) => format!("{low} to {high}"),
            }),
        }
    }

    fn is_pair(&self) -> bool {
        self.sides.len() == 2
    }
}

/// Every setting of a scenario as data.
pub fn setting_documents(scenario: &Scenario) -> Vec<SettingDocument> {
    scenario.settings().iter().map(|setting| SettingDocument::new(scenario, setting)).collect()
}

impl SettingsDocument {
    /// All settings of a scenario. `scenario_words` says what it is.
    pub fn new(scenario: &Scenario, scenario_words: ScenarioDocument) -> SettingsDocument {
        SettingsDocument {
            schema: SETTINGS_SCHEMA.to_owned(),
            brusharm: env!("CARGO_PKG_VERSION").to_owned(),
            scenario: scenario_words,
            settings: setting_documents(scenario),
        }
    }

    /// The settings for a person: values as written.
    pub fn text(&self, ink: Ink) -> String {
        let mut out = wrap(&self.scenario.title, TEXT_WIDTH, 0);
        out.push_str(&wrap(
            "Change any of these for one run with --set PATH=VALUE. A number alone is taken in the unit of its step. PATH+=STEP and PATH-=STEP \
             step from where it stands; so does a sign in front of the value (stop_pin.hole=+1), except where the setting has \
             values below zero: there a minus belongs to the value. What was measured of a unit can be set where the file does not state \
             it too: both.found.push=80% for softer media, found.radius, found.friction, found.arm_mass, found.seat_shift.",
            TEXT_WIDTH,
            0,
        ));
        for set in &self.scenario.set {
            out.push_str(&wrap(&format!("Set for this run: {} = {}", set.path, set.value), TEXT_WIDTH, 2));
        }
        let mut part = "";
        for setting in &self.settings {
            let prefix = setting.path.split('.').next().unwrap_or("");
            if prefix != part {
                part = prefix;
                let title = match part {
                    "line" => "The line",
                    "vehicle" => "The measured vehicle",
                    "left" => "Left unit",
                    "right" => "Right unit",
                    "foam" => "The foam station",
                    _ => "Both units at once",
                };
                out.push_str(&format!("\n{}\n", ink.strong(title)));
            }
            let value = setting.value.as_deref().unwrap_or("(the sides differ)");
            // The pair repeats what stands under left and right: its path and value are enough.
            if setting.is_pair() {
                out.push_str(&wrap(&format!("{} = {value}", setting.path), TEXT_WIDTH, 4));
                continue;
            }
            let mut more = vec![setting.range.clone()];
            more.extend(setting.also_limited.clone());
            more.extend(setting.step.as_ref().map(|step| format!("step {step}")));
            more.extend(setting.standard.as_ref().map(|standard| format!("standard {standard}")));
            let field = if setting.in_field { "" } else { "; not in the field" };
            out.push_str(&wrap(&format!("{} = {value}", setting.path), TEXT_WIDTH, 4));
            let text = format!("    {}: {} ({}{field})", setting.group, setting.label, more.join("; "));
            out.push_str("    ");
            out.push_str(&wrap(&text, TEXT_WIDTH - 4, 6));
        }
        out
    }

    /// The settings as CSV: one a row, SI; what does not exist is empty.
    pub fn csv(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let number = |x: Option<f64>| x.map_or_else(String::new, |x| x.to_string());
        // Writing to memory fails only when rows differ in length.
        let head = [
            "path",
            "label",
            "group",
            "value",
            "value_si",
            "unit",
            "low_si",
            "high_si",
            "step",
            "step_si",
            "standard",
            "in_field",
            "choices",
            "also_limited",
        ];
        let written = writer.write_record(head);
        debug_assert!(written.is_ok());
        for s in &self.settings {
            // A quantity is a number with its unit, checked as such: -1/8 in stays as it is written.
            let value = s.value.as_deref().unwrap_or("");
            let value = if s.kind == "number" { value.into() } else { cell(value) };
            let choices = s.choices.as_ref().map_or_else(String::new, |words| words.join(" | "));
            let written = writer.write_record([
                s.path.as_str(),
                &s.label,
                &s.group,
                &value,
                &number(s.value_si),
                &s.unit,
                &number(s.low_si),
                &number(s.high_si),
                s.step.as_deref().unwrap_or(""),
                &number(s.step_si),
                s.standard.as_deref().unwrap_or(""),
                if s.in_field { "yes" } else { "no" },
                &cell(&choices),
                s.also_limited.as_deref().unwrap_or(""),
            ]);
            debug_assert!(written.is_ok());
        }
        String::from_utf8_lossy(&writer.into_inner().unwrap_or_default()).into_owned()
    }
}
