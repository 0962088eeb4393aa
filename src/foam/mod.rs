//! The foam station: dilution, foam maker, film and friction.
//!
//! Three pure steps, each in SI with gauge pressures:
//!
//! 1. [`dilution`]: water drives an injector that draws concentrate through a metering tip; gives the ratio.
//! 2. [`foam_maker`], its law in [`balance`]: liquid and air meet in a tee and leave together through hose and outlets; gives flows, expansion
//!    ratio and regime.
//! 3. [`film`]: what reaches a vehicle becomes a liquid film, and the film a friction coefficient between dry and wet.
//!
//! [`station`] ties them together with tank and cost, [`demo`](fn@demo) is an invented one. [`dilution_study`] picks tips and
//! reduces draw-down and bucket tests, [`regime`] names what leaves the outlets, [`regime_map`] gives its margins and its map, [`fault`] looks
//! for what is wrong ([`fault_cause`]) from what is seen and read.
//!
//! It predicts; it does not certify. Before anything is opened: shut the water, switch off and bleed the air, relieve
//! the pressure in the lines, wear eye protection and read the concentrate's safety data sheet. The maker's manual and
//! local codes come first.

pub mod balance;
mod conditions;
pub mod demo;
pub mod dilution;
pub mod dilution_study;
pub mod error;
pub mod fault;
pub mod fault_cause;
pub mod film;
pub mod foam_maker;
pub mod pressure_path;
pub mod regime;
pub mod regime_map;
pub mod station;
mod water_side;

pub use demo::demo;
pub use error::FoamError;
pub use station::{Station, StationResult};
