//! Sweep: one pass for every point of a design, a row for each.
//!
//! An axis is a setting (any path of the scenario), `vehicle` (names; `all` for every vehicle of the scenario, `fleet` for those of the fleet mix) or
//! `file` (scenarios). Columns: `row`, one for each axis in the axis' unit, then those of [`super::point`]. A point that cannot be computed is a
//! row with its reason.

pub mod highest;

use super::axis::{self, Axis, AxisValue};
use super::design::Design;
use super::point::{PointResult, evaluate, reason};
use super::stream::{StreamError, Workers, in_order};
use super::table::{Cell, Column, Row};
use crate::coverage::measure::{self, Measure};
use crate::error::{Refusal, nearest};
use crate::scenario::Scenario;
use crate::scenario::setting::SettingKind;
use crate::units::{Dimension, FractionDim};
use std::borrow::Cow;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Name of the axis of vehicles.
pub const VEHICLE_AXIS: &str = "vehicle";
/// Name of the axis of scenario files.
pub const FILE_AXIS: &str = "file";

/// What a sweep is of.
#[derive(Debug, Clone, Default)]
pub struct SweepPlan {
    /// The axes as written, slowest first: `PATH=VALUES`. The values of the file axis must be names among the bases.
    pub over: Vec<String>,
    /// A sample of so many points with this seed; else the full grid.
    pub sample: Option<(u64, u64)>,
    /// Columns of results to keep, by name; all when empty.
    pub columns: Vec<String>,
}

/// A sweep ready to run.
#[derive(Debug)]
pub struct Sweep {
    design: Design,
    roles: Vec<Role>,
    /// One for each file and vehicle, vehicles turning fastest; why not, where a vehicle does not fit.
    bases: Vec<Result<Scenario, String>>,
    vehicles: usize,
    columns: Vec<Column>,
    /// Columns of a point that are kept.
    keep: Vec<usize>,
    beside: Option<Box<dyn Beside>>,
    fingerprint: String,
}

/// What else is told of each point: columns before the last, which is the reason.
pub trait Beside: std::fmt::Debug + Send + Sync {
    /// Its columns.
    fn columns(&self) -> Vec<Column>;

    /// Its cells at the scenario of a point, one for each column.
    fn cells(&self, scenario: &Scenario) -> Row;

    /// What rows depend on besides the scenarios, in a few words: a sweep that was stopped goes on with the same alone.
    fn fingerprint(&self) -> String;
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Role {
    File,
    Vehicle,
    Setting,
}

impl Sweep {
    /// Reads the axes and checks them against the first of the bases, which are scenarios with the names they go by.
    ///
    /// # Errors
    /// What is wrong with an axis or a column name.
    pub fn new(bases: &[(String, Scenario)], plan: &SweepPlan) -> Result<Sweep, Refusal> {
        let Some((_, first)) = bases.first() else {
            return Err(Refusal { problem: "a sweep needs a scenario".into(), ..Refusal::default() });
        };
        let mut axes = Vec::with_capacity(plan.over.len());
        let mut roles = Vec::with_capacity(plan.over.len());
        for text in &plan.over {
            let (axis, role) = read_axis(bases, first, text)?;
            axes.push(axis);
            roles.push(role);
        }
        let design = match plan.sample {
            Some((count, seed)) => Design::sample(axes, count, seed)?,
            None => Design::grid(axes)?,
        };
        let names = |role: Role| -> Option<Vec<String>> {
            let axis = &design.axes()[roles.iter().position(|r| *r == role)?];
            Some((0..axis.count()?).filter_map(|i| axis.value(i)).map(|v| v.text).collect())
        };
        let files = names(Role::File);
        let vehicles = names(Role::Vehicle);
        let chosen: Vec<&Scenario> = match &files {
            None => vec![first],
            Some(files) => files
                .iter()
                .filter_map(|name| {
                    bases.iter().find(|(known, _)| known == name).map(|(_, scenario)| scenario)
                })
                .collect(),
        };
        let fingerprint = fingerprint(&chosen);
        let bases = chosen
            .iter()
            .flat_map(|scenario| match &vehicles {
                None => vec![Ok((*scenario).clone())],
                Some(names) => names
                    .iter()
                    .map(|name| scenario.for_vehicle(name).map_err(|diagnostics| reason(&diagnostics)))
                    .collect(),
            })
            .collect();
        let all = PointResult::columns();
        let keep = kept(&all, &plan.columns)?;
        let mut columns = vec![Column::count("row")];
        columns.extend(design.axes().iter().map(|axis| axis.column().clone()));
        columns.extend(keep.iter().map(|i| all[*i].clone()));
        Ok(Sweep {
            design,
            roles,
            bases,
            vehicles: vehicles.map_or(1, |v| v.len()),
            columns,
            keep,
            beside: None,
            fingerprint,
        })
    }

