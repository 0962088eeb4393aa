//! Draws a display list with egui: feathered lines and areas, and text in the shipped font.
//!
//! Page units are egui's points. Lines, dashes, hatches and concave areas come out as in the SVG, because dashes,
//! hatches, arrow heads and markers are worked out by the same functions.

use std::sync::Arc;

use earcut::Earcut;
use egui::epaint::{Mesh, PathShape, Tessellator, TextShape};
use egui::{Color32, FontFamily, FontId, Pos2, Rect, Shape as EguiShape, Vec2, pos2, vec2};

use super::look::{BOLD, color};
use crate::drawing::list::arc_points;
use crate::drawing::svg::{arrow_parts, mark_corners, mark_lines};
use crate::drawing::{
    Cap, DisplayList, Fill, Hatch, HatchKind, Item, Marker, Paint, Pos, Shape, Stroke, Text, Theme, Weight,
    dash_runs, hatch_lines,
};

/// A list worked out for the screen: areas and lines as triangles, texts as they stand. It is drawn again as long as nothing changes, so that
/// a frame costs only what is new.
#[derive(Debug, Clone, Default)]
pub struct Painted {
    pieces: Vec<Piece>,
}

/// What is drawn in one go, in the order of the list.
#[derive(Debug, Clone)]
enum Piece {
    /// Triangles.
    Areas { clip: Rect, mesh: Arc<Mesh> },
    /// A text. It is laid out anew in each frame, because its letters may move in egui's texture.
    Letters { clip: Rect, at: Pos2, text: Text, color: Color32, halo: Option<Color32> },
}

impl Painted {
    /// Works out a list with its top left corner at `at`, for a painter like this one: its clip rectangle and its pixels.
    pub fn new(painter: &egui::Painter, at: Pos2, items: &[Item], theme: Theme) -> Painted {
        Painted::default().again(painter, at, items, theme)
    }

    /// Works out another list, in the memory that this one took.
    pub fn again(self, painter: &egui::Painter, at: Pos2, items: &[Item], theme: Theme) -> Painted {
        // Taken from the end, so that the first of the list fills the room of the first.
        let mut room: Vec<Mesh> = Vec::new();
        for piece in self.pieces.into_iter().rev() {
            // One that is still to be drawn is left alone.
            if let Piece::Areas { mesh, .. } = piece
                && let Some(mut mesh) = Arc::into_inner(mesh)
            {
                mesh.clear();
                room.push(mesh);
            }
        }
        let ctx = painter.ctx();
        let options = ctx.tessellation_options(|options| *options);
        // Without letters and prepared discs the texture's size does not matter.
        let tessellator = Tessellator::new(ctx.pixels_per_point(), options, [1, 1], Vec::new());
        let clip = painter.clip_rect();
        let mut pen = Pen {
            tessellator,
            feather: 1.0 / ctx.pixels_per_point(),
            clip,
            shift: at.to_vec2(),
            theme,
            mesh: room.pop().unwrap_or_default(),
            pieces: Vec::new(),
            room,
        };
        pen.tessellator.set_clip_rect(clip);
        items.iter().for_each(|item| pen.item(item));
        pen.flush();
        Painted { pieces: pen.pieces }
    }

    /// Draws it.
    pub fn draw(&self, painter: &egui::Painter) {
        for piece in &self.pieces {
            match piece {
                Piece::Areas { clip, mesh } => {
                    painter.with_clip_rect(*clip).add(EguiShape::Mesh(Arc::clone(mesh)));
                }
                Piece::Letters { clip, at, text, color, halo } => {
                    letters(&painter.with_clip_rect(*clip), *at, text, *color, *halo);
                }
            }
        }
    }
}

/// Draws a list with its top left corner at `at`, cut to the painter's own clip rectangle.
pub fn draw_list(painter: &egui::Painter, at: Pos2, list: &DisplayList, theme: Theme) {
    draw_items(painter, at, &list.items, theme);
}

/// Draws items moved by `at`.
pub fn draw_items(painter: &egui::Painter, at: Pos2, items: &[Item], theme: Theme) {
    Painted::new(painter, at, items, theme).draw(painter);
}

struct Pen {
    tessellator: Tessellator,
    /// Width of a soft edge, points.
    feather: f32,
    clip: Rect,
    shift: Vec2,
    theme: Theme,
    mesh: Mesh,
    pieces: Vec<Piece>,
    /// Empty meshes that have room.
    room: Vec<Mesh>,
}

