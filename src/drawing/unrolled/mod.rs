//! The unrolled coverage map: the perimeter of the measured vehicle laid out flat, height upward.
//!
//! Reading order is a walk round the vehicle seen from outside: nose, left side, tail, right side, each whole (see [`unroll`]). Each row is a
//! height band; a cell's colour is the quantity asked for. Gaps are outlined, hatched and measured; what lies too far back to be judged is
//! dotted. A click is answered by [`UnrolledMap::spot_at`] together with [`crate::coverage::touch_answer`] and [`crate::sentences::touched`].

mod against;
mod difference;
mod layers;
mod legend;
pub mod unroll;

pub use against::{Against, comparable};
pub use difference::difference_map;
pub(in crate::drawing) use layers::percent;
pub use unroll::{Unroll, WALK};

use super::list::{DisplayList, MIN_TEXT_SIZE, Pos, Rect, pos};
use super::palette::Paint;
use super::plan_view::{PlanScene, reference_band};
use super::words::{PA_PER_LBF_FT2, most_of, pressure_unit, round_up};
use crate::coverage::{BandCoverage, Station};
use crate::units::UnitSystem;

/// What the colour of a cell stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MapQuantity {
    /// Strip passes by both brushes.
    #[default]
    Wipes,
    /// Time in contact.
    ContactTime,
    /// Highest contact pressure.
    PeakPressure,
    /// Mean contact pressure while touched.
    MeanPressure,
    /// Rubbing work per area.
    RubbingWork,
}

impl MapQuantity {
    /// All, in the order of a menu.
    pub const ALL: [MapQuantity; 5] = [
        MapQuantity::Wipes,
        MapQuantity::ContactTime,
        MapQuantity::MeanPressure,
        MapQuantity::PeakPressure,
        MapQuantity::RubbingWork,
    ];

    /// Plain name.
    pub const fn name(self) -> &'static str {
        match self {
            MapQuantity::Wipes => "wipes",
            MapQuantity::ContactTime => "contact time",
            MapQuantity::PeakPressure => "peak pressure",
            MapQuantity::MeanPressure => "mean pressure",
            MapQuantity::RubbingWork => "rubbing work",
        }
    }

    /// What it is, in a sentence.
    pub const fn says(self) -> &'static str {
        match self {
            MapQuantity::Wipes => "How many times a strip passes over a spot, of both brushes together.",
            MapQuantity::ContactTime => "How long a spot is touched, by both brushes together.",
            MapQuantity::PeakPressure => "Highest push of the strips on a spot, per area.",
            MapQuantity::MeanPressure => {
                "Push of the strips on a spot per area, on average while it is touched."
            }
            MapQuantity::RubbingWork => "Work of the strips that slide over a spot, per area.",
        }
    }

    /// Unit it is shown in; empty for wipes.
    pub const fn unit(self, system: UnitSystem) -> &'static str {
        match (self, system) {
            (MapQuantity::Wipes, _) => "",
            (MapQuantity::ContactTime, _) => "s",
            (MapQuantity::PeakPressure | MapQuantity::MeanPressure, _) => pressure_unit(system),
            (MapQuantity::RubbingWork, UnitSystem::Us) => "ft lbf/ft²",
            (MapQuantity::RubbingWork, UnitSystem::Si) => "J/m²",
        }
    }

    /// Value of a station in [`Self::unit`]; `None` when it was never touched.
    pub fn value(self, station: &Station, system: UnitSystem) -> Option<f64> {
        if station.contact_s() <= 0.0 {
            return None;
        }
        let pressure = |pa: f64| super::words::pressure_value(pa, system);
        match self {
            MapQuantity::Wipes => Some(station.wipes()),
            MapQuantity::ContactTime => Some(station.contact_s()),
            MapQuantity::PeakPressure => Some(pressure(station.peak_pa())),
            MapQuantity::MeanPressure => station.mean_pressure_pa().map(pressure),
            MapQuantity::RubbingWork => Some(work(station.work_j_m2(), system)),
        }
    }

    /// Its colour at a place of its scale: pressures have the colours of the plan view, what was washed its own.
    pub(super) const fn paint(self, share: f64) -> Paint {
        match self {
            MapQuantity::PeakPressure | MapQuantity::MeanPressure => Paint::pressure(share),
            _ => Paint::scale(share),
        }
    }

    /// What the scenario asks for, in [`Self::unit`], when it asks for this quantity.
    fn asked(self, scene: &PlanScene<'_>, system: UnitSystem) -> Option<f64> {
        match self {
            MapQuantity::Wipes => Some(scene.settings.washed_wipes),
            MapQuantity::RubbingWork => scene.settings.washed_work_j_m2.map(|w| work(w, system)),
            _ => None,
        }
    }
}

