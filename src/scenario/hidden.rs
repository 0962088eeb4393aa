//! Something about a machine that its settings do not show: what a class is to find.

use crate::pass::PassSetup;
use std::fmt;
use std::sync::Arc;

/// What a pass of something sound is computed from instead of what its settings say.
pub(super) struct Hidden<S>(Arc<Alter<S>>);

type Alter<S> = dyn Fn(&S) -> Option<PassSetup> + Send + Sync;

impl<S> Clone for Hidden<S> {
    fn clone(&self) -> Self {
        Hidden(Arc::clone(&self.0))
    }
}

impl<S> fmt::Debug for Hidden<S> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Hidden")
    }
}

impl<S> Hidden<S> {
    /// Hides what this makes of something sound; nothing where it does not fit.
    pub(super) fn new(alter: impl Fn(&S) -> Option<PassSetup> + Send + Sync + 'static) -> Hidden<S> {
        Hidden(Arc::new(alter))
    }

    /// What a pass of something sound comes to with it; `None` where it does not fit.
    pub(super) fn of(&self, sound: &S) -> Option<PassSetup> {
        (self.0)(sound)
    }
}
