//! The page of laws is enough: the motion is built again from `check --format json` alone, by the page, with nothing of the engine.
//!
//! Steps of fixed length by the classical Runge–Kutta method in place of Dormand–Prince, rays in place of closed forms, chambers as they are in
//! place of following ones, arms of one machine always run together where they can meet. Each unit is compared with the engine's own run, all along.

use brusharm::pass::run;
use brusharm::scenario::Scenario;
use serde_json::Value;
use std::f64::consts::{PI, TAU};
use std::process::Command;

const G: f64 = 9.80665;
/// Widest stretch of directions that three rays stand for.
const WIDEST_RAD: f64 = 0.1;
const STEP_S: f64 = 0.01;
/// Step near a stop, where the force jumps as it is met.
const FINE_STEP_S: f64 = 0.0005;
/// How near, m.
const NEAR_STOP_M: f64 = 0.003;

fn number(v: &Value, key: &str) -> f64 {
    v[key].as_f64().unwrap_or_else(|| panic!("no number «{key}» in {v}"))
}

fn list<'v>(v: &'v Value, key: &str) -> &'v Vec<Value> {
    v[key].as_array().unwrap_or_else(|| panic!("no list «{key}»"))
}

type P = [f64; 2];

fn point(v: &Value) -> P {
    [number(v, "x_m"), number(v, "y_m")]
}
fn add(a: P, b: P) -> P {
    [a[0] + b[0], a[1] + b[1]]
}
fn sub(a: P, b: P) -> P {
    [a[0] - b[0], a[1] - b[1]]
}
fn times(a: P, k: f64) -> P {
    [a[0] * k, a[1] * k]
}
fn dot(a: P, b: P) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}
fn cross(a: P, b: P) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}
fn turned(a: P, by_rad: f64) -> P {
    let (s, c) = by_rad.sin_cos();
    [c * a[0] - s * a[1], s * a[0] + c * a[1]]
}
fn power(a: f64, p: f64) -> f64 {
    if p == 1.0 { a } else { a.powf(p) }
}
/// ẑ × a.
fn left_of(a: P) -> P {
    [-a[1], a[0]]
}

struct Strut {
    anchor: P,
    along: f64,
    across: f64,
}

impl Strut {
    fn read(v: &Value) -> Strut {
        let (along, across) = (number(v, "arm_along_m"), number(v, "arm_across_m"));
        Strut { anchor: point(&v["frame_anchor"]), along, across }
    }
    /// ℓ, ℓ′, ℓ″.
    fn at(&self, phi: f64) -> [f64; 3] {
        let (s, c) = phi.sin_cos();
        let b = [self.along * s + self.across * c, -self.along * c + self.across * s];
        let db = left_of(b);
        let d = sub(b, self.anchor);
        let l = dot(d, d).sqrt();
        let d1 = dot(d, db) / l;
        [l, d1, (dot(db, db) - dot(d, b) - d1 * d1) / l]
    }
}

struct Stop {
    seat: f64,
    radius: f64,
    k1: f64,
    k3: f64,
    c: f64,
    full: f64,
    rigid: f64,
    sense: f64,
}

impl Stop {
    fn read(v: &Value, sense: f64) -> Stop {
        let n = |key| number(v, key);
        let (k1, k3, c) = (n("linear_n_m"), n("cubic_n_m3"), n("damping_n_s_m"));
        let (full, rigid) = (n("full_compression_m"), n("rigid_n_m"));
        Stop { seat: n("seat_rad"), radius: n("radius_m"), k1, k3, c, full, rigid, sense }
    }
    fn compression(&self, phi: f64) -> f64 {
        self.sense * (phi - self.seat) * self.radius
    }
    fn torque(&self, phi: f64, omega: f64) -> f64 {
        let x = self.compression(phi);
        if x <= 0.0 {
            return 0.0;
        }
        let rate = self.sense * omega * self.radius;
        let force = self.k1 * x + self.k3 * x.powi(3) + self.c * rate + self.rigid * (x - self.full).max(0.0);
        -self.sense * force.max(0.0) * self.radius
    }
    /// The angle at which it is pressed to twice its full compression, and a little more.
    fn limit(&self) -> f64 {
        self.seat + self.sense * (2.0 * self.full / self.radius + 0.02)
    }
}

