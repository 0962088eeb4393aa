//! The legend of the unrolled map: its scale, and what every sign means.

use super::UnrolledOptions;
use super::layers::{Map, STEPS, brush_stroke, gap_fill, not_judged, trimmed};
use crate::arm::Side;
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Item, Marker, Pos, Rect, Shape, Stroke, Text, Weight, pos,
};
use crate::drawing::palette::Role;
use crate::drawing::plan_view::PlanScene;
use crate::drawing::text_width::text_width;

const SAMPLE_WIDE: f64 = 26.0;
const SCALE_WIDE: f64 = 170.0;

/// Height of the legend, page units.
pub(super) fn foot_height(scene: &PlanScene<'_>, options: &UnrolledOptions) -> f64 {
    let widths: Vec<f64> = entries(scene, options).iter().map(|e| e.width(options.size())).collect();
    (1.9 * rows(&widths, options.width - 24.0) as f64 + gap_over_legend(options)) * options.size()
}

/// Free height over the legend, in sizes of its letters.
const fn gap_over_legend(options: &UnrolledOptions) -> f64 {
    if options.axes { 1.5 } else { 1.0 }
}

fn rows(widths: &[f64], room: f64) -> usize {
    let (mut count, mut x) = (1, 0.0);
    for width in widths {
        if x > 0.0 && x + width > room {
            count += 1;
            x = 0.0;
        }
        x += width;
    }
    count
}

/// An entry of the legend.
struct Entry {
    name: String,
    sample: Sample,
}

#[derive(Clone, Copy, PartialEq)]
enum Sample {
    /// A name without a sample.
    Name,
    /// The scale, this wide.
    Scale(f64),
    Gap,
    Untouched,
    NotJudged,
    Feature,
    Brush(Side),
}

impl Entry {
    fn width(&self, size: f64) -> f64 {
        let sample = match self.sample {
            Sample::Name => 0.0,
            Sample::Scale(wide) => wide + 11.0 * size,
            _ => SAMPLE_WIDE,
        };
        sample + 7.0 + text_width(&self.name, size, Weight::Regular) + 20.0
    }
}

fn entries(scene: &PlanScene<'_>, options: &UnrolledOptions) -> Vec<Entry> {
    let unit = options.quantity.unit(options.units);
    let name = if unit.is_empty() {
        options.quantity.name().to_owned()
    } else {
        format!("{}, {unit}", options.quantity.name())
    };
    // Without axes the picture may be narrow: the scale is shorter, and its name stands over it where both do not fit into a row.
    let wide = if options.axes { SCALE_WIDE } else { (0.25 * options.width).clamp(40.0, SCALE_WIDE) };
    let mut list = vec![Entry { name, sample: Sample::Scale(wide) }];
    if !options.axes && list[0].width(options.size()) > options.width - 24.0 {
        let name = std::mem::take(&mut list[0].name);
        list.insert(0, Entry { name, sample: Sample::Name });
    }
    if !options.signs {
        return list;
    }
    list.extend([
        Entry { name: "gap: less than asked".to_owned(), sample: Sample::Gap },
        Entry { name: "not touched".to_owned(), sample: Sample::Untouched },
        Entry { name: "too far back to be judged".to_owned(), sample: Sample::NotJudged },
        Entry { name: "mirror, plate and the like".to_owned(), sample: Sample::Feature },
    ]);
    if options.cursor {
        for unit in &scene.setup.units {
            list.push(Entry {
                name: format!("{} brush now", unit.side.name()),
                sample: Sample::Brush(unit.side),
            });
        }
    }
    list
}

