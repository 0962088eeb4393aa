//! Lane, travel arrow, clock, scale bar and the legend under the ground.

use super::{Ghost, PlanOptions, Stage};
use crate::drawing::labels::LabelPlacer;
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Pos, Rect, Shape, Stroke, Text,
    Weight, pos,
};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::text_width::text_width;
use crate::drawing::words::{pressure_unit, pressure_value, rounded, short_length};
use crate::units::UnitSystem;

/// Free edge at the left and right of the foot, page units.
const EDGE: f64 = 12.0;

/// Height of the legend under the ground, page units.
pub(super) fn foot_height(options: &PlanOptions) -> f64 {
    let rows = entries_rows(options);
    10.0 + 1.7 * options.size() * rows as f64
}

/// The lane centreline, under everything.
pub(super) fn draw_lane(stage: &mut Stage<'_>) {
    let area = stage.area;
    let corners = area.corners().map(|c| stage.frame.ground_from_page(c));
    let low = corners.iter().map(|c| c[0]).fold(f64::INFINITY, f64::min);
    let high = corners.iter().map(|c| c[0]).fold(f64::NEG_INFINITY, f64::max);
    let (a, b) = (stage.frame.page_from_ground([low, 0.0]), stage.frame.page_from_ground([high, 0.0]));
    let item = stage.items.line(a, b, Stroke::new(1.0, Role::Muted.faint(0.8)).dashed(Dash::DashDot));
    item.key = Some("centreline".to_owned());
    item.tip = Some("lane centreline".to_owned());
}