struct Damper {
    strut: Strut,
    out: [f64; 2],
    inward: [f64; 2],
    gas: Option<[f64; 3]>,
}

struct Chamber {
    area: f64,
    dead: f64,
    source: f64,
    relieving: bool,
    supply: [f64; 2],
    exhaust: [f64; 2],
    initial: String,
}

impl Chamber {
    fn read(v: &Value, atmosphere: f64) -> Chamber {
        let n = |key| number(v, key);
        Chamber {
            area: n("area_m2"),
            dead: n("dead_volume_m3"),
            source: n("regulator_gauge_pa") + atmosphere,
            relieving: v["relieving"].as_bool().expect("a flag"),
            supply: [n("supply_c_m3_s_pa"), n("supply_b")],
            exhaust: [n("exhaust_c_m3_s_pa"), n("exhaust_b")],
            initial: v["initial"].as_str().expect("a word").to_owned(),
        }
    }
    /// Flow into it, kg/s.
    fn flow(&self, on: &str, p: f64, atmosphere: f64, temperature: f64) -> f64 {
        let iso = |[c, b]: [f64; 2], up: f64, down: f64| {
            let w = |q: f64| if q <= b { 1.0 } else { (1.0 - ((q - b) / (1.0 - b)).powi(2)).sqrt() };
            let q = down / up;
            let share = if q <= 0.995 { w(q) } else { w(0.995) * (1.0 - q) / 0.005 };
            c * up * 1.185 * (293.15 / temperature).sqrt() * share
        };
        let both =
            |path, from: f64, to: f64| if from >= to { iso(path, from, to) } else { -iso(path, to, from) };
        match on {
            "supply" => {
                let flow = both(self.supply, self.source, p);
                if self.relieving { flow } else { flow.max(0.0) }
            }
            "exhaust" => both(self.exhaust, atmosphere, p),
            "closed" => 0.0,
            other => panic!("connected to {other}"),
        }
    }
    fn at_rest(&self, on: &str, atmosphere: f64, kept: f64) -> f64 {
        match on {
            "supply" => self.source,
            "exhaust" => atmosphere,
            _ => kept,
        }
    }
}

struct Cylinder {
    strut: Strut,
    closed: f64,
    stroke: f64,
    seal: f64,
    n: f64,
    temperature: f64,
    chambers: [Chamber; 2],
}

#[derive(Clone, Copy)]
enum Piece {
    Line { a: P, b: P },
    Arc { center: P, radius: f64, middle: P, cos_half: f64 },
}

