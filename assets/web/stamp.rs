//! Before the build: one number over the sources that an engine of a page is made of, so that a page never carries an engine of other sources.

// A build script speaks to cargo by printing.
#![allow(clippy::print_stdout)]

use std::fs;
use std::path::{Path, PathBuf};

/// Of `src/`, what no engine holds.
const NOT_IN_THE_ENGINE: [&str; 3] = ["command", "window", "main.rs"];
/// Files of the page round the engine.
const PAGE: [&str; 2] = ["live/page.rs", "live/page"];

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the sources are there").flatten() {
        let path = entry.path();
        if path.is_dir() {
            files(&path, found);
        } else {
            found.push(path);
        }
    }
}

/// FNV-1a, 64 bits (Fowler, Noll, Vo; from memory): tells sources apart, keeps nothing secret.
fn add(sum: &mut u64, bytes: &[u8]) {
    // Line ends differ from machine to machine.
    for byte in bytes.iter().filter(|byte| **byte != b'\r') {
        *sum = (*sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
}

fn main() {
    let root = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").expect("set by cargo"));
    let mut list = vec![root.join("Cargo.lock"), root.join("assets/web/engine/src/lib.rs")];
    for entry in fs::read_dir(root.join("src")).expect("the sources are there").flatten() {
        let path = entry.path();
        if NOT_IN_THE_ENGINE.iter().any(|name| path.ends_with(name)) {
            continue;
        }
        if path.is_dir() { files(&path, &mut list) } else { list.push(path) }
    }
    let is_held = |path: &Path| {
        path.extension().is_some_and(|end| end != "md")
            && !PAGE.iter().any(|page| path.starts_with(root.join("src").join(page)))
    };
    list.retain(|path| is_held(path));
    list.sort();
    let mut sum = 0xcbf2_9ce4_8422_2325;
    for path in &list {
        let name = path.strip_prefix(&root).expect("below the root").to_string_lossy().replace('\\', "/");
        add(&mut sum, name.as_bytes());
        add(&mut sum, &fs::read(path).unwrap_or_default());
    }
    println!("cargo:rustc-env=BRUSHARM_SOURCES={sum:016x}");
    for watched in ["src", "Cargo.lock", "assets/web/engine/src/lib.rs", "assets/web/stamp.rs"] {
        println!("cargo:rerun-if-changed={watched}");
    }
}
