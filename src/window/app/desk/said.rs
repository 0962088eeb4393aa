//! What the page of the desk says, in sentences.

use super::ask::{Curve, Swept, THROUGHPUT};
use super::{Page, StudyKind};
use crate::coverage::measure::Measure;
use crate::report::{Said, capital, counts_said, fails_from, highest_said, measure_value, recommend_said};
use crate::study::band::{BAND_SHARES, BandOver};
use crate::units::{Dimension, ThroughputDim, counted, format};
use crate::window::app::App;

impl App {
    /// The throughput, 1/s, and the value of a measure, SI, of the pass that is shown; none where there is none, or a fault is shown, which the studies
    /// do not have.
    pub fn now(&self, measure: Measure) -> Option<[f64; 2]> {
        let pass = self.shown().filter(|_| self.find.shown.is_none())?;
        let per_s = pass.scenario.setting(THROUGHPUT).ok()?.value_si(&pass.scenario)?;
        Some([per_s, measure.read(&pass.outcome).value?])
    }

    /// What the page that is shown says of what was found last.
    pub fn desk_said(&self) -> Vec<String> {
        let desk = &self.desk;
        match desk.page {
            Page::Throughput => {
                let mut said = Vec::new();
                if let Some((curve, _)) = &desk.curve.found {
                    said.extend(self.curve_said(curve));
                }
                if let Some((band, _)) = desk.band.found.as_ref().filter(|_| !self.is_stale(StudyKind::Band))
                {
                    said.extend(self.band_said(band));
                }
                said
            }
            Page::Steps => Vec::new(),
            Page::Advice => {
                let Some((found, _)) = &desk.advice.found else { return Vec::new() };
                let text = |said: Said| match said {
                    Said::Heading(text) | Said::Text(text) | Said::Effect(text) => text,
                    Said::Step(kind, moves) => format!("{kind}: {moves}"),
                };
                recommend_said(found, self.units).into_iter().map(text).collect()
            }
            Page::Map => desk.map.found.iter().map(|(found, _)| map_said(found)).collect(),
            Page::Foam => desk.foam.found.iter().map(|(found, _)| found.report.headline_said()).collect(),
        }
    }

    fn curve_said(&self, curve: &Curve) -> Vec<String> {
        let measure = curve.swept.summary.measure;
        let mut said = Vec::new();
        match (&curve.of_measure, curve.swept.is_stopped()) {
            (Some(highest), _) => said.push(fails_from(measure, highest, curve.ends_per_s, self.units)),
            (None, true) => said.push(format!(
                "Stopped after {} of {}: where it fails was not looked for.",
                curve.swept.rows.len(),
                counted(curve.swept.of, "throughput", "throughputs")
            )),
            (None, false) => said.push(format!("The scenario sets no limit for {}.", measure.label())),
        }
        if let Some(highest) = &curve.highest {
            said.extend(highest_said(highest, self.units));
        }
        if self.is_stale(StudyKind::Curve) {
            return said;
        }
        if let Some([per_s, si]) = self.now(measure) {
            let rate = format(ThroughputDim::INFO, per_s, self.units);
            said.push(format!(
                "Now, at {rate}: {} {}.",
                measure.label(),
                measure_value(measure, Some(si), self.units)
            ));
        }
        said
    }

    fn band_said(&self, band: &BandOver) -> Vec<String> {
        let [low, _, high] = BAND_SHARES.map(|share| 100.0 * share);
        let mut text = format!(
            "Band: {:.0} % of {} drawn at each throughput, as {} spread in the scenario (seed {}).",
            high - low,
            counted(band.plan.draws, "pass", "passes"),
            counted(band.factors.len() as u64, "thing", "things"),
            band.plan.seed
        );
        if (band.points.len() as u64) < band.of {
            text += &format!(
                " Stopped after {} of {}.",
                band.points.len(),
                counted(band.of, "throughput", "throughputs")
            );
        }
        let without: u64 = band.points.iter().map(|point| point.without).sum();
        if without > 0 {
            text += &format!(
                " {} had no value and {} not in it.",
                counted(without, "pass", "passes"),
                if without == 1 { "is" } else { "are" }
            );
        }
        let missed = |point: &&crate::study::band::BandPoint| point.missed.is_some_and(|missed| missed > 0);
        if let Some(point) = band.points.iter().find(missed) {
            let passes = point.values + point.without;
            text += &format!(
                " At {} the first of them miss the limit: {} of {passes}.",
                point.at.text,
                point.missed.unwrap_or(0)
            );
        }
        vec![text]
    }
}

/// «Of 49 points, 40 pass, 9 fail. Stopped after …».
fn map_said(found: &Swept) -> String {
    let stopped = if found.is_stopped() {
        format!(" Stopped after {} of {}.", found.rows.len(), counted(found.of, "point", "points"))
    } else {
        String::new()
    };
    format!("{}, all criteria counted.{stopped}", capital(&counts_said(&found.summary.counts)))
}
