//! Readings against the model: each value read on a scale of its own standard deviations, as the machine was assumed and as it was fitted.
//!
//! What was read is the middle line. A ring stands where the value read would lie if the machine were as assumed, a disc where it lies now, a cross where it was left out: to the
//! right it was read higher than the model says. Two of three discs lie within one standard deviation if the model is right.

use super::list::{Anchor, Baseline, DisplayList, MIN_TEXT_SIZE, Marker, Rect, Stroke, Text, Weight, pos};
use super::palette::Role;
use super::pen::Dash;
use super::text_width::ellipsize;

/// How far the scale reaches to either side, standard deviations; what lies farther stands at its end as an arrow.
const REACH: f64 = 4.0;
/// Free edge, page units.
const EDGE: f64 = 10.0;

/// One value read.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingLine {
    /// What was read, in words: «12.5 lbf, pull».
    pub name: String,
    /// How far it lies above what the machine as assumed would give, standard deviations.
    pub assumed: Option<f64>,
    /// The same of the machine as fitted.
    pub fitted: f64,
    /// Whether the fit is of it.
    pub counted: bool,
}

/// Draws the lines one under the other, in so wide a picture; as high as it needs.
pub fn readings_picture(lines: &[ReadingLine], width: f64, text_size: f64) -> DisplayList {
    let size = text_size.max(MIN_TEXT_SIZE);
    let (row, head) = (1.65 * size, 3.3 * size);
    let height = head + row * lines.len() as f64 + EDGE;
    let mut list = DisplayList::new(width, height);
    list.title = "Readings against the model".to_owned();
    let left = EDGE + 0.5 * (width - 2.0 * EDGE);
    let scale = Rect::new(left, head, width - EDGE - left, row * lines.len() as f64);
    let x_of = |z: f64| scale.x + 0.5 * scale.width * (1.0 + z.clamp(-REACH, REACH) / REACH);
    for z in [-4.0, -2.0, 0.0, 2.0, 4.0] {
        let stroke =
            Stroke::new(if z == 0.0 { 1.4 } else { 0.8 }, if z == 0.0 { Role::Muted } else { Role::Grid });
        list.line(pos(x_of(z), scale.y), pos(x_of(z), scale.bottom()), stroke);
        let label =
            if z == 0.0 { "model".to_owned() } else { crate::units::minus_signs(&format!("{z:+.0}")) };
        let text = Text::new(pos(x_of(z), head - 0.3 * size), size, Role::Muted, label);
        let anchor = match z {
            -4.0 => Anchor::Start,
            4.0 => Anchor::End,
            _ => Anchor::Middle,
        };
        list.push(text.anchored(anchor, Baseline::Bottom));
    }
    legend(&mut list, size, width);
    for (i, line) in lines.iter().enumerate() {
        let y = scale.y + row * (i as f64 + 0.5);
        let name = ellipsize(&line.name, size, Weight::Regular, left - EDGE - size);
        let ink = if line.counted { Role::Ink } else { Role::Fail };
        let text = Text::new(pos(EDGE, y), size, ink, name);
        list.push(text.anchored(Anchor::Start, Baseline::Middle)).tip = Some(tip(line));
        if let Some(assumed) = line.assumed {
            let (from, to) = (x_of(assumed), x_of(line.fitted));
            list.line(pos(from, y), pos(to, y), Stroke::new(1.0, Role::Muted).dashed(Dash::Dotted));
            mark(&mut list, x_of(assumed), y, size, assumed, Marker::Ring, Role::Muted);
        }
        let (marker, role) =
            if line.counted { (Marker::Disc, Role::Current) } else { (Marker::Cross, Role::Fail) };
        mark(&mut list, x_of(line.fitted), y, size, line.fitted, marker, role);
    }
    list
}

/// A mark on the scale; past its end an arrow points on.
fn mark(list: &mut DisplayList, x: f64, y: f64, size: f64, z: f64, marker: Marker, role: Role) {
    list.mark(pos(x, y), marker, 0.7 * size, role);
    if z.abs() > REACH {
        let by = 0.9 * size.copysign(z);
        list.arrow(pos(x - by, y), pos(x + 0.3 * by, y), Stroke::new(1.4, role));
    }
}

/// What the marks mean, over the picture.
fn legend(list: &mut DisplayList, size: f64, width: f64) {
    let y = 0.9 * size;
    let mut x = EDGE + 0.4 * size;
    for (marker, role, word) in [
        (Marker::Ring, Role::Muted, "as assumed"),
        (Marker::Disc, Role::Current, "fitted"),
        (Marker::Cross, Role::Fail, "left out"),
    ] {
        list.mark(pos(x, y), marker, 0.7 * size, role);
        let text = Text::new(pos(x + 0.7 * size, y), size, Role::Ink, word)
            .anchored(Anchor::Start, Baseline::Middle);
        x += text.width() + 2.2 * size;
        list.push(text);
    }
    let note = ellipsize("in standard deviations", size, Weight::Regular, (width - x - EDGE).max(0.0));
    list.push(
        Text::new(pos(width - EDGE, y), size, Role::Muted, note).anchored(Anchor::End, Baseline::Middle),
    );
}

fn tip(line: &ReadingLine) -> String {
    let far = |z: f64| {
        let way = if z < 0.0 { "below" } else { "above" };
        format!("{:.1} standard deviations {way} the model", z.abs())
    };
    let before = line.assumed.map_or(String::new(), |z| format!("; as assumed {}", far(z)));
    let out = if line.counted { "" } else { ", left out" };
    format!("{}: {}{out}{before}", line.name, far(line.fitted))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Higher than the model stands to its right, in proportion; far off stands at the end with an arrow; what is left out has its own mark.
    #[test]
    fn verif_marks_stand_where_the_readings_lie() {
        let line = |assumed, fitted, counted| ReadingLine {
            name: "pull, 12 lbf".to_owned(),
            assumed,
            fitted,
            counted,
        };
        let list = readings_picture(&[line(Some(2.0), -1.0, true), line(None, 9.0, false)], 420.0, 12.0);
        let mut marks = Vec::new();
        let mut arrows = 0;
        for item in &list.items {
            match &item.shape {
                super::super::Shape::Mark { at, marker, .. } => marks.push((at.x, *marker)),
                super::super::Shape::Arrow { .. } => arrows += 1,
                _ => {}
            }
        }
        // Three of the legend first.
        let [ring, disc, cross] = marks[3..] else { panic!("{marks:?}") };
        assert_eq!((ring.1, disc.1, cross.1), (Marker::Ring, Marker::Disc, Marker::Cross));
        let right = 420.0 - EDGE;
        let left = EDGE + 0.5 * (420.0 - 2.0 * EDGE);
        let middle = 0.5 * (left + right);
        assert!((ring.0 - (middle + 0.25 * (right - left))).abs() < 1e-9, "{ring:?}");
        assert!((disc.0 - (middle - 0.125 * (right - left))).abs() < 1e-9, "{disc:?}");
        assert!((cross.0 - right).abs() < 1e-9 && arrows == 1, "{cross:?} {arrows}");
        assert!(list.texts().iter().all(|text| text.bounds().right() <= 420.0 + 1e-9));
        let tips: Vec<&String> = list.items.iter().filter_map(|item| item.tip.as_ref()).collect();
        assert!(tips[1].contains("9.0 standard deviations above the model, left out"), "{tips:?}");
    }
}
