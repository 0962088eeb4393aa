//! One unit with the train it meets: what acts on the arm, where it rests and how a run starts.

use crate::outline::*;
use crate::parts::*;
use crate::plane::*;
use serde_json::Value;
use std::f64::consts::TAU;

/// Widest stretch of directions that three rays stand for.
pub const WIDEST_RAD: f64 = 0.1;

pub struct Unit {
    pub pivot: P,
    pub length: f64,
    pub mass: f64,
    pub cg: f64,
    pub inertia: f64,
    pub coulomb: f64,
    pub breakaway: f64,
    pub viscous: f64,
    pub lean_sine: P,
    pub weight: Option<(f64, f64, Strut)>,
    pub dampers: Vec<Damper>,
    pub cylinder: Option<Cylinder>,
    pub stops: [Stop; 2],
    pub atmosphere: f64,
    pub radius: f64,
    pub hub: f64,
    pub z: [f64; 2],
    pub spin: f64,
    pub stiffness: f64,
    /// K/Ω² where K follows the turning.
    pub spin_stiffness: f64,
    pub exponent: f64,
    pub friction: f64,
    pub lead: f64,
    pub air_drag: f64,
    pub fade: f64,
    pub hub_stiffness: f64,
    pub speed: f64,
    pub vehicles: Vec<Vehicle>,
    /// When, which chamber, to what; in time order.
    pub switches: Vec<(f64, usize, String)>,
    pub flip: f64,
    /// Where it stands with no vehicle near, and where it would without the other brush.
    pub rest: f64,
    pub alone: f64,
}

impl Unit {
    pub fn read(document: &Value, v: &Value) -> Unit {
        let n = number;
        let flip = if v["side"] == "left" { 1.0 } else { -1.0 };
        let (body, friction, bearings, brush) =
            (&v["body"], &v["pivot_friction"], &v["bearings"], &v["brush"]);
        let delta = [
            n(bearings, "upper_downstream_m") - n(bearings, "lower_downstream_m"),
            n(bearings, "upper_toward_wall_m") - n(bearings, "lower_toward_wall_m"),
        ];
        let span = n(bearings, "span_m");
        let atmosphere = n(v, "atmosphere_pa");
        let z = [n(brush, "z_low_m"), n(brush, "z_high_m")];
        let speed = n(&document["line"], "conveyor_speed_m_s");
        let pivot = point(&v["pivot"]);
        let band = |b: &Value| {
            let (low, high) = (z[0].max(n(b, "z_low_m")), z[1].min(n(b, "z_high_m")));
            let shift = times(delta, (0.5 * (low + high) - n(v, "pivot_height_m")) / span);
            let pieces = list(b, "outlines").iter().flat_map(|o| list(o, "pieces"));
            Band { height: high - low, shift, pieces: pieces.map(|p| Piece::read(p, flip)).collect() }
        };
        let vehicles: Vec<Vehicle> = list(document, "train")
            .iter()
            .map(|seat| {
                let shape = &document["vehicles"][seat["vehicle"].as_u64().expect("an index") as usize];
                Vehicle {
                    nose_at_zero: n(seat, "nose_at_zero_s"),
                    length: n(shape, "length_m"),
                    offset: flip * n(seat, "lateral_offset_m"),
                    yaw: flip * n(seat, "yaw_rad"),
                    bands: list(shape, "bands").iter().map(band).filter(|b| b.height > 1e-9).collect(),
                }
            })
            .collect();
        let cylinder = v["cylinder"].as_object().map(|_| &v["cylinder"]);
        let mut switches = Vec::new();
        for vehicle in &vehicles {
            for step in cylinder.map_or(&Vec::new(), |c| list(c, "schedule")) {
                let behind = if step["when"] == "tail" { vehicle.length } else { 0.0 };
                let at =
                    vehicle.nose_at_zero + (pivot[0] + n(step, "at_m") + behind) / speed + n(step, "delay_s");
                let chamber = usize::from(step["chamber"] == "rod");
                switches.push((at, chamber, step["to"].as_str().expect("a word").to_owned()));
            }
        }
        switches.sort_by(|a, b| a.0.total_cmp(&b.0));
        let weight = v["counterweight"].as_object().map(|_| &v["counterweight"]);
        Unit {
            pivot,
            length: n(body, "length_m"),
            mass: n(body, "mass_kg"),
            cg: n(body, "cg_radius_m"),
            inertia: n(body, "inertia_kg_m2"),
            coulomb: n(friction, "coulomb_n_m"),
            breakaway: n(friction, "breakaway_n_m"),
            viscous: n(friction, "viscous_n_m_s"),
            lean_sine: times(delta, 1.0 / (dot(delta, delta) + span * span).sqrt()),
            weight: weight.map(|w| (n(w, "mass_kg"), n(w, "travel_ratio"), Strut::read(&w["strut"]))),
            dampers: list(v, "dampers")
                .iter()
                .map(|d| Damper {
                    strut: Strut::read(&d["strut"]),
                    out: [n(d, "out_linear_n_s_per_m"), n(d, "out_quadratic_n_s2_per_m2")],
                    inward: [n(d, "in_linear_n_s_per_m"), n(d, "in_quadratic_n_s2_per_m2")],
                    gas: d["gas"].as_object().map(|_| {
                        let g = &d["gas"];
                        [n(g, "preload_n"), n(g, "rate_n_per_m"), n(g, "reference_m")]
                    }),
                })
                .collect(),
            cylinder: cylinder.map(|c| Cylinder {
                strut: Strut::read(&c["strut"]),
                closed: n(c, "closed_length_m"),
                stroke: n(c, "stroke_m"),
                seal: n(c, "seal_friction_n"),
                n: n(c, "polytropic_index"),
                temperature: n(c, "temperature_k"),
                chambers: [Chamber::read(&c["cap"], atmosphere), Chamber::read(&c["rod"], atmosphere)],
            }),
            stops: [Stop::read(&v["inboard_stop"], -1.0), Stop::read(&v["outboard_stop"], 1.0)],
            atmosphere,
            radius: n(brush, "radius_m"),
            hub: n(brush, "hub_radius_m"),
            z,
            spin: n(brush, "spin_rad_s"),
            stiffness: n(brush, "stiffness"),
            spin_stiffness: n(brush, "spin_stiffness"),
            exponent: n(brush, "exponent"),
            lead: n(brush, "lead_m"),
            air_drag: n(brush, "air_drag_n_m_s2"),
            friction: n(brush, "friction"),
            fade: n(brush, "friction_fade_m_s"),
            hub_stiffness: n(brush, "hub_stiffness"),
            speed,
            vehicles,
            switches,
            flip,
            rest: n(&v["rest"], "swing_rad"),
            alone: v["rest"]["alone_rad"].as_f64().unwrap_or_else(|| n(&v["rest"], "swing_rad")),
        }
    }

