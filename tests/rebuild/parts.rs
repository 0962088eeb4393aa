//! Parts of a unit and their laws, read from the document.

use crate::plane::*;
use serde_json::Value;

pub const G: f64 = 9.80665;

pub fn number(v: &Value, key: &str) -> f64 {
    v[key].as_f64().unwrap_or_else(|| panic!("no number «{key}» in {v}"))
}

pub fn list<'v>(v: &'v Value, key: &str) -> &'v Vec<Value> {
    v[key].as_array().unwrap_or_else(|| panic!("no list «{key}»"))
}

pub fn point(v: &Value) -> P {
    [number(v, "x_m"), number(v, "y_m")]
}

pub struct Strut {
    pub anchor: P,
    pub along: f64,
    pub across: f64,
}

impl Strut {
    pub fn read(v: &Value) -> Strut {
        let (along, across) = (number(v, "arm_along_m"), number(v, "arm_across_m"));
        Strut { anchor: point(&v["frame_anchor"]), along, across }
    }
    /// ℓ, ℓ′, ℓ″.
    pub fn at(&self, phi: f64) -> [f64; 3] {
        let (s, c) = phi.sin_cos();
        let b = [self.along * s + self.across * c, -self.along * c + self.across * s];
        let db = left_of(b);
        let d = sub(b, self.anchor);
        let l = dot(d, d).sqrt();
        let d1 = dot(d, db) / l;
        [l, d1, (dot(db, db) - dot(d, b) - d1 * d1) / l]
    }
}

pub struct Stop {
    pub seat: f64,
    pub radius: f64,
    k1: f64,
    k3: f64,
    pub c: f64,
    pub full: f64,
    pub rigid: f64,
    pub sense: f64,
}

impl Stop {
    pub fn read(v: &Value, sense: f64) -> Stop {
        let n = |key| number(v, key);
        let (k1, k3, c) = (n("linear_n_per_m"), n("cubic_n_per_m3"), n("damping_n_s_per_m"));
        let (full, rigid) = (n("full_compression_m"), n("rigid_n_per_m"));
        Stop { seat: n("seat_rad"), radius: n("radius_m"), k1, k3, c, full, rigid, sense }
    }
    pub fn compression(&self, phi: f64) -> f64 {
        self.sense * (phi - self.seat) * self.radius
    }
    pub fn torque(&self, phi: f64, omega: f64) -> f64 {
        let x = self.compression(phi);
        if x <= 0.0 {
            return 0.0;
        }
        let rate = self.sense * omega * self.radius;
        let force = self.k1 * x + self.k3 * x.powi(3) + self.c * rate + self.rigid * (x - self.full).max(0.0);
        -self.sense * force.max(0.0) * self.radius
    }
    /// The angle at which it is pressed to twice its full compression, and a little more.
    pub fn limit(&self) -> f64 {
        self.seat + self.sense * (2.0 * self.full / self.radius + 0.02)
    }
}

pub struct Damper {
    pub strut: Strut,
    pub out: [f64; 2],
    pub inward: [f64; 2],
    pub gas: Option<[f64; 3]>,
}

pub struct Chamber {
    pub area: f64,
    pub dead: f64,
    pub source: f64,
    pub relieving: bool,
    pub supply: [f64; 2],
    pub exhaust: [f64; 2],
    pub initial: String,
}

impl Chamber {
    pub fn read(v: &Value, atmosphere: f64) -> Chamber {
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
    pub fn flow(&self, on: &str, p: f64, atmosphere: f64, temperature: f64) -> f64 {
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
    pub fn at_rest(&self, on: &str, atmosphere: f64, kept: f64) -> f64 {
        match on {
            "supply" => self.source,
            "exhaust" => atmosphere,
            _ => kept,
        }
    }
}

pub struct Cylinder {
    pub strut: Strut,
    pub closed: f64,
    pub stroke: f64,
    pub seal: f64,
    pub n: f64,
    pub temperature: f64,
    pub chambers: [Chamber; 2],
}
