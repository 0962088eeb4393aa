//! The studies as people read them: no line wider than 80 characters, in both unit systems, with long names too.

use brusharm::calibrate::PointIntervals;
use brusharm::coverage::MeasureName;
use brusharm::report::{
    Ink, MOST_ROWS_SHOWN, SweepReport, TEXT_WIDTH, compare_text, nudge_text, recommend_text, spread_text,
};
use brusharm::scenario::Scenario;
use brusharm::scenario::setting::Group;
use brusharm::study::compare::{SetUp, compare};
use brusharm::study::nudge::nudge;
use brusharm::study::recommend::{RecommendPlan, recommend};
use brusharm::study::spread::{SpreadPlan, spread};
use brusharm::study::stream::Workers;
use brusharm::study::summary::Summary;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::study::table::Row;
use brusharm::units::UnitSystem;

const LONG: &str = "the second high-roof luggage shuttle of the outer ferry quay";

/// The demo with a title and a vehicle of long names.
fn demo() -> Scenario {
    let shuttle = include_str!("../scenarios/harbour-vehicles.ron");
    let own = shuttle.split_once("\n    vehicles: [").unwrap().1.rsplit_once(']').unwrap().0;
    let own = own.replacen("luggage shuttle", LONG, 1);
    let text = include_str!("../scenarios/ferry-return.ron")
        .replacen("Demo(\"sedan\"),", &format!("Demo(\"sedan\"),\n{own}"), 1)
        .replacen("standard set-up", "a standard set-up that was given a very long name on a rainy day", 1);
    let scenario = Scenario::read_alone(&text, "long.ron").unwrap();
    assert!(scenario.vehicles().iter().any(|v| &*v.name == LONG));
    scenario
}

fn with(changes: &[(&str, &str)]) -> Scenario {
    demo().with(changes).unwrap()
}

const TITLE: &str =
    "Ferry harbour, rental return lane: a standard set-up that was given a very long name on a rainy day";

/// The text in both systems; looks at the width of each line and for what must be in it.
fn narrow(what: &str, text: impl Fn(UnitSystem) -> String, says: &[&str]) {
    for system in [UnitSystem::Us, UnitSystem::Si] {
        let text = text(system);
        assert!(text.lines().count() > 3, "{what}: {text}");
        for line in text.lines() {
            assert!(line.chars().count() <= TEXT_WIDTH, "{what}, {system:?}: «{line}» in\n{text}");
            assert!(!line.ends_with(' '), "{what}: «{line}»");
        }
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for said in says {
            assert!(words.contains(said), "{what}, {system:?}: no «{said}» in\n{text}");
        }
    }
}

#[test]
fn verif_a_nudge_fits() {
    let scenario = with(&[("throughput", "140 veh/h")]);
    let long = scenario.for_vehicle(LONG).unwrap();
    let cases = [("sedan".to_owned(), scenario), (LONG.to_owned(), long)];
    let table = nudge(&cases, Some(MeasureName::TailGap.whole())).unwrap();
    narrow(
        "nudge",
        |units| nudge_text(&table, TITLE, units, Ink::Plain),
        &["both.bearings.lower_offset", LONG],
    );
    // The hub has no limit to take a share of: it is no side effect while the brush stays clear of it.
    let text = nudge_text(&table, TITLE, UnitSystem::Us, Ink::Plain);
    assert!(!text.contains("clearance to the hub"), "{text}");
}

#[test]
fn verif_a_comparison_fits_with_many_set_ups() {
    let setups: Vec<SetUp> = (0..6)
        .map(|i| SetUp {
            name: format!(
                "set-up number {i}, as somebody wrote it down at length on the back of a very long sheet"
            ),
            scenario: with(&[("throughput", &format!("{} veh/h", 80 + 12 * i))]),
        })
        .collect();
    for count in [2, 3, 6] {
        let comparison = compare(&setups[..count], &["sedan".to_owned(), LONG.to_owned()]);
        let last = char::from(b'A' + count as u8 - 1);
        let difference = format!("{last}−A");
        narrow(
            "compare",
            |units| compare_text(&comparison, units, Ink::Plain),
            &["recovery margin, left", "clearance to the hub, right", &difference],
        );
    }
}

