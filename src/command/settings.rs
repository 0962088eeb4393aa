//! `brusharm settings`: everything that can be set.

use super::common::{Common, OutputArguments};
use super::pass::{PassFormat, to_json};
use super::problem::Problem;
use super::{Run, exit};
use crate::report::SettingsDocument;
use clap::Args;

/// List everything that can be set, with range and field step
///
/// Path, value as written, range, the step a technician can make in the field, and what is standard. The paths are those that --set
/// takes on every command.
#[derive(Debug, Args)]
pub(crate) struct SettingsArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    output: OutputArguments,

    /// Form of the list
    #[arg(long, value_enum, default_value_t = PassFormat::Text)]
    format: PassFormat,
}

impl Run for SettingsArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let document = SettingsDocument::new(&loaded.scenario, loaded.words());
        destination.deliver(&match self.format {
            PassFormat::Text => document.text(destination.ink()),
            PassFormat::Json => to_json(&document)?,
            PassFormat::Csv => document.csv(),
        })?;
        Ok(exit::DONE)
    }
}
