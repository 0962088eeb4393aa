//! A close-up of what was turned: bearings with their lean drawn larger than life, the row of stop-pin holes, a gauge; before in dashes, now in full.
//!
//! It shows what a hand does, not where the part sits: holes stand evenly spaced, and only the lean has a scale, which is said.

use super::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Pos, Rect, Stroke, Text, Weight, pos,
};
use super::palette::Role;
use super::plan_view::LEAN_SHOWN;
use super::text_width::{ellipsize, text_width};
use super::words::round_up;
use crate::elementary::Elementary;

/// What is seen close up. Everything comes twice, before and now; alike where nothing was turned.
#[derive(Debug, Clone, PartialEq)]
pub enum CloseUp {
    /// The two bearings of an arm, seen along the lane with the wall on the right.
    Bearings {
        /// From the lower to the upper one, m.
        span_m: f64,
        /// Upper and lower off plumb before, positive toward the wall, m.
        before_m: [f64; 2],
        /// Upper and lower now, m.
        now_m: [f64; 2],
        /// The same in words: «0 in → 1/8 in».
        words: String,
    },
    /// The holes of the stop pin, from 1 = outermost.
    Holes {
        /// How many.
        count: usize,
        /// The hole in use before.
        before: usize,
        /// The hole in use now.
        now: usize,
    },
    /// A gauge of a regulator.
    Gauge {
        /// Share of the dial before, 0 to 1.
        before: f64,
        /// Share of the dial now.
        now: f64,
        /// What the end of the dial says.
        full: String,
        /// The pressures in words: «7 → 8 psi».
        words: String,
    },
    /// Anything else: its values in words.
    Words {
        /// Before.
        before: String,
        /// Now.
        now: String,
    },
}

impl CloseUp {
    /// A gauge for two pressures in the unit shown; its dial ends at a round number over both.
    pub fn gauge(before: f64, now: f64, unit: &str, words: String) -> CloseUp {
        let full = round_up((1.25 * before.max(now)).max(1e-9));
        CloseUp::Gauge {
            before: (before / full).clamp(0.0, 1.0),
            now: (now / full).clamp(0.0, 1.0),
            full: format!("{} {unit}", super::words::rounded(full, if full < 10.0 { 1 } else { 0 })),
            words,
        }
    }

    /// What it shows, for those who cannot see it.
    pub fn description(&self) -> String {
        match self {
            CloseUp::Bearings { words, .. } => format!("The bearings from along the lane: {words}."),
            CloseUp::Holes { count, before, now } => {
                format!("{count} holes of the stop pin, the pin in hole {now}; before in hole {before}.")
            }
            CloseUp::Gauge { words, .. } => format!("A gauge: {words}."),
            CloseUp::Words { before, now } => format!("Before {before}, now {now}."),
        }
    }
}

/// Draws it on a page of this size; `size` is that of its letters.
pub fn close_up(what: &CloseUp, width: f64, height: f64, size: f64) -> DisplayList {
    let mut list = DisplayList::new(width, height);
    list.title = "Close-up of what was turned".to_owned();
    list.description = what.description();
    match what {
        CloseUp::Bearings { span_m, before_m, now_m, words } => {
            bearings(&mut list, *span_m, *before_m, *now_m, words, size);
        }
        CloseUp::Holes { count, before, now } => holes(&mut list, *count, *before, *now, size),
        CloseUp::Gauge { before, now, full, words } => gauge(&mut list, [*before, *now], full, words, size),
        CloseUp::Words { before, now } => words(&mut list, before, now, size),
    }
    list
}

fn says(list: &mut DisplayList, at: Pos, size: f64, anchor: Anchor, role: Role, text: &str) {
    let room = match anchor {
        Anchor::Start => list.width - at.x,
        Anchor::End => at.x,
        Anchor::Middle => 2.0 * at.x.min(list.width - at.x),
    };
    let text = ellipsize(text, size, Weight::Regular, room);
    list.push(Text::new(at, size, role, text).anchored(anchor, Baseline::Middle));
}

