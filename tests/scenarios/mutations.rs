//! Random damage to good files: nothing panics, nothing hangs, and what is refused is refused with words.

use super::{BESIDE, SHIPPED, read, shipped_text};
use brusharm::scenario::Scenario;
use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};

/// Mutations in all.
const COUNT: u64 = 100_000;

/// Pieces that are likely to hurt.
const PIECES: &[&str] = &[
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "\"",
    "'",
    "/*",
    "*/",
    "//",
    "#![enable(implicit_some)]",
    "Some(",
    "None",
    "()",
    "NaN",
    "inf",
    "-inf",
    "-",
    "0",
    "1e999",
    "-1e-400",
    "99999999999999999999999999",
    "\"NaN in\"",
    "\"inf psi\"",
    "\"1/0 in\"",
    "\"-5 in\"",
    "\"1e300 ft\"",
    "\"0 lb\"",
    "\"\"",
    "\u{0}",
    "\u{feff}",
    "é",
    "\u{1F69A}",
    "\\",
    "r#\"",
    "true",
    "Both(",
    "Each(left: ",
    "File(\"harbour-machine.ron\")",
    "File(\"harbour-vehicles.ron\")",
    "File(\"../x.ron\")",
    "Demo(\"sedan\")",
    "Own(",
    "\"psi\"",
    "\"7/8 in\"",
    "\"3 ft 6-1/2 in\"",
    "\"−1/8 in\"",
    "hole: 0",
    "left: (",
    "\r\n",
];

/// One damaged text.
fn mutated(rng: &mut ChaCha8Rng, texts: &[String], own: &str) -> String {
    let mut text = own.to_owned();
    for _ in 0..rng.random_range(1..=3) {
        let piece = PIECES[rng.random_range(0..PIECES.len())];
        text = match rng.random_range(0..8) {
            0 => bytes(rng, &text),
            1 => token_swapped(rng, &text),
            2 => token_replaced(rng, &text, piece),
            3 => number_changed(rng, &text),
            4 => lines(rng, &text),
            5 => truncated(rng, &text),
            6 => {
                // A token of another file.
                let other = &texts[rng.random_range(0..texts.len())];
                let token = tokens(other);
                let (start, end) = token[rng.random_range(0..token.len())];
                token_replaced(rng, &text, &other[start..end])
            }
            _ => inserted(rng, &text, piece),
        };
        if text.is_empty() {
            break;
        }
    }
    text
}

/// Start and end of words, numbers, quoted texts and single signs.
fn tokens(text: &str) -> Vec<(usize, usize)> {
    let mut tokens = Vec::new();
    let mut chars = text.char_indices().peekable();
    while let Some((start, c)) = chars.next() {
        if c.is_whitespace() {
            continue;
        }
        let mut end = start + c.len_utf8();
        let word = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
        if c == '"' {
            for (at, c) in chars.by_ref() {
                end = at + c.len_utf8();
                if c == '"' || c == '\n' {
                    break;
                }
            }
        } else if word(c) {
            while let Some((at, c)) = chars.next_if(|(_, c)| word(*c)) {
                end = at + c.len_utf8();
            }
        }
        tokens.push((start, end));
    }
    if tokens.is_empty() {
        tokens.push((0, 0));
    }
    tokens
}

fn boundary(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at += 1;
    }
    at
}

