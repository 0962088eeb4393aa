//! Steps by hand: their growth, going back into a run, what is quasi-steady, who is jammed.

use super::super::JamCause;
use super::super::motion::TorqueBudget;
use super::super::{PassSetup, run};
use super::jam::{jam_cause, nose_beside_m};
use super::*;
use crate::elementary::Elementary;
use crate::scenario::Scenario;

#[test]
fn verif_a_jam_names_what_holds_the_arm() {
    let base = TorqueBudget { push_n_m: 100.0, counterweight_n_m: -40.0, ..TorqueBudget::default() };
    let of = |budget| jam_cause(&budget, false);
    assert_eq!(jam_cause(&TorqueBudget { push_n_m: -1.0, ..base }, true), JamCause::OutboardStop);
    assert_eq!(of(TorqueBudget { outboard_stop_n_m: -90.0, ..base }), JamCause::OutboardStop);
    assert_eq!(of(base), JamCause::TooSlow);
    assert_eq!(of(TorqueBudget { rub_n_m: -70.0, ..base }), JamCause::Rubbing);
    assert_eq!(of(TorqueBudget { friction_n_m: -60.0, ..base }), JamCause::PivotFriction);
    assert_eq!(of(TorqueBudget { rub_n_m: -30.0, air_n_m: -50.0, ..base }), JamCause::Other("air"));
    assert_eq!(of(TorqueBudget { push_n_m: -1.0, ..base }), JamCause::Geometry);
}

/// Proportional–integral control by its formula: 0.9 ε^−0.17 ε₋^0.04 with ε₋ the error before, kept between 0.2 and 2.5, and not above 1 after a step in vain.
#[test]
fn verif_how_steps_grow() {
    let mut pace = Pace::START;
    let mut before: f64 = 1e-4;
    for (error, rejected) in [
        (0.5, false),
        (0.9, false),
        (0.02, false),
        (0.3, true),
        (1e-3, true),
        (0.004, false),
        (1e-6, false),
        (1.0, false),
        (0.0, false),
        (0.7, false),
        (1e4, false),
        (0.8, false),
    ] {
        pace.rejected = rejected;
        let free = (0.9_f64.log_natural() - 0.17 * f64::max(error, 1e-10).log_natural()
            + 0.04 * before.log_natural())
        .exponential();
        let want = if rejected { free.clamp(0.2, 1.0) } else { free.clamp(0.2, 2.5) };
        let got = pace.growth(error);
        assert!((got / want - 1.0).abs() < 1e-12, "{error} after {before}: {got}, by hand {want}");
        assert!(!pace.rejected);
        before = error.max(1e-4);
    }
}

/// A chamber may be quasi-steady while it closes in faster than 12/s, is strained less than 0.7 of 0.0045, and is within 20 Pa of where it would stand.
#[test]
fn verif_when_a_chamber_may_be_quasi_steady() {
    let at = |rate_per_s: f64, strain: f64, off_pa: f64| {
        may_be_quasi_steady(&QuasiSteady { pressure_pa: 2e5, strain, rate_per_s }, 2e5 + off_pa)
    };
    assert!(at(12.1, 0.003_14, 19.9) && at(12.1, 0.003_14, -19.9) && at(50.0, 0.0, 0.0));
    assert!(!at(11.9, 0.0, 0.0) && !at(50.0, 0.003_16, 0.0));
    assert!(!at(50.0, 0.0, 20.1) && !at(50.0, 0.0, -20.1));
    // At the edge itself it does not.
    assert!(!at(12.0, 0.0, 0.0) && !at(50.0, 0.0, 20.0) && !at(50.0, 0.7 * QUASI_STEADY_STRAIN, 0.0));
}

/// The vehicle told is that whose middle is nearest to the pivot: 4 m and 6 m long, noses at 5 m and −1 m, middles at 3 m and −4 m.
#[test]
fn verif_the_vehicle_that_jams_an_arm() {
    let noses = [(5.0, 4.0), (-1.0, 6.0)];
    for (pivot_x_m, nose_x_m) in
        [(3.0, 5.0), (-4.0, -1.0), (-0.4, 5.0), (-0.6, -1.0), (20.0, 5.0), (-20.0, -1.0)]
    {
        assert_eq!(nose_beside_m(noses.into_iter(), pivot_x_m), nose_x_m, "{pivot_x_m}");
        assert_eq!(nose_beside_m(noses.into_iter().rev(), pivot_x_m), nose_x_m, "{pivot_x_m}");
    }
    assert_eq!(nose_beside_m([].into_iter(), 1.0), 0.0);
}

fn demo(text: &str) -> PassSetup {
    Scenario::read_alone(text, "demo.ron").expect("good").setup()
}

