//! What the banner says: which set-up is held against which, what was turned between them, what one measure did, and what of it is seen close.

use std::sync::Arc;

use super::super::compare::{Change, change_of, matters_from};
use super::super::solved::SolvedPass;
use super::App;
use crate::arm::Bearings;
use crate::coverage::measure::{ALL, Measure};
use crate::coverage::{MeasureName, headline};
use crate::drawing::close_up::CloseUp;
use crate::drawing::words::in_label_unit;
use crate::report::{Turned, arrow, turned};
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, unit_and_rest};
use crate::study::lesson::measure_text;
use crate::units::{Dimension, PressureDim, UnitSystem, minus_signs, unit_label};
use crate::window::pins::Slot;

/// How the measure of the banner was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chosen {
    /// By a person.
    ByHand,
    /// The lesson's answers speak of it.
    ByLesson,
    /// Its verdict turned; of several such, it changed most.
    VerdictTurned,
    /// No criterion changed more, in steps that matter on the job.
    ChangedMost,
    /// It decides the verdict.
    Decides,
}

impl Chosen {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Chosen::ByHand => "chosen here",
            Chosen::ByLesson => "the lesson asks",
            Chosen::VerdictTurned => "its verdict turned",
            Chosen::ChangedMost => "changed most",
            Chosen::Decides => "it decides",
        }
    }
}

/// A set-up that is shown.
#[derive(Debug, Clone)]
pub struct Named {
    /// «A», «B», «now» or «file».
    pub name: String,
    /// What makes it different.
    pub words: String,
    /// Its pass.
    pub pass: Arc<SolvedPass>,
}

/// What was turned, and what one measure did.
#[derive(Debug, Clone, PartialEq)]
pub struct Banner {
    /// What was turned: «lower bearing off plumb +1/8 in».
    pub turned: String,
    /// The measure.
    pub measure: Measure,
    /// Why that one.
    pub chosen: Chosen,
    /// Its values: «4.5 → 0.0 in»; with «?» while a class guesses.
    pub values: String,
    /// Whether that is better.
    pub change: Change,
    /// From which set-up to which: «A → now»; one name where there is nothing to hold against it.
    pub names: String,
}

impl Banner {
    /// What the measure did, in a line.
    pub fn did(&self) -> String {
        let way = match self.change {
            Change::Better => ", better",
            Change::Worse => ", worse",
            Change::Same => ", about the same",
            Change::None | Change::Other => "",
        };
        format!("{} {}{way}", self.measure.label(), self.values)
    }
}

impl App {
    /// The set-up that is shown, and the one that it is held against: pinned A, otherwise the file as it is. Where nothing is changed and A and B
    /// are pinned, those two.
    pub fn beside(&self) -> (Option<Named>, Option<Named>) {
        let Some(now) = self.shown() else { return (None, None) };
        let pinned = |slot: Slot| {
            let pin = self.pins.get(slot)?;
            Some(Named {
                name: slot.letter().to_owned(),
                words: pin.name.clone(),
                pass: Arc::clone(&pin.record),
            })
        };
        let (a, b) = (pinned(Slot::A), pinned(Slot::B));
        let plain = now.edits.is_empty() && self.cause_shown().is_none() && !self.fault_hidden();
        let own = || {
            let words = if self.fault_hidden() {
                self.lesson().map_or(String::new(), |run| run.texts.heading.clone())
            } else {
                super::super::edits::words(&now.scenario, &now.edits)
            };
            Named { name: "now".to_owned(), words, pass: Arc::clone(now) }
        };
        let after = match b {
            Some(b) if plain && a.is_some() || Arc::ptr_eq(&b.pass, now) => b,
            _ => own(),
        };
        let before = a.filter(|a| !Arc::ptr_eq(&a.pass, &after.pass)).or_else(|| {
            let file = self.as_in_file.as_ref().filter(|file| file.edits != after.pass.edits)?;
            let words = "as in the file".to_owned();
            Some(Named { name: "file".to_owned(), words, pass: Arc::clone(file) })
        });
        (before, Some(after))
    }

    /// Whether the step of the lesson hides a fault.
    fn fault_hidden(&self) -> bool {
        self.lesson().is_some_and(|run| {
            run.lesson.file.steps.get(run.state.at()).is_some_and(|step| step.fault.is_some())
        })
    }

