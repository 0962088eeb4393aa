//! Each part of the machine against numbers worked by hand or a closed form, through what the engine shows of it.

#[path = "../common/mod.rs"]
mod common;

mod air;
mod asked;
mod contact;
mod judged;
mod place;
mod read;
mod struts;

use brusharm::arm::UnitModel;
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::{Forces, Modes, Motion, UnitDynamics, state};

/// Modes of an arm clear of its stops, valves shut.
fn modes(motion: Motion) -> Modes {
    Modes::clear(motion)
}

/// What acts on a unit with no vehicle near, and the derivative of its state.
fn forces(unit: &UnitModel, modes: &Modes, y: &[f64; state::COUNT]) -> (Forces, [f64; state::COUNT]) {
    let dynamics = UnitDynamics::alone(unit);
    let mut dy = [0.0; state::COUNT];
    let forces = dynamics.evaluate(0.0, y, modes, None, &mut SpanScratch::default(), &mut dy);
    (forces, dy)
}

/// The state of an arm at an angle and a rate, both chambers at the open air.
fn at(phi_rad: f64, omega_rad_s: f64) -> [f64; state::COUNT] {
    let mut y = [0.0; state::COUNT];
    (y[state::PHI], y[state::OMEGA]) = (phi_rad, omega_rad_s);
    (y[state::P_CAP], y[state::P_ROD]) = (brusharm::fluid::ATMOSPHERE_PA, brusharm::fluid::ATMOSPHERE_PA);
    y
}

/// The modes of an arm moving at a rate.
fn moving(omega_rad_s: f64) -> Modes {
    modes(if omega_rad_s > 0.0 { Motion::Out } else { Motion::In })
}

/// ∫ f from a to b, Simpson's rule.
fn integral(a: f64, b: f64, f: impl Fn(f64) -> f64) -> f64 {
    let n = 2000_u32;
    let h = (b - a) / f64::from(n);
    let inner = (1..n).map(|i| f(a + h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 });
    h / 3.0 * (f(a) + f(b) + inner.sum::<f64>())
}
