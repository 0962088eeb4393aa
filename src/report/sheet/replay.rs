//! The pass as a compact record that stands inside the sheet and is drawn by its script.
//!
//! Everything is quantised to what a screen can show: lengths in mm, swing angles in 1e-4 rad, forces in N, pressures in 63 levels of the
//! highest pressure of the record. Times are frames of one even clock. The record holds no text of a user except names, and is written
//! so that it cannot end the element it stands in ([`json_for_html`]).
//!
//! Ground frame as everywhere: x downstream, y left of travel, t = 0 when the measured nose is at x = 0.

use crate::arm::Side;
use crate::coverage::{BandCoverage, CoverageSettings, EventName, Outcome, Solved};
use crate::geometry::Vec2;
use crate::pass::contact::{ContactLaw, SpanScratch, surface_point};
use crate::pass::motion::state;
use crate::pass::{PassSetup, Record};
use crate::vehicle::Vehicle;
use crate::visible::visible_json;
use serde::Serialize;

/// Shortest frame, s.
const SHORTEST_FRAME_S: f64 = 0.05;
/// Most frames of a record.
const MOST_FRAMES: f64 = 1400.0;
/// Shown before the first and after the last event, s.
const MARGIN_S: f64 = 1.5;
/// How far an outline drawn as chords may lie off the true one, m.
const CHORD_M: f64 = 0.004;
/// Levels of pressure, one letter each: least to most.
const LEVELS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// One recorded pass, quantised.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Replay {
    /// First frame, ms.
    pub start_ms: i64,
    /// Length of a frame, ms.
    pub frame_ms: f64,
    /// Number of frames.
    pub frames: usize,
    /// Conveyor speed, mm/s.
    pub speed_mm_s: f64,
    /// Highest pressure of the record, Pa: the top of the scale.
    pub peak_pa: f64,
    /// Where the vehicles of the train are; the measured one has `measured` set.
    pub vehicles: Vec<RidingVehicle>,
    /// Outlines, one entry for each different vehicle.
    pub shapes: Vec<Shape>,
    /// Stations along the outline on which pressure is shown: x, y in mm, vehicle frame, in turn.
    pub stations_mm: Vec<i32>,
    /// Frame at which each station has been washed; −1 = never; −2 = not judged.
    pub washed_frame: Vec<i32>,
    /// The units.
    pub units: Vec<UnitReplay>,
    /// Events of all units in time order.
    pub events: Vec<ReplayEvent>,
}

/// A vehicle of the train.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RidingVehicle {
    /// Index of its shape.
    pub shape: usize,
    /// When its nose is at lane x = 0, ms.
    pub nose_ms: f64,
    /// Off the centreline to the left, mm.
    pub offset_mm: f64,
    /// Turned counterclockwise, rad.
    pub yaw_rad: f64,
    /// The one the pass is about.
    pub measured: bool,
}

/// Outlines of one vehicle in the vehicle frame, mm: x, y in turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shape {
    /// Length, mm.
    pub length_mm: f64,
    /// One closed line per height band and island, widest first.
    pub outlines: Vec<Vec<i32>>,
}

/// Motion of one unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnitReplay {
    /// `"left"` or `"right"`.
    pub side: &'static str,
    /// Pivot x, mm.
    pub pivot_x_mm: i32,
    /// Pivot y in the ground frame, mm.
    pub pivot_y_mm: i32,
    /// Arm length, mm.
    pub arm_mm: i32,
    /// Brush radius, mm.
    pub brush_mm: i32,
    /// Hub radius, mm.
    pub hub_mm: i32,
    /// Spin about z in the ground frame, rad/s, for turning the strips on the picture.
    pub spin_rad_s: f64,
    /// Strips.
    pub strips: u32,
    /// Swing angle, 1e-4 rad: the first value, then differences.
    pub swing: Vec<i32>,
    /// Force of the vehicles on the brush, N, each frame.
    pub force_n: Vec<i32>,
    /// Contact patches: frames parted by `|`, patches by `;`, each `first station:levels`.
    pub patches: String,
}

/// An event of one unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReplayEvent {
    /// Index of the unit.
    pub unit: usize,
    /// When, ms.
    pub ms: i64,
    /// What, in the language of the sheet.
    pub name: String,
}

