//! The train: outlines by height band, features, what is washed so far, and the contact pressure as it happens.

use super::contact::{PressedRun, SPACING_M};
use super::placed::Placed;
use super::{PlanScene, Stage};
use crate::arm::Side;
use crate::coverage::{BandCoverage, Station};
use crate::drawing::labels::Label;
use crate::drawing::list::{Dash, DisplayList, Fill, Hatch, HatchKind, Item, Pos, Rect, Shape, Stroke};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::path::straightened;
use crate::drawing::words::{pressure_text, short_length};
use crate::geometry::Vec2;
use crate::pass::TrainVehicle;
use crate::units::{Dimension, ForceDim, format};
use crate::vehicle::{Outline, Zone};

/// How a spot of the perimeter stands at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PerimeterState {
    /// It has had the wipes asked for.
    Washed,
    /// It has not, and a brush is still to come or still on it.
    NotYet,
    /// It has not, and the brushes are done with it.
    Missed,
    /// It has not, a brush is still on its way or on it, and it will not be by the end either.
    ToBeMissed,
    /// It lies too far back to be judged.
    NotJudged,
}

/// Width of a missed run's hatched border, page units.
const MISSED_WIDTH: f64 = 9.0;
/// Depth of the pressure ribbon at full scale, page units, for symbols of size 1.
const RIBBON_DEPTH: f64 = 38.0;
/// Distance of the ribbon from the outline, page units: what is washed stays seen between them.
const RIBBON_OFF: f64 = 2.5;

/// A load under this, N, goes without a label: a tenth of a pound-force and less.
const LEAST_LOAD_N: f64 = 0.45;

/// Least length of a ribbon in one colour, page units.
const COLOUR_STEP: f64 = 4.0;
/// How far a line that is drawn may lie from a point that was left out, page units.
const FLAT: f64 = 0.1;

/// The band that stands for the perimeter in plan: the one with the largest height washed times area. Index into the map's bands.
pub fn reference_band(scene: &PlanScene<'_>) -> Option<usize> {
    let vehicle = &scene.setup.train[scene.setup.measured].shape.real;
    let weight = |band: &BandCoverage| band.height_m() * vehicle.bands[band.band].outlines[0].chain.area_m2();
    let bands = &scene.outcome.coverage.bands;
    (0..bands.len()).max_by(|a, b| weight(&bands[*a]).total_cmp(&weight(&bands[*b])).then(b.cmp(a)))
}

/// How every station of a band of the map stands at the scene's instant.
///
/// An unwashed station of a side counts as missed once no brush will touch anything of its band within a brush radius of it any more; one
/// of nose or tail once no brush will touch that zone any more.
pub fn perimeter_state(scene: &PlanScene<'_>, band: usize) -> Vec<PerimeterState> {
    let bands = &scene.outcome.coverage.bands;
    let Some(unrolled) = bands.get(band) else { return Vec::new() };
    let setup = &scene.setup;
    let reach = setup.units.iter().map(|u| u.brush.radius_m).fold(0.0, f64::max);
    let passed_s = {
        let farthest = setup
            .units
            .iter()
            .map(|u| u.pivot_m.x + u.body.length_m + u.brush.radius_m)
            .fold(f64::NEG_INFINITY, f64::max);
        let vehicle = &setup.train[setup.measured];
        let pose = setup.pose(vehicle, setup.nose_at_zero_s(setup.measured), Side::Left);
        pose.nose_time_s(farthest + pose.length_m)
    };
    let zone_done = |zone: Zone| {
        let touched = bands.iter().flat_map(|b| &b.stations).filter(|s| s.zone == zone);
        touched.filter_map(Station::last_s).reduce(f64::max).unwrap_or(passed_s)
    };
    let done_s: [f64; 4] = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide].map(zone_done);
    let n = unrolled.stations.len();
    let side_done = |index: usize| {
        let own = &unrolled.stations[index];
        let near = |s: &&Station| {
            let apart = (s.s_m - own.s_m).abs();
            apart.min(unrolled.perimeter_m - apart) <= reach
        };
        let after = (0..n).map(|k| &unrolled.stations[(index + k) % n]).take_while(near);
        let before = (1..n).map(|k| &unrolled.stations[(index + n - k) % n]).take_while(near);
        after.chain(before).filter(|s| s.zone == own.zone).filter_map(Station::last_s).reduce(f64::max)
    };
    unrolled
        .stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            if !station.judged {
                return PerimeterState::NotJudged;
            }
            if station.washed_ratio_at(scene.t_s, &scene.settings) >= 1.0 {
                return PerimeterState::Washed;
            }
            if station.washed_ratio(&scene.settings) >= 1.0 {
                return PerimeterState::NotYet;
            }
            let done = match station.zone {
                Zone::Nose => done_s[0],
                Zone::Tail => done_s[2],
                Zone::LeftSide => side_done(index).unwrap_or(done_s[1]),
                Zone::RightSide => side_done(index).unwrap_or(done_s[3]),
            };
            if scene.t_s >= done { PerimeterState::Missed } else { PerimeterState::ToBeMissed }
        })
        .collect()
}

