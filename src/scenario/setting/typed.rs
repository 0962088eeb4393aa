//! Changes as somebody types them: a value, or a step from where the setting stands.
//!
//! - `PATH+=STEP` and `PATH-=STEP` are steps, whatever the setting.
//! - `PATH=+STEP` and `PATH=-STEP` are steps too, where the setting has no values below zero: a sign can then mean nothing else.
//! - Where it has such values, a minus belongs to the value (`lower_offset=-1/8 in`), and a plus, which could mean either, is refused with
//!   both ways to write it.
//!
//! A step may leave out its unit as a value may: `stop_pin.hole=+1`, `air.cap=-1`. It is taken from where the setting stands after the
//! changes before it, and [`TypedChange::stepped`] says from where to where. On an axis of a sweep there are values only.

use super::steps::rounded;
use super::table::{Row, Scope, TABLE};
use super::{Setting, SettingKind, SettingValue, Target, value};
use crate::arm::Side;
use crate::error::{DiagnosticKind, Diagnostics, Refusal};
use crate::scenario::Scenario;
use crate::scenario::check::Change;
use crate::scenario::knob::RowKind;
use crate::scenario::source_map::SourceMap;
use crate::units::{DimensionInfo, read, write_like};

/// A change with its value, whether it was typed as a value or as a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypedChange {
    /// Path of the setting.
    pub path: String,
    /// Its new value, with its unit.
    pub value: String,
    /// For a step, what came of it: «2 → 3 (one step up)».
    pub stepped: Option<String>,
}

impl TypedChange {
    fn as_it_is(path: &str, value: String) -> TypedChange {
        TypedChange { path: path.to_owned(), value, stepped: None }
    }

    /// The change for [`Scenario::with`].
    pub fn pair(&self) -> (String, String) {
        (self.path.clone(), self.value.clone())
    }

    /// In words: «left.stop_pin.hole = 3», for a step «left.stop_pin.hole: 2 → 3 (one step up)».
    pub fn said(&self) -> String {
        match &self.stepped {
            Some(stepped) => format!("{}: {stepped}", self.path),
            None => format!("{} = {}", self.path, self.value),
        }
    }
}

/// `PATH=VALUE`, `PATH+=STEP` or `PATH-=STEP` in two; the sign of a step goes to the second part, as `+=STEP`.
pub fn split_typed(text: &str) -> Option<(String, String)> {
    let (path, given) = text.split_once('=')?;
    let (path, given) = (path.trim(), given.trim());
    let stepped = |rest: &str, sign: char| (rest.trim_end().to_owned(), format!("{sign}={given}"));
    let (path, value) = match path.strip_suffix('+') {
        Some(rest) => stepped(rest, '+'),
        None => match path.strip_suffix(['-', '−', '–']) {
            Some(rest) => stepped(rest, '-'),
            None => (path.to_owned(), given.to_owned()),
        },
    };
    (!path.is_empty() && !given.is_empty()).then_some((path, value))
}

/// What a text asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Asked<'t> {
    Value,
    Step { up: bool, by: &'t str },
}

/// A sign in front, and what follows it. `certain` where `+=` or `-=` says that a step is meant.
fn signed(text: &str) -> Option<(bool, bool, &str)> {
    let up = match text.chars().next()? {
        '+' => true,
        '-' | '−' | '–' => false,
        _ => return None,
    };
    let rest = text.trim_start_matches(['+', '-', '−', '–']);
    let one_sign = text.chars().count() == rest.chars().count() + 1;
    if !one_sign {
        return None;
    }
    Some(match rest.strip_prefix('=') {
        Some(by) => (up, true, by.trim()),
        None => (up, false, rest.trim()),
    })
}

/// What a text asks of a setting; `below_zero` where it has values below zero.
fn asked<'t>(path: &str, text: &'t str, below_zero: bool) -> Result<Asked<'t>, Refusal> {
    match signed(text.trim()) {
        None => Ok(Asked::Value),
        Some((up, true, by)) => Ok(Asked::Step { up, by }),
        Some((up, false, by)) if !below_zero => Ok(Asked::Step { up, by }),
        Some((false, false, _)) => Ok(Asked::Value),
        Some((true, false, by)) => Err(Refusal {
            problem: "a plus could mean a value or a step here".to_owned(),
            given: text.trim().to_owned(),
            allowed: "a value, or a step from where it stands".to_owned(),
            advice: format!("write {path}={by} for the value, {path}+={by} for the step"),
        }),
    }
}

fn no_step(problem: &str, given: &str, allowed: &str) -> Refusal {
    Refusal {
        problem: problem.to_owned(),
        given: given.to_owned(),
        allowed: allowed.to_owned(),
        advice: "write the value itself".to_owned(),
    }
}