    /// The banner; nothing before the first pass is there.
    pub fn banner(&self) -> Option<Banner> {
        let (before, after) = self.beside();
        let after = after?;
        let (measure, chosen) = self.banner_measure(before.as_ref(), &after);
        let read = |named: &Named| measure.read(&named.pass.outcome).value;
        let (from, to) = (before.as_ref().map(read), read(&after));
        let hidden = self.answer_hidden();
        let turned = match &before {
            Some(before) => turned_words(&before.pass.scenario, &after.pass.scenario, self.units),
            None => String::new(),
        };
        let turned = match turned.is_empty() {
            false => turned,
            true if self.fault_hidden() => "nothing turned: a fault is hidden".to_owned(),
            true => self.cause_shown().unwrap_or_else(|| "as in the file".to_owned()),
        };
        let change = match from {
            Some(from) if !hidden => change_of(measure, from, to),
            _ => Change::None,
        };
        Some(Banner {
            turned,
            measure,
            chosen,
            values: values_text(measure, from, (!hidden).then_some(to), self.units),
            change,
            names: match &before {
                Some(before) => format!("{} → {}", before.name, after.name),
                None => after.name,
            },
        })
    }

    pub(super) fn banner_measure(&self, before: Option<&Named>, after: &Named) -> (Measure, Chosen) {
        if let Some(measure) = self.present.measure {
            return (measure, Chosen::ByHand);
        }
        if let Some(measure) = self.lesson_measure() {
            return (measure, Chosen::ByLesson);
        }
        if let Some((measure, turned)) = before.and_then(|before| changed_most(&before.pass, &after.pass)) {
            return (measure, if turned { Chosen::VerdictTurned } else { Chosen::ChangedMost });
        }
        let decides = headline(&after.pass.outcome.verdicts).and_then(|(_, line)| {
            ALL.into_iter().find(|m| m.name == line.criterion && m.side() == line.side)
        });
        (decides.unwrap_or(MeasureName::TailGap.whole()), Chosen::Decides)
    }

    /// The measure that the step's answer speaks of first.
    pub(super) fn answer_measure(&self) -> Option<Measure> {
        let run = self.lesson()?;
        first_measure(&run.lesson.file.steps.get(run.state.at())?.answer)
    }

    pub(super) fn lesson_measure(&self) -> Option<Measure> {
        let run = self.lesson()?;
        self.answer_measure()
            .or_else(|| run.lesson.file.steps.iter().find_map(|step| first_measure(&step.answer)))
    }

    /// What was turned first, seen close; nothing where nothing was turned.
    pub fn close_up(&self) -> Option<CloseUp> {
        let (before, after) = self.beside();
        let (before, after) = (before?.pass, after?.pass);
        let first = turned(&before.scenario, &after.scenario, self.units).into_iter().next()?;
        let (named, rest) = unit_and_rest(&first.path);
        let side = named.or(first.side).or_else(|| Some(after.setup.units.first()?.side))?;
        let rest = rest.strip_prefix("both.").unwrap_or(rest);
        let words = arrow(&first.from, &first.to);
        let unit = |pass: &SolvedPass| pass.setup.units.iter().find(|u| u.side == side).cloned();
        let hole = |pass: &SolvedPass| pass.scenario.stop_pin(side);
        Some(match first.group {
            Group::Bearing if !rest.ends_with("_along") => {
                let (old, new) = (unit(&before)?.bearings, unit(&after)?.bearings);
                let across = |b: &Bearings| [b.upper.toward_wall_m, b.lower.toward_wall_m];
                CloseUp::Bearings { span_m: new.span_m, before_m: across(&old), now_m: across(&new), words }
            }
            Group::Pin if rest.ends_with(".hole") => {
                let (old, new) = (hole(&before)?, hole(&after)?);
                CloseUp::Holes { count: new.seat_rad.len(), before: old.hole, now: new.hole }
            }
            _ => {
                let own = format!("{}.", side.name());
                let path = first.path.replacen("both.", &own, 1);
                let gauge_pa = |pass: &SolvedPass| {
                    let setting = pass.scenario.setting(&path).ok()?;
                    let pressure = setting.info().is_some_and(|info| std::ptr::eq(info, PressureDim::INFO));
                    pressure.then(|| setting.value(&pass.scenario).map(|value| value.si))?
                };
                let shown = |pa: f64| in_label_unit(PressureDim::INFO, pa, self.units);
                match (gauge_pa(&before), gauge_pa(&after)) {
                    (Some(old), Some(new)) => {
                        let unit = unit_label(PressureDim::INFO, self.units);
                        CloseUp::gauge(shown(old), shown(new), unit, words)
                    }
                    _ => CloseUp::Words { before: first.from.clone(), now: first.to.clone() },
                }
            }
        })
    }
}

