//! Readings of the machine beside the window's model: a file of them, fitted in the background, and what came of it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::App;
use super::command::{Column, Effect};
use super::edits::Edits;
use crate::calibrate::{Calibration, ReadingsText, calibrate, written};
use crate::drawing::readings::ReadingLine;
use crate::error::Diagnostics;
use crate::report::reading_name;
use crate::scenario::Scenario;
use crate::units::{counted, minus_signs};
use crate::visible::visible_line;
use crate::window::solver::Solved;

/// What is to be fitted.
#[derive(Debug, Clone)]
pub struct FitRequest {
    /// The file of readings.
    pub path: PathBuf,
    /// What is in it.
    pub text: Arc<ReadingsText>,
    /// The set-up it is fitted to.
    pub scenario: Scenario,
    /// What of it was changed in the window.
    pub edits: Edits,
}

/// A fit of the readings.
#[derive(Debug)]
pub struct Fitted {
    /// What was asked.
    pub request: FitRequest,
    /// What came of it.
    pub calibration: Calibration,
    /// Every value read against the model.
    pub lines: Vec<ReadingLine>,
}

/// Readings in the window.
#[derive(Debug, Clone, Default)]
pub enum Readings {
    /// None are open.
    #[default]
    None,
    /// They are being fitted.
    Fitting(PathBuf),
    /// They were fitted.
    Fitted(Arc<Fitted>),
    /// They could not be read or fitted.
    Failed(PathBuf, String),
}

impl Readings {
    /// One word, for tests.
    pub const fn word(&self) -> &'static str {
        match self {
            Readings::None => "none",
            Readings::Fitting(_) => "fitting",
            Readings::Fitted(_) => "fitted",
            Readings::Failed(..) => "failed",
        }
    }

    /// The file, where one is open.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Readings::None => None,
            Readings::Fitting(path) | Readings::Failed(path, _) => Some(path),
            Readings::Fitted(fitted) => Some(&fitted.request.path),
        }
    }
}

/// Fits readings; for the background.
///
/// # Errors
/// Why no machine goes with them, as text.
pub fn fit(request: &FitRequest) -> Result<Arc<Fitted>, String> {
    let calibration = calibrate(&request.scenario, &request.text).map_err(|errors| errors.to_string())?;
    let lines = lines(&calibration, &request.text);
    Ok(Arc::new(Fitted { request: request.clone(), calibration, lines }))
}

fn lines(calibration: &Calibration, text: &ReadingsText) -> Vec<ReadingLine> {
    let rows = calibration.rows.iter().enumerate();
    rows.map(|(r, row)| {
        let kind = text.file.readings.get(row.reading).map_or("", reading_name);
        let value = visible_line(&row.value.written);
        ReadingLine {
            name: format!("{} {kind}, {}", row.reading + 1, minus_signs(&value)),
            assumed: calibration.assumed_si.as_ref().map(|assumed| row.off(assumed[r])),
            fitted: row.off(calibration.expected_si[r]),
            counted: calibration.counted.contains(&r),
        }
    })
    .collect()
}

impl App {
    /// The readings that are open.
    pub const fn readings(&self) -> &Readings {
        &self.readings
    }

    /// Whether the set-up was changed since the readings were fitted.
    pub fn fit_is_stale(&self) -> bool {
        matches!(&self.readings, Readings::Fitted(fitted) if fitted.request.edits != *self.edits())
    }

    /// A file of readings was opened.
    pub(super) fn open_readings(
        &mut self,
        path: PathBuf,
        read: Result<Arc<ReadingsText>, Diagnostics>,
    ) -> Vec<Effect> {
        self.views.column = Column::Readings;
        match read {
            Ok(text) => self.fit(path, text),
            Err(refused) => {
                self.readings = Readings::Failed(path, refused.to_string());
                Vec::new()
            }
        }
    }

    pub(super) fn fit_again(&mut self) -> Vec<Effect> {
        let Readings::Fitted(fitted) = &self.readings else { return Vec::new() };
        let (path, text) = (fitted.request.path.clone(), Arc::clone(&fitted.request.text));
        self.fit(path, text)
    }

    fn fit(&mut self, path: PathBuf, text: Arc<ReadingsText>) -> Vec<Effect> {
        self.readings = Readings::Fitting(path.clone());
        let (scenario, edits) = (self.scenario.clone(), self.edits().clone());
        vec![Effect::Fit(Box::new(FitRequest { path, text, scenario, edits }))]
    }

    pub(super) fn fitted(&mut self, solved: Solved<FitRequest, Result<Arc<Fitted>, String>>) -> Vec<Effect> {
        let Solved { request, result, .. } = solved;
        // Another file may have been opened meanwhile.
        if !matches!(&self.readings, Readings::Fitting(path) if *path == request.path) {
            return Vec::new();
        }
        self.readings = match result.and_then(|inner| inner) {
            Ok(fitted) => Readings::Fitted(fitted),
            Err(reason) => Readings::Failed(request.path, reason),
        };
        Vec::new()
    }

    /// The scenario with the fitted values, to be written beside it and opened.
    pub(super) fn save_fitted(&mut self) -> Vec<Effect> {
        let Readings::Fitted(fitted) = &self.readings else { return Vec::new() };
        let Fitted { request, calibration, .. } = &**fitted;
        let file = request.path.file_name().map_or_else(String::new, |f| f.to_string_lossy().into_owned());
        let values = counted(calibration.rows.len() as u64, "value read", "values read");
        match written(calibration, &request.text.file.readings, &format!("{values} of {file}")) {
            Ok(text) => vec![Effect::WriteFitted(text)],
            Err(refused) => {
                self.told = Some(refused.to_string());
                Vec::new()
            }
        }
    }
}
