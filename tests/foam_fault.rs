//! Find-the-fault: causes put into the demo station must be found again from what would be seen and read.

use brusharm::foam::demo;
use brusharm::foam::fault::{Reading, ReadingTolerance, Readings, Symptom, find_fault};
use brusharm::foam::fault_cause::{Cause, Caution};
use brusharm::foam::station::Station;

fn spoilt(causes: &[(Cause, f64)]) -> Station {
    let mut station = demo();
    for &(cause, level) in causes {
        cause.apply(&mut station, level);
    }
    station
}

/// Every reading a spoilt station would give.
fn all_readings(station: &Station) -> Readings {
    let result = station.evaluate().expect("in range");
    let of = |reading: Reading| reading.of(station, &result);
    Readings {
        supply_pa: of(Reading::Supply),
        injector_inlet_pa: of(Reading::InjectorInlet),
        suction_pa: of(Reading::Suction),
        water_flow_m3_s: of(Reading::WaterFlow),
        concentrate_flow_m3_s: of(Reading::ConcentrateFlow),
        ratio: of(Reading::Ratio),
        liquid_pa: of(Reading::LiquidGauge),
        air_pa: of(Reading::AirGauge),
        tee_pa: of(Reading::Tee),
        liquid_flow_m3_s: of(Reading::LiquidFlow),
        expansion_ratio: of(Reading::Expansion),
    }
}

fn shown(station: &Station) -> Vec<Symptom> {
    let good = demo().evaluate().expect("in range");
    let now = station.evaluate().expect("in range");
    Symptom::ALL.into_iter().filter(|s| s.shows(&now, &good)).collect()
}

fn causes_of(diagnosis: &brusharm::foam::fault::Diagnosis) -> Vec<Cause> {
    diagnosis.findings.iter().map(|finding| finding.causes[0].cause).collect()
}

/// Each cause, bad enough to be seen or read, is on the list that its own symptoms and readings give, at about its own
/// severity, and what does not touch the same flows is off it.
#[test]
fn verif_each_cause_is_found_again() {
    let mut seen = 0;
    for cause in Cause::ALL {
        for level in [0.35, 0.6] {
            let station = spoilt(&[(cause, level)]);
            let readings = all_readings(&station);
            let diagnosis = find_fault(&demo(), &shown(&station), &readings, ReadingTolerance::default())
                .expect("in range");
            assert!(
                causes_of(&diagnosis).contains(&cause),
                "{cause:?} at {level} not in {:?}",
                causes_of(&diagnosis)
            );
            let mine = diagnosis.findings.iter().find(|f| f.causes[0].cause == cause).expect("just seen");
            assert!(mine.misfit < 0.3, "{cause:?}: {}", mine.misfit);
            assert_eq!(mine.readings.len(), readings.list().len());
            assert!(!mine.cautions.is_empty());
            if !shown(&station).is_empty() {
                seen += 1;
                assert!(diagnosis.findings.len() <= 4, "{cause:?}: {:?}", causes_of(&diagnosis));
            }
            assert_eq!(diagnosis.findings.len() + diagnosis.ruled_out.len(), Cause::ALL.len());
        }
    }
    assert!(seen >= 14, "only {seen} of the spoilt stations show anything");
}

/// With a symptom and no reading the list is long, and in the order to check; readings shorten it.
#[test]
fn verif_readings_shorten_the_list() {
    let station = spoilt(&[(Cause::StrainerBlocked, 0.5)]);
    assert!(shown(&station).contains(&Symptom::ColourFading));
    let seen = [Symptom::ColourFading];
    let bare =
        find_fault(&demo(), &seen, &Readings::default(), ReadingTolerance::default()).expect("in range");
    let order = causes_of(&bare);
    assert!(order.len() >= 6, "{order:?}");
    let rank = |cause: &Cause| Cause::ALL.iter().position(|c| c == cause);
    assert!(order.is_sorted_by_key(rank));
    assert!(!order.contains(&Cause::AirPressureLow) && !order.contains(&Cause::TipWide), "{order:?}");
    for ruled in &bare.ruled_out {
        assert_eq!(ruled.never_shows, seen, "{ruled:?}");
    }

    let result = station.evaluate().expect("in range");
    let readings = Readings {
        supply_pa: Some(station.conditions.supply_pressure_pa),
        injector_inlet_pa: Some(result.dilution.injector_inlet_pa),
        ..Readings::default()
    };
    let read = find_fault(&demo(), &seen, &readings, ReadingTolerance::default()).expect("in range");
    assert_eq!(causes_of(&read), [Cause::StrainerBlocked]);
    let finding = &read.findings[0];
    assert!((finding.causes[0].value - station.conditions.strainer_blocked).abs() < 0.05);
    assert_eq!(finding.cautions[0], Caution::ShutWater);
    assert!(finding.cautions.contains(&Caution::RelievePressure));
    let supply = read.ruled_out.iter().find(|r| r.cause == Cause::SupplyLow).expect("ruled out");
    assert!(supply.against.is_some_and(|fit| fit.misfit > 1.0), "{supply:?}");
}

