//! The steps from one set-up to the other, in trade order, and the predicted pulls that prove the arm feels as it should.

use super::row::Group;
use super::words::{Words, fill};
use super::{Sheet, numbers};
use crate::arm::{Side, UnitModel, ValveConnection};
use crate::pass::contact::{ContactLaw, SpanScratch};
use crate::pass::motion::{Modes, Motion, UnitDynamics, state};
use crate::units::UnitSystem;
use maud::{Markup, html};

/// One step of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its place in the order.
    pub group: Group,
    /// What to do.
    pub what: String,
    /// How; may be empty.
    pub how: String,
    /// What to measure to know that it is done.
    pub done: String,
    /// What to lock again.
    pub lock: String,
}

/// Force at the brush centre, square to the arm, that holds the arm at a swing angle with the spin off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Which unit.
    pub side: Side,
    /// Swing angle, rad.
    pub phi_rad: f64,
    /// Distance of the brush centre from the lane centreline, m.
    pub from_centreline_m: f64,
    /// Force that draws the brush slowly outboard, N, positive outboard.
    pub out_n: f64,
    /// Force while the brush eases back inboard, N, positive outboard.
    pub back_n: f64,
}

impl Pull {
    /// The pull at a swing angle of a unit at rest air pressure, clear of its bumper: with static torque τ (positive outward) and
    /// breakaway-free Coulomb friction τ_f, drawing out slowly takes F L = −τ + τ_f and easing back F L = −τ − τ_f.
    /// The brush stands still: turning, it would stir air, which the arm feels.
    pub fn at(unit: &UnitModel, phi_rad: f64) -> Pull {
        let law = ContactLaw { spin_rad_s: 0.0, ..ContactLaw::of(&unit.brush) };
        let dynamics = UnitDynamics { model: unit, law, vehicles: Vec::new() };
        let mut y = [0.0; state::COUNT];
        y[state::PHI] = phi_rad;
        y[state::P_CAP] = unit.atmosphere_pa;
        y[state::P_ROD] = unit.atmosphere_pa;
        let (mut cap_on, mut rod_on) = (ValveConnection::Closed, ValveConnection::Closed);
        let mut friction_n_m = unit.pivot.coulomb_n_m;
        if let Some(cylinder) = &unit.cylinder {
            (cap_on, rod_on) = (cylinder.cap.line.initial, cylinder.rod.line.initial);
            let rest = |line: &crate::arm::ChamberLine, on| {
                line.rest_pressure_pa(on, unit.atmosphere_pa).unwrap_or(unit.atmosphere_pa)
            };
            y[state::P_CAP] = rest(&cylinder.cap.line, cap_on);
            y[state::P_ROD] = rest(&cylinder.rod.line, rod_on);
            friction_n_m += cylinder.seal_friction_n * cylinder.strut.at(phi_rad).d1_m.abs();
        }
        let modes = Modes { cap_on, rod_on, ..Modes::clear(Motion::Stick) };
        let mut scratch = SpanScratch::default();
        let mut dy = [0.0; state::COUNT];
        let static_n_m = dynamics.evaluate(0.0, &y, &modes, None, &mut scratch, &mut dy).applied_n_m;
        let length_m = unit.body.length_m;
        Pull {
            side: unit.side,
            phi_rad,
            from_centreline_m: unit.brush_center_m(phi_rad).y,
            out_n: (friction_n_m - static_n_m) / length_m,
            back_n: (-friction_n_m - static_n_m) / length_m,
        }
    }

    /// A swing angle that is clear of the bumper and inside the travel: twelve degrees outboard of the seat, on the next five.
    pub fn stated_angle_rad(unit: &UnitModel) -> f64 {
        let seat = unit.inboard_stop.seat_rad.to_degrees();
        let wanted = ((seat + 12.0) / 5.0).ceil() * 5.0;
        let last = unit.outboard_stop.seat_rad.to_degrees() - 5.0;
        wanted.min(last.max(seat)).to_radians()
    }

    /// In words, for the units it holds for.
    fn said(&self, sides: &[Side], units: UnitSystem, words: &Words) -> String {
        let side = words.units(sides);
        let force =
            |n: f64| format!("{} ({})", numbers::force(n, units), numbers::force(n, numbers::other(units)));
        if self.out_n <= 0.0 {
            return fill(words.scale_push, &[side, &force(-self.out_n)]);
        }
        let distance = self.from_centreline_m;
        let apart = format!(
            "{} ({})",
            numbers::length(distance, units),
            numbers::length(distance, numbers::other(units))
        );
        let angle = format!("{:.0}°", self.phi_rad.to_degrees());
        fill(words.scale_pull, &[side, &force(self.out_n), &force(self.back_n.max(0.0)), &angle, &apart])
    }
}

/// Pulls in words; two units that pull alike share a line.
pub(super) fn pull_lines(sheet: &Sheet<'_>, words: &Words) -> Vec<String> {
    if let [first, second] = sheet.pulls.as_slice()
        && first.said(&[Side::Left], sheet.units, words) == second.said(&[Side::Left], sheet.units, words)
    {
        return vec![first.said(&Side::BOTH, sheet.units, words)];
    }
    sheet.pulls.iter().map(|pull| pull.said(&[pull.side], sheet.units, words)).collect()
}

pub(super) fn section(sheet: &Sheet<'_>, words: &Words) -> Markup {
    html! {
        section.to-do aria-labelledby="steps" {
            h2 id="steps" { (words.steps_title) }
            @if sheet.found.is_none() {
                p { (words.no_from) }
            } @else if sheet.steps.is_empty() {
                p { (words.no_steps) }
            }
            @if !sheet.steps.is_empty() {
                ol.steps {
                    @for (i, step) in sheet.steps.iter().enumerate() {
                        li {
                            input.tick type="checkbox" id={ "step-" (i) };
                            div {
                                label for={ "step-" (i) } {
                                    span.what { (step.what) } " "
                                    span.tag { (step.group.name(words)) }
                                }
                                @if !step.how.is_empty() { p { (step.how) } }
                                dl {
                                    dt { (words.done_when) }
                                    dd { (step.done) }
                                    dt { (words.lock_again) }
                                    dd { (step.lock) }
                                }
                            }
                        }
                    }
                }
            }
            @if !sheet.pulls.is_empty() {
                ul.pulls {
                    @for line in pull_lines(sheet, words) { li { (line) } }
                    li { (words.scale_how) }
                }
            }
        }
    }
}
