//! What the subcommands share: the scenario file, settings changed for the run, the unit system, output files.

use super::input::read_text;
use super::kind::{FileKind, expect};
use super::output::{Target, complain, ink, print};
use super::problem::{Problem, refusal};
use crate::coverage::{Criteria, Solved};
use crate::report::{Ink, PassReport, ScenarioDocument, SettingDocument, setting_documents};
use crate::scenario::Scenario;
use crate::scenario::setting::{TypedChange, split_typed};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use std::cell::RefCell;
use std::path::{Component, Path, PathBuf};

/// Unit systems as written on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// Inches, pounds, psi
    Us,
    /// Metres, newtons, kilopascals
    Si,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> UnitSystem {
        match units {
            Units::Us => UnitSystem::Us,
            Units::Si => UnitSystem::Si,
        }
    }
}

/// The scenario and how to read it.
#[derive(Debug, Clone, Args)]
pub(crate) struct Common {
    /// Scenario file
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Change a setting for this run, such as line.throughput="120 veh/h"; a number alone is in the unit of the setting's step. PATH+=STEP and
    /// PATH-=STEP step from where it stands. May be given several times. «brusharm settings FILE» lists the paths, steps and units
    #[arg(long, value_name = "PATH=VALUE")]
    pub set: Vec<String>,

    /// Units of the text output: us when not given, for «check» si
    #[arg(long, value_enum, value_name = "SYSTEM")]
    pub units: Option<Units>,
}

/// Where results go.
#[derive(Debug, Args)]
pub(crate) struct OutputArguments {
    /// Write the result to this file instead of standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Replace output files that exist; files that were read are never written over
    #[arg(long)]
    pub overwrite: bool,
}

impl OutputArguments {
    /// Where the result goes, checked before any work is done.
    pub fn result(&self, loaded: &Loaded) -> Result<Destination, Problem> {
        self.result_beside(&loaded.inputs)
    }

    /// The same when no scenario but these files were read.
    pub fn result_beside(&self, inputs: &[PathBuf]) -> Result<Destination, Problem> {
        match &self.output {
            Some(path) => Ok(Destination::Target(Target::new(path, self.overwrite, inputs)?)),
            None => Ok(Destination::Screen(ink())),
        }
    }

    /// Any other output named on the command line, checked before any work is done.
    pub fn target(&self, path: &Path, loaded: &Loaded) -> Result<Target, Problem> {
        Target::new(path, self.overwrite, &loaded.inputs)
    }
}

/// Where a result goes.
#[derive(Debug)]
pub(crate) enum Destination {
    /// Standard output.
    Screen(Ink),
    /// What was named.
    Target(Target),
}

impl Destination {
    /// Colour for a text that goes there.
    pub fn ink(&self) -> Ink {
        match self {
            Destination::Screen(ink) => *ink,
            Destination::Target(_) => Ink::Plain,
        }
    }

    /// Delivers the result.
    pub fn deliver(&self, text: &str) -> Result<(), Problem> {
        match self {
            Destination::Screen(ink) => print(text, *ink),
            Destination::Target(target) => target.write(Ink::Plain.ready(text).as_bytes()),
        }
    }
}

/// A scenario read, checked and changed as asked.
#[derive(Debug)]
pub(crate) struct Loaded {
    /// The scenario with the changed settings.
    pub scenario: Scenario,
    /// The file as named on the command line.
    pub name: String,
    /// Settings changed for this run: path and value, with its unit.
    pub set: Vec<(String, String)>,
    /// Every file that was read.
    pub inputs: Vec<PathBuf>,
}

impl Common {
    /// Unit system of the text output; US when not said.
    pub fn unit_system(&self) -> UnitSystem {
        self.units.map_or(UnitSystem::Us, UnitSystem::from)
    }

    /// The same arguments on another file.
    pub fn of_file(&self, file: &Path) -> Common {
        Common { file: file.to_owned(), set: self.set.clone(), units: self.units }
    }