pub(super) fn draw_train(stage: &mut Stage<'_>) {
    let setup = &stage.scene.setup;
    for index in 0..=setup.measured + 1 {
        let member: &TrainVehicle =
            if index <= setup.measured { &setup.train[index] } else { setup.next_vehicle() };
        let placed = Placed {
            vehicle: &member.shape.real,
            pose: setup.pose(member, setup.nose_at_zero_s(index), Side::Left),
        };
        let measured = index == setup.measured;
        if !measured && !in_sight(stage, &placed) {
            continue;
        }
        draw_body(stage, &placed, measured);
    }
}

/// What of the measured vehicle is washed, over the brushes that lie on it.
pub(super) fn draw_perimeter(stage: &mut Stage<'_>) {
    let setup = &stage.scene.setup;
    let member = &setup.train[setup.measured];
    let placed = Placed {
        vehicle: &member.shape.real,
        pose: setup.pose(member, setup.nose_at_zero_s(setup.measured), Side::Left),
    };
    draw_washed(stage, &placed);
}

/// Whether any of a vehicle may lie on the page.
fn in_sight(stage: &Stage<'_>, placed: &Placed<'_>) -> bool {
    let outlines = placed.vehicle.bands.iter().flat_map(|band| &band.outlines);
    let corners = outlines.flat_map(|outline| {
        let [low, high] = [outline.chain.bounds().min, outline.chain.bounds().max];
        [low, high, Vec2::new(low.x, high.y), Vec2::new(high.x, low.y)]
    });
    let corners = stage.frame.chain(corners.map(|corner| placed.ground(corner, stage.t_s)));
    // Lines have a width.
    Rect::around(&corners).is_some_and(|around| around.overlaps(&stage.area.inset(-10.0)))
}

fn outline_points(stage: &Stage<'_>, placed: &Placed<'_>, outline: &Outline) -> Vec<Pos> {
    let tolerance_m = 0.2 / stage.frame.scale_per_m;
    let points = outline.chain.to_polyline(tolerance_m);
    stage.frame.chain(points.into_iter().map(|p| placed.ground(p, stage.t_s)))
}

fn draw_body(stage: &mut Stage<'_>, placed: &Placed<'_>, measured: bool) {
    let vehicle = placed.vehicle;
    let mut drawn: Vec<Vec<Pos>> = Vec::new();
    let mut group = DisplayList::new(0.0, 0.0);
    for band in &vehicle.bands {
        for outline in &band.outlines {
            let points = outline_points(stage, placed, outline);
            if drawn.contains(&points) || (!stage.options.show.bands && !drawn.is_empty() && !outline.island)
            {
                continue;
            }
            let first = drawn.is_empty();
            if first && stage.options.show.looks {
                super::car::draw_shade(stage, &points, &mut group);
            }
            let fill = match (outline.island, first) {
                (true, _) => Fill::solid(Role::Machine.faint(0.7)),
                (false, true) if stage.options.show.looks => Fill::solid(Role::Vehicle),
                (false, true) => Fill::solid(Role::Vehicle.faint(if measured { 1.0 } else { 0.6 })),
                // Each further outline tints what it covers, so that the stack shows.
                (false, false) => Fill::solid(Role::VehicleEdge.faint(0.06)),
            };
            let width = if first { 1.4 } else { 0.9 };
            let edge = Role::VehicleEdge.faint(if measured { if first { 1.0 } else { 0.55 } } else { 0.45 });
            group.polygon(points.clone(), fill, Some(Stroke::new(width, edge)));
            drawn.push(points);
        }
    }
    if stage.options.show.looks {
        super::car::draw_car(stage, placed, measured, &mut group);
    }
    let mut item: Item = Shape::Group { clip: None, items: group.items }.into();
    item.key = Some(if measured { "vehicle".to_owned() } else { "vehicle-other".to_owned() });
    let units = stage.options.units;
    item.tip = Some(format!(
        "{}: {} long, {} wide",
        vehicle.name,
        short_length(vehicle.length_m, units),
        short_length(vehicle.width_m, units)
    ));
    stage.items.push(item);
    draw_features(stage, placed, measured);
    if measured {
        let middle =
            stage.frame.page_from_ground(placed.ground(Vec2::new(-0.5 * vehicle.length_m, 0.0), stage.t_s));
        let size = stage.options.size();
        stage.labels.push((6, Label::new(middle, 0.0, size, vehicle.name.clone()).painted(Role::Muted)));
    }
}

