//! Time series of a pass as stacked strips under one clock, with the wrap-around events as named marks.
//!
//! Several set-ups share the clock; with the vehicle position as clock they line up whatever their conveyor speeds. The chart's plots come
//! in the order of [`StripOptions::quantities`], so that a click or a drag in any strip can be turned back into a time with
//! [`time_at`].

use super::chart::{Axis, Chart, Event, Series as Line, Sheet, Strip, Strips};
use super::list::{MIN_TEXT_SIZE, Pos};
use super::palette::Role;
use super::series_style::SeriesStyle;
use super::words::to_label_unit;
use crate::arm::Side;
use crate::coverage::Outcome;
use crate::pass::{Clock, Series, UnitInstant};
use crate::units::{
    AngleDim, Dimension, DimensionInfo, ForceDim, LengthDim, PowerDim, PressureDim, TorqueDim, UnitSystem,
    unit_label,
};

/// What a strip shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StripQuantity {
    /// Swing angle of both units.
    Swing,
    /// Torques on one arm by cause, positive outward.
    Torque,
    /// How hard the strips press on vehicles.
    Contact,
    /// Gauge pressures of the cylinder chambers of one unit.
    Pressure,
    /// Power of the spindle motors.
    Spindle,
    /// Force of the bumper stops.
    Stop,
}

impl StripQuantity {
    /// All, from the top.
    pub const ALL: [StripQuantity; 6] = [
        StripQuantity::Swing,
        StripQuantity::Torque,
        StripQuantity::Contact,
        StripQuantity::Pressure,
        StripQuantity::Spindle,
        StripQuantity::Stop,
    ];

    fn axis(self, system: UnitSystem, detail: Side) -> Axis {
        let side = detail.name();
        let (name, info): (String, &DimensionInfo) = match self {
            StripQuantity::Swing => ("swing angle".to_owned(), AngleDim::INFO),
            StripQuantity::Torque => (format!("torque on the {side} arm, outward up"), TorqueDim::INFO),
            StripQuantity::Contact => ("press of the strips".to_owned(), ForceDim::INFO),
            StripQuantity::Pressure => (format!("{side} chamber pressure, gauge"), PressureDim::INFO),
            StripQuantity::Spindle => ("spindle power".to_owned(), PowerDim::INFO),
            StripQuantity::Stop => ("bumper force".to_owned(), ForceDim::INFO),
        };
        Axis::new(name, unit_label(info, system))
    }
}

/// One solved set-up over the clock.
#[derive(Debug, Clone, Copy)]
pub struct StripScene<'a> {
    /// Samples of its pass.
    pub series: &'a Series,
    /// What it came to: its events are marked.
    pub outcome: &'a Outcome,
    /// Its conveyor speed, m/s.
    pub conveyor_speed_m_s: f64,
}

/// A pinned set-up: swing, press and bumper force are laid over those of the current one.
#[derive(Debug, Clone, Copy)]
pub struct PinnedSeries<'a> {
    /// What it is called: «A».
    pub name: &'a str,
    /// Its colour and dashes.
    pub role: Role,
    /// Samples of its pass.
    pub series: &'a Series,
    /// Its conveyor speed, m/s.
    pub conveyor_speed_m_s: f64,
}

/// How the strips are drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct StripOptions {
    /// Width, page units.
    pub width: f64,
    /// Height, page units.
    pub height: f64,
    /// Units of every number.
    pub units: UnitSystem,
    /// Size of labels, page units; at least [`MIN_TEXT_SIZE`].
    pub text_size: f64,
    /// The shared clock.
    pub clock: Clock,
    /// Strips from the top.
    pub quantities: Vec<StripQuantity>,
    /// The unit whose torques, chamber pressures and events are shown.
    pub detail: Side,
    /// Time under the cursor, s.
    pub cursor_s: Option<f64>,
    /// Stretch of time shown, s; `None` = the whole pass.
    pub span_s: Option<[f64; 2]>,
    /// Names of the events over the strips; without, only their lines.
    pub event_names: bool,
}

