//! The map of a foam maker: regimes over liquid and air pressure, contours of expansion, the present point and its margins.
//!
//! Every regime has its own hatch and stands with its name on the map and in the key; colour only helps. Areas follow
//! the cells of a [`RegimeMap`], with the boundaries between them closed in on; contours by marching squares on the same grid.

mod contours;

use self::contours::contours;
use super::say::Say;
use super::{FoamReport, FoamSubject};
use crate::drawing::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Marker, Paint, Pos, Rect, Role, Shape,
    Stroke, Text, pos,
};
use crate::foam::foam_maker::{FoamMaker, FoamSettings};
use crate::foam::regime::Regime;
use crate::foam::regime_map::{Knob, PressureRange, RegimeMap, regime_map};
use crate::foam::{FoamError, Station};
use crate::units::{Dimension, PressureDim, UnitSystem, unit_label};

/// Room at the left of the map, above it, below it, and for the key at its right.
const BESIDE: [f64; 4] = [74.0, 84.0, 76.0, 266.0];

/// Size of the page, and whether it has the key beside the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoamMapPage {
    /// Width, page units.
    pub width: f64,
    /// Height, page units.
    pub height: f64,
    /// Whether the key stands beside the map; without it the regimes are told by their names on the map.
    pub key: bool,
}

impl FoamMapPage {
    /// The page with everything on it.
    pub const WHOLE: FoamMapPage = FoamMapPage { width: 900.0, height: 640.0, key: true };

    fn plot(self) -> Rect {
        let [left, above, below, key] = BESIDE;
        let right = if self.key { key } else { 20.0 };
        Rect::new(left, above, (self.width - left - right).max(60.0), (self.height - above - below).max(60.0))
    }
}

/// Where the map stands on the page, and the pressure at the end of both axes, Pa.
#[derive(Debug, Clone, Copy)]
struct Frame {
    plot: Rect,
    top_pa: f64,
}

/// Cells each way.
const CELLS: usize = 121;
/// Least area of a regime that stands in the key, in cells.
const KEY_CELLS: usize = 40;
/// Least area of a regime that gets its name on the map, in cells.
const NAMED_CELLS: usize = 150;

/// The map of the station of a report.
///
/// # Errors
/// A field of the station out of range.
pub fn foam_map(report: &FoamReport, units: UnitSystem) -> Result<DisplayList, FoamError> {
    foam_map_on(report, units, FoamMapPage::WHOLE)
}

/// The same on a page of another size.
///
/// # Errors
/// A field of the station out of range.
pub fn foam_map_on(
    report: &FoamReport,
    units: UnitSystem,
    size: FoamMapPage,
) -> Result<DisplayList, FoamError> {
    let station = &report.subject.station;
    let top = axis_top_pa(station, units);
    let range = PressureRange { from_pa: 0.0, to_pa: top, count: CELLS };
    let map = regime_map(&station.maker, &station.settings, range, range)?;
    let say = Say { units };
    let frame = Frame { plot: size.plot(), top_pa: top };
    let mut page = DisplayList::new(size.width, size.height);
    page.title =
        format!("Foam regimes over liquid and air pressure: {}", super::say::clean(&report.subject.name));
    page.description = describe(report, say);
    page.rect(page.page(), Fill::solid(Role::Paper), None);
    heading(&mut page, &report.subject, frame);
    areas(&mut page, &station.maker, &map, frame);
    axes(&mut page, frame, units);
    contours(&mut page, &map, frame);
    names(&mut page, &map, report, frame);
    present(&mut page, report, say, frame);
    if size.key {
        key(&mut page, report, &map, say, frame);
    }
    Ok(page)
}

/// Both axes end at a round number past the settings.
fn axis_top_pa(station: &Station, units: UnitSystem) -> f64 {
    let (step_pa, least) = match units {
        UnitSystem::Us => (10.0 * super::PRESSURE_STEP_PA, 6.0),
        UnitSystem::Si => (50e3, 8.0),
    };
    let highest = station.settings.liquid_pressure_pa.max(station.settings.air_pressure_pa);
    let steps = (1.25 * highest / step_pa).ceil().max(least);
    (steps * step_pa).min(crate::foam::foam_maker::GREATEST_PRESSURE_PA)
}