fn draw_features(stage: &mut Stage<'_>, placed: &Placed<'_>, measured: bool) {
    let units = stage.options.units;
    for (index, feature) in placed.vehicle.features.iter().enumerate() {
        let mut group = DisplayList::new(0.0, 0.0);
        for outline in placed.vehicle.bands.iter().flat_map(|band| &band.outlines) {
            for (piece, tag) in outline.chain.pieces().iter().zip(&outline.tags) {
                if tag.feature != Some(index) {
                    continue;
                }
                let length = piece.length_m();
                let steps = (length * stage.frame.scale_per_m / 4.0).ceil().clamp(1.0, 24.0) as usize;
                let points = (0..=steps)
                    .map(|k| placed.ground(piece.point_at(length * k as f64 / steps as f64), stage.t_s));
                let role = if measured { Role::VehicleEdge.faint(1.0) } else { Role::VehicleEdge.faint(0.5) };
                group.polyline(stage.frame.chain(points), Stroke::new(1.8, role).round());
            }
        }
        let force = if measured { touched_force_n(stage, index) } else { None };
        let at = stage.frame.page_from_ground(placed.ground(feature.reach_m, stage.t_s));
        let load =
            force.map_or(String::new(), |f| format!(", loaded with {}", format(ForceDim::INFO, f, units)));
        let mut item: Item = Shape::Group { clip: None, items: group.items }.into();
        item.tip = Some(format!("{}{load}", feature.name));
        if measured {
            item.key = Some(format!("feature:{index}"));
        }
        stage.items.push(item);
        // What would read as nothing is not told.
        if let Some(force) = force.filter(|force| *force >= LEAST_LOAD_N) {
            let text = format!("{} {}", feature.name, format(ForceDim::INFO, force, units));
            stage.labels.push((1, Label::new(at, 8.0, stage.options.size(), text)));
        }
    }
}

fn touched_force_n(stage: &Stage<'_>, feature: usize) -> Option<f64> {
    let forces = stage.contacts.iter().flat_map(|c| &c.features).filter(|(f, _)| *f == feature);
    forces.map(|(_, force)| force.norm()).reduce(f64::max)
}

/// A stretch of the perimeter in one state, as station indices (end past the perimeter when it runs across the nose centre).
fn runs(states: &[PerimeterState]) -> Vec<(usize, usize, PerimeterState)> {
    let n = states.len();
    let Some(first) = (0..n).find(|&i| states[i] != states[(i + n - 1) % n]) else {
        return states.first().map(|s| vec![(0, n, *s)]).unwrap_or_default();
    };
    let mut found = Vec::new();
    let mut i = first;
    while i < first + n {
        let from = i;
        let state = states[from % n];
        while i < first + n && states[i % n] == state {
            i += 1;
        }
        found.push((from, i, state));
    }
    found
}