impl Map<'_> {
    pub(super) fn draw_legend(&self, list: &mut DisplayList) {
        let size = self.options.size();
        let entries = entries(self.scene, self.options);
        let room = self.options.width - 24.0;
        let top = self.options.height - foot_height(self.scene, self.options);
        let (mut x, mut y) = (12.0, top + gap_over_legend(self.options) * size);
        for entry in entries {
            let width = entry.width(size);
            if x > 12.0 && x - 12.0 + width > room {
                x = 12.0;
                // The mark of what is asked hangs under the scale in the first row.
                y += if y < top + 2.0 * size { 2.9 * size } else { 1.9 * size };
            }
            self.draw_entry(list, pos(x, y), &entry, size);
            x += width;
        }
    }

    fn draw_entry(&self, list: &mut DisplayList, at: Pos, entry: &Entry, size: f64) {
        if let Sample::Name | Sample::Scale(_) = entry.sample {
            let name = match self.against {
                Some(against) => format!("now − {}: {}", against.name, entry.name),
                None => entry.name.clone(),
            };
            let label = Text::new(at, size, Role::Ink, name.clone());
            list.push(label.anchored(Anchor::Start, Baseline::Middle));
            let left = at.x + text_width(&name, size, Weight::Regular) + 8.0;
            if let Sample::Scale(wide) = entry.sample {
                self.draw_scale(
                    list,
                    Rect::new(
                        left + if self.against.is_some() { 2.2 } else { 1.2 } * size,
                        at.y - 0.5 * size,
                        wide,
                        size,
                    ),
                    size,
                );
            }
            return;
        }
        let rect = Rect::new(at.x, at.y - 0.5 * size, SAMPLE_WIDE, size);
        // What does not differ is plain, touched or not: there the other's gaps are named instead.
        let other = self.against.filter(|_| entry.sample == Sample::Untouched);
        if let Some(against) = other {
            let stroke = Stroke::new(2.0, against.role).dashed(Dash::Dashed);
            list.rect(rect, Fill::default(), Some(stroke));
            let words = format!("gap of {}", against.name);
            let text = Text::new(pos(rect.right() + 7.0, at.y), size, Role::Ink, words);
            list.push(text.anchored(Anchor::Start, Baseline::Middle));
            return;
        }
        match entry.sample {
            Sample::Gap => list.rect(rect, gap_fill(), Some(Stroke::new(1.8, Role::Missed))),
            Sample::Untouched => {
                list.rect(rect, Fill::solid(Role::Paper), Some(Stroke::new(1.0, Role::Muted)))
            }
            Sample::NotJudged => {
                list.rect(rect, Fill::hatch(not_judged()), Some(Stroke::new(1.0, Role::Grid)))
            }
            Sample::Feature => {
                let stroke = Stroke::new(1.4, Role::Ink.faint(0.85)).dashed(Dash::Dotted);
                list.rect(rect, Fill::default(), Some(stroke))
            }
            Sample::Brush(side) => {
                for (x, way) in [(rect.x, 4.0), (rect.right(), -4.0)] {
                    let (top, bottom) = (rect.y, rect.bottom());
                    let points = vec![pos(x + way, top), pos(x, top), pos(x, bottom), pos(x + way, bottom)];
                    list.polyline(points, brush_stroke(side));
                }
                list.mark(
                    rect.centre(),
                    Marker::Down,
                    8.0,
                    if side == Side::Left { Role::LeftUnit } else { Role::RightUnit },
                )
            }
            Sample::Name | Sample::Scale(_) => return,
        };
        let text = Text::new(pos(rect.right() + 7.0, at.y), size, Role::Ink, entry.name.clone());
        list.push(text.anchored(Anchor::Start, Baseline::Middle));
    }

    fn draw_scale(&self, list: &mut DisplayList, bar: Rect, size: f64) {
        if self.against.is_some() {
            return self.draw_difference_scale(list, bar, size);
        }
        let step = bar.width / STEPS as f64;
        let mut items: Vec<Item> = Vec::new();
        for i in 0..STEPS {
            let piece = Rect::new(bar.x + step * i as f64, bar.y, step + 0.3, bar.height);
            items.push(
                Shape::Polygon {
                    points: piece.corners().to_vec(),
                    fill: Fill::solid(self.options.quantity.paint((i as f64 + 0.5) / STEPS as f64)),
                    stroke: None,
                }
                .into(),
            );
        }
        list.push(Shape::Group { clip: None, items }).key = Some("scale".to_owned());
        list.rect(bar, Fill::default(), Some(Stroke::new(1.0, Role::Muted)));
        let ends = [
            (bar.x - 5.0, Anchor::End, "0".to_owned()),
            (bar.right() + 5.0, Anchor::Start, format!("{}+", trimmed(self.full_scale))),
        ];
        let mut end = bar.right();
        for (x, anchor, words) in ends {
            let text = Text::new(pos(x, bar.centre().y), size, Role::Muted, words);
            let text = text.anchored(anchor, Baseline::Middle);
            end = end.max(text.bounds().right());
            list.push(text);
        }
        if let Some(asked) = self.options.quantity.asked(self.scene, self.options.units) {
            let x = bar.x + bar.width * (asked / self.full_scale).clamp(0.0, 1.0);
            list.line(pos(x, bar.y - 3.0), pos(x, bar.bottom() + 3.0), Stroke::new(2.0, Role::Ink));
            list.mark(pos(x, bar.bottom() + 6.0), Marker::Up, 8.0, Role::Ink);
            let words = format!("asked {}", trimmed(asked));
            // Beside the bar with the same mark as under it, where there is room.
            let text = Text::new(pos(end + 1.8 * size, bar.centre().y), size, Role::Ink, words);
            let text = text.anchored(Anchor::Start, Baseline::Middle);
            if text.bounds().right() <= self.options.width {
                list.mark(pos(end + 1.1 * size, bar.centre().y), Marker::Up, 8.0, Role::Ink);
                list.push(text).key = Some("asked".to_owned());
            }
        }
    }
}