/// J/m² in the unit shown: 1 J/m² is 0.0685… ft lbf/ft² (one pound-force per foot is PA_PER_LBF_FT2 × 0.3048 J/m²).
fn work(j_m2: f64, system: UnitSystem) -> f64 {
    match system {
        UnitSystem::Us => j_m2 / (PA_PER_LBF_FT2 * 0.3048),
        UnitSystem::Si => j_m2,
    }
}

/// How the map is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct UnrolledOptions {
    /// Width of the picture, page units.
    pub width: f64,
    /// Height of the picture, page units.
    pub height: f64,
    /// Units of every number.
    pub units: UnitSystem,
    /// Size of labels, page units; at least [`MIN_TEXT_SIZE`].
    pub text_size: f64,
    /// What the colour stands for.
    pub quantity: MapQuantity,
    /// Marks where each brush touches at the scene's instant.
    pub cursor: bool,
    /// Explains every sign under the map; otherwise only the colours.
    pub signs: bool,
    /// Heights and distances beside the map; otherwise only the names of its parts.
    pub axes: bool,
    /// Full scale in the quantity's unit; `None` = [`full_scale`] of the pass.
    pub full_scale: Option<f64>,
}

impl UnrolledOptions {
    /// Wipes with the cursor, for a picture of this size.
    pub fn new(width: f64, height: f64, units: UnitSystem) -> UnrolledOptions {
        UnrolledOptions {
            width,
            height,
            units,
            text_size: 12.0,
            quantity: MapQuantity::Wipes,
            cursor: true,
            signs: true,
            axes: true,
            full_scale: None,
        }
    }

    fn size(&self) -> f64 {
        self.text_size.max(MIN_TEXT_SIZE)
    }
}

/// A spot of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Index into the map's bands.
    pub band: usize,
    /// Index into the band's stations.
    pub station: usize,
    /// Arclength from the nose centre, counterclockwise, m.
    pub s_m: f64,
}

/// The map and how it lies on the page.
#[derive(Debug, Clone, PartialEq)]
pub struct UnrolledMap {
    /// The picture.
    pub list: DisplayList,
    /// Where the cells are.
    pub area: Rect,
    /// Full scale of the colours, in the quantity's unit.
    pub full_scale: f64,
    layout: Option<Layout>,
}

impl UnrolledMap {
    /// The spot under a page position; `None` outside the cells.
    pub fn spot_at(&self, at: Pos) -> Option<Spot> {
        let layout = self.layout.as_ref()?;
        if !self.area.contains(at) {
            return None;
        }
        let band = layout.rows.iter().position(|row| at.y >= row.top && at.y <= row.bottom)?;
        let s_m = layout.unroll.arclength_m(band, layout.place_m(at.x));
        let row = &layout.rows[band];
        let station = row.borders_m.partition_point(|border| *border <= s_m).checked_sub(1)?;
        Some(Spot { band, station, s_m })
    }

    /// Page position of arclength `s_m` in the middle of a band; `None` when there is no such band.
    pub fn page_at(&self, band: usize, s_m: f64) -> Option<Pos> {
        let layout = self.layout.as_ref()?;
        let row = layout.rows.get(band)?;
        Some(pos(layout.x(layout.unroll.place_m(band, s_m)), 0.5 * (row.top + row.bottom)))
    }
}

/// A band's strip of the page.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    top: f64,
    bottom: f64,
    /// Where its stations begin, arclength, m.
    borders_m: Vec<f64>,
}

/// From perimeter and height to the page.
#[derive(Debug, Clone, PartialEq)]
struct Layout {
    unroll: Unroll,
    area: Rect,
    rows: Vec<Row>,
    low_m: f64,
    high_m: f64,
}

