//! Nudge, compare, spread and recommend on the demo scenario.

use brusharm::arm::Side;
use brusharm::scenario::Scenario;
use brusharm::scenario::setting::Group;
use brusharm::study::compare::{SetUp, compare};
use brusharm::study::measure::Measure;
use brusharm::study::nudge::{Trend, nudge};
use brusharm::study::point::evaluate;
use brusharm::study::recommend::{RecommendPlan, exhaustive, recommend, standard_changes};
use brusharm::study::spread::{SpreadPlan, spread};
use brusharm::study::stream::Workers;

fn demo() -> Scenario {
    Scenario::read_alone(include_str!("../scenarios/ferry-return.ron"), "ferry-return.ron").unwrap()
}

fn with(changes: &[(&str, &str)]) -> Scenario {
    demo().with(changes).unwrap()
}

#[test]
fn verif_a_nudge_is_the_difference_of_two_passes() {
    let scenario = with(&[("throughput", "140 veh/h")]);
    let table = nudge(&[("sedan".to_owned(), scenario.clone())], Some(Measure::TailGap)).unwrap();
    let line = table.lines.iter().find(|l| l.path == "left.bearings.lower_offset").unwrap();
    let value = |s: &Scenario| evaluate(s).value(Measure::TailGap).unwrap();
    let moved = scenario.with(&[("left.bearings.lower_offset", "1/16 in")]).unwrap();
    let expected = value(&moved) - value(&scenario);
    assert_eq!(line.change(Measure::TailGap, 1), Some(expected));
    // Toward the wall: heavier, the gap shrinks, the mirror feels it (common practice, no source).
    assert!(expected < -0.01, "{expected}");
    assert_eq!(line.trend(Measure::TailGap), Trend::Falls);
    assert!(
        line.change(Measure::FeatureForce(brusharm::vehicle::FeatureKind::Mirror, Side::Left), 1).unwrap()
            > 0.0
    );
    // Ranked by what the better single step gains.
    let gains: Vec<f64> =
        table.lines.iter().filter_map(|l| l.best_step(Measure::TailGap)).map(|(_, gain)| gain).collect();
    assert!(gains.windows(2).all(|pair| pair[0] >= pair[1]) && gains[0] > 0.02, "{gains:?}");
    assert!(table.lines.iter().all(|l| l.path != "both.stop_pin.hole"));
}

#[test]
fn verif_a_comparison_tells_differences_and_turned_verdicts() {
    let setups = [("as it stands", demo()), ("light", with(&[("both.bearings.lower_offset", "-1/8 in")]))]
        .map(|(name, scenario)| SetUp { name: name.to_owned(), scenario });
    let comparison = compare(&setups, &["sedan".to_owned(), "pickup".to_owned()]);
    assert_eq!(comparison.vehicles.len(), 2);
    let sedan = &comparison.vehicles[0];
    let gap = sedan.measures().into_iter().find(|m| m.measure == Measure::TailGap).unwrap();
    let value = |s: &Scenario| evaluate(&s.for_vehicle("sedan").unwrap()).value(Measure::TailGap).unwrap();
    assert_eq!(gap.difference(1), Some(value(&setups[1].scenario) - value(&setups[0].scenario)));
    assert!(gap.difference(1).unwrap() > 0.02 && gap.difference(0) == Some(0.0));
    assert!(gap.turned(1).is_some(), "{gap:?}");
    assert_eq!(comparison.table().rows.len(), 4);
}

#[test]
fn verif_a_recommendation_is_that_of_trying_everything() {
    // Off the standard as found, so that restoring it is part of the answer.
    for (throughput, off) in [("100 veh/h", "-1/8 in"), ("114 veh/h", "0 in")] {
        let scenario = with(&[("throughput", throughput), ("left.bearings.lower_offset", off)]);
        let plan = RecommendPlan {
            vehicles: vec!["sedan".to_owned()],
            groups: vec![Group::Bearing, Group::Pin],
            bearing_within_m: 0.0254 / 16.0,
            ..RecommendPlan::of(&scenario)
        };
        let found = recommend(&scenario, &plan, |_| {}).unwrap();
        assert!(!found.nothing_to_do, "{throughput}");
        let tried = exhaustive(&scenario, &plan).unwrap();
        match (&found.best, tried) {
            (Some(best), Some((changes, room))) => {
                assert_eq!((&best.changes, best.checked.tightest().0), (&changes, room));
                assert!(best.holds());
                // The settings of the answer, put into the scenario, meet the criteria by themselves.
                assert!(evaluate(&scenario.with(&best.changes).unwrap()).meets_all());
            }
            (None, None) => {
                let way = found.in_the_way.as_ref().unwrap();
                assert!(way.criterion.is_some() && way.without_it.is_some());
                assert!(!way.nearest.holds());
            }
            (found, tried) => panic!("{throughput}: {found:?} against {tried:?}"),
        }
        for answer in [&found.best, &found.runner_up].into_iter().flatten() {
            let pins_in =
                answer.changes.iter().filter(|(path, to)| path.ends_with("stop_pin.hole") && to == "3");
            assert!(pins_in.count() < 2);
        }
    }
}