impl Piece {
    fn read(v: &Value, flip: f64) -> Piece {
        let at = |v: &Value| [number(v, "x_m"), flip * number(v, "y_m")];
        let (from, to) = (at(&v["from"]), at(&v["to"]));
        if v["kind"] == "line" {
            // The outside stays on the right hand.
            return if flip > 0.0 { Piece::Line { a: from, b: to } } else { Piece::Line { a: to, b: from } };
        }
        let center = at(&v["center"]);
        let (off, half) = (sub(from, center), 0.5 * flip * number(v, "sweep_rad"));
        let radius = number(v, "radius_m");
        Piece::Arc { center, radius, middle: times(turned(off, half), 1.0 / radius), cos_half: half.cos() }
    }
    /// Directions that can meet it from `c`, as middle and half width; `None` when all of it is beyond `reach`.
    fn window(&self, c: P, reach: f64) -> Option<[f64; 2]> {
        match *self {
            Piece::Line { a, b } => {
                let (a, b) = (sub(a, c), sub(b, c));
                let along = sub(b, a);
                let s = (-dot(a, along) / dot(along, along)).clamp(0.0, 1.0);
                let nearest = add(a, times(along, s));
                let half = 0.5 * cross(a, b).atan2(dot(a, b));
                (dot(nearest, nearest) < reach * reach).then(|| [a[1].atan2(a[0]) + half, half.abs()])
            }
            Piece::Arc { center, radius, .. } => {
                let to = sub(center, c);
                let away = dot(to, to).sqrt();
                if away <= radius {
                    return (radius - away < reach).then_some([0.0, PI]);
                }
                // As far from the line of centres as a ray still meets it: to the tangent, or where the near side goes out of reach (cosine rule).
                let tangent_within_reach = away * away - radius * radius <= reach * reach;
                let half = if tangent_within_reach {
                    (radius / away).asin()
                } else {
                    ((away * away + reach * reach - radius * radius) / (2.0 * away * reach)).min(1.0).acos()
                };
                (away - radius < reach).then(|| [to[1].atan2(to[0]), half])
            }
        }
    }
    /// Directions in which a line goes out of `reach` of `c`.
    fn reached(&self, c: P, reach: f64) -> [Option<f64>; 2] {
        let Piece::Line { a, b } = *self else { return [None; 2] };
        let along = times(sub(b, a), 1.0 / dot(sub(b, a), sub(b, a)).sqrt());
        let foot = add(sub(a, c), times(along, dot(sub(c, a), along)));
        let square = reach * reach - dot(foot, foot);
        [-1.0, 1.0].map(|side| {
            let at = add(foot, times(along, side * square.max(0.0).sqrt()));
            (square > 0.0).then(|| at[1].atan2(at[0]))
        })
    }
    /// Distance along a ray, and the tangent where it meets.
    fn hit(&self, c: P, ray: P) -> Option<(f64, P)> {
        match *self {
            Piece::Line { a, b } => {
                let (to, along) = (sub(a, c), sub(b, a));
                let across = cross(ray, along);
                if across == 0.0 {
                    return None;
                }
                let (rho, s) = (cross(to, along) / across, cross(to, ray) / across);
                let long = dot(along, along).sqrt();
                (rho > 0.0 && (0.0..=1.0).contains(&s)).then(|| (rho, times(along, 1.0 / long)))
            }
            Piece::Arc { center, radius, middle, cos_half } => {
                let to = sub(center, c);
                let (along, miss) = (dot(to, ray), cross(to, ray));
                let square = radius * radius - miss * miss;
                if square < 0.0 {
                    return None;
                }
                let half = square.sqrt();
                for rho in [along - half, along + half] {
                    let off = sub(times(ray, rho), to);
                    if rho > 0.0 && dot(off, middle) >= radius * cos_half {
                        return Some((rho, times(left_of(off), 1.0 / radius)));
                    }
                }
                None
            }
        }
    }
}

struct Band {
    height: f64,
    shift: P,
    pieces: Vec<Piece>,
}

struct Vehicle {
    nose_at_zero: f64,
    length: f64,
    offset: f64,
    yaw: f64,
    bands: Vec<Band>,
}

struct Unit {
    pivot: P,
    length: f64,
    mass: f64,
    cg: f64,
    inertia: f64,
    coulomb: f64,
    breakaway: f64,
    viscous: f64,
    lean_sine: P,
    weight: Option<(f64, f64, Strut)>,
    dampers: Vec<Damper>,
    cylinder: Option<Cylinder>,
    stops: [Stop; 2],
    atmosphere: f64,
    radius: f64,
    hub: f64,
    z: [f64; 2],
    spin: f64,
    stiffness: f64,
    /// K/Ω² where K follows the turning.
    spin_stiffness: f64,
    exponent: f64,
    friction: f64,
    lead: f64,
    air_drag: f64,
    fade: f64,
    hub_stiffness: f64,
    speed: f64,
    vehicles: Vec<Vehicle>,
    /// When, which chamber, to what; in time order.
    switches: Vec<(f64, usize, String)>,
    flip: f64,
    /// Where it stands with no vehicle near, and where it would without the other brush.
    rest: f64,
    alone: f64,
}

