//! The plan view: the train, both units and what they touch at one instant, seen from above.
//!
//! A pure function of the set-up, its record, what it came to and a time. Meanings never rest on colour alone: washed, not yet and missed
//! differ in line and hatch, pressure also in the depth of its ribbon, set-ups in their dashes.
//!
//! Pressure is drawn on the outside of what is pressed, in colours that no washing has. Cars, floor, walls and the conveyor's track are drawings
//! ([`PlanShow::looks`]): the outlines are what is computed, and what is drawn of a car lies inside them.
//!
//! Not to scale, and said so where they are drawn: the lean of the bearings (times [`LEAN_SHOWN`]), the row of stop-pin holes (spread
//! apart), the spin (slowed to [`SPIN_SHOWN`] of its speed, so that an eye can follow the strips).

mod brush;
mod car;
mod contact;
mod floor;
mod furniture;
mod ground;
mod placed;
mod unit;
mod vehicle;

pub use contact::{PressedPoint, PressedRun, UnitContact, ground_from_unit, unit_contact};
pub use ground::{View, fit_frame, ground_box};
pub use vehicle::{PerimeterState, perimeter_state, reference_band};

use super::frame::Frame;
use super::labels::{Label, LabelPlacer};
use super::list::{DisplayList, Item, MIN_TEXT_SIZE, Rect};
use super::palette::Role;
use crate::arm::StopPin;
use crate::coverage::{Outcome, Solved};
use crate::pass::{UnitInstant, instant};
use crate::units::{UnitSystem, rounded};
use std::ops::Deref;

/// How many times larger than life the offsets of the bearings are drawn.
pub const LEAN_SHOWN: f64 = 25.0;
/// Share of the true spin at which the strips are shown turning.
pub const SPIN_SHOWN: f64 = 0.1;

/// What a plan view shows: one solved set-up at one instant.
#[derive(Debug, Clone, Copy)]
pub struct PlanScene<'a> {
    /// The solved set-up.
    pub solved: &'a Solved,
    /// The instant, s (clamped to the record).
    pub t_s: f64,
}

impl Deref for PlanScene<'_> {
    type Target = Solved;

    fn deref(&self) -> &Solved {
        self.solved
    }
}

/// A pinned set-up shown as a ghost, at the same vehicle position.
#[derive(Debug, Clone, Copy)]
pub struct Ghost<'a> {
    /// What it is called: «A».
    pub name: &'a str,
    /// Its colour and dashes: [`Role::SetupA`], [`Role::SetupB`] or [`Role::SetupC`].
    pub role: Role,
    /// The solved set-up.
    pub solved: &'a Solved,
}

/// Which parts are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanShow {
    /// Outlines of every height band; otherwise only the widest.
    pub bands: bool,
    /// Washed, not yet, missed along the perimeter.
    pub washed: bool,
    /// What no brush will have washed by the end, outlined before its time comes.
    pub missed_in_the_end: bool,
    /// Looks of things: wet floor, walls and conveyor, cars with glass, lamps and wheels, more strips than one each; otherwise outlines.
    pub looks: bool,
    /// Contact pressure on the outline.
    pub pressure: bool,
    /// Strips of the brushes.
    pub strips: bool,
    /// Cable, cylinder and dampers.
    pub struts: bool,
    /// Stops, stop-pin holes, bearings.
    pub fixings: bool,
    /// Push and rubbing as arrows on the brush.
    pub forces: bool,
    /// Labels; hover texts stay.
    pub labels: bool,
    /// Of the labels only those that are read from afar: names of brushes and set-ups, and gaps; short words in the legend.
    pub few_labels: bool,
    /// The foot of the picture: what lines and colours mean, the scale bar.
    pub legend: bool,
    /// The time and the place of the nose, in a corner.
    pub clock: bool,
}

impl Default for PlanShow {
    fn default() -> Self {
        PlanShow {
            bands: true,
            washed: true,
            missed_in_the_end: false,
            looks: true,
            pressure: true,
            strips: true,
            struts: true,
            fixings: true,
            forces: false,
            labels: true,
            few_labels: false,
            legend: true,
            clock: true,
        }
    }
}

