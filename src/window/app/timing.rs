//! How long a person waits from a slider to the fresh picture, in parts, and whether a drag was followed without a miss.
//!
//! Times are wall-clock times of the window as it runs. From a slider to the picture: the frame that takes up the movement is laid out, the
//! pass is solved (motion, measuring, samples), the frame is laid out again with the fresh pass and turned into triangles. What the graphics
//! driver then does with them is told apart, because a driver without a graphics card takes longer than everything else together.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use super::solved::SolveTimes;
use crate::window::solver::Generation;

/// The most times kept of each part.
const MOST: usize = 400;

/// Parts of the way from a slider to the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The motion of the pass.
    Run,
    /// Coverage, gaps, verdicts.
    Measure,
    /// Samples for the strips.
    Series,
    /// The solve, with what goes on at the same time on a second core.
    Solve,
    /// A frame laid out that shows nothing new: that of the movement itself.
    Still,
    /// A frame laid out with a fresh pass: its pictures made.
    Fresh,
    /// The frame turned into triangles.
    Triangles,
    /// All of these one after the other, as on one core.
    OneCore,
    /// From taking up the movement to the fresh picture's triangles, as it was.
    ToPicture,
    /// From taking up the movement until the fresh picture is on the screen.
    ToScreen,
    /// The driver's work on a frame.
    Driver,
}

impl Part {
    /// All, in order.
    pub const ALL: [Part; 11] = [
        Part::Run,
        Part::Measure,
        Part::Series,
        Part::Solve,
        Part::Still,
        Part::Fresh,
        Part::Triangles,
        Part::OneCore,
        Part::ToPicture,
        Part::ToScreen,
        Part::Driver,
    ];

    /// Its name in the state.
    pub const fn name(self) -> &'static str {
        match self {
            Part::Run => "solve_run",
            Part::Measure => "solve_measure",
            Part::Series => "solve_series",
            Part::Solve => "solve",
            Part::Still => "layout_still",
            Part::Fresh => "layout_fresh",
            Part::Triangles => "triangles",
            Part::OneCore => "slider_to_picture_one_core",
            Part::ToPicture => "slider_to_picture",
            Part::ToScreen => "slider_to_screen",
            Part::Driver => "driver_frame",
        }
    }
}

/// A drag of a slider, counted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drag {
    /// The setting.
    pub path: String,
    /// Movements of the pointer that the window received while the slider was held.
    pub moves: u64,
    /// New values that the slider asked for.
    pub asked: u64,
    /// Those that were taken over.
    pub applied: u64,
    /// Those that were refused with a reason.
    pub refused: u64,
    /// Fresh passes shown.
    pub pictures: u64,
    /// Frames drawn.
    pub frames: u64,
    /// The value asked for last, as written.
    pub last_asked: String,
    /// Whether the slider is still held.
    pub held: bool,
    /// Numbers of its first and its last solve.
    solves: Option<(Generation, Generation)>,
    began: Option<Instant>,
    lasted: Duration,
}

impl Drag {
    /// Frames a second while it was held.
    pub fn frames_per_s(&self) -> Option<f64> {
        let seconds = self.lasted.as_secs_f64();
        (seconds > 0.0).then(|| self.frames as f64 / seconds)
    }
}

/// Times of the window, and the drag that goes on or went on last.
#[derive(Debug, Clone, Default)]
pub struct Timing {
    ms: BTreeMap<Part, Vec<f64>>,
    /// The drag.
    pub drag: Drag,
    /// When each solve that is under way was asked for: the beginning of the frame that took up the movement.
    asked: Vec<(Generation, Instant)>,
    /// Since when the picture that is being made was waited for, for each movement that it shows.
    waited: Vec<Instant>,
    solve: Option<SolveTimes>,
    still_s: f64,
    fresh_s: Option<f64>,
    /// Fresh pictures that are with the driver.
    with_driver: Vec<Instant>,
}

impl Timing {
    fn add(&mut self, part: Part, seconds: f64) {
        let times = self.ms.entry(part).or_default();
        if times.len() == MOST {
            times.remove(0);
        }
        times.push(seconds * 1e3);
    }

    /// A solve was asked for by a movement that the frame beginning at `since` took up.
    pub fn asked(&mut self, generation: Generation, since: Instant) {
        self.asked.push((generation, since));
    }

    /// A pass came back: it answers its own request and all before it.
    pub fn solved(&mut self, generation: Generation, times: Option<SolveTimes>) {
        let (answered, rest) = self.asked.iter().partition(|(asked, _)| *asked <= generation);
        self.asked = rest;
        let answered: Vec<(Generation, Instant)> = answered;
        let Some(times) = times else { return };
        self.waited.extend(answered.into_iter().map(|(_, since)| since));
        self.solve = Some(times);
        self.add(Part::Run, times.run_s);
        self.add(Part::Measure, times.measure_s);
        if times.series_s > 1e-6 {
            self.add(Part::Series, times.series_s);
        }
        self.add(Part::Solve, times.whole_s);
        let of_drag = |(first, last): (Generation, Generation)| generation >= first && generation <= last;
        if self.drag.solves.is_some_and(of_drag) {
            self.drag.pictures += 1;
        }
    }

    /// A frame was laid out.
    pub fn built(&mut self, took: Duration) {
        let seconds = took.as_secs_f64();
        if self.waited.is_empty() {
            self.still_s = seconds;
            self.add(Part::Still, seconds);
        } else {
            self.fresh_s = Some(seconds);
            self.add(Part::Fresh, seconds);
        }
    }

