//! `brusharm settings`: everything that can be set.

use super::common::Common;
use super::output::{ink, print};
use super::pass::{PassFormat, to_json};
use super::problem::Problem;
use super::{Run, exit};
use crate::report::{Ink, SettingsDocument};
use clap::Args;

/// Arguments of `settings`.
#[derive(Debug, Args)]
#[command(long_about = "List everything that can be set in a scenario: path, value as written, range, the step a technician can make in \
                        the field, and what is standard. The paths are those that --set takes on every command.")]
pub(crate) struct SettingsArguments {
    #[command(flatten)]
    common: Common,

    /// Form of the list
    #[arg(long, value_enum, default_value_t = PassFormat::Text)]
    format: PassFormat,
}

impl Run for SettingsArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        let document = SettingsDocument::new(&loaded.scenario, loaded.words());
        match self.format {
            PassFormat::Text => {
                let ink = ink();
                print(&document.text(ink), ink)?;
            }
            PassFormat::Json => print(&to_json(&document)?, Ink::Plain)?,
            PassFormat::Csv => print(&document.csv(), Ink::Plain)?,
        }
        Ok(exit::DONE)
    }
}