impl Pen {
    fn flush(&mut self) {
        if !self.mesh.is_empty() {
            let mesh = std::mem::replace(&mut self.mesh, self.room.pop().unwrap_or_default());
            self.pieces.push(Piece::Areas { clip: self.clip, mesh: Arc::new(mesh) });
        }
    }

    fn add(&mut self, shape: impl Into<EguiShape>) {
        self.tessellator.tessellate_shape(shape.into(), &mut self.mesh);
    }

    fn set_clip(&mut self, clip: Rect) {
        self.flush();
        self.clip = clip;
        self.tessellator.set_clip_rect(clip);
    }

    fn at(&self, p: Pos) -> Pos2 {
        pos2(p.x as f32, p.y as f32) + self.shift
    }

    fn color(&self, paint: Paint) -> Color32 {
        color(paint.rgb(self.theme)).gamma_multiply(paint.opacity.clamp(0.0, 1.0) as f32)
    }

    fn item(&mut self, item: &Item) {
        match &item.shape {
            Shape::Polyline { points, closed, stroke } => self.line(points, *closed, stroke),
            Shape::Arc { centre, radius, start_rad, sweep_rad, stroke } => {
                self.line(&arc_points(*centre, *radius, *start_rad, *sweep_rad), false, stroke);
            }
            Shape::Circle { centre, radius, fill, stroke } => {
                self.circle(*centre, *radius, fill, stroke.as_ref())
            }
            Shape::Polygon { points, fill, stroke } => {
                self.fill(points, fill);
                if let Some(stroke) = stroke {
                    self.line(points, true, stroke);
                }
            }
            Shape::Text(text) => self.text(text),
            Shape::Arrow { from, to, head, stroke } => {
                let (shaft, tip) = arrow_parts(*from, *to, *head, stroke.width);
                if let Some(shaft) = shaft {
                    self.line(&shaft, false, stroke);
                }
                self.fill(&tip, &Fill::solid(stroke.paint));
            }
            Shape::Mark { at, marker, size, paint } => self.mark(*at, *marker, *size, *paint),
            Shape::Group { clip: None, items } => items.iter().for_each(|item| self.item(item)),
            Shape::Group { clip: Some(clip), items } => {
                let (low, high) = (
                    self.at(Pos { x: clip.x, y: clip.y }),
                    self.at(Pos { x: clip.right(), y: clip.bottom() }),
                );
                let outer = self.clip;
                self.set_clip(outer.intersect(Rect::from_min_max(low, high)));
                items.iter().for_each(|item| self.item(item));
                self.set_clip(outer);
            }
        }
    }

    fn line(&mut self, points: &[Pos], closed: bool, stroke: &Stroke) {
        if points.len() < 2 {
            return;
        }
        let pen = egui::Stroke::new(stroke.width as f32, self.color(stroke.paint));
        let pattern = stroke.dash.pattern(stroke.width);
        if pattern.is_empty() && closed {
            let points = points.iter().map(|p| self.at(*p)).collect();
            self.add(PathShape::closed_line(points, pen));
            return;
        }
        let mut chain = points.to_vec();
        if closed {
            chain.push(points[0]);
        }
        let runs = if pattern.is_empty() { vec![chain] } else { dash_runs(&chain, &pattern) };
        for run in runs {
            if stroke.cap == Cap::Round {
                for end in [run.first(), run.last()].into_iter().flatten() {
                    self.add(EguiShape::circle_filled(self.at(*end), pen.width / 2.0, pen.color));
                }
            }
            let points = run.iter().map(|p| self.at(*p)).collect();
            self.add(PathShape::line(points, pen));
        }
    }

    fn circle(&mut self, centre: Pos, radius: f64, fill: &Fill, stroke: Option<&Stroke>) {
        let middle = self.at(centre);
        if let Some(paint) = fill.paint {
            let color = self.color(paint);
            self.add(EguiShape::circle_filled(middle, radius as f32, color));
        }
        let rim = || arc_points(centre, radius, 0.0, std::f64::consts::TAU);
        if let Some(hatch) = &fill.hatch {
            self.hatch(&rim(), hatch);
        }
        match stroke {
            Some(stroke) if stroke.dash.pattern(stroke.width).is_empty() => {
                let pen = egui::Stroke::new(stroke.width as f32, self.color(stroke.paint));
                self.add(EguiShape::circle_stroke(middle, radius as f32, pen));
            }
            Some(stroke) => self.line(&rim(), true, stroke),
            None => {}
        }
    }