/// How far a step goes, in SI; a number alone is in the unit of the field step, unless its unit has to be said.
fn distance_si(info: &'static DimensionInfo, by: &str, step: &str, alone: bool) -> Result<f64, Refusal> {
    let text = if alone { value::spelled(info, by, step) } else { by.to_owned() };
    let reading = read(info, &text).map_err(|error| error.refusal())?;
    // A difference knows no zero point: 10 °F are 10 steps of a degree.
    let si = reading.si - reading.unit.shift.to_f64();
    if reading.absolute_pa.is_some() || si.is_nan() || si <= 0.0 {
        return Err(no_step("this is no step", by, "a size above 0, such as 1 psi"));
    }
    Ok(si)
}

/// «one step up», «3 steps down», «up by 1/2 psi».
fn words(steps: f64, up: bool, by: &str) -> String {
    let way = if up { "up" } else { "down" };
    let whole = steps.round();
    match whole {
        _ if (steps - whole).abs() > 1e-9 || whole < 1.0 => format!("{way} by {by}"),
        1.0 => format!("one step {way}"),
        many => format!("{many} steps {way}"),
    }
}

impl Setting {
    /// Whether a leading minus is part of its values, as they are written: of a temperature in °F it is.
    fn below_zero(&self) -> bool {
        matches!(&self.kind, SettingKind::Number { limits, .. } if limits.is_below_zero())
    }

    fn asked<'t>(&self, text: &'t str) -> Result<Asked<'t>, Refusal> {
        if let SettingKind::Choice(words) = &self.kind {
            // A name may begin with a sign.
            let certain = signed(text.trim()).is_some_and(|(_, certain, _)| certain);
            if words.iter().any(|word| word == text.trim()) || !certain && !self.is_ladder() {
                return Ok(Asked::Value);
            }
        }
        asked(&self.path, text, self.below_zero())
    }

    /// Refuses a signed text where only values are taken; a minus of a setting with values below zero is one.
    ///
    /// # Errors
    /// [`Refusal`] that says how to write a value.
    pub fn value_only(&self, text: &str) -> Result<(), Refusal> {
        match signed(text.trim()) {
            Some((_, certain, _))
                if certain || !self.below_zero() && !matches!(self.kind, SettingKind::Choice(_)) =>
            {
                Err(no_step("values are wanted here, not steps", text.trim(), &self.range_text()))
            }
            _ => Ok(()),
        }
    }

    /// The changes that a step makes, from where the setting stands in `on`.
    fn stepped(&self, on: &Scenario, up: bool, by: &str, alone: bool) -> Result<Vec<TypedChange>, Refusal> {
        let (distance, step_si) = match &self.kind {
            SettingKind::Number { limits, step } => {
                (distance_si(limits.info, by, step, alone)?, self.step_si().unwrap_or(1.0))
            }
            SettingKind::Choice(_) if !self.is_ladder() => {
                return Err(no_step("this setting has no steps", by, &self.range_text()));
            }
            _ => match value::whole(by, "a whole number of steps")? {
                0 => return Err(no_step("this is no step", by, "1 or more")),
                count => (f64::from(count), 1.0),
            },
        };
        let get = |spot| self.row.get(on.file(), spot).map(|value| self.indexed(value));
        let one = |path: String, now: Option<SettingValue>| {
            let now = now.ok_or_else(super::access::not_there)?;
            let si = rounded(now.si + if up { distance } else { -distance }, step_si);
            let value = self.text_like(&now.text, si).map_err(|refusal| Refusal {
                problem: format!("a step from {} leaves the range", now.text),
                ..refusal
            })?;
            let stepped = format!("{} → {value} ({})", now.text, words(distance / step_si, up, by));
            Ok(TypedChange { path, value, stepped: Some(stepped) })
        };
        match self.target {
            Target::One(spot) => Ok(vec![one(self.path.clone(), get(spot))?]),
            Target::Pair([left, right]) if get(left) == get(right) => {
                Ok(vec![one(self.path.clone(), get(left))?])
            }
            Target::Pair([left, right]) => {
                let rest = self.path.trim_start_matches("both.");
                Ok(vec![one(format!("left.{rest}"), get(left))?, one(format!("right.{rest}"), get(right))?])
            }
        }
    }
}

impl Scenario {
    /// Changes as typed on a command line, with every unit said and every step taken. A path that is not found stays as it is, for
    /// [`Scenario::with`] to refuse.
    ///
    /// # Errors
    /// [`Diagnostics`] when a step cannot be read or leaves the range, or a sign could mean two things.
    pub fn typed(&self, changes: &[(String, String)]) -> Result<Vec<TypedChange>, Diagnostics> {
        self.taken(changes, true)
    }

