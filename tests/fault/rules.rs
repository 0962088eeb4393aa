//! What must hold of every answer, whatever is told.

use super::machines::{book, said};
use brusharm::arm::Side;
use brusharm::fault::cause::{CAUSES, Cause};
use brusharm::fault::check::{CheckName, PULLS};
use brusharm::fault::{
    Answered, Belief, Book, Place, ReadingTold, Told, hiding, next_checks, pairs, rank, reading_named,
};
use brusharm::scenario::Scenario;
use rand::{RngExt, SeedableRng, rngs::ChaCha8Rng};

/// Signs of the brush that a cause can never make plain, how bad it may be: the wrong way round.
const NEVER: [(&str, &[&str]); 14] = [
    ("air-weak", &["tail-early", "tail-hard", "side-hard", "rests-in", "comes-in-fast"]),
    ("air-strong", &["tail-late", "side-soft", "comes-in-slow", "stays-out"]),
    ("weight-light", &["tail-early", "tail-hard", "side-hard", "rests-in"]),
    ("weight-heavy", &["tail-late", "side-soft", "stays-out"]),
    ("bearing-outward", &["tail-early", "tail-hard", "side-hard", "rests-in", "comes-in-fast"]),
    ("bearing-inward", &["tail-late", "side-soft", "comes-in-slow", "stays-out"]),
    ("tight", &["comes-in-fast", "rests-in"]),
    ("media-worn", &["spindle-labours", "side-rubbed", "rests-out"]),
    ("spin-slow", &["spindle-labours", "side-rubbed", "side-hard", "turns-fast"]),
    ("spin-fast", &["spindle-light", "side-dull", "side-soft", "turns-slowly"]),
    ("foam-none", &["side-dull", "spindle-light"]),
    ("foam-slick", &["side-rubbed", "spindle-labours"]),
    ("pin-out", &["rests-in", "stop-deep"]),
    ("pin-in", &["rests-out", "stays-out"]),
];

fn cause(key: &str) -> usize {
    Cause::named(key).unwrap_or_else(|| panic!("{key}"))
}

fn belief<'a>(book: &Book, answer: &'a brusharm::fault::Answer, key: &str, place: Place) -> &'a Belief {
    let of = |b: &&Belief| {
        let hypothesis = &book.hypotheses[b.hypothesis];
        hypothesis.cause == Some(cause(key)) && hypothesis.place == place
    };
    answer.beliefs.iter().find(of).expect("every cause is listed")
}

/// Over how bad it may be, drawn, nothing shows the wrong way round, and what shows so names no such cause as explaining it.
#[test]
fn verif_no_cause_has_an_effect_of_the_wrong_sign() {
    let book = book(0);
    let mut rng = ChaCha8Rng::seed_from_u64(17);
    for (key, never) in NEVER {
        for side in book.sides() {
            let place = Place::On(*side);
            for _ in 0..3 {
                let severity = rng.random_range(0.05..1.0);
                let level = book.level(&[(cause(key), place, severity)]).expect("a level");
                for sign in never {
                    let sign = said(&[&format!("{sign}:{}", side.name())])[0];
                    let grade = book.grade(&level, sign);
                    assert!(grade < 0.5, "{key} at {severity:.2} shows {}: {grade:.2}", sign.key());
                }
            }
            for sign in never {
                let told = Told { seen: said(&[&format!("{sign}:{}", side.name())]), ..Told::default() };
                let answer = rank(book, &told);
                let of = belief(book, &answer, key, place);
                assert!(!of.explains, "{key} is said to explain {sign}");
            }
        }
    }
}

/// What is seen of the line and of the media is what was done to them, and no other cause shows it.
#[test]
fn verif_what_is_seen_without_a_pass_is_of_its_cause() {
    let book = book(0);
    let of_cause = [
        ("line-fast", "vehicles-fast"),
        ("line-slow", "vehicles-slow"),
        ("cars-close", "vehicles-close"),
        ("spin-fast", "turns-fast"),
        ("spin-slow", "turns-slowly"),
        ("media-worn", "looks-worn"),
        ("media-missing", "looks-thin"),
        ("media-heavy", "looks-caked"),
    ];
    for (key, sign) in of_cause {
        let row = said(&[sign])[0];
        for hypothesis in &book.hypotheses {
            let own = hypothesis.cause == Some(cause(key));
            for level in hypothesis.levels.iter().filter(|level| !own || level.severity > 0.6) {
                let grade = book.grade(level, row);
                let name = hypothesis.row().map_or("as-set", |row| row.key);
                assert!(if own { grade > 0.8 } else { grade < 0.2 }, "{name} shows {sign}: {grade:.2}");
            }
        }
    }
}

