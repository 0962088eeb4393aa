//! Arms that swing: the stations of a real pass against a plain sum over short steps of time along the same motion. The brush centre moves with
//! the arm, which adds to how its tips slide; the strips turn at the set spin plus the swing rate, for the motor rides on the arm.

use crate::common::machine;
use crate::rig::{close, near};
use brusharm::arm::Side;
use brusharm::coverage::{CoverageSettings, Criteria, measure};
use brusharm::geometry::Vec2;
use brusharm::pass::run;

/// As a share of the highest of each quantity: what steps of 4 ms leave.
const REACHED: f64 = 2e-3;
/// The same for sums over all stations.
const REACHED_IN_ALL: f64 = 5e-4;

/// Step of time, s: the vehicle moves a millimetre.
const DT_S: f64 = 0.004;

#[test]
fn verif_stations_of_swinging_arms() {
    let mut setup = machine::setup(&machine::plain_spec(1), 130.0);
    setup.train[1].yaw_rad = 0.03;
    setup.train[1].lateral_offset_m = -0.04;
    for unit in &mut setup.units {
        unit.brush.spin_rad_s = 3.0;
    }
    let record = run(&setup).expect("the pass runs");
    let settings = CoverageSettings { look_m: 0.004, ..CoverageSettings::default() };
    let outcome = measure(&setup, &record, &settings, &Criteria::default());
    let speed = setup.conveyor_speed_m_s;
    let vehicle = &setup.train[1].shape.real;
    let chain = &vehicle.bands[0].body().expect("a body").chain;
    let (sin, cos) = 0.03_f64.sin_cos();
    let turn = |v: Vec2| Vec2::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y);
    let middle = Vec2::new(-0.5 * vehicle.length_m, 0.0);
    for (unit, run) in setup.units.iter().zip(&record.units) {
        let sign = if unit.side == Side::Left { 1.0 } else { -1.0 };
        let brush = &unit.brush;
        let k = brush.stiffness();
        // The lean at the middle of the body's height, 0.8 m.
        let delta = |o: brusharm::arm::BearingOffsets| Vec2::new(o.downstream_m, o.toward_wall_m);
        let lean = (delta(unit.bearings.upper) - delta(unit.bearings.lower)) / unit.bearings.span_m;
        let shift = lean * (0.8 - unit.pivot_height_m);
        let ground = |p: Vec2| Vec2::new(p.x, sign * p.y);
        let mut instants = Vec::new();
        let mut t = run.start_s();
        let mut fastest: f64 = 0.0;
        while t < run.end_s() {
            let at = run.state_at(t + 0.5 * DT_S);
            let (phi, omega) = (at.phi_rad(), at.omega_rad_s());
            let length = unit.body.length_m;
            let c = unit.pivot_m + Vec2::new(phi.sin(), -phi.cos()) * length + shift;
            let v = Vec2::new(phi.cos(), phi.sin()) * (length * omega);
            fastest = fastest.max(v.norm());
            instants.push((t + 0.5 * DT_S, ground(c), ground(v), sign * (brush.spin_rad_s + omega)));
            t += DT_S;
        }
        assert!(fastest > 0.5 * speed, "the arm swings: {fastest} m/s");
        let band = &outcome.coverage.bands[0];
        let mut wanted = Vec::new();
        for s in &band.stations {
            let mut sum = [0.0; 3];
            {
                let (p, n) = (chain.point_at(s.s_m), turn(chain.normal_at(s.s_m)));
                let tangent = Vec2::new(-n.y, n.x);
                let place = turn(p - middle) + middle + Vec2::new(0.0, -0.04);
                for &(t, c, v, spin) in &instants {
                    let to = c - place - Vec2::new(speed * t, 0.0);
                    let rho = to.norm();
                    let facing = to.dot(&n);
                    if rho >= brush.radius_m || facing <= 0.0 {
                        continue;
                    }
                    let pressure = k * (brush.radius_m - rho) * facing * facing / rho.powi(3);
                    let tip = Vec2::new(to.y, -to.x) * spin + v - Vec2::new(speed, 0.0);
                    sum[0] += DT_S;
                    sum[1] += pressure * DT_S;
                    sum[2] += crate::rig::RUBS * brush.friction * pressure * tip.dot(&tangent).abs() * DT_S;
                }
            }
            wanted.push(sum);
        }
        for (k, what) in ["contact time", "pressure × time", "work"].into_iter().enumerate() {
            let got = |s: &brusharm::coverage::Station| {
                let cell = &s.cells[unit.side.index()];
                [cell.contact_s, cell.pressure_time_pa_s, cell.work_j_m2][k]
            };
            let most = wanted.iter().map(|w| w[k]).fold(0.0, f64::max);
            for (s, want) in band.stations.iter().zip(&wanted) {
                let about = format!("{what} of the {} brush at {:?}", unit.side.name(), s.point_m);
                close(got(s), want[k], REACHED * most, &about);
            }
            let all: f64 = band.stations.iter().map(got).sum();
            near(all, wanted.iter().map(|w| w[k]).sum(), REACHED_IN_ALL, what);
        }
    }
}
