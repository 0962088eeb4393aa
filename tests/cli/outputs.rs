//! Files the commands write, and pipes that close early.

use super::{LANE, brusharm, done, folder, refused};
use std::io::Read;
use std::path::Path;
use std::process::Stdio;

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn verif_a_result_goes_to_a_file_and_nothing_else_is_left() {
    let folder = folder();
    let at = folder.path();
    let on_screen = done(at, &["pass", "lane.ron"]);
    assert_eq!(done(at, &["pass", "lane.ron", "--output", "result.txt"]), "");
    assert_eq!(std::fs::read_to_string(at.join("result.txt")).unwrap(), on_screen);
    assert_eq!(done(at, &["settings", "lane.ron", "-o", "-"]), done(at, &["settings", "lane.ron"]));
    assert_eq!(names(at), ["lane.ron", "result.txt"]);
}

#[test]
fn verif_an_existing_file_is_replaced_only_when_asked_to() {
    let folder = folder();
    let at = folder.path();
    std::fs::write(at.join("result.json"), "mine").unwrap();
    let arguments = ["pass", "lane.ron", "--format", "json", "-o", "result.json"];
    let told = refused(at, &arguments);
    assert!(told.contains("exists already") && told.contains("--overwrite"), "{told}");
    assert_eq!(std::fs::read_to_string(at.join("result.json")).unwrap(), "mine");
    let mut replacing = arguments.to_vec();
    replacing.push("--overwrite");
    done(at, &replacing);
    assert!(std::fs::read_to_string(at.join("result.json")).unwrap().starts_with("{\n  \"schema\""));
    assert_eq!(names(at), ["lane.ron", "result.json"]);
}

/// The picture is drawn at the instant asked for, goes where it is told and takes nothing away from the report.
#[test]
fn verif_a_picture_is_drawn_at_the_instant_asked_for() {
    let folder = folder();
    let at = folder.path();
    let text = done(at, &["pass", "lane.ron", "--svg", "usual.svg"]);
    let usual = std::fs::read_to_string(at.join("usual.svg")).unwrap();
    assert!(usual.starts_with("<svg ") && usual.ends_with("</svg>\n"));
    assert_eq!(usual.matches("<svg ").count(), usual.matches("</svg>").count());
    for word in ["Ferry harbour", "pin in hole 2 of 3", "gap", "recovery margin"] {
        assert!(usual.contains(word), "{word}");
    }
    // The report is printed as without a picture.
    assert_eq!(text, done(at, &["pass", "lane.ron"]));
    // Another instant, another picture, alone on standard output; an event of one unit, and the same by its time.
    let drawn = done(at, &["pass", "lane.ron", "--svg", "-", "--at", "right_first-touch"]);
    assert!(drawn.starts_with("<svg ") && drawn.ends_with("</svg>\n") && drawn != usual);
    let json: serde_json::Value =
        serde_json::from_str(&done(at, &["pass", "lane.ron", "--format", "json"])).unwrap();
    let time = |unit: usize, name: &str| {
        let events = json["units"][unit]["events"].as_array().unwrap();
        events.iter().find(|e| e["name"] == name).unwrap()["time_s"].as_f64().unwrap()
    };
    let by_time = |t: f64| done(at, &["pass", "lane.ron", "--svg", "-", "--at", &format!("{t} s")]);
    assert_eq!(by_time(time(1, "first_touch")), drawn);
    // Without a side the first unit that meets the event counts.
    let first = done(at, &["pass", "lane.ron", "--svg", "-", "--at", "First touch"]);
    assert!(time(0, "first_touch") < time(1, "first_touch") && first == by_time(time(0, "first_touch")));
    // In SI, and beside a result in a file; changed settings are said.
    let set = "left.air.cap=50 kPa";
    let arguments = [
        "pass", "lane.ron", "--units", "si", "--svg", "si.svg", "--format", "csv", "-o", "si.csv", "--set",
        set,
    ];
    assert_eq!(done(at, &arguments), "");
    let si = std::fs::read_to_string(at.join("si.svg")).unwrap();
    assert!(si.contains(" kPa") && !si.contains(" psi") && si.contains("left.air.cap = 50 kPa"));
    assert_eq!(names(at), ["lane.ron", "si.csv", "si.svg", "usual.svg"]);
    // One file cannot hold both, nor be replaced unasked.
    let told = refused(at, &["pass", "lane.ron", "--svg", "new", "-o", "new"]);
    assert!(told.contains("same place") && !at.join("new").exists(), "{told}");
    assert!(refused(at, &["pass", "lane.ron", "--svg", "si.svg"]).contains("exists already"));
}

