//! A checked scenario: what was written, and what it comes to.

mod change;

use super::build::{self, SiteAir};
use super::check::foam::{self, FoamAtWork};
use super::check::vehicles::{KnownVehicle, demo_names};
use super::check::{At, Change, Checker, SourceFile, geometry, line, machine, setup};
use super::diagnostic::RonText;
use super::file::ScenarioFile;
use super::hidden::Hidden;
use super::load::{self, Loader};
use super::machine_file::HardwareFile;
use super::setup_file::UnitFile;
use crate::arm::{Side, UnitModel};
use crate::coverage::{CoverageSettings, Criteria, Solved};
use crate::error::{Diagnostic, DiagnosticKind, Diagnostics, Refusal};
use crate::foam::{Station, StationResult};
use crate::pass::{PassError, PassSetup, TrainVehicle, conveyor_speed_m_s};
use crate::units::job::per_hour;
use std::sync::Arc;

/// A checked scenario. Cloning it copies no text and no outline; it may be shared between threads.
#[derive(Debug, Clone)]
pub struct Scenario {
    files: Arc<Vec<SourceFile>>,
    /// Index of the file the machine stands in.
    machine_in: usize,
    /// Whether one description serves both units.
    alike: bool,
    file: ScenarioFile,
    hardware: [Option<Arc<HardwareFile>>; 2],
    known: Arc<Vec<KnownVehicle>>,
    changes: Vec<Change>,
    built: Built,
    /// What none of it shows.
    pub(super) hidden: Option<Hidden<Scenario>>,
}

/// What the written form comes to.
#[derive(Debug, Clone, Default)]
struct Built {
    units: Vec<UnitModel>,
    train: Vec<TrainVehicle>,
    measured: usize,
    mean_length_m: f64,
    conveyor_speed_m_s: f64,
    foam: Option<Arc<FoamAtWork>>,
}

impl Scenario {
    /// Reads and checks a scenario. `file_name` is the name shown in errors; `loader` fetches files that it names.
    ///
    /// # Errors
    /// [`Diagnostics`] with all errors of the first stage that finds any: reading, ranges, whether parts fit each other, geometry.
    pub fn read(text: &str, file_name: &str, loader: &Loader<'_>) -> Result<Scenario, Diagnostics> {
        load::check_size(file_name, text)?;
        let file: ScenarioFile = load::parse(file_name, text)?;
        let mut files = vec![SourceFile { name: file_name.to_owned(), text: text.to_owned() }];
        let machine = load::machine(&mut files, &file, loader)?;
        let known = load::vehicles(&mut files, &file, loader)?;
        let mut scenario = Scenario {
            files: Arc::new(files),
            machine_in: machine.file,
            alike: machine.alike,
            file,
            hardware: machine.hardware,
            known: Arc::new(known),
            changes: Vec::new(),
            built: Built::default(),
            hidden: None,
        };
        scenario.built = scenario.check()?;
        scenario.spread()?;
        scenario.uncertainty()?;
        scenario.check_uneven()?;
        Ok(scenario)
    }

