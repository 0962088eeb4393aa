//! A set-up as changes from the file that was opened, and its solved pass.

use crate::coverage::Solved;
use crate::error::{Diagnostic, Diagnostics, Refusal};
use crate::scenario::Scenario;
use crate::scenario::lesson::Lesson;
use crate::scenario::setting::Reading;
use crate::study::lesson::with_fault_of;
use std::cell::OnceCell;
use std::rc::Rc;

/// Why a question is not answered; a text for a person.
#[derive(Debug)]
pub(super) struct Refused(pub String);

impl From<String> for Refused {
    fn from(text: String) -> Refused {
        Refused(text)
    }
}

impl From<serde_json::Error> for Refused {
    fn from(error: serde_json::Error) -> Refused {
        Refused(format!("the question is not understood: {error}"))
    }
}

/// Changes: path and value as written, each setting of one unit or of the line at most once.
pub(super) type Changes = Vec<(String, String)>;

/// Passes kept: the set-up shown, the one before it, three pinned, the one opened.
const KEPT: usize = 6;

/// A set-up with its pass.
#[derive(Debug)]
pub(super) struct Setup {
    pub changes: Changes,
    /// The step of the lesson whose fault it hides.
    step: Option<usize>,
    pub scenario: Scenario,
    pub solved: Solved,
    key_s: OnceCell<f64>,
}

impl Setup {
    /// The instant that tells most of the pass, s.
    pub fn key_s(&self) -> f64 {
        *self.key_s.get_or_init(|| self.solved.key_instant_s())
    }
}

/// Title of the scenario, or its file name.
pub(super) fn title(scenario: &Scenario) -> &str {
    let title = scenario.file().title.trim();
    if title.is_empty() { scenario.file_name() } else { title }
}

/// The file opened and what was solved of it last.
#[derive(Debug)]
pub(super) struct Bench {
    pub base: Scenario,
    pub lesson: Option<Lesson>,
    /// The step of the lesson that is looked at, where it hides a fault.
    step: Option<usize>,
    kept: Vec<Rc<Setup>>,
}

impl Bench {
    pub fn new(base: Scenario, lesson: Option<Lesson>) -> Bench {
        Bench { base, lesson, step: None, kept: Vec::new() }
    }

    /// Looks at a step of the lesson: what it hides is in every set-up from now on, except those beside it.
    pub fn look(&mut self, step: Option<usize>) {
        let hides = |step: &usize| {
            let steps = self.lesson.as_ref().map(|lesson| &lesson.file.steps);
            steps.and_then(|steps| steps.get(*step)).is_some_and(|step| step.fault.is_some())
        };
        self.step = step.filter(hides);
    }

    /// The scenario with these changes.
    pub fn scenario(&self, changes: &Changes) -> Result<Scenario, String> {
        if let Some(kept) = self.kept.iter().find(|setup| setup.changes == *changes) {
            return Ok(kept.scenario.without_hidden());
        }
        if changes.is_empty() {
            return Ok(self.base.clone());
        }
        self.base.with(changes).map_err(|refused| refused.to_string())
    }

    /// The solved set-up, with what the step looked at hides.
    pub fn setup(&mut self, changes: &Changes) -> Result<Rc<Setup>, String> {
        self.solved(changes, self.step)
    }

    /// The solved set-up as its settings say.
    pub fn beside(&mut self, changes: &Changes) -> Result<Rc<Setup>, String> {
        self.solved(changes, None)
    }

    fn solved(&mut self, changes: &Changes, step: Option<usize>) -> Result<Rc<Setup>, String> {
        let is_it = |setup: &Rc<Setup>| setup.changes == *changes && setup.step == step;
        if let Some(at) = self.kept.iter().position(is_it) {
            let setup = self.kept.remove(at);
            self.kept.push(setup.clone());
            return Ok(setup);
        }
        let mut scenario = self.scenario(changes)?;
        if let (Some(lesson), Some(step)) = (&self.lesson, step) {
            scenario = with_fault_of(lesson, &scenario, step).map_err(|refused| refused.to_string())?;
        }
        let solved = scenario.solve().map_err(|error| {
            let refusal = Refusal {
                problem: error.to_string(),
                advice: "turn the last setting back".to_owned(),
                ..Refusal::default()
            };
            Diagnostics::from(Diagnostic::of_file(scenario.file_name(), refusal)).to_string()
        })?;
        let setup =
            Rc::new(Setup { changes: changes.clone(), step, scenario, solved, key_s: OnceCell::new() });
        if self.kept.len() >= KEPT {
            self.kept.remove(0);
        }
        self.kept.push(setup.clone());
        Ok(setup)
    }

    /// The changes after a setting was moved by field steps.
    pub fn turned(&self, changes: &Changes, path: &str, steps: i32) -> Result<Changes, String> {
        let now = self.scenario(changes)?;
        let setting = now.setting(path).map_err(|refused| refused.to_string())?;
        if let Some(more) = setting.step(&now, steps) {
            return self.merged(changes, more);
        }
        let (Some(at), Some(step)) = (setting.value_si(&now), setting.step_si()) else {
            return Err("error: this setting has no steps\ndo:      choose its value".to_owned());
        };
        // Out of range: said as everywhere.
        match now.with_si(&[(path, at + f64::from(steps) * step)]) {
            Err(refused) => Err(refused.to_string()),
            Ok(_) => Err("error: the value is out of range".to_owned()),
        }
    }

    /// The changes after a value was typed; a number alone is in the unit of the field step.
    pub fn put(&self, changes: &Changes, path: &str, value: &str) -> Result<Changes, String> {
        let now = self.scenario(changes)?;
        let given = [(path.to_owned(), value.to_owned())];
        let typed = now.typed(&given).map_err(|refused| refused.to_string())?;
        let more: Changes = typed.iter().map(|change| change.pair()).collect();
        // What cannot be read is refused here, before it stands among the changes.
        now.with(&more).map_err(|refused| refused.to_string())?;
        self.merged(changes, more)
    }

    /// Changes with more of them: each path once, and none that says what the file says.
    pub fn merged(&self, changes: &Changes, more: Changes) -> Result<Changes, String> {
        let mut all = changes.clone();
        for (path, text) in more {
            let each = match path.strip_prefix("both.") {
                Some(rest) => vec![format!("left.{rest}"), format!("right.{rest}")],
                None => vec![path],
            };
            for path in each {
                let place = all.iter().position(|(there, _)| *there == path);
                let same = self.says(&path, &text);
                match (place, same) {
                    (Some(at), true) => drop(all.remove(at)),
                    (Some(at), false) => all[at].1 = text.clone(),
                    (None, true) => {}
                    (None, false) => all.push((path, text.clone())),
                }
            }
        }
        self.scenario(&all)?;
        Ok(all)
    }

    /// Whether the file opened says this of a setting already.
    fn says(&self, path: &str, text: &str) -> bool {
        let Ok(setting) = self.base.setting(path) else { return false };
        match (setting.read(&self.base), setting.number(text)) {
            (Some(Reading::Value(value)), Ok(si)) => {
                (value.si - si).abs() <= 1e-9 * value.si.abs().max(si.abs())
            }
            _ => false,
        }
    }
}