fn describe(report: &FoamReport, say: Say) -> String {
    let set = &report.subject.station.settings;
    format!(
        "At {} liquid, {} air and the needle valve at {} the foam maker is in the regime «{}»{}.",
        say.pressure(set.liquid_pressure_pa),
        say.pressure(set.air_pressure_pa),
        super::say::steps(set.needle_step),
        report.result.balance.regime.name(),
        report.result.balance.expansion_ratio.map_or_else(String::new, |e| format!(" at {e:.1}:1 expansion")),
    )
}

fn heading(page: &mut DisplayList, subject: &FoamSubject, frame: Frame) {
    let title = format!("Foam maker map: {}", super::say::clean(&subject.name));
    let title =
        crate::drawing::text_width::ellipsize(&title, 19.0, crate::drawing::Weight::Bold, page.width - 100.0);
    page.push(Text::new(pos(frame.plot.x, 34.0), 19.0, Role::Ink, title).bold());
    let set = &subject.station.settings;
    let under = format!(
        "Needle valve at {} of {}; everything else as described. A prediction: read the gauges while foam flows.",
        super::say::steps(set.needle_step),
        super::say::maybe(Some(subject.station.maker.air.needle.full_open_steps), 0),
    );
    let under = crate::drawing::text_width::ellipsize(
        &under,
        13.0,
        crate::drawing::Weight::Regular,
        page.width - frame.plot.x - 10.0,
    );
    page.push(Text::new(pos(frame.plot.x, 58.0), 13.0, Role::Muted, under));
}

/// Page place of a pair of pressures.
fn at(frame: Frame, liquid_pa: f64, air_pa: f64) -> Pos {
    let Frame { plot, top_pa, .. } = frame;
    pos(plot.x + plot.width * liquid_pa / top_pa, plot.bottom() - plot.height * air_pa / top_pa)
}

/// Hatch and tint of a regime. No two share a hatch.
fn fill(regime: Regime) -> Fill {
    let tinted = |role: Role, opacity: f64| Fill::solid(role.faint(opacity));
    let hatched = |role: Role, opacity: f64, kind: HatchKind, spacing: f64| {
        let mut hatch = Hatch::new(kind, spacing, role.faint(0.75));
        hatch.width = if kind == HatchKind::Dots { 2.2 } else { 1.0 };
        tinted(role, opacity).with_hatch(hatch)
    };
    match regime {
        Regime::Off => tinted(Role::Panel, 1.0),
        Regime::LiquidOnly => hatched(Role::Series(4), 0.07, HatchKind::Level, 9.0),
        Regime::Wet => hatched(Role::Series(0), 0.10, HatchKind::Dots, 11.0),
        Regime::Good => tinted(Role::Pass, 0.16),
        Regime::Dry => hatched(Role::Marginal, 0.12, HatchKind::Upright, 10.0),
        Regime::Pulsing => hatched(Role::Warn, 0.16, HatchKind::Rising, 8.0),
        Regime::AirLocked => hatched(Role::Fail, 0.14, HatchKind::Cross, 9.0),
    }
}

/// Draws each regime's area as one polygon for each stretch of liquid pressures that has it, so that a hatch runs through it.
fn areas(page: &mut DisplayList, maker: &FoamMaker, map: &RegimeMap, frame: Frame) {
    let columns: Vec<Vec<(Regime, f64, f64)>> =
        (0..map.liquid_pa.len()).map(|i| column(maker, map, i)).collect();
    let mut items = Vec::new();
    for regime in Regime::ALL {
        let mut lower: Vec<Pos> = Vec::new();
        let mut upper: Vec<Pos> = Vec::new();
        for (i, runs) in columns.iter().enumerate() {
            let run = runs.iter().find(|run| run.0 == regime);
            if let Some(&(_, from, to)) = run {
                lower.push(at(frame, map.liquid_pa[i], from));
                upper.push(at(frame, map.liquid_pa[i], to));
            }
            if (run.is_none() || i + 1 == columns.len()) && !lower.is_empty() {
                let mut points = std::mem::take(&mut lower);
                points.extend(std::mem::take(&mut upper).into_iter().rev());
                let stroke = Some(Stroke::new(1.2, Role::Machine));
                items.push(Shape::Polygon { points, fill: fill(regime), stroke }.into());
            }
        }
    }
    page.clipped(frame.plot, items);
}