#[test]
fn verif_a_sweep_fits_however_many_axes() {
    for over in [
        &["throughput=60..140:40"][..],
        &["both.bearings.lower_offset=-1/8in,1/8in", "throughput=100,140"],
        &["vehicle=all", "left.bearings.lower_offset=0in,1/16in", "both.brush.media.mass=50,55"],
        &[
            "left.bearings.lower_offset=0in,1/16in",
            "right.bearings.lower_offset=0in",
            "left.air.cap=7psi",
            "right.air.cap=7psi",
            "both.counterweight.mass=26,27",
            "both.brush.friction=0.3,0.35",
            "vehicle.lateral_offset=0,18in",
        ],
    ] {
        let plan = SweepPlan { over: over.iter().map(|s| (*s).to_owned()).collect(), ..SweepPlan::default() };
        let measure = MeasureName::RecoveryMargin.of(brusharm::arm::Side::Right);
        let drawn = (over.len() == 1).then_some(4);
        let mut sweep = Sweep::new(&[("demo".to_owned(), demo())], &plan).unwrap();
        if let Some(draws) = drawn {
            sweep = sweep.beside(Box::new(PointIntervals::new(draws, 1, vec![measure])));
        }
        let design = sweep.design();
        let mut rows: Vec<Row> = Vec::new();
        let mut summary = Summary::new(design.axes(), sweep.columns(), design.rows(), measure);
        let sink = |row: Row, _| {
            summary.add(&row);
            rows.push(row);
            Ok::<(), ()>(())
        };
        sweep.run(0..design.rows(), Workers::new(0), sink).unwrap();
        assert!(rows.len() <= MOST_ROWS_SHOWN);
        for rows in [&rows[..], &[]] {
            let words = design.summary();
            let report = SweepReport {
                title: TITLE,
                design: &words,
                summary: &summary,
                columns: sweep.columns(),
                rows,
                highest: None,
                drawn,
            };
            narrow("sweep", |units| report.text(units, Ink::Plain), &["recovery margin, right", "Over "]);
            let text = report.text(UnitSystem::Us, Ink::Plain);
            assert_eq!(text.contains("4 machines were drawn"), drawn.is_some(), "{text}");
            assert_eq!(text.contains("All met"), drawn.is_some() && !rows.is_empty(), "{text}");
        }
    }
}

#[test]
fn verif_a_spread_fits() {
    let plan = SpreadPlan { blocks: 4, resamples: 20, ..SpreadPlan::default() };
    let result = spread(&with(&[("throughput", "110 veh/h")]), &plan, Workers::new(0), |_| {}).unwrap();
    narrow(
        "spread",
        |units| spread_text(&result, TITLE, None, units, Ink::Plain),
        &["recovery margin, left", "Every criterion is met in"],
    );
}

#[test]
fn verif_a_recommendation_fits() {
    let scenario = with(&[("throughput", "152 veh/h"), ("left.bearings.lower_offset", "-1/8 in")]);
    for vehicles in [vec!["sedan".to_owned()], vec!["sedan".to_owned(), LONG.to_owned()]] {
        let plan = RecommendPlan {
            vehicles,
            groups: vec![Group::Bearing],
            bearing_within_m: 0.0254 / 16.0,
            ..RecommendPlan::of(&scenario)
        };
        let found = recommend(&scenario, &plan, |_| {}).unwrap();
        narrow(
            "recommend",
            |units| recommend_text(&found, TITLE, units, Ink::Plain),
            &["As found: misses", "1. Restore the standard", "Checked with full passes", "Lock out"],
        );
    }
}