/// Friction is half of what the scale reads more out than back, the pull that brings the arm in their mean: each cause moves the one it should.
#[test]
fn verif_the_pull_scale_tells_friction_from_pull() {
    let book = book(0);
    let of = |key: &str| {
        let of = |h: &&brusharm::fault::Hypothesis| {
            h.cause == Some(cause(key)) && h.place == Place::On(Side::Left)
        };
        book.hypotheses.iter().find(of).unwrap_or_else(|| panic!("{key}"))
    };
    let [friction, low, high] = PULLS.map(Some);
    let finds = [
        ("tight", friction),
        ("air-weak", low),
        ("weight-light", low),
        ("bearing-outward", low),
        ("air-strong", high),
        ("weight-heavy", high),
        ("bearing-inward", high),
        ("media-worn", None),
        ("spin-slow", None),
        ("bumper-gone", None),
        ("damper-dead", None),
    ];
    for (key, pull) in finds {
        assert_eq!(of(key).pull, pull, "{key}");
    }
    // A low pull takes belief from the pivot and gives it to what pulls too little.
    let seen = said(&["tail-missed:left", "gradual"]);
    let share = |found: Option<&'static str>, key: &str| {
        let answer = Answered { check: CheckName::Pull, found: found.map(|f| (f, Place::On(Side::Left))) };
        let told = Told { seen: seen.clone(), answers: vec![answer], ..Told::default() };
        belief(book, &rank(book, &told), key, Place::On(Side::Left)).share
    };
    assert!(share(friction, "tight") > 0.8, "{}", share(friction, "tight"));
    assert!(share(low, "tight") < 0.05 && share(low, "air-weak") > 0.2);
}

#[test]
fn verif_the_healthy_machine_names_no_fault() {
    let book = book(0);
    let none = rank(book, &Told::default());
    assert!(Told::default().is_nothing());
    assert!((none.beliefs.iter().map(|b| b.share).sum::<f64>() - 1.0).abs() < 1e-9);
    // Everything of which one calls is as it should be.
    let fine = book.signs.iter().copied().filter(|s| s.row().sided || s.row().of_wash).collect();
    let told = Told { fine, ..Told::default() };
    let answer = rank(book, &told);
    assert!(answer.as_set, "{:?}", answer.beliefs[0]);
    // Nothing that one calls of is plain on it.
    let plain = |at: &usize| book.healthy.grades[*at] > 0.5 && book.signs[*at].row().sided;
    assert_eq!((0..book.signs.len()).filter(plain).count(), 0);
}

/// A line far too fast for its set-up misses tails with nothing broken, and that is said before any fault.
#[test]
fn verif_a_set_up_that_does_it_is_named_before_any_fault() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/one-unit.ron");
    let text = std::fs::read_to_string(path).expect("a scenario");
    let scenario = Scenario::read_alone(&text, "one-unit.ron").expect("a scenario");
    let fast = scenario.with(&[("line.throughput", "190 veh/h")]).expect("a throughput");
    let book = Book::new(&fast, &|_, _| {}).expect("a book");
    let told = Told { seen: said(&["tail-missed:left"]), ..Told::default() };
    assert!(rank(&book, &told).as_set);
    // What the set-up does not do is a fault all the same.
    let told = Told { seen: said(&["bounces:left", "stop-deep:left"]), ..Told::default() };
    let answer = rank(&book, &told);
    let first = &book.hypotheses[answer.beliefs[0].hypothesis];
    assert_eq!(first.row().map(|row| row.key), Some("bumper-gone"));
}

/// A reading moves belief to the causes that would give it.
#[test]
fn verif_a_reading_tells_causes_apart_that_look_alike() {
    let book = book(0);
    let left = Some(brusharm::arm::Side::Left);
    let seen = said(&["tail-missed:left", "gradual"]);
    let share = |readings: Vec<ReadingTold>, key: &str| {
        let answer = rank(book, &Told { seen: seen.clone(), readings, ..Told::default() });
        belief(book, &answer, key, Place::On(brusharm::arm::Side::Left)).share
    };
    let read = |key: &str, si: f64| {
        vec![ReadingTold { kind: reading_named(key).expect("a reading"), side: left, si }]
    };
    // 2 psi where 7 should be; plumb within a hair; a weight as it should be tells nothing of air.
    let low = read("gauge", 13_790.0);
    assert!(share(low.clone(), "air-weak") > 3.0 * share(Vec::new(), "air-weak"));
    assert!(share(low, "bearing-outward") < 0.1 * share(Vec::new(), "bearing-outward"));
    let off = read("off-plumb", -0.006);
    assert!(share(off, "bearing-outward") > 3.0 * share(Vec::new(), "bearing-outward"));
}