/// A run of the first unit from where the record begins, to `end_s`.
fn started<'u, 'a>(
    setup: &PassSetup,
    unit: &'u UnitDynamics<'a>,
    record: &UnitRecord,
    end_s: f64,
) -> Stepper<'u, 'a> {
    let start_s = record.start_s();
    let at = record.state_at(start_s);
    let mut y = [0.0; COUNT];
    y[..MOTION].copy_from_slice(&at.y[..MOTION]);
    let switches = super::super::start::switches(0, unit).into_iter().filter(move |s| s.at_s > start_s);
    let progress = vec![Progress::new(unit, y, at.modes)];
    let mut stepper = Stepper::new(&setup.numerics, std::slice::from_ref(unit), progress, switches, start_s);
    stepper.go(end_s, |_| false).expect("runs");
    stepper
}

/// Gone back to an instant, a unit is where it was then: the state of its steps at that instant, steps that end there and are those it took, works that
/// balance, the modes of the step; and going on from there it comes to the same end. Within steps, between two, at the start and at the end.
#[test]
fn verif_going_back_into_a_run() {
    let setup = demo(include_str!("../../../scenarios/one-unit.ron"));
    let record = run(&setup).expect("runs").units.remove(0);
    let unit = setup.dynamics(0);
    let (from_s, until_s) = (record.start_s(), record.start_s() + 0.7 * (record.end_s() - record.start_s()));
    let full = started(&setup, &unit, &record, until_s);
    let own = full.steps(0).to_vec();
    assert!(own.len() > 100 && full.time_s() == until_s);
    let end = full.into_progress().remove(0);
    assert!(end.h_s > 0.0 && end.evaluations > 6 * own.len());
    let places = [
        (own.len() / 3, 0.25),
        (own.len() / 2, 0.0),
        (own.len() / 2, 0.999_9),
        (3 * own.len() / 4, 0.5),
        (own.len() - 1, 0.6),
        (0, 0.5),
    ];
    for (index, share) in places {
        let step = &own[index];
        let t = step.start_s + share * step.length_s;
        let back = started(&setup, &unit, &record, until_s).back_to(t).remove(0);
        // The step an instant belongs to began before it.
        let whole = if share == 0.0 { index } else { index + 1 };
        assert_eq!(back.steps.len(), whole, "{index} {share}");
        let ends_s = back.steps.last().map_or(from_s, |step| step.start_s + step.length_s);
        assert!((ends_s - t).abs() < 1e-9, "{index} {share}: {ends_s} {t}");
        for (got, want) in back.steps.iter().zip(&own) {
            assert_eq!((got.start_s, got.modes), (want.start_s, want.modes));
            for x in [0.0, 0.3, 1.0] {
                let at = got.start_s + x * got.length_s;
                for k in 0..MOTION {
                    let off = got.value_at(k, at) - want.value_at(k, at);
                    assert!(
                        off.abs() <= 1e-9 * (1.0 + want.value_at(k, at).abs()),
                        "{index} {share}: {k} {off}"
                    );
                }
            }
        }
        for k in 0..MOTION {
            let off = back.y[k] - step.value_at(k, t);
            assert!(off.abs() <= 1e-9 * (1.0 + back.y[k].abs()), "{index} {share}: {k} {off}");
        }
        assert!(back.h_s <= AFTER_SWITCH_S && back.h_s > 0.0);
        assert_eq!(back.modes, own[whole - 1].modes);
        // On from there: the end it came to.
        let switches = super::super::start::switches(0, &unit).into_iter();
        let again = Stepper::new(
            &setup.numerics,
            std::slice::from_ref(&unit),
            vec![back.clone()],
            switches.filter(|s| s.at_s > t),
            t,
        );
        let mut again = again;
        again.go(until_s, |_| false).expect("runs");
        let again = again.into_progress().remove(0);
        for (k, (got, want)) in again.y.iter().zip(&end.y).enumerate() {
            let size = 1.0 + want.abs();
            assert!((got - want).abs() < 2e-4 * size, "{index} {share}: {k}: {got} {want}");
        }
        // Works balance with what is stored, then as at any time.
        let audit = back.into_record(&unit, 0.0, 0.0).audit;
        assert!(audit.residual_j().abs() < 1e-6 * audit.turnover_j.max(1.0), "{index} {share}: {audit:?}");
    }
}

