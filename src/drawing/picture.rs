//! One page for a pass: the verdict, the plan view at the key instant, why, the unrolled map, and every criterion with its number and
//! its limit.

use super::grade::Grade;
use super::list::{Anchor, Baseline, DisplayList, Fill, MIN_TEXT_SIZE, Pos, Rect, Stroke, Text, Weight, pos};
use super::palette::Role;
use super::plan_view::{Ghost, PlanOptions, PlanScene, PlanShow, plan_view};
use super::text_width::{ellipsize, text_width, wrap};
use super::unrolled::{MapQuantity, UnrolledOptions, unrolled_map};
use crate::arm::StopPin;
pub use crate::coverage::key_instant;
use crate::coverage::{Outcome, Solved, Verdict, VerdictLine, explain, headline};
use crate::sentences::why;
use crate::units::job::{JobWords, per_hour};
use crate::units::{Dimension, SpeedDim, UnitSystem, counted, format};

/// How the page is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct PictureOptions {
    /// Width, page units, at least 640; the height follows from what there is to say.
    pub width: f64,
    /// Units of every number.
    pub units: UnitSystem,
    /// Size of labels, page units; at least [`MIN_TEXT_SIZE`].
    pub text_size: f64,
    /// Name of the scenario; may be empty.
    pub name: String,
    /// Instant of the plan view, s; `None` = the key one.
    pub t_s: Option<f64>,
    /// What the map's colours stand for.
    pub quantity: MapQuantity,
    /// Stop pins of the units, in the order of the set-up.
    pub stop_pins: Vec<Option<StopPin>>,
}

impl PictureOptions {
    /// A page 1280 wide.
    pub const fn new(units: UnitSystem) -> PictureOptions {
        PictureOptions {
            width: 1280.0,
            units,
            text_size: 12.0,
            name: String::new(),
            t_s: None,
            quantity: MapQuantity::Wipes,
            stop_pins: Vec::new(),
        }
    }
}

const EDGE: f64 = 16.0;

/// Draws the page.
pub fn pass_picture(solved: &Solved, ghosts: &[Ghost<'_>], options: &PictureOptions) -> DisplayList {
    let size = options.text_size.max(MIN_TEXT_SIZE);
    let width = options.width.max(640.0);
    let t_s = options.t_s.unwrap_or_else(|| solved.key_instant_s());
    let scene = PlanScene { solved, t_s };
    let mut list = DisplayList::new(width, 0.0);
    list.title = if options.name.is_empty() { "A pass".to_owned() } else { options.name.clone() };
    let mut y = draw_head(&mut list, &scene, options, width, size);

    let mut plan = PlanOptions::new(width, (0.46 * width).max(440.0).round(), options.units);
    plan.text_size = size;
    plan.room_for_ghosts = ghosts.len();
    plan.stop_pins = options.stop_pins.clone();
    plan.show = PlanShow { forces: true, missed_in_the_end: true, ..PlanShow::default() };
    list.place(&plan_view(&scene, ghosts, &plan), pos(0.0, y));
    y += plan.height;

    y = draw_why(&mut list, &scene, options, y, width, size);

    let mut map = UnrolledOptions::new(width, (0.27 * width).max(300.0).round(), options.units);
    map.text_size = size;
    map.quantity = options.quantity;
    rule(&mut list, y, width);
    list.place(&unrolled_map(&scene, &map).list, pos(0.0, y + 6.0));
    y += map.height + 12.0;

    rule(&mut list, y, width);
    y = draw_criteria(&mut list, &solved.outcome, options, y + 14.0, width, size);
    y = draw_caution(&mut list, y, width, size);
    list.height = y;
    list
}

fn rule(list: &mut DisplayList, y: f64, width: f64) {
    list.line(pos(0.0, y), pos(width, y), Stroke::new(1.0, Role::Grid));
}

const fn grade(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Pass => Grade::Pass,
        Verdict::Marginal => Grade::Marginal,
        Verdict::Fail => Grade::Fail,
    }
}

