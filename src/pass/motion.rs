//! Equation of motion of one unit, with its torques by cause.
//!
//! (I + m (kℓ')²) φ̈ = Σ τ − k ℓ' m (g + k ℓ'' φ̇²): the counterweight's inertia and weight act while its cable is taut. Torques are
//! positive outward. Stick, stops, slack and valves are **modes**: within a step they do not change, so the right-hand side is smooth
//! and the run locates the instants at which they switch.
//!
//! Work is kept by cause beside the motion, as integrals of power. Work in: the conveyor (contact force · vehicle velocity), the spindle
//! motor (against the moment of contact and of the air that the strips stir) and the air in the cylinder. Dissipated: contact (rubbing and strip
//! flexing: −force · velocity over the surface − moment · turning), stirred air, pivot and seal friction, dampers, stops. Stored: kinetic, lean, counterweight, gas and stop energy.

mod stop_state;

use super::contact::{ContactLaw, ContactSum, SpanScratch};
use super::pair::OtherBrush;
pub use super::vehicle_plan::{BandPlan, VehiclePlan};
use crate::arm::{BumperStop, QuasiSteady, STANDARD_GRAVITY_M_S2, StrutState, UnitModel, ValveConnection};
use crate::geometry::Vec2;
use stop_state::StopState;

/// Components of one unit's state vector.
pub mod state {
    /// Swing angle, rad.
    pub const PHI: usize = 0;
    /// Swing rate, rad/s.
    pub const OMEGA: usize = 1;
    /// Cap-end pressure, Pa absolute.
    pub const P_CAP: usize = 2;
    /// Rod-end pressure, Pa absolute.
    pub const P_ROD: usize = 3;
    /// Slack at the weight, m.
    pub const SLACK: usize = 4;
    /// Rate of the slack, m/s.
    pub const SLACK_RATE: usize = 5;
    /// How many of the above.
    pub const MOTION: usize = 6;
    /// Work of the conveyor on the brush, J.
    pub const W_CONVEYOR: usize = 6;
    /// Work of the spindle motor, J.
    pub const W_SPINDLE: usize = 7;
    /// Work of the air, J.
    pub const W_AIR: usize = 8;
    /// Taken by the contact with vehicles, J.
    pub const D_CONTACT: usize = 9;
    /// Taken by pivot and seal friction, J.
    pub const D_FRICTION: usize = 10;
    /// Taken by dampers, J.
    pub const D_DAMPER: usize = 11;
    /// Taken by the stops, J.
    pub const D_STOP: usize = 12;
    /// Taken by the contact of the two brushes with each other, J.
    pub const D_BRUSHES: usize = 13;
    /// Taken by the air that the turning strips stir, J.
    pub const D_AIR_DRAG: usize = 14;
    /// Length of one unit's state.
    pub const COUNT: usize = 15;
}
use state::*;

/// Whether the arm moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Motion {
    /// At rest, held by friction.
    Stick,
    /// Swinging outboard.
    Out,
    /// Swinging inboard.
    In,
}

impl Motion {
    /// Sign of φ̇: 0, +1, −1.
    pub fn sign(self) -> f64 {
        match self {
            Motion::Stick => 0.0,
            Motion::Out => 1.0,
            Motion::In => -1.0,
        }
    }
}

/// What a stop does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopMode {
    /// The arm is clear of it.
    Clear,
    /// It pushes.
    Pressed,
    /// The arm left it faster than it recovers.
    Released,
}

/// Everything about one unit that switches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Modes {
    /// Stick or slip.
    pub motion: Motion,
    /// Inboard bumper stop.
    pub inboard: StopMode,
    /// Outboard stop.
    pub outboard: StopMode,
    /// The counterweight cable is slack.
    pub slack: bool,
    /// Cap-end valve.
    pub cap_on: ValveConnection,
    /// Rod-end valve.
    pub rod_on: ValveConnection,
    /// The cap end is quasi-steady: it follows its source so closely that its lag is left out.
    pub cap_quasi_steady: bool,
    /// The same for the rod end.
    pub rod_quasi_steady: bool,
}