/// The regimes at liquid pressure `i` as the air pressure rises: each with the air pressures (Pa) it lies between. Boundaries
/// are found by bisection between the map's values; each is crossed once.
fn column(maker: &FoamMaker, map: &RegimeMap, i: usize) -> Vec<(Regime, f64, f64)> {
    let regime_at = |air_pressure_pa: f64| {
        let liquid_pressure_pa = map.liquid_pa[i];
        let settings =
            FoamSettings { liquid_pressure_pa, air_pressure_pa, needle_step: map.present.needle_step };
        maker.balance(&settings).map_or(Regime::Off, |balance| balance.regime)
    };
    let last = map.air_pa.len() - 1;
    let regime = |j: usize| map.cell(i, j).map_or(Regime::Off, |cell| cell.regime);
    let mut runs = vec![(regime(0), map.air_pa[0], map.air_pa[last])];
    for j in 0..last {
        let mut below = regime(j);
        let mut from = map.air_pa[j];
        // Two boundaries may lie between neighbouring values.
        while below != regime(j + 1) {
            let (mut low, mut high) = (from, map.air_pa[j + 1]);
            for _ in 0..30 {
                let middle = 0.5 * (low + high);
                if regime_at(middle) == below { low = middle } else { high = middle }
            }
            let above = regime_at(high);
            if above == below {
                break;
            }
            if let Some(run) = runs.last_mut() {
                run.2 = high;
            }
            runs.push((above, high, map.air_pa[last]));
            (below, from) = (above, high);
        }
    }
    runs
}

fn axes(page: &mut DisplayList, frame: Frame, units: UnitSystem) {
    let info = PressureDim::INFO;
    let label = unit_label(info, units);
    let (step_pa, one_pa) = match units {
        UnitSystem::Us => (10.0 * super::PRESSURE_STEP_PA, super::PRESSURE_STEP_PA),
        UnitSystem::Si => (50e3, 1e3),
    };
    let count = (frame.top_pa / step_pa + 1e-9).floor() as usize;
    let every = count.div_ceil(12);
    for k in (0..=count).step_by(every.max(1)) {
        let value = k as f64 * step_pa;
        let said = format!("{:.0}", value / one_pa);
        let x = at(frame, value, 0.0);
        page.line(
            pos(x.x, frame.plot.bottom()),
            pos(x.x, frame.plot.bottom() + 5.0),
            Stroke::new(1.0, Role::Ink),
        );
        page.push(
            Text::new(pos(x.x, frame.plot.bottom() + 9.0), 12.0, Role::Ink, said.clone())
                .anchored(Anchor::Middle, Baseline::Top),
        );
        let y = at(frame, 0.0, value);
        page.line(pos(frame.plot.x - 5.0, y.y), pos(frame.plot.x, y.y), Stroke::new(1.0, Role::Ink));
        page.push(
            Text::new(pos(frame.plot.x - 9.0, y.y), 12.0, Role::Ink, said)
                .anchored(Anchor::End, Baseline::Middle),
        );
    }
    page.push(
        Text::new(
            pos(frame.plot.centre().x, frame.plot.bottom() + 34.0),
            13.0,
            Role::Ink,
            format!("Liquid regulator, {label}"),
        )
        .anchored(Anchor::Middle, Baseline::Top),
    );
    page.push(
        Text::new(
            pos(frame.plot.x - 46.0, frame.plot.centre().y),
            13.0,
            Role::Ink,
            format!("Air regulator, {label}"),
        )
        .anchored(Anchor::Middle, Baseline::Middle)
        .rotated(-std::f64::consts::FRAC_PI_2),
    );
    page.rect(frame.plot, Fill::default(), Some(Stroke::new(1.4, Role::Ink)));
}