    fn fill(&mut self, points: &[Pos], fill: &Fill) {
        if let Some(paint) = fill.paint {
            let corners: Vec<Pos2> = points.iter().map(|p| self.at(*p)).collect();
            let color = self.color(paint);
            fill_into(&mut self.mesh, &corners, color, self.feather);
        }
        if let Some(hatch) = &fill.hatch {
            self.hatch(points, hatch);
        }
    }

    fn hatch(&mut self, points: &[Pos], hatch: &Hatch) {
        let pen = egui::Stroke::new(hatch.width as f32, self.color(hatch.paint));
        for [a, b] in hatch_lines(points, hatch) {
            let shape = if hatch.kind == HatchKind::Dots {
                EguiShape::circle_filled(self.at(a), pen.width / 2.0, pen.color)
            } else {
                EguiShape::line_segment([self.at(a), self.at(b)], pen)
            };
            self.add(shape);
        }
    }

    fn mark(&mut self, at: Pos, marker: Marker, size: f64, paint: Paint) {
        let line = Stroke::new((size / 4.0).max(1.2), paint);
        match marker {
            Marker::Disc => self.circle(at, size / 2.0, &Fill::solid(paint), None),
            Marker::Ring => self.circle(at, size / 2.0 - line.width / 2.0, &Fill::default(), Some(&line)),
            Marker::Cross | Marker::Plus => {
                mark_lines(at, marker, size).iter().for_each(|pair| self.line(pair, false, &line));
            }
            Marker::Square | Marker::Up | Marker::Down | Marker::Diamond => {
                self.fill(&mark_corners(at, marker, size), &Fill::solid(paint));
            }
        }
    }

    fn text(&mut self, text: &Text) {
        self.flush();
        let halo = text.halo.map(|paint| self.color(paint));
        let (clip, at, color) = (self.clip, self.at(text.at), self.color(text.paint));
        self.pieces.push(Piece::Letters { clip, at, text: text.clone(), color, halo });
    }
}

/// Where the copies of a text stand that make its halo, points.
const HALO: [(f32, f32); 8] =
    [(1.5, 0.0), (-1.5, 0.0), (0.0, 1.5), (0.0, -1.5), (1.1, 1.1), (-1.1, 1.1), (1.1, -1.1), (-1.1, -1.1)];

fn letters(painter: &egui::Painter, at: Pos2, text: &Text, color: Color32, halo: Option<Color32>) {
    let family = match text.weight {
        Weight::Regular => FontFamily::Proportional,
        Weight::Bold => FontFamily::Name(BOLD.into()),
    };
    let galley = painter.layout_no_wrap(text.text.clone(), FontId::new(text.size as f32, family), color);
    // Where the first letter's baseline starts, from the list; where it lies in the galley, from egui.
    let Some(row) = galley.rows.first() else { return };
    let rise = row.pos.y + row.glyphs.first().map_or(0.0, |glyph| glyph.pos.y);
    let start = match text.anchor {
        crate::drawing::Anchor::Start => 0.0,
        crate::drawing::Anchor::Middle => galley.size().x / 2.0,
        crate::drawing::Anchor::End => galley.size().x,
    };
    let angle = text.rotation_rad as f32;
    let (sin, cos) = angle.sin_cos();
    let (dx, dy) = (-start, text.baseline_drop() as f32 - rise);
    let corner = at + vec2(dx * cos - dy * sin, dx * sin + dy * cos);
    if let Some(under) = halo {
        painter.extend(HALO.map(|(x, y)| {
            TextShape::new(corner + vec2(x, y), galley.clone(), under)
                .with_angle(angle)
                .with_override_text_color(under)
                .into()
        }));
    }
    painter.add(TextShape::new(corner, galley, color).with_angle(angle));
}

