//! What `coverage::measure` reports, against closed forms worked by hand: brushes on arms that friction locks, past bodies of straight
//! faces and round corners, so that every number has an answer known beforehand. Black box: set-up in, outcome out.

#[path = "../common/mod.rs"]
mod common;
mod rig;

mod bands;
mod gaps;
mod hands;
mod loads;
mod moving;
mod overlap;
mod post;
mod side;
mod stops;
mod timing;
mod told;
mod verdicts;
