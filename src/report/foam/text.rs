//! The answers as text for people.

use super::say::{Say, clean, maybe, percent, ratio, ratio_or_none};
use super::{FoamReport, FrictionUse};
use crate::foam::dilution::{Draw, TipLaw};
use crate::foam::dilution_study::DilutionChange;
use crate::foam::pressure_path::Loss;
use crate::foam::regime::Regime;
use crate::foam::regime_map::Knob;
use crate::report::TEXT_WIDTH;
use crate::report::table::TextTable;
use crate::report::words::{capital, wrap};
use crate::units::UnitSystem;

/// What stands under every foam report.
const CAUTIONS: [&str; 4] = [
    "The maker's manual, local codes and licensed practice come first.",
    "Lock out pump and conveyor, shut the water, shut and bleed the air, relieve the pressure in the lines and prove it at the gauge.",
    "Wear eye protection and gloves, and read the concentrate's safety data sheet.",
    "This predicts what a station will do; it does not certify it.",
];

impl FoamReport {
    /// The answers as text, in US or SI units.
    #[must_use]
    pub fn text(&self, units: UnitSystem) -> String {
        let say = Say { units };
        let mut out = String::new();
        self.headline(say, &mut out);
        self.dilution(say, &mut out);
        self.balance(say, &mut out);
        self.film(say, &mut out);
        self.use_and_cost(say, &mut out);
        self.field_tests(say, &mut out);
        self.faults(say, &mut out);
        out.push_str("\nBefore anything is opened:\n");
        for caution in CAUTIONS {
            out.push_str(&wrap(&format!("- {caution}"), TEXT_WIDTH, 2));
        }
        out
    }

    /// What leaves the outlets, in a sentence.
    #[must_use]
    pub fn headline_said(&self) -> String {
        let r = &self.result;
        let foam = match r.balance.expansion_ratio {
            Some(_) if r.balance.regime == Regime::LiquidOnly => "a thin stream, no foam".to_owned(),
            Some(e) => format!("{} foam at {e:.1}:1 expansion", r.balance.regime.name()),
            None => format!("no foam: {}", r.balance.regime.name()),
        };
        let line = format!(
            "{foam}; dilution {}; friction {:.2} ({}).",
            ratio_or_none(r.dilution.ratio),
            r.film.friction,
            if r.film.is_estimate { "engineering estimate" } else { "measured" }
        );
        capital(&line)
    }

    fn headline(&self, say: Say, out: &mut String) {
        out.push_str(&wrap(&clean(&self.subject.name), TEXT_WIDTH, 0));
        out.push_str(&wrap(&self.headline_said(), TEXT_WIDTH, 0));
        for note in &self.result.notes {
            out.push_str(&wrap(&format!("! {}", say.note(note)), TEXT_WIDTH, 2));
        }
    }

