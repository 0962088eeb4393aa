//! What a sample collects at once against readings one by one, and peaks against every instant.

use super::super::CoverageSettings;
use super::super::layout::lay_out;
use super::*;
use crate::arm::Side;
use crate::pass::contact::{ContactLaw, ContactSum, SpanScratch};
use crate::pass::motion::UnitDynamics;
use crate::pass::{PassSetup, run};
use crate::scenario::Scenario;

/// Visits both units of a demo with leaning bearings: a sampler, and instants from before the first touch to after the last.
fn each_unit(visit: impl Fn(&Sampler<'_>, &[f64], &Path)) {
    let text = include_str!("../../../scenarios/as-found.ron");
    let setup: PassSetup = Scenario::read_alone(text, "as-found.ron").expect("good").setup();
    let record = run(&setup).expect("runs");
    let settings = CoverageSettings::default();
    for (unit, model) in setup.units.iter().enumerate() {
        let plan = setup.plan(setup.measured, model);
        let shape = &setup.train[setup.measured].shape;
        let own = if model.side == Side::Left { &shape.real } else { &shape.mirrored };
        let layouts = lay_out(own, (model.brush.z_low_m, model.brush.z_high_m), &settings);
        let dynamics = UnitDynamics::alone(model);
        let course = Course { dynamics: &dynamics, plan: &plan, run: &record.units[unit] };
        let path = Path::new(&course, settings.look_m);
        let of = |part: usize| layouts.iter().enumerate().find(|(_, layout)| layout.band == part);
        let sampler = Sampler::new(course, plan.bands.iter().map(|part| of(part.index)).collect());
        let (from_s, to_s) = path.ends_s().expect("it comes by");
        let count = 700;
        let times: Vec<f64> = (0..=count)
            .map(|k| from_s + (to_s - from_s) * (f64::from(k) + 0.31) / f64::from(count + 1))
            .collect();
        visit(&sampler, &times, &path);
    }
}

/// Of two numbers that are worked out in two orders.
#[track_caller]
fn alike(got: f64, want: f64, size: f64, what: &str) {
    assert!((got - want).abs() <= 1e-9 * size.max(want.abs()), "{what}: {got} {want}");
}

/// What a sample tells is what each reading by itself tells: deepest press, its zone and band, whether the tail leads at some height, power, forces, how deep on each
/// feature, highest pressures, reaches.
#[test]
fn verif_a_look_is_its_readings_together() {
    let seen = RefCell::new([0; 6]);
    each_unit(|sampler, times, _| {
        let mut seen = seen.borrow_mut();
        let bands = sampler.course.plan.bands.len();
        for &t in times {
            let at = sampler.course.brush(t);
            let sample = sampler.sample(&at, 0.25);
            assert_eq!((sample.t_s, sample.weight_s), (t, 0.25));
            let (deepest, zone) = sampler.indentation(t);
            assert_eq!((sample.indentation_m, sample.zone), (deepest, zone), "{t}");
            let by_band: Vec<f64> = (0..bands).map(|band| sampler.indentation_of(band, t)).collect();
            assert_eq!(by_band.iter().copied().fold(0.0, f64::max), deepest);
            if deepest > 0.0 {
                assert_eq!(by_band[sample.indented_band], deepest);
                seen[0] += 1;
            }
            let lead = sampler.lead_m(Some(Zone::Tail), t);
            if lead.abs() > 1e-9 {
                assert_eq!(sample.on_tail, lead > 0.0, "{t}: {lead}");
                seen[1] += usize::from(lead > 0.0);
            }
            alike(sample.spindle_power_w, sampler.spindle_power_w(t), 1.0, "power");
            let touched = |feature: usize| sample.features.iter().any(|(f, _)| *f == feature);
            for feature in 0..sampler.course.plan.vehicle.features.len() {
                let force = sampler.force_on(feature, t);
                let own =
                    sample.features.iter().find(|(f, _)| *f == feature).map_or(Vec2::zeros(), |(_, n)| *n);
                assert!((own - force).norm() <= 1e-9 * (1.0 + force.norm()), "{t}: {own:?} {force:?}");
                assert_eq!(sampler.touches(t, &|f| f == feature), touched(feature), "{t} {feature}");
                let press =
                    sample.indentation_on.iter().find(|(f, _)| *f == feature).map_or(0.0, |(_, m)| *m);
                assert_eq!(press.max(0.0), sampler.indentation_on_feature(feature, t), "{t} {feature}");
                seen[2] += usize::from(force.norm() > 0.1);
            }
            for zone in Zone::ALL {
                let (pressure, band) = sample.pressures[zone.index()];
                let of = |band: usize| sampler.zone_pressure(band, zone, t).map_or(0.0, |(p, ..)| p);
                assert_eq!((0..bands).map(of).fold(0.0, f64::max), pressure, "{t} {zone:?}");
                if pressure > 0.0 {
                    assert_eq!(of(band), pressure);
                    seen[3] += 1;
                }
            }
            for band in 0..bands {
                for end in End::BOTH {
                    let reach = sampler.reach_m(band, end, t);
                    assert_eq!(sample.reach_m[band][end as usize], reach);
                    seen[4] += usize::from(reach.is_some());
                }
            }
            seen[5] += usize::from(sample.on_tail);
        }
    });
    let seen = seen.into_inner();
    assert!(seen.iter().all(|count| *count > 20), "{seen:?}");
}

/// What strips do to the whole of a band is what its contact comes to, with the brush where the lean has it: power from its moment and the drag of the air by
/// the law, forces, deepest press; and the power is made up of what rubs, flexes and is stirred.
#[test]
fn verif_readings_are_the_contact_of_the_bands() {
    let touched = RefCell::new(0);
    each_unit(|sampler, times, _| {
        let (course, plan) = (&sampler.course, sampler.course.plan);
        let set = course.dynamics.law.spin_rad_s;
        let mut scratch = SpanScratch::default();
        let mut shifts = 0.0_f64;
        for &t in times {
            let at = course.brush(t);
            alike(at.spin_rad_s, set + course.run.state_at(t).omega_rad_s(), 1e-3, "turning");
            // Strips turn over the ground at the set spin and the swing.
            let law = ContactLaw { spin_rad_s: at.spin_rad_s, ..course.dynamics.law };
            let law = ContactLaw { stiffness: law.stiffness_at(at.spin_rad_s), ..law };
            let (mut moment, mut rubbing_w, mut deepest) = (0.0, 0.0, 0.0_f64);
            for (band, part) in plan.bands.iter().enumerate() {
                // The pose turns and moves; the lean moves the brush in the frame of the unit.
                let center = plan.pose.vehicle_from_unit(
                    course.dynamics.brush_motion(&course.run.state_at(t).y).0 + part.shift_m,
                    t,
                );
                shifts = shifts.max(part.shift_m.norm());
                let sum: ContactSum =
                    part.near().contact(&part.band.outlines, &law, center, at.v, &mut scratch);
                moment += sum.moment_n() * part.height_m;
                rubbing_w += sum.rubbing_w_per_m * part.height_m;
                deepest = deepest.max(sum.indentation_m);
                alike(sampler.indentation_of(band, t), sum.indentation_m.max(0.0), 1e-3, "deepest");
            }
            let drag = course.dynamics.model.brush.air_drag_n_m_s2;
            let air_w = drag * at.spin_rad_s * at.spin_rad_s.abs() * set;
            let power = sampler.spindle_power(t);
            alike(power.air_w, air_w, 1.0, "air");
            alike(power.rubbing_w, rubbing_w, 1.0, "rubbing");
            alike(power.rubbing_w + power.flexing_w, -moment * set, 1.0, "contact");
            alike(sampler.spindle_power_w(t), air_w - moment * set, 1.0, "all");
            assert!(air_w > 0.1);
            alike(sampler.indentation(t).0, deepest.max(0.0), 1e-3, "press");
            *touched.borrow_mut() += usize::from(rubbing_w > 1.0);
        }
        // One unit leans, the other is plumb.
        assert!(shifts > 1e-4 || sampler.course.dynamics.model.side == Side::Right, "{shifts}");
    });
    assert!(touched.into_inner() > 200);
}

/// How much deeper a zone is pressed than anything else at the height where that is most; out of reach, by how far: from presses zone by zone and the nearest point
/// of its pieces.
#[test]
fn verif_by_how_much_a_zone_leads() {
    let seen = RefCell::new([0; 3]);
    each_unit(|sampler, times, _| {
        let plan = sampler.course.plan;
        let radius_m = sampler.radius_m();
        for &t in times {
            let at = sampler.course.brush(t);
            for zone in
                [None, Some(Zone::Nose), Some(Zone::LeftSide), Some(Zone::Tail), Some(Zone::RightSide)]
            {
                let mut most = f64::NEG_INFINITY;
                for (band, part) in plan.bands.iter().enumerate() {
                    let center = at.c + plan.pose.vehicle_from_unit_dir(part.shift_m);
                    let (mut there, mut elsewhere) = (None::<f64>, 0.0_f64);
                    sampler.each_of(band, &at, |span, local, tag| {
                        assert_eq!(local, center);
                        let press = span.indentation_m(radius_m);
                        if zone.is_none() || zone == Some(tag.zone) {
                            there = Some(there.map_or(press, |m: f64| m.max(press)));
                        } else {
                            elsewhere = elsewhere.max(press);
                        }
                    });
                    let away = |z: Option<Zone>| {
                        let outlines = part.band.outlines.iter();
                        let pieces = outlines.flat_map(|o| o.chain.pieces().iter().zip(&o.tags));
                        let own = pieces.filter(|(_, tag)| z.is_none() || z == Some(tag.zone));
                        own.map(|(piece, _)| piece.nearest(center).distance_m).fold(f64::INFINITY, f64::min)
                    };
                    let there =
                        there.filter(|m| *m > 0.0).unwrap_or_else(|| (radius_m - away(zone)).min(0.0));
                    most = most.max(there - elsewhere);
                }
                let got = sampler.lead_m(zone, t);
                assert!((got - most).abs() < 1e-12 || got == most, "{t} {zone:?}: {got} {most}");
                let kind = if got > 0.0 { 0 } else { 1 + usize::from(got < -0.1) };
                seen.borrow_mut()[kind] += 1;
            }
        }
    });
    let seen = seen.into_inner();
    assert!(seen.iter().all(|count| *count > 100), "{seen:?}");
}

/// No instant has more than a peak, and a peak is what is read at its instant: deepest press, power, forces, pressures; an impulse is the sum of its forces, a reach the
/// farthest of all.
#[test]
fn verif_peaks_against_every_instant() {
    each_unit(|sampler, times, path| {
        let sampled = Sampled::new(sampler, path);
        let bands = sampler.course.plan.bands.len();
        let most = |value: &dyn Fn(f64) -> f64| times.iter().map(|t| value(*t)).fold(0.0, f64::max);
        let deepest = most(&|t| sampler.indentation(t).0);
        assert!(
            sampled.indentation_m >= deepest && sampled.indentation_m < deepest + 2e-3,
            "{} {deepest}",
            sampled.indentation_m
        );
        let power = most(&|t| sampler.spindle_power_w(t).abs());
        let peak_w = sampled.spindle_peak.total_w().abs();
        assert!(peak_w >= power * (1.0 - 1e-3) && peak_w < 1.1 * power, "{peak_w} {power}");
        assert!(!sampled.loads.is_empty());
        for load in &sampled.loads {
            let force = |t: f64| sampler.force_on(load.feature, t);
            assert_eq!(load.peak_n, force(load.peak_s));
            let peak = load.peak_n.norm();
            // Every fifth of a millisecond around where it is met.
            let fine: Vec<f64> = (0..40_000)
                .map(|k| load.peak_s + 2e-4 * f64::from(k - 20_000))
                .filter(|t| *t > sampled.ends_s.0 && *t < sampled.ends_s.1)
                .collect();
            let forces: Vec<f64> = fine.iter().map(|t| force(*t).norm()).collect();
            let found = forces.iter().copied().fold(0.0, f64::max);
            assert!(peak >= found * (1.0 - 2e-3) && peak <= found * 1.02, "{peak} {found}");
            let impulse: f64 = forces.iter().sum::<f64>() * 2e-4;
            assert!((load.impulse_n_s / impulse - 1.0).abs() < 5e-3, "{} {impulse}", load.impulse_n_s);
            let press =
                fine.iter().map(|t| sampler.indentation_on_feature(load.feature, *t)).fold(0.0, f64::max);
            assert!((load.indentation_m / press - 1.0).abs() < 2e-2, "{} {press}", load.indentation_m);
            let tagged = |part: &&crate::pass::motion::BandPlan<'_>| {
                part.band.outlines.iter().flat_map(|o| &o.tags).any(|tag| tag.feature == Some(load.feature))
            };
            let height: f64 = sampler.course.plan.bands.iter().filter(tagged).map(|part| part.height_m).sum();
            assert!(height > 0.0 && (load.height_m - height).abs() < 1e-12);
        }
        for zone in Zone::ALL {
            let reading = |t: f64| {
                (0..bands)
                    .filter_map(|band| sampler.zone_pressure(band, zone, t))
                    .map(|(p, ..)| p)
                    .fold(0.0, f64::max)
            };
            let found = most(&reading);
            let tag = |peak: &&PressurePeak| {
                let (_, layout) = sampler
                    .layouts
                    .iter()
                    .flatten()
                    .find(|(index, _)| *index == peak.band)
                    .expect("a layout");
                let place = layout.places[peak.station];
                sampler.course.plan.vehicle.bands[layout.band].outlines[0].tags[place.piece].zone == zone
            };
            let peak = sampled.pressure_peaks.iter().find(tag);
            match peak {
                Some(peak) => {
                    assert!(peak.peak_pa >= found * (1.0 - 1e-3), "{zone:?}: {} {found}", peak.peak_pa);
                    assert!((reading(peak.peak_s) / peak.peak_pa - 1.0).abs() < 1e-9, "{zone:?}");
                }
                None => assert_eq!(found, 0.0, "{zone:?}"),
            }
        }
        for (part, (index, reach)) in sampler.course.plan.bands.iter().zip(&sampled.reach_m) {
            assert_eq!(part.index, *index);
            let band = sampler.course.plan.bands.iter().position(|p| p.index == *index).expect("it");
            for end in End::BOTH {
                let readings: Vec<f64> =
                    times.iter().filter_map(|t| sampler.reach_m(band, end, *t)).collect();
                let found = readings.into_iter().reduce(f64::max);
                match (reach[end as usize], found) {
                    (Some(got), Some(found)) => {
                        assert!(got >= found - 1e-5 && got < found + 0.05, "{end:?}: {got} {found}");
                    }
                    (got, found) => assert!(found.is_none(), "{end:?}: {got:?} {found:?}"),
                }
            }
        }
    });
}