impl Modes {
    /// Those of an arm clear of both stops, its cable tight and its valves shut.
    pub const fn clear(motion: Motion) -> Modes {
        Modes {
            motion,
            inboard: StopMode::Clear,
            outboard: StopMode::Clear,
            slack: false,
            cap_on: ValveConnection::Closed,
            rod_on: ValveConnection::Closed,
            cap_quasi_steady: false,
            rod_quasi_steady: false,
        }
    }
}

/// A chamber is taken as quasi-steady, at the pressure that its source brings it to, when it closes in faster than this, 1/s. Ten times faster than any swing, its lag would only
/// force short steps.
pub const QUASI_STEADY_RATE_PER_S: f64 = 12.0;
/// … and stands within this share of the source, inside the linear part of the flow law.
pub const QUASI_STEADY_STRAIN: f64 = 0.0045;

/// Torque on the arm by cause, N m, positive outward.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TorqueBudget {
    /// Gravity on the leaning arm.
    pub lean_n_m: f64,
    /// Counterweight cable.
    pub counterweight_n_m: f64,
    /// Air cylinder.
    pub air_n_m: f64,
    /// Gas springs.
    pub gas_n_m: f64,
    /// Dampers.
    pub damper_n_m: f64,
    /// Inboard bumper stop.
    pub inboard_stop_n_m: f64,
    /// Outboard stop.
    pub outboard_stop_n_m: f64,
    /// Pivot and seal friction.
    pub friction_n_m: f64,
    /// Push of the strips on the vehicle, with its moment about the spindle.
    pub push_n_m: f64,
    /// Rubbing of the strips on the vehicle.
    pub rub_n_m: f64,
    /// The other brush.
    pub other_brush_n_m: f64,
    /// Drag of the air on the turning strips.
    pub air_drag_n_m: f64,
}

impl TorqueBudget {
    /// Causes in a fixed order, with plain names.
    pub fn causes(&self) -> [(&'static str, f64); 12] {
        [
            ("bearing lean", self.lean_n_m),
            ("counterweight", self.counterweight_n_m),
            ("air", self.air_n_m),
            ("gas spring", self.gas_n_m),
            ("damper", self.damper_n_m),
            ("bumper stop", self.inboard_stop_n_m),
            ("outboard stop", self.outboard_stop_n_m),
            ("pivot friction", self.friction_n_m),
            ("strip push", self.push_n_m),
            ("strip rub", self.rub_n_m),
            ("other brush", self.other_brush_n_m),
            ("brush air drag", self.air_drag_n_m),
        ]
    }

    /// Sum, N m.
    pub fn total_n_m(&self) -> f64 {
        self.causes().iter().map(|(_, t)| t).sum()
    }
}

/// What one evaluation finds, besides the derivative.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Forces {
    /// Torques by cause.
    pub budget: TorqueBudget,
    /// Swing acceleration, rad/s².
    pub alpha_rad_s2: f64,
    /// Sum of torques other than friction at rest and weight inertia, N m: what stick has to hold.
    pub applied_n_m: f64,
    /// Breakaway torque, N m.
    pub breakaway_n_m: f64,
    /// Tension of the counterweight line at the weight, N.
    pub tension_n: f64,
    /// Raw (unclipped) inboard stop force, N.
    pub inboard_raw_n: f64,
    /// Raw outboard stop force, N.
    pub outboard_raw_n: f64,
    /// Inboard stop compression, m (negative = clear).
    pub inboard_x_m: f64,
    /// Outboard stop compression, m (negative = clear).
    pub outboard_x_m: f64,
    /// Force of the vehicles on the brush, N, unit frame.
    pub contact_n: [f64; 2],
    /// Sum of the magnitudes of the push, N.
    pub normal_sum_n: f64,
    /// Moment of all contacts and of the air about the spindle, N m.
    pub spindle_moment_n_m: f64,
    /// Power the spindle motor gives, W.
    pub spindle_power_w: f64,
    /// Deepest press, m; 0 = no contact.
    pub indentation_m: f64,
    /// The cap end as quasi-steady, where it can.
    pub cap: Option<QuasiSteady>,
    /// The rod end as quasi-steady, where it can.
    pub rod: Option<QuasiSteady>,
}

