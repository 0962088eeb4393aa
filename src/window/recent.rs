//! Files opened lately: one path a line, the newest first, beside what else is kept between runs.

use std::path::{Path, PathBuf};

/// How many are kept.
pub const MOST: usize = 6;

/// Where they are kept, beside the file of the window's state.
pub fn file_beside(kept_file: &Path) -> PathBuf {
    kept_file.with_file_name("recent.txt")
}

/// The files of a kept list.
pub fn paths(kept: &str) -> Vec<PathBuf> {
    let lines = kept.lines().map(str::trim).filter(|line| !line.is_empty());
    lines.take(MOST).map(PathBuf::from).collect()
}

/// The list with a file at its head, which then stands there once. A path that is not text, or has a line break in it, is not kept.
pub fn with(kept: &str, path: &Path) -> String {
    let mut all = paths(kept);
    if let Some(text) = path.to_str().filter(|text| !text.contains(['\n', '\r'])) {
        all.retain(|own| own != path);
        all.insert(0, PathBuf::from(text));
        all.truncate(MOST);
    }
    all.iter().map(|own| format!("{}\n", own.display())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_the_newest_stands_first_and_once() {
        let mut kept = String::new();
        for name in ["a", "b", "a", "c"] {
            kept = with(&kept, Path::new(name));
        }
        assert_eq!(kept, "c\na\nb\n");
        assert_eq!(with(&kept, Path::new("two\nlines")), kept);
        for number in 0..20 {
            kept = with(&kept, Path::new(&format!("{number}.ron")));
        }
        assert_eq!(paths(&kept).len(), MOST);
        assert_eq!(paths(&kept)[0], PathBuf::from("19.ron"));
        assert!(paths(" \n\n").is_empty());
        assert_eq!(file_beside(Path::new("x/window.ron")), PathBuf::from("x/recent.txt"));
    }
}
