//! Finds a setting by its path, and says why there is none.

use super::table::{Scope, TABLE};
use super::{Reading, Setting, SettingValue, Spot, Target, all};
use crate::arm::Side;
use crate::error::{Diagnostic, DiagnosticKind, Refusal};
use crate::scenario::Scenario;

/// Finds a setting by path or alias. `text` is the value it was to get, for the message.
pub(in crate::scenario) fn find(
    scenario: &Scenario,
    path: &str,
    text: &str,
) -> Result<Setting, Box<Diagnostic>> {
    let path = path.trim();
    let full = match path {
        "throughput" | "conveyor_speed" | "gap" => format!("line.{path}"),
        _ => path.to_owned(),
    };
    if let Some(setting) = quick(scenario, &full) {
        return Ok(setting);
    }
    let settings = all(scenario);
    let refusal = match absent(scenario, &full) {
        Some(refusal) => refusal,
        None => {
            let near = near_paths(&full, &settings);
            Refusal {
                problem: "there is no such setting".to_owned(),
                given: if path.is_empty() { "nothing".to_owned() } else { path.to_owned() },
                allowed: if near.is_empty() {
                    "any path of the list of settings".to_owned()
                } else {
                    near.join(", ")
                },
                advice: match near.first() {
                    Some(likely) => format!("write {likely} if that is what you mean"),
                    None => "list the settings of the scenario to see every path".to_owned(),
                },
            }
        }
    };
    let shown: String = path.chars().take(80).collect();
    let source = format!("{shown} = {text}");
    let range = 0..shown.len();
    let kind = DiagnosticKind::UnknownField;
    Err(Diagnostic::new(kind, crate::scenario::check::CHANGED, &source, Some(range), &shown, refusal).into())
}

impl Scenario {
    /// Finds a setting by path or alias.
    ///
    /// # Errors
    /// A [`Diagnostic`] with the nearest paths.
    pub fn setting(&self, path: &str) -> Result<Setting, Box<Diagnostic>> {
        find(self, path, "…")
    }
}

/// Splits a path into the row it means and its target, without building the whole table.
fn quick(scenario: &Scenario, full: &str) -> Option<Setting> {
    let (prefix, rest) = full.split_once('.')?;
    let file = scenario.file();
    let there = |side| file.unit(side).map(|_| side);
    let scope = Scope::from_word(prefix)?;
    let sides: Vec<Side> = match scope {
        Scope::Line | Scope::Vehicle | Scope::Foam => vec![Side::Left],
        // One side by its name, or both.
        Scope::Unit => {
            let named = Side::BOTH.into_iter().find(|side| side.name() == prefix);
            named
                .map_or(Side::BOTH.to_vec(), |side| vec![side])
                .into_iter()
                .map(there)
                .collect::<Option<_>>()?
        }
    };
    let (row, index) =
        TABLE.iter().filter(|row| row.scope == scope).find_map(|row| Some((row, row.index_of(rest)?)))?;
    let spot = |side| Spot { side, index };
    let target = match sides.as_slice() {
        [left, right] => Target::Pair([spot(*left), spot(*right)]),
        sides => Target::One(spot(sides.first().copied()?)),
    };
    Setting::new(scenario, row, target, prefix)
}

