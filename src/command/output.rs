//! Standard output and output files, without surprises.
//!
//! Everything for people passes here, so here it is made safe for a terminal: whatever a title, a name or a path holds, only line breaks and our
//! own codes of colour get through as they are ([`Ink::ready`], [`visible`]).
//!
//! A file is written beside its target under a temporary name and then renamed, so a reader never sees half of it and a failure leaves the
//! old one alone. An existing file is replaced only when asked to, a file that was read as input never. A reader that stops reading (as
//! `head` does) ends the command quietly.

use super::problem::{Problem, refusal};
use crate::report::Ink;
use crate::visible::visible;
use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};

/// Colour on standard output, if it is a terminal that takes it and nobody asked for none.
pub(crate) fn ink() -> Ink {
    let stdout = std::io::stdout();
    match anstream::AutoStream::choice(&stdout) {
        anstream::ColorChoice::Never => Ink::Plain,
        _ if stdout.is_terminal() => Ink::Colour,
        _ => Ink::Plain,
    }
}

/// Prints a text. A closed pipe is no error.
pub(crate) fn print(text: &str, ink: Ink) -> Result<(), Problem> {
    let text = ink.ready(text);
    let written = match ink {
        // Goes through an adapter for consoles that do not know escape codes.
        Ink::Colour => {
            let mut out = anstream::stdout().lock();
            out.write_all(text.as_bytes()).and_then(|()| out.flush())
        }
        Ink::Plain => {
            let mut out = std::io::stdout().lock();
            out.write_all(text.as_bytes()).and_then(|()| out.flush())
        }
    };
    match written {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Problem::writing("standard output", &error))
        }
        _ => Ok(()),
    }
}

/// Prints to standard error; nobody is left to tell when that fails.
pub(crate) fn complain(text: &str) {
    let mut out = std::io::stderr().lock();
    let _ = writeln!(out, "{}", visible(text));
}

/// Where an output goes, checked before any work is done.
#[derive(Debug, Clone)]
pub(crate) struct Target {
    /// As named on the command line.
    name: String,
    kind: TargetKind,
}

#[derive(Debug, Clone)]
enum TargetKind {
    /// `-`.
    Stdout,
    /// A device or pipe: written into, nothing to replace.
    Stream(PathBuf),
    /// A file, new or to be replaced.
    File { path: PathBuf, replace: bool },
}

impl Target {
    /// Checks a target: what exists is replaced only with `overwrite`, and none of `inputs` ever.
    pub fn new(path: &Path, overwrite: bool, inputs: &[PathBuf]) -> Result<Target, Problem> {
        let name = path.display().to_string();
        if name == "-" {
            return Ok(Target { name: "standard output".to_owned(), kind: TargetKind::Stdout });
        }
        let refuse =
            |problem: &str, advice: &str| Err(Problem::file(&name, refusal(problem, "", "", advice)));
        let found = match std::fs::metadata(path) {
            Ok(found) => found,
            Err(error) if error.kind() == ErrorKind::NotFound => {
                if path.file_name().is_none() {
                    return refuse("this is no name for a file", "name a file to write");
                }
                if path.symlink_metadata().is_ok() {
                    return refuse("this link leads nowhere", "remove it, or name another file");
                }
                if !folder_of(path).is_dir() {
                    return refuse(
                        "the folder for this file does not exist",
                        "make the folder first, or name another",
                    );
                }
                return Ok(Target { name, kind: TargetKind::File { path: path.to_owned(), replace: false } });
            }
            Err(error) => return refuse(&format!("cannot write here: {error}"), "name another file"),
        };
        if found.is_dir() {
            return refuse("this is a folder", "name a file in it");
        }
        if !found.is_file() {
            return Ok(Target { name, kind: TargetKind::Stream(path.to_owned()) });
        }
        if inputs.iter().any(|input| same_file(input, path)) {
            return refuse("this file is the input: it is never written over", "name another file");
        }
        if !overwrite {
            return refuse("this file exists already", "name another file, or add --overwrite to replace it");
        }
        // Behind a link the file itself is replaced, not the link.
        let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
        Ok(Target { name, kind: TargetKind::File { path, replace: true } })
    }

