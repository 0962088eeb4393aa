//! Which part of the ground a picture shows.

use crate::arm::{Side, UnitModel};
use crate::drawing::frame::{Frame, Travel};
use crate::drawing::list::Rect;
use crate::geometry::Vec2;
use crate::pass::{PassSetup, Record};

/// A good default view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum View {
    /// Both units with their whole swing.
    #[default]
    Whole,
    /// The measured vehicle, wherever it is, with what of the units is near.
    Vehicle,
    /// One brush and the bodywork near it.
    Brush(Side),
}

/// The frame that shows `view` at time `t_s` in `page`.
pub fn fit_frame(
    view: View,
    setup: &PassSetup,
    record: &Record,
    t_s: f64,
    page: Rect,
    travel: Travel,
) -> Frame {
    let [low, high] = ground_box(view, setup, record, t_s);
    Frame::fit(low, high, page.inset(12.0), travel)
}

/// Lowest and highest corner of the ground that `view` shows at time `t_s`, m.
pub fn ground_box(view: View, setup: &PassSetup, record: &Record, t_s: f64) -> [[f64; 2]; 2] {
    let (low, high) = match view {
        View::Whole => whole(setup),
        View::Vehicle => vehicle(setup, t_s),
        View::Brush(side) => brush(setup, record, side, t_s),
    };
    [[low.x, low.y], [high.x, high.y]]
}

/// Half the width of the ground that any view of the lane shows, m: out to what is fixed beside the lane, with room for its labels.
pub(super) fn half_width_m(setup: &PassSetup) -> f64 {
    let far = setup.units.iter().flat_map(|u| anchors(u).into_iter().map(|a| u.pivot_m.y + a.y));
    far.fold(0.9, f64::max) + 0.3
}

/// Pivot and frame anchors of a unit, from the pivot, unit frame, m.
fn anchors(unit: &UnitModel) -> Vec<Vec2> {
    let mut found = vec![Vec2::new(0.0, 0.2)];
    found.extend(unit.counterweight.iter().map(|c| c.strut.frame_anchor_m));
    found.extend(unit.cylinder.iter().map(|c| c.strut.frame_anchor_m));
    found.extend(unit.dampers.iter().map(|d| d.strut.frame_anchor_m));
    found
}

fn whole(setup: &PassSetup) -> (Vec2, Vec2) {
    let near = setup.units.iter().flat_map(|u| anchors(u).into_iter().map(|a| u.pivot_m.x + a.x));
    let first = near.fold(f64::INFINITY, f64::min);
    let last = setup
        .units
        .iter()
        .map(|u| u.pivot_m.x + u.body.length_m + u.brush.radius_m)
        .fold(f64::NEG_INFINITY, f64::max);
    let half = half_width_m(setup);
    (Vec2::new(first - 0.7, -half), Vec2::new(last + 0.6, half))
}

fn vehicle(setup: &PassSetup, t_s: f64) -> (Vec2, Vec2) {
    let measured = &setup.train[setup.measured];
    let nose = setup.conveyor_speed_m_s * (t_s - setup.nose_at_zero_s(setup.measured));
    let half = half_width_m(setup);
    (Vec2::new(nose - measured.shape.real.length_m - 1.0, -half), Vec2::new(nose + 1.0, half))
}

fn brush(setup: &PassSetup, record: &Record, side: Side, t_s: f64) -> (Vec2, Vec2) {
    let Some(unit) = setup.units.iter().position(|u| u.side == side) else { return whole(setup) };
    let model = &setup.units[unit];
    let c = model.brush_center_m(record.units[unit].state_at(t_s).phi_rad());
    let (x, y) = (c.x, side.y_sign() * c.y);
    let reach = 2.0 * model.brush.radius_m;
    (Vec2::new(x - reach, y - reach), Vec2::new(x + reach, y + reach))
}
