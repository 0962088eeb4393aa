//! The rig: locked arms, plain bodies, and what a brush that stands still does to a point that the conveyor carries past it.
//!
//! A point of a convex outline is touched while it lies within R of the brush centre c and its face looks toward c. In the ground frame the
//! point travels along x at speed v, so both are intervals of time: |c − p(t)| ≤ R gives (c_x − p_x ∓ √(R² − (c_y − p_y)²))/v, and
//! (c − p(t))·n ≥ 0 gives one end at (c_x − p_x + (c_y − p_y) n_y/n_x)/v. While touched, δ = R − ρ, cos θ = (c − p)·n/ρ, the pressure is
//! K δ^p cos θ/ρ, and the tip slides over the face at (ω ẑ × (p − c) − v x̂)·t, t along the face.

use crate::common::{bare_unit, far_stop};
use brusharm::arm::{Media, PivotFriction, PushBack, Side, SpinSense, UnitModel};
use brusharm::coverage::{
    CoverageSettings, Criteria, Gap, Outcome, Station, UnitTiming, ZoneSummary, measure,
};
use brusharm::geometry::Vec2;
use brusharm::pass::{Numerics, PassSetup, Record, TrainVehicle, VehiclePair, run};
use brusharm::vehicle::{BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, VehicleSpec, Zone};
use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::Arc;

/// Conveyor speed of every set-up here, m/s.
pub const SPEED_M_S: f64 = 0.2;
/// Length of every body here, m.
pub const LENGTH_M: f64 = 4.0;
/// Gap to the next vehicle, m.
pub const GAP_M: f64 = 3.0;
/// Outer radius of the brush, m.
pub const RADIUS_M: f64 = 0.6;
/// Set spin, rad/s: so slow that the travel of the conveyor is a fifth of the tip speed and not a trifle.
pub const SPIN_RAD_S: f64 = 3.0;
/// Strips of the brush.
pub const STRIPS: u32 = 24;
/// Friction of the left brush; the right one has another.
pub const FRICTION: f64 = 0.35;
/// Length of the arm, m.
const ARM_M: f64 = 2.0;

/// Measuring finer than by default, so that what is left is small beside any wrong factor.
pub fn fine() -> CoverageSettings {
    CoverageSettings { look_m: 0.012, ..CoverageSettings::default() }
}

/// Measuring so finely that single stations can be compared.
pub fn finest() -> CoverageSettings {
    CoverageSettings { station_m: 0.01, look_m: 0.003, ..CoverageSettings::default() }
}

/// A unit whose arm stands straight downstream (φ = 90°) on its bumper, held there by friction that nothing overcomes, with the brush centre
/// at lane x and so far out from the lane centreline. No mass, so that a leaning bearing moves the brush and nothing else.
pub fn locked(side: Side, x_m: f64, out_m: f64) -> UnitModel {
    let mut unit = bare_unit(100.0);
    unit.side = side;
    unit.pivot_m = Vec2::new(x_m - ARM_M, out_m);
    unit.body.length_m = ARM_M;
    unit.body.mass_kg = 0.0;
    unit.pivot = PivotFriction { coulomb_n_m: 1e12, breakaway_n_m: 1e12, viscous_n_m_s: 0.0 };
    unit.inboard_stop = far_stop(FRAC_PI_2);
    unit.outboard_stop = far_stop(2.5);
    unit.brush.radius_m = RADIUS_M;
    unit.brush.hub_radius_m = 0.05;
    unit.brush.z_low_m = 0.2;
    unit.brush.z_high_m = 1.4;
    unit.brush.strips = STRIPS;
    unit.brush.spin_rad_s = SPIN_RAD_S;
    unit.brush.spin_sense = SpinSense::OutboardAtNose;
    unit.brush.media = Media::stiff(PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.2 });
    unit.brush.stiffening_spin_rad_s = Some(6.0);
    unit.brush.friction = FRICTION;
    unit
}

/// K at the set spin by hand: the flat push-back F = 2 K₀ H (R sin a − d a) with cos a = d/R turned round, and stiffened by 1 + (3/6)².
pub fn stiffness() -> f64 {
    let d: f64 = 0.6 - 0.15;
    let a = (d / 0.6).acos();
    42.0 / (1.2 * 2.0 * (0.6 * a.sin() - d * a)) * 1.25
}

/// Share of the friction power that rubs, and how far before the place it points at a stiff strip of 0.6 m pushes, m: 0.32 R.
pub const RUBS: f64 = 0.7;
pub const LEAD_M: f64 = 0.192;

/// Strip passes per second at a touched point, N ω/2π.
pub fn wipe_rate_per_s() -> f64 {
    f64::from(STRIPS) * SPIN_RAD_S / TAU
}

