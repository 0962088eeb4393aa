use super::*;
use crate::coverage::instant_with as at;
use crate::geometry::Vec2;
use crate::pass::motion::TorqueBudget;

fn sentence(
    phase: Phase,
    at: &UnitInstant,
    race: &Race,
    middle: Option<&Middle>,
    system: UnitSystem,
) -> String {
    let told = Explanation { side: at.side, phase, race: *race, middle: middle.copied(), instant: *at };
    why(&told, system)
}

#[test]
fn verif_the_race_sentence_says_what_the_motion_comes_to() {
    let race = Race { tail_ahead_m: 0.3, tail_m_s: 0.25, inboard_m_s: 0.2, out_of_reach_m: -0.3 };
    let short = Middle { now_m: 0.6, ahead_m: 0.4, behind_m: 0.6, reached_s: None };
    let instant = at(Vec2::new(-0.05, -0.2), TorqueBudget::default());
    let said =
        |race: &Race, middle: &Middle| sentence(Phase::Chasing, &instant, race, Some(middle), UnitSystem::Si);
    assert_eq!(
        said(&race, &short),
        "The tail leaves at 0.250 m/s; the left brush swings in at 0.200 m/s: its strips end 400 mm short of the middle of the tail."
    );
    let won = Middle { ahead_m: -0.1, reached_s: Some(1.5), ..short };
    assert!(said(&race, &won).ends_with(": its strips come over the middle of the tail in 1.50 s."));
    assert!(said(&race, &Middle { now_m: -0.1, ..won }).contains("lie over"));
    assert!(said(&race, &Middle { behind_m: -0.1, ..short }).contains("were over"));
    assert!(said(&race, &Middle { behind_m: 0.2, ..short }).ends_with("than 200 mm."));
    let gone = Race { out_of_reach_m: 0.1, ..race };
    assert!(said(&gone, &short).contains("already 100 mm out of reach"));
    let still = Race { inboard_m_s: -0.1, ..race };
    assert!(said(&still, &short).contains("still swings out at 0.100 m/s"));
}

#[test]
fn verif_other_phases_name_the_strongest_torque_each_way() {
    let budget = TorqueBudget {
        counterweight_n_m: -75.0,
        lean_n_m: -20.0,
        push_n_m: 120.0,
        rub_n_m: 12.0,
        ..TorqueBudget::default()
    };
    let race = Race { tail_ahead_m: -3.0, tail_m_s: 0.2, inboard_m_s: 0.0, out_of_reach_m: -2.0 };
    let nose = at(Vec2::new(0.05, 0.3), budget);
    let text = sentence(Phase::Nose, &nose, &race, None, UnitSystem::Si);
    assert!(
        text.contains("strip push (120.0 N m outward)") && text.contains("counterweight (75.0 N m inward)"),
        "{text}"
    );
    assert!(text.contains("0.300 m/s"), "{text}");
}