#[test]
fn verif_each_symptom_has_causes() {
    let expect = [
        (
            Symptom::Watery,
            vec![Cause::AirPressureLow, Cause::NeedleShut, Cause::LiquidPressureHigh, Cause::TipBlocked],
        ),
        // A blocked strainer starves the tank, and a pump that draws air spits too.
        (Symptom::Spits, vec![Cause::LiquidPressureLow, Cause::AirPressureHigh, Cause::StrainerBlocked]),
        (Symptom::Dry, vec![Cause::LiquidPressureLow, Cause::AirPressureHigh, Cause::LiquidLineBlocked]),
        (Symptom::ColourFading, vec![Cause::ContainerLow, Cause::ConcentrateThick, Cause::TipBlocked]),
        (Symptom::NoDraw, vec![Cause::SuctionLeak, Cause::InjectorBackPressure, Cause::SupplyLow]),
    ];
    for (symptom, wanted) in expect {
        let found = find_fault(&demo(), &[symptom], &Readings::default(), ReadingTolerance::default())
            .expect("in range");
        assert!(!found.as_set);
        let causes = causes_of(&found);
        for cause in wanted {
            assert!(causes.contains(&cause), "{symptom:?}: {cause:?} not in {causes:?}");
        }
        assert!(causes.len() < Cause::ALL.len());
    }
}

/// Two faults at once, which no single cause explains.
#[test]
fn verif_a_pair_is_found_when_no_single_cause_fits() {
    let pair = [(Cause::AirPressureLow, 0.43), (Cause::TipBlocked, 0.37)];
    let sharp = ReadingTolerance { share: 0.02, pressure_pa: 1e3 };
    let station = spoilt(&pair);
    let diagnosis = find_fault(&demo(), &shown(&station), &all_readings(&station), sharp).expect("in range");
    assert!(diagnosis.findings.is_empty(), "{:?}", causes_of(&diagnosis));
    let best: Vec<Vec<Cause>> =
        diagnosis.pairs.iter().map(|f| f.causes.iter().map(|s| s.cause).collect()).collect();
    assert!(best.contains(&vec![Cause::AirPressureLow, Cause::TipBlocked]), "{best:?}");
    assert!(diagnosis.pairs.len() <= 5);
}

/// Each cause moves the flow or pressure it is named for, the way its name says.
#[test]
fn verif_each_cause_pushes_its_own_way() {
    let good = demo();
    let base = good.evaluate().expect("in range");
    for cause in Cause::ALL {
        let station = spoilt(&[(cause, 0.4)]);
        let now = station.evaluate().expect("in range");
        let (d, b) = (&now.dilution, &now.balance);
        let (d0, b0) = (&base.dilution, &base.balance);
        let change = match cause {
            Cause::SupplyLow | Cause::StrainerBlocked | Cause::ThroatScaled => {
                d0.water_flow_m3_s / d.water_flow_m3_s
            }
            Cause::ThroatWorn => d.water_flow_m3_s / d0.water_flow_m3_s,
            Cause::ContainerLow
            | Cause::SuctionLeak
            | Cause::ConcentrateThick
            | Cause::TipBlocked
            | Cause::InjectorBackPressure => d0.concentrate_share / d.concentrate_share,
            Cause::TipWide => d.concentrate_share / d0.concentrate_share,
            Cause::LiquidPressureLow | Cause::LiquidLineBlocked | Cause::OutletsBlocked => {
                b0.liquid_flow_m3_s / b.liquid_flow_m3_s
            }
            Cause::LiquidPressureHigh => b.liquid_flow_m3_s / b0.liquid_flow_m3_s,
            Cause::AirPressureLow | Cause::NeedleShut => b0.air_flow_kg_s / b.air_flow_kg_s,
            Cause::AirPressureHigh | Cause::NeedleOpen => b.air_flow_kg_s / b0.air_flow_kg_s,
            Cause::OutletsWide => b0.tee_pa / b.tee_pa,
        };
        assert!(change > 1.05, "{cause:?}: {change}");
        assert!((cause.value(&good, 0.0) - cause.value(&good, 0.4)).abs() > 1e-3, "{cause:?}");
    }
}

/// Settings that do it by themselves need no fault.
#[test]
fn verif_settings_that_explain_themselves() {
    let mut station = demo();
    station.settings.air_pressure_pa = 0.0;
    let found = find_fault(&station, &[Symptom::Watery], &Readings::default(), ReadingTolerance::default())
        .expect("in range");
    assert!(found.as_set);
}

#[test]
fn verif_nothing_seen_and_nothing_read() {
    let error =
        find_fault(&demo(), &[], &Readings::default(), ReadingTolerance::default()).expect_err("nothing");
    assert_eq!(error.field(), "symptoms");
    let wild = Readings { expansion_ratio: Some(0.5), ..Readings::default() };
    let error = find_fault(&demo(), &[], &wild, ReadingTolerance::default()).expect_err("under 1");
    assert_eq!(error.field(), "readings.expansion_ratio");
}

#[test]
fn verif_same_search_same_answer() {
    let text = || {
        let found = find_fault(&demo(), &[Symptom::Spits], &Readings::default(), ReadingTolerance::default());
        format!("{:?}", found.expect("in range"))
    };
    assert_eq!(text(), text());
}

/// Every cause and caution has its words, no two the same.
#[test]
fn verif_words() {
    let mut names: Vec<&str> = Cause::ALL.iter().flat_map(|c| [c.name(), c.check()]).collect();
    let count = names.len();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), count);
    assert!(Cause::ALL.iter().all(|c| !c.value_meaning().is_empty() && !c.cautions().is_empty()));
    assert!(Caution::ShutWater.text().contains("shut the water"));
    assert!(Caution::DataSheet.text().contains("safety data sheet"));
}
