//! The smallest set of whole steps that does: an exact search in stages.
//!
//! Knobs are turned in whole steps from their standard, each within its range, each belonging to a stage. Answers are ordered by
//!
//! 1. the last stage they need: a later stage is used only when no answer without it exists,
//! 2. the total number of steps,
//! 3. the room they leave at the tightest criterion, more first,
//! 4. the order in which step sets are listed.
//!
//! The search lists step sets in the order of 1 and 2 and stops at the first size that has an answer, so what it finds is what trying everything
//! would find. A judge may stop looking at a step set once its room is known to be below a floor; the floor only rises, so neither the answer
//! nor the nearest miss depends on the number of threads.

use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};

/// Something that can be turned in whole steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Knob {
    /// Its name.
    pub name: String,
    /// Its stage; 1 comes first.
    pub stage: usize,
    /// Most steps down, 0 or negative.
    pub low: i32,
    /// Most steps up, 0 or positive.
    pub high: i32,
}

/// What the judge says of a step set.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged<N> {
    /// Room at the tightest criterion: 0 or more meets them all. Exact when it is at least the floor, else an upper bound below the floor.
    pub room: f64,
    /// Whatever the judge wants to say about it.
    pub note: N,
}

/// A step set with its room.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate<N> {
    /// Steps of each knob.
    pub steps: Vec<i32>,
    /// Last stage used; 0 for no steps.
    pub stage: usize,
    /// Room at the tightest criterion.
    pub room: f64,
    /// What the judge said.
    pub note: N,
}

impl<N> Candidate<N> {
    /// Total number of steps.
    pub fn total(&self) -> u32 {
        total(&self.steps)
    }
}

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<N> {
    /// The best answer, if there is one.
    pub best: Option<Candidate<N>>,
    /// The next best answer that is not the best one with more on top, among those of up to [`Search::RUNNER_UP_STEPS`] more steps.
    pub runner_up: Option<Candidate<N>>,
    /// Without an answer: the step set with the most room.
    pub nearest: Option<Candidate<N>>,
    /// Step sets judged.
    pub judged: u64,
}

fn total(steps: &[i32]) -> u32 {
    steps.iter().map(|n| n.unsigned_abs()).sum()
}

/// A search.
#[derive(Debug, Clone)]
pub struct Search<'k> {
    knobs: &'k [Knob],
}

impl<'k> Search<'k> {
    /// How many more steps than the best answer a runner-up may take.
    pub const RUNNER_UP_STEPS: u32 = 2;