/// Lengths of steps by hand, and that the steps of a run keep to them: end to end, none longer than allowed, none of less than a twentieth of the one before at the end.
#[test]
fn verif_how_long_steps_are() {
    for (wanted_s, longest_s, room_s, length) in [
        (0.2, 0.5, 9.0, 0.2),
        (0.7, 0.5, 9.0, 0.5),
        (0.2, 0.5, 0.1, 0.1),
        (0.2, 0.5, 0.209, 0.209),
        (0.2, 0.5, 0.211, 0.2),
        (0.7, 0.5, 0.524, 0.524),
        (0.7, 0.5, 0.526, 0.5),
    ] {
        assert_eq!(length_s(wanted_s, longest_s, room_s), length, "{wanted_s} {longest_s} {room_s}");
    }
    for (error, share) in
        [(2.0_f64, 0.9 * 2.0_f64.power(-0.2)), (1.0, 0.9), (1e9, 0.1), (f64::NAN, 0.1), (f64::INFINITY, 0.1)]
    {
        assert!((shrinkage(error) - share).abs() < 1e-15, "{error}");
    }
    for (h, wanted_s, grow, next) in [
        (0.2, 0.2, 2.5, 0.5),
        (0.2, 0.2, 0.5, 0.1),
        (0.3, 0.2, 1.5, 0.45),
        (0.1, 0.2, 2.5, 0.25),
        (0.1, 0.2, 1.5, 0.2),
        (0.18, 0.2, 2.5, 0.4),
    ] {
        assert!((next_s(h, wanted_s, grow) - next).abs() < 1e-15, "{h} {wanted_s} {grow}");
    }
    let setup = demo(include_str!("../../../scenarios/one-unit.ron"));
    let record = run(&setup).expect("runs").units.remove(0);
    let longest_s = 1.05 * setup.numerics.longest_step_s;
    for pair in record.steps.windows(2) {
        assert!((pair[0].start_s + pair[0].length_s - pair[1].start_s).abs() < 1e-9);
        assert!(pair[0].length_s > 0.0 && pair[0].length_s <= longest_s);
        // No step grows to more than two and a half times the one before, but for those cut short by a switch.
        assert!(pair[1].length_s <= longest_s.min((2.7 * pair[0].length_s).max(AFTER_SWITCH_S * 2.7)));
    }
}

/// A chamber is taken as quasi-steady from the first step at whose end it may be, by its rate, strain and pressure then, and no step before; with its own pressure and at the
/// pressure it is brought to from there on; after its valve has switched it is not.
#[test]
fn verif_from_which_step_a_chamber_is_quasi_steady() {
    let mut began = [0; 2];
    let mut switched = 0;
    for text in
        [include_str!("../../../scenarios/air-drop.ron"), include_str!("../../../scenarios/ferry-return.ron")]
    {
        let setup = demo(text);
        let record = run(&setup).expect("runs");
        for (index, own) in record.units.iter().enumerate() {
            let unit = setup.dynamics(index);
            let mut scratch = SpanScratch::default();
            for pair in own.steps.windows(2) {
                let end_s = pair[0].start_s + pair[0].length_s;
                let mut y = [0.0; COUNT];
                for (k, value) in y.iter_mut().take(MOTION).enumerate() {
                    *value = pair[0].value_at(k, end_s);
                }
                let mut dy = [0.0; COUNT];
                let forces = unit.evaluate(end_s, &y, &pair[0].modes, None, &mut scratch, &mut dy);
                let of = |modes: &Modes| {
                    [(modes.cap_quasi_steady, modes.cap_on), (modes.rod_quasi_steady, modes.rod_on)]
                };
                let chambers = of(&pair[0].modes).into_iter().zip(of(&pair[1].modes));
                let found = [(forces.cap, P_CAP), (forces.rod, P_ROD)];
                for (k, (((was, was_on), (is, is_on)), (chamber, at))) in chambers.zip(found).enumerate() {
                    if was_on != is_on {
                        assert!(!is, "{end_s} s");
                        switched += 1;
                    } else if !was {
                        let may = chamber.is_some_and(|c| {
                            c.rate_per_s > 12.0
                                && c.strain < 0.7 * QUASI_STEADY_STRAIN
                                && (c.pressure_pa - y[at]).abs() < 20.0
                        });
                        let edge = chamber.is_some_and(|c| {
                            (c.rate_per_s / 12.0 - 1.0).abs() < 1e-3
                                || (c.strain / (0.7 * QUASI_STEADY_STRAIN) - 1.0).abs() < 1e-2
                                || ((c.pressure_pa - y[at]).abs() / 20.0 - 1.0).abs() < 1e-2
                        });
                        // A switch of the arm at this instant may change what the forces are.
                        if pair[0].modes.motion == pair[1].modes.motion && !edge {
                            assert_eq!(is, may, "{end_s} s: {chamber:?} {}", y[at]);
                        }
                        began[k] += usize::from(is);
                    } else if is && let Some(c) = chamber {
                        assert!((y[at] - c.pressure_pa).abs() < 30.0, "{end_s} s: {} {c:?}", y[at]);
                    }
                }
            }
        }
    }
    assert!(began.iter().all(|n| *n > 3) && switched > 2, "{began:?} {switched}");
}