/// JSON that may stand inside a `<script>` element: no `<`, `>`, `&` and no hidden characters, line separators among them.
pub fn json_for_html<T: Serialize>(value: &T) -> Result<String, serde_json::Error> {
    let text = serde_json::to_string(value)?;
    let text = visible_json(&text);
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' | '>' | '&' => {
                out.push_str(&format!("\\u{:04x}", c as u32));
            }
            c => out.push(c),
        }
    }
    Ok(out)
}

/// Quantises a pass. `name` puts an event's name into words.
pub fn replay(solved: &Solved, name: impl Fn(EventName) -> String) -> Replay {
    let Solved { setup, record, outcome, settings } = solved;
    let (start_s, frame_s, frames) = clock(record, outcome);
    let time = |k: usize| start_s + k as f64 * frame_s;
    let band = shown_band(outcome);
    let mut peak_pa: f64 = 0.0;
    let traces: Vec<Trace> = (0..setup.units.len())
        .map(|i| {
            let trace = trace(setup, record, i, band, &time, frames);
            peak_pa =
                trace.patches.iter().flatten().flat_map(|p| &p.pressure_pa).fold(peak_pa, |a, b| a.max(*b));
            trace
        })
        .collect();
    let mut events: Vec<ReplayEvent> = Vec::new();
    for (unit, timing) in outcome.units.iter().enumerate() {
        for event in &timing.events {
            if event.time_s >= start_s && event.time_s <= time(frames - 1) {
                events.push(ReplayEvent {
                    unit,
                    ms: (event.time_s * 1e3).round() as i64,
                    name: name(event.name),
                });
            }
        }
    }
    events.sort_by_key(|e| (e.ms, e.unit));
    let (vehicles, shapes) = train(setup);
    Replay {
        start_ms: (start_s * 1e3).round() as i64,
        frame_ms: frame_s * 1e3,
        frames,
        speed_mm_s: round(record.conveyor_speed_m_s * 1e3, 1e2),
        peak_pa: round(peak_pa, 10.0),
        vehicles,
        shapes,
        stations_mm: band
            .map_or_else(Vec::new, |b| b.stations.iter().flat_map(|s| mm_pair(s.point_m)).collect()),
        washed_frame: band.map_or_else(Vec::new, |b| washed_frames(b, settings, &traces, frames)),
        units: setup
            .units
            .iter()
            .zip(&traces)
            .map(|(unit, trace)| {
                let sign = unit.side.y_sign();
                UnitReplay {
                    side: unit.side.name(),
                    pivot_x_mm: mm(unit.pivot_m.x),
                    pivot_y_mm: mm(sign * unit.pivot_m.y),
                    arm_mm: mm(unit.body.length_m),
                    brush_mm: mm(unit.brush.radius_m),
                    hub_mm: mm(unit.brush.hub_radius_m),
                    spin_rad_s: round(sign * unit.spin_rad_s(), 1e3),
                    strips: unit.brush.strips,
                    swing: differences(trace.swing_rad.iter().map(|phi| (phi * 1e4).round() as i32)),
                    force_n: trace.force_n.iter().map(|f| f.round() as i32).collect(),
                    patches: patch_text(&trace.patches, peak_pa),
                }
            })
            .collect(),
        events,
    }
}

/// First instant, frame length and number of frames: from just before the first event to just after the last.
fn clock(record: &Record, outcome: &Outcome) -> (f64, f64, usize) {
    let times = || outcome.units.iter().flat_map(|u| &u.events).map(|e| e.time_s);
    let first = times().reduce(f64::min).unwrap_or(record.start_s);
    let last = times().reduce(f64::max).unwrap_or(record.end_s);
    let start = (first - MARGIN_S).max(record.start_s).min(record.end_s);
    let end = (last + MARGIN_S).min(record.end_s).max(start);
    let start = (start * 1e3).round() / 1e3;
    let frame = ((end - start) / MOST_FRAMES).max(SHORTEST_FRAME_S);
    let frame = (frame * 1e3).ceil() / 1e3;
    (start, frame, ((end - start) / frame).floor() as usize + 1)
}

