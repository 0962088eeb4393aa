//! Verdicts worked by hand: the line that decides, margin to a limit, and that no two names are alike.

use brusharm::arm::Side;
use brusharm::coverage::table::LimitSize;
use brusharm::coverage::{Criteria, EventName, MeasureName, Phase, Verdict, VerdictLine, headline};
use brusharm::vehicle::FeatureKind;
use std::collections::BTreeSet;

/// A line, with the size that the table gives a limit.
fn line(criterion: MeasureName, value: Option<f64>, limit: f64, verdict: Verdict) -> VerdictLine {
    let size = match criterion.row().limited.expect("it can be limited").size {
        LimitSize::Rest => 1.0 - limit,
        LimitSize::Strips => 0.2,
        LimitSize::Own | LimitSize::AtLeast(_) => limit.abs(),
    };
    VerdictLine { criterion, about: None, side: None, value, limit, size, verdict, edge: None }
}

/// Margin in units of what the limit leaves: a share of 0.94 where 0.9 is asked has 0.4 of the tenth that can be lost; an overlap of 0.15 m where 0.1 m is
/// asked has half a limit, a delay of 2 s where 3 s are allowed a third; 3 cm before the hub are 15 % of strips of 20 cm. What does not exist has none.
#[test]
fn verif_margin_to_a_limit_by_hand() {
    use MeasureName::{ChaseDelay, HubClearance, NoseOverlap, SidePressureMean, TailWashed};
    for (criterion, value, limit, margin) in [
        (TailWashed, 0.94, 0.9, 0.4),
        (TailWashed, 0.85, 0.9, -0.5),
        (NoseOverlap, 0.15, 0.1, 0.5),
        (NoseOverlap, -0.25, -0.2, -0.25),
        (SidePressureMean, 15.0, 10.0, 0.5),
        (ChaseDelay, 2.0, 3.0, 1.0 / 3.0),
        (ChaseDelay, 4.5, 3.0, -0.5),
        (HubClearance, 0.03, 0.0, 0.15),
    ] {
        let got = line(criterion, Some(value), limit, Verdict::Pass).margin().expect("it exists");
        assert!((got - margin).abs() < 1e-12, "{criterion:?} {value}: {got}");
    }
    assert_eq!(line(ChaseDelay, None, 3.0, Verdict::Fail).margin(), None);
}

/// The worst verdict decides, among its lines the one with the least margin, what does not exist before all; of equals the first.
#[test]
fn verif_the_line_that_decides() {
    use MeasureName::{ChaseDelay, NoseOverlap, SpindlePower};
    use Verdict::{Fail, Marginal, Pass};
    let told = |lines: &[VerdictLine]| headline(lines).map(|(verdict, line)| (verdict, line.criterion));
    let wide = line(ChaseDelay, Some(1.0), 3.0, Pass);
    let tight = line(NoseOverlap, Some(0.12), 0.1, Pass);
    let edge = line(SpindlePower, Some(95.0), 100.0, Marginal);
    let missed = line(NoseOverlap, Some(0.05), 0.1, Fail);
    let absent = line(ChaseDelay, None, 3.0, Fail);
    assert_eq!(told(&[]), None);
    assert_eq!(told(&[wide.clone(), tight.clone()]), Some((Pass, NoseOverlap)));
    assert_eq!(told(&[tight.clone(), edge.clone(), wide.clone()]), Some((Marginal, SpindlePower)));
    assert_eq!(told(&[edge.clone(), missed.clone(), tight]), Some((Fail, NoseOverlap)));
    assert_eq!(told(&[missed, edge, absent]), Some((Fail, ChaseDelay)));
    let as_wide = line(SpindlePower, Some(100.0), 300.0, Pass);
    assert_eq!(told(&[wide.clone(), as_wide.clone()]), Some((Pass, ChaseDelay)));
    assert_eq!(told(&[as_wide, wide]), Some((Pass, SpindlePower)));
}

/// At the limit there is no margin: marginal; past it by a hair it fails. Marginal as far as its share of the limit, exclusive.
#[test]
fn verif_verdicts_at_the_limit() {
    use Verdict::{Fail, Marginal, Pass};
    for (value, verdict) in
        [(10.0, Marginal), (10.001, Fail), (9.0, Marginal), (8.999, Pass), (f64::NAN, Fail)]
    {
        assert_eq!(Verdict::at_most(value, 10.0, 0.1), verdict, "{value}");
    }
    for (value, verdict) in
        [(10.0, Marginal), (9.999, Fail), (11.0, Marginal), (11.001, Pass), (f64::INFINITY, Fail)]
    {
        assert_eq!(Verdict::at_least(value, 10.0, 0.1), verdict, "{value}");
    }
    for (value, verdict) in [(-10.0, Marginal), (-9.5, Marginal), (-8.9, Pass)] {
        assert_eq!(Verdict::at_least(value, -10.0, 0.1), verdict, "{value}");
    }
}

/// The limit of a kind of feature is that kind's.
#[test]
fn verif_limits_by_kind_of_feature() {
    let criteria = Criteria {
        feature_limits_n: vec![(FeatureKind::Mirror, 9.0), (FeatureKind::Plate, 40.0)],
        ..Criteria::default()
    };
    assert_eq!(criteria.feature_limit_n(FeatureKind::Plate), Some(40.0));
    assert_eq!(criteria.feature_limit_n(FeatureKind::Mirror), Some(9.0));
    assert_eq!(criteria.feature_limit_n(FeatureKind::Antenna), None);
}

/// Who reads a name must know which it is: none is empty, no two are alike, and both sides of a criterion's label are told apart.
#[test]
fn verif_names_tell_things_apart() {
    fn apart(names: &[&str]) {
        assert!(names.iter().all(|name| name.len() > 3), "{names:?}");
        assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len(), "{names:?}");
    }
    apart(&EventName::ALL.map(EventName::name));
    use Phase::{
        Bumper, Chasing, FarSide, Nose, Side as OnSide, Stuck, SwingingIn, SwingingOut, Tail, Waiting,
    };
    let phases = [Waiting, Nose, OnSide, Chasing, Tail, FarSide, Bumper, Stuck, SwingingIn, SwingingOut];
    apart(&phases.map(Phase::name));
    use MeasureName as C;
    let all = [
        C::NoseWashed,
        C::SideWashed,
        C::TailWashed,
        C::NoseOverlap,
        C::TailGap,
        C::SidePressureMean,
        C::SidePressurePeak,
        C::FeatureForce,
        C::ChaseDelay,
        C::RecoveryMargin,
        C::StopCompression,
        C::SpindlePower,
        C::HubClearance,
    ];
    apart(&all.map(C::criterion_key));
    apart(&all.map(|name| name.row().label));
    apart(&[Verdict::Pass, Verdict::Marginal, Verdict::Fail].map(Verdict::name));
    let about = |criterion: C, about: Option<&str>| VerdictLine {
        about: about.map(str::to_owned),
        side: Some(Side::Left),
        ..line(criterion, Some(1.0), 2.0, Verdict::Pass)
    };
    assert_eq!(about(C::FeatureForce, Some("left mirror")).key(), "feature_force.left_mirror");
    assert_eq!(about(C::FeatureForce, Some("left mirror")).label(), "force on left mirror");
    assert_eq!(about(C::SideWashed, Some("left")).label(), "side washed, left");
    assert_eq!(
        (about(C::TailGap, None).key(), about(C::TailGap, None).label()),
        ("tail_gap".to_owned(), "gap on the tail".to_owned())
    );
}
