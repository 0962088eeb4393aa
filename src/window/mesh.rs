//! egui's triangles on the graphics card, through macroquad's public drawing calls.
//!
//! egui blends with premultiplied alpha and cuts each mesh to a rectangle. The blending is done by one small shader. The cutting is done here:
//! most triangles lie inside their rectangle, so that only the few on its edge cost anything, and meshes with different rectangles still go
//! out together.

use std::collections::BTreeMap;

use egui::epaint::{Mesh, Mesh16, Primitive, Vertex as EguiVertex};
use egui::{ClippedPrimitive, Color32, ImageData, Pos2, Rect, TextureFilter, TextureId, TexturesDelta, pos2};
use macroquad::miniquad::{BlendFactor, BlendState, BlendValue, Equation};
use macroquad::prelude::{
    FilterMode, Image, Material, MaterialParams, PipelineParams, ShaderSource, Texture2D, Vertex, draw_mesh,
    gl_use_default_material, gl_use_material, load_material, vec2, vec3, vec4,
};

const VERTEX: &str = "#version 100
attribute vec3 position;
attribute vec2 texcoord;
attribute vec4 color0;
varying highp vec2 uv;
varying lowp vec4 color;
uniform mat4 Model;
uniform mat4 Projection;
void main() {
    gl_Position = Projection * Model * vec4(position, 1.0);
    uv = texcoord;
    color = color0 / 255.0;
}";

const FRAGMENT: &str = "#version 100
varying highp vec2 uv;
varying lowp vec4 color;
uniform sampler2D Texture;
void main() {
    gl_FragColor = color * texture2D(Texture, uv);
}";

/// Vertices that one draw call may hold; macroquad numbers them with 16 bits.
pub(super) const MOST_VERTICES: usize = 65_000;
/// Indices that one draw call may hold.
pub(super) const MOST_INDICES: usize = 200_000;

/// Draws egui's output.
pub(super) struct Painter {
    material: Material,
    textures: BTreeMap<TextureId, Texture2D>,
    room: macroquad::prelude::Mesh,
}

impl Painter {
    /// Makes the shader.
    pub(super) fn new() -> Result<Painter, String> {
        let over = BlendState::new(
            Equation::Add,
            BlendFactor::One,
            BlendFactor::OneMinusValue(BlendValue::SourceAlpha),
        );
        let pipeline_params =
            PipelineParams { color_blend: Some(over), alpha_blend: Some(over), ..PipelineParams::default() };
        let parameters = MaterialParams { pipeline_params, ..MaterialParams::default() };
        let material = load_material(ShaderSource::Glsl { vertex: VERTEX, fragment: FRAGMENT }, parameters)
            .map_err(|error| format!("the graphics driver did not take the shader: {error}"))?;
        let room = macroquad::prelude::Mesh { vertices: Vec::new(), indices: Vec::new(), texture: None };
        Ok(Painter { material, textures: BTreeMap::new(), room })
    }

    /// Takes over new and changed textures. All of `delta.set` must be taken before drawing.
    pub(super) fn take_textures(&mut self, delta: &mut TexturesDelta) {
        for (id, changes) in delta.set.drain() {
            for change in changes {
                let ImageData::Color(image) = &change.image;
                let bytes: Vec<u8> = image.pixels.iter().flat_map(|pixel| pixel.to_array()).collect();
                let (width, height) = (image.size[0] as u16, image.size[1] as u16);
                match (change.pos, self.textures.get(&id)) {
                    (Some([x, y]), Some(texture)) => {
                        let part = Image { bytes, width, height };
                        let (x, y) = (x as i32, y as i32);
                        texture.update_part(&part, x, y, i32::from(width), i32::from(height));
                    }
                    _ => {
                        let texture = Texture2D::from_rgba8(width, height, &bytes);
                        texture.set_filter(match change.options.magnification {
                            TextureFilter::Nearest => FilterMode::Nearest,
                            TextureFilter::Linear => FilterMode::Linear,
                        });
                        self.textures.insert(id, texture);
                    }
                }
            }
        }
    }

