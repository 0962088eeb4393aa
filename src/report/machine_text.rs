//! The resolved machine as a person reads it: every number the model is computed from, side by side for the units.
//!
//! Six significant digits, in SI unless US units are asked for: enough to build the same model from the page.

use super::machine_document::*;
use super::table::TextTable;
use super::words::{NONE, capital, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::units::*;

/// Significant digits printed.
const DIGITS: i32 = 6;

/// A number with six significant digits and no trailing zeros.
fn significant(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { NONE.to_owned() };
    }
    let exponent = value.abs().log10().floor() as i32;
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

/// One cell of the machine: a number of some dimension, a text, or nothing.
enum Cell {
    Number(&'static DimensionInfo, f64),
    Plain(f64),
    Text(String),
    Missing,
}

fn of<D: Dimension>(_: D, value: f64) -> Cell {
    Cell::Number(D::INFO, value)
}

fn maybe<D: Dimension>(dimension: D, value: Option<f64>) -> Cell {
    value.map_or(Cell::Missing, |v| of(dimension, v))
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
        let mut cells = vec![label.to_owned()];
        let mut unit_text = "";
        let mut any = false;
        for unit in self.units {
            cells.push(match cell(unit) {
                Cell::Number(info, si) => {
                    let (value, symbol) = in_system(info, si, self.system);
                    unit_text = symbol;
                    any = true;
                    significant(value)
                }
                Cell::Plain(value) => {
                    any = true;
                    significant(value)
                }
                Cell::Text(text) => {
                    any = true;
                    text
                }
                Cell::Missing => NONE.to_owned(),
            });
        }
        if any {
            cells.push(unit_text.to_owned());
            self.table.row(&cells);
        }
    }

    fn strut(&mut self, name: &str, strut: impl Fn(&UnitMachineDocument) -> Option<&StrutDocument>) {
        let mut line = |label: &str, value: &dyn Fn(&StrutDocument) -> Cell| {
            self.row(&format!("{name}: {label}"), |u| strut(u).map_or(Cell::Missing, value));
        };
        line("frame anchor, downstream", &|s| of(LengthDim, s.frame_anchor.x_m));
        line("frame anchor, to wall", &|s| of(LengthDim, s.frame_anchor.y_m));
        line("arm anchor, along", &|s| of(LengthDim, s.arm_along_m));
        line("arm anchor, across", &|s| of(LengthDim, s.arm_across_m));
        line("length at rest", &|s| maybe(LengthDim, s.rest_length_m));
        line("dl/dphi at rest (per rad)", &|s| maybe(LengthDim, s.rest_slope_m_rad));
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

    fn push_arm(&self, out: &mut String, system: UnitSystem) {
        let mut s = Section::new("Arm", &self.units, system);
        s.row("Pivot, downstream", |u| of(LengthDim, u.pivot.x_m));
        s.row("Pivot, from lane centreline", |u| of(LengthDim, u.pivot.y_m));
        s.row("Pivot height", |u| of(LengthDim, u.pivot_height_m));
        s.row("Pivot to spindle, L", |u| of(LengthDim, u.body.length_m));
        s.row("Mass", |u| of(MassDim, u.body.mass_kg));
        s.row("CG radius", |u| of(LengthDim, u.body.cg_radius_m));
        s.row("Inertia about the pivot", |u| of(InertiaDim, u.body.inertia_kg_m2));
        s.row("Moving inertia at rest", |u| {
            maybe(InertiaDim, u.rest.as_ref().map(|r| r.moving_inertia_kg_m2))
        });
        s.row("Pivot friction, moving", |u| of(TorqueDim, u.pivot_friction.coulomb_n_m));
        s.row("Pivot friction, breakaway", |u| of(TorqueDim, u.pivot_friction.breakaway_n_m));
        s.row("Pivot friction, viscous", |u| of(AngularDampingDim, u.pivot_friction.viscous_n_m_s));
        s.row("Bearing span", |u| of(LengthDim, u.bearings.span_m));
        s.row("Upper bearing, to wall", |u| of(LengthDim, u.bearings.upper_toward_wall_m));
        s.row("Lower bearing, to wall", |u| of(LengthDim, u.bearings.lower_toward_wall_m));
        s.row("Upper bearing, downstream", |u| of(LengthDim, u.bearings.upper_downstream_m));
        s.row("Lower bearing, downstream", |u| of(LengthDim, u.bearings.lower_downstream_m));
        s.row("Lean of the top, to wall (ratio)", |u| Cell::Plain(u.bearings.lean.y_m));
        s.row("Lean of the top, downstream (ratio)", |u| Cell::Plain(u.bearings.lean.x_m));
        s.row("Swing at rest", |u| maybe(AngleDim, u.rest.as_ref().map(|r| r.swing_rad)));
        s.row("Swing at rest, alone", |u| maybe(AngleDim, u.rest.as_ref().and_then(|r| r.alone_rad)));
        s.row("Brush centre at rest, downstream", |u| {
            maybe(LengthDim, u.rest.as_ref().map(|r| r.brush_center.x_m))
        });
        s.row("Brush centre at rest, off centreline", |u| {
            maybe(LengthDim, u.rest.as_ref().map(|r| r.brush_center.y_m))
        });
        s.row("Torque of the lean at rest", |u| maybe(TorqueDim, u.rest.as_ref().map(|r| r.tilt_torque_n_m)));
        s.done(out);

        let most = self.units.iter().map(|u| u.body.parts.len()).max().unwrap_or(0);
        if most > 0 {
            let mut s = Section::new("Parts of what swings", &self.units, system);
            for i in 0..most {
                let part = |u: &UnitMachineDocument| u.body.parts.get(i).cloned();
                let label = format!("Part {}", i + 1);
                s.row(&format!("{label}: shape"), |u| part(u).map_or(Cell::Missing, |p| Cell::Text(p.shape)));
                s.row(&format!("{label}: mass"), |u| maybe(MassDim, part(u).map(|p| p.mass_kg)));
                s.row(&format!("{label}: from"), |u| maybe(LengthDim, part(u).and_then(|p| p.from_m)));
                s.row(&format!("{label}: to"), |u| maybe(LengthDim, part(u).and_then(|p| p.to_m)));
                s.row(&format!("{label}: CG radius"), |u| maybe(LengthDim, part(u).map(|p| p.cg_radius_m)));
                s.row(&format!("{label}: inertia about pivot"), |u| {
                    maybe(InertiaDim, part(u).map(|p| p.inertia_about_pivot_kg_m2))
                });
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
            s.row("Mass", |u| maybe(MassDim, u.counterweight.as_ref().map(|w| w.mass_kg)));
            s.row("Rise per cable travel, k", |u| {
                u.counterweight.as_ref().map_or(Cell::Missing, |w| Cell::Plain(w.travel_ratio))
            });
            s.strut("Cable", |u| u.counterweight.as_ref().map(|w| &w.strut));
            s.row("Torque at rest", |u| {
                maybe(TorqueDim, u.counterweight.as_ref().and_then(|w| w.rest_torque_n_m))
            });
            s.done(out);
        }
        let most = self.units.iter().map(|u| u.dampers.len()).max().unwrap_or(0);
        for i in 0..most {
            let mut s = Section::new(&format!("Damper {}", i + 1), &self.units, system);
            let damper = |u: &UnitMachineDocument| u.dampers.get(i).cloned();
            s.row("Out-stroke, linear", |u| maybe(DampingDim, damper(u).map(|d| d.out_linear_n_s_m)));
            s.row("In-stroke, linear", |u| maybe(DampingDim, damper(u).map(|d| d.in_linear_n_s_m)));
            s.row("Out-stroke, quadratic", |u| {
                maybe(QuadraticDampingDim, damper(u).map(|d| d.out_quadratic_n_s2_m2))
            });
            s.row("In-stroke, quadratic", |u| {
                maybe(QuadraticDampingDim, damper(u).map(|d| d.in_quadratic_n_s2_m2))
            });
            s.row("Gas preload", |u| maybe(ForceDim, damper(u).and_then(|d| d.gas).map(|g| g.preload_n)));
            s.row("Gas rate", |u| maybe(StiffnessDim, damper(u).and_then(|d| d.gas).map(|g| g.rate_n_m)));
            s.row("Gas: length of the preload", |u| {
                maybe(LengthDim, damper(u).and_then(|d| d.gas).map(|g| g.reference_m))
            });
            s.strut("Damper", |u| u.dampers.get(i).map(|d| &d.strut));
            s.done(out);
        }
    }

    fn push_air(&self, out: &mut String, system: UnitSystem) {
        if self.units.iter().all(|u| u.cylinder.is_none()) {
            return;
        }
        let mut s = Section::new("Air cylinder", &self.units, system);
        s.row("Closed length", |u| maybe(LengthDim, u.cylinder.as_ref().map(|c| c.closed_length_m)));
        s.row("Stroke", |u| maybe(LengthDim, u.cylinder.as_ref().map(|c| c.stroke_m)));
        s.row("Seal friction", |u| maybe(ForceDim, u.cylinder.as_ref().map(|c| c.seal_friction_n)));
        s.row("Polytropic index", |u| {
            u.cylinder.as_ref().map_or(Cell::Missing, |c| Cell::Plain(c.polytropic_index))
        });
        s.row("Air temperature", |u| maybe(TemperatureDim, u.cylinder.as_ref().map(|c| c.temperature_k)));
        s.row("Atmosphere (absolute)", |u| of(PressureDim, u.atmosphere_pa));
        type Pick = fn(&CylinderDocument) -> &ChamberDocument;
        let ends: [(&str, Pick); 2] = [("Cap", |c| &c.cap), ("Rod", |c| &c.rod)];
        for (end, pick) in ends {
            let chamber = |u: &UnitMachineDocument| u.cylinder.as_ref().map(pick).cloned();
            s.row(&format!("{end} end: area"), |u| maybe(AreaDim, chamber(u).map(|c| c.area_m2)));
            s.row(&format!("{end} end: dead volume"), |u| {
                maybe(VolumeDim, chamber(u).map(|c| c.dead_volume_m3))
            });
            s.row(&format!("{end} end: volume at rest"), |u| {
                maybe(VolumeDim, chamber(u).and_then(|c| c.rest_volume_m3))
            });
            s.row(&format!("{end} end: regulator (gauge)"), |u| {
                maybe(PressureDim, chamber(u).map(|c| c.regulator_gauge_pa))
            });
            s.row(&format!("{end} end: relieving"), |u| {
                chamber(u)
                    .map_or(Cell::Missing, |c| Cell::Text(if c.relieving { "yes" } else { "no" }.into()))
            });
            s.row(&format!("{end} end: supply C"), |u| {
                maybe(ConductanceDim, chamber(u).map(|c| c.supply_c_m3_s_pa))
            });
            s.row(&format!("{end} end: supply b"), |u| {
                chamber(u).map_or(Cell::Missing, |c| Cell::Plain(c.supply_b))
            });
            s.row(&format!("{end} end: exhaust C"), |u| {
                maybe(ConductanceDim, chamber(u).map(|c| c.exhaust_c_m3_s_pa))
            });
            s.row(&format!("{end} end: exhaust b"), |u| {
                chamber(u).map_or(Cell::Missing, |c| Cell::Plain(c.exhaust_b))
            });
            s.row(&format!("{end} end: connected first to"), |u| {
                chamber(u).map_or(Cell::Missing, |c| Cell::Text(c.initial))
            });
        }
        s.strut("Cylinder", |u| u.cylinder.as_ref().map(|c| &c.strut));
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
            s.row("Seat (swing of first touch)", |u| of(AngleDim, pick(u).seat_rad));
            s.row("Radius from the pivot", |u| of(LengthDim, pick(u).radius_m));
            s.row("Linear stiffness k1", |u| of(StiffnessDim, pick(u).linear_n_m));
            s.row("Cubic stiffness k3", |u| of(CubicStiffnessDim, pick(u).cubic_n_m3));
            s.row("Damping c", |u| of(DampingDim, pick(u).damping_n_s_m));
            s.row("Full compression", |u| of(LengthDim, pick(u).full_compression_m));
            s.row("Stiffness past that", |u| of(StiffnessDim, pick(u).rigid_n_m));
            if title.starts_with("Inboard") {
                let most =
                    self.units.iter().filter_map(|u| u.stop_pin.as_ref()).map(|p| p.seats_rad.len()).max();
                s.row("Stop pin in hole (1 = outermost)", |u| {
                    u.stop_pin.as_ref().map_or(Cell::Missing, |p| Cell::Text(p.hole.to_string()))
                });
                for i in 0..most.unwrap_or(0) {
                    s.row(&format!("Seat of hole {}", i + 1), |u| {
                        maybe(AngleDim, u.stop_pin.as_ref().and_then(|p| p.seats_rad.get(i)).copied())
                    });
                }
            }
            s.done(out);
        }
    }

    fn push_brush(&self, out: &mut String, system: UnitSystem) {
        let mut s = Section::new("Brush and strips", &self.units, system);
        s.row("Outer radius R", |u| of(LengthDim, u.brush.radius_m));
        s.row("Hub radius R0", |u| of(LengthDim, u.brush.hub_radius_m));
        s.row("Media, bottom", |u| of(LengthDim, u.brush.z_low_m));
        s.row("Media, top", |u| of(LengthDim, u.brush.z_high_m));
        s.row("Strips", |u| Cell::Text(u.brush.strips.to_string()));
        s.row("Spin (+ = outboard at the nose)", |u| of(SpinDim, u.brush.spin_rad_s));
        s.row("Spin sense", |u| Cell::Text(u.brush.spin_sense.clone()));
        s.row("Friction coefficient", |u| Cell::Plain(u.brush.friction));
        s.row("Strips worn off", |u| of(LengthDim, u.brush.worn_m));
        s.row("Media", |u| Cell::Text(u.brush.media.clone()));
        s.row("Media, mass", |u| maybe(MassDim, u.brush.media_mass_kg));
        s.row("Push-back test: depth", |u| maybe(LengthDim, u.brush.push_back_depth_m));
        s.row("Push-back test: force", |u| maybe(ForceDim, u.brush.push_back_force_n));
        s.row("Push-back test: height", |u| maybe(LengthDim, u.brush.push_back_height_m));
        s.row("Push-back test: spin", |u| maybe(SpinDim, u.brush.push_back_spin_rad_s));
        s.row("Exponent p", |u| Cell::Plain(u.brush.exponent));
        s.row("K0, N/(m^(p+1) rad)", |u| Cell::Plain(u.brush.rest_stiffness));
        s.row("K at the set spin, N/(m^(p+1) rad)", |u| Cell::Plain(u.brush.stiffness));
        s.row("Spin of twice the stiffness", |u| maybe(SpinDim, u.brush.stiffening_spin_rad_s));
        s.row("Real push over the law's, least", |u| Cell::Plain(u.brush.push_band[0]));
        s.row("Real push over the law's, most", |u| Cell::Plain(u.brush.push_band[1]));
        s.row("Lead of the push", |u| of(LengthDim, u.brush.lead_m));
        s.row("Share of friction that rubs", |u| Cell::Plain(u.brush.rubbing_share));
        s.row("Air drag, N m s2", |u| Cell::Plain(u.brush.air_drag_n_m_s2));
        s.row("Hub stiffness, N/(m2 rad)", |u| Cell::Plain(u.brush.hub_stiffness));
        s.row("Fade speed of rubbing", |u| of(SpeedDim, u.brush.friction_fade_m_s));
        s.row("Wipes per second at a point", |u| Cell::Plain(u.brush.wipes_per_s));
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