/// Adds a filled area, concave or not, with an edge that fades over `feather` points. Whether there was any.
///
/// Corners nearer together than a tenth of the feather are taken as one; less than three that are left are no area.
pub fn fill_into(mesh: &mut Mesh, corners: &[Pos2], color: Color32, feather: f32) -> bool {
    let mut points: Vec<Pos2> = Vec::with_capacity(corners.len());
    for corner in corners {
        if points.last().is_none_or(|last| last.distance(*corner) > 0.1 * feather) {
            points.push(*corner);
        }
    }
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= 0.1 * feather {
        points.pop();
    }
    if points.len() < 3 {
        return false;
    }
    let count = points.len();
    let area: f32 = (0..count)
        .map(|i| points[i].to_vec2())
        .zip((1..=count).map(|i| points[i % count].to_vec2()))
        .map(|(a, b)| a.x * b.y - a.y * b.x)
        .sum();
    let outward = if area > 0.0 { 1.0 } else { -1.0 };
    // The normal at a corner, scaled so that both neighbouring edges move by one; sharp corners are held back.
    let normal = |i: usize| {
        let before = (points[i] - points[(i + count - 1) % count]).normalized();
        let after = (points[(i + 1) % count] - points[i]).normalized();
        let (a, b) = (vec2(before.y, -before.x) * outward, vec2(after.y, -after.x) * outward);
        let sum = a + b;
        if sum.length_sq() < 1e-6 { a } else { sum * (2.0 / sum.length_sq()).min(2.0) }
    };
    let (first, n) = (mesh.vertices.len() as u32, count as u32);
    let before = mesh.indices.len();
    if turns_one_way(&points, outward) {
        // A fan will do, and most areas are such: the cutting of ears is slow.
        (2..n).for_each(|i| mesh.add_triangle(first, first + i - 1, first + i));
    } else {
        let mut triangles: Vec<u32> = Vec::new();
        Earcut::new().earcut(points.iter().map(|p| [p.x, p.y]), &[], &mut triangles);
        mesh.indices.extend(triangles.into_iter().map(|index| first + index));
    }
    if mesh.indices.len() == before {
        return false;
    }
    // The area's own corners, then those of the edge that fades.
    mesh.vertices.reserve(2 * count);
    for (side, color) in [(-1.0, color), (1.0, Color32::TRANSPARENT)] {
        for (i, point) in points.iter().enumerate() {
            mesh.colored_vertex(*point + normal(i) * (side * 0.5 * feather), color);
        }
    }
    for i in 0..n {
        let j = (i + 1) % n;
        mesh.add_triangle(first + i, first + j, first + n + j);
        mesh.add_triangle(first + i, first + n + j, first + n + i);
    }
    true
}