    /// A search over these knobs.
    pub fn new(knobs: &'k [Knob]) -> Search<'k> {
        Search { knobs }
    }

    /// The stages that have knobs, in order.
    fn stages(&self) -> Vec<usize> {
        let mut stages: Vec<usize> =
            self.knobs.iter().filter(|k| k.low < 0 || k.high > 0).map(|k| k.stage).collect();
        stages.sort_unstable();
        stages.dedup();
        stages
    }

    /// Every step set of a stage with this many steps that uses the stage: knobs of the stage and earlier ones, at least one of the stage itself.
    fn sets(&self, stage: usize, total: u32) -> Vec<Vec<i32>> {
        let mut list = Vec::new();
        self.fill(stage, total, &mut vec![0; self.knobs.len()], 0, &mut list);
        list.retain(|steps| self.stage_of(steps) == stage);
        list
    }

    fn fill(&self, stage: usize, rest: u32, steps: &mut Vec<i32>, at: usize, list: &mut Vec<Vec<i32>>) {
        let Some(knob) = self.knobs.get(at) else {
            if rest == 0 {
                list.push(steps.clone());
            }
            return;
        };
        // What later knobs can still take.
        let reach: u32 = self.knobs[at..].iter().filter(|k| k.stage <= stage).map(Knob::reach).sum();
        if rest > reach {
            return;
        }
        if knob.stage > stage {
            return self.fill(stage, rest, steps, at + 1, list);
        }
        for n in knob.low..=knob.high {
            if n.unsigned_abs() <= rest {
                steps[at] = n;
                self.fill(stage, rest - n.unsigned_abs(), steps, at + 1, list);
            }
        }
        steps[at] = 0;
    }

    fn stage_of(&self, steps: &[i32]) -> usize {
        self.knobs.iter().zip(steps).filter(|(_, n)| **n != 0).map(|(k, _)| k.stage).max().unwrap_or(0)
    }

    fn most_steps(&self, stage: usize) -> u32 {
        self.knobs.iter().filter(|k| k.stage <= stage).map(Knob::reach).sum()
    }

    /// Searches. `allowed` leaves step sets out; `judge` is asked with a floor (see the top of this file) and may run on several threads at once;
    /// `tell` hears how many have been judged, after each size.
    pub fn run<N: Clone + Send>(
        &self,
        allowed: impl Fn(&[i32]) -> bool,
        judge: impl Fn(&[i32], f64) -> Judged<N> + Sync,
        mut tell: impl FnMut(u64),
    ) -> Found<N> {
        let mut found = Found { best: None, runner_up: None, nearest: None, judged: 0 };
        let floor = AtomicU64::new(f64::NEG_INFINITY.to_bits());
        let mut sizes = vec![(0, 0)];
        for stage in self.stages() {
            sizes.extend((1..=self.most_steps(stage)).map(|total| (stage, total)));
        }
        for (stage, size) in sizes {
            let most = found.best.as_ref().map_or(u32::MAX, |best| best.total() + Self::RUNNER_UP_STEPS);
            if size > most {
                continue;
            }
            let mut sets = if stage == 0 { vec![vec![0; self.knobs.len()]] } else { self.sets(stage, size) };
            sets.retain(|steps| {
                allowed(steps) && found.best.as_ref().is_none_or(|best| !is_more_of(steps, &best.steps))
            });
            let judged: Vec<Judged<N>> = sets
                .par_iter()
                .map(|steps| {
                    let at = f64::from_bits(floor.load(Ordering::Relaxed));
                    let judged = judge(steps, at);
                    raise(&floor, judged.room.min(0.0));
                    judged
                })
                .collect();
            found.judged += judged.len() as u64;
            tell(found.judged);
            let all = sets.into_iter().zip(judged);
            let mut answers: Vec<Candidate<N>> = Vec::new();
            for (steps, Judged { room, note }) in all {
                let candidate = Candidate { stage, steps, room, note };
                if candidate.room >= 0.0 {
                    answers.push(candidate);
                } else if found.nearest.as_ref().is_none_or(|nearest| candidate.room > nearest.room) {
                    found.nearest = Some(candidate);
                }
            }
            // Stable: of equals, the first listed stays first.
            answers.sort_by(|a, b| b.room.total_cmp(&a.room));
            let mut answers = answers.into_iter();
            if found.best.is_none() {
                found.best = answers.next();
                // Nothing to do needs no runner-up.
                if found.best.as_ref().is_some_and(|best| best.stage == 0) {
                    break;
                }
            }
            if let Some(best) = &found.best {
                found.runner_up = answers.find(|other| !is_more_of(&other.steps, &best.steps));
                if found.runner_up.is_some() {
                    break;
                }
            }
        }
        if found.best.is_some() {
            found.nearest = None;
        }
        found
    }
}

impl Knob {
    fn reach(&self) -> u32 {
        self.low.unsigned_abs().max(self.high.unsigned_abs())
    }
}

/// Whether a step set is another with more on top: every knob turned there is turned here too, the same way and at least as far.
fn is_more_of(steps: &[i32], less: &[i32]) -> bool {
    steps.iter().zip(less).all(|(n, m)| *m == 0 || (n.signum() == m.signum() && n.abs() >= m.abs()))
}

fn raise(floor: &AtomicU64, room: f64) {
    // A failed update means that another thread raised it meanwhile: look again.
    let _ = floor.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |bits| {
        (room > f64::from_bits(bits)).then_some(room.to_bits())
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn knobs() -> Vec<Knob> {
        let knob = |name: &str, stage, low, high| Knob { name: name.into(), stage, low, high };
        vec![
            knob("left air", 1, -2, 3),
            knob("right air", 1, -3, 2),
            knob("left bearing", 2, -2, 2),
            knob("right bearing", 2, -2, 2),
            knob("left pin", 3, 0, 1),
            knob("right pin", 3, 0, 1),
        ]
    }

    fn allowed(steps: &[i32]) -> bool {
        steps[4] == 0 || steps[5] == 0
    }

    /// Two criteria for each side and one that couples them, with coefficients drawn from a seed.
    fn room(seed: u64, steps: &[i32]) -> f64 {
        let draw = |k: u64| {
            let mut x =
                seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(k.wrapping_mul(0xBF58_476D_1CE4_E5B9));
            x ^= x >> 31;
            x = x.wrapping_mul(0x94D0_49BB_1331_11EB);
            x ^= x >> 29;
            (x >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..4)
            .map(|c| {
                let base = -0.8 * draw(100 + c);
                let sum: f64 =
                    steps.iter().zip(0..).map(|(n, i)| f64::from(*n) * (draw(10 * c + i) - 0.4) * 0.6).sum();
                base + sum - 0.02 * sum * sum
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn everything(knobs: &[Knob]) -> Vec<Vec<i32>> {
        knobs.iter().fold(vec![Vec::new()], |sets, knob| {
            sets.iter()
                .flat_map(|set| (knob.low..=knob.high).map(move |n| set.iter().copied().chain([n]).collect()))
                .collect()
        })
    }

    #[test]
    fn verif_the_answer_is_that_of_trying_everything() {
        let knobs = knobs();
        let search = Search::new(&knobs);
        let (mut with_answer, mut without, mut late) = (0, 0, 0);
        for seed in 0..300 {
            let mut answers: Vec<(usize, u32, f64, Vec<i32>)> = everything(&knobs)
                .into_iter()
                .filter(|steps| allowed(steps) && room(seed, steps) >= 0.0)
                .map(|steps| (search.stage_of(&steps), total(&steps), room(seed, &steps), steps))
                .collect();
            answers.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(b.2.total_cmp(&a.2)).then(a.3.cmp(&b.3)));
            let found = search.run(
                allowed,
                |steps, floor| {
                    let room = room(seed, steps);
                    // A judge that stops early.
                    Judged { room: if room < floor { room + 0.5 * (floor - room) } else { room }, note: () }
                },
                |_| {},
            );
            match answers.first() {
                Some((stage, _, room, steps)) => {
                    let best = found.best.clone().unwrap();
                    assert_eq!((best.stage, best.room, &best.steps), (*stage, *room, steps), "seed {seed}");
                    let next = answers.iter().find(|other| {
                        other.1 <= best.total() + Search::RUNNER_UP_STEPS
                            && !is_more_of(&other.3, &best.steps)
                    });
                    if best.stage > 0 {
                        assert_eq!(
                            found.runner_up.map(|r| r.steps),
                            next.map(|n| n.3.clone()),
                            "seed {seed}"
                        );
                    }
                    with_answer += 1;
                    late += usize::from(*stage >= 2);
                }
                None => {
                    let most = everything(&knobs)
                        .into_iter()
                        .filter(|steps| allowed(steps))
                        .map(|steps| room(seed, &steps))
                        .fold(f64::NEG_INFINITY, f64::max);
                    assert_eq!(found.best, None);
                    assert_eq!(found.nearest.unwrap().room, most, "seed {seed}");
                    without += 1;
                }
            }
        }
        assert!(with_answer > 50 && without > 20 && late > 20, "{with_answer} {without} {late}");
    }

    #[test]
    fn verif_nothing_to_do_is_an_answer() {
        let knobs = knobs();
        let found = Search::new(&knobs).run(allowed, |_, _| Judged { room: 0.3, note: () }, |_| {});
        let best = found.best.unwrap();
        assert_eq!((best.total(), best.stage, found.judged), (0, 0, 1));
        assert_eq!(found.runner_up, None);
    }

    #[test]
    fn verif_each_size_is_listed_once() {
        let knobs = knobs();
        let search = Search::new(&knobs);
        let mut listed: Vec<Vec<i32>> = vec![vec![0; 6]];
        for stage in [1, 2, 3] {
            for size in 1..=search.most_steps(stage) {
                listed.extend(search.sets(stage, size));
            }
        }
        let mut all = everything(&knobs);
        let count = all.len();
        listed.sort();
        all.sort();
        assert!(listed == all && count == 6 * 6 * 5 * 5 * 2 * 2);
    }
}
