//! The sheet's own words in English, Spanish and French.
//!
//! One struct, one value per language: a word that is missing does not compile. Places for values are written `{0}`, `{1}` …; a test
//! checks that all languages use the same ones. Data of the scenario is never translated.

mod en;
mod es;
mod fault;
mod fr;

pub(super) use fault::of_fault;

use crate::arm::Side;

/// A language of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// Spanish.
    Spanish,
    /// French.
    French,
}

impl Language {
    /// All languages.
    pub const ALL: [Language; 3] = [Language::English, Language::Spanish, Language::French];

    /// Its code: BCP 47, which HTML's `lang` takes (W3C HTML, «lang»).
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
            Language::French => "fr",
        }
    }

    /// The words.
    pub fn words(self) -> &'static Words {
        match self {
            Language::English => &en::WORDS,
            Language::Spanish => &es::WORDS,
            Language::French => &fr::WORDS,
        }
    }
}

impl std::str::FromStr for Language {
    type Err = crate::error::Refusal;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Language::ALL.into_iter().find(|l| l.code() == text).ok_or_else(|| crate::error::Refusal {
            problem: "the sheet has no such language".to_owned(),
            given: text.to_owned(),
            allowed: "en, es, fr".to_owned(),
            advice: "choose one of them".to_owned(),
        })
    }
}

/// Puts values into the places `{0}`, `{1}` … of a template. A value is never looked at for places again.
pub fn fill(template: &str, values: &[&str]) -> String {
    let mut out = String::with_capacity(template.len() + 16);
    let mut rest = template;
    while let Some(open) = rest.find('{') {
        out.push_str(&rest[..open]);
        let tail = &rest[open + 1..];
        match tail.find('}').and_then(|close| Some((tail[..close].parse::<usize>().ok()?, close))) {
            Some((index, close)) => {
                out.push_str(values.get(index).copied().unwrap_or_default());
                rest = &tail[close + 1..];
            }
            None => {
                out.push('{');
                rest = tail;
            }
        }
    }
    out.push_str(rest);
    out
}