/// One unit with the train it meets.
#[derive(Debug, Clone)]
pub struct UnitDynamics<'a> {
    /// The machine.
    pub model: &'a UnitModel,
    /// The strips.
    pub law: ContactLaw,
    /// The train, foremost first.
    pub vehicles: Vec<VehiclePlan<'a>>,
}

impl<'a> UnitDynamics<'a> {
    /// A unit that no vehicle comes near.
    pub fn alone(model: &'a UnitModel) -> Self {
        UnitDynamics { model, law: ContactLaw::of(&model.brush), vehicles: Vec::new() }
    }

    /// Centre and velocity of the brush, unit frame.
    pub fn brush_motion(&self, y: &[f64]) -> (Vec2, Vec2) {
        let (dir, d_dir) = UnitModel::arm_direction(y[PHI]);
        let length = self.model.body.length_m;
        (self.model.pivot_m + dir * length, d_dir * (length * y[OMEGA]))
    }

    /// Contact with all vehicles: total over bands (N, N m, W; forces in the unit frame) and the power of the conveyor, W. The spindle motor
    /// rides on the arm, so in space the strips turn at the set spin plus φ̇.
    pub fn contact(
        &self,
        t_s: f64,
        c: Vec2,
        v: Vec2,
        omega: f64,
        scratch: &mut SpanScratch,
    ) -> (ContactSum, f64) {
        let law = self.law.turned(omega);
        let mut total = ContactSum::default();
        let mut conveyor_w = 0.0;
        for plan in &self.vehicles {
            if !plan.may_touch(c, self.law.radius_m, t_s) {
                continue;
            }
            let velocity = plan.pose.vehicle_from_unit_dir(v - Vec2::new(plan.pose.speed_m_s, 0.0));
            for (first, stack) in plan.stacks() {
                let local = plan.pose.vehicle_from_unit(c + plan.bands[*first].shift_m, t_s);
                let band = |place: usize| plan.bands[first + place].in_stack();
                let sum = stack.contact(band, &law, local, velocity, scratch);
                if sum.indentation_m > 0.0 {
                    let in_unit = ContactSum {
                        push_n_per_m: plan.pose.unit_from_vehicle_dir(sum.push_n_per_m),
                        friction_n_per_m: plan.pose.unit_from_vehicle_dir(sum.friction_n_per_m),
                        ..sum
                    };
                    conveyor_w += in_unit.force_n_per_m().x * plan.pose.speed_m_s;
                    total.add(&in_unit);
                }
            }
        }
        (total, conveyor_w)
    }

