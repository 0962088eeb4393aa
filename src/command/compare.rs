//! `brusharm compare`: any number of set-ups on the same vehicles.

use super::Run;
use super::common::{Common, Loaded, OutputArguments, Units, split_setting};
use super::options::{IntervalOption, StrictOption, SvgOption, VehiclesOption, deliver_beside};
use super::output::Target;
use super::problem::{Problem, refusal};
use super::study_common::{StudyArguments, StudyFormat, asked, deliver_table, vehicles_named};
use crate::calibrate::Intervals;
use crate::drawing::palette::Theme;
use crate::drawing::svg::svg;
use crate::report::{PicturedSetup, compare_picture, compare_text, intervals_beside_text};
use crate::scenario::setting::TypedChange;
use crate::study::compare::{SetUp, compare};
use clap::Args;
use std::path::PathBuf;

/// Put any number of set-ups side by side on the same vehicles
///
/// The set-ups are FILE as it stands, each --with FILE, and FILE with each --set. Several changes in one set-up are separated by semicolons:
/// --set "left.air.cap=8 psi; right.air.cap=8 psi". The first is the one the others are compared with. The drawing shows swing, tail and
/// unrolled maps, one above the other, on the first vehicle.
#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    /// Scenario file
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Another set-up: a scenario file; may be given several times
    #[arg(long, value_name = "FILE")]
    with: Vec<PathBuf>,

    /// Another set-up: FILE with these settings changed, separated by semicolons; may be given several times
    #[arg(long, value_name = "PATH=VALUE[;…]")]
    set: Vec<String>,

    #[command(flatten)]
    vehicles: VehiclesOption,

    /// Units of the text output
    #[arg(long, value_enum, value_name = "SYSTEM")]
    units: Option<Units>,

    #[command(flatten)]
    interval: IntervalOption,

    #[command(flatten)]
    drawing: SvgOption,

    #[command(flatten)]
    strict: StrictOption,

    #[command(flatten)]
    study: StudyArguments,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for CompareArguments {
    fn run(&self) -> Result<u8, Problem> {
        let common = |file: &PathBuf| Common { file: file.clone(), set: Vec::new(), units: self.units };
        let mut loaded = common(&self.file).load()?;
        let mut setups = vec![SetUp { name: loaded.name.clone(), scenario: loaded.scenario.clone() }];
        for file in &self.with {
            let other = common(file).load()?;
            loaded.inputs.extend(other.inputs);
            setups.push(SetUp { name: other.name, scenario: other.scenario });
        }
        let mut set: Vec<serde_json::Value> = Vec::new();
        for group in &self.set {
            let typed =
                group.split(';').map(|text| split_setting(text.trim())).collect::<Result<Vec<_>, _>>()?;
            let typed = loaded.scenario.typed(&typed)?;
            let said: Vec<String> = typed.iter().map(TypedChange::said).collect();
            let changes: Vec<_> = typed.iter().map(TypedChange::pair).collect();
            let number = setups.len() + 1;
            set.extend(changes.iter().map(
                |(path, value)| serde_json::json!({ "setup_number": number, "path": path, "value": value }),
            ));
            setups.push(SetUp { name: said.join("; "), scenario: loaded.scenario.with(&changes)? });
        }
        if setups.len() < 2 {
            let advice = "add --with FILE or --set PATH=VALUE";
            return Err(Problem::option(
                "--with",
                refusal("there is nothing to compare with", "one set-up", "two or more", advice),
            ));
        }
        let destination = self.output.result(&loaded)?;
        let picture = self.drawing.target(&self.output, &loaded.inputs)?;
        let vehicles = match &self.vehicles.vehicles {
            Some(text) => vehicles_named(&loaded, text)?,
            None => Vec::new(),
        };
        self.interval.check()?;
        if self.interval.is_asked() && self.study.format != StudyFormat::Text {
            let advice = "leave --format out, or ask «pass --interval --format json» for each set-up";
            let refused =
                refusal("intervals of a comparison come with its text", "", "--format text", advice);
            return Err(Problem::option("--interval", refused));
        }
        let comparison = self.study.in_parallel(|| compare(&setups, &vehicles))?;
        let system = common(&self.file).unit_system();
        match self.study.format {
            StudyFormat::Text => {
                let mut text = compare_text(&comparison, system, destination.ink());
                let first = vehicles.first().map(String::as_str);
                let found = self.study.in_parallel(|| self.intervals(&setups, first))??;
                if !found.is_empty() {
                    text.push_str(&intervals_beside_text(&found, system, destination.ink()));
                }
                deliver_beside(picture.as_ref(), &self.output, &destination, &text)?;
            }
            _ if self.output.output.is_none() && picture.as_ref().is_some_and(Target::is_stdout) => {}
            format => {
                let mut asked = asked(&common(&self.file), &loaded);
                // Each change with the set-up it makes, counted as the rows count them.
                asked["set"] = set.into();
                asked["set_ups"] = comparison.names.clone().into();
                asked["with"] =
                    self.with.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().into();
                asked["vehicles"] = vehicles.clone().into();
                deliver_table(
                    &destination,
                    format,
                    "brusharm/compare/1",
                    &loaded,
                    asked,
                    &comparison.table(),
                )?;
            }
        }
        if let Some(target) = picture {
            let text = self.draw(&loaded, &setups, vehicles.first().map(String::as_str), system)?;
            target.write(text.as_bytes())?;
        }
        let failed = comparison.vehicles.iter().flat_map(|v| &v.results).any(|result| !result.meets_all());
        Ok(self.strict.code(failed))
    }
}

impl CompareArguments {
    /// Intervals of each set-up on the first vehicle, if asked: the same machines drawn for each.
    fn intervals(&self, setups: &[SetUp], vehicle: Option<&str>) -> Result<Vec<Intervals>, Problem> {
        let mut all = Vec::new();
        for setup in setups {
            let on = vehicle.map(|name| setup.scenario.for_vehicle(name)).transpose()?;
            all.extend(self.interval.of(on.as_ref().unwrap_or(&setup.scenario))?);
        }
        Ok(all)
    }

    fn draw(
        &self,
        loaded: &Loaded,
        setups: &[SetUp],
        vehicle: Option<&str>,
        units: crate::units::UnitSystem,
    ) -> Result<String, Problem> {
        let mut solved = Vec::with_capacity(setups.len());
        for setup in setups {
            let scenario = match vehicle {
                Some(name) => setup.scenario.for_vehicle(name)?,
                None => setup.scenario.clone(),
            };
            let pass = scenario.solve().map_err(|error| Problem::pass(&setup.name, &error))?;
            solved.push((setup.name.as_str(), pass));
        }
        let pictured: Vec<PicturedSetup<'_>> =
            solved.iter().map(|(name, solved)| PicturedSetup { name, solved }).collect();
        let title = match vehicle {
            Some(name) => format!("{}: {name}", loaded.title()),
            None => loaded.title().to_owned(),
        };
        Ok(svg(&compare_picture(&pictured, &title, units), Theme::Light))
    }
}