pub(super) fn draw_furniture(
    stage: &Stage<'_>,
    ghosts: &[Ghost<'_>],
    list: &mut DisplayList,
    placer: &mut LabelPlacer,
) {
    let size = stage.options.size();
    if stage.options.show.clock {
        draw_clock(stage, list, placer, size);
    }
    draw_travel(stage, list, placer, size);
    draw_scale_bar(stage, list, placer, size);
    if stage.options.show.legend {
        draw_foot(stage, ghosts, list, size);
    }
}

fn panel_text(list: &mut DisplayList, placer: &mut LabelPlacer, text: Text) {
    placer.take(text.bounds().inset(-4.0));
    list.push(text.with_halo(Role::Paper));
}

fn draw_clock(stage: &Stage<'_>, list: &mut DisplayList, placer: &mut LabelPlacer, size: f64) {
    let position = stage.t_s * stage.scene.record.conveyor_speed_m_s;
    let units = stage.options.units;
    let time = format!("{} s", rounded(stage.t_s, 2));
    let whole = format!("{time} · nose at {}", short_length(position, units));
    let free = stage.area.width - 3.0 * EDGE - travel_width(size);
    let fits = WIDER * text_width(&whole, size, Weight::Bold) <= free;
    let text = if fits { whole } else { time };
    let at = pos(stage.area.x + EDGE, stage.area.y + 10.0);
    panel_text(
        list,
        placer,
        Text::new(at, size, Role::Ink, text).bold().anchored(Anchor::Start, Baseline::Top),
    );
}

/// How much wider letters may come out where a page is shown in another font.
const WIDER: f64 = 1.2;
/// What the arrow of travel takes beside its word, page units.
const ARROW_WIDE: f64 = 64.0;

/// Width of the word and the arrow of travel, page units.
fn travel_width(size: f64) -> f64 {
    text_width(TRAVEL, size, Weight::Regular) + ARROW_WIDE
}

const TRAVEL: &str = "travel";

/// The arrow that shows which way vehicles travel, in the top right corner of the ground.
fn draw_travel(stage: &Stage<'_>, list: &mut DisplayList, placer: &mut LabelPlacer, size: f64) {
    let [dx, dy] = stage.frame.page_direction_from_ground([1.0, 0.0]);
    let box_wide = travel_width(size);
    let wide = box_wide - ARROW_WIDE;
    let area = Rect::new(
        stage.area.right() - EDGE - box_wide,
        stage.area.y + 6.0,
        box_wide,
        52.0_f64.min(size * 2.0 + 28.0 * dy.abs()),
    );
    let at = pos(area.x, area.y + 4.0);
    panel_text(list, placer, Text::new(at, size, Role::Muted, TRAVEL).anchored(Anchor::Start, Baseline::Top));
    let middle = pos(area.x + wide + 34.0, at.y + 0.36 * size + 18.0 * dy.abs());
    let (from, to) = (middle.shifted(-24.0 * dx, -24.0 * dy), middle.shifted(24.0 * dx, 24.0 * dy));
    list.arrow(from, to, Stroke::new(2.4, Role::Muted));
    if let Some(rect) = Rect::around(&[from, to]) {
        placer.take(rect.inset(-8.0));
    }
}

/// A bar of a round length in trade or SI units, in the bottom right corner of the ground.
fn draw_scale_bar(stage: &Stage<'_>, list: &mut DisplayList, placer: &mut LabelPlacer, size: f64) {
    let foot = 0.3048;
    let choices: &[(f64, &str)] = match stage.options.units {
        UnitSystem::Us => &[
            (foot / 12.0, "1 in"),
            (foot / 4.0, "3 in"),
            (foot / 2.0, "6 in"),
            (foot, "1 ft"),
            (2.0 * foot, "2 ft"),
            (5.0 * foot, "5 ft"),
            (10.0 * foot, "10 ft"),
            (20.0 * foot, "20 ft"),
        ],
        UnitSystem::Si => &[
            (0.02, "2 cm"),
            (0.05, "5 cm"),
            (0.1, "10 cm"),
            (0.2, "20 cm"),
            (0.5, "50 cm"),
            (1.0, "1 m"),
            (2.0, "2 m"),
            (5.0, "5 m"),
        ],
    };
    let longest = (0.25 * stage.area.width).min(170.0);
    let Some((length, name)) =
        choices.iter().rev().find(|(length, _)| stage.frame.length(*length) <= longest)
    else {
        return;
    };
    let long = stage.frame.length(*length);
    let y = stage.area.bottom() - 12.0;
    let (right, left) = (stage.area.right() - EDGE, stage.area.right() - EDGE - long);
    let stroke = Stroke::new(1.6, Role::Ink);
    if stage.options.show.looks {
        // Clear of the wall that it may lie on.
        let wide = long.max(text_width(name, size, Weight::Regular));
        let back = Rect::new(right - wide - 6.0, y - 8.0 - size, wide + 12.0, size + 13.0);
        list.rect(back, Fill::solid(Role::Paper.faint(0.85)), None);
    }
    let points = vec![pos(left, y - 5.0), pos(left, y), pos(right, y), pos(right, y - 5.0)];
    let item = list.polyline(points, stroke);
    item.key = Some("scale-bar".to_owned());
    item.tip = Some(format!("{name} on the ground"));
    placer.take(Rect::new(left - 4.0, y - 8.0, long + 8.0, 12.0));
    // A long name over a short bar stays on the page.
    let half = 0.5 * text_width(name, size, Weight::Regular) + 2.0;
    let at = pos((0.5 * (left + right)).min(stage.area.right() - half), y - 6.0);
    panel_text(
        list,
        placer,
        Text::new(at, size, Role::Ink, *name).anchored(Anchor::Middle, Baseline::Alphabetic),
    );
}

/// A sample in the legend.
#[derive(Clone, Copy)]
enum Sample {
    Line(Stroke),
    Missed,
    ToBeMissed,
    Arrow(Stroke),
    Scale,
}

fn entries(options: &PlanOptions, ghosts: &[Ghost<'_>]) -> Vec<(String, Sample)> {
    let mut list = Vec::new();
    if options.show.washed {
        list.push(("washed".to_owned(), Sample::Line(Stroke::new(3.2, Role::Washed))));
        list.push(("not yet".to_owned(), Sample::Line(Stroke::new(2.0, Role::NotYet).dashed(Dash::Dashed))));
        list.push(("missed".to_owned(), Sample::Missed));
        // Beside few labels one of them says it on the car.
        if options.show.missed_in_the_end && !options.show.few_labels {
            list.push(("will be missed".to_owned(), Sample::ToBeMissed));
        }
    }
    if options.show.forces {
        list.push(("push on the brush".to_owned(), Sample::Arrow(Stroke::new(2.6, Role::Force))));
        list.push((
            "rub on the brush".to_owned(),
            Sample::Arrow(Stroke::new(2.6, Role::Friction).dashed(Dash::Dashed)),
        ));
    }
    for ghost in ghosts {
        list.push((format!("set-up {}", ghost.name), Sample::Line(ghost.role.style().stroke(2.0))));
    }
    if options.show.pressure {
        let name = if options.show.few_labels { "pressure" } else { "contact pressure" };
        list.push((format!("{name}, {}", pressure_unit(options.units)), Sample::Scale));
    }
    list
}

fn entry_width(name: &str, sample: Sample, size: f64) -> f64 {
    let sample = match sample {
        Sample::Scale => SCALE_WIDE + 6.0 * size,
        _ => SAMPLE_WIDE,
    };
    sample + 7.0 + text_width(name, size, Weight::Regular) + 22.0
}

const SAMPLE_WIDE: f64 = 30.0;
const SCALE_WIDE: f64 = 120.0;

/// Rows of legend entries, with room for the ghosts that may be pinned.
fn entries_rows(options: &PlanOptions) -> usize {
    let size = options.size();
    let mut rows = 1;
    let mut x = EDGE;
    let mut widths: Vec<f64> =
        entries(options, &[]).iter().map(|(name, sample)| entry_width(name, *sample, size)).collect();
    let ghost = entry_width("set-up A", Sample::Missed, size);
    widths.extend(std::iter::repeat_n(ghost, options.room_for_ghosts));
    for width in widths {
        if x + width > options.width - EDGE && x > EDGE {
            rows += 1;
            x = EDGE;
        }
        x += width;
    }
    rows
}

fn draw_foot(stage: &Stage<'_>, ghosts: &[Ghost<'_>], list: &mut DisplayList, size: f64) {
    let top = stage.area.bottom();
    let options = stage.options;
    list.line(pos(0.0, top), pos(options.width, top), Stroke::new(1.0, Role::Grid));
    let (mut x, mut y) = (EDGE, top + 5.0 + 0.85 * size);
    for (name, sample) in entries(options, ghosts) {
        let width = entry_width(&name, sample, size);
        if x + width > options.width - EDGE && x > EDGE {
            x = EDGE;
            y += 1.7 * size;
        }
        draw_sample(stage, list, pos(x, y), &name, sample, size);
        x += width;
    }
}

fn draw_sample(stage: &Stage<'_>, list: &mut DisplayList, at: Pos, name: &str, sample: Sample, size: f64) {
    let end = at.shifted(SAMPLE_WIDE, 0.0);
    let label = |x: f64, list: &mut DisplayList| {
        let text = Text::new(pos(x, at.y), size, Role::Ink, name);
        list.push(text.anchored(Anchor::Start, Baseline::Middle));
    };
    match sample {
        Sample::Line(stroke) => {
            list.line(at, end, stroke);
            label(end.x + 7.0, list);
        }
        Sample::Missed => {
            let rect = Rect::new(at.x, at.y - 4.5, SAMPLE_WIDE, 9.0);
            let fill = Fill {
                paint: Some(Role::Missed.faint(0.12)),
                hatch: Some(Hatch::new(HatchKind::Rising, 4.0, Role::Missed)),
            };
            list.rect(rect, fill, Some(Stroke::new(1.6, Role::Missed)));
            label(end.x + 7.0, list);
        }
        Sample::ToBeMissed => {
            let rect = Rect::new(at.x, at.y - 4.5, SAMPLE_WIDE, 9.0);
            list.rect(rect, Fill::default(), Some(Stroke::new(1.6, Role::Missed).dashed(Dash::Dashed)));
            label(end.x + 7.0, list);
        }
        Sample::Arrow(stroke) => {
            list.arrow(at, end, stroke);
            label(end.x + 7.0, list);
        }
        Sample::Scale => {
            // Deeper as well as darker: the ribbon's depth says the same as its colour.
            let full = pressure_value(stage.pressure_scale_pa, options_units(stage));
            label(at.x, list);
            let left = at.x + text_width(name, size, Weight::Regular) + 10.0 + 1.2 * size;
            // In a narrow picture it is shorter, so that its end can be read.
            let wide = (stage.options.width - left - 3.5 * size).clamp(24.0, SCALE_WIDE);
            let mut items: Vec<Item> = Vec::new();
            let cells = 24;
            for i in 0..cells {
                let (a, b) = (f64::from(i) / f64::from(cells), f64::from(i + 1) / f64::from(cells));
                let (xa, xb) = (left + wide * a, left + wide * b + 0.3);
                let base = at.y + 0.45 * size;
                let tall = |t: f64| 2.0 + (0.9 * size - 2.0) * t;
                let points =
                    vec![pos(xa, base), pos(xb, base), pos(xb, base - tall(b)), pos(xa, base - tall(a))];
                items.push(
                    Shape::Polygon {
                        points,
                        fill: Fill::solid(Paint::pressure(0.5 * (a + b))),
                        stroke: None,
                    }
                    .into(),
                );
            }
            list.push(Shape::Group { clip: None, items }).key = Some("pressure-scale".to_owned());
            let zero = Text::new(pos(left - 5.0, at.y), size, Role::Muted, "0");
            list.push(zero.anchored(Anchor::End, Baseline::Middle));
            let decimals = if full < 10.0 { 1 } else { 0 };
            let most = Text::new(
                pos(left + wide + 6.0, at.y),
                size,
                Role::Muted,
                format!("{}+", rounded(full, decimals)),
            );
            list.push(most.anchored(Anchor::Start, Baseline::Middle));
        }
    }
}

const fn options_units(stage: &Stage<'_>) -> UnitSystem {
    stage.options.units
}
