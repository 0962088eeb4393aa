//! README and guide show real output: every `console` block is run and compared, line by line.
//!
//! A block holds `$ brusharm …` lines, each followed by what it prints. `| head -N` shows the first N lines only. Files are written to a
//! scratch folder that holds a copy of `scenarios/`. With `UPDATE_README=1` in the environment the blocks are written anew instead.

use std::fs;
use std::path::Path;
use std::process::Command;

/// Copies a folder with everything in it.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder to copy") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).expect("a file to copy");
        }
    }
}

/// Splits a command line as a shell would, with double and single quotes.
fn words(line: &str) -> Vec<String> {
    let (mut list, mut word, mut quote, mut any) = (Vec::new(), String::new(), None, false);
    for c in line.chars() {
        match (quote, c) {
            (None, '"' | '\'') => (quote, any) = (Some(c), true),
            (Some(q), c) if c == q => quote = None,
            (None, c) if c.is_whitespace() => {
                if any {
                    list.push(std::mem::take(&mut word));
                }
                any = false;
            }
            (_, c) => {
                word.push(c);
                any = true;
            }
        }
    }
    if any {
        list.push(word);
    }
    list
}

/// Runs one shown command and returns what it prints.
fn run(folder: &Path, shown: &str) -> String {
    let (command, head) = match shown.split_once(" | head -") {
        Some((command, n)) => (command, n.trim().parse::<usize>().expect("a number of lines")),
        None => (shown, usize::MAX),
    };
    let list = words(command);
    assert_eq!(list[0], "brusharm", "only our own commands: {shown}");
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .args(&list[1..])
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env("COLUMNS", "80")
        .output()
        .expect("the command runs");
    let problem = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{shown}\n{problem}");
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().take(head).map(|l| format!("{}\n", l.trim_end())).collect()
}

#[test]
fn verif_every_console_block_of_the_readme_is_real() {
    hold("README.md", 3);
}

#[test]
fn verif_every_console_block_of_the_guide_is_real() {
    hold("src/guide.md", 10);
}

/// The README is for a newcomer: it must be read in one sitting.
#[test]
fn verif_the_readme_stays_short() {
    let readme =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("README.md");
    let lines = readme.lines().count();
    assert!((50..=250).contains(&lines), "{lines} lines: move examples to src/guide.md");
}

/// Runs every command of a page and compares; at least so many must be found.
fn hold(page: &str, least: usize) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(root.join(page)).expect(page);
    let scratch = tempfile::tempdir().expect("a scratch folder");
    copy(&root.join("scenarios"), &scratch.path().join("scenarios"));

    let (mut fresh, mut commands, mut inside) = (String::new(), 0, false);
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            inside = line == "```console";
        }
        fresh.push_str(line);
        fresh.push('\n');
        if let Some(shown) = line.strip_prefix("$ ").filter(|_| inside) {
            while lines.next_if(|l| !l.starts_with("$ ") && !l.starts_with("```")).is_some() {}
            fresh.push_str(&run(scratch.path(), shown));
            commands += 1;
        }
    }
    assert!(commands >= least, "{page}: only {commands} commands found");
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(root.join(page), fresh).expect("the page is ours to write");
        return;
    }
    for (shown, real) in text.lines().zip(fresh.lines()) {
        assert_eq!(shown, real, "{page} is behind the program (UPDATE_README=1 brings it up to date)");
    }
    assert_eq!(text.lines().count(), fresh.lines().count(), "{page}");
}