    /// Lets go of textures that egui no longer uses. To be called after drawing.
    pub(super) fn free_textures(&mut self, delta: &mut TexturesDelta) {
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    /// Draws the meshes in order. `scale` turns egui's points into macroquad's units.
    pub(super) fn draw(&mut self, primitives: Vec<ClippedPrimitive>, scale: f32, pixels_per_unit: f32) {
        gl_use_material(&self.material);
        for ClippedPrimitive { clip_rect, primitive } in primitives {
            let Primitive::Mesh(mesh) = primitive else { continue };
            let Some(texture) = self.textures.get(&mesh.texture_id) else { continue };
            // Cut at whole pixels, as egui's own painters do.
            let pixels = scale * pixels_per_unit;
            let snap = |p: Pos2| pos2((p.x * pixels).round() / pixels, (p.y * pixels).round() / pixels);
            let mesh = cut(mesh, Rect::from_min_max(snap(clip_rect.min), snap(clip_rect.max)));
            for part in parts(mesh) {
                // The room of the mesh before serves again.
                self.room.vertices.clear();
                self.room.vertices.extend(part.vertices.iter().map(|v| Vertex {
                    position: vec3(v.pos.x * scale, v.pos.y * scale, 0.0),
                    uv: vec2(v.uv.x, v.uv.y),
                    color: v.color.to_array(),
                    normal: vec4(0.0, 0.0, 0.0, 0.0),
                }));
                self.room.indices = part.indices;
                self.room.texture = Some(texture.weak_clone());
                draw_mesh(&self.room);
            }
        }
        gl_use_default_material();
    }
}

/// The part of a mesh that lies inside a rectangle.
fn cut(mut mesh: Mesh, window: Rect) -> Mesh {
    if mesh.vertices.iter().all(|vertex| window.contains(vertex.pos)) {
        return mesh;
    }
    let mut kept: Vec<u32> = Vec::with_capacity(mesh.indices.len());
    let mut corners: Vec<EguiVertex> = Vec::new();
    for triangle in mesh.indices.chunks_exact(3) {
        let [a, b, c] = [triangle[0], triangle[1], triangle[2]].map(|index| mesh.vertices[index as usize]);
        let bounds = Rect::from_points(&[a.pos, b.pos, c.pos]);
        if window.contains_rect(bounds) {
            kept.extend_from_slice(triangle);
        } else if window.intersects(bounds) {
            corners.clear();
            corners.extend([a, b, c]);
            for (keep_above, level, upright) in [
                (true, window.min.x, true),
                (false, window.max.x, true),
                (true, window.min.y, false),
                (false, window.max.y, false),
            ] {
                corners = cut_at(&corners, level, upright, keep_above);
            }
            let first = mesh.vertices.len() as u32;
            for index in 2..corners.len() as u32 {
                kept.extend([first, first + index - 1, first + index]);
            }
            if corners.len() > 2 {
                mesh.vertices.extend_from_slice(&corners);
            }
        }
    }
    mesh.indices = kept;
    mesh
}

/// The part of a convex area on one side of an upright or a level line (Sutherland and Hodgman, Communications of the ACM 17, 1974).
fn cut_at(corners: &[EguiVertex], level: f32, upright: bool, keep_above: bool) -> Vec<EguiVertex> {
    let inside = |vertex: &EguiVertex| {
        let at = if upright { vertex.pos.x } else { vertex.pos.y };
        if keep_above { at - level } else { level - at }
    };
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (index, to) in corners.iter().enumerate() {
        let from = &corners[(index + corners.len() - 1) % corners.len()];
        let (before, after) = (inside(from), inside(to));
        if (before < 0.0) != (after < 0.0) {
            kept.push(between(from, to, before / (before - after)));
        }
        if after >= 0.0 {
            kept.push(*to);
        }
    }
    kept
}

/// A vertex on the way from one to another.
fn between(from: &EguiVertex, to: &EguiVertex, share: f32) -> EguiVertex {
    let mix = |a: u8, b: u8| (f32::from(a) + share * (f32::from(b) - f32::from(a))).round() as u8;
    let (a, b) = (from.color.to_array(), to.color.to_array());
    EguiVertex {
        pos: from.pos + share * (to.pos - from.pos),
        uv: from.uv + share * (to.uv - from.uv),
        color: Color32::from_rgba_premultiplied(
            mix(a[0], b[0]),
            mix(a[1], b[1]),
            mix(a[2], b[2]),
            mix(a[3], b[3]),
        ),
    }
}

/// The mesh in pieces that each fit one draw call.
fn parts(mesh: Mesh) -> Vec<Mesh16> {
    if mesh.vertices.len() < MOST_VERTICES && mesh.indices.len() < MOST_INDICES {
        return mesh.split_to_u16();
    }
    // Triangle by triangle with vertices of their own: larger, but right for any mesh.
    let texture_id = mesh.texture_id;
    let most = (MOST_VERTICES - 3) / 3 * 3;
    mesh.indices
        .chunks(most)
        .map(|chunk| Mesh16 {
            indices: (0..chunk.len() as u16).collect(),
            vertices: chunk.iter().map(|index| mesh.vertices[*index as usize]).collect(),
            texture_id,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(mesh: &Mesh) -> f32 {
        mesh.indices
            .chunks_exact(3)
            .map(|t| {
                let [a, b, c] = [t[0], t[1], t[2]].map(|i| mesh.vertices[i as usize].pos);
                0.5 * ((b - a).x * (c - a).y - (b - a).y * (c - a).x).abs()
            })
            .sum()
    }

    #[test]
    fn verif_a_mesh_is_cut_to_its_rectangle_and_its_colours_run_on() {
        let window = Rect::from_min_max(pos2(10.0, 20.0), pos2(110.0, 70.0));
        // Black at x = 0, white at x = 200: halfway along it is grey, wherever it is cut.
        let mut mesh = Mesh::default();
        for (x, y) in [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)] {
            let level = (x / 200.0 * 255.0) as u8;
            mesh.vertices.push(EguiVertex {
                pos: pos2(x, y),
                uv: pos2(x / 200.0, y / 100.0),
                color: Color32::from_gray(level),
            });
        }
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(0, 2, 3);
        let shown = cut(mesh.clone(), window);
        assert!((area(&shown) - 5000.0).abs() < 0.1, "{}", area(&shown));
        for index in &shown.indices {
            let vertex = shown.vertices[*index as usize];
            assert!(window.expand(1e-3).contains(vertex.pos));
            assert!((vertex.uv.x - vertex.pos.x / 200.0).abs() < 1e-5);
            assert!((f32::from(vertex.color.r()) - vertex.pos.x / 200.0 * 255.0).abs() < 1.6);
        }
        // Wholly inside nothing changes, wholly outside nothing is left.
        assert_eq!(cut(mesh.clone(), Rect::from_min_max(pos2(-1.0, -1.0), pos2(201.0, 101.0))), mesh);
        let away = Rect::from_min_max(pos2(300.0, 0.0), pos2(400.0, 100.0));
        assert!(cut(mesh, away).indices.is_empty());
    }

    #[test]
    fn verif_a_large_mesh_is_split_without_loss() {
        let mut mesh = Mesh::default();
        for i in 0..40_000_u32 {
            let x = i as f32;
            for corner in [pos2(x, 0.0), pos2(x + 1.0, 0.0), pos2(x, 1.0)] {
                mesh.colored_vertex(corner, Color32::WHITE);
            }
            mesh.add_triangle(3 * i, 3 * i + 1, 3 * i + 2);
        }
        let whole: Vec<_> = mesh.indices.iter().map(|i| mesh.vertices[*i as usize].pos).collect();
        let pieces = parts(mesh);
        assert!(pieces.len() > 1);
        assert!(
            pieces
                .iter()
                .all(|p| p.is_valid() && p.vertices.len() < MOST_VERTICES && p.indices.len() < MOST_INDICES)
        );
        let split: Vec<_> =
            pieces.iter().flat_map(|p| p.indices.iter().map(|i| p.vertices[usize::from(*i)].pos)).collect();
        assert_eq!(split, whole);
    }
}