    /// The sweep with more told of each point.
    #[must_use]
    pub fn beside(mut self, beside: Box<dyn Beside>) -> Sweep {
        let reason = self.columns.len() - 1;
        self.columns.splice(reason..reason, beside.columns());
        self.fingerprint = format!("{}; {}", self.fingerprint, beside.fingerprint());
        self.beside = Some(beside);
        self
    }

    /// The measures whose numbers are kept.
    pub fn measures(&self) -> impl Iterator<Item = Measure> {
        measure::ALL.into_iter().filter(|m| self.columns.iter().any(|column| column.name == m.column()))
    }

    /// The points.
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// The columns of a row.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Fingerprint of every text read and every setting changed, in the order of the file axis.
    pub fn fingerprint(&self) -> &str {
        &self.fingerprint
    }

    /// Computes one point. Whatever happens in it, there is a result.
    pub fn point(&self, row: u64) -> (Vec<AxisValue>, PointResult) {
        let Some(values) = self.design.point(row) else {
            return (Vec::new(), PointResult::failed("there is no such point"));
        };
        let result = self.computed(&values);
        (values, result)
    }

    fn computed(&self, values: &[AxisValue]) -> PointResult {
        let result = guarded(|| self.scenario_at(values).map(|scenario| evaluate(&scenario)));
        result.unwrap_or_else(|reason| PointResult::failed(&reason))
    }

    /// The scenario of a point, or why there is none.
    fn scenario_at(&self, values: &[AxisValue]) -> Result<Cow<'_, Scenario>, String> {
        let (mut file, mut vehicle) = (0, 0);
        let mut changes: Vec<(&str, &str)> = Vec::with_capacity(values.len());
        for ((axis, role), value) in self.design.axes().iter().zip(&self.roles).zip(values) {
            let place = || (0..).map_while(|i| axis.value(i)).position(|v| v == *value).unwrap_or(0);
            match role {
                Role::File => file = place(),
                Role::Vehicle => vehicle = place(),
                Role::Setting => changes.push((axis.path(), &value.text)),
            }
        }
        match self.bases.get(file * self.vehicles + vehicle) {
            Some(Ok(scenario)) if changes.is_empty() => Ok(Cow::Borrowed(scenario)),
            Some(Ok(scenario)) => scenario.with(&changes).map(Cow::Owned).map_err(|found| reason(&found)),
            Some(Err(reason)) => Err(reason.clone()),
            None => Err("there is no such scenario".to_owned()),
        }
    }

    /// Computes one point as a row.
    pub fn row(&self, row: u64) -> Row {
        let (values, result) = self.point(row);
        let mut cells = vec![Cell::Count(row)];
        cells.extend(self.design.axes().iter().zip(&values).map(|(axis, value)| {
            if axis.is_words() { Cell::text(&value.text) } else { Cell::number(value.number) }
        }));
        let all = result.cells();
        cells.extend(self.keep.iter().map(|i| all[*i].clone()));
        if let Some(beside) = &self.beside {
            let reason = cells.len() - 1;
            let found = guarded(|| self.scenario_at(&values).map(|scenario| beside.cells(&scenario)));
            let none = |_| vec![Cell::Missing; beside.columns().len()];
            cells.splice(reason..reason, found.unwrap_or_else(none));
        }
        cells
    }

    /// Computes the rows of a range and gives them to `sink` in order, with whether each was computed.
    ///
    /// # Errors
    /// The error of `sink`.
    pub fn run<E>(
        &self,
        rows: Range<u64>,
        workers: Workers,
        mut sink: impl FnMut(Row, bool) -> Result<(), E>,
    ) -> Result<(), StreamError<E>> {
        let computed = |row: &Row| matches!(row.last(), Some(Cell::Missing));
        in_order(
            rows,
            workers,
            |row| self.row(row),
            |_, row| {
                let computed = computed(&row);
                sink(row, computed)
            },
        )
    }
}

/// Whatever happens at a point, there is an answer.
fn guarded<T>(work: impl FnOnce() -> Result<T, String>) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("unknown");
        Err(format!("the program failed at this point ({text}): please report it"))
    })
}

/// The columns of a point to keep: those asked for, the edge of each number that can stand on one, and always the last, the reason.
fn kept(all: &[Column], wanted: &[String]) -> Result<Vec<usize>, Refusal> {
    if wanted.is_empty() {
        return Ok((0..all.len()).collect());
    }
    let mut keep = Vec::with_capacity(wanted.len() + 1);
    for name in wanted {
        let name = name.trim();
        match all.iter().position(|column| column.name == name) {
            Some(at) if !keep.contains(&at) => {
                keep.push(at);
                let edge = Measure::from_key(name).filter(|m| m.can_be_on_edge()).map(Measure::edge_column);
                let edge = edge.and_then(|edge| all.iter().position(|column| column.name == edge));
                keep.extend(edge.filter(|edge| !keep.contains(edge)));
            }
            Some(_) => {}
            None => {
                let likely = nearest(name, all.iter().map(|c| c.name.as_str()));
                return Err(Refusal {
                    problem: "there is no such column".into(),
                    given: name.into(),
                    allowed: all.iter().map(|c| c.name.as_str()).collect::<Vec<_>>().join(", "),
                    advice: likely.map_or_else(
                        || "choose from these".to_owned(),
                        |likely| format!("write {likely} if that is what you mean"),
                    ),
                });
            }
        }
    }
    let last = all.len() - 1;
    keep.retain(|at| *at != last);
    keep.push(last);
    Ok(keep)
}

