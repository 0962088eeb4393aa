//! The disk as the window sees it.

use super::input::read_text;
use super::output::{folder_of, temporary_beside};
use crate::window::reload::{Files, Stamp};
use std::io::{Error, Write};
use std::path::{Path, PathBuf};

/// Resolves a name beside a folder.
type Beside = fn(&Path, &str) -> Result<PathBuf, String>;

/// The disk.
#[derive(Debug)]
pub(crate) struct Disk {
    /// Where a file that a scenario names is.
    pub beside: Beside,
}

impl Files for Disk {
    fn stamp(&self, path: &Path) -> std::io::Result<Stamp> {
        let found = std::fs::metadata(path)?;
        Ok(Stamp { changed: found.modified()?, length: found.len() })
    }

    fn read(&self, path: &Path) -> std::io::Result<String> {
        read_text(path, &path.display().to_string()).map_err(|problem| {
            let told = problem.diagnostics.0.first().map(|d| d.problem.clone());
            Error::other(told.unwrap_or_else(|| "cannot read this file".to_owned()))
        })
    }

    fn write_new(&self, path: &Path, bytes: &[u8]) -> std::io::Result<()> {
        let mut file = std::fs::OpenOptions::new().write(true).create_new(true).open(path)?;
        file.write_all(bytes).and_then(|()| file.sync_all())
    }

    fn replace(&self, path: &Path, bytes: &[u8]) -> std::io::Result<()> {
        std::fs::create_dir_all(folder_of(path))?;
        let mut file = temporary_beside(path)?;
        file.write_all(bytes)?;
        file.persist(path).map_err(|error| error.error)?;
        Ok(())
    }

    fn beside(&self, file: &Path, name: &str) -> Result<String, String> {
        let folder = file.parent().map(Path::to_owned).unwrap_or_default();
        let path = (self.beside)(&folder, name)?;
        self.read(&path).map_err(|error| error.to_string())
    }

    fn scenarios(&self, folder: &Path) -> Vec<PathBuf> {
        let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
        let mut paths: Vec<PathBuf> = entries
            .take(10_000)
            .flatten()
            .map(|entry| entry.path())
            .filter(|path| path.extension().is_some_and(|end| end == "ron") && path.is_file())
            .collect();
        paths.sort();
        paths
    }
}

/// Where the window's state is kept: the user's folder for settings, as each system has it.
pub(crate) fn kept_file() -> Option<PathBuf> {
    let from = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let folder = if cfg!(windows) {
        from("APPDATA")?
    } else if cfg!(target_os = "macos") {
        from("HOME")?.join("Library").join("Application Support")
    } else {
        // XDG Base Directory Specification 0.8 (freedesktop.org).
        from("XDG_CONFIG_HOME")
            .filter(|path| path.is_absolute())
            .or_else(|| Some(from("HOME")?.join(".config")))?
    };
    Some(folder.join("brusharm").join("window.ron"))
}