/// One body: its heights, half width, and how far its nose and tail stand back.
#[derive(Clone, Copy)]
pub struct Tier {
    pub z_m: [f64; 2],
    pub half_width_m: f64,
    pub setback_m: f64,
}

/// A body with straight faces and corners of one radius (0 = sharp), tier upon tier.
pub fn body(tiers: &[Tier], corner_m: f64) -> VehicleSpec {
    let widest = tiers.iter().map(|t| t.half_width_m).fold(0.0, f64::max);
    let spec = |tier: &Tier| BodySpec {
        z_low_m: tier.z_m[0],
        z_high_m: tier.z_m[1],
        nose_setback_m: tier.setback_m,
        tail_setback_m: tier.setback_m,
        width_m: 2.0 * tier.half_width_m,
        nose_sweep_m: 0.0,
        nose_corner_radius_m: corner_m,
        tail_sweep_m: 0.0,
        tail_corner_radius_m: corner_m,
        side_barrel_m: 0.0,
    };
    VehicleSpec {
        name: "box".to_owned(),
        class: "test body".to_owned(),
        note: "Invented.".to_owned(),
        length_m: LENGTH_M,
        width_m: 2.0 * widest,
        height_m: tiers.last().expect("a tier").z_m[1],
        body: tiers.iter().map(spec).collect(),
        features: Vec::new(),
    }
}

/// A sharp box of one tier from 0.3 to 1.2 m.
pub fn plain_box(half_width_m: f64) -> VehicleSpec {
    body(&[Tier { z_m: [0.3, 1.2], half_width_m, setback_m: 0.0 }], 0.0)
}

/// Height of the plain box that the brush covers, m.
pub const BOX_HEIGHT_M: f64 = 0.9;

/// A feature between two heights.
pub fn feature(kind: FeatureKind, side: FeatureSide, z_m: [f64; 2], place: FeaturePlace) -> FeatureSpec {
    FeatureSpec {
        name: kind.name().to_owned(),
        kind,
        side,
        z_low_m: z_m[0],
        z_high_m: z_m[1],
        limit_force_n: None,
        place,
    }
}

/// A pass of one vehicle, first in line, straight and in the middle of the lane.
pub fn pass(units: Vec<UnitModel>, spec: &VehicleSpec) -> PassSetup {
    let real = spec.build().expect("the vehicle builds");
    let mirrored = spec.mirrored().build().expect("the mirrored vehicle builds");
    PassSetup {
        units,
        train: vec![TrainVehicle {
            shape: Arc::new(VehiclePair { real, mirrored }),
            lateral_offset_m: 0.0,
            yaw_rad: 0.0,
        }],
        measured: 0,
        gap_m: GAP_M,
        conveyor_speed_m_s: SPEED_M_S,
        numerics: Numerics::default(),
    }
}

/// Runs and measures, judging nothing.
pub fn solve(setup: &PassSetup, settings: &CoverageSettings) -> Outcome {
    solve_with(setup, settings, &Criteria::default()).1
}

/// Runs and measures.
pub fn solve_with(setup: &PassSetup, settings: &CoverageSettings, criteria: &Criteria) -> (Record, Outcome) {
    let record = run(setup).expect("the pass runs");
    let outcome = measure(setup, &record, settings, criteria);
    // The longest gap stands first, to the micrometre.
    let longer = |pair: &[Gap]| pair[0].length_m() > pair[1].length_m() - 1.1e-6;
    assert!(outcome.gaps.windows(2).all(longer), "{:?}", outcome.gaps);
    (record, outcome)
}

/// Summary of a zone.
pub fn zone(outcome: &Outcome, zone: Zone) -> &ZoneSummary {
    outcome.zones.iter().find(|z| z.zone == zone).expect("every zone is summed up")
}

/// Timing of one side's unit.
pub fn timing(outcome: &Outcome, side: Side) -> &UnitTiming {
    outcome.units.iter().find(|u| u.side == side).expect("the unit is there")
}

/// The station of a band nearest to arclength `s_m`.
pub fn station(outcome: &Outcome, band: usize, s_m: f64) -> &Station {
    let band = &outcome.coverage.bands[band];
    let off = |s: &&Station| {
        let d = (s.s_m - s_m).rem_euclid(band.perimeter_m);
        d.min(band.perimeter_m - d)
    };
    band.stations.iter().min_by(|a, b| off(a).total_cmp(&off(b))).expect("stations")
}

/// Fails with a name unless `got` is within `share` of `want`, which is not zero.
#[track_caller]
pub fn near(got: f64, want: f64, share: f64, what: &str) {
    assert!(want != 0.0, "{what}: nothing to compare with");
    assert!(
        (got / want - 1.0).abs() <= share,
        "{what}: {got}, by hand {want}, off by {:e}",
        got / want - 1.0
    );
}

