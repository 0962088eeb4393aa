//! egui's triangles on the graphics card, through macroquad's public drawing calls.
//!
//! egui blends with premultiplied alpha and cuts each mesh to a rectangle. Both are done by one small shader: the
//! rectangle rides along in the vertex field that macroquad leaves free for users, so that meshes with different
//! rectangles still go out together.

use std::collections::BTreeMap;

use egui::epaint::{Mesh, Mesh16, Primitive};
use egui::{ClippedPrimitive, ImageData, TextureFilter, TextureId, TexturesDelta};
use macroquad::miniquad::{BlendFactor, BlendState, BlendValue, Equation};
use macroquad::prelude::{
    FilterMode, Image, Material, MaterialParams, PipelineParams, ShaderSource, Texture2D, Vertex, draw_mesh,
    gl_use_default_material, gl_use_material, load_material, vec2, vec3, vec4,
};

const VERTEX: &str = "#version 100
attribute vec3 position;
attribute vec2 texcoord;
attribute vec4 color0;
attribute vec4 normal;
varying highp vec2 uv;
varying highp vec2 place;
varying highp vec4 window;
varying lowp vec4 color;
uniform mat4 Model;
uniform mat4 Projection;
void main() {
    gl_Position = Projection * Model * vec4(position, 1.0);
    uv = texcoord;
    place = position.xy;
    window = normal;
    color = color0 / 255.0;
}";

const FRAGMENT: &str = "#version 100
varying highp vec2 uv;
varying highp vec2 place;
varying highp vec4 window;
varying lowp vec4 color;
uniform sampler2D Texture;
void main() {
    if (place.x < window.x || place.y < window.y || place.x > window.z || place.y > window.w) {
        discard;
    }
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
        Ok(Painter { material, textures: BTreeMap::new() })
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
    pub(super) fn draw(&self, primitives: Vec<ClippedPrimitive>, scale: f32, pixels_per_unit: f32) {
        gl_use_material(&self.material);
        for ClippedPrimitive { clip_rect, primitive } in primitives {
            let Primitive::Mesh(mesh) = primitive else { continue };
            let Some(texture) = self.textures.get(&mesh.texture_id) else { continue };
            // Cut at whole pixels, as egui's own painters do.
            let snap = |points: f32| (points * scale * pixels_per_unit).round() / pixels_per_unit;
            let window = vec4(
                snap(clip_rect.min.x),
                snap(clip_rect.min.y),
                snap(clip_rect.max.x),
                snap(clip_rect.max.y),
            );
            for part in parts(mesh) {
                let vertices = part.vertices.iter().map(|v| Vertex {
                    position: vec3(v.pos.x * scale, v.pos.y * scale, 0.0),
                    uv: vec2(v.uv.x, v.uv.y),
                    color: v.color.to_array(),
                    normal: window,
                });
                draw_mesh(&macroquad::prelude::Mesh {
                    vertices: vertices.collect(),
                    indices: part.indices,
                    texture: Some(texture.weak_clone()),
                });
            }
        }
        gl_use_default_material();
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
    use egui::{Color32, pos2};

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
