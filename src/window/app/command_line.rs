//! What is set, as the command that computes it in a terminal, quoted for a shell.

use std::path::Path;

use super::edits::Edits;
use crate::scenario::Scenario;

/// A word of a command, quoted for a POSIX shell where it needs it: between single quotes nothing is special but the single quote itself (POSIX.1-2017,
/// Shell Command Language, 2.2.2; from memory).
pub fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "_-./,:=+@%".contains(c);
    // A tilde, a star, a blank or a sign beyond ASCII: better quoted once too often.
    if !word.is_empty() && word.chars().all(plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', "'\\''"))
}

/// The file as a word that no command takes for an option.
fn file_word(path: &Path) -> String {
    let name = path.display().to_string();
    quoted(&if name.starts_with('-') { format!("./{name}") } else { name })
}

/// The changes as `--set`, two sides that are alike as one.
fn set_words(base: &Scenario, edits: &Edits) -> Vec<String> {
    let mut words = Vec::new();
    for (path, text) in edits {
        let twin = |from: &str, to: &str| {
            let rest = path.strip_prefix(from)?;
            (edits.get(&format!("{to}{rest}")) == Some(text)).then(|| format!("both.{rest}"))
        };
        let known = |path: &String| base.setting(path).is_ok();
        if twin("right.", "left.").filter(known).is_some() {
            continue;
        }
        let path = twin("left.", "right.").filter(known).unwrap_or_else(|| path.clone());
        words.push(format!("--set {}", quoted(&format!("{path}={text}"))));
    }
    words
}

/// A command on the file with what is changed, and more words that are quoted already.
pub fn command_line(name: &str, path: &Path, base: &Scenario, edits: &Edits, more: &[String]) -> String {
    let mut words = vec!["brusharm".to_owned(), name.to_owned(), file_word(path)];
    words.extend(set_words(base, edits));
    words.extend(more.iter().cloned());
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_words_are_quoted_only_where_a_shell_would_take_them_apart() {
        for (word, want) in [
            ("ferry-return.ron", "ferry-return.ron"),
            ("line.throughput=120 veh/h", "'line.throughput=120 veh/h'"),
            ("50 % of it.ron", "'50 % of it.ron'"),
            ("it's $HOME.ron", r"'it'\''s $HOME.ron'"),
            ("left.dampers[0].out_stroke=1", "'left.dampers[0].out_stroke=1'"),
            ("", "''"),
            ("~/lane.ron", "'~/lane.ron'"),
        ] {
            assert_eq!(quoted(word), want);
        }
    }

    #[test]
    fn verif_two_sides_alike_are_one_change() {
        let lane = Scenario::read_alone(include_str!("../../../scenarios/ferry-return.ron"), "lane.ron");
        let lane = lane.expect("good");
        let edit = |path: &str, text: &str| (path.to_owned(), text.to_owned());
        let edits = Edits::from([
            edit("left.air.cap", "8 psi"),
            edit("right.air.cap", "8 psi"),
            edit("left.stop_pin.hole", "3"),
        ]);
        let line = command_line("pass", Path::new("-lane.ron"), &lane, &edits, &[]);
        assert_eq!(line, "brusharm pass ./-lane.ron --set 'both.air.cap=8 psi' --set left.stop_pin.hole=3");
    }
}
