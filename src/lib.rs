//! brusharm: what a wraparound brush set-up will do, before anyone touches the machine.
//!
//! A conveyor carries a vehicle past a pair of side brushes on pivoting arms. Each brush meets the nose, rides its side and swings round the
//! tail. Whether it stays on the tail is a race between the swing of the arm and the departing vehicle; bearings, air, stop pin, friction
//! and line speed decide it. This crate computes that race and says what was washed, what was missed, and what the mirrors and plates felt.
//!
//! # One run
//!
//! ```
//! use brusharm::coverage::measure;
//! use brusharm::pass::run;
//! use brusharm::scenario::Scenario;
//!
//! let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/ferry-return.ron"));
//! let standard = Scenario::read_alone(text, "ferry-return.ron")?;
//! // The lower bearing of both units 1/8 in toward the wall: gravity pulls the brushes inboard, they are heavier on the sides.
//! let heavier = standard.with(&[("both.bearings.lower_offset", "1/8 in")])?;
//!
//! let mut rubbing = Vec::new();
//! for scenario in [&standard, &heavier] {
//!     let setup = scenario.setup();
//!     let record = run(&setup)?;
//!     let outcome = measure(&setup, &record, &scenario.coverage_settings(), &scenario.criteria());
//!     let left_side = &outcome.zones[1];
//!     rubbing.push(left_side.rubbing_work_j_m2.expect("the left side is judged"));
//! }
//! assert!(rubbing[1] > 1.05 * rubbing[0]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Axes, signs, units
//!
//! - **Ground frame**: x downstream, the way the conveyor carries vehicles; y to the left of travel; z up from the floor. The lane centreline
//!   is y = 0. t = 0 when the nose of the measured vehicle is at x = 0.
//! - **Unit frame**: all physics of a brush unit is written once, for the left unit. The right unit is its mirror image (y → −y).
//! - **Swing angle** φ: 0 = the arm points straight across the lane, inboard; positive = swung downstream and outboard. Brush centre
//!   c = (x_p + L sin φ, y_p − L cos φ). A **positive torque** turns the arm outward.
//! - **Spin**: positive = counterclockwise seen from above in the unit frame, which drives the brush outboard at the nose and inboard at the
//!   tail.
//! - **Bearing offsets**: positive toward the wall. The lower bearing toward the wall leans the top inboard: heavier, chases more.
//! - **Vehicle frame**: x forward with the nose tip at 0, y to the left; perimeters run counterclockwise from the middle of the nose.
//! - Everything inside is SI and radians, and the name of a quantity carries its unit: `torque_n_m`, `gauge_pa`. Pressures are gauge unless
//!   they say absolute. Trade units live at the edges: [`units`] and the scenario files.
//!
//! # What is modelled
//!
//! The arm as a rigid body on a leaning pivot with true stick; counterweight on a cable that can go slack; dampers; a two-chamber air cylinder
//! with regulators, valves and ISO 6358 flow; bumper stops with a stop pin; strips that push back and rub along the first surface they meet;
//! brushes that press on each other; vehicles as stacks of height bands with mirrors, plates and the like; a train at conveyor speed. The
//! foam station up to the friction it leaves on the paint. Every formula stands in the module of its part, with its source; all of them on one
//! page in [`laws`].
//!
//! # What is not
//!
//! It is a plan view with height bands: no pitching or rocking vehicles, no flexing arm, no wheels and arches, no air drag, rigid bodywork,
//! features that do not fold. Water and chemistry enter only as mass and friction. It predicts how a set-up changes the wash; it does not
//! certify, and it is no safety case for a mirror. The maker's manual, local codes and lockout come first.
//!
//! # The rooms of the house
//!
//! [`geometry`] knows no wash words. [`vehicle`], [`arm`], [`foam`] stand on it, [`pass`] on them; [`coverage`] reads what a pass leaves, [`sentences`] says it.
//! [`scenario`] makes all of it from a file. [`study`] runs many passes. [`drawing`] and [`report`] turn results into pictures and text and
//! open no file; [`command`] is the only room that does. The window is an optional feature and draws the same pictures.

#[cfg(test)]
#[path = "../tests/common/residual.rs"]
#[macro_use]
mod residual;

pub mod arm;
pub mod calibrate;
#[cfg(feature = "cli")]
pub mod command;
pub mod coverage;
pub mod drawing;
mod elementary;
pub mod error;
pub mod fault;
pub mod fluid;
pub mod foam;
pub mod geometry;
#[doc = include_str!("guide.md")]
pub mod guide {}
pub mod laws;
pub mod live;
pub mod pass;
pub mod report;
pub mod scenario;
pub mod sentences;
pub mod study;
pub mod units;
pub mod vehicle;
pub mod visible;
#[cfg(feature = "window")]
pub mod window;

#[cfg(test)]
#[path = "../tests/common/cases.rs"]
mod fixed_cases;
