//! What the studies share: vehicles, threads, forms of the result.

use super::common::{Common, Destination, Loaded};
use super::problem::{Problem, refusal};
use crate::report::rows::{RowFormat, table_text};
use crate::report::table_document;
use crate::scenario::Scenario;
use crate::study::stream::{Workers, with_threads};
use crate::study::table::Table;
use clap::{Args, ValueEnum};
use serde_json::Value;

/// Forms of a study's result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StudyFormat {
    /// For people
    Text,
    /// For programs: SI, null where there is nothing
    Json,
    /// For a spreadsheet: SI, empty where there is nothing
    Csv,
}

/// Threads and form.
#[derive(Debug, Args)]
pub(crate) struct StudyArguments {
    /// Form of the result
    #[arg(long, value_enum, default_value_t = StudyFormat::Text)]
    pub format: StudyFormat,

    /// Threads; 0 = one for each core
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    pub threads: usize,
}

impl StudyArguments {
    /// The threads.
    pub fn workers(&self) -> Workers {
        Workers::new(self.threads)
    }

    /// Runs something that works in parallel on its own.
    pub fn in_parallel<R: Send>(&self, work: impl FnOnce() -> R + Send) -> Result<R, Problem> {
        with_threads(self.workers(), work).map_err(|error| threads_problem(self.threads, &error.to_string()))
    }
}

/// Threads that could not be started.
pub(crate) fn threads_problem(threads: usize, reason: &str) -> Problem {
    Problem::option(
        "--threads",
        refusal(reason, &threads.to_string(), "as many as the system can start", "ask for fewer"),
    )
}

/// `all`, `fleet` or names separated by commas.
pub(crate) fn vehicles_named(loaded: &Loaded, text: &str) -> Result<Vec<String>, Problem> {
    let scenario = &loaded.scenario;
    let known: Vec<&str> = scenario.vehicles().iter().map(|v| &*v.name).collect();
    match text.trim() {
        "all" => Ok(known.iter().map(|name| (*name).to_owned()).collect()),
        "fleet" => Ok(scenario.fleet_mix().into_iter().map(|(name, _)| name.to_owned()).collect()),
        names => names
            .split(',')
            .map(|name| {
                let name = name.trim();
                if known.contains(&name) {
                    return Ok(name.to_owned());
                }
                let advice = match crate::error::nearest(name, known.iter().copied()) {
                    Some(likely) => format!("write {likely} if that is what you mean"),
                    None => "use one of these, all or fleet".to_owned(),
                };
                Err(Problem::option(
                    "--vehicles",
                    refusal("no vehicle has this name", name, &known.join(", "), &advice),
                ))
            })
            .collect(),
    }
}

/// The scenario on each of some vehicles, with their names; on its own vehicle when none are named.
pub(crate) fn on_vehicles(
    loaded: &Loaded,
    vehicles: Option<&str>,
) -> Result<Vec<(String, Scenario)>, Problem> {
    let Some(text) = vehicles else {
        return Ok(vec![(loaded.scenario.measured_vehicle().to_owned(), loaded.scenario.clone())]);
    };
    vehicles_named(loaded, text)?
        .into_iter()
        .map(|name| {
            let scenario = loaded.scenario.for_vehicle(&name)?;
            Ok((name, scenario))
        })
        .collect()
}

/// Throughputs from `60..140:20` or `100,120`, as texts.
pub(crate) fn throughputs(loaded: &Loaded, text: &str) -> Result<Vec<String>, Problem> {
    let option = |refusal| Problem::option("--throughput", refusal);
    let axis =
        crate::study::sweep::setting_axis(&loaded.scenario, "line.throughput", text).map_err(option)?;
    let Some(count) = axis.count().filter(|n| *n <= 1000) else {
        let advice = "give a step, as in 60..140:20";
        return Err(option(refusal(
            "this is no short list of throughputs",
            text,
            "up to 1000 values",
            advice,
        )));
    };
    Ok((0..count).filter_map(|i| axis.value(i)).map(|value| value.text).collect())
}

/// Delivers a table in a machine's form.
pub(crate) fn deliver_table(
    destination: &Destination,
    format: StudyFormat,
    schema: &str,
    loaded: &Loaded,
    asked: Value,
    table: &Table,
) -> Result<(), Problem> {
    let text = match format {
        StudyFormat::Csv => table_text(table, RowFormat::Csv),
        _ => table_document(schema, loaded.title(), asked, table),
    };
    destination.deliver(&text)
}

/// What was asked, for documents.
pub(crate) fn asked(common: &Common, loaded: &Loaded) -> Value {
    serde_json::json!({
        "file": common.file.display().to_string(),
        "set": loaded.set.iter().map(|(path, value)| serde_json::json!({ "path": path, "value": value })).collect::<Vec<_>>(),
    })
}
