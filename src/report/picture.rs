//! A pass as one picture: the verdict, the plan view at an instant with why each brush does what it does, and the unrolled map.

use super::PassReport;
use crate::arm::StopPin;
use crate::coverage::explain;
use crate::drawing::plan_view::{PlanOptions, PlanScene, plan_view};
use crate::drawing::svg::svg;
use crate::drawing::text_width::wrap;
use crate::drawing::unrolled::{UnrolledOptions, unrolled_map};
use crate::drawing::words::rounded;
use crate::drawing::{DisplayList, Role, Text, Theme, Weight, pos};
use crate::units::{Dimension, LengthDim, UnitSystem, format};

/// Width of the picture, page units.
const WIDTH: f64 = 1200.0;
const PLAN_HEIGHT: f64 = 700.0;
const MAP_HEIGHT: f64 = 380.0;
const MARGIN: f64 = 24.0;
const HEAD_SIZE: f64 = 20.0;
const TEXT_SIZE: f64 = 14.0;

/// What the picture shows besides the pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureOptions<'a> {
    /// The instant of the plan view, s.
    pub t_s: f64,
    /// Its name in a few words, if it has one: «tail passes brush, left».
    pub instant: Option<&'a str>,
    /// Stop pins of the units, in the order of the set-up.
    pub stop_pins: &'a [Option<StopPin>],
    /// Light or dark.
    pub theme: Theme,
}

impl PassReport<'_> {
    /// The picture as SVG.
    pub fn svg(&self, units: UnitSystem, options: &PictureOptions<'_>) -> String {
        svg(&self.picture(units, options), options.theme)
    }

    /// The picture as a display list.
    pub fn picture(&self, units: UnitSystem, options: &PictureOptions<'_>) -> DisplayList {
        let t_s = options.t_s.clamp(self.record.start_s, self.record.end_s);
        let scene = PlanScene {
            setup: self.setup,
            record: self.record,
            outcome: self.outcome,
            settings: self.coverage,
            t_s,
        };
        let mut plan_options = PlanOptions::new(WIDTH, PLAN_HEIGHT, units);
        plan_options.stop_pins = options.stop_pins.to_vec();
        let plan = plan_view(&scene, &[], &plan_options);
        let map = unrolled_map(&scene, &UnrolledOptions::new(WIDTH, MAP_HEIGHT, units));

        // The head, then the plan view with what was said about it, then the map.
        let headline = self.headline(units);
        let nose = format(LengthDim::INFO, t_s * self.setup.conveyor_speed_m_s, units);
        let when = format!("Plan view at {} s, nose at {nose}", rounded(t_s, 2));
        let when = match options.instant {
            Some(name) => format!("{when}: {name}."),
            None => format!("{when}."),
        };
        let why: Vec<String> = explain(self.setup, self.record, t_s, units)
            .iter()
            .map(|e| {
                format!("{} brush, {}: {}", super::words::capital(e.side.name()), e.phase.name(), e.sentence)
            })
            .collect();

        let mut page = DisplayList::new(WIDTH, 0.0);
        let mut y = MARGIN;
        push_lines(&mut page, &mut y, self.title, TEXT_SIZE, Weight::Regular, Role::Muted);
        push_lines(&mut page, &mut y, &headline, HEAD_SIZE, Weight::Bold, Role::Ink);
        for (path, value) in self.set {
            push_lines(
                &mut page,
                &mut y,
                &format!("Set for this run: {path} = {value}"),
                TEXT_SIZE,
                Weight::Regular,
                Role::Ink,
            );
        }
        y += 6.0;
        push_lines(&mut page, &mut y, &when, TEXT_SIZE, Weight::Bold, Role::Ink);
        for sentence in &why {
            push_lines(&mut page, &mut y, sentence, TEXT_SIZE, Weight::Regular, Role::Ink);
        }
        page.place(&plan, pos(0.0, y));
        y += PLAN_HEIGHT;
        page.place(&map.list, pos(0.0, y));
        y += MAP_HEIGHT;
        let foot = "A prediction, not a certificate. Maker's manual, local codes and lockout come first.";
        push_lines(&mut page, &mut y, foot, TEXT_SIZE, Weight::Regular, Role::Muted);
        page.height = y + MARGIN - TEXT_SIZE;
        page.title = format!("{}: {headline}", self.title);
        page.description = format!("{when} {} {} {}", why.join(" "), plan.description, map.list.description);
        page
    }
}

/// Writes a paragraph from `y` down and moves `y` under it.
fn push_lines(page: &mut DisplayList, y: &mut f64, text: &str, size: f64, weight: Weight, role: Role) {
    for line in wrap(text, size, weight, WIDTH - 2.0 * MARGIN) {
        *y += 1.1 * size;
        let mut item = Text::new(pos(MARGIN, *y), size, role, line);
        item.weight = weight;
        page.push(crate::drawing::Shape::Text(item));
        *y += 0.3 * size;
    }
}
