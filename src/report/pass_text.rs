//! A pass as a person reads it: the verdict first, then the criteria, the zones, the gaps in words, timing, loads, energy.

use super::pass_gaps::gap_sentences;
use super::table::TextTable;
use super::words::{NONE, Words, capital, percent, wrap};
use super::{Ink, PassReport, TEXT_WIDTH};
use crate::coverage::{EventName, MeasureName, UnitTiming, Verdict, VerdictLine, headline};
use crate::elementary::Elementary;
use crate::units::job::per_hour;
use crate::units::{AngleDim, Dimension};
use crate::units::{UnitSystem, counted, format_in};

impl PassReport<'_> {
    /// The verdict in one sentence: «Fails: gap on the tail is 17.2 in, limit 12.0 in.»
    pub fn headline(&self, units: UnitSystem) -> String {
        let words = Words::new(units);
        match headline(&self.solved.outcome.verdicts) {
            None => "Not judged: the scenario states no criteria.".to_owned(),
            Some((Verdict::Fail, line)) => format!("Fails: {}.", said(line, words)),
            Some((Verdict::Marginal, line)) => format!("Marginal: {}.", said(line, words)),
            Some((Verdict::Pass, line)) => format!("Passes. Tightest: {}.", said(line, words)),
        }
    }

    /// The number that decides next after the one in the headline, as a sentence; `None` when there is no other.
    fn next_sentence(&self, words: Words) -> Option<String> {
        let (_, first) = headline(&self.solved.outcome.verdicts)?;
        // The same criterion of the other side tells nothing new.
        let is_other = |l: &&VerdictLine| l.criterion != first.criterion;
        let others: Vec<VerdictLine> =
            self.solved.outcome.verdicts.iter().filter(is_other).cloned().collect();
        let (verdict, second) = headline(&others)?;
        let start = match verdict {
            Verdict::Fail => "Also fails",
            Verdict::Marginal => "Marginal",
            Verdict::Pass => "Next tightest",
        };
        Some(format!("{start}: {}.", said(second, words)))
    }

    /// The whole report.
    pub fn text(&self, units: UnitSystem, ink: Ink) -> String {
        let words = Words::new(units);
        let mut out = String::new();
        let paragraph = |out: &mut String, text: &str| out.push_str(&wrap(text, TEXT_WIDTH, 0));
        let first = wrap(&self.headline(units), TEXT_WIDTH, 0);
        let worst = headline(&self.solved.outcome.verdicts).map(|(v, _)| v);
        match worst {
            Some(v) => first.lines().for_each(|line| out.push_str(&format!("{}\n", ink.verdict(v, line)))),
            None => out.push_str(&first),
        }
        if let Some(next) = self.next_sentence(words) {
            paragraph(&mut out, &next);
        }
        if worst.is_some() {
            paragraph(&mut out, &self.counts());
        }
        out.push('\n');
        self.push_subject(&mut out, words);

        self.push_criteria(&mut out, words, ink);
        self.push_zones(&mut out, words, ink);
        self.push_gaps(&mut out, words, ink);
        self.push_timing(&mut out, words, ink);
        self.push_arms(&mut out, words, ink);
        self.push_loads(&mut out, words, ink);

        let audit = &self.solved.outcome.audit;
        let energy = words.energy();
        let residual = audit.residual_fraction().map_or_else(|| NONE.to_owned(), |r| under_decade(r.abs()));
        out.push('\n');
        paragraph(
            &mut out,
            &format!(
                "Energy audit: work in {}, dissipated {}, stored {}; {residual} of the work done is unaccounted for.",
                energy.with_unit(Some(audit.work_in_j())),
                energy.with_unit(Some(audit.dissipated_j())),
                energy.with_unit(Some(audit.stored_j)),
            ),
        );
        paragraph(
            &mut out,
            "A prediction, not a certificate. Maker's manual, local codes and lockout come first.",
        );
        out
    }

    fn counts(&self) -> String {
        let count = |v: Verdict| self.solved.outcome.verdicts.iter().filter(|l| l.verdict == v).count();
        let (fail, marginal, pass) = (count(Verdict::Fail), count(Verdict::Marginal), count(Verdict::Pass));
        let total = self.solved.outcome.verdicts.len();
        format!(
            "Of {}: {fail} {}, {marginal} marginal, {pass} {}.",
            counted(total as u64, "criterion", "criteria"),
            if fail == 1 { "fails" } else { "fail" },
            if pass == 1 { "passes" } else { "pass" },
        )
    }

    fn push_subject(&self, out: &mut String, words: Words) {
        let measured = &self.solved.setup.train[self.solved.setup.measured];
        let vehicle = &measured.shape.real;
        out.push_str(&wrap(self.title, TEXT_WIDTH, 0));
        let ahead = match self.solved.setup.measured {
            0 => "first in line".to_owned(),
            1 => "one vehicle ahead of it".to_owned(),
            n => format!("{n} vehicles ahead of it"),
        };
        let mut text = format!(
            "{}, {} long, {} wide; {ahead}; {} veh/h, conveyor {}",
            capital(&vehicle.name),
            words.length_text(vehicle.length_m),
            words.length_text(vehicle.width_m),
            round_rate(per_hour(self.throughput_per_s)),
            words.speed().with_unit(Some(self.solved.setup.conveyor_speed_m_s)),
        );
        if measured.lateral_offset_m != 0.0 {
            let side = if measured.lateral_offset_m > 0.0 { "left" } else { "right" };
            let offset = words.length_text(measured.lateral_offset_m.abs());
            text.push_str(&format!("; sits {offset} to the {side}"));
        }
        if measured.yaw_rad != 0.0 {
            text.push_str(&format!("; turned {}", format_in(AngleDim::INFO, measured.yaw_rad, "°", 2)));
        }
        text.push('.');
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
        for (path, value) in self.set {
            out.push_str(&wrap(&format!("Set for this run: {path} = {value}"), TEXT_WIDTH, 2));
        }
    }

    fn push_criteria(&self, out: &mut String, words: Words, ink: Ink) {
        if self.solved.outcome.verdicts.is_empty() {
            return;
        }
        heading(out, "Criteria", ink);
        let mut table = TextTable::new(&["Criterion", ">Value", "", ">Limit", "Verdict"]);
        // What fails stands first.
        let mut lines: Vec<&VerdictLine> = self.solved.outcome.verdicts.iter().collect();
        lines.sort_by_key(|line| std::cmp::Reverse(line.verdict));
        for line in lines {
            let (value, limit) = words.verdict_numbers(line);
            let sense = if line.criterion.at_least() { "min" } else { "max" };
            let label = clip(&capital(&line.label()), 34);
            let edge = if line.edge.is_some() { ", on an edge" } else { "" };
            table.row(&[label.as_str(), &value, sense, &limit, &format!("{}{edge}", line.verdict.name())]);
        }
        out.push_str(&ink.verdict_lines(&table.text()));
    }

    fn push_zones(&self, out: &mut String, words: Words, ink: Ink) {
        heading(out, "What was washed", ink);
        let (pressure, rubbing, length) = (words.contact_pressure(), words.rubbing(), words.length());
        let headings = [
            "Zone".to_owned(),
            ">Washed".to_owned(),
            format!(">Mean press.\n{}", pressure.unit),
            format!(">Peak press.\n{}", pressure.unit),
            format!(">Rubbing\n{}", rubbing.unit),
            format!(">Longest gap\n{}", length.unit),
        ];
        let mut table = TextTable::new(&headings);
        for zone in &self.solved.outcome.zones {
            table.row(&[
                capital(zone.zone.name()),
                percent(zone.washed_fraction),
                pressure.number(zone.mean_pressure_pa),
                pressure.number(zone.peak_pressure_pa),
                rubbing.number(zone.rubbing_work_j_m2),
                match zone.longest_gap_m {
                    Some(0.0) => "none".to_owned(),
                    gap => length.number(gap),
                },
            ]);
        }
        out.push_str(&table.text());
    }

    fn push_gaps(&self, out: &mut String, words: Words, ink: Ink) {
        heading(out, "Gaps and overlap", ink);
        let length = words.length();
        let vehicle = &self.solved.setup.train[self.solved.setup.measured].shape.real;
        let sentences = gap_sentences(&self.solved.outcome, vehicle, words);
        if sentences.is_empty() {
            out.push_str("No gaps.\n");
        }
        for sentence in sentences {
            out.push_str(&wrap(&format!("- {}.", capital(&sentence)), TEXT_WIDTH, 2));
        }
        let overlap = &self.solved.outcome.overlap;
        for (end, overlap, plate) in [
            ("nose", overlap.nose_m, ("front plate", overlap.front_plate_m)),
            ("tail", overlap.tail_m, ("rear plate", overlap.rear_plate_m)),
        ] {
            let text = match overlap {
                Some(m) if m >= 0.0 => {
                    format!("The brushes overlap by {} at the {end}.", words.length_text(m))
                }
                Some(m) => format!(
                    "A strip of {} at the centre of the {end} is touched by neither brush.",
                    words.length_text(-m)
                ),
                None if self.solved.setup.units.len() < 2 => continue,
                None => format!("No overlap at the {end}: a brush never touches the vehicle."),
            };
            let text = match plate {
                (name, Some(m)) => {
                    format!("{text} At the height of the {name} it is {}.", length.with_unit(Some(m)))
                }
                _ => text,
            };
            out.push_str(&wrap(&text, TEXT_WIDTH, 0));
        }
    }

    fn push_timing(&self, out: &mut String, words: Words, ink: Ink) {
        heading(out, "Timing (0 s = nose at x = 0; «nose at» is its place on the lane)", ink);
        let (time, distance) = (words.time(), words.distance());
        let mut headings = vec!["Event".to_owned()];
        for unit in &self.solved.outcome.units {
            headings.push(format!(">{}\n{}", capital(unit.side.name()), time.unit));
            headings.push(format!(">nose at\n{}", distance.unit));
        }
        let mut table = TextTable::new(&headings);
        for name in self.event_order() {
            let mut row = vec![capital(name.name())];
            for unit in &self.solved.outcome.units {
                let event = unit.events.iter().find(|e| e.name == name);
                row.push(time.number(event.map(|e| e.time_s)));
                row.push(distance.number(event.map(|e| e.vehicle_position_m)));
            }
            table.row(&row);
        }
        out.push_str(&table.text());
    }

    /// Events that happened at any unit, by the earliest time at the first unit that has them.
    fn event_order(&self) -> Vec<EventName> {
        let time = |name: EventName| self.solved.outcome.units.iter().find_map(|u| u.time_of(name));
        let mut names: Vec<(EventName, f64)> =
            EventName::ALL.iter().filter_map(|&n| time(n).map(|t| (n, t))).collect();
        names.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        names.into_iter().map(|(n, _)| n).collect()
    }

    fn push_arms(&self, out: &mut String, words: Words, ink: Ink) {
        heading(out, "Arms and brushes", ink);
        let mut headings = vec!["Of the unit".to_owned()];
        headings.extend(self.solved.outcome.units.iter().map(|u| format!(">{}", capital(u.side.name()))));
        let mut table = TextTable::new(&headings);
        let mut row = |label: &str, value: &dyn Fn(&UnitTiming) -> String| {
            let mut cells = vec![label.to_owned()];
            cells.extend(self.solved.outcome.units.iter().map(value));
            table.row(&cells);
        };
        let (time, length, power) = (words.time(), words.length(), words.power());
        row("Chase delay (tail passes to back on the tail)", &|u| {
            u.chase_delay_s.map_or_else(|| "never back".to_owned(), |s| time.with_unit(Some(s)))
        });
        row("Recovery margin (settled to next nose)", &|u| {
            let margin =
                u.recovery_margin_s.map_or_else(|| "not settled".to_owned(), |s| time.with_unit(Some(s)));
            match u.recovery_edge_s {
                Some(edge_s) => format!("{margin}, an edge of {}", time.with_unit(Some(edge_s))),
                None => margin,
            }
        });
        row("Bumper compression, peak", &|u| {
            u.stop_peak_compression_m.map_or_else(|| "not met".to_owned(), |m| length.with_unit(Some(m)))
        });
        row("Deepest press on the vehicle", &|u| length.with_unit(Some(u.peak_indentation_m)));
        row("Strip left before the hub", &|u| {
            if u.hub_struck { "hub struck".to_owned() } else { length.with_unit(Some(u.hub_clearance_m)) }
        });
        row("Outboard stop", &|u| if u.outboard_stop_met { "met" } else { "not met" }.to_owned());
        row("Spindle power, peak", &|u| power.with_unit(Some(u.spindle_peak_power_w)));
        row("  of that, rubbing", &|u| power.with_unit(Some(u.spindle_peak.rubbing_w)));
        row("  of that, flexing of strips", &|u| power.with_unit(Some(u.spindle_peak.flexing_w)));
        row("  of that, air drag (estimate)", &|u| power.with_unit(Some(u.spindle_peak.air_w)));
        out.push_str(&table.text());
        for unit in self.solved.outcome.units.iter().filter(|u| u.recovery_margin_s.is_some_and(|s| s < 0.0))
        {
            let text = format!(
                "The {} arm still swings when the next nose comes: its margin is told as if that vehicle were late.",
                unit.side.name()
            );
            out.push_str(&wrap(&text, TEXT_WIDTH, 0));
        }
    }

    fn push_loads(&self, out: &mut String, words: Words, ink: Ink) {
        heading(out, "Loads on features", ink);
        if self.solved.outcome.feature_loads.is_empty() {
            out.push_str("No feature is touched.\n");
            return;
        }
        let (force, impulse) = (words.force(), words.impulse());
        let headings = [
            "Feature".to_owned(),
            "Brush".to_owned(),
            format!(">Peak\n{}", force.unit),
            format!(">Limit\n{}", force.unit),
            format!(">Impulse\n{}", impulse.unit),
            "Verdict".to_owned(),
            format!(">One blow\n{}", impulse.unit),
            format!(">Over 10 ms\n{}", force.unit),
        ];
        let mut table = TextTable::new(&headings);
        for load in &self.solved.outcome.feature_loads {
            table.row(&[
                clip(&capital(&load.feature), 30),
                load.side.name().to_owned(),
                force.number(Some(load.peak_force_n)),
                force.number(load.limit_n),
                impulse.number(Some(load.impulse_n_s)),
                load.verdict.map_or("no limit", Verdict::name).to_owned(),
                impulse.number(load.blow.map(|blow| blow.impulse_n_s)),
                force.number(load.blow.map(|blow| blow.force_10ms_n())),
            ]);
        }
        out.push_str(&ink.verdict_lines(&table.text()));
        let what = "A load is the steady force, the mean over single strips: the size of the sum of all forces of one brush on the feature, push and rubbing together. Peak, \
                    impulse and limit are of that.";
        out.push_str(&wrap(what, TEXT_WIDTH, 0));
        if let Some(blow) = self.solved.outcome.feature_loads.iter().find_map(|load| load.blow) {
            let text = format!(
                "Beside it, one strip's blow at the deepest press, {:.0} of them a second, and its mean over 10 ms: an engineering estimate that no limit here \
                 applies to.",
                blow.per_s
            );
            out.push_str(&wrap(&text, TEXT_WIDTH, 0));
        }
    }
}