    /// A frame became triangles; `now` is when.
    pub fn triangles(&mut self, took: Duration, now: Instant) {
        let seconds = took.as_secs_f64();
        self.add(Part::Triangles, seconds);
        if let (Some(fresh_s), Some(solve)) = (self.fresh_s.take(), self.solve.take()) {
            self.add(Part::OneCore, self.still_s + solve.one_core_s() + fresh_s + seconds);
        }
        for since in std::mem::take(&mut self.waited) {
            self.add(Part::ToPicture, now.saturating_duration_since(since).as_secs_f64());
            self.with_driver.push(since);
        }
    }

    /// The driver is through with the frame; it took so long when that could be told.
    pub fn on_screen(&mut self, took: Option<Duration>, now: Instant) {
        let with_driver = std::mem::take(&mut self.with_driver);
        let Some(took) = took else { return };
        self.add(Part::Driver, took.as_secs_f64());
        for since in with_driver {
            self.add(Part::ToScreen, now.saturating_duration_since(since).as_secs_f64());
        }
    }

    /// A frame in which a slider is held, with the pointer's movements since the frame before.
    pub fn held(&mut self, path: &str, moves: u32, now: Instant) {
        if !self.drag.held {
            self.drag = Drag { path: path.to_owned(), held: true, began: Some(now), ..Drag::default() };
        }
        self.drag.moves += u64::from(moves);
        self.drag.frames += 1;
        self.drag.lasted =
            self.drag.began.map_or(Duration::ZERO, |began| now.saturating_duration_since(began));
    }

    /// A slider asked for a value, which was taken over and is being solved under a number, or was refused.
    pub fn dragged(&mut self, text: &str, solve: Option<Generation>) {
        self.drag.asked += 1;
        text.clone_into(&mut self.drag.last_asked);
        match solve {
            Some(number) => {
                self.drag.applied += 1;
                let first = self.drag.solves.map_or(number, |(first, _)| first);
                self.drag.solves = Some((first, number));
            }
            None => self.drag.refused += 1,
        }
    }

    /// No slider is held.
    pub const fn let_go(&mut self) {
        self.drag.held = false;
    }

    /// The middle of a part's times, ms.
    pub fn median_ms(&self, part: Part) -> Option<f64> {
        let mut sorted = self.ms.get(&part)?.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).map(|ms| (ms * 100.0).round() / 100.0)
    }

    /// How often a part was timed.
    pub fn count(&self, part: Part) -> usize {
        self.ms.get(&part).map_or(0, Vec::len)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::solver::Solver;

    fn generations<const N: usize>() -> [Generation; N] {
        let mut solver = Solver::start(|_: &()| (), || {}).expect("a thread");
        std::array::from_fn(|_| solver.submit(()))
    }

    #[test]
    fn verif_a_picture_is_waited_for_since_every_movement_that_it_shows() {
        let [first, second, third] = generations::<3>();
        let start = Instant::now();
        let at = |ms: u64| start + Duration::from_millis(ms);
        let ms = Duration::from_millis;
        let times = SolveTimes { run_s: 0.010, measure_s: 0.004, series_s: 0.001, whole_s: 0.014 };
        let mut timing = Timing::default();
        timing.built(ms(1));
        timing.asked(first, at(0));
        timing.asked(second, at(4));
        timing.asked(third, at(8));
        // The first was dropped unsolved; the second's pass shows both, the third still waits.
        timing.solved(second, Some(times));
        timing.built(ms(3));
        timing.triangles(ms(2), at(20));
        assert_eq!(timing.count(Part::ToPicture), 2);
        assert_eq!(timing.median_ms(Part::ToPicture), Some(20.0), "the middle of 16 and 20, the upper");
        assert_eq!(timing.median_ms(Part::OneCore), Some(1.0 + 10.0 + 4.0 + 1.0 + 3.0 + 2.0));
        assert_eq!((timing.median_ms(Part::Still), timing.median_ms(Part::Fresh)), (Some(1.0), Some(3.0)));
        timing.on_screen(Some(ms(7)), at(27));
        assert_eq!((timing.count(Part::ToScreen), timing.median_ms(Part::Driver)), (2, Some(7.0)));
        // A still frame adds no picture.
        timing.built(ms(1));
        timing.triangles(ms(1), at(40));
        timing.on_screen(Some(ms(7)), at(47));
        assert_eq!((timing.count(Part::ToPicture), timing.count(Part::ToScreen)), (2, 2));
        timing.solved(third, None);
        assert_eq!(timing.count(Part::Run), 1, "a fault has no times");
    }

    #[test]
    fn verif_a_drag_is_counted_from_its_beginning() {
        let start = Instant::now();
        let at = |ms: u64| start + Duration::from_millis(ms);
        let numbers = generations::<12>();
        let mut timing = Timing::default();
        timing.held("a", 2, at(0));
        timing.dragged("1 in", Some(numbers[0]));
        timing.let_go();
        for frame in 0..=10 {
            timing.held("b", 3, at(100 * frame as u64));
            timing.dragged(&format!("{frame} in"), (frame != 4).then_some(numbers[frame + 1]));
        }
        timing.let_go();
        // The pass of the drag before is none of this one's pictures.
        for number in [numbers[0], numbers[5], numbers[11]] {
            timing.solved(number, Some(SolveTimes::default()));
        }
        let drag = &timing.drag;
        assert_eq!((drag.pictures, drag.held), (2, false));
        assert_eq!((drag.path.as_str(), drag.moves, drag.frames), ("b", 33, 11));
        assert_eq!((drag.asked, drag.applied, drag.refused), (11, 10, 1));
        assert_eq!(drag.last_asked, "10 in");
        assert!(drag.frames_per_s().is_some_and(|rate| (rate - 11.0).abs() < 1e-9));
    }
}
