//! Set-ups one above the other: the swing of every one over the same clock, each at its key instant at the tail, each unrolled.

use crate::arm::Side;
use crate::coverage::Solved;
use crate::drawing::chart::{Axis, LineChart, Series, Sheet};
use crate::drawing::frame::Travel;
use crate::drawing::palette::Role;
use crate::drawing::plan_view::{
    PlanOptions, PlanScene, PlanShow, View, fit_frame, plan_view, pressure_scale_pa,
};
use crate::drawing::series_style::SeriesStyle;
use crate::drawing::unrolled::{MapQuantity, UnrolledOptions, unrolled_map};
use crate::drawing::{Anchor, Baseline, DisplayList, Text, pos};
use crate::pass::series::series;
use crate::units::UnitSystem;

/// One solved set-up.
#[derive(Debug, Clone, Copy)]
pub struct PicturedSetup<'a> {
    /// Its name.
    pub name: &'a str,
    /// The solved set-up.
    pub solved: &'a Solved,
}

const WIDTH: f64 = 1280.0;
const CHART: f64 = 300.0;
const PLAN: f64 = 340.0;
const MAP: f64 = 240.0;
const LINE: f64 = 24.0;

/// Draws the page.
pub fn compare_picture(setups: &[PicturedSetup<'_>], title: &str, units: UnitSystem) -> DisplayList {
    let mut page = DisplayList::new(WIDTH, 0.0);
    page.title = title.to_owned();
    page.description = format!(
        "{}: swing of the arms over the position of the vehicle, the brushes at the tail, and the unrolled coverage of {} set-ups, one above the other.",
        title,
        setups.len()
    );
    let mut y = 8.0;
    heading(&mut page, &mut y, title);
    let columns = 2.0;
    for (i, side) in Side::BOTH.into_iter().enumerate() {
        if let Some(chart) = swing(setups, side, units, WIDTH / columns) {
            page.place(&chart, pos(i as f64 * WIDTH / columns, y));
        }
    }
    y += CHART;
    heading(&mut page, &mut y, "At the tail");
    for setup in setups {
        let t_s = setup.solved.key_instant_s();
        heading(&mut page, &mut y, &format!("{}, at {t_s:.1} s", setup.name));
        let scene = PlanScene { solved: setup.solved, t_s };
        let mut options = PlanOptions::new(WIDTH, PLAN, units);
        options.show =
            PlanShow { missed_in_the_end: true, labels: false, struts: false, ..PlanShow::default() };
        options.room_for_ghosts = 0;
        let scales = setups.iter().map(|s| pressure_scale_pa(&s.solved.outcome));
        options.pressure_scale_pa = Some(scales.fold(0.0, f64::max));
        let ground = options.ground_area();
        options.frame = Some(fit_frame(
            View::Whole,
            &setup.solved.setup,
            &setup.solved.record,
            t_s,
            ground,
            Travel::default(),
        ));
        page.place(&plan_view(&scene, &[], &options), pos(0.0, y));
        y += PLAN;
    }
    heading(&mut page, &mut y, "Unrolled");
    // One scale for all, so that the maps can be compared.
    let map = |setup: &PicturedSetup<'_>, full_scale: Option<f64>| {
        let mut options = UnrolledOptions::new(WIDTH, MAP, units);
        options.quantity = MapQuantity::Wipes;
        options.cursor = false;
        options.full_scale = full_scale;
        unrolled_map(&PlanScene { solved: setup.solved, t_s: setup.solved.record.start_s }, &options)
    };
    let full = setups.iter().map(|setup| map(setup, None).full_scale).fold(0.0, f64::max);
    for setup in setups {
        heading(&mut page, &mut y, setup.name);
        page.place(&map(setup, (full > 0.0).then_some(full)).list, pos(0.0, y));
        y += MAP;
    }
    page.height = y + 8.0;
    page
}

fn heading(page: &mut DisplayList, y: &mut f64, text: &str) {
    let item = Text::new(pos(12.0, *y), 15.0, Role::Ink, text.to_owned()).bold();
    page.push(item.anchored(Anchor::Start, Baseline::Top));
    *y += LINE;
}

/// Swing angle of one unit of every set-up over the position of the vehicle.
fn swing(setups: &[PicturedSetup<'_>], side: Side, units: UnitSystem, width: f64) -> Option<DisplayList> {
    let (unit, size_m) = match units {
        UnitSystem::Us => ("ft", 0.3048),
        UnitSystem::Si => ("m", 1.0),
    };
    let sheet = Sheet::new(format!("Swing of the {} arm", side.name()), width, CHART).described(format!(
        "Swing angle of the {} arm over the position of the nose, a line for each set-up.",
        side.name()
    ));
    let mut chart =
        LineChart::new(sheet, Axis::new("position of the nose", unit), Axis::new("swing angle", "°"));
    for (i, setup) in setups.iter().enumerate() {
        // A sample every two centimetres of travel.
        let step_s = 0.02 / setup.solved.setup.conveyor_speed_m_s;
        let samples = series(&setup.solved.setup, &setup.solved.record, step_s);
        let Some(of_side) = samples.units.iter().find(|u| u.side == side) else { continue };
        let points = samples
            .vehicle_position_m
            .iter()
            .zip(&of_side.samples)
            .filter(|(_, s)| !s.ended)
            .map(|(x, s)| [x / size_m, s.phi_rad.to_degrees()]);
        chart.series.push(Series::new(setup.name, SeriesStyle::nth(i), points.collect()));
    }
    (!chart.series.is_empty()).then(|| chart.draw().list)
}