/// «less than 1e-6»: the power of ten above a small share.
fn under_decade(share: f64) -> String {
    if share < 1e-12 {
        return "less than 1e-12".to_owned();
    }
    format!("less than 1e{:.0}", share.log_10().floor() + 1.0)
}

fn heading(out: &mut String, text: &str, ink: Ink) {
    out.push_str(&format!("\n{}\n", ink.strong(text)));
}

/// A throughput without needless decimals.
fn round_rate(per_h: f64) -> String {
    let text = format!("{per_h:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// A label of at most `width` characters.
fn clip(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let mut out: String = text.chars().take(width - 1).collect();
    out.push('…');
    out
}

/// «gap on the tail is 17.2 in, limit 12.0 in».
fn said(line: &VerdictLine, words: Words) -> String {
    let (value, limit) = words.verdict_numbers(line);
    let label = line.label();
    if let (MeasureName::HubClearance, Some(clearance)) = (line.criterion, line.value) {
        let about = line.about.as_deref().unwrap_or("a");
        return if clearance < 0.0 {
            format!("the hub of the {about} brush is struck")
        } else {
            format!("{label} is {value}")
        };
    }
    match line.value {
        Some(at) if line.edge.is_some() => {
            let worse = VerdictLine { value: line.edge.map(|edge| at - edge), ..line.clone() };
            let (worse, _) = words.verdict_numbers(&worse);
            format!("{label} is {value} ({worse} if the last bounce counts in full), needs {limit}")
        }
        Some(_) if line.criterion.at_least() => format!("{label} is {value}, needs {limit}"),
        Some(_) => format!("{label} is {value}, limit {limit}"),
        None => {
            let why = line.criterion.row().limited.and_then(|limited| limited.missing).unwrap_or_default();
            let word = if line.criterion.at_least() { "needs" } else { "limit" };
            format!("{label}: {why}, {word} {limit}")
        }
    }
}