    fn dilution(&self, say: Say, out: &mut String) {
        let (d, station) = (&self.result.dilution, &self.subject.station);
        out.push_str("\nDILUTION\n");
        let mut lines = Lines::default();
        let mut now = format!("{} ({} concentrate)", ratio_or_none(d.ratio), percent(d.concentrate_share));
        if let Some((target, is)) = self.questions.target_ratio.zip(d.ratio) {
            let off = is / target - 1.0;
            now.push_str(&match off {
                o if o.abs() < 0.005 => format!("; on the target of {}", ratio(target)),
                o if o > 0.0 => format!("; {} weaker than the target of {}", percent(o), ratio(target)),
                o => format!("; {} richer than the target of {}", percent(-o), ratio(target)),
            });
        }
        lines.add("Ratio now", now);
        lines.add(
            "Water",
            format!(
                "{} at {}",
                say.flow(d.water_flow_m3_s),
                say.pressure(station.conditions.supply_pressure_pa)
            ),
        );
        lines.add(
            "Concentrate",
            format!(
                "{} a minute through the {} tip{}",
                say.draw(d.concentrate_flow_m3_s).replace("/min", ""),
                clean(&self.subject.bores_written[station.dilution.fitted_tip]),
                match d.tip_law {
                    _ if d.draw != Draw::Drawing => "",
                    TipLaw::Viscous => "; it follows the thickness of the concentrate",
                    TipLaw::Mixed => "; its thickness matters some",
                    TipLaw::Inertial => "; its thickness hardly matters",
                }
            ),
        );
        lines.add(
            "Strainer",
            format!(
                "takes {}, leaves {} at the injector",
                say.pressure(d.strainer_drop_pa),
                say.pressure(d.injector_inlet_pa)
            ),
        );
        lines.add(
            "Suction",
            if d.throat_pa < 0.0 {
                format!(
                    "{} of vacuum in the throat, lift {}",
                    say.vacuum(d.throat_pa),
                    say.lift(station.conditions.lift_m)
                )
            } else {
                format!("none: {} in the throat", say.pressure(d.throat_pa))
            },
        );
        if let Some(target) = self.questions.target_ratio {
            let nearest = match self.tips.best.map(|best| &self.tips.options[best]) {
                Some(option) => format!(
                    "{} gives {}{}",
                    clean(&self.subject.bores_written[option.tip]),
                    ratio_or_none(option.ratio),
                    if option.tip == station.dilution.fitted_tip { " (fitted)" } else { "" }
                ),
                None => "no tip of the list draws anything".to_owned(),
            };
            let exact = match self.tips.exact_bore_m {
                Some(bore) => format!("; {} would meet it exactly", super::say::both_bores(bore)),
                None => "; no bore near the list would meet it exactly".to_owned(),
            };
            lines.add(&format!("Bore for {}", ratio(target)), format!("{nearest}{exact}"));
        }
        lines.write(out);

        let mut table = TextTable::new(&["  Tip", ">Ratio", ">Share", ""]);
        for option in &self.tips.options {
            let mut remarks = Vec::new();
            if option.tip == station.dilution.fitted_tip {
                remarks.push("fitted");
            }
            if self.questions.target_ratio.is_some() && self.tips.best == Some(option.tip) {
                remarks.push("nearest to the target");
            }
            if option.measured {
                remarks.push("measured");
            }
            table.row(&[
                format!("  {}", clean(&self.subject.bores_written[option.tip])),
                option.ratio.map_or_else(|| super::say::NONE.to_owned(), ratio),
                option.ratio.map_or_else(|| super::say::NONE.to_owned(), |r| percent(1.0 / (r + 1.0))),
                remarks.join(", "),
            ]);
        }
        section(out, &table.text());

        let mut table = TextTable::new(&["  One change", ">Ratio", ">Water", ""]);
        for effect in &self.effects {
            let after = &effect.after;
            let said = match effect.ratio_factor {
                Some(f) if (f - 1.0).abs() < 0.005 => "no change to speak of".to_owned(),
                Some(f) if f > 1.0 => format!("{} weaker", percent(f - 1.0)),
                Some(f) => format!("{} richer", percent(1.0 - f)),
                None => match after.draw {
                    Draw::Drawing => "draws again".to_owned(),
                    Draw::SuctionLost => "suction lost".to_owned(),
                    Draw::LiftTooHigh => "suction does not reach the lift".to_owned(),
                    Draw::AirOnly => "draws air only".to_owned(),
                    Draw::NoWater => "no water".to_owned(),
                },
            };
            table.row(&[
                format!("  {}", self.change(say, effect.change)),
                after.ratio.map_or_else(|| super::say::NONE.to_owned(), ratio),
                say.flow(after.water_flow_m3_s),
                said,
            ]);
        }
        section(out, &table.text());
    }