fn draw_washed(stage: &mut Stage<'_>, placed: &Placed<'_>) {
    let Some(reference) = reference_band(stage.scene) else { return };
    let count = stage.scene.outcome.coverage.bands.len();
    let mut longest: Vec<(Zone, f64, Label)> = Vec::new();
    for band in (0..count).filter(|b| *b != reference).chain([reference]) {
        let mut states = perimeter_state(stage.scene, band);
        if !stage.options.show.missed_in_the_end {
            for state in states.iter_mut().filter(|s| **s == PerimeterState::ToBeMissed) {
                *state = PerimeterState::NotYet;
            }
        }
        for run in runs(&states) {
            // Bands other than the widest show only what they missed.
            if band == reference || matches!(run.2, PerimeterState::Missed | PerimeterState::ToBeMissed) {
                let Some((zone, long_m, label)) = draw_run(stage, placed, band, run, band == reference)
                else {
                    continue;
                };
                // One label for what is missed of a zone, at its longest, whichever height that is at.
                match longest.iter_mut().find(|(own, ..)| *own == zone) {
                    Some(known) if known.1 < long_m => *known = (zone, long_m, label),
                    Some(_) => {}
                    None => longest.push((zone, long_m, label)),
                }
            }
        }
    }
    stage.labels.extend(longest.into_iter().map(|(_, _, label)| (0, label)));
}

fn draw_run(
    stage: &mut Stage<'_>,
    placed: &Placed<'_>,
    band: usize,
    (from, to, state): (usize, usize, PerimeterState),
    widest: bool,
) -> Option<(Zone, f64, Label)> {
    let unrolled = &stage.scene.outcome.coverage.bands[band];
    let chain = &placed.vehicle.bands[unrolled.band].outlines[0].chain;
    let (start, end) = (unrolled.border_m(from), unrolled.border_m(to));
    let steps = ((end - start) / 0.02).ceil().max(1.0) as usize;
    let mut line = Vec::with_capacity(steps + 1);
    let mut outer = Vec::with_capacity(steps + 1);
    for i in 0..=steps {
        // Stay on the run's own side of a corner at its ends.
        let inner = (start + 1e-6, end - 1e-6);
        let s = (start + (end - start) * i as f64 / steps as f64).clamp(inner.0, inner.1);
        let at = stage.frame.page_from_ground(placed.ground(chain.point_at(s), stage.t_s));
        let n = placed.pose.unit_from_vehicle_dir(chain.normal_at(s));
        let [nx, ny] = stage.frame.page_direction_from_ground([n.x, n.y]);
        line.push(at);
        outer.push(at.shifted(MISSED_WIDTH * nx, MISSED_WIDTH * ny));
    }
    let middle = outer[outer.len() / 2];
    let from_line = line[line.len() / 2];
    let [line, outer] = [line, outer].map(|path| straightened(&path, FLAT));
    let long_m = missed_length_m(stage, unrolled, [start, end]).unwrap_or(end - start);
    let length = short_length(long_m, stage.options.units);
    match state {
        PerimeterState::Washed => {
            stage.items.polyline(line, Stroke::new(3.2, Role::Washed)).tip =
                Some(format!("washed: {length}"));
        }
        PerimeterState::NotYet => {
            let stroke = Stroke::new(2.0, Role::NotYet).dashed(Dash::Dashed);
            stage.items.polyline(line, stroke).tip = Some(format!("not yet washed: {length}"));
        }
        PerimeterState::NotJudged => {
            stage.items.polyline(line, Stroke::new(1.4, Role::NotYet).dashed(Dash::Dotted)).tip =
                Some(format!("too far back to be judged: {length}"));
        }
        PerimeterState::Missed | PerimeterState::ToBeMissed => {
            let mut border = line.clone();
            border.extend(outer.iter().rev());
            let width = if widest { 2.0 } else { 1.2 };
            let (fill, stroke, word) = if state == PerimeterState::Missed {
                let hatch = Hatch::new(HatchKind::Rising, 4.0, Role::Missed);
                let fill = Fill { paint: Some(Role::Missed.faint(0.12)), hatch: Some(hatch) };
                (fill, Stroke::new(width, Role::Missed), "missed")
            } else {
                let stroke = Stroke::new(width, Role::Missed).dashed(Dash::Dashed);
                (Fill::solid(Role::Missed.faint(0.05)), stroke, "will be missed")
            };
            let item = stage.items.polygon(border.clone(), fill, Some(stroke));
            item.key = Some(format!("missed:{band}"));
            item.tip = Some(format!("{word}: {length}"));
            if let Some(rect) = Rect::around(&border) {
                stage.shunned.push((rect, 60.0));
            }
            {
                // On the car: outside are the brushes and what they press with.
                let inward = [from_line.x - middle.x, from_line.y - middle.y];
                // The verdict counts the longest gap at any height; this run is the widest band's.
                let zone = unrolled.stations[((from + to) / 2) % unrolled.stations.len()].zone;
                let gaps = &stage.scene.outcome.gaps;
                let longest = gaps.iter().map(|g| g.in_zone_m(zone)).fold(0.0, f64::max);
                let worst = if longest > 1.05 * long_m {
                    format!(", at worst {}", short_length(longest, stage.options.units))
                } else {
                    String::new()
                };
                let label = Label::new(middle, 3.0, stage.options.size(), format!("{word} {length}{worst}"));
                return Some((zone, long_m, label.painted(Role::Missed).toward(inward)));
            }
        }
    }
    None
}

