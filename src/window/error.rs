//! Why a window could not be shown.

/// Why the window could not be opened or had to close.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WindowError {
    /// No display answers.
    #[error(
        "cannot open the window: no display answers ({reason}).\n\
         The window needs a graphical screen: run the command in a desktop session, or set DISPLAY to one.\n\
         Everything else works without a screen, for example the text report and the sheet."
    )]
    NoDisplay {
        /// What was tried and what came back.
        reason: String,
    },
    /// There is a display, but no window could be made on it.
    #[error(
        "cannot open the window: {reason}.\n\
         The display must offer OpenGL 2.1 or newer; software drawing is enough (package «libgl1-mesa-dri» on Debian)."
    )]
    CannotOpen {
        /// What the window system said.
        reason: String,
    },
    /// The window closed because of a fault in the program.
    #[error("the window stopped because of a fault in the program: {reason}.\nNothing on disk was changed.")]
    Stopped {
        /// The fault.
        reason: String,
    },
}
