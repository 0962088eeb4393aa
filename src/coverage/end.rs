//! Nose and tail: what of a band stands there, and how far past its middle a touch reaches.

use crate::vehicle::{Band, FeatureKind, Vehicle, Zone};

/// An end of the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Nose,
    Tail,
}

impl End {
    pub const BOTH: [End; 2] = [End::Nose, End::Tail];

    const fn zone(self) -> Zone {
        match self {
            End::Nose => Zone::Nose,
            End::Tail => Zone::Tail,
        }
    }

    const fn sign(self) -> f64 {
        match self {
            End::Nose => 1.0,
            End::Tail => -1.0,
        }
    }

    /// How far the body itself stands out at this end of a band, m; `None` without a body.
    pub fn body_m(self, band: &Band) -> Option<f64> {
        let outline = band.body()?;
        let pieces = outline.chain.pieces().iter().zip(&outline.tags);
        let ends = pieces
            .filter(|(_, tag)| tag.feature.is_none())
            .flat_map(|(piece, _)| [piece.point_at(0.0), piece.point_at(piece.length_m())]);
        ends.map(|p| self.sign() * p.x).reduce(f64::max)
    }

    /// Kinds of feature that stand on this end of a band.
    pub fn has(self, vehicle: &Vehicle, band: &Band, kind: &dyn Fn(FeatureKind) -> bool) -> bool {
        let tags = band.body().map_or(&[][..], |outline| &outline.tags);
        let mut features = tags.iter().filter(|t| t.zone == self.zone()).filter_map(|t| t.feature);
        features.any(|feature| kind(vehicle.features[feature].kind))
    }

    /// How far past the middle of this end a touched stretch of the perimeter reaches, m. In its own handedness a unit stands on the first
    /// half of the perimeter, which starts at the middle of the nose; a touch on the last quarter is one past that middle.
    pub fn past_m(self, from_m: f64, to_m: f64, perimeter_m: f64) -> f64 {
        match self {
            End::Nose if from_m > 0.75 * perimeter_m => perimeter_m - from_m,
            End::Nose => -from_m,
            End::Tail if to_m > 0.75 * perimeter_m => to_m - 1.5 * perimeter_m,
            End::Tail => to_m - 0.5 * perimeter_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a perimeter of 10 m the middle of the nose is at 0, that of the tail at 5. By hand: beyond the nose is the end of the perimeter, and what lies
    /// there is half the perimeter short of the tail, seen round the unit's own side.
    #[test]
    fn verif_past_the_middle_by_hand() {
        for (end, from_m, to_m, past_m) in [
            (End::Nose, 0.3, 0.6, -0.3),
            (End::Nose, 9.8, 9.9, 0.2),
            (End::Nose, 7.6, 8.0, 2.4),
            (End::Nose, 7.4, 8.0, -7.4),
            (End::Nose, 7.5, 8.0, -7.5),
            (End::Tail, 7.0, 7.5, 2.5),
            (End::Tail, 4.0, 4.7, -0.3),
            (End::Tail, 4.0, 5.4, 0.4),
            (End::Tail, 7.0, 7.4, 2.4),
            (End::Tail, 7.4, 7.6, -7.4),
            (End::Tail, 9.8, 9.9, -5.1),
        ] {
            let got = end.past_m(from_m, to_m, 10.0);
            assert!((got - past_m).abs() < 1e-12, "{end:?} {from_m} … {to_m}: {got}");
        }
    }

    /// How far a body stands out at its ends, without what is fitted to it: a box from −0.3 to −4.1 m whose nose has a plate 0.1 m out.
    #[test]
    fn verif_how_far_a_body_stands_out() {
        use crate::geometry::{Chain, Line, Piece, Vec2};
        use crate::vehicle::{Outline, PieceTag};
        let corners = [
            (-0.2, 0.0),
            (-0.2, 0.1),
            (-0.3, 0.1),
            (-0.3, 1.0),
            (-4.1, 1.0),
            (-4.1, -1.0),
            (-0.3, -1.0),
            (-0.3, -0.1),
            (-0.2, -0.1),
        ];
        let point = |i: usize| Vec2::new(corners[i % 9].0, corners[i % 9].1);
        let pieces = (0..9).map(|i| Piece::Line(Line { a: point(i), b: point(i + 1) }));
        let tags = [Some(0), Some(0), None, None, None, None, None, Some(0), Some(0)];
        let zones = [
            Zone::Nose,
            Zone::Nose,
            Zone::Nose,
            Zone::LeftSide,
            Zone::Tail,
            Zone::RightSide,
            Zone::Nose,
            Zone::Nose,
            Zone::Nose,
        ];
        let outline = Outline {
            chain: Chain::new(pieces.collect()).expect("it closes"),
            tags: tags.into_iter().zip(zones).map(|(feature, zone)| PieceTag { zone, feature }).collect(),
            island: false,
        };
        let mut band = Band { z_low_m: 0.2, z_high_m: 0.8, outlines: vec![outline] };
        let near = |got: Option<f64>, want: f64| (got.expect("a body") - want).abs() < 1e-12;
        assert!(near(End::Nose.body_m(&band), -0.3) && near(End::Tail.body_m(&band), 4.1));
        band.outlines[0].island = true;
        assert_eq!(End::Nose.body_m(&band), None);
    }
}