/// The band on whose outline washing and pressure are shown: the one with the longest gap, so that the replay shows what the verdict is about;
/// without a gap the one with the most area in plan.
fn shown_band(outcome: &Outcome) -> Option<&BandCoverage> {
    let with_gap =
        outcome.gaps.first().and_then(|gap| outcome.coverage.bands.iter().find(|b| b.band == gap.band));
    with_gap.or_else(|| widest_band(outcome))
}

fn widest_band(outcome: &Outcome) -> Option<&BandCoverage> {
    let area = |b: &BandCoverage| {
        let n = b.stations.len();
        let corner = |i: usize| b.stations[i % n].point_m;
        (0..n).map(|i| corner(i).perp(&corner(i + 1))).sum::<f64>()
    };
    outcome.coverage.bands.iter().max_by(|a, b| area(a).total_cmp(&area(b)).then(b.band.cmp(&a.band)))
}

/// Neighbouring stations a brush touches at one instant.
#[derive(Debug, Clone, PartialEq)]
struct Patch {
    first: usize,
    pressure_pa: Vec<f64>,
}

struct Trace {
    swing_rad: Vec<f64>,
    force_n: Vec<f64>,
    patches: Vec<Vec<Patch>>,
}

fn trace(
    setup: &PassSetup,
    record: &Record,
    index: usize,
    band: Option<&BandCoverage>,
    time: &dyn Fn(usize) -> f64,
    frames: usize,
) -> Trace {
    let model = &setup.units[index];
    let run = &record.units[index];
    let plan = setup.plan(setup.measured, model);
    let dynamics = setup.dynamics(index);
    let law = ContactLaw::of(&model.brush);
    let mut scratch = SpanScratch::default();
    let mut trace = Trace { swing_rad: Vec::new(), force_n: Vec::new(), patches: Vec::new() };
    for k in 0..frames {
        let t = time(k);
        let motion = run.state_at(t);
        let omega = motion.y[state::OMEGA];
        let (c, v) = dynamics.brush_motion(&motion.y);
        let (contact, _) = dynamics.contact(t, c, v, omega, &mut scratch);
        trace.swing_rad.push(motion.phi_rad());
        trace.force_n.push((contact.push_n_per_m + contact.friction_n_per_m).norm());
        let mut patches = Vec::new();
        let unrolled = band.and_then(|b| plan.bands.iter().find(|p| p.index == b.band).map(|p| (b, p)));
        if let Some((band, part)) = unrolled
            && plan.may_touch(c, law.radius_m, t)
        {
            let spinning = law.turned(omega);
            let local = plan.pose.vehicle_from_unit(c + part.shift_m, t);
            let velocity = plan.pose.vehicle_from_unit_dir(v - Vec2::new(plan.pose.speed_m_s, 0.0));
            let mut touched: Vec<(usize, f64)> = Vec::new();
            for span in part.near().find_spans(&part.band.outlines, local, &mut scratch) {
                if span.outline != 0 {
                    continue;
                }
                let chain = &part.band.outlines[0].chain;
                let start = chain.piece_start_m(span.piece);
                // The right unit sees the vehicle mirrored: its arclengths run the other way.
                let seen = |s: f64| if model.side == Side::Left { s } else { band.perimeter_m - s };
                // A span may end at the nose centre, where arclength starts anew.
                let inside_m = band.perimeter_m * (1.0 - 1e-12);
                let mut ends =
                    [span.from_m, span.to_m].map(|s| band.station_at(seen(start + s).clamp(0.0, inside_m)));
                ends.sort_unstable();
                for station in ends[0]..=ends[1] {
                    let s = (seen(band.stations[station].s_m) - start).clamp(span.from_m, span.to_m);
                    let point = surface_point(&spinning, &chain.pieces()[span.piece], s, local, velocity);
                    touched.push((station, point.pressure_pa.max(0.0)));
                }
            }
            touched.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
            touched.dedup_by_key(|(station, _)| *station);
            for (station, pressure) in touched {
                match patches.last_mut() {
                    Some(Patch { first, pressure_pa }) if *first + pressure_pa.len() == station => {
                        pressure_pa.push(pressure);
                    }
                    _ => patches.push(Patch { first: station, pressure_pa: vec![pressure] }),
                }
            }
        }
        trace.patches.push(patches);
    }
    trace
}