#[test]
fn verif_what_explains_all_goes_before_what_does_not_when_it_is_not_far_less_believed() {
    let book = book(0);
    let mut rng = ChaCha8Rng::seed_from_u64(5);
    let mut both = 0;
    for _ in 0..200 {
        let sign = |rng: &mut ChaCha8Rng| book.signs[rng.random_range(0..book.signs.len())];
        let told = Told { seen: vec![sign(&mut rng), sign(&mut rng)], ..Told::default() };
        let answer = rank(book, &told);
        let shares: f64 = answer.rows.iter().map(|row| row.share).sum();
        assert!((shares - 1.0).abs() < 1e-9, "{shares}");
        let most = answer.rows.iter().map(|row| row.share).fold(0.0, f64::max);
        if answer.rows.iter().any(|row| row.explains && row.share > 0.5 * most) {
            assert!(answer.rows[0].explains, "{:?}", told.seen.iter().map(|s| s.key()).collect::<Vec<_>>());
            both += 1;
        }
    }
    assert!(both > 50, "{both}");
}

#[test]
fn verif_weights_move_belief_and_nothing_weighs_nothing() {
    let book = book(0);
    let seen = said(&["tail-missed:left", "gradual"]);
    let share = |weight: Option<f64>| {
        let weights = weight.map(|w| (cause("tight"), w)).into_iter().collect();
        let answer = rank(book, &Told { seen: seen.clone(), weights, ..Told::default() });
        belief(book, &answer, "tight", Place::On(brusharm::arm::Side::Left)).share
    };
    let usual = share(None);
    assert!(usual > 0.02 && share(Some(0.0)) == 0.0, "{usual}");
    assert!(share(Some(30.0)) > 1.5 * usual);
}

#[test]
fn verif_a_pair_is_run_together_and_explains_what_no_single_cause_does() {
    let book = book(0);
    let seen = said(&["tail-missed-whole:left", "outer-stop:left", "turns-slowly:right", "looks-worn:right"]);
    let told = Told { seen, ..Told::default() };
    let answer = rank(book, &told);
    let found = pairs(book, &told, 3);
    assert!(!answer.explained || found.is_empty());
    for pair in &found {
        let wrong: Vec<_> = pair
            .of
            .iter()
            .map(|&(h, l)| {
                let of = &book.hypotheses[h];
                (of.cause.expect("a cause"), of.place, of.levels[l].severity)
            })
            .collect();
        let level = book.level(&wrong).expect("it can be run");
        for sign in &told.seen {
            assert!(book.grade(&level, *sign) >= 0.25, "{}", sign.key());
        }
    }
    let share: f64 = found.iter().map(|p| p.share).sum();
    assert!(found.is_empty() || (share - 1.0).abs() < 1e-9);
}

/// A check is worth at most the doubt that is there, and none that was made is named again.
#[test]
fn verif_checks_take_no_more_doubt_than_there_is() {
    let book = book(0);
    let told = Told { seen: said(&["tail-missed:left", "gradual"]), ..Told::default() };
    let answer = rank(book, &told);
    let checks = next_checks(book, &told, &answer);
    let doubt: f64 = answer
        .beliefs
        .iter()
        .filter(|b| b.share > 0.0)
        .map(|b| -b.share * b.share.log2())
        .sum::<f64>()
        // Each cause stands for up to three things.
        + 3.0_f64.log2();
    assert!(checks.len() > 5);
    assert!(checks.iter().all(|c| c.bits >= 0.0 && c.bits <= doubt && (0.0..=1.0).contains(&c.finds)));
    assert!(checks.windows(2).all(|pair| pair[0].bits_per_min >= pair[1].bits_per_min));
}

/// What a scenario hides is in its passes and in no setting, and stays when something is set.
#[test]
fn verif_a_hidden_fault_is_in_the_pass_and_in_no_setting() {
    let sound = book(0).scenario();
    let wrong = [(cause("air-weak"), Place::Both, 0.8)];
    let hiding = hiding(sound, &wrong).expect("it can be hidden");
    assert!(hiding.is_hiding() && !sound.is_hiding());
    for setting in sound.settings() {
        assert_eq!(setting.read(sound).map(|r| r.to_string()), setting.read(&hiding).map(|r| r.to_string()));
    }
    let set_pa = |s: &brusharm::scenario::Scenario| {
        s.setup().units[0].cylinder.as_ref().expect("air").cap.line.regulator.set_gauge_pa
    };
    assert!(set_pa(&hiding) < 0.5 * set_pa(sound));
    let moved = hiding.with(&[("left.air.cap", "10 psi")]).expect("a pressure");
    assert!(set_pa(&moved) > 1.3 * set_pa(&hiding) && set_pa(&moved) < 0.5 * 68_948.0);
}

