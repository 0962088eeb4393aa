//! The resolved machine as a person reads it: every number the model is computed from, side by side for the units.
//!
//! Six significant digits, in SI unless US units are asked for: enough to build the same model from the page.

use super::document::{Cell, IntoCell, Rows};
use super::machine_document::*;
use super::table::TextTable;
use super::words::{NONE, capital, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::elementary::Elementary;
use crate::units::*;

/// Significant digits printed.
const DIGITS: i32 = 6;

/// A number with six significant digits and no trailing zeros.
fn significant(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { NONE.to_owned() };
    }
    let exponent = value.abs().log_10().floor() as i32;
    if !(-5..9).contains(&exponent) {
        let text = format!("{value:.*e}", (DIGITS - 1) as usize);
        return match text.split_once('e') {
            Some((digits, power)) => format!("{}e{power}", trimmed(digits)),
            None => text,
        };
    }
    let decimals = (DIGITS - 1 - exponent).clamp(0, 12) as usize;
    trimmed(&format!("{value:.decimals$}")).to_owned()
}

/// Without zeros at the end of the decimals.
fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

/// A coordinate in m or in: to a micrometre or a ten-thousandth of an inch, without a minus before nothing.
fn coordinate(m: f64, system: UnitSystem) -> String {
    let decimals = match system {
        UnitSystem::Si => 6,
        UnitSystem::Us => 4,
    };
    let text = format!("{:.decimals$}", in_system(LengthDim::INFO, m, system).0);
    match trimmed(&text) {
        "-0" => "0".to_owned(),
        text => text.to_owned(),
    }
}

/// The unit a dimension is printed in, and a value in it.
fn in_system(info: &'static DimensionInfo, si: f64, units: UnitSystem) -> (f64, &'static str) {
    let symbol = match units {
        UnitSystem::Si => info.si_unit,
        UnitSystem::Us => info.us.unit,
    };
    match info.unit(symbol) {
        Some(unit) => {
            let pi = std::f64::consts::PI.powi(i32::from(unit.pi_power));
            ((si - unit.shift.to_f64()) / (unit.factor.to_f64() * pi), unit.symbol)
        }
        None => (si, info.si_unit),
    }
}

/// Rows of one section: label and one cell for each unit.
struct Section<'a> {
    units: &'a [UnitMachineDocument],
    system: UnitSystem,
    table: TextTable,
}

impl<'a> Section<'a> {
    fn new(title: &str, units: &'a [UnitMachineDocument], system: UnitSystem) -> Self {
        let mut headings = vec![title.to_owned()];
        headings.extend(units.iter().map(|u| format!(">{}", capital(&u.side))));
        headings.push("Unit".to_owned());
        Section { units, system, table: TextTable::new(&headings) }
    }

    fn row(&mut self, label: &str, cell: impl Fn(&UnitMachineDocument) -> Cell) {
        self.push(label, self.units.iter().map(cell).collect());
    }

    fn push(&mut self, label: &str, cells: Vec<Cell>) {
        if cells.iter().all(|cell| matches!(cell, Cell::Missing)) {
            return;
        }
        let mut unit_text = "";
        let mut texts = vec![label.to_owned()];
        texts.extend(cells.into_iter().map(|cell| match cell {
            Cell::Number(info, si) => {
                let (value, symbol) = in_system(info, si, self.system);
                unit_text = symbol;
                significant(value)
            }
            Cell::Plain(value) => significant(value),
            Cell::Text(text) => text,
            Cell::Missing => NONE.to_owned(),
        }));
        texts.push(unit_text.to_owned());
        self.table.row(&texts);
    }

    /// All rows of a part; `before` stands before each label.
    fn part<T: Rows>(&mut self, before: &str, part: impl Fn(&UnitMachineDocument) -> Option<&T>) {
        let mut sides: Vec<_> = self.units.iter().map(|unit| T::rows(part(unit)).into_iter()).collect();
        for (label, _) in T::rows(None) {
            let cells = sides.iter_mut().filter_map(|side| side.next()).map(|(_, cell)| cell).collect();
            self.push(&format!("{before}{label}"), cells);
        }
    }

    fn done(self, out: &mut String) {
        if self.units.is_empty() {
            return;
        }
        out.push('\n');
        out.push_str(&self.table.text());
    }
}