/// How a plan view is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanOptions {
    /// Width of the picture, page units.
    pub width: f64,
    /// Height of the picture, page units.
    pub height: f64,
    /// From the ground to the page; `None` = the whole pass region.
    pub frame: Option<Frame>,
    /// Units of every number.
    pub units: UnitSystem,
    /// Size of labels, page units; at least [`MIN_TEXT_SIZE`].
    pub text_size: f64,
    /// Which parts.
    pub show: PlanShow,
    /// Stop pins of the units, in the order of the set-up; missing or `None` = the holes are not known and not drawn.
    pub stop_pins: Vec<Option<StopPin>>,
    /// Set-ups the legend keeps room for, so that pinning one does not move the ground.
    pub room_for_ghosts: usize,
    /// Full scale of the contact pressure, Pa; `None` = [`pressure_scale_pa`] of the pass.
    pub pressure_scale_pa: Option<f64>,
}

impl PlanOptions {
    /// Everything on, for a picture of this size.
    pub fn new(width: f64, height: f64, units: UnitSystem) -> PlanOptions {
        PlanOptions {
            width,
            height,
            frame: None,
            units,
            text_size: 12.0,
            show: PlanShow::default(),
            stop_pins: Vec::new(),
            room_for_ghosts: 3,
            pressure_scale_pa: None,
        }
    }

    /// The part of the picture that shows the ground; the legend is under it.
    pub fn ground_area(&self) -> Rect {
        let foot = if self.show.legend { furniture::foot_height(self) } else { 0.0 };
        Rect::new(0.0, 0.0, self.width, (self.height - foot).max(1.0))
    }

    fn size(&self) -> f64 {
        self.text_size.max(MIN_TEXT_SIZE)
    }

    fn settled_frame(&self, scene: &PlanScene<'_>) -> Frame {
        self.frame.unwrap_or_else(|| {
            let travel = super::frame::Travel::Right;
            fit_frame(View::Whole, &scene.setup, &scene.record, scene.t_s, self.ground_area(), travel)
        })
    }
}

/// Everything the layers of one picture share.
struct Stage<'a> {
    scene: &'a PlanScene<'a>,
    options: &'a PlanOptions,
    frame: Frame,
    area: Rect,
    t_s: f64,
    at: Vec<UnitInstant>,
    contacts: Vec<UnitContact>,
    pressure_scale_pa: f64,
    /// What lies on the ground, cut to the ground area.
    items: DisplayList,
    /// Labels wanted, most important first within a rank.
    labels: Vec<(u8, Label)>,
    /// Page boxes labels should rather not cover, with their cost.
    shunned: Vec<(Rect, f64)>,
    /// Page boxes of the machine, which labels do not cover.
    solid: Vec<Rect>,
}

impl Stage<'_> {
    /// Size of symbols that are not to scale, against a view of the whole pass region on a page of middling size.
    fn symbol(&self) -> f64 {
        (self.frame.scale_per_m / 150.0).clamp(0.55, 1.5)
    }

    /// Labels do not lie on a bar of the machine.
    fn solid_line(&mut self, a: super::list::Pos, b: super::list::Pos, half: f64) {
        let count = (a.distance(b) / (2.0 * half)).ceil().clamp(1.0, 60.0) as usize;
        for i in 0..=count {
            let at = a.towards(b, i as f64 / count as f64);
            self.solid.push(Rect::new(at.x - half, at.y - half, 2.0 * half, 2.0 * half));
        }
    }

    /// Labels should rather not lie on a thick line.
    fn shun_line(&mut self, a: super::list::Pos, b: super::list::Pos, half: f64, cost: f64) {
        let count = (a.distance(b) / (2.0 * half)).ceil().clamp(1.0, 60.0) as usize;
        for i in 0..=count {
            let at = a.towards(b, i as f64 / count as f64);
            self.shunned.push((Rect::new(at.x - half, at.y - half, 2.0 * half, 2.0 * half), cost));
        }
    }
}

