//! A display list as SVG text (W3C SVG 1.1, the part that every viewer draws).
//!
//! Same list, same text, byte for byte: numbers carry at most two decimals, nothing depends on a map's order, and
//! no id is made, so several pictures can stand on one HTML page. Nothing outside the text is needed: no style sheet,
//! no script, no font file; the font is named first in a family list and replaced by the viewer where it is missing.

use crate::elementary::Elementary;
use std::fmt::Write as _;

use super::hatch::hatch_lines;
use super::list::{
    Cap, DisplayList, Fill, Hatch, HatchKind, Item, Marker, Pos, Shape, Stroke, Text, Weight, arc_points, pos,
};
use super::palette::{Paint, Role, Theme};
use crate::visible::is_hidden;

/// Font families named in every picture, the shipped one first.
pub const FONT_FAMILY: &str = "Inter, 'Helvetica Neue', Arial, 'Liberation Sans', sans-serif";

/// The picture as one `<svg>` element, on a ground in the theme's paper colour.
pub fn svg(list: &DisplayList, theme: Theme) -> String {
    let mut out = String::new();
    let (width, height) = (number(list.width), number(list.height));
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
         height=\"{height}\" role=\"img\" font-family=\"{FONT_FAMILY}\""
    );
    if !list.title.is_empty() {
        let _ = write!(out, " aria-label=\"{}\"", said(&list.title));
    }
    out.push_str(">\n");
    if !list.title.is_empty() {
        let _ = writeln!(out, "<title>{}</title>", said(&list.title));
    }
    if !list.description.is_empty() {
        let _ = writeln!(out, "<desc>{}</desc>", said(&list.description));
    }
    let _ = writeln!(
        out,
        "<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
        Role::Paper.rgb(theme).css()
    );
    let mut writer = Writer { out, theme };
    list.items.iter().for_each(|item| writer.item(item));
    writer.out.push_str("</svg>\n");
    writer.out
}

/// A number with at most two decimals, no trailing zeros and no minus zero. Not-a-number is written as 0:
/// it can only come from a picture with no data in it, and must not break the whole file.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A text that people read: true minus signs, and nothing that means something to XML.
fn said(text: &str) -> String {
    escape(&crate::units::minus_signs(text))
}

/// The text with the characters that mean something to XML replaced, and those that XML forbids or that turn the direction of text written out
/// ([`is_hidden`]).
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if is_hidden(c) || c == '\u{fffe}' || c == '\u{ffff}' => {
                let _ = write!(out, "\\u{{{:x}}}", c as u32);
            }
            c => out.push(c),
        }
    }
    out
}

struct Writer {
    out: String,
    theme: Theme,
}