/// Not by its name, not by another way to it, not with `--overwrite`.
#[test]
fn verif_the_scenario_is_never_written_over() {
    let folder = folder();
    let at = folder.path();
    std::fs::create_dir(at.join("sub")).unwrap();
    let mut ways = vec!["lane.ron".to_owned(), "./lane.ron".to_owned(), "sub/../lane.ron".to_owned()];
    std::fs::hard_link(at.join("lane.ron"), at.join("same.ron")).unwrap();
    ways.push(if cfg!(unix) { "same.ron".to_owned() } else { "lane.ron".to_owned() });
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("lane.ron", at.join("link.ron")).unwrap();
        ways.push("link.ron".to_owned());
    }
    for way in ways {
        let told = refused(at, &["pass", "lane.ron", "-o", &way, "--overwrite"]);
        assert!(told.contains("never written over"), "{way}: {told}");
        assert_eq!(std::fs::read_to_string(at.join("lane.ron")).unwrap(), LANE);
    }
}

#[test]
fn regress_targets_that_cannot_be_written() {
    let folder = folder();
    let at = folder.path();
    std::fs::create_dir(at.join("results")).unwrap();
    let mut told = String::new();
    for target in ["results", "nowhere/result.txt", "lane.ron/result.txt"] {
        told.push_str(&format!("== {target}\n{}\n", refused(at, &["pass", "lane.ron", "-o", target])));
    }
    insta::assert_snapshot!("refused_targets", told);
    assert_eq!(names(at), ["lane.ron", "results"]);
}

#[cfg(unix)]
#[test]
fn verif_links_rights_and_devices_stay_what_they_are() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    let at = folder.path();
    // A link stays a link; the file behind it is replaced and keeps its rights.
    std::fs::write(at.join("behind.txt"), "old").unwrap();
    std::fs::set_permissions(at.join("behind.txt"), std::fs::Permissions::from_mode(0o600)).unwrap();
    std::os::unix::fs::symlink("behind.txt", at.join("link.txt")).unwrap();
    done(at, &["settings", "lane.ron", "-o", "link.txt", "--overwrite"]);
    assert!(std::fs::symlink_metadata(at.join("link.txt")).unwrap().is_symlink());
    let mode = |name: &str| std::fs::metadata(at.join(name)).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode("behind.txt"), 0o600);
    assert!(std::fs::read_to_string(at.join("behind.txt")).unwrap().contains("line.throughput"));
    // A new file has the rights of any new file.
    done(at, &["settings", "lane.ron", "-o", "new.txt"]);
    std::fs::write(at.join("any.txt"), "").unwrap();
    assert_eq!(mode("new.txt"), mode("any.txt"));
    // A device is written into, with nothing to replace.
    done(at, &["settings", "lane.ron", "-o", "/dev/null"]);
    assert!(!std::fs::metadata("/dev/null").unwrap().is_file());
}

/// As with `head`: the reader goes away, the program ends without a word.
#[test]
fn verif_a_closed_pipe_is_no_error() {
    let folder = folder();
    let mut command = std::process::Command::new(brusharm(folder.path()).get_program());
    command.current_dir(folder.path()).args(["pass", "lane.ron", "--format", "json", "--series", "5 ms"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Far more than a pipe holds is written; a few bytes are read.
    let mut some = [0; 16];
    let mut out = child.stdout.take().unwrap();
    out.read_exact(&mut some).unwrap();
    drop(out);
    let ended = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "");
    assert_eq!(ended.status.code(), Some(0));
    assert_eq!(&some[..3], b"{\n ");
}