impl MachineDocument {
    /// The machine for a person, in the unit system asked for.
    pub fn text(&self, system: UnitSystem, ink: Ink) -> String {
        let mut out = ink.strong("The scenario is sound.");
        out.push_str("\n\n");
        out.push_str(&wrap(&self.scenario.title, TEXT_WIDTH, 0));
        for set in &self.scenario.set {
            out.push_str(&wrap(&format!("Set for this run: {} = {}", set.path, set.value), TEXT_WIDTH, 2));
        }
        let number = |info, si| {
            let (value, unit) = in_system(info, si, system);
            format!("{} {unit}", significant(value))
        };
        out.push_str(&wrap(
            &format!(
                "Line: {} veh/h, gap {}, conveyor {}.",
                significant(self.line.throughput_per_h),
                number(LengthDim::INFO, self.line.gap_m),
                number(SpeedDim::INFO, self.line.conveyor_speed_m_s)
            ),
            TEXT_WIDTH,
            0,
        ));
        out.push_str(&self.uneven_text());
        out.push('\n');
        out.push_str(&wrap(
            "Unit frame: x downstream, y away from the lane centreline; the right unit is the mirror image. Swing 0 = arm straight \
             across, positive = downstream and outboard.",
            TEXT_WIDTH,
            0,
        ));
        self.push_arm(&mut out, system);
        self.push_struts(&mut out, system);
        self.push_air(&mut out, system);
        self.push_stops(&mut out, system);
        self.push_brush(&mut out, system);
        self.push_train(&mut out, system);
        self.push_vehicles(&mut out, system, ink);
        self.push_counting(&mut out, system);
        out.push_str("\nLaws and signs\n");
        for line in &self.conventions {
            out.push_str(&wrap(&format!("- {line}"), TEXT_WIDTH, 2));
        }
        out
    }

    /// What differs between left and right: what nothing explains first.
    fn uneven_text(&self) -> String {
        let mut out = String::new();
        let said = |own: &crate::scenario::uneven::Uneven| {
            format!("{}: left {}, right {}", own.label, own.left, own.right)
        };
        let (explained, open): (Vec<_>, Vec<_>) = self.uneven.iter().partition(|own| own.why.is_some());
        if !open.is_empty() {
            let note = "Left and right differ, and the scenario does not say why (an entry of uneven would):";
            out.push_str(&wrap(note, TEXT_WIDTH, 0));
        }
        for own in open {
            out.push_str(&wrap(&format!("- {}", capital(&said(own))), TEXT_WIDTH, 2));
        }
        if !explained.is_empty() {
            out.push_str("Left and right differ on purpose:\n");
        }
        for own in explained {
            let why = own.why.as_deref().unwrap_or_default();
            out.push_str(&wrap(&format!("- {}: {why}", capital(&said(own))), TEXT_WIDTH, 2));
        }
        out
    }

    fn push_arm(&self, out: &mut String, system: UnitSystem) {
        let mut s = Section::new("Arm", &self.units, system);
        s.part("", |u| Some(u));
        s.part("", |u| Some(&u.body));
        s.row("Moving inertia at rest", |u| {
            u.rest.as_ref().map(|r| r.moving_inertia_kg_m2).cell(Some(InertiaDim::INFO))
        });
        s.part("", |u| Some(&u.pivot_friction));
        s.part("", |u| Some(&u.bearings));
        s.part("", |u| u.rest.as_ref());
        s.done(out);

        let most = self.units.iter().map(|u| u.body.parts.len()).max().unwrap_or(0);
        if most > 0 {
            let mut s = Section::new("Parts of what swings", &self.units, system);
            for i in 0..most {
                s.part(&format!("Part {}: ", i + 1), |u| u.body.parts.get(i));
            }
            s.done(out);
            for i in 0..most {
                out.push_str(&wrap(&part_names(&self.units, i), TEXT_WIDTH, 2));
            }
        }
    }

    fn push_struts(&self, out: &mut String, system: UnitSystem) {
        if self.units.iter().any(|u| u.counterweight.is_some()) {
            let mut s = Section::new("Counterweight", &self.units, system);
            s.part("", |u| u.counterweight.as_ref());
            s.part("Cable: ", |u| u.counterweight.as_ref().map(|w| &w.strut));
            s.row("Torque at rest", |u| {
                u.counterweight.as_ref().and_then(|w| w.rest_torque_n_m).cell(Some(TorqueDim::INFO))
            });
            s.done(out);
        }
        let most = self.units.iter().map(|u| u.dampers.len()).max().unwrap_or(0);
        for i in 0..most {
            let mut s = Section::new(&format!("Damper {}", i + 1), &self.units, system);
            s.part("", |u| u.dampers.get(i));
            s.part("", |u| u.dampers.get(i).and_then(|d| d.gas.as_ref()));
            s.part("Damper: ", |u| u.dampers.get(i).map(|d| &d.strut));
            s.done(out);
        }
    }

