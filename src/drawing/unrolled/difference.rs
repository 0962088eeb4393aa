//! The map of a difference: by how much every spot differs from another set-up on the same outline.
//!
//! More and less differ in colour and in the direction of their hatch; what differs by less than a sixteenth of the scale is plain. The scale goes
//! a quarter as far to either side as that of the map itself, rounded up.

use super::layers::{Map, not_judged};
use super::{Against, UnrolledMap, UnrolledOptions, comparable, draw_map};
use crate::coverage::BandCoverage;
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Rect, Shape, Stroke, Text, pos,
};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::plan_view::PlanScene;
use crate::drawing::words::round_up;

/// Steps to either side of nothing.
const STEPS: i32 = 8;

/// Draws what is shown less what `against` has, in the quantity of the options. Gaps of both are outlined, those of the other in its dashes.
/// Against a set-up on another outline there is nothing to take away: the map itself is drawn.
pub fn difference_map(
    scene: &PlanScene<'_>,
    against: &Against<'_>,
    options: &UnrolledOptions,
) -> UnrolledMap {
    let against = comparable(scene.solved, against.solved).then_some(against);
    draw_map(scene, against, options)
}

/// Hatch of a step: level lines for less, upright ones for more, closer for more of either.
fn hatch(step: i32) -> Option<Hatch> {
    let kind = if step < 0 { HatchKind::Level } else { HatchKind::Upright };
    let spacing = if step.abs() > STEPS / 2 { 5.0 } else { 8.0 };
    (step != 0).then(|| Hatch { kind, spacing, width: 0.8, paint: Role::Ink.faint(0.45) })
}

fn fill(step: i32) -> Fill {
    Fill { paint: Some(Paint::difference(f64::from(step) / f64::from(STEPS))), hatch: hatch(step) }
}

impl Map<'_> {
    /// How far the scale goes to either side.
    fn half_scale(&self) -> f64 {
        round_up(0.25 * self.full_scale)
    }

    /// Cells of one step are drawn as one.
    pub(super) fn draw_difference(
        &self,
        list: &mut DisplayList,
        index: usize,
        band: &BandCoverage,
        other: &BandCoverage,
    ) {
        let value = |band: &BandCoverage, i: usize| {
            self.options.quantity.value(&band.stations[i], self.options.units).unwrap_or(0.0)
        };
        let look = |i: usize| {
            let share = (value(band, i) - value(other, i)) / self.half_scale();
            let step = (share * f64::from(STEPS)).round().clamp(f64::from(-STEPS), f64::from(STEPS)) as i32;
            (step, band.stations[i].judged)
        };
        let n = band.stations.len();
        let mut items: Vec<Item> = Vec::new();
        let mut i = 0;
        while i < n {
            let (own, from) = (look(i), i);
            while i < n && look(i) == own {
                i += 1;
            }
            let fill = match own {
                (0, true) => continue,
                (0, false) => Fill::hatch(not_judged()),
                (step, _) => fill(step),
            };
            for rect in self.layout.boxes(index, band.border_m(from), band.border_m(i)) {
                items.push(Shape::Polygon { points: rect.corners().to_vec(), fill, stroke: None }.into());
            }
        }
        let mut item: Item = Shape::Group { clip: None, items }.into();
        item.key = Some(format!("band:{index}"));
        list.push(item);
    }

    /// Outlines of the gaps of the other set-up.
    pub(super) fn draw_other_gaps(&self, list: &mut DisplayList, against: &Against<'_>) {
        let stroke = Stroke::new(2.0, against.role).dashed(Dash::Dashed);
        for (index, gap) in against.solved.outcome.gaps.iter().enumerate() {
            let Some(band) = self.band_of(gap) else { continue };
            let boxes = self.layout.boxes(band, gap.start_m, gap.end_m).into_iter();
            let items = boxes
                .map(|rect| {
                    Shape::Polygon {
                        points: rect.corners().to_vec(),
                        fill: Fill::default(),
                        stroke: Some(stroke),
                    }
                    .into()
                })
                .collect();
            let item = list.push(Shape::Group { clip: None, items });
            item.key = Some(format!("gap-before:{index}"));
            item.tip = Some(format!("gap of {}", against.name));
        }
    }

    /// The scale of the difference: less on the left, nothing in the middle, more on the right.
    pub(super) fn draw_difference_scale(&self, list: &mut DisplayList, bar: Rect, size: f64) {
        let count = 2 * STEPS + 1;
        let wide = bar.width / f64::from(count);
        let items = (0..count)
            .map(|i| {
                let piece = Rect::new(bar.x + wide * f64::from(i), bar.y, wide, bar.height);
                Shape::Polygon { points: piece.corners().to_vec(), fill: fill(i - STEPS), stroke: None }
                    .into()
            })
            .collect();
        list.push(Shape::Group { clip: None, items }).key = Some("scale".to_owned());
        list.rect(bar, Fill::default(), Some(Stroke::new(1.0, Role::Muted)));
        let most = super::layers::trimmed(self.half_scale());
        for (x, anchor, words) in [
            (bar.x - 5.0, Anchor::End, format!("−{most}")),
            (bar.right() + 5.0, Anchor::Start, format!("+{most}")),
        ] {
            let text = Text::new(pos(x, bar.centre().y), size, Role::Muted, words);
            list.push(text.anchored(anchor, Baseline::Middle));
        }
        let zero = Text::new(bar.centre(), size, Role::Muted, "0").anchored(Anchor::Middle, Baseline::Middle);
        list.push(zero);
    }
}
