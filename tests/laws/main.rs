//! Laws every pass must keep, whatever the machine: symmetry, energy, convergence, switches, scaling.

#[path = "../common/mod.rs"]
mod common;

mod apart;
mod converge;
mod coupled;
mod energy;
mod power;
mod rebuilt;
mod scaling;
mod start;
mod switches;
mod symmetry;
mod tolerance;
