//! Why a brush does what it does, in a sentence.

use super::why_words::{ENGLISH, WhyWords, fill};
use crate::coverage::{Explanation, Middle, Phase, Race, STILL_M_S};
use crate::pass::UnitInstant;
use crate::units::job::short_length;
use crate::units::{Dimension, ForceDim, SpeedDim, TimeDim, TorqueDim, UnitSystem, format};

/// One sentence with the numbers that decide: behind the tail the race, elsewhere the strongest torque outward and inward.
pub fn why(explanation: &Explanation, system: UnitSystem) -> String {
    why_in(explanation, system, &ENGLISH)
}

/// The same in the words of another language.
pub fn why_in(explanation: &Explanation, system: UnitSystem, words: &WhyWords) -> String {
    let Explanation { phase, race, middle, instant: at, .. } = explanation;
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let torque = |t: f64| format(TorqueDim::INFO, t.abs(), system);
    let length = |l: f64| short_length(l, system);
    let brush = words.brush(at.side);
    // The strongest torque each way, with pivot friction only where it decides.
    let strongest = |sign: f64, template: &str| {
        let causes = at.budget.causes().into_iter().filter(|(_, t)| sign * t > 0.5);
        causes.max_by(|a, b| (sign * a.1).total_cmp(&(sign * b.1))).map_or_else(
            || words.nothing.to_owned(),
            |(name, t)| fill(template, &[words.cause(name), &torque(t)]),
        )
    };
    let (inward, outward) = (&strongest(-1.0, words.inward), &strongest(1.0, words.outward));
    let swing = &speed(at.brush_m_s.norm());
    let into = &length(at.inboard_stop_m.max(0.0));
    match phase {
        Phase::Tail | Phase::Chasing => race_sentence(at, race, middle.as_ref(), system, words),
        Phase::Nose => {
            let template = if at.omega_rad_s > 0.0 { words.nose_drives } else { words.nose_presses };
            fill(template, &[brush, &speed(at.brush_m_s.y.max(0.0)), outward, inward])
        }
        Phase::Side | Phase::FarSide => {
            let template = if *phase == Phase::Side { words.side } else { words.far_side };
            let force = format(ForceDim::INFO, at.press_force_n, system);
            fill(template, &[brush, &length(at.press_m), &force, inward, outward])
        }
        Phase::Waiting => fill(words.waiting, &[brush, into, inward, outward]),
        Phase::Bumper => fill(words.bumper, &[brush, swing, into, outward, inward]),
        Phase::Stuck => fill(words.stuck, &[brush, &torque(at.budget.friction_n_m), inward, outward]),
        Phase::SwingingIn => fill(words.swinging_in, &[brush, swing, inward, outward]),
        Phase::SwingingOut => fill(words.swinging_out, &[brush, swing, outward, inward]),
    }
}

fn race_sentence(
    at: &UnitInstant,
    race: &Race,
    middle: Option<&Middle>,
    system: UnitSystem,
    words: &WhyWords,
) -> String {
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let length = |l: f64| short_length(l, system);
    let time = |t: f64| format(TimeDim::INFO, t, system);
    let brush = words.brush(at.side);
    let moves = if race.inboard_m_s >= STILL_M_S {
        fill(words.swings_in, &[brush, &speed(race.inboard_m_s)])
    } else if at.brush_m_s.norm() < STILL_M_S {
        fill(words.stands, &[brush])
    } else {
        fill(words.still_out, &[brush, &speed(-race.inboard_m_s)])
    };
    let gone = if race.out_of_reach_m > 0.0 {
        fill(words.out_of_reach, &[&length(race.out_of_reach_m)])
    } else {
        String::new()
    };
    let comes = middle.map_or_else(String::new, |middle| match middle.reached_s {
        _ if middle.now_m <= 0.0 => words.lie_over.to_owned(),
        Some(wait_s) => fill(words.come_over, &[&time(wait_s)]),
        None if middle.behind_m <= 0.0 => words.were_over.to_owned(),
        None if middle.ahead_m < middle.behind_m => fill(words.short_of, &[&length(middle.ahead_m)]),
        None => fill(words.no_nearer, &[&length(middle.behind_m)]),
    });
    fill(words.race, &[&speed(race.tail_m_s), &gone, &moves, &comes])
}

#[cfg(test)]
mod tests;