    /// Changes as written in a file, where every unit has to be said: steps are taken, values stay as they are.
    ///
    /// # Errors
    /// As [`Scenario::typed`].
    pub fn stepped(&self, changes: &[(String, String)]) -> Result<Vec<TypedChange>, Diagnostics> {
        self.taken(changes, false)
    }

    fn taken(&self, changes: &[(String, String)], alone: bool) -> Result<Vec<TypedChange>, Diagnostics> {
        let mut done: Vec<TypedChange> = Vec::with_capacity(changes.len());
        let mut found = Diagnostics::default();
        let stated = self.stating(changes.iter().map(|(path, _)| path.as_str()))?;
        let base = stated.as_ref().unwrap_or(self);
        for (path, text) in changes {
            let Ok(setting) = base.setting(path) else {
                done.push(TypedChange::as_it_is(path, text.clone()));
                continue;
            };
            let taken = setting.asked(text).and_then(|asked| match asked {
                Asked::Value if alone => Ok(vec![TypedChange::as_it_is(path, setting.spelled(text))]),
                Asked::Value => Ok(vec![TypedChange::as_it_is(path, text.clone())]),
                Asked::Step { up, by } => {
                    let before: Vec<_> = done.iter().map(TypedChange::pair).collect();
                    // What is wrong with a change before this one is told by `with` itself.
                    let on = if before.is_empty() { None } else { base.with(&before).ok() };
                    setting.stepped(on.as_ref().unwrap_or(base), up, by, alone)
                }
            });
            match taken {
                Ok(changes) => done.extend(changes),
                Err(refusal) => found.push(Change::diagnostic(path, text, DiagnosticKind::BadValue, refusal)),
            }
        }
        found.into_result()?;
        Ok(done)
    }
}

/// The same for changes of a foam file, which needs no scenario; `source` is its text.
///
/// # Errors
/// As [`Scenario::typed`].
pub fn typed_for_foam_file(
    source: &str,
    changes: &[(String, String)],
) -> Result<Vec<TypedChange>, Diagnostics> {
    let scoped = |row: &Row| match row.scope {
        Scope::Foam | Scope::Line => format!("{}.{}", row.scope.word(Side::Left), row.path),
        Scope::Vehicle | Scope::Unit => String::new(),
    };
    let map = SourceMap::partial(source.strip_prefix('\u{feff}').unwrap_or(source));
    let mut done: Vec<TypedChange> = Vec::with_capacity(changes.len());
    let mut found = Diagnostics::default();
    for (path, text) in changes {
        let kind = TABLE.iter().find(|row| scoped(row) == *path).map(|row| row.kind);
        let taken = match kind {
            Some(RowKind::Number { limits, step }) => {
                asked(path, text, limits.is_below_zero()).and_then(|asked| match asked {
                    Asked::Value => Ok(TypedChange::as_it_is(path, value::spelled(limits.info, text, step))),
                    Asked::Step { up, by } => {
                        let before = done.iter().rev().find(|change| change.path == *path);
                        let there = || {
                            let ron = map.value_text(path).ok()?;
                            Some(ron::from_str::<String>(ron).unwrap_or_else(|_| ron.to_owned()))
                        };
                        let now =
                            before.map(|change| change.value.clone()).or_else(there).ok_or_else(|| {
                                no_step("the file does not say where this stands", text, &limits.text())
                            })?;
                        let size = distance_si(limits.info, by, step, true)?;
                        let said = read(limits.info, &now).map_err(|error| error.refusal())?;
                        let si = said.si + if up { size } else { -size };
                        let step_si = read(limits.info, step).map_or(1.0, |reading| reading.si);
                        let model = value::model(limits.info, &now, step);
                        let value = write_like(limits.info, model, rounded(si, step_si))
                            .map_err(|error| error.refusal())?;
                        let stepped = format!("{now} → {value} ({})", words(size / step_si, up, by));
                        Ok(TypedChange { path: path.clone(), value, stepped: Some(stepped) })
                    }
                })
            }
            _ => match signed(text.trim()) {
                Some((_, true, by)) => {
                    Err(no_step("no steps are taken here in a foam file of its own", by, "a value"))
                }
                _ => Ok(TypedChange::as_it_is(path, text.clone())),
            },
        };
        match taken {
            Ok(change) => done.push(change),
            Err(refusal) => found.push(Change::diagnostic(path, text, DiagnosticKind::BadValue, refusal)),
        }
    }
    found.into_result()?;
    Ok(done)
}
