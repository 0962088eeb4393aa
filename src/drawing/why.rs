//! Why a brush does what it does: one sentence, and its torque budget as signed bars.

use super::chart::{Axis, BarGroup, BarRow, Bars, Sheet};
use super::list::{Anchor, Baseline, DisplayList, MIN_TEXT_SIZE, Text, Weight, pos};
use super::palette::Role;
use super::series_style::SeriesStyle;
use super::text_width::{ellipsize, wrap};
use super::words::in_label_unit;
use crate::arm::Side;
use crate::coverage::Explanation;
use crate::units::{Dimension, TorqueDim, UnitSystem, unit_label};

/// Torques smaller than this at the instant are left out of the bars, N m; the sum always counts them.
const SHOWN_N_M: f64 = 0.05;
/// Free edge, page units.
const EDGE: f64 = 12.0;

/// How the picture is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct WhyOptions {
    /// Width, page units.
    pub width: f64,
    /// Height, page units.
    pub height: f64,
    /// Units of every number.
    pub units: UnitSystem,
    /// Size of labels, page units; at least [`MIN_TEXT_SIZE`].
    pub text_size: f64,
    /// Full scale of the bars, N m, so that they do not jump while scrubbing; `None` = what the instant needs.
    pub full_scale_n_m: Option<f64>,
}

impl WhyOptions {
    /// A picture of this size.
    pub const fn new(width: f64, height: f64, units: UnitSystem) -> WhyOptions {
        WhyOptions { width, height, units, text_size: 12.0, full_scale_n_m: None }
    }
}

/// Draws the sentence and the bars of one unit.
pub fn why_picture(explanation: &Explanation, options: &WhyOptions) -> DisplayList {
    let size = options.text_size.max(MIN_TEXT_SIZE);
    let sentence = crate::sentences::why(explanation, options.units);
    let mut list = DisplayList::new(options.width, options.height);
    list.title = format!("Why: {} brush, {}", explanation.side.name(), explanation.phase.name());
    list.description = sentence.clone();
    let room = options.width - 2.0 * EDGE;
    let role = if explanation.side == Side::Left { Role::LeftUnit } else { Role::RightUnit };
    let mut y = EDGE;
    let heading = format!("{} brush: {}", explanation.side.name(), explanation.phase.name());
    let shown = ellipsize(&heading, 1.1 * size, Weight::Bold, room);
    list.push(Text::new(pos(EDGE, y), 1.1 * size, role, shown).bold().anchored(Anchor::Start, Baseline::Top));
    y += 1.7 * size;
    for line in wrap(&sentence, size, Weight::Regular, room) {
        let text = Text::new(pos(EDGE, y), size, Role::Ink, line);
        list.push(text.anchored(Anchor::Start, Baseline::Top));
        y += 1.4 * size;
    }
    let height = (options.height - y).max(60.0);
    let bars = bars(explanation, options, size, height).draw();
    list.place(&bars.list, pos(0.0, y));
    list
}

fn bars(explanation: &Explanation, options: &WhyOptions, size: f64, height: f64) -> Bars {
    let show = |torque_n_m: f64| in_label_unit(TorqueDim::INFO, torque_n_m, options.units);
    let budget = &explanation.instant.budget;
    let mut rows: Vec<BarRow> = budget
        .causes()
        .into_iter()
        .filter(|(_, torque)| torque.abs() >= SHOWN_N_M)
        .map(|(name, torque)| BarRow::one(name, show(torque)))
        .collect();
    rows.push(BarRow::one("sum", show(budget.total_n_m())).as_total());
    let mut axis = Axis::new("torque on the arm", unit_label(TorqueDim::INFO, options.units));
    if let Some(full) = options.full_scale_n_m {
        axis = axis.over(-show(full), show(full));
    }
    Bars {
        sheet: Sheet::new("", options.width, height).with_text_size(size),
        axis,
        directions: ["inward".to_owned(), "outward".to_owned()],
        groups: vec![BarGroup {
            name: "torque".to_owned(),
            style: SeriesStyle { role: Role::Machine, ..SeriesStyle::nth(0) },
        }],
        rows,
        decimals: 1,
    }
}