impl StripOptions {
    /// All strips over time, details of the left unit.
    pub fn new(width: f64, height: f64, units: UnitSystem) -> StripOptions {
        StripOptions {
            width,
            height,
            units,
            text_size: 12.0,
            clock: Clock::Time,
            quantities: StripQuantity::ALL.to_vec(),
            detail: Side::Left,
            cursor_s: None,
            span_s: None,
            event_names: true,
        }
    }

    /// Reading of the clock in the unit of its axis.
    fn reading(&self, t_s: f64, speed_m_s: f64) -> f64 {
        let reading = self.clock.reading(t_s, speed_m_s);
        match self.clock {
            Clock::Time => reading,
            Clock::VehiclePosition => reading / position_unit(self.units).1,
        }
    }
}

/// Feet or metres: the unit of the position clock and its size, m.
const fn position_unit(system: UnitSystem) -> (&'static str, f64) {
    match system {
        UnitSystem::Us => ("ft", 0.3048),
        UnitSystem::Si => ("m", 1.0),
    }
}

/// A cause of torque is shown when it ever exceeds this share of the largest.
const SHOWN_SHARE: f64 = 0.02;

/// Draws the strips.
pub fn pass_strips(scene: &StripScene<'_>, pinned: &[PinnedSeries<'_>], options: &StripOptions) -> Chart {
    let strips = options
        .quantities
        .iter()
        .map(|quantity| {
            let mut strip = Strip::new(
                quantity.axis(options.units, options.detail),
                lines(scene, pinned, options, *quantity),
            );
            strip.weight = match quantity {
                StripQuantity::Torque => 2.0,
                StripQuantity::Swing => 1.3,
                _ => 1.0,
            };
            strip
        })
        .collect();
    let (unit, name) = match options.clock {
        Clock::Time => ("s", "time"),
        Clock::VehiclePosition => (position_unit(options.units).0, "vehicle position (nose)"),
    };
    let speed = scene.conveyor_speed_m_s;
    let whole = scene.series.time_s.first().copied().zip(scene.series.time_s.last().copied());
    let [from, to] = options.span_s.unwrap_or(whole.map_or([0.0, 1.0], |(a, b)| [a, b]));
    let (low, high) = (options.reading(from, speed), options.reading(to, speed));
    let mut sheet =
        Sheet::new("", options.width, options.height).with_text_size(options.text_size.max(MIN_TEXT_SIZE));
    sheet.description = format!(
        "Time series of the pass under one clock; torques, chamber pressures and events of the {} unit.",
        options.detail.name()
    );
    let mut chart = Strips::new(sheet, Axis::new(name, unit).over(low, high), strips);
    for unit in scene.outcome.units.iter().filter(|u| u.side == options.detail) {
        for event in &unit.events {
            let at = options.reading(event.time_s, speed);
            if at >= low && at <= high {
                let key = Some(format!("event:{}:{}", unit.side.name(), event.name.name()));
                let name = event.name.name().to_owned();
                chart.events.push(Event { at, name, key });
            }
        }
    }
    chart.event_names = options.event_names;
    chart.cursor = options.cursor_s.map(|t| options.reading(t, speed));
    chart.draw()
}

/// The time under a page position in any of the strips, s; `None` outside them.
pub fn time_at(chart: &Chart, scene: &StripScene<'_>, options: &StripOptions, at: Pos) -> Option<f64> {
    let plot = chart.plots.iter().find(|plot| plot.area.contains(at))?;
    let value = plot.x.value_within(at.x);
    let reading = match options.clock {
        Clock::Time => value,
        Clock::VehiclePosition => value * position_unit(options.units).1,
    };
    Some(options.clock.time_s(reading, scene.conveyor_speed_m_s))
}

fn unit_style(side: Side) -> SeriesStyle {
    match side {
        Side::Left => Role::LeftUnit.style(),
        Side::Right => Role::RightUnit.style(),
    }
}