/// Left the picture, right its words.
fn bearings(
    list: &mut DisplayList,
    span_m: f64,
    before_m: [f64; 2],
    now_m: [f64; 2],
    words: &str,
    size: f64,
) {
    let said = ["wall", &format!("drawn ×{LEAN_SHOWN:.0}"), words]
        .iter()
        .map(|text| text_width(text, size, Weight::Regular))
        .fold(0.0, f64::max);
    let picture = (list.width - said - 2.0 * size).max(0.4 * list.width);
    let (top, bottom) = (0.16 * list.height, 0.84 * list.height);
    let most = [before_m, now_m].concat().into_iter().fold(0.0, |most: f64, m| most.max(m.abs()));
    let per_m = (bottom - top) / span_m.max(1e-3);
    // The wall is a hatched strip at the right of the picture; the bearings stand clear of it.
    let wall = Rect::new(picture - 0.6 * size, 0.02 * list.height, 0.6 * size, 0.96 * list.height);
    list.rect(
        wall,
        Fill::hatch(Hatch::new(HatchKind::Rising, 7.0, Role::Machine)),
        Some(Stroke::new(1.4, Role::Machine)),
    );
    let middle = 0.5 * wall.x;
    // The largest lean still fits; a scale that had to be smaller is said.
    let block = 0.5 * size;
    let fits = ((middle - 2.2 * block) / (most * per_m).max(1e-9)).min(LEAN_SHOWN);
    let x = |m: f64| middle + m * per_m * fits;
    list.line(
        pos(middle, 0.02 * list.height),
        pos(middle, 0.98 * list.height),
        Stroke::new(1.4, Role::Muted).dashed(Dash::DashDot),
    );
    let axis = |[upper, lower]: [f64; 2]| {
        // Beyond both bearings, as a hinge pin stands out.
        let out = 0.12 * (bottom - top);
        let slope = (x(upper) - x(lower)) / (bottom - top);
        [pos(x(upper) + slope * out, top - out), pos(x(lower) - slope * out, bottom + out)]
    };
    if before_m != now_m {
        let [a, b] = axis(before_m);
        list.line(a, b, Stroke::new(3.0, Role::NotYet).dashed(Dash::Dashed));
    }
    for (m, y) in [(now_m[0], top), (now_m[1], bottom)] {
        let rect = Rect::new(x(m) - 1.6 * block, y - 0.7 * block, 3.2 * block, 1.4 * block);
        list.rect(rect, Fill::solid(Role::Vehicle), Some(Stroke::new(2.0, Role::Machine)));
    }
    let [a, b] = axis(now_m);
    list.line(a, b, Stroke::new(5.0, Role::Ink));
    for (m, y) in [(now_m[0], top), (now_m[1], bottom)] {
        list.circle(pos(x(m), y), 0.32 * size, Fill::solid(Role::Ink), None);
    }
    let half = 0.5 * list.height;
    let at = |row: f64| pos(picture + 0.7 * size, half + row * 1.35 * size);
    says(list, at(-1.0), size, Anchor::Start, Role::Muted, "wall");
    says(list, at(0.0), size, Anchor::Start, Role::Ink, words);
    says(list, at(1.0), size, Anchor::Start, Role::Muted, &format!("drawn ×{}", number(fits)));
}

fn number(value: f64) -> String {
    super::words::rounded(value, if value < 10.0 { 1 } else { 0 })
}

