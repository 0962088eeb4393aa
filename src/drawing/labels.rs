//! Places labels so that no two lie over one another, with a leader line where one had to move away from its point.

use super::list::{
    Anchor, Baseline, DisplayList, Item, MIN_TEXT_SIZE, Pos, Rect, Shape, Stroke, Text, Weight, pos,
};
use super::palette::{Paint, Role};
use super::text_width::text_width;
use crate::elementary::Elementary;

/// A label that looks for a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// What it is about.
    pub at: Pos,
    /// How far from `at` it must keep at least, page units: the size of the thing it names.
    pub clear: f64,
    /// Its lines; the first is set in SemiBold when there are several.
    pub lines: Vec<String>,
    /// Text size, page units.
    pub size: f64,
    /// Colour of the letters.
    pub paint: Paint,
    /// Direction it would rather lie in from `at`, page frame; need not be of length 1. Zero = any.
    pub toward: [f64; 2],
    /// Key for clicks.
    pub key: Option<String>,
}

impl Label {
    /// A one-line label in ink.
    pub fn new(at: Pos, clear: f64, size: f64, text: impl Into<String>) -> Label {
        Label {
            at,
            clear,
            lines: vec![text.into()],
            size,
            paint: Role::Ink.into(),
            toward: [0.0, 0.0],
            key: None,
        }
    }

    /// The same label in another colour.
    pub fn painted(mut self, paint: impl Into<Paint>) -> Label {
        self.paint = paint.into();
        self
    }

    /// The same label, rather in this direction.
    pub const fn toward(mut self, direction: [f64; 2]) -> Label {
        self.toward = direction;
        self
    }

    fn box_size(&self) -> (f64, f64) {
        let wide = self
            .lines
            .iter()
            .enumerate()
            .map(|(i, line)| text_width(line, self.size, self.weight(i)))
            .fold(0.0, f64::max);
        (wide + 4.0, self.lines.len() as f64 * LEADING * self.size + 2.0)
    }

    fn weight(&self, line: usize) -> Weight {
        if line == 0 && self.lines.len() > 1 { Weight::Bold } else { Weight::Regular }
    }
}

/// Height of a line, in text sizes.
const LEADING: f64 = 1.3;

/// Keeps account of where labels may go.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelPlacer {
    area: Rect,
    taken: Vec<Rect>,
    shunned: Vec<(Rect, f64)>,
}

impl LabelPlacer {
    /// A placer for an area of the page.
    pub const fn new(area: Rect) -> LabelPlacer {
        LabelPlacer { area, taken: Vec::new(), shunned: Vec::new() }
    }

    /// Nothing may lie here.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Labels should rather not lie here; `cost` is weighed against page units of distance, for a label wholly inside.
    pub fn shun(&mut self, rect: Rect, cost: f64) {
        self.shunned.push((rect, cost.max(0.0)));
    }

    /// Boxes taken so far.
    pub fn taken(&self) -> &[Rect] {
        &self.taken
    }

    /// Draws the label at the best free place; says whether there was one. A label without a place is left out.
    pub fn place(&mut self, list: &mut DisplayList, label: &Label) -> bool {
        self.place_within(list, label, f64::INFINITY)
    }