fn lines(
    scene: &StripScene<'_>,
    pinned: &[PinnedSeries<'_>],
    options: &StripOptions,
    quantity: StripQuantity,
) -> Vec<Line> {
    let shown = |info: &DimensionInfo| to_label_unit(info, options.units);
    let of = |series: &Series, speed: f64, side: Side, value: &dyn Fn(&UnitInstant) -> Option<f64>| {
        let unit = series.units.iter().find(|u| u.side == side)?;
        Some(
            unit.samples
                .iter()
                .zip(&series.time_s)
                // After its own run a unit has no values: the line ends.
                .map(|(sample, t)| {
                    let shown = if sample.ended { None } else { value(sample) };
                    [options.reading(*t, speed), shown.unwrap_or(f64::NAN)]
                })
                .collect::<Vec<_>>(),
        )
    };
    let both = |value: &dyn Fn(&UnitInstant) -> Option<f64>| {
        let mut found = Vec::new();
        for pin in pinned {
            for side in Side::BOTH {
                if let Some(points) = of(pin.series, pin.conveyor_speed_m_s, side, value) {
                    let name = format!("{} {}", pin.name, side.name());
                    let mut style = pin.role.style();
                    style.marker = unit_style(side).marker;
                    found.push(Line::new(name, style, points));
                }
            }
        }
        for side in Side::BOTH {
            if let Some(points) = of(scene.series, scene.conveyor_speed_m_s, side, value) {
                found.push(Line::new(format!("{} unit", side.name()), unit_style(side), points));
            }
        }
        found
    };
    let both_in = |info: &DimensionInfo, pick: fn(&UnitInstant) -> f64| {
        let show = shown(info);
        both(&|s| Some(show(pick(s))))
    };
    match quantity {
        StripQuantity::Swing => both_in(AngleDim::INFO, |s| s.phi_rad),
        StripQuantity::Contact => both_in(ForceDim::INFO, |s| s.press_force_n),
        StripQuantity::Spindle => both_in(PowerDim::INFO, |s| s.spindle_power_w),
        StripQuantity::Stop => both_in(ForceDim::INFO, |s| s.inboard_stop_n),
        StripQuantity::Pressure => {
            let chambers: [(&str, Chamber); 2] =
                [("cap end", |s| s.cap_gauge_pa), ("rod end", |s| s.rod_gauge_pa)];
            let show = shown(PressureDim::INFO);
            chambers
                .into_iter()
                .filter_map(|(name, pick)| {
                    let value = move |s: &UnitInstant| pick(s).map(show);
                    let points = of(scene.series, scene.conveyor_speed_m_s, options.detail, &value)?;
                    points
                        .iter()
                        .any(|p| p[1].is_finite())
                        .then(|| Line::new(name, SeriesStyle::of_name(name), points))
                })
                .collect()
        }
        StripQuantity::Torque => torque_lines(scene, options, &of, &shown(TorqueDim::INFO)),
    }
}

type Chamber = fn(&UnitInstant) -> Option<f64>;
type Sampled<'a> =
    dyn Fn(&Series, f64, Side, &dyn Fn(&UnitInstant) -> Option<f64>) -> Option<Vec<[f64; 2]>> + 'a;

fn torque_lines(
    scene: &StripScene<'_>,
    options: &StripOptions,
    of: &Sampled<'_>,
    show: &dyn Fn(f64) -> f64,
) -> Vec<Line> {
    let Some(unit) = scene.series.units.iter().find(|u| u.side == options.detail) else { return Vec::new() };
    let Some(first) = unit.samples.first() else { return Vec::new() };
    let mut most = first.budget.causes().map(|_| 0.0_f64);
    for sample in &unit.samples {
        for (most, (_, torque)) in most.iter_mut().zip(sample.budget.causes()) {
            *most = most.max(torque.abs());
        }
    }
    let largest = most.iter().copied().fold(0.0, f64::max);
    let mut found = Vec::new();
    for (cause, (name, _)) in first.budget.causes().iter().enumerate() {
        let torque = move |s: &UnitInstant| s.budget.causes()[cause].1;
        if most[cause] <= SHOWN_SHARE * largest {
            continue;
        }
        let value = move |s: &UnitInstant| Some(show(torque(s)));
        if let Some(points) = of(scene.series, scene.conveyor_speed_m_s, options.detail, &value) {
            found.push(Line::new(*name, SeriesStyle::of_name(name), points));
        }
    }
    found
}

/// The position clock in words, for a label of the cursor: «24 ft 3.4 in».
pub fn position_text(position_m: f64, system: UnitSystem) -> String {
    crate::units::format(LengthDim::INFO, position_m, system)
}
