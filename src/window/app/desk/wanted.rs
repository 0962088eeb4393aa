//! What the studies of the desk are of as things are set now, and what of them is of something else.

use std::sync::Arc;

use super::ask::{Job, StudyAsked, THROUGHPUT, What};
use super::{Run, StudyKind};
use crate::coverage::MeasureName;
use crate::coverage::measure::{ALL, Measure};
use crate::window::app::App;
use crate::window::app::command::Effect;
use crate::window::app::edits::{self, Edits};

impl App {
    /// The measure that the desk is about: the one chosen there, that of the banner, else the gap on the tail.
    pub fn desk_measure(&self) -> Measure {
        self.desk.measure.or(self.present.measure).unwrap_or(MeasureName::TailGap.whole())
    }

    /// The measures that the desk can be about: those that the shown pass has a number or a limit for.
    pub fn desk_measures(&self) -> Vec<Measure> {
        let Some(pass) = self.shown() else { return vec![self.desk_measure()] };
        let told = |measure: &Measure| {
            let reading = measure.read(&pass.outcome);
            reading.value.is_some() || reading.limit.is_some()
        };
        ALL.into_iter().filter(told).collect()
    }

    /// What differs from the file, for a study: the curve moves the throughput itself.
    pub(super) fn edits_for(&self, kind: StudyKind) -> Edits {
        let mut edits = self.edits().clone();
        if matches!(kind, StudyKind::Curve | StudyKind::Band) {
            edits.remove(THROUGHPUT);
        }
        edits
    }

    /// What a study of what is set now would be of.
    fn what(&self, kind: StudyKind) -> What {
        let (measure, desk) = (self.desk_measure(), &self.desk);
        let over = |(path, values): &(String, String)| format!("{path}={values}");
        match kind {
            StudyKind::Curve => What::Curve { measure, over: desk.over.clone() },
            StudyKind::Band => What::Band { measure, over: desk.over.clone() },
            StudyKind::Steps => What::Steps { measure },
            StudyKind::Advice => What::Advice { fleet: desk.fleet },
            StudyKind::Map => What::Map { measure, over: [over(&desk.axes[0]), over(&desk.axes[1])] },
            StudyKind::Foam => What::Foam {
                file: self.path().display().to_string(),
                title: self.title(),
                units: self.units,
                page: desk.foam_page,
            },
        }
    }

    /// What tells a study of what is set now from one of anything else.
    pub fn wanted_key(&self, kind: StudyKind) -> String {
        format!("{} {:?} {:?}", self.desk.file, self.edits_for(kind), self.what(kind))
    }

    /// Whether what a study came to last is of something else than what is set now.
    pub fn is_stale(&self, kind: StudyKind) -> bool {
        self.desk.found_key(kind).is_some_and(|key| key != self.wanted_key(kind))
    }

    /// Whether a study that follows what is set has still to be run for it.
    pub fn lags(&self, kind: StudyKind) -> bool {
        if !kind.follows() || (kind == StudyKind::Foam && self.scenario.foam_station().is_none()) {
            return false;
        }
        let wanted = self.wanted_key(kind);
        let tried = match self.desk.run(kind) {
            Run::Idle => false,
            Run::Working(_, key) | Run::Stopped(key) | Run::Failed(_, key) => *key == wanted,
        };
        !tried && self.desk.found_key(kind) != Some(wanted.as_str())
    }

    /// Asks for a study of what is set now; one that runs for something else is ended.
    pub(super) fn ask_for(&mut self, kind: StudyKind) -> Vec<Effect> {
        // A fault that is shown happening is no setting: the desk is of the machine as it is set.
        let scenario = match self.base.with(&edits::changes(&self.edits_for(kind))) {
            Ok(scenario) => Box::new(scenario),
            Err(_) => return Vec::new(),
        };
        let (key, what) = (self.wanted_key(kind), self.what(kind));
        let job = Arc::new(Job::default());
        let run = self.desk.run_mut(kind);
        if let Run::Working(job, _) = run {
            job.stop();
        }
        *run = Run::Working(Arc::clone(&job), key.clone());
        vec![Effect::Study(Box::new(StudyAsked { scenario, what, key, job }))]
    }
}