    /// Reads a scenario that names no other file.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_alone(text: &str, file_name: &str) -> Result<Scenario, Diagnostics> {
        Self::read(text, file_name, &|_| Err("no other files can be read here".to_owned()))
    }

    /// Checks everything and builds the models.
    fn check(&self) -> Result<Built, Diagnostics> {
        let mut checker = Checker::new(&self.files, &self.changes);
        let c = &mut checker;
        let root = At::root(0);
        let machine_root = At::root(self.machine_in);
        let machine_at = machine_root.of("machine");
        let machine = |at: At<'_>, check: &mut dyn FnMut(At<'_>), side: Side| {
            if self.alike { check(at) } else { check(at.of(side.name())) }
        };
        let sides: Vec<(Side, &HardwareFile, &UnitFile)> = self.sides().collect();

        line::ranges(c, &self.file);
        for side in Side::BOTH {
            if self.file.unit(side).is_some() && self.hardware(side).is_none() {
                c.sense(
                    root.of(side.name()),
                    format!("the machine has no {} unit", side.name()),
                    format!("a set-up for {}", side.name()),
                    "units that the machine has",
                    format!("add {}: (…) to Each(…) of the machine, or remove this set-up", side.name()),
                );
            }
        }
        if c.clean() && sides.is_empty() {
            c.sense(
                root,
                "there is no unit",
                "neither left nor right",
                "left, right or both",
                "add `left: (…),` with the set-up of the left unit",
            );
        }
        for &(side, hardware, unit) in &sides {
            machine(machine_at, &mut |at| hardware.ranges(c, at), side);
            unit.ranges(c, root.of(side.name()));
            setup::relations(c, root.of(side.name()), unit);
            let unit_at = root.of(side.name());
            let foam_part = self.file.foam.as_deref();
            foam::friction(c, unit_at.of("brush"), unit.brush.friction.as_ref(), foam_part);
        }
        let train = self.resolve_train(c);
        c.stage()?;

        for &(side, hardware, unit) in &sides {
            machine(machine_at, &mut |at| machine::relations(c, at, hardware), side);
            setup::fits(c, root.of(side.name()), unit, hardware);
        }
        c.stage()?;

        let mean_length_m = self.mean_length_m(&train);
        let gap_m = self.file.line.gap.si();
        let (throughput_per_s, conveyor_speed_m_s) =
            match (&self.file.line.throughput, &self.file.line.conveyor_speed) {
                (Some(throughput), _) => {
                    let per_s = throughput.si();
                    (per_s, conveyor_speed_m_s(per_hour(per_s), mean_length_m, gap_m))
                }
                (None, speed) => {
                    let speed_m_s = speed.as_ref().map_or(0.0, crate::units::Speed::si);
                    (speed_m_s / (mean_length_m + gap_m), speed_m_s)
                }
            };
        let foam_at_work = self
            .file
            .foam
            .as_ref()
            .and_then(|part| foam::station(c, part, throughput_per_s, conveyor_speed_m_s));
        c.stage()?;

        let foam_friction = foam_at_work.as_ref().map_or(0.0, |foam| foam.result.film.friction);
        let site = SiteAir::of(&self.file.line);
        let mut units = Vec::with_capacity(2);
        for &(side, hardware, unit) in &sides {
            if let Some(model) = build::unit_model(side, hardware, unit, site, foam_friction) {
                machine(machine_at, &mut |at| geometry::unit(c, at, hardware, &model), side);
                units.push(model);
            }
        }
        c.stage()?;

        self.check_room(c, &train, &units);
        c.stage()?;

        let foam = foam_at_work.map(Arc::new);
        Ok(Built { units, train, measured: self.measured_index(), mean_length_m, conveyor_speed_m_s, foam })
    }

    /// Whether the vehicles fit past the units.
    fn check_room(&self, c: &mut Checker<'_>, train: &[TrainVehicle], units: &[UnitModel]) {
        geometry::lane(c, &self.file, units);
        let root = At::root(0);
        let list = root.of("train");
        for (index, (entry, vehicle)) in self.file.train.iter().zip(train).enumerate() {
            // The same vehicle sitting the same way is told once.
            if self.file.train[..index].contains(entry) {
                continue;
            }
            let at = list.item(index);
            geometry::vehicle(c, at.of("vehicle"), &entry.vehicle, vehicle, &self.file, units);
        }
        let list = root.of("fleet");
        for (index, share) in self.file.fleet.iter().enumerate() {
            let Some(known) = self.known(&share.vehicle) else { continue };
            let straight = TrainVehicle { shape: known.shape.clone(), lateral_offset_m: 0.0, yaw_rad: 0.0 };
            let at = list.item(index);
            geometry::vehicle(c, at.of("vehicle"), &share.vehicle, &straight, &self.file, units);
        }
    }

    fn resolve_train(&self, c: &mut Checker<'_>) -> Vec<TrainVehicle> {
        let root = At::root(0);
        let list = root.of("train");
        let mut vehicles = Vec::with_capacity(self.file.train.len());
        for (index, entry) in self.file.train.iter().enumerate() {
            match self.known(&entry.vehicle) {
                Some(known) => vehicles.push(TrainVehicle {
                    shape: known.shape.clone(),
                    lateral_offset_m: entry.lateral_offset.si(),
                    yaw_rad: entry.yaw.si(),
                }),
                None => self.unknown_vehicle(c, list.item(index).of("vehicle"), &entry.vehicle),
            }
        }
        let list = root.of("fleet");
        for (index, share) in self.file.fleet.iter().enumerate() {
            let at = list.item(index);
            if self.known(&share.vehicle).is_none() {
                self.unknown_vehicle(c, at.of("vehicle"), &share.vehicle);
            }
            if self.file.fleet[..index].iter().any(|before| before.vehicle == share.vehicle) {
                c.sense(
                    at.of("vehicle"),
                    "this vehicle has a share of the fleet already",
                    share.vehicle.as_str(),
                    "each vehicle once",
                    "add its shares up",
                );
            }
        }
        vehicles
    }

    fn unknown_vehicle(&self, c: &mut Checker<'_>, at: At<'_>, name: &str) {
        let names: Vec<&str> = self.known.iter().map(|known| &*known.name).collect();
        let advice = match crate::error::nearest(name, names.iter().copied()) {
            Some(likely) => format!("write \"{likely}\" if that is what you mean"),
            None if demo_names().iter().any(|demo| demo == name) => {
                format!("add Demo(\"{name}\") to vehicles")
            }
            None => "use one of these names, or add the vehicle to vehicles".to_owned(),
        };
        let allowed = if names.is_empty() {
            "a name from vehicles, which is empty".to_owned()
        } else {
            names.join(", ")
        };
        c.sense(at, "no vehicle of the scenario has this name", name, allowed, advice);
    }

    /// The units that are there, left first.
    fn sides(&self) -> impl Iterator<Item = (Side, &HardwareFile, &UnitFile)> {
        Side::BOTH.into_iter().filter_map(|side| Some((side, self.hardware(side)?, self.file.unit(side)?)))
    }

    fn known(&self, name: &str) -> Option<&KnownVehicle> {
        self.known.iter().find(|known| &*known.name == name)
    }

    fn measured_index(&self) -> usize {
        let last = self.file.train.len().saturating_sub(1);
        self.file.measured.map_or(last, |from_one| from_one.saturating_sub(1) as usize).min(last)
    }

    /// Mean length by share of the fleet, or of the train when there is no fleet.
    fn mean_length_m(&self, train: &[TrainVehicle]) -> f64 {
        if self.file.fleet.is_empty() {
            let sum: f64 = train.iter().map(|vehicle| vehicle.shape.real.length_m).sum();
            return sum / train.len().max(1) as f64;
        }
        let of = |name: &str| self.known(name).map_or(0.0, |known| known.shape.real.length_m);
        self.file.fleet.iter().map(|share| share.share.si() * of(&share.vehicle)).sum()
    }
}

