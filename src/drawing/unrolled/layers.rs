//! The layers of the unrolled map: cells, gaps, features, the cursor, axes and legend.

use super::{Against, Layout, UnrolledOptions, WALK};
use crate::arm::Side;
use crate::coverage::{BandCoverage, Gap};
use crate::drawing::labels::{Label, LabelPlacer};
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Marker, Rect, Shape, Stroke, Text,
    Weight, pos,
};
use crate::drawing::palette::Role;
use crate::drawing::plan_view::{PlanScene, unit_contact};
use crate::drawing::text_width::{ellipsize, text_width};
use crate::drawing::ticks::{Steps, ticks};
use crate::drawing::words::{rounded, short_length};
use crate::pass::instant;
use crate::units::UnitSystem;
use crate::vehicle::Zone;

/// How far the name of a mirror or a plate may stand from it, page units.
const NEAR: f64 = 46.0;

/// Steps of the colour scale: cells of one step are drawn as one.
pub(super) const STEPS: usize = 32;

pub(super) struct Map<'a> {
    pub scene: &'a PlanScene<'a>,
    pub against: Option<&'a Against<'a>>,
    pub options: &'a UnrolledOptions,
    pub layout: &'a Layout,
    pub full_scale: f64,
}

pub(super) const fn brush_stroke(side: Side) -> Stroke {
    let (role, dash) = match side {
        Side::Left => (Role::LeftUnit, Dash::Solid),
        Side::Right => (Role::RightUnit, Dash::Dashed),
    };
    Stroke { width: 2.4, paint: role.faint(1.0), dash, cap: crate::drawing::list::Cap::Butt }
}

pub(super) fn not_judged() -> Hatch {
    Hatch { kind: HatchKind::Dots, spacing: 7.0, width: 1.6, paint: Role::NotYet.into() }
}

pub(super) fn gap_fill() -> Fill {
    Fill {
        paint: Some(Role::Missed.faint(0.10)),
        hatch: Some(Hatch::new(HatchKind::Rising, 6.0, Role::Missed)),
    }
}

