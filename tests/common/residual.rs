//! Residuals of the checks against outside references: what a check found, beside what it allows.
//!
//! `RESIDUALS=FILE cargo test val_` leaves a line for each in that file; `tests/validation/residuals.sh` makes the table from it.

use std::io::Write;

/// Holds a residual within its tolerance, and notes both. Use [`held!`].
pub fn hold(place: &str, what: &str, found: f64, tolerance: f64, said: &str) {
    // NaN is not held either.
    assert!(found <= tolerance, "{what} is {found:e}, allowed {tolerance:e} {said}");
    let Some(path) = std::env::var_os("RESIDUALS") else { return };
    let thread = std::thread::current();
    let test = thread.name().and_then(|name| name.rsplit("::").next()).unwrap_or("?");
    let what = what.split_whitespace().collect::<Vec<_>>().join(" ");
    let row = format!("{test}\t{place}\t{what}\t{found:.1e}\t{tolerance:.1e}\n");
    let mut file =
        std::fs::OpenOptions::new().create(true).append(true).open(&path).expect("RESIDUALS can be written");
    file.write_all(row.as_bytes()).expect("RESIDUALS can be written");
}

/// `held!(residual, tolerance)`, with a message of format arguments after it if wanted: the residual, never negative, is no more than the tolerance.
macro_rules! held {
    ($found:expr, $tolerance:expr $(,)?) => {
        $crate::residual::hold(file!(), stringify!($found), $found, $tolerance, "")
    };
    ($found:expr, $tolerance:expr, $($said:tt)+) => {
        $crate::residual::hold(file!(), stringify!($found), $found, $tolerance, &format!($($said)+))
    };
}
