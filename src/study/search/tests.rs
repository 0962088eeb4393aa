//! The search against trying everything.

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

/// Four criteria that couple the knobs, with coefficients drawn from a seed; each case leans on them a little differently.
fn margin(seed: u64, steps: &[i32], case: usize) -> f64 {
    let draw = |seed: u64, k: u64| {
        let mut x =
            seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(k.wrapping_mul(0xBF58_476D_1CE4_E5B9));
        x ^= x >> 31;
        x = x.wrapping_mul(0x94D0_49BB_1331_11EB);
        x ^= x >> 29;
        (x >> 11) as f64 / (1_u64 << 53) as f64
    };
    (0..4)
        .map(|c| {
            let of_case = draw(seed ^ 0xC0FFEE, 1000 + 10 * case as u64 + c) - 0.5;
            let base = -0.6 * draw(seed, 100 + c) + 0.3 * of_case;
            let sum: f64 = steps
                .iter()
                .zip(0..)
                .map(|(n, i)| f64::from(*n) * (draw(seed, 10 * c + i) - 0.4) * (0.6 + 0.2 * of_case))
                .sum();
            base + sum - 0.02 * sum * sum
        })
        .fold(f64::INFINITY, f64::min)
}

fn worst_margin(seed: u64, steps: &[i32], cases: usize) -> f64 {
    (0..cases).map(|case| margin(seed, steps, case)).fold(f64::INFINITY, f64::min)
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
    let everything: Vec<Vec<i32>> = everything(&knobs).into_iter().filter(|steps| allowed(steps)).collect();
    let (mut with_answer, mut without, mut late, mut runners_up) = (0, 0, 0, 0);
    let (mut looks, mut all_looks) = (0, 0);
    for seed in 0..300 {
        let cases = 1 + (seed % 6) as usize;
        let search = Search::new(&knobs, cases);
        let tried: Vec<Candidate> = everything
            .iter()
            .map(|steps| Candidate {
                stage: search.stage_of(steps),
                margin: worst_margin(seed, steps, cases),
                steps: steps.clone(),
            })
            .collect();
        let mut answers: Vec<&Candidate> = tried.iter().filter(|c| c.margin >= 0.0).collect();
        answers.sort_by(|a, b| a.preferred(b));
        let found = search.run(allowed, |steps, case| margin(seed, steps, case), |_| {});
        assert_eq!(found.best.as_ref(), answers.first().copied(), "seed {seed}");
        assert_eq!(
            search.any(allowed, |steps, case| margin(seed, steps, case), |_| {}),
            !answers.is_empty(),
            "seed {seed}"
        );
        if let Some(best) = &found.best {
            let next = answers.into_iter().find(|other| {
                other.total() <= best.total() + Search::RUNNER_UP_STEPS
                    && !is_more_of(&other.steps, &best.steps)
            });
            if best.stage > 0 {
                assert_eq!(found.runner_up.as_ref(), next, "seed {seed}");
                runners_up += usize::from(next.is_some());
            }
            with_answer += 1;
            late += usize::from(best.stage >= 2);
        } else {
            let most = tried.iter().map(|c| c.margin).fold(f64::NEG_INFINITY, f64::max);
            assert_eq!(found.nearest.unwrap().margin, most, "seed {seed}");
            assert_eq!(found.judged, tried.len() as u64);
            looks += found.looks;
            all_looks += (tried.len() * cases) as u64;
            without += 1;
        }
    }
    assert!(
        with_answer > 50 && without > 20 && late > 20 && runners_up > 20,
        "{with_answer} {without} {late} {runners_up}"
    );
    // The point of it: most of the looks at sets that do not do are saved.
    assert!(looks * 2 < all_looks, "{looks} of {all_looks}");
}

/// A step set and the case it was looked at in.
type Look = (Vec<i32>, usize);

#[test]
fn verif_no_look_is_made_twice_and_any_number_of_threads_makes_the_same() {
    let knobs = knobs();
    let search = Search::new(&knobs, 5);
    for seed in [3, 11, 12] {
        let runs: Vec<(Found, Vec<Look>)> = [1, 4]
            .into_iter()
            .map(|threads| {
                let made = std::sync::Mutex::new(Vec::new());
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
                let found = pool.install(|| {
                    let look = |steps: &[i32], case: usize| {
                        made.lock().unwrap().push((steps.to_vec(), case));
                        margin(seed, steps, case)
                    };
                    search.run(allowed, look, |_| {})
                });
                let mut made = made.into_inner().unwrap();
                made.sort();
                (found, made)
            })
            .collect();
        assert!(runs[0] == runs[1]);
        let (found, made) = &runs[0];
        assert!(found.looks > 10 && found.looks == made.len() as u64);
        assert!(made.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

#[test]
fn verif_sets_that_cannot_be_told_are_the_last() {
    let knobs = knobs();
    let search = Search::new(&knobs, 2);
    let nothing = search.run(allowed, |_, _| f64::NEG_INFINITY, |_| {});
    assert_eq!((nothing.best, nothing.nearest.unwrap().total()), (None, 0));
    // All but one of them fail.
    let odd = [0, 1, 0, 0, 0, 0];
    let look = |steps: &[i32], _| if steps == odd { -0.5 } else { f64::NEG_INFINITY };
    assert_eq!(search.run(allowed, look, |_| {}).nearest.unwrap().steps, odd);
}

#[test]
fn verif_a_search_of_a_few_steps_is_that_of_everything_so_small() {
    let knobs = knobs();
    let small: Vec<Vec<i32>> =
        everything(&knobs).into_iter().filter(|steps| allowed(steps) && total(steps) <= 3).collect();
    let (mut with_answer, mut without) = (0, 0);
    for seed in 0..100 {
        let search = Search::new(&knobs, 2).at_most(3);
        let found = search.run(allowed, |steps, case| margin(seed, steps, case), |_| {});
        let margins = small.iter().map(|steps| worst_margin(seed, steps, 2));
        let most = margins.fold(f64::NEG_INFINITY, f64::max);
        match found.best {
            Some(best) => assert!(best.total() <= 3 && most >= 0.0),
            None => {
                assert_eq!((found.nearest.unwrap().margin, found.judged), (most, small.len() as u64));
            }
        }
        with_answer += usize::from(most >= 0.0);
        without += usize::from(most < 0.0);
    }
    assert!(with_answer > 10 && without > 10, "{with_answer} {without}");
}

#[test]
fn verif_nothing_to_do_is_an_answer() {
    let knobs = knobs();
    let found = Search::new(&knobs, 3).run(allowed, |_, _| 0.3, |_| {});
    let best = found.best.unwrap();
    assert_eq!((best.total(), best.stage, found.judged, found.looks), (0, 0, 1, 3));
    assert_eq!(found.runner_up, None);
}

#[test]
fn verif_each_size_is_listed_once() {
    let knobs = knobs();
    let search = Search::new(&knobs, 1);
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