    /// The same, no farther from what it names than this, page units: a long leader through other things is worse than no label.
    pub fn place_within(&mut self, list: &mut DisplayList, label: &Label, farthest: f64) -> bool {
        let (width, height) = label.box_size();
        let preferred = label.toward[0].hypotenuse(label.toward[1]);
        let mut best: Option<(f64, Rect)> = None;
        for ring in [4.0, 14.0, 28.0, 46.0, 70.0, 100.0, 140.0].into_iter().filter(|ring| *ring <= farthest) {
            for step in 0..24 {
                let angle = f64::from(step) * std::f64::consts::TAU / 24.0;
                let (sin, cos) = angle.sine_cosine();
                // From the point out until the box clears the disc of radius `clear + ring`.
                let reach = label.clear + ring;
                let centre = label.at.shifted(
                    cos * (reach + 0.5 * width * cos.abs()),
                    sin * (reach + 0.5 * height * sin.abs()) + 0.0,
                );
                let place = Rect::new(centre.x - 0.5 * width, centre.y - 0.5 * height, width, height);
                if !holds(&self.area, &place) || self.taken.iter().any(|t| t.overlaps(&place)) {
                    continue;
                }
                let mut cost = ring;
                if preferred > 0.0 {
                    cost += 22.0 * (1.0 - (cos * label.toward[0] + sin * label.toward[1]) / preferred);
                }
                // What it lies over only adds.
                if best.is_some_and(|(least, _)| cost >= least) {
                    continue;
                }
                cost += self
                    .shunned
                    .iter()
                    .map(|(rect, c)| c * shared(rect, &place) / (width * height))
                    .sum::<f64>();
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, place));
                }
            }
        }
        let Some((_, place)) = best else { return false };
        self.taken.push(place);
        let nearest = pos(
            label.at.x.clamp(place.x, place.right()),
            label.at.y.clamp(place.y + 1.0, place.bottom() - 1.0),
        );
        let mut items: Vec<Item> = Vec::new();
        let gap = label.at.distance(nearest);
        if gap > label.clear + 10.0 {
            let start = label.at.towards(nearest, (label.clear + 1.0) / gap);
            let end = label.at.towards(nearest, 1.0 - 1.0 / gap);
            items.push(
                Shape::Polyline {
                    points: vec![start, end],
                    closed: false,
                    stroke: Stroke::new(1.0, Role::Muted),
                }
                .into(),
            );
        }
        for (i, line) in label.lines.iter().enumerate() {
            let at = pos(place.x + 2.0, place.y + 1.0 + (i as f64 + 0.5) * LEADING * label.size);
            let mut text = Text::new(at, label.size.max(MIN_TEXT_SIZE), label.paint, line.clone())
                .anchored(Anchor::Start, Baseline::Middle)
                .with_halo(Role::Paper);
            text.weight = label.weight(i);
            items.push(text.into());
        }
        let item = list.push(Shape::Group { clip: None, items });
        item.key = label.key.clone();
        true
    }
}

/// Whether `inner` lies wholly in `outer`.
fn holds(outer: &Rect, inner: &Rect) -> bool {
    inner.x >= outer.x
        && inner.y >= outer.y
        && inner.right() <= outer.right()
        && inner.bottom() <= outer.bottom()
}

/// Shared area of two rectangles, square page units.
fn shared(a: &Rect, b: &Rect) -> f64 {
    let wide = a.right().min(b.right()) - a.x.max(b.x);
    let tall = a.bottom().min(b.bottom()) - a.y.max(b.y);
    wide.max(0.0) * tall.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_labels_keep_clear_of_each_other_and_of_the_edge() {
        let area = Rect::new(0.0, 0.0, 400.0, 200.0);
        let mut placer = LabelPlacer::new(area);
        let mut list = DisplayList::new(400.0, 200.0);
        placer.take(Rect::new(150.0, 60.0, 60.0, 60.0));
        let mut placed = 0;
        for i in 0..9 {
            let label = Label::new(pos(180.0 + 3.0 * f64::from(i), 90.0), 6.0, 12.0, format!("label {i}"));
            placed += usize::from(placer.place(&mut list, &label));
        }
        assert_eq!(placed, 9);
        let boxes: Vec<Rect> = list.texts().iter().map(|t| t.bounds()).collect();
        assert_eq!(boxes.len(), 9);
        for (i, a) in boxes.iter().enumerate() {
            assert!(holds(&area, a));
            assert!(!a.overlaps(&Rect::new(150.0, 60.0, 60.0, 60.0)));
            assert!(boxes[i + 1..].iter().all(|b| !a.overlaps(b)));
        }
    }

    #[test]
    fn verif_a_label_without_room_is_left_out() {
        let mut placer = LabelPlacer::new(Rect::new(0.0, 0.0, 30.0, 10.0));
        let mut list = DisplayList::new(30.0, 10.0);
        assert!(!placer.place(&mut list, &Label::new(pos(5.0, 5.0), 2.0, 12.0, "far too long")));
        assert!(list.items.is_empty());
    }
}