    pub fn arm(&self, phi: f64) -> P {
        times([phi.sin(), -phi.cos()], self.length)
    }

    /// K at a turning over the ground.
    pub fn stiffness_at(&self, turning: f64) -> f64 {
        if self.spin_stiffness == 0.0 { self.stiffness } else { self.spin_stiffness * turning * turning }
    }

    /// Torque of vehicles and stirred air on the arm at time t.
    pub fn contact(&self, t: f64, phi: f64, omega: f64) -> f64 {
        let arm = self.arm(phi);
        let (center, velocity) = (add(self.pivot, arm), times(left_of(arm), omega));
        // The air that the strips stir.
        let turning = self.spin + omega;
        let mut torque = -self.air_drag * turning * turning.abs();
        for vehicle in &self.vehicles {
            let half = 0.5 * vehicle.length;
            let middle = [self.speed * (t - vehicle.nose_at_zero) - half, vehicle.offset];
            if (center[0] - middle[0]).abs() > half + self.radius + 0.3 {
                continue;
            }
            let slide = turned(sub(velocity, [self.speed, 0.0]), -vehicle.yaw);
            for band in &vehicle.bands {
                let at = turned(sub(add(center, band.shift), middle), -vehicle.yaw);
                let local = sub(at, [half, 0.0]);
                let (force, moment) = self.strips(band, local, slide, self.spin + omega);
                torque += band.height * (cross(arm, turned(force, vehicle.yaw)) + moment);
            }
        }
        torque
    }