/// Whether an outline turns the same way (`outward` 1 for a positive area) at every corner and goes round once.
fn turns_one_way(points: &[Pos2], outward: f32) -> bool {
    let count = points.len();
    let mut turned_rad = 0.0;
    for i in 0..count {
        let before = points[i] - points[(i + count - 1) % count];
        let after = points[(i + 1) % count] - points[i];
        let cross = (before.x * after.y - before.y * after.x) * outward;
        if cross < 0.0 {
            return false;
        }
        turned_rad += cross.atan2(before.dot(after));
    }
    turned_rad < 1.5 * std::f32::consts::TAU
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An area after another one in the same mesh, by itself.
    fn filled(points: &[Pos2]) -> Mesh {
        let mut mesh = Mesh::default();
        let other = [(0.0, 0.0), (3.0, 0.0), (0.0, 4.0)].map(|(x, y)| pos2(x, y));
        assert!(fill_into(&mut mesh, &other, Color32::WHITE, 1.0));
        let before = mesh.indices.len();
        assert!(fill_into(&mut mesh, points, Color32::WHITE, 1.0), "an area");
        mesh.indices.drain(..before);
        mesh
    }

    /// Area covered by a mesh, weighted with its opacity (mean over each triangle's corners).
    fn covered(mesh: &Mesh) -> f32 {
        mesh.indices
            .chunks_exact(3)
            .map(|t| {
                let [a, b, c] = [t[0], t[1], t[2]].map(|i| mesh.vertices[i as usize]);
                let (u, v) = (b.pos - a.pos, c.pos - a.pos);
                let alpha = [a, b, c].iter().map(|v| f32::from(v.color.a()) / 255.0).sum::<f32>() / 3.0;
                0.5 * (u.x * v.y - u.y * v.x).abs() * alpha
            })
            .sum()
    }

    #[test]
    fn verif_a_feathered_area_covers_what_it_should() {
        // A concave area of 100·60 with a notch of half of 40·40 taken out; the feather moves no area to first order.
        let corners =
            [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (70.0, 60.0), (50.0, 20.0), (30.0, 60.0), (0.0, 60.0)]
                .map(|(x, y)| pos2(x, y));
        let area = 6000.0 - 800.0;
        for points in [corners.to_vec(), corners.iter().rev().copied().collect()] {
            let mesh = filled(&points);
            assert!((covered(&mesh) - area).abs() < 0.01 * area, "{}", covered(&mesh));
        }
    }

    #[test]
    fn verif_only_an_outline_that_turns_one_way_is_cut_as_a_fan() {
        let ring = |sign: f32, turns: f32| -> Vec<Pos2> {
            let at = |i: i32| sign * turns * std::f32::consts::TAU * i as f32 / 40.0;
            (0..40).map(|i| pos2(50.0 * at(i).cos(), 50.0 * at(i).sin())).collect()
        };
        assert!(turns_one_way(&ring(1.0, 1.0), 1.0) && turns_one_way(&ring(-1.0, 1.0), -1.0));
        // Twice round turns one way too, but covers itself.
        assert!(!turns_one_way(&ring(1.0, 2.0), 1.0));
        let mut dented = ring(1.0, 1.0);
        dented[7] = pos2(0.0, 0.0);
        assert!(!turns_one_way(&dented, 1.0));
        // The fan covers the disc: 40 corners on the rim make 98.4 … of 100 of it, by the area of a polygon, n/2 R² sin(2π/n).
        let area = 20.0 * 2500.0 * (std::f32::consts::TAU / 40.0).sin();
        let mesh = filled(&ring(1.0, 1.0));
        assert!((covered(&mesh) / area - 1.0).abs() < 0.005, "{} {area}", covered(&mesh));
    }

    #[test]
    fn val_text_stands_where_the_list_says() {
        // Reference: egui's own layout of the shipped font, against the width table and anchors that the SVG uses.
        use crate::drawing::{Anchor, Baseline, Role, pos};
        let ctx = egui::Context::default();
        crate::window::look::install(&ctx);
        let mut texts = Vec::new();
        for (i, anchor) in [Anchor::Start, Anchor::Middle, Anchor::End].into_iter().enumerate() {
            for (j, baseline) in [Baseline::Alphabetic, Baseline::Middle, Baseline::Top, Baseline::Bottom]
                .into_iter()
                .enumerate()
            {
                let at = pos(300.0 + 10.0 * i as f64, 40.0 + 50.0 * j as f64 + 13.0 * i as f64);
                let text = Text::new(at, 16.0, Role::Ink, "Tail gap −1 3/8 in").anchored(anchor, baseline);
                texts.push(if j % 2 == 0 { text } else { text.bold() });
            }
        }
        let items: Vec<Item> = texts.iter().cloned().map(Item::from).collect();
        let input = || egui::RawInput {
            screen_rect: Some(egui::Rect::from_min_size(Pos2::ZERO, vec2(800.0, 600.0))),
            ..egui::RawInput::default()
        };
        // The fonts are in place from the second pass on.
        ctx.run_ui(input(), |_| {}).textures_delta.clear();
        let mut output = ctx.run_ui(input(), |ui| draw_items(ui.painter(), Pos2::ZERO, &items, Theme::Light));
        let drawn: Vec<&TextShape> = output
            .shapes
            .iter()
            .filter_map(|clipped| match &clipped.shape {
                EguiShape::Text(shape) => Some(shape),
                _ => None,
            })
            .collect();
        output.textures_delta.clear();
        assert_eq!(drawn.len(), texts.len());
        for (shape, text) in drawn.into_iter().zip(&texts) {
            let row = &shape.galley.rows[0];
            let line = shape.pos.y + row.pos.y + row.glyphs[0].pos.y;
            let origin = text.origin();
            held!((f64::from(line) - origin.y).abs(), 0.01, "{text:?}: {line} {}", origin.y);
            let (width, table) = (f64::from(shape.galley.size().x), text.width());
            assert!(width > 100.0 && (width / table - 1.0).abs() < 0.02, "{width} {table}");
            held!((f64::from(shape.pos.x) - origin.x).abs(), 0.02 * table, "{text:?}");
        }
    }

    #[test]
    fn verif_no_area_draws_nothing() {
        let mut mesh = Mesh::default();
        assert!(!fill_into(&mut mesh, &[], Color32::WHITE, 1.0));
        let same = [pos2(1.0, 1.0), pos2(1.0, 1.0), pos2(1.02, 1.0), pos2(5.0, 5.0)];
        assert!(!fill_into(&mut mesh, &same, Color32::WHITE, 1.0));
        assert!(mesh.is_empty() && mesh.vertices.is_empty());
    }
}