impl Unit {
    fn read(document: &Value, v: &Value) -> Unit {
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
                    out: [n(d, "out_linear_n_s_m"), n(d, "out_quadratic_n_s2_m2")],
                    inward: [n(d, "in_linear_n_s_m"), n(d, "in_quadratic_n_s2_m2")],
                    gas: d["gas"].as_object().map(|_| {
                        let g = &d["gas"];
                        [n(g, "preload_n"), n(g, "rate_n_m"), n(g, "reference_m")]
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

    fn arm(&self, phi: f64) -> P {
        times([phi.sin(), -phi.cos()], self.length)
    }

    /// K at a turning over the ground.
    fn stiffness_at(&self, turning: f64) -> f64 {
        if self.spin_stiffness == 0.0 { self.stiffness } else { self.spin_stiffness * turning * turning }
    }

    /// Torque of vehicles and stirred air on the arm at time t.
    fn contact(&self, t: f64, phi: f64, omega: f64) -> f64 {
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
    fn strips(&self, band: &Band, center: P, velocity: P, spin: f64) -> (P, f64) {
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
    fn acts(&self, t: f64, y: &State, on: &[String; 2], other: f64) -> Acts {
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

    fn pressures(&self, on: &[String; 2], kept: [f64; 2]) -> [f64; 2] {
        let of = |k: usize| {
            self.cylinder
                .as_ref()
                .map_or(kept[k], |c| c.chambers[k].at_rest(&on[k], self.atmosphere, kept[k]))
        };
        [of(0), of(1)]
    }

    /// The sum that friction would have to hold, standing still.
    fn standing(&self, t: f64, phi: f64, on: &[String; 2], pressure: [f64; 2]) -> f64 {
        self.acts(t, &[phi, 0.0, pressure[0], pressure[1]], on, 0.0).sum
    }

    /// Where the sum changes sign between two angles.
    fn balance(&self, t: f64, mut a: f64, mut b: f64, on: &[String; 2], pressure: [f64; 2]) -> f64 {
        let outward = self.standing(t, a, on, pressure) > 0.0;
        for _ in 0..40 {
            let middle = 0.5 * (a + b);
            if (self.standing(t, middle, on, pressure) > 0.0) == outward { a = middle } else { b = middle }
        }
        0.5 * (a + b)
    }

    fn initial(&self) -> [String; 2] {
        let word = |k: usize| {
            self.cylinder.as_ref().map_or_else(|| "closed".to_owned(), |c| c.chambers[k].initial.clone())
        };
        [word(0), word(1)]
    }

    /// When it would start alone; checks the rest of the document on the way.
    fn starts_at(&self, measured: usize) -> f64 {
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
    fn start(&self, measured: usize, t: f64) -> (State, [String; 2]) {
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
type State = [f64; 4];

#[derive(Default, Clone, Copy)]
struct Acts {
    /// All torques but friction.
    sum: f64,
    /// Breakaway torque.
    hold: f64,
    coulomb: f64,
    inertia: f64,
    alpha: f64,
    pressure: [f64; 2],
    tension: f64,
}

/// Torques of two brushes on each other's arms.
fn on_each_other(units: &[Unit], y: &[State]) -> Vec<f64> {
    let [a, b] = units else { return vec![0.0; units.len()] };
    // Everything in the frame of the first; the second is turned over when it stands opposite.
    let flip = a.flip * b.flip;
    let over = |v: P| [v[0], flip * v[1]];
    let arms = [a.arm(y[0][0]), b.arm(y[1][0])];
    let centers = [add(a.pivot, arms[0]), over(add(b.pivot, arms[1]))];
    let between = sub(centers[1], centers[0]);
    let d = dot(between, between).sqrt();
    let height = a.z[1].min(b.z[1]) - a.z[0].max(b.z[0]);
    if d >= a.radius + b.radius || height <= 0.0 {
        return vec![0.0; 2];
    }
    let squares = a.radius * a.radius - b.radius * b.radius;
    let chord = [0.5 * (d + squares / d), 0.5 * (d - squares / d)];
    let turning = [a.spin + y[0][1], b.spin + y[1][1]];
    let flat = |u: &Unit, chord: f64, turning: f64| {
        let half = (chord.max(0.0) / u.radius).acos();
        let n = 200;
        let each = |i: i32| {
            let psi = half * ((f64::from(i) + 0.5) / f64::from(n) * 2.0 - 1.0);
            let press = u.radius - chord.max(0.0) / psi.cos();
            power(press.max(0.0), u.exponent) * psi.cos()
        };
        0.5 * u.stiffness_at(turning) * height * (0..n).map(each).sum::<f64>() * 2.0 * half / f64::from(n)
    };
    let push = 0.5 * (flat(a, chord[0], turning[0]) + flat(b, chord[1], turning[1]));
    let n = times(between, 1.0 / d);
    let t = left_of(n);
    let velocity = [times(left_of(arms[0]), y[0][1]), over(times(left_of(arms[1]), y[1][1]))];
    let spin = [turning[0], flip * turning[1]];
    let slip = dot(sub(velocity[0], velocity[1]), t) + spin[0] * chord[0] + spin[1] * chord[1];
    let rub = 0.5 * (a.friction + b.friction) * push * (slip / a.fade).clamp(-1.0, 1.0);
    let on_first = add(times(n, -push), times(t, -rub));
    let on_second = over(times(on_first, -1.0));
    vec![cross(arms[0], on_first) - chord[0] * rub, cross(arms[1], on_second) - flip * chord[1] * rub]
}

/// Checks the rest of two brushes that lean on each other: friction holds both there, and holds neither in its own balance.
fn check_lean(units: &[Unit]) {
    let long_before = |u: &Unit| u.vehicles[0].nose_at_zero - 100.0 / u.speed;
    let held = |at: fn(&Unit) -> f64| -> Vec<bool> {
        let on: Vec<[String; 2]> = units.iter().map(Unit::initial).collect();
        let state = |(u, on): (&Unit, &[String; 2])| {
            let [cap, rod] = u.pressures(on, [u.atmosphere; 2]);
            [at(u), 0.0, cap, rod]
        };
        let y: Vec<State> = units.iter().zip(&on).map(state).collect();
        let other = on_each_other(units, &y);
        let acts = |(i, u): (usize, &Unit)| u.acts(long_before(u), &y[i], &on[i], other[i]);
        units.iter().enumerate().map(acts).map(|acts| acts.sum.abs() <= acts.hold).collect()
    };
    if units.iter().any(|u| u.rest != u.alone) {
        assert_eq!(held(|u| u.rest), [true, true]);
        assert_eq!(held(|u| u.alone), [false, false]);
    }
}

/// Runs units together; (time, φ of each) after every step.
fn rebuild(units: &[Unit], measured: usize, end: f64) -> Vec<(f64, Vec<f64>)> {
    check_lean(units);
    let mut t = units.iter().map(|u| u.starts_at(measured)).fold(f64::INFINITY, f64::min);
    let (mut y, mut on): (Vec<State>, Vec<[String; 2]>) = units.iter().map(|u| u.start(measured, t)).unzip();
    let mut stuck = vec![true; units.len()];
    let mut path = vec![(t, y.iter().map(|s| s[0]).collect())];
    let all = |t: f64, y: &[State], on: &[[String; 2]]| -> Vec<Acts> {
        let other = on_each_other(units, y);
        units.iter().enumerate().map(|(i, u)| u.acts(t, &y[i], &on[i], other[i])).collect()
    };
    // A Coulomb torque that holds its sign through the step, whatever a stage passes through.
    let slopes = |acts: &[Acts], y: &[State], sign: &[f64]| -> Vec<State> {
        let each = |i: usize| {
            let (a, omega) = (&acts[i], y[i][1]);
            let alpha = (a.sum - units[i].viscous * omega - a.coulomb * sign[i]) / a.inertia;
            let [cap, rod] = a.pressure;
            if sign[i] == 0.0 { [0.0, 0.0, cap, rod] } else { [omega, alpha, cap, rod] }
        };
        (0..units.len()).map(each).collect()
    };
    let moved = |y: &[State], k: &[State], h: f64| -> Vec<State> {
        y.iter().zip(k).map(|(y, k)| std::array::from_fn(|i| y[i] + h * k[i])).collect()
    };
    let runge_kutta = |first: &[Acts], t: f64, y: &[State], on: &[[String; 2]], sign: &[f64], h: f64| {
        let slope_at = |t: f64, y: Vec<State>| slopes(&all(t, &y, on), &y, sign);
        let k1 = slopes(first, y, sign);
        let k2 = slope_at(t + 0.5 * h, moved(y, &k1, 0.5 * h));
        let k3 = slope_at(t + 0.5 * h, moved(y, &k2, 0.5 * h));
        let k4 = slope_at(t + h, moved(y, &k3, h));
        let mean =
            |i: usize| std::array::from_fn(|j| (k1[i][j] + 2.0 * (k2[i][j] + k3[i][j]) + k4[i][j]) / 6.0);
        moved(y, &(0..y.len()).map(mean).collect::<Vec<State>>(), h)
    };
    while t < end {
        for (i, unit) in units.iter().enumerate() {
            for (at, chamber, to) in &unit.switches {
                if (*at - t).abs() < 1e-9 {
                    on[i][*chamber].clone_from(to);
                }
            }
        }
        let acts = all(t, &y, &on);
        let mut sign = vec![0.0; units.len()];
        for i in 0..units.len() {
            assert!(acts[i].tension > 0.0, "the cable goes slack, which this rebuild does not follow");
            if stuck[i] && acts[i].sum.abs() > acts[i].hold {
                stuck[i] = false;
                sign[i] = acts[i].sum.signum();
            } else if !stuck[i] {
                sign[i] = if y[i][1] == 0.0 { acts[i].sum.signum() } else { y[i][1].signum() };
            }
        }
        let near_stop = units
            .iter()
            .zip(&y)
            .any(|(u, y)| u.stops.iter().any(|s| s.compression(y[0]).abs() < NEAR_STOP_M) && y[1] != 0.0);
        let mut h = if near_stop { FINE_STEP_S } else { STEP_S };
        for (at, ..) in units.iter().flat_map(|u| &u.switches) {
            if *at > t + 1e-9 {
                h = h.min(at - t);
            }
        }
        let mut next = runge_kutta(&acts, t, &y, &on, &sign, h);
        // A swing that turns: step to where it does.
        let turns = |next: &[State], i: usize| next[i][1] * sign[i] < 0.0 && y[i][1] != 0.0;
        let share = |i: usize| y[i][1] / (y[i][1] - next[i][1]);
        let first =
            (0..units.len()).filter(|&i| turns(&next, i)).min_by(|&a, &b| share(a).total_cmp(&share(b)));
        if let Some(i) = first {
            h *= share(i);
            next = runge_kutta(&acts, t, &y, &on, &sign, h);
            next[i][1] = 0.0;
            let acts = all(t + h, &next, &on);
            stuck[i] = acts[i].sum.abs() <= acts[i].hold;
        }
        t += h;
        y = next;
        path.push((t, y.iter().map(|s| s[0]).collect()));
    }
    path
}

/// The document of a scenario as the command prints it.
fn document(name: &str) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .args(["check", &format!("scenarios/{name}.ron"), "--format", "json"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the command runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Largest distance between the rebuilt motion and the engine's, deg, for groups of units run together.
fn compare(name: &str, groups: &[&[usize]]) -> f64 {
    let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the scenario");
    let record = run(&Scenario::read_alone(&text, &path).expect("good").setup()).expect("runs");
    let document = document(name);
    let seats = list(&document, "train");
    let measured = seats.iter().position(|s| s["measured"] == true).expect("one is measured");
    let mut worst: f64 = 0.0;
    for group in groups {
        let units: Vec<Unit> = group.iter().map(|&i| Unit::read(&document, &document["units"][i])).collect();
        let end = group.iter().map(|&i| record.units[i].next_touch_s).fold(f64::NEG_INFINITY, f64::max);
        let path = rebuild(&units, measured, end);
        for (k, &i) in group.iter().enumerate() {
            let unit = &record.units[i];
            let (mut low, mut high, mut compared, mut off_deg) =
                (f64::INFINITY, f64::NEG_INFINITY, 0, 0.0_f64);
            for (t, phi) in path.iter().filter(|(t, _)| *t >= unit.start_s() && *t <= unit.end_s()) {
                off_deg = off_deg.max((phi[k] - unit.state_at(*t).phi_rad()).to_degrees().abs());
                (low, high) = (low.min(phi[k]), high.max(phi[k]));
                compared += 1;
            }
            assert!((high - low).to_degrees() > 15.0 && compared > 3000, "{compared}");
            worst = worst.max(off_deg);
        }
    }
    worst
}

/// Both arms behind another vehicle, the right one mirrored.
#[test]
fn verif_a_pair_is_rebuilt_from_the_document() {
    let worst = compare("ferry-return", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// Brushes that press on each other.
#[test]
fn verif_opposite_brushes_are_rebuilt_from_the_document() {
    let worst = compare("opposite-pair", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// One arm, first in line: every part, from rest to the next nose.
#[test]
fn verif_one_unit_is_rebuilt_from_the_document() {
    let worst = compare("one-unit", &[&[0]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// Valves that follow the vehicle, and brushes that meet behind its tail.
#[test]
fn verif_a_scheduled_pair_is_rebuilt_from_the_document() {
    let worst = compare("air-drop", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}