fn holes(list: &mut DisplayList, count: usize, before: usize, now: usize, size: f64) {
    let count = count.max(1);
    let step = (list.width - 2.0 * size) / count as f64;
    let radius = (0.3 * step).min(0.17 * list.height);
    let y = 0.42 * list.height;
    let plate = Rect::new(0.5 * size, y - 1.7 * radius, list.width - size, 3.4 * radius);
    list.rect(plate, Fill::solid(Role::Vehicle), Some(Stroke::new(2.0, Role::Machine)));
    for hole in 1..=count {
        let at = pos(size + (hole as f64 - 0.5) * step, y);
        list.circle(at, radius, Fill::solid(Role::Paper), Some(Stroke::new(2.0, Role::Machine)));
        if hole == before && before != now {
            let rim = Stroke::new(3.0, Role::NotYet).dashed(Dash::Dashed);
            list.circle(at, 1.35 * radius, Fill::default(), Some(rim));
        }
        if hole == now {
            list.circle(at, 0.72 * radius, Fill::solid(Role::Ink), None);
            list.circle(at, 1.35 * radius, Fill::default(), Some(Stroke::new(3.0, Role::Ink)));
        }
        let name = match hole {
            _ if hole == now => format!("{hole}: pin"),
            1 if count > 2 && step > 6.0 * size => "1, outermost".to_owned(),
            _ => hole.to_string(),
        };
        let text = ellipsize(&name, size, Weight::Regular, step);
        let below = pos(at.x, plate.bottom() + 0.9 * size);
        list.push(Text::new(below, size, Role::Ink, text).anchored(Anchor::Middle, Baseline::Middle));
    }
}

/// Where a gauge's scale begins, page angle; it goes on over the top through three quarters of a turn.
const DIAL_START_RAD: f64 = 0.75 * std::f64::consts::PI;
const DIAL_SWEEP_RAD: f64 = 1.5 * std::f64::consts::PI;

fn gauge(list: &mut DisplayList, shares: [f64; 2], full: &str, words: &str, size: f64) {
    let radius = (0.46 * list.height).min(0.24 * list.width);
    let centre = pos(radius + 0.5 * size, 0.52 * list.height);
    list.circle(centre, radius, Fill::solid(Role::Paper), Some(Stroke::new(3.0, Role::Machine)));
    let on = |share: f64, r: f64| {
        let angle = DIAL_START_RAD + share * DIAL_SWEEP_RAD;
        centre.shifted(r * angle.cosine(), r * angle.sine())
    };
    for tick in 0..=10 {
        let share = f64::from(tick) / 10.0;
        let inner = if tick % 5 == 0 { 0.74 } else { 0.82 };
        list.line(on(share, inner * radius), on(share, 0.92 * radius), Stroke::new(2.0, Role::Ink));
    }
    let [before, now] = shares;
    if before != now {
        list.line(centre, on(before, 0.8 * radius), Stroke::new(3.0, Role::NotYet).dashed(Dash::Dashed));
    }
    list.line(centre, on(now, 0.86 * radius), Stroke::new(5.0, Role::Ink));
    list.circle(centre, 0.09 * radius, Fill::solid(Role::Ink), None);
    let left = centre.x + radius + 0.6 * size;
    let half = 0.5 * list.height;
    let at = |row: f64| pos(left, half + row * 1.4 * size);
    says(list, at(-0.5), size, Anchor::Start, Role::Ink, words);
    says(list, at(0.5), size, Anchor::Start, Role::Muted, &format!("dial to {full}"));
}

