//! Readings of the machine beside the window's model: a file of them is opened, fitted in the background, shown, kept.

use std::path::PathBuf;
use std::sync::Arc;

use super::App;
use super::command::{Column, Effect};
use super::fit::{FitRequest, Fitted, Readings};
use crate::calibrate::{ReadingsText, written};
use crate::error::Diagnostics;
use crate::units::counted;
use crate::window::solver::Solved;

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
    use super::super::fit::fit;
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