    /// Derivative of the state at time t under fixed modes.
    pub fn evaluate(
        &self,
        t_s: f64,
        y: &[f64],
        modes: &Modes,
        other: Option<OtherBrush>,
        scratch: &mut SpanScratch,
        dy: &mut [f64],
    ) -> Forces {
        let model = self.model;
        let (phi, omega) = (y[PHI], if modes.motion == Motion::Stick { 0.0 } else { y[OMEGA] });
        let (dir, d_dir) = UnitModel::arm_direction(phi);
        let length = model.body.length_m;
        let c = model.pivot_m + dir * length;
        let v = d_dir * (length * omega);
        let arm = dir * length;
        let mut budget = TorqueBudget { lean_n_m: model.lean_torque_n_m(phi), ..TorqueBudget::default() };

        // Vehicles.
        let (contact, conveyor_w) = self.contact(t_s, c, v, omega, scratch);
        budget.push_n_m = arm.perp(&contact.push_n_per_m) + contact.push_moment_n;
        budget.rub_n_m = arm.perp(&contact.friction_n_per_m) + contact.friction_moment_n;
        let mut spindle_moment = contact.moment_n();

        // The air that the strips stir.
        let turning = self.law.spin_rad_s + omega;
        budget.air_drag_n_m = -model.brush.air_drag_n_m_s2 * turning * turning.abs();
        spindle_moment += budget.air_drag_n_m;

        // The other brush.
        let mut brushes_w = 0.0;
        if let Some(other) = other {
            budget.other_brush_n_m = arm.perp(&other.force_n) + other.moment_n_m;
            spindle_moment += other.moment_n_m;
            brushes_w = -other.force_n.dot(&v) - other.moment_n_m * turning;
        }

        // Struts.
        let mut damper_loss_w = 0.0;
        for damper in &model.dampers {
            let s = damper.strut.at(phi);
            budget.gas_n_m += damper.gas_push_n(&s) * s.d1_m;
            let torque = damper.damping_push_n(&s, omega) * s.d1_m;
            budget.damper_n_m += torque;
            damper_loss_w -= torque * omega;
        }
        let mut coulomb = model.pivot.coulomb_n_m;
        let mut breakaway = model.pivot.breakaway_n_m;
        let (mut cap, mut rod) = (None, None);
        dy[P_CAP] = 0.0;
        dy[P_ROD] = 0.0;
        if let Some(cylinder) = &model.cylinder {
            let s = cylinder.strut.at(phi);
            let rate = s.d1_m * omega;
            let (v_cap, v_rod) = cylinder.volumes_m3(s.length_m);
            let (n, temperature) = (cylinder.polytropic_index, cylinder.temperature_k);
            let atmosphere = model.atmosphere_pa;
            cap = cylinder.cap.quasi_steady(
                modes.cap_on,
                v_cap,
                cylinder.cap.area_m2 * rate,
                n,
                temperature,
                atmosphere,
            );
            rod = cylinder.rod.quasi_steady(
                modes.rod_on,
                v_rod,
                -cylinder.rod.area_m2 * rate,
                n,
                temperature,
                atmosphere,
            );
            let pressure = |is_quasi_steady: bool, f: Option<QuasiSteady>, own: f64| match f {
                Some(f) if is_quasi_steady => f.pressure_pa,
                _ => own,
            };
            let p_cap = pressure(modes.cap_quasi_steady, cap, y[P_CAP]);
            let p_rod = pressure(modes.rod_quasi_steady, rod, y[P_ROD]);
            budget.air_n_m = cylinder.push_n(p_cap, p_rod, atmosphere) * s.d1_m;
            coulomb += cylinder.seal_friction_n * s.d1_m.abs();
            breakaway += cylinder.seal_friction_n * s.d1_m.abs();
            let rates =
                cylinder.rates(modes.cap_on, modes.rod_on, p_cap, p_rod, s.length_m, rate, atmosphere);
            dy[P_CAP] = if modes.cap_quasi_steady { 0.0 } else { rates.cap_pa_s };
            dy[P_ROD] = if modes.rod_quasi_steady { 0.0 } else { rates.rod_pa_s };
        }

        // Stops.
        let inboard = StopState::new(&model.inboard_stop, phi, omega, -1.0, modes.inboard);
        let outboard = StopState::new(&model.outboard_stop, phi, omega, 1.0, modes.outboard);
        budget.inboard_stop_n_m = inboard.torque_n_m;
        budget.outboard_stop_n_m = outboard.torque_n_m;

        // Friction and the weight.
        let viscous = -model.pivot.viscous_n_m_s * omega;
        let free = budget.total_n_m() + viscous;
        let (mut inertia, mut weight_torque) = (model.body.inertia_kg_m2, 0.0);
        let mut cable: Option<(f64, StrutState, f64)> = None;
        if let Some(weight) = &model.counterweight {
            let s = weight.strut.at(phi);
            let k = weight.travel_ratio;
            if !modes.slack {
                inertia += weight.mass_kg * (k * s.d1_m) * (k * s.d1_m);
                weight_torque = -k * s.d1_m * weight.tension_n(k * s.d2_m * omega * omega);
            }
            cable = Some((k, s, weight.mass_kg));
        }
        let applied = free + weight_torque;
        let alpha = match modes.motion {
            Motion::Stick => {
                budget.friction_n_m = -applied;
                0.0
            }
            motion => {
                budget.friction_n_m = viscous - coulomb * motion.sign();
                (applied - coulomb * motion.sign()) / inertia
            }
        };
        let mut tension = f64::INFINITY;
        dy[SLACK] = 0.0;
        dy[SLACK_RATE] = 0.0;
        if let Some((k, s, mass)) = cable {
            let rise = k * (s.d1_m * alpha + s.d2_m * omega * omega);
            if modes.slack {
                tension = 0.0;
                dy[SLACK] = y[SLACK_RATE];
                dy[SLACK_RATE] = -STANDARD_GRAVITY_M_S2 - rise;
            } else {
                tension = mass * (STANDARD_GRAVITY_M_S2 + rise);
                budget.counterweight_n_m = -k * s.d1_m * tension;
            }
        }

        let spindle_power = -spindle_moment * self.law.spin_rad_s;
        dy[PHI] = omega;
        dy[OMEGA] = alpha;
        dy[W_CONVEYOR] = conveyor_w;
        dy[W_SPINDLE] = spindle_power;
        dy[W_AIR] = budget.air_n_m * omega;
        dy[D_CONTACT] = contact.absorbed_w_per_m;
        dy[D_AIR_DRAG] = -budget.air_drag_n_m * turning;
        dy[D_FRICTION] = -budget.friction_n_m * omega;
        dy[D_DAMPER] = damper_loss_w;
        dy[D_STOP] = inboard.loss_w + outboard.loss_w;
        dy[D_BRUSHES] = brushes_w;
        Forces {
            budget,
            alpha_rad_s2: alpha,
            applied_n_m: applied,
            breakaway_n_m: breakaway,
            tension_n: tension,
            inboard_raw_n: inboard.raw_n,
            outboard_raw_n: outboard.raw_n,
            inboard_x_m: inboard.x_m,
            outboard_x_m: outboard.x_m,
            contact_n: [
                contact.push_n_per_m.x + contact.friction_n_per_m.x,
                contact.push_n_per_m.y + contact.friction_n_per_m.y,
            ],
            normal_sum_n: contact.normal_sum_n_per_m,
            spindle_moment_n_m: spindle_moment,
            spindle_power_w: spindle_power,
            indentation_m: contact.indentation_m,
            cap,
            rod,
        }
    }