/// An arm whose outboard stop stands in the way is jammed at the end of the first step at which the nearest surface is within a tenth of the hub's radius of the spindle, told with the
/// time and the nose of the vehicle then; a step earlier it was farther. So is one that a stiff damper holds.
#[test]
fn verif_when_an_arm_is_jammed() {
    let mut causes = Vec::new();
    for (seat_rad, out_stroke) in [(0.9_f64, 0.0), (1.75, 3e6)] {
        let mut setup = demo(include_str!("../../../scenarios/one-unit.ron"));
        let model = &mut setup.units[0];
        let rest_rad = super::super::rest_angle_rad(model).expect("it rests");
        model.outboard_stop.seat_rad = rest_rad.max(seat_rad);
        model.outboard_stop.linear_n_per_m = 1e8;
        for damper in &mut model.dampers {
            damper.out_stroke.linear_n_s_per_m += out_stroke;
        }
        let unit = setup.dynamics(0);
        let states = super::super::rest_angles_rad(&setup);
        let mut modes = super::super::start::initial_modes(unit.model);
        let y = super::super::start::rest_state(&unit, &mut modes).expect("it rests");
        assert!(states[0].is_ok());
        let progress = vec![Progress::new(&unit, y, modes)];
        let mut stepper =
            Stepper::new(&setup.numerics, std::slice::from_ref(&unit), progress, std::iter::empty(), 0.0);
        let error = stepper.go(200.0, |_| false).expect_err(&format!("{seat_rad}: it is jammed"));
        let PassError::Jammed { time_s, nose_x_m, cause, side } = error else { panic!("{error:?}") };
        assert_eq!((time_s, side), (stepper.time_s(), unit.model.side));
        let plan = &unit.vehicles[0];
        assert!((nose_x_m - plan.pose.nose_x_m(time_s)).abs() < 1e-12 && nose_x_m > 1.0);
        let away_m = |t: f64, phi: f64| plan.away_m(unit.model.brush_center_m(phi), t);
        let least_m = 0.1 * unit.law.hub_radius_m;
        assert!(away_m(time_s, stepper.state(0)[state::PHI]) < least_m);
        let steps = stepper.steps(0);
        assert!(steps.len() > 20);
        for step in steps {
            assert!(
                away_m(step.start_s, step.value_at(state::PHI, step.start_s)) >= least_m,
                "{}",
                step.start_s
            );
        }
        causes.push(cause);
    }
    assert_eq!(causes[0], JamCause::OutboardStop);
    assert_eq!(causes[1], JamCause::Other("damper"));
}

/// A run of more steps than are allowed is given up at the step after the last of them: of 1 µs each, at 0.2 s. What is no number is refused as soon as no shorter step helps.
#[test]
fn verif_runs_that_are_given_up() {
    let setup = demo(include_str!("../../../scenarios/one-unit.ron"));
    let unit = &setup.units[0];
    let start = super::super::SwingStart { phi_rad: 1.4, omega_rad_s: -0.3, pressures_pa: None };
    let fine = Numerics { longest_step_s: 1e-6, ..setup.numerics };
    match super::super::swing(unit, &start, 0.5, &fine) {
        Err(PassError::TooManySteps { side, time_s, limit }) => {
            assert_eq!((side, limit), (unit.side, 200_000));
            assert!((time_s - 0.2).abs() < 4e-7, "{time_s}");
        }
        other => panic!("{other:?}"),
    }
    let mut odd = unit.clone();
    odd.body.inertia_kg_m2 = f64::NAN;
    match super::super::swing(&odd, &start, 0.5, &setup.numerics) {
        Err(PassError::NotFinite { side, time_s }) => assert!(side == unit.side && time_s < 1e-6, "{time_s}"),
        other => panic!("{other:?}"),
    }
}

/// What went in and out, all counted as it is large: the turnover of a run is that of the conveyor, the spindle and the air; and what it took is counted.
#[test]
fn verif_the_turnover_of_a_run() {
    let setup = demo(include_str!("../../../scenarios/one-unit.ron"));
    let record = run(&setup).expect("runs");
    let own = &record.units[0];
    let parts = [own.audit.conveyor_j, own.audit.spindle_j, own.audit.air_j].map(f64::abs);
    assert!(parts.iter().all(|part| *part > 0.1 && (part - 1.0).abs() > 1e-3), "{parts:?}");
    assert!((own.audit.turnover_j - parts.iter().sum::<f64>()).abs() < 1e-9);
    assert!(own.evaluations > 6 * own.steps.len(), "{} {}", own.evaluations, own.steps.len());
}
