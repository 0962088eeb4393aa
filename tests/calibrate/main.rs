//! Fitting the model to readings: the fit itself against certified regressions and SciPy, and what is said of a machine from readings of it.

#![expect(clippy::print_stderr, reason = "what was measured is told beside what is allowed")]

#[path = "../common/residual.rs"]
#[macro_use]
mod residual;

mod advice;
mod against_scipy;
mod demo_machine;
mod dual;
mod known_machines;
mod nist;
mod of_a_machine;