/// The criterion that changed most between two passes, one whose verdict turned before any other, and whether it did. Nothing where no criterion
/// changed by what matters on the job.
fn changed_most(before: &SolvedPass, after: &SolvedPass) -> Option<(Measure, bool)> {
    let each = ALL.into_iter().filter_map(|measure| {
        let (old, new) = (measure.read(&before.outcome), measure.read(&after.outcome));
        let turned = new.verdict? != old.verdict?;
        let steps = match (old.value, new.value) {
            (Some(old), Some(new)) => (new - old).abs() / matters_from(measure, old).max(f64::MIN_POSITIVE),
            (None, None) => return None,
            // What is gone or new has changed by more than any number.
            _ => f64::INFINITY,
        };
        (turned || steps >= 1.0 && steps.is_finite()).then_some((measure, turned, steps))
    });
    // Of two alike the first.
    let most = each.reduce(|a, b| if (b.1, b.2) > (a.1, a.2) { b } else { a });
    most.map(|(measure, turned, _)| (measure, turned))
}

/// What was turned, in one line; empty when nothing was.
fn turned_words(before: &Scenario, after: &Scenario, units: UnitSystem) -> String {
    turned(before, after, units).iter().map(Turned::text).collect::<Vec<_>>().join(", ")
}

/// «4.5 → 0.0 in»; a value that does not exist is «none», one that is not told yet «?».
pub(super) fn values_text(
    measure: Measure,
    from: Option<Option<f64>>,
    to: Option<Option<f64>>,
    units: UnitSystem,
) -> String {
    let text = |value: Option<f64>| {
        value.map_or_else(|| "none".to_owned(), |value| minus_signs(&measure_text(measure, value, units)))
    };
    let to = to.map_or_else(|| "?".to_owned(), text);
    match from.map(text) {
        Some(from) => arrow(&from, &to),
        None => to,
    }
}

/// The measure that a text with placeholders names first.
fn first_measure(template: &str) -> Option<Measure> {
    let whole = |key: &str| {
        let letter = |c: char| c.is_ascii_alphanumeric() || c == '_';
        template
            .match_indices(key)
            .map(|(at, _)| at)
            .find(|at| !template[..*at].ends_with(letter) && !template[at + key.len()..].starts_with(letter))
    };
    ALL.into_iter().filter_map(|m| Some((whole(&m.key())?, m))).min_by_key(|(at, _)| *at).map(|(_, m)| m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_the_first_measure_of_a_template_is_a_whole_word() {
        let tail = MeasureName::TailGap.whole();
        assert_eq!(first_measure("The gap goes from {A.tail_gap} to {nose_washed}."), Some(tail));
        assert_eq!(first_measure("{tail_gaps} {A.now.reach_left}"), None);
        assert_eq!(first_measure("It {tail_gap > A.tail_gap ? grew : shrank}"), Some(tail));
    }

    #[test]
    fn verif_values_say_what_is_missing_and_what_is_not_told() {
        let gap = MeasureName::TailGap.whole();
        let text = |from, to| values_text(gap, from, to, UnitSystem::Us);
        assert_eq!(text(Some(Some(0.1143)), Some(Some(0.0))), "4.5 → 0.0 in");
        assert_eq!(text(Some(Some(0.1143)), None), "4.5 in → ?");
        assert_eq!(text(None, Some(Some(0.1143))), "4.5 in");
        assert_eq!(text(Some(None), Some(Some(0.1143))), "none → 4.5 in");
        let overlap = MeasureName::TailOverlap.whole();
        assert_eq!(values_text(overlap, None, Some(Some(-0.1)), UnitSystem::Us), "−3.9 in");
    }
}