    fn change(&self, say: Say, change: DilutionChange) -> String {
        let station = &self.subject.station;
        let tip = |by: isize| {
            station
                .dilution
                .fitted_tip
                .checked_add_signed(by)
                .and_then(|i| self.subject.bores_written.get(i))
                .map_or_else(String::new, |bore| clean(bore))
        };
        match change {
            DilutionChange::TipDown => format!("next narrower tip, {}", tip(-1)),
            DilutionChange::TipUp => format!("next wider tip, {}", tip(1)),
            DilutionChange::StrainerBlocked(share) => format!("strainer {:.0} % blocked", 100.0 * share),
            DilutionChange::TipBlocked(share) => format!("tip {:.0} % blocked", 100.0 * share),
            DilutionChange::Supply(by) => format!("supply {}", say.change(by)),
            DilutionChange::Lift(by) => format!("lift +{} (container runs down)", say.lift(by)),
            DilutionChange::Viscosity(factor) => format!("concentrate {factor:.0} times as thick (cold)"),
        }
    }

    fn balance(&self, say: Say, out: &mut String) {
        let (b, station) = (&self.result.balance, &self.subject.station);
        let set = &station.settings;
        out.push_str("\nFOAM BALANCE\n");
        let mut lines = Lines::default();
        lines.add(
            "Set",
            format!(
                "liquid {}, air {}, needle valve {} of {}",
                say.pressure(set.liquid_pressure_pa),
                say.pressure(set.air_pressure_pa),
                super::say::steps(set.needle_step),
                maybe(Some(station.maker.air.needle.full_open_steps), 0)
            ),
        );
        lines.add("Tee", format!("{} gauge", say.pressure(b.tee_pa)));
        lines.add(
            "Flows",
            format!("{} solution, {} air", say.flow(b.liquid_flow_m3_s), say.air(b.air_reference_m3_s)),
        );
        lines.add("Regime", format!("{}: {}", b.regime.name(), regime_words(b.regime)));
        lines.add(
            "Expansion",
            match b.expansion_ratio.zip(b.line_expansion_ratio) {
                Some((e, line)) => format!(
                    "{e:.1}:1 at the outlets, {line:.1}:1 in the tee; {} gas",
                    b.gas_fraction.map_or_else(|| super::say::NONE.to_owned(), percent)
                ),
                None => "none: no liquid flows".to_owned(),
            },
        );
        lines.write(out);

        out.push_str("\n  Where the pressure drops\n");
        let path = &self.path;
        let source = if path.pump_limits { "pump, no flow" } else { "liquid regulator, set" };
        way(say, out, source, path.liquid_source_pa, &path.liquid, "no liquid flows");
        let source =
            if path.air_source_pa < set.air_pressure_pa { "air supply" } else { "air regulator, set" };
        way(say, out, source, path.air_source_pa, &path.air, "no air flows");
        paragraph(out, 4, &self.why(say));

        let mut table = TextTable::new(&["  To the next regime", ">Now", ">At", ">Turn", "Next"]);
        for margin in &self.margins {
            let now = margin.knob.value(set);
            table.row(&[
                format!("  {} {}", knob_name(margin.knob), if margin.change < 0.0 { "down" } else { "up" }),
                say.knob(margin.knob, now),
                margin
                    .neighbour
                    .map_or_else(|| super::say::NONE.to_owned(), |_| say.knob(margin.knob, margin.boundary)),
                margin.neighbour.map_or_else(
                    || super::say::NONE.to_owned(),
                    |_| say.knob_change(margin.knob, margin.change),
                ),
                margin
                    .neighbour
                    .map_or_else(|| "none on the whole travel".to_owned(), |n| n.name().to_owned()),
            ]);
        }
        section(out, &table.text());

        let mut table = TextTable::new(&["  One step", ">Solution", ">Air", ">Tee", ">Expansion", "Regime"]);
        for effect in &self.knobs {
            table.row(&[
                format!("  {} {}", knob_name(effect.knob), say.knob_change(effect.knob, effect.step)),
                signed_percent(effect.liquid_flow_change_m3_s, b.liquid_flow_m3_s),
                signed_percent(effect.air_flow_change_kg_s, b.air_flow_kg_s),
                say.change(effect.tee_change_pa),
                maybe(effect.expansion_ratio, 1),
                effect.regime.name().to_owned(),
            ]);
        }
        section(out, &table.text());
    }

