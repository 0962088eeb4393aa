//! Reading files: every way it can go wrong said plainly, nothing unbounded read.

use super::problem::{Problem, refusal};
use crate::error::{Diagnostic, DiagnosticKind, nearest};
use std::fs::Metadata;
use std::io::{ErrorKind, Read};
use std::path::Path;

/// The longest file read, bytes. The largest sensible scenario is a hundredth of this.
pub(crate) const LONGEST_FILE: u64 = 1 << 20;

/// Reads a text file. `name` is how it is called in errors.
pub(crate) fn read_text(path: &Path, name: &str) -> Result<String, Problem> {
    let refuse = |problem: String, given: String, allowed: &str, advice: String| {
        Problem::file(name, refusal(&problem, &given, allowed, &advice))
    };
    if path.is_dir() {
        let advice = "name a scenario file in it, such as ferry-return.ron".to_owned();
        return Err(refuse("this is a folder, not a file".to_owned(), String::new(), "a text file", advice));
    }
    // A pipe without a writer would hold us for ever, a device may never end: looked at before it is opened, and again after.
    let irregular = |found: &Metadata| !found.is_file();
    let refuse_irregular = || {
        let advice = "write the text to a file and name that".to_owned();
        Err(refuse("this is a pipe or a device, not a file".to_owned(), String::new(), "a text file", advice))
    };
    if std::fs::metadata(path).is_ok_and(|found| irregular(&found)) {
        return refuse_irregular();
    }
    let mut bytes = Vec::new();
    let opened = std::fs::File::open(path);
    if opened.as_ref().is_ok_and(|file| file.metadata().is_ok_and(|found| irregular(&found))) {
        return refuse_irregular();
    }
    let read = opened.and_then(|file| file.take(LONGEST_FILE + 1).read_to_end(&mut bytes));
    if let Err(error) = read {
        return Err(match error.kind() {
            ErrorKind::NotFound => {
                refuse("there is no such file".to_owned(), String::new(), "", missing_advice(path))
            }
            ErrorKind::PermissionDenied => refuse(
                "this file may not be read".to_owned(),
                String::new(),
                "",
                "ask for the right to read it, or copy it".to_owned(),
            ),
            _ => refuse(
                format!("cannot read this file: {error}"),
                String::new(),
                "",
                "check the disk".to_owned(),
            ),
        });
    }
    if bytes.len() as u64 > LONGEST_FILE {
        return Err(refuse(
            "this file is too long for a scenario".to_owned(),
            format!("more than {LONGEST_FILE} bytes"),
            "at most 1 MiB of text",
            "check that it is the right file".to_owned(),
        ));
    }
    String::from_utf8(bytes)
        .map_err(|error| not_text(name, error.as_bytes(), error.utf8_error().valid_up_to()))
}

/// The error for bytes that are no UTF-8, with its place.
fn not_text(name: &str, bytes: &[u8], at: usize) -> Problem {
    let before = String::from_utf8_lossy(&bytes[..at]).into_owned();
    let rest = String::from_utf8_lossy(&bytes[at..]);
    // The line with the bad byte, shown as far as it can be.
    let source = before.clone() + rest.lines().next().unwrap_or("");
    let bad = bytes.get(at).copied().unwrap_or(0);
    let advice = "save the file as UTF-8 text; a scenario is plain text, not a document or a picture";
    let refusal = refusal("this is not UTF-8 text", &format!("byte 0x{bad:02X}"), "UTF-8 text", advice);
    let range = Some(before.len()..before.len() + 1);
    Problem::from(crate::error::Diagnostics::from(Diagnostic::new(
        DiagnosticKind::File,
        name,
        &source,
        range,
        "",
        refusal,
    )))
}

/// What to do about a file that is not there: names of files that are.
fn missing_advice(path: &Path) -> String {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        return "the folder does not exist either: check the path".to_owned();
    }
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .map(|entries| {
            entries.take(10_000).flatten().filter_map(|e| e.file_name().into_string().ok()).collect()
        })
        .unwrap_or_default();
    names.retain(|name| name.ends_with(".ron"));
    names.sort();
    let wanted = path.file_name().and_then(|n| n.to_str()).unwrap_or("");
    if let Some(likely) = nearest(wanted, names.iter().map(String::as_str)) {
        let beside = if folder == Path::new(".") { likely.into() } else { folder.join(likely) };
        return format!("did you mean {}?", beside.display());
    }
    match names.len() {
        0 => "check the path; the folder holds no scenario (.ron)".to_owned(),
        1..=6 => format!("scenarios in that folder: {}", names.join(", ")),
        _ => format!("scenarios in that folder: {}, and {} more", names[..6].join(", "), names.len() - 6),
    }
}