/// Why a path that is in the table is not in this scenario.
fn absent(scenario: &Scenario, full: &str) -> Option<Refusal> {
    let (prefix, rest) = full.split_once('.')?;
    let scope = Scope::from_word(prefix)?;
    TABLE.iter().find(|row| row.scope == scope && row.index_of(rest).is_some())?;
    let file = scenario.file();
    let list = "list the settings of the scenario to see what there is";
    let own = |advice: &str| {
        (format!("{list}, or add {advice} to the file"), "settings of what is in the scenario".to_owned())
    };
    let instead = |path: &str, advice: &str| (format!("set {path}, or {advice}"), path.to_owned());
    let (problem, (advice, allowed)) = match (prefix, rest) {
        ("left", _) if file.left.is_none() => {
            ("the scenario has no left unit", own("the set-up of a left unit"))
        }
        ("right", _) if file.right.is_none() => {
            ("the scenario has no right unit", own("the set-up of a right unit"))
        }
        ("both", _) if file.left.is_none() || file.right.is_none() => {
            ("the scenario has one unit", own("the set-up of the other unit"))
        }
        ("foam", _) if file.foam.is_none() => ("the scenario has no foam station", own("the part foam")),
        (_, "brush.friction") => (
            "the foam station sets the friction here",
            instead(
                "foam.metering_bore, foam.liquid_regulator or foam.air_regulator",
                "state the friction in the file",
            ),
        ),
        ("line", "throughput") => (
            "the scenario gives the conveyor speed, which decides the throughput",
            instead("line.conveyor_speed", "write throughput in its place in the file"),
        ),
        ("line", "conveyor_speed") => (
            "the scenario gives the throughput, which decides the conveyor speed",
            instead("line.throughput", "write conveyor_speed in its place in the file"),
        ),
        (_, rest) if rest.contains("offset") => (
            "the bearings are given by tape-measured gaps, with the upper one as reference",
            instead(
                &format!("{prefix}.bearings.lower_offset"),
                "write offsets in place of the gaps in the file",
            ),
        ),
        (_, rest) if rest.contains("gap") => (
            "the bearings are given by offsets",
            instead(
                &format!("{prefix}.bearings.lower_offset"),
                "write gaps in place of the offsets in the file",
            ),
        ),
        (_, rest) if rest.starts_with("dampers") => {
            ("there is no such damper; they are counted from 0", own("the damper"))
        }
        (_, rest) if rest.contains("schedule") => {
            ("there is no such valve step; they are counted from 0", own("the step"))
        }
        _ => ("the scenario has nothing to set there", own("the part")),
    };
    Some(Refusal { problem: problem.to_owned(), given: full.to_owned(), allowed, advice })
}

fn near_paths(given: &str, settings: &[Setting]) -> Vec<String> {
    let mut near = Vec::new();
    let mut rest: Vec<&str> = settings.iter().map(|setting| setting.path.as_str()).collect();
    while near.len() < 3 {
        let Some(likely) = crate::error::nearest(given, rest.iter().copied()) else { break };
        near.push(likely.to_owned());
        rest.retain(|path| *path != likely);
    }
    // The right name, or nearly so, on the wrong side or without it.
    let tail = |path: &str| path.rsplit('.').next().unwrap_or_default().to_owned();
    let names: Vec<String> = settings.iter().map(|setting| tail(&setting.path)).collect();
    let given = tail(given);
    let last = crate::error::nearest(&given, names.iter().map(String::as_str)).unwrap_or(&given);
    for setting in settings {
        if near.len() < 3 && setting.path.rsplit('.').next() == Some(last) && !near.contains(&setting.path) {
            near.push(setting.path.clone());
        }
    }
    near
}

/// A change of a foam file: the place in it and the new value as RON, for a path of the table. Whether the value can be read
/// shows when the file is.
pub(in crate::scenario) fn foam_file_edit(path: &str, value: &str) -> Result<(String, String), Refusal> {
    let known: Vec<String> = TABLE
        .iter()
        .filter(|row| row.scope == Scope::Foam)
        .map(|row| format!("foam.{}", row.path))
        .chain(["line.throughput".to_owned(), "line.conveyor_speed".to_owned()])
        .collect();
    if known.iter().any(|known| known == path) {
        return Ok((path.to_owned(), crate::scenario::written::ron_text(value)));
    }
    let near = crate::error::nearest(path, known.iter().map(String::as_str));
    Err(Refusal {
        problem: "there is no such setting of a foam file".to_owned(),
        given: path.chars().take(80).collect(),
        allowed: known.join(", "),
        advice: match near {
            Some(likely) => format!("write {likely} if that is what you mean"),
            None => "use one of these paths".to_owned(),
        },
    })
}

/// Path of a setting without its unit, and the unit; of a setting of the line, no unit.
pub fn unit_and_rest(path: &str) -> (Option<Side>, &str) {
    for side in Side::BOTH {
        if let Some(rest) = path.strip_prefix(side.name()).and_then(|rest| rest.strip_prefix('.')) {
            return (Some(side), rest);
        }
    }
    (None, path)
}

impl Setting {
    /// What stands there; `None` where the sides differ.
    pub fn value(&self, scenario: &Scenario) -> Option<SettingValue> {
        match self.read(scenario)? {
            Reading::Value(value) => Some(value),
            Reading::Differs { .. } => None,
        }
    }
}