    /// Why the air does or does not get in, in one sentence made of the computed drops.
    fn why(&self, say: Say) -> String {
        let (b, path) = (&self.result.balance, &self.path);
        let before_tee = path.liquid_source_pa - b.tee_pa;
        if b.liquid_held_back {
            return format!(
                "The air alone keeps the tee at {}: liquid at or under that cannot enter.",
                say.pressure(b.air_alone_tee_pa)
            );
        }
        if b.air_cannot_enter {
            return format!(
                "The liquid alone keeps the tee at {}: air must beat that and its check valve to enter.",
                say.pressure(b.liquid_alone_tee_pa)
            );
        }
        if b.air_flow_kg_s <= 0.0 {
            return "No air is set, so nothing foams: the liquid leaves as a stream.".to_owned();
        }
        format!(
            "The liquid loses {} before the tee, so air at {} gets in against liquid that starts at {}.",
            say.pressure(before_tee),
            say.pressure(path.air_source_pa),
            say.pressure(path.liquid_source_pa)
        )
    }

    fn film(&self, say: Say, out: &mut String) {
        let (f, station) = (&self.result.film, &self.subject.station);
        out.push_str("\nFILM AND FRICTION\n");
        let mut lines = Lines::default();
        lines.add(
            "Standing",
            "engineering estimate: calibrate it with a pull test or the spindle current".to_owned(),
        );
        lines.add(
            "On a vehicle",
            format!(
                "{:.1} s of foam, {} of solution, {} kept, a film of {}",
                f.on_s,
                say.volume(f.liquid_m3),
                percent(f.kept),
                say.film(f.film_m)
            ),
        );
        lines.add(
            "Friction",
            if f.is_estimate {
                format!(
                    "{:.3}, between {:.2} fully lubricated and {:.2} dry",
                    f.friction, station.film.wet_friction, station.film.dry_friction
                )
            } else {
                format!("{:.3} measured; the film model would say {:.3}", f.friction, f.estimated_friction)
            },
        );
        match self.subject.friction_use {
            None => {}
            Some(FrictionUse::SetsBrushes) => lines.add("Brushes", "take this friction".to_owned()),
            Some(FrictionUse::StatedOutright) => {
                lines.add("Brushes", "do not take it: their friction is stated outright".to_owned());
            }
        }
        lines.write(out);
    }

    fn use_and_cost(&self, say: Say, out: &mut String) {
        let (c, tank, station) = (&self.result.consumption, &self.result.tank, &self.subject.station);
        let money = |amount: f64, decimals: usize| {
            let text = format!("{amount:.decimals$} {}", clean(&self.subject.currency));
            text.trim_end().to_owned()
        };
        out.push_str("\nUSE AND COST\n");
        let mut table = TextTable::new(&["", ">Concentrate", ">Water", ">Cost"]);
        table.row(&[
            "  a vehicle".to_owned(),
            say.volume(c.concentrate_per_vehicle_m3),
            say.volume(c.water_per_vehicle_m3),
            money(c.cost_per_vehicle, 3),
        ]);
        table.row(&[
            format!("  a day of {:.0}", c.vehicles_per_day),
            say.volume(c.concentrate_per_day_m3),
            say.volume(c.water_per_day_m3),
            money(c.cost_per_day, 2),
        ]);
        out.push_str(&table.text());
        let mut lines = Lines::default();
        lines.add(
            "Tank",
            if tank.sustained {
                format!(
                    "keeps up: {} made, {} used at {:.0} vehicles an hour",
                    say.flow(tank.supply_m3_s),
                    say.flow(tank.demand_m3_s),
                    station.duty.vehicles_per_h
                )
            } else {
                format!(
                    "does not keep up: {} made, {} used; a full tank lasts {}",
                    say.flow(tank.supply_m3_s),
                    say.flow(tank.demand_m3_s),
                    tank.empties_after_s.map_or_else(|| super::say::NONE.to_owned(), duration)
                )
            },
        );
        if let Some(fade_s) = tank.fade_s {
            lines.add("After a change", format!("the tank follows within about {} (63 %)", duration(fade_s)));
        }
        if let Some(days) = tank.container_lasts_days {
            lines.add("Container", format!("lasts {days:.1} days of {:.1} h", station.duty.hours_per_day));
        }
        lines.write(out);
    }
}