fn bytes(rng: &mut ChaCha8Rng, text: &str) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..rng.random_range(1..=4) {
        let at = rng.random_range(0..bytes.len());
        match rng.random_range(0..3) {
            0 => bytes[at] = rng.random(),
            1 => bytes[at] ^= 1 << rng.random_range(0..8),
            _ => bytes.insert(at, rng.random()),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

fn token_swapped(rng: &mut ChaCha8Rng, text: &str) -> String {
    let tokens = tokens(text);
    let (a, b) = (rng.random_range(0..tokens.len()), rng.random_range(0..tokens.len()));
    let (first, second) = (tokens[a.min(b)], tokens[a.max(b)]);
    if first == second {
        return text.to_owned();
    }
    format!(
        "{}{}{}{}{}",
        &text[..first.0],
        &text[second.0..second.1],
        &text[first.1..second.0],
        &text[first.0..first.1],
        &text[second.1..]
    )
}

fn token_replaced(rng: &mut ChaCha8Rng, text: &str, by: &str) -> String {
    let tokens = tokens(text);
    let (start, end) = tokens[rng.random_range(0..tokens.len())];
    format!("{}{by}{}", &text[..start], &text[end..])
}

fn number_changed(rng: &mut ChaCha8Rng, text: &str) -> String {
    let places: Vec<usize> =
        text.char_indices().filter(|(_, c)| c.is_ascii_digit()).map(|(at, _)| at).collect();
    let Some(at) = places.get(rng.random_range(0..places.len().max(1))) else { return text.to_owned() };
    let by = ["", "0", "9", "-", "00000", "1e9", ".", "/0", "1/", "e308"][rng.random_range(0..10)];
    format!("{}{by}{}", &text[..*at], &text[at + rng.random_range(0..=1)..])
}

fn lines(rng: &mut ChaCha8Rng, text: &str) -> String {
    let mut lines: Vec<&str> = text.split('\n').collect();
    let (at, to) = (rng.random_range(0..lines.len()), rng.random_range(0..lines.len()));
    match rng.random_range(0..3) {
        0 => {
            lines.remove(at);
        }
        1 => lines.insert(to, lines[at]),
        _ => lines.swap(at, to),
    }
    lines.join("\n")
}

fn truncated(rng: &mut ChaCha8Rng, text: &str) -> String {
    let at = boundary(text, rng.random_range(0..=text.len()));
    if rng.random_range(0..2) == 0 { text[..at].to_owned() } else { text[at..].to_owned() }
}

fn inserted(rng: &mut ChaCha8Rng, text: &str, piece: &str) -> String {
    let at = boundary(text, rng.random_range(0..=text.len()));
    let times = [1, 1, 1, 2, 200][rng.random_range(0..5)];
    format!("{}{}{}", &text[..at], piece.repeat(times), &text[at..])
}

/// Comments out, blanks shrunk: the same scenario in less text, so that more mutations hit something that matters.
fn dense(text: &str) -> String {
    let lines = text.lines().map(|line| line.split_once("//").map_or(line, |(code, _)| code).trim());
    lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
}

#[test]
fn verif_no_damaged_file_panics_or_hangs() {
    let texts: Vec<String> = SHIPPED.iter().map(|name| dense(&shipped_text(name))).collect();
    let beside: Vec<String> = BESIDE.iter().map(|name| dense(&shipped_text(name))).collect();
    for (name, text) in SHIPPED.iter().zip(&texts) {
        read(text, name).unwrap_or_else(|errors| panic!("{errors}"));
    }
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(8) as u64;
    let (mut good, mut bad) = (0_u64, 0_u64);
    std::thread::scope(|scope| {
        let handles: Vec<_> = (0..threads)
            .map(|thread| {
                let (texts, beside) = (&texts, &beside);
                scope.spawn(move || {
                    let (mut good, mut bad) = (0_u64, 0_u64);
                    for case in (thread..COUNT).step_by(threads as usize) {
                        let mut rng = ChaCha8Rng::seed_from_u64(20_240_613);
                        rng.set_stream(case);
                        if one(&mut rng, texts, beside, case) { good += 1 } else { bad += 1 }
                    }
                    (good, bad)
                })
            })
            .collect();
        for handle in handles {
            let (some_good, some_bad) = handle.join().unwrap();
            good += some_good;
            bad += some_bad;
        }
    });
    assert_eq!(good + bad, COUNT);
    // Damage that keeps a file good is rare, and so is a generator that only makes rubbish.
    assert!(good > COUNT / 100 && bad > COUNT / 2, "{good} good, {bad} bad");
}

/// Whether one damaged file is still good.
fn one(rng: &mut ChaCha8Rng, texts: &[String], beside: &[String], case: u64) -> bool {
    let result = if case.is_multiple_of(20) {
        // The damage is in a file that the scenario names.
        let which = rng.random_range(0..beside.len());
        let damaged = mutated(rng, texts, &beside[which]);
        let loader = |name: &str| {
            let at = BESIDE.iter().position(|other| *other == name).ok_or("no such file")?;
            Ok(if at == which { damaged.clone() } else { beside[at].clone() })
        };
        Scenario::read(&texts[SHIPPED.len() - 1], "mutated.ron", &loader)
    } else {
        let own = rng.random_range(0..texts.len());
        let text = mutated(rng, texts, &texts[own]);
        read(&text, "mutated.ron")
    };
    match result {
        Ok(scenario) => {
            let setup = scenario.setup();
            assert!(setup.conveyor_speed_m_s > 0.0 && setup.conveyor_speed_m_s.is_finite());
            assert!(setup.units.iter().all(|unit| unit.body.inertia_kg_m2 > 0.0));
            true
        }
        Err(errors) => {
            assert!(!errors.0.is_empty());
            for error in &errors.0 {
                assert!(!error.problem.is_empty() && !error.file.is_empty(), "case {case}: {error:?}");
            }
            // Printing is part of it, and not cheap.
            if case.is_multiple_of(16) {
                assert!(errors.to_string().starts_with("error: "));
            }
            false
        }
    }
}