/// Names each regime at the cell of it with the most room, clear of the present point and its arrows.
fn names(page: &mut DisplayList, map: &RegimeMap, report: &FoamReport, frame: Frame) {
    let set = &report.subject.station.settings;
    let here = at(frame, set.liquid_pressure_pa, set.air_pressure_pa);
    let (columns, rows) = (map.liquid_pa.len(), map.air_pa.len());
    for regime in Regime::ALL {
        let cells = map.cells.iter().filter(|cell| cell.regime == regime).count();
        if cells < NAMED_CELLS {
            continue;
        }
        // Upright where the area is too narrow for a level name.
        let label = |i: usize, j: usize, turned: bool| {
            let text = Text::new(at(frame, map.liquid_pa[i], map.air_pa[j]), 15.0, Role::Ink, regime.name())
                .bold()
                .anchored(Anchor::Middle, Baseline::Middle)
                .with_halo(Role::Paper);
            if turned { text.rotated(-std::f64::consts::FRAC_PI_2) } else { text }
        };
        let mut best: Option<(f64, Text)> = None;
        for (turned, j) in [false, true].into_iter().flat_map(|turned| (0..rows).map(move |j| (turned, j))) {
            if turned && best.as_ref().is_some_and(|(room, _)| *room >= 2.0) {
                break;
            }
            for i in 0..columns {
                if map.cell(i, j).is_none_or(|cell| cell.regime != regime) {
                    continue;
                }
                let room = room(map, i, j, regime, turned);
                if best.as_ref().is_some_and(|(most, _)| room <= *most) {
                    continue;
                }
                let text = label(i, j, turned);
                let bounds = text.bounds().inset(-6.0);
                // The arrows run level and upright through the point.
                let clear = here.x < bounds.x || here.x > bounds.right() || regime > Regime::Dry;
                let clear = clear && (here.y < bounds.y || here.y > bounds.bottom());
                let inside = bounds.x >= frame.plot.x && bounds.right() <= frame.plot.right();
                if clear && inside && bounds.y >= frame.plot.y && bounds.bottom() <= frame.plot.bottom() {
                    best = Some((room, text));
                }
            }
        }
        if let Some((_, text)) = best {
            page.push(text);
        }
    }
}

/// Room for a name at a cell: cells to the nearest other regime or edge, those along the name counted less because names are
/// longer than high.
fn room(map: &RegimeMap, i: usize, j: usize, regime: Regime, turned: bool) -> f64 {
    let (columns, rows) = (map.liquid_pa.len(), map.air_pa.len());
    let run = |steps: &mut dyn Iterator<Item = (usize, usize)>| {
        steps.take_while(|&(i, j)| map.cell(i, j).is_some_and(|cell| cell.regime == regime)).count() as f64
    };
    let left = run(&mut (0..i).rev().map(|i| (i, j)));
    let right = run(&mut (i + 1..columns).map(|i| (i, j)));
    let down = run(&mut (0..j).rev().map(|j| (i, j)));
    let up = run(&mut (j + 1..rows).map(|j| (i, j)));
    let (along, across) =
        if turned { (down.min(up), left.min(right)) } else { (left.min(right), down.min(up)) };
    (0.4 * along).min(across)
}

/// The present point, with arrows to the boundaries that the two regulators can reach on the map.
fn present(page: &mut DisplayList, report: &FoamReport, say: Say, frame: Frame) {
    let set = &report.subject.station.settings;
    let here = at(frame, set.liquid_pressure_pa, set.air_pressure_pa);
    for margin in &report.margins {
        if margin.neighbour.is_none() || margin.boundary > frame.top_pa {
            continue;
        }
        let (to, anchor, baseline, shift) = match margin.knob {
            Knob::LiquidPressure => {
                let to = at(frame, margin.boundary, set.air_pressure_pa);
                (to, Anchor::Middle, Baseline::Bottom, pos(0.0, -7.0))
            }
            Knob::AirPressure => {
                let to = at(frame, set.liquid_pressure_pa, margin.boundary);
                (to, Anchor::Start, Baseline::Middle, pos(8.0, 0.0))
            }
            Knob::Needle => continue,
        };
        if here.distance(to) < 12.0 {
            continue;
        }
        page.arrow(here, to, Stroke::new(2.0, Role::Highlight));
        let middle = here.towards(to, 0.62).shifted(shift.x, shift.y);
        page.push(
            Text::new(middle, 12.0, Role::Highlight, say.knob_change(margin.knob, margin.change))
                .bold()
                .anchored(anchor, baseline)
                .with_halo(Role::Paper),
        );
    }
    page.circle(here, 7.0, Fill::solid(Role::Paper), Some(Stroke::new(2.5, Role::Highlight)));
    page.mark(here, Marker::Plus, 9.0, Role::Highlight).key = Some("present".to_owned());
}

