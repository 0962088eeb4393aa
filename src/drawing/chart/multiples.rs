//! Small multiples: many small charts of one kind on one sheet, over the same axes so that they can be compared.

use super::line::LineChart;
use super::{Chart, MARGIN, Sheet};
use crate::drawing::list::{Pos, pos};

/// Sets one range on both axes of all charts, so that they can be compared at a glance.
pub fn shared_range(charts: &mut [LineChart]) {
    let x = charts.first().map(|first| first.x.settled(charts.iter().flat_map(LineChart::x_values), 5));
    let y = charts.first().map(|first| first.y.settled(charts.iter().flat_map(LineChart::y_values), 5));
    for chart in charts {
        (chart.x.range, chart.y.range) = (x, y);
    }
}

/// The size that each of `count` pictures gets on a sheet with this many columns.
fn cell_size(sheet: &Sheet, count: usize, columns: usize) -> (f64, f64) {
    let columns = columns.max(1);
    let rows = count.div_ceil(columns).max(1);
    let (_, top) = sheet.open();
    let width = (sheet.width - 2.0 * MARGIN) / columns as f64;
    let height = (sheet.height - top - MARGIN) / rows as f64;
    (width.max(1.0), height.max(1.0))
}

/// Puts charts on one sheet, row by row. Each `draw` gets the size of its place and draws itself to it.
///
/// The plots of all charts come back in order, moved to their places.
pub fn small_multiples(sheet: &Sheet, columns: usize, charts: &[&dyn Fn(f64, f64) -> Chart]) -> Chart {
    let (mut list, top) = sheet.open();
    let (width, height) = cell_size(sheet, charts.len(), columns);
    let mut plots = Vec::new();
    for (index, draw) in charts.iter().enumerate() {
        let chart = draw(width, height);
        let place: Pos = pos(
            MARGIN + width * (index % columns.max(1)) as f64,
            top + height * (index / columns.max(1)) as f64,
        );
        list.place(&chart.list, place);
        plots.extend(chart.plots.into_iter().map(|mut plot| {
            (plot.area.x, plot.area.y) = (plot.area.x + place.x, plot.area.y + place.y);
            for (scale, shift) in [(&mut plot.x, place.x), (&mut plot.y, place.y)] {
                (scale.from, scale.to) = (scale.from + shift, scale.to + shift);
            }
            plot
        }));
    }
    Chart { list, plots }
}