/// Frame at which each station has had what it takes: the frames share out the washing of the whole pass by time in contact.
fn washed_frames(
    band: &BandCoverage,
    settings: &CoverageSettings,
    traces: &[Trace],
    frames: usize,
) -> Vec<i32> {
    let n = band.stations.len();
    let mut counts = vec![0.0_f64; n];
    for patch in traces.iter().flat_map(|t| t.patches.iter().flatten()) {
        for i in 0..patch.pressure_pa.len() {
            counts[patch.first + i] += 1.0;
        }
    }
    let mut done = vec![0.0_f64; n];
    let mut washed: Vec<i32> = vec![-1; n];
    let enough: Vec<Option<f64>> = band
        .stations
        .iter()
        .zip(&counts)
        .map(|(station, total)| {
            let ratio = station.washed_ratio(settings);
            (ratio >= 1.0).then(|| if ratio.is_finite() { total / ratio } else { 0.0 })
        })
        .collect();
    for k in 0..frames {
        for patch in traces.iter().flat_map(|t| &t.patches[k]) {
            for i in patch.first..patch.first + patch.pressure_pa.len() {
                done[i] += 1.0;
                if washed[i] < 0 && enough[i].is_some_and(|e| done[i] >= e) {
                    washed[i] = k as i32;
                }
            }
        }
    }
    for (i, station) in band.stations.iter().enumerate() {
        if !station.judged {
            washed[i] = -2;
        } else if washed[i] < 0 && enough[i].is_some() {
            // Washed in looks that fall between frames.
            let last = station.cells.iter().filter_map(|c| c.last_s).reduce(f64::max);
            washed[i] = last.map_or(0, |_| frames as i32 - 1);
        }
    }
    washed
}

fn train(setup: &PassSetup) -> (Vec<RidingVehicle>, Vec<Shape>) {
    let mut riding = Vec::new();
    let mut shapes: Vec<Shape> = Vec::new();
    for index in 0..=setup.measured + 1 {
        let vehicle = if index <= setup.measured { &setup.train[index] } else { setup.next_vehicle() };
        let shape = shape(&vehicle.shape.real);
        let place = shapes.iter().position(|s| *s == shape).unwrap_or_else(|| {
            shapes.push(shape);
            shapes.len() - 1
        });
        riding.push(RidingVehicle {
            shape: place,
            nose_ms: round(setup.nose_at_zero_s(index) * 1e3, 10.0),
            offset_mm: round(vehicle.lateral_offset_m * 1e3, 10.0),
            yaw_rad: round(vehicle.yaw_rad, 1e5),
            measured: index == setup.measured,
        });
    }
    (riding, shapes)
}

fn shape(vehicle: &Vehicle) -> Shape {
    let mut lines: Vec<(f64, Vec<i32>)> = Vec::new();
    for outline in vehicle.bands.iter().flat_map(|b| &b.outlines) {
        let line: Vec<i32> = outline.chain.to_polyline(CHORD_M).into_iter().flat_map(mm_pair).collect();
        if !lines.iter().any(|(_, l)| *l == line) {
            lines.push((outline.chain.area_m2(), line));
        }
    }
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    Shape {
        length_mm: round(vehicle.length_m * 1e3, 10.0),
        outlines: lines.into_iter().map(|(_, l)| l).collect(),
    }
}

fn patch_text(frames: &[Vec<Patch>], peak_pa: f64) -> String {
    let mut text = String::new();
    for (k, patches) in frames.iter().enumerate() {
        if k > 0 {
            text.push('|');
        }
        for (i, patch) in patches.iter().enumerate() {
            if i > 0 {
                text.push(';');
            }
            text.push_str(&patch.first.to_string());
            text.push(':');
            for p in &patch.pressure_pa {
                let level =
                    if peak_pa > 0.0 { (p / peak_pa * 63.0).round().clamp(0.0, 63.0) as usize } else { 0 };
                text.push(LEVELS[level] as char);
            }
        }
    }
    text
}

fn differences(values: impl Iterator<Item = i32>) -> Vec<i32> {
    let mut last = 0;
    values
        .map(|v| {
            let step = v - last;
            last = v;
            step
        })
        .collect()
}

fn mm(length_m: f64) -> i32 {
    (length_m * 1e3).round() as i32
}

fn mm_pair(p: Vec2) -> [i32; 2] {
    [mm(p.x), mm(p.y)]
}

/// Rounds to 1/`parts`.
fn round(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts
}