/// A small box with the sign and the word of a grade; returns its width.
fn chip(list: &mut DisplayList, at: Pos, grade: Grade, size: f64) -> f64 {
    let words = format!("{} {}", grade.sign(), grade.word());
    let width = text_width(&words, size, Weight::Bold) + 12.0;
    let rect = Rect::new(at.x, at.y - 0.75 * size, width, 1.5 * size);
    list.rect(rect, Fill::solid(grade.role().faint(0.12)), Some(Stroke::new(1.2, grade.role())));
    let text = Text::new(rect.centre(), size, grade.role(), words).bold();
    list.push(text.anchored(Anchor::Middle, Baseline::Middle));
    width
}

/// Value and limit of a criterion in words, both in one form; «no value» where there is none.
pub fn criterion_numbers(line: &VerdictLine, units: UnitSystem) -> (String, String) {
    let unit = line.criterion.si_unit();
    if unit.is_empty() {
        let value = line.value.map_or_else(|| NO_VALUE.to_owned(), super::unrolled::percent);
        return (value, super::unrolled::percent(line.limit));
    }
    let (value, limit) = JobWords::new(units).value_and_limit(unit, line.value, line.limit);
    (if line.value.is_none() { NO_VALUE.to_owned() } else { value }, limit)
}

const NO_VALUE: &str = "no value";

/// The verdict in one line: «fail: tail washed 82.8 %, at least 90 % asked».
pub fn headline_text(outcome: &Outcome, units: UnitSystem) -> Option<(Verdict, String)> {
    let (verdict, line) = headline(&outcome.verdicts)?;
    let (value, limit) = criterion_numbers(line, units);
    let way = if line.criterion.at_least() { "at least" } else { "at most" };
    Some((verdict, format!("{} {value}, {way} {limit} asked", line.label())))
}

fn draw_head(
    list: &mut DisplayList,
    scene: &PlanScene<'_>,
    options: &PictureOptions,
    width: f64,
    size: f64,
) -> f64 {
    let mut y = 16.0 + 0.7 * size;
    let mut x = EDGE;
    let (text, big) = match headline_text(&scene.outcome, options.units) {
        Some((verdict, text)) => {
            x += chip(list, pos(x, y + 0.1 * size), grade(verdict), 1.25 * size) + 10.0;
            (text, 1.5 * size)
        }
        None => ("no criterion set".to_owned(), 1.5 * size),
    };
    let shown = ellipsize(&text, big, Weight::Bold, width - x - EDGE);
    list.description = text;
    let line = Text::new(pos(x, y), big, Role::Ink, shown).bold();
    list.push(line.anchored(Anchor::Start, Baseline::Middle)).key = Some("headline".to_owned());
    y += 1.9 * size;
    let vehicle = &scene.setup.train[scene.setup.measured].shape.real;
    let pitch_m = vehicle.length_m + scene.setup.gap_m;
    let mut parts = Vec::new();
    if !options.name.is_empty() {
        parts.push(options.name.clone());
    }
    parts.push(vehicle.name.clone());
    parts.push(format!(
        "conveyor {} ({:.0} veh/h of this length)",
        format(SpeedDim::INFO, scene.setup.conveyor_speed_m_s, options.units),
        per_hour(scene.setup.conveyor_speed_m_s / pitch_m)
    ));
    parts.push(match scene.outcome.gaps.len() {
        0 => "no gaps".to_owned(),
        count => counted(count as u64, "gap", "gaps"),
    });
    let shown = ellipsize(&parts.join(" · "), size, Weight::Regular, width - 2.0 * EDGE);
    let line = Text::new(pos(EDGE, y), size, Role::Muted, shown);
    list.push(line.anchored(Anchor::Start, Baseline::Middle));
    y += 1.2 * size;
    rule(list, y, width);
    y
}

