//! `brusharm nudge`: what one field step of each setting does.

use super::Run;
use super::common::{Common, OutputArguments};
use super::options::{OfOption, StrictOption, VehiclesOption};
use super::problem::{Problem, refusal};
use super::study_common::{StudyArguments, StudyFormat, asked, deliver_table, on_vehicles};
use crate::report::nudge_text;
use crate::study::nudge::nudge;
use clap::Args;

/// Say what one field step of every setting does, here and now
///
/// Each setting that a technician can move is turned one and two field steps each way, the others left alone. Settings are ranked by what they do
/// for one measure (the one that decides, or --of); verdicts that turn and numbers that get worse are said.
#[derive(Debug, Args)]
pub(crate) struct NudgeArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    of: OfOption,

    #[command(flatten)]
    vehicles: VehiclesOption,

    #[command(flatten)]
    strict: StrictOption,

    #[command(flatten)]
    study: StudyArguments,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for NudgeArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let measure = self.of.measure()?;
        let cases = on_vehicles(&loaded, self.vehicles.vehicles.as_deref())?;
        let Some(result) = self.study.in_parallel(|| nudge(&cases, measure))? else {
            return Err(Problem::option(
                "--vehicles",
                refusal("there is no vehicle to look at", "", "at least one", "name one"),
            ));
        };
        match self.study.format {
            StudyFormat::Text => {
                let text = nudge_text(&result, loaded.title(), self.common.unit_system(), destination.ink());
                destination.deliver(&text)?;
            }
            format => {
                let mut asked = asked(&self.common, &loaded);
                asked["measure"] = result.measure.key().into();
                asked["vehicles"] = result.cases.clone().into();
                deliver_table(&destination, format, "brusharm/nudge/1", &loaded, asked, &result.table())?;
            }
        }
        Ok(self.strict.code(result.now.tightest().0 < 0.0))
    }
}
