//! Who may import whom, by text search: the compiler does not enforce it inside one crate. Also keeps graphics in the window and
//! printing and files at the edge.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Folders of `src/` and what each may import besides itself. All may use `error` and `units`; `fluid` is plain physics for all.
const MAY_IMPORT: [(&str, &[&str]); 16] = [
    ("error", &[]),
    ("laws", &[]),
    ("units", &[]),
    ("fluid", &[]),
    ("geometry", &[]),
    ("vehicle", &["geometry"]),
    ("arm", &["geometry"]),
    ("foam", &["geometry"]),
    ("pass", &["vehicle", "arm", "foam", "geometry"]),
    ("coverage", &["pass", "vehicle", "arm", "geometry"]),
    ("scenario", &["geometry", "vehicle", "arm", "foam", "pass", "coverage"]),
    ("study", &["scenario", "pass", "coverage", "geometry", "vehicle", "arm", "foam"]),
    ("drawing", &["coverage", "pass", "vehicle", "arm", "geometry"]),
    ("report", &["study", "drawing", "scenario", "coverage", "pass", "vehicle", "arm", "foam", "geometry"]),
    (
        "window",
        &["report", "study", "drawing", "scenario", "coverage", "pass", "vehicle", "arm", "foam", "geometry"],
    ),
    (
        "command",
        &[
            "window", "report", "study", "drawing", "scenario", "coverage", "pass", "vehicle", "arm", "foam",
            "geometry",
        ],
    ),
];
const FOR_ALL: [&str; 3] = ["error", "units", "fluid"];
/// Only these may print, read the clock of the machine or touch files.
const EDGE: [&str; 2] = ["command", "window"];
const EDGE_ONLY: [&str; 12] = [
    "println!",
    "eprintln!",
    "print!(",
    "eprint!(",
    "std::fs",
    " fs::",
    " File::",
    "OpenOptions",
    "stdout()",
    "stderr()",
    "stdin()",
    "std::net",
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src is there") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// The text without comments, strings emptied, and without unit tests (which may use what they like).
fn code_of(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    let mut code = String::with_capacity(text.len());
    for line in text.lines() {
        let (mut in_string, mut escaped, mut before) = (false, false, ' ');
        for c in line.chars() {
            if !in_string && c == '/' && before == '/' {
                code.pop();
                break;
            }
            if c == '"' && !escaped && before != '\'' {
                in_string = !in_string;
            } else if !in_string {
                code.push(c);
            }
            escaped = in_string && c == '\\' && !escaped;
            before = c;
        }
        code.push('\n');
    }
    code
}

/// First path segments after `prefix` in the code, grouped imports opened: `crate::{a::B, c}` gives a and c.
fn segments_after(code: &str, prefix: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices(prefix) {
        let rest = &code[at + prefix.len()..];
        if !rest.starts_with('{') {
            found.push(rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
            continue;
        }
        let (mut depth, mut word, mut fresh) = (0, String::new(), true);
        for c in rest.chars() {
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            if depth == 1 && (c.is_alphanumeric() || c == '_') && fresh {
                word.push(c);
            } else if depth <= 1 {
                if !word.is_empty() {
                    found.push(std::mem::take(&mut word));
                }
                fresh = matches!(c, '{' | ',' | '}') || (fresh && c.is_whitespace());
            }
            if depth == 0 {
                break;
            }
        }
    }
    found
}

/// Folder, file and code of every source file; main.rs and lib.rs under their own names.
fn all_code() -> Vec<(String, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    files.sort();
    let read = |path: &PathBuf| {
        let name = path.strip_prefix(&root).expect("under src").to_string_lossy().replace('\\', "/");
        let folder = name.split('/').next().unwrap_or_default().trim_end_matches(".rs").to_owned();
        (folder, name, code_of(&fs::read_to_string(path).expect("it reads")))
    };
    files.iter().map(read).collect()
}

#[test]
fn verif_layers_import_downwards_only() {
    let table: BTreeMap<&str, &[&str]> = MAY_IMPORT.into_iter().collect();
    let (mut imports, mut faults) = (0, Vec::new());
    for (folder, name, code) in all_code() {
        if folder == "lib" {
            continue;
        }
        if folder == "main" {
            for used in segments_after(&code, "brusharm::") {
                imports += 1;
                if used != "command" && used != "error" {
                    faults.push(format!("{name}: main uses {used}"));
                }
            }
            continue;
        }
        let Some(allowed) = table.get(folder.as_str()) else {
            faults.push(format!("{name}: the table of tests/layers.rs lacks the folder {folder}"));
            continue;
        };
        // As many `super`s as lead from this file's module to the crate.
        let up = name.matches('/').count() + usize::from(!name.ends_with("/mod.rs"));
        let mut used = segments_after(&code, "crate::");
        // (Inside an inline module the same steps stay in the folder: only names of the table count.)
        let hidden = segments_after(&code, &"super::".repeat(up));
        used.extend(hidden.into_iter().filter(|name| table.contains_key(name.as_str())));
        for used in used {
            imports += 1;
            let known = table.contains_key(used.as_str());
            let fine = used == folder || FOR_ALL.contains(&used.as_str()) || allowed.contains(&used.as_str());
            if known && !fine {
                faults.push(format!("{name}: {folder} must not import {used}"));
            }
            if !known && !used.is_empty() {
                faults.push(format!("{name}: imports «{used}», which is no folder of the table"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(imports > 60, "only {imports} imports found: the search is broken");
}

#[test]
fn verif_graphics_stay_in_the_window_and_printing_at_the_edge() {
    let mut seen = 0;
    for (folder, name, code) in all_code() {
        if folder != "window" {
            for graphics in ["macroquad", "miniquad", "egui"] {
                assert!(!code.contains(graphics), "{name}: {graphics} belongs in the window");
            }
        }
        if !EDGE.contains(&folder.as_str()) && folder != "main" {
            for word in EDGE_ONLY {
                assert!(!code.contains(word), "{name}: {word} belongs in command or window");
            }
        }
        seen += 1;
    }
    assert!(seen > 50, "only {seen} files found");
}

/// The search itself: what it must see and what it must not.
#[test]
fn verif_the_search_sees_grouped_and_hidden_imports() {
    let code = code_of(
        "use crate::{\n    arm::{Side, UnitModel},\n    pass,\n}; // crate::window\nlet s = \"crate::study\";\n",
    );
    assert_eq!(segments_after(&code, "crate::"), ["arm", "pass"]);
    assert_eq!(segments_after("let x = crate::coverage::Gap;", "crate::"), ["coverage"]);
    assert_eq!(segments_after("use super::super::{study::X, arm};", "super::super::"), ["study", "arm"]);
    assert!(!code_of("a\n#[cfg(test)]\nmod tests {\n println!(); }").contains("println!"));
}