/// What a scenario comes to.
impl Scenario {
    /// Everything a pass needs.
    pub fn setup(&self) -> PassSetup {
        if let Some(setup) = self.hidden.as_ref().and_then(|hidden| hidden.of(&self.without_hidden())) {
            return setup;
        }
        PassSetup {
            units: self.built.units.clone(),
            train: self.built.train.clone(),
            measured: self.built.measured,
            gap_m: self.file.line.gap.si(),
            conveyor_speed_m_s: self.built.conveyor_speed_m_s,
            numerics: build::numerics(&self.file.numerics),
        }
    }

    /// Computes the pass and what it comes to.
    ///
    /// # Errors
    /// [`PassError`] when the pass cannot be computed.
    pub fn solve(&self) -> Result<Solved, PassError> {
        Solved::new(self.setup(), self.coverage_settings(), &self.criteria())
    }

    /// Limits that a pass is judged by.
    pub fn criteria(&self) -> Criteria {
        build::criteria(&self.file.criteria)
    }

    /// How coverage is counted.
    pub fn coverage_settings(&self) -> CoverageSettings {
        build::coverage_settings(&self.file.coverage)
    }

    /// The units, left before right.
    pub fn unit_models(&self) -> &[UnitModel] {
        &self.built.units
    }

    /// Conveyor speed, m/s.
    pub fn conveyor_speed_m_s(&self) -> f64 {
        self.built.conveyor_speed_m_s
    }