/// Where one wording gives way to the next, to the last digit: at rest is up to 5 mm/s and including it, a tail just in reach is not out of it, half a
/// newton metre is no torque to name.
#[test]
fn verif_words_at_their_edges() {
    let race = Race { tail_ahead_m: 0.0, tail_m_s: 0.2, inboard_m_s: 0.1, out_of_reach_m: 0.0 };
    let named = |push_n_m: f64, lean_n_m: f64| {
        let budget = TorqueBudget { push_n_m, lean_n_m, ..TorqueBudget::default() };
        sentence(Phase::SwingingIn, &at(Vec2::new(0.0, -0.1), budget), &race, None, UnitSystem::Si)
    };
    assert_eq!(
        named(0.5, -0.5),
        "The left brush swings in at 0.100 m/s with nothing on it: nothing against nothing."
    );
    let both = named(0.6, -0.6);
    assert!(both.contains("(0.6 N m inward) against strip push (0.6 N m outward)"), "{both}");
    // On the nose it is driven outboard, or it presses on what comes.
    for (omega_rad_s, words) in [
        (0.1, "The nose drives the left brush"),
        (0.0, "The nose presses on the left brush"),
        (-0.1, "presses on"),
    ] {
        let mut nose = at(Vec2::new(0.05, 0.3), TorqueBudget::default());
        nose.omega_rad_s = omega_rad_s;
        let text = sentence(Phase::Nose, &nose, &race, None, UnitSystem::Si);
        assert!(text.contains(words) && text.contains("outboard at 0.300 m/s"), "{text}");
    }
    let tail = |race: &Race, velocity: Vec2, middle: Option<&Middle>| {
        sentence(Phase::Tail, &at(velocity, TorqueBudget::default()), race, middle, UnitSystem::Si)
    };
    // In reach by nothing is in reach; without a middle nothing is said of it.
    let slow = Race { inboard_m_s: STILL_M_S, ..race };
    assert_eq!(
        tail(&slow, Vec2::new(0.0, -STILL_M_S), None),
        "The tail leaves at 0.200 m/s; the left brush swings in at 0.005 m/s."
    );
    let slower = Race { inboard_m_s: 0.9 * STILL_M_S, ..race };
    let still = tail(&slower, Vec2::new(0.0, -0.9 * STILL_M_S), None);
    assert!(still.ends_with("the left brush stands still."), "{still}");
    // Across the lane it is slow, along it not: it still swings.
    let along = tail(&Race { inboard_m_s: -0.004, ..race }, Vec2::new(STILL_M_S, 0.004), None);
    assert!(along.contains("still swings out at 0.004 m/s"), "{along}");
    let at_edge = tail(&Race { inboard_m_s: 0.0, ..race }, Vec2::new(STILL_M_S, 0.0), None);
    assert!(at_edge.contains("still swings out"), "{at_edge}");
    let middle = Middle { now_m: 0.3, ahead_m: 0.3, behind_m: 0.3, reached_s: None };
    let said = |middle: Middle| tail(&race, Vec2::new(0.0, -0.1), Some(&middle));
    assert!(said(middle).ends_with("came no nearer to the middle of the tail than 300 mm."));
    assert!(
        said(Middle { ahead_m: 0.29, ..middle }).ends_with("end 290 mm short of the middle of the tail.")
    );
    assert!(said(Middle { behind_m: 0.0, ..middle }).ends_with("were over the middle of the tail."));
    assert!(said(Middle { now_m: 0.0, ..middle }).ends_with("lie over the middle of the tail."));
    // What else is told, each with its own numbers.
    let mut instant =
        at(Vec2::new(0.03, -0.04), TorqueBudget { friction_n_m: -7.0, ..TorqueBudget::default() });
    (instant.press_m, instant.press_force_n, instant.inboard_stop_m) = (0.12, 80.0, 0.015);
    let text = |phase: Phase| sentence(phase, &instant, &race, None, UnitSystem::Si);
    for (phase, words) in [
        (Phase::Side, "rides the side pressed in 120 mm with 80.0 N"),
        (Phase::FarSide, "rides the far side pressed in 120 mm"),
        (Phase::Waiting, "waits on its bumper, pressed 15 mm into it"),
        (Phase::Bumper, "meets its bumper at 0.050 m/s and is 15 mm into it"),
        (Phase::Stuck, "friction (7.0 N m) holds"),
        (Phase::SwingingOut, "0.050 m/s"),
    ] {
        assert!(text(phase).contains(words), "{}", text(phase));
    }
    instant.inboard_stop_m = -0.2;
    let waiting = sentence(Phase::Waiting, &instant, &race, None, UnitSystem::Si);
    assert!(waiting.contains("pressed 0 mm into it"), "{waiting}");
}

/// Every sentence has all languages with the same places, and every cause of a torque its word.
#[test]
fn verif_every_language_says_all_of_it() {
    use crate::sentences::{ENGLISH, FRENCH, SPANISH};
    let english = ENGLISH.all();
    assert!(english.len() > 20);
    for words in [SPANISH, FRENCH] {
        for ((name, own), (_, here)) in english.iter().zip(words.all()) {
            for place in ["{0}", "{1}", "{2}", "{3}", "{4}"] {
                assert_eq!(own.contains(place), here.contains(place), "{name}: {here}");
            }
        }
        for (cause, _) in TorqueBudget::default().causes() {
            assert!(words.causes.iter().any(|(own, _)| *own == cause), "no word for {cause}");
        }
    }
    let race = Race { tail_ahead_m: 0.3, tail_m_s: 0.25, inboard_m_s: 0.2, out_of_reach_m: 0.1 };
    let instant = at(Vec2::new(-0.05, -0.2), TorqueBudget::default());
    let middle = Middle { now_m: 0.6, ahead_m: 0.4, behind_m: 0.6, reached_s: None };
    let told = Explanation { side: instant.side, phase: Phase::Chasing, race, middle: Some(middle), instant };
    assert_eq!(
        why_in(&told, UnitSystem::Si, &SPANISH),
        "La cola se va a 0.250 m/s y ya está 100 mm fuera de alcance; el cepillo izquierdo gira hacia adentro a 0.200 m/s: sus tiras quedan a 400 mm del medio de la cola."
    );
}