#[test]
fn verif_every_cause_changes_the_machine_and_says_how_bad_it_is() {
    let book = book(0);
    for hypothesis in &book.hypotheses[1..] {
        let row = hypothesis.row().expect("a cause");
        assert!(!row.behind.is_empty() && row.weight > 0.0, "{}", row.key);
        let worst = hypothesis.levels.last().expect("a level");
        assert!(worst.severity > 0.3);
        if let (Some(should), Some(is)) =
            (book.healthy_amount(hypothesis.cause.expect("one"), hypothesis.place), worst.amount)
        {
            assert!((should - is).abs() > 1e-9, "{} is as bad as none", row.key);
        }
    }
    let mut keys: Vec<&str> = CAUSES.iter().map(|c| c.key).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), CAUSES.len());
}

/// Nothing told, a cause is believed as common as its row says: at each of two units as at one, but for what both have at once, and against what is of the line.
/// A book of two causes that are alike common, each in a row of its own: with these levels, how bad and how plain the sign `slams:left` is. Nothing else is seen of them.
fn invented(levels: [&[(f64, f64)]; 2]) -> Book {
    let mut book = book(1).clone();
    let sign = book.signs.iter().position(|sign| sign.key() == "slams:left").expect("a sign");
    let known = |key: &str| {
        let of = |h: &&brusharm::fault::Hypothesis| h.cause == Some(cause(key));
        book.hypotheses.iter().find(of).unwrap_or_else(|| panic!("{key}")).clone()
    };
    let mut list = [known("bearing-downstream"), known("bearing-upstream")];
    for (hypothesis, levels) in list.iter_mut().zip(levels) {
        let of = |&(severity, grade): &(f64, f64)| {
            let mut level = hypothesis.levels[0].clone();
            level.severity = severity;
            level
                .grades
                .iter_mut()
                .enumerate()
                .for_each(|(at, own)| *own = if at == sign { grade } else { 0.0 });
            level
        };
        hypothesis.levels = levels.iter().map(of).collect();
    }
    book.hypotheses = list.to_vec();
    book.rows = vec![0, 1];
    book
}

/// Of two causes that are alike common the odds are those of the one sign told. A sign of grade g is told x²(3 − 2x) as often as a plain one, x = (g − 0.2)/0.6 within 0 and 1, but for
/// m = 0.05/n where anything of the n signs is told; a fault at s of its range is as common among calls as 1 − |2s − 1|, a quarter at least, and between two levels lies one that is half of each.
#[test]
fn verif_odds_by_hand_of_how_plain_and_how_bad() {
    let told = Told { seen: said(&["slams:left"]), ..Told::default() };
    let odds = |levels: [&[(f64, f64)]; 2]| {
        let book = invented(levels);
        let answer = rank(&book, &told);
        let share = |at| answer.beliefs.iter().find(|b| b.hypothesis == at).expect("listed").share;
        share(0) / share(1)
    };
    let m = 0.05 / book(1).sign_rows().count() as f64;
    let chance = |told: f64| m + 0.95 * told;
    for (grade, told) in [(0.2, 0.0), (0.35, 0.156_25), (0.5, 0.5), (0.65, 0.843_75), (0.8, 1.0)] {
        let by_hand = chance(told) / chance(1.0);
        let off = odds([&[(1.0, grade)], &[(1.0, 1.0)]]) / by_hand - 1.0;
        assert!(off.abs() < 1e-9, "{grade}: {off:e}");
    }
    // Plain at the end of its range only: levels 0.35, 0.5, 0.65, 0.825 and 1, of grade 0, 0, 0, ½ and 1.
    let sum = (0.7 + 1.0 + 0.7) * chance(0.0) + 0.35 * chance(0.5) + 0.25 * chance(1.0);
    let off =
        odds([&[(0.35, 0.0), (0.65, 0.0), (1.0, 1.0)], &[(1.0, 1.0)]]) / (sum / 3.0 / chance(1.0)) - 1.0;
    assert!(off.abs() < 1e-9, "{off:e}");
}

#[test]
fn verif_before_anything_is_told_belief_is_how_common_it_is() {
    let book = book(0);
    let answer = rank(book, &Told::default());
    let share = |key: &str, place: Place| belief(book, &answer, key, place).share;
    let line = share("line-fast", Place::Line) / CAUSES[cause("line-fast")].weight;
    for key in ["tight", "media-worn", "spin-slow"] {
        let row = &CAUSES[cause(key)];
        assert!(row.both > 0.2 && row.weight > 0.5, "{key}");
        let of = |share: f64| share / line / row.weight;
        for side in [Side::Left, Side::Right] {
            assert!((of(share(key, Place::On(side))) - (1.0 - row.both)).abs() < 1e-9, "{key}");
        }
        assert!((of(share(key, Place::Both)) - row.both).abs() < 1e-9, "{key}");
    }
}
