//! The clock by hand.

use super::*;

fn steady(speed_m_s: f64, end_s: f64) -> Track {
    Track::new([[0.0, -2.0], [end_s, -2.0 + speed_m_s * end_s]]).expect("two samples")
}

fn mark(time_s: f64, name: &str) -> Mark {
    Mark { time_s, name: name.into() }
}

fn playback() -> Playback {
    Playback::new(
        steady(0.2, 40.0),
        vec![mark(30.0, "tail corner"), mark(5.0, "first touch"), mark(12.0, "mirror")],
    )
}

#[test]
fn verif_a_stretch_is_played_once_and_gives_its_speed_back() {
    let mut p = playback();
    p.command(Command::Speed(2.0));
    p.command(Command::Loop(true));
    let stretch = Stretch { from_s: 30.0, to_s: 31.0, rest_s: 30.4, speed: 0.25 };
    p.command(Command::Once(stretch));
    assert_eq!((p.time_s(), p.playing(), p.speed()), (30.0, true, 0.25));
    p.advance(2.0);
    assert_eq!((p.time_s(), p.playing()), (30.5, true), "a quarter of the time");
    // A pause in between is no end.
    p.command(Command::Toggle);
    p.command(Command::Toggle);
    assert_eq!(p.stretch(), Some(stretch));
    p.advance(2.1);
    assert_eq!((p.time_s(), p.playing(), p.speed(), p.stretch()), (30.4, false, 2.0, None));
    // Going elsewhere is one.
    p.command(Command::Once(stretch));
    p.command(Command::GoToTime(5.0));
    assert_eq!((p.time_s(), p.speed(), p.stretch()), (5.0, 2.0, None));
    // Outside the pass it is held at its ends.
    p.command(Command::Once(Stretch { from_s: -9.0, to_s: 99.0, rest_s: 99.0, speed: 1.0 }));
    assert_eq!(p.stretch().map(|s| (s.from_s, s.to_s, s.rest_s)), Some((0.0, 40.0, 40.0)));
    p.advance(100.0);
    assert_eq!((p.time_s(), p.playing()), (40.0, false));
    p.command(Command::Once(Stretch { from_s: f64::NAN, ..stretch }));
    assert_eq!((p.time_s(), p.stretch()), (40.0, None));
}

#[test]
fn verif_play_runs_at_its_speed_and_stops_at_the_end() {
    let mut p = playback();
    p.command(Command::Play);
    p.command(Command::Speed(2.0));
    p.advance(1.5);
    assert!((p.time_s() - 3.0).abs() < 1e-12);
    p.command(Command::Pause);
    p.advance(10.0);
    assert!((p.time_s() - 3.0).abs() < 1e-12);
    p.command(Command::Toggle);
    p.advance(1000.0);
    assert_eq!((p.time_s(), p.playing()), (40.0, false));
    p.command(Command::Play);
    assert_eq!((p.time_s(), p.playing()), (0.0, true), "playing at the end starts again");
}

#[test]
fn verif_loop_wraps_without_losing_time() {
    let mut p = playback();
    p.command(Command::Loop(true));
    p.command(Command::GoToTime(39.0));
    p.command(Command::Play);
    p.advance(3.0);
    assert!((p.time_s() - 2.0).abs() < 1e-12 && p.playing());
}

#[test]
fn verif_speeds_step_through_the_table() {
    let mut p = playback();
    p.command(Command::Faster);
    assert_eq!(p.speed(), 2.0);
    (0..20).for_each(|_| p.command(Command::Faster));
    assert_eq!(p.speed(), 8.0);
    (0..20).for_each(|_| p.command(Command::Slower));
    assert_eq!(p.speed(), 0.0625);
    p.command(Command::Speed(f64::NAN));
    assert_eq!(p.speed(), 0.0625);
}

