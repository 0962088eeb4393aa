//! What a map is held against.

use crate::coverage::{BandCoverage, Solved};
use crate::drawing::palette::Role;

/// The set-up that a map is held against.
#[derive(Debug, Clone, Copy)]
pub struct Against<'a> {
    /// What it is called: «A».
    pub name: &'a str,
    /// Its colour and dashes.
    pub role: Role,
    /// The solved set-up.
    pub solved: &'a Solved,
}

/// Whether two passes have their stations in the same places, so that they can be held against each other spot by spot.
pub fn comparable(a: &Solved, b: &Solved) -> bool {
    let alike = |a: &BandCoverage, b: &BandCoverage| {
        a.band == b.band
            && a.stations.len() == b.stations.len()
            && (a.perimeter_m - b.perimeter_m).abs() < 1e-6
            && (a.z_low_m - b.z_low_m).abs() < 1e-9
            && a.stations.iter().zip(&b.stations).all(|(a, b)| (a.s_m - b.s_m).abs() < 1e-6)
    };
    let (a, b) = (&a.outcome.coverage.bands, &b.outcome.coverage.bands);
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
}