fn words(list: &mut DisplayList, before: &str, now: &str, size: f64) {
    let (x, half) = (0.5 * list.width, 0.5 * list.height);
    let at = |row: f64| pos(x, half + row * 1.6 * size);
    says(list, at(-1.0), size, Anchor::Middle, Role::Muted, before);
    list.arrow(at(-0.55), at(0.25), Stroke::new(2.5, Role::Muted));
    let text = ellipsize(now, 1.2 * size, Weight::Bold, list.width);
    let text = Text::new(at(0.9), 1.2 * size, Role::Ink, text).bold();
    list.push(text.anchored(Anchor::Middle, Baseline::Middle));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::list::Shape;

    fn lines(list: &DisplayList) -> Vec<(Pos, Pos, Stroke)> {
        let of = |item: &super::super::list::Item| match &item.shape {
            Shape::Polyline { points, stroke, .. } if points.len() == 2 => {
                Some((points[0], points[1], *stroke))
            }
            _ => None,
        };
        list.items.iter().filter_map(of).collect()
    }

    #[test]
    fn verif_the_lean_is_drawn_as_many_times_larger_as_is_said() {
        // By hand: 1/8 in over a span of 12 in, on a page whose bearings stand 0.68 of 200 apart: 25 · 3.175/304.8 · 136 = 35.4 to the right at the foot.
        let (span_m, eighth_m) = (0.3048, 0.003175);
        let what = CloseUp::Bearings {
            span_m,
            before_m: [0.0, 0.0],
            now_m: [0.0, eighth_m],
            words: "0 → 1/8 in".to_owned(),
        };
        let list = close_up(&what, 460.0, 200.0, 28.0);
        let own = lines(&list);
        let axis = own.iter().find(|(_, _, stroke)| stroke.width == 5.0).expect("an axis");
        let slope = (axis.1.x - axis.0.x) / (axis.1.y - axis.0.y);
        assert!((slope - LEAN_SHOWN * eighth_m / span_m).abs() < 1e-9, "{slope}");
        assert!(slope > 0.0, "the foot goes to the wall, which is on the right");
        assert!(own.iter().any(|(_, _, stroke)| stroke.dash == Dash::Dashed), "where it was before");
        assert!(list.texts().iter().any(|text| text.text == "drawn ×25"));
        // A lean too large for the page is drawn smaller, and says so.
        let huge = CloseUp::Bearings {
            span_m,
            before_m: [0.0; 2],
            now_m: [0.0, 0.05],
            words: "0 → 2 in".to_owned(),
        };
        let list = close_up(&huge, 460.0, 200.0, 28.0);
        let said = list.texts().iter().find(|text| text.text.starts_with("drawn")).map(|t| t.text.clone());
        assert!(said.as_deref().is_some_and(|said| said != "drawn ×25"), "{said:?}");
        let axis = lines(&list).into_iter().find(|(_, _, stroke)| stroke.width == 5.0).expect("an axis");
        assert!(axis.1.x < 460.0 && axis.1.x > 0.0);
    }

    #[test]
    fn verif_the_pin_is_in_its_hole_and_the_needle_at_its_share() {
        let list = close_up(&CloseUp::Holes { count: 3, before: 2, now: 3 }, 460.0, 200.0, 28.0);
        let names: Vec<&str> = list.texts().iter().map(|text| text.text.as_str()).collect();
        assert_eq!(names, ["1", "2", "3: pin"]);
        // 7 psi on a dial to 10: full scale is the round number over 1.25 · 8.
        let what = CloseUp::gauge(7.0, 8.0, "psi", "7 → 8 psi".to_owned());
        let CloseUp::Gauge { before, now, ref full, .. } = what else { panic!("{what:?}") };
        assert_eq!((before, now, full.as_str()), (0.7, 0.8, "10 psi"));
        let list = close_up(&what, 460.0, 200.0, 28.0);
        let needle = lines(&list).into_iter().find(|(_, _, s)| s.width == 5.0).expect("a needle");
        // By hand: 0.8 of 270° from lower left is 135° + 216° = 351°, 9° above level on the right.
        let angle = (needle.0.y - needle.1.y).atan2(needle.1.x - needle.0.x).to_degrees();
        assert!((angle - 9.0).abs() < 1e-6, "{angle}");
    }

    #[test]
    fn verif_no_letter_leaves_the_page_or_is_smaller_than_asked() {
        let all = [
            CloseUp::Bearings {
                span_m: 0.3048,
                before_m: [0.001, -0.002],
                now_m: [0.0, 0.003],
                words: "−1/16 → 1/8 in".to_owned(),
            },
            CloseUp::Holes { count: 5, before: 1, now: 1 },
            CloseUp::gauge(0.0, 0.0, "kPa", "0 kPa".to_owned()),
            CloseUp::Words { before: "outboard at nose".to_owned(), now: "inboard at nose".to_owned() },
        ];
        for what in all {
            for (width, height, size) in [(460.0, 200.0, 28.0), (300.0, 130.0, 18.0)] {
                let list = close_up(&what, width, height, size);
                for text in list.texts() {
                    assert!(text.size >= size && !text.text.is_empty());
                    let bounds = text.bounds();
                    assert!(
                        bounds.x > -0.5 && bounds.right() < width + 0.5 && bounds.bottom() < height + 1.0,
                        "{what:?}: {text:?}"
                    );
                }
                assert!(!list.description.is_empty());
            }
        }
    }
}
