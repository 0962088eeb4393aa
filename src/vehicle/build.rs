//! From a spec to outlines in height bands.

use super::attach::{Bump, Face, Problem};
use super::check::{SAME_M, check_spec};
use super::error::{VehicleError, length_text};
use super::half::{Corner, Part, Plan, close, mirrored, moved};
use super::{Band, BodySpec, Feature, FeaturePlace, FeatureSide, Outline, PieceTag, Vehicle, VehicleSpec};
use crate::geometry::{Chain, Vec2, crossings};

impl VehicleSpec {
    /// Checks the description and builds the outlines.
    pub fn build(&self) -> Result<Vehicle, VehicleError> {
        check_spec(self)?;
        let mut halves = Vec::with_capacity(self.body.len());
        for (index, body) in self.body.iter().enumerate() {
            halves.push(body_half(self, index, body)?);
        }
        let mut placed = Vec::new();
        for index in 0..self.features.len() {
            place(self, &halves, index, &mut placed)?;
        }
        let mut bands = Vec::new();
        for pair in edges(self).windows(2) {
            bands.push(self.band(&halves, &placed, pair[0], pair[1])?);
        }
        Ok(Vehicle {
            name: self.name.clone(),
            class: self.class.clone(),
            length_m: self.length_m,
            width_m: self.width_m,
            height_m: self.height_m,
            bands,
            features: placed.into_iter().map(|p| p.feature).collect(),
        })
    }

    fn band(
        &self,
        halves: &[Vec<Part>],
        placed: &[Placed],
        z_low_m: f64,
        z_high_m: f64,
    ) -> Result<Band, VehicleError> {
        let z = 0.5 * (z_low_m + z_high_m);
        let present =
            || placed.iter().enumerate().filter(|(_, p)| p.feature.z_low_m < z && z < p.feature.z_high_m);
        let mut outlines = Vec::new();
        if let Some(body) = self.body.iter().position(|b| b.z_low_m <= z && z <= b.z_high_m) {
            let (mut left, mut right) = (halves[body].clone(), halves[body].clone());
            let mut last = None;
            for (index, p) in present() {
                for (half, bump) in [(&mut left, p.bump_left(index)), (&mut right, p.bump_right(index))] {
                    if let Some(bump) = bump {
                        bump.attach(half).map_err(|problem| self.attach_error(placed, p, problem, z))?;
                        last = Some(p.feature.spec);
                    }
                }
            }
            left.extend(mirrored(&right));
            let (chain, tags) = close(&left).map_err(|e| self.close_error(body, last, z, &e.to_string()))?;
            outlines.push(Outline { chain, tags, island: false });
        }
        for (index, p) in present() {
            let Some(parts) = &p.island else { continue };
            let spec = p.feature.spec;
            let own: Vec<Part> = parts
                .iter()
                .map(|part| Part { tag: PieceTag { feature: Some(index), ..part.tag }, ..*part })
                .collect();
            let (chain, tags) =
                close(&own).map_err(|e| self.close_error(0, Some(spec), z, &e.to_string()))?;
            for other in &outlines {
                if touch(&chain, &other.chain) {
                    return Err(self.island_error(placed, spec, other, z));
                }
            }
            outlines.push(Outline { chain, tags, island: true });
        }
        Ok(Band { z_low_m, z_high_m, outlines })
    }

    fn attach_error(&self, placed: &[Placed], p: &Placed, problem: Problem, z: f64) -> VehicleError {
        let k = p.feature.spec;
        match problem {
            Problem::Misses => misses(self, k, z),
            Problem::Overlaps(other) => VehicleError::new(
                format!("features[{k}]"),
                format!("«{}» on «{}» at {}", p.feature.name, placed[other].feature.name, length_text(z)),
                "features beside each other, or at different heights",
                "move one of the two",
            ),
        }
    }

    fn close_error(&self, body: usize, feature: Option<usize>, z: f64, why: &str) -> VehicleError {
        let field = feature.map_or_else(|| format!("body[{body}]"), |k| format!("features[{k}]"));
        VehicleError::new(
            field,
            format!("an outline that does not close properly at {}", length_text(z)),
            "an outline that nowhere touches or crosses itself",
            format!("look for parts that run into each other ({why})"),
        )
    }

    fn island_error(&self, placed: &[Placed], k: usize, other: &Outline, z: f64) -> VehicleError {
        let what = match other.tags.iter().find_map(|tag| tag.feature).filter(|_| other.island) {
            Some(index) => format!("«{}»", placed[index].feature.name),
            None => "the body".to_owned(),
        };
        VehicleError::new(
            format!("features[{k}]"),
            format!("«{}» in {what} at {}", self.features[k].name, length_text(z)),
            "a place outside of the body and of other features over its whole height",
            "start it at the height where it leaves the body, or move it",
        )
    }
}