/// The key on the right: each regime on the map with its hatch, contours, the present point in words and its margins.
fn key(page: &mut DisplayList, report: &FoamReport, map: &RegimeMap, say: Say, frame: Frame) {
    let (x, mut y) = (frame.plot.right() + 24.0, frame.plot.y);
    let heading = |page: &mut DisplayList, y: f64, text: &str| {
        page.push(Text::new(pos(x, y), 13.0, Role::Ink, text).bold().anchored(Anchor::Start, Baseline::Top));
    };
    let line = |page: &mut DisplayList, y: f64, text: String, paint: Paint| {
        let text = crate::drawing::text_width::ellipsize(
            &text,
            12.0,
            crate::drawing::Weight::Regular,
            page.width - x - 10.0,
        );
        page.push(Text::new(pos(x, y), 12.0, paint, text).anchored(Anchor::Start, Baseline::Top));
    };
    heading(page, y, "What leaves the outlets");
    y += 22.0;
    for regime in Regime::ALL {
        // A corner of the map too small to see needs no line in the key.
        if map.cells.iter().filter(|cell| cell.regime == regime).count() < KEY_CELLS {
            continue;
        }
        page.rect(Rect::new(x, y, 30.0, 18.0), fill(regime), Some(Stroke::new(1.0, Role::Machine)));
        page.push(
            Text::new(pos(x + 40.0, y + 9.0), 12.0, Role::Ink, regime.name())
                .anchored(Anchor::Start, Baseline::Middle),
        );
        y += 24.0;
    }
    page.line(pos(x, y + 9.0), pos(x + 30.0, y + 9.0), Stroke::new(1.1, Role::Ink.faint(0.8)));
    page.push(
        Text::new(pos(x + 40.0, y + 9.0), 12.0, Role::Ink, "expansion ratio")
            .anchored(Anchor::Start, Baseline::Middle),
    );
    y += 34.0;
    let (set, b) = (&report.subject.station.settings, &report.result.balance);
    page.circle(
        pos(x + 7.0, y + 7.0),
        6.0,
        Fill::solid(Role::Paper),
        Some(Stroke::new(2.5, Role::Highlight)),
    );
    page.push(
        Text::new(pos(x + 22.0, y), 13.0, Role::Ink, "Now").bold().anchored(Anchor::Start, Baseline::Top),
    );
    y += 22.0;
    let ink = Paint::from(Role::Ink);
    let mut said = vec![
        format!("liquid {}, air {}", say.pressure(set.liquid_pressure_pa), say.pressure(set.air_pressure_pa)),
        format!("tee {}, {}", say.pressure(b.tee_pa), b.regime.name()),
    ];
    if let Some(e) = b.expansion_ratio {
        said.push(format!("expansion {e:.1}:1"));
    }
    for text in said {
        line(page, y, text, ink);
        y += 18.0;
    }
    y += 12.0;
    heading(page, y, "To the next regime");
    y += 22.0;
    for margin in &report.margins {
        let Some(neighbour) = margin.neighbour else { continue };
        let text = format!(
            "{} {}: {}",
            super::text::knob_name(margin.knob),
            say.knob_change(margin.knob, margin.change),
            neighbour.name()
        );
        line(page, y, text, ink);
        y += 18.0;
    }
    y += 12.0;
    page.line(pos(x, y), pos(page.width - 14.0, y), Stroke::new(1.0, Role::Grid).dashed(Dash::Solid));
    y += 8.0;
    for text in ["Boundaries of wet, good and dry", "are engineering estimates."] {
        line(page, y, text.to_owned(), Role::Muted.into());
        y += 16.0;
    }
}

#[cfg(test)]
mod tests;