    /// Force on the brush and its moment about the spindle, per metre of height, ray by ray: three in each stretch of directions, which ends at the
    /// latest where a piece does.
    pub fn strips(&self, band: &Band, center: P, velocity: P, spin: f64) -> (P, f64) {
        let seen: Vec<(&Piece, [f64; 2])> =
            band.pieces.iter().filter_map(|p| Some((p, p.window(center, self.radius)?))).collect();
        let Some(&(_, [ahead, _])) = seen.first() else { return ([0.0; 2], 0.0) };
        // Directions from the first on, so that none jumps by a whole turn.
        let near = |angle: f64| angle - TAU * ((angle - ahead) / TAU).round();
        let mut ends: Vec<f64> = Vec::new();
        for (piece, [middle, half]) in &seen {
            let middle = near(*middle);
            ends.extend([middle - half, middle + half]);
            ends.extend(piece.reached(center, self.radius).into_iter().flatten().map(near));
        }
        ends.sort_by(f64::total_cmp);
        let (mut force, mut moment) = ([0.0; 2], 0.0);
        for pair in ends.windows(2) {
            let (from, wide) = (pair[0], pair[1] - pair[0]);
            let among: Vec<&Piece> = seen
                .iter()
                .filter(|(_, [middle, half])| (near(*middle) - from - 0.5 * wide).abs() < *half)
                .map(|(piece, _)| *piece)
                .collect();
            if wide < 1e-9 || among.is_empty() {
                continue;
            }
            let parts = (wide / WIDEST_RAD).ceil();
            let part = wide / parts;
            for k in 0..parts as usize {
                for (x, weight) in
                    [(-0.6_f64.sqrt(), 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.6_f64.sqrt(), 5.0 / 18.0)]
                {
                    let ray = turned([1.0, 0.0], from + (k as f64 + 0.5 + 0.5 * x) * part);
                    let hits = among.iter().filter_map(|piece| piece.hit(center, ray));
                    let Some((rho, tangent)) = hits.min_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
                    if rho >= self.radius {
                        continue;
                    }
                    let normal = [tangent[1], -tangent[0]];
                    let square = -dot(ray, normal);
                    let strip = self.stiffness_at(spin) * power(self.radius - rho, self.exponent) * square;
                    let push = strip + self.hub_stiffness * (self.hub - rho).max(0.0) * square;
                    let slip = dot(add(velocity, times(left_of(ray), spin * rho)), tangent);
                    let sense = (slip / self.fade).clamp(-1.0, 1.0);
                    let on_brush = add(times(normal, push), times(tangent, -self.friction * push * sense));
                    force = add(force, times(on_brush, weight * part));
                    // The strips push where they arrive, a lead before the place they point at; the hub does not.
                    let lead = cross(times(tangent, -sense * self.lead), times(normal, strip));
                    moment += (cross(times(ray, rho), on_brush) + lead) * weight * part;
                }
            }
        }
        (force, moment)
    }

    /// What acts on the arm.
    pub fn acts(&self, t: f64, y: &State, on: &[String; 2], other: f64) -> Acts {
        let [phi, omega, p_cap, p_rod] = *y;
        let (s, c) = phi.sin_cos();
        let mut sum =
            self.mass * G * self.cg * dot(self.lean_sine, [c, s]) + self.contact(t, phi, omega) + other;
        for damper in &self.dampers {
            let [l, d1, _] = damper.strut.at(phi);
            let rate = d1 * omega;
            let [c1, c2] = if omega > 0.0 { damper.out } else { damper.inward };
            let gas = damper.gas.map_or(0.0, |[preload, k, reference]| preload + k * (reference - l));
            sum += (gas - (c1 + c2 * rate.abs()) * rate) * d1;
        }
        for stop in &self.stops {
            sum += stop.torque(phi, omega);
        }
        let mut found = Acts { hold: self.breakaway, coulomb: self.coulomb, ..Acts::default() };
        if let Some(cylinder) = &self.cylinder {
            let [l, d1, _] = cylinder.strut.at(phi);
            let [cap, rod] = &cylinder.chambers;
            let p = [p_cap, p_rod];
            sum += ((p_cap - self.atmosphere) * cap.area - (p_rod - self.atmosphere) * rod.area) * d1;
            found.hold += cylinder.seal * d1.abs();
            found.coulomb += cylinder.seal * d1.abs();
            let x = l - cylinder.closed;
            for (k, (volume, grows)) in [
                (cap.dead + cap.area * x, cap.area * d1 * omega),
                (rod.dead + rod.area * (cylinder.stroke - x), -rod.area * d1 * omega),
            ]
            .into_iter()
            .enumerate()
            {
                let flow = cylinder.chambers[k].flow(&on[k], p[k], self.atmosphere, cylinder.temperature);
                let warm = 287.05287 * cylinder.temperature * flow;
                found.pressure[k] = cylinder.n / volume * (warm - p[k] * grows);
            }
        }
        found.inertia = self.inertia;
        found.tension = f64::INFINITY;
        let mut rise = None;
        if let Some((mass, k, strut)) = &self.weight {
            let [_, d1, d2] = strut.at(phi);
            found.inertia += mass * (k * d1).powi(2);
            sum -= k * d1 * mass * (G + k * d2 * omega * omega);
            rise = Some((*mass, k * d1, k * d2 * omega * omega));
        }
        found.sum = sum;
        let sign = if omega == 0.0 { 0.0 } else { omega.signum() };
        found.alpha = (sum - self.viscous * omega - found.coulomb * sign) / found.inertia;
        if let Some((mass, lever, bend)) = rise {
            found.tension = mass * (G + lever * found.alpha + bend);
        }
        found
    }