impl Map<'_> {
    pub(super) fn draw(&self, list: &mut DisplayList) {
        let area = self.layout.area;
        let gaps = &self.scene.outcome.gaps;
        list.description = format!(
            "The perimeter unrolled, height upward, coloured by {}; {} gap{}.",
            self.options.quantity.name(),
            gaps.len(),
            if gaps.len() == 1 { "" } else { "s" }
        );
        list.rect(area, Fill::solid(Role::Paper), None);
        for (index, band) in self.scene.outcome.coverage.bands.iter().enumerate() {
            match self.against {
                Some(against) => {
                    let other = &against.solved.outcome.coverage.bands[index];
                    self.draw_difference(list, index, band, other);
                }
                None => self.draw_cells(list, index, band),
            }
        }
        self.draw_band_edges(list);
        list.rect(area, Fill::default(), Some(Stroke::new(1.2, Role::Muted)));
        let features = self.draw_features(list);
        if let Some(against) = self.against {
            self.draw_other_gaps(list, against);
        }
        for (index, gap) in gaps.iter().enumerate() {
            self.draw_gap(list, index, gap);
        }
        self.draw_zones(list);
        if self.options.axes {
            self.draw_heights(list);
            self.draw_distances(list);
        }
        let bounds = Rect::new(area.x, area.y, area.width, area.height);
        let mut placer = LabelPlacer::new(bounds);
        if self.options.cursor {
            self.draw_now(list, &mut placer);
        }
        self.label_gaps(list, &mut placer);
        for label in features {
            placer.place_within(list, &label, NEAR);
        }
        self.draw_legend(list);
    }

    fn level(&self, value: f64) -> usize {
        ((value / self.full_scale * STEPS as f64) as usize).min(STEPS - 1)
    }

    /// Cells of one colour are drawn as one, so that a fine map stays a small picture.
    fn draw_cells(&self, list: &mut DisplayList, index: usize, band: &BandCoverage) {
        let look = |i: usize| {
            let station = &band.stations[i];
            let value = self.options.quantity.value(station, self.options.units).filter(|v| *v > 0.0);
            (value.map(|v| self.level(v)), station.judged)
        };
        let n = band.stations.len();
        let mut items: Vec<Item> = Vec::new();
        let mut i = 0;
        while i < n {
            let own = look(i);
            let from = i;
            while i < n && look(i) == own {
                i += 1;
            }
            let paint = own.0.map(|level| {
                let mut paint = self.options.quantity.paint((level as f64 + 0.5) / STEPS as f64);
                paint.opacity = if own.1 { 1.0 } else { 0.45 };
                paint
            });
            let hatch = (!own.1).then(not_judged);
            if paint.is_none() && hatch.is_none() {
                continue;
            }
            for rect in self.layout.boxes(index, band.border_m(from), band.border_m(i)) {
                // A hair of overlap hides the seams that anti-aliasing would leave.
                let wide = (rect.width + 0.4).min(self.layout.area.right() - rect.x);
                let points = Rect { width: wide, ..rect }.corners().to_vec();
                items.push(Shape::Polygon { points, fill: Fill { paint, hatch }, stroke: None }.into());
            }
        }
        let mut item: Item = Shape::Group { clip: None, items }.into();
        item.key = Some(format!("band:{index}"));
        item.tip = Some(format!(
            "{} to {} above the floor",
            short_length(band.z_low_m, self.options.units),
            short_length(band.z_high_m, self.options.units)
        ));
        list.push(item);
    }

    fn draw_band_edges(&self, list: &mut DisplayList) {
        let area = self.layout.area;
        for row in &self.layout.rows {
            if row.top > area.y + 0.5 {
                list.line(
                    pos(area.x, row.top),
                    pos(area.right(), row.top),
                    Stroke::new(0.8, Role::Muted.faint(0.45)),
                );
            }
        }
    }

    /// Outlines of features; returns the labels they want.
    fn draw_features(&self, list: &mut DisplayList) -> Vec<Label> {
        let vehicle = &self.scene.setup.train[self.scene.setup.measured].shape.real;
        let mut labels = Vec::new();
        for (feature, known) in vehicle.features.iter().enumerate() {
            let mut around: Option<Rect> = None;
            let mut items: Vec<Item> = Vec::new();
            for (index, band) in self.scene.outcome.coverage.bands.iter().enumerate() {
                let own = |i: usize| band.stations[i % band.stations.len()].feature == Some(feature);
                let n = band.stations.len();
                // Start off the feature, so that one across the nose centre stays whole.
                let Some(first) = (0..n).find(|&i| !own(i)) else { continue };
                let mut i = first;
                while i < first + n {
                    let from = i;
                    while i < first + n && own(i) {
                        i += 1;
                    }
                    if i == from {
                        i += 1;
                        continue;
                    }
                    let stretch = (band.border_m(from), band.border_m(i));
                    for rect in self.layout.boxes(index, stretch.0, stretch.1) {
                        items.push(
                            Shape::Polygon {
                                points: rect.corners().to_vec(),
                                fill: Fill::default(),
                                stroke: Some(Stroke::new(1.4, Role::Ink.faint(0.85)).dashed(Dash::Dotted)),
                            }
                            .into(),
                        );
                        around = Some(around.map_or(rect, |r| r.union(&rect)));
                    }
                }
            }
            let Some(around) = around else { continue };
            let mut item: Item = Shape::Group { clip: None, items }.into();
            item.key = Some(format!("feature:{feature}"));
            item.tip = Some(known.name.clone());
            list.push(item);
            let clear = 0.5 * around.height.min(around.width);
            labels.push(Label::new(around.centre(), clear, self.options.size(), known.name.clone()));
        }
        labels
    }

    pub(super) fn band_of(&self, gap: &Gap) -> Option<usize> {
        self.scene.outcome.coverage.bands.iter().position(|b| b.band == gap.band)
    }

    fn draw_gap(&self, list: &mut DisplayList, index: usize, gap: &Gap) {
        let Some(band) = self.band_of(gap) else { return };
        let items: Vec<Item> = self
            .layout
            .boxes(band, gap.start_m, gap.end_m)
            .into_iter()
            .map(|rect| {
                // A gap thinner than its line still shows.
                let wide = Rect { width: rect.width.max(1.5), ..rect };
                let points = wide.corners().to_vec();
                Shape::Polygon { points, fill: gap_fill(), stroke: Some(Stroke::new(1.8, Role::Missed)) }
                    .into()
            })
            .collect();
        let mut item: Item = Shape::Group { clip: None, items }.into();
        item.key = Some(format!("gap:{index}"));
        item.tip = Some(format!(
            "gap on the {}: {} long, {} to {} above the floor; at worst {:.0} % of what is asked",
            gap.zone.name(),
            short_length(gap.length_m(), self.options.units),
            short_length(gap.z_low_m, self.options.units),
            short_length(gap.z_high_m, self.options.units),
            (100.0 * gap.lowest_ratio).floor()
        ));
        list.push(item);
    }

    /// Gaps that touch across bands share one label with the longest length; on a small picture short ones may go without.
    fn label_gaps(&self, list: &mut DisplayList, placer: &mut LabelPlacer) {
        let mut clusters: Vec<(Rect, f64, usize)> = Vec::new();
        for gap in &self.scene.outcome.gaps {
            let Some(band) = self.band_of(gap) else { continue };
            for rect in self.layout.boxes(band, gap.start_m, gap.end_m) {
                let mut cluster = (rect, gap.length_m(), 1);
                clusters.retain(|(other, length, count)| {
                    let joins = other.inset(-1.0).overlaps(&rect);
                    if joins {
                        cluster = (cluster.0.union(other), cluster.1.max(*length), cluster.2 + count);
                    }
                    !joins
                });
                clusters.push(cluster);
            }
        }
        for (rect, _, _) in &clusters {
            placer.shun(*rect, 40.0);
        }
        clusters.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.x.total_cmp(&b.0.x)));
        let size = self.options.size();
        for (rect, length, count) in clusters {
            let short = short_length(length, self.options.units);
            let text = if count > 1 { format!("gap up to {short}") } else { format!("gap {short}") };
            let (wide, tall) = (text_width(&text, size, Weight::Bold) + 10.0, 1.5 * size);
            let inside = Rect::new(rect.centre().x - 0.5 * wide, rect.centre().y - 0.5 * tall, wide, tall);
            if wide + 4.0 <= rect.width && tall + 2.0 <= rect.height {
                placer.take(inside);
                list.rect(inside, Fill::solid(Role::Paper.faint(0.92)), None);
                let label = Text::new(inside.centre(), size, Role::Missed, text).bold();
                list.push(label.anchored(Anchor::Middle, Baseline::Middle));
                continue;
            }
            let clear = 0.5 * rect.width.min(rect.height);
            let label = Label::new(rect.centre(), clear, size, text).painted(Role::Missed);
            placer.place(list, &label);
        }
    }

    fn draw_zones(&self, list: &mut DisplayList) {
        let area = self.layout.area;
        let size = self.options.size();
        for zone in WALK {
            let [from, to] = self.layout.unroll.zone_m(zone);
            let (a, b) = (self.layout.x(from), self.layout.x(to));
            if from > 0.0 {
                let stroke = Stroke::new(1.4, Role::Ink);
                list.line(pos(a, area.y - 1.9 * size), pos(a, area.bottom() + 5.0), stroke);
            }
            let washed = self
                .scene
                .outcome
                .zones
                .iter()
                .find(|z| z.zone == zone)
                .and_then(|z| z.washed_fraction)
                .map_or("not judged".to_owned(), |f| format!("{} washed", percent(f)));
            let room = b - a - 12.0;
            let name = zone.name();
            let full = format!("{name} · {washed}");
            let text = if text_width(&full, size, Weight::Bold) <= room {
                full
            } else {
                ellipsize(name, size, Weight::Bold, b - a - 4.0)
            };
            let at = pos(0.5 * (a + b), area.y - 1.25 * size);
            list.push(Text::new(at, size, Role::Ink, text).bold().anchored(Anchor::Middle, Baseline::Middle));
        }
        // Middles of nose and tail: where the brushes should overlap.
        for zone in [Zone::Nose, Zone::Tail] {
            let x = self.layout.x(self.layout.unroll.zero_m(zone));
            let stroke = Stroke::new(1.0, Role::Ink.faint(0.6)).dashed(Dash::DashDot);
            list.line(pos(x, area.y), pos(x, area.bottom() + 5.0), stroke);
        }
    }

    fn draw_heights(&self, list: &mut DisplayList) {
        let area = self.layout.area;
        let size = self.options.size();
        let (unit, factor) = length_unit(self.options.units, false);
        let most = ((area.height / (2.2 * size)).floor() as usize).clamp(2, 6);
        for tick in ticks(self.layout.low_m / factor, self.layout.high_m / factor, most, Steps::Decimal) {
            let y = self.layout.y(tick.value * factor);
            list.line(pos(area.x - 4.0, y), pos(area.x, y), Stroke::new(1.0, Role::Muted));
            let text = Text::new(pos(area.x - 7.0, y), size, Role::Muted, tick.label);
            list.push(text.anchored(Anchor::End, Baseline::Middle));
        }
        let at = pos(12.0 + 0.5 * size, area.centre().y);
        let name = ellipsize(&format!("height, {unit}"), size, Weight::Regular, area.height);
        let text = Text::new(at, size, Role::Muted, name).anchored(Anchor::Middle, Baseline::Middle);
        list.push(text.rotated(-std::f64::consts::FRAC_PI_2));
    }

    /// Distances along each zone: from the middle of nose and tail, from the nose end of the sides.
    fn draw_distances(&self, list: &mut DisplayList) {
        let area = self.layout.area;
        let size = self.options.size();
        let (unit, factor) = length_unit(self.options.units, true);
        let per_m = area.width / self.layout.unroll.length_m();
        let step = nice_step(3.4 * size / (per_m * factor)) * factor;
        let y = area.bottom();
        let mut last_right = f64::NEG_INFINITY;
        for zone in WALK {
            let [from, to] = self.layout.unroll.zone_m(zone);
            let zero = self.layout.unroll.zero_m(zone);
            let (low, high) = (((from - zero) / step).ceil() as i64, ((to - zero) / step).floor() as i64);
            for k in low..=high {
                let place = zero + k as f64 * step;
                let x = self.layout.x(place);
                // The start of a side is the corner itself.
                if (place - from).abs() < 1e-9 && zone != Zone::Nose || (place - to).abs() < 1e-9 {
                    continue;
                }
                list.line(pos(x, y), pos(x, y + 4.0), Stroke::new(1.0, Role::Muted));
                let value = (k.unsigned_abs() as f64 * step / factor * 100.0).round() / 100.0;
                let text = Text::new(pos(x, y + 7.0), size, Role::Muted, format!("{value}"))
                    .anchored(Anchor::Middle, Baseline::Top);
                let bounds = text.bounds();
                if bounds.x > last_right + 4.0 && bounds.right() < area.right() + 10.0 {
                    last_right = bounds.right();
                    list.push(text);
                }
            }
        }
        let words = format!("{unit} from the middle of nose and tail, and from the nose along the sides");
        let text = ellipsize(&words, size, Weight::Regular, area.width);
        let at = pos(area.centre().x, y + 7.0 + 1.35 * size);
        list.push(Text::new(at, size, Role::Muted, text).anchored(Anchor::Middle, Baseline::Top));
    }

    /// Brackets round what each brush touches at the instant.
    fn draw_now(&self, list: &mut DisplayList, placer: &mut LabelPlacer) {
        let measured = self.scene.setup.measured;
        let t_s = self.scene.t_s.clamp(self.scene.record.start_s, self.scene.record.end_s);
        for (index, at) in instant(&self.scene.setup, &self.scene.record, t_s).iter().enumerate() {
            if at.ended {
                continue;
            }
            let contact = unit_contact(&self.scene.setup, index, at);
            let mut items: Vec<Item> = Vec::new();
            let mut around: Option<Rect> = None;
            for run in contact.runs.iter().filter(|r| r.train_index == measured) {
                let Some([from, to]) = run.perimeter_m else { continue };
                let Some(band) = self.scene.outcome.coverage.bands.iter().position(|b| b.band == run.band)
                else {
                    continue;
                };
                for rect in self.layout.boxes(band, from, to) {
                    for (x, way) in [(rect.x, 4.0), (rect.right(), -4.0)] {
                        let points = vec![
                            pos(x + way, rect.y + 1.5),
                            pos(x, rect.y + 1.5),
                            pos(x, rect.bottom() - 1.5),
                            pos(x + way, rect.bottom() - 1.5),
                        ];
                        for stroke in [Stroke::new(5.0, Role::Paper.faint(0.85)), brush_stroke(at.side)] {
                            let points = points.clone();
                            items.push(Shape::Polyline { points, closed: false, stroke }.into());
                        }
                    }
                    around = Some(around.map_or(rect, |r| r.union(&rect)));
                }
            }
            let Some(around) = around else { continue };
            let side = at.side.name();
            let middle = pos(around.centre().x, self.layout.area.y - 4.0);
            let role = match at.side {
                Side::Left => Role::LeftUnit,
                Side::Right => Role::RightUnit,
            };
            items.push(
                Shape::Mark { at: middle, marker: Marker::Down, size: 10.0, paint: role.into() }.into(),
            );
            let mut item: Item = Shape::Group { clip: None, items }.into();
            item.key = Some(format!("now:{side}"));
            item.tip = Some(format!(
                "{side} brush now, pressed in {}",
                short_length(at.press_m, self.options.units)
            ));
            list.push(item);
            placer.shun(around, 10.0);
        }
    }
}

/// A share in words; never «100 %» for less than all.
pub(in crate::drawing) fn percent(share: f64) -> String {
    // Down, so that 100 % is all of it; but what adding up leaves in the last digits takes nothing away.
    let value = if share >= 1.0 - 1e-9 { 100.0 } else { (share * 1000.0 + 1e-6).floor() / 10.0 };
    if value >= 99.95 || (value - value.round()).abs() < 1e-9 {
        format!("{value:.0} %")
    } else {
        format!("{value:.1} %")
    }
}

pub(super) fn trimmed(value: f64) -> String {
    let text = rounded(value, if value < 10.0 { 1 } else { 0 });
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Unit of an axis and its size, m: feet or metres along, inches or metres up.
const fn length_unit(system: UnitSystem, along: bool) -> (&'static str, f64) {
    match (system, along) {
        (UnitSystem::Us, true) => ("ft", 0.3048),
        (UnitSystem::Us, false) => ("in", 0.0254),
        (UnitSystem::Si, _) => ("m", 1.0),
    }
}

/// The least of 0.25, 0.5, 1, 2, 5, 10 … that is not under `least`.
fn nice_step(least: f64) -> f64 {
    [0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0].into_iter().find(|s| *s >= least).unwrap_or(100.0)
}