/// Length of the longest gap of a band that lies in a stretch of it, as the verdict counts it; a run of unwashed stations is a little longer.
fn missed_length_m(stage: &Stage<'_>, band: &BandCoverage, [from, to]: [f64; 2]) -> Option<f64> {
    let own = stage.scene.outcome.gaps.iter().filter(|gap| gap.band == band.band);
    let inside = own.filter(|gap| {
        // Either may run past the nose centre.
        [-1.0, 0.0, 1.0].iter().any(|turn| {
            let middle = 0.5 * (gap.start_m + gap.end_m) + turn * band.perimeter_m;
            middle >= from && middle <= to
        })
    });
    inside.map(|gap| gap.length_m()).reduce(f64::max)
}

/// Ribbons of contact pressure, drawn from the outline outward, where the strips are that press.
pub(super) fn draw_pressure(stage: &mut Stage<'_>) {
    let runs: Vec<PressedRun> = stage.contacts.iter().flat_map(|c| c.runs.clone()).collect();
    for run in &runs {
        draw_ribbon(stage, run);
    }
}

fn draw_ribbon(stage: &mut Stage<'_>, run: &PressedRun) {
    let scale_pa = stage.pressure_scale_pa;
    let full = RIBBON_DEPTH * stage.symbol();
    let depth = |pa: f64| full * (pa / scale_pa).clamp(0.0, 1.3);
    let mut edge: Vec<Pos> = Vec::new();
    let mut base: Vec<Pos> = Vec::new();
    for point in &run.points {
        let at = stage.frame.page_from_ground([point.ground_m.x, point.ground_m.y]);
        let [nx, ny] = stage.frame.page_direction_from_ground([point.normal.x, point.normal.y]);
        let d = depth(point.pressure_pa);
        base.push(at.shifted(RIBBON_OFF * nx, RIBBON_OFF * ny));
        edge.push(at.shifted((RIBBON_OFF + d) * nx, (RIBBON_OFF + d) * ny));
    }
    let peak = run.points.iter().map(|p| p.pressure_pa).fold(0.0, f64::max);
    let mut items: Vec<Item> = Vec::new();
    // One colour for a few points at a time keeps the picture small.
    let group = (COLOUR_STEP / stage.frame.length(SPACING_M)).ceil().max(3.0) as usize;
    let mut i = 0;
    while i + 1 < run.points.len() {
        let j = (i + group).min(run.points.len() - 1);
        let middle = run.points[(i + j) / 2].pressure_pa;
        let mut corners = straightened(&base[i..=j], FLAT);
        corners.extend(straightened(&edge[i..=j], FLAT).into_iter().rev());
        items.push(
            Shape::Polygon {
                points: corners,
                fill: Fill::solid(Paint { opacity: 0.88, ..Paint::pressure(middle / scale_pa) }),
                stroke: None,
            }
            .into(),
        );
        i = j;
    }
    let edge = straightened(&edge, FLAT);
    items.push(
        Shape::Polyline { points: edge, closed: false, stroke: Stroke::new(1.0, Role::Ink.faint(0.7)) }
            .into(),
    );
    let mut item: Item = Shape::Group { clip: None, items }.into();
    item.key = Some(format!("pressure:{}:{}", run.train_index, run.band));
    item.tip = Some(format!("contact pressure, at most {}", pressure_text(peak, stage.options.units)));
    stage.items.push(item);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_runs_close_round_the_nose() {
        use PerimeterState::{Missed, NotYet, Washed};
        let states = [Washed, Washed, Missed, NotYet, NotYet, Washed];
        let found = runs(&states);
        assert_eq!(found, vec![(2, 3, Missed), (3, 5, NotYet), (5, 8, Washed)]);
        assert_eq!(runs(&[Washed; 4]), vec![(0, 4, Washed)]);
        assert!(runs(&[]).is_empty());
    }
}
