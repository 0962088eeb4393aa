//! Field tests and find-the-fault as text.

use super::FoamReport;
use super::say::{Say, percent, ratio, ratio_or_none, reading_name};
use super::text::{Lines, paragraph};
use crate::foam::dilution_study::FlowFinding;
use crate::foam::fault::{Finding, RuledOut};
use crate::foam::fault_cause::Caution;
use crate::report::TEXT_WIDTH;
use crate::report::words::wrap;

impl FoamReport {
    pub(super) fn field_tests(&self, say: Say, out: &mut String) {
        let Some(field) = &self.field else { return };
        let d = &self.result.dilution;
        out.push_str("\nFIELD TESTS\n");
        let against =
            |measured: Option<f64>, said: &dyn Fn(f64) -> String, model: f64, quotient: Option<f64>| {
                measured.map(|m| {
                    let share = quotient
                        .map_or_else(String::new, |q| format!(", {:.0} % of what it should be", 100.0 * q));
                    format!("{} measured, {} by the model{share}", said(m), said(model))
                })
            };
        let mut lines = Lines::default();
        if let Some(text) =
            against(field.water_flow_m3_s, &|v| say.flow(v), d.water_flow_m3_s, field.water_quotient)
        {
            lines.add("Water", text);
        }
        // The draw is held against the model at the measured water, which `draw_quotient` has in it.
        if let Some(m) = field.concentrate_flow_m3_s {
            let share = field.draw_quotient.map_or_else(String::new, |q| {
                format!(", {:.0} % of what the model draws at this water", 100.0 * q)
            });
            lines.add("Draw", format!("{} measured{share}", say.draw(m)));
        }
        match field.measured_ratio {
            Some(measured) => {
                let mut text = format!(
                    "{} measured, {} by the model",
                    ratio(measured),
                    ratio_or_none(field.model_ratio)
                );
                if let Some((target, off)) = self.questions.target_ratio.zip(field.against_target) {
                    let word = if off >= 1.0 { "weaker" } else { "richer" };
                    text.push_str(&format!(
                        "; {} {word} than the target of {}",
                        percent((off - 1.0).abs()),
                        ratio(target)
                    ));
                }
                lines.add("Ratio", text);
            }
            None => lines
                .add("Ratio", "needs a draw-down and a bucket test that both caught something".to_owned()),
        }
        lines.add("Verdict", field_verdict(field.water, field.draw));
        lines.write(out);
    }

    pub(super) fn faults(&self, say: Say, out: &mut String) {
        let Some(diagnosis) = &self.diagnosis else { return };
        out.push_str("\nFIND THE FAULT\n");
        let mut asked: Vec<String> = self.questions.symptoms.iter().map(|s| s.name().to_owned()).collect();
        for (reading, value) in self.questions.readings.list() {
            asked.push(format!(
                "{} {}",
                reading_name(reading).replace('-', " "),
                say.reading(reading, value)
            ));
        }
        paragraph(out, 2, &format!("Seen and read: {}", asked.join(", ")));
        if diagnosis.as_set {
            paragraph(
                out,
                2,
                "The station as described shows this already: look at the settings before you look for a fault.",
            );
        }
        if diagnosis.findings.is_empty() && diagnosis.pairs.is_empty() && !diagnosis.as_set {
            paragraph(
                out,
                2,
                "Neither one cause nor two together show all of this. Read the gauges again, and compare the file with the machine.",
            );
        }
        if !diagnosis.findings.is_empty() {
            paragraph(out, 2, "Causes that fit, in the order to check. Each is consistent, not proven.");
        }
        for (i, finding) in diagnosis.findings.iter().enumerate() {
            cause(say, out, i + 1, finding);
        }
        if !diagnosis.pairs.is_empty() {
            out.push_str("  No single cause fits. Pairs that do, best fit first:\n");
        }
        for (i, finding) in diagnosis.pairs.iter().enumerate() {
            cause(say, out, i + 1, finding);
        }
        if !diagnosis.ruled_out.is_empty() {
            out.push_str("  Ruled out, as far as the description is right:\n");
        }
        for ruled in &diagnosis.ruled_out {
            paragraph(out, 4, &format!("- {}: {}", ruled.cause.name(), ruled_words(say, ruled)));
        }
        let mut cautions: Vec<Caution> = diagnosis
            .findings
            .iter()
            .chain(&diagnosis.pairs)
            .flat_map(|finding| finding.cautions.iter().copied())
            .collect();
        cautions.sort_unstable();
        cautions.dedup();
        if !cautions.is_empty() {
            out.push_str("  Mind first:\n");
        }
        for caution in cautions {
            paragraph(out, 4, &format!("- {}", caution.text()));
        }
    }
}

fn cause(say: Say, out: &mut String, number: usize, finding: &Finding) {
    for (i, severity) in finding.causes.iter().enumerate() {
        let lead = if i == 0 { format!("{number:>4}. ") } else { "      and ".to_owned() };
        let cause = format!(
            "{}: {} would do it",
            severity.cause.name(),
            say.severity(severity.cause, severity.value)
        );
        out.push_str(&lead);
        out.push_str(&wrap(&cause, TEXT_WIDTH - lead.len(), 6));
        paragraph(out, 6, &format!("check: {}", severity.cause.check()));
    }
}

fn ruled_words(say: Say, ruled: &RuledOut) -> String {
    if !ruled.never_shows.is_empty() {
        let names: Vec<&str> = ruled.never_shows.iter().map(|s| s.name()).collect();
        return format!("never shows {}", names.join(", "));
    }
    match &ruled.against {
        Some(fit) => format!(
            "at its best it would read {} {}, not {}",
            reading_name(fit.reading).replace('-', " "),
            fit.model.map_or_else(|| "nothing".to_owned(), |m| say.reading(fit.reading, m)),
            say.reading(fit.reading, fit.read)
        ),
        None => "never shows all of it at once".to_owned(),
    }
}

/// Which side disagrees with the model, and what to look at.
fn field_verdict(water: FlowFinding, draw: FlowFinding) -> String {
    let side = |finding, what: &str, weak: &str, strong: &str| match finding {
        FlowFinding::Weak => Some(format!("{what} is weak: {weak}")),
        FlowFinding::Strong => Some(format!("{what} is strong: {strong}")),
        FlowFinding::Agrees => Some(format!("{what} agrees with the model")),
        FlowFinding::NotMeasured => None,
    };
    let said: Vec<String> = [
        side(
            water,
            "water flow",
            "strainer, supply pressure, scaled throat or a kinked outlet",
            "worn throat, or a supply pressure above the one in the file",
        ),
        side(
            draw,
            "the draw",
            "tip part-blocked, air leak in the suction line, longer lift or thick concentrate",
            "tip worn, missing or wider than the one in the file",
        ),
    ]
    .into_iter()
    .flatten()
    .collect();
    said.join("; ")
}
