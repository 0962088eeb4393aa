//! Temporary.
#![allow(missing_docs)]
use crate::geometry::*;
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    Nose,
    LeftSide,
    Tail,
    RightSide,
}
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FeatureKind {
    Mirror,
    Antenna,
    Plate,
    Hitch,
    SpareWheel,
    Rack,
    Step,
}
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FeatureSide {
    Left,
    Right,
    Both,
    Centre,
}
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    pub name: String,
    pub kind: FeatureKind,
    pub side: FeatureSide,
    pub limit_force_n: Option<f64>,
    pub spec: usize,
}
#[derive(Debug, Clone, PartialEq)]
pub struct PieceTag {
    pub zone: Zone,
    pub feature: Option<usize>,
}
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    pub chain: Chain,
    pub tags: Vec<PieceTag>,
    pub island: bool,
}
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    pub z_low_m: f64,
    pub z_high_m: f64,
    pub outlines: Vec<Outline>,
}
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    pub name: String,
    pub length_m: f64,
    pub width_m: f64,
    pub height_m: f64,
    pub bands: Vec<Band>,
    pub features: Vec<Feature>,
}
pub fn simple(length: f64, width: f64, r: f64) -> Vehicle {
    let (l, w) = (length, width / 2.0);
    let line =
        |ax: f64, ay: f64, bx: f64, by: f64| Piece::Line(Line { a: Vec2::new(ax, ay), b: Vec2::new(bx, by) });
    let q = std::f64::consts::FRAC_PI_4;
    let arc = |x: f64, y: f64, s: f64| {
        Piece::Arc(Arc { center: Vec2::new(x, y), radius_m: r, start_rad: s, sweep_rad: q })
    };
    let pieces = vec![
        line(0.0, 0.0, 0.0, w - r),
        arc(-r, w - r, 0.0),
        arc(-r, w - r, q),
        line(-r, w, -l + r, w),
        arc(-l + r, w - r, 2.0 * q),
        arc(-l + r, w - r, 3.0 * q),
        line(-l, w - r, -l, 0.0),
        line(-l, 0.0, -l, -w + r),
        arc(-l + r, -w + r, 4.0 * q),
        arc(-l + r, -w + r, 5.0 * q),
        line(-l + r, -w, -r, -w),
        arc(-r, -w + r, 6.0 * q),
        arc(-r, -w + r, 7.0 * q),
        line(0.0, -w + r, 0.0, 0.0),
    ];
    use Zone::*;
    let zones = [
        Nose, Nose, LeftSide, LeftSide, LeftSide, Tail, Tail, Tail, Tail, RightSide, RightSide, RightSide,
        Nose, Nose,
    ];
    let chain = Chain::new(pieces).unwrap();
    Vehicle {
        name: "box".into(),
        length_m: length,
        width_m: width,
        height_m: 1.5,
        features: vec![],
        bands: vec![Band {
            z_low_m: 0.2,
            z_high_m: 1.4,
            outlines: vec![Outline {
                chain,
                tags: zones.iter().map(|&zone| PieceTag { zone, feature: None }).collect(),
                island: false,
            }],
        }],
    }
}