/// Fails with a name unless `got` is within `allowed` of `want`.
#[track_caller]
pub fn close(got: f64, want: f64, allowed: f64, what: &str) {
    assert!((got - want).abs() <= allowed, "{what}: {got}, by hand {want}, off by {:e}", got - want);
}

/// What samples in time and at five spots of a station may miss of the highest pressure, as a share.
const PEAK_SAMPLED: f64 = 1e-3;

/// What happened to a point.
#[derive(Debug, Clone, Copy, Default)]
pub struct Touch {
    pub contact_s: f64,
    pub pressure_time_pa_s: f64,
    pub work_j_m2: f64,
    pub peak_pa: f64,
    pub from_s: f64,
    pub to_s: f64,
}

/// A brush that stands still, in the ground frame.
#[derive(Debug, Clone, Copy)]
pub struct Post {
    pub c: Vec2,
    pub radius_m: f64,
    /// Positive counterclockwise seen from above.
    pub spin_rad_s: f64,
    pub stiffness: f64,
    pub exponent: f64,
    pub friction: f64,
}

impl Post {
    /// The brush of a locked unit. The right unit stands in the mirror image: −y, and its spin turned round.
    pub fn of(unit: &UnitModel) -> Post {
        let sign = if unit.side == Side::Left { 1.0 } else { -1.0 };
        let sense = if unit.brush.spin_sense == SpinSense::OutboardAtNose { 1.0 } else { -1.0 };
        Post {
            c: Vec2::new(unit.pivot_m.x + ARM_M, sign * unit.pivot_m.y),
            radius_m: unit.brush.radius_m,
            spin_rad_s: sign * sense * unit.brush.spin_rad_s,
            stiffness: stiffness(),
            exponent: unit.brush.exponent,
            friction: unit.brush.friction,
        }
    }

    /// Pressure (Pa) and speed of the tip along the face (m/s) at a point at p (ground) with outward normal n, which travels along x.
    pub fn press(&self, p: Vec2, n: Vec2) -> (f64, f64) {
        let to = self.c - p;
        let rho = to.norm();
        let t = Vec2::new(-n.y, n.x);
        let tip = Vec2::new(to.y, -to.x) * self.spin_rad_s - Vec2::new(SPEED_M_S, 0.0);
        let push = self.stiffness * (self.radius_m - rho).max(0.0).powf(self.exponent);
        (push * to.dot(&n).max(0.0).powi(2) / rho.powi(3), tip.dot(&t))
    }

    /// What it does to the point that is at p at t = 0.
    pub fn touch(&self, p: Vec2, n: Vec2) -> Touch {
        let d = self.c - p;
        if d.y.abs() >= self.radius_m {
            return Touch::default();
        }
        let half = (self.radius_m * self.radius_m - d.y * d.y).sqrt();
        let (mut from, mut to) = ((d.x - half) / SPEED_M_S, (d.x + half) / SPEED_M_S);
        if n.x.abs() > 1e-9 {
            let turn = (d.x + d.y * n.y / n.x) / SPEED_M_S;
            if n.x > 0.0 { to = to.min(turn) } else { from = from.max(turn) }
        } else if d.y * n.y < 0.0 {
            return Touch::default();
        }
        if to <= from {
            return Touch::default();
        }
        let mut sum = Touch { contact_s: to - from, from_s: from, to_s: to, ..Touch::default() };
        let count = 400;
        let dt = (to - from) / f64::from(count);
        for i in 0..count {
            let t = from + (f64::from(i) + 0.5) * dt;
            let (pressure, tip) = self.press(p + Vec2::new(SPEED_M_S * t, 0.0), n);
            sum.pressure_time_pa_s += pressure * dt;
            sum.work_j_m2 += RUBS * self.friction * pressure * tip.abs() * dt;
            sum.peak_pa = sum.peak_pa.max(pressure);
        }
        sum
    }
}

/// How a vehicle stands on the conveyor, in the ground frame: turned counterclockwise about its middle, then moved to the left.
#[derive(Debug, Clone, Copy)]
pub struct Stand {
    pub offset_m: f64,
    pub yaw_rad: f64,
    pub length_m: f64,
}

impl Stand {
    /// A direction of the vehicle in the ground frame.
    pub fn turn(&self, v: Vec2) -> Vec2 {
        let (sin, cos) = self.yaw_rad.sin_cos();
        Vec2::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y)
    }

    /// A point of the vehicle in the ground frame at t = 0.
    pub fn place(&self, p: Vec2) -> Vec2 {
        let middle = Vec2::new(-0.5 * self.length_m, 0.0);
        self.turn(p - middle) + middle + Vec2::new(0.0, self.offset_m)
    }
}

