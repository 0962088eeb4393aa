//! `brusharm check`: is the scenario sound, and what machine does it come to.

use super::common::{Common, Loaded, OutputArguments};
use super::output::print;
use super::pass::to_json;
use super::problem::Problem;
use super::{Run, exit};
use crate::error::Diagnostics;
use crate::report::{Ink, MachineReport, UnitParts};
use crate::units::UnitSystem;
use clap::{Args, ValueEnum};
use serde::Serialize;

/// Forms of the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CheckFormat {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Check a scenario and print the machine as the model sees it
///
/// Every number that a pass is computed from, complete enough for someone else to build the same model: inertia by parts, struts with
/// anchors and length at rest, air, stops, push-back stiffness, outlines piece by piece. In SI unless --units us is given.
#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    output: OutputArguments,

    /// Form of the result
    #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
    format: CheckFormat,

    /// Add the outlines of the vehicles as points, exact to half a millimetre
    #[arg(long)]
    points: bool,
}

/// The errors of a scenario, as data.
#[derive(Debug, Serialize)]
struct ErrorDocument<'a> {
    schema: &'static str,
    errors: &'a Diagnostics,
}

impl Run for CheckArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = match self.common.load() {
            Err(problem) if self.format == CheckFormat::Json => {
                let document = ErrorDocument { schema: "brusharm/errors/1", errors: &problem.diagnostics };
                print(&to_json(&document)?, Ink::Plain)?;
                return Err(problem);
            }
            loaded => loaded?,
        };
        let destination = self.output.result(&loaded)?;
        let document = report(&loaded, |report| report.document(self.points));
        let units = self.common.units.map_or(UnitSystem::Si, UnitSystem::from);
        destination.deliver(&match self.format {
            CheckFormat::Text => document.text(units, destination.ink()),
            CheckFormat::Json => to_json(&document)?,
        })?;
        Ok(exit::DONE)
    }
}

/// Hands out the report on the machine of a scenario.
fn report<T>(loaded: &Loaded, with: impl FnOnce(MachineReport<'_>) -> T) -> T {
    let scenario = &loaded.scenario;
    let setup = scenario.setup();
    let parts: Vec<UnitParts> = setup
        .units
        .iter()
        .map(|unit| UnitParts {
            parts: scenario.arm_parts(unit.side),
            stop_pin: scenario.stop_pin(unit.side),
        })
        .collect();
    with(MachineReport {
        title: loaded.title(),
        file: Some(&loaded.name),
        set: &loaded.set,
        setup: &setup,
        parts: &parts,
        coverage: &scenario.coverage_settings(),
        criteria: &loaded.criteria(),
        throughput_per_s: scenario.throughput_per_s(),
        uneven: &scenario.uneven(),
    })
}