fn misses(spec: &VehicleSpec, k: usize, z: f64) -> VehicleError {
    let (field, advice) = match spec.features[k].place {
        FeaturePlace::Nose { .. } | FeaturePlace::Tail { .. } => {
            ("width", "narrow it, move it toward the centreline, or change its heights")
        }
        _ => ("behind_nose", "move it along the vehicle, or change its heights"),
    };
    VehicleError::new(
        format!("features[{k}].{field}"),
        format!("a place with no body behind it at {}", length_text(z)),
        "a place on the body over its whole height",
        advice,
    )
}

/// Plan of a body, and its left half.
fn body_half(spec: &VehicleSpec, index: usize, body: &BodySpec) -> Result<Vec<Part>, VehicleError> {
    let plan = Plan {
        front_x_m: 0.0 - body.nose_setback_m,
        rear_x_m: body.tail_setback_m - spec.length_m,
        half_width_m: 0.5 * body.width_m,
        nose_sweep_m: body.nose_sweep_m,
        nose_radius_m: body.nose_corner_radius_m,
        tail_sweep_m: body.tail_sweep_m,
        tail_radius_m: body.tail_corner_radius_m,
        barrel_m: body.side_barrel_m,
    };
    plan.left_half().map_err(|corner| {
        let (name, given) = match corner {
            Corner::Nose => ("nose_corner_radius", body.nose_corner_radius_m),
            Corner::Tail => ("tail_corner_radius", body.tail_corner_radius_m),
        };
        // Rounded down to what is shown, so that the shown value fits.
        let most = (plan.largest_radius_m(corner) * 1.0e4).floor() / 1.0e4;
        let allowed = format!("at most {}", length_text(most));
        VehicleError::new(
            format!("body[{index}].{name}"),
            length_text(given),
            allowed,
            "reduce the corner radius",
        )
    })
}

/// A physical feature and its shape: a bump on a half outline, or an island.
struct Placed {
    feature: Feature,
    bump: Option<Bump>,
    island: Option<Vec<Part>>,
}

impl Placed {
    /// The bump as the left half outline sees it.
    fn bump_left(&self, feature: usize) -> Option<Bump> {
        let bump = Bump { feature, ..self.bump? };
        let there =
            if bump.face == Face::Side { self.feature.side == FeatureSide::Left } else { bump.high_m > 0.0 };
        there.then_some(bump)
    }

    /// The bump as the right half outline sees it, mirrored into a left half.
    fn bump_right(&self, feature: usize) -> Option<Bump> {
        let bump = Bump { feature, ..self.bump? };
        if bump.face == Face::Side {
            return (self.feature.side == FeatureSide::Right).then_some(bump);
        }
        let flipped = Bump { low_m: -bump.high_m, high_m: -bump.low_m, ..bump };
        (flipped.high_m > 0.0).then_some(flipped)
    }
}

/// Adds the one or two physical features of entry `k`.
fn place(
    spec: &VehicleSpec,
    halves: &[Vec<Part>],
    k: usize,
    placed: &mut Vec<Placed>,
) -> Result<(), VehicleError> {
    let given = &spec.features[k];
    let sides: &[FeatureSide] = match given.side {
        FeatureSide::Both => &[FeatureSide::Left, FeatureSide::Right],
        FeatureSide::Left => &[FeatureSide::Left],
        FeatureSide::Right => &[FeatureSide::Right],
        FeatureSide::Centre => &[FeatureSide::Centre],
    };
    let first = placed.len();
    for (turn, &side) in sides.iter().enumerate() {
        // y as given for left and centre, mirrored for right.
        let sign = if side == FeatureSide::Right { -1.0 } else { 1.0 };
        let surface = |face: Face, low_m: f64, high_m: f64| surface_m(spec, halves, k, face, low_m, high_m);
        let bump = |face, low_m, high_m, tip_m, reach_m: f64, radius_m| {
            Some(Bump { face, low_m, high_m, tip_m, flush: reach_m == 0.0, radius_m, feature: 0 })
        };
        let (reach_point_m, bump, island) = match given.place {
            FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m } => {
                let (front, rear) = (0.0 - behind_nose_m, -(behind_nose_m + length_m));
                let tip = surface(Face::Side, rear, front)? + reach_m;
                let middle = Vec2::new(0.5 * (front + rear), sign * tip);
                (middle, bump(Face::Side, rear, front, tip, reach_m, corner_radius_m), None)
            }
            FeaturePlace::Nose { y_m, width_m, reach_m, corner_radius_m } => {
                let (y, half) = (sign * y_m, 0.5 * width_m);
                let tip = surface(Face::Nose, y - half, y + half)? + reach_m;
                (Vec2::new(tip, y), bump(Face::Nose, y - half, y + half, tip, reach_m, corner_radius_m), None)
            }
            FeaturePlace::Tail { y_m, width_m, reach_m, corner_radius_m } => {
                let (y, half) = (sign * y_m, 0.5 * width_m);
                let tip = surface(Face::Tail, y - half, y + half)? - reach_m;
                (Vec2::new(tip, y), bump(Face::Tail, y - half, y + half, tip, reach_m, corner_radius_m), None)
            }
            FeaturePlace::Standing { behind_nose_m, y_m, length_m, width_m, corner_radius_m } => {
                let parts = island(spec, k, length_m, width_m, corner_radius_m)?;
                let y = sign * y_m;
                // Built on the left and mirrored, so that a pair is an exact mirror image.
                let parts = moved(&parts, Vec2::new(-behind_nose_m, y.abs()));
                let parts = if y < 0.0 { mirrored(&parts) } else { parts };
                (Vec2::new(-(behind_nose_m + 0.5 * length_m), y), None, Some(parts))
            }
        };
        let name = match side {
            FeatureSide::Centre => given.name.clone(),
            side => format!("{} {}", side.name(), given.name),
        };
        let feature = Feature {
            name,
            kind: given.kind,
            side,
            limit_force_n: given.limit_force_n,
            z_low_m: given.z_low_m,
            z_high_m: given.z_high_m,
            reach_m: reach_point_m,
            spec: k,
            mirror_index: first + sides.len() - 1 - turn,
        };
        placed.push(Placed { feature, bump, island });
    }
    Ok(())
}