    pub fn pressures(&self, on: &[String; 2], kept: [f64; 2]) -> [f64; 2] {
        let of = |k: usize| {
            self.cylinder
                .as_ref()
                .map_or(kept[k], |c| c.chambers[k].at_rest(&on[k], self.atmosphere, kept[k]))
        };
        [of(0), of(1)]
    }

    /// The sum that friction would have to hold, standing still.
    pub fn standing(&self, t: f64, phi: f64, on: &[String; 2], pressure: [f64; 2]) -> f64 {
        self.acts(t, &[phi, 0.0, pressure[0], pressure[1]], on, 0.0).sum
    }

    /// Where the sum changes sign between two angles.
    pub fn balance(&self, t: f64, mut a: f64, mut b: f64, on: &[String; 2], pressure: [f64; 2]) -> f64 {
        let outward = self.standing(t, a, on, pressure) > 0.0;
        for _ in 0..40 {
            let middle = 0.5 * (a + b);
            if (self.standing(t, middle, on, pressure) > 0.0) == outward { a = middle } else { b = middle }
        }
        0.5 * (a + b)
    }

    pub fn initial(&self) -> [String; 2] {
        let word = |k: usize| {
            self.cylinder.as_ref().map_or_else(|| "closed".to_owned(), |c| c.chambers[k].initial.clone())
        };
        [word(0), word(1)]
    }

    /// When it would start alone; checks the rest of the document on the way.
    pub fn starts_at(&self, measured: usize) -> f64 {
        let on = self.initial();
        let pressure = self.pressures(&on, [self.atmosphere; 2]);
        let (low, high) = (self.stops[0].limit(), self.stops[1].limit());
        let count = 400;
        let at = |i: i32| low + (high - low) * f64::from(i) / f64::from(count);
        // Rest: long before any vehicle.
        let before = self.vehicles[0].nose_at_zero - 100.0 / self.speed;
        let out = |i: i32| self.standing(before, at(i), &on, pressure) > 0.0;
        let i = (1..=count).find(|&i| out(i - 1) && !out(i)).expect("a rest");
        let rest = self.balance(before, at(i - 1), at(i), &on, pressure);
        assert!((rest - self.alone).abs() < 1e-9, "rest {rest}, the document says {}", self.alone);
        let center_x = self.pivot[0] + self.arm(self.rest)[0];
        let first = &self.vehicles[0];
        if measured == 0 {
            let near = first.nose_at_zero + (center_x - self.radius - 0.5) / self.speed;
            return self.switches.first().map_or(near, |s| near.min(s.0 - 0.5));
        }
        first.nose_at_zero + (center_x + 0.5 * first.length) / self.speed
    }

    /// State and valves at the start of a run at `t`.
    pub fn start(&self, measured: usize, t: f64) -> (State, [String; 2]) {
        let mut on = self.initial();
        let mut pressure = self.pressures(&on, [self.atmosphere; 2]);
        if measured == 0 {
            return ([self.rest, 0.0, pressure[0], pressure[1]], on);
        }
        for (_, chamber, to) in self.switches.iter().filter(|s| s.0 <= t) {
            on[*chamber].clone_from(to);
            pressure = self.pressures(&on, pressure);
        }
        let (low, high) = (self.stops[0].limit(), self.stops[1].limit());
        let at = |i: i32| low + (high - low) * f64::from(i) / 400.0;
        let inner =
            (0..400).rev().find(|&i| self.standing(t, at(i), &on, pressure) > 0.0).expect("a balance");
        let phi = self.balance(t, at(inner), at(inner + 1), &on, pressure);
        ([phi, 0.0, pressure[0], pressure[1]], on)
    }
}

/// φ, φ̇, cap and rod pressure.
pub type State = [f64; 4];

#[derive(Default, Clone, Copy)]
pub struct Acts {
    /// All torques but friction.
    pub sum: f64,
    /// Breakaway torque.
    pub hold: f64,
    pub coulomb: f64,
    pub inertia: f64,
    pub alpha: f64,
    pub pressure: [f64; 2],
    pub tension: f64,
}
