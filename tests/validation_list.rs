//! Every `val_` test is listed with its outside reference, and every test listed is there.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn rust_files(folder: &Path, visit: &mut impl FnMut(&str)) {
    for entry in fs::read_dir(folder).expect("a folder of the tree") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            rust_files(&path, visit);
        } else if path.extension().is_some_and(|e| e == "rs") {
            visit(&fs::read_to_string(&path).expect("it reads"));
        }
    }
}

/// Names that begin with `val_` right after `before`.
fn names(text: &str, before: &str) -> BTreeSet<String> {
    let start = format!("{before}val_");
    let name = |at: usize| -> String {
        text[at + before.len()..].chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
    };
    text.match_indices(&start).map(|(at, _)| name(at)).filter(|name| name != "val_").collect()
}

#[test]
fn verif_the_list_of_validations_is_whole() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut written = BTreeSet::new();
    for folder in ["src", "tests"] {
        rust_files(&root.join(folder), &mut |text| written.extend(names(text, "\nfn ")));
        rust_files(&root.join(folder), &mut |text| written.extend(names(text, "    fn ")));
    }
    let list = fs::read_to_string(root.join("tests/validation/README.md")).expect("the list");
    let listed = names(&list, "`");
    let missing: Vec<_> = written.difference(&listed).collect();
    assert!(missing.is_empty(), "tests/validation/README.md does not list {missing:?}");
    let gone: Vec<_> = listed.difference(&written).collect();
    assert!(gone.is_empty(), "tests/validation/README.md lists what is not there: {gone:?}");
    assert!(written.len() > 40, "only {} found: the search is broken", written.len());
    // What each found, as the last run by hand wrote it, is within what it allows.
    let residuals = fs::read_to_string(root.join("tests/validation/residuals.md")).expect("the residuals");
    let mut rows = 0;
    for row in residuals.lines().filter(|l| l.starts_with("| `val_")) {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        let number = |k: usize| cells[k].parse::<f64>().unwrap_or_else(|e| panic!("{row}: {e}"));
        assert!(number(2) <= number(3), "{row}");
        assert!(written.contains(cells[0].trim_matches('`')), "no longer there, run residuals.sh: {row}");
        rows += 1;
    }
    assert!(rows > 80, "{rows}");
    // Each row names a reference: its second cell is not empty.
    for row in list.lines().filter(|l| l.starts_with('|') && l.contains("`val_")) {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        assert!(cells.len() >= 7 && cells[2].len() >= 5 && cells[4].len() > 3, "{row}");
    }
}
