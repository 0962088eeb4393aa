//! What can be asked of the window's state, and what it asks of the outside.

use std::path::PathBuf;
use std::sync::Arc;

use super::desk::DeskCommand;
use super::desk::ask::StudyAsked;
use super::find::{FindAnswer, FindRequest, Tick};
use super::fit::{FitRequest, Fitted};
use super::guess::Guess;
use super::parts::Part;
use super::sheet::SheetAsked;
use super::solved::{Answer, Request};
use crate::arm::Side;
use crate::calibrate::ReadingsText;
use crate::coverage::measure::Measure;
use crate::drawing::Pos;
use crate::drawing::unrolled::Spot;
use crate::error::Diagnostics;
use crate::fault::Sign;
use crate::scenario::Scenario;
use crate::scenario::lesson::Lesson;
use crate::window::keys::Action;
use crate::window::pins::Slot;
use crate::window::{playback, solver};

/// Which units a change of a setting moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sides {
    /// Both together.
    #[default]
    Both,
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl Sides {
    /// All, in the order of the buttons.
    pub const ALL: [Sides; 3] = [Sides::Left, Sides::Right, Sides::Both];

    /// First part of the paths of its settings.
    pub const fn prefix(self) -> &'static str {
        match self {
            Sides::Both => "both",
            Sides::Left => "left",
            Sides::Right => "right",
        }
    }
}

/// What the column on the right shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Column {
    /// Stacked strips over the shared clock.
    #[default]
    Strips,
    /// Why: torque bars.
    Why,
    /// Differences of the pinned set-ups.
    Compare,
    /// Every criterion.
    Limits,
    /// Readings of the machine against the model.
    Readings,
    /// What is wrong with a brush.
    Fault,
}

impl Column {
    /// All, in the order of the buttons.
    pub const ALL: [Column; 6] =
        [Column::Strips, Column::Why, Column::Compare, Column::Limits, Column::Readings, Column::Fault];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Column::Strips => "over time",
            Column::Why => "why",
            Column::Compare => "compare",
            Column::Limits => "limits",
            Column::Readings => "readings",
            Column::Fault => "fault",
        }
    }
}

/// What stands in front where a window is too small for two beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Front {
    /// The plan view.
    Plan,
    /// The washed map.
    Map,
    /// The settings, or the lesson.
    Settings,
    /// The column on the right.
    Column,
}

/// What is in front of everything else.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Dialog {
    /// Nothing.
    #[default]
    None,
    /// The keys.
    Help,
    /// Save as a new file.
    SaveAs,
    /// Open a file.
    Open,
}

/// What can be asked.
#[derive(Debug, Clone)]
pub enum Command {
    /// A shortcut.
    Act(Action),
    /// Set a setting, in one go.
    Set(String, String),
    /// Set a setting as part of a drag.
    Drag(String, String),
    /// The drag is over.
    Settle,
    /// Move a setting by field steps.
    Step(String, i32),
    /// A setting back to the file.
    Reset(String),
    /// All settings back to the file.
    ResetAll,
    /// Choose a setting for the keys.
    Choose(String),
    /// A part of the plan view was clicked: choose what is turned there.
    ChoosePart(Part, Option<Side>),
    /// Look for settings.
    Search(String),
    /// The desk.
    Desk(DeskCommand),
    /// Which units the settings move.
    Sides(Sides),
    /// The time control.
    Time(playback::Command),
    /// So much real time passes, seconds.
    Advance(f64),
    /// Pin what is shown, or let it go when it is pinned.
    Pin(Slot),
    /// Let a pinned set-up go.
    Unpin(Slot),
    /// What the column on the right shows.
    Column(Column),
    /// The unit whose torques, chambers and events are shown.
    Detail(Side),
    /// A spot of the map was clicked.
    Spot(Spot),
    /// Map on or off.
    Map(bool),
    /// Quantity of the map.
    Quantity(crate::drawing::unrolled::MapQuantity),
    /// What stands in front in a small window.
    Front(Front),
    /// The map as the difference from A, or not.
    FromA(bool),
    /// Colours keep their numbers from now on, or follow what is shown.
    HoldScales(bool),
    /// What is in front.
    Dialog(Dialog),
    /// Save under this name.
    Save(PathBuf),
    /// Open this file.
    OpenFile(PathBuf),
    /// An answer of the solver.
    Solved(Box<solver::Solved<Request, Result<Answer, String>>>),
    /// The file changed on disk, or another one was opened.
    Reloaded {
        /// The file.
        path: PathBuf,
        /// What is in it.
        read: Result<Box<Scenario>, Diagnostics>,
        /// Whether it is another file, so that nothing of the old one stays.
        other: bool,
    },
    /// Run every cause on the machine as it is set.
    RunCauses,
    /// Tick a sign.
    Tick(Sign, Tick),
    /// Untick everything.
    TickNothing,
    /// Causes were run, or ranked.
    Found(Box<solver::Solved<FindRequest, Result<FindAnswer, String>>>),
    /// Show a cause happening: which of the hypotheses.
    ShowCause(usize),
    /// Back from a cause that is shown.
    HealthyAgain,
    /// A file of readings was opened.
    OpenReadings(PathBuf, Result<Arc<ReadingsText>, Diagnostics>),
    /// Fit the readings to the set-up as it is now.
    FitAgain,
    /// Readings were fitted.
    Fitted(Box<solver::Solved<FitRequest, Result<Arc<Fitted>, String>>>),
    /// Write the scenario with the fitted values, and open it.
    SaveFitted,
    /// A lesson was opened; its scenario is the one that is open.
    Lesson(Arc<Lesson>),
    /// Show the presentation view, or leave it.
    Present(bool),
    /// The measure of its banner; `None`: the one that tells most.
    PresentMeasure(Option<Measure>),
    /// What the class says the measure will do.
    TakeGuess(Guess),
    /// Leave the lesson.
    CloseLesson,
    /// Go to a step of the lesson.
    LessonStep(usize),
    /// Something to tell, or that went wrong outside.
    Tell(String),
    /// What was told has been read.
    Dismiss,
    /// Move the plan view on the page.
    Pan(f64, f64),
    /// Zoom the plan view about a page position.
    Zoom(f64, Pos),
    /// Show the whole plan view.
    Fit,
}

/// What the state asks of the outside.
#[derive(Debug, Clone)]
pub enum Effect {
    /// Solve this; give the answer back with its number.
    Solve(Box<Request>),
    /// Write a new file.
    Write {
        /// Where.
        path: PathBuf,
        /// What.
        text: String,
    },
    /// Make a set-up sheet and write it beside the scenario under a free name.
    MakeSheet(Box<SheetAsked>),
    /// Fit readings.
    Fit(Box<FitRequest>),
    /// Run causes, or rank them.
    Find(Box<FindRequest>),
    /// Write this scenario with fitted values beside the one that is open, under a free name, and open it.
    WriteFitted(String),
    /// Run a study of the desk.
    Study(Box<StudyAsked>),
    /// Put a text where it can be pasted from.
    Copy(String),
    /// Write a new file beside the scenario: its name with this added, under the first free number.
    Export {
        /// What is added to the name.
        added: String,
        /// Ending of the name.
        ending: &'static str,
        /// What is in it.
        text: String,
    },
    /// Open a file: scenario, lesson or readings.
    Open(PathBuf),
    /// Save the picture as PNG.
    Png,
    /// Save the picture as SVG.
    Svg,
    /// Go to full screen, or back.
    FullScreen(bool),
    /// Light or dark has changed.
    Theme,
    /// Close the window.
    Quit,
}