impl Writer {
    fn item(&mut self, item: &Item) {
        let wrapped = item.key.is_some() || item.tip.is_some();
        if wrapped {
            self.out.push_str("<g");
            if let Some(key) = &item.key {
                let _ = write!(self.out, " data-key=\"{}\"", escape(key));
            }
            self.out.push('>');
            if let Some(tip) = &item.tip {
                let _ = write!(self.out, "<title>{}</title>", said(tip));
            }
            self.out.push('\n');
        }
        self.shape(&item.shape);
        if wrapped {
            self.out.push_str("</g>\n");
        }
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Polyline { points, closed, stroke } => {
                if points.len() >= 2 {
                    self.path(&chain(points, *closed), "none", Some(stroke));
                }
            }
            Shape::Arc { centre, radius, start_rad, sweep_rad, stroke } => {
                let data = arc(*centre, *radius, *start_rad, *sweep_rad);
                self.path(&data, "none", Some(stroke));
            }
            Shape::Circle { centre, radius, fill, stroke } => {
                self.circle(*centre, *radius, fill, stroke.as_ref())
            }
            Shape::Polygon { points, fill, stroke } => self.polygon(points, fill, stroke.as_ref()),
            Shape::Text(text) => self.text(text),
            Shape::Arrow { from, to, head, stroke } => {
                let (shaft, tip) = arrow_parts(*from, *to, *head, stroke.width);
                if let Some([a, b]) = shaft {
                    self.path(&chain(&[a, b], false), "none", Some(stroke));
                }
                if !tip.is_empty() {
                    self.filled(&tip, stroke.paint);
                }
            }
            Shape::Mark { at, marker, size, paint } => self.mark(*at, *marker, *size, *paint),
            Shape::Group { clip, items } => {
                // A nested <svg> cuts to its viewport without needing a named clip path.
                if let Some(r) = clip {
                    let (x, y, w, h) = (number(r.x), number(r.y), number(r.width), number(r.height));
                    let _ = writeln!(
                        self.out,
                        "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\">"
                    );
                } else {
                    self.out.push_str("<g>\n");
                }
                items.iter().for_each(|item| self.item(item));
                self.out.push_str(if clip.is_some() { "</svg>\n" } else { "</g>\n" });
            }
        }
    }

    fn circle(&mut self, centre: Pos, radius: f64, fill: &Fill, stroke: Option<&Stroke>) {
        let (cx, cy, r) = (number(centre.x), number(centre.y), number(radius));
        if let Some(hatch) = &fill.hatch {
            let rim = arc_points(centre, radius, 0.0, std::f64::consts::TAU);
            let even = Fill { paint: fill.paint, hatch: None };
            self.circle(centre, radius, &even, None);
            self.hatch(&rim, hatch);
            if let Some(stroke) = stroke {
                self.circle(centre, radius, &Fill::default(), Some(stroke));
            }
            return;
        }
        if fill.paint.is_none() && stroke.is_none() {
            return;
        }
        let _ = write!(self.out, "<circle cx=\"{cx}\" cy=\"{cy}\" r=\"{r}\"");
        self.fill_attributes(fill.paint);
        self.stroke_attributes(stroke);
        self.out.push_str("/>\n");
    }

    fn polygon(&mut self, points: &[Pos], fill: &Fill, stroke: Option<&Stroke>) {
        if points.len() < 3 {
            return;
        }
        if let Some(hatch) = &fill.hatch {
            self.polygon(points, &Fill { paint: fill.paint, hatch: None }, None);
            self.hatch(points, hatch);
            self.polygon(points, &Fill::default(), stroke);
            return;
        }
        if fill.paint.is_none() && stroke.is_none() {
            return;
        }
        let _ = write!(self.out, "<path d=\"{}\"", chain(points, true));
        self.fill_attributes(fill.paint);
        self.stroke_attributes(stroke);
        self.out.push_str("/>\n");
    }

    fn hatch(&mut self, points: &[Pos], hatch: &Hatch) {
        let lines = hatch_lines(points, hatch);
        if lines.is_empty() {
            return;
        }
        let dots = hatch.kind == HatchKind::Dots;
        let mut data = String::new();
        for [a, b] in lines {
            let (ax, ay) = (number(a.x), number(a.y));
            let _ = if dots {
                // A line of no length with round ends is a dot.
                write!(data, "M{ax} {ay}h0")
            } else {
                write!(data, "M{ax} {ay}L{} {}", number(b.x), number(b.y))
            };
        }
        let mut stroke = Stroke::new(hatch.width, hatch.paint);
        if dots {
            stroke = stroke.round();
        }
        self.path(&data, "none", Some(&stroke));
    }

    fn mark(&mut self, at: Pos, marker: Marker, size: f64, paint: Paint) {
        let h = size / 2.0;
        let line = Stroke::new((size / 4.0).max(1.2), paint);
        match marker {
            Marker::Disc => self.circle(at, h, &Fill::solid(paint), None),
            Marker::Ring => self.circle(at, h - line.width / 2.0, &Fill::default(), Some(&line)),
            Marker::Cross | Marker::Plus => {
                for [a, b] in mark_lines(at, marker, size) {
                    self.path(&chain(&[a, b], false), "none", Some(&line));
                }
            }
            Marker::Square | Marker::Up | Marker::Down | Marker::Diamond => {
                self.filled(&mark_corners(at, marker, size), paint);
            }
        }
    }

    fn filled(&mut self, points: &[Pos], paint: Paint) {
        let _ = write!(self.out, "<path d=\"{}\"", chain(points, true));
        self.fill_attributes(Some(paint));
        self.out.push_str("/>\n");
    }

    fn path(&mut self, data: &str, fill: &str, stroke: Option<&Stroke>) {
        let _ = write!(self.out, "<path d=\"{data}\" fill=\"{fill}\"");
        self.stroke_attributes(stroke);
        self.out.push_str("/>\n");
    }

    fn fill_attributes(&mut self, paint: Option<Paint>) {
        let Some(paint) = paint else {
            self.out.push_str(" fill=\"none\"");
            return;
        };
        let _ = write!(self.out, " fill=\"{}\"", paint.rgb(self.theme).css());
        if paint.opacity < 1.0 {
            let _ = write!(self.out, " fill-opacity=\"{}\"", number(paint.opacity));
        }
    }

    fn stroke_attributes(&mut self, stroke: Option<&Stroke>) {
        let Some(stroke) = stroke else { return };
        let _ = write!(
            self.out,
            " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            stroke.paint.rgb(self.theme).css(),
            number(stroke.width)
        );
        if stroke.paint.opacity < 1.0 {
            let _ = write!(self.out, " stroke-opacity=\"{}\"", number(stroke.paint.opacity));
        }
        if stroke.cap == Cap::Round {
            self.out.push_str(" stroke-linecap=\"round\"");
        }
        let pattern = stroke.dash.pattern(stroke.width);
        if !pattern.is_empty() {
            let lengths: Vec<String> = pattern.into_iter().map(number).collect();
            let _ = write!(self.out, " stroke-dasharray=\"{}\"", lengths.join(" "));
        }
    }

    fn text(&mut self, text: &Text) {
        use super::list::Anchor;
        let mut at = text.at.shifted(0.0, text.baseline_drop());
        let mut turn = String::new();
        if text.rotation_rad != 0.0 {
            let (ax, ay) = (number(text.at.x), number(text.at.y));
            turn = format!(
                " transform=\"translate({ax} {ay}) rotate({})\"",
                number(text.rotation_rad.to_degrees())
            );
            at = pos(0.0, text.baseline_drop());
        }
        let (x, y, size) = (number(at.x), number(at.y), number(text.size));
        let _ = write!(self.out, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"");
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.out.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.out.push_str(" text-anchor=\"end\""),
        }
        if text.weight == Weight::Bold {
            self.out.push_str(" font-weight=\"600\"");
        }
        self.fill_attributes(Some(text.paint));
        if let Some(halo) = text.halo {
            let _ = write!(
                self.out,
                " stroke=\"{}\" stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
                halo.rgb(self.theme).css()
            );
        }
        let _ = writeln!(self.out, "{turn}>{}</text>", said(&text.text));
    }
}

