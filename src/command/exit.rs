//! Exit codes.

/// The command did its work, whatever the verdict.
pub(crate) const DONE: u8 = 0;
/// The system failed: a disk, a closed device.
pub(crate) const FAILED: u8 = 1;
/// Bad input or usage.
pub(crate) const BAD_INPUT: u8 = 2;
/// A criterion failed and that was to be told by the exit code.
pub(crate) const CRITERION_FAILED: u8 = 3;
/// Interrupted from the keyboard; what there was is told (128 + 2, as shells count signals).
pub(crate) const INTERRUPTED: u8 = 130;