fn read_axis(bases: &[(String, Scenario)], first: &Scenario, text: &str) -> Result<(Axis, Role), Refusal> {
    let (path, values) = axis::split(text)?;
    let words = || values.split(',').map(|word| word.trim().to_owned()).collect::<Vec<_>>();
    match path {
        FILE_AXIS => {
            let words = words();
            let known: Vec<&str> = bases.iter().map(|(name, _)| name.as_str()).collect();
            all_known(path, &words, &known)?;
            Ok((Axis::words(path, words)?, Role::File))
        }
        VEHICLE_AXIS => {
            let known: Vec<&str> = first.vehicles().iter().map(|v| &*v.name).collect();
            let words = match values {
                "all" => known.iter().map(|name| (*name).to_owned()).collect(),
                "fleet" => first.fleet_mix().into_iter().map(|(name, _)| name.to_owned()).collect(),
                _ => words(),
            };
            all_known(path, &words, &known)?;
            Ok((Axis::words(path, words)?, Role::Vehicle))
        }
        _ => Ok((setting_axis(first, path, values)?, Role::Setting)),
    }
}

/// The axis of a setting of a scenario.
///
/// # Errors
/// When the scenario has no such setting, or a value is not allowed.
pub fn setting_axis(scenario: &Scenario, path: &str, values: &str) -> Result<Axis, Refusal> {
    let setting = scenario.setting(path).map_err(|diagnostic| Refusal {
        problem: format!("{path}: {}", diagnostic.problem),
        given: diagnostic.given,
        allowed: diagnostic.allowed,
        advice: diagnostic.advice,
    })?;
    let path = setting.path.as_str();
    for text in values.split(',').flat_map(|part| part.split("..")).flat_map(|part| part.split(':')) {
        setting
            .value_only(text)
            .map_err(|refusal| Refusal { problem: format!("{path}: {}", refusal.problem), ..refusal })?;
    }
    let axis = match &setting.kind {
        SettingKind::Number { limits, step } => Axis::quantity(path, values, limits.info, Some(step))?,
        SettingKind::Whole { .. } => Axis::quantity(path, values, FractionDim::INFO, None)?,
        SettingKind::Choice(words) => {
            let given: Vec<String> = values.split(',').map(|word| word.trim().to_owned()).collect();
            all_known(path, &given, &words.iter().map(String::as_str).collect::<Vec<_>>())?;
            Axis::words(path, given)?
        }
    };
    // The ends of a range hold all between them; a list is looked at whole.
    let ends = [axis.value(0), axis.count().and_then(|n| axis.value(n - 1)), axis.at(0.0), axis.at(1.0)];
    let listed = if values.contains("..") { 0 } else { axis.count().unwrap_or(0) };
    for value in ends.into_iter().chain((0..listed).map(|i| axis.value(i))).flatten() {
        setting
            .number(&value.text)
            .map_err(|refusal| Refusal { problem: format!("{path}: {}", refusal.problem), ..refusal })?;
    }
    Ok(axis)
}

fn all_known(path: &str, given: &[String], known: &[&str]) -> Result<(), Refusal> {
    match given.iter().find(|word| !known.contains(&word.as_str())) {
        None => Ok(()),
        Some(word) => Err(Refusal {
            problem: format!("{path}: no such value"),
            given: word.clone(),
            allowed: known.join(", "),
            advice: nearest(word, known.iter().copied()).map_or_else(
                || "choose from these".to_owned(),
                |likely| format!("write {likely} if that is what you mean"),
            ),
        }),
    }
}

/// Fingerprint (FNV-1a, 128 bits, hexadecimal) of every text read and every setting changed. Not a secure hash: it tells slips, not forgeries.
pub fn fingerprint(scenarios: &[&Scenario]) -> String {
    // Offset basis and prime: G. Fowler, L. C. Noll, K.-P. Vo, «The FNV Non-Cryptographic Hash Algorithm» (Internet draft), from memory.
    let mut hash = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d_u128;
    let mut add = |text: &str| {
        for byte in text.bytes().chain([0xff]) {
            hash = (hash ^ u128::from(byte)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b);
        }
    };
    for scenario in scenarios {
        scenario.files().iter().for_each(|file| add(&file.text));
        for change in scenario.changes() {
            add(&change.setting);
            add(&change.text);
        }
        add("");
    }
    format!("{hash:032x}")
}
