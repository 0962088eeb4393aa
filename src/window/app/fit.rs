//! A fit of readings of the machine: what is asked, and what came of it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::edits::Edits;
use crate::calibrate::{Calibration, ReadingsText, calibrate};
use crate::drawing::readings::ReadingLine;
use crate::report::reading_name;
use crate::scenario::Scenario;
use crate::units::minus_signs;
use crate::visible::visible_line;

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
            name: format!("{}: {}, {kind}", row.reading + 1, minus_signs(&value)),
            assumed: calibration.assumed_si.as_ref().map(|assumed| row.off(assumed[r])),
            fitted: row.off(calibration.expected_si[r]),
            counted: calibration.counted.contains(&r),
        }
    })
    .collect()
}
