//! The commands: the only place that reads or writes files and prints.
//!
//! Each subcommand is one file with a `clap` argument struct that implements `Run`; it joins the program with one line in the list below.
//! Results go to standard output, everything else to standard error.
//!
//! Exit codes: 0 = the command did its work, whatever the verdict; 1 = the system failed (a disk, a closed device); 2 = bad input or
//! usage; 3 = with `--strict`, a criterion failed; 130 = interrupted, what there was is told.

mod common;
mod exit;
mod input;
mod instant;
mod interrupt;
mod kind;
mod options;
mod output;
mod problem;
mod row_file;

mod calibrate;
mod check;
mod compare;
#[cfg(feature = "window")]
mod disk;
mod engine;
mod fault;
mod foam;
mod lesson;
mod nudge;
mod page;
mod pass;
mod recommend;
mod settings;
mod sheet;
mod spread;
mod study_common;
mod sweep;
#[cfg(feature = "window")]
mod view;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};
use output::complain;
use problem::Problem;
use std::ffi::OsString;
use std::process::ExitCode;

/// A subcommand: its parsed arguments know how to run.
pub(crate) trait Run {
    /// Does the work; the code it ends with when nothing went wrong is nearly always 0.
    fn run(&self) -> Result<u8, Problem>;
}

macro_rules! subcommands {
    ($($(#[$only:meta])* $name:ident($arguments:ty),)*) => {
        // What each does is said at its arguments.
        #[derive(Debug, Subcommand)]
        enum Commands {
            $($(#[$only])* $name($arguments),)*
        }

        impl Run for Commands {
            fn run(&self) -> Result<u8, Problem> {
                match self {
                    $($(#[$only])* Commands::$name(arguments) => arguments.run(),)*
                }
            }
        }
    };
}

// One line for each subcommand, in the order of the help.
subcommands! {
    Pass(pass::PassArguments),
    Foam(foam::FoamArguments),
    Check(check::CheckArguments),
    Settings(settings::SettingsArguments),
    Compare(compare::CompareArguments),
    Nudge(nudge::NudgeArguments),
    Sweep(sweep::SweepArguments),
    Spread(spread::SpreadArguments),
    Recommend(recommend::RecommendArguments),
    Calibrate(calibrate::CalibrateArguments),
    Fault(fault::FaultArguments),
    Sheet(sheet::SheetArguments),
    Page(page::PageArguments),
    Lesson(lesson::LessonArguments),
    #[cfg(feature = "window")]
    View(view::ViewArguments),
}

/// Predicts what a wraparound brush set-up on a conveyor vehicle wash will do before anyone touches the machine.
#[derive(Debug, Parser)]
#[command(
    name = "brusharm",
    version,
    about = "Predicts what a wraparound brush set-up will do before anyone touches the machine",
    long_about = "Predicts what a wraparound brush set-up on a conveyor vehicle wash will do before anyone touches the machine: \
                  a pair of side brushes on pivoting arms meets a vehicle's nose, rides its sides and swings round its tail. \
                  A scenario file says what machine, set-up, vehicles and line speed; the commands say what comes of it.",
    term_width = 80,
    subcommand_required = true,
    arg_required_else_help = true
)]
struct Arguments {
    #[command(subcommand)]
    command: Commands,
}

/// What stands under the help of every command; the whole list stands under that of the program.
const CAUTION_LINE: &str = "Lock out, bleed and block before you touch the machine: see «brusharm --help».";

/// The command line with the cautions under its help text and a line of them under that of every command.
fn command_line() -> clap::Command {
    let cautions = crate::report::cautions_text(crate::report::TEXT_WIDTH);
    let codes = "Exit codes: 0 done, whatever the verdict; 1 the system failed; 2 bad input or\n\
                 usage; 3 a criterion failed and --strict was given; 130 interrupted (what there\n\
                 was is told).";
    // The whole list under each command would bury its options; one line says what counts and where the rest is.
    let pointer = format!("{CAUTION_LINE}\n\n{codes}");
    let mut line = Arguments::command().after_help(format!("{cautions}\n{codes}"));
    let names: Vec<String> = line.get_subcommands().map(|c| c.get_name().to_owned()).collect();
    // The lists of the fault finder are of no file.
    line = line.mut_subcommand("fault", |c| c.mut_arg("file", |file| file.required(false)));
    for name in names {
        line = line.mut_subcommand(name, |c| c.after_help(pointer.clone()));
    }
    line
}

/// Runs the program with these arguments, the first being its name. Prints what there is to print.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let parsed = command_line().try_get_matches_from(arguments).and_then(|m| Arguments::from_arg_matches(&m));
    let arguments = match parsed {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version come this way too. When nobody reads them there is nobody to tell.
            let plain = error.render().to_string();
            let shown = crate::visible::visible(&plain);
            if error.use_stderr() && shown != plain {
                complain(shown.trim_end());
            } else {
                let _ = error.print();
            }
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(exit::BAD_INPUT));
        }
    };
    match arguments.command.run() {
        Ok(code) => ExitCode::from(code),
        Err(problem) => {
            complain(&problem.diagnostics.to_string());
            ExitCode::from(problem.code)
        }
    }
}