fn chain(points: &[Pos], closed: bool) -> String {
    let mut data = String::new();
    for (i, p) in points.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        let _ = write!(data, "{letter}{} {}", number(p.x), number(p.y));
    }
    if closed {
        data.push('Z');
    }
    data
}

fn arc(centre: Pos, radius: f64, start_rad: f64, sweep_rad: f64) -> String {
    use std::f64::consts::{PI, TAU};
    let point = |angle: f64| centre.shifted(radius * angle.cosine(), radius * angle.sine());
    let sweep = sweep_rad.clamp(-TAU, TAU);
    let r = number(radius);
    let flag = u8::from(sweep > 0.0);
    let start = point(start_rad);
    let mut data = format!("M{} {}", number(start.x), number(start.y));
    // The arc command cannot draw more than half a turn without doubt about which way: go in two halves.
    let halves = if sweep.abs() > PI { 2 } else { 1 };
    for i in 1..=halves {
        let p = point(start_rad + sweep * f64::from(i) / f64::from(halves));
        let _ = write!(data, "A{r} {r} 0 0 {flag} {} {}", number(p.x), number(p.y));
    }
    data
}

/// The shaft and the filled head of an arrow. The shaft is missing when the head takes the whole length, both when
/// the arrow has no length.
pub fn arrow_parts(from: Pos, to: Pos, head: f64, width: f64) -> (Option<[Pos; 2]>, Vec<Pos>) {
    let length = from.distance(to);
    if length < 1e-9 {
        return (None, Vec::new());
    }
    let head = head.min(length);
    let (ux, uy) = ((to.x - from.x) / length, (to.y - from.y) / length);
    let neck = to.shifted(-ux * head, -uy * head);
    let half = (0.42 * head).max(width);
    let tip = vec![to, neck.shifted(-uy * half, ux * half), neck.shifted(uy * half, -ux * half)];
    // A head as long as the arrow leaves no shaft, not one of rounding.
    ((length - head > 1e-6).then_some([from, neck]), tip)
}

/// Corners of a filled marker; empty for markers made of lines or circles.
pub fn mark_corners(at: Pos, marker: Marker, size: f64) -> Vec<Pos> {
    let h = size / 2.0;
    let corners: &[(f64, f64)] = match marker {
        Marker::Square => &[(-0.88, -0.88), (0.88, -0.88), (0.88, 0.88), (-0.88, 0.88)],
        Marker::Up => &[(0.0, -1.0), (1.0, 0.8), (-1.0, 0.8)],
        Marker::Down => &[(0.0, 1.0), (1.0, -0.8), (-1.0, -0.8)],
        Marker::Diamond => &[(0.0, -1.1), (1.1, 0.0), (0.0, 1.1), (-1.1, 0.0)],
        Marker::Disc | Marker::Ring | Marker::Cross | Marker::Plus => &[],
    };
    corners.iter().map(|(x, y)| at.shifted(x * h, y * h)).collect()
}

/// Lines of a marker made of lines; empty for the others.
pub fn mark_lines(at: Pos, marker: Marker, size: f64) -> Vec<[Pos; 2]> {
    let h = size / 2.0;
    let d = 0.85 * h;
    match marker {
        Marker::Cross => {
            vec![[at.shifted(-d, -d), at.shifted(d, d)], [at.shifted(-d, d), at.shifted(d, -d)]]
        }
        Marker::Plus => {
            vec![[at.shifted(-h, 0.0), at.shifted(h, 0.0)], [at.shifted(0.0, -h), at.shifted(0.0, h)]]
        }
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_numbers_are_short_and_never_minus_zero() {
        for (value, text) in [
            (0.0, "0"),
            (-0.001, "0"),
            (1.0, "1"),
            (12.5, "12.5"),
            (-2.71528, "-2.72"),
            (100.0, "100"),
            (0.005, "0.01"),
            (f64::NAN, "0"),
        ] {
            assert_eq!(number(value), text, "{value}");
        }
    }

    #[test]
    fn verif_text_is_escaped() {
        assert_eq!(escape("a<b & \"c\" 'd'\u{1}\n"), "a&lt;b &amp; &quot;c&quot; &#39;d&#39;\\u{1} ");
    }
}
