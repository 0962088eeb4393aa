//! Who may import whom, by text search: the compiler does not enforce it inside one crate. Also keeps graphics in the window and
//! printing and files at the edge.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Folders of `src/` and what each may import besides itself. All may use `error`, `units`, `visible` and `elementary`; `fluid` is plain physics for all.
const MAY_IMPORT: [(&str, &[&str]); 23] = [
    // Of unit tests only.
    ("fixed_cases", &[]),
    ("visible", &[]),
    ("elementary", &[]),
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
    ("sentences", &["coverage", "pass", "arm", "geometry"]),
    ("scenario", &["geometry", "vehicle", "arm", "foam", "pass", "coverage"]),
    ("study", &["fault", "scenario", "pass", "coverage", "geometry", "vehicle", "arm", "foam"]),
    ("calibrate", &["study", "scenario", "pass", "coverage", "geometry", "vehicle", "arm"]),
    ("fault", &["scenario", "pass", "coverage", "geometry", "vehicle", "arm"]),
    ("drawing", &["sentences", "coverage", "pass", "vehicle", "arm", "geometry"]),
    (
        "report",
        &[
            "calibrate",
            "fault",
            "study",
            "drawing",
            "scenario",
            "coverage",
            "pass",
            "vehicle",
            "arm",
            "foam",
            "geometry",
        ],
    ),
    (
        "live",
        &[
            "report",
            "calibrate",
            "fault",
            "study",
            "drawing",
            "sentences",
            "scenario",
            "coverage",
            "arm",
            "vehicle",
        ],
    ),
    (
        "window",
        &[
            "report",
            "calibrate",
            "fault",
            "study",
            "drawing",
            "sentences",
            "scenario",
            "coverage",
            "pass",
            "vehicle",
            "arm",
            "foam",
            "geometry",
        ],
    ),
    (
        "command",
        &[
            "window",
            "live",
            "report",
            "calibrate",
            "fault",
            "study",
            "drawing",
            "scenario",
            "coverage",
            "pass",
            "vehicle",
            "arm",
            "foam",
            "geometry",
        ],
    ),
];
const FOR_ALL: [&str; 6] = ["error", "units", "fluid", "visible", "elementary", "fixed_cases"];
/// Only these may print, read the clock of the machine or touch files.
const EDGE: [&str; 2] = ["command", "window"];
const EDGE_ONLY: [&str; 16] = [
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
    "Instant::now",
    "SystemTime",
    "thread::sleep",
    "env::var",
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

/// The text without its unit tests, and the names of the modules in files of their own that hold such.
fn without_tests(text: &str) -> (String, Vec<String>) {
    let (mut kept, mut named) = (String::new(), Vec::new());
    let mut rest = text;
    while let Some(at) = rest.find("#[cfg(test)]\n") {
        let (before, after) = rest.split_at(at);
        kept.push_str(before);
        let line = after.lines().nth(1).unwrap_or_default();
        match line.split_once("mod ").map(|(_, name)| name) {
            // A module in the text ends it: unit tests stand last.
            Some(name) if name.ends_with('{') => return (kept, named),
            Some(name) => named.push(name.trim_end_matches(';').to_owned()),
            None => {}
        }
        rest = &after["#[cfg(test)]\n".len() + line.len()..];
    }
    kept.push_str(rest);
    (kept, named)
}

/// The text without comments, strings emptied, and without unit tests (which may use what they like).
fn code_of(text: &str) -> String {
    let text = without_tests(text).0;
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
    let tests: BTreeSet<PathBuf> = files
        .iter()
        .flat_map(|path| {
            let own = path.file_stem().expect("a name");
            let at = if ["mod", "lib", "main"].iter().any(|front| own == *front) {
                path.with_file_name("")
            } else {
                path.with_extension("")
            };
            let (_, named) = without_tests(&fs::read_to_string(path).expect("text"));
            named.into_iter().map(move |name| at.join(format!("{name}.rs")))
        })
        .collect();
    assert!(tests.len() > 4 && tests.iter().all(|path| path.exists()), "{tests:?}");
    files.retain(|path| !tests.contains(path));
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

/// What the platform's own elementary functions are called: they differ in the last digit from one machine to another.
const OF_THE_PLATFORM: [&str; 21] = [
    "sin", "cos", "tan", "sin_cos", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh", "hypot", "cbrt",
    "powf", "exp", "exp2", "exp_m1", "ln", "ln_1p", "log10", "log2",
];

#[test]
fn verif_what_is_computed_is_alike_on_every_machine() {
    let mut seen = 0;
    for (folder, name, code) in all_code() {
        if EDGE.contains(&folder.as_str()) || folder == "main" {
            continue;
        }
        seen += usize::from(code.contains("elementary::Elementary"));
        for of in OF_THE_PLATFORM {
            for call in [format!(".{of}("), format!("f64::{of}")] {
                let whole = |at: usize| {
                    !code[at + call.len()..].starts_with(|c: char| c.is_alphanumeric() || c == '_')
                };
                let found = code.match_indices(&call).any(|(at, _)| call.ends_with('(') || whole(at));
                assert!(!found, "{name}: {call} is of the platform; take crate::elementary::Elementary");
            }
        }
    }
    assert!(seen > 30, "only {seen} files take any");
}

/// Every path in the code, grouped imports opened: `use super::{a::B, c}` gives `super::a::B` and `super::c`.
fn paths(code: &str) -> Vec<String> {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    let mut found = Vec::new();
    // The prefix in force at each depth of braces, and the path being read.
    let (mut prefixes, mut path) = (vec![String::new()], String::new());
    let mut chars = code.chars().peekable();
    while let Some(c) = chars.next() {
        if is_word(c) {
            path.push(c);
        } else if c == ':' && chars.peek() == Some(&':') {
            chars.next();
            path.push_str("::");
        } else if c == '{' && path.ends_with("::") {
            prefixes.push(format!("{}{path}", prefixes.last().expect("never empty")));
            path.clear();
        } else {
            let whole = format!("{}{path}", prefixes.last().expect("never empty"));
            if !path.is_empty() && whole.contains("::") {
                found.push(whole);
            }
            path.clear();
            if c == '{' {
                prefixes.push(String::new());
            } else if c == '}' && prefixes.len() > 1 {
                prefixes.pop();
            }
        }
    }
    found
}

/// Which files of `src/` take something from which others, by their paths. A front (`mod.rs`, or `a.rs` beside a folder `a/`) ties its own
/// files together, so what it takes from them and they from it is no tie here; what it hands on (`pub use chain::Chain`) is taken from where
/// it stands.
fn taken_from(files: &[(String, String, String)]) -> BTreeMap<String, BTreeSet<String>> {
    let module =
        |name: &str| -> String { name.trim_end_matches(".rs").trim_end_matches("/mod").replace('/', "::") };
    let modules: BTreeMap<String, &str> =
        files.iter().map(|(_, name, _)| (module(name), name.as_str())).collect();
    // From the place of a name as a front hands it on to where it stands.
    let mut handed_on: BTreeMap<String, String> = BTreeMap::new();
    for (_, name, code) in files {
        let own = module(name);
        for (at, _) in code.match_indices("pub use ").chain(code.match_indices("pub(crate) use ")) {
            let line = code[at..].split(';').next().unwrap_or_default();
            let line = line.trim_start_matches("pub(crate) use ").trim_start_matches("pub use ");
            for path in paths(&format!("{line};")) {
                let path = path.trim_start_matches("self::").to_owned();
                if let Some(last) = path.rsplit("::").next() {
                    handed_on.insert(format!("{own}::{last}"), format!("{own}::{path}"));
                }
            }
        }
    }
    let mut all = BTreeMap::new();
    for (_, name, code) in files {
        let own = module(name);
        let mut taken = BTreeSet::new();
        for path in paths(code) {
            let mut whole = if let Some(rest) = path.strip_prefix("crate::") {
                rest.to_owned()
            } else if path.starts_with("super::") {
                let (mut at, mut rest) = (own.clone(), path.as_str());
                while let Some(further) = rest.strip_prefix("super::") {
                    at = at.rsplit_once("::").map_or_else(String::new, |(up, _)| up.to_owned());
                    rest = further;
                }
                format!("{at}::{rest}")
            } else {
                format!("{own}::{path}")
            };
            while let Some(stands) = handed_on.get(&whole) {
                whole = stands.clone();
            }
            // The longest module that the path begins with.
            let mut at = whole.as_str();
            while !modules.contains_key(at) {
                let Some((up, _)) = at.rsplit_once("::") else { break };
                at = up;
            }
            if let Some(file) = modules.get(at)
                && *file != name
                && !file.ends_with("mod.rs")
                && !own.starts_with(&format!("{at}::"))
                && !at.starts_with(&format!("{own}::"))
            {
                taken.insert((*file).to_owned());
            }
        }
        all.insert(name.clone(), taken);
    }
    all
}

/// Files that take from each other in a ring, each ring once.
fn circles(taken: &BTreeMap<String, BTreeSet<String>>) -> Vec<Vec<String>> {
    let reach = |from: &String| -> BTreeSet<String> {
        let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
        while let Some(at) = next.pop() {
            for to in taken.get(at).into_iter().flatten() {
                if seen.insert(to.clone()) {
                    next.push(to);
                }
            }
        }
        seen
    };
    let reached: BTreeMap<&String, BTreeSet<String>> = taken.keys().map(|name| (name, reach(name))).collect();
    let mut rings = BTreeSet::new();
    for (name, to) in &reached {
        if to.contains(*name) {
            let ring: Vec<String> =
                to.iter().filter(|other| reached[other].contains(*name)).cloned().collect();
            rings.insert(ring);
        }
    }
    rings.into_iter().collect()
}

#[test]
fn verif_no_files_take_from_each_other_in_a_ring() {
    let mut files = all_code();
    files.retain(|(folder, _, _)| folder != "main" && folder != "lib");
    let mut taken = taken_from(&files);
    taken.retain(|name, _| !name.ends_with("mod.rs"));
    let count: usize = taken.values().map(BTreeSet::len).sum();
    assert!(count > 400, "only {count} ties found: the search is broken");
    let rings = circles(&taken);
    let told: Vec<String> = rings
        .iter()
        .map(|ring| {
            let ties = ring.iter().map(|name| {
                let within: Vec<&str> =
                    taken[name].iter().filter(|to| ring.contains(to)).map(String::as_str).collect();
                format!("  {name} takes from {}", within.join(", "))
            });
            ties.collect::<Vec<_>>().join("\n")
        })
        .collect();
    assert!(told.is_empty(), "{} rings:\n{}", told.len(), told.join("\n\n"));
}

/// The search for rings itself: through groups, through fronts, and not where there is none.
#[test]
fn verif_the_search_sees_rings() {
    let file = |name: &str, code: &str| ("a".to_owned(), name.to_owned(), code.to_owned());
    let ring = [
        file("a/mod.rs", "mod b; mod c; pub use c::Third;"),
        file("a/b.rs", "use super::{Third, other};"),
        file("a/c.rs", "use crate::{a::{b::Second, d}, units};"),
        file("a/d.rs", "fn f() { super::e::g(); }"),
        file("a/e.rs", "struct Plain;"),
    ];
    let mut taken = taken_from(&ring);
    taken.retain(|name, _| !name.ends_with("mod.rs"));
    assert_eq!(circles(&taken), [["a/b.rs", "a/c.rs"]]);
    assert_eq!(taken["a/d.rs"].iter().collect::<Vec<_>>(), ["a/e.rs"]);
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
    let (kept, named) = without_tests("mod a;\n#[cfg(test)]\npub(crate) mod tests;\nuse crate::arm;\n");
    assert!(kept.contains("mod a;") && kept.contains("use crate::arm;") && named == ["tests"], "{kept}");
}