    /// The settings to change, each in two parts.
    pub fn changes(&self) -> Result<Vec<(String, String)>, Problem> {
        self.set.iter().map(|text| split_setting(text)).collect()
    }

    /// Reads and checks the scenario and changes the settings asked for.
    pub fn load(&self) -> Result<Loaded, Problem> {
        let name = self.file.display().to_string();
        let typed = self.changes()?;
        let text = read_text(&self.file, &name)?;
        expect(&[FileKind::Scenario], &text, &name)?;
        let folder = self.file.parent().map(Path::to_owned).unwrap_or_default();
        let inputs = RefCell::new(vec![self.file.clone()]);
        let loader = |beside: &str| {
            let path = beside_path(&folder, beside)?;
            inputs.borrow_mut().push(path.clone());
            // The reader of scenarios puts this under the name in the scenario; one line is enough.
            read_text(&path, &path.display().to_string()).map_err(|problem| {
                let told = problem.diagnostics.0.first().map(|d| d.problem.clone());
                told.unwrap_or_else(|| "cannot read this file".to_owned())
            })
        };
        let mut scenario = Scenario::read(&text, &name, &loader)?;
        let set = say_steps(&scenario.typed(&typed)?);
        if !set.is_empty() {
            scenario = scenario.with(&set)?;
        }
        Ok(Loaded { scenario, name, set, inputs: inputs.into_inner() })
    }
}

/// A file that a scenario names: beside it or in a folder below, nowhere else.
pub(crate) fn beside_path(folder: &Path, name: &str) -> Result<PathBuf, String> {
    let named = Path::new(name);
    let inside = named.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !inside || name.is_empty() {
        return Err("a scenario may only name files beside it or in a folder below".to_owned());
    }
    Ok(folder.join(named))
}

/// The changes with their values; what came of a step is said beside the result.
pub(crate) fn say_steps(typed: &[TypedChange]) -> Vec<(String, String)> {
    typed.iter().filter(|change| change.stepped.is_some()).for_each(|change| complain(&change.said()));
    typed.iter().map(TypedChange::pair).collect()
}

/// `PATH=VALUE` in two.
pub(crate) fn split_setting(text: &str) -> Result<(String, String), Problem> {
    match split_typed(text) {
        Some(both) => Ok(both),
        None => Err(Problem::option(
            "--set",
            refusal(
                "a setting needs a path and a value",
                text,
                "PATH=VALUE",
                "write for example --set left.stop_pin.hole=3 or --set line.throughput=\"120 veh/h\"",
            ),
        )),
    }
}

/// A pass computed and measured.
#[derive(Debug)]
pub(crate) struct Computed {
    /// The solved pass.
    pub solved: Solved,
    throughput_per_s: f64,
    settings: Vec<SettingDocument>,
}

impl Loaded {
    /// Limits of the scenario.
    pub fn criteria(&self) -> Criteria {
        self.scenario.criteria()
    }

    /// Title of the scenario, or its file name.
    pub fn title(&self) -> &str {
        let title = self.scenario.file().title.trim();
        if title.is_empty() { &self.name } else { title }
    }

    /// What the scenario is and what was changed for this run, for a document.
    pub fn words(&self) -> ScenarioDocument {
        ScenarioDocument {
            title: self.title().to_owned(),
            file: Some(self.name.clone()),
            set: self.set.iter().map(Into::into).collect(),
        }
    }

    /// Runs the pass.
    pub fn compute(&self) -> Result<Computed, Problem> {
        let solved = self.scenario.solve().map_err(|error| Problem::pass(&self.name, &error))?;
        let throughput_per_s = self.scenario.throughput_per_s();
        let settings = setting_documents(&self.scenario);
        Ok(Computed { solved, throughput_per_s, settings })
    }

    /// The report on a pass of this scenario.
    pub fn report<'a>(&'a self, computed: &'a Computed) -> PassReport<'a> {
        PassReport {
            title: self.title(),
            file: Some(&self.name),
            set: &self.set,
            solved: &computed.solved,
            throughput_per_s: computed.throughput_per_s,
            settings: &computed.settings,
        }
    }
}
