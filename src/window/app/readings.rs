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
            name: format!("{}: {}, {kind}", row.reading + 1, minus_signs(&value)),
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

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::super::command::Command;
    use super::super::tests::Bench;
    use super::*;
    use crate::drawing::list::MIN_TEXT_SIZE;
    use crate::drawing::readings::readings_picture;
    use crate::window::solver::Solver;

    /// The weight, the brush and the gauge, nearly as the template says.
    const FEW: &str = r#"(
        schema: 1,
        of: Both,
        readings: [
            Weight(mass: ["12 lb"]),
            Diameter(diameter: ["53 in", "53-1/2 in"]),
            Gauge(cap: ["7.1 psi", "7 psi"]),
        ],
    )"#;

    fn answered(fits: &mut Solver<FitRequest, Result<Arc<Fitted>, String>>, request: FitRequest) -> Command {
        fits.submit(request);
        assert!(fits.wait(Instant::now() + Duration::from_secs(600)), "a fit in ten minutes");
        Command::Fitted(Box::new(fits.poll().expect("an answer")))
    }

    fn asked(effects: Vec<Effect>) -> FitRequest {
        match effects.into_iter().next() {
            Some(Effect::Fit(request)) => *request,
            other => panic!("a fit is asked for, not {other:?}"),
        }
    }

    /// Opened, fitted in the background, shown against the model; stale once a setting was changed, and fitted again; written with its values.
    #[test]
    fn verif_readings_are_fitted_shown_and_kept() {
        let mut bench = Bench::new(&[]);
        let mut fits = Solver::start(fit, || {}).expect("a thread");
        let path = PathBuf::from("readings.ron");
        let text = ReadingsText::read(FEW, "readings.ron").unwrap_or_else(|errors| panic!("{errors}"));
        let effects = bench.start(Command::OpenReadings(path.clone(), Ok(Arc::new(text))));
        assert!(bench.app.readings().word() == "fitting" && bench.app.views.column == Column::Readings);
        let first = answered(&mut fits, asked(effects));
        bench.run(first.clone());
        let Readings::Fitted(fitted) = bench.app.readings().clone() else {
            panic!("{:?}", bench.app.readings())
        };
        assert_eq!(fitted.lines.len(), 5);
        let weight = &fitted.lines[0];
        assert!(weight.name.contains("12 lb, weighed counterweight"), "{weight:?}");
        // 53 in, as the template says, and half an inch more.
        let [one, two] = [1, 2].map(|i| fitted.lines[i].assumed.expect("told"));
        assert!(one.abs() < 1e-9 && two > 0.2, "{one} {two}");
        assert!(fitted.lines[2].fitted < two && fitted.lines.iter().all(|line| line.counted));
        let list = readings_picture(&fitted.lines, 300.0, MIN_TEXT_SIZE);
        assert!(list.texts().iter().any(|text| text.text.contains("weighed")) && list.height > 60.0);
        assert!(!bench.app.fit_is_stale());
        bench.run(Command::Set("both.air.cap".to_owned(), "8 psi".to_owned()));
        assert!(bench.app.fit_is_stale());
        let request = asked(bench.start(Command::FitAgain));
        assert_eq!(request.edits, *bench.app.edits());
        // An answer to a file that is no longer open is dropped.
        bench.run(Command::Reloaded {
            path: "lane.ron".into(),
            read: Ok(Box::new(request.scenario.clone())),
            other: true,
        });
        bench.run(first);
        assert_eq!(bench.app.readings().word(), "none");
    }

    /// What is wrong with a file of readings is told with its place, and nothing is fitted; nothing is saved that was not fitted.
    #[test]
    fn verif_bad_readings_are_told() {
        let mut bench = Bench::new(&[]);
        let bad = ReadingsText::read(&FEW.replace("53 in", "53 psi"), "readings.ron").map(Arc::new);
        let effects = bench.start(Command::OpenReadings("readings.ron".into(), bad));
        assert!(effects.is_empty());
        let Readings::Failed(_, reason) = bench.app.readings() else { panic!() };
        assert!(reason.contains("53 psi") && reason.contains('^'), "{reason}");
        assert!(bench.start(Command::SaveFitted).is_empty() && bench.start(Command::FitAgain).is_empty());
    }
}