/// Compares every station of every band with the closed form, averaged over the station; `allowed` is a share of the highest of each
/// quantity. `brush_at` gives the brush of a unit at the height of a band. Returns how many stations are touched.
pub fn compare_stations(
    setup: &PassSetup,
    outcome: &Outcome,
    allowed: f64,
    brush_at: impl Fn(&UnitModel, f64) -> Post,
) -> usize {
    let train = &setup.train[0];
    let vehicle = &train.shape.real;
    let stand =
        Stand { offset_m: train.lateral_offset_m, yaw_rad: train.yaw_rad, length_m: vehicle.length_m };
    let mut touched = 0;
    for unit in &setup.units {
        let (mut zones_peaks, mut highest_pa) = (Vec::new(), [[0.0_f64; 2]; 4]);
        for band in &outcome.coverage.bands {
            let chain = &vehicle.bands[band.band].body().expect("a body").chain;
            let brush = brush_at(unit, 0.5 * (band.z_low_m + band.z_high_m));
            // What a station says is what the spot in its middle gets.
            let middle_of = |s: &Station| {
                brush.touch(stand.place(chain.point_at(s.s_m)), stand.turn(chain.normal_at(s.s_m)))
            };
            let wanted: Vec<Touch> = band.stations.iter().map(middle_of).collect();
            let most = |value: fn(&Touch) -> f64| wanted.iter().map(value).fold(0.0, f64::max);
            for (i, (s, want)) in band.stations.iter().zip(&wanted).enumerate() {
                let got = &s.cells[unit.side.index()];
                let about = |what: &str| {
                    format!(
                        "{what}, {} brush, band {}, station {i} at {:?}",
                        unit.side.name(),
                        band.band,
                        s.point_m
                    )
                };
                close((s.point_m - chain.point_at(s.s_m)).norm(), 0.0, 1e-12, &about("place"));
                let limit = |value: fn(&Touch) -> f64| allowed * most(value) + 1e-12;
                close(got.contact_s, want.contact_s, limit(|t| t.contact_s), &about("contact time"));
                close(
                    got.wipes,
                    want.contact_s * wipe_rate_per_s(),
                    limit(|t| t.contact_s) * wipe_rate_per_s(),
                    &about("wipes"),
                );
                close(
                    got.pressure_time_pa_s,
                    want.pressure_time_pa_s,
                    limit(|t| t.pressure_time_pa_s),
                    &about("pressure × time"),
                );
                close(got.work_j_m2, want.work_j_m2, limit(|t| t.work_j_m2), &about("work"));
                // A station tells the highest pressure of its middle; the one under the highest of a zone tells that, wherever in the station.
                // By hand it is the highest of 400 instants.
                let near_pa = limit(|t| t.peak_pa) + 1e-4 * most(|t| t.peak_pa);
                let peak_at = |share: f64| {
                    let s_m = s.s_m + s.length_m * share;
                    brush.touch(stand.place(chain.point_at(s_m)), stand.turn(chain.normal_at(s_m))).peak_pa
                };
                if got.peak_pa > want.peak_pa + near_pa {
                    let highest = (0..=100).map(|k| peak_at(f64::from(k) / 100.0 - 0.5)).fold(0.0, f64::max);
                    close(got.peak_pa, highest, near_pa, &about("highest of a zone"));
                    zones_peaks.push(s.zone);
                } else {
                    close(got.peak_pa, want.peak_pa, near_pa, &about("peak"));
                }
                if s.judged {
                    // Not to the very ends: beside a corner the next face begins there.
                    let anywhere_pa =
                        [-0.4999, -0.25, 0.25, 0.4999].map(peak_at).into_iter().fold(want.peak_pa, f64::max);
                    let [got_pa, want_pa] = &mut highest_pa[s.zone as usize];
                    (*got_pa, *want_pa) = (got_pa.max(got.peak_pa), want_pa.max(anywhere_pa));
                }
                if want.contact_s > 0.5 {
                    touched += 1;
                    close(got.first_s.expect("touched"), want.from_s, 1e-6, &about("first touch"));
                    close(got.last_s.expect("touched"), want.to_s, 1e-6, &about("last touch"));
                }
                assert_eq!(got.first_s.is_some(), got.contact_s > 0.0, "{}", about("first touch"));
            }
        }
        let told = zones_peaks.len();
        zones_peaks.sort();
        zones_peaks.dedup();
        assert_eq!(zones_peaks.len(), told, "one highest pressure a zone");
        for [got_pa, want_pa] in highest_pa {
            close(got_pa, want_pa, PEAK_SAMPLED * want_pa, "highest pressure of a zone");
        }
    }
    touched
}