/// A paragraph indented by `indent`, the lines after the first of a list's item two more.
pub(super) fn paragraph(out: &mut String, indent: usize, text: &str) {
    let hang = if text.starts_with("- ") { 2 } else { 0 };
    for line in wrap(text, TEXT_WIDTH - indent, hang).lines() {
        out.extend(std::iter::repeat_n(' ', indent));
        out.push_str(line);
        out.push('\n');
    }
}

fn regime_words(regime: Regime) -> &'static str {
    match regime {
        Regime::Off => "nothing flows",
        Regime::LiquidOnly => "a thin stream, no foam",
        Regime::Wet => "runny foam",
        Regime::Good => "it stands and is still wet",
        Regime::Dry => "too little liquid in it",
        Regime::Pulsing => "it spits: the air pushes the liquid back at every plug",
        Regime::AirLocked => "the air holds the liquid back for good",
    }
}

pub(super) fn knob_name(knob: Knob) -> &'static str {
    match knob {
        Knob::LiquidPressure => "liquid",
        Knob::AirPressure => "air",
        Knob::Needle => "needle",
    }
}

fn signed_percent(change: f64, from: f64) -> String {
    if from <= 0.0 {
        return super::say::NONE.to_owned();
    }
    let text = format!("{:+.1} %", 100.0 * change / from);
    if matches!(text.as_str(), "+0.0 %" | "-0.0 %") { "0.0 %".to_owned() } else { text }
}

fn duration(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.0} s")
    } else if seconds < 7200.0 {
        format!("{:.0} min", seconds / 60.0)
    } else {
        format!("{:.1} h", seconds / 3600.0)
    }
}

fn way(say: Say, out: &mut String, source: &str, source_pa: f64, losses: &[Loss], none: &str) {
    let mut table = TextTable::new(&["", ">", ">"]);
    table.row(&[format!("    {source}"), String::new(), say.pressure(source_pa)]);
    for loss in losses {
        table.row(&[
            format!("    {}", loss.step.name()),
            say.change(-loss.drop_pa),
            say.pressure(loss.after_pa),
        ]);
    }
    if losses.is_empty() {
        table.row(&[format!("    {none}"), String::new(), String::new()]);
    }
    // The table has no headings here.
    out.extend(table.text().lines().filter(|line| !line.is_empty()).flat_map(|line| [line, "\n"]));
}

/// A table with a line of air above it.
fn section(out: &mut String, table: &str) {
    out.push('\n');
    out.push_str(table);
}

/// Labelled lines, the labels as wide as the widest.
#[derive(Default)]
pub(super) struct Lines(Vec<(String, String)>);

impl Lines {
    pub(super) fn add(&mut self, label: &str, text: String) {
        self.0.push((label.to_owned(), text));
    }

    pub(super) fn write(self, out: &mut String) {
        let width = self.0.iter().map(|(label, _)| label.chars().count()).max().unwrap_or(0).max(14);
        for (label, text) in self.0 {
            let wrapped = wrap(&text, TEXT_WIDTH - width - 4, 0);
            for (i, line) in wrapped.lines().enumerate() {
                let label = if i == 0 { label.as_str() } else { "" };
                out.push_str(&format!("  {label:<width$}  {line}\n"));
            }
        }
    }
}