/// Outermost surface behind a feature, over its heights, between its two ends. Bodies are convex: the outermost point is an end or
/// the crown of the surface.
fn surface_m(
    spec: &VehicleSpec,
    halves: &[Vec<Part>],
    k: usize,
    face: Face,
    low_m: f64,
    high_m: f64,
) -> Result<f64, VehicleError> {
    let feature = &spec.features[k];
    let mut outermost: Option<f64> = None;
    for (body, half) in spec.body.iter().zip(halves) {
        if body.z_high_m <= feature.z_low_m + SAME_M || body.z_low_m >= feature.z_high_m - SAME_M {
            continue;
        }
        // The crown of the surface, where it is bowed out furthest: the centreline, or the middle of the side.
        let crown = match face {
            Face::Side => {
                let front = -(body.nose_setback_m + body.nose_sweep_m);
                let rear = body.tail_setback_m + body.tail_sweep_m - spec.length_m;
                0.5 * (front + rear)
            }
            Face::Nose | Face::Tail => 0.0,
        };
        for at in [low_m, crown.clamp(low_m, high_m), high_m] {
            // Nose and tail are symmetric: their left half stands for both.
            let at = if face == Face::Side { at } else { at.abs() };
            let z = 0.5 * (body.z_low_m + body.z_high_m);
            let surface = face.surface_m(half, at).ok_or_else(|| misses(spec, k, z))?;
            outermost =
                Some(outermost.map_or(surface, |out| {
                    if face == Face::Tail { out.min(surface) } else { out.max(surface) }
                }));
        }
    }
    outermost.ok_or_else(|| misses(spec, k, 0.5 * (feature.z_low_m + feature.z_high_m)))
}

/// Outline of a thing that stands free, its front at x = 0 and its middle at y = 0.
fn island(
    spec: &VehicleSpec,
    k: usize,
    length_m: f64,
    width_m: f64,
    radius_m: f64,
) -> Result<Vec<Part>, VehicleError> {
    let plan = Plan {
        front_x_m: 0.0,
        rear_x_m: -length_m,
        half_width_m: 0.5 * width_m,
        nose_sweep_m: 0.0,
        nose_radius_m: radius_m,
        tail_sweep_m: 0.0,
        tail_radius_m: radius_m,
        barrel_m: 0.0,
    };
    let left = plan.left_half().map_err(|_| {
        VehicleError::new(
            format!("features[{k}].corner_radius"),
            length_text(radius_m),
            format!("at most {}", length_text(0.5 * length_m.min(width_m))),
            format!("reduce the corner radius of «{}»", spec.features[k].name),
        )
    })?;
    let mut parts = left.clone();
    parts.extend(mirrored(&left));
    Ok(parts)
}

/// Whether two outlines share a point or one holds the other.
fn touch(a: &Chain, b: &Chain) -> bool {
    if !a.bounds().meets(&b.bounds(), 0.0) {
        return false;
    }
    let crossing = a.pieces().iter().any(|p| {
        let near = p.bounds();
        b.pieces().iter().any(|q| near.meets(&q.bounds(), 0.0) && !crossings(p, q).is_empty())
    });
    crossing || b.contains(a.point_at(0.0)) || a.contains(b.point_at(0.0))
}

/// Every height at which something begins or ends, lowest first; edges closer than 1 µm count as one.
fn edges(spec: &VehicleSpec) -> Vec<f64> {
    let bodies = spec.body.iter().flat_map(|b| [b.z_low_m, b.z_high_m]);
    let features = spec.features.iter().flat_map(|f| [f.z_low_m, f.z_high_m]);
    let mut edges: Vec<f64> = bodies.chain(features).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|next, kept| *next - *kept <= SAME_M);
    edges
}
