//! The output file of a sweep: killed and gone on with, in shares, on any number of threads, with points that fail. Real child processes.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_brusharm"));
    command.stdin(Stdio::null()).stderr(Stdio::piped()).stdout(Stdio::piped());
    command
}

fn scenario() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/ferry-return.ron")
}

/// Fifty points, some of which cannot be computed; coarse numerics keep them quick.
fn sweep(out: &Path, more: &[&str]) -> Command {
    let mut command = program();
    command.arg("sweep").arg(scenario());
    command.args(["--over", "throughput=60..140:20"]);
    command.args(["--over", "vehicle.lateral_offset=-2,0,2,4,18"]);
    command.args(["--over", "left.stop_pin.hole=2,3", "--columns", "tail_gap_m,nose_overlap_m,verdict"]);
    command.arg("-o").arg(out).args(more);
    command
}

fn run(mut command: Command) -> String {
    let output = command.output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{told}");
    told
}

#[test]
fn verif_a_killed_sweep_goes_on_to_the_same_file() {
    let folder = tempfile::tempdir().unwrap();
    let whole = folder.path().join("whole.csv");
    run(sweep(&whole, &["--threads", "1"]));
    let whole = fs::read_to_string(whole).unwrap();
    assert_eq!(whole.lines().count(), 51);
    assert!(
        whole.starts_with("row,line.throughput_veh_per_h,vehicle.lateral_offset_in,left.stop_pin.hole,"),
        "{whole}"
    );

    let out = folder.path().join("killed.csv");
    let part = folder.path().join("killed.csv.part");
    let (mut kills, mut resumed) = (0, 0);
    // It is killed whenever some more bytes are there, however fast it is: an odd number, so that kills fall at all sorts of places.
    let size = || fs::metadata(&part).map_or(0, |part| part.len());
    let mut enough = 0;
    while !out.exists() {
        let mut child = sweep(&out, &["--threads", "2"]).spawn().unwrap();
        while size() <= enough && child.try_wait().unwrap().is_none() {
            std::thread::sleep(Duration::from_millis(1));
        }
        enough = size() + 137;
        // SIGKILL on Unix: nothing in the program gets to run.
        child.kill().unwrap();
        let output = child.wait_with_output().unwrap();
        kills += usize::from(!output.status.success());
        resumed += usize::from(String::from_utf8_lossy(&output.stderr).contains("going on after"));
        if let Ok(left) = fs::read_to_string(&part) {
            // What is there is the beginning of the whole, past its first line.
            let rows = left.split_once('\n').map_or("", |(_, rows)| rows);
            assert!(whole.starts_with(rows), "{rows}");
        }
        assert!(kills < 200);
    }
    assert!(kills > 0 && resumed > 0, "{kills} kills, {resumed} resumed");
    assert!(!part.exists());
    assert!(fs::read_to_string(&out).unwrap() == whole);
}

#[test]
fn verif_shares_together_are_the_whole_and_threads_do_not_matter() {
    let folder = tempfile::tempdir().unwrap();
    let read = |name: &str, more: &[&str]| {
        let path = folder.path().join(name);
        run(sweep(&path, more));
        fs::read_to_string(path).unwrap()
    };
    let whole = read("whole.jsonl", &["--threads", "3"]);
    let parts: String = (1..=4)
        .map(|k| read(&format!("part{k}.jsonl"), &["--part", &format!("{k}/4"), "--threads", "1"]))
        .collect();
    assert!(parts == whole);
    assert_eq!(whole.lines().count(), 50);
    // Points that cannot be computed are rows with a reason and no numbers.
    let rows: Vec<serde_json::Value> =
        whole.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let failed: Vec<_> = rows.iter().filter(|row| !row["reason"].is_null()).collect();
    assert!(!failed.is_empty() && failed.len() < 25, "{}", failed.len());
    assert!(failed.iter().all(|row| row["tail_gap_m"].is_null() && row["verdict"].is_null()));
    let computed = rows.iter().filter(|row| row["reason"].is_null());
    assert!(computed.clone().all(|row| row["tail_gap_m"].is_number()));
    assert!(computed.clone().any(|row| row["tail_gap_m"].as_f64().unwrap() > 0.05));
}

#[test]
fn verif_rows_of_another_sweep_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("rows.csv");
    let mut child = sweep(&out, &[]).spawn().unwrap();
    // Killed as soon as a row is written: waiting for a fixed time would race with how fast it is, and before that the file says nothing yet.
    let part = folder.path().join("rows.csv.part");
    let lines = || fs::read_to_string(&part).map_or(0, |left| left.matches('\n').count());
    while lines() < 3 && child.try_wait().unwrap().is_none() {
        std::thread::sleep(Duration::from_millis(1));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(part.exists());
    let mut other = sweep(&out, &["--set", "left.air.cap=8 psi"]);
    let output = other.output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("the scenario or its overrides changed"), "{told}");
    assert!(told.contains("--restart"), "{told}");
    // A finished file is not written over unasked.
    run(sweep(&out, &[]));
    let output = sweep(&out, &[]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
}

#[cfg(unix)]
#[test]
fn verif_an_interrupted_sweep_keeps_what_it_has() {
    use std::io::{BufRead, BufReader, Read};
    let mut command = program();
    command.arg("sweep").arg(scenario());
    command.args(["--over", "throughput=60..140:0.01", "--format", "csv"]);
    let mut child = command.spawn().unwrap();
    let mut rows = BufReader::new(child.stdout.take().unwrap());
    // Once the first row is there the program listens.
    let mut text = String::new();
    rows.read_line(&mut text).unwrap();
    rows.read_line(&mut text).unwrap();
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    rows.read_to_string(&mut text).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
    let told = String::from_utf8(output.stderr).unwrap();
    let done = text.lines().count() - 1;
    assert!(told.contains(&format!("interrupted after {done} of 8001 rows")), "{told}");
    // Whole rows, in order, none left out.
    let fields = text.lines().next().unwrap().split(',').count();
    for (i, row) in text.lines().skip(1).enumerate() {
        assert!(row.starts_with(&format!("{i},")) && row.split(',').count() >= fields, "{row}");
    }
    assert!(text.ends_with('\n') && done > 0 && done < 8001);
}