    /// The file, if it is one.
    pub fn file_path(&self) -> Option<&Path> {
        match &self.kind {
            TargetKind::File { path, .. } => Some(path),
            _ => None,
        }
    }

    /// Whether it is standard output.
    pub fn is_stdout(&self) -> bool {
        matches!(self.kind, TargetKind::Stdout)
    }

    /// Writes the whole content.
    pub fn write(&self, content: &[u8]) -> Result<(), Problem> {
        let fail = |error: &std::io::Error| Problem::writing(&self.name, error);
        match &self.kind {
            TargetKind::Stdout => {
                let mut out = std::io::stdout().lock();
                match out.write_all(content).and_then(|()| out.flush()) {
                    Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(fail(&error)),
                    _ => Ok(()),
                }
            }
            TargetKind::Stream(path) => {
                let opened = std::fs::OpenOptions::new().write(true).open(path);
                match opened.and_then(|mut out| out.write_all(content)) {
                    Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(fail(&error)),
                    _ => Ok(()),
                }
            }
            TargetKind::File { path, replace } => {
                let mut temporary = temporary_beside(path).map_err(|e| fail(&e))?;
                temporary.write_all(content).and_then(|()| temporary.flush()).map_err(|e| fail(&e))?;
                if *replace {
                    if let Ok(old) = std::fs::metadata(path) {
                        // Keep who may read it; not worth failing for.
                        let _ = temporary.as_file().set_permissions(old.permissions());
                    }
                    temporary.persist(path).map_err(|e| fail(&e.error))?;
                } else {
                    temporary.persist_noclobber(path).map_err(|e| match e.error.kind() {
                        ErrorKind::AlreadyExists => Problem::file(
                            &self.name,
                            refusal(
                                "this file has just been made by something else",
                                "",
                                "",
                                "name another file",
                            ),
                        ),
                        _ => fail(&e.error),
                    })?;
                }
                Ok(())
            }
        }
    }
}

pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// How temporary files are called: six letters or digits between the two.
const TEMPORARY: (&str, &str) = (".brusharm-", ".tmp");
const TEMPORARY_LETTERS: usize = 6;

/// A new temporary file beside a file, locked for as long as it is open; what killed runs left there is removed first.
pub(super) fn temporary_beside(path: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let folder = folder_of(path);
    remove_left_behind(&folder);
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMPORARY.0).suffix(TEMPORARY.1).rand_bytes(TEMPORARY_LETTERS);
    #[cfg(unix)]
    {
        // As for any new file; the umask takes its part.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    loop {
        let file = builder.tempfile_in(&folder)?;
        // On a file system without locks nothing is ever removed, so the lock is not missed.
        let locked = file.as_file().lock().is_ok();
        // Another run may have taken it for left behind before the lock was there.
        if !locked || file.path().exists() {
            return Ok(file);
        }
    }
}

/// Removes temporary files that no living run holds: only files called as ours are, only those whose lock can be had.
fn remove_left_behind(folder: &Path) {
    let ours = |name: &str| {
        let letters = name.strip_prefix(TEMPORARY.0).and_then(|rest| rest.strip_suffix(TEMPORARY.1));
        letters.is_some_and(|l| l.len() == TEMPORARY_LETTERS && l.bytes().all(|b| b.is_ascii_alphanumeric()))
    };
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.take(100_000).flatten() {
        // Not through links, and nothing but files.
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if !is_file || !entry.file_name().to_str().is_some_and(ours) {
            continue;
        }
        let path = entry.path();
        let free =
            std::fs::OpenOptions::new().write(true).open(&path).ok().filter(|file| file.try_lock().is_ok());
        if free.is_some() {
            // Somebody else's to remove if we may not.
            let _ = std::fs::remove_file(&path);
        }
    }
}

/// Whether two names lead to one file.
fn same_file(a: &Path, b: &Path) -> bool {
    #[cfg(unix)]
    if let (Ok(a), Ok(b)) = (std::fs::metadata(a), std::fs::metadata(b)) {
        use std::os::unix::fs::MetadataExt;
        return a.dev() == b.dev() && a.ino() == b.ino();
    }
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