    fn push_air(&self, out: &mut String, system: UnitSystem) {
        if self.units.iter().all(|u| u.cylinder.is_none()) {
            return;
        }
        let mut s = Section::new("Air cylinder", &self.units, system);
        s.part("", |u| u.cylinder.as_ref());
        s.row("Atmosphere (absolute)", |u| u.atmosphere_pa.cell(Some(PressureDim::INFO)));
        s.part("Cap end: ", |u| u.cylinder.as_ref().map(|c| &c.cap));
        s.part("Rod end: ", |u| u.cylinder.as_ref().map(|c| &c.rod));
        s.part("Cylinder: ", |u| u.cylinder.as_ref().map(|c| &c.strut));
        s.done(out);

        let mut table =
            TextTable::new(&["Valve step", "When", ">At, from pivot", ">Delay, s", "Chamber", "To"]);
        let mut any = false;
        for unit in &self.units {
            for step in unit.cylinder.iter().flat_map(|c| &c.schedule) {
                any = true;
                let (at, symbol) = in_system(LengthDim::INFO, step.at_m, system);
                table.row(&[
                    unit.side.clone(),
                    step.when.clone(),
                    format!("{} {symbol}", significant(at)),
                    significant(step.delay_s),
                    step.chamber.clone(),
                    step.to.clone(),
                ]);
            }
        }
        if any {
            out.push('\n');
            out.push_str(&table.text());
        }
    }

    fn push_stops(&self, out: &mut String, system: UnitSystem) {
        type Pick = fn(&UnitMachineDocument) -> &StopDocument;
        let stops: [(&str, Pick); 2] =
            [("Inboard bumper stop", |u| &u.inboard_stop), ("Outboard stop", |u| &u.outboard_stop)];
        for (title, pick) in stops {
            let mut s = Section::new(title, &self.units, system);
            s.part("", |u| Some(pick(u)));
            if title.starts_with("Inboard") {
                let most =
                    self.units.iter().filter_map(|u| u.stop_pin.as_ref()).map(|p| p.seats_rad.len()).max();
                s.row("Stop pin in hole (1 = outermost)", |u| {
                    u.stop_pin.as_ref().map_or(Cell::Missing, |p| Cell::Text(p.hole.to_string()))
                });
                for i in 0..most.unwrap_or(0) {
                    s.row(&format!("Seat of hole {}", i + 1), |u| {
                        let seat = u.stop_pin.as_ref().and_then(|p| p.seats_rad.get(i)).copied();
                        seat.cell(Some(AngleDim::INFO))
                    });
                }
            }
            s.done(out);
        }
    }

    fn push_brush(&self, out: &mut String, system: UnitSystem) {
        let mut s = Section::new("Brush and strips", &self.units, system);
        s.part("", |u| Some(&u.brush));
        s.done(out);
    }

    fn push_train(&self, out: &mut String, system: UnitSystem) {
        let length = in_system(LengthDim::INFO, 0.0, system).1;
        let angle = in_system(AngleDim::INFO, 0.0, system).1;
        let headings = [
            "Train".to_owned(),
            "Vehicle".to_owned(),
            ">Nose at x = 0\ns".to_owned(),
            format!(">Off centre\n{length}"),
            format!(">Turned\n{angle}"),
            "Role".to_owned(),
        ];
        let mut table = TextTable::new(&headings);
        for pose in &self.train {
            let role = if pose.measured {
                "measured"
            } else if self.train.iter().any(|p| p.measured && p.place < pose.place) {
                "follows"
            } else {
                "ahead"
            };
            table.row(&[
                (pose.place + 1).to_string(),
                pose.name.clone(),
                significant(pose.nose_at_zero_s),
                significant(in_system(LengthDim::INFO, pose.lateral_offset_m, system).0),
                significant(in_system(AngleDim::INFO, pose.yaw_rad, system).0),
                role.to_owned(),
            ]);
        }
        out.push('\n');
        out.push_str(&table.text());
    }

    fn push_vehicles(&self, out: &mut String, system: UnitSystem, ink: Ink) {
        let unit = in_system(LengthDim::INFO, 0.0, system).1;
        let number = |m: f64| coordinate(m, system);
        for vehicle in &self.vehicles {
            out.push_str(&format!("\n{}\n", ink.strong(&format!("Outline of {}", vehicle.name))));
            out.push_str(&wrap(
                &format!(
                    "Vehicle frame, {unit}: x forward with the nose tip at 0, y to the left. Length {}, width {}, height {}. Outlines \
                     run counterclockwise; each piece ends where the next begins, the last where the first begins.",
                    number(vehicle.length_m),
                    number(vehicle.width_m),
                    number(vehicle.height_m)
                ),
                TEXT_WIDTH,
                0,
            ));
            for (i, band) in vehicle.bands.iter().enumerate() {
                for outline in &band.outlines {
                    let what = if outline.island { "standing free" } else { "body" };
                    out.push_str(&format!(
                        "Band {i}, {} to {} above the floor, {what}, {} round:\n",
                        number(band.z_low_m),
                        number(band.z_high_m),
                        number(outline.perimeter_m)
                    ));
                    push_pieces(out, outline, vehicle, &number);
                }
            }
        }
    }

