//! Files that the window writes: a scenario, a sheet, a fitted machine, pictures. None is written over.

use std::path::{Path, PathBuf};

use super::Shell;
use crate::window::backend::Requests;

impl Shell {
    /// Writes a scenario as a new file and moves on to it; a lesson goes on with its own.
    pub(super) fn write(&mut self, path: &Path, bytes: &[u8], requests: &mut Requests) {
        let told = match self.files.write_new(path, bytes) {
            Ok(()) if self.app.lesson().is_some() => format!("Saved as {}.", path.display()),
            Ok(()) => {
                self.open(path, requests);
                if self.app.path() != path {
                    // What is in the way of opening it is told already.
                    return;
                }
                format!("Saved as {}, and opened: what is turned now differs from that.", path.display())
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                format!("{} exists already and was not written over. Choose another name.", path.display())
            }
            Err(error) => format!("Cannot write {}: {error}.", path.display()),
        };
        self.tell(told);
    }

    /// Writes a sheet that was made beside the scenario.
    pub(super) fn write_sheet(&mut self, made: Result<Result<String, String>, String>) {
        let told = match made.and_then(|made| made) {
            Ok(page) => match self.write_beside("sheet", "html", page.as_bytes()) {
                Ok(path) => {
                    format!("The sheet is {}: it prints on two pages and opens on a phone.", path.display())
                }
                Err(problem) => problem,
            },
            Err(why) => format!("There is no sheet of this set-up: {why}"),
        };
        self.tell(told);
    }

    /// Writes a scenario with fitted values beside the one that is open under the first free name, and opens it.
    pub(super) fn write_fitted(&mut self, text: &str, requests: &mut Requests) {
        match self.write_beside("fitted", "ron", text.as_bytes()) {
            Ok(path) => {
                self.open(&path, requests);
                self.tell(format!("Saved as {}, and opened.", path.display()));
            }
            Err(problem) => self.tell(problem),
        }
    }

    /// Writes a picture beside the scenario under the first free name.
    pub(super) fn save_picture(&mut self, ending: &str, bytes: &[u8]) {
        let told = match self.write_beside("", ending, bytes) {
            Ok(path) => format!("Saved the picture as {}.", path.display()),
            Err(problem) => problem,
        };
        self.tell(told);
    }

    /// Writes what a page of the desk shows beside the scenario.
    pub(super) fn export(&mut self, added: &str, ending: &str, text: &str) {
        let told = match self.write_beside(added, ending, text.as_bytes()) {
            Ok(path) => format!("Saved as {}.", path.display()),
            Err(problem) => problem,
        };
        self.tell(told);
    }

    /// Writes beside the scenario, under its name with something added and the first free number; says where, or what is in the way.
    fn write_beside(&self, added: &str, ending: &str, bytes: &[u8]) -> Result<PathBuf, String> {
        let stem =
            self.app.path().file_stem().map_or_else(|| "pass".into(), |s| s.to_string_lossy().into_owned());
        let stem = if added.is_empty() { stem } else { format!("{stem}-{added}") };
        for number in 1..1000 {
            let path = self.app.path().with_file_name(format!("{stem}-{number}.{ending}"));
            match self.files.write_new(&path, bytes) {
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
                Ok(()) => return Ok(path),
                Err(error) => return Err(format!("Cannot write {}: {error}.", path.display())),
            }
        }
        Err("A thousand of them stand beside the scenario already; move some away.".to_owned())
    }
}