#[test]
fn verif_the_standard_is_plumb_middle_and_in_range() {
    let off = with(&[
        ("left.bearings.lower_offset", "1/8 in"),
        ("right.stop_pin.hole", "3"),
        ("left.air.cap", "14 psi"),
    ]);
    let mut changes = standard_changes(&off);
    changes.sort();
    let expected =
        [("left.air.cap", "10 psi"), ("left.bearings.lower_offset", "0 in"), ("right.stop_pin.hole", "2")];
    assert_eq!(changes, expected.map(|(path, to)| (path.to_owned(), to.to_owned())));
    assert!(standard_changes(&demo()).is_empty());
}

#[test]
fn verif_chance_is_the_same_for_any_number_of_threads_and_moves_with_the_seed() {
    let scenario = with(&[("throughput", "110 veh/h")]);
    let plan = SpreadPlan { blocks: 6, resamples: 50, ..SpreadPlan::default() };
    let one = spread(&scenario, &plan, Workers::new(1), |_| {}).unwrap();
    let three = spread(&scenario, &plan, Workers::new(3), |_| {}).unwrap();
    assert!(one == three);
    let other = spread(&scenario, &SpreadPlan { seed: 2, ..plan }, Workers::new(2), |_| {}).unwrap();
    let gap = |r: &brusharm::study::spread::SpreadResult| r.of(Measure::TailGap).unwrap().mean.unwrap();
    assert_ne!(gap(&one), gap(&other));
    assert_eq!(one.passes, 6 * (one.factors.len() as u64 + 2));
    assert_eq!(one.of(Measure::TailGap).unwrap().met.unwrap().cases, 12);
    assert!(one.of(Measure::TailGap).unwrap().sd.unwrap() > 1e-3);
}

#[test]
fn verif_passes_that_fail_are_counted_and_leave_whole_blocks_out() {
    // A vehicle that now and then sits too far off the track is refused.
    let text = include_str!("../scenarios/ferry-return.ron").replace(
        "(setting: \"vehicle.lateral_offset\", by: Normal(sd: \"1-1/2 in\", within: \"4 in\")),",
        "(setting: \"vehicle.lateral_offset\", to: Listed([(value: \"0 in\", share: \"70 %\"), (value: \"18 in\", share: \"30 %\")])),",
    );
    let scenario = Scenario::read_alone(&text, "heavy.ron").unwrap();
    let plan = SpreadPlan { blocks: 6, resamples: 20, ..SpreadPlan::default() };
    let result = spread(&scenario, &plan, Workers::new(2), |_| {}).unwrap();
    assert!(result.failed > 0 && result.failed < result.passes, "{}", result.failed);
    assert_eq!(result.reasons.iter().map(|(_, n)| n).sum::<u64>(), result.failed);
    let gap = result.of(Measure::TailGap).unwrap();
    assert!(gap.met.unwrap().cases < 12 && gap.met.unwrap().cases as usize == gap.values);
    if let Ok(indices) = &gap.indices {
        assert!(indices.blocks_dropped > 0 && indices.blocks_used + indices.blocks_dropped == 6);
    }
}

#[test]
fn verif_a_spread_that_makes_no_sense_is_refused_with_its_place() {
    let text = include_str!("../scenarios/ferry-return.ron");
    for (from, to, said) in [
        ("Uniform(within: \"1/2 psi\")", "Uniform(within: \"1/2 in\")", "pressure"),
        ("\"left.air.cap\"", "\"left.air.cup\"", "no such setting"),
        ("low: 0.25, mode: 0.35", "low: 0.45, mode: 0.35", "outside the ends"),
        ("(size: Length, by", "(by", "needs what spreads"),
        ("Uniform(within: \"1/2 psi\")", "Uniform(within: \"20 psi\")", "out of the range"),
        ("Normal(sd: \"2 %\", within: \"5 %\")", "Normal(sd: \"2 %\", within: \"0.01 %\")", "far inside"),
    ] {
        let bad = text.replacen(from, to, 1);
        assert_ne!(bad, text, "{from}");
        let error = Scenario::read_alone(&bad, "bad.ron").unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
        assert!(error.contains("--> bad.ron:"), "{error}");
    }
}
