//! Why a brush does what it does, in a sentence.

use crate::coverage::{Explanation, Middle, Phase, Race, STILL_M_S};
use crate::pass::UnitInstant;
use crate::units::{Dimension, ForceDim, LengthDim, SpeedDim, TimeDim, TorqueDim, UnitSystem, format};

/// One sentence with the numbers that decide: behind the tail the race, elsewhere the strongest torque outward and inward.
pub fn why(explanation: &Explanation, system: UnitSystem) -> String {
    let Explanation { phase, race, middle, instant: at, .. } = explanation;
    let phase = *phase;
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let torque = |t: f64| format(TorqueDim::INFO, t.abs(), system);
    let force = |f: f64| format(ForceDim::INFO, f, system);
    let length = |l: f64| format(LengthDim::INFO, l, system);
    let brush = format!("{} brush", at.side.name());
    // The strongest torque each way, with pivot friction only where it decides.
    let strongest = |sign: f64| {
        at.budget
            .causes()
            .into_iter()
            .filter(|(_, t)| sign * t > 0.5)
            .max_by(|a, b| (sign * a.1).total_cmp(&(sign * b.1)))
    };
    let pull_in =
        strongest(-1.0).map_or("nothing".to_owned(), |(name, t)| format!("{name} ({} inward)", torque(t)));
    let push_out =
        strongest(1.0).map_or("nothing".to_owned(), |(name, t)| format!("{name} ({} outward)", torque(t)));
    let swing = at.brush_m_s.norm();
    match phase {
        Phase::Tail | Phase::Chasing => race_sentence(&brush, at, race, middle.as_ref(), system),
        Phase::Nose => {
            let moves = if at.omega_rad_s > 0.0 { "drives the" } else { "presses on the" };
            format!(
                "The nose {moves} {brush} outboard at {}: {push_out} works against {pull_in}.",
                speed(at.brush_m_s.y.max(0.0))
            )
        }
        Phase::Side | Phase::FarSide => format!(
            "The {brush} rides the {} pressed in {} with {}: {pull_in} holds it against {push_out}.",
            if phase == Phase::Side { "side" } else { "far side" },
            length(at.press_m),
            force(at.press_force_n),
        ),
        Phase::Waiting => format!(
            "The {brush} waits on its bumper, pressed {} into it: {pull_in} is held by {push_out}.",
            length(at.inboard_stop_m.max(0.0)),
        ),
        Phase::Bumper => format!(
            "The {brush} meets its bumper at {} and is {} into it: {push_out} brakes {pull_in}.",
            speed(swing),
            length(at.inboard_stop_m.max(0.0)),
        ),
        Phase::Stuck => format!(
            "The {brush} stands still away from its bumper: friction ({}) holds what is left between {pull_in} and {push_out}.",
            torque(at.budget.friction_n_m),
        ),
        Phase::SwingingIn => {
            format!(
                "The {brush} swings in at {} with nothing on it: {pull_in} against {push_out}.",
                speed(swing)
            )
        }
        Phase::SwingingOut => {
            format!(
                "The {brush} swings out at {} with nothing on it: {push_out} against {pull_in}.",
                speed(swing)
            )
        }
    }
}

fn race_sentence(
    brush: &str,
    at: &UnitInstant,
    race: &Race,
    middle: Option<&Middle>,
    system: UnitSystem,
) -> String {
    let speed = |v: f64| format(SpeedDim::INFO, v, system);
    let length = |l: f64| format(LengthDim::INFO, l, system);
    let time = |t: f64| format(TimeDim::INFO, t, system);
    let tail = format!("The tail leaves at {}", speed(race.tail_m_s));
    let moves = if race.inboard_m_s >= STILL_M_S {
        format!("the {brush} swings in at {}", speed(race.inboard_m_s))
    } else if at.brush_m_s.norm() < STILL_M_S {
        format!("the {brush} stands still")
    } else {
        format!("the {brush} still swings out at {}", speed(-race.inboard_m_s))
    };
    let gone = if race.out_of_reach_m > 0.0 {
        format!(" and is already {} out of reach", length(race.out_of_reach_m))
    } else {
        String::new()
    };
    let comes = middle.map_or_else(String::new, |middle| {
        let over = "the middle of the tail";
        match middle.reached_s {
            _ if middle.now_m <= 0.0 => format!(": its strips lie over {over}"),
            Some(wait_s) => format!(": its strips come over {over} in {}", time(wait_s)),
            None if middle.behind_m <= 0.0 => format!(": its strips were over {over}"),
            None if middle.ahead_m < middle.behind_m => {
                format!(": its strips end {} short of {over}", length(middle.ahead_m))
            }
            None => format!(": its strips came no nearer to {over} than {}", length(middle.behind_m)),
        }
    });
    format!("{tail}{gone}; {moves}{comes}.")
}

#[cfg(test)]
mod tests;