#[test]
fn verif_marks_are_gone_to_in_order() {
    let mut p = playback();
    let names: Vec<&str> = p.marks().iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["first touch", "mirror", "tail corner"]);
    p.command(Command::Play);
    for expected in [5.0, 12.0, 30.0, 30.0] {
        p.command(Command::NextMark);
        assert_eq!((p.time_s(), p.playing()), (expected, false));
    }
    assert_eq!(p.mark_before().map(|m| m.name.as_str()), Some("tail corner"));
    p.command(Command::PreviousMark);
    assert_eq!(p.time_s(), 12.0);
    p.command(Command::GoToMark(0));
    assert_eq!(p.time_s(), 5.0);
    p.command(Command::GoToMark(7));
    assert_eq!(p.time_s(), 5.0);
}

#[test]
fn verif_steps_and_scrubs_stop_and_stay_inside() {
    let mut p = playback();
    p.command(Command::Play);
    p.command(Command::Step(3));
    assert!((p.time_s() - 3.0 * STEP_S).abs() < 1e-12 && !p.playing());
    p.command(Command::Step(-100));
    assert_eq!(p.time_s(), 0.0);
    p.command(Command::Scrub(1e9));
    assert_eq!(p.time_s(), 40.0);
    p.command(Command::Scrub(f64::NAN));
    assert_eq!(p.time_s(), 40.0);
}

#[test]
fn verif_position_clock_aligns_two_throughputs_on_the_vehicle() {
    let mut p = playback();
    let faster = steady(0.4, 20.0);
    p.command(Command::GoToTime(20.0));
    assert_eq!(p.time_of_s(&faster), 20.0, "by time");
    p.command(Command::Clock(ClockKind::Position));
    assert_eq!(p.time_s(), 20.0, "the lead pass stays where it is");
    assert!((p.clock() - 2.0).abs() < 1e-12);
    let there = p.time_of_s(&faster);
    assert!((there - 10.0).abs() < 1e-12);
    assert!((faster.position_m(there) - p.clock()).abs() < 1e-12);
    let [low, high] = p.clock_range();
    assert!((low + 2.0).abs() < 1e-12 && (high - 6.0).abs() < 1e-12);
    p.command(Command::Scrub(0.0));
    assert!((p.time_s() - 10.0).abs() < 1e-12);
}

#[test]
fn verif_a_new_solve_keeps_the_vehicle_where_it_is() {
    // Whatever the clock counts: twice as fast, it is there in half the time.
    let mut p = playback();
    p.command(Command::GoToTime(20.0));
    p.set_lead(steady(0.4, 20.0), vec![]);
    assert!((p.time_s() - 10.0).abs() < 1e-12 && (p.position_m() - 2.0).abs() < 1e-12);
    p.go_to_position(1.0);
    assert!((p.time_s() - 7.5).abs() < 1e-12);
    // The same pass again is the same instant to the last bit.
    let before = p.time_s();
    p.set_lead(steady(0.4, 20.0), vec![]);
    assert_eq!(p.time_s(), before);
    let mut p = playback();
    p.command(Command::Clock(ClockKind::Position));
    p.command(Command::Scrub(3.0));
    p.set_lead(steady(0.4, 20.0), vec![mark(f64::NAN, "never"), mark(1.0, "first touch")]);
    assert!((p.clock() - 3.0).abs() < 1e-12, "same place of the vehicle in the new pass");
    assert_eq!(p.marks().len(), 1);
    p.set_lead(steady(0.1, 10.0), vec![]);
    assert_eq!(p.time_s(), 10.0, "held at the end of a pass that is too short");
}

#[test]
fn verif_a_standing_vehicle_has_one_time() {
    let track = Track::new([[0.0, 0.0], [1.0, 1.0], [3.0, 1.0], [4.0, 2.0]]).expect("four samples");
    assert_eq!(track.time_s(1.0), 1.0);
    assert!((track.time_s(1.5) - 3.5).abs() < 1e-12);
    assert_eq!(Track::new([[0.0, 0.0], [0.0, 1.0], [1.0, f64::NAN]]), None);
}