impl Layout {
    fn new(unroll: Unroll, bands: &[BandCoverage], area: Rect) -> Layout {
        let low_m = bands.iter().map(|b| b.z_low_m).fold(f64::INFINITY, f64::min);
        let high_m = bands.iter().map(|b| b.z_high_m).fold(f64::NEG_INFINITY, f64::max);
        let mut layout = Layout { unroll, area, rows: Vec::new(), low_m, high_m };
        layout.rows = bands
            .iter()
            .map(|b| Row {
                top: layout.y(b.z_high_m),
                bottom: layout.y(b.z_low_m),
                borders_m: (0..b.stations.len()).map(|i| b.border_m(i)).collect(),
            })
            .collect();
        layout
    }

    fn x(&self, place_m: f64) -> f64 {
        self.area.x + place_m / self.unroll.length_m() * self.area.width
    }

    fn place_m(&self, x: f64) -> f64 {
        (x - self.area.x) / self.area.width * self.unroll.length_m()
    }

    fn y(&self, z_m: f64) -> f64 {
        self.area.bottom() - (z_m - self.low_m) / (self.high_m - self.low_m).max(1e-9) * self.area.height
    }

    /// Page rectangles of a stretch of one band.
    fn boxes(&self, band: usize, from_m: f64, to_m: f64) -> Vec<Rect> {
        let row = &self.rows[band];
        self.unroll
            .stretches_m(band, from_m, to_m)
            .into_iter()
            .map(|[a, b]| Rect::new(self.x(a), row.top, self.x(b) - self.x(a), row.bottom - row.top))
            .collect()
    }
}

/// What the map takes of the height for its names and its legend, page units; the rest are its cells.
pub fn height_beside_cells(scene: &PlanScene<'_>, options: &UnrolledOptions) -> f64 {
    let [top, bottom] = margins(scene, options);
    top + bottom
}

fn margins(scene: &PlanScene<'_>, options: &UnrolledOptions) -> [f64; 2] {
    let size = options.size();
    let axis = if options.axes { 8.0 + 1.5 * size } else { 0.0 };
    [8.0 + 2.3 * size, axis + legend::foot_height(scene, options)]
}

/// Draws the map.
pub fn unrolled_map(scene: &PlanScene<'_>, options: &UnrolledOptions) -> UnrolledMap {
    draw_map(scene, None, options)
}

fn draw_map(scene: &PlanScene<'_>, against: Option<&Against<'_>>, options: &UnrolledOptions) -> UnrolledMap {
    let mut list = DisplayList::new(options.width, options.height);
    list.title = format!("Unrolled map: {}", options.quantity.name());
    if let Some(against) = against {
        list.title.push_str(&format!(", now − {}", against.name));
    }
    let size = options.size();
    let left = if options.axes { 12.0 + 4.2 * size } else { 16.0 };
    let [top, bottom] = margins(scene, options);
    let area = Rect::new(
        left,
        top,
        (options.width - left - 16.0).max(20.0),
        (options.height - top - bottom).max(10.0),
    );
    let full_scale = options.full_scale.unwrap_or_else(|| full_scale(scene, options.quantity, options.units));
    let vehicle = &scene.setup.train[scene.setup.measured].shape.real;
    let bands = &scene.outcome.coverage.bands;
    let layout = reference_band(scene)
        .and_then(|reference| Unroll::new(vehicle, bands, reference))
        .map(|unroll| Layout::new(unroll, bands, area));
    if let Some(layout) = &layout {
        layers::Map { scene, against, options, layout, full_scale }.draw(&mut list);
    }
    UnrolledMap { list, area, full_scale, layout }
}

/// Full scale of a quantity of a pass, in its unit: what 97 of 100 touched stations stay under and what is asked stays well under, rounded up.
pub fn full_scale(scene: &PlanScene<'_>, quantity: MapQuantity, units: UnitSystem) -> f64 {
    let stations = scene.outcome.coverage.bands.iter().flat_map(|band| &band.stations);
    let values = stations.filter_map(|s| quantity.value(s, units)).filter(|v| *v > 0.0);
    let most = most_of(values.collect());
    let asked = quantity.asked(scene, units).unwrap_or(0.0);
    round_up(most.max(1.2 * asked))
}