/// One sentence for each unit.
fn draw_why(
    list: &mut DisplayList,
    scene: &PlanScene<'_>,
    options: &PictureOptions,
    top: f64,
    width: f64,
    size: f64,
) -> f64 {
    let mut y = top + 0.6 * size;
    for said in explain(&scene.setup, &scene.record, scene.t_s) {
        if said.instant.ended {
            continue;
        }
        for line in wrap(&why(&said, options.units), 1.1 * size, Weight::Regular, width - 2.0 * EDGE) {
            let text = Text::new(pos(EDGE, y), 1.1 * size, Role::Ink, line);
            list.push(text.anchored(Anchor::Start, Baseline::Top));
            y += 1.55 * size;
        }
    }
    y + 0.5 * size
}

fn draw_criteria(
    list: &mut DisplayList,
    outcome: &Outcome,
    options: &PictureOptions,
    top: f64,
    width: f64,
    size: f64,
) -> f64 {
    let lines = &outcome.verdicts;
    if lines.is_empty() {
        return top;
    }
    let columns = ((width - 2.0 * EDGE) / (37.0 * size)).floor().max(1.0) as usize;
    let per_column = lines.len().div_ceil(columns);
    let column_width = (width - 2.0 * EDGE) / columns as f64;
    let row = 2.0 * size;
    for (index, line) in lines.iter().enumerate() {
        let (column, place) = (index / per_column, index % per_column);
        let left = EDGE + column as f64 * column_width;
        let y = top + (place as f64 + 0.5) * row;
        draw_criterion(list, line, options, pos(left, y), column_width - 20.0, size);
    }
    top + per_column as f64 * row + 0.6 * size
}

/// Grade, name, number and limit on one row.
fn draw_criterion(
    list: &mut DisplayList,
    line: &VerdictLine,
    options: &PictureOptions,
    at: Pos,
    width: f64,
    size: f64,
) {
    let widest = Grade::ALL
        .iter()
        .map(|g| text_width(&format!("{} {}", g.sign(), g.word()), size, Weight::Bold))
        .fold(0.0, f64::max);
    chip(list, at, grade(line.verdict), size);
    let (mut value, limit) = criterion_numbers(line, options.units);
    if value == limit && line.verdict == Verdict::Fail {
        value = format!("just past {value}");
    }
    let way = if line.criterion.at_least() { "≥" } else { "≤" };
    let limit = format!("{way} {limit}");
    let limit_width = 8.2 * size;
    let right = at.x + width;
    list.push(
        Text::new(pos(right - limit_width + 8.0, at.y), size, Role::Muted, limit)
            .anchored(Anchor::Start, Baseline::Middle),
    );
    let value = Text::new(pos(right - limit_width - 2.0, at.y), size, Role::Ink, value).bold();
    let value = value.anchored(Anchor::End, Baseline::Middle);
    let name_left = at.x + widest + 22.0;
    let room = value.bounds().x - 8.0 - name_left;
    list.push(value).key = Some(format!("criterion:{}", line.key()));
    let name = ellipsize(&line.label(), size, Weight::Regular, room);
    list.push(
        Text::new(pos(name_left, at.y), size, Role::Ink, name).anchored(Anchor::Start, Baseline::Middle),
    );
}

const CAUTION: &str = "A prediction, not a certificate. Before touching the machine: lock out and tag out all energy, bleed the air to zero and \
     prove it, block the arm. The maker's manual, local codes and licensed practice come first.";

fn draw_caution(list: &mut DisplayList, top: f64, width: f64, size: f64) -> f64 {
    rule(list, top, width);
    let mut y = top + 0.8 * size;
    for line in wrap(CAUTION, size, Weight::Regular, width - 2.0 * EDGE) {
        let text = Text::new(pos(EDGE, y), size, Role::Muted, line);
        list.push(text.anchored(Anchor::Start, Baseline::Top));
        y += 1.4 * size;
    }
    y + 0.4 * size
}