    /// Throughput, vehicles per second: as written, or what the conveyor speed comes to with the mean vehicle length.
    pub fn throughput_per_s(&self) -> f64 {
        match &self.file.line.throughput {
            Some(throughput) => throughput.si(),
            None => self.built.conveyor_speed_m_s / (self.built.mean_length_m + self.file.line.gap.si()),
        }
    }

    /// The foam station at the scenario's throughput; `None` when there is none.
    pub fn foam_station(&self) -> Option<&Station> {
        self.built.foam.as_ref().map(|foam| &foam.station)
    }

    /// What the foam station does at the scenario's throughput; `None` when there is none.
    pub fn foam_result(&self) -> Option<&StationResult> {
        self.built.foam.as_ref().map(|foam| &foam.result)
    }

    /// Whether the foam station sets the friction of the brush on a side: there is one, and the brush states none.
    pub fn foam_sets_friction(&self, side: Side) -> bool {
        let stated = self.file.unit(side).is_none_or(|unit| unit.brush.friction.is_some());
        self.built.foam.is_some() && !stated
    }

    /// The vehicle length that ties throughput and conveyor speed, m: the mean of the fleet by share, or of the train when there is no fleet.
    pub fn mean_vehicle_length_m(&self) -> f64 {
        self.built.mean_length_m
    }

    /// The written form.
    pub fn file(&self) -> &ScenarioFile {
        &self.file
    }

    /// The written form of the hardware of a unit; `None` when the machine could not stand on that side.
    pub fn hardware(&self, side: Side) -> Option<&HardwareFile> {
        self.hardware[side.index()].as_deref()
    }

    /// Every vehicle that train and fleet may name.
    pub fn vehicles(&self) -> &[KnownVehicle] {
        &self.known
    }

    /// Name of the measured vehicle.
    pub fn measured_vehicle(&self) -> &str {
        self.file.train.get(self.built.measured).map_or("", |entry| &entry.vehicle)
    }

    /// The fleet mix: names and shares (0 to 1); the measured vehicle alone when there is no fleet.
    pub fn fleet_mix(&self) -> Vec<(&str, f64)> {
        if self.file.fleet.is_empty() {
            return vec![(self.measured_vehicle(), 1.0)];
        }
        self.file.fleet.iter().map(|share| (share.vehicle.as_str(), share.share.si())).collect()
    }

    /// The files read: the scenario first, then what it names.
    pub fn files(&self) -> &[SourceFile] {
        &self.files
    }

    /// Name of the scenario file.
    pub fn file_name(&self) -> &str {
        self.files.first().map_or("", |file| &file.name)
    }

    /// What was changed since the file was read, oldest first.
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// An error about a place in the scenario's files that a later step found; `path` is dotted, as in [`super::source_map`].
    pub fn diagnostic(&self, path: &str, refusal: Refusal) -> Diagnostic {
        let file = if path.starts_with("machine") { self.machine_in } else { 0 };
        match self.files.get(file) {
            Some(source) => RonText::new(&source.name, &source.text).at(DiagnosticKind::Sense, path, refusal),
            None => Diagnostic::of_file(path, refusal),
        }
    }
}
