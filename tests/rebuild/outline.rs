//! What the strips can meet: pieces of outlines, in bands, of vehicles in a train.

use crate::parts::*;
use crate::plane::*;
use serde_json::Value;
use std::f64::consts::PI;

#[derive(Clone, Copy)]
pub enum Piece {
    Line { a: P, b: P },
    Arc { center: P, radius: f64, middle: P, cos_half: f64 },
}

impl Piece {
    pub fn read(v: &Value, flip: f64) -> Piece {
        let at = |v: &Value| [number(v, "x_m"), flip * number(v, "y_m")];
        let (from, to) = (at(&v["from"]), at(&v["to"]));
        if v["kind"] == "line" {
            // The outside stays on the right hand.
            return if flip > 0.0 { Piece::Line { a: from, b: to } } else { Piece::Line { a: to, b: from } };
        }
        let center = at(&v["center"]);
        let (off, half) = (sub(from, center), 0.5 * flip * number(v, "sweep_rad"));
        let radius = number(v, "radius_m");
        Piece::Arc { center, radius, middle: times(turned(off, half), 1.0 / radius), cos_half: half.cos() }
    }
    /// Directions that can meet it from `c`, as middle and half width; `None` when all of it is beyond `reach`.
    pub fn window(&self, c: P, reach: f64) -> Option<[f64; 2]> {
        match *self {
            Piece::Line { a, b } => {
                let (a, b) = (sub(a, c), sub(b, c));
                let along = sub(b, a);
                let s = (-dot(a, along) / dot(along, along)).clamp(0.0, 1.0);
                let nearest = add(a, times(along, s));
                let half = 0.5 * cross(a, b).atan2(dot(a, b));
                (dot(nearest, nearest) < reach * reach).then(|| [a[1].atan2(a[0]) + half, half.abs()])
            }
            Piece::Arc { center, radius, .. } => {
                let to = sub(center, c);
                let away = dot(to, to).sqrt();
                if away <= radius {
                    return (radius - away < reach).then_some([0.0, PI]);
                }
                // As far from the line of centres as a ray still meets it: to the tangent, or where the near side goes out of reach (cosine rule).
                let tangent_within_reach = away * away - radius * radius <= reach * reach;
                let half = if tangent_within_reach {
                    (radius / away).asin()
                } else {
                    ((away * away + reach * reach - radius * radius) / (2.0 * away * reach)).min(1.0).acos()
                };
                (away - radius < reach).then(|| [to[1].atan2(to[0]), half])
            }
        }
    }
    /// Directions in which a line goes out of `reach` of `c`.
    pub fn reached(&self, c: P, reach: f64) -> [Option<f64>; 2] {
        let Piece::Line { a, b } = *self else { return [None; 2] };
        let along = times(sub(b, a), 1.0 / dot(sub(b, a), sub(b, a)).sqrt());
        let foot = add(sub(a, c), times(along, dot(sub(c, a), along)));
        let square = reach * reach - dot(foot, foot);
        [-1.0, 1.0].map(|side| {
            let at = add(foot, times(along, side * square.max(0.0).sqrt()));
            (square > 0.0).then(|| at[1].atan2(at[0]))
        })
    }
    /// Distance along a ray, and the tangent where it meets.
    pub fn hit(&self, c: P, ray: P) -> Option<(f64, P)> {
        match *self {
            Piece::Line { a, b } => {
                let (to, along) = (sub(a, c), sub(b, a));
                let across = cross(ray, along);
                if across == 0.0 {
                    return None;
                }
                let (rho, s) = (cross(to, along) / across, cross(to, ray) / across);
                let long = dot(along, along).sqrt();
                (rho > 0.0 && (0.0..=1.0).contains(&s)).then(|| (rho, times(along, 1.0 / long)))
            }
            Piece::Arc { center, radius, middle, cos_half } => {
                let to = sub(center, c);
                let (along, miss) = (dot(to, ray), cross(to, ray));
                let square = radius * radius - miss * miss;
                if square < 0.0 {
                    return None;
                }
                let half = square.sqrt();
                for rho in [along - half, along + half] {
                    let off = sub(times(ray, rho), to);
                    if rho > 0.0 && dot(off, middle) >= radius * cos_half {
                        return Some((rho, times(left_of(off), 1.0 / radius)));
                    }
                }
                None
            }
        }
    }
}

pub struct Band {
    pub height: f64,
    pub shift: P,
    pub pieces: Vec<Piece>,
}

pub struct Vehicle {
    pub nose_at_zero: f64,
    pub length: f64,
    pub offset: f64,
    pub yaw: f64,
    pub bands: Vec<Band>,
}