/// Draws the plan view with the pinned set-ups as ghosts.
pub fn plan_view(scene: &PlanScene<'_>, ghosts: &[Ghost<'_>], options: &PlanOptions) -> DisplayList {
    let t_s = scene.t_s.clamp(scene.record.start_s, scene.record.end_s);
    let frame = options.settled_frame(scene);
    let at = instant(&scene.setup, &scene.record, t_s);
    let mut contacts: Vec<UnitContact> =
        at.iter().enumerate().map(|(unit, at)| unit_contact(&scene.setup, unit, at)).collect();
    for (contact, at) in contacts.iter_mut().zip(&at) {
        if at.ended {
            contact.runs.clear();
            contact.features.clear();
        }
    }
    let mut stage = Stage {
        scene,
        options,
        frame,
        area: options.ground_area(),
        t_s,
        at,
        contacts,
        pressure_scale_pa: options.pressure_scale_pa.unwrap_or_else(|| pressure_scale_pa(&scene.outcome)),
        items: DisplayList::new(options.width, options.height),
        labels: Vec::new(),
        shunned: Vec::new(),
        solid: Vec::new(),
    };
    if options.show.looks {
        floor::draw_floor(&mut stage);
    }
    furniture::draw_lane(&mut stage);
    vehicle::draw_train(&mut stage);
    for ghost in ghosts {
        unit::draw_ghost(&mut stage, ghost);
    }
    for index in 0..stage.at.len() {
        brush::draw_brush(&mut stage, index);
    }
    if options.show.washed {
        vehicle::draw_perimeter(&mut stage);
    }
    if options.show.pressure {
        vehicle::draw_pressure(&mut stage);
    }
    for index in 0..stage.at.len() {
        unit::draw_unit(&mut stage, index);
    }
    if options.show.forces {
        for index in 0..stage.at.len() {
            brush::draw_forces(&mut stage, index);
        }
    }
    finish(stage, ghosts)
}

fn finish(mut stage: Stage<'_>, ghosts: &[Ghost<'_>]) -> DisplayList {
    let mut list = DisplayList::new(stage.options.width, stage.options.height);
    list.title = "Plan view".to_owned();
    list.description = describe(&stage);
    let items: Vec<Item> = std::mem::take(&mut stage.items.items);
    list.clipped(stage.area, items);
    let mut placer = LabelPlacer::new(stage.area.inset(4.0));
    furniture::draw_furniture(&stage, ghosts, &mut list, &mut placer);
    if stage.options.show.labels {
        for (rect, cost) in &stage.shunned {
            placer.shun(*rect, *cost);
        }
        let mut free = placer.clone();
        for rect in &stage.solid {
            placer.take(*rect);
        }
        let mut labels = std::mem::take(&mut stage.labels);
        if stage.options.show.few_labels {
            labels.retain_mut(|(rank, label)| few(*rank, label, ghosts));
        }
        labels.sort_by_key(|(rank, _)| *rank);
        for (rank, label) in labels {
            // What lies outside the picture needs no label.
            if stage.area.contains(label.at) {
                let before = placer.taken().len();
                // Over the machine only where there is no other place, and only what must be told.
                if placer.place_within(&mut list, &label, if rank < 2 { f64::INFINITY } else { NEAR }) {
                    if let Some(rect) = placer.taken().get(before) {
                        free.take(*rect);
                    }
                } else if rank == 0 {
                    let before = free.taken().len();
                    if free.place(&mut list, &label)
                        && let Some(rect) = free.taken().get(before)
                    {
                        placer.take(*rect);
                    }
                }
            }
        }
    }
    list
}

/// How far a label of the machine may stand from what it names, page units.
const NEAR: f64 = 46.0;

/// Whether a label is read from afar; of a brush it is the name.
fn few(rank: u8, label: &mut Label, ghosts: &[Ghost<'_>]) -> bool {
    if label.key.as_deref().is_some_and(|key| key.starts_with("brush-label:")) {
        label.lines.truncate(1);
    }
    rank == 0 || ghosts.iter().any(|ghost| label.lines == [ghost.name])
}

/// Full scale of the pressure of a pass, Pa: what 97 of 100 touched stations stay under at their peak, rounded up. The few above it (edges
/// of mirrors, mostly) are shown as full scale, so that they do not wash out the rest.
pub fn pressure_scale_pa(outcome: &Outcome) -> f64 {
    let stations = outcome.coverage.bands.iter().flat_map(|band| &band.stations);
    let peaks = stations.map(|s| s.peak_pa()).filter(|p| *p > 0.0).collect();
    super::words::round_up(super::words::most_of(peaks))
}

fn describe(stage: &Stage<'_>) -> String {
    let units: Vec<String> = stage
        .at
        .iter()
        .map(|at| {
            let press = if at.press_m > 0.0 {
                format!("pressed in {}", super::words::short_length(at.press_m, stage.options.units))
            } else {
                "clear of the vehicle".to_owned()
            };
            format!(
                "{} brush at swing {} degrees, {press}",
                at.side.name(),
                rounded(at.phi_rad.to_degrees(), 1)
            )
        })
        .collect();
    format!("Seen from above at {} s: {}.", rounded(stage.t_s, 2), units.join("; "))
}