pub use crate::report::words::capital;

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// Every word and sentence of the sheet in one language.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct Words {
            $($(#[$doc])* pub $name: &'static str,)*
            /// What to do before a hand goes near the machine; each ends with the citations it rests on, as numbers.
            pub cautions: [(&'static str, &'static [usize]); 7],
            /// The citations, from 1, each with whether its text was seen (in a copy) or it is cited from memory.
            pub citations: [(&'static str, bool); 6],
            /// The check pass, in order.
            pub check_list: [&'static str; 6],
            /// Words for terms of the program: its own English term and the term here.
            pub terms: &'static [(&'static str, &'static str)],
        }

        impl Words {
    /// «left unit», «both units».
    pub(super) fn units(&self, sides: &[Side]) -> &'static str {
        match sides {
            [Side::Left] => self.unit_left,
            [Side::Right] => self.unit_right,
            _ => self.unit_both,
        }
    }

            /// All single words and sentences with their names.
            pub fn all(&self) -> Vec<(&'static str, &'static str)> {
                vec![$((stringify!($name), self.$name),)*]
            }
        }
    };
}

words! {
    /// Name of the document.
    title,
    /// Field.
    site,
    /// Field.
    machine,
    /// Field.
    date,
    /// Field.
    who,
    /// Field.
    vehicle,
    /// Field: throughput and conveyor speed.
    line,
    /// The set-up the machine was found with.
    as_found,
    /// The set-up to leave it with.
    as_left,
    /// What the program does not do.
    predicts,
    /// The limits of the model, one sentence.
    limits,
    /// Verdict.
    pass,
    /// Verdict.
    marginal,
    /// Verdict.
    fail,
    /// Headline; {0} criterion, {1} value, {2} limit with its sense.
    headline_pass,
    /// Headline.
    headline_marginal,
    /// Headline.
    headline_fail,
    /// Headline without criteria.
    headline_none,
    /// A number that does not exist.
    no_value,
    /// Limit: at least {0}.
    at_least,
    /// Limit: at most {0}.
    at_most,
    /// Heading of the cautions.
    cautions_title,
    /// Before the citations.
    sources,
    /// What the marks of the citations mean.
    citation_marks,
    /// Heading of the blanks for the site's procedure.
    local_title,
    /// Blank.
    local_procedure,
    /// Blank.
    lock_points,
    /// Blank.
    locked_by,
    /// Blank.
    zero_proved_by,
    /// Heading of the pictures.
    pictures_title,
    /// Caption of the plan view; {0} event, {1} unit, {2} time.
    plan_caption,
    /// What the dashed arms of the plan view are.
    ghost_caption,
    /// Caption of the unrolled map.
    map_caption,
    /// Heading of the criteria.
    criteria_title,
    /// Column.
    criterion,
    /// Column.
    limit,
    /// Column.
    verdict,
    /// Left of travel.
    left,
    /// Right of travel.
    right,
    /// The unit on the left, in a sentence.
    unit_left,
    /// The unit on the right.
    unit_right,
    /// Both units.
    unit_both,
    /// Heading of the settings of both set-ups.
    settings_title,
    /// Heading of the settings when only the set-up to leave is known.
    settings_title_left,
    /// Column.
    setting,
    /// Column: tolerance.
    may_move,
    /// Column: blank.
    measured,
    /// Over a table that is wider than a phone.
    more_columns,
    /// What a tolerance is.
    tolerance_note,
    /// Nothing turned either way as far as was looked.
    free,
    /// Abbreviation for the left unit.
    left_short,
    /// Abbreviation for the right unit.
    right_short,
    /// Settings left out in print; {0} how many.
    not_printed,
    /// Heading of the steps.
    steps_title,
    /// No steps are needed.
    no_steps,
    /// Without a set-up to come from.
    no_from,
    /// Part of a step.
    done_when,
    /// Part of a step.
    lock_again,
    /// Group.
    group_standard,
    /// Group.
    group_air,
    /// Group.
    group_bearing,
    /// Group.
    group_pin,
    /// Group.
    group_foam,
    /// Group.
    group_other,
    /// Group.
    group_line,
    /// Step; {0} setting, {1} unit or line, {2} from, {3} to.
    do_change,
    /// Step: air up or down.
    do_air,
    /// Step: bearing, {0} which bearing, {1} unit, {2} distance, {3} direction.
    do_bearing,
    /// Direction.
    toward_wall,
    /// Direction.
    toward_lane,
    /// Direction.
    downstream,
    /// Direction.
    upstream,
    /// Bearing.
    upper_bearing,
    /// Bearing.
    lower_bearing,
    /// How to move a bearing.
    how_bearing,
    /// Done, bearing by tape; {0} the gap difference.
    done_bearing,
    /// Done, bearing by tape with known gap; {0} gap.
    done_bearing_gap,
    /// Lock, bearing.
    lock_bearing,
    /// How to set the air.
    how_air,
    /// Done, air: {0} pressure.
    done_air,
    /// Lock, air.
    lock_air,
    /// Step: pin; {0} unit, {1} hole from, {2} hole to.
    do_pin,
    /// How to move the pin.
    how_pin,
    /// A warning: both pins further in.
    both_pins,
    /// Done, pin: {0} hole, {1} distance of the brush centre from the centreline.
    done_pin,
    /// Lock, pin.
    lock_pin,
    /// Done, counterweight.
    done_weight,
    /// How, counterweight.
    how_weight,
    /// Lock, counterweight.
    lock_weight,
    /// Done, spin.
    done_spin,
    /// Done, valve timing.
    done_valve,
    /// Done, damper.
    done_damper,
    /// Done, anything else: {0} value.
    done_other,
    /// Lock, anything else.
    lock_other,
    /// How to change the line.
    how_line,
    /// Done, line: {0} throughput.
    done_line,
    /// Lock, line.
    lock_line,
    /// Scale pull: {0} unit, {1} force out, {2} force in, {3} swing angle, {4} distance of the brush centre from the lane centreline.
    scale_pull,
    /// How the pull is taken.
    scale_how,
    /// The pull would go the other way: {0} unit, {1} force.
    scale_push,
    /// Heading of the check pass.
    check_title,
    /// What the model expects: {0} unit, {1} chase delay.
    expect_chase,
    /// {0} unit, {1} margin.
    expect_margin,
    /// {0} gap.
    expect_gap,
    /// {0} overlap.
    expect_overlap,
    /// No chase: {0} unit.
    expect_no_chase,
    /// Heading of what is expected.
    expect_title,
    /// Blank.
    seen_blank,
    /// Sign-off.
    sign_done,
    /// Sign-off.
    sign_checked,
    /// Blank.
    sign_name,
    /// Blank.
    sign_time,
    /// Heading of the replay.
    replay_title,
    /// Note without scripts.
    replay_no_script,
    /// Description of the picture.
    replay_label,
    /// Button.
    play,
    /// Button.
    pause,
    /// Button.
    previous_event,
    /// Button.
    next_event,
    /// Slider.
    time,
    /// Choice.
    speed,
    /// Tick box.
    ghost,
    /// Readout.
    nose_at,
    /// Readout.
    swing,
    /// Readout.
    force,
    /// Heading of the events.
    events,
    /// On the picture.
    travel,
    /// Keys of the replay.
    keys,
    /// Legend.
    washed,
    /// Legend.
    not_yet,
    /// Legend.
    missed,
    /// Legend; {0} top of the scale.
    pressure_scale,
    /// Heading of added study results.
    studies_title,
    /// Where the sheet comes from; {0} version.
    computed_by,
    /// The set-up files; {0} before, {1} after.
    from_files,
    /// One file; {0}.
    from_file,
    /// Values changed on the command line; {0}.
    with_set,
    /// The scenario says that its data is invented.
    note,
    /// Beyond a tolerance no pass can be computed.
    impossible,
    /// How to change the foam.
    how_foam,
    /// Done, foam.
    done_foam,
    /// Lock, foam.
    lock_foam,
    /// Done, spin sense.
    done_sense,
    /// Heading of a nudge table; {0} measure.
    study_nudge,
    /// Heading or column of a study.
    study_step,
    /// Heading or column of a study.
    study_down,
    /// Heading or column of a study.
    study_up,
    /// Heading or column of a study.
    study_turned,
    /// Heading or column of a study.
    study_spread,
    /// Heading or column of a study.
    study_measure,
    /// Heading or column of a study.
    study_met,
    /// Heading or column of a study.
    study_low,
    /// Heading or column of a study.
    study_middle,
    /// Heading or column of a study.
    study_high,
    /// How many passes; {0}.
    study_passes,
    /// Heading or column of a study.
    study_compare,
    /// Heading or column of a study.
    study_setup,
    /// Heading or column of a study.
    study_deciding,
    /// Heading or column of a study.
    study_room,
    /// Heading or column of a study.
    study_sweep,
    /// How many points; {0}.
    study_points,
    /// Caption of a heat map; {0} measure, {1} axis across, {2} axis up.
    study_map,
    /// Legend of a heat map: the heavy line.
    study_boundary,
    /// Legend of a heat map: a cell without a value.
    study_nothing,
    /// Legend of a heat map: a value on an edge.
    study_edge,
}

impl Words {
    /// The term of this language for one of the program's own terms; the term itself when the table has none.
    pub fn term<'a>(&self, english: &'a str) -> &'a str {
        self.terms.iter().find(|(own, _)| *own == english).map_or(english, |(_, here)| here)
    }

    /// As [`Words::term`] for a term that counts an item: «needle of damper 2» is looked up as «needle of damper #».
    pub fn counted_term(&self, english: &str) -> String {
        let digits = |text: &str| text.find(|c: char| c.is_ascii_digit());
        let Some(start) = digits(english) else { return self.term(english).to_owned() };
        let length = english[start..].find(|c: char| !c.is_ascii_digit()).unwrap_or(english.len() - start);
        let number = &english[start..start + length];
        let pattern = format!("{}#{}", &english[..start], &english[start + length..]);
        let term = self.term(&pattern);
        if term == pattern { self.term(english).to_owned() } else { term.replacen('#', number, 1) }
    }
}

#[cfg(test)]
mod tests;
