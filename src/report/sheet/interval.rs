//! Intervals of the pass on the sheet: what is judged, as «7.8 in (6.1 to 9.9)» with the chance to meet the limit.

use super::additions::{of_measure, plain};
use super::record::key_label;
use super::words::capital;
use super::{Addition, Language};
use crate::calibrate::Intervals;
use crate::report::words::percent;
use crate::units::UnitSystem;

/// Words of this part in one language.
struct Words {
    title: &'static str,
    calibrated: &'static str,
    assumed: &'static str,
    columns: [&'static str; 3],
    to: &'static str,
    all: &'static str,
}

fn words(language: Language) -> Words {
    match language {
        Language::English => Words {
            title: "How sure this is",
            calibrated: "Machines drawn from the readings of this machine. 95 % of them lie between. How vehicles sit is not in it.",
            assumed: "Machines drawn from what is assumed of one that nobody measured. 95 % of them lie between. How vehicles sit is not in it.",
            columns: ["Criterion", "Here (from, to)", "Chance to meet"],
            to: "to",
            all: "All criteria",
        },
        Language::Spanish => Words {
            title: "Qué tan seguro es",
            calibrated: "Máquinas sorteadas según las lecturas de esta. El 95 % queda entre ambos valores. No incluye cómo va el vehículo en la vía.",
            assumed: "Máquinas sorteadas según lo supuesto de una que nadie midió. El 95 % queda entre ambos valores. No incluye cómo va el vehículo en la vía.",
            columns: ["Criterio", "Aquí (de, a)", "Probabilidad de cumplir"],
            to: "a",
            all: "Todos los criterios",
        },
        Language::French => Words {
            title: "À quel point c'est sûr",
            calibrated: "Machines tirées d'après les relevés de celle-ci. 95 % d'entre elles sont entre les deux. La position du véhicule n'y est pas.",
            assumed: "Machines tirées d'après ce qu'on suppose d'une machine non mesurée. 95 % d'entre elles sont entre les deux. La position du véhicule n'y est pas.",
            columns: ["Critère", "Ici (de, à)", "Chance de respecter"],
            to: "à",
            all: "Tous les critères",
        },
    }
}

/// The intervals as a part of the sheet.
pub fn intervals_addition(intervals: &Intervals, language: Language, units: UnitSystem) -> Addition {
    let own = words(language);
    let mut rows = Vec::new();
    for line in intervals.measures.iter().filter(|line| line.met.is_some()) {
        let said = |si: f64| of_measure(line.measure, Some(si), units);
        let here = line.value.map_or_else(String::new, said);
        let between = line
            .quantiles
            .map_or_else(String::new, |[low, _, high]| format!(" ({} {} {})", said(low), own.to, said(high)));
        let met = percent(line.met.as_ref().map(|share| share.share));
        let label = capital(&key_label(&line.measure.key(), language.words()));
        rows.push(vec![plain(label), plain(format!("{here}{between}")), plain(met)]);
    }
    if let Some(share) = &intervals.all_met {
        rows.push(vec![plain(own.all), plain(""), plain(percent(Some(share.share)))]);
    }
    Addition {
        title: own.title.to_owned(),
        note: if intervals.calibrated { own.calibrated } else { own.assumed }.to_owned(),
        columns: own.columns.iter().map(|c| (*c).to_owned()).collect(),
        rows,
        picture: None,
    }
}
