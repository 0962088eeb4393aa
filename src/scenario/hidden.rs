//! Something about a machine that its settings do not show: what a class is to find.

use super::Scenario;
use crate::pass::PassSetup;
use std::fmt;
use std::sync::Arc;

/// What a pass is computed from instead of what the settings say.
#[derive(Clone)]
pub(super) struct Hidden(Arc<Alter>);

type Alter = dyn Fn(&Scenario) -> Option<PassSetup> + Send + Sync;

impl fmt::Debug for Hidden {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Hidden")
    }
}

impl Hidden {
    /// What a pass of a sound scenario comes to with it; `None` where it does not fit.
    pub(super) fn of(&self, sound: &Scenario) -> Option<PassSetup> {
        (self.0)(sound)
    }
}

impl Scenario {
    /// The scenario with something wrong that no setting shows: `alter` makes what a pass is computed from of the sound scenario, with whatever is set later. Where it
    /// gives nothing, the pass is that of the sound scenario.
    pub fn with_hidden(
        &self,
        alter: impl Fn(&Scenario) -> Option<PassSetup> + Send + Sync + 'static,
    ) -> Scenario {
        let mut new = self.clone();
        new.hidden = Some(Hidden(Arc::new(alter)));
        new
    }

    /// The scenario as its settings say.
    pub fn without_hidden(&self) -> Scenario {
        let mut new = self.clone();
        new.hidden = None;
        new
    }

    /// Whether it hides something.
    pub fn is_hiding(&self) -> bool {
        self.hidden.is_some()
    }
}