    /// Compression and raw force of both stops, which depend on the state alone.
    pub fn look_at_stops(&self, y: &[f64], forces: &mut Forces) {
        let inboard = StopState::new(&self.model.inboard_stop, y[PHI], y[OMEGA], -1.0, StopMode::Pressed);
        let outboard = StopState::new(&self.model.outboard_stop, y[PHI], y[OMEGA], 1.0, StopMode::Pressed);
        (forces.inboard_x_m, forces.inboard_raw_n) = (inboard.x_m, inboard.raw_n);
        (forces.outboard_x_m, forces.outboard_raw_n) = (outboard.x_m, outboard.raw_n);
    }

    /// Stored energy, J: kinetic, lean, counterweight, gas springs, stops.
    pub fn stored_j(&self, y: &[f64]) -> f64 {
        let model = self.model;
        let (phi, omega) = (y[PHI], y[OMEGA]);
        let mut stored = 0.5 * model.body.inertia_kg_m2 * omega * omega
            + model.bearings.lean_energy_j(model.body.mass_kg, model.body.cg_radius_m, phi);
        if let Some(weight) = &model.counterweight {
            let s = weight.strut.at(phi);
            let rate = weight.travel_ratio * s.d1_m * omega + y[SLACK_RATE];
            stored += 0.5 * weight.mass_kg * rate * rate
                + weight.energy_j(s.length_m)
                + weight.weight_n() * y[SLACK];
        }
        for damper in &model.dampers {
            stored += damper.energy_j(&damper.strut.at(phi));
        }
        stored
            + model.inboard_stop.energy_j(compression_m(&model.inboard_stop, phi, -1.0))
            + model.outboard_stop.energy_j(compression_m(&model.outboard_stop, phi, 1.0))
    }
}

/// Compression of a stop, m: `sense` −1 for the inboard stop, +1 for the outboard one.
pub fn compression_m(stop: &BumperStop, phi_rad: f64, sense: f64) -> f64 {
    sense * (phi_rad - stop.seat_rad) * stop.radius_m
}

#[cfg(test)]
mod tests;