    fn push_counting(&self, out: &mut String, system: UnitSystem) {
        let number = |info, si| {
            let (value, unit) = in_system(info, si, system);
            format!("{} {unit}", significant(value))
        };
        out.push_str("\nCounting and limits\n");
        let work = self.coverage.washed_work_j_m2.map_or_else(String::new, |w| {
            format!(" and {} of rubbing work", number(WorkPerAreaDim::INFO, w))
        });
        out.push_str(&wrap(
            &format!(
                "Washed: {} wipes{work}. Judged to {} behind the widest outline, stations of {}, looks every {}.",
                significant(self.coverage.washed_wipes),
                number(LengthDim::INFO, self.coverage.judged_depth_m),
                number(LengthDim::INFO, self.coverage.station_m),
                number(LengthDim::INFO, self.coverage.look_m)
            ),
            TEXT_WIDTH,
            0,
        ));
        let mut table = TextTable::new(&["Criterion", "Of", "", ">Limit", "Unit"]);
        for limit in &self.criteria {
            let info = match limit.unit.as_str() {
                "m" => Some(LengthDim::INFO),
                "Pa" => Some(PressureDim::INFO),
                "N" => Some(ForceDim::INFO),
                "s" => Some(TimeDim::INFO),
                "W" => Some(PowerDim::INFO),
                _ => None,
            };
            let (value, unit) = match info {
                // The pressures of criteria are those of the media.
                Some(info) if std::ptr::eq(info, PressureDim::INFO) => {
                    (contact::pressure_value(limit.limit, system), contact::pressure_unit(system))
                }
                Some(info) => in_system(info, limit.limit, system),
                None => (limit.limit, ""),
            };
            table.row(&[
                limit.criterion.replace('_', " "),
                limit.about.clone().unwrap_or_default(),
                limit.sense.clone(),
                significant(value),
                unit.to_owned(),
            ]);
        }
        out.push_str(&table.text());
        let computed = format!(
            "Computed with an error of {} allowed per step, steps of at most {} s.",
            significant(self.numerics.tolerance),
            significant(self.numerics.longest_step_s)
        );
        out.push_str(&wrap(&computed, TEXT_WIDTH, 0));
    }
}

/// «Part 1 is the arm tube», or what it is on each side when that differs.
fn part_names(units: &[UnitMachineDocument], i: usize) -> String {
    let name = |u: &UnitMachineDocument| u.body.parts.get(i).map(|p| p.name.clone()).unwrap_or_default();
    let mut names: Vec<String> =
        units.iter().map(|u| format!("on the {} {}", u.side, quoted(&name(u)))).collect();
    if units.windows(2).all(|pair| name(&pair[0]) == name(&pair[1])) {
        names = units.first().map(|u| quoted(&name(u))).into_iter().collect();
    }
    format!("Part {} is {}.", i + 1, names.join(", "))
}

fn quoted(name: &str) -> String {
    if name.is_empty() { "not named".to_owned() } else { format!("«{name}»") }
}

fn push_pieces(
    out: &mut String,
    outline: &ChainDocument,
    vehicle: &OutlineDocument,
    number: &dyn Fn(f64) -> String,
) {
    let mut table = TextTable::new(&["  Piece", ">from x", ">from y", ">radius", ">sweep, rad", "Part"]);
    for piece in &outline.pieces {
        let part = match piece.feature.and_then(|f| vehicle.features.get(f)) {
            Some(feature) => feature.name.clone(),
            None => piece.zone.replace('_', " "),
        };
        table.row(&[
            format!("  {}", piece.kind),
            number(piece.from.x_m),
            number(piece.from.y_m),
            piece.radius_m.map_or_else(String::new, number),
            piece.sweep_rad.map_or_else(String::new, significant),
            part,
        ]);
    }
    out.push_str(&table.text());
    if let Some(points) = &outline.points {
        let list: Vec<String> =
            points.iter().map(|p| format!("({}, {})", number(p.x_m), number(p.y_m))).collect();
        out.push_str(&wrap(&format!("  Points: {}", list.join("; ")), TEXT_WIDTH, 4));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_six_significant_digits() {
        for (value, text) in [
            (0.0, "0"),
            (325.123456, "325.123"),
            (-0.0031750001, "-0.003175"),
            (1234567.0, "1234567"),
            (1.18e-8, "1.18e-8"),
            (2.3, "2.3"),
            (f64::NAN, NONE),
        ] {
            assert_eq!(significant(value), text);
        }
    }
}
